package mixed

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/mat"

	"shortfall/audit/stats"
	"shortfall/audit/stats/dist"
	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/robust"
)

func fitReference(t *testing.T, r *statstest.ModelReference) *MixedFit {
	t.Helper()
	l := ML
	if r.Reml {
		l = REML
	}
	if r.Slope != nil {
		f, err := FitRandomSlope(r.Linear(), r.Slope, l)
		require.NoError(t, err)
		return f
	}
	f, err := FitRandomIntercept(r.Linear(), l)
	require.NoError(t, err)
	return f
}

// Mixed models against R's lme4, lmerTest (Satterthwaite) and pbkrtest
// (Kenward-Roger). R stops its search early, so its variances carry some 1e-5
// and its df up to 1e-3.
func TestMixedAgainstR(t *testing.T) {
	statstest.EachReference(t, "mixed", 20, func(t *testing.T, r *statstest.ModelReference) {
		f := fitReference(t, r)
		p := len(r.Names)
		if r.Singular {
			assert.Equal(t, stats.Boundary, f.Status)
			assert.Equal(t, "boundary", f.Warnings[0].ID)
		} else {
			assert.Equal(t, stats.Converged, f.Status)
		}
		assert.GreaterOrEqual(t, f.LogLik, r.LogLik[0]-1e-7*math.Abs(r.LogLik[0]), "no worse a maximum than R's")
		statstest.Near(t, r.LogLik[0], f.LogLik, 1e-8, 1, "log likelihood")
		statstest.Near(t, r.Residual[0], f.Residual, 1e-4, 0, "residual variance")
		got := f.Random
		if len(r.Random) == 3 { // R lists variance, variance, covariance
			got = []float64{f.Random[0], f.Random[3], f.Random[1]}
		}
		for i, v := range r.Random {
			floor := 0.0
			if r.Singular {
				floor = r.Residual[0]
			}
			statstest.Near(t, v, got[i], 4e-4, floor, "random effects", i)
		}
		for j := range p {
			e := f.Contrast(statstest.Unit(p, j), 0.95)
			statstest.Near(t, r.Coef[j], e.Value, 1e-6, 1e-3, r.Names[j])
			statstest.Near(t, r.SE[j], e.SE, 1e-4, 0, r.Names[j], "SE")
			statstest.Near(t, r.DF[j], e.DF, 2e-3, 0, r.Names[j], "Satterthwaite df")
			if r.KrSE != nil {
				k := f.KenwardRoger(statstest.Unit(p, j), 0.95)
				statstest.Near(t, r.KrSE[j], k.SE, 1e-4, 0, r.Names[j], "Kenward-Roger SE")
				statstest.Near(t, r.KrDF[j], k.DF, 1e-3, 0, r.Names[j], "Kenward-Roger df")
			}
		}
		if r.KrJoint != nil {
			var cs [][]float64
			for j := 1; j < p; j++ {
				cs = append(cs, statstest.Unit(p, j))
			}
			j := f.JointTest(cs)
			statstest.Near(t, r.KrJoint[0], j.F, 1e-4, 0, "joint F")
			statstest.Near(t, r.KrJoint[1], j.DF1, 0, 0, "joint df1")
			statstest.Near(t, r.KrJoint[2], j.DF2, 1e-3, 0, "joint df2")
			statstest.Near(t, r.KrJoint[3], j.P, 5e-3, 1e-12, "joint P")
		}
		for g, b := range f.RandomEffects() {
			floor := math.Sqrt(r.Random[0])
			statstest.Near(t, r.Blup[b.Cluster-1], b.Value[0], 1e-3, floor, "BLUP", g)
			statstest.Near(t, r.CondSD[b.Cluster-1], b.ConditionalSD[0], 1e-3, floor, "conditional SD", g)
			assert.GreaterOrEqual(t, b.SE[0], b.ConditionalSD[0])
		}
		component := map[string]Component{
			"sd_(Intercept)|Subject": InterceptSD, "sd_(Intercept)|Batch": InterceptSD, "sigma": ResidualSD,
			"sd_Days|Subject": SlopeSD, "cor_Days.(Intercept)|Subject": InterceptSlopeCorrelation,
		}
		for i, name := range r.ProfileNames {
			c, ok := component[name]
			require.True(t, ok, name)
			e, err := f.ComponentInterval(c, 0.95)
			require.NoError(t, err)
			statstest.Near(t, r.Profile[2*i], e.Low, 1e-3, math.Abs(e.Value)*1e-2, name, "low")
			statstest.Near(t, r.Profile[2*i+1], e.High, 1e-3, 0, name, "high")
		}
	})
}

