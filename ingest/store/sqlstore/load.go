package sqlstore

import (
	"cmp"
	"context"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// Load reads the current records, in key order (case, course, tooth, axis),
// and the history of how they got there, as of one moment.
func (db *Records) Load(ctx context.Context) (*casebook.Dataset, error) {
	ds, err := db.load(ctx)
	return ds, db.ended(ctx, err)
}

func (db *Records) load(ctx context.Context) (*casebook.Dataset, error) {
	tx, err := db.Read(ctx)
	if err != nil {
		return nil, err
	}
	defer tx.Rollback()
	ds := &casebook.Dataset{}
	if ds.Cases, err = selectRecords(ctx, tx, &caseTable, ""); err != nil {
		return nil, err
	}
	if ds.Courses, err = selectRecords(ctx, tx, &courseTable, ""); err != nil {
		return nil, err
	}
	if ds.Movements, err = selectRecords(ctx, tx, &movementTable, ""); err != nil {
		return nil, err
	}
	if ds.Repeats, err = selectRecords(ctx, tx, &repeatTable, ""); err != nil {
		return nil, err
	}
	removed, err := removedCases(ctx, tx)
	if err != nil {
		return nil, err
	}
	leaveOut(ds, removed)
	sortAxes(ds.Movements, casebook.Movement.Key)
	sortAxes(ds.Repeats, casebook.Repeat.Key)
	out, err := outOfCount(ctx, tx)
	if err != nil {
		return nil, err
	}
	if ds.Files, err = files(ctx, tx, out.later); err != nil {
		return nil, err
	}
	for _, f := range ds.Files {
		ds.Invented = ds.Invented || f.Invented
	}
	if ds.Rejected, err = rejectedCounts(ctx, tx, out); err != nil {
		return nil, err
	}
	if ds.RefusedAlone, err = refusedAlone(ctx, tx, out); err != nil {
		return nil, err
	}
	if ds.Words, err = wordsRead(ctx, tx, out); err != nil {
		return nil, err
	}
	if ds.Superseded, err = supersededCount(ctx, tx, out); err != nil {
		return nil, err
	}
	err = tx.QueryRowContext(ctx, "SELECT coalesce(sum(t.unchanged), 0) FROM tallies t JOIN files f ON f.id = t.file_id WHERE f.removed IS NULL").Scan(&ds.Unchanged)
	return ds, err
}

// MovementsOf lists the movements that a file gave as they stand now.
func (db *Records) MovementsOf(ctx context.Context, sha256 string) ([]casebook.MovementKey, error) {
	tx, err := db.Read(ctx)
	if err != nil {
		return nil, db.Wrap(err)
	}
	defer tx.Rollback()
	list, err := selectRecords(ctx, tx, &movementTable, " WHERE file_id IN (SELECT id FROM files WHERE sha256 = ?)", sha256)
	keys := make([]casebook.MovementKey, len(list))
	for i := range list {
		keys[i] = list[i].Key()
	}
	return keys, db.ended(ctx, err)
}

// selectRecords reads the records of one kind in key order.
func selectRecords[T, K comparable](ctx context.Context, tx *Tx, t *table[T, K], where string, args ...any) ([]T, error) {
	n := 0
	if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM "+t.name+where, args...).Scan(&n); err != nil || n == 0 {
		return nil, err
	}
	out := make([]T, 0, n) // never more memory than the records take
	err := eachRecord(ctx, tx, t, t.columns(), where, args, func(v T, _ *fields) { out = append(out, v) })
	return out, err
}

// eachRecord reads records of one kind in key order; keep gets each of them with what the
// columns hold that follow its own.
func eachRecord[T, K comparable](ctx context.Context, tx *Tx, t *table[T, K], columns []string, where string, args []any, keep func(T, *fields)) error {
	read := t.selection(columns)
	rows, err := tx.QueryContext(ctx, "SELECT "+read.list+" FROM "+t.name+where+
		" ORDER BY "+strings.Join(t.keys, ","), args...)
	if err != nil {
		return err
	}
	defer rows.Close()
	f := &fields{values: make([]any, len(columns))}
	row := make([]any, len(read.own)+min(1, len(read.codes)))
	targets := make([]any, len(row))
	for i := range targets {
		targets[i] = &row[i]
	}
	for rows.Next() {
		if err := rows.Scan(targets...); err != nil {
			return err
		}
		if err := read.spread(row, f.values); err != nil {
			return unreadable(t.name, err)
		}
		f.next = 0
		keep(t.read(f), f)
		if f.err != nil {
			return unreadable(t.name, f.err)
		}
	}
	return rows.Err()
}

// sortAxes puts the movements of one tooth in the print order of the axes; the
// database has them in alphabetical order.
func sortAxes[T any](records []T, key func(T) casebook.MovementKey) {
	for low := 0; low < len(records); {
		first := key(records[low])
		high := low + 1
		for high < len(records) {
			if k := key(records[high]); k.Case != first.Case || k.Course != first.Course || k.Tooth != first.Tooth {
				break
			}
			high++
		}
		slices.SortFunc(records[low:high], func(a, b T) int { return cmp.Compare(key(a).Axis, key(b).Axis) })
		low = high
	}
}

func unreadable(what string, err error) error {
	e := store.New(store.Damaged, "", err)
	e.Message = "the " + what + " of the database cannot be read"
	return e
}

// leaveOut drops the records of cases that were taken out of the audit.
func leaveOut(ds *casebook.Dataset, removed map[casebook.CaseKey]string) {
	if len(removed) == 0 {
		return
	}
	gone := func(k casebook.CaseKey) bool { _, out := removed[k]; return out }
	ds.Cases = slices.DeleteFunc(ds.Cases, func(c casebook.Case) bool { return gone(c.Key()) })
	ds.Courses = slices.DeleteFunc(ds.Courses, func(c casebook.Course) bool { return gone(c.Case) })
	ds.Movements = slices.DeleteFunc(ds.Movements, func(m casebook.Movement) bool { return gone(m.Case) })
	ds.Repeats = slices.DeleteFunc(ds.Repeats, func(r casebook.Repeat) bool { return gone(r.Case) })
}

// uncounted are the files whose rows an audit does not count: those with a later
// version, and those whose import was undone.
type uncounted struct {
	later   map[int64]int64
	removed map[int64]bool
}

func (u *uncounted) has(file int64) bool { return u.later[file] != 0 || u.removed[file] }

func outOfCount(ctx context.Context, tx *Tx) (*uncounted, error) {
	editions, err := readEditions(ctx, tx)
	if err != nil {
		return nil, err
	}
	u := &uncounted{later: store.LaterVersions(editions), removed: map[int64]bool{}}
	for i := range editions {
		u.removed[editions[i].ID] = editions[i].Removed
	}
	return u, nil
}
