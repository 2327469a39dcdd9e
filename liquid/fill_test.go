package liquid_test

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// wantPath requires a field error at the path, spaces at its end left off.
func wantPath(t testing.TB, err error, path string) {
	t.Helper()
	path = strings.TrimRight(path, " ")
	if !slices.Contains(paths(err), path) || !errors.Is(err, units.ErrInvalid) {
		t.Errorf("error %v, want one about %s", err, path)
	}
}

func paths(err error) []string {
	if f, ok := err.(*units.FieldError); ok {
		return []string{f.Path}
	}
	var out []string
	if m, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range m.Unwrap() {
			out = append(out, paths(e)...)
		}
	}
	return out
}

func mustTire(t testing.TB, s string) liquid.Tire {
	t.Helper()
	tire, err := liquid.ParseTire(s)
	if err != nil {
		t.Fatal(err)
	}
	return tire
}

func TestFill(t *testing.T) {
	tire := mustTire(t, "14.9-24 R-1")
	f := liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.CalciumChloride, 0.25), Level: liquid.ValveAt(12), Temperature: units.Celsius(10)}
	r, err := f.Solve()
	if err != nil {
		t.Fatal(err)
	}
	d, _ := f.Fluid.DensityAt(f.Temperature)
	if r.Density != d || r.Mass != d.Mass(r.Volume) || float64(r.Fraction) != float64(r.Volume/r.FullVolume) {
		t.Errorf("%+v", r)
	}
	if r.PitchRise != r.CentroidDepth || !(r.CentroidDepth > 0 && r.RollRise > 0 && r.RollRise < r.PitchRise) {
		t.Errorf("depth %v, rises %v and %v", r.CentroidDepth, r.PitchRise, r.RollRise)
	}
	// The rise in roll is the surface's second moment over the volume, which
	// TestTiltAgainstUpright holds to the tilted wheel.
	c, err := tire.Compile()
	if err != nil {
		t.Fatal(err)
	}
	if want := float64(c.FreeSurface(r.Level).Roll) / float64(r.Volume); math.Abs(float64(r.RollRise)/want-1) > 1e-12 {
		t.Errorf("rises by %v in roll, want %v", r.RollRise, want)
	}
	if !(r.VolumeBand.Low < r.Volume && r.Volume < r.VolumeBand.High && r.MassBand.Low < r.Mass && r.Mass < r.MassBand.High) {
		t.Errorf("bands %v, %v", r.VolumeBand, r.MassBand)
	}
	if !r.Notes.Has(liquid.NoteEstimatedDimension | liquid.NoteRememberedDimension) {
		t.Errorf("notes %v", r.Notes)
	}
	if !r.Cautions.Has(liquid.CautionPressure | liquid.CautionProfessional | liquid.CautionAirOut | liquid.CautionTireMaker | liquid.CautionManual | liquid.CautionCorrosive) {
		t.Errorf("cautions %v", r.Cautions)
	}
	// The same level by every way to give it.
	for _, l := range []liquid.Level{liquid.ValveAt(12), liquid.ValveAtAngle(0), liquid.HeightAt(r.Level), liquid.FractionOf(r.Fraction), liquid.VolumeOf(r.Volume), liquid.MassOf(r.Mass)} {
		g := f
		g.Level = l
		got, err := g.Solve()
		if err != nil || math.Abs(float64(got.Volume/r.Volume)-1) > 1e-10 || math.Abs(float64(got.Level-r.Level)) > 1e-9 {
			t.Errorf("%+v: %v at %v, %v; want %v at %v", l, got.Volume, got.Level, err, r.Volume, r.Level)
		}
		if got.VolumeBand.Low > got.Volume || got.VolumeBand.High < got.Volume || got.MassBand.Low > got.Mass || got.MassBand.High < got.Mass {
			t.Errorf("%+v: bands do not hold the answer: %+v", l, got)
		}
	}
	// Clock positions left and right are one height.
	for h := 0.25; h <= 6; h += 0.25 {
		a, b := f, f
		a.Level, b.Level = liquid.ValveAt(h), liquid.ValveAt(12-h)
		x, _ := a.Solve()
		y, err := b.Solve()
		if err != nil || math.Abs(float64(x.Volume-y.Volume)) > 1e-12 {
			t.Errorf("valve at %v: %v, at %v: %v", h, x.Volume, 12-h, y.Volume)
		}
	}
	// Each wider spread widens the band; a measured dimension narrows it.
	g := f
	g.Tire.OverallDiameter = liquid.Measure(tire.OverallDiameter.Value, 0.002)
	n, err := g.Solve()
	if err != nil || n.VolumeBand.Low < r.VolumeBand.Low || n.VolumeBand.High > r.VolumeBand.High || n.VolumeBand == r.VolumeBand {
		t.Errorf("measured band %v, %v; estimated %v", n.VolumeBand, err, r.VolumeBand)
	}
	// The sizes of the cavity work as one expects.
	for i, c := range []struct {
		d    *liquid.Dimension
		sign float64
	}{{&g.Tire.OverallDiameter, 1}, {&g.Tire.SectionWidth, 1}, {&g.Tire.RimWidth, 1}, {&g.Tire.RimDiameter, -1}, {&g.Tire.LugDepth, -1}, {&g.Tire.Undertread, -1},
		{&g.Tire.Sidewall, -1}, {&g.Tire.WellDepth, 1}, {&g.Tire.WellWidth, 1}} {
		g.Tire = tire
		c.d.Value += 0.002
		b, err := g.Solve()
		if err != nil || !(c.sign*float64(b.FullVolume-r.FullVolume) > 0) {
			t.Errorf("dimension %d: full volume from %v to %v, %v", i, r.FullVolume, b.FullVolume, err)
		}
	}
	// A tire twice as large in each dimension holds eight times as much.
	g.Tire = liquid.Tire{Crown: 2.5, Unloaded: true}
	small := liquid.Tire{Crown: 2.5, Unloaded: true}
	for _, x := range dimensions {
		d := *x.at(&tire)
		d.Origin, d.Spread = liquid.Measured, 0
		*x.at(&g.Tire) = d
		d.Value /= 2
		*x.at(&small) = d
	}
	s := g
	s.Tire = small
	a, err := g.Solve()
	b, err2 := s.Solve()
	if err != nil || err2 != nil || math.Abs(float64(a.Volume/b.Volume)-8) > 1e-8 || math.Abs(float64(a.CentroidDepth/b.CentroidDepth)-2) > 1e-8 {
		t.Errorf("%v and %v: %v, %v", a.Volume, b.Volume, err, err2)
	}
	if a.Notes.Has(liquid.NoteEstimatedDimension) || math.Abs(float64(a.VolumeBand.High/a.VolumeBand.Low)-1) > 1e-12 {
		t.Errorf("measured: notes %v, band %v of %v", a.Notes, a.VolumeBand, a.Volume)
	}
}

