package stability_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// draw returns a machine that stands on level ground, drawn at random.
func draw(r *rand.Rand, kind stability.UndercarriageKind) stability.Vehicle {
	in := func(lo, hi float64) units.Length { return units.Length(lo + (hi-lo)*r.Float64()) }
	l := in(1.6, 3)
	t := in(1, 2)
	u := stability.Undercarriage{
		Kind: kind, Wheelbase: l, RearTrack: t, FrontTrack: t * in(0.7, 1.1), PinHeight: in(0, 0.8),
		StopAngle: units.Angle(in(3, 15)) * units.Degree, RearAxleHeight: in(0.5, 0.8), JointX: l * in(0.3, 0.6), Straight: true,
	}
	if r.IntN(2) == 0 {
		u.Axle = stability.Part{Mass: units.Mass(in(100, 500)), CG: stability.Point{X: l, Z: in(0.3, 0.6)}}
		if kind == stability.PivotingRear {
			u.Axle.CG.X = 0
		}
		if kind == stability.Articulated {
			u.Axle.CG.X = in(0.7, 1) * l
		}
	}
	b := stability.Body{Mass: units.Mass(in(1500, 5000)), CG: stability.Point{X: l * in(0.25, 0.6), Y: in(-0.05, 0.05), Z: in(0.6, 1.2)}}
	if kind == stability.PivotingRear {
		b.CG.X = l - b.CG.X
	}
	return stability.Vehicle{Body: b, Undercarriage: u}
}

var kinds = []stability.UndercarriageKind{stability.PivotingFront, stability.Rigid, stability.Articulated, stability.Tricycle, stability.PivotingRear}

// each calls f with machines of every kind, drawn from a fixed seed.
func each(t *testing.T, n int, f func(t *testing.T, r *rand.Rand, v stability.Vehicle)) {
	t.Helper()
	eachOf(t, draw, 11, n, f)
}

// eachOf calls f with machines of every kind that a function draws.
func eachOf(t *testing.T, draw func(*rand.Rand, stability.UndercarriageKind) stability.Vehicle, seed uint64, n int, f func(t *testing.T, r *rand.Rand, v stability.Vehicle)) {
	t.Helper()
	for i, k := range kinds {
		t.Run(k.String(), func(t *testing.T) {
			r := rand.New(rand.NewPCG(uint64(i), seed))
			for range n {
				f(t, r, draw(r, k))
				if t.Failed() {
					return
				}
			}
		})
	}
}

func alike(a, b float64) bool {
	return a == b || !math.IsInf(a-b, 0) && math.Abs(a-b) <= 1e-9*(1+math.Abs(a)+math.Abs(b))
}

// reached reports whether there is a slope at which a limit is reached.
func reached(l stability.Limit) bool {
	return l.Status == stability.Within || l.Status == stability.Binds
}

func sameLimit(a, b stability.Limit) bool { return a.Status == b.Status && alike(a.Grade, b.Grade) }

// closeLimit is sameLimit as far as the least over all bends is sought.
func closeLimit(a, b stability.Limit) bool {
	return a.Status == b.Status && math.Abs(a.Grade-b.Grade) <= 1e-6*(1+b.Grade)
}

func mirror(v stability.Vehicle) stability.Vehicle {
	v.Body.CG.Y = -v.Body.CG.Y
	v.Undercarriage.Axle.CG.Y = -v.Undercarriage.Axle.CG.Y
	bendTo(&v.Undercarriage, -v.Undercarriage.JointAngle)
	return v
}

func angle(d float64) units.Angle { return units.Angle(d) * units.Degree }
func slope(d float64) units.Slope { return units.Slope(angle(d)) }

var mirrorRow = [stability.NumRows]stability.Row{stability.RowFrontAxle, stability.RowRearAxle, stability.RowFrontRight, stability.RowFrontLeft, stability.RowRearRight, stability.RowRearLeft, stability.RowLiftRight, stability.RowLiftLeft}

func TestMirror(t *testing.T) {
	each(t, 100, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		bendTo(&v.Undercarriage, angle(60*r.Float64()-30))
		a, b := compile(t, v), compile(t, mirror(v))
		h := angle(360 * r.Float64())
		x, _ := a.Tip(h)
		y, _ := b.Tip(-h)
		for i := range x.Limits {
			if p, q := x.Limits[i], y.Limits[mirrorRow[i]]; p.Status != q.Status && p.Status != stability.Binds && q.Status != stability.Binds || math.Abs(p.Grade-q.Grade) > 1e-6*(1+q.Grade) {
				t.Errorf("heading %v: %v is not the mirror image of %v", h, p, q)
			}
		}
		s := stability.Situation{Slope: slope(20 * r.Float64()), Heading: h, LateralAcceleration: 1, RearBias: 0.3, FrontShare: 0.2,
			Drawbar: stability.Drawbar{Pull: 2000, Hitch: stability.Point{X: -1, Y: 0.1, Z: 0.5}, Inclination: angle(10), Deflection: angle(7)}}
		o := s
		o.Heading, o.LateralAcceleration, o.RearBias, o.Drawbar.Hitch.Y, o.Drawbar.Deflection = -h, -1, -0.3, -0.1, angle(-7)
		p, _ := a.Loads(s)
		q, _ := b.Loads(o)
		for i := range p.Rows {
			if !alike(float64(p.Rows[i]), float64(q.Rows[mirrorRow[i]])) {
				t.Errorf("row %v: %v, mirrored %v", stability.Row(i), p.Rows[i], q.Rows[mirrorRow[i]])
			}
		}
	})
}

