package ballast

import (
	"context"
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Ground is what is known of the ground for a slope limit.
type Ground struct {
	// Friction is the coefficient of friction between tires and ground, 0.01 to
	// 2 at either end. It has no default: ask whether the ground is dry, wet
	// grass or mud. Both ends zero is not known, and then sliding is not checked.
	Friction units.Range[units.Fraction] `json:"friction,omitzero"`
	// Held is which wheels hold the machine on the slope. Four-wheel drive delays
	// sliding; it permits no steeper ground.
	Held stability.Held `json:"held,omitempty"`
	// Margin is taken off the limit for whoever drives, 0 to 45 degrees.
	Margin units.Slope `json:"margin,omitempty"`
	// Manual is the steepest ground that the operator's manual allows, up to 45
	// degrees; zero where it gives none.
	Manual units.Slope `json:"manual,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (g Ground) Validate() error {
	var c units.FieldErrors
	if g.Friction != (units.Range[units.Fraction]{}) {
		inOrder(&c, "friction", g.Friction, 0.01, 2)
	}
	if _, err := g.Held.MarshalText(); err != nil {
		c.Add("held", g.Held, "must be rear, front or all")
	}
	valid.Within(&c, "margin", g.Margin, 0, (45 * units.Degree).Slope())
	valid.Within(&c, "manual", g.Manual, 0, (45 * units.Degree).Slope())
	return c.Err()
}

// SlopeLimit is how steep the ground may be in the worst heading, as far as the
// setup says.
type SlopeLimit struct {
	// Status is Within where Operator is an answer; Exceeded where the machine
	// may be tipped on level ground; AtMost where sliding is not checked, so that
	// no slope is stated; NotChecked where too much is open.
	Status Status `json:"status"`
	// Operator is the one figure for whoever drives: the low end of tipping or
	// sliding, whichever comes first, less the margin, and no more than the
	// manual allows. Zero unless Status is Within. Round it down.
	Operator units.Slope `json:"operator"`
	// Tip is the slope at which the first wheel comes off the ground: less than
	// Low lifts none, more than High lifts one, whatever the inputs leave open.
	// An end of a quarter turn says that nothing tips it.
	Tip units.Range[units.Slope] `json:"tip"`
	// Heading is the heading in which the machine of Tip.Low tips.
	Heading units.Angle `json:"heading"`
	// Slide is the slope at which it slides, in 36 headings, 0.2 degrees taken off
	// the low end for those between; zero without friction.
	Slide units.Range[units.Slope] `json:"slide"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes,omitempty"`
	// Cautions are what a user of the answer must be shown.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// slopeHeadings is how many headings the high end of a slope limit is sought in,
// and the limit of sliding.
const slopeHeadings = 36

// slideSlack is taken off the low end of sliding for the headings between those
// looked at: there it was up to 0.1 degrees less.
var slideSlack = (0.2 * units.Degree).Slope()

// maxSlopeOpen is how many independent quantities may be open in a slope limit:
// each doubles the work.
const maxSlopeOpen = 13

// SlopeLimit returns how steep the ground may be with a load where the lift ends,
// in the worst heading; sliding is looked at in 36 headings. With more than 13
// independent quantities open, or the tracks or wheelbase of a rigid machine, the
// status is NotChecked. The lift's own slope, heading and braking must be left
// out.
//
// On a slope and heading every wheel load is linear in each mass, in each place,
// in 1/wheelbase, 1/track and the height of the axle's pin; so the first machine
// to tip is a corner of what is open, and the low end is exact but for rigid
// machines whose tracks are not known, which have no answer. The sums of all
// places along one axis count as one quantity, because wheel loads depend on the
// sum only. The high end is the least over headings and edges of what the best
// corner allows. Held by TestSlopeLimitHoldsItsMachines.
//
// With 13 quantities open the work takes a second. Once the context is done, the answer is
// an error that wraps ctx.Err() and no limit: what holds of some corners says nothing of the
// others. A nil context never ends.
func (e *Envelope) SlopeLimit(ctx context.Context, lift Lift, load units.Mass, ground Ground) (SlopeLimit, error) {
	var c units.FieldErrors
	c.Join("ground", ground.Validate())
	valid.Within(&c, "load", load, 0, maxMass)
	for _, f := range []struct {
		path  string
		given bool
	}{{"lift.slope", lift.Slope != 0}, {"lift.heading", lift.Heading != 0}, {"lift.braking", lift.Braking != 0}} {
		if f.given {
			c.Add(f.path, nil, "must be left out: the answer is about every slope and heading")
		}
	}
	if lift.Kind == BreakOut {
		c.Add("lift.kind", lift.Kind, "must be another: the load of a break-out is no mass")
	}
	if err := c.Err(); err != nil {
		return SlopeLimit{}, err
	}
	v, err := e.spread(&lift)
	if err != nil {
		return SlopeLimit{}, err
	}
	out := SlopeLimit{Library: units.Version, Notes: v.q.notes, Cautions: CautionManual | CautionSlope | CautionROPS | CautionStandstill | CautionCarryLow}
	if len(e.assumed) > 0 || v.assumed {
		out.Cautions |= CautionUnchecked
	}
	if !v.rows {
		return out, nil
	}
	w := slopeWork{ctx: ctx, v: &v, load: float64(load), ground: &ground}
	if !w.all() {
		if w.err != nil {
			return SlopeLimit{}, w.err
		}
		return out, nil
	}
	w.answer(&out)
	return out, nil
}

// slopeWork gathers the limits of the corners.
type slopeWork struct {
	ctx    context.Context
	err    error // the context is done
	v      *spread
	load   float64
	ground *Ground

	worst   float64 // the least grade at which a corner tips
	heading units.Angle
	slides  float64 // the least grade at which one slides
	corners int
	// By heading, the greatest grade over the corners of each edge and slide.
	tip   [slopeHeadings][stability.NumEdges]float64
	slide [slopeHeadings][3]float64
}

// axis is one independent quantity of a slope limit: the spans that go to their
// ends together.
type axis []*span

// axes lists what is open in a copy of the envelope, which it returns.
func (w *slopeWork) axes() (e *Envelope, list []axis) {
	copied := *w.v.e
	e = &copied
	e.pieces = append([]pieceSpan(nil), e.pieces...)
	e.placed(w.v, w.load)
	one := func(s ...*span) {
		var open axis
		for _, s := range s {
			if !s.fixed() {
				open = append(open, s)
			}
		}
		if open != nil {
			list = append(list, open)
		}
	}
	in := func(i input) *span { return &e.in[i] }
	x, y, z := []*span{in(inCGX)}, []*span{in(inCGY)}, []*span{in(inCGZ)}
	wheels := [2]bool{}
	added := func(mass float64, at ...*span) {
		if mass < 0 { // what is taken off goes the other way
			one(at[0])
			one(at[1])
			one(at[2])
			return
		}
		x, y, z = append(x, at[0]), append(y, at[1]), append(z, at[2])
	}
	added(float64(e.operator), in(inSeatX), in(inSeatY), in(inSeatZ))
	added(e.fuel.lo, in(inFuelX), in(inFuelY), in(inFuelZ))
	for i := range e.pieces {
		p := &e.pieces[i]
		one(&p.mass)
		one(&p.depth)
		one(&p.roll)
		if p.wheel {
			wheels[0], wheels[1] = wheels[0] || p.onFront, wheels[1] || !p.onFront
		}
		if p.onFront { // it may belong to the axle, which answers apart
			one(&p.y)
			continue
		}
		x, y, z = append(x, &p.x), append(y, &p.y), append(z, &p.z)
	}
	one(x...)
	one(y...)
	one(z...)
	one(&e.fuel)
	for _, i := range [...]input{inWheelbase, inRearTrack, inFrontTrack, inAxlePin, inMass, inFrontLoad, inRearLoad, inAxleMass, inAxleHeight} {
		one(in(i))
	}
	if wheels[0] {
		one(in(inFrontRadius))
	}
	if wheels[1] {
		one(in(inRearRadius))
	}
	return e, list
}

// placed puts frame, arms, attachment and load among the pieces, each at the place
// where the lift has it. Where the arm's geometry is open, x and z of a place are
// ranges by themselves, which holds every place that is possible.
func (e *Envelope) placed(v *spread, load float64) {
	if !e.hasLoader {
		return
	}
	in := &e.in
	at := func(mass, x, y, z span) {
		e.pieces = append(e.pieces, pieceSpan{mass: mass, x: x, y: y, z: z})
	}
	a := e.angle(v.pin)
	pin := in[inPivotX].plus(in[inArm].by(a.cosines(1, 0)))
	arm, lift := in[inArmCG].by(a.cosines(1, 0)), in[inArmCG].by(a.cosines(0, 1))
	if e.loads {
		low := e.angle(in[inLowestPin])
		x, z := in[inArmCG].by(a.cosines(1, 0).minus(low.cosines(1, 0))), in[inArmCG].by(a.cosines(0, 1).minus(low.cosines(0, 1)))
		if a.span == low.span && a.fixed() {
			x, z = span{}, span{}
		}
		e.pieces = append(e.pieces, pieceSpan{mass: in[inArmMass], x: x, z: z, shift: true})
	} else {
		at(in[inFrameMass], in[inFrameX], in[inFrameY], in[inFrameZ])
		at(in[inArmMass], in[inPivotX].plus(arm), span{}, in[inPivotZ].plus(lift))
	}
	at(in[inAttachMass], pin.plus(in[inAttachAhead]), span{}, v.pin.plus(in[inAttachAbove]))
	at(just(load), pin.plus(v.ahead), v.side, v.pin.plus(v.above))
	e.hasLoader = false
}

// all answers every corner; false where too much is open, and once the context is done.
func (w *slopeWork) all() bool {
	e, list := w.axes()
	if len(list) > maxSlopeOpen {
		return false
	}
	w.worst, w.slides = math.Inf(1), math.Inf(1)
	ends := make([][]span, len(list))
	for i, a := range list {
		for _, s := range a {
			ends[i] = append(ends[i], *s)
		}
	}
	for mask := range 1 << len(list) {
		if w.err = valid.Ended(w.ctx, "ballast: slopeLimit"); w.err != nil {
			return false
		}
		for i, a := range list {
			for j, s := range a {
				*s = just(ends[i][j].lo)
				if mask>>i&1 == 1 {
					*s = just(ends[i][j].hi)
				}
			}
		}
		if !w.corner(e) {
			return false
		}
	}
	return true
}

// vehicle returns the machine of an envelope that has one machine.
func (e *Envelope) vehicle() stability.Vehicle {
	base := e.in[inWheelbase].lo
	var t terms
	e.machine(&t, base)
	of := func(body, axle coef) float64 {
		f := form{weights: weights{body, axle}, moving: 1, load: 1}
		return t.over(&f).lo
	}
	sum := func(on func(coef) (coef, coef)) sums {
		get := func(c coef) float64 { return of(on(c)) }
		return sums{get(coef{one: 1}), get(coef{x: 1}), get(coef{y: 1}), get(coef{z: 1}), get(coef{pitch: 1}), get(coef{roll: 1})}
	}
	body := sum(func(c coef) (coef, coef) { return c, coef{} })
	axle := sum(func(c coef) (coef, coef) { return coef{}, c })
	u := e.k.under
	u.Wheelbase, u.RearTrack = units.Length(base), units.Length(e.in[inRearTrack].lo)
	u.FrontTrack, u.PinHeight = units.Length(e.in[inFrontTrack].lo), units.Length(e.in[inAxlePin].lo)
	if axle.m > 0 {
		u.Axle = axle.body().Part()
	}
	return stability.Vehicle{Body: body.body(), Undercarriage: u, Gravity: units.Acceleration(e.k.g)}
}

// corner counts one machine.
func (w *slopeWork) corner(e *Envelope) bool {
	m, err := e.vehicle().Compile()
	if err != nil {
		return false
	}
	w.corners++
	grade := func(l *stability.Limit) float64 {
		switch l.Status {
		case stability.Exceeded:
			return 0
		case stability.Within, stability.Binds:
			return l.Grade
		}
		return math.Inf(1)
	}
	tip := m.WorstTip()
	if g := grade(&tip.First); g < w.worst || w.corners == 1 {
		w.worst, w.heading = g, tip.Heading
	}
	for i := range w.tip {
		at := stability.Situation{Heading: units.Angle(float64(i)/slopeHeadings) * units.Turn, Held: w.ground.Held, Friction: w.ground.Friction.Low}
		l, err := m.Limits(at)
		if err != nil {
			return false
		}
		for k := range l.Tip {
			w.tip[i][k] = max(w.tip[i][k], grade(&l.Tip[k]))
		}
		w.slides = min(w.slides, grade(&l.FirstSlide))
		if w.ground.Friction.High != w.ground.Friction.Low {
			at.Friction = w.ground.Friction.High
			if l, err = m.Limits(at); err != nil {
				return false
			}
		}
		for k := range l.Slide {
			w.slide[i][k] = max(w.slide[i][k], grade(&l.Slide[k]))
		}
	}
	return true
}

// answer makes the limit of what the corners said.
func (w *slopeWork) answer(out *SlopeLimit) {
	high := w.worst
	if w.corners > 1 {
		high = math.Inf(1)
		for i := range w.tip {
			for _, g := range w.tip[i] {
				high = min(high, g)
			}
		}
	}
	out.Tip = units.Range[units.Slope]{Low: units.Grade(w.worst), High: units.Grade(high)}
	out.Heading = w.heading
	first := out.Tip.Low
	out.Status = stability.AtMost
	if w.ground.Friction.Low > 0 {
		high := math.Inf(1)
		for i := range w.slide {
			for _, g := range w.slide[i] {
				high = min(high, g)
			}
		}
		out.Slide = units.Range[units.Slope]{Low: max(0, units.Grade(w.slides)-slideSlack), High: units.Grade(high)}
		first = min(first, out.Slide.Low)
		out.Status = stability.Within
	} else {
		out.Cautions |= CautionUnchecked
	}
	if w.worst == 0 {
		out.Status = stability.Exceeded
	}
	if out.Status != stability.Within {
		return
	}
	out.Operator = max(0, first-w.ground.Margin)
	if m := w.ground.Manual; m > 0 {
		out.Operator = min(out.Operator, m)
	}
}
