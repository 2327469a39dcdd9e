package standards

import (
	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// TractionSurface is the ground under the drive wheels. In JSON: "concrete", "firmSoil",
// "tilledSoil" or "anySoil"; "unknown" or left out is not given.
type TractionSurface uint8

// Surfaces.
const (
	// SurfaceUnknown means not given, which is an error.
	SurfaceUnknown TractionSurface = iota
	// Concrete is a hard, dry track.
	Concrete
	// FirmSoil is firm, untilled soil.
	FirmSoil
	// TilledSoil is tilled soil; on sand the slip is slightly higher.
	TilledSoil
	// AnySoil is soil in general.
	AnySoil
)

var surfaceNames = []string{"unknown", "concrete", "firmSoil", "tilledSoil", "anySoil"}

// slips holds the published slips at which a tractor pulls best.
var slips = [...]struct {
	surface TractionSurface
	row     published
}{
	{Concrete, published{4, 8, SourceMechanics}},
	{FirmSoil, published{6, 13, SourceMechanics}},
	{TilledSoil, published{8, 16, SourceMechanics}},
	{AnySoil, published{8, 15, SourceMissouri}},
	{AnySoil, published{8, 15, SourceOklahoma}},
	{AnySoil, published{10, 20, SourceCornell}},
	{AnySoil, published{5, 20, SourceLaboratory}},
}

// BestSlip returns the band of slip at which a tractor pulls best by the sources.
// Less slip means too much ballast for the pull; more slip means too little. An
// unknown surface is an error.
func BestSlip(surface TractionSurface) (ShareBand, error) {
	var c units.FieldErrors
	choice.Given(&c, "surface", surface, surfaceNames)
	if err := c.Err(); err != nil {
		return ShareBand{}, err
	}
	var rows []published
	for _, s := range slips {
		if s.surface == surface {
			rows = append(rows, s.row)
		}
	}
	return band(rows), nil
}

// SlipLoss returns the share of work and energy lost to slip beyond the band:
// 1 % for each 1 % of slip above its high end (Oklahoma State University extension
// specialist). The slip is from 0 to 1; any other slip is an error. The answer is
// valid only for a band of [BestSlip].
func (b ShareBand) SlipLoss(slip units.Fraction) (units.Fraction, error) {
	var c units.FieldErrors
	valid.Within(&c, "slip", slip, 0, 1)
	valid.Within(&c, "band.high", b.Band.High, 0, 1)
	if err := c.Err(); err != nil {
		return 0, err
	}
	return max(0, slip-b.Band.High), nil
}

// SlipFromTurns returns the slip of a drive wheel from its turns over the same
// distance with and without a pull: s = 1 - n0/n (ASAE S296). Both counts are above 0
// and at most 1e6. Fewer turns with the pull than without is an error: the counts
// were swapped or not taken over the same distance.
func SlipFromTurns(pulling, free float64) (units.Fraction, error) {
	var c units.FieldErrors
	if !(pulling > 0 && pulling <= 1e6) {
		c.Add("pulling", pulling, "must be above 0 and at most 1e6 turns")
	}
	if !(free > 0 && free <= 1e6) {
		c.Add("free", free, "must be above 0 and at most 1e6 turns")
	} else if free > pulling {
		c.Add("free", free, "must be at most the turns pulling, over the same distance")
	}
	if err := c.Err(); err != nil {
		return 0, err
	}
	return units.Fraction((pulling - free) / pulling), nil
}
