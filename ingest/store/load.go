package store

import (
	"cmp"
	"context"
	"database/sql"
	"slices"
	"strings"

	"shortfall/ingest/casebook"
)

// Load reads the current records, in key order (case, course, tooth, axis),
// and the history of how they got there, as of one moment.
func (db *DB) Load(ctx context.Context) (*casebook.Dataset, error) {
	ds, err := db.load(ctx)
	return ds, wrap(db.path, err)
}

func (db *DB) load(ctx context.Context) (*casebook.Dataset, error) {
	// Read-only here means "BEGIN" in place of "BEGIN IMMEDIATE": no write lock.
	tx, err := db.sql.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
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
	sortAxes(ds.Movements, casebook.Movement.Key)
	sortAxes(ds.Repeats, casebook.Repeat.Key)
	later, err := laterVersions(ctx, tx)
	if err != nil {
		return nil, err
	}
	if ds.Files, err = files(ctx, tx, later); err != nil {
		return nil, err
	}
	for _, f := range ds.Files {
		ds.Invented = ds.Invented || f.Invented
	}
	if ds.Rejected, err = rejectedCounts(ctx, tx, later); err != nil {
		return nil, err
	}
	if ds.Superseded, err = supersededCount(ctx, tx, later); err != nil {
		return nil, err
	}
	err = tx.QueryRowContext(ctx, "SELECT coalesce(sum(unchanged), 0) FROM tallies").Scan(&ds.Unchanged)
	return ds, err
}

// selectRecords reads the records of one kind in key order.
func selectRecords[T, K comparable](ctx context.Context, tx *sql.Tx, t *table[T, K], where string, args ...any) ([]T, error) {
	columns := t.columns()
	rows, err := tx.QueryContext(ctx, "SELECT "+strings.Join(columns, ",")+" FROM "+t.name+where+
		" ORDER BY "+strings.Join(t.keys, ","), args...)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out []T
	f := &fields{values: make([]any, len(columns))}
	targets := make([]any, len(columns))
	for i := range targets {
		targets[i] = &f.values[i]
	}
	for rows.Next() {
		if err := rows.Scan(targets...); err != nil {
			return nil, err
		}
		f.next = 0
		out = append(out, t.read(f))
		if f.err != nil {
			return nil, &Error{Kind: Damaged, Message: "the " + t.name + " of the database cannot be read", Remedy: remedies[Damaged], Err: f.err}
		}
	}
	return out, rows.Err()
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
