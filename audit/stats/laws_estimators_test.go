package stats_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/agree"
	"shortfall/audit/stats/confound"
	"shortfall/audit/stats/control"
	"shortfall/audit/stats/glm"
	"shortfall/audit/stats/internal/statstest"
	"shortfall/audit/stats/meta"
	"shortfall/audit/stats/robust"
)

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
	bySpread := func(x, v []float64, m meta.MetaMethod) meta.MetaResult {
		r, err := meta.Meta(x, v, m, true, .95)
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
		{"Quantiles", []float64{1, 1, 1}, func(x, _ []float64, _ []int) []float64 { return stats.Quantiles(x, .1, .5, .77) }},
		{"Overdispersion", []float64{0, 0, 2}, func(x, y []float64, _ []int) []float64 {
			r, err := control.Overdispersion(x, squares(y), 0, .1)
			require.NoError(t, err)
			return []float64{r.Phi, r.P, r.Tau2}
		}},
		{"FitPrediction", append(slices.Clone(one), 0), func(x, y []float64, cluster []int) []float64 {
			scale := stats.Quantiles(y, .5)[0] // a place on the line in the unit of the data
			f, err := robust.FitPrediction(y, x, cluster)
			require.NoError(t, err)
			inside, total := f.HeldOut(.8)
			return append(statstest.Flat(f.At(scale, .8)), float64(inside)/float64(total))
		}},
		{"IntraclassCorrelations", append(append(slices.Clone(none), none...), none...), func(x, y []float64, _ []int) []float64 {
			var table [][]float64
			for i := range x {
				table = append(table, []float64{x[i], y[i]})
			}
			r, err := agree.IntraclassCorrelations(table, .95)
			require.NoError(t, err)
			return statstest.Flat(r.OneWay, r.Agreement, r.Consistency)
		}},
		{"StandardizedMeanDifference", []float64{0}, func(x, y []float64, _ []int) []float64 {
			return []float64{confound.StandardizedMeanDifference(x, y)}
		}},
	}
	for _, m := range []meta.MetaMethod{meta.EqualEffects, meta.DerSimonianLaird, meta.RestrictedML, meta.MaximumLikelihood, meta.PauleMandel} {
		all = append(all, rowEstimator{"Meta " + string(m), append(slices.Clone(one), 2, 0), func(x, y []float64, _ []int) []float64 {
			r := bySpread(x, squares(y), m)
			return append(statstest.Flat(r.Estimate), r.Tau2, r.I2)
		}})
	}
	return all
}

// Neither the order of rows nor the names of cases matter; units carry through.
func TestLawsOfRowEstimators(t *testing.T) {
	x, y, cluster := statstest.LawData(11)
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
				statstest.Near(t, want, moved[i], 1e-6, 1e-3, "order and names", i)
				statstest.Near(t, want*math.Pow(25.4, m.unit[i]), scaled[i], 1e-5, 1e-3, "unit", i)
			}
		})
	}
}

// Segmented fits: time counted from elsewhere or in other units moves
// nothing but the slopes, by the unit. A count model of a constant exposure
// shifts by its logarithm alone.
func TestLawsOfSegmentedAndOffset(t *testing.T) {
	_, y, cluster := statstest.LawData(14)
	time, far, unit := make([]float64, len(y)), make([]float64, len(y)), make([]float64, len(y))
	for i := range y {
		time[i] = float64(i%17) - 8
		far[i], unit[i] = time[i]+1000, 12*time[i]
	}
	fit := func(time []float64, change float64) *robust.SegmentedFit {
		f, err := robust.FitSegmented(robust.SegmentedModel{Y: y, Time: time, Change: change, Cluster: cluster}, stats.CR2, .95)
		require.NoError(t, err)
		return f
	}
	a, b, c := fit(time, .5), fit(far, 1000.5), fit(unit, 6)
	for _, e := range [][3]stats.Estimate{{a.Level, b.Level, c.Level}, {a.Step, b.Step, c.Step}} {
		for i, want := range statstest.Flat(e[0]) {
			statstest.Near(t, want, statstest.Flat(e[1])[i], 1e-8, 1e-3, "another origin")
			statstest.Near(t, want, statstest.Flat(e[2])[i], 1e-8, 1e-3, "another unit")
		}
	}
	for _, e := range [][3]stats.Estimate{{a.TrendBefore, b.TrendBefore, c.TrendBefore}, {a.TrendChange, b.TrendChange, c.TrendChange}, {a.TrendAfter, b.TrendAfter, c.TrendAfter}} {
		for i, want := range statstest.Flat(e[0]) {
			statstest.Near(t, want, statstest.Flat(e[1])[i], 1e-8, 1e-3, "another origin")
			statstest.Near(t, want, 12*statstest.Flat(e[2])[i], 1e-8, 1e-3, "another unit")
		}
	}
	m := glm.CountModel{Names: []string{"1", "late"}, Cluster: cluster}
	for i := range y {
		m.X, m.Y, m.Offset = append(m.X, 1, statstest.Indicator(time[i] > 0)), append(m.Y, math.Floor(3*y[i])), append(m.Offset, math.Log(7))
	}
	for _, family := range []glm.CountFamily{glm.Poisson, glm.NegativeBinomial} {
		with, err := glm.FitCount(m, family, stats.CR2)
		require.NoError(t, err)
		bare := m
		bare.Offset = nil
		without, err := glm.FitCount(bare, family, stats.CR2)
		require.NoError(t, err)
		statstest.Near(t, without.Coef[0]-math.Log(7), with.Coef[0], 1e-7, 1)
		for i, want := range statstest.Flat(without.RateRatio([]float64{0, 1}, .95)) {
			statstest.Near(t, want, statstest.Flat(with.RateRatio([]float64{0, 1}, .95))[i], 1e-6, 1e-3, family)
		}
	}
}
