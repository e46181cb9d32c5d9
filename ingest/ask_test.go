package ingest

import (
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
)

// asked lists the ids of the questions of a refusal and fails where anything
// else refuses the file too.
func asked(t *testing.T, err error) []string {
	t.Helper()
	var out []string
	errs := 0
	for _, p := range Problems(err) {
		if p.Severity == Error {
			errs++
			assert.NotEmpty(t, p.Message)
			assert.Contains(t, p.Remedy, "--answer", p.Message)
		}
	}
	for _, group := range question.Groups(openOf(err)) {
		for _, q := range group {
			assert.True(t, strings.HasSuffix(q.Text, "?") || strings.Contains(q.Text, "? "), q.Text)
			assert.NotEmpty(t, q.Choices, q.ID)
		}
		if q := group[0]; q.Group != nil {
			assert.True(t, strings.HasSuffix(q.Group.Text, "?"), q.Group.Text)
			out = append(out, q.Group.ID)
		} else {
			out = append(out, q.ID)
		}
	}
	assert.Equal(t, len(out), errs, "%v", err)
	return out
}

// usual answers what every sheet with signs and without a legend is asked.
var usual = question.Answers{"positive": "usual"}

// mustAsk reads a text that must be asked about, and what comes of answers.
func mustAsk(t *testing.T, text string, ids ...string) {
	t.Helper()
	b, err := read(t, text, Options{Answers: usual})
	if assert.Error(t, err, "accepted: %v", b) {
		assert.Equal(t, ids, asked(t, err), text)
	}
}

func answered(t *testing.T, text string, pairs ...string) []Movement {
	t.Helper()
	return recordsOf(mustRead(t, text, Options{Answers: answersOf(strings.Join(append(pairs, "positive=usual"), ";"))})).Movements
}

// sheets writes a workbook: name of a sheet, its rows as comma-separated text.
func sheets(t *testing.T, pairs ...string) string {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	for i := 0; i < len(pairs); i += 2 {
		if i == 0 {
			require.NoError(t, f.SetSheetName("Sheet1", pairs[0]))
		} else {
			_, err := f.NewSheet(pairs[i])
			require.NoError(t, err)
		}
		for row, line := range strings.Split(pairs[i+1], "\n") {
			for col, text := range strings.Split(line, ",") {
				ref, _ := excelize.CoordinatesToCellName(col+1, row+1)
				require.NoError(t, f.SetCellValue(pairs[i], ref, text))
			}
		}
	}
	path := filepath.Join(t.TempDir(), "own.xlsx")
	out, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, f.Write(out))
	require.NoError(t, out.Close())
	return path
}

const sizesOnly = "patient,course,tooth,movement,planned,achieved,attachment\nK1,1,43,rotation,10,8,none\nK1,1,44,torque,5,4,none\n"

// Amounts that are all positive and have no direction are asked about, at any size.
func TestSignsAreAsked(t *testing.T) {
	mustAsk(t, sizesOnly, "signs")
	for _, m := range answered(t, sizesOnly, "signs=sizes") {
		assert.True(t, m.SizeOnly)
	}
	for _, m := range answered(t, sizesOnly, "signs=signed") {
		assert.False(t, m.SizeOnly)
	}
	assert.Len(t, answered(t, strings.Replace(sizesOnly, ",10,8", ",-10,-8", 1)), 2, "one negative amount shows signs")
	withDirection := strings.NewReplacer("rotation", "extrusion", "torque", "intrusion").Replace(sizesOnly)
	assert.Equal(t, []float64{10, -5}, plannedOf(answered(t, withDirection)))
	// A row without a direction among rows with one is asked about too.
	mustAsk(t, strings.Replace(sizesOnly, "rotation", "extrusion", 1), "signs")
}

func plannedOf(ms []Movement) (out []float64) {
	for _, m := range ms {
		out = append(out, m.Planned)
	}
	return out
}

