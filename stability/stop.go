package stability

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// frame is the machine, mirrored if it tips to the left, so that it always tips
// to the right.
type frame struct {
	mirrored           bool
	rear               vec // the contact it tips over
	pin                vec // of the pivot; without a pivot, the front end of the tipping line
	front              vec // middle between the front contacts
	half               float64
	body, axle         vec // centers of gravity, raised by the roll rise
	bodyMass, axleMass float64
	pinned             bool
}

// tipsLeft reports whether a machine with this heading's sine tips to the left.
func tipsLeft(sin float64) bool { return sin < 0 }

// frame returns the machine as it tips to one side. It returns false if the
// motion past the limit is not modeled: for a pivoting rear axle, and for a joint
// that is bent or may be bent.
func (m *Model) frame(left bool) (f frame, ok bool) {
	u := &m.v.Undercarriage
	if u.Kind == PivotingRear || u.bent() || m.bends != nil {
		return f, false
	}
	raised := func(p Part) vec {
		v := p.CG.vec().mirrored(left)
		v[2] += float64(p.RollRise)
		return v
	}
	l := float64(u.Wheelbase)
	f = frame{
		mirrored: left,
		rear:     vec{0, -float64(u.RearTrack) / 2},
		front:    vec{l},
		half:     u.halfFront(),
		body:     raised(m.v.Body.Part()),
		axle:     raised(u.Axle),
		bodyMass: float64(m.v.Body.Mass),
		axleMass: float64(u.Axle.Mass),
		pinned:   u.pinned(),
	}
	switch u.Kind {
	case PivotingFront:
		f.pin = vec{l, 0, float64(u.PinHeight)}
	case Articulated:
		f.pin = vec{float64(u.JointX), 0, float64(u.PinHeight)}
	case Tricycle:
		f.pin = f.front
	case Rigid:
		f.pin = vec{l, -f.half}
	}
	return f, true
}

// axis is the line about which the body tips while its pin is free. It runs to a
// point above the front axle, also for an articulated machine.
func (f *frame) axis() vec { return vec{f.front[0], f.pin[1], f.pin[2]}.minus(f.rear) }

// rolling returns the summed moments, about the rear contact, of all masses that
// roll with the body. Without a pin these are all masses.
func (f *frame) rolling() vec {
	d := f.body.minus(f.rear).times(f.bodyMass)
	if f.pinned {
		return d
	}
	return d.plus(f.axle.minus(f.rear).times(f.axleMass))
}

// stance is the pose of body and axle when the body has rolled by some angle
// against its axle.
type stance struct {
	body, axle vec // centers of gravity
	lifted     vec // the lifted rear contact
	corner     vec // the front contact on the side to which it tips
	rotation   attitude
}

// follows reports whether the front wheels of a pivoting axle can stay on the
// ground while the body rolls so far. On a machine that is much shorter than wide
// they cannot, and there is no pose at the stop.
func (f *frame) follows(roll float64) bool {
	return 2*-f.rear[1]*f.pin[2]*math.Sin(roll) <= f.front[0]*f.front[0]
}

// stance finds the pose of the two bodies at a relative roll. The rear contact
// does not move. The front wheels stay on the ground; they are free to roll but
// do not slip sideways. The axle therefore yaws and pitches with the body and
// differs from it only in roll. The pitch keeps the front on the ground, and the
// yaw keeps it from slipping sideways.
func (f *frame) stance(roll float64) stance {
	// This is the vector from the rear contact to the middle of the front, in axes
	// that pitch and yaw with both bodies.
	u := attitude{roll: roll}.of(f.pin.minus(f.rear)).plus(f.front.minus(f.pin))
	pitch := math.Atan2(u[2], u[0])
	along := math.Hypot(u[0], u[2])
	yaw := math.Asin(-f.rear[1]/math.Hypot(along, u[1])) - math.Atan2(u[1], along)
	body, axle := attitude{roll, pitch, yaw}, attitude{0, pitch, yaw}
	pin := f.rear.plus(body.of(f.pin.minus(f.rear)))
	put := func(p vec, a attitude) vec { return pin.plus(a.of(p.minus(f.pin))) }
	left := f.rear
	left[1] = -left[1]
	return stance{
		body:     put(f.body, body),
		axle:     put(f.axle, axle),
		lifted:   put(left, body),
		corner:   put(f.front.plus(vec{0, -f.half}), axle),
		rotation: body,
	}
}

