package storetest

import (
	"context"
	"encoding/json"
	"fmt"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// next is a newer program until the test ends or back is called.
func (im Implementation) next(t *testing.T, broken bool) (back func()) {
	t.Helper()
	back = sync.OnceFunc(im.Next(broken))
	t.Cleanup(back)
	return back
}

// Kept reads all that a store gives of what it was given, a text a part, so that two
// stores, or two moments, can be compared.
func Kept(t testing.TB, db store.Store) (parts []string) {
	t.Helper()
	ctx := t.Context()
	add := func(what string, v any, err error) {
		require.NoError(t, err)
		text, err := json.Marshal(v)
		require.NoError(t, err)
		parts = append(parts, what+": "+string(text))
	}
	ds := MustLoad(t, db)
	for _, m := range ds.Movements {
		add("movement", m, nil)
	}
	ds.Movements = nil
	add("other records", ds, nil)
	files, err := db.Files(ctx)
	add("files", files, err)
	rejected, err := db.Rejected(ctx)
	add("rejected", rejected, err)
	problems, err := db.Problems(ctx)
	add("problems", problems, err)
	resting, err := db.RestingOn(ctx)
	add("resting", resting, err)
	cases, err := db.Cases(ctx)
	require.NoError(t, err)
	for _, c := range cases {
		add("case", c, nil)
		versions, err := db.Current(ctx, c.CaseKey)
		require.NoError(t, err)
		earlier, err := db.History(ctx, c.CaseKey)
		require.NoError(t, err)
		for _, v := range append(versions, earlier...) {
			add("version of "+c.ID, v, nil)
		}
	}
	return parts
}

// Same compares what two stores, or two moments, give, part by part.
func Same(t testing.TB, want, got []string) {
	t.Helper()
	require.Len(t, got, len(want))
	for i := range want {
		require.Equal(t, want[i], got[i])
	}
}

// Equal gives two stores the same files, which they must tell alike and give back alike.
func Equal(t *testing.T, a, b store.Store) {
	t.Helper()
	batches := []*casebook.Batch{Every(), CrashBatch(ImportFirst), CrashBatch(ImportSecond)}
	if !Long {
		batches = append([]*casebook.Batch{Every()}, corrected()...)
	}
	for _, batch := range batches {
		require.Equal(t, MustImport(t, a, batch), MustImport(t, b, batch))
	}
	Same(t, Kept(t, a), Kept(t, b))
}

// corrected are a file and one that corrects it.
func corrected() []*casebook.Batch {
	first, second := Practice("first", 4, 4), Practice("second", 4, 4)
	second.Movements[0].Value.Planned++
	return []*casebook.Batch{first, second}
}

// older makes a database as the present program leaves it: with a file, its correction
// and a row that was refused.
func (im Implementation) older(t *testing.T) (address string, holds []string) {
	t.Helper()
	if im.Next == nil {
		t.Skip("made anew where the schema changes")
	}
	address = im.Address(t)
	db, err := im.Open(t.Context(), address)
	require.NoError(t, err)
	MustImport(t, db, Every())
	for _, b := range corrected() {
		MustImport(t, db, b)
	}
	holds = Kept(t, db)
	require.NoError(t, db.Close())
	return address, holds
}

// A newer program brings the database on and keeps all that it held; an older one then
// says so and opens nothing.
func (im Implementation) testSchemaIsBroughtOn(t *testing.T) {
	address, before := im.older(t)
	back := im.next(t, false)
	db, err := im.Open(t.Context(), address)
	require.NoError(t, err)
	Same(t, before, Kept(t, db))
	MustImport(t, db, clinic("third", "P9", 5, "Z-1"))
	after := Kept(t, db)
	require.NoError(t, db.Close())
	back()
	_, err = im.Open(t.Context(), address)
	require.ErrorIs(t, err, store.ErrNewer)
	im.next(t, false)
	db, err = im.Open(t.Context(), address)
	require.NoError(t, err)
	defer db.Close()
	Same(t, after, Kept(t, db))
}

// A change that fails half-way leaves the database to the older program as it was.
func (im Implementation) testBrokenChangeLeavesNothing(t *testing.T) {
	address, before := im.older(t)
	back := im.next(t, true)
	_, err := im.Open(t.Context(), address)
	require.Error(t, err)
	back()
	db, err := im.Open(t.Context(), address)
	require.NoError(t, err)
	defer db.Close()
	Same(t, before, Kept(t, db))
}

// Of several that open an older database at once one brings it on, and all may use it; the
// older program then may not.
func (im Implementation) testSchemaIsBroughtOnOnce(t *testing.T) {
	address, before := im.older(t)
	back := im.next(t, false)
	var all sync.WaitGroup
	several := Everyday(4, 2)
	opened, errs := make([]store.Store, several), make([]error, several)
	for i := range opened {
		all.Go(func() { opened[i], errs[i] = im.Open(t.Context(), address) })
	}
	all.Wait()
	for i, db := range opened {
		require.NoError(t, errs[i])
		if i == 0 || Long {
			Same(t, before, Kept(t, db))
		}
		require.NoError(t, db.Close())
	}
	back()
	_, err := im.Open(t.Context(), address)
	require.ErrorIs(t, err, store.ErrNewer)
}

// Who reads while a file is imported sees the database before it or after it.
func (im Implementation) testReadersSeeOneMoment(t *testing.T) {
	address := im.Address(t)
	db, err := im.Open(t.Context(), address)
	require.NoError(t, err)
	defer db.Close()
	MustImport(t, db, Practice("first", 4, 4))
	reader, err := im.Open(t.Context(), address)
	require.NoError(t, err)
	defer reader.Close()
	var ids []string
	for i := range Everyday(400, 100) {
		ids = append(ids, fmt.Sprintf("Z-%03d", i))
	}
	done := make(chan error, 1)
	go func() {
		_, err := db.Import(context.Background(), clinic("second", "P9", 5, ids...), store.Choices{})
		done <- err
	}()
	for over := false; ; {
		select {
		case err := <-done:
			require.NoError(t, err)
			over = true
		default:
		}
		ds := MustLoad(t, reader)
		switch got := [2]int{len(ds.Files), len(ds.Movements)}; got {
		case [2]int{1, 32}:
			require.False(t, over, "an import that is over is not seen")
		case [2]int{2, 32 + len(ids)}:
			if !over {
				require.NoError(t, <-done)
			}
			return
		default:
			t.Fatalf("half of an import was read: %v", got)
		}
	}
}

// What is cancelled before it begins changes nothing, whatever it is.
func (im Implementation) testCancelledChanges(t *testing.T) {
	db := im.Create(t)
	MustImport(t, db, Practice("first", 4, 4))
	before := Kept(t, db)
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	k := casebook.CaseKey{Practice: "P1", ID: "C-00000"}
	sha := FileOf("first").SHA256
	for name, change := range map[string]func() error{
		"import":      func() error { _, err := db.Import(ctx, Practice("second", 5, 4), store.Choices{}); return err },
		"rename":      func() error { _, err := db.RenamePractice(ctx, "P1", "P2"); return err },
		"remove case": func() error { return db.RemoveCase(ctx, k, "no") },
		"erase case":  func() error { return db.EraseCase(ctx, k) },
		"remove file": func() error { _, err := db.RemoveFile(ctx, sha, "no"); return err },
		"erase file":  func() error { _, err := db.EraseFile(ctx, sha); return err },
		"put profile": func() error { return db.PutProfile(ctx, profile("h", "n", "{}")) },
	} {
		require.ErrorIs(t, change(), context.Canceled, name)
	}
	Same(t, before, Kept(t, db))
	profiles, err := db.Profiles(t.Context())
	require.NoError(t, err)
	assert.Empty(t, profiles)
}

// While another holds the database for longer than is reasonable an import says so and
// keeps nothing; afterwards the same import completes.
func (im Implementation) testHeldByAnother(t *testing.T) {
	if im.Hold == nil {
		t.Skip("held on its coordinator, as one server is")
	}
	address := im.Address(t)
	db, err := im.Open(t.Context(), address)
	require.NoError(t, err)
	require.NoError(t, db.Close())
	release := im.Hold(t, address)
	db, err = im.Open(t.Context(), address)
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Import(t.Context(), Practice("p", 1, 1), store.Choices{})
	require.ErrorIs(t, err, store.ErrLocked)
	assert.ErrorContains(t, err, "again")
	release()
	assert.Empty(t, MustLoad(t, db).Files)
	MustImport(t, db, Practice("p", 1, 1))
}
