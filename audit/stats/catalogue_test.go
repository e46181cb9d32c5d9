package stats_test

import (
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// row of a catalogue: names, source, reference, who calls.
var row = regexp.MustCompile(`(?m)^//\t(.+?) {2,}(.+?) {2,}(.+?) {2,}(.+)$`)

// TestCataloguesHoldNothingElse: a catalogue names only what its family exports, and of the
// packages of audit that it names as callers each imports the family. That every estimator
// stands in one is TestEveryEstimatorHasALaw's.
func TestCataloguesHoldNothingElse(t *testing.T) {
	callers := importers(t)
	docs, err := filepath.Glob("*/doc.go")
	require.NoError(t, err)
	rows := 0
	for _, doc := range docs {
		dir := filepath.Dir(doc)
		b, err := os.ReadFile(doc)
		require.NoError(t, err)
		exported := exportedIn(t, dir)
		for _, m := range row.FindAllStringSubmatch(string(b), -1) {
			if m[1] == "estimator" {
				continue
			}
			if strings.TrimSpace(m[1]) == "" {
				continue // goes on with the row above
			}
			rows++
			for _, name := range strings.Split(m[1], ", ") {
				assert.Contains(t, exported, name, "the catalogue of %s", dir)
			}
			callersNamed, _, _ := strings.Cut(m[4], ":") // behind it, what for
			for _, by := range strings.FieldsFunc(callersNamed, func(r rune) bool { return strings.ContainsRune(" ,;", r) }) {
				if of, isPackage := callers[by]; isPackage {
					assert.Contains(t, of, "audit/stats/"+dir, "%s of %s is called by %s, which does not import it", m[1], dir, by)
				}
			}
		}
	}
	assert.Greater(t, rows, 40)
}

// exportedIn lists the functions and methods that the product code of a folder exports.
func exportedIn(t *testing.T, dir string) map[string]bool {
	t.Helper()
	out := map[string]bool{}
	files, err := filepath.Glob(dir + "/*.go")
	require.NoError(t, err)
	for _, path := range files {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		b, err := os.ReadFile(path)
		require.NoError(t, err)
		for _, m := range regexp.MustCompile(`(?m)^func (?:\([^)]*\) )?([A-Z]\w*)|^type ([A-Z]\w*)`).FindAllStringSubmatch(string(b), -1) {
			out[m[1]+m[2]] = true
		}
	}
	return out
}

// importers are the packages of audit outside stats, by their last name, with the packages
// of the project that each imports.
func importers(t *testing.T) map[string]map[string]bool {
	t.Helper()
	out := map[string]map[string]bool{}
	require.NoError(t, filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && path == filepath.Join("..", "stats"):
			return filepath.SkipDir
		case !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		require.NoError(t, err)
		name := filepath.Base(filepath.Dir(path))
		if out[name] == nil {
			out[name] = map[string]bool{}
		}
		for _, i := range f.Imports {
			p, err := strconv.Unquote(i.Path.Value)
			require.NoError(t, err)
			out[name][strings.TrimPrefix(p, "shortfall/")] = true
		}
		return nil
	}))
	return out
}
