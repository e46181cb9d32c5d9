package layout_test

import (
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/scratch"
)

func text(s string) func(io.Writer) error {
	return func(w io.Writer) error { _, err := io.WriteString(w, s); return err }
}

func content(t *testing.T, path string) string {
	t.Helper()
	b, err := os.ReadFile(path)
	require.NoError(t, err)
	return string(b)
}

func TestCreateNeverReplaces(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	require.NoError(t, scratch.Create(path, text("one")))
	assert.ErrorIs(t, scratch.Create(path, text("two")), fs.ErrExist)
	assert.Equal(t, "one", content(t, path))
	assert.Equal(t, 1, entries(t, dir))
	if runtime.GOOS != "windows" {
		info, err := os.Stat(path)
		require.NoError(t, err)
		assert.Equal(t, fs.FileMode(0o600), info.Mode().Perm())
	}
}

func entries(t *testing.T, dir string) int {
	list, err := os.ReadDir(dir)
	require.NoError(t, err)
	return len(list)
}

func TestReplaceIsWholeOrNothing(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "a")
	require.NoError(t, scratch.Replace(path, text("one")))
	broken := errors.New("the disk is full")
	assert.ErrorIs(t, scratch.Replace(path, func(w io.Writer) error { _, _ = io.WriteString(w, "tw"); return broken }), broken)
	assert.Equal(t, "one", content(t, path))
	assert.Panics(t, func() { _ = scratch.Replace(path, func(io.Writer) error { panic("x") }) })
	assert.Equal(t, "one", content(t, path))
	assert.Equal(t, 1, entries(t, dir))
}

// The files of a Set get their names together, whatever the last of them meets.
func TestSetIsPlacedWholeOrNotAtAll(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	stage := func(s *scratch.Set) {
		t.Helper()
		s.Folder(at("new"))
		require.NoError(t, s.Replace(at("old"), text("two")))
		require.NoError(t, s.Create(at("fresh"), text("two")))
		require.NoError(t, s.Replace(at("new/a"), text("two")))
		require.NoError(t, s.Create(at("last"), text("two")))
	}
	require.NoError(t, scratch.Replace(at("old"), text("one")))
	var s scratch.Set
	stage(&s)
	require.NoError(t, os.WriteFile(at("last"), []byte("of somebody else"), 0o600))
	failed, err := s.Place()
	assert.ErrorIs(t, err, fs.ErrExist)
	assert.Equal(t, at("last"), failed)
	assert.Equal(t, "one", content(t, at("old")))
	assert.Equal(t, "of somebody else", content(t, at("last")))
	assert.Equal(t, 2, entries(t, dir), "neither new files, nor the new folder, nor anything private")

	require.NoError(t, os.Remove(at("last")))
	stage(&s)
	s.Drop()
	assert.Equal(t, 1, entries(t, dir))
	stage(&s)
	assert.Equal(t, "one", content(t, at("old")))
	_, err = s.Place()
	require.NoError(t, err)
	for _, name := range []string{"old", "fresh", "new/a", "last"} {
		assert.Equal(t, "two", content(t, at(name)), name)
	}
	assert.Equal(t, 4, entries(t, dir))
	assert.Error(t, scratch.Create(at("none/a"), text("one")), "a folder that was not named is not made")
}

func TestLinksAreWrittenThrough(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "d"), 0o700))
	target, link := filepath.Join(dir, "d", "real"), filepath.Join(dir, "link")
	if err := os.Symlink(filepath.Join("d", "real"), link); err != nil {
		t.Skip("no symbolic links here")
	}
	require.NoError(t, scratch.Replace(link, text("one"))) // dangling
	assert.Equal(t, "one", content(t, target))
	require.NoError(t, scratch.Replace(link, text("two")))
	assert.Equal(t, "two", content(t, target))
	info, err := os.Lstat(link)
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&fs.ModeSymlink)
	round := filepath.Join(dir, "round")
	require.NoError(t, os.Symlink("round", round))
	assert.Error(t, scratch.Replace(round, text("x")))
}

func TestDeviceIsWrittenThrough(t *testing.T) {
	if _, err := os.Stat("/dev/full"); err != nil {
		t.Skip("no such device here")
	}
	assert.NoError(t, scratch.Replace("/dev/null", text("x")))
	assert.Error(t, scratch.Replace("/dev/full", text("x")))
	info, err := os.Stat("/dev/null")
	require.NoError(t, err)
	assert.NotZero(t, info.Mode()&fs.ModeDevice)
}

// A folder in use stays; one whose run has ended goes, whatever characters are
// in the path.
func TestLeftoversAreRemoved(t *testing.T) {
	parent := filepath.Join(t.TempDir(), "q[1]*")
	if err := os.Mkdir(parent, 0o700); err != nil {
		t.Skip("no such names here")
	}
	used, release, err := scratch.Folder(parent)
	require.NoError(t, err)
	defer release()
	dead, _, err := scratch.Folder(parent)
	require.NoError(t, err)
	// What a kill leaves: the lock file without its lock.
	require.NoError(t, os.Remove(filepath.Join(dead, scratch.LockName)))
	require.NoError(t, os.WriteFile(filepath.Join(dead, scratch.LockName), nil, 0o600))
	bare := filepath.Join(parent, scratch.Prefix+"bare")
	require.NoError(t, os.Mkdir(bare, 0o700))
	fresh := filepath.Join(parent, scratch.Prefix+"fresh")
	require.NoError(t, os.Mkdir(fresh, 0o700))
	old := time.Now().Add(-2 * scratch.Grace)
	require.NoError(t, os.Chtimes(bare, old, old))
	scratch.Clean(parent)
	assert.DirExists(t, used)
	assert.DirExists(t, fresh, "it may be about to be locked")
	assert.NoDirExists(t, dead)
	assert.NoDirExists(t, bare)
}

// A run that is cut off takes with it what it has not put in place, and nothing else.
func TestAbandonedFoldersAreRemoved(t *testing.T) {
	parent := t.TempDir()
	dir, release, err := scratch.Folder(parent)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "file"), []byte("half"), 0o600))
	require.NoError(t, os.WriteFile(filepath.Join(parent, "whole"), nil, 0o600))
	scratch.Abandon()
	assert.NoDirExists(t, dir)
	assert.FileExists(t, filepath.Join(parent, "whole"))
	release()
}

// A file that the system makes up says that it is empty, and can wait for ever.
func TestMadeUpFilesAreEmpty(t *testing.T) {
	const log = "/proc/kmsg"
	if _, err := os.Stat(log); err != nil {
		t.Skip("no ", log)
	}
	data, err := scratch.Read(log, 1<<20)
	assert.NoError(t, err)
	assert.Empty(t, data)
}
