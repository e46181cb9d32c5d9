package stats_test

import (
	"encoding/json"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats/internal/statstest"
)

// Two readings of one set: Michelso is datasets::morley of R in order (299 +
// Speed/1000), as basics.R wrote it.
func TestMichelsonOfRIsThatOfNIST(t *testing.T) {
	assert.Equal(t, morleySpeed(t), statstest.NISTSets(t)["Michelso"].X)
}

// morleySpeed is datasets::morley as basics.R wrote it.
func morleySpeed(t *testing.T) []float64 {
	t.Helper()
	raw, err := os.ReadFile("testdata/basics.json")
	require.NoError(t, err)
	var file struct {
		Cases []struct {
			Kind, Data string
			Input      json.RawMessage
		}
	}
	require.NoError(t, json.Unmarshal(raw, &file))
	for _, c := range file.Cases {
		if c.Kind == "autocorrelation" && c.Data == "datasets::morley" {
			var input struct{ X []float64 }
			require.NoError(t, json.Unmarshal(c.Input, &input))
			return input.X
		}
	}
	require.Fail(t, "no datasets::morley in basics.json")
	return nil
}
