package robust

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/internal/statstest"
)

// Least squares, CR0 to CR3, Satterthwaite df and the joint test against R's
// lm and clubSandwich (worked values of the growth data among them).
func TestLinearAgainstR(t *testing.T) {
	statstest.EachReference(t, "linear", 14, func(t *testing.T, r *statstest.ModelReference) {
		r = withoutDropped(t, r)
		for v, raw := range map[stats.Variance]json.RawMessage{stats.CR0: r.CR0, stats.CR1: r.CR1, stats.CR2: r.CR2, stats.CR3: r.CR3} {
			if raw == nil {
				continue
			}
			var want statstest.RobustReference
			require.NoError(t, json.Unmarshal(raw, &want))
			f, err := FitLinear(r.Linear(), v)
			require.NoError(t, err)
			size := 0.0
			for _, c := range r.Coef {
				if !math.IsNaN(c) {
					size = math.Max(size, math.Abs(c))
				}
			}
			for j := range r.Names {
				statstest.Near(t, r.Coef[j], f.Coef[j], 1e-9, size*1e-3, r.Names[j])
				e := f.Contrast(statstest.Unit(len(r.Names), j), 0.95)
				if math.IsNaN(e.SE) { // determined by one cluster: R gives an arbitrary number
					assert.Equal(t, "one-case-determines", e.Warnings[0].ID, r.Names[j])
					assert.Greater(t, len(r.Names), 6, "only cluster effects are allowed here")
					continue
				}
				statstest.Near(t, want.SE[j], e.SE, 1e-8, 0, v, r.Names[j], "SE")
				statstest.Near(t, want.DF[j], e.DF, 1e-6, 0, v, r.Names[j], "df")
				statstest.Near(t, want.P[j], e.P, 1e-6, 1e-12, v, r.Names[j], "P")
				if !r.Inverse {
					statstest.Near(t, r.ModelSE[j], f.ModelContrast(statstest.Unit(len(r.Names), j), 0.95).SE, 1e-8, 0, "model SE")
				}
			}
			if v == stats.CR2 && r.Joint != nil {
				var cs [][]float64
				for j, name := range r.Names {
					if name != "(Intercept)" && !math.IsNaN(r.Coef[j]) {
						cs = append(cs, statstest.Unit(len(r.Names), j))
					}
				}
				got := f.JointTest(cs)
				statstest.Near(t, r.Joint.F[0], got.F, 1e-7, 0, "joint F")
				statstest.Near(t, r.Joint.DF2[0], got.DF2, 1e-7, 0, "joint df")
				statstest.Near(t, r.Joint.P[0], got.P, 1e-6, 1e-12, "joint P")
			}
		}
	})
}

// withoutDropped checks that the columns R drops are dropped here, and that what
// they make inestimable is refused (R prints it as if the dropped coefficient
// were known to be zero), then leaves them out.
func withoutDropped(t *testing.T, r *statstest.ModelReference) *statstest.ModelReference {
	f, err := FitLinear(r.Linear(), stats.CR0)
	require.NoError(t, err)
	p := len(r.Names)
	drop := map[int]bool{}
	for j := range p {
		if math.IsNaN(r.Coef[j]) {
			drop[j] = true
			assert.Contains(t, f.Dropped, r.Names[j])
			assert.Equal(t, "not-estimable", f.Contrast(statstest.Unit(p, j), 0.95).Warnings[0].ID)
		}
	}
	require.Len(t, f.Dropped, len(drop))
	out := *r
	keep := func(v []float64) (kept statstest.Numbers) {
		for i, x := range v {
			if !drop[i%p] {
				kept = append(kept, x)
			}
		}
		return kept
	}
	out.X, out.Coef, out.ModelSE, out.Names = keep(r.X), keep(r.Coef), keep(r.ModelSE), nil
	for j, name := range r.Names {
		if !drop[j] {
			out.Names = append(out.Names, name)
		}
	}
	for raw, v := range map[*json.RawMessage]json.RawMessage{&out.CR0: r.CR0, &out.CR1: r.CR1, &out.CR2: r.CR2} {
		if v != nil && len(drop) > 0 {
			var ref statstest.RobustReference
			require.NoError(t, json.Unmarshal(v, &ref))
			*raw, err = json.Marshal(map[string][]float64{"se": keep(ref.SE), "df": keep(ref.DF), "p": keep(ref.P)})
			require.NoError(t, err)
		}
	}
	return &out
}

// Published values: clubSandwich's panel vignette prints, for the legal age on
// motor vehicle mortality, 7.59, CR1 SE 2.44, CR2 SE 2.51 on 24.58 df, P .00583,
// and for the beer tax 3.82, CR2 SE 5.27 on 5.77 df, P .497.
func TestMortalityVignette(t *testing.T) {
	r := statstest.Reference(t, "linear/mortality")
	f, err := FitLinear(r.Linear(), stats.CR2)
	require.NoError(t, err)
	e := f.Contrast(statstest.Unit(len(r.Names), 0), 0.95)
	assert.InDelta(t, 7.59, e.Value, 5e-3)
	assert.InDelta(t, 2.51, e.SE, 5e-3)
	assert.InDelta(t, 24.58, e.DF, 5e-3)
	assert.InDelta(t, .00583, e.P, 5e-6)
	e = f.Contrast(statstest.Unit(len(r.Names), 1), 0.95)
	assert.InDelta(t, 3.82, e.Value, 5e-3)
	assert.InDelta(t, 5.27, e.SE, 5e-3)
	assert.InDelta(t, 5.77, e.DF, 5e-3)
	assert.InDelta(t, .497, e.P, 5e-4)
}

