package main

import (
	"bytes"
	"os"
	"path/filepath"
	"testing"

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
		{[]string{"my cases.xlsx"}, exitOK, "my cases-audit.pdf and ", []string{"my cases-audit.json", "my cases-audit.pdf"}},
		{[]string{"--", "my cases.xlsx"}, exitOK, "my cases-audit.pdf", []string{"my cases-audit.json", "my cases-audit.pdf"}},
		{[]string{"-q", "my cases.xlsx"}, exitOK, "", []string{"my cases-audit.json", "my cases-audit.pdf"}},
		{[]string{"audit", "my cases.xlsx"}, exitOK, "my cases-audit.pdf\n", []string{"my cases-audit.pdf"}},
		{[]string{"audit", "my cases.xlsx", "--json", "r.json"}, exitOK, "r.json", []string{"r.json"}},
		{[]string{"."}, exitOK, "Written: audit.pdf", []string{"audit.json", "audit.pdf"}},
		{[]string{"my cases.xlsx", "--json", "-"}, exitOK, "schema_version", nil},
		{[]string{"none.xlsx"}, exitUnreadable, "there is no such file", nil},
		{[]string{"audt", "--db", "x", "--pdf", "y.pdf"}, exitUsage, `unknown command "audt"; did you mean "audit"?`, nil},
		{[]string{"-q", "inges", "--annotate"}, exitUsage, `did you mean "ingest"?`, nil},
		{[]string{"help", "audt"}, exitUsage, `did you mean "audit"?`, nil},
		{[]string{"help", "audit"}, exitOK, "feature styles", nil},
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

// The name of a person is not written into the name of a report, nor printed.
func TestReportIsNotNamedAfterAPerson(t *testing.T) {
	dir := filepath.Join("a", "b")
	assert.Equal(t, dir+"/", filepath.ToSlash(nameBeside(filepath.Join(dir, "Harriet Thornton.xlsx"))))
	assert.Equal(t, "a/b/cases-", filepath.ToSlash(nameBeside(filepath.Join(dir, "cases.XLSX"))))
	var out bytes.Buffer
	a := &app{summary: &out}
	a.printWritten([]string{"Harriet Thornton.pdf"})
	assert.Equal(t, "Written: (name withheld)\n", out.String())
	out.Reset()
	a.printWritten([]string{"a.pdf\nshortfall: all is well.pdf"})
	assert.Equal(t, "Written: a.pdf\uFFFDshortfall: all is well.pdf\n", out.String())
}
