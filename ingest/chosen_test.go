package ingest

import (
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/columns"
	"shortfall/ingest/question"
	"shortfall/ingest/sheet"
)

// ownHeaders leaves reading to take "got" for what was achieved; what the practice means
// by "measured again" it cannot know.
const ownHeaders = "case,course,tooth,axis,planned,achieved,got,style\nQ1,1,43,rotation,-10,-8,-9,none\nQ2,1,43,rotation,-12,-6,-11,none\n"

func asFile(t *testing.T, name, text string) string {
	t.Helper()
	path := filepath.Join(t.TempDir(), name)
	require.NoError(t, os.WriteFile(path, []byte(text), 0o600))
	return path
}

// columnIDs gives the id of each column of the first sheet.
func columnIDs(t *testing.T, path string, o Options) map[string]string {
	t.Helper()
	book, err := sheet.Open(path, o.Limits)
	require.NoError(t, err)
	laid, out := Tables(book, o), map[string]string{}
	for _, letter := range strings.Split("ABCDEFGH", "") {
		out[letter] = laid.ColumnID(book.Sheets[0].Name, letter)
	}
	return out
}

// What a person says of a column goes before what its header says, is a part of how the
// file was read, holds for the next file of the same headers, and can be taken back.
func TestColumnsAsAPersonSays(t *testing.T) {
	path := asFile(t, "own.csv", ownHeaders)
	m := &remembers{kept: map[string]question.Answers{}}
	o := Options{Memory: m}
	before, err := Read(t.Context(), path, o)
	require.NoError(t, err)
	require.InDelta(t, -8, before.Movements[0].Value.Achieved.Value, 0)
	ids := columnIDs(t, path, o)
	o.Answers = question.Answers{ids["F"]: "ignore", ids["G"]: "achieved", "positive": "usual"}
	b, err := Read(t.Context(), path, o)
	require.NoError(t, err)
	assert.InDelta(t, -9, b.Movements[0].Value.Achieved.Value, 0)
	assert.NotEqual(t, before.File.Reading, b.File.Reading, "it is another reading of the file")
	require.Len(t, m.kept, 1)

	next := asFile(t, "next.csv", "case,course,tooth,axis,planned,achieved,got,style\nQ3,1,43,rotation,-10,-1,-7,none\n")
	b, err = Read(t.Context(), next, Options{Memory: m})
	require.NoError(t, err)
	assert.InDelta(t, -7, b.Movements[0].Value.Achieved.Value, 0, "remembered")
	assert.True(t, slices.ContainsFunc(b.Problems, func(p casebook.Problem) bool {
		return strings.HasPrefix(p.Message, "What is column G? Answered: achieved")
	}), "and said")

	other := asFile(t, "other.csv", "case,course,tooth,axis,planned,got,achieved,style\nQ3,1,43,rotation,-10,-7,-1,none\n")
	b, err = Read(t.Context(), other, Options{Memory: m})
	require.NoError(t, err)
	assert.InDelta(t, -1, b.Movements[0].Value.Achieved.Value, 0, "other headers are another layout")

	b, err = Read(t.Context(), next, Options{Memory: m, Answers: question.Answers{ids["F"]: AsFound, ids["G"]: AsFound}})
	require.NoError(t, err)
	assert.InDelta(t, -1, b.Movements[0].Value.Achieved.Value, 0, "taken back")
	b, err = Read(t.Context(), next, Options{Memory: m})
	require.NoError(t, err)
	assert.InDelta(t, -1, b.Movements[0].Value.Achieved.Value, 0, "and stays so")
}

// A sheet on which nothing was recognised is read once its columns are said; nothing of
// that is remembered, since the next sheet of that kind may be another one.
func TestColumnsOfASheetNotRecognised(t *testing.T) {
	text := "aa,bb,cc,dd,ee,ff,gg\nQ1,1,43,rotation,-10,-8,none\nQ2,1,43,rotation,-12,-6,none\n"
	path := asFile(t, "odd.csv", text)
	m := &remembers{kept: map[string]question.Answers{}}
	_, err := Read(t.Context(), path, Options{Memory: m})
	require.Error(t, err)
	ids := columnIDs(t, path, Options{})
	said := question.Answers{ids["A"]: "case", ids["B"]: "course", ids["C"]: "tooth", ids["D"]: "axis", ids["E"]: "planned", ids["F"]: "achieved", ids["G"]: "style", "positive": "usual"}
	b, err := Read(t.Context(), path, Options{Memory: m, Answers: said})
	require.NoError(t, err)
	require.Len(t, b.Movements, 2, "%v %v", b.Rejected, b.Problems)
	assert.InDelta(t, -8, b.Movements[0].Value.Achieved.Value, 0)
	assert.Empty(t, m.kept)
	_, err = Read(t.Context(), asFile(t, "odd2.csv", text), Options{Memory: m})
	assert.Error(t, err)
}

// remembers is a memory without a database.
type remembers struct{ kept map[string]question.Answers }

func (m *remembers) Recall(header string) question.Answers { return m.kept[header] }

func (m *remembers) Keep(header string, a question.Answers) { m.kept[header] = maps.Clone(a) }

// Every field can be chosen, once, and no two are called alike.
func TestColumnChoices(t *testing.T) {
	words, texts := map[string]bool{}, map[string]bool{}
	for _, c := range ColumnChoices() {
		assert.False(t, words[c.Word] || texts[c.Text], "%s, %s", c.Word, c.Text)
		words[c.Word], texts[c.Text] = true, true
	}
	for _, f := range columns.Fields() {
		assert.True(t, words[f.String()], "%s cannot be chosen", f)
	}
}
