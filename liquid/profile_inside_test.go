package liquid

import (
	"math"
	"testing"

	"example.com/steelyard/internal/numeric"
)

// The points of a section give what a plane cuts off more closely than points in the
// plane itself do: both are held against 128 points in the plane, for crowns low and high
// and every exponent that is accepted, at distances up to the end of the reach.
func TestCrownPoints(t *testing.T) {
	var worst, inPlane [4]float64
	for _, n := range []float64{1.2, 1.5, 2, 2.5, 3.3, 5, 8} {
		for _, top := range []float64{0.02, 0.08, 0.2, 0.5} {
			p := profile{rw: 0.27, rb: 0.31, rm: 0.5, rc: 0.5 + top, ww: 0.2, wb: 0.3, w: 0.4, n: n}
			s := p.section()
			at := s.cutAt(0).vector()
			for i := range 101 {
				z := math.Max(s.reach, 0) * float64(i) / 100
				got := s.cutAt(z).vector()
				var want, other cut
				want.linear(z, p.rw, p.rb, p.ww, p.ww)
				want.linear(z, p.rb, p.rm, p.wb, p.w)
				other = want
				want.cap(z, &p, numeric.Legendre(128))
				other.cap(z, &p, numeric.Legendre(crownPoints))
				plane := other.vector()
				for k, v := range want.vector() {
					worst[k] = math.Max(worst[k], math.Abs(got[k]-v)/at[k])
					inPlane[k] = math.Max(inPlane[k], math.Abs(plane[k]-v)/at[k])
				}
			}
		}
	}
	t.Logf("off by %.1e, and points in the plane by %.1e", worst, inPlane)
	for k, most := range [4]float64{3e-12, 5e-12, 3e-12, 3e-11} {
		if !(worst[k] <= most && worst[k] <= inPlane[k]) {
			t.Errorf("quantity %d: off by %.1e, and points in the plane by %.1e", k, worst[k], inPlane[k])
		}
	}
}