// The forces of the ground balance what acts on the machine. Moments about
// the ground need only the normal loads; the axle's own balance needs the
// lateral force at the front, which the yaw balance gives.
func TestBalance(t *testing.T) {
	each(t, 200, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		v.Body.PitchRise, v.Body.RollRise = 0.02, 0.004
		m := compile(t, v)
		s := stability.Situation{Slope: slope(12 * r.Float64()), Heading: angle(360 * r.Float64()), Acceleration: 1, LateralAcceleration: -0.5,
			FrontShare: units.Fraction(r.Float64()), RearBias: units.Fraction(r.Float64()/2 - 0.25),
			Drawbar: stability.Drawbar{Pull: 3000, Hitch: stability.Point{X: -1, Y: 0.2, Z: 0.5}, Inclination: angle(10), Deflection: angle(-12)}}
		l, err := m.Loads(s)
		if err != nil {
			t.Fatal(err)
		}
		u := v.Undercarriage
		sinB, cosB := math.Sincos(float64(s.Slope))
		sinH, cosH := math.Sincos(float64(s.Heading))
		gx, gy, gz := -kgf*sinB*cosH-1, -kgf*sinB*sinH+0.5, -kgf*cosB
		d := s.Drawbar
		pull := float64(d.Pull)
		si, ci := math.Sincos(float64(d.Inclination))
		sd, cd := math.Sincos(float64(d.Deflection))
		px, py, pz := -pull*ci*cd, pull*ci*sd, -pull*si
		hx, hy, hz := float64(d.Hitch.X), float64(d.Hitch.Y), float64(d.Hitch.Z)
		fx, fz, mx, my, mz := px, pz, hy*pz-hz*py, hz*px-hx*pz, hx*py-hy*px
		for _, p := range []stability.Part{v.Body.Part(), u.Axle} {
			w, x, y, z := float64(p.Mass), float64(p.CG.X), float64(p.CG.Y), float64(p.CG.Z)
			kp, kr := float64(p.PitchRise), float64(p.RollRise)
			fx += w * gx
			fz += w * gz
			mx += w * (y*gz - (z+kr)*gy)
			my += w * ((z+kp)*gx - x*gz)
			mz += w * (x*gy - y*gx + (kp-kr)*gx*gy/-gz)
		}
		n := func(r stability.Row) float64 { return float64(l.Rows[r]) }
		fl, fr, rl, rr := n(stability.RowFrontLeft), n(stability.RowFrontRight), n(stability.RowRearLeft), n(stability.RowRearRight)
		ht, hf := float64(u.RearTrack)/2, float64(u.FrontTrack)/2
		if u.Kind == stability.Tricycle {
			hf = 0
		}
		size := math.Abs(fz)
		small := func(name string, x float64) {
			if math.Abs(x) > 1e-9*size {
				t.Errorf("%s does not balance: %v", name, x)
			}
		}
		small("vertical force", fl+fr+rl+rr+fz)
		small("pitch", -float64(u.Wheelbase)*(fl+fr)+my)
		small("roll", (fl-fr)*hf+(rl-rr)*ht+mx)
		small("front axle", fl+fr-n(stability.RowFrontAxle))
		small("rear axle", rl+rr-n(stability.RowRearAxle))
		if u.Kind == stability.PivotingFront {
			couple, _ := m.Taken(s)
			// The wheels together push along with -fx.
			yf := -(mz + couple*fx) / float64(u.Wheelbase)
			a := u.Axle
			small("axle about its pin", (fl-fr)*hf+float64(u.PinHeight)*yf-float64(a.Mass)*(float64(a.CG.Z)-float64(u.PinHeight))*gy)
		}
	})
}

// The rows are linear: what the parts add sums to the loads of the whole.
func TestInfluence(t *testing.T) {
	each(t, 100, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		bendTo(&v.Undercarriage, angle(40*r.Float64()-20))
		v.Undercarriage.Axle.CG.Y = 0.05
		s := stability.Situation{Slope: slope(8 * r.Float64()), Heading: angle(360 * r.Float64()), Acceleration: 0.4, LateralAcceleration: 0.6, FrontShare: 0.3,
			Drawbar: stability.Drawbar{Pull: 500, Hitch: stability.Point{X: -1, Z: 0.5}}}
		i, err := v.Undercarriage.Influence(s, 0)
		if err != nil {
			t.Fatal(err)
		}
		parts := []stability.Part{
			v.Body.Part(),
			{Mass: 600, CG: stability.Point{X: 2.5, Y: 0.1, Z: 1.4}},
			{Mass: 200, CG: stability.Point{Z: 0.5}, PitchRise: 0.2, RollRise: 0.01},
		}
		body, err := stability.Assemble(parts...)
		if err != nil {
			t.Fatal(err)
		}
		v.Body = body
		m := compile(t, v)
		if _, ok := m.Taken(s); ok {
			return
		}
		l, _ := m.Loads(s)
		sum := i.Constant()
		for _, p := range parts {
			for k, f := range i.Of(p) {
				sum[k] += f
			}
		}
		for k, f := range i.OfAxle(v.Undercarriage.Axle) {
			sum[k] += f
		}
		for k := range sum {
			if math.Abs(float64(sum[k]-l.Rows[k])) > 1e-7 {
				t.Errorf("%v: parts give %v, the whole %v", stability.Row(k), sum[k], l.Rows[k])
			}
		}
		if c := i.Body(stability.RowLiftLeft); !alike(float64(c.Of(&parts[1])), float64(parts[1].Mass)*float64(c.At(parts[1].CG))) {
			t.Error("the coefficient's two forms differ")
		}
	})
}

