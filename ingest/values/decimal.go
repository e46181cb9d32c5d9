package values

import (
	"strings"

	"shortfall/ingest/rules"
)

// Decimal is the decimal sign of a file: '.', ',' or 0 where nothing decides.
type Decimal byte

// decimal turns digits with separators into a plain decimal.
func decimal(s string, dec Decimal) (string, error) {
	s = strings.ReplaceAll(s, "'", "")
	points, commas := strings.Count(s, "."), strings.Count(s, ",")
	switch {
	case points == 0 && commas == 0:
		return s, nil
	case points > 0 && commas > 0:
		mark, group := ".", ","
		if strings.LastIndex(s, ",") > strings.LastIndex(s, ".") {
			mark, group = ",", "."
		}
		whole, frac, _ := strings.Cut(s, mark)
		if strings.Count(s, mark) > 1 || !grouped(whole, group) {
			return "", fail(rules.NumberUnreadable, "the separators of the number are out of place")
		}
		return strings.ReplaceAll(whole, group, "") + "." + frac, nil
	}
	mark := "."
	if commas > 0 {
		mark = ","
	}
	if strings.Count(s, mark) > 1 {
		if !grouped(s, mark) {
			return "", fail(rules.NumberUnreadable, "the separators of the number are out of place")
		}
		return strings.ReplaceAll(s, mark, ""), nil
	}
	whole, frac, _ := strings.Cut(s, mark)
	if dec != Decimal(mark[0]) && grouped(s, mark) {
		switch {
		case dec != 0:
			return whole + frac, nil
		case mark == ",":
			return "", fail(rules.NumberAmbiguous, "the number can be read in two ways")
		}
	}
	return whole + "." + frac, nil
}

// grouped reports whether s is a whole number with thousands separators.
func grouped(s, sep string) bool {
	parts := strings.Split(s, sep)
	if n := len(parts[0]); n < 1 || n > 3 || parts[0][0] == '0' {
		return false
	}
	for _, p := range parts[1:] {
		if len(p) != 3 {
			return false
		}
	}
	return true
}

// Evidence counts what the texts of a file say about its decimal sign.
type Evidence struct{ Points, Commas int }

// Note looks at one text cell.
func (e *Evidence) Note(s string) {
	if strings.IndexByte(s, ',') < 0 && strings.IndexByte(s, '.') < 0 {
		return
	}
	_, digits, _ := cut(tidy(s))
	p, c := strings.LastIndex(digits, "."), strings.LastIndex(digits, ",")
	switch {
	case p < 0 && c < 0:
	case p >= 0 && c >= 0:
		if p > c {
			e.Points++
		} else {
			e.Commas++
		}
	case p >= 0 && !grouped(digits, "."):
		e.Points++
	case c >= 0 && !grouped(digits, ","):
		e.Commas++
	}
}

// Decimal is the sign all evidence agrees on, 0 where there is none or both.
func (e Evidence) Decimal() Decimal {
	switch {
	case e.Commas > 0 && e.Points == 0:
		return ','
	case e.Points > 0 && e.Commas == 0:
		return '.'
	}
	return 0
}
