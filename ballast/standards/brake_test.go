package standards_test

import (
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// serviceBrake is checks.csv BR1 (Delegated Regulation (EU) 2015/68, Annex
// II) and, for both speeds, that the distance is what the deceleration gives:
// v^2/92 and v^2/130 are v^2/(2 x 3.6^2 a) within half a percent.
func serviceBrake(t *testing.T) {
	in, want := validation.Published(t, "checks.csv", "BR1")
	v := validation.Number(t, in, "v_kmh")
	got, err := standards.RequiredServiceBrake(units.Speed(v) * units.KilometerPerHour)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "BR1 stop", float64(got.Stop), validation.Number(t, want, "stop_m"), 1e-3)
	near(t, "BR1 deceleration", float64(got.Deceleration), validation.Number(t, want, "mfdd_min"), 1e-12)
	for _, kmh := range []float64{10, 30, 31, 40} {
		got, err := standards.RequiredServiceBrake(units.Speed(kmh) * units.KilometerPerHour)
		if err != nil {
			t.Fatal(err)
		}
		ms := kmh / 3.6
		near(t, "braking distance", float64(got.Stop)-0.15*kmh, ms*ms/2/float64(got.Deceleration), 0.005*kmh*kmh/92)
		if (kmh > 30) != got.Notes.Has(standards.NoteMemory) {
			t.Errorf("%v km/h: notes %v", kmh, got.Notes)
		}
	}
}
