// Package store keeps the records of a practice in one SQLite file.
//
// Place in the pipeline: ingest hands over one casebook.Batch a file, Import
// keeps all of it or none; audit reads what Load returns. Nobody else writes
// SQL. The schema, with its checks, is in migrations/.
//
// The file keeps SQLite's rollback journal rather than a write-ahead log: a
// practice copies the file about and keeps it in shared folders, where a
// write-ahead log needs shared memory that such folders do not offer
// (https://www.sqlite.org/wal.html, "Overview"). While a DB is open this
// process must not open the same file by other means: closing it would drop
// SQLite's locks (https://www.sqlite.org/howtocorrupt.html, section 2.2).
package store

import (
	"context"
	"database/sql"
	"errors"
	"io/fs"
	"net/url"
	"os"
	"path/filepath"
	"strings"

	_ "modernc.org/sqlite" // the driver, "sqlite"
)

// DB is an open database. It may be used from several goroutines; imports run
// one after another.
type DB struct {
	sql  *sql.DB
	path string
	temp string // directory to remove on Close, "" for a database of the user's
}

// Open opens the database at path, or creates one readable by its owner alone,
// and brings it to the newest schema. Before anything is written the file is
// checked for damage and for being ours. The error is an *Error.
func Open(ctx context.Context, path string) (*DB, error) {
	return open(ctx, path, nil)
}

// open adds pragmas, in SQLite's own syntax, to those of every database.
func open(ctx context.Context, path string, pragmas []string) (*DB, error) {
	abs, err := filepath.Abs(path)
	if err != nil {
		return nil, wrap(path, err)
	}
	if err := createPrivate(abs); err != nil {
		return nil, &Error{
			Kind: CannotOpen, Path: path, Message: "the database cannot be created here",
			Remedy: "Name a folder that exists and that you may write to", Err: err,
		}
	}
	// SQLite takes a file shorter than a page for an empty database and would
	// write over it.
	if info, err := os.Stat(abs); err == nil && info.Mode().IsRegular() && info.Size() > 0 && info.Size() < smallestPage {
		return nil, &Error{Kind: NotDatabase, Path: path, Message: messages[NotDatabase], Remedy: remedies[NotDatabase]}
	}
	pool, err := sql.Open("sqlite", dsn(abs, pragmas))
	if err != nil {
		return nil, wrap(path, err)
	}
	// One connection: a second one of this process could only wait for the first.
	pool.SetMaxOpenConns(1)
	db := &DB{sql: pool, path: path}
	if err := db.prepare(ctx); err != nil {
		pool.Close()
		return nil, wrap(path, err)
	}
	return db, nil
}

// createPrivate makes an empty file of mode 0600 where there is none. SQLite
// would make it readable by all, and gives its journal the mode of the file.
func createPrivate(path string) error {
	f, err := os.OpenFile(path, os.O_CREATE|os.O_EXCL|os.O_RDWR, 0o600)
	if errors.Is(err, fs.ErrExist) {
		return nil
	}
	if err != nil {
		return err
	}
	return f.Close()
}

// dsn names the file as a URI, so that "?", "#" and "%" in its name are taken
// literally, with the settings of every connection.
func dsn(abs string, pragmas []string) string {
	slashed := filepath.ToSlash(abs)
	if !strings.HasPrefix(slashed, "/") { // a Windows drive letter
		slashed = "/" + slashed
	}
	q := url.Values{
		"_txlock":       {"immediate"},
		"_foreign_keys": {"1"},
		"_busy_timeout": {busyTimeout},
		"_dqs":          {"0"},
		"_defensive":    {"1"},
		"_pragma": append([]string{
			"trusted_schema(0)", "cell_size_check(1)",
			"temp_store(2)",      // sorting never spills records to a temporary file
			"cache_size(-65536)", // KiB: an import of some 200,000 rows stays in memory until its commit
		}, pragmas...),
	}
	u := url.URL{Scheme: "file", Path: slashed, RawQuery: q.Encode()}
	return u.String()
}

// smallestPage of a database, in bytes (https://www.sqlite.org/fileformat.html#page_size).
const smallestPage = 512

// busyTimeout is how long to wait for another process, in milliseconds.
var busyTimeout = "5000"

// prepare checks the file and migrates it.
func (db *DB) prepare(ctx context.Context) error {
	version, err := db.identify(ctx)
	if err != nil {
		return err
	}
	if err := db.check(ctx); err != nil {
		return err
	}
	return db.migrate(ctx, version)
}

// check looks for damage (https://www.sqlite.org/pragma.html#pragma_quick_check).
func (db *DB) check(ctx context.Context) error {
	var first string
	if err := db.sql.QueryRowContext(ctx, "PRAGMA quick_check(1)").Scan(&first); err != nil {
		return err
	}
	if first != "ok" {
		return &Error{Kind: Damaged, Path: db.path, Message: "the database is damaged", Remedy: remedies[Damaged], Err: errors.New(first)}
	}
	return nil
}

// Path of the database as it was given.
func (db *DB) Path() string { return db.path }

// Close closes the database; a temporary one is removed.
func (db *DB) Close() error {
	err := db.sql.Close()
	if db.temp != "" {
		err = errors.Join(err, os.RemoveAll(db.temp))
	}
	return err
}
