package stats

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// arm is the design with one column set to v in every row.
func arm(x []float64, p, column int, v float64) []float64 {
	out := append([]float64(nil), x...)
	for i := column; i < len(out); i += p {
		out[i] = v
	}
	return out
}

// Standardised means of girls and boys, R: predictions averaged by hand with
// clubSandwich's CR2 (models.R, function standard).
func TestAdjustedMeans(t *testing.T) {
	r := reference(t, "linear/orthodont-66")
	f, err := FitLinear(r.linear(), CR2)
	require.NoError(t, err)
	girls, err := MeanRow(arm(r.X, 3, 2, 1), 3, nil)
	require.NoError(t, err)
	boys, err := MeanRow(arm(r.X, 3, 2, 0), 3, nil)
	require.NoError(t, err)
	a := f.AdjustedMeans(girls, boys, 0.95)
	compareAdjusted(t, r.Adjusted, a)
	sex := f.Contrast([]float64{0, 0, 1}, 0.95)
	near(t, sex.Value, a.Difference.Value, 1e-10, 0)
	near(t, sex.DF, a.Difference.DF, 1e-9, 0)
	near(t, a.Ratio.Value, math.Sqrt(a.Ratio.Low*a.Ratio.High), 1e-12, 0)

	same := f.AdjustedMeans(girls, girls, 0.95)
	assert.Equal(t, 1.0, same.Ratio.Value)
	assert.Zero(t, same.Difference.Value)
	_, err = MeanRow([]float64{1, 2}, 3, nil)
	assert.Error(t, err)
	_, err = MeanRow([]float64{1, 2}, 2, []float64{0})
	assert.Error(t, err)
}

func compareAdjusted(t *testing.T, want []float64, a AdjustedMeans) {
	t.Helper()
	for k, e := range []Estimate{a.First, a.Second, a.Difference, a.Ratio} {
		near(t, want[2*k], e.Value, 1e-6, 0, k, "value")
		near(t, want[2*k+1], e.SE, 1e-6, 0, k, "SE")
		assert.True(t, e.Low < e.Value && e.Value < e.High)
	}
}

// Expected days away standardised over the children of MASS::quine (glm.nb,
// sandwich::vcovHC HC0, delta method by hand in models.R).
func TestAdjustedCounts(t *testing.T) {
	r := reference(t, "count/quine")
	m, family := r.count()
	f, err := FitCount(m, family, CR0)
	require.NoError(t, err)
	p := len(r.Names)
	a, err := f.AdjustedMeans(arm(r.X, p, 1, 1), arm(r.X, p, 1, 0), nil, 0.95)
	require.NoError(t, err)
	compareAdjusted(t, r.Adjusted, a)
	near(t, math.Exp(f.Coef[1]), a.Ratio.Value, 1e-10, 0, "no interaction: the ratio is the rate ratio")
	_, err = f.AdjustedMeans([]float64{1}, []float64{1}, nil, 0.95)
	assert.Error(t, err)
}

// With an interaction, the standardised difference is that at the mean of the
// other column, and the difference at two amounts differs by the product's
// coefficient.
func TestInteraction(t *testing.T) {
	r := reference(t, "mixed/orthodont-product") // 1, age, Sex, age x Sex
	m := LinearModel{Names: r.Names, X: r.X, Y: r.Y, Cluster: r.Cluster}
	f, err := FitLinear(m, CR2)
	require.NoError(t, err)
	rows := func(sex float64) []float64 {
		x := arm(r.X, 4, 2, sex)
		for i := 0; i < len(x); i += 4 {
			x[i+3] = x[i+1] * sex
		}
		return x
	}
	girls, err := MeanRow(rows(1), 4, nil)
	require.NoError(t, err)
	boys, err := MeanRow(rows(0), 4, nil)
	require.NoError(t, err)
	d := f.AdjustedMeans(girls, boys, 0.95).Difference
	at11 := f.Contrast([]float64{0, 0, 1, 11}, 0.95) // mean age 11
	near(t, at11.Value, d.Value, 1e-10, 0)
	near(t, at11.SE, d.SE, 1e-10, 0)
	at14, at8 := f.Contrast([]float64{0, 0, 1, 14}, 0.95), f.Contrast([]float64{0, 0, 1, 8}, 0.95)
	near(t, 6*f.Coef[3], at14.Value-at8.Value, 1e-9, 0)
}

