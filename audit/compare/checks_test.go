package compare_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/compare"
	"shortfall/audit/stats"
)

// movement of a made-up cell, before chance is added.
type movement struct {
	treated          bool
	share            float64 // expression
	class, clinician int
	missing          bool
}

// cell makes patients with the movements that each gives; planned amounts and chance
// (SD 0.1 within mouths) come from a fixed seed.
func cell(patients int, of func(patient int) []movement) *compare.Data {
	rng := rand.New(rand.NewPCG(7, 11))
	d := &compare.Data{}
	for i := range patients {
		level := 0.1 * rng.NormFloat64()
		for _, m := range of(i) {
			planned := 1 + rng.Float64()
			share := m.share + level + 0.1*rng.NormFloat64()
			if m.missing {
				share = math.NaN()
			}
			d.Patient, d.Mouth = append(d.Patient, i), append(d.Mouth, i)
			d.Planned, d.Achieved = append(d.Planned, planned), append(d.Achieved, planned*share)
			d.Treated, d.Class, d.Clinician = append(d.Treated, m.treated), append(d.Class, int32(m.class)), append(d.Clinician, m.clinician)
			d.Doubted = append(d.Doubted, false)
		}
	}
	return d
}

// pairs gives each patient three movements under either choice, the treated with so
// much more.
func pairs(effect func(patient int) float64) func(int) []movement {
	return func(i int) (out []movement) {
		for k := range 6 {
			m := movement{treated: k%2 == 0, share: 0.6, class: 1 + k%3, clinician: 1 + i%2}
			if m.treated {
				m.share += effect(i)
			}
			out = append(out, m)
		}
		return out
	}
}

func always(e float64) func(int) float64 { return func(int) float64 { return e } }

func contrast(t *testing.T, d *compare.Data) *compare.Contrast {
	t.Helper()
	c, err := compare.New(d, compare.DefaultOptions())
	require.NoError(t, err)
	require.Empty(t, c.Failed, c.Detail)
	return c
}

// moved adds so much to the expression of the treated.
func moved(d *compare.Data, by float64) *compare.Data {
	out := *d
	out.Achieved = slices.Clone(d.Achieved)
	for i := range out.Achieved {
		if out.Treated[i] {
			out.Achieved[i] += by * out.Planned[i]
		}
	}
	return &out
}

// turns asserts that a check holds while its own interval lies above zero and not
// beyond: the difference is moved until the lower limit is zero, then a little to
// either side.
func turns(t *testing.T, d *compare.Data, check func(*compare.Contrast) compare.Check) {
	t.Helper()
	low, high := -1.0, 1.0
	for range 60 {
		if mid := (low + high) / 2; check(contrast(t, moved(d, mid))).Estimate.Low > 0 {
			high = mid
		} else {
			low = mid
		}
	}
	above, below := check(contrast(t, moved(d, high+1e-6))), check(contrast(t, moved(d, low-1e-6)))
	require.True(t, above.Applies && below.Applies)
	assert.True(t, above.Holds, "lower limit %v", above.Estimate.Low)
	assert.False(t, below.Holds, "lower limit %v", below.Estimate.Low)
	assert.Positive(t, below.Estimate.Value, "the sign alone is not enough")
}

// TestWithoutPatient: the one who carries the difference is left out and named.
func TestWithoutPatient(t *testing.T) {
	one := cell(20, pairs(func(i int) float64 { return 0.05 + 0.6*float64(b2i(i == 13)) }))
	k := contrast(t, one).WithoutPatient()
	assert.Equal(t, 13, k.Who)
	rest := cell(20, pairs(func(i int) float64 { return 0.05 + 0.6*float64(b2i(i == 13)) }))
	keep := func(i int) bool { return rest.Patient[i] != 13 }
	assert.InDelta(t, contrast(t, only(rest, keep)).Estimate.Low, k.Estimate.Low, 1e-9)
	turns(t, one, (*compare.Contrast).WithoutPatient)
	negative := contrast(t, cell(20, pairs(always(-0.3)))).WithoutPatient()
	assert.True(t, negative.Holds && negative.Estimate.High < 0)
}

