package audit

import (
	"fmt"
	"math"
)

// applyRules names the run rules a chart breaks. Quarters without data or
// limits break a run.
func (c *RunChart) applyRules() {
	if !c.Centre.OK() {
		return
	}
	z := make([]float64, len(c.Points))
	for i := range c.Points {
		z[i] = c.standardised(&c.Points[i])
	}
	for _, b := range breakRules(z) {
		pt := &c.Points[b.index]
		pt.Breached = true
		c.Breaches = append(c.Breaches, Breach{Quarter: pt.Quarter, Rule: b.rule, Text: fmt.Sprintf("%s: %s", pt.Quarter, b.text)})
	}
}

// standardised distance of a point from the centre in standard deviations; NaN
// where the quarter has no value or no limits. Clipped limits are undone by
// the side that was not clipped.
func (c *RunChart) standardised(pt *RunPoint) float64 {
	half := math.Max(float64(pt.High-c.Centre), float64(c.Centre-pt.Low))
	if !pt.Value.OK() || !pt.Low.OK() || !(half > 0) {
		return math.NaN()
	}
	return sigmaLimit * float64(pt.Value-c.Centre) / half
}
