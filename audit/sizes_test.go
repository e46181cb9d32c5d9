package audit_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	mostFiles = 42 // of Go in a folder, tests too
	mostLines = 60 // of a function without a reason
)

// TestFoldersAndFunctionsStaySmall: a folder that holds more is more than one thing; a long
// function says in its comment why it is ("its length ...").
func TestFoldersAndFunctionsStaySmall(t *testing.T) {
	folders := map[string]int{}
	eachFile(t, parser.ParseComments, func(path string, f *ast.File, files *token.FileSet) {
		folders[filepath.Dir(path)]++
		for _, decl := range f.Decls {
			fn, ok := decl.(*ast.FuncDecl)
			if !ok || fn.Body == nil || strings.Contains(strings.ToLower(fn.Doc.Text()), "its length") {
				continue
			}
			lines := files.Position(fn.End()).Line - files.Position(fn.Pos()).Line + 1
			assert.LessOrEqual(t, lines, mostLines, "%s of %s: split it, or say why its length is right", fn.Name.Name, path)
		}
	})
	assert.Greater(t, len(folders), 80)
	for folder, n := range folders {
		assert.LessOrEqual(t, n, mostFiles, folder)
	}
}

// TestPackagesSayTheirPlace: the comment of each package says where in the pipeline it
// stands, or that it stands beside it, and the guide names its folder.
func TestPackagesSayTheirPlace(t *testing.T) {
	said := map[string]bool{}
	eachFile(t, parser.PackageClauseOnly|parser.ParseComments, func(path string, f *ast.File, _ *token.FileSet) {
		if !strings.HasSuffix(path, "_test.go") {
			dir := filepath.Dir(path)
			said[dir] = said[dir] || strings.Contains(f.Doc.Text(), "Place in the pipeline:")
		}
	})
	assert.Greater(t, len(said), 80)
	guide, err := os.ReadFile("../DEVELOPERS.md")
	require.NoError(t, err)
	for dir, ok := range said {
		assert.True(t, ok, dir)
		name := strings.TrimPrefix(filepath.ToSlash(dir), "../")
		if strings.HasPrefix(name, "audit/stats/") || strings.HasPrefix(name, "audit/ask/") {
			continue // a family and a question each
		}
		if !strings.Contains(string(guide), "`"+name+"`") {
			assert.Contains(t, string(guide), "`"+filepath.Base(name)+"`", "%s is not in the table of folders", name)
		}
	}
}

// TestDependenciesHaveAReason: each module that we import is in the table that says why.
func TestDependenciesHaveAReason(t *testing.T) {
	mod, err := os.ReadFile("../go.mod")
	require.NoError(t, err)
	guide, err := os.ReadFile("../DEVELOPERS.md")
	require.NoError(t, err)
	n := 0
	for line := range strings.Lines(string(mod)) {
		module, version, ok := strings.Cut(strings.TrimSpace(line), " v")
		if !ok || !strings.HasPrefix(line, "\t") || strings.Contains(version, "// indirect") {
			continue
		}
		n++
		assert.Contains(t, string(guide), module)
	}
	assert.Greater(t, n, 15)
}

// eachFile parses every file of Go of the project.
func eachFile(t *testing.T, mode parser.Mode, visit func(path string, f *ast.File, files *token.FileSet)) {
	t.Helper()
	require.NoError(t, filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && d.Name() != ".." || d.Name() == "node_modules"):
			return filepath.SkipDir
		case !strings.HasSuffix(path, ".go"):
			return nil
		}
		files := token.NewFileSet()
		f, err := parser.ParseFile(files, path, nil, mode)
		require.NoError(t, err)
		visit(path, f, files)
		return nil
	}))
}
