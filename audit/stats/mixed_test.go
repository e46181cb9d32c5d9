package stats

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func fitReference(t *testing.T, r *modelReference) *MixedFit {
	t.Helper()
	l := ML
	if r.Reml {
		l = REML
	}
	if r.Slope != nil {
		f, err := FitRandomSlope(r.linear(), r.Slope, l)
		require.NoError(t, err)
		return f
	}
	f, err := FitRandomIntercept(r.linear(), l)
	require.NoError(t, err)
	return f
}

// Mixed models against R's lme4, lmerTest (Satterthwaite) and pbkrtest
// (Kenward-Roger). R stops its search early, so its variances carry some 1e-5
// and its df up to 1e-3.
func TestMixedAgainstR(t *testing.T) {
	eachReference(t, "mixed", 20, func(t *testing.T, r *modelReference) {
		f := fitReference(t, r)
		p := len(r.Names)
		if r.Singular {
			assert.Equal(t, Boundary, f.Status)
			assert.Equal(t, "boundary", f.Warnings[0].ID)
		} else {
			assert.Equal(t, Converged, f.Status)
		}
		assert.GreaterOrEqual(t, f.LogLik, r.LogLik[0]-1e-7*math.Abs(r.LogLik[0]), "no worse a maximum than R's")
		near(t, r.LogLik[0], f.LogLik, 1e-8, 1, "log likelihood")
		near(t, r.Residual[0], f.Residual, 1e-4, 0, "residual variance")
		got := f.Random
		if len(r.Random) == 3 { // R lists variance, variance, covariance
			got = []float64{f.Random[0], f.Random[3], f.Random[1]}
		}
		for i, v := range r.Random {
			floor := 0.0
			if r.Singular {
				floor = r.Residual[0]
			}
			near(t, v, got[i], 4e-4, floor, "random effects", i)
		}
		for j := range p {
			e := f.Contrast(unit(p, j), 0.95)
			near(t, r.Coef[j], e.Value, 1e-6, 1e-3, r.Names[j])
			near(t, r.SE[j], e.SE, 1e-4, 0, r.Names[j], "SE")
			near(t, r.DF[j], e.DF, 2e-3, 0, r.Names[j], "Satterthwaite df")
			if r.KrSE != nil {
				k := f.KenwardRoger(unit(p, j), 0.95)
				near(t, r.KrSE[j], k.SE, 1e-4, 0, r.Names[j], "Kenward-Roger SE")
				near(t, r.KrDF[j], k.DF, 1e-3, 0, r.Names[j], "Kenward-Roger df")
			}
		}
		if r.KrJoint != nil {
			var cs [][]float64
			for j := 1; j < p; j++ {
				cs = append(cs, unit(p, j))
			}
			j := f.JointTest(cs)
			near(t, r.KrJoint[0], j.F, 1e-4, 0, "joint F")
			near(t, r.KrJoint[1], j.DF1, 0, 0, "joint df1")
			near(t, r.KrJoint[2], j.DF2, 1e-3, 0, "joint df2")
			near(t, r.KrJoint[3], j.P, 5e-3, 1e-12, "joint P")
		}
		for g, b := range f.RandomEffects() {
			floor := math.Sqrt(r.Random[0])
			near(t, r.Blup[b.Cluster-1], b.Value[0], 1e-3, floor, "BLUP", g)
			near(t, r.CondSD[b.Cluster-1], b.ConditionalSD[0], 1e-3, floor, "conditional SD", g)
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
			near(t, r.Profile[2*i], e.Low, 1e-3, math.Abs(e.Value)*1e-2, name, "low")
			near(t, r.Profile[2*i+1], e.High, 1e-3, 0, name, "high")
		}
	})
}

// Growth data, unbalanced: values of lme4, lmerTest and pbkrtest to all printed
// digits, and the closed form of the balanced case: SSW = 151.8423 on 81 rows
// gives the residual variance by maximum likelihood.
func TestGrowthMixed(t *testing.T) {
	f := fitReference(t, reference(t, "mixed/orthodont-66"))
	for j, want := range [][5]float64{
		{18.714375126, 1.429137476, 56.2319, 1.444016, 56.4056},
		{.605565882, .107590300, 44.3426, .108587786, 44.7222},
		{-2.921288937, .826880642, 23.9900, .828716820, 24.4235},
	} {
		e, k := f.Contrast(unit(3, j), 0.95), f.KenwardRoger(unit(3, j), 0.95)
		near(t, want[0], e.Value, 1e-8, 1)
		near(t, want[1], e.SE, 1e-7, 1)
		near(t, want[2], e.DF, 2e-6, 0)
		near(t, want[3], k.SE, 1e-6, 0)
		near(t, want[4], k.DF, 2e-6, 0)
	}
	f = fitReference(t, reference(t, "mixed/orthodont-product-ml"))
	near(t, 1.87459666, f.Residual, 1e-8, 0)
	near(t, 3.03056169, f.Random[0], 1e-8, 0)
	near(t, -214.319529, f.LogLik, 1e-8, 0)
}

