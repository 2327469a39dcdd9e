package ballast_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// demoTable is invented; its loads follow pressure to the power 0.585, the
// shape of published load tables (memory of the TRA load formula).
func demoTable() []ballast.PressureLoad {
	var out []ballast.PressureLoad
	for kpa := 80.0; kpa <= 240; kpa += 40 {
		out = append(out, ballast.PressureLoad{units.GaugePressure(kpa) * units.GaugeKilopascal, units.Mass(1000 * math.Pow(kpa/160, 0.585))})
	}
	return out
}

// TestRequiredPressure: a row's own load gives the row's pressure, between rows the
// pressure is never less than the true curve asks, below the first row it
// stays, and beyond the last the load is refused.
func TestRequiredPressure(t *testing.T) {
	table := demoTable()
	in := ballast.RequiredPressure{Axle: ballast.Axle{Tire: ballast.TireRating{Table: table}}}
	for _, row := range table {
		in.AxleLoad = 2 * row.Load
		got, err := in.Solve()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "row", float64(got.Pressure), float64(row.Pressure), 1e-6)
		if got.Notes.Has(ballast.NoteInterpolated) || got.Now != stability.NotChecked {
			t.Errorf("a row's load: %v, %v", got.Notes, got.Now)
		}
	}
	last := units.GaugePressure(0)
	first, end := float64(table[0].Load), float64(table[len(table)-1].Load)
	for load := first; load <= end; load += 3.7 {
		in.AxleLoad = units.Mass(2 * load)
		got, err := in.Solve()
		if err != nil {
			t.Fatal(err)
		}
		curve := 160e3 * math.Pow(load/1000, 1/0.585)
		if float64(got.Pressure) < curve-1e-6 || float64(got.Pressure) > 1.03*curve {
			t.Errorf("%.0f kg: %.0f Pa, the curve asks %.0f", load, float64(got.Pressure), curve)
		}
		if got.Pressure < last {
			t.Errorf("more load, less pressure at %.0f kg", load)
		}
		last = got.Pressure
	}

	in.AxleLoad = units.Mass(first) // half of it on each tire
	got, err := in.Solve()
	if err != nil {
		t.Fatal(err)
	}
	if got.Pressure != table[0].Pressure || !got.Notes.Has(ballast.NoteLowestPressure) {
		t.Errorf("below the table: %v, %v", got.Pressure, got.Notes)
	}
	in.AxleLoad = units.Mass(2*end + 1)
	if _, err := in.Solve(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("beyond the table: %v", err)
	}
	in.AxleLoad = units.Mass(math.NaN())
	if _, err := in.Solve(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("no number: %v", err)
	}

	// What the tires have now, and the table's speed.
	in = ballast.RequiredPressure{AxleLoad: 2 * table[2].Load, Axle: ballast.Axle{Tire: ballast.TireRating{Table: table, Pressure: units.Is[units.GaugePressure](150e3)}}, Speed: 5, TableSpeed: 8}
	if got, err = in.Solve(); err != nil {
		t.Fatal(err)
	}
	if got.Now != stability.Exceeded || got.Notes.Has(ballast.NoteSpeedNotStated) || !got.Cautions.Has(ballast.CautionTireMaker|ballast.CautionPressure) {
		t.Errorf("%+v", got)
	}
	in.Axle.Tire.Pressure = units.Is[units.GaugePressure](160e3)
	if got, err = in.Solve(); err != nil || got.Now != stability.Within {
		t.Errorf("%+v, %v", got, err)
	}
	in.Speed = 9
	if _, err := in.Solve(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("faster than the table: %v", err)
	}
	in.Speed, in.Axle.TiresPerSide = 5, 1
	if got, err := in.Solve(); err != nil || got.Notes.Has(ballast.NoteDuals) {
		t.Errorf("single tires: %v, %v", got.Notes, err)
	}
	// Notes: at a row, between rows, below the first one.
	for _, c := range []struct {
		load          units.Mass
		lowest, drawn bool
	}{{table[0].Load, false, false}, {table[0].Load - 1, true, false}, {table[0].Load + 1, false, true}, {table[3].Load, false, false}, {table[3].Load - 1, false, true}} {
		in := ballast.RequiredPressure{AxleLoad: 2 * c.load, Axle: ballast.Axle{Tire: ballast.TireRating{Table: table}}}
		got, err := in.Solve()
		if err != nil || got.Notes.Has(ballast.NoteLowestPressure) != c.lowest || got.Notes.Has(ballast.NoteInterpolated) != c.drawn {
			t.Errorf("%v kg on a tire: %v, %v", float64(c.load), got.Notes, err)
		}
	}
	// The speed is told to be unknown unless both speeds are given.
	for _, c := range [][2]units.Speed{{0, 0}, {5, 0}, {0, 5}, {5, 5}} {
		in := ballast.RequiredPressure{AxleLoad: 1000, Speed: c[0], TableSpeed: c[1], Axle: ballast.Axle{Tire: ballast.TireRating{Table: table}}}
		got, err := in.Solve()
		if err != nil || got.Notes.Has(ballast.NoteSpeedNotStated) != (c[0] == 0 || c[1] == 0) {
			t.Errorf("speeds %v: %v, %v", c, got.Notes, err)
		}
	}
	// A load beyond the last row names the most: by hand, twice 1800 kg, and
	// 2 x 2 x 0.88 x 1800 kg on duals.
	for n, want := range []string{"3600 kg", "3600 kg", "6336 kg", "8856 kg"} {
		in := ballast.RequiredPressure{AxleLoad: 9000, Axle: ballast.Axle{TiresPerSide: n, Tire: ballast.TireRating{Table: []ballast.PressureLoad{{1e5, 1000}, {2e5, 1800}}}}}
		if _, err := in.Solve(); err == nil || !strings.Contains(err.Error(), "at most "+want) {
			t.Errorf("%d tires a side: %v, want at most %s", n, err, want)
		}
	}
	// Duals: 0.88 of each (memory), so 1.76 tires a side.
	in.Axle.TiresPerSide, in.AxleLoad = 2, units.Mass(2*1.76)*table[2].Load
	if got, err = in.Solve(); err != nil {
		t.Fatal(err)
	}
	near(t, "duals", float64(got.Pressure), float64(table[2].Pressure), 1e-6)
	if !got.Notes.Has(ballast.NoteDuals) {
		t.Errorf("duals: %v", got.Notes)
	}
}

