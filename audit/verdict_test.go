package audit_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/audittest"
	"shortfall/audit/results"
	"shortfall/ingest/casebook"
	"shortfall/sampledata"
)

// mixedMouths makes n cases of four upper premolars each, two under either style,
// rotated inward by size(arm, rng) with the given expression.
func mixedMouths(n int, seed uint64, size func(arm int, rng *rand.Rand) float64, expression [2]float64) *casebook.Dataset {
	rng := rand.New(rand.NewPCG(seed, 1))
	var out []casebook.Movement
	for i := range n {
		id := fmt.Sprintf("%03d", i)
		u := 0.1 * rng.NormFloat64()
		turn := rng.IntN(2)
		for k, tooth := range []casebook.Tooth{14, 15, 24, 25} {
			arm := (k/2 + k + turn) % 2
			p := size(arm, rng)
			style := []casebook.Style{casebook.SoftwareSuggested, casebook.ClinicianDesigned}[arm]
			out = append(out, move(id, tooth, casebook.Rotation, p, p*(expression[arm]+u+0.1*rng.NormFloat64()), style))
		}
	}
	return logged(out...)
}

// twoArms makes n cases an arm, three upper premolars each, rotated inward by
// size(arm, rng) with the given expression.
func twoArms(n int, seed uint64, size func(arm int, rng *rand.Rand) float64, expression [2]float64) *casebook.Dataset {
	rng := rand.New(rand.NewPCG(seed, 1))
	var out []casebook.Movement
	for arm, style := range []casebook.Style{casebook.SoftwareSuggested, casebook.ClinicianDesigned} {
		for i := range n {
			id := fmt.Sprintf("%d-%03d", arm, i)
			u := 0.1 * rng.NormFloat64()
			for _, tooth := range []casebook.Tooth{14, 15, 24} {
				p := size(arm, rng)
				out = append(out, move(id, tooth, casebook.Rotation, p, p*(expression[arm]+u+0.1*rng.NormFloat64()), style))
			}
		}
	}
	return logged(out...)
}

func likePlans(_ int, rng *rand.Rand) float64 { return 8 + 8*rng.Float64() }

var premolars = results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, ToothClass: casebook.Premolar, Course: results.Initial}

func TestVerdictWords(t *testing.T) {
	higher := comparisonOf(t, mustRun(t, mixedMouths(20, 1, likePlans, [2]float64{0.4, 0.65}), nil), premolars)
	assert.Equal(t, results.Higher, higher.Verdict)
	assert.Equal(t, "holds-within-mouths", higher.Reason)
	assert.Contains(t, higher.Because, "20\u00a0patients")
	assert.Contains(t, higher.Reading, "more of the plan")
	assert.Greater(t, float64(higher.EValue.Estimate), float64(higher.EValue.Limit))
	assert.Greater(t, float64(higher.EValue.Limit), 1.0)

	lower := comparisonOf(t, mustRun(t, mixedMouths(20, 1, likePlans, [2]float64{0.65, 0.4}), nil), premolars)
	assert.Equal(t, results.Lower, lower.Verdict)
	assert.Contains(t, lower.Reading, "less of the plan")

	open := comparisonOf(t, mustRun(t, mixedMouths(20, 1, likePlans, [2]float64{0.5, 0.5}), nil), premolars)
	assert.Equal(t, results.NotDistinguishable, open.Verdict)
	assert.Equal(t, "within-chance", open.Reason)
	assert.Contains(t, open.Reading, "could have been missed")
	assert.Greater(t, float64(open.Detectable), 2*float64(open.Adjusted.SE))
	assert.InDelta(t, 1, float64(open.EValue.Limit), 1e-12)
}

