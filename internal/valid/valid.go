// Package valid checks fields against their ranges in the same way for every package
// of this module. It also holds the ranges of quantities that several packages use.
package valid

import (
	"fmt"

	"example.com/steelyard/units"
)

// Ranges of quantities that several packages use. They catch a wrong unit, not a wrong
// machine.
const (
	MinGravity units.Acceleration = 0.1
	MaxGravity units.Acceleration = 100

	MinWheelbase units.Length = 0.5
	MaxWheelbase units.Length = 10

	MinTrack units.Length = 0.2
	MaxTrack units.Length = 6

	MinMass units.Mass = 1
	MaxMass units.Mass = 100000

	MinRadius units.Length = 0.1
	MaxRadius units.Length = 1.5

	MaxLength  units.Length = 20
	MaxSideway units.Length = 2
)

// Within records an error unless low <= v <= high. A NaN fails.
func Within[Q units.Quantity](e *units.FieldErrors, path string, v, low, high Q) {
	if !(v >= low && v <= high) {
		e.Add(path, Show(v), fmt.Sprintf("must be between %s and %s", Show(low), Show(high)))
	}
}

// ZeroOr records an error unless v is zero, which says "not given", or lies
// between low and high.
func ZeroOr[Q units.Quantity](e *units.FieldErrors, path string, v, low, high Q) {
	if v != 0 && !(v >= low && v <= high) {
		e.Add(path, Show(v), fmt.Sprintf("must be left out or be between %s and %s", Show(low), Show(high)))
	}
}

// Given records an error if v is zero, which says "not given", or outside the range.
// The hint is the error text for zero.
func Given[Q units.Quantity](e *units.FieldErrors, path string, v, low, high Q, hint string) {
	if v == 0 {
		e.Add(path, nil, hint)
		return
	}
	Within(e, path, v, low, high)
}

// Gravity checks an acceleration of free fall against its range; zero is the standard
// one.
func Gravity(e *units.FieldErrors, path string, g units.Acceleration) {
	ZeroOr(e, path, g, MinGravity, MaxGravity)
}

// Heading checks a heading against its range of one turn either way.
func Heading(e *units.FieldErrors, path string, h units.Angle) {
	Within(e, path, h, -units.Turn, units.Turn)
}

// Show prints a quantity for an error message, in the unit that people use.
func Show[Q units.Quantity](v Q) string {
	in := func(one float64, unit string) string { return fmt.Sprintf("%.6g %s", float64(v)/one, unit) }
	switch any(v).(type) {
	case units.Angle, units.Slope:
		return in(float64(units.Degree), "degrees")
	case units.Temperature:
		return fmt.Sprintf("%.4g degC", float64(v)-273.15)
	case units.Speed:
		return in(float64(units.KilometerPerHour), "km/h")
	case units.Pressure:
		return in(float64(units.Kilopascal), "kPa")
	case units.GaugePressure:
		return in(float64(units.GaugeKilopascal), "kPa gauge")
	}
	if s, ok := any(v).(fmt.Stringer); ok {
		return s.String()
	}
	return fmt.Sprintf("%g", float64(v))
}

// JoinAt records the errors of an entry of a list, if there are any. The path is built
// only in that case.
func JoinAt(e *units.FieldErrors, list string, i int, err error) {
	if err != nil {
		e.Join(units.Index(list, i), err)
	}
}
