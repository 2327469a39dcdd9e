package ballast_test

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

var evaluated = flag.Int("evaluated", 600, "how many setups TestEvaluator varies")

// boundField is a field that can be bound, with a value of its own.
type boundField struct {
	path   string
	value  float64
	choice bool
	typ    reflect.Type
}

// boundFields lists every field below v that an evaluator binds.
func boundFields(v reflect.Value, path string, out *[]boundField) {
	if v.Kind() == reflect.Pointer {
		if !v.IsNil() {
			boundFields(v.Elem(), path, out)
		}
		return
	}
	if in, ok := walk.InputOf(v); ok {
		*out = append(*out, boundField{path: path, value: in.Value})
		return
	}
	switch v.Kind() {
	case reflect.Float64:
		*out = append(*out, boundField{path: path, value: v.Float()})
	case reflect.Uint8:
		*out = append(*out, boundField{path: path, value: float64(v.Uint()), choice: true, typ: v.Type()})
	case reflect.Slice:
		for i := range v.Len() {
			boundFields(v.Index(i), fmt.Sprintf("%s[%d]", path, i), out)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
			if v.Type().Field(i).IsExported() && name != "" && name != "-" && v.Field(i).CanAddr() {
				boundFields(v.Field(i), path+"."+name, out)
			}
		}
	}
}

// same reports whether two answers are equal to the last bit; errors by their text.
func same(a, b any) bool {
	return fmt.Sprintf("%x", fmt.Sprintf("%#v", a)) == fmt.Sprintf("%x", fmt.Sprintf("%#v", b)) || reflect.DeepEqual(a, b)
}

func text(err error) string {
	if err == nil {
		return ""
	}
	return err.Error()
}

// anew is what a setup compiled anew answers.
type anew struct {
	setup ballast.Setup
	model *ballast.Model
	err   error
}

func (a *anew) whole(l ballast.Lift) (*ballast.Case, error) {
	if a.err != nil {
		return nil, a.err
	}
	return a.model.Case(l)
}

// ask asks one question both ways and returns what differs.
func (a *anew) ask(e *ballast.Evaluator, question, i int, load units.Mass) string {
	l := e.Lift(i)
	c, err := a.whole(l)
	differs := func(got, want any, gotErr, wantErr error) string {
		if text(gotErr) != text(wantErr) {
			return fmt.Sprintf("question %d: error %q, want %q", question, text(gotErr), text(wantErr))
		}
		if wantErr == nil && !same(got, want) {
			return fmt.Sprintf("question %d: %+v, want %+v", question, got, want)
		}
		return ""
	}
	switch question {
	case 0:
		m, k, s, gotErr := e.UsableLoad(i)
		got, want := ballast.Capacity{Mass: m, Governing: k, Status: s}, ballast.Capacity{}
		if a.err == nil {
			want.Mass, want.Governing, want.Status, _ = a.model.UsableLoad(l)
		}
		if err == nil && !same(want, c.Use().Capacity) {
			return fmt.Sprintf("UsableLoad is %+v, and that of the case %+v", want, c.Use().Capacity)
		}
		return differs(got, want, gotErr, err)
	case 1:
		got, gotErr := e.Limits(i)
		if err != nil {
			return differs(got, got, gotErr, err)
		}
		return differs(got, c.Use().Limits, gotErr, err)
	case 2:
		axle, wheel, gotErr := e.TippingLoads(i)
		if err != nil {
			return differs(nil, nil, gotErr, err)
		}
		u := c.Use()
		return differs([]units.Mass{axle, wheel}, []units.Mass{u.Tipping, u.WheelLift}, gotErr, err)
	case 3:
		got, gotErr := e.Case(i)
		if gotErr != nil || err != nil {
			return differs(nil, nil, gotErr, err)
		}
		return differs(got.Use(), c.Use(), gotErr, err)
	case 4:
		got, gotErr := e.Check(i, load)
		if err != nil {
			return differs(nil, nil, gotErr, err)
		}
		return differs(got, c.Check(load), gotErr, err)
	case 5:
		got, gotErr := e.WheelLoads(i, load)
		if err != nil {
			return differs(nil, nil, gotErr, err)
		}
		return differs(got, c.WheelLoads(load), gotErr, err)
	case 6:
		got, gotErr := e.WorstTip(i, load)
		var want stability.Tip
		if err == nil {
			var v stability.Vehicle
			if v, err = c.Vehicle(load); err == nil {
				var m *stability.Model
				if m, err = v.Compile(); err == nil {
					want = m.WorstTip()
				}
			}
		}
		return differs(got, want, gotErr, err)
	case 7:
		got, gotErr := e.Model()
		if gotErr != nil || a.err != nil {
			return differs(nil, nil, gotErr, a.err)
		}
		one, oneErr := got.WheelLoads()
		two, twoErr := a.model.WheelLoads()
		if d := differs(one, two, oneErr, twoErr); d != "" {
			return d
		}
		one, oneErr = got.LoaderOff()
		two, twoErr = a.model.LoaderOff()
		return differs([]any{one, got.Mass(), got.Unladen()}, []any{two, a.model.Mass(), a.model.Unladen()}, oneErr, twoErr)
	}
	return ""
}

