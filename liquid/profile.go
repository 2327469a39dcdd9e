package liquid

import (
	"math"

	"example.com/steelyard/internal/numeric"
)

// A profile is the meridian section of a cavity, in meters: half of it, as
// the full width w over the radius q from the axle.
//
//	rw..rb  rim well: constant width ww
//	rb..rm  straight taper from the width wb at the rim to w at the widest line
//	rm..rc  superellipse of exponent n from w down to zero at the crown
type profile struct {
	rw, rb, rm, rc float64
	ww, wb, w, n   float64
}

// width returns the full width at radius q, zero outside the cavity.
func (p *profile) width(q float64) float64 {
	switch {
	case q < p.rw || q > p.rc:
		return 0
	case q < p.rb:
		return p.ww
	case q <= p.rm:
		return p.wb + (p.w-p.wb)*(q-p.rb)/(p.rm-p.rb)
	}
	return p.cap((p.rc - q) / (p.rc - p.rm))
}

// cap returns the width of the superellipse where u is the distance from the
// crown as a share of the height rc - rm: w (1 - (1-u)^n)^(1/n).
func (p *profile) cap(u float64) float64 {
	if p.n == 2 {
		return p.w * math.Sqrt(u*(2-u))
	}
	var x float64
	if u < 0.25 {
		x = -math.Expm1(p.n * math.Log1p(-u))
	} else { // no digit is lost without them, and both cost less
		x = 1 - math.Exp(p.n*math.Log(1-u))
	}
	return p.w * math.Exp(math.Log(x)/p.n)
}

// A cut holds what a level plane cuts off a cavity on the side away from the
// axle.
type cut struct {
	volume float64 // of the part beyond the plane, m3
	area   float64 // of the plane within the cavity, m2
	pitch  float64 // second moment of that area about the axle's transverse line, m4
	roll   float64 // second moment of that area about its fore-aft line, m4
}

// Numbers of Gauss points. With them the results differ from SciPy's, on the
// sections of testdata/volumes.json, by 3e-13 of the whole volume.
const (
	linearPoints = 12
	crownPoints  = 28
	// sectionPoints is how many points a section keeps of its crown. They cost less
	// than those of a plane, and more of them are within 3e-12 at every exponent.
	sectionPoints = 32
)

// A section is a profile with what every cut through its crown asks for: the
// powers of the superellipse, which cost most, at radii that stay the same.
type section struct {
	profile
	reach float64 // up to this distance from the axle a cut uses them
	crown [sectionPoints]crownPoint
}

// crownPoint is a radius of the crown, with its part of the integral dq.
type crownPoint struct{ q, w, dq float64 }

// crownReach is how far below the widest line the reach of the crown's points
// ends, as a share of the crown's height. Closer to that line the kink of the
// integrands at q = z costs digits. Held by TestCrownPoints.
const crownReach = 0.25

// section works the crown's points out.
func (p profile) section() section {
	h := p.rc - p.rm
	s := section{profile: p, reach: p.rm - crownReach*h}
	rule := numeric.Legendre(sectionPoints)
	for i, g := range rule.X {
		// The substitution leaves of the superellipse, which is of the orders u^(1/n)
		// and (1-u)^n at its ends, v^(4/n) and (1-v)^(2n).
		v := (g + 1) / 2
		t := v * v * (3 - 2*v)
		u := t * t
		s.crown[i] = crownPoint{q: p.rc - h*u, w: p.cap(u), dq: h * 6 * t * v * (1 - v) * rule.W[i]}
	}
	return s
}

// cutAt integrates the part beyond a plane at the distance z >= 0 from the
// axle. With x the fore-aft coordinate in the plane, q = sqrt(z^2+x^2) and
// dq = x dx/q:
//
//	volume = integral 2 w q acos(z/q) dq = integral 2 w x atan(x/z) dx
//	area   = integral 2 w dx
//	pitch  = integral 2 w x^2 dx
//	roll   = integral 2 w^3/12 dx
//
// In x the integrands have no kink at q = z, whose square root would cost most
// digits, and stay smooth even if the plane is close to the rim or the crown. At
// the crown x = X cos(s) removes the superellipse's own root. A plane well below
// the widest line has no such kink in the crown, and uses the points of the section.
// Held by TestCavityIdentities, TestCrownPoints and TestValidation.
func (p *section) cutAt(z float64) cut {
	var c cut
	if z >= p.rc {
		return c
	}
	c.well(z, p.rw, p.rb, p.ww)
	c.linear(z, p.rb, p.rm, p.wb, p.w)
	if z <= p.reach {
		for i := range p.crown {
			k := &p.crown[i]
			x := math.Sqrt((k.q - z) * (k.q + z))
			c.add(z, x, k.w, k.q/x*k.dq)
		}
		return c
	}
	c.cap(z, &p.profile, numeric.Legendre(crownPoints))
	return c
}

// cap adds the crown beyond a plane at any distance, by a Gauss rule.
func (c *cut) cap(z float64, p *profile, rule numeric.Rule) {
	end := math.Sqrt((p.rc - z) * (p.rc + z))
	s1 := math.Pi / 2
	if z < p.rm {
		start := math.Sqrt((p.rm - z) * (p.rm + z))
		// acos(start/end), from the sine to keep digits near the crown
		s1 = math.Atan2(math.Sqrt((p.rc-p.rm)*(p.rc+p.rm)), start)
	}
	h := p.rc - p.rm
	for i, g := range rule.X {
		v := (g + 1) / 2
		dv := rule.W[i] / 2
		// At the ends the integrand is of the orders s^(2/n) and (s1-s)^n. This
		// substitution doubles both exponents.
		s, ds := s1*v*v*(3-2*v), s1*6*v*(1-v)*dv
		sin, cos := math.Sincos(s)
		x := end * cos
		q := math.Sqrt(z*z + x*x)
		u := end * sin * (end * sin) / ((p.rc + q) * h) // below 1, as s is below s1
		c.add(z, x, p.cap(u), end*sin*ds)
	}
}

// well adds the annulus from radius a to b of the constant width w: what a plane cuts
// off a cylinder is a circular segment.
func (c *cut) well(z, a, b, w float64) {
	if b <= z || b <= a {
		return
	}
	var lo, corner float64
	if a > z {
		lo = math.Sqrt((a - z) * (a + z))
		corner = a*a*math.Atan2(lo, z) - z*lo
	}
	hi := math.Sqrt((b - z) * (b + z))
	c.volume += w * (b*b*math.Atan2(hi, z) - z*hi - corner)
	c.area += 2 * w * (hi - lo)
	c.pitch += 2 * w * (hi*hi*hi - lo*lo*lo) / 3
	c.roll += w * w * w * (hi - lo) / 6
}

// linear adds the annulus from radius a to b, whose width changes linearly from
// wa to wb.
func (c *cut) linear(z, a, b, wa, wb float64) {
	if b <= z || b <= a {
		return
	}
	slope := (wb - wa) / (b - a)
	var lo float64
	if a > z {
		lo = math.Sqrt((a - z) * (a + z))
	}
	hi := math.Sqrt((b - z) * (b + z))
	rule := numeric.Legendre(linearPoints)
	for i, g := range rule.X {
		x := lo + (hi-lo)*(g+1)/2
		w := wa + slope*(math.Sqrt(z*z+x*x)-a)
		c.add(z, x, w, (hi-lo)/2*rule.W[i])
	}
}

func (c *cut) add(z, x, w, dx float64) {
	f := 2 * w * dx
	c.volume += f * x * math.Atan2(x, z)
	c.area += f
	c.pitch += f * x * x
	c.roll += f * w * w / 12
}
