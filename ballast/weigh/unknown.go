package weigh

import (
	"math"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/derive"
	"example.com/steelyard/internal/fit"
	"example.com/steelyard/units"
)

// The unknowns of a machine. Lengths are in meters, angles in radians, pressures in
// megapascals. Test loads, pieces and the angles of raised axles follow behind.
const (
	unBody       = iota // mass of the machine without arms, attachment and loose pieces
	unBodyX             // its center ahead of the rear contact line, as a share of the wheelbase
	unBodyZ             // the height of its center that counts in pitch, as a share of the wheelbase
	unAxle              // mass of the front axle as a share of that mass
	unAxleZ             // height of its center as a share of the front radius
	unLiquid            // mass of the liquid in the rear tires
	unLiquidDeep        // how far its center is below the rear axle
	unArms              // mass of arms and carrier
	unArmsAt            // how far along the arm their center is, as a share of it
	unHung              // mass of the attachment
	unHungX             // its center ahead of the pivot pin
	unHungZ             // its center above the pivot pin
	unBase
	unPivotX
	unPivotZ
	unArm
	unRearRadius
	unFrontRadius
	unTrack
	unAxlePin
	unCylX // the lower pin of the cylinder, from the arms' pivot
	unCylZ
	unRodX // the upper pin, along the arm and above it
	unRodZ
	unBore   // log
	unRelief // log
	unDrag   // share of the pressure that friction takes
	unStick  // pressure that friction takes besides
	unLower  // friction's share while sinking, over that while raising
	unLevel  // self-leveling
	unArmsUp // how far the center of the arms is above the line from pivot to pin, as a share of the arm
	unGain   // of the scale
	unZero   // of the scale
	unGauge  // gain of the gauge
	unYard   // how far the yard rises towards the nose
	unSquat  // how far the nose sinks up to the tipping load
	unFixed  // how many unknowns every machine has
)

// unLoad returns the unknown mass of a test load; the next one is how far ahead of
// the pivot pin it is.
func (e *estimator) unLoad(i int) int { return unFixed + 2*i }

// unPiece returns the unknown mass of a loose piece; the next one is its place.
func (e *estimator) unPiece(i int) int { return unFixed + 2*len(e.r.Loads) + 2*i }

// unRaised returns the unknown angle of a raised axle.
func (e *estimator) unRaised(i int) int { return e.unPiece(len(e.r.Pieces)) + i }

// count counts the unknowns and puts those at the end that only some records need.
func (e *estimator) count() {
	e.n = e.unRaised(len(e.raised))
	e.m.held = [2]derive.Value{}
	e.m.side, e.m.cross = 0, 0
	e.m.pins = slices.Grow(e.m.pins[:0], len(e.r.Weights))[:len(e.r.Weights)]
	add := func(at *derive.Value) {
		if *at == 0 {
			*at = derive.Value(e.n)
			e.n++
		}
	}
	for i := range e.r.Weights {
		w := &e.r.Weights[i]
		if w.Held == HeldUnknown {
			add(&e.m.held[raisedBit(w)])
		}
		if w.RearLeft != 0 {
			add(&e.m.side)
			add(&e.m.cross)
		}
		if e.m.pins[i] = 0; moves(w) {
			add(&e.m.pins[i])
		}
	}
}

// moves reports whether the height of the pin in a weighing is an unknown of its own: where a
// load was on the arms and both axles were read, which together know the load whatever the
// height is. Elsewhere the error of the height makes that of the reading greater.
func moves(w *AxleReading) bool {
	return len(w.Loads) > 0 && w.Front != 0 && (w.Rear != 0 || w.RearLeft != 0)
}

