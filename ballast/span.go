package ballast

import "math"

// span is the numbers from lo to hi. Sums and products of spans hold every sum
// and product of their numbers, and a span inside another gives an answer inside
// the other's: what is known less of is never narrower.
type span struct{ lo, hi float64 }

func just(v float64) span { return span{v, v} }

func ordered(a, b float64) span { return span{min(a, b), max(a, b)} }

func (s span) fixed() bool { return s.lo == s.hi }

func (s span) plus(t span) span { return span{s.lo + t.lo, s.hi + t.hi} }

func (s span) minus(t span) span { return span{s.lo - t.hi, s.hi - t.lo} }

func (s span) times(k float64) span {
	if k < 0 {
		return span{k * s.hi, k * s.lo}
	}
	return span{k * s.lo, k * s.hi}
}

func (s span) by(t span) span {
	a, b, c, d := s.lo*t.lo, s.lo*t.hi, s.hi*t.lo, s.hi*t.hi
	return span{min(a, b, c, d), max(a, b, c, d)}
}

// over returns the quotients by a span of positive numbers.
func (s span) over(t span) span { return s.by(span{1 / t.hi, 1 / t.lo}) }

// join returns the least span that holds both.
func (s span) join(t span) span { return span{min(s.lo, t.lo), max(s.hi, t.hi)} }

// maxCosine returns the greatest x cos a + z sin a for an angle from a to b, all
// within a quarter turn of zero.
func maxCosine(x, z, a, b float64) float64 {
	at := func(a float64) float64 {
		sin, cos := math.Sincos(a)
		return x*cos + z*sin
	}
	if top := math.Atan2(z, x); top > a && top < b {
		return math.Hypot(x, z)
	}
	if a == b {
		return at(a)
	}
	return max(at(a), at(b))
}

// cosines returns x cos a + z sin a over a span of angles.
func cosines(x, z float64, a span) span {
	return span{-maxCosine(-x, -z, a.lo, a.hi), maxCosine(x, z, a.lo, a.hi)}
}
