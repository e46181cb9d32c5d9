package grid

import (
	"math/bits"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/stats/robust"
)

// cell computes every measure of one cell. The formulas F1 to F7 are in definitions.
// misses gives the sum of (achieved - ratio planned)^2 over its rows.
func (w *scratch) cell(by results.By, t *tally, misses func(ratio float64) float64, s *results.Settings) results.Cell {
	w.list(t)
	cell := results.Cell{By: by, Unit: by.Axis.Unit(), Movements: t.rows, Cases: len(t.cases)}
	t.fill(&cell)
	w.intervals(&cell, t, misses, s)
	if bits.OnesCount16(t.measured) > 1 {
		cell.Warnings = append(cell.Warnings, results.Warning{
			ID: "measured-in-several-ways", Text: "outcomes measured in several ways together: what one of them calls 2° another may call 3°",
			Remedy: "read each way apart, in the section on how outcomes were measured",
		})
	}
	if t.sizes > 0 {
		cell.Warnings = append(cell.Warnings, results.Warning{
			ID: results.SizeOnly, Text: "some of these movements were recorded as a size without direction and taken as positive",
			Remedy: "record signed amounts",
		})
	}
	return cell
}

// fill fills the measures that need no variance.
func (t *tally) fill(cell *results.Cell) {
	n := float64(t.rows)
	cell.PlannedTotal, cell.AchievedTotal = results.Number(t.planned), results.Number(t.achieved)
	cell.Estimate = measure.OrMissing(t.achieved / t.planned)
	cell.MeanAbsError, cell.PercentF2 = results.Number(t.abs/n), results.Number(t.percent/n)
	cell.Slope = measure.OrMissing(t.pa / t.pp)
	cell.LowerQuartile, cell.MedianRatio, cell.UpperQuartile = results.Number(t.of(0)), results.Number(t.of(1)), results.Number(t.of(2))
	cell.SmallPlans, cell.SmallOutside = results.Number(t.small), results.Number(t.smallOut)
}

// intervals fills the case-clustered intervals, or says how many cases are missing. Plans no
// larger than the tolerance stay out of the share outside; those of them that ended outside
// all the same, reversed or overshot, are counted beside it.
func (w *scratch) intervals(cell *results.Cell, t *tally, misses func(ratio float64) float64, s *results.Settings) {
	base := "" // else the row has as few
	if cell.Cases >= s.MinIntervalCases {
		base = "a plan larger than the tolerance"
	}
	cell.OutsideTolerance = measure.ShareOfCases(w.shares, base, s)
	cell.Low, cell.High, cell.SE, cell.DF, cell.DesignEffect = results.NotEstimable, results.NotEstimable, results.NotEstimable, results.NotEstimable, results.NotEstimable
	cell.MeanDifference, cell.AveragePatient = measure.NoSpread(), measure.NoSpread()
	mean := (t.achieved - t.planned) / float64(t.rows)
	cell.MeanDifference.Value, cell.MeanShortfall = results.Number(mean), results.Number(-mean)
	if !ratioInterval(cell, w.num, w.den, s) {
		return
	}
	cell.DesignEffect = t.designEffect(float64(cell.Estimate), float64(cell.SE), misses)
	averagePatient(cell, w.num, w.den, s)
	for i := range w.num { // averagePatient was the last to need them
		w.num[i] -= w.den[i]
	}
	if m, err := robust.ClusteredMeanOfSums(w.num, w.one, s.Level); err == nil {
		cell.MeanDifference = measure.Spread(m)
	}
}

// ratioInterval fills the case-clustered interval of the ratio of sums, the plan taken
// as given, from the sums of cases, and its warnings; false where there is none.
func ratioInterval(cell *results.Cell, achieved, planned []float64, s *results.Settings) bool {
	cell.Method = "ratio of sums"
	if cell.Cases < s.MinIntervalCases {
		cell.Warnings = append(cell.Warnings, measure.FewCases(s.MinIntervalCases))
		return false
	}
	e, err := robust.RatioOfSums(achieved, planned, nil, s.Level)
	if err != nil {
		cell.Warnings = append(cell.Warnings, measure.NotEstimated(err))
		return false
	}
	cell.Low, cell.High, cell.SE, cell.DF, cell.Method = results.Number(e.Low), results.Number(e.High), results.Number(e.SE), results.Number(e.DF), e.Method
	cell.Warnings = append(cell.Warnings, measure.Warnings(e.Warnings)...)
	return true
}

// averagePatient is the mean of the cases' own ratios. Where it differs from the ratio of
// all sums by more than the error of that difference, it is said on the very cell.
func averagePatient(cell *results.Cell, achieved, planned []float64, s *results.Settings) {
	a, err := robust.AverageOfCases(achieved, planned, nil, s.Level)
	if err != nil {
		cell.Warnings = append(cell.Warnings, measure.NotEstimated(err))
		return
	}
	cell.AveragePatient = measure.Spread(a.Estimate)
	if cell.AverageDiffers = a.Pooled.P < 1-s.Level; cell.AverageDiffers {
		cell.Warnings = append(cell.Warnings, results.Warning{
			ID: "average-patient", Text: "by patient: every patient counts alike, given where that differs from the total by more than chance: patients with more planned movement respond differently",
		})
	}
}

// cancels is the part of the sum of squares below which what is left of it is taken from
// the rows: of 16 digits it would keep fewer than eleven.
const cancels = 1e-5

// designEffect is the clustered variance of the ratio over the variance that
// takes every movement as independent (Kish 1965, Survey Sampling, 8.2), at least 1:
// teeth of one case are not taken to be less alike than strangers', whatever chance
// makes of few cases.
func (t *tally) designEffect(ratio, se float64, misses func(ratio float64) float64) results.Number {
	u2 := t.aa - 2*ratio*t.pa + ratio*ratio*t.pp
	if !(u2 > cancels*t.aa) {
		u2 = misses(ratio)
	}
	n := float64(t.rows)
	naive := n / (n - 1) * u2 / (t.planned * t.planned)
	return measure.OrMissing(max(1, se*se/naive)) // NaN stays
}
