package report

import (
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
)

// tables is the last section: the numbers behind the figures.
func (l *layout) tables() {
	if len(l.r.Expression) == 0 && len(l.r.Comparisons) == 0 {
		return
	}
	l.d.Section("section-tables", "Tables behind the figures", 110)
	l.d.Para(12, nil, paper.T("Printed are the rows that were judged or are drawn. Nothing is left out of the results workbook (shortfall replay RESULTS.json --xlsx FILE; a sheet for each table, named below it) and of results.json."))
	l.d.Space(0.5)
	l.d.Set(paper.Dense, func() {
		l.directionTable()
		l.classTable()
		l.toothTable()
		l.comparisonTable()
		l.balanceTable()
		l.caseMixTables()
		l.switchTables()
		l.groupTable("table-staging", "Combined against sequenced movements, points of expression", "", "staging", l.r.Questions.Staging.Comparisons)
		l.groupTable("table-fit", "Orientation with and against the table, points of expression", "", "orientation", l.r.Questions.Fit.Comparisons)
		l.unitTable()
	})
}

// onSheet says where in the workbook the rows are that a page has no room for.
func onSheet(name string) string { return "sheet “" + name + "” of the results workbook" }

// measures are the columns of a table of expression after its first ones.
func (l *layout) measures() []paper.Column {
	return []paper.Column{
		{Head: "Cases / movements", W: 21, Right: true},
		{Head: "Expression % (" + l.level() + " CI)", W: 26, Right: true},
		{Head: "Outside tolerance %", W: 25, Right: true},
		{Head: "Median % (quartiles)", W: 26, Right: true},
		{Head: "Mean absolute error", W: 17, Right: true},
	}
}

func (l *layout) measureCells(c results.Cell) []paper.Cell {
	ids := l.notes(c.Warnings)
	if c.Suppressed {
		return []paper.Cell{{Text: tooFewShort, Notes: ids}, {}, {}, {}, {}}
	}
	o := c.OutsideTolerance
	return []paper.Cell{
		{Text: pair(c.Cases, c.Movements)},
		{Text: estimateText(c.Estimate, c.Low, c.High), Notes: ids},
		{Text: estimateText(o.Value, o.Low, o.High), Notes: l.notes(o.Warnings)},
		{Text: estimateText(c.MedianRatio, c.LowerQuartile, c.UpperQuartile)},
		{Text: wording.Amount(c.MeanAbsError, c.Unit)},
	}
}

// choose lists the cells of the grid that fit, in the order of the results.
func (l *layout) choose(fit func(results.By) bool) []results.Cell {
	var out []results.Cell
	for _, c := range l.r.Expression {
		if fit(c.By) {
			out = append(out, c)
		}
	}
	return out
}

func (l *layout) directionTable() {
	cells := l.choose(func(b results.By) bool {
		return b.Direction != casebook.NoDirection && b.Tooth == 0 && b.ToothClass == casebook.NoClass && b.Arch == casebook.NoArch
	})
	if len(cells) == 0 {
		return
	}
	t := paper.Table{ID: "table-directions", Title: "Expression by direction, style and course", Columns: append([]paper.Column{{Head: "Course, direction and style"}}, l.measures()...)}
	t.Below = []paper.Run{paper.M("Quartiles and median are over movements. Drawn in "), l.d.Ref("forest"), paper.M("; with classes and arches: " + onSheet("expression") + ".")}
	last := results.By{}
	for _, c := range cells {
		head := results.By{Direction: c.By.Direction, Course: c.By.Course}
		if head != last {
			t.Rows = append(t.Rows, groupRow(len(t.Rows) > 0, c.By.Direction.String(), c.By.Course))
			last = head
		}
		t.Rows = append(t.Rows, paper.Row{Cells: append([]paper.Cell{{Text: wording.Style(c.By.Style)}}, l.measureCells(c)...)})
	}
	l.d.Table(t)
}

