package stability_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A pendulum let go at 90 degrees from its lowest point passes it after a
// quarter of its period, 4 sqrt(l/g) K(sin 45 deg), with the complete elliptic
// integral K = 1.854074677301372 (Abramowitz and Stegun, table 17.1, m = 0.5).
func pendulumTime(t *testing.T) {
	// From 90 degrees past the upper balance it falls to 180.
	got, v, over := stability.Swing(9.80665, math.Pi/2, 0, 0, math.Pi/2)
	validation.Relative(t, got, 1.854074677301372/math.Sqrt(9.80665))
	if want := 1.854074677301372 / math.Sqrt(9.80665); !over || math.Abs(got-want) > 1e-6 {
		t.Errorf("%v, want %v", got, want)
	}
	if want := math.Sqrt(2 * 9.80665); math.Abs(v-want) > 1e-5 {
		t.Errorf("%v, want %v", v, want)
	}
	if _, _, over := stability.Swing(1, -1, 0, 0.1, 3); over {
		t.Error("it came over without the energy")
	}
}

// The formulas of sliding on a slope, from the balance of forces; the figures
// 7 and 26 degrees for rear wheels or all wheels held are those of a loaded
// front loader at a friction of 0.5.
func TestSlide(t *testing.T) {
	v := loaderTractor(600)
	m := compile(t, v)
	l, x, h := 2.1, float64(v.Body.CG.X), float64(v.Body.CG.Z)
	seen := 0
	for _, mu := range []float64{0.3, 0.5, 0.8} {
		first := func(heading float64, held stability.Held) float64 {
			t.Helper()
			a, err := m.Limits(stability.Situation{Heading: angle(heading), Friction: units.Fraction(mu), Held: held})
			if err != nil {
				t.Fatal(err)
			}
			return a.FirstSlide.Grade
		}
		for name, c := range map[string][2]float64{
			"nose up, rear":   {first(0, stability.HeldRear), mu * (l - x) / (l - mu*h)},
			"nose down, rear": {first(180, stability.HeldRear), mu * (l - x) / (l + mu*h)},
			"nose up, front":  {first(0, stability.HeldFront), mu * x / (l + mu*h)},
			"across, rear":    {first(90, stability.HeldRear), mu},
			"across, all":     {first(90, stability.HeldAll), mu},
			"nose up, all":    {first(0, stability.HeldAll), mu},
			"nose down, all":  {first(180, stability.HeldAll), mu},
		} {
			if !alike(c[0], c[1]) {
				t.Errorf("mu %v %s: %v, want %v", mu, name, c[0], c[1])
			}
		}
		if a, b := first(120, stability.HeldRear), first(120, stability.HeldAll); a >= b || b > mu*(1+1e-12) {
			t.Errorf("oblique: rear %v, all %v", a, b)
		}
	}
	// All wheels held, oblique: what friction each axle has left beside its
	// lateral force adds up to the force along the machine.
	for _, h := range []float64{60, 120, 150} {
		a, _ := m.Limits(stability.Situation{Heading: angle(h), Friction: 0.5, Held: stability.HeldAll})
		if a.FirstSlide.Kind != stability.SlidesAll {
			continue
		}
		loads, err := m.Loads(stability.Situation{Slope: a.FirstSlide.Slope(), Heading: angle(h)})
		if err != nil {
			t.Fatal(err)
		}
		sinB := a.FirstSlide.Slope().Angle().Sin()
		weight := float64(v.Body.Mass) * kgf
		side := weight * sinB * angle(h).Sin()
		left := 0.0
		for r, share := range map[stability.Row]float64{stability.RowFrontAxle: x / l, stability.RowRearAxle: 1 - x/l} {
			n := 0.5 * float64(loads.Rows[r])
			left += math.Sqrt(n*n - side*share*side*share)
		}
		near(t, "oblique, all", left, weight*sinB*math.Abs(angle(h).Cos()), 1e-3)
		seen++
	}
	if seen == 0 {
		t.Error("no oblique heading where the whole machine slides first")
	}
	a, _ := m.Limits(stability.Situation{Heading: angle(180), Friction: 0.5})
	near(t, "7 degrees", degreesOf(a.FirstSlide), 7.0, 0.5)
	if a.First.Kind != stability.SlidesRear || a.Cautions&stability.CautionSlidesFirst == 0 {
		t.Errorf("which comes first: %+v, %v", a.First, a.Cautions)
	}
	a, _ = m.Limits(stability.Situation{Heading: angle(180), Friction: 0.5, Held: stability.HeldAll})
	near(t, "26 degrees", degreesOf(a.FirstSlide), 26.57, 0.01)
	a, _ = m.Limits(stability.Situation{Heading: angle(104), Friction: 0.5, Held: stability.HeldAll})
	if a.First.Kind != stability.TipsRight || a.Cautions&stability.CautionSlidesFirst != 0 {
		t.Errorf("which comes first: %+v", a.First)
	}
	a, _ = m.Limits(stability.Situation{Heading: angle(90)})
	if a.FirstSlide.Status != stability.NotChecked || a.Notes&stability.NoteFrictionUnknown == 0 {
		t.Errorf("unknown friction: %+v, %v", a.FirstSlide, a.Notes)
	}
}

