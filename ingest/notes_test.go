package ingest

import (
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
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
		at := slices.IndexFunc(Problems(err), func(p Problem) bool { return p.Severity == Error })
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
		at := slices.IndexFunc(Problems(err), func(p Problem) bool { return p.Severity == Error })
		require.GreaterOrEqual(t, at, 0, text)
		assert.Equal(t, "A4 the cell holds what looks like a person's name", Problems(err)[at].Cell+" "+Problems(err)[at].Message)
	}
}

const bothDirections = "case,course,tooth,extrusion planned,extrusion achieved,intrusion planned,intrusion achieved,style\n"

// A 0 under one direction beside the plan of the other is no movement of its own: it is the same
// axis. Where both say 0 it is one movement, and an amount that was reached without a plan stays.
func TestZeroBesideTheOtherDirection(t *testing.T) {
	b := mustRead(t, bothDirections+"K1,1,43,1.2,0.7,0,0,none\nK1,1,33,0,0,0.8,0.5,none\nK1,1,13,0.0,n/a,\"0,6\",0.4,none\nK1,1,23,0,0,0,0,none\nK1,1,44,0,,0.5,0,none\n", Options{})
	var got []float64
	for _, m := range recordsOf(b).Movements {
		got = append(got, m.Planned)
	}
	assert.Empty(t, b.Rejected)
	assert.Equal(t, []float64{-0.6, 0, -0.8, 1.2, -0.5}, got)
	for name, row := range map[string]string{"moved without a plan": "K1,1,43,0,0.3,0.8,0.5,none", "planned both ways": "K1,1,43,0.4,0.3,0.8,0.5,none"} {
		b := mustRead(t, bothDirections+row+"\nK1,1,33,1.2,0.7,,,none\n", Options{})
		require.Len(t, b.Rejected, 1, name)
		assert.Equal(t, "movement-duplicate", b.Rejected[0].Reasons[0].Rule, name)
	}
}

// Zeros that fill a wide sheet are no outcomes beside which blanks are few: they are asked about.
func TestZerosAreNoOutcomes(t *testing.T) {
	text := "case,course,tooth,rotation planned,rotation achieved,extrusion planned,extrusion achieved,style\n" +
		strings.Repeat("K1,1,%,-8,-6,0,0,none\n", 6) + "K1,1,%,-8,,0,0,none\nK1,1,%,-7,,0,0,none\n"
	for _, tooth := range strings.Fields("13 12 43 42 33 32 23 22") {
		text = strings.Replace(text, "%", tooth, 1)
	}
	mustAsk(t, text, "blank achieved")
	b := mustRead(t, text, Options{Answers: answersOf("positive=usual;blank achieved=not measured")})
	zeros := 0
	for _, m := range b.Movements {
		if m.Value.Axis == Vertical && m.Value.Planned == 0 {
			zeros++
		}
	}
	assert.Equal(t, 8, zeros, "a 0 with its 0 is kept: nothing was planned, and nothing moved")
}
