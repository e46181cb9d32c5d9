package agree

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/numeric"
	"shortfall/audit/stats/internal/statstest"
)

// NIST StRD, univariate summary statistics: certified mean, standard deviation
// and lag-1 autocorrelation of Lew, Lottery, Mavro, Michelso and PiDigits, the
// last without an autocorrelation in our source. strd.json says where the data
// were read.
func TestNISTUnivariate(t *testing.T) {
	sets := statstest.NISTSets(t)
	require.Len(t, sets, 5)
	for name, s := range sets {
		mean, variance := numeric.MeanVariance(s.X)
		assert.InEpsilon(t, s.Mean, mean, 1e-14, name)
		assert.InEpsilon(t, s.SD, math.Sqrt(variance), 1e-12, name)
		if s.Lag1 != nil {
			assert.InEpsilon(t, *s.Lag1, Autocorrelation(s.X, 1), 1e-11, name)
		}
	}
}
