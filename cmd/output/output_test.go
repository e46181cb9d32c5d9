package output

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"shortfall/cmd/exit"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func put(t *testing.T, path, text string) string {
	t.Helper()
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

// inside lists a folder, hidden files too.
func inside(t *testing.T, dir string) (names []string) {
	t.Helper()
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	for _, e := range entries {
		names = append(names, e.Name())
	}
	return names
}

func TestWriteFileIsAllOrNothing(t *testing.T) {
	dir := t.TempDir()
	path := put(t, filepath.Join(dir, "audit.pdf"), "the last audit")

	err := Write(t.Context(), &exit.Ending{}, path, func(w io.Writer) error {
		_, _ = io.WriteString(w, "half a")
		return errors.New("the disk is full")
	})
	assert.ErrorContains(t, err, "audit.pdf could not be written (the disk is full)")
	assert.Equal(t, exit.CodeUnreadable, exit.CodeOf(err, true))
	assert.Equal(t, []string{"audit.pdf"}, inside(t, dir), "no temporary file is left")
	kept, _ := os.ReadFile(path)
	assert.Equal(t, "the last audit", string(kept))

	require.NoError(t, Write(t.Context(), &exit.Ending{}, path, func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err }))
	replaced, _ := os.ReadFile(path)
	assert.Equal(t, "new", string(replaced))
	info, _ := os.Stat(path)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	assert.Equal(t, []string{"audit.pdf"}, inside(t, dir))
}

func TestWriteFileAfterAPanicLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	assert.Panics(t, func() {
		_ = Write(t.Context(), &exit.Ending{}, filepath.Join(dir, "a.pdf"), func(io.Writer) error { panic("renderer") })
	})
	assert.Empty(t, inside(t, dir))
}

func TestOutputsThatMustNotBeReplaced(t *testing.T) {
	dir := t.TempDir()
	input := put(t, filepath.Join(dir, "cases.xlsx"), "cases")
	require.NoError(t, os.Symlink(input, filepath.Join(dir, "link.xlsx")))
	yes, no := func(string) bool { return true }, func(string) bool { return false }
	at := func(name string) string { return filepath.Join(dir, name) }
	require.NoError(t, os.Symlink(at("clinic.pdf-journal"), at("journal.pdf")))
	require.NoError(t, os.Symlink(at("to-be.pdf"), at("dangling.pdf")))
	require.NoError(t, os.Symlink(dir, at("folder")))
	pdf := func(name string, made func(string) bool) File {
		if !filepath.IsAbs(name) {
			name = dir + "/" + name
		}
		return File{Flag: "--pdf", Path: name, Ends: []string{".pdf"}, Made: made}
	}
	xlsx := func(path string) File { return File{Flag: "--xlsx", Path: path, Ends: []string{".xlsx"}, Made: yes} }
	for _, c := range []struct {
		name    string
		outputs []File
		force   bool
		want    string
	}{
		{"new", []File{pdf("new.pdf", no)}, false, ""},
		{"an input", []File{xlsx(input)}, true, "is an input"},
		{"an input by another name", []File{xlsx(at("link.xlsx"))}, true, "is an input"},
		{"our own", []File{pdf(put(t, at("ours.pdf"), ""), yes)}, false, ""},
		{"somebody else's", []File{pdf(put(t, at("theirs.pdf"), ""), no)}, false, "was not made by this command"},
		{"somebody else's, forced", []File{pdf("theirs.pdf", no)}, true, ""},
		{"a folder", []File{pdf(".", yes)}, true, "not a plain file"},
		{"no folder", []File{pdf("none/a.pdf", yes)}, false, "does not exist"},
		{"the same twice", []File{pdf("a.pdf", yes), pdf("./a.pdf", yes)}, false, "name the same file"},
		{"the same twice, through a link to nothing", []File{pdf("dangling.pdf", yes), pdf("to-be.pdf", yes)}, false, "name the same file"},
		{"another kind", []File{pdf("audit.xlsx", yes)}, true, "does not end in .pdf"},
		{"no kind", []File{pdf("audit", yes)}, true, "does not end in .pdf"},
		{"capitals", []File{pdf("AUDIT.PDF", yes)}, false, ""},
		{"a device", []File{{Flag: "--pdf", Path: os.DevNull, Ends: []string{".pdf"}, Made: no}}, false, ""},
		{"a database not there yet", []File{pdf("clinic.pdf", yes)}, true, "is an input"},
		{"what a database keeps beside it", []File{{Flag: "--pdf", Path: at("clinic.pdf-wal"), Ends: []string{".pdf-wal"}, Made: yes}}, true, "is an input"},
		{"the same, through a link to nothing", []File{pdf("journal.pdf", yes)}, true, "is an input"},
		{"a database not there yet, in a folder by another name", []File{pdf("folder/clinic.pdf", yes)}, true, "is an input"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := Check(c.outputs, []string{input, at("clinic.pdf")}, c.force)
			if c.want == "" {
				assert.NoError(t, err)
				return
			}
			assert.ErrorContains(t, err, c.want)
			assert.Equal(t, exit.CodeUsage, exit.CodeOf(err, true))
		})
	}
}