func TestScale(t *testing.T) {
	each(t, 50, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		v.Body.PitchRise, v.Body.RollRise = 0.03, 0.01
		o := v
		u := &o.Undercarriage
		const k = 1.3
		for _, l := range []*units.Length{&o.Body.CG.X, &o.Body.CG.Y, &o.Body.CG.Z, &o.Body.PitchRise, &o.Body.RollRise, &u.Wheelbase, &u.RearTrack, &u.FrontTrack,
			&u.PinHeight, &u.Axle.CG.X, &u.Axle.CG.Y, &u.Axle.CG.Z, &u.JointX} {
			*l *= k
		}
		o.Body.Mass *= 2.5
		u.Axle.Mass *= 2.5
		o.Gravity = 1.62
		h := angle(360 * r.Float64())
		a, b := compile(t, v), compile(t, o)
		x, _ := a.Tip(h)
		y, _ := b.Tip(h)
		for i := range x.Limits {
			if !sameLimit(x.Limits[i], y.Limits[i]) {
				t.Errorf("%v became %v", x.Limits[i], y.Limits[i])
			}
		}
		s := stability.Situation{Slope: slope(8), Heading: h}
		p, _ := a.Loads(s)
		q, _ := b.Loads(s)
		for i := range p.Rows {
			if f := float64(p.Rows[i]) * 2.5 * 1.62 / kgf; !alike(f, float64(q.Rows[i])) {
				t.Errorf("%v: %v, want %v", stability.Row(i), q.Rows[i], f)
			}
		}
	})
}

// Assembling parts shifted by an offset shifts the body and nothing else.
func TestAssembleShift(t *testing.T) {
	parts := []stability.Part{
		{Mass: 1000, CG: stability.Point{X: 1, Y: 0.1, Z: 0.8}, Inertia: stability.Inertia{XX: 300, YY: 700, ZZ: 800, XZ: -20}},
		{Mass: 200, CG: stability.Point{X: -1, Y: -0.2, Z: 0.5}, PitchRise: 0.2, RollRise: 0.02},
		{Mass: 350, CG: stability.Point{X: 3, Y: 0.3, Z: 1.5}},
	}
	a, err := stability.Assemble(parts...)
	if err != nil {
		t.Fatal(err)
	}
	for i := range parts {
		parts[i].CG.X += 2
		parts[i].CG.Y -= 1
		parts[i].CG.Z += 0.5
	}
	b, _ := stability.Assemble(parts[2], parts[0], parts[1])
	b.CG.X -= 2
	b.CG.Y += 1
	b.CG.Z -= 0.5
	flat := func(b stability.Body) []float64 {
		i := b.Inertia
		return []float64{float64(b.Mass), float64(b.CG.X), float64(b.CG.Y), float64(b.CG.Z), float64(b.PitchRise), float64(b.RollRise),
			float64(i.XX), float64(i.YY), float64(i.ZZ), float64(i.XY), float64(i.XZ), float64(i.YZ)}
	}
	x, y := flat(a), flat(b)
	for i := range x {
		if !alike(x[i], y[i]) {
			t.Errorf("%d: %v, shifted %v", i, x[i], y[i])
		}
	}
	// Two points of mass m at distance 2 r: m r^2 each about their middle.
	two, _ := stability.Assemble(stability.Part{Mass: 10, CG: stability.Point{Y: 1}}, stability.Part{Mass: 10, CG: stability.Point{Y: -1}})
	if two.Inertia != (stability.Inertia{XX: 20, ZZ: 20}) {
		t.Errorf("two points: %+v", two.Inertia)
	}
	// Off the diagonal it is minus the integral of the products.
	two, _ = stability.Assemble(stability.Part{Mass: 10, CG: stability.Point{X: 1, Y: 2, Z: 4}}, stability.Part{Mass: 10, CG: stability.Point{X: -1, Y: -2, Z: -4}})
	if i := two.Inertia; i.XY != -40 || i.XZ != -80 || i.YZ != -160 {
		t.Errorf("two points askew: %+v", i)
	}
}

// While the limit says that the machine stands, every wheel carries load, and
// past it one does not: the axle sums and the body's wheels, and the pivoting
// axle's own wheels.
func TestLoadsAgreeWithLimits(t *testing.T) {
	each(t, 300, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		v.Body.PitchRise, v.Body.RollRise = 0.02, 0.005
		m := compile(t, v)
		h := angle(360 * r.Float64())
		tip, _ := m.Tip(h)
		if !reached(tip.First) {
			return
		}
		for _, f := range []float64{0.3, 0.9, 0.999, 1.001, 1.05} {
			l, err := m.Loads(stability.Situation{Slope: units.Grade(tip.First.Grade * f), Heading: h})
			if err != nil {
				return // beyond the range of slopes
			}
			least := math.Inf(1)
			for _, k := range edgesOf[v.Undercarriage.Kind] {
				least = min(least, float64(l.Rows[k]))
			}
			if (f < 1) != (least > 0) || (l.Status == stability.Within) != (f < 1) {
				t.Errorf("heading %.0f, %v at %.3f of the limit: least load %v, %v\n%v", h/units.Degree, tip.First, f, least, l.Status, l.Rows)
			}
		}
	})
}

