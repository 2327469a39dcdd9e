package stability

import (
	"math"
	"testing"
)

// The least root from zero on, of squares with known roots, such as
// (x - 3)(x + 2), and of straight lines.
func TestLeastRoot(t *testing.T) {
	for _, c := range []struct {
		a, b, c, want float64
		status        Status
	}{
		{1, -1, -6, 3, Within},
		{1, 1, -6, 2, Within},
		{-1, 8, -15, 3, Within},
		{-1, -8, -15, 0, CannotOccur},
		{0, 1, -4, 4, Within},
		{0, -1, -4, 0, CannotOccur},
		{1e-18, 1, -4, 4, Within},
		{-1, 1, -4, 0, CannotOccur},
		{1, 3, 2, 0, Exceeded},
		{1, -3, 0, 0, Exceeded},
	} {
		x, s := leastRoot(c.a, c.b, c.c)
		if s != c.status || math.Abs(x-c.want) > 1e-12 {
			t.Errorf("%v x^2 + %v x + %v: %v, %v, want %v, %v", c.a, c.b, c.c, x, s, c.want, c.status)
		}
	}
}
