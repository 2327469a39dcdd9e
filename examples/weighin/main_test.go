package main

import (
	"bytes"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/examples/internal/cli"
)

var update = flag.Bool("update", false, "write the golden files anew")

func golden(t *testing.T, name, got string) {
	t.Helper()
	file := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) {
		t.Errorf("%s differs from what the program prints; see it with -update and a diff:\n%s", file, got)
	}
}

// page runs the program and returns it.
func page(t *testing.T, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	if err := run(args, &out, io.Discard); err != nil {
		t.Fatalf("%q: %v", args, err)
	}
	return out.String()
}

// geometry is what goes with a file.
var geometry = []string{"-wheelbase", "2.05 m", "-wheelbase-sd", "5 mm", "-ahead", "1.62 m", "-ahead-sd", "10 mm", "-scale-sd", "3 kg", "-load-sd", "1 kg"}

func file(t *testing.T, text string) []string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "readings.csv")
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return append([]string{"-file", name}, geometry...)
}

func TestGolden(t *testing.T) {
	picture := filepath.Join(t.TempDir(), "line.svg")
	golden(t, "demo.txt", page(t, "-picture", picture))
	drawn, err := os.ReadFile(picture)
	if err != nil {
		t.Fatal(err)
	}
	golden(t, "demo.svg", string(drawn))
	golden(t, "usCustomary.txt", page(t, "-units", "usCustomary"))
	swapped := strings.Replace(string(demoReadings), "1196 kg,1864 kg", "1864 kg,1196 kg", 1)
	golden(t, "swapped.txt", page(t, file(t, swapped)...))
}

// One page: at most 66 lines of 80 characters.
func TestOnePage(t *testing.T) {
	for _, args := range [][]string{nil, {"-units", "usCustomary"}, {"-units", "imperial"}} {
		text := page(t, args...)
		if n := strings.Count(text, "\n"); n > 66 {
			t.Errorf("%q: %d lines", args, n)
		}
		for line := range strings.Lines(text) {
			if utf8.RuneCountInString(line) > 81 || strings.TrimRight(line, " \n")+"\n" != line {
				t.Errorf("%q: %q is too long or ends in blanks", args, line)
			}
		}
	}
}

// The picture is well-formed whatever was read.
func TestPictureWellFormed(t *testing.T) {
	for _, text := range []string{string(demoReadings), "load,rear\n0 kg,1500 kg\n", "load,rear\n0 kg,1500 kg\n500 kg,1500 kg\n"} {
		name := filepath.Join(t.TempDir(), "line.svg")
		page(t, append(file(t, text), "-picture", name)...)
		drawn, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		d := xml.NewDecoder(bytes.NewReader(drawn))
		for {
			if _, err := d.Token(); err == io.EOF {
				break
			} else if err != nil {
				t.Fatal(err)
			}
		}
		if bytes.Contains(drawn, []byte("NaN")) || bytes.Contains(drawn, []byte("Inf")) {
			t.Errorf("no number in\n%s", drawn)
		}
	}
}

// Bad input is told by row and column, with exit code 2, and nothing is
// printed or drawn.
func TestBadCSV(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"empty", "", []string{"row 1: must name the columns"}},
		{"no readings", "load,rear\n", []string{"row 2: must be a reading"}},
		{"unknown column", "load,rear,middle\n", []string{`row 1, column 3: "middle": must be load, rear or front`}},
		{"column twice", "load,rear,load\n", []string{`row 1, column 3: "load": must appear only once`}},
		{"column missing", "load,front\n0 kg,1000 kg\n", []string{"row 1, column rear: is missing"}},
		{"no unit", "load,rear\n0 kg,1500 kg\n150,1400 kg\n", []string{"row 3, column load: ", "150"}},
		{"two bad cells", "load,rear\n0 kg,1500 stone\nx,\n", []string{"row 2, column rear: ", "row 3, column load: ", "row 3, column rear: is empty"}},
		{"empty cell", "load,rear\n0 kg\n", []string{"row 2, column rear: is empty"}},
		{"too many cells", "load,rear\n0 kg,1500 kg,1000 kg\n", []string{`row 2, column 3: "1000 kg": has no column name`}},
		{"quotes", "load,rear\n\"0 kg,1500 kg\n", []string{"row ", "column "}},
		{"blank line", "load,rear\n\n0 kg,1500 kg\n\n150 kg,0 kg\n", []string{"row 5, column rear: 0 kg: must be between"}},
		{"negative", "load,rear\n-5 kg,1500 kg\n", []string{"row 2, column load: -5 kg: must be"}},
	} {
		args := file(t, c.text)
		drawn := filepath.Join(t.TempDir(), "line.svg")
		var out bytes.Buffer
		err := run(append(args, "-picture", drawn), &out, io.Discard)
		if cli.ExitCode(err) != cli.BadInput || out.Len() > 0 {
			t.Errorf("%s: exit %d, printed %q: %v", c.name, cli.ExitCode(err), out.String(), err)
			continue
		}
		if _, e := os.Stat(drawn); !errors.Is(e, os.ErrNotExist) {
			t.Errorf("%s: drew a picture", c.name)
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q misses %q", c.name, err, w)
			}
		}
		for line := range strings.Lines(err.Error()) {
			if !strings.HasPrefix(line, args[1]+": ") {
				t.Errorf("%s: %q does not start with the file", c.name, line)
			}
		}
	}
}

