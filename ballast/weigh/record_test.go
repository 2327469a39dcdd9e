package weigh_test

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/units"
)

// inputOfFractions lets records be compared: an input is comparable, and has no
// exported field.
var inputOfFractions = cmp.Comparer(func(a, b units.Input[units.Fraction]) bool { return a == b })

// A record is read back from JSON bit for bit.
func TestRecordJSON(t *testing.T) {
	m := newMachine(rand.New(rand.NewPCG(1, 1)), 1, 1)
	want := m.reads(rand.New(rand.NewPCG(2, 2)), workshop)
	want.Figures = []weigh.Figure{{Kind: weigh.FigureLift, Mass: 500, Pin: 2, Ahead: 0.5}}
	b, err := json.Marshal(want)
	if err != nil {
		t.Fatal(err)
	}
	var got weigh.Record
	if err := json.Unmarshal(b, &got); err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(want, got, inputOfFractions); d != "" {
		t.Error(d)
	}
}

// Every way to be wrong is told by its path.
func TestRecordErrors(t *testing.T) {
	m := newMachine(rand.New(rand.NewPCG(1, 1)), 1, 1)
	for _, c := range []struct {
		path  string
		spoil func(*weigh.Record)
	}{
		{"attachment", func(r *weigh.Record) { r.Attachment = ballast.AttachmentUnknown }},
		{"cylinders", func(r *weigh.Record) { r.Cylinders = 0 }},
		{"cylinders", func(r *weigh.Record) { r.Cylinders = 5 }},
		{"selfLeveling", func(r *weigh.Record) { r.SelfLeveling = units.None[units.Fraction]() }},
		{"scale.sd", func(r *weigh.Record) { r.Scale.SD = 0 }},
		{"gauge.sd", func(r *weigh.Record) { r.Gauge.SD = 0 }},
		{"liquid.sd", func(r *weigh.Record) { r.Liquid = weigh.Measured[units.Mass]{Value: 200} }},
		{"yard.sd", func(r *weigh.Record) { r.Yard = weigh.Measured[units.Angle]{Value: 0.01} }},
		{"tape", func(r *weigh.Record) { r.Tape = r.Tape[1:] }},
		{"tape[0].length", func(r *weigh.Record) { r.Tape[0].Length = 99 }},
		{"tape[0].sd", func(r *weigh.Record) { r.Tape[0].SD = 0 }},
		{"tape[0].load", func(r *weigh.Record) { r.Tape[0].Load = "large" }},
		{"tape[0].pin", func(r *weigh.Record) { r.Tape[0].Pin = 1 }},
		{"tape[15].load", func(r *weigh.Record) { r.Tape[15].Load = "no such load" }},
		{"loads[1].name", func(r *weigh.Record) { r.Loads[1].Name = r.Loads[0].Name }},
		{"loads[0].mass.sd", func(r *weigh.Record) { r.Loads[0].Mass.SD = 0 }},
		{"weights[0].front", func(r *weigh.Record) { r.Weights[0].Front, r.Weights[0].Rear = 0, 0 }},
		{"weights[1].loads[0]", func(r *weigh.Record) { r.Weights[1].Loads = []string{"no such load"} }},
		{"weights[1].loads[1]", func(r *weigh.Record) { r.Weights[1].Loads = []string{"small", "small"} }},
		{"weights[1].without[0]", func(r *weigh.Record) { r.Weights[1].Without = []string{"no such piece"} }},
		{"weights[1].raised", func(r *weigh.Record) { r.Weights[1].Raised = units.Degree / 2 }},
		{"pressures[0].motion", func(r *weigh.Record) { r.Pressures[0].Motion = 0 }},
		{"pressures[0].pin", func(r *weigh.Record) { r.Pressures[0].Motion = weigh.AtStop }},
		{"pressures[1].loads[0]", func(r *weigh.Record) { r.Pressures[1].Loads[0] = "no such load" }},
		{"figures[0].kind", func(r *weigh.Record) { r.Figures = []weigh.Figure{{Mass: 100}} }},
		{"figures[0].mass", func(r *weigh.Record) {
			r.Figures = []weigh.Figure{{Kind: weigh.FigureRelief, Mass: 100, Pressure: 17e6}}
		}},
		{"figures[0].pressure", func(r *weigh.Record) {
			r.Figures = []weigh.Figure{{Kind: weigh.FigureArmMass, Mass: 100, Pressure: 17e6}}
		}},
		{"figures[0].pin", func(r *weigh.Record) { r.Figures = []weigh.Figure{{Kind: weigh.FigureLift, Mass: 100}} }},
		{"pieces[0].x.sd", func(r *weigh.Record) {
			r.Pieces = []weigh.LoosePiece{{Name: "box", Mass: weigh.Measured[units.Mass]{Value: 200, SD: 1}}}
		}},
		{"weights[0].rear", func(r *weigh.Record) { r.Scale.Capacity = r.Weights[0].Rear }},
		{"confidence", func(r *weigh.Record) { r.Confidence = 1 }},
		{"practice.cgX.high", func(r *weigh.Record) { r.Practice.CGX.Low = 0.5 }},
	} {
		rec := m.reads(rand.New(rand.NewPCG(2, 2)), workshop)
		c.spoil(&rec)
		_, err := rec.Fit(context.Background())
		if err == nil || !fieldtest.Named(err, c.path) {
			t.Errorf("%s is not named: %v", c.path, err)
		}
	}
	rec := m.reads(rand.New(rand.NewPCG(2, 2)), workshop)
	rec.Mass, rec.Weights = 0, rec.Weights[1:]
	if err := rec.Validate(); err == nil || !fieldtest.Named(err, "mass") {
		t.Errorf("mass is not named: %v", err)
	}
}

