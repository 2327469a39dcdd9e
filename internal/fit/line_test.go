package fit

import (
	"encoding/json"
	"math"
	"os"
	"testing"

	"gonum.org/v1/gonum/stat"

	"example.com/steelyard/internal/validation"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	validation.Relative(t, got, want)
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %v, want %v within %v", what, got, want, tol)
	}
}

// J. N. Miller and J. C. Miller, Statistics for Analytical Chemistry, ch. 5,
// the fluorescein calibration and, in the section on the method of standard
// additions, silver in photographic waste: data and results from memory, and
// re-derived with SciPy when this test was written. The tolerance is half a
// unit of the last printed digit. The standard addition is the very question
// asked of an axle: where does the extended line reach zero?
func inverseTextbook(t *testing.T) {
	l, ok := FitLine([]float64{0, 5, 10, 15, 20, 25, 30}, []float64{0.32, 0.41, 0.52, 0.60, 0.70, 0.77, 0.89})
	if !ok {
		t.Fatal("no line")
	}
	near(t, "slope", l.Slope, 0.0186, 5e-5)
	near(t, "intercept", l.Intercept, 0.3218, 5e-5)
	near(t, "s y/x", l.Residual, 0.01094, 2.5e-5)
	x, se, low, high, ok := l.Inverse(0, StudentQuantile(0.95, 5))
	if !ok {
		t.Fatal("unbounded")
	}
	near(t, "silver", -x, 17.3, 0.05)
	near(t, "s of silver", se, 0.749, 0.0015)
	near(t, "first-order half width", StudentQuantile(0.95, 5)*se, 1.9, 0.05)
	near(t, "Fieller half width", (high-low)/2, 1.9, 0.1) // a first-order interval in the book

	l, _ = FitLine([]float64{0, 2, 4, 6, 8, 10, 12}, []float64{2.1, 5.0, 9.0, 12.6, 17.3, 21.0, 24.7})
	near(t, "slope", l.Slope, 1.93, 0.005)
	near(t, "intercept", l.Intercept, 1.52, 0.005)
	near(t, "s y/x", l.Residual, 0.4329, 1e-4)
	near(t, "slope error", l.SlopeError(), 0.0409, 5e-5)
	near(t, "intercept error", l.InterceptError(), 0.2949, 1e-4)
	for _, c := range [][2]float64{{2.9, 0.72}, {13.5, 6.21}, {23.0, 11.13}} {
		x, _, _, _, _ := l.Inverse(c[0], 2.57)
		near(t, "concentration", x, c[1], 0.005)
	}
}

// testdata/weigh_line.json: SciPy's linregress, and Fieller's limits found as
// roots of the inequality that defines them. gonum/stat fits the same lines.
func lineAgainstReference(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/weigh_line.json")
	if err != nil {
		t.Fatal(err)
	}
	var rows []struct {
		X, Y                                                   []float64
		Slope, Intercept, SlopeError, InterceptError, Residual float64
		Student, Inverse, Low, High, Chi2, Chi2Tail            float64
		Bounded                                                bool
	}
	if err := json.Unmarshal(raw, &rows); err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		l, ok := FitLine(r.X, r.Y)
		if !ok {
			t.Fatal("no line")
		}
		rel := func(what string, got, want float64) { near(t, what, got, want, 1e-8*math.Abs(want)+1e-12) }
		rel("slope", l.Slope, r.Slope)
		rel("intercept", l.Intercept, r.Intercept)
		rel("residual", l.Residual, r.Residual)
		rel("slope error", l.SlopeError(), r.SlopeError)
		rel("intercept error", l.InterceptError(), r.InterceptError)
		rel("Student", StudentQuantile(0.95, len(r.X)-2), r.Student)
		rel("chi-square tail", ChiSquareTail(r.Chi2, len(r.X)), r.Chi2Tail)
		a, b := stat.LinearRegression(r.X, r.Y, nil, false)
		rel("gonum slope", l.Slope, b)
		rel("gonum intercept", l.Intercept, a)
		x, _, low, high, ok := l.Inverse(0, r.Student)
		rel("inverse", x, r.Inverse)
		if ok != r.Bounded {
			t.Errorf("bounded = %v, want %v", ok, r.Bounded)
		}
		if ok {
			near(t, "low", low, r.Low, 1e-5)
			near(t, "high", high, r.High, 1e-5)
		}
		// The same line by normal equations with unit errors.
		m := problem(2)
		for i := range r.X {
			add(m, []float64{1, r.X[i]}, r.Y[i], 1)
		}
		p, cov, chi, ok := solved(m)
		if !ok {
			t.Fatal("not solved")
		}
		near(t, "normal intercept", p[0], r.Intercept, 1e-7*r.Intercept)
		near(t, "normal slope", p[1], r.Slope, 1e-7)
		near(t, "normal slope variance", math.Sqrt(cov[3])*r.Residual, r.SlopeError, 1e-7)
		near(t, "normal residual", chi, r.Residual*r.Residual*float64(len(r.X)-2), 1e-4*chi+1e-6)
	}
}

