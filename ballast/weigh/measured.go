package weigh

import (
	"math"

	"example.com/steelyard/internal/fit"
	"example.com/steelyard/internal/valid"
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
	z := fit.NormalQuantile(level)
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
	var c units.FieldErrors
	valid.Given(&c, "sd", s.SD, 0.01, 500, "must be given: the spread of one reading taken again and again, such as 5 kg")
	valid.ZeroOr(&c, "division", s.Division, 1e-3, 500)
	valid.ZeroOr(&c, "zeroSD", s.ZeroSD, 1e-3, 500)
	valid.ZeroOr(&c, "gainSD", s.GainSD, 1e-6, 0.1)
	valid.ZeroOr(&c, "capacity", s.Capacity, 10, valid.MaxMass)
	return c.Err()
}

// reading returns the standard deviation of one reading, rounding included.
func (s Scale) reading() float64 {
	return math.Hypot(float64(s.SD), float64(s.Division)/math.Sqrt(12))
}

// loadSD returns the standard deviation of a load's mass: as stated, or that
// of one reading where none is stated.
func (s Scale) loadSD(stated units.Mass) float64 {
	if stated == 0 {
		return s.reading()
	}
	return float64(stated)
}

// errors states the errors that all readings of a scale share as unknowns of a
// fit: a reading is (1 + gain) times the mass on the scale, plus zero.
func (s Scale) errors(p *fit.Problem, zero, gain int) {
	p.Prior(zero, 0, float64(s.ZeroSD))
	p.Prior(gain, 0, float64(s.GainSD))
}

func checkConfidence(c *units.FieldErrors, path string, level float64) {
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

// prior states a measured value as what is known of the unknown i of a fit.
func prior[Q units.Quantity](p *fit.Problem, i int, m Measured[Q]) {
	p.Prior(i, float64(m.Value), float64(m.SD))
}

// residuals returns, for each reading of a fit, reading less fitted value.
func residuals(p *fit.Problem) []units.Mass {
	out := make([]units.Mass, p.Rows())
	for i := range out {
		e, _ := p.Residual(i)
		out[i] = units.Mass(e)
	}
	return out
}

// unlikely reports whether readings spread more about a fit than comes by
// chance once in 2000, or contradict each other so that no fit comes to an end.
func unlikely(p *fit.Problem) bool {
	return !p.Converged() || fit.ChiSquareTail(p.ChiSquare(), p.Freedom()) < omnibus
}

// estimated returns the unknown i of a fit.
func estimated[Q units.Quantity](p *fit.Problem, i int, level float64) Estimate[Q] {
	return estimate[Q](p.Estimate(i), p.SD(i), level)
}

// measured records an error unless the value lies in the range and its SD was
// given and is at most a fifth of the range's upper end.
func measured[Q units.Quantity](c *units.FieldErrors, path string, m Measured[Q], low, high Q) {
	valid.Within(c, path+".value", m.Value, low, high)
	valid.Given(c, path+".sd", m.SD, 1e-6, high/5, "must be given: how well the value is known, as a standard deviation")
}
