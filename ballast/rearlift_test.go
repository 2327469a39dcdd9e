package ballast_test

import (
	"math"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The heights at which the loader lifts its own rear wheels are those at which
// the loads by height say that it lifts more than tips the machine.
func TestRearLift(t *testing.T) {
	for _, k := range []float64{0.6, 1, 1.4, 2.2} {
		s := orchardTractor()
		s.Loader.LowestPin = units.Is(s.Loader.Rated[0].PinHeight)
		for i := range s.Loader.Rated {
			s.Loader.Rated[i].AtPin *= units.Mass(k)
		}
		m, err := s.Compile()
		if err != nil {
			t.Fatal(err)
		}
		lift := ballast.Lift{Kind: ballast.Hold, Datum: ballast.PinHeight, Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2}}
		got, err := m.RearLift(lift)
		if err != nil {
			t.Fatal(err)
		}
		most := math.Inf(-1)
		for i := range 200 {
			h := s.Loader.LowestPin.Value() + units.Length(i)*(s.Loader.HighestPin.Value()-s.Loader.LowestPin.Value())/199
			lift.Height = h
			c, err := m.Case(lift)
			if err != nil {
				t.Fatal(err)
			}
			u := c.Use()
			ratio := float64(u.Lift.Mass / u.Tipping)
			most = max(most, ratio)
			inside := false
			for _, r := range got.Heights {
				inside = inside || r.Contains(h)
			}
			if math.Abs(ratio-1) > 1e-3 && inside != (ratio > 1) {
				t.Errorf("lift times %g: at %v the loader lifts %.4f of the tipping load; told %v", k, h, ratio, got.Heights)
			}
		}
		if math.Abs(got.Most-most) > 0.01 || (got.Status == stability.Exceeded) != (most > 1) {
			t.Errorf("lift times %g: %v with %.4f at most; the loads by height say %.4f", k, got.Status, got.Most, most)
		}
	}
}
