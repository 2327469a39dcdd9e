package bridge_test

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/yard/bridge"
	"example.com/steelyard/units"
)

// ask asks in English and metric units if nothing else is said.
func ask[A any](t testing.TB, what string, more map[string]any) (a A) {
	t.Helper()
	request := map[string]any{"ask": what, "language": "en", "system": "metric"}
	for k, v := range more {
		request[k] = v
	}
	in, err := json.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	out := bridge.Answer(in)
	var f bridge.Failure
	if json.Unmarshal(out, &f); f.Failure != "" {
		t.Fatalf("%s: %s", what, f.Failure)
	}
	if err := json.Unmarshal(out, &a); err != nil {
		t.Fatalf("%s: %v", what, err)
	}
	return a
}

func machine(t testing.TB, name string) json.RawMessage {
	t.Helper()
	o := ask[bridge.Opened](t, "open", map[string]any{"file": name})
	if o.Document == nil {
		t.Fatal(o.Wrong)
	}
	return o.Document
}

// changed is a document with another text.
func changed(t testing.TB, doc json.RawMessage, old, new string) json.RawMessage {
	t.Helper()
	if !bytes.Contains(doc, []byte(old)) {
		t.Fatalf("no %s in the document", old)
	}
	return bytes.Replace(doc, []byte(old), []byte(new), 1)
}

// The answer of the page is that of the library, called directly.
func TestAnswer(t *testing.T) {
	for _, name := range []string{"demo", "rated", "compact"} {
		raw := machine(t, name)
		doc, err := ballast.Decode(bytes.NewReader(raw))
		if err != nil {
			t.Fatal(err)
		}
		lift := doc.Lifts[0]
		want, err := doc.Setup.Check(lift, lift.Load.Mass)
		if err != nil {
			t.Fatal(err)
		}
		got := ask[bridge.Answered](t, "answer", map[string]any{"document": raw})
		a, _ := json.Marshal(want)
		b, _ := json.Marshal(got.Result)
		if string(a) != string(b) || got.Verdict != want.Verdict.String() || got.Kilograms[0] != float64(want.Usable.IfRated.Low) {
			t.Errorf("%s: %s is not %s", name, b, a)
		}
		if len(got.First) < 5 || got.Word == "" || len(got.Limits) < 8 || got.Bare != (want.Usable.Missing != 0) {
			t.Errorf("%s: the page says too little: %+v", name, got)
		}
		for _, system := range []string{"usCustomary", "metric"} {
			us := ask[bridge.Answered](t, "answer", map[string]any{"document": raw, "system": system, "language": "de"})
			if us.Kilograms[0] != got.Kilograms[0] || us.Kilograms[1] != got.Kilograms[1] {
				t.Errorf("%s: another language or system answers %v, not %v", name, us.Kilograms, got.Kilograms)
			}
		}
	}
}

// A machine of which nothing is known has no figure, but a question; and no order of answering them
// is asked for. Less knowledge never narrows the answer.
func TestNothingIsCompulsory(t *testing.T) {
	start := ask[bridge.Start](t, "start", nil)
	a := ask[bridge.Answered](t, "answer", map[string]any{"document": start.Empty})
	if a.Verdict != "cannotSay" || a.Kilograms != nil || len(a.Wrong) > 0 || len(a.Missing) == 0 || a.Missing[0].Path != "lifts[0].height" || len(a.First) == 0 {
		t.Errorf("%+v", a)
	}
	raw := machine(t, "rated")
	whole := ask[bridge.Answered](t, "answer", map[string]any{"document": raw})
	r := rand.New(rand.NewPCG(3, 1))
	for range 150 {
		var doc map[string]any
		if err := json.Unmarshal(raw, &doc); err != nil {
			t.Fatal(err)
		}
		for range 1 + r.IntN(6) {
			leave(r, doc["setup"].(map[string]any))
		}
		less, _ := json.Marshal(doc)
		got := ask[bridge.Answered](t, "answer", map[string]any{"document": json.RawMessage(less), "before": raw})
		if got.Kilograms == nil {
			if len(got.Missing)+len(got.Wrong) == 0 {
				t.Fatalf("no figure and no reason: %s", less)
			}
			continue
		}
		// With fewer pieces or another attachment it is another machine, not less knowledge.
		if !same(doc, raw) {
			continue
		}
		if got.Kilograms[0] > whole.Kilograms[0]+1e-6 {
			t.Errorf("with less known more is permitted: %v, not %v: %s", got.Kilograms, whole.Kilograms, less)
		}
	}
}

