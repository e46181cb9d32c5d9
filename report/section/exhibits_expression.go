package section

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
)

// measures are the cells of a row of expression after its name.
func measures(c *results.Cell) []document.Cell {
	if c.Suppressed {
		return []document.Cell{noted(tooFew, c.Warnings), {}, {}, {}, {}}
	}
	o := c.OutsideTolerance
	return []document.Cell{
		words(pair(c.Cases, c.Movements)), noted(Estimate(c.Estimate, c.Low, c.High), c.Warnings), noted(Estimate(o.Value, o.Low, o.High), o.Warnings),
		words(Estimate(c.MedianRatio, c.LowerQuartile, c.UpperQuartile)), words(wording.Amount(c.MeanAbsError, c.Unit)),
	}
}

// expressionRows fills a table with the cells of the grid that fit.
func expressionRows(m *maker, e *results.Exhibit, fit func(results.By) bool, head, name func(results.By) string) document.Block {
	t := rowsOf{Table: table(e)}
	for i := range m.r.Expression {
		c := &m.r.Expression[i]
		if !fit(c.By) {
			continue
		}
		t.group(head(c.By))
		row := append([]document.Cell{words(name(c.By))}, measures(c)...)
		t.Rows = append(t.Rows, document.Row{ID: rowID(c.By), Cells: row})
	}
	return orNil(t.Table)
}

// rowID names the row of a cell of the grid.
func rowID(by results.By) string {
	parts := []string{"cell", by.Axis.String(), by.Direction.String(), by.ToothClass.String(), by.Style.String(), string(by.Course)}
	parts = slices.DeleteFunc(parts, func(s string) bool { return s == "" })
	return strings.ReplaceAll(strings.Join(parts, "-"), " ", "-")
}

func directionTable(m *maker, e *results.Exhibit) document.Block {
	return expressionRows(m, e, func(b results.By) bool {
		return b.Direction != casebook.NoDirection && allTeeth(b)
	}, func(b results.By) string {
		return wording.Capital(b.Direction.String()) + ", " + wording.Course(b.Course)
	}, func(b results.By) string { return wording.Style(b.Style) })
}

func classTable(m *maker, e *results.Exhibit) document.Block {
	return expressionRows(m, e, func(b results.By) bool {
		return b.ToothClass != casebook.NoClass && b.Direction == casebook.NoDirection && b.Style == casebook.NoStyle && b.Arch == casebook.NoArch
	}, func(b results.By) string {
		return wording.Capital(b.Axis.String()) + ", " + wording.Course(b.Course)
	}, func(b results.By) string { return wording.Teeth(b.ToothClass) })
}

// toothTable holds every tooth's own numbers, initial courses and refinements.
func toothTable(m *maker, e *results.Exhibit) document.Block {
	t := rowsOf{Table: table(e)}
	for _, a := range casebook.Axes() {
		for _, tooth := range casebook.AllTeeth() {
			row, some := []document.Cell{words(tooth.In(m.set.Notation))}, false
			for _, s := range []results.CourseStratum{results.Initial, results.Refinement} {
				c, ok := m.cells[results.By{Axis: a, Tooth: tooth, Course: s}]
				some = some || ok
				switch {
				case !ok:
					row = append(row, words(wording.Dash), words(wording.Dash))
				case c.Suppressed:
					row = append(row, document.Cell{}, noted(tooFew, c.Warnings))
				default:
					row = append(row, words(wording.Count(c.Cases)), noted(Estimate(c.Estimate, c.Low, c.High), c.Warnings))
				}
			}
			if some {
				t.group(wording.Capital(a.String()))
				t.add(row...)
			}
		}
	}
	return orNil(t.Table)
}

type planDrawing struct{ chart.PlanPanels }

func (d planDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure(d.Title)
}