// A name has 1 to 100 bytes, and a load whose place is that of another names one further up that has
// a place of its own.
func TestRecordNames(t *testing.T) {
	for n, ok := range map[int]bool{0: false, 1: true, 100: true, 101: false} {
		l := weigh.TestLoad{Name: strings.Repeat("a", n), Mass: weigh.Measured[units.Mass]{Value: 100, SD: 1}}
		if err := l.Validate(); (err == nil) != ok {
			t.Errorf("a name of %d bytes: %v", n, err)
		}
	}
	m := newMachine(rand.New(rand.NewPCG(1, 1)), 1, 1)
	for _, c := range []struct {
		like [3]string
		path string
	}{
		{[3]string{"", "a", ""}, ""}, {[3]string{"", "a", "a"}, ""}, {[3]string{"", "a", "b"}, "loads[2].like"},
		{[3]string{"b", "", ""}, "loads[0].like"}, {[3]string{"a", "", ""}, "loads[0].like"}, {[3]string{"", "none", ""}, "loads[1].like"},
	} {
		rec := m.reads(rand.New(rand.NewPCG(2, 2)), plan{weights: true})
		for i, name := range []string{"a", "b", "c"} {
			rec.Loads = append(rec.Loads, weigh.TestLoad{Name: name, Like: c.like[i], Mass: weigh.Measured[units.Mass]{Value: 100, SD: 1}})
		}
		err := rec.Validate()
		if c.path == "" && err != nil || c.path != "" && (err == nil || !fieldtest.Named(err, c.path)) {
			t.Errorf("%q: %v, want %q", c.like, err, c.path)
		}
	}
	// A reading names no more loads and pieces than there may be.
	names := func(n int) []string { return slices.Repeat([]string{"a"}, n) }
	for n, ok := range map[int]bool{10: true, 11: false} {
		if err := (weigh.AxleReading{Pin: 0.4, Front: 1000, Without: names(n)}).Validate(); (err == nil) != ok {
			t.Errorf("without %d pieces: %v", n, err)
		}
	}
	for n, ok := range map[int]bool{20: true, 21: false} {
		if err := (weigh.AxleReading{Pin: 0.4, Front: 1000, Loads: names(n)}).Validate(); (err == nil) != ok {
			t.Errorf("with %d loads: %v", n, err)
		}
		if err := (weigh.PressureReading{Motion: weigh.Raising, Pin: 0.4, Pressure: 1e7, Loads: names(n)}).Validate(); (err == nil) != ok {
			t.Errorf("a pressure with %d loads: %v", n, err)
		}
	}
}

