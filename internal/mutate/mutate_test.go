package main

import (
	"go/ast"
	"go/importer"
	"go/parser"
	"go/token"
	"go/types"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

const sample = `package p

import "math"

const Stretch = 1.25

type Length float64

type kind uint8

const (
	first kind = iota
	second
)

var table = [...]float64{2: 3.5, 4}

func f(a, b Length, n int, k kind, s []float64) (float64, bool) {
	x := float64(a*b) + math.Sin(float64(a))
	x -= 2 * s[n] // half
	for i := 0; i < n; i++ {
		x = max(x, -s[i])
	}
	if a < 0 && !(b == Stretch) || k == second {
		return math.Inf(1), false
	}
	return x / 1e-12, n > 1<<3
}
`

// switched reads source, puts the faults in and returns both.
func switched(t *testing.T, source string) (*switches, string) {
	t.Helper()
	fset := token.NewFileSet()
	f, err := parser.ParseFile(fset, "p.go", source, parser.ParseComments)
	if err != nil {
		t.Fatal(err)
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: importer.Default()}
	pkg, err := conf.Check("p", fset, []*ast.File{f}, info)
	if err != nil {
		t.Fatal(err)
	}
	id := 0
	s := &switches{
		fset: fset, info: info, pkg: pkg, src: []byte(source), file: f, base: "p.go",
		names: imports(f, pkg), count: map[string]int{}, skip: map[ast.Node]bool{}, dull: map[ast.Node]bool{},
		next: func() int { id++; return id - 1 },
	}
	s.run()
	return s, string(s.written())
}

func TestPoints(t *testing.T) {
	s, _ := switched(t, sample)
	var got []string
	for _, p := range s.points {
		got = append(got, strings.TrimPrefix(p.key("p"), "p/p.go "))
	}
	want := []string{
		"Stretch: 5 % more in 1.25 #1",
		"table: 5 % more in 3.5 #1",
		"table: 5 % more in 4 #1",
		"f: + becomes - in float64(a*b) + math.Sin(float64(a)) #1",
		"f: * becomes / in a*b #1",
		"f: math.Sin becomes math.Cos in math.Sin(float64(a)) #1",
		"f: -= becomes += in x -= 2 * s[n] #1",
		"f: * becomes / in 2 * s[n] #1",
		"f: 5 % more in 2 #1",
		"f: index one more in s[n] #1",
		"f: one more in 0 #1",
		"f: < becomes > in i < n #1",
		"f: < becomes <= in i < n #1",
		"f: max becomes min in max(x, -s[i]) #1",
		"f: minus left out in -s[i] #1",
		"f: index one more in s[i] #1",
		"f: || becomes && in a < 0 && !(b == Stretch) || k == second #1",
		"f: && becomes || in a < 0 && !(b == Stretch) #1",
		"f: < becomes > in a < 0 #1",
		"f: not left out in !(b == Stretch) #1",
		"f: == becomes != in b == Stretch #1",
		"f: 5 % more in Stretch #1",
		"f: == becomes != in k == second #1",
		"f: > becomes < in n > 1<<3 #1",
		"f: > becomes >= in n > 1<<3 #1",
		"f: one more in 1<<3 #1",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("faults:\n%s\nwant:\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// The written file compiles together with the switches, and so does a
// constant's own fault.
func TestWritten(t *testing.T) {
	s, text := switched(t, sample)
	for _, w := range []string{
		"x = mutate__Sub(", "[...]float64{2: mutate__Num[float64](", "mutate__Num[Length](", "math.Inf(1)",
		"mutate__Builtinmax(", "1e-12", "func() bool { return (",
	} {
		if !strings.Contains(text, w) {
			t.Errorf("no %q in\n%s", w, text)
		}
	}
	own := string(apply(s.src, []edit{*s.points[0].own}))
	if !strings.Contains(own, "Stretch = (1.25*1.05)\n") {
		t.Errorf("a constant's fault is not in its place:\n%s", own)
	}
	dir := t.TempDir()
	for name, text := range map[string]string{
		"p.go":      text,
		"switch.go": strings.NewReplacer("PACKAGE", "p", "COUNT", "99").Replace(helper),
	} {
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	fset := token.NewFileSet()
	var files []*ast.File
	for _, name := range []string{"p.go", "switch.go"} {
		f, err := parser.ParseFile(fset, filepath.Join(dir, name), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	conf := types.Config{Importer: importer.ForCompiler(fset, "source", nil)}
	if _, err := conf.Check("p", fset, files, nil); err != nil {
		t.Error(err)
	}
}

func TestSurvivors(t *testing.T) {
	known, err := readSurvivors("survivors.txt")
	if err != nil {
		t.Fatal(err)
	}
	_ = known.kind("none")
	s := survivors{"a/b.go f: *": "open", "a/b.go f: x": "equal"}
	for key, want := range map[string]string{"a/b.go f: x": "equal", "a/b.go f: y": "open", "a/b.go g: x": ""} {
		if got := s.kind(key); got != want {
			t.Errorf("%s is %q, want %q", key, got, want)
		}
	}
	s = survivors{"a/b.go f: x": "open", "a/b/c.go f: x / y": "open"}
	for pkg, want := range map[string]string{"a": "a/b.go f: x", "a/b": "a/b/c.go f: x / y"} {
		if got := s.stale(pkg, nil); len(got) != 1 || got[0] != want {
			t.Errorf("stale in %s: %q, want %q", pkg, got, want)
		}
	}
}
