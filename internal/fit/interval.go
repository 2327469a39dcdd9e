package fit

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"
)

// Ratio is a quotient of two uncertain numbers whose errors are normal: the
// root x of Over - x Under.
type Ratio struct {
	Over, Under               float64
	OverVar, UnderVar, Common float64 // variances and covariance
}

// Interval returns the quotient, its standard error to first order, and the set of x
// for which Over - x Under is within q standard errors of zero. Here q is the quantile
// of the normal or of Student's distribution. This is Fieller's construction (E. C.
// Fieller, J. R. Statist. Soc. B 16 (1954) 175). It is exact if both numbers are normal,
// and keeps the skew of a ratio. If the set has no end, bounded is false, and low and
// high are infinite.
func (r Ratio) Interval(q float64) (x, sd, low, high float64, bounded bool) {
	a, b := r.Over, r.Under
	x = a / b
	sd = math.Sqrt(math.Max(r.OverVar-2*x*r.Common+x*x*r.UnderVar, 0)) / math.Abs(b)
	// The set is (b^2 - q^2 vb) x^2 - 2 (a b - q^2 c) x + a^2 - q^2 va <= 0. The
	// discriminant is multiplied out, because its large terms cancel.
	qa, qb := b*b-q*q*r.UnderVar, a*b-q*q*r.Common
	root := q * math.Sqrt(math.Max(b*b*r.OverVar-2*a*b*r.Common+a*a*r.UnderVar-q*q*(r.UnderVar*r.OverVar-r.Common*r.Common), 0))
	low, high = (qb-root)/qa, (qb+root)/qa
	if !(qa > 0) || !finite(x) || !finite(low) || !finite(high) {
		return x, sd, math.Inf(-1), math.Inf(1), false
	}
	return x, sd, low, high, true
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

// ChiSquareTail returns the probability that chi-square with df degrees of freedom
// exceeds x. It is 1 if df is not positive.
func ChiSquareTail(x float64, df int) float64 {
	if df <= 0 || !(x > 0) {
		return 1
	}
	return distuv.ChiSquared{K: float64(df)}.Survival(x)
}

// ChiSquareMedian returns the median of chi-square on df degrees of freedom.
func ChiSquareMedian(df int) float64 { return distuv.ChiSquared{K: float64(df)}.Quantile(0.5) }
