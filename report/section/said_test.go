package section_test

import (
	"context"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"shortfall/audit"
	"shortfall/audit/results"
	"shortfall/report/document"
	"shortfall/report/section"
	"shortfall/sampledata"
)

// TestMethodsAndDenominatorsAreThoseOfTheResults: under every table and figure of the
// report stand the denominator and the method that its result names, and the methods
// page lists each method and definition as the results have it.
func TestMethodsAndDenominatorsAreThoseOfTheResults(t *testing.T) {
	p := sampledata.Default()
	p.Cases = 60
	ds, _ := sampledata.Generate(p, 4)
	r, err := audit.Run(context.Background(), ds, results.DefaultSettings(), "test")
	require.NoError(t, err)
	d, err := section.Document(r, section.Full)
	require.NoError(t, err)
	below, rows := map[string]string{}, map[string]string{}
	table := func(x document.Table) {
		below[x.ID] = x.Below.Plain()
		for _, row := range x.Rows {
			for _, c := range row.Cells {
				rows[row.ID] += c.Text + "\n"
			}
		}
	}
	d.Walk(func(b document.Block, _ int) {
		switch b := b.(type) {
		case document.Table:
			table(b)
		case document.Figure:
			below[b.ID] = b.Below.Plain()
		}
	})
	methods := map[string]results.Method{}
	for _, m := range r.Methods {
		methods[m.ID] = m
		assert.Contains(t, strings.ToLower(rows["method-"+m.ID]), strings.ToLower(m.Text), m.ID)
	}
	for _, x := range r.Definitions {
		assert.Contains(t, strings.ToLower(rows["def-"+x.ID]), strings.ToLower(x.Formula), x.ID)
	}
	seen := 0
	for _, s := range r.Sections {
		for _, e := range s.Exhibits {
			text, ok := below[strings.ReplaceAll(e.ID, ".", "-")]
			if !ok {
				continue // it is in the workbook only
			}
			seen++
			assert.Contains(t, text, e.Denominator, e.ID)
			assert.Contains(t, text, methods[e.Method].Name, e.ID)
		}
	}
	assert.Greater(t, seen, 10)
}

// ofAMethod are words by which a renderer would name a method or what is corrected.
var ofAMethod = regexp.MustCompile(`degrees of freedom|Satterthwaite|\bCR2\b|Wilson|Benjamini|\bHolm\b|Poisson|sandwich|\bcorrected (for|over|after|within)|ratio of sums|clustered by case`)

// TestNoRendererNamesAMethod: what is said of methods is in the results; no text of
// report does so.
func TestNoRendererNamesAMethod(t *testing.T) {
	checked := 0
	require.NoError(t, filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		require.NoError(t, err)
		ast.Inspect(f, func(n ast.Node) bool {
			if x, ok := n.(*ast.BasicLit); ok && x.Kind == token.STRING {
				checked++
				assert.NotRegexp(t, ofAMethod, x.Value, path)
			}
			return true
		})
		return nil
	}))
	assert.Greater(t, checked, 1500)
}
