package ingest

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
)

// read writes a text file and reads it.
func read(t *testing.T, text string, o Options) (*casebook.Batch, error) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "test.csv")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	b, err := Read(t.Context(), path, o)
	if b != nil {
		for _, s := range b.Sheets {
			assert.True(t, s.Balanced(), "%+v", s)
		}
	}
	return b, err
}

func mustRead(t *testing.T, text string, o Options) *casebook.Batch {
	t.Helper()
	b, err := read(t, text, o)
	require.NoError(t, err)
	return b
}

func TestFlatTextGivesAllKindsAndKeepsEveryRow(t *testing.T) {
	b := mustRead(t, `case,practice,clinician,start month,status,course,tooth,axis,planned,achieved,unit,style
P1,A,C1,2025-01,completed,initial,13,rotation,15,11.5,deg,clinician-designed
P1,,,,,R1,46,vertical,-1.5,-1.0,mm,none
P2,A,C1,2025-01,under treatment,1,33,buccolingual torque,-5,,deg,software-suggested
P3,A,C1,2025-01,completed,1,33,buccolingual torque,-5,,deg,software-suggested
EXAMPLE,A,C1,2025-01,completed,1,33,buccolingual torque,-5,4,deg,software-suggested

,,,,,,,total,12,,,
`, Options{})
	require.Len(t, b.Movements, 3)
	assert.Equal(t, casebook.Movement{
		Case: casebook.CaseKey{Practice: "A", ID: "P1"}, Course: 2, Tooth: 46, Axis: casebook.Vertical, Planned: -1.5,
		Achieved: casebook.Some(-1.0), Style: casebook.StyleNone,
	}, b.Movements[1].Value)
	assert.False(t, b.Movements[2].Value.Achieved.OK, "under treatment: no outcome yet")
	require.Len(t, b.Cases, 2)
	assert.Equal(t, casebook.NewMonth(2025, 1), b.Cases[0].Value.Start)
	assert.Len(t, b.Courses, 3)
	require.Len(t, b.Rejected, 1)
	assert.Equal(t, "achieved-missing", b.Rejected[0].Reasons[0].Rule)
	assert.Equal(t, "J5", b.Rejected[0].Reasons[0].Cell)
	assert.Contains(t, b.Rejected[0].Original.Cells(), casebook.Cell{Ref: "A5", Header: "case", Text: "P3", Kept: "case"})
	assert.Equal(t, casebook.Counts{Read: 7, Accepted: 3, Rejected: 1, Blank: 3}, b.Counts())
}

// The cells of a form are named where they stand in the file, in every record that its
// row gave.
func TestCellsOfFormsKeepTheirPlace(t *testing.T) {
	b, err := Read(t.Context(), filepath.Join("testdata", "corpus", "076-en-stacked-forms.xlsx"), Options{})
	require.NoError(t, err)
	tooth := func(s casebook.Source, o casebook.Original) {
		for _, c := range o.Cells() {
			if c.Header == "Tooth" {
				assert.Equal(t, "A"+strconv.Itoa(s.Row), c.Ref)
			}
		}
	}
	require.NotEmpty(t, b.Cases)
	for _, r := range b.Cases {
		tooth(r.Source, r.Original)
	}
	for _, r := range b.Courses {
		tooth(r.Source, r.Original)
	}
	for _, r := range b.Movements {
		tooth(r.Source, r.Original)
	}
}

func unzip(t *testing.T, data []byte) map[string][]byte {
	t.Helper()
	zr, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	require.NoError(t, err)
	out := map[string][]byte{}
	for _, f := range zr.File {
		rc, err := f.Open()
		require.NoError(t, err)
		out[f.Name], err = io.ReadAll(rc)
		require.NoError(t, err)
		require.NoError(t, rc.Close())
	}
	return out
}

// rezip replaces one part of a container.
func rezip(t *testing.T, data []byte, name string, part []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	w := zip.NewWriter(&b)
	for n, content := range unzip(t, data) {
		if n == name {
			content = part
		}
		f, err := w.CreateHeader(&zip.FileHeader{Name: n, Method: zip.Store})
		require.NoError(t, err)
		_, err = f.Write(content)
		require.NoError(t, err)
	}
	require.NoError(t, w.Close())
	return b.Bytes()
}
