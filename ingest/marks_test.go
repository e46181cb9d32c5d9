package ingest

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

const plainHead = "case,course,tooth,axis,planned,achieved,style\n"

// A ditto mark is the cell above, whatever that was itself; in the first row it is none.
func TestDittos(t *testing.T) {
	b := mustRead(t, plainHead+"A1,1,43,rotation,-10,-8,none\n'',do.,44,″,-12,-9,software\n〃,ditto,45,vertical,1,0.8,idem\n", Options{Answers: usual})
	require.Len(t, b.Movements, 3)
	last := b.Movements[2].Value
	assert.Equal(t, "A1", last.Case.ID)
	assert.Equal(t, 1, last.Course)
	assert.Equal(t, casebook.SoftwareSuggested, last.Style)
	assert.Equal(t, casebook.Rotation, b.Movements[1].Value.Axis)
	_, err := read(t, plainHead+"A1,1,43,do.,-10,-8,none\nA1,1,44,rotation,-12,-9,software\n", Options{})
	assert.Contains(t, idsOf(openOf(err)), "axis do.")
}

// A row that a remark takes back gives no record and does not stand against the
// right one.
func TestVoidRows(t *testing.T) {
	text := "case,course,tooth,axis,planned,achieved,style,see\nA1,1,43,rotation,-10,-80,none,Void - see next\nA1,1,43,rotation,-10,-8,none,\nA1,1,44,rotation,-10,-8,none,avoid\n"
	b := mustRead(t, text, Options{Answers: usual, AllowIdentifiers: true})
	require.Len(t, b.Movements, 2)
	assert.Equal(t, -8.0, b.Movements[0].Value.Achieved.Value)
	assert.Equal(t, []string{"row-void"}, rulesOf(b.Rejected[0].Reasons))
}

// A key below the records is no record, and is read; a lone word above records is no key.
func TestKeyBelowTheRecords(t *testing.T) {
	path := sheets(t, "data", "case,course,tooth,movement,planned,achieved,attachment\nK1,1,43,1,10,8,0\nK1,1,44,2,5,4,2\n\nKey\nMovement,Meaning\n1,Rotation mesial in\n2,Intrusion\n\nAttachment,Meaning\n0,none\n1,software\n2,clinician")
	b, err := Read(t.Context(), path, Options{})
	require.NoError(t, err)
	require.Len(t, b.Movements, 2)
	assert.Equal(t, -5.0, b.Movements[1].Value.Planned)
	assert.Equal(t, casebook.ClinicianDesigned, b.Movements[1].Value.Style)
	path = sheets(t, "data", "case,course,tooth,movement,planned,achieved,attachment\nK1,1,43,Rotation mesial in,10,8,none\n\nKey\nK1,1,44,Intrusion,5,4,none")
	b, err = Read(t.Context(), path, Options{})
	require.NoError(t, err)
	assert.Len(t, b.Movements, 2)
}

// A movement in two rows is asked about where somebody is there; else both are rejected.
func TestMovementInTwoRows(t *testing.T) {
	text := plainHead + "A1,1,43,rotation,-10,-8,none\nA1,1,44,rotation,-10,-7,none\nA1,1,43,rotation,-10,-6,none\n"
	b := mustRead(t, text, Options{Answers: usual})
	assert.Len(t, b.Rejected, 2)
	_, err := read(t, text, Options{Answers: usual, Ask: true})
	assert.Equal(t, []string{"twice"}, idsOf(openOf(err)))
	for word, want := range map[string]float64{"later": -6, "earlier": -8} {
		b = mustRead(t, text, Options{Answers: question.Answers{"positive": "usual", "twice": word}, Ask: true})
		require.Len(t, b.Movements, 2, word)
		got := map[casebook.Tooth]float64{}
		for _, m := range b.Movements {
			got[m.Value.Tooth] = m.Value.Achieved.Value
		}
		assert.Equal(t, want, got[43])
	}
}

