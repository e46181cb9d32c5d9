package report

import (
	"fmt"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
)

// outlook is what past plans suggest about the next ones and about the next audit.
func (l *layout) outlook() {
	o := l.r.Questions.Outlook
	if len(o.Expected) == 0 && len(o.Undecided) == 0 {
		return
	}
	l.d.Section("section-outlook", "What to expect, and what more cases would settle", 120)
	for _, c := range o.Cautions {
		l.d.Para(11, nil, paper.B(c))
		l.d.Space(0.25)
	}
	for _, u := range []casebook.Unit{casebook.Millimetre, casebook.Degree} {
		l.bandFigure(o, u)
	}
	l.undecided(o)
}

// middle picks the plan of middle size of each cell: results hold three sizes a cell.
func middle(es []results.Expectation, u casebook.Unit) []results.Expectation {
	var out []results.Expectation
	for i := 0; i < len(es); {
		j := i
		for j < len(es) && es[j].By == es[i].By {
			j++
		}
		if es[i].Unit == u {
			out = append(out, es[i+(j-i)/2])
		}
		i = j
	}
	return out
}

func (l *layout) bandFigure(o results.Outlook, u casebook.Unit) {
	es := middle(o.Expected, u)
	if len(es) == 0 {
		return
	}
	var rows []chart.BandRow
	var parts []part
	for _, e := range es {
		ids := l.notes(e.Warnings)
		row := chart.BandRow{
			Label: wording.Capital(wording.Movement(e.By)), Detail: wording.Teeth(e.By.ToothClass),
			Planned: number(e.Planned), Expected: number(e.Expected), Low: number(e.Low), High: number(e.High),
			N: wording.Count(e.Cases) + " / " + wording.Count(e.Movements), Marks: paper.Marks(ids),
			Text: bandText(e), Held: wording.Percent(e.Held.Value),
		}
		rows, parts = append(rows, row), append(parts, part{chart.RowHeight, ids})
	}
	lo, hi := chart.BandRange(rows)
	of100 := fmt.Sprintf("%.0f of 100", 100*float64(o.Share))
	unit := wording.Unit(u)
	title := fmt.Sprintf("Of 100 movements planned like this, where %.0f would be expected to end: middle plans, in %s", 100*float64(o.Share), unit)
	id := "bands-" + u.String()
	figure := func(from, to int) paper.Figure {
		fig := chart.Bands{Title: title, Unit: unit, Share: of100, Rows: rows[from:to], Width: l.d.Width(), Lo: lo, Hi: hi}
		return paper.Figure{ID: id, Title: title, Chart: fig.Figure(bandDesc(es)), Below: []paper.Run{
			paper.M("Initial courses. The upright bar is the plan. Band held: share of the practice's own movements inside the band computed without their case. " + wording.Sentence(o.Method) + " Smaller and larger plans: " + onSheet("expected results") + "."),
		}}
	}
	l.d.Space(0.5)
	spread{l: l, parts: parts, frame: chart.BandFrame + l.d.Frame(figure(0, 0)), even: true, make: figure}.place()
}

func bandText(e results.Expectation) string {
	dec := 0
	if e.Unit == casebook.Millimetre {
		dec = 1
	}
	return fmt.Sprintf("%s (%s to %s)", wording.Fixed(e.Expected, dec), wording.Fixed(e.Low, dec), wording.Fixed(e.High, dec))
}

func bandDesc(es []results.Expectation) string {
	s := ""
	for _, e := range es {
		s += e.Sentence + " "
	}
	return s
}

// mostUndecided bounds the list in the text; the workbook has all.
const mostUndecided = 8

func (l *layout) undecided(o results.Outlook) {
	if len(o.Undecided) == 0 {
		return
	}
	l.d.Heading("Undecided comparisons", 40)
	l.d.Para(11, nil, paper.T(fmt.Sprintf("%s a quarter have begun of late. At that rate, of the comparisons over all teeth that are not distinguishable:", casesText(o.CasesPerQuarter))))
	n := 0
	for _, u := range o.Undecided {
		if u.By.ToothClass != casebook.NoClass || u.By.Arch != casebook.NoArch || u.By.Course != results.Initial || n == mostUndecided {
			continue
		}
		l.d.Item("–", 11, nil, paper.T(wording.Sentence(u.Sentence)))
		n++
	}
	l.d.Para(11, nil, paper.M("Every undecided comparison: "+onSheet("undecided")+"; how closely each expression is known: sheet “precision”."))
}

func casesText(n results.Number) string {
	if !n.OK() {
		return "No cases"
	}
	return wording.Fixed(n, 0) + " cases"
}
