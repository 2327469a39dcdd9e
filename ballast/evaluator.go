package ballast

import (
	"math"
	"slices"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Evaluator answers for many variants of one setup and its lifts, one after the
// other: fields are bound once by their paths and then set by numbers. Its answers
// and errors are those of [Setup.Compile] and the methods of [Model] on the
// same values, to the last bit, and of a model's they have its silence: what a range
// leaves open is an error here, and [Setup.Envelope] answers it.
//
// It recomputes what a changed field moves, validates that with its neighbors, and
// owns all the memory that it needs: answers about valid values allocate nothing
// once each has been asked for. It is for one goroutine; other goroutines make
// evaluators of their own. Held by TestEvaluator and TestEvaluatorAllocatesNothing.
type Evaluator struct {
	setup Setup
	lifts []lifted
	bound []binding

	// What has been touched since the last answer: what must be validated, and what
	// must be put into the model.
	touched touched
	moved   touched
	pieces  []pieceState
	rest    restTouched

	// What holds of the parts as they are.
	machineOK, loaderOK, attachmentOK bool
	raises                            bool // the cylinders push the arm up
	singles                           bool
	whole                             bool // the setup is valid and complete

	changes uint64 // how often a field was set to something else
	refused error  // why the setup is refused
	model   *Model
	made    bool // model is that of a setup, as it was before it was touched
	version uint64
	known   fills // without the bands of their tires
	filler  liquid.Filler
	list    []part
	trig    *trig

	tip  stability.Model
	room []condition
}

// restTouched says what else has been touched in a setup.
type restTouched uint8

const (
	// restGeometry is what says whether cylinders push the arm up.
	restGeometry restTouched = 1 << iota
	// restSetup is anything in the setup.
	restSetup
	// restSingles is a field that was no known value before.
	restSingles
	// restWhole is a part of the setup as a whole: nothing that is known of it holds.
	restWhole
)

// pieceState is what is known of a piece.
type pieceState struct {
	ok      bool
	touched bool
	fill    bool // its fill is touched
}

// lifted is a lift with what is known of it.
type lifted struct {
	lift    Lift
	touched bool // it must be validated
	moved   bool
	version uint64 // of the model that it was put to
	valid   bool
	err     error
	q       loadCase
	top     float64

	ground   [11]uint64 // that q.in is of
	grounded bool
	course   [3]uint64 // that the stations are of
	poses    poses
	angles   [maxStations]float64

	leads     bool
	lead      Capacity // the usable load
	sums      bool     // the conditions are summed up whole for every variant
	stands    bool
	standing  standing
	hasCase   bool
	whole     Case
	endRows   wheelRows
	endMass   float64
	end       pose
	endPlaced bool
}

// NewEvaluator returns an evaluator that begins with a setup and lifts, of which it
// keeps copies. They need not be valid or complete: what is wrong with them is
// told by the answers.
func NewEvaluator(setup Setup, lifts ...Lift) *Evaluator {
	e := &Evaluator{
		setup: cloned(setup), lifts: make([]lifted, len(lifts)),
		known: make(fills), trig: newTrig(), room: make([]condition, 0, maxConditions),
	}
	for i := range lifts {
		e.lifts[i].lift = cloned(lifts[i])
		e.lifts[i].touched = true
	}
	e.touched, e.moved, e.rest = touchedAll, touchedAll, restWhole
	return e
}

// Setup returns a copy of the setup as it is now.
func (e *Evaluator) Setup() Setup { return cloned(e.setup) }

// Lift returns a copy of a lift as it is now. It panics if there is no such lift.
func (e *Evaluator) Lift(lift int) Lift { return cloned(e.lifts[lift].lift) }

// Model returns the model of the setup as it is now, or the error of
// [Setup.Compile]. The model belongs to the evaluator and holds until a field is
// set.
func (e *Evaluator) Model() (*Model, error) {
	if e.rest != 0 {
		e.compile()
	}
	if e.refused != nil {
		return nil, e.refused
	}
	return e.model, nil
}

// compile brings the model up to date.
func (e *Evaluator) compile() {
	s := &e.setup
	if e.rest&restWhole != 0 {
		e.touched, e.moved, e.rest = touchedAll, touchedAll, ^restTouched(0)
		e.made = false
		e.pieces = make([]pieceState, len(s.Pieces))
		for i := range e.pieces {
			e.pieces[i] = pieceState{touched: true, fill: true}
		}
		clear(e.known)
	}
	e.version++
	e.refused = nil
	if !e.whole || e.rest&^restSetup != 0 || e.touched != 0 {
		was, pieces := e.whole, slices.ContainsFunc(e.pieces, func(p pieceState) bool { return p.touched })
		e.whole = e.completes()
		if e.whole && e.rest&restSingles != 0 {
			e.singles = s.singles() == nil
			e.rest &^= restSingles
		}
		e.free(was, pieces)
	}
	// What has been touched stays so until it is in a model.
	e.rest &= restGeometry | restSingles
	switch {
	case !e.whole:
		e.refused = s.complete()
	case !e.singles:
		e.refused = s.singles()
	}
	if e.refused != nil {
		return
	}
	if !e.made {
		e.model = &Model{loader: &loaderModel{trig: e.trig}}
		e.moved, e.made = touchedAll, true
	}
	e.solve()
	e.list, e.refused = s.modelInto(e.model, e.known, e.list, e.moved)
	if e.touched, e.moved = 0, 0; e.refused != nil {
		e.moved = touchedAll
	}
}

// solve works the fills out that were touched. One that cannot be is not known, and
// tells why when the model asks for it.
func (e *Evaluator) solve() {
	for i := range e.pieces {
		of := e.setup.Pieces[i].Fill
		if !e.pieces[i].fill || of == nil {
			continue
		}
		f, err := e.filler.Fill(*of)
		if err != nil {
			delete(e.known, of)
			continue
		}
		e.known[of] = f
		e.pieces[i].fill = false
	}
}

// completes reports whether the setup is valid and complete, by looking at what was
// touched.
func (e *Evaluator) completes() bool {
	s := &e.setup
	if e.touched&touchedMachine != 0 {
		e.machineOK = e.machineOK && s.Machine.check(e.touched) == nil || s.Machine.validate() == nil
	}
	if e.touched&touchedLoader != 0 {
		e.loaderOK = s.Loader == nil || s.Loader.fields() == nil
	}
	if e.rest&restGeometry != 0 && e.loaderOK {
		e.raises = s.Loader == nil || s.Loader.raises() == nil
		e.rest &^= restGeometry
	}
	if e.touched&touchedAttachment != 0 {
		e.attachmentOK = s.Attachment == nil || s.Attachment.validate() == nil
	}
	ok := e.machineOK && e.loaderOK && e.raises && e.attachmentOK && len(s.Pieces) <= maxPieces
	for i := range e.pieces {
		p := &e.pieces[i]
		if p.touched {
			p.ok = s.Pieces[i].check(&e.filler) == nil
			p.touched = false
		}
		ok = ok && p.ok
	}
	var c units.FieldErrors
	s.whole(&c)
	valid.Gravity(&c, "gravity", s.Gravity)
	if !ok || c.Len() > 0 {
		return false
	}
	s.checkPiecesKnown(&c, pieceAt, &e.filler)
	return c.Len() == 0
}

// Envelope returns [Setup.Envelope] of the setup as it is now, with ranges for what
// it leaves open. It is compiled anew each time.
func (e *Evaluator) Envelope(p Practice) (*Envelope, error) { return e.setup.Envelope(p) }

// at brings a lift up to date. It panics if there is no such lift.
func (e *Evaluator) at(lift int) (*lifted, error) {
	l := &e.lifts[lift]
	if e.rest != 0 {
		e.compile()
	}
	if e.refused != nil {
		return nil, e.refused
	}
	if l.touched || l.moved || l.version != e.version {
		l.put(e)
	}
	return l, l.err
}

// put puts the lift to the model.
func (l *lifted) put(e *Evaluator) {
	k := e.model
	if l.touched {
		l.valid = l.lift.validate() == nil && l.lift.Load.singles() == nil
		l.touched = false
		e.freeLift(l)
	}
	l.version, l.moved, l.err = e.version, false, nil
	l.leads, l.stands, l.hasCase, l.endPlaced = false, false, false, false
	if !l.valid {
		_, _, l.err = k.loadCase(&l.lift)
		return
	}
	pin, err := k.reach(&l.lift)
	if err != nil {
		l.err = err
		return
	}
	q := &l.q
	q.k, q.lift = k, &l.lift
	moved := false
	if ground := k.ground(&l.lift); ground != l.ground || !l.grounded {
		if q.in, l.err = k.under.Influence(l.lift.situation(), units.Acceleration(k.g)); l.err != nil {
			l.grounded = false
			return
		}
		l.ground, l.grounded, moved = ground, true, true
	}
	q.prepare()
	l.top = k.loader.angle(pin)
	course := [3]uint64{uint64(l.lift.Kind), math.Float64bits(l.top), math.Float64bits(k.loader.angle(k.loader.low))}
	if moved || course != l.course {
		l.course, l.poses.kept = course, false
		l.poses.angles = q.stationsIn(l.angles[:0], l.top)
	}
}

// ground is all that the influence of a lift depends on, bit for bit.
func (k *Model) ground(l *Lift) [11]uint64 {
	u := &k.under
	b := func(v float64) uint64 { return math.Float64bits(v) }
	return [11]uint64{
		uint64(u.Kind), b(float64(u.Wheelbase)), b(float64(u.RearTrack)), b(float64(u.FrontTrack)), b(float64(u.PinHeight)), b(float64(u.StopAngle)), b(float64(u.RearAxleHeight)),
		b(float64(l.Slope)), b(float64(l.Heading)), b(float64(l.Braking)), b(k.g),
	}
}

// stand sums up the conditions of a lift, if they are not.
func (l *lifted) stand(e *Evaluator) {
	l.sums = true
	if l.stands {
		return
	}
	e.room = l.poses.stand(&l.standing, &l.q, l.top, e.room)
	l.stands = true
}

// most returns the usable load of a lift. Where nothing asks for each limit, it looks
// for the least one only.
func (l *lifted) most(e *Evaluator) Capacity {
	switch {
	case l.leads:
	case l.sums || l.stands:
		l.stand(e)
		l.lead = l.standing.most(e.model.withheld())
	default:
		var least least
		least.load = math.Inf(1)
		e.room = l.poses.lead(&least, &l.q, l.top, e.room)
		if least.broken {
			e.room = l.poses.stand(&l.standing, &l.q, l.top, e.room)
			l.stands = true
			l.lead = l.standing.most(e.model.withheld())
			break
		}
		l.lead = least.most(e.model.withheld())
	}
	l.leads = true
	return l.lead
}

// LoadMass returns the mass that a lift gives of its load: [Load.MassOn] the
// attachment, or zero without an attachment. It panics if there is no such lift.
func (e *Evaluator) LoadMass(lift int) units.Mass {
	l := &e.lifts[lift].lift.Load
	if e.setup.Attachment == nil {
		return 0
	}
	return l.massOn(e.setup.Attachment)
}

// UsableLoad returns what [Model.UsableLoad] returns for a lift of this number. It
// panics if there is no such lift.
func (e *Evaluator) UsableLoad(lift int) (units.Mass, LimitKind, Status, error) {
	l, err := e.at(lift)
	if err != nil {
		return 0, NoLimit, stability.NotChecked, err
	}
	u := l.most(e)
	return u.Mass, u.Governing, u.Status, nil
}

// Limits returns what each limit allows, as in [Use]; the limit of kind k is at
// k-1. It panics if there is no such lift.
func (e *Evaluator) Limits(lift int) ([NumLimits]Limit, error) {
	l, err := e.at(lift)
	if err != nil {
		return [NumLimits]Limit{}, err
	}
	l.stand(e)
	return l.standing.limits(), nil
}

// TippingLoads returns the bare loads at which the rear axle and the first rear
// wheel lift, as Tipping and WheelLift of [Use]: they are not loads to lift, and
// nobody finds them by trying. It panics if there is no such lift.
func (e *Evaluator) TippingLoads(lift int) (axle, wheel units.Mass, err error) {
	l, err := e.at(lift)
	if err != nil {
		return 0, 0, err
	}
	l.stand(e)
	if !l.q.rows {
		return 0, 0, nil
	}
	return bareLoad(l.poses.axle), bareLoad(l.poses.wheel), nil
}

// Case returns the case of a lift, as [Model.Case] does. It belongs to the
// evaluator and holds until a field is set. It panics if there is no such lift.
func (e *Evaluator) Case(lift int) (*Case, error) {
	l, err := e.at(lift)
	if err != nil {
		return nil, err
	}
	if !l.hasCase {
		l.whole.compile(&l.q, l.top)
		l.hasCase = true
	}
	return &l.whole, nil
}

// Check returns what [Case.Check] says of a load. It panics if there is no such lift.
func (e *Evaluator) Check(lift int, load units.Mass) (Check, error) {
	c, err := e.Case(lift)
	if err != nil {
		return Check{}, err
	}
	return c.Check(load), nil
}

// WheelLoads returns what [Case.WheelLoads] says of a load. It panics if there is
// no such lift.
func (e *Evaluator) WheelLoads(lift int, load units.Mass) (WheelLoads, error) {
	l, err := e.at(lift)
	if err != nil {
		return WheelLoads{}, err
	}
	l.place()
	return l.endRows.wheelLoads(load, l.endMass, l.lift.Kind == BreakOut), nil
}

// place finds the end of the way, if it is not known.
func (l *lifted) place() {
	if l.endPlaced {
		return
	}
	l.end = l.q.pose(l.top)
	l.endRows, l.endMass = l.q.wheelRows(&l.end), l.q.mass(&l.end)
	l.endPlaced = true
}

// WorstTip returns how steep the ground may be with a load in the worst heading:
// [stability.Model.WorstTip] of the vehicle of [Case.Vehicle], with its errors. It
// panics if there is no such lift.
func (e *Evaluator) WorstTip(lift int, load units.Mass) (stability.Tip, error) {
	l, err := e.at(lift)
	if err != nil {
		return stability.Tip{}, err
	}
	l.place()
	v, err := l.q.k.vehicle(&l.end, load, l.lift.Kind == BreakOut, l.q.slopeLacks())
	if err != nil {
		return stability.Tip{}, err
	}
	if err := e.tip.Recompile(v); err != nil {
		return stability.Tip{}, err
	}
	return e.tip.WorstTip(), nil
}

// Fill returns what one tire of a piece holds, as [liquid.Fill.Solve] does, and a zero
// answer for a piece without a fill. The error is that of [Setup.Compile]. It
// panics if there is no such piece.
func (e *Evaluator) Fill(piece int) (liquid.Filled, error) {
	p := &e.setup.Pieces[piece]
	if _, err := e.Model(); err != nil || p.Fill == nil {
		return liquid.Filled{}, err
	}
	return e.filler.Solve(*p.Fill)
}
