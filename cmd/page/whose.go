package page

import (
	"context"
	"encoding/json"
	"strings"
	"unicode"
	"unicode/utf8"

	"shortfall/cmd/job"
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

// mostLost movements are looked up and named before a file is kept.
const mostLost = 50

// lost says which movements on record the file holds and refuses: where it is a later
// version of theirs, they go with it. Cases of which the file names no practice are of
// the one that is proposed.
func (p *practice) lost(ctx context.Context, b *casebook.Batch, whose *string) (string, error) {
	var out []string
	taken := map[casebook.MovementKey]bool{}
	if len(b.RefusedMovements) > 0 {
		for i := range b.Movements {
			taken[b.Movements[i].Value.Key()] = true
		}
	}
	current := map[casebook.CaseKey][]store.Version{}
	for _, k := range b.RefusedMovements[:min(len(b.RefusedMovements), mostLost)] {
		if taken[k] {
			continue // another row gives it
		}
		if k.Case.Practice == "" && whose != nil {
			k.Case.Practice = *whose
		}
		if _, known := current[k.Case]; !known {
			var err error
			if current[k.Case], err = p.db.Current(ctx, k.Case); err != nil {
				return "", err
			}
		}
		for _, v := range current[k.Case] {
			var m struct {
				Course, Tooth int
				Axis          casebook.Axis
			}
			if v.Kind != casebook.MovementKind || json.Unmarshal(v.Value, &m) != nil {
				continue
			}
			if m.Course == k.Course && m.Tooth == int(k.Tooth) && m.Axis == k.Axis {
				out = append(out, k.Case.String()+", tooth "+k.Tooth.In(shown(b.Notation))+", "+k.Axis.String())
			}
		}
	}
	if len(out) == 0 {
		return "", nil
	}
	return job.Plural(len(out), "movement") + " on record refused in this version, which would go where it takes the place of the earlier one: " + strings.Join(out, "; "), nil
}

// shown is a notation, FDI where there is none.
func shown(n casebook.Notation) casebook.Notation {
	if n == casebook.NoNotation {
		return casebook.FDI
	}
	return n
}
