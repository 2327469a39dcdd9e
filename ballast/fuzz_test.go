package ballast_test

import (
	"bytes"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// nasty are the numbers that break careless code.
var nasty = []float64{0, math.Copysign(0, -1), math.NaN(), math.Inf(1), math.Inf(-1), 1e308, -1e308, 5e-324, -5e-324, 1, -1, 1e-9, 1e9, 0.5, 2, 10, -0.01, 100}

// corrupt puts nasty values into some numbers of a value, through pointers and
// lists.
func corrupt(r *rand.Rand, v reflect.Value, chance float64) {
	if in, ok := walk.InputOf(v); ok {
		corruptInput(r, v, in, chance)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			if r.Float64() < chance/4 {
				v.SetZero()
				return
			}
			c := reflect.New(v.Type().Elem())
			c.Elem().Set(v.Elem())
			corrupt(r, c.Elem(), chance)
			v.Set(c)
		}
	case reflect.Slice:
		c := reflect.MakeSlice(v.Type(), 0, v.Len())
		for i := range v.Len() {
			if r.Float64() < chance {
				continue
			}
			c = reflect.Append(c, v.Index(i))
			corrupt(r, c.Index(c.Len()-1), chance)
		}
		v.Set(c)
	case reflect.Struct:
		for i := range v.NumField() {
			corrupt(r, v.Field(i), chance)
		}
	case reflect.Float64:
		if r.Float64() < chance {
			switch r.IntN(3) {
			case 0:
				v.SetFloat(nasty[r.IntN(len(nasty))])
			case 1:
				v.SetFloat(v.Float() * nasty[r.IntN(len(nasty))])
			default:
				v.SetFloat(v.Float() * math.Exp(3*r.NormFloat64()))
			}
		}
	case reflect.Int:
		if r.Float64() < chance {
			v.SetInt([]int64{-1, 0, 1, 2, 3, 4, 1 << 40}[r.IntN(7)])
		}
	case reflect.Uint8:
		if r.Float64() < chance {
			v.SetUint(uint64([]uint8{0, 1, 2, 3, 4, 5, 6, 255}[r.IntN(8)]))
		}
	case reflect.Bool:
		if r.Float64() < chance {
			v.SetBool(!v.Bool())
		}
	}
}

// corruptInput makes an input unknown, a value that no field accepts, or a
// range.
func corruptInput(r *rand.Rand, v reflect.Value, in walk.Input, chance float64) {
	if r.Float64() >= chance {
		return
	}
	bad := nasty[r.IntN(len(nasty))]
	switch r.IntN(16) {
	case 0:
		v.SetZero()
	case 1:
		in.SetRange(bad, in.Value)
	case 2, 3, 4, 5:
		in.Set(bad)
	case 6, 7, 8, 9:
		in.Set(in.Value * bad)
	default:
		in.Set(in.Value * math.Exp(3*r.NormFloat64()))
	}
}

