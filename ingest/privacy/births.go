package privacy

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"shortfall/ingest/values"
)

// A code can be made of a date of birth: "AK12Mar85", "KB-040873", "QR6-6-95".

// Initials with a date of birth, in either order: "KB-040873", "19791204 TB", and with
// marks inside the date, which then may stand at the letters: "MN73-08-18".
var (
	initialsBirth = regexp.MustCompile(`^(?:(\p{L}{2,3})[ ._-]?(\d{6}|\d{8})|(\d{6}|\d{8})[ ._-]?(\p{L}{2,3}))$`)
	initialsParts = regexp.MustCompile(`^(\p{L}{2,4})?[ ._/:-]{0,2}(\d{1,4})[ ._/:-](\d{1,2})[ ._/:-](\d{1,4})[ ._/:-]{0,2}(\p{L}{2,4})?$`)
)

// initialed gives the letters of such a code, and whether its digits can be a date of birth.
func initialed(s string) (letters string, birth, ok bool) {
	if digits(s) < 4 && ascii(s) { // most codes
		return "", false, false
	}
	s = undress(s)
	if m := initialsBirth.FindStringSubmatch(s); m != nil {
		return strings.ToLower(m[1] + m[4]), birthDigits(m[2] + m[3]), true
	}
	m := initialsParts.FindStringSubmatch(s)
	if m == nil || (m[1] == "") == (m[5] == "") || len(m[1]+m[5]) > 2 && known[fold(m[1]+m[5])] {
		return "", false, false
	}
	return strings.ToLower(m[1] + m[5]), birthParts(m[2], m[3], m[4]), true
}

// birthParts: three numbers that are a date of birth, one at an end being the year.
func birthParts(a, b, c string) bool {
	two := func(s string) string { return strings.Repeat("0", max(0, 2-len(s))) + s }
	year := func(s string) bool { return len(s) == 2 || len(s) == 4 }
	return year(c) && len(a) <= 2 && birthDigits(two(a)+two(b)+c) || year(a) && len(c) <= 2 && birthDigits(a+two(b)+two(c))
}

// Years of birth of patients that a code can hold (common practice, no source).
const (
	oldestBirth   = 1920
	youngestBirth = 2020
)

// birthDigits: six or eight digits that are a day, a month and a year of birth in any of
// the three usual orders.
func birthDigits(d string) bool {
	number := func(from, n int) int {
		x, _ := strconv.Atoi(d[from : from+n])
		return x
	}
	y := len(d) - 4 // digits of the year
	for _, at := range []struct{ year, a, b int }{{4, 0, 2}, {0, y, y + 2}} {
		year := number(at.year, y)
		if y == 2 {
			year = century(year)
			if year > youngestBirth {
				year -= 100
			}
		}
		if a, b := number(at.a, 2), number(at.b, 2); min(a, b) >= 1 && min(a, b) <= 12 && max(a, b) <= 31 && year >= oldestBirth && year <= youngestBirth {
			return true
		}
	}
	return false
}

var (
	marksWithin = regexp.MustCompile(`[\s_:]+`)
	// yearBefore is a date with a year of two digits first, "MN-73-08-18": above 31 it can be
	// neither day nor month, nor the year of a treatment.
	yearBefore = regexp.MustCompile(`\b(?:3[2-9]|[4-9]\d)[-./](?:0?[1-9]|1[0-2])[-./](?:0?[1-9]|[12]\d|3[01])\b`)
)

// dated reports a whole date in a code, whatever marks part it, in figures or with a month
// in letters; a code that counts by two digits holds none.
func dated(code string) bool {
	if digits(code) < 2 {
		return false
	}
	if _, ok := spelledDate(code, allMonths); ok {
		return true
	}
	parted := marksWithin.ReplaceAllString(code, "-")
	if numbered(parted) {
		return false
	}
	_, ok := dateYear(parted)
	return ok || yearBefore.MatchString(parted)
}

// spelledDate finds a date whose month is one of some words, between day and year or before
// both, with or without marks between them and letters around: "AK12Mar85", "1985Mar12",
// "9.Sep.66", "Mar 12 85". It gives the digits of the year.
func spelledDate(s string, months map[string]bool) (year string, ok bool) {
	parts := partsOf(s)
	for i, w := range parts {
		if len(w) < 3 || allDigits(w) || !monthWord(w, months) {
			continue
		}
		number := func(at int) string {
			if at < 0 || at >= len(parts) || !allDigits(parts[at]) {
				return ""
			}
			return parts[at]
		}
		before, after, last := number(i-1), number(i+1), number(i+2)
		switch {
		case day(before) && yearOfDate(after):
			return after, true
		case yearOfDate(before) && day(after):
			return before, true
		case before == "" && day(after) && yearOfDate(last) && (len(last) == 4 || last > "31"): // "Mar-24-03" counts
			return last, true
		}
	}
	return "", false
}

// monthWord: a word for a month, also behind the ending of an ordinal.
func monthWord(w string, months map[string]bool) bool {
	f := fold(w)
	if months[f] {
		return true
	}
	for _, ending := range []string{"st", "nd", "rd", "th"} {
		if rest, ok := strings.CutPrefix(f, ending); ok && months[rest] {
			return true
		}
	}
	return false
}

func day(s string) bool { return len(s) > 0 && len(s) <= 2 && plausible(s, 31) }

// yearOfDate: two digits, or four of the last centuries.
func yearOfDate(s string) bool {
	return len(s) == 2 || len(s) == 4 && (s[:2] == "19" || s[:2] == "20")
}

// partsOf are the runs of letters and of digits of a text; where more than two marks stand
// between two of them an empty one parts them.
func partsOf(s string) (parts []string) {
	kind := func(r rune) int {
		switch {
		case r >= '0' && r <= '9':
			return 1
		case unicode.IsLetter(r), unicode.Is(unicode.Mn, r):
			return 2
		}
		return 0
	}
	from, last, marks := 0, 0, 0
	for i, r := range s + "\x00" {
		k := kind(r)
		if k != last {
			if last != 0 {
				parts = append(parts, s[from:i])
				marks = 0
			} else if marks > 2 {
				parts = append(parts, "")
			}
			from, last = i, k
		}
		if k == 0 {
			marks++
		}
	}
	return parts
}

// allMonths are the names of months and what they are shortened to in the languages of the
// headers and of Scandinavia, folded; some are words of other things too, so that only a
// code is looked at for them.
var allMonths = func() map[string]bool {
	m := map[string]bool{"maa": true}
	for _, w := range values.MonthNames() {
		m[w] = true
	}
	return m
}()
