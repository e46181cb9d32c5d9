package verb_test

import (
	"errors"
	"io"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/cmd/exit"
	"shortfall/cmd/output"
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

	err := output.Write(t.Context(), &exit.Ending{}, path, func(w io.Writer) error {
		_, _ = io.WriteString(w, "half a")
		return errors.New("the disk is full")
	})
	assert.ErrorContains(t, err, "audit.pdf could not be written (the disk is full)")
	assert.Equal(t, exit.CodeUnreadable, exit.CodeOf(err, true))
	assert.Equal(t, []string{"audit.pdf"}, inside(t, dir), "no temporary file is left")
	kept, _ := os.ReadFile(path)
	assert.Equal(t, "the last audit", string(kept))

	require.NoError(t, output.Write(t.Context(), &exit.Ending{}, path, func(w io.Writer) error { _, err := io.WriteString(w, "new"); return err }))
	replaced, _ := os.ReadFile(path)
	assert.Equal(t, "new", string(replaced))
	info, _ := os.Stat(path)
	assert.Equal(t, os.FileMode(0o600), info.Mode().Perm())
	assert.Equal(t, []string{"audit.pdf"}, inside(t, dir))
}

func TestWriteFileAfterAPanicLeavesNothing(t *testing.T) {
	dir := t.TempDir()
	assert.Panics(t, func() {
		_ = output.Write(t.Context(), &exit.Ending{}, filepath.Join(dir, "a.pdf"), func(io.Writer) error { panic("renderer") })
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
	pdf := func(name string, made func(string) bool) output.File {
		if !filepath.IsAbs(name) {
			name = dir + "/" + name
		}
		return output.File{Flag: "--pdf", Path: name, Ends: []string{".pdf"}, Made: made}
	}
	xlsx := func(path string) output.File {
		return output.File{Flag: "--xlsx", Path: path, Ends: []string{".xlsx"}, Made: yes}
	}
	for _, c := range []struct {
		name    string
		outputs []output.File
		force   bool
		want    string
	}{
		{"new", []output.File{pdf("new.pdf", no)}, false, ""},
		{"an input", []output.File{xlsx(input)}, true, "is an input"},
		{"an input by another name", []output.File{xlsx(at("link.xlsx"))}, true, "is an input"},
		{"our own", []output.File{pdf(put(t, at("ours.pdf"), ""), yes)}, false, ""},
		{"somebody else's", []output.File{pdf(put(t, at("theirs.pdf"), ""), no)}, false, "was not made by this command"},
		{"somebody else's, forced", []output.File{pdf("theirs.pdf", no)}, true, ""},
		{"a folder", []output.File{pdf(".", yes)}, true, "not a plain file"},
		{"no folder", []output.File{pdf("none/a.pdf", yes)}, false, "does not exist"},
		{"the same twice", []output.File{pdf("a.pdf", yes), pdf("./a.pdf", yes)}, false, "name the same file"},
		{"the same twice, through a link to nothing", []output.File{pdf("dangling.pdf", yes), pdf("to-be.pdf", yes)}, false, "name the same file"},
		{"another kind", []output.File{pdf("audit.xlsx", yes)}, true, "does not end in .pdf"},
		{"no kind", []output.File{pdf("audit", yes)}, true, "does not end in .pdf"},
		{"capitals", []output.File{pdf("AUDIT.PDF", yes)}, false, ""},
		{"a device", []output.File{{Flag: "--pdf", Path: os.DevNull, Ends: []string{".pdf"}, Made: no}}, false, ""},
		{"a database not there yet", []output.File{pdf("clinic.pdf", yes)}, true, "is an input"},
		{"what a database keeps beside it", []output.File{{Flag: "--pdf", Path: at("clinic.pdf-wal"), Ends: []string{".pdf-wal"}, Made: yes}}, true, "is an input"},
		{"the same, through a link to nothing", []output.File{pdf("journal.pdf", yes)}, true, "is an input"},
		{"a database not there yet, in a folder by another name", []output.File{pdf("folder/clinic.pdf", yes)}, true, "is an input"},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := output.Check(c.outputs, []string{input, at("clinic.pdf")}, c.force)
			if c.want == "" {
				assert.NoError(t, err)
				return
			}
			assert.ErrorContains(t, err, c.want)
			assert.Equal(t, exit.CodeUsage, exit.CodeOf(err, true))
		})
	}
}
