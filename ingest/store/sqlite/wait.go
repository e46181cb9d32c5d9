package sqlite

import (
	"bufio"
	"context"
	"database/sql"
	"errors"
	"fmt"
	"os"
	"strings"
	"time"

	"shortfall/ingest/casebook"
	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
)

// Option of opening a database.
type Option func(*DB)

// OnWait is told for whom the database is waited for, once for each wait that
// is longer than a moment.
func OnWait(say func(text string)) Option { return func(db *DB) { db.say = say } }

// CheckLate puts the look for damage off until records are first read or written, for one who
// asks first whether every byte is as it was (Fingerprint) when an earlier look found none.
func CheckLate() Option { return func(db *DB) { db.late.due = true } }

// How long another process is waited for. SQLite itself waits only a moment at a
// time, so that an interruption is heard; an import that is under way is waited
// for as long as its files still change.
var (
	patience  = 60 * time.Second // without any change
	sayAfter  = 2 * time.Second
	moment    = 250    // ms
	lastWait  = 60_000 // ms, for a commit, which waits for readers alone
	lookAgain = 20 * time.Millisecond
)

// patiently repeats what another process keeps from being done.
func (db *DB) patiently(ctx context.Context, do func() error) error {
	start := time.Now()
	changed, seen, said := start, db.signs(), false
	for {
		err := do()
		if err == nil || !errors.Is(wrap(db.path, err), store.ErrLocked) {
			return err
		}
		now := time.Now()
		if s := db.signs(); s != seen {
			changed, seen = now, s
		}
		if now.Sub(changed) >= db.patience {
			return db.heldUp(err)
		}
		if !said && db.say != nil && now.Sub(start) >= sayAfter {
			said = true
			db.say("waiting for " + db.holder())
		}
		select {
		case <-ctx.Done():
			return ctx.Err()
		case <-time.After(lookAgain):
		}
	}
}

// signs of life of a process that writes: the size and time of the database and
// of its journal.
func (db *DB) signs() string {
	s := ""
	for _, path := range []string{db.abs, db.abs + "-journal"} {
		if info, err := os.Stat(path); err == nil {
			s += fmt.Sprint(info.Size(), info.ModTime().UnixNano(), " ")
		}
	}
	return s
}

func (db *DB) heldUp(err error) error {
	e := store.New(store.Locked, db.path, err)
	e.Message = fmt.Sprintf("the database is held by %s, and nothing has changed in it for %v", db.holder(), db.patience)
	return e
}

// holder names the process that holds a lock of the database, where the system
// tells (Linux: /proc/locks, proc_locks(5)).
func (db *DB) holder() string {
	const unknown = "another program"
	inode, ok := inodeOf(db.abs)
	if !ok {
		return unknown
	}
	f, err := os.Open("/proc/locks")
	if err != nil {
		return unknown
	}
	defer f.Close()
	own := fmt.Sprint(os.Getpid())
	for lines := bufio.NewScanner(f); lines.Scan(); {
		// 1: POSIX ADVISORY WRITE 3568 fd:00:2531452 0 EOF
		w := strings.Fields(lines.Text())
		if len(w) < 6 || !strings.HasSuffix(w[5], ":"+inode) || w[4] == own {
			continue
		}
		name, err := os.ReadFile("/proc/" + w[4] + "/comm")
		if err != nil {
			return "process " + w[4]
		}
		return fmt.Sprintf("process %s (%q)", w[4], strings.TrimSpace(string(name)))
	}
	return unknown
}

// Begin begins a transaction of writing, when its turn comes.
func (db *DB) Begin(ctx context.Context) (*sqlstore.Tx, error) {
	if err := db.checked(ctx); err != nil {
		return nil, err
	}
	var tx *sql.Tx
	err := db.patiently(ctx, func() (err error) {
		if tx, err = db.sql.BeginTx(ctx, nil); err != nil {
			return err
		}
		if _, err = tx.ExecContext(ctx, "PRAGMA "+cacheSize(writingCache)); err != nil {
			tx.Rollback()
		}
		return err
	})
	return &sqlstore.Tx{Tx: tx, Dialect: &dialect{}}, err
}

// Read begins a transaction of reading only: "BEGIN" in place of "BEGIN
// IMMEDIATE", without a lock for writing.
func (db *DB) Read(ctx context.Context) (*sqlstore.Tx, error) {
	if err := db.checked(ctx); err != nil {
		return nil, err
	}
	return db.read(ctx)
}

// read is Read of a file that may be damaged.
func (db *DB) read(ctx context.Context) (*sqlstore.Tx, error) {
	var tx *sql.Tx
	err := db.patiently(ctx, func() (err error) {
		if tx, err = db.sql.BeginTx(ctx, &sql.TxOptions{ReadOnly: true}); err != nil {
			return err
		}
		var n int
		if err := tx.QueryRowContext(ctx, "SELECT count(*) FROM sqlite_schema").Scan(&n); err != nil { // takes the lock
			tx.Rollback()
			return err
		}
		return nil
	})
	return &sqlstore.Tx{Tx: tx, Dialect: &dialect{}}, err
}

// Load is that of Records; the pages that were read through are not held on to
// (https://www.sqlite.org/pragma.html#pragma_shrink_memory).
func (db *DB) Load(ctx context.Context) (*casebook.Dataset, error) {
	ds, err := db.Records.Load(ctx)
	if _, shrunk := db.sql.ExecContext(ctx, "PRAGMA shrink_memory"); err == nil {
		err = db.Wrap(shrunk)
	}
	return ds, err
}

// Purge rewrites the file without what was deleted.
func (db *DB) Purge(ctx context.Context) error {
	_, err := db.sql.ExecContext(ctx, "VACUUM")
	return err
}

// Commit ends a transaction. Readers are waited for inside SQLite: a commit that
// failed could not be repeated through database/sql.
func (db *DB) Commit(ctx context.Context, tx *sqlstore.Tx) error {
	if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA busy_timeout = %d", lastWait)); err != nil {
		return err
	}
	err := tx.Commit()
	_, again := db.sql.ExecContext(context.WithoutCancel(ctx), fmt.Sprintf("PRAGMA busy_timeout = %d", moment))
	if err == nil && again != nil {
		return nil // what was committed stays so
	}
	return err
}
