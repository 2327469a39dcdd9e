package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// NarrowTractor is what Regulation (EU) No 1322/2014, Annex IX, asks of a
// narrow-track tractor with a roll-over frame in front of the driver, to
// calculate whether it rolls on after it has overturned sideways. Symbols are
// the regulation's. All fields must be given; the tires hold no liquid, and the
// track is the narrowest one.
type NarrowTractor struct {
	// CGHeight (H1) is the height of the center of gravity above level ground,
	// 0.1 to 3 m.
	CGHeight units.Length `json:"cgHeight"`
	// CGToRear (L3) is how far the center of gravity lies ahead of the rear axle,
	// 0.1 to 5 m.
	CGToRear units.Length `json:"cgToRear"`
	// CGToFront (L2) is how far it lies behind the front axle, 0.1 to 5 m.
	CGToFront units.Length `json:"cgToFront"`
	// RearTire (D3) is the height of the rear tires under full load, 0.2 to 3 m.
	RearTire units.Length `json:"rearTire"`
	// FrontTire (D2) is the height of the front tires under full load, 0.2 to
	// 3 m.
	FrontTire units.Length `json:"frontTire"`
	// FrameHeight (H6) is the height of the point of the roll-over frame that
	// strikes the ground, above level ground, 0.5 to 5 m.
	FrameHeight units.Length `json:"frameHeight"`
	// FrameBehind (L6) is how far that point lies behind the center of gravity, at
	// most 5 m. It is negative if the frame stands ahead of it.
	FrameBehind units.Length `json:"frameBehind" zero:"value"`
	// FrameWidth (B6) is the width of the frame, 0.1 to 4 m.
	FrameWidth units.Length `json:"frameWidth"`
	// HoodHeight (H7) is the height of the hood, 0.2 to 5 m.
	HoodHeight units.Length `json:"hoodHeight"`
	// HoodWidth (B7) is the width of the hood, 0.1 to 4 m.
	HoodWidth units.Length `json:"hoodWidth"`
	// HoodAhead (L7) is how far the hood's front corner lies ahead of the center
	// of gravity, 0.1 to 5 m.
	HoodAhead units.Length `json:"hoodAhead"`
	// PinHeight (H0) is the height of the front axle's pin, 0.05 to 3 m.
	PinHeight units.Length `json:"pinHeight"`
	// Track (S) is the rear track, 0.2 to 4 m.
	Track units.Length `json:"track"`
	// TireWidth (B0) is the width of a rear tire, 0.05 to 2 m.
	TireWidth units.Length `json:"tireWidth"`
	// StopAngle (D0) is how far the front axle swings from level to its stop,
	// above 0 and up to 45 degrees.
	StopAngle units.Angle `json:"stopAngle"`
	// Mass (Mc) is the mass, 100 to 20000 kg.
	Mass units.Mass `json:"mass"`
	// RollInertia (Q) is the moment of inertia about the longitudinal axis through
	// the center of gravity, 1 to 100000 kg m2.
	RollInertia units.Inertia `json:"rollInertia"`
}

// Validate reports every field that is out of range, by its JSON name.
func (n NarrowTractor) Validate() error {
	var e units.FieldErrors
	for _, f := range []struct {
		path             string
		value, low, high units.Length
	}{
		{"cgHeight", n.CGHeight, 0.1, 3}, {"cgToRear", n.CGToRear, 0.1, 5}, {"cgToFront", n.CGToFront, 0.1, 5},
		{"rearTire", n.RearTire, 0.2, 3}, {"frontTire", n.FrontTire, 0.2, 3},
		{"frameHeight", n.FrameHeight, 0.5, 5}, {"frameBehind", n.FrameBehind, -5, 5}, {"frameWidth", n.FrameWidth, 0.1, 4},
		{"hoodHeight", n.HoodHeight, 0.2, 5}, {"hoodWidth", n.HoodWidth, 0.1, 4}, {"hoodAhead", n.HoodAhead, 0.1, 5},
		{"pinHeight", n.PinHeight, 0.05, 3}, {"track", n.Track, 0.2, 4}, {"tireWidth", n.TireWidth, 0.05, 2},
	} {
		valid.Within(&e, f.path, f.value, f.low, f.high)
	}
	if !(n.StopAngle > 0 && n.StopAngle <= 45*units.Degree) {
		e.Add("stopAngle", valid.Show(n.StopAngle), "must be above 0 and at most {most}", valid.Most(45*units.Degree))
	}
	valid.Within(&e, "mass", n.Mass, 100, 20000)
	valid.Within(&e, "rollInertia", n.RollInertia, 1, 100000)
	return e.Err()
}