// Growth of children's jaws (Potthoff & Roy 1964, nlme::Orthodont), CR2 of
// lm(distance ~ age + Sex), clubSandwich 0.5.8: SE .9094715762, .0712532708,
// .7822012116, df 25.919234, 26, 21.653465, P(Sex) .0071924260.
func TestGrowthCR2(t *testing.T) {
	r := statstest.Reference(t, "linear/orthodont")
	f, err := FitLinear(r.Linear(), stats.CR2)
	require.NoError(t, err)
	for j, want := range [][3]float64{{17.706712963, .9094715762, 25.919234}, {.660185185, .0712532708, 26}, {-2.321022727, .7822012116, 21.653465}} {
		e := f.Contrast(statstest.Unit(3, j), 0.95)
		assert.InDelta(t, want[0], e.Value, 1e-8)
		assert.InDelta(t, want[1], e.SE, 1e-9)
		assert.InDelta(t, want[2], e.DF, 1e-5)
	}
	assert.InDelta(t, .0071924260, f.Contrast(statstest.Unit(3, 2), 0.95).P, 1e-9)
}

// A contrast the data cannot estimate is refused, one they can is the same
// whichever column was dropped.
func TestRankDeficientContrasts(t *testing.T) {
	// Two arms and an intercept: 1, a, b with a + b = 1.
	m := stats.LinearModel{Names: []string{"1", "a", "b"}}
	for i := range 12 {
		a := float64(i % 2)
		m.X = append(m.X, 1, a, 1-a)
		m.Y = append(m.Y, float64(i*i%7)+a)
		m.Cluster = append(m.Cluster, i/3)
	}
	f, err := FitLinear(m, stats.CR2)
	require.NoError(t, err)
	assert.Equal(t, []string{"b"}, f.Dropped)
	assert.Equal(t, "dependent-column", f.Warnings[0].ID)
	diff := f.Contrast([]float64{0, 1, -1}, 0.95)
	bad := f.Contrast([]float64{0, 1, 0}, 0.95)
	assert.True(t, math.IsNaN(bad.Value) && math.IsNaN(bad.SE))
	assert.Equal(t, "not-estimable", bad.Warnings[0].ID)

	full := stats.LinearModel{Names: []string{"1", "a"}, Y: m.Y, Cluster: m.Cluster}
	for i := range m.Y {
		full.X = append(full.X, 1, m.X[3*i+1])
	}
	g, err := FitLinear(full, stats.CR2)
	require.NoError(t, err)
	want := g.Contrast([]float64{0, 1}, 0.95)
	assert.InDelta(t, want.Value, diff.Value, 1e-12)
	assert.InDelta(t, want.SE, diff.SE, 1e-12)
	assert.InDelta(t, want.DF, diff.DF, 1e-9)
}

// A coefficient that one cluster alone determines gets no interval.
func TestOneCaseDetermines(t *testing.T) {
	m := stats.LinearModel{Names: []string{"1", "treated"}}
	for i := range 20 {
		x := 0.0
		if i < 4 {
			x = 1 // all of cluster 0
		}
		m.X = append(m.X, 1, x)
		m.Y = append(m.Y, float64(i*7%5))
		m.Cluster = append(m.Cluster, i/4)
	}
	f, err := FitLinear(m, stats.CR2)
	require.NoError(t, err)
	e := f.Contrast([]float64{1, 1}, 0.95)
	assert.True(t, math.IsNaN(e.Low) && math.IsNaN(e.P))
	assert.Equal(t, "one-case-determines", e.Warnings[0].ID)
}

func TestLinearRefusesBadInput(t *testing.T) {
	good := func() stats.LinearModel {
		return stats.LinearModel{Names: []string{"1"}, X: []float64{1, 1, 1}, Y: []float64{1, 2, 4}}
	}
	for name, spoil := range map[string]func(*stats.LinearModel){
		"short design": func(m *stats.LinearModel) { m.X = m.X[:2] }, "clusters": func(m *stats.LinearModel) { m.Cluster = []int{1} },
		"outcome": func(m *stats.LinearModel) { m.Y[1] = math.NaN() }, "column": func(m *stats.LinearModel) { m.X[2] = math.Inf(1) },
		"weight": func(m *stats.LinearModel) { m.Weights = []float64{1, 0, 1} }, "weights": func(m *stats.LinearModel) { m.Weights = []float64{1} },
		"no rows": func(m *stats.LinearModel) { m.X, m.Y = nil, nil }, "no columns": func(m *stats.LinearModel) { m.Names, m.X = nil, nil },
	} {
		m := good()
		spoil(&m)
		_, err := FitLinear(m, stats.CR2)
		assert.Error(t, err, name)
	}
	_, err := FitLinear(good(), stats.Variance(7))
	assert.Error(t, err)
	f, err := FitLinear(good(), stats.CR2)
	require.NoError(t, err)
	assert.Panics(t, func() { f.Contrast([]float64{1, 2}, 0.95) })
	assert.Panics(t, func() { f.Contrast([]float64{1}, 0) })
}
