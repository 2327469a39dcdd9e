package ballast_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/units"
)

// errorsAt are the codes of the errors of a document at a field or at an end of it.
func errorsAt(d ballast.Document, path string) (out []string) {
	for _, e := range units.Fields(d.Validate()) {
		p := openPath(e.Path)
		if p == path || strings.HasPrefix(p, path+".") {
			out = append(out, fmt.Sprint(e.Path, e.Code))
		}
	}
	return out
}

// openPath leaves the places in lists open.
func openPath(path string) string {
	var b strings.Builder
	for in, r := false, 0; r < len(path); r++ {
		switch c := path[r]; {
		case c == '[':
			in = true
			b.WriteString("[]")
		case c == ']':
			in = false
		case !in:
			b.WriteByte(c)
		}
	}
	return b.String()
}

// behaves reports whether Validate accepts a field at the ends of its bounds and refuses it
// just beyond, apart from what it says of relations to other fields on both sides of an end.
func behaves(d ballast.Document, f walk.Field, is ballast.Field, b ballast.Bounds) bool {
	whole := is.Type == ballast.FieldWhole
	next := func(v, to float64) float64 {
		if whole {
			return v + math.Copysign(1, to)
		}
		return math.Nextafter(v, to)
	}
	more := func(beyond, at float64) bool {
		a, ok := walk.Set(d, f, beyond)
		if !ok {
			return false
		}
		c, _ := walk.Set(d, f, at)
		was := errorsAt(c, is.Path)
		return slices.ContainsFunc(errorsAt(a, is.Path), func(e string) bool { return !slices.Contains(was, e) })
	}
	low := more(next(b.Low, math.Inf(-1)), b.Low)
	if b.Above {
		low = more(b.Low, next(b.Low, math.Inf(1))) || b.Low == 0 // a zero that is not given
	}
	if whole && b.Low == 1 {
		low = more(-1, b.Low) // zero is not given
	}
	return low && more(next(b.High, math.Inf(1)), b.High)
}

// The bounds of the catalog are those that Validate holds: each is tried at its ends and just
// beyond, wherever a field stands in a document.
func TestFieldBounds(t *testing.T) {
	if testing.Short() {
		t.Skip("left out of a short run: nothing of it depends on what runs beside")
	}
	keys := ballast.FieldKeys()
	// Of these the relation to another field governs, where that is given.
	related := func(key string) bool {
		return key == "Document.version" || key == "Dimension.moved" || key == "Obstacle.seed" || key == "Tire.crownMoved" || strings.HasSuffix(key, ".spread")
	}
	held := map[string]bool{}
	tried := map[string]bool{}
	for _, d := range wholeDocuments() {
		for _, f := range walk.Fields(d) {
			is, ok := ballast.FieldAt(f.Path)
			if !ok {
				t.Errorf("%s is in no catalog", f.Path)
				continue
			}
			if len(is.Bounds) == 0 {
				continue
			}
			key := keys[f.Path]
			any := false
			for _, b := range is.Bounds {
				if behaves(d, f, is, b) {
					any, held[key+b.When] = true, true
				}
			}
			tried[key] = true
			if !any && !related(key) && key != "Machine.mass" {
				t.Errorf("%s: Validate holds none of %+v", f.Path, is.Bounds)
			}
		}
	}
	for _, f := range ballast.Fields() {
		for i, b := range f.Bounds {
			key := keys[f.Path]
			switch {
			case strings.HasPrefix(key, "Ground."), related(key):
				// See below.
			case i == 0 && len(f.Bounds) > 1:
				// It is the widest.
			case !tried[key]:
				t.Errorf("%s: no document has it", key)
			case !held[key+b.When] && !strings.HasPrefix(key, "Fluid.strength"):
				t.Errorf("%s: Validate never holds %+v", f.Path, b)
			}
			if b.Low < f.Bounds[0].Low && !strings.Contains(b.When, "steeredShare") || b.High > f.Bounds[0].High {
				t.Errorf("%s: %+v is wider than %+v", f.Path, b, f.Bounds[0])
			}
		}
	}
	// The ends of a ground.
	for _, g := range []struct {
		path string
		of   func(v float64) ballast.Ground
	}{
		{"ground.friction.low", func(v float64) ballast.Ground {
			return ballast.Ground{Friction: units.Range[units.Fraction]{Low: units.Fraction(v), High: 2}}
		}},
		{"ground.margin", func(v float64) ballast.Ground { return ballast.Ground{Margin: units.Slope(v)} }},
		{"ground.manual", func(v float64) ballast.Ground { return ballast.Ground{Manual: units.Slope(v)} }},
	} {
		f, ok := ballast.FieldAt(g.path)
		if !ok {
			t.Fatal(g.path)
		}
		b := f.Bounds[0]
		for v, good := range map[float64]bool{b.Low: true, b.High: true, math.Nextafter(b.Low, -1): false, math.Nextafter(b.High, 9): false} {
			if err := g.of(v).Validate(); (err == nil) != good || b.Contains(v) != good {
				t.Errorf("%s %v: %v", g.path, v, err)
			}
		}
	}
}

