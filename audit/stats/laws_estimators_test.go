package stats

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// flat lists estimates as one row of numbers: value, SE, low, high of each.
func flat(all ...Estimate) (out []float64) {
	for _, e := range all {
		out = append(out, e.Value, e.SE, e.Low, e.High)
	}
	return out
}

// An estimator of plain rows (x, y, cluster); rows is what it gives, in order.
// unit is the power of the unit of x and y each number carries, nil where the
// method has no unit to change.
type rowEstimator struct {
	name string
	unit []float64
	run  func(x, y []float64, cluster []int) []float64
}

func rowEstimators(t *testing.T) []rowEstimator {
	one, none := []float64{1, 1, 1, 1}, []float64{0, 0, 0, 0}
	bySpread := func(x, v []float64, m MetaMethod) MetaResult {
		r, err := Meta(x, v, m, true, .95)
		require.NoError(t, err)
		return r
	}
	squares := func(y []float64) (v []float64) {
		for _, e := range y {
			v = append(v, e*e)
		}
		return v
	}
	all := []rowEstimator{
		{"OneWay", []float64{2, 2, 0, 0, 0}, func(x, _ []float64, cluster []int) []float64 {
			r, err := OneWay(x, cluster)
			require.NoError(t, err)
			return []float64{r.SSBetween, r.SSWithin, r.F, r.ICC, r.DesignEffect}
		}},
		{"QuantileInterval", one, func(x, _ []float64, _ []int) []float64 {
			e, err := QuantileInterval(x, .3, .9)
			require.NoError(t, err)
			return flat(e)
		}},
		{"Quantiles", []float64{1, 1, 1}, func(x, _ []float64, _ []int) []float64 { return Quantiles(x, .1, .5, .77) }},
		{"Overdispersion", []float64{0, 0, 2}, func(x, y []float64, _ []int) []float64 {
			r, err := Overdispersion(x, squares(y), 0, .1)
			require.NoError(t, err)
			return []float64{r.Phi, r.P, r.Tau2}
		}},
		{"FitPrediction", append(slices.Clone(one), 0), func(x, y []float64, cluster []int) []float64 {
			scale := Quantiles(y, .5)[0] // a place on the line in the unit of the data
			f, err := FitPrediction(y, x, cluster)
			require.NoError(t, err)
			inside, total := f.HeldOut(.8)
			return append(flat(f.At(scale, .8)), float64(inside)/float64(total))
		}},
		{"IntraclassCorrelations", append(append(slices.Clone(none), none...), none...), func(x, y []float64, _ []int) []float64 {
			var table [][]float64
			for i := range x {
				table = append(table, []float64{x[i], y[i]})
			}
			r, err := IntraclassCorrelations(table, .95)
			require.NoError(t, err)
			return flat(r.OneWay, r.Agreement, r.Consistency)
		}},
		{"StandardizedMeanDifference", []float64{0}, func(x, y []float64, _ []int) []float64 {
			return []float64{StandardizedMeanDifference(x, y)}
		}},
	}
	for _, m := range []MetaMethod{EqualEffects, DerSimonianLaird, RestrictedML, MaximumLikelihood, PauleMandel} {
		all = append(all, rowEstimator{"Meta " + string(m), append(slices.Clone(one), 2, 0), func(x, y []float64, _ []int) []float64 {
			r := bySpread(x, squares(y), m)
			return append(flat(r.Estimate), r.Tau2, r.I2)
		}})
	}
	return all
}

// Neither the order of rows nor the names of cases matter; units carry through.
func TestLawsOfRowEstimators(t *testing.T) {
	x, y, cluster := lawData(11)
	n := len(x)
	perm := rand.New(rand.NewPCG(11, 2)).Perm(n)
	x2, y2, c2 := make([]float64, n), make([]float64, n), make([]int, n)
	kx, ky := make([]float64, n), make([]float64, n)
	for to, from := range perm {
		x2[to], y2[to], c2[to] = x[from], y[from], 5000-13*cluster[from]
		kx[to], ky[to] = 25.4*x[to], 25.4*y[to]
	}
	for _, m := range rowEstimators(t) {
		t.Run(m.name, func(t *testing.T) {
			base, moved, scaled := m.run(x, y, cluster), m.run(x2, y2, c2), m.run(kx, ky, cluster)
			require.Len(t, m.unit, len(base))
			for i, want := range base {
				near(t, want, moved[i], 1e-6, 1e-3, "order and names", i)
				near(t, want*math.Pow(25.4, m.unit[i]), scaled[i], 1e-5, 1e-3, "unit", i)
			}
		})
	}
}

