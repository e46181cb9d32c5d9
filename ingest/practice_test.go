package ingest

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/mapping"
	"shortfall/ingest/question"
	"shortfall/ingest/template"
)

// Sheets as practices keep them (common practice, no source).

// A practice that measures in two units often has a column for each.
func TestAmountsInTwoColumns(t *testing.T) {
	b := mustRead(t, "case,course,tooth,axis,planned (mm),planned (deg),achieved (mm),achieved (deg)\n"+
		"K1,1,43,rotation,,-10,,-8\n"+
		"K1,1,43,vertical,1.5,,1,\n"+
		"K1,1,44,rotation,,10,,not measured\n"+
		"K1,1,45,rotation,1,10,,8\n"+ // both
		"K1,1,46,rotation,0,10,,8\n"+ // 0 is a value too
		"K1,1,47,rotation,10,,8,\n"+ // the wrong one
		"K1,1,33,vertical,1.5,,,1\n"+ // achieved in the wrong one
		"K1,1,34,rotation,,,,8\n"+ // none
		"K1,1,35,rotation,,10,,\n", Options{}) // achieved in neither
	assert.Equal(t, []Movement{
		{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 43, Axis: Rotation, Planned: -10, Achieved: Some(-8.0)},
		{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 43, Axis: Vertical, Planned: 1.5, Achieved: Some(1.0)},
		{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 44, Axis: Rotation, Planned: 10},
	}, recordsOf(b).Movements)
	assert.Equal(t, []string{
		"unit-axis@E5", "unit-axis@E6", "unit-axis@E7", "unit-axis@H8", "value-missing@F9", "achieved-missing@H10",
	}, reasons(b))
	assert.Equal(t, Counts{Read: 9, Accepted: 3, Rejected: 6}, b.Counts())
}

// reasons lists the first reason of each rejected row.
func reasons(b *Batch) []string {
	var out []string
	for _, r := range b.Rejected {
		p := r.Reasons[0]
		out = append(out, p.Rule+"@"+p.Cell)
	}
	return out
}

// Repeats may be kept in two units too.
func TestRepeatsInTwoColumns(t *testing.T) {
	b := mustRead(t, "case,course,tooth,axis,first (mm),first (deg),second (mm),second (deg)\nK1,1,43,rotation,,10,,8\nK1,1,43,vertical,1,,2,\n", Options{})
	assert.Equal(t, []Repeat{
		{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 43, Axis: Rotation, First: 10, Second: 8},
		{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 43, Axis: Vertical, First: 1, Second: 2},
	}, recordsOf(b).Repeats)
}

// Two columns are still ambiguous where the units do not tell them apart.
func TestTwoColumnsOfOneUnitAreRefused(t *testing.T) {
	for _, header := range []string{"planned (mm),planned in mm", "planned,planned (deg)", "planned (mm),planned (deg),planned in deg"} {
		_, err := read(t, "case,course,tooth,axis,"+header+",achieved\nK1,1,43,rotation,1,2,3\n", Options{})
		assert.Contains(t, rulesOf(Problems(err)), "column-ambiguous", header)
	}
}

// 62 under "achieved (%)" is no angle of 62 degrees.
func TestPercentIsNoAmount(t *testing.T) {
	for _, header := range []string{"achieved (%)", "achieved %", "% achieved", "percent achieved"} {
		b := mustRead(t, "case,course,tooth,axis,planned,"+header+"\nK1,1,43,rotation,-10,62\n", Options{Answers: question.Answers{"percent": "achieved"}})
		assert.Equal(t, []Movement{{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 43, Axis: Rotation, Planned: -10, StatedPercent: Some(62.0)}}, recordsOf(b).Movements, header)
		assert.Contains(t, rulesOf(b.Problems), "percent-only", header)
	}
	b := mustRead(t, "case,course,tooth,axis,planned,achieved,achieved %\nK1,1,43,rotation,-10,-6.2,62\n", Options{})
	assert.Equal(t, Some(-6.2), recordsOf(b).Movements[0].Achieved)
	assert.NotContains(t, rulesOf(b.Problems), "percent-only")
}

