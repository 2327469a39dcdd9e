package standards_test

import (
	"errors"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// The range of every number of every input, as its error states it, stands in
// a file: its lines are to be read against the documentation of the fields.
func TestRanges(t *testing.T) {
	fieldtest.Ranges(t, "testdata/ranges.txt", standards.Counterweight{}, standards.MountedImplements{}, standards.Pull{}, standards.ROPSTest{}, standards.Traction{})
}

// Ranges of the functions, at both ends, and choices that were not made.
func TestFunctionRanges(t *testing.T) {
	for power, ok := range map[units.Power]bool{0: true, 1e6: true, 1.01e6: false, -1: false} {
		if _, err := standards.RequiredHitchLift(power); ok != (err == nil) {
			t.Errorf("drawbar power %v: %v", power, err)
		}
	}
	const kmh = units.KilometerPerHour
	for v, ok := range map[units.Speed]bool{1 * kmh: true, 0.99 * kmh: false, 60 * kmh: true, 60.6 * kmh: false} {
		if _, err := standards.RequiredServiceBrake(v); ok != (err == nil) {
			t.Errorf("%v km/h: %v", v/kmh, err)
		}
	}
	if _, err := standards.HitchCategoryUnknown.Dimensions(); err == nil || !strings.Contains(err.Error(), "must be one of 0, I, II, III, IV") {
		t.Errorf("no category: %v", err)
	}
	if _, err := (standards.Hitch4 + 1).Dimensions(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("a category outside the list: %v", err)
	}
}

// An input of which nothing is given is an error.
func TestEmptyInputs(t *testing.T) {
	for name, err := range map[string]error{"rops": standards.ROPSTest{}.Validate(), "pull": standards.Pull{}.Validate(), "traction": standards.Traction{}.Validate()} {
		if !errors.Is(err, units.ErrInvalid) {
			t.Errorf("an empty %s: %v", name, err)
		}
	}
}

// Every input survives JSON.
func TestJSON(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 3))
	for range 50 {
		u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		roundTrip(t, standards.ROPSTest{GrossRating: units.Mass(u(300, 3000)), PTOPower: units.Power(u(0, 1e5))})
		roundTrip(t, standards.Pull{FrontLoad: units.Mass(u(300, 3000)), RearLoad: units.Mass(u(500, 5000)), Wheelbase: units.Length(u(1.5, 3)), Force: units.Force(u(0, 3e4)), Height: 0.5})
		roundTrip(t, standards.Traction{ConeIndex: units.Pressure(u(0, 2e6)), Construction: liquid.Radial})
	}
}
