package wording

import (
	"shortfall/audit/results"
	"shortfall/audit/stats/round"
	"shortfall/ingest/casebook"
)

// Rounded writes a number without decimals, and never "-0".
func Rounded(x float64) string { return Fixed(results.Number(x), 0) }

// SignedDecimal is Fixed with a plus sign before a number above zero.
func SignedDecimal(x float64, decimals int) string { return signed(results.Number(x), decimals) }

// InPoints writes a difference in points of the plan: "1 point", "−4 points".
func InPoints(x float64) string {
	if n := round.HalfAway(x, 0); n == 1 || n == -1 {
		return Rounded(x) + " point"
	}
	return Rounded(x) + " points"
}

// UnitText follows a number: " mm" or "°".
func UnitText(u casebook.Unit) string {
	if u == casebook.Millimetre {
		return nbsp + u.Symbol()
	}
	return u.Symbol()
}
