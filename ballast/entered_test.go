package ballast_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// peopleText is a document as people write it; every text in it is one that the library
// would write otherwise, but for those of SI.
const peopleText = `{
  "version": 2,
  "setup": {
    "machine": {
      "mass": "3300.0 lb",
      "massIncludes": "fueled",
      "loaderIncluded": "without",
      "cg": {
        "x": "30 in",
        "z": {
          "low": "26 in",
          "high": "0.70 m"
        }
      },
      "undercarriage": "pivotingFront",
      "wheelbase": "76 3/4 in",
      "rearTrack": "1.22 m",
      "frontTrack": "4 ft 1 1/2 in",
      "rear": {
        "rating": "none",
        "tire": {
          "table": [
            {
              "pressure": "1.6 bar gauge",
              "load": "1 200 kg"
            }
          ],
          "pressure": "23 psi gauge"
        }
      },
      "operator": "heavy",
      "seat": {
        "x": "14 in",
        "z": "1150 mm"
      },
      "fuel": {
        "state": "asStated"
      },
      "hitch": {
        "x": "-21 in"
      },
      "steered": {
        "base": "unladen",
        "share": "20 %"
      }
    }
  },
  "lifts": [
    {
      "height": "36 in",
      "datum": "tine",
      "slope": "1:5",
      "speed": "3 mph"
    }
  ]
}
`

// What people entered is written back as they entered it, and the values are the same to the
// bit; what a program changes after that is written in SI.
func TestEntered(t *testing.T) {
	d, err := ballast.Decode(strings.NewReader(peopleText))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := d.Encode(&b); err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(peopleText, b.String()); diff != "" {
		t.Error(diff)
	}
	if got, ok := d.Entered["setup.machine.rearTrack"]; ok {
		t.Errorf("%q is as the library writes it, and was kept", got)
	}
	var si bytes.Buffer
	if err := (ballast.Encoding{SI: true}).Encode(&si, d); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(si.String(), " in") || !strings.Contains(si.String(), `"wheelbase": "1.94945 m"`) {
		t.Error(si.String())
	}
	again, err := ballast.Decode(&si)
	if err != nil {
		t.Fatal(err)
	}
	if again.Entered != nil {
		t.Errorf("of a document in SI was kept %v", again.Entered)
	}
	again.Entered = d.Entered
	if diff := cmp.Diff(d, again, exact); diff != "" {
		t.Error(diff)
	}
	// The next number is another value.
	d.Setup.Machine.Wheelbase = units.Is(units.Length(math.Nextafter(float64(d.Setup.Machine.Wheelbase.Value()), 9)))
	d.Setup.Machine.CG.Z = units.Between(26*units.Inch, 0.71*units.Meter)
	d.Lifts[0].Speed = 0
	d.Entered["setup.machine.rearTrack"] = "122 cm"
	d.Entered["setup.machine.axleMass"] = "1 lb" // of which nothing is known
	d.Entered["setup.machine.hitch.x"] = "nonsense"
	b.Reset()
	if err := d.Encode(&b); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{`"wheelbase": "1.9494500000000001 m"`, `"low": "26 in",` + "\n          " + `"high": "0.71 m"`, `"rearTrack": "122 cm"`, `"x": "-0.5334 m"`, `"height": "36 in"`} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("no %s in %s", want, b.String())
		}
	}
	for _, not := range []string{"76 3/4", "nonsense", "1 lb", "speed"} {
		if strings.Contains(b.String(), not) {
			t.Errorf("%s in %s", not, b.String())
		}
	}
}

