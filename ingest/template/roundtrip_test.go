package template_test

import (
	"context"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest"
	"shortfall/ingest/casebook"
	"shortfall/ingest/template"
	"shortfall/sampledata"
)

// A dataset written in the layout of the template is read back as it was, with
// every row accepted.
func TestRoundTripThroughIngest(t *testing.T) {
	p := sampledata.Default()
	p.Cases = 40 // the sample whole is read back in sampledata/make
	ds, _ := sampledata.Generate(p, sampledata.DefaultSeed)
	path := filepath.Join(t.TempDir(), "practice.xlsx")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, template.WriteDataset(f, ds, template.Meta{Invented: true}))
	require.NoError(t, f.Close())
	b, err := ingest.Read(context.Background(), path, ingest.Options{})
	require.NoError(t, err)
	assert.True(t, b.Invented)
	assert.Empty(t, b.Rejected)
	assert.True(t, b.Counts().Balanced())
	assert.Equal(t, ds.Cases, values(b.Cases))
	assert.Equal(t, ds.Courses, values(b.Courses))
	assert.Equal(t, ds.Movements, values(b.Movements))
	assert.Equal(t, ds.Repeats, values(b.Repeats))
	for _, p := range b.Problems {
		assert.NotEqual(t, casebook.Error, p.Severity, p.Error())
		assert.NotContains(t, p.Message, "hidden")
	}
}

// What a person confirmed goes with a copy and with an export, on one sheet or several.
func TestConfirmedAmountsGoWithACopy(t *testing.T) {
	p := sampledata.Default()
	p.Cases = 12
	ds, _ := sampledata.Generate(p, sampledata.DefaultSeed)
	ds.Movements[3].Confirmed = casebook.AsMeasured
	for name, write := range map[string]func(io.Writer) error{
		"book.xlsx": func(w io.Writer) error { return template.WriteDataset(w, ds, template.Meta{Copy: true}) },
		"flat.csv":  func(w io.Writer) error { return template.WriteFlat(w, ds, template.Meta{Export: true}) },
	} {
		path := filepath.Join(t.TempDir(), name)
		f, err := os.Create(path)
		require.NoError(t, err)
		require.NoError(t, write(f))
		require.NoError(t, f.Close())
		b, err := ingest.Read(context.Background(), path, ingest.Options{})
		require.NoError(t, err)
		got := map[casebook.MovementKey]casebook.Confirmation{}
		for _, m := range b.Movements {
			if m.Value.Confirmed != casebook.NotConfirmed {
				got[m.Value.Key()] = m.Value.Confirmed
			}
		}
		assert.Equal(t, map[casebook.MovementKey]casebook.Confirmation{ds.Movements[3].Key(): casebook.AsMeasured}, got, name)
	}
}

// The example rows of the empty template are blank rows, not records.
func TestExampleRowsAreBlank(t *testing.T) {
	path := filepath.Join(t.TempDir(), "empty.xlsx")
	f, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, template.Write(f))
	require.NoError(t, f.Close())
	_, err = ingest.Read(context.Background(), path, ingest.Options{Notation: casebook.FDI})
	problems := ingest.Problems(err)
	require.NotEmpty(t, problems)
	assert.Equal(t, "nothing-read", problems[len(problems)-1].Rule)
}

func values[T any](records []casebook.Record[T]) []T {
	out := make([]T, len(records))
	for i, r := range records {
		out[i] = r.Value
	}
	return out
}
