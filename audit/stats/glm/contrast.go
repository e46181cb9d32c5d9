package glm

import (
	"fmt"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/sandwich"
)

// JointTest is the same test for a count model, on the log scale.
func (f *CountFit) JointTest(contrasts [][]float64) stats.JointTest {
	t := stats.JointTest{DF1: float64(len(contrasts))}
	if f.design == nil || !f.Status.Usable() {
		return t.Fail(f.Warnings[len(f.Warnings)-1])
	}
	return sandwich.RobustJoint(f.design, f.robust, contrasts, fmt.Sprintf("approximate Hotelling T-squared, %s variance by case", f.Variance))
}