// Ranges that no setup has: how machines and instruments are, as a value and one
// standard deviation of what is common practice without a source.
const (
	bodySpread       = 0.22 // of its mass
	looseSpread      = 0.5  // of what a label says, as a share
	usualRelief      = 17.0 // MPa
	reliefSpread     = 0.10
	stickShare       = 0.1 // of the friction at the usual relief pressure that does not grow with pressure
	stickSpread      = 6   // its spread over that of the part that grows, each as a share of its own value
	usualHeld        = 0.5 // of the radius of the standing wheels
	heldSpread       = 0.4
	sideSpread       = 0.01 // of the wheelbase
	lowerSpread      = 0.25 // of one
	usualGain        = 0.0075
	usualGauge       = 0.01
	usualYard        = 0.5 * math.Pi / 180
	usualSquat       = 0.4 * math.Pi / 180
	squatSpread      = 0.25 * math.Pi / 180
	usualBore        = 0.052 // m, of a machine of two tonnes
	boreSpread       = 0.15
	usualLevel       = 0.2 * math.Pi / 180
	usualPin         = 0.005 // m
	usualFigure      = 0.1
	deepSpread       = 0.05 // m
	usualDeep        = 0.12 // m
	levelingSpread   = 0.29 // of what may be anything from 0 to 1
	practiceSigmas   = 2.3  // a range of practice is this many standard deviations either way
	armsCautious     = 1.06 // on the spread of what hardly any reading tells apart from the rest
	dragCautious     = 1.12
	wheelbaseSpread  = 0.2
	loadAhead        = 0.6
	loadAheadSpread  = 0.4
	raisedSpread     = 0.2
	cylinderSpread   = 0.04 // of the arm
	usualCylX        = 0.05
	usualCylZ        = -0.17
	usualRodX        = 0.40
	usualRodZ        = -0.05
	leastLengthKnown = 1e-6
)

// know puts the prior knowledge of every unknown into the problem.
func (e *estimator) know() {
	r := e.r
	e.p.Reset(e.n)
	e.mean, e.dev = slices.Grow(e.mean[:0], e.n)[:e.n], slices.Grow(e.dev[:0], e.n)[:e.n]
	usual, base := e.practice, r.wheelbase()
	mass, spread := e.total()
	share := func(i int, of float64, g units.Range[units.Fraction]) {
		e.prior(i, of*float64(g.Low+g.High)/2, of*float64(g.High-g.Low)/(2*practiceSigmas))
	}
	length := func(i int, g units.Range[units.Length]) {
		e.prior(i, float64(g.Low+g.High)/2, float64(g.High-g.Low)/(2*practiceSigmas))
	}
	// The mass of a part is a share of the machine's, which may itself be uncertain.
	part := func(i int, g units.Range[units.Fraction]) {
		mid := mass * float64(g.Low+g.High) / 2
		e.prior(i, mid, math.Hypot(mass*float64(g.High-g.Low)/(2*practiceSigmas), spread*mid))
	}
	part(unArms, usual.ArmMass)
	part(unHung, usual.AttachmentMass)
	e.prior(unBody, mass*e.restShare(), bodySpread*mass*e.restShare())
	share(unBodyX, 1, usual.CGX)
	share(unBodyZ, 1, usual.CGHeight)
	share(unAxle, 1, usual.AxleMass)
	share(unAxleZ, 1, usual.AxleHeight)
	e.prior(unLiquid, float64(r.Liquid.Value), float64(r.Liquid.SD))
	e.prior(unLiquidDeep, usualDeep, deepSpread)
	share(unArmsAt, 1, usual.ArmCG)
	up := usual.ArmCGAbove
	e.prior(unArmsUp, float64(up.Low+up.High)/2, armsCautious*float64(up.High-up.Low)/(2*practiceSigmas))
	length(unHungX, usual.AttachmentAhead)
	length(unHungZ, usual.AttachmentAbove)
	e.prior(unBase, base, wheelbaseSpread*base)
	share(unPivotX, base, usual.PivotX)
	share(unPivotZ, base, usual.PivotZ)
	share(unArm, base, usual.Arm)
	share(unRearRadius, base, usual.RearRadius)
	share(unFrontRadius, base, usual.FrontRadius)
	share(unTrack, base, usual.RearTrack)
	share(unAxlePin, base, usual.AxlePinHeight)
	arm := base * float64(usual.Arm.Low+usual.Arm.High) / 2
	for i, at := range []float64{usualCylX, usualCylZ, usualRodX, usualRodZ} {
		e.prior(unCylX+i, at*arm, cylinderSpread*arm)
	}
	e.prior(unBore, math.Log(usualBore)+math.Log(mass/2000)/3, boreSpread)
	e.prior(unRelief, math.Log(usualRelief), reliefSpread)
	e.friction(usual.Friction)
	e.prior(unLower, 1, lowerSpread)
	if s, ok := r.SelfLeveling.Range(); ok {
		e.prior(unLevel, float64(s.Low+s.High)/2, float64(s.High-s.Low)/(2*math.Sqrt(3)))
	} else {
		e.prior(unLevel, 0.5, levelingSpread)
	}
	e.prior(unGain, 0, or(float64(r.Scale.GainSD), usualGain))
	e.prior(unZero, 0, float64(r.Scale.ZeroSD))
	e.prior(unGauge, 0, or(float64(r.Gauge.GainSD), usualGauge))
	e.prior(unYard, float64(r.Yard.Value), or(float64(r.Yard.SD), usualYard))
	squat := r.Squat
	if squat == (Measured[units.Angle]{}) {
		squat = Measured[units.Angle]{Value: usualSquat, SD: squatSpread}
	}
	e.prior(unSquat, float64(squat.Value), float64(squat.SD))
	for i, l := range r.Loads {
		k := e.unLoad(i)
		label := e.rows[len(r.Tape)+i].value
		e.prior(k, label, math.Max(looseSpread*label, 10*float64(l.Mass.SD)))
		e.prior(k+1, loadAhead, loadAheadSpread)
	}
	for i, l := range r.Pieces {
		k := e.unPiece(i)
		e.prior(k, float64(l.Mass.Value), math.Max(looseSpread*float64(l.Mass.Value), 10*float64(l.Mass.SD)))
		e.prior(k+1, float64(l.X.Value), math.Max(0.5, 10*float64(l.X.SD)))
	}
	for i, a := range e.raised {
		e.prior(e.unRaised(i), float64(a), raisedSpread)
	}
	for _, k := range e.m.held {
		if k != 0 {
			e.prior(int(k), 0, heldSpread*math.Hypot(e.mean[unYard], e.dev[unYard]))
		}
	}
	for _, k := range e.m.pins {
		if k != 0 {
			e.prior(int(k), 0, or(float64(r.PinSD), usualPin))
		}
	}
	if e.m.side != 0 {
		e.prior(int(e.m.side), 0, sideSpread*base)
		e.prior(int(e.m.cross), 0, usualYard)
	}
	e.start()
}