func TestFillSpecial(t *testing.T) {
	tire := mustTire(t, "380/85R24")
	r, err := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12), Temperature: units.Celsius(-10)}.Solve()
	if err != nil || !r.Cautions.Has(liquid.CautionRadial|liquid.CautionFreezes) || !r.Notes.Has(liquid.NoteBelowFreezing) {
		t.Errorf("%v, %v, %v", r.Cautions, r.Notes, err)
	}
	r, err = liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Polyurethane}}.Solve()
	if err != nil || r.Fraction != 1 || r.RollRise != 0 || r.PitchRise != 0 || r.CentroidDepth != 0 || !r.Notes.Has(liquid.NoteSolidFill) || !(r.MassBand.Low < r.Mass) {
		t.Errorf("polyurethane: %+v, %v", r, err)
	}
	r, err = liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.VolumeOf(5)}.Solve()
	if err != nil || r.Fraction != 1 || !r.Notes.Has(liquid.NoteLevelClamped) || !r.Cautions.Has(liquid.CautionOverfill) {
		t.Errorf("too much: %+v, %v", r, err)
	}
	if err := r.Notes.Err(liquid.NoteLevelClamped); !errors.Is(err, liquid.ErrNote) || !strings.Contains(err.Error(), "levelClamped") {
		t.Errorf("strict: %v", err)
	}
	if err := r.Notes.Err(liquid.NoteBeyondEutectic); err != nil {
		t.Errorf("strict about another: %v", err)
	}
	if n := len(r.Cautions.Lines()); n < 8 || len(r.Notes.Lines()) < 2 {
		t.Errorf("%d cautions, notes %q", n, r.Notes.Lines())
	}
	empty, err := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.FractionOf(0)}.Solve()
	if err != nil || empty.Volume != 0 || empty.Mass != 0 || empty.RollRise != 0 || empty.PitchRise != 0 {
		t.Errorf("empty: %+v, %v", empty, err)
	}
	loaded := tire
	loaded.Deflection = 0.05
	low, err := liquid.Fill{Tire: loaded, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.VolumeOf(0.1)}.Solve()
	up, _ := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.VolumeOf(0.1)}.Solve()
	if err != nil || !low.Notes.Has(liquid.NoteDeflected) || low.Level <= up.Level || low.CentroidDepth >= up.CentroidDepth {
		t.Errorf("loaded: %+v, %v", low, err)
	}
}

// Every bad field is named, all of them at once.
func TestFillErrors(t *testing.T) {
	good := liquid.Fill{Tire: liquid.Tire{SectionWidth: liquid.Measure(0.378, 0), OverallDiameter: liquid.Measure(1.265, 0), RimDiameter: liquid.Measure(0.61, 0)}, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}
	if err := good.Validate(); err != nil {
		t.Fatal(err)
	}
	nan := math.NaN()
	for path, change := range map[string]func(*liquid.Fill){
		"tire.sectionWidth":           func(f *liquid.Fill) { f.Tire.SectionWidth = liquid.Dimension{} },
		"tire.sectionWidth.value":     func(f *liquid.Fill) { f.Tire.SectionWidth.Value = units.Length(nan) },
		"tire.sectionWidth.value ":    func(f *liquid.Fill) { f.Tire.SectionWidth.Value = 14.9 },
		"tire.sectionWidth.spread":    func(f *liquid.Fill) { f.Tire.SectionWidth.Spread = -1 },
		"tire.sectionWidth.origin":    func(f *liquid.Fill) { f.Tire.SectionWidth.Origin = 0 },
		"tire.sectionWidth.origin ":   func(f *liquid.Fill) { f.Tire.SectionWidth.Origin = 99 },
		"tire.overallDiameter.value":  func(f *liquid.Fill) { f.Tire.OverallDiameter.Value = 1e308 },
		"tire.overallDiameter.value ": func(f *liquid.Fill) { f.Tire.OverallDiameter.Value = 0.6 },
		"tire.rimDiameter.value":      func(f *liquid.Fill) { f.Tire.RimDiameter.Value = 0 },
		"tire.rimWidth.value":         func(f *liquid.Fill) { f.Tire.RimWidth = liquid.Measure(0.5, 0) },
		"tire.lugDepth.value":         func(f *liquid.Fill) { f.Tire.LugDepth = liquid.Measure(-0.01, 0) },
		"tire.lugDepth.value ": func(f *liquid.Fill) {
			f.Tire.LugDepth, f.Tire.Undertread = liquid.Measure(0.11, 0), liquid.Measure(0.07, 0)
		},
		"tire.sidewall.value": func(f *liquid.Fill) {
			f.Tire.Sidewall, f.Tire.RimWidth = liquid.Measure(0.05, 0), liquid.Measure(0.15, 0)
		},
		"tire.wellWidth.value":   func(f *liquid.Fill) { f.Tire.WellWidth = liquid.Measure(0.5, 0) },
		"tire.wellDepth.value":   func(f *liquid.Fill) { f.Tire.WellDepth = liquid.Measure(0.2, 0) },
		"tire.valveRadius.value": func(f *liquid.Fill) { f.Tire.ValveRadius = liquid.Measure(0.5, 0) },
		"tire.crown":             func(f *liquid.Fill) { f.Tire.Crown = nan },
		"tire.deflection":        func(f *liquid.Fill) { f.Tire.Deflection = units.Length(math.Inf(1)) },
		"tire.deflection ":       func(f *liquid.Fill) { f.Tire.Deflection = 0.3 },
		"tire.designation": func(f *liquid.Fill) {
			f.Tire.Designation = liquid.Designation{System: liquid.Numeric, Rim: 240, Construction: liquid.Bias}
		},
		"fluid.kind":     func(f *liquid.Fill) { f.Fluid.Kind = 0 },
		"fluid.strength": func(f *liquid.Fill) { f.Fluid.Strength = 0.3 },
		"level.kind":     func(f *liquid.Fill) { f.Level = liquid.Level{} },
		"level.clock":    func(f *liquid.Fill) { f.Level.Clock = 13 },
		"level.angle":    func(f *liquid.Fill) { f.Level = liquid.ValveAtAngle(units.Angle(nan)) },
		"level.height":   func(f *liquid.Fill) { f.Level = liquid.HeightAt(units.Length(nan)) },
		"level.fraction": func(f *liquid.Fill) { f.Level = liquid.FractionOf(1.5) },
		"level.volume":   func(f *liquid.Fill) { f.Level = liquid.VolumeOf(-1) },
		"level.mass":     func(f *liquid.Fill) { f.Level.Mass = 5 },
		"level":          func(f *liquid.Fill) { f.Fluid.Kind = liquid.Polyurethane },
		"temperature":    func(f *liquid.Fill) { f.Temperature = 20 },
	} {
		f := good
		change(&f)
		r, err := f.Solve()
		wantPath(t, err, path)
		if r != (liquid.Filled{}) {
			t.Errorf("%s: an answer beside the error: %+v", path, r)
		}
	}
	f := good
	f.Tire.SectionWidth.Value, f.Fluid.Kind, f.Level.Clock, f.Temperature = -1, 0, -1, 1
	_, err := f.Solve()
	for _, p := range []string{"tire.sectionWidth.value", "fluid.kind", "level.clock", "temperature"} {
		wantPath(t, err, p)
	}
}

