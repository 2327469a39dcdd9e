package ballast

import (
	"cmp"
	"context"
	"math"
	"slices"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/internal/words"
	"example.com/steelyard/units"
)

// Instrument is what a question is answered with. In JSON: "stated", "manual", "plate",
// "tape", "inclinometer", "tireGauge", "scale" or "workshop".
type Instrument uint8

// Instruments, from the least effort to the most.
const (
	// Stated is what the user decides, or sees by looking at the machine or the yard.
	Stated Instrument = iota
	// FromManual is a look into a manual, a data sheet or a parts list.
	FromManual
	// FromPlate is a look at a plate or a sidewall.
	FromPlate
	// FromTape is a tape measure on level ground.
	FromTape
	// FromInclinometer is an inclinometer, on the ground or on the machine.
	FromInclinometer
	// FromTireGauge is a pressure gauge on a cold tire.
	FromTireGauge
	// FromScale is a scale under an axle or under the part.
	FromScale
	// FromWorkshop needs a trained person and equipment made for it. It is no
	// work for the yard.
	FromWorkshop
)

var instrumentNames = []string{"stated", "manual", "plate", "tape", "inclinometer", "tireGauge", "scale", "workshop"}

// Question is something worth finding out for an answer that is open.
type Question struct {
	// Paths are the fields that it fills.
	Paths []string `json:"paths"`
	// Instrument is what it takes.
	Instrument Instrument `json:"instrument"`
	// How says in a sentence how it is measured or where it stands; Code is the sentence's
	// code in a [units.Catalog].
	How string `json:"how"`
	// Code is the code of How.
	Code string `json:"code"`
	// Care says in a sentence what to heed while it is measured; empty for a look
	// at a manual or a plate. CareCode is its code.
	Care string `json:"care,omitempty"`
	// CareCode is the code of Care.
	CareCode string `json:"careCode,omitempty"`
	// Decides is how likely it is that the load asked about is then decided, if
	// every value of what is open is as likely as any other: 0 to 1. For a rating
	// it is zero, because nothing says what the plate will say.
	Decides units.Fraction `json:"decides"`
	// Narrows is the part of the width of the answer that it takes off, on the
	// average.
	Narrows units.Fraction `json:"narrows"`
	// Rates are the limits that cannot be answered without it.
	Rates LimitSet `json:"rates"`
}

// care says what to heed with an instrument.
func (k Instrument) care() string {
	switch k {
	case FromTape:
		return "Measure on level ground with the arms down, the attachment empty, the engine off and nobody in the seat."
	case FromTireGauge:
		return "Read it on a cold tire from beside the tread; where a tire is far too low, leave it to a tire service."
	case FromScale:
		return "Weigh on level ground with the arms down and the attachment empty, drive onto the scale slowly, and let nobody stand near."
	case FromWorkshop:
		return "This is for a trained person with equipment made for it, not for the yard."
	}
	return ""
}

// measured is a quantity of an envelope that can be measured: how, with what, and
// what is left open then, in meters or as a share.
type measured struct {
	of         input
	path       string
	instrument Instrument
	how        string
	error      float64 // half width
	share      bool    // error is a share of the value
}

// How what belongs to no quantity of an envelope is measured.
const (
	howPressure    = "Read the pressure of the cold tires with a gauge, and inflate as the maker's table says."
	howSpeed       = "Say how fast the machine travels with the load: a tire's rating holds up to the speed of its symbol only."
	howFriction    = "Say what the ground is: dry and firm, wet grass, mud."
	howPieceHeight = "Measure with a tape from level ground to the middle of the piece."
	howPieceMass   = "Weigh the piece, or the rear axle before and after it is put on; of a fill, read the meter at the pump."
	howLoadAbove   = "Measure with a tape from the top of the tines, or from the bucket's edge, to the middle of the load."
)

const (
	tapeError   = 0.01
	scaleError  = 0.005
	manualError = 0.05
)

