package section

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/chart"
	"shortfall/report/document"
)

// When cases were first refined, counted from their start.
var _ = furnish("followup", room{
	exhibits: exhibits{"curve": refinementCurve},
	sheets:   func(m *maker) []document.Sheet { return []document.Sheet{monthSheet(m.r.FollowUp.Curve)} },
})

// refinementCurve is the share of cases with a first refinement by the month.
func refinementCurve(m *maker, e *results.Exhibit) document.Block {
	f := m.r.FollowUp
	if len(f.Curve) == 0 {
		return nil
	}
	line := chart.CumLine{Name: "first refinement", Mark: chart.Diamond}
	put := func(x float64, y, low, high results.Number) {
		line.X, line.Y = append(line.X, x), append(line.Y, 100*number(y))
		line.Low, line.High = append(line.Low, 100*number(low)), append(line.High, 100*number(high))
	}
	put(0, 0, 0, 0)
	data := document.Table{Title: e.Title, Columns: []document.Column{
		{Title: "Months"}, {Title: "Refined", Number: true}, {Title: wording.Level(m.set.Level) + " CI", Number: true}, {Title: "Refinements a case", Number: true},
	}}
	for _, s := range f.Curve {
		if !s.Refined.OK() || !s.Low.OK() || !s.High.OK() {
			continue
		}
		put(float64(s.Month), s.Refined, s.Low, s.High)
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{
			words(wording.Count(s.Month)), words(wording.Percent(s.Refined)), words(wording.Limits(s.Low, s.High)), words(wording.Fixed(s.Count, 2)),
		}})
	}
	c := chart.Cumulative{YLabel: "% of cases", Until: float64(f.Curve[len(f.Curve)-1].Month)}
	for _, h := range f.At {
		c.Ticks = append(c.Ticks, float64(h.Months))
		line.AtRisk = append(line.AtRisk, wording.Count(h.OpenCases))
	}
	c.Lines = []chart.CumLine{line}
	c.Title, c.Desc = e.Title, "Share of cases with a first refinement by months since their start, with the limits of its interval."
	return document.Figure{ID: target(e.ID), Title: e.Title, Desc: c.Desc, Drawings: []document.Drawing{c}, Data: &data}
}

// monthSheet is the curve in full.
func monthSheet(curve []results.CurveStep) document.Sheet {
	type step = results.CurveStep
	return sheet("refined by month", curve, []field[step]{
		{"months since the start", 12, func(s step) any { return s.Month }},
		{"refined (share)", 11, func(s step) any { return s.Refined }},
		{"low", 11, func(s step) any { return s.Low }},
		{"high", 11, func(s step) any { return s.High }},
		{"refinements a case", 12, func(s step) any { return s.Count }},
	})
}
