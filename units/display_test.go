package units

import (
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"
)

// Expected texts are counted by hand from the definitions: 24 in is 609.6 mm,
// 63 in is 5 ft 3 in, 1783.2 kg is 3931.28 lb (0.45359237 kg), 160 kPa is
// 23.206 psi, 1.28 kg/L is 10.682 lb/US gal, 40 US gal is 151.416 L.
func TestFormat(t *testing.T) {
	us, imp := Display{System: USCustomary}, Display{System: Imperial}
	with := func(d Display, p Precision, r Rounding) Display {
		d.Precision, d.Rounding = p, r
		return d
	}
	feet := func(d Display) Display { d.FeetInches = true; return d }
	grade := Display{Grade: true}
	for _, c := range []struct{ got, want string }{
		{Format(Display{}, 24*Inch), "610 mm"}, {Format(us, 24*Inch), "24.0 in"}, {Format(us, 2.1*Meter), "82.7 in"},
		{Format(Display{}, 2.1*Meter), "2100 mm"}, {Format(Display{}, 12*Meter), "12.0 m"}, {Format(us, 12*Meter), "39.4 ft"},
		{Format(feet(us), 63*Inch), "5 ft 3 in"}, {Format(feet(us), -63*Inch), "-5 ft 3 in"}, {Format(feet(us), 24*Inch), "2 ft 0 in"},
		{Format(feet(us), 11*Inch), "11.0 in"}, {Format(feet(us), 12*Inch), "1 ft 0 in"}, {Format(feet(us), 71.96*Inch), "6 ft 0 in"},
		{Format(feet(with(us, Decimals(1), Down)), 71.96*Inch), "5 ft 11.9 in"}, {Format(feet(with(us, Decimals(1), Up)), 71.96*Inch), "6 ft 0.0 in"},
		{Format(feet(with(us, Significant(1), Nearest)), 63*Inch), "5 ft 0 in"},
		{Format(feet(Display{}), 63*Inch), "1600 mm"},
		{Format(Display{}, 1783.2*Kilogram), "1783 kg"}, {Format(us, 1783.2*Kilogram), "3931 lb"}, {Format(Display{}, 0.0351*Kilogram), "0.0351 kg"},
		{Format(with(Display{}, Significant(2), Down), 1783.2*Kilogram), "1700 kg"}, {Format(with(Display{}, Significant(2), Up), 1783.2*Kilogram), "1800 kg"},
		{Format(with(Display{}, Decimals(1), Down), 1783.29*Kilogram), "1783.2 kg"}, {Format(with(Display{}, Decimals(0), Up), 1783.01*Kilogram), "1784 kg"},
		{Format(with(Display{}, Decimals(0), Down), -1.5*Kilogram), "-2 kg"}, {Format(with(Display{}, Decimals(0), Up), -1.5*Kilogram), "-1 kg"}, {Format(with(Display{}, Decimals(0), Nearest), -1.5*Kilogram), "-2 kg"},
		{Format(with(Display{}, Decimals(0), Nearest), 2.5*Kilogram), "3 kg"}, {Format(with(Display{}, Decimals(0), Up), -0.5*Kilogram), "0 kg"},
		{Format(with(Display{}, Significant(3), Nearest), 9.996*Kilogram), "10.0 kg"}, {Format(with(Display{}, Significant(3), Nearest), 99.96*Kilogram), "100 kg"},
		{Format(with(Display{}, Significant(3), Nearest), 0.9996*Kilogram), "1.00 kg"}, {Format(Display{}, 999.6*Kilogram), "1000 kg"},
		{Format(with(Display{}, Significant(3), Up), 1e-9*Kilogram), "0.00000000100 kg"}, {Format(with(Display{}, Decimals(2), Up), 1e-9*Kilogram), "0.01 kg"}, {Format(with(Display{}, Decimals(2), Down), 1e-9*Kilogram), "0.00 kg"},
		// Plain as long as no more than twelve zeros stand behind the digits.
		{Format(with(Display{}, Significant(3), Nearest), 1.23e14*Kilogram), "123000000000000 kg"}, {Format(with(Display{}, Significant(3), Nearest), 1.23e15*Kilogram), "123e13 kg"},
		{Format(with(Display{}, Significant(3), Nearest), 1.23e-22*Kilogram), "0.000000000000000000000123 kg"}, {Format(with(Display{}, Significant(3), Nearest), 1.23e-23*Kilogram), "123e-25 kg"},
		{Format(with(Display{}, Significant(1), Nearest), 9.6*Kilogram), "10 kg"}, {Format(with(Display{}, Significant(1), Nearest), 96*Kilogram), "100 kg"},
		{Format(with(Display{}, Significant(2), Nearest), 0.0996*Kilogram), "0.10 kg"}, {Format(with(Display{}, Significant(2), Up), 0.00991*Kilogram), "0.010 kg"},
		{Format(Display{}, 0*Kilogram), "0 kg"}, {Format(with(Display{}, Decimals(2), Nearest), Mass(math.Copysign(0, -1))), "0.00 kg"},
		// 24 in is held as 0.6095999999999999 m; it still is 24 in in either direction.
		{Format(with(us, Decimals(0), Down), 24*Inch), "24 in"}, {Format(with(us, Decimals(0), Up), 24*Inch), "24 in"},
		{Format(with(us, Decimals(3), Up), 0.1*Pound+0.2*Pound), "0.300 lb"},
		{Format(us, 160*GaugeKilopascal), "23.2 psi gauge"}, {Format(Display{}, 160*GaugeKilopascal), "160 kPa gauge"}, {Format(Display{}, StandardAtmosphere), "101 kPa absolute"},
		{Format(us, 1.28*KilogramPerLiter), "10.7 lb/US gal"}, {Format(Display{}, 40*USGallon), "151 L"}, {Format(us, 40*USGallon), "40.0 US gal"}, {Format(imp, 40*USGallon), "33.3 imp gal"},
		{Format(Display{}, Celsius(-5)), "-5.0 degC"}, {Format(us, Celsius(-5)), "23.0 degF"}, {Format(imp, Celsius(-5)), "-5.0 degC"},
		{Format(with(Display{}, Decimals(2), Up), Kelvin(273.16)), "0.01 degC"}, {Format(with(us, Decimals(0), Up), Fahrenheit(23)), "23 degF"},
		{Format(with(Display{}, Decimals(3), Up), Kelvin(273.151)), "0.001 degC"}, {Format(with(Display{}, Decimals(3), Down), Kelvin(273.151)), "0.001 degC"},
		{Format(with(Display{}, Decimals(3), Up), Kelvin(273.152)), "0.002 degC"}, {Format(with(Display{}, Decimals(3), Down), Kelvin(273.152)), "0.002 degC"},
		{Format(Display{}, Grade(0.21)), "11.9 deg"}, {Format(grade, Grade(0.21)), "21.0 %"}, {Format(Display{}, 12*Degree), "12.0 deg"},
		{Format(Display{}, 12*Kilonewton), "12.0 kN"}, {Format(Display{}, 120*Newton), "120 N"}, {Format(us, 1000*PoundForce), "1000 lbf"},
		{Format(Display{}, Fraction(0.25)), "25.0 %"}, {Format(Display{}, MassFraction(0.3)), "30.0 % by mass"}, {Format(us, 75*Kilowatt), "101 mechanical hp"},
		{Format(us, 8*KilometerPerHour), "4.97 mph"}, {Format(Display{System: 99}, 1*Kilogram), "1.00 kg"},
		{Format(Display{}, Mass(math.NaN())), "NaN kg"}, {Format(Display{}, Mass(math.Inf(-1))), "-Inf kg"}, {Format(feet(us), Length(math.Inf(1))), "+Inf ft"}, {Format(feet(us), Length(math.NaN())), "NaN in"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}

// The largest lengths have no count of inches, and are no panic.
func TestHugeFeetInches(t *testing.T) {
	d := Display{System: USCustomary, FeetInches: true}
	for _, v := range []float64{math.MaxFloat64, -math.MaxFloat64, math.Inf(1), math.NaN(), 4.66e306, 4.5e306, 5e18 * float64(Inch), 5e17 * float64(Inch), 5e19 * float64(Inch), 1.3e13 * float64(Inch)} {
		s := Format(d, Length(v))
		if s == "" {
			t.Errorf("%g: nothing", v)
		}
		if v > 0 && v < 1e307 {
			if back, err := ParseLength(s); err != nil || math.Abs(float64(back)-v) > 1e-2*v {
				t.Errorf("%g was written as %q and read as %g, %v", v, s, float64(back), err)
			}
		}
	}
	// From a million million feet on there are inches only, which the parser
	// reads; less is a whole number of feet.
	for v, want := range map[Length]string{1e12 * Foot: "12000000000000 in", 999_999_999_000 * Foot: "999999999000 ft 0 in"} {
		if got := Format(d, v); got != want {
			t.Errorf("got %q, want %q", got, want)
		}
	}
	// Temperatures that no decimal of a degree can be rounded in.
	for _, v := range []float64{1e300, -1e300} {
		for _, d := range []Display{{}, {System: USCustomary}} {
			if s := Format(d, Temperature(v)); strings.Contains(s, "Inf") {
				t.Errorf("%g K: %q", v, s)
			}
		}
	}
}

// Names of closed choices, and of what is none; more digits than are trusted
// are as many as are.
func TestChoiceNames(t *testing.T) {
	for i, want := range []string{"metric", "usCustomary", "imperial", "undefined 3", "undefined 4"} {
		s := System(i)
		text, err := s.MarshalText()
		if s.String() != want || (err == nil) != (i < 3) || err == nil && string(text) != want {
			t.Errorf("system %d: %q, %q, %v; want %q", i, s, text, err, want)
		}
	}
	for i, want := range []string{"nearest", "down", "up", "undefined 3", "undefined 4"} {
		r := Rounding(i)
		text, err := r.MarshalText()
		if r.String() != want || (err == nil) != (i < 3) || err == nil && string(text) != want {
			t.Errorf("rounding %d: %q, %q, %v; want %q", i, r, text, err, want)
		}
	}
	for n, want := range map[int]string{-1: "1 digits", 0: "1 digits", 1: "1 digits", 12: "12 digits", 13: "12 digits", 99: "12 digits"} {
		if got := Significant(n).String(); got != want {
			t.Errorf("%d digits: %q", n, got)
		}
	}
	for n, want := range map[int]string{-1: "0 decimals", 0: "0 decimals", 12: "12 decimals", 13: "12 decimals", 99: "12 decimals"} {
		if got := Decimals(n).String(); got != want {
			t.Errorf("%d decimals: %q", n, got)
		}
	}
}

func TestUnitHandles(t *testing.T) {
	u, err := UnitNamed[Length]("inches")
	if err != nil || u.Symbol() != "in" || u.Code() != "INH" || u.Of(24) != 24*Inch || u.Count(24*Inch) != float64(24*Inch/Inch) {
		t.Errorf("inches: %v, %v", u, err)
	}
	if got := u.Format(Display{}, 2.1*Meter); got != "82.7 in" {
		t.Errorf("2.1 m in inches: %q", got)
	}
	if got := u.Number(Display{Precision: Decimals(2)}, 2.1*Meter); got != "82.68" {
		t.Errorf("2.1 m in inches: %q", got)
	}
	var zero Unit[Mass]
	if zero.Symbol() != "kg" || zero.Of(3) != 3 || zero.Count(3) != 3 {
		t.Errorf("the zero value is %q", zero.Symbol())
	}
	if got := DisplayUnit(Display{System: USCustomary}, Mass(500)); got.Symbol() != "lb" {
		t.Errorf("got %q", got.Symbol())
	}
	if _, err := UnitNamed[Mass]("kN"); !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), "unit of force") {
		t.Errorf("kN as a mass: %v", err)
	}
	if _, err := UnitNamed[Mass](strings.Repeat("k", 1000)); !errors.Is(err, ErrInvalid) {
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
	m, err := UnitByCode[Mass]("KGM")
	one(float64(m.Of(1)), err, 1)
	m, err = UnitByCode[Mass]("LBR")
	one(float64(m.Of(1)), err, 0.45359237)
	v, err := UnitByCode[Volume]("GLL")
	one(float64(v.Of(1)), err, 0.003785411784)
	v, err = UnitByCode[Volume]("GLI")
	one(float64(v.Of(1)), err, 0.00454609)
	v, err = UnitByCode[Volume]("LTR")
	one(float64(v.Of(1)), err, 0.001)
	l, err := UnitByCode[Length]("INH")
	one(float64(l.Of(1)), err, 0.0254)
	l, err = UnitByCode[Length]("MTR")
	one(float64(l.Of(1)), err, 1)
	c, err := UnitByCode[Temperature]("CEL")
	one(float64(c.Of(0)), err, 273.15)
	if _, err := UnitByCode[Mass]("LTR"); !errors.Is(err, ErrInvalid) || !strings.Contains(err.Error(), "KGM, LBR") {
		t.Errorf("LTR as a mass: %v", err)
	}
	if _, err := UnitByCode[MassPerPower]("KGM"); !errors.Is(err, ErrInvalid) {
		t.Errorf("KGM as a mass per power: %v", err)
	}
	// Both ways, and no code twice in a kind.
	for i := range kinds {
		seen := map[string]bool{}
		for _, u := range kinds[i].units {
			if u.code != "" && seen[u.code] {
				t.Errorf("%s: code %s stands twice", kinds[i].typ, u.code)
			}
			seen[u.code] = true
		}
	}
	for _, u := range Units[Volume]() {
		if back, err := UnitByCode[Volume](u.Code()); err != nil || back != u {
			t.Errorf("%s: code %s comes back as %v, %v", u.Symbol(), u.Code(), back.Symbol(), err)
		}
	}
}

// Every choice of a display unit must exist and be read by the parser.
func TestCustomaryUnits(t *testing.T) {
	for i := range kinds {
		for system, list := range customary[i] {
			if len(list) == 0 || list[len(list)-1].from != 0 {
				t.Errorf("%s: system %d has no last choice", kinds[i].typ, system)
			}
			for _, c := range list {
				if kinds[i].find(c.symbol) == nil {
					t.Errorf("%s: no unit %q", kinds[i].typ, c.symbol)
				}
			}
		}
	}
}

func TestDisplayText(t *testing.T) {
	d := Display{System: USCustomary, Precision: Decimals(1), Rounding: Up, FeetInches: true}
	b, err := json.Marshal(d)
	if err != nil || string(b) != `{"system":"usCustomary","precision":"1 decimals","rounding":"up","feetInches":true}` {
		t.Fatalf("%s, %v", b, err)
	}
	var back Display
	if err := json.Unmarshal(b, &back); err != nil || back != d {
		t.Errorf("%+v, %v", back, err)
	}
	for p := -13; p <= 12; p++ {
		text, _ := Precision(p).MarshalText()
		var back Precision
		if err := back.UnmarshalText(text); err != nil || back != Precision(p) {
			t.Errorf("%q came back as %v, %v", text, back, err)
		}
	}
	for _, bad := range []string{"", "3", "0 digits", "13 digits", "-1 decimals", "3 things", "x digits"} {
		p := Significant(3)
		if err := p.UnmarshalText([]byte(bad)); !errors.Is(err, ErrInvalid) || p != Significant(3) {
			t.Errorf("%q was read as %v, %v", bad, p, err)
		}
	}
	s, r := Imperial, Up
	if err := s.UnmarshalText([]byte("Metric")); !errors.Is(err, ErrInvalid) || s != Imperial {
		t.Errorf("system %v, %v", s, err)
	}
	if err := r.UnmarshalText([]byte("sideways")); !errors.Is(err, ErrInvalid) || r != Up {
		t.Errorf("rounding %v, %v", r, err)
	}
	if _, err := System(7).MarshalText(); !errors.Is(err, ErrInvalid) {
		t.Errorf("system 7: %v", err)
	}
	if _, err := Rounding(7).MarshalText(); !errors.Is(err, ErrInvalid) {
		t.Errorf("rounding 7: %v", err)
	}
}

// What is formatted is read by the parser of the kind; rounded down it is not
// more and rounded up not less than the quantity, to 1e-11 of it, and the
// nearest lies between.
func FuzzFormat(f *testing.F) {
	for i := range kinds {
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
		switch s.kind {
		case &kinds[temperatureKind]:
			slack += 1e-9
		case &kinds[slopeKind]:
			v = math.Remainder(v, 3)
			slack = 1e-9
		}
		d := Display{System: System(system % 3), FeetInches: flag, Grade: flag}
		if precision > 0 {
			d.Precision = Significant(int(precision))
		} else if precision < 0 {
			d.Precision = Decimals(-int(precision))
		}
		var got [3]float64
		for r := range got {
			d.Rounding = Rounding(r)
			text := s.format(d, v)
			if len(text) > maxText {
				t.Fatalf("%v: %q is too long", v, text)
			}
			var err error
			if got[r], err = s.parse(text); err != nil {
				t.Fatalf("%s: %v was formatted as %q: %v", s.kind.typ, v, text, err)
			}
		}
		nearest, down, up := got[Nearest], got[Down], got[Up]
		if down > v+slack || up < v-slack || nearest < down-slack || nearest > up+slack {
			t.Fatalf("%s: %v: down %v, nearest %v, up %v", s.kind.typ, v, down, nearest, up)
		}
	})
}
