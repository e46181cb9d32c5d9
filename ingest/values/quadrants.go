package values

import (
	"maps"
	"slices"
	"strings"
)

// Quadrants says which quadrant a file means by codes that mean one in some languages and
// another elsewhere; "" for one that nothing settles.
type Quadrants map[string]string

// An order in which letters name jaw and side, or Roman numbers. S and I are the jaws of
// Spanish, Italian, Portuguese and French (superior, inferior), D is right in all of them and
// left is I, S, E or G (common practice, no source): SI is superior izquierdo, upper left, or
// sinistro inferiore, lower left, and II one of both or the Roman number of the upper left.
const (
	JawFirst  = "jaw first"
	SideFirst = "side first"
	Numbers   = "numbers"
)

// Orders are all of them.
var Orders = []string{JawFirst, SideFirst, Numbers}

// lettered are the codes of each order and, one letter of the left side each, of a language.
var lettered = map[string][]Quadrants{
	JawFirst: ofLanguages(func(jaw, side string) string { return jaw + side }), SideFirst: ofLanguages(func(jaw, side string) string { return side + jaw }),
	Numbers: {{"I": "UR", "II": "UL", "III": "LL", "IV": "LR"}},
}

func ofLanguages(code func(jaw, side string) string) []Quadrants {
	var out []Quadrants
	for left := range strings.SplitSeq("I S E G", " ") {
		out = append(out, Quadrants{code("S", "D"): "UR", code("S", left): "UL", code("I", left): "LL", code("I", "D"): "LR"})
	}
	return out
}

// QuadrantsIn are all codes of an order.
func QuadrantsIn(order string) Quadrants {
	out := Quadrants{}
	for _, q := range lettered[order] {
		maps.Copy(out, q)
	}
	return out
}

// QuadrantCode finds such a code in a quadrant or a tooth, "SI 3"; "" for anything else.
func QuadrantCode(text string) string {
	code := jawCode(text)
	if slices.ContainsFunc(Orders, func(o string) bool { return QuadrantsIn(o)[code] != "" }) {
		return code
	}
	return ""
}

// Settle gives the orders in which all of some codes are quadrants, one for each reading of
// them: those that a single language writes, or, where none does, any.
func Settle(codes []string) []string {
	var whole, mixed []string
	var seen []Quadrants
	for _, o := range Orders {
		all := QuadrantsIn(o)
		fits := func(q Quadrants) bool { return !slices.ContainsFunc(codes, func(c string) bool { return q[c] == "" }) }
		if !fits(all) || slices.ContainsFunc(seen, func(s Quadrants) bool { return s.agrees(all, codes) }) {
			continue
		}
		if slices.ContainsFunc(lettered[o], fits) {
			whole, seen = append(whole, o), append(seen, all)
		} else {
			mixed = append(mixed, o)
		}
	}
	if whole == nil {
		return mixed
	}
	return whole
}

func (q Quadrants) agrees(o Quadrants, codes []string) bool {
	return !slices.ContainsFunc(codes, func(c string) bool { return q[c] != o[c] })
}

// English writes a quadrant or a tooth in the letters of English quadrants: "SI 3" becomes
// "UL3"; one that nothing settles becomes no tooth.
func (q Quadrants) English(text string) string {
	code := jawCode(text)
	to, ok := q[code]
	if !ok {
		return text
	}
	if to == "" {
		return "?"
	}
	return to + strings.Trim(capitals(text), " -_."+code)
}
