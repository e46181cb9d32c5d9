package between

import (
	"fmt"

	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/audit/rows"
	"shortfall/audit/stats"
	"shortfall/audit/stats/decide"
)

// equivalence tests that the adjusted difference lies within the margin of the
// settings. Not being told apart is no evidence of being equal; this is.
func equivalence(p *rows.Set, c *results.Comparison) results.Equivalence {
	margin := p.Settings.EquivalencePoints / 100
	e, err := decide.TestEquivalence(stats.Estimate{
		Value: float64(c.Adjusted.Difference), SE: float64(c.Adjusted.SE), DF: float64(c.Adjusted.DF),
	}, -margin, margin, p.Settings.Alpha)
	if err != nil {
		return results.Equivalence{Margin: results.Number(margin), P: results.NotEstimable}
	}
	return results.Equivalence{Margin: results.Number(margin), P: measure.OrMissing(e.P), Equivalent: e.Equivalent}
}

// readEquivalence says whether the declared primary comparison shows the styles
// to be alike. The other comparisons carry the test as data: in words, one cell
// in twenty would be called alike for nothing.
func readEquivalence(p *rows.Set, c *results.Comparison) string {
	if !c.Primary || !c.Equivalence.P.OK() {
		return ""
	}
	said := "is not shown"
	if c.Equivalence.Equivalent {
		said = "is shown"
	}
	return fmt.Sprintf(" That the two styles lie within %g points of each other %s (two one-sided tests, P %s).",
		p.Settings.EquivalencePoints, said, wording.P(c.Equivalence.P))
}
