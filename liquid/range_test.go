package liquid_test

import (
	"math"
	"slices"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// The ranges that the documentation states: the ends are taken, a hundredth
// beyond them is an error about that field.
func TestRanges(t *testing.T) {
	other := liquid.Fluid{Kind: liquid.OtherFluid, Density: 1100, Freezing: 260}
	mix := liquid.Mix{Kind: liquid.CalciumChloride, Strength: 0.2, Volume: 0.2, Purity: 0.8}
	inflation := liquid.Inflation{Fill: liquid.Fill{Tire: mustTire(t, "14.9-24"), Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}, Pressure: 1e5, Valve: liquid.ValveAt(12)}
	adjust := liquid.Adjust{Present: liquid.Fluid{Kind: liquid.Water}, PresentVolume: 0.1, Wanted: mix}
	fill := inflation.Fill
	cavity, err := fill.Tire.Compile()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path      string
		low, high float64
		err       func(v float64) error
	}{
		{"density", 600, 3000, func(v float64) error { f := other; f.Density = units.Density(v); return f.Validate() }},
		{"densitySpread", 0, 0.5, func(v float64) error { f := other; f.DensitySpread = units.Fraction(v); return f.Validate() }},
		{"freezing", 150, 400, func(v float64) error { f := other; f.Freezing = units.Temperature(v); return f.Validate() }},
		{"strength", math.NaN(), 0.4254, func(v float64) error { return liquid.Brine(liquid.CalciumChloride, units.MassFraction(v)).Validate() }},
		{"strength", math.NaN(), 0.263, func(v float64) error { return liquid.Brine(liquid.SodiumChloride, units.MassFraction(v)).Validate() }},
		{"strength", math.NaN(), 0.48, func(v float64) error { return liquid.Brine(liquid.PotassiumFormate, units.MassFraction(v)).Validate() }},
		{"temperature", 203.15, 343.15, func(v float64) error { _, err := other.Properties(units.Temperature(v)); return err }},
		{"temperature", 203.15, 343.15, func(v float64) error { f := fill; f.Temperature = units.Temperature(v); return f.Validate() }},
		{"temperature", 203.15, 343.15, func(v float64) error {
			_, err := cavity.Fill(fill.Fluid, fill.Level, units.Temperature(v))
			return err
		}},
		{"clock", 1e-9, 12, func(v float64) error { return liquid.ValveAt(v).Validate() }},
		{"angle", -2 * math.Pi, 2 * math.Pi, func(v float64) error { return liquid.ValveAtAngle(units.Angle(v)).Validate() }},
		{"height", -2, 2, func(v float64) error { return liquid.HeightAt(units.Length(v)).Validate() }},
		{"fraction", 0, 1, func(v float64) error { return liquid.FractionOf(units.Fraction(v)).Validate() }},
		{"volume", 0, 10, func(v float64) error { return liquid.VolumeOf(units.Volume(v)).Validate() }},
		{"mass", 0, 20000, func(v float64) error { return liquid.MassOf(units.Mass(v)).Validate() }},
		{"pressure", 0, 1e6, func(v float64) error { i := inflation; i.Pressure = units.GaugePressure(v); return i.Validate() }},
		{"atmosphere", 5e4, 1.1e5, func(v float64) error { i := inflation; i.Atmosphere = units.AbsolutePressure(v); return i.Validate() }},
		{"gravity", 0.1, 100, func(v float64) error { i := inflation; i.Gravity = units.Acceleration(v); return i.Validate() }},
		{"volume", 1e-6, 100, func(v float64) error { m := mix; m.Volume = units.Volume(v); return m.Validate() }},
		{"purity", 0.05, 1, func(v float64) error { m := mix; m.Strength, m.Purity = 0.01, units.Fraction(v); return m.Validate() }},
		{"temperature", 273.15, 343.15, func(v float64) error { m := mix; m.Temperature = units.Temperature(v); return m.Validate() }},
		{"presentVolume", 0, 100, func(v float64) error { a := adjust; a.PresentVolume = units.Volume(v); return a.Validate() }},
		{"designTemperature", math.NaN(), 343.15, func(v float64) error {
			// Refused above 0 C for another reason, which names the same field.
			_, err := liquid.StrengthFor(liquid.CalciumChloride, units.Temperature(v), 40)
			if err != nil && v < 343.2 {
				return nil
			}
			return err
		}},
		{"margin", 0, 40, func(v float64) error {
			_, err := liquid.StrengthFor(liquid.CalciumChloride, 300, units.TemperatureDifference(v))
			if err != nil && v == 0 {
				return nil // 300 K without a margin does not freeze
			}
			return err
		}},
		{"product", math.NaN(), 5000, func(v float64) error {
			_, err := liquid.OfWater(liquid.Methanol, units.MassPerWater(v), 0.5)
			return err
		}},
		{"crown", 1.5, 5, func(v float64) error { r := fill.Tire; r.Crown = v; return r.Validate() }},
		{"deflection", 0, 0.5, func(v float64) error { r := fill.Tire; r.Deflection = units.Length(v); return r.Validate() }},
		{"level", -10, 10, func(v float64) error { _, err := cavity.TiltedAt(units.Length(v), 0.1); return err }},
		{"tilt", -60 * float64(units.Degree), 60 * float64(units.Degree), func(v float64) error { _, err := cavity.TiltedAt(0, units.Angle(v)); return err }},
	} {
		beyond := func(v float64, side float64) float64 { return v + side*math.Max(0.01*math.Abs(v), 1e-9) }
		says := func(v float64) bool { return slices.Contains(paths(c.err(v)), c.path) }
		if c.low == c.low {
			if says(c.low) || !says(beyond(c.low, -1)) {
				t.Errorf("%s from %v: %v there, %v below", c.path, c.low, c.err(c.low), c.err(beyond(c.low, -1)))
			}
		}
		if says(c.high) || !says(beyond(c.high, 1)) {
			t.Errorf("%s to %v: %v there, %v above", c.path, c.high, c.err(c.high), c.err(beyond(c.high, 1)))
		}
	}
	tire := fill.Tire
	for i, c := range []struct{ low, high float64 }{
		{0.06, 1.6}, {0.2, 2.6}, {0.1, 1.55}, {0.04, 1.4}, {0, 0.12}, {0, 0.08}, {0, 0.06}, {0, 0.15}, {0, 1.2}, {0.03, 0.9},
	} {
		f := dimensions[i]
		says := func(v float64) bool {
			r := tire
			*f.at(&r) = liquid.Dimension{Value: units.Length(v), Origin: liquid.Measured}
			return slices.Contains(paths(r.Validate()), f.name+".value")
		}
		if says(c.low) || says(c.high) || !says(c.low-0.001) || !says(c.high*1.01) {
			t.Errorf("%s: want from %v to %v m", f.name, c.low, c.high)
		}
		spread := func(v float64) bool {
			r := tire
			*f.at(&r) = liquid.Dimension{Value: units.Length(c.high), Spread: units.Length(v), Origin: liquid.Measured}
			return slices.Contains(paths(r.Validate()), f.name+".spread")
		}
		if spread(0) || spread(c.high/2) || !spread(-0.001) || !spread(c.high*0.51) {
			t.Errorf("%s: a spread from zero to half the value", f.name)
		}
	}
}

