// Package sqlite keeps the records of a practice in one SQLite file.
//
// Place in the pipeline: an implementation of store.Store, by the statements of
// sqlstore. The schema, with its checks, is in migrations/.
//
// The file keeps SQLite's rollback journal rather than a write-ahead log: a
// practice copies the file about and keeps it in shared folders, where a
// write-ahead log needs shared memory that such folders do not offer
// (https://www.sqlite.org/wal.html, "Overview"). While a DB is open this
// process must not open the same file by other means: closing it would drop
// SQLite's locks (https://www.sqlite.org/howtocorrupt.html, section 2.2).
package sqlite

import (
	"context"
	"database/sql"
	"errors"
	"fmt"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"time"

	_ "modernc.org/sqlite" // the driver, "sqlite"

	"shortfall/ingest/store"
	"shortfall/ingest/store/sqlstore"
)

// DB is an open database. It may be used from several goroutines; imports run
// one after another.
type DB struct {
	sqlstore.Records
	sql      *sql.DB
	path     string // as given
	abs      string
	notices  []string
	patience time.Duration
	say      func(string) // told for whom the database is waited for
	late     looking
}

// looking is a look for damage that is still to come.
type looking struct {
	sync.Mutex
	due bool
}

var (
	_ store.Store     = (*DB)(nil)
	_ store.Copier    = (*DB)(nil)
	_ sqlstore.Engine = (*DB)(nil)
)

// Open opens the database at path, or creates one readable by its owner alone,
// and brings it to the newest schema. Before anything is written the file is
// checked for damage and for being ours. The error is a *store.Error.
func Open(ctx context.Context, path string, options ...Option) (*DB, error) {
	return open(ctx, path, []string{"synchronous(extra)"}, options...)
}

// open adds pragmas, in SQLite's own syntax, to those of every database.
func open(ctx context.Context, path string, pragmas []string, options ...Option) (*DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, wrap(path, err)
	}
	if err := createPrivate(abs); err != nil {
		return nil, &store.Error{
			Kind: store.CannotOpen, Path: path, Message: "the database cannot be created here",
			Remedy: "Name a folder that exists and that you may write to", Err: err,
		}
	}
	if info, err := os.Stat(abs); err == nil && !info.Mode().IsRegular() { // a device would be written over
		return nil, store.New(store.CannotOpen, path, errors.New("this is no plain file"))
	}
	// SQLite takes a file shorter than a page for an empty database and would
	// write over it.
	if info, err := os.Stat(abs); err == nil && info.Mode().IsRegular() && info.Size() > 0 && info.Size() < smallestPage {
		return nil, store.New(store.NotDatabase, path, nil)
	}
	pool, err := sql.Open("sqlite", dsn(abs, pragmas))
	if err != nil {
		return nil, wrap(path, err)
	}
	// One connection: a second one of this process could only wait for the first.
	pool.SetMaxOpenConns(1)
	db := &DB{sql: pool, path: path, abs: abs, patience: patience}
	db.Records = sqlstore.Records{Engine: db}
	for _, o := range options {
		o(db)
	}
	if err := db.prepare(ctx); err != nil {
		pool.Close()
		return nil, wrap(path, err)
	}
	return db, nil
}

// createPrivate makes an empty file of mode 0600 where there is none. SQLite
// would make it readable by all, and gives its journal the mode of the file. An
// empty file that is there, readable by others, is made private: everything that
// goes into it will be ours.
func createPrivate(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return makePrivate(path)
	}
	if err != nil {
		return err
	}
	return errors.Join(f.Close(), syncFolder(path))
}

func makePrivate(path string) error {
	info, err := os.Stat(path)
	if err != nil || runtime.GOOS == "windows" || !info.Mode().IsRegular() || info.Size() > 0 || info.Mode().Perm()&0o077 == 0 {
		return nil // what is wrong with it, if anything, opening will say
	}
	return os.Chmod(path, 0o600)
}

// dsn names the file as a URI, so that "?", "#" and "%" in its name are taken
// literally, with the settings of every connection.
func dsn(abs string, pragmas []string) string {
	return uri(abs, settings(pragmas))
}

// settings of every connection, with further pragmas.
func settings(pragmas []string) url.Values {
	return url.Values{
		"_txlock":       {"immediate"},
		"_foreign_keys": {"1"},
		"_busy_timeout": {fmt.Sprint(moment)},
		"_dqs":          {"0"},
		"_defensive":    {"1"},
		"_pragma": append([]string{
			"trusted_schema(0)", "cell_size_check(1)",
			"temp_store(2)", // sorting never spills records to a temporary file
			cacheSize(readingCache),
		}, pragmas...),
	}
}

// KiB of pages that a connection holds. Records are read and written in the order of their keys,
// so that a page is seldom wanted again; a transaction that writes holds what it changed, and
// every page is given back to the system by itself in the end (BenchmarkOpen, BenchmarkImport).
const (
	readingCache = 2 << 10
	writingCache = 16 << 10
)

func cacheSize(kib int) string { return fmt.Sprintf("cache_size(-%d)", kib) }

func uri(abs string, settings url.Values) string {
	slashed := filepath.ToSlash(abs)
	if !strings.HasPrefix(slashed, "/") { // a Windows drive letter
		slashed = "/" + slashed
	}
	u := url.URL{Scheme: "file", Path: slashed, RawQuery: settings.Encode()}
	return u.String()
}

// smallestPage of a database, in bytes (https://www.sqlite.org/fileformat.html#page_size).
const smallestPage = 512

// prepare checks the file and migrates it.
func (db *DB) prepare(ctx context.Context) error {
	version := 0
	err := db.patiently(ctx, func() (err error) {
		version, err = db.recognise(ctx)
		return err
	})
	if err != nil {
		return err
	}
	if version != len(migrations) { // it is written to at once
		db.late.due = false
	}
	if !db.late.due {
		if err := db.patiently(ctx, func() error { return db.check(ctx) }); err != nil {
			return err
		}
	}
	return db.upgrade(ctx, version)
}

// checked makes sure that the look for damage came.
func (db *DB) checked(ctx context.Context) error {
	db.late.Lock()
	defer db.late.Unlock()
	if !db.late.due {
		return nil
	}
	if err := db.patiently(ctx, func() error { return db.check(ctx) }); err != nil {
		return err
	}
	db.late.due = false
	return nil
}

// recognise reads the version of a file of ours and compares its schema, as of
// one moment.
func (db *DB) recognise(ctx context.Context) (int, error) {
	tx, err := db.sql.BeginTx(ctx, &sql.TxOptions{ReadOnly: true})
	if err != nil {
		return 0, err
	}
	defer tx.Rollback()
	version, err := db.identify(ctx, tx)
	if err != nil {
		return 0, err
	}
	return version, db.checkSchema(ctx, tx, version)
}

// check looks for damage (https://www.sqlite.org/pragma.html#pragma_quick_check).
func (db *DB) check(ctx context.Context) error {
	var first string
	if err := db.sql.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&first); err != nil {
		return err
	}
	if first != "ok" {
		return store.New(store.Damaged, db.path, errors.New(first))
	}
	return nil
}

// Notices are what a person should know of the opening.
func (db *DB) Notices() []string { return db.notices }

// Path of the database as it was given.
func (db *DB) Path() string { return db.path }

// Close closes the database; one in memory is gone.
func (db *DB) Close() error { return db.sql.Close() }
