package ingest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	. "shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

// Whether amounts are sizes is decided along each axis: in columns of their own for extrusion
// and intrusion they are, whatever the tip beside them carries.
func TestSizesBesideWordsAlongOneAxis(t *testing.T) {
	const wide = "case,course,tooth,planned tip,achieved tip,planned extrusion,achieved extrusion,planned intrusion,achieved intrusion,attachment\n" +
		"K1,1,43,5,4,0.6,0.4,,,none\nK1,1,44,-4,-3,,,1.2,0.8,none\nK1,1,45,6,5,,,0.9,-0.1,none\n"
	const long = "case,course,tooth,movement,direction,planned,achieved,attachment\n" +
		"K1,1,43,tip,,5,4,none\nK1,1,44,tip,,-4,-3,none\nK1,1,43,vertical,extrusion,0.6,0.4,none\nK1,1,44,intrusion,,1.2,0.8,none\nK1,1,45,vertical,intrusion,0.9,-0.1,none\nK1,1,45,tip,,6,5,none\n"
	for _, text := range []string{wide, long} {
		b := mustRead(t, text, Options{Answers: usual})
		assert.Empty(t, b.Rejected)
		assert.Zero(t, b.RefusedAlone)
		got := map[Tooth][2]float64{}
		for _, m := range recordsOf(b).Movements {
			assert.False(t, m.SizeOnly)
			if m.Axis == Vertical {
				got[m.Tooth] = [2]float64{m.Planned, m.Achieved.Value}
			}
		}
		assert.Equal(t, map[Tooth][2]float64{43: {0.6, 0.4}, 44: {-1.2, -0.8}, 45: {-0.9, 0.1}}, got)
		assert.Contains(t, messages(b), "no planned amount of vertical is negative and its directions are given in words (intrusion)")
	}
	// One negative amount along the axis, and the others are slips.
	b := mustRead(t, long+"K2,1,46,vertical,intrusion,-0.5,-0.5,none\n", Options{Answers: usual})
	assert.Equal(t, 2, len(b.Rejected))
	// What a legend of the file says is believed against one or two rows, and not against three.
	b, err := Read(t.Context(), sheets(t, "a", strings.TrimSpace(long), "key", "vertical: + extrusion / - intrusion"), Options{Answers: usual})
	require.NoError(t, err)
	assert.Equal(t, 2, len(b.Rejected))
	b, err = Read(t.Context(), sheets(t, "a", long+"K2,1,46,intrusion,,0.5,0.5,none", "key", "vertical: + extrusion / - intrusion"), Options{Answers: usual})
	require.NoError(t, err)
	assert.Empty(t, b.Rejected)
}

// messages are those of all problems, one a line.
func messages(b *Batch) string {
	var out []string
	for _, p := range b.Problems {
		out = append(out, p.Message)
	}
	return strings.Join(out, "\n")
}

// Amounts without a word beside others of their axis that have one are asked about, at any
// number.
func TestAmountsBesideWordedOnesAreAsked(t *testing.T) {
	const text = "case,course,tooth,movement,planned,achieved,attachment\n" +
		"K1,1,43,tip,-5,-4,none\nK1,1,44,intrusion,1.2,0.8,none\nK1,1,45,vertical,0.6,0.4,none\n"
	mustAsk(t, text, "sizes of vertical")
	of := func(pairs ...string) Movement { return answered(t, text, pairs...)[2] }
	assert.True(t, of("sizes of vertical=sizes").SizeOnly)
	m := of("sizes of vertical=signed")
	assert.False(t, m.SizeOnly)
	assert.Equal(t, 0.6, m.Planned)
	answers := answersOf("positive mesiodistal tip=tip mesial;positive vertical=intrusion;sizes of vertical=signed")
	ms := recordsOf(mustRead(t, text, Options{Answers: answers})).Movements
	assert.Equal(t, []float64{-5, -1.2, -0.6}, plannedOf(ms), "and which way is positive is asked as well")
}

