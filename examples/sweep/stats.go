package main

import (
	"fmt"
	"math"
	"slices"
	"sort"
)

// rankedRows is the number of rows for the rank correlations. A larger sweep is
// represented by that many of its rows, picked at random by its seed.
const rankedRows = 1 << 16

// jackknifeGroups is the number of groups into which the blocks of a saltelli plan are
// divided to estimate the scatter of its indices.
const jackknifeGroups = 20

// moments holds count, mean and sum of squared deviations of numbers.
type moments struct{ n, mean, m2 float64 }

func (m *moments) add(x float64) {
	m.n++
	d := x - m.mean
	m.mean += d / m.n
	m.m2 += float64(d * (x - m.mean))
}

// merge adds the numbers that o summarizes (Chan, Golub and LeVeque 1979).
func (m *moments) merge(o moments) {
	if o.n == 0 {
		return
	}
	n, d := m.n+o.n, o.mean-m.mean
	m.m2 += o.m2 + float64(d*d*(m.n*o.n/n))
	m.mean += float64(d * (o.n / n))
	m.n = n
}

func (m moments) variance() float64 {
	if m.n < 2 {
		return math.NaN()
	}
	return m.m2 / (m.n - 1)
}

// comoments is moments for the covariance of pairs.
type comoments struct{ n, mx, my, c float64 }

func (m *comoments) add(x, y float64) {
	m.n++
	dx := x - m.mx
	m.mx += dx / m.n
	m.my += (y - m.my) / m.n
	m.c += float64(dx * (y - m.my))
}

func (m *comoments) merge(o comoments) {
	if o.n == 0 {
		return
	}
	n, dx, dy := m.n+o.n, o.mx-m.mx, o.my-m.my
	m.c += o.c + float64(dx*dy*(m.n*o.n/n))
	m.mx += float64(dx * (o.n / n))
	m.my += float64(dy * (o.n / n))
	m.n = n
}

// effect collects the sums for the indices of one factor on one output.
type effect struct {
	// with is the pairs f(B), f(AB_i) - f(A); its covariance is the variance
	// of the first-order effect (Saltelli et al. 2010, table 2 (b)).
	with comoments
	// square is the sum of (f(A) - f(AB_i))^2, half of whose mean is the
	// variance of the total effect (Jansen 1999,
	// doi:10.1016/S0010-4655(98)00154-4).
	square float64
}

func (e *effect) merge(o effect) {
	e.with.merge(o.with)
	e.square += o.square
}

// sobolGroup collects the sums of one group of blocks for one output.
type sobolGroup struct {
	both    moments // f(A) and f(B)
	effects []effect
}

func (g *sobolGroup) merge(o *sobolGroup) {
	g.both.merge(o.both)
	for i := range g.effects {
		g.effects[i].merge(o.effects[i])
	}
}

// stats holds the statistics of some rows for the summary. Parts are merged in the order
// of their rows, so that the sums are the same for any number of workers.
type stats struct {
	job     *job
	rows    int64
	refused int64
	reasons []string // the first few, with their rows
	outputs []outputStats
	sample  []float64 // rows of the sample, one after the other, all columns
	pick    *order    // nil: every row is in the sample
	block   []float64 // the outputs of the block that is being read
	members int64
}

type outputStats struct {
	moments
	min, max float64
	counts   []int64 // of an output that is a text
	groups   []sobolGroup
}

// maxReasons is the number of refusals that a summary quotes.
const maxReasons = 3

func (j *job) newStats() *stats {
	s := &stats{job: j, outputs: make([]outputStats, len(j.outputs))}
	saltelli := j.plan.kind == planSaltelli
	for i, o := range j.outputs {
		s.outputs[i].min, s.outputs[i].max = math.Inf(1), math.Inf(-1)
		if o.text != nil {
			s.outputs[i].counts = make([]int64, len(o.text))
			continue
		}
		if saltelli {
			s.outputs[i].groups = make([]sobolGroup, jackknifeGroups)
			for g := range s.outputs[i].groups {
				s.outputs[i].groups[g].effects = make([]effect, len(j.factors))
			}
		}
	}
	if saltelli {
		s.block = make([]float64, int(j.plan.block())*len(j.outputs))
	}
	// Only rows of A are drawn from the factors' distributions independently
	// of each other; in other plans every row is.
	if n := j.plan.rows / j.plan.block(); n > rankedRows {
		o := newOrder(n, j.plan.seed, streamSample, 0)
		s.pick = &o
	}
	return s
}

// add adds a row; the rows of a block come one after the other.
func (s *stats) add(row int64, cells []float64, refused refusal) {
	s.rows++
	k := len(s.job.factors)
	y := cells[k:]
	if refused.is() {
		s.refused++
		if len(s.reasons) < maxReasons {
			s.reasons = append(s.reasons, fmt.Sprintf("row %d: %v", row, refused))
		}
	}
	for i, v := range y {
		if math.IsNaN(v) {
			continue
		}
		o := &s.outputs[i]
		if o.counts != nil {
			o.counts[int(v)]++
			o.n++
			continue
		}
		o.add(v)
		o.min, o.max = math.Min(o.min, v), math.Max(o.max, v)
	}
	size := s.job.plan.block()
	block, j := row/size, row%size
	if j == 0 && (s.pick == nil || s.pick.at(block) < rankedRows) {
		s.sample = append(s.sample, cells...)
	}
	if s.block == nil {
		return
	}
	copy(s.block[int(j)*len(y):], y)
	if s.members++; j == size-1 {
		if s.members == size {
			s.addBlock(block)
		}
		s.members = 0
	}
}

