package stability_test

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// fieldPaths returns the paths of the fields that an error is about.
func fieldPaths(err error) []string {
	if f, ok := err.(*units.FieldError); ok {
		return []string{f.Path}
	}
	var out []string
	if m, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range m.Unwrap() {
			out = append(out, fieldPaths(e)...)
		}
	}
	return out
}

// The ranges that the documentation states: the ends are taken, a hundredth
// beyond them is an error about that field.
func TestRanges(t *testing.T) {
	degree := float64(units.Degree)
	situation := func(set func(*stability.Situation, float64)) func(float64) error {
		return func(v float64) error {
			s := stability.Situation{Drawbar: stability.Drawbar{Pull: 1}}
			set(&s, v)
			return s.Validate()
		}
	}
	frame := func(set func(*stability.Undercarriage, float64)) func(float64) error {
		return func(v float64) error {
			u := stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 2, RearTrack: 1.5, FrontTrack: 1.4, PinHeight: 0.4, Axle: stability.Part{Mass: 200, CG: stability.Point{X: 2, Z: 0.4}}}
			set(&u, v)
			return u.Validate()
		}
	}
	part := func(set func(*stability.Part, float64)) func(float64) error {
		return func(v float64) error {
			p := stability.Part{Mass: 100, Inertia: stability.Inertia{XX: 1e9, YY: 1e9, ZZ: 1e9}}
			set(&p, v)
			return p.Validate()
		}
	}
	v := loaderTractor(600)
	v.Undercarriage.RearAxleHeight = 0.6
	m := compile(t, v)
	rear := func(set func(*stability.Rearing, float64)) func(float64) error {
		return func(v float64) error {
			r := stability.Rearing{Torque: 1}
			set(&r, v)
			_, err := m.Rear(r)
			return err
		}
	}
	rolling := func(set func(*stability.Rolling, float64)) func(float64) error {
		return func(v float64) error {
			r := stability.Rolling{Rate: 1}
			set(&r, v)
			_, err := m.Rollover(r)
			return err
		}
	}
	rut := func(rear, front, base units.Length, kind stability.UndercarriageKind, wheel stability.WheelInRut) func(float64) error {
		v := loaderTractor(0)
		u := &v.Undercarriage
		u.RearTrack, u.FrontTrack, u.Wheelbase, u.Kind = rear, front, base, kind
		m := compile(t, v)
		return func(v float64) error {
			_, err := m.OnUneven(0, stability.Rut{Wheel: wheel, Height: units.Length(v)})
			return err
		}
	}
	band := func(set func(*stability.Tolerances, float64)) func(float64) error {
		v := loaderTractor(600)
		v.Undercarriage.FrontTrack = 1.2
		v.Undercarriage.Axle = stability.Part{Mass: 220, CG: stability.Point{X: 2.1, Z: 0.4}}
		m := compile(t, v)
		return func(v float64) error {
			var o stability.Tolerances
			set(&o, v)
			_, err := m.Band(o, 100, 1)
			return err
		}
	}
	narrow := func(set func(*stability.NarrowTractor, float64)) func(float64) error {
		n := annexExamples(t)[0].tractor
		return func(v float64) error {
			n := n
			set(&n, v)
			return n.Validate()
		}
	}
	for _, c := range []struct {
		path      string
		low, high float64
		err       func(float64) error
	}{
		{"cgHeight", 0.1, 3, narrow(func(n *stability.NarrowTractor, v float64) { n.CGHeight = units.Length(v) })},
		{"cgToRear", 0.1, 5, narrow(func(n *stability.NarrowTractor, v float64) { n.CGToRear = units.Length(v) })},
		{"cgToFront", 0.1, 5, narrow(func(n *stability.NarrowTractor, v float64) { n.CGToFront = units.Length(v) })},
		{"rearTire", 0.2, 3, narrow(func(n *stability.NarrowTractor, v float64) { n.RearTire = units.Length(v) })},
		{"frontTire", 0.2, 3, narrow(func(n *stability.NarrowTractor, v float64) { n.FrontTire = units.Length(v) })},
		{"frameHeight", 0.5, 5, narrow(func(n *stability.NarrowTractor, v float64) { n.FrameHeight = units.Length(v) })},
		{"frameBehind", -5, 5, narrow(func(n *stability.NarrowTractor, v float64) { n.FrameBehind = units.Length(v) })},
		{"frameWidth", 0.1, 4, narrow(func(n *stability.NarrowTractor, v float64) { n.FrameWidth = units.Length(v) })},
		{"hoodHeight", 0.2, 5, narrow(func(n *stability.NarrowTractor, v float64) { n.HoodHeight = units.Length(v) })},
		{"hoodWidth", 0.1, 4, narrow(func(n *stability.NarrowTractor, v float64) { n.HoodWidth = units.Length(v) })},
		{"hoodAhead", 0.1, 5, narrow(func(n *stability.NarrowTractor, v float64) { n.HoodAhead = units.Length(v) })},
		{"pinHeight", 0.05, 3, narrow(func(n *stability.NarrowTractor, v float64) { n.PinHeight = units.Length(v) })},
		{"track", 0.2, 4, narrow(func(n *stability.NarrowTractor, v float64) { n.Track = units.Length(v) })},
		{"tireWidth", 0.05, 2, narrow(func(n *stability.NarrowTractor, v float64) { n.TireWidth = units.Length(v) })},
		{"mass", 100, 20000, narrow(func(n *stability.NarrowTractor, v float64) { n.Mass = units.Mass(v) })},
		{"rollInertia", 1, 100000, narrow(func(n *stability.NarrowTractor, v float64) { n.RollInertia = units.Inertia(v) })},
		{"slope", 0, 85 * degree, situation(func(s *stability.Situation, v float64) { s.Slope = units.Slope(v) })},
		{"heading", -360 * degree, 360 * degree, situation(func(s *stability.Situation, v float64) { s.Heading = units.Angle(v) })},
		{"acceleration", -100, 100, situation(func(s *stability.Situation, v float64) { s.Acceleration = units.Acceleration(v) })},
		{"lateralAcceleration", -100, 100, situation(func(s *stability.Situation, v float64) { s.LateralAcceleration = units.Acceleration(v) })},
		{"frontShare", 0, 1, situation(func(s *stability.Situation, v float64) { s.FrontShare = units.Fraction(v) })},
		{"rearBias", -1, 1, situation(func(s *stability.Situation, v float64) { s.RearBias = units.Fraction(v) })},
		{"friction", 0, 2, situation(func(s *stability.Situation, v float64) { s.Friction = units.Fraction(v) })},
		{"drawbar.pull", -1e7, 1e7, situation(func(s *stability.Situation, v float64) { s.Drawbar.Pull = units.Force(v) })},
		{"drawbar.inclination", -90 * degree, 90 * degree, situation(func(s *stability.Situation, v float64) { s.Drawbar.Inclination = units.Angle(v) })},
		{"drawbar.deflection", -90 * degree, 90 * degree, situation(func(s *stability.Situation, v float64) { s.Drawbar.Deflection = units.Angle(v) })},
		{"wheelbase", 0.5, 10, frame(func(u *stability.Undercarriage, v float64) { u.Wheelbase, u.Axle = units.Length(v), stability.Part{} })},
		{"rearTrack", 0.2, 6, frame(func(u *stability.Undercarriage, v float64) { u.RearTrack = units.Length(v) })},
		{"frontTrack", 0.2, 6, frame(func(u *stability.Undercarriage, v float64) { u.FrontTrack = units.Length(v) })},
		{"frontTrack", 0, 6, frame(func(u *stability.Undercarriage, v float64) {
			u.Kind, u.FrontTrack = stability.Tricycle, units.Length(v)
		})},
		{"pinHeight", 0, 5, frame(func(u *stability.Undercarriage, v float64) { u.PinHeight = units.Length(v) })},
		{"stopAngle", 0, 45 * degree, frame(func(u *stability.Undercarriage, v float64) { u.StopAngle = units.Angle(v) })},
		{"jointX", 0, 2, frame(func(u *stability.Undercarriage, v float64) { u.JointX = units.Length(v) })},
		{"jointAngle", -60 * degree, 60 * degree, frame(func(u *stability.Undercarriage, v float64) { u.JointAngle = units.Angle(v) })},
		{"rearAxleHeight", 0, 2, frame(func(u *stability.Undercarriage, v float64) { u.RearAxleHeight = units.Length(v) })},
		{"rearTireStiffness", 1e4, 1e8, frame(func(u *stability.Undercarriage, v float64) { u.RearTireStiffness = units.Stiffness(v) })},
		{"axle.cg.x", 1, 3, frame(func(u *stability.Undercarriage, v float64) { u.Axle.CG.X = units.Length(v) })},
		{"axle.cg.x", -1, 1, frame(func(u *stability.Undercarriage, v float64) {
			u.Kind, u.Axle.CG.X = stability.PivotingRear, units.Length(v)
		})},
		{"mass", 0, 1e6, part(func(p *stability.Part, v float64) { p.Mass = units.Mass(v) })},
		{"cg.x", -50, 50, part(func(p *stability.Part, v float64) { p.CG.X = units.Length(v) })},
		{"cg.y", -50, 50, part(func(p *stability.Part, v float64) { p.CG.Y = units.Length(v) })},
		{"cg.z", -50, 50, part(func(p *stability.Part, v float64) { p.CG.Z = units.Length(v) })},
		{"pitchRise", 0, 5, part(func(p *stability.Part, v float64) { p.PitchRise = units.Length(v) })},
		{"rollRise", 0, 5, part(func(p *stability.Part, v float64) { p.RollRise = units.Length(v) })},
		{"inertia.xx", math.NaN(), 1e9, part(func(p *stability.Part, v float64) { p.Inertia.XX = units.Inertia(v) })},
		{"inertia.xy", -1e9, 1e9, part(func(p *stability.Part, v float64) { p.Inertia.XY = units.Inertia(v) })},
		{"inertia.xz", -1e9, 1e9, part(func(p *stability.Part, v float64) { p.Inertia.XZ = units.Inertia(v) })},
		{"inertia.yz", -1e9, 1e9, part(func(p *stability.Part, v float64) { p.Inertia.YZ = units.Inertia(v) })},
		// Off-diagonal elements up to the root of the product of the moments.
		{"inertia", -6, 6, part(func(p *stability.Part, v float64) { p.Inertia = stability.Inertia{XX: 4, YY: 9, XY: units.Inertia(v)} })},
		{"inertia", -6, 6, part(func(p *stability.Part, v float64) { p.Inertia = stability.Inertia{XX: 4, ZZ: 9, XZ: units.Inertia(v)} })},
		{"inertia", -6, 6, part(func(p *stability.Part, v float64) { p.Inertia = stability.Inertia{YY: 4, ZZ: 9, YZ: units.Inertia(v)} })},
		// The determinant, 17.68 + 4.8 xy - 5 xy^2, is not negative.
		{"inertia", (4.8 - math.Sqrt(376.64)) / 10, (4.8 + math.Sqrt(376.64)) / 10, part(func(p *stability.Part, v float64) {
			p.Inertia = stability.Inertia{XX: 2, YY: 3, ZZ: 5, XZ: 1.2, YZ: 2, XY: units.Inertia(v)}
		})},
		{"gravity", 0.1, 100, func(g float64) error { v := v; v.Gravity = units.Acceleration(g); return v.Validate() }},
		{"torque", 0, 1e7, rear(func(r *stability.Rearing, v float64) { r.Torque = units.Moment(v) })},
		{"offset", 0, 90 * degree, rear(func(r *stability.Rearing, v float64) { r.Offset = units.Angle(v) })},
		{"rate", 0, 10, rear(func(r *stability.Rearing, v float64) { r.Rate = v })},
		{"slope", 0, 60 * degree, rear(func(r *stability.Rearing, v float64) { r.Slope = units.Slope(v) })},
		{"offset", 0, 60 * degree, rolling(func(r *stability.Rolling, v float64) { r.Offset = units.Angle(v) })},
		{"rate", 0, 20, rolling(func(r *stability.Rolling, v float64) { r.Rate = v })},
		{"slope", 0, 85 * degree, rolling(func(r *stability.Rolling, v float64) { r.Slope = units.Slope(v) })},
		{"contact.y", -50, 50, rolling(func(r *stability.Rolling, v float64) { r.Contact.Y = units.Length(v) })},
		// Half the track of its axle, and half the wheelbase.
		{"height", -0.7, 0.7, rut(1.4, 1, 2.1, stability.PivotingFront, stability.RutRearLeft)},
		{"height", -0.5, 0.5, rut(1.4, 1, 2.1, stability.PivotingFront, stability.RutFrontRight)},
		{"height", -0.5, 0.5, rut(1.4, 1.2, 1, stability.PivotingFront, stability.RutRearRight)},
		{"height", -0.5, 0.5, rut(1.4, 1.2, 1, stability.PivotingFront, stability.RutFrontLeft)},
		{"height", -1.05, 1.05, rut(1.4, 1, 2.1, stability.Tricycle, stability.RutFrontLeft)},
		{"cg.x", 0, 2.1, band(func(t *stability.Tolerances, v float64) { t.CG.X = units.Length(v) })},
		{"cg.y", 0, 2.1, band(func(t *stability.Tolerances, v float64) { t.CG.Y = units.Length(v) })},
		{"cg.z", 0, 2.1, band(func(t *stability.Tolerances, v float64) { t.CG.Z = units.Length(v) })},
		{"bodyMass", 0, 1600, band(func(t *stability.Tolerances, v float64) { t.BodyMass = units.Mass(v) })},
		{"axleMass", 0, 110, band(func(t *stability.Tolerances, v float64) { t.AxleMass = units.Mass(v) })},
		{"wheelbase", 0, 1.05, band(func(t *stability.Tolerances, v float64) { t.Wheelbase = units.Length(v) })},
		{"rearTrack", 0, 0.7, band(func(t *stability.Tolerances, v float64) { t.RearTrack = units.Length(v) })},
		{"frontTrack", 0, 0.6, band(func(t *stability.Tolerances, v float64) { t.FrontTrack = units.Length(v) })},
		{"pinHeight", 0, 0.48, band(func(t *stability.Tolerances, v float64) { t.PinHeight = units.Length(v) })},
		{"draws", 100, 1e6, func(v float64) error {
			// With an error elsewhere, so that nothing is drawn.
			_, err := m.Band(stability.Tolerances{AxleMass: 1}, int(v), 1)
			return err
		}},
		{"radius", 0.1, 1e5, func(v float64) error {
			near := loaderTractor(0)
			near.Body.CG.X = 0.05
			_, err := compile(t, near).Turn(stability.Situation{}, units.Length(v))
			return err
		}},
		{"drop", 0, 100, func(v float64) error { _, err := stability.DropFactor(units.Length(v), 0.1); return err }},
		{"sag", 1e-6, 100, func(v float64) error { _, err := stability.DropFactor(1, units.Length(v)); return err }},
	} {
		beyond := func(v, side float64) float64 {
			if v == 0 {
				return side * 1e-3
			}
			return v + side*0.01*math.Abs(v)
		}
		says := func(v float64) bool { return slices.Contains(fieldPaths(c.err(v)), c.path) }
		if c.low == c.low && (says(c.low) || !says(beyond(c.low, -1))) {
			t.Errorf("%s from %v: %v there, %v below", c.path, c.low, c.err(c.low), c.err(beyond(c.low, -1)))
		}
		if says(c.high) || !says(beyond(c.high, 1)) {
			t.Errorf("%s to %v: %v there, %v above", c.path, c.high, c.err(c.high), c.err(beyond(c.high, 1)))
		}
	}
	if err := (stability.Body{}).Validate(); !slices.Contains(fieldPaths(err), "mass") || !strings.Contains(err.Error(), "must be above 0 and at most 1000000 kg") {
		t.Errorf("a body without mass: %v", err)
	}
	if err := (stability.Part{Mass: -1}).Validate(); !strings.Contains(err.Error(), "must be between 0 kg and 1000000 kg") {
		t.Errorf("a part of negative mass: %v", err)
	}
	// The first value that has no name.
	frameKind := frame(func(u *stability.Undercarriage, v float64) { u.Kind = stability.UndercarriageKind(v) })
	held := situation(func(s *stability.Situation, v float64) { s.Held = stability.Held(v) })
	wheel := func(v float64) error {
		_, err := m.OnUneven(0, stability.Rut{Wheel: stability.WheelInRut(v)})
		return err
	}
	for path, c := range map[string]struct {
		names int
		err   func(float64) error
	}{"kind": {int(stability.PivotingRear) + 1, frameKind}, "held": {int(stability.HeldAll) + 1, held}, "wheel": {int(stability.RutRearRight) + 1, wheel}} {
		if n := float64(c.names); slices.Contains(fieldPaths(c.err(n-1)), path) || !slices.Contains(fieldPaths(c.err(n)), path) {
			t.Errorf("%s: %v for the last name, %v after it", path, c.err(n-1), c.err(n))
		}
	}
	// A kind that was not given is asked for, by all names that are accepted.
	const asked = "must be one of pivotingFront, rigid, articulated, tricycle, pivotingRear"
	if err := frameKind(float64(stability.UndercarriageUnknown)); !slices.Equal(fieldPaths(err), []string{"kind"}) || !strings.Contains(err.Error(), asked) {
		t.Errorf("no kind: %v", err)
	}
	// Neither turned nor turning.
	_, err := m.Rollover(stability.Rolling{})
	var field *units.FieldError
	if !errors.As(err, &field) || field.Path != "offset" || field.Value != "0" {
		t.Errorf("from exact balance: %v", err)
	}
	for _, r := range []stability.Rolling{{Offset: 0.1}, {Rate: 0.1}} {
		if _, err := m.Rollover(r); err != nil {
			t.Errorf("%+v: %v", r, err)
		}
	}
}

