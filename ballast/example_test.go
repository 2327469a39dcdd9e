package ballast_test

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"os"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// orchardTractor is the invented compact tractor of a growers' co-operative with its
// loader and bin forks.
func orchardTractor() ballast.Setup {
	return ballast.Setup{
		Machine: ballast.Machine{
			Mass: units.Is(1500 * units.Kilogram), MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithoutLoader,
			CG:            ballast.Position{X: units.Is(0.76 * units.Meter), Z: units.Is(0.66 * units.Meter)},
			Undercarriage: stability.PivotingFront, Wheelbase: units.Is(1.75 * units.Meter), RearTrack: units.Is(1.2 * units.Meter),
			Operator: ballast.LightOperator, Seat: ballast.Position{X: units.Is(0.35 * units.Meter), Z: units.Is(1.15 * units.Meter)},
			Fuel:  ballast.Fuel{State: ballast.FuelAsStated},
			Front: ballast.Axle{Rating: units.Is(1700 * units.Kilogram), Tire: ballast.TireRating{LoadIndex: 106, SpeedSymbol: liquid.SpeedA8}},
			Rear:  ballast.Axle{Rating: units.Is(2100 * units.Kilogram)},
		},
		Loader: &ballast.Loader{
			Pivot: ballast.Position{X: units.Is(0.85 * units.Meter), Z: units.Is(1.3 * units.Meter)}, Arm: units.Is(1.75 * units.Meter), LowestPin: units.Is(0.18 * units.Meter), HighestPin: units.Is(2.7 * units.Meter),
			FrameMass: units.Is(110 * units.Kilogram), FrameCG: ballast.Position{X: units.Is(1.1 * units.Meter), Z: units.Is(0.8 * units.Meter)}, ArmMass: units.Is(190 * units.Kilogram), ArmCG: units.Is(1.1 * units.Meter),
			Rated:         []ballast.RatedPoint{{PinHeight: 0.2, AtPin: 1150}, {PinHeight: 1.5, AtPin: 1000}, {PinHeight: 2.7, AtPin: 800}},
			ManualBallast: ballast.ManualBallast{Kind: ballast.ManualBallastDemanded, Hitch: 300},
		},
		Attachment: &ballast.Attachment{Kind: ballast.Forks, Mass: units.Is(105 * units.Kilogram), CG: ballast.Offset{Ahead: units.Is(0.18 * units.Meter), Above: units.Is(0.05 * units.Meter)},
			Face: units.Is(0.12 * units.Meter), LoadCenter: units.Is(0.5 * units.Meter), Tine: units.Is(-0.12 * units.Meter)},
		Pieces: []ballast.Piece{{Kind: ballast.HitchBox, Mass: units.Is(350 * units.Kilogram), CG: ballast.Position{X: units.Is(-1.15 * units.Meter), Z: units.Is(0.6 * units.Meter)}, State: ballast.Raised}},
	}
}

// offDeck is taking a bin off a trailer deck 36 inches up.
var offDeck = ballast.Lift{
	Kind: ballast.TakeOffDeck, Height: 36 * units.Inch, Datum: ballast.TineHeight, Factor: 1.3,
	Speed: 5 * units.KilometerPerHour, Load: ballast.Load{Center: units.Is(0.5 * units.Meter)},
	Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2},
}

// What may be taken off a trailer deck, and what limits it.
func ExampleSetup_UsableLoad() {
	use, err := orchardTractor().UsableLoad(offDeck)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("the loader lifts %.0f kg\n", math.Floor(float64(use.Lift.IfRated.Low)))
	fmt.Printf("the machine may carry %.0f kg (%s)\n", math.Floor(float64(use.Carry.IfRated.Low)), use.Governing.Title())
	fmt.Println("provided that these ratings suffice:", use.Missing)
	for _, l := range use.Limits {
		if l.Status == stability.Within || l.Status == stability.Binds {
			fmt.Printf("%-21s %4.0f kg\n", l.Kind.Title(), float64(l.Mass.Low))
		}
	}
	// Output:
	// the loader lifts 686 kg
	// the machine may carry 449 kg (front axle rating)
	// provided that these ratings suffice: frontRim, rearTire, rearRim, gross, rops, coupler, attachment, hitch
	// hydraulic lift         687 kg
	// tipping forward        944 kg
	// one rear wheel lifts   944 kg
	// front axle rating      450 kg
	// front tire rating      559 kg
}

// Whether one bin may be lifted, with what is left of each limit.
func ExampleSetup_Check() {
	check, err := orchardTractor().Check(offDeck, 350)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(check.Verdict.Title())
	for _, l := range check.Limits {
		if l.Verdict == ballast.NeedsRatings {
			fmt.Printf("%s: at least %.0f kg\n", l.Kind.Title(), math.Ceil(float64(l.Required)))
		}
	}
	// Output:
	// not yet: plates are missing
	// front wheel rating: at least 759 kg
	// rear tire rating: at least 741 kg
	// rear wheel rating: at least 741 kg
	// gross mass: at least 2660 kg
	// mass certified for the roll-over structure: at least 2660 kg
	// coupler rating: at least 455 kg
	// attachment rating: at least 350 kg
	// hitch lift rating: at least 660 kg
}

