// Command maporder is a vet tool: it names every loop over a map whose body does
// what depends on the order of its turns, since Go draws that order anew each time.
// It is run by .ci/run over the product:
//
//	go vet -vettool=maporder ./...
//
// What depends on order: a list collected from its keys or values, appending to a list, adding to a floating-point number or
// a text, returning or keeping an element of the loop, sending one, and calling
// something with one only for its effect. A list that is sorted later in the same
// function passes, and so does a loop whose comment begins "any order:" and says why.
package main

import (
	"go/ast"
	"go/token"
	"go/types"
	"slices"
	"strings"

	"golang.org/x/tools/go/analysis"
	"golang.org/x/tools/go/analysis/unitchecker"
)

var analyzer = &analysis.Analyzer{Name: "maporder", Doc: "loops over maps that depend on their order", Run: run}

func main() { unitchecker.Main(analyzer) }

func run(pass *analysis.Pass) (any, error) {
	product := slices.DeleteFunc(slices.Clone(pass.Files), func(f *ast.File) bool {
		return strings.HasSuffix(pass.Fset.Position(f.Pos()).Filename, "_test.go")
	})
	if slices.ContainsFunc(product, helpsTests) {
		return nil, nil
	}
	for _, f := range product {
		excused := map[int]bool{} // lines on which an excuse ends
		for _, g := range f.Comments {
			if strings.HasPrefix(g.Text(), "any order:") {
				excused[pass.Fset.Position(g.End()).Line] = true
			}
		}
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Body == nil {
				continue
			}
			lists := collected(pass, fn)
			ast.Inspect(fn.Body, func(n ast.Node) bool {
				if call, ok := n.(*ast.CallExpr); ok && lists[call] {
					if line := pass.Fset.Position(call.Pos()).Line; !excused[line] && !excused[line-1] {
						pass.Reportf(call.Pos(), "the order of a map becomes that of a list: sort it, or say \"any order: why\"")
					}
				}
				loop, ok := n.(*ast.RangeStmt)
				if !ok {
					return true
				}
				line := pass.Fset.Position(loop.Pos()).Line
				if overMap(pass, loop.X) && !excused[line] && !excused[line-1] {
					l := looper{pass: pass, fn: fn, loop: loop}
					if what := l.dependsOnOrder(); what != "" {
						pass.Reportf(loop.Pos(), "the order of a map reaches what this loop does (%s): sort its keys, or say \"any order: why\"", what)
					}
				}
				return true
			})
		}
	}
	return nil, nil
}

// helpsTests is true of a file that is no test and yet imports testing: its package
// serves tests alone. A package with tests of its own reaches this tool with them.
func helpsTests(f *ast.File) bool {
	return slices.ContainsFunc(f.Imports, func(i *ast.ImportSpec) bool { return i.Path.Value == `"testing"` })
}

// collected are the calls that make a list of what a map gives, but for those whose
// list is sorted later.
func collected(pass *analysis.Pass, fn *ast.FuncDecl) map[*ast.CallExpr]bool {
	out := map[*ast.CallExpr]bool{}
	ast.Inspect(fn.Body, func(n ast.Node) bool {
		if call, ok := n.(*ast.CallExpr); ok && named(call.Fun) == "Collect" && len(call.Args) == 1 && overMap(pass, call.Args[0]) {
			out[call] = true
		}
		return true
	})
	ast.Inspect(fn.Body, func(n ast.Node) bool {
		a, ok := n.(*ast.AssignStmt)
		if !ok || len(a.Lhs) != 1 || len(a.Rhs) != 1 {
			return true
		}
		call, isCall := a.Rhs[0].(*ast.CallExpr)
		list, isName := a.Lhs[0].(*ast.Ident)
		if isCall && isName && out[call] && sortedAfter(pass, fn, list, call.End()) {
			delete(out, call)
		}
		return true
	})
	return out
}

// overMap is true of a map, and of maps.Keys, Values and All of one.
func overMap(pass *analysis.Pass, x ast.Expr) bool {
	if call, ok := x.(*ast.CallExpr); ok {
		if sel, ok := call.Fun.(*ast.SelectorExpr); ok {
			if f, ok := pass.TypesInfo.Uses[sel.Sel].(*types.Func); ok && f.Pkg() != nil && f.Pkg().Path() == "maps" {
				return true
			}
		}
	}
	t := pass.TypesInfo.TypeOf(x)
	if t == nil {
		return false
	}
	_, ok := t.Underlying().(*types.Map)
	return ok
}

type looper struct {
	pass *analysis.Pass
	fn   *ast.FuncDecl
	loop *ast.RangeStmt
}