// Growth data, unbalanced: values of lme4, lmerTest and pbkrtest to all printed
// digits, and the closed form of the balanced case: SSW = 151.8423 on 81 rows
// gives the residual variance by maximum likelihood.
func TestGrowthMixed(t *testing.T) {
	f := fitReference(t, statstest.Reference(t, "mixed/orthodont-66"))
	for j, want := range [][5]float64{
		{18.714375126, 1.429137476, 56.2319, 1.444016, 56.4056},
		{.605565882, .107590300, 44.3426, .108587786, 44.7222},
		{-2.921288937, .826880642, 23.9900, .828716820, 24.4235},
	} {
		e, k := f.Contrast(statstest.Unit(3, j), 0.95), f.KenwardRoger(statstest.Unit(3, j), 0.95)
		statstest.Near(t, want[0], e.Value, 1e-8, 1)
		statstest.Near(t, want[1], e.SE, 1e-7, 1)
		statstest.Near(t, want[2], e.DF, 2e-6, 0)
		statstest.Near(t, want[3], k.SE, 1e-6, 0)
		statstest.Near(t, want[4], k.DF, 2e-6, 0)
	}
	f = fitReference(t, statstest.Reference(t, "mixed/orthodont-product-ml"))
	statstest.Near(t, 1.87459666, f.Residual, 1e-8, 0)
	statstest.Near(t, 3.03056169, f.Random[0], 1e-8, 0)
	statstest.Near(t, -214.319529, f.LogLik, 1e-8, 0)
}

// Balanced one-way data have closed forms: the restricted maximum is the
// analysis of variance, a BLUP is (MSB - MSW)/MSB of the group's deviation
// (Searle, Casella & McCulloch 1992, Variance Components, 3.6 and 7.4).
func TestBalancedClosedForm(t *testing.T) {
	r := statstest.Reference(t, "mixed/dyestuff")
	f := fitReference(t, r)
	const groups, each = 6, 5
	mean, sums := 0.0, make([]float64, groups)
	for i, y := range r.Y {
		mean += y / (groups * each)
		sums[r.Cluster[i]-1] += y
	}
	var ssb, ssw float64
	for i, y := range r.Y {
		m := sums[r.Cluster[i]-1] / each
		ssw += (y - m) * (y - m)
	}
	for _, s := range sums {
		ssb += each * (s/each - mean) * (s/each - mean)
	}
	msb, msw := ssb/(groups-1), ssw/(groups*(each-1))
	statstest.Near(t, msw, f.Residual, 1e-8, 0)
	statstest.Near(t, (msb-msw)/each, f.Random[0], 1e-8, 0)
	statstest.Near(t, (msb-msw)/(msb-msw+each*msw), f.ICC(), 1e-8, 0)
	for g, b := range f.RandomEffects() {
		statstest.Near(t, (msb-msw)/msb*(sums[g]/each-mean), b.Value[0], 1e-7, 1)
		e, err := f.ClusterMean(b.Cluster, []float64{1}, 0, 0.95)
		require.NoError(t, err)
		statstest.Near(t, mean+b.Value[0], e.Value, 1e-10, 0)
		// With k = n s_b^2/(n s_b^2 + s^2) and v = var(mean): var(u^-u) =
		// s_b^2 (1-k) + k^2 v, and var(mean + u^ - mean - u) = s_b^2 (1-k) + (1-k)^2 v
		// (Henderson 1975, Biometrics 31:423-447, for one fixed effect).
		between := (msb - msw) / each
		k, v := (msb-msw)/msb, msb/(groups*each)
		statstest.Near(t, math.Sqrt(between*(1-k)+k*k*v), b.SE[0], 1e-7, 0)
		statstest.Near(t, math.Sqrt(between*(1-k)+(1-k)*(1-k)*v), e.SE, 1e-7, 0)
		assert.Less(t, e.Low, e.Value)
	}
	_, err := f.ClusterMean(99, []float64{1}, 0, 0.95)
	assert.Error(t, err)
}

