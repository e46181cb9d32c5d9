package stats_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit/stats"
	"shortfall/audit/stats/confound"
	"shortfall/audit/stats/control"
	"shortfall/audit/stats/decide"
	"shortfall/audit/stats/internal/statstest"
)

// notEstimators are exported functions that estimate nothing: settings, names,
// and the reading of a fit that the laws see through its contrasts.
var notEstimators = map[string]bool{
	"DefaultOverlap": true, "String": true,
	"Usable": true, "Cov": true, "ModelCov": true, "UnmarshalJSON": true, "MarshalJSON": true, "Floats": true, "Room": true, "Codes": true, "Held": true, "Ints": true, "Places": true, "Reset": true, "Mark": true, "Release": true,
	// Steps that the families share.
	"CheckLevel": true, "SetLimits": true, "NotEstimable": true, "Warn": true, "WarnFewClusters": true, "WarnFewDF": true, "Fail": true,
	"SortedQuantile": true, "BetweenPlaces": true, "CountCases": true,
	"LogLikelihoodTau2": true, // seen through what is greatest where it is
}

// goFiles are the files of the families, with a word in their name and an ending;
// files of tests only where the ending asks for them.
func goFiles(t *testing.T, word, ending string) (out []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		switch name := d.Name(); {
		case err != nil:
			return err
		case d.IsDir() && name == "internal" && ending != "_test.go": // where laws of small families stand too
			return filepath.SkipDir
		case strings.Contains(name, word) && strings.HasSuffix(name, ending) && strings.HasSuffix(name, "_test.go") == (ending == "_test.go"):
			out = append(out, path)
		}
		return nil
	}))
	return out
}

// Every exported function is named in a file of laws, and in the catalogue of its
// family.
func TestEveryEstimatorHasALaw(t *testing.T) {
	var laws strings.Builder
	for _, f := range goFiles(t, "laws", "_test.go") {
		b, err := os.ReadFile(f)
		require.NoError(t, err)
		laws.Write(b)
	}
	n := 0
	for _, f := range goFiles(t, "", ".go") {
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
			if dir := filepath.Dir(f); dir != "." && dir != "round" {
				catalogue, err := os.ReadFile(filepath.Join(dir, "doc.go"))
				require.NoError(t, err)
				assert.Regexp(t, `(?m)^//\t(.*\W)?`+fn.Name.Name+`\b`, string(catalogue), "%s is not in the catalogue of %s", fn.Name.Name, dir)
			}
		}
	}
	assert.Greater(t, n, 50)
}

// Small things: mirrored points give the same signals, sorted quantiles are the
// quantiles.
func TestLawsOfSmallThings(t *testing.T) {
	x, _, _ := statstest.LawData(30)
	minus, sorted := make([]float64, len(x)), append([]float64(nil), x...)
	z := make([]float64, len(x))
	for i := range x {
		z[i] = 4 * (x[i] - .6)
		minus[i] = -z[i]
	}
	assert.NotEmpty(t, control.RunRules(z))
	assert.Equal(t, control.RunRules(z), control.RunRules(minus))
	for i := range sorted {
		sorted[i] = float64(i * i)
	}
	assert.Equal(t, stats.Quantiles(sorted, .2, .9), stats.SortedQuantiles(sorted, .2, .9))
	for _, p := range []float64{0, .2, .5, .9, 1} { // in between, and where no value follows
		k, part := stats.QuantilePlace(len(sorted), p)
		assert.Equal(t, stats.Quantiles(sorted, p)[0], stats.BetweenPlaces(sorted[k], sorted[min(k+1, len(sorted)-1)], part))
	}
}

// Results that hold what was assumed in another form: estimates of their own,
// the fields that name model and variance, or parts of such a result.
var assumedElsewhere = map[string]string{
	"AgreementResult": "Warnings", "IntraclassResult": "", "SegmentedFit": "", "PredictionFit": "",
	"LinearFit": "Warnings", "AbsorbedFit": "Warnings", "At": "", "Levels": "Difference", "CaseInfluence": "", "CountFit": "Warnings", "MixedFit": "Warnings", "RunSignal": "",
	"Nested":    "", // gives AbsorbedFits
	"CaseCount": "", // what is estimated from
}

// Every type that an exported function gives says what was assumed and carries
// warnings, by itself or through an Estimate.
func TestEveryResultSaysWhatItAssumes(t *testing.T) {
	structs, results := map[string][]string{}, map[string]bool{}
	for _, f := range goFiles(t, "", ".go") {
		file, err := parser.ParseFile(token.NewFileSet(), f, nil, parser.SkipObjectResolution)
		require.NoError(t, err)
		ast.Inspect(file, func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.TypeSpec:
				if s, ok := n.Type.(*ast.StructType); ok {
					structs[n.Name.Name] = fieldNames(s)
				}
			case *ast.FuncDecl:
				if n.Name.IsExported() && n.Type.Results != nil && !notEstimators[n.Name.Name] {
					for _, r := range n.Type.Results.List {
						results[typeName(r.Type)] = true
					}
				}
			}
			return true
		})
	}
	n := 0
	for name := range results {
		fields, ok := structs[name]
		if !ok || !ast.IsExported(name) || slices.Contains(fields, "Estimate") && name != "Sensitivity" {
			continue
		}
		n++
		if least, ok := assumedElsewhere[name]; ok {
			assert.True(t, least == "" || slices.Contains(fields, least), name)
			continue
		}
		assert.Subset(t, fields, []string{"Method", "Warnings"}, name)
	}
	assert.Greater(t, n, 10)
}

func fieldNames(s *ast.StructType) (names []string) {
	for _, f := range s.Fields.List {
		if len(f.Names) == 0 {
			names = append(names, typeName(f.Type))
		}
		for _, n := range f.Names {
			names = append(names, n.Name)
		}
	}
	return names
}

func typeName(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.Ident:
		return e.Name
	case *ast.StarExpr:
		return typeName(e.X)
	case *ast.SelectorExpr:
		return e.Sel.Name
	case *ast.ArrayType:
		return typeName(e.Elt)
	}
	return ""
}

// What cannot be judged comes with a reason, and what can with what it rests on.
func TestReasonsOfSmallResults(t *testing.T) {
	nan := math.NaN()
	q, err := decide.TestEquivalence(stats.Estimate{Value: 1, SE: nan, Method: "m", Warnings: []stats.Warning{stats.NoData}}, -1, 1, .05)
	require.NoError(t, err)
	assert.Equal(t, []string{"no-data", "no-standard-error"}, statstest.WarningIDs(q.Warnings))
	assert.Contains(t, q.Method, "estimate by m")
	assert.Equal(t, []string{"not-estimable"}, statstest.WarningIDs(confound.EValueRR(2, 3, 1).Warnings))
	assert.Empty(t, confound.EValueRR(2, 1, 3).Warnings)
	assert.Contains(t, confound.EValueSMDLimits(.5, .3, .7).Method, "approximation")
	o, err := confound.Overlap([]float64{1, 2, 3}, []float64{7, 8, 9}, nil, nil, confound.DefaultOverlap())
	require.NoError(t, err)
	assert.Equal(t, []string{"no-overlap"}, statstest.WarningIDs(o.Warnings))
	assert.Contains(t, o.Method, "50 %")
	l, err := control.FunnelBinomial(.1, 20, .001, .5)
	require.NoError(t, err)
	assert.Equal(t, []string{"clipped"}, statstest.WarningIDs(l.Warnings))
	l, err = control.FunnelBinomial(.5, 100, .001, .999)
	require.NoError(t, err)
	assert.Empty(t, l.Warnings)
}
