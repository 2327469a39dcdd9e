package atomicfile

import (
	"os"
	"path/filepath"
	"testing"
)

// names lists what stands in a folder.
func names(t *testing.T, dir string) []string {
	t.Helper()
	list, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var out []string
	for _, e := range list {
		out = append(out, e.Name())
	}
	return out
}

func TestWriteReplacesWholly(t *testing.T) {
	path := filepath.Join(t.TempDir(), "sheet.txt")
	for _, want := range []string{"a long first version", "short"} {
		if err := Write(path, []byte(want)); err != nil {
			t.Fatal(err)
		}
		if got, err := os.ReadFile(path); err != nil || string(got) != want {
			t.Fatalf("read %q, %v; want %q", got, err, want)
		}
	}
	if n := names(t, filepath.Dir(path)); len(n) != 1 {
		t.Errorf("left behind: %q", n)
	}
}

func TestUnfinishedFileIsInvisible(t *testing.T) {
	path := filepath.Join(t.TempDir(), "rows.csv")
	if err := Write(path, []byte("old")); err != nil {
		t.Fatal(err)
	}
	f, err := Create(path)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := f.WriteString("half of the n"); err != nil {
		t.Fatal(err)
	}
	if got, _ := os.ReadFile(path); string(got) != "old" {
		t.Errorf("before Commit: %q", got)
	}
	f.Discard()
	if err := f.Commit(); err == nil {
		t.Error("Commit after Discard: no error")
	}
	if got, _ := os.ReadFile(path); string(got) != "old" {
		t.Errorf("after Discard: %q", got)
	}
	if n := names(t, filepath.Dir(path)); len(n) != 1 {
		t.Errorf("left behind: %q", n)
	}
}

func TestFailureLeavesTheOldFile(t *testing.T) {
	dir := t.TempDir()
	// A folder under the wanted name: the rename must fail.
	path := filepath.Join(dir, "taken")
	if err := os.MkdirAll(filepath.Join(path, "inside"), 0o755); err != nil {
		t.Fatal(err)
	}
	if err := Write(path, []byte("x")); err == nil {
		t.Error("no error")
	}
	if n := names(t, dir); len(n) != 1 {
		t.Errorf("left behind: %q", n)
	}
	if err := Write(filepath.Join(dir, "missing", "f"), nil); err == nil {
		t.Error("missing folder: no error")
	}
}
