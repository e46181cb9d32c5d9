package privacy

import (
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
)

// CellRule gives the rule that one cell of a table breaks, "" for none. f is
// what its column is read as.
func CellRule(c Cell, f columns.Field, date1904 bool) rules.ID {
	s := &screener{in: Input{Date1904: date1904}, seen: map[cellKey]rules.ID{}}
	return s.body(c, useOf(f), f)
}

// HeaderRule gives the rule that a header breaks. A column that is read is not
// judged by the words of its header, since they were understood.
func HeaderRule(text string, f columns.Field) rules.ID {
	if f == columns.NoField {
		if id := byHeader(text); id != "" {
			return id
		}
	}
	s := &screener{seen: map[cellKey]rules.ID{}}
	return s.classify(text, header)
}

// LabelRule gives the rule that the name of a sheet or a file breaks.
func LabelRule(text string) rules.ID {
	s := &screener{seen: map[cellKey]rules.ID{}}
	return s.classify(text, label)
}

// BirthHeader reports a header that announces dates of birth.
func BirthHeader(text string) bool {
	if byHeader(text) != rules.IdentifierDate {
		return false
	}
	f := fold(text)
	return !strings.Contains(f, "death") && !strings.Contains(f, "died") &&
		!strings.Contains(f, "admission") && !strings.Contains(f, "discharge")
}
