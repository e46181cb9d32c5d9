package verb

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFoldersStandForTheirSpreadsheets(t *testing.T) {
	dir := t.TempDir()
	empty := filepath.Join(dir, "sub")
	require.NoError(t, os.Mkdir(empty, 0o700))
	for _, name := range []string{"b.CSV", "a.xlsx", "c.ods", "notes.docx", "~$a.xlsx", ".hidden.csv"} {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), nil, 0o600))
	}
	in := func(name string) string { return filepath.Join(dir, name) }
	got, err := inFolders([]string{"x.csv", dir, "y.csv"})
	require.NoError(t, err)
	assert.Equal(t, []string{"x.csv", in("a.xlsx"), in("b.CSV"), in("c.ods"), "y.csv"}, got)
	_, err = inFolders([]string{empty})
	assert.ErrorContains(t, err, "holds no spreadsheet")
}
