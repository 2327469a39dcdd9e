package weigh

import (
	"math"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fit"
	"example.com/steelyard/units"
)

// The unknowns of a machine. Lengths are in meters, angles in radians, pressures in
// megapascals. Test loads, pieces and the angles of raised axles follow behind.
const (
	unBody       = iota // log of the mass of the machine without arms, attachment and loose pieces
	unBodyX             // its center ahead of the rear contact line, as a share of the wheelbase
	unBodyZ             // the height of its center that counts in pitch, as a share of the wheelbase
	unAxle              // mass of the front axle as a share of that mass
	unAxleZ             // height of its center as a share of the front radius
	unLiquid            // mass of the liquid in the rear tires
	unLiquidDeep        // how far its center is below the rear axle
	unArms              // log of the mass of arms and carrier
	unArmsAt            // how far along the arm their center is, as a share of it
	unHung              // log of the mass of the attachment
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

// Ranges that no setup has: how machines and instruments are, as a value and one
// standard deviation of what is common practice without a source.
const (
	bodySpread       = 0.22 // of a log
	armsSpread       = 0.25
	hungSpread       = 0.30
	looseSpread      = 0.5 // of what a label says, as a share
	usualArms        = 0.09
	usualHung        = 0.055
	usualRelief      = 17.0 // MPa
	reliefSpread     = 0.10
	usualDrag        = 0.06
	dragSpread       = 0.02
	usualStick       = 0.25 // MPa
	stickSpread      = 0.12
	lowerSpread      = 0.25 // of one
	usualGain        = 0.0075
	usualGauge       = 0.01
	usualYard        = 0.5 * math.Pi / 180
	usualSquat       = 0.4 * math.Pi / 180
	squatSpread      = 0.25 * math.Pi / 180
	usualBore        = 0.052 // m, of a machine of two tonnes
	boreSpread       = 0.15
	usualLevel       = 0.2 * math.Pi / 180
	usualFigure      = 0.1
	deepSpread       = 0.05 // m
	usualDeep        = 0.12 // m
	levelingSpread   = 0.29 // of what may be anything from 0 to 1
	practiceSigmas   = 2.5  // a range of practice is this many standard deviations either way
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
	mass, base := float64(r.Mass), r.wheelbase()
	if mass == 0 {
		mass = r.weighed()
	}
	usual := e.practice
	share := func(i int, of float64, g units.Range[units.Fraction]) {
		e.prior(i, of*float64(g.Low+g.High)/2, of*float64(g.High-g.Low)/(2*practiceSigmas))
	}
	length := func(i int, g units.Range[units.Length]) {
		e.prior(i, float64(g.Low+g.High)/2, float64(g.High-g.Low)/(2*practiceSigmas))
	}
	e.prior(unBody, math.Log(mass*(1-usualArms-usualHung)), bodySpread)
	share(unBodyX, 1, usual.CGX)
	share(unBodyZ, 1, usual.CGHeight)
	share(unAxle, 1, usual.AxleMass)
	share(unAxleZ, 1, usual.AxleHeight)
	e.prior(unLiquid, float64(r.Liquid.Value), float64(r.Liquid.SD))
	e.prior(unLiquidDeep, usualDeep, deepSpread)
	e.prior(unArms, math.Log(mass*usualArms), armsSpread)
	share(unArmsAt, 1, usual.ArmCG)
	e.prior(unHung, math.Log(mass*usualHung), hungSpread)
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
	e.prior(unDrag, usualDrag, dragSpread)
	e.prior(unStick, usualStick, stickSpread)
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
		e.prior(k, float64(l.Mass.Value), math.Max(looseSpread*float64(l.Mass.Value), 10*float64(l.Mass.SD)))
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
	e.start()
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
	if w := e.r.weighed(); w > 0 {
		e.p.Start(unBody, math.Log(w*(1-usualArms-usualHung)))
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
	for i, w := range r.Weights {
		if w.Front != 0 {
			add(rowFront, i, float64(w.Front), r.Scale.reading())
		}
		if w.Rear != 0 {
			add(rowRear, i, float64(w.Rear), r.Scale.reading())
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
			sd = math.Hypot(sd, (usualDrag*v+usualStick)/math.Sqrt(3))
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
