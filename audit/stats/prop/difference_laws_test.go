package prop

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// testdata/shares.R, R 4.2.2: prop.test(correct = FALSE) and fisher.test.
func TestShareDifferenceAgainstR(t *testing.T) {
	data, err := os.ReadFile("testdata/shares.json")
	require.NoError(t, err)
	var ref struct{ Rows [][7]float64 }
	require.NoError(t, json.Unmarshal(data, &ref))
	require.Len(t, ref.Rows, 10)
	for _, r := range ref.Rows {
		e := ShareDifference(int(r[0]), int(r[1]), int(r[2]), int(r[3]), .95)
		assert.InDelta(t, r[0]/r[1]-r[2]/r[3], e.Value, 1e-15, r)
		assert.InDelta(t, r[4], e.Low, 1e-9, r)
		assert.InDelta(t, r[5], e.High, 1e-9, r)
		assert.InDelta(t, r[6], e.P, 1e-9, r)
	}
}

// Newcombe 1998, table II, method 10, contrasts (a) and (d), from memory: 56/70 less
// 48/80 has 0.0524 to 0.3339, 5/56 less 0/29 has -0.0381 to 0.1926.
func TestShareDifferenceAsPublished(t *testing.T) {
	e := ShareDifference(56, 70, 48, 80, .95)
	assert.InDelta(t, .0524, e.Low, 5e-5)
	assert.InDelta(t, .3339, e.High, 5e-5)
	e = ShareDifference(5, 56, 0, 29, .95)
	assert.InDelta(t, -.0381, e.Low, 5e-5)
	assert.InDelta(t, .1926, e.High, 5e-5)
}

// Laws: the groups change places, the sign turns; event and no event likewise. Fisher's
// P of equal shares is above its level in no more than that share of samples.
func TestLawsOfShareDifference(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	called := 0
	for range 2000 {
		n1, n2 := 1+r.IntN(30), 1+r.IntN(90)
		x1, x2 := 0, 0
		for range n1 {
			x1 += min(1, r.IntN(4)) // 3 in 4
		}
		for range n2 {
			x2 += min(1, r.IntN(4))
		}
		a, b := ShareDifference(x1, n1, x2, n2, .95), ShareDifference(x2, n2, x1, n1, .95)
		c := ShareDifference(n1-x1, n1, n2-x2, n2, .95)
		for _, o := range [][2]float64{{a.Value, -b.Value}, {a.Low, -b.High}, {a.P, b.P}, {a.Value, -c.Value}, {a.High, -c.Low}, {a.P, c.P}} {
			assert.InDelta(t, o[0], o[1], 1e-9)
		}
		assert.True(t, a.Low <= a.Value && a.Value <= a.High && a.Low >= -1 && a.High <= 1)
		if a.P < .05 {
			called++
		}
	}
	assert.LessOrEqual(t, called, 100)
	for _, bad := range [][4]int{{1, 0, 1, 2}, {1, 2, 3, 2}, {-1, 2, 1, 2}} {
		e := ShareDifference(bad[0], bad[1], bad[2], bad[3], .95)
		assert.True(t, math.IsNaN(e.Value) && math.IsNaN(e.Low))
		assert.NotEmpty(t, e.Warnings)
	}
}
