// Package store says what a database of records can do, and decides what
// becomes of the records of a file: which are new, unchanged, corrected,
// retired by a later version of their file, or refused.
//
// Place in the pipeline: ingest hands over one casebook.Batch a file, Import
// keeps all of it or none; audit reads what Load returns. The decisions are pure
// functions over casebook types (Decide); an implementation, such as
// store/sqlite, reads what it holds into a Known and carries out the Plan in one
// transaction. Every implementation passes the one contract of store/storetest.
package store

import (
	"context"
	"encoding/json"

	"shortfall/ingest/casebook"
)

// Store is a database of the records of one or several practices. It may be
// used from several goroutines and by several processes; imports run one after
// another. Errors are *Error, or the context's.
type Store interface {
	// Import keeps what one file gave, in one transaction: all of it or none.
	Import(ctx context.Context, b *casebook.Batch, c Choices) (Outcome, error)
	// Load reads the current records, in key order, and the history of how they
	// got there, as of one moment; without those of cases taken out of the audit.
	Load(ctx context.Context) (*casebook.Dataset, error)
	// Sums sums the movements up where they lie; see casebook.Sum.
	Sums(ctx context.Context, of casebook.SumsOf) (*casebook.Sums, error)
	// Files lists the imported files with their row counts, oldest import first.
	Files(ctx context.Context) ([]casebook.ImportedFile, error)
	// RemovedFiles lists the imports that were undone, oldest first, with the reason.
	RemovedFiles(ctx context.Context) ([]RemovedFile, error)
	// RestingOn names, by the content of each file that later ones gave records of again
	// or corrected, those later files; it cannot be removed before them.
	RestingOn(ctx context.Context) (map[string][]string, error)
	// MovementsOf lists the movements that a file, by content, gave as they stand now;
	// one that a later file corrected is that file's.
	MovementsOf(ctx context.Context, sha256 string) ([]casebook.MovementKey, error)
	// Rejected lists the rejected rows in the order they were read.
	Rejected(ctx context.Context) ([]RejectedRow, error)
	// Problems lists what was found in the imported files, in the order found.
	Problems(ctx context.Context) ([]casebook.Problem, error)
	// Cases lists every case that the database knows, by pseudonym.
	Cases(ctx context.Context) ([]CaseCount, error)
	// Current lists the records of one case as they stand, with their origin.
	Current(ctx context.Context, k casebook.CaseKey) ([]Version, error)
	// History lists the versions of the records of one case that are no longer
	// current, oldest first.
	History(ctx context.Context, k casebook.CaseKey) ([]Version, error)
	// RenamePractice moves all cases of a practice, "" for the unnamed one, to
	// another. It is refused where both have a case of the same pseudonym.
	RenamePractice(ctx context.Context, from, to string) (cases int, err error)
	// RemoveCase takes a case out of the audit, now and in later imports, until
	// RestoreCase; its records stay.
	RemoveCase(ctx context.Context, k casebook.CaseKey, reason string) error
	RestoreCase(ctx context.Context, k casebook.CaseKey) error
	// RemoveFile undoes an import: its records go to the history and what they
	// had replaced comes back. Refused where a later file gave them again.
	RemoveFile(ctx context.Context, sha256, reason string) (Removal, error)
	// EraseCase deletes a case with its history; later imports leave it out.
	EraseCase(ctx context.Context, k casebook.CaseKey) error
	// EraseFile undoes an import and deletes its records, rows and problems.
	EraseFile(ctx context.Context, sha256 string) (Removal, error)
	// Profiles are what was answered about the layout of sheets, by a hash of
	// their header.
	Profiles(ctx context.Context) ([]Profile, error)
	PutProfile(ctx context.Context, p Profile) error
	RemoveProfile(ctx context.Context, header string) error
	// Path of the database as it was given.
	Path() string
	// Notices are what a person should know of the opening: a migration and
	// where its backup is, cases whose practice it could not settle.
	Notices() []string
	Close() error
}

