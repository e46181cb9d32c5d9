package audit_test

import (
	"cmp"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
	"shortfall/ingest/casebook"
)

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
	higher := comparisonOf(t, mustRun(t, twoArms(20, 1, likePlans, [2]float64{0.4, 0.65}), nil), premolars)
	assert.Equal(t, results.Higher, higher.Verdict)
	assert.Contains(t, higher.Reading, "more of the plan")
	assert.Greater(t, float64(higher.EValue.Estimate), float64(higher.EValue.Limit))
	assert.Greater(t, float64(higher.EValue.Limit), 1.0)

	lower := comparisonOf(t, mustRun(t, twoArms(20, 1, likePlans, [2]float64{0.65, 0.4}), nil), premolars)
	assert.Equal(t, results.Lower, lower.Verdict)
	assert.Contains(t, lower.Reading, "less of the plan")

	open := comparisonOf(t, mustRun(t, twoArms(20, 1, likePlans, [2]float64{0.5, 0.5}), nil), premolars)
	assert.Equal(t, results.NotDistinguishable, open.Verdict)
	assert.Contains(t, open.Reading, "could have been seen")
	assert.Greater(t, float64(open.Detectable), 2*float64(open.Adjusted.SE))
	assert.InDelta(t, 1, float64(open.EValue.Limit), 1e-12)
}

func TestNotComparable(t *testing.T) {
	few := comparisonOf(t, mustRun(t, twoArms(9, 1, likePlans, [2]float64{0.2, 0.9}), nil), premolars)
	assert.Equal(t, results.NotComparable, few.Verdict)
	assert.True(t, hasWarning(few.Warnings, "few-cases-in-arm"))
	assert.False(t, few.Adjusted.P.OK())
	assert.False(t, few.Adjusted.PAdjusted.OK())

	// Ten of the one and nine of the other are too few as well.
	ds := twoArms(10, 1, likePlans, [2]float64{0.2, 0.9})
	ds.Movements = slices.DeleteFunc(ds.Movements, func(m casebook.Movement) bool { return m.Case.ID == "1-003" })
	assert.Equal(t, results.NotComparable, comparisonOf(t, mustRun(t, ds, nil), premolars).Verdict)

	apart := func(arm int, rng *rand.Rand) float64 { return 5 + 20*float64(arm) + 4*rng.Float64() }
	ds = twoArms(10, 1, likePlans, [2]float64{0.2, 0.9})
	ds.Movements = slices.DeleteFunc(ds.Movements, func(m casebook.Movement) bool { return m.Case.ID == "0-003" })
	assert.Equal(t, results.NotComparable, comparisonOf(t, mustRun(t, ds, nil), premolars).Verdict)
	disjoint := comparisonOf(t, mustRun(t, twoArms(20, 1, apart, [2]float64{0.2, 0.9}), nil), premolars)
	assert.Equal(t, results.NotComparable, disjoint.Verdict)
	assert.True(t, hasWarning(disjoint.Warnings, "no-overlap"))
	assert.Zero(t, disjoint.Overlap.ShareInside)
	assert.Contains(t, disjoint.Overlap.Reason, "hardly overlap")

	// One clinician designs every feature, the other accepts every suggestion.
	ds = twoArms(20, 1, likePlans, [2]float64{0.4, 0.7})
	for i := range ds.Cases {
		ds.Cases[i].Clinician = "K" + ds.Cases[i].ID[:1]
	}
	tied := comparisonOf(t, mustRun(t, ds, nil), premolars)
	assert.Equal(t, results.NotComparable, tied.Verdict)
	assert.Contains(t, tied.Warnings[len(tied.Warnings)-1].Text, "determined by the recorded covariates")
}

// TestPrimaryIsTestedAlone: declared beforehand, a comparison is not corrected
// and leaves the family of the grid.
func TestPrimaryIsTestedAlone(t *testing.T) {
	ds := invented(1, 160)
	plain := mustRun(t, ds, nil)
	by := results.By{Direction: casebook.Extrusion, ToothClass: casebook.Incisor}
	r := mustRun(t, ds, func(s *results.Settings) { s.Primary = by })
	by.Axis, by.Course = casebook.Vertical, results.Initial
	c := comparisonOf(t, r, by)
	assert.True(t, c.Primary)
	assert.Equal(t, c.Adjusted.P, c.Adjusted.PAdjusted)
	assert.Greater(t, float64(comparisonOf(t, plain, by).Adjusted.PAdjusted), float64(c.Adjusted.PAdjusted))
	assert.Contains(t, r.Findings[1].Text, "declared beforehand")

	// A primary comparison nobody can judge is still reported.
	r = mustRun(t, ds, func(s *results.Settings) { s.Primary = results.By{Axis: casebook.Rotation, Tooth: 48} })
	require.True(t, r.Comparisons[0].Primary)
	assert.Equal(t, results.NotComparable, r.Comparisons[0].Verdict)
}

// TestMultiplicity: adjusted P values are those of the whole grid; Holm is
// never below Benjamini-Hochberg.
func TestMultiplicity(t *testing.T) {
	ds := invented(1, 160)
	bh := mustRun(t, ds, nil)
	holm := mustRun(t, ds, func(s *results.Settings) { s.Multiplicity = "holm" })
	judged := 0
	for i, c := range bh.Comparisons {
		if c.Verdict == results.NotComparable {
			continue
		}
		judged++
		assert.GreaterOrEqual(t, float64(c.Adjusted.PAdjusted), float64(c.Adjusted.P))
		assert.GreaterOrEqual(t, float64(holm.Comparisons[i].Adjusted.PAdjusted)+1e-12, float64(c.Adjusted.PAdjusted))
		called := c.Verdict == results.Higher || c.Verdict == results.Lower
		assert.Equal(t, float64(c.Adjusted.PAdjusted) < 0.05, called)
	}
	assert.Greater(t, judged, 50)
}

// TestFamilies: by hand, Benjamini & Hochberg's step-up over the directions
// over all teeth, and apart from them over the finer cells.
func TestFamilies(t *testing.T) {
	r := mustRun(t, invented(1, 160), nil)
	families := map[bool][]results.Difference{}
	for _, c := range r.Comparisons {
		if c.Verdict != results.NotComparable {
			whole := c.By == results.By{Axis: c.By.Axis, Direction: c.By.Direction, Course: c.By.Course}
			families[whole] = append(families[whole], c.Adjusted)
		}
	}
	for whole, ds := range families {
		require.Greater(t, len(ds), 10, whole)
		slices.SortFunc(ds, func(a, b results.Difference) int { return -cmp.Compare(a.P, b.P) })
		least := 1.0
		for i, d := range ds {
			rank := len(ds) - i
			least = min(least, float64(d.P)*float64(len(ds))/float64(rank))
			assert.InDelta(t, least, float64(d.PAdjusted), 1e-12)
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

// TestConfoundingByPlannedAmount: clinician-designed features go to the small
// plans, which are expressed better; nothing else differs.
func TestConfoundingByPlannedAmount(t *testing.T) {
	ds := twoArms(60, 3, func(arm int, rng *rand.Rand) float64 { return 14 - 3*float64(arm) + 10*rng.Float64() }, [2]float64{0.6, 0.6})
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
