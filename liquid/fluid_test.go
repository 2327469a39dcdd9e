package liquid_test

import (
	"math"
	"strings"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

var fluidByName = map[string]liquid.FluidKind{
	"water": liquid.Water, "CaCl2": liquid.CalciumChloride, "MgCl2": liquid.MagnesiumChloride, "NaCl": liquid.SodiumChloride,
	"ethylene glycol": liquid.EthyleneGlycol, "propylene glycol": liquid.PropyleneGlycol, "methanol": liquid.Methanol,
	"potassium acetate": liquid.PotassiumAcetate, "potassium formate": liquid.PotassiumFormate,
}

// Every row of fluids.csv, whatever its source, is reproduced within the
// spread that the answer states; a row of the pinned source within what the
// rounding of the row allows. A row that cannot be asked for must be refused
// or carry a note.
func fluidsAgainstPublished(t *testing.T, note func(density, freezing float64)) {
	type worst struct{ density, freezing float64 }
	off := map[string]*worst{}
	n := 0
	for _, r := range rows(t, "fluids.csv") {
		if r["mass_pct"] == "" || r["fluid"] != "water" && r["mass_pct"] == "0.00" || strings.Contains(r["note"], "SATURATION") {
			continue
		}
		n++
		k := fluidByName[r["fluid"]]
		f := liquid.Fluid{Kind: k}
		if k != liquid.Water {
			f.Strength = units.MassFraction(parse(t, r["mass_pct"]) / 100)
		}
		temp := units.Celsius(20)
		if r["temp_C"] != "" {
			temp = units.Celsius(parse(t, r["temp_C"]))
		}
		where := r["fluid"] + " " + r["mass_pct"] + " % " + r["temp_C"] + " C, " + strings.SplitN(r["source"], ",", 2)[0]
		p, err := f.Properties(temp)
		if err != nil {
			if most, _ := k.MaxStrength(); k != liquid.Water && f.Strength <= most && temp >= liquid.MinTemperature {
				t.Errorf("%s: %v", where, err)
			}
			continue
		}
		key := r["fluid"] + ": " + strings.SplitN(r["source"], " ", 2)[0]
		if off[key] == nil {
			off[key] = &worst{}
		}
		w := off[key]
		if r["density_kg_m3"] != "" && !p.Notes.Has(liquid.NoteBelowFreezing) && !p.Notes.Has(liquid.NoteTemperatureClamped) {
			want := parse(t, r["density_kg_m3"])
			d := math.Abs(float64(p.Density)/want - 1)
			tol := float64(p.DensitySpread) + 0.06/want // rows have 0.1 kg/m3
			if !(d <= tol) {
				t.Errorf("%s: density %.1f, want %.1f within %.2f %%", where, p.Density, want, 100*tol)
			}
			w.density = math.Max(w.density, d)
			note(d, 0)
		}
		if r["freezing_C"] != "" {
			want := parse(t, r["freezing_C"])
			d := math.Abs(p.Freezing.Celsius() - want)
			if warm := want - p.FreezingBand.High.Celsius(); warm > 0.006 {
				t.Errorf("%s: freezes at %.2f C, %.2f K warmer than the band's warm end", where, want, warm)
			}
			if !(d <= float64(p.FreezingSpread)+0.006) {
				t.Errorf("%s: freezing %.2f C, want %.2f within %.1f", where, p.Freezing.Celsius(), want, p.FreezingSpread)
			}
			w.freezing = math.Max(w.freezing, d)
			note(0, d)
			if strings.Contains(r["source"], "fit, as shipped") && k != liquid.MagnesiumChloride && k != liquid.CalciumChloride && d > 0.006 && f.Strength > 0.02 {
				t.Errorf("%s: freezing off the pinned source by %.3f K", where, d)
			}
		}
		if strings.Contains(r["source"], "fit, as shipped") && r["density_kg_m3"] != "" && k != liquid.Water && k != liquid.CalciumChloride && k != liquid.MagnesiumChloride {
			if d := math.Abs(float64(p.Density) - parse(t, r["density_kg_m3"])); d > 0.06 && !p.Notes.Has(liquid.NoteBelowFreezing) {
				t.Errorf("%s: density off the pinned source by %.2f", where, d)
			}
		}
	}
	if n < 450 {
		t.Errorf("only %d rows", n)
	}
	for k, w := range off {
		t.Logf("%-40s density %.2f %%, freezing %.1f K", k, 100*w.density, w.freezing)
	}
}

// Water: NBS 998.20 at 20 C; 999.975 at 4 C, which Kell's equation has as
// 999.972: the sources differ by that much.
func densityOfWater(t *testing.T) {
	for _, c := range []struct{ t, want, tol float64 }{{20, 998.20, 0.005}, {4, 999.975, 0.0035}} {
		d, err := liquid.Fluid{Kind: liquid.Water}.DensityAt(units.Celsius(c.t))
		validation.Off(t, float64(d)-c.want, "kg/m3")
		if err != nil || math.Abs(float64(d)-c.want) > c.tol {
			t.Errorf("%v C: %.3f, %v; want %.3f", c.t, d, err, c.want)
		}
	}
}

// Eutectics of FHWA-RD-95-202 (1996) appendix A: CaCl2 -51 C at 29.8 %, MgCl2
// -33 C at 21.6 %, NaCl -21 C at 23.3 %. The pinned source for CaCl2 is 4 K
// warmer there, and the answer says so.
func eutectics(t *testing.T) {
	wheel, err := mustTire(t, "14.9-24").Compile()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		k                   liquid.FluidKind
		strength, want, tol float64
	}{
		{liquid.CalciumChloride, 0.298, -51, 4.1}, {liquid.MagnesiumChloride, 0.216, -33, 0.01}, {liquid.SodiumChloride, 0.233, -21, 0.01},
	} {
		most, e := c.k.MaxStrength()
		if math.Abs(float64(e)-c.strength) > 1e-9 {
			t.Errorf("%v: eutectic at %v", c.k, e)
		}
		at := func(x float64) (float64, liquid.Properties) {
			p, err := liquid.Brine(c.k, units.MassFraction(x)).Properties(0)
			if err != nil {
				t.Fatal(err)
			}
			return p.Freezing.Celsius(), p
		}
		got, _ := at(c.strength)
		validation.Off(t, got-c.want, "K")
		if math.Abs(got-c.want) > c.tol {
			t.Errorf("%v: eutectic %.1f C, want %v", c.k, got, c.want)
		}
		// Falls to the eutectic, rises beyond it, and says so.
		last := 1.0
		for i := 1; i <= 1000; i++ {
			x := float64(most) * float64(i) / 1000
			got, p := at(x)
			filled, err := wheel.Fill(liquid.Brine(c.k, units.MassFraction(x)), liquid.ValveAt(12), units.Celsius(20))
			if err != nil {
				t.Fatal(err)
			}
			if beyond := x > c.strength; beyond != p.Notes.Has(liquid.NoteBeyondEutectic) || beyond != filled.Cautions.Has(liquid.CautionBeyondEutectic) {
				t.Errorf("%v %v: note %v", c.k, x, p.Notes)
			}
			if i > 1 && (x <= c.strength) != (got < last) && math.Abs(x-c.strength) > 0.001 {
				t.Errorf("%v: %.2f C at %.3f after %.2f", c.k, got, x, last)
			}
			if math.Abs(got-last) > 1.5 && i > 1 {
				t.Errorf("%v: jump from %.2f to %.2f C at %.3f", c.k, last, got, x)
			}
			last = got
		}
	}
}