// Lists may be as long as their documentation says, and no longer.
func TestRecordLists(t *testing.T) {
	m := newMachine(rand.New(rand.NewPCG(1, 1)), 1, 1)
	base := m.reads(rand.New(rand.NewPCG(2, 2)), workshop)
	grow := func(n int, add func(r *weigh.Record, i int)) weigh.Record {
		r := base
		r.Tape, r.Loads, r.Weights, r.Pressures = slices.Clone(base.Tape), slices.Clone(base.Loads), slices.Clone(base.Weights), slices.Clone(base.Pressures)
		for i := range n {
			add(&r, i)
		}
		return r
	}
	for _, c := range []struct {
		path string
		have int
		most int
		add  func(r *weigh.Record, i int)
	}{
		{"tape", len(base.Tape), 100, func(r *weigh.Record, _ int) { r.Tape = append(r.Tape, r.Tape[0]) }},
		{"weights", len(base.Weights), 100, func(r *weigh.Record, _ int) { r.Weights = append(r.Weights, r.Weights[0]) }},
		{"pressures", len(base.Pressures), 100, func(r *weigh.Record, _ int) { r.Pressures = append(r.Pressures, r.Pressures[0]) }},
		{"figures", len(base.Figures), 20, func(r *weigh.Record, _ int) {
			r.Figures = append(r.Figures, weigh.Figure{Kind: weigh.FigureArmMass, Mass: 300, SD: 0.05})
		}},
		{"loads", len(base.Loads), 20, func(r *weigh.Record, i int) {
			r.Loads = append(r.Loads, weigh.TestLoad{Name: fmt.Sprint("more ", i), Mass: weigh.Measured[units.Mass]{Value: 100, SD: 1}})
		}},
		{"pieces", len(base.Pieces), 10, func(r *weigh.Record, i int) {
			r.Pieces = append(r.Pieces, weigh.LoosePiece{Name: fmt.Sprint("piece ", i), Mass: weigh.Measured[units.Mass]{Value: 100, SD: 1}, X: weigh.Measured[units.Length]{Value: -1, SD: 0.1}})
		}},
		{"weights", 0, 20, func(r *weigh.Record, i int) {
			r.Weights = append(r.Weights, weigh.AxleReading{Pin: 0.4, Front: 1000, Raised: units.Angle(i+1) * units.Degree})
		}},
	} {
		if c.most == 20 && c.path == "weights" {
			base.Weights = slices.DeleteFunc(slices.Clone(base.Weights), func(w weigh.AxleReading) bool { return w.Raised != 0 })
		}
		if err := grow(c.most-c.have, c.add).Validate(); err != nil {
			t.Errorf("%s of %d: %v", c.path, c.most, err)
		}
		if err := grow(c.most-c.have+1, c.add).Validate(); err == nil || !strings.Contains(err.Error(), c.path) {
			t.Errorf("%s of %d: %v", c.path, c.most+1, err)
		}
	}
}

// Whatever the numbers of a record are, nothing panics, every error has a path of
// the JSON form, and no answer holds a number that is none.
func TestRecordOfBadNumbers(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 6))
	m := newMachine(r, 1, 1)
	seen := map[string]bool{}
	answered := 0
	for range 400 {
		rec := m.reads(r, workshop)
		rec.Pieces = []weigh.LoosePiece{{Name: "box", Mass: weigh.Measured[units.Mass]{Value: 200, SD: 1}, X: weigh.Measured[units.Length]{Value: -0.9, SD: 0.02}, Z: 0.6}}
		rec.Figures = []weigh.Figure{{Kind: weigh.FigureLift, Mass: units.Mass(m.lifts(m.high, 0, -1)), Pin: units.Length(m.high)}}
		var good weigh.Record
		if b, err := json.Marshal(rec); err != nil || json.Unmarshal(b, &good) != nil {
			t.Fatal(err)
		}
		fieldtest.Spoil(r, reflect.ValueOf(&rec).Elem())
		if i := r.IntN(2 * reflect.TypeFor[weigh.Record]().NumField()); i%2 == 0 { // one field alone
			bad := reflect.ValueOf(rec).Field(i / 2)
			reflect.ValueOf(&good).Elem().Field(i / 2).Set(bad)
			rec = good
		}
		got, err := rec.Fit(context.Background())
		if err != nil {
			for _, f := range units.Fields(err) {
				seen[f.Path] = true
				if !fieldtest.Resolves(reflect.TypeFor[weigh.Record](), f.Path) {
					t.Errorf("%v: no path of the JSON form", f)
				}
			}
			continue
		}
		if p := fieldtest.NotFinite(reflect.ValueOf(got.Residuals), "residuals"); p != "" {
			t.Errorf("%s of %+v", p, rec)
		}
		q := weigh.Question{Kind: weigh.QuestionKind(1 + r.IntN(10)), Pin: units.Length(m.low), Ahead: 0.7}
		ans, err := got.Ask(q)
		if err != nil {
			continue
		}
		answered++
		if p := fieldtest.NotFinite(reflect.ValueOf(ans), "answer"); p != "" {
			t.Errorf("%s of %+v", p, rec)
		}
	}
	if len(seen) < 40 || answered < 5 {
		t.Errorf("%d paths seen, %d answers", len(seen), answered)
	}
}

