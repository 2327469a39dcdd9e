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

// Seven observations and two priors of four unknowns, by NumPy's lstsq and the
// inverse of its normal matrix; quantiles by scipy.stats.
func leastSquares(t *testing.T) {
	rows := [][]float64{{1, 2, 0, -1}, {0, 1, 3, 2}, {2, -1, 1, 0}, {1, 1, 1, 1}, {3, 0, -2, 5}, {0, 4, 1, -3}, {2, 2, -1, 1}}
	y := []float64{1.5, -2, 3, 0.25, 4, -1, 2.5}
	sd := []float64{0.5, 1, 2, 0.25, 1, 0.8, 1.5}
	m := NewNormal(4)
	for i := range rows {
		m.Add(rows[i], y[i], sd[i])
	}
	m.Prior(0, 0.3, 0.4)
	m.Prior(3, -0.2, 0.7)
	x, cov, chi, ok := m.Solve()
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
	if panics(func() { NewNormal(1) }) || panics(func() { NewNormal(MaxUnknowns) }) || !panics(func() { NewNormal(0) }) || !panics(func() { NewNormal(MaxUnknowns + 1) }) {
		t.Error("range of unknowns")
	}
	if panics(func() { Legendre(1) }) || panics(func() { Legendre(128) }) || !panics(func() { Legendre(0) }) || !panics(func() { Legendre(129) }) {
		t.Error("range of rules")
	}
	if n := len(Legendre(7).X); n != 7 {
		t.Errorf("rule of %d points", n)
	}
	if _, ok := FitLine([]float64{1, 2}, []float64{1, 2, 3}); ok {
		t.Error("a line through unequal lists")
	}
	if l, ok := FitLine([]float64{1, 2}, []float64{3, 5}); !ok || l.Slope != 2 || l.Intercept != 1 || l.Residual != 0 {
		t.Errorf("two points: %+v, %v", l, ok)
	}
	exact := NewNormal(1)
	exact.Add([]float64{2}, 6, 1)
	exact.Add([]float64{1}, 3, 1)
	if x, _, chi, ok := exact.Solve(); !ok || math.Abs(x[0]-3) > 1e-12 || !(chi < 1e-9) {
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