// friction splits the friction of practice, a share of the relief pressure, into a part
// that grows with pressure and one that does not. Together they have its middle and its
// spread. The spread of the second part takes in none of it and a fifth of all: where all
// friction grows with force, as Practice.Friction has it, a firm fifth made lift 1.6 % too
// high in the median with a gauge good to 100 kPa.
func (e *estimator) friction(g units.Range[units.Fraction]) {
	mid, sd := float64(g.Low+g.High)/2, dragCautious*float64(g.High-g.Low)/(2*practiceSigmas)
	drag, stick := (1-stickShare)*mid, stickShare*mid
	// Spreads in proportion to drag and stickSpread times stick.
	by := sd / math.Hypot(drag, stickSpread*stick)
	e.prior(unDrag, drag, by*drag)
	e.prior(unStick, stick*usualRelief, by*stickSpread*stick*usualRelief)
}

// restShare returns how much of the machine's mass is neither arms nor attachment, by
// practice.
func (e *estimator) restShare() float64 {
	rest := 1 - float64(e.practice.ArmMass.Low+e.practice.ArmMass.High)/2
	if e.r.Attachment != ballast.BarePin {
		rest -= float64(e.practice.AttachmentMass.Low+e.practice.AttachmentMass.High) / 2
	}
	return math.Max(rest, 0.1)
}

// total returns about what the machine weighs, and the spread of that as a share of it.
// What its papers say serves where no scale says it, and where the scale is so far from
// it that one of the two must be wrong. A reading that was dropped says it only where
// nothing else does, by what all others made of it.
func (e *estimator) total() (mass, spread float64) {
	mass = float64(e.r.Mass)
	if w := e.weighed(false); w > 0 && (mass == 0 || math.Abs(math.Log(w/mass)) < 0.7) {
		return w, 0
	}
	if mass == 0 {
		mass = e.weighed(true)
	}
	return mass, bodySpread
}

