package catalog

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// A form is how a quantity is shown in messages, read from a reader's text and described in
// a schema.
type form struct {
	param   func(string, float64, units.Rounding) units.Param
	metric  func(string, float64, units.Rounding) units.Param
	point   func(units.Display, string) (string, error)
	pattern func() string
}

func formOf[Q units.Quantity]() form {
	return form{
		param: func(name string, v float64, r units.Rounding) units.Param {
			return units.Parameter(name, valid.Show(Q(v)), Q(v), r)
		},
		metric: func(name string, v float64, r units.Rounding) units.Param {
			return units.MetricParameter(name, valid.Show(Q(v)), Q(v), r)
		},
		point:   units.PointText[Q],
		pattern: units.Pattern[Q],
	}
}

var quantities = map[string]form{
	"length": formOf[units.Length](), "volume": formOf[units.Volume](), "mass": formOf[units.Mass](), "inertia": formOf[units.Inertia](),
	"density": formOf[units.Density](), "force": formOf[units.Force](), "stiffness": formOf[units.Stiffness](),
	"gaugePressure": formOf[units.GaugePressure](), "angle": formOf[units.Angle](), "slope": formOf[units.Slope](),
	"temperature": formOf[units.Temperature](), "duration": formOf[units.Duration](), "speed": formOf[units.Speed](),
	"acceleration": formOf[units.Acceleration](), "power": formOf[units.Power](), "fraction": formOf[units.Fraction](),
	"massFraction": formOf[units.MassFraction](),
}

// Known reports whether a quantity can stand in a field.
func Known(quantity string) bool { return quantities[quantity].param != nil }

// Param shows a bound of a quantity as errors do; where metric is true it is counted in a
// metric unit everywhere.
func Param(quantity, name string, v float64, r units.Rounding, metric bool) (units.Param, bool) {
	f, ok := quantities[quantity]
	switch {
	case !ok:
		return units.Param{}, false
	case metric:
		return f.metric(name, v, r), true
	}
	return f.param(name, v, r), true
}

// PointText is units.PointText of a quantity by its name; a text of no quantity is returned
// as it is.
func PointText(quantity string, d units.Display, text string) (string, error) {
	if f, ok := quantities[quantity]; ok {
		return f.point(d, text)
	}
	return text, nil
}
