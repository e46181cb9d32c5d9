package stats

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Numbers that are not finite in rows or comparisons are refused or said; so are
// too many pairs to list.
func TestBadRowsAndComparisons(t *testing.T) {
	_, err := MeanRow([]float64{1, math.NaN()}, 2, nil)
	require.ErrorContains(t, err, "row 0, column 1")
	_, err = MeanRow([]float64{1, 2}, 1, []float64{1, -1})
	require.ErrorContains(t, err, "weight of row 1")
	m := lawModel(3)
	f, err := FitLinear(m, CR2)
	require.NoError(t, err)
	e := f.Contrast([]float64{0, math.NaN(), 1}, .95)
	assert.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Low))
	assert.Equal(t, []string{"bad-contrast"}, warningIDs(e.Warnings))
	counts := make([]float64, len(m.Y))
	g, err := FitCount(CountModel{Names: m.Names, X: m.X, Y: append(counts[:0:0], append([]float64{3}, counts[1:]...)...), Cluster: m.Cluster}, Poisson, CR2)
	require.NoError(t, err)
	_, err = g.AdjustedMeans([]float64{1, math.Inf(1), 0}, []float64{1, 0, 0}, nil, .95)
	require.ErrorContains(t, err, "row 0, column 1")
	d := make([]float64, 7100)
	for i := range d {
		d[i] = math.Sin(float64(i)) + .1
	}
	r, err := SignedRank(d, .95)
	require.NoError(t, err)
	assert.True(t, math.IsNaN(r.Value) && r.P < 1e-6)
	assert.Equal(t, []string{"too-many-pairs"}, warningIDs(r.Warnings))
	p, err := FitPrediction([]float64{1, 2, 3, 4}, []float64{1, 2.5, 3, 4.2}, nil)
	require.NoError(t, err)
	for _, bad := range []Estimate{p.At(0, .9), p.At(-1, .9), p.At(2, 0), p.At(2, 1), p.At(math.Inf(1), .9)} {
		assert.Equal(t, []string{"bad-place"}, warningIDs(bad.Warnings))
		assert.True(t, math.IsNaN(bad.Low))
	}
	inside, total := p.HeldOut(0)
	assert.Zero(t, inside+total)
	line, err := FitPrediction([]float64{1, 2, 3, 4}, []float64{1, 2, 3, 4}, nil)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-spread"}, warningIDs(line.At(2, .9).Warnings))
}

// A comparison with a group that the rows do not tell apart is no number, nor is
// a ratio of it; a dropped column is not taken to be nought.
func TestAdjustedMeansOfDroppedColumns(t *testing.T) {
	m := CountModel{Names: []string{"1", "a", "same"}}
	var rows, other []float64
	for i := range 30 {
		a := float64(i % 2)
		m.X, m.Y, m.Cluster = append(m.X, 1, a, a), append(m.Y, float64(1+i%3)), append(m.Cluster, i/3)
		rows, other = append(rows, 1, 0, 1), append(other, 1, 0, 0)
	}
	f, err := FitCount(m, Poisson, CR2)
	require.NoError(t, err)
	e, err := f.AdjustedMeans(rows, other, nil, .95)
	require.NoError(t, err)
	for _, v := range []Estimate{e.First, e.Difference, e.Ratio} {
		assert.True(t, math.IsNaN(v.Value) && math.IsNaN(v.Low), v.Method)
		assert.Contains(t, warningIDs(v.Warnings), "not-estimable")
	}
	assert.False(t, math.IsNaN(e.Second.Value))
	l, err := FitLinear(LinearModel{Names: m.Names, X: m.X, Y: m.Y, Cluster: m.Cluster}, CR2)
	require.NoError(t, err)
	a := l.AdjustedMeans([]float64{1, 0, 1}, []float64{1, 0, 0}, .95)
	assert.Equal(t, []string{"not-estimable"}, warningIDs(a.Ratio.Warnings))
	assert.NotEmpty(t, a.Ratio.Method)
}

// Random signs: P counts the observed ones among them, (k+1)/(B+1), and so is
// never 0 (Davison & Hinkley 1997, equation 4.11).
func TestWildPOfRandomSigns(t *testing.T) {
	var y []float64
	var x [][]float64
	for i := range 40 {
		y, x = append(y, 50+math.Sin(float64(i*i))), append(x, []float64{1})
	}
	s := DefaultBootstrap()
	r, err := WildCluster(y, x, nil, 0, 0, .95, s)
	require.NoError(t, err)
	assert.InDelta(t, 1/float64(s.Replicates+1), r.P, 1e-15)
	r, err = WildCluster(y, x, nil, 0, 50, .95, s)
	require.NoError(t, err)
	k := r.P * float64(s.Replicates+1)
	assert.InDelta(t, math.Round(k), k, 1e-9)
	assert.Greater(t, k, 2.0)
}

// Every way to ask for a plan that is none is refused.
func TestPlansThatAreNone(t *testing.T) {
	v, s := CaseVariation{Exposure: 1, CV: .3}, DefaultPower()
	for _, c := range []struct {
		start, direction float64
		cases            int
	}{{-1, 1, 30}, {math.Inf(1), -1, 30}, {math.NaN(), 1, 30}, {1, .5, 30}, {1, 0, 30}, {1, 1, 0}} {
		_, err := DetectableRate(c.start, c.direction, c.cases, v, s)
		require.Error(t, err, "%v", c)
		_, err = DetectableProportion(c.start, c.direction, c.cases, Unclustered(), s)
		if c.start != 1 || c.direction != 1 || c.cases < 1 {
			require.Error(t, err, "%v", c)
		}
	}
	for _, bad := range []CaseVariation{{}, {Exposure: -1, CV: 1}, {Exposure: 1, CV: -1}, {Exposure: math.Inf(1)}, {Exposure: 1, CV: math.NaN()}} {
		_, err := DetectableRate(1, 1, 30, bad, s)
		require.Error(t, err, "%v", bad)
		_, err = SampleSizeRates(1, 2, bad, s)
		require.Error(t, err, "%v", bad)
	}
	for _, bad := range []PowerSettings{{}, {Alpha: .05}, {Alpha: .05, Power: 1}, {Alpha: .9, Power: .8}, {Alpha: math.NaN(), Power: .8}} {
		_, err := SampleSizeMeans(1, 1, Unclustered(), bad)
		require.Error(t, err, "%v", bad)
		assert.True(t, math.IsNaN(CasesToSettle(1, 1, 30, bad)))
	}
	for _, bad := range []Clustering{{}, {PerCase: .5}, {PerCase: 2, ICC: -.1}, {PerCase: 2, ICC: 1.1}, {PerCase: math.Inf(1)}} {
		_, err := SampleSizeMeans(1, 1, bad, s)
		require.Error(t, err, "%v", bad)
		_, err = DetectableMean(1, 30, bad, s)
		require.Error(t, err, "%v", bad)
	}
}
