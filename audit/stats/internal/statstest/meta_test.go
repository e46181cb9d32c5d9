package statstest_test

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/meta"
)

// bcg gives the log risk ratios and variances of 13 trials of the BCG vaccine
// (Colditz et al. 1994, J Am Med Assoc 271:698-702; metafor dat.bcg).
func bcg() (y, v []float64) {
	for _, c := range [][4]float64{
		{4, 119, 11, 128},
		{6, 300, 29, 274},
		{3, 228, 11, 209},
		{62, 13536, 248, 12619},
		{33, 5036, 47, 5761},
		{180, 1361, 372, 1079},
		{8, 2537, 10, 619},
		{505, 87886, 499, 87892},
		{29, 7470, 45, 7232},
		{17, 1699, 65, 1600},
		{186, 50448, 141, 27197},
		{5, 2493, 3, 2338},
		{27, 16886, 29, 17825},
	} {
		n1, n2 := c[0]+c[1], c[2]+c[3]
		y = append(y, math.Log(c[0]/n1/(c[2]/n2)))
		v = append(v, 1/c[0]-1/n1+1/c[2]-1/n2)
	}
	return y, v
}

// metafor 3.8 in R 4.2.2, rma(yi, vi, method = ..., test = ...); its own tests
// print -.4303 [-.5097, -.3509], Q 152.2330 and -.7141 [-1.0644, -.3638].
func TestMetaOfBCG(t *testing.T) {
	y, v := bcg()
	nan := math.NaN()
	for _, c := range []struct {
		method                         meta.MetaMethod
		hk                             bool
		estimate, se, low, high, t2, i float64
	}{
		{meta.EqualEffects, false, -.43028516, .04049875, -.50966126, -.35090907, 0, 92.117},
		{meta.DerSimonianLaird, false, -.71411722, .17874209, -1.06444530, -.36378916, .30876026, 92.117347},
		{meta.RestrictedML, false, -.71453235, .17978153, -1.06689770, -.36216702, .31324333, 92.221386},
		{meta.MaximumLikelihood, false, -.71119914, .17189682, nan, nan, .28002817, nan},
		// control = list(tol = 1e-14); metafor's looser default gives -.71497041, tau2 .31809371.
		{meta.PauleMandel, false, -.714968153, .180892192, nan, nan, .318068452, nan},
		{meta.DerSimonianLaird, true, -.71411722, .18069663, -1.10782140, -.32041309, .30876026, nan},
		{meta.RestrictedML, true, -.71453235, .18079175, -1.10844370, -.32062097, .31324333, nan},
	} {
		r, err := meta.Meta(y, v, c.method, c.hk, .95)
		require.NoError(t, err)
		assert.InDelta(t, c.estimate, r.Value, 2e-7, r.Method)
		assert.InDelta(t, c.se, r.SE, 2e-7, r.Method)
		assert.InDelta(t, c.t2, r.Tau2, 1e-6, r.Method)
		if !math.IsNaN(c.low) {
			assert.InDelta(t, c.low, r.Low, 5e-7, r.Method)
			assert.InDelta(t, c.high, r.High, 5e-7, r.Method)
		}
		if !math.IsNaN(c.i) {
			assert.InDelta(t, c.i, r.I2, 5e-4, r.Method)
		}
		assert.InDelta(t, 152.23301, r.Q, 5e-6)
		assert.Equal(t, meta.Converged, r.Ended)
		assert.Empty(t, r.Warnings)
	}
	dl, err := meta.Meta(y, v, meta.DerSimonianLaird, false, .95)
	require.NoError(t, err)
	assert.InDelta(t, .48962415, math.Exp(dl.Value), 5e-9)
	assert.InDelta(t, -1.9988385, dl.PredictionLow, 5e-8)
	assert.InDelta(t, .5706041, dl.PredictionHigh, 5e-8)
	half := 1.959963984540054 * math.Sqrt(dl.Tau2+dl.SE*dl.SE)
	assert.InDelta(t, -1.8581538, dl.Value-half, 5e-8)
	hk, err := meta.Meta(y, v, meta.DerSimonianLaird, true, .95)
	require.NoError(t, err)
	assert.InDelta(t, -3.9520229, hk.Value/hk.SE, 5e-8)
	assert.InDelta(t, .0019207668, hk.P, 5e-11)
}

// Studies that agree exactly have no spread; one study stands for itself; the
// unit and the sign of the estimates carry through.
func TestMetaEdges(t *testing.T) {
	for _, m := range []meta.MetaMethod{meta.EqualEffects, meta.DerSimonianLaird, meta.RestrictedML, meta.MaximumLikelihood, meta.PauleMandel} {
		r, err := meta.Meta([]float64{2, 2, 2}, []float64{1, 2, 4}, m, false, .95)
		require.NoError(t, err)
		assert.InDelta(t, 0, r.Tau2, 1e-9, m)
		assert.InDelta(t, 2, r.Value, 1e-12, m)
		assert.InDelta(t, 1/math.Sqrt(1.75), r.SE, 1e-6, m)
		one, err := meta.Meta([]float64{2}, []float64{4}, m, false, .95)
		require.NoError(t, err)
		assert.Equal(t, []float64{2, 2}, []float64{one.Value, one.SE})
		assert.True(t, math.IsNaN(one.PredictionLow))
		assert.Equal(t, []string{"one-study"}, statstest.WarningIDs(one.Warnings))
		y, v := bcg()
		a, err := meta.Meta(y, v, m, true, .9)
		require.NoError(t, err)
		for i := range y {
			y[i] *= -10
			v[i] *= 100
		}
		b, err := meta.Meta(y, v, m, true, .9)
		require.NoError(t, err)
		assert.InDelta(t, -10*a.Value, b.Value, 1e-7, m)
		assert.InDelta(t, -10*a.High, b.Low, 1e-7, m)
		assert.InDelta(t, a.I2, b.I2, 1e-6, m)
	}
	_, err := meta.Meta([]float64{1, 2}, []float64{1, 0}, meta.RestrictedML, false, .95)
	require.ErrorContains(t, err, "variance 1")
	_, err = meta.Meta([]float64{1, 2}, []float64{1, 1}, "other", false, .95)
	require.Error(t, err)
	few, err := meta.Meta([]float64{1, 1.01, .99}, []float64{1, 1, 1}, meta.PauleMandel, true, .95)
	require.NoError(t, err)
	assert.Equal(t, []string{"few-studies", "narrow-hartung-knapp"}, statstest.WarningIDs(few.Warnings))
}

// The upper end of the normal prediction interval, metafor 3.8 on dat.bcg.
func TestNormalPredictionOfBCG(t *testing.T) {
	y, v := bcg()
	dl, err := meta.Meta(y, v, meta.DerSimonianLaird, false, .95)
	require.NoError(t, err)
	assert.InDelta(t, .4299193, dl.Value+1.959963984540054*math.Sqrt(dl.Tau2+numeric.Square(dl.SE)), 5e-8)
}
