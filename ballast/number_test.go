package ballast_test

import (
	"math"

	"example.com/steelyard/units"
)

// grams returns a mass in whole grams, as a plan counts it.
func grams(m units.Mass) int64 { return int64(math.Round(float64(m) * 1000)) }

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
