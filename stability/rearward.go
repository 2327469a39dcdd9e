package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Rearward holds the limits at which a machine goes over backward.
type Rearward struct {
	// Status is Within if the front axle carries load at the start, and Exceeded
	// if it carries none.
	Status Status `json:"status"`
	// StaticSlope is the slope, straight up, at which the machine goes over
	// at rest: atan(x/z).
	StaticSlope Limit `json:"staticSlope"`
	// Balance is how far the body may pitch up about the rear axle, from its
	// attitude on the ground, until its center of gravity is over the axle:
	// atan(x/(z - r)), less the slope. It is not checked without the axle's
	// height.
	Balance units.Angle `json:"balance"`
	// BalanceStatus says whether Balance was computed.
	BalanceStatus Status `json:"balanceStatus"`
	// BlockedTorque is the torque of the rear axle that lifts the front while
	// the rear wheels are blocked: the moment of the weight about the axle, W x
	// on level ground.
	BlockedTorque units.Moment `json:"blockedTorque"`
	// FreeAcceleration is the acceleration forward that lifts the front:
	// g x/z on level ground.
	FreeAcceleration AccelerationLimit `json:"freeAcceleration"`
	// FreeTorque is the torque of the rear axle that gives FreeAcceleration:
	// W x r/z on level ground.
	FreeTorque units.Moment `json:"freeTorque"`
	// Notes are what the figures assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside them.
	Cautions Cautions `json:"cautions"`
}

// Rearward returns the limits of going over backward in a situation: those at
// which the weight no longer holds the front down about the rear contact line.
// The situation's own Acceleration is ignored. Another wheel may be lost before,
// most of all with a bent joint; see [Model.Tip]. On an oblique slope the part
// along the machine counts. If the bend of a joint is not known, each figure is
// the least over all bends.
func (m *Model) Rearward(s Situation) (Rearward, error) {
	s.Acceleration = 0
	if err := s.Validate(); err != nil {
		return Rearward{}, err
	}
	if m.bends != nil {
		return m.rearwardBent(s), nil
	}
	c := s.compile(m.g)
	o := Rearward{Notes: m.notes, Cautions: SlopeCautions, Status: Within}
	w := &m.whole
	// The moments about the rear contact line show when the front wheels no
	// longer carry any load, whatever their positions.
	static := w.edge(&[7]float64{4: 1})
	o.StaticSlope.Kind = RearEdge
	o.StaticSlope.Grade, o.StaticSlope.Status = static.grade(0, 1)
	o.FreeAcceleration = AccelerationLimit{Kind: RearEdge, Status: CannotOccur}
	here, rise := w.linear(c.w)[4]+c.s.Drawbar.wrench()[4], w.linear(vec{-1})[4]
	switch {
	case !(here > 0):
		o.Status, o.FreeAcceleration.Status = Exceeded, Exceeded
	case rise < -1e-12*here:
		o.FreeAcceleration.Status, o.FreeAcceleration.Acceleration = Within, units.Acceleration(-here/rise)
	}
	r := float64(m.v.Undercarriage.RearAxleHeight)
	if r == 0 {
		return o, nil
	}
	// This is the moment of the weight about the rear axle, positive nose down.
	z := w.z + w.pitch - r*w.m
	moment := float64(z*c.w[0]) - float64(w.x*c.w[2])
	o.BlockedTorque = units.Moment(max(0, moment))
	if o.FreeAcceleration.Status == Within {
		drive := w.m*(float64(o.FreeAcceleration.Acceleration)-c.w[0]) - c.s.Drawbar.wrench()[0]
		o.FreeTorque = units.Moment(max(0, r*drive))
	}
	o.BalanceStatus = Within
	if moment <= 0 {
		o.BalanceStatus = Exceeded
	}
	o.Balance = units.Angle(max(0, math.Atan2(w.x, z)-math.Atan(s.Slope.Grade()*c.cos)))
	return o, nil
}

// rearwardBent returns the least of each limit over the bends of the joint.
func (m *Model) rearwardBent(s Situation) Rearward {
	least := func(of func(*Rearward) float64) Rearward {
		return leastOver(m, func(b *Model) (Rearward, float64) {
			one, _ := b.Rearward(s) // its input is checked
			return one, of(&one)
		})
	}
	o := least(func(o *Rearward) float64 {
		return size(o.FreeAcceleration.Status, float64(o.FreeAcceleration.Acceleration))
	})
	o.StaticSlope = least(func(o *Rearward) float64 { return o.StaticSlope.size() }).StaticSlope
	if o.BalanceStatus == NotChecked {
		return o
	}
	balance := least(func(o *Rearward) float64 { return size(o.BalanceStatus, float64(o.Balance)) })
	o.Balance, o.BalanceStatus = balance.Balance, balance.BalanceStatus
	o.BlockedTorque = least(func(o *Rearward) float64 { return float64(o.BlockedTorque) }).BlockedTorque
	if o.FreeAcceleration.Status == Within {
		o.FreeTorque = least(func(o *Rearward) float64 {
			return size(o.FreeAcceleration.Status, float64(o.FreeTorque))
		}).FreeTorque
	}
	return o
}

// Rearing is a motion of the chassis about its rear axle, started by torque.
type Rearing struct {
	// Torque is the constant torque of the rear axle on the chassis, nose up,
	// 0 to 10 MN m.
	Torque units.Moment `json:"torque"`
	// Offset is the pitch, nose up, at the start, 0 to 90 degrees.
	Offset units.Angle `json:"offset,omitempty"`
	// Rate is the pitch rate at the start, in radians per second, 0 to 10.
	Rate float64 `json:"rate,omitempty"`
	// Slope is that of the ground, straight up, 0 to 60 degrees.
	Slope units.Slope `json:"slope,omitempty"`
}

