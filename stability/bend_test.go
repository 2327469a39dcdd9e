package stability_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// circled returns an articulated machine bent as a circle of its center of
// gravity asks, to the left with sign 1: the circle's center is where the lines
// of the two axles meet, and the bend is found by bisection. Other machines
// stay as they are.
func circled(v stability.Vehicle, radius, sign float64) stability.Vehicle {
	u := &v.Undercarriage
	if u.Kind != stability.Articulated {
		return v
	}
	j, l := float64(u.JointX), float64(u.Wheelbase)
	b, a := v.Body, u.Axle
	of := func(p float64) float64 {
		sin, cos := math.Sin(sign*p), math.Cos(sign*p)
		// The front axle's middle (x, y), its line along (-sin, cos), and the
		// rear axle's along (0, 1) through the origin.
		x, y := j+(l-j)*cos, (l-j)*sin
		center := y + x/sin*cos
		ax, ay := float64(a.CG.X)-j, float64(a.CG.Y)
		mb, ma := float64(b.Mass), float64(a.Mass)
		gx := (mb*float64(b.CG.X) + ma*(j+ax*cos-ay*sin)) / (mb + ma)
		gy := (mb*float64(b.CG.Y) + ma*(ax*sin+ay*cos)) / (mb + ma)
		return math.Hypot(gx, gy-center)
	}
	lo, hi := 1e-9, math.Pi/3
	for range 100 {
		if mid := (lo + hi) / 2; of(mid) > radius {
			lo = mid
		} else {
			hi = mid
		}
	}
	bendTo(u, units.Angle(sign*lo))
	return v
}

// By hand: the joint midway between axles 2 m apart, everything above the joint.
// The center lies on the bisector of the bend, so that with the circle's radius
// R about the joint sin(p/2) = 1/R.
func TestTurnByHand(t *testing.T) {
	v := stability.Vehicle{
		Body: stability.Body{Mass: 3000, CG: stability.Point{X: 1, Z: 0.9}},
		Undercarriage: stability.Undercarriage{
			Kind: stability.Articulated, Wheelbase: 2, RearTrack: 1.2, FrontTrack: 1.2, PinHeight: 0.5, JointX: 1,
			Axle: stability.Part{Mass: 1500, CG: stability.Point{X: 1, Z: 0.7}},
		},
	}
	for _, radius := range []float64{4, 8, 100} {
		turn, err := compile(t, v).Turn(stability.Situation{}, units.Length(radius))
		if err != nil {
			t.Fatal(err)
		}
		bent := v
		bendTo(&bent.Undercarriage, units.Angle(2*math.Asin(1/radius)))
		left := turn.Left.Parallel
		for _, f := range []float64{1 - 1e-6, 1 + 1e-6} {
			// Both centers of gravity stand 1 m ahead of the rear axle.
			a := units.Acceleration(f) * left.Acceleration
			l, err := compile(t, bent).Loads(stability.Situation{
				Acceleration: -a / units.Acceleration(radius), LateralAcceleration: a * units.Acceleration(math.Sqrt(1-1/(radius*radius))),
			})
			if err != nil || (l.Status == stability.Exceeded) != (f > 1) {
				t.Errorf("radius %v: %v, at %v of it %v, %v", radius, left, f, l, err)
			}
		}
		if !alike(float64(turn.Right.Parallel.Acceleration), float64(left.Acceleration)) || turn.Notes.Has(stability.NoteBendUnknown) {
			t.Errorf("radius %v: left %v, right %v", radius, left, turn.Right.Parallel)
		}
	}
	// At 60 degrees the radius is 2 m.
	if _, err := compile(t, v).Turn(stability.Situation{}, 1.99); err == nil || !slices.Contains(fieldPaths(err), "radius") {
		t.Errorf("a sharper turn than the joint allows: %v", err)
	}
	v.Undercarriage.MaxJointAngle = angle(40)
	if _, err := compile(t, v).Turn(stability.Situation{}, 2.9); err == nil {
		t.Error("a sharper turn than the joint allows")
	}
}

// bendTo sets the angle of a joint.
func bendTo(u *stability.Undercarriage, a units.Angle) { u.JointAngle, u.Straight = a, a == 0 }

// sizeOf orders limits: one that is exceeded comes before all others, one that
// cannot occur after them.
func sizeOf(s stability.Status, value float64) float64 {
	switch s {
	case stability.Exceeded:
		return -1
	case stability.Within, stability.Binds:
		return value
	}
	return math.Inf(1)
}

