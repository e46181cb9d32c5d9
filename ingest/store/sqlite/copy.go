package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"net/url"
	"os"
	"path/filepath"

	driver "modernc.org/sqlite"

	"shortfall/ingest/scratch"
	"shortfall/ingest/store"
)

// pagesAtOnce of a copy, between two looks at the context.
const pagesAtOnce = 512

// counts are the rows of every table.
type counts map[string]int

// Backup writes a copy of the database, as it stands at one moment, to a new file
// that its owner alone can read; a file that exists is never replaced
// (fs.ErrExist). The copy is made by SQLite's online backup
// (https://www.sqlite.org/backup.html) and read back before it gets its name: it
// must be whole and have every row of every table. Other programs may read and
// open the database meanwhile; what they want to write waits.
func (db *DB) Backup(ctx context.Context, path string, progress store.Progress) (made store.Copy, err error) {
	err = scratch.Build(path, func(file string) error {
		want, err := db.copyTo(ctx, file, progress)
		if err == nil {
			made, err = readBack(ctx, file, want)
		}
		return err
	})
	made.Path = path
	return made, copyFailed(path, err)
}

// copyFailed names the copy and not the private file it was made in.
func copyFailed(path string, err error) error {
	var own *store.Error
	switch {
	case err == nil, errors.Is(err, context.Canceled), errors.Is(err, context.DeadlineExceeded):
		return err
	case errors.As(err, &own) && own.Kind != store.Full:
		return err
	}
	e := &store.Error{Kind: kindOf(err), Path: path, Message: "the copy could not be made, and nothing of it was kept", Err: err}
	switch {
	case errors.Is(err, fs.ErrExist):
		e.Message, e.Err, e.Remedy = "there is a file of this name, and a copy never replaces one", fs.ErrExist, "Name a file that does not exist yet"
	case own != nil:
		e.Kind, e.Err, e.Remedy = own.Kind, own.Err, "Free some space, or name a folder on another disk"
	default:
		e.Remedy = "Name a file in a folder that exists, has room and may be written to"
	}
	return e
}

// copyTo fills an empty file with the database and gives the rows it must have.
func (db *DB) copyTo(ctx context.Context, file string, progress store.Progress) (want counts, err error) {
	abs, err := filepath.Abs(file)
	if err != nil {
		return nil, err
	}
	if err := db.checked(ctx); err != nil {
		return nil, wrap(db.path, err)
	}
	conn, err := db.sql.Conn(ctx)
	if err != nil {
		return nil, wrap(db.path, err)
	}
	defer conn.Close()
	// One moment for counts and pages: a transaction of reading that stays open.
	err = db.patiently(ctx, func() error {
		if _, err := conn.ExecContext(ctx, "BEGIN"); err != nil {
			return err
		}
		if want, err = rowCounts(ctx, conn); err != nil {
			conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
		}
		return err
	})
	if err != nil {
		return nil, wrap(db.path, err)
	}
	defer conn.ExecContext(context.WithoutCancel(ctx), "ROLLBACK")
	// The file dies with a run that is cut off and is synced when it is whole.
	target := uri(abs, url.Values{"_pragma": {"journal_mode(memory)", "synchronous(off)"}})
	err = conn.Raw(func(c any) error {
		b, err := c.(interface {
			NewBackup(string) (*driver.Backup, error)
		}).NewBackup(target)
		if err != nil {
			return err
		}
		return errors.Join(db.step(ctx, b, progress), b.Finish())
	})
	return want, wrap(db.path, err)
}

// step copies page after page.
func (db *DB) step(ctx context.Context, b *driver.Backup, progress store.Progress) error {
	for {
		more := false
		// A page that another program locks is asked for again
		// (https://www.sqlite.org/c3ref/backup_finish.html#sqlite3backupstep).
		err := db.patiently(ctx, func() (err error) {
			more, err = b.Step(pagesAtOnce)
			return err
		})
		if err != nil {
			return err
		}
		if progress != nil {
			progress(b.PageCount()-b.Remaining(), b.PageCount())
		}
		if !more {
			return nil
		}
		if err := ctx.Err(); err != nil {
			return err
		}
	}
}

