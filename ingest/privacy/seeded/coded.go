package seeded

import (
	"fmt"
	"strings"
)

// datesInCodes are codes of cases made of a date of birth, with a month in letters or marks
// in the date.
func (m *maker) datesInCodes() []func() Value {
	months := []string{"Jan", "feb", "Mär", "APR", "mai", "Juin", "lug", "ago", "wrz", "Okt", "Nov", "déc"}
	code := func(class string, write func(y, mo, d int, month string) string) func() Value {
		return func() Value {
			y, mo, d, _ := m.birth()
			s := write(y, mo, d, months[mo-1])
			return Value{Class: "date of birth in a code, " + class, Text: s, Needles: []string{s}, Place: InCase}
		}
	}
	letters := func() string { return m.of("AK", "BM", "P", "GHT", "JO") }
	return []func() Value{
		code("day, month in letters, year", func(y, _, d int, month string) string {
			return m.of("", "P", "P-", "AK") + fmt.Sprintf("%d%s%d", d, month, y)
		}),
		code("month in letters, marks", func(y, _, d int, month string) string {
			mark := m.of(".", "-", "_", " ")
			return fmt.Sprintf("%02d%s%s%s%02d", d, mark, month, mark, y%100)
		}),
		code("year first, month in letters", func(y, _, d int, month string) string { return fmt.Sprintf("%02d%s%02d", y%100, month, d) }),
		code("initials and marks", func(y, mo, d int, _ string) string {
			return letters() + strings.Join([]string{"", fmt.Sprint(d), fmt.Sprint(mo), fmt.Sprintf("%02d", y%100)}, m.of("-", "_", " ", "/", "."))
		}),
		code("initials at the date", func(y, mo, d int, _ string) string {
			return m.of("AK", "BM", "GH") + fmt.Sprintf("%d.%d.%02d", d, mo, y%100)
		}),
		code("initials, year of two digits first", func(y, mo, d int, _ string) string {
			return m.of("MN", "OP") + m.of("", "-", "_") + fmt.Sprintf("%02d-%02d-%02d", y%100, mo, d)
		}),
	}
}
