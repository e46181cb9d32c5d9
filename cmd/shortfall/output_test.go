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
	for _, c := range []struct {
		name    string
		outputs []output
		force   bool
		want    string
	}{
		{"new", []output{{"--pdf", at("new.pdf"), no}}, false, ""},
		{"an input", []output{{"--xlsx", input, yes}}, true, "is an input"},
		{"an input by another name", []output{{"--xlsx", at("link.xlsx"), yes}}, true, "is an input"},
		{"our own", []output{{"--pdf", write(t, at("ours.pdf"), ""), yes}}, false, ""},
		{"somebody else's", []output{{"--pdf", write(t, at("theirs.pdf"), ""), no}}, false, "was not made by this command"},
		{"somebody else's, forced", []output{{"--pdf", at("theirs.pdf"), no}}, true, ""},
		{"a folder", []output{{"--pdf", dir, yes}}, true, "not a plain file"},
		{"no folder", []output{{"--pdf", at("none/a.pdf"), yes}}, false, "does not exist"},
		{"the same twice", []output{{"--pdf", at("a"), yes}, {"--json", at("./a"), yes}}, false, "name the same file"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := checkOutputs(c.outputs, []string{input}, c.force)
			if c.want == "" {
				assert.NoError(t, err)
				return
			}
			assert.ErrorContains(t, err, c.want)
			assert.Equal(t, exitUsage, codeOf(err, true))
		})
	}
}
