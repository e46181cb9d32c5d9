package store

import (
	"database/sql"
	"errors"
	"strings"

	"shortfall/ingest/casebook"
)

// rowsAtOnce go into one INSERT: measured, more gain nothing (see BenchmarkImport).
const rowsAtOnce = 64

// keep sorts the records of one kind into new, unchanged and superseded, and
// writes the first and the last.
func keep[T, K comparable](w *writer, t *table[T, K], records []casebook.Record[T]) error {
	if len(records) == 0 {
		return nil
	}
	current, err := currentOf(w, t, records)
	if err != nil {
		return err
	}
	in := &inserter[T, K]{w: w, t: t, seen: make(map[K]int, len(records))}
	defer in.close()
	for i := range records {
		if err := in.one(records, i, current); err != nil {
			return err
		}
	}
	if err := in.flush(); err != nil {
		return err
	}
	return w.tally(t.kind, in.tally)
}

// standing is a current record and the file it came from.
type standing[T any] struct {
	value  T
	fileID int64
}

// currentOf reads the current records that a batch could meet: those between
// its smallest and its largest case.
func currentOf[T, K comparable](w *writer, t *table[T, K], records []casebook.Record[T]) (map[K]standing[T], error) {
	low, high := "", ""
	for i := range records {
		id := t.args(records[i].Value)[0].(string)
		if i == 0 || id < low {
			low = id
		}
		high = max(high, id)
	}
	const where = " WHERE case_id BETWEEN ? AND ?"
	list, err := selectRecords(w.ctx, w.tx, t, where, low, high)
	if err != nil {
		return nil, err
	}
	current := make(map[K]standing[T], len(list))
	// In the order of selectRecords, within the same transaction.
	err = each(w.ctx, w.tx, "SELECT file_id FROM "+t.name+where+" ORDER BY "+strings.Join(t.keys, ","), func(scan scanner) error {
		s := standing[T]{value: list[len(current)]}
		err := scan(&s.fileID)
		current[t.key(s.value)] = s
		return err
	}, low, high)
	return current, err
}

// inserter collects rows for a many-row INSERT.
type inserter[T, K comparable] struct {
	w       *writer
	t       *table[T, K]
	seen    map[K]int // index of the first record of a key in this file
	tally   Tally
	many    *sql.Stmt
	archive *sql.Stmt
	remove  *sql.Stmt
	args    []any
	pending []casebook.Source
}

func (in *inserter[T, K]) one(records []casebook.Record[T], i int, current map[K]standing[T]) error {
	r := &records[i]
	key := in.t.key(r.Value)
	if first, ok := in.seen[key]; ok {
		if records[first].Value == r.Value {
			in.tally.Unchanged++
			return nil
		}
		return refused(Conflict, in.w.path, r.Source.Sheet, r.Source.Row,
			"a different %s of the same key stands in sheet %s, row %d", in.t.kind, records[first].Source.Sheet, records[first].Source.Row)
	}
	in.seen[key] = i
	old, known := current[key]
	if known {
		in.w.again[old.fileID]++
	}
	if known && old.value == r.Value {
		in.tally.Unchanged++
		return nil
	}
	args := in.t.args(r.Value)
	if notFinite(args) {
		return refused(Refused, in.w.path, r.Source.Sheet, r.Source.Row, "a %s holds a number that is not finite", in.t.kind)
	}
	if known {
		in.tally.Superseded++
		if err := in.supersede(args[:len(in.t.keys)]); err != nil {
			return err
		}
	} else {
		in.tally.New++
	}
	return in.add(r, args)
}

// supersede moves the current version of a record to the history.
func (in *inserter[T, K]) supersede(key []any) (err error) {
	if in.archive == nil {
		if in.archive, err = in.w.tx.PrepareContext(in.w.ctx, in.t.archive()); err != nil {
			return err
		}
		if in.remove, err = in.w.tx.PrepareContext(in.w.ctx, "DELETE FROM "+in.t.name+in.t.whereKey()); err != nil {
			return err
		}
	}
	if _, err := in.archive.ExecContext(in.w.ctx, append([]any{in.w.fileID}, key...)...); err != nil {
		return err
	}
	_, err = in.remove.ExecContext(in.w.ctx, key...)
	return err
}

func (in *inserter[T, K]) add(r *casebook.Record[T], args []any) error {
	layout, original, err := in.w.layouts.split(in.w.ctx, r.Source.Row, r.Original)
	if err != nil {
		return err
	}
	in.args = append(append(in.args, args...), in.w.fileID, r.Source.Sheet, r.Source.Row, layout, original)
	in.pending = append(in.pending, r.Source)
	if len(in.pending) < rowsAtOnce {
		return nil
	}
	if in.many == nil {
		if in.many, err = in.w.tx.PrepareContext(in.w.ctx, in.t.insert(rowsAtOnce)); err != nil {
			return err
		}
	}
	_, err = in.many.ExecContext(in.w.ctx, in.args...)
	return in.written(err)
}

// flush writes what is left.
func (in *inserter[T, K]) flush() error {
	if len(in.pending) == 0 {
		return nil
	}
	_, err := in.w.tx.ExecContext(in.w.ctx, in.t.insert(len(in.pending)), in.args...)
	return in.written(err)
}

// written empties the collection, or finds the row a check of the schema refused.
func (in *inserter[T, K]) written(err error) error {
	if err != nil {
		return in.locate(wrap(in.w.path, err))
	}
	in.args, in.pending = in.args[:0], in.pending[:0]
	return nil
}

// locate writes the rows of a refused statement one by one; SQLite has undone
// that statement and not the transaction.
func (in *inserter[T, K]) locate(err error) error {
	if !errors.Is(err, ErrRefused) {
		return err
	}
	width := len(in.args) / len(in.pending)
	for i, s := range in.pending {
		if _, e := in.w.tx.ExecContext(in.w.ctx, in.t.insert(1), in.args[i*width:(i+1)*width]...); e != nil {
			out := refused(Refused, in.w.path, s.Sheet, s.Row, "the %s breaks a rule of the database", in.t.kind)
			out.Err = e
			return out
		}
	}
	return err
}

func (in *inserter[T, K]) close() {
	for _, s := range []*sql.Stmt{in.many, in.archive, in.remove} {
		if s != nil {
			s.Close()
		}
	}
}
