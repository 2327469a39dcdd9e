package main

import (
	"bytes"
	"context"
	"encoding/json"
	"encoding/xml"
	"io"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/golden"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/units"
)

func write(t *testing.T, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	if err := run(context.Background(), args, &out, io.Discard); err != nil {
		t.Fatalf("%q: %v", args, err)
	}
	return out.String()
}

// The demo's comparison does not change unseen.
func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"metric.txt":      {"-currency", "EUR"},
		"usCustomary.txt": {"-units", "usCustomary", "-currency", "USD"},
		"german.txt":      {"-lang", "de", "-currency", "EUR"},
		"page.html":       {"-form", "page", "-units", "usCustomary"},
	} {
		golden.Check(t, name, write(t, args...))
	}
}

func demoInput(t *testing.T) *Input {
	t.Helper()
	in, err := decode(demoOptions)
	if err != nil {
		t.Fatal(err)
	}
	return in
}

func answered(t *testing.T, in *Input) *Answer {
	t.Helper()
	a, err := compare(context.Background(), in)
	if err != nil {
		t.Fatal(err)
	}
	return a
}

// What is said of an option is the library's own low end: a load of that mass exceeds no limit.
func TestLowEnds(t *testing.T) {
	a := answered(t, demoInput(t))
	if len(a.Options) < 5 {
		t.Fatalf("%d options, want four of the file and planned ones", len(a.Options))
	}
	for i := range a.Options {
		o := &a.Options[i]
		e, err := o.Setup.Envelope(ballast.Practice{})
		if err != nil {
			t.Fatal(err)
		}
		low := least(o).Usable.Mass.Low
		for _, j := range o.Jobs {
			if c, err := e.Check(j.Job.Lift, low); err != nil || !c.Verdict.OK() {
				t.Errorf("%s, %s: %v at %v: %v", o.Name, j.Job.Kind, c.Verdict, low, err)
			}
		}
		if o.Planned && low < 560 { // the need of the file
			t.Errorf("planned %s carries %v, 560 kg are needed", o.Name, low)
		}
	}
}

// Volumes are those of the formulas of solids: of a bale of 1.25 m by 1.22 m 1.4972 m3.
func TestWeights(t *testing.T) {
	a := answered(t, demoInput(t))
	for _, x := range []struct {
		name      string
		low, high float64
	}{
		{"round bale, dry", 110 * 1.497166, 180 * 1.497166},
		{"wet soil, one bucket", 720, 900},
		{"pallet of juice", 640, 640},
	} {
		for _, l := range a.Loads {
			if l.Name == x.name && (math.Abs(float64(l.Mass.Low)-x.low) > 0.01 || math.Abs(float64(l.Mass.High)-x.high) > 0.01) {
				t.Errorf("%s weighs %v, want %v to %v", x.name, l.Mass, x.low, x.high)
			}
		}
	}
}

// Each reason why the loader lifts less takes something off and gives nothing, and a heavier
// attachment leaves less (mechanics).
func TestReasonsTakeOff(t *testing.T) {
	a := answered(t, demoInput(t))
	for i := 2; i < len(a.Sheet); i++ {
		if a.Sheet[i].Lift.High > a.Sheet[i-1].Lift.High*(1+1e-9) {
			t.Errorf("%s: %v after %v", a.Sheet[i].Kind, a.Sheet[i].Lift, a.Sheet[i-1].Lift)
		}
	}
	for _, j := range []int{0, 1, 2} {
		if bucket, grapple := a.Swaps[0].Jobs[j].Usable.Mass.Low, a.Swaps[1].Jobs[j].Usable.Mass.Low; grapple >= bucket {
			t.Errorf("the heavier grapple carries %v, the bucket %v", grapple, bucket)
		}
	}
	// At the pin, less the attachment: 115 kg, by the file.
	if d := float64(a.Sheet[2].Lift.Low - a.Sheet[3].Lift.Low); math.Abs(d-115) > 1e-6 {
		t.Errorf("the attachment takes %v off", d)
	}
}