func (l *layout) classTable() {
	cells := l.choose(func(b results.By) bool {
		return b.ToothClass != casebook.NoClass && b.Direction == casebook.NoDirection && b.Style == casebook.NoStyle && b.Arch == casebook.NoArch
	})
	if len(cells) == 0 {
		return
	}
	t := paper.Table{ID: "table-classes", Title: "Expression by axis, tooth class and course, all styles", Columns: append([]paper.Column{{Head: "Axis, course, teeth"}}, l.measures()...)}
	last := results.By{}
	for _, c := range cells {
		head := results.By{Axis: c.By.Axis, Course: c.By.Course}
		if head != last {
			t.Rows = append(t.Rows, groupRow(len(t.Rows) > 0, c.By.Axis.String(), c.By.Course))
			last = head
		}
		t.Rows = append(t.Rows, paper.Row{Cells: append([]paper.Cell{{Text: wording.Teeth(c.By.ToothClass)}}, l.measureCells(c)...)})
	}
	l.d.Space(2)
	l.d.Table(t)
}

// toothTable holds the upper teeth on the left and the lower ones on the right,
// a row an axis and a pair of teeth that stand one above the other.
func (l *layout) toothTable() {
	half := []paper.Column{{Head: "Tooth", W: 10.7}, {Head: "Cases", W: 11, Right: true}, {Head: "% (" + l.level() + "\u00a0CI)", W: 20, Right: true}, {Head: "Ref.", W: 8, Right: true}, {Head: "% (" + l.level() + "\u00a0CI)", W: 20, Right: true}}
	cols := slices.Concat(half, half)
	cols[len(half)].W, cols[len(half)].Right = 16.7, true // space between the halves
	t := paper.Table{ID: "table-teeth", Title: "Expression by axis and tooth, all styles, both directions: initial courses, then refinements (cases under Ref.)", Columns: cols, Below: []paper.Run{
		paper.M("Ratio of sums, before any pooling. Drawn in "), l.d.Ref("dental"), paper.M(". With movements: " + onSheet("expression") + "."),
	}}
	teeth := casebook.AllTeeth()
	upper, lower := teeth[:len(teeth)/2], teeth[len(teeth)/2:]
	for _, a := range casebook.Axes() {
		first := true
		for i := range upper {
			left, anyLeft := l.toothHalf(a, upper[i])
			right, anyRight := l.toothHalf(a, lower[i])
			if !anyLeft && !anyRight {
				continue
			}
			if first {
				t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(a.String()))}})
				first = false
			}
			t.Rows = append(t.Rows, paper.Row{Cells: append(left, right...)})
		}
	}
	if len(t.Rows) == 0 {
		return
	}
	l.d.Space(2)
	l.d.Table(t)
}

// toothHalf is one tooth: initial courses and refinements.
func (l *layout) toothHalf(a casebook.Axis, tooth casebook.Tooth) (row []paper.Cell, any bool) {
	row = append(row, paper.Cell{Text: tooth.In(l.set.Notation)})
	for _, s := range strata {
		c, ok := l.cell(results.By{Axis: a, Tooth: tooth, Course: s})
		any = any || ok
		row = append(row, l.toothCells(c, ok)...)
	}
	return row, any
}

func (l *layout) toothCells(c results.Cell, ok bool) []paper.Cell {
	switch {
	case !ok:
		return []paper.Cell{{Text: wording.Dash, Muted: true}, {Text: wording.Dash, Muted: true}}
	case c.Suppressed:
		return []paper.Cell{{}, {Text: "too few", Notes: l.notes(c.Warnings)}}
	}
	return []paper.Cell{{Text: wording.Count(c.Cases)}, {Text: estimateText(c.Estimate, c.Low, c.High), Notes: l.notes(c.Warnings)}}
}

// dense sets a table of numbers with lines closer than those of running text.
func (l *layout) dense(t paper.Table) {
	l.d.Set(paper.Dense, func() { l.d.Table(t) })
}
