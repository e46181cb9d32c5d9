package stats

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// NIST StRD, univariate summary statistics: certified mean, standard deviation
// and lag-1 autocorrelation of Lew, Lottery, Mavro, Michelso and PiDigits, the
// last without an autocorrelation in our source. strd.json says where the data
// were read.
func TestNISTUnivariate(t *testing.T) {
	sets := nistSets(t)
	require.Len(t, sets, 5)
	for name, s := range sets {
		mean, variance := meanVariance(s.X)
		assert.InEpsilon(t, s.Mean, mean, 1e-14, name)
		assert.InEpsilon(t, s.SD, math.Sqrt(variance), 1e-12, name)
		if s.Lag1 != nil {
			assert.InEpsilon(t, *s.Lag1, Autocorrelation(s.X, 1), 1e-11, name)
		}
	}
}

// Two readings of one set: Michelso is datasets::morley of R in order (299 +
// Speed/1000), as basics.R wrote it.
func TestMichelsonOfRIsThatOfNIST(t *testing.T) {
	assert.Equal(t, morleySpeed(t), nistSets(t)["Michelso"].X)
}

type nistSet struct {
	Name     string
	Mean, SD float64
	Lag1     *float64
	X        []float64
}

func nistSets(t *testing.T) map[string]nistSet {
	t.Helper()
	raw, err := os.ReadFile("testdata/strd.json")
	require.NoError(t, err)
	var file struct{ Sets []nistSet }
	require.NoError(t, json.Unmarshal(raw, &file))
	sets := map[string]nistSet{}
	for _, s := range file.Sets {
		sets[s.Name] = s
	}
	return sets
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
