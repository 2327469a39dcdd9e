package main

import (
	"fmt"
	"go/ast"
	"go/constant"
	"go/token"
	"go/types"
	"regexp"
	"sort"
	"strconv"
	"strings"
)

// A point is one deliberate fault: a place in a file and the change there.
type point struct {
	id     int
	file   string // base name
	line   int
	where  string // the function or declaration around it
	change string // "+ becomes -"
	text   string // the expression, on one line
	nth    int    // counts equal points within where, from 1
	own    *edit  // a fault in a constant's declaration, which needs a separate build
}

// key names the point by its text and not by its line, so that the key stays valid after an
// edit elsewhere in the file.
func (p *point) key(pkg string) string {
	return fmt.Sprintf("%s/%s %s: %s in %s #%d", pkg, p.file, p.where, p.change, p.text, p.nth)
}

// An edit replaces the bytes from pos to end by text.
type edit struct {
	pos, end int
	text     string
	closing  bool // stands after what ends at pos; inner ones first
	order    int
}

// switches reads one file and writes it again with every fault in it. Each fault is behind a
// switch that the variable on of the helper file controls.
type switches struct {
	fset   *token.FileSet
	info   *types.Info
	pkg    *types.Package
	src    []byte
	file   *ast.File
	base   string
	names  map[string]string // import path to the name the file uses
	points []*point
	edits  []edit
	next   func() int
	where  string
	count  map[string]int
	skip   map[ast.Node]bool
	dull   map[ast.Node]bool // numbers whose change shows nothing
}

func (s *switches) offset(p token.Pos) int { return s.fset.Position(p).Offset }

func (s *switches) textOf(n ast.Node) string {
	return string(s.src[s.offset(n.Pos()):s.offset(n.End())])
}

func (s *switches) add(n ast.Node, change string) *point {
	p := s.passed(n, change)
	s.points = append(s.points, p)
	return p
}

// passed counts a point that is not tried, so that the numbers of the others
// do not depend on which are left out.
func (s *switches) passed(n ast.Node, change string) *point {
	text := strings.Join(strings.Fields(s.textOf(n)), " ")
	if len(text) > 70 {
		text = text[:67] + "..."
	}
	p := &point{file: s.base, line: s.fset.Position(n.Pos()).Line, where: s.where, change: change, text: text}
	look := s.where + change + text
	s.count[look]++
	p.nth = s.count[look]
	return p
}

func (s *switches) point(n ast.Node, change string) int {
	p := s.add(n, change)
	p.id = s.next()
	return p.id
}

func (s *switches) open(at token.Pos, text string) {
	o := s.offset(at)
	s.edits = append(s.edits, edit{pos: o, end: o, text: text, order: len(s.edits)})
}

func (s *switches) close(at token.Pos, text string) {
	o := s.offset(at)
	s.edits = append(s.edits, edit{pos: o, end: o, text: text, closing: true, order: -len(s.edits)})
}

func (s *switches) replace(pos, end token.Pos, text string) {
	s.edits = append(s.edits, edit{pos: s.offset(pos), end: s.offset(end), text: text, order: len(s.edits)})
}

// quiet matches calls whose plain numbers are not part of a formula: formats, bases and bit
// sizes.
var quiet = regexp.MustCompile(`^(fmt|strconv|errors|utf8|strings|math\.(Inf|NaN|Float64bits|Signbit|IsInf|IsNaN))\b`)

// silent matches functions that make text and compute nothing.
var silent = regexp.MustCompile(`(^|\.)(String|GoString|Error|Title|Text|Lines|MarshalText|UnmarshalText|MarshalJSON|UnmarshalJSON|AppendText|Format)$`)

