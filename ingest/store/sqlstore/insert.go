package sqlstore

import (
	"errors"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// inserter writes records of one kind. The arguments of the next rows are made while the
// database writes those before; only one of the two speaks to it at a time (writer.turn).
type inserter[T, K comparable] struct {
	w       *writer
	t       *table[T, K]
	columns []string
	records []casebook.Record[T]
	atOnce  int // rows of one Insert
	ready   chan *load
	spare   chan *load
	stop    chan struct{}
}

// load is the arguments of some rows, and where each was read.
type load struct {
	args     []any
	from     []casebook.Source
	err      error
	panicked any
}

// A load is of so many rows at least, and two are being made or written beside one that waits.
const (
	rowsOfLoad = 1024
	loads      = 3
)

func newInserter[T, K comparable](w *writer, t *table[T, K], records []casebook.Record[T]) *inserter[T, K] {
	in := &inserter[T, K]{
		w: w, t: t, columns: t.every(), records: records, atOnce: w.tx.RowsAtOnce(),
		ready: make(chan *load), spare: make(chan *load, loads), stop: make(chan struct{}),
	}
	for range loads {
		in.spare <- &load{}
	}
	return in
}

// all writes some of the records, in the order that is given.
func (in *inserter[T, K]) all(which []int) error {
	go in.prepare(which)
	for l := range in.ready {
		if err := in.write(l); err != nil {
			close(in.stop)
			for range in.ready { // until it has stopped
			}
			return err
		}
		in.spare <- l
	}
	return nil
}

// prepare makes the arguments. It ends with an error, which the load has, or when nobody
// writes any more.
func (in *inserter[T, K]) prepare(which []int) {
	defer close(in.ready)
	size := in.atOnce * max(1, rowsOfLoad/in.atOnce)
	for len(which) > 0 {
		n := min(size, len(which))
		var l *load
		select {
		case l = <-in.spare:
		case <-in.stop:
			return
		}
		in.fill(l, which[:n])
		which = which[n:]
		select {
		case in.ready <- l:
		case <-in.stop:
			return
		}
		if l.err != nil || l.panicked != nil {
			return
		}
	}
}

// fill puts rows in the place of those that a load had.
func (in *inserter[T, K]) fill(l *load, which []int) {
	defer func() { l.panicked = recover() }()
	l.args, l.from = l.args[:0], l.from[:0]
	for _, i := range which {
		r := &in.records[i]
		layout, original, err := in.w.layouts.split(in.w.ctx, r.Source.Row, r.Original)
		if err != nil {
			l.err = err
			return
		}
		l.args = append(in.t.args(l.args, r.Value), in.w.fileID, r.Source.Sheet, int64(r.Source.Row), layout, original)
		l.from = append(l.from, r.Source)
	}
}

// write has the database write the rows of a load, also of one that is not whole.
func (in *inserter[T, K]) write(l *load) error {
	width := len(in.columns)
	for first := 0; first < len(l.from); first += in.atOnce {
		end := min(first+in.atOnce, len(l.from))
		args := l.args[first*width : end*width]
		if err := in.insert(args); err != nil {
			return in.locate(in.w.wrap(err), args, l.from[first:end])
		}
	}
	if l.panicked != nil {
		panic(l.panicked) // where whoever began the import catches it
	}
	return l.err
}

func (in *inserter[T, K]) insert(args []any) error {
	in.w.turn.Lock()
	defer in.w.turn.Unlock()
	return in.w.tx.Insert(in.w.ctx, in.w.tx, in.t.name, in.columns, args)
}

// locate writes the rows of a refused Insert one by one, to find the row that a
// check of the schema refused.
func (in *inserter[T, K]) locate(err error, args []any, from []casebook.Source) error {
	if !errors.Is(err, store.ErrRefused) {
		return err
	}
	width := len(in.columns)
	for i, s := range from {
		if e := in.insert(args[i*width : (i+1)*width]); e != nil {
			out := store.Refuse(store.Refused, in.w.path, s.Sheet, s.Row, "the %s breaks a rule of the database", in.t.kind)
			out.Err = e
			return out
		}
	}
	return err
}