// Two times the difference of restricted log likelihoods against lm
// (logLik(lm, REML = TRUE)); P is half the chi-square tail, 1 at the boundary.
func TestRandomEffectTest(t *testing.T) {
	want := statstest.Reference(t, "boundary").Statistic
	for i, id := range []string{"mixed/dyestuff", "mixed/dyestuff2", "mixed/orthodont"} {
		got := fitReference(t, statstest.Reference(t, id)).RandomEffectTest()
		statstest.Near(t, want[i], got.Statistic, 1e-6, 1e-3, id)
		if want[i] > 0 {
			statstest.Near(t, dist.ChiSquareTail(want[i], 1)/2, got.P, 1e-5, 0, id)
		} else {
			assert.Equal(t, 1.0, got.P)
		}
	}
	slope := fitReference(t, statstest.Reference(t, "mixed/sleep-slope"))
	only := fitReference(t, statstest.Reference(t, "mixed/sleep"))
	got := slope.RandomEffectTest()
	statstest.Near(t, 2*(slope.LogLik-only.LogLik), got.Statistic, 1e-8, 1)
	assert.Less(t, got.P, 1e-8)
	statstest.Near(t, dist.ChiSquareTail(got.Statistic, 1)/2+dist.ChiSquareTail(got.Statistic, 2)/2, got.P, 1e-12, 0)
}

// At the boundary the interval of the spread starts at zero and the contrast is
// that of ordinary least squares.
func TestMixedBoundary(t *testing.T) {
	r := statstest.Reference(t, "mixed/dyestuff2")
	f := fitReference(t, r)
	assert.Zero(t, f.Random[0])
	ols, err := robust.FitLinear(r.Linear(), stats.CR0)
	require.NoError(t, err)
	want, got := ols.ModelContrast([]float64{1}, 0.95), f.Contrast([]float64{1}, 0.95)
	statstest.Near(t, want.SE, got.SE, 1e-12, 0)
	statstest.Near(t, want.DF, got.DF, 1e-9, 0)
	e, err := f.ComponentInterval(InterceptSD, 0.95)
	require.NoError(t, err)
	assert.Zero(t, e.Low)
	assert.Greater(t, e.High, 0.1)
	_, err = f.ComponentInterval(SlopeSD, 0.95)
	assert.Error(t, err)
}

func TestMixedRefusesBadInput(t *testing.T) {
	r := statstest.Reference(t, "mixed/rail")
	m := r.Linear()
	m.Cluster = nil
	_, err := FitRandomIntercept(m, REML)
	assert.Error(t, err)
	_, err = FitRandomSlope(r.Linear(), []float64{1}, REML)
	assert.Error(t, err)
	_, err = FitRandomIntercept(r.Linear(), Likelihood(5))
	assert.Error(t, err)
	m = r.Linear()
	m.Cluster = make([]int, len(m.Y))
	for i := range m.Cluster {
		m.Cluster[i] = i
	}
	f, err := FitRandomIntercept(m, REML)
	require.NoError(t, err)
	assert.Equal(t, stats.Failed, f.Status)
	assert.True(t, math.IsNaN(f.Contrast([]float64{1}, 0.95).Value))
	assert.Empty(t, f.RandomEffects())
}

