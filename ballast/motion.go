package ballast

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Motion is what is known of a machine that moves over an obstacle: how hard it is to
// pitch and to roll, and what its tires do. No other answer rests on it. What is left
// out takes the range of [Practice], which is wide; the tire's maker knows better.
type Motion struct {
	// PitchInertia is the machine's moment of inertia about the axis across it
	// through its center of gravity, for the state of its Mass, 1 to 1e7 kg m2.
	PitchInertia units.Input[units.Inertia] `json:"pitchInertia,omitzero"`
	// RollInertia is that about the axis along it, 1 to 1e7 kg m2.
	RollInertia units.Input[units.Inertia] `json:"rollInertia,omitzero"`
	// FrontStiffness is the vertical stiffness of the front axle's tires at the
	// pressure driven, all of them together, 20 kN/m to 20 MN/m.
	FrontStiffness units.Input[units.Stiffness] `json:"frontStiffness,omitzero"`
	// RearStiffness is that of the rear axle's tires.
	RearStiffness units.Input[units.Stiffness] `json:"rearStiffness,omitzero"`
	// Damping is the damping ratio of the machine's bounce on its tires, 0.01 to 1.
	Damping units.Input[units.Fraction] `json:"damping,omitzero"`
}

// Ends of what a motion may be.
const (
	minInertia   units.Inertia   = 1
	maxInertia   units.Inertia   = 1e7
	minStiffness units.Stiffness = 2e4
	maxStiffness units.Stiffness = 2e7
	minDamping   units.Fraction  = 0.01
	maxDamping   units.Fraction  = 1
)

// lowStop and highStop are how far a front axle swings to its stop, in radians, where
// nobody gave it: 5 to 20 degrees (common practice, no source).
const lowStop, highStop = 5 * math.Pi / 180, 20 * math.Pi / 180

// Validate reports every bad field by its path, or nil.
func (m Motion) Validate() error {
	var c units.FieldErrors
	moved(&c, "pitchInertia", m.PitchInertia, minInertia, maxInertia)
	moved(&c, "rollInertia", m.RollInertia, minInertia, maxInertia)
	moved(&c, "frontStiffness", m.FrontStiffness, minStiffness, maxStiffness)
	moved(&c, "rearStiffness", m.RearStiffness, minStiffness, maxStiffness)
	moved(&c, "damping", m.Damping, minDamping, maxDamping)
	return c.Err()
}

// moved holds an input of a motion to its range; none of them can be absent.
func moved[Q units.Quantity](c *units.FieldErrors, path string, in units.Input[Q], low, high Q) {
	if in.Absent() {
		c.Add(path, valid.ShowInput(in), "must not be none: this is no rating")
		return
	}
	valid.Optional(c, path, in, low, high)
}
