package bridge

import (
	"encoding/json"
	"strings"
	"testing"

	"example.com/steelyard/examples/internal/demo"
)

func answered(t *testing.T, request map[string]any, v any) {
	t.Helper()
	request["language"], request["system"] = "en", "metric"
	in, err := json.Marshal(request)
	if err != nil {
		t.Fatal(err)
	}
	out := Answer(in)
	if strings.HasPrefix(string(out), `{"failure"`) {
		t.Fatalf("%.300s", out)
	}
	if err := json.Unmarshal(out, v); err != nil {
		t.Fatal(err)
	}
}

// A name of a file can turn no figure around and push no answer off the screen. The marks are those of
// Unicode UAX 9.
func TestNamesAreSafe(t *testing.T) {
	for _, name := range []string{"a\u202eb", "\u2066b\u200f", "a\x00b\nb", strings.Repeat("Wb", 5000)} {
		in, err := json.Marshal(name)
		if err != nil {
			t.Fatal(err)
		}
		file := strings.Replace(string(demo.Rated), `"picking bin, full"`, string(in), 1)
		if file == string(demo.Rated) {
			t.Fatal("the machine has no such name")
		}
		var o Opened
		answered(t, map[string]any{"ask": "open", "file": file}, &o)
		var a, typed Answered
		answered(t, map[string]any{"ask": "answer", "document": o.Document}, &a)
		if len(a.Asked) > 500 || !strings.Contains(a.Asked, "b") {
			t.Errorf("%.20q: %.300q", name, a.Asked)
		}
		// So it is for a name that was typed into the page.
		var d map[string]any
		json.Unmarshal(o.Document, &d)
		d["lifts"].([]any)[0].(map[string]any)["load"].(map[string]any)["name"] = name
		answered(t, map[string]any{"ask": "answer", "document": d}, &typed)
		for _, text := range []string{a.Asked, typed.Asked, string(o.Document)} {
			if strings.ContainsAny(text, "\u202e\u2066\u200f\x00\n") {
				t.Errorf("%.20q leads to %.300q", name, text)
			}
		}
	}
}

// A sheet's input is read as strictly as by the sheet: what is misspelt is not left out silently.
func TestSheetIsStrict(t *testing.T) {
	sheet := string(demo.Handover)
	for _, x := range [][3]string{{`"basis"`, `"basys"`, "basys"}, {`"slopeMargin"`, `"slopMargin"`, "slopMargin"}, {`"setup":`, `"setup": {}, "setup":`, "setup"}} {
		var o Opened
		answered(t, map[string]any{"ask": "open", "file": strings.Replace(sheet, x[0], x[1], 1)}, &o)
		if o.Document != nil || len(o.Wrong) == 0 || !strings.Contains(o.Wrong[0].Path, x[2]) {
			t.Errorf("%s in place of %s leads to %v", x[1], x[0], o.Wrong)
		}
	}
}

// A wrong entry of a tire job is said beside its own field.
func TestTireEntriesStayByTheirField(t *testing.T) {
	for _, x := range []struct {
		field string
		tire  map[string]any
	}{
		{"strength", map[string]any{"strength": "70"}}, {"strength", map[string]any{"strength": "-3"}}, {"clock", map[string]any{"strength": "25", "clock": "13"}},
		{"count", map[string]any{"strength": "25", "count": "two"}}, {"count", map[string]any{"strength": "25", "count": 1e20}}, {"count", map[string]any{"strength": "25", "count": "0"}},
		{"size", map[string]any{"strength": "25", "size": "x"}}, {"coldest", map[string]any{"coldest": "-80"}},
	} {
		if x.tire["size"] == nil {
			x.tire["size"] = "14.9-24"
		}
		x.tire["fluid"] = "calciumChloride"
		var j TireJob
		answered(t, map[string]any{"ask": "tire", "tire": x.tire}, &j)
		if len(j.Wrong) != 1 || j.Wrong[0].Path != x.field || j.Result != nil {
			t.Errorf("%v: %v", x.tire, j.Wrong)
		}
	}
	var j TireJob
	answered(t, map[string]any{"ask": "tire", "tire": map[string]any{"size": "14.9-24", "fluid": "water", "count": "1"}}, &j)
	if j.Tires != 1 || j.Result == nil {
		t.Errorf("one tire is counted as %d", j.Tires)
	}
}

// A slope says with what it holds while that is not known: leaving a field empty permits no more.
func TestSlopeSaysWhatWasNotSaid(t *testing.T) {
	var o Opened
	answered(t, map[string]any{"ask": "open", "file": "rated"}, &o)
	lines := func(without string) string {
		ground := map[string]any{"slope": "6 deg", "surface": "dry", "margin": "2 deg", "manual": "8 deg", "rops": "up", "belt": "worn"}
		delete(ground, without)
		var s Slope
		answered(t, map[string]any{"ask": "slope", "document": o.Document, "ground": ground, "milliseconds": 60000}, &s)
		return s.Title + strings.Join(s.Lines, " ")
	}
	for without, want := range map[string]string{"rops": "only with the roll-over structure up", "belt": "seat belt on", "manual": "look it up", "margin": "No margin", "surface": "No slope is stated"} {
		if got := lines(without); !strings.Contains(got, want) || strings.Contains(lines(""), want) {
			t.Errorf("without %s: %s", without, got)
		}
	}
}

// What a sheet's input says of the ground comes with the machine: as written in the file.
func TestGroundOfSheet(t *testing.T) {
	var o Opened
	answered(t, map[string]any{"ask": "open", "file": "demo"}, &o)
	for key, want := range map[string]string{"slope": "8 deg", "margin": "2 deg", "friction": "0.5", "hole": "10 cm", "holeLength": "30 cm", "speed": "4 km/h"} {
		if o.Ground[key] != want {
			t.Errorf("%s is %q instead of %q", key, o.Ground[key], want)
		}
	}
}

// Over the worst hole no figure stands without the plates that are missing, as on the sheet.
func TestHoleSaysPlates(t *testing.T) {
	for file, missing := range map[string]bool{"demo": true, "rated": false} {
		var o Opened
		answered(t, map[string]any{"ask": "open", "file": file}, &o)
		var s Slope
		answered(t, map[string]any{"ask": "hole", "document": o.Document, "milliseconds": 60000, "ground": map[string]any{"hole": "10 cm", "holeLength": "30 cm", "speed": "4 km/h"}}, &s)
		if got := strings.Contains(strings.Join(s.Lines, " "), "plates are missing"); got != missing || len(s.Lines) < 2 {
			t.Errorf("%s: %q", file, s.Lines)
		}
	}
}
