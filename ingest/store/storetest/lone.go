package storetest

import (
	"math"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
)

// SameAlone imports a file into a database where nothing is and into a store.Lone, and holds
// the second to the first: outcome, error, records and everything that is loaded with them.
func SameAlone(t testing.TB, empty store.Store, b *casebook.Batch, c store.Choices) {
	t.Helper()
	again := *b // what Decide changes is in the records
	again.Cases, again.Courses = slices.Clone(b.Cases), slices.Clone(b.Courses)
	again.Movements, again.Repeats = slices.Clone(b.Movements), slices.Clone(b.Repeats)
	want, refused := empty.Import(t.Context(), b, c)
	lone := store.NewLone(empty.Path())
	got, err := lone.Import(t.Context(), &again, c)
	if refused != nil {
		require.Error(t, err)
		assert.Equal(t, kindOf(t, refused), kindOf(t, err), "%v, and alone: %v", refused, err)
	} else {
		require.NoError(t, err)
		assert.Equal(t, b.Movements, again.Movements) // the practice is settled
	}
	assert.Equal(t, want, got)
	loaded, err := lone.Load(t.Context())
	require.NoError(t, err)
	held := MustLoad(t, empty)
	require.Equal(t, held, loaded)
	require.Equal(t, signs(held), signs(loaded))
	for _, sha := range []string{b.File.SHA256, FileOf("another").SHA256} {
		given, err := empty.MovementsOf(t.Context(), sha)
		require.NoError(t, err)
		alone, err := lone.MovementsOf(t.Context(), sha)
		require.NoError(t, err)
		// Those of a tooth come in the order of the words of their axes from a database.
		assert.ElementsMatch(t, given, alone)
	}
}

// signs of the amounts, in which a zero that has one differs from another.
func signs(ds *casebook.Dataset) (out []bool) {
	for _, m := range ds.Movements {
		for _, x := range []float64{m.Planned, m.Achieved.Value, m.StatedPercent.Value, m.SizeMM.Value} {
			out = append(out, math.Signbit(x))
		}
	}
	for _, r := range ds.Repeats {
		out = append(out, math.Signbit(r.First), math.Signbit(r.Second))
	}
	return out
}

func kindOf(t testing.TB, err error) store.Kind {
	t.Helper()
	e, ok := err.(*store.Error)
	require.True(t, ok, "%v", err)
	return e.Kind
}
