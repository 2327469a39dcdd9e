package stability_test

import (
	"math/rand/v2"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// What is not known permits no more than any truth would, or the answer says
// that it was not known. Pin height and axle mass do permit more now and then,
// which is why their notes ask for them.
func TestUnknownPermitsNoMore(t *testing.T) {
	more := map[string]int{}
	r := rand.New(rand.NewPCG(101, 101))
	for n := range 1200 {
		v := full(r, []stability.UndercarriageKind{stability.PivotingFront, stability.Articulated, stability.PivotingRear}[n%3])
		u := v.Undercarriage
		known := compile(t, v).WorstTip()
		if known.Notes.Has(stability.NotePinHeightUnknown) || known.Notes.Has(stability.NoteAxleMassless) {
			t.Fatalf("all is known, but %v", known.Notes)
		}
		one := func(name string, note stability.Notes, w stability.Vehicle) {
			got := compile(t, w).WorstTip()
			over := reached(known.First) && reached(got.First) && got.First.Grade > known.First.Grade*(1+1e-9) ||
				known.First.Status == stability.Exceeded && got.First.Status != stability.Exceeded
			if over {
				more[name]++
			}
			if !got.Notes.Has(note) {
				t.Errorf("%s: %v, known %v, and no word of it in %v", name, got.First, known.First, got.Notes)
			}
		}
		low := v
		low.Undercarriage.PinHeight = 0
		one("pin height", stability.NotePinHeightUnknown, low)
		body, err := stability.Assemble(v.Body.Part(), u.Axle)
		if err != nil {
			t.Fatal(err)
		}
		whole := v
		whole.Body, whole.Undercarriage.Axle = body, stability.Part{}
		one("axle mass", stability.NoteAxleMassless, whole)
	}
	if more["pin height"] < 20 || more["axle mass"] < 20 {
		t.Errorf("seldom more permissive: %v", more)
	}
}

// Without a known stop the energy that overturns a machine is no more than
// with any stop.
func TestUnknownStopHoldsLeast(t *testing.T) {
	r := rand.New(rand.NewPCG(103, 103))
	checked := 0
	for n := range 1200 {
		v := draw(r, []stability.UndercarriageKind{stability.PivotingFront, stability.Articulated}[n%2])
		bendTo(&v.Undercarriage, 0)
		v.Undercarriage.FrontTrack *= units.Length(0.3 + 0.7*r.Float64())
		s := stability.Situation{Slope: slope(8 * r.Float64()), Heading: angle(360 * r.Float64())}
		energy := func(stop units.Angle) stability.EnergyLimit {
			v.Undercarriage.StopAngle = stop
			e, err := compile(t, v).EnergyToOverturn(s)
			if err != nil {
				t.Fatal(err)
			}
			return e
		}
		least := energy(0)
		if least.Status != stability.Within {
			continue
		}
		checked++
		for range 2 {
			stop := angle(0.1 + 44*r.Float64())
			if e := energy(stop); least.Barrier > e.Barrier*(1+1e-6)+1e-6 {
				t.Fatalf("%v J, with a stop at %v %v J\n%+v\n%+v", least.Barrier, stop, e.Barrier, v, s)
			}
		}
	}
	if checked < 1000 {
		t.Errorf("%d machines only", checked)
	}
}
