package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

	"shortfall/cmd/exit"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A spreadsheet without a verb is audited; the outputs stand beside it under its name. A
// word that is neither is a mistyped verb, whatever follows it.
func TestSpreadsheetWithoutAVerb(t *testing.T) {
	sample, err := os.ReadFile(filepath.Join("..", "..", "ingest", "testdata", "files", "op-clean.xlsx"))
	require.NoError(t, err)
	for _, c := range []struct {
		args []string
		code int
		said string
		made []string
	}{
		{[]string{"my cases.xlsx"}, exit.CodeOK, "my cases-audit.pdf and ", []string{"my cases-audit.json", "my cases-audit.pdf"}},
		{[]string{"--", "my cases.xlsx"}, exit.CodeOK, "my cases-audit.pdf", []string{"my cases-audit.json", "my cases-audit.pdf"}},
		{[]string{"-q", "my cases.xlsx"}, exit.CodeOK, "", []string{"my cases-audit.json", "my cases-audit.pdf"}},
		{[]string{"audit", "my cases.xlsx"}, exit.CodeOK, "my cases-audit.pdf\n", []string{"my cases-audit.pdf"}},
		{[]string{"audit", "my cases.xlsx", "--json", "r.json"}, exit.CodeOK, "r.json", []string{"r.json"}},
		{[]string{"."}, exit.CodeOK, "Written: audit.pdf", []string{"audit.json", "audit.pdf"}},
		{[]string{"my cases.xlsx", "--json", "-"}, exit.CodeOK, "schema_version", nil},
		{[]string{"none.xlsx"}, exit.CodeUnreadable, "there is no such file", nil},
		{[]string{"audt", "--db", "x", "--pdf", "y.pdf"}, exit.CodeUsage, `unknown command "audt"; did you mean "audit"?`, nil},
		{[]string{"-q", "inges", "--annotate"}, exit.CodeUsage, `did you mean "ingest"?`, nil},
		{[]string{"help", "audt"}, exit.CodeUsage, `did you mean "audit"?`, nil},
		{[]string{"help", "audit"}, exit.CodeOK, "attachment styles", nil},
	} {
		dir := t.TempDir()
		t.Chdir(dir)
		require.NoError(t, os.WriteFile("my cases.xlsx", sample, 0o600))
		var out bytes.Buffer
		code := run(t.Context(), c.args, &bytes.Buffer{}, &out, &out)
		assert.Equal(t, c.code, code, "%v: %s", c.args, out.String())
		assert.Contains(t, out.String(), c.said, "%v", c.args)
		entries, err := os.ReadDir(".")
		require.NoError(t, err)
		var made []string
		for _, e := range entries {
			if e.Name() != "my cases.xlsx" {
				made = append(made, e.Name())
			}
		}
		assert.Equal(t, c.made, made, "%v", c.args)
	}
}
