package agree

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
)

// Fuller 1987, equation 1.1.7.
func TestAttenuation(t *testing.T) {
	r, err := Attenuation(1, 2, 20)
	require.NoError(t, err)
	assert.InDelta(t, .75, r.Reliability, 1e-15)
	assert.Equal(t, []string{"attenuation"}, statstest.WarningIDs(r.Warnings))
	r, err = Attenuation(1, 4, 20)
	require.NoError(t, err)
	assert.Empty(t, r.Warnings)
	r, err = Attenuation(1, 4, 5)
	require.NoError(t, err)
	assert.Equal(t, []string{"error-against-plan"}, statstest.WarningIDs(r.Warnings))
	_, err = Attenuation(1, 0, 5)
	require.Error(t, err)
}