// No strength and no temperature gives a NaN, a jump or a silent answer
// outside the range.
func TestFluidsEverywhere(t *testing.T) {
	for k := liquid.Water; k <= liquid.Polyurethane; k++ {
		highest, _ := k.MaxStrength()
		for i := 0; i <= 50; i++ {
			f := liquid.Fluid{Kind: k}
			if k.IsSolution() {
				f.Strength = max(1e-6, highest*units.MassFraction(i)/50)
			}
			last := 0.0
			for c := -70.0; c <= 70; c += 0.5 {
				p, err := f.Properties(units.Celsius(c))
				if err != nil {
					t.Fatalf("%+v at %v C: %v", f, c, err)
				}
				if !(p.Density > 900 && p.Density < 1500 || k == liquid.Methanol && p.Density > 850) {
					t.Fatalf("%+v at %v C: density %v", f, c, p.Density)
				}
				// Expands by at most 0.12 % in each kelvin, save where the
				// freezing point and 0 C change the rule.
				if last != 0 && math.Abs(float64(p.Density)/last-1) > 0.0006 {
					t.Errorf("%+v at %v C: density from %v to %v", f, c, last, p.Density)
				}
				last = float64(p.Density)
				if p.Freezing != 0 && (units.Celsius(c) <= p.Freezing) != p.Notes.Has(liquid.NoteBelowFreezing) {
					t.Errorf("%+v at %v C: freezing %v, notes %v", f, c, p.Freezing, p.Notes)
				}
				if p.Freezing == 0 && !p.Notes.Has(liquid.NoteFreezingUnknown) {
					t.Errorf("%+v: unknown freezing point without a note", f)
				}
			}
		}
	}
	for _, bad := range []float64{math.NaN(), math.Inf(1), -1, 1e308, 100, 400} {
		if _, err := (liquid.Fluid{Kind: liquid.Water}).Properties(units.Temperature(bad)); err == nil {
			t.Errorf("temperature %v: no error", bad)
		}
		if _, err := liquid.Brine(liquid.CalciumChloride, units.MassFraction(bad)).Properties(0); err == nil {
			t.Errorf("strength %v: no error", bad)
		}
	}
	for _, f := range []liquid.Fluid{{}, {Kind: 200}, {Kind: liquid.Water, Strength: 0.1}, {Kind: liquid.CalciumChloride}, {Kind: liquid.OtherFluid}, {Kind: liquid.OtherFluid, Density: 5000},
		{Kind: liquid.OtherFluid, Density: 1100, Freezing: 10}, {Kind: liquid.OtherFluid, Density: 1100, Traits: 200}, {Kind: liquid.Water, Density: 1000}, {Kind: liquid.Methanol, Strength: 0.2, Traits: liquid.Flammable}} {
		if err := f.Validate(); err == nil {
			t.Errorf("%+v: no error", f)
		}
	}
	if p, err := (liquid.Fluid{Kind: liquid.OtherFluid, Density: 1150, Freezing: 240, Traits: liquid.Flammable}).Properties(0); err != nil || p.Density != 1150 || p.Freezing != 240 || p.DensitySpread != 0.01 {
		t.Errorf("other fluid: %+v, %v", p, err)
	}
}

