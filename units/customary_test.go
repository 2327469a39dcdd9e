package units

import "testing"

// Where one customary unit gives way to the next (common practice, no
// source): at the size itself and just below it, either side of zero.
func TestCustomarySizes(t *testing.T) {
	us := Display{System: USCustomary}
	for _, c := range []struct{ got, want string }{
		{DisplayUnit(Display{}, 10*Meter).Symbol(), "m"}, {DisplayUnit(Display{}, 9.99*Meter).Symbol(), "mm"},
		{DisplayUnit(Display{}, -10*Meter).Symbol(), "m"}, {DisplayUnit(Display{}, -9.99*Meter).Symbol(), "mm"},
		{DisplayUnit(us, 20*Foot).Symbol(), "ft"}, {DisplayUnit(us, 19.9*Foot).Symbol(), "in"},
		{DisplayUnit(Display{}, 0.1*SquareMeter).Symbol(), "m2"}, {DisplayUnit(Display{}, 0.099*SquareMeter).Symbol(), "cm2"},
		{DisplayUnit(us, 1*SquareFoot).Symbol(), "ft2"}, {DisplayUnit(us, 0.99*SquareFoot).Symbol(), "in2"},
		{DisplayUnit(Display{}, 1*Kilonewton).Symbol(), "kN"}, {DisplayUnit(Display{}, 0.99*Kilonewton).Symbol(), "N"},
		{DisplayUnit(Display{}, 10000*NewtonMeter).Symbol(), "kN m"}, {DisplayUnit(Display{}, 9900*NewtonMeter).Symbol(), "N m"},
		{DisplayUnit(Display{}, 10*Megapascal).Symbol(), "MPa"}, {DisplayUnit(Display{}, 9.9*Megapascal).Symbol(), "kPa"},
		{DisplayUnit(Display{}, 10*GaugeMegapascal).Symbol(), "MPa gauge"}, {DisplayUnit(Display{}, 9.9*GaugeMegapascal).Symbol(), "kPa gauge"},
		{DisplayUnit(Display{}, 1*Kilojoule).Symbol(), "kJ"}, {DisplayUnit(Display{}, 0.99*Kilojoule).Symbol(), "J"},
		{Format(Display{System: USCustomary, FeetInches: true}, -63*Inch), "-5 ft 3 in"},
	} {
		if c.got != c.want {
			t.Errorf("got %q, want %q", c.got, c.want)
		}
	}
}