func (s *switches) run() {
	for _, decl := range s.file.Decls {
		switch d := decl.(type) {
		case *ast.FuncDecl:
			s.where = d.Name.Name
			if d.Recv != nil && len(d.Recv.List) > 0 {
				t := strings.TrimPrefix(s.textOf(d.Recv.List[0].Type), "*")
				t, _, _ = strings.Cut(t, "[")
				s.where = t + "." + d.Name.Name
			}
			if d.Body != nil && !silent.MatchString(s.where) {
				ast.Inspect(d.Body, s.visit)
			}
		case *ast.GenDecl:
			for _, spec := range d.Specs {
				v, ok := spec.(*ast.ValueSpec)
				if !ok {
					continue
				}
				s.where = v.Names[0].Name
				if d.Tok == token.CONST {
					s.constants(v)
				} else {
					ast.Inspect(v, s.visit)
				}
			}
		}
	}
	// If all uses of package math are behind switches, the file still imports it.
	if name := s.names["math"]; name != "" {
		s.edits = append(s.edits, edit{pos: len(s.src), end: len(s.src), text: "\nvar _ = " + name + ".Pi\n", order: len(s.edits)})
	}
}

func (s *switches) constants(v *ast.ValueSpec) {
	for i, x := range v.Values {
		if i >= len(v.Names) {
			break
		}
		c := s.info.Defs[v.Names[i]]
		if c == nil || !isFloat(c.Type()) {
			continue
		}
		s.where = v.Names[i].Name
		ast.Inspect(x, func(n ast.Node) bool {
			lit, ok := n.(*ast.BasicLit)
			if !ok || (lit.Kind != token.FLOAT && lit.Kind != token.INT) {
				return true
			}
			if tolerance(s.info.Types[lit]) {
				s.passed(lit, "5 % more")
				return true
			}
			p := s.add(lit, "5 % more")
			p.own = &edit{pos: s.offset(lit.Pos()), end: s.offset(lit.End()), text: "(" + lit.Value + "*1.05)"}
			return true
		})
	}
}

func (s *switches) visit(n ast.Node) bool {
	if n == nil || s.skip[n] {
		return false
	}
	switch n := n.(type) {
	case *ast.ArrayType, *ast.MapType, *ast.StructType, *ast.FuncType, *ast.InterfaceType:
		return false
	case *ast.GenDecl:
		if n.Tok == token.CONST {
			for _, spec := range n.Specs {
				if v, ok := spec.(*ast.ValueSpec); ok {
					where := s.where
					s.constants(v)
					s.where = where
				}
			}
			return false
		}
		return n.Tok == token.VAR
	case *ast.CaseClause:
		if len(n.List) > 0 {
			for _, x := range n.List {
				if tv, ok := s.info.Types[x]; ok && tv.Value != nil {
					s.skip[x] = true
				}
			}
		}
	case *ast.CompositeLit:
		if t := s.info.TypeOf(n); t != nil {
			switch t.Underlying().(type) {
			case *types.Array, *types.Slice, *types.Map:
				for _, e := range n.Elts {
					if kv, ok := e.(*ast.KeyValueExpr); ok {
						s.skip[kv.Key] = true
					}
				}
			}
		}
	case *ast.AssignStmt:
		s.assign(n)
	case *ast.RangeStmt:
		// This is a bound on the steps of an iteration that ends by itself.
		if v := s.info.Types[n.X].Value; v != nil {
			if k, ok := constant.Int64Val(constant.ToInt(v)); ok && k >= 40 {
				s.dull[ast.Unparen(n.X)] = true
			}
		}
	case *ast.ReturnStmt:
		// With an error or a false, the other results have no meaning.
		if k := len(n.Results); k > 1 {
			last := s.info.Types[n.Results[k-1]]
			no := last.Value != nil && last.Value.Kind() == constant.Bool && !constant.BoolVal(last.Value)
			if t := last.Type; no || t != nil && !last.IsNil() && types.Implements(t, failure) {
				for _, x := range n.Results[:k-1] {
					s.dull[ast.Unparen(x)] = true
				}
			}
		}
	case *ast.CallExpr:
		return s.call(n)
	case *ast.IndexExpr:
		if tv, ok := s.info.Types[n.Index]; ok && tv.IsValue() && tv.Value == nil && isInteger(tv.Type) && s.indexable(n.X) {
			s.open(n.Index.Pos(), fmt.Sprintf("mutate__Index(%d, ", s.point(n, "index one more")))
			s.close(n.Index.End(), ")")
		}
	case ast.Expr:
		if s.leaf(n) {
			return false
		}
		switch x := n.(type) {
		case *ast.BinaryExpr:
			return s.binary(x)
		case *ast.UnaryExpr:
			if x.Op == token.SUB && isNumber(s.info.TypeOf(x)) {
				s.replace(x.OpPos, x.OpPos+1, fmt.Sprintf("mutate__Neg(%d, ", s.point(x, "minus left out")))
				s.close(x.End(), ")")
			}
			if x.Op == token.NOT {
				s.replace(x.OpPos, x.OpPos+1, fmt.Sprintf("mutate__Not(%d, ", s.point(x, "not left out")))
				s.close(x.End(), ")")
			}
		}
	}
	return true
}

