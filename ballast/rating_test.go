package ballast_test

import (
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// frontTire returns what the front tires allow on the front axle: the machine
// of K1 is loaded until they bind, and the axle then carries twice one side.
func frontTire(t *testing.T, tire ballast.TireRating, change func(*ballast.Setup, *ballast.Lift)) (axle units.Mass, u ballast.Use) {
	t.Helper()
	in, _ := publishedRow(t, "checks.csv", "K1")
	s := plain(t, in, 1.75)
	s.Machine.Front.Tire = tire
	// Enough at the rear for the tires to be the limit.
	s.Pieces = []ballast.Piece{{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](4000), CG: ballast.Position{X: units.Is[units.Length](-1), Z: units.Is[units.Length](1)}, State: ballast.Raised}}
	l := hold(wholeShare)
	if change != nil {
		change(&s, &l)
	}
	u = use(t, s, l)
	m := u.Limit(ballast.LimitFrontTire).Mass
	return check(t, s, l, m).Axles.Front, u
}

// Checks TY1 to TY4 of checks.csv: load index and speed symbol of ISO 4223-1
// and ETRTO, load factors of ISO 7867-2:2018; exact.
func tireRatings(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "TY1")
	for i, li := range numbers(t, in, "li") {
		tire := ballast.TireRating{LoadIndex: liquid.LoadIndex(li), SpeedSymbol: liquid.SpeedA8}
		if err := tire.Validate(); err != nil {
			t.Fatal(err)
		}
		kg := numbers(t, want, "kg")[i]
		near(t, "TY1", float64(tire.LoadIndex.Mass()), kg, 0)
		if kg >= 1400 {
			axle, _ := frontTire(t, tire, nil)
			near(t, "TY1 on the axle", float64(axle), 2*kg, 1e-6)
		}
	}
	in, want = publishedRow(t, "checks.csv", "TY2")
	for i, sym := range in["sym"].([]any) {
		var s liquid.SpeedSymbol
		if err := s.UnmarshalText([]byte(sym.(string))); err != nil {
			t.Fatal(err)
		}
		near(t, "TY2", float64(s.Speed()/units.KilometerPerHour), numbers(t, want, "kmh")[i], 1e-12)
	}

	loader := ballast.Allowance{Kind: ballast.LoaderService, PressureRaised: true, ShortCycles: true, LowTorque: true}
	in, want = publishedRow(t, "checks.csv", "TY3")
	tire := ballast.TireRating{LoadIndex: 157, SpeedSymbol: liquid.SpeedA8}
	near(t, "TY3 base", float64(tire.LoadIndex.Mass()), number(t, in, "base_load_kg"), 0)
	confirmed := func(a ballast.Allowance, speed units.Speed) func(*ballast.Setup, *ballast.Lift) {
		return func(_ *ballast.Setup, l *ballast.Lift) { l.Tires, l.Speed = a, speed }
	}
	limit := units.Speed(number(t, in, "speed_kmh_max")) * units.KilometerPerHour
	axle, u := frontTire(t, tire, confirmed(loader, limit))
	near(t, "TY3", float64(axle), 2*number(t, want, "max_load_kg"), 1e-6)
	if u.Notes&ballast.NoteAllowanceUsed == 0 || u.Notes&ballast.NoteAllowanceRefused != 0 {
		t.Errorf("notes %v", u.Notes)
	}
	// Without one of its conditions the allowance is not granted.
	for name, f := range map[string]func(*ballast.Setup, *ballast.Lift){
		"too fast":    confirmed(loader, limit+0.01),
		"no speed":    confirmed(loader, 0),
		"no pressure": confirmed(ballast.Allowance{Kind: ballast.LoaderService, ShortCycles: true, LowTorque: true}, 1),
		"long way":    confirmed(ballast.Allowance{Kind: ballast.LoaderService, PressureRaised: true, LowTorque: true}, 1),
		"high torque": confirmed(ballast.Allowance{Kind: ballast.LoaderService, PressureRaised: true, ShortCycles: true}, 1),
		"other tires": func(s *ballast.Setup, l *ballast.Lift) {
			confirmed(ballast.Allowance{Kind: ballast.HaulageService, PressureRaised: true, ShortCycles: true}, 1)(s, l)
			s.Machine.Front.Tire.SpeedSymbol = liquid.SpeedB
		},
		"no condition": confirmed(ballast.Allowance{Kind: ballast.HaulageService}, 1),
	} {
		axle, u := frontTire(t, tire, f)
		near(t, name, float64(axle), 2*4125, 1e-6)
		if u.Notes&ballast.NoteAllowanceRefused == 0 {
			t.Errorf("%s: notes %v", name, u.Notes)
		}
	}

	in, want = publishedRow(t, "checks.csv", "TY4")
	front, rear, refused := ballast.Allowance{Kind: ballast.HaulageService, PressureRaised: true, ShortCycles: true}.Factor(1)
	base := number(t, in, "reference_load_kg")
	near(t, "TY4 free rolling", base*front, number(t, want, "free_rolling_kg"), 1e-9)
	near(t, "TY4 drive wheel", base*rear, number(t, want, "drive_wheel_kg"), 1e-9)
	if refused {
		t.Error("TY4 refused")
	}
}

