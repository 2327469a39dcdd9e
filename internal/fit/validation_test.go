package fit

import (
	"testing"

	"example.com/steelyard/internal/validation"
)

// TestValidation holds the package to outside sources, one subtest each. The
// greatest difference that each sees stands in README.md.
func TestValidation(t *testing.T) {
	validation.Run(t, "Miller and Miller, calibration lines (memory)", inverseTextbook)
	validation.Run(t, "SciPy linregress and Fieller's limits", lineAgainstReference)
	validation.Run(t, "NumPy lstsq and scipy.stats", leastSquares)
}
