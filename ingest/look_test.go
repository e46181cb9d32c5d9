package ingest_test

import (
	"os"
	"path/filepath"
	"testing"

	"shortfall/ingest"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"shortfall/ingest/look"
)

func seen(t *testing.T, text string) (*look.View, [][]look.Cell) {
	t.Helper()
	path := filepath.Join(t.TempDir(), "own.csv")
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	_, err := ingest.Read(t.Context(), path, ingest.Options{})
	v, lerr := look.At(t.Context(), path, ingest.Options{}, ingest.Problems(err))
	require.NoError(t, lerr)
	require.Len(t, v.Sheets, 1)
	var rows [][]look.Cell
	for _, r := range v.Sheets[0].Rows(1, 100) {
		rows = append(rows, v.Sheets[0].Cells(r))
	}
	return v, rows
}

// What is read is shown, what is not read is masked, and so is what looks like a
// person wherever it stands. The names are invented.
func TestLookMasksWhatIsNotRead(t *testing.T) {
	v, rows := seen(t, "case,course,tooth,movement,planned,achieved,attachment,memo\n"+
		"K1,1,43,rotation,-10,-8,none,Mrs Ada Whitfield\nAda Whitfield,1,44,torque,5,4,software,17\n")
	s := v.Sheets[0]
	assert.Equal(t, []int{1, 2, 3}, []int{s.Header, s.Body, s.Last})
	var meanings []string
	for _, c := range s.Columns {
		meanings = append(meanings, c.Meaning)
	}
	assert.Equal(t, []string{"case", "course", "tooth", "kind of movement", "planned amount", "achieved amount", "attachment style", ""}, meanings)
	for i, want := range []look.Cell{{Ref: "A2", Text: "K1"}, {Ref: "B2", Text: "1"}, {Ref: "C2", Text: "43"}, {Ref: "D2", Text: "rotation"}, {Ref: "E2", Text: "-10"}} {
		assert.Equal(t, want, rows[1][i])
	}
	assert.Equal(t, look.Cell{Ref: "H2", Masked: true}, rows[1][7])
	assert.Equal(t, look.Cell{Ref: "A3", Masked: true}, rows[2][0], "a name in a column that is read")
	assert.Equal(t, look.Cell{Ref: "H3", Masked: true}, rows[2][7], "a number of a column that is not read")
}

// A date is shown as the month that is kept of it, not as the days that are stored.
func TestLookShowsMonths(t *testing.T) {
	f := excelize.NewFile()
	style, err := f.NewStyle(&excelize.Style{NumFmt: 14})
	require.NoError(t, err)
	require.NoError(t, f.SetSheetRow("Sheet1", "A1", &[]any{"case", "start", "status"}))
	require.NoError(t, f.SetSheetRow("Sheet1", "A2", &[]any{"K1", 45537, "completed"})) // 2 September 2024
	require.NoError(t, f.SetCellStyle("Sheet1", "B2", "B2", style))
	path := filepath.Join(t.TempDir(), "own.xlsx")
	require.NoError(t, f.SaveAs(path))
	v, err := look.At(t.Context(), path, ingest.Options{}, nil)
	require.NoError(t, err)
	assert.Equal(t, look.Cell{Ref: "B2", Text: "2024-09"}, v.Sheets[0].Cells(v.Sheets[0].Rows(2, 1)[0])[1])
}

// A sheet without a table shows words of the trade and nothing else.
func TestLookAtNoTable(t *testing.T) {
	_, rows := seen(t, "rotation,Ada Whitfield\n12,\n")
	assert.Equal(t, look.Cell{Ref: "A1", Text: "rotation"}, rows[0][0])
	assert.True(t, rows[0][1].Masked)
	assert.True(t, rows[1][0].Masked)
}

// The cells of a sheet that was taken apart are shown where they are read, in the
// places of the sheet as it came.
func TestLookAtOddSheet(t *testing.T) {
	v, err := look.At(t.Context(), filepath.Join("testdata", "corpus", "040-en-tooth-chart.xlsx"), ingest.Options{}, nil)
	require.NoError(t, err)
	assert.True(t, v.Sheets[0].Apart())
	at := map[string]look.Cell{}
	for _, r := range v.Sheets[0].Rows(1, 100) {
		for _, c := range v.Sheets[0].Cells(r) {
			at[c.Ref] = c
		}
	}
	for ref, want := range map[string]string{"A3": "Extrusion (mm)", "B3": "Planned amount", "F3": "1.5", "G4": "0.2", "E5": "26"} {
		assert.Equal(t, look.Cell{Ref: ref, Text: want}, at[ref])
	}
	assert.True(t, at["C2"].Masked, "a tooth under which nothing stands is not read")
}
