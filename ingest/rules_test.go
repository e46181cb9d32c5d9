package ingest

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
	"shortfall/ingest/template"
)

const head = "case,status,course,tooth,axis,planned,achieved"

// flatRow is a row that breaks no rule, with more columns behind it.
const flatRow = "P1,completed,1,43,rotation,5,4"

// examples are test data of rules: a text that breaks the rule and one, as
// close as can be, that does not.
var examples = []struct {
	rule      rules.ID
	bad, good string
}{
	{rules.CountUnreadable, head + ",planned aligners\n" + flatRow + ",many", head + ",planned aligners\n" + flatRow + ",20"},
	{rules.CountUnreadable, head + ",age\n" + flatRow + ",200", head + ",age\n" + flatRow + ",20"},
	{rules.DateUnreadable, head + ",start month\n" + flatRow + ",soon", head + ",start month\n" + flatRow + ",2024-05"},
	{rules.WordUnknown, head + "\nP1,vanished,1,43,rotation,5,4", head + "\n" + flatRow},
	{rules.CourseUnknown, head + "\nP1,completed,last,43,rotation,5,4", head + "\n" + flatRow},
	{rules.UnitUnknown, head + ",unit\n" + flatRow + ",furlong", head + ",unit\n" + flatRow + ",deg"},
	{rules.PercentOnly, "case,course,tooth,axis,planned,accuracy\nP1,1,43,rotation,5,80", head + ",accuracy\n" + flatRow + ",80"},
	{rules.AmountDoubtful, head + "\nP1,completed,1,43,rotation,5,16", head + "\n" + flatRow},
	{rules.NumberAbout, head + "\nP1,completed,1,43,rotation,5,ca 4", head + "\n" + flatRow},
	{rules.PercentUnlikely, head + ",accuracy\n" + flatRow + ",4000", head + ",accuracy\n" + flatRow + ",80"},
	{rules.CodeUnreadable, head + ",practice\n" + flatRow + "," + strings.Repeat("a1 ", 30), head + ",practice\n" + flatRow + ",A1"},
	{rules.CodeTidied, head + "\n P1\u200b,completed,1,43,rotation,5,4", head + "\n" + flatRow},
	{rules.CodeLettered, head + "\nKT-1,completed,1,43,rotation,5,4\nBM-2,completed,1,43,rotation,5,4\nRW-3,completed,1,43,rotation,5,4", head + "\nKT-1,completed,1,43,rotation,5,4\nKT-2,completed,1,43,rotation,5,4\nKT-3,completed,1,43,rotation,5,4"},
	{rules.PracticeOpen, head + ",practice\n" + flatRow + ",A\n" + flatRow + ",B\nP1,completed,1,44,rotation,5,4,", head + ",practice\n" + flatRow + ",A\n" + flatRow + ",B\nP1,completed,1,44,rotation,5,4,A"},
	{rules.LossWithoutFeature, head + ",style,lost\n" + flatRow + ",none,yes", head + ",style,lost\n" + flatRow + ",none,no"},
	{rules.CaseDuplicate, "case,status,practice\nP1,completed,A\nP1,completed,A", "case,status,practice\nP1,completed,A\nP2,completed,A"},
	{rules.CaseDuplicate, "case,status,clinician\nP1,completed,A\nP1,completed,B", "case,status,clinician\nP1,completed,A\nP2,completed,B"},
	{rules.CourseDuplicate, "case,course,aligners used\nP1,1,9\nP1,initial,9", "case,course,aligners used\nP1,1,9\nP1,R1,9"},
	{rules.RepeatDuplicate, "case,course,tooth,axis,first,second\nP1,1,43,tip,1,2\nP1,1,43,tip,1,2", "case,course,tooth,axis,first,second\nP1,1,43,tip,1,2\nP1,1,44,tip,1,2"},
	{rules.EndMissing, head + ",start month,end month\n" + flatRow + ",2024-01,", head + ",start month,end month\n" + flatRow + ",2024-01,2024-09"},
	{rules.MovementUnplanned, head + "\nP1,completed,1,43,rotation,0,4", head + "\n" + flatRow},
	{rules.CaseTwice, twins("P2", "4"), twins("P2", "3")},
	{rules.SizeOnly, many("5"), many("-5")},
	{rules.RowVoid, head + ",remark\n" + flatRow + ",\nP1,completed,1,44,rotation,5,4,void: see below", head + ",remark\n" + flatRow + ",\nP1,completed,1,44,rotation,5,4,"},
	{rules.NothingRead, head + "\n,,,,,,", head + "\n" + flatRow},
	{rules.RowUnplanned, "case,course,tooth,Extr plan,Extr got\nA,1,43,1,0.4\nA,1,44,,", "case,course,tooth,Extr plan,Extr got\nA,1,43,1,0.4"},
	{rules.MovementsRefused, "case,course,tooth,Extr plan,Extr got,Rot plan,Rot got\nA,1,43,1,0.4,,-3\nA,1,44,1,0.4,-5,-4", "case,course,tooth,Extr plan,Extr got,Rot plan,Rot got\nA,1,43,1,0.4,-4,-3"},
	{rules.RowUnused, head + "\n" + flatRow + "\nEXAMPLE,completed,1,44,rotation,5,4", head + "\n" + flatRow},
	{rules.CaseConflict, head + ",course start month\n" + flatRow + ",2024-01\nP1,completed,1,44,rotation,5,4,2024-02", head + ",course start month\n" + flatRow + ",2024-01\nP1,completed,1,44,rotation,5,4,2024-01"},
}