// The molasses liquid of a US state tender: 10.9 +- 0.3 lb per US gallon,
// freezing no higher than -22.8 C. Almost 11 lb per US gallon (common
// practice, no source).
func beetMolasses(t *testing.T) {
	p, err := liquid.Fluid{Kind: liquid.BeetMolasses}.Properties(units.Celsius(10))
	if err != nil {
		t.Fatal(err)
	}
	perGallon := float64(p.Density / units.PoundPerUSGallon)
	validation.Relative(t, perGallon, 10.9)
	if math.Abs(perGallon-10.9) > 0.005 || math.Abs(perGallon*float64(p.DensitySpread)-0.3) > 0.005 {
		t.Errorf("%.3f +- %.3f lb per US gallon", perGallon, perGallon*float64(p.DensitySpread))
	}
	if math.Abs(p.Freezing.Celsius()+22.8) > 1e-9 || !p.Notes.Has(liquid.NoteFreezingIsBound) {
		t.Errorf("freezing %v, %v", p.Freezing.Celsius(), p.Notes)
	}
}

// What is known of each kind by its name alone.
func TestKinds(t *testing.T) {
	for _, c := range []struct {
		k       liquid.FluidKind
		words   string
		highest units.MassFraction
		source  string
	}{
		{liquid.FluidUnknown, "unknown", 0, ""},
		{liquid.Water, "water", 0, "Kell, J. Chem. Eng. Data 20 (1975)"},
		{liquid.CalciumChloride, "calcium chloride", 0.4254, "Laliberte, J. Chem. Eng. Data 54 (2009)"},
		{liquid.MagnesiumChloride, "magnesium chloride", 0.30, "Laliberte, J. Chem. Eng. Data 54 (2009)"},
		{liquid.SodiumChloride, "sodium chloride", 0.263, "Properties of secondary working fluids"},
		{liquid.EthyleneGlycol, "ethylene glycol", 0.60, "Properties of secondary working fluids"},
		{liquid.PropyleneGlycol, "propylene glycol", 0.60, "Properties of secondary working fluids"},
		{liquid.Methanol, "methanol", 0.60, "Properties of secondary working fluids"},
		{liquid.PotassiumAcetate, "potassium acetate", 0.45, "Properties of secondary working fluids"},
		{liquid.PotassiumFormate, "potassium formate", 0.48, "Properties of secondary working fluids"},
		{liquid.BeetMolasses, "beet molasses", 0, "tender"},
		{liquid.Polyurethane, "polyurethane", 0, "memory"},
		{liquid.OtherFluid, "other", 0, "caller"},
		{liquid.OtherFluid + 1, "", 0, ""},
		{255, "", 0, ""},
	} {
		if c.k <= liquid.OtherFluid && c.k.Words() != c.words {
			t.Errorf("%v in words is %q, want %q", c.k, c.k.Words(), c.words)
		}
		highest, eutectic := c.k.MaxStrength()
		if highest != c.highest || eutectic > highest || c.k.IsSolution() != (c.highest > 0) {
			t.Errorf("%v: up to %v, eutectic %v, solution %v; want up to %v", c.k, highest, eutectic, c.k.IsSolution(), c.highest)
		}
		if s := c.k.Source(); !strings.Contains(s, c.source) || (s == "") != (c.source == "") {
			t.Errorf("%v: source %q, want one that says %q", c.k, s, c.source)
		}
	}
	if err := (liquid.Fluid{Kind: liquid.OtherFluid + 1}).Validate(); err == nil {
		t.Error("a kind that does not exist is taken")
	}
}