// Outcomes that are negative beside plans without signs moved against them, or carry the sign
// of the movement: that is asked where it happens in one direction alone.
func TestSignedOutcomesOfSizes(t *testing.T) {
	const text = "case,course,tooth,movement,planned,achieved,attachment\n" +
		"K1,1,43,extrusion,0.5,0.4,none\nK1,1,44,intrusion,0.8,-0.5,none\nK1,1,45,intrusion,0.8,-0.7,none\nK1,1,46,intrusion,0.8,0.1,none\n"
	_, err := read(t, text, Options{})
	require.Equal(t, []string{"outcome signs"}, asked(t, err))
	assert.Contains(t, openOf(err)[0].Text, "2 achieved amounts are negative")
	achieved := func(text, word string) (out []float64) {
		for _, m := range recordsOf(mustRead(t, text, Options{Answers: question.Answers{"outcome signs": word}})).Movements {
			out = append(out, m.Achieved.Value)
		}
		return out
	}
	assert.Equal(t, []float64{0.4, -0.5, -0.7, 0.1}, achieved(text, "signed"))
	assert.Equal(t, []float64{0.4, 0.5, 0.7, -0.1}, achieved(text, "against plan"))
	assert.Equal(t, []float64{0.4, -0.1}, achieved(text, "reject"))
	assert.Equal(t, []float64{0.4, 0.5, -0.7, -0.1}, achieved(strings.Replace(text, "-0.7", "0.7", 1), ""), "one tooth may well have")
	both := strings.Replace(text, "0.5,0.4", "0.5,-0.4", 1)
	assert.Equal(t, []float64{-0.4, 0.5, 0.7, -0.1}, achieved(both, ""), "it happens both ways")
	own := strings.NewReplacer("movement", "axis,direction", "extrusion", "vertical,extrusion", "intrusion", "vertical,intrusion", "attachment", "style").Replace(text)
	assert.Equal(t, []float64{0.4, 0.5, 0.7, -0.1}, achieved(own, ""), "as an export writes them")
	beside := strings.NewReplacer("intrusion,0.8", "vertical,0.8 intrusion", "extrusion,0.5", "vertical,0.5 extrusion").Replace(text)
	assert.Equal(t, []float64{0.4, -0.5, -0.7, 0.1}, achieved(beside, "signed"))
	atTooth := strings.NewReplacer("movement", "axis,direction", "extrusion", "vertical,up", "intrusion", "vertical,down", "planned", "target").Replace(text)
	_, err = read(t, atTooth, Options{})
	require.Equal(t, []string{"outcome signs"}, asked(t, err), "down is intrusion in the lower jaw")
	assert.Contains(t, openOf(err)[0].Text, "2 achieved amounts are negative")
	assert.Contains(t, openOf(err)[0].Text, "1 beside such a direction are positive")
	assert.Equal(t, []float64{0.4, -0.5, -0.7, 0.1}, achieved(atTooth, "signed"))
}

// A movement that is refused since its word is not known is asked about no more; totals are no
// examples.
func TestSignsOfRowsThatAreRead(t *testing.T) {
	const text = "case,course,tooth,movement,planned,achieved,attachment\nK1,1,43,wiggling,5,4,none\nK1,1,44,extrusion,0.6,0.4,none\nK1,1,45,intrusion,0.6,0.4,none\nTotal,,,,6.2,4.8,\n"
	b := mustRead(t, text, Options{})
	assert.Len(t, b.Movements, 2)
	assert.Len(t, b.Rejected, 1)
	_, err := read(t, strings.Replace(text, "wiggling", "rotation", 1), Options{})
	require.Equal(t, []string{"signs"}, asked(t, err))
	assert.Equal(t, []string{"row 2: rotation planned 5, achieved 4"}, openOf(err)[0].Examples)
}

// "Round" heads a column of courses, and of a cell is a shape.
func TestRoundIsACourse(t *testing.T) {
	b := mustRead(t, "case,Round,tooth,movement,planned,achieved,attachment,shape\nK1,1,44,extrusion,0.6,0.4,software,round\nK1,2,44,extrusion,0.3,0.2,mjukvara,round\n", Options{})
	assert.Equal(t, []int{1, 2}, coursesOf(recordsOf(b).Movements))
	for _, m := range recordsOf(b).Movements {
		assert.NotZero(t, m.Shape)
		assert.Equal(t, SoftwareSuggested, m.Style)
	}
}
