package liquid_test

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// An independentCavity is a tire whose section this library does not have, with
// the volumes that a script found; see testdata/README.md.
type independentCavity struct {
	Size   string
	Full   float64
	Levels []struct{ Clock, Volume float64 }
}

// levels returns the levels with their volumes: the valve at 12, 11, 10, 9, 8, 7
// and 6 o'clock, and full. The first five and the last are fills in use.
func (c independentCavity) levels() (l []liquid.Level, v []float64) {
	for _, x := range c.Levels {
		l, v = append(l, liquid.ValveAt(x.Clock)), append(v, x.Volume)
	}
	return append(l, liquid.FractionOf(1)), append(v, c.Full)
}

var usedLevels, lowLevels = []int{0, 1, 2, 3, 4, 7}, []int{5, 6}

// The files of independent cavities: sections of another formula, and contours of the
// inflated membrane.
const shapesFile, membranesFile = "cavities.json", "membranes.json"

func independentCavities(t testing.TB, name string) []independentCavity {
	t.Helper()
	b, err := os.ReadFile("../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	var file struct{ Cases []independentCavity }
	if err := json.Unmarshal(b, &file); err != nil {
		t.Fatal(err)
	}
	if len(file.Cases) < 200 {
		t.Fatalf("only %d cavities", len(file.Cases))
	}
	return file.Cases
}

func row(l liquid.Level, v, spread float64) liquid.Reading {
	return liquid.Reading{Level: l, Volume: units.Between(units.Volume(v*(1-spread)), units.Volume(v*(1+spread)))}
}

func unloaded(t testing.TB, size string) liquid.Tire {
	tire := mustTire(t, size)
	tire.Unloaded = true
	return tire
}

// errorsOf collects differences in percent.
type errorsOf []float64

func (e *errorsOf) add(got, want float64) { *e = append(*e, 100*math.Abs(got/want-1)) }

func (e errorsOf) median() float64 { slices.Sort(e); return e[len(e)/2] }
func (e errorsOf) worst() float64  { return slices.Max(e) }

func volumeAt(t testing.TB, c *liquid.Cavity, l liquid.Level) float64 {
	t.Helper()
	z, _ := c.Level(l, 1000)
	return float64(c.VolumeDirect(z))
}

// One level of an independent cavity is given, and the others are foretold: median 1 %,
// worst 3 %, as the task of this library sets it, for fills from 4 o'clock to full. Below
// 4 o'clock no rule on one level does it: the best linear rule fitted to the membranes
// themselves, by regression of one volume on another, is 6.9 % off at the worst. Beside it
// stand the errors without the level.
func oneRow(file string, worstLow float64) func(t *testing.T) {
	return func(t *testing.T) {
		var with, without, low errorsOf
		for n, c := range independentCavities(t, file) {
			if n%4 == 3 {
				continue // three of four, for time
			}
			levels, volumes := c.levels()
			base := unloaded(t, c.Size)
			for i, l := range levels {
				if slices.Contains(usedLevels, i) {
					without.add(liquid.VolumeAt(base, l), volumes[i])
				}
			}
			for _, i := range usedLevels {
				got, err := base.Calibrate(row(levels[i], volumes[i], 0.001))
				if err != nil || len(got.Corrected) == 0 {
					t.Fatalf("%s: %+v, %v", c.Size, got, err)
				}
				for _, j := range usedLevels {
					switch v := liquid.VolumeAt(got.Tire, levels[j]); {
					case j != i:
						with.add(v, volumes[j])
						validation.Relative(t, v, volumes[j])
					case len(got.Findings) == 0 && math.Abs(v/volumes[i]-1) > 2e-4: // a fifth of its error
						t.Errorf("%s: %v at the level given, want %v", c.Size, v, volumes[i])
					}
				}
				for _, j := range lowLevels {
					low.add(liquid.VolumeAt(got.Tire, levels[j]), volumes[j])
				}
			}
		}
		t.Logf("%d volumes foretold: median %.2f %%, worst %.1f %%; without a row %.1f %% and %.1f %%; with the valve below 4 o'clock %.2f %% and %.1f %%",
			len(with), with.median(), with.worst(), without.median(), without.worst(), low.median(), low.worst())
		if with.median() > 1 || with.worst() > 3 || low.median() > 1.5 || low.worst() > worstLow {
			t.Errorf("beyond 1 %% and 3 %%, or, with the valve below 4 o'clock, 1.5 %% and %v %%", worstLow)
		}
		if without.median() < 2*with.median() || without.worst() < 2*with.worst() {
			t.Error("the row helps too little")
		}
	}
}

// A column of three levels gives the shape: lower levels are foretold as well.
func column(file string, worst float64) func(t *testing.T) {
	return func(t *testing.T) {
		var with errorsOf
		for n, c := range independentCavities(t, file) {
			if n%4 != 0 {
				continue // one of four, for time
			}
			levels, volumes := c.levels()
			base := unloaded(t, c.Size)
			got, err := base.Calibrate(row(levels[0], volumes[0], 0.002), row(levels[2], volumes[2], 0.002), row(levels[4], volumes[4], 0.002))
			if err != nil || len(got.Corrected) < 2 {
				t.Fatalf("%s: %+v, %v", c.Size, got, err)
			}
			for _, j := range []int{1, 3, 5, 6, 7} {
				v := liquid.VolumeAt(got.Tire, levels[j])
				with.add(v, volumes[j])
				validation.Relative(t, v, volumes[j])
			}
		}
		t.Logf("%d volumes foretold: median %.2f %%, worst %.1f %%", len(with), with.median(), with.worst())
		if with.median() > 0.5 || with.worst() > worst {
			t.Errorf("beyond 0.5 %% and %v %%", worst)
		}
	}
}

// The band of a calibrated tire holds the volume of the independent cavity at
// every level, and is much narrower than before. So does the band of one that is not
// calibrated.
func TestCalibratedBands(t *testing.T) {
	water := liquid.Fluid{Kind: liquid.Water}
	for _, file := range []string{shapesFile, membranesFile} {
		held, all, found := 0, 0, 0
		beyond := 0.0
		var before, there, elsewhere, low errorsOf
		for n, c := range independentCavities(t, file) {
			if n%7 != 0 {
				continue
			}
			levels, volumes := c.levels()
			base := unloaded(t, c.Size)
			var was []liquid.Filled
			for j, l := range levels {
				f, err := liquid.Fill{Tire: base, Fluid: water, Level: l}.Solve()
				if err != nil {
					t.Fatal(err)
				}
				if v := units.Volume(volumes[j]); !f.VolumeBand.Contains(v) {
					t.Errorf("%s of %s, level %d: %v is outside the band %v of a tire known by its designation", c.Size, file, j, v, f.VolumeBand)
				}
				was = append(was, f)
			}
			for _, i := range []int{0, 2, 4, 7} {
				got, err := base.Calibrate(row(levels[i], volumes[i], 0.01))
				if err != nil {
					t.Fatal(err)
				}
				if len(got.Findings) > 0 {
					found++
				}
				for j, l := range levels {
					is, err := liquid.Fill{Tire: got.Tire, Fluid: water, Level: l}.Solve()
					if err != nil {
						t.Fatal(err)
					}
					if !is.Notes.Has(liquid.NoteCalibrated) || was[j].Notes.Has(liquid.NoteCalibrated) {
						t.Errorf("%s: notes %v", c.Size, is.Notes)
					}
					half := func(f liquid.Filled) float64 { return float64(f.VolumeBand.High-f.VolumeBand.Low) / 2 }
					all++
					if b := is.VolumeBand; b.Contains(units.Volume(volumes[j])) {
						held++
					} else {
						beyond = math.Max(beyond, math.Max(float64(b.Low)-volumes[j], volumes[j]-float64(b.High))/volumes[j])
					}
					if half(is) > half(was[j]) && len(got.Findings) == 0 {
						t.Errorf("%s, level %d from %d: band %v, was %v", c.Size, j, i, is.VolumeBand, was[j].VolumeBand)
					}
					before.add(1+half(was[j])/volumes[j], 1)
					switch {
					case i == j:
						there.add(1+half(is)/volumes[j], 1)
					case slices.Contains(usedLevels, j):
						elsewhere.add(1+half(is)/volumes[j], 1)
					default:
						low.add(1+half(is)/volumes[j], 1)
					}
				}
			}
		}
		t.Logf("%s: half bands, median: %.1f %% before, %.1f %% at the level measured, %.1f %% at other fills in use, %.1f %% below 4 o'clock; %d of %d volumes inside, %.2f %% beyond at the worst; %d findings",
			file, before.median(), there.median(), elsewhere.median(), low.median(), held, all, 100*beyond, found)
		if held < all {
			t.Errorf("%s: %d of %d volumes are outside the band", file, all-held, all)
		}
		if there.worst() > 1.5 || elsewhere.worst() > 12 || before.median() < 10 {
			t.Errorf("half bands %v and %v, before %v", there.worst(), elsewhere.worst(), before.median())
		}
	}
}

// Whatever was read, the cavity stays inside the outer shape of its tire, and
// every dimension inside its band.
func TestCalibratedInside(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 3))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	sizes := []string{"14.9-24", "10-16.5", "480/70R34", "31x15.50-15", "7.50-16", "17.5L-24"}
	tried := 0
	for range 120 {
		tire := unloaded(t, sizes[r.IntN(len(sizes))])
		if r.IntN(3) == 0 {
			tire = randomTire(r)
		}
		base, err := tire.Resolve()
		if err != nil {
			continue
		}
		full := mustCompile(t, base).FullVolume()
		var readings []liquid.Reading
		for range 1 + r.IntN(4) {
			levels := []liquid.Level{liquid.ValveAt(in(1, 12)), liquid.FractionOf(1), liquid.HeightAt(units.Length(in(-0.1, 0.3))), liquid.HeadAt(units.Length(in(0, 0.4)), in(5, 7))}
			readings = append(readings, row(levels[r.IntN(4)], float64(full)*math.Exp(in(-2, 1)), in(0.0001, 0.05)))
		}
		got, err := base.Calibrate(readings...)
		if err != nil {
			if !errors.Is(err, units.ErrInvalid) {
				t.Fatal(err)
			}
			continue
		}
		tried++
		for _, f := range dimensions {
			was, is := f.at(&base), f.at(&got.Tire)
			if math.Abs(float64(is.Value-was.Value)) > float64(was.Spread)+1e-12 {
				t.Errorf("%s moved from %+v to %+v", f.name, *was, *is)
			}
		}
		if c := got.Tire.Crown; c < 2-1e-12 || c > 3+1e-12 {
			t.Errorf("crown %v", c)
		}
		for _, side := range []float64{-1, 0, 1} {
			s := liquid.SectionOf(got.Tire, side)
			outer := got.Tire.OverallDiameter.Value + units.Length(side)*got.Tire.OverallDiameter.Spread
			wide := got.Tire.SectionWidth.Value + units.Length(side)*got.Tire.SectionWidth.Spread
			if s.RC > float64(outer)/2+1e-12 || s.W > float64(wide)+1e-12 || s.WB > s.W || s.WW > s.WB || !(s.RW > 0 && s.RW <= s.RB && s.RB < s.RM && s.RM < s.RC) {
				t.Errorf("section %+v in %v by %v", s, outer, wide)
			}
			for q := 0.0; q < 1.5; q += 0.01 {
				if w := s.Width(q); w > float64(wide)+1e-12 || w > 0 && q > float64(outer)/2 {
					t.Errorf("%v wide at %v", w, q)
				}
			}
		}
		for _, l := range []liquid.Level{liquid.ValveAt(12), liquid.ValveAt(5), liquid.MassOf(100), liquid.FractionOf(0.5)} {
			f, err := liquid.Fill{Tire: got.Tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: l}.Solve()
			if err != nil || !(f.VolumeBand.Low >= 0 && f.VolumeBand.Low <= f.Volume && f.Volume <= f.VolumeBand.High) || !f.LevelBand.Contains(f.Level) || math.IsNaN(float64(f.VolumeBand.High)) {
				t.Errorf("%+v: %+v, %v", l, f, err)
			}
		}
		b, err := json.Marshal(got.Tire)
		if err != nil {
			t.Fatal(err)
		}
		var back liquid.Tire
		if err := json.Unmarshal(b, &back); err != nil || !reflect.DeepEqual(back, got.Tire) {
			t.Fatalf("%s read back as %+v, %v", b, back, err)
		}
		if again, err := back.Resolve(); err != nil || !reflect.DeepEqual(again, got.Tire) {
			t.Fatalf("resolved again %+v, %v", again, err)
		}
	}
	if tried < 110 {
		t.Errorf("only %d tires", tried)
	}
}