// TestStylesOfDifferentPatients are not comparable, however clear their
// difference between patients looks.
func TestStylesOfDifferentPatients(t *testing.T) {
	c := comparisonOf(t, mustRun(t, twoArms(40, 1, likePlans, [2]float64{0.2, 0.9}), nil), premolars)
	assert.Equal(t, results.NotComparable, c.Verdict)
	assert.Equal(t, "different-patients", c.Reason)
	assert.Zero(t, c.Both)
	assert.True(t, hasWarning(c.Warnings, "different-patients"))
	assert.False(t, c.Adjusted.P.OK() || c.Adjusted.PAdjusted.OK())
	assert.Greater(t, float64(c.Readings[1].Difference.Low), 0.5, "what it is between patients is printed")
	assert.False(t, c.Readings[2].Difference.Difference.OK())
}

// TestNotComparable: ten mouths with both styles are the least, and their plans
// must overlap.
func TestNotComparable(t *testing.T) {
	few := comparisonOf(t, mustRun(t, mixedMouths(9, 1, likePlans, [2]float64{0.2, 0.9}), nil), premolars)
	assert.Equal(t, results.NotComparable, few.Verdict)
	assert.Equal(t, "different-patients", few.Reason)
	assert.False(t, few.Adjusted.Difference.OK(), "of so few nothing is said")
	assert.False(t, few.Readings[2].Difference.Difference.OK())
	assert.Equal(t, results.Higher, comparisonOf(t, mustRun(t, mixedMouths(10, 1, likePlans, [2]float64{0.2, 0.9}), nil), premolars).Verdict)
	assert.Equal(t, results.Higher, comparisonOf(t, mustRun(t, mixedMouths(9, 1, likePlans, [2]float64{0.2, 0.9}),
		func(s *results.Settings) { s.MinBothCases = 9 }), premolars).Verdict)

	apart := func(arm int, rng *rand.Rand) float64 { return 5 + 20*float64(arm) + 4*rng.Float64() }
	disjoint := comparisonOf(t, mustRun(t, mixedMouths(20, 1, apart, [2]float64{0.2, 0.9}), nil), premolars)
	assert.Equal(t, results.NotComparable, disjoint.Verdict)
	assert.Equal(t, "no-overlap", disjoint.Reason)
	assert.Zero(t, disjoint.Overlap.ShareInside)

	// One arm inside the range of the other is no overlap: the smaller share counts.
	wide := func(arm int, rng *rand.Rand) float64 {
		if arm == 0 {
			return 5 + 40*rng.Float64()
		}
		return 5 + 2*rng.Float64()
	}
	half := comparisonOf(t, mustRun(t, mixedMouths(40, 1, wide, [2]float64{0.2, 0.9}), nil), premolars)
	assert.Equal(t, "no-overlap", half.Reason)
	assert.Less(t, float64(half.Overlap.ShareInside), 0.5)

	// Clinicians design the second premolars, suggestions the first.
	ds := mixedMouths(20, 1, likePlans, [2]float64{0.4, 0.7})
	for i := range ds.Movements {
		m := &ds.Movements[i]
		m.Style = casebook.SoftwareSuggested
		if m.Tooth.Position() == 5 {
			m.Style = casebook.ClinicianDesigned
		}
	}
	tied := comparisonOf(t, mustRun(t, ds, nil), premolars)
	assert.Equal(t, results.NotComparable, tied.Verdict)
	assert.Equal(t, "not-estimable", tied.Reason)
	assert.Contains(t, tied.Because, "determine the choice")
}

// declaredFor names a primary comparison, declared in that month.
func declaredFor(by results.By, month casebook.Month, looks ...casebook.Month) func(*results.Settings) {
	return func(s *results.Settings) { s.Primary, s.PrimaryDeclared, s.PrimaryLooks = by, month, looks }
}

// TestPrimaryNeedsItsDate: what is declared without a date is refused.
func TestPrimaryNeedsItsDate(t *testing.T) {
	s := results.DefaultSettings()
	s.Primary = results.By{Direction: casebook.Extrusion}
	require.ErrorContains(t, s.Check(), "criteria file")
	s.PrimaryDeclared = casebook.NewMonth(2025, 1)
	require.NoError(t, s.Check())
}

