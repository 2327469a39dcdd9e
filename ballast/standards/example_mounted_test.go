package standards_test

import (
	"fmt"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/units"
)

// A mulcher for the orchard rows hangs on the rear hitch of a tractor that
// weighs 2600 kg: how much belongs in front, and where does that leave the
// axles?
func ExampleMountedImplements_FrontBallast() {
	road := standards.MountedImplements{
		FrontLoad: 1000, RearLoad: 1600, Wheelbase: 2.1,
		Hitch:  0.8,
		Ahead:  standards.Implement{Distance: 0.6},
		Behind: standards.Implement{Mass: 820, Distance: 0.7},
	}
	need, err := road.FrontBallast()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("at least %.1f kg for %.0f %% of the unladen mass\n", float64(need.Mass), float64(need.Share/units.Percent))

	road.Ahead.Mass = 100
	loads, err := road.Loads()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("front %.0f kg, rear %.0f kg; the front axle has %.0f %% of the laden mass\n", float64(loads.Front), float64(loads.Rear), float64(loads.FrontOfLaden()/units.Percent))
	// Output:
	// at least 82.2 kg for 20 % of the unladen mass
	// front 543 kg, rear 2977 kg; the front axle has 15 % of the laden mass
}

// The same machine lifts a bin of picked fruit: what must hang behind so that
// the rear axle keeps a fifth of all there is?
func ExampleCounterweight_Solve() {
	behind, err := standards.Counterweight{
		FrontLoad: 1450, RearLoad: 1250, Wheelbase: 2.1, Payload: 550, Ahead: 1.75, Behind: 1.2,
	}.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f kg; the rear axle then has %.0f %% of the total\n", float64(behind.Mass), float64(behind.Loads.RearOfLaden()/units.Percent))

	behind, err = standards.Counterweight{
		FrontLoad: 1450, RearLoad: 1250, Wheelbase: 2.1, Payload: 900, Ahead: 1.75, Behind: 1.2,
	}.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f kg; the rear axle then has %.0f %% of the total\n", float64(behind.Mass), float64(behind.Loads.RearOfLaden()/units.Percent))
	for _, line := range behind.Cautions.Lines()[:1] {
		fmt.Println(line)
	}
	// Output:
	// 0 kg; the rear axle then has 24 % of the total
	// 160 kg; the rear axle then has 20 % of the total
	// The operator's manual, local rules and licensed practice come before this figure.
}
