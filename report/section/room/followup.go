package room

import (
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/report/chart"
	"shortfall/report/document"
)

// When cases were first refined, counted from their start.
var _ = Furnish("followup", Room{
	Exhibits: Exhibits{"curve": refinementCurve},
	Sheets:   func(m *Maker) []document.Sheet { return []document.Sheet{monthSheet(m.Results.FollowUp.Curve)} },
})

// refinementCurve is the share of cases with a first refinement by the month.
func refinementCurve(m *Maker, e *results.Exhibit) document.Block {
	f := m.Results.FollowUp
	if len(f.Curve) == 0 {
		return nil
	}
	line := chart.CumLine{ID: "followed", Name: "first refinement", Mark: chart.Diamond}
	put := func(x float64, y, low, high results.Number) {
		line.X, line.Y = append(line.X, x), append(line.Y, 100*Number(y))
		line.Low, line.High = append(line.Low, 100*Number(low)), append(line.High, 100*Number(high))
	}
	put(0, 0, 0, 0)
	data := document.Table{Title: e.Title, Columns: []document.Column{
		{Title: "Months"}, {Title: "Refined", Number: true}, {Title: wording.CI(m.Settings.Level), Number: true}, {Title: "Refinements a case", Number: true},
	}}
	for _, s := range f.Curve {
		if !s.Refined.OK() || !s.Low.OK() || !s.High.OK() {
			continue
		}
		put(float64(s.Month), s.Refined, s.Low, s.High)
		data.Rows = append(data.Rows, document.Row{Cells: []document.Cell{
			Words(wording.Count(s.Month)), Words(wording.Percent(s.Refined)), Words(wording.Limits(s.Low, s.High)), Words(wording.Fixed(s.Count, 2)),
		}})
	}
	c := chart.Cumulative{YLabel: "% of cases", Until: float64(f.Curve[len(f.Curve)-1].Month)}
	for _, h := range f.At {
		c.Ticks = append(c.Ticks, float64(h.Months))
		line.AtRisk = append(line.AtRisk, wording.Count(h.OpenCases))
	}
	c.Lines = []chart.CumLine{line}
	c.Title, c.Desc = e.Title, "Share of cases with a first refinement by months since their start, with the limits of its interval."
	return document.Figure{ID: Anchor(e.ID), Title: e.Title, Desc: c.Desc, Drawings: []document.Drawing{c}, Data: &data}
}

// monthSheet is the curve in full.
func monthSheet(curve []results.CurveStep) document.Sheet {
	type step = results.CurveStep
	return Sheet("refined by month", curve, []Field[step]{
		{"months since the start", 12, func(s step) any { return s.Month }},
		{"refined (share)", 11, func(s step) any { return s.Refined }},
		{"low", 11, func(s step) any { return s.Low }},
		{"high", 11, func(s step) any { return s.High }},
		{"refinements a case", 12, func(s step) any { return s.Count }},
	})
}
