package report

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// switches shows what came of changing the feature style after a shortfall.
func (l *layout) switches() {
	s := l.r.Questions.Switches
	if s.FellShort == 0 {
		return
	}
	l.d.Heading("After a shortfall: change the feature style, or keep it?", 80)
	l.d.Para(11, nil, paper.T(fmt.Sprintf("%s fell short by more than the tolerance; %s were planned again in the next course and measured. %s",
		wording.Of(s.FellShort, "movement"), wording.Count(s.Followed), s.Definition)))
	for _, c := range s.Cautions {
		l.d.Space(0.25)
		l.d.Para(11, nil, paper.M(c))
	}
	if len(s.Paths) == 0 {
		return
	}
	l.d.Space(0.5)
	l.dumbbell(s)
	l.contrasts(s)
}

// dumbbell draws the paths that have an interval; the table has them all.
func (l *layout) dumbbell(s results.SwitchAnalysis) {
	var panels []chart.DumbbellPanel
	var parts []part
	for _, a := range casebook.Axes() {
		p := chart.DumbbellPanel{Title: wording.Capital(a.String())}
		for _, x := range s.Paths {
			if x.Axis == a && !x.Suppressed && x.Change.Low.OK() {
				p.Rows = append(p.Rows, l.dumbbellRow(x))
			}
		}
		if len(p.Rows) > 0 {
			panels, parts = append(panels, p), append(parts, part{p.Height(), nil})
		}
	}
	if len(panels) == 0 {
		l.d.Para(11, nil, paper.T("No path has enough cases for an interval yet; all of them are on "+onSheet("switch paths")+"."))
		return
	}
	lo, hi := chart.DumbbellRange(panels)
	title := "Expression of movements that fell short: in that course and in the next, by what was done about the feature"
	figure := func(from, to int) paper.Figure {
		fig := chart.Dumbbell{Title: title, Level: l.level(), Panels: panels[from:to], Width: l.d.Width(), Lo: lo, Hi: hi}
		return paper.Figure{ID: "switches", Title: title, Chart: fig.Figure(dumbbellDesc(panels[from:to])), Below: []paper.Run{
			paper.M("The upright bar is where the next course would stand if nothing had any effect: regression to the mean from the method error and the spread between teeth. Ratio of sums, CR2 intervals by case. Numbers: "),
			l.d.Ref("table-paths"), paper.M("."),
		}}
	}
	spread{l: l, parts: parts, frame: chart.DumbbellFrame + l.d.Frame(figure(0, 0)), even: false, make: figure}.place()
}

func (l *layout) dumbbellRow(x results.SwitchPath) chart.DumbbellRow {
	return chart.DumbbellRow{
		Label: pathLabel(x), From: markers[x.From], To: markers[x.To],
		First: number(x.First.Value), Next: number(x.Next.Value), Expected: number(x.First.Value + x.Expected.Change),
		N: wording.Count(x.Cases) + " / " + wording.Count(x.Movements), Text: wording.Whole(x.First.Value) + " to " + wording.Whole(x.Next.Value),
		Change: wording.Points(x.Change.Value) + " (" + wording.PointLimits(x.Change.Low, x.Change.High) + ")",
	}
}

func pathLabel(x results.SwitchPath) string {
	if x.From == x.To {
		return "kept " + wording.Style(x.From)
	}
	return wording.Style(x.From) + " → " + wording.Style(x.To)
}

func dumbbellDesc(panels []chart.DumbbellPanel) string {
	s := ""
	for _, p := range panels {
		for _, r := range p.Rows {
			s += fmt.Sprintf("%s, %s: %s percent, change %s. ", p.Title, r.Label, r.Text, r.Change)
		}
	}
	return s
}

