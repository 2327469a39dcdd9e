package numeric

import (
	"testing"

	"example.com/steelyard/internal/validation"
)

// TestValidation holds the package to outside sources, one subtest each. The
// greatest difference that each sees stands in README.md.
func TestValidation(t *testing.T) {
	validation.Run(t, "SciPy brentq, roots and evaluations", rootsLikeBrent)
}
