package reliability_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/reliability"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// draws is how many plain draws TestSafetyBasis compares with. The long run is
//
//	go test ./ballast/reliability -run TestSafetyBasis -v -draws 100000000 -timeout 2h
var draws = flag.Int("draws", 200_000, "plain draws beside the chance that a safety basis is broken")

// tractor is an invented compact tractor with a loader and bin forks.
func tractor() ballast.Setup {
	m, kg := units.Is[units.Length], units.Is[units.Mass]
	return ballast.Setup{
		Machine: ballast.Machine{
			Mass: kg(2250), MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithoutLoader,
			CG: ballast.Position{X: m(0.86), Z: m(0.74)}, Undercarriage: stability.PivotingFront, Wheelbase: m(1.95), RearTrack: m(1.45), FrontTrack: m(1.40),
			AxlePinHeight: m(0.46), AxleMass: kg(230), AxleHeight: m(0.38),
			Front:    ballast.Axle{Rating: kg(2700), Radius: m(0.37)},
			Rear:     ballast.Axle{Rating: kg(2900), Radius: m(0.58)},
			Operator: ballast.HeavyOperator, Seat: ballast.Position{X: m(0.25), Z: m(1.25)},
			Fuel: ballast.Fuel{State: ballast.FuelAsStated},
		},
		Loader: &ballast.Loader{
			Pivot: ballast.Position{X: m(1.15), Z: m(1.42)}, Arm: m(2.30), LowestPin: m(0.20), HighestPin: m(2.70),
			FrameMass: kg(150), FrameCG: ballast.Position{X: m(1.25), Z: m(0.95)}, ArmMass: kg(210), ArmCG: m(1.15), SelfLeveling: units.Is[units.Fraction](1),
			Rated: []ballast.RatedPoint{{PinHeight: 0.20, AtPin: 1500}, {PinHeight: 1.42, AtPin: 1250}, {PinHeight: 2.70, AtPin: 1050}},
		},
		Attachment: &ballast.Attachment{
			Kind: ballast.Forks, Mass: kg(115), CG: ballast.Offset{Ahead: m(0.25), Above: m(0.10)},
			Face: m(0.14), LoadCenter: m(0.55), Tine: m(-0.12),
		},
		Pieces: []ballast.Piece{{Name: "box", Kind: ballast.HitchBox, State: ballast.Raised, Mass: kg(200), CG: ballast.Position{X: m(-0.75), Z: m(0.60)}}},
	}
}

// deck holds a picking bin over the deck of a trailer.
func deck() ballast.Lift {
	return ballast.Lift{
		Datum: ballast.TineHeight, Height: 1.05, Load: ballast.Load{Center: units.Is[units.Length](0.55), Above: units.Is[units.Length](0.5)},
		Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2},
	}
}

// bins is the demo: picking bins whose mass and center vary together, as full bins hang
// further out.
func bins() reliability.Lifting {
	return reliability.Lifting{
		Setup: tractor(), Lift: deck(), Load: 560,
		Variables: []reliability.Variable{
			{Name: "load", Distribution: reliability.Normal(560, 20)},
			{Name: "lifts[0].load.center", Distribution: reliability.Triangular(0.45, 0.57, 0.75)},
			{Name: "setup.pieces[0].mass", Distribution: reliability.Rectangular(0.95*200, 1.05*200)},
			{Name: "setup.machine.cg.x", Distribution: reliability.Normal(0.86, 0.01)},
		},
		Correlations: []reliability.Correlation{{A: "load", B: "lifts[0].load.center", Coefficient: 0.5}},
	}
}

func lift(t testing.TB, l reliability.Lifting) *reliability.Study {
	t.Helper()
	p, err := l.Problem()
	if err != nil {
		t.Fatal(err)
	}
	return compile(t, p)
}