// RollingVerdict is the verdict of the calculation of continuous rolling. In
// JSON: "notFeasible", "stops" or "continues".
type RollingVerdict uint8

// The verdicts. None of them says that anybody survives the overturn.
const (
	// RollingNotFeasible: the regulation's calculation does not hold for this
	// tractor; the notes say why.
	RollingNotFeasible RollingVerdict = iota
	// RollingStops: by the calculation the tractor does not roll on.
	RollingStops
	// RollingContinues: by the calculation it rolls on.
	RollingContinues
)

var rollingVerdictNames = []string{"notFeasible", "stops", "continues"}

// RollingLine is the line about which the overturned tractor turns when the
// verdict falls. In JSON: "wheels", "frame", "rearTire" or "frontTire".
type RollingLine uint8

// The lines of the calculation. The regulation calls the last three its
// versions of overturning.
const (
	// RollingOnWheels: the line through the sides of the tires. The frame is not
	// reached, or is never turned about.
	RollingOnWheels RollingLine = iota
	// RollingOnFrame: the line through the frame's point of impact alone.
	RollingOnFrame
	// RollingOnRearTire: the line from the frame to the rear tire.
	RollingOnRearTire
	// RollingOnFrontTire: the line from the frame to the front tire, and then, if
	// the hood comes down, from the frame to the hood.
	RollingOnFrontTire
)

var rollingLineNames = []string{"wheels", "frame", "rearTire", "frontTire"}

// ContinuousRolling is the result of the regulation's calculation.
type ContinuousRolling struct {
	// Verdict is what the calculation says.
	Verdict RollingVerdict `json:"verdict"`
	// Line is where the verdict fell.
	Line RollingLine `json:"line"`
	// First holds the angular velocities O0 to O9 of the regulation, in rad/s,
	// when the first part of the calculation ends, which turns about the frame
	// alone. A velocity that was not calculated is 0.
	First [10]float64 `json:"first"`
	// Last holds them at the end of the calculation. They equal First if the
	// verdict fell in the first part.
	Last [10]float64 `json:"last"`
	// Notes say why the calculation is not feasible.
	Notes Notes `json:"notes"`
	// Cautions belong beside the verdict.
	Cautions Cautions `json:"cautions"`
}

// What the regulation fixes, with its own value of pi.
const (
	annexSlope   = 0.588   // rad, of the ground: 1 in 1.5
	annexBounce  = 0.2     // coefficient of restitution
	annexSink    = 0.2     // m, by which frame or hood press into the ground
	annexGravity = 9.8     // m/s2
	annexPi      = 3.14159 // as printed
)

// Continuous returns whether the tractor rolls on after a sideways overturn down
// a slope of 1 in 1.5, as Regulation (EU) No 1322/2014, Annex IX, section B4,
// calculates it (identical with OECD Code 6, 2017). It is a calculation of
// approval, not a description of an accident: "stops" does not mean that
// anybody is unharmed. The result is not feasible if the frame or the hood is
// wider than the outside of the tires, if the hood touches the ground before the
// frame, or if a formula has no value.
func (n NarrowTractor) Continuous() (ContinuousRolling, error) {
	if err := n.Validate(); err != nil {
		return ContinuousRolling{}, err
	}
	a := newAnnex(&n)
	c := ContinuousRolling{Notes: NoteRegulationOnly, Cautions: CautionManual | CautionNoTippingTest | CautionWearBelt | CautionNotSurvivable}
	wide := float64(n.Track + n.TireWidth)
	if float64(n.FrameWidth) > wide || float64(n.HoodWidth) > wide {
		c.Notes |= NoteWiderThanTires
		return c, nil
	}
	if height, _ := a.balance(); !a.fall(height) {
		c.Notes |= NoteOutsideFormula
		return c, nil
	}
	a.strikeWheels()
	a.roll()
	if a.hoodFirst {
		c.Notes |= NoteHoodFirst
		return c, nil
	}
	for i := range a.o {
		if x := a.first[i] + a.o[i]; math.IsNaN(x) || math.IsInf(x, 0) {
			c.Notes |= NoteOutsideFormula
			return c, nil
		}
	}
	c.Verdict, c.Line, c.First, c.Last = a.verdict, a.line, a.first, a.o
	return c, nil
}

