package store

import (
	"fmt"

	"shortfall/ingest/casebook"
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
	Clash        Kind = "another case of the same pseudonym"
	Twin         Kind = "the same case under another pseudonym"
	Spelling     Kind = "a known code in another spelling"
	NotThere     Kind = "not in the database"
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
	ErrClash        = &Error{Kind: Clash}
	ErrTwin         = &Error{Kind: Twin}
	ErrSpelling     = &Error{Kind: Spelling}
	ErrNotThere     = &Error{Kind: NotThere}
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
	// Cases are those asked about, where a Clash, a Twin or a Spelling asks.
	Cases []casebook.CaseKey
	Err   error
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

// Unwrap gives the error of the database itself.
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
	Foreign:     "the database was made by another program",
	Locked:      "another program is using the database",
	ReadOnly:    "the database cannot be written to",
	Full:        "there is no room left to write the database",
	Damaged:     "the database is damaged",
	CannotOpen:  "the database cannot be opened",
	Refused:     "the database refused a record",
	Other:       "the database reported an error",
}

// New makes an error of a kind with its usual message and remedy.
func New(kind Kind, path string, err error) *Error {
	return &Error{Kind: kind, Path: path, Message: messages[kind], Remedy: remedies[kind], Err: err}
}

// Refuse locates a record that could not be kept.
func Refuse(kind Kind, path, sheet string, row int, format string, args ...any) *Error {
	return &Error{
		Kind: kind, Path: path, Message: fmt.Sprintf("sheet %s, row %d: ", sheet, row) + fmt.Sprintf(format, args...),
		Remedy: "Correct or remove the row; nothing of this file was kept",
	}
}