func TestUndetermined(t *testing.T) {
	if _, ok := FitLine([]float64{1, 1, 1}, []float64{1, 2, 3}); ok {
		t.Error("a line through equal x")
	}
	if _, ok := FitLine([]float64{1}, []float64{1}); ok {
		t.Error("a line through one point")
	}
	if _, ok := FitLine([]float64{1e308, -1e308}, []float64{1e308, 1}); ok {
		t.Error("a line through overflow")
	}
	for _, y := range [][]float64{{0, 1e200, 0}, {0, -1e200, 0}, {0, 1e308, 1e308}, {0, math.NaN(), 1}} {
		if l, ok := FitLine([]float64{0, 1, 2}, y); ok {
			t.Errorf("a line through %v: %+v", y, l)
		}
	}
	if l, ok := FitLine([]float64{0, 1e200}, []float64{0, 1}); ok {
		t.Errorf("a line though the distances overflow: %+v", l)
	}
	l, _ := FitLine([]float64{0, 1, 2}, []float64{0, 5, 0})
	if _, _, _, _, ok := l.Inverse(9, 12.7); ok {
		t.Error("bounded limits from a flat line")
	}
	m := problem(2)
	add(m, []float64{1, 1}, 2, 1)
	add(m, []float64{1, 1}, 3, 1)
	if _, _, _, ok := solved(m); ok {
		t.Error("solved two unknowns from one direction")
	}
	almost := problem(2)
	add(almost, []float64{1, 1}, 2, 1)
	add(almost, []float64{1, 1 + 3e-8}, 3, 1)
	if _, _, _, ok := solved(almost); ok {
		t.Error("solved two unknowns from two directions that differ in the eighth digit")
	}
	know(m, 0, 1, 0.1)
	if x, _, _, ok := solved(m); !ok || math.Abs(x[0]+x[1]-2.5) > 1e-9 {
		t.Errorf("with a prior: %v %v", x, ok)
	}
}

