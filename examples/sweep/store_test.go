package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"syscall"
	"testing"

	"example.com/steelyard/examples/internal/atomicfile"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/lockfile"
)

// fakeDesign stands for a design whose job is given by other means.
func fakeDesign(text string) *design { return &design{text: []byte(text), id: text} }

func mustOpen(t *testing.T, dir string, j *job, s shard, f format) *store {
	t.Helper()
	st, err := openStore(dir, fakeDesign("{}"), j, s, f, 7, io.Discard)
	if err != nil {
		t.Fatal(err)
	}
	return st
}

func keepAndClose(ctx context.Context, j *job, st *store, workers int, done *atomic.Int64) error {
	return errors.Join(keep(ctx, j, st, workers, done), st.close())
}

func readChunks(t *testing.T, dir string) map[string]string {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "chunk-*"))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]string{}
	for _, n := range names {
		data, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		out[filepath.Base(n)] = string(data)
	}
	return out
}

func sameChunks(t *testing.T, got, want map[string]string) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%d chunks, want %d", len(got), len(want))
	}
	for name, data := range want {
		if got[name] != data {
			t.Errorf("%s differs", name)
		}
	}
}

// The chunks are the same bytes whatever the number of workers and whichever
// parts they were cut into.
func TestChunksDoNotDependOnWorkersAndShards(t *testing.T) {
	for _, f := range []format{formatCSV, formatParquet} {
		run := func(workers int, shards int) map[string]string {
			dir := t.TempDir()
			for k := range shards {
				j := ishigamiJob(t, planSaltelli, 3000)
				st := mustOpen(t, dir, j, shard{k + 1, shards}, f)
				var done atomic.Int64
				if err := keepAndClose(context.Background(), j, st, workers, &done); err != nil {
					t.Fatal(err)
				}
			}
			return readChunks(t, dir)
		}
		want := run(1, 1)
		if len(want) < 10 {
			t.Fatalf("%d chunks only", len(want))
		}
		sameChunks(t, run(2, 1), want)
		sameChunks(t, run(5, 3), want)
	}
}

// A run that is stopped, again and again at another place, ends with the
// bytes of one that was not.
func TestStoppedRunGoesOn(t *testing.T) {
	whole := t.TempDir()
	j := ishigamiJob(t, planSaltelli, 3000)
	var done atomic.Int64
	if err := keepAndClose(context.Background(), j, mustOpen(t, whole, j, shard{1, 1}, formatCSV), 2, &done); err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	stops := 0
	for rows := int64(700); ; rows += 300 {
		ctx, cancel := context.WithCancelCause(context.Background())
		j := ishigamiJob(t, planSaltelli, 3000)
		var count atomic.Int64
		j.evaluator = func() (evaluator, error) {
			return function(func(x, y []float64) error {
				if count.Add(1) == rows {
					cancel(cli.Stopped{Signal: syscall.SIGINT})
				}
				return ishigami(x, y)
			}), nil
		}
		err := keepAndClose(ctx, j, mustOpen(t, dir, j, shard{1, 1}, formatCSV), 2, &done)
		cancel(nil)
		if err == nil {
			break
		}
		stops++
		if cli.ExitCode(err) != 130 {
			t.Fatalf("exit code %d: %v", cli.ExitCode(err), err)
		}
		if left, _ := filepath.Glob(filepath.Join(dir, atomicfile.TempPrefix+"*")); len(left) > 0 {
			t.Fatalf("left behind: %q", left)
		}
	}
	if stops < 3 {
		t.Errorf("stopped %d times only", stops)
	}
	sameChunks(t, readChunks(t, dir), readChunks(t, whole))
}

