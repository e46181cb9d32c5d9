package main

import (
	"os"
	"path/filepath"
	"regexp"
	"testing"

	"shortfall/cmd/exit"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A folder stands for its spreadsheets, in the order of their names, where it is named;
// without one it is refused.
func TestFoldersStandForTheirSpreadsheets(t *testing.T) {
	workplace(t)
	require.NoError(t, os.MkdirAll("here/sub", 0o700))
	for i, name := range []string{"x.csv", "here/b.CSV", "here/a.csv", "here/notes.docx", "here/~$a.xlsx", "here/.hidden.csv", "y.csv"} {
		write(t, name, clinicFile(string(rune('A'+i)), 2, float64(i)))
	}
	code, out, errs := shell(t, "shortfall ingest --db clinic.db x.csv here y.csv")
	assert.Equal(t, exit.CodeOK, code, errs)
	out = filepath.ToSlash(out)
	assert.Equal(t, []string{"x.csv", "here/a.csv", "here/b.CSV", "y.csv"}, regexp.MustCompile(`(?m)^\S+(?:csv|CSV|docx|xlsx)`).FindAllString(out, -1), out)
	code, _, errs = shell(t, "shortfall ingest --db clinic.db here/sub")
	assert.Equal(t, exit.CodeUsage, code)
	assert.Contains(t, errs, "holds no spreadsheet")
}
