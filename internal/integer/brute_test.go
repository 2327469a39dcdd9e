package integer

import (
	"math/rand/v2"
	"slices"
	"testing"
)

// brute enumerates every point: the definition of the problem, with no search
// to get wrong.
func brute(p *Problem) (best []int64, values []int64) {
	x := make([]int64, len(p.Upper))
	for {
		if p.Satisfies(x) {
			v := make([]int64, len(p.Costs))
			for k, c := range p.Costs {
				v[k] = dot(c, x)
			}
			if best == nil || slices.Compare(v, values) < 0 ||
				slices.Equal(v, values) && slices.Compare(x, best) > 0 {
				best, values = slices.Clone(x), v
			}
		}
		j := 0
		for ; j < len(x); j++ {
			if x[j] < p.Upper[j] {
				x[j]++
				break
			}
			x[j] = 0
		}
		if j == len(x) {
			return best, values
		}
	}
}

// random draws a small problem in which ties, redundant and contradictory
// rows are common.
func random(r *rand.Rand) *Problem {
	n := 1 + r.IntN(7)
	p := &Problem{Upper: make([]int64, n)}
	size := int64(1)
	for j := range p.Upper {
		u := r.Int64N(6)
		if size*(u+1) > 20000 {
			u = 0
		}
		size *= u + 1
		p.Upper[j] = u
	}
	if r.IntN(3) == 0 {
		// One variable is a mass in steps.
		j := r.IntN(n)
		p.Upper[j] = 25 + r.Int64N(max(1, 60000/size))
	}
	if r.IntN(2) == 0 {
		var g []int
		for j := range p.Upper {
			if p.Upper[j] <= 1 && r.IntN(2) == 0 {
				g = append(g, j)
			}
		}
		if len(g) > 1 {
			p.Groups = append(p.Groups, g[:len(g)/2], g[len(g)/2:])
		} else if len(g) > 0 {
			p.Groups = append(p.Groups, g)
		}
	}
	big := []int64{4, 30, 1000, 1e6, 1e9, 1e11}
	for range r.IntN(4) {
		c := make([]int64, n)
		lim := big[r.IntN(len(big)-1)]
		for j := range c {
			c[j] = r.Int64N(lim + 1)
			if r.IntN(8) == 0 {
				c[j] = -c[j]
			}
			if lim > 30 && r.IntN(2) == 0 {
				c[j] = c[j] / 100 * 100
			}
		}
		p.Costs = append(p.Costs, c)
	}
	for range r.IntN(7) {
		a := make([]int64, n)
		lim := big[r.IntN(len(big))]
		var lo, hi int64
		for j := range a {
			a[j] = r.Int64N(2*lim+1) - lim
			if r.IntN(3) == 0 && a[j] < 0 {
				a[j] = -a[j]
			}
			if r.IntN(4) == 0 {
				a[j] = 0
			}
			if a[j] > 0 {
				hi += a[j] * p.Upper[j]
			} else {
				lo += a[j] * p.Upper[j]
			}
		}
		p.Rows = append(p.Rows, Row{Coef: a, Bound: lo + r.Int64N(hi-lo+2)*7/8})
	}
	return p
}

// Branch and bound alone finds the same: neither half leans on the other.
func TestBranchAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	for k := range 1500 {
		p := random(r)
		want, _ := brute(p)
		if err := p.check(); err != nil {
			t.Fatal(err)
		}
		got := solve(p, &budget{left: DefaultWork, alone: true})
		if (want == nil) != (got.Status == Infeasible) || want != nil && (got.Status != Optimal || !slices.Equal(got.X, want)) {
			t.Fatalf("problem %d: %v %v, want %v\n%+v", k, got.Status, got.X, want, p)
		}
	}
}

// The definition itself is the source of the expected values: enumeration of
// every point gives the same optimum with the same tie-break.
func TestBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var infeasible, optimal int
	for k := range 4000 {
		p := random(r)
		want, values := brute(p)
		got, err := Solve(p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if want == nil {
			infeasible++
			if got.Status != Infeasible || got.X != nil {
				t.Fatalf("problem %d: %v %v, want infeasible\n%+v", k, got.Status, got.X, p)
			}
			continue
		}
		optimal++
		if got.Status != Optimal || !slices.Equal(got.X, want) || !slices.Equal(got.Values, values) {
			t.Fatalf("problem %d: %v %v %v, want %v %v\n%+v", k, got.Status, got.X, got.Values, want, values, p)
		}
	}
	t.Logf("%d optimal, %d infeasible", optimal, infeasible)
	if infeasible < 300 || optimal < 3000 {
		t.Errorf("the draw is lopsided: %d infeasible, %d optimal", infeasible, optimal)
	}
}
