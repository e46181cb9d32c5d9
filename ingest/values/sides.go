package values

import (
	"slices"
	"strconv"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/lexicon"
)

// ParseSide reads the side of the mouth as the patient has it: "R" or "L", ""
// where the text is neither. The letters are those of eight languages; D is
// right in all of them that write it so (droite, derecha, destra, direita).
func ParseSide(s string) string {
	k := lexicon.Fold(s)
	switch k {
	case "r", "d", "p", "re", "rt":
		return "R"
	case "l", "g", "i", "s", "e", "li", "lt":
		return "L"
	}
	set := lexicon.Of(lexicon.Tokens(s))
	switch {
	case set.Only([]lexicon.Concept{lexicon.Right}, lexicon.Side):
		return "R"
	case set.Only([]lexicon.Concept{lexicon.Left}, lexicon.Side):
		return "L"
	}
	return ""
}

// ParseArch reads the arch: "U" or "L", "" where the text is neither.
func ParseArch(s string) string {
	switch lexicon.Fold(s) {
	case "u", "up", "s", "sup", "h", "o", "ok", "mx", "max", "g":
		return "U"
	case "l", "lo", "i", "inf", "b", "uk", "mn", "md", "mand", "d":
		return "L"
	}
	set := lexicon.Of(lexicon.Tokens(s))
	switch {
	case set.Only([]lexicon.Concept{lexicon.Upper}, lexicon.Arch):
		return "U"
	case set.Only([]lexicon.Concept{lexicon.Lower}, lexicon.Arch):
		return "L"
	}
	return ""
}

// quadrants as they are written beside a number from 1 to 8.
var quadrants = map[string]string{
	"1": "UR", "2": "UL", "3": "LL", "4": "LR", "q1": "UR", "q2": "UL", "q3": "LL", "q4": "LR", "i": "UR", "ii": "UL", "iii": "LL", "iv": "LR",
	"ur": "UR", "ul": "UL", "ll": "LL", "lr": "LR",
}

// ParseQuadrant reads a quadrant as "UR", "UL", "LL" or "LR", "" where the text
// is none. Numbers are those of FDI (ISO 3950): 1 upper right, 2 upper left, 3
// lower left, 4 lower right.
func ParseQuadrant(s string) string {
	if q, ok := quadrants[strings.TrimSuffix(lexicon.Fold(strings.TrimSuffix(strings.TrimSpace(s), ".0")), " 0")]; ok {
		return q
	}
	if own, ok := ownQuadrants[strings.ToUpper(strings.TrimSpace(s))]; ok && QuadrantCode(s) == "" {
		return own // what SI and II mean is settled for the whole of a file
	}
	arch, side := "", ""
	for _, t := range lexicon.Tokens(s) {
		switch t.Concept {
		case lexicon.Upper:
			arch += "U"
		case lexicon.Lower:
			arch += "L"
		case lexicon.Right:
			side += "R"
		case lexicon.Left:
			side += "L"
		case lexicon.Filler, lexicon.Quadrant, lexicon.Arch, lexicon.Side:
		default:
			return ""
		}
	}
	if len(arch) == 1 && len(side) == 1 {
		return arch + side
	}
	return ""
}

// SideWord reports a word that is a direction only along a known axis, such as
// mesial or buccal.
func SideWord(s string) bool {
	for _, a := range casebook.Axes() {
		if _, err := ParseDirection(s, a); err == nil {
			return true
		}
	}
	return false
}

// Teeth splits a cell that names one tooth or several: "13", "13, 12, 11",
// "13+12", "13-23". It is empty where any part is no tooth.
func Teeth(s string) []string {
	if t := ParseTooth(s); known(t) || (t.Name != ToothName{}) {
		return []string{s}
	}
	if between := span(s); between != nil {
		return between
	}
	parts := strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(",;/+& \n", r) })
	if len(parts) < 2 || len(parts) > 16 {
		return nil
	}
	for _, p := range parts {
		if t := ParseTooth(p); !known(t) {
			return nil
		}
	}
	return parts
}

func known(t Tooth) bool { return t.FDI != 0 || t.Universal != 0 || t.Palmer != 0 }

// span lists the teeth of a stretch of one arch: 13-23 goes from canine to canine,
// over the midline. Within a quadrant FDI and Universal numbers run alike; over
// the midline only one of them gives a stretch of one arch.
func span(s string) []string {
	from, to, ok := strings.Cut(strings.NewReplacer("\u2013", "-", "\u2014", "-", " ", "").Replace(strings.TrimSpace(s)), "-")
	a, err1 := strconv.Atoi(from)
	b, err2 := strconv.Atoi(to)
	if !ok || err1 != nil || err2 != nil || max(a, b) < 9 {
		return nil // 1-3 may be a quadrant and a tooth
	}
	for _, arch := range [][]int{fdiArch(1, 2), fdiArch(4, 3), numbers(1, 16), numbers(17, 32)} {
		i, j := slices.Index(arch, a), slices.Index(arch, b)
		if i < 0 || j < 0 || i == j {
			continue
		}
		var out []string
		for _, n := range arch[min(i, j) : max(i, j)+1] {
			out = append(out, strconv.Itoa(n))
		}
		return out
	}
	return nil
}

// fdiArch lists an arch from right to left.
func fdiArch(right, left int) []int {
	var out []int
	for n := 8; n >= 1; n-- {
		out = append(out, 10*right+n)
	}
	for n := 1; n <= 8; n++ {
		out = append(out, 10*left+n)
	}
	return out
}

func numbers(from, to int) []int {
	var out []int
	for n := from; n <= to; n++ {
		out = append(out, n)
	}
	return out
}
