package audit_test

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// casesWithRefinements makes n completed cases with k refinements for every
// k: n, one incisor moved in the initial course under the style.
func casesWithRefinements(counts map[int]int, s casebook.Style) *casebook.Dataset {
	ds := &casebook.Dataset{}
	id := 0
	for k := range 6 {
		for range counts[k] {
			id++
			name := fmt.Sprintf("%c%03d", 'A'+int(s), id)
			ds.Cases = append(ds.Cases, casebook.Case{ID: name, Status: casebook.Completed})
			for c := 1; c <= k+1; c++ {
				ds.Courses = append(ds.Courses, casebook.Course{Case: casebook.CaseKey{ID: name}, Number: c})
			}
			ds.Movements = append(ds.Movements, move(name, 11, casebook.Vertical, 1, 0.5, s))
		}
	}
	return ds
}

func join(a, b *casebook.Dataset) *casebook.Dataset {
	return &casebook.Dataset{
		Cases: append(a.Cases, b.Cases...), Courses: append(a.Courses, b.Courses...), Movements: append(a.Movements, b.Movements...),
	}
}

// TestRefinementCounts by hand; limits of 16 in 24 from R 4.2.2,
// prop.test(16, 24, correct = FALSE).
func TestRefinementCounts(t *testing.T) {
	ds := casesWithRefinements(map[int]int{0: 8, 1: 7, 2: 6, 3: 1, 5: 2}, casebook.SoftwareSuggested)
	// None of these may count: still under treatment, switched, discontinued.
	for i, s := range []casebook.Status{casebook.UnderTreatment, casebook.Switched, casebook.Discontinued, casebook.Transferred, casebook.NoStatus} {
		ds.Cases = append(ds.Cases, casebook.Case{ID: fmt.Sprintf("Z%d", i), Status: s})
		ds.Courses = append(ds.Courses, casebook.Course{Case: casebook.CaseKey{ID: fmt.Sprintf("Z%d", i)}, Number: 4})
	}
	r := mustRun(t, ds, nil).Refinements
	assert.Equal(t, 24, r.Cases)
	for i, want := range []int{8, 7, 6, 1, 2} {
		assert.Equal(t, want, r.Distribution[i].Cases, r.Distribution[i].Label)
	}
	assert.InDelta(t, (7+12+3+10)/24.0, float64(r.Mean.Value), 1e-12)
	assert.Equal(t, 16, r.AtLeastOne.Numerator)
	assert.InDelta(t, 0.4670631684, float64(r.AtLeastOne.Low), 1e-9)
	assert.InDelta(t, 0.8202780967, float64(r.AtLeastOne.High), 1e-9)
	assert.Equal(t, 24, r.ByStyle[0].Cases)
	assert.Equal(t, 32, r.ByStyle[0].Refinements)
	assert.Zero(t, r.ByStyle[1].Cases)
	assert.False(t, hasWarning(r.Warnings, results.CompletedUnmeasured), "each of them moved a tooth")
}

// TestStatedRefinements: the practice's own count stands where no course is on record;
// where the two disagree the larger counts, and the case is named.
func TestStatedRefinements(t *testing.T) {
	ds := casesWithRefinements(map[int]int{1: 12}, casebook.ClinicianDesigned)
	ds.Cases[0].StatedRefinements = casebook.Some(3)
	ds.Cases = append(ds.Cases, casebook.Case{ID: "Z", Status: casebook.Completed, StatedRefinements: casebook.Some(2)})
	all := mustRun(t, ds, nil)
	r := all.Refinements
	assert.Equal(t, 13, r.Cases)
	assert.Equal(t, 11, r.Distribution[1].Cases)
	assert.Equal(t, 1, r.Distribution[2].Cases)
	assert.Equal(t, 1, r.Distribution[3].Cases)
	assert.True(t, hasWarning(r.Warnings, "refinements-miscounted"))
	assert.True(t, hasWarning(r.Warnings, "stated-refinements"))
	// Z has no movement: it is one of the 13, and not of the 12 in the heading.
	assert.True(t, hasWarning(r.Warnings, results.CompletedUnmeasured))
	assert.Equal(t, 12, all.Scope.Cases)
	assert.Equal(t, "Completed cases by number of refinements; with 1\u00a0completed case without an analysed movement", all.Front.Refined.Sub)
}

