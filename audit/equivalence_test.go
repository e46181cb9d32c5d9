package audit_test

import (
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
)

// TestEquivalenceIsTheIntervalInside: two one-sided tests at 5 % find the styles
// alike exactly where the 90 % interval lies inside the margin (Schuirmann 1987,
// J Pharmacokinet Biopharm 15:657-680), and a wider margin finds no fewer.
func TestEquivalenceIsTheIntervalInside(t *testing.T) {
	ds := invented(11, 90)
	found := map[float64]int{}
	for _, points := range []float64{5, 10, 40} {
		r := mustRun(t, ds, func(s *results.Settings) { s.Level, s.EquivalencePoints = 0.9, points })
		for _, c := range r.Comparisons {
			e := c.Equivalence
			if c.Verdict == results.NotComparable {
				assert.Equal(t, results.Equivalence{}, e)
				continue
			}
			require.InDelta(t, points/100, float64(e.Margin), 1e-15)
			inside := float64(c.Adjusted.Low) > -points/100 && float64(c.Adjusted.High) < points/100
			assert.Equal(t, inside, e.Equivalent, "%+v", c.By)
			assert.Equal(t, e.Equivalent, float64(e.P) < 0.05)
			assert.NotContains(t, c.Reading, "one-sided", "only the primary says so")
			if e.Equivalent {
				found[points]++
			}
		}
	}
	assert.Less(t, found[5], found[10])
	assert.Less(t, found[10], found[40])
}

// TestPrimarySaysWhetherAlike: the declared comparison says whether it shows the
// styles to be alike; in shared results a withheld one says nothing.
func TestPrimarySaysWhetherAlike(t *testing.T) {
	ds := invented(11, audittest.Everyday(90, 60))
	few := audittest.Everyday(3, 1)
	for _, of := range mustRun(t, ds, nil).Comparisons {
		if of.Verdict == results.NotComparable {
			continue
		}
		if few--; few < 0 {
			break
		}
		for points, words := range map[float64]string{99: "99 points of each other is shown", 0.01: "0.01 points of each other is not shown"} {
			r := mustRun(t, ds, func(s *results.Settings) { s.Primary, s.EquivalencePoints, s.PrimaryDeclared = of.By, points, 1 })
			said := 0
			for _, c := range r.Comparisons {
				if strings.Contains(c.Reading, words) {
					said++
					assert.True(t, c.Primary)
				}
			}
			assert.Equal(t, 1, said)
		}
	}
	for _, c := range mustRun(t, invented(3, 14), func(s *results.Settings) { s.Shared = true }).Comparisons {
		if c.Reading == "" {
			assert.Equal(t, results.Equivalence{}, c.Equivalence)
		}
	}
}

// TestEValueLimitFollowsTheLevel: a wider interval lies nearer no difference.
func TestEValueLimitFollowsTheLevel(t *testing.T) {
	ds := invented(11, audittest.Everyday(90, 60))
	narrow, wide := mustRun(t, ds, func(s *results.Settings) { s.Level = 0.8 }), mustRun(t, ds, func(s *results.Settings) { s.Level = 0.99 })
	moved := 0
	for i, c := range narrow.Comparisons {
		w := wide.Comparisons[i]
		require.Equal(t, c.By, w.By)
		if !c.EValue.Limit.OK() {
			continue
		}
		assert.Equal(t, c.EValue.Estimate, w.EValue.Estimate)
		assert.LessOrEqual(t, w.EValue.Limit, c.EValue.Limit)
		crosses := w.Adjusted.Low <= 0 && w.Adjusted.High >= 0
		assert.Equal(t, crosses, math.Abs(float64(w.EValue.Limit)-1) < 1e-12)
		if w.EValue.Limit < c.EValue.Limit {
			moved++
		}
	}
	assert.Positive(t, moved)
}

func TestEquivalenceMarginIsChecked(t *testing.T) {
	for _, points := range []float64{0, -1, 100, math.NaN()} {
		s := results.DefaultSettings()
		s.EquivalencePoints = points
		assert.ErrorContains(t, s.Check(), "equivalence margin", "%v", points)
	}
}