// Rows that agree within their case: the likelihood of a mixed model has no
// maximum, and the fit says so.
func TestMixedWithoutResidual(t *testing.T) {
	m := stats.LinearModel{Names: []string{"1", "x"}}
	var slope []float64
	for i := range 30 {
		c := i / 3
		m.X, m.Cluster, slope = append(m.X, 1, float64(i%5)), append(m.Cluster, c), append(slope, float64(i%5))
		m.Y = append(m.Y, .1+float64(c*c%7))
	}
	a, err := FitRandomIntercept(m, REML)
	require.NoError(t, err)
	b, err := FitRandomSlope(m, slope, REML)
	require.NoError(t, err)
	for _, f := range []*MixedFit{a, b} {
		assert.Equal(t, stats.Failed, f.Status)
		assert.Equal(t, []string{"no-residual"}, statstest.WarningIDs(f.Warnings))
		assert.True(t, math.IsNaN(f.Contrast([]float64{0, 1}, .95).Value))
		assert.True(t, math.IsNaN(f.RandomEffectTest().P))
		assert.True(t, math.IsNaN(f.Coef[0]))
	}
}

// Predicted intercepts and slopes with both errors, from the matrices they are
// defined by (Henderson 1975, Biometrics 31:423-447): u = D Z'V^-1 (y - Xb),
// var(u | b) = D - D Z'V^-1 Z D, and what the uncertainty of b adds.
func TestPredictedSlopesByMatrices(t *testing.T) {
	r := statstest.Reference(t, "mixed/sleep-slope")
	f := fitReference(t, r)
	n, p := len(r.Y), len(r.Names)
	x := mat.NewDense(n, p, r.X)
	cov := mat.NewSymDense(n, nil)
	for i := range n {
		for j := range i + 1 {
			if r.Cluster[i] == r.Cluster[j] {
				a, b := r.Slope[i], r.Slope[j]
				cov.SetSym(i, j, f.Random[0]+f.Random[1]*(a+b)+f.Random[3]*a*b)
			}
		}
		cov.SetSym(i, i, cov.At(i, i)+f.Residual)
	}
	var inverse, xv, info, phi mat.Dense
	require.NoError(t, inverse.Inverse(cov))
	xv.Mul(x.T(), &inverse)
	info.Mul(&xv, x)
	require.NoError(t, phi.Inverse(&info))
	d := mat.NewDense(2, 2, f.Random)
	for _, e := range f.RandomEffects() {
		z, left := mat.NewDense(n, 2, nil), mat.NewVecDense(n, nil)
		for i := range n {
			left.SetVec(i, r.Y[i]-numeric.Dot(r.X[i*p:(i+1)*p], f.Coef))
			if r.Cluster[i] == e.Cluster {
				z.SetRow(i, []float64{1, r.Slope[i]})
			}
		}
		var zv, dzv, zvz, cond, dzvx, add, full mat.Dense
		zv.Mul(z.T(), &inverse)
		dzv.Mul(d, &zv)
		var u mat.VecDense
		u.MulVec(&dzv, left)
		zvz.Mul(&dzv, z)
		cond.Mul(&zvz, d)
		cond.Sub(d, &cond)
		dzvx.Mul(&dzv, x)
		add.Product(&dzvx, &phi, dzvx.T())
		full.Add(&cond, &add)
		for k := range 2 {
			statstest.Near(t, u.AtVec(k), e.Value[k], 1e-6, 1, "effect", k)
			statstest.Near(t, math.Sqrt(cond.At(k, k)), e.ConditionalSD[k], 1e-6, 0, "conditional", k)
			statstest.Near(t, math.Sqrt(full.At(k, k)), e.SE[k], 1e-6, 0, "prediction", k)
		}
	}
}
