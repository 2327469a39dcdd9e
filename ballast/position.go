package ballast

import (
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Position is where something sits on the machine: x forward from the rear
// contact line, y left, z up from level ground. What is not known of it is left
// out.
type Position struct {
	// X is the distance ahead of the rear contact line; behind it is negative.
	X units.Input[units.Length] `json:"x,omitzero"`
	// Y is the distance to the left of the machine's middle plane; left out, it
	// is on that plane.
	Y units.Input[units.Length] `json:"y,omitzero" zero:"value"`
	// Z is the height above level ground.
	Z units.Input[units.Length] `json:"z,omitzero"`
}

// Point returns the position as a point, on whose coordinates zero stands for
// what is not a known value.
func (p Position) Point() stability.Point {
	return stability.Point{X: p.X.Value(), Y: p.Y.Value(), Z: p.Z.Value()}
}
