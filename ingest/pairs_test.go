package ingest

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/ingest/casebook"
	"shortfall/ingest/question"
)

const twoInOne = "case,course,tooth,Rotation (°),Extrusion (mm),attachment\n" +
	"K1,1,43,\"4,5 → 3,2\",,none\nK1,1,44,-4 -> -3,1 / 0.5,none\nK1,1,45,5 => n/a,,software\n"

// Two amounts in one cell under the name of a movement may be plan and outcome, or where the
// tooth stood: that is asked.
func TestTwoAmountsInOneCell(t *testing.T) {
	_, err := read(t, twoInOne, Options{})
	assert.Contains(t, asked(t, err), "two amounts")
	of := func(text, word string) (planned, achieved []float64) {
		for _, m := range recordsOf(mustRead(t, text, Options{Answers: question.Answers{"positive": "usual", "two amounts": word}})).Movements {
			planned, achieved = append(planned, m.Planned), append(achieved, m.Achieved.Value)
		}
		return planned, achieved
	}
	planned, achieved := of(twoInOne, "planned first")
	assert.Equal(t, [][]float64{{4.5, -4, 1, 5}, {3.2, -3, 0.5, 0}}, [][]float64{planned, achieved})
	planned, achieved = of(strings.Replace(twoInOne, "n/a", "4", 1), "achieved first")
	assert.Equal(t, [][]float64{{3.2, -3, 0.5, 4}, {4.5, -4, 1, 5}}, [][]float64{planned, achieved})
	_, err = read(t, twoInOne, Options{Answers: question.Answers{"two amounts": "neither"}})
	assert.ErrorContains(t, err, "no column \"planned\"")
}

// One number among pairs is neither plan nor outcome, and never both.
func TestOneAmountAmongPairsIsRefused(t *testing.T) {
	text := "case,course,tooth,movement,planned → achieved,attachment\n"
	for _, tooth := range strings.Fields("41 42 43 44 45 46 47 31 32") {
		text += "K1,1," + tooth + ",rotation,-9 -> -3,none\n"
	}
	b := mustRead(t, text+"K1,1,33,rotation,-9,none\n", Options{Answers: usual})
	assert.Len(t, b.Movements, 9)
	require.Len(t, b.Rejected, 1)
	assert.Equal(t, "number-unreadable", b.Rejected[0].Reasons[0].Rule)
	assert.Equal(t, "E11", b.Rejected[0].Reasons[0].Cell)
	for _, m := range b.Movements {
		assert.Equal(t, casebook.Some(-3.0), m.Value.Achieved)
	}
	wide := strings.Replace(twoInOne, "1 / 0.5", "1", 1) + "K2,1,46,3 → 2,1 → 1,none\n"
	b = mustRead(t, wide, Options{Answers: question.Answers{"positive": "usual", "two amounts": "planned first"}})
	assert.Equal(t, 1, b.RefusedAlone)
	assert.Len(t, b.Movements, 5)
}
