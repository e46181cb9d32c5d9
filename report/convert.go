package report

import (
	"math"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

var nan = math.NaN()

// number is a float for a chart: NaN where not estimated, so that nothing is drawn.
func number(n results.Number) float64 {
	if !n.OK() {
		return nan
	}
	return float64(n)
}

func unitWords(u casebook.Unit) string {
	switch u {
	case casebook.Millimetre:
		return "planned in millimetres"
	case casebook.Degree:
		return "planned in degrees"
	}
	return ""
}
