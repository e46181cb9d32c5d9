package audit_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

// caseKind is all that the tables of counts can tell about a case, found here
// apart from the audit: its status and where its movements leave the flow.
type caseKind struct {
	logged, completed bool
	status            casebook.Status
	furthest          int // -1 no movement, 0 to 5 the exclusions in their order, 6 analysed, 7 with a style, 8 with a feature
}

func kindsOf(ds *casebook.Dataset) map[caseKind]int {
	of := map[string]*caseKind{}
	at := func(id string) *caseKind {
		if of[id] == nil {
			of[id] = &caseKind{furthest: -1}
		}
		return of[id]
	}
	for _, c := range ds.Cases {
		k := at(c.ID)
		k.logged, k.status, k.completed = true, c.Status, c.Status == casebook.Completed
	}
	cut := map[casebook.CourseKey]bool{}
	for _, c := range ds.Courses {
		cut[c.Key()] = c.AlignersPlanned.OK && c.AlignersUsed.OK && 10*c.AlignersUsed.Value < 9*c.AlignersPlanned.Value
	}
	for _, m := range ds.Movements {
		f := 6
		s := results.DefaultSettings()
		switch size := max(m.Planned, -m.Planned); {
		case size == 0:
			f = 1
		case size < s.Smallest(m.Axis.Unit()):
			f = 2
		case !m.Achieved.OK && m.StatedPercent.OK:
			f = 3
		case cut[casebook.CourseKey{Case: m.Case, Number: m.Course}]:
			f = 4
		case !m.Achieved.OK:
			f = 5
		case m.Style == casebook.StyleNone:
			f = 7
		case m.Style != casebook.NoStyle:
			f = 8
		}
		k := at(m.Case.ID)
		k.furthest = max(k.furthest, f)
	}
	out := map[caseKind]int{}
	for _, k := range of {
		out[*k]++
	}
	return out
}

// troubled is a small practice with every reason to leave something out.
func troubled(seed uint64, cases int) *casebook.Dataset {
	ds := invented(seed, cases)
	r := rand.New(rand.NewPCG(seed, 8))
	fate := map[string]int{}
	for i := range ds.Cases {
		c := &ds.Cases[i]
		fate[c.ID] = r.IntN(12)
		if r.IntN(3) == 0 {
			c.Status = append(casebook.Statuses(), casebook.NoStatus)[r.IntN(len(casebook.Statuses())+1)]
		}
		if r.IntN(15) == 0 {
			c.Wear = casebook.NoWear
		}
	}
	kept := ds.Movements[:0]
	for _, m := range ds.Movements {
		switch fate[m.Case.ID] {
		case 0:
			m.Planned = 0
		case 1:
			m.Planned = 0.01
		case 2:
			m.Achieved.OK, m.StatedPercent = false, casebook.Some(50.0)
		case 3:
			m.Achieved.OK = false
		case 4:
			m.Style = casebook.StyleNone
		case 5:
			m.Style = casebook.NoStyle
		case 6:
			continue
		}
		kept = append(kept, m)
	}
	ds.Movements = kept
	return ds
}

