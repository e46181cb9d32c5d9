package stats

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The laws below are written once and run over every method of one shape: an
// estimate of clustered rows (num, den, case).
type clusteredMethod struct {
	name string
	// unit: multiplying num by k multiplies the estimate by k. Shares have none.
	unit bool
	// swapped is the mirrored data and the mirrored value, where there is one.
	share bool
	run   func(num, den []float64, cluster []int, level float64) (Estimate, error)
}

func clusteredMethods() []clusteredMethod {
	boot := DefaultBootstrap()
	return []clusteredMethod{
		{name: "RatioOfSums", unit: true, run: RatioOfSums},
		{name: "RatioOfSumsCR2", unit: true, run: RatioOfSumsCR2},
		{name: "RatioOfSumsLongTails", unit: true, run: RatioOfSumsLongTails},
		{name: "RatioOfSumsLinearised", unit: true, run: RatioOfSumsLinearised},
		{name: "RatioOfSumsJackknife", unit: true, run: RatioOfSumsJackknife},
		{name: "RatioOfSumsFieller", unit: true, run: func(num, den []float64, cluster []int, level float64) (Estimate, error) {
			s, err := RatioOfSumsFieller(num, den, cluster, level)
			return s.Estimate, err
		}},
		{name: "BootstrapRatioOfSums", unit: true, run: func(num, den []float64, cluster []int, level float64) (Estimate, error) {
			r, err := BootstrapRatioOfSums(num, den, cluster, level, boot)
			return r.Estimate, err
		}},
		{name: "WildCluster", unit: true, run: func(num, den []float64, cluster []int, level float64) (Estimate, error) {
			x := make([][]float64, len(den))
			for i, v := range den {
				x[i] = []float64{v}
			}
			r, err := WildCluster(num, x, cluster, 0, 0, level, boot)
			return r.Estimate, err
		}},
		{name: "ClusteredMean", unit: true, run: func(num, _ []float64, cluster []int, level float64) (Estimate, error) {
			return ClusteredMean(num, cluster, level)
		}},
		{name: "ClusteredQuantile", unit: true, run: func(num, _ []float64, cluster []int, level float64) (Estimate, error) {
			r, err := ClusteredQuantile(num, cluster, .5, level, boot)
			return r.Estimate, err
		}},
		{name: "ClusteredPseudomedian", unit: true, run: func(num, _ []float64, cluster []int, level float64) (Estimate, error) {
			return ClusteredPseudomedian(num, cluster, level)
		}},
		{name: "ClusteredProportion", share: true, run: func(num, den []float64, cluster []int, level float64) (Estimate, error) {
			success := make([]bool, len(num))
			for i := range num {
				success[i] = num[i] > .6*den[i]
			}
			p, err := ClusteredProportion(success, cluster, level)
			return p.Estimate, err
		}},
	}
}

// lawData is 24 cases of 1 to 9 rows with spread between them.
func lawData(seed uint64) (num, den []float64, cluster []int) {
	r := rand.New(rand.NewPCG(seed, 9))
	for c := range 24 {
		shared := .2 * r.NormFloat64()
		for range 1 + r.IntN(9) {
			d := math.Exp(.5 * r.NormFloat64())
			num = append(num, d*(.6+shared+.3*r.NormFloat64()))
			den = append(den, d)
			cluster = append(cluster, c)
		}
	}
	return num, den, cluster
}

func sameEstimate(t *testing.T, want, got Estimate, tolerance float64, message string) {
	t.Helper()
	for _, v := range [][2]float64{{want.Value, got.Value}, {want.SE, got.SE}, {want.Low, got.Low}, {want.High, got.High}} {
		if math.IsNaN(v[0]) {
			assert.True(t, math.IsNaN(v[1]), message)
			continue
		}
		assert.InDelta(t, v[0], v[1], tolerance*(1+math.Abs(v[0])), message)
	}
}

