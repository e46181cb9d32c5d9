package ingest

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/mapping"
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
	for range often(400) {
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
	assert.Greater(t, read, often(60))
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

// What is wrong with one movement of a wide row costs that movement; a mark among the plans
// is asked about once, and a number that is said to be about right is read.
func TestOneMovementOfAWideRow(t *testing.T) {
	head := "case,course,tooth,rot planned,rot achieved,tip planned,tip achieved,style\n"
	b := mustRead(t, head+"F-01,1,43,-8,6 or 7,5,4,none\nF-01,1,44,9,7,1..2,4,none\nF-01,1,45,much,3,,,none\n", Options{Answers: usual})
	require.Len(t, b.Movements, 2)
	assert.Equal(t, []Axis{Tip, Rotation}, []Axis{b.Movements[0].Value.Axis, b.Movements[1].Value.Axis})
	assert.Len(t, b.RefusedMovements, 3)
	assert.Equal(t, []string{"number-unreadable@D4"}, reasons(b), "nothing else is in the row")
	marked := head + "F-01,1,43,-8,-5,-,,none\nF-01,1,44,-,,5,3,none\nF-01,1,45,-,,-,,none\n"
	_, err := read(t, marked, Options{Answers: usual})
	require.Equal(t, []string{"planned -"}, asked(t, err))
	assert.Equal(t, "not planned", openOf(err)[0].Proposed)
	assert.Len(t, answered(t, marked, "planned -=not planned"), 2)
	b = mustRead(t, marked, Options{Answers: answersOf("positive=usual;planned -=reject")})
	assert.Len(t, b.Movements, 2)
	assert.Len(t, b.RefusedMovements, 4)
	// The mark may stand in both columns of the movement that was not planned.
	both := strings.ReplaceAll(marked, "-,,", "-,-,")
	_, err = read(t, both, Options{Answers: usual})
	require.Equal(t, []string{"planned -"}, asked(t, err))
	assert.Equal(t, "not planned", openOf(err)[0].Proposed)
	b = mustRead(t, both, Options{Answers: answersOf("positive=usual;planned -=not planned")})
	assert.Len(t, b.Movements, 2)
	assert.Empty(t, b.RefusedMovements)
	_, err = read(t, strings.Replace(marked, "-,,5", "-,2,5", 1), Options{Answers: usual})
	assert.Empty(t, openOf(err)[0].Proposed, "an outcome stands beside one of them")
}

func TestAboutSoMuch(t *testing.T) {
	for text, want := range map[string]float64{"ca 2.9": 2.9, "ca. -2.9": -2.9, "~3": 3, "approx 2.9": 2.9, "≈ 4": 4, "about 5 °": 5, "circa 2.5": 2.5} {
		b := mustRead(t, "case,course,tooth,movement,planned,achieved,style\nF-01,1,43,rotation,-8,"+text+",none\nF-01,1,44,rotation,8,5,none\n", Options{Answers: usual})
		require.Len(t, b.Movements, 2, text)
		assert.Equal(t, Some(want), b.Movements[0].Value.Achieved, text)
		assert.Contains(t, rulesOf(b.Problems), "number-about", text)
	}
	b := mustRead(t, "case,course,tooth,movement,planned,achieved,style\nF-01,1,43,rotation,-8,catch 22,none\nF-01,1,44,rotation,8,5,none\n", Options{Answers: usual})
	assert.Len(t, b.Rejected, 1)
}

// Words for the course that cannot be read are asked about as one, with what is likely.
func TestCourseWordsAreAsked(t *testing.T) {
	text := "case,runde,tooth,movement,planned,achieved,style\n"
	for i, word := range []string{"1. plan", "1.plan", "ekstra 2", "plan 2"} {
		for k := range 2 {
			text += fmt.Sprintf("F-%02d,%s,%d,rotation,-8,-6,none\n", i, word, 43+k)
		}
	}
	text += "F-05,xx,43,rotation,-8,-6,none\nF-05,runde 2,44,rotation,-8,-6,none\n"
	_, err := read(t, text, Options{Answers: usual})
	require.Equal(t, []string{"course words"}, asked(t, err))
	proposed := map[string]string{}
	for _, q := range openOf(err) {
		proposed[q.Word] = q.Proposed
	}
	assert.Equal(t, map[string]string{"1. plan": "initial", "1.plan": "initial", "ekstra 2": "refinement 2", "plan 2": "refinement 1"}, proposed)
	b := mustRead(t, text, Options{Answers: question.Answers{"positive": "usual", "course words": "1. plan: initial; 1.plan: initial; ekstra 2: refinement 2; plan 2: not recorded"}})
	got := map[string]int{}
	for _, m := range b.Movements {
		got[m.Value.Case.ID] = m.Value.Course
	}
	assert.Equal(t, map[string]int{"F-00": 1, "F-01": 1, "F-02": 3, "F-05": 2}, got)
	assert.Len(t, b.Rejected, 3)
}

// What a blank attachment means is asked once the words are known, and not where one of
// them says that there was none.
func TestBlankAttachmentBesideAnOwnWordForNone(t *testing.T) {
	text := "case,course,tooth,movement,planned,achieved,attachment\n" +
		"F-01,1,43,rotation,-8,-6,nix\nF-01,1,44,rotation,-8,-6,nix\nF-01,1,45,rotation,-8,-6,software\nF-01,1,46,rotation,-8,-6,\n"
	mustAsk(t, text, "style nix")
	assert.Equal(t, []Style{StyleNone, StyleNone, SoftwareSuggested, NoStyle}, stylesOf(answered(t, text, "style nix=none")))
	_, err := read(t, text, Options{Answers: answersOf("positive=usual;style nix=clinician")})
	assert.Equal(t, []string{"blank attachment"}, asked(t, err))
}

// A list of cases without a column of the status is asked about once; an end alone decides
// nothing.
func TestListOfCasesWithoutAStatus(t *testing.T) {
	text := "case,clinician,start,end\nF-01,C1,2024-02,2025-01\nF-02,C1,2024-05,\nF-03,C2,2024-03,2025-03\n"
	mustAsk(t, text, "case status")
	of := func(word string) (out []Status) {
		for _, c := range mustRead(t, text, Options{Answers: question.Answers{"case status": word}}).Cases {
			out = append(out, c.Value.Status)
		}
		return out
	}
	assert.Equal(t, []Status{Completed, UnderTreatment, Completed}, of("ended"))
	assert.Equal(t, []Status{NoStatus, NoStatus, NoStatus}, of("not recorded"))
	stated := strings.NewReplacer("end\n", "end,status\n", "2025-01\n", "2025-01,completed\n", "2024-05,\n", "2024-05,,under way\n", "2025-03\n", "2025-03,i gang\n").Replace(text)
	b := mustRead(t, stated, Options{})
	assert.Equal(t, []Status{Completed, UnderTreatment, UnderTreatment}, []Status{b.Cases[0].Value.Status, b.Cases[1].Value.Status, b.Cases[2].Value.Status})
}

// A sheet that was left out is left out again wherever it stands in the next file, and no other
// sheet in its place is, nor one of its headers under another name.
func TestSheetsLeftOutAreRemembered(t *testing.T) {
	known := "case,course,tooth,movement,planned,achieved,style\nF-01,1,43,rotation,-8,-6,none\nF-01,1,36,rotation,8,6.5,none"
	odd := "Aa,Bb,Cc,Dd,Ee"
	for i := range 24 {
		odd += fmt.Sprintf("\nF-%02d,%d,%d.5,%d.5,-0.%d", i/6, 41+i%6, 9+i%5, 5+i%3, 1+i%3)
	}
	other := strings.Replace(odd, "Aa", "Zz", 1)
	m := &remembers{kept: map[string]question.Answers{}}
	o := Options{Memory: m, Answers: question.Answers{"positive": "usual", "sheet 2": "leave out"}}
	_, err := Read(t.Context(), sheets(t, "2025", known, "old", odd), o)
	require.NoError(t, err)
	o.Answers = usual
	for name, c := range map[string]struct {
		sheets []string
		asks   []string
	}{
		"in another place":   {[]string{"old", odd, "2026", known}, nil},
		"with more rows":     {[]string{"2026", known, "old", odd + odd[strings.Index(odd, "\n"):]}, nil},
		"another in place":   {[]string{"2026", known, "new", other}, []string{"sheet 2"}},
		"another name":       {[]string{"2026", known, "new", odd}, []string{"sheet 2"}},
		"another of headers": {[]string{"2026", known, "old", other}, []string{"sheet 2"}},
	} {
		_, err := Read(t.Context(), sheets(t, c.sheets...), o)
		if c.asks == nil {
			assert.NoError(t, err, name)
			continue
		}
		assert.Equal(t, c.asks, asked(t, err), name)
	}
	for header := range m.kept { // of an older program
		m.kept[header] = question.Answers{"positive": "usual", "sheet 2": "leave out"}
	}
	_, err = Read(t.Context(), sheets(t, "2026", known, "new", odd), o)
	assert.Equal(t, []string{"sheet 2"}, asked(t, err))
}

// Two lists are asked about as one, and one with a column of ends and one without apart.
func TestTwoListsOfCasesWithoutAStatus(t *testing.T) {
	const moves = "case,course,tooth,movement,planned,achieved,style\nF-01,1,43,extrusion,1,0.7,none\nF-03,1,33,intrusion,1,0.8,none"
	first, second := "case,clinician,start,end\nF-01,C1,2024-02,2025-01\nF-02,C1,2024-05,", "case,clinician,start,end\nF-03,C2,2024-03,2025-03\nF-04,C2,2024-04,2025-03"
	_, err := Read(t.Context(), sheets(t, "2024", first, "2025", second, "Moves", moves), Options{})
	require.Equal(t, []string{"case status"}, asked(t, err))
	assert.Contains(t, openOf(err)[0].Text, "2 lists of cases have no column \"status\" that says which were completed: are the 3 with an end completed, and the 1 without")
	path := sheets(t, "2024", first, "2025", strings.NewReplacer(",end", "", ",2025-03", "").Replace(second), "Moves", moves)
	_, err = Read(t.Context(), path, Options{})
	require.Equal(t, []string{"case status", "case status without end"}, asked(t, err))
	b, err := Read(t.Context(), path, Options{Answers: answersOf("case status=ended;case status without end=completed")})
	require.NoError(t, err)
	var got []Status
	for _, c := range b.Cases {
		got = append(got, c.Value.Status)
	}
	assert.Equal(t, []Status{Completed, UnderTreatment, Completed, Completed}, got)
}

// Words of a practice's own for how its cases ended are asked about, on every list of them.
func TestOutcomesInOwnWords(t *testing.T) {
	const moves = "case,course,tooth,movement,planned,achieved,style\nF-01,1,43,extrusion,1,0.7,none\nF-03,1,33,intrusion,1,0.8,none"
	path := sheets(t, "2024", "case,start,end,outcome\nF-01,2024-02,2025-01,all done\nF-02,2024-02,2025-02,all done", "2025", "case,start,end,outcome\nF-03,2024-03,2025-03,gave up\nF-04,2024-03,2025-03,went to brackets\nF-05,2024-03,2025-03,all done", "Moves", moves)
	_, err := Read(t.Context(), path, Options{})
	require.Equal(t, []string{"status words"}, asked(t, err))
	assert.Len(t, openOf(err), 2)
}

// A sheet of teeth beside amounts whose headers are not understood is left out when a person
// says so, and never as a key or a summary.
func TestSheetOfRecordsIsNotWavedThrough(t *testing.T) {
	known := "case,course,tooth,movement,planned,achieved,style\nF-01,1,43,rotation,-8,-6,none\nF-01,1,36,rotation,8,6.5,none"
	odd := "Aa,Bb,Cc,Dd,Ee,Ff\n"
	for i := range 24 {
		odd += fmt.Sprintf("F-%02d,%d,%d.5,%d.5,-0.%d,\n", i/6, 41+i%6, 9+i%5, 5+i%3, 1+i%3)
	}
	for name, text := range map[string]string{"no header": odd, "one word": strings.Replace(odd, "Aa,", "Patient,", 1), "two words": strings.ReplaceAll(strings.Replace(odd, "Aa,Bb", "Patient,Runde,Bb", 1), ",4", ",1,4")} {
		path := sheets(t, "2025", known, "2024", strings.TrimSpace(text))
		o := Options{Answers: question.Answers{"positive": "usual"}}
		_, err := Read(t.Context(), path, o)
		require.Error(t, err, name)
		require.Equal(t, []string{"sheet 2"}, asked(t, err), name)
		o.Answers["sheet 2"] = "leave out"
		b, err := Read(t.Context(), path, o)
		require.NoError(t, err, name)
		assert.Len(t, b.Movements, 2)
		assert.Contains(t, rulesOf(b.Problems), "sheet-skipped", name)
	}
	key := "Code,Meaning\n" + strings.Repeat("none,no attachment\n", 20)
	_, err := Read(t.Context(), sheets(t, "2025", known, "key", strings.TrimSpace(key)), Options{Answers: question.Answers{"positive": "usual"}})
	assert.NoError(t, err)
}

// Directions in words behind the amounts: up and down are told by the jaw, others are asked
// about, by their movement; "in" is inches where nothing goes out.
func TestWordsBehindAmounts(t *testing.T) {
	const text = "patient,course,tooth,shift bl planned,shift bl achieved,vertical planned,vertical achieved,attachment\n" +
		"K1,1,13,0.4 out,0.3 out,1 up,0.5 up,none\nK1,1,14,0.7 in,0.2 out,2 down,1 down,none\nK1,1,33,0.5 in,0.5 in,1 up,0.5 down,none\n" +
		"K1,1,34,1 out,0,0.4 down,0.4 down,none\nK1,1,35,0.6 in,0.1 in,,,none\n"
	said := question.Answers{"beside in of buccolingual shift": "shift lingual", "beside out of buccolingual shift": "shift buccal"}
	with := question.Answers{}
	_, err := read(t, text, Options{Answers: with})
	assert.Equal(t, []string{"beside in of buccolingual shift", "beside out of buccolingual shift"}, idsOf(openOf(err)))
	maps.Copy(with, said)
	b := mustRead(t, text, Options{Answers: with})
	assert.Empty(t, b.Rejected)
	want := map[string][]float64{
		"13 " + BuccolingualShift.String(): {0.4, 0.3}, "14 " + BuccolingualShift.String(): {-0.7, 0.2}, "33 " + BuccolingualShift.String(): {-0.5, -0.5},
		"34 " + BuccolingualShift.String(): {1, 0}, "35 " + BuccolingualShift.String(): {-0.6, -0.1},
		"13 vertical": {-1, -0.5}, "14 vertical": {2, 1}, "33 vertical": {1, -0.5}, "34 vertical": {-0.4, -0.4},
	}
	got := map[string][]float64{}
	for _, m := range b.Movements {
		got[m.Value.Tooth.String()+" "+m.Value.Axis.String()] = []float64{m.Value.Planned, m.Value.Achieved.Value}
	}
	assert.Equal(t, want, got)
}

// Pairs of columns that are alike but for "plan" and "got" are asked about, whatever names
// the movement between them, and with a proposal where the words are everyday ones.
func TestPairsOfUnknownMovements(t *testing.T) {
	const text = "Pt ID,Rev,Tooth,Tip plan,Tip got,Turn plan (deg),Turn got (deg),Up/down plan (mm),Up/down got (mm),In/out plan,In/out got,Wobble plan,Wobble got,attachment\n" +
		"1,0,8,3,2,10,8,1,0.5,0.4,0.2,1,1,none\n1,0,20,-3,-2,-10,-8,-1,-0.5,-0.4,-0.2,,,none\n"
	_, err := read(t, text, Options{Answers: answersOf("course numbers=refinements;notation=universal")})
	open, proposed := []string{}, map[string]string{}
	for _, q := range openOf(err) {
		open = append(open, q.ID)
		proposed[q.ID] = q.Proposed
	}
	assert.ElementsMatch(t, []string{"movement of Turn plan (deg)", "movement of Up/down plan (mm)", "movement of In/out plan", "movement of Wobble plan", "positive mesiodistal tip"}, open)
	assert.Equal(t, []string{"rotation", "vertical", "buccolingual shift", ""}, []string{
		proposed["movement of Turn plan (deg)"], proposed["movement of Up/down plan (mm)"], proposed["movement of In/out plan"], proposed["movement of Wobble plan"],
	})
	b := mustRead(t, text, Options{Answers: answersOf("course numbers=refinements;notation=universal;movement of Turn plan (deg)=rotation;movement of Up/down plan (mm)=vertical;movement of In/out plan=buccolingual shift;movement of Wobble plan=ignore;positive=up")})
	assert.Len(t, b.Movements, 8)
	for _, m := range b.Movements {
		if m.Value.Axis == Vertical {
			assert.Equal(t, -1.0, m.Value.Planned, "up is intrusion above, and minus up extrusion below is intrusion")
		}
	}
}

// A summary beside the records is left out by one answer, or by a mapping; it is asked
// about since a list of cases looks much the same.
func TestASummaryIsLeftOut(t *testing.T) {
	const records = "case,course,tooth,movement,planned,achieved,attachment\nK1,1,43,rotation,-10,-8,none\nK2,1,33,rotation,9,7,none\n"
	path := sheets(t, "Summary", "quarter,aligners,wear,turn avg\nQ1,20,good,9\nQ2,21,good,8\n", "2025", strings.TrimSpace(records))
	given := question.Answers{"positive": "usual"}
	_, err := Read(t.Context(), path, Options{Answers: given})
	assert.Equal(t, []string{"sheet 1"}, idsOf(openOf(err)))
	for _, p := range Problems(err) {
		assert.False(t, p.Sheet == "Summary" && p.Severity == Error && p.Rule != "layout-unknown", "%v", p)
	}
	b, err := Read(t.Context(), path, Options{Answers: given, Mapping: &mapping.File{Version: mapping.Version, Sheets: []mapping.Sheet{{Name: "Summary", Kind: "ignore"}}}})
	require.NoError(t, err)
	assert.Len(t, b.Movements, 2)
	given["sheet 1"] = "leave out"
	b, err = Read(t.Context(), path, Options{Answers: given})
	require.NoError(t, err)
	assert.Len(t, b.Movements, 2)
	assert.Empty(t, b.Rejected)
	counts := sheets(t, "Summary", "Quarter,Pts scanned,Teeth,Trays (avg)\nQ1 2025,7,60,20.1\nQ2 2025,9,71,18.4", "2025", strings.TrimSpace(records))
	_, err = Read(t.Context(), counts, Options{Answers: question.Answers{"positive": "usual"}})
	assert.Equal(t, []string{"sheet 1"}, idsOf(openOf(err)))
	long := strings.TrimSpace(records) + strings.Repeat("\nK3,1,43,rotation,-10,-8,none", 4)
	for _, summary := range []string{
		"attachment,cases,planned,achieved\nnone,4,12.5,8.2\nown,4,13,9.9", "case,planned,achieved\nK1,12.5,8.2\nK2,13,9.9", "tooth,planned,achieved,rows\n43,12.5,8.2,4\n33,13,9.9,4",
	} {
		_, err := Read(t.Context(), sheets(t, "2025", long, "Means", summary), Options{Answers: question.Answers{"positive": "usual"}})
		assert.Equal(t, []string{"sheet 2"}, idsOf(openOf(err)), summary)
	}
	_, err = Read(t.Context(), sheets(t, "2025", long, "More", "case,course,movement,planned,achieved,which\nK1,1,rotation,12.5,8.2,43\nK2,1,tip,13,9.9,33"), Options{Answers: question.Answers{"positive": "usual"}})
	assert.NotContains(t, idsOf(openOf(err)), "sheet 2", "which may be the tooth")
	given["sheet 1"] = "records"
	_, err = Read(t.Context(), path, Options{Answers: given})
	require.Error(t, err)
	assert.Contains(t, err.Error(), "Summary")
}