func TestWorstIsTheLeast(t *testing.T) {
	each(t, 40, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		v.Body.PitchRise, v.Body.RollRise = units.Length(0.05*r.Float64()), units.Length(0.01*r.Float64())
		m := compile(t, v)
		w := m.WorstTip()
		for _, d := range []units.Angle{-1e-4, 1e-4} {
			if beside, _ := m.Tip(w.Heading + d); beside.First.Grade < w.First.Grade*(1-1e-11) {
				t.Errorf("worst %v at %v, beside it %v", w.First, w.Heading, beside.First)
			}
		}
		curve := make([]stability.PolarPoint, 3600)
		m.Polar(curve)
		least := curve[0]
		for _, p := range curve {
			if p.First.Grade < least.First.Grade {
				least = p
			}
			one, _ := m.Tip(p.Heading)
			if !sameLimit(one.First, p.First) {
				t.Fatalf("the curve has %v, the heading %v", p.First, one.First)
			}
		}
		if d := least.First.Grade - w.First.Grade; d < -1e-12 || d > 1e-5*least.First.Grade || w.First.Kind != least.First.Kind {
			t.Errorf("worst %v at %v, on the curve %v at %v", w.First, w.Heading, least.First, least.Heading)
		}
	})
}

// The pin at the height of the center of gravity makes the track alone count.
func TestPinAtCG(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for range 50 {
		v := draw(r, stability.PivotingFront)
		v.Body.CG.Y = 0
		v.Undercarriage.PinHeight = v.Body.CG.Z
		tip, _ := compile(t, v).Tip(angle(90))
		if want := float64(v.Undercarriage.RearTrack / 2 / v.Body.CG.Z); !alike(tip.Limits[stability.TipsRight].Grade, want) {
			t.Errorf("%v, want T/2z = %v", tip.Limits[stability.TipsRight], want)
		}
	}
}

// In the limit of a tiny stop angle the machine goes over where the rigid one
// does; a stop angle of zero is not that, but not known.
func TestTinyStopIsRigid(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	for range 100 {
		v := draw(r, stability.PivotingFront)
		h := angle(180 * r.Float64())
		v.Undercarriage.StopAngle = 1e-8
		stop, err := compile(t, v).OnStop(h)
		if err != nil {
			t.Fatal(err)
		}
		v.Undercarriage.Kind = stability.Rigid
		tip, _ := compile(t, v).Tip(h)
		want := tip.Limits[stability.TipsRight]
		if reached(stop.Limit) != reached(want) || math.Abs(stop.Limit.Grade-want.Grade) > 1e-6*(1+want.Grade) {
			t.Errorf("tiny stop %v, rigid %v", stop.Limit, want)
		}
		v.Undercarriage.Kind, v.Undercarriage.StopAngle = stability.PivotingFront, 0
		m := compile(t, v)
		stop, _ = m.OnStop(h)
		if stop.Limit.Status != stability.NotChecked || m.Notes()&stability.NoteStopUnknown == 0 {
			t.Errorf("unknown stop: %v, %v", stop.Limit, m.Notes())
		}
	}
}

// A tricycle is a pivoting axle without mass whose pin is on the ground.
func TestTricycle(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 5))
	for range 50 {
		v := draw(r, stability.PivotingFront)
		v.Undercarriage.Axle, v.Undercarriage.PinHeight = stability.Part{}, 0
		h := angle(360 * r.Float64())
		a, _ := compile(t, v).Tip(h)
		v.Undercarriage.Kind = stability.Tricycle
		b, _ := compile(t, v).Tip(h)
		for _, k := range []stability.LimitKind{stability.RearEdge, stability.FrontEdge, stability.TipsLeft, stability.TipsRight} {
			if !alike(a.Limits[k].Grade, b.Limits[k].Grade) {
				t.Errorf("%v: %v and %v", k, a.Limits[k], b.Limits[k])
			}
		}
	}
}

// Straight, an articulated machine tips as a pivoting axle does wherever its
// joint is; bent, it is worse on the inside of the bend.
func TestArticulated(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 6))
	for range 50 {
		v := draw(r, stability.PivotingFront)
		h := angle(360 * r.Float64())
		a, _ := compile(t, v).Tip(h)
		v.Undercarriage.Kind = stability.Articulated
		b, _ := compile(t, v).Tip(h)
		for i := range a.Limits {
			if !sameLimit(a.Limits[i], b.Limits[i]) {
				t.Errorf("%v and %v", a.Limits[i], b.Limits[i])
			}
		}
	}
	v := stability.Vehicle{Body: stability.Body{Mass: 1800, CG: stability.Point{X: 0.3, Z: 0.9}}, Undercarriage: stability.Undercarriage{
		Kind: stability.Articulated, Wheelbase: 2, RearTrack: 1.1, FrontTrack: 1.1, PinHeight: 0.6, JointX: 1, Straight: true,
		Axle: stability.Part{Mass: 1500, CG: stability.Point{X: 1.8, Z: 0.8}},
	}}
	straight := compile(t, v).WorstTip().First.Grade
	bendTo(&v.Undercarriage, angle(35))
	bent := compile(t, v).WorstTip()
	if !(bent.First.Grade < straight) {
		t.Errorf("bent %v, straight %v", bent.First.Grade, straight)
	}
}

