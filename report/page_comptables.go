package report

import (
	"fmt"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
)

func (l *layout) comparisonTable() {
	drawn := judged(l.r.Comparisons)
	if len(drawn) == 0 {
		return
	}
	t := paper.Table{ID: "table-comparisons", Title: "Clinician-designed (CD) against software-suggested (SS), points of expression", Columns: []paper.Column{
		{Head: "Movement, course"},
		{Head: "Cases CD v SS", W: 15, Right: true},
		{Head: "Adjusted (" + l.level() + "\u00a0CI)", W: 26, Right: true},
		{Head: "P, corr.", W: 12, Right: true},
		{Head: "Could see", W: 10, Right: true},
		{Head: "More cases", W: 10, Right: true},
		{Head: "Verdict", W: 29},
	}, Below: []paper.Run{
		paper.M("CD clinician-designed, SS software-suggested. P is corrected for the number of comparisons. Could see: the difference in points that would have been found with 80 % power. More cases: how many more an arm would settle the observed difference; a dash where none would. Drawn in "),
		l.d.Ref("difference"), paper.M(". With movements, and by tooth class and arch (exploratory): " + onSheet("comparisons") + "."),
	}}
	for _, c := range chosen(drawn) {
		cl, sw := arm(c, casebook.ClinicianDesigned), arm(c, casebook.SoftwareSuggested)
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: l.shortName(c), Bold: highlighted(c)},
			{Text: versus(cl.Cases, sw.Cases)},
			{Text: pointsText(c.Adjusted), Bold: highlighted(c)},
			{Text: wording.P(c.Adjusted.PAdjusted)},
			{Text: wording.Whole(c.Detectable)},
			{Text: wording.Fixed(c.MoreCases, 0)},
			{Text: string(c.Verdict), Bold: highlighted(c), Notes: l.notes(c.Warnings)},
		}})
	}
	l.d.Space(2)
	l.d.Table(t)
}

// shortName is "Extrusion, initial", with the teeth where they are not all.
func (l *layout) shortName(c results.Comparison) string {
	s := wording.Capital(wording.Movement(c.By)) + ", " + wording.Course(c.By.Course)
	if !allTeeth(c.By) {
		s += ", " + wording.Place(c.By, l.set.Notation)
	}
	if c.Primary {
		s += " (primary)"
	}
	return s
}

// groupRow heads a group of rows.
func groupRow(gap bool, movement string, course results.CourseStratum) paper.Row {
	return paper.Row{Gap: gap, Full: []paper.Run{paper.B(wording.Capital(movement)), paper.M(", " + wording.Course(course))}}
}

// bothCases sets two groups of cases side by side; a dash where both are
// withheld, for a group without any case is not compared.
func bothCases(a, b int) string {
	if a == 0 && b == 0 {
		return wording.Dash
	}
	return versus(a, b)
}

func versus(a, b int) string { return wording.Count(a) + " v " + wording.Count(b) }

func arm(c results.Comparison, s casebook.Style) results.Arm {
	for _, a := range c.Arms {
		if a.Style == s {
			return a
		}
	}
	return results.Arm{}
}

// How many comparisons stand side by side in the tables of balance and of
// other choices.
const (
	balanceColumns = 5
	choiceColumns  = 4
)

// sideBySide picks the comparisons that are set out in columns: those told in words.
func sideBySide(cs []results.Comparison) (out []results.Comparison) {
	for _, c := range chosen(judged(cs)) {
		if highlighted(c) || c.Primary {
			out = append(out, c)
		}
	}
	return out
}

// balanceTable sets covariates against comparisons.
func (l *layout) balanceTable() {
	var told []results.Comparison
	for _, c := range sideBySide(l.r.Comparisons) {
		if len(c.Balance) > 0 {
			told = append(told, c)
		}
	}
	for i, part := range slices.Collect(slices.Chunk(told, balanceColumns)) {
		t := paper.Table{ID: "table-balance", Title: "Balance of the comparisons told in words: standardised differences, clinician-designed minus software-suggested", Columns: []paper.Column{{Head: "Covariate"}}}
		if i > 0 {
			t.ID = fmt.Sprintf("table-balance-%d", i)
			t.Title = "Balance, further comparisons"
		}
		var names []string
		overlap := []paper.Cell{{Text: "overlap of the plans"}}
		cl, sw := []paper.Cell{{Text: "mean plan, clinician-designed"}}, []paper.Cell{{Text: "mean plan, software-suggested"}}
		for _, c := range part {
			t.Columns = append(t.Columns, paper.Column{Head: l.shortName(c), W: 22, Right: true})
			overlap = append(overlap, paper.Cell{Text: wording.Percent(c.Overlap.ShareInside)})
			cl = append(cl, paper.Cell{Text: wording.Fine(arm(c, casebook.ClinicianDesigned).MeanPlanned, c.Unit)})
			sw = append(sw, paper.Cell{Text: wording.Fine(arm(c, casebook.SoftwareSuggested).MeanPlanned, c.Unit)})
			for _, b := range c.Balance {
				if !slices.Contains(names, b.Covariate) {
					names = append(names, b.Covariate)
				}
			}
		}
		t.Rows = append(t.Rows, paper.Row{Cells: overlap}, paper.Row{Cells: cl}, paper.Row{Cells: sw})
		for _, name := range names {
			t.Rows = append(t.Rows, balanceRow(name, part))
		}
		if (i+1)*balanceColumns >= len(told) {
			t.Below = []paper.Run{paper.M("A standardised difference beyond ±0.1 is often taken as imbalance (Austin 2009, Stat Med 28:3083-3107). Overlap: movements inside the central 90 % of the other style's planned amounts. Means and shares, and every comparison: " + onSheet("balance") + ".")}
		}
		l.d.Space(2)
		l.d.Table(t)
	}
}

func balanceRow(name string, cs []results.Comparison) paper.Row {
	row := paper.Row{Cells: []paper.Cell{{Text: name}}}
	for _, c := range cs {
		cell := paper.Cell{Text: wording.Dash, Muted: true}
		for _, b := range c.Balance {
			if b.Covariate == name {
				cell = paper.Cell{Text: wording.Fixed(b.SMD, 2)}
			}
		}
		row.Cells = append(row.Cells, cell)
	}
	return row
}
