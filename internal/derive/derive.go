// Package derive computes a formula together with its derivatives. Every
// operation is written down on a [Record] as it is carried out, with the
// derivatives of its result; [Record.Gradient] goes back through what was
// written and applies the chain rule. The derivatives are exact but for
// rounding, and cost about as much as the formula itself, however many unknowns
// there are.
package derive

import (
	"math"
	"slices"
)

// Value is the place of a number on a [Record].
type Value int32

// step is one operation: its result, its two operands, and the derivatives of
// the result by them.
type step struct {
	v, da, db float64
	a, b      Value
}

// Record is a calculation that is being carried out. The first numbers are the
// unknowns, in the order in which they were put there. The zero value is empty and
// ready.
type Record struct {
	steps   []step
	adjoint []float64
}

// Reset empties the record and puts the unknowns on it; the unknown i then is
// Value(i). The memory is kept.
func (r *Record) Reset(unknowns []float64) {
	r.steps = r.steps[:0]
	for _, v := range unknowns {
		r.put(step{v: v})
	}
}

// Len returns how many numbers are on the record.
func (r *Record) Len() int { return len(r.steps) }

// Cut takes all numbers beyond the first n off the record.
func (r *Record) Cut(n int) { r.steps = r.steps[:n] }

// At returns the number.
func (r *Record) At(x Value) float64 { return r.steps[x].v }

func (r *Record) put(s step) Value {
	r.steps = append(r.steps, s)
	return Value(len(r.steps) - 1)
}

// Constant puts a number on the record that depends on no unknown.
func (r *Record) Constant(v float64) Value { return r.put(step{v: v}) }

// Add returns x + y.
func (r *Record) Add(x, y Value) Value {
	return r.put(step{r.At(x) + r.At(y), 1, 1, x, y})
}

// Sub returns x - y.
func (r *Record) Sub(x, y Value) Value {
	return r.put(step{r.At(x) - r.At(y), 1, -1, x, y})
}

// Mul returns x y.
func (r *Record) Mul(x, y Value) Value {
	a, b := r.At(x), r.At(y)
	return r.put(step{a * b, b, a, x, y})
}

// Div returns x/y.
func (r *Record) Div(x, y Value) Value {
	a, b := r.At(x), r.At(y)
	return r.put(step{a / b, 1 / b, -a / (b * b), x, y})
}

// Scale returns k x.
func (r *Record) Scale(x Value, k float64) Value { return r.put(step{v: k * r.At(x), da: k, a: x}) }

// Shift returns x + k.
func (r *Record) Shift(x Value, k float64) Value { return r.put(step{v: r.At(x) + k, da: 1, a: x}) }

// Exp returns e to the x.
func (r *Record) Exp(x Value) Value {
	v := math.Exp(r.At(x))
	return r.put(step{v: v, da: v, a: x})
}

// Sqrt returns the square root of x. Below a billionth it is that of a billionth,
// and does not change with x.
func (r *Record) Sqrt(x Value) Value {
	const least = 1e-9
	if !(r.At(x) > least) {
		return r.put(step{v: math.Sqrt(least), a: x})
	}
	v := math.Sqrt(r.At(x))
	return r.put(step{v: v, da: 0.5 / v, a: x})
}

// Sin returns the sine of x.
func (r *Record) Sin(x Value) Value {
	s, c := math.Sincos(r.At(x))
	return r.put(step{v: s, da: c, a: x})
}

// Cos returns the cosine of x.
func (r *Record) Cos(x Value) Value {
	s, c := math.Sincos(r.At(x))
	return r.put(step{v: c, da: -s, a: x})
}

// Atan returns the angle whose tangent is x, within a quarter turn.
func (r *Record) Atan(x Value) Value {
	v := r.At(x)
	return r.put(step{v: math.Atan(v), da: 1 / (1 + v*v), a: x})
}

// Gradient writes the derivatives of y by the first unknowns, as many as the
// slice has places.
func (r *Record) Gradient(y Value, into []float64) {
	n := int(y) + 1
	r.adjoint = slices.Grow(r.adjoint[:0], n)[:n]
	d := r.adjoint
	clear(d)
	d[y] = 1
	for i := n - 1; i >= len(into); i-- {
		w := d[i]
		if w == 0 {
			continue
		}
		s := &r.steps[i]
		if s.da != 0 {
			d[s.a] += float64(w * s.da)
		}
		if s.db != 0 {
			d[s.b] += float64(w * s.db)
		}
	}
	copied := copy(into, d)
	clear(into[copied:])
}