// A question that cannot be answered says what of it.
func TestQuestionErrors(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	m := newMachine(r, 1, 1)
	rec := m.reads(r, workshop)
	rec.Cylinders, rec.Pressures, rec.Undercarriage = 0, nil, 0
	got, err := rec.Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path string
		q    weigh.Question
	}{
		{"kind", weigh.Question{Pin: 1}},
		{"kind", weigh.Question{Kind: weigh.AskLift, Pin: 1}},
		{"kind", weigh.Question{Kind: weigh.AskSlopeLimit, Pin: 1}},
		{"pin", weigh.Question{Kind: weigh.AskTippingLoad}},
		{"pin", weigh.Question{Kind: weigh.AskTippingLoad, Pin: 9.9}},
		{"ahead", weigh.Question{Kind: weigh.AskTippingLoad, Pin: units.Length(m.low), Ahead: -2}},
		{"without[0]", weigh.Question{Kind: weigh.AskTippingLoad, Pin: 1, Without: []string{"box"}}},
		{"added[0].mass", weigh.Question{Kind: weigh.AskTippingLoad, Pin: 1, Added: []weigh.Added{{Mass: units.Mass(math.NaN())}}}},
		{"load", weigh.Question{Kind: weigh.AskFrontLoad, Pin: 1, Load: -1}},
		{"load", weigh.Question{Kind: weigh.AskTippingLoad, Pin: 1, Load: 100}},
		{"like", weigh.Question{Kind: weigh.AskTippingLoad, Pin: 1, Like: "no such load"}},
		{"like", weigh.Question{Kind: weigh.AskTippingLoad, Pin: 1, Like: "small", Ahead: 0.5}},
	} {
		_, err := got.Ask(c.q)
		if err == nil || !fieldtest.Named(err, c.path) {
			t.Errorf("%+v: %s is not named: %v", c.q, c.path, err)
		}
	}
}

// A machine is immutable: changing the record afterwards changes no answer, and
// equal records give equal answers.
func TestMachineKeepsItsRecord(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 1))
	m := newMachine(r, 1, 1)
	rec := m.reads(r, workshop)
	got, err := rec.Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	again, err := rec.Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	q := m.asks()[0].q
	before, err := got.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	rec.Loads[0].Name = "other"
	rec.Weights[1].Loads[0] = "other"
	after, err := got.Ask(q)
	if err != nil || after != before {
		t.Errorf("%v, %v: %v", before, after, err)
	}
	if other, err := again.Ask(q); err != nil || other != before {
		t.Errorf("%v, %v: %v", before, other, err)
	}
}

// Knowing more never makes an answer less certain, and the order of readings says
// nothing.
func TestMoreReadingsNarrow(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 20 {
		m := newMachine(r, 1, 1)
		rec := m.reads(nil, workshop)
		less := rec
		less.Weights = slices.Clone(rec.Weights[:1])
		turned := rec
		turned.Weights = slices.Clone(rec.Weights)
		slices.Reverse(turned.Weights)
		turned.Tape = slices.Clone(rec.Tape)
		slices.Reverse(turned.Tape)
		var sd [3]float64
		var v [3]float64
		for i, x := range []weigh.Record{rec, less, turned} {
			got, err := x.Fit(context.Background())
			if err != nil || got.Doubts != 0 {
				t.Fatal(err, got.Doubts)
			}
			ans, err := got.Ask(m.asks()[0].q)
			if err != nil {
				t.Fatal(err)
			}
			v[i], sd[i] = float64(ans.Mass.Value), float64(ans.Mass.SD)
		}
		if sd[0] > sd[1]*1.01 {
			t.Errorf("%v kg with more readings, %v with less", sd[0], sd[1])
		}
		if math.Abs(v[0]-v[2]) > 1e-3*sd[0] || math.Abs(sd[0]/sd[2]-1) > 1e-3 {
			t.Errorf("%v within %v, in another order %v within %v", v[0], sd[0], v[2], sd[2])
		}
	}
}

// A piece of ballast that is put on is what a weighing without it and its own mass
// say: an independent balance of moments about the front axle.
func TestEffectOfBallast(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 4))
	m := newMachine(r, 1, 1)
	m.squat = 0
	rec := m.reads(nil, workshop)
	rec.Squat = weigh.Measured[units.Angle]{SD: 1e-5}
	got, err := rec.Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	q := m.asks()[0].q
	before, err := got.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	q.Added = []weigh.Added{{Mass: 200, X: -0.9, Z: 0.6}}
	after, err := got.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	x := m.pivotX + m.arm*math.Cos(m.angle(m.low)) + 0.7
	want := 200 * (m.base + 0.9) / (x - m.base)
	if d := float64(after.Mass.Value - before.Mass.Value); math.Abs(d/want-1) > 0.01 {
		t.Errorf("the box adds %v kg, want %v", d, want)
	}

	// The same box weighed as a loose piece, on in the first reading and off in the
	// second.
	rec.Pieces = []weigh.LoosePiece{{Name: "box", Mass: weigh.Measured[units.Mass]{Value: 200, SD: 2}, X: weigh.Measured[units.Length]{Value: -0.9, SD: 0.02}, Z: 0.6}}
	for i := range rec.Weights {
		rec.Weights[i].Without = []string{"box"}
	}
	with := rec.Weights[0]
	with.Without = nil
	with.Rear += units.Mass(200 * (m.base + 0.9) / m.base * (1 + m.gain))
	with.Front -= units.Mass(200 * 0.9 / m.base * (1 + m.gain))
	rec.Weights = append(rec.Weights, with)
	piece, err := rec.Fit(context.Background())
	if err != nil || piece.Doubts != 0 {
		t.Fatal(err, piece.Doubts, piece.Suspects)
	}
	q.Added = nil
	on, err := piece.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	q.Without = []string{"box"}
	off, err := piece.Ask(q)
	if err != nil {
		t.Fatal(err)
	}
	if d := float64(on.Mass.Value - off.Mass.Value); math.Abs(d/want-1) > 0.02 {
		t.Errorf("the loose box adds %v kg, want %v", d, want)
	}
}

