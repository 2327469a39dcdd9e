package house

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
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
