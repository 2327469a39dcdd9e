package numeric

import (
	"errors"
	"math"
	"testing"
)

// Roots with known closed forms: the expected values are the functions'
// definitions, not this code.
func TestRoot(t *testing.T) {
	for _, c := range []struct {
		name       string
		f          func(float64) float64
		a, b, want float64
	}{
		{"sqrt 2", func(x float64) float64 { return x*x - 2 }, 0, 2, math.Sqrt2},
		{"pi", math.Sin, 3, 4, math.Pi},
		{"reversed", func(x float64) float64 { return x*x - 2 }, 2, 0, math.Sqrt2},
		{"triple", func(x float64) float64 { return (x - 1) * (x - 1) * (x - 1) }, -3, 4, 1},
		{"steep", func(x float64) float64 { return math.Expm1(50 * (x - 0.3)) }, 0, 1, 0.3},
		{"end", func(x float64) float64 { return x }, 0, 1, 0},
	} {
		got, err := Root(c.f, c.a, c.b, 1e-14)
		tol := 1e-13
		if c.name == "triple" {
			tol = 1e-4 // the function is below rounding near a triple root
		}
		if err != nil || math.Abs(got-c.want) > tol {
			t.Errorf("%s: %v, %v; want %v", c.name, got, err, c.want)
		}
	}
	for _, f := range []func(float64) float64{
		func(x float64) float64 { return x*x + 1 },
		func(x float64) float64 { return math.NaN() },
	} {
		if _, err := Root(f, -1, 1, 1e-12); !errors.Is(err, ErrNoBracket) {
			t.Errorf("no bracket: err = %v", err)
		}
	}
}

func TestMinimum(t *testing.T) {
	got := Minimum(func(x float64) float64 { return math.Cos(x) }, 2, 4, 1e-7)
	if math.Abs(got-math.Pi) > 1e-6 {
		t.Errorf("minimum of the cosine at %v, want pi", got)
	}
}

// Abramowitz & Stegun, Handbook of Mathematical Functions, table 25.4:
// n = 2 has x = 1/sqrt 3, w = 1; every rule of n points is exact to degree
// 2n - 1.
func TestLegendre(t *testing.T) {
	r := Legendre(2)
	if math.Abs(math.Abs(r.X[0])-1/math.Sqrt(3)) > 1e-15 || math.Abs(r.W[0]-1) > 1e-15 {
		t.Errorf("two points: %v", r)
	}
	for _, n := range []int{3, 8, 24, 64} {
		r := Legendre(n)
		var s float64
		for i, x := range r.X {
			s += r.W[i] * math.Pow(x, float64(2*n-2))
		}
		if want := 2 / float64(2*n-1); math.Abs(s-want) > 1e-13 {
			t.Errorf("%d points: %v, want %v", n, s, want)
		}
	}
}
