package ballast

import (
	"math"

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
	low, high *Model // compiled from either end, for ratings and what is chosen
	in        [numInputs]span
	pieces    []pieceSpan
	operator  units.Mass // added to the machine, negative where taken off
	fuel      units.Mass
	byLoads   bool // the machine's mass is the sum of its axle loads
	loads     bool // the loader's mass is part of the machine's
	hasLoader bool
	assumed   []Assumption
	filled    bool
	practice  Practice
}

// pieceSpan is a piece of ballast as far as it is known.
type pieceSpan struct {
	kind           PieceKind
	mass           span // what of it counts
	x, y, z        span
	depth          span // below the axle, of liquid
	roll           span
	radius         input // whose height the piece has, or inMass for none
	onFront, wheel bool
}

// Assumption is a quantity that nobody gave, and the range of practice that
// stands in for it.
type Assumption struct {
	// Path is the field that was left out.
	Path string `json:"path"`
	// Length is the range of a length, and Mass that of a mass; the other one is
	// left out.
	Length units.Range[units.Length] `json:"length,omitzero"`
	// Mass is the range of a mass.
	Mass units.Range[units.Mass] `json:"mass,omitzero"`
}

// Envelope compiles what the setup leaves open. A field that was left out and that
// an answer needs takes its range from the practice given; a rating that was left
// out takes none, and answers say what it would have to be. Bad input is an error
// that names every bad field.
func (s Setup) Envelope(p Practice) (*Envelope, error) {
	var c units.FieldErrors
	c.Join("practice", p.Validate())
	if c.Len() > 0 {
		return nil, c.Err()
	}
	p = p.filled()
	return envelope(&s, &s, &p)
}

// envelope compiles every machine between two setups, which differ in quantities
// only.
func envelope(low, high *Setup, p *Practice) (*Envelope, error) {
	e := &Envelope{practice: *p}
	var err error
	known := fills{}
	if e.low, err = low.compile(known); err != nil {
		return nil, err
	}
	e.high = e.low
	if high != low {
		if e.high, err = high.compile(known); err != nil {
			return nil, err
		}
	}
	b := spanner{e: e, low: low, high: high, practice: p}
	b.machine()
	if low.Loader != nil {
		b.loader()
	}
	if low.Attachment != nil {
		b.attachment()
	}
	return e, b.pieces(known)
}

// spanner fills in what an envelope knows.
type spanner struct {
	e         *Envelope
	low, high *Setup
	practice  *Practice
}

func (b *spanner) set(i input, low, high float64) { b.e.in[i] = ordered(low, high) }

// height sets a length that may have been left out: share of the length of is
// then usual.
func (b *spanner) length(i input, path string, low, high units.Length, share units.Range[units.Fraction], of span) {
	if low != 0 || high != 0 {
		b.set(i, float64(low), float64(high))
		return
	}
	b.e.in[i] = span{float64(share.Low) * of.lo, float64(share.High) * of.hi}
	b.e.assumed = append(b.e.assumed, Assumption{Path: path, Length: units.Range[units.Length]{Low: units.Length(b.e.in[i].lo), High: units.Length(b.e.in[i].hi)}})
}

// mass sets a mass that may have been left out: a share of the machine's is then
// usual.
func (b *spanner) mass(i input, path string, low, high units.Mass, share units.Range[units.Fraction]) {
	if low != 0 || high != 0 {
		b.set(i, float64(low), float64(high))
		return
	}
	of := b.e.machineMass()
	b.e.in[i] = span{float64(share.Low) * of.lo, float64(share.High) * of.hi}
	b.e.assumed = append(b.e.assumed, Assumption{Path: path, Mass: units.Range[units.Mass]{Low: units.Mass(b.e.in[i].lo), High: units.Mass(b.e.in[i].hi)}})
}

// over sets a height over something else that may have been left out.
func (b *spanner) over(path string, low, high units.Length, usual units.Range[units.Length]) span {
	if low != 0 || high != 0 {
		return ordered(float64(low), float64(high))
	}
	b.e.assumed = append(b.e.assumed, Assumption{Path: path, Length: usual})
	return span{float64(usual.Low), float64(usual.High)}
}

// machineMass returns the mass of the machine as it is specified.
func (e *Envelope) machineMass() span {
	if e.byLoads {
		return e.in[inFrontLoad].plus(e.in[inRearLoad])
	}
	return e.in[inMass]
}