// On a slope the balance comes sooner by the slope along the machine, the
// torque of free acceleration also holds the machine on the slope, and liquid
// in the tires counts at the height of its axle: geometry and moments about
// the rear axle and the rear contact.
func TestRearwardOnSlope(t *testing.T) {
	const mass, x, h, r, rise = 3000.0, 0.75, 0.9, 0.65, 0.05
	v := stability.Vehicle{
		Body:          stability.Body{Mass: mass, CG: stability.Point{X: x, Z: h}, PitchRise: rise},
		Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 2.2, RearTrack: 1.5, FrontTrack: 1.4, PinHeight: 0.4, RearAxleHeight: r},
	}
	m := compile(t, v)
	for _, c := range []struct{ slope, heading float64 }{{0, 0}, {12, 0}, {12, 60}, {12, 180}, {20, 90}} {
		s := stability.Situation{Slope: slope(c.slope), Heading: angle(c.heading)}
		o, err := m.Rearward(s)
		if err != nil {
			t.Fatal(err)
		}
		sin, cos := math.Sincos(c.slope * math.Pi / 180)
		along := sin * math.Cos(c.heading*math.Pi/180)
		near(t, "balance", float64(o.Balance), math.Atan(x/(h+rise-r))-math.Atan(along/cos), 1e-12)
		near(t, "blocked", float64(o.BlockedTorque), mass*kgf*(x*cos-(h+rise-r)*along), 1e-6)
		// The front lifts where m a z + m g along z = m g cos x.
		a := kgf * (cos*x/(h+rise) - along)
		near(t, "acceleration", float64(o.FreeAcceleration.Acceleration), a, 1e-9)
		near(t, "free", float64(o.FreeTorque), mass*(a+kgf*along)*r, 1e-6)
	}
	// The pull of the drawbar is part of the drive.
	const pull, hitch = 5000.0, 0.5
	o, err := m.Rearward(stability.Situation{Drawbar: stability.Drawbar{Pull: pull, Hitch: stability.Point{X: -0.5, Z: hitch}}})
	if err != nil {
		t.Fatal(err)
	}
	a := (mass*kgf*x - pull*hitch) / (mass * (h + rise))
	near(t, "pulling", float64(o.FreeAcceleration.Acceleration), a, 1e-9)
	near(t, "pulling, torque", float64(o.FreeTorque), (mass*a+pull)*r, 1e-6)
	// So steep that the machine lies over already.
	if o, _ = m.Rearward(stability.Situation{Slope: slope(40)}); o.Status != stability.Exceeded || o.FreeAcceleration.Status != stability.Exceeded || o.FreeTorque != 0 {
		t.Errorf("past the limit: %+v", o)
	}
	if o, _ = m.Rearward(stability.Situation{Slope: slope(75)}); o.BalanceStatus != stability.Exceeded || o.Balance != 0 || o.BlockedTorque != 0 {
		t.Errorf("past the balance: %+v", o)
	}
	// The axle's height unknown: no figure about the axle.
	v.Undercarriage.RearAxleHeight = 0
	if o, _ = compile(t, v).Rearward(stability.Situation{}); o.BlockedTorque != 0 || o.Balance != 0 || o.BalanceStatus != stability.NotChecked || o.FreeAcceleration.Status != stability.Within {
		t.Errorf("height unknown: %+v", o)
	}
}

