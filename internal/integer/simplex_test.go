package integer

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// At the end of the simplex method the point lies in the box and satisfies the
// rows, and its cost is what the multipliers prove to be the least there is
// (weak duality); or the multipliers prove that there is no point. Neither
// rests on how the method got there, be it from all slacks or, after the box
// moved, from the last basis.
func TestDual(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 32))
	empty, unproven, solved, flipped := 0, 0, 0, 0
	var pivots float64
	for k := range 600 {
		s, f := drawn(r, 3000)
		s.reset(f)
		if want := int64(2 * s.n * s.m); s.work != want {
			t.Fatalf("problem %d: work %d, setting up multiplies %d times", k, s.work, want)
		}
		for step := range 6 {
			if step == 5 {
				s.reset(f)
			} else if step > 0 {
				f.shrink(r)
				s.move(f)
			}
			before := slices.Clone(f.tab.basic)
			start := s.work
			status := s.dual(f)
			entered := 0
			for _, j := range f.tab.basic {
				if !slices.Contains(before, j) {
					entered++
				}
			}
			// A pivot goes through the tableau, the test after it through the
			// values.
			if got, least := s.work-start, s.m+entered*s.m*(s.n+1); got < int64(least) {
				t.Fatalf("problem %d.%d: work %d for %d pivots, at least %d", k, step, got, entered, least)
			}
			pivots += float64(s.work-start) / float64(s.m*(s.n+1))
			if status == lpInfeasible {
				empty++
				if got := s.lagrange(f, 0); !(got > -1e-9) {
					t.Fatalf("problem %d.%d: called empty, and the proof says %g", k, step, got)
				} else if !(got > 0) {
					unproven++ // by the last digits, and so no harm
				}
				continue
			}
			if status != lpOptimal {
				t.Fatalf("problem %d.%d: stuck", k, step)
			}
			solved++
			bound, cost, size := s.lp(t, f)
			for j, x := range s.x {
				if near := 1e-8 * (1 + math.Abs(x)); x < f.lo[j]-near || x > f.hi[j]+near {
					t.Fatalf("problem %d.%d: variable %d at %g, bounds %g to %g", k, step, j, x, f.lo[j], f.hi[j])
				}
			}
			if math.Abs(cost-bound) > 1e-9*size {
				t.Fatalf("problem %d.%d: cost %g of the point, bound %g of the multipliers", k, step, cost, bound)
			}
			for q, j := range f.tab.nonbasic {
				if f.tab.upper[q] && int(j) < s.n && f.lo[j] < f.hi[j] {
					flipped++
				}
			}
		}
	}
	t.Logf("%d empty, %d solved, %d at upper bounds, %.0f pivots", empty, solved, flipped, pivots)
	spent(t, "pivots", pivots, 1808)
	if unproven > 10 {
		t.Errorf("%d programs were called empty without a proof", unproven)
	}
	if empty < 300 || solved < 1000 || flipped < 300 {
		t.Errorf("the draw is lopsided: %d empty, %d solved, %d variables at upper bounds", empty, solved, flipped)
	}
}

// lp puts the point of the tableau in s.x, checks every row at it, and returns
// the bound of the multipliers, the cost of the point and the size of its
// terms.
func (s *search) lp(t *testing.T, f *frame) (bound, cost, size float64) {
	t.Helper()
	tab := f.tab
	slack := make([]float64, s.m)
	for k, j := range tab.nonbasic {
		if int(j) >= s.n {
			slack[int(j)-s.n] = 0
		} else if tab.upper[k] {
			s.x[j] = f.hi[j]
		} else {
			s.x[j] = f.lo[j]
		}
	}
	for i, j := range tab.basic {
		if int(j) >= s.n {
			slack[int(j)-s.n] = tab.value[i]
		} else {
			s.x[j] = tab.value[i]
		}
	}
	for i, b := range s.b {
		sum, terms := -b, math.Abs(b)
		for j, x := range s.x {
			sum += s.a[i*s.n+j] * x
			terms += math.Abs(s.a[i*s.n+j] * x)
		}
		if sum *= s.rowScale[i]; math.Abs(sum-slack[i]) > 1e-9*(1+terms*s.rowScale[i]) || sum < -1e-8 {
			t.Fatalf("row %d: its slack is %g, the tableau has %g", i, sum, slack[i])
		}
	}
	for j, x := range s.x {
		cost += s.c[j] * x
		size += math.Abs(s.c[j]) * f.hi[j]
	}
	s.duals(tab)
	return s.lagrange(f, 1), cost, 1 + size
}
