package ballast_test

import (
	"reflect"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// known is a known value, or unknown where it is zero.
func known[Q units.Quantity](v Q) units.Input[Q] {
	if v == 0 {
		return units.Input[Q]{}
	}
	return units.Is(v)
}

// position is a point whose coordinates are unknown where they are zero.
func position(p stability.Point) ballast.Position {
	return ballast.Position{X: known(p.X), Y: known(p.Y), Z: known(p.Z)}
}

// exact compares every field, those of inputs too.
var exact = cmp.Exporter(func(reflect.Type) bool { return true })