// TestSafetyBasis holds the chance that the rear axle keeps less than a fifth to plain
// draws.
func TestSafetyBasis(t *testing.T) {
	s := lift(t, bins())
	c, err := s.Chance(context.Background(), "tipping", reliability.Budget{Seed: 1, RelativeError: 0.02})
	if err != nil {
		t.Fatal(err)
	}
	plain, err := s.Sample(context.Background(), *draws, 7)
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range plain {
		if p.Limit != "tipping" {
			continue
		}
		if c.Interval.Low > p.Interval.High || p.Interval.Low > c.Interval.High {
			t.Errorf("%+v\nplain: %+v", c, p)
		}
		t.Logf("%v: %.4g, %.4g to %.4g, %d calls; plain %.4g, %.4g to %.4g", c.Method, float64(c.Probability), float64(c.Interval.Low), float64(c.Interval.High), c.Calls,
			float64(p.Probability), float64(p.Interval.Low), float64(p.Interval.High))
	}
}

// TestMarginIsThatOfTheSetup holds the margins to those that a setup of the same values
// gives.
func TestMarginIsThatOfTheSetup(t *testing.T) {
	l := bins()
	p, err := l.Problem()
	if err != nil {
		t.Fatal(err)
	}
	g := make([]float64, len(p.Limits))
	if err := p.Margin([]float64{500, 0.62, 190, 0.87}, g); err != nil {
		t.Fatal(err)
	}
	setup, at := tractor(), deck()
	setup.Pieces[0].Mass = units.Is[units.Mass](190)
	setup.Machine.CG.X = units.Is[units.Length](0.87)
	at.Load.Center = units.Is[units.Length](0.62)
	model, err := setup.Compile()
	if err != nil {
		t.Fatal(err)
	}
	k, err := model.Case(at)
	if err != nil {
		t.Fatal(err)
	}
	check := k.Check(500)
	found := map[string]float64{}
	for _, s := range check.Limits {
		if s.Status != stability.NotChecked {
			found[s.Kind.String()] = 1 - float64(s.Used)
		}
	}
	if len(found) != len(p.Limits) {
		t.Errorf("%d limits are checked, the problem has %v", len(found), p.Limits)
	}
	for i, n := range p.Limits {
		if g[i] != found[n] {
			t.Errorf("%s: %v, want %v", n, g[i], found[n])
		}
	}
}

// TestIgnoranceIsNoSpread: where the box's mass is a range the chance is between that of
// its lightest and that of its heaviest.
func TestIgnoranceIsNoSpread(t *testing.T) {
	of := func(mass units.Input[units.Mass], name string) float64 {
		l := bins()
		l.Variables = l.Variables[:2]
		l.Setup.Pieces[0].Mass = mass
		s := lift(t, l)
		n := 3000
		all, err := s.Sample(context.Background(), n, 1)
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range all {
			if c.Limit == name {
				return float64(c.Probability)
			}
		}
		t.Fatalf("no limit %s in %+v", name, all)
		return 0
	}
	light, heavy := of(units.Is[units.Mass](100), "tipping"), of(units.Is[units.Mass](160), "tipping")
	between := units.Between[units.Mass](100, 160)
	if w, b := of(between, "tipping.worst"), of(between, "tipping.best"); math.Abs(w-light) > 0.002 || math.Abs(b-heavy) > 0.002 || !(w > b) {
		t.Errorf("worst %v, the lightest box %v; best %v, the heaviest %v", w, light, b, heavy)
	}
}

// season is an invented track: slope and heading of the yard, measured on 400 places of a
// trip to the press house.
func season() [][]float64 {
	var rows [][]float64
	for i := range 400 {
		s := float64(i) / 400
		slope := 6 + 7*math.Sin(7*s) + 4*math.Pow(s, 6) + 0.8*math.Sin(90*s)
		heading := 140*s + 60*math.Sin(11*s)
		rows = append(rows, []float64{math.Abs(slope) * math.Pi / 180, math.Mod(heading, 360) * math.Pi / 180})
	}
	return rows
}