// TestPrimaryCountsLaterCourses: a comparison declared after the records were
// seen has nothing to be judged by; declared before them, all of them; and its
// half of alpha leaves the directions the other half.
func TestPrimaryCountsLaterCourses(t *testing.T) {
	ds := mixedMouths(40, 1, likePlans, [2]float64{0.4, 0.65})
	for i := range ds.Cases {
		ds.Cases[i].Start, ds.Cases[i].End = casebook.NewMonth(2025, 3), casebook.NewMonth(2025, 9)
		if i%2 == 1 {
			ds.Cases[i].End = casebook.NewMonth(2026, 3)
		}
	}
	by := results.By{Direction: casebook.MesialIn, ToothClass: casebook.Premolar}
	primary := func(month casebook.Month, looks ...casebook.Month) *results.Comparison {
		r := mustRun(t, ds, func(s *results.Settings) {
			declaredFor(by, month, looks...)(s)
			s.Date = "2026-06-30"
		})
		require.True(t, r.Comparisons[0].Primary)
		return &r.Comparisons[0]
	}
	seen := primary(casebook.NewMonth(2026, 3))
	assert.Equal(t, "nothing-later", seen.Reason, "a course that ends in the month of the declaration was known")
	assert.Zero(t, seen.Arms[0].Movements)
	half := primary(casebook.NewMonth(2025, 9))
	assert.Equal(t, 20, half.Both)
	assert.InDelta(t, float64(2*half.Adjusted.P), float64(half.Adjusted.PAdjusted), 1e-12, "half of alpha")
	all := primary(casebook.NewMonth(2025, 1), casebook.NewMonth(2026, 6), casebook.NewMonth(2026, 12))
	assert.Equal(t, 40, all.Both)
	assert.InDelta(t, 0.0125, float64(all.VerdictLevel), 1e-12, "half of alpha over two looks")
	assert.Equal(t, "not-a-look", primary(casebook.NewMonth(2025, 1), casebook.NewMonth(2026, 12)).Reason)

	r := mustRun(t, ds, declaredFor(by, casebook.NewMonth(2025, 9)))
	assert.Contains(t, r.Findings[1].Text, "declared beforehand")
	whole := results.By{Axis: casebook.Rotation, Direction: casebook.MesialIn, Course: results.Initial}
	alone, beside := comparisonOf(t, mustRun(t, ds, nil), whole), comparisonOf(t, r, whole)
	assert.InDelta(t, float64(2*alone.Adjusted.PAdjusted), float64(beside.Adjusted.PAdjusted), 1e-12)
	assert.InDelta(t, float64(alone.VerdictLevel)/2, float64(beside.VerdictLevel), 1e-12)
}

// TestVerdictFollowsPAndChecks: higher or lower exactly where the corrected P is
// below alpha and no deciding check that applies fails.
func TestVerdictFollowsPAndChecks(t *testing.T) {
	judged, called, seeds := 0, 0, []uint64{sampledata.DefaultSeed, 0, 1}[:audittest.Everyday(3, 1)]
	for _, seed := range seeds {
		for _, c := range standing(t, seed).Comparisons {
			if c.Verdict == results.NotComparable {
				assert.NotEmpty(t, c.Because)
				continue
			}
			judged++
			assert.GreaterOrEqual(t, float64(c.Adjusted.PAdjusted), float64(c.Adjusted.P))
			holds := !slices.ContainsFunc(c.Checks, func(k results.Check) bool { return k.Decides && k.Applies && !k.Holds })
			want := float64(c.Adjusted.PAdjusted) < 0.05 && holds
			assert.Equal(t, want, c.Verdict == results.Higher || c.Verdict == results.Lower, "%+v", c)
			assert.Equal(t, want, c.Reason == "holds-within-mouths")
			assert.GreaterOrEqual(t, c.Both, 10)
			called += len(c.Checks) / 6
		}
	}
	assert.Greater(t, judged, 20*len(seeds))
	assert.Greater(t, called, 20*len(seeds), "checks are made")
}

