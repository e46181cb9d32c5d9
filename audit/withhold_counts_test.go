package audit_test

import (
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
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
func TestNoCountOfCasesIsRecoverable(t *testing.T) {
	small, secondary, told := 0, 0, 0
	seeds := uint64(audittest.Everyday(30, 4))
	for seed := uint64(1); seed <= seeds; seed++ {
		ds := troubled(seed, 15+4*int(seed%16))
		s := printedCounts{T: t, seed: seed, kinds: kindsOf(ds), index: map[caseKind]int{}}
		for k := range s.kinds {
			s.index[k] = len(s.index)
		}
		shared := mustRun(t, ds, func(s *results.Settings) { s.Shared = true })
		s.always(shared.Flow.CasesLogged, func(k caseKind) bool { return k.logged })
		s.always(shared.Scope.Cases, func(k caseKind) bool { return k.furthest >= 6 })
		s.always(shared.Refinements.Cases, func(k caseKind) bool { return k.completed })
		s.flow(shared)
		s.completeness(shared)
		for _, hidden := range s.secrets {
			if _, left := s.totals.rest(hidden.v); left < 1e-6 {
				told++
				continue
			}
			small++
			_, left := s.known.rest(hidden.v)
			assert.Greater(t, left, 1e-6, "seed %d: %s can be worked out", seed, hidden.what)
		}
		secondary += s.secondary
	}
	t.Logf("%d small counts out of reach, %d more withheld for them, %d told by the totals", small, secondary, told)
	assert.Greater(t, small, 50*int(seeds)/30)
	assert.Greater(t, secondary, int(seeds))
	assert.LessOrEqual(t, told, small/10)
}

// printedCounts are the counts of cases of one shared audit as vectors over the kinds of
// cases: those that are always printed, all that are known, and those withheld.
type printedCounts struct {
	*testing.T
	seed          uint64
	kinds         map[caseKind]int
	index         map[caseKind]int
	totals, known basis
	secrets       []secret
	secondary     int
}

type secret struct {
	what string
	v    []float64
}

func (s *printedCounts) cases(holds func(caseKind) bool) (n int) {
	for k, of := range s.kinds {
		if holds(k) {
			n += of
		}
	}
	return n
}

// always enters a total that no rule withholds. Completed cases without a course on
// record are not counted in it: it is then no sum of kinds.
func (s *printedCounts) always(n int, holds func(caseKind) bool) {
	if all := s.cases(holds); n != all {
		require.Less(s, n, all)
		return
	}
	s.totals.add(vectorOf(s.index, holds))
	s.known.add(vectorOf(s.index, holds))
}

// count enters a count that the rule may withhold.
func (s *printedCounts) count(what string, holds func(caseKind) bool, suppressed bool, printed int) {
	v, n := vectorOf(s.index, holds), s.cases(holds)
	switch {
	case !suppressed:
		assert.Equal(s, n, printed, "seed %d: %s", s.seed, what)
		assert.False(s, n > 0 && n < 5, "seed %d: %s shows %d", s.seed, what, n)
		s.known.add(v)
	case n >= 5:
		assert.Zero(s, printed, what)
		s.secondary++
	default:
		assert.Zero(s, printed, what)
		s.secrets = append(s.secrets, secret{what, v})
	}
}

// flow enters the statuses, the steps of the flow and what left at them.
func (s *printedCounts) flow(shared *results.Results) {
	for _, f := range shared.Flow.CasesByStatus {
		s.count("status "+f.Status.String(), func(k caseKind) bool { return k.logged && k.status == f.Status }, f.Suppressed, f.Cases)
	}
	require.Len(s, shared.Flow.Steps, 9)
	for i, f := range shared.Flow.Steps {
		s.count(f.Title, func(k caseKind) bool { return k.furthest >= i }, f.Suppressed, f.Cases)
		assert.Positive(s, f.Movements)
	}
	leaving := map[string]int{"not-planned": 1, "below-smallest-plan": 2, "percentage-only": 3, "course-cut-short": 4, "outcome-missing": 5, "style-not-recorded": 6, "no-feature": 7, "no-movements": -1}
	for _, e := range shared.Excluded {
		at, ok := leaving[e.ID]
		require.True(s, ok || strings.HasPrefix(e.ID, "rejected-"), e.ID)
		if ok {
			s.count(e.ID, func(k caseKind) bool { return k.furthest == at }, e.Suppressed, e.Cases)
		}
	}
	if a := shared.Flow.Ascertained; a.Denominator > 0 {
		s.known.add(vectorOf(s.index, func(k caseKind) bool { return k.logged && k.furthest >= 6 }))
	}
}

// completeness enters what the shares of recorded fields tell of cases.
func (s *printedCounts) completeness(shared *results.Results) {
	of := map[string]func(caseKind) bool{
		"end month": func(k caseKind) bool { return k.logged && k.status != casebook.UnderTreatment },
		"status":    func(k caseKind) bool { return k.logged && k.status != casebook.NoStatus },
	}
	for _, f := range shared.Completeness {
		if f.Record != "case" || f.Suppressed {
			continue
		}
		if holds := of[f.Field]; holds != nil {
			s.known.add(vectorOf(s.index, holds))
		}
		for _, n := range []int{f.Recorded, f.Total - f.Recorded} {
			assert.False(s, n > 0 && n < 5, "seed %d: %s", s.seed, f.Field)
		}
	}
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
	shown, withheld, seeds := 0, 0, []uint64{3, 4} // one is withheld, one shown
	if audittest.Long() {
		seeds = []uint64{1, 2, 3, 4, 5, 6}
	}
	for _, seed := range seeds {
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
	withheld, seeds := 0, uint64(audittest.Everyday(6, 1))
	for seed := uint64(1); seed <= seeds; seed++ {
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
