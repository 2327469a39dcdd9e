package ballast_test

import (
	"context"
	"encoding/json"
	"errors"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// answersOf answers a document and takes the answers through their stored form.
func answersOf(t testing.TB, d ballast.Document) ballast.Answers {
	t.Helper()
	a, err := d.Answers(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(a)
	if err != nil {
		t.Fatal(err)
	}
	var stored ballast.Answers
	if err := json.Unmarshal(text, &stored); err != nil {
		t.Fatal(err)
	}
	return stored
}

// brochure is a machine of which much is not measured, with two lifts.
func brochure() ballast.Document {
	s := orchard()
	s.Machine.CG.Z, s.Machine.AxlePinHeight = units.Input[units.Length]{}, units.Input[units.Length]{}
	l := *s.Loader
	l.ArmMass = units.Input[units.Mass]{}
	s.Loader = &l
	s.Machine.LoaderIncluded, s.Machine.Mass, s.Machine.CG.X = ballast.WithLoader, units.Is[units.Mass](1800), units.Is[units.Length](0.85)
	up := binLift(1.6)
	up.Factor, up.Slope = 0, 0.05
	return ballast.Document{Version: ballast.DocumentVersion, Setup: s, Lifts: []ballast.Lift{binLift(1), up}}
}

func TestReceipt(t *testing.T) {
	d := brochure()
	a := answersOf(t, d)
	r := a.Receipt
	hash, err := d.Hash()
	if err != nil || r.Hash != hash || r.Library != units.Version {
		t.Errorf("%s %s, want %s: %v", r.Library, r.Hash, hash, err)
	}
	text, err := d.Canonical()
	if err != nil || string(r.Input) != string(text) {
		t.Errorf("%s, want %s: %v", r.Input, text, err)
	}
	is := map[string]string{}
	for _, c := range r.Constants {
		is[c.Name] = c.Value
	}
	usual := ballast.UsualPractice()
	want := map[string]string{
		"gravity": "9.80665 m/s2", "factor": "1.65", "operator.heavy": "98 kg", "dieselDensity": "835 kg/m3", "hitchRatingDistance": "0.61 m",
		"practice.cgHeight": usual.CGHeight.Low.String() + " to " + usual.CGHeight.High.String(), "practice.axlePinHeight": "0.16 to 0.34",
		"practice.armMass": "0.04 to 0.18", "practice.friction": "0.01 to 0.14",
	}
	if s := d.Setup; s.Gravity != 0 {
		delete(want, "gravity")
	}
	if !reflect.DeepEqual(is, want) {
		t.Errorf("%v, want %v", is, want)
	}
	if len(r.Remarks) == 0 || r.Remarks[0].Rank != 1 {
		t.Errorf("%v", r.Remarks)
	}
	if len(a.Lifts) != 2 || a.Lifts[0].Library != units.Version {
		t.Errorf("%d lifts", len(a.Lifts))
	}
	// The answer is that of the envelope.
	e, err := d.Envelope()
	if err != nil {
		t.Fatal(err)
	}
	if j, err := e.Check(d.Lifts[1], d.Lifts[1].Load.Mass); err != nil || j != a.Lifts[1] {
		t.Errorf("%v\n%+v\n%+v", err, j, a.Lifts[1])
	}
}

// TestExplainManyLifts: answers about as many lifts as a document may have are compared whole.
func TestExplainManyLifts(t *testing.T) {
	d := brochure()
	for len(d.Lifts) < inShort(900) {
		d.Lifts = append(d.Lifts, d.Lifts[0])
	}
	before := answersOf(t, d)
	d.Setup.Machine.Wheelbase = units.Is(d.Setup.Machine.Wheelbase.Value() + 0.01)
	if e := explain(t, before, answersOf(t, d)); len(e.Effects) < len(d.Lifts) {
		t.Errorf("%d effects of %d lifts", len(e.Effects), len(d.Lifts))
	}
}

func explain(t *testing.T, before, after ballast.Answers) ballast.Explanation {
	t.Helper()
	e, err := ballast.Explain(t.Context(), before, after)
	if err != nil {
		t.Fatal(err)
	}
	return e
}

func TestExplainInput(t *testing.T) {
	d := brochure()
	before := answersOf(t, d)
	if e := explain(t, before, answersOf(t, d)); !e.Same() {
		t.Errorf("%+v", e)
	}
	one := d
	one.Setup.Machine.Wheelbase = units.Is[units.Length](1.8)
	e := explain(t, before, answersOf(t, one))
	if len(e.Causes) != 1 || len(e.Together) != 0 || len(e.Effects) == 0 {
		t.Fatalf("%+v", e)
	}
	c := e.Causes[0]
	if c.Kind != ballast.CauseInput || c.Name != "setup.machine.wheelbase" || c.Before != "1.75 m" || c.After != "1.8 m" || !c.Alone || !reflect.DeepEqual(c.Effects, e.Effects) {
		t.Errorf("%+v", c)
	}
	// Three at once: each is named with what it does by itself, the name with nothing.
	three := d
	l := *three.Setup.Loader
	l.Rated = append([]ballast.RatedPoint(nil), l.Rated...)
	l.Rated[2].AtPin = 720
	three.Setup.Loader = &l
	three.Setup.Machine.ROPSRating = units.Is[units.Mass](2300)
	three.Setup.Machine.Name = "the other tractor"
	e = explain(t, before, answersOf(t, three))
	got := map[string]ballast.Cause{}
	for _, c := range e.Causes {
		got[c.Name] = c
	}
	if len(got) != 3 || len(got["setup.machine.name"].Effects) != 0 {
		t.Fatalf("%+v", e.Causes)
	}
	for name, limit := range map[string]string{"setup.loader.rated[2].atPin": "[hydraulic]", "setup.machine.ropsRating": "[rops]"} {
		found := false
		for _, f := range got[name].Effects {
			found = found || strings.Contains(f.Path, limit)
			for other, not := range map[string]string{"setup.loader.rated[2].atPin": "[rops]", "setup.machine.ropsRating": "[hydraulic]"} {
				if other == name && strings.Contains(f.Path, not) {
					t.Errorf("%s changes %v", name, f)
				}
			}
		}
		if !found || !got[name].Alone {
			t.Errorf("%s: %+v", name, got[name])
		}
	}
	// A part that comes and goes is one cause.
	bare := d
	bare.Setup.Pieces = nil
	e = explain(t, before, answersOf(t, bare))
	if len(e.Causes) != 1 || e.Causes[0].Name != "setup.pieces" || e.Causes[0].After != "" || e.Causes[0].Before == "" {
		t.Errorf("%+v", e.Causes)
	}
}

// earlier makes the answers of an earlier library, which had another range of practice: the
// document says the range, and the receipt says it is the library's.
func earlier(t testing.TB, d ballast.Document, p ballast.Practice, name, value string) ballast.Answers {
	t.Helper()
	with := d
	with.Practice = &p
	a := answersOf(t, with)
	plain := answersOf(t, d)
	a.Receipt.Library, a.Receipt.Hash, a.Receipt.Input = "0.0.9", plain.Receipt.Hash, plain.Receipt.Input
	found := false
	for i := range a.Receipt.Constants {
		if c := &a.Receipt.Constants[i]; c.Name == name {
			found = true
			if c.Value != value {
				t.Fatalf("%s is %s", name, c.Value)
			}
		}
	}
	if !found {
		t.Fatalf("%s is not in use", name)
	}
	return a
}

// After an update of the library the constant that was changed is named, and nothing else,
// for every machine of a fleet that has it.
func TestExplainConstant(t *testing.T) {
	r := rand.New(rand.NewPCG(18, 3))
	named := 0
	for range 60 {
		d := brochure()
		d.Setup.Machine.Mass = units.Is(units.Mass(1600 + 400*r.Float64()))
		d.Setup.Machine.Wheelbase = units.Is(units.Length(1.6 + 0.4*r.Float64()))
		before := earlier(t, d, ballast.Practice{CGHeight: units.Range[units.Fraction]{Low: 0.30, High: 0.45}}, "practice.cgHeight", "0.3 to 0.45")
		after := answersOf(t, d)
		e := explain(t, before, after)
		if len(e.Causes) != 1 || len(e.Together) != 0 {
			t.Fatalf("%+v", e)
		}
		c := e.Causes[0]
		if c.Kind != ballast.CauseConstant || c.Name != "practice.cgHeight" || c.Before != "0.3 to 0.45" || c.After != "0.28 to 0.48" || !c.Alone || !reflect.DeepEqual(c.Effects, e.Effects) {
			t.Fatalf("%+v\n%+v", c, e.Effects)
		}
		if len(e.Effects) > 0 {
			named++
		}
	}
	if named < 50 {
		t.Errorf("%d of 60 answers changed", named)
	}
	// A constant and a field: each has its own.
	d := brochure()
	before := earlier(t, d, ballast.Practice{AxlePinHeight: units.Range[units.Fraction]{Low: 0.2, High: 0.3}}, "practice.axlePinHeight", "0.2 to 0.3")
	d.Setup.Machine.ROPSRating = units.Is[units.Mass](2300)
	e := explain(t, before, answersOf(t, d))
	if len(e.Causes) != 2 || e.Causes[0].Name != "setup.machine.ropsRating" || e.Causes[1].Name != "practice.axlePinHeight" || len(e.Causes[0].Effects) == 0 || len(e.Causes[1].Effects) == 0 {
		t.Errorf("%+v", e.Causes)
	}
	// The dynamic factor.
	d = brochure()
	old := d
	old.Lifts = append([]ballast.Lift(nil), d.Lifts...)
	old.Lifts[1].Factor = 1.5
	before, after := answersOf(t, old), answersOf(t, d)
	before.Receipt = after.Receipt
	before.Receipt.Library, before.Receipt.Constants = "0.0.9", append([]ballast.Constant(nil), after.Receipt.Constants...)
	for i := range before.Receipt.Constants {
		if c := &before.Receipt.Constants[i]; c.Name == "factor" {
			c.Value = "1.5"
		}
	}
	e = explain(t, before, after)
	if len(e.Causes) == 0 || e.Causes[0].Kind != ballast.CauseConstant || e.Causes[0].Name != "factor" || !e.Causes[0].Alone || len(e.Causes[0].Effects) == 0 {
		t.Errorf("%+v", e.Causes)
	}
	for _, f := range e.Causes[0].Effects {
		if !strings.HasPrefix(f.Path, "lifts[1].") {
			t.Errorf("%v", f)
		}
	}
	// A constant that no document can say is named with all that is left over.
	before = answersOf(t, brochure())
	before.Receipt.Library = "0.0.9"
	for i := range before.Receipt.Constants {
		if c := &before.Receipt.Constants[i]; c.Name == "dieselDensity" {
			c.Value = "820 kg/m3"
		}
	}
	before.Lifts[0].Axles.Rear.High -= 1
	e = explain(t, before, answersOf(t, brochure()))
	if len(e.Causes) != 1 || e.Causes[0].Name != "dieselDensity" || e.Causes[0].Alone || len(e.Causes[0].Effects) != 1 {
		t.Errorf("%+v", e)
	}
}

// A limit that came out otherwise with the same input and the same constants is named as a
// rule.
func TestExplainRule(t *testing.T) {
	after := answersOf(t, brochure())
	before := answersOf(t, brochure())
	before.Receipt.Library = "0.0.9"
	before.Lifts[1].Usable.Limits[ballast.LimitHydraulic-1].Mass.Low *= 1.1
	before.Lifts[1].Usable.Lift.Mass.Low *= 1.1
	e := explain(t, before, after)
	if len(e.Causes) != 1 || len(e.Effects) != 2 || len(e.Together) != 0 {
		t.Fatalf("%+v", e)
	}
	c := e.Causes[0]
	if c.Kind != ballast.CauseRule || c.Name != "hydraulic" || c.Before != "0.0.9" || c.After != units.Version || !c.Alone || len(c.Effects) != 2 {
		t.Errorf("%+v", c)
	}
	if c.Effects[0].Path != "lifts[1].usable.lift.mass.low" && c.Effects[0].Path != "lifts[1].usable.limits[hydraulic].mass.low" {
		t.Error(c.Effects)
	}
	// Of two limits each has its own.
	before.Lifts[0].Limits[ballast.LimitGross-1].Left.High++
	if e = explain(t, before, after); len(e.Causes) != 2 {
		t.Errorf("%+v", e.Causes)
	}
	// What belongs to no limit.
	before = answersOf(t, brochure())
	before.Lifts[0].Axles.Rear.High -= 1
	if e = explain(t, before, after); len(e.Causes) != 1 || e.Causes[0].Name != "other" {
		t.Errorf("%+v", e.Causes)
	}
}

func TestExplainErrors(t *testing.T) {
	a := answersOf(t, brochure())
	later := a
	later.Receipt.Library = "9.0.0"
	if _, err := ballast.Explain(t.Context(), a, later); len(units.Fields(err)) != 1 || units.Fields(err)[0].Path != "after.receipt.library" {
		t.Error(err)
	}
	broken := a
	broken.Receipt.Hash, broken.Receipt.Input = "x", json.RawMessage(`{"version": 2`)
	if _, err := ballast.Explain(t.Context(), broken, a); err == nil || !strings.HasPrefix(err.Error(), "before.receipt.input") {
		t.Error(err)
	}
	d := brochure()
	d.Setup.Machine.Wheelbase = units.Is[units.Length](1.8)
	d.Setup.Machine.ROPSRating = units.Is[units.Mass](2300)
	b := answersOf(t, d)
	all := &impatient{t.Context(), 1 << 30}
	if _, err := ballast.Explain(all, a, b); err != nil {
		t.Fatal(err)
	}
	for n := range 1<<30 - all.left {
		e, err := ballast.Explain(&impatient{t.Context(), n}, a, b)
		if !errors.Is(err, context.DeadlineExceeded) || len(e.Effects) == 0 {
			t.Errorf("asked %d times: %v", n, err)
		}
	}
	if got, err := d.Answers(&impatient{t.Context(), 2}); !errors.Is(err, context.DeadlineExceeded) || len(got.Lifts) != 1 {
		t.Errorf("%d lifts: %v", len(got.Lifts), err)
	}
	d.Lifts = append([]ballast.Lift(nil), d.Lifts...)
	d.Lifts[1].Height = 9
	if _, err := d.Answers(t.Context()); len(units.Fields(err)) == 0 || units.Fields(err)[0].Path != "lifts[1].height" {
		t.Error(err)
	}
}

func BenchmarkExplain(b *testing.B) {
	d := brochure()
	after := answersOf(b, d)
	changed := d
	changed.Setup.Machine.Wheelbase = units.Is[units.Length](1.8)
	old := earlier(b, d, ballast.Practice{CGHeight: units.Range[units.Fraction]{Low: 0.30, High: 0.45}}, "practice.cgHeight", "0.3 to 0.45")
	for _, c := range []struct {
		name   string
		before ballast.Answers
	}{{"same", answersOf(b, d)}, {"field", answersOf(b, changed)}, {"constant", old}} {
		b.Run(c.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := ballast.Explain(b.Context(), c.before, after); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	b.Run("answers", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := d.Answers(b.Context()); err != nil {
				b.Fatal(err)
			}
		}
	})
}

// Entries of lists are matched by their names: one lift before all others is one cause, and
// what the others answer has not changed; nor has it in another order.
func TestExplainLists(t *testing.T) {
	d := brochure()
	d.Lifts[0].Name, d.Lifts[1].Name = "bin", "bin up high"
	before := answersOf(t, d)
	more := binLift(0.7)
	more.Name = "off the trailer"
	one := d
	one.Lifts = append([]ballast.Lift{more}, d.Lifts...)
	e := explain(t, before, answersOf(t, one))
	if len(e.Causes) != 1 || e.Causes[0].Name != "lifts[0]" || e.Causes[0].Before != "" || !strings.Contains(e.Causes[0].After, "off the trailer") {
		t.Errorf("causes %+v", e.Causes)
	}
	for _, f := range e.Effects {
		if !strings.HasPrefix(f.Path, "lifts[0].") || f.Before != "" {
			t.Errorf("%v", f)
		}
	}
	// Without names what says the same is the same.
	plain := brochure()
	plain.Lifts = append([]ballast.Lift{binLift(0.7)}, plain.Lifts...)
	e = explain(t, answersOf(t, brochure()), answersOf(t, plain))
	if len(e.Causes) != 1 || e.Causes[0].Name != "lifts[0]" {
		t.Errorf("without names: %+v", e.Causes)
	}
	// Removed, changed and added at once: each is a cause of its own with its own effects.
	two := d
	changed := d.Lifts[1]
	changed.Height = 1.5
	two.Lifts = []ballast.Lift{more, changed}
	e = explain(t, before, answersOf(t, two))
	got := map[string]bool{}
	for _, c := range e.Causes {
		got[c.Name] = true
		if !c.Alone || len(c.Effects) == 0 {
			t.Errorf("%s: %v", c.Name, c.Alone)
		}
		for _, f := range c.Effects {
			if c.Name == "lifts[1].height" && !strings.HasPrefix(f.Path, "lifts[1].") {
				t.Errorf("%s: %v", c.Name, f)
			}
		}
	}
	if len(e.Causes) != 3 || !got["lifts[0]"] || !got["lifts[1].height"] || len(e.Together) != 0 {
		t.Errorf("%v, together %v", got, e.Together)
	}
	// Another order is one cause without effects.
	three := d
	three.Lifts = []ballast.Lift{d.Lifts[1], d.Lifts[0]}
	e = explain(t, before, answersOf(t, three))
	if len(e.Effects) != 0 || len(e.Causes) != 1 || e.Causes[0].Name != "lifts" || len(e.Causes[0].Effects) != 0 {
		t.Errorf("another order: %v %+v", e.Effects, e.Causes)
	}
}

// Travels and the plan are answered with the receipt, and explained.
func TestReceiptOfAll(t *testing.T) {
	all := wholeDocuments()
	plan, over := all[1], all[5]
	a := answersOf(t, plan)
	p, err := plan.Plan(t.Context())
	if err != nil || a.Plan == nil || a.Plan.Status != p.Status || a.Plan.Best.Mass != p.Best.Mass || a.Plan.Library != units.Version {
		t.Fatalf("%v: %+v", err, a.Plan)
	}
	if err := a.Validate(); err != nil {
		t.Error(err)
	}
	dear := plan
	stock := *plan.Stock
	stock.Items = append([]ballast.Item{}, stock.Items...)
	stock.Items[0].Cents += 1
	dear.Stock = &stock
	e := explain(t, a, answersOf(t, dear))
	if len(e.Causes) != 1 || !strings.HasPrefix(e.Causes[0].Name, "stock.items[0]") {
		t.Errorf("%+v", e.Causes)
	}
	b := answersOf(t, over)
	if len(b.Travels) != 1 || b.Travels[0].Library == "" || len(b.Receipt.Remarks) == 0 {
		t.Fatalf("%+v", b.Travels)
	}
	if e := explain(t, b, b); !e.Same() {
		t.Errorf("%+v", e)
	}
}

// A stored receipt that does not agree with itself is found out.
func TestReceiptValidate(t *testing.T) {
	d := brochure()
	good := answersOf(t, d)
	indented, err := json.MarshalIndent(good, "", "\t")
	if err != nil {
		t.Fatal(err)
	}
	var stored ballast.Answers
	if err := json.Unmarshal(indented, &stored); err != nil || stored.Validate() != nil {
		t.Errorf("a database that indents: %v %v", err, stored.Validate())
	}
	transport := ballast.TransportAnswer{}
	for _, c := range []struct {
		path   string
		change func(*ballast.Answers)
	}{
		{"receipt.hash", func(a *ballast.Answers) { a.Receipt.Hash = strings.Repeat("0", 64) }},
		{"receipt.hash", func(a *ballast.Answers) {
			a.Receipt.Input = []byte(strings.Replace(string(a.Receipt.Input), `"1800 kg"`, `"1801 kg"`, 1))
		}},
		{"receipt.input", func(a *ballast.Answers) { a.Receipt.Input = []byte(`{"version": 2`) }},
		{"receipt.library", func(a *ballast.Answers) { a.Receipt.Library = "" }},
		{"lifts", func(a *ballast.Answers) { a.Lifts = append(a.Lifts, a.Lifts[0]) }},
		{"transport", func(a *ballast.Answers) { a.Transport = &transport }},
		{"plan", func(a *ballast.Answers) { a.Plan = &ballast.Proposal{} }},
	} {
		a := answersOf(t, d)
		c.change(&a)
		if all := units.Fields(a.Validate()); len(all) != 1 || all[0].Path != c.path || all[0].Code == "" {
			t.Errorf("%s: %v", c.path, all)
		}
		if _, err := ballast.Explain(t.Context(), a, good); err == nil || !strings.HasPrefix(err.Error(), "before."+c.path) {
			t.Errorf("%s: %v", c.path, err)
		}
	}
}
