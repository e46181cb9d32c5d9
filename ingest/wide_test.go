package ingest

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
)

// liftedSheet is a wide sheet one of whose pairs is named by words that no list knows; the
// code of a case stands in its first row alone, which may hold nothing but that pair.
const liftedSheet = "case,course,tooth,rot planned,rot achieved,heave planned mm,heave achieved mm,style\n" +
	"F-01,1,41,,,1.2,0.9,none\n,,42,-8,-6,,,none\n,,43,,,0.8,0.5,none\n" +
	"F-02,1,36,,,-0.6,-0.2,none\n,,37,9,7,,,none\n,,47,4,3,0.7,0.6,none\n"

// A pair of amounts that names no movement known here is asked about, and read as
// answered or not at all.
func TestPairOfNoMovementIsAsked(t *testing.T) {
	_, err := read(t, liftedSheet, Options{Answers: usual})
	require.Equal(t, []string{"movement of heave planned mm"}, asked(t, err))
	assert.NotContains(t, openOf(err)[0].Words(), "rotation", "its unit is mm")
	b := mustRead(t, liftedSheet, Options{Answers: answersOf("positive=usual;movement of heave planned mm=vertical")})
	require.Len(t, b.Movements, 7)
	assert.Equal(t, map[string]int{"F-01": 3, "F-02": 4}, movementsOfCases(b))
	vertical := map[Tooth]float64{}
	for _, m := range valuesOf(b.Movements) {
		if m.Axis == Vertical {
			vertical[m.Tooth] = m.Planned
		}
	}
	assert.Equal(t, map[Tooth]float64{41: 1.2, 43: 0.8, 36: -0.6, 47: 0.7}, vertical)
	b = mustRead(t, liftedSheet, Options{Answers: answersOf("positive=usual;movement of heave planned mm=ignore")})
	assert.Equal(t, map[string]int{"F-01": 1, "F-02": 2}, movementsOfCases(b), "no row goes to the patient above")
}

func movementsOfCases(b *Batch) map[string]int {
	out := map[string]int{}
	for _, m := range b.Movements {
		out[m.Value.Case.ID]++
	}
	return out
}

// Outcomes whose headers name no movement are those of the plans they stand behind.
func TestOutcomesBehindTheirPlans(t *testing.T) {
	text := "case,course,tooth,rot planned,achieved,tip planned,achieved,torque planned,achieved,style\n" +
		"F-01,1,41,-8,-6,5,4,3,1,none\n"
	ms := answered(t, text)
	require.Len(t, ms, 3)
	got := map[Axis]float64{}
	for _, m := range ms {
		got[m.Axis] = m.Achieved.Value
	}
	assert.Equal(t, map[Axis]float64{Rotation: -6, Tip: 4, Torque: 1}, got)
	// Where one of them stands elsewhere, nothing says whose it is.
	_, err := read(t, strings.Replace(text, "achieved,tip planned", "tip planned,achieved", 1), Options{Answers: usual})
	assert.Error(t, err)
}

// A column that a person calls achieved belongs to the plan beside it, or to the movement
// that is named with it.
func TestChosenOutcomesOfAWideSheet(t *testing.T) {
	path := asFile(t, "own.csv", "case,course,tooth,Rot plan,Rot quux,Tip plan,Tip quux,style\nF-01,1,41,-8,-6,5,4,none\n")
	ids := columnIDs(t, path, Options{})
	for _, words := range [][2]string{{"achieved", "achieved"}, {"achieved rotation", "achieved mesiodistal tip"}} {
		b, err := Read(t.Context(), path, Options{Answers: question.Answers{"positive": "usual", ids["E"]: words[0], ids["G"]: words[1]}})
		require.NoError(t, err)
		require.Len(t, b.Movements, 2)
		assert.Equal(t, Some(-6.0), b.Movements[0].Value.Achieved)
		assert.Equal(t, Some(4.0), b.Movements[1].Value.Achieved)
	}
	_, err := Read(t.Context(), path, Options{Answers: question.Answers{"positive": "usual", ids["E"]: "achieved", ids["G"]: "achieved rotation"}})
	assert.Error(t, err, "two outcomes of one plan, and none of the other")
}

