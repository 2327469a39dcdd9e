package stability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A machine of mass points about its rear axle: how fast it rears by the
// energy of the torque and of the weight, and how long it takes, which is the
// integral of dq over the rate. Liquid counts at its raised height for the
// weight.
func TestRearingByPoints(t *testing.T) {
	r := rand.New(rand.NewPCG(91, 91))
	seen := map[string]int{}
	for n := range 150 {
		h, v := drawHeap(r, []stability.UndercarriageKind{stability.PivotingFront, stability.Rigid, stability.Tricycle}[n%3])
		height := 0.4 + 0.4*r.Float64()
		v.Undercarriage.RearAxleHeight = units.Length(height)
		bodyRise, axleRise := 0.1*r.Float64(), 0.2*r.Float64()
		v.Body.PitchRise, v.Undercarriage.Axle.PitchRise = units.Length(bodyRise), units.Length(axleRise)
		slope := 0.4 * r.Float64()
		var weight, x, z, inertia float64
		for i, dots := range [][]dot{h.body, h.axle} {
			rise := []float64{bodyRise, axleRise}[i]
			for _, d := range dots {
				dx, dz := d.at[0], d.at[2]-height
				inertia += d.mass * (dx*dx + dz*dz)
				weight += d.mass * kgf
				x += d.mass * kgf * dx
				z += d.mass * kgf * (dz + rise)
			}
		}
		// up is how high the center of gravity is above the axle with the nose
		// up by q from the ground it stands on, times the weight.
		up := func(q float64) float64 {
			a := q + slope
			return z*math.Cos(a) + x*math.Sin(a)
		}
		top := math.Hypot(x, z)
		balance := math.Atan2(x, z) - slope
		in := stability.Rearing{Torque: units.Moment(x * (0.3 + 1.2*r.Float64())), Slope: units.Slope(slope), Offset: units.Angle(0.1 * r.Float64()), Rate: 1.2 * r.Float64()}
		switch n % 10 {
		case 3:
			in.Torque, in.Rate = 0, 3+r.Float64()
		case 5:
			in.Offset, in.Rate = 0, 0
		case 7:
			in.Offset = units.Angle(min(math.Pi/2, balance+0.1))
		}
		o, err := compile(t, v).Rear(in)
		if err != nil {
			t.Fatal(err)
		}
		from, rate, torque := float64(in.Offset), in.Rate, float64(in.Torque)
		want := stability.RearingTimes{Status: stability.Within, Balance: units.Angle(max(0, balance))}
		check := func(name string) {
			t.Helper()
			seen[name]++
			for what, c := range map[string][2]float64{
				"balance": {float64(o.Balance), float64(want.Balance)}, "no return": {float64(o.NoReturn), float64(want.NoReturn)},
				"balance time": {float64(o.BalanceTime), float64(want.BalanceTime)}, "no return time": {float64(o.NoReturnTime), float64(want.NoReturnTime)},
			} {
				if math.Abs(c[0]-c[1]) > 3e-6 {
					t.Errorf("%d %s: %s %v, points %v\n%+v", n, name, what, c[0], c[1], in)
				}
			}
			if o.Status != want.Status {
				t.Errorf("%d %s: %+v, points %+v\n%+v", n, name, o, want, in)
			}
		}
		if balance <= from {
			want.Status = stability.Exceeded
			check("past its balance")
			continue
		}
		square := func(q float64) float64 {
			return rate*rate + 2*(torque*(q-from)-(up(q)-up(from)))/inertia
		}
		// It gets to its balance if nowhere before the rate is used up.
		const steps = 1500
		turns := rate > 0 || torque > (up(from+1e-6)-up(from-1e-6))/2e-6
		for i := 1; i <= steps; i++ {
			turns = turns && square(from+(balance-from)*float64(i)/steps) > 0
		}
		spare := func(q float64) float64 { return inertia*square(q)/2 - (top - up(q)) }
		if !turns {
			check("falls back")
			continue
		}
		want.Status = stability.Exceeded
		// time integrates over s with q = from + s^2, as it may start at rest.
		time := func(to float64) float64 {
			end := math.Sqrt(to - from)
			f := func(s float64) float64 {
				if v := square(from + s*s); s > 0 && v > 0 {
					return 2 * s / math.Sqrt(v)
				}
				if rate > 0 {
					return 0
				}
				// At rest v^2 = 2 a s^2.
				a := (torque - (up(from+1e-6)-up(from-1e-6))/2e-6) / inertia
				return 2 / math.Sqrt(2*a)
			}
			var sum float64
			const n = 600
			for i := range n {
				a, b := end*float64(i)/n, end*float64(i+1)/n
				sum += (f(a) + 4*f((a+b)/2) + f(b)) * (b - a) / 6
			}
			return sum
		}
		want.BalanceTime = units.Duration(time(balance))
		lo, hi := from, balance
		if spare(lo) >= 0 {
			want.NoReturn = in.Offset
			check("lost from the start")
			continue
		}
		for range 60 {
			if mid := (lo + hi) / 2; spare(mid) < 0 {
				lo = mid
			} else {
				hi = mid
			}
		}
		want.NoReturn, want.NoReturnTime = units.Angle(lo), units.Duration(time(lo))
		check("goes over")
	}
	for _, name := range []string{"past its balance", "falls back", "lost from the start", "goes over"} {
		if seen[name] < 8 {
			t.Errorf("seen %v", seen)
			break
		}
	}
}