// A pivoting rear axle is a pivoting front axle seen from behind, except that
// the rear wheels then hold and the front ones roll: alike across the slope.
func TestPivotingRear(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 7))
	for range 50 {
		v := draw(r, stability.PivotingFront)
		a, _ := compile(t, v).Tip(angle(90))
		o := v
		u := &o.Undercarriage
		u.Kind = stability.PivotingRear
		u.RearTrack, u.FrontTrack = u.FrontTrack, u.RearTrack
		o.Body.CG.X = u.Wheelbase - o.Body.CG.X
		u.Axle.CG.X = u.Wheelbase - u.Axle.CG.X
		b, _ := compile(t, o).Tip(angle(90))
		for _, k := range [][2]stability.LimitKind{{stability.TipsRight, stability.TipsRight}, {stability.FrontLeftWheel, stability.RearLeftWheel}} {
			if x, y := a.Limits[k[0]], b.Limits[k[1]]; !alike(x.Grade, y.Grade) {
				t.Errorf("%v and %v", x, y)
			}
		}
	}
}

// A free surface, like a higher center of gravity, never makes a tipping
// limit safer while the liquid runs to where the support gets narrower, and a
// roll rise never does. The exception is mechanics: a pitch rise lets liquid
// run along the machine, and with the nose uphill on a pivoting front axle it
// runs back, to where the support is wider. The edges at front and rear never
// gain, nor does the limit to show, as long as the axle does not hang so heavy
// and low under its pin that the worst heading is nose uphill.
func TestFreeSurface(t *testing.T) {
	gained := 0
	each(t, 400, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		u := &v.Undercarriage
		u.PinHeight = min(u.PinHeight, v.Body.CG.Z)
		if hang := float64(u.Axle.Mass/v.Body.Mass) * float64(u.PinHeight-u.Axle.CG.Z); float64(v.Body.CG.Z-u.PinHeight) < hang {
			u.Axle.CG.Z = u.PinHeight
		}
		dry := compile(t, v)
		wet := v
		switch r.IntN(3) {
		case 0:
			wet.Body.PitchRise = units.Length(0.05 * r.Float64())
		case 1:
			wet.Body.RollRise = units.Length(0.05 * r.Float64())
		case 2:
			wet.Body.PitchRise = units.Length(0.05 * r.Float64())
			wet.Body.RollRise = wet.Body.PitchRise / 10
		}
		m := compile(t, wet)
		if a, b := dry.WorstTip().First, m.WorstTip().First; b.Grade > a.Grade*(1+1e-12) {
			t.Errorf("%v with a free surface, %v without\n%+v", b, a, wet)
		}
		h := angle(360 * r.Float64())
		a, _ := dry.Tip(h)
		b, _ := m.Tip(h)
		side := stability.TipsRight
		if h.Sin() < 0 {
			side = stability.TipsLeft
		}
		// How much narrower the support gets towards the front.
		narrower := float64(u.RearTrack)
		switch u.Kind {
		case stability.Rigid:
			narrower -= float64(u.FrontTrack)
		case stability.PivotingRear:
			narrower = -float64(u.FrontTrack)
		}
		for _, k := range []stability.LimitKind{stability.RearEdge, stability.FrontEdge, side} {
			x, y := a.Limits[k], b.Limits[k]
			if !reached(x) || x.Grade > 1 || !reached(y) || y.Grade <= x.Grade*(1+1e-12) {
				continue
			}
			if k == side && narrower*h.Cos() > 0 && wet.Body.PitchRise > 0 {
				gained++
				continue
			}
			t.Errorf("heading %.0f: %v with a free surface, %v without", float64(h/units.Degree), y, x)
		}
	})
	if gained == 0 {
		t.Error("the exception never occurred: the test no longer shows it")
	}
}

// Higher is worse, for the limit to show.
func TestHigherIsWorse(t *testing.T) {
	each(t, 200, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		v.Undercarriage.PinHeight = min(v.Undercarriage.PinHeight, v.Body.CG.Z)
		a := compile(t, v).WorstTip().First.Grade
		v.Body.CG.Z += 0.1
		if b := compile(t, v).WorstTip().First.Grade; b > a*(1+1e-12) {
			t.Errorf("%v, higher %v\n%+v", a, b, v)
		}
	})
}

