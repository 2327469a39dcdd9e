package standards_test

import (
	"testing"

	"example.com/steelyard/internal/validation"
)

// TestValidation holds the package to outside sources, one subtest each. The
// greatest difference that each sees stands in README.md.
func TestValidation(t *testing.T) {
	several := func(fs ...func(*testing.T)) func(*testing.T) {
		return func(t *testing.T) {
			for _, f := range fs {
				f(t)
			}
		}
	}
	validation.Run(t, "29 CFR 1928.51 reference masses", several(ropsReference, massPerPowerUnit))
	validation.Run(t, "Regulation (EU) 2015/68 service brake", serviceBrake)
	validation.Run(t, "PAES 118:2001 hitch lift", requiredHitchLift)
	validation.Run(t, "ASABE D497, Brixius, Zoz and Grisso (memory)", several(tractionRatios, soilMobility, slipFromTurns))
	validation.Run(t, "ISO 4254-10 Annex B and manuals' ballast formulas", several(frontBallast, rearBallast, axleLoads, counterweight))
	validation.Run(t, "Published axle splits and mass per power", several(frontShareForDrawbarWork, massPerPowerForDrawbarWork))
}
