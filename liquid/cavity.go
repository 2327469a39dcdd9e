package liquid

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/units"
)

// Cavity is the inner space of a tire on its rim, compiled: a solid of
// revolution about the axle. It is immutable and may be used by many
// goroutines; the methods that take a level plane allocate nothing.
//
// The volume below a level plane at the height z over the axle is
//
//	V(z) = integral of w(q) q (pi + 2 asin(clamp(z/q, -1, 1))) dq
//
// over the radii q of the cavity, w being its width. The compiled form is
// within 1e-9 of the full volume of that integral. Held by TestCavityIdentities
// and TestValidation.
type Cavity struct {
	p      section
	t      *table  // nil where few levels are asked for: each is then integrated
	whole  float64 // volume of the undeflected cavity
	flat   float64 // distance below the axle of the contact's flat; rc if none
	lost   float64 // volume below the flat
	valve  float64
	notes  Notes
	family Family
	plies  Construction
	cuts   *cuts // of a filler; nil remembers nothing
}

// newCavity compiles a section that a deflection flattens at the ground.
func newCavity(p profile, deflection float64) *Cavity {
	c := openCavity(p, deflection)
	c.tabulate()
	return c
}

// openCavity returns a cavity without its table.
func openCavity(p profile, deflection float64) *Cavity {
	c := &Cavity{p: p.section(), flat: p.rc - deflection}
	c.whole, c.lost = 2*c.p.cutAt(0).volume, c.p.cutAt(c.flat).volume
	return c
}

// tabulate makes the table of a cavity. It pays from some 40 levels on.
func (c *Cavity) tabulate() {
	t := c.p.compile()
	c.t = &t
}

// at returns quantity k of the cut at the distance z >= 0, as table.at does.
func (c *Cavity) at(k int, z float64) float64 {
	if c.t == nil {
		cut := c.cut(z)
		return cut.vector()[k]
	}
	return c.t.at(k, z)
}

// distance returns the distance at which the cut has the volume v, from 0 to
// what it has at the axle.
func (c *Cavity) distance(v float64) float64 {
	if c.t != nil {
		return c.t.distance(v)
	}
	z, err := numeric.Root(func(z float64) float64 { return c.p.cutAt(z).volume - v }, 0, c.p.rc, 1e-13)
	if err != nil {
		return 0 // half of the volume, but for rounding
	}
	return z
}

// FullVolume returns the volume of the whole cavity.
func (c *Cavity) FullVolume() units.Volume { return units.Volume(c.whole - c.lost) }

// Bottom returns the depth below the axle of the lowest point of the cavity:
// the crown radius, less the deflection of the loaded tire.
func (c *Cavity) Bottom() units.Length { return units.Length(c.flat) }

// CrownRadius returns the radius of the cavity at the crown. The level of a
// full cavity is at this height over the axle.
func (c *Cavity) CrownRadius() units.Length { return units.Length(c.p.rc) }

// RimRadius returns the nominal radius of the rim.
func (c *Cavity) RimRadius() units.Length { return units.Length(c.p.rb) }

// WellRadius returns the radius of the bottom of the rim well, the smallest
// of the cavity.
func (c *Cavity) WellRadius() units.Length { return units.Length(c.p.rw) }

// WidestRadius returns the radius at which the cavity is widest.
func (c *Cavity) WidestRadius() units.Length { return units.Length(c.p.rm) }

// Width returns the inner width of the section at a radius, zero outside the
// cavity.
func (c *Cavity) Width(radius units.Length) units.Length {
	return units.Length(c.p.width(float64(radius)))
}

// ValveRadius returns the radius at which the valve opens into the cavity.
func (c *Cavity) ValveRadius() units.Length { return units.Length(c.valve) }

// Notes says how the dimensions of the cavity were found.
func (c *Cavity) Notes() Notes { return c.notes }

