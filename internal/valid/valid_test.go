package valid

import (
	"math"
	"testing"

	"example.com/steelyard/units"
)

// Each input with what is said of it where it must be given and where it need
// not be, from 1 to 2 m.
func TestInput(t *testing.T) {
	nan := units.Length(math.NaN())
	for _, c := range []struct {
		in                 units.Input[units.Length]
		required, optional string
	}{
		{units.Input[units.Length]{}, "x: give it", ""},
		{units.None[units.Length](), "x: none: give it", ""},
		{units.Is[units.Length](1), "", ""},
		{units.Is[units.Length](2), "", ""},
		{units.Is[units.Length](0), "x: 0 m: must be between 1 m and 2 m", "x: 0 m: must be left out or be between 1 m and 2 m"},
		{units.Is(nan), "x: NaN m: must be between 1 m and 2 m", "x: NaN m: must be left out or be between 1 m and 2 m"},
		{units.Between[units.Length](1, 2), "", ""},
		{units.Between[units.Length](0, 1.5), "x.low: 0 m: must be between 1 m and 2 m", "x.low: 0 m: must be left out or be between 1 m and 2 m"},
		{units.Between[units.Length](1.5, 3), "x.high: 3 m: must be between 1 m and 2 m", "x.high: 3 m: must be left out or be between 1 m and 2 m"},
		{units.Between(1, nan), "x.high: NaN m: must be between 1 m and 2 m", "x.high: NaN m: must be left out or be between 1 m and 2 m"},
		{units.Between[units.Length](1.8, 1.2), "x.high: 1.2 m: must be no less than low, 1.8 m", "x.high: 1.2 m: must be no less than low, 1.8 m"},
	} {
		said := func(check func(*units.FieldErrors)) string {
			var e units.FieldErrors
			if check(&e); e.Len() == 0 {
				return ""
			}
			return e.Err().Error()
		}
		required := said(func(e *units.FieldErrors) { Required(e, "x", c.in, 1, 2, "give it") })
		optional := said(func(e *units.FieldErrors) { Optional(e, "x", c.in, 1, 2) })
		if required != c.required || optional != c.optional {
			t.Errorf("%v: %q and %q, want %q and %q", c.in, required, optional, c.required, c.optional)
		}
	}
}