// With a pull or an acceleration the limits are where the loads are zero.
func TestLimitsInMotion(t *testing.T) {
	v := loaderTractor(300)
	v.Body.PitchRise, v.Body.RollRise = 0.02, 0.003
	m := compile(t, v)
	for _, h := range []float64{0, 40, 90, 130, 180, 250} {
		s := stability.Situation{Heading: angle(h), Acceleration: -0.6, LateralAcceleration: 0.8, Drawbar: stability.Drawbar{Pull: 1500, Hitch: stability.Point{X: -0.6, Z: 0.5}}}
		a, err := m.Limits(s)
		if err != nil {
			t.Fatal(err)
		}
		if !reached(a.FirstTip) {
			t.Fatalf("heading %v: %+v", h, a.FirstTip)
		}
		for _, k := range []stability.LimitKind{stability.RearEdge, stability.FrontEdge, stability.TipsRight, stability.TipsLeft} {
			one := a.Tip[k]
			if !reached(one) || one.Slope() > slope(80) {
				continue
			}
			s.Slope = one.Slope()
			i, err := v.Undercarriage.Influence(s, 0)
			if err != nil {
				t.Fatal(err)
			}
			if n := i.Of(v.Body.Part())[k] + i.Constant()[k]; math.Abs(float64(n)) > 0.1 {
				t.Errorf("heading %v, %v at %v: the load is %v", h, k, one.Slope(), n)
			}
		}
	}
}

// A vanishing acceleration leaves every limit where it is at rest.
func TestLimitsAreContinuous(t *testing.T) {
	each(t, 60, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		v.Body.PitchRise = 0.02
		m := compile(t, v)
		s := stability.Situation{Heading: angle(360 * r.Float64())}
		still, _ := m.Limits(s)
		s.LateralAcceleration = 1e-9
		moving, _ := m.Limits(s)
		for i := range still.Tip {
			a, b := still.Tip[i], moving.Tip[i]
			if a.Grade > 2 || b.Grade > 2 {
				continue // near the vertical the small yaw of surfaces counts
			}
			if reached(a) != reached(b) || math.Abs(a.Grade-b.Grade) > 1e-4*(1+a.Grade) {
				t.Errorf("heading %v: at rest %v, moving %v", float64(s.Heading), a, b)
			}
		}
	})
}

