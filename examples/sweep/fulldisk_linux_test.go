package main

import (
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// A disk that fills up stops the run with clear words; with room again it goes
// on, and the rows are those of a run that had room all the time.
func TestDiskFillsUp(t *testing.T) {
	dir := t.TempDir()
	disk := filepath.Join(dir, "disk")
	if err := os.Mkdir(disk, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mount("tmpfs", disk, "tmpfs", 0, "size=512k"); err != nil {
		t.Skipf("cannot mount a small file system here: %v", err)
	}
	t.Cleanup(func() { syscall.Unmount(disk, syscall.MNT_DETACH) })
	rows := filepath.Join(disk, "rows")
	args := []string{"-samples", "1000", "-out", rows, "-summary=false"}
	code, _, stderr := run(t, args...)
	if code != 1 || !strings.Contains(stderr, "no space left on device") || !strings.Contains(stderr, "run the same command again") {
		t.Fatalf("exit code %d, %s", code, stderr)
	}
	if left, _ := filepath.Glob(filepath.Join(rows, ".unfinished-*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
	if countChunks(rows) == 0 {
		t.Error("nothing was finished before the disk was full")
	}
	code, _, stderr = run(t, "merge", "-out", filepath.Join(dir, "early.csv"), rows)
	if code != 2 || !strings.Contains(stderr, "chunks are missing") {
		t.Errorf("merge: exit code %d, %s", code, stderr)
	}
	if err := syscall.Mount("tmpfs", disk, "tmpfs", syscall.MS_REMOUNT, "size=64m"); err != nil {
		t.Fatal(err)
	}
	mustRun(t, args...)
	mustRun(t, "merge", "-out", filepath.Join(dir, "rows.csv"), rows)
	got, err := os.ReadFile(filepath.Join(dir, "rows.csv"))
	if err != nil {
		t.Fatal(err)
	}
	if _, want, _ := run(t, "-samples", "1000", "-out", "-", "-summary=false"); string(got) != want {
		t.Error("the rows differ")
	}
}
