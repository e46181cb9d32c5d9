package page

import (
	"context"
	"encoding/json"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"shortfall/cmd/job"
	"shortfall/ingest/casebook"
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
	if job.Harmless(code) {
		return code
	}
	first := ""
	for _, word := range strings.FieldsFunc(code, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }) {
		letter, _ := utf8.DecodeRuneInString(word)
		first += string(unicode.ToUpper(letter))
	}
	if len(first) < 2 || !job.Harmless(first) {
		return ""
	}
	return first
}

// Of what a file would lose, mostListed movements are named and mostLooked cases looked up.
const mostListed, mostLooked = 50, 200

// lost says which movements on record the file holds and refuses: where it is a later
// version of theirs, they go with it. Cases of which the file names no practice are of
// the one that is proposed.
func (p *practice) lost(ctx context.Context, b *casebook.Batch, whose *string) (string, error) {
	var out []string
	onRecord := map[casebook.CaseKey]map[casebook.MovementKey]bool{}
	count := ""
	for _, k := range refusedKeys(b, whose) {
		if _, known := onRecord[k.Case]; !known {
			if len(onRecord) == mostLooked {
				count = "at least "
				continue
			}
			current, err := p.db.Current(ctx, k.Case)
			if err != nil {
				return "", err
			}
			if onRecord[k.Case], err = movementsOf(k.Case, current); err != nil {
				return "", err
			}
		}
		if onRecord[k.Case][k] {
			out = append(out, k.Case.String()+", tooth "+k.Tooth.In(shown(b.Notation))+", "+k.Axis.String())
		}
	}
	if len(out) == 0 {
		if count != "" {
			return "movements of more than " + strconv.Itoa(mostLooked) + " cases are refused in this version; of the cases looked up none has them on record", nil
		}
		return "", nil
	}
	count += job.Plural(len(out), "movement")
	if more := len(out) - mostListed; more > 0 {
		out = append(out[:mostListed], "and "+strconv.Itoa(more)+" more")
	}
	return count + " on record refused in this version, which would go where it takes the place of the earlier one: " + strings.Join(out, "; "), nil
}

// refusedKeys are the movements that a file holds and of which it gives none, each once.
func refusedKeys(b *casebook.Batch, whose *string) (out []casebook.MovementKey) {
	if len(b.RefusedMovements) == 0 {
		return nil
	}
	seen := map[casebook.MovementKey]bool{}
	for i := range b.Movements {
		seen[b.Movements[i].Value.Key()] = true // another row gives it
	}
	for _, k := range b.RefusedMovements {
		if seen[k] {
			continue
		}
		seen[k] = true
		if k.Case.Practice == "" && whose != nil {
			k.Case.Practice = *whose
		}
		out = append(out, k)
	}
	return out
}

// movementsOf are the movements among the records of a case.
func movementsOf(of casebook.CaseKey, current []store.Version) (map[casebook.MovementKey]bool, error) {
	out := map[casebook.MovementKey]bool{}
	for _, v := range current {
		if v.Kind != casebook.MovementKind {
			continue
		}
		var m struct {
			Course, Tooth int
			Axis          casebook.Axis
		}
		if err := json.Unmarshal(v.Value, &m); err != nil {
			return nil, err
		}
		out[casebook.MovementKey{Case: of, Course: m.Course, Tooth: casebook.Tooth(m.Tooth), Axis: m.Axis}] = true
	}
	return out, nil
}

// shown is a notation, FDI where there is none.
func shown(n casebook.Notation) casebook.Notation {
	if n == casebook.NoNotation {
		return casebook.FDI
	}
	return n
}
