package compare

import (
	"math"

	"shortfall/audit/stats"
	"shortfall/audit/stats/robust"
)

// Amounts are what was planned and what was achieved of it, as amounts and not as a share:
// in the unit of the plans, of one movement, among mouths that hold both choices.
type Amounts struct {
	Planned, Achieved         stats.Estimate // treated minus reference, within mouths
	MeanPlanned, MeanAchieved float64        // of both
}

// Amounts compares them within mouths, every movement counting alike: adjusted as the
// difference is but for the size of plan, which is what is asked here. Amounts that cannot
// be right are left out. ok is false where there is no such fit. A plan that is made larger
// than what is needed lowers the share achieved, and adjusting for its size cannot tell: at
// one size of plan less was needed of such a tooth than of others.
func (c *Contrast) Amounts() (out Amounts, ok bool) {
	if c.Failed != "" {
		return out, false
	}
	defer c.d.Arena.Release(c.d.Arena.Mark())
	rows := c.undoubted()
	var cols []column
	for _, k := range c.cols {
		if k.name != PlannedAmount && k.name != PlannedSquared {
			cols = append(cols, k)
		}
	}
	told := c.d.telling(rows)
	m := c.model(told, c.d.Planned, cols)
	for i := range m.Weights {
		m.Weights[i] = 1
	}
	planned, err := robust.FitAbsorbed(m)
	if err != nil {
		return out, false
	}
	achieved, err := planned.Refit(of(c.d.Arena.Room, c.d.Achieved, told))
	if err != nil {
		return out, false
	}
	out.Planned, out.Achieved = last(planned, c.o.Level), last(achieved, c.o.Level)
	n := 0.0
	for _, i := range rows {
		if c.mouths[c.d.mouth[i]] {
			out.MeanPlanned += c.d.Planned[i]
			out.MeanAchieved += c.d.Achieved[i]
			n++
		}
	}
	out.MeanPlanned /= n
	out.MeanAchieved /= n
	return out, out.Planned.DF >= FewestDF && !math.IsNaN(out.Achieved.SE)
}
