package reliability

import (
	"math"

	"example.com/steelyard/units"
)

// Points of failure that weigh more than missedWeight times the heaviest draw are where no
// draws go; more than missedShare of them are too many.
const (
	missedShare  = 0.02
	missedWeight = 3
)

// centers returns the places around which importance sampling draws: the design points,
// or where none was found the nearest points of failure.
func (s *Study) centers(points []DesignPoint, starts [][]float64) [][]float64 {
	var out [][]float64
	for _, p := range points {
		if p.Distance > 0 || len(p.Units) > 0 {
			out = append(out, s.place(p))
		}
	}
	for _, start := range starts {
		near := false
		for _, c := range out {
			near = near || dot(c, start) > sameDirection*norm(c)*norm(start)
		}
		if !near {
			out = append(out, start)
		}
	}
	return out
}

// importanceSampling draws from a mixture of standard normal distributions moved to the
// centers c_j, each with a part w_j in proportion to Phi(-|c_j|). A draw that fails
// counts phi(u)/sum w_j phi(u - c_j) (R. E. Melchers, Importance sampling in structural
// systems, Structural Safety 6, 1989; TestValidation). It returns the relative
// standard error as well, at least 1 where that is not known: where a few draws decide, or
// where more than missedShare of the points of failure that subset simulation met weigh
// much more than any draw, so that the centers leave out a part of failure (TestManyRegions).
func (s *Study) importanceSampling(k int, b Budget, centers, fails [][]float64) (Chance, float64) {
	parts, sum := make([]float64, len(centers)), 0.0
	for j, c := range centers {
		parts[j] = max(below(-norm(c)), 1e-300)
		sum += parts[j]
	}
	for j := range parts {
		// A tenth is shared out evenly, so that no center starves.
		parts[j] = 0.9*parts[j]/sum + 0.1/float64(len(parts))
	}
	r := random(b.Seed, streamImportance)
	u := make([]float64, s.dim)
	var n, failed int
	var first, second, most float64
	spread, need := math.Inf(1), math.Inf(1)
	for float64(n) < need && s.calls+batch <= b.Calls && s.err == nil && !s.stop {
		for range batch {
			j, pick := 0, r.Float64()
			for j < len(parts)-1 && pick >= parts[j] {
				pick -= parts[j]
				j++
			}
			draw(r, u)
			for i := range u {
				u[i] += centers[j][i]
			}
			if s.stop {
				break
			}
			n++
			if s.margin(k, u) < 0 {
				w := weight(u, centers, parts)
				first += w
				second += w * w
				most = max(most, w)
				failed++
			}
		}
		spread = relativeError(first, second, n)
		// How many draws it takes is settled once: to stop where the error happens to look
		// small would make the intervals too narrow.
		if math.IsInf(need, 1) && n >= 3*batch && failed >= 300 {
			ratio := spread / float64(b.RelativeError)
			need = 1.1 * float64(n) * ratio * ratio
		}
	}
	if most > 0.02*first {
		spread = max(spread, 1)
	}
	missed := 0
	for _, u := range fails {
		missed += b2i(weight(u, centers, parts) > missedWeight*most)
	}
	if float64(missed) > missedShare*float64(len(fails)) {
		spread = max(spread, 1)
	}
	c := Chance{Limit: s.names[k], Method: ImportanceSampling}
	if n == 0 || first == 0 {
		return c, spread
	}
	p := first / float64(n)
	half := student(n-1) * spread * p
	c.Probability = units.Fraction(min(1, p))
	c.Interval = units.Interval[units.Fraction]{Low: units.Fraction(max(0, p-half)), High: units.Fraction(min(1, p+half)), Level: level}
	return c, spread
}

// weight returns phi(u)/sum w_j phi(u - c_j), where the exponents differ by
// u c_j - c_j^2/2.
func weight(u []float64, centers [][]float64, parts []float64) float64 {
	sum := 0.0
	for j, c := range centers {
		sum += parts[j] * math.Exp(dot(u, c)-dot(c, c)/2)
	}
	return 1 / sum
}

// relativeError returns the standard error of a mean over the mean, from the sum and
// the sum of squares of n terms.
func relativeError(first, second float64, n int) float64 {
	if first == 0 || n < 2 {
		return math.Inf(1)
	}
	m := float64(n)
	mean := first / m
	variance := max(0, second/m-mean*mean) / (m - 1)
	return math.Sqrt(variance) / mean
}