// Volume returns the volume below a level plane at the height z over the
// axle; z is negative below the axle. Below the flat of a loaded tire it is
// zero, and above the crown it is the full volume. It allocates nothing. NaN
// gives NaN.
func (c *Cavity) Volume(z units.Length) units.Volume {
	switch x := float64(z); {
	case x <= -c.flat:
		return 0
	case x <= 0:
		return units.Volume(math.Max(c.at(0, -x)-c.lost, 0))
	case x != x:
		return units.Volume(x)
	default:
		return units.Volume(c.whole - c.at(0, x) - c.lost)
	}
}

// VolumeDirect returns the same as [Cavity.Volume], by quadrature instead of
// from the compiled form. It is the reference for the error of that form.
func (c *Cavity) VolumeDirect(z units.Length) units.Volume {
	x := float64(z)
	if x <= -c.flat {
		return 0
	}
	v := c.p.cutAt(math.Abs(x)).volume
	if x > 0 {
		v = c.whole - v
	}
	return units.Volume(math.Max(v-c.lost, 0))
}

// LevelFor returns the height over the axle of the surface of a liquid of the
// given volume: the inverse of [Cavity.Volume]. A volume of zero or less gives
// the bottom; the full volume or more gives the crown radius. It allocates
// nothing. NaN gives NaN.
func (c *Cavity) LevelFor(v units.Volume) units.Length {
	x := float64(v) + c.lost
	switch {
	case v <= 0:
		return units.Length(-c.flat)
	case x >= c.whole:
		return units.Length(c.p.rc)
	case x <= c.whole/2:
		return units.Length(-c.distance(x))
	case x != x:
		return units.Length(x)
	}
	return units.Length(c.distance(c.whole - x))
}

// LevelForMass returns the height over the axle of the surface of a liquid of
// the given mass and density, as [Cavity.LevelFor] does.
func (c *Cavity) LevelForMass(m units.Mass, d units.Density) units.Length {
	return c.LevelFor(m.Volume(d))
}

// CentroidDepth returns the depth below the axle of the centroid of the
// liquid under a surface at the height z over the axle. For every section it is
// the second moment of the free surface about the axle's transverse line,
// divided by the volume, because a wheel can turn without moving the liquid.
// The second moment of the flat of a loaded tire is subtracted. For an empty
// cavity the depth is that of the bottom.
func (c *Cavity) CentroidDepth(z units.Length) units.Length {
	x := float64(z)
	if x <= -c.flat {
		return units.Length(c.flat)
	}
	v := float64(c.Volume(z))
	if v > 1e-6*c.whole {
		return units.Length((c.at(2, math.Abs(x)) - c.at(2, c.flat)) / v)
	}
	// The volume is too small for the compiled form, whose error would show.
	// The liquid lies between its surface, below the axle, and the bottom.
	k, f := c.cut(-x), c.cut(c.flat)
	if d := (k.pitch - f.pitch) / (k.volume - f.volume); d >= -x && d <= c.flat {
		return units.Length(d)
	}
	return units.Length((c.flat - x) / 2)
}

// Surface describes the free surface of a liquid in a cavity.
type Surface struct {
	// Area is the area of the surface.
	Area units.Area
	// Pitch is the second moment of the area about the axle's transverse line.
	// It sets how far above its centroid the liquid acts in pitch.
	Pitch units.SecondMomentOfArea
	// Roll is the second moment of the area about its fore-aft center line. It
	// does the same in roll.
	Roll units.SecondMomentOfArea
}

// FreeSurface returns the surface of the liquid at the height z over the axle;
// it is zero beyond the crown or the flat. The error is within 1e-7 of the
// values at the axle. It allocates nothing.
func (c *Cavity) FreeSurface(z units.Length) Surface {
	x := math.Abs(float64(z))
	if x >= c.p.rc || float64(z) < -c.flat {
		return Surface{}
	}
	if c.t == nil {
		k := c.cut(x)
		return Surface{units.Area(k.area), units.SecondMomentOfArea(k.pitch), units.SecondMomentOfArea(k.roll)}
	}
	return Surface{
		Area:  units.Area(c.t.at(1, x)),
		Pitch: units.SecondMomentOfArea(c.t.at(2, x)),
		Roll:  units.SecondMomentOfArea(c.t.at(3, x)),
	}
}
