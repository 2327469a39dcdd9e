package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"flag"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

var update = flag.Bool("update", false, "write the golden files anew")

// write runs the program and returns what it prints.
func write(t *testing.T, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	if err := run(args, &out, io.Discard); err != nil {
		t.Fatalf("%q: %v", args, err)
	}
	return out.String()
}

// The demo's sheet does not change unseen.
func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"metric.txt":      nil,
		"usCustomary.txt": {"-units", "usCustomary"},
		"compact.txt":     {"-file", "../internal/demo/compact.json"},
	} {
		got := write(t, args...)
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
			t.Errorf("%s differs from what the program prints; see it with -update and a diff", file)
		}
	}
}

// A machine of which only brochure, tape and an axle scale speak has a sheet in
// every form, and no verdict of it is positive.
func TestOpenMachine(t *testing.T) {
	in, err := decode(demo.Compact)
	if err != nil {
		t.Fatal(err)
	}
	s, err := makeSheet(in)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Assumed) == 0 || len(s.Questions) == 0 || len(s.Plates) == 0 {
		t.Errorf("%d assumed, %d questions, %d plates", len(s.Assumed), len(s.Questions), len(s.Plates))
	}
	for _, c := range s.Checks {
		if c.Check.Verdict.OK() {
			t.Errorf("%s: %v", c.Case, c.Check.Verdict)
		}
	}
	for _, l := range s.Lifts {
		if u := l.Cells[1].Usable.Carry; u.Mass.High != 0 || u.Governing != ballast.LimitManualBallast {
			t.Errorf("%s: %v by %v without the ballast that the manual demands", l.Case, u.Mass, u.Governing)
		}
	}
	for name, form := range forms {
		if err := form(io.Discard, s, units.Display{}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// Every form is whole: the page closes its tags and holds its pictures, and
// the data are JSON without a NaN.
func TestForms(t *testing.T) {
	page := write(t, "-form", "page")
	if !strings.HasSuffix(strings.TrimSpace(page), "</html>") || strings.Count(page, "<svg") != strings.Count(page, "</svg>") {
		t.Error("the page is not whole")
	}
	if n := strings.Count(page, "<svg"); n != 5 {
		t.Errorf("%d pictures, want side view, load chart, tire, slope and plan", n)
	}
	for _, bad := range []string{"NaN", "Inf", "ZgotmplZ", "http://", "https://"} {
		if strings.Contains(strings.ReplaceAll(page, "http://www.w3.org/2000/svg", ""), bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	var v any
	if err := json.Unmarshal([]byte(write(t, "-form", "json")), &v); err != nil {
		t.Error(err)
	}
}

// Names cannot move a terminal's cursor over a figure, add a line, turn the
// direction of writing, or make a page or a picture that no reader opens.
func TestNamesAreShownNotObeyed(t *testing.T) {
	const hostile = "x\x1b[8A\r9000 kg\u009b2K\u202e\x01\ufffe\nMay 9000 kg be lifted: yes <b>&"
	data := string(demo.Handover)
	for _, field := range []string{"title", "name"} {
		text, err := json.Marshal(hostile)
		if err != nil {
			t.Fatal(err)
		}
		data = regexp.MustCompile(`"`+field+`": "[^"]*"`).ReplaceAllLiteralString(data, `"`+field+`": `+string(text))
	}
	in, err := decode([]byte(data))
	if err != nil {
		t.Fatal(err)
	}
	s, err := makeSheet(in)
	if err != nil {
		t.Fatal(err)
	}
	for name, form := range forms {
		var b bytes.Buffer
		if err := form(&b, s, units.Display{}); err != nil {
			t.Fatal(name, err)
		}
		text := b.String()
		if n := strings.Count(text, "9000 kg"); n < 4 {
			t.Errorf("%s: the names are missing", name)
		}
		if strings.ContainsAny(text, "\x1b\r\u009b\u202e\x01\ufffe") || strings.Contains(text, "\nMay 9000") {
			t.Errorf("%s: a hidden character of a name is in it", name)
		}
		if name == "page" && strings.Contains(text, "<b>&") {
			t.Errorf("%s: a mark of a name is in it", name)
		}
		for _, picture := range regexp.MustCompile(`(?s)<svg.*?</svg>`).FindAllString(text, -1) {
			if err := xml.Unmarshal([]byte(picture), &struct{}{}); err != nil {
				t.Errorf("%s: a picture is not XML: %v", name, err)
			}
		}
	}
}

// A number of the sheet's text stands with a unit, a percent sign, or a name.
func TestNumbersHaveUnits(t *testing.T) {
	bare := regexp.MustCompile(`\s\d+\.\d+\s+[A-Z]|\s\d+\.\d+$`)
	for line := range strings.Lines(write(t)) {
		if bare.MatchString(strings.TrimRight(line, "\n")) && !strings.Contains(line, "ISO") {
			t.Errorf("a number without a unit: %q", line)
		}
	}
}

// changed returns the demo with one field changed or, with nil, taken out.
func changed(t *testing.T, value any, path ...string) *Input {
	t.Helper()
	var root map[string]any
	if err := json.Unmarshal(demo.Handover, &root); err != nil {
		t.Fatal(err)
	}
	at := root
	for _, p := range path[:len(path)-1] {
		at = at[p].(map[string]any)
	}
	last := path[len(path)-1]
	if value == nil {
		delete(at, last)
	} else {
		at[last] = value
	}
	data, err := json.Marshal(root)
	if err != nil {
		t.Fatal(err)
	}
	in, err := decode(data)
	if err != nil {
		t.Fatal(err)
	}
	return in
}

// A rating that nobody gave is asked for, with what it must be at least.
func TestMissingRatingIsNamed(t *testing.T) {
	s, err := makeSheet(changed(t, nil, "setup", "machine", "grossRating"))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := writeText(&b, s, units.Display{}); err != nil {
		t.Fatal(err)
	}
	_, after, _ := strings.Cut(b.String(), "the plates must say at least")
	if !strings.Contains(after, "- gross mass: ") {
		t.Errorf("the gross mass is not named:\n%s", after)
	}
}

// Without a height the level answers stay and the slope answers are wider.
func TestMissingHeights(t *testing.T) {
	s, err := makeSheet(changed(t, nil, "setup", "machine", "axlePinHeight"))
	if err != nil {
		t.Fatal(err)
	}
	in, err := decode(demo.Handover)
	if err != nil {
		t.Fatal(err)
	}
	known, err := makeSheet(in)
	if err != nil {
		t.Fatal(err)
	}
	if s.Lifts[0].Cells[0].Usable.CapacityRange != known.Lifts[0].Cells[0].Usable.CapacityRange {
		t.Error("a level answer depends on the pin's height")
	}
	for i, r := range s.Slopes {
		if k := known.Slopes[i]; r.Known || !(r.Limit.Tip.Low < k.Limit.Tip.Low && r.Limit.Tip.High > k.Limit.Tip.High) {
			t.Errorf("%s: %v without the pin's height, %v with it", r.State, r.Limit.Tip, k.Limit.Tip)
		}
	}
	for name, form := range forms {
		if err := form(io.Discard, s, units.Display{}); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

// What is not given is said to be so, never passed off as fine; what cannot be
// is said in words.
func TestOddSheets(t *testing.T) {
	fill := func(fluid, level map[string]any) []any {
		f := map[string]any{"tire": map[string]any{"designation": "14.9-24"}, "fluid": fluid}
		if level != nil {
			f["level"] = level
		}
		return []any{map[string]any{"name": "rear tires", "kind": "rearLiquid", "tires": 1, "fill": f}}
	}
	water := map[string]any{"kind": "water"}
	pieces := []string{"setup", "pieces"}
	for _, c := range []struct {
		name      string
		value     any
		path      []string
		has, lack []string
	}{
		{"no slope", nil, []string{"slope"}, []string{"steepest ground is not given"}, []string{"is no steeper than that"}},
		{"no friction", nil, []string{"friction"}, []string{"slides at an unknown slope", "friction of the ground is not given", "CANNOT BE SAID YET"}, []string{"is no steeper than that"}},
		{"no basis", nil, []string{"basis"}, []string{"no safety basis", "cannot say yet"}, []string{"no limit found exceeded\n", "0 % of the"}},
		{"no ballast", nil, pieces, []string{"forks, NO ballast", "\nnone\n"}, []string{"ballast on", "with ballast"}},
		{"too heavy", "3000 kg", []string{"load", "mass"}, []string{"IT TIPS FORWARD", "IT MAY BE TIPPED ON LEVEL GROUND", "exceeds a limit"}, nil},
		{"one tire", fill(water, map[string]any{"kind": "fraction", "fraction": "50 %"}), pieces, []string{"; 1 tire: "}, []string{"1 tires"}},
		{"too full", fill(water, map[string]any{"kind": "volume", "volume": "400 L"}), pieces, []string{"LIES OUTSIDE THE TIRE"}, nil},
		{"solid", fill(map[string]any{"kind": "polyurethane"}, nil), pieces, []string{"sets solid", "Have a specialist fill the tire"}, []string{"freezes at"}},
	} {
		s, err := makeSheet(changed(t, c.value, c.path...))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		var text bytes.Buffer
		if err := writeText(&text, s, units.Display{}); err != nil {
			t.Fatal(err)
		}
		if err := writePage(io.Discard, s, units.Display{}); err != nil {
			t.Errorf("%s: %v", c.name, err)
		}
		for _, w := range c.has {
			if !strings.Contains(text.String(), w) {
				t.Errorf("%s: the sheet lacks %q", c.name, w)
			}
		}
		for _, w := range c.lack {
			if strings.Contains(text.String(), w) {
				t.Errorf("%s: the sheet has %q", c.name, w)
			}
		}
	}
}

// A tire is not rated for a speed beyond its symbol: A8 is 40 km/h (ISO
// 4223-1).
func TestSpeedBeyondSymbol(t *testing.T) {
	s, err := makeSheet(changed(t, "42 km/h", "speed"))
	if err != nil {
		t.Fatal(err)
	}
	if l := s.Lifts[0].Cells[0].Usable.Limit(ballast.LimitFrontTire); l.Status != stability.ExceededWhenEmpty {
		t.Errorf("front tire at 42 km/h: %v", l)
	}
}

// More ballast behind never lowers what tipping allows, and a raised load
// never stands a steeper slope (mechanics; see the design of both packages).
func TestDirections(t *testing.T) {
	in, err := decode(demo.Handover)
	if err != nil {
		t.Fatal(err)
	}
	s, err := makeSheet(in)
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range s.Lifts {
		if on, off := l.Cells[0].Usable, l.Cells[1].Usable; on.Tipping.Low <= off.Tipping.High {
			t.Errorf("%s: tipping load %v with ballast, %v without", l.Case, on.Tipping, off.Tipping)
		}
	}
	low, high := s.Slopes[1], s.Slopes[2]
	if high.Tip.Grade >= low.Tip.Grade {
		t.Errorf("slope limit with the load high %v, low %v", high.Tip.Slope(), low.Tip.Slope())
	}
}

// A wrong flag or file is a usage error that names what is wrong, and nothing
// is printed.
func TestBadInput(t *testing.T) {
	dir := t.TempDir()
	file := func(name, text string) string {
		name = filepath.Join(dir, name)
		if err := os.WriteFile(name, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return name
	}
	half := string(demo.Handover[:len(demo.Handover)/2])
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"-nonsense"}, "nonsense"},
		{[]string{"-units", "stone"}, "metric"},
		{[]string{"-form", "scroll"}, "text, page or json"},
		{[]string{"extra"}, "extra"},
		{[]string{"-file", filepath.Join(dir, "none.json")}, "none.json"},
		{[]string{"-file", file("empty.json", "")}, "JSON"},
		{[]string{"-file", file("half.json", half)}, "JSON"},
		{[]string{"-file", file("unknown.json", `{"version": 1, "wheels": 3}`)}, "wheels"},
		{[]string{"-file", file("unit.json", strings.Replace(string(demo.Handover), `"1.95 m"`, `"1.95 kg"`, 1))}, "setup.machine.wheelbase"},
		{[]string{"-file", file("wheelbase.json", strings.Replace(string(demo.Handover), `"1.95 m"`, `"-1.95 m"`, 1))}, "setup.machine.wheelbase"},
		{[]string{"-file", file("load.json", strings.Replace(string(demo.Handover), `"430 kg"`, `"0 kg"`, 1))}, "load.mass"},
		{[]string{"-file", file("deck.json", strings.Replace(string(demo.Handover), `"1.05 m"`, `"2.9 m"`, 1))}, "deck: 2.9 m: must be from"},
	} {
		var out bytes.Buffer
		err := run(c.args, &out, io.Discard)
		if cli.ExitCode(err) != cli.BadInput {
			t.Errorf("%q: exit code %d, error %v", c.args, cli.ExitCode(err), err)
		} else if !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: %v; does not name %q", c.args, err, c.want)
		}
		if out.Len() > 0 {
			t.Errorf("%q: printed %d bytes", c.args, out.Len())
		}
	}
}

// A full disk is a failure, not a usage error.
func TestFullDisk(t *testing.T) {
	err := run(nil, fullDisk{}, io.Discard)
	if cli.ExitCode(err) != cli.Failure {
		t.Errorf("exit code %d, error %v", cli.ExitCode(err), err)
	}
}

type fullDisk struct{}

func (fullDisk) Write([]byte) (int, error) { return 0, errors.New("no space left on device") }
