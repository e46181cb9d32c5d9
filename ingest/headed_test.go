package ingest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

// What a column holds can be said by its header, asked or not: of a sheet on which nothing
// is recognised, of a column that is read otherwise, and of one that is not read at all.
func TestColumnsSaidByTheirHeaders(t *testing.T) {
	aa := "list of 2025\naa,bb,cc,dd,ee,ff,gg\nQ1,1,43,rotation,-10,-8,none\nQ2,1,43,rotation,-12,-6,none\n"
	said := question.Answers{
		"column case": "aa", "column course": "BB", "column tooth": "cc", "column axis": "dd", "column planned": "ee", "column achieved": "(F)", "column style": "gg", "positive": "usual",
	}
	path := asFile(t, "odd.csv", aa)
	_, err := Read(t.Context(), path, Options{})
	require.Error(t, err)
	b, err := Read(t.Context(), path, Options{Answers: said})
	require.NoError(t, err)
	require.Len(t, b.Movements, 2, "%v %v", b.Rejected, b.Problems)
	assert.InDelta(t, -8, b.Movements[0].Value.Achieved.Value, 0)
	assert.Equal(t, casebook.StyleNone, b.Movements[0].Value.Style)
	assert.NotEmpty(t, b.File.Reading, "it is a reading of its own")

	m := &remembers{kept: map[string]question.Answers{}}
	own := asFile(t, "own.csv", ownHeaders)
	b, err = Read(t.Context(), own, Options{Memory: m, Answers: question.Answers{"column achieved": "got", "positive": "usual"}})
	require.NoError(t, err)
	assert.InDelta(t, -9, b.Movements[0].Value.Achieved.Value, 0)
	next := asFile(t, "next.csv", "case,course,tooth,axis,planned,achieved,got,style\nQ3,1,43,rotation,-10,-1,-7,none\n")
	b, err = Read(t.Context(), next, Options{Memory: m})
	require.NoError(t, err)
	assert.InDelta(t, -7, b.Movements[0].Value.Achieved.Value, 0, "remembered")

	b, err = Read(t.Context(), own, Options{Answers: question.Answers{"column achieved": "no such header", "positive": "usual"}})
	require.NoError(t, err)
	assert.InDelta(t, -8, b.Movements[0].Value.Achieved.Value, 0)
	assert.Contains(t, messages(b), `nothing of this file asks "column achieved"`)
}

// Words that are directions are asked about where no header names them and nothing else says
// which way; where amounts have signs or movements say it, they are something else.
func TestDirectionsUnderAnotherHeader(t *testing.T) {
	const head = "case,course,tooth,movement,which way,planned,achieved,attachment\n"
	text := head + "K1,1,43,vertical,extrusion,1.2,0.8,none\nK1,1,46,vertical,intrusion,0.6,0.4,none\nK1,1,47,tip,distal,8,6,none\n"
	mustAsk(t, text, "column direction")
	got := answered(t, text, "column direction=which way")
	assert.InDelta(t, -0.6, got[1].Planned, 0)
	assert.InDelta(t, -6, got[2].Achieved.Value, 0)
	got = answered(t, text, "column direction=none of them", "signs=sizes")
	assert.True(t, got[1].SizeOnly)

	mustAsk(t, head+"K1,1,43,vertical,up,1.2,0.8,none\nK1,1,46,vertical,down,0.6,0.4,none\nK1,1,47,tip,distal,8,6,none\n", "column direction") // which the tooth settles

	signed := head + "K1,1,43,vertical,buccal,1.2,0.8,none\nK1,1,46,vertical,lingual,-0.6,-0.4,none\n"
	assert.Len(t, answered(t, signed), 2, "the side of something else")
	said := head + "K1,1,43,extrusion,buccal,1.2,0.8,none\nK1,1,46,intrusion,lingual,0.6,0.4,none\n"
	assert.Len(t, answered(t, said), 2)
}

// Numbers of order are those of the column: under a course the second is the first
// refinement, under a refinement it is asked what the first is.
func TestCoursesByOrdinals(t *testing.T) {
	const rest = ",47,rotation,-10,-8,none\n"
	got := answered(t, "case,serie,tooth,movement,planned,achieved,attachment\nK1,eerste"+rest+"K1,tweede"+rest+"K1,derde"+rest)
	require.Len(t, got, 3)
	assert.Equal(t, []int{1, 2, 3}, []int{got[0].Course, got[1].Course, got[2].Course})
	text := "case,verfijning,tooth,movement,planned,achieved,attachment\nK1,eerste" + rest + "K1,tweede" + rest
	mustAsk(t, text, "course numbers")
	got = answered(t, text, "course numbers=refinements")
	require.Len(t, got, 2)
	assert.Equal(t, []int{2, 3}, []int{got[0].Course, got[1].Course})
}

// A word of another language that stands once is asked about beside its neighbours, and a word
// that is no movement can be left without a meaning; where it is the only one it is a slip.
func TestRareWordsOfMovements(t *testing.T) {
	const text = "case,course,tooth,movement,planned,achieved,attachment\n" +
		"K1,1,43,ekstrüzyon,0.5,0.4,none\nK1,1,44,ekstrüzyon,0.8,0.5,none\nK1,1,45,intrüzyon,0.8,0.7,none\n"
	mustAsk(t, text, "axis words")
	got := answered(t, text, "axis ekstrüzyon=extrusion", "axis intrüzyon=intrusion")
	require.Len(t, got, 3)
	assert.InDelta(t, -0.7, got[2].Achieved.Value, 0)
	b := mustRead(t, text, Options{Answers: answersOf("axis ekstrüzyon=extrusion;axis intrüzyon=not recorded")})
	assert.Len(t, b.Rejected, 1)
	slip := strings.Replace(strings.ReplaceAll(text, "ekstrüzyon", "extrusion"), "intrüzyon", "intrüzyno", 1)
	b = mustRead(t, slip, Options{})
	assert.Len(t, b.Rejected, 1)
}

// To the patient's left is left, which is mesial of a right tooth.
func TestPatientsLeft(t *testing.T) {
	const text = "case,course,tooth,movement,direction,target,achieved,attachment\n" +
		"K1,1,43,tip,to patient's left,5,4,none\nK1,1,36,tip,to patient's left,6,4,none\n"
	mustAsk(t, text, "right and left")
	got := answered(t, text, "right and left=patient")
	require.Len(t, got, 2)
	assert.Equal(t, []float64{-6, 5}, plannedOf(got))
}