// The standard error of the inverse by propagation of errors: the slope and
// the height of the line at the mean of x are independent (textbook), and the
// derivatives of the x sought are taken numerically. Fieller's limits end where
// g reaches 1.
func TestInverseError(t *testing.T) {
	l, ok := FitLine([]float64{1, 2, 4, 5, 9}, []float64{2.1, 3.7, 8.4, 9.6, 18.3})
	if !ok {
		t.Fatal("no line")
	}
	at := func(height, slope, y float64) float64 { return l.MeanX + (y-height)/slope }
	height := l.Intercept + l.Slope*l.MeanX
	for _, y := range []float64{-3, 0, 8, 30} {
		x, se, _, _, _ := l.Inverse(y, 2)
		near(t, "x", x, at(height, l.Slope, y), 1e-12)
		const d = 1e-5
		dh := (at(height+d, l.Slope, y) - at(height-d, l.Slope, y)) / (2 * d)
		ds := (at(height, l.Slope+d, y) - at(height, l.Slope-d, y)) / (2 * d)
		near(t, "standard error", se, math.Hypot(dh*l.Residual/math.Sqrt(5), ds*l.SlopeError()), 1e-8)
	}
	q := l.Slope / l.SlopeError() // g = 1 here
	for f, want := range map[float64]bool{0.99: true, 1.01: false} {
		if _, _, low, high, ok := l.Inverse(7, f*q); ok != want || math.IsInf(low, -1) == want || math.IsInf(high, 1) == want {
			t.Errorf("at %g times the quantile of g = 1: %v to %v, %v", f, low, high, ok)
		}
	}
	for _, y := range []float64{math.NaN(), math.Inf(1), math.Inf(-1)} {
		if _, _, low, high, ok := l.Inverse(y, 2); ok {
			t.Errorf("y = %v: %v to %v", y, low, high)
		}
	}
}

// Two observations of two unknowns that pull against each other, by hand: x -
// 2 y = 4 and x + y = 1 have x = 2, y = -1. What overflows is not determined.
func TestOpposed(t *testing.T) {
	m := problem(2)
	add(m, []float64{1, -2}, 4, 1)
	add(m, []float64{1, 1}, 1, 1)
	x, _, chi, ok := solved(m)
	if !ok {
		t.Fatal("not solved")
	}
	near(t, "x", x[0], 2, 1e-12)
	near(t, "y", x[1], -1, 1e-12)
	near(t, "chi square", chi, 0, 1e-12)
	for _, c := range [][3]float64{{1e200, 1, 1}, {0.5e-154, 1.3e154, 1}, {0.5e-154, -1.3e154, 1}, {1, math.Inf(1), 1}, {1, math.NaN(), 1}} {
		m := problem(1)
		add(m, c[:1], c[1], c[2])
		if x, _, _, ok := solved(m); ok {
			t.Errorf("%g x = %g: %v", c[0], c[1], x)
		}
	}
}

// Seven observations and two priors of four unknowns, by NumPy's lstsq and the
// inverse of its normal matrix; quantiles by scipy.stats.
func leastSquares(t *testing.T) {
	rows := [][]float64{{1, 2, 0, -1}, {0, 1, 3, 2}, {2, -1, 1, 0}, {1, 1, 1, 1}, {3, 0, -2, 5}, {0, 4, 1, -3}, {2, 2, -1, 1}}
	y := []float64{1.5, -2, 3, 0.25, 4, -1, 2.5}
	sd := []float64{0.5, 1, 2, 0.25, 1, 0.8, 1.5}
	m := problem(4)
	for i := range rows {
		add(m, rows[i], y[i], sd[i])
	}
	know(m, 0, 0.3, 0.4)
	know(m, 3, -0.2, 0.7)
	x, cov, chi, ok := solved(m)
	if !ok {
		t.Fatal("not solved")
	}
	for i, want := range []float64{0.8006040297077432, 0.11362607887764996, -0.7251377128849533, 0.04479183287811933} {
		near(t, "x", x[i], want, 1e-12)
	}
	for i, want := range []float64{
		0.09221221549232667, -0.05515068008451204, 0.02483420110532443, -0.048450236767461644,
		-0.05515068008451205, 0.058807961951687145, -0.03593850396291325, 0.03428362353668293,
		0.02483420110532445, -0.03593850396291325, 0.05665216567963241, -0.020812382502082578,
		-0.04845023676746165, 0.034283623536682926, -0.02081238250208257, 0.04216271022110966,
	} {
		near(t, "covariance", cov[i], want, 1e-13)
	}
	near(t, "chi square", chi, 4.57728437, 5e-9)

	near(t, "normal 95 %", NormalQuantile(0.95), 1.959963984540054, 1e-12)
	near(t, "normal 90 %", NormalQuantile(0.90), 1.6448536269514722, 1e-12)
	near(t, "chi-square tail", ChiSquareTail(3.84, 1), 0.05004352124870519, 1e-12)
	near(t, "chi-square tail", ChiSquareTail(7, 4), 0.13588822540043327, 1e-12)
	near(t, "chi-square median", ChiSquareMedian(1), 0.454936423119572, 1e-9)
	near(t, "chi-square median", ChiSquareMedian(5), 4.351460191095526, 1e-9)
}

