package weigh_test

import (
	"context"
	"fmt"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/units"
)

// orchardTractor is the growers' co-operative's tractor with bin forks, by tape and
// scale: weighed empty, then with two bins of apples just clear of the ground.
// Nobody tips anything.
func orchardTractor() weigh.Record {
	tape := func(l weigh.TapedLength, v units.Length) weigh.Taped {
		return weigh.Taped{Length: l, Value: v, SD: 5 * units.Millimeter}
	}
	bin := func(name string, m units.Mass) weigh.TestLoad {
		return weigh.TestLoad{Name: name, Mass: weigh.Measured[units.Mass]{Value: m, SD: 1}, Above: 0.3}
	}
	return weigh.Record{
		Mass: 2600, Attachment: ballast.Forks, Scale: weigh.Scale{SD: 3, Division: 2},
		Tape: []weigh.Taped{
			tape(weigh.TapedWheelbase, 2.052), tape(weigh.TapedWheelbase, 2.048), tape(weigh.TapedPivotX, 1.05), tape(weigh.TapedPivotZ, 1.55),
			tape(weigh.TapedArm, 2.20), {Length: weigh.TapedLoadAhead, Load: "one bin", Value: 0.71, SD: 0.01}, {Length: weigh.TapedLoadAhead, Load: "full bin", Value: 0.70, SD: 0.01},
		},
		Loads: []weigh.TestLoad{bin("one bin", 146), bin("full bin", 289)},
		Weights: []weigh.AxleReading{
			{Pin: 0.40, Front: 1120, Rear: 1542},
			{Pin: 0.40, Loads: []string{"one bin"}, Front: 1382, Rear: 1426},
			{Pin: 0.40, Loads: []string{"full bin"}, Front: 1634, Rear: 1314},
		},
	}
}

// At what load would the rear wheels lift, low and with the arms level, and what if
// there were a box behind?
func ExampleRecord_Fit() {
	machine, err := orchardTractor().Fit(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	show := func(what string, q weigh.Question) {
		a, err := machine.Ask(q)
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%s: %.0f to %.0f, a mistake might move it by %.0f %%; doubts: %q\n",
			what, a.Mass.Interval.Low, a.Mass.Interval.High, 100*float64(a.Unnoticed), a.Doubts)
	}
	low := weigh.Question{Kind: weigh.AskTippingLoad, Pin: 0.40, Ahead: 0.70}
	show("low", low)
	level := low
	level.Pin = 1.55
	show("arms level", level)
	level.Added = []weigh.Added{{Mass: 300, X: -0.95, Z: 0.6}}
	show("with a box behind", level)
	// Output:
	// low: 1957 kg to 2025 kg, a mistake might move it by 6 %; doubts: ""
	// arms level: 1570 kg to 1648 kg, a mistake might move it by 5 %; doubts: ""
	// with a box behind: 2039 kg to 2121 kg, a mistake might move it by 5 %; doubts: ""
}

// A row in pounds is named, and nothing is stated until it is put right.
func ExampleMachine_Ask() {
	record := orchardTractor()
	record.Weights[1].Rear = 3144
	machine, err := record.Fit(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, s := range machine.Suspects {
		fmt.Printf("%s: %s (%.0f would be %.0f)\n", s.Path, s.Cause.Title(), s.Read.Mass, s.WouldBe.Mass)
	}
	a, err := machine.Ask(weigh.Question{Kind: weigh.AskTippingLoad, Pin: 0.40, Ahead: 0.70})
	fmt.Println(a.Mass.Value, a.Doubts, err)
	// Output:
	// weights[1].rear: the rear reading looks like pounds written as kilograms (3144 kg would be 1426 kg)
	// 0 kg inconsistent <nil>
}

// What to read next, in the yard.
func ExampleMachine_Next() {
	machine, err := orchardTractor().Fit(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	next, err := machine.Next(context.Background(), weigh.Question{Kind: weigh.AskTippingLoad, Pin: 0.40, Ahead: 0.70}, 0.02, false)
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, p := range next[:2] {
		fmt.Printf("%s Half of the interval: %.1f %%\n", p.How, 100*float64(p.HalfWidth))
	}
	// Output:
	// Weigh both axles with another known load of at most 547 kg just clear of the ground, no farther ahead than the loads before, and tape how far its center is ahead of the pivot pin. Half of the interval: 1.5 %
	// Tape how far the center of the load "full bin" is ahead of the pivot pin. Half of the interval: 1.7 %
}