// contrasts says in words what the comparison with those that kept their style gave.
func (l *layout) contrasts(s results.SwitchAnalysis) {
	var told []results.GroupComparison
	compared := 0
	for _, c := range s.Contrasts {
		if c.Verdict == results.NotComparable || c.Suppressed {
			continue
		}
		compared++
		if stands(c) {
			told = append(told, c)
		}
	}
	l.d.Space(0.5)
	lead, alone := paper.B("Against those that kept their style: "), " A change in the figure alone says nothing about the switch."
	if compared == 0 {
		l.d.Para(11, nil, lead, paper.T("no switch has enough cases on both sides to compare."+alone))
		return
	}
	n := "none"
	if len(told) > 0 {
		n = wording.Count(len(told))
	}
	l.d.Para(11, nil, lead, paper.T(fmt.Sprintf("in %s of %s a switch could be told apart from keeping the style, adjusted for the amount left, the first course's expression and the recorded covariates: ", n, wording.Of(compared, "comparison"))),
		l.d.Ref("table-contrasts"), paper.T("."+alone))
	for _, c := range told {
		ids := l.notes(c.Warnings)
		l.d.Item("–", 11, ids, paper.T(wording.Sentence(c.Reading)+paper.Marks(ids)))
	}
}

// switchTables are the numbers behind: the paths and the comparisons.
func (l *layout) switchTables() {
	s := l.r.Questions.Switches
	if t := l.pathTable(s); len(t.Rows) > 0 {
		l.d.Space(2)
		l.d.Table(t)
	}
	l.groupTable("table-contrasts", "Switched against kept: expression of the next course, points", "Each against those that kept the style they had. ", "switched against kept", s.Contrasts)
}

func (l *layout) pathTable(s results.SwitchAnalysis) paper.Table {
	t := paper.Table{ID: "table-paths", Title: "Movements that fell short and were planned again, by axis and style path", Columns: []paper.Column{
		{Head: "Path"},
		{Head: "Cases / movements", W: 19, Right: true},
		{Head: "First %", W: 9, Right: true},
		{Head: "Next %", W: 9, Right: true},
		{Head: "Change (" + l.level() + "\u00a0CI)", W: 26, Right: true},
		{Head: "Expected", W: 16, Right: true},
		{Head: "At most", W: 8, Right: true},
		{Head: "P", W: 12, Right: true},
	}, Below: []paper.Run{paper.M("Expected: change without any effect, from method error alone; at most: if nothing of the first result were the tooth's own. P: clustered signed rank (Datta & Satten 2008, Biometrics 64:501-507), not corrected. Not followed: " + leftText(s.NotPaired) + ". Drawn in "), l.d.Ref("switches"), paper.M("; paths with too few cases for an interval: " + onSheet("switch paths") + ".")}}
	last := casebook.NoAxis
	for _, x := range s.Paths {
		if x.Suppressed || !x.Change.Low.OK() {
			continue
		}
		if x.Axis != last {
			t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(x.Axis.String()))}})
			last = x.Axis
		}
		ids := l.notes(x.Warnings)
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: pathLabel(x)},
			{Text: pair(x.Cases, x.Movements)},
			{Text: wording.Whole(x.First.Value)},
			{Text: wording.Whole(x.Next.Value)},
			{Text: spreadPoints(x.Change), Notes: ids},
			{Text: wording.Points(x.Expected.Change)},
			{Text: wording.Points(x.Expected.AtMost)},
			{Text: wording.P(x.PairedP)},
		}})
	}
	return t
}

func spreadPoints(s results.Spread) string {
	if !s.Low.OK() || !s.High.OK() {
		return wording.Points(s.Value)
	}
	return wording.Points(s.Value) + " (" + wording.PointLimits(s.Low, s.High) + ")"
}

// leftText lists what left, "3 not measured; 5 not planned again".
func leftText(es []results.Exclusion) string {
	if len(es) == 0 {
		return "none"
	}
	s := ""
	for i, e := range es {
		if i > 0 {
			s += "; "
		}
		s += wording.Count(e.Movements) + " " + lowerFirst(e.Reason)
	}
	return s
}