func TestTable(t *testing.T) {
	tires := []liquid.Tire{mustTire(t, "14.9-24"), mustTire(t, "7.50-16"), mustTire(t, "320/85R24")}
	levels := []liquid.Level{liquid.ValveAt(12), liquid.ValveAt(4), liquid.FractionOf(0.5)}
	rows, err := liquid.Table(context.Background(), tires, []liquid.Fluid{liquid.Brine(liquid.CalciumChloride, 0.2)}, units.Celsius(15), levels...)
	if err != nil || len(rows) != 3 {
		t.Fatal(rows, err)
	}
	for i, r := range rows {
		for j, got := range r.Filled {
			want, err := liquid.Fill{Tire: tires[i], Fluid: liquid.Brine(liquid.CalciumChloride, 0.2), Level: levels[j], Temperature: units.Celsius(15)}.Solve()
			if err != nil || got != want {
				t.Errorf("row %d, level %d: %+v, want %+v, %v", i, j, got, want, err)
			}
		}
	}
	tires[1].Crown = 99
	levels[2].Fraction = -1
	_, err = liquid.Table(context.Background(), tires, []liquid.Fluid{{}}, 1, levels...)
	for _, p := range []string{"tires[1].crown", "levels[2].fraction", "fluids[0].kind", "temperature"} {
		wantPath(t, err, p)
	}
}

func TestInflation(t *testing.T) {
	i := liquid.Inflation{Fill: liquid.Fill{Tire: mustTire(t, "14.9-24"), Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}, Pressure: 1.1 * units.GaugeBar, Valve: liquid.ValveAt(6)}
	low, err := i.Solve()
	if err != nil {
		t.Fatal(err)
	}
	// rho g (h + r): the surface is at the valve's radius above the axle,
	// and the valve at the bottom as far below it.
	z := float64(low.Filled.Level)
	if want := float64(low.Filled.Density) * 9.80665 * 2 * z; math.Abs(float64(low.Head)-want) > 1e-6*want {
		t.Errorf("head %v, want %v", low.Head, want)
	}
	if low.Reading != i.Pressure.Add(low.Head) {
		t.Errorf("reading %v", low.Reading)
	}
	i.Valve = liquid.ValveAt(12)
	top, err := i.Solve()
	if err != nil || top.Head != 0 || top.Reading != i.Pressure {
		t.Errorf("valve at the top: %+v, %v", top, err)
	}
	if want := 1 / (1 - float64(top.Filled.Fraction)); math.Abs(top.Stiffening-want) > 1e-12 {
		t.Errorf("stiffening %v, want %v", top.Stiffening, want)
	}
	// A small volume taken: the pressure rises stiffening times as fast as in
	// the tire with air alone (Boyle).
	dry := i
	dry.Fill.Level = liquid.FractionOf(0)
	air, err := dry.Solve()
	if err != nil {
		t.Fatal(err)
	}
	a, _ := air.Squeezed(1e-6)
	w, err := top.Squeezed(1e-6)
	if err != nil || math.Abs(float64(w-i.Pressure)/float64(a-i.Pressure)/top.Stiffening-1) > 1e-3 {
		t.Errorf("rise %v filled, %v dry, %v", w-i.Pressure, a-i.Pressure, err)
	}
	for _, bad := range []units.Volume{-1, units.Volume(math.NaN()), top.Air, 1} {
		if _, err := top.Squeezed(bad); err == nil {
			t.Errorf("%v squeezed: no error", bad)
		}
	}
	i.Fill.Level = liquid.FractionOf(1)
	full, err := i.Solve()
	if err != nil || full.Air != 0 || full.Stiffening != 0 || !full.Cautions.Has(liquid.CautionOverfill) {
		t.Errorf("no air: %+v, %v", full, err)
	}
	if _, err := full.Squeezed(0); err == nil {
		t.Error("no air squeezed: no error")
	}
	bad := liquid.Inflation{Pressure: -1, Atmosphere: 1, Gravity: units.Acceleration(math.NaN())}
	_, err = bad.Solve()
	for _, p := range []string{"fill.fluid.kind", "fill.tire.sectionWidth", "pressure", "valve.kind", "atmosphere", "gravity"} {
		wantPath(t, err, p)
	}
	for _, f := range []liquid.Fill{i.Fill, {Fluid: liquid.Brine(liquid.CalciumChloride, 0.2)}, {Fluid: liquid.Fluid{Kind: liquid.Polyurethane}}} {
		steps := f.Steps()
		if len(steps) < 2 || !strings.Contains(steps[0].Text, "operator's manual") || steps[0].Code != "liquid.step.manual" || steps[0].Subject != units.SubjectFilling {
			t.Errorf("steps %q", steps)
		}
	}
}

