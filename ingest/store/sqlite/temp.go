package sqlite

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"runtime"
	"sync"
	"time"

	"shortfall/ingest/store"
)

const (
	tempPrefix = "shortfall-records-"
	tempName   = "records.db"
	// tempGrace covers the moments between making a directory and locking the
	// database in it; only an older one can be a leftover.
	tempGrace = time.Minute
)

// OpenTemp makes a database in a private directory, for an audit of
// spreadsheets that keeps nothing. Close removes the directory; one that a
// killed run left behind is removed by the next OpenTemp.
func OpenTemp(ctx context.Context) (*DB, error) {
	removeStale(ctx, os.TempDir(), time.Now())
	dir, err := os.MkdirTemp("", tempPrefix) // mode 0700
	if err != nil {
		return nil, &store.Error{
			Kind: store.CannotOpen, Path: os.TempDir(), Message: "no temporary directory can be made here", Err: err,
			Remedy: "Point TMPDIR (on Windows TMP) to a folder you may write to, or give a database with --db",
		}
	}
	// It dies with the run, so nothing need be safe against a power cut, and
	// the lock that says it is in use is held from the first write to the end.
	db, err := open(ctx, filepath.Join(dir, tempName), []string{
		"locking_mode(exclusive)", "journal_mode(memory)", "synchronous(off)",
	})
	if err != nil {
		return nil, errors.Join(err, os.RemoveAll(dir))
	}
	db.temp = dir
	live.Store(dir, nil)
	return db, nil
}

// live are the private directories of this process.
var live sync.Map

// AbandonTemp removes the private directories of this process while their databases
// may still be open, for a program that is about to be cut off. Where the system keeps
// open files they stay for the next run to remove.
func AbandonTemp() {
	live.Range(func(dir, _ any) bool {
		_ = os.RemoveAll(dir.(string)) // the next run tries again
		return true
	})
}

// removeStale removes directories of killed runs. One that cannot be looked
// into is somebody else's and is left alone.
func removeStale(ctx context.Context, parent string, now time.Time) {
	dirs, err := filepath.Glob(filepath.Join(parent, tempPrefix+"*"))
	if err != nil {
		return
	}
	for _, dir := range dirs {
		info, err := os.Lstat(dir)
		private := err == nil && info.IsDir() && (runtime.GOOS == "windows" || info.Mode().Perm() == 0o700)
		if private && now.Sub(info.ModTime()) > tempGrace && !inUse(ctx, filepath.Join(dir, tempName)) {
			os.RemoveAll(dir)
		}
	}
}

// inUse reports whether another process holds the lock of a temporary database.
func inUse(ctx context.Context, path string) bool {
	if _, err := os.Lstat(path); errors.Is(err, os.ErrNotExist) {
		return false
	}
	db, err := open(ctx, path, []string{"busy_timeout(0)"}, func(db *DB) { db.patience = 0 })
	if err != nil {
		return errors.Is(err, store.ErrLocked)
	}
	db.Close()
	return false
}
