package ingest

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

// charted is a wide sheet of eight cases with three teeth each, its codes under
// "Chart #" and who designed the attachment under the header given. The planned
// extrusion of the second row is as given.
func charted(style, second string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "Chart #,Tooth #,Extr plan,Extr got,Rot plan,Rot got,Att type,%s\n", style)
	for i := range 24 {
		plan, who := "1.1", []string{"Default", "Dr", ""}[i%3]
		if i == 1 {
			plan = second
		}
		fmt.Fprintf(&b, "C-%03d,%d,%s,0.6,12.5,8.2,%s,%s\n", 1+i/3, []int{7, 8, 22}[i%3], plan, []string{"rect", "bevel", ""}[i%3], who)
	}
	return b.String()
}

func questionOf(t *testing.T, text, id string) question.Question {
	t.Helper()
	_, err := read(t, text, Options{AllowIdentifiers: true})
	for _, q := range openOf(err) {
		if q.ID == id {
			return q
		}
	}
	require.Failf(t, "not asked", "%s: %v", id, err)
	return question.Question{}
}

// Codes under a header that only announces record numbers are offered and proposed by
// what they are, and two words that fill every row are not.
func TestCodesUnderAnyHeaderAreProposed(t *testing.T) {
	q := questionOf(t, charted("Remark by", "1.1"), "column case")
	require.Len(t, q.Choices, 1)
	assert.Equal(t, "Chart #", q.Choices[0].Word)
	assert.Equal(t, "Chart #", q.Proposed)
	assert.Equal(t, "column A: 8 codes such as A-000, in 3 rows each", q.Choices[0].Text)
	assert.NotContains(t, q.Choices[0].Text, "C-001")
}

// A column that would leave a row or two of the table is no case.
func TestWordsAreNoCodes(t *testing.T) {
	text := strings.ReplaceAll(charted("Helper", "1.1"), "Chart #,", "Quux,")
	for i := range 8 {
		text = strings.ReplaceAll(text, fmt.Sprintf("C-%03d", i+1), fmt.Sprintf("%d.25", i+1))
	}
	_, err := read(t, text, Options{AllowIdentifiers: true})
	for _, q := range openOf(err) {
		assert.NotEqual(t, "column case", q.ID, q.Choices)
	}
	assert.ErrorContains(t, err, `no column "case"`)
}

const chartedAnswers = "column case=Chart #;course=initial;signs=sizes;blank attachment=none"

// inOrder are the styles of the movements in the order of the file.
func inOrder(b *Batch) (out []Style) {
	for _, m := range b.Movements {
		out = append(out, m.Value.Style)
	}
	return out
}

// Who drew the attachment is its style, by the words of the header or of the cells.
func TestWhoDrewItIsTheStyle(t *testing.T) {
	for _, header := range []string{"Who drew it", "Drawn by", "Who chose it", "Attachment chosen by", "Who designed it"} {
		b := mustRead(t, charted(header, "1.1"), Options{AllowIdentifiers: true, Answers: answersOf(chartedAnswers)})
		assert.Equal(t, []Style{SoftwareSuggested, SoftwareSuggested, ClinicianDesigned, ClinicianDesigned, StyleNone}, inOrder(b)[:5], header)
		said := ""
		for _, p := range b.Problems {
			said += p.Message + "\n"
		}
		assert.Contains(t, said, `"Default" is read as software-suggested (8 times), "Dr" as clinician-designed (8 times)`, header)
	}
	q := questionOf(t, charted("Quux", "1.1"), "column style")
	assert.Equal(t, []string{"Quux", "none of them"}, q.Words())
	assert.Equal(t, "Quux", q.Proposed)
	b := mustRead(t, charted("Quux", "1.1"), Options{AllowIdentifiers: true, Answers: answersOf(chartedAnswers + ";column style=Quux")})
	assert.Equal(t, ClinicianDesigned, inOrder(b)[2])
	b = mustRead(t, charted("Quux", "1.1"), Options{AllowIdentifiers: true, Answers: answersOf("column case=Chart #;course=initial;signs=sizes;column style=none of them")})
	assert.Equal(t, NoStyle, inOrder(b)[2])
}

// An outcome without a plan costs a wide row that movement alone.
func TestStrayOutcomeOfAWideRow(t *testing.T) {
	o := Options{AllowIdentifiers: true, Answers: answersOf(chartedAnswers)}
	b := mustRead(t, charted("Who drew it", ""), o)
	assert.Len(t, b.Movements, 47)
	assert.Empty(t, b.Rejected)
	var of []Problem
	for _, p := range b.Problems {
		if p.Cell == "C3" {
			of = append(of, p)
		}
	}
	require.Len(t, of, 1)
	assert.Equal(t, Warning, of[0].Severity)
	assert.Equal(t, "the planned amount is missing; this movement was refused and the others of the row kept", of[0].Message)
	assert.Equal(t, []MovementKey{{Case: CaseKey{ID: "C-001"}, Course: 1, Tooth: 11, Axis: Vertical}}, b.RefusedMovements)
	assert.Equal(t, 1, b.RefusedAlone)
	i := slices.IndexFunc(b.Problems, func(p Problem) bool { return p.Rule == MovementsRefused })
	require.GreaterOrEqual(t, i, 0)
	assert.Equal(t, 1, b.Problems[i].Keep().Count)
	alone := "case,course,tooth,Extr plan,Extr got,Rot plan,Rot got\nA,1,43,,0.4,,\nA,1,44,1,0.4,,\n"
	b = mustRead(t, alone, Options{Answers: usual})
	assert.Len(t, b.Rejected, 1, "nothing of the row is left")
	assert.Zero(t, b.RefusedAlone, "it is refused with its row")
}

// A tooth without a planned movement is no rejected row of a wide sheet: nothing is
// missing. A tooth whose outcome alone is there is one, and so is a long row without an
// amount.
func TestTeethWithoutAPlanAreNotRejected(t *testing.T) {
	b := mustRead(t, "case,course,tooth,Extr plan,Extr got,Rot plan,Rot got\nA,1,43,1,0.4,,\nA,1,44,,,,\nA,1,45,,,,\nA,1,46,,0.3,,\n", Options{Answers: usual})
	assert.Equal(t, Counts{Read: 4, Accepted: 1, Rejected: 1, Blank: 2}, b.Sheets[0].Counts)
	require.Len(t, b.Rejected, 1)
	assert.Equal(t, 5, b.Rejected[0].Source.Row)
	said := ""
	for _, p := range b.Problems {
		if p.Rule == "row-unplanned" {
			said = p.Message + ". " + p.Remedy
			assert.Equal(t, Info, p.Severity)
		}
	}
	assert.Contains(t, said, "2 rows of teeth without a planned movement")
	assert.NotContains(t, said, "Fill")
	b = mustRead(t, "case,course,tooth,movement,planned,achieved\nA,1,43,rotation,-10,-4\nA,1,44,rotation,,\n", Options{Answers: usual})
	assert.Len(t, b.Rejected, 1)
}
