package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Rolling is the start of a sideways rollover.
type Rolling struct {
	// Slope is that of the ground, 0 to 85 degrees.
	Slope units.Slope `json:"slope"`
	// Heading is where the nose points. The machine tips to its downhill side; on
	// level ground it tips to the right with headings of 0 to 180 degrees.
	Heading units.Angle `json:"heading"`
	// Offset is how far the body is turned about its tipping line at the
	// start, 0 to 60 degrees.
	Offset units.Angle `json:"offset"`
	// Rate is the rate of turn at the start, in radians per second, 0 to 20.
	// Offset and rate must not both be zero: from exact balance the machine does
	// not move.
	Rate float64 `json:"rate"`
	// Contact is the point of the body that meets the ground first, such as the
	// outer top corner of the roll-over frame on the side to which the machine
	// tips. The origin means not known.
	Contact Point `json:"contact,omitzero"`
}

// Rollover is the motion past the limit.
type Rollover struct {
	// Status is Within if the machine falls back or comes to rest on its stop,
	// Exceeded if it goes over, and NotChecked for kinds that are not modeled.
	Status Status `json:"status"`
	// Stage is the last stage that the motion reached.
	Stage Stage `json:"stage"`
	// StopTime is when the body meets its stop; zero if it does not.
	StopTime units.Duration `json:"stopTime"`
	// StopRate is the rate of turn at that time, in radians per second.
	StopRate float64 `json:"stopRate"`
	// StopEnergy is the kinetic energy with which the body meets the stop.
	StopEnergy units.Energy `json:"stopEnergy"`
	// NeededEnergy is the energy that overturns the machine from its stop. It is
	// zero if the machine cannot rest on its stop even without kinetic energy.
	NeededEnergy units.Energy `json:"neededEnergy"`
	// Arrest says whether the stop holds the machine if the stop absorbs no
	// energy: Within if it does, Exceeded if not, NotChecked if the stop angle is
	// not known, CannotOccur if the body never reaches the stop.
	Arrest Status `json:"arrest"`
	// DeadArrest is the same for a perfectly plastic impact: body and axle move
	// on as one, with the angular momentum that the body has about the new line.
	// A real stop lies between the two; rely on Arrest.
	DeadArrest Status `json:"deadArrest"`
	// GroundTime is the time at which Contact meets the ground. It is zero if
	// Contact is not known or the machine does not go over.
	GroundTime units.Duration `json:"groundTime"`
	// GroundRate is the rate of turn at that time, in radians per second.
	GroundRate float64 `json:"groundRate"`
	// Notes are what the figures assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside them.
	Cautions Cautions `json:"cautions"`
}

// Rollover returns the motion of a machine past its limit. The body turns about
// the line from the rear contact to the pin until it meets the stop. Then body
// and axle turn as one about the line from the rear to the front contact. Each
// stage is a compound pendulum about a fixed line, I d2q/dt2 = m g r u sin q
// past the balance. The contacts do not slide. An unknown stop counts as none.
// The stop is taken to absorb no energy.
func (m *Model) Rollover(r Rolling) (Rollover, error) {
	if err := r.validate(); err != nil {
		return Rollover{}, err
	}
	sin, cos := headingSincos(r.Heading)
	left := tipsLeft(sin)
	o := Rollover{
		Notes:    (m.notes | NoteStartStated | NoteNoLossAtStop) &^ NoteQuasiStatic,
		Cautions: SlopeCautions | CautionWearBelt | CautionNotALimit,
		Arrest:   CannotOccur, DeadArrest: CannotOccur,
	}
	f, ok := m.frame(left)
	if !ok {
		o.Arrest, o.DeadArrest = NotChecked, NotChecked
		return o, nil
	}
	if m.v.Body.Inertia == (Inertia{}) {
		o.Notes |= NotePointMass
	}
	g := weightAt(m.g, float64(r.Slope), math.Abs(sin), cos)
	contact := r.Contact.vec().mirrored(left)
	hasContact := r.Contact != (Point{})
	line := f.axis().unit()
	stop := math.Inf(1)
	if f.pinned {
		if a := float64(m.v.Undercarriage.StopAngle); a > 0 {
			stop = turnToRoll(line, a)
		} else {
			o.Arrest, o.DeadArrest = NotChecked, NotChecked
		}
	}
	first := newSwing(line, f.rolling(), g)
	bodyTensor := m.v.Body.Inertia.tensor(left)
	inertia := about(line, bodyTensor, f.body.minus(f.rear), f.bodyMass)
	axleTensor := m.v.Undercarriage.Axle.Inertia.tensor(left)
	if !f.pinned {
		inertia += about(line, axleTensor, f.axle.minus(f.rear), f.axleMass)
	}
	hit := func(at, line vec) float64 {
		if !hasContact {
			return math.Inf(1)
		}
		return fallAngle(at.minus(f.rear), line)
	}
	ground := hit(contact, line)
	q, v := float64(r.Offset), r.Rate
	o.Stage = StopStage
	if f.pinned {
		o.Stage = PinStage
	}
	if q >= stop {
		q = stop
	}
	end := min(stop, ground, math.Pi/2)
	t, v, over := first.run(inertia, q, v, end)
	if !over {
		o.Status = Within
		return o, nil
	}
	if end < stop {
		o.Status = Exceeded
		if ground <= end {
			o.GroundTime, o.GroundRate = units.Duration(t), v
		}
		return o, nil
	}
	o.StopTime, o.StopRate = units.Duration(t), v
	o.StopEnergy = units.Energy(inertia * v * v / 2)
	f.afterStop(&o, g, stop, bodyTensor, axleTensor, func(next vec) float64 {
		return hit(f.rear.plus(contact.minus(f.rear).turn(line, stop)), next)
	})
	return o, nil
}

