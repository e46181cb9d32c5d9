package ingest

import (
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
)

// Sheets of a practice with what gives their amounts, teeth and courses a
// meaning in one place each, so that taking it away must be noticed.
var mutable = []struct {
	name, text string
	drop       string // header of the column that is taken away
	want       []string
}{
	{"direction", "patient,series,tooth,movement,direction,planned,achieved,attachment\nA1,initial,43,torque,buccal,5,4,none\nA1,initial,44,torque,lingual,6,4,none\n", "direction", []string{"signs"}},
	{"Richtung", "Fall,Serie,Zahn,Bewegung,Richtung,Soll,Ist,Attachment\nA1,initial,43,Torque,nach bukkal,5,4,ohne\nA1,initial,44,Torque,nach lingual,6,4,ohne\n", "Richtung", []string{"signs"}},
	{"side", "patient,series,arch,side,tooth,movement,planned,achieved,attachment\nA1,initial,upper,right,3,extrusion,1,0.8,none\nA1,initial,lower,left,4,intrusion,1,0.5,none\n", "side", []string{"notation"}},
	{"quadrant", "patient,series,quadrant,tooth,movement,planned,achieved,attachment\nA1,initial,1,3,extrusion,1,0.8,none\nA1,initial,3,4,intrusion,1,0.5,none\n", "quadrant", []string{"notation"}},
	{"arch", "paciente,serie,arcada,lado,diente,movimiento,planificado,logrado,atache\nA1,inicial,superior,derecha,3,extrusión,1,0.8,ninguno\nA1,inicial,inferior,izquierda,4,intrusión,1,0.5,ninguno\n", "arcada", []string{"notation"}},
	{"course", "patient,series,tooth,movement,planned,achieved,attachment\nA1,initial,43,extrusion,1,0.8,none\nA1,refinement 1,43,extrusion,1,0.5,none\n", "series", []string{"course"}},
}

// Without the column the file is asked about; with it, it is read at once.
func TestDroppedColumnsAreAskedAbout(t *testing.T) {
	for _, m := range mutable {
		b := mustRead(t, m.text, Options{})
		assert.Len(t, b.Movements, 2, m.name)
		_, err := read(t, without(m.text, m.drop), Options{})
		if assert.Error(t, err, "%s: accepted without %s", m.name, m.drop) {
			assert.Equal(t, m.want, asked(t, err), m.name)
		}
	}
}

// without takes a column out of a text.
func without(text, header string) string {
	lines := strings.Split(strings.TrimSpace(text), "\n")
	at := slices.Index(strings.Split(lines[0], ","), header)
	for i, l := range lines {
		lines[i] = strings.Join(slices.Delete(strings.Split(l, ","), at, at+1), ",")
	}
	return strings.Join(lines, "\n") + "\n"
}

// The signs of all amounts of a workbook are taken away: every sheet of every
// layout asks.
func TestDroppedSignsAreAskedAbout(t *testing.T) {
	for _, text := range []string{
		"patient,series,tooth,movement,planned,achieved,attachment\nA1,initial,43,rotation,-10,-8,none\nA1,initial,44,torque,5,4,none\n",
		"patient,series,tooth,rotation planned,rotation achieved,torque planned,torque achieved,attachment\nA1,initial,43,-10,-8,5,4,none\nA1,initial,44,5,4,-3,-2,none\n",
		"case,course,tooth,axis,planned,achieved,style\n" + strings.Repeat("A1,1,43,rotation,-10,-8,none\nA1,1,44,rotation,10,8,none\nA1,2,43,rotation,-1,-8,none\n", 1) +
			"A2,1,43,rotation,-10,-8,none\nA2,1,44,rotation,10,8,none\n",
	} {
		mustRead(t, text, Options{Answers: usual})
		_, err := read(t, strings.ReplaceAll(text, "-", ""), Options{})
		if assert.Error(t, err, "accepted: %s", text) {
			assert.Equal(t, []string{"signs"}, asked(t, err))
		}
	}
}