func TestLawsOfClusteredMethods(t *testing.T) {
	num, den, cluster := lawData(1)
	before := append([]float64(nil), num...)
	for _, m := range clusteredMethods() {
		t.Run(m.name, func(t *testing.T) {
			base, err := m.run(num, den, cluster, .95)
			require.NoError(t, err)
			require.Less(t, base.Low, base.Value)
			require.Greater(t, base.High, base.Value)
			orderAndLabels(t, m, base, num, den, cluster)
			widens(t, m, num, den, cluster)
			doubling(t, m, base, num, den, cluster)
			if m.unit {
				unitsAndSigns(t, m, base, num, den, cluster)
			}
			if m.share {
				assert.GreaterOrEqual(t, base.Low, 0.0)
				assert.LessOrEqual(t, base.High, 1.0)
			}
		})
	}
	assert.Equal(t, before, num, "arguments are never changed")
}

// Neither the order of rows nor the names of cases change anything, of the random
// methods too.
func orderAndLabels(t *testing.T, m clusteredMethod, base Estimate, num, den []float64, cluster []int) {
	perm := rand.New(rand.NewPCG(4, 4)).Perm(len(num))
	n2, d2, c2, dense := make([]float64, len(num)), make([]float64, len(num)), make([]int, len(num)), make([]int, len(num))
	for i, p := range perm {
		n2[i], d2[i] = num[p], den[p]
		dense[i] = cluster[p]
		c2[i] = -7_000_000 + 100_003*cluster[p] // too sparse for an array
	}
	for name, ids := range map[string][]int{"dense": dense, "sparse": c2} {
		got, err := m.run(n2, d2, ids, .95)
		require.NoError(t, err)
		sameEstimate(t, base, got, 1e-9, "order, "+name+" ids")
	}
	for i := range c2 {
		c2[i] = (dense[i]*7 + 3) % 24 // a permutation of the names
	}
	got, err := m.run(n2, d2, c2, .95)
	require.NoError(t, err)
	sameEstimate(t, base, got, 1e-9, "renamed cases")
}

func widens(t *testing.T, m clusteredMethod, num, den []float64, cluster []int) {
	last := 0.0
	for _, level := range []float64{.5, .8, .9, .95, .99} {
		e, err := m.run(num, den, cluster, level)
		require.NoError(t, err)
		assert.GreaterOrEqual(t, e.High-e.Low, last, "level %v", level)
		last = e.High - e.Low
	}
}

// Twice the cases, each a copy: the error shrinks by sqrt 2, up to the factor
// of degrees of freedom, sqrt((m-1)/(m-1/2)) at most, and resampling noise.
func doubling(t *testing.T, m clusteredMethod, base Estimate, num, den []float64, cluster []int) {
	if math.IsNaN(base.SE) || m.name == "ClusteredQuantile" { // a quantile of few distinct values is not smooth
		return
	}
	n2, d2 := append(append([]float64{}, num...), num...), append(append([]float64{}, den...), den...)
	c2 := append([]int{}, cluster...)
	for _, c := range cluster {
		c2 = append(c2, 1000+c)
	}
	got, err := m.run(n2, d2, c2, .95)
	require.NoError(t, err)
	assert.InEpsilon(t, math.Sqrt2, base.SE/got.SE, .06)
	if m.name != "BootstrapRatioOfSums" {
		assert.InDelta(t, base.Value, got.Value, 1e-12)
	}
}

func unitsAndSigns(t *testing.T, m clusteredMethod, base Estimate, num, den []float64, cluster []int) {
	scaled, negative := make([]float64, len(num)), make([]float64, len(num))
	for i, v := range num {
		scaled[i], negative[i] = 25.4*v, -v
	}
	got, err := m.run(scaled, den, cluster, .95)
	require.NoError(t, err)
	want := base
	want.Value, want.SE, want.Low, want.High = 25.4*base.Value, 25.4*base.SE, 25.4*base.Low, 25.4*base.High
	sameEstimate(t, want, got, 1e-6, "unit")
	got, err = m.run(negative, den, cluster, .95)
	require.NoError(t, err)
	want = base
	want.Value, want.Low, want.High = -base.Value, -base.High, -base.Low
	sameEstimate(t, want, got, 1e-6, "sign")
}

