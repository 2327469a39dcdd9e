package weigh

import (
	"math"

	"example.com/steelyard/internal/fit"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Measured is a quantity and its standard uncertainty. An SD of zero means that
// the uncertainty is not given, which is an error wherever a Measured is
// required: no tape and no brochure is exact.
type Measured[Q units.Quantity] struct {
	// Value is what was read.
	Value Q `json:"value" zero:"value"`
	// SD is the standard uncertainty of Value: one standard deviation of its error. If
	// the tolerance is a strict limit and all values within it are equally likely, the
	// SD is the limit divided by the square root of 3 (JCGM 100:2008, 4.3.7).
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

// unlikelier is the chance below which readings do not spread by chance.
const unlikelier = 5e-4

// stronger is the factor by which one explanation must be stronger than another to
// replace it. Without it, rounding would choose between two that the readings cannot
// tell apart.
const stronger = 1 + 1e-9

// DefaultConfidence is the probability of an interval if none is given.
const DefaultConfidence = 0.95

// MaxReadings is the greatest number of readings of one instrument in a [Record].
const MaxReadings = 100

// DefaultShare is the greatest test load that is ever asked for, as a share of the
// lower bound of the tipping load with the pin where the load is lifted.
const DefaultShare units.Fraction = 0.3

// Scale describes a weighbridge or wheel pads. Readings are masses: a scale
// measures a force but shows kilograms.
type Scale struct {
	// SD is the standard deviation of a reading that is repeated under the same
	// wheel: roll the machine off and on again. It must be given, 0.01 to 500 kg.
	SD units.Mass `json:"sd"`
	// Division is the step of the display, whose rounding adds a variance of
	// Division^2/12, 1 g to 500 kg. Zero means that SD includes the rounding.
	Division units.Mass `json:"division,omitempty" zero:"value"`
	// ZeroSD is the standard uncertainty of the scale's zero, an error common to all
	// readings of a session, 1 g to 500 kg. Zero means that the scale was set to
	// zero before the session.
	ZeroSD units.Mass `json:"zeroSD,omitempty" zero:"value"`
	// GainSD is the standard uncertainty of the scale's gain, as a share of the
	// reading, common to all readings, up to 0.1. Zero is 0.0075, common practice
	// without a source; a verified scale has less. If it in fact reads 3 % high, the
	// tipping load is 3 % too high, and no reading can show it.
	GainSD units.Fraction `json:"gainSD,omitempty" zero:"value"`
	// Capacity is the greatest mass that the scale shows, 10 kg to 100 t.
	// Zero means unknown. A reading at the end of the scale is an error.
	Capacity units.Mass `json:"capacity,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (s Scale) Validate() error {
	var c units.FieldErrors
	valid.Given(&c, "sd", s.SD, 0.01, 500, "must be given; it is the standard deviation of a repeated reading, such as 5 kg")
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

// unlikely reports whether readings spread so far about a fit that chance explains
// it only once in 2000, or contradict each other so far that no fit converges.
func unlikely(p *fit.Problem) bool {
	return !p.Converged() || fit.ChiSquareTail(p.ChiSquare(), p.Freedom()) < unlikelier
}
