package main

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"example.com/steelyard/examples/internal/golden"
)

// The tests run this program as a process of its own: the test binary turns
// into it when the environment says so.
func TestMain(m *testing.M) {
	if os.Getenv("BE_SWEEP") == "1" {
		main()
	}
	os.Exit(m.Run())
}

// program returns the program with flags, not yet started.
func program(args ...string) *exec.Cmd {
	cmd := exec.Command(os.Args[0], args...)
	cmd.Env = append(os.Environ(), "BE_SWEEP=1")
	return cmd
}

// run runs the program to its end.
func run(t *testing.T, args ...string) (code int, stdout, stderr string) {
	t.Helper()
	cmd := program(args...)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	return exitCode(t, cmd.Run()), out.String(), errs.String()
}

func exitCode(t *testing.T, err error) int {
	t.Helper()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	if exit == nil {
		return 0
	}
	return exit.ExitCode()
}

func mustRun(t *testing.T, args ...string) string {
	t.Helper()
	code, stdout, stderr := run(t, args...)
	if code != 0 || stderr != "" {
		t.Fatalf("sweep %q: exit code %d, %s", args, code, stderr)
	}
	return stdout
}

// The built-in design, small: its rows and its summary. The numbers are this
// library's own, kept to see when they change; what they should be is checked
// in the library's packages.
func TestGolden(t *testing.T) {
	code, rows, summary := run(t, "-samples", "8", "-digits", "4", "-out", "-")
	if code != 0 {
		t.Fatal(summary)
	}
	golden.Check(t, "demo.csv", rows)
	// The cautions are the library's sentences, all of them.
	numbers, cautions, found := strings.Cut(summary, "\nNone of this is a load to lift by.")
	golden.Check(t, "demo-summary.txt", numbers)
	lines := mustLoad(t, demo).cautions()
	if !found || len(lines) < 5 {
		t.Errorf("cautions: %q", lines)
	}
	for _, l := range lines {
		if !strings.Contains(cautions, "- "+l+"\n") {
			t.Errorf("no caution %q", l)
		}
	}
	if strings.ContainsAny(rows+summary, "\r\x1b") {
		t.Error("marks of a progress line where there is no terminal")
	}
	if got := mustRun(t, "-samples", "8"); got != summary {
		t.Error("the summary differs when the rows go nowhere")
	}
}

func TestBuiltInDesignRuns(t *testing.T) {
	if got := mustRun(t, "demo"); got != string(demo) {
		t.Error("demo does not print the built-in design")
	}
	if got := mustRun(t, "outputs"); strings.Count(got, "\n") != len(measures) || !strings.HasPrefix(got, "usable [kg]\n") {
		t.Errorf("outputs: %s", got)
	}
	dir := t.TempDir()
	if err := os.WriteFile(filepath.Join(dir, "d.json"), demo, 0o644); err != nil {
		t.Fatal(err)
	}
	if a, b := mustRun(t, "-samples", "32"), mustRun(t, "-samples", "32", "-design", filepath.Join(dir, "d.json")); a != b {
		t.Error("the design from a file gives another summary")
	}
	if a, b := mustRun(t, "-samples", "32"), mustRun(t, "-samples", "32", "-seed", "2"); a == b {
		t.Error("another seed gives the same summary")
	}
}

// Folder, standard output, shards in one folder or in several, CSV or
// Parquet: the same table and the same summary of it.
func TestEveryWayGivesTheSameRows(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	size := []string{"-samples", "500"}
	with := func(args ...string) []string { return append(args, size...) }
	merged := func(name string, folders ...string) string {
		mustRun(t, append([]string{"merge", "-out", at(name)}, folders...)...)
		data, err := os.ReadFile(at(name))
		if err != nil {
			t.Fatal(err)
		}
		return string(data)
	}
	code, want, report := run(t, with("-out", "-", "-workers", "1")...)
	if code != 0 {
		t.Fatal(report)
	}
	summary := mustRun(t, with("-out", at("one"), "-workers", "2")...)
	if merged("one.csv", at("one")) != want {
		t.Error("a folder's rows differ from those on the standard output")
	}
	if got := mustRun(t, "summary", at("one")); got != summary {
		t.Error("the summary of a folder differs from that of its run")
	}
	for k := range 3 {
		shard := string(rune('1'+k)) + "/3"
		for _, folder := range []string{"together", "apart" + string(rune('1'+k))} {
			code, _, stderr := run(t, with("-out", at(folder), "-shard", shard)...)
			if code != 0 || !strings.Contains(stderr, "shard "+shard+" is finished") {
				t.Fatalf("shard %s: exit code %d, %s", shard, code, stderr)
			}
		}
		if k == 1 {
			code, _, stderr := run(t, "merge", "-out", at("early.csv"), at("together"))
			if _, err := os.Stat(at("early.csv")); code != 2 || !strings.Contains(stderr, "chunks are missing") || err == nil {
				t.Errorf("merge with a shard missing: exit code %d, %s", code, stderr)
			}
		}
	}
	if merged("together.csv", at("together")) != want || merged("apart.csv", at("apart1"), at("apart2"), at("apart3")) != want {
		t.Error("the shards' rows differ")
	}
	if got := mustRun(t, "summary", at("apart3"), at("apart1"), at("apart2")); got != summary {
		t.Error("the summary of the shards differs")
	}
	// Parquet keeps every digit, so only the texts around them may be
	// compared, and the table's own reader must find the rows.
	parquetSummary := mustRun(t, with("-out", at("parquet"), "-format", "parquet")...)
	if len(parquetSummary) < len(summary)/2 {
		t.Errorf("summary of Parquet: %s", parquetSummary)
	}
	a, b := merged("p1.parquet", at("parquet")), merged("p2.parquet", at("parquet"))
	if a != b || !strings.HasPrefix(a, "PAR1") || !strings.HasSuffix(a, "PAR1") {
		t.Error("the merged Parquet file is not the same twice, or is none")
	}
}