func TestBraking(t *testing.T) {
	empty, loaded := loaderTractor(0), loaderTractor(600)
	for _, v := range []stability.Vehicle{empty, loaded} {
		// g (sum m (L - x))/(sum m z): moments about the front contact.
		want := kgf * (2.1 - float64(v.Body.CG.X)) / float64(v.Body.CG.Z)
		b, err := compile(t, v).Braking(stability.Situation{Friction: 0.6})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "lifts", float64(b.Lifts.Acceleration), want, 1e-9)
		// Rear wheels: mu g (L - x)/(L + mu z).
		want = 0.6 * kgf * (2.1 - float64(v.Body.CG.X)) / (2.1 + 0.6*float64(v.Body.CG.Z))
		near(t, "slides", float64(b.Slides.Acceleration), want, 1e-9)
		b, _ = compile(t, v).Braking(stability.Situation{Friction: 0.6, Held: stability.HeldAll})
		near(t, "slides, all", float64(b.Slides.Acceleration), 0.6*kgf, 1e-9)
	}
}

// On an oblique slope the braked rear axle slides where its friction equals
// its longitudinal and its lateral force together, by the balances of force
// and yaw.
func TestBrakingOblique(t *testing.T) {
	v := loaderTractor(300)
	m := compile(t, v)
	for _, h := range []float64{30, 70, 120, 160} {
		s := stability.Situation{Slope: slope(6), Heading: angle(h), Friction: 0.6}
		b, err := m.Braking(s)
		if err != nil {
			t.Fatal(err)
		}
		if b.Slides.Status != stability.Within {
			t.Fatalf("heading %v: %+v", h, b.Slides)
		}
		s.Acceleration = -b.Slides.Acceleration
		l, err := m.Loads(s)
		if err != nil {
			t.Fatal(err)
		}
		mass, sinB := float64(v.Body.Mass), s.Slope.Angle().Sin()
		along := mass * (float64(b.Slides.Acceleration) - kgf*sinB*angle(h).Cos())
		side := mass * kgf * sinB * angle(h).Sin() * (1 - float64(v.Body.CG.X)/2.1)
		near(t, "rear", math.Hypot(along, side), 0.6*float64(l.Of(stability.RowRearAxle)), 1e-6)
	}
}

