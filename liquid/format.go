package liquid

import (
	"strconv"

	"example.com/steelyard/units"
)

// number3 prints a number with few digits for an error.
func number3(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

func meters(l units.Length) string { return number3(float64(l)) + " m" }