var measurements = [...]measured{
	{inWheelbase, "machine.wheelbase", FromTape, "Measure with a tape from the middle of the rear hub to the middle of the front hub, on both sides.", tapeError, false},
	{inRearTrack, "machine.rearTrack", FromTape, "Measure with a tape between the middles of the rear tires.", tapeError, false},
	{inFrontTrack, "machine.frontTrack", FromTape, "Measure with a tape between the middles of the front tires.", tapeError, false},
	{inAxlePin, "machine.axlePinHeight", FromTape, "Measure with a tape from level ground to the middle of the front axle's pin.", tapeError, false},
	{inMass, "machine.mass", FromScale, "Weigh the machine on a scale.", scaleError, true},
	{inFrontLoad, "machine.frontLoad", FromScale, "Weigh the front axle on a scale, all wheels level.", scaleError, true},
	{inRearLoad, "machine.rearLoad", FromScale, "Weigh the rear axle on a scale, all wheels level.", scaleError, true},
	{inCGX, "machine.cg.x", FromScale, "Weigh both axles on a scale, all wheels level: x is the wheelbase times the front axle's share.", tapeError, false},
	{inCGZ, "machine.cg.z", FromWorkshop, "A workshop that is equipped for it finds the height of the center of gravity; ask the dealer whether the maker states it. Nobody lifts an axle in the yard for it.", 0.03, false},
	{inAxleMass, "machine.axleMass", FromManual, "Ask the dealer for the mass of the front axle with its wheels.", manualError, true},
	{inAxleHeight, "machine.axleHeight", FromTape, "Measure with a tape from level ground to the middle of the front hub.", 0.03, false},
	{inFrontRadius, "machine.front.radius", FromTape, "Measure with a tape from level ground to the middle of the front hub.", tapeError, false},
	{inRearRadius, "machine.rear.radius", FromTape, "Measure with a tape from level ground to the middle of the rear hub.", tapeError, false},
	{inSeatZ, "machine.seat.z", FromTape, "Measure with a tape from level ground to 0.15 m above the seat cushion.", 0.05, false},
	{inFuelZ, "machine.fuel.cg.z", FromTape, "Measure with a tape from level ground to the middle of the tank.", 0.05, false},
	{inFrameMass, "loader.frameMass", FromManual, "The mass of the loader's frame stands on the loader's data sheet or in its parts list.", manualError, true},
	{inFrameZ, "loader.frameCG.z", FromTape, "Measure with a tape from level ground to the middle of the loader's frame.", 0.05, false},
	{inArmMass, "loader.armMass", FromManual, "The mass of the loader's arms stands on the loader's data sheet or in its parts list.", manualError, true},
	{inArmCG, "loader.armCG", FromManual, "Ask the dealer where the loader's arms balance.", 0.1, false},
	{inSelfLeveling, "loader.selfLeveling", FromManual, "Look whether a linkage keeps the attachment level while the arms rise.", 0, false},
	{inPivotX, "loader.pivot.x", FromTape, "Measure with a tape how far the arm's pivot is ahead of the middle of the rear hub.", tapeError, false},
	{inPivotZ, "loader.pivot.z", FromTape, "Measure with a tape from level ground to the arm's pivot.", tapeError, false},
	{inArm, "loader.arm", FromTape, "Measure with a tape from the arm's pivot straight to the pin that carries the attachment.", tapeError, false},
	{inAttachMass, "attachment.mass", FromScale, "Weigh the attachment on a scale, or read its plate.", scaleError, true},
	{inAttachAhead, "attachment.cg.ahead", FromTape, "Measure how far ahead of its pin the attachment balances.", 0.03, false},
	{inAttachAbove, "attachment.cg.above", FromTape, "Measure how high above its pin the middle of the attachment is.", 0.03, false},
	{inFace, "attachment.face", FromTape, "Measure with a tape from the attachment's pin ahead to the face of the tines, or to the middle of the bucket's load.", tapeError, false},
	{inTine, "attachment.tine", FromTape, "Measure with a tape how far the top of the tines is above the attachment's pin.", tapeError, false},
}