// twins gives two cases of four movements that are equal up to one amount.
func twins(id, last string) string {
	text := head
	for _, x := range []struct{ id, last string }{{"P1", "4"}, {id, last}} {
		for _, tooth := range []string{"43", "44", "45", "46"} {
			achieved := "4"
			if tooth == "46" {
				achieved = x.last
			}
			text += "\n" + x.id + ",completed,1," + tooth + ",rotation,5," + achieved
		}
	}
	return text
}

// many gives twenty movements, the last with the amount given.
func many(last string) string {
	text := head
	for i, tooth := range AllTeeth()[12:32] {
		planned := "5"
		if i == 19 {
			planned = last
		}
		text += "\nP1,completed,1," + tooth.String() + ",rotation," + planned + ",4"
	}
	return text
}

func rulesOf(problems []Problem) []string {
	var out []string
	for _, p := range problems {
		out = append(out, p.Rule)
	}
	return out
}

func TestRulesByExample(t *testing.T) {
	for _, x := range examples {
		// Some of the examples look like identifiers too, which is another test's.
		b, err := read(t, x.bad+"\n", Options{AllowIdentifiers: true})
		found := rulesOf(Problems(err)) // a question is a finding
		if open := openOf(err); len(open) > 0 {
			b, err = read(t, x.bad+"\n", Options{AllowIdentifiers: true, Answers: lastChoices(open)})
		}
		if b == nil { // its only row was rejected
			b = &Batch{Problems: Problems(err)}
		}
		assert.Contains(t, append(found, rulesOf(b.Problems)...), string(x.rule), x.bad)
		b, err = read(t, x.good+"\n", Options{})
		if open := openOf(err); len(open) > 0 && open[0].Rule != string(x.rule) {
			b = mustRead(t, x.good+"\n", Options{Answers: lastChoices(open)})
		}
		require.NotNil(t, b, "%s: %v", x.good, err)
		assert.NotContains(t, rulesOf(b.Problems), string(x.rule), x.good)
	}
}

// openOf lists the open questions of a reading.
func openOf(err error) []question.Question {
	var r *Refused
	if errors.As(err, &r) {
		return r.Questions
	}
	return nil
}

func lastChoices(open []question.Question) question.Answers {
	a := question.Answers{}
	for _, q := range open {
		a[q.ID] = q.Choices[len(q.Choices)-1].Word
	}
	return a
}

