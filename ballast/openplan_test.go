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
