package audit

import (
	"fmt"
	"math"
	"slices"
)

func sortedCopy(x []float64) []float64 { return slices.Sorted(slices.Values(x)) }

// ruleBreak is one run rule broken at one point.
type ruleBreak struct {
	index      int
	rule, text string
}

// The lengths of the run rules (Nelson 1984, J Qual Technol 16:237-239, tests
// 1, 2, 3 and 5).
const (
	sameSide    = 9
	monotone    = 6
	twoOfThree  = 2.0 // standard deviations
	threeSigmas = 3.0
)

// breakRules applies four of Nelson's tests to standardised points; NaN is a
// quarter without a value and breaks every run.
func breakRules(z []float64) []ruleBreak {
	var out []ruleBreak
	side, trend := 0, 0
	for i, v := range z {
		if math.IsNaN(v) {
			side, trend = 0, 0
			continue
		}
		if math.Abs(v) > threeSigmas {
			out = append(out, ruleBreak{i, "beyond-limits", "beyond the control limits"})
		}
		side = run(side, v)
		if n := abs(side); n == sameSide {
			out = append(out, ruleBreak{i, "same-side", fmt.Sprintf("%d quarters running on the same side of the centre", sameSide)})
		}
		if i > 0 && !math.IsNaN(z[i-1]) {
			trend = run(trend, v-z[i-1])
		} else {
			trend = 0
		}
		if abs(trend) == monotone-1 {
			out = append(out, ruleBreak{i, "monotone", fmt.Sprintf("%d quarters running all rising or all falling", monotone)})
		}
		if i >= 2 && outerTwo(z[i-2:i+1]) {
			out = append(out, ruleBreak{i, "two-of-three", "two of three quarters beyond two standard deviations on the same side"})
		}
	}
	return out
}

// run continues a run of like signs: its length, with the sign.
func run(length int, step float64) int {
	switch {
	case step > 0:
		return max(length, 0) + 1
	case step < 0:
		return min(length, 0) - 1
	}
	return 0
}

func abs(n int) int { return max(n, -n) }

// outerTwo reports that the last of three points and one other lie beyond two
// standard deviations on the same side.
func outerTwo(z []float64) bool {
	for _, sign := range []float64{1, -1} {
		n := 0
		for _, v := range z {
			n += oneIf(sign*v > twoOfThree)
		}
		if n >= 2 && sign*z[2] > twoOfThree {
			return true
		}
	}
	return false
}