// attack corrupts a setup and a case and asks everything. It reports whether
// an answer came.
func attack(t *testing.T, r *rand.Rand, chance float64) (answered bool) {
	s, l := randomCase(r)
	load := units.Mass(200)
	corrupt(r, reflect.ValueOf(&s).Elem(), chance)
	corrupt(r, reflect.ValueOf(&l).Elem(), chance)
	if r.IntN(8) == 0 {
		load = units.Mass(nasty[r.IntN(len(nasty))])
	}
	if err := s.Validate(); err != nil && !errors.Is(err, units.ErrInvalid) {
		t.Fatalf("not an input error: %v", err)
	}
	k, err := s.Compile()
	if err != nil {
		if k != nil || !errors.Is(err, units.ErrInvalid) {
			t.Fatalf("%v, %v", k, err)
		}
		return false
	}
	w, err := k.WheelLoads()
	if err != nil {
		t.Fatal(err)
	}
	allFinite(t, "wheel loads", w)
	c, err := k.Case(l)
	if err != nil {
		if c != nil || !errors.Is(err, units.ErrInvalid) {
			t.Fatalf("%v, %v", c, err)
		}
		return false
	}
	u := c.Use()
	allFinite(t, "usable load", u)
	if u.Mass < 0 || u.Mass > 0 && u.Status != stability.Binds && u.Status != stability.AtMost {
		t.Fatalf("usable load %v with status %v", float64(u.Mass), u.Status)
	}
	for _, m := range []units.Mass{load, u.Mass, 0, ballast.Fixed.Mass} {
		e := c.Check(m)
		allFinite(t, "check", e)
		if e.OK() && !(m <= u.Mass*(1+2e-9)) {
			t.Fatalf("%v kg may be lifted, but no more than %v", float64(m), float64(u.Mass))
		}
	}
	if v, err := c.Vehicle(100); err == nil {
		allFinite(t, "vehicle", v)
	}
	if r.IntN(8) == 0 {
		if open, err := s.Check(l, 250); err != nil && !errors.Is(err, units.ErrInvalid) {
			t.Fatal(err)
		} else if err == nil {
			allFinite(t, "open", open)
			if open.Verdict.OK() && c.Check(250).Status == stability.Exceeded {
				t.Fatal("no limit is found exceeded, and the case says that one is")
			}
		}
		heights := []units.Length{l.Height, units.Length(nasty[r.IntN(len(nasty))])}
		l.Height, l.Load.Center = 0, units.Input[units.Length]{} // rows and columns have them
		if cells, err := s.LoadsByHeight(t.Context(), l, heights[:1+r.IntN(2)], []units.Length{0.5, 0.9}); err != nil && !errors.Is(err, units.ErrInvalid) {
			t.Fatal(err)
		} else if err == nil {
			allFinite(t, "loads by height", cells)
		}
	}
	for _, a := range []ballast.Axle{s.Machine.Front, s.Machine.Rear} {
		if p, err := a.Tire.PressureFor(load); err != nil && !errors.Is(err, units.ErrInvalid) {
			t.Fatal(err)
		} else if err == nil {
			allFinite(t, "pressure", p)
		}
	}
	return true
}

// No input panics, hangs or yields a number that is none.
func TestBadInput(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	answered := 0
	for i := range 6000 {
		if attack(t, r, []float64{0.003, 0.02, 0.2}[i%3]) {
			answered++
		}
	}
	if answered < 500 {
		t.Errorf("only %d of 6000 attacks were answered", answered)
	}
	// The zero value of each input is an error, not a panic.
	for name, v := range map[string]interface{ Validate() error }{
		"Setup": ballast.Setup{}, "Machine": ballast.Machine{}, "Loader": ballast.Loader{}, "Attachment": ballast.Attachment{}, "Piece": ballast.Piece{},
		"Lift": ballast.Lift{}, "Fuel": ballast.Fuel{}, "Cylinders": ballast.Cylinders{}, "Document": ballast.Document{},
	} {
		if err := v.Validate(); err == nil {
			t.Errorf("the zero %s is valid", name)
		}
	}
}

// FuzzSetup is the same attack from a fuzzer's numbers.
func FuzzSetup(f *testing.F) {
	f.Add(uint64(1), uint64(2), 0.01)
	f.Fuzz(func(t *testing.T, a, b uint64, chance float64) {
		if !(chance >= 0 && chance <= 1) {
			chance = 0.05
		}
		attack(t, rand.New(rand.NewPCG(a, b)), chance)
	})
}

// loosen makes ranges of some inputs, and leaves some out.
func loosen(r *rand.Rand, s ballast.Setup) ballast.Setup {
	fields := walk.Fields(s)
	for i := len(fields) - 1; i >= 0; i-- { // what holds others comes before them
		f := fields[i]
		switch r.IntN(8) {
		case 0:
			if wide, ok := walk.Widened(s, f, 1-0.4*r.Float64(), 1+0.4*r.Float64()); ok {
				s = wide
			}
		case 1:
			if forgettable[f.Path] {
				s = walk.Without(s, f)
			}
		}
	}
	return s
}