// Every figure of an inflation by hand, with the valve anywhere, another
// gravity and another atmosphere: the head is that of the liquid over the
// valve, the air is what the liquid leaves, and it follows Boyle's law.
func TestInflationFigures(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	tire := mustTire(t, "14.9-24")
	c, err := tire.Compile()
	if err != nil {
		t.Fatal(err)
	}
	for n := range 60 {
		angle := in(-6.2, 6.2)
		i := liquid.Inflation{Fill: liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.SodiumChloride, 0.2), Level: liquid.HeightAt(units.Length(in(-0.5, 0.55)))}, Pressure: units.GaugePressure(in(5e4, 3e5)),
			Valve: liquid.ValveAtAngle(units.Angle(angle)), Atmosphere: units.AbsolutePressure(in(6e4, 1.09e5)), Gravity: units.Acceleration(in(9, 10.5))}
		if n%2 == 0 {
			angle = in(0, 12) * math.Pi / 6
			i.Valve = liquid.ValveAt(angle * 6 / math.Pi)
		}
		atmosphere, gravity := float64(i.Atmosphere), float64(i.Gravity)
		if n%3 == 0 {
			i.Atmosphere, atmosphere = 0, 101325
		}
		if n%4 == 0 {
			i.Gravity, gravity = 0, 9.80665
		}
		if n%5 == 0 {
			i.Fill.Fluid, i.Fill.Level = liquid.Fluid{Kind: liquid.Polyurethane}, liquid.Level{}
		}
		got, err := i.Solve()
		if err != nil {
			t.Fatal(err)
		}
		near := func(what string, got, want float64) {
			t.Helper()
			if !(math.Abs(got-want) <= 1e-9*(1+math.Abs(want))) {
				t.Errorf("%s %v, want %v, for %+v", what, got, want, i)
			}
		}
		near("pressure", float64(got.Pressure), float64(i.Pressure)+atmosphere)
		near("atmosphere", float64(got.Atmosphere), atmosphere)
		if n%5 == 0 { // solid: no head, no air
			near("head", float64(got.Head), 0)
			near("reading", float64(got.Reading), float64(i.Pressure))
			near("air", float64(got.Air), 0)
			near("stiffening", got.Stiffening, 0)
			if got.Filled.Flows() {
				t.Error("polyurethane flows")
			}
			continue
		}
		if !got.Filled.Flows() {
			t.Error("brine does not flow")
		}
		z := float64(i.Fill.Level.Height)
		head := math.Max(float64(got.Filled.Density)*gravity*(z-float64(tire.ValveRadius.Value)*math.Cos(angle)), 0)
		near("head", float64(got.Head), head)
		near("reading", float64(got.Reading), float64(i.Pressure)+head)
		air := float64(c.FullVolume() - c.Volume(i.Fill.Level.Height))
		near("air", float64(got.Air), air)
		near("stiffening", got.Stiffening, float64(c.FullVolume())/air)
		v := air * in(0.01, 0.9)
		p, err := got.Squeezed(units.Volume(v))
		if err != nil {
			t.Fatal(err)
		}
		near("squeezed", float64(p), (float64(i.Pressure)+atmosphere)*air/(air-v)-atmosphere)
		if p, err := got.Squeezed(0); err != nil || math.Abs(float64(p-i.Pressure)) > 1e-9 {
			t.Errorf("nothing squeezed: %v, %v; want %v", p, err, i.Pressure)
		}
	}
	for kind := liquid.LevelUnknown; kind <= liquid.LevelMass; kind++ {
		i := liquid.Inflation{Fill: liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}, Valve: liquid.Level{Kind: kind}}
		if kind == liquid.LevelValveClock {
			i.Valve.Clock = 12
		}
		if err, valve := i.Validate(), kind == liquid.LevelValveClock || kind == liquid.LevelValveAngle; (err == nil) != valve {
			t.Errorf("valve by %v: %v", kind, err)
		} else if !valve {
			wantPath(t, err, "valve.kind")
		}
	}
}

// What is filled decides the steps: a solution is mixed first, and a solid is
// left to a specialist.
func TestSteps(t *testing.T) {
	for _, c := range []struct {
		f          liquid.Fluid
		steps      int
		mixed, own bool
	}{
		{liquid.Fluid{Kind: liquid.Water}, 7, false, true}, {liquid.Brine(liquid.CalciumChloride, 0.2), 9, true, true}, {liquid.Fluid{Kind: liquid.BeetMolasses}, 7, false, true}, {liquid.Fluid{Kind: liquid.Polyurethane}, 2, false, false},
	} {
		s := liquid.Fill{Fluid: c.f}.Steps()
		all := ""
		for _, r := range s {
			all += r.Text + " "
			if !strings.HasPrefix(r.Code, "liquid.step.") {
				t.Errorf("%+v has no code", r)
			}
		}
		if len(s) != c.steps || strings.Contains(all, "Mix outside") != c.mixed || strings.Contains(all, "valve") != c.own || strings.Contains(all, "specialist") == c.own {
			t.Errorf("%v: %q", c.f.Kind, s)
		}
	}
}

// A table takes 10000 tires and 1000 levels, and a solid without a level.
// A list of tires, fluids and levels gives what each fill gives by itself, for
// shapes that come again, for those that differ in one dimension, a construction
// or a deflection alone, and from a table of the cavity where many levels are
// asked for.
func TestTableOfMany(t *testing.T) {
	bias, radial := mustTire(t, "14.9-24"), mustTire(t, "14.9R24")
	loaded, wide, known := bias, bias, unloaded(t, "14.9-24")
	loaded.Deflection = 0.03
	flat := loaded
	flat.Deflection = 0.05
	wide.ValveRadius.Spread *= 2
	corrected, err := known.Calibrate(row(liquid.ValveAt(12), 0.2, 0.01))
	if err != nil {
		t.Fatal(err)
	}
	tires := []liquid.Tire{bias, radial, loaded, flat, wide, bias, known, corrected.Tire, known, radial}
	fluids := []liquid.Fluid{{Kind: liquid.Water}, liquid.Brine(liquid.CalciumChloride, 0.2)}
	few := []liquid.Level{liquid.ValveAt(12), liquid.MassOf(100), liquid.FractionOf(0.4), liquid.VolumeOf(3)}
	many := slices.Clone(few)
	for i := range 30 {
		many = append(many, liquid.ValveAt(0.5+float64(i)/3))
	}
	near := func(a, b float64) bool { return math.Abs(a-b) <= 1e-8*(1+math.Abs(b)) }
	for _, levels := range [][]liquid.Level{few, many} {
		rows, err := liquid.Table(context.Background(), tires, fluids, 280, levels...)
		if err != nil || len(rows) != len(tires)*len(fluids) {
			t.Fatal(len(rows), err)
		}
		for i, r := range rows {
			if r.Fluid != fluids[i%2] || r.Tire.Designation != tires[i/2].Designation {
				t.Errorf("row %d is of %v in %v", i, r.Fluid, r.Tire.Designation)
			}
			for j, got := range r.Filled {
				if j > 5 && j%7 > 0 {
					continue
				}
				want, err := liquid.Fill{Tire: tires[i/2], Fluid: fluids[i%2], Level: levels[j], Temperature: 280}.Solve()
				if err != nil || !near(float64(got.Volume), float64(want.Volume)) || !near(float64(got.MassBand.Low), float64(want.MassBand.Low)) || !near(float64(got.MassBand.High), float64(want.MassBand.High)) ||
					!near(float64(got.LevelBand.Low), float64(want.LevelBand.Low)) || !near(float64(got.CentroidDepth), float64(want.CentroidDepth)) || got.Cautions != want.Cautions || got.Notes != want.Notes || got.Family != want.Family {
					t.Errorf("row %d, level %d: %+v, want %+v, %v", i, j, got, want, err)
				}
			}
		}
	}
	if _, err := liquid.Table(context.Background(), tires, nil, 280, few...); !slices.Contains(paths(err), "fluids") {
		t.Error(err)
	}
	if _, err := liquid.Table(context.Background(), make([]liquid.Tire, 2000), fluids, 280, make([]liquid.Level, 300)...); !slices.Contains(paths(err), "levels") {
		t.Error(err)
	}
}