// Cautions belong to every answer: the manual first, no tipping test, and what
// belongs to loads, axle lifts and pressures where those were read.
func TestMachineCautions(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 4))
	m := newMachine(r, 1, 1)
	rec := m.reads(r, workshop)
	got, err := rec.Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	ans, err := got.Ask(m.asks()[4].q)
	if err != nil {
		t.Fatal(err)
	}
	want := weigh.CautionManual | weigh.CautionNoTippingTest | weigh.CautionJustOffGround | weigh.CautionLift | weigh.CautionPressure | weigh.CautionNoCapacity
	if !ans.Cautions.Has(want) {
		t.Errorf("cautions %v", ans.Cautions)
	}
	if text := strings.Join(ans.Cautions.Lines(), " "); !strings.Contains(text, "never change a relief setting") {
		t.Error(text)
	}
}

// The interval of the setup's tipping load holds that of the machine's own answer,
// and the true one; the same of what it lifts.
func TestSetupHoldsTheMachine(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 9))
	tried := 0
	widths := map[string][]float64{}
	for range 12 {
		m := newMachine(r, 1, 1)
		rec := m.reads(r, everything)
		got, err := rec.Fit(context.Background())
		if err != nil || got.Doubts != 0 {
			continue
		}
		s, err := got.Setup(units.Length(m.low), units.Length(m.high))
		if err != nil {
			t.Fatal(err)
		}
		s.Attachment.Face, s.Attachment.LoadCenter, s.Attachment.Tine = units.Is(units.Length(0.2)), units.Is(units.Length(0.5)), units.Is(units.Length(-0.1))
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			t.Fatal(err)
		}
		for _, h := range []float64{m.low, m.pivotZ} {
			use, err := e.UsableLoad(ballast.Lift{Height: units.Length(h), Datum: ballast.PinHeight, Load: ballast.Load{Center: s.Attachment.LoadCenter}, Basis: ballast.Basis{Kind: ballast.BasisTippingFraction, Fraction: 0.5}})
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range []struct {
				name string
				got  units.Range[units.Mass]
				want float64
			}{
				{"tipping load", use.Tipping, m.tips(h, 0.7, 0)},
				{"lift", use.Limit(ballast.LimitHydraulic).Mass, m.lifts(h, 0.7, -1)},
			} {
				tried++
				if v := float64(x.got.Low); !(v >= 0 && v <= x.want*1.005) {
					t.Errorf("%s: at least %v kg, true %v", x.name, v, x.want)
				}
				if v := float64(x.got.High); v < x.want*0.995 {
					t.Errorf("%s: at most %v kg, true %v", x.name, v, x.want)
				}
				widths[x.name] = append(widths[x.name], float64(x.got.High-x.got.Low)/x.want)
			}
		}
	}
	// The ranges by themselves are some six times as wide as the answers of the
	// machine.
	if a, b := median(widths["tipping load"]), median(widths["lift"]); a > 0.35 || b > 0.55 {
		t.Errorf("the setup leaves open %.2f of the tipping load and %.2f of the lift", a, b)
	}
	if tried < 20 {
		t.Errorf("only %d limits tried", tried)
	}
}

