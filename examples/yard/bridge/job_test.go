package bridge_test

import (
	"bytes"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/examples/yard/bridge"
)

// jobFiles are job files that hold every field between them, in many units, with a text that the
// page does not show as it is.
func jobFiles(t *testing.T) map[string]string {
	t.Helper()
	with := func(pairs ...string) string {
		s := string(demo.Rated)
		for i := 0; i < len(pairs); i += 2 {
			if !strings.Contains(s, pairs[i]) {
				t.Fatalf("no %s in the file", pairs[i])
			}
			s = strings.Replace(s, pairs[i], pairs[i+1], 1)
		}
		return s
	}
	more := `"deck": "41 1/2 in", "title": "Sheet ` + strings.Repeat("x", 200) + `", "place": "2.1 m", "slopeManual": "10 %", "factor": 1.7, "practice": {"tine": {"low": "-12 cm", "high": "-8 cm"}},` +
		`"obstacle": {"kind": "box", "height": "8 cm", "length": "0.5 m"}, "obstacleSpeed": "2.5 mph"`
	return map[string]string{
		"demo": string(demo.Handover), "rated": string(demo.Rated), "compact": string(demo.Compact),
		"all": with(`"deck": "1.05 m"`, more, `"mass": "430 kg"`, `"mass": "948 lb"`, `"name": "bucket"`, "\"name\": \"bucket\u202e\""),
	}
}

// asSaved is the job file after it was opened and changed.
func asSaved(t *testing.T, file string, change func(doc map[string]any, yard map[string]string)) (bridge.Saved, map[string]any) {
	t.Helper()
	o := ask[bridge.Opened](t, "open", map[string]any{"file": file})
	if o.Document == nil || o.Job != file {
		t.Fatalf("the job file is not kept: %v", o.Wrong)
	}
	var doc map[string]any
	if err := json.Unmarshal(o.Document, &doc); err != nil {
		t.Fatal(err)
	}
	yard := maps.Clone(o.Ground)
	if change != nil {
		change(doc, yard)
	}
	s := ask[bridge.Saved](t, "save", map[string]any{"file": o.Job, "before": o.Document, "document": doc, "yardBefore": o.Ground, "yard": yard, "compare": o.Compare})
	var out map[string]any
	if err := json.Unmarshal([]byte(s.Text), &out); err != nil {
		t.Fatal(err)
	}
	if again := ask[bridge.Opened](t, "open", map[string]any{"file": s.Text}); again.Document == nil {
		t.Errorf("what was saved is not opened: %v", again.Wrong)
	}
	return s, out
}

// A job file that is opened and saved is the same file but for what was changed: every field of the
// sheet, every unit and every text.
func TestJobFile(t *testing.T) {
	for name, file := range jobFiles(t) {
		s, _ := asSaved(t, file, nil)
		var want map[string]any
		if err := json.Unmarshal([]byte(file), &want); err != nil {
			t.Fatal(err)
		}
		var a, b bytes.Buffer
		json.Compact(&a, []byte(file))
		json.Compact(&b, []byte(s.Text))
		if a.String() != b.String() {
			t.Errorf("%s: opened and saved it is\n%s, not\n%s", name, &b, &a)
		}
		_, got := asSaved(t, file, func(doc map[string]any, yard map[string]string) {
			lift := doc["lifts"].([]any)[0].(map[string]any)
			lift["height"], lift["load"].(map[string]any)["mass"], lift["factor"] = "1.2 m", "111 kg", 2
			setup := doc["setup"].(map[string]any)
			setup["machine"].(map[string]any)["wheelbase"] = "77 in"
			delete(setup["loader"].(map[string]any), "couplerRating")
			setup["pieces"] = append(setup["pieces"].([]any), map[string]any{"kind": "rearWheelWeight", "mass": "50 kg"})
			yard["travel"], yard["slope"], yard["rating"] = "0.5 m", "4 deg", "700 kg"
			delete(yard, "friction")
			yard["surface"] = "wetGrass"
		})
		want["deck"], want["load"].(map[string]any)["mass"], want["factor"] = "1.2 m", "111 kg", 2.0
		setup := want["setup"].(map[string]any)
		setup["machine"].(map[string]any)["wheelbase"] = "77 in"
		delete(setup["loader"].(map[string]any), "couplerRating")
		setup["pieces"] = append(setup["pieces"].([]any), map[string]any{"kind": "rearWheelWeight", "mass": "50 kg"})
		want["travelPin"], want["slope"], want["loaderRating"], want["friction"] = "0.5 m", "4 deg", "700 kg", "0.2"
		if !reflect.DeepEqual(got, want) {
			x, _ := json.Marshal(got)
			y, _ := json.Marshal(want)
			t.Errorf("%s: changed and saved it is\n%s, not\n%s", name, x, y)
		}
	}
}