// only keeps the movements that are wanted.
func only(d *compare.Data, keep func(i int) bool) *compare.Data {
	out := &compare.Data{}
	for _, c := range d.Covariates {
		out.Covariates = append(out.Covariates, compare.Covariate{Name: c.Name})
	}
	for i := range d.Planned {
		if keep(i) {
			for k, c := range d.Covariates {
				if c.Codes != nil {
					out.Covariates[k].Codes = append(out.Covariates[k].Codes, c.Codes[i])
				} else {
					out.Covariates[k].Values = append(out.Covariates[k].Values, c.Values[i])
				}
			}
			out.Patient, out.Mouth = append(out.Patient, d.Patient[i]), append(out.Mouth, d.Mouth[i])
			out.Planned, out.Achieved = append(out.Planned, d.Planned[i]), append(out.Achieved, d.Achieved[i])
			out.Treated, out.Class, out.Clinician = append(out.Treated, d.Treated[i]), append(out.Class, d.Class[i]), append(out.Clinician, d.Clinician[i])
		}
	}
	return out
}

// TestWinsorised: as the same comparison of outcomes brought in by hand to the 5th and
// 95th percentile.
func TestWinsorised(t *testing.T) {
	d := cell(24, pairs(always(0.2)))
	d.Achieved[5] += 2 * d.Planned[5]
	got := contrast(t, d).Winsorised()
	var y []float64
	for i, a := range d.Achieved {
		y = append(y, a/d.Planned[i])
	}
	q := stats.Quantiles(y, 0.05, 0.95)
	by := *d
	by.Achieved = slices.Clone(d.Achieved)
	for i := range y {
		by.Achieved[i] = d.Planned[i] * min(max(y[i], q[0]), q[1])
	}
	want := contrast(t, &by).Estimate
	assert.InDelta(t, want.Value, got.Estimate.Value, 1e-12)
	assert.InDelta(t, want.Low, got.Estimate.Low, 1e-12)
	turns(t, cell(24, pairs(always(0.05))), (*compare.Contrast).Winsorised)
}

// TestMissingShare: a fifth missing in either arm is allowed, more is not.
func TestMissingShare(t *testing.T) {
	lose := func(treated bool, every int) *compare.Data {
		n := 0
		return cell(20, func(i int) []movement {
			ms := pairs(always(0.2))(i)
			for k := range ms {
				if ms[k].treated == treated {
					n++
					ms[k].missing = n%every == 0
				}
			}
			return ms
		})
	}
	for _, treated := range []bool{false, true} {
		k := contrast(t, lose(treated, 5)).MissingShare() // 12 of 60
		assert.True(t, k.Applies && k.Holds)
		d := lose(treated, 5)
		i := slices.IndexFunc(d.Achieved, func(a float64) bool { return !math.IsNaN(a) })
		for d.Treated[i] != treated || math.IsNaN(d.Achieved[i]) {
			i++
		}
		d.Achieved[i] = math.NaN() // 13 of 60
		assert.False(t, contrast(t, d).MissingShare().Holds)
	}
	assert.False(t, contrast(t, cell(20, pairs(always(0.2)))).MissingShare().Applies)
}

// TestMissingAlike: outcomes that are not there speak against the difference, and
// never make it surer.
func TestMissingAlike(t *testing.T) {
	d := cell(24, func(i int) []movement {
		ms := pairs(always(0.06))(i)
		ms[2*(i%3)].missing = i%2 == 0
		return ms
	})
	c := contrast(t, d)
	k := c.MissingAlike()
	assert.Less(t, k.Estimate.Value, c.Estimate.Value)
	assert.GreaterOrEqual(t, k.Estimate.SE, c.Estimate.SE)
	assert.LessOrEqual(t, k.Estimate.DF, c.Estimate.DF)
	turns(t, d, (*compare.Contrast).MissingAlike)
	assert.False(t, contrast(t, cell(24, pairs(always(0.2)))).MissingAlike().Applies)
}

