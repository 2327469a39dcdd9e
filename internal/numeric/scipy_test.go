package numeric

import (
	"math"
	"testing"

	"example.com/steelyard/internal/validation"
)

// Root needs about as many evaluations as SciPy 1.10's brentq, which follows
// the same book; bisection would need forty. The roots are SciPy's too.
func rootsLikeBrent(t *testing.T) {
	for _, c := range []struct {
		name  string
		f     func(float64) float64
		a, b  float64
		want  float64
		calls int
	}{
		{"x^3-2x-5", func(x float64) float64 { return x*x*x - 2*x - 5 }, 2, 3, 2.094551481542327, 8},
		{"cos x - x", func(x float64) float64 { return math.Cos(x) - x }, 0, 1, 0.7390851332151559, 8},
		{"cos x - x, reversed", func(x float64) float64 { return math.Cos(x) - x }, 1, 0, 0.7390851332151559, 8},
		{"x exp x - 1", func(x float64) float64 { return x*math.Exp(x) - 1 }, -1, 1, 0.5671432904097838, 10},
		{"ln x", math.Log, 0.5, 5, 1, 10},
		{"x^2 - 2", func(x float64) float64 { return x*x - 2 }, 0, 2, 1.4142135623731364, 9},
		{"sin", math.Sin, 3, 4, math.Pi, 7},
		{"1/x - 3", func(x float64) float64 { return 1/x - 3 }, 0.1, 10, 1. / 3, 14},
		{"x^5 - 0.1", func(x float64) float64 { return math.Pow(x, 5) - 0.1 }, -1, 4, 0.6309573444801926, 17},
		{"tanh", func(x float64) float64 { return math.Tanh(5 * (x - 0.7)) }, -5, 5, 0.7, 11},
		{"root", func(x float64) float64 { return math.Copysign(math.Sqrt(math.Abs(x-0.3)), x-0.3) }, -1, 1, 0.3, 27},
		{"steep", func(x float64) float64 { return math.Expm1(50 * (x - 0.3)) }, 0, 1, 0.3, 16},
	} {
		calls := 0
		got, err := Root(func(x float64) float64 { calls++; return c.f(x) }, c.a, c.b, 1e-12)
		validation.Relative(t, got, c.want)
		if err != nil || math.Abs(got-c.want) > 1e-12 || calls > c.calls+2 {
			t.Errorf("%s: %.17g in %d evaluations, %v; want %.17g in about %d", c.name, got, calls, err, c.want, c.calls)
		}
	}
}

// What cannot be answered says so: the ends of the documented ranges.
func TestEnds(t *testing.T) {
	panics := func(f func()) (yes bool) {
		defer func() { yes = recover() != nil }()
		f()
		return
	}
	if panics(func() { Legendre(1) }) || panics(func() { Legendre(128) }) || !panics(func() { Legendre(0) }) || !panics(func() { Legendre(129) }) {
		t.Error("range of rules")
	}
	if n := len(Legendre(7).X); n != 7 {
		t.Errorf("rule of %d points", n)
	}
	// Exactly at the root, at either end, in either order.
	for _, c := range [][2]float64{{0, 1}, {-1, 0}, {1, 0}} {
		if x, err := Root(func(x float64) float64 { return x }, c[0], c[1], 1e-12); err != nil || x != 0 {
			t.Errorf("root at an end: %v, %v", x, err)
		}
	}
	small := func(x float64) float64 { return 1e-9 * (x - 0.5) }
	if x, err := Root(small, 0, 1, 1e-12); err != nil || math.Abs(x-0.5) > 1e-12 {
		t.Errorf("small values: %v, %v", x, err)
	}
	if _, err := Root(small, 0.6, 1, 1e-12); err == nil {
		t.Error("no change of sign: no error")
	}
}