// A file within the bound on its size gives errors that fit on a screen or
// two, and the last one counts what was left out.
func TestErrorsAreBounded(t *testing.T) {
	for _, c := range []struct{ name, text, want string }{
		{"wide head", strings.Repeat("x,", 500e3), "row 1: has 500001 columns: must name load, rear"},
		{"wide row", "load,rear\n0 kg,1500 kg" + strings.Repeat(",x", 500e3), `row 2, column 3: "x": has no column name`},
		{"long cell", "load,rear\n0 kg," + strings.Repeat("9", 1e6), "row 2, column rear: "},
		{"many rows", "load,rear\n" + strings.Repeat("x,y\n", 200e3), "and 101 more"}, // 2 each of 100 rows, and one for too many; 100 are kept
	} {
		err := run(file(t, c.text), io.Discard, io.Discard)
		if cli.ExitCode(err) != cli.BadInput || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 50e3 {
			t.Errorf("%s: exit %d, %.300s", c.name, cli.ExitCode(err), err)
		}
	}
}

func TestBadFlags(t *testing.T) {
	good := file(t, string(demoReadings))
	for _, c := range []struct {
		args []string
		want string
	}{
		{good[:2], "-wheelbase, -wheelbase-sd, -ahead, -ahead-sd, -scale-sd must be given with -file"},
		{append(good[:2:2], "-wheelbase", "81"), "wheelbase"},
		{[]string{"-wheelbase", "72 m"}, "-wheelbase: 72 m: must be between"},
		{[]string{"-confidence", "2"}, "-confidence: 2: must be left out"},
		{[]string{"-share", "0.9"}, "-share: "},
		{[]string{"-file", "nowhere.csv"}, "must be given with -file"},
		{append([]string{"-file", "nowhere.csv"}, geometry...), "nowhere.csv: "},
		{[]string{"more"}, "takes only flags, no arguments"},
		{[]string{"-units", "furlongs"}, "units"},
	} {
		var out bytes.Buffer
		err := run(c.args, &out, io.Discard)
		if cli.ExitCode(err) != cli.BadInput || out.Len() > 0 || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: exit %d, printed %q: %v", c.args, cli.ExitCode(err), out.String(), err)
		}
	}
}

// What must be on the page stands there, and no refused load does.
func TestPageSaysWhatMatters(t *testing.T) {
	for _, text := range []string{page(t), page(t, file(t, "load,rear\n0 kg,1500 kg\n")...)} {
		if !strings.Contains(text, "operator's manual") || !strings.Contains(text, "Never raise the rear wheels") {
			t.Errorf("no cautions:\n%s", text)
		}
	}
	refused := page(t, file(t, "load,rear\n0 kg,1540 kg\n150 kg,1422 kg\n")...)
	if strings.Contains(refused, "would lift at") || !strings.Contains(refused, "NO TIPPING LOAD IS STATED") || !strings.Contains(refused, "at most") {
		t.Errorf("refused session:\n%s", refused)
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add(demoReadings)
	f.Add([]byte("load,rear\n0 kg,1 kg\n\"x"))
	f.Add([]byte("\ufefffront,rear,load\n1 lb,,3\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		var s weigh.Session
		lines, err := readCSV(data, &s)
		if err != nil {
			if !strings.Contains(err.Error(), "row ") {
				t.Fatalf("no row in %q", err)
			}
			return
		}
		if len(lines) != len(s.Readings) || len(lines) == 0 || len(lines) > weigh.MaxReadings {
			t.Fatalf("%d lines for %d readings", len(lines), len(s.Readings))
		}
	})
}
