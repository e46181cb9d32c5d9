package statstest

import (
	_ "embed"
	"encoding/json"
	"testing"

	"github.com/stretchr/testify/require"
)

//go:embed testdata/strd.json
var strdJSON []byte

// NISTSet is one univariate set of the Statistical Reference Datasets of NIST.
type NISTSet struct {
	Name     string
	Mean, SD float64
	Lag1     *float64
	X        []float64
}

// NISTSets are the sets of testdata/strd.json by name.
func NISTSets(t *testing.T) map[string]NISTSet {
	t.Helper()
	var file struct{ Sets []NISTSet }
	require.NoError(t, json.Unmarshal(strdJSON, &file))
	sets := map[string]NISTSet{}
	for _, s := range file.Sets {
		sets[s.Name] = s
	}
	return sets
}
