package house

import (
	"go/ast"
	"go/token"
	"go/types"
	"strconv"
	"strings"
	"testing"
)

// TestChoicesDocumented wants the JSON names of every closed choice and of
// every set of remarks in the comment on its type: quoted, as JSON has them.
// Of a set the names that are those of the constants, but for a prefix, may be
// left out.
func TestChoicesDocumented(t *testing.T) {
	for _, name := range public {
		p := check(t, name)
		lists := map[string][]string{}     // names by the variable that holds them
		constants := map[string][]string{} // exported constants by type, in order
		docs := map[string]*ast.CommentGroup{}
		uses := map[string][]string{} // variables that String reads, by type
		for _, f := range p.files {
			for _, d := range f.Decls {
				switch d := d.(type) {
				case *ast.GenDecl:
					for _, spec := range d.Specs {
						switch s := spec.(type) {
						case *ast.TypeSpec:
							docs[s.Name.Name] = d.Doc
						case *ast.ValueSpec:
							if d.Tok == token.CONST {
								for _, id := range s.Names {
									if typ, ok := p.info.Defs[id].Type().(*types.Named); ok && id.IsExported() {
										constants[typ.Obj().Name()] = append(constants[typ.Obj().Name()], id.Name)
									}
								}
							} else if len(s.Values) == 1 {
								lists[s.Names[0].Name] = listedNames(s.Values[0])
							}
						}
					}
				case *ast.FuncDecl:
					if d.Recv == nil || d.Name.Name != "String" {
						continue
					}
					if typ, ok := d.Recv.List[0].Type.(*ast.Ident); ok && typ.IsExported() {
						ast.Inspect(d.Body, func(n ast.Node) bool {
							if id, ok := n.(*ast.Ident); ok {
								uses[typ.Name] = append(uses[typ.Name], id.Name)
							}
							return true
						})
					}
				}
			}
		}
		for typ, doc := range docs {
			obj, ok := p.types.Scope().Lookup(typ).(*types.TypeName)
			if !ok || !obj.Exported() || obj.IsAlias() {
				continue
			}
			basic, ok := obj.Type().Underlying().(*types.Basic)
			if !ok || basic.Info()&types.IsInteger == 0 || types.NewMethodSet(obj.Type()).Lookup(obj.Pkg(), "MarshalText") == nil {
				continue
			}
			text := strings.Join(strings.Fields(doc.Text()), " ")
			if !strings.Contains(text, "In JSON") {
				t.Errorf("%s: the comment on %s does not say what it is in JSON", p.at(obj.Pos()), typ)
			}
			for _, list := range uses[typ] {
				for i, n := range lists[list] {
					derived := strings.HasSuffix(list, "Text") && i < len(constants[typ]) &&
						strings.HasSuffix(constants[typ][i], strings.ToUpper(n[:1])+n[1:])
					if !derived && !strings.Contains(text, strconv.Quote(n)) {
						t.Errorf("%s: the comment on %s does not have its JSON name %q", p.at(obj.Pos()), typ, n)
					}
				}
			}
		}
	}
}

// listedNames returns the strings of a list, or the names of a list of
// remarks.
func listedNames(e ast.Expr) []string {
	list, ok := e.(*ast.CompositeLit)
	if !ok {
		return nil
	}
	var out []string
	for _, e := range list.Elts {
		if kv, ok := e.(*ast.KeyValueExpr); ok {
			e = kv.Value
		}
		if remark, ok := e.(*ast.CompositeLit); ok && len(remark.Elts) > 0 {
			if kv, ok := remark.Elts[0].(*ast.KeyValueExpr); ok {
				e = kv.Value
			}
		}
		if s, ok := e.(*ast.BasicLit); ok && s.Kind == token.STRING {
			if text, err := strconv.Unquote(s.Value); err == nil {
				out = append(out, text)
			}
		}
	}
	return out
}