// The whole file decides: a sign on one of its sheets shows that it writes signs.
func TestSignsAreJudgedOverTheFile(t *testing.T) {
	head := "patient,course,tooth,movement,planned,achieved,attachment\n"
	rows := "K1,1,43,rotation,10,8,none\nK1,1,44,torque,5,4,none"
	_, err := Read(t.Context(), sheets(t, "a", head+rows, "b", head+strings.ReplaceAll(rows, "K1", "K2")), Options{Answers: usual})
	assert.Equal(t, []string{"signs"}, asked(t, err))
	_, err = Read(t.Context(), sheets(t, "a", head+rows, "b", head+strings.ReplaceAll(strings.ReplaceAll(rows, "K1", "K2"), ",10,8", ",-10,-8")), Options{Answers: usual})
	assert.NoError(t, err)
}

// Axes without one negative amount beside others with signs are asked about: extrusion and
// intrusion told apart by sign, rotations kept as sizes. A dozen may not be chance.
func TestSizesAlongSomeAxes(t *testing.T) {
	rotations := func(n int) string {
		var sb strings.Builder
		sb.WriteString("patient,course,tooth,movement,planned,achieved,attachment\nK0,1,43,vertical,-1,-0.8,none\n")
		for i := range n {
			fmt.Fprintf(&sb, "K%d,1,43,rotation,10,8,none\n", i+1)
		}
		return sb.String()
	}
	assert.Len(t, answered(t, rotations(11)), 12)
	mustAsk(t, rotations(12), "sizes")
	for _, m := range answered(t, rotations(12), "sizes=sizes") {
		assert.Equal(t, m.Axis == Rotation, m.SizeOnly)
	}
	for _, m := range answered(t, rotations(12), "sizes=signed") {
		assert.False(t, m.SizeOnly)
	}
	_, err := read(t, rotations(12), Options{Answers: question.Answers{"sizes": "sizes"}})
	require.Error(t, err)
	assert.NotContains(t, err.Error(), "mesial-in", "what has no direction is not asked for its positive one")
	wide := "patient,course,tooth,rotation planned,rotation achieved,vertical planned,vertical achieved,attachment\n"
	for i := range 12 {
		wide += fmt.Sprintf("K%d,1,43,10,8,-1,-0.7,none\n", i)
	}
	mustAsk(t, wide, "sizes")
}

// One clinician in several spellings is asked about, and counts once where it is one.
func TestCliniciansInSeveralSpellings(t *testing.T) {
	const text = "patient,clinician,course,tooth,movement,planned,achieved,attachment\nK1,MH,1,43,rotation,-10,-8,none\nK2,M.H.,1,44,rotation,9,3,none\nK3,mh,1,45,rotation,9,7,none\nK4,MH,1,45,rotation,9,7,none\nK5,LK,1,45,rotation,9,7,none\n"
	mustAsk(t, text, "clinician codes")
	of := func(answer string) (out []string) {
		for _, c := range recordsOf(mustRead(t, text, Options{Answers: answersOf("positive=usual;clinician codes=" + answer)})).Cases {
			out = append(out, c.Clinician)
		}
		return out
	}
	assert.Equal(t, []string{"MH", "MH", "MH", "MH", "LK"}, of("same"))
	assert.Equal(t, []string{"MH", "M.H.", "mh", "MH", "LK"}, of("different"))
}