// The usable load over the height of the tines and the load center, provided that
// the plates that are missing suffice.
func ExampleSetup_LoadsByHeight() {
	lift := offDeck
	lift.Kind, lift.Height, lift.Load = ballast.Hold, 0, ballast.Load{}
	heights := []units.Length{0.3, 0.9, 1.8}
	centers := []units.Length{0.5, 0.6}
	loads, err := orchardTractor().LoadsByHeight(context.Background(), lift, heights, centers)
	if err != nil {
		fmt.Println(err)
		return
	}
	for i, h := range loads.Heights {
		fmt.Printf("%.1f m:", float64(h))
		for _, c := range loads.Cells[i] {
			fmt.Printf(" %4.0f kg (%v)", float64(c.IfRated.Low), c.Governing)
		}
		fmt.Println()
	}
	// Output:
	// 0.3 m:  499 kg (frontAxle)  483 kg (frontAxle)
	// 0.9 m:  450 kg (frontAxle)  437 kg (frontAxle)
	// 1.8 m:  470 kg (frontAxle)  455 kg (frontAxle)
}

// A compiled case answers load after load without compiling again.
func ExampleModel_Case() {
	model, err := orchardTractor().Compile()
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := model.Case(offDeck)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, load := range []units.Mass{200, 400, 600} {
		check := c.Check(load)
		fmt.Printf("%.0f kg: %v, rear axle %.0f kg\n", float64(load), check.Status, float64(check.Axles.Rear))
	}
	// Output:
	// 200 kg: within, rear axle 1267 kg
	// 400 kg: within, rear axle 1101 kg
	// 600 kg: exceeded, rear axle 935 kg
}

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
		{Name: "pairs of wheel weights", Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is(70 * units.Kilogram)}, Count: 2, Cents: 26000},
		{Name: "box on the hitch", Piece: ballast.Piece{Kind: ballast.HitchBox, Mass: units.Is(90 * units.Kilogram), CG: ballast.Position{X: units.Is(-1.15 * units.Meter), Z: units.Is(0.6 * units.Meter)}},
			Range: &ballast.MassRange{Most: 600, Step: 10}, Cents: 35000},
	}}
	plan, err := ballast.Plan(context.Background(), tractor, needs, stock)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(plan.Status, plan.Proof.Proven)
	for _, c := range plan.Best.Choices {
		fmt.Printf("%d x %s: %.0f kg\n", c.Count, c.Name, float64(c.Piece.Mass.Value()))
	}
	bin := plan.Best.Answers[0]
	fmt.Printf("%v, up to %.0f kg by %s\n", bin.Met, math.Floor(float64(bin.Usable)), bin.Limit.Title())

	needs.List = append(needs.List, ballast.Need{Name: "light on the road", Kind: ballast.NeedMass, Hitch: ballast.Raised,
		Mass: units.Range[units.Mass]{High: 2300}})
	if plan, err = ballast.Plan(context.Background(), tractor, needs, stock); err != nil {
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

// A document is strict: what is wrong is named by its path, all at once.
func ExampleDecode() {
	var b bytes.Buffer
	if err := (ballast.Document{Setup: orchardTractor()}).Encode(&b); err != nil {
		fmt.Println(err)
		return
	}
	text := strings.NewReplacer(`"wheelbase": "1.75 m"`, `"wheelbase": "69 ft"`, `"rearTrack": "1.2 m"`, `"rear track": "48 in"`, `"1700 kg"`, `"0 kg"`).Replace(b.String())
	_, err := ballast.Decode(strings.NewReader(text))
	fmt.Println(err)
	// Output:
	// setup.machine.rear track: unknown field; did you mean rear?
	// setup.machine.wheelbase: 69 ft: must be between 0.5 m and 10 m
	// setup.machine.front.rating: 0 kg: must be left out or be between 1 kg and 200000 kg
}

// What is written is read back bit for bit.
func ExampleDocument_Encode() {
	lift := ballast.Lift{Height: 36 * units.Inch, Datum: ballast.TineHeight}
	d := ballast.Document{Setup: orchardTractor(), Lifts: []ballast.Lift{lift}}
	d.Setup.Loader, d.Setup.Attachment, d.Setup.Pieces = nil, nil, nil
	d.Setup.Machine.Front, d.Setup.Machine.Rear = ballast.Axle{}, ballast.Axle{}
	if err := d.Encode(os.Stdout); err != nil {
		fmt.Println(err)
	}
	// Output:
	// {
	//   "version": 2,
	//   "setup": {
	//     "machine": {
	//       "mass": "1500 kg",
	//       "massIncludes": "fueled",
	//       "loaderIncluded": "without",
	//       "cg": {
	//         "x": "0.76 m",
	//         "z": "0.66 m"
	//       },
	//       "undercarriage": "pivotingFront",
	//       "wheelbase": "1.75 m",
	//       "rearTrack": "1.2 m",
	//       "operator": "light",
	//       "seat": {
	//         "x": "0.35 m",
	//         "z": "1.15 m"
	//       },
	//       "fuel": {
	//         "state": "asStated"
	//       }
	//     }
	//   },
	//   "lifts": [
	//     {
	//       "height": "0.9144 m",
	//       "datum": "tine"
	//     }
	//   ]
	// }
}
