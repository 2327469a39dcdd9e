package ballast

import (
	"math"
	"slices"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// input names a quantity of a setup that an envelope knows as a span.
type input uint8

const (
	inWheelbase input = iota
	inRearTrack
	inFrontTrack
	inAxlePin
	inMass
	inFrontLoad
	inRearLoad
	inCGX
	inCGY
	inCGZ
	inAxleMass
	inAxleHeight
	inFrontRadius
	inRearRadius
	inSeatX
	inSeatY
	inSeatZ
	inFuelX
	inFuelY
	inFuelZ
	inFrameMass
	inFrameX
	inFrameY
	inFrameZ
	inArmMass
	inArmCG
	inPivotX
	inPivotZ
	inArm
	inLowestPin
	inHighestPin
	inSelfLeveling
	inPush
	inFriction
	inBreakOut
	inCoupler
	inAttachMass
	inAttachAhead
	inAttachAbove
	inFace
	inLoadCenter
	inTine
	inEdgeAhead
	inEdgeAbove
	inAttachRating
	inHitchX
	inHitchRating
	inFrontRating
	inRearRating
	inFrontRim
	inRearRim
	inGross
	inROPS
	numInputs
)

// An Envelope is every machine that a setup leaves open: each quantity is known,
// or a range. Its answers hold for all of them: a load below the low end of an
// answer exceeds no limit whichever of the machines it is, a load above the high
// end exceeds one whichever it is. An envelope of which less is known has answers
// that hold those of one of which more is known. It is immutable and safe for
// many goroutines.
//
// # How it is found
//
// With slope, heading and height given, a limit asks that a sum over masses and
// places is not positive, and the sum is linear in each of them by itself. Its
// greatest and its least value are therefore found part by part, each at an end
// of what is known of the part, for every corner of the few quantities that all
// parts share: wheelbase, tracks and the height of the axle pin enter as 1/L, 1/T,
// T and h, each linearly. The low end of a limit is the least over its conditions
// of the load that the worst corner allows, the high end the least over the
// conditions of the load that each one's best corner allows. The low end is exact
// while arm and pivot are known; the high end is a bound, as different conditions
// may have different best corners.
//
// Held by TestEnvelopeHoldsItsMachines and TestEnvelopeInclusion.
type Envelope struct {
	k         *Model          // of the middle of every range: for what is chosen and not measured
	tires     [2][2]tireLimit // front and rear, at either end of the pressure
	in        [numInputs]span
	pieces    []pieceSpan
	operator  units.Mass // added to the machine, negative where taken off
	fuel      span
	byLoads   bool // the machine's mass is the sum of its axle loads
	loads     bool // the loader's mass is part of the machine's
	hasLoader bool
	filled    bool // there are fills, whose masses are bands
	ranged    bool // some quantity that somebody gave is a range
	flatLift  bool // the lift is taken to stay what it is outside the rated heights
	absent    LimitSet
	assumed   []Assumption
	practice  Practice
	motion    Motion
	stop      span // swing of the front axle, radians
}

// pieceSpan is a piece of ballast as far as it is known.
type pieceSpan struct {
	kind           PieceKind
	mass           span // what of it counts
	x, y, z        span
	depth          span // below the axle, of liquid
	roll           span
	radius         input // whose height a piece on wheels has
	onFront, wheel bool
	shift          bool // its mass is counted elsewhere, and x and z are by how much it is moved
}

// Envelope compiles what the setup leaves open. A field that was left out and that
// an answer needs takes its range from the practice given; a rating that was left
// out takes none, and answers say what it would have to be. A rating that is
// declared absent is no limit. Cylinders, but for bore, pressure
// and friction, must be single values. Bad input is an error that names every bad field.
func (s Setup) Envelope(p Practice) (*Envelope, error) {
	if p == (Practice{}) {
		p = UsualPractice()
		return s.envelope(&p, fills{})
	}
	if err := p.Validate(); err != nil {
		var c units.FieldErrors
		c.Join("practice", err)
		return nil, c.Err()
	}
	p = p.fill()
	return s.envelope(&p, fills{})
}

// envelope takes fills from those that are known, and adds to them.
func (s *Setup) envelope(p *Practice, known fills) (*Envelope, error) {
	full, assumed := s.supplied(p)
	if err := full.complete(); err != nil {
		return nil, err
	}
	var c units.FieldErrors
	v := look{errs: &c, open: true}
	full.look(&v)
	if l := full.Loader; l != nil && l.Cylinders != nil {
		v := &look{errs: &c}
		v.enter("loader", -1)
		v.enter("cylinders", -1)
		k := *l.Cylinders
		k.Bore, k.Pressure, k.Friction = units.Is(units.Length(1)), units.Is(units.GaugePressure(1)), units.Is[units.Fraction](0)
		k.look(v)
	}
	if c.Len() > 0 {
		return nil, c.Err()
	}
	e := &Envelope{assumed: assumed, practice: *p, ranged: s.singles() != nil}
	e.absent = s.absent()
	e.ofMachine(&full.Machine)
	if full.Loader != nil {
		e.ofLoader(full.Loader, &full.Machine)
	}
	if full.Attachment != nil {
		e.ofAttachment(full.Attachment)
	}
	pieces := full.Pieces
	full.Pieces = slices.Clone(pieces)
	full.settle()
	var err error
	if e.k, err = full.model(known); err != nil {
		return nil, err
	}
	if e.hasLoader {
		if err := e.reaches(); err != nil {
			return nil, err
		}
	}
	return e, e.ofPieces(pieces, known)
}

// absent returns the limits whose ratings are declared absent.
func (s *Setup) absent() (out LimitSet) {
	add := func(none bool, k LimitKind) {
		if none {
			out |= setOf(k)
		}
	}
	m := &s.Machine
	add(m.Front.Rating.Absent(), LimitFrontAxle)
	add(m.Front.WheelRating.Absent(), LimitFrontRim)
	add(m.Rear.Rating.Absent(), LimitRearAxle)
	add(m.Rear.WheelRating.Absent(), LimitRearRim)
	add(m.GrossRating.Absent(), LimitGross)
	add(m.ROPSRating.Absent(), LimitROPS)
	add(m.Hitch.Rating.Absent(), LimitHitch)
	if l := s.Loader; l != nil {
		add(l.BreakOut.Absent(), LimitBreakOut)
		add(l.CouplerRating.Absent(), LimitCoupler)
	}
	if a := s.Attachment; a != nil {
		add(a.Rating.Absent(), LimitAttachment)
	}
	return out
}

func (e *Envelope) ofMachine(m *Machine) {
	e.byLoads = !m.FrontLoad.Unknown()
	for i, axle := range [...]*Axle{&m.Front, &m.Rear} {
		for j := range e.tires[i] {
			a := *axle
			if r, ok := a.Tire.Pressure.Range(); ok {
				a.Tire.Pressure = units.Is([...]units.GaugePressure{r.Low, r.High}[j])
			}
			e.tires[i][j] = compileTire(&a)
		}
	}
	e.motion, e.stop = m.Motion, endsOf(m.StopAngle)
	if !stated(m.StopAngle) {
		e.stop = span{lowStop, highStop}
	}
	in := &e.in
	in[inWheelbase] = endsOf(m.Wheelbase)
	in[inRearTrack], in[inFrontTrack] = endsOf(m.RearTrack), endsOf(m.FrontTrack)
	if m.Undercarriage == stability.Tricycle {
		in[inFrontTrack] = in[inRearTrack] // it has none
	}
	in[inMass], in[inFrontLoad], in[inRearLoad] = endsOf(m.Mass), endsOf(m.FrontLoad), endsOf(m.RearLoad)
	in[inCGX], in[inCGY], in[inCGZ] = endsOf(m.CG.X), endsOf(m.CG.Y), endsOf(m.CG.Z)
	in[inFrontRadius], in[inRearRadius] = endsOf(m.Front.Radius), endsOf(m.Rear.Radius)
	if m.Undercarriage == stability.PivotingFront {
		in[inAxlePin], in[inAxleMass], in[inAxleHeight] = endsOf(m.AxlePinHeight), endsOf(m.AxleMass), endsOf(m.AxleHeight)
	}
	if e.operator = m.operatorChange(); e.operator != 0 {
		in[inSeatX], in[inSeatY], in[inSeatZ] = endsOf(m.Seat.X), endsOf(m.Seat.Y), endsOf(m.Seat.Z)
	}
	if m.Fuel.counts(m.MassIncludes) {
		e.fuel = endsOf(m.Fuel.Capacity).times(m.Fuel.added(m.MassIncludes) * float64(dieselDensity))
		in[inFuelX], in[inFuelY], in[inFuelZ] = endsOf(m.Fuel.CG.X), endsOf(m.Fuel.CG.Y), endsOf(m.Fuel.CG.Z)
	}
	in[inHitchX], in[inHitchRating] = endsOf(m.Hitch.X), endsOf(m.Hitch.Rating)
	in[inFrontRating], in[inRearRating] = endsOf(m.Front.Rating), endsOf(m.Rear.Rating)
	in[inFrontRim], in[inRearRim] = endsOf(m.Front.WheelRating), endsOf(m.Rear.WheelRating)
	in[inGross], in[inROPS] = endsOf(m.GrossRating), endsOf(m.ROPSRating)
}

func (e *Envelope) ofLoader(l *Loader, m *Machine) {
	e.hasLoader = true
	e.loads = m.LoaderIncluded == WithLoader
	in := &e.in
	in[inPivotX], in[inPivotZ], in[inArm] = endsOf(l.Pivot.X), endsOf(l.Pivot.Z), endsOf(l.Arm)
	in[inLowestPin], in[inHighestPin] = endsOf(l.LowestPin), endsOf(l.HighestPin)
	in[inSelfLeveling] = endsOf(l.SelfLeveling)
	in[inArmMass], in[inArmCG] = endsOf(l.ArmMass), endsOf(l.ArmCG)
	in[inFrameMass] = endsOf(l.FrameMass)
	in[inFrameX], in[inFrameY], in[inFrameZ] = endsOf(l.FrameCG.X), endsOf(l.FrameCG.Y), endsOf(l.FrameCG.Z)
	if c := l.Cylinders; c != nil {
		bore := endsOf(c.Bore)
		in[inPush] = bore.by(bore).times(float64(c.Count) * (math.Pi / 4)).by(endsOf(c.Pressure))
		if c.Bore.Known() && c.Pressure.Known() {
			in[inPush] = just(c.gross()) // to the last bit
		}
		in[inFriction] = endsOf(c.Friction)
	} else {
		in[inFriction] = span{float64(e.practice.Friction.Low), float64(e.practice.Friction.High)}
	}
	in[inBreakOut], in[inCoupler] = endsOf(l.BreakOut), endsOf(l.CouplerRating)
}

// reaches reports a pin that no arm of the envelope reaches from its pivot.
func (e *Envelope) reaches() error {
	var c units.FieldErrors
	in := &e.in
	for _, p := range [...]struct {
		path string
		of   input
	}{{"loader.lowestPin", inLowestPin}, {"loader.highestPin", inHighestPin}} {
		d := in[p.of].minus(in[inPivotZ])
		if least := max(d.lo, -d.hi, 0); least > maxArmSine*in[inArm].hi*(1+1e-9) {
			c.Add(p.path, nil, "must be within reach of the arm: no more than 0.98 of loader.arm above or below loader.pivot.z")
		}
	}
	return c.Err()
}

func (e *Envelope) ofAttachment(a *Attachment) {
	in := &e.in
	in[inAttachMass], in[inAttachAhead], in[inAttachAbove] = endsOf(a.Mass), endsOf(a.CG.Ahead), endsOf(a.CG.Above)
	in[inFace], in[inLoadCenter], in[inTine] = endsOf(a.Face), endsOf(a.LoadCenter), endsOf(a.Tine)
	in[inEdgeAhead], in[inEdgeAbove] = endsOf(a.Edge.Ahead), endsOf(a.Edge.Above)
	in[inAttachRating] = endsOf(a.Rating)
}

// ofPieces lists the pieces, each with what is known of it. The mass of a fill is
// its band.
func (e *Envelope) ofPieces(list []Piece, known fills) error {
	if len(list) > 0 {
		e.pieces = make([]pieceSpan, 0, len(list))
	}
	for i := range list {
		p := list[i]
		var band span
		if p.Fill != nil {
			e.filled = true
			fill := p.Fill
			var err error
			if p, _, err = known.solve(p); err != nil {
				return err
			}
			mass, n := known[fill].MassBand, float64(list[i].filledTires())
			band = span{n * float64(mass.Low), n * float64(mass.High)}
		}
		out := pieceSpanOf(&p)
		if band != (span{}) {
			out.mass = band
		}
		e.pieces = append(e.pieces, out)
	}
	return nil
}

// pieceSpanOf returns what is known of a piece without a fill.
func pieceSpanOf(p *Piece) pieceSpan {
	out := pieceSpan{kind: p.Kind, mass: endsOf(p.Mass).times(p.countedShare()), x: endsOf(p.CG.X), y: endsOf(p.CG.Y), depth: endsOf(p.Depth), roll: endsOf(p.RollRise)}
	switch {
	case p.Kind.OnRearWheels():
		out.radius, out.wheel = inRearRadius, true
	case p.Kind.OnFrontWheels():
		out.radius, out.wheel, out.onFront = inFrontRadius, true, true
	default:
		out.z = endsOf(p.CG.Z)
	}
	return out
}

// with returns the envelope with a piece added.
func (e *Envelope) with(p *Piece) *Envelope {
	out := *e
	one := pieceSpanOf(p)
	if !one.wheel && unknownHeight(&p.CG.Z) {
		one.z = span{float64(e.practice.PieceHeight.Low), float64(e.practice.PieceHeight.High)}
	}
	out.pieces = append(e.pieces[:len(e.pieces):len(e.pieces)], one)
	return &out
}

// Assumed returns what the envelope took from practice because nobody gave it.
func (e *Envelope) Assumed() []Assumption { return append([]Assumption(nil), e.assumed...) }

// sumState says in which of the machine's states a sum is taken.
type sumState struct {
	off   bool // the loader is off
	outer arc  // angles of the arm
	inner arc  // of a way, the angles that are passed whatever is open
	low   arc  // with the pin at its lowest
	way   bool
}

// What a term adds to.
const (
	onBody uint8 = iota
	onAxle
	onBoth    // it is the axle's, and was counted with the body
	onNothing // it counts among the unladen mass only
	onShift   // of a mass that is counted elsewhere, by how much it is moved
)

// term is a mass at a place, of which something is open.
type term struct {
	mass, x, y, z, pitch, roll span
	on                         uint8
	unladen                    bool
}

// terms is a part of what is on the machine: the sums of what is known, and what
// is open. What does not depend on the state of the machine stands apart from the
// loader and the attachment, which do.
type terms struct {
	body, axle, arms sums
	unladen          float64
	arm, attachment  bool // these are open as well
	n                int
	open             [maxOpen]term
	more             []term // beyond that
}

// add adds a term to what is known, or to what is open.
func (t *terms) add(p term) {
	if !p.mass.fixed() || !p.x.fixed() || !p.y.fixed() || !p.z.fixed() || !p.pitch.fixed() || !p.roll.fixed() {
		if t.n < len(t.open) {
			t.open[t.n] = p
			t.n++
		} else {
			t.more = append(t.more, p)
		}
		return
	}
	m := massAt(p.mass.lo, p.x.lo, p.y.lo, p.z.lo)
	m.pitch, m.roll = p.mass.lo*p.pitch.lo, p.mass.lo*p.roll.lo
	switch p.on {
	case onBody:
		t.body = t.body.plus(m)
	case onAxle:
		t.axle = t.axle.plus(m)
	case onBoth:
		t.axle, t.body = t.axle.plus(m), t.body.plus(m.times(-1))
	case onShift:
		m.m = 0
		t.body = t.body.plus(m)
	}
	if p.unladen {
		t.unladen += p.mass.lo
	}
}

// machine lists in t what is on the machine in every state, with the wheelbase
// base.
func (e *Envelope) machine(t *terms, base float64) {
	in := &e.in
	if e.byLoads {
		t.add(term{mass: in[inFrontLoad], x: just(base), y: in[inCGY], z: in[inCGZ], unladen: true})
		t.add(term{mass: in[inRearLoad], y: in[inCGY], z: in[inCGZ], unladen: true})
	} else {
		t.add(term{mass: in[inMass], x: in[inCGX], y: in[inCGY], z: in[inCGZ], unladen: true})
	}
	if e.operator != 0 {
		t.add(term{mass: just(float64(e.operator)), x: in[inSeatX], y: in[inSeatY], z: in[inSeatZ], unladen: true})
	}
	if e.fuel != (span{}) {
		t.add(term{mass: e.fuel, x: in[inFuelX], y: in[inFuelY], z: in[inFuelZ], unladen: true})
	}
	if in[inAxleMass].hi > 0 {
		t.add(term{mass: in[inAxleMass], x: just(base), z: in[inAxleHeight], on: onBoth})
	}
	for i := range e.pieces {
		p := &e.pieces[i]
		one := term{mass: p.mass, x: p.x, y: p.y, z: p.z, pitch: p.depth, roll: p.roll}
		if p.wheel {
			one.x, one.z = span{}, in[p.radius]
			if p.depth.hi > 0 { // the liquid lies below the axle and counts higher by that
				one.z = one.z.minus(p.depth)
			}
			if p.onFront {
				one.x = just(base)
				if e.k.machine.Undercarriage == stability.PivotingFront {
					one.on = onAxle
				}
			}
		}
		if p.shift {
			one.on = onShift
		}
		t.add(one)
	}
}

// loader lists in t the loader's frame, its arms and the attachment in a state.
func (e *Envelope) loader(t *terms, st *sumState) {
	if !e.hasLoader {
		return
	}
	in := &e.in
	if e.loads == st.off { // it is part of the machine's mass, or it is off
		frame := term{mass: in[inFrameMass], x: in[inFrameX], y: in[inFrameY], z: in[inFrameZ]}
		if e.loads {
			frame.mass = frame.mass.times(-1)
		}
		t.add(frame)
	}
	if e.loads {
		t.add(term{mass: in[inFrameMass].times(-1), unladen: true, on: onNothing})
	}
	placed := in[inPivotX].fixed() && in[inPivotZ].fixed() && in[inArm].fixed() && !st.way && st.outer.fixed()
	armed := in[inArmMass].fixed() && in[inArmCG].fixed() && (placed || st.off) && (!e.loads || in[inLowestPin].fixed() && in[inPivotX].fixed() && in[inPivotZ].fixed() && in[inArm].fixed())
	if !armed {
		t.arm = true
	} else {
		at := func(a *arc) sums {
			return massAt(in[inArmMass].lo, in[inPivotX].lo+in[inArmCG].lo*a.cos[0], 0, in[inPivotZ].lo+in[inArmCG].lo*a.sin[0])
		}
		if !st.off {
			t.arms = t.arms.plus(at(&st.outer))
		}
		if e.loads {
			t.body = t.body.plus(at(&st.low).times(-1))
			t.unladen -= in[inArmMass].lo
		}
	}
	switch {
	case st.off:
	case placed && in[inAttachMass].fixed() && in[inAttachAhead].fixed() && in[inAttachAbove].fixed():
		sin, cos := st.outer.sin[0], st.outer.cos[0]
		t.arms = t.arms.plus(massAt(in[inAttachMass].lo, in[inPivotX].lo+in[inArm].lo*cos+in[inAttachAhead].lo, 0, in[inPivotZ].lo+in[inArm].lo*sin+in[inAttachAbove].lo))
	default:
		t.attachment = true
	}
}

// of returns what a coefficient makes of sums.
func (c *coef) of(s *sums) float64 {
	return float64(c.one*s.m) + float64(c.x*s.x) + float64(c.y*s.y) + float64(c.z*s.z) + float64(c.pitch*s.pitch) + float64(c.roll*s.roll)
}

// over returns what a kilogram adds at a place that is open.
func (c *coef) over(p *term) span {
	out := just(c.one).plus(p.x.times(c.x)).plus(p.y.times(c.y)).plus(p.z.times(c.z))
	if p.pitch != (span{}) || p.roll != (span{}) {
		// Depth is in z and in pitch: of a liquid only the difference counts.
		out = out.plus(p.pitch.times(c.pitch)).plus(p.roll.times(c.roll))
	}
	return out
}

// over returns the form over some terms: the least and the greatest value that
// what is open allows.
func (t *terms) over(f *form) span {
	out := just(f.body.of(&t.body) + f.axle.of(&t.axle) + f.moving*f.body.of(&t.arms) + f.unladen*t.unladen)
	for i := range t.open[:t.n] {
		out = out.plus(t.open[i].under(f))
	}
	for i := range t.more {
		out = out.plus(t.more[i].under(f))
	}
	return out
}

// under returns the form over one term.
func (p *term) under(f *form) span {
	c := f.body
	switch p.on {
	case onAxle:
		c = f.axle
	case onBoth:
		c = f.axle.plus(-1, f.body)
	case onNothing:
		c = coef{}
	case onShift:
		c.one = 0
	}
	if p.unladen {
		c.one += f.unladen
	}
	return p.mass.by(c.over(p))
}

// sum returns the form over the loader in a state; with that over the machine it is
// the form without the load.
func (e *Envelope) sum(f *form, t *terms, st *sumState) span {
	out := t.over(f)
	if t.arm {
		out = out.plus(e.armSum(f, st))
	}
	if t.attachment {
		in, c := &e.in, &f.body
		pin := in[inPivotX].times(c.x).plus(in[inPivotZ].times(c.z)).plus(in[inArm].by(st.cosines(c.x, c.z)))
		place := just(c.one).plus(pin).plus(in[inAttachAhead].times(c.x)).plus(in[inAttachAbove].times(c.z))
		out = out.plus(in[inAttachMass].by(place).times(f.moving))
	}
	return out
}

// armSum is the part of the arms at their place, less the place where the
// machine's figures have them.
func (e *Envelope) armSum(f *form, st *sumState) span {
	in, c := &e.in, &f.body
	moving, resting := f.moving, 0.0
	if st.off {
		moving = 0
	}
	if e.loads {
		resting = 1
	}
	k := moving - resting
	g := just(k * c.one).plus(in[inPivotX].times(k * c.x)).plus(in[inPivotZ].times(k * c.z))
	turn := st.cosines(moving*c.x, moving*c.z)
	if st.off {
		turn = span{}
	}
	if e.loads {
		turn = turn.plus(st.low.cosines(-c.x, -c.z))
		if k == 0 && !st.way && st.outer.span == st.low.span && st.low.fixed() {
			turn = span{} // they are where the figures have them
		}
		g = g.minus(just(f.unladen))
	}
	return in[inArmMass].by(g.plus(in[inArmCG].by(turn)))
}

// cosines returns x cos a + z sin a over the angles of a state; of a way its
// greatest value.
func (s *sumState) cosines(x, z float64) span {
	if !s.way {
		return s.outer.cosines(x, z)
	}
	out := just(s.outer.most(x, z))
	if s.inner.lo <= s.inner.hi {
		out.lo = s.inner.most(x, z)
	} else {
		out.lo = -s.outer.most(-x, -z)
	}
	return out
}

// angle returns the angles of the arm with the pin at a height; where ends of its
// geometry do not reach so far, they count as at the end of what an arm may do.
func (e *Envelope) angle(height span) arc {
	s := height.minus(e.in[inPivotZ]).over(e.in[inArm])
	at := func(v float64) float64 { return math.Asin(min(maxArmSine, max(-maxArmSine, v))) }
	if s.fixed() {
		return arcOf(just(at(s.lo)))
	}
	return arcOf(span{at(s.lo), at(s.hi)})
}
