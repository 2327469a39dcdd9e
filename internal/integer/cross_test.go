package integer_test

import (
	"bufio"
	"fmt"
	"os"
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

// The optima are those that GLPK 5.0 found for all of the integer programs, and
// CBC 2.10.8 for the first 212 of them: least grams, then least cents at that
// mass. Exact: they are integers.
func solvers(t *testing.T) {
	ps := problems(t)
	if len(ps) < 200 {
		t.Fatalf("%d problems, want at least 200", len(ps))
	}
	for _, name := range []string{"glpk", "cbc"} {
		want := lines(t, "../../testdata/plan/optima_"+name+".csv")
		if len(want) < 200 || len(want) > len(ps) {
			t.Fatalf("%s: %d optima for %d problems", name, len(want), len(ps))
		}
		for k, p := range ps[:len(want)] {
			r, err := integer.Solve(p, integer.Options{})
			if err != nil {
				t.Fatal(err)
			}
			got := "infeasible,"
			if r.Status == integer.Optimal {
				got = fmt.Sprintf("%d,%d", r.Values[0], r.Values[1])
				if !p.Satisfies(r.X) {
					t.Errorf("problem %d: the optimum breaks a row", k)
				}
			}
			if got != want[k] {
				t.Errorf("problem %d: %v %s, %s has %s", k, r.Status, got, name, want[k])
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