// A share of the plan gives the achieved amount where a person says that it is one.
func TestAchievedComputedFromStatedShares(t *testing.T) {
	const rows = "case,course,tooth,axis,planned,% achieved\nK1,1,43,intrusion,1.3,52%\nK1,1,44,extrusion,0.9,-20\nK1,1,45,extrusion,1,not measured\n"
	b := mustRead(t, rows, Options{Answers: question.Answers{"percent": "computed"}})
	var got []Opt[float64]
	for _, m := range recordsOf(b).Movements {
		got = append(got, m.Achieved)
	}
	assert.Equal(t, []Opt[float64]{Some(-0.676), Some(-0.18), {}}, got, "0.52 of -1.3, -0.2 of 0.9")
	assert.Contains(t, rulesOf(b.Problems), "percent-only")
	_, err := read(t, rows, Options{})
	assert.Contains(t, rulesOf(Problems(err)), "percent-only", "asked, and nothing is taken for granted")
}

// 99 is what some write for "missing"; with a percent sign it is a share like any other.
func TestNinetyNinePercentIsAShare(t *testing.T) {
	const rows = "case,course,tooth,axis,planned,%% achieved\nK1,1,43,extrusion,1,99%s\nK1,1,44,extrusion,1,60%s\n"
	given := Options{Answers: question.Answers{"percent": "achieved"}}
	b := mustRead(t, fmt.Sprintf(rows, "%", "%"), given)
	assert.Equal(t, Some(99.0), recordsOf(b).Movements[0].StatedPercent)
	b = mustRead(t, fmt.Sprintf(rows, "", ""), given)
	assert.Contains(t, rulesOf(b.Problems), "value-sentinel", "bare, it is taken for a code")
}

// Movement and amount in one cell are parted; what is found in either is found there.
func TestMovementAndAmountInOneCell(t *testing.T) {
	const rows = "case,course,tooth,asked for,got\nK1,1,13,extrude 1.2 mm,0.7\nK1,1,14,1.4 mm intrusion,intruded 1.0\nK1,1,15,torque buccally 3°,1\nK1,1,45,intrude 2 mm,extruded 0.3\n"
	b := mustRead(t, rows, Options{})
	assert.Equal(t, []Movement{
		{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 13, Axis: Vertical, Planned: 1.2, Achieved: Some(0.7)},
		{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 14, Axis: Vertical, Planned: -1.4, Achieved: Some(-1.0)},
		{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 15, Axis: Torque, Planned: 3, Achieved: Some(1.0)},
		{Case: CaseKey{ID: "K1"}, Course: 1, Tooth: 45, Axis: Vertical, Planned: -2, Achieved: Some(0.3)},
	}, recordsOf(b).Movements)
	_, err := read(t, strings.NewReplacer("extrude", "rotate mesially", "mm,0.7", "°,7", "torque buccally", "rotate mesially").Replace(rows), Options{})
	i := slices.IndexFunc(Problems(err), func(p Problem) bool { return p.Rule == "axis-unknown" })
	require.GreaterOrEqual(t, i, 0, "one movement that may be meant either way")
	assert.Equal(t, "D2", Problems(err)[i].Cell)
}

// Under a header that names the movement a word beside the amount is its direction.
func TestDirectionBesideTheAmountOfAWideSheet(t *testing.T) {
	const rows = "case,course,tooth,vertical planned,vertical achieved\nK1,1,13,1 intrusion,0.5\nK1,1,14,0.8 extrusion,0.5\nK1,1,15,1.2 intrusion,0.5\nK1,1,23,0.9 intrusion,0.4\n"
	var planned, achieved []float64
	for _, m := range mustRead(t, rows, Options{Answers: question.Answers{"notation": "fdi"}}).Movements {
		planned, achieved = append(planned, m.Value.Planned), append(achieved, m.Value.Achieved.Value)
	}
	assert.Equal(t, []float64{-1, 0.8, -1.2, -0.9}, planned)
	assert.Equal(t, []float64{-0.5, 0.5, -0.5, -0.4}, achieved)
}

