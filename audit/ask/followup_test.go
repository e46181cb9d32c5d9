package ask_test

import (
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"shortfall/audit/ask/followup"
	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// practice starts two cases a month for 36 months, each refined after 4 to 15 months
// with probability .6, ended after 16 months, and looked at until month `look`.
func practice(seed uint64, look int) *audittest.Build {
	rng := rand.New(rand.NewPCG(seed, 1))
	first := casebook.NewMonth(2023, 1)
	var b audittest.Build
	for i := range 72 {
		start := first + casebook.Month(i/2)
		if int(start-first) > look {
			break
		}
		id := fmt.Sprintf("c%02d", i)
		c := casebook.Case{ID: id, Start: start, Status: casebook.UnderTreatment}
		if end := start + 16; int(end-first) <= look {
			c.Status, c.End = casebook.Completed, end
		}
		b.Dataset.Courses = append(b.Dataset.Courses, casebook.Course{Case: c.Key(), Number: 1, Start: start})
		refined, at := rng.Float64() < 0.6, start+casebook.Month(4+rng.IntN(12))
		if refined && int(at-first) <= look {
			b.Dataset.Courses = append(b.Dataset.Courses, casebook.Course{Case: c.Key(), Number: 2, Start: at})
		}
		b.Dataset.Cases = append(b.Dataset.Cases, c)
	}
	return &b
}

// TestCensoringDoesNotHideRefinements: looked at while a third of the cases are under
// way, the share refined is the same on average; completed cases alone are not asked.
func TestCensoringDoesNotHideRefinements(t *testing.T) {
	sum, n, covered := 0.0, 0, 0
	for seed := range uint64(200) {
		f := answered(t, followup.Question(), practice(seed, 36).Prepare(t, results.DefaultSettings())).FollowUp
		require.NotEmpty(t, f.At)
		h := f.At[len(f.At)-1]
		require.GreaterOrEqual(t, h.Months, 18)
		sum += float64(h.Refined.Value)
		n++
		if h.Refined.Low <= 0.6 && h.Refined.High >= 0.6 {
			covered++
		}
	}
	assert.InDelta(t, 0.6, sum/float64(n), 0.01)
	assert.GreaterOrEqual(t, covered, 183, "of 200; nominal 190")
}

// TestCompleteFollowUpIsAShare: where all are known the incidence is a plain share.
func TestCompleteFollowUpIsAShare(t *testing.T) {
	b := practice(5, 200)
	f := answered(t, followup.Question(), b.Prepare(t, results.DefaultSettings())).FollowUp
	refined := 0
	for _, c := range b.Dataset.Courses {
		if c.Number == 2 {
			refined++
		}
	}
	last := f.At[len(f.At)-1]
	assert.Equal(t, 24, last.Months)
	assert.InDelta(t, float64(refined)/72, float64(last.Refined.Value), 1e-12)
	assert.InDelta(t, float64(refined)/72, float64(last.Count.Value), 1e-12)
	assert.InDelta(t, 1-float64(refined)/72, float64(last.Ended), 1e-12)
	assert.Equal(t, 72, last.KnownCases)
	assert.Len(t, f.Curve, 24)
}

func TestShortFollowUpSaysSo(t *testing.T) {
	var b audittest.Build
	b.Dataset.Cases = []casebook.Case{{ID: "a", Status: casebook.Completed, Start: casebook.NewMonth(2025, 1), End: casebook.NewMonth(2025, 9), StatedRefinements: casebook.Some(0)}}
	f := answered(t, followup.Question(), b.Prepare(t, results.DefaultSettings())).FollowUp
	assert.Empty(t, f.At)
	require.Len(t, f.Warnings, 1)
	assert.Equal(t, "few-followed", f.Warnings[0].ID)
}

// statedOnly takes the months of refinements away from some refined cases of a practice:
// the case log states how many there were.
func statedOnly(b *audittest.Build, some func(i int) bool) {
	n := 0
	for i := range b.Dataset.Cases {
		c := &b.Dataset.Cases[i]
		c.StatedRefinements = casebook.Some(0)
		at := slices.IndexFunc(b.Dataset.Courses, func(x casebook.Course) bool { return x.Case == c.Key() && x.Number == 2 })
		if at < 0 {
			continue
		}
		c.StatedRefinements = casebook.Some(1)
		if n++; some(n) {
			b.Dataset.Courses = slices.Delete(b.Dataset.Courses, at, at+1)
		}
	}
}

// TestUndatedRefinementsAreNotNone: three fifths of the cases were refined, and no month
// says when. A share within so many months would be that of the others, which is none.
func TestUndatedRefinementsAreNotNone(t *testing.T) {
	for name, most := range map[string]func(int) bool{
		"all": func(int) bool { return true }, "four in five": func(i int) bool { return i%5 > 0 },
	} {
		for _, look := range []int{36, 200} {
			b := practice(3, look)
			statedOnly(b, most)
			r := answered(t, followup.Question(), b.Prepare(t, results.DefaultSettings()))
			assert.Empty(t, r.FollowUp.At, name)
			assert.Empty(t, r.FollowUp.Curve, name)
			assert.Zero(t, r.FollowUp.Cases, name)
			said := followup.Question().Section(r)
			assert.Empty(t, said.Exhibits, name)
			require.Len(t, said.Lines, 1)
			assert.Equal(t, "How soon cases need a refinement cannot be told: refinements are on record without the month in which they began.", said.Lines[0].Text)
			require.Len(t, said.Lines[0].Warnings, 1)
			assert.Regexp(t, `^\d+.refined cases left out, of which a refinement has no month`, said.Lines[0].Warnings[0].Text)
			followup.Question().Withhold(b.Prepare(t, results.DefaultSettings()), r)
			assert.Regexp(t, `^refined cases left out`, followup.Question().Section(r).Lines[0].Warnings[0].Text, "shared, the count is not shown")
		}
	}
}

// TestFewUndatedRefinementsMoveTheShareLittle: one refined case in fifteen is left out,
// and counted; the share stays within the three points that the rule allows.
func TestFewUndatedRefinementsMoveTheShareLittle(t *testing.T) {
	sum, n := 0.0, 0
	for seed := range uint64(60) {
		b := practice(seed, 200)
		statedOnly(b, func(i int) bool { return i%15 == 0 })
		f := answered(t, followup.Question(), b.Prepare(t, results.DefaultSettings())).FollowUp
		require.NotEmpty(t, f.At)
		require.Len(t, f.Warnings, 1)
		assert.Regexp(t, `^\d.refined cases left out`, f.Warnings[0].Text)
		sum += float64(f.At[len(f.At)-1].Refined.Value)
		n++
	}
	assert.InDelta(t, 0.6, sum/float64(n), 0.03)
}

// TestSharedGivesNoSteps: a step of the curve is a case or two.
func TestSharedGivesNoSteps(t *testing.T) {
	p := practice(5, 200).Prepare(t, results.DefaultSettings())
	r := answered(t, followup.Question(), p)
	followup.Question().Withhold(p, r)
	f := r.FollowUp
	assert.Empty(t, f.Curve)
	require.NotEmpty(t, f.At)
	assert.Zero(t, f.At[0].KnownCases)
	r.FollowUp = results.FollowUp{Cases: 12, At: []results.Horizon{{Refined: results.Spread{Value: 0.25}}}}
	followup.Question().Withhold(p, r)
	few := r.FollowUp
	assert.True(t, few.Suppressed)
	assert.Empty(t, few.At)
}

// TestEveryRefinementCounts: the mean count is of all refinements, at 12, 18 and 24 months
// where the data hold them.
func TestEveryRefinementCounts(t *testing.T) {
	b := practice(5, 200)
	all := 0
	for _, c := range b.Dataset.Courses {
		if c.Number == 2 {
			c.Number, c.Start, all = 3, c.Start+1, all+2
			b.Dataset.Courses = append(b.Dataset.Courses, c)
		}
	}
	f := answered(t, followup.Question(), b.Prepare(t, results.DefaultSettings())).FollowUp
	var months []int
	for _, h := range f.At {
		months = append(months, h.Months)
	}
	assert.Equal(t, []int{12, 18, 24}, months)
	assert.InDelta(t, float64(all)/72, float64(f.At[2].Count.Value), 1e-12)
	assert.InDelta(t, float64(all)/2/72, float64(f.At[2].Refined.Value), 1e-12)
}

// TestHorizonIsWhatWasLookedAt: cases that all ended within five months say nothing of a
// year that nobody was there to see; the longest whole quarter is left.
func TestHorizonIsWhatWasLookedAt(t *testing.T) {
	var b audittest.Build
	start := casebook.NewMonth(2025, 1)
	for i := range 30 {
		c := casebook.Case{ID: fmt.Sprint(i), Status: casebook.Completed, Start: start, End: start + 5}
		b.Dataset.Cases = append(b.Dataset.Cases, c)
		if i < 10 {
			b.Dataset.Courses = append(b.Dataset.Courses, casebook.Course{Case: c.Key(), Number: 2, Start: start + 2})
		}
	}
	f := answered(t, followup.Question(), b.Prepare(t, results.DefaultSettings())).FollowUp
	require.Len(t, f.At, 1)
	assert.Equal(t, 3, f.At[0].Months)
}
