package grid

import (
	"math"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
)

// newCell computes every measure of one cell. The formulas F1 to F7 are in
// definitions.
func newCell(by results.By, c *columns, s *results.Settings) results.Cell {
	cell := results.Cell{By: by, Unit: by.Axis.Unit(), Movements: len(c.cluster), Cases: measure.CountRuns(c.cluster)}
	cellSums(&cell, c)
	cellIntervals(&cell, c, s)
	if c.measuredInSeveralWays() {
		cell.Warnings = append(cell.Warnings, results.Warning{
			ID: "measured-in-several-ways", Text: "outcomes measured in several ways together: what one of them calls 2° another may call 3°",
			Remedy: "read each way apart, in the section on how outcomes were measured",
		})
	}
	if c.sizeOnly > 0 {
		cell.Warnings = append(cell.Warnings, results.Warning{
			ID: results.SizeOnly, Text: "some of these movements were recorded as a size without direction and taken as positive",
			Remedy: "record signed amounts",
		})
	}
	return cell
}

func (c *columns) measuredInSeveralWays() bool {
	n := 0
	for _, in := range c.measured {
		n += measure.OneIf(in)
	}
	return n > 1
}

// cellSums fills the measures that need no variance.
func cellSums(cell *results.Cell, c *columns) {
	var planned, achieved, abs, percent, product, square float64
	for i, p := range c.planned {
		a := c.achieved[i]
		planned += p
		achieved += a
		abs += math.Abs(a - p)
		percent += 100 - 100*math.Abs(p-a)/p
		product += p * a
		square += p * p
	}
	n := float64(len(c.planned))
	cell.PlannedTotal, cell.AchievedTotal = results.Number(planned), results.Number(achieved)
	cell.Estimate = measure.OrMissing(achieved / planned)
	cell.MeanAbsError, cell.PercentF2 = results.Number(abs/n), results.Number(percent/n)
	cell.Slope = measure.OrMissing(product / square)
	q := stats.SortedQuantiles(c.rising, 0.25, 0.5, 0.75)
	cell.LowerQuartile, cell.MedianRatio, cell.UpperQuartile = results.Number(q[0]), results.Number(q[1]), results.Number(q[2])
}

// cellIntervals fills the case-clustered intervals, or says how many cases are missing.
func cellIntervals(cell *results.Cell, c *columns, s *results.Settings) {
	diff, mean := c.work(len(c.planned)), 0.0
	for i, p := range c.planned {
		diff[i] = c.achieved[i] - p
		mean += diff[i] / float64(len(diff))
	}
	shareOutside(cell, c, s)
	cell.Low, cell.High, cell.SE, cell.DF, cell.DesignEffect = results.NotEstimable, results.NotEstimable, results.NotEstimable, results.NotEstimable, results.NotEstimable
	cell.MeanDifference, cell.AveragePatient = measure.NoSpread(), measure.NoSpread()
	cell.MeanDifference.Value, cell.MeanShortfall = results.Number(mean), results.Number(-mean)
	if !ratioInterval(cell, c, s) {
		return
	}
	cell.DesignEffect = designEffect(c, float64(cell.Estimate), float64(cell.PlannedTotal), float64(cell.SE))
	averagePatient(cell, c, s)
	if m, err := robust.ClusteredMean(diff, c.cluster, s.Level); err == nil {
		cell.MeanDifference = measure.Spread(m)
	}
}

// ratioInterval fills the case-clustered interval of the ratio of sums, the plan taken
// as given, and its warnings; false where there is none.
func ratioInterval(cell *results.Cell, c *columns, s *results.Settings) bool {
	cell.Method = "ratio of sums"
	if cell.Cases < s.MinIntervalCases {
		cell.Warnings = append(cell.Warnings, measure.FewCases(s.MinIntervalCases))
		return false
	}
	e, err := robust.RatioOfSums(c.achieved, c.planned, c.cluster, s.Level)
	if err != nil {
		cell.Warnings = append(cell.Warnings, measure.NotEstimated(err))
		return false
	}
	cell.Low, cell.High, cell.SE, cell.DF, cell.Method = results.Number(e.Low), results.Number(e.High), results.Number(e.SE), results.Number(e.DF), e.Method
	cell.Warnings = append(cell.Warnings, measure.Warnings(e.Warnings)...)
	return true
}

// shareOutside is the share of movements that ended outside tolerance. Plans no larger
// than the tolerance stay out of it; those of them that ended outside all the same,
// reversed or overshot, are counted beside it.
func shareOutside(cell *results.Cell, c *columns, s *results.Settings) {
	c.outside, c.judged = c.outside[:0], c.judged[:0]
	for i, e := range c.ends {
		if !e.judged {
			cell.SmallPlans++
			cell.SmallOutside += measure.OneIf(e.outside)
			continue
		}
		c.outside, c.judged = append(c.outside, e.outside), append(c.judged, c.cluster[i])
	}
	cell.OutsideTolerance = measure.ClusteredShare(c.outside, c.judged, s)
}

// averagePatient is the mean of the cases' own ratios. Where it differs from the ratio of
// all sums by more than the error of that difference, it is said on the very cell.
func averagePatient(cell *results.Cell, c *columns, s *results.Settings) {
	a, err := robust.AverageOfCases(c.achieved, c.planned, c.cluster, s.Level)
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

// designEffect is the clustered variance of the ratio over the variance that
// takes every movement as independent (Kish 1965, Survey Sampling, 8.2), at least 1:
// teeth of one case are not taken to be less alike than strangers', whatever chance
// makes of few cases.
func designEffect(c *columns, ratio, planned, se float64) results.Number {
	var u2 float64
	for i, p := range c.planned {
		u := c.achieved[i] - ratio*p
		u2 += u * u
	}
	n := float64(len(c.planned))
	naive := n / (n - 1) * u2 / (planned * planned)
	return measure.OrMissing(max(1, se*se/naive)) // NaN stays
}
