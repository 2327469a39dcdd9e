package main

import (
	"bufio"
	"context"
	_ "embed"
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
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"sync"
	"time"
)

// helper is the file that joins the package in the overlay: the switches.
//
//go:embed switch.go.txt
var helper string

// worded matches files that hold names, texts, documents and their readers, but no formula.
// Readers of text have fuzz targets instead.
var worded = regexp.MustCompile(`^(doc|note|enum|kind|status|finding|document|format|handle|text|quantity_text|parse|designation)\.go$`)

// work is one package with its faults, and its tests once they are built.
type work struct {
	pkg, dir string // from the root; and a scratch folder
	full     string // the folder of the package
	points   []*point
	sources  map[string][]byte
	overlay  string
	binaries []*binary
}

// binary is a compiled set of tests.
type binary struct {
	pkg   string
	file  string
	dir   string
	tests []*test
}

type test struct {
	name string
	took time.Duration
	met  map[int]bool
}

// prepare reads a package and writes its overlay.
func prepare(pkg, dir string, only []string) (*work, error) {
	out, err := exec.Command("go", "list", "-deps", "-export", "-json=ImportPath,Dir,Export,GoFiles", "./"+pkg).Output()
	if err != nil {
		return nil, fmt.Errorf("go list: %w", err)
	}
	type listed struct {
		ImportPath, Dir, Export string
		GoFiles                 []string
	}
	all := map[string]*listed{}
	var own *listed
	for d := json.NewDecoder(strings.NewReader(string(out))); ; {
		p := new(listed)
		if err := d.Decode(p); errors.Is(err, io.EOF) {
			break
		} else if err != nil {
			return nil, err
		}
		all[p.ImportPath] = p
		own = p // the package itself comes last
	}
	fset := token.NewFileSet()
	var files []*ast.File
	w := &work{pkg: pkg, dir: dir, full: own.Dir, sources: map[string][]byte{}}
	for _, name := range own.GoFiles {
		src, err := os.ReadFile(filepath.Join(own.Dir, name))
		if err != nil {
			return nil, err
		}
		w.sources[name] = src
		f, err := parser.ParseFile(fset, name, src, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return nil, err
		}
		files = append(files, f)
	}
	info := &types.Info{Types: map[ast.Expr]types.TypeAndValue{}, Uses: map[*ast.Ident]types.Object{}, Defs: map[*ast.Ident]types.Object{}}
	conf := types.Config{Importer: importer.ForCompiler(fset, "gc", func(path string) (io.ReadCloser, error) {
		if p := all[path]; p != nil && p.Export != "" {
			return os.Open(p.Export)
		}
		return nil, fmt.Errorf("no export data for %s", path)
	})}
	tp, err := conf.Check(own.ImportPath, fset, files, info)
	if err != nil {
		return nil, err
	}
	ids := 0
	replace := map[string]string{}
	for i, name := range own.GoFiles {
		if len(only) > 0 && !slices.Contains(only, name) || len(only) == 0 && worded.MatchString(name) {
			continue
		}
		s := &switches{
			fset: fset, info: info, pkg: tp, src: w.sources[name], file: files[i], base: name,
			names: imports(files[i], tp), count: map[string]int{}, skip: map[ast.Node]bool{}, dull: map[ast.Node]bool{},
			next: func() int { ids++; return ids - 1 },
		}
		s.run()
		w.points = append(w.points, s.points...)
		to := filepath.Join(dir, name)
		if err := os.WriteFile(to, s.written(), 0o666); err != nil {
			return nil, err
		}
		replace[filepath.Join(own.Dir, name)] = to
	}
	// The other files are copied too, so that the faulty copies stay consistent even if the
	// tree is edited meanwhile.
	for name, src := range w.sources {
		if replace[filepath.Join(own.Dir, name)] == "" {
			to := filepath.Join(dir, name)
			if err := os.WriteFile(to, src, 0o666); err != nil {
				return nil, err
			}
			replace[filepath.Join(own.Dir, name)] = to
		}
	}
	code := strings.NewReplacer("package PACKAGE", "package "+tp.Name(), "COUNT", strconv.Itoa(ids+1)).Replace(helper)
	if err := os.WriteFile(filepath.Join(dir, "mutate__switch.go"), []byte(code), 0o666); err != nil {
		return nil, err
	}
	replace[filepath.Join(own.Dir, "mutate__switch.go")] = filepath.Join(dir, "mutate__switch.go")
	w.overlay, err = writeOverlay(dir, "overlay.json", replace)
	return w, err
}

