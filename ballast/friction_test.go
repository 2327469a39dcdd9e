package ballast_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// Friction works against the motion: it takes its part off what the cylinders
// lift and adds it to what they hold. A loader at a pressure that is higher by
// (1 + f)/(1 - f) therefore lifts just what the one at the stated pressure holds.
func TestFriction(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 40))
	checked := 0
	for i := range 400 {
		s, l := openCase(r)
		l.Load.Sideways = units.Input[units.Length]{}
		if l.Kind == ballast.BreakOut || hasFill(&s) || s.Loader.Cylinders == nil || s.Attachment.Kind != ballast.BarePin && !l.Load.Above.Known() {
			continue
		}
		if l.Kind == ballast.StackHigh {
			l.Kind = ballast.Hold // the height of the case counts, not the way
		}
		loader, cylinders := *s.Loader, *s.Loader.Cylinders
		s.Loader, loader.Cylinders = &loader, &cylinders
		f := 0.02 + 0.2*r.Float64()
		cylinders.Friction = units.Is(units.Fraction(f))
		use, err := s.UsableLoad(l)
		if err != nil {
			continue
		}
		// What lifts under a friction that may be anything from half of f to f starts at
		// what lifts under f and ends at what lifts under the half.
		ranged, half := cylinders, cylinders
		ranged.Friction, half.Friction = units.Between(units.Fraction(f/2), units.Fraction(f)), units.Is(units.Fraction(f/2))
		lift := func(c ballast.Cylinders) units.Range[units.Mass] {
			other := loader
			other.Cylinders = &c
			of := s
			of.Loader = &other
			u, err := of.UsableLoad(l)
			if err != nil {
				t.Fatal(i, err)
			}
			return u.Limit(ballast.LimitHydraulic).Mass
		}
		near(t, "least lift", float64(lift(ranged).Low), float64(lift(cylinders).Low), 1e-6)
		near(t, "most lift", float64(lift(ranged).High), float64(lift(half).High), 1e-6)
		near(t, "push", float64(cylinders.Push()), (1-f)*float64(cylinders.Count)*math.Pi/4*math.Pow(float64(cylinders.Bore.Value()), 2)*float64(cylinders.Pressure.Value()), 1e-6)
		cylinders.Pressure = units.Is(units.GaugePressure(float64(cylinders.Pressure.Value()) * (1 + f) / (1 - f)))
		more, err := s.UsableLoad(l)
		if err != nil {
			continue
		}
		lifts := more.Limit(ballast.LimitHydraulic)
		if lifts.Mass.High == 0 {
			continue // the status says what the figures do not
		}
		checked++
		if d := math.Abs(float64(use.Holds.Low - lifts.Mass.Low)); d > 1e-7*(1+float64(lifts.Mass.Low)) {
			t.Errorf("case %d: holds %v, lifts %v at the higher pressure", i, use.Holds, lifts.Mass)
		}
		if own := use.Limit(ballast.LimitHydraulic).Mass; own.Low > use.Holds.Low {
			t.Errorf("case %d: lifts %v and holds %v", i, own, use.Holds)
		}
	}
	if checked < 50 {
		t.Errorf("only %d checked", checked)
	}
}

// A rating is what was lifted: friction is in it already. With the friction f the
// arms hold the moment of the rating, and of the arms themselves, times
// (1 + f)/(1 - f).
func TestHoldsOfRating(t *testing.T) {
	s := orchard()
	s.Gravity, s.Loader.Cylinders = units.StandardGravity, nil
	s.Loader.SelfLeveling = units.Is[units.Fraction](1)
	s.Attachment = &ballast.Attachment{Kind: ballast.BarePin}
	const height, rated, f = 1.5, 800.0, 0.1
	s.Loader.Rated = []ballast.RatedPoint{{PinHeight: 1, AtPin: rated}, {PinHeight: 2, AtPin: rated}}
	e, err := s.Envelope(ballast.Practice{Friction: units.Range[units.Fraction]{Low: f, High: f}})
	if err != nil {
		t.Fatal(err)
	}
	use, err := e.UsableLoad(ballast.Lift{Height: height, Datum: ballast.PinHeight, Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2}})
	if err != nil {
		t.Fatal(err)
	}
	arm := float64(s.Loader.Arm.Value())
	rise := (height - float64(s.Loader.Pivot.Z.Value())) / arm
	cos := math.Sqrt(1 - rise*rise)
	x, own := arm*cos, float64(s.Loader.ArmMass.Value())*float64(s.Loader.ArmCG.Value())*cos
	holds := ((rated*x+own)*(1+f)/(1-f) - own) / x
	near(t, "lifts", float64(use.Limit(ballast.LimitHydraulic).Mass.Low), rated, 1e-6)
	near(t, "holds, low", float64(use.Holds.Low), holds, 1e-6)
	near(t, "holds, high", float64(use.Holds.High), holds, 1e-6)
	wide, err := s.UsableLoad(ballast.Lift{Height: height, Datum: ballast.PinHeight, Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2}})
	if err != nil {
		t.Fatal(err)
	}
	if !(wide.Holds.Low < use.Holds.Low && wide.Holds.High > use.Holds.High) {
		t.Errorf("with the friction of practice %v, with one that is known %v", wide.Holds, use.Holds)
	}
}
