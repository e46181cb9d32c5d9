// Package wording says numbers and cells of an audit in words, the same way on
// every page and in every format.
//
// Place in the pipeline: below audit, which words its sentences with it, and
// report, which words its tables with it; the package formats and never computes.
//
// Rules: no more decimals than the data bear. Percentages are whole (and never
// more than whole below 100 of a denominator; Lang & Altman, SAMPL guidelines,
// 2013), millimetres to 0.1, degrees to 1, P to two figures with a floor of
// 0.001. A number that was not estimated is a dash.
package wording

import (
	"math"
	"strconv"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/stats/round"
	"shortfall/ingest/casebook"
)

// Dash stands for a number that was not estimated.
const Dash = "–"

// nbsp keeps a number and its unit on one line.
const nbsp = "\u00a0"

// Fixed writes a number with so many decimals, halves away from zero, a true minus
// sign and no negative zero.
func Fixed(v results.Number, decimals int) string {
	if !v.OK() {
		return Dash
	}
	s := strconv.FormatFloat(round.HalfAway(float64(v), decimals), 'f', decimals, 64)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// Setting is the number of a setting as somebody would write it: 0.5, 2, 0.05.
func Setting(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }

// Whole percent of a ratio, without the sign: "52".
func Whole(ratio results.Number) string { return Fixed(ratio*100, 0) }

// Percent of a ratio: "52 %".
func Percent(ratio results.Number) string {
	if !ratio.OK() {
		return Dash
	}
	return Whole(ratio) + nbsp + "%"
}

// Share of a count: "52 %". From a denominator of 100 on, one decimal keeps a
// share that would round to 0 or 100 without being it apart from those.
func Share(n, of int) string {
	if of == 0 {
		return Dash
	}
	r := results.Number(n) / results.Number(of)
	whole := round.HalfAway(float64(r)*100, 0)
	if of >= 100 && (whole == 0 && n > 0 || whole == 100 && n < of) {
		tenth := math.Max(0.1, math.Min(99.9, float64(r)*100))
		return Fixed(results.Number(tenth), 1) + nbsp + "%"
	}
	return Percent(r)
}

// Points of a difference between two ratios, signed: "+12".
func Points(d results.Number) string { return signed(d*100, 0) }

func signed(v results.Number, decimals int) string {
	s := Fixed(v, decimals)
	if v.OK() && v > 0 && strings.Trim(s, "0.") != "" {
		return "+" + s
	}
	return s
}

// Limits of an interval of ratios in percent: "44 to 60".
func Limits(low, high results.Number) string {
	if !low.OK() || !high.OK() {
		return Dash
	}
	return Whole(low) + " to " + Whole(high)
}

// PointLimits of an interval of differences: "−2 to +14". A limit within half a point
// of zero keeps decimals, since zero is where the reading turns: "−16 to −0.3".
func PointLimits(low, high results.Number) string {
	if !low.OK() || !high.OK() {
		return Dash
	}
	return pointLimit(low) + " to " + pointLimit(high)
}

func pointLimit(v results.Number) string {
	s := Points(v)
	for dec := 1; v != 0 && strings.Trim(s, "0.") == "" && dec <= 2; dec++ {
		s = signed(v*100, dec)
	}
	return s
}

// decimals that a unit bears: mm to 0.1, degrees to 1.
func decimals(u casebook.Unit) int {
	if u == casebook.Millimetre {
		return 1
	}
	return 0
}

// Amount in a unit: "0.4 mm", "12°".
func Amount(v results.Number, u casebook.Unit) string { return amount(v, u, decimals(u)) }

// Fine is Amount with one more decimal, for the error of the measurement
// itself, which is smaller than what it measures.
func Fine(v results.Number, u casebook.Unit) string { return amount(v, u, decimals(u)+1) }

func amount(v results.Number, u casebook.Unit, dec int) string {
	if !v.OK() {
		return Dash
	}
	return Fixed(v, dec) + UnitText(u)
}

// FineInterval is an estimate with its limits: "0.01 (−0.03 to 0.05) mm".
func FineInterval(est, low, high results.Number, u casebook.Unit) string {
	if !est.OK() {
		return Dash
	}
	dec := decimals(u) + 1
	unit := UnitText(u)
	if !low.OK() || !high.OK() {
		return Fixed(est, dec) + unit
	}
	return Fixed(est, dec) + " (" + Fixed(low, dec) + " to " + Fixed(high, dec) + ")" + unit
}

// usual is the level that a reader holds a P against.
const usual = 0.05

// P value: two figures, never below 0.001; more where two would read as the usual level
// and hide on which side of it P lies.
func P(p results.Number) string {
	switch {
	case !p.OK():
		return Dash
	case p < 0.001:
		return "<" + nbsp + "0.001"
	case p > 0.99:
		return ">" + nbsp + "0.99"
	}
	v := float64(p)
	dec := 2
	for limit := 0.1; v < limit && dec < 4; limit /= 10 {
		dec++
	}
	if dec > 2 && round.HalfAway(v, dec)*math.Pow10(dec) > 99.5 {
		dec-- // 0.0996 is 0.10, not 0.100
	}
	s := strconv.FormatFloat(round.HalfAway(v, dec), 'f', dec, 64)
	for ; v != usual && strings.TrimRight(s, "0") == "0.05" && dec < 6; dec++ {
		s = strconv.FormatFloat(round.HalfAway(v, dec+1), 'f', dec+1, 64)
	}
	return s
}

// Count with a thin space between thousands.
func Count(n int) string {
	s := strconv.Itoa(n)
	for i := len(s) - 3; i > 0 && s[i-1] != '-'; i -= 3 {
		s = s[:i] + "\u2009" + s[i:]
	}
	return s
}

// SomeOf is "3 of 17 comparisons", "none of 17 comparisons", and of one "the one
// comparison".
func SomeOf(n, of int, one string) string {
	switch {
	case of == 1 && n == 1:
		return "the one" + nbsp + one
	case n == 0:
		return "none of " + Of(of, one)
	}
	return Count(n) + " of " + Of(of, one)
}

// AnyOf is "any of 17 comparisons", or "the one comparison".
func AnyOf(of int, one string) string {
	if of == 1 {
		return "the one" + nbsp + one
	}
	return "any of " + Of(of, one)
}

// Of writes a count with its noun: "1 case", "38 cases".
func Of(n int, one string) string {
	if n == 1 {
		return "1" + nbsp + one
	}
	if one == "tooth" {
		return Count(n) + nbsp + "teeth"
	}
	return Count(n) + nbsp + one + "s"
}

// SignedFine is Fine with its sign: "+0.15 mm".
func SignedFine(v results.Number, u casebook.Unit) string {
	s := Fine(v, u)
	if v.OK() && v > 0 && strings.Trim(s, "0. \u00a0m°") != "" {
		return "+" + s
	}
	return s
}
