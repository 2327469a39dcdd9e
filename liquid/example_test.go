package liquid_test

import (
	"context"
	"fmt"
	"math"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

func ExampleParseTire() {
	tire, err := liquid.ParseTire("14.9-24 6PR R-1")
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(tire.Designation)
	fmt.Printf("section width %.0f mm, from the %v\n", float64(tire.SectionWidth.Value/units.Millimeter), tire.SectionWidth.Origin)
	fmt.Printf("lug depth %.0f mm give or take %.0f, by %v\n", float64(tire.LugDepth.Value/units.Millimeter), float64(tire.LugDepth.Spread/units.Millimeter), tire.LugDepth.Origin)

	_, err = liquid.ParseTire("14.9-24 R-9")
	fmt.Println(err)
	// Output:
	// 14.9-24 6PR R-1
	// section width 378 mm, from the table
	// lug depth 33 mm give or take 5, by default
	// marks: R-9: must be a service description such as 129A8, a ply rating such as 6PR, a load range such as LRD, a tread code such as R-1 or L-3, CFO, or a word such as IND, IMP, TURF or NHS
}

// Rear tires of a compact tractor of the growers' co-operative, filled to the
// valve at the top with a quarter by mass of calcium chloride.
func ExampleFill_Solve() {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		fmt.Println(err)
		return
	}
	fill := liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.CalciumChloride, 0.25), Level: liquid.ValveAt(12), Temperature: units.Celsius(10)}
	got, err := fill.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.0f kg, from %.0f to %.0f\n", float64(got.Mass/units.Kilogram), float64(got.MassBand.Low/units.Kilogram), float64(got.MassBand.High/units.Kilogram))
	fmt.Printf("%.0f %% of the cavity, centroid %.2f m below the axle\n", 100*float64(got.Fraction), float64(got.CentroidDepth))
	fmt.Printf("freezes no warmer than %.0f C\n", math.Ceil(got.FreezingBand.High.Celsius()))
	fmt.Println(got.Cautions.Lines()[0])
	// Output:
	// 235 kg, from 185 to 285
	// 75 % of the cavity, centroid 0.13 m below the axle
	// freezes no warmer than -25 C
	// A tire under pressure stores enough energy to kill; never work on one that is not secured, and stand clear of the sidewall while it is inflated.
}

// The product for one tire that shall stand -20 C with 5 K to spare.
func ExampleMix_Solve() {
	m, err := liquid.Mix{Kind: liquid.CalciumChloride, DesignTemperature: units.Celsius(-20), Margin: 5, Volume: 190 * units.Liter, Purity: 0.77}.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("strength %.1f %%\n", 100*float64(m.Fluid.Strength))
	fmt.Printf("%.0f kg of product, %.0f L of water\n", float64(m.Product/units.Kilogram), float64(m.Water/units.Liter))
	fmt.Printf("%.2f lb per US gallon of water, %.2f of solution\n",
		float64(m.PerWater/units.PoundPerUSGallonOfWater), float64(m.PerSolution/units.PoundPerUSGallonOfSolution))
	// Output:
	// strength 23.4 %
	// 70 kg of product, 161 L of water
	// 3.64 lb per US gallon of water, 3.07 of solution
}

// A tire holds 150 L of brine that is too weak.
func ExampleAdjust_Solve() {
	a, err := liquid.Adjust{
		Present:       liquid.Brine(liquid.CalciumChloride, 0.15),
		PresentVolume: 150 * units.Liter,
		Wanted:        liquid.Mix{Kind: liquid.CalciumChloride, Strength: 0.25, Volume: 190 * units.Liter, Purity: 0.95},
	}.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("drain %.0f L\n", float64(a.Drain/units.Liter))
	fmt.Printf("add %.0f kg of product in %.0f L of water, %.0f L in all\n", float64(a.Add.Product/units.Kilogram), float64(a.Add.Water/units.Liter), float64(a.Add.Volume/units.Liter))
	// Output:
	// drain 28 L
	// add 40 kg of product in 56 L of water, 69 L in all
}

func ExampleInflation_Solve() {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		fmt.Println(err)
		return
	}
	got, err := liquid.Inflation{
		Fill:     liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)},
		Pressure: 110 * units.GaugeKilopascal,
		Valve:    liquid.ValveAt(6),
	}.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("a gauge at the bottom reads %.0f kPa\n", float64(got.Reading/units.GaugeKilopascal))
	fmt.Printf("pressure rises %.1f times as fast under load\n", got.Stiffening)
	// Output:
	// a gauge at the bottom reads 116 kPa
	// pressure rises 4.1 times as fast under load
}

// Compile a tire once, and ask it often.
func ExampleCavity() {
	tire, err := liquid.ParseTire("320/85R24")
	if err != nil {
		fmt.Println(err)
		return
	}
	c, err := tire.Compile()
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, m := range []units.Mass{40, 80, 120} {
		z := c.LevelForMass(m, 1000)
		fmt.Printf("%.0f kg of water stand %+.2f m from the axle\n", float64(m), float64(z))
	}
	// Output:
	// 40 kg of water stand -0.29 m from the axle
	// 80 kg of water stand -0.03 m from the axle
	// 120 kg of water stand +0.25 m from the axle
}

func ExampleTable() {
	var tires []liquid.Tire
	for _, s := range []string{"12.4-24", "14.9-24", "16.9-30"} {
		t, err := liquid.ParseTire(s)
		if err != nil {
			fmt.Println(err)
			return
		}
		tires = append(tires, t)
	}
	rows, err := liquid.Table(context.Background(), tires, []liquid.Fluid{{Kind: liquid.Water}}, units.Celsius(15), liquid.ValveAt(12), liquid.ValveAt(4))
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, r := range rows {
		fmt.Printf("%-8s", r.Tire.Designation)
		for _, f := range r.Filled {
			fmt.Printf(" %4.0f L", float64(f.Volume/units.Liter))
		}
		fmt.Println()
	}
	// Output:
	// 12.4-24   131 L   64 L
	// 14.9-24   191 L   98 L
	// 16.9-30   298 L  149 L
}

// A flow meter showed 198 L when the liquid reached the valve at the top. The
// tire is corrected by it, and foretells the fill to the valve at 4 o'clock.
func ExampleTire_Calibrate() {
	tire, err := liquid.ParseTire("14.9x24 R1")
	if err != nil {
		fmt.Println(err)
		return
	}
	tire.Unloaded = true // lifted on stands, as it is filled
	measured, err := tire.Calibrate(liquid.Reading{
		Level:  liquid.ValveAt(12),
		Volume: units.Between(196*units.Liter, 200*units.Liter),
	})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(measured.Tire.Designation, "corrected, findings:", len(measured.Findings))
	for _, t := range []liquid.Tire{tire, measured.Tire} {
		f, err := liquid.Fill{Tire: t, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(4)}.Solve()
		if err != nil {
			fmt.Println(err)
			return
		}
		fmt.Printf("%.0f L, from %.0f to %.0f\n", float64(f.Volume/units.Liter), float64(f.VolumeBand.Low/units.Liter), float64(f.VolumeBand.High/units.Liter))
	}
	// Output:
	// 14.9-24 R-1 corrected, findings: 0
	// 98 L, from 81 to 116
	// 101 L, from 96 to 107
}
