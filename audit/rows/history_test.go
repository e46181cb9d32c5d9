package rows_test

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"shortfall/audit/audittest"
	"shortfall/audit/measure"
	"shortfall/audit/results"
	"shortfall/audit/rows"
	"shortfall/ingest/casebook"
)

func logged(id string, st casebook.Status, start, end casebook.Month, stated int) casebook.Case {
	c := casebook.Case{ID: id, Status: st, Start: start, End: end}
	if stated >= 0 {
		c.StatedRefinements = casebook.Some(stated)
	}
	return c
}

func course(id string, n int, m casebook.Month) casebook.Course {
	return casebook.Course{Case: casebook.CaseKey{ID: id}, Number: n, Start: m}
}

// TestLargerCountsAndConflictsAreSeen: stated and recorded refinements are one count.
func TestLargerCountsAndConflictsAreSeen(t *testing.T) {
	jan := casebook.NewMonth(2025, 1)
	b := audittest.Build{Dataset: casebook.Dataset{
		Cases: []casebook.Case{
			logged("both", casebook.Completed, jan, jan+12, 1), logged("more stated", casebook.Completed, jan, jan+12, 3),
			logged("more recorded", casebook.Completed, jan, jan+12, 0), logged("stated", casebook.Completed, jan, jan+12, 2),
			logged("neither", casebook.Completed, jan, jan+12, -1),
		},
		Courses: []casebook.Course{
			course("both", 1, jan), course("both", 2, jan+6), course("more stated", 2, jan+6), course("more recorded", 2, jan+6),
		},
	}}
	s := results.DefaultSettings()
	got := map[string]rows.FinishedCase{}
	p := b.Prepare(t, s)
	for _, c := range p.FinishedCases() {
		got[p.Cases[c.Patient].Key.ID] = c
	}
	require.Len(t, got, 4, "a case of which neither is known is not counted")
	for id, want := range map[string]int{"both": 1, "more stated": 3, "more recorded": 1, "stated": 2} {
		assert.Equal(t, want, got[id].Refinements, id)
	}
	assert.True(t, got["more stated"].Conflict && got["more recorded"].Conflict)
	assert.False(t, got["both"].Conflict || got["stated"].Conflict)
	assert.True(t, got["stated"].Stated)

	s.Questions.RefinementConflict = results.RefuseConflict
	_, err := rows.Prepare(&b.Dataset, s)
	require.ErrorContains(t, err, "2 cases state another number of refinements")
}

// TestFirstCoursesAloneShowNoRefinements: a sheet of initial courses does not say that
// nobody was refined.
func TestFirstCoursesAloneShowNoRefinements(t *testing.T) {
	var b audittest.Build
	b.Dataset.Cases = []casebook.Case{logged("a", casebook.Completed, 0, 0, -1)}
	b.Add("a", 1, 11, casebook.Rotation, 10, 5, audittest.Soft)
	assert.Empty(t, b.Prepare(t, results.DefaultSettings()).FinishedCases())
	b.Dataset.Cases = append(b.Dataset.Cases, logged("b", casebook.Completed, 0, 0, -1))
	b.Add("b", 2, 11, casebook.Rotation, 10, 5, audittest.Soft)
	assert.Len(t, b.Prepare(t, results.DefaultSettings()).FinishedCases(), 2, "later courses are on record")
}