// Of several movements in several rows each can be decided apart; rows that say the same
// are no ground for a question, and a third row is counted and decided with the others.
func TestEachMovementInSeveralRows(t *testing.T) {
	text := plainHead + "A1,1,43,rotation,-10,-8,none\nA1,1,44,rotation,-10,-7,none\nA1,1,43,rotation,-10,-6,none\nA1,1,44,rotation,-10,-5,none\nA1,1,43,rotation,-10,-6,none\n"
	given := question.Answers{"positive": "usual"}
	outcomes := func(word string) map[casebook.Tooth]float64 {
		given["twice"] = word
		b, err := read(t, text, Options{Answers: given, Ask: true})
		require.NoError(t, err)
		got := map[casebook.Tooth]float64{}
		for _, m := range b.Movements {
			got[m.Value.Tooth] = m.Value.Achieved.Value
		}
		assert.Len(t, b.Rejected, 5-len(b.Movements))
		return got
	}
	_, err := read(t, text, Options{Answers: given, Ask: true})
	require.Len(t, openOf(err), 1)
	assert.Contains(t, openOf(err)[0].Text, "2 movements stand in 5 rows")
	assert.Equal(t, map[casebook.Tooth]float64{43: -6, 44: -5}, outcomes("later"))
	assert.Equal(t, map[casebook.Tooth]float64{43: -8, 44: -7}, outcomes("earlier"))
	given["twice"] = "each"
	_, err = read(t, text, Options{Answers: given, Ask: true})
	open := openOf(err)
	require.Len(t, open, 2)
	assert.Equal(t, []string{"neither", "row 2", "row 4", "row 6"}, open[0].Words())
	given[open[0].ID], given[open[1].ID] = "row 2", "row 5"
	assert.Equal(t, map[casebook.Tooth]float64{43: -8, 44: -5}, outcomes("each"))
	given[open[0].ID] = "neither"
	assert.Equal(t, map[casebook.Tooth]float64{44: -5}, outcomes("each"))

	_, err = read(t, strings.Replace(text, "-10,-8", "-10,-9", 1), Options{Answers: given, Ask: true})
	assert.Len(t, openOf(err), 1, "an answer about rows does not cover other ones")
}

