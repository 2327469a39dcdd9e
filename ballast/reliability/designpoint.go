package reliability

import (
	"cmp"
	"context"
	"math"
	"slices"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// DesignPoint is the point of failure that is most likely to first order: the one
// nearest to the origin of independent standard normal coordinates.
type DesignPoint struct {
	// Limit is the name of the limit.
	Limit string `json:"limit"`
	// Units holds for each track the place of the trip, or of the row where there are no
	// trips, to which the point belongs; rows by themselves are counted from 0 too.
	Units []int `json:"units,omitempty"`
	// Distance is its distance from the origin, the reliability index. It is negative
	// if the limit is broken at the origin.
	Distance float64 `json:"distance"`
	// U holds its coordinates, the variables first and then the tracks, which stay zero.
	U []float64 `json:"u"`
	// X holds the values there, in the order of the margin function.
	X []float64 `json:"x"`
	// Importance holds for each variable the share that it has in the direction towards
	// failure, positive where more of it leads there and negative where less does. The
	// sizes sum to 1. It belongs to the scores of the variables, not to the coordinates
	// U, and is their direction where no variables are correlated (Der Kiureghian, First-
	// and second-order reliability methods, in Engineering Design Reliability Handbook,
	// 2005).
	Importance []float64 `json:"importance"`
}

// Probability returns the chance of failure to first order, Phi(-distance).
func (d DesignPoint) Probability() units.Fraction { return units.Fraction(below(-d.Distance)) }

// The iteration of first order ends when a step is shorter than stepEnd and the margin
// smaller than marginEnd of that at the start.
const (
	stepEnd      = 1e-9
	marginEnd    = 1e-10
	maxSteps     = 200
	differential = 1e-5
)

// DesignPoints returns the design points of a limit, the nearest first, those of them
// that the improved iteration of Hasofer, Lind, Rackwitz and Fiessler finds from the
// origin and from points of failure of a short sample (P.-L. Liu, A. Der Kiureghian,
// Optimization algorithms for structural reliability, Structural Safety 9, 1991). There
// may be others. None is found where the margin has no gradient. Where there are tracks
// each of their rows or trips has a point of its own, of at most 1000 that are drawn where
// there are more; those of the 32 most likely are returned. When the context ends the
// error wraps its cause.
func (s *Study) DesignPoints(ctx context.Context, limit string, seed uint64) ([]DesignPoint, error) {
	k, err := s.limit(limit)
	if err != nil {
		return nil, err
	}
	s.begin(ctx)
	e := newExplorer(s, k)
	r := random(seed, streamStarts)
	u := make([]float64, s.dim)
	for _, scale := range []float64{1, 2, 3, 4} {
		for range 500 {
			if draw(r, u); s.stop || s.err != nil {
				break
			}
			for i := range u {
				u[i] *= scale
			}
			g := s.margin(k, u)
			if s.err != nil && scale > 1 {
				s.err = nil // so far out there may be no margins
				continue
			}
			e.see(u, g)
		}
	}
	if s.err != nil {
		return nil, s.err
	}
	points, _ := s.designPoints(k, e.starts(), math.MaxInt)
	if s.stop {
		return nil, valid.Ended(ctx, "reliability: designPoints")
	}
	return points, s.err
}

// designPoints returns the points of first order and the chance that they speak for. It
// begins no further one once that many calls were made.
func (s *Study) designPoints(k int, starts [][]float64, most int) ([]DesignPoint, float64) {
	if len(s.p.Tracks) > 0 {
		return s.trackPoints(k, starts, most)
	}
	points := s.freePoints(k, starts, most)
	if len(points) == 0 {
		return nil, 0
	}
	return points, float64(points[0].Probability())
}

// freePoints returns the points that the iteration finds from the origin and from
// the starts, without repetition.
func (s *Study) freePoints(k int, starts [][]float64, most int) []DesignPoint {
	var out []DesignPoint
	origin := make([]float64, s.dim)
	sign, scale := 1.0, s.margin(k, origin)
	if scale < 0 {
		sign, scale = -1, -scale
	}
	for _, start := range append([][]float64{origin}, starts...) {
		if s.stop || s.calls > most {
			break
		}
		u, ok := s.descend(k, start, scale)
		if s.err != nil {
			s.err = nil // a step led to where there are no margins
			continue
		}
		if !ok || slices.ContainsFunc(out, func(d DesignPoint) bool { return gap(d.U, u) < 1e-3 }) {
			continue
		}
		out = append(out, s.designPoint(k, u, sign))
	}
	slices.SortStableFunc(out, func(a, b DesignPoint) int {
		return cmp.Compare(math.Abs(a.Distance), math.Abs(b.Distance))
	})
	return out
}

func (s *Study) designPoint(k int, u []float64, sign float64) DesignPoint {
	d := DesignPoint{Limit: s.names[k], Distance: sign * norm(u), U: u, X: slices.Clone(s.values(u))}
	grad := make([]float64, s.dim)
	s.gradient(k, u, grad)
	d.Importance = s.importance(grad)
	d.Units = slices.Clone(s.fixed)
	return d
}

// importance returns the shares of the variables in the direction of falling margin.
// With scores z = L u the direction -grad of u is that of (L')^-1 (-grad) in z, and each
// score has the standard deviation 1 (TestImportanceOfCorrelated).
func (s *Study) importance(grad []float64) []float64 {
	n := len(s.marginals)
	w := make([]float64, n)
	for i := range w {
		w[i] = -grad[i]
	}
	if s.lower != nil {
		for i := n - 1; i >= 0; i-- {
			for j := i + 1; j < n; j++ {
				w[i] -= s.lower[j][i] * w[j]
			}
			w[i] /= s.lower[i][i]
		}
	}
	sum := 0.0
	for _, v := range w {
		sum += v * v
	}
	for i, v := range w {
		if sum > 0 {
			w[i] = math.Copysign(v*v/sum, v)
		}
	}
	return w
}

// gradient writes the gradient of a margin by central differences.
func (s *Study) gradient(k int, u, grad []float64) {
	for i := range u {
		old, h := u[i], differential*max(1, math.Abs(u[i]))
		if i >= len(s.marginals) {
			grad[i] = 0 // along a track there is none
			continue
		}
		u[i] = old + h
		up := s.margin(k, u)
		u[i] = old - h
		grad[i] = (up - s.margin(k, u)) / (2 * h)
		u[i] = old
	}
}

// descend iterates from a start to a design point. Each step aims at the point of the
// tangent plane nearest to the origin and is halved until the merit |u|^2/2 + c |g|
// falls; c is kept greater than |u| over the length of the gradient. The margin counts
// as zero against its size at the origin, scale, or at the start.
func (s *Study) descend(k int, start []float64, scale float64) ([]float64, bool) {
	n := s.dim
	u, next, step, grad := slices.Clone(start), make([]float64, n), make([]float64, n), make([]float64, n)
	g := s.margin(k, u)
	if scale = max(scale, math.Abs(g)); scale == 0 {
		scale = 1
	}
	c, first, before := 0.0, 1.0, make([]float64, n)
	for range maxSteps {
		if s.stop {
			return nil, false
		}
		s.gradient(k, u, grad)
		square := dot(grad, grad)
		if s.err != nil || !(square > 0) || square > maxValue*maxValue {
			return nil, false
		}
		along := (dot(grad, u) - g) / square
		length := 0.0
		for i := range u {
			step[i] = along*grad[i] - u[i]
			length = max(length, math.Abs(step[i]))
		}
		if length < stepEnd*(1+norm(u)) && math.Abs(g) < marginEnd*scale+1e-300 || math.Abs(g) < 1e-13*scale && length < 1e-7 {
			return u, true
		}
		c = max(c, 2*norm(u)/math.Sqrt(square), math.Abs(g)/square)
		merit := dot(u, u)/2 + c*math.Abs(g)
		slope := dot(u, step) - c*math.Abs(g)
		// Steps that turn back on each other overshoot, as they do where the surface is
		// curved about the origin: they begin shorter.
		if dot(step, before) < 0 {
			first = max(1.0/64, first/2)
		} else {
			first = min(1, 1.5*first)
		}
		copy(before, step)
		size, found := first, false
		for range 40 {
			for i := range u {
				next[i] = u[i] + size*step[i]
			}
			gn := s.margin(k, next)
			if dot(next, next)/2+c*math.Abs(gn) <= merit+1e-4*size*min(0, slope)+1e-15*merit {
				copy(u, next)
				g, found = gn, true
				break
			}
			size /= 2
		}
		if !found {
			// Rounding hides any further progress: good enough if the step is tiny.
			return u, length < 1e-6*(1+norm(u)) && math.Abs(g) < 1e-6*scale
		}
	}
	return nil, false
}

// An explorer keeps the points of failure nearest to the origin in different
// directions, from which design points are looked for.
type explorer struct {
	s     *Study
	k     int
	found [][]float64
	fails [][]float64 // points of failure as often as they occur, of subset simulation
}

// keep offers the points of failure at the end of subset simulation, the worst first.
func (e *explorer) keep(fails []state) {
	for i := 0; i < len(fails); i += max(1, len(fails)/keptFails) {
		e.fails = append(e.fails, fails[i].u)
	}
}

// maxStarts is how many directions an explorer keeps, sameDirection the cosine above
// which two count as one, and keptFails about how many points of failure it keeps of each
// replicate of subset simulation.
const (
	maxStarts     = 8
	sameDirection = 0.8
	keptFails     = 200
)

func newExplorer(s *Study, k int) *explorer { return &explorer{s: s, k: k} }

// see offers a point with its margin.
func (e *explorer) see(u []float64, margin float64) {
	if !(margin < 0) {
		return
	}
	length := norm(u)
	for i, f := range e.found {
		if dot(f, u) < sameDirection*length*norm(f) {
			continue
		}
		if length < norm(f) {
			e.found[i] = slices.Clone(u)
		}
		return
	}
	if len(e.found) < maxStarts {
		e.found = append(e.found, slices.Clone(u))
		return
	}
	far := 0
	for i, f := range e.found {
		if norm(f) > norm(e.found[far]) {
			far = i
		}
	}
	if length < norm(e.found[far]) {
		e.found[far] = slices.Clone(u)
	}
}

// starts returns the kept points, each drawn towards the origin as far as it still
// fails, the nearest first.
func (e *explorer) starts() [][]float64 {
	out := make([][]float64, 0, len(e.found))
	for _, f := range e.found {
		in, fail := 0.0, 1.0
		u := make([]float64, len(f))
		for range 30 {
			if e.s.stop {
				break
			}
			mid := (in + fail) / 2
			for i := range u {
				u[i] = mid * f[i]
			}
			if e.s.margin(e.k, u) < 0 {
				fail = mid
			} else {
				in = mid
			}
		}
		for i := range u {
			u[i] = fail * f[i]
		}
		out = append(out, u)
	}
	slices.SortStableFunc(out, func(a, b []float64) int { return cmp.Compare(norm(a), norm(b)) })
	return out
}

func dot(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += float64(v * b[i])
	}
	return sum
}

func norm(a []float64) float64 { return math.Sqrt(dot(a, a)) }

func gap(a, b []float64) float64 {
	sum := 0.0
	for i, v := range a {
		sum += (v - b[i]) * (v - b[i])
	}
	return math.Sqrt(sum)
}
