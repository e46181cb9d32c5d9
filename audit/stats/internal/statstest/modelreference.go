package statstest

import (
	_ "embed"
	"encoding/json"
	"math"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
)

// Reference values of testdata/models.json, made by testdata/models.R with R
// 4.2.2 and the package versions written there. Each case names its data set,
// package and call.

// Numbers reads null as NaN.
type Numbers []float64

// UnmarshalJSON reads null as NaN.
func (n *Numbers) UnmarshalJSON(b []byte) error {
	var raw []*float64
	if err := json.Unmarshal(b, &raw); err != nil {
		return err
	}
	for _, v := range raw {
		if v == nil {
			*n = append(*n, math.NaN())
			continue
		}
		*n = append(*n, *v)
	}
	return nil
}

// RobustReference is what R gives for one variance.
type RobustReference struct{ SE, DF, P Numbers }

// ModelReference is one case of models.json: a model and what R makes of it.
type ModelReference struct {
	Source, Call                      string
	Names                             []string
	X, Y, Weights, Slope, Offset      Numbers
	Cluster                           []int
	Inverse, Reml, Singular           bool
	Coef, ModelSE                     Numbers
	CR0, CR1, CR2, CR3                json.RawMessage
	Joint                             *struct{ F, DF1, DF2, P Numbers }
	SE, DF, P                         Numbers
	Random, Residual, LogLik          Numbers
	Blup, CondSD                      Numbers
	KrSE, KrDF, KrJoint               Numbers
	Profile                           Numbers
	ProfileNames                      []string
	Family                            string
	Deviance, Pearson, Theta, ThetaSE Numbers
	CR2DF                             Numbers
	Adjusted, Statistic, Limits       Numbers
	Value                             Numbers
}

// Linear is the model of the case.
func (r *ModelReference) Linear() stats.LinearModel {
	return stats.LinearModel{Names: r.Names, X: r.X, Y: r.Y, Weights: r.Weights, Cluster: r.Cluster, InverseVariance: r.Inverse}
}

//go:embed testdata/models.json
var modelsJSON []byte

var modelReferences = sync.OnceValues(func() (map[string]*ModelReference, error) {
	var all struct{ Cases map[string]*ModelReference }
	return all.Cases, json.Unmarshal(modelsJSON, &all)
})

// EachReference runs f on the cases of one kind, and fails where there are
// fewer than least.
func EachReference(t *testing.T, kind string, least int, f func(t *testing.T, r *ModelReference)) {
	t.Helper()
	all, err := modelReferences()
	require.NoError(t, err)
	n := 0
	for id, r := range all {
		if name, ok := strings.CutPrefix(id, kind+"/"); ok {
			n++
			t.Run(name, func(t *testing.T) { f(t, r) })
		}
	}
	assert.GreaterOrEqual(t, n, least, "cases of kind %s", kind)
}

// Reference is the case of that id.
func Reference(t *testing.T, id string) *ModelReference {
	t.Helper()
	all, err := modelReferences()
	require.NoError(t, err)
	require.Contains(t, all, id)
	return all[id]
}

// Near compares relative to the larger of |want| and floor; NaN wants NaN.
func Near(t *testing.T, want, got, tol, floor float64, what ...any) {
	t.Helper()
	if math.IsNaN(want) {
		assert.True(t, math.IsNaN(got), what...)
		return
	}
	assert.LessOrEqual(t, math.Abs(got-want), tol*math.Max(math.Abs(want), floor), "want %v, got %v: %v", want, got, what)
}

// Unit is the j-th unit vector of length p.
func Unit(p, j int) []float64 {
	c := make([]float64, p)
	c[j] = 1
	return c
}
