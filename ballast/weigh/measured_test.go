package weigh_test

import (
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/units"
)

// fitted is what leastSquares finds.
type fitted struct {
	p    []float64   // the unknowns
	cov  [][]float64 // their covariance
	chi2 float64
	y    []float64   // for each row, what was read less what the model says
	sd   []float64   // for each row
	jac  [][]float64 // d(model)/d(unknown)
}

// leastSquares fits by another route than the library: derivatives by a
// complex step, which are exact to the last digit (W. Squire and G. Trapp,
// SIAM Review 40 (1998) 110), and the elimination of Gauss and Jordan. rows
// returns for each reading, priors among them, what was read less what the
// model says, and the standard deviation.
func leastSquares(t *testing.T, start []float64, rows func(p []complex128) ([]complex128, []float64)) fitted {
	t.Helper()
	f := fitted{p: append([]float64(nil), start...)}
	n := len(start)
	at := func() []complex128 {
		p := make([]complex128, n)
		for i, v := range f.p {
			p[i] = complex(v, 0)
		}
		return p
	}
	look := func() {
		y, sd := rows(at())
		f.y, f.sd, f.chi2 = make([]float64, len(y)), sd, 0
		f.jac = make([][]float64, len(y))
		for i := range y {
			f.y[i], f.jac[i] = real(y[i]), make([]float64, n)
			f.chi2 += f.y[i] * f.y[i] / (sd[i] * sd[i])
		}
		for j := range n {
			p := at()
			p[j] += 1e-30i
			y, _ := rows(p)
			for i := range y {
				f.jac[i][j] = -imag(y[i]) / 1e-30
			}
		}
	}
	// Where the misfit is great the steps shrink by a factor only; in the end
	// rounding is left of them.
	for n, step, last := 0, 1.0, 1.0; n < 80 && step > 1e-11 && (step > 1e-5 || step < last/2); n++ {
		look()
		var d []float64
		d, f.cov = linearFit(t, f.jac, f.y, f.sd)
		last, step = step, 0
		for j := range d {
			f.p[j] += d[j]
			step = max(step, math.Abs(d[j])/math.Sqrt(f.cov[j][j]))
		}
	}
	look()
	return f
}

// more returns one more unknown with the given column at the best fit, and
// its standard deviation.
func (f fitted) more(t *testing.T, column func(row int) float64) (v, sd float64) {
	t.Helper()
	jac := make([][]float64, len(f.jac))
	for i := range jac {
		jac[i] = append(append([]float64(nil), f.jac[i]...), column(i))
	}
	d, cov := linearFit(t, jac, f.y, f.sd)
	n := len(d) - 1
	return d[n], math.Sqrt(cov[n][n])
}

// linearFit solves y = jac d by weighted least squares.
func linearFit(t *testing.T, jac [][]float64, y, sd []float64) (d []float64, cov [][]float64) {
	t.Helper()
	n := len(jac[0])
	scale := make([]float64, n)
	for j := range scale {
		for i := range jac {
			scale[j] += jac[i][j] * jac[i][j] / (sd[i] * sd[i])
		}
		scale[j] = 1 / math.Sqrt(scale[j])
	}
	// The scaled normal matrix beside the unit matrix, and the right side.
	a, b := make([][]float64, n), make([]float64, n)
	for j := range a {
		a[j] = make([]float64, 2*n)
		a[j][n+j] = 1
		for i := range jac {
			for k := range n {
				a[j][k] += jac[i][j] * scale[j] * jac[i][k] * scale[k] / (sd[i] * sd[i])
			}
			b[j] += jac[i][j] * scale[j] * y[i] / (sd[i] * sd[i])
		}
	}
	for j := range n {
		best := j
		for k := j; k < n; k++ {
			if math.Abs(a[k][j]) > math.Abs(a[best][j]) {
				best = k
			}
		}
		a[j], a[best] = a[best], a[j]
		for k := 2*n - 1; k >= j; k-- {
			a[j][k] /= a[j][j]
		}
		for i := range n {
			if i == j || a[i][j] == 0 {
				continue
			}
			for k := 2*n - 1; k >= j; k-- {
				a[i][k] -= a[i][j] * a[j][k]
			}
		}
	}
	d, cov = make([]float64, n), make([][]float64, n)
	for i := range n {
		cov[i] = make([]float64, n)
		for j := range n {
			if math.IsNaN(a[i][n+j]) {
				t.Fatal("the reference fit is not determined")
			}
			cov[i][j] = a[i][n+j] * scale[i] * scale[j]
			d[i] += a[i][n+j] * b[j] * scale[i]
		}
	}
	return d, cov
}