func TestHistories(t *testing.T) {
	jan := casebook.NewMonth(2025, 1)
	b := audittest.Build{Dataset: casebook.Dataset{
		Cases: []casebook.Case{
			logged("open", casebook.UnderTreatment, jan, 0, -1), logged("done", casebook.Completed, jan, jan+14, -1),
			logged("no start", casebook.Completed, 0, jan+14, -1), logged("no end", casebook.Discontinued, jan, 0, -1),
			{ID: "undated", Practice: "X", Status: casebook.Completed, Start: jan, End: jan + 14, StatedRefinements: casebook.Some(2)},
			logged("early", casebook.Completed, jan, jan+3, -1),
			logged("status", casebook.NoStatus, jan, jan+3, -1), logged("at once", casebook.Transferred, jan, jan, 0),
			logged("says nothing", casebook.Completed, jan, jan+14, -1),
		},
		Courses: []casebook.Course{course("open", 1, jan), course("open", 2, jan+5), course("done", 1, jan), {Case: casebook.CaseKey{ID: "undated", Practice: "X"}, Number: 2, Start: jan + 4}, course("early", 2, jan+9)},
	}}
	p := b.Prepare(t, results.DefaultSettings())
	hs, left := p.Histories()
	got := map[string]rows.History{}
	for _, h := range hs {
		got[p.Cases[h.Patient].Key.ID] = h
	}
	require.Len(t, got, 3)
	open := got["open"]
	assert.Equal(t, []float64{5}, open.Refined)
	assert.Equal(t, 14.0, open.End, "the last month on record is the last look")
	assert.True(t, open.Open() && open.RefinedBy(5) && !open.RefinedBy(4))
	assert.Equal(t, 0.5, got["at once"].End)
	assert.Equal(t, 14.0, got["done"].End)
	reasons := map[string]int{}
	for _, l := range left {
		reasons[l.ID] = l.Cases
	}
	assert.Equal(t, map[string]int{"no-status": 1, "no-start-month": 1, "no-end-month": 1, "refinement-without-month": 1, "refinements-unknown": 1, "months-out-of-order": 1}, reasons)
}

// TestStartsEnteredAheadAreNoFollowUp: a start, or a first course, booked for next year
// does not make this year's cases look as if they had been followed until then.
func TestStartsEnteredAheadAreNoFollowUp(t *testing.T) {
	month := casebook.NewMonth
	ds := &casebook.Dataset{Cases: []casebook.Case{
		{ID: "a", Status: casebook.Completed, Start: month(2025, 1), End: month(2025, 9), StatedRefinements: casebook.Some(0)},
		{ID: "b", Status: casebook.UnderTreatment, Start: month(2025, 3)},
		{ID: "c", Status: casebook.UnderTreatment, Start: month(2027, 1)},
	}}
	ds.Courses = []casebook.Course{
		{Case: casebook.CaseKey{ID: "b"}, Number: 1, Start: month(2025, 3)},
		{Case: casebook.CaseKey{ID: "b"}, Number: 2, Start: month(2025, 12)},
		{Case: casebook.CaseKey{ID: "c"}, Number: 1, Start: month(2027, 1)},
	}
	prepare := func(date string) *rows.Set {
		s := results.DefaultSettings()
		s.Date = date
		p, err := rows.Prepare(ds, s)
		require.NoError(t, err)
		return p
	}
	p := prepare("")
	assert.Equal(t, month(2025, 12), p.LastLook(1))
	hs, left := p.Histories()
	require.Len(t, hs, 2)
	assert.Equal(t, 9.0, hs[1].End)
	require.Len(t, left, 1)
	assert.Equal(t, rows.StartAhead, left[0].ID)
	assert.Equal(t, 1, left[0].Cases)

	p = prepare("2025-06-30") // what is dated after the day of the audit is not known on it
	hs, _ = p.Histories()
	require.Len(t, hs, 2)
	assert.Equal(t, []float64{5, 3}, []float64{hs[0].End, hs[1].End})
	assert.True(t, hs[0].Open())
	assert.Empty(t, hs[1].Refined)

	ds.Cases, ds.Courses = ds.Cases[1:], ds.Courses[:1] // nothing shows that anybody was followed
	hs, left = prepare("").Histories()
	assert.Empty(t, hs)
	assert.Equal(t, 2, left[0].Cases)
}

