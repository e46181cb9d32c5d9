package layout_test

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/ingest/question"
)

var signs = question.Question{ID: "signs", Text: "What?", Choices: []question.Choice{{Word: "sizes", Text: "no direction"}, {Word: "signed", Text: "as they are"}}}

func TestAsk(t *testing.T) {
	a := &question.Asker{Answers: question.Answers{"signs": "sizes", "course": "R1", "notation": "roman"}}
	assert.Equal(t, "sizes", a.Ask(signs))
	notation := question.Question{ID: "notation", Choices: []question.Choice{{Word: "fdi"}}}
	assert.Empty(t, a.Ask(notation), "a word that is no choice answers nothing")
	assert.Empty(t, a.Ask(notation), "asked twice is one question")
	assert.Equal(t, []question.Question{notation}, a.Open())
	assert.Equal(t, []question.Answered{{Question: signs, Word: "sizes"}}, a.Used())
	assert.Equal(t, []string{"course"}, a.Unused())
}

func TestRemedyNamesTheFlag(t *testing.T) {
	assert.Equal(t, "Answer with --answer signs=sizes (no direction), or --answer signs=signed (as they are)", signs.Remedy())
	q := question.Question{ID: "column tooth", Choices: []question.Choice{{Word: `a "b"`, Text: "x"}}}
	assert.Equal(t, `Answer with --answer "column tooth=a \"b\"" (x)`, q.Remedy())
}

func TestParse(t *testing.T) {
	id, word, err := question.Parse("column tooth = Zahn")
	assert.NoError(t, err)
	assert.Equal(t, "column tooth/Zahn", id+"/"+word)
	for _, bad := range []string{"signs", "=x", "signs=", ""} {
		_, _, err := question.Parse(bad)
		assert.Error(t, err, bad)
	}
}
