package integer

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// brute enumerates every point: the definition of the problem, with no search
// to get wrong. It goes from the largest point to the smallest, so that the
// first of equals is the one that the tie-break asks for.
func brute(p *Problem) (best []int64, values []int64) {
	n := len(p.Upper)
	x := slices.Clone(p.Upper)
	v, acts := make([]int64, len(p.Costs)), make([]int64, len(p.Rows))
	add := func(j int, times int64) {
		x[j] += times
		for k, c := range p.Costs {
			v[k] += c[j] * times
		}
		for i, r := range p.Rows {
			acts[i] += r.Coef[j] * times
		}
	}
	for j, u := range p.Upper {
		x[j] = 0
		add(j, u)
	}
	for {
		ok := true
		for i, r := range p.Rows {
			ok = ok && acts[i] >= r.Bound
		}
		for _, g := range p.Groups {
			var count int64
			for _, j := range g {
				count += x[j]
			}
			ok = ok && count <= 1
		}
		if ok && (best == nil || slices.Compare(v, values) < 0) {
			best, values = slices.Clone(x), slices.Clone(v)
		}
		j := n - 1
		for ; j >= 0 && x[j] == 0; j-- {
			add(j, p.Upper[j])
		}
		if j < 0 {
			return best, values
		}
		add(j, -1)
	}
}

// random draws a problem of at most about so many points, in which ties,
// redundant and contradictory rows are common.
func random(r *rand.Rand, points int64) *Problem {
	n, most := 1+r.IntN(7), int64(5)
	if r.IntN(3) == 0 {
		n, most = 1+r.IntN(12), 1 // choices only
	}
	p := &Problem{Upper: make([]int64, n)}
	size := int64(1)
	for j := range p.Upper {
		u := r.Int64N(most + 1)
		if most == 1 && r.IntN(2) == 0 {
			u = 1
		}
		if size*(u+1) > points {
			u = 0
		}
		size *= u + 1
		p.Upper[j] = u
	}
	apart, against := -1, -1 // stands in no row; costs, and helps no row
	switch j := r.IntN(n); r.IntN(12) {
	case 0, 1, 2:
		// One variable is a mass in steps.
		p.Upper[j] = 25 + r.Int64N(max(1, 3*points/size))
		switch r.IntN(4) {
		case 0:
			apart = j
		case 1:
			against = j
		}
	case 3:
		// Two are.
		for k := range p.Upper {
			p.Upper[k] = min(p.Upper[k], 1)
		}
		p.Upper[j] = 25 + r.Int64N(9)
		p.Upper[r.IntN(n)] = 25 + r.Int64N(9)
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
		if apart >= 0 {
			c[apart] = r.Int64N(4)
		}
		if against >= 0 {
			c[against] = 4 + r.Int64N(12)
		}
		p.Costs = append(p.Costs, c)
	}
	for range r.IntN(7) {
		a := make([]int64, n)
		lim := big[r.IntN(len(big))]
		step := int64(1)
		if lim >= 1e9 && r.IntN(2) == 0 {
			step = lim / 4 // a linear program misses its bound by less than it sees
		}
		var lo, hi int64
		for j := range a {
			a[j] = r.Int64N(2*lim+1) - lim
			if r.IntN(3) == 0 && a[j] < 0 {
				a[j] = -a[j]
			}
			if r.IntN(4) == 0 || j == apart {
				a[j] = 0
			}
			if j == against {
				a[j] = -1 - r.Int64N(3)
			}
			a[j] = a[j] / step * step
			if a[j] > 0 {
				hi += a[j] * p.Upper[j]
			} else {
				lo += a[j] * p.Upper[j]
			}
		}
		bound := lo + r.Int64N(hi-lo+2)/8*7
		if step > 1 {
			bound = bound/step*step + r.Int64N(2)
		}
		p.Rows = append(p.Rows, Row{Coef: a, Bound: bound})
	}
	return p
}

// spent holds nodes or work to what they were when the search was last tuned,
// to half a percent. They are counts, which are the same on every processor,
// and the unit of the work limit: a second or two was measured for the default
// one. A search that needs more, or counts otherwise, finds the same, but has
// to be meant.
func spent(t *testing.T, what string, got, want float64) {
	t.Helper()
	if math.Abs(got-want) > want/200 {
		t.Errorf("%s: %.1f, was %.1f", what, got, want)
	}
}

// Branch and bound alone finds the same: neither half leans on the other.
func TestBranchAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	nodes, work := 0, int64(0)
	for k := range 1500 {
		p := random(r, 3000)
		want, _ := brute(p)
		if err := p.check(); err != nil {
			t.Fatal(err)
		}
		b := &budget{left: DefaultWork, alone: true}
		got := solve(p, b)
		nodes += b.nodes
		work += DefaultWork - b.left
		if (want == nil) != (got.Status == Infeasible) || want != nil && (got.Status != Optimal || !slices.Equal(got.X, want)) {
			t.Fatalf("problem %d: %v %v, want %v\n%+v", k, got.Status, got.X, want, p)
		}
	}
	spent(t, "nodes", float64(nodes), 5305)
	spent(t, "work", float64(work), 656_300)
}

// The definition itself is the source of the expected values: enumeration of
// every point gives the same optimum with the same tie-break.
func TestBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	var infeasible, optimal, nodes int
	orders := 0.0
	for k := range 2000 {
		p := random(r, 3000)
		want, values := brute(p)
		got, err := Solve(p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		nodes += got.Nodes
		orders += math.Log2(float64(got.Work))
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
		if len(values) > 0 && got.Bound != values[0] || len(values) == 0 && got.Bound != 0 {
			t.Fatalf("problem %d: bound %d, values %v", k, got.Bound, values)
		}
	}
	t.Logf("%d optimal, %d infeasible", optimal, infeasible)
	spent(t, "nodes", float64(nodes), 4514)
	spent(t, "geometric mean of the work", math.Exp2(orders/float64(optimal+infeasible)), 196.0)
	if infeasible < 300 || optimal < 1200 {
		t.Errorf("the draw is lopsided: %d infeasible, %d optimal", infeasible, optimal)
	}
}
