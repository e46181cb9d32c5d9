package privacy

import (
	"regexp"
	"strings"
	"unicode"

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

// Word reports a text whose words, as parted by anything but letters, are of the trade,
// of a calendar or of a dictionary and in no list of names, with short numbers and one or
// two letters among them: it names nobody, in any column.
func Word(text string) bool {
	for _, run := range strings.FieldsFunc(undress(text), func(r rune) bool { return !unicode.IsLetter(r) && !unicode.Is(unicode.Mn, r) }) {
		f := strings.ReplaceAll(fold(run), " ", "")
		switch {
		case known[f], months[f], ordinary()[f] && !listed(f):
		case len([]rune(f)) <= 2 && !caseless(f):
		default:
			return false
		}
	}
	return !notOfNames.MatchString(text)
}

// notOfNames is what the name of a sheet of nobody does not have: more digits than a year
// or a number of order, signs of degrees and the like.
var notOfNames = regexp.MustCompile(`\d{5,}|[^\p{L}\p{M}\d\s._,()/&+#'’-]`)

// BirthHeader reports a header that announces dates of birth.
func BirthHeader(text string) bool {
	if byHeader(text) != rules.IdentifierDate {
		return false
	}
	f := fold(text)
	return !strings.Contains(f, "death") && !strings.Contains(f, "died") &&
		!strings.Contains(f, "admission") && !strings.Contains(f, "discharge")
}