// The rules in the comment on Resolve, for a size that the table has not.
func TestRules(t *testing.T) {
	at := func(s string) liquid.Tire { return mustTire(t, s) }
	mm := func(what string, d liquid.Dimension, value, spread float64) {
		t.Helper()
		if math.Abs(float64(d.Value)*1000-value) > 1e-6 || math.Abs(float64(d.Spread)*1000-spread) > 1e-6 {
			t.Errorf("%s is %.4f +- %.4f mm, want %.4f +- %.4f", what, float64(d.Value)*1000, float64(d.Spread)*1000, value, spread)
		}
	}
	m := at("300/80R24 R-1W")
	mm("metric section", m.SectionWidth, 300, 7.5)
	mm("metric diameter", m.OverallDiameter, 610+480, 0.015*1090)
	mm("metric rim", m.RimDiameter, 610, 2)
	mm("metric rim width", m.RimWidth, 0.85*300, 0.07*0.85*300)
	mm("undertread", m.Undertread, 15, 3)
	mm("sidewall", m.Sidewall, 9.6, 0.35*9.6)
	mm("sidewall of a small tire", at("6.00-16").Sidewall, 8, 0.35*8)
	mm("well depth", m.WellDepth, 0.065*610, 0.5*0.065*610)
	mm("well width", m.WellWidth, 0.45*0.85*300, 0.2*0.45*0.85*300)
	mm("valve", m.ValveRadius, 0.98*305, 0.02*305)
	mm("R-1 lug", at("300/80R24 R-1").LugDepth, 28, 0.15*28)
	// Common practice, no source: deeper for wet soil and rice, shallower for
	// turf, industrial and steering treads.
	for tread, lug := range map[string]float64{"R-1": 28, "R-1W": 33.6, "R-2": 50.4, "R-3": 11.2, "R-4": 18.2, "F-1": 19.6, "F-2": 11.2, "F-2M": 14, "F-3": 11.2,
		"I-1": 11.2, "I-2": 11.2, "I-3": 16.8, "G-1": 14, "G-2": 14, "HF-1": 11.2, "HF-2": 14, "HF-3": 19.6, "HF-4": 22.4} {
		mm(tread+" lug", at("300/80R24 "+tread).LugDepth, lug, 0.15*lug)
	}
	mm("flotation lug", at("31x15.50-15").LugDepth, 0.65*(10+0.06*15.5*25.4), 0.30*0.65*(10+0.06*15.5*25.4))
	mm("two decimals lug", at("9.00-22").LugDepth, 0.4*(10+0.06*1.07*9*25.4), 0.30*0.4*(10+0.06*1.07*9*25.4))
	mm("unmarked lug", at("300/80R24").LugDepth, 28, 0.30*28)
	mm("low metric rim width", at("300/70R24").RimWidth, 0.79*300, 0.07*0.79*300)
	wide := at("800/65R32")
	mm("wide undertread", wide.Undertread, 18, 3.6)
	mm("wide sidewall", wide.Sidewall, 12, 4.2)
	mm("deep well", wide.WellDepth, 40, 20)
	f := at("31x15.50-15")
	mm("flotation section", f.SectionWidth, 15.5*25.4, 0.04*15.5*25.4)
	mm("flotation diameter", f.OverallDiameter, 31*25.4, 0.025*31*25.4)
	mm("flotation rim width", f.RimWidth, 0.82*15.5*25.4, 0.07*0.82*15.5*25.4)
	n := at("12.4-22")
	mm("numeric section", n.SectionWidth, 12.4*25.4, 0.03*12.4*25.4)
	mm("numeric diameter", n.OverallDiameter, 559+2*0.84*12.4*25.4, 0.02*(559+2*0.84*12.4*25.4))
	l := at("19.5L-22")
	mm("low industrial diameter", l.OverallDiameter, 559+2*0.71*19.5*25.4, 0.02*(559+2*0.71*19.5*25.4))
	mm("low drive diameter", at("28L-30").OverallDiameter, 762+2*0.66*28*25.4, 0.02*(762+2*0.66*28*25.4))
	mm("low implement diameter", at("11L-15").OverallDiameter, 381+2*0.72*11*25.4, 0.035*(381+2*0.72*11*25.4))
	mm("narrow implement diameter", at("9.5L-15").OverallDiameter, 381+2*0.755*9.5*25.4, 0.04*(381+2*0.755*9.5*25.4))
	mm("low implement diameter on a rim of 16 inches", at("11L-16").OverallDiameter, 406+2*0.72*11*25.4, 0.035*(406+2*0.72*11*25.4))
	mm("small implement diameter", at("7.5L-15").OverallDiameter, 381+2*0.95*7.5*25.4, 0.04*(381+2*0.95*7.5*25.4))
	mm("small implement section", at("7.5L-15").SectionWidth, 1.05*7.5*25.4, 0.06*1.05*7.5*25.4)
	mm("diameter on a rim below 8 inches", at("4.00-6").OverallDiameter, 152+2*0.91*4*25.4, 0.05*(152+2*0.91*4*25.4))
	mm("low implement diameter on a larger rim", at("14L-16.1").OverallDiameter, 409+2*0.7835*14*25.4, 0.035*(409+2*0.7835*14*25.4))
	mm("low implement rim width", at("11L-15").RimWidth, 0.80*11*25.4, 0.10*0.80*11*25.4)
	skid := at("12-16.5") // its rim is 9.75: the nearest to 0.79 * 12 = 9.48
	ws := 1.01*12*25.4 + 0.4*(9.75-9.48)*25.4
	mm("tapered rim width", skid.RimWidth, 9.75*25.4, 0.07*9.75*25.4)
	mm("tapered section", skid.SectionWidth, ws, 0.03*ws)
	mm("tapered diameter", skid.OverallDiameter, 419+2*0.68*12*25.4, 0.025*(419+2*0.68*12*25.4))
	mm("tapered lug", skid.LugDepth, 0.65*(10+0.06*ws), 0.30*0.65*(10+0.06*ws))
	mm("truck diameter", at("11R22.5").OverallDiameter, 572+2*0.84*11*25.4, 0.03*(572+2*0.84*11*25.4))
	mm("truck rim width", at("11R22.5").RimWidth, 8.25*25.4, 0.07*8.25*25.4)
	mm("wide flotation rim width", at("66x43.00-25").RimWidth, 0.83*43*25.4, 0.07*0.83*43*25.4)
	mm("flotation rim width on a tapered rim", at("33x15.50-16.5").RimWidth, 12.25*25.4, 0.07*12.25*25.4)
	mm("rim width of a marked aspect", at("12.5/80-18").RimWidth, 9*25.4, 0.10*9*25.4)
	mm("section of a marked aspect", at("12.5/80-18").SectionWidth, 12.5*25.4+0.4*(9-0.79*12.5)*25.4, 0.03*(12.5*25.4+0.4*(9-0.79*12.5)*25.4))
	spare := at("T125/80-18") // memory: rims of 4 inches, treads of 3 to 6 mm
	mm("diameter of a spare", spare.OverallDiameter, 457+2*0.80*125, 0.02*(457+2*0.80*125))
	mm("rim width of a spare", spare.RimWidth, 0.75*125, 0.16*0.75*125)
	mm("tread of a spare", spare.LugDepth, 4.5, 0.3*4.5)
	a := at("12.5/80-22")
	mm("marked aspect", a.OverallDiameter, 559+2*0.80*12.5*25.4, 0.02*(559+2*0.80*12.5*25.4))
	o := at("9.00-22")
	w := 1.07 * 9 * 25.4
	mm("two decimals section", o.SectionWidth, w, 0.03*w)
	mm("two decimals diameter", o.OverallDiameter, 559+2*0.98*w, 0.02*(559+2*0.98*w))
	mm("two decimals rim width", o.RimWidth, 0.70*w, 0.07*0.70*w)
	d := at("14.9-24")
	mm("table section", d.SectionWidth, 378, 0.02*378)
	mm("table diameter", d.OverallDiameter, 1265, 12.65)
	mm("table rim width", d.RimWidth, 13*25.4, 12.7)
	mm("rim width of a metric size (memory)", at("650/65R38").RimWidth, 20*25.4, 12.7)
}
