package targets

import (
	"errors"
	"fmt"
	"net/url"
	"strconv"
	"strings"

	"shortfall/audit/results"
)

// reader reads the fields of one row; it keeps its first error.
type reader struct {
	f   url.Values
	row string
	err error
}

func (x *reader) text(name string) string { return strings.TrimSpace(x.f.Get(x.row + name)) }

func (x *reader) enum(name string, into interface{ UnmarshalText([]byte) error }) {
	if v := x.text(name); v != "" {
		x.note(name, into.UnmarshalText([]byte(v)))
	}
}

func (x *reader) note(name string, err error) {
	if err != nil && x.err == nil {
		x.err = fmt.Errorf("%s%s: %w", x.place(), name, err)
	}
}

// place is what a person calls the row at hand, counted from one.
func (x *reader) place() string {
	kind, number, _ := strings.Cut(x.row, " ")
	if n, err := strconv.Atoi(strings.TrimSpace(number)); err == nil {
		return fmt.Sprintf("%s %d, ", strings.Replace(kind, "criterion", "target", 1), n+1)
	}
	return "the comparison asked beforehand, "
}

// begun reports a row to be taken: its first field is filled in. Where that never was, and
// another one is, the row would be lost without a word: the first is asked for.
func (x *reader) begun(first string, others ...string) bool {
	if x.text(first) != "" || x.text("was") != "" {
		return x.text(first) != ""
	}
	for _, name := range others {
		if x.text(name) != "" {
			x.note(first, errors.New("is empty: fill it in, or clear the rest of the line"))
			return true
		}
	}
	return false
}

func (x *reader) number(name string) *float64 {
	v := x.text(name)
	if v == "" {
		return nil
	}
	v, percent := strings.CutSuffix(strings.Replace(v, ",", ".", 1), "%")
	n, err := strconv.ParseFloat(strings.TrimSpace(v), 64)
	switch {
	case err != nil:
		x.note(name, errors.New("a number such as 0.3 or 30 %"))
	case percent && x.text("measure") == string(results.MeanShortfallOf):
		x.note(name, errors.New("a mean shortfall is in mm or degrees, not in %"))
	case percent:
		n /= 100
	}
	return &n
}

func (x *reader) whole(name string) int {
	v := x.text(name)
	if v == "" {
		return 0
	}
	n, err := strconv.Atoi(v)
	if err != nil {
		x.note(name, errors.New("a whole number of months"))
	}
	return n
}
