package house

import (
	"encoding/json"
	"errors"
	"fmt"
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// The module, and where its root lies from this folder.
const (
	module = "example.com/steelyard"
	root   = "../.."
)

// permitted says which packages of this module each public package may
// depend on, besides packages under internal.
var permitted = map[string][]string{
	"units":     {},
	"liquid":    {"units"},
	"stability": {"units"},
	"ballast":   {"units", "liquid", "stability"},
	// Rooms over ballast, and beside it.
	"ballast/weigh":       {"units", "liquid", "stability", "ballast"},
	"ballast/reliability": {"units", "liquid", "stability", "ballast"},
	"ballast/standards":   {"units", "liquid"},
}

// public lists the public packages in the order of their imports.
var public = []string{"units", "liquid", "stability", "ballast", "ballast/weigh", "ballast/reliability", "ballast/standards"}

// listed is what the tests need of go list's answer.
type listed struct {
	ImportPath string
	Dir        string
	Export     string
	Standard   bool
	GoFiles    []string
	Deps       []string
	ForTest    string
	Name       string
}

// local returns the path within the module, and whether p lies in it.
func (p *listed) local() (string, bool) {
	if p.ImportPath == module {
		return "", true
	}
	return strings.CutPrefix(p.ImportPath, module+"/")
}

// load asks the go command for every package of the root module and all that
// they import, with compiled export data.
var load = sync.OnceValues(func() (map[string]*listed, error) {
	out, err := goCommand("list", "-deps", "-export",
		"-json=ImportPath,Dir,Export,Standard,GoFiles,Deps,Name", "./...")
	if err != nil {
		return nil, err
	}
	all := map[string]*listed{}
	for d := json.NewDecoder(strings.NewReader(out)); ; {
		p := new(listed)
		if err := d.Decode(p); errors.Is(err, io.EOF) {
			return all, nil
		} else if err != nil {
			return nil, err
		}
		all[p.ImportPath] = p
	}
})

// goCommand runs the go command in the root and returns what it prints.
func goCommand(args ...string) (string, error) {
	c := exec.Command("go", args...)
	c.Dir = root
	var complaint strings.Builder
	c.Stderr = &complaint
	out, err := c.Output()
	if err != nil {
		return "", fmt.Errorf("go %s: %w\n%s", strings.Join(args, " "), err, complaint.String())
	}
	return string(out), nil
}

func packages(t *testing.T) map[string]*listed {
	t.Helper()
	all, err := load()
	if err != nil {
		t.Fatal(err)
	}
	return all
}

// parsed is one package, parsed and type-checked without its tests.
type parsed struct {
	path  string // within the module
	fset  *token.FileSet
	files []*ast.File
	types *types.Package
	info  *types.Info
}

// check parses and type-checks the named package of this module.
func check(t *testing.T, name string) *parsed {
	t.Helper()
	all := packages(t)
	p := all[path.Join(module, name)]
	if p == nil {
		t.Fatalf("there is no package %s", name)
	}
	out := &parsed{path: name, fset: token.NewFileSet(), info: &types.Info{
		Uses:  map[*ast.Ident]types.Object{},
		Defs:  map[*ast.Ident]types.Object{},
		Types: map[ast.Expr]types.TypeAndValue{},
	}}
	for _, f := range p.GoFiles {
		syntax, err := parser.ParseFile(out.fset, filepath.Join(root, name, f), nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		out.files = append(out.files, syntax)
	}
	conf := types.Config{Importer: importer.ForCompiler(out.fset, "gc", func(imp string) (io.ReadCloser, error) {
		q := all[imp]
		if q == nil || q.Export == "" {
			return nil, fmt.Errorf("no export data for %s", imp)
		}
		return os.Open(q.Export)
	})}
	var err error
	out.types, err = conf.Check(p.ImportPath, out.fset, out.files, out.info)
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// at prints a position as path:line from the root.
func (p *parsed) at(pos token.Pos) string {
	where := p.fset.Position(pos)
	return fmt.Sprintf("%s:%d", path.Join(p.path, filepath.Base(where.Filename)), where.Line)
}

// sources lists the files of the repository by slash-separated path from the
// root, leaving out what version control ignores.
func sources(t *testing.T) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(root, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, name)
		if err != nil {
			return err
		}
		rel = filepath.ToSlash(rel)
		if d.IsDir() {
			if rel == ".git" || rel == ".cache" {
				return filepath.SkipDir
			}
			return nil
		}
		if d.Type().IsRegular() && !ignored(rel) {
			out = append(out, rel)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// ignored tells the leavings of the go command, as in .gitignore.
func ignored(name string) bool {
	switch path.Ext(name) {
	case ".test", ".out", ".prof":
		return true
	}
	return false
}

func read(t *testing.T, name string) string {
	t.Helper()
	b, err := os.ReadFile(filepath.Join(root, filepath.FromSlash(name)))
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}