func TestTableBounds(t *testing.T) {
	tire := mustTire(t, "14.9-24")
	water := liquid.Fluid{Kind: liquid.Water}
	for _, c := range []struct {
		tires, levels int
		path          string
		want          bool
	}{
		{10001, 1, "tires", true}, {10000, 1, "tires", false}, {1, 1001, "levels", true}, {1, 1000, "levels", false},
	} {
		_, err := liquid.Table(context.Background(), make([]liquid.Tire, c.tires), []liquid.Fluid{water}, 0, make([]liquid.Level, c.levels)...)
		if slices.Contains(paths(err), c.path) != c.want {
			t.Errorf("%d tires, %d levels: %v", c.tires, c.levels, err)
		}
	}
	_, err := liquid.Table(context.Background(), []liquid.Tire{tire}, []liquid.Fluid{{Kind: liquid.Polyurethane}}, 0, liquid.ValveAt(12))
	wantPath(t, err, "levels")
	rows, err := liquid.Table(context.Background(), []liquid.Tire{tire}, []liquid.Fluid{{Kind: liquid.Polyurethane}}, 0)
	if err != nil || len(rows) != 1 || len(rows[0].Filled) != 1 || rows[0].Filled[0].Fraction != 1 {
		t.Errorf("solid: %+v, %v", rows, err)
	}
	if rows, err := liquid.Table(context.Background(), []liquid.Tire{tire}, []liquid.Fluid{water}, 0); err != nil || len(rows) != 1 || len(rows[0].Filled) != 0 {
		t.Errorf("no levels: %+v, %v", rows, err)
	}
	if rows, err := liquid.Table(context.Background(), nil, []liquid.Fluid{water}, 0, liquid.ValveAt(12)); err != nil || len(rows) != 0 {
		t.Errorf("no tires: %+v, %v", rows, err)
	}
}

// What is written is read back.
func TestJSON(t *testing.T) {
	f := liquid.Fill{Tire: mustTire(t, "VF 380/85R34 CFO 151D/148E"), Fluid: liquid.Brine(liquid.MagnesiumChloride, 0.2), Level: liquid.ValveAt(4), Temperature: 280}
	b, err := json.Marshal(f)
	if err != nil {
		t.Fatal(err)
	}
	var back liquid.Fill
	if err := json.Unmarshal(b, &back); err != nil || !reflect.DeepEqual(back, f) {
		t.Errorf("%s\nread back as %+v, %v", b, back, err)
	}
	for _, bad := range []string{`{"fluid":{"kind":"oil"}}`, `{"level":{"kind":"brim"}}`, `{"tire":{"designation":"big"}}`, `{"tire":{"lugDepth":{"origin":"guess"}}}`} {
		if err := json.Unmarshal([]byte(bad), &back); err == nil {
			t.Errorf("%s: no error", bad)
		}
	}
}

// More than the tire is thought to hold may go into one that is larger than
// thought: the band says so.
func TestClampedBand(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	full, err := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.FractionOf(1)}.Solve()
	if err != nil {
		t.Fatal(err)
	}
	for _, l := range []liquid.Level{liquid.VolumeOf(2), liquid.MassOf(5000)} {
		got, err := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: l}.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if !got.Notes.Has(liquid.NoteLevelClamped) || got.VolumeBand != full.VolumeBand || got.MassBand != full.MassBand {
			t.Errorf("%v: %v and %v, of the full tire %v and %v", l.Kind, got.VolumeBand, got.MassBand, full.VolumeBand, full.MassBand)
		}
	}
}

func FuzzFill(f *testing.F) {
	f.Add(0.378, 1.265, 0.61, 0.33, 0.032, 0.018, 0.012, 0.04, 0.15, 0.3, 2.5, 0.0, uint8(1), 12.0, uint8(2), 0.2, 0.0)
	f.Add(0.2, 0.6, 0.3, 0.15, 0.0, 0.0, 0.0, 0.0, 0.0, 0.15, 1.5, 0.05, uint8(4), 0.5, uint8(1), 0.0, 280.0)
	f.Add(0.378, 1.265, 0.61, 0.33, 0.032, 0.018, 0.012, 0.04, 0.15, 0.3, 2.5, 0.0, uint8(7), 0.3, uint8(2), 0.2, 0.0)
	f.Add(1.4, 2.4, 0.3, 0.15, 0.0, 0.0, 0.0, 0.0, 0.0, 0.15, 3.0, 0.04, uint8(6), 6.12384871644131e-07, uint8(1), 0.0, 280.0)
	f.Fuzz(func(t *testing.T, s, od, rim, rw, lug, under, wall, wd, ww, valve, crown, defl float64, lk uint8, l float64, k uint8, x, temp float64) {
		m := func(v float64) liquid.Dimension { return liquid.Measure(units.Length(v), units.Length(v/50)) }
		tire := liquid.Tire{SectionWidth: m(s), OverallDiameter: m(od), RimDiameter: m(rim), RimWidth: m(rw), LugDepth: m(lug), Undertread: m(under), Sidewall: m(wall),
			WellDepth: m(wd), WellWidth: m(ww), ValveRadius: m(valve), Crown: crown, Deflection: units.Length(defl)}
		level := liquid.Level{Kind: liquid.LevelKind(lk)}
		switch level.Kind {
		case liquid.LevelValveClock:
			level.Clock = l
		case liquid.LevelValveAngle:
			level.Angle = units.Angle(l)
		case liquid.LevelHeight:
			level.Height = units.Length(l)
		case liquid.LevelFraction:
			level.Fraction = units.Fraction(l)
		case liquid.LevelVolume:
			level.Volume = units.Volume(l)
		case liquid.LevelMass:
			level.Mass = units.Mass(l)
		case liquid.LevelHead:
			level.Head, level.Clock = units.Length(l), 6
		}
		q := liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.FluidKind(k), units.MassFraction(x)), Level: level, Temperature: units.Temperature(temp)}
		r, err := q.Solve()
		if err != nil {
			if !errors.Is(err, units.ErrInvalid) {
				t.Fatal(err)
			}
			return
		}
		for _, v := range []float64{float64(r.Volume), float64(r.Mass), float64(r.Fraction), float64(r.FullVolume), float64(r.Level), float64(r.CentroidDepth),
			float64(r.Freezing), float64(r.VolumeBand.Low), float64(r.VolumeBand.High), float64(r.MassBand.Low), float64(r.MassBand.High), float64(r.LevelBand.Low), float64(r.LevelBand.High), r.Clock} {
			if math.IsNaN(v) || math.Abs(v) > 1e6 {
				t.Fatalf("%+v: %+v", q, r)
			}
		}
		if r.Fraction < 0 || r.Fraction > 1+1e-9 || r.VolumeBand.Low > r.Volume || r.VolumeBand.High < r.Volume || r.MassBand.Low > r.Mass || r.MassBand.High < r.Mass {
			t.Fatalf("%+v: %+v", q, r)
		}
		// A puddle spreads wide over a flat crown, so that the rise grows without
		// bound as it vanishes; the free surface is bounded by the rectangle round
		// the whole tire.
		if free := float64(r.RollRise) * float64(r.Volume); !(free >= 0 && free <= od*s*s*s/12*(1+1e-9)) {
			t.Fatalf("%+v: %+v", q, r)
		}
		c, err := tire.Compile()
		if err != nil {
			t.Fatal(err)
		}
		z := r.Level
		if d := math.Abs(float64(c.Volume(z)-c.VolumeDirect(z))) / float64(c.FullVolume()); d > 1e-9 {
			t.Fatalf("%+v: compiled volume off by %v", q, d)
		}
	})
}

