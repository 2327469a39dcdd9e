package main

import (
	"bytes"
	"context"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/golden"
)

// page runs the program and returns it.
func page(t *testing.T, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	if err := run(args, strings.NewReader(""), &out, io.Discard); err != nil {
		t.Fatalf("%q: %v", args, err)
	}
	return out.String()
}

func file(t *testing.T, text string) []string {
	t.Helper()
	name := filepath.Join(t.TempDir(), "readings.csv")
	if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
	return []string{"-file", name}
}

// changed is the demo with one text in place of another.
func changed(t *testing.T, old, now string) string {
	t.Helper()
	if !strings.Contains(string(demoReadings), old) {
		t.Fatalf("the demo has no %q", old)
	}
	return strings.Replace(string(demoReadings), old, now, 1)
}

// mistaken are the demo's readings with a mistake, and what the page says of it.
func mistaken(t *testing.T) map[string]string {
	return map[string]string{
		"swapped.txt": changed(t, "1616 kg,1062 kg", "1062 kg,1616 kg"),
		"dropped.txt": changed(t, "1876 kg,938 kg", "1936 kg,938 kg"),
	}
}

func TestGolden(t *testing.T) {
	picture := filepath.Join(t.TempDir(), "curve.svg")
	golden.Check(t, "demo.txt", page(t, "-picture", picture))
	drawn, err := os.ReadFile(picture)
	if err != nil {
		t.Fatal(err)
	}
	golden.Check(t, "demo.svg", string(drawn))
	golden.Check(t, "usCustomary.txt", page(t, "-units", "usCustomary", "-workshop", "-box", "300 kg"))
	for name, text := range mistaken(t) {
		golden.Check(t, name, page(t, file(t, text)...))
	}
}

// The page is at most 100 lines of 80 characters.
func TestPageSize(t *testing.T) {
	for _, args := range [][]string{nil, {"-units", "usCustomary"}, {"-units", "imperial", "-workshop"}, {"-box", "300 kg"}} {
		text := page(t, args...)
		if n := strings.Count(text, "\n"); n > 100 {
			t.Errorf("%q: %d lines", args, n)
		}
		for line := range strings.Lines(text) {
			if utf8.RuneCountInString(line) > 81 || strings.TrimRight(line, " \n")+"\n" != line {
				t.Errorf("%q: %q is too long or ends in blanks", args, line)
			}
		}
	}
}

// little is the least that a file may hold.
const little = "kind,what,value,sd,pin,front,rear\nmachine,attachment,forks\nscale,reading,,3 kg\ntape,wheelbase,2 m,5 mm\nweigh,,,,0.4 m,1200 kg,1300 kg\n"

// The picture is well-formed whatever was read.
func TestPictureWellFormed(t *testing.T) {
	texts := []string{string(demoReadings), little}
	for _, text := range mistaken(t) {
		texts = append(texts, text)
	}
	for _, text := range texts {
		name := filepath.Join(t.TempDir(), "curve.svg")
		page(t, append(file(t, text), "-picture", name, "-high", "2.5 m")...)
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
	const head = "kind,what,value,sd,pin,load,front,rear,raised\n"
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"empty", "", []string{"row 1: must name the columns"}},
		{"no readings", head, []string{"row 2: must be a reading"}},
		{"unknown column", "kind,what,value,middle\n", []string{`row 1, column 4: "middle": must be one of kind`}},
		{"column twice", "kind,what,value,kind\n", []string{`row 1, column 4: "kind": must appear only once`}},
		{"column missing", "kind,value\nx,1\n", []string{"row 1, column what: is missing"}},
		{"unknown kind", head + "weight,,,,\n", []string{`row 2, column kind: "weight": must be machine`}},
		{"no unit", head + "tape,wheelbase,2.05,5 mm\n", []string{"row 2, column value: ", "2.05"}},
		{"two bad cells", head + "tape,wheelbase,2 stone,\n", []string{"row 2, column value: ", "row 2, column sd: is empty"}},
		{"unknown length", head + "tape,wheel base,2 m,5 mm\n", []string{"row 2, column what: ", "must be one of wheelbase"}},
		{"a cell too many", head + "scale,reading,,3 kg,0.4 m\n", []string{`row 2, column pin: "0.4 m": must be empty`}},
		{"beyond the head", "kind,what,value\nmachine,mass,2000 kg,4\n", []string{`row 2, column 4: "4": has no column name`}},
		{"twice", head + "machine,mass,2000 kg\nmachine,mass,2001 kg\n", []string{`row 3, column what: "mass": must appear only once`}},
		{"quotes", head + "\"tape,wheelbase\n", []string{"row ", "column "}},
		{"no load of that name", strings.Replace(little, "weigh,,", "weigh,,", 1) + "tape,loadAhead,0.7 m,1 cm\n", []string{"row 6, load: must name a test load"}},
		{"negative", strings.Replace(little, "1300 kg", "-1300 kg", 1), []string{"row 5, rear: -1300 kg: must be"}},
		{"no wheelbase", strings.Replace(little, "tape,wheelbase", "tape,arm", 1), []string{"tape: must hold the wheelbase"}},
		{"no scale", strings.Replace(little, "scale,reading,,3 kg\n", "", 1), []string{"scale.sd: must be given"}},
	} {
		args := file(t, c.text)
		drawn := filepath.Join(t.TempDir(), "curve.svg")
		var out bytes.Buffer
		err := run(append(args, "-picture", drawn), strings.NewReader(""), &out, io.Discard)
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
		{"wide head", strings.Repeat("x,", 500e3), "row 1: has 500001 columns: must name"},
		{"wide row", "kind,what,value\nmachine,mass,1 kg" + strings.Repeat(",x", 500e3), `row 2, column 4: "x": has no column name`},
		{"long cell", "kind,what,value\nmachine,mass," + strings.Repeat("9", 1e6), "row 2, column value: "},
		{"many rows", "kind,what,value\n" + strings.Repeat("x,y,\n", 150e3), "and 401 more"},
	} {
		err := run(file(t, c.text), strings.NewReader(""), io.Discard, io.Discard)
		if cli.ExitCode(err) != cli.BadInput || !strings.Contains(err.Error(), c.want) || len(err.Error()) > 50e3 {
			t.Errorf("%s: exit %d, %.300s", c.name, cli.ExitCode(err), err)
		}
	}
}

