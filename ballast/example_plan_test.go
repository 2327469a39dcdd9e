package ballast_test

import (
	"fmt"
	"math"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Which ballast lets the orchard tractor take full bins off the trailer, and
// which needs conflict when it is also to be light on the road.
func ExamplePlan() {
	tractor := orchardTractor()
	tractor.Pieces = nil
	bins := offDeck
	bins.Load.Mass = 470
	needs := ballast.Needs{List: []ballast.Need{
		{Name: "bins off the deck", Kind: ballast.NeedLift, Hitch: ballast.Raised, Lift: &bins},
		{Name: "steering", Kind: ballast.NeedSteeredShare, Hitch: ballast.Raised, Base: ballast.SteeredOfUnladen,
			Share: units.Range[units.Fraction]{Low: 20 * units.Percent}},
	}}
	stock := ballast.Stock{Items: []ballast.Item{
		{Name: "pairs of wheel weights", Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: 70}, Count: 2, Cents: 26000},
		{Name: "box on the hitch", Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: 90, CG: stability.Point{X: -1.15, Z: 0.6}},
			Range: &ballast.MassRange{Most: 600, Step: 10}, Cents: 35000},
	}}
	plan, err := ballast.Plan(tractor, needs, stock)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(plan.Status, plan.Proof.Proven)
	for _, c := range plan.Best.Choices {
		fmt.Printf("%d x %s: %.0f kg\n", c.Count, c.Name, float64(c.Piece.Mass))
	}
	bin := plan.Best.Answers[0]
	fmt.Printf("%v, up to %.0f kg by %s\n", bin.Met, math.Floor(float64(bin.Usable)), bin.Limit.Title())

	needs.List = append(needs.List, ballast.Need{Name: "light on the road", Kind: ballast.NeedMass, Hitch: ballast.Raised,
		Mass: units.Range[units.Mass]{High: 2300}})
	if plan, err = ballast.Plan(tractor, needs, stock); err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(plan.Status)
	for _, m := range plan.Conflict {
		fmt.Printf("%s: %.0f kg short\n", needs.List[m.Need].Name, float64(m.Short))
	}
	// Output:
	// optimal true
	// 1 x box on the hitch: 410 kg
	// true, up to 471 kg by front axle rating
	// conflict
	// bins off the deck: 43 kg short
	// light on the road: 70 kg short
}
