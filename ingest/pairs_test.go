package ingest

import (
	"slices"
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

// One column in the place of two is never offered as both of them; what the remedy says works.
func TestHalfPairs(t *testing.T) {
	one := func(header string, cells ...string) string {
		text := "case,course,tooth,movement," + header + ",attachment\n"
		for i, c := range cells {
			text += "K1,1," + []string{"41", "42", "43", "44"}[i] + ",rotation," + c + ",none\n"
		}
		return text
	}
	for name, c := range map[string]struct{ text, cell, remedy, mended string }{
		"named after both":  {one("planned/achieved", "-9", "-7"), "E2", "slash", one("planned/achieved", "-9/-3", "-7/not measured")},
		"one among several": {one("planned → achieved", "-9 → -3", "-8 → -4", "-7"), "E4", "slash", one("planned → achieved", "-9 → -3", "-8 → -4", "-7 / not measured")},
		"named after none":  {one("the p", "-9", "-7"), "E1", `"column planned=the p"`, one("the p,achieved", "-9,-3", "-7,-5")},
	} {
		_, err := read(t, c.text, Options{Answers: usual})
		var found []casebook.Problem
		for _, p := range Problems(err) {
			if p.Severity == casebook.Error {
				found = append(found, p)
			}
		}
		require.Len(t, found, 1, name)
		assert.Equal(t, "column-missing "+c.cell, found[0].Rule+" "+found[0].Cell, name)
		assert.Contains(t, found[0].Remedy, c.remedy, name)
		b := mustRead(t, c.mended, Options{Answers: question.Answers{"positive": "usual", "column planned": "the p"}})
		assert.Empty(t, b.Rejected, name)
		assert.InDelta(t, -9, b.Movements[0].Value.Planned, 0, name)
		assert.InDelta(t, -3, b.Movements[0].Value.Achieved.Value, 0, name)
	}
}

// A column of a movement without its partner can be named, or left out, as the remedy has it.
func TestLonelyColumns(t *testing.T) {
	of := func(header string) string {
		return "case,course,tooth," + header + ",rotation planned,rotation achieved,style\nK1,1,41,1.2,-9,-7,none\nK1,1,42,1.1,-8,-7,none\n"
	}
	for header, says := range map[string]string{"extrusion planned": `"column achieved extrusion=HEADER"`, "extrusion achieved": `"column planned extrusion=HEADER"`} {
		_, err := read(t, of(header), Options{Answers: usual})
		at := slices.IndexFunc(Problems(err), func(p casebook.Problem) bool { return p.Severity == casebook.Error })
		require.GreaterOrEqual(t, at, 0, header)
		p := Problems(err)[at]
		assert.Equal(t, "D1", p.Cell)
		assert.Contains(t, p.Remedy, says)
		assert.Contains(t, p.Remedy, `"column ignore=`+header+`"`)
		assert.Len(t, mustRead(t, of(header), Options{Answers: question.Answers{"positive": "usual", "column ignore": header}}).Movements, 2)
	}
	text := strings.NewReplacer("41,1.2,", "41,1.2,0.7,", "42,1.1,", "42,1.1,0.6,").Replace(of("extrusion planned,xx"))
	assert.Len(t, mustRead(t, text, Options{Answers: question.Answers{"positive": "usual", "column achieved extrusion": "xx"}}).Movements, 4)
}
