package decide

import (
	"slices"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
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
			out = append(out, NewBody(t))
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

// signWords say positive or negative, in eight languages (common practice, no
// source).
var signWords = []struct {
	sign  float64
	words []string
}{
	{1, []string{"+", "positive", "positiv", "positif", "positivo", "positief", "dodatni", "plus", "più"}},
	{-1, []string{"-", "\u2212", "\u2013", "negative", "negativ", "negatif", "négatif", "negativo", "negatief", "ujemn", "minus"}},
}

// signs reads a text that says what a sign means.
func (l *legend) signs(text string) {
	low := strings.ToLower(text)
	if len(text) > 600 || !strings.ContainsAny(low, "+") && !strings.Contains(low, "posit") && !strings.Contains(low, "negat") &&
		!strings.Contains(low, "dodatn") && !strings.Contains(low, "ujemn") {
		return
	}
	if !speaksOfMovements(text) {
		return
	}
	sign, list, ok := ofSign(low)
	if !ok {
		l.pairs(low)
		return
	}
	for part := range strings.FieldsFuncSeq(list, func(c rune) bool { return c == ';' || c == '|' || c == '\n' }) {
		l.part(part, sign, casebook.NoAxis)
	}
}

// ofSign splits "positive (+) means: extrusion; ..." into sign and list.
func ofSign(low string) (float64, string, bool) {
	head, list, ok := strings.Cut(low, ":")
	if !ok {
		head, list, ok = strings.Cut(low, "=")
	}
	if !ok {
		return 0, "", false
	}
	sign := 0.0
	for _, w := range signWords {
		if slices.ContainsFunc(w.words, func(word string) bool { return strings.Contains(head, word) }) {
			if sign != 0 {
				return 0, "", false
			}
			sign = w.sign
		}
	}
	if sign == 0 || speaksOfMovements(head) {
		return 0, "", false
	}
	return sign, list, true
}

// pairs reads "vertical: + extrusion / - intrusion".
func (l *legend) pairs(low string) {
	found := false
	axis := axisBefore(low)
	at := 0
	for i, c := range low {
		sign := 0.0
		switch c {
		case '+':
			sign = 1
		case '-', '\u2212', '\u2013':
			if i > 0 && low[i-1] != ' ' && low[i-1] != '(' && low[i-1] != '/' {
				continue // a hyphen inside a word
			}
			sign = -1
		default:
			continue
		}
		at = i + utf8.RuneLen(c)
		rest := low[at:]
		if end := strings.IndexAny(rest, "+/)|;\u2212\u2013"); end >= 0 {
			rest = rest[:end]
		} else if end := strings.Index(rest, " -"); end >= 0 {
			rest = rest[:end]
		}
		l.part(strings.Trim(rest, " =:,"), sign, axis)
		found = true
	}
	l.unreadable = l.unreadable || !found
}

// axisBefore is the axis that a text names before its first sign.
func axisBefore(low string) casebook.Axis {
	head, _, _ := strings.Cut(low, "+")
	axis, _, err := values.ParseAxis(strings.Trim(head, " :(="))
	if err != nil {
		return casebook.NoAxis
	}
	return axis
}

func speaksOfMovements(s string) bool {
	for c := range lexicon.Of(lexicon.Tokens(s)) {
		if lexicon.IsMovement(c) {
			return true
		}
	}
	return false
}

// part notes one direction that has the sign.
func (l *legend) part(s string, sign float64, axis casebook.Axis) {
	if s = strings.TrimSpace(s); s == "" {
		return
	}
	_, d, err := values.ParseAxis(s)
	if axis != casebook.NoAxis {
		d, err = values.ParseDirection(s, axis)
	}
	if err != nil || d == casebook.NoDirection {
		l.unreadable = true
		return
	}
	if sign < 0 {
		d = casebook.DirectionOf(d.Axis(), -d.Sign())
	}
	if l.positive[l.at] == nil {
		l.positive[l.at], l.open[l.at] = map[casebook.Axis]casebook.Direction{}, map[casebook.Axis]bool{}
	}
	if before, ok := l.positive[l.at][d.Axis()]; ok && before != d {
		l.open[l.at][d.Axis()] = true
	}
	l.positive[l.at][d.Axis()] = d
}

// positiveOn is what the texts of a sheet, else those of sheets without a table,
// say about an axis.
func (l *legend) positiveOn(sheet string, a casebook.Axis) (casebook.Direction, bool) {
	for _, at := range []string{sheet, ""} {
		if d, ok := l.positive[at][a]; ok {
			return d, !l.open[at][a]
		}
	}
	return casebook.NoDirection, false
}

// axesWithSigns lists the axes of the amounts of a table that carry a sign of
// their own and no direction in words, in the order of the vocabulary.
func (r *File) axesWithSigns(t *layout.Table) []casebook.Axis {
	seen := map[casebook.Axis]bool{}
	if t.Kind != casebook.MovementKind {
		return nil
	}
	for _, p := range t.Pairs {
		if p.Direction == casebook.NoDirection && p.Axis != casebook.NoAxis {
			seen[p.Axis] = true
		}
	}
	r.axesOf(t, seen)
	if a, d, err := values.ParseAxis(t.Constants[columns.Axis]); err == nil && d == casebook.NoDirection {
		seen[a] = true
	}
	return slices.DeleteFunc(casebook.Axes(), func(a casebook.Axis) bool { return !seen[a] })
}

func (r *File) axesOf(t *layout.Table, seen map[casebook.Axis]bool) {
	col, dir := t.Find(columns.Axis), t.Find(columns.Direction)
	if col == 0 || len(t.Pairs) > 0 && t.Pairs[0].Axis != casebook.NoAxis {
		return
	}
	amounts := amountsOf(t)
	for _, row := range t.Sheet.Rows {
		if row.Number < t.Body || dir > 0 && row.At(dir).Kind != sheet.Blank {
			continue
		}
		worded := false
		for _, a := range amounts {
			v, ok := r.signed(row.At(a.planned))
			worded = worded || !ok || v.Word != ""
		}
		if a, d, err := values.ParseAxis(r.Meant(columns.Axis, row.At(col).Text)); err == nil && d == casebook.NoDirection && !worded {
			seen[a] = true
		}
	}
}