// weighed returns the mass of the machine by the first readings of both axles without
// load, with its pieces; zero if they are not there. Readings that were dropped count
// where doubtful is set.
func (e *estimator) weighed(doubtful bool) float64 {
	var front, rear, left, right float64
	first := func(v *float64, w *row) {
		switch {
		case *v != 0:
		case !w.dropped:
			*v = w.value
		case doubtful:
			*v = w.about
		}
	}
	for k := range e.rows {
		w := &e.rows[k]
		if w.kind < rowFront || w.kind > rowRearRight {
			continue
		}
		if a := &e.r.Weights[w.i]; a.Raised != 0 || len(a.Loads) > 0 || len(a.Without) > 0 {
			continue
		}
		switch w.kind {
		case rowFront:
			first(&front, w)
		case rowRear:
			first(&rear, w)
		case rowRearLeft:
			first(&left, w)
		case rowRearRight:
			first(&right, w)
		}
	}
	if rear == 0 && left != 0 && right != 0 {
		rear = left + right
	}
	if front == 0 || rear == 0 {
		return 0
	}
	return front + rear
}

// start lets the steps begin where a tape, a scale or a gauge says so by itself,
// which saves steps and changes no answer.
func (e *estimator) start() {
	for i := range e.r.Tape {
		t := &e.r.Tape[i]
		if k := directly[t.Length]; k != 0 {
			e.p.Start(k, float64(t.Value))
		}
		switch t.Length {
		case TapedBore:
			e.p.Start(unBore, math.Log(float64(t.Value)))
		case TapedLoadAhead:
			e.p.Start(e.unLoad(e.r.place(t.Load))+1, float64(t.Value))
		}
	}
	if w := e.weighed(e.r.Mass == 0); w > 0 {
		e.p.Start(unBody, w*e.restShare())
	}
	for i := range e.r.Pressures {
		if p := &e.r.Pressures[i]; p.Motion == AtStop {
			e.p.Start(unRelief, math.Log(float64(p.Pressure)/1e6))
		}
	}
}

// directly names the unknowns that are lengths by themselves.
var directly = [tapedEnd]int{
	TapedWheelbase: unBase, TapedPivotX: unPivotX, TapedPivotZ: unPivotZ, TapedArm: unArm, TapedRearRadius: unRearRadius,
	TapedFrontRadius: unFrontRadius, TapedRearTrack: unTrack, TapedAxlePin: unAxlePin, TapedAttachmentAhead: unHungX,
	TapedAttachmentAbove: unHungZ, TapedCylinderAhead: unCylX, TapedCylinderAbove: unCylZ, TapedRodAlong: unRodX, TapedRodAbove: unRodZ,
}

// prior puts the prior knowledge of one unknown into the problem.
func (e *estimator) prior(i int, value, sd float64) {
	e.mean[i], e.dev[i] = value, sd
	e.p.Prior(i, value, sd)
}

// or returns the value, or what is usual where it is zero.
func or(v, usual float64) float64 {
	if v == 0 {
		return usual
	}
	return v
}

// rowKind says what an observation of the estimate is.
type rowKind uint8

const (
	rowTape rowKind = iota
	rowLoad
	rowPiece
	rowPieceX
	rowFront
	rowRear
	rowRearLeft
	rowRearRight
	rowRaised
	rowPressure
	rowFigure
)

// row is one reading.
type row struct {
	kind    rowKind
	i       int     // its place in the list of its kind
	value   float64 // what was read
	sd      float64
	dropped bool
	about   float64 // of one that was dropped: what all others made of it
}