// The setup of every machine is one that a setup takes, however little was read.
func TestSetupIsValid(t *testing.T) {
	r := rand.New(rand.NewPCG(10, 9))
	for i, n := 0, 0; n < 150; i++ {
		p := plan{weights: r.IntN(8) > 0, loads: r.IntN(2) == 0, raised: r.IntN(3) == 0, pressures: r.IntN(3) == 0, relief: r.IntN(3) == 0}
		m := newMachine(r, 1.5, 1)
		rec := m.reads(r, p)
		// Only some lengths are taped, but for the wheelbase and the place of loads.
		keep := r.Float64()
		rec.Tape = slices.DeleteFunc(rec.Tape, func(x weigh.Taped) bool {
			return x.Length != weigh.TapedWheelbase && x.Load == "" && r.Float64() > keep
		})
		if r.IntN(4) == 0 {
			rec.Attachment = ballast.BarePin
		}
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		s, err := got.Setup(units.Length(m.low), units.Length(m.high))
		if err != nil {
			continue // out of reach, or withheld
		}
		n++
		if err := s.Validate(); err != nil {
			t.Errorf("%d: %v", i, err)
		}
	}
}

// A load that was more than 30 % of the lower bound of its tipping load has the
// caution to set it down, and one that was less has not.
func TestLoadBeyondShare(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 5))
	for range 5 {
		m := newMachine(r, 1, 1)
		rec := m.reads(r, plan{weights: true, loads: true})
		rec.Weights = rec.Weights[:2] // with the smaller load
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if got.Doubts == 0 && got.Cautions.Has(weigh.CautionBeyondShare) {
			t.Errorf("%v of %v kg is beyond the share", rec.Loads[0].Mass.Value, m.tips(m.low, 0.7, 0))
		}
		// The same machine under a load of half its tipping load.
		heavy := units.Mass(m.tips(m.low, 0.7, 0) / 2)
		rec.Loads = append(rec.Loads, weigh.TestLoad{Name: "heavy", Mass: weigh.Measured[units.Mass]{Value: heavy, SD: 2}})
		front, rear := m.pitched(m.points(m.low, []point{{float64(heavy), 0.7, 0}}), m.yard)
		rec.Tape = append(rec.Tape, weigh.Taped{Length: weigh.TapedLoadAhead, Load: "heavy", Value: 0.7, SD: 0.01})
		rec.Weights = append(rec.Weights, weigh.AxleReading{Pin: units.Length(m.low), Loads: []string{"heavy"}, Front: units.Mass(front * (1 + m.gain)), Rear: units.Mass(rear * (1 + m.gain))})
		if got, err = rec.Fit(context.Background()); err != nil {
			t.Fatal(err)
		}
		if !got.Cautions.Has(weigh.CautionBeyondShare) {
			t.Errorf("%v of %v kg is not beyond the share", heavy, m.tips(m.low, 0.7, 0))
		}
	}
}

// What the trade reports of an ordinary compact tractor with a bucket: 741 to 840 lb
// lifted to full height, about 1050 lb just off the ground, some 1020 lb that stood at
// three feet when it was put on there, and rear wheels that grew light near 1580 lb a
// foot up; heights are the bucket's (common practice, no source). One plausible
// machine that is right in size and otherwise as practice says is within 15 % of all of
// them.
func TestOrdersOfTheTrade(t *testing.T) {
	// A compact tractor of 25 hp with a filled pair of rear tires: dimensions invented.
	tape := func(l weigh.TapedLength, v units.Length) weigh.Taped {
		return weigh.Taped{Length: l, Value: v, SD: 0.003}
	}
	rec := weigh.Record{
		Mass: 1120, Attachment: ballast.Bucket, Cylinders: 2, SelfLeveling: units.Is(units.Fraction(0)), Scale: weigh.Scale{SD: 2},
		Tape: []weigh.Taped{
			tape(weigh.TapedWheelbase, 1.52), tape(weigh.TapedPivotX, 0.72), tape(weigh.TapedPivotZ, 1.08), tape(weigh.TapedArm, 1.60),
			tape(weigh.TapedAttachmentAhead, 0.30), tape(weigh.TapedCylinderAhead, 0.08), tape(weigh.TapedCylinderAbove, -0.30),
			tape(weigh.TapedRodAlong, 0.64), tape(weigh.TapedRodAbove, -0.05), tape(weigh.TapedBore, 0.038),
		},
		Weights: []weigh.AxleReading{{Pin: 0.30, Front: 560, Rear: 560}},
		Figures: []weigh.Figure{{Kind: weigh.FigureRelief, Pressure: 15e6, SD: 0.01}},
	}
	got, err := rec.Fit(context.Background())
	if err != nil || got.Doubts != 0 {
		t.Fatal(err, got.Doubts, got.Suspects)
	}
	const pound = 0.45359237
	const under = 0.15 // how far the bucket's floor is below the pin
	for _, c := range []struct {
		name      string
		kind      weigh.QuestionKind
		bucket    float64
		low, high float64 // pounds
	}{
		{"lifted to full height", weigh.AskLift, 2.45, 741, 840},
		{"lifted just off the ground", weigh.AskLift, 0.15, 1050, 1050},
		{"rear wheels light a foot up", weigh.AskTippingLoad, 0.3048, 1580, 1580},
	} {
		a, err := got.Ask(weigh.Question{Kind: c.kind, Pin: units.Length(c.bucket + under), Ahead: 0.45})
		if err != nil {
			t.Fatal(err)
		}
		v := float64(a.Mass.Value) / pound
		t.Logf("%s: %.0f lb", c.name, v)
		if v < 0.85*c.low || v > 1.15*c.high {
			t.Errorf("%s: %.0f lb, reported %v to %v", c.name, v, c.low, c.high)
		}
	}
	// What is put on raised arms stands if it is between what they lift and what they
	// sink under.
	var ends [2]float64
	for i, k := range []weigh.QuestionKind{weigh.AskLift, weigh.AskSink} {
		a, err := got.Ask(weigh.Question{Kind: k, Pin: 0.914 + under, Ahead: 0.45})
		if err != nil {
			t.Fatal(err)
		}
		ends[i] = float64(a.Mass.Value) / pound
	}
	t.Logf("at three feet: lifts %.0f lb, sinks under %.0f lb", ends[0], ends[1])
	if mid := (ends[0] + ends[1]) / 2; mid < 0.85*1020 || mid > 1.15*1020 {
		t.Errorf("at three feet between %.0f and %.0f lb; 1020 stood", ends[0], ends[1])
	}
}

