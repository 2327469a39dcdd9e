package main

import (
	"bytes"
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/examples/internal/golden"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// write runs the program and returns what it prints.
func write(t *testing.T, args ...string) string {
	t.Helper()
	var out bytes.Buffer
	if err := run(args, &out, io.Discard); err != nil {
		t.Fatalf("%q: %v", args, err)
	}
	return out.String()
}

// english is English with metric units on papers that hold nothing.
func english(t *testing.T) *paper.Options {
	t.Helper()
	w, ok := paper.Speak("en", units.Metric)
	if !ok {
		t.Fatal("no English")
	}
	return &paper.Options{Words: w, Size: paper.A4, Papers: &paper.Papers{Version: 1}}
}

// asForm asks for a form.
func asForm(o *paper.Options, form string) *paper.Options {
	o.Form = form
	return o
}

// said returns a sheet as text.
func said(t *testing.T, s *Sheet) string {
	t.Helper()
	var b bytes.Buffer
	if err := render(&b, s, english(t)); err != nil {
		t.Fatal(err)
	}
	return strings.Join(strings.Fields(b.String()), " ")
}

// The demo's sheet does not change unseen.
func TestGolden(t *testing.T) {
	for name, args := range map[string][]string{
		"metric.txt":         nil,
		"usCustomary.txt":    {"-units", "usCustomary"},
		"german.txt":         {"-lang", "de"},
		"compact.txt":        {"-file", "../internal/demo/compact.json"},
		"compactGerman.txt":  {"-file", "../internal/demo/compact.json", "-lang", "de"},
		"rated.txt":          {"-file", "../internal/demo/rated.json", "-papers", "../internal/demo/papers.json"},
		"cardMissing.txt":    {"-form", "cardtext"},
		"card.txt":           {"-form", "cardtext", "-file", "../internal/demo/rated.json", "-papers", "../internal/demo/papers.json"},
		"cardCustomary.txt":  {"-form", "cardtext", "-file", "../internal/demo/rated.json", "-papers", "../internal/demo/papers.json", "-units", "usCustomary"},
		"cardGerman.txt":     {"-form", "cardtext", "-file", "../internal/demo/rated.json", "-papers", "../internal/demo/papers.json", "-lang", "de"},
		"page.html":          {"-form", "page"},
		"pageCustomary.html": {"-form", "page", "-units", "usCustomary"},
	} {
		golden.Check(t, name, write(t, args...))
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
			t.Errorf("%s: %v", c.Job.Kind, c.Check.Verdict)
		}
	}
	for _, l := range s.Lifts {
		if u := l.Cells[1].Carry; u.Mass.High != 0 || u.Governing != ballast.LimitManualBallast {
			t.Errorf("%s: %v by %v without the ballast that the manual demands", l.Job, u.Mass, u.Governing)
		}
	}
	for _, form := range forms {
		if err := render(io.Discard, s, asForm(english(t), form)); err != nil {
			t.Errorf("%s: %v", form, err)
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
	if n := strings.Count(page, "<svg"); n != 3 {
		t.Errorf("%d pictures, want the machine low, level and high", n)
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

// hostile is a name that moves a terminal's cursor, adds a line, turns the direction of writing, and
// closes what it stands in.
const hostile = "x\x1b[8A\r9000 kg\u009b2K\u202e\x01\ufffe\nMay 9000 kg be lifted: yes <b>&\"'</title></svg><script>"

// Names cannot move a terminal's cursor over a figure, add a line, turn the
// direction of writing, or make a page or a picture that no reader opens.
func TestNamesAreShownNotObeyed(t *testing.T) {
	text, err := json.Marshal(hostile)
	if err != nil {
		t.Fatal(err)
	}
	swap := func(data []byte, fields ...string) []byte {
		for _, field := range fields {
			data = regexp.MustCompile(`"`+field+`": "[^"]*"`).ReplaceAllLiteral(data, []byte(`"`+field+`": `+string(text)))
		}
		return data
	}
	data := append([]byte(`{"title": "x",`), demo.Rated[1:]...)
	in, err := decode(swap(data, "title", "name"))
	if err != nil {
		t.Fatal(err)
	}
	s, err := makeSheet(in)
	if err != nil {
		t.Fatal(err)
	}
	o := english(t)
	papers, err := json.Marshal(map[string]any{"version": 1, "shop": map[string]any{"name": hostile, "lines": []string{hostile}},
		"customer": hostile, "machineSerial": hostile, "loaderSerial": hostile, "attachmentSerial": hostile, "date": "2026-09-14",
		"signatures": []string{hostile}, "rechecks": []any{map[string]any{"what": hostile}}, "frontPressure": "200 kPa gauge", "rearPressure": "140 kPa gauge"})
	if err != nil {
		t.Fatal(err)
	}
	if o.Papers, err = paper.DecodePapers(papers, nil); err != nil {
		t.Fatal(err)
	}
	for _, name := range forms {
		var b bytes.Buffer
		if err := render(&b, s, asForm(o, name)); err != nil {
			t.Fatal(name, err)
		}
		text := b.String()
		if n := strings.Count(strings.ReplaceAll(text, "\u00a0", " "), "9000 kg"); n < 4 {
			t.Errorf("%s: the names are missing", name)
		}
		if strings.ContainsAny(text, "\x1b\r\u009b\u202e\x01\ufffe") || strings.Contains(text, "\nMay 9000") {
			t.Errorf("%s: a hidden character of a name is in it", name)
		}
		if html := name == "page" || name == "card"; html && (strings.Contains(text, "<b>&") || strings.Contains(text, "<script") || strings.Contains(text, "</title></svg>")) {
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
		if bare.MatchString(strings.TrimRight(line, "\n")) && !strings.Contains(line, "ISO") && !strings.Contains(line, "factor") {
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
	_, after, _ := strings.Cut(said(t, s), "the plates must say at least")
	if !strings.Contains(after, "gross mass 4134 kg") {
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
	if s.Lifts[0].Cells[0].CapacityRange != known.Lifts[0].Cells[0].CapacityRange {
		t.Error("a level answer depends on the pin's height")
	}
	for i, r := range s.Slopes {
		if k := known.Slopes[i]; !(r.Limit.Tip.Low < k.Limit.Tip.Low && r.Limit.Tip.High > k.Limit.Tip.High) {
			t.Errorf("%s: %v without the pin's height, %v with it", r.State, r.Limit.Tip, k.Limit.Tip)
		}
	}
	for _, form := range forms {
		if err := render(io.Discard, s, asForm(english(t), form)); err != nil {
			t.Errorf("%s: %v", form, err)
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
		{"no slope", nil, []string{"slope"}, []string{"Nobody has said how steep the yard is"}, []string{"is no steeper than that"}},
		{"no friction", nil, []string{"friction"}, []string{"No slope is stated, because nobody has said what the ground is", "too steep cannot be said"}, []string{"is no steeper than that", "Drive on nothing steeper"}},
		{"no basis", nil, []string{"basis"}, []string{"no safety basis", "Nobody can say yet"}, []string{"[yes]", "0 % of the"}},
		{"no ballast", nil, pieces, []string{"bin forks, NO ballast", "- none"}, []string{"ballast on"}},
		{"too heavy", "3000 kg", []string{"load", "mass"}, []string{"IT TIPS FORWARD", "may be tipped on level ground", "[no] ", "none of them makes this load right"}, []string{"[yes]", "[not yet]"}},
		{"one tire", fill(water, map[string]any{"kind": "fraction", "fraction": "50 %"}), pieces, []string{"in each of 1 tire, "}, []string{"1 tires"}},
		{"too full", fill(water, map[string]any{"kind": "volume", "volume": "400 L"}), pieces, []string{"LIES OUTSIDE THE TIRE"}, nil},
		{"solid", fill(map[string]any{"kind": "polyurethane"}, nil), pieces, []string{"sets solid"}, []string{"freezes no warmer"}},
		{"hanging", "hanging", []string{"loadIs"}, []string{"a strap or a hook swings and can pull the machine over: these figures do not hold for it while it moves. - Nobody"}, nil},
	} {
		s, err := makeSheet(changed(t, c.value, c.path...))
		if err != nil {
			t.Errorf("%s: %v", c.name, err)
			continue
		}
		text := said(t, s)
		for _, form := range []string{"page", "card", "json"} {
			if err := render(io.Discard, s, asForm(english(t), form)); err != nil {
				t.Errorf("%s: %v", c.name, err)
			}
		}
		for _, w := range c.has {
			if !strings.Contains(text, w) {
				t.Errorf("%s: the sheet lacks %q", c.name, w)
			}
		}
		for _, w := range c.lack {
			if strings.Contains(text, w) {
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
	if l := s.Lifts[0].Cells[0].Limit(ballast.LimitFrontTire); l.Status != stability.ExceededWhenEmpty {
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
		if on, off := l.Cells[0], l.Cells[1]; on.Tipping.Low <= off.Tipping.High {
			t.Errorf("%s: tipping load %v with ballast, %v without", l.Job, on.Tipping, off.Tipping)
		}
	}
	low, high := s.Slopes[1], s.Slopes[2]
	if high.Limit.Tip.High >= low.Limit.Tip.Low {
		t.Errorf("slope limit with the load high %v, low %v", high.Limit.Tip, low.Limit.Tip)
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
		{[]string{"-lang", "xx"}, "en or de"},
		{[]string{"-paper", "A5"}, "A4 or letter"},
		{[]string{"-papers", filepath.Join(dir, "none.json")}, "none.json"},
		{[]string{"-papers", file("logo.json", `{"version": 1, "shop": {"logo": "../x.png"}}`)}, "shop.logo"},
		{[]string{"-papers", file("date.json", `{"version": 1, "date": "14.9.2026"}`)}, "date"},
		{[]string{"-form", "scroll"}, "text, page, card"},
		{[]string{"extra"}, "extra"},
		{[]string{"-file", filepath.Join(dir, "none.json")}, "none.json"},
		{[]string{"-file", file("empty.json", "")}, "JSON"},
		{[]string{"-file", file("half.json", half)}, "JSON"},
		{[]string{"-file", file("unknown.json", `{"version": 1, "wheels": 3}`)}, "wheels"},
		{[]string{"-file", file("unit.json", strings.Replace(string(demo.Handover), `"1.95 m"`, `"1.95 kg"`, 1))}, "setup.machine.wheelbase"},
		{[]string{"-file", file("wheelbase.json", strings.Replace(string(demo.Handover), `"1.95 m"`, `"-1.95 m"`, 1))}, "setup.machine.wheelbase"},
		{[]string{"-file", file("load.json", strings.Replace(string(demo.Handover), `"430 kg"`, `"0 kg"`, 1))}, "load.mass"},
		{[]string{"-file", file("rut.json", strings.Replace(string(demo.Handover), `"10 cm"`, `"-10 cm"`, 1))}, "obstacle.height"},
		{[]string{"-file", file("random.json", strings.Replace(string(demo.Handover), `"rut"`, `"random"`, 1))}, "obstacle.kind"},
		{[]string{"-file", file("fast.json", strings.Replace(string(demo.Handover), `"obstacleSpeed": "4 km/h"`, `"obstacleSpeed": "60 km/h"`, 1))}, "obstacleSpeed"},
		{[]string{"-file", file("nowhere.json", string(demo.Rated[:1])+`"obstacleSpeed": "4 km/h",`+string(demo.Rated[1:]))}, "obstacle: must be given with obstacleSpeed"},
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

// Every caution of the answers and every one of our own stands on the sheet once: those that
// the answer triggers in front, the others at the end, and none is lost.
func TestNoCautionIsLost(t *testing.T) {
	for _, data := range [][]byte{demo.Handover, demo.Rated, demo.Compact} {
		in, err := decode(data)
		if err != nil {
			t.Fatal(err)
		}
		s, err := makeSheet(in)
		if err != nil {
			t.Fatal(err)
		}
		text := said(t, s)
		for _, r := range s.cautions {
			if n := strings.Count(text, r.Text); n != 1 {
				t.Errorf("%d times on the sheet: %s", n, r.Text)
			}
		}
		for code, now := range s.yard() {
			if strings.HasPrefix(code, "yard.demanded") || strings.HasPrefix(code, "yard.notread") {
				continue // said only where it is true
			}
			front := slices.ContainsFunc(s.First, func(r units.Remark) bool { return r.Code == code })
			if n := strings.Count(text, paper.Remark(code).Text); n != 1 || front != now {
				t.Errorf("%d times on the sheet, in front %v: %s", n, front, code)
			}
		}
		for i := 1; i < len(s.First); i++ {
			if s.First[i].Rank < s.First[i-1].Rank {
				t.Errorf("%s stands below a lower rank", s.First[i].Code)
			}
		}
	}
}

// No sheet says that something is likely, or that a machine comes to rest. The sheets are those of
// TestGolden.
func TestNoChances(t *testing.T) {
	files, err := filepath.Glob("testdata/*")
	if err != nil || len(files) == 0 {
		t.Fatal(files, err)
	}
	for _, name := range files {
		text, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, bad := range []string{"chance", "probab", "comes to rest", "Wahrscheinlich", "wahrscheinlich", "kommt zur Ruhe", "Chance"} {
			if bytes.Contains(text, []byte(bad)) {
				t.Errorf("%s says %q", name, bad)
			}
		}
	}
}

// A card has loads only when every rating is known; each is no more than the low end of the
// answer and than the maker's rating of the loader less the attachment.
func TestCard(t *testing.T) {
	papers, err := demo.Papers()
	if err != nil {
		t.Fatal(err)
	}
	in, err := decode(demo.Rated)
	if err != nil {
		t.Fatal(err)
	}
	card := func(in *Input, papers *paper.Papers) ([]CardRow, []string) {
		t.Helper()
		s, err := makeSheet(in)
		if err != nil {
			t.Fatal(err)
		}
		rows, _, missing := (&speaker{english(t).Words, s, papers}).card()
		return rows, missing
	}
	rows, missing := card(in, papers)
	if len(missing) > 0 {
		t.Fatal(missing)
	}
	e, err := in.Setup.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		u, err := e.UsableLoad(r.Job.Lift)
		if err != nil {
			t.Fatal(err)
		}
		if !(r.Most > 0 && r.Most <= u.Mass.Low && r.Most <= in.LoaderRating-115) {
			t.Errorf("%s: %v on the card, the answer's low end is %v", r.Job.Kind, r.Most, u.Mass.Low)
		}
		if c, err := e.Check(r.Job.Lift, r.Most); err != nil || !c.Verdict.OK() {
			t.Errorf("%s: %v at the card's load: %v", r.Job.Kind, c.Verdict, err)
		}
	}
	// Of an attachment that nobody weighed the heaviest that is usual is taken off.
	unweighed := *in
	unweighed.LoaderRating = 500
	forks := *in.Setup.Attachment
	forks.Mass = units.Input[units.Mass]{}
	unweighed.Setup.Attachment = &forks
	open, err := unweighed.Setup.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	usual := units.Mass(0)
	for _, a := range open.Assumed() {
		if a.Path == "attachment.mass" {
			usual = a.Mass.High
		}
	}
	for _, r := range first2(card(&unweighed, papers)) {
		if !(usual > 0 && r.Most <= 500-usual) {
			t.Errorf("%s: %v on the card of a loader rated at 500 kg with an attachment of up to %v", r.Job.Kind, r.Most, usual)
		}
	}
	low := *in
	low.LoaderRating = 500
	for _, r := range first2(card(&low, papers)) {
		if r.Most > 385 {
			t.Errorf("%s: %v on the card, the maker's rating less the attachment is 385 kg", r.Job.Kind, r.Most)
		}
	}
	// One thing taken away, and there is no card.
	none := *papers
	none.MachineSerial = ""
	if _, missing := card(in, &none); len(missing) != 1 {
		t.Errorf("without a serial number: %q", missing)
	}
	none = *papers
	none.RearPressure = 0
	if _, missing := card(in, &none); len(missing) != 1 {
		t.Errorf("without a pressure: %q", missing)
	}
	for _, take := range []func(*Input){
		func(in *Input) { in.LoaderRating = 0 },
		func(in *Input) { in.Basis = ballast.Basis{} },
		func(in *Input) { in.Setup.Machine.GrossRating = units.Input[units.Mass]{} },
		func(in *Input) { in.Setup.Machine.ROPSRating = units.Input[units.Mass]{} },
		func(in *Input) { in.Setup.Machine.Front.WheelRating = units.Input[units.Mass]{} },
		func(in *Input) { in.Setup.Machine.Front.Tire = ballast.TireRating{} },
		func(in *Input) { in.Setup.Machine.Front.Rating = units.Input[units.Mass]{} },
		func(in *Input) {
			l := *in.Setup.Loader
			l.CouplerRating, l.ManualBallast = units.Input[units.Mass]{}, ballast.ManualBallast{}
			in.Setup.Loader = &l
		},
	} {
		without := *in
		take(&without)
		if _, missing := card(&without, papers); len(missing) == 0 {
			t.Error("a card although something is missing")
		}
	}
}

func first2[A, B any](a A, _ B) A { return a }

// Over the roughest place of the yard no more is stated than without it, and less with the arms
// level than low; where a wheel lifts there is no load figure, and without a place the part is not
// there.
func TestRoughestPlace(t *testing.T) {
	in, err := decode(demo.Handover)
	if err != nil {
		t.Fatal(err)
	}
	s, err := makeSheet(in)
	if err != nil {
		t.Fatal(err)
	}
	if len(s.Travel) != 2 {
		t.Fatalf("%d rows", len(s.Travel))
	}
	for _, r := range s.Travel {
		if u := &r.Use; !(u.IfRated.Low > 0 && u.IfRated.Low <= u.Usable.IfRated.Low) {
			t.Errorf("%s: %v over the place, %v without it", r.State, u.IfRated, u.Usable.IfRated)
		}
		for _, l := range append(r.Use.Cautions.Remarks(), r.Use.Notes.Remarks()...) {
			// A caution or note stands on the sheet by its text: two packages may say the same.
			same := func(on units.Remark) bool { return on.Text == l.Text }
			if !slices.ContainsFunc(s.First, same) && !slices.ContainsFunc(s.Rest, same) && !slices.ContainsFunc(s.Notes, same) {
				t.Errorf("not on the sheet: %s", l.Text)
			}
		}
	}
	if low, level := s.Travel[0].Use.Obstacle, s.Travel[1].Use.Obstacle; level.Low >= low.Low {
		t.Errorf("%v with the arms level, %v with the arms low", level, low)
	}
	for _, code := range []string{"ballast.caution.hiddenGround", "ballast.caution.notPermission"} {
		if !slices.ContainsFunc(s.First, func(r units.Remark) bool { return r.Code == code }) {
			t.Errorf("%s does not stand in front", code)
		}
	}
	const head = "Over the roughest place"
	deep, err := makeSheet(changed(t, map[string]any{"kind": "box", "height": "50 cm", "length": "30 cm"}, "obstacle"))
	if err != nil {
		t.Fatal(err)
	}
	_, text, _ := strings.Cut(said(t, deep), head)
	text, _, _ = strings.Cut(text, "All other cautions")
	if !strings.Contains(text, "go slower or around") || strings.Contains(text, "found up to") {
		t.Errorf("a beam 50 cm high has a load figure: %s", text)
	}
	in.Obstacle, in.ObstacleSpeed = nil, 0
	if s, err = makeSheet(in); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(said(t, s), head) {
		t.Error("a part of a place that nobody has measured")
	}
}

// Each attachment has its sheet: a bucket with material by volume and density, and a bare pin.
func TestAnyAttachment(t *testing.T) {
	var in Input
	full, err := decode(demo.Rated)
	if err != nil {
		t.Fatal(err)
	}
	in = *full
	in.Setup.Attachment, in.Compare = full.Compare, nil
	in.Load = ballast.Load{Density: 900, Name: "wet soil"}
	if err := in.Validate(); err != nil {
		t.Fatal(err)
	}
	s, err := makeSheet(&in)
	if err != nil {
		t.Fatal(err)
	}
	if s.Load != 405 { // 900 kg/m3 in 450 L
		t.Errorf("%v in the bucket, want 405 kg", s.Load)
	}
	if text := said(t, s); !strings.Contains(text, "bucket edge 1.05 m over the ground") {
		t.Errorf("no height of the bucket's edge:\n%s", text)
	}
	in.Setup.Attachment = &ballast.Attachment{Kind: ballast.BarePin}
	in.Load = ballast.Load{Mass: 300}
	if err := in.Validate(); err != nil {
		t.Fatal(err)
	}
	if s, err = makeSheet(&in); err != nil {
		t.Fatal(err)
	}
	if !slices.ContainsFunc(s.First, func(r units.Remark) bool { return r.Code == "yard.swing" }) {
		t.Error("a load on the bare pin does not warn of swinging")
	}
	for _, form := range forms {
		if err := render(io.Discard, s, asForm(english(t), form)); err != nil {
			t.Errorf("%s: %v", form, err)
		}
	}
}
