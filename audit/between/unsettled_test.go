package between

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/compare"
	"shortfall/audit/results"
)

// TestAnIntervalWithoutZeroSaysWhyItIsNotCalled: after correction, or a check; what is
// called, or within its own interval, has nothing to say.
func TestAnIntervalWithoutZeroSaysWhyItIsNotCalled(t *testing.T) {
	beyond := results.Difference{Low: -0.27, High: -0.04}
	for _, x := range []struct {
		why    compare.Reason
		looked int
		id     string
		says   string
	}{
		{compare.WithinChance, 6, "not-after-correction", "among 6\u00a0comparisons one may do so by chance"},
		{compare.WithinChance, 1, "not-at-level", "stricter level"},
		{compare.OnePatient, 6, "check-failed", "one patient decides"},
	} {
		ws := unsettled(results.NotDistinguishable, beyond, x.why, x.looked)
		require.Len(t, ws, 1)
		assert.Equal(t, x.id, ws[0].ID)
		assert.Contains(t, ws[0].Text, x.says)
	}
	assert.Empty(t, unsettled(results.NotDistinguishable, results.Difference{Low: -0.27, High: 0.01}, compare.WithinChance, 6))
	assert.Empty(t, unsettled(results.NotDistinguishable, results.Difference{Low: results.Number(math.NaN()), High: results.Number(math.NaN())}, compare.WithinChance, 6))
	for _, v := range []results.Verdict{results.Higher, results.Lower, results.NotComparable} {
		assert.Empty(t, unsettled(v, beyond, compare.Holds, 6), v)
	}
	assert.Equal(t, 1, lookedAt([]compare.Answer{{Verdict: compare.NotDistinguishable}, {Verdict: compare.NotComparable}}))
}
