// Package values reads the text of single cells: numbers, teeth, months, words
// and courses, as practices write them.
//
// Place in the pipeline: ingest hands each cell here with what was decided for
// the whole file (decimal sign, tooth notation, order of dates) and gets a value
// or the rule that was broken. Nothing here guesses: what can be read in two
// ways is refused.
package values

import (
	"math"
	"math/big"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// Amount is a number as a cell gives it, with what stood beside it.
type Amount struct {
	Value float64
	// Digits is the number as a plain decimal, for exact arithmetic.
	Digits string
	// Sign is true where the cell wrote a sign or parentheses.
	Sign    bool
	Unit    casebook.Unit
	Percent bool
	// About is true where the cell says that the number is not exact: "ca 2,9", "~3".
	About bool
	// Word is a direction in words or letters, "" where there is none.
	Word string
}

// Rat is the amount as an exact fraction.
func (a Amount) Rat() *big.Rat {
	r, ok := new(big.Rat).SetString(a.Digits)
	if !ok {
		return new(big.Rat).SetFloat64(a.Value)
	}
	return r
}

// Fail is why a cell cannot be read: the rule and a message without the value.
type Fail struct {
	Rule    rules.ID
	Message string
	// Explained: the word is known and cannot be read for the reason given.
	Explained bool
}

func (f Fail) Error() string { return f.Message }

func fail(id rules.ID, message string) error { return Fail{Rule: id, Message: message} }

// ParseAmount reads the text of an amount: "-1.5", "−1,5 mm", "(2)", "12°",
// "2.0 I", "62 %". A number the file stores as such always has a point.
func ParseAmount(s string, dec Decimal) (Amount, error) {
	if v, ok := plain(s); ok && dec != ',' {
		return Amount{Value: v, Digits: s, Sign: s[0] == '-' || s[0] == '+'}, nil
	}
	t := strings.TrimRight(tidy(s), "*")
	t = strings.TrimSpace(t)
	a := Amount{}
	if m := about.FindStringSubmatch(t); m != nil {
		a.About, t = true, t[len(m[1]):]
	}
	neg := false
	if strings.HasPrefix(t, "(") && strings.HasSuffix(t, ")") {
		neg, a.Sign, t = true, true, strings.TrimSpace(t[1:len(t)-1])
		if strings.HasPrefix(t, "-") || strings.HasPrefix(t, "+") {
			return a, fail(rules.NumberUnreadable, "the cell has a sign inside parentheses")
		}
	}
	before, digits, after := cut(t)
	if digits == "" {
		return a, fail(rules.NumberUnreadable, "the cell holds no number")
	}
	switch before = strings.TrimSpace(before); {
	case strings.HasSuffix(before, "-"):
		neg, a.Sign, before = true, true, strings.TrimSpace(strings.TrimSuffix(before, "-"))
	case strings.HasSuffix(before, "+"):
		a.Sign, before = true, strings.TrimSpace(strings.TrimSuffix(before, "+"))
	}
	if after == "-" && !a.Sign {
		neg, a.Sign, after = true, true, "" // "1.2-", as bookkeepers write it
	}
	plainDigits, err := decimal(digits, dec)
	if err != nil {
		return a, err
	}
	if neg {
		plainDigits = "-" + plainDigits
	}
	a.Digits = plainDigits
	if a.Value, err = strconv.ParseFloat(plainDigits, 64); err != nil || math.IsInf(a.Value, 0) {
		return a, fail(rules.NumberUnreadable, "the number is malformed")
	}
	return a, a.beside(before, after)
}

// about are the words and signs before a number that is not exact (common practice, no
// source). A digit, or its sign, stands behind them.
var about = regexp.MustCompile(`^(?i)((?:(?:ca|circa|approx|appr|approximately|about|around|etwa|ungef|ungefähr|rund|env|environ|aprox|aproximadamente|około|ok|ongeveer|omtrent|ungefär)\.?|[~≈∼])\s*)[-+.,\d]`)

// plain is the fast way for digits with an optional sign and point.
func plain(s string) (float64, bool) {
	if s == "" || len(s) > 24 {
		return 0, false
	}
	digits := false
	for i := 0; i < len(s); i++ {
		switch c := s[i]; {
		case c >= '0' && c <= '9':
			digits = true
		case c == '.' && !strings.Contains(s[i+1:], "."):
		case (c == '-' || c == '+') && i == 0:
		default:
			return 0, false
		}
	}
	if !digits {
		return 0, false
	}
	v, err := strconv.ParseFloat(s, 64)
	return v, err == nil
}

// tidy maps the many minus signs and spaces to plain ones.
func tidy(s string) string {
	return strings.TrimSpace(strings.Map(func(r rune) rune {
		switch r {
		case '\u2212', '\u2010', '\u2011', '\u2012', '\u2013', '\u2014', '\uff0d':
			return '-'
		case '\uff0b':
			return '+'
		case '\u200b', '\u200e', '\u200f', '\ufeff':
			return -1
		}
		if unicode.IsSpace(r) {
			return ' '
		}
		return r
	}, s))
}

// cut splits at the first run of digits and separators.
func cut(t string) (before, digits, after string) {
	isDigit := func(b byte) bool { return b >= '0' && b <= '9' }
	start := 0
	for start < len(t) && !isDigit(t[start]) {
		if (t[start] == '.' || t[start] == ',') && start+1 < len(t) && isDigit(t[start+1]) {
			break
		}
		start++
	}
	end := start
	for end < len(t) && (isDigit(t[end]) || (t[end] == '.' || t[end] == ',' || t[end] == '\'') && end+1 < len(t) && isDigit(t[end+1])) {
		end++
	}
	// A point with nothing after it, as in "12.", belongs to the number.
	after = strings.TrimSpace(t[end:])
	if after == "." || after == "," {
		after = ""
	}
	return t[:start], t[start:end], after
}

// beside reads unit, percent sign and direction around the digits.
func (a *Amount) beside(before, after string) error {
	rest := strings.TrimSpace(after)
	if r, ok := strings.CutPrefix(rest, "%"); ok {
		a.Percent, rest = true, strings.TrimSpace(r)
	} else if u, r, ok := leadingUnit(rest); ok {
		a.Unit, rest = u, r
	} else if inches(rest) {
		return fail(rules.UnitUnknown, "the cell names a unit that is not mm or degrees")
	}
	before = strings.Trim(before, " :")
	rest = strings.Trim(rest, " .,;()")
	if before != "" && rest != "" {
		return fail(rules.NumberUnreadable, "the cell holds text on both sides of the number")
	}
	a.Word = before + rest
	if strings.ContainsAny(a.Word, "0123456789") {
		return fail(rules.NumberUnreadable, "the cell holds more than one number")
	}
	return nil
}

// StoredNumber reads a number as a workbook stores it: with a point, perhaps
// with an exponent.
func StoredNumber(s string) (Amount, error) {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil || math.IsInf(v, 0) || math.IsNaN(v) {
		return Amount{}, fail(rules.NumberUnreadable, "the number is malformed")
	}
	return Amount{Value: v, Digits: s, Sign: v < 0}, nil
}

// Times multiplies an amount exactly.
func (a Amount) Times(n int64) Amount {
	if n == -1 { // by far the commonest, and exact without fractions
		a.Value = 0 - a.Value // never -0
		if digits, ok := strings.CutPrefix(a.Digits, "-"); ok {
			a.Digits = digits
		} else {
			a.Digits = "-" + strings.TrimPrefix(a.Digits, "+")
		}
		return a
	}
	b := FromRat(new(big.Rat).Mul(a.Rat(), big.NewRat(n, 1)))
	b.Unit, b.Percent, b.Word, b.Sign = a.Unit, a.Percent, a.Word, a.Sign
	return b
}

// FromRat is the amount nearest to an exact fraction.
func FromRat(r *big.Rat) Amount {
	v, _ := r.Float64()
	return Amount{Value: v, Digits: r.RatString()}
}
