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
	if s.lo >= 0 { // as a mass is
		out := span{s.lo, s.hi}
		if t.lo < 0 {
			out.lo = s.hi
		}
		if t.hi < 0 {
			out.hi = s.lo
		}
		return span{out.lo * t.lo, out.hi * t.hi}
	}
	a, b, c, d := s.lo*t.lo, s.lo*t.hi, s.hi*t.lo, s.hi*t.hi
	return span{min(a, b, c, d), max(a, b, c, d)}
}

// over returns the quotients by a span of positive numbers.
func (s span) over(t span) span { return s.by(span{1 / t.hi, 1 / t.lo}) }

// join returns the least span that holds both.
func (s span) join(t span) span { return span{min(s.lo, t.lo), max(s.hi, t.hi)} }

// arc is a span of angles within a quarter turn of zero, with sine and cosine of its
// ends: many forms ask for them.
type arc struct {
	span
	sin, cos [2]float64
}

func arcOf(s span) (a arc) {
	a.span = s
	a.sin[0], a.cos[0] = math.Sincos(s.lo)
	a.sin[1], a.cos[1] = a.sin[0], a.cos[0]
	if !s.fixed() {
		a.sin[1], a.cos[1] = math.Sincos(s.hi)
	}
	return a
}

// most returns the greatest x cos a + z sin a over the angles.
func (a *arc) most(x, z float64) float64 {
	low := float64(x*a.cos[0]) + float64(z*a.sin[0])
	if a.fixed() {
		return low
	}
	if z*a.cos[0] > x*a.sin[0] && z*a.cos[1] < x*a.sin[1] {
		return math.Hypot(x, z) // the direction of x and z is one of them
	}
	return max(low, float64(x*a.cos[1])+float64(z*a.sin[1]))
}

// cosines returns x cos a + z sin a over the angles.
func (a *arc) cosines(x, z float64) span {
	if a.fixed() {
		return just(a.most(x, z))
	}
	return span{-a.most(-x, -z), a.most(x, z)}
}
