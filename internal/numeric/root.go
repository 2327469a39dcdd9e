// Package numeric holds the numerics that several packages share: bracketed
// roots and minima, and quadrature nodes computed once.
package numeric

import (
	"errors"
	"math"
)

// ErrNoBracket says that a function has the same sign, or no sign, at both
// ends of an interval.
var ErrNoBracket = errors.New("numeric: the interval does not bracket a root")

// Root returns a zero of f between a and b by Brent's method (R. P. Brent, Algorithms for
// Minimization without Derivatives, 1973, ch. 4). f(a) and f(b) must differ in sign, or one
// of them must be zero; otherwise the error is [ErrNoBracket]. The result is within tol of
// the zero, but not closer than a few units in the last place. It always lies in the closed
// interval.
func Root(f func(float64) float64, a, b, tol float64) (float64, error) {
	fa, fb := f(a), f(b)
	if fa == 0 {
		return a, nil
	}
	if fb == 0 {
		return b, nil
	}
	if !(fa < 0 && fb > 0 || fa > 0 && fb < 0) {
		return math.NaN(), ErrNoBracket
	}
	c, fc := a, fa
	d := b - a
	e := d
	for range 200 {
		if math.Abs(fc) < math.Abs(fb) {
			a, b, c = b, c, b
			fa, fb, fc = fb, fc, fb
		}
		step := 2*0x1p-52*math.Abs(b) + tol/2
		m := (c - b) / 2
		if math.Abs(m) <= step || fb == 0 {
			return b, nil
		}
		if math.Abs(e) < step || math.Abs(fa) <= math.Abs(fb) {
			d, e = m, m
		} else {
			s := fb / fa
			var p, q float64
			if a == c {
				p, q = 2*m*s, 1-s
			} else {
				u, r := fa/fc, fb/fc
				p = s * (2*m*u*(u-r) - (b-a)*(r-1))
				q = (u - 1) * (r - 1) * (s - 1)
			}
			if p > 0 {
				q = -q
			} else {
				p = -p
			}
			if 2*p < math.Min(3*m*q-math.Abs(step*q), math.Abs(e*q)) {
				d, e = p/q, d
			} else {
				d, e = m, m
			}
		}
		a, fa = b, fb
		if math.Abs(d) > step {
			b += d
		} else {
			b += math.Copysign(step, m)
		}
		fb = f(b)
		if math.IsNaN(fb) {
			return math.NaN(), ErrNoBracket
		}
		if (fb > 0) == (fc > 0) {
			c, fc = a, fa
			d = b - a
			e = d
		}
	}
	return b, nil
}

// Minimum returns the place of a minimum of f between a and b by golden
// section, to within tol. If f has several minima there, it is one of them.
func Minimum(f func(float64) float64, a, b, tol float64) float64 {
	const g = 0.6180339887498949 // (sqrt 5 - 1)/2
	x1, x2 := b-g*(b-a), a+g*(b-a)
	f1, f2 := f(x1), f(x2)
	for range 400 {
		if math.Abs(b-a) <= tol {
			break
		}
		if f1 <= f2 {
			b, x2, f2 = x2, x1, f1
			x1 = b - g*(b-a)
			f1 = f(x1)
		} else {
			a, x1, f1 = x1, x2, f2
			x2 = a + g*(b-a)
			f2 = f(x2)
		}
	}
	if f1 <= f2 {
		return x1
	}
	return x2
}
