package ingest

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
)

const aboveNotes = "case,course,tooth,movement,planned,achieved,attachment\nK1,1,43,extrusion,1.2,0.8,none\nK2,1,33,intrusion,0.8,0.6,none\n"

// A note below the records is no code of a case: it is refused where it may name somebody, as a
// note and at its cell, and else passed over.
func TestNotesBelowTheTable(t *testing.T) {
	for _, note := range []string{
		"* values in degrees", "n = 24", "Checked by second reader", "* all angles seen from occlusal", "Source: export of 3 May", "* Attachment verloren, Zahn später nachgetragen",
		"Signos: + extrusión, - intrusión; rotación + mesial hacia dentro (lingual)", "gemessen von zweiter Person, alle Winkel von okklusal gesehen",
	} {
		b, err := read(t, aboveNotes+"\n\""+note+"\"\n", Options{})
		if assert.NoError(t, err, note) {
			assert.Equal(t, []int{2, 0}, []int{len(b.Movements), len(b.Rejected)}, note)
		}
	}
	for _, note := range []string{"Brenka Tolm", "Tolm", "checked by Brenka Tolm", "Data from Dr Tolm", "patient Anna moved away", "Tolm: moved to Spain", "these cases were seen by Anna", "reach me at a.tolm@example.org"} {
		_, err := read(t, aboveNotes+"\n\""+note+"\"\n", Options{})
		at := slices.IndexFunc(Problems(err), func(p casebook.Problem) bool { return p.Severity == casebook.Error })
		require.GreaterOrEqual(t, at, 0, note)
		p := Problems(err)[at]
		assert.Equal(t, "A5", p.Cell, note)
		assert.Contains(t, p.Message, "the note below the table holds", note)
		assert.Contains(t, p.Remedy, "Delete the note", note)
	}
}

// What stands among the records is no note, whatever it looks like: the name above the rows of
// a patient, or in a row with an amount.
func TestNamesAmongRecordsAreNoNotes(t *testing.T) {
	for _, text := range []string{aboveNotes + "* all angles seen from occlusal\nK3,1,13,extrusion,1,1,none\n", aboveNotes + "Brenka Tolm of Hafen,1,13,extrusion,1,1,none\n"} {
		_, err := read(t, text, Options{})
		at := slices.IndexFunc(Problems(err), func(p casebook.Problem) bool { return p.Severity == casebook.Error })
		require.GreaterOrEqual(t, at, 0, text)
		assert.Equal(t, "A4 the cell holds what looks like a person's name", Problems(err)[at].Cell+" "+Problems(err)[at].Message)
	}
}