// Lying over on level ground already, a machine has the slope itself as what
// it is past the limit.
func TestMarginTipped(t *testing.T) {
	v := loaderTractor(600)
	v.Body.CG.Y = 2
	g, err := compile(t, v).Margin(stability.Situation{Slope: slope(7), Heading: angle(90)})
	if err != nil {
		t.Fatal(err)
	}
	if g.Status != stability.Exceeded || math.Abs(float64(g.Angle/units.Degree)+7) > 1e-9 {
		t.Errorf("over already: %+v", g)
	}
}

// Heights of a fall and of a drop that bring the energy: over the weight of
// the whole machine, and over the downhill rear wheel's load.
func TestEnergyAsHeights(t *testing.T) {
	v := loaderTractor(600)
	v.Undercarriage.Axle = stability.Part{Mass: 250, CG: stability.Point{X: 2.1, Z: 0.4}}
	m := compile(t, v)
	for _, heading := range []float64{90, 110, 270} {
		s := stability.Situation{Slope: slope(10), Heading: angle(heading)}
		e, err := m.EnergyToOverturn(s)
		if err != nil {
			t.Fatal(err)
		}
		l, err := m.Loads(s)
		if err != nil {
			t.Fatal(err)
		}
		down, up := stability.RowRearRight, stability.RowRearLeft
		if heading > 180 {
			down, up = up, down
		}
		if l.Of(down) <= l.Of(up) {
			t.Fatalf("heading %v: downhill carries %v, uphill %v", heading, l.Of(down), l.Of(up))
		}
		weight := float64(v.Body.Mass+v.Undercarriage.Axle.Mass) * kgf
		near(t, "fall", float64(e.Fall), float64(e.Barrier)/weight, 1e-12)
		near(t, "drop", float64(e.WheelDrop), float64(e.Barrier)/float64(l.Of(down)), 1e-12)
	}
}