func mustCompile(t testing.TB, tire liquid.Tire) *liquid.Cavity {
	t.Helper()
	c, err := tire.Compile()
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// Readings by hand: an axle of 1500 kg before and 1980 kg after, two tires, a
// brine of 1200 kg/m3 by hydrometer: 240 kg and 200 L each.
func TestReadings(t *testing.T) {
	tire := unloaded(t, "14.9-24 R-1")
	axle := liquid.Reading{Level: liquid.ValveAt(12), AxleBefore: units.Between[units.Mass](1495, 1505), AxleAfter: units.Between[units.Mass](1975, 1985), Tires: 2, Hydrometer: units.Between[units.Density](1194, 1206), Unloaded: true}
	got, err := tire.Calibrate(axle)
	if err != nil || len(got.Findings) > 0 || got.Notes.Has(liquid.NoteSpreadAssumed) {
		t.Fatalf("%+v, %v", got, err)
	}
	low, high := 235.0/1206, 245.0/1194
	if k := got.Tire.Known[0]; math.Abs(float64(k.Volume)-(low+high)/2) > 1e-9 || math.Abs(float64(k.Spread)-(high-low)/2) > 1e-9 || k.Level != axle.Level {
		t.Errorf("%+v, want %v to %v", k, low, high)
	}
	f, err := liquid.Fill{Tire: got.Tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}.Solve()
	if err != nil || math.Abs(float64(f.Volume)-(low+high)/2) > (high-low)/4 || math.Abs(float64(f.VolumeBand.Low)-low) > 1e-4 || math.Abs(float64(f.VolumeBand.High)-high) > 1e-4 {
		t.Errorf("%v in %v, %v; want %v to %v", f.Volume, f.VolumeBand, err, low, high)
	}
	one := func(d liquid.Dimension) bool { return d.Origin == liquid.Corrected }
	moved := 0
	for _, x := range dimensions {
		if one(*x.at(&got.Tire)) {
			moved++
		}
	}
	if slices.Contains(got.Corrected, "crown") && got.Tire.CrownMoved != 0 {
		moved++
	}
	if len(got.Corrected) == 0 || moved != len(got.Corrected) {
		t.Errorf("corrected %v", got.Corrected)
	}

	// A single value is good to 1 %, an axle load and a hydrometer to 0.5 %.
	for _, c := range []struct {
		r         liquid.Reading
		low, high float64
	}{
		{liquid.Reading{Level: liquid.ValveAt(12), Volume: units.Is[units.Volume](0.2)}, 0.198, 0.202},
		{liquid.Reading{Level: liquid.ValveAt(12), Mass: units.Is[units.Mass](200), Hydrometer: units.Is[units.Density](1000)}, 198 / 1005.0, 202 / 995.0},
		{liquid.Reading{Level: liquid.ValveAt(12), AxleBefore: units.Is[units.Mass](1000), AxleAfter: units.Is[units.Mass](1400), Tires: 2, Hydrometer: units.Is[units.Density](1000)}, (1393 - 1005) / 2010.0, (1407 - 995) / 1990.0},
	} {
		got, err := tire.Calibrate(c.r)
		if err != nil || !got.Notes.Has(liquid.NoteSpreadAssumed) {
			t.Errorf("%+v: %v, %v", c.r, got.Notes, err)
			continue
		}
		if k := got.Tire.Known[0]; math.Abs(float64(k.Volume-k.Spread)-c.low) > 1e-9 || math.Abs(float64(k.Volume+k.Spread)-c.high) > 1e-9 {
			t.Errorf("%+v: %+v, want %v to %v", c.r, k, c.low, c.high)
		}
	}
}

// Readings that contradict each other, the tire or the fluid are named; those
// within their errors are not.
func TestFindings(t *testing.T) {
	tire := unloaded(t, "14.9-24 R-1")
	c := mustCompile(t, tire)
	at12, at4 := volumeAt(t, c, liquid.ValveAt(12)), volumeAt(t, c, liquid.ValveAt(4))
	brine := liquid.Brine(liquid.CalciumChloride, 0.25) // 1.2 t/m3, as handbooks have it
	weighed := func(mass float64, hydrometer float64) liquid.Reading {
		return liquid.Reading{Level: liquid.ValveAt(12), Mass: units.Between(units.Mass(mass*0.99), units.Mass(mass*1.01)), Fluid: brine, Hydrometer: units.Between(units.Density(hydrometer-3), units.Density(hydrometer+3))}
	}
	for _, x := range []struct {
		what     string
		readings []liquid.Reading
		want     []liquid.FindingKind
		pair     [2]int
		apart    float64
	}{
		{"one", []liquid.Reading{row(liquid.ValveAt(12), at12, 0.01)}, nil, [2]int{}, 0},
		{"two that agree", []liquid.Reading{row(liquid.ValveAt(12), at12, 0.01), row(liquid.ValveAt(12), 1.015*at12, 0.01)}, nil, [2]int{}, 0},
		{"two at one level", []liquid.Reading{row(liquid.ValveAt(12), at12, 0.01), row(liquid.ValveAt(12), 1.05*at12, 0.01)}, []liquid.FindingKind{liquid.FillsDisagree}, [2]int{0, 1}, 0.0295 * at12},
		{"two levels that agree", []liquid.Reading{row(liquid.ValveAt(12), at12, 0.01), row(liquid.ValveAt(4), 1.03*at4, 0.01)}, nil, [2]int{}, 0},
		{"two levels", []liquid.Reading{row(liquid.ValveAt(12), 1.1*at12, 0.01), row(liquid.ValveAt(4), 0.9*at4, 0.01)}, []liquid.FindingKind{liquid.FillsDisagree}, [2]int{0, 1}, 0},
		{"gallons of another kind", []liquid.Reading{row(liquid.ValveAt(12), 1.6*at12, 0.01)}, []liquid.FindingKind{liquid.OutsideBand}, [2]int{0, 0}, 0},
		{"brine as named", []liquid.Reading{weighed(1200*at12, 1230)}, nil, [2]int{}, 0},
		{"another brine", []liquid.Reading{weighed(1100*at12, 1100)}, []liquid.FindingKind{liquid.DensitiesDisagree}, [2]int{0, 0}, 0},
	} {
		got, err := tire.Calibrate(x.readings...)
		if err != nil {
			t.Errorf("%s: %v", x.what, err)
			continue
		}
		var kinds []liquid.FindingKind
		for _, f := range got.Findings {
			kinds = append(kinds, f.Kind)
			if !(f.Apart > 0) || f.First != x.pair[0] || f.Second != x.pair[1] || x.apart > 0 && math.Abs(float64(f.Apart)/x.apart-1) > 0.05 {
				t.Errorf("%s: %+v", x.what, f)
			}
		}
		if !slices.Equal(kinds, x.want) {
			t.Errorf("%s: %+v, want %v", x.what, got.Findings, x.want)
		}
	}
	// A meter and the axle in one reading are held against each other.
	both := row(liquid.ValveAt(12), at12, 0.01)
	both.Mass, both.Fluid = units.Is(units.Mass(900*at12)), liquid.Fluid{Kind: liquid.Water}
	if got, err := tire.Calibrate(both); err != nil || len(got.Findings) != 1 || got.Findings[0].Kind != liquid.FillsDisagree || len(got.Tire.Known) != 2 {
		t.Errorf("%+v, %v", got, err)
	}
	// The fills of a corrected tire count in the next correction.
	first, err := tire.Calibrate(row(liquid.ValveAt(12), at12, 0.01))
	if err != nil {
		t.Fatal(err)
	}
	if got, err := first.Tire.Calibrate(row(liquid.ValveAt(12), 1.1*at12, 0.01)); err != nil || len(got.Tire.Known) != 2 || len(got.Findings) != 1 {
		t.Errorf("%+v, %v", got, err)
	}
}

// Where least squares would take a dimension beyond its band, the others take
// what it leaves: the tire still holds a column near the end of its bands.
func TestShapeAtTheEnd(t *testing.T) {
	tire := unloaded(t, "14.9-24 R-1")
	c := mustCompile(t, tire)
	for _, by := range []float64{0.84, 1.17} {
		var readings []liquid.Reading
		for _, clock := range []float64{12, 9, 4} {
			readings = append(readings, row(liquid.ValveAt(clock), by*volumeAt(t, c, liquid.ValveAt(clock)), 0.002))
		}
		got, err := tire.Calibrate(readings...)
		if err != nil || len(got.Findings) > 0 {
			t.Fatalf("%+v, %v", got.Findings, err)
		}
		cavity := mustCompile(t, got.Tire)
		for _, k := range got.Tire.Known {
			if v := volumeAt(t, cavity, k.Level); math.Abs(v-float64(k.Volume)) > 2*float64(k.Spread) {
				t.Errorf("times %v: %v at %v o'clock, want %v +- %v", by, v, k.Level.Clock, k.Volume, k.Spread)
			}
		}
	}
}

// A calibrated tire whose load is not known may be flattened: its band reaches
// down by what a deflection of a fifth of the section height takes away.
func TestCalibratedDeflection(t *testing.T) {
	water := liquid.Fluid{Kind: liquid.Water}
	got, err := unloaded(t, "14.9-24 R-1").Calibrate(row(liquid.ValveAt(12), 0.2, 0.01))
	if err != nil {
		t.Fatal(err)
	}
	free, flat := got.Tire, got.Tire
	free.Unloaded = false
	flat.Unloaded = false
	flat.Deflection = 0.2 * (flat.OverallDiameter.Value - flat.RimDiameter.Value) / 2
	for _, l := range []liquid.Level{liquid.ValveAt(12), liquid.ValveAt(4), liquid.FractionOf(1)} {
		of := func(tire liquid.Tire) liquid.Filled {
			f, err := liquid.Fill{Tire: tire, Fluid: water, Level: l}.Solve()
			if err != nil {
				t.Fatal(err)
			}
			return f
		}
		stands, loose := of(got.Tire), of(free)
		lost := volumeAt(t, mustCompile(t, got.Tire), l) - volumeAt(t, mustCompile(t, flat), l)
		if d := float64(stands.VolumeBand.Low - loose.VolumeBand.Low); math.Abs(d-lost) > 1e-6 || !(lost > 0.001) || stands.VolumeBand.High != loose.VolumeBand.High {
			t.Errorf("%+v: %v and %v, want %v lower", l, stands.VolumeBand, loose.VolumeBand, lost)
		}
	}
}

// Bad readings are refused by their paths.
func TestReadingErrors(t *testing.T) {
	good := row(liquid.ValveAt(12), 0.2, 0.01)
	tire := unloaded(t, "14.9-24")
	for path, spoil := range map[string]func(*liquid.Reading){
		"readings[0].level.kind":  func(r *liquid.Reading) { r.Level = liquid.VolumeOf(0.2) },
		"readings[0].level.clock": func(r *liquid.Reading) { r.Level = liquid.ValveAt(13) },
		"readings[0].volume":      func(r *liquid.Reading) { r.Volume = units.Input[units.Volume]{} },
		"readings[0].volume.high": func(r *liquid.Reading) { r.Volume = units.Between[units.Volume](0.3, 0.2) },
		"readings[0].fluid":       func(r *liquid.Reading) { r.Mass = units.Is[units.Mass](200) },
		"readings[0].fluid.kind":  func(r *liquid.Reading) { r.Fluid = liquid.Fluid{Kind: liquid.Polyurethane} },
		"readings[0].tires":       func(r *liquid.Reading) { r.Tires = 2 },
		"readings[0].axleAfter": func(r *liquid.Reading) {
			r.AxleBefore, r.Tires, r.Fluid.Kind = units.Is[units.Mass](900), 2, liquid.Water
		},
		"readings[0].hydrometer":  func(r *liquid.Reading) { r.Hydrometer = units.Is[units.Density](1.2) },
		"readings[0].temperature": func(r *liquid.Reading) { r.Temperature = 20 },
		"readings[0].spread":      nil,
	} {
		if spoil == nil {
			continue
		}
		r := good
		spoil(&r)
		if _, err := tire.Calibrate(r); !slices.Contains(paths(err), path) {
			t.Errorf("%s: %v", path, err)
		}
	}
	if _, err := tire.Calibrate(); !slices.Contains(paths(err), "readings") {
		t.Error(err)
	}
	if _, err := tire.Calibrate(make([]liquid.Reading, 1000)...); err == nil {
		t.Error("a thousand readings")
	}
	if _, err := (liquid.Tire{}).Calibrate(good); !slices.Contains(paths(err), "tire.sectionWidth") {
		t.Error(err)
	}
	none := liquid.Reading{Level: liquid.ValveAt(12), AxleBefore: units.Is[units.Mass](1400), AxleAfter: units.Is[units.Mass](1400), Tires: 2, Fluid: liquid.Fluid{Kind: liquid.Water}}
	if _, err := tire.Calibrate(none); !slices.Contains(paths(err), "readings[0].axleAfter") {
		t.Error(err)
	}
	bad := tire
	bad.Known = []liquid.KnownVolume{{Level: liquid.ValveAt(12), Volume: 0.2}}
	if err := bad.Validate(); !slices.Contains(paths(err), "known[0].spread") {
		t.Error(err)
	}
	bad.Known = make([]liquid.KnownVolume, liquid.MaxKnown+1)
	if err := bad.Validate(); !slices.Contains(paths(err), "known") {
		t.Error(err)
	}
}

// It does not matter in how many calls fills come: the corrected tire, its findings and
// its bands are the same, and no dimension leaves the band that it had before.
func TestCalibrateAgain(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	before, err := tire.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	at := func(clock float64, l float64) liquid.Reading {
		return liquid.Reading{Level: liquid.ValveAt(clock), Volume: units.Between(units.Volume(l*0.99e-3), units.Volume(l*1.01e-3))}
	}
	for _, list := range [][]liquid.Reading{
		{at(12, 240), at(12, 240), at(12, 240), at(12, 240)}, {at(12, 300), at(12, 300), at(12, 300)}, {at(12, 100), at(12, 100)},
		{at(12, 195), at(10, 180), at(9, 150), at(8, 110)}, {at(12, 210), at(11, 205), at(9, 165)},
	} {
		once, err := tire.Calibrate(list...)
		if err != nil {
			t.Fatal(err)
		}
		step := tire
		var last liquid.Calibration
		for _, r := range list {
			if last, err = step.Calibrate(r); err != nil {
				t.Fatal(err)
			}
			step = last.Tire
			for _, d := range [][2]liquid.Dimension{{before.OverallDiameter, step.OverallDiameter}, {before.SectionWidth, step.SectionWidth}, {before.RimWidth, step.RimWidth}, {before.WellDepth, step.WellDepth}} {
				if math.Abs(float64(d[1].Value-d[0].Value)) > float64(d[0].Spread)*(1+1e-9) {
					t.Errorf("%v: %v has left the band of %v", list, d[1], d[0])
				}
			}
		}
		for name, v := range map[string][2]float64{
			"overall diameter": {float64(once.Tire.OverallDiameter.Value), float64(last.Tire.OverallDiameter.Value)}, "its move": {float64(once.Tire.OverallDiameter.Moved), float64(last.Tire.OverallDiameter.Moved)},
			"section width": {float64(once.Tire.SectionWidth.Value), float64(last.Tire.SectionWidth.Value)}, "rim width": {float64(once.Tire.RimWidth.Value), float64(last.Tire.RimWidth.Value)},
			"well depth": {float64(once.Tire.WellDepth.Value), float64(last.Tire.WellDepth.Value)}, "well width": {float64(once.Tire.WellWidth.Value), float64(last.Tire.WellWidth.Value)}, "crown": {once.Tire.Crown, last.Tire.Crown},
		} {
			if math.Abs(v[0]-v[1]) > 1e-9 {
				t.Errorf("%s: %v in several calls, %v in one", name, v[1], v[0])
			}
		}
		if len(last.Findings) != len(once.Findings) {
			t.Errorf("findings %v in several calls, %v in one", last.Findings, once.Findings)
		}
		if out := high(list[0]) > 0.235 || high(list[0]) < 0.15; out && len(last.Findings) == 0 {
			t.Errorf("%v: no finding", list)
		}
	}
}

func high(r liquid.Reading) units.Volume {
	v, _ := r.Volume.Range()
	return v.High
}

// The band of a tire whose fills contradict each other, or the tire, holds what each of them
// says within the outer shape of the tire, and the tire and every answer of it say so. The
// outer shape lies within a ring of rectangular section, 2 % over the marks, with its rim.
func TestDisputedFills(t *testing.T) {
	tire := unloaded(t, "14.9-24 R-1")
	c := mustCompile(t, tire)
	at := func(clock float64) float64 { return volumeAt(t, c, liquid.ValveAt(clock)) }
	outside, within := 1.02*tire.OverallDiameter.Value/2, 0.85*tire.RimDiameter.Value/2
	ring := units.Volume(math.Pi * float64((outside*outside-within*within)*1.02*tire.SectionWidth.Value))
	water, brine := liquid.Fluid{Kind: liquid.Water}, liquid.Brine(liquid.CalciumChloride, 0.2)
	for _, x := range []struct {
		what     string
		readings []liquid.Reading
		disputed []bool
	}{
		{"agree", []liquid.Reading{row(liquid.ValveAt(12), at(12), 0.01), row(liquid.ValveAt(8), at(8), 0.01)}, []bool{false, false}},
		{"a good one and a rough one", []liquid.Reading{row(liquid.ValveAt(12), at(12), 0.002), row(liquid.ValveAt(12), 1.12*at(12), 0.05)}, []bool{true, true}},
		{"far apart", []liquid.Reading{row(liquid.ValveAt(12), 0.95*at(12), 0.01), row(liquid.ValveAt(12), 1.1*at(12), 0.01), row(liquid.ValveAt(8), at(8), 0.01)}, []bool{true, true, true}},
		{"at two levels", []liquid.Reading{row(liquid.ValveAt(12), 1.1*at(12), 0.01), row(liquid.ValveAt(4), 0.9*at(4), 0.01)}, []bool{true, true}},
		{"beyond the tire", []liquid.Reading{row(liquid.ValveAt(12), 1.6*at(12), 0.01)}, []bool{true}},
		{"far below the tire", []liquid.Reading{row(liquid.ValveAt(12), 0.5*at(12), 0.01)}, []bool{true}},
	} {
		got, err := tire.Calibrate(x.readings...)
		if err != nil {
			t.Fatalf("%s: %v", x.what, err)
		}
		any := false
		for i, k := range got.Tire.Known {
			any = any || x.disputed[i]
			if k.Disputed != x.disputed[i] {
				t.Errorf("%s: fill %d disputed %v", x.what, i, k.Disputed)
			}
			f, err := liquid.Fill{Tire: got.Tire, Fluid: water, Level: k.Level}.Solve()
			if err != nil {
				t.Fatal(err)
			}
			outer := 1.3 * c.FullVolume() // well within the ring
			if f.VolumeBand.Low > k.Volume-k.Spread*0.999 && x.disputed[i] || f.VolumeBand.High < min(k.Volume+k.Spread*0.999, outer*units.Volume(at(k.Level.Clock)/float64(c.FullVolume()))) && x.disputed[i] {
				t.Errorf("%s: band %v does not hold fill %d, %v +- %v", x.what, f.VolumeBand, i, k.Volume, k.Spread)
			}
			if f.Notes.Has(liquid.NoteFillsDisputed) != any || f.Cautions.Has(liquid.CautionFillsDisputed) != any {
				t.Errorf("%s: %v, %v", x.what, f.Notes, f.Cautions)
			}
			full, err := liquid.Fill{Tire: got.Tire, Fluid: water, Level: liquid.FractionOf(1)}.Solve()
			if want := math.Min(float64(k.Volume)/at(k.Level.Clock)*float64(c.FullVolume()), float64(outer)); err != nil || x.disputed[i] && !full.VolumeBand.Contains(units.Volume(want)) || full.VolumeBand.High > ring || f.VolumeBand.High > ring {
				t.Errorf("%s: full band %v does not hold %v, as fill %d says: %v", x.what, full.VolumeBand, want, i, err)
			}
		}
		rows, err := liquid.Table(context.Background(), []liquid.Tire{got.Tire}, []liquid.Fluid{water, brine}, 0, liquid.ValveAt(12))
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			if r.Filled[0].Cautions.Has(liquid.CautionFillsDisputed) != any || r.Filled[0].Notes.Has(liquid.NoteFillsDisputed) != any {
				t.Errorf("%s, table: %v, %v", x.what, r.Filled[0].Notes, r.Filled[0].Cautions)
			}
		}
		if !any {
			continue
		}
		for _, f := range got.Findings {
			if r := f.Remark(); r.Code != "liquid.finding."+f.Kind.String() || len(r.Text) < 40 || r.Rank != 2 {
				t.Errorf("%s: %+v", x.what, r)
			}
		}
	}
	if r := (liquid.Finding{}).Remark(); r != (units.Remark{}) {
		t.Errorf("no finding says %+v", r)
	}
	if r := (liquid.Finding{Kind: 200}).Remark(); r != (units.Remark{}) {
		t.Errorf("an unknown finding says %+v", r)
	}
}