// A repeat is unmatched only where the file has movements at all.
func TestRepeatUnmatched(t *testing.T) {
	b := &Batch{
		Movements: []Record[Movement]{{Value: Movement{Case: CaseKey{ID: "P1"}, Course: 1, Tooth: 43, Axis: Tip}}},
		Repeats:   []Record[Repeat]{{Value: Repeat{Case: CaseKey{ID: "P1"}, Course: 1, Tooth: 44, Axis: Tip}}, {Value: Repeat{Case: CaseKey{ID: "P1"}, Course: 1, Tooth: 43, Axis: Tip}}},
	}
	rules.Check(b)
	assert.Equal(t, []string{"repeat-unmatched"}, rulesOf(b.Problems))
	b.Problems, b.Movements = nil, nil
	rules.Check(b)
	assert.Empty(t, b.Problems)
}

// Every rule of the catalogue is found by a fixture, an example or a test named
// here, so none can be dead.
func TestEveryRuleIsFound(t *testing.T) {
	found := map[string]bool{}
	for _, f := range slices.Concat(cleanFixtures, valueFixtures, layoutFixtures, recordFixtures, hostileFixtures, mappedFixtures) {
		b, err := f.read(t)
		if b != nil {
			err = nil
			for _, p := range b.Problems {
				found[p.Rule] = true
			}
		}
		for _, p := range Problems(err) {
			found[p.Rule] = true
		}
	}
	for _, x := range examples {
		found[string(x.rule)] = true
	}
	elsewhere := map[rules.ID]string{
		rules.QuestionOpen:        "TestCourseNumbers",
		rules.AnswerUnused:        "TestAnswerNobodyAskedFor",
		rules.FileUnreadable:      "sheet: TestFileThatIsNotThere",
		rules.FileStopped:         "TestCancelledReadingKeepsNothing",
		rules.RepeatUnmatched:     "TestRepeatUnmatched",
		rules.WaiverWithoutReason: "mapping: TestFaultsAreNamed",
	}
	for _, r := range rules.All() {
		if strings.HasPrefix(string(r.ID), "identif") || strings.HasPrefix(string(r.ID), "privacy") {
			continue // TestIdentifiersAreRefused
		}
		assert.True(t, found[string(r.ID)] || elsewhere[r.ID] != "", "no test finds %s", r.ID)
	}
}

func TestCatalogueIsComplete(t *testing.T) {
	seen := map[rules.ID]bool{}
	for _, r := range rules.All() {
		assert.False(t, seen[r.ID], "%s twice", r.ID)
		seen[r.ID] = true
		assert.Regexp(t, `^[a-z]+(-[a-z]+)*$`, string(r.ID))
		assert.NotZero(t, r.Severity, r.ID)
		assert.NotEmpty(t, r.Title, r.ID)
		assert.NotEmpty(t, r.Text, r.ID)
		assert.NotEmpty(t, r.Remedy, r.ID)
		text, err := rules.Explain(string(r.ID))
		require.NoError(t, err)
		assert.Contains(t, text, r.Title)
	}
	_, err := rules.Explain("tooth-unknwn")
	assert.ErrorContains(t, err, "tooth-unknown")
}

// Of dates no more than the month is kept, in the records and in the rows.
func TestDaysAreNotKept(t *testing.T) {
	b := mustRead(t, head+",start month,end month\n"+flatRow+",17.05.2024,2024-11-23\nP2,completed,1,44,rotation,5,4,31/02/2024,\n", Options{})
	kept := map[string]string{}
	for _, c := range append(b.Movements[0].Original.Cells(), b.Movements[1].Original.Cells()...) {
		kept[c.Ref] = c.Text
	}
	assert.Equal(t, "2024-05", kept["H2"])
	assert.Equal(t, "2024-11", kept["I2"])
	assert.Equal(t, "##/##/2024", kept["H3"])
	w, err := Read(t.Context(), filepath.Join("testdata", "files", "op-dates.xlsx"), Options{})
	require.NoError(t, err)
	for _, r := range w.Cases {
		for _, c := range r.Original.Cells() {
			if strings.HasSuffix(c.Header, "month") {
				assert.Regexp(t, `^\d{4}-\d{2}$`, c.Text)
			}
		}
	}
}

