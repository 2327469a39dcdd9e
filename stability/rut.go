package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// WheelInRut says which wheel stands in a rut or on a bump. In JSON:
// "frontLeft", "frontRight", "rearLeft" or "rearRight".
type WheelInRut uint8

// The wheels.
const (
	// RutFrontLeft is the front left wheel.
	RutFrontLeft WheelInRut = iota
	// RutFrontRight is the front right wheel.
	RutFrontRight
	// RutRearLeft is the rear left wheel.
	RutRearLeft
	// RutRearRight is the rear right wheel.
	RutRearRight
)

var rutNames = []string{"frontLeft", "frontRight", "rearLeft", "rearRight"}

// Rut is a wheel that stands higher or lower than the plane of the others.
type Rut struct {
	// Wheel is which one.
	Wheel WheelInRut `json:"wheel"`
	// Height is how much higher the wheel stands; a rut is negative. Its size is
	// at most half the track of the wheel's axle and half the wheelbase.
	Height units.Length `json:"height"`
}

// Uneven is a machine with one wheel out of the plane of the others.
type Uneven struct {
	// Status is Within if the machine can take the pose. It is Exceeded if the
	// axle meets its stop before. It is also Exceeded, without a pose, if no roll
	// brings a rear wheel to that height. It is NotChecked for kinds without a
	// free front axle.
	Status Status `json:"status"`
	// BodyRoll is how far the body rolls, positive to the right.
	BodyRoll units.Angle `json:"bodyRoll"`
	// BodyPitch is how far it pitches, positive nose up.
	BodyPitch units.Angle `json:"bodyPitch"`
	// AxleRoll is the roll of the axle against the plane, positive to the right.
	AxleRoll units.Angle `json:"axleRoll"`
	// CG is the body's center of gravity in that pose.
	CG Point `json:"cg"`
	// TipsRight and TipsLeft are the slopes of the plane at which the body tips
	// to that side in the heading, with the pin free.
	TipsRight Limit `json:"tipsRight"`
	TipsLeft  Limit `json:"tipsLeft"`
	// Notes are what the answer assumes.
	Notes Notes `json:"notes"`
	// Cautions belong beside it.
	Cautions Cautions `json:"cautions"`
}

// OnUneven returns how a machine with a pivoting front axle stands with one wheel
// in a rut or on a bump, and the slope at which it then tips. A rear wheel rolls
// the body by asin(height/T) about the line from the other rear contact to the
// pin. A front wheel, with the pin free, raises the pin by half the height and
// pitches the body without rolling it. The axle's weight enters the limits as on
// even ground.
func (m *Model) OnUneven(heading units.Angle, r Rut) (Uneven, error) {
	u := &m.v.Undercarriage
	var e units.FieldErrors
	valid.Heading(&e, "heading", heading)
	if int(r.Wheel) >= len(rutNames) {
		e.Add("wheel", int(r.Wheel), "must be one of frontLeft, frontRight, rearLeft, rearRight")
	}
	track := u.RearTrack
	if r.Wheel <= RutFrontRight {
		track = u.FrontTrack
	}
	most := min(track, u.Wheelbase) / 2
	if u.Kind != PivotingFront {
		most = u.Wheelbase / 2
	}
	if !between(r.Height, -most, most) {
		e.Add("height", r.Height, "must be at most half the track and half the wheelbase, either way")
	}
	if err := e.Err(); err != nil {
		return Uneven{}, err
	}
	o := Uneven{Notes: m.notes, Cautions: SlopeCautions, TipsRight: Limit{Kind: TipsRight}, TipsLeft: Limit{Kind: TipsLeft}}
	if u.Kind != PivotingFront {
		return o, nil
	}
	o.Status = Within
	h, t, l := float64(r.Height), float64(u.RearTrack), float64(u.Wheelbase)
	pin := vec{l, 0, float64(u.PinHeight)}
	rl, rr := vec{0, t / 2}, vec{0, -t / 2}
	var put func(vec) vec
	var against float64 // the roll of the body against the axle
	switch r.Wheel {
	case RutRearLeft, RutRearRight:
		stand, lifted := rr, rl
		if r.Wheel == RutRearRight {
			stand, lifted = rl, rr
		}
		// Turn about the line from the standing contact to the pin until the
		// other contact is at its height: level (1 - cos a) + steep sin a = h.
		w := pin.minus(stand).unit()
		arm := lifted.minus(stand)
		level, steep := w[2]*arm.dot(w), w.cross(arm)[2]
		d := steep*steep + h*(2*level-h)
		if d < 0 {
			o.Status = Exceeded
			return o, nil
		}
		a := 2 * math.Atan(h/(steep+math.Copysign(math.Sqrt(d), steep)))
		o.BodyRoll = units.Angle(math.Asin(h / arm[1])) // positive to the right
		against = math.Atan2(vec{0, 1}.turn(w, a)[2], vec{0, 0, 1}.turn(w, a)[2])
		put = func(v vec) vec { return stand.plus(v.minus(stand).turn(w, a)) }
	default:
		against = math.Asin(h / float64(u.FrontTrack))
		o.AxleRoll = units.Angle(against)
		if r.Wheel == RutFrontRight {
			o.AxleRoll = -o.AxleRoll
		}
		pitch := math.Asin(h / 2 / l)
		o.BodyPitch = units.Angle(pitch)
		// Nose up is a negative turn about the y axis.
		put = func(v vec) vec { return v.turn(vec{0, 1}, -pitch) }
	}
	if u.StopAngle > 0 && math.Abs(against) > float64(u.StopAngle) {
		o.Status = Exceeded
	}
	b := m.v.Body
	cg := put(b.CG.vec())
	o.CG = Point{X: units.Length(cg[0]), Y: units.Length(cg[1]), Z: units.Length(cg[2])}
	sin, cos := headingSincos(heading)
	one := func(left bool, limit *Limit) {
		// The body tips about the line from the rear contact to the pin, here in
		// the direction that makes it tip to the right.
		line := func(put func(vec) vec) edge {
			at, d := rr, b.CG.vec().plus(vec{0, 0, float64(b.RollRise)})
			if left {
				at = rl
			}
			at, to, d := put(at).mirrored(left), put(pin).mirrored(left), put(d).mirrored(left)
			return lineEdge(to.minus(at), d.minus(at).times(float64(b.Mass)))
		}
		e, flat := line(put), line(func(v vec) vec { return v })
		// The axle's weight and all other terms enter as on even ground.
		was, si := m.edges[limit.Kind], sin
		if left {
			was.s, was.q, si = -was.s, -was.q, -sin
		}
		scale := t * l
		e.a += was.a*scale - flat.a
		e.s += was.s*scale - flat.s
		e.c += was.c*scale - flat.c
		e.q = was.q * scale
		limit.Grade, limit.Status = e.grade(si, cos)
	}
	one(false, &o.TipsRight)
	one(true, &o.TipsLeft)
	return o, nil
}