// A level that was read under a load, of a wheel that is filled on a stand: where the
// deflection is told the tire is found again; where nobody tells how the wheel stood, a note
// says so and the band holds the truth. The volumes are those of the flattened cavity.
func TestReadUnderLoad(t *testing.T) {
	tire := unloaded(t, "14.9-24 R-1")
	loaded := tire
	loaded.Unloaded, loaded.Deflection = false, 0.05
	water := liquid.Fluid{Kind: liquid.Water}
	for _, l := range []liquid.Level{liquid.ValveAt(12), liquid.ValveAt(8), liquid.FractionOf(1)} {
		v := volumeAt(t, mustCompile(t, loaded), l)
		free := volumeAt(t, mustCompile(t, tire), l)
		told := row(l, v, 0.002)
		told.Deflection = 0.05
		got, err := tire.Calibrate(told)
		if err != nil || got.Notes.Has(liquid.NoteReadingLoadUnknown) {
			t.Fatal(got.Notes, err)
		}
		if now := volumeAt(t, mustCompile(t, got.Tire), l); math.Abs(now/free-1) > 1e-6 {
			t.Errorf("%+v: %v, want %v", l, now, free)
		}
		// The axle was weighed, so the wheel stood on it, but nobody tells how flat it was.
		weighed := liquid.Reading{Level: l, AxleBefore: units.Between[units.Mass](1499, 1501), AxleAfter: units.Between(units.Mass(1499+2000*v), units.Mass(1501+2000*v)), Tires: 2, Hydrometer: units.Between[units.Density](998, 1002)}
		open := tire
		open.Unloaded = false
		for _, x := range []struct {
			tire liquid.Tire
			r    liquid.Reading
		}{{tire, weighed}, {open, weighed}, {open, row(l, v, 0.002)}} {
			got, err := x.tire.Calibrate(x.r)
			if err != nil || !got.Notes.Has(liquid.NoteReadingLoadUnknown) {
				t.Fatal(got.Notes, err)
			}
			stand := got.Tire
			stand.Unloaded = true
			f, err := liquid.Fill{Tire: stand, Fluid: water, Level: l}.Solve()
			if err != nil || !f.VolumeBand.Contains(units.Volume(free)) || !f.Notes.Has(liquid.NoteReadingLoadUnknown) {
				t.Errorf("%+v: band %v, want one that holds %v; %v, %v", l, f.VolumeBand, free, f.Notes, err)
			}
		}
		// What the tire says of itself holds for its readings.
		got, err = loaded.Calibrate(row(l, v, 0.002))
		if err != nil || got.Notes.Has(liquid.NoteReadingLoadUnknown) || got.Tire.Known[0].Deflection != 0.05 {
			t.Errorf("%+v, %v", got.Tire.Known, err)
		}
	}
}

