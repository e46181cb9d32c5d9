package decide

import (
	"slices"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/memo"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// legend is what texts outside the records say about signs and short words:
// "Positive (+) means: extrusion; crown buccal", "M = mesiodistal shift".
type legend struct {
	// positive by sheet, "" for texts on sheets without a table.
	positive map[string]map[casebook.Axis]casebook.Direction
	// open are axes about which two texts of one sheet disagree.
	open map[string]map[casebook.Axis]bool
	at   string // sheet of the text being read, "" where it holds no table
	// notations that a text names.
	notations []casebook.Notation
	// signs: some text speaks of signs and could not be read whole.
	unreadable bool
	keys       map[string][]string // folded short word -> phrases
}

// longestKey is the longest short word of a key, in letters.
const longestKey = 6

// readLegend looks at every text that is no cell of a record.
func (r *File) readLegend() {
	l := legend{
		positive: map[string]map[casebook.Axis]casebook.Direction{}, open: map[string]map[casebook.Axis]bool{}, keys: map[string][]string{},
	}
	view, contradicted := values.View{}, false
	for _, s := range r.Book.Sheets {
		bodies := r.bodiesOn(s.Name)
		if l.at = s.Name; len(bodies) == 0 {
			l.at = ""
		}
		for _, row := range s.Rows {
			if slices.ContainsFunc(bodies, func(b *Body) bool { return b.Record(row) }) {
				continue
			}
			for i, c := range row.All() {
				if c.Kind != sheet.String {
					continue
				}
				l.signs(c.Text)
				contradicted = !view.ViewIn(c.Text) || contradicted
				if n := layout.NotationIn(c.Text); n != casebook.NoNotation {
					l.notations = append(l.notations, n)
				}
				l.keysIn(c.Text)
				if i > 0 && row.Cell(i-1).Col == c.Col-1 {
					l.key(row.Cell(i-1).Text, c.Text)
				}
			}
		}
	}
	for _, t := range r.Tables {
		l.at = t.Sheet.Name
		for _, c := range t.Columns {
			l.signs(c.Text)
			contradicted = !view.ViewIn(c.Text) || contradicted
		}
		seen := map[string]bool{}
		col := t.Find(columns.Axis)
		for _, s := range distinct(t, col, filled(t, col)) {
			if c := s.cell; c.Kind == sheet.String && !seen[c.Text] && len(seen) < 100 {
				seen[c.Text] = true
				l.signs(c.Text)
			}
		}
	}
	r.legend = l
	if r.View = view; contradicted {
		r.View = values.View{}
	}
	// any order: each abbreviation is learnt by itself
	for short, phrases := range l.keys {
		for _, phrase := range phrases {
			r.learnKey(short, phrase)
		}
		if slices.ContainsFunc(phrases, func(p string) bool { return values.IsMissing(p, nil) }) {
			r.Missing[short] = true
		}
	}
}

// keysIn notes what a text says of short words: "A = attachment, N = none", "A: own".
func (l *legend) keysIn(text string) {
	if !strings.Contains(text, "=") {
		if short, phrase, ok := strings.Cut(text, ":"); ok {
			l.key(short, phrase)
		}
		return
	}
	for part := range strings.FieldsFuncSeq(text, func(c rune) bool { return c == ',' || c == ';' }) {
		if short, phrase, ok := strings.Cut(part, "="); ok {
			l.key(short, phrase)
		}
	}
	short, phrase, _ := strings.Cut(text, "=")
	l.key(short, phrase)
}

// bodiesOn gives the tables of a sheet.
func (r *File) bodiesOn(name string) []*Body {
	var out []*Body
	for _, t := range r.Tables {
		if t.Sheet.Name == name {
			out = append(out, r.heldIn(t).body)
		}
	}
	return out
}

// Record reports a row of the table that holds a record, or its header.
func (b *Body) Record(row sheet.Row) bool {
	if row.Number < b.t.Header || row.Number > b.t.Last {
		return false
	}
	return row.Number < b.t.Body || !b.t.Repeats(row) && b.Holds(row)
}

// Last is the last row of a table that holds a record; what stands below it is a note. It is
// the last of the sheet where rows of texts may be records.
func (b *Body) Last() int {
	rows := b.t.Sheet.Rows
	for i := len(rows) - 1; i >= 0; i-- {
		if r := rows[i]; r.Number < b.t.Body || r.Len() > 0 && (b.t.Kind != casebook.MovementKind || !b.remark(r)) {
			return r.Number
		}
	}
	return 0
}

// key notes a short word and what it stands for.
func (l *legend) key(short, phrase string) {
	short, phrase = strings.TrimSpace(short), strings.TrimSpace(phrase)
	if short == "" || utf8.RuneCountInString(short) > longestKey || len(phrase) > 80 || !meaningful.Get(phrase, meansSomething) {
		return
	}
	k := values.Key(short)
	if !slices.Contains(l.keys[k], phrase) {
		l.keys[k] = append(l.keys[k], phrase)
	}
}

// meaningful remembers phrases: a header repeated in a sheet is asked about each time.
var meaningful memo.Memo[string, bool]

// meansSomething reports a phrase that is a movement, a style or another word
// of a field.
func meansSomething(phrase string) bool {
	if _, _, err := values.ParseAxis(phrase); err == nil || values.IsMissing(phrase, nil) {
		return true
	}
	for _, f := range keyFields {
		if f.known(phrase) {
			return true
		}
	}
	return false
}

var keyFields = []struct {
	field columns.Field
	known func(string) bool
}{
	{columns.Style, parses(values.ParseStyle)},
	{columns.Shape, parses(values.ParseShape)},
	{columns.Status, parses(values.ParseStatus)},
	{columns.Wear, parses(values.ParseWear)},
	{columns.Staging, parses(values.ParseStaging)},
	{columns.Direction, values.SideWord},
}

func parses[E any](parse func(string) (E, error)) func(string) bool {
	return func(s string) bool { _, err := parse(s); return err == nil }
}

// learnKey keeps a short word for every field of which its phrase is a word.
func (r *File) learnKey(short, phrase string) {
	if phrase == "" {
		return
	}
	learn := func(f columns.Field) {
		k := learntWord{f, short}
		if before, ok := r.learnt[k]; ok && values.Key(before) != values.Key(phrase) {
			phrase = short // two meanings are none
		}
		r.learnt[k] = phrase
	}
	if _, d, err := values.ParseAxis(phrase); err == nil {
		learn(columns.Axis)
		if d != casebook.NoDirection {
			learn(columns.Direction)
		}
	}
	for _, f := range keyFields {
		if f.known(phrase) {
			learn(f.field)
		}
	}
}
