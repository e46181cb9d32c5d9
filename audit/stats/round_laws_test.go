package stats_test

import (
	"math"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"

	"shortfall/audit/stats/round"
)

// What a reader gets by hand, and what the binary value alone would give
// otherwise.
func TestHalvesGoAwayFromZero(t *testing.T) {
	for _, c := range []struct {
		x        float64
		decimals int
		want     float64
	}{
		{.5, 0, 1},
		{1.5, 0, 2},
		{2.5, 0, 3},
		{-2.5, 0, -3},
		{2.4999, 0, 2},
		{.125, 2, .13},
		{-.125, 2, -.13},
		{2.675, 2, 2.68},
		{1.005, 2, 1.01},
		{57. / 200 * 100, 0, 29},
		{.285 * 100, 0, 29},
		{.145, 2, .15},
		{8.345, 2, 8.35},
		{.05, 1, .1},
		{.049999, 1, 0},
		{1e300, 3, 1e300},
		{0, 2, 0},
		{12345.5, 0, 12346},
		{.449999999, 1, .4},
	} {
		got := round.HalfAway(c.x, c.decimals)
		assert.Equal(t, c.want, got, "%v to %d", c.x, c.decimals)
		assert.Equal(t, got, round.HalfAway(got, c.decimals), "rounding twice is rounding once")
		assert.Equal(t, -got, round.HalfAway(-c.x, c.decimals), "both signs alike")
	}
	assert.True(t, math.IsNaN(round.HalfAway(math.NaN(), 2)))
	assert.Equal(t, math.Inf(-1), round.HalfAway(math.Inf(-1), 2))
}

// Every share of counts up to 200, in percent, rounds as whole numbers do: exactly
// half is up, n and of as integers.
func TestSharesRoundAsIntegersDo(t *testing.T) {
	for of := 1; of <= 200; of++ {
		for n := range of + 1 {
			want := (200*n + of) / (2 * of)
			assert.Equal(t, float64(want), round.HalfAway(100*(float64(n)/float64(of)), 0), "%d of %d", n, of)
			assert.Equal(t, strconv.Itoa(want), strconv.FormatFloat(round.HalfAway(100*(float64(n)/float64(of)), 0), 'f', 0, 64))
		}
	}
}

func TestTextIsHalfAway(t *testing.T) {
	for x, want := range map[float64]string{0.125: "0.13", 2.5: "2.50", -0.125: "-0.13", 1e6: "1000000.00", 0.285: "0.29"} {
		assert.Equal(t, want, round.Text(x, 2), x)
	}
	assert.Equal(t, "3", round.Text(2.5, 0))
}
