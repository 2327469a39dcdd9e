package liquid

import "example.com/steelyard/units"

// A Section is a profile that a test writes down itself.
type Section struct{ RW, RB, RM, RC, WW, WB, W, N float64 }

func (s Section) profile() profile { return profile{s.RW, s.RB, s.RM, s.RC, s.WW, s.WB, s.W, s.N} }

// Cavity compiles the section, flattened by a deflection.
func (s Section) Cavity(deflection float64) *Cavity { return newCavity(s.profile(), deflection) }

// Width is the full width at a radius.
func (s Section) Width(q float64) float64 {
	p := s.profile()
	return p.width(q)
}

// Cut is what lies beyond a plane of the round cavity, and in that plane.
func (s Section) Cut(z float64) (c struct{ Volume, Area, Pitch, Roll float64 }) {
	p := s.profile().section()
	k := p.cutAt(z)
	c.Volume, c.Area, c.Pitch, c.Roll = k.volume, k.area, k.pitch, k.roll
	return c
}

// SectionOf returns the section of a tire, or that of an end of its bands.
func SectionOf(t Tire, side float64) Section {
	p := t.profile(side)
	return Section{p.rw, p.rb, p.rm, p.rc, p.ww, p.wb, p.w, p.n}
}

// SetValve sets the radius at which the valve sits.
func (c *Cavity) SetValve(r units.Length) { c.valve = float64(r) }

// Tilted returns the volume below a tilted surface and its moments.
func (c *Cavity) Tilted(height float64, tilt units.Angle) [3]float64 { return c.tilted(height, tilt) }

// WaterDensity is the density of water at a temperature in degrees Celsius.
var WaterDensity = waterDensity

// Melinder returns the coefficients of Melinder 2010 for a solution.
func Melinder(k FluidKind) (t0, x0, tmax, xmax float64, density [4][6]float64, freezing [6]float64) {
	m := solutions[k].fit
	return m.t0, m.x0, m.tmax, m.xmax, m.density, m.freezing
}

// Laliberte returns the coefficients of Laliberte 2009 for a salt.
func Laliberte(k FluidKind) [5]float64 { return *solutions[k].salt }

// VolumeAt is the volume of a resolved tire at a level, without its table.
func VolumeAt(t Tire, l Level) float64 { return t.volumeAt(l, t.Deflection) }
