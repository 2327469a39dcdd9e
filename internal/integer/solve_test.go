package integer

import (
	"errors"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
)

// By hand: 7 units from pieces of 3 and of 5 need 8 at least, as 3+5; the
// tie-break decides among equals by the first variable.
func TestByHand(t *testing.T) {
	for _, c := range []struct {
		name string
		p    Problem
		want []int64
	}{
		{"cover", Problem{Upper: []int64{9, 9}, Costs: [][]int64{{3, 5}}, Rows: []Row{{[]int64{3, 5}, 7}}}, []int64{1, 1}},
		{"tie", Problem{Upper: []int64{1, 1}, Costs: [][]int64{{2, 2}}, Rows: []Row{{[]int64{1, 1}, 1}}}, []int64{1, 0}},
		{"second objective", Problem{Upper: []int64{1, 1}, Costs: [][]int64{{2, 2}, {9, 8}}, Rows: []Row{{[]int64{1, 1}, 1}}}, []int64{0, 1}},
		{"group", Problem{Upper: []int64{1, 1, 5}, Costs: [][]int64{{1, 1, 9}}, Rows: []Row{{[]int64{1, 1, 1}, 2}}, Groups: [][]int{{0, 1}}}, []int64{1, 0, 1}},
		// The second objective does not fold into the first, and is one less
		// for the other of two that are equal in that.
		{"one less", Problem{Upper: []int64{1, 1, 1}, Costs: [][]int64{{1 << 40, 1 << 40, 1}, {1<<40 + 1, 1 << 40, 1}}, Rows: []Row{{[]int64{1, 1, 0}, 1}}}, []int64{0, 1, 0}},
		{"one more", Problem{Upper: []int64{1, 1, 1}, Costs: [][]int64{{1 << 40, 1 << 40, 1}, {1 << 40, 1<<40 + 1, 1}}, Rows: []Row{{[]int64{1, 1, 0}, 1}}}, []int64{1, 0, 0}},
		{"free of cost", Problem{Upper: []int64{2, 3}, Costs: [][]int64{{0, 0}}}, []int64{2, 3}},
		{"no objective", Problem{Upper: []int64{2}}, []int64{2}},
		{"nothing", Problem{}, []int64{}},
		{"credit", Problem{Upper: []int64{4}, Costs: [][]int64{{-3}}, Rows: []Row{{[]int64{-2}, -5}}}, []int64{2}},
		{"infeasible", Problem{Upper: []int64{4}, Costs: [][]int64{{1}}, Rows: []Row{{[]int64{1}, 5}}}, nil},
		{"parity", Problem{Upper: []int64{9, 9}, Costs: [][]int64{{1, 1}}, Rows: []Row{{[]int64{2, 2}, 5}, {[]int64{-2, -2}, -5}}}, nil},
	} {
		r, err := Solve(&c.p, Options{})
		if err != nil || !slices.Equal(r.X, c.want) || (c.want == nil) != (r.Status == Infeasible) {
			t.Errorf("%s: %+v, %v; want %v", c.name, r, err, c.want)
		}
	}
}

// Objectives too wide to be folded into one are solved one after the other,
// with the same answer.
func TestManyObjectives(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for k := range 800 {
		p := random(r, 300)
		p.Costs = nil
		for range 4 {
			c := make([]int64, len(p.Upper))
			for j := range c {
				c[j] = r.Int64N(5) * (1e8 + r.Int64N(2))
				if k%2 == 0 {
					c[j] = 1e8*r.Int64N(2) + r.Int64N(2)
				}
			}
			p.Costs = append(p.Costs, c)
		}
		if p.check() != nil {
			continue
		}
		want, values := brute(p)
		got, err := Solve(p, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if (want == nil) != (got.Status == Infeasible) || want != nil && (!slices.Equal(got.X, want) || !slices.Equal(got.Values, values)) {
			t.Fatalf("problem %d: %+v, want %v %v\n%+v", k, got, want, values, p)
		}
	}
}

// Stopped early, the answer stays honest: what it calls a solution is one, and
// its bound is no more than the optimum.
func TestWorkLimit(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	stopped := 0
	for k := range 1500 {
		p := random(r, 3000)
		want, values := brute(p)
		got, err := Solve(p, Options{Work: 1 + r.Int64N(3000)})
		if err != nil {
			t.Fatal(err)
		}
		switch got.Status {
		case Optimal:
			if !slices.Equal(got.X, want) {
				t.Fatalf("problem %d: %+v, want %v", k, got, want)
			}
		case Infeasible:
			if want != nil {
				t.Fatalf("problem %d: %+v, want %v", k, got, want)
			}
		default:
			stopped++
			if (got.X != nil) != (got.Status == Feasible) || got.X != nil && !p.Satisfies(got.X) {
				t.Fatalf("problem %d: %+v is no solution", k, got)
			}
			if want != nil && len(values) > 0 && got.Bound > values[0] {
				t.Fatalf("problem %d: bound %d above the optimum %d", k, got.Bound, values[0])
			}
		}
	}
	if stopped < 100 {
		t.Errorf("only %d of the searches were stopped", stopped)
	}
}

// The least work limit stops at once; none, or less, is the default one.
// Without an objective the bound is zero even then.
func TestLeastWork(t *testing.T) {
	p := Problem{Upper: []int64{9, 9}, Costs: [][]int64{{3, 5}}, Rows: []Row{{[]int64{3, 5}, 7}}}
	for work, want := range map[int64]Status{1: Unknown, 0: Optimal, -1: Optimal, DefaultWork: Optimal} {
		r, err := Solve(&p, Options{Work: work})
		if err != nil || r.Status != want || r.Bound != 8 && r.Status == Optimal || r.Bound > 8 {
			t.Errorf("work %d: %+v, %v; want %v", work, r, err, want)
		}
	}
	p.Costs = nil
	if r, err := Solve(&p, Options{Work: 1}); err != nil || r.Status != Unknown || r.Bound != 0 {
		t.Errorf("no objective: %+v, %v", r, err)
	}
}

func TestMalformed(t *testing.T) {
	one := []int64{1}
	for _, p := range []Problem{
		{Upper: []int64{-1}},
		{Upper: []int64{MaxSum + 1}},
		{Upper: one, Costs: [][]int64{{1, 2}}},
		{Upper: one, Rows: []Row{{nil, 0}}},
		{Upper: one, Rows: []Row{{one, -1 << 63}}},
		{Upper: one, Rows: []Row{{[]int64{-1 << 63}, 0}}},
		{Upper: []int64{1 << 30}, Rows: []Row{{[]int64{1 << 30}, 0}}},
		{Upper: []int64{2}, Groups: [][]int{{0}}},
		{Upper: one, Groups: [][]int{{0, 0}}},
		{Upper: one, Groups: [][]int{{1}}},
		{Upper: one, Groups: [][]int{{-1}}},
		{Upper: make([]int64, MaxVariables+1)},
		{Rows: make([]Row, MaxRows+1)},
		{Costs: make([][]int64, MaxLevels+1)},
		// One beyond what is accepted below.
		{Upper: one, Rows: []Row{{[]int64{0}, MaxSum + 1}}},
		{Upper: one, Rows: []Row{{[]int64{0}, -MaxSum - 1}}},
		{Upper: []int64{0}, Rows: []Row{{[]int64{MaxSum + 1}, 0}}},
		{Upper: []int64{0}, Rows: []Row{{[]int64{-MaxSum - 1}, 0}}},
		{Upper: one, Rows: []Row{{one, MaxSum}}},
		{Upper: one, Rows: []Row{{one, -MaxSum}}},
		{Upper: []int64{1, 3}, Rows: []Row{{[]int64{-5, 7}, MaxSum - 25}}},
		{Upper: []int64{1, 3}, Rows: []Row{{[]int64{5, -7}, 25 - MaxSum}}},
		{Upper: []int64{1, MaxSum}, Costs: [][]int64{{1, 1}}},
	} {
		if _, err := Solve(&p, Options{}); !errors.Is(err, ErrProblem) {
			t.Errorf("%v: %v, want ErrProblem", p, err)
		}
	}
	for _, p := range []Problem{
		{Upper: make([]int64, MaxVariables)},
		{Rows: make([]Row, MaxRows)},
		{Costs: make([][]int64, MaxLevels)},
		{Upper: []int64{MaxSum}},
		{Upper: one, Rows: []Row{{[]int64{0}, MaxSum}}},
		{Upper: one, Rows: []Row{{[]int64{0}, -MaxSum}}},
		{Upper: one, Rows: []Row{{[]int64{MaxSum}, 0}}},
		{Upper: one, Rows: []Row{{[]int64{-MaxSum}, 0}}},
		{Upper: []int64{1, 3}, Rows: []Row{{[]int64{-5, 7}, MaxSum - 26}}},
		{Upper: []int64{1, 3}, Rows: []Row{{[]int64{5, -7}, 26 - MaxSum}}},
		{Upper: []int64{MaxSum}, Costs: [][]int64{{1}}},
		{Upper: []int64{1, 1}, Groups: [][]int{{0, 1}}},
	} {
		if err := p.check(); err != nil {
			t.Errorf("%v, want accepted", err)
		}
	}
}

// What the doc comment of a problem demands of a solution, and what breaks it.
func TestSatisfies(t *testing.T) {
	p := Problem{
		Upper:  []int64{3, 2, 1, 1, 1},
		Rows:   []Row{{[]int64{2, -1, 3, 0, 4}, 5}},
		Groups: [][]int{{2, 3}, {4}},
	}
	for _, c := range []struct {
		x    []int64
		want bool
	}{
		{[]int64{3, 1, 0, 0, 0}, true},
		{[]int64{3, 2, 0, 0, 0}, false}, // 6 - 2 < 5
		{[]int64{3, 2, 1, 0, 0}, true},
		{[]int64{3, 2, 0, 1, 1}, true}, // one of each group
		{[]int64{3, 2, 1, 1, 0}, false},
		{[]int64{4, 0, 0, 0, 0}, false},
		{[]int64{3, -1, 0, 0, 0}, false},
		{[]int64{3, 1, 0, 0}, false},
		{[]int64{3, 1, 0, 0, 0, 0}, false},
	} {
		if got := p.Satisfies(c.x); got != c.want {
			t.Errorf("%v: %v, want %v", c.x, got, c.want)
		}
	}
}

// Any problem is answered or refused; what is called optimal satisfies it.
func FuzzSolve(f *testing.F) {
	f.Add([]byte{3, 5, 5, 5, 1, 2, 3, 4, 5, 6, 7, 8}, uint8(2), uint8(1))
	f.Add([]byte{200, 1, 0, 255, 128, 7, 7, 7, 7, 7}, uint8(4), uint8(3))
	f.Fuzz(func(t *testing.T, data []byte, rows, levels uint8) {
		next := func() int64 {
			if len(data) == 0 {
				return 1
			}
			v := int64(int8(data[0]))
			data = data[1:]
			return v * v * v
		}
		n := 1 + len(data)%12
		p := Problem{Upper: make([]int64, n)}
		for j := range p.Upper {
			p.Upper[j] = next()
		}
		for range levels % 4 {
			c := make([]int64, n)
			for j := range c {
				c[j] = next() * next()
			}
			p.Costs = append(p.Costs, c)
		}
		for range rows % 12 {
			r := Row{Coef: make([]int64, n), Bound: next() * next()}
			for j := range r.Coef {
				r.Coef[j] = next()
			}
			p.Rows = append(p.Rows, r)
		}
		r, err := Solve(&p, Options{Work: 3e6})
		if err != nil {
			if !errors.Is(err, ErrProblem) {
				t.Fatal(err)
			}
			return
		}
		if r.X != nil && !p.Satisfies(r.X) {
			t.Fatalf("%+v is no solution of %+v", r, p)
		}
		if r.Status == Optimal && r.X == nil {
			t.Fatal("optimal without a solution")
		}
		again, _ := Solve(&p, Options{Work: 3e6})
		if fmt.Sprint(again) != fmt.Sprint(r) {
			t.Fatalf("%v, then %v", r, again)
		}
	})
}

// Asked for any solution, the search finds one exactly when there is one.
func TestAny(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for k := range 1000 {
		p := random(r, 3000)
		want, _ := brute(p)
		got, err := Solve(p, Options{Any: true})
		if err != nil {
			t.Fatal(err)
		}
		if (want == nil) != (got.Status == Infeasible) || want != nil && (got.Status != Feasible || !p.Satisfies(got.X)) {
			t.Fatalf("problem %d: %+v, want %v", k, got, want)
		}
	}
}

// The two parts of a split hold every solution of the box between them, and
// of the box only what the split says.
func TestSplit(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 14))
	groups := 0
	for k := range 1000 {
		s, f := drawn(r, 200)
		sp := split{j: r.IntN(s.n)}
		if len(s.groups) > 0 {
			sp = split{j: -1, group: r.IntN(len(s.groups))}
			sp.at = 1 + r.IntN(len(s.groups[sp.group])-1)
			groups++
		} else if f.lo[sp.j] == f.hi[sp.j] {
			continue
		} else {
			sp.bound = f.lo[sp.j] + float64(r.Int64N(int64(f.hi[sp.j]-f.lo[sp.j])))
		}
		s.reset(f)
		s.work = 0
		if s.child(0); s.work != int64(s.n*s.m)/4 {
			t.Fatalf("problem %d: work %d, copying %d numbers counts a quarter each", k, s.work, s.n*s.m)
		}
		var parts [2]*frame
		for up := range parts {
			g := *s.child(0)
			g.lo, g.hi = slices.Clone(g.lo), slices.Clone(g.hi)
			s.apply(sp, &g, up == 1)
			parts[up] = &g
		}
		within := func(x []float64, g *frame) bool {
			for j, v := range x {
				if v < g.lo[j] || v > g.hi[j] {
					return false
				}
			}
			return true
		}
		s.points(f, func(x []float64) {
			if !s.holds(x) || !s.grouped(x) {
				return
			}
			low, high := true, true // on the side of the split
			if sp.j >= 0 {
				low, high = x[sp.j] <= sp.bound, x[sp.j] > sp.bound
			} else {
				for p, j := range s.groups[sp.group] {
					low = low && (x[j] == 0 || p < sp.at)
					high = high && (x[j] == 0 || p >= sp.at)
				}
			}
			if got := within(x, parts[0]); got != low {
				t.Fatalf("problem %d, %+v: %v in the lower part: %v, want %v", k, sp, x, got, low)
			}
			if got := within(x, parts[1]); got != high {
				t.Fatalf("problem %d, %+v: %v in the upper part: %v, want %v", k, sp, x, got, high)
			}
		})
	}
	if groups < 50 {
		t.Errorf("only %d groups split", groups)
	}
}

// The largest problem that is accepted comes back within its work limit.
func TestLargest(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	p := Problem{Upper: make([]int64, MaxVariables), Costs: [][]int64{make([]int64, MaxVariables)}}
	for j := range p.Upper {
		p.Upper[j], p.Costs[0][j] = 1+r.Int64N(9), r.Int64N(1000)
	}
	for range MaxRows / 32 {
		row := Row{Coef: make([]int64, MaxVariables)}
		for j := range row.Coef {
			row.Coef[j] = r.Int64N(1000)
			row.Bound += row.Coef[j] * p.Upper[j] / 3
		}
		p.Rows = append(p.Rows, row)
	}
	got, err := Solve(&p, Options{Work: 30_000_000})
	if err != nil || got.Status != Feasible && got.Status != Unknown || got.X != nil && !p.Satisfies(got.X) || got.Work > 50_000_000 {
		t.Errorf("%v %v, work %d", got.Status, err, got.Work)
	}
}
