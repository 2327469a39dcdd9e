package main

import (
	"bytes"
	"context"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"testing"
)

// copied copies the sources of both modules to another folder.
func copied(t *testing.T, from, to string) {
	t.Helper()
	err := filepath.WalkDir(from, func(name string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		short, err := filepath.Rel(from, name)
		if err != nil {
			return err
		}
		if d.IsDir() {
			if d.Name() == ".git" || d.Name() == "mutate" {
				return fs.SkipDir
			}
			return os.MkdirAll(filepath.Join(to, short), 0o777)
		}
		if !d.Type().IsRegular() {
			return nil
		}
		data, err := os.ReadFile(name)
		if err != nil {
			return err
		}
		return os.WriteFile(filepath.Join(to, short), data, 0o666)
	})
	if err != nil {
		t.Fatal(err)
	}
}

// Two builds from different folders, the second with a cache of its own so that everything is
// compiled anew, are the same bytes: programs, page, licenses and checksums. It takes some minutes, so
// it is done where RELEASE_TWICE=1 asks for it, as .ci/run does, and for one platform.
func TestSameBytes(t *testing.T) {
	if os.Getenv("RELEASE_TWICE") != "1" {
		t.Skip("compiles everything twice: RELEASE_TWICE=1 asks for it")
	}
	root, err := filepath.Abs("../../..")
	if err != nil {
		t.Fatal(err)
	}
	platform := "linux/" + runtime.GOARCH
	if platform != "linux/amd64" && platform != "linux/arm64" {
		platform = "linux/amd64"
	}
	first := filepath.Join(t.TempDir(), "first")
	var log bytes.Buffer
	if err := run(context.Background(), []string{"-o", first, "-platforms", platform}, &log, io.Discard); err != nil {
		t.Fatal(err)
	}
	elsewhere := filepath.Join(t.TempDir(), "another folder", "x")
	copied(t, root, elsewhere)
	second := filepath.Join(t.TempDir(), "second")
	c := exec.Command("go", "run", "./internal/release", "-o", second, "-platforms", platform)
	c.Dir = filepath.Join(elsewhere, "examples")
	cache := filepath.Join(t.TempDir(), "cache")
	c.Env = append(os.Environ(), "GOCACHE="+cache, "HOME="+t.TempDir(), "PWD="+c.Dir, "GOMODCACHE="+modules(t), "GOPATH="+t.TempDir())
	if out, err := c.CombinedOutput(); err != nil {
		t.Fatalf("%v\n%s", err, out)
	}
	a, err := os.ReadFile(filepath.Join(first, "SHA256SUMS"))
	if err != nil {
		t.Fatal(err)
	}
	b, err := os.ReadFile(filepath.Join(second, "SHA256SUMS"))
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a, b) {
		t.Errorf("one folder:\n%s\nanother:\n%s", a, b)
	}
	if n := strings.Count(string(a), "\n"); n != len(programs)+4 {
		t.Errorf("%d files: %s", n, a)
	}
	for _, name := range append([]string{"../" + pageName}, programs...) {
		data, err := os.ReadFile(filepath.Join(first, strings.Replace(platform, "/", "-", 1), name))
		if err != nil {
			t.Fatal(err)
		}
		for _, path := range []string{root, elsewhere, os.Getenv("HOME") + "/"} {
			if len(path) > 6 && bytes.Contains(data, []byte(path)) {
				t.Errorf("%s holds the path %s", name, path)
			}
		}
	}
	licenses, err := os.ReadFile(filepath.Join(first, "LICENSES.txt"))
	if err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"- steelyard\n", "gonum.org/v1/gonum v", "wasm_exec.js", "github.com/parquet-go/parquet-go v"} {
		if !bytes.Contains(licenses, []byte(want)) {
			t.Errorf("the licenses lack %q", want)
		}
	}
}

// modules is the cache of modules, which both builds may share: it holds sources only.
func modules(t *testing.T) string {
	out, err := exec.Command("go", "env", "GOMODCACHE").Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(string(out))
}

func TestWrongUse(t *testing.T) {
	full := t.TempDir()
	if err := os.WriteFile(filepath.Join(full, "x"), nil, 0o666); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{}, {"-o", full}, {"-o", filepath.Join(full, "new"), "-platforms", "plan9/amd64"}, {"-o", "x", "y"}} {
		if err := run(context.Background(), args, io.Discard, io.Discard); err == nil {
			t.Errorf("%q is taken", args)
		}
	}
}