// With all of its mass at the axle, or over it by its liquid alone, a machine
// has nothing that would bring it back: it is over. On ground steeper than its
// balance too, and then the balance is none.
func TestRearingOver(t *testing.T) {
	v := stability.Vehicle{
		Body:          stability.Body{Mass: 1000, CG: stability.Point{Z: 0.6}, Inertia: stability.Inertia{YY: 100}},
		Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 2, RearTrack: 1, FrontTrack: 1, PinHeight: 0.4, RearAxleHeight: 0.6},
	}
	point := v
	point.Body.Inertia, point.Body.PitchRise = stability.Inertia{}, 0.1
	steep := v
	steep.Body.CG = stability.Point{X: 0.1, Z: 1}
	for name, c := range map[string]struct {
		v       stability.Vehicle
		slope   float64
		balance float64
	}{"at the axle": {v, 0, 90}, "a point": {point, 0, 0}, "steep": {steep, 60, 0}} {
		o, err := compile(t, c.v).Rear(stability.Rearing{Torque: 1, Slope: slope(c.slope)})
		if err != nil || o.Status != stability.Exceeded || o.NoReturn != 0 || o.NoReturnTime != 0 || o.BalanceTime != 0 {
			t.Errorf("%s: %+v, %v", name, o, err)
		}
		near(t, name, float64(o.Balance/units.Degree), c.balance, 1e-9)
	}
}

// By hand: a joint in the middle, bent by 0.7; the front half lies 1 + 0.8 cos
// 0.7 m ahead of the rear axle, and everything 0.8 m high. Its front wheels at
// their different places hold no more than their moment about the rear line.
func TestRearwardBent(t *testing.T) {
	v := stability.Vehicle{
		Body: stability.Body{Mass: 2500, CG: stability.Point{X: 0.3, Z: 0.8}},
		Undercarriage: stability.Undercarriage{
			Kind: stability.Articulated, Wheelbase: 2, RearTrack: 1.4, FrontTrack: 1.4, PinHeight: 0.5, JointX: 1, JointAngle: 0.7, RearAxleHeight: 0.6,
			Axle: stability.Part{Mass: 2500, CG: stability.Point{X: 1.8, Z: 0.8}},
		},
	}
	back, err := compile(t, v).Rearward(stability.Situation{})
	if err != nil {
		t.Fatal(err)
	}
	x := (0.3 + 1 + 0.8*math.Cos(0.7)) / 2
	near(t, "static slope", back.StaticSlope.Grade, x/0.8, 1e-12)
	near(t, "free acceleration", float64(back.FreeAcceleration.Acceleration), kgf*x/0.8, 1e-9)
	near(t, "free torque", float64(back.FreeTorque), 5000*kgf*x*0.6/0.8, 1e-6)
	near(t, "blocked torque", float64(back.BlockedTorque), 5000*kgf*x, 1e-6)
}