func (b *spanner) machine() {
	e, m, n, p := b.e, &b.low.Machine, &b.high.Machine, b.practice
	e.byLoads = m.FrontLoad.Value() != 0 || n.FrontLoad.Value() != 0
	b.set(inWheelbase, float64(m.Wheelbase.Value()), float64(n.Wheelbase.Value()))
	b.set(inRearTrack, float64(m.RearTrack.Value()), float64(n.RearTrack.Value()))
	b.set(inMass, float64(m.Mass.Value()), float64(n.Mass.Value()))
	b.set(inFrontLoad, float64(m.FrontLoad.Value()), float64(n.FrontLoad.Value()))
	b.set(inRearLoad, float64(m.RearLoad.Value()), float64(n.RearLoad.Value()))
	b.set(inCGX, float64(m.CG.X.Value()), float64(n.CG.X.Value()))
	b.set(inCGY, float64(m.CG.Y.Value()), float64(n.CG.Y.Value()))
	base := e.in[inWheelbase]
	b.length(inCGZ, "machine.cg.z", m.CG.Z.Value(), n.CG.Z.Value(), p.CGHeight, base)
	if m.Undercarriage == stability.Tricycle {
		b.set(inFrontTrack, float64(m.RearTrack.Value()), float64(n.RearTrack.Value())) // it has none
	} else {
		b.length(inFrontTrack, "machine.frontTrack", m.FrontTrack.Value(), n.FrontTrack.Value(), p.FrontTrack, e.in[inRearTrack])
	}
	b.length(inFrontRadius, "machine.front.radius", m.Front.Radius.Value(), n.Front.Radius.Value(), p.FrontRadius, base)
	b.length(inRearRadius, "machine.rear.radius", m.Rear.Radius.Value(), n.Rear.Radius.Value(), p.RearRadius, base)
	if m.Undercarriage == stability.PivotingFront {
		b.length(inAxlePin, "machine.axlePinHeight", m.AxlePinHeight.Value(), n.AxlePinHeight.Value(), p.AxlePinHeight, base)
		b.mass(inAxleMass, "machine.axleMass", m.AxleMass.Value(), n.AxleMass.Value(), p.AxleMass)
		b.length(inAxleHeight, "machine.axleHeight", m.AxleHeight.Value(), n.AxleHeight.Value(), p.AxleHeight, e.in[inFrontRadius])
	}
	e.operator, e.fuel = m.operatorChange(), m.Fuel.change(m.MassIncludes)
	if e.operator != 0 {
		b.set(inSeatX, float64(m.Seat.X.Value()), float64(n.Seat.X.Value()))
		b.set(inSeatY, float64(m.Seat.Y.Value()), float64(n.Seat.Y.Value()))
		b.length(inSeatZ, "machine.seat.z", m.Seat.Z.Value(), n.Seat.Z.Value(), p.SeatHeight, base)
	}
	if e.fuel != 0 {
		b.set(inFuelX, float64(m.Fuel.CG.X.Value()), float64(n.Fuel.CG.X.Value()))
		b.set(inFuelY, float64(m.Fuel.CG.Y.Value()), float64(n.Fuel.CG.Y.Value()))
		b.length(inFuelZ, "machine.fuel.cg.z", m.Fuel.CG.Z.Value(), n.Fuel.CG.Z.Value(), p.FuelHeight, base)
	}
	b.set(inHitchX, float64(m.Hitch.X.Value()), float64(n.Hitch.X.Value()))
	b.set(inHitchRating, float64(m.Hitch.Rating.Value()), float64(n.Hitch.Rating.Value()))
	b.set(inFrontRating, float64(m.Front.Rating.Value()), float64(n.Front.Rating.Value()))
	b.set(inRearRating, float64(m.Rear.Rating.Value()), float64(n.Rear.Rating.Value()))
	b.set(inFrontRim, float64(m.Front.WheelRating.Value()), float64(n.Front.WheelRating.Value()))
	b.set(inRearRim, float64(m.Rear.WheelRating.Value()), float64(n.Rear.WheelRating.Value()))
	b.set(inGross, float64(m.GrossRating.Value()), float64(n.GrossRating.Value()))
	b.set(inROPS, float64(m.ROPSRating.Value()), float64(n.ROPSRating.Value()))
}

