package store

import (
	"context"
	"errors"
	"fmt"

	"modernc.org/sqlite"
	sqlite3 "modernc.org/sqlite/lib"
)

// Kind of a database error.
type Kind string

// The kinds. None of them leaves a file half imported.
const (
	NotDatabase  Kind = "not a database"
	Foreign      Kind = "another program's database"
	Newer        Kind = "newer schema"
	Locked       Kind = "locked"
	ReadOnly     Kind = "read-only"
	Full         Kind = "disk full"
	Damaged      Kind = "damaged"
	CannotOpen   Kind = "cannot open"
	Conflict     Kind = "two records with one key"
	Refused      Kind = "record refused"
	PracticeOpen Kind = "practice not told"
	Other        Kind = "database error"
)

// Targets for errors.Is.
var (
	ErrNotDatabase  = &Error{Kind: NotDatabase}
	ErrForeign      = &Error{Kind: Foreign}
	ErrNewer        = &Error{Kind: Newer}
	ErrLocked       = &Error{Kind: Locked}
	ErrReadOnly     = &Error{Kind: ReadOnly}
	ErrFull         = &Error{Kind: Full}
	ErrDamaged      = &Error{Kind: Damaged}
	ErrCannotOpen   = &Error{Kind: CannotOpen}
	ErrConflict     = &Error{Kind: Conflict}
	ErrRefused      = &Error{Kind: Refused}
	ErrPracticeOpen = &Error{Kind: PracticeOpen}
)

// Error says which database, what happened and what to do. It never carries a
// value of a record.
type Error struct {
	Kind    Kind
	Path    string
	Message string
	Remedy  string
	Err     error
}

func (e *Error) Error() string {
	s := e.Path + ": " + e.Message
	if e.Err != nil {
		s += " (" + e.Err.Error() + ")"
	}
	if e.Remedy != "" {
		s += ". " + e.Remedy
	}
	return s
}

// Unwrap gives SQLite's own error.
func (e *Error) Unwrap() error { return e.Err }

// Is matches an error of the same kind.
func (e *Error) Is(target error) bool {
	t, ok := target.(*Error)
	return ok && t.Kind == e.Kind
}

var remedies = map[Kind]string{
	NotDatabase: "Name a database made by this program, or a name that does not exist yet",
	Foreign:     "Name a database made by this program, or a name that does not exist yet",
	Newer:       "Update the program; this older one will not touch the file",
	Locked:      "Wait until the other run has finished, or close the program that holds the file, and try again",
	ReadOnly:    "Give yourself write permission to the file and to its folder, or copy the file elsewhere",
	Full:        "Free some space and run the same command again; nothing of this file was kept",
	Damaged:     "Restore the file from a backup, or make a new database from the original spreadsheets",
	Other:       "Check the disk and the path and try again; nothing of this file was kept",
	CannotOpen:  "Check that the path names a file and that you may read it and write to its folder",
}

var messages = map[Kind]string{
	NotDatabase: "the file is not a database",
	Locked:      "another program is using the database",
	ReadOnly:    "the database cannot be written to",
	Full:        "there is no room left to write the database",
	Damaged:     "the database is damaged",
	CannotOpen:  "the database cannot be opened",
	Refused:     "the database refused a record",
	Other:       "the database reported an error",
}

// kinds of SQLite's primary result codes (https://www.sqlite.org/rescode.html).
var kinds = map[int]Kind{
	sqlite3.SQLITE_NOTADB:     NotDatabase,
	sqlite3.SQLITE_BUSY:       Locked,
	sqlite3.SQLITE_LOCKED:     Locked,
	sqlite3.SQLITE_READONLY:   ReadOnly,
	sqlite3.SQLITE_PERM:       ReadOnly,
	sqlite3.SQLITE_FULL:       Full,
	sqlite3.SQLITE_CORRUPT:    Damaged,
	sqlite3.SQLITE_CANTOPEN:   CannotOpen,
	sqlite3.SQLITE_CONSTRAINT: Refused,
	sqlite3.SQLITE_MISMATCH:   Refused,
}

// wrap turns what SQLite reports into an *Error; an *Error and the end of the
// context pass through.
func wrap(path string, err error) error {
	var own *Error
	if err == nil || errors.As(err, &own) ||
		errors.Is(err, context.Canceled) || errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	kind := Other
	var e *sqlite.Error
	if errors.As(err, &e) {
		if k, ok := kinds[e.Code()&0xff]; ok { // the low byte is the primary code
			kind = k
		}
	}
	return &Error{Kind: kind, Path: path, Message: messages[kind], Remedy: remedies[kind], Err: err}
}

// refused locates a record that could not be kept.
func refused(kind Kind, path, sheet string, row int, format string, args ...any) *Error {
	return &Error{
		Kind: kind, Path: path, Message: fmt.Sprintf("sheet %s, row %d: ", sheet, row) + fmt.Sprintf(format, args...),
		Remedy: "Correct or remove the row; nothing of this file was kept",
	}
}