// An outcome without a word goes the way of the word beside its plan; a minus says that it
// went the other way.
func TestOutcomeOfAPlanWithAWord(t *testing.T) {
	const rows = "case,course,tooth,movement,planned,achieved\nK1,1,13,extrusion/intrusion,1 intrusion,0.5\nK1,1,23,extrusion/intrusion,0.8 extrusion,0.5\nK1,1,33,extrusion/intrusion,1.2 intrusion,-0.2\n"
	var achieved []float64
	for _, m := range mustRead(t, rows, Options{}).Movements {
		achieved = append(achieved, m.Value.Achieved.Value)
	}
	assert.Equal(t, []float64{-0.5, 0.5, 0.2}, achieved)
}

// In a wide sheet a column named after one direction may hold both.
func TestBothWaysUnderOneDirection(t *testing.T) {
	text := "case,course,tooth,extrusion planned,extrusion achieved,rotation planned,rotation achieved\n"
	for i, a := range []string{"1,0.5", "-1,-0.5", "0.8,0.4", "-0.8,-0.4", "0.6,0.3", "-0.6,0.1"} {
		text += fmt.Sprintf("K%d,1,43,%s,5,3\n", i, a)
	}
	_, err := read(t, text, Options{Answers: question.Answers{"positive": "usual"}})
	require.Contains(t, rulesOf(Problems(err)), "sign-direction")
	b := mustRead(t, text, Options{Answers: question.Answers{"positive": "usual", "both ways": "other"}})
	assert.Empty(t, b.Rejected)
	var planned, achieved []float64
	for _, m := range b.Movements {
		if m.Value.Axis == Vertical {
			planned, achieved = append(planned, m.Value.Planned), append(achieved, m.Value.Achieved.Value)
		}
	}
	assert.Equal(t, []float64{1, -1, 0.8, -0.8, 0.6, -0.6}, planned)
	assert.Equal(t, []float64{0.5, -0.5, 0.4, -0.4, 0.3, 0.1}, achieved)
	in := strings.ReplaceAll(text, "extrusion", "intrusion")
	b = mustRead(t, in, Options{Answers: question.Answers{"positive": "usual", "both ways": "other"}})
	assert.Equal(t, -1.0, b.Movements[0].Value.Planned, "a positive intrusion goes apically")
	b = mustRead(t, text, Options{Answers: question.Answers{"positive": "usual", "both ways": "reject"}})
	assert.Empty(t, b.Rejected, "the rotations of the rows are kept")
	assert.Len(t, b.RefusedMovements, 3)

	// Where a positive amount is declared to be the other way, it contradicts the name of its
	// column, whatever is answered.
	declared := &mapping.File{Version: mapping.Version, Positive: map[string]string{"vertical": "intrusion"}}
	b = mustRead(t, text, Options{Mapping: declared, Answers: question.Answers{"positive": "usual", "both ways": "other"}})
	assert.Len(t, b.RefusedMovements, 3)
	for _, m := range b.Movements {
		assert.Positive(t, m.Value.Planned, "a negative amount is the extrusion of its column")
	}
}