// randomTire returns a measured tire whose ten dimensions are all of them
// uncertain and all different.
func randomTire(r *rand.Rand) liquid.Tire {
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	m := func(v float64) liquid.Dimension {
		return liquid.Measure(units.Length(v), units.Length(v*in(0.002, 0.03)))
	}
	rim, h := in(0.3, 0.9), in(0.15, 0.35)
	w := in(0.8, 1.2)*h + 0.05
	rw := w * in(0.65, 0.85)
	return liquid.Tire{SectionWidth: m(w), OverallDiameter: m(rim + 2*h), RimDiameter: m(rim), RimWidth: m(rw), LugDepth: m(h * in(0.02, 0.1)), Undertread: m(h * in(0.02, 0.06)),
		Sidewall: m(w * in(0.01, 0.04)), WellDepth: m(rim * in(0.02, 0.05)), WellWidth: m(rw * in(0.3, 0.6)), ValveRadius: m(rim / 2 * in(0.94, 1))}
}

// The bands are what the smallest and the largest tire hold, each dimension at
// the end of its spread that makes it so, and the lightest and the heaviest
// fluid. Here both tires are written out as measured ones, for every kind of
// level, loaded and not, and what was asked for may be more than fits.
func TestBands(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	for n := range 63 {
		tire := randomTire(r)
		height := float64(tire.OverallDiameter.Value-tire.RimDiameter.Value) / 2
		if n%3 != 0 {
			tire.Deflection = units.Length(height * in(0.02, 0.3))
		}
		if n%5 == 1 {
			// So uncertain that the small tire's flat would lie within the rim.
			tire.Deflection = units.Length(height * in(0.35, 0.4))
			tire.OverallDiameter.Spread = units.Length(height)
		}
		tire.Unloaded = tire.Deflection == 0
		if n%2 == 0 {
			tire.Crown = in(2, 4)
		}
		f := liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.CalciumChloride, units.MassFraction(in(0.2, 0.26))), Temperature: units.Celsius(in(-10, 30))}
		about := in(0.1, 1.3) * math.Pi * float64(tire.OverallDiameter.Value) * height * float64(tire.SectionWidth.Value) / 2
		switch n % 7 {
		case 0:
			f.Level = liquid.ValveAt(in(0, 12))
		case 1:
			f.Level = liquid.ValveAtAngle(units.Angle(in(-6, 6)))
		case 2:
			f.Level = liquid.HeightAt(tire.OverallDiameter.Value * units.Length(in(-0.5, 0.5)))
		case 3:
			f.Level = liquid.FractionOf(units.Fraction(in(0.01, 1)))
		case 4:
			f.Level = liquid.VolumeOf(units.Volume(about))
		case 5:
			f.Level = liquid.MassOf(units.Mass(1200 * about))
		case 6:
			f.Fluid = liquid.Fluid{Kind: liquid.Polyurethane}
		}
		got, err := f.Solve()
		if err != nil {
			t.Fatal(err)
		}
		var volume, full [2]float64
		for i, side := range []float64{-1, 1} {
			c := tire
			for j, sign := range []float64{1, 1, -1, 1, -1, -1, -1, 1, 1} {
				d := dimensions[j].at(&c)
				*d = liquid.Measure(d.Value+units.Length(side*sign*float64(d.Spread)), 0)
			}
			if c.Crown == 0 {
				c.Crown = 2.5 + 0.5*side
			}
			p := liquid.SectionOf(c, 0)
			below := func(z float64) float64 {
				if z > 0 {
					return 2*p.Cut(0).Volume - p.Cut(z).Volume
				}
				return p.Cut(-z).Volume
			}
			flat := below(-math.Max(p.RC-float64(tire.Deflection), p.RB))
			if side > 0 {
				flat = 0 // sidewalls that bulge may make up for all of it
			}
			full[i] = below(p.RC) - flat
			valve, spread := float64(tire.ValveRadius.Value), float64(tire.ValveRadius.Spread)
			cos := math.Cos(f.Level.Clock*math.Pi/6 + float64(f.Level.Angle)) // one of them is zero
			switch f.Level.Kind {
			case liquid.LevelValveClock, liquid.LevelValveAngle:
				volume[i] = below((valve*cos + side*spread*math.Abs(cos))) - flat
			case liquid.LevelHeight:
				volume[i] = below(math.Max(-p.RC, math.Min(float64(f.Level.Height), p.RC))) - flat
			case liquid.LevelFraction:
				volume[i] = float64(f.Level.Fraction) * full[i]
			case liquid.LevelVolume:
				volume[i] = math.Min(float64(f.Level.Volume), full[i])
			case liquid.LevelMass:
				volume[i] = math.Min(float64(f.Level.Mass)/float64(got.Density), full[i])
			default:
				volume[i] = full[i]
			}
			volume[i] = math.Max(volume[i], 0)
		}
		volume[0], volume[1] = math.Min(volume[0], float64(got.Volume)), math.Max(volume[1], float64(got.Volume))
		p, err := f.Fluid.Properties(f.Temperature)
		if err != nil {
			t.Fatal(err)
		}
		spread := float64(p.DensitySpread) * float64(p.Density)
		mass := [2]float64{(float64(p.Density) - spread) * volume[0], (float64(p.Density) + spread) * volume[1]}
		if f.Level.Kind == liquid.LevelMass { // what was asked for, unless the tire cannot hold it
			m := float64(f.Level.Mass)
			mass = [2]float64{math.Min(m, (float64(p.Density)-spread)*full[0]), math.Min(m, (float64(p.Density)+spread)*full[1])}
		}
		off := func(a, b float64) bool { return !(math.Abs(a-b) <= 1e-9*float64(got.Density)*float64(got.FullVolume)) }
		if off(1000*float64(got.VolumeBand.Low), 1000*volume[0]) || off(1000*float64(got.VolumeBand.High), 1000*volume[1]) {
			t.Errorf("%d, %+v: volume from %v to %v, want %v", n, f.Level, got.VolumeBand.Low, got.VolumeBand.High, volume)
		}
		if off(float64(got.MassBand.Low), mass[0]) || off(float64(got.MassBand.High), mass[1]) {
			t.Errorf("%d, %+v: mass from %v to %v, want %v", n, f.Level, got.MassBand.Low, got.MassBand.High, mass)
		}
	}
}

