package values

import (
	"strings"
	"unicode"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

func inches(s string) bool {
	s = strings.ToLower(s)
	return s == "in" || s == "\"" || s == "″" || s == "inch" || s == "inches" || strings.HasPrefix(s, "cm")
}

// leadingUnit takes a unit off the front.
func leadingUnit(s string) (casebook.Unit, string, bool) {
	low := strings.ToLower(s)
	for _, w := range unitWords {
		if !strings.HasPrefix(low, w.text) {
			continue
		}
		rest := s[len(w.text):]
		if r := []rune(rest); len(r) > 0 && unicode.IsLetter(r[0]) && unicode.IsLetter([]rune(w.text)[len([]rune(w.text))-1]) {
			continue
		}
		return w.unit, strings.TrimSpace(rest), true
	}
	return casebook.NoUnit, s, false
}

// unitWords are tried in order, longer before shorter.
var unitWords = []struct {
	text string
	unit casebook.Unit
}{
	{"millimetres", casebook.Millimetre},
	{"millimeters", casebook.Millimetre},
	{"millimetre", casebook.Millimetre},
	{"millimeter", casebook.Millimetre},
	{"mm", casebook.Millimetre},
	{"degrees", casebook.Degree},
	{"degree", casebook.Degree},
	{"deg", casebook.Degree},
	{"°", casebook.Degree},
	{"º", casebook.Degree},
}

// ParseUnit reads a unit on its own.
func ParseUnit(s string) (casebook.Unit, error) {
	u, rest, ok := leadingUnit(tidy(s))
	if !ok || strings.Trim(rest, ".") != "" {
		if u, ok := byConcept(s, unitConcepts); ok {
			return u, nil
		}
		return casebook.NoUnit, fail(rules.UnitUnknown, "the cell is not mm or deg")
	}
	return u, nil
}
