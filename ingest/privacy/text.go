package privacy

import (
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"shortfall/ingest/columns"
	"shortfall/ingest/rules"
	"shortfall/ingest/values"
)

// body classifies a cell of a table.
func (s *screener) body(cell Cell, u use, f columns.Field) rules.ID {
	switch cell.Kind {
	case Date:
		year, ok := serialYear(cell.Text, s.in.Date1904)
		// A tooth typed as 3-1 is stored as a date of the year it was typed in.
		if ok && s.exact(year, u) && (u != value || year < earliest) {
			return rules.IdentifierDate
		}
		return ""
	case Number:
		return s.number(cell, u, f)
	}
	if countTooLarge(cell.Text, f) {
		return rules.IdentifierNumber
	}
	cell.Text = undress(cell.Text)
	if (u == code || u == practice) && manyDigits(cell.Text) || s7(wholeText(cell.Text)) {
		year, dated := dateYear(cell.Text)
		switch {
		case !dated:
			return rules.IdentifierNumber
		case s.exact(year, u):
			return rules.IdentifierDate
		}
	}
	if u == month && plain(cell.Text) {
		if year, ok := serialYear(cell.Text, s.in.Date1904); ok && year < earliest && len(cell.Text) == 5 {
			return rules.IdentifierDate
		}
	}
	if f == columns.Age {
		if years, err := strconv.Atoi(leadingDigits(cell.Text)); err == nil && years > 89 {
			return rules.IdentifierDate // also with the word for years behind it
		}
	}
	if plain(cell.Text) {
		if !s7(cell.Text) {
			return ""
		}
	}
	if id := s.classify(cell.Text, u); id != "" || !ownWords[f] {
		return id
	}
	if nameAmong(cell.Text) {
		return rules.IdentifierName
	}
	return ""
}

// number classifies a cell that holds a number.
func (s *screener) number(cell Cell, u use, f columns.Field) rules.ID {
	if s7(whole(cell.Text)) || (u == code || u == practice) && manyDigits(cell.Text) {
		return rules.IdentifierNumber
	}
	if u == month {
		if year, ok := serialYear(cell.Text, s.in.Date1904); ok && year < earliest {
			return rules.IdentifierDate
		}
	}
	if x, err := strconv.ParseFloat(cell.Text, 64); f == columns.Age && err == nil && x > 89 {
		return rules.IdentifierDate // 45 CFR 164.514(b)(2)(i)(C)
	}
	if countTooLarge(cell.Text, f) {
		return rules.IdentifierNumber
	}
	return ""
}

// ownWords are the columns whose words are kept as a practice writes them.
var ownWords = map[columns.Field]bool{columns.AgeBand: true, columns.Wear: true, columns.Status: true}

// countTooLarge: more than any count of aligners, days or refinements; such a
// number is the serial day of a date or the number of a record.
func countTooLarge(text string, f columns.Field) bool {
	switch f {
	case columns.PlannedAligners, columns.ChangeDays, columns.Refinements, columns.AlignersPlanned, columns.AlignersUsed, columns.LostMonth:
		x, err := strconv.ParseFloat(strings.TrimSpace(text), 64)
		return err == nil && x >= largestCount
	}
	return false
}

// largestCount is beyond every count of the records (common practice, no source).
const largestCount = 1000

// plain: the text of a number; most cells of a large sheet are.
func plain(s string) bool {
	for i := range len(s) {
		if c := s[i]; (c < '0' || c > '9') && c != '.' && c != '-' && c != ',' {
			return false
		}
	}
	return strings.Count(s, "-") <= 1 && strings.Count(s, ".") <= 1 && !strings.Contains(strings.TrimPrefix(s, "-"), "-")
}

// manyDigits: nine digits or more, whatever parts them; no code of a case needs
// so many.
func manyDigits(s string) bool { return digits(s) >= 9 && !strings.ContainsFunc(s, unicode.IsLetter) }

// s7: a whole number of seven digits or more, larger than any amount or count.
func s7(s string) bool { return allDigits(s) && len(s) >= 7 }

// classify gives the rule of a text in a place; "" for none. Equal texts get
// one look.
func (s *screener) classify(text string, u use) rules.ID {
	key := cellKey{text, u}
	if id, ok := s.seen[key]; ok {
		return id
	}
	id := s.look(strings.TrimSpace(text), u)
	s.seen[key] = id
	return id
}

func (s *screener) look(text string, u use) rules.ID {
	if text == "" || known[strings.ToLower(text)] || values.IsTotal(text) || values.ShortTotalOf(text) {
		return ""
	}
	if len(text) > longText {
		s.long++
	}
	if len(text) > longest || s.long > mostLong { // patterns are tried on no more; no value, title or header is so long
		return rules.IdentifierText
	}
	text = undress(text)
	if u == label {
		text = strings.ReplaceAll(text, "_", " ")
	}
	year, full := dateYear(text)
	if u == code {
		full = dated(text)
	}
	if born.MatchString(text) || full && s.exact(year, u) {
		return rules.IdentifierDate
	}
	if id := byForm(text); id != "" && (!full || id != rules.IdentifierNumber && !isDateOnly(text)) {
		return id
	}
	if name(text, u) {
		return rules.IdentifierName
	}
	if u != heading && u != header && u != label && u != person && u != sentence && freeText(text) {
		return rules.IdentifierText
	}
	return ""
}

// numberedForm is a word and three numbers of two digits, "Case 12-03-14".
var numberedForm = regexp.MustCompile(`^(\p{L}+)[ ._-]?\d{1,2}-\d{1,2}-\d{1,2}$`)

// numbered: the code of a case that counts by two digits.
func numbered(text string) bool {
	m := numberedForm.FindStringSubmatch(text)
	return m != nil && known[fold(m[1])] && fold(m[1]) != "date"
}

// isDateOnly: a date and its separators, which a telephone number could be too.
func isDateOnly(s string) bool { return !strings.ContainsFunc(s, unicode.IsLetter) && digits(s) <= 8 }

// freeText: more words or letters than any value of the vocabulary has.
func freeText(s string) bool {
	return len(words(s)) >= freeWords || len([]rune(s)) > freeRunes && strings.ContainsFunc(s, unicode.IsLetter)
}

// The longest text that is looked at, and the longest that is taken for a header, in bytes.
const (
	longest       = 2000
	longText      = 400 // of which a file may have mostLong: sentences of instructions
	mostLong      = 200
	longestHeader = 200
)

const (
	freeWords = 8
	freeRunes = 60
)

// leadingDigits are those that a text begins with.
func leadingDigits(text string) string {
	text = strings.TrimSpace(text)
	return text[:len(text)-len(strings.TrimLeft(text, "0123456789"))]
}
