package audit_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// imports lists the project's packages that each folder's product code imports,
// without the module's name.
func imports(t *testing.T) map[string][]string {
	t.Helper()
	out := map[string][]string{}
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return err
		}
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, parser.ImportsOnly)
		if err != nil {
			return err
		}
		from := filepath.ToSlash(strings.TrimPrefix(filepath.Dir(path), ".."+string(filepath.Separator)))
		for _, i := range f.Imports {
			name, err := strconv.Unquote(i.Path.Value)
			if err != nil {
				return err
			}
			if to, ok := strings.CutPrefix(name, "shortfall/"); ok {
				out[from] = append(out[from], to)
			}
		}
		return nil
	})
	require.NoError(t, err)
	return out
}

func under(path string, rooms ...string) bool {
	for _, r := range rooms {
		if path == r || strings.HasPrefix(path, r+"/") {
			return true
		}
	}
	return false
}

// TestArrowsRunOneWay: cmd to report to audit to ingest/casebook. A renderer sees
// results and nothing else of audit; estimators, vocabulary and results see no stage.
func TestArrowsRunOneWay(t *testing.T) {
	allowed := []struct {
		from string
		to   []string
	}{
		{"ingest/casebook", nil},
		{"audit/stats", []string{"audit/stats"}},
		{"audit/results", []string{"audit/results", "audit/stats/round", "ingest/casebook"}},
		{"audit/disclose", []string{"audit/results", "ingest/casebook"}},
		{"audit/parallel", nil},
		{"audit/measure", []string{"audit/results", "audit/stats", "ingest/casebook"}},
		{"audit/rows", []string{"audit/results", "audit/stats/round", "ingest/casebook"}},
		{"audit/grid", []string{"audit/results", "audit/stats", "audit/rows", "audit/measure", "audit/disclose", "audit/parallel", "ingest/casebook"}},
		{"audit", []string{"audit", "ingest/casebook"}},
		{"report", []string{"report", "audit/results", "ingest/casebook"}},
		{"ingest", []string{"ingest"}},
	}
	// Tools beside the pipeline: data for tests and demonstration.
	beside := []string{"audit/audittest", "audit/simulate", "sampledata"}
	seen := 0
	for from, list := range imports(t) {
		if under(from, beside...) {
			continue
		}
		for _, rule := range allowed {
			if !under(from, rule.from) {
				continue
			}
			for _, to := range list {
				seen++
				assert.True(t, under(to, rule.to...), "%s imports %s", from, to)
			}
			break
		}
	}
	assert.Greater(t, seen, 100)
}

// TestQuestionsDoNotKnowEachOther: what two questions share lies below them; only the
// list in audit names them all.
func TestQuestionsDoNotKnowEachOther(t *testing.T) {
	for from, list := range imports(t) {
		for _, to := range list {
			if strings.HasPrefix(to, "audit/ask/") {
				assert.Equal(t, "audit", from, "%s imports %s", from, to)
			}
			if under(to, "audit/audittest", "audit/simulate") {
				assert.Equal(t, "audit/simulate", from, "%s imports %s", from, to)
			}
		}
	}
}

// TestNothingBehindAQuestionKnowsThatItIsShared: whether results leave the practice is
// asked by audit/ask alone, once for every question; neither a question nor a step below
// it can apply the rule by itself, or leave it out by itself.
func TestNothingBehindAQuestionKnowsThatItIsShared(t *testing.T) {
	looked := 0
	for _, room := range []string{"ask", "rows", "grid", "between", "compare", "series", "intime", "measure"} {
		require.NoError(t, filepath.WalkDir(room, func(path string, d fs.DirEntry, err error) error {
			if err != nil || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") || path == filepath.Join("ask", "ask.go") {
				return err
			}
			files := token.NewFileSet()
			f, err := parser.ParseFile(files, path, nil, 0)
			require.NoError(t, err)
			ast.Inspect(f, func(n ast.Node) bool {
				if x, ok := n.(*ast.SelectorExpr); ok && x.Sel.Name == "Shared" {
					t.Errorf("%s reads whether results are shared", files.Position(x.Pos()))
				}
				return true
			})
			looked++
			return nil
		}))
	}
	assert.Greater(t, looked, 100)
}
