package sqlite

import (
	"context"
	"errors"

	driver "modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"

	"shortfall/ingest/store"
)

// kinds of SQLite's primary result codes (https://www.sqlite.org/rescode.html).
var kinds = map[int]store.Kind{
	sqlite3.SQLITE_NOTADB:     store.NotDatabase,
	sqlite3.SQLITE_BUSY:       store.Locked,
	sqlite3.SQLITE_LOCKED:     store.Locked,
	sqlite3.SQLITE_READONLY:   store.ReadOnly,
	sqlite3.SQLITE_PERM:       store.ReadOnly,
	sqlite3.SQLITE_FULL:       store.Full,
	sqlite3.SQLITE_CORRUPT:    store.Damaged,
	sqlite3.SQLITE_CANTOPEN:   store.CannotOpen,
	sqlite3.SQLITE_CONSTRAINT: store.Refused,
	sqlite3.SQLITE_MISMATCH:   store.Refused,
}

// wrap turns what SQLite reports into a *store.Error; a *store.Error and the end
// of the context pass through.
func wrap(path string, err error) error {
	var own *store.Error
	if err == nil || errors.As(err, &own) ||
		errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return store.New(kindOf(err), path, err)
}

// Wrap is wrap for this database.
func (db *DB) Wrap(err error) error { return wrap(db.path, err) }

func kindOf(err error) store.Kind {
	var e *driver.Error
	if errors.As(err, &e) {
		if k, ok := kinds[e.Code()&0xff]; ok { // the low byte is the primary code
			return k
		}
	}
	return store.Other
}
