package stability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// agreement draws a machine with pins and fronts beyond the usual.
func agreement(r *rand.Rand, kind stability.UndercarriageKind) stability.Vehicle {
	var v stability.Vehicle
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
	seen := map[stability.LimitKind]int{}
	eachOf(t, agreement, 107, 400, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		bendTo(&v.Undercarriage, 0)
		m := compile(t, v)
		for n := range 5 {
			s := stability.Situation{Heading: angle(360 * r.Float64())}
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
				for k, load := range l.Rows {
					if load < 0 && l.Status != stability.Exceeded {
						t.Fatalf("%v carries %v, %v", stability.Row(k), load, l.Status)
					}
				}
				return l.Status == stability.Exceeded
			}
			const last = 84 * math.Pi / 180
			end := last
			if reached(tip.First) {
				end = min(end, float64(tip.First.Slope()))
			}
			if tip.First.Status == stability.Exceeded {
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
	for k := range stability.LimitKind(stability.NumEdges) {
		if seen[k] < 50 {
			t.Errorf("%v: %d times only", k, seen[k])
		}
	}
}

// Below its limit a machine can stand: some way to share the force that holds
// it leaves every wheel a load. The first two machines were once said to stand
// on slopes where none does, a quarter steeper than the steepest.
func TestLimitsLeaveABalance(t *testing.T) {
	check := func(t *testing.T, v stability.Vehicle, heading units.Angle, above float64) {
		t.Helper()
		tip, err := compile(t, v).Tip(heading)
		if err != nil {
			t.Fatal(err)
		}
		if !reached(tip.First) || tip.First.Grade > 10 {
			return
		}
		balance := func(grade float64) bool {
			m := freely(v, stability.Situation{Heading: heading})
			m.w = forcesAt(math.Atan(grade), float64(heading), 0, 0)
			for i := range 801 {
				m.bias = float64(i)/400 - 1
				least := 0.0
				for _, load := range m.solve().load {
					least = min(least, load)
				}
				if least >= 0 {
					return true
				}
			}
			return false
		}
		for _, f := range []float64{0.5, 0.8, 0.9, 0.98} {
			if !balance(f * tip.First.Grade) {
				t.Errorf("%v in heading %v, nothing holds it at %v of that\n%+v", tip.First, heading, f, v)
			}
		}
		if above > 0 && balance(above) {
			t.Errorf("holds at %v: not the machine that was meant", above)
		}
	}
	check(t, stability.Vehicle{
		Body: stability.Body{Mass: 2733, CG: stability.Point{X: 0.543, Y: -0.0699, Z: 1.3972}},
		Undercarriage: stability.Undercarriage{
			Kind: stability.PivotingRear, Wheelbase: 1.6166, RearTrack: 1.5805, FrontTrack: 1.1263, PinHeight: 0.9755,
			Axle: stability.Part{Mass: 688, CG: stability.Point{X: -0.065, Y: 0.0392, Z: 0.3234}},
		},
	}, -2.356, math.Tan(41*math.Pi/180))
	check(t, stability.Vehicle{
		Body: stability.Body{Mass: 1697.7, CG: stability.Point{X: 0.5599, Y: 0.01156, Z: 0.99657}},
		Undercarriage: stability.Undercarriage{
			Kind: stability.Articulated, Wheelbase: 1.5, RearTrack: 1.1414, FrontTrack: 1.9594, PinHeight: 1.1497, JointX: 0.88336, JointAngle: -0.58382,
			Axle: stability.Part{Mass: 1739.4, CG: stability.Point{X: 1.1018, Y: 0.06692, Z: 1.23893}},
		},
	}, 2.46446, math.Tan(30.8*math.Pi/180))
	for _, kind := range []stability.UndercarriageKind{stability.PivotingFront, stability.PivotingRear, stability.Articulated} {
		r := rand.New(rand.NewPCG(uint64(kind), 211))
		for range 150 {
			v := full(r, kind)
			v.Body.PitchRise, v.Body.RollRise, v.Undercarriage.Axle.PitchRise, v.Undercarriage.Axle.RollRise = 0, 0, 0, 0
			bendTo(&v.Undercarriage, angle(80*r.Float64()-40))
			check(t, v, units.Angle(6.28*r.Float64()), 0)
		}
	}
}
