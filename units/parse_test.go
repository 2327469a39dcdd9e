package units_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

// The subjects must be every type, each over its own table.
func TestSubjectsAreWhole(t *testing.T) {
	for i, typ := range units.KindTypes() {
		if subjects[i].typ != typ {
			t.Errorf("subject %d is not %s", i, typ)
		}
		if got := subjects[i].value(1); typeName(got) != typ {
			t.Errorf("the table of %s is used by %s", typ, typeName(got))
		}
	}
}

// The rule is: the number times the unit's constant.
func TestParse(t *testing.T) {
	const nbsp, narrow, thin = "\u00a0", "\u202f", "\u2009"
	lengths := []struct {
		text string
		want units.Length
	}{
		{"24 in", 24 * units.Inch}, {"24in", 24 * units.Inch}, {"24  in", 24 * units.Inch}, {" 24 in ", 24 * units.Inch},
		{"24" + nbsp + "in", 24 * units.Inch}, {"24" + narrow + "in" + nbsp, 24 * units.Inch}, {thin + "24 in" + thin, 24 * units.Inch},
		{"24 inches", 24 * units.Inch}, {`24"`, 24 * units.Inch}, {"24″", 24 * units.Inch}, {"24 in.", 24 * units.Inch},
		{"+24 in", 24 * units.Inch}, {"-24 in", -24 * units.Inch}, {"\u221224 in", -24 * units.Inch},
		{"5 ft 3 in", 63 * units.Inch}, {"5ft3in", 63 * units.Inch}, {`5'3"`, 63 * units.Inch}, {`5′ 3″`, 63 * units.Inch}, {"-5 ft 3 in", -63 * units.Inch},
		{"5 ft 3.5 in", 63.5 * units.Inch}, {"5 ft 3 1/2 in", 63.5 * units.Inch}, {"0 ft 3 in", 3 * units.Inch}, {"5 feet 3 inches", 63 * units.Inch},
		{"1/2 in", 0.5 * units.Inch}, {"23 1/2 in", 23.5 * units.Inch}, {"23" + nbsp + "13/16 in", 23.8125 * units.Inch}, {"5/4 in", 1.25 * units.Inch},
		{"76 \u00be in", 76.75 * units.Inch}, {"76\u00be in", 76.75 * units.Inch}, {"76-3/4 in", 76.75 * units.Inch}, {"76 3\u20444 in", 76.75 * units.Inch}, {"\u215e in", 0.875 * units.Inch}, {"-7\u215b\u2033", -7.125 * units.Inch},
		{"5 ft 3-1/2 in", 63.5 * units.Inch}, {"5 ft \u00bd in", 60.5 * units.Inch}, {"5'3\u00bd\"", 63.5 * units.Inch}, {"76" + thin + "\u215c in", 76.375 * units.Inch},
		{"1,234.5 in", 1234.5 * units.Inch}, {"1,234,567 mm", 1234567 * units.Millimeter}, {"12,345,678.25 mm", 12345678.25 * units.Millimeter},
		{"1 234 mm", 1234 * units.Millimeter}, {"12" + thin + "345" + thin + "678.5 mm", 12345678.5 * units.Millimeter}, {"1" + nbsp + "234.5 mm", 1234.5 * units.Millimeter},
		{"1e3 mm", 1000 * units.Millimeter}, {"1E3mm", 1000 * units.Millimeter}, {"2.5e-3 km", 0.0025 * units.Kilometer}, {"1e+3 m", 1000},
		{".5 m", 0.5}, {"5. m", 5}, {"0 m", 0}, {"00012 m", 12},
		{"3 metres", 3}, {"3 meters", 3}, {"3 millimetres", 3 * units.Millimeter}, {"1 mile", units.Mile}, {"2 yd", 2 * units.Yard},
		{"0.1 m", 0.1}, {"9007199254740993 m", 9007199254740992}, {"0.30000000000000004 m", 0.30000000000000004},
		{"123456789012345678901234567890 m", 123456789012345678901234567890},
	}
	for _, c := range lengths {
		got, err := units.ParseLength(c.text)
		if err != nil || got != c.want {
			t.Errorf("%q is %v, %v; want %v", c.text, got, err, c.want)
		}
	}
	check := func(text string, got float64, err error, want float64) {
		t.Helper()
		if err != nil || got != want {
			t.Errorf("%q is %v, %v; want %v", text, got, err, want)
		}
	}
	v, err := units.ParseVolume("40 US-gal")
	check("40 US-gal", float64(v), err, float64(40*units.USGallon))
	v, err = units.ParseVolume("3 m³")
	check("3 m³", float64(v), err, 3)
	v, err = units.ParseVolume("250 litres")
	check("250 litres", float64(v), err, float64(250*units.Liter))
	a, err := units.ParseArea("3 m^2")
	check("3 m^2", float64(a), err, 3)
	m, err := units.ParseMoment("3 N·m")
	check("3 N·m", float64(m), err, 3)
	m, err = units.ParseMoment("3 lbf-ft")
	check("3 lbf-ft", float64(m), err, float64(3*units.PoundForceFoot))
	w, err := units.ParseMass("5 lb 3 oz")
	check("5 lb 3 oz", float64(w), err, float64(83*units.Ounce))
	d, err := units.ParseDuration("1 h 30 min")
	check("1 h 30 min", float64(d), err, float64(90*units.Minute))
	// A part is less than one of the unit before it.
	for text, want := range map[string]float64{"1 h 59 min": 7140, "1 h 3599 s": 7199, "1 min 59.5 s": 119.5, "1 h 60 min": -1, "1 h 3600 s": -1, "1 min 60 s": -1} {
		if d, err := units.ParseDuration(text); (err == nil) != (want > 0) || err == nil && math.Abs(float64(d)-want) > 1e-9 {
			t.Errorf("%q: %v, %v; want %v", text, float64(d), err, want)
		}
	}
	for text, want := range map[string]float64{"1 deg 59'": 119. / 60, `1 deg 3599"`: 7199. / 3600, `1' 59.5"`: 119.5 / 3600, "1 deg 60'": -1, `1 deg 3600"`: -1, `1' 60"`: -1} {
		if a, err := units.ParseAngle(text); (err == nil) != (want > 0) || err == nil && math.Abs(float64(a/units.Degree)-want) > 1e-9 {
			t.Errorf("%q: %v, %v; want %v", text, float64(a), err, want)
		}
	}
	d, err = units.ParseDuration("1 h 30 min 5 s")
	check("1 h 30 min 5 s", float64(d), err, 5405)
	g, err := units.ParseAngle("12° 30′")
	check("12° 30′", float64(g), err, float64(750*units.ArcMinute))
	p, err := units.ParseGaugePressure("23 psig")
	check("23 psig", float64(p), err, float64(23*units.GaugePSI))
	p, err = units.ParseGaugePressure("1.6 bar(g)")
	check("1.6 bar(g)", float64(p), err, float64(1.6*units.GaugeBar))
	f, err := units.ParseFraction("25 %")
	check("25 %", float64(f), err, 0.25)
	f, err = units.ParseFraction("0.25")
	check("0.25", float64(f), err, 0.25)
	acc, err := units.ParseAcceleration("9.81 m/s²")
	check("9.81 m/s²", float64(acc), err, 9.81)
}

