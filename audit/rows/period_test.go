package rows

import (
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// twoCourses is a practice of one case a month from 2025-01 on; its first course ends
// six months after its start with the refinement, the case after ten.
func twoCourses(n int) *casebook.Dataset {
	ds := &casebook.Dataset{}
	for i := range n {
		start := casebook.NewMonth(2025, 1+i)
		c := casebook.Case{ID: fmt.Sprintf("c%02d", i), Clinician: fmt.Sprintf("K%d", 1+i%2), Status: casebook.Completed, Start: start, End: start + 10}
		ds.Cases = append(ds.Cases, c)
		for number, begun := range []casebook.Month{start, start + 6} {
			ds.Courses = append(ds.Courses, casebook.Course{Case: c.Key(), Number: number + 1, Start: begun})
			ds.Movements = append(ds.Movements, casebook.Movement{
				Case: c.Key(), Course: number + 1, Tooth: 11, Axis: casebook.Rotation, Planned: 10, Achieved: casebook.Some(4.0), Style: casebook.SoftwareSuggested,
			})
		}
	}
	return ds
}

func prepared(t *testing.T, ds *casebook.Dataset, per results.Period) *Set {
	t.Helper()
	s := results.DefaultSettings()
	s.Period = per
	require.NoError(t, s.Check())
	p, err := Prepare(ds, s)
	require.NoError(t, err)
	return p
}

// TestCoursesBelongToTheMonthTheyEndedIn: counted by hand.
func TestCoursesBelongToTheMonthTheyEndedIn(t *testing.T) {
	month := casebook.NewMonth
	ds := twoCourses(12)
	p := prepared(t, ds, results.Period{From: month(2025, 9), To: month(2025, 11)})
	require.Len(t, p.Analysed, 4) // first courses of March to May, and the refinement of January
	for i := range p.Analysed {
		end := p.CourseEnd(p.Analysed[i].Cluster, p.Analysed[i].Movement.Course)
		assert.True(t, end >= month(2025, 9) && end <= month(2025, 11), end)
	}
	assert.Equal(t, casebook.UnderTreatment, p.Cases[1].Log.Status, "its end in 2025-12 was not known yet")
	assert.Equal(t, casebook.Completed, ds.Cases[1].Status, "the dataset stays as it was")
	assert.Len(t, p.FinishedCases(), 1)
	ids := map[string]int{}
	for _, st := range p.Flow.Steps {
		for _, e := range st.Excluded {
			ids[e.ID] = e.Movements
		}
	}
	// Later: both courses of the case begun in December, and the refinements of the six
	// begun from June on. Not ended: the first courses of those six, and the refinements of
	// February to May. Before: the first courses of January and February.
	assert.Equal(t, map[string]int{"after-period": 8, "course-not-ended": 10, "outside-period": 2}, ids)
	assert.Equal(t, "Movements on record", p.Flow.Steps[0].Title)
	assert.Equal(t, 24, p.Flow.Steps[0].Movements)
	for i := 1; i < len(p.Flow.Steps); i++ {
		left, cases := 0, 0
		for _, e := range p.Flow.Steps[i-1].Excluded {
			left, cases = left+e.Movements, cases+e.Cases
		}
		assert.Equal(t, p.Flow.Steps[i-1].Movements-left, p.Flow.Steps[i].Movements, p.Flow.Steps[i].Title)
		assert.Equal(t, p.Flow.Steps[i-1].Cases-cases, p.Flow.Steps[i].Cases, p.Flow.Steps[i].Title)
	}
}

// TestPeriodsAddUp: every movement of a course that ended is in exactly one quarter.
func TestPeriodsAddUp(t *testing.T) {
	ds, sum := twoCourses(20), 0
	for q := casebook.NewMonth(2025, 1); q < casebook.NewMonth(2028, 1); q += 3 {
		sum += len(prepared(t, ds, results.Period{From: q, To: q + 2}).Analysed)
	}
	assert.Equal(t, 40, sum)
}

// TestLaterRecordsChangeNothing: the audit of a period is the same whatever is entered
// about later months.
func TestLaterRecordsChangeNothing(t *testing.T) {
	per := results.Period{To: casebook.NewMonth(2025, 12)}
	early := twoCourses(12)
	for i := range early.Cases { // as the log stood on the last day of 2025
		if c := &early.Cases[i]; c.End > per.To {
			c.End, c.Status = 0, casebook.UnderTreatment
		}
	}
	early.Courses = slicesKeep(early.Courses, func(c casebook.Course) bool { return c.Start <= per.To })
	early.Movements = slicesKeep(early.Movements, func(m casebook.Movement) bool {
		return m.Course == 1 || early.Cases[m.Case.ID[2]-'0'+10*(m.Case.ID[1]-'0')].Start+6 <= per.To
	})
	a, b := prepared(t, early, per), prepared(t, twoCourses(20), per)
	assert.Equal(t, len(a.Analysed), len(b.Analysed))
	ha, _ := a.Histories()
	hb, _ := b.Histories()
	assert.Equal(t, ha, hb)
	assert.Equal(t, a.FinishedCases(), b.FinishedCases())
}

func slicesKeep[T any](list []T, keep func(T) bool) (out []T) {
	for _, x := range list {
		if keep(x) {
			out = append(out, x)
		}
	}
	return out
}

// TestClinicianByCode: the cases of one, or an error that names the codes there are.
func TestClinicianByCode(t *testing.T) {
	ds := twoCourses(6)
	p := prepared(t, ds, results.Period{Clinician: "k2"})
	assert.Len(t, p.Cases, 3)
	assert.Len(t, p.Analysed, 6)
	require.NotEmpty(t, p.Flow.Steps[0].Excluded)
	assert.Equal(t, results.Exclusion{ID: "other-clinician", Reason: "Of other clinicians, or without one on record", Movements: 6, Cases: 3}, p.Flow.Steps[0].Excluded[0])

	refused := func(ds *casebook.Dataset, code string) string {
		s := results.DefaultSettings()
		s.Period.Clinician = code
		_, err := Prepare(ds, s)
		var why *PeriodError
		require.ErrorAs(t, err, &why)
		return why.Text
	}
	assert.Contains(t, refused(ds, "K7"), "K1, K2")
	ds.Cases[0].Practice, ds.Cases[2].Practice = "P", "Q"
	assert.Contains(t, refused(ds, "K1"), "P K1, Q K1")
	for i := range ds.Cases {
		ds.Cases[i].Clinician = ""
	}
	assert.Contains(t, refused(ds, "K1"), "record the clinician")
}

// TestPeriodWithoutMonths: nothing can be told from the rest, and that is said.
func TestPeriodWithoutMonths(t *testing.T) {
	ds := twoCourses(4)
	for i := range ds.Cases {
		ds.Cases[i].Start, ds.Cases[i].End = 0, 0
	}
	for i := range ds.Courses {
		ds.Courses[i].Start = 0
	}
	per := results.Period{From: casebook.NewMonth(2025, 1), To: casebook.NewMonth(2025, 3)}
	p := prepared(t, ds, per)
	assert.Len(t, p.Analysed, 8)
	require.NotNil(t, p.PeriodWarning())
	ds.Cases[0].Start, ds.Cases[0].End = per.From, per.To // one case is dated: it alone can be shown to belong
	ds.Courses[1].Start = per.From + 1
	p = prepared(t, ds, per)
	assert.Nil(t, p.PeriodWarning())
	assert.Len(t, p.Analysed, 2)
}

func TestPeriodsThatHoldNothingAreRefused(t *testing.T) {
	month := casebook.NewMonth
	for _, per := range []results.Period{
		{From: month(2025, 4), To: month(2025, 3)}, {Quarter: month(2025, 2)}, {Quarter: month(2025, 4), To: month(2025, 9)}, {From: month(2025, 4), Quarter: month(2025, 4)},
	} {
		assert.Error(t, per.Check(), per)
	}
	assert.Equal(t, month(2025, 6), results.Period{Quarter: month(2025, 4)}.Last())
}

// TestAsItStoodAtTheEnd: what the log says of later months was not known: a case begun later,
// be it without courses on record, its movements with it; the practice's own count of
// refinements of a case that ended later. A case under treatment has not ended, whatever
// month stands there.
func TestAsItStoodAtTheEnd(t *testing.T) {
	month := casebook.NewMonth
	ds := twoCourses(3)
	ds.Courses = nil
	for i := range ds.Cases {
		ds.Cases[i].StatedRefinements = casebook.Some(1)
	}
	p := prepared(t, ds, results.Period{To: month(2025, 2)})
	require.Len(t, p.Cases, 2, "March is later")
	assert.Len(t, p.Order, 4)
	assert.Equal(t, casebook.Opt[int]{}, p.Cases[0].Log.StatedRefinements)

	ds = twoCourses(1)
	p = prepared(t, ds, results.Period{})
	assert.Equal(t, month(2025, 11), p.CourseEnd(0, 2))
	ds.Cases[0].Status = casebook.UnderTreatment
	assert.Zero(t, prepared(t, ds, results.Period{}).CourseEnd(0, 2))
}

// TestCohortsReachTheHorizonInThePeriod: begun a horizon before it.
func TestCohortsReachTheHorizonInThePeriod(t *testing.T) {
	month := casebook.NewMonth
	p := prepared(t, twoCourses(12), results.Period{From: month(2025, 7), To: month(2025, 9)})
	for start, in := range map[casebook.Month]bool{month(2024, 6): false, month(2024, 7): true, month(2024, 9): true, month(2024, 10): false, month(2025, 7): false} {
		assert.Equal(t, in, p.CohortInPeriod(start, 12), start)
	}
}

// A set that another one followed has ended at the latest when the case did, though nobody
// wrote down when: the finished cases that needed refinements must not leave an audit of
// their quarter, or the easy ones alone are left.
func TestCoursesOfUnknownEndInACaseThatEnded(t *testing.T) {
	month := casebook.NewMonth
	ds := twoCourses(12) // ending from 2025-11 to 2026-10
	for i := range ds.Courses {
		if ds.Courses[i].Number == 2 {
			ds.Courses[i].Start = 0
		}
	}
	fates := func(per results.Period) map[string]int {
		ids := map[string]int{}
		p := prepared(t, ds, per)
		ids["analysed"] = len(p.Analysed)
		for _, st := range p.Flow.Steps {
			for _, e := range st.Excluded {
				ids[e.ID] = e.Movements
			}
		}
		return ids
	}
	// Eight cases have ended by June 2026, with both their sets; the four others, begun
	// before July, are under way with two sets each whose end has not come or is not known.
	assert.Equal(t, map[string]int{"analysed": 16, "course-not-ended": 8}, fates(results.Period{Quarter: month(2026, 4)}))
	assert.Equal(t, map[string]int{"analysed": 16, "course-not-ended": 8}, fates(results.Period{To: month(2026, 6)}))
	// From April to June three cases end; what ended before April had both sets before it.
	assert.Equal(t, map[string]int{"analysed": 6, "outside-period": 10, "course-not-ended": 8}, fates(results.Period{From: month(2026, 4), To: month(2026, 6)}))
	p := prepared(t, ds, results.Period{})
	assert.Equal(t, month(2025, 11), p.CourseEnd(0, 1), "when the case ended")
	assert.False(t, p.EndOnRecord(0, 1))
	assert.True(t, p.EndOnRecord(0, 2))
}

// TestRepeatsKeepTheirWay: a movement outside the period was measured in the way on record
// all the same, so that no repeat passes for one of a way that is not recorded.
func TestRepeatsKeepTheirWay(t *testing.T) {
	month := casebook.NewMonth
	ds := twoCourses(12)
	for i := range ds.Courses {
		ds.Courses[i].MeasuredBy = casebook.Methods()[0]
	}
	for _, m := range ds.Movements {
		ds.Repeats = append(ds.Repeats, casebook.Repeat{Case: m.Case, Course: m.Course, Tooth: m.Tooth, Axis: m.Axis, First: 4, Second: 5})
	}
	p := prepared(t, ds, results.Period{From: month(2025, 9), To: month(2025, 11)})
	ways := p.RepeatMethods()
	assert.Greater(t, len(ways), len(p.Analysed), "the test tests nothing")
	for i := range ways {
		assert.Equal(t, casebook.Methods()[0], ways[i], i)
	}
}