const questions = 8

// The answers and errors of an evaluator are those of the setup compiled anew, to
// the last bit, whatever fields are set to whatever numbers, in whatever order it is
// asked.
func TestEvaluator(t *testing.T) {
	n := *evaluated
	if testing.Short() {
		n /= 6
	}
	r := rand.New(rand.NewPCG(71, 1))
	bad, refused, answered := []float64{0, math.Copysign(0, -1), math.NaN(), math.Inf(1), math.Inf(-1), -1, 1e9, 1e308}, 0, 0
	for round := range n {
		s, l := []func(*rand.Rand) (ballast.Setup, ballast.Lift){randomCase, limitsCase, walkedCase}[round%3](r)
		if round%11 == 0 && len(s.Pieces) > 0 {
			corrupt(r, reflect.ValueOf(&s).Elem(), 0.01)
		}
		other := l
		other.Height *= 0.9
		doc := ballast.Document{Setup: s, Lifts: []ballast.Lift{l, other}}
		var fields []boundField
		boundFields(reflect.ValueOf(&doc.Setup).Elem(), "setup", &fields)
		boundFields(reflect.ValueOf(&doc.Lifts[0]).Elem(), "lifts[0]", &fields)
		e := ballast.NewEvaluator(s, l, other)
		type setter struct {
			boundField
			at ballast.Bound
		}
		var set []setter
		for range 1 + r.IntN(6) {
			f := fields[r.IntN(len(fields))]
			var at ballast.Bound
			var err error
			if f.choice {
				var values []any
				for v := range 12 {
					values = append(values, reflect.ValueOf(uint8(v)).Convert(f.typ).Interface())
				}
				at, err = e.BindValues(f.path, values...)
			} else {
				at, err = e.Bind(f.path)
			}
			if err != nil {
				if !strings.Contains(err.Error(), "is bound already") {
					t.Fatal(err)
				}
				continue
			}
			set = append(set, setter{f, at})
		}
		for range 12 {
			var did []string
			for range 1 + r.IntN(len(set)) {
				f := set[r.IntN(len(set))]
				v := f.value * (0.85 + 0.3*r.Float64())
				switch {
				case f.choice:
					v = float64(r.IntN(12))
					if r.IntN(8) > 0 {
						v = min(11, f.value)
					}
				case f.value == 0 && r.IntN(2) == 0:
					v = r.Float64()
				case r.IntN(25) == 0:
					v = bad[r.IntN(len(bad))]
				case r.IntN(6) == 0:
					v = f.value
				}
				e.Set(f.at, v)
				did = append(did, fmt.Sprintf("%s = %v", f.path, v))
			}
			a := anew{setup: e.Setup()}
			if a.model, a.err = a.setup.Compile(); a.err != nil {
				refused++
			} else {
				answered++
			}
			for range 3 {
				if d := a.ask(e, r.IntN(questions), r.IntN(2), units.Mass(800*r.Float64())); d != "" {
					t.Fatalf("round %d, %v: %s", round, did, d)
				}
			}
		}
	}
	t.Logf("%d setups answered, %d refused", answered, refused)
	if answered < refused || refused < answered/20 {
		t.Errorf("%d setups answered and %d refused: the test does not look at both", answered, refused)
	}
}

