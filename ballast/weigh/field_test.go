package weigh_test

import (
	"bytes"
	"encoding/json"
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/units"
)

// wholeRecord is a record in which every field stands somewhere.
func wholeRecord() weigh.Record {
	m := newMachine(rand.New(rand.NewPCG(1, 1)), 1, 1)
	r := m.reads(rand.New(rand.NewPCG(2, 2)), workshop)
	r.Name, r.Mass, r.Undercarriage, r.Confidence = "bin tractor", 2500, 1, 0.9
	r.SelfLeveling = units.Is(units.Fraction(0.5))
	r.Liquid = weigh.Measured[units.Mass]{Value: 300, SD: 10}
	r.Yard = weigh.Measured[units.Angle]{Value: 0.01, SD: 0.005}
	r.Squat = weigh.Measured[units.Angle]{Value: 0.01, SD: 0.005}
	r.LevelSD, r.PinSD = 0.003, 0.004
	r.Scale.Division, r.Scale.ZeroSD, r.Scale.GainSD, r.Scale.Capacity = 5, 2, 0.005, 50000
	r.Gauge.GainSD = 0.01
	r.Loads = append(r.Loads, weigh.TestLoad{Name: "extra", Mass: weigh.Measured[units.Mass]{Value: 200, SD: 1}, Like: r.Loads[0].Name, Above: 0.1})
	r.Pieces = append(r.Pieces, weigh.LoosePiece{Name: "box", Mass: weigh.Measured[units.Mass]{Value: 200, SD: 1}, X: weigh.Measured[units.Length]{Value: -0.9, SD: 0.01}, Z: 0.6})
	r.Tape = append(r.Tape, weigh.Taped{Length: weigh.TapedReach, Value: 1.2, SD: 0.01, Load: r.Loads[0].Name, Pin: 0.5})
	r.Weights = append(r.Weights,
		weigh.AxleReading{Pin: 0.4, Front: 900, RearLeft: 700, RearRight: 705, Held: weigh.HeldByChocks, Turned: true, Without: []string{"box"}},
		weigh.AxleReading{Pin: 0.4, Front: 900, Rear: 1400, Raised: 10 * units.Degree, Loads: []string{"extra"}})
	r.Pressures = append(r.Pressures, weigh.PressureReading{Motion: weigh.Raising, Pressure: 5e6, Pin: 0.5, Loads: []string{"extra"}})
	r.Figures = append(r.Figures, weigh.Figure{Kind: weigh.FigureLift, Mass: 900, Pin: 2, Ahead: 0.4, SD: 0.1}, weigh.Figure{Kind: weigh.FigureRelief, Pressure: 18e6})
	r.Practice.CGX = units.Range[units.Fraction]{Low: 0.35, High: 0.45}
	return r
}

// Every bound of the catalog is that which Validate holds: it is tried at its ends and just
// beyond, wherever the field stands.
func TestFieldBounds(t *testing.T) {
	d := weigh.Document{Version: weigh.DocumentVersion, Weighing: wholeRecord()}
	if err := d.Validate(); err != nil {
		t.Fatal(err)
	}
	errorsAt := func(d weigh.Document, path string) (codes []string) {
		for _, e := range units.Fields(d.Validate()) {
			if f, ok := weigh.FieldAt(e.Path); ok && f.Path == path {
				codes = append(codes, e.Path+" "+e.Code)
			}
		}
		return codes
	}
	seen := map[string]bool{}
	for _, f := range walk.Fields(d) {
		is, ok := weigh.FieldAt(f.Path)
		if !ok {
			t.Errorf("%s is in no catalog", f.Path)
			continue
		}
		seen[is.Path] = true
		if is.Absence == ballast.Required {
			if err := walk.Without(d, f).Validate(); err == nil {
				t.Errorf("%s must be given, by the catalog, and is not asked for", f.Path)
			}
		}
		if len(is.Bounds) == 0 || strings.Contains(is.Path, "practice.") || is.Path == "version" {
			continue
		}
		held := false
		for _, b := range is.Bounds {
			step := func(v, to float64) float64 {
				if is.Type == ballast.FieldWhole {
					return v + math.Copysign(1, to)
				}
				return math.Nextafter(v, math.Inf(int(to)))
			}
			more := func(beyond, at float64) bool {
				a, ok := walk.Set(d, f, beyond)
				if !ok {
					t.Fatal(f.Path)
				}
				b, _ := walk.Set(d, f, at)
				was := errorsAt(b, is.Path)
				return slices.ContainsFunc(errorsAt(a, is.Path), func(e string) bool { return !slices.Contains(was, e) })
			}
			low := b.Low
			if b.Above {
				low = step(low, 1)
			}
			below := is.Type == ballast.FieldWhole && b.Low == 1 || b.Low == 0 && b.Above // a zero is not given
			held = held || (below || more(step(b.Low, -1), low)) && more(step(b.High, 1), b.High)
		}
		if !held {
			t.Errorf("%s: Validate holds none of %+v", f.Path, is.Bounds)
		}
	}
	for _, f := range weigh.Fields() {
		if !seen[f.Path] && !strings.Contains(f.Path, "practice.") {
			t.Errorf("%s stands in no record of this test", f.Path)
		}
	}
}

