package main

import (
	"context"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlite"
	"shortfall/sampledata"
)

// TestFilesHaveNotDrifted compares the committed files with a fresh run.
func TestFilesHaveNotDrifted(t *testing.T) {
	files, err := build()
	require.NoError(t, err)
	for name, fresh := range files {
		committed, err := os.ReadFile(filepath.Join("..", name))
		require.NoError(t, err)
		assert.True(t, string(committed) == string(fresh), "%s differs: run go generate ./sampledata", name)
	}
}

// load reads one committed file the way an audit does.
func load(t *testing.T, name string) (*casebook.Batch, *casebook.Dataset) {
	t.Helper()
	ctx := context.Background()
	batch, err := ingest.Read(ctx, filepath.Join("..", name), ingest.Options{})
	require.NoError(t, err)
	db, err := sqlite.OpenTemp(ctx)
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Import(ctx, batch, store.Choices{})
	require.NoError(t, err)
	ds, err := db.Load(ctx)
	require.NoError(t, err)
	return batch, ds
}

// TestFilesReadBackAsGenerated: nothing is lost between the generator and what
// an audit reads, and the clean files raise neither error nor warning.
func TestFilesReadBackAsGenerated(t *testing.T) {
	want, _ := sampledata.Generate(sampledata.Default(), sampledata.DefaultSeed)
	names := []string{"practice.xlsx", "practice.csv"}
	if os.Getenv("SHORTFALL_LONG") == "" {
		names = names[:1] // which has everything that the other has
	}
	for _, name := range names {
		t.Run(name, func(t *testing.T) {
			batch, got := load(t, name)
			assert.True(t, got.Invented)
			assert.Equal(t, want.Cases, got.Cases)
			assert.Equal(t, want.Courses, got.Courses)
			assert.Equal(t, want.Movements, got.Movements)
			if name == "practice.xlsx" {
				assert.Equal(t, want.Repeats, got.Repeats)
			}
			c := batch.Counts()
			assert.True(t, c.Balanced())
			assert.Zero(t, c.Rejected)
			for _, p := range batch.Problems {
				assert.Less(t, p.Severity, casebook.Warning, "%v", p)
			}
		})
	}
}

// TestSlipsAreFound: every slip of the dirty file is reported in its own row,
// and costs no other row.
func TestSlipsAreFound(t *testing.T) {
	batch, ds := load(t, "dirty.csv")
	assert.True(t, ds.Invented)
	assert.True(t, batch.Counts().Balanced())
	found, gone := map[int]string{}, map[int]bool{}
	for _, p := range batch.Problems {
		if p.Cell != "" && p.Severity >= casebook.Warning {
			found[p.Row] = p.Rule
		}
	}
	for _, r := range batch.Rejected {
		require.NotEmpty(t, r.Reasons)
		gone[r.Source.Row] = true
	}
	const firstRow = 3 // after the banner and the header
	rejected := 0
	for _, s := range slips {
		row := firstRow + s.movement
		assert.Equal(t, s.rule, found[row], "row %d", row)
		lost := s.rule != "" && s.field != columns.Style // an optional cell costs itself
		assert.Equal(t, lost, gone[row], "row %d", row)
		if lost {
			rejected++
		}
	}
	duplicate := len(batch.Rejected) - rejected
	assert.Equal(t, 1, duplicate, "the row pasted twice is rejected")
	assert.Equal(t, rejected+duplicate, batch.Counts().Rejected)
}
