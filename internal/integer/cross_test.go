package integer_test

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"sync"
	"testing"

	"example.com/steelyard/internal/crosscheck/plan/instances"
	"example.com/steelyard/internal/integer"
)

func problems(t testing.TB) []*integer.Problem {
	t.Helper()
	f, err := os.Open("../../testdata/plan/instances.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	ps, err := instances.Read(f)
	if err != nil {
		t.Fatal(err)
	}
	return ps
}

func lines(t testing.TB, name string) (out []string) {
	t.Helper()
	f, err := os.Open(name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	sc := bufio.NewScanner(f)
	for sc.Scan() {
		out = append(out, sc.Text())
	}
	if err := sc.Err(); err != nil {
		t.Fatal(err)
	}
	return out
}

var solved struct {
	sync.Once
	answers []integer.Result
}

// answers solves the problems once for all tests.
func answers(t testing.TB, ps []*integer.Problem) []integer.Result {
	t.Helper()
	solved.Do(func() {
		for _, p := range ps {
			r, err := integer.Solve(p, integer.Options{})
			if err != nil {
				t.Fatal(err)
			}
			solved.answers = append(solved.answers, r)
		}
	})
	return solved.answers
}

// A plan must not only be right but come soon: what the ballast problems take.
func TestEffort(t *testing.T) {
	nodes, work, orders := 0, int64(0), 0.0
	for _, r := range answers(t, problems(t)) {
		nodes += r.Nodes
		work += r.Work
		orders += math.Log2(float64(r.Work))
	}
	integer.Spent(t, "nodes", float64(nodes), 6641)
	integer.Spent(t, "work", float64(work), 209_537_000)
	integer.Spent(t, "geometric mean of the work", math.Exp2(orders/float64(len(solved.answers))), 400_250)
}

// The optima are those that GLPK 5.0 and CBC 2.10.8 found for the integer
// programs: least grams, then least cents at that mass. Exact: they are
// integers.
func solvers(t *testing.T) {
	ps := problems(t)
	if len(ps) < 200 {
		t.Fatalf("%d problems, want at least 200", len(ps))
	}
	got := make([]string, len(ps))
	for k, r := range answers(t, ps) {
		switch r.Status {
		case integer.Infeasible:
			got[k] = "infeasible,"
		case integer.Optimal:
			got[k] = fmt.Sprintf("%d,%d", r.Values[0], r.Values[1])
			if !ps[k].Satisfies(r.X) {
				t.Errorf("problem %d: the optimum breaks a row", k)
			}
		}
	}
	for _, name := range []string{"glpk", "cbc"} {
		want := lines(t, "../../testdata/plan/optima_"+name+".csv")
		if len(want) != len(ps) {
			t.Fatalf("%s: %d optima for %d problems", name, len(want), len(ps))
		}
		for k, w := range want {
			if got[k] != w {
				t.Errorf("problem %d: %q, %s has %s", k, got[k], name, w)
			}
		}
	}
}

func BenchmarkSolve(b *testing.B) {
	ps := problems(b)
	b.ReportAllocs()
	for i := 0; b.Loop(); i++ {
		if _, err := integer.Solve(ps[i%len(ps)], integer.Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
