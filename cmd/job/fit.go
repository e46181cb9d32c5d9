package job

import (
	"context"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// FitOf says how the lists of cases in a database and its movements fit together.
func FitOf(ctx context.Context, db store.Store) (casebook.Fit, error) {
	known, err := db.Cases(ctx)
	if err != nil {
		return casebook.Fit{}, err
	}
	listed, moved := parted(known, func(c store.CaseCount) casebook.CaseKey { return c.CaseKey })
	return casebook.FitOf(listed, moved), nil
}

// FitWith says how they would fit with the records of a file added. Its practice is not
// settled yet, so that codes alone are set against each other; a file that brings neither
// a list nor movements changes nothing.
func FitWith(ctx context.Context, db store.Store, b *casebook.Batch) (casebook.Fit, error) {
	known, err := db.Cases(ctx)
	if err != nil || len(b.Cases)+len(b.Movements) == 0 {
		return casebook.Fit{}, err
	}
	listed, moved := parted(known, func(c store.CaseCount) string { return c.ID })
	for i := range b.Cases {
		listed[b.Cases[i].Value.ID] = true
	}
	for i := range b.Movements {
		moved[b.Movements[i].Value.Case.ID] = true
	}
	return casebook.FitOf(listed, moved), nil
}

// parted are the cases that are listed, and those that have movements, of the audit.
func parted[K comparable](known []store.CaseCount, of func(store.CaseCount) K) (listed, moved map[K]bool) {
	listed, moved = map[K]bool{}, map[K]bool{}
	for _, c := range known {
		if c.Removed.OK {
			continue
		}
		if c.Records[casebook.CaseKind] > 0 {
			listed[of(c)] = true
		}
		if c.Records[casebook.MovementKind] > 0 {
			moved[of(c)] = true
		}
	}
	return listed, moved
}