// A level that no tire within the bands reaches is refused; one beyond the crown of this tire
// alone counts as full, with a note.
func TestReadAboveTheTire(t *testing.T) {
	tire := unloaded(t, "14.9-24 R-1")
	full := mustCompile(t, tire).FullVolume()
	crown := mustCompile(t, tire).CrownRadius()
	for _, x := range []struct {
		l    liquid.Level
		path string
		note bool
	}{
		{liquid.HeightAt(crown - 0.01), "", false},
		{liquid.HeightAt(crown + 0.002), "", true},
		{liquid.HeightAt(crown + 0.1), "readings[0].level.height", false},
		{liquid.HeightAt(-crown - 0.1), "readings[0].level.height", false},
		{liquid.HeadAt(1.2, 6), "readings[0].level.head", false},
		{liquid.HeadAt(0.5, 6), "", false},
	} {
		got, err := tire.Calibrate(row(x.l, 0.9*float64(full), 0.01))
		if x.path != "" && !slices.Contains(paths(err), x.path) || x.path == "" && err != nil {
			t.Errorf("%+v: %v", x.l, err)
		}
		if err == nil && got.Notes.Has(liquid.NoteLevelClamped) != x.note {
			t.Errorf("%+v: %v", x.l, got.Notes)
		}
	}
}

