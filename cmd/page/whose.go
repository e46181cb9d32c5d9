package page

import (
	"context"
	"strings"
	"unicode"
	"unicode/utf8"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/privacy"
	"shortfall/ingest/store"
	"shortfall/ingest/values"
)

// proposes is the practice that the cases of a file may be of where it names none: the
// one that the other files in work name, else the only one on record, else, where nothing
// is on record yet, the name that was given on the page; "" where there are several. It
// is nil where the file names them. A person sees it before anything is kept.
func (p *practice) proposes(ctx context.Context, b *casebook.Batch) (*string, error) {
	if b == nil || !store.LeavesOpen(b) || len(store.Named(b)) > 0 {
		return nil, nil
	}
	beside := map[string]bool{}
	code := ""
	for _, k := range p.named() {
		if k.Practice != "" {
			beside[k.Practice] = true
			code = k.Practice
		}
	}
	if len(beside) > 1 {
		code = "" // they say it of each case
	}
	if len(beside) > 0 {
		return &code, nil
	}
	list, err := p.db.Cases(ctx)
	if err != nil {
		return nil, err
	}
	known := map[string]bool{}
	for _, c := range list {
		known[c.Practice] = true
		code = c.Practice
	}
	if len(known) == 0 {
		code = codeOf(p.Name)
	}
	if len(known) > 1 {
		code = "" // which of them is not guessed
	}
	return &code, nil
}

// codeOf is the name that was given on the page as a code; of one that could be a person's
// the first letters, so that the report and a sheet written from the records name nobody.
func codeOf(name string) string {
	code := values.TypedCode(name)
	if harmless(code) {
		return code
	}
	first := ""
	for _, word := range strings.FieldsFunc(code, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		letter, _ := utf8.DecodeRuneInString(word)
		first += string(unicode.ToUpper(letter))
	}
	if len(first) < 2 || !harmless(first) {
		return ""
	}
	return first
}

// harmless reports a code of a practice to which the screen does not object.
func harmless(code string) bool {
	return privacy.CellRule(privacy.Cell{Text: code}, columns.Practice, false) == ""
}
