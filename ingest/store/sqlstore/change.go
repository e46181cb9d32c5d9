package sqlstore

import (
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
	write := slices.Concat(ch.Add, ch.Replace)
	slices.Sort(write)
	if err := newInserter(w, t, records).all(write); err != nil {
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
