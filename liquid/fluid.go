package liquid

import (
	"math"
	"strings"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// FluidKind is a fluid that goes into tires. In JSON: "water",
// "calciumChloride", "magnesiumChloride", "sodiumChloride", "ethyleneGlycol",
// "propyleneGlycol", "methanol", "potassiumAcetate", "potassiumFormate",
// "beetMolasses", "polyurethane" or "other"; "unknown" or left out is not given.
type FluidKind uint8

// The fluids.
const (
	// FluidUnknown is the zero value; a fill with it is an error.
	FluidUnknown FluidKind = iota
	// Water is plain water.
	Water
	// CalciumChloride is a solution of CaCl2 in water.
	CalciumChloride
	// MagnesiumChloride is a solution of MgCl2 in water.
	MagnesiumChloride
	// SodiumChloride is a solution of NaCl in water.
	SodiumChloride
	// EthyleneGlycol is a mixture with water.
	EthyleneGlycol
	// PropyleneGlycol is a mixture with water.
	PropyleneGlycol
	// Methanol is a mixture with water.
	Methanol
	// PotassiumAcetate is a solution of CH3COOK in water.
	PotassiumAcetate
	// PotassiumFormate is a solution of HCOOK in water.
	PotassiumFormate
	// BeetMolasses is a liquid of desugared sugar-beet molasses, used as it
	// comes.
	BeetMolasses
	// Polyurethane is an elastomer that is pumped in and hardens there; it
	// fills the whole cavity.
	Polyurethane
	// OtherFluid is a fluid whose density and freezing point the caller gives.
	OtherFluid
)

var fluidNames = []string{"unknown", "water", "calciumChloride", "magnesiumChloride", "sodiumChloride", "ethyleneGlycol", "propyleneGlycol",
	"methanol", "potassiumAcetate", "potassiumFormate", "beetMolasses", "polyurethane", "other"}

// Words returns the name in words, such as "calcium chloride".
func (k FluidKind) Words() string {
	var b strings.Builder
	for _, r := range k.String() {
		if r >= 'A' && r <= 'Z' {
			b.WriteByte(' ')
			r += 'a' - 'A'
		}
		b.WriteRune(r)
	}
	return b.String()
}

// fluidParam is a fluid in a message.
func fluidParam(k FluidKind) units.Param {
	return units.Word("fluid", "liquid.fluidKind."+k.String(), k.Words())
}

// Traits is the set of properties that a buyer must know of a fluid. It is a
// set of bits. In JSON it is one string of names joined by commas, such as
// "needsTube". Each name is that of the constant with a small first letter.
// [Traits.Lines] returns the sentences.
type Traits uint8

// The traits of fluids. They are common knowledge of the trade, without a
// document. They do not replace a safety data sheet: the seller's sheet comes
// first.
const (
	// CorrosiveToSteel fluids attack rims.
	CorrosiveToSteel Traits = 1 << iota
	// HarmfulToLivestock fluids poison animals that drink them.
	HarmfulToLivestock
	// Flammable fluids burn or give off vapor that does.
	Flammable
	// NeedsTube fluids need a tube or a lined tire.
	NeedsTube
	// NeedsProfessional fluids are filled by a specialist only.
	NeedsProfessional
	// Permanent fills cannot be taken out again.
	Permanent
)

var traitText = []choice.Remark{
	{Name: "corrosiveToSteel", Sentence: "Corrodes steel."},
	{Name: "harmfulToLivestock", Sentence: "Harms livestock, pets and people."},
	{Name: "flammable", Sentence: "Burns."},
	{Name: "needsTube", Sentence: "Needs a tube or a lining that the maker approves."},
	{Name: "needsProfessional", Sentence: "Is filled by a specialist only."},
	{Name: "permanent", Sentence: "Cannot be taken out again."},
}

// Fluid is a fluid and its strength. The zero value is "not given".
type Fluid struct {
	// Kind of fluid.
	Kind FluidKind `json:"kind"`
	// Strength is the mass of the salt, glycol or alcohol per mass of the
	// solution; only for fluids that are solutions, above 0 and up to
	// FluidKind.MaxStrength.
	Strength units.MassFraction `json:"strength,omitzero"`
	// Density is the density of an OtherFluid, from 600 to 3000 kg/m3.
	Density units.Density `json:"density,omitzero"`
	// DensitySpread is the half width of the band of Density, as a share of
	// Density, up to 0.5; zero means 1 %.
	DensitySpread units.Fraction `json:"densitySpread,omitzero"`
	// Freezing is the freezing point of an OtherFluid, 150 to 400 K; zero
	// means unknown.
	Freezing units.Temperature `json:"freezing,omitzero"`
	// Traits are the traits of an OtherFluid.
	Traits Traits `json:"traits,omitzero"`
}

// Brine returns a solution in water (a brine, a glycol or an alcohol) of the
// given kind and strength. Plain water is Fluid{Kind: Water}.
func Brine(kind FluidKind, strength units.MassFraction) Fluid {
	return Fluid{Kind: kind, Strength: strength}
}

// A point of a table over the mass fraction.
type point struct{ x, y float64 }

// calciumBeyond is the temperature in C at which a solid forms in CaCl2
// solutions beyond the end of the ice line at 29.8 %. The first value is that
// of Melinder 2010 there. The values at 32 and 36 % are from memory of Conde,
// Int. J. Therm. Sci. 43 (2004) 367. The rest is the saturation line of the
// hexahydrate in the Kirk-Othmer Encyclopedia.
var calciumBeyond = []point{{0.298, -47.0006}, {0.32, -36}, {0.36, -9}, {0.3938, 10}, {0.408, 15}, {0.4254, 20}}

// magnesiumBeyond is the same for MgCl2 from 20.5 %, up to which Melinder 2010
// holds. The first value is that of Melinder 2010 there. The eutectic is from
// FHWA-RD-95-202 (1996) appendix A, and the rest from Lange's Handbook of
// Chemistry, 15th ed. (1999), table 5.13.
var magnesiumBeyond = []point{{0.205, -30.2363}, {0.216, -33}, {0.22, -32.8}, {0.23, -28.9}, {0.25, -23.3}, {0.26, -21.1}, {0.29, -17.2}, {0.30, -16.7}}

// sodiumBeyond is the same for NaCl, from the eutectic of Melinder 2010 to the
// end of the dihydrate's line, which is from memory.
var sodiumBeyond = []point{{0.23, -20.5146}, {0.233, -21}, {0.263, 0.1}}

// A solution holds what is known of one kind of solution.
type solution struct {
	fit      *melinder
	salt     *laliberte // density from 0 C upward, if set
	max      float64    // highest strength
	eutectic float64    // strength of the eutectic, 0 if beyond max
	beyond   []point    // freezing points from the end of the fit on to max
	spread   float64    // half width of the density's band, as a share
	source   string
}

const (
	sourceMelinder  = "Melinder 2010, Properties of secondary working fluids for indirect systems, International Institute of Refrigeration"
	sourceLaliberte = "Laliberte, J. Chem. Eng. Data 54 (2009) 1725; below 0 C with the temperature dependence of Melinder 2010"
)

var solutions = [...]*solution{
	CalciumChloride: {fit: &melinderCalciumChloride, salt: &laliberteCalciumChloride, max: 0.4254, eutectic: 0.298,
		beyond: calciumBeyond, spread: 0.004, source: sourceLaliberte},
	MagnesiumChloride: {fit: &melinderMagnesiumChloride, salt: &laliberteMagnesiumChloride, max: 0.30, eutectic: 0.216,
		beyond: magnesiumBeyond, spread: 0.0055, source: sourceLaliberte},
	SodiumChloride:   {fit: &melinderSodiumChloride, max: 0.263, eutectic: 0.233, beyond: sodiumBeyond, spread: 0.002, source: sourceMelinder},
	EthyleneGlycol:   {fit: &melinderEthyleneGlycol, max: 0.60, spread: 0.008, source: sourceMelinder},
	PropyleneGlycol:  {fit: &melinderPropyleneGlycol, max: 0.60, spread: 0.008, source: sourceMelinder},
	Methanol:         {fit: &melinderMethanol, max: 0.60, spread: 0.004, source: sourceMelinder},
	PotassiumAcetate: {fit: &melinderPotassiumAcetate, max: 0.45, spread: 0.005, source: sourceMelinder},
	PotassiumFormate: {fit: &melinderPotassiumFormate, max: 0.48, spread: 0.005, source: sourceMelinder},
	OtherFluid:       nil,
}

// IsSolution reports whether the kind is a solution in water and so has a
// strength.
func (k FluidKind) IsSolution() bool { return int(k) < len(solutions) && solutions[k] != nil }

// MaxStrength returns the highest strength for which this package has data, and
// the strength of the eutectic, both as mass fractions. Beyond the eutectic the
// freezing point rises again. The eutectic is zero if it lies beyond the
// highest strength; both are zero for a fluid that is not a solution.
func (k FluidKind) MaxStrength() (highest, eutectic units.MassFraction) {
	if !k.IsSolution() {
		return 0, 0
	}
	return units.MassFraction(solutions[k].max), units.MassFraction(solutions[k].eutectic)
}

// Source returns where the density of the kind comes from.
func (k FluidKind) Source() string {
	switch {
	case k.IsSolution():
		return solutions[k].source
	case k == Water:
		return "Kell, J. Chem. Eng. Data 20 (1975) 97"
	case k == BeetMolasses:
		return "a US state tender for such a liquid: 10.9 +- 0.3 lb per US gallon, freezing no higher than -22.8 C; the trade states -34 F (common practice, no source)"
	case k == Polyurethane:
		return "memory, no source"
	case k == OtherFluid:
		return "given by the caller"
	}
	return ""
}

// Limits of the temperature of a fluid: -70 C and 70 C, with room for
// rounding.
const (
	MinTemperature units.Temperature = 203.15 - 1e-9
	MaxTemperature units.Temperature = 343.15 + 1e-9
)

// Validate reports every field that is out of range, by its JSON path.
func (f Fluid) Validate() error {
	var e units.FieldErrors
	if f.Kind == FluidUnknown || int(f.Kind) >= len(fluidNames) {
		e.Add("kind", f.Kind, choice.OneOf, choice.Of[FluidKind](fluidNames))
		return e.Err()
	}
	if f.Kind.IsSolution() {
		s := solutions[f.Kind]
		if !(f.Strength > 0 && float64(f.Strength) <= s.max) {
			e.Add("strength", f.Strength, "must be above 0 and at most {most}, the range known for {fluid}", valid.Text("most", number3(s.max)), fluidParam(f.Kind))
		}
	} else if f.Strength != 0 {
		e.Add("strength", f.Strength, "must be left out for {fluid}", fluidParam(f.Kind))
	}
	if f.Kind == OtherFluid {
		valid.Within(&e, "density", f.Density, 600, 3000)
		valid.Within(&e, "densitySpread", f.DensitySpread, 0, 0.5)
		valid.ZeroOr(&e, "freezing", f.Freezing, 150, 400)
		if f.Traits >= 1<<len(traitText) {
			e.Add("traits", uint8(f.Traits), "must be a set of the traits of this package")
		}
	} else {
		if f.Density != 0 {
			e.Add("density", valid.Show(f.Density), "must be left out unless the fluid is other")
		}
		if f.DensitySpread != 0 {
			e.Add("densitySpread", f.DensitySpread, "must be left out unless the fluid is other")
		}
		if f.Freezing != 0 {
			e.Add("freezing", valid.Show(f.Freezing), "must be left out unless the fluid is other")
		}
		if f.Traits != 0 {
			e.Add("traits", f.Traits, "must be left out unless the fluid is other")
		}
	}
	return e.Err()
}

// Properties is what is known of a fluid at a temperature.
type Properties struct {
	// Density of the liquid.
	Density units.Density `json:"density"`
	// DensitySpread is the half width of the density's band, as a share of the
	// density: the disagreement of the published sources.
	DensitySpread units.Fraction `json:"densitySpread"`
	// Freezing is the temperature at which the first solid, ice or salt, forms
	// on cooling; zero if it is unknown.
	Freezing units.Temperature `json:"freezing"`
	// FreezingSpread is the half width of the freezing point's band: the
	// disagreement of the published sources.
	FreezingSpread units.TemperatureDifference `json:"freezingSpread"`
	// FreezingBand is the band of the freezing point. Use its high end when
	// the fluid must not freeze: no source gives a higher freezing point. Both
	// ends are zero if the freezing point is unknown.
	FreezingBand units.Range[units.Temperature] `json:"freezingBand"`
	// Traits of the fluid.
	Traits Traits `json:"traits"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes"`
}

// Properties returns what is known of the fluid at a temperature from -70 C to
// 70 C; zero means 20 C, with a note. Any other temperature is an error. Above
// the source's range the density is that at the end of the range, and its band is wider
// by what the fluid may expand beyond it. Below the
// freezing point it is that of the liquid at the freezing point. Either case
// has a note.
func (f Fluid) Properties(t units.Temperature) (Properties, error) {
	var e units.FieldErrors
	e.Join("fluid", f.Validate())
	checkTemperature(&e, t)
	if err := e.Err(); err != nil {
		return Properties{}, err
	}
	return f.properties(t), nil
}

func checkTemperature(e *units.FieldErrors, t units.Temperature) {
	valid.ZeroOr(e, "temperature", t, MinTemperature, MaxTemperature)
}

// properties does the work of Properties for a valid fluid.
func (f Fluid) properties(t units.Temperature) Properties {
	var p Properties
	if t == 0 {
		t = units.Celsius(20)
		p.Notes |= NoteAssumedTemperature
	}
	x := float64(f.Strength)
	kelvin, asked := float64(t), t
	freeze := func(k float64) {
		p.Freezing = units.Temperature(k)
		if kelvin <= k {
			kelvin = k
			p.Notes |= NoteBelowFreezing
		}
	}
	switch f.Kind {
	case Water:
		freeze(273.15)
		p.Density = units.Density(waterDensity(kelvin - 273.15))
		p.DensitySpread = 0.0002
	case BeetMolasses:
		p.Density, p.DensitySpread = 1306, 36.0/1306
		freeze(273.15 - 22.8)
		p.Notes |= NoteFixedDensity | NoteFreezingIsBound
	case Polyurethane:
		p.Density, p.DensitySpread = 1100, 100.0/1100
		p.Traits = NeedsProfessional | Permanent
		p.Notes |= NoteFixedDensity | NoteFreezingUnknown | NoteRememberedProperty | NoteSolidFill
	case OtherFluid:
		p.Density, p.DensitySpread = f.Density, f.DensitySpread
		if p.DensitySpread == 0 {
			p.DensitySpread = 0.01
			p.Notes |= NoteSpreadAssumed
		}
		p.Traits = f.Traits
		p.Notes |= NoteFixedDensity
		if f.Freezing != 0 {
			freeze(float64(f.Freezing))
		} else {
			p.Notes |= NoteFreezingUnknown
		}
	default:
		s := solutions[f.Kind]
		k, spread, notes := f.freezing()
		p.Notes |= notes
		p.FreezingSpread = units.TemperatureDifference(spread)
		freeze(k)
		beyond := math.Max(kelvin-s.fit.tmax, 0)
		if beyond > 0 {
			kelvin = s.fit.tmax
			p.Notes |= NoteTemperatureClamped
		}
		p.Density, p.DensitySpread = units.Density(s.density(kelvin, x)), units.Fraction(s.spread)
		if f.Kind == CalciumChloride {
			share := ramp(x, point{0.25, s.spread}, point{0.27, 0.009})
			if kelvin < 273.15 {
				share = 0.009
			}
			p.DensitySpread = units.Fraction(share + ramp(x, point{0.29, 0}, point{0.31, 0.002}))
		}
		p.DensitySpread += units.Fraction(beyond * expansion(f.Kind))
		p.Traits = fluidTraits[f.Kind]
	}
	if p.Freezing != 0 {
		p.FreezingBand = units.Range[units.Temperature]{Low: p.Freezing.Add(-p.FreezingSpread), High: p.Freezing.Add(p.FreezingSpread)}
		if asked <= p.FreezingBand.High && !p.Notes.Has(NoteBelowFreezing) {
			p.Notes |= NoteNearFreezing
		}
	}
	return p
}

// expansion returns by how much of itself the density may fall with each kelvin above the end
// of its source. Water loses 0.00048 from 40 to 70 C (Kell 1975), salt solutions somewhat less,
// methanol 0.0012 (memory).
func expansion(k FluidKind) float64 {
	if k == Methanol {
		return 0.0012
	}
	return 0.0006
}

// fluidTraits are the traits of the solutions (common practice, no source).
var fluidTraits = [...]Traits{
	CalciumChloride:   CorrosiveToSteel | NeedsTube,
	MagnesiumChloride: CorrosiveToSteel | NeedsTube,
	SodiumChloride:    CorrosiveToSteel | NeedsTube,
	EthyleneGlycol:    HarmfulToLivestock,
	PropyleneGlycol:   0,
	Methanol:          HarmfulToLivestock | Flammable,
	PotassiumAcetate:  0,
	PotassiumFormate:  0,
}

// density returns the density at T kelvins.
func (s *solution) density(t, x float64) float64 {
	if s.salt == nil {
		return s.fit.densityAt(t, x)
	}
	c := t - 273.15
	if c >= 0 {
		return s.salt.densityAt(c, x)
	}
	// Laliberte's equation bends away from the measured tables below 0 C.
	fx := math.Min(x, s.beyond[0].x)
	return s.salt.densityAt(0, x) * s.fit.densityAt(t, fx) / s.fit.densityAt(273.15, fx)
}

// freezing returns the freezing point of a solution in kelvins, the half
// width of the sources' disagreement, and notes.
func (f Fluid) freezing() (k, spread float64, n Notes) {
	s := solutions[f.Kind]
	x := float64(f.Strength)
	b := s.beyond
	if len(b) == 0 || x <= b[0].x {
		k = s.fit.freezingAt(x)
		if x < 0.02 {
			// At zero strength the fits miss 0 C by some tenths of a kelvin.
			k += (273.15 - s.fit.freezingAt(0)) * (1 - x/0.02)
		}
	} else {
		i := 1
		for x > b[i].x {
			i++
		}
		k = 273.15 + b[i-1].y + (b[i].y-b[i-1].y)*(x-b[i-1].x)/(b[i].x-b[i-1].x)
	}
	if s.eutectic > 0 && x > s.eutectic {
		n |= NoteBeyondEutectic
	}
	switch f.Kind {
	case CalciumChloride:
		// The warm end of the band stays level up to the strength where the sources
		// disagree: an error of the hydrometer must not make a brine appear safe.
		spread = ramp(x, point{0.24, 1}, point{0.27, 10})
		if spread > 1.5 {
			n |= NoteSourcesDisagree
		}
		if x >= 0.31 {
			n |= NoteRememberedProperty
		}
	case MagnesiumChloride:
		spread = ramp(x, point{0.145, 1.3}, point{0.16, 4})
		if spread > 1.5 {
			n |= NoteSourcesDisagree
		}
	case SodiumChloride:
		spread = ramp(x, point{0.22, 0.6}, point{s.eutectic, 2})
		if x > s.eutectic {
			n |= NoteRememberedProperty
		}
	case EthyleneGlycol, PotassiumAcetate:
		spread = 2.4
	case PropyleneGlycol:
		spread = 1.4
	case Methanol:
		spread = 1
	case PotassiumFormate:
		spread = 3 // There is only one source; this is the spread of the other salts.
	}
	return k, spread, n
}

// ramp interpolates linearly between two points and is constant beyond them.
func ramp(x float64, from, to point) float64 {
	t := min(max((x-from.x)/(to.x-from.x), 0), 1)
	return from.y + t*(to.y-from.y)
}

// DensityAt returns the density at a temperature, see [Fluid.Properties].
func (f Fluid) DensityAt(t units.Temperature) (units.Density, error) {
	p, err := f.Properties(t)
	return p.Density, err
}

// FreezingPoint returns the temperature at which the first solid, ice or salt,
// forms on cooling; zero if it is unknown. [Fluid.Properties] gives its
// spread.
func (f Fluid) FreezingPoint() (units.Temperature, error) {
	p, err := f.Properties(0)
	return p.Freezing, err
}
