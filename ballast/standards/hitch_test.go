package standards_test

import (
	"errors"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// requiredHitchLift is checks.csv HI1: PAES 118:2001, Table 5 and clause
// 6.3, as quoted in a licensing examination.
func requiredHitchLift(t *testing.T) {
	in, want := validation.Published(t, "checks.csv", "HI1")
	kn := validation.Numbers(t, want, "lift_kN_at_610mm")
	for i, kw := range validation.Numbers(t, in, "drawbar_kW") {
		got, err := standards.RequiredHitchLift(units.Power(kw) * units.Kilowatt)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "HI1", float64(got/units.Kilonewton), kn[i], 1e-6)
	}
}

// TestHitchDimensions is checks.csv HI2 (mast height, ASAE S349.2) and HI4
// (pins from a public table, spacing within its stated inch).
func TestHitchDimensions(t *testing.T) {
	_, want := validation.Published(t, "checks.csv", "HI2")
	mast := validation.Numbers(t, want, "mast_mm")
	_, pins := validation.Published(t, "checks.csv", "HI4")
	lower, top, spacing := validation.Numbers(t, pins, "lower_pin_in"), validation.Numbers(t, pins, "top_pin_in"), validation.Numbers(t, pins, "lower_spacing_in_public_wiki")
	remembered := []float64{0, 683, 825, 965, 1165} // ISO 730, memory, in the row's source
	for i := range 5 {
		d, err := standards.HitchCategory(i + 1).Dimensions()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "lower pin", float64(d.LowerPin/units.Inch), lower[i], 1e-12)
		near(t, "top pin", float64(d.UpperPin/units.Inch), top[i], 1e-12)
		near(t, "spacing", float64(d.Spacing.High/units.Inch), spacing[i], 1e-9)
		if i > 0 {
			near(t, "mast", float64(d.MastHeight*1000), mast[i-1], 1e-9)
			near(t, "shoulder", float64(d.Spacing.Low*1000), remembered[i], 1e-9)
		}
	}
	if _, err := standards.HitchCategoryUnknown.Dimensions(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("unknown category: %v", err)
	}
}

// Both laws of the required lift meet at 65 kW in 20.15 kN; at 66 kW it is
// 20.15 + 0.155 kN, at 64 kW 0.31 x 64 kN.
func TestRequiredHitchLiftMeets(t *testing.T) {
	for kw, kn := range map[units.Power]float64{64: 19.84, 65: 20.15, 66: 20.305} {
		got, err := standards.RequiredHitchLift(kw * units.Kilowatt)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "required lift", float64(got/units.Kilonewton), kn, 1e-9)
	}
}

// Category 0 has no shoulders of ISO 730 and no mast: one figure, one source.
func TestHitchCategory0(t *testing.T) {
	d, err := standards.Hitch0.Dimensions()
	if err != nil || d.MastHeight != 0 || d.Spacing.Low != d.Spacing.High || d.Notes != standards.NoteOneSource {
		t.Errorf("category 0: %+v, %v", d, err)
	}
}
