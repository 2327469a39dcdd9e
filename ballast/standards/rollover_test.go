package standards_test

import (
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// ropsReference is checks.csv S18, WP2 and WP3: 29 CFR 1928.51(a).
func ropsReference(t *testing.T) {
	const hp, lb = units.MechanicalHorsepower, units.Pound
	in, want := validation.Published(t, "checks.csv", "S18")
	got, err := standards.ROPSTest{
		PTOPower: units.Power(validation.Number(t, in, "pto_hp")) * hp, Unballasted: units.Mass(validation.Number(t, in, "unballasted_lb")) * lb,
		GrossRating: units.Mass(validation.Number(t, in, "max_gvw_lb")) * lb,
	}.Solve()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "S18 mass", float64(got.Mass/lb), validation.Number(t, want, "test_weight_lb"), 1e-6)
	near(t, "S18 front", float64(got.Front/lb), validation.Number(t, want, "min_front_lb"), 1e-6)

	in, want = validation.Published(t, "checks.csv", "WP2")
	if got, err = (standards.ROPSTest{PTOPower: units.Power(validation.Number(t, in, "max_pto_hp")) * hp, GrossRating: 1000}).Solve(); err != nil {
		t.Fatal(err)
	}
	near(t, "WP2 mass", float64(got.Mass/lb), validation.Number(t, want, "min_total_lb"), 1e-6)
	near(t, "WP2 metric", float64(got.PerPowerMetric), validation.Number(t, want, "min_total_kg"), 1e-6)
	near(t, "WP2 front", float64(got.Front/got.Mass), validation.Number(t, want, "min_front_share"), 1e-12)

	in, want = validation.Published(t, "checks.csv", "WP3")
	if got, err = (standards.ROPSTest{EnginePower: units.Power(validation.Number(t, in, "net_engine_hp")) * hp, GrossRating: 1000}).Solve(); err != nil {
		t.Fatal(err)
	}
	near(t, "WP3 power", float64(got.PTOPower/hp), validation.Number(t, want, "assumed_pto_hp"), 1e-9)
	near(t, "WP3 mass", float64(got.Mass/lb), validation.Number(t, want, "min_total_lb"), 1e-6)
	if !got.Notes.Has(standards.NotePowerEstimated) {
		t.Errorf("notes %v", got.Notes)
	}
	// The gross mass rules where it is the greatest.
	if got, err = (standards.ROPSTest{PTOPower: 10 * hp, GrossRating: 3000}).Solve(); err != nil || got.Mass != 3000 || got.Front != 750 {
		t.Errorf("%+v, %v", got, err)
	}
}
