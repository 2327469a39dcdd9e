package units_test

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

// Expected texts are counted by hand from the definitions: 24 in is 609.6 mm,
// 63 in is 5 ft 3 in, 1783.2 kg is 3931.28 lb (0.45359237 kg), 160 kPa is
// 23.206 psi, 1.28 kg/L is 10.682 lb/US gal, 40 US gal is 151.416 L.
func TestFormat(t *testing.T) {
	us, imp := units.Display{System: units.USCustomary}, units.Display{System: units.Imperial}
	with := func(d units.Display, p units.Precision, r units.Rounding) units.Display {
		d.Precision, d.Rounding = p, r
		return d
	}
	feet := func(d units.Display) units.Display { d.FeetInches = true; return d }
	grade := units.Display{Grade: true}
	for _, c := range []struct{ got, want string }{
		{units.Format(units.Display{}, 24*units.Inch), "610 mm"}, {units.Format(us, 24*units.Inch), "24.0 in"}, {units.Format(us, 2.1*units.Meter), "82.7 in"},
		{units.Format(units.Display{}, 2.1*units.Meter), "2100 mm"}, {units.Format(units.Display{}, 12*units.Meter), "12.0 m"}, {units.Format(us, 12*units.Meter), "39.4 ft"},
		{units.Format(feet(us), 63*units.Inch), "5 ft 3 in"}, {units.Format(feet(us), -63*units.Inch), "-5 ft 3 in"}, {units.Format(feet(us), 24*units.Inch), "2 ft 0 in"},
		{units.Format(feet(us), 11*units.Inch), "11.0 in"}, {units.Format(feet(us), 12*units.Inch), "1 ft 0 in"}, {units.Format(feet(us), 71.96*units.Inch), "6 ft 0 in"},
		{units.Format(feet(with(us, units.Decimals(1), units.Down)), 71.96*units.Inch), "5 ft 11.9 in"}, {units.Format(feet(with(us, units.Decimals(1), units.Up)), 71.96*units.Inch), "6 ft 0.0 in"},
		{units.Format(feet(with(us, units.Significant(1), units.Nearest)), 63*units.Inch), "5 ft 0 in"},
		{units.Format(feet(units.Display{}), 63*units.Inch), "1600 mm"},
		{units.Format(units.Display{}, 1783.2*units.Kilogram), "1783 kg"}, {units.Format(us, 1783.2*units.Kilogram), "3931 lb"}, {units.Format(units.Display{}, 0.0351*units.Kilogram), "0.0351 kg"},
		{units.Format(with(units.Display{}, units.Significant(2), units.Down), 1783.2*units.Kilogram), "1700 kg"}, {units.Format(with(units.Display{}, units.Significant(2), units.Up), 1783.2*units.Kilogram), "1800 kg"},
		{units.Format(with(units.Display{}, units.Decimals(1), units.Down), 1783.29*units.Kilogram), "1783.2 kg"}, {units.Format(with(units.Display{}, units.Decimals(0), units.Up), 1783.01*units.Kilogram), "1784 kg"},
		{units.Format(with(units.Display{}, units.Decimals(0), units.Down), -1.5*units.Kilogram), "-2 kg"}, {units.Format(with(units.Display{}, units.Decimals(0), units.Up), -1.5*units.Kilogram), "-1 kg"}, {units.Format(with(units.Display{}, units.Decimals(0), units.Nearest), -1.5*units.Kilogram), "-2 kg"},
		{units.Format(with(units.Display{}, units.Decimals(0), units.Nearest), 2.5*units.Kilogram), "3 kg"}, {units.Format(with(units.Display{}, units.Decimals(0), units.Up), -0.5*units.Kilogram), "0 kg"},
		{units.Format(with(units.Display{}, units.Significant(3), units.Nearest), 9.996*units.Kilogram), "10.0 kg"}, {units.Format(with(units.Display{}, units.Significant(3), units.Nearest), 99.96*units.Kilogram), "100 kg"},
		{units.Format(with(units.Display{}, units.Significant(3), units.Nearest), 0.9996*units.Kilogram), "1.00 kg"}, {units.Format(units.Display{}, 999.6*units.Kilogram), "1000 kg"},
		{units.Format(with(units.Display{}, units.Significant(3), units.Up), 1e-9*units.Kilogram), "0.00000000100 kg"}, {units.Format(with(units.Display{}, units.Decimals(2), units.Up), 1e-9*units.Kilogram), "0.01 kg"}, {units.Format(with(units.Display{}, units.Decimals(2), units.Down), 1e-9*units.Kilogram), "0.00 kg"},
		// Plain as long as no more than twelve zeros stand behind the digits.
		{units.Format(with(units.Display{}, units.Significant(3), units.Nearest), 1.23e14*units.Kilogram), "123000000000000 kg"}, {units.Format(with(units.Display{}, units.Significant(3), units.Nearest), 1.23e15*units.Kilogram), "123e13 kg"},
		{units.Format(with(units.Display{}, units.Significant(3), units.Nearest), 1.23e-22*units.Kilogram), "0.000000000000000000000123 kg"}, {units.Format(with(units.Display{}, units.Significant(3), units.Nearest), 1.23e-23*units.Kilogram), "123e-25 kg"},
		{units.Format(with(units.Display{}, units.Significant(1), units.Nearest), 9.6*units.Kilogram), "10 kg"}, {units.Format(with(units.Display{}, units.Significant(1), units.Nearest), 96*units.Kilogram), "100 kg"},
		{units.Format(with(units.Display{}, units.Significant(2), units.Nearest), 0.0996*units.Kilogram), "0.10 kg"}, {units.Format(with(units.Display{}, units.Significant(2), units.Up), 0.00991*units.Kilogram), "0.010 kg"},
		{units.Format(units.Display{}, 0*units.Kilogram), "0 kg"}, {units.Format(with(units.Display{}, units.Decimals(2), units.Nearest), units.Mass(math.Copysign(0, -1))), "0.00 kg"},
		// 24 in is held as 0.6095999999999999 m; it still is 24 in in either direction.
		{units.Format(with(us, units.Decimals(0), units.Down), 24*units.Inch), "24 in"}, {units.Format(with(us, units.Decimals(0), units.Up), 24*units.Inch), "24 in"},
		{units.Format(with(us, units.Decimals(3), units.Up), 0.1*units.Pound+0.2*units.Pound), "0.300 lb"},
		{units.Format(us, 160*units.GaugeKilopascal), "23.2 psi gauge"}, {units.Format(units.Display{}, 160*units.GaugeKilopascal), "160 kPa gauge"}, {units.Format(units.Display{}, units.StandardAtmosphere), "101 kPa absolute"},
		{units.Format(us, 1.28*units.KilogramPerLiter), "10.7 lb/US gal"}, {units.Format(units.Display{}, 40*units.USGallon), "151 L"}, {units.Format(us, 40*units.USGallon), "40.0 US gal"}, {units.Format(imp, 40*units.USGallon), "33.3 imp gal"},
		{units.Format(units.Display{}, units.Celsius(-5)), "-5.0 degC"}, {units.Format(us, units.Celsius(-5)), "23.0 degF"}, {units.Format(imp, units.Celsius(-5)), "-5.0 degC"},
		{units.Format(with(units.Display{}, units.Decimals(2), units.Up), units.Kelvin(273.16)), "0.01 degC"}, {units.Format(with(us, units.Decimals(0), units.Up), units.Fahrenheit(23)), "23 degF"},
		{units.Format(with(units.Display{}, units.Decimals(3), units.Up), units.Kelvin(273.151)), "0.001 degC"}, {units.Format(with(units.Display{}, units.Decimals(3), units.Down), units.Kelvin(273.151)), "0.001 degC"},
		{units.Format(with(units.Display{}, units.Decimals(3), units.Up), units.Kelvin(273.152)), "0.002 degC"}, {units.Format(with(units.Display{}, units.Decimals(3), units.Down), units.Kelvin(273.152)), "0.002 degC"},
		{units.Format(units.Display{}, units.Grade(0.21)), "11.9 deg"}, {units.Format(grade, units.Grade(0.21)), "21.0 %"}, {units.Format(units.Display{}, 12*units.Degree), "12.0 deg"},
		{units.Format(units.Display{}, 12*units.Kilonewton), "12.0 kN"}, {units.Format(units.Display{}, 120*units.Newton), "120 N"}, {units.Format(us, 1000*units.PoundForce), "1000 lbf"},
		{units.Format(units.Display{}, units.Fraction(0.25)), "25.0 %"}, {units.Format(units.Display{}, units.MassFraction(0.3)), "30.0 % by mass"}, {units.Format(us, 75*units.Kilowatt), "101 mechanical hp"},
		{units.Format(us, 8*units.KilometerPerHour), "4.97 mph"}, {units.Format(units.Display{System: 99}, 1*units.Kilogram), "1.00 kg"},
		{units.Format(units.Display{}, units.Mass(math.NaN())), "NaN kg"}, {units.Format(units.Display{}, units.Mass(math.Inf(-1))), "-Inf kg"}, {units.Format(feet(us), units.Length(math.Inf(1))), "+Inf ft"}, {units.Format(feet(us), units.Length(math.NaN())), "NaN in"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// The largest lengths have no count of inches, and are no panic.
func TestHugeFeetInches(t *testing.T) {
	d := units.Display{System: units.USCustomary, FeetInches: true}
	for _, v := range []float64{math.MaxFloat64, -math.MaxFloat64, math.Inf(1), math.NaN(), 4.66e306, 4.5e306, 5e18 * float64(units.Inch), 5e17 * float64(units.Inch), 5e19 * float64(units.Inch), 1.3e13 * float64(units.Inch)} {
		s := units.Format(d, units.Length(v))
		if s == "" {
			t.Errorf("%g: nothing", v)
		}
		if v > 0 && v < 1e307 {
			if back, err := units.ParseLength(s); err != nil || math.Abs(float64(back)-v) > 1e-2*v {
				t.Errorf("%g was written as %q and read as %g, %v", v, s, float64(back), err)
			}
		}
	}
	// From a million million feet on there are inches only, which the parser
	// reads; less is a whole number of feet.
	for v, want := range map[units.Length]string{1e12 * units.Foot: "12000000000000 in", 999_999_999_000 * units.Foot: "999999999000 ft 0 in"} {
		if got := units.Format(d, v); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	// Temperatures that no decimal of a degree can be rounded in.
	for _, v := range []float64{1e300, -1e300} {
		for _, d := range []units.Display{{}, {System: units.USCustomary}} {
			if s := units.Format(d, units.Temperature(v)); strings.Contains(s, "Inf") {
				t.Errorf("%g K: %q", v, s)
			}
		}
	}
}

// Names of closed choices, and of what is none; more digits than are trusted
// are as many as are.
func TestChoiceNames(t *testing.T) {
	for i, want := range []string{"metric", "usCustomary", "imperial", "undefined 3", "undefined 4"} {
		s := units.System(i)
		text, err := s.MarshalText()
		if s.String() != want || (err == nil) != (i < 3) || err == nil && string(text) != want {
			t.Errorf("system %d: %q, %q, %v; want %q", i, s, text, err, want)
		}
	}
	for i, want := range []string{"nearest", "down", "up", "undefined 3", "undefined 4"} {
		r := units.Rounding(i)
		text, err := r.MarshalText()
		if r.String() != want || (err == nil) != (i < 3) || err == nil && string(text) != want {
			t.Errorf("rounding %d: %q, %q, %v; want %q", i, r, text, err, want)
		}
	}
	for n, want := range map[int]string{-1: "1 digits", 0: "1 digits", 1: "1 digits", 12: "12 digits", 13: "12 digits", 99: "12 digits"} {
		if got := units.Significant(n).String(); got != want {
			t.Errorf("%d digits: %q", n, got)
		}
	}
	for n, want := range map[int]string{-1: "0 decimals", 0: "0 decimals", 12: "12 decimals", 13: "12 decimals", 99: "12 decimals"} {
		if got := units.Decimals(n).String(); got != want {
			t.Errorf("%d decimals: %q", n, got)
		}
	}
}

func TestUnitHandles(t *testing.T) {
	u, err := units.UnitNamed[units.Length]("inches")
	if err != nil || u.Symbol() != "in" || u.Code() != "INH" || u.Of(24) != 24*units.Inch || u.Count(24*units.Inch) != float64(24*units.Inch/units.Inch) {
		t.Errorf("inches: %v, %v", u, err)
	}
	if got := u.Format(units.Display{}, 2.1*units.Meter); got != "82.7 in" {
		t.Errorf("2.1 m in inches: %q", got)
	}
	if got := u.Number(units.Display{Precision: units.Decimals(2)}, 2.1*units.Meter); got != "82.68" {
		t.Errorf("2.1 m in inches: %q", got)
	}
	var zero units.Unit[units.Mass]
	if zero.Symbol() != "kg" || zero.Of(3) != 3 || zero.Count(3) != 3 {
		t.Errorf("the zero value is %q", zero.Symbol())
	}
	if got := units.DisplayUnit(units.Display{System: units.USCustomary}, units.Mass(500)); got.Symbol() != "lb" {
		t.Errorf("got %q", got.Symbol())
	}
	if _, err := units.UnitNamed[units.Mass]("kN"); !errors.Is(err, units.ErrInvalid) || !strings.Contains(err.Error(), "unit of force") {
		t.Errorf("kN as a mass: %v", err)
	}
	if _, err := units.UnitNamed[units.Mass](strings.Repeat("k", 1000)); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("a long name: %v", err)
	}
}

// Common codes of UN/CEFACT Recommendation 20, from memory.
func TestCommonCodes(t *testing.T) {
	one := func(got float64, err error, want float64) {
		t.Helper()
		if err != nil || got != want {
			t.Errorf("got %v, %v; want %v", got, err, want)
		}
	}
	m, err := units.UnitByCode[units.Mass]("KGM")
	one(float64(m.Of(1)), err, 1)
	m, err = units.UnitByCode[units.Mass]("LBR")
	one(float64(m.Of(1)), err, 0.45359237)
	v, err := units.UnitByCode[units.Volume]("GLL")
	one(float64(v.Of(1)), err, 0.003785411784)
	v, err = units.UnitByCode[units.Volume]("GLI")
	one(float64(v.Of(1)), err, 0.00454609)
	v, err = units.UnitByCode[units.Volume]("LTR")
	one(float64(v.Of(1)), err, 0.001)
	l, err := units.UnitByCode[units.Length]("INH")
	one(float64(l.Of(1)), err, 0.0254)
	l, err = units.UnitByCode[units.Length]("MTR")
	one(float64(l.Of(1)), err, 1)
	c, err := units.UnitByCode[units.Temperature]("CEL")
	one(float64(c.Of(0)), err, 273.15)
	if _, err := units.UnitByCode[units.Mass]("LTR"); !errors.Is(err, units.ErrInvalid) || !strings.Contains(err.Error(), "KGM, LBR") {
		t.Errorf("LTR as a mass: %v", err)
	}
	if _, err := units.UnitByCode[units.MassPerPower]("KGM"); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("KGM as a mass per power: %v", err)
	}
	// Both ways, and no code twice in a kind.
	for i := range subjects {
		seen := map[string]bool{}
		for _, u := range subjects[i].units {
			if u.code != "" && seen[u.code] {
				t.Errorf("%s: code %s stands twice", subjects[i].typ, u.code)
			}
			seen[u.code] = true
		}
	}
	for _, u := range units.Units[units.Volume]() {
		if back, err := units.UnitByCode[units.Volume](u.Code()); err != nil || back != u {
			t.Errorf("%s: code %s comes back as %v, %v", u.Symbol(), u.Code(), back.Symbol(), err)
		}
	}
}

func TestDisplayText(t *testing.T) {
	d := units.Display{System: units.USCustomary, Precision: units.Decimals(1), Rounding: units.Up, FeetInches: true}
	b, err := json.Marshal(d)
	if err != nil || string(b) != `{"system":"usCustomary","precision":"1 decimals","rounding":"up","feetInches":true}` {
		t.Fatalf("%s, %v", b, err)
	}
	var back units.Display
	if err := json.Unmarshal(b, &back); err != nil || back != d {
		t.Errorf("%+v, %v", back, err)
	}
	for p := -13; p <= 12; p++ {
		text, _ := units.Precision(p).MarshalText()
		var back units.Precision
		if err := back.UnmarshalText(text); err != nil || back != units.Precision(p) {
			t.Errorf("%q came back as %v, %v", text, back, err)
		}
	}
	for _, bad := range []string{"", "3", "0 digits", "13 digits", "-1 decimals", "3 things", "x digits"} {
		p := units.Significant(3)
		if err := p.UnmarshalText([]byte(bad)); !errors.Is(err, units.ErrInvalid) || p != units.Significant(3) {
			t.Errorf("%q was read as %v, %v", bad, p, err)
		}
	}
	s, r := units.Imperial, units.Up
	if err := s.UnmarshalText([]byte("Metric")); !errors.Is(err, units.ErrInvalid) || s != units.Imperial {
		t.Errorf("system %v, %v", s, err)
	}
	if err := r.UnmarshalText([]byte("sideways")); !errors.Is(err, units.ErrInvalid) || r != units.Up {
		t.Errorf("rounding %v, %v", r, err)
	}
	if _, err := units.System(7).MarshalText(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("system 7: %v", err)
	}
	if _, err := units.Rounding(7).MarshalText(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("rounding 7: %v", err)
	}
}

// What is formatted is read by the parser of the kind; rounded down it is not
// more and rounded up not less than the quantity, to 1e-11 of it, and the
// nearest lies between.
func FuzzFormat(f *testing.F) {
	for i := range subjects {
		f.Add(uint8(i), 0.6095999999999999, uint8(i), int8(0), i%2 == 0)
		f.Add(uint8(i), -1783.25, uint8(i+1), int8(3), i%2 == 1)
		f.Add(uint8(i), 2e-9, uint8(i+2), int8(-2), i%2 == 0)
	}
	f.Fuzz(func(t *testing.T, kind uint8, v float64, system uint8, precision int8, flag bool) {
		s := &subjects[int(kind)%len(subjects)]
		if a := math.Abs(v); math.IsNaN(v) || a > 1e280 || a < 1e-280 && a != 0 {
			return
		}
		slack := 1e-11 * math.Abs(v)
		switch s.typ {
		case "Temperature":
			slack += 1e-9
		case "Slope":
			v = math.Remainder(v, 3)
			slack = 1e-9
		}
		d := units.Display{System: units.System(system % 3), FeetInches: flag, Grade: flag}
		if precision > 0 {
			d.Precision = units.Significant(int(precision))
		} else if precision < 0 {
			d.Precision = units.Decimals(-int(precision))
		}
		var got [3]float64
		for r := range got {
			d.Rounding = units.Rounding(r)
			text := s.format(d, v)
			if len(text) > units.MaxText {
				t.Fatalf("%v: %q is too long", v, text)
			}
			var err error
			if got[r], err = s.parse(text); err != nil {
				t.Fatalf("%s: %v was formatted as %q: %v", s.typ, v, text, err)
			}
		}
		nearest, down, up := got[units.Nearest], got[units.Down], got[units.Up]
		if down > v+slack || up < v-slack || nearest < down-slack || nearest > up+slack {
			t.Fatalf("%s: %v: down %v, nearest %v, up %v", s.typ, v, down, nearest, up)
		}
	})
}
