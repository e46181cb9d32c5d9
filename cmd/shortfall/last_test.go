package main

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A second audit of an unchanged database answers from the last results: every file
// has the same bytes as when it was computed, and the terminal says so. What changes
// and --no-keep compute.
func TestAuditAgain(t *testing.T) {
	workplace(t)
	shell(t, "shortfall ingest --db clinic.db small.xlsx")
	ends := []string{".pdf", ".json"}
	if os.Getenv("SHORTFALL_LONG") != "" {
		ends = append(ends, ".html", ".xlsx")
	}
	audit := func(name string) (said string, files []string) {
		line := "shortfall audit --db clinic.db"
		for _, end := range ends {
			line += " --" + end[1:] + " " + name + end
		}
		code, out, errs := shell(t, line)
		require.Zero(t, code, errs)
		for _, end := range ends {
			data, err := os.ReadFile(name + end)
			require.NoError(t, err)
			files = append(files, string(data))
		}
		return out, files
	}
	said, first := audit("a")
	assert.NotContains(t, said, "as computed on")
	assert.FileExists(t, "clinic.db.last")
	said, second := audit("b")
	assert.Contains(t, said, "as computed on ")
	for i := range first {
		assert.True(t, first[i] == second[i], i)
	}
	for _, more := range []string{"--no-keep", "--since a.json"} {
		_, said, _ = shell(t, "shortfall audit --db clinic.db --json c.json "+more)
		assert.NotContains(t, said, "as computed on", more)
	}
	code, _, errs := shell(t, "shortfall remove --db clinic.db MQ-003 --erase --reason mistaken")
	require.Zero(t, code, errs)
	assert.NoFileExists(t, "clinic.db.last", "it tells of the erased case")
	shell(t, "shortfall audit --db clinic.db --json c.json --no-keep")
	assert.NoFileExists(t, "clinic.db.last")
}
