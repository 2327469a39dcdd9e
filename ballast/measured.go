package ballast

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/units"
)

// Measured is a quantity and how well it is known. Zero SD means that nobody
// said how well, which is an error wherever a Measured is asked for: no tape
// and no brochure is exact.
type Measured[Q units.Quantity] struct {
	// Value is what was read.
	Value Q `json:"value"`
	// SD is the standard uncertainty of Value: one standard deviation of what
	// the error may be, at most a fifth of the greatest Value that is
	// accepted. A tolerance that is a hard limit, all values within it being
	// equally likely, has an SD of the limit over the square root of 3 (JCGM
	// 100:2008, 4.3.7).
	SD Q `json:"sd"`
}

// Estimate is a computed quantity with its standard error and its interval.
type Estimate[Q units.Quantity] struct {
	// Value is the best estimate.
	Value Q `json:"value"`
	// SD is its standard error.
	SD Q `json:"sd"`
	// Interval holds the true value with the stated probability, if the
	// stated standard deviations are true and the errors are normal.
	Interval units.Interval[Q] `json:"interval"`
}

func estimate[Q units.Quantity](v, sd, level float64) Estimate[Q] {
	z := numeric.NormalQuantile(level)
	return Estimate[Q]{Q(v), Q(sd), units.Interval[Q]{Low: Q(v - z*sd), High: Q(v + z*sd), Level: level}}
}

// DefaultConfidence is the probability of an interval where none is asked
// for.
const DefaultConfidence = 0.95

// Scale is what is known of a weighbridge or of wheel pads. Readings are in
// mass: a scale shows kilograms although it feels newtons.
type Scale struct {
	// SD is the standard deviation of one reading taken twice under the same
	// wheel: roll the machine off and on again. Must be given, 0.01 to
	// 500 kg.
	SD units.Mass `json:"sd"`
	// Division is the step of the display, whose rounding adds a variance of
	// Division^2/12, 1 g to 500 kg. Zero means that SD includes the rounding.
	Division units.Mass `json:"division,omitempty" zero:"value"`
	// ZeroSD is how well the scale's zero is known, an error common to all
	// readings of a session, 1 g to 500 kg. Zero means that it was set before
	// the session.
	ZeroSD units.Mass `json:"zeroSD,omitempty" zero:"value"`
	// GainSD is how well the scale's gain is known, as a share of the
	// reading, common to all readings, up to 0.1. Zero means verified: a scale
	// that in truth reads 3 % high then gives a tipping load 3 % too high, and
	// no reading can show it.
	GainSD units.Fraction `json:"gainSD,omitempty" zero:"value"`
	// Capacity is the greatest mass that the scale shows, 10 kg to 100 t.
	// Zero means unknown: a scale that has reached its end is then recognized
	// only by readings that stay equal while the load changes.
	Capacity units.Mass `json:"capacity,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (s Scale) Validate() error {
	var c checker
	given(&c, "sd", s.SD, 0.01, 500, "must be given: the spread of one reading taken again and again, such as 5 kg")
	zeroOr(&c, "division", s.Division, 1e-3, 500)
	zeroOr(&c, "zeroSD", s.ZeroSD, 1e-3, 500)
	zeroOr(&c, "gainSD", s.GainSD, 1e-6, 0.1)
	zeroOr(&c, "capacity", s.Capacity, 10, maxMass)
	return c.Err()
}

// reading returns the standard deviation of one reading, rounding included.
func (s Scale) reading() float64 {
	return math.Hypot(float64(s.SD), float64(s.Division)/math.Sqrt(12))
}

func (c *checker) confidence(path string, level float64) {
	if level != 0 && !(level >= 0.5 && level <= 0.999) {
		c.Add(path, level, "must be left out for 0.95 or be between 0.5 and 0.999")
	}
}

func confidence(level float64) float64 {
	if level == 0 {
		return DefaultConfidence
	}
	return level
}

// measured records an error unless the value lies in the range and its SD was
// given and is at most a fifth of the range's upper end.
func measured[Q units.Quantity](c *checker, path string, m Measured[Q], low, high Q) {
	within(c, path+".value", m.Value, low, high)
	given(c, path+".sd", m.SD, 1e-6, high/5, "must be given: how well the value is known, as a standard deviation")
}

// weighRow is one linearized observation: y = jac . d, where d is how far the
// unknowns are from the point of linearization.
type weighRow struct {
	jac   []float64
	y, sd float64
}

// solveRows solves the observations with one prior (mean and sd, relative to
// the point of linearization) for each unknown; an sd of 0 means no prior.
// extra, if not nil, has one number for each row, the column of one more
// unknown without prior.
func solveRows(rows []weighRow, mean, sd, extra []float64) (d, cov []float64, chi2 float64, ok bool) {
	n := len(mean)
	if extra != nil {
		n++
	}
	m := numeric.NewNormal(n)
	row := make([]float64, n)
	for i, r := range rows {
		copy(row, r.jac)
		if extra != nil {
			row[n-1] = extra[i]
		}
		m.Add(row, r.y, r.sd)
	}
	for i := range mean {
		if sd[i] > 0 {
			m.Prior(i, mean[i], sd[i])
		}
	}
	return m.Solve()
}

// extraUnknown returns the value of one more unknown with the column extra
// and its standard deviation. The sum of squares falls by (value/sd)^2.
func extraUnknown(rows []weighRow, mean, sd, extra []float64) (value, dev float64, ok bool) {
	d, cov, _, ok := solveRows(rows, mean, sd, extra)
	if !ok {
		return 0, 0, false
	}
	n := len(d)
	return d[n-1], math.Sqrt(cov[n*n-1]), true
}
