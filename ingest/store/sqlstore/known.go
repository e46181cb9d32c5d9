package sqlstore

import (
	"context"
	"maps"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// readKnown reads what a file could meet: which cases there are, and of their records those
// that the decision asks for. The files of cases and the comparison with other patients are
// looked up in the database, where a million movements take no memory.
func readKnown(ctx context.Context, tx *Tx, path string) (_ *store.Known, err error) {
	k := &store.Known{
		Path: path, Removed: map[casebook.CaseKey]bool{}, Standing: map[casebook.CaseKey]store.Standing{},
		Cases: map[casebook.CaseKey]store.Held[casebook.Case]{}, Courses: map[casebook.CourseKey]store.Held[casebook.Course]{},
		Movements: map[casebook.MovementKey]store.Held[casebook.Movement]{}, Repeats: map[casebook.MovementKey]store.Held[casebook.Repeat]{},
	}
	if k.Editions, err = readEditions(ctx, tx); err != nil {
		return nil, err
	}
	for _, table := range []string{caseTable.name, courseTable.name, movementTable.name, repeatTable.name} {
		if err := standing(ctx, tx, table, k.Standing); err != nil {
			return nil, err
		}
	}
	k.Fetch = func(ids []string) error { return fetch(ctx, tx, k, ids) }
	k.EachMovement = func(visit func(*casebook.Movement)) error {
		return eachRecord(ctx, tx, &comparedTable, comparedColumns, "", nil, func(m casebook.Movement, _ *fields) { visit(&m) })
	}
	removed, err := removedCases(ctx, tx)
	if err != nil {
		return nil, err
	}
	for key := range removed {
		k.Removed[key] = true
	}
	k.Erased, err = erasedCases(ctx, tx)
	return k, err
}

// standing adds the cases of a table, with the files that gave its records: mostly one for a
// case, so that only of the others the files are listed.
func standing(ctx context.Context, tx *Tx, table string, into map[casebook.CaseKey]store.Standing) error {
	note := func(key casebook.CaseKey, file int64) {
		s := into[key]
		if !slices.Contains(s.Files, file) {
			s.Files = append(s.Files, file)
		}
		if table == movementTable.name && !slices.Contains(s.Moved, file) {
			s.Moved = append(s.Moved, file)
		}
		into[key] = s
	}
	several := map[string]bool{}
	err := each(ctx, tx, "SELECT case_id, practice, min(file_id), max(file_id), count(*) FROM "+table+" GROUP BY case_id, practice", func(scan scanner) error {
		var key casebook.CaseKey
		var first, last int64
		var n int
		err := scan(&key.ID, &key.Practice, &first, &last, &n)
		note(key, first)
		note(key, last)
		if s := into[key]; table == movementTable.name {
			s.Movements = n
			into[key] = s
		}
		if first != last {
			several[key.ID] = true
		}
		return err
	})
	if err != nil {
		return err
	}
	for where, args := range amongIDs(slices.Sorted(maps.Keys(several))) {
		err := each(ctx, tx, "SELECT DISTINCT case_id, practice, file_id FROM "+table+where, func(scan scanner) error {
			var key casebook.CaseKey
			var file int64
			err := scan(&key.ID, &key.Practice, &file)
			note(key, file)
			return err
		}, args...)
		if err != nil {
			return err
		}
	}
	return nil
}

// idsAtOnce are asked for in one statement.
const idsAtOnce = 256

// amongIDs gives conditions that together select the records of pseudonyms, with their arguments.
func amongIDs(ids []string) func(yield func(where string, args []any) bool) {
	return func(yield func(string, []any) bool) {
		for chunk := range slices.Chunk(ids, idsAtOnce) {
			args := make([]any, len(chunk))
			for i, id := range chunk {
				args[i] = id
			}
			if !yield(" WHERE case_id IN (?"+strings.Repeat(",?", len(chunk)-1)+")", args) {
				return
			}
		}
	}
}

// fetch adds the records of the cases of some pseudonyms; of most of them at once.
func fetch(ctx context.Context, tx *Tx, k *store.Known, ids []string) error {
	all := func(yield func(string, []any) bool) { yield("", nil) }
	chunks := amongIDs(ids)
	if 2*len(ids) > len(k.Standing) {
		chunks = all
	}
	for where, args := range chunks {
		if err := hold(ctx, tx, &caseTable, k.Cases, where, args); err != nil {
			return err
		}
		if err := hold(ctx, tx, &courseTable, k.Courses, where, args); err != nil {
			return err
		}
		if err := hold(ctx, tx, &movementTable, k.Movements, where, args); err != nil {
			return err
		}
		if err := hold(ctx, tx, &repeatTable, k.Repeats, where, args); err != nil {
			return err
		}
	}
	return nil
}

// hold reads current records of a kind with the files they came from.
func hold[T, K comparable](ctx context.Context, tx *Tx, t *table[T, K], into map[K]store.Held[T], where string, args []any) error {
	return eachRecord(ctx, tx, t, append(t.columns(), "file_id"), where, args, func(v T, f *fields) {
		f.next = len(f.values) - 1 // not every column of a record is read back
		into[t.key(v)] = store.Held[T]{Value: v, File: int64(f.integer())}
	})
}

// comparedTable are movements as far as one is compared with another patient's.
var (
	comparedColumns = append(slices.Clone(movementTable.keys), "planned", "achieved")
	comparedTable   = table[casebook.Movement, casebook.MovementKey]{
		name: movementTable.name, keys: movementTable.keys, codes: movementTable.codes,
		read: func(f *fields) casebook.Movement {
			return casebook.Movement{
				Case: f.caseKey(), Course: f.integer(), Tooth: casebook.Tooth(f.integer()), Axis: word(f, axisWords),
				Planned: f.real(), Achieved: f.optReal(),
			}
		},
	}
)
