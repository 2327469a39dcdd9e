package reliability

import (
	"math"
	"slices"

	"example.com/steelyard/units"
)

// DistributionKind is the family of a distribution. In JSON: "normal", "lognormal",
// "triangular", "rectangular", "exponential" or "empirical"; "unknown" is an error.
type DistributionKind uint8

// The families.
const (
	// DistributionUnknown is the zero value, which no problem accepts.
	DistributionUnknown DistributionKind = iota
	// NormalKind has a mean and a standard deviation.
	NormalKind
	// LognormalKind has a mean and a standard deviation of the quantity itself, not of
	// its logarithm.
	LognormalKind
	// TriangularKind has a lowest, a most likely and a highest value.
	TriangularKind
	// RectangularKind has a lowest and a highest value.
	RectangularKind
	// ExponentialKind has a mean.
	ExponentialKind
	// EmpiricalKind has measured values.
	EmpiricalKind
)

var distributionNames = []string{"unknown", "normal", "lognormal", "triangular", "rectangular", "exponential", "empirical"}

// Distribution says how often a quantity has which value. The unit is that of the
// caller's margin function, SI for a setup. Fields that do not belong to the kind must
// be zero.
type Distribution struct {
	Kind DistributionKind `json:"kind"`
	// Mean is the mean of a normal, lognormal or exponential quantity.
	Mean float64 `json:"mean" zero:"value"`
	// SD is the standard deviation of a normal or lognormal quantity.
	SD float64 `json:"sd,omitzero"`
	// Low and High are the ends of a triangular or rectangular distribution.
	Low  float64 `json:"low" zero:"value"`
	High float64 `json:"high" zero:"value"`
	// Mode is the most likely value of a triangular distribution, from Low to High.
	Mode float64 `json:"mode" zero:"value"`
	// Values are the measurements of an empirical distribution, in any order, at least
	// two. Between neighbors in size it is linear; none lies beyond the least and the
	// greatest.
	Values []float64 `json:"values,omitempty"`
}

// Normal returns a normal distribution; sd > 0.
func Normal(mean, sd float64) Distribution {
	return Distribution{Kind: NormalKind, Mean: mean, SD: sd}
}

// Lognormal returns the distribution of a positive quantity whose logarithm is normal.
// The mean and the standard deviation are those of the quantity itself; both are
// positive.
func Lognormal(mean, sd float64) Distribution {
	return Distribution{Kind: LognormalKind, Mean: mean, SD: sd}
}

// Triangular returns a triangular distribution; low <= mode <= high and low < high.
func Triangular(low, mode, high float64) Distribution {
	return Distribution{Kind: TriangularKind, Low: low, Mode: mode, High: high}
}

// Rectangular returns a distribution that has every value between its ends equally
// often; low < high. A marked ballast weight that the law allows to be 5 % off is
// Rectangular(0.95 m, 1.05 m).
func Rectangular(low, high float64) Distribution {
	return Distribution{Kind: RectangularKind, Low: low, High: high}
}

// Exponential returns an exponential distribution from zero up; mean > 0.
func Exponential(mean float64) Distribution {
	return Distribution{Kind: ExponentialKind, Mean: mean}
}

// Empirical returns the distribution of measured values, at least two of them
// different.
func Empirical(values ...float64) Distribution {
	return Distribution{Kind: EmpiricalKind, Values: values}
}

// maxValue is the greatest number that a distribution may hold, and a variable with it.
const maxValue = 1e100

func finite(v float64) bool { return math.Abs(v) <= maxValue }