// One row a case is the textbook formula of independent observations.
func TestOneRowACaseIsTheTextbook(t *testing.T) {
	x, den, _ := lawData(2)
	n := len(x)
	ids := make([]int, n)
	for i := range ids {
		ids[i] = (i * 37) % n * 11 // any distinct names
	}
	mean, variance := meanVariance(x)
	se := math.Sqrt(variance / float64(n))
	q := tQuantile(.975, float64(n-1))
	for _, cluster := range [][]int{nil, ids} {
		e, err := ClusteredMean(x, cluster, .95)
		require.NoError(t, err)
		sameEstimate(t, Estimate{Value: mean, SE: se, Low: mean - q*se, High: mean + q*se}, e, 1e-12, "mean")
		assert.InDelta(t, float64(n-1), e.DF, 1e-8)
	}
	// Cochran 1977, equation 6.13: sqrt(sum (y - Rx)^2/(n(n-1)))/mean x.
	var sy, sx, u2 float64
	for i := range x {
		sy += x[i]
		sx += den[i]
	}
	for i := range x {
		u2 += square(x[i] - sy/sx*den[i])
	}
	r, err := RatioOfSumsLinearised(x, den, ids, .95)
	require.NoError(t, err)
	fn := float64(n)
	assert.InDelta(t, math.Sqrt(u2/(fn*(fn-1)))/(sx/fn), r.SE, 1e-12)
}

// Swapping arms mirrors every two-arm method, and every P lies within 0 to 1.
func TestSwappingArmsMirrors(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for range 60 {
		n1, n2 := 2+r.IntN(9), 2+r.IntN(9)
		a, b := make([]float64, n1), make([]float64, n2)
		for i := range a {
			a[i] = float64(r.IntN(6)) // ties
		}
		for i := range b {
			b[i] = float64(r.IntN(6))
		}
		x, err := RankSum(a, b, .9)
		require.NoError(t, err)
		y, err := RankSum(b, a, .9)
		require.NoError(t, err)
		assert.InDelta(t, x.P, y.P, 1e-12)
		assert.InDelta(t, x.Value, -y.Value, 1e-12)
		for _, p := range []float64{x.P, x.PLess, x.PGreater} {
			assert.True(t, p >= 0 && p <= 1)
		}
		d, m := make([]float64, n1), make([]float64, n1)
		for i := range d {
			d[i] = float64(r.IntN(9) - 4)
			m[i] = -d[i]
		}
		s, err := SignedRank(d, .9)
		require.NoError(t, err)
		u, err := SignedRank(m, .9)
		require.NoError(t, err)
		assert.InDelta(t, s.P, u.P, 1e-14)
		assert.InDelta(t, s.PLess, u.PGreater, 1e-14)
		assert.InDelta(t, s.Low, -u.High, 1e-14)
		cluster := make([]int, n1)
		for i := range cluster {
			cluster[i] = r.IntN(4)
		}
		c, err := ClusteredSignedRank(d, cluster)
		require.NoError(t, err)
		e, err := ClusteredSignedRank(m, cluster)
		require.NoError(t, err)
		assert.InDelta(t, c.P, e.P, 1e-14)
		assert.True(t, c.P > 0 && c.P <= 1)
		assert.InDelta(t, StandardizedMeanDifference(a, b), -StandardizedMeanDifference(b, a), 1e-14)
		o, err := Overlap(a, b, nil, nil, DefaultOverlap())
		require.NoError(t, err)
		w, err := Overlap(b, a, nil, nil, DefaultOverlap())
		require.NoError(t, err)
		assert.Equal(t, o.Enough, w.Enough)
		assert.Equal(t, o.ShareA, w.ShareB)
		k, l := r.IntN(n1+1), r.IntN(n2+1)
		p, q := NewcombeDifference(k, n1, l, n2, .95), NewcombeDifference(l, n2, k, n1, .95)
		assert.InDelta(t, p.Low, -q.High, 1e-14)
		assert.GreaterOrEqual(t, p.Low, -1.0)
		assert.LessOrEqual(t, p.High, 1.0)
	}
}

