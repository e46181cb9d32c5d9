// Command longforms names every test that reads SHORTFALL_LONG, by itself or through what it
// uses of the project, so that the gate runs the long form of these alone: a line each, its
// folder and its name. It is run by .ci/run at the top of the project.
//
// What a function or a variable uses is every other one that its text names, called or not;
// only what is reached through an interface or a field is not seen.
package main

import (
	"fmt"
	"go/ast"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/tools/go/packages"
)

const asked = `"SHORTFALL_LONG"`

func main() {
	tests, err := longForms(".")
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
	for _, t := range tests {
		fmt.Println(t)
	}
}

// longForms are the tests of the module in a folder that read the variable, sorted.
func longForms(dir string) ([]string, error) {
	top, err := filepath.Abs(dir)
	if err != nil {
		return nil, err
	}
	list, err := packages.Load(&packages.Config{Mode: packages.LoadSyntax, Tests: true, Dir: dir}, "./...")
	if err != nil {
		return nil, err
	}
	g := graph{uses: map[types.Object][]types.Object{}, reads: map[types.Object]bool{}}
	for _, p := range list {
		for _, e := range p.Errors {
			return nil, e
		}
		for _, f := range p.Syntax {
			for _, d := range f.Decls {
				g.add(p.TypesInfo, d)
			}
		}
	}
	g.spread()
	var out []string
	for o := range g.reads {
		at := list[0].Fset.Position(o.Pos()).Filename
		if f, ok := o.(*types.Func); ok && f.Signature().Recv() == nil && strings.HasPrefix(o.Name(), "Test") && o.Name() != "TestMain" && strings.HasSuffix(at, "_test.go") {
			folder, err := filepath.Rel(top, filepath.Dir(at))
			if err != nil {
				return nil, err
			}
			out = append(out, "./"+folder+" "+o.Name())
		}
	}
	slices.Sort(out)
	return slices.Compact(out), nil
}

// graph is what each function and variable of package level, and each method, names in its
// text, and which of them read the variable of the environment.
type graph struct {
	uses  map[types.Object][]types.Object
	reads map[types.Object]bool
}

func (g graph) add(info *types.Info, d ast.Decl) {
	switch d := d.(type) {
	case *ast.FuncDecl:
		g.text(info, d, d.Name)
	case *ast.GenDecl:
		for _, s := range d.Specs {
			if v, ok := s.(*ast.ValueSpec); ok {
				g.text(info, v, v.Names...)
			}
		}
	}
}

func (g graph) text(info *types.Info, n ast.Node, declared ...*ast.Ident) {
	literal, used := look(info, n)
	for _, name := range declared {
		if o := info.Defs[name]; o != nil {
			g.uses[o] = used
			if literal {
				g.reads[o] = true
			}
		}
	}
}

// look finds the name of the variable of the environment in a text, and what else it names.
func look(info *types.Info, n ast.Node) (literal bool, used []types.Object) {
	ast.Inspect(n, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.BasicLit:
			literal = literal || n.Kind == token.STRING && n.Value == asked
		case *ast.Ident:
			switch o := info.Uses[n].(type) {
			case *types.Func:
				used = append(used, o.Origin())
			case *types.Var, *types.Const:
				used = append(used, o)
			}
		}
		return true
	})
	return literal, used
}

// spread follows what is named until nothing more is found.
func (g graph) spread() {
	for again := true; again; {
		again = false
		for o, used := range g.uses {
			if !g.reads[o] && slices.ContainsFunc(used, func(u types.Object) bool { return g.reads[u] }) {
				g.reads[o], again = true, true
			}
		}
	}
}