// Every unit of the parser stays where a document comes in with it, whatever the value.
func TestEnteredUnits(t *testing.T) {
	r := rand.New(rand.NewPCG(18, 1))
	lengths, masses := units.Units[units.Length](), units.Units[units.Mass]()
	for range 300 {
		wheelbase, mass := units.Length(1.5+r.Float64()), units.Mass(1000+1000*r.Float64())
		l, m := lengths[r.IntN(len(lengths))], masses[r.IntN(len(masses))]
		text := fmt.Sprintf(`{"version": 2, "setup": {"machine": {"massIncludes": "fueled", "loaderIncluded": "without", "undercarriage": "pivotingFront", "operator": "heavy", "fuel": {"state": "asStated"}, "mass": "%.6f %s", "wheelbase": "%.7f %s"}}}`,
			m.Count(mass), m.Symbol(), l.Count(wheelbase), l.Symbol())
		d, err := ballast.Decode(strings.NewReader(text))
		if err != nil {
			t.Fatalf("%s: %v", text, err)
		}
		var b bytes.Buffer
		if err := d.Encode(&b); err != nil {
			t.Fatal(err)
		}
		var one, two any
		if json.Unmarshal([]byte(text), &one) != nil || json.Unmarshal(b.Bytes(), &two) != nil {
			t.Fatal(text)
		}
		got := two.(map[string]any)["setup"].(map[string]any)["machine"].(map[string]any)
		want := one.(map[string]any)["setup"].(map[string]any)["machine"].(map[string]any)
		if got["mass"] != want["mass"] || got["wheelbase"] != want["wheelbase"] {
			t.Fatalf("%v %v, want %v %v", got["mass"], got["wheelbase"], want["mass"], want["wheelbase"])
		}
	}
}