// Student's sleep data (datasets::sleep), margin 1 to 3, t.test of R.
func TestEquivalenceAgainstR(t *testing.T) {
	r := reference(t, "equivalence")
	e := Estimate{Value: r.Value[0], SE: r.SE[0], DF: r.DF[0]}
	got, err := TestEquivalence(e, 1, 3, 0.05)
	require.NoError(t, err)
	near(t, r.P[0], got.P, 1e-9, 0)
	near(t, r.Limits[0], got.IntervalLow, 1e-9, 0)
	near(t, r.Limits[1], got.IntervalHigh, 1e-9, 0)
	assert.Equal(t, got.P < 0.05, got.Equivalent)

	// Law: equivalent exactly where the 1 - 2 alpha interval is inside the margin.
	for _, half := range []float64{.1, .5, .7, .8, 1, 2, 4} {
		got, err := TestEquivalence(e, e.Value-half, e.Value+half, 0.05)
		require.NoError(t, err)
		inside := got.IntervalLow > got.Low && got.IntervalHigh < got.High
		assert.Equal(t, inside, got.Equivalent, "half width %v", half)
		assert.True(t, got.P >= 0 && got.P <= 1)
		mirror, err := TestEquivalence(Estimate{Value: -e.Value, SE: e.SE, DF: e.DF}, -got.High, -got.Low, 0.05)
		require.NoError(t, err)
		near(t, got.P, mirror.P, 1e-12, 0, "arms swapped")
	}
	_, err = TestEquivalence(e, 3, 1, 0.05)
	assert.Error(t, err)
	_, err = TestEquivalence(e, 1, 3, 0)
	assert.Error(t, err)
	got, err = TestEquivalence(Estimate{SE: math.NaN()}, 1, 3, 0.05)
	require.NoError(t, err)
	assert.False(t, got.Equivalent)
}

// Drivers killed or hurt and the seat belt law (datasets::Seatbelts), months
// clustered in years, against lm and clubSandwich (case "segmented").
func TestSegmentedAgainstR(t *testing.T) {
	r := reference(t, "linear/segmented") // 1, time-170, law, (time-170) law, kms
	m := SegmentedModel{Y: r.Y, Change: 170, Cluster: r.Cluster, CovariateNames: []string{"kms"}}
	for i := range r.Y {
		m.Time = append(m.Time, r.X[5*i+1]+170)
		m.Covariates = append(m.Covariates, r.X[5*i+4])
	}
	s, err := FitSegmented(m, CR2, 0.95)
	require.NoError(t, err)
	f, err := FitLinear(LinearModel{Names: r.Names, X: r.X, Y: r.Y, Cluster: r.Cluster}, CR2)
	require.NoError(t, err)
	// R's formula orders the product last.
	for j, name := range map[int]string{1: "I(time - 170)", 2: "law"} {
		assert.Equal(t, name, r.Names[j])
	}
	product := 0
	for j, name := range r.Names {
		if name == "I((time - 170) * law)" {
			product = j
		}
	}
	require.Positive(t, product)
	both := unit(5, 1)
	both[product] = 1
	for _, c := range []struct {
		got  Estimate
		want []float64
	}{{s.Level, unit(5, 0)}, {s.TrendBefore, unit(5, 1)}, {s.Step, unit(5, 2)}, {s.TrendChange, unit(5, product)}, {s.TrendAfter, both}} {
		want := f.Contrast(c.want, 0.95)
		near(t, want.Value, c.got.Value, 1e-9, 0)
		near(t, want.SE, c.got.SE, 1e-9, 0)
		near(t, want.DF, c.got.DF, 1e-8, 0)
	}
	near(t, r.Coef[2], s.Step.Value, 1e-9, 0, "step against R")
	assert.Negative(t, s.Step.Value)
	m.Time = m.Time[1:]
	_, err = FitSegmented(m, CR2, 0.95)
	assert.Error(t, err)
}
