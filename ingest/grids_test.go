package ingest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/question"
)

// answersOfGrids are those of a person who keeps teeth across.
var answersOfGrids = question.Answers{"positive": "usual", "course": "initial", "notation": "fdi", "signs": "signed", "blank achieved": "not measured"}

// Teeth across, with the movement and what its amounts are in words before them: in one text or
// in two cells, the case before them, above them or written once.
func TestTeethAcross(t *testing.T) {
	want := []string{"K1 13 1.2 1", "K1 12 0.8 0.6", "K1 13 -5 -4", "K2 12 -0.7 -0.4"}
	for name, text := range map[string]string{
		"two cells":      "Case,Movement,Measure,13,12\nK1,extrusion,planned,1.2,0.8\nK1,extrusion,achieved,1,0.6\nK1,rotation,planned,-5,\nK1,rotation,achieved,-4,\nK2,intrusion,planned,,0.7\nK2,intrusion,achieved,,0.4\n",
		"one text":       "Case,Row,13,12\nK1,Extrusion planned,1.2,0.8\nK1,Extrusion achieved,1,0.6\nK1,planned rotation,-5,\nK1,achieved rotation,-4,\nK2,Intrusion: planned,,0.7\nK2,Intrusion: achieved,,0.4\n",
		"written once":   "Case,Movement,Measure,13,12\nK1,extrusion,planned,1.2,0.8\n,,achieved,1,0.6\n,rotation,planned,-5,\n,,achieved,-4,\nK2,intrusion,planned,,0.7\n,,achieved,,0.4\n",
		"titles":         "Case K1,,\nTooth,13,12\nExtrusion planned,1.2,0.8\nExtrusion achieved,1,0.6\nRotation planned,-5,\nRotation achieved,-4,\n,,\nCase K2,,\nTooth,13,12\nIntrusion planned,,0.7\nIntrusion achieved,,0.4\n",
		"titles below":   "Row,13,12\nCase K1,,\nExtrusion planned,1.2,0.8\nExtrusion achieved,1,0.6\nRotation planned,-5,\nRotation achieved,-4,\nCase K2,,\nIntrusion planned,,0.7\nIntrusion achieved,,0.4\n",
		"French":         "Patient,Mesure,13,12\nK1,extrusion prévue,\"1,2\",\"0,8\"\nK1,extrusion obtenue,\"1\",\"0,6\"\nK1,rotation prévue,-5,\nK1,rotation obtenue,-4,\nK2,intrusion prévue,,\"0,7\"\nK2,intrusion obtenue,,\"0,4\"\n",
		"named, a note":  "Case,Movement,Measure,upper right canine,upper right lateral incisor\nK1,extrusion,planned,1.2,0.8\nK1,extrusion,achieved,1,0.6\nK1,rotation,planned,-5,\nK1,rotation,achieved,-4,\nK2,intrusion,planned,,0.7\nK2,intrusion,achieved,,0.4\nall in mm and degrees,,,,\n",
		"by measure":     "Case,Measure,Movement,13,12\nK1,planned,extrusion,1.2,0.8\nK1,planned,rotation,-5,\nK1,achieved,extrusion,1,0.6\nK1,achieved,rotation,-4,\nK2,planned,intrusion,,0.7\nK2,achieved,intrusion,,0.4\n",
		"of attachments": "Case,Row,13,12\nK1,Extrusion planned,1.2,0.8\nK1,Extrusion achieved,1,0.6\nK1,Rotation planned,-5,\nK1,Rotation achieved,-4,\nK1,Attachment,software,none\nK2,Intrusion planned,,0.7\nK2,Intrusion achieved,,0.4\n",
	} {
		b, err := read(t, text, Options{Answers: answersOfGrids})
		if !assert.NoError(t, err, name) {
			continue
		}
		var got, styles []string
		for _, m := range b.Movements {
			v := m.Value
			got = append(got, fmt.Sprint(v.Case.ID, " ", int(v.Tooth), " ", v.Planned, " ", v.Achieved.Value))
			styles = append(styles, v.Style.String())
		}
		assert.ElementsMatch(t, want, got, name)
		if name == "of attachments" {
			assert.Equal(t, []string{"software-suggested", "none", "software-suggested", ""}, styles)
		}
	}
}

// A chart that is not understood whole is refused and never read in part.
func TestTeethAcrossThatAreRefused(t *testing.T) {
	const head, rows = "Case,Movement,Measure,13,12\n", "K1,extrusion,planned,1.2,0.8\nK1,extrusion,achieved,1,0.6\n"
	for name, text := range map[string]string{
		"a movement twice":      head + rows + rows,
		"a row without a role":  head + rows + "K1,rotation,mean,5,4\n",
		"a row of both":         head + rows + "K1,rotation planned,achieved,5,4\n",
		"no movement":           head + "K1,,planned,1.2,0.8\nK1,,achieved,1,0.6\n",
		"a title of no case":    strings.ReplaceAll(head+rows, "K1", "") + "the next one,,,,\n" + strings.ReplaceAll(head+rows, "K1", ""),
		"an amount without one": head + rows + ",,,1,2\n",
		"another column":        strings.ReplaceAll(head, "12\n", "12,sum\n") + strings.ReplaceAll(rows, "\n", ",3\n"),
		"a word at a tooth":     head + rows + "seen,,,n.m.,\n",
		"a tooth twice":         strings.Replace(head, "12", "13", 1) + rows,
	} {
		b, err := read(t, text, Options{Answers: answersOfGrids})
		require.Error(t, err, "%s: %v", name, b)
	}
	b := mustRead(t, head+rows+"K1,rotation,planned,-5,\n", Options{Answers: answersOfGrids})
	assert.False(t, b.Movements[2].Value.Achieved.OK, "a plan without its outcome is asked about, as anywhere")
}
