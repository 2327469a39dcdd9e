package stability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The margin is the limit's slope less the slope, and the least share that a
// wheel keeps of its load on level ground, by the free bodies.
func TestMarginByFreeBodies(t *testing.T) {
	seen := map[string]int{}
	eachFull(t, 200, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		m := compile(t, v)
		s := busy(r)
		s.Drawbar, s.Acceleration, s.LateralAcceleration = stability.Drawbar{}, s.Acceleration/4, s.LateralAcceleration/4
		if r.IntN(2) == 0 {
			s = stability.Situation{Heading: s.Heading, RearBias: s.RearBias, FrontShare: s.FrontShare}
			near, err := m.Limits(s)
			if err != nil {
				t.Fatal(err)
			}
			s.Slope = min(slope(80), near.FirstTip.Slope()*units.Slope(0.9+0.2*r.Float64()))
		}
		g, err := m.Margin(s)
		if err != nil {
			t.Fatal(err)
		}
		l, err := m.Limits(s)
		if err != nil {
			t.Fatal(err)
		}
		if g.First != l.FirstTip {
			t.Errorf("first %v, want %v", g.First, l.FirstTip)
		}
		if reached(l.FirstTip) && !alike(float64(g.Angle), math.Atan(l.FirstTip.Grade)-float64(s.Slope)) {
			t.Errorf("angle %v of %v on %v", g.Angle, l.FirstTip, s.Slope)
		}
		if l.FirstTip.Status == stability.Exceeded && g.Angle != -units.Angle(s.Slope) {
			t.Errorf("angle %v on %v, over on the level", g.Angle, s.Slope)
		}
		level := freely(v, stability.Situation{}).rows()
		least, wheel := math.Inf(1), stability.Row(0)
		for _, k := range edgesOf[v.Undercarriage.Kind] {
			one := -1.0
			if level[k] > 0 {
				one = float64(l.Loads.Rows[k]) / level[k]
			}
			if one < least {
				least, wheel = one, stability.Row(k)
			}
		}
		if !alike(float64(g.LoadShare), least) || g.Wheel != wheel {
			t.Errorf("%v keeps %v, free bodies %v and %v", g.Wheel, g.LoadShare, wheel, least)
		}
		over := l.FirstTip.Status == stability.Exceeded || g.Angle <= 0 || least <= 0
		if (g.Status == stability.Exceeded) != over || (g.Status == stability.Within) == over {
			t.Errorf("%+v", g)
		}
		e, err := m.EnergyToOverturn(s)
		if err != nil || g.Energy != e.Barrier || g.EnergyStatus != e.Status {
			t.Errorf("energy %v, %v, want %+v", g.Energy, g.EnergyStatus, e)
		}
		switch {
		case !over:
			seen["within"]++
		case l.FirstTip.Status != stability.Exceeded && g.Angle <= 0 && least > 0:
			seen["by the angle alone"]++
		case g.Angle > 0 && least <= 0:
			seen["by a load alone"]++
		default:
			seen["exceeded"]++
		}
	})
	for _, name := range []string{"within", "exceeded"} {
		if seen[name] == 0 {
			t.Errorf("seen %v", seen)
			break
		}
	}
}

// Pushed to the ground harder than any slope can tip it, a machine has the
// angle up to the vertical.
func TestMarginWithoutLimit(t *testing.T) {
	m := compile(t, loaderTractor(0))
	s := stability.Situation{Slope: slope(10), Heading: angle(60), Drawbar: stability.Drawbar{Pull: 1e7, Hitch: stability.Point{X: 1, Z: 0.5}, Inclination: angle(90)}}
	g, err := m.Margin(s)
	if err != nil || g.First.Kind != stability.NoLimit || g.First.Status != stability.CannotOccur || g.Status != stability.Within {
		t.Fatalf("%+v, %v", g, err)
	}
	near(t, "angle", float64(g.Angle/units.Degree), 80.0, 1e-9)
}

// A wheel that carries nothing on level ground has lost all of its load.
func TestMarginOfNoLoad(t *testing.T) {
	v := loaderTractor(0)
	v.Body.CG.X = -0.2
	g, err := compile(t, v).Margin(stability.Situation{Slope: slope(4)})
	if err != nil || g.LoadShare != -1 || g.Wheel != stability.RowFrontAxle || g.Status != stability.Exceeded {
		t.Errorf("%+v, %v", g, err)
	}
}
