package ingest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
)

// How outcomes were measured is read in the languages of the lexicon; a word that
// is not known costs its cell alone.
func TestMeasuredByIsRead(t *testing.T) {
	for _, c := range []struct {
		header, word string
		want         Method
	}{
		{"measured by", "superimposed scans", SuperimposedScans},
		{"Achieved measured by", "Scan overlay", SuperimposedScans},
		{"Messmethode", "Überlagerung", SuperimposedScans},
		{"gemessen an", "Gipsmodelle", Models},
		{"Méthode de mesure", "début du plan suivant", NextPlanStart},
		{"Método de medición", "modelos de yeso", Models},
		{"metodo di misura", "scansioni sovrapposte", SuperimposedScans},
		{"método de medição", "início do plano seguinte", NextPlanStart},
		{"Meetmethode", "gipsmodellen", Models},
		{"metoda pomiaru", "nałożone skany", SuperimposedScans},
		{"how measured", "other", OtherMethod},
		{"how measured", "xylophone", NoMethod},
	} {
		text := "case,course,tooth,axis,planned,achieved," + c.header + "\nA1,1,43,rotation,-10,-8,\"" + c.word + "\"\n"
		b := mustRead(t, text, Options{Answers: usual})
		if assert.Len(t, b.Movements, 1, c.header) {
			assert.Equal(t, c.want, b.Movements[0].Value.MeasuredBy, "%s: %s", c.header, c.word)
		}
	}
}

// A course says it for its movements, and stays a record of its own; a movement
// table that says it twice in one course says it of the movements.
func TestMeasuredByOfACourse(t *testing.T) {
	b, err := Read(t.Context(), sheets(t,
		"cases", "case,status\nA1,completed",
		"courses", "case,course,measured by\nA1,1,models",
		"movements", "case,course,tooth,axis,planned,achieved\nA1,1,43,rotation,-10,-8"), Options{})
	require.NoError(t, err)
	assert.Equal(t, Models, b.Courses[0].Value.MeasuredBy)
	assert.Equal(t, NoMethod, b.Movements[0].Value.MeasuredBy)

	b = mustRead(t, "case,course,course start month,tooth,axis,planned,achieved,measured by\nA1,1,2025-01,43,rotation,-10,-8,models\nA1,1,2025-01,44,rotation,-10,-8,other\n", Options{Answers: usual})
	assert.Empty(t, b.Rejected)
	assert.Equal(t, Models, b.Movements[0].Value.MeasuredBy)
	assert.Equal(t, OtherMethod, b.Movements[1].Value.MeasuredBy)
}

// Wear rated before the outcome was known is told from wear rated after it by a
// column, or by the header of the rating; of two ratings the earlier is read.
func TestWhenWearWasRecorded(t *testing.T) {
	for _, c := range []struct {
		headers, cells string
		wear           Wear
		when           Timing
	}{
		{"wear", "good", WearGood, NoTiming},
		{"wear,wear recorded", "good,before", WearGood, BeforeOutcome},
		{"wear,wear recorded", "good,at the end", WearGood, AfterOutcome},
		{"wear at start", "poor", WearPoor, BeforeOutcome},
		{"wear at end", "poor", WearPoor, AfterOutcome},
		{"wear at end,wear at start", "poor,good", WearGood, BeforeOutcome},
		{"Mitarbeit zu Beginn,Mitarbeit am Ende", "gut,schlecht", WearGood, BeforeOutcome},
		{"coopération à la fin", "bonne", WearGood, AfterOutcome},
		{"medewerking bij start", "goed", WearGood, BeforeOutcome},
	} {
		n := strings.Count(c.headers, ",") + 1
		text := "case,status," + c.headers + ",course,tooth,axis,planned,achieved\nA1,completed," + c.cells + ",1,43,rotation,-10,-8\n"
		b := mustRead(t, text, Options{Answers: usual})
		if assert.Len(t, b.Cases, 1, c.headers) {
			assert.Equal(t, c.wear, b.Cases[0].Value.Wear, "%s (%d)", c.headers, n)
			assert.Equal(t, c.when, b.Cases[0].Value.WearRecorded, c.headers)
		}
	}
}