// The figures of the limit to show, from the independent computations behind
// stability_cases.csv, row L-150, and from tan b = Tf/(2 hp) for the axle's
// own event.
func TestShownLimit(t *testing.T) {
	v := loaderTractor(600)
	m := compile(t, v)
	w := m.WorstTip()
	near(t, "worst", degreesOf(w.First), 19.75, 0.005)
	near(t, "heading", float64(w.Heading/units.Degree), 104.0, 0.5)
	tip, _ := m.Tip(angle(90))
	near(t, "across", degreesOf(tip.First), 20.30, 0.005)
	if w.Cautions != stability.SlopeCautions || w.Notes&(stability.NoteFirmGround|stability.NoteQuasiStatic|stability.NoteRigidTires|stability.NotePinFree|stability.NoteStopUnknown) == 0 {
		t.Errorf("assumptions: %v, %v", w.Notes, w.Cautions)
	}

	narrow := compile(t, stability.Vehicle{
		Body:          stability.Body{Mass: 2000, CG: stability.Point{X: 0.7, Z: 0.75}},
		Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 1.9, RearTrack: 1.5, FrontTrack: 1.0, PinHeight: 0.7},
	})
	tip, _ = narrow.Tip(angle(90))
	near(t, "narrow", degreesOf(tip.First), math.Atan(1.0/(2*0.7))*180/math.Pi, 1e-9)
	near(t, "narrow", degreesOf(tip.First), 35.5, 0.05)
	near(t, "narrow stage 1", degreesOf(tip.Limits[stability.TipsRight]), 43.9, 0.05)
	if tip.First.Kind != stability.FrontLeftWheel || tip.First.Status != stability.Binds || tip.Limits[stability.TipsRight].Status != stability.Within {
		t.Errorf("narrow: %+v", tip.First)
	}
}

// loaderTractor is the machine of row L-150 with a load in its bucket.
func loaderTractor(load units.Mass) stability.Vehicle {
	b, err := stability.Assemble(
		stability.Part{Mass: 2600, CG: stability.Point{X: 0.9, Z: 0.78}},
		stability.Part{Mass: load, CG: stability.Point{X: 2.1 + 1.75, Z: 1.5}},
	)
	if err != nil {
		panic(err)
	}
	return stability.Vehicle{Body: b, Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 2.1, RearTrack: 1.4, FrontTrack: 1.4, PinHeight: 0.48}}
}

func TestTippedAlready(t *testing.T) {
	for name, cg := range map[string]stability.Point{
		"behind": {X: -0.1, Z: 0.8}, "ahead": {X: 2.2, Z: 0.8}, "left": {X: 0.9, Y: 0.6, Z: 0.8}, "right": {X: 1.5, Y: -0.3, Z: 0.8},
	} {
		for _, k := range kinds {
			v := loaderTractor(0)
			v.Undercarriage.Kind, v.Undercarriage.Straight = k, true
			v.Body.CG = cg
			if k == stability.Rigid && (name == "right" || name == "left") || k == stability.PivotingRear && name == "right" {
				continue // inside the wider support of these
			}
			m := compile(t, v)
			w := m.WorstTip().First
			tip, _ := m.Tip(angle(30))
			l, _ := m.Loads(stability.Situation{})
			if w.Status != stability.Exceeded || w.Grade != 0 || tip.First.Status != stability.Exceeded || l.Status != stability.Exceeded {
				t.Errorf("%s, %v: %v, %v, %v", name, k, w, tip.First, l.Status)
			}
			e, _ := m.EnergyToOverturn(stability.Situation{Heading: angle(90)})
			if e.Barrier != 0 || e.Status == stability.Within {
				t.Errorf("%s, %v: energy %v", name, k, e)
			}
			mg, err := m.Margin(stability.Situation{})
			if err != nil || mg.Status != stability.Exceeded {
				t.Errorf("%s, %v: margin %v, %v", name, k, mg, err)
			}
		}
	}
}

func TestBadInput(t *testing.T) {
	v := loaderTractor(0)
	v.Body.Mass = 0
	v.Body.CG.Z = units.Length(math.NaN())
	v.Undercarriage.RearTrack = 0
	v.Undercarriage.Wheelbase = 72
	v.Undercarriage.Kind = 9
	v.Undercarriage.Axle = stability.Part{Mass: 100, CG: stability.Point{X: units.Length(math.Inf(1))}}
	v.Gravity = -1
	_, err := v.Compile()
	if !errors.Is(err, units.ErrInvalid) {
		t.Fatal(err)
	}
	for _, path := range []string{"body.mass", "body.cg.z", "undercarriage.kind", "undercarriage.rearTrack", "undercarriage.wheelbase", "undercarriage.axle.cg.x", "gravity"} {
		if !strings.Contains(err.Error(), path+": ") {
			t.Errorf("no word of %s in\n%v", path, err)
		}
	}
	if _, err := stability.Assemble(stability.Part{Mass: 1}, stability.Part{Mass: -1}); err == nil || !strings.Contains(err.Error(), "parts[1].mass") {
		t.Error(err)
	}
	if _, err := stability.Assemble(); err == nil {
		t.Error("no parts: no error")
	}
	axle := loaderTractor(0)
	axle.Undercarriage.Axle.Mass = 200
	if _, err := axle.Compile(); err == nil || !strings.Contains(err.Error(), "axle.cg.x") {
		t.Errorf("an axle at the rear: %v", err)
	}
	m := compile(t, loaderTractor(0))
	for _, s := range []stability.Situation{{Slope: -0.1}, {Slope: 2}, {Heading: units.Angle(math.NaN())}, {Acceleration: 1e308}, {FrontShare: 1.1}, {RearBias: -2}, {Friction: -1}, {Held: 7}, {Drawbar: stability.Drawbar{Pull: 1, Hitch: stability.Point{X: 100}}}} {
		if _, err := m.Loads(s); err == nil {
			t.Errorf("%+v: no error", s)
		}
		if _, err := m.Limits(s); err == nil {
			t.Errorf("%+v: no error", s)
		}
		if _, err := v.Undercarriage.Influence(s, 0); err == nil {
			t.Errorf("%+v: no error", s)
		}
	}
}

