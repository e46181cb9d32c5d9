package story

import (
	"fmt"
	"slices"
	"strings"

	"shortfall/audit/results"
	"shortfall/audit/results/wording"
	"shortfall/ingest/casebook"
)

// lossSentence sets the styles' lost attachments side by side.
func (t *teller) lossSentence() string {
	var parts []string
	for _, x := range t.r.Losses {
		if x.ToothClass != casebook.NoClass || x.Suppressed || x.Lost.Denominator == 0 || x.Style == casebook.StyleNone {
			continue
		}
		parts = append(parts, fmt.Sprintf("%s of the %s", ofCount(x.Lost), wording.Style(x.Style)))
	}
	if len(parts) == 0 {
		return ""
	}
	return "Attachments lost during a course: " + joined(parts) + " ones."
}

func ofCount(s results.Share) string {
	out := wording.Count(s.Numerator) + " of " + wording.Count(s.Denominator)
	if s.Denominator >= 10 {
		out += " (" + wording.Share(s.Numerator, s.Denominator) + ")"
	}
	return out
}

// errorSentence says what measuring twice tells.
func (t *teller) errorSentence() string {
	var parts, above []string
	var ways []casebook.Method
	for _, e := range t.r.Repeats {
		if e.SmallestDetectable.OK() {
			parts = append(parts, wording.Fine(e.SmallestDetectable, e.Unit))
			ways = append(ways, t.r.ErrorWay(&e))
			if tol := t.s.Tolerance(e.Unit); float64(e.SmallestDetectable) > tol && !slices.Contains(above, wording.Setting(tol)+wording.UnitText(e.Unit)) {
				above = append(above, wording.Setting(tol)+wording.UnitText(e.Unit))
			}
		}
	}
	if len(parts) == 0 {
		return "No movement was measured twice, so the error of measurement is not known."
	}
	one := len(slices.Compact(slices.Clone(ways))) == 1 // said once, behind the last
	for i := range parts {
		if way := ways[i]; way != casebook.NoMethod && (!one || i == len(parts)-1) {
			parts[i] += " (" + way.String() + ")"
		}
	}
	out := fmt.Sprintf("Measured twice: in a single movement, a difference below %s may be nothing but measurement error.", strings.Join(parts, " or "))
	if len(above) > 0 {
		out += fmt.Sprintf(" That is more than the tolerance of %s, so whether a single movement ended outside cannot be told.", strings.Join(above, " and "))
	}
	return out
}
