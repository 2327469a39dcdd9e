package main

import (
	"fmt"
	"math"
)

// planKind says how the variants are chosen from the values of the factors.
type planKind string

// The plans.
const (
	planGrid     planKind = "grid"            // every combination of the factors' levels
	planLatin    planKind = "latin-hypercube" // each of n equal shares of every factor once
	planRandom   planKind = "random"          // independent draws
	planSaltelli planKind = "saltelli"        // blocks of rows made for Sobol indices
)

// maxRows bounds a sweep, so that row numbers are exact in a float64.
const maxRows = 1 << 50

// A plan is a fixed table of variants that is computed row by row.
type plan struct {
	kind    planKind
	samples int64
	seed    uint64
	levels  []int64 // grid: how many levels each factor has
	factors int
	rows    int64
	// orders are the orders of the Latin hypercubes, one for each factor. A saltelli plan
	// has a second hypercube after the first.
	orders []order
}

// newPlan returns a plan over factors, of which a grid needs the levels.
func newPlan(kind planKind, samples int64, seed uint64, levels []int64, factors int) (*plan, error) {
	p := &plan{kind: kind, samples: samples, seed: seed, levels: levels, factors: factors}
	hypercubes := 0
	switch kind {
	case planGrid:
		p.rows = 1
		for _, n := range levels {
			if n < 1 || p.rows > maxRows/n {
				return nil, fmt.Errorf("the grid has more than %d rows", int64(maxRows))
			}
			p.rows *= n
		}
	case planLatin:
		p.rows, hypercubes = samples, 1
	case planRandom:
		p.rows = samples
	case planSaltelli:
		if samples > maxRows/int64(factors+2) {
			return nil, fmt.Errorf("the plan has more than %d rows", int64(maxRows))
		}
		p.rows, hypercubes = samples*p.block(), 2
	}
	for c := range hypercubes * factors {
		p.orders = append(p.orders, newOrder(samples, seed, streamOrder, uint64(c)))
	}
	return p, nil
}

// block returns the number of rows that belong together. In a saltelli plan a block is a
// row of matrix A, the same row of B, and for each factor the row of A with that factor's
// value from B (Saltelli et al., Comput. Phys. Commun. 181
// (2010) 259-270, doi:10.1016/j.cpc.2009.09.018).
func (p *plan) block() int64 {
	if p.kind == planSaltelli {
		return int64(p.factors) + 2
	}
	return 1
}

// A sampler computes rows of a plan. It belongs to one goroutine.
type sampler struct {
	*plan
	u, a, b []float64
	at      int64 // the block that a and b hold
}

func (p *plan) sampler() *sampler {
	return &sampler{plan: p, u: make([]float64, 2*p.factors), a: make([]float64, p.factors), b: make([]float64, p.factors), at: -1}
}

// row fills x with the values of the factors in a row.
func (s *sampler) row(row int64, factors []factor, x []float64) {
	switch s.kind {
	case planGrid:
		// The last factor changes fastest.
		for i := len(factors) - 1; i >= 0; i-- {
			n := s.levels[i]
			x[i] = factors[i].level(row % n)
			row /= n
		}
	case planRandom:
		uniform(s.u[:s.factors], s.seed, row)
		for i := range factors {
			x[i] = factors[i].quantile(s.u[i])
		}
	case planLatin:
		s.hypercubes(row, factors, x, nil)
	case planSaltelli:
		block, j := row/s.block(), row%s.block()
		if block != s.at {
			s.hypercubes(block, factors, s.a, s.b)
			s.at = block
		}
		switch {
		case j == 1:
			copy(x, s.b)
		default:
			copy(x, s.a)
			if j >= 2 {
				x[j-2] = s.b[j-2]
			}
		}
	}
}

// hypercubes fills a, and b unless it is nil, with row i of the first and the
// second Latin hypercube.
func (s *sampler) hypercubes(i int64, factors []factor, a, b []float64) {
	n := s.factors + len(b)
	uniform(s.u[:n], s.seed, i)
	for c := range n {
		u := (float64(s.orders[c].at(i)) + s.u[c]) / float64(s.samples)
		u = math.Min(u, 1-0x1p-53)
		if c < s.factors {
			a[c] = factors[c].quantile(u)
		} else {
			b[c-s.factors] = factors[c-s.factors].quantile(u)
		}
	}
}
