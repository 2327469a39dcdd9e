package units_test

import (
	"encoding/json"
	"errors"
	"flag"
	"fmt"

	"example.com/steelyard/units"
)

// A quantity is a number times a unit, and a number again when divided by one.
func Example() {
	height := 36 * units.Inch
	n := 48.0 // from a float64 variable
	width := units.Length(n) * units.Inch

	fmt.Printf("%.4f, %.0f in\n", height, float64(width/units.Inch))

	// What multiplies into another quantity is a method.
	brine := 10.7 * units.PoundPerUSGallon
	mass := brine.Mass(40 * units.USGallon)
	fmt.Printf("%.0f lb weigh %.0f\n", float64(mass/units.Pound), mass.Weight(units.StandardGravity))
	// Output:
	// 0.9144 m, 48 in
	// 428 lb weigh 1904 N
}

// The parser reads what a form field holds.
func ExampleParseLength() {
	for _, text := range []string{"24 in", "5 ft 3 in", "23 1/2 in", "1,234.5 mm", "−0.6 m"} {
		l, err := units.ParseLength(text)
		fmt.Printf("%s is %.4f, error %v\n", text, l, err)
	}
	// Output:
	// 24 in is 0.6096 m, error <nil>
	// 5 ft 3 in is 1.6002 m, error <nil>
	// 23 1/2 in is 0.5969 m, error <nil>
	// 1,234.5 mm is 1.2345 m, error <nil>
	// −0.6 m is -0.6000 m, error <nil>
}

// Nothing ambiguous is read, and the error says what would be.
func ExampleParseMass_refused() {
	for _, text := range []string{"2 ton", "70 lbf", "1,234 lb", "1,5 kg", "70 LB", "70"} {
		_, err := units.ParseMass(text)
		fmt.Println(err)
	}
	// Output:
	// 2 ton: three masses are called ton: write "t" (1000 kg), "short ton" (2000 lb) or "long ton" (2240 lb)
	// 70 lbf: "lbf" is a unit of force; for a mass write "kg" or "lb"
	// 1,234 lb: the comma may be read as a decimal comma: write "1234" or "1.234"
	// 1,5 kg: write the decimal point as "."; a comma may only separate groups of three digits
	// 70 LB: unknown unit "LB" of a mass; did you mean "lb"?
	// 70: the unit is missing; a mass is written like "70 lb" (units: kg, lb, t, g, oz, short ton, long ton)
}

// A tire gauge reads from the atmosphere, and the text must say so.
func ExampleParseGaugePressure() {
	_, err := units.ParseGaugePressure("23 psi")
	fmt.Println(err)
	p, _ := units.ParseGaugePressure("23 psi gauge")
	fmt.Printf("%.0f, absolute %.0f\n", p, p.Absolute(units.StandardAtmosphere))
	// Output:
	// 23 psi: say whether the pressure is gauge or absolute; here it must be gauge: write "kPa gauge", "bar gauge" or "psi gauge" ("psig")
	// 158579 Pa gauge, absolute 259904 Pa absolute
}

// A slope is an angle, a percent grade or a ratio of rise to run.
func ExampleParseSlope() {
	for _, text := range []string{"12 deg", "21 %", "1:5"} {
		s, _ := units.ParseSlope(text)
		fmt.Printf("%s: %.2f deg, %.1f %%\n", text, float64(s.Angle()/units.Degree), 100*s.Grade())
	}
	// Output:
	// 12 deg: 12.00 deg, 21.3 %
	// 21 %: 11.86 deg, 21.0 %
	// 1:5: 11.31 deg, 20.0 %
}

// Temperatures are points on a scale; what lies between two is another type.
func ExampleTemperature() {
	t, _ := units.ParseTemperature("23 degF")
	fmt.Printf("%.0f degC\n", t.Celsius())
	warmer := t.Add(9 * units.FahrenheitDifference)
	fmt.Printf("%.0f degC, a rise of %.0f\n", warmer.Celsius(), warmer.Sub(t))
	// Output:
	// -5 degC
	// 0 degC, a rise of 5 K
}