func TestBadFlags(t *testing.T) {
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"-low", "0.4"}, "low"},
		{[]string{"-low", "2 m", "-high", "1 m"}, "-high: must be above -low"},
		{[]string{"-high", "9 m"}, "within reach of the arms"},
		{[]string{"-ahead", "-1.9 m"}, "ahead of the front axle"},
		{[]string{"-wanted", "90 %"}, "-wanted: "},
		{[]string{"-box", "-90 t"}, "-box: -90000 kg"},
		{[]string{"-file", "nowhere.csv"}, "nowhere.csv: "},
		{[]string{"more"}, "takes only flags, no arguments"},
		{[]string{"-units", "furlongs"}, "units"},
	} {
		var out bytes.Buffer
		err := run(c.args, strings.NewReader(""), &out, io.Discard)
		if cli.ExitCode(err) != cli.BadInput || out.Len() > 0 || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: exit %d, printed %q: %v", c.args, cli.ExitCode(err), out.String(), err)
		}
	}
}

// What must be on the page stands there, no load is stated where readings contradict each
// other, and nobody in the yard is asked for a pressure or a raised axle.
func TestPageSaysWhatMatters(t *testing.T) {
	for _, text := range []string{page(t), page(t, append(file(t, little), "-high", "2.5 m")...), page(t, file(t, mistaken(t)["swapped.txt"])...)} {
		if !strings.Contains(text, "operator's manual") || !strings.Contains(text, "Never raise the rear wheels") {
			t.Errorf("no cautions:\n%s", text)
		}
	}
	refused := page(t, file(t, mistaken(t)["swapped.txt"])...)
	if strings.Contains(refused, "would lift") || !strings.Contains(refused, "NO LOAD IS STATED") || !strings.Contains(refused, "look swapped") {
		t.Errorf("refused readings:\n%s", refused)
	}
	dropped := page(t, file(t, mistaken(t)["dropped.txt"])...)
	if !strings.Contains(dropped, "do without it") || !strings.Contains(dropped, "would lift") {
		t.Errorf("dropped reading:\n%s", dropped)
	}
	next := page(t, append(file(t, little), "-high", "2.5 m")...)
	if _, after, _ := strings.Cut(next, "What to read next"); strings.Contains(after, "relief pressure against") || strings.Contains(after, "raised by 10") {
		t.Errorf("in the yard:\n%s", next)
	}
}

func FuzzReadCSV(f *testing.F) {
	f.Add(demoReadings)
	f.Add([]byte(little))
	f.Add([]byte("\ufeffvalue,what,kind\n1 lb,mass,machine\n\"x"))
	f.Fuzz(func(t *testing.T, data []byte) {
		rec, err := readCSV(data)
		if err != nil {
			if !strings.Contains(err.Error(), "row ") {
				t.Fatalf("no row in %q", err)
			}
			return
		}
		if len(rec.Tape)+len(rec.Weights)+len(rec.Pressures) > maxRows {
			t.Fatal("too many rows")
		}
		if _, err := rec.Fit(context.Background()); err == nil && len(rec.Tape) == 0 {
			t.Fatal("an estimate without a wheelbase")
		}
	})
}
