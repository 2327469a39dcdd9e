package numeric

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Line is a straight line y = Intercept + Slope x fitted by ordinary least
// squares, with what inference about it needs.
type Line struct {
	Slope, Intercept float64
	// N is the number of points, MeanX their mean, Sxx the sum of squared
	// distances from it.
	N          int
	MeanX, Sxx float64
	// Residual is the residual standard deviation on N - 2 degrees of
	// freedom, or 0 when N = 2.
	Residual float64
}

// FitLine fits a line to the points (x, y). ok is false for fewer than two
// points, for equal x, and where a sum overflows.
func FitLine(x, y []float64) (l Line, ok bool) {
	n := len(x)
	if n < 2 || len(y) != n {
		return Line{}, false
	}
	var mx, my float64
	for i := range x {
		mx += x[i] / float64(n)
		my += y[i] / float64(n)
	}
	var sxx, sxy float64
	for i := range x {
		dx := x[i] - mx
		sxx += float64(dx * dx)
		sxy += float64(dx * (y[i] - my))
	}
	l = Line{N: n, MeanX: mx, Sxx: sxx, Slope: sxy / sxx}
	l.Intercept = my - float64(l.Slope*mx)
	var ss float64
	for i := range x {
		r := y[i] - my - float64(l.Slope*(x[i]-mx))
		ss += float64(r * r)
	}
	if n > 2 {
		l.Residual = math.Sqrt(ss / float64(n-2))
	}
	return l, sxx > 0 && sxx+ss <= math.MaxFloat64 // neither infinite nor no number
}

// SlopeError returns the standard error of the slope.
func (l Line) SlopeError() float64 { return l.Residual / math.Sqrt(l.Sxx) }

// InterceptError returns the standard error of the intercept.
func (l Line) InterceptError() float64 {
	return l.Residual * math.Sqrt(1/float64(l.N)+l.MeanX*l.MeanX/l.Sxx)
}

// Inverse returns the x at which the line reaches the exact value y, its
// standard error to first order (the usual one of calibration by an
// extrapolated line), and Fieller's limits for the quantile q of Student's t:
// the set of x for which (Intercept + Slope x - y)^2 <= q^2 s^2 (1/N + (x -
// MeanX)^2/Sxx). ok is false if that set is unbounded, the slope being too
// uncertain (E. C. Fieller, J. R. Statist. Soc. B 16 (1954) 175; N. R. Draper
// and H. Smith, Applied Regression Analysis, on inverse regression).
func (l Line) Inverse(y, q float64) (x, se, low, high float64, ok bool) {
	x = (y - l.Intercept) / l.Slope
	d := x - l.MeanX
	se = l.Residual / math.Abs(l.Slope) * math.Sqrt(1/float64(l.N)+d*d/l.Sxx)
	qs := q * l.Residual / l.Slope
	g := qs * qs / l.Sxx
	if !(g < 1) || math.IsNaN(x) || math.IsInf(x, 0) {
		return x, se, math.Inf(-1), math.Inf(1), false
	}
	mid := l.MeanX + d/(1-g)
	half := math.Abs(qs) / (1 - g) * math.Sqrt(float64((1-g)/float64(l.N))+d*d/l.Sxx)
	return x, se, mid - half, mid + half, true
}

// NormalQuantile returns z such that a standard normal variable lies between
// -z and z with the probability level.
func NormalQuantile(level float64) float64 {
	return distuv.UnitNormal.Quantile((1 + level) / 2)
}

// StudentQuantile returns t such that Student's t on df degrees of freedom
// lies between -t and t with the probability level.
func StudentQuantile(level float64, df int) float64 {
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(df)}.Quantile((1 + level) / 2)
}

// ChiSquareTail returns the probability that chi-square on df degrees of
// freedom exceeds x; 1 if df is not positive.
func ChiSquareTail(x float64, df int) float64 {
	if df <= 0 || !(x > 0) {
		return 1
	}
	return distuv.ChiSquared{K: float64(df)}.Survival(x)
}

// ChiSquareMedian returns the median of chi-square on df degrees of freedom.
func ChiSquareMedian(df int) float64 { return distuv.ChiSquared{K: float64(df)}.Quantile(0.5) }