// Two or more outcomes without the minus that the others have, and none the other way.
func TestForgottenMinus(t *testing.T) {
	const text = "patient,course,tooth,movement,planned,achieved,attachment\nK1,1,43,rotation,-10,-8,none\nK1,1,44,rotation,-9,3,none\nK1,1,45,rotation,-9,7,none\nK2,1,45,rotation,9,7,none\n"
	mustAsk(t, text, "forgotten minus")
	got := func(pairs ...string) (out []float64) {
		for _, m := range answered(t, text, pairs...) {
			out = append(out, m.Achieved.Value)
		}
		return out
	}
	assert.Equal(t, []float64{-8, -3, -7, 7}, got("forgotten minus=along plan"))
	assert.Equal(t, []float64{-8, 3, 7, 7}, got("forgotten minus=against plan"))
	assert.Equal(t, []float64{-8, 7}, got("forgotten minus=reject"))
	assert.Equal(t, []float64{8, 3, 7, -7}, func() (out []float64) {
		for _, m := range recordsOf(mustRead(t, text, Options{Answers: answersOf("positive=rotation mesial-out;forgotten minus=along plan")})).Movements {
			out = append(out, m.Achieved.Value)
		}
		return out
	}(), "positive is the other way")
	assert.Len(t, answered(t, strings.Replace(text, "-9,3", "-9,2.9", 1)), 4, "less than a third, and the one that is left may be real")
	assert.Len(t, answered(t, text+"K2,1,46,rotation,9,-7,none\n"), 5, "it happens both ways")
}

// Plans with signs beside outcomes without.
func TestOutcomesWithoutSigns(t *testing.T) {
	text := "patient,course,tooth,movement,planned,achieved,attachment\nK1,1,43,rotation,-10,8,none\nK1,1,44,torque,-5,4,none\nK1,1,45,torque,5,4,none\n"
	mustAsk(t, text, "achieved signs")
	assert.Equal(t, Some(-8.0), answered(t, text, "achieved signs=along plan")[0].Achieved)
	assert.Equal(t, Some(8.0), answered(t, text, "achieved signs=against plan")[0].Achieved)
}

// Numbers from 1 to 8 are no Universal numbers because they happen to be numbers.
func TestTeethFromOneToEight(t *testing.T) {
	text := "patient,course,tooth,movement,planned,achieved,attachment\nK1,1,3,rotation,-10,-8,none\nK1,1,4,torque,5,4,none\n"
	mustAsk(t, text, "notation")
	_, err := read(t, text, Options{Answers: usual})
	assert.Equal(t, []string{"universal"}, openOf(err)[0].Words(), "FDI has no such teeth")
	withQuadrant := "patient,course,quadrant,tooth,movement,planned,achieved,attachment\nK1,1,4,3,rotation,-10,-8,none\nK1,1,UL,4,torque,5,4,none\n"
	assert.Equal(t, []Tooth{24, 43}, teethOf(answered(t, withQuadrant)))
	withSides := "patient,course,U/L,R/L,tooth no,movement,planned,achieved,attachment\nK1,1,L,R,3,rotation,-10,-8,none\nK1,1,U,L,4,torque,5,4,none\n"
	assert.Equal(t, []Tooth{24, 43}, teethOf(answered(t, withSides)))
	// Without the side it is not a tooth.
	mustAsk(t, strings.NewReplacer(",R/L", "", ",R,3", ",3", ",L,4", ",4").Replace(withSides), "notation")
	// A quadrant that is blank costs its row, one that contradicts the tooth too.
	b := mustRead(t, strings.Replace(withQuadrant, "1,UL,4", "1,,4", 1), Options{Answers: usual})
	assert.Equal(t, []string{"tooth-unknown@D3"}, reasons(b))
	b = mustRead(t, strings.NewReplacer("4,3,rot", "4,33,rot", "UL,4,", "2,24,").Replace(withQuadrant), Options{Answers: usual})
	assert.Equal(t, []string{"tooth-unknown@D2"}, reasons(b))
}

func teethOf(ms []Movement) (out []Tooth) {
	for _, m := range ms {
		out = append(out, m.Tooth)
	}
	return out
}

