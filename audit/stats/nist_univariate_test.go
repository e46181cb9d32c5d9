package stats

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// NIST StRD, Michelso (100 measurements of the speed of light by Michelson,
// Dorsey 1944), which is datasets::morley of R in order (299 + Speed/1000):
// certified mean, standard deviation and lag-1 autocorrelation. The data of
// Lottery, Lew and Mavro are in no source at hand. PiDigits cannot be computed
// afresh: the first 5,000 digits of pi have mean 4.5358, the certified mean of
// the file is 4.5348.
func TestMichelsonAgainstNIST(t *testing.T) {
	light := morleySpeed(t)
	require.Len(t, light, 100)
	mean, variance := meanVariance(light)
	assert.InDelta(t, 299.8524, mean, 1e-12)
	assert.InDelta(t, .0790105478190518, math.Sqrt(variance), 1e-12)
	assert.InDelta(t, .535199668621283, Autocorrelation(light, 1), 1e-11)
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