// Static slope atan(x/h), balance atan(x/(h - r)), torque W x with blocked
// wheels and W x r/h in free acceleration: moments about the rear contact and
// about the rear axle.
func TestRearward(t *testing.T) {
	const m, x, h, r = 3000.0, 0.75, 0.9, 0.65
	model := compile(t, stability.Vehicle{Body: stability.Body{Mass: m, CG: stability.Point{X: x, Z: h}}, Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 2.2, RearTrack: 1.5, FrontTrack: 1.4, RearAxleHeight: r}})
	o, err := model.Rearward(stability.Situation{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", deg(o.StaticSlope.Slope()), math.Atan(x/h)*180/math.Pi, 1e-9)
	near(t, "balance", float64(o.Balance), math.Atan(x/(h-r)), 1e-12)
	near(t, "blocked", float64(o.BlockedTorque), m*kgf*x, 1e-6)
	near(t, "free", float64(o.FreeTorque), m*kgf*x*r/h, 1e-6)
	near(t, "acceleration", float64(o.FreeAcceleration.Acceleration), kgf*x/h, 1e-9)
	o, _ = model.Rearward(stability.Situation{Slope: slope(15)})
	sin, cos := math.Sincos(15 * math.Pi / 180)
	near(t, "blocked uphill", float64(o.BlockedTorque), m*kgf*(x*cos-(h-r)*sin), 1e-6)
	still, err := model.Rear(stability.Rearing{Torque: units.Moment(0.9 * m * kgf * x)})
	if err != nil || still.Status != stability.Within {
		t.Errorf("less torque than the weight's moment: %+v, %v", still, err)
	}
	exact, err := model.Rear(stability.Rearing{Torque: units.Moment(m * kgf * x)})
	if err != nil || exact.Status != stability.Within {
		t.Errorf("exact balance: %+v, %v", exact, err)
	}
}

// 100 mm under one rear wheel of row L-150 rolls the body by 4.10 degrees;
// under one front wheel with the pin free it pitches 1.36 and does not roll.
// Geometry: asin(0.1/1.4) and asin(0.05/2.1).
func TestUneven(t *testing.T) {
	v := loaderTractor(600)
	m := compile(t, v)
	flat, _ := m.Tip(angle(90))
	for _, w := range []stability.WheelInRut{stability.RutRearLeft, stability.RutRearRight} {
		u, err := m.OnUneven(angle(90), stability.Rut{Wheel: w, Height: 0.1})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "roll", math.Abs(float64(u.BodyRoll/units.Degree)), 4.10, 0.005)
		if right := w == stability.RutRearLeft; (u.BodyRoll > 0) != right || (u.CG.Y < 0) != right || (u.TipsRight.Grade < flat.Limits[stability.TipsRight].Grade) != right {
			t.Errorf("%v: %+v", w, u)
		}
		if math.Abs(float64(u.BodyPitch)) > 1e-12 {
			t.Errorf("%v pitches: %v", w, u.BodyPitch)
		}
	}
	u, _ := m.OnUneven(angle(90), stability.Rut{Wheel: stability.RutFrontLeft, Height: 0.1})
	near(t, "pitch", float64(u.BodyPitch/units.Degree), 1.36, 0.005)
	near(t, "axle", float64(u.AxleRoll/units.Degree), math.Asin(0.1/1.4)*180/math.Pi, 1e-9)
	if u.BodyRoll != 0 || u.CG.Y != 0 || u.CG.X >= v.Body.CG.X {
		t.Errorf("front: %+v", u)
	}
	heavy := v
	heavy.Undercarriage.Axle = stability.Part{Mass: 300, CG: stability.Point{X: 2.1, Z: 0.35}}
	m = compile(t, heavy)
	none, _ := m.OnUneven(angle(100), stability.Rut{Wheel: stability.RutRearRight})
	tip, _ := m.Tip(angle(100))
	if !alike(none.TipsRight.Grade, tip.Limits[stability.TipsRight].Grade) || !alike(none.TipsLeft.Grade, tip.Limits[stability.TipsLeft].Grade) && reached(tip.Limits[stability.TipsLeft]) {
		t.Errorf("no rut: %+v", none)
	}
	// A rut under one wheel is a bump under the other, with the ground turned
	// by the difference.
	a, _ := m.OnUneven(angle(90), stability.Rut{Wheel: stability.RutRearRight, Height: -0.1})
	b, _ := m.OnUneven(angle(90), stability.Rut{Wheel: stability.RutRearLeft, Height: 0.1})
	near(t, "rut and bump", float64(a.BodyRoll), float64(b.BodyRoll), 1e-9)
	v.Undercarriage.StopAngle = angle(3)
	u, _ = compile(t, v).OnUneven(0, stability.Rut{Wheel: stability.RutFrontLeft, Height: 0.1})
	if u.Status != stability.Exceeded {
		t.Errorf("the stop comes first: %v", u.Status)
	}
}

func TestMargin(t *testing.T) {
	m := compile(t, loaderTractor(600))
	last := stability.Margin{Angle: 10, LoadShare: 10, Energy: 1e9}
	for _, d := range []float64{0, 5, 10, 15, 20} {
		g, err := m.Margin(stability.Situation{Slope: slope(d), Heading: angle(90)})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "angle", float64(g.Angle/units.Degree), 20.3017-d, 1e-3)
		if g.Status != stability.Within || g.Angle >= last.Angle || g.LoadShare >= last.LoadShare || g.Energy >= last.Energy || g.LoadShare <= 0 || g.Energy <= 0 {
			t.Errorf("%v: %+v", d, g)
		}
		last = g
	}
	g, _ := m.Margin(stability.Situation{Slope: slope(21), Heading: angle(90)})
	if g.Status != stability.Exceeded || g.Angle >= 0 || g.LoadShare >= 0 || g.Energy != 0 {
		t.Errorf("past the limit: %+v", g)
	}
}