// TestNoCountOfCasesIsRecoverable tries every withheld count of one to four
// cases against all sums and differences of those shown. What the three totals
// that are always printed tell between them is out of reach of the rule.
// Its length is that of the list of what is printed, one line each.
func TestNoCountOfCasesIsRecoverable(t *testing.T) {
	small, secondary, told := 0, 0, 0
	for seed := uint64(1); seed <= 30; seed++ {
		ds := troubled(seed, 15+4*int(seed%16))
		kinds := kindsOf(ds)
		index := map[caseKind]int{}
		for k := range kinds {
			index[k] = len(index)
		}
		shared := mustRun(t, ds, func(s *results.Settings) { s.Shared = true })
		var totals, known basis
		type secret struct {
			what string
			v    []float64
		}
		var secrets []secret
		count := func(what string, holds func(caseKind) bool, suppressed bool, printed int) {
			v, n := make([]float64, len(index)), 0
			for k, i := range index {
				if holds(k) {
					v[i], n = 1, n+kinds[k]
				}
			}
			switch {
			case !suppressed:
				assert.Equal(t, n, printed, "seed %d: %s", seed, what)
				assert.False(t, n > 0 && n < 5, "seed %d: %s shows %d", seed, what, n)
				known.add(v)
			case n >= 5:
				assert.Zero(t, printed, what)
				secondary++
			default:
				assert.Zero(t, printed, what)
				secrets = append(secrets, secret{what, v})
			}
		}
		logged := func(k caseKind) bool { return k.logged }
		analysed := func(k caseKind) bool { return k.furthest >= 6 }
		completed := func(k caseKind) bool { return k.completed }
		for _, always := range []struct {
			holds func(caseKind) bool
			n     int
		}{{logged, shared.Flow.CasesLogged}, {analysed, shared.Scope.Cases}, {completed, shared.Refinements.Cases}} {
			v, n := make([]float64, len(index)), 0
			for k, i := range index {
				if always.holds(k) {
					v[i], n = 1, n+kinds[k]
				}
			}
			if n != always.n { // completed cases without a course on record are not counted
				require.Less(t, always.n, n)
				continue
			}
			totals.add(v)
			known.add(v)
		}
		for _, s := range shared.Flow.CasesByStatus {
			count("status "+s.Status.String(), func(k caseKind) bool { return k.logged && k.status == s.Status }, s.Suppressed, s.Cases)
		}
		leaving := map[string]int{"not-planned": 1, "below-smallest-plan": 2, "percentage-only": 3, "course-cut-short": 4, "outcome-missing": 5, "style-not-recorded": 6, "no-feature": 7, "no-movements": -1}
		require.Len(t, shared.Flow.Steps, 9)
		for i, s := range shared.Flow.Steps {
			count(s.Title, func(k caseKind) bool { return k.furthest >= i }, s.Suppressed, s.Cases)
			assert.Positive(t, s.Movements)
		}
		for _, e := range shared.Excluded {
			at, ok := leaving[e.ID]
			require.True(t, ok || strings.HasPrefix(e.ID, "rejected-"), e.ID)
			if ok {
				count(e.ID, func(k caseKind) bool { return k.furthest == at }, e.Suppressed, e.Cases)
			}
		}
		if a := shared.Flow.Ascertained; a.Denominator > 0 {
			known.add(vectorOf(index, func(k caseKind) bool { return k.logged && k.furthest >= 6 }))
		}
		for _, f := range shared.Completeness {
			if f.Record == "case" && f.Field == "end month" && !f.Suppressed {
				known.add(vectorOf(index, func(k caseKind) bool { return k.logged && k.status != casebook.UnderTreatment }))
			}
			if f.Record == "case" && f.Field == "status" && !f.Suppressed {
				known.add(vectorOf(index, func(k caseKind) bool { return k.logged && k.status != casebook.NoStatus }))
			}
			if f.Record == "case" && !f.Suppressed {
				for _, n := range []int{f.Recorded, f.Total - f.Recorded} {
					assert.False(t, n > 0 && n < 5, "seed %d: %s", seed, f.Field)
				}
			}
		}
		for _, s := range secrets {
			if _, left := totals.rest(s.v); left < 1e-6 {
				told++
				continue
			}
			small++
			_, left := known.rest(s.v)
			assert.Greater(t, left, 1e-6, "seed %d: %s can be worked out", seed, s.what)
		}
	}
	t.Logf("%d small counts out of reach, %d more withheld for them, %d told by the totals", small, secondary, told)
	assert.Greater(t, small, 50)
	assert.Greater(t, secondary, 30)
	assert.LessOrEqual(t, told, small/10)
}

func vectorOf(index map[caseKind]int, holds func(caseKind) bool) []float64 {
	v := make([]float64, len(index))
	for k, i := range index {
		if holds(k) {
			v[i] = 1
		}
	}
	return v
}

// TestFunnelHasNoSmallCount: a funnel of cases refined is shown only where every
// clinician, and all others together, have none or at least five cases with and
// without a refinement.
func TestFunnelHasNoSmallCount(t *testing.T) {
	shown, withheld := 0, 0
	for seed := uint64(1); seed <= 6; seed++ {
		ds := invented(seed, []int{60, 120, 160}[seed%3])
		for i, f := range mustRun(t, ds, func(s *results.Settings) { s.Shared, s.WithClinicians = true, true }).Questions.Funnels {
			if !strings.Contains(f.Measure, "refine") {
				continue
			}
			if f.Suppressed {
				withheld++
				require.True(t, mustRun(t, ds, nil).Questions.Funnels[i].Shown)
				assert.Empty(t, f.Points)
				assert.Empty(t, f.Limits)
				assert.False(t, f.Target.OK() || f.Phi.OK() || f.Shown)
				continue
			}
			for _, pt := range f.Points {
				shown++
				assert.False(t, pt.Events > 0 && pt.Events < 5, "seed %d: %+v", seed, pt)
				assert.False(t, pt.Total > pt.Events && pt.Total-pt.Events < 5, "seed %d: %+v", seed, pt)
			}
		}
	}
	assert.Positive(t, withheld)
	assert.Positive(t, shown)
}

// TestNoSmallCountInAPeriod: the steps that a period, or a clinician, adds to the flow
// keep the small-number rule like the others.
func TestNoSmallCountInAPeriod(t *testing.T) {
	withheld := 0
	for seed := uint64(1); seed <= 6; seed++ {
		ds := troubled(seed, 20+9*int(seed))
		clinician := ds.Cases[0].Clinician
		for _, period := range []results.Period{{From: casebook.NewMonth(2024, 3)}, {To: casebook.NewMonth(2025, 1)}, {Clinician: clinician}, {From: casebook.NewMonth(2023, 11), To: casebook.NewMonth(2025, 6), Clinician: clinician}} {
			r := mustRun(t, ds, func(s *results.Settings) { s.Shared, s.WithClinicians, s.Period = true, period.Clinician != "", period })
			small := func(what string, suppressed bool, n int) {
				if suppressed {
					withheld++
				}
				assert.False(t, n > 0 && n < 5, "seed %d, %+v: %s shows %d", seed, period, what, n)
			}
			for _, e := range r.Excluded {
				small(e.ID, e.Suppressed, e.Cases)
			}
			for _, s := range r.Flow.Steps {
				small(s.Title, s.Suppressed, s.Cases)
				for _, e := range s.Excluded {
					small(e.ID, e.Suppressed, e.Cases)
				}
			}
		}
	}
	assert.Positive(t, withheld)
}