// A refusal must say what would be accepted.
func TestParseRefuses(t *testing.T) {
	for _, c := range []struct {
		typ, text, want string
	}{
		{"Length", "", "must start with a number"}, {"Length", "in", "must start with a number"}, {"Length", "- 3 in", "must start with a number"},
		{"Length", "--3 in", "must start with a number"}, {"Length", "0x10 m", "unknown unit"}, {"Length", "1_000 m", "unknown unit"},
		{"Length", "NaN m", "must be finite"}, {"Length", "inf", "must be finite"}, {"Length", "-Infinity m", "must be finite"}, {"Length", "∞ m", "must be finite"},
		{"Length", "1e400 m", "too large"}, {"Length", "1e308 km", "too large"}, {"Length", "1e999999999999 m", "too large"},
		{"Length", "24", `units: m, mm, cm, km, in, ft, yd, mi`}, {"Length", strings.Repeat("1", 200), "too long"},
		{"Length", "1,5 m", `write the decimal point as "."`}, {"Length", "0,500 m", "decimal point"}, {"Length", "1.234,5 m", "decimal point"},
		{"Length", "1234,5 m", "decimal point"}, {"Length", "1,2345 m", "decimal point"},
		{"Length", "1,234 m", `write "1234" or "1.234"`}, {"Length", "-1,234 m", `write "1234" or "1.234"`},
		{"Length", "1,234 567 m", "same separator"}, {"Length", "1234 567 m", "three digits"}, {"Length", "0 500 m", "three digits"},
		{"Length", "1.2.3 m", "is written like"}, {"Length", "1 1/3 in", "denominator"}, {"Length", "1 5/4 in", "less than 1"}, {"Length", "1/0 in", "denominator"},
		{"Length", "5 ft 13 in", "smaller than one"}, {"Length", "5 ft 12 in", "smaller than one"}, {"Length", "5.5 ft 3 in", "must be whole"}, {"Length", "3 in 5 ft", "compound"}, {"Length", "3 m 5 cm", "compound"},
		{"Length", "5 ft 3", "unknown unit"}, {"Length", "5 ft -3 in", "unknown unit"}, {"Length", "3 inchs", `did you mean "in"?`}, {"Length", "3 IN", `did you mean "in"?`},
		{"Length", "3 furlong", "write one of m, mm"}, {"Length", "3 kg", `"kg" is a unit of a mass, not of a length`},
		{"Mass", "2 ton", `"t" (1000 kg), "short ton" (2000 lb) or "long ton" (2240 lb)`}, {"Mass", "2 tons", `"short ton"`},
		{"Mass", "70 N", `"N" is a unit of force; for a mass write "kg" or "lb"`}, {"Mass", "70 lbf", `for a mass write`}, {"Mass", "70 LB", `did you mean "lb"?`},
		{"Force", "70 lb", `"lb" is a mass; for a force write "lbf"`}, {"Force", "70 kg", `for a force write "kgf" or "N"`},
		{"Moment", "70 ft-lb", `write "lbf ft"`}, {"Moment", "70 lb·ft", `write "lbf ft"`}, {"Moment", "7 kg m", `write "kgf m"`},
		{"Volume", "40 gal", `"US gal" or "imp gal"`}, {"Volume", "40 gallons", `"US gal" or "imp gal"`},
		{"Density", "10 lb/gal", `"lb/US gal" or "lb/imp gal"`}, {"Power", "75 hp", `"mechanical hp"`},
		{"GaugePressure", "23 psi", `"psi gauge"`}, {"GaugePressure", "1.6 bar", `"bar gauge"`}, {"GaugePressure", "160 kPa", `"kPa gauge"`}, {"GaugePressure", "23 psia", "must be a gauge pressure"},
		{"AbsolutePressure", "14.7 psi", `"psi absolute"`}, {"AbsolutePressure", "23 psig", "must be an absolute pressure"},
		{"Pressure", "23 psig", "neither gauge nor absolute"}, {"Pressure", "3 kN", "unit of force"},
		{"Slope", "12", `"12 deg" or "1:5"`}, {"Slope", "5:1", "rise:run"}, {"Slope", "1:0", "rise:run"}, {"Slope", "1:5 %", "rise:run"},
		{"Angle", "21 %", "slope"}, {"Angle", "12", "missing"}, {"Temperature", "5 deg", "which degrees"}, {"Temperature", "5", "missing"},
		{"MassFraction", "30 %", `"% by mass"`}, {"MassFraction", "0.3", "missing"},
		{"MassPerWater", "3 lb/US gal", `"of water"`}, {"MassPerSolution", "3 lb/US gal", `"of solution"`},
		{"MassPerWater", "3 lb/US gal of solution", `must be "of water"`}, {"Acceleration", "9.8 g", `"g0"`}, {"Energy", "9 N m", `"J"`},
		{"Duration", "5 m", `"min"`},
	} {
		s := &subjects[subjectOf(t, c.typ)]
		got, err := s.parse(c.text)
		var field *units.FieldError
		if !errors.As(err, &field) || !errors.Is(err, units.ErrInvalid) || got != 0 {
			t.Errorf("%s: %q is %v, %v", s.typ, c.text, got, err)
			continue
		}
		if !strings.Contains(field.Want, c.want) {
			t.Errorf("%s: %q: %q does not say %q", s.typ, c.text, field.Want, c.want)
		}
		if got, err := s.unmarshal(c.text, 42); err == nil || got != 42 {
			t.Errorf("%s: %q was put into a variable as %v, %v", s.typ, c.text, got, err)
		}
	}
}