// Closed form across the slope, axle without mass: tan b = T/2 (L - x)/(L z -
// p x), differentiated by hand; at the worst heading the heading's own change
// has no effect to first order.
func TestSensitivity(t *testing.T) {
	v := loaderTractor(600)
	s := compile(t, v).Sensitivity()
	l, tr, x, z, p := 2.1, 1.4, float64(v.Body.CG.X), float64(v.Body.CG.Z), 0.48
	// Worst over headings: tan b = (T/2)(L - x)/hypot(L z - p x, (T/2)(z - p)).
	worst := func(l, tr, x, z, p float64) float64 {
		return math.Atan(tr / 2 * (l - x) / math.Hypot(l*z-p*x, tr/2*(z-p)))
	}
	const h = 1e-6
	for i, want := range map[stability.Input]float64{
		stability.InputCGX:       (worst(l, tr, x+h, z, p) - worst(l, tr, x-h, z, p)) / (2 * h),
		stability.InputCGZ:       (worst(l, tr, x, z+h, p) - worst(l, tr, x, z-h, p)) / (2 * h),
		stability.InputWheelbase: (worst(l+h, tr, x, z, p) - worst(l-h, tr, x, z, p)) / (2 * h),
		stability.InputRearTrack: (worst(l, tr+h, x, z, p) - worst(l, tr-h, x, z, p)) / (2 * h),
		stability.InputPinHeight: (worst(l, tr, x, z, p+h) - worst(l, tr, x, z, p-h)) / (2 * h),
		stability.InputBodyMass:  0, stability.InputAxleMass: 0, stability.InputFrontTrack: 0,
	} {
		near(t, i.String(), s.PerUnit[i], want, 1e-6)
	}
	// With a heavy axle hf high: the term (mf/mb)(hf - p)(T/2) beside z - p.
	const mf, hf = 300.0, 0.4
	v.Undercarriage.Axle = stability.Part{Mass: mf, CG: stability.Point{X: 2.1, Z: hf}}
	mb := float64(v.Body.Mass)
	heavy := func(l, mf float64) float64 {
		return math.Atan(tr / 2 * (l - x) / math.Hypot(l*z-p*x, tr/2*(z-p+mf/mb*(hf-p))))
	}
	s = compile(t, v).Sensitivity()
	near(t, "wheelbase", s.PerUnit[stability.InputWheelbase], (heavy(l+h, mf)-heavy(l-h, mf))/(2*h), 1e-6)
	near(t, "axle mass", s.PerUnit[stability.InputAxleMass], (heavy(l, mf+1)-heavy(l, mf-1))/2, 1e-9)
}

// Tires as stiff as steel are rigid, with an axle's mass and free surfaces
// too; softer ones are worse.
func TestStiffTires(t *testing.T) {
	v := loaderTractor(600)
	v.Body.PitchRise, v.Body.RollRise = 0.03, 0.003
	v.Undercarriage.Axle = stability.Part{Mass: 300, CG: stability.Point{X: 2.1, Z: 0.35}}
	for _, h := range []float64{70, 90, 104, 130, 260} {
		v.Undercarriage.RearTireStiffness = 1e8
		m := compile(t, v)
		tip, _ := m.Tip(angle(h))
		hard, err := m.TipOnTires(angle(h))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "stiff", degreesOf(hard.Limit), degreesOf(tip.Limits[hard.Limit.Kind]), 0.01)
		v.Undercarriage.RearTireStiffness = 3e5
		soft, _ := compile(t, v).TipOnTires(angle(h))
		if !(soft.Limit.Grade < hard.Limit.Grade && soft.FirstOrder.Grade < hard.FirstOrder.Grade) {
			t.Errorf("heading %v: soft %v, stiff %v", h, soft.Limit, hard.Limit)
		}
		near(t, "first order", degreesOf(soft.FirstOrder), degreesOf(soft.Limit), 0.3)
	}
}

