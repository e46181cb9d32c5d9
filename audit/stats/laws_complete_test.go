package stats

import (
	"go/ast"
	"go/parser"
	"go/token"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// notEstimators are exported functions that estimate nothing: settings, names,
// and the reading of a fit that the laws see through its contrasts.
var notEstimators = map[string]bool{
	"DefaultBootstrap": true, "DefaultOverlap": true, "DefaultPower": true, "Unclustered": true, "String": true,
	"Usable": true, "Cov": true, "ModelCov": true, "UnmarshalJSON": true, "MarshalJSON": true, "Floats": true, "Reset": true,
}

// Every exported function is named in a file of laws.
func TestEveryEstimatorHasALaw(t *testing.T) {
	files, err := filepath.Glob("*laws*_test.go")
	require.NoError(t, err)
	var laws strings.Builder
	for _, f := range files {
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		laws.Write(b)
	}
	sources, err := filepath.Glob("*.go")
	require.NoError(t, err)
	n := 0
	for _, f := range sources {
		if strings.HasSuffix(f, "_test.go") {
			continue
		}
		file, err := parser.ParseFile(token.NewFileSet(), f, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		for _, d := range file.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || !fn.Name.IsExported() || notEstimators[fn.Name.Name] {
				continue
			}
			n++
			used := regexp.MustCompile(`\b` + fn.Name.Name + `\b[(,}]`)
			assert.True(t, used.MatchString(laws.String()), "%s of %s is under no law", fn.Name.Name, f)
		}
	}
	assert.Greater(t, n, 80)
}

// Small things: an autocorrelation has no unit and no sign, chart factors run
// to those of a known spread, mirrored points give the same signals, sorted
// quantiles are the quantiles, residuals and textbook errors carry the unit.
func TestLawsOfSmallThings(t *testing.T) {
	x, y, _ := lawData(30)
	minus, sorted := make([]float64, len(x)), append([]float64(nil), x...)
	for i := range x {
		minus[i] = -25.4*x[i] + 3
	}
	for lag := range 4 {
		a := Autocorrelation(x, lag+1)
		assert.InDelta(t, a, Autocorrelation(minus, lag+1), 1e-12)
		assert.LessOrEqual(t, math.Abs(a), 1.0)
	}
	last := 0.0
	for n := 2; n < 60; n++ {
		c4, a3, b3, b4 := ChartFactors(n)
		assert.True(t, c4 > last && c4 < 1)
		assert.InDelta(t, a3, 3/(c4*math.Sqrt(float64(n))), 1e-12)
		assert.True(t, b3 >= 0 && b3 < 1 && b4 > 1)
		if b3 > 0 {
			assert.InDelta(t, 2, b3+b4, 1e-12)
		}
		last = c4
	}
	z := make([]float64, len(x))
	for i := range x {
		z[i] = 4 * (x[i] - .6)
		minus[i] = -z[i]
	}
	assert.NotEmpty(t, RunRules(z))
	assert.Equal(t, RunRules(z), RunRules(minus))
	for i := range sorted {
		sorted[i] = float64(i * i)
	}
	assert.Equal(t, Quantiles(sorted, .2, .9), SortedQuantiles(sorted, .2, .9))

	m := LinearModel{Names: []string{"1", "x"}, Y: y}
	inches := LinearModel{Names: m.Names}
	for i := range x {
		m.X = append(m.X, 1, x[i])
		inches.Y = append(inches.Y, y[i]/25.4)
	}
	inches.X = m.X
	a, err := FitLinear(m, CR0)
	require.NoError(t, err)
	b, err := FitLinear(inches, CR0)
	require.NoError(t, err)
	for i := range y {
		assert.InDelta(t, a.Residual(i), 25.4*b.Residual(i), 1e-10)
	}
	p, q := a.ModelContrast([]float64{0, 1}, .95), b.ModelContrast([]float64{0, 1}, .95)
	assert.InDelta(t, p.SE, 25.4*q.SE, 1e-12)
	assert.InDelta(t, p.P, q.P, 1e-10)
}