func (s *stats) addBlock(block int64) {
	m := len(s.outputs)
	for i := range s.outputs {
		if s.outputs[i].groups == nil {
			continue
		}
		whole := true
		for j := i; j < len(s.block); j += m {
			whole = whole && !math.IsNaN(s.block[j])
		}
		if !whole {
			continue
		}
		g := &s.outputs[i].groups[block%jackknifeGroups]
		a, b := s.block[i], s.block[m+i]
		g.both.add(a)
		g.both.add(b)
		for f := range g.effects {
			ab := s.block[(f+2)*m+i]
			g.effects[f].with.add(b, ab-a)
			g.effects[f].square += float64((a - ab) * (a - ab))
		}
	}
}

// merge adds the part that follows.
func (s *stats) merge(o *stats) {
	s.rows += o.rows
	s.refused += o.refused
	for _, r := range o.reasons {
		if len(s.reasons) < maxReasons {
			s.reasons = append(s.reasons, r)
		}
	}
	s.sample = append(s.sample, o.sample...)
	for i := range s.outputs {
		a, b := &s.outputs[i], &o.outputs[i]
		if a.counts != nil {
			a.n += b.n
		} else {
			a.moments.merge(b.moments)
		}
		a.min, a.max = math.Min(a.min, b.min), math.Max(a.max, b.max)
		for c := range a.counts {
			a.counts[c] += b.counts[c]
		}
		for g := range a.groups {
			a.groups[g].merge(&b.groups[g])
		}
	}
}

// An estimate is an index with its standard error.
type estimate struct{ value, se float64 }

// sobol returns the first-order and the total Sobol index of each factor on
// an output, or nil if the plan was not made for them or the output does not
// vary. The standard errors are those of the delete-a-group jackknife.
func (o *outputStats) sobol() (first, total []estimate) {
	if o.groups == nil {
		return nil, nil
	}
	k := len(o.groups[0].effects)
	all := func(without int) *sobolGroup {
		sum := &sobolGroup{effects: make([]effect, k)}
		for g := range o.groups {
			if g != without {
				sum.merge(&o.groups[g])
			}
		}
		return sum
	}
	indices := func(g *sobolGroup, f int) (first, total float64) {
		v := g.both.m2 / g.both.n
		e := g.effects[f]
		return e.with.c / e.with.n / v, e.square / (2 * e.with.n) / v
	}
	whole := all(-1)
	if !(whole.both.m2 > 0) {
		return nil, nil
	}
	first, total = make([]estimate, k), make([]estimate, k)
	var parts []*sobolGroup
	for g := range o.groups {
		if p := all(g); p.both.m2 > 0 && o.groups[g].both.n > 0 {
			parts = append(parts, p)
		}
	}
	n := float64(len(parts))
	for f := range k {
		var a, b moments
		for _, p := range parts {
			x, y := indices(p, f)
			a.add(x)
			b.add(y)
		}
		first[f].value, total[f].value = indices(whole, f)
		first[f].se, total[f].se = math.Sqrt((n-1)/n*a.m2), math.Sqrt((n-1)/n*b.m2)
	}
	return first, total
}

// rankCorrelation returns Spearman's rank correlation of the pairs in which both are
// numbers. Ties share their mean rank. It is NaN if one side does not vary.
func rankCorrelation(x, y []float64) float64 {
	var a, b []float64
	for i := range x {
		if !math.IsNaN(x[i]) && !math.IsNaN(y[i]) {
			a, b = append(a, x[i]), append(b, y[i])
		}
	}
	var c comoments
	var va, vb moments
	ra, rb := ranks(a), ranks(b)
	for i := range ra {
		c.add(ra[i], rb[i])
		va.add(ra[i])
		vb.add(rb[i])
	}
	if va.m2 == 0 || vb.m2 == 0 {
		return math.NaN()
	}
	return c.c / math.Sqrt(va.m2*vb.m2)
}

func ranks(x []float64) []float64 {
	at := make([]int, len(x))
	for i := range at {
		at[i] = i
	}
	sort.Slice(at, func(i, j int) bool { return x[at[i]] < x[at[j]] })
	r := make([]float64, len(x))
	for i := 0; i < len(at); {
		j := i
		for j < len(at) && x[at[j]] == x[at[i]] {
			j++
		}
		for _, p := range at[i:j] {
			r[p] = float64(i+j-1) / 2
		}
		i = j
	}
	return r
}

// sampled returns a column of the sample.
func (s *stats) sampled(column int) []float64 {
	n := len(s.job.columns)
	out := make([]float64, 0, len(s.sample)/n)
	for i := column; i < len(s.sample); i += n {
		out = append(out, s.sample[i])
	}
	return out
}

// quantiles returns, for each share, the value below which that share of the numbers in
// x lies.
func quantiles(x []float64, shares ...float64) []float64 {
	x = slices.DeleteFunc(slices.Clone(x), math.IsNaN)
	slices.Sort(x)
	out := make([]float64, len(shares))
	for i, p := range shares {
		if len(x) == 0 {
			out[i] = math.NaN()
			continue
		}
		at := p * float64(len(x)-1)
		lo := int(at)
		hi := min(lo+1, len(x)-1)
		out[i] = x[lo] + float64((at-float64(lo))*(x[hi]-x[lo]))
	}
	return out
}