// A rut is checked on every kind of machine, those too that it is not computed
// for.
func TestBadRut(t *testing.T) {
	each(t, 1, func(t *testing.T, _ *rand.Rand, v stability.Vehicle) {
		m := compile(t, v)
		for _, h := range []float64{math.NaN(), math.Inf(1), -1e308, 20} {
			if _, err := m.OnUneven(0, stability.Rut{Height: units.Length(h)}); err == nil || !strings.Contains(err.Error(), "height: ") {
				t.Errorf("height %v: %v", h, err)
			}
		}
	})
}

// Leaving a field out never widens the limit to show without an error or a
// note beside it.
func TestZeroFieldIsCautious(t *testing.T) {
	full := loaderTractor(600)
	full.Body.CG.Y = 0.01
	full.Body.PitchRise, full.Body.RollRise = 0.01, 0.002
	u := &full.Undercarriage
	u.StopAngle, u.RearAxleHeight, u.RearTireStiffness = angle(8), 0.65, 4e5
	u.Axle = stability.Part{Mass: 220, CG: stability.Point{X: 2.1, Z: 0.42}}
	was := compile(t, full)
	for name, zero := range map[string]func(v *stability.Vehicle){
		"mass":              func(v *stability.Vehicle) { v.Body.Mass = 0 },
		"cg.x":              func(v *stability.Vehicle) { v.Body.CG.X = 0 },
		"cg.z":              func(v *stability.Vehicle) { v.Body.CG.Z = 0 },
		"wheelbase":         func(v *stability.Vehicle) { v.Undercarriage.Wheelbase = 0 },
		"rearTrack":         func(v *stability.Vehicle) { v.Undercarriage.RearTrack = 0 },
		"frontTrack":        func(v *stability.Vehicle) { v.Undercarriage.FrontTrack = 0 },
		"pinHeight":         func(v *stability.Vehicle) { v.Undercarriage.PinHeight = 0 },
		"stopAngle":         func(v *stability.Vehicle) { v.Undercarriage.StopAngle = 0 },
		"axle":              func(v *stability.Vehicle) { v.Undercarriage.Axle = stability.Part{} },
		"axle.mass":         func(v *stability.Vehicle) { v.Undercarriage.Axle.Mass = 0 },
		"axle.cg.x":         func(v *stability.Vehicle) { v.Undercarriage.Axle.CG.X = 0 },
		"axle.cg.z":         func(v *stability.Vehicle) { v.Undercarriage.Axle.CG.Z = 0 },
		"rearAxleHeight":    func(v *stability.Vehicle) { v.Undercarriage.RearAxleHeight = 0 },
		"rearTireStiffness": func(v *stability.Vehicle) { v.Undercarriage.RearTireStiffness = 0 },
	} {
		v := full
		zero(&v)
		m, err := v.Compile()
		if err != nil {
			continue
		}
		a, b := was.WorstTip(), m.WorstTip()
		if reached(b.First) && b.First.Grade <= a.First.Grade*(1+1e-12) || b.First.Status == stability.Exceeded {
			continue
		}
		if m.Notes()&^was.Notes() == 0 {
			t.Errorf("without %s: %v, with it %v", name, b.First, a.First)
		}
	}
}

// odd returns a machine that few would build: loads off to one side, an axle as
// heavy as the body, a pin above the center of gravity, much free surface.
func odd(r *rand.Rand, kind stability.UndercarriageKind) stability.Vehicle {
	v := draw(r, kind)
	in := func(lo, hi float64) units.Length { return units.Length(lo + (hi-lo)*r.Float64()) }
	u, b := &v.Undercarriage, &v.Body
	u.PinHeight = in(0, 1.6)
	u.Axle.Mass = units.Mass(in(100, 3000))
	u.Axle.CG = stability.Point{X: u.Wheelbase, Y: in(-0.2, 0.2), Z: in(0.2, 0.6)}
	if kind == stability.PivotingRear {
		u.Axle.CG.X = 0
	}
	if kind == stability.Articulated {
		bendTo(u, angle(float64(in(-40, 40))))
	}
	b.CG.X, b.CG.Y, b.CG.Z = u.Wheelbase*in(-0.2, 1), u.RearTrack*in(-0.3, 0.3), in(0.3, 1.3)
	b.PitchRise, b.RollRise = in(0, 0.2), in(0, 0.1)
	return v
}

// inShort returns a quarter of a number of tries in a short run, such as that of the race
// detector.
func inShort(n int) int {
	if testing.Short() {
		return n / 4
	}
	return n
}

