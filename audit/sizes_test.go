package audit_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
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
	require.NoError(t, filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && d.Name() != ".." || d.Name() == "node_modules"):
			return filepath.SkipDir
		case !strings.HasSuffix(path, ".go"):
			return nil
		}
		folders[filepath.Dir(path)]++
		files := token.NewFileSet()
		f, err := parser.ParseFile(files, path, nil, parser.ParseComments)
		require.NoError(t, err)
		for _, decl := range f.Decls {
			fn, ok := decl.(*ast.FuncDecl)
			if !ok || fn.Body == nil || strings.Contains(strings.ToLower(fn.Doc.Text()), "its length") {
				continue
			}
			lines := files.Position(fn.End()).Line - files.Position(fn.Pos()).Line + 1
			assert.LessOrEqual(t, lines, mostLines, "%s of %s: split it, or say why its length is right", fn.Name.Name, path)
		}
		return nil
	}))
	assert.Greater(t, len(folders), 80)
	for folder, n := range folders {
		assert.LessOrEqual(t, n, mostFiles, folder)
	}
}
