package liquid

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/units"
)

// Fill is a tire filled with a fluid to a level.
type Fill struct {
	// Tire that is filled.
	Tire Tire `json:"tire"`
	// Fluid that goes in.
	Fluid Fluid `json:"fluid"`
	// Level is how full the tire is. It is left out for Polyurethane, which
	// fills the whole cavity.
	Level Level `json:"level,omitzero"`
	// Temperature is that of the fluid, -70 to 70 C; zero means 20 C, with a
	// note.
	Temperature units.Temperature `json:"temperature,omitzero"`
}

// Filled is the result of a fill, for one wheel.
type Filled struct {
	// Volume of the fluid.
	Volume units.Volume `json:"volume"`
	// Mass of the fluid.
	Mass units.Mass `json:"mass"`
	// Fraction is the share of the full cavity.
	Fraction units.Fraction `json:"fraction"`
	// FullVolume is the volume of the whole cavity.
	FullVolume units.Volume `json:"fullVolume"`
	// Density of the fluid.
	Density units.Density `json:"density"`
	// Level is the height of the surface over the axle, negative below it.
	Level units.Length `json:"level"`
	// Clock is the clock position, from 6 to 12, at which the valve stands at the
	// surface; the position 12 less it is at the same height. It is zero if the
	// surface stands higher or lower than the valve at any position.
	Clock float64 `json:"clock,omitzero"`
	// LevelBand is the band of Level: the valve's of a level at the valve, and
	// the cavity's of a level by volume, mass or fraction.
	LevelBand units.Range[units.Length] `json:"levelBand"`
	// CentroidDepth is how far the fluid's centroid lies below the axle.
	CentroidDepth units.Length `json:"centroidDepth"`
	// PitchRise is how far above its centroid the fluid acts when the machine
	// pitches. It equals the centroid depth, because the wheel turns under the
	// liquid and the liquid acts at the height of the axle. It is zero if a
	// flattened tire is so full that the centroid is above the axle.
	PitchRise units.Length `json:"pitchRise"`
	// RollRise is how far above its centroid the fluid acts when the machine
	// rolls: the second moment of the free surface about its fore-aft line,
	// divided by the volume. It grows without bound as the volume vanishes,
	// because a puddle spreads wide; its product with the mass stays finite.
	RollRise units.Length `json:"rollRise"`
	// Freezing is the fluid's freezing point, zero if unknown
	// (NoteFreezingUnknown): do not show a zero.
	Freezing units.Temperature `json:"freezing"`
	// FreezingBand is the range of the published freezing points. Rely on its
	// high end: no source gives a higher freezing point. The label of the
	// product comes first.
	FreezingBand units.Range[units.Temperature] `json:"freezingBand"`
	// Family is that of the tire's size, by whose rule the outline was found
	// unless it was measured; unknown without a designation.
	Family Family `json:"family,omitzero"`
	// Traits of the fluid.
	Traits Traits `json:"traits"`
	// VolumeBand is the band of the volume when all dimensions are at the same
	// end of their spreads. MassBand includes the spread of the density as well.
	VolumeBand units.Range[units.Volume] `json:"volumeBand"`
	// MassBand is the band of the mass.
	MassBand units.Range[units.Mass] `json:"massBand"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions belong to the answer and must be shown with it.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// Validate reports every field that is out of range, by its JSON path.
func (f Fill) Validate() error {
	var e units.FieldErrors
	_, err := f.Tire.Resolve()
	e.Join("tire", err)
	checkFill(&e, f.Fluid, f.Level, f.Temperature)
	return e.Err()
}

func checkFill(e *units.FieldErrors, f Fluid, l Level, t units.Temperature) {
	e.Join("fluid", f.Validate())
	switch {
	case f.Kind != Polyurethane:
		e.Join("level", l.Validate())
	case l != Level{}:
		e.Add("level", nil, "must be left out for polyurethane, which fills the whole cavity")
	}
	checkTemperature(e, t)
}

// Solve fills the tire. To fill one tire in many ways, compile it once and call
// [Cavity.Fill], or list the ways in a [Table].
func (f Fill) Solve() (Filled, error) {
	if err := f.Validate(); err != nil {
		return Filled{}, err
	}
	t, err := f.Tire.Resolve()
	if err != nil {
		return Filled{}, err
	}
	c := t.cavity()
	r := c.fill(f.Fluid, f.Level, f.Temperature)
	c.band(&r, t, f.Fluid, f.Level, f.Temperature)
	r.Cautions |= f.Tire.Designation.cautions(r.Fraction)
	return r, nil
}

// Fill fills the compiled cavity. The bands of the result include only the
// spread of the density; [Fill.Solve] adds the spreads of the dimensions. It
// does not allocate unless it fails.
func (c *Cavity) Fill(f Fluid, l Level, t units.Temperature) (Filled, error) {
	var e units.FieldErrors
	checkFill(&e, f, l, t)
	if err := e.Err(); err != nil {
		return Filled{}, err
	}
	r := c.fill(f, l, t)
	r.Cautions |= Designation{Construction: c.plies}.cautions(r.Fraction)
	return r, nil
}

func (c *Cavity) fill(f Fluid, l Level, t units.Temperature) Filled {
	p := f.properties(t)
	solid := f.Kind == Polyurethane
	z, notes := c.CrownRadius(), Notes(0)
	if !solid {
		z, notes = c.Level(l, p.Density)
	}
	v := c.Volume(z)
	share := units.Fraction(0)
	if c.FullVolume() > 0 {
		share = units.Fraction(float64(v / c.FullVolume()))
	}
	r := Filled{
		Library:       units.Version,
		Volume:        v,
		Mass:          p.Density.Mass(v),
		Fraction:      share,
		FullVolume:    c.FullVolume(),
		Density:       p.Density,
		Level:         z,
		Clock:         c.clock(z),
		LevelBand:     units.Range[units.Length]{Low: z, High: z},
		CentroidDepth: c.CentroidDepth(z),
		Freezing:      p.Freezing,
		FreezingBand:  p.FreezingBand,
		Family:        c.family,
		Traits:        p.Traits,
		Notes:         c.notes | p.Notes | notes,
		Cautions:      p.cautions() | c.notes.cautions(),
	}
	if !solid && v > 0 {
		r.PitchRise = max(0, r.CentroidDepth)
		r.RollRise = units.Length(float64(c.FreeSurface(z).Roll) / float64(v))
	}
	r.VolumeBand = units.Range[units.Volume]{Low: v, High: v}
	r.massBand(p.DensitySpread, l, r.FullVolume, r.FullVolume)
	return r
}

// massBand finds the band of the mass from that of the volume. The full volumes
// of the smallest and the largest tire are low and high.
func (r *Filled) massBand(spread units.Fraction, l Level, low, high units.Volume) {
	light := units.Density(float64(r.Density) * (1 - float64(spread)))
	heavy := units.Density(float64(r.Density) * (1 + float64(spread)))
	if l.Kind == LevelMass {
		// The mass that was asked for goes in, unless the tire cannot hold it.
		r.MassBand.Low = min(r.Mass, light.Mass(low))
		r.MassBand.High = max(r.Mass, min(l.Mass, heavy.Mass(high)))
		return
	}
	r.MassBand = units.Range[units.Mass]{Low: light.Mass(r.VolumeBand.Low), High: heavy.Mass(r.VolumeBand.High)}
}

// usualDeflection is the deflection of a loaded tire as a share of its section
// height, used when none is given: agricultural tires at their rated load
// deflect by about a fifth (common practice, no source).
const usualDeflection = 0.2

// An end is the cavity at one end of the bands: what a level means in it.
type end struct {
	p           section
	whole, lost float64
	valve       float64
	side        float64
}

// end returns the cavity at one end of the bands. What lies below the flat of a deflected
// tire is the most that is lost, because sidewalls that bulge make up for a part of it: the
// small end loses all of it and the large end nothing. If the deflection is not given, the
// small end has the usual one.
func (t *Tire) end(side float64) end {
	e := end{p: t.profile(side).section(), valve: float64(t.ValveRadius.Value), side: side}
	deflection := float64(t.Deflection)
	switch {
	case side > 0:
		deflection = 0
	case side < 0 && deflection == 0 && !t.Unloaded:
		deflection = t.usualDeflection()
	}
	e.whole = 2 * e.p.cutAt(0).volume
	if deflection > 0 {
		e.lost = e.p.cutAt(math.Max(e.p.rc-deflection, e.p.rb)).volume
	}
	return e
}

func (t *Tire) usualDeflection() float64 {
	return usualDeflection * (float64(t.OverallDiameter.Value) - float64(t.RimDiameter.Value)) / 2
}

func (e *end) full() float64 { return e.whole - e.lost }

// below returns the volume below a height over the axle.
func (e *end) below(z float64) float64 {
	x := e.p.cutAt(math.Abs(z)).volume
	if z > 0 {
		x = e.whole - x
	}
	return math.Max(x-e.lost, 0)
}

// height returns the height of the surface of a volume.
func (e *end) height(v float64) float64 {
	if v >= e.full() {
		return e.p.rc
	}
	z, err := numeric.Root(func(z float64) float64 { return e.below(z) - v }, -e.p.rc, e.p.rc, 1e-6)
	if err != nil {
		return -e.p.rc
	}
	return z
}

// band widens the bands by the spreads of the dimensions, upward by what a stated
// deflection takes, and, if the deflection is not given, downward by the usual one.
func (c *Cavity) band(r *Filled, t Tire, f Fluid, l Level, at units.Temperature) {
	ends := [2]end{t.end(-1), t.end(1)}
	c.bandWithin(r, &t, f, l, at, &ends)
}

// bandWithin is band with the ends at hand.
func (c *Cavity) bandWithin(r *Filled, t *Tire, f Fluid, l Level, at units.Temperature, ends *[2]end) {
	spread := f.properties(at).DensitySpread
	if len(t.Known) > 0 {
		c.knownBand(r, *t, f, l, spread)
		return
	}
	r.bandOf(t, f, l, spread, ends)
}

// bandOf widens the bands to what the cavity holds at either end.
func (r *Filled) bandOf(t *Tire, f Fluid, l Level, spread units.Fraction, ends *[2]end) {
	var v, full [2]float64
	asked := r.asked(l)
	for i := range ends {
		e := &ends[i]
		full[i] = e.full()
		switch {
		case f.Kind == Polyurethane:
			v[i] = full[i]
		case l.Kind == LevelHeight:
			v[i] = e.below(float64(l.Height))
		case l.Kind == LevelFraction:
			v[i] = float64(l.Fraction) * full[i]
		case l.Kind == LevelVolume || l.Kind == LevelMass:
			v[i] = math.Min(asked, full[i])
		default:
			valve := e.valve + e.side*math.Copysign(float64(t.ValveRadius.Spread), l.cos())
			z := valve*l.cos() + float64(l.Head)
			v[i] = e.below(z)
			r.levelBand(math.Max(math.Min(z, e.p.rc), -e.p.rc))
		}
		if f.Kind != Polyurethane && (l.Kind == LevelFraction || l.Kind == LevelVolume || l.Kind == LevelMass) {
			r.levelBand(e.height(v[i]))
		}
	}
	r.VolumeBand.Low = min(units.Volume(v[0]), r.Volume)
	r.VolumeBand.High = max(units.Volume(v[1]), r.Volume)
	r.massBand(spread, l, units.Volume(full[0]), units.Volume(full[1]))
}

// asked returns the volume that a level by volume or mass asks for. A larger
// cavity may hold what the estimated one cannot.
func (r *Filled) asked(l Level) float64 {
	if r.Notes.Has(NoteLevelClamped) {
		return max(float64(l.Volume), float64(l.Mass.Volume(r.Density)))
	}
	return float64(r.Volume)
}

// levelBand widens the band of the level to a height.
func (r *Filled) levelBand(z float64) {
	r.LevelBand.Low = min(r.LevelBand.Low, units.Length(z))
	r.LevelBand.High = max(r.LevelBand.High, units.Length(z))
}

// cautions returns the cautions that the fluid calls for.
func (p Properties) cautions() Cautions {
	c := CautionPressure | CautionProfessional | CautionAirOut | CautionTireMaker | CautionStiffer | CautionGauge | CautionManual | CautionSpill
	if p.Traits.Has(CorrosiveToSteel) {
		c |= CautionCorrosive
	}
	if p.Traits.Has(HarmfulToLivestock) {
		c |= CautionHarmful
	}
	if p.Traits.Has(Flammable) {
		c |= CautionFlammable
	}
	if p.Notes.Has(NoteBeyondEutectic) {
		c |= CautionBeyondEutectic
	}
	if p.Notes.Has(NoteBelowFreezing) || p.Notes.Has(NoteNearFreezing) || p.FreezingBand.High >= 273.15-5 ||
		p.Notes.Has(NoteFreezingUnknown) && !p.Notes.Has(NoteSolidFill) {
		c |= CautionFreezes
	}
	if p.Notes.Has(NoteSolidFill) {
		c &^= CautionGauge | CautionSpill | CautionAirOut
	}
	return c
}

// cautions returns the cautions that the notes of a tire call for.
func (n Notes) cautions() Cautions {
	if n.Has(NoteFillsDisputed) {
		return CautionFillsDisputed
	}
	return 0
}

// cautions returns the cautions that the construction calls for at a fill of
// the given share of the cavity.
func (d Designation) cautions(f units.Fraction) Cautions {
	var c Cautions
	if d.Construction == Radial && f > 0 {
		c |= CautionRadial
	}
	if f > OverfillFraction {
		c |= CautionOverfill
	}
	return c
}
