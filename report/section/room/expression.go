package room

import (
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/document"
)

// How much of each planned movement was expressed.
var _ = Furnish("expression", Room{
	Exhibits: Exhibits{"directions": directionTable, "classes": classTable, "by-tooth": toothTable},
	OffPaper: []string{"by-tooth"},
	Sheets:   expressionSheets,
})

// measures are the cells of a row of expression after its name.
func measures(c *results.Cell) []document.Cell {
	if c.Suppressed {
		return []document.Cell{noted(tooFew, c.Warnings), {}, {}, {}, {}, {}}
	}
	o := c.OutsideTolerance
	return []document.Cell{
		Words(pair(c.Cases, c.Movements)), noted(Expressed(c), c.Warnings), noted(Estimate(o.Value, o.Low, o.High), o.Warnings), Words(smallPlans(c)),
		Words(wording.Middle(c)), Words(wording.Amount(c.MeanAbsError, c.Unit)),
	}
}

// smallPlans are the plans no larger than the tolerance: outside of it all the same, and all.
func smallPlans(c *results.Cell) string {
	switch {
	case !c.SmallPlans.OK(): // withheld
		return ""
	case c.SmallPlans == 0:
		return wording.Dash
	}
	return wording.Count(int(c.SmallOutside)) + "/" + wording.Count(int(c.SmallPlans))
}

// expressionRows fills a table with the cells of the grid that fit.
func expressionRows(m *Maker, e *results.Exhibit, fit func(results.By) bool, head, name func(results.By) string) document.Block {
	t := rowsOf{Table: table(e)}
	at := map[[2]string]int{} // the row of a head and a name
	for i := range m.Results.Expression {
		c := &m.Results.Expression[i]
		if !fit(c.By) {
			continue
		}
		first := Words(name(c.By))
		first.ID = m.onlyStyle(c, &first)
		key := [2]string{head(c.By), first.Text}
		if k, ok := at[key]; ok { // sizes without direction: the axis and the one direction are the same movements
			t.Rows[k].Cells[0].ID = RowID(c.By)
			continue
		}
		if m.sameAsAll(c) {
			continue
		}
		t.group(key[0])
		at[key] = len(t.Rows)
		t.Rows = append(t.Rows, document.Row{ID: RowID(c.By), Cells: append([]document.Cell{first}, measures(c)...)})
	}
	return orNil(t.Table)
}

// ofStyle is the cell of one style beside that of all.
func (m *Maker) ofStyle(c *results.Cell, s casebook.Style) (*results.Cell, bool) {
	by := c.By
	by.Style = s
	x, ok := m.Cells[by]
	return x, ok
}

// sameAsAll is true of a style under which all movements of its cell were planned: the
// row of all styles says it once.
func (m *Maker) sameAsAll(c *results.Cell) bool {
	all, ok := m.ofStyle(c, casebook.NoStyle)
	return ok && c.By.Style != casebook.NoStyle && !c.Suppressed && !all.Suppressed && c.Movements == all.Movements
}

// onlyStyle names the one style of a row of all styles, where there is one, and gives the
// id by which its own numbers are found.
func (m *Maker) onlyStyle(c *results.Cell, name *document.Cell) (id string) {
	if c.By.Style != casebook.NoStyle {
		return ""
	}
	for _, s := range casebook.Styles() {
		if x, ok := m.ofStyle(c, s); ok && m.sameAsAll(x) {
			if c.By.ToothClass == casebook.NoClass { // else the row is named after its teeth
				name.Text = "all: " + wording.Style(s)
			}
			return RowID(x.By)
		}
	}
	return ""
}

// RowID names the row of a cell of the grid.
func RowID(by results.By) string {
	parts := []string{"cell", by.Axis.String(), by.Direction.String(), by.ToothClass.String(), by.Arch.String(), by.Tooth.String(), by.Style.String(), string(by.Course)}
	parts = slices.DeleteFunc(parts, func(s string) bool { return s == "" })
	return strings.ReplaceAll(strings.Join(parts, "-"), " ", "-")
}

func directionTable(m *Maker, e *results.Exhibit) document.Block {
	return expressionRows(m, e, func(b results.By) bool {
		return b.Direction != casebook.NoDirection && b.AllTeeth()
	}, func(b results.By) string {
		return wording.Capital(m.Names.Direction(b.Direction)) + ", " + wording.Course(b.Course)
	}, func(b results.By) string { return wording.Style(b.Style) })
}

