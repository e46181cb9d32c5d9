package typeface

import (
	"regexp"
	"strings"
)

// unitAfter finds a number and its unit, which no line end may part.
var unitAfter = regexp.MustCompile(`(\d) (%|mm\b)`)

// rangeIn finds the words between the limits of an interval.
var rangeIn = regexp.MustCompile(`(\d(?:\x{00a0}?(?:%|mm)|°)?) to ([−+]?\d)`)

// ofInterval finds the name of an interval before its first limit.
var ofInterval = regexp.MustCompile(`CI ([−+]?\d)`)

// Whole makes the spaces inside "52 %", "0.5 mm", "9 to 21" and "95 % CI" hold. Most
// texts have none of these, and looking for them by expressions took most of the time
// of breaking lines.
func Whole(s string) string {
	if strings.Contains(s, " %") || strings.Contains(s, " mm") {
		s = unitAfter.ReplaceAllString(s, "$1\u00a0$2")
	}
	s = strings.ReplaceAll(s, "% CI", "%\u00a0CI")
	if strings.Contains(s, "CI ") {
		s = ofInterval.ReplaceAllString(s, "CI\u00a0$1")
	}
	if strings.Contains(s, " to ") {
		s = rangeIn.ReplaceAllString(s, "$1\u00a0to\u00a0$2")
	}
	return s
}