// The rows that a question names are those of the sheet, also where it was taken apart.
func TestRowsOfAPartedSheetAreNamed(t *testing.T) {
	const rows = "Outcomes of 2026\n\ncase,course,tooth,asked for,got\nK1,1,13,extrude 1.2 mm,0.7\nK1,1,48,extrude 1.2 mm,0.7\nK1,1,13,extrude 1.4 mm,0.9\n"
	_, err := read(t, rows, Options{Ask: true})
	q, ok := errors.AsType[*Refused](err)
	require.True(t, ok, err)
	require.NotEmpty(t, q.Questions)
	assert.Contains(t, fmt.Sprint(q.Questions[0].Examples, q.Questions[0].Text), "row 4")
	assert.Contains(t, fmt.Sprint(q.Questions[0].Examples, q.Questions[0].Text), "row 6")
}

// What one calls a tip of the crown and another a torque of the root is one movement here,
// and it is said.
func TestWhatIsReadAsOneMovementIsTold(t *testing.T) {
	const rows = "case,course,tooth,movement,planned,achieved\nK1,1,43,Buccal crown tip,5,2\nK1,1,44,lingual root torque,5,2\nK1,1,45,extrusion,1,1\n"
	b := mustRead(t, rows, Options{})
	assert.Contains(t, fmt.Sprint(b.Problems), `"Buccal crown tip" is read as torque buccal (once), "lingual root torque" as torque buccal (once)`)
	b = mustRead(t, strings.NewReplacer("Buccal crown tip", "torque buccal", "lingual root torque", "rotation mesial-in").Replace(rows), Options{})
	assert.NotContains(t, fmt.Sprint(b.Problems), "is read as")
}

// One patient whose code is written in two ways is not two patients until somebody says so.
func TestCodesOfCasesInSeveralSpellings(t *testing.T) {
	const rows = "case,course,tooth,axis,planned,achieved\nP01,1,43,extrusion,1,0.5\nP01,1,44,extrusion,1,0.5\np-1,1,45,extrusion,1,0.5\nP10,1,45,extrusion,1,0.5\n"
	_, err := read(t, rows, Options{})
	require.Contains(t, rulesOf(Problems(err)), "question-open")
	assert.NotContains(t, err.Error(), "P01", "a code is not repeated")
	cases := func(text, answer string) map[string]int {
		out := map[string]int{}
		for _, m := range mustRead(t, text, Options{Answers: question.Answers{"case codes": answer}}).Movements {
			out[m.Value.Case.ID]++
		}
		return out
	}
	assert.Equal(t, map[string]int{"P01": 3, "P10": 1}, cases(rows, "same"))
	assert.Equal(t, map[string]int{"P01": 2, "p-1": 1, "P10": 1}, cases(rows, "different"))
	two := "practice," + strings.NewReplacer("\nP01", "\nA,P01", "\np-1", "\nB,p-1", "\nP10", "\nA,P10").Replace(rows)
	b := mustRead(t, two, Options{})
	assert.Equal(t, CaseKey{Practice: "B", ID: "p-1"}, b.Movements[2].Value.Case, "two practices may number alike")
	both := two + "B,P01,1,46,extrusion,1,0.5\n"
	_, err = read(t, both, Options{})
	require.Contains(t, rulesOf(Problems(err)), "question-open", "one of them writes a code of both in two ways")
	assert.Equal(t, map[string]int{"P01": 4, "P10": 1}, cases(both, "same"))
}

// A pair of a wide sheet whose axis is not understood would be lost.
func TestUnknownPairOfAWideSheet(t *testing.T) {
	_, err := read(t, "case,course,tooth,rot planned,rot achieved,wobble planned,wobble achieved\nK1,1,43,10,8,1,1\n", Options{})
	var at []string
	for _, p := range Problems(err) {
		if p.Severity == Error {
			at = append(at, p.Rule+"@"+p.Cell)
		}
	}
	assert.Equal(t, []string{"column-ambiguous@F1"}, at)
}

// Rows of totals in other languages are no cases and no names of persons.
func TestTotalsInOtherLanguages(t *testing.T) {
	b := mustRead(t, head+"\n"+flatRow+"\nSumme,,,,,5,4\nMoyenne,,,,,5,4\n,,,Mean ± SD,,5,4\n", Options{})
	assert.Equal(t, Counts{Read: 4, Accepted: 1, Blank: 3}, b.Counts())
}