// A valid value allocates nothing, whatever is asked.
func TestEvaluatorAllocatesNothing(t *testing.T) {
	for _, slope := range []units.Slope{0, 0.1} {
		l := binLift(1.2)
		l.Slope, l.Kind = slope, ballast.StackHigh
		e := ballast.NewEvaluator(orchard(), l)
		var at []ballast.Bound
		for _, path := range []string{"setup.machine.cg.x", "setup.pieces[1].mass", "setup.loader.arm", "setup.attachment.face", "setup.machine.wheelbase", "lifts[0].load.center", "setup.machine.front.tire.pressure", "setup.machine.motion.pitchInertia", "setup.machine.motion.rearStiffness"} {
			b, err := e.Bind(path)
			if err != nil {
				t.Fatal(err)
			}
			at = append(at, b)
		}
		who, err := e.BindValues("setup.machine.operator", ballast.NoOperator, ballast.LightOperator)
		if err != nil {
			t.Fatal(err)
		}
		from := []float64{0.76, 350, 1.75, 0.12, 1.75, 0.55, 200e3, 700, 400e3}
		i := 0
		if n := testing.AllocsPerRun(50, func() {
			i++
			for j, b := range at {
				e.Set(b, from[j]*(1+0.0001*float64(i%40)))
			}
			e.Set(who, float64(i%2))
			if _, _, _, err := e.UsableLoad(0); err != nil {
				t.Fatal(err)
			}
			if _, err := e.Check(0, 300); err != nil {
				t.Fatal(err)
			}
			if _, err := e.WorstTip(0, 300); err != nil {
				t.Fatal(err)
			}
		}); n != 0 {
			t.Errorf("slope %v: %v allocations", slope, n)
		}
	}
}

// What cannot be bound is an error that names the path.
func TestEvaluatorBindErrors(t *testing.T) {
	s := orchard()
	s.Attachment = nil
	e := ballast.NewEvaluator(s, binLift(1))
	if _, err := e.Bind("setup.machine.cg"); err == nil {
		t.Error("a position was bound as a quantity")
	}
	if _, err := e.Bind("setup.machine.cg.x"); err != nil {
		t.Error(err)
	}
	for _, path := range []string{"", "machine", "setup", "setup.machine.cg.x", "setup.machine.none", "setup.machine.mass.low", "setup.pieces[9].mass", "setup.pieces[x].mass",
		"setup.pieces[0", "setup.pieces.mass", "setup.attachment.mass", "lifts[1].height", "lifts", "lifts[0].kind", "setup.machine[0]", "setup..machine", "[0]"} {
		_, err := e.Bind(path)
		if err == nil {
			t.Errorf("%q was bound", path)
		} else if f := units.Fields(err); len(f) != 1 || f[0].Path != path {
			t.Errorf("%q: %v", path, err)
		}
	}
	if _, err := e.BindValues("setup.machine.operator", 1); err == nil {
		t.Error("a number was bound as an operator")
	}
	if _, err := e.BindValues("setup.machine.operator", nil); err == nil {
		t.Error("nothing was bound as an operator")
	}
}

