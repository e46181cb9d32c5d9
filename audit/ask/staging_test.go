package ask_test

import (
	"context"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/ask/staging"
	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

func TestCompoundLoad(t *testing.T) {
	var b audittest.Build
	b.Add("a", 1, 13, casebook.Rotation, 20, 10, audittest.Soft)
	b.Add("a", 1, 13, casebook.Vertical, 1.5, 1.25, audittest.Soft)
	b.Add("a", 1, 13, casebook.Tip, 4, math.NaN(), audittest.Soft)
	b.Add("a", 1, 14, casebook.Rotation, 20, 20, audittest.Soft) // one large movement only
	b.Add("a", 1, 14, casebook.Tip, 9, 9, audittest.Soft)
	loads := staging.CompoundLoads(b.Prepare(t, results.DefaultSettings()))
	require.Len(t, loads, 1)
	l := loads[0]
	assert.Equal(t, casebook.Tooth(13), l.Tooth)
	assert.Equal(t, 2, l.Large)
	assert.InDelta(t, 20.0/2+1.5/0.5+4.0/2, float64(l.Load), 1e-12)
	assert.InDelta(t, 10.0/2+0.25/0.5, float64(l.Residual), 1e-12)
	assert.Equal(t, [2]int{1, 1}, [2]int{l.Outside, l.Unmeasured})
}

// TestGroupsNeedCases: many cases of one group do not make up for few mouths with both.
func TestGroupsNeedCases(t *testing.T) {
	p := func(both, sequenced int) results.GroupComparison {
		var b audittest.Build
		for i := range both + sequenced {
			id := string(rune('A'+i/26)) + string(rune('a'+i%26))
			first, second := casebook.Tooth(11), casebook.Tooth(12)
			if i%3 == 0 {
				first, second = second, first
			}
			b.Add(id, 1, first, casebook.Rotation, 10+float64(i%5), 6+float64(i%7), audittest.Soft).Staging = casebook.Sequenced
			if i < both {
				b.Add(id, 1, second, casebook.Rotation, 10+float64(i%4), 6+float64(i*i%7), audittest.Soft).Staging = casebook.Combined
			}
		}
		q := b.Prepare(t, results.DefaultSettings())
		cs := staging.Answer(context.Background(), q).Comparisons
		require.Len(t, cs, 1)
		return cs[0]
	}
	small := p(9, 40)
	assert.Equal(t, results.NotComparable, small.Verdict)
	assert.Equal(t, "different-patients", small.Reason)
	assert.False(t, small.Adjusted.P.OK())
	assert.NotEqual(t, results.NotComparable, p(10, 40).Verdict)
}

// TestRefinementsGivenTheirOwnCourse: teeth whose earlier course is not on record are
// compared in no refinement, whatever is asked of them; with it on record they are.
func TestRefinementsGivenTheirOwnCourse(t *testing.T) {
	answer := func(earlier bool) results.GroupComparison {
		var b audittest.Build
		for i := range 30 {
			id := string(rune('A'+i/26)) + string(rune('a'+i%26))
			for k, tooth := range []casebook.Tooth{11, 12, 21, 22} {
				planned := 8 + float64((i+3*k)%7)
				if earlier {
					b.Add(id, 1, tooth, casebook.Rotation, 2*planned, planned+float64((i*k)%5), audittest.Soft).Staging = casebook.Combined
				}
				m := b.Add(id, 2, tooth, casebook.Rotation, planned, 4+float64((i*7+k*5)%6), audittest.Soft)
				if m.Staging = casebook.Sequenced; (i+k)%2 == 0 {
					m.Staging = casebook.Combined
				}
			}
		}
		for _, c := range staging.Answer(context.Background(), b.Prepare(t, results.DefaultSettings())).Comparisons {
			if c.By.Course == results.Refinement {
				return c
			}
		}
		t.Fatal("no refinement compared")
		return results.GroupComparison{}
	}
	alone := answer(false)
	assert.Equal(t, results.NotComparable, alone.Verdict)
	assert.Equal(t, "no-earlier-course", alone.Reason)
	given := answer(true)
	assert.NotEqual(t, results.NotComparable, given.Verdict)
	assert.Contains(t, given.Adjusters, "expression of the course before")
}
