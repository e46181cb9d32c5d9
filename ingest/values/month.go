package values

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"

	"shortfall/ingest/casebook"
	"shortfall/ingest/rules"
)

// DateOrder says how text dates of a file are written.
type DateOrder uint8

// Until the order is declared, 03/04/2025 is refused.
const (
	Undeclared DateOrder = iota
	DayFirst
	MonthFirst
)

// Serial reads a stored date: days since 1900 or 1904, of which only the month
// is kept.
func Serial(text string, date1904 bool) (casebook.Month, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v < 1 || v > 200000 {
		return 0, fail(rules.DateUnreadable, "the date is out of range")
	}
	t, err := excelize.ExcelDateToTime(v, date1904)
	if err != nil {
		return 0, fail(rules.DateUnreadable, "the date is out of range")
	}
	return inRange(t.Year(), int(t.Month()))
}

// ToothOfDate gives the tooth, in FDI, that a spreadsheet program turned into the date
// of a serial day: 1.3 became 1 March where it writes the day first, 3 January where it
// writes the month first. It is "" where the date is no such tooth.
func ToothOfDate(text string, date1904, dayFirst bool) string {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || v < 1 || v > 200000 || v != math.Trunc(v) {
		return ""
	}
	t, err := excelize.ExcelDateToTime(v, date1904)
	if err != nil {
		return ""
	}
	quadrant, position := t.Day(), int(t.Month())
	if !dayFirst {
		quadrant, position = position, quadrant
	}
	if quadrant > casebook.QuadrantCount || position > casebook.QuadrantTeeth {
		return ""
	}
	return strconv.Itoa(10*quadrant + position)
}

// NumberMonth reads a number without a date format: a serial day of the years
// 2000 to 2099, or YYYYMM.
func NumberMonth(text string, date1904 bool) (casebook.Month, error) {
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, fail(rules.DateUnreadable, "the cell is not a month or a date")
	}
	if n := int(v); v == float64(n) && n >= 199001 && n <= 209912 {
		return inRange(n/100, n%100)
	}
	if v >= 35064 && v < 73051 {
		return Serial(text, date1904)
	}
	return 0, fail(rules.DateUnreadable, "the number is not a date of this century")
}

func inRange(year, month int) (casebook.Month, error) {
	if year < 1990 || year > 2099 || month < 1 || month > 12 {
		return 0, fail(rules.DateUnreadable, "the date is out of range")
	}
	return casebook.NewMonth(year, month), nil
}

// ParseMonth reads a text: 2025-03, 2025-03-15, 03/2025, Mar 2025, 15 March
// 2025, 15.3.2025; 03/04/2025 only where the order is declared.
func ParseMonth(s string, order DateOrder) (casebook.Month, error) {
	return monthOf(order, s)
}

var monthOf = rememberedBy(func(order DateOrder, s string) (casebook.Month, error) {
	t := strings.ToLower(tidy(s))
	if day, clock, ok := strings.Cut(t, "t"); ok && len(day) == 10 && strings.Contains(clock, ":") {
		t = day
	}
	if day, clock, ok := strings.Cut(t, " "); ok && strings.Contains(clock, ":") {
		t = day
	}
	parts := strings.FieldsFunc(t, func(r rune) bool { return strings.ContainsRune("-/. ,", r) })
	dotted := strings.Contains(t, ".") && !strings.ContainsAny(t, "/-")
	for _, p := range parts {
		if monthNamed(p) > 0 {
			return namedMonth(parts)
		}
	}
	n := make([]int, len(parts))
	for i, p := range parts {
		v, err := strconv.Atoi(p)
		if err != nil || len(p) > 4 {
			return 0, fail(rules.DateUnreadable, "the cell is not a month or a date")
		}
		n[i] = v
	}
	switch {
	case len(n) == 2 && len(parts[0]) == 4:
		return inRange(n[0], n[1])
	case len(n) == 2 && len(parts[1]) == 4:
		return inRange(n[1], n[0])
	case len(n) == 3 && len(parts[0]) == 4:
		return inDay(n[0], n[1], n[2])
	case len(n) == 3 && len(parts[2]) == 4:
		return ordered(n[2], n[0], n[1], dotted, order)
	}
	return 0, fail(rules.DateUnreadable, "the cell is not a month or a date with a year of four digits")
})

// ordered decides which of a and b is the month. A date with points is day
// first (common practice, no source).
func ordered(year, a, b int, dotted bool, order DateOrder) (casebook.Month, error) {
	switch {
	case order == DayFirst || dotted && order == Undeclared:
		return inDay(year, b, a)
	case order == MonthFirst:
		return inDay(year, a, b)
	case a == b, a > 12 && b <= 12:
		return inDay(year, b, a)
	case b > 12 && a <= 12:
		return inDay(year, a, b)
	case a > 12:
		return 0, fail(rules.DateUnreadable, "the date is out of range")
	}
	return 0, fail(rules.DateAmbiguous, "day and month cannot be told apart")
}

// inDay checks that the day exists before it is dropped.
func inDay(year, month, day int) (casebook.Month, error) {
	t := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if t.Year() != year || int(t.Month()) != month || t.Day() != day {
		return 0, fail(rules.DateUnreadable, "there is no such day")
	}
	return inRange(year, month)
}

// namedMonth reads "mar 2025", "15 march 2025", "march 15 2025".
func namedMonth(parts []string) (casebook.Month, error) {
	year, month := 0, 0
	parts = slices.DeleteFunc(parts, func(p string) bool { return ofMonths[p] })
	for _, p := range parts {
		if m := monthNamed(p); m > 0 {
			if month != 0 {
				return 0, fail(rules.DateUnreadable, "the cell names two months")
			}
			month = m
			continue
		}
		v, err := strconv.Atoi(strings.TrimRight(p, "sthndrº°ª"))
		switch {
		case err != nil:
			return 0, fail(rules.DateUnreadable, "the cell is not a month or a date")
		case len(p) == 4:
			year = v
		case v < 1 || v > 31 || len(parts) == 2:
			return 0, fail(rules.DateUnreadable, "the year does not have four digits")
		}
	}
	return inRange(year, month)
}

// noDate is the order of a text whose day and month need none.
const noDate DateOrder = 255

// OrderOf says in which order a text date with numbers must be read: Undeclared
// where both orders are possible and differ.
func OrderOf(s string) DateOrder {
	d, errD := ParseMonth(s, DayFirst)
	m, errM := ParseMonth(s, MonthFirst)
	_, err := ParseMonth(s, Undeclared)
	switch {
	case errD == nil && errM != nil:
		return DayFirst
	case errM == nil && errD != nil:
		return MonthFirst
	case errD == nil && errM == nil && d != m && err != nil:
		return Undeclared
	}
	return noDate
}