func (s *switches) indexable(x ast.Expr) bool {
	t := s.info.TypeOf(x)
	if t == nil {
		return false
	}
	if p, ok := t.Underlying().(*types.Pointer); ok {
		t = p.Elem()
	}
	switch t.Underlying().(type) {
	case *types.Array, *types.Slice:
		return true
	}
	return false
}

// leaf puts a switch before a constant number, and reports whether the expression is such a
// number or another constant.
func (s *switches) leaf(x ast.Expr) bool {
	tv, ok := s.info.Types[x]
	if !ok || tv.IsType() {
		return ok && tv.IsType()
	}
	if tv.Value == nil {
		return false
	}
	t := tv.Type
	if !isNumber(t) || (tv.Value.Kind() != constant.Int && tv.Value.Kind() != constant.Float) {
		return true
	}
	if b, ok := t.Underlying().(*types.Basic); ok && b.Info()&types.IsUntyped != 0 {
		return true
	}
	if lit, ok := ast.Unparen(x).(*ast.BasicLit); ok && lit.Kind == token.CHAR {
		return true
	}
	integer := isInteger(t)
	if integer && !isPlainInt(t) {
		return true // a member of a closed choice, a bit set, a rune
	}
	value, _ := constant.Float64Val(tv.Value)
	if !integer && value != 0 && value > -1e-5 && value < 1e-5 {
		return true // a tolerance
	}
	dull := s.dull[ast.Unparen(x)] || !integer && tolerance(tv)
	if value >= 1e6 || value <= -1e6 {
		return true // a stand-in for no bound
	}
	known := true
	name := types.TypeString(t, func(p *types.Package) string {
		if p == s.pkg {
			return ""
		}
		if n := s.names[p.Path()]; n != "" {
			return n
		}
		known = false
		return p.Name()
	})
	if !known {
		return true
	}
	change := "5 % more"
	if integer || value == 0 {
		change = "one more"
	}
	if dull {
		s.passed(x, change)
		return true
	}
	s.open(x.Pos(), fmt.Sprintf("mutate__Num[%s](%d, ", name, s.point(x, change)))
	s.close(x.End(), ")")
	return true
}

// tolerance reports whether a number is only a tolerance: it is below 1e-5, or differs from 1
// by less than that.
func tolerance(tv types.TypeAndValue) bool {
	if tv.Value == nil || (tv.Value.Kind() != constant.Float && tv.Value.Kind() != constant.Int) {
		return false
	}
	v, _ := constant.Float64Val(tv.Value)
	return v != 0 && v != 1 && (v > -1e-5 && v < 1e-5 || v > 1-1e-5 && v < 1+1e-5)
}

var failure = types.Universe.Lookup("error").Type().Underlying().(*types.Interface)

var arithmetic = map[token.Token][2]string{
	token.ADD: {"Add", "-"}, token.SUB: {"Sub", "+"}, token.MUL: {"Mul", "/"}, token.QUO: {"Quo", "*"},
}

var comparison = map[token.Token][3]string{
	token.LSS: {"Lt", ">", "<="}, token.LEQ: {"Le", ">=", "<"},
	token.GTR: {"Gt", "<", ">="}, token.GEQ: {"Ge", "<=", ">"},
	token.EQL: {"Eq", "!="}, token.NEQ: {"Ne", "=="},
}