// TestOppositeWaysOfOneTooth: an extrusion and an intrusion of one tooth, given as sizes,
// are two movements; the question names case and tooth, and says what a course can hold.
func TestOppositeWaysOfOneTooth(t *testing.T) {
	text := "Fall,Serie,Zahn,Bewegung,Soll,Ist,Attachment\nF1,1,44,Extrusion,0.6,0,keines\nF1,1,43,Extrusion,0.5,0.4,keines\nF1,1,44,Intrusion,1.3,0,eigenes\nF2,1,12,Intrusion,1,0.5,keines\nF2,1,12,Intrusion,1,0.6,keines\n"
	given := question.Answers{"style eigenes": "clinician", "notation": "fdi"}
	_, err := read(t, text, Options{Answers: given, Ask: true})
	open := openOf(err)
	require.Equal(t, []string{"twice"}, idsOf(open))
	assert.Equal(t, "2 movements stand in 4 rows with different values, 1 of them planned both ways along one axis: what counts?", open[0].Text)
	assert.Equal(t, "case F1, tooth 44: row 2: extrusion planned 0.6, achieved 0, attachment none; row 4: intrusion planned 1.3, achieved 0, attachment clinician-designed", open[0].Examples[0])
	assert.Contains(t, open[0].Choices[0].Text, "under the number of a later course")
	given["twice"] = "each"
	_, err = read(t, text, Options{Answers: given, Ask: true})
	open = openOf(err)
	require.Len(t, open, 2)
	assert.Equal(t, "What counts for case F1, tooth 44, planned both ways along one axis (vertical) in course 1?", open[0].Text)
	assert.Equal(t, "Which row is right for case F2, tooth 12, vertical, course 1?", open[1].Text)
	assert.NotContains(t, open[1].Choices[0].Text, "axis")

	assert.Equal(t, []string{"neither", "row 2", "row 4"}, open[0].Words(), "attachments differ, so there is no sum")

	delete(given, "twice")
	b := mustRead(t, text, Options{Answers: given}) // nobody is there: both are out, and it is said why
	assert.Len(t, b.Movements, 1)
	assert.Contains(t, b.Rejected[0].Reasons[0].Message, "the other way along its axis")

	alike := strings.Replace(strings.Replace(text, "0.6,0,", "0.6,0.5,", 1), "1.3,0,eigenes", "1.3,0.3,keines", 1)
	given["twice"] = "both"
	b = mustRead(t, alike, Options{Answers: given, Ask: true})
	require.Len(t, b.Movements, 2)
	assert.Equal(t, []float64{-0.7, 0.2}, []float64{b.Movements[0].Value.Planned, b.Movements[0].Value.Achieved.Value}, "0.6 out and 1.3 in, 0.5 and 0.3 of them")
	assert.Equal(t, []int{2, 3, 2}, []int{b.Movements[0].Source.Row, b.Sheets[0].Counts.Accepted, len(b.Rejected)})
	unmeasured := mustRead(t, strings.Replace(alike, "1.3,0.3,", "1.3,,", 1), Options{Answers: given, Ask: true})
	require.Len(t, unmeasured.Movements, 2)
	assert.False(t, unmeasured.Movements[0].Value.Achieved.OK, "half an outcome is none")
	assert.Len(t, mustRead(t, text, Options{Answers: given, Ask: true}).Movements, 1, "attachments differ: both rows are out")
	given["twice"] = "each"
	_, err = read(t, alike, Options{Answers: given, Ask: true})
	require.Len(t, openOf(err), 2)
	assert.Contains(t, openOf(err)[0].Choices[3].Text, "intrusion planned 0.7, achieved -0.2")
	each := maps.Clone(given)
	each[openOf(err)[0].ID], each[openOf(err)[1].ID] = "both", "neither"
	assert.InDelta(t, -0.7, mustRead(t, alike, Options{Answers: each, Ask: true}).Movements[0].Value.Planned, 1e-9)

	both := strings.Replace(text, "F1,1,44,Intrusion", "F1,2,44,Intrusion", 1) // what the choice says is so
	given["twice"] = "later"
	assert.Len(t, mustRead(t, both, Options{Answers: given, Ask: true}).Movements, 4)

	text = strings.ReplaceAll(text, "F1,", "Anna Schmidt,")
	given["twice"] = "each"
	_, err = read(t, text, Options{Answers: given, Ask: true, AllowIdentifiers: true})
	require.Len(t, openOf(err), 2)
	for _, q := range openOf(err) {
		assert.NotContains(t, q.Text, "Anna")
	}
}

// Each table has the notation of its own header where all name one.
func TestNotationOfEachTable(t *testing.T) {
	path := sheets(t, "a", "case,course,tooth (FDI),movement,planned,achieved\nK1,1,12,extrusion,1,1\nK1,1,44,extrusion,1,1",
		"b", "case,course,tooth (Universal),movement,planned,achieved\nK2,1,12,extrusion,1,1\nK2,1,9,extrusion,1,1")
	b, err := Read(t.Context(), path, Options{})
	require.NoError(t, err)
	teeth := map[string][]casebook.Tooth{}
	for _, m := range b.Movements {
		teeth[m.Value.Case.ID] = append(teeth[m.Value.Case.ID], m.Value.Tooth)
	}
	assert.Equal(t, map[string][]casebook.Tooth{"K1": {12, 44}, "K2": {24, 21}}, teeth)
	// A header that its own teeth contradict is asked about.
	path = sheets(t, "a", "case,course,tooth (FDI),movement,planned,achieved\nK1,1,12,extrusion,1,1\nK1,1,9,extrusion,1,1",
		"b", "case,course,tooth (Universal),movement,planned,achieved\nK2,1,12,extrusion,1,1")
	_, err = Read(t.Context(), path, Options{})
	assert.Contains(t, idsOf(openOf(err)), "notation")
}

