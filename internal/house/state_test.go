package house

import (
	"go/ast"
	"go/token"
	"go/types"
	"sort"
	"strings"
	"testing"
)

// TestNoMutableState wants package variables that nobody can change: exported
// are only sentinel errors; the others are tables set where they are declared
// and never assigned again, or values behind a type of package sync.
func TestNoMutableState(t *testing.T) {
	var names []string
	for _, p := range packages(t) {
		if rel, ok := p.local(); ok && p.Name != "main" && len(p.GoFiles) > 0 {
			names = append(names, rel)
		}
	}
	sort.Strings(names)
	for _, name := range names {
		state(t, check(t, name))
	}
}

func state(t *testing.T, p *parsed) {
	vars := map[types.Object]bool{} // package variables that hold nothing of package sync
	for _, f := range p.files {
		for _, decl := range f.Decls {
			gen, ok := decl.(*ast.GenDecl)
			if !ok {
				continue
			}
			for _, spec := range gen.Specs {
				v, ok := spec.(*ast.ValueSpec)
				if !ok {
					continue
				}
				for _, id := range v.Names {
					obj, ok := p.info.Defs[id].(*types.Var)
					if !ok || id.Name == "_" {
						continue
					}
					if id.IsExported() {
						sentinel := strings.HasPrefix(id.Name, "Err") && types.Identical(obj.Type(), types.Universe.Lookup("error").Type())
						if !sentinel {
							t.Errorf("%s: %s is an exported variable and no sentinel error: anybody could change it", p.at(id.Pos()), id.Name)
						}
					}
					if !synchronized(obj.Type(), 0) {
						vars[obj] = true
					}
				}
			}
		}
	}
	for _, f := range p.files {
		once := 0       // depth of function literals handed to sync.Once.Do
		inside := false // a function, not the declaration of another table
		var visit func(n ast.Node) bool
		visit = func(n ast.Node) bool {
			switch n := n.(type) {
			case *ast.CallExpr:
				if sel, ok := n.Fun.(*ast.SelectorExpr); ok && sel.Sel.Name == "Do" && len(n.Args) == 1 && fromSync(p.info.Uses[sel.Sel]) {
					once++
					ast.Inspect(n.Args[0], visit)
					once--
					return false
				}
			case *ast.AssignStmt:
				for _, l := range n.Lhs {
					assigned(t, p, vars, l, once > 0)
				}
			case *ast.IncDecStmt:
				assigned(t, p, vars, n.X, once > 0)
			case *ast.UnaryExpr:
				if inside && n.Op == token.AND {
					if _, lit := n.X.(*ast.CompositeLit); !lit {
						addressed(t, p, vars, n.X)
					}
				}
			}
			return true
		}
		for _, decl := range f.Decls {
			_, inside = decl.(*ast.FuncDecl)
			ast.Inspect(decl, visit)
		}
	}
}

// base returns the identifier at the root of an expression like a.b[c].d.
func base(e ast.Expr) *ast.Ident {
	for {
		switch x := e.(type) {
		case *ast.Ident:
			return x
		case *ast.SelectorExpr:
			e = x.X
		case *ast.IndexExpr:
			e = x.X
		case *ast.ParenExpr:
			e = x.X
		case *ast.StarExpr:
			e = x.X
		default:
			return nil
		}
	}
}

func assigned(t *testing.T, p *parsed, vars map[types.Object]bool, e ast.Expr, once bool) {
	if id := base(e); id != nil && vars[p.info.Uses[id]] && !once {
		t.Errorf("%s: the package variable %s is assigned: set it where it is declared, or within sync.Once", p.at(e.Pos()), id.Name)
	}
}

// addressed flags a pointer to a whole package variable; pointers to the
// elements of a table are how it is read without a copy.
func addressed(t *testing.T, p *parsed, vars map[types.Object]bool, e ast.Expr) {
	if id, ok := e.(*ast.Ident); ok && vars[p.info.Uses[id]] {
		t.Errorf("%s: a pointer to the package variable %s lets it be changed out of sight", p.at(e.Pos()), id.Name)
	}
}

func fromSync(obj types.Object) bool {
	return obj != nil && obj.Pkg() != nil && (obj.Pkg().Path() == "sync" || obj.Pkg().Path() == "sync/atomic")
}

// synchronized reports whether the type is one of package sync or holds one.
func synchronized(t types.Type, depth int) bool {
	if depth > 4 {
		return false
	}
	if n, ok := t.(*types.Named); ok && fromSync(n.Obj()) {
		return true
	}
	switch u := t.Underlying().(type) {
	case *types.Struct:
		for f := range u.Fields() {
			if synchronized(f.Type(), depth+1) {
				return true
			}
		}
	case *types.Array:
		return synchronized(u.Elem(), depth+1)
	case *types.Pointer:
		return synchronized(u.Elem(), depth+1)
	}
	return false
}