// Choices of the person who imports a file, where the file leaves something open.
type Choices struct {
	// Practice to which cases belong whose practice the files do not tell.
	Practice string
	// Beside are the cases that the other files of the same command name.
	Beside []casebook.CaseKey
	// Correct are pseudonyms of known cases that the file corrects although none
	// of their movements is the same.
	Correct []string
	// Distinct are pseudonyms of new cases that are other patients although
	// their movements equal those of a known case.
	Distinct []string
	// Spelling says what new cases are whose codes stand already in another spelling:
	// SameSpelt, DifferentSpelt, or "" to be asked.
	Spelling string
	// Whole says that the file holds all cases there are: those of its earlier
	// version that it lacks are retired.
	Whole bool
}

// Tally says how the records of one kind met those already in the database.
type Tally struct {
	New        int `json:"new"`
	Unchanged  int `json:"unchanged"`
	Superseded int `json:"superseded"` // corrected: the old version is in the history
	Retired    int `json:"retired"`    // no longer in the later version of their file
}

// Add sums tallies.
func (t Tally) Add(o Tally) Tally {
	return Tally{t.New + o.New, t.Unchanged + o.Unchanged, t.Superseded + o.Superseded, t.Retired + o.Retired}
}

// Outcome of an import.
type Outcome struct {
	// Already is true where the same file, by content and reading, was imported
	// before; nothing was changed.
	Already  bool
	Tallies  map[casebook.Kind]Tally
	Rejected int // rows
	Problems int
	// Earlier are the files of which this one is a later version, or the same
	// bytes read in another way.
	Earlier []casebook.File
	// Absent are the cases of earlier versions that this one lacks; they stay.
	Absent []casebook.CaseKey
	// Renamed are cases of earlier versions that this one holds under another
	// pseudonym; their old records are retired.
	Renamed []Renaming
	// Refused is how many of the retired movements stand in the file and were refused.
	Refused int
	// Aside are cases of the file that were taken out of the audit before.
	Aside []casebook.CaseKey
	// Erased is the number of records left out because their case was erased.
	Erased int
}

// Renaming is a case that came again under another key.
type Renaming struct{ From, To casebook.CaseKey }

// Total over the four kinds.
func (o Outcome) Total() Tally {
	var t Tally
	// any order: a sum of whole numbers
	for _, k := range o.Tallies {
		t = t.Add(k)
	}
	return t
}

// RejectedRow is a row that was read and not accepted, with its file.
type RejectedRow struct {
	casebook.Rejected
	File casebook.File
}

// How a version of a record ceased to be current.
type How string

// The ways.
const (
	Corrected How = "corrected"
	Retired   How = "retired" // a later version of its file no longer has it
	Removed   How = "removed" // its file was removed
)

// Version is one state of a record: where it came from and what stood there.
type Version struct {
	Kind     casebook.Kind
	Value    json.RawMessage // a JSON object of the record's columns
	File     casebook.File
	Source   casebook.Source
	Original []casebook.Cell
	// How it ceased to be current, "" for the current version.
	How How
	// ReplacedBy is the file that did it.
	ReplacedBy casebook.File
}

// CaseCount is a case with the number of its current records.
type CaseCount struct {
	casebook.CaseKey
	Records map[casebook.Kind]int
	// Removed is the reason for which it was taken out of the audit.
	Removed casebook.Opt[string]
	// Unsettled are the practices that older files named for the pseudonym, where
	// nothing proves that they are different patients; "" elsewhere.
	Unsettled string
}

// RemovedFile is a file whose import was undone.
type RemovedFile struct{ Name, SHA256, Reason string }

// Removal is what undoing an import did.
type Removal struct {
	Records  int // that the file had given
	Restored int // that came back in their place
}

// Profile is what was answered about sheets with one header. Content is opaque
// to the store.
type Profile struct {
	Header  string // hash of the header
	Name    string // for people: the file it was answered for
	Content []byte
}
