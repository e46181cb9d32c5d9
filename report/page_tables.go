package report

import (
	"shortfall/audit"
	"shortfall/ingest/casebook"
	"shortfall/report/paper"
	"shortfall/report/wording"
)

// tables is the last section: the numbers behind the figures.
func (l *layout) tables() {
	if len(l.r.Expression) == 0 && len(l.r.Comparisons) == 0 {
		return
	}
	l.d.Section("section-tables", "Tables behind the figures", 200)
	l.directionTable()
	l.classTable()
	l.toothTable()
	l.comparisonTable()
	l.balanceTable()
	l.caseMixTables()
	l.switchTables()
	l.groupTable("table-staging", "Combined against sequenced movements, points of expression", l.r.Questions.Staging.Comparisons)
	l.groupTable("table-fit", "Orientation with and against the table, points of expression", l.r.Questions.Fit.Comparisons)
	l.unitTable()
	l.outlookTables()
}

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

func (l *layout) measureCells(c audit.Cell) []paper.Cell {
	ids := l.notes(c.Warnings)
	if c.Suppressed {
		return []paper.Cell{{Text: tooFew, Notes: ids}, {}, {}, {}, {}}
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
func (l *layout) choose(fit func(audit.By) bool) []audit.Cell {
	var out []audit.Cell
	for _, c := range l.r.Expression {
		if fit(c.By) {
			out = append(out, c)
		}
	}
	return out
}

func (l *layout) directionTable() {
	cells := l.choose(func(b audit.By) bool {
		return b.Direction != casebook.NoDirection && b.Tooth == 0 && b.ToothClass == casebook.NoClass && b.Arch == casebook.NoArch
	})
	if len(cells) == 0 {
		return
	}
	t := paper.Table{ID: "table-directions", Title: "Expression by direction, style and course", Columns: append([]paper.Column{{Head: "Course, direction and style"}}, l.measures()...)}
	t.Below = []paper.Run{paper.M("Quartiles and median are over movements. Drawn in "), l.d.Ref("forest"), paper.M(".")}
	last := audit.By{}
	for _, c := range cells {
		head := audit.By{Direction: c.By.Direction, Course: c.By.Course}
		if head != last {
			t.Rows = append(t.Rows, groupRow(len(t.Rows) > 0, c.By.Direction.String(), c.By.Course))
			last = head
		}
		t.Rows = append(t.Rows, paper.Row{Cells: append([]paper.Cell{{Text: wording.Style(c.By.Style)}}, l.measureCells(c)...)})
	}
	l.d.Table(t)
}

func (l *layout) classTable() {
	cells := l.choose(func(b audit.By) bool {
		return b.ToothClass != casebook.NoClass && b.Direction == casebook.NoDirection && b.Style == casebook.NoStyle && b.Arch == casebook.NoArch
	})
	if len(cells) == 0 {
		return
	}
	t := paper.Table{ID: "table-classes", Title: "Expression by axis, tooth class and course, all styles", Columns: append([]paper.Column{{Head: "Axis, course, teeth"}}, l.measures()...)}
	last := audit.By{}
	for _, c := range cells {
		head := audit.By{Axis: c.By.Axis, Course: c.By.Course}
		if head != last {
			t.Rows = append(t.Rows, groupRow(len(t.Rows) > 0, c.By.Axis.String(), c.By.Course))
			last = head
		}
		t.Rows = append(t.Rows, paper.Row{Cells: append([]paper.Cell{{Text: wording.Teeth(c.By.ToothClass)}}, l.measureCells(c)...)})
	}
	l.d.Space(2)
	l.d.Table(t)
}

// toothTable holds one row a tooth and axis, initial and refinement side by side.
func (l *layout) toothTable() {
	t := paper.Table{ID: "table-teeth", Title: "Expression by axis and tooth, all styles, both directions", Columns: []paper.Column{
		{Head: "Tooth", W: 16},
		{Head: "Initial: cases / movements", W: 30, Right: true},
		{Head: "% (" + l.level() + " CI)", W: 30, Right: true},
		{Head: "Refinement: cases / movements", W: 36, Right: true},
		{Head: "% (" + l.level() + " CI)", W: 30, Right: true},
	}}
	t.Below = []paper.Run{paper.M("Drawn in "), l.d.Ref("dental"), paper.M(". Ratio of sums, before any pooling.")}
	for _, a := range casebook.Axes() {
		first := true
		for _, tooth := range casebook.AllTeeth() {
			row, any := []paper.Cell{{Text: tooth.In(l.set.Notation)}}, false
			for _, s := range strata {
				c, ok := l.cell(audit.By{Axis: a, Tooth: tooth, Course: s})
				any = any || ok
				row = append(row, l.toothCells(c, ok)...)
			}
			if !any {
				continue
			}
			if first {
				t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(a.String()))}})
				first = false
			}
			t.Rows = append(t.Rows, paper.Row{Cells: row})
		}
	}
	if len(t.Rows) == 0 {
		return
	}
	l.d.Space(2)
	l.d.Table(t)
}

