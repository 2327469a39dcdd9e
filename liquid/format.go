package liquid

import (
	"strconv"
)

// number3 prints a number with few digits for an error.
func number3(v float64) string { return strconv.FormatFloat(v, 'g', 6, 64) }