// While a rating is missing no option has a positive answer.
func TestNotYet(t *testing.T) {
	in := demoInput(t)
	in.Setup.Machine.GrossRating = units.Input[units.Mass]{}
	a := answered(t, in)
	w, _ := paper.Speak("en", units.Metric)
	p := &speaker{w, &paper.Papers{}, a, ""}
	for i := range a.Options {
		if x := p.option(i); x.Sign != paper.NotYet {
			t.Errorf("%s: sign %v without the gross rating", x.About, x.Sign)
		}
	}
	for _, l := range a.Loads {
		for _, v := range l.Verdicts {
			if v.OK() {
				t.Errorf("%s: %v", l.Name, v)
			}
		}
	}
	s, err := p.sheet()
	if err != nil {
		t.Fatal(err)
	}
	if text := s.Text(); strings.Contains(text, "[yes]") {
		t.Error("a positive sign stands on the sheet")
	}
}

// Every caution of every part of the answer stands on the sheet once.
func TestNoCautionIsLost(t *testing.T) {
	a := answered(t, demoInput(t))
	text := strings.Join(strings.Fields(write(t)), " ")
	for _, r := range a.Cautions {
		if n := strings.Count(text, r.Text); n != 1 {
			t.Errorf("%d times on the sheet: %s", n, r.Text)
		}
	}
}

const hostile = "x\x1b[8A\u202e\n9000 kg <b>&\"'</title></svg><script>"

// Names are shown and not obeyed, in every form.
func TestHostileNames(t *testing.T) {
	text, err := json.Marshal(hostile)
	if err != nil {
		t.Fatal(err)
	}
	data := regexp.MustCompile(`"name": "[^"]*"`).ReplaceAllLiteral(demoOptions, []byte(`"name": `+string(text)))
	file := filepath.Join(t.TempDir(), "x.json")
	if err := os.WriteFile(file, data, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, form := range []string{"text", "page", "json"} {
		text := write(t, "-file", file, "-form", form, "-currency", hostile)
		if strings.ContainsAny(text, "\x1b\u202e") || strings.Contains(text, "\n9000") || form == "page" && (strings.Contains(text, "<script") || strings.Contains(text, "<b>&")) {
			t.Errorf("%s: a name is obeyed", form)
		}
		for _, picture := range regexp.MustCompile(`(?s)<svg.*?</svg>`).FindAllString(text, -1) {
			if err := xml.Unmarshal([]byte(picture), &struct{}{}); err != nil {
				t.Errorf("a picture is not XML: %v", err)
			}
		}
	}
}

// A wrong flag or file is a usage error that names what is wrong, and nothing is printed.
func TestBadInput(t *testing.T) {
	dir := t.TempDir()
	change := func(name, from, to string) string {
		if !bytes.Contains(demoOptions, []byte(from)) {
			t.Fatalf("%s: the demo lacks %s", name, from)
		}
		file := filepath.Join(dir, name)
		if err := os.WriteFile(file, bytes.Replace(demoOptions, []byte(from), []byte(to), 1), 0o644); err != nil {
			t.Fatal(err)
		}
		return file
	}
	for _, c := range []struct {
		args []string
		want string
	}{
		{[]string{"x"}, "no arguments"},
		{[]string{"-form", "scroll"}, "text, page or json"},
		{[]string{"-file", filepath.Join(dir, "lost.json")}, "lost.json"},
		{[]string{"-file", change("version", `"version": 1`, `"version": 2`)}, "version"},
		{[]string{"-file", change("cents", `"cents": 18400`, `"cents": -1`)}, "options[1].cents"},
		{[]string{"-file", change("mass", `"mass": "640 kg"`, `"mass": "0 kg"`)}, "loads[1].mass"},
		{[]string{"-file", change("bale", `"diameter": "1.25 m"`, `"diameter": "9 m"`)}, "loads[2].diameter"},
		{[]string{"-file", change("sheet", `"pinHeight": "1.5 m"`, `"pinHeight": "5 m"`)}, "dataSheet.pinHeight"},
		{[]string{"-file", change("deck", `"deck": "1.05 m"`, `"deck": "2.9 m"`)}, "deck"},
		{[]string{"-file", change("stock", `"stock"`, `"stack"`)}, "stack"},
	} {
		var out bytes.Buffer
		err := run(context.Background(), c.args, &out, io.Discard)
		if cli.ExitCode(err) != cli.BadInput || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%q: exit code %d, error %v, want %q", c.args, cli.ExitCode(err), err, c.want)
		}
		if out.Len() > 0 {
			t.Errorf("%q: printed %d bytes", c.args, out.Len())
		}
	}
}
