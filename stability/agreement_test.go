package stability

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/units"
)

// agreement draws a machine with pins and fronts beyond the usual.
func agreement(r *rand.Rand, kind UndercarriageKind) Vehicle {
	var v Vehicle
	switch r.IntN(3) {
	case 0:
		v = draw(r, kind)
	case 1:
		v = full(r, kind)
	default:
		v = odd(r, kind)
	}
	u := &v.Undercarriage
	u.PinHeight = units.Length(1.8 * r.Float64())
	u.FrontTrack *= units.Length(0.4 + 0.6*r.Float64())
	v.Body.PitchRise, u.Axle.PitchRise = v.Body.RollRise, u.Axle.RollRise // no yaw of free surfaces
	return v
}

// Just below the first limit every wheel carries load, and just above it one
// does not, whoever holds the machine. On a bent machine the axles' loads too
// go with the share of each wheel, which the limits of the axles leave out.
func TestLimitsAgreeWithLoads(t *testing.T) {
	seen := map[LimitKind]int{}
	eachOf(t, agreement, 107, 400, func(t *testing.T, r *rand.Rand, v Vehicle) {
		v.Undercarriage.bend(0)
		m := compile(t, v)
		for n := range 5 {
			s := Situation{Heading: angle(360 * r.Float64())}
			if n < 2 {
				s.FrontShare = units.Fraction(1 - r.Float64()*float64(n))
			}
			tip, err := m.TipHolding(s.Heading, s.FrontShare)
			if err != nil {
				t.Fatal(err)
			}
			seen[tip.First.Kind]++
			lost := func(slope float64) bool {
				s.Slope = units.Slope(slope)
				l, err := m.Loads(s)
				if err != nil {
					t.Fatal(err)
				}
				for _, k := range edgesOf[v.Undercarriage.Kind] {
					if (l.Rows[k] < 0) && l.Status != Exceeded {
						t.Fatalf("%v, %v", l.Rows, l.Status)
					}
				}
				return l.Status == Exceeded
			}
			const last = 84 * math.Pi / 180
			end := last
			if tip.First.reached() {
				end = min(end, float64(tip.First.Slope()))
			}
			if tip.First.Status == Exceeded {
				if !lost(0) && !lost(1e-6) {
					t.Errorf("%v, stands on level ground\n%+v", tip.First, v)
				}
				continue
			}
			for i := range 10 {
				if at := end * float64(i) / 9 * (1 - 1e-7); lost(at) {
					t.Errorf("%v, lost at %v\n%+v\n%+v", tip.First, at, v, s)
					break
				}
			}
			if end < last && !lost(end*(1+1e-7)) {
				t.Errorf("%v, stands past it\n%+v\n%+v", tip.First, v, s)
			}
		}
	})
	for k := range LimitKind(NumEdges) {
		if seen[k] < 50 {
			t.Errorf("%v: %d times only", k, seen[k])
		}
	}
}