// A pressed is a cavity of a kind that this library does not have, by Simpson's rule: walls
// that are arcs of an ellipse from the rim to the widest line and from there to the crown, and
// a flat at the ground of whose volume a share is lost.
type pressed struct {
	rw, rb, rm, rc, ww, wb, w, n float64
	deflection, share            float64
}

func (p *pressed) width(q float64) float64 {
	switch {
	case q < p.rb:
		return p.ww
	case q < p.rm:
		x := (p.rm - q) / (p.rm - p.rb)
		return p.wb + (p.w-p.wb)*math.Sqrt(1-x*x)
	}
	return p.w * math.Pow(math.Max(1-math.Pow((q-p.rm)/(p.rc-p.rm), p.n), 0), 1/p.n)
}

func (p *pressed) round(z float64) float64 {
	sum := 0.0
	for _, part := range [][2]float64{{p.rw, p.rb}, {p.rb, p.rm}, {p.rm, p.rc}} {
		const steps = 600
		h := (part[1] - part[0]) / steps
		for i := range steps + 1 {
			q := math.Min(part[0]+float64(i)*h, part[1]-1e-12)
			weight := float64(2 + 2*(i%2))
			if i == 0 || i == steps {
				weight = 1
			}
			sum += weight * h / 3 * p.width(q) * q * (math.Pi + 2*math.Asin(math.Max(-1, math.Min(1, z/q))))
		}
	}
	return sum
}