// Every path that the library says to a caller is a field of the catalog: of errors, of what
// was assumed, and of questions, which are measured as the catalog says.
func TestFieldAt(t *testing.T) {
	seen := 0
	at := func(path string) ballast.Field {
		t.Helper()
		f, ok := ballast.FieldAt(path)
		if !ok {
			t.Errorf("%s is in no catalog", path)
		}
		seen++
		return f
	}
	r := rand.New(rand.NewPCG(18, 7))
	for range 60 {
		s, l := randomCase(r)
		for _, f := range walk.Fields(s) {
			without := walk.Without(s, f)
			for _, e := range units.Fields(without.Validate()) {
				at(e.Path)
			}
			if r.IntN(6) != 0 {
				continue
			}
			e, err := without.Envelope(ballast.Practice{})
			if err != nil {
				continue
			}
			for _, a := range e.Assumed() {
				if f := at(a.Path); f.Absence != ballast.TakesPractice && f.Absence != ballast.RequiredInCases {
					t.Errorf("%s was assumed, and the catalog says %v", a.Path, f.Absence)
				}
			}
			list, err := e.Questions(context.Background(), l, 400)
			if err != nil {
				continue
			}
			for _, q := range list {
				for _, path := range q.Paths {
					f := at(path)
					if f.Type != ballast.FieldGroup && f.Type != ballast.FieldList && f.Instrument != q.Instrument && len(q.Paths) == 1 {
						t.Errorf("%s is asked of the %v, and the catalog says %v", path, q.Instrument, f.Instrument)
					}
					if q.Rates != 0 && f.Limits&q.Rates == 0 {
						t.Errorf("%s is asked for the limits %v, and bears on %v", path, q.Rates, f.Limits)
					}
					if f.HowCode == "" && f.Help == "" {
						t.Errorf("%s: nothing says how it is found", path)
					}
				}
			}
		}
	}
	for path, want := range map[string]string{
		"setup.pieces[3].mass": "setup.pieces[].mass", "pieces[0].cg.z": "setup.pieces[].cg.z", "machine.wheelbase.low": "setup.machine.wheelbase", "lift.load.above": "lifts[].load.above",
		"lifts[2].speed": "lifts[].speed", "ground.friction": "ground.friction", "practice.cgX.low": "practice.cgX.low", "needs.list[1].lift.height": "needs.list[].lift.height",
		"loader.rated[4]": "setup.loader.rated", "load": "lifts[].load.mass", "travel.obstacle.height": "travels[].obstacle.height", "transport.front.tire.table[0].load": "transport.front.tire.table[].load",
	} {
		if f := at(path); f.Path != want {
			t.Errorf("%s is %s", path, f.Path)
		}
	}
	for _, path := range []string{"", "machine.wheel", "wheelbase", "speed", "lift", "load.above", "setup.setup.machine", "machine.name.low"} {
		if f, ok := ballast.FieldAt(path); ok {
			t.Errorf("%q is %s", path, f.Path)
		}
	}
	if seen < 2000 {
		t.Errorf("%d paths", seen)
	}
}

// A bound that is shown is itself accepted, in each system of units and each precision: it is
// read back and put into the field.
func TestFieldRangeShown(t *testing.T) {
	systems := []units.System{units.Metric, units.USCustomary, units.Imperial}
	shown := 0
	for _, f := range ballast.Fields() {
		if f.Quantity == "" {
			continue
		}
		m, ok := f.Range()
		if !ok {
			t.Errorf("%s shows no range", f.Path)
			continue
		}
		for _, system := range systems {
			for _, precision := range []units.Precision{0, units.Significant(2), units.Decimals(1), units.Decimals(3)} {
				c := units.English()
				c.Display = units.Display{System: system, Precision: precision}
				for i, p := range m.Params {
					text := (units.Catalog{Texts: map[string]string{"x": "{" + p.Name + "}"}, Display: c.Display}).Text("x", p)
					v, err := quantity(f.Quantity, text)
					if err != nil {
						t.Errorf("%s: %q: %v", f.Path, text, err)
						continue
					}
					b := f.Bounds[0]
					b.Above = b.Above && i == 1
					if !b.Contains(v) {
						t.Errorf("%s: %q is shown and refused: %v in %+v", f.Path, text, v, b)
					}
					shown++
				}
			}
		}
	}
	t.Logf("%d bounds were shown", shown)
}

// quantity reads a text as a quantity of a name.
func quantity(name, text string) (float64, error) {
	read := map[string]func(string) (float64, error){
		"length": as(units.ParseLength), "mass": as(units.ParseMass), "volume": as(units.ParseVolume), "density": as(units.ParseDensity), "force": as(units.ParseForce),
		"gaugePressure": as(units.ParseGaugePressure), "angle": as(units.ParseAngle), "slope": as(units.ParseSlope), "temperature": as(units.ParseTemperature),
		"speed": as(units.ParseSpeed), "acceleration": as(units.ParseAcceleration), "fraction": as(units.ParseFraction), "massFraction": as(units.ParseMassFraction),
		"inertia": as(units.ParseInertia), "stiffness": as(units.ParseStiffness), "duration": as(units.ParseDuration), "power": as(units.ParsePower),
	}[name]
	return read(text)
}

func as[Q units.Quantity](parse func(string) (Q, error)) func(string) (float64, error) {
	return func(s string) (float64, error) {
		v, err := parse(s)
		return float64(v), err
	}
}

// An input may be declared absent exactly where the catalog says so.
func TestFieldNone(t *testing.T) {
	tried := map[string]bool{}
	for _, d := range wholeDocuments() {
		for _, f := range walk.Fields(d) {
			is, _ := ballast.FieldAt(f.Path)
			if is.Type != ballast.FieldInput {
				continue
			}
			none, ok := walk.None(d, f)
			if !ok {
				t.Fatal(f.Path)
			}
			tried[f.Path] = true
			if bad := len(errorsAt(none, f.Path)) > 0 || none.Validate() != nil; bad == is.None {
				t.Errorf("%s: may be declared absent: %v, but %v", f.Path, is.None, none.Validate())
			}
		}
	}
	if len(tried) < 90 {
		t.Errorf("%d fields", len(tried))
	}
}
