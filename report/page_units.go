package report

import (
	"fmt"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// units shows clinicians and practices by code, without ranking.
func (l *layout) units() {
	var shown, withheld []results.Funnel
	for _, f := range l.r.Questions.Funnels {
		switch {
		case f.Shown:
			shown = append(shown, f)
		case f.Suppressed:
			withheld = append(withheld, f)
		}
	}
	if len(shown)+len(withheld) == 0 {
		return
	}
	l.d.Section("section-units", "Clinicians and practices", 130)
	l.d.Para(11, nil, paper.T("Codes only, in no order of merit. The funnel shows how far apart units of that size would lie by chance alone; it is not adjusted for case mix, and a point outside asks first about data and cases, then about practice."))
	l.d.Space(0.5)
	for i, f := range shown {
		l.funnel(f, i)
	}
	for _, f := range withheld {
		l.d.Para(11, nil, paper.T(wording.Capital(f.Measure)+", by "+f.Units+": "+f.Reason+"."))
	}
}

func (l *layout) funnel(f results.Funnel, i int) {
	size := "cases"
	if f.Effect > 1 {
		size = "movements / design effect of clustering"
	}
	fig := chart.Funnel{Title: f.Measure, Target: float64(f.Target), XLabel: size, YLabel: f.Measure + ", %", Width: l.d.Width()}
	for _, p := range f.Points {
		fig.Points = append(fig.Points, chart.FunnelPoint{Code: p.Code, Size: number(p.Effective), Value: number(p.Value), Outside: p.Beyond95, Beyond: p.Beyond998})
	}
	for _, x := range f.Limits {
		fig.Limits = append(fig.Limits, chart.FunnelLimit{Size: number(x.Size), Low95: number(x.Low95), High95: number(x.High95), Low998: number(x.Low998), High998: number(x.High998)})
	}
	ids := l.notes(f.Warnings)
	below := f.Reading + outsideText(f.Points) + " " + wording.Sentence(f.Method) + l.funnelRest(f)
	l.d.Space(0.5)
	l.d.Place(paper.Figure{
		ID: fmt.Sprintf("funnel-%d", i), Title: fmt.Sprintf("%s, by %s: %s together", wording.Capital(f.Measure), f.Units, wording.Percent(f.Target)),
		Chart: fig.Figure(f.Reading), Notes: ids, Below: []paper.Run{paper.M(below + paper.Marks(ids) + " All codes: "), l.d.Ref("table-units"), paper.M(".")},
	}, false)
}

// outsideText names the units outside the limits, in order of code: not every
// code has room in the figure.
func outsideText(ps []results.FunnelPoint) string {
	var codes []string
	for _, p := range ps {
		if p.Beyond95 {
			codes = append(codes, p.Code)
		}
	}
	if len(codes) == 0 {
		return ""
	}
	return " Outside the 95\u00a0% limits, in order of code: " + strings.Join(codes, ", ") + "."
}

func (l *layout) funnelRest(f results.Funnel) string {
	s := fmt.Sprintf(" Overdispersion %s.", wording.Fixed(f.Phi, 1))
	if f.LeftOut > 0 {
		s += fmt.Sprintf(" Left out for too few cases: %s.", wording.Of(f.LeftOut, f.Units))
	}
	if f.UnknownSuppressed {
		s += " Cases without a code: " + tooFew + "."
	}
	if f.Unknown > 0 {
		s += fmt.Sprintf(" Without a code: %s.", wording.Of(f.Unknown, "case"))
	}
	return s
}

// unitTable holds the numbers behind the funnels, by code.
func (l *layout) unitTable() {
	t := paper.Table{ID: "table-units", Title: "Clinicians and practices, by code", Columns: []paper.Column{
		{Head: "Code"}, {Head: "Cases", W: 20, Right: true}, {Head: "Events / all", W: 34, Right: true}, {Head: "%", W: 16, Right: true}, {Head: "Limits", W: 44},
	}, Below: []paper.Run{paper.M("In order of code.")}}
	for _, f := range l.r.Questions.Funnels {
		if !f.Shown {
			continue
		}
		t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(f.Measure)), paper.M(", by " + f.Units)}})
		for _, p := range f.Points {
			where := "inside 95 %"
			switch {
			case p.Beyond998:
				where = "outside 99.8 %"
			case p.Beyond95:
				where = "outside 95 %, inside 99.8 %"
			}
			t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
				{Text: p.Code}, {Text: wording.Count(p.Cases)}, {Text: pair(p.Events, p.Total)}, {Text: wording.Whole(p.Value)}, {Text: where},
			}})
		}
	}
	if len(t.Rows) > 0 {
		l.d.Space(2)
		l.d.Table(t)
	}
}
