package sqlite

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/store"
	"shortfall/ingest/store/storetest"
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
	teeth := storetest.Everyday(20, 4)
	path := filepath.Join(mountSmall(t, fmt.Sprintf("size=%dk", storetest.Everyday(2048, 330))), "clinic.db")
	ctx := context.Background()
	db, err := Open(ctx, path)
	require.NoError(t, err)
	defer db.Close()
	storetest.MustImport(t, db, storetest.Practice("small", 20, teeth))
	before := storetest.MustLoad(t, db)
	_, err = db.Import(ctx, other(storetest.Practice("large", 200, teeth)), store.Choices{})
	require.ErrorIs(t, err, store.ErrFull)
	assert.ErrorContains(t, err, "Free some space")
	assert.Equal(t, before, storetest.MustLoad(t, db), "the old records are untouched")
	storetest.MustImport(t, db, other(storetest.Practice("another small one", 22, teeth)))
	require.NoError(t, db.Close())
	assert.Equal(t, 42, casesAt(t, path))
}

// Wherever the disk becomes full in the middle of an import, it is refused whole and leaves
// what was there, or all of it fits.
func TestDiskFullAnywhere(t *testing.T) {
	ctx := context.Background()
	full, fits := 0, 0
	n := storetest.Times(3, 60)
	for i := range n {
		dir := mountSmall(t, fmt.Sprintf("size=%dk", 260+i*storetest.Everyday(1400, 400)/n))
		path := filepath.Join(dir, "clinic.db")
		db, err := Open(ctx, path)
		require.NoError(t, err)
		storetest.MustImport(t, db, storetest.Practice("small", 5, 10))
		before := storetest.MustLoad(t, db)
		_, err = db.Import(ctx, other(storetest.Practice("large", 90, storetest.Everyday(20, 6))), store.Choices{})
		if err == nil {
			fits++
			require.Equal(t, 95, len(storetest.MustLoad(t, db).Cases))
		} else {
			full++
			require.ErrorIs(t, err, store.ErrFull)
			require.Equal(t, before, storetest.MustLoad(t, db), "the old records are untouched")
		}
		require.NoError(t, db.Close())
		require.Equal(t, len(before.Cases), min(len(before.Cases), casesAt(t, path)), "it opens again")
	}
	t.Logf("%d disks became full, %d had room", full, fits)
	assert.Positive(t, full)
}

// A copy for which there is no room leaves nothing; a restore for which there is
// none leaves the database as it was.
func TestDiskFullOfCopies(t *testing.T) {
	ctx := context.Background()
	dir := mountSmall(t, fmt.Sprintf("size=%dk", storetest.Everyday(1500, 520)))
	path, copied := filepath.Join(dir, "clinic.db"), filepath.Join(t.TempDir(), "copy.backup")
	large := practiceAt(t, path, 100)
	practiceAt(t, copied, 110)
	db, err := Open(ctx, path)
	require.NoError(t, err)
	defer db.Close()
	_, err = db.Backup(ctx, filepath.Join(dir, "copy.backup"), nil)
	require.ErrorIs(t, err, store.ErrFull)
	assert.ErrorContains(t, err, "nothing of it was kept")
	assert.ErrorContains(t, err, "another disk")
	_, err = Restore(ctx, copied, path, nil)
	require.ErrorIs(t, err, store.ErrFull)
	assert.Equal(t, []string{"clinic.db"}, listOf(t, dir))
	assert.Equal(t, large, loadAt(t, path))
}

func TestDiskFullOnCreation(t *testing.T) {
	dir := mountSmall(t, "size=8k")
	_, err := Open(context.Background(), filepath.Join(dir, "clinic.db"))
	require.ErrorIs(t, err, store.ErrFull)
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "clinic.db")))
}

func TestReadOnlyFolder(t *testing.T) {
	dir := mountSmall(t, "size=8m")
	path := filepath.Join(dir, "clinic.db")
	ctx := context.Background()
	db, err := Open(ctx, path)
	require.NoError(t, err)
	storetest.MustImport(t, db, storetest.Practice("a", 3, 3))
	require.NoError(t, db.Close())
	require.NoError(t, syscall.Mount("tmpfs", dir, "tmpfs", syscall.MS_REMOUNT|syscall.MS_RDONLY, ""))

	db, err = Open(ctx, path)
	require.NoError(t, err, "reading needs no write permission")
	assert.Len(t, storetest.MustLoad(t, db).Cases, 3)
	_, err = db.Import(ctx, other(storetest.Practice("b", 4, 3)), store.Choices{})
	require.ErrorIs(t, err, store.ErrReadOnly)
	assert.ErrorContains(t, err, "write permission")
	require.NoError(t, db.Close())
	_, err = Open(ctx, filepath.Join(dir, "new.db"))
	require.ErrorIs(t, err, store.ErrCannotOpen)
}

// A folder in which nothing can be made, while the file in it can be written:
// SQLite needs its journal beside the file.
func TestFolderRefusesTheJournal(t *testing.T) {
	dir, err := os.MkdirTemp(disk, "shortfall-folder-") // one in memory has no such mark
	require.NoError(t, err)
	t.Cleanup(func() { os.RemoveAll(dir) })
	path := filepath.Join(dir, "clinic.db")
	db, err := Open(context.Background(), path)
	require.NoError(t, err)
	defer db.Close()
	storetest.MustImport(t, db, storetest.Practice("a", 3, 3))
	if err := exec.Command("chattr", "+i", dir).Run(); err != nil {
		t.Skip("chattr +i is not possible here:", err)
	}
	defer exec.Command("chattr", "-i", dir).Run()
	_, err = db.Import(context.Background(), other(storetest.Practice("b", 4, 3)), store.Choices{})
	require.Error(t, err)
	assert.ErrorIs(t, err, store.ErrCannotOpen)
	assert.Len(t, storetest.MustLoad(t, db).Cases, 3)
}