// eventually waits until a condition holds.
func eventually(t *testing.T, what string, holds func() bool) {
	t.Helper()
	for deadline := time.Now().Add(time.Minute); time.Now().Before(deadline); time.Sleep(2 * time.Millisecond) {
		if holds() {
			return
		}
	}
	t.Fatalf("waited in vain: %s", what)
}

func countChunks(dir string) int {
	names, _ := filepath.Glob(filepath.Join(dir, "chunk-*"))
	return len(names)
}

// A process that is killed again and again, at places nobody chose, goes on
// and ends with the rows of one that was left alone: none lost, none twice.
func TestKilledAndResumed(t *testing.T) {
	for _, c := range []struct {
		format string
		kills  int
	}{{"csv", 4}, {"parquet", 2}} {
		if testing.Short() && c.format == "parquet" {
			continue
		}
		dir := t.TempDir()
		rows, whole := filepath.Join(dir, "rows"), filepath.Join(dir, "whole")
		args := []string{"-samples", "2000", "-format", c.format, "-workers", "2", "-summary=false"}
		mustRun(t, append(args, "-out", whole)...)
		for i := range c.kills {
			cmd := program(append(args, "-out", rows)...)
			if err := cmd.Start(); err != nil {
				t.Fatal(err)
			}
			eventually(t, "a chunk", func() bool { return countChunks(rows) > 4*i })
			if err := cmd.Process.Signal(syscall.SIGKILL); err != nil && !errors.Is(err, os.ErrProcessDone) {
				t.Fatal(err)
			}
			cmd.Wait()
		}
		mustRun(t, append(args, "-out", rows)...)
		var merged [2][]byte
		for i, folder := range []string{whole, rows} {
			name := filepath.Join(dir, "merged")
			mustRun(t, "merge", "-out", name, folder)
			merged[i], _ = os.ReadFile(name)
		}
		if len(merged[0]) == 0 || !bytes.Equal(merged[0], merged[1]) {
			t.Errorf("%s: the rows differ from those of a run that was left alone", c.format)
		}
		left, _ := filepath.Glob(filepath.Join(rows, ".unfinished-chunk*"))
		if len(left) > 0 {
			t.Errorf("left behind: %q", left)
		}
	}
}

// Ctrl-C and SIGTERM stop it with their exit codes, and say how to go on.
func TestStoppedBySignals(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no signals to send")
	}
	for sig, want := range map[syscall.Signal]int{syscall.SIGINT: 130, syscall.SIGTERM: 143} {
		dir := filepath.Join(t.TempDir(), "rows")
		cmd := program("-samples", "2000000", "-out", dir)
		var stderr bytes.Buffer
		cmd.Stderr = &stderr
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		eventually(t, "a manifest", func() bool {
			_, err := os.Stat(filepath.Join(dir, manifestName(shard{1, 1})))
			return err == nil
		})
		if err := cmd.Process.Signal(sig); err != nil {
			t.Fatal(err)
		}
		code := exitCode(t, cmd.Wait())
		if code != want || !strings.Contains(stderr.String(), "the same command continues from there") {
			t.Errorf("%v: exit code %d, %s", sig, code, stderr.String())
		}
		if left, _ := filepath.Glob(filepath.Join(dir, ".unfinished-*")); len(left) > 0 {
			t.Errorf("%v: left behind: %q", sig, left)
		}
	}
}