// spread returns the standard deviation that an answer inherits from
// independent errors: the root of the sum of (d answer/d input x sd)^2, with
// derivatives by a complex step.
func spread(in []float64, sd []float64, answer func([]complex128) complex128) float64 {
	var v float64
	for j := range in {
		p := make([]complex128, len(in))
		for i := range in {
			p[i] = complex(in[i], 0)
		}
		p[j] += 1e-30i
		d := imag(answer(p)) / 1e-30 * sd[j]
		v += d * d
	}
	return math.Sqrt(v)
}

// gaussian returns how many standard deviations hold a normal error with the
// probability level.
func gaussian(level float64) float64 { return math.Sqrt2 * math.Erfinv(level) }

// wantEstimate holds an estimate to a value, a standard error and a level.
func wantEstimate[Q units.Quantity](t *testing.T, what string, got weigh.Estimate[Q], value, sd, level float64) {
	t.Helper()
	tol := 1e-7 * sd
	weighNear(t, what, float64(got.Value), value, tol)
	weighNear(t, what+" error", float64(got.SD), sd, tol)
	weighNear(t, what+" low", float64(got.Interval.Low), value-gaussian(level)*sd, 4*tol)
	weighNear(t, what+" high", float64(got.Interval.High), value+gaussian(level)*sd, 4*tol)
	if got.Interval.Level != level {
		t.Errorf("%s: level %v, want %v", what, got.Interval.Level, level)
	}
}

// between returns a random number in a range.
func between(rng *rand.Rand, low, high float64) float64 { return low + (high-low)*rng.Float64() }

// randomScale has every error that a scale can have, and a confidence.
func randomScale(rng *rand.Rand) (s weigh.Scale, reading, level float64) {
	s = weigh.Scale{SD: units.Mass(between(rng, 2, 6)), Division: units.Mass(between(rng, 5, 15)),
		ZeroSD: units.Mass(between(rng, 3, 9)), GainSD: units.Fraction(between(rng, 0.002, 0.01))}
	level = between(rng, 0.6, 0.99)
	// Rounding to a step is uniform over it: a variance of its square over 12.
	return s, math.Sqrt(float64(s.SD*s.SD) + float64(s.Division*s.Division)/12), level
}

// The route by complex steps agrees with a line fitted by hand: the points
// (0, 1), (1, 2), (2, 4) have the slope 3/2 and the intercept 5/6; with unit
// errors the slope's variance is 1/2, the intercept's 5/6, and the sum of
// squares is 1/6.
func TestLeastSquaresByHand(t *testing.T) {
	f := leastSquares(t, []float64{0, 0}, func(p []complex128) ([]complex128, []float64) {
		return []complex128{1 - p[0], 2 - p[0] - p[1], 4 - p[0] - 2*p[1]}, []float64{1, 1, 1}
	})
	for i, want := range [][2]float64{{5.0 / 6, f.p[0]}, {1.5, f.p[1]}, {5.0 / 6, f.cov[0][0]}, {0.5, f.cov[1][1]}, {1.0 / 6, f.chi2}} {
		weighNear(t, fmt.Sprint("line ", i), want[1], want[0], 1e-12)
	}
	weighNear(t, "spread of a root", spread([]float64{4}, []float64{0.1}, func(p []complex128) complex128 { return cmplx.Sqrt(p[0]) }), 0.1/4, 1e-15)
}

// The confidence of an interval is 0.5 to 0.999, or left out for 0.95.
func TestConfidence(t *testing.T) {
	w := weigh.LevelWeighing{Wheelbase: weigh.Measured[units.Length]{2, 0.01}, Front: 900, Rear: 1100, Scale: weigh.Scale{SD: 2}}
	fieldtest.Ends(t, "confidence", w, func(w *weigh.LevelWeighing, v float64) { w.Confidence = v }, 0.5, 0.999)
	got, err := w.Solve()
	if err != nil || got.Mass.Interval.Level != 0.95 {
		t.Errorf("left out: %+v, %v", got.Mass, err)
	}
	// The uncertainty of a measured value is at most a fifth of its range's end.
	fieldtest.Ends(t, "wheelbase.sd", w, func(w *weigh.LevelWeighing, v float64) { w.Wheelbase.SD = units.Length(v) }, 1e-6, 2)
	fieldtest.Ends(t, "scale.sd", w, func(w *weigh.LevelWeighing, v float64) { w.Scale.SD = units.Mass(v) }, 0.01, 500)
	fieldtest.Ends(t, "scale.gainSD", w, func(w *weigh.LevelWeighing, v float64) { w.Scale.GainSD = units.Fraction(v) }, 1e-6, 0.1)
}