func leastLoad(l stability.Loads) float64 {
	least := math.Inf(1)
	for _, load := range l.Rows {
		least = min(least, float64(load))
	}
	return least
}

// Where nobody says how far the joint is bent, no answer permits more than at
// any bend within the joint's reach; a straight machine can be said.
func TestUnknownBend(t *testing.T) {
	r := rand.New(rand.NewPCG(109, 109))
	lower := 0
	for n := range inShort(250) {
		v := draw(r, stability.Articulated)
		if n%10 == 0 {
			v = full(r, stability.Articulated)
		}
		bendTo(&v.Undercarriage, 0)
		v.Body.CG.Y *= 0.2
		unknown := v
		unknown.Undercarriage.Straight = false
		most := 45.0
		want := stability.NoteBendUnknown | stability.NoteBendAssumed
		if n%2 == 0 {
			most = 20 + 30*r.Float64()
			unknown.Undercarriage.MaxJointAngle, want = angle(most), stability.NoteBendUnknown
		}
		m := compile(t, unknown)
		worst, straight := m.WorstTip(), compile(t, v).WorstTip()
		if worst.Notes&(stability.NoteBendUnknown|stability.NoteBendAssumed) != want || straight.Notes.Has(stability.NoteBendUnknown) {
			t.Fatalf("%v, straight %v", worst.Notes, straight.Notes)
		}
		if reached(straight.First) && sizeOf(worst.First.Status, worst.First.Grade) < straight.First.Grade*0.9 {
			lower++
		}
		s := stability.Situation{Heading: angle(360 * r.Float64()), Slope: slope(10 * r.Float64())}
		tip, err := m.Tip(s.Heading)
		if err != nil {
			t.Fatal(err)
		}
		limits, err := m.Limits(s)
		if err != nil {
			t.Fatal(err)
		}
		rearward, err := m.Rearward(s)
		if err != nil {
			t.Fatal(err)
		}
		margin, err := m.Margin(s)
		if err != nil {
			t.Fatal(err)
		}
		loads, err := m.Loads(s)
		if err != nil {
			t.Fatal(err)
		}
		for range 3 {
			bent := v
			bendTo(&bent.Undercarriage, angle(most*(2*r.Float64()-1)))
			b := compile(t, bent)
			one, err := b.Tip(s.Heading)
			if err != nil {
				t.Fatal(err)
			}
			more := func(a, b stability.Limit) bool {
				return sizeOf(a.Status, a.Grade) > sizeOf(b.Status, b.Grade)+1e-7*math.Abs(sizeOf(b.Status, b.Grade))
			}
			if w := b.WorstTip(); more(worst.First, w.First) || more(tip.First, one.First) || more(limits.FirstTip, one.First) {
				t.Fatalf("worst %v, bent by %v %v; in one heading %v and %v, bent %v\n%+v",
					worst.First, bent.Undercarriage.JointAngle, w.First, tip.First, limits.FirstTip, one.First, v)
			}
			back, err := b.Rearward(s)
			if err != nil {
				t.Fatal(err)
			}
			over := func(name string, a, b float64) {
				if a > b+1e-7*math.Abs(b) {
					t.Fatalf("%s %v, bent by %v %v\n%+v", name, a, bent.Undercarriage.JointAngle, b, v)
				}
			}
			over("static slope", sizeOf(rearward.StaticSlope.Status, rearward.StaticSlope.Grade), sizeOf(back.StaticSlope.Status, back.StaticSlope.Grade))
			over("blocked torque", float64(rearward.BlockedTorque), float64(back.BlockedTorque))
			over("balance", sizeOf(rearward.BalanceStatus, float64(rearward.Balance)), sizeOf(back.BalanceStatus, float64(back.Balance)))
			over("free acceleration", sizeOf(rearward.FreeAcceleration.Status, float64(rearward.FreeAcceleration.Acceleration)), sizeOf(back.FreeAcceleration.Status, float64(back.FreeAcceleration.Acceleration)))
			if rearward.FreeAcceleration.Status == stability.Within {
				over("free torque", float64(rearward.FreeTorque), sizeOf(back.FreeAcceleration.Status, float64(back.FreeTorque)))
			}
			if keeps, err := b.Margin(s); err != nil {
				t.Fatal(err)
			} else {
				over("load share", float64(margin.LoadShare), max(0, float64(keeps.LoadShare)))
				over("margin", float64(margin.Angle), float64(keeps.Angle))
			}
			l, err := b.Loads(s)
			if err != nil {
				t.Fatal(err)
			}
			if small := 1e-7 * float64(v.Body.Mass) * kgf; leastLoad(loads) > leastLoad(l)+small {
				t.Fatalf("%v, bent by %v %v", loads, bent.Undercarriage.JointAngle, l)
			}
		}
		if n > 20 {
			continue
		}
		points := make([]stability.PolarPoint, 12)
		m.Polar(points)
		at, err := m.Tip(points[5].Heading)
		if err != nil || !closeLimit(at.First, points[5].First) {
			t.Fatalf("polar %v, tip %v, %v", points[5].First, at.First, err)
		}
		braking, err := m.Braking(s)
		if err != nil {
			t.Fatal(err)
		}
		known, err := compile(t, v).Braking(s)
		if err != nil || sizeOf(braking.Lifts.Status, float64(braking.Lifts.Acceleration)) > sizeOf(known.Lifts.Status, float64(known.Lifts.Acceleration)) {
			t.Fatalf("braking %v, straight %v, %v", braking.Lifts, known.Lifts, err)
		}
		stop, err := m.OnStop(s.Heading)
		if err != nil || stop.Limit.Status != stability.NotChecked || slideOf(limits, stability.SlidesAll).Status != stability.NotChecked {
			t.Fatalf("%v, %v, %v", stop.Limit, limits.Slide, err)
		}
		if _, err := unknown.Undercarriage.Influence(s, 0); !slices.Contains(fieldPaths(err), "undercarriage.jointAngle") {
			t.Fatalf("rows without a bend: %v", err)
		}
	}
	if lower < 20 {
		t.Errorf("the bend lowers the limit of %d machines only", lower)
	}
}