// TestYesAndNoAreNoAmount: a header as short as "after" over words of yes and no is neither
// a position nor what was left, in any language, and the amounts beside it stand.
func TestYesAndNoAreNoAmount(t *testing.T) {
	for header, words := range map[string][2]string{
		"After": {"no", "yes"}, "nach Behandlung": {"nein", "ja"}, "Endposition": {"n", "j"}, "Rest": {"nein", "ja"},
		"Après": {"non", "oui"}, "Résiduel": {"non", "oui"}, "Después": {"no", "sí"}, "Dopo": {"no", "sì"}, "Residuo": {"no", "sì"},
		"Depois": {"não", "sim"}, "Na": {"nee", "ja"}, "Po leczeniu": {"nie", "tak"}, "Target": {"no", "yes"}, "Remaining": {"-", "x"},
	} {
		text := "patient,course,tooth,movement,planned,achieved," + header + "\nK1,1,43,rotation,-10,-8," + words[0] + "\nK1,1,44,rotation,-5,-4," + words[1] + "\n"
		b := mustRead(t, text, Options{Answers: question.Answers{"positive": "usual"}})
		told := slices.ContainsFunc(b.Problems, func(p Problem) bool { return p.Rule == "column-unread" && p.Column == header })
		assert.True(t, told, "%s: %v", header, b.Problems)
		ms := recordsOf(b).Movements
		assert.Equal(t, []float64{-8, -4}, []float64{ms[0].Achieved.Value, ms[1].Achieved.Value}, header)
	}
}

// The header may name the notation.
func TestHeaderNamesTheNotation(t *testing.T) {
	text := "patient,course,Tooth (FDI),movement,planned,achieved,attachment\nK1,1,13,rotation,-10,-8,none\nK1,1,14,torque,5,4,none\n"
	assert.Equal(t, []Tooth{13, 14}, teethOf(answered(t, text)))
	assert.Equal(t, []Tooth{25, 26}, teethOf(answered(t, strings.Replace(text, "FDI", "Universal", 1))))
	mustAsk(t, strings.Replace(text, " (FDI)", "", 1), "notation")
	mustAsk(t, strings.Replace(text, "K1,1,14", "K1,1,19", 1), "notation") // 19 is no FDI tooth
}

// Courses are numbered from 1, from 0, or after refinements.
func TestCourseNumbers(t *testing.T) {
	text := "patient,COL,tooth,movement,planned,achieved,attachment\nK1,A,43,rotation,-10,-8,none\nK1,B,43,rotation,-5,-4,none\n"
	with := func(header, a, b string) string {
		return strings.NewReplacer("COL", header, ",A,", ","+a+",", ",B,", ","+b+",").Replace(text)
	}
	courses := func(ms []Movement) (out []int) {
		for _, m := range ms {
			out = append(out, m.Course)
		}
		return out
	}
	assert.Equal(t, []int{1, 2}, courses(answered(t, with("course", "1", "2"))))
	assert.Equal(t, []int{1, 2}, courses(answered(t, with("course", "0", "1"))))
	assert.Equal(t, []int{1, 2}, courses(answered(t, with("Refinement", "0", "1"))))
	assert.Equal(t, []int{1, 2}, courses(answered(t, with("Refinement #", "initial", "refinement 1"))))
	mustAsk(t, with("Ref no.", "1", "2"), "course numbers")
	mustAsk(t, with("Refinement", "", "1"), "course numbers")
	assert.Equal(t, []int{2, 3}, courses(answered(t, with("Refinement", "1", "2"), "course numbers=refinements")))
	assert.Equal(t, []int{1, 2}, courses(answered(t, with("Refinement", "", "1"), "course numbers=refinements")))
	assert.Equal(t, []int{1, 2}, courses(answered(t, with("Refinement", "1", "2"), "course numbers=courses")))
	mustAsk(t, with("Refinement?", "no", "yes"), "course numbers")
	mustAsk(t, with("Nachbehandlung", "nein", "ja"), "course numbers")
	assert.Equal(t, []int{1, 1}, courses(answered(t, strings.Replace(with("Nachbehandlung", "nein", "nein"), "nein,43", "nein,44", 1))))
	mustAsk(t, with("After", "no", "yes"), "course") // no amount: no position
	assert.Equal(t, []int{1, 2}, courses(answered(t, with("Refinement?", "no", "yes"), "course numbers=first")))
}

