package asks

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
)

// What was answered is said in the words of the choices, without hashes.
func TestAnsweredInPlainWords(t *testing.T) {
	assert.Equal(t, Answered{"column G of headers db45a288", "column G", "not to be read"}, answeredOf("column G of headers db45a288", "ignore", nil))
	assert.Equal(t, "amounts that can hardly be right", answeredOf("amounts dac69621", "leave out", nil).Name)
	assert.Equal(t, Answered{"signs", "signs", "sizes"}, answeredOf("signs", "sizes", nil))
	told := []casebook.Problem{{Answer: casebook.AnswerTold{ID: "places", Asked: "where?", Said: "here"}}, {Answer: casebook.AnswerTold{ID: "signs", Asked: "which way?", Said: "sizes only"}}}
	assert.Equal(t, Answered{"signs", "which way?", "sizes only"}, answeredOf("signs", "sizes", told))
	assert.Equal(t, Answered{"notation", "notation", "FDI"}, answeredOf("notation", "FDI", told), "told of another question")
}

// Choices that name columns or sheets are put by letter and number.
func TestPointsRepeatNothing(t *testing.T) {
	var ps Hidden
	book := &sheet.Book{Sheets: []*sheet.Sheet{{Name: "Whitfield"}, {Name: "Quill"}}}
	q, ok := ps.hide(question.Question{ID: "column case", Text: "which one?", Column: "Whitfield", Proposed: "Quill", Examples: []string{"Reed"}, Choices: []question.Choice{{Word: "Whitfield", Text: "column A: Reed"}, {Word: "Quill", Text: "column B"}}}, book)
	require.True(t, ok)
	assert.NotRegexp(t, "Whitfield|Quill|Reed", fmt.Sprintf("%v", q))
	id, word := ps.Means(q.ID, q.Choices[0].Word)
	assert.Equal(t, "column case Whitfield", id+" "+word)
	q, ok = ps.hide(question.Question{ID: "column case", Choices: []question.Choice{{Word: "Chart #", Text: "column A: 8 codes such as A-000", Masked: true}}}, book)
	require.True(t, ok)
	assert.Equal(t, "column A, headed Chart #: 8 codes such as A-000", q.Choices[0].Text, "a header that only announces codes is no code")
	q, ok = ps.hide(question.Question{ID: "style of Quill", Sheet: "Quill", Text: "what is it on Quill?", Choices: []question.Choice{{Word: "none"}}}, book)
	require.True(t, ok)
	assert.Equal(t, "point 2", q.ID)
	assert.Contains(t, q.Text, "sheet number 2")
	_, ok = ps.hide(question.Question{ID: "axis (withheld 1)", Word: "(withheld 1)"}, book)
	assert.False(t, ok)
	_, ok = ps.hide(question.Question{ID: "twice 0", Choices: []question.Choice{{Word: "row 3 of sheet Quill"}}}, book)
	assert.False(t, ok)
}

// A long list shows what is likely, and folds the rest; what was taken or is proposed is
// never in the fold.
func TestLikelyChoicesStandOpen(t *testing.T) {
	q := question.Question{Near: 2, Choices: []question.Choice{{Word: "a"}, {Word: "b"}, {Word: "c"}}}
	for _, c := range []struct {
		of     Asked
		likely int
	}{
		{Asked{Question: q}, 2},
		{Asked{Question: q, Given: []string{"c"}}, 3},
		{Asked{Question: question.Question{Near: 2, Choices: q.Choices, Proposed: "c"}}, 3},
		{Asked{Question: question.Question{Choices: q.Choices}}, 3},
		{Asked{Question: question.Question{Near: -1, Choices: q.Choices}}, 3},
		{Asked{Question: question.Question{Near: 9, Choices: q.Choices}}, 3},
	} {
		assert.Len(t, c.of.Likely(), c.likely)
		assert.Len(t, c.of.Others(), 3-c.likely)
	}
}
