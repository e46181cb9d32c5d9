package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func write(t *testing.T, path, text string) string {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

// names lists a folder, hidden files too.
func names(t *testing.T, dir string) []string {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	var out []string
	for _, e := range entries {
		out = append(out, e.Name())
	}
	return out
}

func TestWriteFileIsAllOrNothing(t *testing.T) {
	dir := t.TempDir()
	path := write(t, filepath.Join(dir, "audit.pdf"), "the last audit")

	err := writeFile(path, func(w io.Writer) error {
		_, _ = io.WriteString(w, "half a")
		return errors.New("the disk is full")
	})
	assert.ErrorContains(t, err, "audit.pdf could not be written (the disk is full)")
	assert.Equal(t, exitUnreadable, codeOf(err, true))
	assert.Equal(t, []string{"audit.pdf"}, names(t, dir), "no temporary file is left")
	kept, _ := os.ReadFile(path)
	assert.Equal(t, "the last audit", string(kept))

	require.NoError(t, writeFile(path, func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err }))
	replaced, _ := os.ReadFile(path)
	assert.Equal(t, "new", string(replaced))
	info, _ := os.Stat(path)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	assert.Equal(t, []string{"audit.pdf"}, names(t, dir))
}

func TestWriteFileAfterAPanicLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	assert.Panics(t, func() {
		_ = writeFile(filepath.Join(dir, "a.pdf"), func(io.Writer) error { panic("renderer") })
	})
	assert.Empty(t, names(t, dir))
}

func TestOutputsThatMustNotBeReplaced(t *testing.T) {
	dir := t.TempDir()
	input := write(t, filepath.Join(dir, "cases.xlsx"), "cases")
	require.NoError(t, os.Symlink(input, filepath.Join(dir, "link.xlsx")))
	yes, no := func(string) bool { return true }, func(string) bool { return false }
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.Symlink(at("clinic.pdf-journal"), at("journal.pdf")))
	require.NoError(t, os.Symlink(at("to-be.pdf"), at("dangling.pdf")))
	require.NoError(t, os.Symlink(dir, at("folder")))
	pdf := func(name string, made func(string) bool) output {
		if !filepath.IsAbs(name) {
			name = dir + "/" + name
		}
		return output{"--pdf", name, []string{".pdf"}, made}
	}
	xlsx := func(path string) output { return output{"--xlsx", path, []string{".xlsx"}, yes} }
	for _, c := range []struct {
		name    string
		outputs []output
		force   bool
		want    string
	}{
		{"new", []output{pdf("new.pdf", no)}, false, ""},
		{"an input", []output{xlsx(input)}, true, "is an input"},
		{"an input by another name", []output{xlsx(at("link.xlsx"))}, true, "is an input"},
		{"our own", []output{pdf(write(t, at("ours.pdf"), ""), yes)}, false, ""},
		{"somebody else's", []output{pdf(write(t, at("theirs.pdf"), ""), no)}, false, "was not made by this command"},
		{"somebody else's, forced", []output{pdf("theirs.pdf", no)}, true, ""},
		{"a folder", []output{pdf(".", yes)}, true, "not a plain file"},
		{"no folder", []output{pdf("none/a.pdf", yes)}, false, "does not exist"},
		{"the same twice", []output{pdf("a.pdf", yes), pdf("./a.pdf", yes)}, false, "name the same file"},
		{"the same twice, through a link to nothing", []output{pdf("dangling.pdf", yes), pdf("to-be.pdf", yes)}, false, "name the same file"},
		{"another kind", []output{pdf("audit.xlsx", yes)}, true, "does not end in .pdf"},
		{"no kind", []output{pdf("audit", yes)}, true, "does not end in .pdf"},
		{"capitals", []output{pdf("AUDIT.PDF", yes)}, false, ""},
		{"a device", []output{{"--pdf", os.DevNull, []string{".pdf"}, no}}, false, ""},
		{"a database not there yet", []output{pdf("clinic.pdf", yes)}, true, "is an input"},
		{"what a database keeps beside it", []output{{"--pdf", at("clinic.pdf-wal"), []string{".pdf-wal"}, yes}}, true, "is an input"},
		{"the same, through a link to nothing", []output{pdf("journal.pdf", yes)}, true, "is an input"},
		{"a database not there yet, in a folder by another name", []output{pdf("folder/clinic.pdf", yes)}, true, "is an input"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := checkOutputs(c.outputs, []string{input, at("clinic.pdf")}, c.force)
			if c.want == "" {
				assert.NoError(t, err)
				return
			}
			assert.ErrorContains(t, err, c.want)
			assert.Equal(t, exitUsage, codeOf(err, true))
		})
	}
}
