package ballast_test

import (
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// A plan grants the haulage allowance to no tire that the standard keeps it
// from: ISO 7867-2:2018 gives it to speed symbols A6 and A8 only, so that the
// condition breaks one kilogram beyond the basic load.
func TestPlanHaulageOfOtherTires(t *testing.T) {
	s, l := bareOrchard(), binLift(0.8)
	s.Machine.Front.Tire = ballast.TireRating{LoadIndex: 100, SpeedSymbol: liquid.SpeedB}
	l.Tires = ballast.Allowance{Kind: ballast.HaulageService, PressureRaised: true, ShortCycles: true}
	u, err := pointUse(s, l)
	if err != nil {
		t.Fatal(err)
	}
	limit := u.Limit(ballast.LimitFrontTire)
	if limit.Mass <= 0 {
		t.Fatalf("%v", limit)
	}
	l.Load.Mass = limit.Mass + 1
	k, err := s.Compile()
	if err != nil {
		t.Fatal(err)
	}
	n := ballast.Need{Kind: ballast.NeedLift, Lift: &l}
	broken := false
	if err := n.Demands(k, func(limit ballast.LimitKind, state ballast.State, value float64) {
		broken = broken || limit == ballast.LimitFrontTire && state == ballast.StateLoad && value < 0
	}); err != nil {
		t.Fatal(err)
	}
	if !broken {
		t.Error("the plan grants what the model refuses")
	}
}

// A box chosen for a hitch whose lift rating nobody gave carries the caution
// that a limit was not checked, whatever the need.
func TestPlanHitchNotRated(t *testing.T) {
	s := bareOrchard()
	s.Machine.Hitch.Rating = units.Input[units.Mass]{}
	needs := ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedMass, Hitch: ballast.Raised, State: ballast.LoaderOn, Mass: units.Range[units.Mass]{Low: 2100}}}}
	stock := ballast.Stock{Items: []ballast.Item{{Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](300), CG: ballast.Position{X: units.Is[units.Length](-1.1), Z: units.Is[units.Length](0.6)}}}}}
	p, err := ballast.Plan(t.Context(), s, needs, stock)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Best.Choices) != 1 || p.Cautions&ballast.CautionUnchecked == 0 {
		t.Errorf("%v, %v", p.Best.Choices, p.Cautions)
	}
}
