package stats

import (
	"encoding/json"
	"math"
	"os"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Reference values of testdata/models.json, made by testdata/models.R with R
// 4.2.2 and the package versions written there. Each case names its data set,
// package and call.

// numbers reads null as NaN.
type numbers []float64

func (n *numbers) UnmarshalJSON(b []byte) error {
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

type robustReference struct{ SE, DF, P numbers }

type modelReference struct {
	Source, Call                      string
	Names                             []string
	X, Y, Weights, Slope, Offset      numbers
	Cluster                           []int
	Inverse, Reml, Singular           bool
	Coef, ModelSE                     numbers
	CR0, CR1, CR2, CR3                json.RawMessage
	Joint                             *struct{ F, DF1, DF2, P numbers }
	SE, DF, P                         numbers
	Random, Residual, LogLik          numbers
	Blup, CondSD                      numbers
	KrSE, KrDF, KrJoint               numbers
	Profile                           numbers
	ProfileNames                      []string
	Family                            string
	Deviance, Pearson, Theta, ThetaSE numbers
	CR2DF                             numbers
	Adjusted, Statistic, Limits       numbers
	Value                             numbers
}

func (r *modelReference) linear() LinearModel {
	return LinearModel{Names: r.Names, X: r.X, Y: r.Y, Weights: r.Weights, Cluster: r.Cluster, InverseVariance: r.Inverse}
}

var modelReferences = sync.OnceValues(func() (map[string]*modelReference, error) {
	b, err := os.ReadFile("testdata/models.json")
	if err != nil {
		return nil, err
	}
	var all struct{ Cases map[string]*modelReference }
	return all.Cases, json.Unmarshal(b, &all)
})

// eachReference runs f on the cases of one kind, and fails where there are
// fewer than least.
func eachReference(t *testing.T, kind string, least int, f func(t *testing.T, r *modelReference)) {
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

func reference(t *testing.T, id string) *modelReference {
	t.Helper()
	all, err := modelReferences()
	require.NoError(t, err)
	require.Contains(t, all, id)
	return all[id]
}

// near compares relative to the larger of |want| and floor; NaN wants NaN.
func near(t *testing.T, want, got, tol, floor float64, what ...any) {
	t.Helper()
	if math.IsNaN(want) {
		assert.True(t, math.IsNaN(got), what...)
		return
	}
	assert.LessOrEqual(t, math.Abs(got-want), tol*math.Max(math.Abs(want), floor), "want %v, got %v: %v", want, got, what)
}

func unit(p, j int) []float64 {
	c := make([]float64, p)
	c[j] = 1
	return c
}
