package audit

import (
	"fmt"
	"math"
	"strings"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// percent writes 0.523 as "52 %".
func percent(x results.Number) string {
	if !x.OK() {
		return plainPercent(x)
	}
	return plainPercent(x) + " %"
}

// plainPercent writes 0.523 as "52"; shares near 0 and 1 keep their meaning.
func plainPercent(x results.Number) string {
	if !x.OK() {
		return "not estimable"
	}
	return whole(100 * float64(x))
}

// whole writes a number without decimals, and never "-0".
func whole(x float64) string { return fixed(x, 0) }

// fixed writes a number with so many decimals, a true minus sign and no
// negative zero.
func fixed(x float64, decimals int) string {
	s := fmt.Sprintf("%.*f", decimals, x)
	if strings.Trim(s, "-0.") == "" {
		s = strings.TrimPrefix(s, "-")
	}
	return strings.Replace(s, "-", "−", 1)
}

// signed is fixed with a plus sign before a number above zero.
func signed(x float64, decimals int) string {
	s := fixed(x, decimals)
	if x > 0 && strings.Trim(s, "0.") != "" {
		return "+" + s
	}
	return s
}

// points writes a difference in points of the plan: "1 point", "−4 points".
func points(x float64) string {
	if n := math.Round(x); n == 1 || n == -1 {
		return whole(x) + " point"
	}
	return whole(x) + " points"
}

// styleWords names a style where it follows "from", "to" or "kept".
func styleWords(s casebook.Style) string {
	if s == casebook.StyleNone {
		return "no feature"
	}
	return s.String()
}

// unitText follows a number: " mm" or "°".
func unitText(u casebook.Unit) string {
	if u == casebook.Degree {
		return "°"
	}
	return " mm"
}

func capitalised(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}