// Shares of arms: the difference mirrors when arms are swapped, keeps within
// -1 to 1, widens with the level; continuity correction only widens.
func TestLawsOfShareDifferences(t *testing.T) {
	r := rand.New(rand.NewPCG(12, 1))
	for range 40 {
		draw := func(p, level float64) Proportion {
			s, c := betaBinomialCases(r, 6+r.IntN(8), p, .2, coverageDesigns["balanced"])
			e, err := ClusteredProportion(s, c, level)
			require.NoError(t, err)
			return e
		}
		a, b := draw(.7, .95), draw(.4, .95)
		d, m := ClusteredProportionDifference(a, b), ClusteredProportionDifference(b, a)
		assert.InDelta(t, d.Low, -m.High, 1e-14)
		assert.InDelta(t, d.Value, -m.Value, 1e-14)
		assert.True(t, d.Low >= -1 && d.High <= 1 && d.Low <= d.Value && d.Value <= d.High)
		assert.InDelta(t, StandardizedShareDifference(a.Value, b.Value), -StandardizedShareDifference(b.Value, a.Value), 1e-14)
		n1, n2 := 1+r.IntN(30), 1+r.IntN(30)
		x1, x2 := r.IntN(n1+1), r.IntN(n2+1)
		plain, corrected := NewcombeDifference(x1, n1, x2, n2, .95), NewcombeDifferenceContinuity(x1, n1, x2, n2, .95)
		mirror := NewcombeDifferenceContinuity(x2, n2, x1, n1, .95)
		assert.InDelta(t, corrected.Low, -mirror.High, 1e-14)
		assert.LessOrEqual(t, corrected.Low, plain.Low+1e-14)
		assert.GreaterOrEqual(t, corrected.High, plain.High-1e-14)
		assert.LessOrEqual(t, corrected.High, 1.0)
	}
}

// McNemar mirrors; P values stay within 0 to 1, and the mid-P is not above the
// exact one. The clustered tests of shares do not see order or names of cases.
func TestLawsOfShareTests(t *testing.T) {
	for b := 0; b <= 12; b++ {
		for c := 0; c <= 12; c++ {
			x, err := McNemar(b, c)
			require.NoError(t, err)
			y, err := McNemar(c, b)
			require.NoError(t, err)
			assert.Equal(t, [4]float64{x.P, x.PContinuity, x.PExact, x.PMid}, [4]float64{y.P, y.PContinuity, y.PExact, y.PMid})
			assert.LessOrEqual(t, x.PMid, x.PExact+1e-15)
			odds, err := McNemarOddsRatio(b, c, .95)
			require.NoError(t, err)
			over, err := McNemarOddsRatio(c, b, .95)
			require.NoError(t, err)
			if b > 0 && c > 0 { // turned over
				near(t, 1/odds.Value, over.Value, 1e-12, 0)
				near(t, 1/odds.Low, over.High, 1e-9, 0)
				assert.Equal(t, odds.P < .05, odds.Low > 1 || odds.High < 1)
			}
			for _, p := range []float64{x.P, x.PContinuity, x.PExact, x.PMid} {
				assert.True(t, p > 0 && p <= 1, "%d %d %v", b, c, p)
			}
		}
	}
	r := rand.New(rand.NewPCG(13, 1))
	s1, c1 := betaBinomialCases(r, 12, .7, .2, coverageDesigns["unbalanced"])
	s2, c2 := betaBinomialCases(r, 9, .5, .2, coverageDesigns["balanced"])
	slices.Reverse(s1)
	renamed := slices.Clone(c1)
	for i := range renamed {
		renamed[i] = 900 - 7*c1[i]
	}
	slices.Reverse(renamed)
	back := slices.Clone(s1)
	slices.Reverse(back)
	for name, test := range map[string]func(...Outcomes) (ChiSquareTest, error){"Rao-Scott": RaoScottTest, "Donner": DonnerTest} {
		x, err := test(Outcomes{back, c1}, Outcomes{s2, c2})
		require.NoError(t, err)
		y, err := test(Outcomes{s2, c2}, Outcomes{s1, renamed})
		require.NoError(t, err)
		assert.InDelta(t, x.Statistic, y.Statistic, 1e-10, name)
		assert.True(t, x.P > 0 && x.P < 1, name)
	}
}