// What a job file does not take, or the page does not use, is said in both languages.
func TestJobFileSays(t *testing.T) {
	file := jobFiles(t)["all"]
	s, got := asSaved(t, file, func(doc map[string]any, yard map[string]string) {
		doc["lifts"].([]any)[0].(map[string]any)["kind"] = "stackHigh"
		doc["lifts"].([]any)[0].(map[string]any)["height"] = "2 m"
		yard["hole"], yard["holeLength"], yard["speed"] = "10 cm", "30 cm", "4 km/h"
		delete(yard, "travel")
	})
	if got["deck"] != "41 1/2 in" || got["obstacle"].(map[string]any)["kind"] != "box" || got["travelPin"] != "0.45 m" {
		t.Errorf("the file has %v, %v and %v", got["deck"], got["obstacle"], got["travelPin"])
	}
	for _, want := range []string{"stays in it as it was", "are not saved in the job file", "not a hole", "heading of the sheet"} {
		if !slices.ContainsFunc(s.Lines, func(l string) bool { return strings.Contains(l, want) }) {
			t.Errorf("nothing says %q: %q", want, s.Lines)
		}
	}
	// A hole is a hole of the file.
	_, got = asSaved(t, string(demo.Rated), func(_ map[string]any, yard map[string]string) {
		yard["hole"], yard["holeLength"], yard["speed"] = "10 cm", "30 cm", "4 km/h"
	})
	if o := got["obstacle"].(map[string]any); o["kind"] != "rut" || o["height"] != "10 cm" || got["obstacleSpeed"] != "4 km/h" {
		t.Errorf("a hole is saved as %v, %v", o, got["obstacleSpeed"])
	}
	s, got = asSaved(t, string(demo.Handover), func(_ map[string]any, yard map[string]string) { delete(yard, "hole") })
	if got["obstacle"] != nil || got["obstacleSpeed"] != nil || !strings.Contains(strings.Join(s.Lines, " "), "only with its depth") {
		t.Errorf("half a hole is saved as %v, %v: %q", got["obstacle"], got["obstacleSpeed"], s.Lines)
	}
	for _, bad := range []string{"", "[]", "x", "{"} {
		out := bridge.Answer([]byte(`{"ask":"save","language":"en","system":"metric","document":{},"file":` + quoted(bad) + `}`))
		if !bytes.Contains(out, []byte(`"failure"`)) {
			t.Errorf("%q is saved: %s", bad, out)
		}
	}
}

func quoted(s string) string { b, _ := json.Marshal(s); return string(b) }

// What is printed of what was entered has each piece of ballast in one place and says the yard; no
// sentence stands both among the first cautions and among the others; and a slope that was not
// finished is not said to be unknown.
func TestSays(t *testing.T) {
	for _, language := range []string{"en", "de"} {
		o := ask[bridge.Opened](t, "open", map[string]any{"file": "rated"})
		a := ask[bridge.Answered](t, "answer", map[string]any{"language": language, "document": o.Document, "ground": o.Ground})
		var names []string
		yard := 0
		for _, g := range a.Given {
			if g[1] == "rear tires" || g[1] == "ballast box on the hitch" || g[1] == "320 kg" || strings.Contains(g[1], "14.9-24") {
				names = append(names, g[1])
			}
			if g[1] == "450 mm" || strings.HasPrefix(g[1], "8.0°") || strings.HasPrefix(g[1], "8,0°") {
				yard++
			}
			if language == "de" && strings.Contains(g[1], "by mass") {
				t.Errorf("not in German: %q", g)
			}
		}
		if got := strings.Join(names, "; "); got != "rear tires; 14.9-24 8PR R-1; ballast box on the hitch; 320 kg" || yard != 2 {
			t.Errorf("%s: the pieces are printed as %q, %d fields of the yard: %q", language, got, yard, a.Given)
		}
		for _, c := range a.Rest {
			if slices.Contains(a.First, c) {
				t.Errorf("stands twice: %s", c)
			}
		}
	}
	o := ask[bridge.Opened](t, "open", map[string]any{"file": "compact"})
	s := ask[bridge.Slope](t, "slope", map[string]any{"document": o.Document, "ground": o.Ground, "milliseconds": 1})
	if !s.Late || !strings.Contains(s.Title, "not finished") {
		t.Errorf("a slope that was not finished is %+v", s)
	}
}