func (r *Rolling) validate() error {
	var e units.FieldErrors
	e.Join("", Situation{Slope: r.Slope, Heading: r.Heading}.Validate())
	valid.Within(&e, "offset", r.Offset, 0, 60*units.Degree)
	if !between(r.Rate, 0, 20) {
		e.Add("rate", r.Rate, "must be from 0 to 20 rad/s")
	}
	if r.Offset == 0 && r.Rate == 0 {
		e.Add("offset", 0.0, "must not be zero together with rate: from exact balance the machine does not move")
	}
	r.Contact.validate(&e, "contact")
	return e.Err()
}

// afterStop fills in the motion after the body meets its stop with the rate and
// energy of o: body and axle turn as one about the line from the rear to the
// front contact. The function ground records when the contact meets the ground
// in a turn about a line.
func (f *frame) afterStop(o *Rollover, g vec, stop float64, bodyTensor, axleTensor tensor, ground func(vec) float64) {
	o.Stage = StopStage
	line := f.axis().unit()
	next := f.front.plus(vec{0, -f.half}).minus(f.rear).unit()
	arm := f.body.minus(f.rear).turn(line, stop)
	axleArm := f.axle.minus(f.rear)
	d := arm.times(f.bodyMass).plus(axleArm.times(f.axleMass))
	turned := func(a vec) vec { return bodyTensor.of(a.turn(line, -stop)).turn(line, stop) }
	inertia := next.dot(turned(next)) + f.bodyMass*square(next.cross(arm).norm()) +
		about(next, axleTensor, axleArm, f.axleMass)
	swing := newSwing(next, d, g)
	need := swing.barrier()
	o.NeededEnergy = units.Energy(need)
	arrests := func(e float64) Status {
		if e < need {
			return Within
		}
		return Exceeded
	}
	o.Arrest = arrests(float64(o.StopEnergy))
	// This is the body's angular momentum about the new line before the impact.
	spin := line.times(o.StopRate)
	momentum := next.dot(turned(spin)) + f.bodyMass*next.dot(arm.cross(spin.cross(arm)))
	dead := momentum / inertia
	o.DeadArrest = arrests(inertia * dead * dead / 2)
	if o.Arrest == Within {
		o.Status = Within
		return
	}
	o.Status = Exceeded
	end := ground(next)
	if math.IsInf(end, 1) {
		return
	}
	rate := math.Sqrt(2 * float64(o.StopEnergy) / inertia)
	if t, last, over := swing.run(inertia, 0, rate, end); over {
		o.GroundTime, o.GroundRate = o.StopTime+units.Duration(t), last
	}
}

func square(x float64) float64 { return x * x }

// about returns the moment of inertia about a line through the origin of arm.
func about(line vec, t tensor, arm vec, mass float64) float64 {
	return line.dot(t.of(line)) + mass*square(line.cross(arm).norm())
}

// fallAngle returns the least turn about the unit vector u, up to half a turn,
// at which the end of the arm comes down to the ground, or +Inf.
func fallAngle(arm, u vec) float64 {
	along, around, over := u.times(arm.dot(u)), arm.across(u), u.cross(arm)
	// along.z + around.z cos q + over.z sin q = 0, on the way down
	q := math.Atan2(over[2], around[2]) + math.Acos(-along[2]/math.Hypot(around[2], over[2]))
	if !between(q, 0, math.Pi) {
		return math.Inf(1)
	}
	return q
}

// turnToRoll returns the turn about a line, a unit vector, at which the body has
// rolled by an angle against level, or +Inf if no turn rolls it so far.
func turnToRoll(line vec, roll float64) float64 {
	// With u = tan(q/2), the tangent of the roll is
	// (2 x u + 2 y z u^2)/(1 - u^2 + 2 z^2 u^2).
	x, y, z := line[0], line[1], line[2]
	t := math.Tan(roll)
	d := x*x + t*(2*y*z+t*(1-2*z*z))
	if d < 0 {
		return math.Inf(1)
	}
	return 2 * math.Atan(t/(x+math.Sqrt(d)))
}

// run follows the motion from the turn q and the rate v to the turn end, and
// returns the time and the rate there. If it falls back before, over is false.
func (s swing) run(inertia, q, v, end float64) (t, rate float64, over bool) {
	if !(s.strength > 0) {
		return 0, v, false
	}
	if q >= end {
		return 0, v, true
	}
	k := s.strength / inertia
	f := func(q float64) float64 { return k * math.Sin(s.past+q) }
	step := 2e-3 / math.Sqrt(k)
	for range 200000 {
		q1, v1 := rungeKutta(q, v, step, f)
		if q1 >= end {
			// The energy gives the rate at the end, and the mean of the two rates
			// gives the time.
			rate = math.Sqrt(max(0, v*v+2*k*(math.Cos(s.past+q)-math.Cos(s.past+end))))
			return t + 2*(end-q)/(v+rate), rate, true
		}
		if v1 <= 0 {
			return t, 0, false
		}
		q, v, t = q1, v1, t+step
	}
	return t, v, false
}
