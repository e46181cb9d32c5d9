package casebook

import (
	"fmt"
	"strconv"
	"strings"
	"time"
)

// Month is a calendar month, the finest date the project keeps: the count of
// months since year 0. Zero means "not recorded".
type Month int

// NewMonth makes a month from a year and a month number 1 to 12.
func NewMonth(year, month int) Month { return Month(year*12 + month - 1) }

// ParseMonth reads "2025-03".
func ParseMonth(s string) (Month, error) {
	t, err := time.Parse("2006-01", s)
	if err != nil {
		return 0, fmt.Errorf("not a month: expected YYYY-MM")
	}
	return NewMonth(t.Year(), int(t.Month())), nil
}

// ParseQuarter reads "2025 Q1", "2025Q1", "2025-Q1" or "Q1 2025" as the first month of
// the quarter.
func ParseQuarter(s string) (Month, error) {
	year, number, ok := strings.Cut(strings.ToUpper(strings.TrimSpace(s)), "Q")
	if year == "" && len(number) > 1 { // the quarter goes first
		year, number = number[1:], number[:1]
	}
	y, err := strconv.Atoi(strings.Trim(year, " -/"))
	if n, bad := strconv.Atoi(number); ok && err == nil && bad == nil && y >= 1000 && y <= 9999 && n >= 1 && n <= 4 {
		return NewMonth(y, 3*n-2), nil
	}
	return 0, fmt.Errorf("not a quarter: expected such as 2025 Q1 or Q1 2025")
}

// Year and the month number 1 to 12.
func (m Month) Year() int { return int(m) / 12 }

// Number of the month, 1 to 12.
func (m Month) Number() int { return int(m)%12 + 1 }

// Quarter writes "2025 Q1".
func (m Month) Quarter() string {
	if m == 0 {
		return ""
	}
	return fmt.Sprintf("%04d Q%d", m.Year(), (m.Number()-1)/3+1)
}

// String writes "2025-03", or "" where not recorded.
func (m Month) String() string {
	if m == 0 {
		return ""
	}
	return fmt.Sprintf("%04d-%02d", m.Year(), m.Number())
}

// MarshalText writes "2025-03".
func (m Month) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads "2025-03" or "".
func (m *Month) UnmarshalText(b []byte) (err error) {
	if len(b) == 0 {
		*m = 0
		return nil
	}
	*m, err = ParseMonth(string(b))
	return err
}