func (b *spanner) loader() {
	e, l, h, p := b.e, b.low.Loader, b.high.Loader, b.practice
	e.hasLoader = true
	e.loads = b.low.Machine.LoaderIncluded == WithLoader
	b.set(inPivotX, float64(l.Pivot.X.Value()), float64(h.Pivot.X.Value()))
	b.set(inPivotZ, float64(l.Pivot.Z.Value()), float64(h.Pivot.Z.Value()))
	b.set(inArm, float64(l.Arm.Value()), float64(h.Arm.Value()))
	b.set(inLowestPin, float64(l.LowestPin.Value()), float64(h.LowestPin.Value()))
	b.set(inHighestPin, float64(l.HighestPin.Value()), float64(h.HighestPin.Value()))
	b.set(inSelfLeveling, float64(l.SelfLeveling.Value()), float64(h.SelfLeveling.Value()))
	b.mass(inArmMass, "loader.armMass", l.ArmMass.Value(), h.ArmMass.Value(), p.ArmMass)
	b.length(inArmCG, "loader.armCG", l.ArmCG.Value(), h.ArmCG.Value(), p.ArmCG, e.in[inArm])
	if e.loads && l.FrameMass.Value() == 0 {
		// It is part of the machine's mass and matters with the loader off only.
		base := e.in[inWheelbase]
		b.mass(inFrameMass, "loader.frameMass", l.FrameMass.Value(), h.FrameMass.Value(), p.FrameMass)
		b.set(inFrameX, 0.3*base.lo, 0.9*base.hi)
	} else {
		b.set(inFrameMass, float64(l.FrameMass.Value()), float64(h.FrameMass.Value()))
		b.set(inFrameX, float64(l.FrameCG.X.Value()), float64(h.FrameCG.X.Value()))
		b.set(inFrameY, float64(l.FrameCG.Y.Value()), float64(h.FrameCG.Y.Value()))
	}
	b.length(inFrameZ, "loader.frameCG.z", l.FrameCG.Z.Value(), h.FrameCG.Z.Value(), p.FrameHeight, e.in[inPivotZ])
	if l.Cylinders != nil {
		b.set(inPush, float64(l.Cylinders.Push()), float64(h.Cylinders.Push()))
	}
	b.set(inBreakOut, float64(l.BreakOut.Value()), float64(h.BreakOut.Value()))
	b.set(inCoupler, float64(l.CouplerRating.Value()), float64(h.CouplerRating.Value()))
}

func (b *spanner) attachment() {
	e, a, h, p := b.e, b.low.Attachment, b.high.Attachment, b.practice
	b.set(inAttachMass, float64(a.Mass.Value()), float64(h.Mass.Value()))
	b.set(inAttachAhead, float64(a.CG.Ahead.Value()), float64(h.CG.Ahead.Value()))
	if a.Kind != BarePin {
		e.in[inAttachAbove] = b.over("attachment.cg.above", a.CG.Above.Value(), h.CG.Above.Value(), p.AttachmentAbove)
	}
	b.set(inFace, float64(a.Face.Value()), float64(h.Face.Value()))
	b.set(inLoadCenter, float64(a.LoadCenter.Value()), float64(h.LoadCenter.Value()))
	b.set(inTine, float64(a.Tine.Value()), float64(h.Tine.Value()))
	b.set(inEdgeAhead, float64(a.Edge.Ahead.Value()), float64(h.Edge.Ahead.Value()))
	b.set(inEdgeAbove, float64(a.Edge.Above.Value()), float64(h.Edge.Above.Value()))
	b.set(inAttachRating, float64(a.Rating.Value()), float64(h.Rating.Value()))
}

// pieces lists the pieces, each with what is known of it. The mass of a fill is
// its band.
func (b *spanner) pieces(known fills) error {
	e := b.e
	for i := range b.low.Pieces {
		p, h := b.low.Pieces[i], b.high.Pieces[i]
		mass := ordered(float64(p.counted()), float64(h.counted()))
		if p.Fill != nil {
			e.filled = true
			one, _, err := known.solve(p)
			if err != nil {
				return err
			}
			band := known[p.Fill].MassBand
			n := float64(p.filledTires())
			mass = span{n * float64(band.Low), n * float64(band.High)}
			p, h = one, one
		}
		out := pieceSpan{kind: p.Kind, mass: mass, radius: inMass,
			x: ordered(float64(p.CG.X.Value()), float64(h.CG.X.Value())), y: ordered(float64(p.CG.Y.Value()), float64(h.CG.Y.Value())),
			depth: span{float64(p.Depth.Value()), float64(h.Depth.Value())}, roll: span{float64(p.RollRise.Value()), float64(h.RollRise.Value())},
		}
		switch {
		case p.Kind.OnRearWheels():
			out.radius, out.wheel = inRearRadius, true
		case p.Kind.OnFrontWheels():
			out.radius, out.wheel, out.onFront = inFrontRadius, true, true
		default:
			out.z = b.over(units.Index("pieces", i)+".cg.z", p.CG.Z.Value(), h.CG.Z.Value(), b.practice.PieceHeight)
		}
		e.pieces = append(e.pieces, out)
	}
	return nil
}

// Assumed returns what the envelope took from practice because nobody gave it.
func (e *Envelope) Assumed() []Assumption { return append([]Assumption(nil), e.assumed...) }

// state says which of the machine's states a sum is taken in.
type sumState struct {
	off   bool // the loader is off
	outer span // angles of the arm
	inner span // of a way, the angles that are passed whatever is open
	way   bool
}