// On odd machines too the worst limit is the least of all headings, those next
// to straight up and down among them; the polar curve has the same limits; and
// the limits in motion become those at rest as the motion goes away.
func TestOddMachines(t *testing.T) {
	for _, kind := range kinds {
		r := rand.New(rand.NewPCG(uint64(kind), 29))
		for n := range inShort(150) {
			v := odd(r, kind)
			if kind == stability.PivotingFront && n == 0 {
				// Its worst heading lies next to straight down, where a lesser
				// turn of the nose lets the other rear wheel hold.
				v = stability.Vehicle{
					Body: stability.Body{Mass: 4835, CG: stability.Point{X: -0.466, Y: -0.28, Z: 0.554}, PitchRise: 0.176, RollRise: 0.057},
					Undercarriage: stability.Undercarriage{
						Kind: stability.PivotingFront, Wheelbase: 1.756, RearTrack: 0.946, FrontTrack: 0.818, PinHeight: 1.453,
						Axle: stability.Part{Mass: 1806, CG: stability.Point{X: 1.758, Y: 0.103, Z: 0.386}, PitchRise: 0.02, RollRise: 0.0025},
					},
				}
			}
			m := compile(t, v)
			worst := m.WorstTip().First
			points := make([]stability.PolarPoint, 360)
			m.Polar(points)
			headings := make([]units.Angle, 0, len(points)+4)
			for _, p := range points {
				headings = append(headings, p.Heading)
			}
			headings = append(headings, angle(1e-4), angle(-1e-4), angle(180-1e-4), angle(180+1e-4))
			for i, h := range headings {
				tip, err := m.Tip(h)
				if err != nil {
					t.Fatal(err)
				}
				if worst.Status != stability.Exceeded && reached(tip.First) && !(reached(worst) && worst.Grade <= tip.First.Grade*(1+1e-9)) {
					t.Fatalf("%v %d: worst %v, at %v %v", kind, n, worst, h, tip.First)
				}
				if a, b := points[min(i, len(points)-1)].First, tip.First; i < len(points) && b.Grade < 100 && !closeLimit(a, b) {
					t.Fatalf("%v %d: polar %v, tip %v", kind, n, points[i].First, tip.First)
				}
				if i%15 != 0 {
					continue
				}
				l, err := m.Limits(stability.Situation{Heading: h, Acceleration: 1e-14})
				if err != nil {
					t.Fatal(err)
				}
				for k, a := range l.Tip {
					b := tip.Limits[k]
					past := func(l stability.Limit) bool { return !reached(l) || l.Grade > tip.First.Grade*(1+1e-9) }
					if pivotOf(v.Undercarriage.Kind, b.Kind) >= 0 && past(a) && past(b) {
						continue // past the first loss nothing is said of the pivoting axle
					}
					if b.Grade < 5 && tip.First.Status != stability.Exceeded && (a.Status != b.Status || math.Abs(a.Grade-b.Grade) > 1e-6*(1+b.Grade)) {
						t.Fatalf("%v %d at %v: %v in slow motion, %v at rest", kind, n, h, a, b)
					}
				}
			}
		}
	}
}

// At the limiting acceleration of braking and of turning some wheel is just
// lost, and none before, whatever the free surfaces.
func TestOddAccelerations(t *testing.T) {
	for _, kind := range kinds {
		r := rand.New(rand.NewPCG(uint64(kind), 31))
		for n := range 300 {
			v := odd(r, kind)
			s := stability.Situation{Slope: slope(20 * r.Float64()), Heading: angle(360 * r.Float64())}
			if kind == stability.Articulated && n == 0 {
				v = stability.Vehicle{
					Body: stability.Body{Mass: 3404, CG: stability.Point{X: 0.624, Y: -0.269, Z: 0.436}, PitchRise: 0.127, RollRise: 0.009},
					Undercarriage: stability.Undercarriage{
						Kind: stability.Articulated, Wheelbase: 1.41, RearTrack: 0.911, FrontTrack: 1.96, PinHeight: 1.565,
						JointX: 0.403, JointAngle: -0.387,
						Axle: stability.Part{Mass: 1267, CG: stability.Point{X: 1.111, Y: -0.035, Z: 0.43}, PitchRise: 0.053, RollRise: 0.016},
					},
				}
				s = stability.Situation{Slope: 0.476, Heading: angle(315)}
			}
			m := compile(t, v)
			brake, err := m.Braking(s)
			if err != nil {
				t.Fatal(err)
			}
			turn, err := m.Turn(s, 10)
			if err != nil {
				t.Fatal(err)
			}
			left, right := compile(t, circled(v, 10, 1)), compile(t, circled(v, 10, -1))
			for _, one := range []struct {
				l    stability.AccelerationLimit
				m    *stability.Model
				sign float64
			}{{brake.Lifts, m, 0}, {turn.Left.Parallel, left, 1}, {turn.Right.Parallel, right, -1}} {
				a := float64(one.l.Acceleration)
				switch one.l.Status {
				case stability.Exceeded:
					if !one.m.Loses(s, one.sign, 10, 0) {
						t.Fatalf("%v %d: %v at rest", kind, n, one.l)
					}
				case stability.Within:
					for i := range 20 {
						if f := float64(i) / 20; one.m.Loses(s, one.sign, 10, a*f) {
							t.Fatalf("%v %d: %v, lost at %g of it", kind, n, one.l, f)
						}
					}
					if f := 1 + 1e-6; !one.m.Loses(s, one.sign, 10, a*f) {
						t.Fatalf("%v %d: %v, not lost there", kind, n, one.l)
					}
				}
			}
		}
	}
}
