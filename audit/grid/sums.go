package grid

import (
	"cmp"
	"slices"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// SumsOf says which sums these settings ask of a database.
func SumsOf(s *results.Settings) casebook.SumsOf {
	return casebook.SumsOf{
		SmallestMM: s.SmallestMM, SmallestDeg: s.SmallestDeg,
		ToleranceMM: s.ToleranceMM, ToleranceDeg: s.ToleranceDeg, MinAlignersUsed: s.MinAlignersUsed,
	}
}

// OfSums computes the cells of the grid from sums of cases, which must come case by case:
// totals, expression with its interval, the average patient, the counts outside tolerance
// and the means over movements; over all teeth and styles of a direction the quartiles
// too. What needs the movements themselves is missing: the design effect and the
// intervals of the share outside and of the mean difference. It is for a first answer
// where movements are many and far; an audit uses Expression.
func OfSums(sums *casebook.Sums, s *results.Settings) []results.Cell {
	cells := map[results.By]*summed{}
	cluster := -1
	for i := range sums.Cases {
		one := &sums.Cases[i]
		if i == 0 || one.Case != sums.Cases[i-1].Case {
			cluster++
		}
		for _, by := range cellsOf(one) {
			c, ok := cells[by]
			if !ok {
				c = &summed{}
				cells[by] = c
			}
			c.add(one, cluster)
		}
	}
	var out []results.Cell
	for by, c := range cells { // sorted below
		out = append(out, c.cell(by, s))
	}
	slices.SortFunc(out, func(a, b results.Cell) int { return compareBy(&a.By, &b.By) })
	for _, q := range sums.Quartiles {
		by := results.By{Axis: q.Axis, Direction: q.Direction, Course: stratum(q.Again)}
		at, ok := slices.BinarySearchFunc(out, by, func(c results.Cell, by results.By) int { return compareBy(&c.By, &by) })
		if ok {
			out[at].LowerQuartile, out[at].MedianRatio, out[at].UpperQuartile = results.Number(q.Lower), results.Number(q.Median), results.Number(q.Upper)
		}
	}
	return out
}

func stratum(again bool) results.CourseStratum {
	if again {
		return results.Refinement
	}
	return results.Initial
}

// cellsOf lists the cells that a sum counts in: each of its places, under its direction
// and both, its style and all.
func cellsOf(one *casebook.Sum) (list []results.By) {
	tooth := one.Tooth
	places := []results.By{{}}
	if tooth != 0 {
		places = append(places, results.By{Tooth: tooth}, results.By{ToothClass: tooth.Class()},
			results.By{ToothClass: tooth.Class(), Arch: tooth.Arch()}, results.By{Arch: tooth.Arch()})
	}
	for _, by := range places {
		by.Axis, by.Course = one.Axis, stratum(one.Again)
		for _, by.Direction = range [2]casebook.Direction{casebook.NoDirection, one.Direction} {
			by.Style = casebook.NoStyle
			list = append(list, by)
			if by.Style = one.Style; by.Style != casebook.NoStyle {
				list = append(list, by)
			}
		}
	}
	return list
}

func compareBy(a, b *results.By) int {
	return cmp.Or(cmp.Compare(a.Course, b.Course), cmp.Compare(a.Axis, b.Axis), cmp.Compare(a.Direction, b.Direction), cmp.Compare(a.Style, b.Style),
		cmp.Compare(a.Arch, b.Arch), cmp.Compare(a.ToothClass, b.ToothClass), cmp.Compare(a.Tooth, b.Tooth))
}

// summed is a cell under way: the sums of its cases, and of all.
type summed struct {
	planned, achieved []float64
	cluster           int // of the last case
	total             casebook.Sum
}

func (c *summed) add(one *casebook.Sum, cluster int) {
	last := len(c.planned) - 1
	if last < 0 || c.cluster != cluster {
		c.planned, c.achieved, c.cluster = append(c.planned, 0), append(c.achieved, 0), cluster
		last++
	}
	c.planned[last] += one.Planned
	c.achieved[last] += one.Achieved
	t := &c.total
	t.Movements += one.Movements
	t.Planned += one.Planned
	t.Achieved += one.Achieved
	t.Error += one.Error
	t.Miss += one.Miss
	t.Product += one.Product
	t.Square += one.Square
	t.Judged += one.Judged
	t.Outside += one.Outside
	t.SmallOutside += one.SmallOutside
}

// cell fills what sums tell; every other number is missing.
func (c *summed) cell(by results.By, s *results.Settings) results.Cell {
	t, n := &c.total, float64(c.total.Movements)
	out := results.Cell{By: by, Unit: by.Axis.Unit(), Movements: t.Movements, Cases: len(c.planned)}
	out.PlannedTotal, out.AchievedTotal = results.Number(t.Planned), results.Number(t.Achieved)
	out.Estimate, out.Slope = measure.OrMissing(t.Achieved/t.Planned), measure.OrMissing(t.Product/t.Square)
	out.MeanAbsError, out.PercentF2 = results.Number(t.Error/n), results.Number(100-100*t.Miss/n)
	out.LowerQuartile, out.MedianRatio, out.UpperQuartile = results.NotEstimable, results.NotEstimable, results.NotEstimable
	out.Low, out.High, out.SE, out.DF, out.DesignEffect = results.NotEstimable, results.NotEstimable, results.NotEstimable, results.NotEstimable, results.NotEstimable
	out.MeanDifference, out.AveragePatient, out.OutsideTolerance = measure.NoSpread(), measure.NoSpread(), measure.NoShare()
	out.MeanDifference.Value = results.Number((t.Achieved - t.Planned) / n)
	out.MeanShortfall = -out.MeanDifference.Value
	out.OutsideTolerance.Numerator, out.OutsideTolerance.Denominator = t.Outside, t.Judged
	out.OutsideTolerance.Value = measure.OrMissing(float64(t.Outside) / float64(t.Judged))
	out.SmallPlans, out.SmallOutside = results.Number(t.Movements-t.Judged), results.Number(t.SmallOutside)
	if ratioInterval(&out, c.achieved, c.planned, s) {
		averagePatient(&out, c.achieved, c.planned, s)
	}
	return out
}
