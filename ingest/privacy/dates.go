package privacy

import (
	"strconv"
	"time"

	"shortfall/ingest/casebook"
)

// earliest year in which a treatment of the audit can have started (common
// practice, no source); a date before it in a column of months is another date.
const earliest = 2000

// exact reports whether a whole date of a year is a finding in a place: always
// where no date belongs, in a column of months where it is too early, and in
// names and titles where it is early enough for a patient's birth.
func (s *screener) exact(year int, u use) bool {
	switch u {
	case month:
		return year < earliest
	case heading, header, label, sentence:
		return s.newest == 0 && year < earliest || s.newest > 0 && year <= s.newest-youngest
	}
	return true
}

// youngest patient in years; treatment with aligners hardly starts earlier
// (common practice, no source).
const youngest = 6

// newestYear is the latest year in the columns of months.
func (s *screener) newestYear() int {
	newest := 0
	for _, sh := range s.in.Sheets {
		var seen Clean
		for c := range sh.below(month) {
			if !seen.has(c) && !sh.passes(c) {
				newest = max(newest, yearOf(c, s.in.Date1904))
				seen.note(c)
			}
		}
	}
	return newest
}

// yearOf a cell of a column of months: "2025-03", "2025-03-14" or a serial day.
func yearOf(c Cell, date1904 bool) int {
	if c.Kind == Date {
		y, _ := serialYear(c.Text, date1904)
		return y
	}
	if y, ok := dateYear(c.Text); ok {
		return y
	}
	if m, err := casebook.ParseMonth(c.Text); err == nil {
		return m.Year()
	}
	return 0
}

// serialYear is the year of a serial day (ECMA-376 part 1, 18.17.4.1); a part
// of the first year is a time of day, not a date.
func serialYear(text string, date1904 bool) (int, bool) {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || x < 366 || x > 2958465 {
		return 0, false
	}
	epoch := time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)
	if date1904 {
		epoch = time.Date(1904, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	return epoch.AddDate(0, 0, int(x)).Year(), true
}