// attackOpen loosens and corrupts a setup and a case and asks everything of what
// is open. It reports whether an answer came.
func attackOpen(t *testing.T, r *rand.Rand, chance float64) (answered bool) {
	s, l := randomCase(r)
	s = loosen(r, s)
	corrupt(r, reflect.ValueOf(&s).Elem(), chance)
	corrupt(r, reflect.ValueOf(&l).Elem(), chance)
	load := units.Mass(200)
	if r.IntN(8) == 0 {
		load = units.Mass(nasty[r.IntN(len(nasty))])
	}
	said := func(what string, v any, err error) bool {
		t.Helper()
		if err != nil && !errors.Is(err, units.ErrInvalid) {
			t.Fatalf("%s: not an input error: %v", what, err)
		}
		if err == nil {
			allFinite(t, what, v)
		}
		return err == nil
	}
	e, err := s.Envelope(ballast.Practice{})
	if !said("envelope", nil, err) {
		return false
	}
	allFinite(t, "assumed", e.Assumed())
	if chance == 0 {
		var b bytes.Buffer
		d := ballast.Document{Version: ballast.DocumentVersion, Setup: s, Lifts: []ballast.Lift{l}}
		if err := d.Encode(&b); err != nil {
			t.Fatal(err)
		}
		text := b.String()
		again, err := ballast.Decode(&b)
		if err != nil || strings.Contains(text, "null") {
			t.Fatalf("not read back: %v\n%s", err, text)
		}
		if err := again.Encode(&b); err != nil {
			t.Fatal(err)
		}
		if third, err := ballast.Decode(&b); err != nil || !reflect.DeepEqual(third, again) {
			t.Fatalf("read back as something else: %v\n%s", err, text)
		}
	}
	for _, state := range []ballast.State{ballast.StateLowered, ballast.StateLoaderOff} {
		w, err := e.WheelLoads(state)
		said("wheel loads", w, err)
	}
	j, err := e.Check(l, load)
	if !said("check", j, err) {
		return false
	}
	for _, c := range []ballast.CapacityRange{j.Usable.CapacityRange, j.Usable.Lift, j.Usable.Carry} {
		if !(c.Mass.Low >= 0 && c.Mass.Low <= c.Mass.High && c.IfRated.Low <= c.IfRated.High && c.Mass.High <= ballast.MaxLoad) || c.Missing != 0 && c.Mass.Low != 0 {
			t.Fatalf("usable load %+v", c)
		}
	}
	if j.Verdict.OK() != (j.Lift.OK() && j.Carry.OK()) || j.Verdict.OK() && j.Usable.Missing != 0 {
		t.Fatalf("verdict %v of %v and %v with %v missing", j.Verdict, j.Lift, j.Carry, j.Usable.Missing)
	}
	q, err := e.Questions(t.Context(), l, load)
	said("questions", q, err)
	if r.IntN(10) == 0 {
		x, err := e.RearLift(t.Context(), l)
		said("rear lift", x, err)
		l.Slope, l.Heading, l.Braking = 0, 0, 0
		g, err := e.SlopeLimit(t.Context(), l, load, ballast.Ground{Friction: units.Range[units.Fraction]{Low: 0.3, High: 0.5}})
		said("slope limit", g, err)
	}
	return true
}

// No input of an open setup panics, hangs or yields a number that is none.
func TestBadOpenInput(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 7))
	answered := 0
	for i := range inShort(1500) {
		if attackOpen(t, r, []float64{0, 0.003, 0.05}[i%3]) {
			answered++
		}
	}
	if answered < 150 {
		t.Errorf("only %d of 1500 attacks were answered", answered)
	}
}

// FuzzOpenSetup is the same attack from a fuzzer's numbers.
func FuzzOpenSetup(f *testing.F) {
	f.Add(uint64(1), uint64(2), 0.01)
	f.Fuzz(func(t *testing.T, a, b uint64, chance float64) {
		if !(chance >= 0 && chance <= 1) {
			chance = 0.05
		}
		attackOpen(t, rand.New(rand.NewPCG(a, b)), chance)
	})
}