// Whatever the headers are, a column that is said to be read as amounts gives each of its
// cells to a record, a refused row or movement, or a row that is counted.
func TestEveryAmountIsAccountedFor(t *testing.T) {
	axes := []string{"rot", "tip", "torque", "vertical", "heave", "", "E/I", "md", "43 rot"}
	plans, outcomes := []string{"planned", "plan", "target", "soll", "mål"}, []string{"achieved", "result", "ist", "got", "xyz", "left to do"}
	rng := rand.New(rand.NewPCG(11, 5))
	read := 0
	for range 400 {
		header := []string{"case", "course", "tooth", "style"}
		for range 1 + rng.IntN(4) {
			axis := axes[rng.IntN(len(axes))]
			header = append(header, strings.TrimSpace(axis+" "+plans[rng.IntN(len(plans))]), strings.TrimSpace(axis+" "+outcomes[rng.IntN(len(outcomes))]))
		}
		text, cells := wideRows(rng, header)
		b, err := ingestAnswering(t, text)
		if err != nil {
			continue
		}
		read++
		gave := map[string]bool{}
		for _, m := range b.Movements {
			for _, c := range m.Original.Cells() {
				if c.Kept != "" {
					gave[c.Ref] = true
				}
			}
		}
		for _, x := range b.Rejected {
			for _, c := range x.Original.Cells() {
				gave[c.Ref] = true
			}
		}
		unread, refused := map[string]bool{}, map[string]bool{} // by column; by row
		for _, p := range b.Problems {
			if p.Rule == "column-unread" {
				unread[strings.TrimRight(p.Cell, "0123456789")] = true
			} else if gave[p.Cell] = true; strings.HasSuffix(p.Message, "the others of the row kept") {
				refused[strings.TrimLeft(p.Cell, "ABCDEFGHIJKLMN")] = true
			}
		}
		for _, ref := range cells {
			if column := strings.TrimRight(ref, "0123456789"); !unread[column] && !refused[strings.TrimPrefix(ref, column)] {
				require.True(t, gave[ref], "%s of\n%s", ref, text)
			}
		}
	}
	assert.Greater(t, read, 60)
}

// wideRows writes rows under a header, most of their amounts blank, and lists the cells of
// those that are not.
func wideRows(rng *rand.Rand, header []string) (text string, cells []string) {
	var b strings.Builder
	fmt.Fprintln(&b, strings.Join(header, ","))
	for i := range 6 {
		row := []string{fmt.Sprintf("F-%02d", i/2), "1", fmt.Sprint(41 + i), "none"}
		for col := 4; col < len(header); col++ {
			v := ""
			if col%2 == 0 && rng.IntN(3) > 0 || col%2 == 1 && row[col-1] != "" {
				v = fmt.Sprint(float64(rng.IntN(80)-40)/10 + 0.05)
				cells = append(cells, sheet.Ref(i+2, col+1))
			}
			row = append(row, v)
		}
		fmt.Fprintln(&b, strings.Join(row, ","))
	}
	return b.String(), cells
}

// ingestAnswering reads a text and takes the first choice of whatever is asked.
func ingestAnswering(t *testing.T, text string) (*Batch, error) {
	t.Helper()
	given := question.Answers{"positive": "usual"}
	for range 8 {
		b, err := read(t, text, Options{Answers: given})
		open := openOf(err)
		if len(open) == 0 {
			return b, err
		}
		for _, q := range open {
			given[q.ID] = q.Choices[0].Word
		}
	}
	return read(t, text, Options{Answers: given})
}

// Sheets of one invented patient as practices in Denmark, Norway and Sweden may head them:
// several movements in a row, the code in the first row of a patient alone.
func TestScandinavianSheets(t *testing.T) {
	for name, text := range map[string]string{
		"Danish, short": "Pt;Runde;Tand;Rot pl;Rot nået;Ext+/int- pl;Ext+/int- nået;Tq pl;Tq nået;Form bestemt af;Bem.\n",
		"Danish":        "Pt.nr;Runde;Tand;Rot plan °;Rot opnået °;E/I plan mm;E/I opn. mm;Torque plan;Torque opn.;Attachment;Bemærkning\n",
		"Norwegian":     "Pasient;Runde;Tann;Rotasjon planlagt;Rotasjon oppnådd;Ekstrusjon/intrusjon planlagt;Ekstrusjon/intrusjon oppnådd;Torque planlagt;Torque oppnådd;Attachment;Merknad\n",
		"Swedish":       "Patient;Omgång;Tand;Rotation planerad;Rotation uppnådd;Extrusion/intrusion planerad;Extrusion/intrusion uppnådd;Torque planerad;Torque uppnådd;Attachment;Anmärkning\n",
	} {
		text += "F-01;1;41;-8,5;-6;;;;;ingen;\n;;36;;;-0,9;-0,4;;;program;\nF-02;1;37;;;1,2;0,8;6;4,5;ingen;\n;;47;7;5;;;;;ingen;\n"
		b := mustRead(t, text, Options{Answers: usual})
		require.Len(t, b.Movements, 5, name)
		assert.Equal(t, map[string]int{"F-01": 2, "F-02": 3}, movementsOfCases(b), name)
		got := map[Tooth]float64{}
		for _, m := range valuesOf(b.Movements) {
			if m.Axis == Vertical {
				got[m.Tooth] = m.Planned
			}
		}
		assert.Equal(t, map[Tooth]float64{36: -0.9, 37: 1.2}, got, name)
	}
}
