package ingest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/rules"
)

// ordinary are twelve rotations of canines, 8 degrees each, three quarters achieved.
func ordinary(more ...string) string {
	var b strings.Builder
	b.WriteString("case,course,tooth,axis,planned,achieved\n")
	for i := range 12 {
		sign := []string{"", "-"}[i%2]
		fmt.Fprintf(&b, "A%d,1,43,rotation,%s8,%s6\n", i, sign, sign)
	}
	for i, row := range more {
		fmt.Fprintf(&b, "B%d,1,%s\n", i, row)
	}
	return b.String()
}

func doubted(b *casebook.Batch) (cells []string) {
	for _, p := range b.Problems {
		if p.Rule == string(rules.AmountDoubtful) {
			cells = append(cells, p.Cell)
		}
	}
	return cells
}

// The bounds stand in the rule of design: three times the plan, twice against it,
// ten times what is usual for the tooth.
func TestAmountsThatCanHardlyBeRight(t *testing.T) {
	for row, cell := range map[string]string{
		"43,rotation,8,24":   "",
		"43,rotation,8,24.1": "F14",
		"43,rotation,-8,16":  "",
		"43,rotation,-8,17":  "F14",
		"43,rotation,79,60":  "",
		"43,rotation,81,60":  "E14",
		"43,rotation,60,81":  "F14",
		"43,rotation,0,20":   "",    // nothing was planned
		"43,rotation,1,9":    "",    // below the smallest plan a ratio means nothing
		"43,vertical,1,3.5":  "F14", // no usual plan is known, the ratio is
	} {
		b := mustRead(t, ordinary(row), Options{Answers: usual})
		var want []string
		if cell != "" {
			want = []string{cell}
		}
		assert.Equal(t, want, doubted(b), row)
		assert.Len(t, b.Movements, 13, "without an answer they are kept: %s", row)
	}
}

// Where somebody is there it is asked; each answer does what it says, is remembered
// for these amounts, and never covers others.
func TestDoubtfulAmountsAreAsked(t *testing.T) {
	memory := &lastAnswers{}
	text := ordinary("43,rotation,8,60", "43,rotation,8,6")
	_, err := read(t, text, Options{Answers: usual, Ask: true, Memory: memory})
	open := openOf(err)
	require.Len(t, open, 1)
	q := open[0]
	assert.Equal(t, "F14", q.Cell)
	assert.Equal(t, []string{"row 14: rotation planned 8, achieved 60"}, q.Examples)
	with := func(word string) (*casebook.Batch, error) {
		return read(t, text, Options{Answers: question.Answers{"positive": "usual", q.ID: word}, Ask: true, Memory: memory})
	}
	b, err := with("leave out")
	require.NoError(t, err)
	assert.Len(t, b.Movements, 13)
	assert.Len(t, b.Rejected, 1)
	_, err = with("correct")
	require.Error(t, err)
	assert.Equal(t, "F14", Problems(err)[0].Cell)
	assert.Empty(t, openOf(err))
	b, err = with("keep")
	require.NoError(t, err)
	assert.Len(t, b.Movements, 14)
	assert.Equal(t, casebook.AsMeasured, b.Movements[12].Value.Confirmed)
	assert.Equal(t, casebook.NotConfirmed, b.Movements[13].Value.Confirmed, "nobody was asked about it")

	b, err = read(t, text, Options{Ask: true, Memory: memory})
	require.NoError(t, err, "remembered")
	assert.Len(t, b.Movements, 14)
	_, err = read(t, ordinary("43,rotation,8,61"), Options{Ask: true, Memory: memory})
	assert.Len(t, openOf(err), 1, "another amount is another question")
}

// A sheet that says so itself is not asked about, and another amount of it is.
func TestConfirmedInTheSheet(t *testing.T) {
	sheet := func(second string) string {
		lines := strings.Split(strings.TrimSpace(ordinary("43,rotation,8,60", "43,rotation,8,70")), "\n")
		for i := range lines {
			lines[i] += map[int]string{0: ",amounts confirmed", len(lines) - 2: ",yes", len(lines) - 1: "," + second}[i]
		}
		return strings.Join(lines, "\n")
	}
	b, err := read(t, sheet("as measured"), Options{Answers: usual, Ask: true})
	require.NoError(t, err)
	assert.Equal(t, []string{"F14", "F15"}, doubted(b), "they are listed")
	for i, m := range b.Movements {
		assert.Equal(t, i >= 12, m.Value.Confirmed == casebook.AsMeasured)
	}
	_, err = read(t, sheet(""), Options{Answers: usual, Ask: true})
	require.Len(t, openOf(err), 1)
	assert.Equal(t, "F15", openOf(err)[0].Cell)
}

// lastAnswers remembers one set of answers for any header.
type lastAnswers struct{ a question.Answers }

func (m *lastAnswers) Recall(string) question.Answers    { return m.a }
func (m *lastAnswers) Keep(_ string, a question.Answers) { m.a = a }

// Of several movements in a row the cell of the one in doubt is named, beside a pair of
// another one too; an amount that is large for any tooth is asked about with the others.
func TestDoubtOfAWideRowNamesItsCell(t *testing.T) {
	text := "case,course,tooth,ext planned,ext achieved,rot planned,rot achieved,style\n"
	for i := range 12 {
		text += fmt.Sprintf("D-%02d,1,%d,1,0.8,20,15,none\n", i, 41+i%8)
	}
	text += "D-20,1,43,1,0.8,20,136,none\nD-21,1,43,1,0.8,82,6,none\n"
	b, err := read(t, text, Options{Answers: question.Answers{"signs": "signed", "positive": "usual"}})
	require.NoError(t, err)
	got := map[string]string{}
	for _, p := range b.Problems {
		if strings.HasPrefix(p.Rule, "amount-") {
			got[p.Cell] = p.Rule
		}
	}
	assert.Equal(t, map[string]string{"G14": "amount-doubtful", "F15": "amount-unlikely"}, got)
	_, err = read(t, text, Options{Ask: true, Answers: question.Answers{"signs": "signed", "positive": "usual"}})
	require.Len(t, openOf(err), 1)
	assert.Equal(t, "G14", openOf(err)[0].Cell)
	assert.Equal(t, 2, openOf(err)[0].Choices[0].Count)
}
