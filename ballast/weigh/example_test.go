package weigh_test

import (
	"fmt"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// A morning at the growers' co-operative: forks just off the ground, empty,
// with a few bins, and empty again. Nobody tips anything.
func ExampleSession_Predict() {
	session := weigh.Session{
		Wheelbase: weigh.Measured[units.Length]{Value: 2.1 * units.Meter, SD: 5 * units.Millimeter},
		Ahead:     weigh.Measured[units.Length]{Value: 1.75 * units.Meter, SD: 10 * units.Millimeter},
		Scale:     weigh.Scale{SD: 5 * units.Kilogram},
		LoadSD:    1 * units.Kilogram,
		Readings: []weigh.LoadReading{
			{Load: 0, Rear: 1488}, {Load: 150, Rear: 1358}, {Load: 300, Rear: 1239}, {Load: 450, Rear: 1112}, {Load: 0, Rear: 1484},
		},
	}
	p, err := session.Predict()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("refused:", p.Refusals != 0)
	fmt.Printf("would lift at %.0f, between %.0f and %.0f\n", p.TippingLoad, p.Interval.Low, p.Interval.High)

	// The same machine with 300 kg of liquid in the rear tires.
	wet, err := p.Transfer(weigh.Change{Rear: 300 * units.Kilogram, RearSD: 10 * units.Kilogram})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("with liquid in the rear tires at %.0f\n", wet.TippingLoad)

	// One row in pounds.
	session.Readings[2].Rear = 2732
	p, err = session.Predict()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(p.TippingLoad, p.Refusals)
	fmt.Println(p.Findings[0])
	// Output:
	// refused: false
	// would lift at 1785 kg, between 1766 kg and 1804 kg
	// with liquid in the rear tires at 2145 kg
	// 0 kg unitsMixed
	// reading 3: the rear reading looks like pounds written as kilograms (+1496 kg)
}

// What would a session buy, before anyone starts?
func ExampleSession_Expect() {
	session := weigh.Session{
		Wheelbase: weigh.Measured[units.Length]{Value: 2.1 * units.Meter, SD: 5 * units.Millimeter},
		Ahead:     weigh.Measured[units.Length]{Value: 1.75 * units.Meter, SD: 10 * units.Millimeter},
		Scale:     weigh.Scale{SD: 5 * units.Kilogram},
		LoadSD:    1 * units.Gram,
	}
	for _, loads := range [][]units.Mass{{0, 150, 300}, {0, 150, 300, 450, 0}} {
		got, err := session.Expect(1486*units.Kilogram, loads...)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%d readings: with the tape +-%.0f, without +-%.0f; refused: %q\n", len(loads), got.Main, got.Free, got.Refusals)
	}
	// Output:
	// 3 readings: with the tape +-21 kg, without +-422 kg; refused: "fewLoads"
	// 5 readings: with the tape +-19 kg, without +-70 kg; refused: ""
}

// Height of the center of gravity from one axle raised to three angles.
func ExampleAxleLift_Solve() {
	tape := func(v units.Length) weigh.Measured[units.Length] {
		return weigh.Measured[units.Length]{Value: v, SD: 4 * units.Millimeter}
	}
	lift := weigh.AxleLift{
		Level:      weigh.LevelWeighing{Wheelbase: tape(2.4), Front: 1200, Rear: 1800, Scale: weigh.Scale{SD: 5}},
		RearRadius: tape(0.75), FrontRadius: tape(0.5), AngleSD: 0.1 * units.Degree,
		Lifts: []weigh.LiftReading{
			{Angle: 10 * units.Degree, Front: 1147}, {Angle: 18 * units.Degree, Front: 1098}, {Angle: -10 * units.Degree, Front: 1254},
		},
	}
	h, err := lift.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.2f ahead of the rear axle, %.2f high, give or take %.0f mm\n", h.Level.X.Value, h.Pitch.Value, float64(h.Pitch.SD/units.Millimeter))
	// Output:
	// 0.96 m ahead of the rear axle, 0.90 m high, give or take 11 mm
}
