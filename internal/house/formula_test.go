package house

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// A formula stands in a comment on a line of its own, indented by a tab, and
// has an equals sign; a line of code in a comment has := or //.
var (
	formulaLine = regexp.MustCompile(`(?m)^//\t.*[^:]= `)
	codeLine    = regexp.MustCompile(`(?m)^//\t.*(:=|//)`)
	heldBy      = regexp.MustCompile(`Held by (Test\w+(?:(?:,| and) Test\w+)*)\.`)
	testName    = regexp.MustCompile(`Test\w+`)
)

// TestFormulas wants, of every formula in a comment, the name of the test that
// holds it: "Held by TestName." in the same comment. The test must exist in the
// package, so that a reader comes from a sentence to its check.
func TestFormulas(t *testing.T) {
	tests := map[string]map[string]bool{}
	type formula struct {
		dir, where string
		names      []string
	}
	var formulas []formula
	for _, name := range sources(t) {
		if path.Ext(name) != ".go" || strings.Contains("/"+name, "/testdata/") || strings.HasPrefix(name, "examples/") {
			continue
		}
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, filepath.Join(root, filepath.FromSlash(name)), nil, parser.ParseComments)
		if err != nil {
			t.Error(err)
			continue
		}
		dir := path.Dir(name)
		if strings.HasSuffix(name, "_test.go") {
			if tests[dir] == nil {
				tests[dir] = map[string]bool{}
			}
			for _, d := range f.Decls {
				if fn, ok := d.(*ast.FuncDecl); ok && fn.Recv == nil {
					tests[dir][fn.Name.Name] = true
				}
			}
			continue
		}
		for _, group := range f.Comments {
			var text strings.Builder
			for _, c := range group.List {
				text.WriteString(c.Text + "\n")
			}
			if !formulaLine.MatchString(text.String()) || codeLine.MatchString(text.String()) {
				continue
			}
			var names []string
			for _, m := range heldBy.FindAllStringSubmatch(strings.Join(strings.Fields(group.Text()), " "), -1) {
				names = append(names, testName.FindAllString(m[1], -1)...)
			}
			formulas = append(formulas, formula{dir, name + ":" + position(set, group.Pos()), names})
		}
	}
	for _, f := range formulas {
		if len(f.names) == 0 {
			t.Errorf("%s: a formula without the test that holds it: \"Held by TestName.\"", f.where)
		}
		for _, n := range f.names {
			if !tests[f.dir][n] {
				t.Errorf("%s: held by %s, which is no test of the package", f.where, n)
			}
		}
	}
	if len(formulas) < 20 {
		t.Errorf("%d formulas only", len(formulas))
	}
}

func position(set *token.FileSet, pos token.Pos) string {
	p := set.Position(pos)
	p.Filename = ""
	return p.String()
}

// maxLines is the most that a function may have.
const maxLines = 100

// TestLengths wants functions that a reader can hold in mind.
func TestLengths(t *testing.T) {
	for _, name := range sources(t) {
		if path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") || strings.Contains("/"+name, "/testdata/") {
			continue
		}
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, filepath.Join(root, filepath.FromSlash(name)), nil, 0)
		if err != nil {
			t.Error(err)
			continue
		}
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok {
				continue
			}
			if n := set.Position(fn.End()).Line - set.Position(fn.Pos()).Line + 1; n > maxLines {
				t.Errorf("%s: %s has %d lines, at most %d", name, fn.Name.Name, n, maxLines)
			}
		}
	}
}
