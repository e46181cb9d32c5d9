package statstest_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/meta"
)

// The variance between studies is a maximum of its likelihood over the whole half
// line, 0 among it, whatever the studies.
func TestTau2IsTheHighestMaximum(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 1))
	for range 300 {
		k := 3 + r.IntN(5)
		y, v := make([]float64, k), make([]float64, k)
		for i := range y {
			v[i] = math.Exp(3 * r.NormFloat64())
			y[i] = math.Sqrt(v[i]) * 1.2 * r.NormFloat64()
		}
		for _, m := range []meta.MetaMethod{meta.RestrictedML, meta.MaximumLikelihood} {
			e, err := meta.Meta(y, v, m, false, .95)
			require.NoError(t, err)
			best := meta.LogLikelihoodTau2(y, v, e.Tau2, m == meta.RestrictedML)
			for x := -12.0; x < 8; x += .25 {
				assert.GreaterOrEqual(t, best+1e-7, meta.LogLikelihoodTau2(y, v, math.Exp(x), m == meta.RestrictedML), "%v %v tau2 %v", y, v, e.Tau2)
			}
			assert.GreaterOrEqual(t, best+1e-9, meta.LogLikelihoodTau2(y, v, 0, m == meta.RestrictedML))
		}
	}
}
