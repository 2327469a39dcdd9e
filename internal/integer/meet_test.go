package integer

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// grouped tells whether at most one variable of each group is not zero.
func (s *search) grouped(x []float64) bool {
	for _, g := range s.groups {
		count := 0.0
		for _, j := range g {
			count += x[j]
		}
		if count > 1 {
			return false
		}
	}
	return true
}

// A node finished by meeting in the middle leaves the best solution of its box
// within the limit, or, for the tie-break, the first one: by enumeration.
func TestMeet(t *testing.T) {
	r := rand.New(rand.NewPCG(51, 52))
	done, found, tried := 0, 0, 0
	for k := range 2000 {
		size := int64(1500)
		if k%60 == 0 {
			size = 20000
		}
		s, f := drawn(r, size)
		s.lex = r.IntN(2) == 0
		var costs []float64
		var points [][]float64
		s.points(f, func(x []float64) {
			if !s.holds(x) || !s.grouped(x) {
				return
			}
			cost := 0.0
			for j, c := range s.c {
				cost += c * x[j]
			}
			costs, points = append(costs, cost), append(points, slices.Clone(x))
		})
		s.reset(f)
		if !s.relax(f) || math.IsInf(s.last, 0) {
			continue
		}
		// A limit at a solution, or just below one.
		s.limit = math.Ceil(s.last) + float64(r.IntN(20))
		if len(costs) > 0 {
			low := slices.Min(costs)
			s.limit = low - 1 + float64(r.IntN(2))
			if r.IntN(2) == 0 {
				s.limit = min(costs[r.IntN(len(costs))], low+1000)
			}
		}
		var want []float64
		limit := s.limit
		for i, x := range points {
			if costs[i] <= limit && (want == nil || !s.lex) {
				want = x
				if !s.lex {
					limit = costs[i] - 1
				}
			}
		}
		tried++
		box := frame{lo: slices.Clone(f.lo), hi: slices.Clone(f.hi)}
		top, before := s.limit, s.work
		finished := s.meet(f)
		if na, nb := len(s.halves[0].list), len(s.halves[1].list); finished && na > 0 && nb > 0 {
			// Each choice was sorted in and passed twice, and added up unless
			// there was nothing to choose.
			least := int64((na + nb) * 32)
			for _, h := range s.halves {
				if len(h.items) > 0 {
					least += int64(len(h.list) * (s.m/2 + 4))
				}
			}
			if got := s.work - before; got < least {
				t.Fatalf("problem %d: work %d for %d and %d choices, at least %d", k, got, na, nb, least)
			}
		}
		if !finished {
			if s.found != nil {
				t.Fatalf("problem %d: given up, with a solution", k)
			}
			continue
		}
		done++
		if (want == nil) != (s.found == nil) {
			t.Fatalf("problem %d, limit %g: found %v, want %v\n%+v\n%+v", k, top, s.found, want, s.problem, box)
		}
		if want == nil {
			continue
		}
		found++
		cost, best := 0.0, 0.0
		for q, j := range s.index {
			v := float64(s.found[j])
			if v < f.lo[q] || v > f.hi[q] || s.lex && v != want[q] {
				t.Fatalf("problem %d, limit %g: found %v, want %v\n%+v", k, top, s.found, want, s.problem)
			}
			cost += s.c[q] * v
			best += s.c[q] * want[q]
		}
		if !s.problem.Satisfies(s.found) || cost != s.bestCost || !s.lex && cost != best {
			t.Fatalf("problem %d, limit %g: found %v of cost %g, want %v of cost %g\n%+v", k, top, s.found, cost, want, best, s.problem)
		}
	}
	if done < tried*97/100 || done < 1000 || found < 800 {
		t.Errorf("too few: %d of %d nodes finished, %d with a solution", done, tried, found)
	}
	t.Logf("%d of %d nodes finished, %d with a solution", done, tried, found)
}

// The remainder is what is left of a whole number of times.
func TestRemainder(t *testing.T) {
	for x := -12; x <= 12; x++ {
		for m := 1; m <= 5; m++ {
			got := remainder(float64(x), float64(m))
			if got < 0 || got >= float64(m) || math.Mod(float64(x)-got, float64(m)) != 0 {
				t.Errorf("%d modulo %d is %g", x, m, got)
			}
		}
	}
}