// A part that is bound whole is changed whole: another loader, another piece, other
// lists of pieces, and fills.
func TestEvaluatorWholeParts(t *testing.T) {
	s, l := orchard(), binLift(1.2)
	small := *s.Loader
	small.Arm = units.Is[units.Length](1.7)
	tire := liquid.Tire{Designation: mustDesignation("12.4-28")}
	brine := liquid.Brine(liquid.CalciumChloride, 25*units.MassPercent)
	fill := func(clock float64) *liquid.Fill {
		return &liquid.Fill{Tire: tire, Fluid: brine, Level: liquid.ValveAt(clock)}
	}
	filled := ballast.Piece{Kind: ballast.RearLiquid, Fill: fill(12)}
	for _, c := range []struct {
		path   string
		values []any
	}{
		{"setup.loader", []any{s.Loader, &small, (*ballast.Loader)(nil)}},
		{"setup.pieces", []any{s.Pieces, s.Pieces[:2], []ballast.Piece(nil), append([]ballast.Piece{filled}, s.Pieces[1:]...)}},
		{"setup.pieces[0]", []any{s.Pieces[0], s.Pieces[2], filled}},
		{"setup.machine.cg", []any{s.Machine.CG, ballast.Position{X: units.Is[units.Length](0.8)}, ballast.Position{}}},
		{"setup.machine", []any{s.Machine, ballast.Machine{}}},
		{"lifts[0].load", []any{l.Load, ballast.Load{}, ballast.Load{Mass: 100, Center: units.Is[units.Length](9)}}},
		{"lifts[0]", []any{l, binLift(2), binLift(20)}},
	} {
		e := ballast.NewEvaluator(s, l, l)
		b, err := e.BindValues(c.path, c.values...)
		if err != nil {
			t.Fatal(err)
		}
		for range 2 {
			for i := range c.values {
				e.Set(b, float64(i))
				a := anew{setup: e.Setup()}
				a.model, a.err = a.setup.Compile()
				for q := range questions {
					if d := a.ask(e, q, 0, 300); d != "" {
						t.Errorf("%s, value %d: %s", c.path, i, d)
					}
				}
			}
		}
	}
}

func mustDesignation(text string) liquid.Designation {
	tire, err := liquid.ParseTire(text)
	if err != nil {
		panic(err)
	}
	return tire.Designation
}

// BenchmarkEvaluatorFill varies how full the rear tires are, and where the center of
// gravity is.
func BenchmarkEvaluatorFill(b *testing.B) {
	e, clock, x := fillCase(b)
	i := 0
	b.ReportAllocs()
	for b.Loop() {
		i++
		e.Set(clock, 11.5-0.02*float64(i%128))
		e.Set(x, 0.76*(1+0.0001*float64(i%64)))
		if _, _, _, err := e.UsableLoad(0); err != nil {
			b.Fatal(err)
		}
	}
}

// fillCase is an evaluator whose rear tires are filled to a clock position.
func fillCase(tb testing.TB) (e *ballast.Evaluator, clock, x ballast.Bound) {
	s, l := orchard(), binLift(1.1)
	l.Kind = ballast.TakeOffDeck
	s.Pieces[0] = ballast.Piece{Kind: ballast.RearLiquid, Fill: &liquid.Fill{
		Tire: liquid.Tire{Designation: mustDesignation("12.4-28")}, Fluid: liquid.Brine(liquid.CalciumChloride, 25*units.MassPercent), Level: liquid.ValveAt(11)}}
	e = ballast.NewEvaluator(s, l)
	var err error
	if clock, err = e.Bind("setup.pieces[0].fill.level.clock"); err != nil {
		tb.Fatal(err)
	}
	if x, err = e.Bind("setup.machine.cg.x"); err != nil {
		tb.Fatal(err)
	}
	return e, clock, x
}

func BenchmarkEvaluator(b *testing.B) {
	l := binLift(1.1)
	l.Kind = ballast.TakeOffDeck
	e := ballast.NewEvaluator(orchard(), l)
	bind := func(path string) ballast.Bound {
		at, err := e.Bind(path)
		if err != nil {
			b.Fatal(err)
		}
		return at
	}
	at := []ballast.Bound{bind("setup.machine.cg.x"), bind("setup.pieces[1].mass"), bind("setup.attachment.face"), bind("lifts[0].load.center")}
	from := []float64{0.76, 350, 0.12, 0.55}
	i := 0
	vary := func() {
		i++
		for j, f := range at {
			e.Set(f, from[j]*(1+0.0001*float64(i%64)))
		}
	}
	b.Run("UsableLoad", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			vary()
			if _, _, _, err := e.UsableLoad(0); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("Check", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			vary()
			if _, err := e.Check(0, 300); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("WorstTip", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			vary()
			if _, err := e.WorstTip(0, 300); err != nil {
				b.Fatal(err)
			}
		}
	})
}