func (p *pressed) below(z float64) float64 {
	v := p.round(z)
	return math.Max(v-p.share*math.Min(p.round(-(p.rc-p.deflection)), v), 0)
}

// Of what lies below the flat of a tire under load anything from nothing to all may be lost:
// the bands hold every such truth, whether the fill was measured on the stand and is asked for
// standing, or the other way round, or both standing, or nobody told how it stood, and without
// a measured fill. The
// cavities are of another kind than the library's, with their dimensions within its bands.
func TestDeflectionIsABound(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 23))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	water := liquid.Fluid{Kind: liquid.Water}
	sizes := []string{"14.9-24 R-1", "10-16.5 R-4", "480/70R34 R-1W", "31x15.50-15 R-3", "7.50-16 F-2", "17.5L-24 R-4", "16.9R30 R-1"}
	type state struct{ deflection, share float64 }
	found, asked := 0, 0
	for n := range 42 {
		base := mustTire(t, sizes[n%len(sizes)])
		at := func(d liquid.Dimension) float64 { return float64(d.Value) + in(-0.6, 0.6)*float64(d.Spread) }
		p := pressed{rb: at(base.RimDiameter) / 2, w: at(base.SectionWidth) - 2*at(base.Sidewall), n: in(2.1, 2.8)}
		outer := at(base.OverallDiameter) / 2
		p.rm = p.rb + (outer-p.rb)*in(0.47, 0.53)
		p.rc = outer - at(base.LugDepth) - at(base.Undertread)
		p.wb = at(base.RimWidth) - 2*at(base.Sidewall)
		p.rw, p.ww = p.rb-at(base.WellDepth), at(base.WellWidth)
		valve := at(base.ValveRadius)
		height := outer - p.rb
		truth := func(l liquid.Level, s state) float64 {
			p.deflection, p.share = s.deflection, s.share
			if l.Kind == liquid.LevelFraction {
				return p.below(p.rc)
			}
			return p.below(valve * math.Cos(l.Clock*math.Pi/6))
		}
		share := []float64{0, 1, in(0, 1)}[n%3]
		stand, flat, other := state{}, state{height * in(0.1, 0.25), share}, state{height * in(0.1, 0.25), in(0, 1)}
		untold := state{height * in(0.02, 0.18), share} // below the usual deflection of a fifth
		levels := []liquid.Level{liquid.ValveAt(12), liquid.ValveAt(in(9, 11)), liquid.ValveAt(in(7.5, 9)), liquid.ValveAt(7), liquid.FractionOf(1)}
		level := levels[r.IntN(3)]
		for _, c := range []struct {
			what      string
			read, now state
		}{{"measured on the stand, asked standing", stand, flat}, {"measured standing, asked on the stand", flat, stand}, {"measured and asked standing", flat, flat}, {"two deflections", flat, other}, {"untold, asked standing", untold, flat}, {"untold, asked on the stand", untold, stand}, {"not measured", stand, flat}} {
			tire := base
			if c.what != "not measured" {
				// The valve's radius is known here: its spread moves the level, not the tire.
				tire.ValveRadius = liquid.Measure(units.Length(valve), 0)
				v := truth(level, c.read)
				reading := liquid.Reading{Level: level, Volume: units.Between(units.Volume(0.99*v), units.Volume(1.01*v)), Deflection: units.Length(c.read.deflection), Unloaded: c.read == stand}
				if c.read == untold {
					reading.Deflection = 0
				}
				got, err := tire.Calibrate(reading)
				if err != nil {
					t.Fatal(err)
				}
				found += len(got.Findings)
				tire = got.Tire
			}
			tire.Deflection, tire.Unloaded = units.Length(c.now.deflection), c.now == stand
			for _, l := range levels {
				f, err := liquid.Fill{Tire: tire, Fluid: water, Level: l}.Solve()
				if err != nil {
					t.Fatal(err)
				}
				asked++
				want := truth(l, c.now)
				if !f.VolumeBand.Contains(units.Volume(want)) {
					t.Errorf("%v, %s, share lost %.2f and %.2f, level %v: %.5f is outside the band %v", base.Designation, c.what, c.read.share, c.now.share, l.Clock, want, f.VolumeBand)
				}
				back, err := liquid.Fill{Tire: tire, Fluid: water, Level: liquid.VolumeOf(units.Volume(want))}.Solve()
				if err != nil {
					t.Fatal(err)
				}
				if z := valve * math.Cos(l.Clock*math.Pi/6); l.Kind == liquid.LevelValveClock && want > 0 && !back.LevelBand.Contains(units.Length(z)) {
					t.Errorf("%v, %s, share lost %.2f and %.2f: level %.4f is outside the band %v", base.Designation, c.what, c.read.share, c.now.share, z, back.LevelBand)
				}
			}
		}
	}
	if found > 0 || asked < 1400 {
		t.Errorf("%d findings, %d bands", found, asked)
	}
}

