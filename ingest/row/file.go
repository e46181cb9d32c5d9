// Package row reads the rows of a table: the cells of each become the movements, the case,
// the courses or the repeat that it holds, or what is wrong with it.
//
// Place in the pipeline: ingest/decide has settled how the file is read; ingest hands over
// one row after the other, and settles what rows say against each other.
package row

import (
	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/decide"
	"shortfall/ingest/mapping"
)

// File is what is known of a file while its rows are read: how it was decided that they are,
// the records so far, and what rows say of each other's cases.
type File struct {
	*decide.File
	Batch *casebook.Batch
	// Refused are movements that were left out of a row that may be kept.
	Refused map[*Row][]casebook.MovementKey
	mapping *mapping.File
	cases   map[casebook.CaseKey]*caseInfo
	homes   homes
	own     map[columns.Field]*ownWords
	said    saidWords
}

// New is a file of which no row was read yet.
func New(f *decide.File, m *mapping.File, b *casebook.Batch) *File {
	return &File{
		File: f, mapping: m, Batch: b, Refused: map[*Row][]casebook.MovementKey{},
		cases: map[casebook.CaseKey]*caseInfo{}, own: map[columns.Field]*ownWords{}, said: saidWords{},
	}
}

// MovementsOf are the movements that a row gave, as long as no other row was settled.
func (r *File) MovementsOf(x *Row) []casebook.Record[casebook.Movement] {
	return r.Batch.Movements[x.First : x.First+x.Moves]
}