// The names of the sheets gave the courses, the cases or the styles.
func TestDroppedSheetNamesAreAskedAbout(t *testing.T) {
	head := "patient,tooth,movement,planned,achieved,attachment\n"
	a, b := head+"A1,43,extrusion,1,0.8,none\nA2,44,intrusion,1,0.8,none", head+"A1,43,extrusion,0.4,0.3,none\nA2,44,intrusion,0.5,0.3,none"
	for _, names := range [][2]string{{"Initial", "Refinement 1"}, {"Erstserie", "Nachkorrektur 1"}, {"Première série", "Finition 1"}, {"Inicial", "Refinamiento 1"}, {"Iniziale", "Rifinitura 1"}, {"Inicial", "Refinamento 1"}, {"Eerste serie", "Verfijning 1"}, {"Początkowa", "Korekta 1"}, {"Initial", "R1"}, {"Initial", "MC"}} {
		got, err := Read(t.Context(), sheets(t, names[0], a, names[1], b), Options{})
		require.NoError(t, err, names)
		assert.Equal(t, []int{1, 1, 2, 2}, coursesOf(recordsOf(got).Movements), names)
	}
	_, err := Read(t.Context(), sheets(t, "Sheet1", a, "Sheet2", b), Options{})
	assert.Equal(t, []string{"course"}, asked(t, err))
	got, err := Read(t.Context(), sheets(t, "Sheet1", a, "Sheet2", b), Options{Answers: answersOf("course=in order")})
	require.NoError(t, err)
	assert.Equal(t, []int{1, 1, 2, 2}, coursesOf(recordsOf(got).Movements))
}

func coursesOf(ms []Movement) (out []int) {
	for _, m := range ms {
		out = append(out, m.Course)
	}
	slices.Sort(out)
	return out
}

// Units that a header names and no axis has are never read as millimetres.
func TestUnitsOfHeaders(t *testing.T) {
	for unit, want := range map[string]float64{"[1/10 mm]": 0.5, "(inch)": 127, "in cm": 50, "Zehntel mm": 0.5, "(mm)": 5} {
		text := "patient,series,tooth,movement,planned " + unit + ",achieved " + unit + ",attachment\nA1,initial,43,extrusion,5,5,none\nA1,initial,44,intrusion,0.1,0.1,none\n"
		b, err := read(t, text, Options{})
		require.NoError(t, err, unit)
		got := 0.0
		for _, m := range b.Movements {
			if m.Value.Tooth == 43 {
				got = m.Value.Planned
			}
		}
		if want > 25 { // no tooth moves so far
			assert.Contains(t, reasons(b)[0], "amount-impossible", unit)
			continue
		}
		assert.InDelta(t, want, got, 1e-12, unit)
	}
}

// Notes are neither read nor looked at nor kept.
func TestNotesAreNotScreened(t *testing.T) {
	b := mustRead(t, "patient,series,tooth,movement,planned,achieved,attachment,Remarks\nA1,initial,43,extrusion,1,0.8,none,spoke to Mrs Miller on the phone\nA1,initial,44,intrusion,1,0.8,none,\n", Options{})
	for _, header := range []string{"Hinweise", "Bijzonderheden", "Fritext", "Observaciones"} {
		x := mustRead(t, "patient,series,tooth,movement,planned,achieved,attachment,"+header+"\nA1,initial,43,extrusion,1,0.8,none,spoke to Mrs Miller on 12.3.2024\nA1,initial,44,intrusion,1,0.8,none,\n", Options{})
		assert.Contains(t, rulesOf(x.Problems), "column-unread", header)
	}
	for _, m := range b.Movements {
		for _, c := range m.Original.Cells() {
			if c.Kept != "" {
				assert.NotContains(t, c.Text, "Miller")
			}
		}
	}
	path := filepath.Join(t.TempDir(), "x.csv")
	require.NoError(t, os.WriteFile(path, []byte("patient,series,tooth,movement,planned,achieved,attachment,who\nA1,initial,43,extrusion,1,0.8,none,Anna Miller\n"), 0o600))
	_, err := Read(t.Context(), path, Options{})
	assert.Contains(t, rulesOf(Problems(err)), "identifier-name", "another column is looked at")
}