// A vague reading says little: the answer stays between what the designation says and what the
// reading says, no farther from the former than the reading deserves, and its band lies within
// those of both. The greater the error, the less it moves; the largest moves nothing.
func TestVagueReadings(t *testing.T) {
	water := liquid.Fluid{Kind: liquid.Water}
	r := rand.New(rand.NewPCG(17, 77))
	for _, size := range []string{"12.4-28", "7.50-16", "14.9-24 R-1", "10-16.5", "480/70R34", "31x15.50-15"} {
		tire := unloaded(t, size)
		for _, l := range []liquid.Level{liquid.ValveAt(12), liquid.ValveAt(8), liquid.FractionOf(1)} {
			plain, err := liquid.Fill{Tire: tire, Fluid: water, Level: l}.Solve()
			if err != nil {
				t.Fatal(err)
			}
			for range 4 {
				said := float64(plain.Volume) * (0.9 + 0.2*r.Float64())
				last := math.Inf(1)
				for _, share := range []float64{0.001, 0.01, 0.05, 0.2, 0.5, 0.9, 0.999} {
					low, high := said*(1-share), said*(1+share)
					got, err := tire.Calibrate(liquid.Reading{Level: l, Volume: units.Between(units.Volume(low), units.Volume(high))})
					if err != nil || len(got.Findings) > 0 {
						t.Fatalf("%s: %+v, %v", size, got.Findings, err)
					}
					if k := got.Tire.Known[0]; math.Abs(float64(k.Volume-k.Spread)-low) > 1e-9 || math.Abs(float64(k.Volume+k.Spread)-high) > 1e-9 {
						t.Errorf("%s: %v +- %v for %v to %v", size, k.Volume, k.Spread, low, high)
					}
					f, err := liquid.Fill{Tire: got.Tire, Fluid: water, Level: l}.Solve()
					if err != nil {
						t.Fatal(err)
					}
					p, v := float64(plain.Volume), float64(f.Volume)
					small := 1e-6 * p
					if v < math.Min(p, said)-small || v > math.Max(p, said)+small {
						t.Errorf("%s: %v, between %v of the designation and %v +- %v of the reading", size, v, p, said, share)
					}
					if b := f.VolumeBand; float64(b.Low) < math.Max(low, float64(plain.VolumeBand.Low))-0.002*p || float64(b.High) > math.Min(high, float64(plain.VolumeBand.High))+0.002*p {
						t.Errorf("%s, %+v: band %v, of the designation %v and the reading %v to %v", size, l, b, plain.VolumeBand, low, high)
					}
					moved := math.Abs(v - p)
					if moved > last+small || share > 0.4 && moved > 0.1*math.Abs(said-p)+small || share <= 0.001 && math.Abs(v-said) > 2e-4*said {
						t.Errorf("%s: moved by %v of %v by a reading good to %v; by a better one %v", size, moved, said-p, share, last)
					}
					last = moved
				}
			}
		}
	}
	// What says nothing leaves the answer, and contradicts nothing.
	for size, in := range map[string]units.Input[units.Volume]{"12.4-28": units.Between[units.Volume](0.05, 0.35), "14.9-24": units.Between[units.Volume](0.001, 9)} {
		tire := unloaded(t, size)
		before := volumeAt(t, mustCompile(t, tire), liquid.ValveAt(12))
		got, err := tire.Calibrate(liquid.Reading{Level: liquid.ValveAt(12), Volume: in})
		if err != nil || len(got.Findings) > 0 {
			t.Fatal(got.Findings, err)
		}
		if after := volumeAt(t, mustCompile(t, got.Tire), liquid.ValveAt(12)); math.Abs(after/before-1) > 0.02 {
			t.Errorf("%s: %v, was %v", size, after, before)
		}
	}
}

