package fit

import "math"

// Line is a straight line y = Intercept + Slope x fitted by ordinary least squares,
// with the sums that inference about it needs.
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

// FitLine fits a line to the points (x, y). ok is false for fewer than two points, for
// equal x, and if a sum overflows.
//
// The unknowns are the height at the mean of x and the slope, which are independent.
// Every point has the standard deviation 1, and the residuals give the spread.
func FitLine(x, y []float64) (l Line, ok bool) {
	n := len(x)
	if n < 2 || len(y) != n {
		return Line{}, false
	}
	l.N = n
	var mean float64
	for i := range x {
		l.MeanX += x[i] / float64(n)
		mean += y[i] / float64(n)
	}
	var p Problem
	p.Reset(2)
	for i := range x {
		row := p.Row(y[i]-mean, 1)
		row[0], row[1] = 1, x[i]-l.MeanX
		l.Sxx += float64(row[1] * row[1])
	}
	if !p.Solve() {
		return Line{}, false
	}
	l.Slope = p.Estimate(1)
	l.Intercept = mean + p.Estimate(0) - float64(l.Slope*l.MeanX)
	if df := p.Freedom(); df > 0 {
		l.Residual = math.Sqrt(p.ChiSquare() / float64(df))
	}
	return l, true
}

// SlopeError returns the standard error of the slope.
func (l Line) SlopeError() float64 { return l.Residual / math.Sqrt(l.Sxx) }

// InterceptError returns the standard error of the intercept.
func (l Line) InterceptError() float64 {
	return l.Residual * math.Sqrt(1/float64(l.N)+l.MeanX*l.MeanX/l.Sxx)
}

// Inverse returns the x at which the line reaches the exact value y, its
// standard error to first order (the usual one of calibration by an
// extrapolated line), and Fieller's limits for the quantile q of Student's t,
// as in [Ratio.Interval]. ok is false if the limits are infinite because the slope is
// too uncertain (N. R. Draper and H. Smith, Applied Regression Analysis, on inverse
// regression).
func (l Line) Inverse(y, q float64) (x, se, low, high float64, ok bool) {
	v := l.Residual * l.Residual
	r := Ratio{
		Over: y - l.Intercept - float64(l.Slope*l.MeanX), Under: l.Slope,
		OverVar: v / float64(l.N), UnderVar: v / l.Sxx,
	}
	x, se, low, high, ok = r.Interval(q)
	return l.MeanX + x, se, l.MeanX + low, l.MeanX + high, ok
}