func (s *switches) binary(x *ast.BinaryExpr) bool {
	tx, ty := s.info.TypeOf(x.X), s.info.TypeOf(x.Y)
	wrap := func(name string, id int) {
		s.open(x.Pos(), fmt.Sprintf("mutate__%s(%d, ", name, id))
		s.replace(x.OpPos, x.OpPos+token.Pos(len(x.Op.String())), ",")
		s.close(x.End(), ")")
	}
	switch {
	case x.Op == token.SHL || x.Op == token.SHR:
		return false
	case x.Op == token.LAND || x.Op == token.LOR:
		if !isPlainBool(tx) || !isPlainBool(ty) {
			return true
		}
		name, other := "And", "||"
		if x.Op == token.LOR {
			name, other = "Or", "&&"
		}
		s.open(x.Pos(), fmt.Sprintf("mutate__%s(%d, ", name, s.point(x, x.Op.String()+" becomes "+other)))
		s.replace(x.OpPos, x.OpPos+2, ", func() bool { return (")
		s.close(x.End(), ")})")
		return true
	case !isNumber(tx) || !isNumber(ty):
		return true
	}
	if a, ok := arithmetic[x.Op]; ok {
		if tolerance(s.info.Types[x.X]) || tolerance(s.info.Types[x.Y]) {
			s.passed(x, x.Op.String()+" becomes "+a[1])
			return true
		}
		wrap(a[0], s.point(x, x.Op.String()+" becomes "+a[1]))
		return true
	}
	if c, ok := comparison[x.Op]; ok {
		for _, side := range []ast.Expr{x.X, x.Y} {
			// A comparison with zero is reversed, which is the greater fault.
			if v := s.info.Types[side].Value; v != nil && isFloat(s.info.TypeOf(side)) && constant.Sign(constant.ToFloat(v)) == 0 {
				s.dull[ast.Unparen(side)] = true
			}
		}
		if isInteger(tx) && !isPlainInt(tx) && c[2] != "" {
			return true
		}
		id := s.point(x, x.Op.String()+" becomes "+c[1])
		if c[2] != "" && isInteger(tx) {
			s.point(x, x.Op.String()+" becomes "+c[2])
			wrap("Int"+c[0], id)
		} else {
			wrap(c[0], id)
		}
	}
	return true
}

func (s *switches) assign(n *ast.AssignStmt) {
	op := map[token.Token]token.Token{
		token.ADD_ASSIGN: token.ADD, token.SUB_ASSIGN: token.SUB,
		token.MUL_ASSIGN: token.MUL, token.QUO_ASSIGN: token.QUO,
	}[n.Tok]
	if op == token.ILLEGAL || !isNumber(s.info.TypeOf(n.Lhs[0])) || strings.Contains(s.textOf(n.Lhs[0]), "(") {
		return
	}
	a := arithmetic[op]
	id := s.point(n, n.Tok.String()+" becomes "+a[1]+"=")
	s.replace(n.TokPos, n.TokPos+2, fmt.Sprintf("= mutate__%s(%d, %s, ", a[0], id, s.textOf(n.Lhs[0])))
	s.close(n.Rhs[0].End(), ")")
}

// swapped gives the function that replaces another. Both take and return plain numbers, so the
// switch is a function of the helper file.
var swapped = map[string]string{
	"math.Sin": "math.Cos", "math.Cos": "math.Sin", "math.Tan": "math.Sin",
	"math.Asin": "math.Acos", "math.Acos": "math.Asin", "math.Atan": "math.Tan",
	"math.Sqrt": "its argument", "math.Abs": "its argument", "math.Exp": "its argument", "math.Log": "its argument",
	"math.Floor": "math.Ceil", "math.Ceil": "math.Floor",
	"math.Max": "math.Min", "math.Min": "math.Max", "math.Atan2": "exchanged arguments",
	"math.Sincos": "exchanged results", "math.Hypot": "the sum",
	"min": "max", "max": "min",
}