// Every unit of every kind, written behind a number, is read as the number
// times its factor, alone and with each of its names.
func TestParseEveryUnit(t *testing.T) {
	for i := range subjects {
		s := &subjects[i]
		for j := range s.units {
			u := &s.units[j]
			for _, name := range append([]string{u.symbol}, u.names...) {
				for _, n := range []float64{0, 1, 24, 70.5, -3.25, 1e-9, 6.02e23} {
					for _, gap := range []string{"", " ", "\u00a0"} {
						text := strconv.FormatFloat(n, 'g', -1, 64) + gap + name
						if name == "" && gap != "" {
							continue
						}
						got, err := s.parse(text)
						if err != nil || got != u.of(n) {
							t.Fatalf("%s: %q is %v, %v; want %v", s.typ, text, got, err, u.of(n))
						}
					}
				}
			}
		}
	}
}

// randomFloats yields finite numbers over all magnitudes and signs, with the
// odd ones first.
func randomFloats(n int) []float64 {
	list := []float64{0, math.Copysign(0, -1), 1, -1, math.MaxFloat64, -math.MaxFloat64,
		math.SmallestNonzeroFloat64, 0x1p-1022, 1e-6, 9.999999999999999e-7, 1e21, 999999999999999868928, 0.1, 1 / 3.0}
	r := rand.New(rand.NewPCG(1, 2))
	for len(list) < n {
		if f := math.Float64frombits(r.Uint64()); !math.IsNaN(f) && !math.IsInf(f, 0) {
			list = append(list, f, math.Round(f*1e3)/1e3, r.NormFloat64()*1e3)
		}
	}
	for i, f := range list {
		if math.IsInf(f, 0) || math.IsNaN(f) {
			list[i] = 2
		}
	}
	return list
}