// TestUndatedRefinementsLeaveNoShare: a practice that counts refinements in its log and
// dates none leaves, where its refined cases are set aside, the ones that needed none.
func TestUndatedRefinementsLeaveNoShare(t *testing.T) {
	jan := casebook.NewMonth(2025, 1)
	practice := func(refined, not int) casebook.Dataset {
		var ds casebook.Dataset
		for i := range refined + not {
			c := logged(fmt.Sprintf("c%02d", i), casebook.Completed, jan, jan+14, measure.OneIf(i < refined))
			c.Practice = "LARK"
			ds.Cases = append(ds.Cases, c)
		}
		ds.Cases = append(ds.Cases, logged("elsewhere", casebook.Completed, jan, jan+9, 0))
		return ds
	}
	for _, k := range []struct{ refined, not, followed int }{{19, 10, 1}, {2, 20, 1}, {1, 19, 1}, {0, 20, 21}} {
		b := audittest.Build{Dataset: practice(k.refined, k.not)}
		hs, left := b.Prepare(t, results.DefaultSettings()).Histories()
		assert.Len(t, hs, k.followed, k)
		n := 0
		for _, l := range left {
			n += l.Cases
		}
		assert.Equal(t, k.refined+k.not+1, n+len(hs), k)
	}
}

// TestAFewUndatedRefinementsAreLeftOut: up to a tenth of the refined cases of a practice;
// what began after months were recorded can be followed though earlier ones have none.
func TestAFewUndatedRefinementsAreLeftOut(t *testing.T) {
	jan := casebook.NewMonth(2024, 1)
	practice := func(undated int) (b audittest.Build) {
		for i := range 40 {
			c := logged(fmt.Sprintf("c%02d", i), casebook.Completed, jan, jan+14, i%2)
			if i%2 == 1 && i/2 >= undated {
				b.Dataset.Courses = append(b.Dataset.Courses, course(c.ID, 2, jan+6))
			}
			b.Dataset.Cases = append(b.Dataset.Cases, c)
		}
		return b
	}
	for undated, followed := range map[int]int{20: 0, 3: 0, 2: 38} { // of 20 refined
		b := practice(undated)
		hs, left := b.Prepare(t, results.DefaultSettings()).Histories()
		assert.Len(t, hs, followed, "%d undated", undated)
		require.NotEmpty(t, left)
		assert.Equal(t, rows.UndatedRefinement, left[0].ID)
		assert.Equal(t, undated, left[0].Cases)
	}
	b := practice(20)
	for i := range 12 {
		c := logged(fmt.Sprintf("new%02d", i), casebook.Completed, jan+24, jan+38, 1)
		b.Dataset.Cases = append(b.Dataset.Cases, c)
		b.Dataset.Courses = append(b.Dataset.Courses, course(c.ID, 2, jan+30))
	}
	s := results.DefaultSettings()
	s.Period.From = jan + 24
	hs, _ := b.Prepare(t, s).Histories()
	assert.GreaterOrEqual(t, len(hs), 12)
}

// TestCompletedCasesThatSayNothing: 30 completed cases with initial courses alone, or with
// none, are completed, and not cases without a refinement.
func TestCompletedCasesThatSayNothing(t *testing.T) {
	jan := casebook.NewMonth(2025, 1)
	var b audittest.Build
	for i := range 30 {
		id := fmt.Sprintf("c%02d", i)
		b.Dataset.Cases = append(b.Dataset.Cases, logged(id, casebook.Completed, jan, jan+14, -1))
		if i < 20 {
			b.Add(id, 1, 11, casebook.Rotation, 10, 5, audittest.Soft)
		}
	}
	p := b.Prepare(t, results.DefaultSettings())
	hs, _ := p.Histories()
	assert.Empty(t, hs)
	assert.Empty(t, p.FinishedCases())
	assert.Equal(t, 30, p.FinishedUnknown())
	b.Add("c00", 2, 11, casebook.Rotation, 10, 5, audittest.Soft) // courses are told apart now
	p = b.Prepare(t, results.DefaultSettings())
	assert.Len(t, p.FinishedCases(), 20)
	assert.Equal(t, 10, p.FinishedUnknown(), "no movement, no course, no count")
}
