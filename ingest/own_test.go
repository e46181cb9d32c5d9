package ingest

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/mapping"
	"shortfall/ingest/rules"
)

// own words of cases, with how many cases have each.
func casesWith(words map[string]int, column string) string {
	var b strings.Builder
	fmt.Fprintf(&b, "case,status,course,tooth,axis,planned,achieved,%s\n", column)
	n := 0
	for _, w := range []string{"40-49", "50 to 59", "grown-up", "rarely seen", "of a quite remarkable and venerable age", "Anna Miller"} {
		for range words[w] {
			n++
			fmt.Fprintf(&b, "A%d,completed,1,43,rotation,-10,-8,%s\n", n, w)
		}
	}
	return b.String()
}

// Words of a practice's own are categories; rare, long and telling ones are "other",
// counted, and stand in no record.
func TestOwnWordsAreCategories(t *testing.T) {
	text := casesWith(map[string]int{"40-49": 6, "50 to 59": 5, "grown-up": 5, "rarely seen": 4, "of a quite remarkable and venerable age": 5}, "age group")
	b := mustRead(t, text, Options{Answers: usual})
	require.Empty(t, b.Rejected, "an optional word never costs a row")
	n := map[string]int{}
	for _, c := range b.Cases {
		n[c.Value.Own.AgeBand]++
		for _, o := range casebook.Keep(c.Original.Cells()) {
			assert.NotContains(t, o.Text, "rarely")
		}
	}
	assert.Equal(t, map[string]int{"40-49": 6, "50 to 59": 5, "grown-up": 5, "other": 9}, n)
	i := indexOf(b.Problems, "word-unknown")
	require.GreaterOrEqual(t, i, 0)
	assert.Contains(t, b.Problems[i].Message, `"40-49" in 6 cases`)
	assert.Contains(t, b.Problems[i].Message, `in 9 cases`)
	assert.Contains(t, b.Problems[i].Remedy, "18-29", "the standard words are offered")
	assert.NotContains(t, b.Problems[i].Message, "venerable")

	order := func(own string) casebook.AgeBand {
		a, _ := casebook.Case{Own: casebook.Own{AgeBand: own}}.AgeOrder()
		return a
	}
	assert.Less(t, order("40-49"), order("50 to 59"), "ranges of years are ordered")
	assert.Zero(t, order("grown-up"))
}

func TestOneCaseIsOneCase(t *testing.T) {
	b := mustRead(t, casesWith(map[string]int{"40-49": 5, "rarely seen": 1}, "age group"), Options{Answers: usual})
	i := indexOf(b.Problems, "word-unknown")
	require.GreaterOrEqual(t, i, 0)
	assert.Regexp(t, `"40-49" in 5 cases; .*, in 1 case$`, b.Problems[i].Message)
}

// What the screen takes for a name is no category, also where the file is read all
// the same.
func TestNamesAreNoCategories(t *testing.T) {
	b := mustRead(t, casesWith(map[string]int{"Anna Miller": 6}, "wear"), Options{Answers: usual, AllowIdentifiers: true})
	for _, c := range b.Cases {
		assert.Equal(t, casebook.OtherCategory, c.Value.Own.Wear)
	}
	for _, p := range b.Problems {
		assert.NotContains(t, p.Error(), "Miller")
	}
}

func indexOf(ps []casebook.Problem, rule string) int {
	for i, p := range ps {
		if p.Rule == rule {
			return i
		}
	}
	return -1
}

// TestWordsOfAttachmentsAreKeptBesideOurs: those of the trade; a word that could be
// somebody's is not kept, in however many cases it stands.
func TestWordsOfAttachmentsAreKeptBesideOurs(t *testing.T) {
	var b strings.Builder
	b.WriteString("case,course,tooth,axis,planned,achieved,feature style,feature shape\n")
	for i := range 6 {
		fmt.Fprintf(&b, "C-%03d,1,13,rotation,12,6,clinician,Ellipse\n", i)
		fmt.Fprintf(&b, "C-%03d,1,23,rotation,-9,-6,Miller,block\n", i)
		fmt.Fprintf(&b, "C-%03d,1,33,rotation,-9,-6,none,oval 123 45\n", i)
	}
	m := &mapping.File{}
	m.Words = map[string]map[string]string{"style": {"Miller": "clinician-designed"}, "shape": {"oval 123 45": "oval"}}
	batch, err := read(t, b.String(), Options{Notation: casebook.FDI, Mapping: m})
	require.NoError(t, err)
	var words []casebook.WordRead
	for _, p := range batch.Problems {
		if p.Rule == string(rules.WordsRead) {
			words = append(words, p.Word)
			assert.Equal(t, p.Word, p.Keep().Word)
		}
	}
	assert.Equal(t, []casebook.WordRead{
		{Column: "attachment shape", Means: "oval", Rows: 6}, // how often, and not the word
		{Column: "attachment shape", Said: "Ellipse", Means: "oval", Rows: 6},
		{Column: "attachment style", Means: "clinician-designed", Rows: 6},
		{Column: "attachment style", Said: "clinician", Means: "clinician-designed", Rows: 6},
	}, words)
	said := fmt.Sprint(words)
	for _, p := range batch.Problems {
		if p.Rule == string(rules.WordsRead) {
			said += p.Message
		}
	}
	assert.NotContains(t, said, "Miller")
	assert.NotContains(t, said, "123")
}

// A column named after what was achieved that holds percentages alone is one of shares: of what
// is asked, and the amounts are computed where they are of the plan.
func TestOutcomesInPercent(t *testing.T) {
	text := "case,course,tooth,movement,planned,achieved,attachment\nK1,1,43,extrusion,0.8,75%,none\nK1,1,44,intrusion,0.6,50 %,none\n"
	mustAsk(t, text, "percent")
	got := answered(t, text, "percent=computed")
	assert.InDelta(t, 0.6, got[0].Achieved.Value, 1e-9)
	assert.InDelta(t, -0.3, got[1].Achieved.Value, 1e-9)
	b, err := read(t, strings.Replace(text, "50 %", "0.3", 1), Options{})
	require.NoError(t, err, "an amount among them: each percentage is refused at its cell")
	require.Len(t, b.Rejected, 1)
	assert.Equal(t, "F2", b.Rejected[0].Reasons[0].Cell)
}
