package derive_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/internal/derive"
)

// each operation, put together in one formula of three unknowns that is written
// twice: on the record and in plain arithmetic.
func formula(r *derive.Record) derive.Value {
	x, y, z := derive.Value(0), derive.Value(1), derive.Value(2)
	a := r.Div(r.Sin(x), r.Shift(r.Mul(y, y), 2))
	b := r.Sqrt(r.Add(r.Exp(z), r.Constant(1)))
	c := r.Atan(r.Sub(r.Scale(a, 3), r.Mul(b, r.Cos(y))))
	return r.Add(c, r.Mul(a, x))
}

func plain(v [3]float64) float64 {
	a := math.Sin(v[0]) / (v[1]*v[1] + 2)
	b := math.Sqrt(math.Exp(v[2]) + 1)
	return math.Atan(3*a-b*math.Cos(v[1])) + a*v[0]
}

// The result is that of plain arithmetic, and the derivatives are those of
// differences of it.
func TestGradient(t *testing.T) {
	rnd := rand.New(rand.NewPCG(1, 2))
	var r derive.Record
	for range 100 {
		v := [3]float64{rnd.NormFloat64(), rnd.NormFloat64(), rnd.NormFloat64()}
		r.Reset(v[:])
		y := formula(&r)
		if got, want := r.At(y), plain(v); math.Abs(got-want) > 1e-14*(1+math.Abs(want)) {
			t.Fatalf("%v: %v, want %v", v, got, want)
		}
		var g [3]float64
		r.Gradient(y, g[:])
		for i := range v {
			const h = 1e-5
			up, down := v, v
			up[i] += h
			down[i] -= h
			want := (plain(up) - plain(down)) / (2 * h)
			if math.Abs(g[i]-want) > 1e-8*(1+math.Abs(want)) {
				t.Errorf("%v: derivative %d = %v, want %v", v, i, g[i], want)
			}
		}
	}
}

// What is cut off leaves no trace, and memory that was grown is kept.
func TestCut(t *testing.T) {
	var r derive.Record
	var g [3]float64
	run := func() {
		r.Reset([]float64{1, 2, 3})
		n := r.Len()
		first := r.At(formula(&r))
		r.Cut(n)
		y := formula(&r)
		if r.At(y) != first {
			t.Errorf("%v after %v", r.At(y), first)
		}
		r.Gradient(y, g[:])
	}
	run()
	if n := testing.AllocsPerRun(100, run); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// The root of what is not positive is small and has no slope, so that a formula
// that is tried too far out stays a number.
func TestSqrtOfNegative(t *testing.T) {
	var r derive.Record
	r.Reset([]float64{-1})
	y := r.Sqrt(0)
	var g [1]float64
	r.Gradient(y, g[:])
	if !(r.At(y) > 0 && r.At(y) < 1e-4) || g[0] != 0 {
		t.Errorf("%v, slope %v", r.At(y), g[0])
	}
}
