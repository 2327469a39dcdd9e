package ballast

import (
	"math"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	validation.Relative(t, got, want)
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// What is added to a specification mass, by hand: 40 l of diesel fuel are
// 33.4 kg, an operating mass has a person of 75 kg and a full tank already.
func TestAddedToMass(t *testing.T) {
	fuel := func(s FuelState) Fuel { return Fuel{State: s, Capacity: units.Is(40 * units.Liter)} }
	for _, c := range []struct {
		in    MassIncludes
		state FuelState
		want  float64
	}{
		{MassDry, FuelEmpty, 0}, {MassDry, FuelHalf, 16.7}, {MassDry, FuelFull, 33.4}, {MassDry, FuelAsStated, 0},
		{MassFueled, FuelEmpty, -33.4}, {MassFueled, FuelHalf, -16.7}, {MassFueled, FuelFull, 0}, {MassFueled, FuelAsStated, 0},
		{MassOperating, FuelEmpty, -33.4}, {MassOperating, FuelHalf, -16.7}, {MassOperating, FuelFull, 0}, {MassOperating, FuelUnknown, 0},
	} {
		near(t, c.in.String()+" "+c.state.String(), float64(fuel(c.state).change(c.in)), c.want, 1e-9)
	}
	for _, c := range []struct {
		in   MassIncludes
		who  Operator
		want float64
	}{
		{MassDry, OperatorAsStated, 0}, {MassDry, NoOperator, 0}, {MassDry, LightOperator, 55}, {MassFueled, HeavyOperator, 98},
		{MassOperating, OperatorAsStated, 0}, {MassOperating, NoOperator, -75}, {MassOperating, LightOperator, -20}, {MassOperating, HeavyOperator, 23},
		{MassOperating, OperatorUnknown, 0},
	} {
		m := Machine{MassIncludes: c.in, Operator: c.who}
		near(t, c.in.String()+" "+c.who.String(), float64(m.operatorChange()), c.want, 0)
	}
}

// Mass and center of gravity from scales: x = L F/(F + R).
func TestFromScales(t *testing.T) {
	m := Machine{Mass: units.Is[units.Mass](990), FrontLoad: units.Is[units.Mass](400), RearLoad: units.Is[units.Mass](600), Undercarriage: stability.PivotingFront, Wheelbase: units.Is[units.Length](2.2), CG: Position{X: units.Is[units.Length](7)}}
	near(t, "mass", float64(m.mass()), 1000, 0)
	near(t, "place", float64(m.cgX()), 0.88, 1e-15)
	m.FrontLoad = units.Input[units.Mass]{}
	near(t, "mass", float64(m.mass()), 600, 0)
	near(t, "place", float64(m.cgX()), 0, 0)
	m.FrontLoad, m.RearLoad = units.Is[units.Mass](400), units.Input[units.Mass]{}
	near(t, "mass", float64(m.mass()), 400, 0)
	near(t, "place", float64(m.cgX()), 2.2, 0)
	m.FrontLoad = units.Input[units.Mass]{}
	near(t, "mass", float64(m.mass()), 990, 0)
	near(t, "place", float64(m.cgX()), 7, 0)
}

// Where the kinds of pieces are, by their documentation.
func TestPieceKinds(t *testing.T) {
	for k, want := range []string{"", "liquid rear", "liquid front", "rear", "front", "", "hitch", "hitch", ""} {
		k := PieceKind(k)
		got := ""
		for _, is := range []struct {
			yes  bool
			word string
		}{{k.Liquid(), "liquid"}, {k.OnFrontWheels(), "front"}, {k.OnRearWheels(), "rear"}, {k.OnHitch(), "hitch"}} {
			if is.yes {
				if got != "" {
					got += " "
				}
				got += is.word
			}
		}
		if got != want {
			t.Errorf("%d: %q, want %q", k, got, want)
		}
	}
	for state, want := range []float64{50, 50, 0, 15} {
		p := Piece{Mass: units.Is[units.Mass](50), Carried: 0.3, State: HitchState(state)}
		near(t, p.State.String(), float64(p.counted()), want, 1e-12)
	}
}

// A pair of tires unless the number is given; the liquid's place is that of
// one tire, and never above the axle.
func TestLiquidPiece(t *testing.T) {
	f := liquid.Filled{Mass: 70, PitchRise: 0.12, RollRise: 0.03}
	p := Piece{Name: "brine", Kind: FrontLiquid, Fill: &liquid.Fill{}, CG: Position{Y: units.Is[units.Length](0.05)}}
	for n, mass := range map[int]units.Mass{0: 140, 1: 70, 2: 140, 3: 210} {
		p.Tires = n
		want := Piece{Name: "brine", Kind: FrontLiquid, Mass: units.Is(mass), CG: Position{Y: units.Is[units.Length](0.05)}, Depth: units.Is[units.Length](0.12), RollRise: units.Is[units.Length](0.03)}
		if got := p.filled(f); got != want {
			t.Errorf("%d tires: %+v, want %+v", n, got, want)
		}
	}
	f.PitchRise = -1e-9 // filled to the brim, within rounding
	if got := LiquidPiece(RearLiquid, 2, f); got.Depth.Value() != 0 {
		t.Errorf("depth %v of a full tire", got.Depth.Value())
	}
}

// The dynamic factor 1 + a/g: by hand, and the ends of its ranges.
func TestDynamicFactor(t *testing.T) {
	for _, c := range []struct{ peak, g, want float64 }{
		{0, 0, 1}, {9.80665, 0, 2}, {6.24, 0, 1.63630}, {40, 100, 1.4}, {0.05, 0.1, 1.5}, {3, 1.5, 3},
		{-0.1, 0, 0}, {40.1, 0, 0}, {1, 0.099, 0}, {1, 101, 0}, {1, -9.8, 0},
	} {
		got, err := DynamicFactor(units.Acceleration(c.peak), units.Acceleration(c.g))
		if (err == nil) != (c.want > 0) {
			t.Errorf("%g m/s2 at %g: %v", c.peak, c.g, err)
		}
		near(t, "factor", got, c.want, 1e-5)
	}
	near(t, "default", (&Lift{}).factor(), 1.65, 0)
	near(t, "given", (&Lift{Factor: 1.2}).factor(), 1.2, 0)
	for _, l := range []Lift{{}, {Heading: 1}, {Slope: 0.1}, {Braking: 1}} {
		if got, want := l.level(), l.Slope == 0 && l.Braking == 0; got != want {
			t.Errorf("%+v: level %v", l, got)
		}
	}
	if got := (&Lift{Slope: 0.1, Heading: 2, Braking: 3}).situation(); got != (stability.Situation{Slope: 0.1, Heading: 2, Acceleration: -3}) {
		t.Errorf("situation %+v", got)
	}
}