// ratingPaths are the fields that hold the rating of each limit.
var ratingPaths = [...]string{
	LimitHydraulic: "loader.rated", LimitBreakOut: "loader.breakOut", LimitFrontAxle: "machine.front.rating", LimitFrontTire: "machine.front.tire",
	LimitFrontRim: "machine.front.wheelRating", LimitRearAxle: "machine.rear.rating", LimitRearTire: "machine.rear.tire", LimitRearRim: "machine.rear.wheelRating",
	LimitGross: "machine.grossRating", LimitROPS: "machine.ropsRating", LimitCoupler: "loader.couplerRating", LimitAttachment: "attachment.rating",
	LimitHitch: "machine.hitch.rating", LimitManualBallast: "loader.manualBallast",
}

// measuredSteps is how many values of a quantity are tried, at equal chances.
const measuredSteps = 7

// Questions returns what is worth finding out to decide whether a load may be
// lifted in a load case, the best first: ratings and the manual, then what is
// most likely to decide it, with the least effort among equals. What changes
// nothing is left out. A pressure gauge in the loader's circuit and the lifting of
// an axle are never asked for in the yard.
//
// The work takes a tenth of a second where much is open. Once the context is done, the answer is the questions that are
// known by then, ratings among them, with an error that wraps ctx.Err(). A nil context never
// ends.
func (e *Envelope) Questions(ctx context.Context, lift Lift, load units.Mass) ([]Question, error) {
	var c units.FieldErrors
	valid.Within(&c, "load", load, 0, maxMass)
	if err := c.Err(); err != nil {
		return nil, err
	}
	v, err := e.spread(&lift)
	if err != nil {
		return nil, err
	}
	var one [1]tally
	if err := v.solve(one[:], float64(load)); err != nil {
		return nil, err
	}
	t := &one[0]
	out := v.missing(t)
	for i, path := range [...]string{LimitFrontTire: "machine.front.tire.pressure", LimitRearTire: "machine.rear.tire.pressure"} {
		if i == 0 || path == "" || t.missing[i-1] {
			continue
		}
		k := &e.tires[0][0]
		if LimitKind(i) == LimitRearTire {
			k = &e.tires[1][0]
		}
		if k.notes.Has(NotePressureUnknown) {
			out = append(out, Question{Paths: []string{path}, Instrument: FromTireGauge, Narrows: 1, How: howPressure})
		}
	}
	if v.q.notes.Has(NoteSpeedUnknown) {
		out = append(out, Question{Paths: []string{"lift.speed"}, Instrument: Stated, Narrows: 1, How: howSpeed})
	}
	ask := func(v *spread) (allowed, error) {
		var t [1]tally
		err := v.solve(t[:], 0)
		return t[0].ends(), err
	}
	more, err := v.ask(ctx, ask, float64(load))
	return ranked(append(out, more...)), err
}

// SlopeQuestions returns what is worth finding out to decide whether the machine
// stands on a slope with a load, as [Envelope.Questions] does. With 13 quantities open the
// work takes seconds. Once the context is done, the answer is the questions that are known by
// then, with an error that wraps ctx.Err(). A nil context never ends.
func (e *Envelope) SlopeQuestions(ctx context.Context, lift Lift, load units.Mass, ground Ground, slope units.Slope) ([]Question, error) {
	if err := valid.Ended(ctx, "ballast: slopeQuestions"); err != nil {
		return nil, err
	}
	if _, err := e.SlopeLimit(ctx, lift, load, ground); err != nil {
		return nil, err
	}
	v, err := e.spread(&lift)
	if err != nil {
		return nil, err
	}
	v.coarse = true // each value asks every corner
	var out []Question
	if ground.Friction == (units.Range[units.Fraction]{}) {
		out = append(out, Question{Paths: []string{"ground.friction"}, Instrument: Stated, Narrows: 1, How: howFriction})
	}
	ask := func(v *spread) (allowed, error) {
		w := slopeWork{ctx: ctx, v: v, load: float64(load), ground: &ground}
		var l SlopeLimit
		if w.all() {
			w.answer(&l)
		}
		if w.err != nil {
			return allowed{}, w.err
		}
		r := allowed{float64(l.Tip.Low), float64(l.Tip.High)}
		if l.Slide.High > 0 {
			r = allowed{min(r.low, float64(l.Slide.Low)), min(r.high, float64(l.Slide.High))}
		}
		return r, nil
	}
	more, err := v.ask(ctx, ask, float64(slope))
	if err == nil {
		err = valid.Ended(ctx, "ballast: slopeQuestions")
	}
	return ranked(append(out, more...)), err
}

