package ballast_test

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
	validation.Run(t, "Moment balances: usable loads and axle loads", several(tippingChecks, factorsAndDensities))
	validation.Run(t, "Loader rows by three independent routes", loaderRows)
	validation.Run(t, "Loader cylinders by virtual work", several(loaderChecks, loaderCurve))
	validation.Run(t, "29 CFR 1910.178 Appendix A, load center", attachmentRating)
	validation.Run(t, "ISO 7867-2 and ISO 4223-1 tire ratings", tireRatings)
}