// list writes all readings down as rows.
func (e *estimator) list() {
	r := e.r
	e.rows = e.rows[:0]
	add := func(kind rowKind, i int, value, sd float64) {
		e.rows = append(e.rows, row{kind: kind, i: i, value: value, sd: sd})
	}
	for i, t := range r.Tape {
		add(rowTape, i, float64(t.Value), float64(t.SD))
	}
	for i, l := range r.Loads {
		add(rowLoad, i, float64(l.Mass.Value), float64(l.Mass.SD))
	}
	for i, l := range r.Pieces {
		add(rowPiece, i, float64(l.Mass.Value), float64(l.Mass.SD))
		add(rowPieceX, i, float64(l.X.Value), float64(l.X.SD))
	}
	e.raised = e.raised[:0]
	for i := range r.Weights {
		w := &r.Weights[i]
		sd := r.Scale.reading()
		if !moves(w) {
			sd = math.Hypot(sd, e.shifts(w))
		}
		if w.Front != 0 {
			add(rowFront, i, float64(w.Front), sd)
		}
		if w.Rear != 0 {
			add(rowRear, i, float64(w.Rear), sd)
		}
		if w.RearLeft != 0 {
			add(rowRearLeft, i, float64(w.RearLeft), sd)
			add(rowRearRight, i, float64(w.RearRight), sd)
		}
		if w.Raised != 0 && !slices.Contains(e.raised, w.Raised) {
			e.raised = append(e.raised, w.Raised)
		}
	}
	for i, a := range e.raised {
		add(rowRaised, i, float64(a), or(float64(r.LevelSD), usualLevel))
	}
	for i, p := range r.Pressures {
		sd := float64(r.Gauge.SD) / 1e6
		v := float64(p.Pressure) / 1e6
		if p.Motion == Still { // friction acts either way, all of it or none
			mid := float64(e.practice.Friction.Low+e.practice.Friction.High) / 2
			sd = math.Hypot(sd, mid*((1-stickShare)*v+stickShare*usualRelief)/math.Sqrt(3))
		}
		add(rowPressure, i, v, sd)
	}
	for i, f := range r.Figures {
		share := or(float64(f.SD), usualFigure)
		v := float64(f.Mass)
		if f.Kind == FigureRelief {
			v = float64(f.Pressure) / 1e6
		}
		add(rowFigure, i, v, share*v)
	}
}

// shifts returns how much load moves from one axle to the other by one standard deviation of
// the height of the pivot pin: the masses on the arms move forward by the tangent of the
// arms' angle. Practice and the first taped lengths are good enough for that.
func (e *estimator) shifts(w *AxleReading) float64 {
	r := e.r
	base := r.wheelbase()
	length := func(k TapedLength, g units.Range[units.Fraction]) float64 {
		for i := range r.Tape {
			if r.Tape[i].Length == k {
				return float64(r.Tape[i].Value)
			}
		}
		return base * float64(g.Low+g.High) / 2
	}
	mid := func(g units.Range[units.Fraction]) float64 { return float64(g.Low+g.High) / 2 }
	mass := float64(r.Mass)
	if mass == 0 {
		mass = r.weighed()
	}
	moved := mass * mid(e.practice.ArmMass) * mid(e.practice.ArmCG)
	if r.Attachment != ballast.BarePin {
		moved += mass * mid(e.practice.AttachmentMass)
	}
	for _, n := range w.Loads {
		moved += float64(r.Loads[r.load(n)].Mass.Value)
	}
	s := (length(TapedPivotZ, e.practice.PivotZ) - float64(w.Pin)) / length(TapedArm, e.practice.Arm)
	s = math.Max(-0.95, math.Min(0.95, s))
	return moved * math.Abs(s) / math.Sqrt(1-s*s) * or(float64(r.PinSD), usualPin) / base
}

// path returns the place of a reading in the record.
func (e *estimator) path(k int) string {
	w := &e.rows[k]
	switch w.kind {
	case rowTape:
		return units.Index("tape", w.i) + ".value"
	case rowLoad:
		return units.Index("loads", w.i) + ".mass.value"
	case rowPiece:
		return units.Index("pieces", w.i) + ".mass.value"
	case rowPieceX:
		return units.Index("pieces", w.i) + ".x.value"
	case rowFront:
		return units.Index("weights", w.i) + ".front"
	case rowRear:
		return units.Index("weights", w.i) + ".rear"
	case rowRearLeft:
		return units.Index("weights", w.i) + ".rearLeft"
	case rowRearRight:
		return units.Index("weights", w.i) + ".rearRight"
	case rowRaised:
		for j, a := range e.r.Weights {
			if a.Raised == e.raised[w.i] {
				return units.Index("weights", j) + ".raised"
			}
		}
	case rowPressure:
		return units.Index("pressures", w.i) + ".pressure"
	case rowFigure:
		if e.r.Figures[w.i].Kind == FigureRelief {
			return units.Index("figures", w.i) + ".pressure"
		}
		return units.Index("figures", w.i) + ".mass"
	}
	return ""
}

// filled returns the ranges of practice, with the usual ones where the record
// gives none.
func (r *Record) filled() ballast.Practice { return r.Practice.Filled() }

var _ fit.Model = (*estimator)(nil)