// Balanced one-way data have closed forms: the restricted maximum is the
// analysis of variance, a BLUP is (MSB - MSW)/MSB of the group's deviation
// (Searle, Casella & McCulloch 1992, Variance Components, 3.6 and 7.4).
func TestBalancedClosedForm(t *testing.T) {
	r := reference(t, "mixed/dyestuff")
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
	near(t, msw, f.Residual, 1e-8, 0)
	near(t, (msb-msw)/each, f.Random[0], 1e-8, 0)
	near(t, (msb-msw)/(msb-msw+each*msw), f.ICC(), 1e-8, 0)
	for g, b := range f.RandomEffects() {
		near(t, (msb-msw)/msb*(sums[g]/each-mean), b.Value[0], 1e-7, 1)
		e, err := f.ClusterMean(b.Cluster, []float64{1}, 0, 0.95)
		require.NoError(t, err)
		near(t, mean+b.Value[0], e.Value, 1e-10, 0)
		// With k = n s_b^2/(n s_b^2 + s^2) and v = var(mean): var(u^-u) =
		// s_b^2 (1-k) + k^2 v, and var(mean + u^ - mean - u) = s_b^2 (1-k) + (1-k)^2 v
		// (Henderson 1975, Biometrics 31:423-447, for one fixed effect).
		between := (msb - msw) / each
		k, v := (msb-msw)/msb, msb/(groups*each)
		near(t, math.Sqrt(between*(1-k)+k*k*v), b.SE[0], 1e-7, 0)
		near(t, math.Sqrt(between*(1-k)+(1-k)*(1-k)*v), e.SE, 1e-7, 0)
		assert.Less(t, e.Low, e.Value)
	}
	_, err := f.ClusterMean(99, []float64{1}, 0, 0.95)
	assert.Error(t, err)
}

// Two times the difference of restricted log likelihoods against lm
// (logLik(lm, REML = TRUE)); P is half the chi-square tail, 1 at the boundary.
func TestRandomEffectTest(t *testing.T) {
	want := reference(t, "boundary").Statistic
	for i, id := range []string{"mixed/dyestuff", "mixed/dyestuff2", "mixed/orthodont"} {
		got := fitReference(t, reference(t, id)).RandomEffectTest()
		near(t, want[i], got.Statistic, 1e-6, 1e-3, id)
		if want[i] > 0 {
			near(t, chiSquareTail(want[i], 1)/2, got.P, 1e-5, 0, id)
		} else {
			assert.Equal(t, 1.0, got.P)
		}
	}
	slope := fitReference(t, reference(t, "mixed/sleep-slope"))
	only := fitReference(t, reference(t, "mixed/sleep"))
	got := slope.RandomEffectTest()
	near(t, 2*(slope.LogLik-only.LogLik), got.Statistic, 1e-8, 1)
	assert.Less(t, got.P, 1e-8)
	near(t, chiSquareTail(got.Statistic, 1)/2+chiSquareTail(got.Statistic, 2)/2, got.P, 1e-12, 0)
}

// At the boundary the interval of the spread starts at zero and the contrast is
// that of ordinary least squares.
func TestMixedBoundary(t *testing.T) {
	r := reference(t, "mixed/dyestuff2")
	f := fitReference(t, r)
	assert.Zero(t, f.Random[0])
	ols, err := FitLinear(r.linear(), CR0)
	require.NoError(t, err)
	want, got := ols.ModelContrast([]float64{1}, 0.95), f.Contrast([]float64{1}, 0.95)
	near(t, want.SE, got.SE, 1e-12, 0)
	near(t, want.DF, got.DF, 1e-9, 0)
	e, err := f.ComponentInterval(InterceptSD, 0.95)
	require.NoError(t, err)
	assert.Zero(t, e.Low)
	assert.Greater(t, e.High, 0.1)
	_, err = f.ComponentInterval(SlopeSD, 0.95)
	assert.Error(t, err)
}

func TestMixedRefusesBadInput(t *testing.T) {
	r := reference(t, "mixed/rail")
	m := r.linear()
	m.Cluster = nil
	_, err := FitRandomIntercept(m, REML)
	assert.Error(t, err)
	_, err = FitRandomSlope(r.linear(), []float64{1}, REML)
	assert.Error(t, err)
	_, err = FitRandomIntercept(r.linear(), Likelihood(5))
	assert.Error(t, err)
	m = r.linear()
	m.Cluster = make([]int, len(m.Y))
	for i := range m.Cluster {
		m.Cluster[i] = i
	}
	f, err := FitRandomIntercept(m, REML)
	require.NoError(t, err)
	assert.Equal(t, Failed, f.Status)
	assert.True(t, math.IsNaN(f.Contrast([]float64{1}, 0.95).Value))
	assert.Empty(t, f.RandomEffects())
}
