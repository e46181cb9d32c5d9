package audittest_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/measure"
	"shortfall/audit/results"
)

func kind(estimate, half results.Number) *results.Cell {
	return &results.Cell{Estimate: estimate, Low: estimate - half, High: estimate + half, DF: results.NotEstimable}
}

// TestLowestOfManyAlikeIsNotLower: nine kinds of which the same is achieved, measured with
// a standard error of 3 points: one of them lies below the middle of them, by its own 95 %
// interval, in one practice in ten or more, and at the shared level in few.
func TestLowestOfManyAlikeIsNotLower(t *testing.T) {
	s := results.DefaultSettings()
	rng := rand.New(rand.NewPCG(7, 7))
	named, naive := 0, 0
	const practices = 2000
	for range practices {
		var of []*results.Cell
		for range 9 {
			of = append(of, kind(results.Number(0.54+0.03*rng.NormFloat64()), 0.03*1.959964))
		}
		lower, some, any := measure.Lower(of, &s), false, false
		for _, c := range of {
			some = some || lower(c)
			any = any || float64(c.High) < measure.Middle(of)
		}
		named += measure.OneIf(some)
		naive += measure.OneIf(any)
	}
	assert.Greater(t, naive, practices/10)
	assert.Less(t, named, practices/25, "nominal: a fortieth, one side")
}

// TestLowerByTheSharedLevel: with nine kinds the normal quantile of 1 - 0.025/9 is 2.773
// (R 4.2.2: qnorm(1-0.025/9)), 1.4147 times that of 0.975.
func TestLowerByTheSharedLevel(t *testing.T) {
	s := results.DefaultSettings()
	of := []*results.Cell{kind(0.4, 0.0706), kind(0.4, 0.0707), kind(0.3, 0.2)}
	for range 6 {
		of = append(of, kind(0.5, 0.05))
	}
	lower := measure.Lower(of, &s)
	assert.True(t, lower(of[0]))
	assert.False(t, lower(of[1]))
	assert.False(t, lower(of[2]), "too uncertain")
	assert.False(t, lower(of[3]))
	assert.False(t, measure.Lower(of[:1], &s)(of[0]), "one kind is not lower than itself")
	few := *of[0]
	few.DF = 4
	assert.False(t, lower(&few), "t is wider")
}