// TestFamilies: by hand, Holm's step-down over the directions over all teeth of
// each course, and Benjamini & Hochberg's step-up over the finer cells.
func TestFamilies(t *testing.T) {
	r := standing(t, sampledata.DefaultSeed)
	type family struct {
		whole  bool
		course results.CourseStratum
	}
	families := map[family][]results.Difference{}
	for _, c := range r.Comparisons {
		if c.Verdict != results.NotComparable {
			f := family{whole: c.By == results.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: c.By.Course}}
			if f.whole {
				f.course = c.By.Course
			}
			families[f] = append(families[f], c.Adjusted)
			assert.Equal(t, f.course != results.Initial, c.Exploratory)
		}
	}
	require.Greater(t, len(families[family{true, results.Initial}]), 5)
	for f, ds := range families {
		slices.SortFunc(ds, func(a, b results.Difference) int { return -cmp.Compare(a.P, b.P) })
		if !f.whole {
			least := 1.0
			for i, d := range ds {
				rank := len(ds) - i
				least = min(least, float64(d.P)*float64(len(ds))/float64(rank))
				assert.InDelta(t, least, float64(d.PAdjusted), 1e-12)
			}
			continue
		}
		most := 0.0
		for i := len(ds) - 1; i >= 0; i-- {
			most = max(most, min(1, float64(ds[i].P)*float64(i+1)))
			assert.InDelta(t, most, float64(ds[i].PAdjusted), 1e-12)
		}
	}
}

// TestAxesAreNeverPooled nor are courses.
func TestAxesAreNeverPooled(t *testing.T) {
	r := mustRun(t, invented(1, 80), nil)
	for _, c := range r.Comparisons {
		assert.NotEqual(t, casebook.NoAxis, c.By.Axis)
		assert.NotEqual(t, casebook.NoDirection, c.By.Direction)
		assert.NotEmpty(t, c.By.Course)
	}
	for _, c := range r.Expression {
		assert.NotEqual(t, casebook.NoAxis, c.By.Axis)
		assert.NotEmpty(t, c.By.Course)
		assert.False(t, c.By.Tooth != 0 && c.By.ToothClass != 0)
	}
}

// TestFewCasesHaveNoInterval: nine cases give an estimate and say what it
// needs; ten give an interval.
func TestFewCasesHaveNoInterval(t *testing.T) {
	by := results.By{Axis: casebook.Rotation, Style: casebook.SoftwareSuggested, Course: results.Initial}
	c := cellOf(t, mustRun(t, twoArms(9, 2, likePlans, [2]float64{0.5, 0.5}), nil), by)
	assert.True(t, c.Estimate.OK())
	assert.False(t, c.Low.OK() || c.High.OK() || c.SE.OK() || c.OutsideTolerance.Low.OK())
	require.True(t, hasWarning(c.Warnings, "few-cases"))
	assert.Equal(t, "fewer than 10 cases: no interval", c.Warnings[0].Text)
	c = cellOf(t, mustRun(t, twoArms(10, 2, likePlans, [2]float64{0.5, 0.5}), nil), by)
	assert.True(t, c.Low.OK() && c.High.OK() && c.OutsideTolerance.Low.OK())
	assert.False(t, hasWarning(c.Warnings, "few-cases"))
}

// TestConfoundingByPlannedAmount: clinician-designed attachments go to the small
// plans, which are expressed better; nothing else differs.
func TestConfoundingByPlannedAmount(t *testing.T) {
	ds := mixedMouths(60, 3, func(arm int, rng *rand.Rand) float64 { return 14 - 3*float64(arm) + 10*rng.Float64() }, [2]float64{0.6, 0.6})
	for i := range ds.Movements {
		m := &ds.Movements[i]
		m.Achieved.Value -= 0.03 * m.Planned * (m.Planned - 14)
	}
	c := comparisonOf(t, mustRun(t, ds, nil), premolars)
	assert.Greater(t, float64(c.Unadjusted.Low), 0.0, "the unadjusted difference is confounded")
	assert.True(t, c.Adjusted.Low < 0 && c.Adjusted.High > 0, "the adjusted one is not: %v", c.Adjusted)
	assert.Equal(t, results.NotDistinguishable, c.Verdict)
	assert.Less(t, float64(c.Balance[0].SMD), -0.5)
}