// byPlan sets achieved against planned by size of plan, a panel an axis.
func byPlan(m *maker, e *results.Exhibit) document.Block {
	d := planDrawing{chart.PlanPanels{Title: e.Title}}
	data := document.Table{Title: e.Title, Columns: []document.Column{{Title: "Style"}, {Title: "Cases", Number: true}, {Title: "Movements", Number: true}, {Title: "Planned, median", Number: true}, {Title: "Achieved, median (quartiles)", Number: true}}}
	for _, a := range casebook.Axes() {
		p := chart.PlanPanel{Title: m.axisName(a), Unit: wording.Unit(a.Unit()), Tolerance: m.set.Tolerance(a.Unit())}
		for _, s := range casebook.Styles() {
			x := chart.PlanSeries{Name: wording.Style(s), Marker: markers[s]}
			for _, b := range chosen(e, m.r.Questions.ByPlan) {
				if b.Axis != a || b.Style != s || b.Suppressed || !b.Low.OK() {
					continue
				}
				if len(p.Series) == 0 && len(x.Points) == 0 {
					data.Rows = append(data.Rows, document.Row{Group: document.Strong(p.Title)})
				}
				x.Points = append(x.Points, chart.PlanPoint{Planned: number(b.Planned), Achieved: number(b.Achieved), Low: number(b.Low), High: number(b.High)})
				data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{
					words(x.Name), words(wording.Count(b.Cases)), words(wording.Count(b.Movements)), words(wording.Fine(b.Planned, b.Unit)),
					words(wording.FineInterval(b.Achieved, b.Low, b.High, b.Unit)),
				}})
			}
			if len(x.Points) > 0 {
				p.Series = append(p.Series, x)
			}
		}
		if len(p.Series) > 0 {
			d.Panels = append(d.Panels, p)
		}
	}
	if len(d.Panels) == 0 {
		return nil
	}
	return document.Figure{ID: target(e.ID), Title: e.Title, Desc: "Median achieved on median planned, by axis and style; the numbers are in the table.", Drawings: []document.Drawing{d}, Data: &data}
}

type bandDrawing struct{ chart.Bands }

func (d bandDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure(d.Title)
}

func (d bandDrawing) Parts() int { return len(d.Rows) }

func (d bandDrawing) Part(from, to int) document.Drawing {
	d.Rows = d.Rows[from:to]
	return d
}

// bands shows where plans of middle size would be expected to end.
func bands(m *maker, e *results.Exhibit) document.Block {
	o := m.r.Questions.Outlook
	d := bandDrawing{chart.Bands{Title: e.Title, Share: fmt.Sprintf("%.0f of 100", 100*float64(o.Share))}}
	data := document.Table{Title: e.Title, Columns: []document.Column{{Title: "Movement, teeth"}, {Title: "Planned", Number: true}, {Title: "Expected (band)", Number: true}, {Title: "Band held", Number: true}, {Title: "Cases / movements", Number: true}}}
	for _, x := range chosen(e, o.Expected) {
		d.Unit = wording.Unit(x.Unit)
		dec := 0
		if x.Unit == casebook.Millimetre {
			dec = 1
		}
		text := fmt.Sprintf("%s (%s to %s)", wording.Fixed(x.Expected, dec), wording.Fixed(x.Low, dec), wording.Fixed(x.High, dec))
		d.Rows = append(d.Rows, chart.BandRow{
			Label: wording.Capital(wording.Movement(x.By)), Detail: wording.Teeth(x.By.ToothClass), Planned: number(x.Planned), Expected: number(x.Expected), Low: number(x.Low), High: number(x.High),
			N: pair(x.Cases, x.Movements), Text: text, Held: wording.Percent(x.Held.Value),
		})
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{
			words(wording.Capital(wording.Movement(x.By)) + ", " + wording.Teeth(x.By.ToothClass)), words(wording.Fine(x.Planned, x.Unit)), noted(text, x.Warnings), words(wording.Percent(x.Held.Value)), words(pair(x.Cases, x.Movements)),
		}})
	}
	if len(d.Rows) == 0 {
		return nil
	}
	d.Lo, d.Hi = chart.BandRange(d.Rows)
	if math.IsNaN(d.Lo) || math.IsNaN(d.Hi) {
		return nil
	}
	return document.Figure{ID: target(e.ID), Title: e.Title, Desc: "Expected ends with their bands; the numbers are in the table.", Drawings: []document.Drawing{d}, Data: &data}
}
