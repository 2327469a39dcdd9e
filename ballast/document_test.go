package ballast_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// What is written is read back bit for bit, for every quantity of a setup.
func TestDocumentRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 5))
	for range 200 {
		s, l := randomCase(r)
		want := ballast.Document{Version: ballast.DocumentVersion, Setup: s, Lifts: []ballast.Lift{l, binLift(1)}}
		var b bytes.Buffer
		if err := want.Encode(&b); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		got, err := ballast.Decode(&b)
		if err != nil {
			t.Fatalf("%v\n%s", err, text)
		}
		if d := cmp.Diff(want, got, exact); d != "" {
			t.Fatal(d)
		}
		b.Reset()
		if err := got.Encode(&b); err != nil || b.String() != text {
			t.Fatalf("written again it differs: %v", err)
		}
	}
}

// The questions beside the load cases are read back bit for bit too, and their
// errors come by the document's path.
func TestDocumentQuestions(t *testing.T) {
	s, l := randomCase(rand.New(rand.NewPCG(3, 1)))
	l.Load.Mass = 1.0 / 3
	want := ballast.Document{Version: ballast.DocumentVersion, Setup: s,
		Needs: &ballast.Needs{Goal: ballast.LeastBoth, List: []ballast.Need{
			{Name: "bins", Kind: ballast.NeedLift, Hitch: ballast.Raised, Lift: &l},
			{Kind: ballast.NeedSteeredShare, Hitch: ballast.Resting, Base: ballast.SteeredOfUnladen, Share: units.Range[units.Fraction]{Low: 0.2}},
			{Kind: ballast.NeedMass, Mass: units.Range[units.Mass]{High: 5000 * units.Pound}},
		}},
		Stock: &ballast.Stock{Items: []ballast.Item{
			{Name: "weights", Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is[units.Mass](70)}, Count: 2, Cents: 26000},
			{Name: "box", Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](90), CG: ballast.Position{X: units.Is[units.Length](-1.15), Z: units.Is[units.Length](0.6)}}, Range: &ballast.MassRange{Most: 600, Step: 10}},
		}},
		Transport: &ballast.Transport{FrontLoad: units.Is[units.Mass](900), RearLoad: units.Is[units.Mass](1400), Wheelbase: units.Is(72 * units.Inch)},
	}
	var b bytes.Buffer
	if err := want.Encode(&b); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	got, err := ballast.Decode(&b)
	if err != nil {
		t.Fatalf("%v\n%s", err, text)
	}
	if d := cmp.Diff(want, got, exact); d != "" {
		t.Fatal(d)
	}
	for _, c := range []struct{ old, new, want string }{
		{`"cents": 26000`, `"cents": -1`, "stock.items[0].cents"},
		{`"frontLoad": "900 kg"`, `"frontLoad": "900 N"`, "transport.frontLoad"},
		{`"base": "unladen"`, `"base": "notChosen"`, "needs.list[1].base"},
	} {
		if !strings.Contains(text, c.old) {
			t.Fatalf("the document does not hold %s:\n%s", c.old, text)
		}
		if _, err := ballast.Decode(strings.NewReader(strings.Replace(text, c.old, c.new, 1))); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v", c.new, err)
		}
	}
	want.Stock = nil
	if err := want.Validate(); err == nil || !strings.HasPrefix(err.Error(), "stock: ") {
		t.Errorf("needs without a stock: %v", err)
	}
}

