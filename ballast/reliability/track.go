package reliability

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// How many rows or trips are looked at for design points, and at how many of them points
// are looked for.
const (
	maxUnits       = 1000
	maxTrackPoints = 32
)

// trackUnit is what the tracks stand still at, with its part of the population.
type trackUnit struct {
	picked []int
	share  float64
	chance float64 // its part of the chance to first order, by the tangent at the means
	weight float64 // the density of what varies on that tangent
}

// trackUnits returns the combinations of rows or trips, or maxUnits of them drawn.
func (s *Study) trackUnits() []trackUnit {
	total := 1.0
	for _, t := range s.p.Tracks {
		total *= float64(t.units())
	}
	n := int(min(total, maxUnits))
	out := make([]trackUnit, n)
	r := random(0, streamTracks)
	for i := range out {
		picked, rest := make([]int, len(s.p.Tracks)), i
		for j, t := range s.p.Tracks {
			if total > maxUnits {
				picked[j] = r.IntN(t.units())
				continue
			}
			picked[j], rest = rest%t.units(), rest/t.units()
		}
		out[i] = trackUnit{picked: picked, share: 1 / float64(n)}
	}
	return out
}

// trackPoints returns the design points of the most likely rows or trips, and the chance
// to first order, the sum of share Phi(-distance) over all of them; where no point was
// looked for, the distance is that to the tangent plane at the origin (TestTrackPoints).
func (s *Study) trackPoints(k int, starts [][]float64, most int) ([]DesignPoint, float64) {
	n := len(s.marginals)
	if n == 0 {
		return nil, 0
	}
	defer func() { s.fixed = nil }()
	all := s.trackUnits()
	origin, grad := make([]float64, s.dim), make([]float64, s.dim)
	for i := range all {
		if s.stop || s.err != nil || s.calls > most {
			return nil, 0
		}
		s.fixed = all[i].picked
		g := s.margin(k, origin)
		s.gradient(k, origin, grad)
		switch length := norm(grad); {
		case length > 0:
			all[i].chance = all[i].share * below(-g/length)
			all[i].weight = math.Exp(-g / length * g / length / 2)
		case g < 0:
			all[i].chance = all[i].share
		}
	}
	slices.SortStableFunc(all, func(a, b trackUnit) int { return cmp.Compare(b.weight, a.weight) })
	near := make([][]float64, 0, len(starts))
	for _, start := range starts {
		u := slices.Clone(start)
		clear(u[n:])
		near = append(near, u)
	}
	var out []DesignPoint
	first := 0.0
	for i, t := range all {
		if i >= maxTrackPoints || s.stop || s.calls > most {
			first += t.chance
			continue
		}
		s.fixed = t.picked
		points := s.freePoints(k, near[:min(2, len(near))], most)
		if len(points) == 0 {
			first += t.chance
			continue
		}
		out = append(out, points[0])
		first += t.share * float64(points[0].Probability())
	}
	slices.SortStableFunc(out, func(a, b DesignPoint) int { return cmp.Compare(a.Distance, b.Distance) })
	if len(out) == 0 {
		first = 0
	}
	return out, min(1, first)
}

// place returns the coordinates of a design point, the tracks in the middle of its row or
// trip.
func (s *Study) place(d DesignPoint) []float64 {
	u := slices.Clone(d.U)
	for i, unit := range d.Units {
		n := float64(s.p.Tracks[i].units())
		u[len(s.marginals)+i] = distuv.UnitNormal.Quantile((float64(unit) + 0.5) / n)
	}
	return u
}
