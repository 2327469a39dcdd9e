package standards_test

import (
	"fmt"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// A mower wants 4 kN from each rear wheel on firm soil: how much will the
// wheel slip, and is that in the band of practice?
func ExampleTraction_SlipFor() {
	wheel := standards.Traction{
		ConeIndex: 1200 * units.Kilopascal, Load: 9 * units.Kilonewton,
		Width: 0.378, Diameter: 1.265, Deflection: 0.2, Construction: liquid.Bias,
	}
	got, err := wheel.SlipFor(4 * units.Kilonewton)
	if err != nil {
		fmt.Println(err)
		return
	}
	best, err := standards.BestSlip(standards.FirmSoil)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("slip %.0f %%, best %.0f to %.0f %%, within: %v\n", float64(got.Slip/units.Percent),
		float64(best.Band.Low/units.Percent), float64(best.Band.High/units.Percent), best.Band.Contains(got.Slip))
	fmt.Println(got.Notes)
	// Output:
	// slip 10 %, best 6 to 13 %, within: true
	// memory
}

// The figures of practice for a tractor with a driven front axle that pulls a
// mounted plow at 5 mile/h: how much of the mass in front, and how much in all?
func ExampleFrontShareForDrawbarWork() {
	share, err := standards.FrontShareForDrawbarWork(standards.FrontAssist, standards.FullyMounted)
	if err != nil {
		fmt.Println(err)
		return
	}
	per, err := standards.MassPerPowerForDrawbarWork(standards.FrontAssist, 5*units.MilePerHour)
	if err != nil {
		fmt.Println(err)
		return
	}
	mass, err := per.Mass(60 * units.Kilowatt)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("front %.0f to %.0f %% of %.0f kg\n", float64(share.Band.Low/units.Percent), float64(share.Band.High/units.Percent), float64(mass.High))
	fmt.Println(share.Notes)
	// Output:
	// front 40 to 45 % of 4197 kg
	// memory, sourcesDisagree
}

// The test of a roll-over protective structure: 29 CFR 1928.51 asks for a tractor mass
// by its power, and for a quarter of it in front.
func ExampleROPSTest_Solve() {
	test, err := standards.ROPSTest{PTOPower: 45 * units.Kilowatt, GrossRating: 3200, Unballasted: 2600}.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f kg, at least %.0f kg of it in front\n", float64(test.Mass), float64(test.Front))
	for _, line := range test.Cautions.Lines() {
		fmt.Println(line)
	}
	// Output:
	// 3200 kg, at least 800 kg of it in front
	// The operator's manual, local rules and licensed practice come before this figure.
	// A roll-over protective structure protects only up to the mass for which it is certified, and only with the seat belt on.
}