// sum returns the form over everything on the machine without the load, at one
// corner whose wheelbase is base: the least and the greatest value that what is
// open allows.
func (e *Envelope) sum(f *form, st *sumState, base float64) span {
	in := &e.in
	at := func(c *coef, x, y, z span) span {
		return just(c.one).plus(x.times(c.x)).plus(y.times(c.y)).plus(z.times(c.z))
	}
	unladen := func(c coef) coef { c.one += f.unladen; return c }
	body := unladen(f.body)
	var out span
	if e.byLoads {
		out = in[inFrontLoad].by(at(&body, just(base), in[inCGY], in[inCGZ]))
		out = out.plus(in[inRearLoad].by(at(&body, span{}, in[inCGY], in[inCGZ])))
	} else {
		out = in[inMass].by(at(&body, in[inCGX], in[inCGY], in[inCGZ]))
	}
	if e.operator != 0 {
		out = out.plus(at(&body, in[inSeatX], in[inSeatY], in[inSeatZ]).times(float64(e.operator)))
	}
	if e.fuel != 0 {
		out = out.plus(at(&body, in[inFuelX], in[inFuelY], in[inFuelZ]).times(float64(e.fuel)))
	}
	if in[inAxleMass].hi > 0 {
		swap := f.axle.plus(-1, f.body)
		out = out.plus(in[inAxleMass].by(at(&swap, just(base), span{}, in[inAxleHeight])))
	}
	if e.hasLoader {
		out = out.plus(e.loaderSum(f, st))
	}
	for i := range e.pieces {
		p := &e.pieces[i]
		c, x, z := &f.body, p.x, p.z
		rise := p.depth.times(c.pitch)
		if p.wheel {
			x, z = span{}, in[p.radius]
			if p.onFront {
				x = just(base)
				if e.low.machine.Undercarriage == stability.PivotingFront {
					c = &f.axle
				}
			}
			// The liquid lies below the axle by its depth and counts higher by it.
			rise = p.depth.times(c.pitch - c.z)
		}
		out = out.plus(p.mass.by(at(c, x, p.y, z).plus(rise).plus(p.roll.times(c.roll))))
	}
	return out.minus(f.rating)
}

// loaderSum is the part of the loader's frame and arms and of the attachment.
func (e *Envelope) loaderSum(f *form, st *sumState) span {
	in := &e.in
	c := &f.body
	at := func(x, y, z span) span {
		return just(c.one).plus(x.times(c.x)).plus(y.times(c.y)).plus(z.times(c.z))
	}
	var out span
	// The frame.
	frame := in[inFrameMass].by(at(in[inFrameX], in[inFrameY], in[inFrameZ]))
	switch {
	case e.loads && st.off:
		out = out.minus(frame)
		out = out.minus(in[inFrameMass].times(f.unladen))
	case e.loads:
		out = out.minus(in[inFrameMass].times(f.unladen))
	case !st.off:
		out = out.plus(frame)
	}
	// The arms, at their place less the place where the machine's figures have
	// them.
	moving := f.moving
	if st.off {
		moving = 0
	}
	resting := 0.0
	if e.loads {
		resting = 1
	}
	k := moving - resting
	g := just(k * c.one).plus(in[inPivotX].times(k * c.x)).plus(in[inPivotZ].times(k * c.z))
	turn := st.cosines(moving*c.x, moving*c.z)
	if e.loads {
		low := e.angle(in[inLowestPin])
		turn = turn.plus(cosines(-c.x, -c.z, low))
		if k == 0 && st.outer == low && low.fixed() && !st.way {
			turn = span{} // they are where the figures have them
		}
		g = g.minus(just(f.unladen))
	}
	out = out.plus(in[inArmMass].by(g.plus(in[inArmCG].by(turn))))
	if st.off {
		return out
	}
	// The attachment, on the pin.
	pin := in[inPivotX].times(c.x).plus(in[inPivotZ].times(c.z)).plus(in[inArm].by(st.cosines(c.x, c.z)))
	place := just(c.one).plus(pin).plus(in[inAttachAhead].times(c.x)).plus(in[inAttachAbove].times(c.z))
	return out.plus(in[inAttachMass].by(place).times(f.moving))
}

// cosines returns x cos a + z sin a over the angles of a state; of a way its
// greatest value.
func (s *sumState) cosines(x, z float64) span {
	if !s.way {
		return cosines(x, z, s.outer)
	}
	out := span{maxCosine(x, z, s.outer.lo, s.outer.hi), maxCosine(x, z, s.outer.lo, s.outer.hi)}
	if s.inner.lo <= s.inner.hi {
		out.lo = maxCosine(x, z, s.inner.lo, s.inner.hi)
	} else {
		out.lo = -maxCosine(-x, -z, s.outer.lo, s.outer.hi)
	}
	return out
}

// angle returns the angles of the arm with the pin at a height.
func (e *Envelope) angle(height span) span {
	s := height.minus(e.in[inPivotZ]).over(e.in[inArm])
	return span{math.Asin(max(-1, s.lo)), math.Asin(min(1, s.hi))}
}