func (l *layout) toothCells(c audit.Cell, ok bool) []paper.Cell {
	switch {
	case !ok:
		return []paper.Cell{{Text: wording.Dash, Muted: true}, {Text: wording.Dash, Muted: true}}
	case c.Suppressed:
		return []paper.Cell{{Text: tooFew, Notes: l.notes(c.Warnings)}, {}}
	}
	return []paper.Cell{{Text: pair(c.Cases, c.Movements)}, {Text: estimateText(c.Estimate, c.Low, c.High), Notes: l.notes(c.Warnings)}}
}

func (l *layout) comparisonTable() {
	if len(l.r.Comparisons) == 0 {
		return
	}
	t := paper.Table{ID: "table-comparisons", Title: "Clinician-designed (CD) against software-suggested (SS), points of expression", Columns: []paper.Column{
		{Head: "Teeth", W: 25},
		{Head: "Cases CD v SS", W: 15, Right: true},
		{Head: "Movements CD v SS", W: 19, Right: true},
		{Head: "Adjusted (" + l.level() + "\u00a0CI)", W: 29, Right: true},
		{Head: "P, corr.", W: 12, Right: true},
		{Head: "Could see", W: 10, Right: true},
		{Head: "More cases", W: 10, Right: true},
		{Head: "Verdict"},
	}, Below: []paper.Run{paper.M("CD clinician-designed, SS software-suggested; cells that are not comparable are in section “Did the feature choice matter”. P is corrected for the number of comparisons. Could see: the difference in points that would have been found with 80 % power. More cases: how many more an arm would settle the observed difference; a dash where none would. Drawn in "), l.d.Ref("difference"), paper.M(".")}}
	last := audit.By{}
	for _, c := range l.r.Comparisons {
		if c.Verdict == audit.NotComparable { // listed with its reason in its own table
			continue
		}
		head := audit.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: c.By.Course}
		if head != last {
			t.Rows = append(t.Rows, groupRow(len(t.Rows) > 0, wording.Movement(head), head.Course))
			last = head
		}
		cl, sw := arm(c, casebook.ClinicianDesigned), arm(c, casebook.SoftwareSuggested)
		t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
			{Text: wording.Place(c.By, l.set.Notation), Bold: highlighted(c)},
			{Text: versus(cl.Cases, sw.Cases)},
			{Text: versus(cl.Movements, sw.Movements)},
			{Text: pointsText(c.Adjusted), Bold: highlighted(c)},
			{Text: wording.P(c.Adjusted.PAdjusted)},
			{Text: wording.Whole(c.Detectable)},
			{Text: wording.Fixed(c.MoreCases, 0)},
			{Text: string(c.Verdict), Bold: highlighted(c), Notes: l.notes(c.Warnings)},
		}})
	}
	if len(t.Rows) == 0 {
		return
	}
	l.d.Space(2)
	l.d.Table(t)
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

// balanceTable sets the covariates of the arms side by side for the cells told in words.
func (l *layout) balanceTable() {
	t := paper.Table{ID: "table-balance", Title: "Balance of the highlighted and the primary comparisons, and overlap of their plans", Columns: []paper.Column{
		{Head: "Covariate", W: 54}, {Head: "Clinician-designed", W: 34, Right: true}, {Head: "Software-suggested", W: 36, Right: true}, {Head: "Standardised difference", W: 40, Right: true},
	}, Below: []paper.Run{paper.M("Means or shares; a standardised difference beyond ±0.1 is often taken as imbalance (Austin 2009, Stat Med 28:3083-3107). Overlap: movements inside the central 90 % of the other style's planned amounts.")}}
	for _, c := range l.r.Comparisons {
		if len(c.Balance) == 0 || c.Verdict == audit.NotComparable || !highlighted(c) && !c.Primary {
			continue
		}
		overlap := ""
		if c.Overlap.ShareInside.OK() {
			overlap = "; overlap " + wording.Percent(c.Overlap.ShareInside)
		}
		t.Rows = append(t.Rows, paper.Row{Gap: len(t.Rows) > 0, Full: []paper.Run{paper.B(wording.Capital(wording.Where(c.By, l.set.Notation))), paper.M(overlap)}})
		for _, b := range c.Balance {
			t.Rows = append(t.Rows, paper.Row{Cells: []paper.Cell{
				{Text: b.Covariate}, {Text: wording.Fixed(b.Clinician, 2)}, {Text: wording.Fixed(b.Software, 2)}, {Text: wording.Fixed(b.SMD, 2)},
			}})
		}
	}
	if len(t.Rows) > 0 {
		l.d.Space(2)
		l.d.Table(t)
	}
}
