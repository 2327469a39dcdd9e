package units_test

import (
	"testing"

	"example.com/steelyard/units"
)

// Where one customary unit gives way to the next (common practice, no
// source): at the size itself and just below it, either side of zero.
func TestCustomarySizes(t *testing.T) {
	us := units.Display{System: units.USCustomary}
	for _, c := range []struct{ got, want string }{
		{units.DisplayUnit(units.Display{}, 10*units.Meter).Symbol(), "m"}, {units.DisplayUnit(units.Display{}, 9.99*units.Meter).Symbol(), "mm"},
		{units.DisplayUnit(units.Display{}, -10*units.Meter).Symbol(), "m"}, {units.DisplayUnit(units.Display{}, -9.99*units.Meter).Symbol(), "mm"},
		{units.DisplayUnit(us, 20*units.Foot).Symbol(), "ft"}, {units.DisplayUnit(us, 19.9*units.Foot).Symbol(), "in"},
		{units.DisplayUnit(units.Display{}, 0.1*units.SquareMeter).Symbol(), "m2"}, {units.DisplayUnit(units.Display{}, 0.099*units.SquareMeter).Symbol(), "cm2"},
		{units.DisplayUnit(us, 1*units.SquareFoot).Symbol(), "ft2"}, {units.DisplayUnit(us, 0.99*units.SquareFoot).Symbol(), "in2"},
		{units.DisplayUnit(units.Display{}, 1*units.Kilonewton).Symbol(), "kN"}, {units.DisplayUnit(units.Display{}, 0.99*units.Kilonewton).Symbol(), "N"},
		{units.DisplayUnit(units.Display{}, 10000*units.NewtonMeter).Symbol(), "kN m"}, {units.DisplayUnit(units.Display{}, 9900*units.NewtonMeter).Symbol(), "N m"},
		{units.DisplayUnit(units.Display{}, 10*units.Megapascal).Symbol(), "MPa"}, {units.DisplayUnit(units.Display{}, 9.9*units.Megapascal).Symbol(), "kPa"},
		{units.DisplayUnit(units.Display{}, 10*units.GaugeMegapascal).Symbol(), "MPa gauge"}, {units.DisplayUnit(units.Display{}, 9.9*units.GaugeMegapascal).Symbol(), "kPa gauge"},
		{units.DisplayUnit(units.Display{}, 1*units.Kilojoule).Symbol(), "kJ"}, {units.DisplayUnit(units.Display{}, 0.99*units.Kilojoule).Symbol(), "J"},
		{units.Format(units.Display{System: units.USCustomary, FeetInches: true}, -63*units.Inch), "-5 ft 3 in"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