// TestCasesWithoutAStatus: who may be completed or not is left out, and page one and the
// finding say how many that are.
func TestCasesWithoutAStatus(t *testing.T) {
	ds := casesWithRefinements(map[int]int{0: 6, 1: 14}, casebook.ClinicianDesigned)
	for i := range 12 {
		ds.Cases[i].Status = casebook.NoStatus
	}
	r := mustRun(t, ds, nil)
	assert.Equal(t, 8, r.Refinements.Cases)
	assert.True(t, hasWarning(r.Refinements.Warnings, results.StatusUnknown))
	assert.Equal(t, "Completed cases by number of refinements; left out: 12\u00a0cases without a status on record", r.Front.Refined.Sub)
	said := 0
	for _, f := range r.Findings {
		said += strings.Count(f.Text, "Left out: 12\u00a0cases without a status on record.")
	}
	assert.Equal(t, 1, said)
	assert.False(t, hasWarning(mustRun(t, casesWithRefinements(map[int]int{0: 6}, casebook.ClinicianDesigned), nil).Refinements.Warnings, results.StatusUnknown))
	for i := range ds.Cases {
		ds.Cases[i].Status = casebook.NoStatus
	}
	r = mustRun(t, ds, nil)
	assert.Contains(t, r.Refinements.Warnings[len(r.Refinements.Warnings)-1].Text, "20\u00a0cases without a status")
}

// TestRateRatio: without covariates the ratio of the two rates by hand: 20
// cases with 30 refinements against 20 with 20.
func TestRateRatio(t *testing.T) {
	ds := join(casesWithRefinements(map[int]int{0: 5, 1: 8, 2: 4, 3: 3}, casebook.SoftwareSuggested),
		casesWithRefinements(map[int]int{0: 3, 1: 9, 2: 5, 3: 2, 5: 1}, casebook.ClinicianDesigned))
	r := mustRun(t, ds, nil).Refinements
	software, clinician := 8+8+9.0, 9+10+6+5.0
	assert.InDelta(t, clinician/software, float64(r.RateUnadj.Difference), 1e-9)
	assert.True(t, r.RateUnadj.Low < r.RateUnadj.Difference && r.RateUnadj.Difference < r.RateUnadj.High)
	// Every case plans the same, so there is nothing to adjust for.
	assert.InDelta(t, float64(r.RateUnadj.Difference), float64(r.RateRatio.Difference), 1e-9)
}

// TestNoRateRatioOfAHandful: one refined case against five is no ratio, with 0.73 to 70
// about it, and a hint that it is none.
func TestNoRateRatioOfAHandful(t *testing.T) {
	ds := join(casesWithRefinements(map[int]int{0: 10, 1: 5}, casebook.SoftwareSuggested),
		casesWithRefinements(map[int]int{0: 5, 2: 8}, casebook.ClinicianDesigned))
	r := mustRun(t, ds, nil)
	assert.False(t, r.Refinements.RateRatio.Difference.OK())
	assert.True(t, hasWarning(r.Refinements.Warnings, "few-refinements"))
	assert.Contains(t, r.Front.ByStyle.Below, "Too few refinements")
	assert.NotContains(t, r.Front.Refined.Below, "times")
	ds = join(casesWithRefinements(map[int]int{0: 10, 1: 10}, casebook.SoftwareSuggested),
		casesWithRefinements(map[int]int{0: 5, 2: 8}, casebook.ClinicianDesigned))
	assert.True(t, mustRun(t, ds, nil).Refinements.RateRatio.Difference.OK())
}

// TestMainStyle: each tooth votes once, whatever its axes; a tie has no style.
func TestMainStyle(t *testing.T) {
	ds := logged(
		move("a", 11, casebook.Vertical, 1, 1, casebook.ClinicianDesigned),
		move("a", 11, casebook.Rotation, 9, 9, casebook.ClinicianDesigned),
		move("a", 11, casebook.Tip, 9, 9, casebook.ClinicianDesigned),
		move("a", 12, casebook.Vertical, 1, 1, casebook.SoftwareSuggested),
		move("a", 13, casebook.Vertical, 1, 1, casebook.SoftwareSuggested),
		move("b", 11, casebook.Vertical, 1, 1, casebook.ClinicianDesigned),
		move("b", 12, casebook.Vertical, 1, 1, casebook.SoftwareSuggested))
	later := move("b", 21, casebook.Vertical, 1, 1, casebook.NoStyle)
	later.Course = 2 // so that courses are on record at all
	ds.Movements = append(ds.Movements, later)
	r := mustRun(t, ds, nil).Refinements
	assert.Equal(t, 1, r.ByStyle[0].Cases)
	assert.Zero(t, r.ByStyle[1].Cases)
	assert.True(t, hasWarning(r.Warnings, "no-main-style"))
}

