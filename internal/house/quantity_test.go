package house

import (
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"path"
	"sort"
	"strings"
	"testing"
)

// TestQuantities wants arithmetic on quantities to keep its dimension. Go's
// type rules let Length times Length be a Length, and Mass(force) compile; so
// the test walks every package of the module, and the cases below show what
// it refuses and what it allows.
func TestQuantities(t *testing.T) {
	var names []string
	for _, p := range packages(t) {
		if rel, ok := p.local(); ok && len(p.GoFiles) > 0 {
			names = append(names, rel)
		}
	}
	sort.Strings(names)
	for _, name := range names {
		p := check(t, name)
		for _, m := range mixes(p.files, p.info) {
			t.Errorf("%s: %s", p.at(m.pos), m.why)
		}
	}
}

// TestQuantitiesRefused holds the walk itself to what it must find.
func TestQuantitiesRefused(t *testing.T) {
	const prelude = `package p
		type Quantity interface { Length | Mass | Force }
		type Length float64
		type Mass float64
		type Force float64
		const Inch Length = 0.0254
		const n = 3
		var a, b Length
		var m Mass
		var x float64
		var k int
		func half[Q Quantity](q Q) { `
	cases := []struct {
		code string
		bad  bool
	}{
		{"_ = 2*a", false},
		{"_ = a*2", false},
		{"_ = a/2", false},
		{"_ = n*a", false},
		{"_ = (2.5+n)*a", false},
		{"_ = Length(x)*Inch", false},
		{"_ = Length(k)*Inch", false},
		{"_ = Inch*Length(2*x)", false},
		{"_ = 24*Inch", false},
		{"_ = float64(a/Inch)", false},
		{"_ = float64((a/b))*x", false},
		{"_ = float64(a)*float64(b)", false},
		{"_ = Mass(float64(a)*x)", false},
		{"a *= 2", false},
		{"a /= Length(x)", false},
		{"a += b", false},
		{"_ = q*Q(x)", false},
		{"_ = float64(q/q)", false},
		{"_ = Length(a)", false},

		{"_ = a*b", true},
		{"_ = a*Inch", true},
		{"_ = float64(a*b)", true},
		{"_ = a/b", true},
		{"_ = 1/a", true},
		{"_ = Length(x)/a", true},
		{"_ = 2*a*b", true},
		{"_ = float64(a/b/b)", true},
		{"_ = Length(m)", true},
		{"_ = Length(2*m)", true},
		{"_ = Length(m)*a", true},
		{"_ = Length(float64(a)*x)*Length(m)", true},
		{"a *= b", true},
		{"a /= Inch", true},
		{"_ = q*q", true},
		{"_ = Q(a)", true},
		{"_ = Length(q)", true},
	}
	for _, c := range cases {
		fset := token.NewFileSet()
		f, err := parser.ParseFile(fset, "p.go", prelude+c.code+"}", 0)
		if err != nil {
			t.Fatalf("%s: %v", c.code, err)
		}
		info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}}
		conf := types.Config{Importer: importer.Default()}
		if _, err := conf.Check(path.Join(module, "units"), fset, []*ast.File{f}, info); err != nil {
			t.Fatalf("%s: %v", c.code, err)
		}
		if got := mixes([]*ast.File{f}, info); (len(got) > 0) != c.bad {
			t.Errorf("%s: found %v, want a fault: %t", c.code, got, c.bad)
		}
	}
}

// A mix is a place where the dimension of a quantity is lost.
type mix struct {
	pos token.Pos
	why string
}

// mixes finds the products, ratios and conversions of quantities that make a
// wrong type.
func mixes(files []*ast.File, info *types.Info) []mix {
	w := &walk{info: info, ratios: map[ast.Expr]bool{}}
	for _, f := range files {
		ast.Inspect(f, w.visit)
	}
	return w.found
}

type walk struct {
	info   *types.Info
	ratios map[ast.Expr]bool // operands of float64(...)
	found  []mix
}

func (w *walk) visit(n ast.Node) bool {
	switch n := n.(type) {
	case *ast.CallExpr:
		if len(n.Args) != 1 || !w.info.Types[n.Fun].IsType() {
			break
		}
		to, from := w.info.TypeOf(n.Fun), w.info.TypeOf(n.Args[0])
		switch {
		case quantity(to) == nil:
			w.ratios[ast.Unparen(n.Args[0])] = true
		case quantity(from) != nil && !types.Identical(to, from) && !w.plain(n.Args[0]):
			w.add(n.Pos(), "%s is converted straight into %s: use a method of package units, or pass through float64 where the change is meant", from, to)
		}
	case *ast.BinaryExpr:
		w.operation(n, n.Op, n.X, n.Y, w.ratios[n])
	case *ast.AssignStmt:
		if n.Tok == token.MUL_ASSIGN || n.Tok == token.QUO_ASSIGN {
			op := token.MUL
			if n.Tok == token.QUO_ASSIGN {
				op = token.QUO
			}
			w.operation(n, op, n.Lhs[0], n.Rhs[0], false)
		}
	}
	return true
}

// operation judges x op y; ratio says that the result becomes a plain number.
func (w *walk) operation(n ast.Node, op token.Token, x, y ast.Expr, ratio bool) {
	tx, ty := w.info.TypeOf(x), w.info.TypeOf(y)
	if quantity(tx) == nil || quantity(ty) == nil || w.plain(y) {
		return
	}
	switch op {
	case token.MUL:
		if !w.plain(x) {
			w.add(n.Pos(), "%s times %s is no %s: use a method of package units", tx, ty, tx)
		}
	case token.QUO:
		if w.plain(x) {
			w.add(n.Pos(), "a number over %s is no %s", ty, tx)
		} else if !ratio {
			w.add(n.Pos(), "%s over %s is a plain number: write float64(a / b)", tx, ty)
		}
	}
}

// plain reports whether the expression is a number that only took a
// quantity's type: an untyped constant, or the conversion of a number.
func (w *walk) plain(e ast.Expr) bool {
	e = ast.Unparen(e)
	if call, ok := e.(*ast.CallExpr); ok {
		return len(call.Args) == 1 && w.info.Types[call.Fun].IsType() &&
			(quantity(w.info.TypeOf(call.Args[0])) == nil || w.plain(call.Args[0]))
	}
	if w.info.Types[e].Value == nil {
		return false
	}
	number := true
	ast.Inspect(e, func(n ast.Node) bool {
		if id, ok := n.(*ast.Ident); ok && w.info.Uses[id] != nil && quantity(w.info.Uses[id].Type()) != nil {
			number = false
		}
		return number
	})
	return number
}

func (w *walk) add(pos token.Pos, why string, list ...types.Type) {
	for _, t := range list {
		why = strings.Replace(why, "%s", types.TypeString(t, func(p *types.Package) string { return p.Name() }), 1)
	}
	w.found = append(w.found, mix{pos, why})
}

// quantity returns the type if it is a quantity of package units, or a type
// parameter that stands for one, and nil otherwise.
func quantity(t types.Type) types.Type {
	if p, ok := t.(*types.TypeParam); ok {
		t = p.Constraint()
		if n, ok := t.(*types.Named); !ok || n.Obj().Name() != "Quantity" {
			return nil
		}
	}
	n, ok := t.(*types.Named)
	if !ok || n.Obj().Pkg() == nil || n.Obj().Pkg().Path() != path.Join(module, "units") {
		return nil
	}
	if b, ok := n.Underlying().(*types.Basic); (ok && b.Kind() == types.Float64) || n.Obj().Name() == "Quantity" {
		return n
	}
	return nil
}