// Everything that is missing is named at once, also of an empty record.
func TestEmptyRecordNamesAll(t *testing.T) {
	err := weigh.Record{}.Validate()
	for _, path := range []string{"attachment", "tape", "mass"} {
		if err == nil || !fieldtest.Named(err, path) {
			t.Errorf("%s is not named: %v", path, err)
		}
	}
}

// A machine that no fit has made is an error, and no panic.
func TestMachineOfNoFit(t *testing.T) {
	var m weigh.Machine
	q := weigh.Question{Kind: weigh.AskTippingLoad, Pin: 0.4, Ahead: 0.7}
	_, ask := m.Ask(q)
	_, next := m.Next(t.Context(), q, 0.05, false)
	_, setup := m.Setup(0.4, 2)
	_, joint := m.Joint(0.4, 2)
	for _, err := range []error{ask, next, setup, joint} {
		if !errors.Is(err, units.ErrInvalid) {
			t.Errorf("%v", err)
		}
	}
}

// A length of next to nothing has a residual in numbers.
func TestTinyReading(t *testing.T) {
	m := newMachine(rand.New(rand.NewPCG(1, 1)), 1, 1)
	rec := m.reads(rand.New(rand.NewPCG(2, 2)), workshop)
	for i := range rec.Tape {
		if rec.Tape[i].Length == weigh.TapedAttachmentAhead {
			rec.Tape[i].Value, rec.Tape[i].SD = 5e-324, 0.5
		}
	}
	got, err := rec.Fit(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if p := fieldtest.NotFinite(reflect.ValueOf(got.Residuals), "residuals"); p != "" {
		t.Error(p)
	}
}

// Setups that are drawn from the joint estimate spread as the machine's own answer says:
// their tipping load is found by package ballast, from the drawn inputs alone. Ranges by
// themselves spread several times as far.
func TestJointKeepsWhatHangsTogether(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	for range 3 {
		m := newMachine(r, 1, 1)
		rec := m.reads(r, everything)
		rec.Squat = weigh.Measured[units.Angle]{SD: 1e-5} // a setup has no tires that give
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if got.Doubts != 0 || len(got.Suspects) > 0 {
			continue
		}
		j, err := got.Joint(units.Length(m.low), units.Length(m.high))
		if err != nil {
			t.Fatal(err)
		}
		tips := func(s ballast.Setup) float64 {
			s.Attachment.Face, s.Attachment.LoadCenter, s.Attachment.Tine = units.Is(units.Length(0.2)), units.Is(units.Length(0.5)), units.Is(units.Length(-0.1))
			e, err := s.Envelope(ballast.Practice{})
			if err != nil {
				t.Fatal(err)
			}
			use, err := e.UsableLoad(ballast.Lift{Height: units.Length(m.low), Datum: ballast.PinHeight, Load: ballast.Load{Center: s.Attachment.LoadCenter}, Basis: ballast.Basis{Kind: ballast.BasisTippingFraction, Fraction: 0.5}})
			if err != nil {
				t.Fatal(err)
			}
			if use.Tipping.High-use.Tipping.Low > 1e-6*use.Tipping.High {
				t.Fatalf("a drawn setup leaves %v open", use.Tipping)
			}
			return float64(use.Tipping.Low)
		}
		a, err := got.Ask(weigh.Question{Kind: weigh.AskTippingLoad, Pin: units.Length(m.low), Ahead: 0.7})
		if err != nil {
			t.Fatal(err)
		}
		if v := tips(j.Draw(func() float64 { return 0 })); math.Abs(v/float64(a.Mass.Value)-1) > 1e-3 {
			t.Errorf("the estimate itself tips at %v kg, asked %v", v, a.Mass.Value)
		}
		const draws = 400
		var sum, square float64
		for range draws {
			v := tips(j.Draw(r.NormFloat64))
			sum += v
			square += v * v
		}
		mean := sum / draws
		sd := math.Sqrt(square/draws - mean*mean)
		// Chance moves the standard deviation of so many by 3.5 %.
		if ratio := sd / float64(a.Mass.SD); ratio < 0.88 || ratio > 1.12 {
			t.Errorf("drawn setups spread by %.2f of what the machine says", ratio)
		}
		for i := range j.Mean {
			if j.Covariance[i*len(j.Mean)+i] < 0 {
				t.Errorf("%s has a variance below zero", j.Paths[i])
			}
		}
	}
}

// What nobody read comes from the practice of the record: heavier arms, a heavier attachment
// and more friction each leave less to lift, by what they are. Machines in the middle of the
// usual ranges have the lift that they have, without any pressure read.
func TestPracticeOfTheRecord(t *testing.T) {
	m := newMachine(rand.New(rand.NewPCG(14, 1)), 1, 1)
	p := ballast.UsualPractice()
	mid := func(g units.Range[units.Fraction]) float64 { return float64(g.Low+g.High) / 2 }
	all := m.body + m.arms + m.hung
	m.arms, m.hung = all*mid(p.ArmMass), all*mid(p.AttachmentMass)
	m.body = all - m.arms - m.hung
	m.armsAt, m.armsUp = m.arm*mid(p.ArmCG), m.arm*mid(p.ArmCGAbove)
	m.drag, m.stick, m.rub, m.relief = 0.8*mid(p.Friction), 0.2*17*mid(p.Friction), 0, 17
	m.squat, m.yard = 0, 0
	at := (m.low + m.high) / 2
	// lift is what the machine's own readings say of it, and the truth.
	lift := func(m trueMachine, p ballast.Practice) (got weigh.Estimate[units.Mass], want float64) {
		rec := m.reads(nil, plan{weights: true})
		rec.Figures, rec.Practice = []weigh.Figure{{Kind: weigh.FigureRelief, Pressure: 17e6, SD: 1e-3}}, p
		for i := range rec.Tape {
			rec.Tape[i].SD = 1e-4
		}
		fitted, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		a, err := fitted.Ask(weigh.Question{Kind: weigh.AskLift, Pin: units.Length(at), Ahead: 0.7})
		if err != nil {
			t.Fatal(err)
		}
		return a.Mass, m.lifts(at, 0.7, -1)
	}
	usual, want := lift(m, ballast.Practice{})
	if math.Abs(float64(usual.Value)/want-1) > 0.01 {
		t.Errorf("lifts %v kg in the middle of practice, want %v", usual.Value, want)
	}
	narrow := func(low, high float64) units.Range[units.Fraction] {
		return units.Range[units.Fraction]{Low: units.Fraction(low), High: units.Fraction(high)}
	}
	for name, set := range map[string]func(*trueMachine, *ballast.Practice){
		"arms": func(m *trueMachine, p *ballast.Practice) {
			p.ArmMass = narrow(0.159, 0.161)
			m.arms, m.body = 0.16*all, all-0.16*all-m.hung
		},
		"attachment": func(m *trueMachine, p *ballast.Practice) {
			p.AttachmentMass = narrow(0.129, 0.131)
			m.hung, m.body = 0.13*all, all-0.13*all-m.arms
		},
		"friction": func(m *trueMachine, p *ballast.Practice) {
			p.Friction = narrow(0.119, 0.121)
			m.drag, m.stick = 0.8*0.12, 0.2*17*0.12
		},
	} {
		other, p := m, ballast.Practice{}
		set(&other, &p)
		got, want := lift(other, p)
		if math.Abs(float64(got.Value)/want-1) > 0.01 {
			t.Errorf("%s: lifts %v kg, want %v", name, got.Value, want)
		}
		if !(got.SD < usual.SD) {
			t.Errorf("%s: known within %v, by usual practice %v", name, got.SD, usual.SD)
		}
		if blind, _ := lift(other, ballast.Practice{}); math.Abs(float64(blind.Value)/want-1) < 0.01 {
			t.Errorf("%s: usual practice tells as much", name)
		}
	}
}