// What is written must be read back bit for bit.
func TestRoundTrip(t *testing.T) {
	list := randomFloats(2000)
	for i := range subjects {
		s := &subjects[i]
		for _, v := range list {
			roundTrip(t, s, v)
		}
	}
}

func roundTrip(t *testing.T, s *subject, v float64) {
	t.Helper()
	text := s.text(v)
	got, err := s.parse(text)
	if err != nil || math.Float64bits(got) != math.Float64bits(v) {
		t.Fatalf("%s: %v was written as %q and read as %v, %v", s.typ, v, text, got, err)
	}
	b, err := s.marshal(v)
	if err != nil || string(b) != text {
		t.Fatalf("%s: marshaled as %q, %v; String is %q", s.typ, b, err, text)
	}
	if b, err = s.append([]byte("x"), v); err != nil || string(b) != "x"+text {
		t.Fatalf("%s: appended as %q, %v; String is %q", s.typ, b, err, text)
	}
	if got, err = s.unmarshal(text, 42); err != nil || math.Float64bits(got) != math.Float64bits(v) {
		t.Fatalf("%s: %q was unmarshaled as %v, %v", s.typ, text, got, err)
	}
}

// A quantity that is not finite is written by String, for logs, and by nothing
// that is read again.
func TestNotFinite(t *testing.T) {
	for i := range subjects {
		s := &subjects[i]
		for _, v := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
			if b, err := s.marshal(v); !errors.Is(err, units.ErrInvalid) || b != nil {
				t.Errorf("%s: %v was marshaled as %q, %v", s.typ, v, b, err)
			}
			if _, err := s.parse(s.text(v)); err == nil {
				t.Errorf("%s: %q was read", s.typ, s.text(v))
			}
		}
	}
}

// Reading allocates nothing when it succeeds, whatever the form.
func TestParseAllocatesNothing(t *testing.T) {
	texts := []string{"70 lb", "24in", "5 ft 3 1/2 in", "1,234.5 lb", "1 234.5 kg", "\u22125\u00a0°C", "40 US-gal",
		"3 litres", "0.30000000000000004 m", "123456789012345678901234567890 kg", "1:5", "21 %", "23 psi gauge", "3.5 lb/US gal of water", "12° 30′ 15″"}
	read := map[string]bool{}
	for i := range subjects {
		k := &subjects[i]
		for _, s := range texts {
			if _, err := k.parse(s); err != nil {
				continue
			}
			read[s] = true
			if n := testing.AllocsPerRun(10, func() { _, _ = k.parse(s) }); n != 0 {
				t.Errorf("%s: %q: %v allocations", k.typ, s, n)
			}
		}
	}
	for _, s := range texts {
		if !read[s] {
			t.Errorf("%q was read by no kind", s)
		}
	}
	var m units.Mass
	text := []byte("1783.25 kg")
	if n := testing.AllocsPerRun(10, func() { _ = m.UnmarshalText(text) }); n != 0 {
		t.Errorf("UnmarshalText: %v allocations", n)
	}
	if n := testing.AllocsPerRun(10, func() { m, _ = units.ParseMass("70 lb") }); n != 0 {
		t.Errorf("ParseMass: %v allocations", n)
	}
	buf := make([]byte, 0, 64)
	if n := testing.AllocsPerRun(10, func() { buf, _ = m.AppendText(buf[:0]) }); n != 0 {
		t.Errorf("AppendText: %v allocations", n)
	}
	d := units.Display{System: units.USCustomary}
	if n := testing.AllocsPerRun(10, func() { buf = units.AppendFormat(buf[:0], d, m) }); n != 0 {
		t.Errorf("AppendFormat: %v allocations", n)
	}
}

