package units

import (
	"testing"

	"example.com/steelyard/internal/validation"
)

// TestValidation holds the package to outside sources, one subtest each. The
// greatest difference that each sees stands in README.md.
func TestValidation(t *testing.T) {
	validation.Run(t, "Definitions of the units, to the last bit", factorsByDefinition)
	validation.Run(t, "NIST SP 811 factors (memory)", factorsOfNIST)
	validation.Run(t, "GNU units 2.22", factorsOfGNUUnits)
	validation.Run(t, "Fixed points of the temperature scales", temperatureScales)
	validation.Run(t, "Trigonometry of slopes", slopeForms)
}
