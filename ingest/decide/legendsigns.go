package decide

import (
	"slices"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

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
		if p.Direction == casebook.NoDirection && p.Axis != casebook.NoAxis && !r.allWorded(t, p.Cols[columns.Planned]) {
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

// allWorded reports a column of amounts of which every one has its direction beside it.
func (r *File) allWorded(t *layout.Table, col int) bool {
	worded, bare := 0, 0
	if col > 0 {
		eachCell(t, col, func(_ int, c sheet.Cell) {
			switch v, ok := r.signed(c); {
			case !ok || v.Value == 0:
			case v.Word != "":
				worded++
			default:
				bare++
			}
		})
	}
	return worded > 0 && bare == 0
}