// TestReplannedAndLosses by hand.
func TestReplannedAndLosses(t *testing.T) {
	again := func(id string, tooth casebook.Tooth, planned float64) casebook.Movement {
		m := move(id, tooth, casebook.Rotation, planned, planned, casebook.SoftwareSuggested)
		m.Course = 2
		return m
	}
	lost := func(m casebook.Movement, yes bool) casebook.Movement { m.Lost = casebook.Some(yes); return m }
	ds := logged(
		lost(move("a", 14, casebook.Rotation, 20, 10, casebook.SoftwareSuggested), true),
		lost(move("a", 14, casebook.Vertical, 1, 1, casebook.SoftwareSuggested), true), // the same feature
		lost(move("a", 15, casebook.Rotation, -20, -10, casebook.SoftwareSuggested), false),
		move("a", 24, casebook.Rotation, 20, 10, casebook.SoftwareSuggested), // fate not recorded
		move("b", 14, casebook.Rotation, 20, 19, casebook.ClinicianDesigned),
		move("c", 14, casebook.Rotation, 20, 10, casebook.SoftwareSuggested),
		again("a", 14, 10),  // planned again
		again("a", 15, 10),  // the other way round: not again
		again("a", 24, 1.5), // below the smallest plan: not again
		again("c", 14, 10))  // of a case that is not finished
	for i := range ds.Cases {
		if ds.Cases[i].ID == "c" {
			ds.Cases[i].Status = casebook.Discontinued
		}
	}
	r := mustRun(t, ds, nil)
	find := func(axis casebook.Axis, s casebook.Style) results.Replanned {
		for _, x := range r.Replanned {
			if x.Axis == axis && x.Style == s {
				return x
			}
		}
		require.Fail(t, "missing")
		return results.Replanned{}
	}
	software := find(casebook.Rotation, casebook.SoftwareSuggested)
	assert.Equal(t, [3]int{1, 3, 1}, [3]int{software.Cases, software.Movements, software.Again.Numerator})
	all := find(casebook.NoAxis, casebook.SoftwareSuggested)
	assert.Equal(t, [2]int{4, 1}, [2]int{all.Movements, all.Again.Numerator})
	assert.Zero(t, find(casebook.NoAxis, casebook.ClinicianDesigned).Again.Numerator)

	require.Len(t, r.Losses, 2) // all teeth and premolars, one style with a known fate
	assert.Equal(t, [2]int{2, 1}, [2]int{r.Losses[0].Features, r.Losses[0].Lost.Numerator})
	assert.Equal(t, casebook.Premolar, r.Losses[1].ToothClass)
}

// TestBounds: the missing plan of 2 mm turns 1.5 of 3 into 1.5 of 5 at worst
// and 3.5 of 5 at best.
func TestBounds(t *testing.T) {
	missing := move("c", 11, casebook.Vertical, 2, 0, casebook.NoStyle)
	missing.Achieved = casebook.Opt[float64]{}
	r := mustRun(t, logged(
		move("a", 11, casebook.Vertical, 1, 1, casebook.NoStyle), move("b", 11, casebook.Vertical, 2, 0.5, casebook.NoStyle), missing,
	), nil)
	require.Len(t, r.Bounds, 1)
	b := r.Bounds[0]
	assert.Equal(t, [3]int{3, 3, 1}, [3]int{b.Cases, b.Movements, b.Missing})
	assert.InDelta(t, 0.5, float64(b.Observed), 1e-12)
	assert.InDelta(t, 0.3, float64(b.Worst), 1e-12)
	assert.InDelta(t, 0.7, float64(b.Best), 1e-12)
}

// TestRateRatioAdjustsForWearOnRecordBefore: wear that was judged when the refinement was
// known follows from it.
func TestRateRatioAdjustsForWearOnRecordBefore(t *testing.T) {
	ds := invented(5, 60)
	adjusters := func(timing casebook.Timing) string {
		for i := range ds.Cases {
			ds.Cases[i].WearRecorded = timing
		}
		return strings.Join(mustRun(t, ds, nil).Refinements.Adjusters, ", ")
	}
	assert.Contains(t, adjusters(casebook.BeforeOutcome), "wear")
	assert.NotContains(t, adjusters(casebook.AfterOutcome), "wear")
}