// leave leaves a field of a group or of a group in it out.
func leave(r *rand.Rand, o map[string]any) {
	keys := make([]string, 0, len(o))
	for k := range o {
		if k != "pieces" && k != "attachment" && k != "cylinders" {
			keys = append(keys, k)
		}
	}
	if len(keys) == 0 {
		return
	}
	slices.Sort(keys)
	k := keys[r.IntN(len(keys))]
	if sub, ok := o[k].(map[string]any); ok {
		leave(r, sub)
		return
	}
	delete(o, k)
}

// same reports whether only what is known is less: the rule of the steered axle and how many tires
// there are are choices.
func same(doc map[string]any, raw json.RawMessage) bool {
	var old map[string]any
	json.Unmarshal(raw, &old)
	part := func(d map[string]any, keys ...string) string {
		var v any = d
		for _, k := range keys {
			m, _ := v.(map[string]any)
			v = m[k]
		}
		b, _ := json.Marshal(v)
		return string(b)
	}
	for _, keys := range [][]string{{"setup", "machine", "steered"}, {"setup", "machine", "cg", "y"}, {"setup", "machine", "seat", "y"}, {"setup", "loader", "frameCG", "y"}, {"setup", "loader", "pivot", "y"}} {
		if part(doc, keys...) != part(old, keys...) {
			return false
		}
	}
	return true
}

// What a change did is told by the answers before and after it.
func TestChanged(t *testing.T) {
	raw := machine(t, "compact")
	heavier := changed(t, raw, `"mass":"200 kg"`, `"mass":"210 kg"`)
	a := ask[bridge.Answered](t, "answer", map[string]any{"document": heavier, "before": raw})
	b := ask[bridge.Answered](t, "answer", map[string]any{"document": raw})
	if len(a.Changed) == 0 {
		t.Fatal("nothing is said of a change")
	}
	if (a.Kilograms[0] == b.Kilograms[0] && a.Kilograms[1] == b.Kilograms[1]) != strings.Contains(a.Changed[0], "does not change") {
		t.Errorf("%v to %v: %v", b.Kilograms, a.Kilograms, a.Changed)
	}
	if len(a.Pieces) != 1 || !strings.Contains(a.Pieces[0].Without, "Without it") {
		t.Errorf("pieces: %+v", a.Pieces)
	}
}

// The form shows numbers of the reader's units, and texts that are already in them as they were
// entered.
func TestForm(t *testing.T) {
	raw := machine(t, "rated")
	metric := ask[bridge.Form](t, "form", map[string]any{"document": raw, "language": "de"}).Values
	us := ask[bridge.Form](t, "form", map[string]any{"document": raw, "system": "usCustomary"}).Values
	for path, want := range map[string][2]string{
		"setup.machine.wheelbase": {"1,95", "76.772"}, "setup.machine.mass": {"2250", "4960.4"}, "setup.loader.cylinders.pressure": {"180", "2610.7"},
		"lifts[0].speed": {"6", "3.7282"}, "setup.pieces[0].fill.temperature": {"10", "50"},
	} {
		if metric[path] != want[0] || us[path] != want[1] {
			t.Errorf("%s: %s and %s, want %s", path, metric[path], us[path], want)
		}
	}
}

