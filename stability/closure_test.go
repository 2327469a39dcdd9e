package stability_test

import (
	"math/rand/v2"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// pulled returns a random situation with a drawbar pull.
func pulled(r *rand.Rand) stability.Situation {
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	return stability.Situation{
		Slope: units.Slope(in(0, 0.12)), Heading: units.Angle(in(0, 6.28)),
		FrontShare: units.Fraction(in(0, 1)), RearBias: units.Fraction(in(-1, 1)),
		Drawbar: stability.Drawbar{Pull: units.Force(in(0, 4000)), Hitch: stability.Point{X: -0.5, Y: units.Length(in(-0.2, 0.2)), Z: 0.5},
			Inclination: units.Angle(in(-0.2, 0.2)), Deflection: units.Angle(in(-0.4, 0.4))},
	}
}

// A limit put back into the loads takes the wheel's load away, whatever pulls
// at the machine and whoever holds it: sideways acceleration of a turn,
// deceleration of braking, and pull.
func TestLimitsTakeTheLoad(t *testing.T) {
	seen := 0
	each(t, 120, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		m := compile(t, v)
		s := pulled(r)
		p := s
		pull, err := m.PullToLift(p)
		if err != nil {
			t.Fatal(err)
		}
		if pull.Status == stability.Within && pull.Pull < 1e6 {
			seen++
			for _, f := range []float64{1 - 1e-7, 1 + 1e-7} {
				p.Drawbar.Pull = units.Force(f) * pull.Pull
				l, err := m.Loads(p)
				if err != nil || (l.Status == stability.Exceeded) != (f > 1) {
					t.Errorf("%v, at %v of it %v, %v\n%+v\n%+v", pull, f, l, err, v, p)
				}
			}
		}
	})
	if seen < 100 {
		t.Errorf("too few limits: %v", seen)
	}
}

// Liquid that moves across in the wheels of the pivoting axle acts across the
// slope as if the axle's weight sat higher by its rise, and along the machine
// not at all.
func TestAxleFreeSurface(t *testing.T) {
	v := loaderTractor(600)
	v.Undercarriage.Axle = stability.Part{Mass: 400, CG: stability.Point{X: 2.1, Z: 0.4}}
	high, wet := v, v
	high.Undercarriage.Axle.CG.Z += 0.06
	wet.Undercarriage.Axle.RollRise = 0.06
	a, _ := compile(t, high).Tip(angle(90))
	b, _ := compile(t, wet).Tip(angle(90))
	dry, _ := compile(t, v).Tip(angle(90))
	for _, k := range []stability.LimitKind{stability.FrontRightWheel, stability.FrontLeftWheel, stability.TipsRight} {
		if !sameLimit(a.Limits[k], b.Limits[k]) || k != stability.TipsRight && reached(a.Limits[k]) && alike(b.Limits[k].Grade, dry.Limits[k].Grade) {
			t.Errorf("%v: higher %v, wet %v, dry %v", k, a.Limits[k], b.Limits[k], dry.Limits[k])
		}
	}
	straight, _ := compile(t, wet).Tip(0)
	plain, _ := compile(t, v).Tip(0)
	if !sameLimit(straight.Limits[stability.RearEdge], plain.Limits[stability.RearEdge]) {
		t.Errorf("nose up: wet %v, dry %v", straight.Limits[stability.RearEdge], plain.Limits[stability.RearEdge])
	}
}