// trip is a bin carried low over the yard, asked for lifting wheels and sliding.
func trip() reliability.Lifting {
	l := bins()
	l.Lift.Height, l.Lift.Datum = 0.35, ballast.TineHeight
	l.Tips, l.Slides, l.Friction, l.Held = true, true, 0.4, stability.HeldRear
	l.Variables = append(l.Variables, reliability.Variable{Name: "friction", Distribution: reliability.Triangular(0.15, 0.4, 0.55)})
	l.Tracks = []reliability.Track{{Names: []string{"lifts[0].slope", "lifts[0].heading"}, Rows: season()}}
	return l
}

// TestSeason: sliding and lifting wheels on the yard, each by itself.
func TestSeason(t *testing.T) {
	s := lift(t, trip())
	plain, err := s.Sample(context.Background(), 20_000, 5)
	if err != nil {
		t.Fatal(err)
	}
	for i, name := range []string{reliability.LimitTips, reliability.LimitSlides} {
		c, err := s.Chance(context.Background(), name, reliability.Budget{Seed: 1, Calls: 300_000})
		if err != nil {
			t.Fatal(err)
		}
		p := plain[len(plain)-3+i]
		if p.Limit != name || c.Interval.Low > p.Interval.High || p.Interval.Low > c.Interval.High {
			c.Points = nil
			t.Errorf("%+v\nplain %+v", c, p)
		}
		t.Logf("%s: %.4g, %.4g to %.4g by %v, %v", name, float64(c.Probability), float64(c.Interval.Low), float64(c.Interval.High), c.Method, c.Notes)
	}
	for _, row := range [][]float64{{0, 0}, {0.6, 1.57}} {
		p, err := trip().Problem()
		if err != nil {
			t.Fatal(err)
		}
		g := make([]float64, len(p.Limits))
		if err := p.Margin([]float64{560, 0.58, 200, 0.86, 0.4, row[0], row[1]}, g); err != nil {
			t.Fatal(err)
		}
		tips := g[len(g)-3]
		if (row[0] > 0.5) != (tips < 0) {
			t.Errorf("slope %v: margins %v of %v", row[0], g, p.Limits)
		}
	}
}

// TestBadLifting: paths that lead nowhere are named where they stand.
func TestBadLifting(t *testing.T) {
	l := bins()
	l.Variables[1].Name = "lifts[0].load.centre"
	l.Slides = true
	_, err := l.Problem()
	fieldtest.Names(t, "path", err, "variables[1].name")
	fieldtest.Names(t, "friction", err, "friction")
	l = bins()
	l.Tips = true
	l.Setup.Machine.RearTrack = units.Between[units.Length](1.4, 1.5)
	_, err = l.Problem()
	fieldtest.Names(t, "open", err, "setup")
	l = bins()
	l.Variables[2].Distribution = reliability.Normal(200, 200)
	s := lift(t, l)
	if _, err := s.Sample(context.Background(), 10_000, 1); err == nil || !strings.Contains(err.Error(), "pieces[0].mass") {
		t.Errorf("a negative mass: %v", err)
	}
}

// For a researcher: how likely it is that a picking bin breaks the safety basis, where
// full bins are heavy and hang further out. A chance is for engineers and replaces no
// limit.
func ExampleLifting() {
	problem, err := bins().Problem()
	if err != nil {
		fmt.Println(err)
		return
	}
	study, err := problem.Compile()
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := study.Chance(context.Background(), "tipping", reliability.Budget{Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("between %.2g and %.2g by %v\n", float64(c.Interval.Low), float64(c.Interval.High), c.Method)
	for i, share := range c.Points[0].Importance {
		fmt.Printf("%-22s %3.0f %%\n", problem.Variables[i].Name, 100*share)
	}
	// Output:
	// between 2.2e-06 and 2.6e-06 by importance
	// load                    78 %
	// lifts[0].load.center     5 %
	// setup.pieces[0].mass    -4 %
	// setup.machine.cg.x      13 %
}
