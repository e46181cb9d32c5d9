package cycle

import (
	"math"

	"shortfall/audit/results"
	"shortfall/audit/stats/control"
)

// ruleWords says in words what a run rule saw.
var ruleWords = map[control.RunRule]string{
	control.Beyond3:      "beyond the control limits",
	control.Same9:        "nine quarters running on the same side of the centre",
	control.Monotone6:    "six quarters running all rising or all falling",
	control.TwoOf3Beyond: "two of three quarters beyond two standard deviations on the same side",
	control.Fifteen:      "fifteen quarters running within one standard deviation: the limits are too wide for these data",
}

// ApplyRules names the run rules a chart breaks, at the quarter where each is
// complete. A quarter without data or limits breaks a run.
func ApplyRules(c *results.RunChart) {
	if !c.Centre.OK() {
		return
	}
	z := make([]float64, len(c.Points))
	for i := range c.Points {
		z[i] = standardised(c, &c.Points[i])
	}
	for _, s := range control.RunRules(z) {
		pt := &c.Points[s.Last]
		pt.Breached = true
		c.Breaches = append(c.Breaches, results.Breach{Quarter: pt.Quarter, Rule: string(s.Rule), Text: pt.Quarter + ": " + ruleWords[s.Rule]})
	}
}

// standardised distance of a point from the centre in standard deviations; NaN
// where the quarter has no value or no limits. Where one limit was clipped the
// other still tells the distance.
func standardised(c *results.RunChart, pt *results.RunPoint) float64 {
	half := math.Max(float64(pt.High-c.Centre), float64(c.Centre-pt.Low))
	if !pt.Value.OK() || !pt.Low.OK() || !(half > 0) {
		return math.NaN()
	}
	return control.Sigmas * float64(pt.Value-c.Centre) / half
}