func classTable(m *Maker, e *results.Exhibit) document.Block {
	drawn := func(b results.By) bool {
		return b.Course == results.Initial && slices.ContainsFunc(m.Results.Front.Arches.Axes, func(a results.FrontArch) bool { return a.Direction == b.Direction })
	}
	return expressionRows(m, e, func(b results.By) bool {
		return b.ToothClass != casebook.NoClass && b.Style == casebook.NoStyle && b.Arch == casebook.NoArch && (b.Direction == casebook.NoDirection || drawn(b))
	}, func(b results.By) string {
		return wording.Capital(m.Names.Movement(b)) + ", " + wording.Course(b.Course)
	}, func(b results.By) string { return wording.Teeth(b.ToothClass) })
}

// toothTable holds every tooth's own numbers, initial courses and refinements.
func toothTable(m *Maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, a := range casebook.Axes() {
		for _, tooth := range casebook.AllTeeth() {
			row, some := []document.Cell{Words(tooth.In(m.Settings.Notation))}, false
			for _, s := range []results.CourseStratum{results.Initial, results.Refinement} {
				c, ok := m.Cells[results.By{Axis: a, Tooth: tooth, Course: s}]
				some = some || ok
				switch {
				case !ok:
					row = append(row, Words(wording.Dash), Words(wording.Dash))
				case c.Suppressed:
					row = append(row, document.Cell{}, noted(tooFew, c.Warnings))
				default:
					row = append(row, Words(wording.Count(c.Cases)), noted(Estimate(c.Estimate, c.Low, c.High), c.Warnings))
				}
			}
			if some {
				t.group(wording.Capital(a.String()))
				t.Rows = append(t.Rows, document.Row{ID: RowID(results.By{Axis: a, Tooth: tooth, Course: results.Initial}), Cells: row})
			}
		}
	}
	return orNil(t.Table)
}

func expressionSheets(m *Maker) []document.Sheet {
	type cell = results.Cell
	n := func(head string, v func(cell) any) Field[cell] {
		return Field[cell]{head, 13, func(c cell) any { return blankIf(c.Suppressed, v(c)) }}
	}
	cols := append(byColumns(m, func(c cell) results.By { return c.By }, true),
		Field[cell]{"unit", 8, func(c cell) any { return c.Unit.String() }},
		n("cases", func(c cell) any { return c.Cases }), n("movements", func(c cell) any { return c.Movements }),
		n("planned total (unit)", func(c cell) any { return c.PlannedTotal }), n("achieved total (unit)", func(c cell) any { return c.AchievedTotal }),
		n("expression (ratio)", func(c cell) any { return c.Estimate }), n("low", func(c cell) any { return c.Low }), n("high", func(c cell) any { return c.High }),
		n("standard error", func(c cell) any { return c.SE }), n("df", func(c cell) any { return c.DF }), n("design effect", func(c cell) any { return c.DesignEffect }),
		n("outside tolerance (count)", func(c cell) any { return c.OutsideTolerance.Numerator }), n("outside tolerance (share)", func(c cell) any { return c.OutsideTolerance.Value }),
		n("low (share)", func(c cell) any { return c.OutsideTolerance.Low }), n("high (share)", func(c cell) any { return c.OutsideTolerance.High }),
		n("plans within tolerance", func(c cell) any { return c.SmallPlans }), n("of these outside it", func(c cell) any { return c.SmallOutside }),
		n("average patient (ratio)", func(c cell) any { return c.AveragePatient.Value }), n("average patient: low", func(c cell) any { return c.AveragePatient.Low }), n("average patient: high", func(c cell) any { return c.AveragePatient.High }),
		n("median ratio", func(c cell) any { return c.MedianRatio }), n("lower quartile", func(c cell) any { return c.LowerQuartile }), n("upper quartile", func(c cell) any { return c.UpperQuartile }),
		n("mean absolute error (unit)", func(c cell) any { return c.MeanAbsError }), n("mean difference (unit)", func(c cell) any { return c.MeanDifference.Value }),
		n("percentage accuracy", func(c cell) any { return c.PercentF2 }), n("slope", func(c cell) any { return c.Slope }),
		Field[cell]{"suppressed", 11, func(c cell) any { return c.Suppressed }},
		Field[cell]{"warnings", 60, func(c cell) any { return warningText(c.Warnings, c.OutsideTolerance.Warnings) }})
	return []document.Sheet{Sheet("expression", m.Results.Expression, cols)}
}
