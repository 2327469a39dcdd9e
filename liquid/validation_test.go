package liquid_test

import (
	"testing"

	"example.com/steelyard/internal/validation"
)

// TestValidation holds the package to outside sources, one subtest each. The
// greatest difference that each sees stands in README.md.
func TestValidation(t *testing.T) {
	validation.Run(t, "SciPy quadrature and counted Sobol points", volumesAgainstSciPy)
	validation.Run(t, "Valve position in derived sections", valveFill)
	validation.Run(t, "Handbook fill volumes (memory)", rememberedFills)
	validation.Run(t, "Cavities of another shape, from one level", oneRow(shapesFile, 6))
	validation.Run(t, "Cavities of another shape, from three levels", column(shapesFile, 1))
	validation.Run(t, "Contours of the inflated membrane, from one level", oneRow(membranesFile, 8))
	validation.Run(t, "Contours of the inflated membrane, from three levels", column(membranesFile, 4))
	validation.Run(t, "Tire dimensions (numeric sizes from memory)", tireDimensions)
	validation.Run(t, "Half-inch and low-section rims (memory)", moreDimensions)
	validation.Run(t, "ISO 4223-1 load index and speed symbol", serviceTables)
	validation.Run(t, "Published fluid tables, density", func(t *testing.T) {
		fluidsAgainstPublished(t, func(density, _ float64) { validation.Off(t, 100*density, "%") })
	})
	validation.Run(t, "Published fluid tables, freezing point", func(t *testing.T) {
		fluidsAgainstPublished(t, func(_, freezing float64) { validation.Off(t, freezing, "K") })
	})
	validation.Run(t, "Coefficients of Melinder 2010 and Laliberte 2009", fitCoefficients)
	validation.Run(t, "NBS density of water", densityOfWater)
	validation.Run(t, "FHWA-RD-95-202 eutectics", eutectics)
	validation.Run(t, "Beet molasses liquid of a public tender", beetMolasses)
	validation.Run(t, "Brine mixing by mass balance", brineMix)
}
