package liquid

import (
	"math"
	"math/rand/v2"
	"testing"
)

// The bound of one row against the best vertex of the linear program, found by
// trying all of them: corners of the box that satisfy the row, and points of
// its edges at which the row is at an end. With two and three rows no random
// point that satisfies them exceeds the bound.
func TestBound(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 5))
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	tested := 0
	for n := range 400 {
		rows := 1 + n%3
		const dims = 4
		b := bound{}
		for range dims {
			b.g = append(b.g, in(-1, 1))
			b.below = append(b.below, in(0, 2))
			b.above = append(b.above, in(0, 2))
		}
		for range rows {
			h := make([]float64, dims)
			for i := range h {
				h[i] = in(-1, 1)
			}
			b.held = append(b.held, h)
			b.slack = append(b.slack, [2]float64{in(0, 0.5), in(0, 0.5)})
		}
		dot := func(a, x []float64) (s float64) {
			for i := range a {
				s += a[i] * x[i]
			}
			return s
		}
		inside := func(x []float64) bool {
			for k := range b.held {
				if d := dot(b.held[k], x); d > b.slack[k][1]+1e-9 || d < -b.slack[k][0]-1e-9 {
					return false
				}
			}
			return true
		}
		for _, sign := range []float64{1, -1} {
			got := b.greatest(sign)
			best := math.Inf(-1)
			x := make([]float64, dims)
			see := func() {
				if inside(x) {
					best = math.Max(best, sign*dot(b.g, x))
				}
			}
			if rows > 1 {
				for range 300 {
					share := in(0, 1) // small points satisfy the rows more often
					for i := range x {
						x[i] = share * in(-b.below[i], b.above[i])
					}
					see()
				}
				if best > got+1e-9 {
					t.Errorf("%d rows: %v is beyond the bound %v", rows, best, got)
				}
				tested++
				continue
			}
			for corner := range 1 << dims {
				for i := range x {
					x[i] = b.above[i]
					if corner>>i&1 == 0 {
						x[i] = -b.below[i]
					}
				}
				see()
				for i := range x {
					was := x[i]
					x[i] = 0
					rest := dot(b.held[0], x)
					for _, end := range []float64{-b.slack[0][0], b.slack[0][1]} {
						if v := (end - rest) / b.held[0][i]; v >= -b.below[i] && v <= b.above[i] {
							x[i] = v
							see()
						}
					}
					x[i] = was
				}
			}
			if math.Abs(best-got) > 1e-9 {
				t.Errorf("best vertex %v, bound %v", best, got)
			}
			tested++
		}
	}
	if tested < 800 {
		t.Errorf("%d bounds", tested)
	}
}
