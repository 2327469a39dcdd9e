package liquid

import (
	"strconv"
)

// number3 prints a number with few digits for an error.
func number3(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }

// six rounds a number to the digits that number3 prints.
func six(v float64) float64 {
	r, err := strconv.ParseFloat(number3(v), 64)
	if err != nil {
		return v
	}
	return r
}
