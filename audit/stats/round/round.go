// Package round holds the one rule by which numbers become text: half away from
// zero.
//
// Place in the pipeline: below everything that writes a number for a reader; it
// imports nothing.
package round

import (
	"math"
	"strconv"
)

// noise is the share of a number that computing it may have cost: 57/200 times 100
// is 28.499999999999996, and its reader gets 28.5.
const noise = 1e-12

// HalfAway rounds x to so many decimals (0 to 15), halves away from zero: 0.125 to
// 0.13, -2.5 to -3. What lies within rounding of a half is one, so that a number
// rounds as its exact value on paper does. NaN and infinities stay. Common practice
// in trade and school ("round half away from zero" of IEEE 754-2019, section
// 4.3.1, roundTiesToAway); strconv and fmt round the binary value, ties to even.
func HalfAway(x float64, decimals int) float64 {
	scale := math.Pow10(decimals)
	scaled := math.Abs(x) * scale
	if math.IsNaN(x) || scaled > 1e15 { // no decimals are left to round
		return x
	}
	return math.Copysign(math.Floor(scaled*(1+noise)+.5)/scale, x)
}

// Text writes x with so many decimals, rounded half away from zero.
func Text(x float64, decimals int) string {
	return strconv.FormatFloat(HalfAway(x, decimals), 'f', decimals, 64)
}
