package house

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/internal/words"
	"example.com/steelyard/units"
)

// spoken are the packages whose sentences people read.
var spoken = []string{"units", "liquid", "ballast", "ballast/weigh", "ballast/standards", "ballast/reliability", "stability", "internal/valid", "internal/choice", "internal/strictjson"}

// unspoken are texts with a space that are no sentence for people: spellings of units,
// texts of errors that a program handles, and parts of formats and patterns.
var unspoken = regexp.MustCompile(`^(%|reliability: (a|the) margin |\Q is not a number\E$|\^?(\[ |\(\?:)|TL TT |.*\[-RBDX|json:"|[0-9]|\n?and %d more|invalid input|answer rests on an assumption|(ballast|liquid|reliability|stability|weigh): [a-zA-Z]+$|.*: %w$|the value to decode into|say "of water" or .* must be "of $)|` +
	`^(% by mass|[kMhm]?Pa (gauge|absolute)|psi (gauge|absolute)|k?N m|(US|imp|UK) [a-z ]+|ft lbf|lbf? ft2?|kg m2|lbf ft|(kg|lb)/(L|m3|US gal|imp gal|mechanical hp|metric hp)( of (water|solution))?|mechanical hp|metric hp)$`)

// sentences lists the texts with a space in the code of a package, constants put
// together, without the spellings in the tables of units.
func sentences(t *testing.T, dir string) map[string]string {
	t.Helper()
	root := filepath.Join("..", "..")
	names, err := filepath.Glob(filepath.Join(root, dir, "*.go"))
	if err != nil || len(names) == 0 {
		t.Fatalf("%s: %v", dir, err)
	}
	files := token.NewFileSet()
	var parsed []*ast.File
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") || strings.HasSuffix(name, "doc.go") {
			continue
		}
		f, err := parser.ParseFile(files, name, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		parsed = append(parsed, f)
	}
	constants := map[string]string{}
	var text func(e ast.Expr) (string, bool)
	text = func(e ast.Expr) (string, bool) {
		switch x := e.(type) {
		case *ast.BasicLit:
			if x.Kind == token.STRING {
				s, err := strconv.Unquote(x.Value)
				return s, err == nil
			}
		case *ast.BinaryExpr:
			a, ok := text(x.X)
			b, both := text(x.Y)
			return a + b, x.Op == token.ADD && ok && both
		case *ast.Ident:
			s, ok := constants[x.Name]
			return s, ok
		}
		return "", false
	}
	for range 2 { // constants made of constants
		for _, f := range parsed {
			for _, d := range f.Decls {
				g, ok := d.(*ast.GenDecl)
				if !ok || g.Tok != token.CONST {
					continue
				}
				for _, s := range g.Specs {
					v := s.(*ast.ValueSpec)
					for i, n := range v.Names {
						if i < len(v.Values) {
							if s, ok := text(v.Values[i]); ok {
								constants[n.Name] = s
							}
						}
					}
				}
			}
		}
	}
	out := map[string]string{}
	for _, f := range parsed {
		ast.Inspect(f, func(n ast.Node) bool {
			switch x := n.(type) {
			case *ast.Field:
				return x.Tag == nil // a tag is no text
			case *ast.KeyValueExpr:
				if k, ok := x.Key.(*ast.Ident); ok && slices.Contains([]string{"symbol", "names", "exact", "example", "typ", "noun", "constant"}, k.Name) {
					return false
				}
			case *ast.CompositeLit:
				if a, ok := x.Type.(*ast.ArrayType); ok && len(x.Elts) > 0 {
					if id, ok := a.Elt.(*ast.Ident); ok && id.Name == "string" && strings.HasSuffix(files.Position(x.Pos()).Filename, "table.go") {
						return false // spellings
					}
				}
			case *ast.BasicLit, *ast.BinaryExpr:
				if s, ok := text(n.(ast.Expr)); ok {
					if strings.Contains(strings.TrimSpace(s), " ") {
						out[s] = files.Position(n.Pos()).String()
					}
					return false
				}
			}
			return true
		})
	}
	return out
}

// Every sentence that the library says has a code and a text in each language, and none
// is in the file that no code says.
func TestSentences(t *testing.T) {
	said := map[string]bool{}
	for _, dir := range spoken {
		for s, at := range sentences(t, dir) {
			said[s] = true
			if words.Code(s) == "" && !unspoken.MatchString(s) {
				t.Errorf("%s: no code for %q", at, s)
			}
		}
	}
	file, err := os.ReadFile(filepath.Join("..", "words", "words.tsv"))
	if err != nil {
		t.Fatal(err)
	}
	param := regexp.MustCompile(`\{[a-z]+\}`)
	names := func(s string) []string {
		list := param.FindAllString(s, -1)
		slices.Sort(list)
		return list
	}
	codes := map[string]bool{}
	for line := range strings.Lines(string(file)) {
		line = strings.TrimSuffix(line, "\n")
		if strings.HasPrefix(line, "#") {
			continue
		}
		p := strings.Split(line, "\t")
		if len(p) != 5 {
			t.Errorf("%q has %d columns", line, len(p))
			continue
		}
		if codes[p[0]] {
			t.Errorf("two texts have the code %s", p[0])
		}
		codes[p[0]] = true
		if p[1] == "" || p[2] == "" {
			t.Errorf("%s lacks a language", p[0])
		}
		if !slices.Equal(names(p[1]), names(p[2])) {
			t.Errorf("%s: the parameters of %q and %q differ", p[0], p[1], p[2])
		}
		var subject units.Subject
		if rank, err := strconv.Atoi(p[3]); p[3] != "" && (err != nil || rank < 1 || rank > 4 || subject.UnmarshalText([]byte(p[4])) != nil) {
			t.Errorf("%s: rank %q, subject %q", p[0], p[3], p[4])
		}
		if strings.HasPrefix(p[0], "want.") && !said[p[1]] && strings.Contains(p[1], " ") {
			t.Errorf("%s: no code says %q", p[0], p[1])
		}
		if strings.Contains(p[0], ".caution.") && p[3] == "" {
			t.Errorf("%s has no rank", p[0])
		}
	}
	for _, c := range []units.Catalog{units.English(), units.German()} {
		if list := c.Missing(); len(list) > 0 {
			t.Errorf("%s lacks %v", c.Language, list)
		}
	}
}
