package ballast_test

import (
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A plan for a setup that leaves something open holds for every machine that it
// leaves open, adds no less than the plan for any of them, and says what knowing
// more would save.
func TestPlanOfOpenSetups(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 6))
	optimal, savings, met := 0, 0, 0
	for i := range 60 {
		s := orchardTractor()
		s.Pieces = nil
		s.Loader.ManualBallast = ballast.ManualBallast{Kind: ballast.ManualBallastNone}
		s.Machine.FrontTrack = units.Is[units.Length](1.15)
		lift := ballast.Lift{Kind: ballast.TakeOffDeck, Datum: ballast.TineHeight, Height: 0.9, Load: ballast.Load{Mass: units.Mass(200 + 200*r.Float64())}, Factor: 1.3,
			Speed: 2, Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: units.Fraction(0.3 + 0.15*r.Float64())}}
		needs := ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedLift, Hitch: ballast.Raised, Lift: &lift}}}
		stock := ballast.Stock{Items: []ballast.Item{
			{Name: "box", Piece: ballast.Piece{Kind: ballast.HitchBox, CG: ballast.Position{X: units.Is[units.Length](-1.1), Z: units.Is[units.Length](0.6)}, Mass: units.Is[units.Mass](200)}, Count: 1},
			{Name: "weights", Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is[units.Mass](15)}, Count: 30},
		}}
		fields := openFields(r, s, 1+r.IntN(4), 0.06)
		wide := s
		for _, o := range fields {
			wide = o.wide(wide)
		}
		got, err := ballast.Plan(t.Context(), wide, needs, stock)
		if err != nil {
			continue // the ranges contradict each other
		}
		if got.Status != ballast.PlanOptimal {
			continue
		}
		optimal++
		savings += len(got.Savings)
		for range 30 {
			one := s
			for _, o := range fields {
				one = o.at(one, r.Float64())
			}
			k, err := got.Best.Setup(one, stock).Compile()
			if err != nil {
				continue
			}
			c, err := k.Case(lift)
			if err != nil {
				continue
			}
			met++
			check, use := c.Check(lift.Load.Mass), c.Use()
			if !check.OK() {
				t.Errorf("case %d: the plan %+v does not hold: %v", i, got.Best.Choices, check.MostUsed)
			}
			for _, again := range use.Rechecks {
				if again.Status == stability.Exceeded {
					t.Errorf("case %d: %v: %v", i, again.State, again.Governing)
				}
			}
		}
		single, err := ballast.Plan(t.Context(), s, needs, stock)
		if err != nil {
			t.Fatal(err)
		}
		if single.Status == ballast.PlanOptimal && single.Best.Mass > got.Best.Mass+1e-6 {
			t.Errorf("case %d: %v for the machine itself, %v for all that is open", i, single.Best.Mass, got.Best.Mass)
		}
		for _, x := range got.Savings {
			if !(x.Mass > 0 && x.Mass < got.Best.Mass) {
				t.Errorf("case %d: %+v of %v", i, x, got.Best.Mass)
			}
		}
	}
	t.Logf("%d plans, %d savings, %d machines", optimal, savings, met)
	if optimal < 20 || savings < 5 || met < 300 {
		t.Error("too few")
	}
}

// Whatever a setup and its lift leave out, a plan that meets a lift is one of which Check
// finds no limit exceeded, but for ratings that are missing and are named.
func TestPlanIsNoMoreThanCheck(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 50))
	met, conflicts := 0, 0
	for i := range 400 {
		s, l := openCase(r)
		if hasFill(&s) {
			continue
		}
		loader := *s.Loader
		s.Loader = &loader
		s.Pieces = nil
		if c := loader.Cylinders; c != nil && r.IntN(2) == 0 {
			own := *c
			own.Friction = units.Input[units.Fraction]{}
			loader.Cylinders = &own
		}
		if n := len(loader.Rated); n > 0 && r.IntN(2) == 0 {
			loader.Rated = loader.Rated[n-1:]
		}
		for _, leave := range []func(){func() { l.Speed = 0 }, func() { l.Load.Center = units.Input[units.Length]{} }, func() { s.Machine.CG.Z = units.Input[units.Length]{} },
			func() { loader.ManualBallast = ballast.ManualBallast{} }, func() { s.Machine.Front.Rating = units.Input[units.Mass]{} }, func() { s.Machine.Front.Tire.Pressure = units.Input[units.GaugePressure]{} }} {
			if r.IntN(4) == 0 {
				leave()
			}
		}
		if l.Kind == ballast.CarryLow && l.Speed == 0 {
			l.Kind = ballast.Hold
		}
		l.Load.Mass, l.Load.Density, l.Load.Volume = units.Mass(50+400*r.Float64()), 0, 0
		stock := ballast.Stock{Items: []ballast.Item{
			{Name: "box", Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](80), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}}, Range: &ballast.MassRange{Most: 500, Step: 10}},
			{Name: "discs", Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is[units.Mass](60)}, Count: 3},
		}}
		p, err := ballast.Plan(t.Context(), s, ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedLift, Hitch: ballast.Raised, Lift: &l}}}, stock)
		if err != nil {
			continue
		}
		if p.Status == ballast.PlanConflict {
			conflicts++
			continue
		}
		if p.Status != ballast.PlanOptimal {
			t.Errorf("case %d: %v", i, p.Status)
			continue
		}
		a := p.Best.Answers[0]
		planned := s
		planned.Pieces = p.Best.Pieces()
		j, err := planned.Check(l, l.Load.Mass)
		if err != nil {
			t.Fatal(err)
		}
		if !a.Met || a.Verdict != j.Verdict || a.Missing != j.Usable.Missing || j.Verdict != ballast.NoLimitExceeded && j.Verdict != ballast.NeedsRatings {
			t.Errorf("case %d: met %v, %v, %v; Check says %v, %v", i, a.Met, a.Verdict, a.Missing, j.Verdict, j.Usable.Missing)
		}
		met++
	}
	if met < 40 || conflicts < 40 {
		t.Errorf("%d plans, %d conflicts", met, conflicts)
	}
}
