package reliability_test

import (
	"testing"

	"example.com/steelyard/internal/validation"
)

// TestValidation holds the package to outside sources, one subtest each. The
// greatest difference that each sees stands in README.md.
func TestValidation(t *testing.T) {
	validation.Run(t, "Benchmark problems of structural reliability", benchmarkProblems)
	validation.Run(t, "Worked examples of uncertainty", gumExamples)
	validation.Run(t, "Sobol indices in closed form", sobolIndices)
}
