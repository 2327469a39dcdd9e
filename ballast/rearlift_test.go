package ballast_test

import (
	"math"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The heights at which the loader lifts its own rear wheels are those at which
// the loads by height say that it lifts more than tips the machine, and the
// answer of an open setup holds that of the setup.
func TestRearLift(t *testing.T) {
	seen := map[ballast.Status]int{}
	for _, k := range []float64{0.6, 1, 1.4, 2.2, 2.8, 3.4, 5} {
		s := orchardTractor()
		s.Loader.LowestPin, s.Loader.SelfLeveling = units.Is(s.Loader.Rated[0].PinHeight), units.Is[units.Fraction](0)
		for i := range s.Loader.Rated {
			s.Loader.Rated[i].AtPin *= units.Mass(k)
		}
		m, err := s.Compile()
		if err != nil {
			t.Fatal(err)
		}
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			t.Fatal(err)
		}
		lift := ballast.Lift{Kind: ballast.Hold, Datum: ballast.PinHeight, Basis: ballast.Basis{Kind: ballast.BasisRearShare, Fraction: 0.2},
			Load: ballast.Load{Center: s.Attachment.LoadCenter}}
		got, err := e.RearLift(t.Context(), lift)
		if err != nil {
			t.Fatal(err)
		}
		seen[got.Status]++
		most := math.Inf(-1)
		var certain []units.Length
		low, high := s.Loader.LowestPin.Value(), s.Loader.HighestPin.Value()
		for i := range 200 {
			lift.Height = low + units.Length(i)*(high-low)/199
			c, err := m.Case(lift)
			if err != nil {
				t.Fatal(err)
			}
			u := c.Use()
			most = max(most, float64(u.Lift.Mass/u.Tipping))
			if u.Lift.Mass > u.Tipping {
				certain = append(certain, lift.Height)
			}
		}
		step := float64(high-low) / 64
		switch {
		case most <= 1:
			if got.Status != stability.CannotOccur || got.Heights != (units.Range[units.Length]{}) || got.Cautions.Has(ballast.CautionUnchecked) == (got.Status == stability.Exceeded) {
				t.Errorf("lift times %g: %+v of a loader that lifts its rear wheels nowhere", k, got)
			}
		case math.Abs(float64(got.Heights.Low-certain[0])) > step || math.Abs(float64(got.Heights.High-certain[len(certain)-1])) > step || got.Cautions.Has(ballast.CautionUnchecked):
			t.Errorf("lift times %g: %+v, the loads by height say from %v to %v", k, got, certain[0], certain[len(certain)-1])
		}
		if math.Abs(float64(got.Ratio.Low)-most) > 0.01 || math.Abs(float64(got.Ratio.High)-most) > 0.01 || (got.Status == stability.Exceeded) != (most > 1) {
			t.Errorf("lift times %g: %v with %v; the loads by height say %.4f", k, got.Status, got.Ratio, most)
		}
		s.Machine.CG.X = units.Between[units.Length](0.7, 0.82)
		if e, err = s.Envelope(ballast.Practice{}); err != nil {
			t.Fatal(err)
		}
		open, err := e.RearLift(t.Context(), lift)
		if err != nil || !(open.Ratio.Low < got.Ratio.Low && open.Ratio.High > got.Ratio.High) || open.Status != stability.NotChecked && open.Status != got.Status {
			t.Errorf("lift times %g: %+v with an open center of gravity, %+v with a known one, %v", k, open, got, err)
		}
	}
	if seen[stability.Exceeded] < 2 || seen[stability.CannotOccur] < 2 {
		t.Errorf("one-sided: %v", seen)
	}
}
