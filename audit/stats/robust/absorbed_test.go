package robust

import (
	_ "embed"
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
)

//go:embed testdata/absorbed.json
var absorbedJSON []byte

// Reference values of testdata/absorbed.json, made by absorbed.R beside it (R
// 4.2.2, clubSandwich 0.5.8 on lm with dummies, plm).
type absorbedReference struct {
	Names          []string
	X, Y, Weights  []float64
	Group, Cluster []int
	Coef, Without  statstest.Numbers
	Rows, Identity absorbedVariance
	Plm            *absorbedVariance
	Sigma          statstest.Numbers
	Source, Call   string
}

type absorbedVariance struct{ Coef, SE, DF, P, Joint statstest.Numbers }

func (r absorbedReference) model(root Root) AbsorbedModel {
	return AbsorbedModel{Names: r.Names, X: r.X, Y: r.Y, Weights: r.Weights, Group: r.Group, Cluster: r.Cluster, Root: root}
}

func absorbedReferences(t *testing.T) map[string]absorbedReference {
	t.Helper()
	var all struct{ Cases map[string]absorbedReference }
	require.NoError(t, json.Unmarshal(absorbedJSON, &all))
	require.GreaterOrEqual(t, len(all.Cases), 15)
	return all.Cases
}

// Coefficients, both roots, degrees of freedom, P, the joint test and every
// leave-one-out estimate against R; plm's within estimator where R has one.
func TestAbsorbedAgainstR(t *testing.T) {
	within := 0
	for id, r := range absorbedReferences(t) {
		t.Run(id, func(t *testing.T) {
			p := len(r.Names)
			for root, want := range map[Root]absorbedVariance{WeightedRows: r.Rows, IdentityTarget: r.Identity} {
				f, err := FitAbsorbed(r.model(root))
				require.NoError(t, err)
				for j := range p {
					statstest.Near(t, r.Coef[j], f.Coef[j], 1e-9, 1e-3, r.Names[j])
					e := f.Contrast(statstest.Unit(p, j), .95)
					statstest.Near(t, want.SE[j], e.SE, 1e-7, 0, root, r.Names[j], "SE")
					statstest.Near(t, want.DF[j], e.DF, 1e-6, 0, root, r.Names[j], "df")
					statstest.Near(t, want.P[j], e.P, 1e-6, 1e-12, root, r.Names[j], "P")
					for k, one := range f.Influence(statstest.Unit(p, j)) {
						statstest.Near(t, r.Without[k*p+j], one.Without, 1e-8, math.Abs(r.Coef[j]), "without", one.Cluster)
					}
				}
				if p > 1 {
					var all [][]float64
					for j := range p {
						all = append(all, statstest.Unit(p, j))
					}
					got := f.JointTest(all)
					if want.Joint[1] > 0 {
						statstest.Near(t, want.Joint[0], got.F, 1e-6, 0, root, "F")
						statstest.Near(t, want.Joint[1], got.DF2, 1e-6, 0, root, "df")
					}
				}
				if root == WeightedRows {
					statstest.Near(t, r.Sigma[0], math.Sqrt(f.RSS/f.DF), 1e-9, 0, "sigma")
				}
				if r.Plm != nil && root == WeightedRows {
					within++
					for j := range p {
						statstest.Near(t, r.Plm.Coef[j], f.Coef[j], 1e-9, 1e-3, "plm")
						statstest.Near(t, r.Plm.SE[j], f.Contrast(statstest.Unit(p, j), .95).SE, 1e-7, 0, "plm")
						statstest.Near(t, r.Plm.DF[j], f.Contrast(statstest.Unit(p, j), .95).DF, 1e-6, 0, "plm")
					}
				}
			}
		})
	}
	assert.Equal(t, 4, within)
}

// absorbedData is a practice: cases of uneven size with one or two courses, some
// with one style only.
func absorbedData(seed uint64, cases int) AbsorbedModel {
	r := rand.New(rand.NewPCG(7, seed))
	m := AbsorbedModel{Names: []string{"style", "planned", "squared"}}
	for c := range cases {
		share := []float64{0, .3, .5, .8, 1}[r.IntN(5)]
		level := .2 * r.NormFloat64()
		for course := range 1 + r.IntN(2) {
			for range 1 + r.IntN(9) {
				z, plan := statstest.Indicator(r.Float64() < share), math.Exp(.4*r.NormFloat64())
				m.X = append(m.X, z, plan, plan*plan)
				m.Y = append(m.Y, .6+level+.1*z-.05*plan+.25*r.NormFloat64())
				m.Weights = append(m.Weights, plan)
				m.Group, m.Cluster = append(m.Group, 10*c+course), append(m.Cluster, c)
			}
		}
	}
	return m
}

func (m AbsorbedModel) order(to []int) AbsorbedModel {
	out, p := AbsorbedModel{Names: m.Names, Root: m.Root}, len(m.Names)
	for _, i := range to {
		out.X = append(out.X, m.X[i*p:(i+1)*p]...)
		out.Y, out.Weights = append(out.Y, m.Y[i]), append(out.Weights, m.Weights[i])
		out.Group, out.Cluster = append(out.Group, m.Group[i]), append(out.Cluster, m.Cluster[i])
	}
	return out
}

func absorbedFit(t *testing.T, m AbsorbedModel) *AbsorbedFit {
	t.Helper()
	f, err := FitAbsorbed(m)
	require.NoError(t, err)
	return f
}

// A million rows of 25,000 cases in seconds, both roots and all of Influence.
func TestAbsorbedIsFast(t *testing.T) {
	if testing.Short() {
		t.Skip("large")
	}
	m := AbsorbedModel{Names: []string{"style", "planned", "squared"}}
	r, n := rand.New(rand.NewPCG(1, 2)), 50_000
	if os.Getenv("SHORTFALL_LONG") != "" {
		n = 1_000_000
	}
	for i := range n {
		z, plan := float64(r.IntN(2)), r.Float64()
		m.X = append(m.X, z, plan, plan*plan)
		m.Y, m.Weights = append(m.Y, r.NormFloat64()+.1*z), append(m.Weights, .1+plan)
		m.Group, m.Cluster = append(m.Group, i/20), append(m.Cluster, i/40)
	}
	for _, root := range []Root{WeightedRows, IdentityTarget} {
		m.Root = root
		start := time.Now()
		f := absorbedFit(t, m)
		e := f.Contrast([]float64{1, 0, 0}, .95)
		assert.InDelta(t, .1, e.Value, .02)
		assert.Len(t, f.Influence([]float64{1, 0, 0}), n/40)
		t.Logf("%v: %v", root, time.Since(start))
		assert.Less(t, time.Since(start), time.Minute)
	}
}

// A case that alone varies decides, and says so; cases of one style count for
// nothing; without it there is no estimate.
func TestAbsorbedOfOneMouth(t *testing.T) {
	m := AbsorbedModel{
		Names: []string{"style"}, X: []float64{0, 1, 0, 0, 1, 1}, Y: []float64{1, 3, 2, 4, 5, 8},
		Cluster: []int{1, 1, 2, 2, 3, 3},
	}
	f := absorbedFit(t, m)
	e := f.Contrast([]float64{1}, .95)
	assert.Equal(t, 2.0, e.Value)
	assert.Equal(t, 1, e.Clusters)
	assert.Equal(t, 2, e.N)
	assert.Equal(t, []string{"one-case"}, statstest.WarningIDs(e.Warnings))
	all := f.Influence([]float64{1})
	assert.True(t, math.IsNaN(all[0].Without))
	assert.Equal(t, 2.0, all[1].Without)
	assert.Equal(t, []int{2, 0, 0}, []int{all[0].Rows, all[1].Rows, all[2].Rows})

	m.X = []float64{0, 0, 1, 1, 1, 1} // styles in different patients
	f = absorbedFit(t, m)
	assert.Equal(t, []string{"style"}, f.Dropped)
	e = f.Contrast([]float64{1}, .95)
	assert.True(t, math.IsNaN(e.Value))
	assert.Equal(t, 0, e.Clusters)
	assert.Equal(t, "not-estimable", e.Warnings[0].ID)
	assert.Nil(t, f.Influence([]float64{1}))
}

// A column constant within groups but for rounding is no column.
func TestAbsorbedRoundingIsNoSpread(t *testing.T) {
	m := AbsorbedModel{Names: []string{"style", "month"}}
	for c := range 12 {
		for k := range 5 {
			m.X = append(m.X, float64((k+c)%2), .1*float64(c+3)*3e5*(1+1e-14*float64(k)))
			m.Y, m.Cluster = append(m.Y, float64(k*k%3)+float64(c)*1e6), append(m.Cluster, c)
			m.Weights = append(m.Weights, .1+float64(k)/3)
		}
	}
	f := absorbedFit(t, m)
	assert.Equal(t, []string{"month"}, f.Dropped)
	for i := range m.Y { // the level of a case, however large, costs no digits
		m.Y[i] -= float64(m.Cluster[i]) * 1e6
	}
	assert.InDelta(t, absorbedFit(t, m).Coef[0], f.Coef[0], 1e-8)
}

// Leaving a case out can take an adjuster with it; the estimate is then that of the
// model without the adjuster.
func TestInfluenceWhereAColumnGoesWithTheCase(t *testing.T) {
	m := absorbedData(3, 30)
	m.Names = append(slices.Clone(m.Names), "one case's own")
	var x []float64
	first := m.Cluster[0]
	n := 0
	for i := range m.Y {
		own := 0.0
		if m.Cluster[i] == first {
			own = float64(n % 2)
			n++
		}
		x = append(append(x, m.X[i*3:(i+1)*3]...), own)
	}
	m.X = x
	f := absorbedFit(t, m)
	require.Empty(t, f.Dropped)
	left, err := f.Without(first)
	require.NoError(t, err)
	assert.Equal(t, []string{"one case's own"}, left.Dropped)
	assert.InDelta(t, left.Coef[0], f.Influence(statstest.Unit(4, 0))[0].Without, 1e-10)
}

func TestAbsorbedRefuses(t *testing.T) {
	good := absorbedData(1, 6)
	for name, c := range map[string]struct {
		change func(m *AbsorbedModel)
		want   string
	}{
		"no clusters":    {func(m *AbsorbedModel) { m.Cluster = nil }, "cluster ids"},
		"group astride":  {func(m *AbsorbedModel) { m.Group[0] = m.Group[len(m.Group)-1] }, "lies in clusters"},
		"weight":         {func(m *AbsorbedModel) { m.Weights[2] = 0 }, "weight of row 2"},
		"NaN":            {func(m *AbsorbedModel) { m.Y[1] = math.NaN() }, "outcome of row 1"},
		"short groups":   {func(m *AbsorbedModel) { m.Group = m.Group[1:] }, "group ids"},
		"shape":          {func(m *AbsorbedModel) { m.X = m.X[1:] }, "design of"},
		"unknown root":   {func(m *AbsorbedModel) { m.Root = 9 }, "unknown root"},
		"no rows at all": {func(m *AbsorbedModel) { *m = AbsorbedModel{Names: m.Names, Cluster: []int{}} }, "no rows"},
	} {
		m := good.order(rand.New(rand.NewPCG(1, 1)).Perm(len(good.Y)))
		c.change(&m)
		_, err := FitAbsorbed(m)
		assert.ErrorContains(t, err, c.want, name)
	}
	_, err := absorbedFit(t, good).Without(999)
	assert.ErrorContains(t, err, "cluster 999")
}

// The truth is covered where responders differ and their clinicians choose by it,
// which fools a comparison between patients. Invented data.
func TestCoverageOfAbsorbed(t *testing.T) {
	runs := statstest.CoverageRuns()
	for _, root := range []Root{WeightedRows, IdentityTarget} {
		r, held := rand.New(rand.NewPCG(8, 9)), 0
		for range runs {
			m := AbsorbedModel{Names: []string{"style", "planned"}, Root: root}
			for c := range 30 {
				level := .2 * r.NormFloat64()
				for range 3 + r.IntN(8) {
					z, plan := statstest.Indicator(level+.3*r.NormFloat64() < 0), 1+r.Float64()
					m.X = append(m.X, z, plan)
					m.Y = append(m.Y, .6+level+.1*z-.1*plan+.25*r.NormFloat64())
					m.Weights, m.Cluster = append(m.Weights, plan), append(m.Cluster, c)
				}
			}
			held += statstest.Covers(absorbedFit(t, m).Contrast([]float64{1, 0}, .95), .1)
		}
		t.Logf("%v: %.3f", root, float64(held)/float64(runs))
		assert.InDelta(t, .95, float64(held)/float64(runs), .01+statstest.CoverageSlack(runs), root)
	}
}