func TestBand(t *testing.T) {
	m := compile(t, loaderTractor(600))
	tol := stability.Tolerances{CG: stability.Point{X: 0.03, Y: 0.01, Z: 0.05}, RearTrack: 0.02, PinHeight: 0.02, Wheelbase: 0.01}
	a, err := m.Band(tol, 2000, 7)
	if err != nil {
		t.Fatal(err)
	}
	b, _ := m.Band(tol, 2000, 7)
	if a != b {
		t.Error("equal seeds, unequal bands")
	}
	at := a.Limit.Slope()
	if !(a.Range.Low < a.Interval.Low && a.Interval.Low < at && at < a.Interval.High && a.Interval.High < a.Range.High) {
		t.Errorf("%+v", a)
	}
	none, _ := m.Band(stability.Tolerances{}, 100, 1)
	if !alike(float64(none.Range.Low), float64(at)) || !alike(float64(none.Range.High), float64(at)) {
		t.Errorf("no tolerance: %+v", none)
	}
	if _, err := m.Band(stability.Tolerances{RearTrack: 5, CG: stability.Point{Z: -1}}, 10, 1); err == nil {
		t.Error("no error")
	}
}

// On a wide level turn a/g is the tangent of the tipping slope across; held by
// row J of stability_cases.csv. On a tight one the part of the acceleration
// along the machine lowers it, and on a slope uphill and downhill turns differ.
func TestTurn(t *testing.T) {
	m := compile(t, loaderTractor(600))
	level, err := m.Turn(stability.Situation{Friction: 0.9}, 8)
	if err != nil {
		t.Fatal(err)
	}
	tip, _ := m.Tip(angle(90))
	if a := float64(level.Left.Parallel.Acceleration) / kgf; !(a < tip.First.Grade) {
		t.Errorf("a tight turn: %v, a wide one %v", a, tip.First.Grade)
	}
	wide, err := m.Turn(stability.Situation{}, 1e5)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "level", float64(wide.Left.Parallel.Acceleration)/kgf, tip.First.Grade, 1e-5)
	near(t, "slides", float64(level.Left.Slides.Acceleration), 0.9*kgf, 1e-9)
	if level.Left.First.Kind != stability.TipsRight || level.Right.First.Kind != stability.TipsLeft || level.Left.Speed != level.Left.ParallelSpeed {
		t.Errorf("%+v", level.Left)
	}
	for _, h := range []float64{0, 60, 90, 150, 180} {
		s, err := m.Turn(stability.Situation{Slope: slope(8), Heading: angle(h)}, 8)
		if err != nil {
			t.Fatal(err)
		}
		if h == 90 && !(s.Left.Speed < level.Left.Speed && s.Right.Speed > level.Right.Speed) {
			t.Errorf("heading %v: %+v", h, s)
		}
	}
	// The center of gravity is 0.83 m ahead of the rear axle.
	if _, err := m.Turn(stability.Situation{}, 0.8); err == nil || !slices.Contains(fieldPaths(err), "radius") {
		t.Errorf("a circle whose center cannot lie on the rear axle's line: %v", err)
	}
}

func TestNoAllocations(t *testing.T) {
	v := loaderTractor(600)
	m := compile(t, v)
	c, err := stability.Situation{Slope: slope(8), Heading: angle(100), Friction: 0.5}.Compile(0)
	if err != nil {
		t.Fatal(err)
	}
	i, err := v.Undercarriage.Influence(stability.Situation{}, 0)
	if err != nil {
		t.Fatal(err)
	}
	p := v.Body.Part()
	points := make([]stability.PolarPoint, 360)
	for name, f := range map[string]func(){
		"LimitsIn": func() { m.LimitsIn(&c) },
		"LoadsIn":  func() { m.LoadsIn(&c) },
		"Tip":      func() { _, _ = m.Tip(1) },
		"WorstTip": func() { m.WorstTip() },
		"Polar":    func() { m.Polar(points) },
		"Of":       func() { i.Of(p) },
		"At":       func() { i.Body(stability.RowLiftLeft).At(p.CG) },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s: %v allocations", name, n)
		}
	}
}
