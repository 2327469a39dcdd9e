package ballast_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"strings"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// For a developer of farm-management software: a machine record comes in as
// JSON, an answer goes out as JSON, and bad input comes back by its path.
func Example_embed() {
	answer := func(request io.Reader, load units.Mass) ([]byte, error) {
		doc, err := ballast.Decode(request) // strict: every bad field at once, by its path
		if err != nil {
			return nil, err // setup.machine.wheelbase: -1.95 m: must be ...
		}
		if len(doc.Lifts) == 0 {
			return nil, errors.New("lifts: must hold a load case")
		}
		check, err := doc.Setup.Check(doc.Lifts[0], load)
		if err != nil {
			return nil, err
		}
		return json.Marshal(check) // every limit, what is left, cautions by name
	}
	data, err := answer(strings.NewReader(record()), 430*units.Kilogram)
	if err != nil {
		fmt.Println(err)
		return
	}
	var check struct{ Verdict, Lift, Carry string }
	fmt.Println(json.Unmarshal(data, &check), check.Verdict, check.Lift, check.Carry)
	// Output:
	// <nil> needsRatings noLimitExceeded needsRatings
}

// For a researcher: compile once, ask often; the answers are plain numbers.
func Example_sweep() {
	model, err := tractor().Compile() // immutable, for any number of goroutines
	if err != nil {
		fmt.Println(err)
		return
	}
	lift := deck
	for _, center := range []units.Length{0.5, 0.7, 0.9} {
		lift.Load.Center = units.Is(center)
		c, err := model.Case(lift)
		if err != nil {
			fmt.Println(err)
			return
		}
		mass, governing, status := c.UsableLoad()
		fmt.Printf("%.1f m, %.0f kg, %v %v\n", float64(center), float64(mass), governing, status)
	}
	// Output:
	// 0.5 m, 537 kg, tipping binds
	// 0.7 m, 497 kg, tipping binds
	// 0.9 m, 463 kg, tipping binds
}

// For a sweep in which the setup itself varies: fields are bound once and set by
// numbers.
func Example_variants() {
	e := ballast.NewEvaluator(tractor(), deck)   // for one goroutine
	face, err := e.Bind("setup.attachment.face") // by the path of a document
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, ahead := range []float64{0.10, 0.14, 0.18} {
		e.Set(face, ahead)                         // in SI
		mass, governing, _, err := e.UsableLoad(0) // the bits and errors of the setup compiled anew
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("tines %.2f m ahead: %.0f kg, %v\n", ahead, float64(mass), governing)
	}
	// Output:
	// tines 0.10 m ahead: 535 kg, tipping
	// tines 0.14 m ahead: 527 kg, tipping
	// tines 0.18 m ahead: 518 kg, tipping
}

// For a dealer's own tool: what goes into the tires, and what it buys. The
// cautions go onto the customer's sheet.
func Example_dealer() {
	sheet := io.Discard
	tire, err := liquid.ParseTire("14.9-24 8PR R-1")
	if err != nil {
		fmt.Println(err)
		return
	}
	brine := liquid.Brine(liquid.CalciumChloride, 25*units.MassPercent)
	fill, err := liquid.Fill{Tire: tire, Fluid: brine, Level: liquid.ValveAt(12)}.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	setup := tractor()
	setup.Pieces = append(setup.Pieces, ballast.LiquidPiece(ballast.RearLiquid, 2, fill))
	use, err := setup.UsableLoad(deck)
	if err != nil {
		fmt.Println(err)
		return
	}
	show := units.Display{System: units.USCustomary}
	fmt.Println(units.Format(show, fill.Volume), "each, freezes at", units.Format(show, fill.Freezing))
	show.Rounding = units.Down // a capacity
	fmt.Println(units.Format(show, use.IfRated.Low), "over the deck, by", use.Governing.Title()+",")
	fmt.Println("once these plates are read:", use.Missing)
	for _, line := range append(fill.Cautions.Lines(), use.Cautions.Lines()...) {
		fmt.Fprintln(sheet, "-", line) // always, beside the figure
	}
	// Output:
	// 50.4 US gal each, freezes at -20.3 degF
	// 1182 lb over the deck, by front axle rating,
	// once these plates are read: frontTire, frontRim, rearTire, rearRim, gross, rops, coupler, attachment, manualBallast
}

// deck holds a picking bin over the deck of a trailer.
var deck = ballast.Lift{
	Datum: ballast.TineHeight, Height: 1.05 * units.Meter, Load: ballast.Load{Center: units.Is(0.55 * units.Meter), Above: units.Is(0.5 * units.Meter)},
	Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 20 * units.Percent},
}

// record is a machine record as it comes in.
func record() string {
	var b strings.Builder
	doc := ballast.Document{Setup: tractor(), Lifts: []ballast.Lift{deck}}
	if err := doc.Encode(&b); err != nil {
		return err.Error()
	}
	return b.String()
}

// tractor is an invented compact tractor with a loader and bin forks.
func tractor() ballast.Setup {
	return ballast.Setup{
		Machine: ballast.Machine{
			Mass: units.Is(2250 * units.Kilogram), MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithoutLoader,
			CG: ballast.Position{X: units.Is(0.86 * units.Meter), Z: units.Is(0.74 * units.Meter)}, Undercarriage: stability.PivotingFront, Wheelbase: units.Is(1.95 * units.Meter), RearTrack: units.Is(1.45 * units.Meter), FrontTrack: units.Is(1.40 * units.Meter),
			AxlePinHeight: units.Is(0.46 * units.Meter), AxleMass: units.Is(230 * units.Kilogram), AxleHeight: units.Is(0.38 * units.Meter),
			Front:    ballast.Axle{Rating: units.Is(2700 * units.Kilogram), Radius: units.Is(0.37 * units.Meter)},
			Rear:     ballast.Axle{Rating: units.Is(2900 * units.Kilogram), Radius: units.Is(0.58 * units.Meter)},
			Operator: ballast.HeavyOperator, Seat: ballast.Position{X: units.Is(0.25 * units.Meter), Z: units.Is(1.25 * units.Meter)},
			Fuel: ballast.Fuel{State: ballast.FuelAsStated},
		},
		Loader: &ballast.Loader{
			Pivot: ballast.Position{X: units.Is(1.15 * units.Meter), Z: units.Is(1.42 * units.Meter)}, Arm: units.Is(2.30 * units.Meter), LowestPin: units.Is(0.20 * units.Meter), HighestPin: units.Is(2.70 * units.Meter),
			FrameMass: units.Is(150 * units.Kilogram), FrameCG: ballast.Position{X: units.Is(1.25 * units.Meter), Z: units.Is(0.95 * units.Meter)}, ArmMass: units.Is(210 * units.Kilogram), ArmCG: units.Is(1.15 * units.Meter), SelfLeveling: units.Is[units.Fraction](1),
			Rated: []ballast.RatedPoint{{PinHeight: 0.20, AtPin: 1500}, {PinHeight: 1.42, AtPin: 1250}, {PinHeight: 2.70, AtPin: 1050}},
		},
		Attachment: &ballast.Attachment{
			Kind: ballast.Forks, Mass: units.Is(115 * units.Kilogram), CG: ballast.Offset{Ahead: units.Is(0.25 * units.Meter), Above: units.Is(0.10 * units.Meter)},
			Face: units.Is(0.14 * units.Meter), LoadCenter: units.Is(0.55 * units.Meter), Tine: units.Is(-0.12 * units.Meter),
		},
	}
}
