package room

import (
	"fmt"
	"slices"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
	"shortfall/report/chart"
	"shortfall/report/document"
)

// Achieved against planned by the size of the plan.
var _ = Furnish("byplan", Room{
	Exhibits: Exhibits{"figure": byPlan},
	Sheets:   byPlanSheets,
})

type planDrawing struct{ chart.PlanPanels }

func (d planDrawing) Draw(w float64) *chart.Figure {
	d.Width = w
	return d.Figure(d.Title)
}

// byPlan sets achieved against planned by size of plan, a panel an axis.
func byPlan(m *Maker, e *results.Exhibit) document.Block {
	d := planDrawing{chart.PlanPanels{Title: e.Title}}
	data := document.Table{Title: e.Title, Columns: []document.Column{{Title: "Style"}, {Title: "Cases", Number: true}, {Title: "Movements", Number: true}, {Title: "Planned, median", Number: true}, {Title: "Achieved, median (quartiles)", Number: true}}}
	for _, a := range casebook.Axes() {
		p := chart.PlanPanel{Title: m.AxisName(a), Unit: wording.Unit(a.Unit()), Tolerance: m.Settings.Tolerance(a.Unit())}
		for _, s := range casebook.Styles() {
			x := chart.PlanSeries{Name: wording.Style(s), Marker: Markers[s]}
			for _, b := range chosen(e, m.Results.Questions.ByPlan) {
				if b.Axis != a || b.Style != s || b.Suppressed || !b.Low.OK() {
					continue
				}
				if len(p.Series) == 0 && len(x.Points) == 0 {
					data.Rows = append(data.Rows, document.Row{Group: document.Strong(p.Title)})
				}
				x.Points = append(x.Points, chart.PlanPoint{ID: PlanKey(b), Title: wording.Style(s) + ", " + wording.Of(b.Movements, "movement"), Planned: Number(b.Planned), Achieved: Number(b.Achieved), Low: Number(b.Low), High: Number(b.High)})
				data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{
					Words(x.Name), Words(wording.Count(b.Cases)), Words(wording.Count(b.Movements)),
					{Text: wording.Fine(b.Planned, b.Unit), Datum: PlanKey(b)},
					Words(wording.FineInterval(b.Achieved, b.Low, b.High, b.Unit)),
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
	return document.Figure{ID: Anchor(e.ID), Title: e.Title, Desc: "Median achieved on median planned, by axis and style; the numbers are in the table.", Drawings: byRow(d), Data: &data}
}

// PlanKey is the key of a point: plans of one size.
func PlanKey(b results.PlanBin) string {
	return fmt.Sprintf("planned %s %s %v", b.Axis, b.Style, b.From)
}

// byRow makes a drawing of each row of panels, so that a page can end between them.
func byRow(d planDrawing) (out []document.Drawing) {
	for row := range slices.Chunk(d.Panels, chart.PlanAcross) {
		d.Panels = row
		out = append(out, d)
	}
	return out
}

func byPlanSheets(m *Maker) []document.Sheet {
	type bin = results.PlanBin
	cols := append([]Field[bin]{
		{"axis", 20, func(x bin) any { return x.Axis.String() }},
		{"unit", 8, func(x bin) any { return x.Unit.String() }},
		{"style", 22, func(x bin) any { return wording.Style(x.Style) }},
		{"planned from (unit)", 11, func(x bin) any { return x.From }},
		{"planned below (unit)", 11, func(x bin) any { return x.To }},
	}, shown(func(x bin) bool { return x.Suppressed }, []Field[bin]{
		{"cases", 11, func(x bin) any { return x.Cases }},
		{"movements", 11, func(x bin) any { return x.Movements }},
		{"planned: median (unit)", 12, func(x bin) any { return x.Planned }},
		{"achieved: median (unit)", 12, func(x bin) any { return x.Achieved }},
		{"achieved: lower quartile (unit)", 12, func(x bin) any { return x.Low }},
		{"achieved: upper quartile (unit)", 12, func(x bin) any { return x.High }},
	})...)
	return []document.Sheet{Sheet("planned and achieved", m.Results.Questions.ByPlan, append(cols,
		Field[bin]{"suppressed", 11, func(x bin) any { return x.Suppressed }},
		Field[bin]{"warnings", 60, func(x bin) any { return warningText(x.Warnings) }}))}
}