// Fills that somebody wrote into a tire without a calibration are applied when it is resolved, or
// marked as disputed; they are never said to hold where they do not.
func TestKnownByHand(t *testing.T) {
	const tire14 = `{"designation":"14.9-24","unloaded":true,"known":[{"level":{"kind":"valveClock","clock":12},"volume":"%s","spread":"2 L","unloaded":true}]}`
	for volume, disputed := range map[string]bool{"205 L": false, "900 L": true, "180 L": false, "20 L": true} {
		var tire liquid.Tire
		if err := json.Unmarshal([]byte(strings.Replace(tire14, "%s", volume, 1)), &tire); err != nil {
			t.Fatal(err)
		}
		f, err := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}.Solve()
		if err != nil {
			t.Fatal(err)
		}
		want := tire.Known[0].Volume
		if disputed != f.Notes.Has(liquid.NoteFillsDisputed) || disputed != f.Cautions.Has(liquid.CautionFillsDisputed) || !disputed && math.Abs(float64(f.Volume-want)) > 0.001 {
			t.Errorf("%s: %v, %v", volume, f.Volume, f.Notes)
		}
		first, err := tire.Resolve()
		if err != nil {
			t.Fatal(err)
		}
		if again, err := first.Resolve(); err != nil || !reflect.DeepEqual(again, first) {
			t.Errorf("%s: resolved again %+v, %v", volume, again, err)
		}
	}
}

// A deflection of a reading is held to the tire, as that of the tire is; so is one of a fill that
// is known, and a level beyond the tire. A reading that says it has no volume is none.
func TestReadingsHeldToTheTire(t *testing.T) {
	tire := mustTire(t, "14.9-24")
	r := row(liquid.ValveAt(12), 0.19, 0.01)
	r.Deflection = 0.2
	if _, err := tire.Calibrate(r); !slices.Contains(paths(err), "readings[0].deflection") {
		t.Error(err)
	}
	tire.Known = []liquid.KnownVolume{{Level: liquid.ValveAt(12), Volume: 0.19, Spread: 0.002, Deflection: 0.2}}
	if _, err := tire.Resolve(); !slices.Contains(paths(err), "known[0].deflection") {
		t.Error(err)
	}
	tire.Known = []liquid.KnownVolume{{Level: liquid.HeightAt(1.5), Volume: 0.19, Spread: 0.002}}
	if _, err := tire.Resolve(); !slices.Contains(paths(err), "known[0].level.height") {
		t.Error(err)
	}
	// What a calibration took, the corrected tire takes: at the upper end of the bands too.
	tire.Known = nil
	top := liquid.HeightAt(0.98 * (tire.OverallDiameter.Value + tire.OverallDiameter.Spread - 2*tire.LugDepth.Value - 2*tire.Undertread.Value) / 2)
	small, err := tire.Calibrate(row(top, 0.88*volumeAt(t, mustCompile(t, tire), liquid.FractionOf(1)), 0.001))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := small.Tire.Resolve(); err != nil {
		t.Error(err)
	}
	if _, err := tire.Calibrate(liquid.Reading{Level: liquid.ValveAt(12), Volume: units.None[units.Volume]()}); !slices.Contains(paths(err), "readings[0].volume") {
		t.Error(err)
	}
	axle := liquid.Reading{Level: liquid.ValveAt(12), AxleBefore: units.Is[units.Mass](1000), AxleAfter: units.None[units.Mass](), Tires: 2, Hydrometer: units.Is[units.Density](1000)}
	if _, err := tire.Calibrate(axle); !slices.Contains(paths(err), "readings[0].axleAfter") {
		t.Error(err)
	}
}
