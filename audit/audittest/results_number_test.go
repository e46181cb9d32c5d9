package audittest_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/results"
)

// TestNumbersAreWrittenAsJSONDoes: to the byte what encoding/json writes, at every size
// and on both sides of where it changes the form.
func TestNumbersAreWrittenAsJSONDoes(t *testing.T) {
	values := []float64{
		0, math.Copysign(0, -1), 1, -0.1, 1e-6, 9.999999999999999e-7, -1e-7, 1.5e-10, 1e20, 999999999999999900000, 1e21, -2.5e22, 1e100, 1e-100,
		math.MaxFloat64, math.SmallestNonzeroFloat64, 1.0 / 3, 123456789,
	}
	rng := rand.New(rand.NewPCG(2, 7))
	for range 2000 {
		values = append(values, (rng.Float64()-.5)*math.Pow(10, float64(rng.IntN(60)-30)))
	}
	for _, v := range values {
		want, err := json.Marshal(v)
		require.NoError(t, err)
		got, err := json.Marshal(results.Number(v))
		require.NoError(t, err)
		assert.Equal(t, string(want), string(got))
	}
	for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		got, err := json.Marshal(results.Number(v))
		require.NoError(t, err)
		assert.Equal(t, "null", string(got))
	}
}