// A bound that is shown is itself accepted, in each system of units, and the errors of a
// record are at fields of the catalog.
func TestFieldRangeShown(t *testing.T) {
	for _, f := range weigh.Fields() {
		m, ok := f.Range()
		if ok != (len(f.Bounds) > 0) {
			t.Errorf("%s: %v", f.Path, m)
		}
		for _, system := range []units.System{units.Metric, units.USCustomary, units.Imperial} {
			for _, p := range m.Params {
				c := units.Catalog{Texts: map[string]string{"x": "{" + p.Name + "}"}, Display: units.Display{System: system, Comma: true}}
				text, err := f.PointText(c.Display, c.Text("x", p))
				if err != nil || f.Type == ballast.FieldQuantity && strings.Contains(text, ",") {
					t.Errorf("%s: %q %v", f.Path, text, err)
				}
			}
		}
		if f.Title == "" || f.Label(units.German()) == "" && f.Type != ballast.FieldList && f.Path != "weighing" {
			t.Errorf("%s has no title", f.Path)
		}
	}
	if f, ok := weigh.FieldAt("tape[3].value"); !ok || f.Path != "weighing.tape[].value" || f.Label(units.German()) != "Länge" {
		t.Errorf("%+v", f)
	}
	f, _ := weigh.FieldAt("weighing.tape[0].value")
	m, _ := f.Range("length=wheelbase")
	c := units.German()
	if text := c.Message(m); !strings.Contains(text, "500 mm") || !strings.Contains(text, "10,0 m") {
		t.Error(text)
	}
	for _, path := range []string{"", "weighing.tape[0].valu", "machine.wheelbase"} {
		if f, ok := weigh.FieldAt(path); ok {
			t.Errorf("%q is %s", path, f.Path)
		}
	}
}

var updateSchema = flag.Bool("update-schema", false, "rewrite testdata/weighing.schema.json")

// The schema is the one that is committed, and every reference in it leads somewhere.
func TestSchema(t *testing.T) {
	const name = "testdata/weighing.schema.json"
	is := weigh.Schema()
	if *updateSchema {
		if err := os.WriteFile(name, is, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(is, want) {
		t.Error(name + " is no longer the schema: go test ./ballast/weigh -run TestSchema -update-schema")
	}
	var schema struct {
		Defs map[string]any `json:"$defs"`
	}
	if err := json.Unmarshal(is, &schema); err != nil {
		t.Fatal(err)
	}
	for _, part := range strings.Split(string(is), `"#/$defs/`)[1:] {
		if def := part[:strings.IndexByte(part, '"')]; schema.Defs[def] == nil {
			t.Errorf("no definition %s", def)
		}
	}
}

// A field is plain data: what a program reads of it as JSON shows the same.
func TestFieldIsData(t *testing.T) {
	for _, f := range append(weigh.Fields(), ballast.Fields()...) {
		text, err := json.Marshal(f)
		if err != nil {
			t.Fatal(err)
		}
		var again ballast.Field
		if err := json.Unmarshal(text, &again); err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		if diff := cmp.Diff(f, again); diff != "" {
			t.Fatalf("%s: %s", f.Path, diff)
		}
		a, _ := f.Range()
		b, _ := again.Range()
		if x, y := units.German().Message(a), units.German().Message(b); x != y || f.Label(units.German()) != again.Label(units.German()) {
			t.Errorf("%q, read back %q", x, y)
		}
	}
}