// Each caution appears where its comment says, and no earlier.
func TestCautionBounds(t *testing.T) {
	radial, bias := mustTire(t, "380/85R24"), mustTire(t, "14.9-24")
	other := func(freezing units.Temperature) liquid.Fluid {
		return liquid.Fluid{Kind: liquid.OtherFluid, Density: 1100, Freezing: freezing}
	}
	for _, c := range []struct {
		what string
		fill liquid.Fill
		of   liquid.Cautions
		want bool
	}{
		{"freezes at -4.99 C", liquid.Fill{Tire: bias, Fluid: other(268.16), Level: liquid.ValveAt(4)}, liquid.CautionFreezes, true},
		{"freezes at -5.01 C", liquid.Fill{Tire: bias, Fluid: other(268.14), Level: liquid.ValveAt(4)}, liquid.CautionFreezes, false},
		{"below its freezing point", liquid.Fill{Tire: bias, Fluid: other(250), Level: liquid.ValveAt(4), Temperature: 249}, liquid.CautionFreezes, true},
		{"above its freezing point", liquid.Fill{Tire: bias, Fluid: other(250), Level: liquid.ValveAt(4), Temperature: 251}, liquid.CautionFreezes, false},
		{"freezing point unknown", liquid.Fill{Tire: bias, Fluid: other(0), Level: liquid.ValveAt(4)}, liquid.CautionFreezes, true},
		{"80.1 %", liquid.Fill{Tire: bias, Fluid: other(0), Level: liquid.FractionOf(0.801)}, liquid.CautionOverfill, true},
		{"79.9 %", liquid.Fill{Tire: bias, Fluid: other(0), Level: liquid.FractionOf(0.799)}, liquid.CautionOverfill, false},
		{"a little in a radial tire", liquid.Fill{Tire: radial, Fluid: other(0), Level: liquid.FractionOf(0.001)}, liquid.CautionRadial, true},
		{"nothing in a radial tire", liquid.Fill{Tire: radial, Fluid: other(0), Level: liquid.FractionOf(0)}, liquid.CautionRadial, false},
		{"full bias tire", liquid.Fill{Tire: bias, Fluid: other(0), Level: liquid.FractionOf(1)}, liquid.CautionRadial, false},
		{"a liquid", liquid.Fill{Tire: bias, Fluid: other(0), Level: liquid.ValveAt(4)}, liquid.CautionGauge | liquid.CautionSpill | liquid.CautionAirOut, true},
		{"a solid: gauge", liquid.Fill{Tire: bias, Fluid: liquid.Fluid{Kind: liquid.Polyurethane}}, liquid.CautionGauge, false},
		{"a solid: spill", liquid.Fill{Tire: bias, Fluid: liquid.Fluid{Kind: liquid.Polyurethane}}, liquid.CautionSpill, false},
		{"a solid: air", liquid.Fill{Tire: bias, Fluid: liquid.Fluid{Kind: liquid.Polyurethane}}, liquid.CautionAirOut, false},
	} {
		r, err := c.fill.Solve()
		if err != nil || r.Cautions.Has(c.of) != c.want {
			t.Errorf("%s: cautions %v, %v; want %v: %v", c.what, r.Cautions, err, c.of, c.want)
		}
	}
}

// A compiled cavity refuses what a fill refuses.
func TestCavityFillErrors(t *testing.T) {
	c, err := mustTire(t, "14.9-24").Compile()
	if err != nil {
		t.Fatal(err)
	}
	_, err = c.Fill(liquid.Fluid{}, liquid.Level{}, 1)
	for _, p := range []string{"fluid.kind", "level.kind", "temperature"} {
		wantPath(t, err, p)
	}
	_, err = c.Fill(liquid.Fluid{Kind: liquid.Polyurethane}, liquid.ValveAt(12), 0)
	wantPath(t, err, "level")
	if r, err := c.Fill(liquid.Fluid{Kind: liquid.Polyurethane}, liquid.Level{}, 0); err != nil || r.Volume != c.FullVolume() {
		t.Errorf("polyurethane: %+v, %v", r, err)
	}
}

// The band holds what the valve's radius may be, above the axle and below it.
func TestValveBand(t *testing.T) {
	for _, clock := range []float64{12, 2, 4, 6} {
		f := liquid.Fill{Tire: mustTire(t, "14.9-24"), Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(clock)}
		for _, x := range dimensions {
			x.at(&f.Tire).Spread = 0
		}
		f.Tire.Crown, f.Tire.Unloaded = 2.5, true
		f.Tire.ValveRadius.Spread = 0.02
		r, err := f.Solve()
		if err != nil {
			t.Fatal(err)
		}
		var v []units.Volume
		for _, side := range []units.Length{-1, 1} {
			g := f
			g.Tire.ValveRadius.Value += side * 0.02
			x, err := g.Solve()
			if err != nil {
				t.Fatal(err)
			}
			v = append(v, x.Volume)
		}
		lo, hi := min(v[0], v[1]), max(v[0], v[1])
		if math.Abs(float64(r.VolumeBand.Low-lo)) > 1e-10 || math.Abs(float64(r.VolumeBand.High-hi)) > 1e-10 {
			t.Errorf("valve at %v: band %v, want %v to %v", clock, r.VolumeBand, lo, hi)
		}
	}
}

func FuzzInflation(f *testing.F) {
	f.Add(12.0, 1.1e5, 6.0, 0.0, 0.0, 0.01)
	f.Fuzz(func(t *testing.T, clock, pressure, valve, atm, g, squeeze float64) {
		i := liquid.Inflation{Fill: liquid.Fill{Tire: mustTire(t, "7.50-16"), Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(clock)}, Pressure: units.GaugePressure(pressure), Valve: liquid.ValveAt(valve),
			Atmosphere: units.AbsolutePressure(atm), Gravity: units.Acceleration(g)}
		r, err := i.Solve()
		if err != nil {
			if !errors.Is(err, units.ErrInvalid) {
				t.Fatal(err)
			}
			return
		}
		p, err := r.Squeezed(units.Volume(squeeze))
		if math.IsNaN(float64(r.Reading)) || math.IsNaN(r.Stiffening) || err == nil && (math.IsNaN(float64(p)) || math.IsInf(float64(p), 0) || p < i.Pressure-1) {
			t.Fatalf("%+v: %+v, %v", i, r, p)
		}
	})
}

// What text is read is written as it was read.
func FuzzText(f *testing.F) {
	f.Add("calciumChloride")
	f.Add("valveClock")
	f.Add("levelClamped, beyondEutectic")
	f.Add("A8")
	f.Fuzz(func(t *testing.T, s string) {
		again := func(v interface {
			UnmarshalText([]byte) error
			MarshalText() ([]byte, error)
		}) {
			if v.UnmarshalText([]byte(s)) != nil {
				return
			}
			b, err := v.MarshalText()
			if err != nil {
				t.Fatalf("%q as %T: %v", s, v, err)
			}
			if err := v.UnmarshalText(b); err != nil {
				t.Fatalf("%q as %T: %s: %v", s, v, b, err)
			}
			if c, _ := v.MarshalText(); string(b) != string(c) {
				t.Fatalf("%q as %T: %s, then %s", s, v, b, c)
			}
		}
		again(new(liquid.FluidKind))
		again(new(liquid.LevelKind))
		again(new(liquid.SizeSystem))
		again(new(liquid.Construction))
		again(new(liquid.Flexion))
		again(new(liquid.Tread))
		again(new(liquid.Origin))
		again(new(liquid.SpeedSymbol))
		again(new(liquid.Designation))
		again(new(liquid.Traits))
		again(new(liquid.Notes))
		again(new(liquid.Cautions))
	})
}