// An articulated machine's joint must have a place, and one bend.
func TestJointFields(t *testing.T) {
	v := draw(rand.New(rand.NewPCG(1, 1)), stability.Articulated)
	for path, spoil := range map[string]func(*stability.Undercarriage){
		"undercarriage.jointX":        func(u *stability.Undercarriage) { u.Straight, u.JointX = false, 0 },
		"undercarriage.jointAngle":    func(u *stability.Undercarriage) { u.JointAngle = 0.2 },
		"undercarriage.maxJointAngle": func(u *stability.Undercarriage) { u.MaxJointAngle = 1.1 },
	} {
		w := v
		spoil(&w.Undercarriage)
		if _, err := w.Compile(); !slices.Contains(fieldPaths(err), path) {
			t.Errorf("%s: %v", path, err)
		}
	}
	bendTo(&v.Undercarriage, 0.3)
	v.Undercarriage.MaxJointAngle = 0.2
	if _, err := v.Compile(); !slices.Contains(fieldPaths(err), "undercarriage.jointAngle") {
		t.Errorf("bent farther than it can: %v", err)
	}
}

// The sensitivity of a machine whose bend is not known is that of the bend with
// the least limit, and its band holds the limit.
func TestBandOfUnknownBend(t *testing.T) {
	v := draw(rand.New(rand.NewPCG(3, 3)), stability.Articulated)
	v.Body.CG.Y = 0
	v.Undercarriage.Straight, v.Undercarriage.MaxJointAngle = false, angle(20)
	m := compile(t, v)
	bent := v
	bendTo(&bent.Undercarriage, m.WorstBend())
	got, want := m.Sensitivity(), compile(t, bent).Sensitivity()
	if got.Limit.Grade != want.Limit.Grade || m.WorstBend() == 0 {
		t.Errorf("%v at %v, bent %v", got.Limit, m.WorstBend(), want.Limit)
	}
	for _, i := range []stability.Input{stability.InputCGX, stability.InputCGZ, stability.InputRearTrack} {
		if math.Abs(got.PerUnit[i]-want.PerUnit[i]) > 1e-6*(1+math.Abs(want.PerUnit[i])) {
			t.Errorf("%v: %v, bent %v", i, got.PerUnit[i], want.PerUnit[i])
		}
	}
	b, err := m.Band(stability.Tolerances{CG: stability.Point{Z: 0.02}}, 100, 1)
	if at := m.WorstTip().First.Slope(); err != nil || !(b.Range.Low < at && at < b.Range.High) {
		t.Errorf("%v, limit %v, %v", b.Range, at, err)
	}
}