// rowCounts counts the rows of every table as of one moment.
func rowCounts(ctx context.Context, q interface {
	querier
	QueryRowContext(ctx context.Context, query string, args ...any) *sql.Row
},
) (counts, error) {
	objects, err := objectsOf(ctx, q)
	if err != nil {
		return nil, err
	}
	out := counts{}
	for _, o := range objects {
		if o.kind != "table" {
			continue
		}
		var n int
		if err := q.QueryRowContext(ctx, fmt.Sprintf("SELECT count(*) FROM %q", o.name)).Scan(&n); err != nil {
			return nil, err
		}
		out[o.name] = n
	}
	return out, nil
}

// readBack opens a copy, checks it page by page and counts its rows; want nil
// accepts any number of them.
func readBack(ctx context.Context, path string, want counts) (store.Copy, error) {
	db, err := openToRead(ctx, path)
	if err != nil {
		return store.Copy{}, err
	}
	defer db.Close()
	var first string
	// https://www.sqlite.org/pragma.html#pragma_integrity_check
	if err := db.sql.QueryRowContext(ctx, "PRAGMA integrity_check(1)").Scan(&first); err != nil {
		return store.Copy{}, wrap(path, err)
	}
	if first != "ok" {
		return store.Copy{}, store.New(store.Damaged, path, errors.New(first))
	}
	got, err := rowCounts(ctx, db.sql)
	if err != nil {
		return store.Copy{}, wrap(path, err)
	}
	if want != nil && !maps.Equal(want, got) {
		e := store.New(store.Damaged, path, errors.New("the copy does not have the rows of the database"))
		e.Remedy = "Check the disk and make the copy again; nothing was changed"
		return store.Copy{}, e
	}
	info, err := os.Stat(path)
	if err != nil {
		return store.Copy{}, wrap(path, err)
	}
	return store.Copy{Path: path, Cases: got["cases"], Movements: got["movements"], Bytes: info.Size()}, nil
}

// openToRead opens a database of ours, of this version or an older one, and
// changes nothing of it.
func openToRead(ctx context.Context, path string) (*DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, wrap(path, err)
	}
	info, err := os.Stat(abs)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, &store.Error{Kind: store.CannotOpen, Path: path, Message: "there is no such file", Remedy: "Correct the name of the copy"}
	case err != nil:
		return nil, store.New(store.CannotOpen, path, errors.Unwrap(err))
	case !info.Mode().IsRegular():
		return nil, store.New(store.CannotOpen, path, errors.New("this is no plain file"))
	case info.Size() < smallestPage:
		return nil, store.New(store.NotDatabase, path, nil)
	}
	pool, err := sql.Open("sqlite", dsn(abs, nil)+"&mode=ro")
	if err != nil {
		return nil, wrap(path, err)
	}
	pool.SetMaxOpenConns(1)
	db := &DB{sql: pool, path: path, abs: abs, patience: patience}
	version := 0
	err = db.patiently(ctx, func() (err error) {
		version, err = db.recognise(ctx)
		return err
	})
	if err == nil && version == 0 {
		err = store.New(store.NotDatabase, path, errors.New("it is empty"))
	}
	if err != nil {
		pool.Close()
		return nil, wrap(path, err)
	}
	return db, nil
}

// freeName is the first of base.what.backup, base.what.backup-2 ... that is not taken.
func freeName(database, what string) string {
	base := database[:len(database)-len(filepath.Ext(database))] + "." + what + ".backup"
	name := base
	for i := 2; ; i++ {
		if _, err := os.Lstat(name); errors.Is(err, fs.ErrNotExist) || i > 1000 {
			return name
		}
		name = fmt.Sprintf("%s-%d", base, i)
	}
}