// Stop describes a body that has rolled onto the stop of its axle.
type Stop struct {
	// Limit is the slope at which the body, resting on its stop, goes over. It is
	// not checked if the stop angle is not known, or if the front wheels cannot
	// stay on the ground when the body rolls so far. It is Exceeded if the body
	// cannot rest on its stop even on level ground.
	Limit Limit `json:"limit"`
	// Static is the slope at which the machine goes over completely if it is
	// tilted without speed: the larger of Limit and the limit with the pin free.
	Static Limit `json:"static"`
	// CG is the body's center of gravity at the stop, in the axes of the
	// machine as it stood.
	CG Point `json:"cg"`
	// WheelLift is the height of the lifted rear wheel above the ground at the
	// stop.
	WheelLift units.Length `json:"wheelLift"`
	// Notes are what the limits assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside the limits.
	Cautions Cautions `json:"cautions"`
}

// OnStop returns what happens when the body has rolled onto its stop, to the
// right with headings of 0 to 180 degrees, else to the left. Do not work up to
// this limit: the body meets the stop with speed, and [Model.Rollover] answers
// whether the stop holds it. On kinds without a pivot, Limit equals Static.
//
// The pose at the stop is the exact finite rotation. The front wheels roll, and
// the axle yaws and pitches under the body. The tipping line then runs from the
// rear to the front contact.
func (m *Model) OnStop(heading units.Angle) (Stop, error) {
	var e units.FieldErrors
	valid.Heading(&e, "heading", heading)
	if err := e.Err(); err != nil {
		return Stop{}, err
	}
	sin, cos := headingSincos(heading)
	return m.onStop(sin, cos), nil
}

func (m *Model) onStop(sin, cos float64) Stop {
	left := tipsLeft(sin)
	s := Stop{Notes: m.notes, Cautions: SlopeCautions | CautionNotALimit}
	s.Limit.Kind = OnStopRight
	if left {
		s.Limit.Kind = OnStopLeft
	}
	s.Static.Kind = s.Limit.Kind
	f, ok := m.frame(left)
	if !ok {
		return s
	}
	roll := float64(m.v.Undercarriage.StopAngle)
	if f.pinned && (roll == 0 || !f.follows(roll)) {
		return s
	}
	first := &m.edges[TipsRight]
	if left {
		first = &m.edges[TipsLeft]
	}
	t, st := first.grade(sin, cos)
	if !f.pinned {
		s.Limit.Grade, s.Limit.Status = t, st
		s.Static, s.CG = s.Limit, m.v.Body.CG
		return s
	}
	at := f.stance(roll)
	d := at.body.minus(f.rear).times(f.bodyMass).plus(at.axle.minus(f.rear).times(f.axleMass))
	e := lineEdge(at.corner.minus(f.rear), d)
	s.Limit.Grade, s.Limit.Status = e.grade(math.Abs(sin), cos)
	s.Static.Grade, s.Static.Status = t, st
	if st == Exceeded || st == Within && s.Limit.Status == Within && s.Limit.Grade > t || s.Limit.Status == CannotOccur {
		s.Static.Grade, s.Static.Status = s.Limit.Grade, s.Limit.Status
	}
	cg := at.body.minus(at.rotation.of(vec{0, 0, float64(m.v.Body.RollRise)})).mirrored(left)
	s.CG = Point{X: units.Length(cg[0]), Y: units.Length(cg[1]), Z: units.Length(cg[2])}
	s.WheelLift = units.Length(at.lifted[2])
	return s
}

// Stage says how far a motion past the limit has gone. In JSON: "none", "pin" or
// "stop".
type Stage uint8

// The stages of tipping sideways.
const (
	// NoStage: the machine does not tip.
	NoStage Stage = iota
	// PinStage: the body turns on its free pin.
	PinStage
	// StopStage: the body rests on its stop, and body and axle turn together.
	// Machines without a pivot have only this stage.
	StopStage
)

