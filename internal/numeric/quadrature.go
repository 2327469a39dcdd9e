package numeric

import (
	"sync"

	"gonum.org/v1/gonum/integrate/quad"
)

// A Rule is a Gauss-Legendre rule on the interval from -1 to 1.
type Rule struct {
	X, W []float64
}

var rules [129]struct {
	once sync.Once
	rule Rule
}

// Legendre returns the Gauss-Legendre rule of n points, 1 to 128, computed at its first
// use. The caller must not change it. It panics for any other n.
func Legendre(n int) Rule {
	if n < 1 || n >= len(rules) {
		panic("numeric: a Gauss-Legendre rule must have 1 to 128 points")
	}
	r := &rules[n]
	r.once.Do(func() {
		x, w := make([]float64, n), make([]float64, n)
		quad.Legendre{}.FixedLocations(x, w, -1, 1)
		r.rule = Rule{X: x, W: w}
	})
	return r.rule
}
