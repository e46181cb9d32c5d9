package statstest

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats"
)

// LawData is 24 cases of 1 to 9 rows with spread between them.
func LawData(seed uint64) (num, den []float64, cluster []int) {
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

// SameEstimate compares two estimates, number by number.
func SameEstimate(t *testing.T, want, got stats.Estimate, tolerance float64, message string) {
	t.Helper()
	for _, v := range [][2]float64{{want.Value, got.Value}, {want.SE, got.SE}, {want.Low, got.Low}, {want.High, got.High}} {
		if math.IsNaN(v[0]) {
			assert.True(t, math.IsNaN(v[1]), message)
			continue
		}
		assert.InDelta(t, v[0], v[1], tolerance*(1+math.Abs(v[0])), message)
	}
}

// Flat lists estimates as one row of numbers: value, SE, low, high of each.
func Flat(all ...stats.Estimate) (out []float64) {
	for _, e := range all {
		out = append(out, e.Value, e.SE, e.Low, e.High)
	}
	return out
}

// An invented two-arm data set: treatment within cases, planned amount, uneven
// clusters. Y is positive; counts are made of it by rounding.
func LawModel(seed uint64) stats.LinearModel {
	r := rand.New(rand.NewPCG(seed, 4))
	m := stats.LinearModel{Names: []string{"1", "treated", "planned"}}
	for c := range 14 {
		shift := r.NormFloat64()
		for range 2 + r.IntN(6) {
			treated, planned := float64(r.IntN(2)), 1+3*r.Float64()
			m.X = append(m.X, 1, treated, planned)
			m.Y = append(m.Y, math.Abs(4+shift+.6*treated+.8*planned+r.NormFloat64()))
			m.Weights = append(m.Weights, .5+r.Float64())
			m.Cluster = append(m.Cluster, 100-7*c)
		}
	}
	return m
}

// Clone copies what a law changes.
func Clone(m stats.LinearModel) stats.LinearModel {
	m.X, m.Y = append([]float64(nil), m.X...), append([]float64(nil), m.Y...)
	m.Weights, m.Cluster = append([]float64(nil), m.Weights...), append([]int(nil), m.Cluster...)
	return m
}
