package stability

import "math"

// nearest returns the least grade of the edge over all headings, with the sine and
// cosine of the heading. It reports false where this form does not hold, and where
// q is zero.
//
// With X = t sin h and Y = t cos h, t being the grade, the edge is the hyperbola
//
//	s X + c Y + q X Y = a
//
// and the least grade is its distance from the origin. Turned by 45 degrees, u =
// (X + Y)/sqrt 2 and v = (X - Y)/sqrt 2, with the weights d = (s + c)/sqrt 2 and
// e = (s - c)/sqrt 2, it is d u + e v + q (u^2 - v^2)/2 = a. The nearest point has
// the multiplier m, from 0 to 1/|q|, at which
//
//	u = m d/(1 - m q), v = m e/(1 + m q)
//
// lie on it: the bound of m makes the Lagrangian convex, so that no other point is
// nearer (S. Boyd and L. Vandenberghe, Convex Optimization, 2004, appendix B.1). The
// left side then grows with m, with the derivative d^2/(1 - m q)^3 +
// e^2/(1 + m q)^3, and Newton's steps find the one m.
//
// Where a heading never meets the hyperbola, [edge.grade] takes the limit without q,
// which is then more than sqrt(a/(2 |q|)). Above that the form does not hold. Held by
// TestWorstTipOverHeadings.
func (e *edge) nearest() (t, sin, cos float64, ok bool) {
	if e.q == 0 {
		return 0, 0, 0, false
	}
	d, f, q := (e.s+e.c)*(math.Sqrt2/2), (e.s-e.c)*(math.Sqrt2/2), e.q
	d2, f2 := d*d, f*f
	low, high := 0.0, 1/math.Abs(q)
	m := e.a / (d2 + f2)
	if !(m < high) {
		m = high / 2
	}
	for range 60 {
		i, j := 1/(1-m*q), 1/(1+m*q)
		over := d2*m*(1-m*q/2)*i*i + f2*m*(1+m*q/2)*j*j - e.a
		if over > 0 {
			high = m
		} else {
			low = m
		}
		next := m - over/(d2*i*i*i+f2*j*j*j)
		if !(next > low && next < high) {
			next = (low + high) / 2
		}
		if math.Abs(next-m) <= 4e-16*m {
			ok = true
			break
		}
		m = next
	}
	u, v := m*d/(1-m*q), m*f/(1+m*q)
	t = math.Hypot(u, v)
	if !ok || !(t*t*2*math.Abs(q) < e.a*(1-1e-6)) {
		return 0, 0, 0, false
	}
	return t, (u + v) * (math.Sqrt2 / 2) / t, (u - v) * (math.Sqrt2 / 2) / t, true
}

// atLeast returns a grade below which the edge, whose a is positive, is reached in no
// heading: s sin h + c cos h is at most r, and sin h cos h at most a half.
func (e *edge) atLeast() float64 {
	r2 := e.s*e.s + e.c*e.c
	return 2 * e.a / (math.Sqrt(r2) + math.Sqrt(r2+2*e.a*math.Abs(e.q)))
}

// atMost returns the grade of the edge in its worst heading but for q, which is no
// less than the least, or infinity.
func (e *edge) atMost() float64 {
	r := math.Sqrt(e.s*e.s + e.c*e.c)
	if !(r > tiny*e.a) {
		return math.Inf(1)
	}
	if t, s := e.grade(e.s/r, e.c/r); s == Within {
		return t
	}
	return math.Inf(1)
}
