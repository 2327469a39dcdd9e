package ballast

import (
	"testing"

	"example.com/steelyard/units"
)

// Every combination of conditions: the factors of ISO 7867-2:2018 as the
// services' documentation states them, or the basic load and a refusal.
func TestAllowance(t *testing.T) {
	for _, kind := range []TireService{BasicService, LoaderService, HaulageService} {
		for bits := range 8 {
			for _, kmh := range []units.Speed{-1, 0, 0.1, 10, 10.1} {
				a := Allowance{Kind: kind, PressureRaised: bits&1 != 0, ShortCycles: bits&2 != 0, LowTorque: bits&4 != 0}
				wantFront, wantRear, refused := 1.0, 1.0, kind != BasicService
				switch {
				case kind == LoaderService && bits == 7 && kmh > 0 && kmh <= 10:
					wantFront, refused = 1.4, false
				case kind == HaulageService && bits&3 == 3 && kmh > 0:
					wantFront, wantRear, refused = 1.2, 1.43, false
				}
				front, rear, no := a.Factor(kmh * units.KilometerPerHour)
				if front != wantFront || rear != wantRear || no != refused {
					t.Errorf("%+v at %v km/h: %v, %v, %v; want %v, %v, %v", a, float64(kmh), front, rear, no, wantFront, wantRear, refused)
				}
			}
		}
	}
	// ETRTO rule for duals and triples (memory).
	for n, want := range []float64{1, 1, 1.76, 2.46} {
		near(t, "tires of a side", dualFactor(n), want, 1e-15)
	}
}