// The rows shown with a question are rows that it is about.
func TestExamplesAreOfTheQuestion(t *testing.T) {
	text := "case,course,tooth,movement,planned,achieved,attachment\nA1,1,43,intrusion,1.2,1,none\nA1,1,44,buccal torque,5,4,none\nA2,1,43,rotation,12,9,none\nA2,1,44,rotation,11,9,none\n"
	_, err := read(t, text, Options{Ask: true})
	open := openOf(err)
	require.Len(t, open, 1)
	assert.Equal(t, []string{"row 4: rotation planned 12, achieved 9", "row 5: rotation planned 11, achieved 9"}, open[0].Examples)
}

// between are rows that are no record, or none that can be read, with the code that they
// begin a block of, if they do.
var between = map[string]func(code string) (row, begins string){
	"remark beside":     func(string) (string, string) { return ",,,,,,,,scan taken again", "" },
	"remark below":      func(string) (string, string) { return "remember: two scans missing,,,,,,,,", "" },
	"remark with code":  func(c string) (string, string) { return c + ",,,,,,,,new scanner", c },
	"total":             func(string) (string, string) { return "Total,,,,,,30,20,", "" },
	"mean beside":       func(string) (string, string) { return ",,,Mean,,,5,4,", "" },
	"header again":      func(string) (string, string) { return blockHeader, "" },
	"void":              func(c string) (string, string) { return c + ",1,MM,47,rotation,none,5,4,cancelled", c },
	"tooth without":     func(c string) (string, string) { return c + ",1,MM,47,rotation,none,,,", c },
	"no number":         func(c string) (string, string) { return c + ",1,MM,47,rotation,none,much,4,", c },
	"stray quote":       func(c string) (string, string) { return c + ",1,MM,47,rotation,none,5,4,3\" wire", c },
	"blank":             func(string) (string, string) { return ",,,,,,,,", "" },
	"another tooth":     func(c string) (string, string) { return c + ",1,MM,99,rotation,none,5,4,", c },
	"code alone":        func(c string) (string, string) { return c + ",,,,,,,,", c },
	"course and remark": func(string) (string, string) { return ",,,,,,,,second scan", "" },
}

const blockHeader = "case,course,clinician,tooth,movement,attachment,planned,achieved,remarks"

// Whatever stands between the rows, a row without a code belongs to the last code written
// above it or is refused: never to another patient. The same holds for what is written
// once a case.
func TestBlanksNeverReachAcrossAnotherCode(t *testing.T) {
	names := []string{}
	for name := range between {
		names = append(names, name)
	}
	slices.Sort(names)
	rng := rand.New(rand.NewPCG(3, 9))
	kept, refused, n := 0, 0, often(300)
	for range n {
		lines, truth := []string{blockHeader}, map[int]string{}
		last := ""
		for p := range 5 {
			code := fmt.Sprintf("F-%02d", 2*p)
			if rng.IntN(3) == 0 {
				row, begins := between[names[rng.IntN(len(names))]](fmt.Sprintf("F-%02d", 2*p+1))
				if lines = append(lines, row); begins != "" {
					last = begins
				}
			}
			for i := range 3 {
				own, course, who := "", "", ""
				if i == 0 && rng.IntN(5) > 0 {
					own, course, who, last = code, fmt.Sprint(1+p%2), fmt.Sprintf("C%d", p), code
				}
				lines = append(lines, fmt.Sprintf("%s,%s,%s,%d,rotation,none,%d,%d,", own, course, who, 41+len(lines)%7, -9+i, -6+i))
				truth[len(lines)] = last
			}
		}
		text := strings.Join(lines, "\n") + "\n"
		b, err := read(t, text, Options{AllowIdentifiers: true, Answers: answersOf("positive=usual;blank case=above")})
		if err != nil {
			continue
		}
		for _, m := range b.Movements {
			kept++
			require.Equal(t, truth[m.Source.Row], m.Value.Case.ID, "row %d of\n%s", m.Source.Row, text)
		}
		refused += len(b.Rejected)
	}
	assert.Greater(t, kept, 5*n)
	assert.Positive(t, refused)
}

