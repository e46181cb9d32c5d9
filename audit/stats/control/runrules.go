package control

import (
	"math"
)

// RunRule is a sign of a special cause on a control chart (Nelson 1984, J Qual
// Technol 16:237-239).
type RunRule string

// The rules. Sigma is the standard error of a point about the centre line.
const (
	Beyond3      RunRule = "one-beyond-3-sigma"          // Nelson's test 1
	Same9        RunRule = "nine-on-one-side"            // test 2
	Monotone6    RunRule = "six-rising-or-falling"       // test 3
	TwoOf3Beyond RunRule = "two-of-three-beyond-2-sigma" // test 5, on one side
	Fifteen      RunRule = "fifteen-within-1-sigma"      // test 7, both sides
)

// RunSignal is a rule that fired: at point Last, made by points First to Last.
type RunSignal struct {
	Rule        RunRule
	First, Last int
}

// RunRules looks through standardised points z = (value - centre)/sigma in
// their order. A missing point (NaN) breaks every run. A run is reported once,
// at the point where it is complete, and again only by the next full run.
func RunRules(z []float64) []RunSignal {
	var signals []RunSignal
	add := func(rule RunRule, first, last int) { signals = append(signals, RunSignal{rule, first, last}) }
	var side, sideRun, slope, slopeRun, inner int
	twoOf3Until := -1
	for i, v := range z {
		if math.Abs(v) > 3 {
			add(Beyond3, i, i)
		}
		side, sideRun = continueRun(side, sideRun, sign(v))
		if sideRun == 9 {
			add(Same9, i-8, i)
			sideRun = 0
		}
		step := 0
		if i > 0 {
			step = sign(v - z[i-1])
		}
		slope, slopeRun = continueRun(slope, slopeRun, step)
		if slopeRun == 5 { // five steps make six points
			add(Monotone6, i-5, i)
			slopeRun = 0
		}
		if first, ok := twoOfThree(z, i); ok && first > twoOf3Until {
			add(TwoOf3Beyond, first, i)
			twoOf3Until = i
		}
		if inner++; !(math.Abs(v) < 1) {
			inner = 0
		}
		if inner == 15 {
			add(Fifteen, i-14, i)
			inner = 0
		}
	}
	return signals
}

// continueRun counts how long one sign has lasted; 0 (on the line, level, or
// missing) ends it.
func continueRun(current, length, next int) (sign, run int) {
	switch next {
	case 0:
		return 0, 0
	case current:
		return current, length + 1
	}
	return next, 1
}

func sign(v float64) int {
	switch {
	case v > 0:
		return 1
	case v < 0:
		return -1
	}
	return 0 // NaN too
}

// twoOfThree reports whether point i and one of the two before it lie beyond
// 2 sigma on one side, and the first of them.
func twoOfThree(z []float64, i int) (first int, ok bool) {
	if !(math.Abs(z[i]) > 2) {
		return 0, false
	}
	for j := max(0, i-2); j < i; j++ {
		if math.Abs(z[j]) > 2 && sign(z[j]) == sign(z[i]) && !(j == i-2 && math.IsNaN(z[i-1])) {
			return j, true
		}
	}
	return 0, false
}
