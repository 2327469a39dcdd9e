package weigh_test

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
	validation.Run(t, "Axle lifts of a machine rotated point by point", axleLiftReference)
	validation.Run(t, "Tipping load from light readings, row L-150", several(tippingL150, ballastK1))
	validation.Run(t, "SciPy least squares on weighings", several(tippingAgainstReference, axleLiftAgainstReference, papersAgainstReference))
}