// Positions are never read as movements.
func TestPositionsAreAsked(t *testing.T) {
	text := "patient,course,tooth,movement,before,planned,after,attachment\nK1,1,43,rotation,20,5,8,none\nK1,1,44,torque,-3,4,2,none\n"
	mustAsk(t, text, "positions")
	ms := answered(t, text, "positions=positions")
	assert.Equal(t, []float64{-15, 7}, plannedOf(ms))
	assert.Equal(t, Some(-12.0), ms[0].Achieved)
	named := strings.Replace(text, "before,planned,after", "start position,target position,final position", 1)
	assert.Equal(t, ms, answered(t, named), "plain names leave no doubt")
}

// A file in which no style is found says so first.
func TestNoStyleIsSaidFirst(t *testing.T) {
	b := mustRead(t, "patient,course,tooth,movement,planned,achieved,Wobble\nK1,1,43,rotation,-10,-8,x\n", Options{Answers: usual})
	assert.Equal(t, "style-not-found", b.Problems[0].Rule)
	assert.Contains(t, b.Problems[0].Message, "columns not read: Wobble")
	b = mustRead(t, "patient,course,tooth,movement,planned,achieved,Att.\nK1,1,43,rotation,-10,-8,none\n", Options{Answers: usual})
	assert.NotContains(t, rulesOf(b.Problems), "style-not-found")
}

func TestStylesAreAsked(t *testing.T) {
	head := "patient,course,tooth,movement,planned,achieved,"
	yes := head + "attachment?\nK1,1,43,rotation,-10,-8,Y\nK1,1,44,torque,5,4,N\n"
	mustAsk(t, yes, "attachment yes")
	assert.Equal(t, []Style{ClinicianDesigned, StyleNone}, stylesOf(answered(t, yes, "attachment yes=clinician")))
	pair := head + "attachment?,changed by me?\nK1,1,43,rotation,-10,-8,Y,N\nK1,1,44,torque,5,4,N,\nK1,1,45,torque,5,4,Y,Y\n"
	assert.Equal(t, []Style{SoftwareSuggested, StyleNone, ClinicianDesigned}, stylesOf(answered(t, pair)))
	blank := head + "attachment\nK1,1,43,rotation,-10,-8,software\nK1,1,44,torque,5,4,\n"
	mustAsk(t, blank, "blank attachment")
	assert.Equal(t, []Style{SoftwareSuggested, StyleNone}, stylesOf(answered(t, blank, "blank attachment=none")))
	assert.Equal(t, []Style{SoftwareSuggested, NoStyle}, stylesOf(answered(t, blank, "blank attachment=not recorded")))
	word := head + "attachment\nK1,1,43,rotation,-10,-8,MK\nK1,1,44,torque,5,4,MK\nK1,1,45,torque,5,4,none\n"
	mustAsk(t, word, "style MK")
	assert.Equal(t, []Style{ClinicianDesigned, ClinicianDesigned, StyleNone}, stylesOf(answered(t, word, "style MK=clinician")))
}

func stylesOf(ms []Movement) (out []Style) {
	for _, m := range ms {
		out = append(out, m.Style)
	}
	return out
}

func TestLettersOfAxesAreAskedOnce(t *testing.T) {
	text := "patient,course,tooth,movement,planned,achieved,attachment\nK1,1,43,R,-10,-8,none\nK1,1,44,E,1,1,none\nK1,1,45,R,5,4,none\n"
	mustAsk(t, text, "axis words")
	ms := answered(t, text, "axis E=extrusion", "axis R=rotation")
	assert.Equal(t, Rotation, ms[0].Axis)
	assert.Equal(t, Vertical, ms[1].Axis)
	// The usual meaning is proposed; a letter that may be two movements has none.
	_, err := read(t, strings.Replace(text, ",E,", ",T,", 1), Options{Answers: usual})
	open := openOf(err)
	assert.Equal(t, "rotation", open[0].Proposed)
	assert.Empty(t, open[1].Proposed)
	assert.Contains(t, err.Error(), `which movements are "R" (2 times, perhaps rotation), "T" (1 times)?`)
	assert.Contains(t, err.Error(), `--answer "axis words=R: rotation; T: ..."`)
	// One answer for all of them does as well.
	b := mustRead(t, text, Options{Answers: question.Answers{"axis words": "R: rotation; E: extrusion", "positive": "usual"}})
	assert.Equal(t, ms, recordsOf(b).Movements)
}

