package ballast

import (
	"math"
	"testing"
)

// What is used of a demand: it over what stands against it, at least 0 and at
// most a million; where nothing stands against it, all or nothing.
func TestFormUsed(t *testing.T) {
	for _, c := range []struct {
		f      condition
		m      float64
		used   float64
		allows float64
	}{
		{condition{a0: 10, a1: 2, b0: 50, b1: 1}, 0, 0.2, 40},
		{condition{a0: 10, a1: 2, b0: 50, b1: 1}, 20, 50.0 / 70, 40},
		{condition{a0: 10, a1: 2, b0: 50, b1: 1}, 40, 1, 40},
		{condition{a0: -10, b0: 50}, 3, 0, math.Inf(1)},
		{condition{a0: 1e9, b0: 1}, 0, 1e6, math.Inf(1)},
		{condition{a0: 1.04e6, b0: 1}, 0, 1e6, math.Inf(1)},
		{condition{a0: 0.99e6, b0: 1}, 0, 0.99e6, math.Inf(1)},
		{condition{a0: 1}, 0, 1e6, math.Inf(1)},
		{condition{a0: -1, b0: -1}, 0, 1, math.Inf(1)},
		{condition{}, 5, 1, math.Inf(1)},
		{condition{a0: -2, b0: -1}, 0, 0, math.Inf(1)},
		{condition{a0: -1, b0: -2}, 0, 1e6, math.Inf(1)},
		{condition{a0: 5, a1: 1, b0: 2, b1: 1}, 0, 2.5, math.Inf(1)},
		{condition{a0: 5, a1: 2, b0: 2, b1: 1}, 0, 2.5, -3},
		{condition{a0: 5, a1: 1, b0: 2, b1: 3}, 4, 9.0 / 14, math.Inf(1)},
	} {
		if got := c.f.used(c.m); math.Abs(got-c.used) > 1e-12*c.used {
			t.Errorf("%+v at %v: %v, want %v", c.f, c.m, got, c.used)
		}
		if got := c.f.allows(); got != c.allows {
			t.Errorf("%+v allows %v, want %v", c.f, got, c.allows)
		}
	}
}
