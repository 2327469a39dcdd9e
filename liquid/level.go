package liquid

import (
	"math"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// LevelKind is how a fill level is given. In JSON: "valveClock",
// "valveAngle", "height", "fraction", "volume", "mass" or "head"; "unknown" or
// left out is not given.
type LevelKind uint8

// The ways to give a level.
const (
	// LevelUnknown is the zero value; a fill with it is an error.
	LevelUnknown LevelKind = iota
	// LevelValveClock is the height of the valve at a clock position.
	LevelValveClock
	// LevelValveAngle is the height of the valve at an angle from the top.
	LevelValveAngle
	// LevelHeight is a height over the axle.
	LevelHeight
	// LevelFraction is a share of the full volume.
	LevelFraction
	// LevelVolume is a volume of liquid.
	LevelVolume
	// LevelMass is a mass of liquid.
	LevelMass
	// LevelHead is a head of liquid over the valve at a clock position.
	LevelHead
)

var levelNames = []string{"unknown", "valveClock", "valveAngle", "height", "fraction", "volume", "mass", "head"}

// Level is how full a tire is: a kind and the one field that goes with it.
// The zero value is "not given", which a fill refuses.
type Level struct {
	// Kind says which of the other fields holds the level.
	Kind LevelKind `json:"kind"`
	// Clock is the valve's position on a clock face, seen from the side of the
	// wheel: 12 is the top and 6 the bottom. It is above 0 and at most 12. Zero
	// is "not given", which is an error. A head needs it too.
	Clock float64 `json:"clock,omitzero"`
	// Angle is the valve's position from the top, at most one turn either way.
	Angle units.Angle `json:"angle,omitzero" zero:"value"`
	// Height is the height of the surface over the axle, negative below it,
	// from -2 m to 2 m.
	Height units.Length `json:"height,omitzero" zero:"value"`
	// Fraction is the share of the full volume, from 0 to 1.
	Fraction units.Fraction `json:"fraction,omitzero" zero:"value"`
	// Volume is the volume of liquid, 0 to 10 m3.
	Volume units.Volume `json:"volume,omitzero" zero:"value"`
	// Mass is the mass of liquid, 0 to 20 t.
	Mass units.Mass `json:"mass,omitzero" zero:"value"`
	// Head is how far the surface stands over the valve, 0 to 2 m, as a sight
	// hose at the valve shows it or as [units.Pressure.Head] finds it from a gauge
	// at the valve less the pressure of the air.
	Head units.Length `json:"head,omitzero" zero:"value"`
}

// ValveAt fills to the valve at a clock position: 12 is the top, and 4 and 8 are
// at the same height below the axle.
func ValveAt(clock float64) Level { return Level{Kind: LevelValveClock, Clock: clock} }

// ValveAtAngle fills to the valve at an angle from the top, either way.
func ValveAtAngle(a units.Angle) Level { return Level{Kind: LevelValveAngle, Angle: a} }

// HeightAt fills to a height over the axle, negative below it.
func HeightAt(z units.Length) Level { return Level{Kind: LevelHeight, Height: z} }

// FractionOf fills a share of the full volume.
func FractionOf(f units.Fraction) Level { return Level{Kind: LevelFraction, Fraction: f} }

// VolumeOf fills a volume of liquid.
func VolumeOf(v units.Volume) Level { return Level{Kind: LevelVolume, Volume: v} }

// MassOf fills a mass of liquid.
func MassOf(m units.Mass) Level { return Level{Kind: LevelMass, Mass: m} }

// HeadAt is the level whose surface stands a head of liquid over the valve, with
// the valve at a clock position: 6 is the bottom.
func HeadAt(head units.Length, clock float64) Level {
	return Level{Kind: LevelHead, Head: head, Clock: clock}
}

// Validate reports the field that is out of range, by its JSON path.
func (l Level) Validate() error {
	var e units.FieldErrors
	own := func(name string, v float64, kind LevelKind, lo, hi float64, unit, want string) {
		if l.Kind == kind {
			if !(v >= lo && v <= hi) {
				e.Add(name, number3(v)+unit, want)
			}
		} else if v != 0 {
			e.Add(name, number3(v)+unit, "must be left out for a level of this kind")
		}
	}
	clock := LevelValveClock
	if l.Kind == LevelHead {
		clock = LevelHead
	}
	own("clock", l.Clock, clock, math.SmallestNonzeroFloat64, 12, "", "must be above 0 and at most 12, which is the top")
	own("angle", float64(l.Angle), LevelValveAngle, -2*math.Pi, 2*math.Pi, " rad", "must be at most one turn either way")
	ownLevel(&e, l.Kind == LevelHeight, "height", l.Height, -2, 2)
	ownLevel(&e, l.Kind == LevelFraction, "fraction", l.Fraction, 0, 1)
	ownLevel(&e, l.Kind == LevelVolume, "volume", l.Volume, 0, 10)
	ownLevel(&e, l.Kind == LevelMass, "mass", l.Mass, 0, 20000)
	ownLevel(&e, l.Kind == LevelHead, "head", l.Head, 0, 2)
	if l.Kind == LevelUnknown || int(l.Kind) >= len(levelNames) {
		e.Add("kind", l.Kind, choice.OneOf, choice.Of[LevelKind](levelNames))
	}
	return e.Err()
}

// ownLevel holds what a level of one kind alone has.
func ownLevel[Q units.Quantity](e *units.FieldErrors, own bool, name string, v, low, high Q) {
	switch {
	case own:
		valid.Within(e, name, v, low, high)
	case v != 0:
		e.Add(name, valid.Show(v), "must be left out for a level of this kind")
	}
}

// Level returns the height over the axle of the surface that a level means in
// this cavity. The level must be valid. Only a level given as a mass needs the
// density. A height beyond the crown, or a volume or mass that the cavity
// cannot hold, gives the crown radius with [NoteLevelClamped].
func (c *Cavity) Level(l Level, d units.Density) (units.Length, Notes) {
	rc := c.CrownRadius()
	clamp := func(v units.Volume) (units.Length, Notes) {
		if float64(v) > float64(c.FullVolume())*(1+1e-12) {
			return rc, NoteLevelClamped
		}
		return c.LevelFor(v), 0
	}
	switch l.Kind {
	case LevelValveClock, LevelValveAngle:
		return units.Length(c.valve * l.cos()), 0
	case LevelHeight:
		return c.within(l.Height)
	case LevelHead:
		return c.within(units.Length(c.valve*l.cos()) + l.Head)
	case LevelFraction:
		return clamp(units.Volume(float64(l.Fraction) * float64(c.FullVolume())))
	case LevelVolume:
		return clamp(l.Volume)
	case LevelMass:
		return clamp(l.Mass.Volume(d))
	}
	return -c.Bottom(), NoteLevelClamped
}

// within returns a height over the axle, or the end of the cavity beyond which
// it lies.
func (c *Cavity) within(z units.Length) (units.Length, Notes) {
	if rc := c.CrownRadius(); z > rc {
		return rc, NoteLevelClamped
	}
	if z < -c.Bottom() {
		return -c.Bottom(), NoteLevelClamped
	}
	return z, 0
}

// clock returns the clock position, from 6 to 12, at which the valve stands at
// the height z over the axle, and zero where it never does.
func (c *Cavity) clock(z units.Length) float64 {
	x := float64(z) / c.valve
	if !(x >= -1 && x <= 1) {
		return 0
	}
	return 12 - 6*math.Acos(x)/math.Pi
}

// cos returns the cosine of the valve's angle from the top, exact at the
// quarters of the clock.
func (l Level) cos() float64 {
	if l.Kind == LevelValveAngle {
		return l.Angle.Cos()
	}
	switch l.Clock {
	case 3, 9:
		return 0
	case 6:
		return -1
	case 4, 8:
		return -0.5
	case 2, 10:
		return 0.5
	}
	return math.Cos(l.Clock * math.Pi / 6)
}