// Relabelling success as failure mirrors a share; agreement of b with a
// mirrors that of a with b; both are the same whatever is added to both.
func TestMirrorsOfSharesAndReadings(t *testing.T) {
	num, den, cluster := lawData(3)
	yes, no := make([]bool, len(num)), make([]bool, len(num))
	for i := range num {
		yes[i] = num[i] > .5*den[i]
		no[i] = !yes[i]
	}
	a, err := ClusteredProportion(yes, cluster, .95)
	require.NoError(t, err)
	b, err := ClusteredProportion(no, cluster, .95)
	require.NoError(t, err)
	assert.InDelta(t, a.Low, 1-b.High, 1e-12)
	assert.InDelta(t, a.High, 1-b.Low, 1e-12)
	assert.InDelta(t, a.DesignEffect, b.DesignEffect, 1e-9)

	x, err := Agreement(num, den, .95)
	require.NoError(t, err)
	y, err := Agreement(den, num, .95)
	require.NoError(t, err)
	assert.InDelta(t, x.Bias.Value, -y.Bias.Value, 1e-12)
	assert.InDelta(t, x.LowerLimit.Low, -y.UpperLimit.High, 1e-12)
	assert.InDelta(t, x.Dahlberg.Value, y.Dahlberg.Value, 1e-12)
	assert.InDelta(t, x.ICC.Value, y.ICC.Value, 1e-12)
	shifted, shifted2 := make([]float64, len(num)), make([]float64, len(num))
	for i := range num {
		shifted[i], shifted2[i] = num[i]+100, den[i]+100
	}
	z, err := Agreement(shifted, shifted2, .95)
	require.NoError(t, err)
	assert.InDelta(t, x.MethodOfMoments.Value, z.MethodOfMoments.Value, 1e-10)
	assert.InDelta(t, x.ICC.Value, z.ICC.Value, 1e-9)
}

// Every interval of a count widens with the level and stays where it must.
func TestCountIntervalsWiden(t *testing.T) {
	for x := 0; x <= 12; x++ {
		for name, f := range map[string]func(float64) Estimate{
			"wilson":     func(l float64) Estimate { return Wilson(x, 12, l) },
			"continuity": func(l float64) Estimate { return WilsonContinuity(x, 12, l) },
			"exact":      func(l float64) Estimate { return ClopperPearson(x, 12, l) },
			"jeffreys":   func(l float64) Estimate { return Jeffreys(x, 12, l) },
			"difference": func(l float64) Estimate { return NewcombeDifference(x, 12, 5, 9, l) },
			"garwood":    func(l float64) Estimate { return Garwood(x, l) },
		} {
			last := -1.0
			for _, level := range []float64{.5, .9, .99} {
				e := f(level)
				assert.GreaterOrEqual(t, e.High-e.Low, last, "%s %d", name, x)
				last = e.High - e.Low
				if name != "difference" {
					assert.GreaterOrEqual(t, e.Low, 0.0)
				}
				if name != "difference" && name != "garwood" {
					assert.LessOrEqual(t, e.High, 1.0)
				}
			}
		}
	}
}

// Adjusted P values are not below the raw ones, keep their order, and do not
// depend on the order given.
func TestMultiplicityLaws(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 8))
	p := make([]float64, 30)
	for i := range p {
		p[i] = math.Pow(r.Float64(), 2)
	}
	for name, f := range map[string]func([]float64) []float64{"BH": BenjaminiHochberg, "Holm": Holm, "Hochberg": Hochberg, "BY": BenjaminiYekutieli} {
		q := f(p)
		perm := r.Perm(len(p))
		shuffled := make([]float64, len(p))
		for i, j := range perm {
			shuffled[i] = p[j]
		}
		s := f(shuffled)
		for i, j := range perm {
			assert.Equal(t, q[j], s[i], name)
			assert.GreaterOrEqual(t, q[j], p[j], name)
			assert.LessOrEqual(t, q[j], 1.0, name)
			for k := range p {
				assert.True(t, p[k] <= p[j] || q[k] >= q[j], name)
			}
		}
	}
	holm, hochberg, bh := Holm(p), Hochberg(p), BenjaminiHochberg(p)
	for i := range p { // Hochberg 1988: never above Holm; Benjamini & Hochberg never above Hochberg
		assert.LessOrEqual(t, hochberg[i], holm[i])
		assert.LessOrEqual(t, bh[i], hochberg[i]+1e-15)
	}
}