var stageNames = []string{"none", "pin", "stop"}

// swing is a rigid motion about a fixed line: the moment of gravity is
// strength * sin(angle past the balance).
type swing struct {
	strength float64 // N m
	past     float64 // angle past the balance at the start; negative is stable
}

// newSwing prepares the motion of masses with the summed moment d about the
// line along w under gravity, to the right of w.
func newSwing(w, d, g vec) swing {
	u := w.unit()
	dp, gp := d.across(u), g.across(u)
	s := swing{strength: dp.norm() * gp.norm()}
	// Up is against gravity. A turn to the right of w, seen from behind, is a
	// positive turn about w.
	s.past = math.Atan2(u.dot(gp.times(-1).cross(dp)), -dp.dot(gp))
	return s
}

// barrier is the energy that is needed to reach the balance; it is 0 past it.
func (s swing) barrier() float64 {
	if s.past >= 0 {
		return 0
	}
	h := math.Sin(s.past / 2)
	return 2 * s.strength * h * h
}

// EnergyLimit is the energy that overturns a machine sideways.
type EnergyLimit struct {
	// Status is Within if the machine stands, Exceeded if it has tipped already,
	// and NotChecked for kinds whose motion is not modeled.
	Status Status `json:"status"`
	// Barrier is the energy that overturns the machine. If the stop angle is not
	// known, it is the least over every stop angle, including no stop.
	Barrier units.Energy `json:"barrier"`
	// Peak is the stage in which the potential energy is highest.
	Peak Stage `json:"peak"`
	// NoStop is the energy if there were no stop.
	NoStop units.Energy `json:"noStop"`
	// NoPin is the energy if the machine were rigid.
	NoPin units.Energy `json:"noPin"`
	// Fall is the height from which the whole machine would have to fall to gain
	// that energy: Barrier divided by its weight.
	Fall units.Length `json:"fall"`
	// WheelDrop is how deep the downhill rear wheel, at the load that it carries,
	// would have to drop to release that energy: Barrier divided by that load.
	WheelDrop units.Length `json:"wheelDrop"`
	// Bump is the height of an obstacle under the uphill rear wheel that brings
	// the body to its balance on the free pin. It is zero if no obstacle can.
	Bump units.Length `json:"bump"`
	// Notes are what the figures assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside the figures.
	Cautions Cautions `json:"cautions"`
}

// EnergyToOverturn returns the energy that overturns the machine to its downhill
// side (to the right on level ground with headings of 0 to 180 degrees). About a
// fixed line it is m g r u (1 - cos D), with r and u the parts of the arm and of
// gravity across the line and D the angle to the balance. With a pivot the path
// has two parts, on the free pin and on the stop, and the energy is the highest
// potential along both parts less that at the start. Only the situation's Slope
// and Heading count; acceleration and pull do not.
func (m *Model) EnergyToOverturn(s Situation) (EnergyLimit, error) {
	if err := s.Validate(); err != nil {
		return EnergyLimit{}, err
	}
	sin, cos := headingSincos(s.Heading)
	left := tipsLeft(sin)
	o := EnergyLimit{Notes: m.notes, Cautions: SlopeCautions}
	f, ok := m.frame(left)
	if !ok {
		return o, nil
	}
	g := weightAt(m.g, float64(s.Slope), math.Abs(sin), cos)
	l, err := m.Loads(Situation{Slope: s.Slope, Heading: s.Heading})
	if err != nil {
		return o, err
	}
	down := RowRearRight
	if left {
		down = RowRearLeft
	}
	o.Status = Within
	for _, r := range []Row{RowFrontAxle, RowRearAxle, RowLiftLeft, RowLiftRight} {
		if l.Rows[r] <= 0 {
			o.Status = Exceeded
			return o, nil
		}
	}
	free := newSwing(f.axis(), f.rolling(), g)
	o.NoStop = units.Energy(free.barrier())
	all := f.body.minus(f.rear).times(f.bodyMass).plus(f.axle.minus(f.rear).times(f.axleMass))
	corner := f.front.plus(vec{0, -f.half})
	o.NoPin = units.Energy(newSwing(corner.minus(f.rear), all, g).barrier())
	o.Barrier, o.Peak = o.NoStop, StopStage
	if f.pinned {
		o.Peak = PinStage
		switch stop := float64(m.v.Undercarriage.StopAngle); {
		case stop == 0:
			if least, peak := f.leastOverStops(g); least < float64(o.Barrier) {
				o.Barrier, o.Peak = units.Energy(least), peak
			}
		case f.follows(stop):
			peak := f.rise(g, f.top(g, stop))
			if second := f.overStop(g, stop); second > peak {
				peak, o.Peak = second, StopStage
			}
			o.Barrier = units.Energy(peak)
		}
	}
	if f.pinned && o.NoPin < o.Barrier {
		o.Barrier, o.Peak = o.NoPin, StopStage // body and axle may turn as one
	}
	o.Fall = units.Length(float64(o.Barrier) / (m.whole.m * m.g))
	if n := l.Rows[down]; n > 0 {
		o.WheelDrop = units.Length(float64(o.Barrier) / float64(n))
	}
	uphill := vec{0, -2 * f.rear[1]} // from the rear contact about which it tips
	o.Bump = units.Length(max(0, uphill.turn(f.axis().unit(), -free.past)[2]))
	return o, nil
}