// RearingTimes says when a rearing machine can no longer be saved.
type RearingTimes struct {
	// Status is Exceeded if the machine goes over, Within if it falls back or
	// never lifts, and NotChecked if the height of the rear axle or the bend of
	// an articulated machine is not known.
	Status Status `json:"status"`
	// NoReturn is the pitch from the ground from which the machine goes over even
	// if the torque is cut.
	NoReturn units.Angle `json:"noReturn"`
	// NoReturnTime is the time at which it reaches NoReturn.
	NoReturnTime units.Duration `json:"noReturnTime"`
	// Balance is the pitch at which the center of gravity is over the axle.
	Balance units.Angle `json:"balance"`
	// BalanceTime is the time at which it reaches Balance if the torque stays on.
	BalanceTime units.Duration `json:"balanceTime"`
	// Notes are what the figures assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside them.
	Cautions Cautions `json:"cautions"`
}

// Rear returns how a machine rears under a constant axle torque while its driven
// wheels are blocked. The motion starts with the stated offset and rate; if both
// are zero and the torque does not exceed the moment of the weight, the machine
// never moves. The body must be the chassis without the rear wheels, with the
// inertia about its own center of gravity; without inertia it counts as a point
// mass. The motion is I d2q/dt2 = T - m g r cos(q0 + q) about the rear axle. For
// a start past balance, only Balance is set.
func (m *Model) Rear(r Rearing) (RearingTimes, error) {
	var e units.FieldErrors
	valid.Within(&e, "torque", r.Torque, 0, 1e7)
	valid.Within(&e, "offset", r.Offset, 0, units.Turn/4)
	if !between(r.Rate, 0, 10) {
		e.Add("rate", r.Rate, "must be from 0 to 10 rad/s")
	}
	valid.Within(&e, "slope", r.Slope, 0, (60 * units.Degree).Slope())
	if err := e.Err(); err != nil {
		return RearingTimes{}, err
	}
	o := RearingTimes{Notes: (m.notes | NoteStartStated | NoteAxleBlocked) &^ NoteQuasiStatic, Cautions: SlopeCautions | CautionWearBelt}
	height := float64(m.v.Undercarriage.RearAxleHeight)
	if height == 0 || m.bends != nil {
		return o, nil
	}
	w := &m.whole
	x, z := w.x/w.m, (w.z+w.pitch)/w.m-height
	arm := math.Hypot(x, z)
	start := math.Atan2(z, x) + float64(r.Slope)
	balance := math.Pi/2 - start
	b, a := m.v.Body, m.v.Undercarriage.Axle
	inertia := float64(b.Inertia.YY) + float64(a.Inertia.YY)
	for _, p := range []Part{b.Part(), a} {
		dx, dz := float64(p.CG.X), float64(p.CG.Z)-height
		inertia += float64(p.Mass) * (dx*dx + dz*dz)
	}
	if b.Inertia.YY == 0 {
		o.Notes |= NotePointMass
	}
	pull := w.m * m.g * arm
	q, v := float64(r.Offset), r.Rate
	if balance <= q || inertia <= 0 || arm == 0 {
		o.Status, o.Balance = Exceeded, units.Angle(max(0, balance))
		return o, nil
	}
	o.Balance = units.Angle(balance)
	o.Status = Within
	torque := float64(r.Torque)
	speedUp := func(q float64) float64 { return (torque - pull*math.Cos(start+q)) / inertia }
	spare := func(q, v float64) float64 {
		return inertia*v*v/2 - pull*(1-math.Sin(start+q))
	}
	// A step is a small part of the pendulum's own period. The last step lies
	// beyond every event.
	step := 1e-3 * math.Sqrt(inertia/pull)
	if spare(q, v) >= 0 {
		o.NoReturn, o.Status = units.Angle(q), Exceeded
	}
	var t float64
	for range 400000 {
		q1, v1 := rungeKutta(q, v, step, speedUp)
		if v1 <= 0 {
			// The motion has turned back, and without new energy it goes no farther.
			return o, nil
		}
		if o.Status == Within {
			if s0, s1 := spare(q, v), spare(q1, v1); s1 >= 0 {
				f := s0 / (s0 - s1)
				o.Status = Exceeded
				o.NoReturn = units.Angle(q + f*(q1-q))
				o.NoReturnTime = units.Duration(t + f*step)
			}
		}
		if q1 >= balance {
			o.BalanceTime = units.Duration(t + step*(balance-q)/(q1-q))
			if o.Status == Within {
				o.Status, o.NoReturn, o.NoReturnTime = Exceeded, o.Balance, o.BalanceTime
			}
			return o, nil
		}
		q, v, t = q1, v1, t+step
	}
	return o, nil // the motion is too slow to show in a step
}

// rungeKutta advances angle and rate by the classical fourth-order rule.
func rungeKutta(q, v, h float64, f func(float64) float64) (float64, float64) {
	a1 := f(q)
	v2 := v + h/2*a1
	a2 := f(q + h/2*v)
	v3 := v + h/2*a2
	a3 := f(q + h/2*v2)
	v4 := v + h*a3
	a4 := f(q + h*v3)
	return q + h/6*(v+2*v2+2*v3+v4), v + h/6*(a1+2*a2+2*a3+a4)
}
