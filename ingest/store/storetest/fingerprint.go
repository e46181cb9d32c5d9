package storetest

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// Whatever changes what an audit reads gives another fingerprint, one that never was
// before, and reading, or what is refused, gives none (but where a refused write sweeps).
func (im Implementation) testFingerprintTellsChanges(t *testing.T) {
	ctx, db := t.Context(), im.Create(t)
	of, ok := db.(interface {
		Fingerprint(ctx context.Context) (string, error)
	})
	require.True(t, ok)
	was := map[string]string{}
	state := func() string {
		now, err := of.Fingerprint(ctx)
		require.NoError(t, err)
		require.NotEmpty(t, now)
		return now
	}
	first, second := Practice("first", 4, 4), Practice("second", 4, 4)
	second.Movements[0].Value.Planned++
	k := casebook.CaseKey{Practice: "P1", ID: "C-00000"}
	for _, change := range []struct {
		name string
		do   func() error
	}{
		{"nothing yet", func() error { return nil }},
		{"import", func() error { _, err := db.Import(ctx, first, store.Choices{}); return err }},
		{"correction", func() error { _, err := db.Import(ctx, second, store.Choices{}); return err }},
		{"remove case", func() error { return db.RemoveCase(ctx, k, "mistaken") }},
		{"restore case", func() error { return db.RestoreCase(ctx, k) }},
		{"rename", func() error { _, err := db.RenamePractice(ctx, "P1", "P2"); return err }},
		{"erase case", func() error { return db.EraseCase(ctx, casebook.CaseKey{Practice: "P2", ID: "C-00001"}) }},
		{"remove file", func() error { _, err := db.RemoveFile(ctx, second.File.SHA256, "no"); return err }},
		{"erase file", func() error { _, err := db.EraseFile(ctx, first.File.SHA256); return err }},
	} {
		require.NoError(t, change.do(), change.name)
		now := state()
		require.NotContains(t, was, now, "%s: as after %s", change.name, was[now])
		was[now] = change.name
		MustLoad(t, db)
		if !im.Sweeps {
			require.ErrorIs(t, db.RemoveCase(ctx, casebook.CaseKey{ID: "nobody"}, "no"), store.ErrNotThere)
		}
		require.Equal(t, now, state(), "read after %s", change.name)
	}
}