// Validate reports every bad field at once. The errors wrap [units.ErrInvalid].
func (d Distribution) Validate() error {
	var e units.FieldErrors
	number := func(path string, v float64, used bool) {
		switch {
		case !used && v != 0:
			e.Add(path, v, "must be left out for this kind of distribution")
		case !finite(v):
			e.Add(path, v, "must be a number, at most 1e100 in size")
		}
	}
	positive := func(path string, v float64) {
		if finite(v) && !(v > 0) {
			e.Add(path, v, "must be positive")
		}
	}
	k := d.Kind
	if k == DistributionUnknown || int(k) >= len(distributionNames) {
		e.Add("kind", k, "must be a kind of distribution")
		return e.Err()
	}
	number("mean", d.Mean, k == NormalKind || k == LognormalKind || k == ExponentialKind)
	number("sd", d.SD, k == NormalKind || k == LognormalKind)
	bounded := k == TriangularKind || k == RectangularKind
	number("low", d.Low, bounded)
	number("high", d.High, bounded)
	number("mode", d.Mode, k == TriangularKind)
	switch k {
	case NormalKind:
		positive("sd", d.SD)
	case LognormalKind:
		positive("mean", d.Mean)
		positive("sd", d.SD)
	case ExponentialKind:
		positive("mean", d.Mean)
	case TriangularKind, RectangularKind:
		if finite(d.Low) && finite(d.High) && !(d.Low < d.High) {
			e.Add("high", d.High, "must be greater than the low end")
		} else if k == TriangularKind && finite(d.Mode) && !(d.Low <= d.Mode && d.Mode <= d.High) {
			e.Add("mode", d.Mode, "must lie between the low end and the high end")
		}
	}
	d.validateValues(&e)
	return e.Err()
}

func (d Distribution) validateValues(e *units.FieldErrors) {
	if d.Kind != EmpiricalKind {
		if len(d.Values) != 0 {
			e.Add("values", len(d.Values), "must be left out for this kind of distribution")
		}
		return
	}
	for i, v := range d.Values {
		if !finite(v) {
			e.Add("values["+itoa(i)+"]", v, "must be a number, at most 1e100 in size")
		}
	}
	if e.Len() == 0 && (len(d.Values) < 2 || slices.Min(d.Values) == slices.Max(d.Values)) {
		e.Add("values", len(d.Values), "must hold at least two different numbers")
	}
}

// A marginal turns a standard normal score into a value of one variable. The score z
// stands for the share of the population below it, so that a correlation of scores
// carries over to variables of any distribution.
type marginal func(z float64) float64

// marginal returns the transformation x = F^-1(Phi(z)). Each tail is computed from its
// own side, so that scores far out keep their digits (TestQuantilesAgainstSciPy).
func (d Distribution) marginal() marginal {
	switch d.Kind {
	case NormalKind:
		return func(z float64) float64 { return d.Mean + float64(d.SD*z) }
	case LognormalKind:
		// variance of ln x = ln(1 + (sd/mean)^2), mean of ln x = ln(mean) - variance/2
		variance := math.Log1p((d.SD / d.Mean) * (d.SD / d.Mean))
		mu, sigma := math.Log(d.Mean)-variance/2, math.Sqrt(variance)
		return func(z float64) float64 { return math.Exp(mu + float64(sigma*z)) }
	case TriangularKind:
		width := d.High - d.Low
		cut := (d.Mode - d.Low) / width
		return func(z float64) float64 {
			if p := below(z); p < cut {
				return d.Low + math.Sqrt(p*width*(d.Mode-d.Low))
			}
			return d.High - math.Sqrt(below(-z)*width*(d.High-d.Mode))
		}
	case RectangularKind:
		return func(z float64) float64 {
			if z < 0 {
				return d.Low + float64(below(z)*(d.High-d.Low))
			}
			return d.High - float64(below(-z)*(d.High-d.Low))
		}
	case ExponentialKind:
		return func(z float64) float64 {
			if z < 0 {
				return -d.Mean * math.Log1p(-below(z))
			}
			return -d.Mean * math.Log(below(-z))
		}
	}
	sorted := slices.Clone(d.Values)
	slices.Sort(sorted)
	return func(z float64) float64 { return between(sorted, below(z)) }
}

// between returns the share p of sorted values, the i-th of n of which stands for the
// share (i + 1/2)/n.
func between(sorted []float64, p float64) float64 {
	n := len(sorted)
	at := p*float64(n) - 0.5
	i := int(math.Floor(at))
	switch {
	case i < 0:
		return sorted[0]
	case i >= n-1:
		return sorted[n-1]
	}
	return sorted[i] + float64((at-float64(i))*(sorted[i+1]-sorted[i]))
}

// below returns the share of the standard normal distribution below z.
func below(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }
