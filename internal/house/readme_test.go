package house

import (
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.com/steelyard/internal/validation"
)

// Every block of Go in the README stands word for word in a test that is
// compiled and run, so that it cannot go stale.
func TestReadmeCode(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join("..", "..", "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	var code strings.Builder
	files, err := filepath.Glob(filepath.Join("..", "..", "*", "example*_test.go"))
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		b, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		code.Write(b)
	}
	blocks := strings.Split(string(readme), "```go\n")[1:]
	if len(blocks) < 3 {
		t.Errorf("%d blocks of Go in the README, want one for each kind of user", len(blocks))
	}
	for _, b := range blocks {
		b, _, _ = strings.Cut(b, "```")
		if !strings.Contains(code.String(), b) {
			t.Errorf("this block of the README is in no example test:\n%s", b)
		}
	}
}

// TestTrust wants the table of outside sources in the README and the
// validation tests to name the same sources, once each; the tests themselves
// hold the figures.
func TestTrust(t *testing.T) {
	rows, err := validation.Rows()
	if err != nil {
		t.Fatal(err)
	}
	run := regexp.MustCompile(`validation\.Run\(t, "([^"]+)"`)
	tests := map[string]int{}
	for _, name := range sources(t) {
		if strings.HasSuffix(name, "/validation_test.go") {
			for _, m := range run.FindAllStringSubmatch(read(t, name), -1) {
				tests[m[1]]++
			}
		}
	}
	for _, r := range rows {
		if len(r) != 3 || tests[r[0]] != 1 {
			t.Errorf("README.md: the row of %q has %d columns and %d tests, want 3 and 1", r[0], len(r), tests[r[0]])
		}
		delete(tests, r[0])
	}
	for name := range tests {
		t.Errorf("README.md has no row for the test of %q", name)
	}
}
