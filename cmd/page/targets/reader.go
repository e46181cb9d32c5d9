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
		x.err = fmt.Errorf("%s%s: %w", x.row, name, err)
	}
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
