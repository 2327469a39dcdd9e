package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/steelyard/examples/internal/golden"
)

// TestChanceGolden holds the built-in specifications to their text and CSV. The season has
// few evaluations here.
func TestChanceGolden(t *testing.T) {
	dir := t.TempDir()
	golden.Check(t, "chance.txt", mustRun(t, "chance", "-calls", "60000", "-out", dir))
	for _, name := range []string{"chances.csv", "indices.csv"} {
		text, err := os.ReadFile(filepath.Join(dir, name))
		if err != nil {
			t.Fatal(err)
		}
		golden.Check(t, name, string(text))
	}
	text, err := os.ReadFile(filepath.Join(dir, "chance.json"))
	if err != nil || !strings.Contains(string(text), `"limit": "tipping.worst"`) {
		t.Errorf("chance.json: %v", err)
	}
	golden.Check(t, "chance-season.txt", mustRun(t, "chance", "-season", "-calls", "60000"))
}

// TestChanceShow: what -show prints is a specification that is read again.
func TestChanceShow(t *testing.T) {
	for _, args := range [][]string{{"chance", "-show"}, {"chance", "-season", "-show"}} {
		text := mustRun(t, args...)
		path := filepath.Join(t.TempDir(), "s.json")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		if again := mustRun(t, "chance", "-spec", path, "-show"); again != text {
			t.Errorf("%v: not the same", args)
		}
	}
}

// TestChanceRefuses: wrong flags and specifications end with code 2 and name the field.
func TestChanceRefuses(t *testing.T) {
	path := filepath.Join(t.TempDir(), "s.json")
	if err := os.WriteFile(path, []byte(strings.Replace(string(chanceDemo), `"sd": 25`, `"sd": -25`, 1)), 0o600); err != nil {
		t.Fatal(err)
	}
	for want, args := range map[string][]string{
		"variables[0].distribution.sd": {"chance", "-spec", path},
		"-calls 5":                     {"chance", "-calls", "5"},
		"-season":                      {"chance", "-spec", path, "-season"},
		`"x"`:                          {"chance", "x"},
	} {
		if code, _, stderr := run(t, args...); code != 2 || !strings.Contains(stderr, want) {
			t.Errorf("%v: %d, %s", args, code, stderr)
		}
	}
}