// In JSON a quantity is a string with its unit, and what is written is read
// back bit for bit.
func ExampleMass_MarshalText() {
	type piece struct {
		Name string     `json:"name"`
		Mass units.Mass `json:"mass"`
	}
	var p piece
	if err := json.Unmarshal([]byte(`{"name":"suitcase weight","mass":"32 lb"}`), &p); err != nil {
		fmt.Println(err)
	}
	b, _ := json.Marshal(p)
	fmt.Println(string(b))

	err := json.Unmarshal([]byte(`{"mass":"70 N"}`), &p)
	fmt.Println(errors.Is(err, units.ErrInvalid), p.Mass == 32*units.Pound)
	// Output:
	// {"name":"suitcase weight","mass":"14.51495584 kg"}
	// true true
}

// A quantity is a command line flag.
func ExampleLength_UnmarshalText() {
	set := flag.NewFlagSet("lift", flag.ContinueOnError)
	var height units.Length
	set.TextVar(&height, "height", 36*units.Inch, "how high the tines go")
	_ = set.Parse([]string{"-height", "4 ft 6 in"})
	fmt.Printf("%.3f\n", height)
	// Output:
	// 1.372 m
}

// A report shows the units of its reader, capacities rounded down and
// requirements up.
func ExampleFormat() {
	can, must := 612.7*units.Kilogram, 318.2*units.Kilogram
	reach := 1.62 * units.Meter
	for _, d := range []units.Display{
		{System: units.Metric, Precision: units.Significant(2)},
		{System: units.USCustomary, Precision: units.Significant(2), FeetInches: true},
	} {
		capacity, need := d, d
		capacity.Rounding = units.Down
		need.Rounding = units.Up
		fmt.Printf("lifts %s, needs %s of ballast, reaches %s\n",
			units.Format(capacity, can), units.Format(need, must), units.Format(d, reach))
	}
	// Output:
	// lifts 610 kg, needs 320 kg of ballast, reaches 1600 mm
	// lifts 1300 lb, needs 710 lb of ballast, reaches 5 ft 4 in
}

// A table shows the unit once, at its head.
func ExampleDisplayUnit() {
	d := units.Display{System: units.USCustomary, Precision: units.Decimals(0), Rounding: units.Down}
	loads := []units.Mass{612.7, 540.2, 433.9}
	u := units.DisplayUnit(d, loads[0])
	fmt.Println(u.Symbol())
	for _, m := range loads {
		fmt.Println(u.Number(d, m))
	}
	// Output:
	// lb
	// 1350
	// 1190
	// 956
}

// Farm data exchange names units by common codes.
func ExampleUnitByCode() {
	u, err := units.UnitByCode[units.Volume]("GLL")
	if err != nil {
		fmt.Println(err)
		return
	}
	v := u.Of(40)
	fmt.Printf("%s: %.4f\n", u.Symbol(), v)
	for _, u := range units.Units[units.Mass]() {
		fmt.Print(u.Code(), " ")
	}
	fmt.Println()
	// Output:
	// US gal: 0.1514 m3
	// KGM LBR TNE GRM ONZ STN LTN
}

// A user may choose units by name.
func ExampleUnitNamed() {
	u, _ := units.UnitNamed[units.Force]("lbf")
	fmt.Printf("%.1f\n", u.Count(12*units.Kilonewton))
	fmt.Println(u.Format(units.Display{Precision: units.Significant(3)}, 12*units.Kilonewton))
	_, err := units.UnitNamed[units.Force]("lb")
	fmt.Println(err)
	// Output:
	// 2697.7
	// 2700 lbf
	// lb: "lb" is a mass; for a force write "lbf"
}

// A validator reports every bad field at once, each by its path.
func ExampleFieldErrors() {
	var e units.FieldErrors
	e.Add("wheelbase", -2.1*units.Meter, "must be positive")
	e.Add(units.Index("pieces", 2)+".mass", nil, "is missing")
	fmt.Println(e.Err())
	// Output:
	// wheelbase: -2.1 m: must be positive
	// pieces[2].mass: is missing
}
