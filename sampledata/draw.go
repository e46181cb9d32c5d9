package sampledata

import (
	"math"

	"shortfall/ingest/casebook"
)

// chance is true with probability p.
func (g *practice) chance(p float64) bool { return g.rng.Float64() < p }

// pick draws one value with the given weights.
func pick[T any](g *practice, values []T, weights ...float64) T {
	var total float64
	for _, w := range weights {
		total += w
	}
	at := g.rng.Float64() * total
	for i, w := range weights {
		if at -= w; at < 0 {
			return values[i]
		}
	}
	return values[len(weights)-1]
}

// logNormal draws around a median with a standard deviation of the logarithm.
func (g *practice) logNormal(median, spread float64) float64 {
	return median * math.Exp(spread*g.rng.NormFloat64())
}

func logistic(x float64) float64 { return 1 / (1 + math.Exp(-x)) }

// round to what a measuring program prints: 0.01 mm, 0.1 degrees.
func round(x float64, u casebook.Unit) float64 {
	steps := 100.0
	if u == casebook.Degree {
		steps = 10
	}
	r := math.Round(x*steps) / steps
	if r == 0 {
		return 0 // never minus zero
	}
	return r
}

// largest planned amounts: beyond these a case would not be treated with
// aligners alone (common practice, no source).
func capped(x float64, u casebook.Unit) float64 {
	if u == casebook.Millimetre {
		return min(x, 3.5)
	}
	return min(x, 40)
}