// Files that are no machine are refused with a reason; an unfinished machine is opened.
func TestOpen(t *testing.T) {
	for _, text := range []string{"", "x", "[]", "null", "{}", `{"version":2}`, `{"version":7,"setup":{}}`, `{"version":2,"setup":{"machine":{"wheelbase":"-1 m"}}}`, `{"travelPin":"x"}`, strings.Repeat("[", 100000)} {
		o := ask[bridge.Opened](t, "open", map[string]any{"file": text})
		if unfinished := text == `{"version":2}`; o.Document != nil && !unfinished || o.Document == nil && len(o.Wrong) == 0 {
			t.Errorf("%.40q: %+v", text, o)
		}
	}
	start := ask[bridge.Start](t, "start", nil)
	if o := ask[bridge.Opened](t, "open", map[string]any{"file": string(start.Empty)}); o.Document == nil {
		t.Errorf("an unfinished machine is refused: %+v", o)
	}
	old, err := os.ReadFile("../../../ballast/testdata/version1/documents.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	opened := 0
	for line := range strings.Lines(string(old)) {
		o := ask[bridge.Opened](t, "open", map[string]any{"file": line})
		if o.Document == nil {
			continue
		}
		opened++
		var d struct{ Version int }
		if err := json.Unmarshal(o.Document, &d); err != nil || d.Version != ballast.DocumentVersion {
			t.Errorf("the page goes on with version %d: %.100s", d.Version, line)
		}
	}
	if opened < 100 {
		t.Errorf("%d old documents were opened", opened)
	}
}

// Where the arm's pivot is by one tape reading: the range holds the truth of machines that fit what
// was entered, x = wheelbase + d - sqrt(r^2 - (z - h)^2) by the triangle of pivot, pin and their
// difference in height.
func TestPivot(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	between := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	p := ballast.UsualPractice()
	for i := range 500 {
		wheelbase := between(1.4, 2.6)
		arm := wheelbase * between(float64(p.Arm.Low), float64(p.Arm.High))
		z := wheelbase * between(float64(p.PivotZ.Low), float64(p.PivotZ.High))
		h := between(float64(p.LowestPin.Low), float64(p.LowestPin.High))
		if math.Abs(z-h) > 0.95*arm {
			continue
		}
		x := wheelbase * between(float64(p.PivotX.Low), float64(p.PivotX.High))
		d := x + math.Sqrt(arm*arm-(z-h)*(z-h)) - wheelbase
		loader := map[string]any{}
		text := func(v float64) string { return fmt.Sprintf("%.6f m", v) }
		if i%2 == 0 {
			loader["arm"] = map[string]string{"low": text(arm - 0.02), "high": text(arm + 0.01)}
		}
		if i%3 == 0 {
			loader["pivot"], loader["lowestPin"] = map[string]string{"z": text(z)}, text(h)
		}
		doc, _ := json.Marshal(map[string]any{"version": 2, "setup": map[string]any{"machine": map[string]any{"wheelbase": text(wheelbase)}, "loader": loader}})
		got := ask[bridge.Pivot](t, "pivot", map[string]any{"document": json.RawMessage(doc), "ahead": fmt.Sprintf("%.6f", d)})
		low, err1 := units.ParseLength(got.Value["low"])
		high, err2 := units.ParseLength(got.Value["high"])
		if err1 != nil || err2 != nil || float64(low) > x+1e-5 || float64(high) < x-1e-5 {
			t.Errorf("%v does not hold %g: %s", got, x, doc)
		}
	}
}

// No slope is stated while nothing protects whoever drives, and a wet ground permits no more than a
// dry one.
func TestSlope(t *testing.T) {
	raw := machine(t, "rated")
	of := func(ground map[string]any) bridge.Slope {
		return ask[bridge.Slope](t, "slope", map[string]any{"document": raw, "ground": ground, "milliseconds": 60000})
	}
	dry, wet := of(map[string]any{"surface": "dry"}), of(map[string]any{"surface": "wetGrass"})
	if !(dry.Radians > 0) || wet.Radians > dry.Radians {
		t.Errorf("dry %g, wet %g", dry.Radians, wet.Radians)
	}
	for _, rops := range []string{"folded", "none"} {
		if s := of(map[string]any{"surface": "dry", "rops": rops}); s.Radians != 0 || !s.Bad {
			t.Errorf("%s: %+v", rops, s)
		}
		a := ask[bridge.Answered](t, "answer", map[string]any{"document": raw, "ground": map[string]any{"rops": rops}})
		if !slices.ContainsFunc(a.First, func(s string) bool { return strings.Contains(s, "roll-over structure is folded or missing") }) {
			t.Errorf("%s: the cautions are %v", rops, a.First)
		}
	}
	if s := of(map[string]any{"surface": "dry", "slope": "40 deg"}); !s.Bad {
		t.Errorf("a yard of 40 degrees: %+v", s)
	}
	if s := of(nil); s.Radians != 0 {
		t.Errorf("of an unknown ground: %+v", s)
	}
}

// Every sentence of the page has both languages with the same parameters, and something says it.
func TestWords(t *testing.T) {
	file, err := os.ReadFile("words.tsv")
	if err != nil {
		t.Fatal(err)
	}
	var source strings.Builder
	names, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		if strings.HasSuffix(n.Name(), ".go") && !strings.HasSuffix(n.Name(), "_test.go") {
			data, _ := os.ReadFile(n.Name())
			source.Write(data)
		}
	}
	page, err := os.ReadFile("../build/page/page.js")
	if err != nil {
		t.Fatal(err)
	}
	param := regexp.MustCompile(`\{[a-z]+\}`)
	params := func(s string) []string {
		list := param.FindAllString(s, -1)
		slices.Sort(list)
		return slices.Compact(list)
	}
	codes := map[string]bool{}
	for line := range strings.Lines(string(file)) {
		if strings.HasPrefix(line, "#") {
			continue
		}
		p := strings.Split(strings.TrimSuffix(line, "\n"), "\t")
		if len(p) < 3 || p[1] == "" || p[2] == "" || !strings.HasPrefix(p[0], "y.") || codes[p[0]] {
			t.Errorf("%q is no line of words, or stands twice", line)
			continue
		}
		codes[p[0]] = true
		if !slices.Equal(params(p[1]), params(p[2])) {
			t.Errorf("%s: the parameters of %q and %q differ", p[0], p[1], p[2])
		}
		short := strings.TrimPrefix(p[0], "y.")
		head := short[:strings.LastIndex("."+short, ".")]
		if !strings.Contains(source.String(), `"`+p[0]+`"`) && !strings.Contains(string(page), `"`+short+`"`) &&
			!(head != "" && (strings.Contains(string(page), `"`+strings.TrimSuffix(head, ".")+`"`) || strings.Contains(string(page), `"`+strings.TrimSuffix(head, ".")+`."`) || strings.Contains(source.String(), `"y.`+head))) {
			t.Errorf("nothing says %s", p[0])
		}
	}
	for _, m := range regexp.MustCompile(`T\("([a-z.A-Z]+)"[,)]`).FindAllStringSubmatch(string(page), -1) {
		if !codes["y."+m[1]] {
			t.Errorf("the page says %s, which has no words", m[1])
		}
	}
}

