package report

import (
	"fmt"
	"slices"

	"shortfall/audit"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
	"shortfall/report/wording"
)

func (l *layout) comparisonTable() {
	drawn := judged(l.r.Comparisons)
	if len(drawn) == 0 {
		return
	}
	t := paper.Table{ID: "table-comparisons", Title: "Clinician-designed (CD) against software-suggested (SS), points of expression", Columns: []paper.Column{
		{Head: "Movement, course"},
		{Head: "Cases CD v SS", W: 15, Right: true},
		{Head: "Movements CD v SS", W: 19, Right: true},
		{Head: "Adjusted (" + l.level() + "\u00a0CI)", W: 26, Right: true},
		{Head: "P, corr.", W: 12, Right: true},
		{Head: "Could see", W: 10, Right: true},
		{Head: "More cases", W: 10, Right: true},
		{Head: "Verdict", W: 29},
	}, Below: []paper.Run{
		paper.M("CD clinician-designed, SS software-suggested. P is corrected for the number of comparisons. Could see: the difference in points that would have been found with 80 % power. More cases: how many more an arm would settle the observed difference; a dash where none would. Drawn in "),
		l.d.Ref("difference"), paper.M(". By tooth class and arch, exploratory: " + onSheet("comparisons") + "."),
	}}
	for _, c := range chosen(drawn) {
		cl, sw := arm(c, casebook.ClinicianDesigned), arm(c, casebook.SoftwareSuggested)
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: l.shortName(c), Bold: highlighted(c)},
			{Text: versus(cl.Cases, sw.Cases)},
			{Text: versus(cl.Movements, sw.Movements)},
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
func (l *layout) shortName(c audit.Comparison) string {
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
func groupRow(gap bool, movement string, course audit.CourseStratum) paper.Row {
	return paper.Row{Gap: gap, Full: []paper.Run{paper.B(wording.Capital(movement)), paper.M(", " + wording.Course(course))}}
}

func versus(a, b int) string { return wording.Count(a) + " v " + wording.Count(b) }

func arm(c audit.Comparison, s casebook.Style) audit.Arm {
	for _, a := range c.Arms {
		if a.Style == s {
			return a
		}
	}
	return audit.Arm{}
}

// inColumns is how many comparisons stand side by side in one table.
const inColumns = 4

// sideBySide picks the comparisons that are set out in columns: those told in words.
func sideBySide(cs []audit.Comparison) (out []audit.Comparison) {
	for _, c := range chosen(judged(cs)) {
		if highlighted(c) || c.Primary {
			out = append(out, c)
		}
	}
	return out
}

// balanceTable sets covariates against comparisons.
func (l *layout) balanceTable() {
	var told []audit.Comparison
	for _, c := range sideBySide(l.r.Comparisons) {
		if len(c.Balance) > 0 {
			told = append(told, c)
		}
	}
	for i, part := range slices.Collect(slices.Chunk(told, inColumns)) {
		t := paper.Table{ID: "table-balance", Title: "Balance of the comparisons told in words: clinician-designed v software-suggested (standardised difference)", Columns: []paper.Column{{Head: "Covariate"}}}
		if i > 0 {
			t.ID = fmt.Sprintf("table-balance-%d", i)
			t.Title = "Balance, further comparisons"
		}
		var names []string
		overlap := []paper.Cell{{Text: "overlap of the plans"}}
		for _, c := range part {
			t.Columns = append(t.Columns, paper.Column{Head: l.shortName(c), W: 30, Right: true})
			overlap = append(overlap, paper.Cell{Text: wording.Percent(c.Overlap.ShareInside)})
			for _, b := range c.Balance {
				if !slices.Contains(names, b.Covariate) {
					names = append(names, b.Covariate)
				}
			}
		}
		t.Rows = append(t.Rows, paper.Row{Cells: overlap})
		for _, name := range names {
			t.Rows = append(t.Rows, balanceRow(name, part))
		}
		if (i+1)*inColumns >= len(told) {
			t.Below = []paper.Run{paper.M("Means or shares; a standardised difference beyond ±0.1 is often taken as imbalance (Austin 2009, Stat Med 28:3083-3107). Overlap: movements inside the central 90 % of the other style's planned amounts. Every comparison: " + onSheet("balance") + ".")}
		}
		l.d.Space(2)
		l.d.Table(t)
	}
}

func balanceRow(name string, cs []audit.Comparison) paper.Row {
	row := paper.Row{Cells: []paper.Cell{{Text: name}}}
	for _, c := range cs {
		cell := paper.Cell{Text: wording.Dash, Muted: true}
		for _, b := range c.Balance {
			if b.Covariate == name {
				cell = paper.Cell{Text: fmt.Sprintf("%s v %s (%s)", wording.Fixed(b.Clinician, 2), wording.Fixed(b.Software, 2), wording.Fixed(b.SMD, 2))}
			}
		}
		row.Cells = append(row.Cells, cell)
	}
	return row
}
