package house

import (
	"bytes"
	"encoding/json"
	"go/format"
	"os"
	"path"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestTopLevel holds the root to its short list of names.
func TestTopLevel(t *testing.T) {
	allowed := []string{
		"ballast", "stability", "liquid", "units", "examples", "internal", "testdata",
		"go.mod", "go.sum", "README.md", "DEVELOPERS.md", "CHANGELOG.md", "LICENSE",
	}
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	have := map[string]bool{}
	for _, e := range entries {
		have[e.Name()] = true
		if !strings.HasPrefix(e.Name(), ".") && !ignored(e.Name()) && !slices.Contains(allowed, e.Name()) {
			t.Errorf("%s: the top level has no room for it; allowed are %s and dot-files", e.Name(), strings.Join(allowed, " "))
		}
	}
	for _, name := range allowed {
		if !have[name] {
			t.Errorf("%s is missing from the top level", name)
		}
	}
}

// TestFileNames wants each file and folder named after what is in it.
func TestFileNames(t *testing.T) {
	vague := regexp.MustCompile(`(?i)^(utils?|helpers?|misc|common|stuff|tmp|temp|new|old|final|copy)$`)
	word := regexp.MustCompile(`[A-Za-z]+`)
	for _, name := range sources(t) {
		if strings.Contains(name, "/testdata/fuzz/") {
			continue
		}
		for _, part := range strings.Split(name, "/") {
			for _, w := range word.FindAllString(part, -1) {
				if vague.MatchString(w) {
					t.Errorf("%s: %q says nothing about what is in it", name, w)
				}
			}
		}
	}
}

// TestFormatting is gofmt over every Go file.
func TestFormatting(t *testing.T) {
	for _, name := range sources(t) {
		if path.Ext(name) != ".go" {
			continue
		}
		have := []byte(read(t, name))
		want, err := format.Source(have)
		if err != nil {
			t.Errorf("%s: %v", name, err)
		} else if !bytes.Equal(have, want) {
			t.Errorf("%s: gofmt would change it", name)
		}
	}
}

// TestText looks for what must stand in no text file: paths of one machine,
// the folder beside the repository, and marks of unfinished work that do not
// say what is left and why.
func TestText(t *testing.T) {
	// Spelled in parts, so that this file passes its own test.
	machine := regexp.MustCompile(`(^|[^\w.$}*])/(` + `work|tmp|root|home|Users` + `)/\w|[A-Z]:\\(Users|Windows)`)
	beside := "../" + "shared"
	mark := regexp.MustCompile(`\b(` + `TO` + `DO|FIX` + `ME|XX` + `X|HA` + `CK)\b(.*)`)
	reason := regexp.MustCompile(`^(\([^)]+\))?: (\S+\s+){3,}\S+`)
	for _, name := range sources(t) {
		text := read(t, name)
		if strings.ContainsRune(text, 0) || strings.Contains(name, "/testdata/fuzz/") {
			continue
		}
		for i, line := range strings.Split(text, "\n") {
			if m := machine.FindString(line); m != "" {
				t.Errorf("%s:%d: a path of one machine: %q", name, i+1, m)
			}
			if strings.Contains(line, beside) {
				t.Errorf("%s:%d: the repository stands alone: %q", name, i+1, beside)
			}
			if m := mark.FindStringSubmatch(line); m != nil && !reason.MatchString(m[2]) {
				t.Errorf("%s:%d: %q does not say what is left and why", name, i+1, m[0])
			}
		}
	}
}

// TestTestdataNamed wants every file of the shared test data named, with its
// source, in the README beside it.
func TestTestdataNamed(t *testing.T) {
	index := read(t, "testdata/README.md")
	for _, name := range sources(t) {
		rel, ok := strings.CutPrefix(name, "testdata/")
		if !ok || rel == "README.md" || strings.HasPrefix(rel, "fuzz/") {
			continue
		}
		if !strings.Contains(index, path.Base(rel)) {
			t.Errorf("testdata/README.md does not name %s and where it comes from", rel)
		}
	}
}

// TestChangelog wants a line for each public package and each example
// program, under a heading for what is not released or for a version.
func TestChangelog(t *testing.T) {
	text := read(t, "CHANGELOG.md")
	if !regexp.MustCompile(`(?m)^## \[?(Unreleased|v?\d+\.\d+\.\d+)`).MatchString(text) {
		t.Error("CHANGELOG.md has no heading for a version or for what is not released")
	}
	names := slices.Clone(public)
	for _, name := range sources(t) {
		dir, file := path.Split(name)
		if part := strings.Split(dir, "/"); part[0] == "examples" && file == "main.go" && len(part) > 2 && part[1] != "internal" {
			names = append(names, part[1])
		}
	}
	for _, name := range slices.Compact(names) {
		if !strings.Contains(text, name) {
			t.Errorf("CHANGELOG.md does not mention %s", name)
		}
	}
}

// TestModules holds the module files to what they may require.
func TestModules(t *testing.T) {
	if _, err := os.Stat(root + "/go.work"); err == nil {
		t.Error("go.work: it refuses -modfile, so the tools would stop working")
	}
	var mod struct {
		Module  struct{ Path string }
		Go      string
		Require []struct {
			Path     string
			Indirect bool
		}
		Replace   []struct{ Old struct{ Path string } }
		Tool      []struct{ Path string }
		Toolchain string
	}
	out, err := goCommand("mod", "edit", "-json")
	if err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal([]byte(out), &mod); err != nil {
		t.Fatal(err)
	}
	if mod.Module.Path != module {
		t.Errorf("go.mod: module %s, not %s", mod.Module.Path, module)
	}
	if mod.Go != "1.24.0" {
		t.Errorf("go.mod: go %s: raising it shuts users out, so it takes a decision and a CHANGELOG line (and this test)", mod.Go)
	}
	for _, r := range mod.Require {
		if r.Path != "gonum.org/v1/gonum" && r.Path != "github.com/google/go-cmp" {
			t.Errorf("go.mod requires %s; gonum and go-cmp are all it may", r.Path)
		}
	}
	if len(mod.Replace) > 0 || len(mod.Tool) > 0 || mod.Toolchain != "" {
		t.Error("go.mod: replace, tool and toolchain lines belong to other modules than the library's")
	}
}
