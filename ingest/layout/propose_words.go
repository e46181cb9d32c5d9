package layout

import (
	"cmp"
	"maps"
	"slices"
	"strings"
	"unicode/utf8"

	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/mapping"
	"shortfall/ingest/privacy"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// readings give the program's word for a word of a field.
var readings = map[columns.Field]func(string) (string, bool){
	columns.Axis: func(s string) (string, bool) {
		a, d, err := values.ParseAxis(s)
		if err == nil && d != 0 {
			return d.String(), true
		}
		return a.String(), err == nil
	},
	columns.Style:       read(values.ParseStyle),
	columns.Shape:       read(values.ParseShape),
	columns.Orientation: read(values.ParseOrientation),
	columns.Staging:     read(values.ParseStaging),
	columns.Status:      read(values.ParseStatus),
	columns.Wear:        read(values.ParseWear),
}

// readingOf is the reading of a field, nil where it has no words.
func readingOf(f columns.Field) func(string) (string, bool) {
	if columns.IsPlain(f) {
		return func(s string) (string, bool) {
			w, err := values.ParsePlain(f, s)
			return w, err == nil
		}
	}
	return readings[f]
}

func read[E interface{ String() string }](parse func(string) (E, error)) func(string) (string, bool) {
	return func(s string) (string, bool) {
		v, err := parse(s)
		return v.String(), err == nil
	}
}

// mostWords is how many words of one field a proposal lists.
const mostWords = 40

// words lists what stands in the columns of words, with counts, unknown words
// first. Texts in which the privacy screen sees a person are left out.
func (f *Found) words() []mapping.WordProposal {
	counts := map[columns.Field]map[string]int{}
	for _, t := range f.Tables {
		for _, c := range t.Columns {
			if readingOf(c.Field) == nil {
				continue
			}
			if counts[c.Field] == nil {
				counts[c.Field] = map[string]int{}
			}
			t.countWords(c.Col, counts[c.Field])
		}
	}
	var out []mapping.WordProposal
	for _, field := range slices.Sorted(maps.Keys(counts)) {
		out = append(out, proposals(field, counts[field])...)
	}
	return out
}

func (t *Table) countWords(col int, n map[string]int) {
	for _, r := range t.Sheet.Rows {
		c := r.At(col)
		text := strings.TrimSpace(c.Text)
		if r.Number < t.Body || c.Kind != sheet.String || text == "" || values.IsTotal(text) || utf8.RuneCountInString(text) > 60 {
			continue
		}
		if lexicon.AllKnown(text) || privacy.LabelRule(text) == "" && utf8.RuneCountInString(text) <= 24 {
			n[text]++
		}
	}
}

func proposals(field columns.Field, n map[string]int) []mapping.WordProposal {
	var out []mapping.WordProposal
	for text, count := range n {
		w := mapping.WordProposal{Field: field.String(), Text: text, Count: count}
		if means, ok := readingOf(field)(text); ok {
			w.Means = means
		} else {
			w.Near = nearestWord(field, text)
		}
		out = append(out, w)
	}
	slices.SortFunc(out, func(a, b mapping.WordProposal) int {
		known := func(w mapping.WordProposal) int { return min(len(w.Means), 1) }
		return cmp.Or(cmp.Compare(known(a), known(b)), cmp.Compare(b.Count, a.Count), cmp.Compare(a.Text, b.Text))
	})
	return out[:min(len(out), mostWords)]
}

// nearestWord is the program's word closest to an unknown one.
func nearestWord(field columns.Field, text string) string {
	d, ok := columns.Find(movementOrCase(field), field)
	if !ok {
		return ""
	}
	return values.Nearest(text, d.Words)
}
