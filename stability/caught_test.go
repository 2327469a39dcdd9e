package stability_test

import (
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// TestCaughtByTheStop: a tractor whose axle stop catches and holds it over a hump on a slope
// lifts a wheel, and has not gone over.
func TestCaughtByTheStop(t *testing.T) {
	p := stability.RollPassage{
		Vehicle: stability.Vehicle{
			Body: stability.Body{Mass: 2050, CG: stability.Point{X: 0.98, Z: 0.72}, Inertia: stability.Inertia{XX: 280, YY: 1350, ZZ: 1300}},
			Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 1.95, RearTrack: 1.06, FrontTrack: 1.06, PinHeight: 0.41,
				StopAngle: 10 * units.Degree, Axle: stability.Part{CG: stability.Point{X: 1.95, Z: 0.37}}},
		},
		Load:     stability.Part{Mass: 300, CG: stability.Point{X: 3.1, Z: 1.4}},
		Rear:     stability.Tires{Stiffness: units.Is[units.Stiffness](620e3), Radius: 0.53},
		Front:    stability.Tires{Stiffness: units.Is[units.Stiffness](520e3), Radius: 0.37},
		Damping:  units.Is[units.Fraction](0.08),
		Obstacle: stability.Obstacle{Kind: stability.ObstacleHump, Height: 0.03, Length: 0.6},
		Slope:    (14 * units.Degree).Slope(), Heading: 90 * units.Degree, Friction: 2, Wheels: stability.PassLeft,
	}
	m, err := p.Compile()
	if err != nil {
		t.Fatal(err)
	}
	c, err := m.At(1)
	if err != nil || c.Status != stability.PassageLifts || !c.MeetsStop {
		t.Errorf("%+v, %v", c, err)
	}
}
