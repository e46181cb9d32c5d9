package stats_test

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/confound"
)

func TestOverlap(t *testing.T) {
	a, b := []float64{1, 2, 3, 4, 5, 6}, []float64{2, 3, 4, 5, 6, 7}
	r, err := confound.Overlap(a, b, nil, nil, confound.DefaultOverlap())
	require.NoError(t, err)
	assert.False(t, r.Enough)
	assert.Contains(t, r.Reason, "only 3 cases")
	r, err = confound.Overlap(a, b, nil, nil, confound.OverlapSettings{LeastShare: .5, LeastCases: 3})
	require.NoError(t, err)
	assert.True(t, r.Enough)
	assert.Equal(t, r.ShareA, r.ShareB)
	far, err := confound.Overlap(a, []float64{17, 18, 19}, nil, nil, confound.DefaultOverlap())
	require.NoError(t, err)
	assert.False(t, far.Enough)
	assert.Equal(t, "the arms have no range in common", far.Reason)
	one, err := confound.Overlap(a, b, []int{1, 1, 1, 1, 1, 1}, nil, confound.DefaultOverlap())
	require.NoError(t, err)
	assert.Contains(t, one.Reason, "only 1 cases")
	// One wide arm around a narrow one: the wide one lies mostly outside.
	wide, err := confound.Overlap([]float64{-9, -8, -7, 2, 3, 12, 13, 14}, []float64{1, 2, 3, 4}, nil, nil, confound.OverlapSettings{LeastShare: .5, LeastCases: 1})
	require.NoError(t, err)
	assert.False(t, wide.Enough)
	assert.Contains(t, wide.Reason, "of an arm lies in the common range")
	empty, err := confound.Overlap(nil, b, nil, nil, confound.DefaultOverlap())
	require.NoError(t, err)
	assert.Equal(t, "one arm is empty", empty.Reason)
	_, err = confound.Overlap(a, b, nil, nil, confound.OverlapSettings{})
	require.Error(t, err)
}

// Cases are counted once each, whether their rows come together or not.
func TestOverlapCountsCases(t *testing.T) {
	cases := func(values []float64, ids ...int) int {
		r, err := confound.Overlap(values, []float64{1, 2, 3, 4, 5, 6}, ids, nil, confound.OverlapSettings{LeastShare: .5, LeastCases: 1})
		require.NoError(t, err)
		return r.CasesA
	}
	assert.Equal(t, 3, cases([]float64{2, 2, 3, 4, 4, 3, 5, 5}, 4, 4, 4, 7, 7, 7, 9, 9))
	assert.Equal(t, 3, cases([]float64{2, 4, 2, 4, 3, 5, 3, 5}, 4, 7, 4, 7, 4, 9, 7, 9), "rows apart")
	assert.Equal(t, 2, cases([]float64{2, 2, 3, 99, 4, 4, 3, 3}, 4, 4, 4, 5, 7, 7, 7, 7), "a case beyond the range is none in it")
}
