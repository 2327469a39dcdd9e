package standards

import (
	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// RequiredHitchLift returns the least lift force, 610 mm behind the lower hitch
// points, of a tractor with the given drawbar power P, up to 1 MW. It is 0.31 kN/kW
// up to 65 kW, and 20.15 kN + 0.155 kN/kW (P - 65 kW) above (PAES 118:2001, clause
// 6.3 and Table 5, as quoted in a licensing examination).
func RequiredHitchLift(drawbar units.Power) (units.Force, error) {
	var c units.FieldErrors
	valid.Within(&c, "drawbarPower", drawbar, 0, units.Power(1e6))
	if err := c.Err(); err != nil {
		return 0, err
	}
	kw := float64(drawbar / units.Kilowatt)
	if kw <= 65 {
		return units.Force(0.31*kw) * units.Kilonewton, nil
	}
	return units.Force(20.15+float64(0.155*(kw-65))) * units.Kilonewton, nil
}

// HitchCategory is the category of a three-point hitch. In JSON: "0", "I",
// "II", "III" or "IV"; "unknown" or left out is not given.
type HitchCategory uint8

// The categories of three-point hitches.
const (
	// HitchCategoryUnknown means not given.
	HitchCategoryUnknown HitchCategory = iota
	// Hitch0 is category 0.
	Hitch0
	// Hitch1 is category I.
	Hitch1
	// Hitch2 is category II.
	Hitch2
	// Hitch3 is category III.
	Hitch3
	// Hitch4 is category IV.
	Hitch4
)

var hitchCategoryNames = []string{"unknown", "0", "I", "II", "III", "IV"}

// HitchDimensions are the dimensions that go with a hitch category.
type HitchDimensions struct {
	// LowerPin is the diameter of the lower hitch pins.
	LowerPin units.Length `json:"lowerPin"`
	// UpperPin is the diameter of the upper (top link) pin.
	UpperPin units.Length `json:"upperPin"`
	// Spacing is the distance between the lower hitch points. It is a band, because
	// the sources differ by up to 50 mm: a public table in whole inches, and the
	// shoulders of the implement's pins by ISO 730 (memory).
	Spacing units.Range[units.Length] `json:"spacing"`
	// MastHeight is the mast height of the hitch lift test (ASAE S349.2, clause 4.1).
	// It is 0 for category 0, which the standard leaves out.
	MastHeight units.Length `json:"mastHeight"`
	// Notes say how well the figures are known.
	Notes Notes `json:"notes"`
}

// hitchDimensions holds the pin diameters and the wider spacing in inches, from a
// public table, and the narrower spacing and the mast height in meters.
var hitchDimensions = [...]struct {
	lower, upper, spacing float64
	shoulder, mast        units.Length
}{
	Hitch0: {0.625, 0.625, 20, 0, 0},
	Hitch1: {0.875, 0.75, 28, 0.683, 0.457},
	Hitch2: {1.125, 1.0, 34, 0.825, 0.483},
	Hitch3: {1.4375, 1.25, 40, 0.965, 0.559},
	Hitch4: {2.0, 1.75, 48, 1.165, 0.686},
}

// Dimensions returns the dimensions of the category. [HitchCategoryUnknown] or a
// value outside the list is an error.
func (k HitchCategory) Dimensions() (HitchDimensions, error) {
	if k == HitchCategoryUnknown || !choice.Known(hitchCategoryNames, k) {
		return HitchDimensions{}, units.NewFieldError("hitchCategory", k.String(), choice.OneOf, choice.Of[HitchCategory](hitchCategoryNames[1:]))
	}
	d := hitchDimensions[k]
	wide := units.Length(d.spacing) * units.Inch
	out := HitchDimensions{
		LowerPin: units.Length(d.lower) * units.Inch, UpperPin: units.Length(d.upper) * units.Inch, MastHeight: d.mast,
		Spacing: units.Range[units.Length]{Low: wide, High: wide}, Notes: NoteOneSource,
	}
	if d.shoulder != 0 {
		out.Spacing.Low = d.shoulder
		out.Notes = NoteMemory | NoteSourcesDisagree
	}
	return out, nil
}