// The points that the regulation follows.
const (
	annexCG = iota
	annexFrontTire
	annexRearTire
	annexFrame
	annexHood
	numAnnexPoints
)

// annex is the state of the calculation. A point is a vec with the height X
// above the ground, Y forward and Z outward from the side that meets the ground.
type annex struct {
	n         *NarrowTractor
	m, q      float64
	base      float64 // L0
	lean      float64 // L9, the angle of the line from the rear contact to the pin
	f2        float64 // the angle between the line through the tires' tops and level
	p         [numAnnexPoints]vec
	o, first  [10]float64
	verdict   RollingVerdict
	line      RollingLine
	hoodFirst bool
}

func newAnnex(n *NarrowTractor) *annex {
	a := &annex{n: n, m: float64(n.Mass), q: float64(n.RollInertia), base: float64(n.CGToRear + n.CGToFront)}
	a.lean = math.Atan(float64(n.PinHeight) / a.base)
	e := float64(n.RearTire-n.FrontTire) / a.base
	a.f2 = math.Atan(e / (1 - e*e/4))
	return a
}

// balance returns the height of the center of gravity (W0) when the tractor, its
// axle at the stop, balances on the wheels of one side, and the slope of a side
// hill at which it does so. The regulation turns the body by the swing of the
// axle about the tipping line from the rear contact to the pin.
func (a *annex) balance() (height, slope float64) {
	h1, l3, h0, half := float64(a.n.CGHeight), float64(a.n.CGToRear), float64(a.n.PinHeight), float64(a.n.Track)/2
	d0 := float64(a.n.StopAngle)
	r2, c1 := math.Hypot(h1, l3), math.Atan(h1/l3)
	h9, w1 := r2*math.Sin(c1-a.lean), r2*math.Cos(c1-a.lean)
	w2 := math.Hypot(h0, a.base)
	f1 := math.Atan(half / w2)
	w3 := (w2 - w1) * math.Sin(f1)
	if !(h9 > 0 && w3 > 0) {
		return math.NaN(), math.NaN()
	}
	arm, w4 := math.Hypot(h9, w3), math.Atan(h9/w3)
	w5, w6 := arm*math.Sin(w4+d0), w3-arm*math.Cos(w4+d0)
	w7 := w1 + w6*math.Sin(f1)
	w9 := math.Sin(math.Atan(w5/w7)+a.lean) * math.Hypot(w5, w7)
	across := half - w6*math.Cos(f1)
	return math.Hypot(w9, across), math.Atan2(across, w9)
}

// fall sets the velocity (O0) with which the tractor, having fallen from its
// balance at a height, strikes the slope with its wheels' outer edge.
func (a *annex) fall(height float64) bool {
	half, h1 := float64(a.n.Track+a.n.TireWidth)/2, float64(a.n.CGHeight)
	g1, g2 := math.Hypot(half, h1), math.Atan(h1/half)
	drop := height - g1*math.Cos(annexSlope+g2)
	if !(drop > 0) {
		return false
	}
	a.o[0] = math.Sqrt(2 * a.m * annexGravity * drop / (a.q + a.m*square(height+g1)/4))
	return true
}