// ends returns the ends of the load that all known limits allow.
func (t *tally) ends() allowed {
	r := allowed{float64(MaxLoad), float64(MaxLoad)}
	for i := range NumLimits {
		if t.checked[i] && !t.missing[i] {
			r = allowed{min(r.low, max(0, t.low[i])), min(r.high, max(0, t.high[i]))}
		}
	}
	return r
}

// plates are the looks that answer for ratings: what stands on one plate or in one
// manual is one look.
var plates = [...]struct {
	of         LimitSet
	instrument Instrument
	how        string // of more than one of them; of one it is that of the limit
}{
	{setOf(LimitHydraulic) | setOf(LimitBreakOut), FromManual, "What the loader lifts at the pin that carries the attachment, at one height or more, and the break-out force stand on the loader's data sheet."},
	{setOf(LimitManualBallast) | setOf(LimitCoupler), FromManual, "Whether ballast must sit behind, how much of it, and what the loader's coupler may carry stand in the loader's manual."},
	{setOf(LimitFrontAxle) | setOf(LimitRearAxle) | setOf(LimitGross), FromPlate, "The permissible axle loads and the permissible mass stand on the machine's plate, in its papers or in its manual."},
	{setOf(LimitFrontTire) | setOf(LimitRearTire), FromPlate, "Load index and speed symbol stand on the sidewalls of the tires; their maker's table gives the load at each pressure."},
	{setOf(LimitFrontRim) | setOf(LimitRearRim), FromPlate, "The permissible load of a wheel is stamped into its disc, front and rear, or stands in the manual."},
	{setOf(LimitROPS), FromPlate, ""},
	{setOf(LimitAttachment), FromPlate, ""},
	{setOf(LimitHitch), FromManual, ""},
}

// missing asks for every rating that is missing, and for what wheel loads cannot be
// bounded without.
func (v *spread) missing(t *tally) (out []Question) {
	for _, p := range plates {
		q := Question{Instrument: p.instrument, How: p.how}
		lines := 0
		for i := range NumLimits {
			k := LimitKind(i + 1)
			if t.missing[i] && p.of.Has(setOf(k)) {
				q.Paths, q.Rates = append(q.Paths, ratingPaths[k]), q.Rates|setOf(k)
				lines++
			}
		}
		if lines == 1 {
			q.How = q.Rates.Lines()[0]
		}
		if lines > 0 {
			out = append(out, q)
		}
	}
	if v.rows {
		return out
	}
	for _, m := range measurements {
		switch m.of {
		case inWheelbase, inRearTrack, inFrontTrack:
			if !v.e.in[m.of].fixed() {
				out = append(out, Question{Paths: []string{m.path}, Instrument: m.instrument, How: m.how, Narrows: 1, Rates: wheelLimits})
			}
		}
	}
	return out
}

