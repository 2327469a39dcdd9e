package ballast

import (
	"fmt"
	"math"

	"example.com/steelyard/units"
)

// checker collects the bad fields of one input.
type checker struct{ units.FieldErrors }

// within records an error unless low <= v <= high. A NaN fails.
func within[Q units.Quantity](c *checker, path string, v, low, high Q) {
	if !(v >= low && v <= high) {
		c.Add(path, show(v), fmt.Sprintf("must be between %s and %s", show(low), show(high)))
	}
}

// zeroOr records an error unless v is zero, which says "not given", or lies
// between low and high.
func zeroOr[Q units.Quantity](c *checker, path string, v, low, high Q) {
	if v == 0 {
		return
	}
	if !(v >= low && v <= high) {
		c.Add(path, show(v), fmt.Sprintf("must be left out or be between %s and %s", show(low), show(high)))
	}
}

// given records an error if v is zero, which says "not given", and otherwise
// if it is outside the range. hint says what to do.
func given[Q units.Quantity](c *checker, path string, v, low, high Q, hint string) {
	if v == 0 {
		c.Add(path, nil, hint)
		return
	}
	within(c, path, v, low, high)
}

// show prints a quantity for an error message, in the unit that people use.
func show[Q units.Quantity](v Q) string {
	in := func(one float64, unit string) string { return fmt.Sprintf("%.6g %s", float64(v)/one, unit) }
	switch any(v).(type) {
	case units.Angle, units.Slope:
		return in(float64(units.Degree), "degrees")
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

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }
