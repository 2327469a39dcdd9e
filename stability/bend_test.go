package stability

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/steelyard/units"
)

// circled returns an articulated machine bent as a circle of its center of
// gravity asks, to the left with sign 1: the circle's center is where the lines
// of the two axles meet, and the bend is found by bisection. Other machines
// stay as they are.
func circled(v Vehicle, radius, sign float64) Vehicle {
	u := &v.Undercarriage
	if u.Kind != Articulated {
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
	u.bend(units.Angle(sign * lo))
	return v
}

// By hand: the joint midway between axles 2 m apart, everything above the joint.
// The center lies on the bisector of the bend, so that with the circle's radius
// R about the joint sin(p/2) = 1/R.
func TestTurnByHand(t *testing.T) {
	v := Vehicle{
		Body: Body{Mass: 3000, CG: Point{X: 1, Z: 0.9}},
		Undercarriage: Undercarriage{
			Kind: Articulated, Wheelbase: 2, RearTrack: 1.2, FrontTrack: 1.2, PinHeight: 0.5, JointX: 1,
			Axle: Part{Mass: 1500, CG: Point{X: 1, Z: 0.7}},
		},
	}
	for _, radius := range []float64{4, 8, 100} {
		turn, err := compile(t, v).Turn(Situation{}, units.Length(radius))
		if err != nil {
			t.Fatal(err)
		}
		bent := v
		bent.Undercarriage.bend(units.Angle(2 * math.Asin(1/radius)))
		left := turn.Left.Parallel
		for _, f := range []float64{1 - 1e-6, 1 + 1e-6} {
			// Both centers of gravity stand 1 m ahead of the rear axle.
			a := units.Acceleration(f) * left.Acceleration
			l, err := compile(t, bent).Loads(Situation{
				Acceleration: -a / units.Acceleration(radius), LateralAcceleration: a * units.Acceleration(math.Sqrt(1-1/(radius*radius))),
			})
			if err != nil || (l.Status == Exceeded) != (f > 1) {
				t.Errorf("radius %v: %v, at %v of it %v, %v", radius, left, f, l, err)
			}
		}
		if !alike(float64(turn.Right.Parallel.Acceleration), float64(left.Acceleration)) || turn.Notes.Has(NoteBendUnknown) {
			t.Errorf("radius %v: left %v, right %v", radius, left, turn.Right.Parallel)
		}
	}
	// At 60 degrees the radius is 2 m.
	if _, err := compile(t, v).Turn(Situation{}, 1.99); err == nil || !slices.Contains(fieldPaths(err), "radius") {
		t.Errorf("a sharper turn than the joint allows: %v", err)
	}
	v.Undercarriage.MaxJointAngle = angle(40)
	if _, err := compile(t, v).Turn(Situation{}, 2.9); err == nil {
		t.Error("a sharper turn than the joint allows")
	}
}

// Where nobody says how far the joint is bent, no answer permits more than at
// any bend within the joint's reach; a straight machine can be said.
func TestUnknownBend(t *testing.T) {
	r := rand.New(rand.NewPCG(109, 109))
	lower := 0
	for n := range 250 {
		v := draw(r, Articulated)
		if n%10 == 0 {
			v = full(r, Articulated)
		}
		v.Undercarriage.bend(0)
		v.Body.CG.Y *= 0.2
		unknown := v
		unknown.Undercarriage.Straight = false
		most := 45.0
		want := NoteBendUnknown | NoteBendAssumed
		if n%2 == 0 {
			most = 20 + 30*r.Float64()
			unknown.Undercarriage.MaxJointAngle, want = angle(most), NoteBendUnknown
		}
		m := compile(t, unknown)
		worst, straight := m.WorstTip(), compile(t, v).WorstTip()
		if worst.Notes&(NoteBendUnknown|NoteBendAssumed) != want || straight.Notes.Has(NoteBendUnknown) {
			t.Fatalf("%v, straight %v", worst.Notes, straight.Notes)
		}
		if straight.First.reached() && worst.First.size() < straight.First.Grade*0.9 {
			lower++
		}
		s := Situation{Heading: angle(360 * r.Float64()), Slope: slope(10 * r.Float64())}
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
			bent.Undercarriage.bend(angle(most * (2*r.Float64() - 1)))
			b := compile(t, bent)
			one, err := b.Tip(s.Heading)
			if err != nil {
				t.Fatal(err)
			}
			more := func(a, b Limit) bool { return a.size() > b.size()+1e-7*math.Abs(b.size()) }
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
			over("static slope", rearward.StaticSlope.size(), back.StaticSlope.size())
			over("blocked torque", float64(rearward.BlockedTorque), float64(back.BlockedTorque))
			over("balance", size(rearward.BalanceStatus, float64(rearward.Balance)), size(back.BalanceStatus, float64(back.Balance)))
			over("free acceleration", size(rearward.FreeAcceleration.Status, float64(rearward.FreeAcceleration.Acceleration)), size(back.FreeAcceleration.Status, float64(back.FreeAcceleration.Acceleration)))
			if rearward.FreeAcceleration.Status == Within {
				over("free torque", float64(rearward.FreeTorque), size(back.FreeAcceleration.Status, float64(back.FreeTorque)))
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
			if small := 1e-7 * float64(v.Body.Mass) * kgf; m.leastLoad(&loads) > b.leastLoad(&l)+small {
				t.Fatalf("%v, bent by %v %v", loads, bent.Undercarriage.JointAngle, l)
			}
		}
		if n > 20 {
			continue
		}
		points := make([]PolarPoint, 12)
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
		if err != nil || size(braking.Lifts.Status, float64(braking.Lifts.Acceleration)) > size(known.Lifts.Status, float64(known.Lifts.Acceleration)) {
			t.Fatalf("braking %v, straight %v, %v", braking.Lifts, known.Lifts, err)
		}
		stop, err := m.OnStop(s.Heading)
		if err != nil || stop.Limit.Status != NotChecked || limits.Slide[slideAll].Status != NotChecked {
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
	v := draw(rand.New(rand.NewPCG(1, 1)), Articulated)
	for path, spoil := range map[string]func(*Undercarriage){
		"undercarriage.jointX":        func(u *Undercarriage) { u.Straight, u.JointX = false, 0 },
		"undercarriage.jointAngle":    func(u *Undercarriage) { u.JointAngle = 0.2 },
		"undercarriage.maxJointAngle": func(u *Undercarriage) { u.MaxJointAngle = 1.1 },
	} {
		w := v
		spoil(&w.Undercarriage)
		if _, err := w.Compile(); !slices.Contains(fieldPaths(err), path) {
			t.Errorf("%s: %v", path, err)
		}
	}
	v.Undercarriage.bend(0.3)
	v.Undercarriage.MaxJointAngle = 0.2
	if _, err := v.Compile(); !slices.Contains(fieldPaths(err), "undercarriage.jointAngle") {
		t.Errorf("bent farther than it can: %v", err)
	}
}

// The sensitivity of a machine whose bend is not known is that of the bend with
// the least limit, and its band holds the limit.
func TestBandOfUnknownBend(t *testing.T) {
	v := draw(rand.New(rand.NewPCG(3, 3)), Articulated)
	v.Body.CG.Y = 0
	v.Undercarriage.Straight, v.Undercarriage.MaxJointAngle = false, angle(20)
	m := compile(t, v)
	bent := v
	bent.Undercarriage.bend(m.worstBend)
	got, want := m.Sensitivity(), compile(t, bent).Sensitivity()
	if got.Limit.Grade != want.Limit.Grade || m.worstBend == 0 {
		t.Errorf("%v at %v, bent %v", got.Limit, m.worstBend, want.Limit)
	}
	for _, i := range []Input{InputCGX, InputCGZ, InputRearTrack} {
		if math.Abs(got.PerUnit[i]-want.PerUnit[i]) > 1e-6*(1+math.Abs(want.PerUnit[i])) {
			t.Errorf("%v: %v, bent %v", i, got.PerUnit[i], want.PerUnit[i])
		}
	}
	b, err := m.Band(Tolerances{CG: Point{Z: 0.02}}, 100, 1)
	if at := m.WorstTip().First.Slope(); err != nil || !(b.Range.Low < at && at < b.Range.High) {
		t.Errorf("%v, limit %v, %v", b.Range, at, err)
	}
}