func writeOverlay(dir, name string, replace map[string]string) (string, error) {
	b, err := json.Marshal(map[string]any{"Replace": replace})
	if err != nil {
		return "", err
	}
	file := filepath.Join(dir, name)
	return file, os.WriteFile(file, b, 0o666)
}

func compile(overlay, pkg, to string) error {
	out, err := exec.Command("go", "test", "-c", "-vet=off", "-overlay", overlay, "-o", to, "./"+pkg).CombinedOutput()
	if err != nil {
		return fmt.Errorf("go test -c %s: %w\n%s", pkg, err, out)
	}
	return nil
}

// build compiles the tests of the package and of the packages with it, and records which test
// reaches which fault.
func (w *work) build(with []string) error {
	root, err := os.Getwd()
	if err != nil {
		return err
	}
	for i, pkg := range append([]string{w.pkg}, with...) {
		b := &binary{pkg: pkg, file: filepath.Join(w.dir, fmt.Sprintf("tests%d", i)), dir: filepath.Join(root, pkg)}
		if err := compile(w.overlay, pkg, b.file); err != nil {
			return err
		}
		list := exec.Command(b.file, "-test.list", "^(Test|Example|Fuzz)")
		list.Dir = b.dir
		out, err := list.Output()
		if err != nil {
			return fmt.Errorf("%s: listing tests: %w", pkg, err)
		}
		for _, name := range strings.Fields(string(out)) {
			t := &test{name: name, met: map[int]bool{}}
			record := filepath.Join(w.dir, "record")
			os.Remove(record)
			start := time.Now()
			text, ok := b.run([]string{name}, 10*time.Minute, "MUTATE_RECORD="+record)
			t.took = time.Since(start)
			if !ok {
				fmt.Printf("%s: %s fails without any fault and is left out\n%s\n", pkg, name, tail(text))
				continue
			}
			met, err := os.ReadFile(record)
			if err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
			for _, f := range strings.Fields(string(met)) {
				if id, err := strconv.Atoi(f); err == nil {
					t.met[id] = true
				}
			}
			b.tests = append(b.tests, t)
		}
		sort.SliceStable(b.tests, func(i, j int) bool { return b.tests[i].took < b.tests[j].took })
		w.binaries = append(w.binaries, b)
	}
	return nil
}

func tail(s string) string {
	lines := strings.Split(strings.TrimSpace(s), "\n")
	return strings.Join(lines[max(0, len(lines)-5):], "\n")
}

// run runs the named tests under a limit of time and of memory, and reports
// whether they passed.
func (b *binary) run(names []string, limit time.Duration, env ...string) (string, bool) {
	ctx, cancel := context.WithTimeout(context.Background(), limit)
	defer cancel()
	quoted := make([]string, len(names))
	for i, n := range names {
		quoted[i] = regexp.QuoteMeta(n)
	}
	c := exec.CommandContext(ctx, "sh", "-c", `ulimit -v 16000000; exec "$0" "$@"`, b.file,
		"-test.short", "-test.failfast", "-test.run", "^("+strings.Join(quoted, "|")+")$")
	c.Dir = b.dir
	c.Env = append(os.Environ(), env...)
	c.WaitDelay = time.Second
	out, err := c.CombinedOutput()
	return string(out), err == nil
}

// The answers in the log.
const (
	noticed  = "noticed"
	survived = "survived"
	unmet    = "met by no test"
	broken   = "does not compile"
)

// try tries the faults and appends the results to the log.
func (w *work) try(todo []*point, parallel int, logName string, done map[string]string) error {
	f, err := os.OpenFile(logName, os.O_CREATE|os.O_APPEND|os.O_WRONLY, 0o666)
	if err != nil {
		return err
	}
	defer f.Close()
	var mu sync.Mutex
	var wg sync.WaitGroup
	next := make(chan *point)
	started := time.Now()
	n := 0
	for range max(1, parallel) {
		wg.Add(1)
		go func() {
			defer wg.Done()
			for p := range next {
				got, by := w.one(p)
				key := p.key(w.pkg)
				mu.Lock()
				done[key] = got
				fmt.Fprintf(f, "%s\t%s\t%s\n", got, key, by)
				if n++; n%100 == 0 {
					fmt.Fprintf(os.Stderr, "%s: %d of %d, %v\n", w.pkg, n, len(todo), time.Since(started).Round(time.Second))
				}
				mu.Unlock()
			}
		}()
	}
	for _, p := range todo {
		next <- p
	}
	close(next)
	wg.Wait()
	return nil
}

