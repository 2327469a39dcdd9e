package main

import (
	"math"
	"testing"
)

// unitFactors returns k factors that are uniform from 0 to 1.
func unitFactors(k int) []factor {
	f := make([]factor, k)
	for i := range f {
		f[i] = factor{name: string(rune('a' + i)), quantile: between(0, 1)}
	}
	return f
}

func mustPlan(t testing.TB, kind planKind, samples int64, seed uint64, levels []int64, k int) *plan {
	t.Helper()
	p, err := newPlan(kind, samples, seed, levels, k)
	if err != nil {
		t.Fatal(err)
	}
	return p
}

func TestGridHasEveryCombinationOnce(t *testing.T) {
	levels := []int64{2, 3, 4}
	factors := unitFactors(3)
	for i := range factors {
		factors[i].level = func(l int64) float64 { return float64(l) }
	}
	p := mustPlan(t, planGrid, 0, 0, levels, 3)
	if p.rows != 24 {
		t.Fatalf("%d rows", p.rows)
	}
	s, x, seen := p.sampler(), make([]float64, 3), map[[3]float64]bool{}
	for row := range p.rows {
		s.row(row, factors, x)
		seen[[3]float64(x)] = true
		if want := [3]float64{float64(row / 12), float64(row / 4 % 3), float64(row % 4)}; [3]float64(x) != want {
			t.Errorf("row %d: %v, want %v", row, x, want)
		}
	}
	if len(seen) != 24 {
		t.Errorf("%d combinations", len(seen))
	}
	if _, err := newPlan(planGrid, 0, 0, []int64{1 << 30, 1 << 30}, 2); err == nil {
		t.Error("a grid of 2^60 rows: no error")
	}
}

func TestLatinHypercubeHitsEveryShareOnce(t *testing.T) {
	const n, k = 1000, 5
	p := mustPlan(t, planLatin, n, 3, nil, k)
	s, x, factors := p.sampler(), make([]float64, k), unitFactors(k)
	seen := [k][n]bool{}
	for row := range p.rows {
		s.row(row, factors, x)
		for c, v := range x {
			share := int(v * n)
			if seen[c][share] {
				t.Fatalf("row %d: column %d: share %d again", row, c, share)
			}
			seen[c][share] = true
		}
	}
}

func TestSaltelliBlocks(t *testing.T) {
	const n, k = 100, 4
	p := mustPlan(t, planSaltelli, n, 3, nil, k)
	if p.rows != n*(k+2) {
		t.Fatalf("%d rows", p.rows)
	}
	s, factors := p.sampler(), unitFactors(k)
	rows := make([][k]float64, p.rows)
	for row := range p.rows {
		s.row(row, factors, rows[row][:])
	}
	for block := 0; block < len(rows); block += k + 2 {
		a, b := rows[block], rows[block+1]
		for f := range k {
			want := a
			want[f] = b[f]
			if rows[block+2+f] != want || a[f] == b[f] {
				t.Fatalf("block %d, factor %d: %v of %v and %v", block/(k+2), f, rows[block+2+f], a, b)
			}
		}
	}
}

// A row is the same whichever rows were computed before it.
func TestRowsStandAlone(t *testing.T) {
	for _, kind := range []planKind{planLatin, planRandom, planSaltelli} {
		p := mustPlan(t, kind, 500, 9, nil, 3)
		factors := unitFactors(3)
		forward, back := p.sampler(), p.sampler()
		want := make([][3]float64, p.rows)
		for row := range p.rows {
			forward.row(row, factors, want[row][:])
		}
		for row := p.rows - 1; row >= 0; row-- {
			var got [3]float64
			back.row(row, factors, got[:])
			if got != want[row] {
				t.Fatalf("%s: row %d: %v, then %v", kind, row, want[row], got)
			}
		}
		other := mustPlan(t, kind, 500, 10, nil, 3)
		var got [3]float64
		other.sampler().row(0, factors, got[:])
		if got == want[0] {
			t.Errorf("%s: another seed gives the same row", kind)
		}
	}
}

func TestRandomPlanIsUniform(t *testing.T) {
	p := mustPlan(t, planRandom, 40000, 5, nil, 6)
	s, x, factors := p.sampler(), make([]float64, 6), unitFactors(6)
	var m [6]moments
	for row := range p.rows {
		s.row(row, factors, x)
		for i, v := range x {
			m[i].add(v)
		}
	}
	for i := range m {
		// Five standard errors of the mean and the variance of the uniform
		// distribution.
		if math.Abs(m[i].mean-0.5) > 5*math.Sqrt(1.0/12/40000) || math.Abs(m[i].variance()-1.0/12) > 5*math.Sqrt(1.0/180/40000) {
			t.Errorf("column %d: mean %g, variance %g", i, m[i].mean, m[i].variance())
		}
	}
}