// TestInflationRoundTrip: a tire inflated as told carries the load by the
// same table.
func TestInflationRoundTrip(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 1))
	for range 500 {
		in := ballast.RequiredPressure{Axle: ballast.Axle{Tire: ballast.TireRating{Table: demoTable()}}}
		in.AxleLoad = units.Mass(1400 + 1100*r.Float64())
		got, err := in.Solve()
		if err != nil {
			t.Fatal(err)
		}
		in.Axle.Tire.Pressure = units.Is(got.Pressure)
		load, most := in.Axle.Tire.LoadAt(in.Axle.Tire.Pressure.Value())
		if most {
			t.Fatal("an upper bound only")
		}
		near(t, "load", float64(load), float64(max(got.TireLoad, demoTable()[0].Load)), 1e-9)
	}
}

// FuzzRequiredPressure throws any table and load at the look-up: an error, or a
// pressure between the table's ends.
func FuzzRequiredPressure(f *testing.F) {
	f.Add(2000.0, 100e3, 500.0, 150e3, 800.0, 200e3, 1200.0, 2, 3.0, 5.0)
	f.Add(math.NaN(), 0.0, math.Inf(1), -1.0, 1e308, 5e-324, 0.0, -7, 1e308, math.NaN())
	f.Fuzz(func(t *testing.T, load, p0, m0, p1, m1, p2, m2 float64, duals int, speed, tableSpeed float64) {
		in := ballast.RequiredPressure{
			AxleLoad: units.Mass(load), Speed: units.Speed(speed), TableSpeed: units.Speed(tableSpeed),
			Axle: ballast.Axle{TiresPerSide: duals, Tire: ballast.TireRating{Table: []ballast.PressureLoad{
				{units.GaugePressure(p0), units.Mass(m0)}, {units.GaugePressure(p1), units.Mass(m1)}, {units.GaugePressure(p2), units.Mass(m2)},
			}}},
		}
		got, err := in.Solve()
		if err != nil {
			return
		}
		if !(float64(got.Pressure) >= p0 && float64(got.Pressure) <= p2) || !finite(float64(got.TireLoad)) {
			t.Errorf("%+v: %+v", in, got)
		}
	})
}
