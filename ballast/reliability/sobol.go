package reliability

import (
	"context"
	"math"
	"slices"
	"strings"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Indices are the Sobol indices of one variable, or of a whole track, for one limit's
// margin.
type Indices struct {
	Limit string `json:"limit"`
	// Variable is its name; that of a track is the name of its first column, and that of
	// correlated variables their names joined by " + ".
	Variable string `json:"variable"`
	// First is the share of the margin's variance that knowing the variable alone would
	// take away, and Total the share that is left while only it is not known. Estimates
	// of small indices may lie a little outside 0 to 1.
	First float64 `json:"first"`
	Total float64 `json:"total"`
	// FirstInterval and TotalInterval hold the indices in 95 % of seeds, by Student's
	// distribution over parts of the sample.
	FirstInterval units.Interval[units.Fraction] `json:"firstInterval"`
	TotalInterval units.Interval[units.Fraction] `json:"totalInterval"`
}

// sobolParts is into how many parts a sample is divided for the intervals.
const sobolParts = 16

// Sobol returns the indices of every limit and variable from n draws, a multiple of 16
// from 160 to 1e8, which cost n times the number of groups and tracks plus two. With A and B
// two independent samples and AB_i the first with variable i of the second, first is
// mean(g(B) (g(AB_i) - g(A)))/var and total mean((g(A) - g(AB_i))^2)/(2 var) (A. Saltelli
// et al., Variance based sensitivity analysis of model output, Computer Physics
// Communications 181, 2010; TestSobolIndices). They are defined for what is independent: variables that
// correlations tie together, directly or through others, are one group with one pair of
// indices (TestSobolGroups). When the context ends the
// error wraps its cause.
func (s *Study) Sobol(ctx context.Context, n int, seed uint64) ([]Indices, error) {
	var e units.FieldErrors
	if n < 10*sobolParts || n > 1e8 || n%sobolParts != 0 {
		e.Add("n", n, "must be a multiple of 16, from 160 to 100000000")
	}
	if err := e.Err(); err != nil {
		return nil, err
	}
	s.begin(ctx)
	r := random(seed, streamSobol)
	limits, groups := len(s.names), s.groups()
	sums := make([]sobolSums, sobolParts)
	a, b := make([]float64, s.dim), make([]float64, s.dim)
	ga, gb := make([]float64, limits), make([]float64, limits)
	// A number taken off all margins leaves the mean as it is and the noise small.
	middle := slices.Clone(s.margins(a))
	for k, m := range middle {
		if math.Abs(m) == maxValue {
			middle[k] = 0
		}
	}
	for part := range sums {
		sums[part] = newSobolSums(limits, len(groups))
		for range n / sobolParts {
			draw(r, a)
			draw(r, b)
			copy(ga, s.margins(a))
			copy(gb, s.margins(b))
			sums[part].outputs(ga, gb)
			for v, group := range groups {
				for _, i := range group {
					a[i], b[i] = b[i], a[i]
				}
				sums[part].variable(v, ga, gb, s.margins(a), middle)
				for _, i := range group {
					a[i], b[i] = b[i], a[i]
				}
			}
			if s.stop {
				return nil, valid.Ended(ctx, "reliability: indices")
			}
		}
		if s.err != nil {
			return nil, s.err
		}
	}
	return s.indices(sums, groups), nil
}

// sobolSums are the sums of one part of a sample, each by limit and variable.
type sobolSums struct {
	n             float64
	mean, square  []float64
	first, change [][]float64
}

func newSobolSums(limits, dim int) sobolSums {
	out := sobolSums{mean: make([]float64, limits), square: make([]float64, limits)}
	for range limits {
		out.first = append(out.first, make([]float64, dim))
		out.change = append(out.change, make([]float64, dim))
	}
	return out
}

func (o *sobolSums) outputs(ga, gb []float64) {
	o.n += 2
	for k := range ga {
		o.mean[k] += ga[k] + gb[k]
		o.square[k] += ga[k]*ga[k] + gb[k]*gb[k]
	}
}

func (o *sobolSums) variable(v int, ga, gb, gab, middle []float64) {
	for k := range ga {
		o.first[k][v] += (gb[k] - middle[k]) * (gab[k] - ga[k])
		o.change[k][v] += (ga[k] - gab[k]) * (ga[k] - gab[k])
	}
}

func (s *Study) indices(sums []sobolSums, groups [][]int) []Indices {
	var out []Indices
	for k, limit := range s.names {
		var mean, square, m float64
		for _, p := range sums {
			mean += p.mean[k]
			square += p.square[k]
			m += p.n
		}
		variance := square/m - (mean/m)*(mean/m)
		for v, group := range groups {
			var first, total []float64
			for _, p := range sums {
				first = append(first, share(p.first[k][v]/(p.n/2), variance))
				total = append(total, share(p.change[k][v]/p.n, variance))
			}
			i := Indices{Limit: limit, Variable: s.groupName(group)}
			i.First, i.FirstInterval = spreadOf(first)
			i.Total, i.TotalInterval = spreadOf(total)
			out = append(out, i)
		}
	}
	return out
}

// share returns a share of a variance, zero of none.
func share(part, variance float64) float64 {
	if !(variance > 0) {
		return 0
	}
	return part / variance
}

// groups returns the coordinates that only go together: a variable by itself, the
// variables that correlations tie, or a track.
func (s *Study) groups() [][]int {
	of := make([]int, s.dim)
	for i := range of {
		of[i] = i
	}
	for i, row := range s.lower {
		for j, v := range row[:i] {
			if from, to := of[i], of[j]; v != 0 && from != to {
				for l := range of {
					if of[l] == from {
						of[l] = to
					}
				}
			}
		}
	}
	var out [][]int
	place := map[int]int{}
	for i, g := range of {
		at, ok := place[g]
		if !ok {
			at = len(out)
			place[g] = at
			out = append(out, nil)
		}
		out[at] = append(out[at], i)
	}
	return out
}

func (s *Study) groupName(group []int) string {
	names := make([]string, len(group))
	for i, v := range group {
		names[i] = s.coordinate(v)
	}
	return strings.Join(names, " + ")
}

// coordinate names an independent coordinate.
func (s *Study) coordinate(v int) string {
	if v < len(s.p.Variables) {
		return s.p.Variables[v].Name
	}
	return s.p.Tracks[v-len(s.p.Variables)].Names[0]
}

// spreadOf returns the mean of independent values with its interval.
func spreadOf(values []float64) (float64, units.Interval[units.Fraction]) {
	var first, second float64
	for _, v := range values {
		first += v
	}
	n := float64(len(values))
	mean := first / n
	for _, v := range values {
		second += (v - mean) * (v - mean)
	}
	half := student(len(values)-1) * math.Sqrt(second/(n-1)/n)
	return mean, units.Interval[units.Fraction]{Low: units.Fraction(mean - half), High: units.Fraction(mean + half), Level: level}
}