// one tries one fault: first with the quick tests that reach it, then with the others.
func (w *work) one(p *point) (answer, by string) {
	if p.own != nil {
		return w.constant(p)
	}
	met := false
	for _, b := range w.binaries {
		var names []string
		var sum time.Duration
		flush := func() bool {
			if len(names) == 0 {
				return false
			}
			out, ok := b.run(names, 10*sum+10*time.Second, "MUTATE_POINT="+strconv.Itoa(p.id))
			names, sum = nil, 0
			if !ok {
				by = culprit(out)
			}
			return !ok
		}
		for _, t := range b.tests {
			if !t.met[p.id] {
				continue
			}
			met = true
			names = append(names, t.name)
			if sum += t.took; sum > time.Second && flush() {
				return noticed, by
			}
		}
		if flush() {
			return noticed, by
		}
	}
	if !met {
		return unmet, ""
	}
	return survived, ""
}

// constant builds the tests again with one number changed.
func (w *work) constant(p *point) (answer, by string) {
	dir, err := os.MkdirTemp(w.dir, "constant")
	if err != nil {
		return broken, err.Error()
	}
	defer os.RemoveAll(dir)
	replace := map[string]string{}
	for name, src := range w.sources {
		if name == p.file {
			src = apply(src, []edit{*p.own})
		}
		to := filepath.Join(dir, name)
		if err := os.WriteFile(to, src, 0o666); err != nil {
			return broken, err.Error()
		}
		replace[filepath.Join(w.full, name)] = to
	}
	overlay, err := writeOverlay(dir, "overlay.json", replace)
	if err != nil {
		return broken, err.Error()
	}
	for _, b := range w.binaries {
		c := &binary{pkg: b.pkg, file: filepath.Join(dir, "tests"), dir: b.dir}
		if err := compile(overlay, b.pkg, c.file); err != nil {
			// A test compares the constant with another one at compile time.
			return noticed, tail(err.Error())
		}
		var names []string
		limit := 10 * time.Second
		for _, t := range b.tests {
			names = append(names, t.name)
			limit += 10 * t.took
		}
		if out, ok := c.run(names, limit); !ok {
			return noticed, culprit(out)
		}
	}
	return survived, ""
}

var failed = regexp.MustCompile(`(?m)^\s*--- FAIL: (\S+)`)

// culprit names the test that failed.
func culprit(out string) string {
	if m := failed.FindStringSubmatch(out); m != nil {
		return m[1]
	}
	if strings.Contains(out, "panic:") {
		return "panic"
	}
	return "stopped"
}

// readLog returns the last answer for each fault.
func readLog(name string) (map[string]string, error) {
	done := map[string]string{}
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return done, nil
	} else if err != nil {
		return nil, err
	}
	defer f.Close()
	for s := bufio.NewScanner(f); s.Scan(); {
		if part := strings.Split(s.Text(), "\t"); len(part) >= 2 {
			done[part[1]] = part[0]
		}
	}
	return done, nil
}

// survivors gives the kind of each fault that is known to survive.
type survivors map[string]string

func (s survivors) kind(key string) string {
	if k := s[key]; k != "" {
		return k
	}
	for i := len(key); i > 0; i-- {
		if k := s[key[:i]+"*"]; k != "" {
			return k
		}
	}
	return ""
}

// stale returns the keys of a package that match none of its faults.
func (s survivors) stale(pkg string, points []*point) []string {
	var out []string
	for key := range s {
		// A package in a subfolder has its own keys.
		if file, _, _ := strings.Cut(key, " "); path.Dir(file) != pkg {
			continue
		}
		stands := func(p *point) bool {
			begin, open := strings.CutSuffix(key, "*")
			return p.key(pkg) == key || open && strings.HasPrefix(p.key(pkg), begin)
		}
		if !slices.ContainsFunc(points, stands) {
			out = append(out, key)
		}
	}
	sort.Strings(out)
	return out
}

// readSurvivors reads lines of "equal|open, tab, key, tab, why". A key that ends with * matches
// all keys that begin with the text before it.
func readSurvivors(name string) (survivors, error) {
	known := survivors{}
	f, err := os.Open(name)
	if errors.Is(err, fs.ErrNotExist) {
		return known, nil
	} else if err != nil {
		return nil, err
	}
	defer f.Close()
	n := 0
	for s := bufio.NewScanner(f); s.Scan(); {
		n++
		if line := s.Text(); line != "" && !strings.HasPrefix(line, "#") {
			part := strings.Split(line, "\t")
			if len(part) != 3 || part[0] != "equal" && part[0] != "open" || strings.TrimSpace(part[2]) == "" {
				return nil, fmt.Errorf("%s:%d: want equal or open, the fault and the reason, with tabs between", name, n)
			}
			known[part[1]] = part[0]
		}
	}
	return known, nil
}