// strikeWheels sets the velocities after the impact on the wheels' sides (O1)
// and about the line through the tops of the tires (O2), and places the points
// against that line.
func (a *annex) strikeWheels() {
	n := a.n
	sin, cos := math.Sincos(a.f2)
	wide, h1 := float64(n.Track+n.TireWidth), float64(n.CGHeight)
	l2, l3, d2, d3 := float64(n.CGToFront), float64(n.CGToRear), float64(n.FrontTire)/2, float64(n.RearTire)/2
	a.p = [numAnnexPoints]vec{
		annexCG:        {h1, 0, wide / 2},
		annexFrontTire: {(1 + cos) * d2, l2 + sin*d2, 0},
		annexRearTire:  {(1 + cos) * d3, -l3 + sin*d3, 0},
		annexFrame:     {float64(n.FrameHeight), -float64(n.FrameBehind), (wide - float64(n.FrameWidth)) / 2},
		annexHood:      {float64(n.HoodHeight), float64(n.HoodAhead), (wide - float64(n.HoodWidth)) / 2},
	}
	top := a.p[annexFrontTire][1]*math.Tan(a.f2) + a.p[annexFrontTire][0]
	k2, k3, k4 := h1, wide/2, top-h1
	a.o[1] = a.o[0] * a.impact(a.q, k3, k3, k4, k2)
	for i, p := range a.p {
		up := p[0] - h1
		a.p[i] = vec{up*cos + p[1]*sin - k4*cos, p[1]*cos - up*sin, p[2]}
	}
	a.o[2] = a.o[1] * cos
}

// impact returns the velocity after an impact over that before it: (Q + M before
// after - U M far^2 - (1 + U) M height far)/(Q + M after^2 + M far^2).
func (a *annex) impact(q, before, after, far, height float64) float64 {
	return (q + a.m*before*after - annexBounce*a.m*far*far - (1+annexBounce)*a.m*height*far) /
		(q + a.m*after*after + a.m*far*far)
}

// about returns the moment of inertia for a line that makes an angle with the
// longitudinal axis, through the center of gravity.
func (a *annex) about(angle float64) float64 {
	sin, cos := math.Sincos(angle)
	return a.q*cos*cos + 3*a.q*sin*sin
}

// annexSlopeAbout returns the slope across a line that makes an angle with the
// longitudinal axis.
func annexSlopeAbout(angle float64) float64 {
	return math.Atan(math.Tan(annexSlope) / math.Hypot(1, math.Tan(angle)/math.Cos(annexSlope)))
}

// annexAngle is the regulation's angle of a point about the line.
func annexAngle(p vec) float64 {
	if p[2] == 0 {
		return -annexPi / 2
	}
	return math.Atan(p[0] / p[2])
}

// turnAll turns every point about the line by an angle.
func (a *annex) turnAll(angle float64) {
	for i, p := range a.p {
		r, at := math.Hypot(p[0], p[2]), annexAngle(p)+angle
		a.p[i] = vec{r * math.Sin(at), p[1], r * math.Cos(at)}
	}
}

// tiltAll turns every point by an angle about the axis across the line, at y.
func (a *annex) tiltAll(angle, y float64) {
	sin, cos := math.Sincos(angle)
	for i, p := range a.p {
		along := p[1] - y
		a.p[i] = vec{p[0]*cos + along*sin, along*cos - p[0]*sin, p[2]}
	}
}

// climbs returns the velocity that is left after the center of gravity, at a
// radius and an angle, has climbed over a line on a slope, and whether it does.
func (a *annex) climbs(v, radius, angle, slope, inertia float64) (left float64, over bool) {
	if -angle <= slope {
		return v, true // it is past the balance already
	}
	lost := 2 * a.m * annexGravity * radius * (1 - math.Cos(-slope-angle)) / inertia
	if lost > v*v {
		return 0, false
	}
	return math.Sqrt(v*v - lost), true
}

