package ballast_test

import (
	"fmt"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// A mulcher for the orchard rows hangs on the rear hitch of a tractor that
// weighs 2600 kg: how much belongs in front, and where does that leave the
// axles?
func ExampleTransport_FrontBallast() {
	road := ballast.Transport{
		FrontLoad: 1000, RearLoad: 1600, Wheelbase: 2.1,
		Hitch:  ballast.Hitch{X: units.Is(-0.8 * units.Meter)},
		Ahead:  ballast.Mounted{Distance: 0.6},
		Behind: ballast.Mounted{Mass: 820, Distance: 0.7},
	}
	need, err := road.FrontBallast()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v: at least %.1f kg for %.0f %% of the %v mass\n", need.Need, float64(need.Mass), float64(need.Share/units.Percent), need.Base)

	road.Ahead.Mass = 100
	loads, err := road.Loads()
	if err != nil {
		fmt.Println(err)
		return
	}
	laden, err := loads.SteeredShare(ballast.SteeredOfLaden)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("front %.0f kg, rear %.0f kg; the front axle has %.0f %% of the laden mass\n", float64(loads.Front), float64(loads.Rear), float64(laden/units.Percent))
	// Output:
	// some: at least 82.2 kg for 20 % of the unladen mass
	// front 543 kg, rear 2977 kg; the front axle has 15 % of the laden mass
}

// The same machine lifts a bin of picked fruit: what must hang behind so that
// the rear axle keeps a fifth of all there is?
func ExampleCounterweight_Minimum() {
	behind, err := ballast.Counterweight{
		FrontLoad: 1450, RearLoad: 1250, Wheelbase: 2.1, Payload: 550, Ahead: 1.75, Behind: 1.2,
	}.Minimum()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v, %.0f kg; the rear axle then has %.0f %% of the total\n", behind.Need, float64(behind.Mass), float64(behind.RearShare/units.Percent))

	behind, err = ballast.Counterweight{
		FrontLoad: 1450, RearLoad: 1250, Wheelbase: 2.1, Payload: 900, Ahead: 1.75, Behind: 1.2,
	}.Minimum()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%v, %.0f kg; the rear axle then has %.0f %% of the total\n", behind.Need, float64(behind.Mass), float64(behind.RearShare/units.Percent))
	for _, line := range behind.Cautions.Lines()[:1] {
		fmt.Println(line)
	}
	// Output:
	// none, 0 kg; the rear axle then has 24 % of the total
	// some, 160 kg; the rear axle then has 20 % of the total
	// The operator's manual, local rules and licensed practice come before this figure.
}
