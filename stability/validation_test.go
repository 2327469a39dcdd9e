package stability_test

import (
	"testing"

	"example.com/steelyard/internal/validation"
)

// TestValidation holds the package to outside sources, one subtest each. The
// greatest difference that each sees stands in README.md.
func TestValidation(t *testing.T) {
	validation.Run(t, "Tipping by three independent routes", stabilityCases)
	validation.Run(t, "Open Dynamics Engine, tilted machines", engineTilt)
	validation.Run(t, "SciPy on the potential energy of two bodies", potentialEnergy)
	validation.Run(t, "Textbooks and standards: axle loads and tipping", textbookChecks)
	validation.Run(t, "Regulation (EU) 1322/2014 Annex IX, rolling on", annexRolling)
	validation.Run(t, "Rotation in space: tilt of narrow tractors", annexTilt)
	validation.Run(t, "Open Dynamics Engine and SciPy, passages", passages)
	validation.Run(t, "Open Dynamics Engine, machines that go over", goesOver)
	validation.Run(t, "Roll over an obstacle on one side", rollPassages)
	validation.Run(t, "SciPy on passages, another formulation", otherFormulation)
	validation.Run(t, "Speeds at which passages change", thresholds)
	validation.Run(t, "Envelopes of load over speed", envelope)
	validation.Run(t, "Steps of braking", brakeStep)
	validation.Run(t, "Closed forms of bumps", closedBumps)
	validation.Run(t, "Closed bound of a curb", stoppedDead)
	validation.Run(t, "Statics on a hump with squat", crawl)
	validation.Run(t, "Series of the complete elliptic integral", pendulumTime)
}
