package console

import (
	"bufio"
	"bytes"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/question"
)

var asked = []question.Question{
	{ID: "signs", Text: "sizes or signed?", Choices: []question.Choice{{Word: "sizes", Text: "how far"}, {Word: "signed"}}, Proposed: "sizes"},
	{ID: "positive", Text: "which way?", Choices: []question.Choice{{Word: "usual"}, {Word: "intrusion"}, {Word: "tip distal"}}, Several: true},
}

func typed(t *testing.T, text string) (question.Answers, string, error) {
	t.Helper()
	var out bytes.Buffer
	a, err := AskAll(bufio.NewReader(strings.NewReader(text)), &out, asked)
	return a, out.String(), err
}

func TestQuestionsOnATerminal(t *testing.T) {
	a, shown, err := typed(t, "\n2,3\n")
	require.NoError(t, err)
	assert.Equal(t, question.Answers{"signs": "sizes", "positive": "intrusion,tip distal"}, a)
	assert.Contains(t, shown, "1  sizes: how far")
	assert.Contains(t, shown, `Enter for "sizes"`)
	a, shown, err = typed(t, "7\nperhaps\n2\nusual\n")
	require.NoError(t, err)
	assert.Equal(t, question.Answers{"signs": "signed", "positive": "usual"}, a)
	assert.Equal(t, 2, strings.Count(shown, "Type a number from 1 to 2."))
	_, _, err = typed(t, "1\n")
	assert.Error(t, err, "the person went away")
	_, _, err = typed(t, "1,2\n\n")
	assert.Error(t, err, "one choice only; and no proposal to take")
}