// TestWithoutClinician: the sign must stay without either clinician, be it within
// chance; with one clinician there is nothing to leave out.
func TestWithoutClinician(t *testing.T) {
	habits := func(other float64) *compare.Data {
		return cell(40, pairs(func(i int) float64 {
			if i%2 == 0 {
				return 0.4
			}
			return other
		}))
	}
	lost := contrast(t, habits(-0.1)).WithoutClinician()
	assert.True(t, lost.Applies)
	assert.False(t, lost.Holds)
	assert.Equal(t, 1, lost.Who)
	assert.Negative(t, lost.Estimate.Value)
	low, high := -0.1, 0.3 // where the other's difference turns its sign
	for range 50 {
		if mid := (low + high) / 2; contrast(t, habits(mid)).WithoutClinician().Estimate.Value > 0 {
			high = mid
		} else {
			low = mid
		}
	}
	assert.True(t, contrast(t, habits(high+1e-6)).WithoutClinician().Holds)
	assert.False(t, contrast(t, habits(low-1e-6)).WithoutClinician().Holds)
	d := habits(0.3)
	for i := range d.Clinician {
		d.Clinician[i] = 1
	}
	assert.False(t, contrast(t, d).WithoutClinician().Applies)

	// What is left is adjusted for what it has room for, as by itself.
	many := cell(40, twos(0.15))
	further(many, 12)
	least := math.Inf(1)
	for clinician := range 2 {
		part := contrast(t, only(many, func(i int) bool { return many.Clinician[i] == 1+clinician }))
		require.NotEmpty(t, part.Left)
		least = min(least, part.Estimate.Value)
	}
	require.Empty(t, contrast(t, many).Left)
	assert.InDelta(t, least, contrast(t, many).WithoutClinician().Estimate.Value, 1e-9)
}

// twos gives each patient one movement under either choice.
func twos(effect float64) func(int) []movement {
	return func(i int) []movement { return pairs(always(effect))(i)[:2] }
}

// further adds covariates of chance.
func further(d *compare.Data, n int) {
	rng := rand.New(rand.NewPCG(3, uint64(5+len(d.Covariates))))
	for range n {
		values := make([]float64, len(d.Planned))
		for i := range values {
			values[i] = rng.NormFloat64()
		}
		d.Covariates = append(d.Covariates, compare.Covariate{Name: "covariate", Values: values})
	}
}

// TestFullyAdjusted: what there was no room for must not be what makes the difference,
// and the model with all of it must rest on enough.
func TestFullyAdjusted(t *testing.T) {
	d := cell(30, twos(0.15))
	further(d, 30/compare.MovementsPerColumn-2) // and the plan and its square
	assert.False(t, contrast(t, d).FullyAdjusted().Applies)
	further(d, 1)
	last := d.Covariates[len(d.Covariates)-1].Values
	for i := range last {
		last[i] = float64(b2i(d.Treated[i])) + 0.3*last[i]
	}
	c := contrast(t, d)
	require.Len(t, c.Left, 1)
	turns(t, d, (*compare.Contrast).FullyAdjusted)

	thin := cell(30, twos(0.6))
	further(thin, 23)
	k := contrast(t, thin).FullyAdjusted()
	assert.Less(t, k.Estimate.DF, float64(compare.FewestDF))
	assert.Positive(t, k.Estimate.Low)
	assert.False(t, k.Holds, "too few degrees of freedom say nothing")
	assert.InDelta(t, 1, contrast(t, thin).Candidate().Everything, 0)
	assert.True(t, math.IsNaN(contrast(t, cell(30, twos(0.15))).Candidate().Everything))
	e := c.FullyAdjusted().Estimate
	assert.InDelta(t, e.P, c.Candidate().Everything, 1e-15)
	d.Class, d.Covariates = nil, slices.Clone(d.Covariates)
	one := contrast(t, moved(d, -0.1)).Candidate()
	assert.NotEmpty(t, one.Failing)
	assert.False(t, math.IsNaN(one.Everything), "the family shares it, whatever fails before")
}

// TestSingleTeeth: teeth that are designed because they are hard make no difference; where
// two movements a column are compared they are in the model, else the interval must leave
// out zero with them.
func TestSingleTeeth(t *testing.T) {
	const teeth = 20
	data := func(patients int, effect, harder float64) *compare.Data {
		d := cell(patients, twos(effect))
		rng := rand.New(rand.NewPCG(2, 3))
		values, kinds := make([]int32, len(d.Planned)), make([]int32, len(d.Planned))
		var of [2]int // movements of easy and of hard teeth, which take turns
		for i := range values {
			hard := rng.IntN(2) == 0
			if harder != 0 { // four in five hard teeth are the treated
				hard = d.Treated[i] == (rng.Float64() < 0.8)
			}
			kind := b2i(hard)
			values[i] = int32(1 + of[kind]%(teeth/2) + kind*teeth/2)
			kinds[i] = int32(1 + of[kind]%2)
			d.Achieved[i] -= float64(kind) * harder * d.Planned[i]
			of[kind]++
		}
		d.Covariates = []compare.Covariate{{Name: "kind", Codes: kinds}, {Name: "tooth", Refines: []string{"kind"}, Codes: values}}
		return d
	}
	const enough = compare.MovementsPerColumn * (2 + teeth - 1)
	assert.Contains(t, contrast(t, data(enough, 0.2, 0)).Adjusters, "tooth")
	few := contrast(t, data(enough-1, 0.4, 0))
	assert.Equal(t, []string{"tooth"}, few.Left)
	assert.True(t, few.FullyAdjusted().Holds)
	hard := contrast(t, data(enough-1, 0, 0.3))
	assert.Less(t, hard.Estimate.High, 0.0, "by itself it would be called")
	k := hard.FullyAdjusted()
	assert.True(t, k.Applies)
	assert.False(t, k.Holds)
	assert.InDelta(t, 0, k.Estimate.Value, 0.1)
	assert.InDelta(t, 0, contrast(t, data(enough, 0, 0.3)).Estimate.Value, 0.1)
}

