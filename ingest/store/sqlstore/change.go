package sqlstore

import (
	"errors"
	"slices"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// change carries out the changes of one kind: what is replaced or retired goes
// to the history, what is new or replaces it is written.
func change[T, K comparable](w *writer, t *table[T, K], records []casebook.Record[T], ch *store.Changes[K]) error {
	var replaced []K
	for _, i := range ch.Replace {
		replaced = append(replaced, t.key(records[i].Value))
	}
	if err := archive(w, t, replaced, store.Corrected); err != nil {
		return err
	}
	if err := archive(w, t, ch.Retire, store.Retired); err != nil {
		return err
	}
	in := &inserter[T, K]{w: w, t: t, columns: t.every()}
	write := slices.Concat(ch.Add, ch.Replace)
	slices.Sort(write)
	for _, i := range write {
		if err := in.add(&records[i]); err != nil {
			return err
		}
	}
	if err := in.flush(); err != nil {
		return err
	}
	return w.tally(t.kind, ch.Tally)
}

// archive moves current records to the history.
func archive[T, K comparable](w *writer, t *table[T, K], keys []K, how store.How) error {
	if len(keys) == 0 {
		return nil
	}
	// Retired keys come in the order of a map; the history has one of its own.
	args := make([][]any, len(keys))
	for i, k := range keys {
		args[i] = t.keyArgs(k)
	}
	slices.SortFunc(args, compareArgs)
	copyOut, remove := t.archive(w.tx), w.tx.Delete(t.name, t.hasKey())
	calls := make([]Call, 0, 2*len(args))
	for _, key := range args {
		calls = append(calls, Call{copyOut, append([]any{string(how), w.fileID}, key...)}, Call{remove, key})
	}
	return w.tx.Run(w.ctx, w.tx, calls)
}

// inserter collects rows to be written at once.
type inserter[T, K comparable] struct {
	w       *writer
	t       *table[T, K]
	columns []string
	args    []any
	pending []casebook.Source
}

func (in *inserter[T, K]) add(r *casebook.Record[T]) error {
	layout, original, err := in.w.layouts.split(in.w.ctx, r.Source.Row, r.Original)
	if err != nil {
		return err
	}
	in.args = append(in.t.args(in.args, r.Value), in.w.fileID, r.Source.Sheet, r.Source.Row, layout, original)
	in.pending = append(in.pending, r.Source)
	if len(in.pending) < in.w.tx.RowsAtOnce() {
		return nil
	}
	return in.flush()
}

// flush writes what is collected.
func (in *inserter[T, K]) flush() error {
	if len(in.pending) == 0 {
		return nil
	}
	if err := in.insert(in.args); err != nil {
		return in.locate(in.w.wrap(err))
	}
	in.args, in.pending = in.args[:0], in.pending[:0]
	return nil
}

func (in *inserter[T, K]) insert(args []any) error {
	return in.w.tx.Insert(in.w.ctx, in.w.tx, in.t.name, in.columns, args)
}

// locate writes the rows of a refused Insert one by one, to find the row that a
// check of the schema refused.
func (in *inserter[T, K]) locate(err error) error {
	if !errors.Is(err, store.ErrRefused) {
		return err
	}
	width := len(in.columns)
	for i, s := range in.pending {
		if e := in.insert(in.args[i*width : (i+1)*width]); e != nil {
			out := store.Refuse(store.Refused, in.w.path, s.Sheet, s.Row, "the %s breaks a rule of the database", in.t.kind)
			out.Err = e
			return out
		}
	}
	return err
}
