package ingest

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"shortfall/ingest/screen"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"
)

// A name that was withheld is withheld everywhere: in the error of a damaged
// file, which nobody screened, and in all that is kept where it was let in.
func TestNamesAreWithheldEverywhere(t *testing.T) {
	dir := t.TempDir()
	damaged := filepath.Join(dir, "Brenka Thornton.xlsx")
	require.NoError(t, os.WriteFile(damaged, []byte("PK\x03\x04 cut off"), 0o600))
	_, err := Read(t.Context(), damaged, Options{})
	require.Error(t, err)
	assert.NotContains(t, err.Error(), "Thornton")
	assert.Contains(t, err.Error(), screen.NameWithheld)

	path := small(t, func(f *excelize.File) error { return f.SetSheetName("movements", "Harriet Thornton") })
	named := filepath.Join(filepath.Dir(path), "Harriet Thornton.xlsx")
	require.NoError(t, os.Rename(path, named))
	_, err = Read(t.Context(), named, Options{})
	require.Error(t, err)
	assert.NotContains(t, err.Error(), "Thornton")
	b, err := Read(t.Context(), named, Options{AllowIdentifiers: true})
	require.NoError(t, err)
	require.NotEmpty(t, b.Movements)
	assert.NotContains(t, fmt.Sprintf("%+v", *b), "Thornton")
	assert.Equal(t, "(name withheld)", b.File.Name)
	assert.Contains(t, b.Movements[0].Source.Sheet, "number ")
	assert.Equal(t, "cases.xlsx", screen.Shown("cases.xlsx"))
	assert.Equal(t, errors.ErrUnsupported, screen.WithoutNames(errors.ErrUnsupported))
}

// A sheet is known by its own name only where its words cannot name anybody.
func TestSheetsAreKnownByTheirNumber(t *testing.T) {
	for name, want := range map[string]string{
		"movements": "movements", "Refinement 1": "Refinement 1", "2024 Q3": "2024 Q3", "Tabelle1": "Tabelle1", "Feuil1": "Feuil1", "C-012": "C-012",
		"Bewegungen": "Bewegungen", "export (2)": "export (2)", "Lower arch": "Lower arch", "raw": "raw", "MQ-001": "MQ-001", "data": "data",
		"tolmov": "number 3", "skype: tolm23": "number 3 (name withheld)", "59°26'10\"N": "number 3 (name withheld)", "Rotation (°)": "Rotation (°)", "CBU1117": "number 3", "Harriet Thornton": "number 3 (name withheld)",
	} {
		assert.Equal(t, want, screen.SheetName(name, 3), name)
	}
	path := small(t, func(f *excelize.File) error { return f.SetSheetName("movements", "tolmov") })
	b, err := Read(t.Context(), path, Options{})
	require.NoError(t, err)
	require.NotEmpty(t, b.Movements)
	assert.NotContains(t, fmt.Sprintf("%+v", *b), "tolmov")
}
