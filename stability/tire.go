package stability

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/units"
)

// SoftTip is the tipping limit on elastic tires.
type SoftTip struct {
	// Limit is the slope at which the uphill rear wheel lifts. It is not checked
	// if the stiffness is not known, if the kind is not a pivoting front axle, or
	// if the rear axle loses its load before.
	Limit Limit `json:"limit"`
	// FirstOrder is the same limit by tan b = tan b1 - N/(k T), with b1 the limit
	// on rigid tires, N the load on the downhill rear wheel and k its stiffness.
	FirstOrder Limit `json:"firstOrder"`
	// Roll is how far the body has rolled on its tires at the limit.
	Roll units.Angle `json:"roll"`
	// Notes are what the limit assumes.
	Notes Notes `json:"notes"`
	// Cautions belong beside the limit.
	Cautions Cautions `json:"cautions"`
}

// TipOnTires returns the tipping limit in a heading when the rear tires deflect
// under load. With a free pin only the rear tires resist roll. At the limit one
// tire carries all of the rear load and deflects; the other expands until it
// carries nothing. The body rolls by N/(k T) about the line from the middle of
// the rear wheels to the pin. Dimensions are those under the loads on level
// ground.
//
// Published tilt tests measured 2.4 to 4 % more than the rigid calculation
// (Majdan et al., Applied Sciences 11:381, 2021): take both as a band.
func (m *Model) TipOnTires(heading units.Angle) (SoftTip, error) {
	tip, err := m.Tip(heading)
	if err != nil {
		return SoftTip{}, err
	}
	sin, cos := headingSincos(heading)
	left := tipsLeft(sin)
	kind := TipsRight
	if left {
		kind = TipsLeft
	}
	o := SoftTip{
		Limit: Limit{Kind: kind}, FirstOrder: Limit{Kind: kind},
		Notes: m.notes &^ NoteRigidTires, Cautions: SlopeCautions,
	}
	u := &m.v.Undercarriage
	if u.Kind != PivotingFront || u.RearTireStiffness == 0 {
		o.Notes |= NoteRigidTires
		return o, nil
	}
	f, _ := m.frame(left)
	rigid := tip.Limits[kind]
	o.Limit.Status, o.FirstOrder.Status = rigid.Status, rigid.Status
	if tip.First.Status == Exceeded {
		o.Limit.Status, o.FirstOrder.Status = Exceeded, Exceeded // whichever limit it is that has tipped the machine
	}
	if !rigid.reached() || tip.First.Status == Exceeded {
		return o, nil
	}
	si := math.Abs(sin)
	k, t := float64(u.RearTireStiffness), float64(u.RearTrack)
	rear := &m.edges[FrontEdge]
	load := func(grade float64) float64 {
		return m.g / math.Hypot(1, grade) * (rear.a - grade*rear.c*cos)
	}
	level := load(0)
	e := &m.edges[kind]
	b0 := float64(e.s*sin) + float64(e.c*cos)
	// The effects of the axle's mass and of the surfaces' yaw are those of the
	// limit on rigid tires.
	plain := lineEdge(f.axis(), f.body.minus(f.rear).times(f.bodyMass))
	scale := t * float64(u.Wheelbase)
	extraA, extraB := e.a*scale-plain.a, b0*scale-(float64(plain.s*si)+float64(plain.c*cos))
	var roll float64
	margin := func(grade float64) float64 {
		n := load(grade)
		up := level / (2 * k)
		pose := tirePose(f.pin, t, up, up-n/k)
		roll = math.Atan2(n/k, t)
		at := f.rear
		at = f.pin.plus(pose.of(at.minus(f.pin)))
		at[2] = 0
		d := f.pin.plus(pose.of(f.body.minus(f.pin))).minus(at).times(f.bodyMass)
		q := lineEdge(f.pin.minus(at), d)
		return q.a + extraA - grade*(float64(q.s*si)+float64(q.c*cos)+extraB) - e.q*scale*grade*grade*sin*cos
	}
	if !(margin(0) > 0) {
		o.Limit.Status = Exceeded
	} else if x, err := numeric.Root(margin, 0, rigid.Grade*1.2+0.1, 1e-12); err == nil && load(x) > 0 {
		o.Limit.Grade, o.Limit.Status = x, Within
		margin(x)
		o.Roll = units.Angle(roll)
	} else {
		o.Limit.Status = NotChecked
	}
	first := rigid.Grade
	for range 50 {
		next := rigid.Grade - load(first)/(k*t)
		if !(next > 0) {
			o.FirstOrder.Status = Exceeded
			return o, nil
		}
		if math.Abs(next-first) < 1e-14 {
			break
		}
		first = next
	}
	if o.FirstOrder.Status = NotChecked; load(first) > 0 {
		o.FirstOrder.Grade, o.FirstOrder.Status = first, Within
	}
	return o, nil
}

// tirePose returns the attitude of a body that turns about its pin until its
// rear wheels, a track apart, have risen by left and right. It rolls first and
// then pitches.
func tirePose(pin vec, track, left, right float64) attitude {
	// The difference of the rises gives sin(roll) cos(pitch) = s. With (-l, 0, -p)
	// the vector from the pin to the middle of the rear, the mean of the rises
	// gives l sin(pitch) - p cos(roll) cos(pitch) = -q. Together they are a
	// quadratic equation in sin(pitch).
	l, p := pin[0], pin[2]
	s, q := (left-right)/track, p-(left+right)/2
	d := l*l + p*p
	pitch := math.Asin((p*math.Sqrt(d*(1-s*s)-q*q) - l*q) / d)
	return attitude{roll: math.Asin(s / math.Cos(pitch)), pitch: pitch}
}
