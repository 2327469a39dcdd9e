package stability_test

import (
	"context"
	"fmt"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

func degrees(a units.Angle) float64 { return float64(a / units.Degree) }

// The growers' co-operative asks how steep the orchard yard may be for their
// tractor with a full picking bin raised on the forks.
func Example() {
	body, err := stability.Assemble(
		stability.Part{Name: "tractor and loader", Mass: 2600, CG: stability.Point{X: 0.9, Z: 0.78}},
		stability.Part{Name: "bin", Mass: 600, CG: stability.Point{X: 3.85, Z: 1.5}},
	)
	if err != nil {
		fmt.Println(err)
		return
	}
	vehicle := stability.Vehicle{
		Body: body,
		Undercarriage: stability.Undercarriage{
			Kind: stability.PivotingFront, Wheelbase: 2.1, RearTrack: 1.4, FrontTrack: 1.4, PinHeight: 0.48,
		},
	}
	model, err := vehicle.Compile()
	if err != nil {
		fmt.Println(err)
		return
	}
	worst := model.WorstTip()
	fmt.Printf("%v at %.2f degrees, heading %.0f\n", worst.First.Kind,
		degrees(worst.First.Slope().Angle()), degrees(worst.Heading))
	for _, line := range worst.Cautions.Lines()[:2] {
		fmt.Println(line)
	}
	// Output:
	// tipsRight at 19.75 degrees, heading 104
	// The operator's manual, local rules and licensed practice come before this figure.
	// The figure is calculated and was not tried out: never approach a tipping limit to check it.
}

func exampleModel() *stability.Model {
	model, err := stability.Vehicle{
		Body: stability.Body{Mass: 3200, CG: stability.Point{X: 1.45, Z: 0.915}},
		Undercarriage: stability.Undercarriage{
			Kind: stability.PivotingFront, Wheelbase: 2.1, RearTrack: 1.4, FrontTrack: 1.4, PinHeight: 0.48, StopAngle: 10 * units.Degree,
		},
	}.Compile()
	if err != nil {
		panic(err) // the machine above is in range
	}
	return model
}

// What each wheel carries on a side slope with downhill on the right.
func ExampleModel_Loads() {
	loads, err := exampleModel().Loads(stability.Situation{
		Slope: (10 * units.Degree).Slope(), Heading: 90 * units.Degree,
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range []stability.Row{stability.RowFrontLeft, stability.RowFrontRight, stability.RowRearLeft, stability.RowRearRight} {
		fmt.Printf("%v %.1f kN\n", r, float64(loads.Of(r)/units.Kilonewton))
	}
	// Output:
	// frontLeft 9.4 kN
	// frontRight 12.0 kN
	// rearLeft 2.5 kN
	// rearRight 7.1 kN
}

// With only the rear wheels braked a loaded machine slides long before it
// tips, nose downhill; all wheels held are another matter.
func ExampleModel_Limits() {
	model := exampleModel()
	for _, held := range []stability.Held{stability.HeldRear, stability.HeldAll} {
		limits, err := model.Limits(stability.Situation{Heading: 180 * units.Degree, Friction: 0.5, Held: held})
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("held %v: %v at %.0f degrees\n", held, limits.First.Kind, degrees(limits.First.Slope().Angle()))
	}
	// Output:
	// held rear: slidesRear at 7 degrees
	// held all: slidesAll at 27 degrees
}

// The wheel loads are linear in the masses: where does a kilogram help?
func ExampleUndercarriage_Influence() {
	u := stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 2.1, RearTrack: 1.4, FrontTrack: 1.4, PinHeight: 0.48}
	i, err := u.Influence(stability.Situation{}, 0)
	if err != nil {
		fmt.Println(err)
		return
	}
	rear := i.Body(stability.RowRearAxle)
	fmt.Printf("in the rear tires %.1f N/kg, in a box 1.2 m behind %.1f N/kg\n",
		float64(rear.At(stability.Point{Z: 0.6})), float64(rear.At(stability.Point{X: -1.2, Z: 0.7})))
	// Output:
	// in the rear tires 9.8 N/kg, in a box 1.2 m behind 15.4 N/kg
}

// How far a machine is from its limit, three ways.
func ExampleModel_Margin() {
	m, err := exampleModel().Margin(stability.Situation{Slope: (10 * units.Degree).Slope(), Heading: 90 * units.Degree})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f degrees, %.0f %% of the load on %v\n", degrees(m.Angle), float64(m.LoadShare/units.Percent), m.Wheel)
	// Output:
	// 10 degrees, 52 % of the load on liftLeft
}

// The fruit growers' co-operative has narrow orchard tractors. This is what the
// regulation calculates of an invented one, and where it would really start to
// tip.
func ExampleNarrowTractor_TiltTest() {
	orchard := stability.NarrowTractor{
		CGHeight: 0.74, CGToRear: 0.82, CGToFront: 1.14, RearTire: 1.32, FrontTire: 0.86,
		FrameHeight: 2.06, FrameBehind: 0.25, FrameWidth: 0.76, HoodHeight: 1.30, HoodWidth: 0.46, HoodAhead: 1.60,
		PinHeight: 0.43, Track: 1.08, TireWidth: 0.28, StopAngle: 9 * units.Degree, Mass: 2150, RollInertia: 260,
	}
	test, err := orchard.TiltTest()
	if err != nil {
		fmt.Println(err)
		return
	}
	rolling, err := orchard.Continuous()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("tilt at balance %.1f degrees, %.1f about the axle's pin\n", degrees(test.Tilt), degrees(test.PinTilt))
	fmt.Printf("it starts to tip on a slope of %.1f degrees\n", degrees(units.Angle(test.Tips)))
	fmt.Println("after a sideways overturn the calculation says:", rolling.Verdict)
	for _, line := range rolling.Cautions.Lines() {
		fmt.Println("-", line)
	}
	// Output:
	// tilt at balance 38.7 degrees, 38.9 about the axle's pin
	// it starts to tip on a slope of 29.3 degrees
	// after a sideways overturn the calculation says: continues
	// - The operator's manual, local rules and licensed practice come before this figure.
	// - The figure is calculated and was not tried out: never approach a tipping limit to check it.
	// - A roll-over frame protects only an operator who wears the belt.
	// - An overturn kills; this figure does not say that anybody survives one.
}

// A compact tractor of the co-operative carries a bin low over the 10 cm drain of
// the yard at walking pace. Tires and inertia are not known, so the answer is a
// range. It is a figure beside the operator's manual, and no permission.
func ExamplePassageModel_LoadLimit() {
	carry := stability.Passage{
		Machine:   stability.Body{Mass: 1620, CG: stability.Point{X: 0.68, Z: 0.66}},
		Load:      stability.Part{Mass: 300, CG: stability.Point{X: 2.45, Z: 0.55}},
		Wheelbase: 1.68,
		Rear:      stability.Tires{Radius: 0.52}, Front: stability.Tires{Radius: 0.34},
		Obstacle: stability.Obstacle{Kind: stability.ObstacleRut, Height: 10 * units.Centimeter, Length: 30 * units.Centimeter},
		Drive:    stability.DriveHeld,
	}
	m, err := carry.Compile()
	if err != nil {
		fmt.Println(err)
		return
	}
	limit, err := m.LoadLimit(context.Background(), 2*units.KilometerPerHour, stability.PassageLifts)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("at up to 2 km/h: no lift-off found up to %.0f kg\n", float64(limit.Load))
	for _, line := range limit.Cautions.Lines() {
		fmt.Println("-", line)
	}
	// Output:
	// at up to 2 km/h: no lift-off found up to 337 kg
	// - The operator's manual, local rules and licensed practice come before this figure.
	// - The figure is calculated and was not tried out: never approach a tipping limit to check it.
	// - Carry loads low and still; a raised or swinging load moves the limit.
	// - Hidden holes, soft ground and braking in a turn are not covered.
	// - The figure is no permission to drive over anything: go around, or slowly and with the load low.
}
