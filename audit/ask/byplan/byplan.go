// Package byplan asks what plans of like size came to, by axis and style.
//
// Place in the pipeline: one question of audit/ask; it reads a rows.Set and fills
// its part of results.Results.
package byplan

import (
	"slices"

	"shortfall/audit/between"
	"shortfall/audit/disclose"
	"shortfall/audit/grid"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/ingest/casebook"
)

// PlanBins is into how many parts of like size the plans of an axis are cut.
const PlanBins = 4

// answer sets what was achieved against what was planned: for each axis and
// style, initial courses, the quartiles of the achieved amount within each
// quarter of the axis's plans. The cuts are those of all styles together, so
// that styles are read at like plans. Groups stand for points, so that no
// movement can be picked out.
func answer(p *rows.Set) []results.PlanBin {
	var out []results.PlanBin
	for _, a := range casebook.Axes() {
		var byStyle [casebook.StyleCount + 1][]int32
		var planned []float64
		for i := range p.Analysed {
			if x := &p.Analysed[i]; x.First && x.Axis == a && x.Style != casebook.NoStyle {
				byStyle[x.Style] = append(byStyle[x.Style], int32(i))
				planned = append(planned, x.Planned)
			}
		}
		cuts := Cuts(planned, a.Unit())
		for _, s := range casebook.Styles() {
			if len(byStyle[s]) > 0 {
				out = append(out, binned(p, a, s, byStyle[s], cuts)...)
			}
		}
	}
	return out
}

// Cuts are the inner quartiles of plans, rounded to what is worth naming,
// each once.
func Cuts(planned []float64, u casebook.Unit) []float64 {
	if len(planned) == 0 {
		return nil
	}
	var at [PlanBins - 1]float64
	for k := range at {
		at[k] = float64(k+1) / PlanBins
	}
	cuts := stats.Quantiles(planned, at[:]...)
	for k, c := range cuts {
		cuts[k] = measure.RoundPlan(c, u)
	}
	return slices.Compact(cuts)
}

// binned sorts rows, which come case by case, into cut 1 <= planned < cut 2
// and so on; empty bins are left out.
func binned(p *rows.Set, a casebook.Axis, s casebook.Style, rows []int32, cuts []float64) []results.PlanBin {
	in := make([][]int32, len(cuts)+1)
	for _, i := range rows {
		k := 0
		for k < len(cuts) && p.Analysed[i].Planned >= cuts[k] {
			k++
		}
		in[k] = append(in[k], i)
	}
	var out []results.PlanBin
	for k, rows := range in {
		if len(rows) == 0 {
			continue
		}
		b := planBin(p, rows)
		b.Axis, b.Style, b.Unit = a, s, a.Unit()
		if b.From = results.NotEstimable; k > 0 {
			b.From = results.Number(cuts[k-1])
		}
		if b.To = results.NotEstimable; k < len(cuts) {
			b.To = results.Number(cuts[k])
		}
		out = append(out, b)
	}
	return out
}

// planBin counts rows and takes the medians of planned and achieved and, from
// enough cases, the outer quartiles of achieved.
func planBin(p *rows.Set, rows []int32) results.PlanBin {
	b := results.PlanBin{Cases: between.CasesIn(p, rows), Movements: len(rows), Low: results.NotEstimable, High: results.NotEstimable}
	planned, achieved := make([]float64, len(rows)), make([]float64, len(rows))
	for k, i := range rows {
		planned[k], achieved[k] = p.Analysed[i].Planned, p.Analysed[i].Achieved
	}
	q := stats.Quantiles(achieved, 0.25, 0.5, 0.75)
	b.Planned, b.Achieved = results.Number(stats.Quantiles(planned, 0.5)[0]), results.Number(q[1])
	if b.Cases >= p.Settings.MinIntervalCases {
		b.Low, b.High = results.Number(q[0]), results.Number(q[2])
		return b
	}
	b.Warnings = []results.Warning{measure.FewCases(p.Settings.MinIntervalCases)}
	return b
}

// withhold keeps small bins back, and all of a style whose total over the axis is
// not printed in the grid.
func withhold(p *rows.Set, bins []results.PlanBin, cells []results.Cell) {
	shown := grid.ShownCells(cells)
	for from := 0; from < len(bins); {
		to := from
		for to < len(bins) && bins[to].Axis == bins[from].Axis && bins[to].Style == bins[from].Style {
			to++
		}
		withholdBins(&p.Settings, bins[from:to], shown[results.By{Axis: bins[from].Axis, Style: bins[from].Style, Course: results.Initial}])
		from = to
	}
	withoutCuts(bins)
}

// withholdBins is about one axis and style; total says that their sum is printed. A bin is
// medians and quartiles, so that few cases are more than the small-number rule's.
func withholdBins(s *results.Settings, bins []results.PlanBin, total bool) {
	hidden, why := disclose.Pick(bins, func(*results.PlanBin) bool { return true }), disclose.TooFewShown(s)
	if total {
		hidden = disclose.WithheldOf(hidden, max(s.MinCellCases, disclose.FewestForOrder), func(b *results.PlanBin) int { return b.Cases })
		why = disclose.TooFewForOrder()
	}
	for _, b := range hidden {
		*b = withheld(b, why)
	}
}

func withheld(b *results.PlanBin, why results.Warning) results.PlanBin {
	n := results.NotEstimable
	return results.PlanBin{
		Axis: b.Axis, Unit: b.Unit, Style: b.Style, From: b.From, To: b.To,
		Planned: n, Achieved: n, Low: n, High: n, Suppressed: true, Warnings: []results.Warning{why},
	}
}

// withoutCuts takes out where the plans of an axis are cut, if nothing of it is shown: the
// cuts are quartiles themselves.
func withoutCuts(bins []results.PlanBin) {
	shown := map[casebook.Axis]bool{}
	for _, b := range bins {
		shown[b.Axis] = shown[b.Axis] || !b.Suppressed
	}
	for i := range bins {
		if b := &bins[i]; !shown[b.Axis] {
			b.From, b.To = results.NotEstimable, results.NotEstimable
		}
	}
}
