package main

import (
	"math"
	"sort"
)

// A quantile turns a number u in (0, 1) into a value of a distribution: the share u of
// the population lies below it. All plans draw through it, so a Latin hypercube is one
// in every distribution.
type quantile func(u float64) float64

// between returns the uniform distribution.
func between(low, high float64) quantile {
	return func(u float64) float64 { return low + float64(u*(high-low)) }
}

// triangular returns the triangular distribution; low <= mode <= high and
// low < high.
func triangular(low, mode, high float64) quantile {
	cut := (mode - low) / (high - low)
	return func(u float64) float64 {
		if u < cut {
			return low + math.Sqrt(u*(high-low)*(mode-low))
		}
		return high - math.Sqrt((1-u)*(high-low)*(high-mode))
	}
}

// truncatedNormal returns the normal distribution cut off below low and above
// high, which may be infinite.
func truncatedNormal(mean, sd, low, high float64) quantile {
	a, b := (low-mean)/sd, (high-mean)/sd
	// In the upper tail the distribution function is 1 to machine precision long before
	// the tail ends, so the mirrored tail is used.
	sign := 1.0
	if a > 0 {
		a, b, sign = -b, -a, -1
	}
	pa, pb := normalBelow(a), normalBelow(b)
	return func(u float64) float64 {
		if sign < 0 {
			u = 1 - u
		}
		z := normalQuantile(pa + float64(u*(pb-pa)))
		x := mean + float64(sign*sd*z)
		return math.Max(low, math.Min(high, x))
	}
}

// truncatedLognormal returns the distribution whose logarithm is normal
// around log(median) with the standard deviation sigma, cut off below low and
// above high. The median is that before the cut.
func truncatedLognormal(median, sigma, low, high float64) quantile {
	q := truncatedNormal(math.Log(median), sigma, math.Log(low), math.Log(high))
	return func(u float64) float64 { return math.Max(low, math.Min(high, math.Exp(q(u)))) }
}

// choice returns indices in proportion to weights, or with equal shares if there are
// no weights.
func choice(n int, weights []float64) quantile {
	if weights == nil {
		return func(u float64) float64 { return math.Min(math.Floor(u*float64(n)), float64(n-1)) }
	}
	sums, sum := make([]float64, n), 0.0
	for i, w := range weights {
		sum += w
		sums[i] = sum
	}
	last := n - 1
	for last > 0 && weights[last] == 0 {
		last--
	}
	return func(u float64) float64 {
		i := sort.Search(n, func(i int) bool { return sums[i] > u*sum })
		return float64(min(i, last))
	}
}

// normalBelow returns the share of the standard normal distribution below z.
func normalBelow(z float64) float64 { return 0.5 * math.Erfc(-z/math.Sqrt2) }

// normalQuantile is the inverse of normalBelow.
func normalQuantile(p float64) float64 {
	if p < 1e-3 && p > 0 {
		// Erfinv(2p - 1) has lost the digits of a small p. Start from it and
		// let Newton's method on log(normalBelow) find them again.
		z := -math.Sqrt(-2 * math.Log(p))
		for range 50 {
			below := normalBelow(z)
			if below == 0 {
				return z
			}
			density := math.Exp(-z*z/2) / math.Sqrt(2*math.Pi)
			step := below / density * math.Log(below/p)
			z -= step
			if math.Abs(step) < 1e-14*math.Abs(z) {
				break
			}
		}
		return z
	}
	return math.Sqrt2 * math.Erfinv(2*p-1)
}
