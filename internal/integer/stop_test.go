package integer

import (
	"errors"
	"math/rand/v2"
	"slices"
	"testing"
)

// wideProblem has as many rows and variables as fit a second of work, and no
// solution that is easy to find.
func wideProblem() *Problem {
	r := rand.New(rand.NewPCG(5, 5))
	const n, m = 120, 400
	p := &Problem{Upper: make([]int64, n), Costs: [][]int64{make([]int64, n)}}
	for j := range n {
		p.Upper[j] = 1 + r.Int64N(20)
		p.Costs[0][j] = 1 + r.Int64N(1000)
	}
	for range m {
		row := Row{Coef: make([]int64, n)}
		for j := range n {
			row.Coef[j] = r.Int64N(1000) - 300
			row.Bound += row.Coef[j] * p.Upper[j] / 3
		}
		p.Rows = append(p.Rows, row)
	}
	return p
}

// A search asks whether to stop at its start and then in every few million
// multiplications, inside of a node too, and ends with the error that it is
// given and no answer.
func TestStop(t *testing.T) {
	p := wideProblem()
	asked := 0
	r, err := Solve(p, Options{Work: 60_000_000, Stop: func() error { asked++; return nil }})
	if err != nil || r.Work < 60_000_000 {
		t.Fatalf("%+v, %v", r, err)
	}
	if asked < 15 {
		t.Errorf("asked %d times in %d multiplications", asked, r.Work)
	}
	stop := errors.New("stop")
	for _, at := range []int{1, 2, 10, asked} {
		n := 0
		r, err := Solve(p, Options{Work: 60_000_000, Stop: func() error {
			if n++; n >= at {
				return stop
			}
			return nil
		}})
		if err != stop || n != at || r.X != nil || r.Status != Unknown {
			t.Errorf("stopped at %d: asked %d times, %+v, %v", at, n, r, err)
		}
	}
}

// The work limit holds inside of a node: beyond it goes what one step of the
// simplex method and the presolve cost, and the bound is still one.
func TestWorkLimitWithinNode(t *testing.T) {
	p := wideProblem()
	full, err := Solve(p, Options{Work: 80_000_000})
	if err != nil {
		t.Fatal(err)
	}
	for _, work := range []int64{1, 10_000_000, 15_000_000} {
		r, err := Solve(p, Options{Work: work})
		if err != nil || r.Work > work+25_000_000 || r.Status == Optimal || r.Bound > full.Bound {
			t.Errorf("work %d: %+v, %v; with more, bound %d", work, r, err, full.Bound)
		}
		if r.X != nil && !slices.ContainsFunc(r.X, func(v int64) bool { return v > 0 }) {
			t.Errorf("work %d: %+v", work, r)
		}
	}
}