// FuzzParse reads any text as any kind: no panic; and what is read is finite,
// read alike by UnmarshalText, and survives being written.
func FuzzParse(f *testing.F) {
	for i := range subjects {
		f.Add(uint8(i), subjects[i].example)
		for j := range subjects[i].units {
			f.Add(uint8(i), "-1,234.5e1 "+subjects[i].units[j].symbol)
		}
	}
	for _, s := range []string{"", "5 ft 3 1/2 in", "5'3\"", "12° 30′ 15″", "\u22121\u00a0234.5 mm", "1:5", "1,5 m", "NaN", "1e400 m", "9 lb 15 63/64 oz"} {
		f.Add(uint8(0), s)
		f.Add(uint8(subjectOf(f, "Slope")), s)
		f.Add(uint8(subjectOf(f, "Angle")), s)
	}
	f.Fuzz(func(t *testing.T, kind uint8, text string) {
		s := &subjects[int(kind)%len(subjects)]
		v, err := s.parse(text)
		w, uerr := s.unmarshal(text, 42)
		if (err == nil) != (uerr == nil) {
			t.Fatalf("%q: Parse says %v, UnmarshalText %v", text, err, uerr)
		}
		if err != nil {
			var field *units.FieldError
			if !errors.As(err, &field) || field.Want == "" || v != 0 || w != 42 || strings.Contains(field.Want, "%!") && !strings.Contains(text, "%!") {
				t.Fatalf("%q: %v, %v, %#v", text, v, w, err)
			}
			return
		}
		if math.IsNaN(v) || math.IsInf(v, 0) || math.Float64bits(v) != math.Float64bits(w) {
			t.Fatalf("%q is %v and %v", text, v, w)
		}
		roundTrip(t, s, v)
	})
}

// FuzzRoundTrip writes and reads any number as any kind.
func FuzzRoundTrip(f *testing.F) {
	for i := range subjects {
		f.Add(uint8(i), math.Float64bits(1.0/3))
		f.Add(uint8(i), math.Float64bits(1e-7))
	}
	f.Fuzz(func(t *testing.T, kind uint8, bits uint64) {
		v := math.Float64frombits(bits)
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			roundTrip(t, &subjects[int(kind)%len(subjects)], v)
		}
	})
}

// FuzzUnitNamed looks any name up in any kind.
func FuzzUnitNamed(f *testing.F) {
	f.Add("in")
	f.Add("N·m")
	f.Add("KGM")
	f.Fuzz(func(t *testing.T, name string) {
		u, err := units.UnitNamed[units.Length](name)
		if err != nil && !errors.Is(err, units.ErrInvalid) {
			t.Fatal(err)
		}
		if err == nil {
			if got, err := units.ParseLength("3 " + name); err != nil || got != u.Of(3) {
				t.Fatalf("%q: %v, %v", name, got, err)
			}
		}
		if _, err := units.UnitByCode[units.Mass](name); err != nil && !errors.Is(err, units.ErrInvalid) {
			t.Fatal(err)
		}
	})
}

func typeName(v any) string { return reflect.TypeOf(v).Name() }

// A tab or a line break is no space here, and the error shows it.
func TestOddSpaceIsShown(t *testing.T) {
	for _, text := range []string{"5 m\n", "5\tm", "5\u3000m"} {
		if _, err := units.ParseLength(text); err == nil || strings.Contains(err.Error(), `unit "m"`) {
			t.Errorf("%q: %v", text, err)
		}
	}
	// What stands before and behind the unit is trimmed only where it is a
	// space of the parser's own.
	if _, err := units.ParseLength("5 \u00a0zz "); err == nil || !strings.Contains(err.Error(), `unit "zz"`) {
		t.Error(err)
	}
}

// A number that is not zero is never read as zero.
func TestTooSmall(t *testing.T) {
	for _, text := range []string{"1e-999 kg", "-1e-400 lb", "1e-324 kg", "0.000 1e-320 kg", "5e-324 mg", "1e-310 ug", "1 000e-999 kg", "1,000,000e-999 kg"} {
		if m, err := units.ParseMass(text); err == nil {
			t.Errorf("%s is %v", text, m)
		}
	}
	for text, want := range map[string]units.Mass{"0 kg": 0, "0e-999 kg": 0, "0.000 kg": 0, "1e-300 kg": 1e-300, "7.000 kg": 7, "1.234 kg": 1.234} {
		if m, err := units.ParseMass(text); err != nil || m != want {
			t.Errorf("%s: %v, %v", text, m, err)
		}
	}
	if v, err := units.ParseTemperature("-273.15 degC"); err != nil || v != 0 {
		t.Errorf("%v, %v", v, err)
	}
}