// Findings name the place and the class of what was found, and never the value.
func TestProblemsRepeatNoValue(t *testing.T) {
	b := mustRead(t, head+",start month\nP1,Smithson,1,zz9,wobble,notanumber,4,someday\n"+flatRow+",2025-01\n", Options{Notation: FDI})
	require.NotEmpty(t, b.Problems)
	for _, p := range b.Problems {
		for _, v := range []string{"Smithson", "zz9", "wobble", "notanumber", "someday"} {
			assert.NotContains(t, p.Error(), v)
		}
		if p.Severity == Error {
			assert.NotEmpty(t, p.Class, p.Rule)
			assert.NotEmpty(t, p.Column, p.Rule)
		}
	}
	assert.Len(t, b.Rejected[0].Reasons, 2, "all faults of a row at once")
	assert.Subset(t, rulesOf(b.Problems), []string{"word-unknown", "date-unreadable"}, "optional cells cost themselves")
}

// A column without a header is said to be unread, and its cells are kept.
func TestColumnWithoutHeader(t *testing.T) {
	b := mustRead(t, head+"\n"+flatRow+",extra\n", Options{})
	i := slices.IndexFunc(b.Problems, func(p Problem) bool { return p.Rule == "column-unread" })
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, "H2", b.Problems[i].Cell)
	assert.Contains(t, b.Movements[0].Original.Cells(), Cell{Ref: "H2", Text: "extra"})
}

// A wide column of achieved amounts without its planned amounts would be lost.
func TestOrphanOfAWideSheet(t *testing.T) {
	_, err := read(t, "case,tooth,course,planned rotation,achieved rotation,achieved torque\nK1,43,1,10,8,3\n", Options{})
	ps := Problems(err)
	i := slices.IndexFunc(ps, func(p Problem) bool { return p.Rule == "column-missing" })
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, "F1", ps[i].Cell)
}

// Every fault of a row is named once.
func TestFaultsOfAFlatRowAreNamedOnce(t *testing.T) {
	b := mustRead(t, head+"\nK1,completed,AA2,43,rotation,12,62 %\n"+flatRow+"\n", Options{})
	assert.Equal(t, []string{"course-unknown", "number-unreadable"}, rulesOf(b.Rejected[0].Reasons))
}

// A word that is not known is answered with those that are.
func TestUnknownWordNamesTheWords(t *testing.T) {
	b := mustRead(t, head+"\nK1,vanished,1,43,rotation,12,9\n", Options{})
	assert.Contains(t, b.Problems[len(b.Problems)-1].Remedy, "completed, discontinued, switched to another appliance")
}

// A dataset written by our own template reads back as it was.
func TestTemplateReadsBack(t *testing.T) {
	path := filepath.Join(t.TempDir(), "own.xlsx")
	out, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, template.WriteDataset(out, &Dataset{
		Cases: standard.Cases, Courses: standard.Courses, Movements: standard.Movements, Repeats: standard.Repeats,
	}, template.Meta{}))
	require.NoError(t, out.Close())
	b, err := Read(t.Context(), path, Options{})
	require.NoError(t, err)
	sameRecords(t, standard, recordsOf(b), "template")
	assert.Empty(t, listed(b.Problems))
}

func TestUnreadableFile(t *testing.T) {
	_, err := Read(t.Context(), filepath.Join(t.TempDir(), "none.csv"), Options{})
	require.Error(t, err)
	assert.Equal(t, "file-unreadable", Problems(err)[0].Rule)
	path := filepath.Join(t.TempDir(), "x.csv")
	require.NoError(t, os.WriteFile(path, []byte(head+"\n"), 0o600))
	_, err = Read(t.Context(), path, Options{})
	assert.Equal(t, []string{"nothing-read"}, rulesOf(Problems(err)))
}
