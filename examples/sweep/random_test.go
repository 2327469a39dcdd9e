package main

import (
	"encoding/json"
	"math"
	"os"
	"strconv"
	"testing"
)

// reference is testdata/reference.json, which internal/crosscheck/sweep/
// reference.py makes with NumPy and SciPy.
type reference struct {
	Philox []struct{ Key, Counter, Words []string }
	// Quantiles are those of scipy.stats distributions.
	Quantiles []struct {
		Kind       string
		Args, U, X []float64
	}
	// Ranks are by scipy.stats.spearmanr.
	Ranks []struct {
		X, Y []float64
		Rho  float64
	}
	// Ishigami is the closed form of Ishigami and Homma (1990).
	Ishigami struct {
		A, B, Variance float64
		First, Total   []float64
	}
}

func readReference(t *testing.T) reference {
	t.Helper()
	data, err := os.ReadFile("testdata/reference.json")
	if err != nil {
		t.Fatal(err)
	}
	var r reference
	if err := json.Unmarshal(data, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

func TestPhiloxAgreesWithNumPy(t *testing.T) {
	word := func(s string) uint64 {
		v, err := strconv.ParseUint(s, 10, 64)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, c := range readReference(t).Philox {
		var key [2]uint64
		var counter, want [4]uint64
		for i := range key {
			key[i] = word(c.Key[i])
		}
		for i := range counter {
			counter[i], want[i] = word(c.Counter[i]), word(c.Words[i])
		}
		if got := philox(key, counter); got != want {
			t.Errorf("key %v, counter %v: got %v, want %v", key, counter, got, want)
		}
	}
}

func TestUnitStaysInside(t *testing.T) {
	if lo, hi := unit(0), unit(math.MaxUint64); !(lo > 0 && hi < 1) {
		t.Errorf("unit reaches from %g to %g", lo, hi)
	}
}

func TestOrderHoldsEveryNumberOnce(t *testing.T) {
	for _, n := range []int64{1, 2, 3, 5, 16, 17, 1000, 4096, 4097, 100000} {
		o := newOrder(n, 7, streamOrder, 0)
		seen := make([]bool, n)
		for i := range n {
			j := o.at(i)
			if j < 0 || j >= n || seen[j] {
				t.Fatalf("n = %d: place %d holds %d", n, i, j)
			}
			seen[j] = true
		}
	}
}

// A sum of 64 squared ranks' differences would be far off for orders that
// follow each other; rank correlation of independent orders of n numbers has
// the standard deviation 1/sqrt(n - 1).
func TestOrdersAreIndependent(t *testing.T) {
	const n, columns = 4096, 6
	x := make([][]float64, columns+1)
	for c := range x {
		o := newOrder(n, 1, streamOrder, uint64(c))
		for i := range int64(n) {
			v := o.at(i)
			if c == columns { // the numbers in their order
				v = i
			}
			x[c] = append(x[c], float64(v))
		}
	}
	for a := range x {
		for b := range a {
			if r := rankCorrelation(x[a], x[b]); math.Abs(r) > 4/math.Sqrt(n-1) {
				t.Errorf("orders %d and %d: rank correlation %g", a, b, r)
			}
		}
	}
}

func TestQuantilesAgreeWithSciPy(t *testing.T) {
	for _, c := range readReference(t).Quantiles {
		a := c.Args
		q := map[string]func() quantile{
			"uniform":    func() quantile { return between(a[0], a[1]) },
			"triangular": func() quantile { return triangular(a[0], a[1], a[2]) },
			"normal":     func() quantile { return truncatedNormal(a[0], a[1], a[2], a[3]) },
			"lognormal":  func() quantile { return truncatedLognormal(a[0], a[1], a[2], a[3]) },
		}[c.Kind]()
		for i, u := range c.U {
			// SciPy's own truncated normal is good to some 1e-9 of its width.
			if got := q(u); math.Abs(got-c.X[i]) > 1e-8*math.Max(1, math.Abs(c.X[i])) {
				t.Errorf("%s %v at %g: got %.12g, want %.12g", c.Kind, a, u, got, c.X[i])
			}
		}
	}
}

func TestQuantilesRise(t *testing.T) {
	for name, q := range map[string]quantile{
		"uniform":     between(-1, 2),
		"triangular":  triangular(0, 1, 4),
		"normal":      truncatedNormal(0, 1, math.Inf(-1), math.Inf(1)),
		"upper tail":  truncatedNormal(0, 1, 7, 9),
		"lognormal":   truncatedLognormal(1, 2, 0, math.Inf(1)),
		"choice":      choice(5, nil),
		"weighed one": choice(4, []float64{1, 0, 2, 0}),
	} {
		last := math.Inf(-1)
		for i := range 100001 {
			v := q(math.Max(0x1p-54, math.Min(1-0x1p-53, float64(i)/100000)))
			if math.IsNaN(v) || math.IsInf(v, 0) || v < last {
				t.Fatalf("%s: %g after %g at %d", name, v, last, i)
			}
			last = v
		}
	}
}

func TestChoiceFollowsWeights(t *testing.T) {
	q, counts := choice(4, []float64{1, 0, 2, 1}), [4]int{}
	for i := range 4000 {
		counts[int(q((float64(i)+0.5)/4000))]++
	}
	if counts != [4]int{1000, 0, 2000, 1000} {
		t.Errorf("counts %v", counts)
	}
}
