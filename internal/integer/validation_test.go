package integer_test

import (
	"testing"

	"example.com/steelyard/internal/validation"
)

// TestValidation holds the package to an outside source. What it sees stands
// in README.md.
func TestValidation(t *testing.T) {
	validation.Run(t, "GLPK 5.0 and CBC 2.10.8, optima of ballast problems", solvers)
}
