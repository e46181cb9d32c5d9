package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"strings"

	"shortfall/ingest/store"
)

// Versions from which on less is kept of a sheet: only what parsed, and of its name
// what can be nobody's. Their scripts scrub what older ones kept.
const (
	keepLess     = 5
	sheetNumbers = 10
)

// backUp copies the database beside itself, readable by its owner alone, and
// gives the name of the copy.
func (db *DB) backUp(ctx context.Context, version int) (string, error) {
	base := strings.TrimSuffix(db.abs, filepath.Ext(db.abs))
	for i := 1; ; i++ {
		path := fmt.Sprintf("%s.schema-%d.backup", base, version)
		if i > 1 {
			path = fmt.Sprintf("%s.schema-%d.backup-%d", base, version, i)
		}
		f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
		if errors.Is(err, fs.ErrExist) && i < 1000 {
			continue
		}
		if err != nil {
			return "", db.noBackup(err)
		}
		f.Close()
		// VACUUM INTO takes an empty file that exists
		// (https://www.sqlite.org/lang_vacuum.html, section 4).
		if _, err := db.sql.ExecContext(ctx, "VACUUM INTO ?", path); err != nil {
			os.Remove(path)
			return "", db.noBackup(err)
		}
		return path, errors.Join(syncFile(path), syncFolder(path))
	}
}

func (db *DB) noBackup(err error) error {
	return &store.Error{
		Kind: kindOf(err), Path: db.path, Message: "the database is of an older version, and no copy of it can be made beside it", Err: err,
		Remedy: "Make room and give yourself write permission to the folder, and try again; nothing was changed",
	}
}

// scrubBackup takes out of the copy what older versions kept of sheets beyond
// what is kept today, as the migrations do for the database itself.
func scrubBackup(ctx context.Context, path string, version int) error {
	var script []string
	for _, v := range []int{keepLess, sheetNumbers} {
		if version < v {
			script = append(script, strings.Split(migrations[v-1], ";\n")...)
		}
	}
	if len(script) == 0 {
		return nil
	}
	pool, err := sql.Open("sqlite", dsn(path, []string{"synchronous(extra)"}))
	if err != nil {
		return wrap(path, err)
	}
	defer pool.Close()
	pool.SetMaxOpenConns(1)
	for _, s := range script {
		if version < 2 && (strings.Contains(s, "history") || strings.Contains(s, "rejected") || strings.Contains(s, "problems")) {
			continue
		}
		if _, err := pool.ExecContext(ctx, s); err != nil {
			return wrap(path, err)
		}
	}
	if _, err := pool.ExecContext(ctx, "VACUUM"); err != nil {
		return wrap(path, err)
	}
	return wrap(path, errors.Join(pool.Close(), syncFile(path), syncFolder(path)))
}

// syncFile makes the content of a file last.
func syncFile(path string) error {
	f, err := os.OpenFile(path, os.O_RDWR, 0)
	if err != nil {
		return err
	}
	return errors.Join(f.Sync(), f.Close())
}

// syncFolder makes the name of a file in its folder last: a new file whose
// folder was not synced can be gone after a power cut. Windows has no such call.
func syncFolder(path string) error {
	if runtime.GOOS == "windows" {
		return nil
	}
	d, err := os.Open(filepath.Dir(path))
	if err != nil {
		return err
	}
	return errors.Join(d.Sync(), d.Close())
}