// Chunks that were cut short, changed or lost are found and evaluated again.
func TestDamagedChunksAreDoneAgain(t *testing.T) {
	dir := t.TempDir()
	j := ishigamiJob(t, planLatin, 5000)
	var done atomic.Int64
	if err := keepAndClose(context.Background(), j, mustOpen(t, dir, j, shard{1, 1}, formatCSV), 2, &done); err != nil {
		t.Fatal(err)
	}
	want := readChunks(t, dir)
	name := func(i int) string { return filepath.Join(dir, fmt.Sprintf("chunk-%08d.csv", i)) }
	if err := errors.Join(
		os.Truncate(name(0), 100),
		os.WriteFile(name(1), bytes.Replace([]byte(want["chunk-00000001.csv"]), []byte("1"), []byte("2"), 1), 0o644),
		os.Remove(name(2)),
		os.WriteFile(filepath.Join(dir, atomicfile.TempPrefix+"chunk-00000003.csv-1"), []byte("half"), 0o644),
	); err != nil {
		t.Fatal(err)
	}
	var warned strings.Builder
	st, err := openStore(dir, fakeDesign("{}"), j, shard{1, 1}, formatCSV, 7, &warned)
	if err != nil {
		t.Fatal(err)
	}
	if got := st.missing(j.chunks()); !slices.Equal(got, []int{0, 1, 2}) {
		t.Errorf("missing %v", got)
	}
	for i := range 3 {
		if !strings.Contains(warned.String(), name(i)+": ") {
			t.Errorf("no word of %s in %q", name(i), warned.String())
		}
	}
	if err := keepAndClose(context.Background(), j, st, 2, &done); err != nil {
		t.Fatal(err)
	}
	sameChunks(t, readChunks(t, dir), want)
	if left, _ := filepath.Glob(filepath.Join(dir, atomicfile.TempPrefix+"*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

// A folder of another sweep, or of something else, is refused.
func TestForeignFoldersAreRefused(t *testing.T) {
	dir := t.TempDir()
	j := ishigamiJob(t, planLatin, 5000)
	if err := mustOpen(t, dir, j, shard{1, 1}, formatCSV).close(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		dir  func() string
		d    string
		f    format
		n    int
	}{
		{"another design", func() string { return dir }, "[]", formatCSV, 7},
		{"another format", func() string { return dir }, "{}", formatParquet, 7},
		{"other digits", func() string { return dir }, "{}", formatCSV, 8},
		{"a folder in use", func() string {
			other := t.TempDir()
			os.WriteFile(filepath.Join(other, "letter.txt"), nil, 0o644)
			return other
		}, "{}", formatCSV, 7},
		{"a file", func() string { return filepath.Join(dir, designName) }, "{}", formatCSV, 7},
		{"a damaged manifest", func() string {
			os.WriteFile(filepath.Join(dir, manifestName(shard{1, 1})), []byte(`{"version":1,"chu`), 0o644)
			return dir
		}, "{}", formatCSV, 7},
	} {
		_, err := openStore(c.dir(), fakeDesign(c.d), j, shard{1, 1}, c.f, c.n, io.Discard)
		if cli.ExitCode(err) != cli.BadInput {
			t.Errorf("%s: exit code %d: %v", c.name, cli.ExitCode(err), err)
		}
	}
}

// Shards that have no chunk in common share a folder, others do not.
func TestOverlappingShardsAreRefused(t *testing.T) {
	dir := t.TempDir()
	j := ishigamiJob(t, planLatin, 9000) // 9 chunks
	open := func(k, n int) (*store, error) {
		return openStore(dir, fakeDesign("{}"), j, shard{k, n}, formatCSV, 7, io.Discard)
	}
	first, err := open(1, 3) // chunks 0 to 2
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		k, n int
		free bool
	}{{1, 3, false}, {2, 3, true}, {1, 1, false}, {1, 2, false}, {2, 2, true}, {9, 9, true}, {3, 9, false}} {
		st, err := open(c.k, c.n)
		if (err == nil) != c.free {
			t.Errorf("shard %d/%d beside 1/3: %v", c.k, c.n, err)
		}
		if err != nil {
			var held *lockfile.HeldError
			if !errors.As(err, &held) || held.Holder.PID != os.Getpid() {
				t.Errorf("shard %d/%d: %v", c.k, c.n, err)
			}
			continue
		}
		if err := st.close(); err != nil {
			t.Error(err)
		}
	}
	if err := first.close(); err != nil {
		t.Fatal(err)
	}
	whole, err := open(1, 1)
	if err != nil {
		t.Fatal(err)
	}
	whole.close()
	if left, _ := filepath.Glob(filepath.Join(dir, "lock-*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

// Files of a folder are read within bounds, whatever took their place.
func TestFilesAreBounded(t *testing.T) {
	dir := t.TempDir()
	large := filepath.Join(dir, designName)
	if err := errors.Join(os.WriteFile(large, nil, 0o644), os.Truncate(large, 1<<30)); err != nil {
		t.Fatal(err)
	}
	j := ishigamiJob(t, planLatin, 5000)
	if _, err := openStore(dir, fakeDesign("{}"), j, shard{1, 1}, formatCSV, 7, io.Discard); cli.ExitCode(err) != cli.BadInput || !strings.Contains(err.Error(), "larger than") {
		t.Errorf("a design of a gigabyte: %v", err)
	}
	var read int64
	endless := readerFunc(func(p []byte) (int, error) { read += int64(len(p)); return len(p), nil })
	if err := (chunkEntry{Bytes: 1000}).copyTo(io.Discard, endless, "chunk"); err == nil || read > 1<<20 {
		t.Errorf("an endless chunk: %d bytes read, %v", read, err)
	}
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(p []byte) (int, error) { return f(p) }

func TestShardsCoverEveryChunkOnce(t *testing.T) {
	for _, chunks := range []int{1, 7, 100} {
		for _, n := range []int{1, 3, 16, 200} {
			next := 0
			for k := 1; k <= n; k++ {
				first, end := shard{k, n}.span(chunks)
				if first != next || end < first {
					t.Fatalf("%d chunks, shard %d/%d: %d to %d after %d", chunks, k, n, first, end, next)
				}
				next = end
			}
			if next != chunks {
				t.Errorf("%d chunks in %d shards: %d", chunks, n, next)
			}
		}
	}
}

// A write that fails ends the run, says what to do, and leaves no chunk that
// is not whole.
func TestFullDisk(t *testing.T) {
	j := ishigamiJob(t, planLatin, 5000)
	full := writerFunc(func(p []byte) (int, error) {
		return 0, &os.PathError{Op: "write", Path: "rows", Err: syscall.ENOSPC}
	})
	var done atomic.Int64
	_, err := stream(context.Background(), j, allChunks(j), 2, formatCSV, 7, full, false, &done)
	if cli.ExitCode(err) != cli.Failure || !strings.Contains(err.Error(), "no space left on device") {
		t.Errorf("exit code %d: %v", cli.ExitCode(err), err)
	}
}
