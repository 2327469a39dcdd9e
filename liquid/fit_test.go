package liquid_test

import (
	"encoding/json"
	"math"
	"math/rand/v2"
	"os"
	"strings"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// A publishedFit is one fluid of Melinder 2010 in fluid_fits.json.
type publishedFit struct {
	Tbase, XBase, Tmax, XMax float64
	Density                  struct{ Coeffs [4][6]float64 }
	Freeze                   struct{ Coeffs [1][6]float64 } `json:"T_freeze"`
}

// at sums a polynomial term by term.
func (m *publishedFit) at(rows [][6]float64, kelvin, x float64) float64 {
	sum := 0.0
	for i, row := range rows {
		for j, c := range row {
			sum += c * math.Pow(kelvin-m.Tbase, float64(i)) * math.Pow(x-m.XBase, float64(j))
		}
	}
	return sum
}

// publishedSalts is Laliberte 2009 in fluid_fits.json.
type publishedSalts struct {
	CaCl2, MgCl2 [5]float64
	Water        string `json:"rho_w"`
}

func readFits(t *testing.T) (map[liquid.FluidKind]*publishedFit, publishedSalts) {
	t.Helper()
	raw, err := os.ReadFile("../testdata/fluid_fits.json")
	if err != nil {
		t.Fatal(err)
	}
	var doc map[string]json.RawMessage
	if err := json.Unmarshal(raw, &doc); err != nil {
		t.Fatal(err)
	}
	fits := map[liquid.FluidKind]*publishedFit{}
	for name, k := range map[string]liquid.FluidKind{"MCA": liquid.CalciumChloride, "MMG": liquid.MagnesiumChloride, "MNA": liquid.SodiumChloride, "MEG": liquid.EthyleneGlycol,
		"MPG": liquid.PropyleneGlycol, "MMA": liquid.Methanol, "MKA": liquid.PotassiumAcetate, "MKF": liquid.PotassiumFormate} {
		fits[k] = new(publishedFit)
		if err := json.Unmarshal(doc[name], fits[k]); err != nil {
			t.Fatal(name, err)
		}
	}
	var salts publishedSalts
	if err := json.Unmarshal(doc["_laliberte_2009"], &salts); err != nil {
		t.Fatal(err)
	}
	return fits, salts
}

// Density and freezing point of every solution at random strengths and
// temperatures, from the coefficients of fluid_fits.json by the formulas in
// the comments on melinder and laliberte: CaCl2 and MgCl2 by Laliberte from
// 0 C up, and below it with the change by temperature of Melinder, as far as
// that goes in strength; the others by Melinder. Above the fit's range the
// density stays that of its end, below the freezing point that of it.
func TestFitsAtRandom(t *testing.T) {
	fits, salts := readFits(t)
	r := rand.New(rand.NewPCG(7, 8))
	// Where the freezing points of Melinder 2010 end, if not with the range.
	ends := map[liquid.FluidKind]float64{liquid.CalciumChloride: 0.298, liquid.MagnesiumChloride: 0.205, liquid.SodiumChloride: 0.23}
	for k := liquid.CalciumChloride; k <= liquid.PotassiumFormate; k++ {
		fit := fits[k]
		end := 1.0
		if e, ok := ends[k]; ok {
			end = e
		}
		highest, _ := k.MaxStrength()
		for n := range 200 {
			x := float64(highest) * (1 - r.Float64())
			if n < 20 {
				x = 0.019 + 0.0001*float64(n)
			}
			kelvin := 203.15 + 140*r.Float64()
			if n < 100 {
				kelvin = 253.15 + 30*r.Float64()
			}
			p, err := liquid.Brine(k, units.MassFraction(x)).Properties(units.Temperature(kelvin))
			if err != nil {
				t.Fatal(err)
			}
			if x > 0.02 && x <= end { // the rest is held by TestBeyondIceLine
				if want := fit.at(fit.Freeze.Coeffs[:], fit.Tbase, x); math.Abs(float64(p.Freezing)-want) > 1e-9 {
					t.Errorf("%v %v freezes at %v, want %v", k, x, p.Freezing, want)
				}
			}
			if below := kelvin <= float64(p.Freezing); p.Notes.Has(liquid.NoteBelowFreezing) != below {
				t.Errorf("%v %v at %v K: freezes at %v, notes %v", k, x, kelvin, p.Freezing, p.Notes)
			}
			if above := kelvin > fit.Tmax; p.Notes.Has(liquid.NoteTemperatureClamped) != above {
				t.Errorf("%v %v at %v K: notes %v", k, x, kelvin, p.Notes)
			}
			at := math.Max(math.Min(kelvin, fit.Tmax), float64(p.Freezing))
			melinder := func(kelvin float64) float64 {
				return fit.at(fit.Density.Coeffs[:], kelvin, math.Min(x, end))
			}
			want := melinder(at)
			if k == liquid.CalciumChloride || k == liquid.MagnesiumChloride {
				a := salts.CaCl2
				if k == liquid.MagnesiumChloride {
					a = salts.MgCl2
				}
				laliberte := func(c float64) float64 {
					salt := (a[0]*x + a[1]) * math.Exp(1e-6*(c+a[4])*(c+a[4])) / (x + a[2] + a[3]*c)
					return 1 / ((1-x)/liquid.WaterDensity(c) + x/salt)
				}
				if c := at - 273.15; c >= 0 {
					want = laliberte(c)
				} else {
					want = laliberte(0) * melinder(at) / melinder(273.15)
				}
			} else if x > end {
				want = fit.at(fit.Density.Coeffs[:], at, x)
			}
			if math.Abs(float64(p.Density)/want-1) > 1e-12 {
				t.Errorf("%v %v at %v K: density %v, want %v", k, x, kelvin, p.Density, want)
			}
		}
	}
}

// Every coefficient of the two published fits, testdata/fluid_fits.json:
// Melinder 2010 and Laliberte 2009, transcribed apart from this package.
func fitCoefficients(t *testing.T) {
	melinders, salts := readFits(t)
	for k := liquid.CalciumChloride; k <= liquid.PotassiumFormate; k++ {
		want := melinders[k]
		t0, x0, tmax, xmax, density, freezing := liquid.Melinder(k)
		if t0 != want.Tbase || x0 != want.XBase || tmax != want.Tmax || xmax != want.XMax ||
			density != want.Density.Coeffs || freezing != want.Freeze.Coeffs[0] {
			t.Errorf("%v: %v, %v, %v, %v, %v, %v, want %+v", k, t0, x0, tmax, xmax, density, freezing, want)
		}
	}
	if salts.CaCl2 != liquid.Laliberte(liquid.CalciumChloride) || salts.MgCl2 != liquid.Laliberte(liquid.MagnesiumChloride) {
		t.Error("Laliberte's coefficients")
	}
	// Water by the file's text, term for term.
	const text = "(((((-2.8054253e-10 t+1.0556302e-7)t-4.6170461e-5)t-0.0079870401)t+16.945176)t+999.83952)/(1+0.01687985 t)"
	if !strings.HasPrefix(salts.Water, text) {
		t.Fatalf("the file has %q", salts.Water)
	}
	for c := -30.0; c <= 150; c += 5 {
		sum := 0.0
		for i, a := range []float64{999.83952, 16.945176, -0.0079870401, -4.6170461e-5, 1.0556302e-7, -2.8054253e-10} {
			sum += a * math.Pow(c, float64(i))
		}
		if want := sum / (1 + 0.01687985*c); math.Abs(liquid.WaterDensity(c)/want-1) > 1e-12 {
			t.Errorf("water at %v C: %v, want %v", c, liquid.WaterDensity(c), want)
		}
	}
}

// The strengths up to which the sources go and the widths of the bands, as
// the sources' notes and this package's documentation have them; fluids.csv
// holds the sources' disagreement itself.
func TestSpreads(t *testing.T) {
	for _, c := range []struct {
		k                          liquid.FluidKind
		x, celsius                 float64
		density, freezing, highest float64
	}{
		{liquid.CalciumChloride, 0.2399, 20, 0.004, 1, 0.4254}, {liquid.CalciumChloride, 0.2701, 20, 0.009, 10, 0.4254}, {liquid.CalciumChloride, 0.2, -1, 0.009, 1, 0.4254},
		{liquid.CalciumChloride, 0.2899, 20, 0.009, 10, 0.4254}, {liquid.CalciumChloride, 0.3101, 20, 0.011, 10, 0.4254},
		{liquid.MagnesiumChloride, 0.1449, 20, 0.0055, 1.3, 0.30}, {liquid.MagnesiumChloride, 0.1601, 20, 0.0055, 4, 0.30},
		{liquid.SodiumChloride, 0.2199, 20, 0.002, 0.6, 0.263}, {liquid.SodiumChloride, 0.2331, 20, 0.002, 2, 0.263},
		{liquid.EthyleneGlycol, 0.3, 20, 0.008, 2.4, 0.60}, {liquid.PropyleneGlycol, 0.3, 20, 0.008, 1.4, 0.60}, {liquid.Methanol, 0.3, 20, 0.004, 1, 0.60},
		{liquid.PotassiumAcetate, 0.3, 20, 0.005, 2.4, 0.45}, {liquid.PotassiumFormate, 0.3, 20, 0.005, 3, 0.48},
	} {
		p := propertiesAt(t, c.k, c.x, c.celsius)
		if math.Abs(float64(p.DensitySpread)-c.density) > 1e-15 || math.Abs(float64(p.FreezingSpread)-c.freezing) > 1e-12 {
			t.Errorf("%v %v: spreads %v and %v, want %v and %v", c.k, c.x, p.DensitySpread, p.FreezingSpread, c.density, c.freezing)
		}
		if h, _ := c.k.MaxStrength(); float64(h) != c.highest {
			t.Errorf("%v: highest strength %v, want %v", c.k, h, c.highest)
		}
	}
}

// A hydrometer's last digit moves no end of a band by more than its own, and
// makes no brine safe where the sources disagree about a slightly stronger one.
func TestBandsDoNotJump(t *testing.T) {
	for _, k := range []liquid.FluidKind{liquid.CalciumChloride, liquid.MagnesiumChloride, liquid.SodiumChloride, liquid.EthyleneGlycol, liquid.PropyleneGlycol, liquid.Methanol, liquid.PotassiumAcetate, liquid.PotassiumFormate} {
		most, _ := k.MaxStrength()
		for _, celsius := range []float64{-5, 20} {
			last := propertiesAt(t, k, 0.0001, celsius)
			for n := 2; float64(n) <= float64(most)*1e4; n++ {
				x := float64(n) / 1e4
				p := propertiesAt(t, k, x, celsius)
				if d := float64(p.FreezingBand.High - last.FreezingBand.High); math.Abs(d) > 0.08 {
					t.Fatalf("%v %v: the warm end goes by %v K", k, x, d)
				}
				if d := float64(p.FreezingBand.Low - last.FreezingBand.Low); math.Abs(d) > 0.09 {
					t.Fatalf("%v %v: the cold end goes by %v K", k, x, d)
				}
				if d := float64(p.DensitySpread - last.DensitySpread); math.Abs(d) > 3e-5 {
					t.Fatalf("%v %v: the density's spread goes by %v", k, x, d)
				}
				last = p
			}
		}
	}
	// On the way to the disagreement the warm end stays where it was.
	for _, c := range []struct {
		k        liquid.FluidKind
		from, to float64
	}{{liquid.CalciumChloride, 0.24, 0.27}, {liquid.MagnesiumChloride, 0.145, 0.16}} {
		want := propertiesAt(t, c.k, c.from, 20).FreezingBand.High
		for x := c.from; x <= c.to; x += 0.001 {
			p := propertiesAt(t, c.k, x, 20)
			if math.Abs(float64(p.FreezingBand.High-want)) > 0.5 || x > c.from+0.003 && !p.Notes.Has(liquid.NoteSourcesDisagree) {
				t.Errorf("%v %v: warm end %v, want about %v; %v", c.k, x, p.FreezingBand.High, want, p.Notes)
			}
		}
	}
}

// propertiesAt returns the properties at a strength and a temperature in C.
func propertiesAt(t *testing.T, k liquid.FluidKind, x, celsius float64) liquid.Properties {
	t.Helper()
	p, err := liquid.Brine(k, units.MassFraction(x)).Properties(units.Celsius(celsius))
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// Where solid falls out beyond the end of the ice lines: CaCl2 from Conde
// (memory) at 32 and 36 % and Kirk-Othmer's saturation line of the
// hexahydrate, MgCl2 from Lange's Handbook, NaCl from memory; tabulated points
// exactly, and straight lines between.
func TestBeyondIceLine(t *testing.T) {
	for _, c := range []struct {
		k       liquid.FluidKind
		x, want float64
	}{
		{liquid.CalciumChloride, 0.309, -41.500}, {liquid.CalciumChloride, 0.32, -36}, {liquid.CalciumChloride, 0.34, -22.5}, {liquid.CalciumChloride, 0.36, -9}, {liquid.CalciumChloride, 0.3938, 10},
		{liquid.CalciumChloride, 0.4009, 12.5}, {liquid.CalciumChloride, 0.408, 15}, {liquid.CalciumChloride, 0.4167, 17.5}, {liquid.CalciumChloride, 0.4254, 20},
		{liquid.MagnesiumChloride, 0.2105, -31.618}, {liquid.MagnesiumChloride, 0.216, -33}, {liquid.MagnesiumChloride, 0.22, -32.8}, {liquid.MagnesiumChloride, 0.225, -30.85}, {liquid.MagnesiumChloride, 0.23, -28.9},
		{liquid.MagnesiumChloride, 0.24, -26.1}, {liquid.MagnesiumChloride, 0.25, -23.3}, {liquid.MagnesiumChloride, 0.255, -22.2}, {liquid.MagnesiumChloride, 0.26, -21.1},
		{liquid.MagnesiumChloride, 0.275, -19.15}, {liquid.MagnesiumChloride, 0.29, -17.2}, {liquid.MagnesiumChloride, 0.295, -16.95}, {liquid.MagnesiumChloride, 0.30, -16.7},
		{liquid.SodiumChloride, 0.2315, -20.757}, {liquid.SodiumChloride, 0.233, -21}, {liquid.SodiumChloride, 0.248, -10.45}, {liquid.SodiumChloride, 0.263, 0.1},
	} {
		if got := propertiesAt(t, c.k, c.x, 20).Freezing.Celsius(); math.Abs(got-c.want) > 0.005 {
			t.Errorf("%v %v: %.2f C, want %v", c.k, c.x, got, c.want)
		}
	}
	// The lines begin where the fits end.
	for k, x := range map[liquid.FluidKind]float64{liquid.CalciumChloride: 0.298, liquid.MagnesiumChloride: 0.205, liquid.SodiumChloride: 0.23} {
		end, beyond := propertiesAt(t, k, x, 20).Freezing, propertiesAt(t, k, x+1e-9, 20).Freezing
		if math.Abs(float64(beyond-end)) > 1e-4 {
			t.Errorf("%v: a jump at %v from %v to %v", k, x, end, beyond)
		}
	}
	// The fits miss 0 C for water by tenths of a kelvin; the first two percent
	// take that out, so that a trace of salt freezes as water does.
	fits, _ := readFits(t)
	for k := liquid.CalciumChloride; k <= liquid.PotassiumFormate; k++ {
		if got := propertiesAt(t, k, 1e-9, 20).Freezing.Celsius(); math.Abs(got) > 1e-5 {
			t.Errorf("%v: a trace freezes at %v C", k, got)
		}
		below, above := propertiesAt(t, k, 0.02-1e-9, 20).Freezing, propertiesAt(t, k, 0.02+1e-9, 20).Freezing
		if math.Abs(float64(below-above)) > 1e-5 {
			t.Errorf("%v: a jump at 2 %% from %v to %v", k, below, above)
		}
		fit := func(x float64) float64 { return fits[k].at(fits[k].Freeze.Coeffs[:], fits[k].Tbase, x) }
		miss := 273.15 - fit(0)
		half := propertiesAt(t, k, 0.01, 20).Freezing
		if want := fit(0.01) + miss/2; math.Abs(float64(half)-want) > 1e-9 {
			t.Errorf("%v at 1 %%: %v, want %v", k, half, want)
		}
	}
}
