package page

import (
	"context"
	"encoding/json"
	"strings"

	"shortfall/cmd/job"
	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

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