// Which way a clock, and right and left, go depends on where one stands: asked where
// the file does not say, and read at each tooth.
func TestDirectionsThatNeedAView(t *testing.T) {
	clock := "patient,course,tooth,movement,direction,planned,achieved,attachment\nK1,1,43,rotation,clockwise,10,8,none\nK1,1,33,rotation,clockwise,5,4,none\n"
	mustAskOnly(t, clock, "clock")
	read := func(text string, pairs ...string) []float64 {
		return plannedOf(recordsOf(mustRead(t, text, Options{Answers: answersOf(strings.Join(pairs, ";"))})).Movements)
	}
	assert.Equal(t, []float64{5, -10}, read(clock, "clock=occlusal"))
	assert.Equal(t, []float64{-5, 10}, read(clock, "clock=apical"))
	assert.Equal(t, []float64{5, -10}, read("Rotations seen from occlusal,,,,,,,\n"+clock))
	sides := "patient,course,tooth,movement,direction,planned,achieved,attachment\nK1,1,43,mesiodistal shift,left,1,0.8,none\nK1,1,33,mesiodistal shift,left,0.5,0.4,none\n"
	mustAskOnly(t, sides, "right and left")
	assert.Equal(t, []float64{-0.5, 1}, read(sides, "right and left=patient"))
	assert.Equal(t, []float64{0.5, -1}, read(sides, "right and left=observer"))
	up := "patient,course,tooth,movement,direction,planned,achieved,attachment\nK1,1,43,vertical,up,1,0.8,none\nK1,1,13,vertical,up,0.5,0.4,none\n"
	assert.Equal(t, []float64{-0.5, 1}, read(up))
}

func mustAskOnly(t *testing.T, text string, ids ...string) {
	t.Helper()
	_, err := read(t, text, Options{})
	assert.Equal(t, ids, asked(t, err), text)
}

func TestAnswerNobodyAskedFor(t *testing.T) {
	b := mustRead(t, strings.Replace(sizesOnly, ",10,8", ",-10,-8", 1), Options{Answers: question.Answers{"sings": "sizes", "positive": "usual"}})
	assert.Contains(t, rulesOf(b.Problems), "answer-unused")
	_, err := read(t, sizesOnly, Options{Answers: question.Answers{"signs": "maybe"}})
	assert.Equal(t, []string{"signs"}, asked(t, err))
	assert.Contains(t, err.Error(), "The answer maybe is none of the choices")
}

func idsOf(qs []question.Question) []string {
	out := make([]string, len(qs))
	for i, q := range qs {
		out[i] = q.ID
	}
	return out
}

// What was said of the signs of some movements says nothing of others: the same headers
// with another movement, or a column that is named later, ask anew.
func TestSignsAreAnsweredByMovement(t *testing.T) {
	const head = "patient,course,tooth,movement,planned,achieved,attachment\n"
	memory := &remembers{kept: map[string]question.Answers{}}
	first := head + "K1,1,43,rotation,-10,-8,none\nK1,1,44,rotation,9,7,none\n"
	_, err := read(t, first, Options{Memory: memory})
	assert.Equal(t, []string{"positive rotation"}, idsOf(openOf(err)))
	mustRead(t, first, Options{Memory: memory, Answers: question.Answers{"positive": "rotation mesial-out"}})
	b := mustRead(t, strings.ReplaceAll(first, "K1", "K2"), Options{Memory: memory})
	assert.Equal(t, []float64{10, -9}, []float64{b.Movements[0].Value.Planned, b.Movements[1].Value.Planned})
	later := first + "K1,1,43,torque,-3,-2,none\nK1,1,43,extrusion/intrusion,-1,-1,none\n"
	_, err = read(t, later, Options{Memory: memory})
	assert.Equal(t, []string{"positive vertical", "positive buccolingual torque"}, idsOf(openOf(err)))
	b = mustRead(t, later, Options{Memory: memory, Answers: question.Answers{"positive": "vertical: intrusion; buccolingual torque: torque buccal"}})
	assert.Equal(t, []float64{10, -9, -3, 1}, plannedInOrder(b))

	for _, wrong := range []string{"usual,torque lingual", "torque lingual,torque buccal", "torque lingual,usual", "shift buccal"} {
		_, err := read(t, later, Options{Answers: question.Answers{"positive": wrong}})
		assert.Len(t, idsOf(openOf(err)), 3, wrong)
	}
	memory.kept[slices.Collect(maps.Keys(memory.kept))[0]] = question.Answers{"positive": "usual"} // by an older program
	_, err = read(t, first, Options{Memory: memory})
	assert.Equal(t, []string{"positive rotation"}, idsOf(openOf(err)))
}