// roll follows the tractor over the wheels onto its frame.
func (a *annex) roll() {
	cg := a.p[annexCG]
	frame := a.p[annexFrame]
	e4, v6 := math.Hypot(cg[0], cg[2]), annexAngle(cg)
	slope, q3 := annexSlopeAbout(a.f2), a.about(a.f2)
	v0 := math.Hypot(frame[0], frame[2])
	sink := annexSink / v0
	y := [2]float64{a.p[annexFrontTire][1], a.p[annexRearTire][1]}
	a.turnAll(math.Atan(frame[2]/frame[0]) + sink)
	a.p[annexFrame][2] = 0
	if a.p[annexHood][2] <= -annexSink {
		a.hoodFirst = true
		return
	}
	if _, over := a.climbs(a.o[2], e4, v6, slope, q3+a.m*e4*e4); !over {
		a.stop(RollingOnWheels)
		return
	}
	cg = a.p[annexCG]
	fall := e4 * (math.Cos(-slope-v6) - math.Cos(-slope-annexAngle(cg)))
	a.o[3] = math.Sqrt(2*a.m*annexGravity*fall/(q3+a.m*e4*e4) + a.o[2]*a.o[2])
	a.o[4] = a.o[3] * a.impact(q3, cg[2], cg[2]+annexSink, v0-cg[0], cg[0])
	if a.onFrame(slope, q3) {
		return
	}
	// The frame alone does not carry the tractor over: it turns about the line
	// from the frame to a tire.
	tire, line := y[1], RollingOnRearTire
	if float64(a.n.FrameBehind) > -math.Tan(a.f2)*float64(a.n.FrameHeight-a.n.CGHeight) {
		tire, line = y[0], RollingOnFrontTire
	}
	a.first = a.o
	reach := tire - a.p[annexFrame][1]
	e2 := v0 * tire / reach
	a.o[4] = a.o[3] * a.impact(q3, cg[2], cg[2]+sink*e2, e2-cg[0], cg[0])
	f3 := math.Atan(v0 / reach)
	a.o[5] = a.o[4] * math.Cos(f3)
	a.tiltAll(f3, tire)
	a.onTire(line, a.f2+f3)
}

func (a *annex) stop(line RollingLine) { a.finish(RollingStops, line) }

func (a *annex) finish(v RollingVerdict, line RollingLine) {
	a.verdict, a.line = v, line
	if line <= RollingOnFrame {
		a.first = a.o
	}
}

// onFrame reports whether the tractor rolls on about the frame alone.
func (a *annex) onFrame(slope, q3 float64) bool {
	cg, frame := a.p[annexCG], a.p[annexFrame]
	n3 := math.Hypot(frame[0]-cg[0], frame[2]-cg[2])
	n2 := math.Atan(-(frame[0] - cg[0]) / cg[2])
	left, over := a.climbs(a.o[4], n3, n2, slope, q3+a.m*n3*n3)
	if !over {
		return false
	}
	if -n2 > slope {
		a.o[9] = left
	}
	a.finish(RollingContinues, RollingOnFrame)
	return true
}

// onTire follows the tractor about the line from the frame to a tire, which
// makes an angle with the longitudinal axis.
func (a *annex) onTire(line RollingLine, angle float64) {
	cg := a.p[annexCG]
	m1, m2 := math.Hypot(cg[0], cg[2]), annexAngle(cg)
	slope := annexSlopeAbout(angle)
	inertia := a.about(angle) + a.m*m1*m1
	left, over := a.climbs(a.o[5], m1, m2, slope, inertia)
	if !over {
		a.stop(line)
		return
	}
	if line == RollingOnRearTire {
		if -m2 > slope {
			a.o[9] = left
		}
		a.finish(RollingContinues, line)
		return
	}
	hood := a.p[annexHood]
	c5 := math.Hypot(hood[0], hood[2])
	reach := a.p[annexFrame][1] - hood[1]
	c7 := c5 * (a.p[annexFrame][1] - cg[1]) / reach
	a.turnAll(math.Atan(hood[2] / hood[0]))
	a.p[annexHood][2] = 0
	cg = a.p[annexCG]
	m5 := m1 * math.Cos(-slope-m2)
	if -m2 > slope {
		m5 -= m1 * math.Cos(-slope-annexAngle(cg))
	}
	a.o[6] = math.Sqrt(max(0, 2*a.m*annexGravity*m5/inertia+a.o[5]*a.o[5]))
	a.o[7] = a.o[6] * a.impact(a.about(angle), cg[2], cg[2], c7-cg[0], cg[0])
	f5 := math.Atan(c5 / reach)
	a.tiltAll(f5, a.p[annexFrame][1])
	a.o[8] = a.o[7] * math.Cos(f5)
	cg = a.p[annexCG]
	n3 := math.Hypot(cg[0], cg[2])
	left, over = a.climbs(a.o[8], n3, annexAngle(cg), annexSlopeAbout(angle+f5), a.about(angle+f5)+a.m*n3*n3)
	if !over {
		a.stop(line)
		return
	}
	a.o[9] = left
	a.finish(RollingContinues, line)
}
