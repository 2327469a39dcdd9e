package ballast

import (
	"math"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	validation.Relative(t, got, want)
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// A limit is met within 1e-9, relative or in kilograms, and no farther; axles
// that carry nothing have not lifted.
func TestTransportEdges(t *testing.T) {
	for _, c := range []struct {
		have, most units.Mass
		want       stability.Status
	}{
		{1000, 1000, stability.Within}, {1000 + 0.9e-6, 1000, stability.Within}, {1000 + 1.1e-6, 1000, stability.Exceeded},
		{0.9e-9, 0, stability.Within}, {1.03e-9, 0, stability.Exceeded}, {0.5 + 0.9e-9, 0.5, stability.Within}, {0.5 + 1.1e-9, 0.5, stability.Exceeded},
		{-1000 + 0.9e-6, -1000, stability.Within}, {-1000 + 1.1e-6, -1000, stability.Exceeded},
	} {
		if got := compare(c.have, c.most); got != c.want {
			t.Errorf("%.12g against %g: %v", float64(c.have), float64(c.most), got)
		}
	}
	// 500 kg 2 m behind the rear axle of a machine of wheelbase 2 m lift just
	// 500 kg off its front axle; half a kilogram more lifts it.
	tr := Transport{FrontLoad: 500, RearLoad: 2000, Wheelbase: 2, Hitch: Hitch{X: units.Is[units.Length](-1)}, Behind: Mounted{500, 1}}
	for mass, want := range map[units.Mass]stability.Status{499.5: stability.Within, 500: stability.Within, 500.5: stability.Exceeded} {
		tr.Behind.Mass = mass
		got, err := tr.Check()
		if c := got.Of(LimitRearward); err != nil || c.Status != want || c.Allowed != 0 || c.Have != 500-mass {
			t.Errorf("%v behind: %+v, %v", mass, c, err)
		}
	}
	tr = Transport{FrontLoad: 2000, RearLoad: 500, Wheelbase: 2, Ahead: Mounted{500, 2}}
	for mass, want := range map[units.Mass]stability.Status{499.5: stability.Within, 500: stability.Within, 500.5: stability.Exceeded} {
		tr.Ahead.Mass = mass
		got, err := tr.Check()
		if c := got.Of(LimitTipping); err != nil || c.Status != want || c.Allowed != 0 || c.Have != 500-mass {
			t.Errorf("%v ahead: %+v, %v", mass, c, err)
		}
	}
	// The share of the unladen mass: 25 % of 2500 kg.
	tr.Ahead = Mounted{}
	tr.Steered = SteeredRule{Base: SteeredOfUnladen, Share: 0.25}
	got, err := tr.Check()
	if c := got.Of(LimitSteered); err != nil || c.Allowed != 625 || c.Status != stability.Within {
		t.Errorf("%+v, %v", c, err)
	}
	// The unladen mass under a counterweight is tractor and empty loader.
	w, err := Counterweight{FrontLoad: 1500, RearLoad: 1600, Wheelbase: 2.1, Payload: 600, Ahead: 1.5, Behind: 1}.Minimum()
	if err != nil || w.Loads.Unladen != 3100 {
		t.Errorf("%+v, %v", w.Loads, err)
	}
	// Close beyond 610 mm the rating falls already: 1000 kg by 610/620.
	if m, notes, err := (Hitch{Rating: units.Is[units.Mass](1000)}).LiftAt(0.62); err != nil || notes != NoteReachRatio {
		t.Errorf("%v, %v, %v", m, notes, err)
	} else {
		near(t, "lift at 620 mm", float64(m), 1000*610.0/620, 1e-9)
	}
}