func plannedInOrder(b *Batch) (out []float64) {
	for _, m := range b.Movements {
		out = append(out, m.Value.Planned)
	}
	return out
}

// Where the mapping says that up is positive, an outcome without a word has its sign so too,
// though every plan names its direction.
func TestUpOfOutcomesAlone(t *testing.T) {
	const text = "patient,course,tooth,movement,planned,achieved,attachment\n" +
		"K1,1,13,extrusion/intrusion,1 intrusion,-0.5,none\nK1,1,33,extrusion/intrusion,1 extrusion,0.5,none\nK1,1,34,rotation,-10,-8,none\n"
	achieved := func(positive string) (out []float64) {
		m := &mapping.File{Version: mapping.Version, Positive: map[string]string{"vertical": positive, "rotation": "rotation mesial-in"}}
		for _, movement := range mustRead(t, text, Options{Mapping: m}).Movements[:2] {
			out = append(out, movement.Value.Achieved.Value)
		}
		return out
	}
	assert.Equal(t, []float64{0.5, -0.5}, achieved("intrusion"))
	assert.Equal(t, []float64{0.5, 0.5}, achieved("up"), "intrusion above, extrusion below")
}

// Up is intrusion of an upper tooth and extrusion of a lower one.
func TestUpInBothJaws(t *testing.T) {
	const text = "patient,course,tooth,movement,planned,achieved,attachment\n" +
		"K1,1,13,extrusion/intrusion,1,0.5,none\nK1,1,23,extrusion/intrusion,-2,-1,none\nK1,1,33,extrusion/intrusion,1,0.5,none\nK1,1,43,extrusion/intrusion,-2,0.5,none\n"
	both := strings.Replace(text, "K1,1,13,", "K1,1,13+43,", 1)
	for word, want := range map[string][]float64{"up": {-1, 2, 1, -2}, "down": {1, -2, -1, 2}, "extrusion": {1, -2, 1, -2}, "intrusion": {-1, 2, -1, 2}} {
		for _, o := range []Options{
			{Answers: question.Answers{"positive vertical": word}},
			{Answers: question.Answers{"positive": word}},
			{Mapping: &mapping.File{Version: mapping.Version, Positive: map[string]string{"vertical": word}}},
		} {
			if word == "extrusion" && len(o.Answers) > 0 {
				o.Answers = question.Answers{"positive vertical": word}
			}
			b := mustRead(t, text, o)
			assert.Equal(t, want, plannedInOrder(b), word)
			assert.Equal(t, want[3]/-4, b.Movements[3].Value.Achieved.Value, word)
		}
	}
	_, err := mapping.Parse("m.toml", []byte("version = 1\n[positive]\nrotation = \"up\""))
	require.Error(t, err)
	o := Options{Answers: question.Answers{"positive vertical": "up", "several teeth": "each"}}
	b, err := read(t, both, o)
	require.NoError(t, err)
	assert.Len(t, b.Rejected, 1, "a row of both jaws")
}