// The stored orchard document is the demo setup of the tests: what people
// wrote with their own units is read as meant.
func TestDocumentOfPeople(t *testing.T) {
	text := `{"version": 2,
	"setup": {
		"machine": {"mass": "3300 lb", "massIncludes": "fueled", "loaderIncluded": "without",
			"cg": {"x": "30 in", "z": "26 in"}, "undercarriage": "pivotingFront", "wheelbase": "5 ft 9 in", "rearTrack": "48 in",
			"operator": "heavy", "seat": {"x": "14 in", "z": "45 in"}, "fuel": {"state": "asStated"}}
	}}`
	d, err := ballast.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	m := d.Setup.Machine
	near(t, "mass", float64(m.Mass.Value()), 3300*0.45359237, 1e-9)
	near(t, "wheelbase", float64(m.Wheelbase.Value()), 69*0.0254, 1e-12)
	if m.Operator != ballast.HeavyOperator || m.MassIncludes != ballast.MassFueled {
		t.Errorf("choices: %v %v", m.Operator, m.MassIncludes)
	}
}

// Each thing that is wrong is named by its path, all at once.
func TestDocumentErrors(t *testing.T) {
	for _, c := range []struct {
		name, text string
		want       []string
	}{
		{"empty", "", []string{"ends too soon"}},
		{"not JSON", "{", []string{"must be JSON"}},
		{"null", "null", []string{"null: must be a value"}},
		{"list", "[]", []string{"must be an object"}},
		{"trailing", `{"version": 2} {"version": 2}`, []string{"must end after its first value"}},
		{"trailing comma", `{"version": 2,}`, []string{"must be JSON"}},
		{"no version", `{"setup": {}}`, []string{"version: 0: must be 2", "setup.machine.wheelbase: must be given"}},
		{"version text", `{"version": "1"}`, []string{`version: "1": must be a whole number`}},
		{"many at once", `{"version": 2, "version": 2, "extra": {"a": [1, {}]}, "setup": {"machine": {"Wheelbase": "2 m",
			"mass": 1500, "wheelbase": "2 parsecs", "rearTrack": null, "operator": "fat", "front": [], "cg": {"x": {}}},
			"pieces": [{"mass": "1 kg"}, {"mass": true, "kind": "box"}], "loader": {"cylinders": {"count": 1.5}}}}`,
			[]string{
				"version: duplicate key",
				"extra: unknown field",
				"setup.machine.Wheelbase: unknown field; did you mean wheelbase?",
				`setup.machine.mass: 1500: must be a string with its unit, such as "1 kg"`,
				"setup.machine.wheelbase: ",
				"setup.machine.rearTrack: null: must be a value, or left out",
				"setup.machine.operator: fat: must be one of",
				"setup.machine.front: must be an object",
				"setup.machine.cg.x.low: must be given",
				"setup.pieces[1].mass: true: must be a string with its unit",
				"setup.pieces[1].kind: box: must be one of",
				"setup.loader.cylinders.count: 1.5: must be a whole number",
			}},
		{"deep", strings.Repeat(`{"setup":`, 50), []string{"must nest at most 32 deep"}},
		{"deep unknown", `{"x":` + strings.Repeat(`[`, 50), []string{"must nest at most 32 deep"}},
		{"not UTF-8", "{\"version\": 1, \"\xff\": 1}", []string{"must be UTF-8"}},
		{"large", `{"version": 2` + strings.Repeat(" ", ballast.Fixed.DocumentSize) + "}", []string{"must be at most"}},
		{"huge number", `{"version": 1e400}`, []string{"version: 1e400: must be a whole number"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, err := ballast.Decode(strings.NewReader(c.text))
			if err == nil {
				t.Fatal("no error")
			}
			if !reflect.DeepEqual(d, ballast.Document{}) {
				t.Error("an error with a document beside it")
			}
			if !errors.Is(err, units.ErrInvalid) {
				t.Errorf("not units.ErrInvalid: %v", err)
			}
			for _, w := range c.want {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("lacks %q:\n%v", w, err)
				}
			}
		})
	}
	_, err := ballast.Decode(failing{})
	if err == nil || errors.Is(err, units.ErrInvalid) {
		t.Errorf("a reader that fails: %v", err)
	}
	// Many errors are capped.
	text := `{"version": 2, "setup": {"pieces": [` + strings.TrimSuffix(strings.Repeat(`{"mass": 1},`, 500), ",") + `]}}`
	_, err = ballast.Decode(strings.NewReader(text))
	var all interface{ Unwrap() []error }
	if !errors.As(err, &all) || len(all.Unwrap()) != units.MaxFieldErrors || !strings.Contains(err.Error(), "\nand ") {
		t.Errorf("500 bad fields: %.200v", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, os.ErrDeadlineExceeded }

// A document with anything but numbers in it is never written.
func TestEncodeRefuses(t *testing.T) {
	d := ballast.Document{Setup: orchard()}
	d.Setup.Machine.Mass = units.Is(units.Mass(math.NaN()))
	var b bytes.Buffer
	if err := d.Encode(&b); err == nil || b.Len() != 0 {
		t.Errorf("NaN: %v, %d bytes written", err, b.Len())
	}
}

// hostile are texts that break careless decoders.
func hostile() []string {
	return []string{
		strings.Repeat(`{"setup":`, 20000), strings.Repeat(`[`, 100000), `{"setup":` + strings.Repeat(`{"machine":[`, 30000),
		`{"version": 2, "lifts": [` + strings.Repeat(`1,`, 400000) + `1]}`, `{"version": 2, "x": [` + strings.Repeat(`[],`, 300000) + `[]]}`,
		`{` + strings.Repeat(`"version": 2,`, 20000) + `"version": 2}`,
		`{"version": 99999999999999999999}`, `{"version": 1e999999}`, `{"version": -0}`, `{"version": 2.0}`,
		`{"version": 2, "setup": {"machine": {"mass": "` + strings.Repeat("9", 500000) + ` kg"}}}`,
		`{"version": 2, "lifts": [{"factor": ` + strings.Repeat("9", 500000) + `}]}`, `{"version": 2, "lifts": [{"factor": 1e-99999}]}`,
		"{\"version\": 2, \"setup\": {\"machine\": {\"name\": \"\xc3\x28\"}}}", "\xef\xbb\xbf{}", "\x00", "{\"\\u0000\": 1}",
		`{"version": 2, "setup": {"machine": {"name": "\ud800"}}}`, `{"version": 2, "numbers": {"setup": 1}}`, `{"version": 2, "numbers": [[1]]}`, `{"version": 2, "numbers": null, "numbers": 3}`,
		`{"version": 1, "setup": [], "weighing": {}}`, `{"version": 1, "setup": {"machine": []}}`, `{"version": 1, "setup": null}`, `{"version": 1}`, `{"version": 1, "version": 2}`,
		`{"version": 1, "setup": {"machine": {"pinHeight": "1 m", "axlePinHeight": "2 m"}}}`,
	}
}

// Hostile texts are refused with field errors, and quickly: each is read once.
func TestHostile(t *testing.T) {
	for _, text := range hostile() {
		_, err := ballast.Decode(strings.NewReader(text))
		if len(units.Fields(err)) == 0 {
			t.Errorf("%.60s: %v", text, err)
			continue
		}
		if n := len(err.Error()); n > 200*units.MaxFieldErrors {
			t.Errorf("%.60s: an error of %d bytes", text, n)
		}
	}
}

// Whatever the bytes are, the decoder returns a document that validates,
// compiles without panic and is read back, or an error with a path.
func FuzzDecode(f *testing.F) {
	var b bytes.Buffer
	if err := (ballast.Document{Setup: orchard(), Lifts: []ballast.Lift{binLift(1)}}).Encode(&b); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	stock := shed()
	b = bytes.Buffer{}
	if err := (ballast.Document{Setup: bareOrchard(), Stock: &stock, Needs: &ballast.Needs{Goal: ballast.LeastCost, List: []ballast.Need{liftNeed(1.6, 420)}}}).Encode(&b); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	f.Add([]byte(`{"version":2,"needs":{"list":[{"kind":"lift"}]}}`))
	f.Add([]byte(`{"version": 2, "version": 2, "setup": {"machine": {"mass": "1e308 kg"}}}`))
	f.Add([]byte(`{"version":2,"setup":{"loader":null}}`))
	f.Add([]byte(`[[[[`))
	f.Add([]byte(peopleText))
	f.Add([]byte(strings.Replace(peopleText, `"version": 2`, `"version": 1`, 1)))
	b = bytes.Buffer{}
	d, err := ballast.Decode(strings.NewReader(peopleText))
	if err != nil {
		f.Fatal(err)
	}
	if err := (ballast.Encoding{Numbers: true}).Encode(&b, d); err != nil {
		f.Fatal(err)
	}
	f.Add(b.Bytes())
	for _, text := range hostile() {
		if len(text) < 2000 { // TestHostile has the others
			f.Add([]byte(text))
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		d, err := ballast.Decode(bytes.NewReader(data))
		if err != nil {
			return
		}
		d.Renewed = nil
		hash, err := d.Hash()
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range []ballast.Encoding{{}, {SI: true}, {Numbers: true}} {
			var b bytes.Buffer
			if err := e.Encode(&b, d); err != nil {
				t.Fatalf("a document that was read cannot be written: %v", err)
			}
			again, err := ballast.Decode(&b)
			if err != nil {
				t.Fatal(err)
			}
			want := d
			if e.SI {
				want.Entered, again.Entered = nil, nil
			}
			if diff := cmp.Diff(want, again, exact); diff != "" {
				t.Fatal(diff)
			}
			// The hash tells every bit, that of a zero's sign too.
			if h, err := again.Hash(); err != nil || h != hash {
				t.Fatalf("%s %v, want %s", h, err, hash)
			}
		}
		k, err := d.Setup.Compile()
		if err != nil {
			return
		}
		for _, l := range d.Lifts {
			c, err := k.Case(l)
			if err != nil {
				continue
			}
			u := c.Use()
			allFinite(t, "usable load", u)
			allFinite(t, "check", c.Check(u.Mass))
		}
	})
}

// allFinite fails on any number in an answer that is not one.
func allFinite(t *testing.T, what string, v any) {
	t.Helper()
	var walk func(v reflect.Value)
	walk = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Struct:
			for i := range v.NumField() {
				walk(v.Field(i))
			}
		case reflect.Array, reflect.Slice:
			for i := range v.Len() {
				walk(v.Index(i))
			}
		case reflect.Float64:
			if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
				t.Fatalf("%s: %v in %s", what, f, fmt.Sprintf("%+v", v))
			}
		}
	}
	walk(reflect.ValueOf(v))
}

// Every answer is JSON: no infinity and no NaN in it, whatever the case.
func TestAnswersMarshal(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 8))
	for range 200 {
		s, l := randomCase(r)
		u := use(t, s, l)
		c := check(t, s, l, units.Mass(1000*r.Float64()))
		for own, v := range map[string]any{`"governing":"`: u, `"mostUsed":{"kind":"`: c} {
			b, err := json.Marshal(v)
			if err != nil {
				t.Fatal(err)
			}
			for _, want := range []string{own, `"status":"`, `"cautions":"manual`, `"kind":"hydraulic"`, `"mass":"`} {
				if !bytes.Contains(b, []byte(want)) {
					t.Errorf("lacks %s: %s", want, b)
				}
			}
		}
	}
}

// A number where a name is expected is an error like any other.
func TestNumberForName(t *testing.T) {
	for _, text := range []string{`{"version": 2, "setup": {"machine": {"undercarriage": 8}}}`, `{"version": 2, "setup": {"machine": {"operator": {}}, "attachment": {"kind": true}}}`} {
		_, err := ballast.Decode(strings.NewReader(text))
		if err == nil || !strings.Contains(err.Error(), "must be a string") {
			t.Errorf("%s: %v", text, err)
		}
	}
}