// potential is the potential energy of body and axle at a relative roll.
func (f *frame) potential(g vec, roll float64) float64 {
	at := f.stance(roll)
	return -g.dot(at.body)*f.bodyMass - g.dot(at.axle)*f.axleMass
}

// rise is the energy that brings the body from rest to a relative roll.
func (f *frame) rise(g vec, roll float64) float64 { return f.potential(g, roll) - f.potential(g, 0) }

// top is the relative roll up to some end at which the potential is highest.
func (f *frame) top(g vec, end float64) float64 {
	return numeric.Minimum(func(r float64) float64 { return -f.potential(g, r) }, 0, end, 1e-8)
}

// overStop is the energy that overturns the machine over a stop at a relative
// roll.
func (f *frame) overStop(g vec, stop float64) float64 {
	at := f.stance(stop)
	d := at.body.minus(f.rear).times(f.bodyMass).plus(at.axle.minus(f.rear).times(f.axleMass))
	return f.rise(g, stop) + newSwing(at.corner.minus(f.rear), d, g).barrier()
}

// leastOverStops is the least energy that overturns the machine over any stop
// up to the largest that an undercarriage may have. A stop past the top of the
// free path takes at least the energy of the top.
func (f *frame) leastOverStops(g vec) (float64, Stage) {
	const step = float64(units.Degree)
	steps := 45
	for steps > 0 && !f.follows(float64(steps)*step) {
		steps--
	}
	last := float64(steps) * step
	end := f.top(g, last)
	least, peak, place := f.rise(g, end), PinStage, end
	if end > last-1e-6 {
		least, peak = f.overStop(g, last), StopStage // the potential rises all the way
	}
	for i := 0; float64(i)*step < end; i++ {
		if e := f.overStop(g, float64(i)*step); e < least {
			least, peak, place = e, StopStage, float64(i)*step
		}
	}
	from, to := max(0, place-step), min(end, place+step)
	best := numeric.Minimum(func(stop float64) float64 { return f.overStop(g, stop) }, from, to, 1e-8)
	return min(least, f.overStop(g, best)), peak
}

// DropFactor returns the factor by which the force of a load grows when it falls
// onto springs: 1 + sqrt(1 + 2 drop/sag), where drop is the height of the fall
// and sag the deflection under the load at rest. It is an error if sag is not
// positive or drop is negative. Source: energy balance, textbooks of strength of
// materials.
func DropFactor(drop, sag units.Length) (units.Fraction, error) {
	var e units.FieldErrors
	valid.Within(&e, "drop", drop, 0, 100)
	if !between(sag, 1e-6, 100) {
		e.Add("sag", sag, "must be between {low} and {high}", valid.Low[units.Length](1e-6), valid.High[units.Length](100))
	}
	if err := e.Err(); err != nil {
		return 0, err
	}
	return units.Fraction(1 + math.Sqrt(1+2*float64(drop)/float64(sag))), nil
}