// ask tries what an answer is once each quantity that is open has been measured. With an
// error it returns the questions that were tried before.
func (v *spread) ask(ctx context.Context, answer func(*spread) (allowed, error), asked float64) ([]Question, error) {
	before, err := answer(v)
	if err != nil {
		return nil, err
	}
	width := before.high - before.low
	if !(width > 0) {
		return nil, nil
	}
	var out []Question
	// try asks with one span at each of some values, which set brings in.
	try := func(m measured, whole span, set func(*spread, span)) error {
		half := m.error
		if m.share {
			half *= (whole.lo + whole.hi) / 2
		}
		if !(whole.hi-whole.lo > 2.5*half) {
			return nil
		}
		q := Question{Paths: []string{m.path}, Instrument: m.instrument, How: m.how}
		steps := measuredSteps
		if v.coarse {
			steps = 1
		}
		for i := range steps {
			if err := valid.Ended(ctx, "ballast: questions"); err != nil {
				return err
			}
			at := whole.lo + (whole.hi-whole.lo)*(float64(i)+0.5)/float64(steps)
			one, e := *v, *v.e
			e.pieces = append([]pieceSpan(nil), e.pieces...)
			one.e = &e
			set(&one, span{max(whole.lo, at-half), min(whole.hi, at+half)})
			r, err := answer(&one)
			if err != nil {
				return err
			}
			if asked <= r.low || asked > r.high {
				q.Decides += 1 / units.Fraction(steps)
			}
			q.Narrows += units.Fraction((1 - (r.high-r.low)/width) / float64(steps))
		}
		if asked <= before.low || asked > before.high {
			q.Decides = 0 // it is decided already
		}
		if q.Narrows > 0.005 || q.Decides > 0 {
			q.Narrows = max(0, q.Narrows)
			out = append(out, q)
		}
		return nil
	}
	for _, m := range measurements {
		if err := try(m, v.e.in[m.of], func(one *spread, s span) {
			one.e.in[m.of] = s
			one.place(one.q.lift)
			if one.reach(one.q.lift) != nil {
				*one.e, one.pin = *v.e, v.pin // nothing of it reaches: the value cannot be
				one.place(one.q.lift)
				one.derive()
			}
		}); err != nil {
			return out, err
		}
	}
	for i := range v.e.pieces {
		p := &v.e.pieces[i]
		path := units.Index("pieces", i)
		high := measured{path: path + ".cg.z", instrument: FromTape, how: howPieceHeight, error: 0.03}
		if err := try(high, p.z, func(one *spread, s span) { one.e.pieces[i].z = s }); err != nil {
			return out, err
		}
		heavy := measured{path: path + ".mass", instrument: FromScale, how: howPieceMass, error: scaleError, share: true}
		if err := try(heavy, p.mass, func(one *spread, s span) { one.e.pieces[i].mass = s }); err != nil {
			return out, err
		}
	}
	if k := v.e.k.loader; k != nil && len(k.rated) > 0 {
		one, e := *v, *v.e
		one.e, e.flatLift = &e, true
		r, err := answer(&one)
		if err != nil {
			return out, err
		}
		if narrows := 1 - (r.high-r.low)/width; narrows > 0.005 {
			q := Question{Paths: []string{"loader.rated"}, Instrument: FromManual, Narrows: units.Fraction(narrows),
				How: "Look up on the loader's data sheet what it lifts at more heights, most of all near this one."}
			if (asked <= r.low || asked > r.high) && asked > before.low && asked <= before.high {
				q.Decides = 0.5 // nobody knows what the sheet says
			}
			out = append(out, q)
		}
	}
	above := measured{path: "lift.load.above", instrument: FromTape, how: howLoadAbove, error: 0.03}
	if err := try(above, v.above, func(one *spread, s span) { one.above = s }); err != nil {
		return out, err
	}
	return out, nil
}

// ranked puts the best question first, and joins those that one look answers.
func ranked(list []Question) []Question {
	var out []Question
	for _, q := range list {
		i := slices.IndexFunc(out, func(o Question) bool { return o.How == q.How })
		if i < 0 {
			out = append(out, q)
			continue
		}
		o := &out[i]
		for _, path := range q.Paths {
			if !slices.Contains(o.Paths, path) {
				o.Paths = append(o.Paths, path)
			}
		}
		o.Decides, o.Narrows, o.Rates = max(o.Decides, q.Decides), units.Fraction(math.Min(1, float64(o.Narrows+q.Narrows))), o.Rates|q.Rates
	}
	for i := range out {
		q := &out[i]
		q.Care = q.Instrument.care()
		q.Code, q.CareCode = words.Code(q.How), words.Code(q.Care)
	}
	slices.SortStableFunc(out, func(a, b Question) int {
		rated := func(q Question) int {
			if q.Rates != 0 {
				return 0
			}
			return 1
		}
		return cmp.Or(
			cmp.Compare(rated(a), rated(b)),
			cmp.Compare(a.Instrument/FromWorkshop, b.Instrument/FromWorkshop), // no work for the yard
			cmp.Compare(math.Round(10*float64(b.Decides)), math.Round(10*float64(a.Decides))),
			cmp.Compare(b.Narrows, a.Narrows),
			cmp.Compare(a.Instrument, b.Instrument),
		)
	})
	return out
}
