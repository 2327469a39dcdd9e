package standards

import "example.com/steelyard/units"

// Bulk densities of materials that fill a ballast box or a bucket, from an
// engineering density table, accurate to 5 %. Wet material is heavier.
const (
	// ConcreteDensity is concrete with gravel.
	ConcreteDensity units.Density = 2400
	// SandDensity is bulk sand. It is the lower end of 1520 to 1680 kg/m3, because a
	// box must hold at least the mass that is counted.
	SandDensity units.Density = 1520
	// CastIronDensity is cast iron, solid.
	CastIronDensity units.Density = 7208
	// GravelDensity is loose dry gravel.
	GravelDensity units.Density = 1520
	// CrushedStoneDensity is crushed stone.
	CrushedStoneDensity units.Density = 1600
	// GravelSandDensity is gravel with sand.
	GravelSandDensity units.Density = 1920
)