// Names, labels and reasons of a design are shown, not obeyed.
func TestNamesAreShownNotObeyed(t *testing.T) {
	const hidden = "\x1b\u009b\u202e\r\x07"
	design := strings.NewReplacer(
		`"name": "box"`, `"name": "box\u001b[2J\u202e"`,
		`["none", "light", "heavy"]`, `["none", "light", "heavy"], "labels": ["=a\u009b", "b\r", "c\u0007"]`,
		`"low": "200 kg", "high": "700 kg"`, `"low": "200 kg", "high": "200000 kg"`,
	).Replace(string(demo))
	file := filepath.Join(t.TempDir(), "design.json")
	if err := os.WriteFile(file, []byte(design), 0o644); err != nil {
		t.Fatal(err)
	}
	code, rows, summary := run(t, "-design", file, "-samples", "8", "-out", "-")
	if code != 0 || !strings.Contains(rows, ",box_2J_kg,") || !strings.Contains(rows, ",'=a\ufffd,") || !strings.Contains(summary, "box\ufffd") || !strings.Contains(summary, "refused by the library") {
		t.Errorf("exit code %d, %.300s\n%.300s", code, rows, summary)
	}
	if strings.ContainsAny(rows+summary, hidden) {
		t.Error("a hidden character of a name is in the rows or the summary")
	}
	long := filepath.Join(t.TempDir(), "long.json")
	if err := os.WriteFile(long, []byte(strings.Replace(string(demo), `"200 kg"`, `"\u001b`+strings.Repeat("9", 1<<20)+`"`, 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile(long)
	if err != nil {
		t.Fatal(err)
	}
	if _, err := loadDesign(text, "", overrides{}); err == nil || len(err.Error()) > 5000 {
		t.Error("an error repeats the whole of a long value")
	}
	if code, _, said := run(t, "-design", long); code != 2 || len(said) > 5000 || strings.ContainsAny(said, hidden) {
		t.Errorf("exit code %d, %d bytes: %.300q", code, len(said), said)
	}
}

// A second process on a folder is refused and told who works there, and the
// first one's unfinished chunks stay.
func TestTwoProcessesOnOneFolder(t *testing.T) {
	if runtime.GOOS == "windows" {
		t.Skip("no signals to send")
	}
	dir := filepath.Join(t.TempDir(), "rows")
	args := []string{"-samples", "2000000", "-workers", "1", "-out", dir, "-summary=false"}
	first := program(args...)
	var stderr bytes.Buffer
	first.Stderr = &stderr
	if err := first.Start(); err != nil {
		t.Fatal(err)
	}
	defer first.Process.Kill()
	unfinished := func() []string {
		names, _ := filepath.Glob(filepath.Join(dir, ".unfinished-chunk*"))
		return names
	}
	eventually(t, "an unfinished chunk", func() bool { return len(unfinished()) > 0 })
	// The first process stands still, so that the file is its own to finish.
	if err := first.Process.Signal(syscall.SIGSTOP); err != nil {
		t.Fatal(err)
	}
	before := unfinished()
	second := program(args...)
	var heard strings.Builder
	second.Stderr = &heard
	if err := second.Start(); err != nil {
		t.Fatal(err)
	}
	giveUp := time.AfterFunc(20*time.Second, func() { second.Process.Kill() })
	code := exitCode(t, second.Wait())
	giveUp.Stop()
	said := heard.String()
	if code != 1 || !strings.Contains(said, fmt.Sprintf("process %d on ", first.Process.Pid)) || !strings.Contains(said, " holds this lock since 20") {
		t.Errorf("the second process: exit code %d, %s", code, said)
	}
	if after := unfinished(); len(before) == 0 || !slices.Equal(before, after) {
		t.Errorf("unfinished chunks: %q before, %q after", before, after)
	}
	if err := errors.Join(first.Process.Signal(syscall.SIGCONT), first.Process.Signal(syscall.SIGTERM)); err != nil {
		t.Fatal(err)
	}
	if code := exitCode(t, first.Wait()); code != 143 {
		t.Errorf("the first process: exit code %d, %s", code, stderr.String())
	}
	if left, _ := filepath.Glob(filepath.Join(dir, "lock-*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

func TestFullDeviceOnTheStandardOutput(t *testing.T) {
	full, err := os.OpenFile("/dev/full", os.O_WRONLY, 0)
	if err != nil {
		t.Skip(err)
	}
	defer full.Close()
	cmd := program("-samples", "100", "-out", "-")
	var stderr bytes.Buffer
	cmd.Stdout, cmd.Stderr = full, &stderr
	if code := exitCode(t, cmd.Run()); code != 1 || !strings.Contains(stderr.String(), "no space left on device") {
		t.Errorf("exit code %d, %s", code, stderr.String())
	}
}

// What a user can get wrong has exit code 2 and one line that says what.
func TestWrongUse(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	half := filepath.Join(dir, "half")
	mustRun(t, "-samples", "500", "-out", half, "-summary=false")
	data, err := os.ReadFile(filepath.Join(half, "chunk-00000001.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"-nosuch"}, "flag provided but not defined"},
		{[]string{"-workers", "0"}, "-workers 0: must be from 1"},
		{[]string{"-workers", "many"}, "invalid value"},
		{[]string{"-shard", "0/4"}, "-shard 0/4: must be k/n"},
		{[]string{"-shard", "5/4"}, "-shard 5/4: must be k/n"},
		{[]string{"-shard", "1/4x"}, "-shard 1/4x: must be k/n"},
		{[]string{"-shard", ""}, "must be k/n"},
		{[]string{"-digits", "99"}, "-digits 99"},
		{[]string{"-format", "xlsx"}, "must be csv or parquet"},
		{[]string{"-format", "parquet", "-out", "-"}, "needs a folder"},
		{[]string{"-seed", "-1"}, "-seed -1: must be a whole number"},
		{[]string{"-samples", "-1"}, "-samples -1"},
		{[]string{"run"}, `"run": is neither a flag nor a command`},
		{[]string{"demo", "x"}, "takes no arguments"},
		{[]string{"merge", half}, "-out must name"},
		{[]string{"merge", "-out", filepath.Join(dir, "o.csv")}, "name the folders"},
		{[]string{"merge", "-out", filepath.Join(dir, "o.csv"), filepath.Join(dir, "nosuch")}, "nosuch"},
		{[]string{"merge", "-out", filepath.Join(dir, "no", "o.csv"), half}, "no such file"},
		{[]string{"summary", dir}, "is " + dir + " a folder of results?"},
		{[]string{"-design", filepath.Join(dir, "nosuch.json")}, "nosuch.json: no such file"},
		{[]string{"-design", dir}, "is a directory"},
		{[]string{"-design", file("empty.json", "")}, "the file ends before the design does"},
		{[]string{"-design", file("cut.json", string(demo[:len(demo)/2]))}, "the file ends before the design does"},
		{[]string{"-design", file("two.json", string(demo)+"{}")}, "something follows the design"},
		{[]string{"-design", file("field.json", `{"version":1,"factor":[]}`)}, `line 1: unknown field "factor"`},
		{[]string{"-design", file("base.json", `{"version":1,"baseFile":"nosuch.json","plan":{"kind":"grid"},"factors":[],"outputs":[]}`)}, "nosuch.json: no such file"},
		{[]string{"-samples", "500", "-out", half, "-seed", "3"}, "another design, seed or number of samples"},
		{[]string{"-samples", "500", "-out", half, "-format", "parquet"}, "its results are in csv, not in parquet"},
		{[]string{"-samples", "500", "-out", file("file", "x")}, "file"},
		{[]string{"-samples", "500", "-out", dir}, "holds other files"},
	} {
		code, stdout, stderr := run(t, c.args...)
		if code != 2 || !strings.Contains(stderr, c.want) || stdout != "" || strings.Contains(stderr, "goroutine") {
			t.Errorf("sweep %q: exit code %d, %q, %q; want %q", c.args, code, stdout, stderr, c.want)
		}
		if n := strings.Count(stderr, "\n"); n != 1 {
			t.Errorf("sweep %q: %d lines: %s", c.args, n, stderr)
		}
	}
	// A chunk cut in half: reading says so, running again mends it.
	chunk := filepath.Join(half, "chunk-00000001.csv")
	if err := os.WriteFile(chunk, data[:len(data)/2], 0o644); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"merge", "-out", filepath.Join(dir, "o.csv"), half}, {"summary", half}} {
		code, _, stderr := run(t, args...)
		if code != 2 || !strings.Contains(stderr, chunk+": ") || !strings.Contains(stderr, "cut short") {
			t.Errorf("sweep %q: exit code %d, %s", args, code, stderr)
		}
		if _, err := os.Stat(filepath.Join(dir, "o.csv")); err == nil {
			t.Error("half a merge was left under its name")
		}
	}
	code, _, stderr := run(t, "-samples", "500", "-out", half, "-summary=false")
	if code != 0 || !strings.Contains(stderr, "evaluated again") {
		t.Errorf("exit code %d, %s", code, stderr)
	}
	if got, _ := os.ReadFile(chunk); !bytes.Equal(got, data) {
		t.Error("the chunk was not mended")
	}
	if code, _, stderr := run(t, "-h"); code != 0 || !strings.Contains(stderr, "-shard k/n") {
		t.Errorf("-h: exit code %d, %s", code, stderr)
	}
}
