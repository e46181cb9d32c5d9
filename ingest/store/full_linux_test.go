package store

import (
	"context"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// mountSmall mounts a file system of so many bytes; only root may.
func mountSmall(t *testing.T, options string) string {
	dir := t.TempDir()
	if err := syscall.Mount("tmpfs", dir, "tmpfs", 0, options); err != nil {
		t.Skip("a small file system cannot be mounted here:", err)
	}
	t.Cleanup(func() { assert.NoError(t, syscall.Unmount(dir, 0)) })
	return dir
}

func TestDiskFull(t *testing.T) {
	path := filepath.Join(mountSmall(t, "size=2m"), "clinic.db")
	ctx := context.Background()
	db, err := Open(ctx, path)
	require.NoError(t, err)
	defer db.Close()
	mustImport(t, db, practice("small", 20, 20))
	before := mustLoad(t, db)
	_, err = db.Import(ctx, practice("large", 400, 20), Choices{})
	require.ErrorIs(t, err, ErrFull)
	assert.ErrorContains(t, err, "Free some space")
	assert.Equal(t, before, mustLoad(t, db), "the old records are untouched")
	mustImport(t, db, practice("another small one", 22, 20))
	require.NoError(t, db.Close())
	assert.Equal(t, 22, stateOf(t, path).cases)
}

func TestDiskFullOnCreation(t *testing.T) {
	dir := mountSmall(t, "size=8k")
	_, err := Open(context.Background(), filepath.Join(dir, "clinic.db"))
	require.ErrorIs(t, err, ErrFull)
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "clinic.db")))
}

func TestReadOnlyFolder(t *testing.T) {
	dir := mountSmall(t, "size=8m")
	path := filepath.Join(dir, "clinic.db")
	ctx := context.Background()
	db, err := Open(ctx, path)
	require.NoError(t, err)
	mustImport(t, db, practice("a", 3, 3))
	require.NoError(t, db.Close())
	require.NoError(t, syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))

	db, err = Open(ctx, path)
	require.NoError(t, err, "reading needs no write permission")
	assert.Len(t, mustLoad(t, db).Cases, 3)
	_, err = db.Import(ctx, practice("b", 4, 3), Choices{})
	require.ErrorIs(t, err, ErrReadOnly)
	assert.ErrorContains(t, err, "write permission")
	require.NoError(t, db.Close())
	_, err = Open(ctx, filepath.Join(dir, "new.db"))
	require.ErrorIs(t, err, ErrCannotOpen)
}

// A folder in which nothing can be made, while the file in it can be written:
// SQLite needs its journal beside the file.
func TestFolderRefusesTheJournal(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "clinic.db")
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	mustImport(t, db, practice("a", 3, 3))
	if err := exec.Command("chattr", "+i", dir).Run(); err != nil {
		t.Skip("chattr +i is not possible here:", err)
	}
	defer exec.Command("chattr", "-i", dir).Run()
	_, err = db.Import(context.Background(), practice("b", 4, 3), Choices{})
	require.Error(t, err)
	assert.ErrorIs(t, err, ErrCannotOpen)
	assert.Len(t, mustLoad(t, db).Cases, 3)
}