// FuzzAnswer asks anything: there is always an answer, in JSON, and never a panic.
func FuzzAnswer(f *testing.F) {
	for _, what := range []string{"start", "form", "answer", "questions", "pictures", "slope", "hole", "plan", "tire", "pivot"} {
		for _, name := range []string{"rated", "compact"} {
			r := map[string]any{"ask": what, "language": "de", "system": "usCustomary", "document": machine(f, name), "milliseconds": 50, "ahead": "0.4",
				"ground": map[string]any{"surface": "mud", "slope": "3 deg"}, "tire": map[string]any{"size": "14.9-24", "fluid": "water", "clock": "9"}}
			in, _ := json.Marshal(r)
			f.Add(in)
		}
	}
	f.Add([]byte(`{"ask":"open","language":"en","system":"metric","file":"{\"version\":2}"}`))
	f.Fuzz(func(t *testing.T, in []byte) {
		out := bridge.Answer(in)
		if !json.Valid(out) || bytes.Contains(out, []byte("the library stopped")) {
			t.Errorf("%.300s", out)
		}
	})
}

// The slope of the page is that of the printed sheet of the same file, in words and height.
func TestSlopeOfTheSheet(t *testing.T) {
	for _, c := range []struct{ file, sheet, language, system string }{
		{"demo", "metric", "en", "metric"}, {"demo", "usCustomary", "en", "usCustomary"}, {"demo", "german", "de", "metric"},
		{"rated", "rated", "en", "metric"}, {"compact", "compact", "en", "metric"}, {"compact", "compactGerman", "de", "metric"},
	} {
		text, err := os.ReadFile("../../handover/testdata/" + c.sheet + ".txt")
		if err != nil {
			t.Fatal(err)
		}
		sheet := strings.Join(strings.Fields(strings.ReplaceAll(string(text), "\n! ", "\n")), " ")
		o := ask[bridge.Opened](t, "open", map[string]any{"file": c.file})
		got := ask[bridge.Slope](t, "slope", map[string]any{"document": o.Document, "ground": o.Ground, "language": c.language, "system": c.system, "milliseconds": 600000})
		if !strings.Contains(sheet, got.Title) {
			t.Errorf("%s: the sheet %s does not say %q", c.file, c.sheet, got.Title)
		}
		for _, line := range got.Lines[:3] {
			if !strings.Contains(sheet, line) {
				t.Errorf("%s: the sheet %s does not say %q", c.file, c.sheet, line)
			}
		}
	}
}
