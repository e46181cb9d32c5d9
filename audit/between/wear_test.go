package between

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// TestWearJudgedAfterwardsAdjustsNothing: it may follow from the outcome. Only what the
// sheet says was recorded before is an adjuster, and makes strata.
func TestWearJudgedAfterwardsAdjustsNothing(t *testing.T) {
	for when, want := range map[casebook.Timing]bool{casebook.NoTiming: false, casebook.AfterOutcome: false, casebook.BeforeOutcome: true} {
		var b audittest.Build
		for i := range 40 {
			id := fmt.Sprintf("c%02d", i)
			wear := casebook.Wears()[i%2]
			b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, Wear: wear, WearRecorded: when})
			b.Add(id, 1, 11, casebook.Rotation, 10+float64(i%7), 5+float64(measure.OneIf(i%2 == 0)), casebook.Styles()[1+i%2])
		}
		p := b.Prepare(t, results.DefaultSettings())
		which := make([]int32, len(p.Analysed))
		for i := range which {
			which[i] = int32(i)
		}
		found := false
		for _, a := range candidates(p, which, &Grouping{}, nil) {
			found = found || a.Name == "wear recorded before"
		}
		assert.Equal(t, want, found, when)
		assert.Equal(t, want, stratumOf(p, &p.Analysed[0]).wear != casebook.NoWear)
		for _, x := range balance(p, which, styleTreated, nil) {
			if x.Covariate == "good wear, recorded before" {
				assert.True(t, want)
			}
		}
	}
}

// Ages and wear in a practice's own words adjust like those of the vocabulary: wear
// only where it was recorded before.
func TestOwnWordsAdjust(t *testing.T) {
	for when, want := range map[casebook.Timing]bool{casebook.NoTiming: false, casebook.AfterOutcome: false, casebook.BeforeOutcome: true} {
		var b audittest.Build
		for i := range 40 {
			id := fmt.Sprintf("c%02d", i)
			own := casebook.Own{AgeBand: []string{"teen", "adult"}[i/2%2], Wear: []string{"all day", "nights"}[i%2]}
			b.Dataset.Cases = append(b.Dataset.Cases, casebook.Case{ID: id, WearRecorded: when, Own: own})
			b.Add(id, 1, 11, casebook.Rotation, 10+float64(i%7), 5+float64(measure.OneIf(i%2 == 0)), casebook.Styles()[1+i%2])
		}
		p := b.Prepare(t, results.DefaultSettings())
		which := make([]int32, len(p.Analysed))
		for i := range which {
			which[i] = int32(i)
		}
		found := map[string]int{}
		for _, a := range candidates(p, which, &Grouping{}, nil) {
			found[a.Name] = len(a.Cols)
		}
		assert.Equal(t, 1, found["age group in own words"])
		assert.Equal(t, measure.OneIf(want), found["wear recorded before, in own words"], when)
	}
}
