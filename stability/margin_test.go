package stability

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/units"
)

// The margin is the limit's slope less the slope, and the least share that a
// wheel keeps of its load on level ground, by the free bodies.
func TestMarginByFreeBodies(t *testing.T) {
	seen := map[string]int{}
	eachFull(t, 200, func(t *testing.T, r *rand.Rand, v Vehicle) {
		m := compile(t, v)
		s := busy(r)
		s.Drawbar, s.Acceleration, s.LateralAcceleration = Drawbar{}, s.Acceleration/4, s.LateralAcceleration/4
		if r.IntN(2) == 0 {
			s = Situation{Heading: s.Heading, RearBias: s.RearBias, FrontShare: s.FrontShare}
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
		if l.FirstTip.reached() && !alike(float64(g.Angle), math.Atan(l.FirstTip.Grade)-float64(s.Slope)) {
			t.Errorf("angle %v of %v on %v", g.Angle, l.FirstTip, s.Slope)
		}
		if l.FirstTip.Status == Exceeded && g.Angle != -units.Angle(s.Slope) {
			t.Errorf("angle %v on %v, over on the level", g.Angle, s.Slope)
		}
		level := freely(v, Situation{}).rows()
		least, wheel := math.Inf(1), Row(0)
		for _, k := range edgesOf[v.Undercarriage.Kind] {
			one := -1.0
			if level[k] > 0 {
				one = float64(l.Loads.Rows[k]) / level[k]
			}
			if one < least {
				least, wheel = one, Row(k)
			}
		}
		if !alike(float64(g.LoadShare), least) || g.Wheel != wheel {
			t.Errorf("%v keeps %v, free bodies %v and %v", g.Wheel, g.LoadShare, wheel, least)
		}
		over := l.FirstTip.Status == Exceeded || g.Angle <= 0 || least <= 0
		if (g.Status == Exceeded) != over || (g.Status == Within) == over {
			t.Errorf("%+v", g)
		}
		e, err := m.EnergyToOverturn(s)
		if err != nil || g.Energy != e.Barrier || g.EnergyStatus != e.Status {
			t.Errorf("energy %v, %v, want %+v", g.Energy, g.EnergyStatus, e)
		}
		switch {
		case !over:
			seen["within"]++
		case l.FirstTip.Status != Exceeded && g.Angle <= 0 && least > 0:
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
	s := Situation{Slope: slope(10), Heading: angle(60), Drawbar: Drawbar{Pull: 1e7, Hitch: Point{X: 1, Z: 0.5}, Inclination: angle(90)}}
	g, err := m.Margin(s)
	if err != nil || g.First.Kind != NoLimit || g.First.Status != CannotOccur || g.Status != Within {
		t.Fatalf("%+v, %v", g, err)
	}
	near(t, "angle", float64(g.Angle/units.Degree), 80.0, 1e-9)
}

// A wheel that carries nothing on level ground has lost all of its load.
func TestMarginOfNoLoad(t *testing.T) {
	v := loaderTractor(0)
	v.Body.CG.X = -0.2
	g, err := compile(t, v).Margin(Situation{Slope: slope(4)})
	if err != nil || g.LoadShare != -1 || g.Wheel != RowFrontAxle || g.Status != Exceeded {
		t.Errorf("%+v, %v", g, err)
	}
}
