package stability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/internal/walk"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// walkedVehicle is a vehicle of which everything is known.
func walkedVehicle(r *rand.Rand) stability.Vehicle {
	in := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	length := func(low, high float64) units.Length { return units.Length(in(low, high)) }
	base := length(1.7, 2.6)
	u := stability.Undercarriage{
		Kind:      []stability.UndercarriageKind{stability.PivotingFront, stability.Rigid, stability.Tricycle}[r.IntN(3)],
		Wheelbase: base, RearTrack: length(1.2, 1.8), FrontTrack: length(1.1, 1.7), PinHeight: length(0.3, 0.8), StopAngle: units.Angle(in(0.1, 0.25)),
		Axle:           stability.Part{Mass: units.Mass(in(100, 400)), CG: stability.Point{X: base, Z: length(0.3, 0.5)}},
		RearAxleHeight: length(0.5, 0.8), RearTireStiffness: units.Stiffness(in(2e5, 6e5)),
	}
	return stability.Vehicle{
		Body:          stability.Body{Mass: units.Mass(in(1200, 4000)), CG: stability.Point{X: base * length(0.3, 0.6), Y: length(-0.05, 0.05), Z: length(0.6, 1.1)}, PitchRise: length(0, 0.03), RollRise: length(0.001, 0.03)},
		Undercarriage: u,
	}
}

// steepest is how steep the ground may be at the worst heading, and at a few.
func steepest(v stability.Vehicle) (grades [4]float64, notes stability.Notes, err error) {
	m, err := v.Compile()
	if err != nil {
		return grades, 0, err
	}
	tips := []stability.Tip{m.WorstTip()}
	for _, h := range []units.Angle{0, 90 * units.Degree, 180 * units.Degree} {
		t, err := m.Tip(h)
		if err != nil {
			return grades, 0, err
		}
		tips = append(tips, t)
	}
	for i, t := range tips {
		notes |= t.Notes
		switch t.First.Status {
		case stability.Within, stability.Binds:
			grades[i] = t.First.Grade
		case stability.CannotOccur:
			grades[i] = math.Inf(1)
		}
	}
	return grades, notes, nil
}

// What is left out of a vehicle never makes a steeper slope permissible, unless
// a note says what is not known.
func TestLeftOutNeverPermits(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 3))
	// Zero is a figure of these: a liquid that does not move, the middle.
	figures := map[string]bool{"body.pitchRise": true, "body.rollRise": true, "body.cg.y": true, "body.cg.x": true}
	// On a machine without a pin the axle is a part like any other: one that is
	// left out is not there, and a place of zero is the rear contact line.
	fixed := map[string]bool{"undercarriage.axle": true, "undercarriage.axle.mass": true, "undercarriage.axle.cg.x": true}
	for i := range 500 {
		v := walkedVehicle(r)
		was, notes, err := steepest(v)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range walk.Fields(v) {
			is, n, err := steepest(walk.Without(v, f))
			if err != nil || n&^notes != 0 || figures[f.Path] || f.Zero || fixed[f.Path] && v.Undercarriage.Kind != stability.PivotingFront {
				continue
			}
			for k := range is {
				if is[k] > was[k]*(1+1e-9) {
					t.Errorf("vehicle %d (%v), without %s: grade %v, was %v", i, v.Undercarriage.Kind, f.Path, is[k], was[k])
				}
			}
		}
	}
}

// A higher center of gravity of the body and narrower tracks never make a
// steeper slope permissible across.
func TestWorseNeverPermits(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 4))
	for i := range 500 {
		v := walkedVehicle(r)
		was, _, err := steepest(v)
		if err != nil {
			t.Fatal(err)
		}
		// On a rigid machine a narrower rear track leaves more of the roll to
		// the front wheels.
		rigid := v.Undercarriage.Kind == stability.Rigid
		for path, by := range map[string]float64{"body.cg.z": 1.1, "undercarriage.rearTrack": 0.95, "body.rollRise": 1.5} {
			for _, f := range walk.Fields(v) {
				if f.Path != path || rigid && path == "undercarriage.rearTrack" {
					continue
				}
				w, _ := walk.Scaled(v, f, by)
				is, _, err := steepest(w)
				if err != nil {
					continue
				}
				if is[0] > was[0]*(1+1e-9) || is[2] > was[2]*(1+1e-9) {
					t.Errorf("vehicle %d (%v), %s times %v: worst grade %v, was %v; across %v, was %v", i, v.Undercarriage.Kind, path, by, is[0], was[0], is[2], was[2])
				}
			}
		}
	}
}
