package report

import (
	"fmt"

	"shortfall/audit"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/paper"
	"shortfall/report/wording"
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
func middle(es []audit.Expectation, u casebook.Unit) []audit.Expectation {
	var out []audit.Expectation
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

func (l *layout) bandFigure(o audit.Outlook, u casebook.Unit) {
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
	unit := map[casebook.Unit]string{casebook.Millimetre: "mm", casebook.Degree: "degrees"}[u]
	title := fmt.Sprintf("Of 100 movements planned like this, where %.0f would be expected to end: middle plans, in %s", 100*float64(o.Share), unit)
	id := "bands-" + u.String()
	figure := func(from, to int) paper.Figure {
		fig := chart.Bands{Title: title, Unit: unit, Share: of100, Rows: rows[from:to], Width: l.d.Width(), Lo: lo, Hi: hi}
		return paper.Figure{ID: id, Title: title, Chart: fig.Figure(bandDesc(es)), Below: []paper.Run{
			paper.M("Initial courses. The upright bar is the plan. Band held: share of the practice's own movements inside the band computed without their case. " + wording.Sentence(o.Method) + " Smaller and larger plans: "),
			l.d.Ref("table-expected"), paper.M("."),
		}}
	}
	l.d.Space(0.5)
	spread{l: l, parts: parts, frame: chart.BandFrame + l.d.Frame(figure(0, 0)), even: true, make: figure}.place()
}

func bandText(e audit.Expectation) string {
	dec := 0
	if e.Unit == casebook.Millimetre {
		dec = 1
	}
	return fmt.Sprintf("%s (%s to %s)", wording.Fixed(e.Expected, dec), wording.Fixed(e.Low, dec), wording.Fixed(e.High, dec))
}

func bandDesc(es []audit.Expectation) string {
	s := ""
	for _, e := range es {
		s += e.Sentence + " "
	}
	return s
}

// mostUndecided bounds the list in the text; the table of comparisons has all.
const mostUndecided = 8

func (l *layout) undecided(o audit.Outlook) {
	if len(o.Undecided) == 0 {
		return
	}
	l.d.Heading("Undecided comparisons", 40)
	l.d.Para(11, nil, paper.T(fmt.Sprintf("%s a quarter have begun of late. At that rate, of the comparisons over all teeth that are not distinguishable:", casesText(o.CasesPerQuarter))))
	n := 0
	for _, u := range o.Undecided {
		if u.By.ToothClass != casebook.NoClass || u.By.Arch != casebook.NoArch || u.By.Course != audit.Initial || n == mostUndecided {
			continue
		}
		l.d.Item("–", 11, nil, paper.T(wording.Sentence(u.Sentence)))
		n++
	}
	l.d.Para(11, nil, paper.M("Every undecided comparison: "), l.d.Ref("table-undecided"), paper.M("; how closely each expression is known: "), l.d.Ref("table-precision"), paper.M("."))
}

func casesText(n audit.Number) string {
	if !n.OK() {
		return "No cases"
	}
	return wording.Fixed(n, 0) + " cases"
}

func (l *layout) outlookTables() {
	l.expectedTable()
	l.undecidedTable()
	l.precisionTable()
}

func (l *layout) expectedTable() {
	o := l.r.Questions.Outlook
	if len(o.Expected) == 0 {
		return
	}
	t := paper.Table{ID: "table-expected", Title: "Expected result of a plan of given size, initial courses", Columns: []paper.Column{
		{Head: "Teeth"},
		{Head: "Planned", W: 20, Right: true},
		{Head: "Expected", W: 22, Right: true},
		{Head: fmt.Sprintf("%.0f of 100 between", 100*float64(o.Share)), W: 40, Right: true},
		{Head: "Cases / movements", W: 30, Right: true},
		{Head: "Band held", W: 20, Right: true},
	}, Below: []paper.Run{paper.M("Lower quartile, median and upper quartile of what was planned. Information about past plans, not a prediction for a patient.")}}
	last := casebook.NoDirection
	for _, e := range o.Expected {
		if e.By.Direction != last {
			t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(e.By.Direction.String()))}})
			last = e.By.Direction
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: wording.Teeth(e.By.ToothClass)},
			{Text: wording.Amount(e.Planned, e.Unit)},
			{Text: wording.Amount(e.Expected, e.Unit)},
			{Text: wording.Amount(e.Low, e.Unit) + " and " + wording.Amount(e.High, e.Unit)},
			{Text: pair(e.Cases, e.Movements)},
			{Text: wording.Percent(e.Held.Value), Notes: l.notes(e.Warnings)},
		}})
	}
	l.d.Space(2)
	l.d.Table(t)
}

func (l *layout) undecidedTable() {
	us := l.r.Questions.Outlook.Undecided
	if len(us) == 0 {
		return
	}
	t := paper.Table{ID: "table-undecided", Title: "Comparisons not distinguishable: what could have been seen, and what would settle the observed difference", Columns: []paper.Column{
		{Head: "Teeth"},
		{Head: "Difference (" + l.level() + "\u00a0CI)", W: 34, Right: true},
		{Head: "Could see", W: 18, Right: true},
		{Head: "More cases in each style", W: 28, Right: true},
		{Head: "Cases a quarter", W: 24, Right: true},
		{Head: "Quarters", W: 18, Right: true},
	}, Below: []paper.Run{paper.M("Cells over both arches. Cases a quarter: of the slower style. A dash: no feasible number of cases would settle it.")}}
	last := audit.By{}
	for _, u := range us {
		if u.By.Arch != casebook.NoArch {
			continue
		}
		head := audit.By{Axis: u.By.Axis, Direction: u.By.Direction, Course: u.By.Course}
		if head != last {
			t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(wording.Movement(head))), paper.M(", " + wording.Course(head.Course))}})
			last = head
		}
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: wording.Place(u.By, l.set.Notation)},
			{Text: wording.Points(u.Difference) + " (" + wording.PointLimits(u.Low, u.High) + ")"},
			{Text: wording.Whole(u.Detectable)},
			{Text: wording.Fixed(u.MoreCases, 0)},
			{Text: wording.Fixed(u.CasesPerQuarter, 1)},
			{Text: wording.Fixed(u.Quarters, 0)},
		}})
	}
	l.d.Space(2)
	l.d.Table(t)
}

func (l *layout) precisionTable() {
	ps := l.r.Questions.Outlook.Precision
	if len(ps) == 0 {
		return
	}
	t := paper.Table{ID: "table-precision", Title: "How closely the expression of each direction is known", Columns: []paper.Column{
		{Head: "Movement"}, {Head: "Cases", W: 24, Right: true}, {Head: "Interval, ± points", W: 36, Right: true}, {Head: "Cases for ± 5 points", W: 40, Right: true},
	}}
	for _, x := range ps {
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: wording.Capital(wording.Movement(x.By)) + ", " + wording.Course(x.By.Course)},
			{Text: wording.Count(x.Cases)},
			{Text: wording.Whole(x.HalfWidth)},
			{Text: wording.Fixed(x.CasesForFive, 0)},
		}})
	}
	l.d.Space(2)
	l.d.Table(t)
}
