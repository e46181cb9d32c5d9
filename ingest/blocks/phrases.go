package blocks

import (
	"slices"
	"strings"
	"unicode"

	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// fewestPhrases a column must hold before it is taken apart.
const fewestPhrases = 3

// phrases reads a column whose cells name the movement and its amount in one phrase,
// "extrude 1.2 mm", where no column names the movement. The movement gets a column of
// its own; the amounts keep their header, which says whether they were planned.
func (in *reader) phrases(s *sheet.Sheet) []*table {
	for i, r := range s.Rows[:min(len(s.Rows), 12)] {
		fields, twice := in.fieldColumns(r)
		if fields[columns.Tooth] == 0 || twice[columns.Tooth] || twice[columns.Planned] || r.Any(numeric) {
			continue
		}
		if fields[columns.Axis] != 0 || fields[columns.Direction] != 0 {
			return nil
		}
		col := in.phraseColumn(s.Rows[i+1:], r, fields)
		if col == 0 {
			return nil
		}
		t := &table{how: "movement and amount in one cell"}
		for _, row := range s.Rows[i+1:] {
			t.Phrase(r, row, col)
		}
		return []*table{t}
	}
	return nil
}

// phraseColumn finds the one column nearly all of whose cells are phrases; of a planned
// one and another, the planned one: what was achieved names the way it went beside its
// amount, which is read there.
func (in *reader) phraseColumn(rows []sheet.Row, head sheet.Row, fields map[columns.Field]int) int {
	var found []int
	for _, h := range head.All() {
		if _, _, _, named := lexicon.Axis(lexicon.Of(lexicon.Tokens(text(h)))); named { // the words in its cells are directions, which are read there
			continue
		}
		filled, n := 0, 0
		for _, r := range rows {
			c := r.At(int(h.Col))
			if c.Kind == sheet.Blank || values.IsMissing(c.Text, nil) || values.IsTotal(c.Text) {
				continue
			}
			filled++
			if _, _, ok := Phrase(text(c)); ok && c.Kind == sheet.String {
				n++
			}
		}
		if n >= fewestPhrases && 10*n >= 9*filled {
			found = append(found, int(h.Col))
		}
	}
	if p := fields[columns.Planned]; slices.Contains(found, p) {
		return p
	}
	if len(found) != 1 {
		return 0
	}
	return found[0]
}

// Phrase parts "rotate mesially 12.5°" and "1.2 mm extrusion" into movement and amount.
// The words must all be known, and name a movement; which one they name is asked later
// where they leave it open.
func Phrase(s string) (movement, amount string, ok bool) {
	before := strings.TrimRightFunc(s, notDigit)
	start := numberAt(s)
	if before == "" || start < 0 {
		return "", "", false
	}
	number, after := s[start:len(before)], s[len(before):]
	movement = strings.Trim(s[:start], " :=,;")
	if movement == "" {
		a, err := values.ParseAmount(s, '.')
		if err != nil || a.Word == "" {
			return "", "", false
		}
		movement = a.Word
		after = strings.TrimSuffix(strings.TrimRight(after, " .,;)"), movement)
	}
	amount = strings.TrimSpace(number + after)
	if a, err := values.ParseAmount(amount, '.'); err != nil || a.Word != "" {
		return "", "", false
	}
	return movement, amount, namesMovement(movement)
}

// numberMarks may stand directly before the first digit of a number.
var numberMarks = []string{"", "-", "−", "–", "+", ".", ",", "-.", "-,"}

// numberAt is where the number of a phrase begins: with its first digit, or with a sign or
// decimal point directly before it and apart from the words. -1 where there is no digit,
// and where such a mark may be a hyphen, the end of an abbreviation or a "less than".
func numberAt(s string) int {
	start := strings.IndexFunc(s, unicode.IsDigit)
	if start < 0 {
		return -1
	}
	words := strings.TrimRightFunc(s[:start], func(r rune) bool { return !unicode.IsLetter(r) })
	between := s[len(words):start]
	apart := strings.LastIndexAny(between, " :=") + 1
	mark := between[apart:]
	if !slices.Contains(numberMarks, mark) || strings.Trim(between[:apart], ").:=,; ") != "" || apart == 0 && mark != "" && words != "" {
		return -1
	}
	return start - len(mark)
}

func notDigit(r rune) bool { return !unicode.IsDigit(r) }

// namesMovement reports words that are all known and say which movement is meant.
func namesMovement(s string) bool {
	if _, _, err := values.ParseAxis(s); err == nil {
		return true
	}
	tokens := lexicon.Tokens(s)
	if len(lexicon.Unknown(tokens)) > 0 {
		return false
	}
	return slices.ContainsFunc(tokens, func(t lexicon.Token) bool { return lexicon.IsMovement(t.Concept) })
}

// Phrase writes a row with the movement beside its amount.
func (t *table) Phrase(head, row sheet.Row, col int) {
	t.spread(head, row, func(h sheet.Cell, c cell) []headed {
		movement, amount, ok := "", "", false
		if c.col == col {
			movement, amount, ok = Phrase(text(c.Cell))
		}
		if !ok {
			return []headed{{text(h), c}}
		}
		word := c
		word.Text, word.Kind, c.Text = movement, sheet.String, amount
		return []headed{{columns.Axis.String(), word}, {text(h), c}}
	})
}