// The freezing points that need no temperature: water; NaCl at its eutectic
// (FHWA-RD-95-202); the bound of the tender; given; and none known.
func TestFreezingPoint(t *testing.T) {
	for _, c := range []struct {
		f    liquid.Fluid
		want float64
	}{
		{liquid.Fluid{Kind: liquid.Water}, 273.15}, {liquid.Brine(liquid.SodiumChloride, 0.233), 252.15}, {liquid.Fluid{Kind: liquid.BeetMolasses}, 250.35},
		{liquid.Fluid{Kind: liquid.OtherFluid, Density: 1100, Freezing: 245}, 245}, {liquid.Fluid{Kind: liquid.OtherFluid, Density: 1100}, 0}, {liquid.Fluid{Kind: liquid.Polyurethane}, 0},
	} {
		if got, err := c.f.FreezingPoint(); err != nil || math.Abs(float64(got)-c.want) > 1e-9 {
			t.Errorf("%+v: %v, %v; want %v K", c.f, got, err, c.want)
		}
	}
	if got, err := (liquid.Fluid{}).FreezingPoint(); err == nil || got != 0 {
		t.Errorf("nothing freezes at %v", got)
	}
}

// The fixed densities and the bands that the sources leave them: water within
// what its sources differ by, polyurethane 1100 give or take 100 kg/m3
// (memory), another fluid as given, or 1 %.
func TestFixedBands(t *testing.T) {
	for _, c := range []struct {
		f                liquid.Fluid
		density, percent float64
	}{
		{liquid.Fluid{Kind: liquid.Water}, 998.2, 0.02}, {liquid.Fluid{Kind: liquid.Polyurethane}, 1100, 9.0909}, {liquid.Fluid{Kind: liquid.BeetMolasses}, 1306, 2.7565},
		{liquid.Fluid{Kind: liquid.OtherFluid, Density: 1100}, 1100, 1}, {liquid.Fluid{Kind: liquid.OtherFluid, Density: 1100, DensitySpread: 0.03}, 1100, 3},
	} {
		p, err := c.f.Properties(0)
		if err != nil || math.Abs(float64(p.Density)-c.density) > 0.05 || math.Abs(100*float64(p.DensitySpread)-c.percent) > 5e-5 {
			t.Errorf("%+v: %v give or take %v, %v; want %v, %v %%", c.f, p.Density, p.DensitySpread, err, c.density, c.percent)
		}
		if !p.Notes.Has(liquid.NoteAssumedTemperature) {
			t.Errorf("%+v: notes %v without a temperature", c.f, p.Notes)
		}
	}
	// Water at 70 C 977.76 (memory; Kell's equation is 0.01 above), and below
	// 0 C 999.84 as at 0 C.
	for celsius, want := range map[float64]float64{70: 977.76, -10: 999.84} {
		p, err := liquid.Fluid{Kind: liquid.Water}.Properties(units.Celsius(celsius))
		if err != nil || math.Abs(float64(p.Density)-want) > 0.011 || p.Notes.Has(liquid.NoteBelowFreezing) != (celsius <= 0) || p.Notes.Has(liquid.NoteAssumedTemperature) {
			t.Errorf("water at %v C: %v, %v, %v; want %v", celsius, p.Density, p.Notes, err, want)
		}
	}
}

