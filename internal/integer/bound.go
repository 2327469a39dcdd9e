package integer

import "math"

// unit is twice the bound of the relative error of one rounded operation.
const unit = 0x1p-52

// lagrange takes multipliers y >= 0 of the scaled rows from s.y and computes,
// in the unscaled integers of the problem, the residual costs
//
//	r[j] = w c[j] - sum_i y[i] a[i][j]
//
// and a lower bound, over the box of f, of
//
//	w c x - sum_i y[i] (a[i] x - b[i]),
//
// which for w = 1 is a lower bound of c x over all solutions in the box, and for w = 0, if
// it is positive, a proof that there are none. Both are lowered by a bound on their
// rounding error, so that they hold for any rounding (Higham, Accuracy and Stability of
// Numerical Algorithms, 2nd ed., section 3.1: |error| <= k u sum|terms| for a sum of k
// rounded products, k u small). Each product of integers here is below 2^53 and exact.
// Only the multipliers are rounded, and any multipliers are valid. Held by TestLagrange.
func (s *search) lagrange(f *frame, w float64) float64 {
	n := s.n
	count := 2.0
	for j := range n {
		s.r[j] = float64(w * s.c[j])
		s.rerr[j] = math.Abs(s.r[j])
	}
	bound, size, wrong := 0.0, 0.0, 0.0
	for i, y := range s.y {
		if y == 0 {
			continue
		}
		count++
		if w == 0 {
			y *= s.rowScale[i]
		} else {
			y *= s.rowScale[i] / s.costScale
		}
		for j, a := range s.a[i*n : i*n+n] {
			p := float64(y * a)
			s.r[j] -= p
			s.rerr[j] += math.Abs(p)
		}
		p := float64(y * s.b[i])
		bound += p
		size += math.Abs(p)
	}
	s.work += int64(float64(n) * count)
	for j := range n {
		s.rerr[j] *= unit * count
		r := s.r[j]
		x := f.lo[j]
		if r < 0 {
			x = f.hi[j]
		}
		p := float64(r * x)
		bound += p
		size += math.Abs(p)
		wrong += float64(s.rerr[j] * f.hi[j])
	}
	bound -= wrong*(1+8*unit) + size*unit*(count+float64(n))
	if math.IsNaN(bound) {
		return math.Inf(-1)
	}
	return bound
}

// fix tightens the box of f by the residual costs of the last call of lagrange(f, 1). No
// solution that costs at most limit has a variable further from its bound than the slack
// allows. It reports whether the box changed.
func (s *search) fix(f *frame, lb, limit float64) bool {
	changed := false
	slack := limit - lb
	if !(slack >= 0) {
		return false
	}
	for j := range s.n {
		width := f.hi[j] - f.lo[j]
		if width == 0 {
			continue
		}
		r := math.Abs(s.r[j]) - s.rerr[j]
		if !(r*width > slack) {
			continue
		}
		k := math.Floor(slack / r * (1 + 8*unit))
		if !(k < width) {
			continue
		}
		if s.r[j] > 0 {
			f.hi[j] = f.lo[j] + k
		} else {
			f.lo[j] = f.hi[j] - k
		}
		changed = true
	}
	return changed
}

// propagate tightens the box by each row in turn until nothing changes, at
// most rounds times, and reports whether the box may still hold a solution.
// All its arithmetic is on integers below 2^53 and exact.
func (s *search) propagate(f *frame, rounds int) bool {
	n := s.n
	for range rounds {
		changed := false
		for i := range s.m {
			a := s.a[i*n : i*n+n]
			// This is the largest activity of the row less its bound.
			most := -s.b[i]
			for j, v := range a {
				if v > 0 {
					most += float64(v * f.hi[j])
				} else if v < 0 {
					most += float64(v * f.lo[j])
				}
			}
			if most < 0 {
				s.work += int64(n * (i + 1))
				return false
			}
			if most >= s.spread[i] {
				continue
			}
			for j, v := range a {
				width := f.hi[j] - f.lo[j]
				if v > 0 {
					if float64(v*width) > most {
						f.lo[j] = f.hi[j] - math.Floor(most/v)
						changed = true
					}
				} else if v < 0 {
					if float64(-v*width) > most {
						f.hi[j] = f.lo[j] + math.Floor(most/-v)
						changed = true
					}
				}
			}
		}
		s.work += int64(n * s.m)
		if !changed {
			break
		}
	}
	return true
}
