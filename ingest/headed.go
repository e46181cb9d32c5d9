package ingest

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/columns"
	"shortfall/ingest/layout"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
	"shortfall/ingest/values"
)

// headerRows is how many rows of a sheet without a table are searched for a header.
const headerRows = 40

// saidOf begins the ids of answers about columns: of a question of layout, of columnID, and
// "column direction=Which way", which a person may say of any column by its header.
const saidOf = "column "

// unasked are the answers that name a field and a header, and are none to a question of a
// reading without them.
func unasked(first *question.Asker, answers question.Answers) question.Answers {
	out := question.Answers{}
	for id, word := range answers { // any order: each answer by itself
		what, ok := strings.CutPrefix(id, saidOf)
		_, holds := mapping.ParseHolds(what)
		takes := func(q question.Question) bool { return q.ID == id && q.Has(word) }
		if ok && (holds || what == mapping.Ignore) && !slices.ContainsFunc(first.Open(), takes) &&
			!slices.ContainsFunc(first.Used(), func(u question.Answered) bool { return takes(u.Question) }) {
			out[id] = word
		}
	}
	return out
}

// headed joins what was said of columns by their headers, or by their letters, to the
// mapping of a file whose odd sheets are taken apart. A header that stands twice on a sheet
// names none of its columns.
func headed(plain *sheet.Book, first *layout.Found, m *mapping.File, said question.Answers, a *question.Asker) *mapping.File {
	for _, id := range slices.Sorted(maps.Keys(said)) {
		what := strings.TrimPrefix(id, saidOf)
		for _, s := range plain.Sheets {
			letter := letterOf(s, first, said[id])
			if letter == "" {
				continue
			}
			a.Offer(question.Question{
				ID: id, Sheet: s.Name, Text: fmt.Sprintf("Which column is %s?", nameOfWhat(what)),
				Choices: []question.Choice{{Word: said[id], Text: "column " + letter}},
			})
			m = withColumn(m, s.Name, "("+letter+")", what)
		}
	}
	return m
}

// nameOfWhat is what a person calls that which a column is said to hold.
func nameOfWhat(what string) string {
	if f, err := columns.ParseField(what); err == nil {
		return NameOf(f)
	}
	if what == mapping.Ignore {
		return "not to be read"
	}
	return what
}

// letterOf finds the one column of a sheet with a header; "(C)" is column C of a sheet on
// which a table was found, or of the only one.
func letterOf(s *sheet.Sheet, found *layout.Found, header string) string {
	at, several := 0, false
	same := func(text string, col int) {
		if "("+sheet.ColumnName(col)+")" == header || values.Key(text) == values.Key(header) {
			several = several || at > 0 && at != col
			at = col
		}
	}
	if i := slices.IndexFunc(found.Tables, func(t *layout.Table) bool { return t.Sheet.Name == s.Name }); i >= 0 {
		for _, c := range found.Tables[i].Columns {
			same(c.Text, c.Col)
		}
	} else {
		for _, r := range s.Rows[:min(len(s.Rows), headerRows)] {
			for _, c := range r.All() {
				same(c.Text, int(c.Col))
			}
		}
	}
	if at == 0 || several {
		return ""
	}
	return sheet.ColumnName(at)
}