// TestWithoutDoubted: what amounts that cannot be right make is no difference.
func TestWithoutDoubted(t *testing.T) {
	d := cell(24, pairs(always(0.05)))
	assert.False(t, contrast(t, d).WithoutDoubted().Applies)
	d.Achieved[0], d.Doubted[0] = 9*d.Planned[0], true
	k := contrast(t, d).WithoutDoubted()
	assert.InDelta(t, contrast(t, only(d, func(i int) bool { return i != 0 })).Estimate.Low, k.Estimate.Low, 1e-12)
	turns(t, d, (*compare.Contrast).WithoutDoubted)
}

// TestDoubtfulAmountsBehindAnotherCheck: a result that is far too large under one choice
// leaves the difference beyond chance, and so near to it that a single patient seems to
// decide. Without that result every check holds, which the verdict says; where nobody
// doubts it, or the patient decides without it too, it is the patient.
func TestDoubtfulAmountsBehindAnotherCheck(t *testing.T) {
	of := func(doubted bool) compare.Candidate {
		d := cell(24, pairs(always(0.12)))
		d.Achieved[1], d.Doubted[1] = 5*d.Planned[1], doubted
		return contrast(t, d).Candidate()
	}
	reason := func(c compare.Candidate) compare.Reason {
		return compare.Judge([]compare.Candidate{c}, compare.Confirmatory, 0.05, 1)[0].Reason
	}
	doubted := of(true)
	require.Less(t, doubted.P, 0.05)
	require.Equal(t, compare.OnePatient, doubted.Failing)
	assert.Equal(t, compare.DoubtfulAmounts, reason(doubted))
	assert.Equal(t, compare.OnePatient, reason(of(false)))
	doubted.HoldsWithout = false
	assert.Equal(t, compare.OnePatient, reason(doubted))
}

// TestClassesAlike: ten mouths hold a class under either choice, no fewer; one class
// that differs is told.
func TestClassesAlike(t *testing.T) {
	of := func(rare int, effect float64) *compare.Contrast {
		return contrast(t, cell(60, func(i int) (out []movement) {
			for k := range 8 {
				m := movement{treated: k%2 == 0, share: 0.6, class: 1}
				if k >= 4 && (i < rare || k >= 6) {
					m.class = 2 + (k-4)/2
				}
				if m.treated && m.class == 2 {
					m.share += effect
				}
				out = append(out, m)
			}
			return out
		}))
	}
	differs := of(60, 0.4).ClassesAlike()
	require.True(t, differs.Applies)
	assert.Less(t, differs.Estimate.P, 0.001)
	assert.Greater(t, of(60, 0).ClassesAlike().Estimate.P, 0.01)
	assert.NotEqual(t, of(9, 0.4).ClassesAlike().Estimate.P, of(10, 0.4).ClassesAlike().Estimate.P)
	two := func(rare int) bool {
		return contrast(t, cell(60, func(i int) (out []movement) {
			for k := range 4 {
				m := movement{treated: k%2 == 0, share: 0.6, class: 1}
				if k >= 2 && i < rare {
					m.class = 2
				}
				out = append(out, m)
			}
			return out
		})).ClassesAlike().Applies
	}
	assert.True(t, two(10))
	assert.False(t, two(9))
}

// oneClass makes patients with two movements of each of three classes, so many points
// more under the treated in class 1 and in the others; rest of them have the others.
func oneClass(rest int, own, others float64) *compare.Data {
	return cell(60, func(i int) (out []movement) {
		for k := range 6 {
			m := movement{treated: k%2 == 0, share: 0.6, class: 1 + k/2}
			switch {
			case m.class > 1 && i >= rest:
				continue
			case m.treated && m.class == 1:
				m.share += own
			case m.treated:
				m.share += others
			}
			out = append(out, m)
		}
		return out
	})
}