// What a buyer asks (common practice, no source).
func TestTraits(t *testing.T) {
	for _, c := range []struct {
		f    liquid.Fluid
		want liquid.Traits
	}{
		{liquid.Fluid{Kind: liquid.Water}, 0},
		{liquid.Brine(liquid.CalciumChloride, 0.2), liquid.CorrosiveToSteel | liquid.NeedsTube},
		{liquid.Brine(liquid.EthyleneGlycol, 0.2), liquid.HarmfulToLivestock},
		{liquid.Brine(liquid.PropyleneGlycol, 0.2), 0},
		{liquid.Brine(liquid.Methanol, 0.2), liquid.HarmfulToLivestock | liquid.Flammable},
		{liquid.Fluid{Kind: liquid.BeetMolasses}, 0},
		{liquid.Fluid{Kind: liquid.Polyurethane}, liquid.NeedsProfessional | liquid.Permanent},
	} {
		p, err := c.f.Properties(0)
		if err != nil || p.Traits != c.want {
			t.Errorf("%v: %v, %v; want %v", c.f.Kind, p.Traits, err, c.want)
		}
		b, _ := p.Traits.MarshalText()
		var back liquid.Traits
		if err := back.UnmarshalText(b); err != nil || back != p.Traits {
			t.Errorf("%s read back as %v, %v", b, back, err)
		}
	}
}

// Within the band of the freezing point some source has ice or salt: a fill says so and warns,
// as it does of a fluid whose freezing point nobody gave.
func TestNearFreezing(t *testing.T) {
	tire := mustTire(t, "14.9-24")
	fill := func(f liquid.Fluid, at units.Temperature) liquid.Filled {
		r, err := liquid.Fill{Tire: tire, Fluid: f, Level: liquid.ValveAt(12), Temperature: at}.Solve()
		if err != nil {
			t.Fatal(err)
		}
		return r
	}
	for _, f := range []liquid.Fluid{liquid.Brine(liquid.CalciumChloride, 0.29), liquid.Brine(liquid.MagnesiumChloride, 0.2), liquid.Brine(liquid.EthyleneGlycol, 0.5), liquid.Brine(liquid.PotassiumFormate, 0.4)} {
		p, err := f.Properties(units.Celsius(20))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range []struct {
			at               units.Temperature
			near, below, ask bool
		}{
			{p.FreezingBand.High.Add(0.01), false, false, false},
			{p.FreezingBand.High.Add(-0.01), true, false, true},
			{p.Freezing.Add(0.01), true, false, true},
			{p.Freezing.Add(-0.01), false, true, true},
		} {
			r := fill(f, c.at)
			if r.Notes.Has(liquid.NoteNearFreezing) != c.near || r.Notes.Has(liquid.NoteBelowFreezing) != c.below || r.Cautions.Has(liquid.CautionFreezes) != c.ask {
				t.Errorf("%v at %v: %v, %v", f.Kind, c.at, r.Notes, r.Cautions)
			}
		}
	}
	other := liquid.Fluid{Kind: liquid.OtherFluid, Density: 1200}
	if r := fill(other, units.Celsius(20)); !r.Cautions.Has(liquid.CautionFreezes) {
		t.Errorf("without a freezing point: %v", r.Cautions)
	}
	other.Freezing = units.Celsius(-40)
	if r := fill(other, units.Celsius(20)); r.Cautions.Has(liquid.CautionFreezes) {
		t.Errorf("with a freezing point of -40 C: %v", r.Cautions)
	}
}

// Above the end of a density's source the band holds a solution that expands as water does,
// which salt solutions do not exceed (Kell, J. Chem. Eng. Data 20 (1975) 97: 992.22 kg/m3 at
// 40 C, 977.77 at 70 C), and 60 % methanol, which loses 0.001 of itself with each kelvin (memory).
func TestHotBrine(t *testing.T) {
	for _, f := range []liquid.Fluid{liquid.Brine(liquid.CalciumChloride, 0.3), liquid.Brine(liquid.MagnesiumChloride, 0.2), liquid.Brine(liquid.SodiumChloride, 0.2), liquid.Brine(liquid.PotassiumAcetate, 0.4), liquid.Brine(liquid.PotassiumFormate, 0.4), liquid.Brine(liquid.Methanol, 0.6)} {
		warm, err := f.Properties(units.Celsius(40))
		if err != nil {
			t.Fatal(err)
		}
		hot, err := f.Properties(units.Celsius(70))
		if err != nil || !hot.Notes.Has(liquid.NoteTemperatureClamped) {
			t.Fatal(hot.Notes, err)
		}
		want := float64(warm.Density) * 977.77 / 992.22
		if f.Kind == liquid.Methanol {
			want = float64(warm.Density) * (1 - 30*0.001)
		}
		if low := float64(hot.Density) * (1 - float64(hot.DensitySpread)); low > want {
			t.Errorf("%v at 70 C: at least %.1f kg/m3, want %.1f in the band", f.Kind, low, want)
		}
	}
}
