package row

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/privacy"
	"shortfall/ingest/rules"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// A word of a practice's own is kept as a category where it is short, passes the
// screen for identifiers and stands in enough cases to single nobody out.
const (
	longestOwn = 24 // letters
	fewestOwn  = 5  // cases
)

// ownWords are the words of a practice's own in one column of cases.
type ownWords struct {
	spelling map[string]string // by folded word, as first written
	first    casebook.Problem  // where the first stands
}

// own reads a word of a case: one of the vocabulary, else a category of the
// practice's own.
func own[E comparable](r *Reader, f columns.Field, parse func(string) (E, error)) (v E, category string) {
	c, col, ok := r.usable(f)
	if !ok {
		return v, ""
	}
	v, err := parse(r.Meant(f, c.Text))
	if err == nil {
		return v, ""
	}
	if c.Kind != sheet.String || col == 0 {
		r.fail(err, col, c)
		return v, ""
	}
	p := r.problem(rules.WordUnknown, col, c.Kind, "")
	r.unread = append(r.unread, p.Cell) // the record has it once it is screened
	w := r.own[f]
	if w == nil {
		w = &ownWords{spelling: map[string]string{}, first: p}
		r.own[f] = w
	}
	text := strings.TrimSpace(c.Text)
	if utf8.RuneCountInString(text) > longestOwn || privacy.LabelRule(text) != "" {
		return v, casebook.OtherCategory
	}
	k := values.Key(text)
	if w.spelling[k] == "" {
		w.spelling[k] = text
	}
	return v, w.spelling[k]
}

// SettleOwn keeps the categories that stand in enough cases, calls the others
// "other", and says both.
func (r *File) SettleOwn() {
	for _, f := range slices.Sorted(maps.Keys(r.own)) {
		n := map[string]int{}
		for _, c := range r.Batch.Cases {
			if w := c.Value.Own.Of(f.String()); w != nil && *w != "" {
				n[*w]++
			}
		}
		var kept []string
		others := 0
		for _, w := range slices.SortedFunc(maps.Keys(n), func(a, b string) int { return cmp.Or(cmp.Compare(n[b], n[a]), cmp.Compare(a, b)) }) {
			if w == casebook.OtherCategory || n[w] < fewestOwn {
				others += n[w]
				continue
			}
			kept = append(kept, fmt.Sprintf("%q in %s", w, ofCases(n[w])))
		}
		for i := range r.Batch.Cases {
			if w := r.Batch.Cases[i].Value.Own.Of(f.String()); w != nil && *w != "" && n[*w] < fewestOwn {
				*w = casebook.OtherCategory
			}
		}
		r.Batch.Problems = append(r.Batch.Problems, r.aboutOwn(f, kept, others))
	}
}

func (r *File) aboutOwn(f columns.Field, kept []string, others int) casebook.Problem {
	p := r.own[f].first
	var parts []string
	if len(kept) > 0 {
		parts = append(parts, "words of your own were kept as categories: "+strings.Join(kept, ", "))
	}
	if others > 0 {
		parts = append(parts, fmt.Sprintf("words in fewer than %d cases, long ones and such as could be a name were kept as %q, in %s", fewestOwn, casebook.OtherCategory, ofCases(others)))
	}
	if len(parts) == 0 {
		parts = append(parts, "a word of your own stands in no case that was accepted")
	}
	p.Message = strings.Join(parts, "; ")
	d, _ := columns.Find(casebook.CaseKind, f)
	p.Remedy = "Nothing to do; to have them read as standard words, use " + strings.TrimPrefix(wordRemedy(d), "Use ")
	p.Severity = casebook.Warning
	return p
}

// saidWords are the words of the columns of attachments that are not ours, by what they
// were read as, with the rows that have them.
type saidWords map[casebook.WordRead]int

// noteSaid notes the words of the attachment of one row.
func (r *Reader) noteSaid(m *casebook.Movement) {
	for _, x := range []struct {
		field columns.Field
		means string
	}{{columns.Shape, m.Shape.String()}, {columns.Style, m.Style.String()}} {
		c, _, ok := r.usable(x.field)
		if !ok || c.Kind != sheet.String || x.means == "" || c.Text == x.means || values.Same(c.Text, x.means) {
			continue
		}
		key := casebook.WordRead{Column: "attachment " + strings.TrimPrefix(x.field.String(), "feature "), Said: strings.TrimSpace(c.Text), Means: x.means}
		if _, ok := r.said[key]; ok || len(r.said) < mostSaid {
			r.said[key]++
		}
	}
}

// mostSaid is how many such words a file may have: more are no vocabulary.
const mostSaid = 200

// SettleSaid keeps the words that cannot name anybody and says them; of all others it
// keeps what they were read as and how often.
func (r *File) SettleSaid() {
	rows := map[casebook.WordRead]int{}
	for key, n := range r.said {
		// Any other may be a name, of whoever designed it, and a number a date.
		if !lexicon.AllKnown(key.Said) || strings.ContainsFunc(key.Said, unicode.IsDigit) {
			key.Said = ""
		}
		rows[key] += n
	}
	var words []casebook.WordRead
	for key, n := range rows {
		key.Rows = n
		words = append(words, key)
	}
	slices.SortFunc(words, casebook.CompareWords)
	for _, w := range words {
		p := rules.New(rules.WordsRead, "%q in the column of the %s is kept beside %s, as which it was read %s", w.Said, w.Column, w.Means, decide.Often(w.Rows))
		if w.Said == "" {
			p.Message = fmt.Sprintf("words of your own in the column of the %s were read as %s %s; reports say so and do not repeat them, since one may name somebody", w.Column, w.Means, decide.Often(w.Rows))
		}
		p.File, p.Word = r.Book.File.Name, w
		r.Batch.Problems = append(r.Batch.Problems, p)
	}
}

// ofCases is a number of cases in words.
func ofCases(n int) string {
	return fmt.Sprintf("%d %s", n, counted{"case", "cases"}.of(n))
}
