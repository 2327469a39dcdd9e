package house

import (
	"go/ast"
	"go/doc"
	"go/parser"
	"go/token"
	"path"
	"path/filepath"
	"strings"
	"testing"
)

// TestPackageDocs wants a package comment in every package, the examples and
// the internal ones included.
func TestPackageDocs(t *testing.T) {
	type state struct{ documented bool }
	dirs := map[string]*state{}
	var order []string
	for _, name := range sources(t) {
		if path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") || strings.Contains("/"+name, "/testdata/") {
			continue
		}
		f, err := parser.ParseFile(token.NewFileSet(), filepath.Join(root, filepath.FromSlash(name)), nil, parser.PackageClauseOnly|parser.ParseComments)
		if err != nil {
			t.Error(err)
			continue
		}
		dir := path.Dir(name)
		s := dirs[dir]
		if s == nil {
			s = new(state)
			dirs[dir] = s
			order = append(order, dir)
		}
		if f.Doc != nil && strings.TrimSpace(f.Doc.Text()) != "" {
			s.documented = true
			if want := "Package " + f.Name.Name + " "; f.Name.Name != "main" && !strings.HasPrefix(f.Doc.Text(), want) {
				t.Errorf("%s: the package comment must begin with %q", name, want)
			}
		}
	}
	for _, dir := range order {
		if !dirs[dir].documented {
			t.Errorf("%s: no file has a package comment", dir)
		}
	}
}

// TestDocumented wants a doc comment on everything exported by the public
// packages: functions, types, methods, constants and variables (by group or
// one by one), and struct fields (their own comment, a mention in the comment
// of the type or of the field above in the same block, or a type of the
// package that bears the field's name, as in Kind FluidKind).
func TestDocumented(t *testing.T) {
	for _, name := range public {
		p := check(t, name)
		// NewFromFiles takes the syntax over, and check makes it anew each time.
		d, err := doc.NewFromFiles(p.fset, p.files, path.Join(module, name))
		if err != nil {
			t.Fatal(err)
		}
		if d.Doc == "" {
			t.Errorf("%s: no package comment", name)
		}
		values := func(list []*doc.Value) {
			for _, v := range list {
				for _, spec := range v.Decl.Specs {
					s := spec.(*ast.ValueSpec)
					for _, id := range s.Names {
						if id.IsExported() && blank(v.Doc) && s.Doc == nil && s.Comment == nil {
							t.Errorf("%s: %s has no doc comment, nor has its group", p.at(id.Pos()), id.Name)
						}
					}
				}
			}
		}
		funcs := func(list []*doc.Func) {
			for _, f := range list {
				if blank(f.Doc) {
					t.Errorf("%s: %s%s has no doc comment", p.at(f.Decl.Pos()), receiver(f), f.Name)
				} else if !strings.HasPrefix(f.Doc, f.Name+" ") && !strings.HasPrefix(f.Doc, "Deprecated:") {
					t.Errorf("%s: the comment on %s%s must begin with its name", p.at(f.Decl.Pos()), receiver(f), f.Name)
				}
			}
		}
		values(d.Consts)
		values(d.Vars)
		funcs(d.Funcs)
		for _, typ := range d.Types {
			if blank(typ.Doc) {
				t.Errorf("%s: %s has no doc comment", p.at(typ.Decl.Pos()), typ.Name)
			}
			values(typ.Consts)
			values(typ.Vars)
			funcs(typ.Funcs)
			funcs(typ.Methods)
			for _, spec := range typ.Decl.Specs {
				if s, ok := spec.(*ast.TypeSpec).Type.(*ast.StructType); ok {
					fields(t, p, typ, s)
				}
			}
		}
	}
}

func blank(doc string) bool { return strings.TrimSpace(doc) == "" }

func receiver(f *doc.Func) string {
	if f.Recv == "" {
		return ""
	}
	return strings.TrimPrefix(f.Recv, "*") + "."
}

func fields(t *testing.T, p *parsed, typ *doc.Type, s *ast.StructType) {
	block := ""   // the comment that heads the present block of lines
	lastLine := 0 // where the field above ends
	for _, f := range s.Fields.List {
		start := p.fset.Position(f.Pos()).Line
		if f.Doc != nil {
			block = f.Doc.Text()
		} else if start > lastLine+1 {
			block = ""
		}
		lastLine = p.fset.Position(f.End()).Line
		if f.Doc != nil || f.Comment != nil {
			continue
		}
		for _, id := range f.Names {
			if own, ok := f.Type.(*ast.Ident); ok && own.IsExported() && strings.HasSuffix(own.Name, id.Name) {
				continue
			}
			if id.IsExported() && !mentions(typ.Doc, id.Name) && !mentions(block, id.Name) {
				t.Errorf("%s: field %s.%s has no comment, and that on %s does not mention it", p.at(id.Pos()), typ.Name, id.Name, typ.Name)
			}
		}
	}
}

// mentions reports whether a word of the text begins with the name, in any
// case.
func mentions(text, name string) bool {
	name = strings.ToLower(name)
	for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9')
	}) {
		if strings.HasPrefix(w, name) {
			return true
		}
	}
	return false
}
