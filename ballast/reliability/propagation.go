package reliability

import (
	"context"
	"math"
	"slices"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Linear is the spread of one limit's margin by the law of propagation of uncertainty.
type Linear struct {
	Limit string `json:"limit"`
	// Value is the margin where every variable has its mean.
	Value float64 `json:"value"`
	// SD is its standard deviation.
	SD float64 `json:"sd"`
	// Parts holds for each variable and each column of a track what its spread alone
	// would make of it: sensitivity times standard deviation, with the sign of the
	// sensitivity.
	Parts []float64 `json:"parts"`
	// Correlation holds the correlation of this margin with that of each limit; zero
	// where one of both has no spread.
	Correlation []float64 `json:"correlation"`
}

// Linear returns the spread of every margin by the law of propagation of uncertainty,
// u^2 = sum over i and j of c_i c_j u_i u_j r_ij (JCGM 100:2008, 5.2.2; TestGUM), with
// sensitivities c by central differences over a thousandth of each standard deviation.
// The coefficients of a correlation count as they are, which is exact for normal
// variables. Trips are an error that wraps [units.ErrInvalid]. When the context ends the
// error wraps its cause.
func (s *Study) Linear(ctx context.Context) ([]Linear, error) {
	for i, t := range s.p.Tracks {
		if len(t.Trips) > 0 {
			return nil, units.NewFieldError("tracks["+itoa(i)+"].trips", len(t.Trips), "must be left out: a trip has no mean to propagate from")
		}
	}
	s.begin(ctx)
	means, sds, r := s.moments()
	m := len(means)
	at := append(slices.Clone(means), make([]float64, len(s.p.Ranges))...)
	margins := func() []float64 {
		g := make([]float64, len(s.names))
		s.ask(slices.Clone(at), g)
		return g
	}
	out := make([]Linear, len(s.names))
	for k, g := range margins() {
		out[k] = Linear{Limit: s.names[k], Value: g, Parts: make([]float64, m), Correlation: make([]float64, len(out))}
	}
	for i := range means {
		h := sds[i] / 1000
		if h == 0 || s.stop {
			continue
		}
		at[i] = means[i] + h
		up := margins()
		at[i] = means[i] - h
		for k, down := range margins() {
			out[k].Parts[i] = (up[k] - down) / (2 * h) * sds[i]
		}
		at[i] = means[i]
	}
	covariance := func(a, b []float64) float64 {
		sum := 0.0
		for i := range a {
			for j := range b {
				sum += a[i] * b[j] * r(i, j)
			}
		}
		return sum
	}
	for k := range out {
		out[k].SD = math.Sqrt(max(0, covariance(out[k].Parts, out[k].Parts)))
	}
	for k := range out {
		for l := range out {
			if both := out[k].SD * out[l].SD; both > 0 {
				out[k].Correlation[l] = max(-1, min(1, covariance(out[k].Parts, out[l].Parts)/both))
			}
		}
	}
	if s.err == nil && s.stop {
		return nil, valid.Ended(ctx, "reliability: propagation")
	}
	return out, s.err
}

// moments returns the means and standard deviations of the values, and their
// correlations.
func (s *Study) moments() (means, sds []float64, r func(i, j int) float64) {
	for _, v := range s.p.Variables {
		mean, sd := v.Distribution.moments()
		means, sds = append(means, mean), append(sds, sd)
	}
	n := len(means)
	type place struct{ track, column int }
	var places []place
	for i, t := range s.p.Tracks {
		for j := range t.Names {
			column := make([]float64, len(t.Rows))
			for k, row := range t.Rows {
				column[k] = row[j]
			}
			mean, sd := moments(column)
			means, sds, places = append(means, mean), append(sds, sd), append(places, place{i, j})
		}
	}
	return means, sds, func(i, j int) float64 {
		switch {
		case i == j:
			return 1
		case i < n && j < n:
			if s.lower == nil {
				return 0
			}
			k := min(i, j) + 1
			return dot(s.lower[i][:k], s.lower[j][:k])
		case i < n || j < n || places[i-n].track != places[j-n].track || sds[i] == 0 || sds[j] == 0:
			return 0
		}
		rows, sum := s.p.Tracks[places[i-n].track].Rows, 0.0
		for _, row := range rows {
			sum += (row[places[i-n].column] - means[i]) / sds[i] * (row[places[j-n].column] - means[j]) / sds[j]
		}
		return sum / float64(len(rows))
	}
}

// moments returns the mean and the standard deviation of a distribution
// (TestMoments).
func (d Distribution) moments() (mean, sd float64) {
	switch d.Kind {
	case TriangularKind:
		a, b, c := d.Low, d.High, d.Mode
		return (a + b + c) / 3, math.Sqrt(((b-a)*(b-a) + (c-a)*(c-b)) / 18)
	case RectangularKind:
		return (d.Low + d.High) / 2, (d.High - d.Low) / math.Sqrt(12)
	case ExponentialKind:
		return d.Mean, d.Mean
	case EmpiricalKind:
		return d.empirical()
	}
	return d.Mean, d.SD
}

// empirical integrates the piecewise linear quantile function: half a step at each end
// is flat, and each step between neighbors a and b counts (a + b)/2 and, squared,
// (a^2 + ab + b^2)/3.
func (d Distribution) empirical() (mean, sd float64) {
	v := slices.Clone(d.Values)
	slices.Sort(v)
	n := float64(len(v))
	middle, _ := moments(v)
	var first, second float64
	for i := range v {
		b := v[i] - middle
		if i == 0 || i == len(v)-1 {
			first += b / 2
			second += b * b / 2
		}
		if i > 0 {
			a := v[i-1] - middle
			first += (a + b) / 2
			second += (a*a + a*b + b*b) / 3
		}
	}
	first, second = first/n, second/n
	return middle + first, math.Sqrt(max(0, second-first*first))
}

// moments returns the mean and the standard deviation of the values themselves.
func moments(v []float64) (mean, sd float64) {
	for _, x := range v {
		mean += x / float64(len(v))
	}
	sum := 0.0
	for _, x := range v {
		sum += (x - mean) * (x - mean)
	}
	return mean, math.Sqrt(sum / float64(len(v)))
}

// Sampled is the spread of one limit's margin in draws.
type Sampled struct {
	Limit string `json:"limit"`
	// Mean and SD are the mean and the standard deviation of the draws.
	Mean float64 `json:"mean"`
	SD   float64 `json:"sd"`
	// Low and High leave out the least and the greatest 2.5 % of the draws.
	Low  float64 `json:"low"`
	High float64 `json:"high"`
	// ShortestLow and ShortestHigh are the ends of the shortest interval that holds
	// 95 % of the draws.
	ShortestLow  float64 `json:"shortestLow"`
	ShortestHigh float64 `json:"shortestHigh"`
	Notes        Notes   `json:"notes"`
}

// Propagate returns the spread of every margin in n draws, from 100 to 1e7, as JCGM
// 101:2008 does, with [NoteNotLinear] where [Study.Linear] gives another. It keeps the
// draws, 8 bytes for each and each limit. When the context ends the error
// wraps its cause.
func (s *Study) Propagate(ctx context.Context, n int, seed uint64) ([]Sampled, error) {
	if n < 100 || n > 1e7 {
		return nil, units.NewFieldError("n", n, "must be from 100 to 10000000")
	}
	linear, err := s.Linear(ctx)
	if err != nil {
		return nil, err
	}
	s.begin(ctx)
	r := random(seed, streamPropagate)
	u := make([]float64, s.dim)
	columns := make([][]float64, len(s.names))
	for k := range columns {
		columns[k] = make([]float64, n)
	}
	for i := range n {
		if s.stop {
			return nil, valid.Ended(ctx, "reliability: propagation")
		}
		draw(r, u)
		for k, g := range s.margins(u) {
			columns[k][i] = g
		}
		if s.err != nil {
			return nil, s.err
		}
	}
	out := make([]Sampled, len(columns))
	for k, v := range columns {
		slices.Sort(v)
		o := Sampled{Limit: s.names[k], Low: between(v, 0.5-level/2), High: between(v, 0.5+level/2)}
		o.Mean, o.SD = moments(v)
		o.ShortestLow, o.ShortestHigh = shortest(v)
		if l := linear[k]; math.Abs(l.SD-o.SD) > 0.1*o.SD || math.Abs(l.Value-o.Mean) > 0.1*o.SD {
			o.Notes |= NoteNotLinear
		}
		out[k] = o
	}
	return out, nil
}

// shortest returns the ends of the shortest interval that holds the share [level] of
// sorted values.
func shortest(v []float64) (low, high float64) {
	hold := int(level*float64(len(v)) + 0.5)
	best := 0
	for i := range len(v) - hold {
		if v[i+hold]-v[i] < v[best+hold]-v[best] {
			best = i
		}
	}
	return v[best], v[best+hold]
}