// Fieller's set is equivariant to the units of numerator and denominator, and
// turning the ratio over turns a bounded set over.
func TestLawsOfFieller(t *testing.T) {
	base, err := Fieller(10, 5, 1, .25, .1, 9, .95)
	require.NoError(t, err)
	scaled, err := Fieller(70, 10, 49, 1, 1.4, 9, .95)
	require.NoError(t, err)
	over, err := Fieller(5, 10, .25, 1, .1, 9, .95)
	require.NoError(t, err)
	for _, c := range [][2]float64{{3.5 * base.Low, scaled.Low}, {3.5 * base.High, scaled.High}, {1 / base.High, over.Low}, {1 / base.Low, over.High}} {
		near(t, c[0], c[1], 1e-12, 0)
	}
	last := 0.0
	for _, level := range []float64{.5, .9, .99} {
		s, err := Fieller(10, 5, 1, .25, .1, 9, level)
		require.NoError(t, err)
		assert.Greater(t, s.High-s.Low, last)
		last = s.High - s.Low
	}
}

// Segmented fits: time counted from elsewhere or in other units moves
// nothing but the slopes, by the unit. A count model of a constant exposure
// shifts by its logarithm alone.
func TestLawsOfSegmentedAndOffset(t *testing.T) {
	_, y, cluster := lawData(14)
	time, far, unit := make([]float64, len(y)), make([]float64, len(y)), make([]float64, len(y))
	for i := range y {
		time[i] = float64(i%17) - 8
		far[i], unit[i] = time[i]+1000, 12*time[i]
	}
	fit := func(time []float64, change float64) *SegmentedFit {
		f, err := FitSegmented(SegmentedModel{Y: y, Time: time, Change: change, Cluster: cluster}, CR2, .95)
		require.NoError(t, err)
		return f
	}
	a, b, c := fit(time, .5), fit(far, 1000.5), fit(unit, 6)
	for _, e := range [][3]Estimate{{a.Level, b.Level, c.Level}, {a.Step, b.Step, c.Step}} {
		for i, want := range flat(e[0]) {
			near(t, want, flat(e[1])[i], 1e-8, 1e-3, "another origin")
			near(t, want, flat(e[2])[i], 1e-8, 1e-3, "another unit")
		}
	}
	for _, e := range [][3]Estimate{{a.TrendBefore, b.TrendBefore, c.TrendBefore}, {a.TrendChange, b.TrendChange, c.TrendChange}, {a.TrendAfter, b.TrendAfter, c.TrendAfter}} {
		for i, want := range flat(e[0]) {
			near(t, want, flat(e[1])[i], 1e-8, 1e-3, "another origin")
			near(t, want, 12*flat(e[2])[i], 1e-8, 1e-3, "another unit")
		}
	}
	m := CountModel{Names: []string{"1", "late"}, Cluster: cluster}
	for i := range y {
		m.X, m.Y, m.Offset = append(m.X, 1, indicator(time[i] > 0)), append(m.Y, math.Floor(3*y[i])), append(m.Offset, math.Log(7))
	}
	for _, family := range []CountFamily{Poisson, NegativeBinomial} {
		with, err := FitCount(m, family, CR2)
		require.NoError(t, err)
		bare := m
		bare.Offset = nil
		without, err := FitCount(bare, family, CR2)
		require.NoError(t, err)
		near(t, without.Coef[0]-math.Log(7), with.Coef[0], 1e-7, 1)
		for i, want := range flat(without.RateRatio([]float64{0, 1}, .95)) {
			near(t, want, flat(with.RateRatio([]float64{0, 1}, .95))[i], 1e-6, 1e-3, family)
		}
		if family == NegativeBinomial {
			poisson, err := FitCount(m, Poisson, CR2)
			require.NoError(t, err)
			b := CompareDispersion(poisson, with)
			assert.True(t, b.P >= 0 && b.P <= 1)
		}
	}
}