// A course that is written once a case is not that of the case above where it is blank; one
// that is written once for several cases is.
func TestCourseOfABlockEndsWithItsCase(t *testing.T) {
	head := "case,course,tooth,movement,attachment,planned,achieved\n"
	within := head + "F-01,2,41,rotation,none,-9,-6\n,,42,rotation,none,-8,-6\nF-02,1,41,rotation,none,-9,-5\n,,42,rotation,none,-7,-5\nF-03,,41,rotation,none,-9,-5\n,,42,rotation,none,-7,-5\n"
	b := mustRead(t, within, Options{Answers: usual})
	assert.Equal(t, map[string]int{"F-01": 2, "F-02": 2}, movementsOfCases(b))
	assert.Len(t, b.Rejected, 2)
	over := head + "F-01,1,41,rotation,none,-9,-6\n,,42,rotation,none,-8,-6\nF-02,,41,rotation,none,-9,-5\n,,42,rotation,none,-7,-5\nF-03,,41,rotation,none,-9,-5\n,,42,rotation,none,-7,-5\n"
	b = mustRead(t, over, Options{Answers: usual})
	assert.Equal(t, map[string]int{"F-01": 2, "F-02": 2, "F-03": 2}, movementsOfCases(b))
}

// A ditto mark stands for the cell above it, and for none where that is of a row that was
// not read.
func TestDittoBelowARowThatIsNoRecord(t *testing.T) {
	head := "case,course,tooth,movement,attachment,planned,achieved,remarks\n"
	b := mustRead(t, head+"F-01,1,43,rotation,none,-9,-6,\ndo.,1,44,rotation,none,-8,-6,\nF-02,,,,,,,later\ndo.,1,45,rotation,none,-7,-6,\n", Options{Answers: usual})
	assert.Equal(t, map[string]int{"F-01": 2}, movementsOfCases(b))
	require.Len(t, b.Rejected, 1)
	assert.Equal(t, "code-unreadable", b.Rejected[0].Reasons[0].Rule)
}

// Rows of sums and means between and below the records hold none, in whatever column their
// word stands. One that only begins with such a word is a case, unless its numbers are the
// sum or the mean of those above.
func TestRowsOfSums(t *testing.T) {
	const head = "case,course,tooth,movement,planned,achieved,attachment\n"
	const first, second = "K1,1,43,rotation,-4,-3,none\nK1,1,44,rotation,5,3.5,none\n", "K2,1,44,rotation,5,3,none\nK2,1,45,rotation,6,4,none\n"
	for _, sums := range [][2]string{
		{"Summa,,,,1,0.5,\n", "Summa,,,,12,7.5,\nSnitt,,,,3,1.875,\n"},
		{"Summa K1,,,,1,0.5,\n", "Summa K2,,,,11,7,\nMedelvärde K2,,,,5.5,3.5,\nTotalt K,,,,12,7.5,\n"},
		{"K1,1,Totaal,,1,0.5,\n", "K2,1,Totaal,,11,7,\n,,Gemiddelde,,3,1.9,\n"},
	} {
		b := mustRead(t, head+first+sums[0]+second+sums[1], Options{Answers: usual})
		assert.Empty(t, b.Rejected, sums)
		assert.Len(t, b.Movements, 4, sums)
		assert.Contains(t, rulesOf(b.Problems), "row-unused", sums)
	}
	for _, other := range []string{"Summa K1,,,,3,0.5,\n", "Summa K1,x,,,1,0.5,\n", "Summa K1,,,,1,0.6,\n", "Summa K1,,43,,1,0.5,\n"} {
		b := mustRead(t, head+first+other, Options{Answers: usual})
		assert.Len(t, b.Rejected, 1, other)
	}
	// In a list of cases as well.
	const list = "case,aligners planned,refinements,status\nA1,20,1,completed\nA2,30,2,completed\n"
	assert.Len(t, mustRead(t, list+"Total A,50,3,\n", Options{}).Cases, 2)
	assert.Empty(t, mustRead(t, list+"Total A,50,3,\n", Options{}).Rejected)
	assert.Len(t, mustRead(t, list+"Total A,50,4,completed\n", Options{}).Cases, 3)
}