// dependsOnOrder says what in the body does, or nothing.
func (l *looper) dependsOnOrder() (what string) {
	within := token.NoPos // the end of a function written in the loop, whose returns are its own
	ast.Inspect(l.loop.Body, func(n ast.Node) bool {
		if what != "" {
			return false
		}
		switch n := n.(type) {
		case *ast.FuncLit:
			within = max(within, n.End())
		case *ast.AssignStmt:
			what = l.assignment(n)
		case *ast.ReturnStmt:
			if n.Pos() < within {
				break
			}
			for _, r := range n.Results {
				if l.usesElement(r) {
					what = "returns an element"
				}
			}
		case *ast.SendStmt:
			what = "sends"
		case *ast.ExprStmt:
			if call, ok := n.X.(*ast.CallExpr); ok && !l.harmless(call) && l.usesElement(call) {
				what = "calls with an element"
			}
		}
		return true
	})
	return what
}

func (l *looper) assignment(a *ast.AssignStmt) string {
	for i, left := range a.Lhs {
		root, keyed := l.target(left)
		if root == nil || keyed || l.inside(root) || a.Tok == token.DEFINE {
			continue
		}
		right := a.Rhs[min(i, len(a.Rhs)-1)]
		if call, ok := right.(*ast.CallExpr); ok && named(call.Fun) == "append" {
			if l.sortedLater(root) {
				continue
			}
			return "appends"
		}
		t, _ := l.pass.TypesInfo.TypeOf(left).Underlying().(*types.Basic)
		switch {
		case a.Tok != token.ASSIGN && t != nil && t.Info()&(types.IsFloat|types.IsComplex|types.IsString) != 0:
			return "adds up"
		case a.Tok == token.ASSIGN && l.usesElement(right) && !reduces(right):
			return "keeps an element"
		}
	}
	return ""
}

// reduces is true of what gives the same in any order: min, max, and, or.
func reduces(x ast.Expr) bool {
	switch x := x.(type) {
	case *ast.CallExpr:
		n := named(x.Fun)
		return n == "min" || n == "max" || n == "Min" || n == "Max"
	case *ast.BinaryExpr:
		return x.Op == token.LAND || x.Op == token.LOR
	}
	return false
}

// target is the variable that an expression writes to; keyed where the place in it
// is chosen by the element, so that no other turn of the loop writes there.
func (l *looper) target(x ast.Expr) (root *ast.Ident, keyed bool) {
	for {
		switch e := x.(type) {
		case *ast.Ident:
			return e, keyed
		case *ast.IndexExpr:
			keyed = keyed || l.usesElement(e.Index)
			x = e.X
		case *ast.SelectorExpr:
			x = e.X
		case *ast.StarExpr:
			x = e.X
		case *ast.ParenExpr:
			x = e.X
		default:
			return nil, keyed
		}
	}
}

// usesElement reports an expression that names the key, the value or anything else
// declared in the loop.
func (l *looper) usesElement(x ast.Node) bool {
	uses := false
	ast.Inspect(x, func(n ast.Node) bool {
		if id, ok := n.(*ast.Ident); ok && l.inside(id) {
			uses = true
		}
		return !uses
	})
	return uses
}

// inside is true of a variable that is declared by the loop or in its body.
func (l *looper) inside(id *ast.Ident) bool {
	o := l.pass.TypesInfo.ObjectOf(id)
	v, ok := o.(*types.Var)
	return ok && !v.IsField() && l.loop.Pos() <= o.Pos() && o.Pos() < l.loop.End()
}

func (l *looper) sortedLater(root *ast.Ident) bool {
	return sortedAfter(l.pass, l.fn, root, l.loop.End())
}

// sortedAfter is true of a list that is sorted in the same function after a place in it.
func sortedAfter(pass *analysis.Pass, fn *ast.FuncDecl, list *ast.Ident, place token.Pos) bool {
	object, sorted := pass.TypesInfo.ObjectOf(list), false
	ast.Inspect(fn.Body, func(n ast.Node) bool {
		call, ok := n.(*ast.CallExpr)
		if !ok || call.Pos() < place || !sorts(pass, call) {
			return !sorted
		}
		for _, arg := range call.Args {
			ast.Inspect(arg, func(n ast.Node) bool {
				if id, ok := n.(*ast.Ident); ok && pass.TypesInfo.ObjectOf(id) == object {
					sorted = true
				}
				return !sorted
			})
		}
		return !sorted
	})
	return sorted
}

// sorts is true of the functions of package sort, and of any that are named after sorting.
func sorts(pass *analysis.Pass, call *ast.CallExpr) bool {
	if sel, ok := call.Fun.(*ast.SelectorExpr); ok {
		if f, ok := pass.TypesInfo.Uses[sel.Sel].(*types.Func); ok && f.Pkg() != nil && f.Pkg().Path() == "sort" {
			return true
		}
	}
	return strings.HasPrefix(strings.ToLower(named(call.Fun)), "sort")
}

// harmless are calls whose order nobody sees.
func (l *looper) harmless(call *ast.CallExpr) bool {
	n := named(call.Fun)
	if n == "delete" || n == "panic" || n == "close" {
		return true
	}
	return strings.HasPrefix(n, "Sort") && l.usesElement(call)
}

func named(f ast.Expr) string {
	switch f := f.(type) {
	case *ast.Ident:
		return f.Name
	case *ast.SelectorExpr:
		return f.Sel.Name
	case *ast.IndexExpr:
		return named(f.X)
	}
	return ""
}