// TestWithoutClass: what one class makes is told with its name, whichever it is; what
// all share holds, and so does what six tenths of are left of.
func TestWithoutClass(t *testing.T) {
	k := contrast(t, oneClass(60, 0.4, 0)).WithoutClass()
	assert.True(t, k.Applies && !k.Holds)
	assert.Equal(t, 1, k.Who)
	assert.Equal(t, compare.ClassesDiffer, k.Decides)
	assert.InDelta(t, 0, k.Estimate.Value, 0.03)
	assert.True(t, contrast(t, oneClass(60, 0.2, 0.2)).WithoutClass().Holds)
	assert.False(t, contrast(t, oneClass(60, -0.4, 0)).WithoutClass().Holds, "of either sign")
	assert.True(t, contrast(t, oneClass(60, -0.2, -0.2)).WithoutClass().Holds)
	low, high := 0.0, 0.4 // of the others, where six tenths are left
	for range 50 {
		c := contrast(t, oneClass(60, 0.4, (low+high)/2))
		if c.WithoutClass().Estimate.Value >= 0.6*c.Estimate.Value {
			high = (low + high) / 2
		} else {
			low = (low + high) / 2
		}
	}
	assert.True(t, contrast(t, oneClass(60, 0.4, high+1e-6)).WithoutClass().Holds)
	assert.False(t, contrast(t, oneClass(60, 0.4, low-1e-6)).WithoutClass().Holds)
	least := contrast(t, oneClass(10, 0.4, 0)).WithoutClass()
	assert.False(t, least.Holds, "ten mouths tell of the others")
	assert.NotEqual(t, 1, contrast(t, oneClass(9, 0.4, 0)).WithoutClass().Who, "nine do not")
	alone := oneClass(0, 0.4, 0)
	assert.False(t, contrast(t, alone).WithoutClass().Applies, "one class has no others")
	alone.Class = nil
	assert.False(t, contrast(t, alone).WithoutClass().Applies)
}

// TestAmongOthersWithoutChance: with no chance within mouths the difference among the
// others is exactly what it was made, and the teeth of the class that is set apart still
// tell the level of mouths whose other teeth stand under one choice alone.
func TestAmongOthersWithoutChance(t *testing.T) {
	d := &compare.Data{}
	add := func(patient, class int, treated bool, share float64) {
		d.Patient, d.Mouth = append(d.Patient, patient), append(d.Mouth, patient)
		d.Planned, d.Achieved = append(d.Planned, 1), append(d.Achieved, share)
		d.Treated, d.Class = append(d.Treated, treated), append(d.Class, int32(class))
	}
	for i := range 24 {
		level := 0.5 + 0.01*float64(i*i%7)
		add(i, 1, false, level)
		add(i, 1, true, level+0.4)
		if other := i%2 == 0; other {
			add(i, 2, other, level+0.1)
		} else {
			add(i, 2, other, level)
		}
	}
	c, err := compare.New(d, compare.DefaultOptions())
	require.NoError(t, err)
	k := c.WithoutClass()
	assert.Equal(t, 1, k.Who)
	assert.InDelta(t, 0.1, k.Estimate.Value, 1e-9)
	assert.False(t, k.Holds)
}