// "n" is a word of totals and a short no: a row that names a tooth is a record.
func TestRowWithoutItsCaseIsNoTotal(t *testing.T) {
	b := mustRead(t, head+",lost\n"+flatRow+",n\n,completed,1,44,rotation,5,4,n\n", Options{})
	require.Len(t, b.Rejected, 1)
	assert.True(t, strings.HasPrefix(b.Rejected[0].Reasons[0].Rule, "value-missing"))
}

// A stray quotation mark costs its own row, not the file.
func TestStrayQuotationMark(t *testing.T) {
	b := mustRead(t, head+",shape\n"+flatRow+",ellipsoid\n\nP1,completed,1,44,rotation,5,4,3\" long\nP1,completed,1,45,rotation,5,4,ellipsoid\n", Options{})
	assert.Equal(t, Counts{Read: 4, Accepted: 2, Rejected: 1, Blank: 1}, b.Counts())
	require.Len(t, b.Rejected, 1)
	assert.Equal(t, Source{Sheet: "test", Row: 4}, b.Rejected[0].Source)
	assert.Equal(t, "text-quotes", b.Rejected[0].Reasons[0].Rule)
	assert.Contains(t, b.Rejected[0].Original.Cells(), Cell{Ref: "H4", Header: "shape", Text: `3" long`})
	assert.Len(t, b.Movements, 2)
}

// The cells of such a row are no evidence for the rest of the file.
func TestStrayQuotationMarkIsNoEvidence(t *testing.T) {
	_, err := read(t, head+",shape\nP1,completed,1,13,rotation,5,4,ellipsoid\nP1,completed,1,43,rotation,5,4,3\" long\n", Options{})
	assert.Contains(t, rulesOf(Problems(err)), "notation-ask")
}

// Where the end of the row is in doubt too, nothing is read.
func TestQuotationMarkThatMayGoOn(t *testing.T) {
	for _, row := range []string{
		"P1,completed,1,44,rotation,5,4,\"open",
		"P1,completed,1,44,rotation,5\",4,\"open",
		"P1,completed,1,44,rotation,5\",4, \"two\nlines\"",
		"P1,\"completed\"x,1,44,rotation,5,4,",
		"P1,\"two\nlines\",1,44,rotation,5,4,3\" long", // its first line would be lost
	} {
		_, err := read(t, head+",shape\n"+flatRow+",ellipsoid\n"+row+"\nP1,completed,1,45,rotation,5,4,ellipsoid\n", Options{})
		assert.Equal(t, []string{"text-quotes"}, rulesOf(Problems(err)), row)
	}
	for _, text := range []string{"ca\"se" + head[4:] + "\n" + flatRow + "\n", "a 3\" wire,x\n" + head + "\n" + flatRow + "\n"} {
		_, err := read(t, text, Options{})
		assert.Contains(t, rulesOf(Problems(err)), "text-quotes", text)
	}
}

// What a stray quotation mark hides is still looked at for identifiers.
func TestIdentifierBesideAStrayQuotationMark(t *testing.T) {
	_, err := read(t, head+",shape\n"+flatRow+",ellipsoid\nP1,completed,1,44,rotation,5,4\",anna.miller@example.org\n", Options{})
	assert.Contains(t, rulesOf(Problems(err)), "identifier-contact")
}

// The template as it was written holds an example and nothing else.
func TestUntouchedTemplate(t *testing.T) {
	path := filepath.Join(t.TempDir(), "cases.xlsx")
	out, err := os.Create(path)
	require.NoError(t, err)
	require.NoError(t, template.Write(out))
	require.NoError(t, out.Close())
	_, err = Read(t.Context(), path, Options{})
	assert.Contains(t, rulesOf(Problems(err)), "nothing-read")
}
