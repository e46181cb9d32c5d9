package privacy

import (
	"maps"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Scheme is a way to number cases: the same letters and marks before running numbers, which
// say of nobody who it is. The zero value is none.
type Scheme map[string]bool // by shape

// Of how many codes, and of how few shapes, a scheme must be seen. They are judged by hand:
// initials and names differ from case to case, prefixes of sites do not (no source).
const (
	fewestOfOne   = 3 // codes, where all have one shape
	fewestOfEach  = 5 // of each shape, where there are several
	mostShapes    = 3
	oneInOutside  = 10 // of so many codes one may have another shape
	mostRunning   = 10000
	sparsest      = 20  // numbers of four digits leave out at the most so many for each code
	widestOfDates = 100 // four digits that all could be day and month run no further
)

// SchemeOf finds the scheme of the different codes of a file.
func SchemeOf(codes []string) Scheme {
	by := map[string][][]string{}
	for _, c := range codes {
		shape, numbers := shapeOf(c)
		by[shape] = append(by[shape], numbers)
	}
	out, within := Scheme{}, 0
	for _, shape := range slices.Sorted(maps.Keys(by)) {
		numbers := by[shape]
		least := fewestOfEach
		if len(by) == 1 {
			least = fewestOfOne
			if !Initials(shape) {
				least = 1
			}
		}
		if len(numbers) >= least && sayNothing(shape) && running(numbers) {
			out[shape] = true
			within += len(numbers)
		}
	}
	if len(out) > mostShapes || (len(codes)-within)*oneInOutside > len(codes) {
		return nil
	}
	return out
}

// Has reports a code of the scheme.
func (s Scheme) Has(code string) bool {
	shape, numbers := shapeOf(code)
	return s[shape] && len(numbers) > 0
}

// OwnCode reports a pseudonym that an anonymised copy gave.
func OwnCode(code string) bool { return ownForm.MatchString(code) }

// shapeOf gives a code with a sign for each of its numbers, in small letters, and the
// numbers.
func shapeOf(code string) (shape string, numbers []string) {
	var b strings.Builder
	within := false
	for _, r := range strings.ToLower(code) {
		digit := r >= '0' && r <= '9'
		switch {
		case !digit:
			b.WriteRune(r)
		case within:
			numbers[len(numbers)-1] += string(r)
		default:
			b.WriteByte('0')
			numbers = append(numbers, string(r))
		}
		within = digit
	}
	return b.String(), numbers
}

// Initials reports two letters or more in a code that are no words of the trade or of a
// dictionary, of which each has three; a single letter says less.
func Initials(code string) bool {
	n := 0
	for _, run := range letterRuns(code) {
		f := strings.ReplaceAll(fold(run), " ", "")
		if letters := len([]rune(f)); letters < 3 && f != "dr" || !known[f] && f != "dr" && (!ordinary()[f] || listed(f)) {
			n += letters
		}
	}
	return n > 1
}

// sayNothing: no letters that are a name, and at most three of what is no word.
func sayNothing(shape string) bool {
	for _, run := range letterRuns(shape) {
		f := strings.ReplaceAll(fold(run), " ", "")
		if listed(f) || strings.ContainsFunc(run, ownScript) || len([]rune(run)) > 3 && !known[f] && !ordinary()[f] {
			return false
		}
	}
	return true
}

// ownScript: a letter of a script of which one or two can be a whole name.
func ownScript(r rune) bool {
	return !unicode.In(r, unicode.Latin, unicode.Greek, unicode.Cyrillic)
}

// running: one number differs from code to code and can be one of order, or several of
// which the last has three digits or more, as those of a site or a year and its cases.
func running(codes [][]string) bool {
	n := len(codes[0])
	var differ []int
	for at := range n {
		if slices.ContainsFunc(codes, func(c []string) bool { return c[at] != codes[0][at] }) || len(codes) == 1 {
			differ = append(differ, at)
		}
	}
	if len(differ) == 0 {
		return false
	}
	last := differ[len(differ)-1]
	for _, at := range differ {
		if at != last && !part(codes, at) {
			return false
		}
	}
	if len(differ) > 1 && slices.ContainsFunc(codes, func(c []string) bool { return len(c[last]) < 3 }) {
		return false // day and month, month and year
	}
	return ofOrder(codes, last)
}

// part: numbers of two digits, or years of treatment, before others.
func part(codes [][]string, at int) bool {
	return !slices.ContainsFunc(codes, func(c []string) bool {
		x, _ := strconv.Atoi(c[at])
		return len(c[at]) > 2 && (len(c[at]) != 4 || x < 2010 || x > 2099)
	})
}

// ofOrder: numbers below ten thousand that are neither years nor days and months, and of
// four digits only where they stand close, as postal codes do not.
func ofOrder(codes [][]string, at int) bool {
	least, most, years, days := mostRunning, 0, true, true
	for _, c := range codes {
		x, err := strconv.Atoi(c[at])
		if err != nil || x >= mostRunning {
			return false
		}
		least, most = min(least, x), max(most, x)
		years = years && len(c[at]) == 4 && x >= oldestBirth && x <= youngestBirth
		a, b := x/100, x%100
		days = days && len(c[at]) == 4 && min(a, b) >= 1 && min(a, b) <= 12 && max(a, b) <= 31
	}
	return !years && (!days || most-least < widestOfDates) && (most < 1000 || most-least < sparsest*len(codes))
}