// TestJudgeNeedsEveryCheck: each check that fails is the reason, and takes the verdict.
func TestJudgeNeedsEveryCheck(t *testing.T) {
	called := compare.Candidate{Difference: 0.2, P: 0.001, ClassP: math.NaN(), Everything: math.NaN(), WithoutDoubted: math.NaN()}
	judge := func(c compare.Candidate) compare.Answer {
		return compare.Judge([]compare.Candidate{c}, compare.Confirmatory, 0.05, 1)[0]
	}
	assert.Equal(t, compare.Higher, judge(called).Verdict)
	lower := called
	lower.Difference = -0.2
	assert.Equal(t, compare.Lower, judge(lower).Verdict)
	for _, r := range []compare.Reason{compare.OnePatient, compare.OutlyingValues, compare.ManyMissing, compare.MissingOutcomes, compare.OneClinician, compare.LeftUnadjusted, compare.DoubtfulAmounts} {
		c := called
		c.Failing = r
		a := judge(c)
		assert.Equal(t, compare.NotDistinguishable, a.Verdict)
		assert.Equal(t, r, a.Reason)
	}
	c := called
	c.ClassP = 0.0499
	assert.Equal(t, compare.ClassesDiffer, judge(c).Reason)
	c.ClassP = 0.0501
	assert.Equal(t, compare.Higher, judge(c).Verdict)
	c = called
	c.P, c.WithoutDoubted = 0.0501, 0.0499
	assert.Equal(t, compare.DoubtfulAmounts, judge(c).Reason)
	c.WithoutDoubted = 0.0501
	assert.Equal(t, compare.WithinChance, judge(c).Reason)
	c.P = 0.0499
	assert.Equal(t, compare.Higher, judge(c).Verdict)
	c.Everything = 0.0499
	assert.Equal(t, compare.Higher, judge(c).Verdict)
	c.Everything = 0.0501
	assert.Equal(t, compare.LeftUnadjusted, judge(c).Reason)
	assert.InDelta(t, 0.0501, judge(c).PAdjusted, 1e-12)
	c.Everything = math.NaN()
	half := compare.Judge([]compare.Candidate{c}, compare.Confirmatory, 0.05, 0.5)[0]
	assert.Equal(t, compare.NotDistinguishable, half.Verdict, "half of alpha is another's")
	assert.InDelta(t, 0.025, half.Level, 1e-12)
}

// TestEverythingIsCorrected: four directions whose rough models are biased are told by
// chance in those with everything on record, each at the level of the family.
func TestEverythingIsCorrected(t *testing.T) {
	c := compare.Candidate{Difference: 0.2, P: 1e-6, ClassP: math.NaN(), Everything: 0.03, WithoutDoubted: math.NaN()}
	answers := compare.Judge([]compare.Candidate{c, c, c, c}, compare.Confirmatory, 0.05, 1)
	for _, a := range answers {
		assert.Equal(t, compare.LeftUnadjusted, a.Reason)
	}
	c.P, c.Everything = 0.03, 0.9
	assert.Equal(t, compare.WithinChance, compare.Judge([]compare.Candidate{c, c, c, c}, compare.Confirmatory, 0.05, 1)[0].Reason)
	c.P, c.Everything = 1e-6, 0.012
	assert.Equal(t, compare.Higher, compare.Judge([]compare.Candidate{c, c, c, c}, compare.Confirmatory, 0.05, 1)[0].Verdict)
}

// TestLeastPatientsWithBoth: ten carry both, or the styles were used in different
// patients.
func TestLeastPatientsWithBoth(t *testing.T) {
	apart := func(both int) compare.Reason {
		d := cell(40, func(i int) []movement {
			ms := pairs(always(0.3))(i)
			for k := range ms {
				if i >= both {
					ms[k].treated = i%2 == 0
				}
			}
			return ms
		})
		c, err := compare.New(d, compare.DefaultOptions())
		require.NoError(t, err)
		return c.Failed
	}
	assert.Empty(t, apart(10))
	assert.Equal(t, compare.DifferentPatients, apart(9))
}

// TestFewDegreesOfFreedomHaveNoInterval: where the model rests on hardly anybody.
func TestFewDegreesOfFreedomHaveNoInterval(t *testing.T) {
	d := cell(12, twos(0.4))
	further(d, 4)
	d.Planned[0], d.Planned[1] = 400, 400 // and one patient has nearly all the weight
	d.Achieved[0], d.Achieved[1] = 300, 200
	c, err := compare.New(d, compare.DefaultOptions())
	require.NoError(t, err)
	require.Equal(t, compare.FewDF, c.Failed)
	assert.True(t, math.IsNaN(c.Estimate.Low) && math.IsNaN(c.Estimate.High) && math.IsNaN(c.Estimate.P))
	assert.False(t, math.IsNaN(c.Estimate.Value))
}

// TestChecksAreMade: no check is left out of those that decide.
func TestChecksAreMade(t *testing.T) {
	var ids []string
	for _, k := range contrast(t, cell(24, pairs(always(0.2)))).Checks() {
		ids = append(ids, k.ID)
	}
	assert.Equal(t, []string{
		compare.WithoutDoubted, compare.WithoutPatient, compare.Winsorised, compare.MissingShare, compare.MissingAlike, compare.WithoutClinician,
		compare.FullyAdjusted, compare.ClassesAlike, compare.WithoutClass,
	}, ids)
}