// A tire is not rated beyond its speed symbol.
func TestTireNotRated(t *testing.T) {
	tire := ballast.TireRating{LoadIndex: 157, SpeedSymbol: liquid.SpeedA2}
	_, u := frontTire(t, tire, func(_ *ballast.Setup, l *ballast.Lift) { l.Speed = 10.1 * units.KilometerPerHour })
	if l := u.Limit(ballast.LimitFrontTire); l.Status != stability.ExceededWhenEmpty || u.Notes&ballast.NoteOverSpeed == 0 {
		t.Errorf("over speed: %v, %v", l.Status, u.Notes)
	}
	table := []ballast.PressureLoad{{100 * units.GaugeKilopascal, 1000}, {200 * units.GaugeKilopascal, 1800}}
	for _, c := range []struct {
		tire ballast.TireRating
		side units.Mass // 0: not checked
	}{
		{ballast.TireRating{Table: table, Pressure: units.Is(150 * units.GaugeKilopascal)}, 1400},
		{ballast.TireRating{Table: table, Pressure: units.Is(250 * units.GaugeKilopascal)}, 1800},
		{ballast.TireRating{Table: table, Pressure: units.Is(200 * units.GaugeKilopascal), LoadIndex: 120, SpeedSymbol: liquid.SpeedA8}, 1400},
		{ballast.TireRating{}, 0},
	} {
		axle, u := frontTire(t, c.tire, nil)
		if c.side == 0 {
			if l := u.Limit(ballast.LimitFrontTire); l.Status != stability.NotChecked || l.Mass != 0 {
				t.Errorf("%+v: %v", c.tire, l)
			}
			if u.Cautions&ballast.CautionUnchecked == 0 {
				t.Errorf("%+v: no caution", c.tire)
			}
			continue
		}
		near(t, "table", float64(axle), 2*float64(c.side), 1e-6)
	}
}

func TestPressureFor(t *testing.T) {
	r := ballast.TireRating{Table: []ballast.PressureLoad{{100 * units.GaugeKilopascal, 1000}, {200 * units.GaugeKilopascal, 1800}}}
	for _, c := range []struct{ load, kPa float64 }{{500, 100}, {1000, 100}, {1400, 150}, {1800, 200}} {
		p, err := r.PressureFor(units.Mass(c.load))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "pressure", float64(p/units.GaugeKilopascal), c.kPa, 1e-9)
	}
	// Rows by hand: 1390 kg is 90/450 of the way from 150 to 240 kPa.
	r = ballast.TireRating{Table: []ballast.PressureLoad{{100 * units.GaugeKilopascal, 1000}, {150 * units.GaugeKilopascal, 1300}, {240 * units.GaugeKilopascal, 1750}}}
	for _, c := range []struct{ load, kPa float64 }{{0, 100}, {1000, 100}, {1090, 115}, {1300, 150}, {1390, 168}, {1750, 240}} {
		p, err := r.PressureFor(units.Mass(c.load))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "pressure", float64(p/units.GaugeKilopascal), c.kPa, 1e-9)
		if c.load < 1000 {
			continue
		}
		r.Pressure = units.Is(units.GaugePressure(c.kPa) * units.GaugeKilopascal)
		load, most := r.LoadAt(r.Pressure.Value())
		if most {
			t.Errorf("%g kPa: an upper bound only", c.kPa)
		}
		near(t, "load", float64(load), c.load, 1e-9)
	}
	r.Pressure = units.Is(99.9 * units.GaugeKilopascal)
	if load, most := r.LoadAt(r.Pressure.Value()); !most || load != 1000 {
		t.Errorf("below the table: %v, %v", load, most)
	}
	r.Pressure = units.Is(300 * units.GaugeKilopascal)
	if load, most := r.LoadAt(r.Pressure.Value()); most || load != 1750 {
		t.Errorf("above the table: %v, %v", load, most)
	}
	r.Pressure = units.Input[units.GaugePressure]{}
	if load, most := r.LoadAt(r.Pressure.Value()); !most || load != 1750 {
		t.Errorf("no pressure: %v, %v", load, most)
	}
	r.Table[2].Load = 1
	if p, err := r.PressureFor(1); err == nil {
		t.Errorf("a falling table: %v", p)
	}
	r = ballast.TireRating{Table: []ballast.PressureLoad{{100 * units.GaugeKilopascal, 1000}, {200 * units.GaugeKilopascal, 1800}}}
	for _, load := range []units.Mass{1801, -1} {
		if p, err := r.PressureFor(load); err == nil {
			t.Errorf("%v kg: %v", float64(load), p)
		}
	}
	if _, err := (ballast.TireRating{}).PressureFor(100); err == nil {
		t.Error("no table is no error")
	}
}