// What cannot be answered says so: the ends of the documented ranges.
func TestEnds(t *testing.T) {
	if ChiSquareTail(3, 0) != 1 || ChiSquareTail(-1, 2) != 1 || ChiSquareTail(0, 2) != 1 || !(ChiSquareTail(0.5, 1) < 0.5) || !(ChiSquareTail(0.01, 1) < 0.93) {
		t.Error("tail of chi-square")
	}
	panics := func(f func()) (yes bool) {
		defer func() { yes = recover() != nil }()
		f()
		return
	}
	if panics(func() { new(Problem).Reset(1) }) || panics(func() { new(Problem).Reset(MaxUnknowns) }) || !panics(func() { new(Problem).Reset(0) }) || !panics(func() { new(Problem).Reset(MaxUnknowns + 1) }) {
		t.Error("range of unknowns")
	}
	if _, ok := FitLine([]float64{1, 2}, []float64{1, 2, 3}); ok {
		t.Error("a line through unequal lists")
	}
	if l, ok := FitLine([]float64{1, 2}, []float64{3, 5}); !ok || math.Abs(l.Slope-2) > 1e-14 || math.Abs(l.Intercept-1) > 1e-14 || l.Residual != 0 {
		t.Errorf("two points: %+v, %v", l, ok)
	}
	exact := problem(1)
	add(exact, []float64{2}, 6, 1)
	add(exact, []float64{1}, 3, 1)
	if x, _, chi, ok := solved(exact); !ok || math.Abs(x[0]-3) > 1e-12 || !(chi < 1e-9) {
		t.Errorf("exact: %v, chi square %v", x, chi)
	}
	// Falling, with the mean of y far from zero: as by hand.
	l, ok := FitLine([]float64{0, 1, 2, 3}, []float64{100, 98, 97, 93})
	if !ok || math.Abs(l.Slope+2.2) > 1e-12 || math.Abs(l.Intercept-100.3) > 1e-12 || math.Abs(l.Residual-math.Sqrt(1.8/2)) > 1e-12 {
		t.Errorf("falling: %+v", l)
	}
	if _, se, _, _, _ := l.Inverse(0, 0.1); !(se > 0) {
		t.Errorf("standard error %v of a falling line", se)
	}
	if _, ok := FitLine([]float64{0, 1, 2}, []float64{0, math.Inf(1), 1}); ok {
		t.Error("a line through infinity")
	}
}

// problem returns an empty linear problem.
func problem(n int) *Problem {
	p := new(Problem)
	p.Reset(n)
	return p
}

// add adds an observation y = row . x of a linear problem that starts at zero.
func add(p *Problem, row []float64, y, sd float64) { copy(p.Row(y, sd), row) }

// know adds a prior and leaves the start at zero.
func know(p *Problem, i int, value, sd float64) {
	p.Prior(i, value, sd)
	p.Start(i, 0)
}

// solved returns the unknowns, their covariance and the least sum of squares.
func solved(p *Problem) (x, cov []float64, chi2 float64, ok bool) {
	if !p.Solve() {
		return nil, nil, 0, false
	}
	for i := range p.n {
		x = append(x, p.Estimate(i))
		for j := range p.n {
			cov = append(cov, p.Covariance(i, j))
		}
	}
	return x, cov, p.ChiSquare(), true
}
