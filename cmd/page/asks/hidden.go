package asks

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"shortfall/ingest"
	"shortfall/ingest/columns"
	"shortfall/ingest/lexicon"
	"shortfall/ingest/privacy"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
)

// Hidden are the open questions of a file that may identify a person, in the order in
// which they came up. They are put under a number, since an id, a choice or an example of
// a question can repeat a cell; words says what a choice that was put so stands for.
type Hidden struct {
	ids   []string
	words []map[string]string
}

// Clone gives points of their own, for a reading beside others.
func (ps *Hidden) Clone() Hidden { return Hidden{slices.Clone(ps.ids), slices.Clone(ps.words)} }

// Hide puts a question so that nothing of it repeats a cell: a word of the sheet by where
// it stands, a column by its letter, and by a header that is all words of the trade, a sheet by its number.
func (ps *Hidden) Hide(q question.Question, book *sheet.Book) (question.Question, bool) {
	at := slices.Index(ps.ids, q.ID)
	if at < 0 {
		at = len(ps.ids)
		ps.ids, ps.words = append(ps.ids, q.ID), append(ps.words, nil)
	}
	words := map[string]string{}
	switch {
	case q.Word != "" && !lexicon.AllKnown(q.Word):
		where := firstCell(book, q.Word)
		if where == "" {
			return q, false // the word is withheld from its own question
		}
		q.Text = fmt.Sprintf("what does the word in %s mean, which stands %s in the file? It is not shown, since the file may identify a person", where, times(q.Count))
	case strings.HasPrefix(q.ID, "column "):
		q.Choices = slices.Clone(q.Choices)
		for i := range q.Choices {
			c := &q.Choices[i]
			name := fmt.Sprintf("choice %d", i+1)
			words[name] = c.Word
			if q.Proposed == c.Word {
				q.Proposed = name
			}
			c.Word = name
			column, codes, _ := strings.Cut(c.Text, ":")
			c.Text = column
			if lexicon.AllKnown(words[name]) || privacy.Announces(words[name]) {
				c.Text += ", headed " + words[name]
			}
			if c.Masked {
				c.Text += ":" + codes
			}
		}
	case strings.HasPrefix(q.ID, "style of "):
		i := slices.IndexFunc(book.Sheets, func(s *sheet.Sheet) bool { return s.Name == q.Sheet })
		q.Text = fmt.Sprintf("which style of attachment has sheet number %d?", i+1)
	case slices.ContainsFunc(q.Choices, func(c question.Choice) bool { return strings.Contains(c.Word, "sheet") }):
		return q, false
	}
	ps.words[at] = words
	if q.Word != "" { // of the trade, so it names nobody
		q.ID, q.Group, q.Examples, q.Column, q.Sheet = fmt.Sprintf("point %d", at+1), nil, nil, "", ""
		return q, true
	}
	q.ID, q.Word, q.Group, q.Examples, q.Column, q.Sheet = fmt.Sprintf("point %d", at+1), "", nil, nil, "", ""
	return q, true
}

func times(n int) string {
	if n == 1 {
		return "once"
	}
	return fmt.Sprintf("%d times", n)
}

// firstCell says where a word stands first, in the order of the file.
func firstCell(book *sheet.Book, word string) string {
	for i, s := range book.Sheets {
		for _, r := range s.Rows {
			for _, c := range r.All() {
				if strings.TrimSpace(c.Text) != word {
					continue
				}
				if len(book.Sheets) == 1 {
					return "cell " + sheet.Ref(r.Number, int(c.Col))
				}
				return fmt.Sprintf("cell %s of sheet number %d", sheet.Ref(r.Number, int(c.Col)), i+1)
			}
		}
	}
	return ""
}

// Means gives the id and the word that an answer to a point is.
func (ps *Hidden) Means(id, word string) (string, string) {
	for i, of := range ps.ids {
		if id == fmt.Sprintf("point %d", i+1) {
			if w, ok := ps.words[i][word]; ok {
				word = w
			}
			return of, word
		}
	}
	return id, word
}

// name is what a point is called on the page, "" for what is none.
func (ps *Hidden) name(id string) string {
	if i := slices.Index(ps.ids, id); i >= 0 {
		return fmt.Sprintf("point %d", i+1)
	}
	return ""
}

// BeforeCopy is what a file with identifiers leaves open, which its pseudonymised copy
// needs to know.
func (ps *Hidden) BeforeCopy(ctx context.Context, path string, o ingest.Options) (out []question.Question) {
	o.AllowIdentifiers, o.Memory = true, nil
	_, err := ingest.Read(ctx, path, o)
	open := ingest.Questions(err)
	if len(open) == 0 {
		return nil
	}
	book, err := sheet.OpenContext(ctx, path, o.Limits)
	if err != nil {
		return nil
	}
	for _, q := range open {
		if q, ok := ps.Hide(q, book); ok {
			out = append(out, q)
		}
	}
	return out
}

// CodeColumns are the letters of the columns that are proposed as the codes of cases:
// without them nobody would be left.
func (ps *Hidden) CodeColumns(open []question.Question) map[string]bool {
	out := map[string]bool{}
	for _, q := range open {
		if id, _ := ps.Means(q.ID, ""); id != "column "+columns.Case.String() {
			continue
		}
		for _, c := range q.Choices {
			if letter, ok := strings.CutPrefix(c.Text, "column "); ok && c.Word == q.Proposed {
				letter, _, _ = strings.Cut(letter, ",")
				letter, _, _ = strings.Cut(letter, ":")
				out[letter] = true
			}
		}
	}
	return out
}
