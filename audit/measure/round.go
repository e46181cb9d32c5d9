package measure

import (
	"math"

	"shortfall/ingest/casebook"
)

// RoundPlan rounds a plan to what is worth naming: 0.1 mm, 1 degree.
func RoundPlan(x float64, u casebook.Unit) float64 {
	if u == casebook.Millimetre {
		return math.Round(10*x) / 10
	}
	return math.Round(x)
}