// A fill whose tire's deflection is not given promises no more mass at the low
// end of its band than the tire holds pressed in by any deflection up to a
// fifth of the section height, and a note says so. A tire that carries nothing
// says so and has no such band.
func TestDeflectionNotGiven(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 7))
	for range 60 {
		tire := randomTire(r)
		height := float64(tire.OverallDiameter.Value-tire.RimDiameter.Value) / 2
		f := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: []liquid.Level{liquid.ValveAt(12), liquid.ValveAt(4), liquid.FractionOf(0.6), liquid.HeightAt(-0.1)}[r.IntN(4)], Temperature: units.Celsius(20)}
		left, err := f.Solve()
		if err != nil {
			t.Fatal(err)
		}
		f.Tire.Unloaded = true
		free, err := f.Solve()
		if err != nil {
			t.Fatal(err)
		}
		f.Tire.Unloaded, f.Tire.Deflection = false, units.Length(0.2*height*r.Float64())
		pressed, err := f.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if left.Mass != free.Mass || left.MassBand.Low > pressed.MassBand.Low*(1+1e-12) || left.MassBand.Low > free.MassBand.Low || left.MassBand.High != free.MassBand.High {
			t.Errorf("%v: %v not given, %v unloaded, %v at %v", f.Level, left.MassBand, free.MassBand, pressed.MassBand, f.Tire.Deflection)
		}
		if !left.Notes.Has(liquid.NoteDeflectionUnknown) || free.Notes.Has(liquid.NoteDeflectionUnknown) || pressed.Notes.Has(liquid.NoteDeflectionUnknown) {
			t.Errorf("notes %v, %v, %v", left.Notes, free.Notes, pressed.Notes)
		}
	}
	if err := (liquid.Tire{Unloaded: true, Deflection: 0.05}).Validate(); err == nil {
		t.Error("an unloaded tire that is pressed in")
	}
}

// A dimension that is given beside a designation and belongs to another tire is
// refused. 14.9-24 is 1.26 m high over all and 0.38 m wide on a rim of 24 in
// (dimensions of numeric sizes from memory).
func TestContradictions(t *testing.T) {
	d, err := liquid.ParseDesignation("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		tire liquid.Tire
		path string
	}{
		{liquid.Tire{OverallDiameter: liquid.Measure(1.26, 0.01)}, ""}, {liquid.Tire{OverallDiameter: liquid.Measure(1.21, 0.01)}, ""}, {liquid.Tire{OverallDiameter: liquid.Measure(1.31, 0.01)}, ""},
		{liquid.Tire{OverallDiameter: liquid.Measure(2.4, 0.01)}, "overallDiameter.value"}, {liquid.Tire{OverallDiameter: liquid.Measure(1.05, 0.01)}, "overallDiameter.value"},
		{liquid.Tire{SectionWidth: liquid.Measure(0.40, 0.01)}, ""}, {liquid.Tire{SectionWidth: liquid.Measure(0.54, 0.01)}, "sectionWidth.value"},
		{liquid.Tire{RimDiameter: liquid.Measure(0.615, 0.005)}, ""}, {liquid.Tire{RimDiameter: liquid.Measure(0.66, 0.005)}, "rimDiameter.value"},
	} {
		c.tire.Designation = d
		_, err := c.tire.Resolve()
		var f *units.FieldError
		if errors.As(err, &f) != (c.path != "") || f != nil && f.Path != c.path {
			t.Errorf("%+v: %v, want %q", c.tire, err, c.path)
		}
	}
	// What was resolved once resolves again, in all sizes of the reference.
	for _, row := range rows(t, "tire_dimensions.csv") {
		tire, err := liquid.ParseTire(row["size"])
		if err != nil {
			continue
		}
		if _, err := tire.Resolve(); err != nil {
			t.Errorf("%s: %v", row["size"], err)
		}
		for _, x := range dimensions[:3] {
			x.at(&tire).Origin = liquid.Measured
		}
		if _, err := tire.Resolve(); err != nil {
			t.Errorf("%s measured: %v", row["size"], err)
		}
	}
}

// TestTableContext: an ended context gives the tires that were worked out.
func TestTableContext(t *testing.T) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	rows, err := liquid.Table(ctx, []liquid.Tire{tire}, []liquid.Fluid{{Kind: liquid.Water}}, 0, liquid.ValveAt(12))
	if len(rows) != 0 || !errors.Is(err, context.Canceled) {
		t.Errorf("%d rows, %v", len(rows), err)
	}
	var none context.Context
	if rows, err = liquid.Table(none, []liquid.Tire{tire}, []liquid.Fluid{{Kind: liquid.Water}}, 0, liquid.ValveAt(12)); len(rows) != 1 || err != nil {
		t.Errorf("%d rows, %v", len(rows), err)
	}
}

// A level over the tire, as a head may give it, has a band within the tire: no farther than the
// outer diameter reaches.
func TestLevelBandWithinTheTire(t *testing.T) {
	for _, size := range []string{"14.9-24", "7.50-16", "480/70R34"} {
		tire := mustTire(t, size)
		outer := (tire.OverallDiameter.Value + tire.OverallDiameter.Spread) / 2
		for _, l := range []liquid.Level{liquid.HeadAt(1.9, 6), liquid.HeadAt(2, 12), liquid.HeadAt(0.1, 6)} {
			f, err := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: l}.Solve()
			if err != nil || f.LevelBand.High > outer || f.LevelBand.Low < -outer || !f.LevelBand.Contains(f.Level) {
				t.Errorf("%s, %+v: level %v in %v, %v", size, l, f.Level, f.LevelBand, err)
			}
		}
	}
}

// A compiled cavity warns of what the tire's own fill warns of: of radial plies and of too much
// liquid.
func TestCavityCautions(t *testing.T) {
	for _, size := range []string{"480/80R42", "14.9-24", "31x15.50-15"} {
		tire := mustTire(t, size)
		c, err := tire.Compile()
		if err != nil {
			t.Fatal(err)
		}
		for _, share := range []units.Fraction{0, 0.3, 0.79, 0.81, 1} {
			f := liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.CalciumChloride, 0.25), Level: liquid.FractionOf(share), Temperature: units.Celsius(10)}
			want, err := f.Solve()
			if err != nil {
				t.Fatal(err)
			}
			got, err := c.Fill(f.Fluid, f.Level, f.Temperature)
			if err != nil || got.Cautions != want.Cautions {
				t.Errorf("%s, %v full: %v, want %v (%v)", size, share, got.Cautions, want.Cautions, err)
			}
		}
	}
}