func (s *switches) call(n *ast.CallExpr) bool {
	if tv, ok := s.info.Types[n]; ok && tv.Value != nil {
		return !s.leaf(n)
	}
	fun := s.textOf(n.Fun)
	if quiet.MatchString(fun) {
		for _, a := range n.Args {
			if tv := s.info.Types[a]; tv.Value != nil {
				s.skip[a] = true
			}
		}
		return true
	}
	if fun == "panic" {
		return false
	}
	if id, ok := n.Fun.(*ast.Ident); ok && (fun == "min" || fun == "max" || fun == "make") {
		if _, builtin := s.info.Uses[id].(*types.Builtin); !builtin {
			return true
		}
		if fun == "make" {
			for _, a := range n.Args[1:] {
				s.skip[a] = true // a capacity is not a formula
			}
			return true
		}
	}
	other, ok := swapped[fun]
	if !ok || n.Ellipsis.IsValid() {
		return true
	}
	name := strings.TrimPrefix(fun, "math.")
	if !strings.Contains(fun, ".") {
		name = "Builtin" + name
	}
	s.replace(n.Pos(), n.Lparen+1, fmt.Sprintf("mutate__%s(%d, ", name, s.point(n, fun+" becomes "+other)))
	s.skip[n.Fun] = true
	return true
}

// written returns the file with its edits.
func (s *switches) written() []byte { return apply(s.src, s.edits) }

func apply(src []byte, edits []edit) []byte {
	edits = append([]edit(nil), edits...)
	sort.SliceStable(edits, func(i, j int) bool {
		a, b := edits[i], edits[j]
		if a.pos != b.pos {
			return a.pos < b.pos
		}
		if a.closing != b.closing {
			return a.closing
		}
		if (a.end > a.pos) != (b.end > b.pos) {
			return b.end > b.pos // insertions stand before what is replaced
		}
		return a.order < b.order
	})
	var out []byte
	at := 0
	for _, e := range edits {
		out = append(out, src[at:e.pos]...)
		out = append(out, e.text...)
		at = e.end
	}
	return append(out, src[at:]...)
}

// imports maps the paths that a file imports to the names it gives them.
func imports(f *ast.File, pkg *types.Package) map[string]string {
	out := map[string]string{}
	for _, i := range f.Imports {
		p, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			continue
		}
		if i.Name != nil {
			if i.Name.Name != "_" && i.Name.Name != "." {
				out[p] = i.Name.Name
			}
			continue
		}
		for _, q := range pkg.Imports() {
			if q.Path() == p {
				out[p] = q.Name()
			}
		}
	}
	return out
}

// core returns the basic type under a type, or under every type of a type parameter.
func core(t types.Type) *types.Basic {
	if t == nil {
		return nil
	}
	if p, ok := t.(*types.TypeParam); ok {
		var found *types.Basic
		i, ok := p.Constraint().Underlying().(*types.Interface)
		if !ok {
			return nil
		}
		for e := range i.EmbeddedTypes() {
			if u, ok := e.(*types.Union); ok {
				for term := range u.Terms() {
					b := core(term.Type())
					if b == nil || (found != nil && found != b) {
						return nil
					}
					found = b
				}
			} else if b, ok := e.Underlying().(*types.Basic); ok {
				found = b
			} else if in, ok := e.Underlying().(*types.Interface); ok {
				for e := range in.EmbeddedTypes() {
					if u, ok := e.(*types.Union); ok && u.Len() > 0 {
						found = core(u.Term(0).Type())
					}
				}
			}
		}
		return found
	}
	b, _ := t.Underlying().(*types.Basic)
	return b
}

func isNumber(t types.Type) bool {
	b := core(t)
	return b != nil && b.Info()&(types.IsInteger|types.IsFloat) != 0
}

func isInteger(t types.Type) bool {
	b := core(t)
	return b != nil && b.Info()&types.IsInteger != 0
}

func isFloat(t types.Type) bool {
	b := core(t)
	return b != nil && b.Info()&types.IsFloat != 0
}

// isPlainInt reports whether a type is a count or an index, and not a bit set or a closed
// choice.
func isPlainInt(t types.Type) bool {
	b, ok := types.Unalias(t).(*types.Basic)
	return ok && (b.Kind() == types.Int || b.Kind() == types.Int64 || b.Kind() == types.UntypedInt)
}

func isPlainBool(t types.Type) bool {
	b, ok := types.Unalias(t).(*types.Basic)
	return ok && b.Info()&types.IsBoolean != 0
}