// Documents that say the same have one hash, and any field makes another.
func TestHash(t *testing.T) {
	d, err := ballast.Decode(strings.NewReader(peopleText))
	if err != nil {
		t.Fatal(err)
	}
	hash, err := d.Hash()
	if err != nil || len(hash) != 64 {
		t.Fatal(hash, err)
	}
	text, err := d.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	// Written by hand: RFC 8785 over the quantities in SI.
	const want = `{"lifts":[{"datum":"tine","height":"0.9144 m","slope":"0.19739555984988078 rad","speed":"1.34112 m/s"}],"setup":{"machine":{"cg":{"x":"0.762 m","z":{"high":"0.7 m","low":"0.6604 m"}},`
	if !strings.HasPrefix(string(text), want) {
		t.Errorf("%s", text)
	}
	same := []string{
		strings.Replace(peopleText, `"30 in"`, `"0.762 m"`, 1),
		strings.Replace(peopleText, `"0.70 m"`, `"0.7 m"`, 1),
		strings.Replace(strings.Replace(peopleText, `      "operator": "heavy",`+"\n", "", 1), `"machine": {`, `"machine": {"operator": "heavy",`, 1),
	}
	for _, text := range same {
		d, err := ballast.Decode(strings.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if got, err := d.Hash(); err != nil || got != hash {
			t.Errorf("%s %v, want %s of %s", got, err, hash, text)
		}
	}
	for _, c := range [][2]string{{`"30 in"`, `"30.000000000001 in"`}, {`"heavy"`, `"light"`}, {`"none"`, `"2 t"`}, {`"0.70 m"`, `"0.71 m"`}} {
		d, err := ballast.Decode(strings.NewReader(strings.Replace(peopleText, c[0], c[1], 1)))
		if err != nil {
			t.Fatal(err)
		}
		if got, err := d.Hash(); err != nil || got == hash {
			t.Errorf("%s: %s %v", c[1], got, err)
		}
	}
}

// Numbers beside the texts are those of the texts; a document with them is read back, and
// one whose numbers say something else is refused by the path.
func TestNumbers(t *testing.T) {
	d, err := ballast.Decode(strings.NewReader(peopleText))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := (ballast.Encoding{Numbers: true}).Encode(&b, d); err != nil {
		t.Fatal(err)
	}
	var table struct{ Numbers map[string]float64 }
	if err := json.Unmarshal(b.Bytes(), &table); err != nil {
		t.Fatal(err)
	}
	want := map[string]float64{"setup.machine.wheelbase": 76.75 * 0.0254, "setup.machine.cg.z.high": 0.7, "setup.machine.rear.tire.table[0].pressure": 160000, "lifts[0].height": 0.9144, "setup.machine.steered.share": 0.2}
	for path, v := range want {
		near(t, path, table.Numbers[path], v, 1e-15*math.Abs(v))
	}
	list, err := d.Numbers()
	if err != nil || len(list) != len(table.Numbers) {
		t.Fatalf("%d numbers, %d written: %v", len(list), len(table.Numbers), err)
	}
	for _, n := range list {
		if table.Numbers[n.Path] != n.Value {
			t.Errorf("%+v, written %v", n, table.Numbers[n.Path])
		}
	}
	again, err := ballast.Decode(bytes.NewReader(b.Bytes()))
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(d, again, exact); diff != "" {
		t.Error(diff)
	}
	for _, c := range []struct{ old, new, path string }{
		{`"setup.machine.wheelbase": 1.94945`, `"setup.machine.wheelbase": 1.95`, "numbers.setup.machine.wheelbase"},
		{`"setup.machine.wheelbase": 1.94945`, `"setup.machine.wheelBase": 1.94945`, "numbers.setup.machine.wheelBase"},
		{`"setup.machine.wheelbase": 1.94945`, `"setup.machine.wheelbase": "1.94945"`, "numbers.setup.machine.wheelbase"},
		{`"wheelbase": "76 3/4 in"`, `"wheelbase": "77 in"`, "numbers.setup.machine.wheelbase"},
	} {
		text := strings.Replace(b.String(), c.old, c.new, 1)
		if text == b.String() {
			t.Fatalf("no %s in %s", c.old, text)
		}
		_, err := ballast.Decode(strings.NewReader(text))
		if all := units.Fields(err); len(all) != 1 || all[0].Path != c.path || all[0].Code == "" {
			t.Errorf("%s: %v", c.new, err)
		}
	}
}

// Of random documents whatever is written is read back, in each way of writing.
func TestEncodings(t *testing.T) {
	r := rand.New(rand.NewPCG(18, 2))
	for range 100 {
		s, l := randomCase(r)
		d := ballast.Document{Version: ballast.DocumentVersion, Setup: s, Lifts: []ballast.Lift{l}}
		hash, err := d.Hash()
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range []ballast.Encoding{{}, {SI: true}, {Numbers: true}, {SI: true, Numbers: true}} {
			var b bytes.Buffer
			if err := e.Encode(&b, d); err != nil {
				t.Fatal(err)
			}
			got, err := ballast.Decode(&b)
			if err != nil {
				t.Fatal(err)
			}
			if diff := cmp.Diff(d, got, exact); diff != "" {
				t.Fatal(diff)
			}
			if h, err := got.Hash(); err != nil || h != hash {
				t.Fatalf("%s %v, want %s", h, err, hash)
			}
		}
	}
}

// Texts go with the entries of a list that change places, and no text ever stands at an entry
// of another value.
func TestMoveEntered(t *testing.T) {
	const text = `{"version": 2, "setup": {"machine": {"massIncludes": "fueled", "loaderIncluded": "without", "undercarriage": "pivotingFront", "operator": "heavy", "fuel": {"state": "asStated"}, "mass": "3300 lb", "wheelbase": "2 m"}, "pieces": [
		{"kind": "chassis", "name": "plates", "mass": "100 lb", "cg": {"x": "2.4 m", "z": "30 in"}},
		{"kind": "chassis", "name": "block", "mass": "100.0 lb", "cg": {"x": "95 in", "z": "0.7 m"}},
		{"kind": "chassis", "name": "bar", "mass": "1 cwt US", "cg": {"x": "96 3/4 in", "z": "2 ft"}}]}}`
	decode := func() ballast.Document {
		d, err := ballast.Decode(strings.NewReader(strings.Replace(text, "1 cwt US", "99 lb", 1)))
		if err != nil {
			t.Fatal(err)
		}
		return d
	}
	texts := func(d ballast.Document) (out []string) {
		var b bytes.Buffer
		if err := d.Encode(&b); err != nil {
			t.Fatal(err)
		}
		var in struct {
			Setup struct {
				Pieces []struct {
					Name, Mass string
					CG         struct{ X, Z string }
				}
			}
		}
		if err := json.Unmarshal(b.Bytes(), &in); err != nil {
			t.Fatal(err)
		}
		for _, p := range in.Setup.Pieces {
			out = append(out, strings.Join([]string{p.Name, p.Mass, p.CG.X, p.CG.Z}, "|"))
		}
		return out
	}
	plates, block, bar := "plates|100 lb|2.4 m|30 in", "block|100.0 lb|95 in|0.7 m", "bar|99 lb|96 3/4 in|2 ft"
	for _, c := range []struct {
		was  []int
		want []string
	}{
		{[]int{0, 1, 2}, []string{plates, block, bar}},
		{[]int{1, 2}, []string{block, bar}},
		{[]int{2, 0, 1}, []string{bar, plates, block}},
		{[]int{-1, 0, 1, 2}, []string{"new|45 kg|2.3 m|0.6 m", plates, block, bar}},
		{[]int{1, 1}, []string{block, block}},
		{nil, nil},
	} {
		d := decode()
		old := d.Setup.Pieces
		d.Setup.Pieces = nil
		for _, w := range c.was {
			p := ballast.Piece{Kind: ballast.ChassisPiece, Name: "new", Mass: units.Is(units.Mass(45))}
			p.CG.X, p.CG.Z = units.Is(units.Length(2.3)), units.Is(units.Length(0.6))
			if w >= 0 {
				p = old[w]
			}
			d.Setup.Pieces = append(d.Setup.Pieces, p)
		}
		ballast.MoveEntered(d.Entered, "setup.pieces", c.was...)
		if diff := cmp.Diff(c.want, texts(d)); diff != "" {
			t.Errorf("%v: %s", c.was, diff)
		}
		if d.Entered["setup.machine.mass"] != "3300 lb" {
			t.Errorf("%v: a text elsewhere is gone", c.was)
		}
	}
	// Without it no entry is given a value of another one.
	d := decode()
	d.Setup.Pieces = d.Setup.Pieces[1:]
	if diff := cmp.Diff([]string{"block|100 lb|2.413 m|0.7 m", "bar|" + units.Mass(99*units.Pound).String() + "|" + units.Length(96.75*float64(units.Inch)).String() + "|" + (2 * units.Foot).String()}, texts(d)); diff != "" {
		t.Error(diff)
	}
}

// Answers that a program spoiled are an error, not hundreds of effects, and choices are said
// in the reader's words.
func TestSpoiledAnswers(t *testing.T) {
	d, err := ballast.Decode(strings.NewReader(peopleText))
	if err != nil {
		t.Fatal(err)
	}
	d.Lifts = nil
	d.Transport = nil
	good, err := d.Answers(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	bad := good
	bad.Lifts = []ballast.Judgment{{Verdict: 200}}
	bad.Receipt.Input, bad.Receipt.Hash = spoiledInput(t)
	if _, err := ballast.Explain(context.Background(), bad, good); len(units.Fields(err)) != 1 || units.Fields(err)[0].Path != "before" || units.Fields(err)[0].Code == "" {
		t.Error(err)
	}
	_, err = ballast.Decode(strings.NewReader(strings.Replace(peopleText, `"datum": "tine"`, `"datum": "deck"`, 1)))
	all := units.Fields(err)
	if len(all) != 1 || !strings.Contains(all[0].Error(), "pin, tine, edge, load") {
		t.Fatal(err)
	}
	if text := units.German().Want(all[0]); !strings.Contains(text, "die Oberkante der Zinken") || strings.Contains(text, "tine") {
		t.Error(text)
	}
}

// spoiledInput is a document with a lift in its canonical form, and its hash.
func spoiledInput(t *testing.T) (json.RawMessage, string) {
	t.Helper()
	d, err := ballast.Decode(strings.NewReader(peopleText))
	if err != nil {
		t.Fatal(err)
	}
	text, err := d.Canonical()
	if err != nil {
		t.Fatal(err)
	}
	hash, err := d.Hash()
	if err != nil {
		t.Fatal(err)
	}
	return text, hash
}
