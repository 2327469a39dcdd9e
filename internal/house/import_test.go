package house

import (
	"bufio"
	"go/types"
	"slices"
	"strings"
	"testing"
)

// outside tells a package that is neither of the standard library nor ours.
func outside(path string) bool {
	first, _, _ := strings.Cut(path, "/")
	return strings.Contains(first, ".") && path != module && !strings.HasPrefix(path, module+"/")
}

// roomOf returns the public package that a path within the module is of, itself
// or the nearest one above it, or its first folder. A room below another one
// is a room of its own, which the upper one may not import either.
func roomOf(rel string) string {
	room, _, _ := strings.Cut(rel, "/")
	for _, name := range public {
		if (rel == name || strings.HasPrefix(rel, name+"/")) && len(name) > len(room) {
			room = name
		}
	}
	return room
}

// TestImportDirection lets the public packages depend on the standard
// library, gonum, this module's internal packages and the rooms below them.
func TestImportDirection(t *testing.T) {
	all := packages(t)
	for _, name := range public {
		p := all[module+"/"+name]
		if p == nil {
			t.Errorf("there is no package %s", name)
			continue
		}
		for _, dep := range p.Deps {
			if rel, ok := strings.CutPrefix(dep, module+"/"); ok {
				room := roomOf(rel)
				if room != "internal" && room != name && !slices.Contains(permitted[name], room) {
					t.Errorf("%s depends on %s: that import points up or sideways", name, rel)
				}
				if strings.HasPrefix(rel, "internal/crosscheck") || strings.HasPrefix(rel, "internal/house") {
					t.Errorf("%s depends on %s, which is for tests", name, rel)
				}
				continue
			}
			if outside(dep) && !strings.HasPrefix(dep, "gonum.org/v1/gonum/") {
				t.Errorf("%s depends on %s: the library imports the standard library and gonum only", name, dep)
			}
			switch dep {
			case "net/http", "os/exec", "unsafe/cgo", "runtime/cgo", "C":
				t.Errorf("%s depends on %s, which a calculation has no use for", name, dep)
			}
		}
	}
	// Nothing beyond gonum outside tests, in internal packages as well.
	for path, p := range all {
		if outside(path) && !strings.HasPrefix(path, "gonum.org/v1/gonum/") {
			t.Errorf("%s (%s) is imported outside tests", path, p.Name)
		}
	}
}

// TestTestImports lets tests add go-cmp and nothing else.
func TestTestImports(t *testing.T) {
	out, err := goCommand("list", "-deps", "-test", "-f", "{{if not .Standard}}{{.ImportPath}}{{end}}", "./...")
	if err != nil {
		t.Fatal(err)
	}
	for s := bufio.NewScanner(strings.NewReader(out)); s.Scan(); {
		path, _, _ := strings.Cut(s.Text(), " ")
		if outside(path) && !strings.HasPrefix(path, "gonum.org/v1/gonum/") && !strings.HasPrefix(path, "github.com/google/go-cmp/") {
			t.Errorf("the tests import %s; they may use gonum and go-cmp", path)
		}
	}
}

// TestSignatures wants no type in the public API that a caller would have to
// import from a third party, or could not import at all.
func TestSignatures(t *testing.T) {
	for _, name := range public {
		p := check(t, name)
		w := &walker{seen: map[types.Type]bool{}, home: p.types}
		scope := p.types.Scope()
		for _, id := range scope.Names() {
			if obj := scope.Lookup(id); obj.Exported() {
				w.where = name + "." + id
				w.walk(obj.Type())
			}
		}
		for _, bad := range w.bad {
			t.Error(bad)
		}
	}
}

// walker goes through all types that are reachable from an exported object.
type walker struct {
	home  *types.Package
	seen  map[types.Type]bool
	where string
	bad   []string
}

func (w *walker) walk(t types.Type) {
	if t == nil || w.seen[t] {
		return
	}
	w.seen[t] = true
	switch t := t.(type) {
	case *types.Named:
		w.named(t.Obj(), t.TypeArgs())
		if t.Obj().Pkg() != w.home {
			return
		}
		for m := range t.Methods() {
			if m.Exported() {
				w.walk(m.Type())
			}
		}
		w.walk(t.Underlying())
	case *types.Alias:
		w.named(t.Obj(), t.TypeArgs())
		w.walk(types.Unalias(t))
	case *types.Pointer:
		w.walk(t.Elem())
	case *types.Slice:
		w.walk(t.Elem())
	case *types.Array:
		w.walk(t.Elem())
	case *types.Chan:
		w.walk(t.Elem())
	case *types.Map:
		w.walk(t.Key())
		w.walk(t.Elem())
	case *types.Signature:
		w.walk(t.Params())
		w.walk(t.Results())
	case *types.Tuple:
		for v := range t.Variables() {
			w.walk(v.Type())
		}
	case *types.Struct:
		for f := range t.Fields() {
			if f.Exported() || f.Embedded() {
				w.walk(f.Type())
			}
		}
	case *types.Interface:
		for m := range t.ExplicitMethods() {
			w.walk(m.Type())
		}
		for e := range t.EmbeddedTypes() {
			w.walk(e)
		}
	case *types.TypeParam:
		w.walk(t.Constraint())
	}
}

func (w *walker) named(obj *types.TypeName, args *types.TypeList) {
	if pkg := obj.Pkg(); pkg != nil {
		switch {
		case outside(pkg.Path()):
			w.bad = append(w.bad, w.where+": its signature needs "+pkg.Path()+"."+obj.Name()+", a type of a third party")
		case strings.HasPrefix(pkg.Path(), module+"/internal/"):
			w.bad = append(w.bad, w.where+": its signature needs "+pkg.Path()+"."+obj.Name()+", which a caller cannot import")
		}
	}
	for a := range args.Types() {
		w.walk(a)
	}
}
