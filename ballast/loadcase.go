package ballast

import (
	"fmt"
	"math"

	"example.com/steelyard/internal/catalog"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// loadCase is a lift put to a model: what all poses of the way share.
type loadCase struct {
	k      *Model
	lift   *Lift
	in     stability.Influence
	factor float64
	rows   bool // everything is known that the wheel rows need
	notes  Notes

	front, rear tireCapacity
}

// tireCapacity is what the tires of one wheel place may carry in a load case.
type tireCapacity struct {
	load   float64 // kg
	status Status
}

// pose is the machine and the load at one angle of the arm.
type pose struct {
	fixed sums  // body without what moves
	arms  sums  // arms and attachment, which take the dynamic factor
	load  place // of each kilogram of load
}

// place is a position in meters.
type place struct{ x, y, z float64 }

// loadCase checks a lift against the model, and returns it with the arm's
// angle at its height. The path of an error begins with lift, or is the
// setup's.
func (k *Model) loadCase(lift *Lift) (q loadCase, top float64, err error) {
	var c units.FieldErrors
	if c.Join("lift", lift.validate()); c.Len() > 0 {
		return q, 0, c.Err()
	}
	if c.Join("lift.load", lift.Load.singles()); c.Len() > 0 {
		return q, 0, c.Err()
	}
	pin, err := k.reach(lift)
	if err != nil {
		return q, 0, err
	}
	if q.in, err = k.under.Influence(lift.situation(), units.Acceleration(k.g)); err != nil {
		return q, 0, err
	}
	q.k, q.lift = k, lift
	q.prepare()
	return q, k.loader.angle(pin), nil
}

// reach returns the height of the pin in a lift whose own fields are valid, or
// what the setup lacks for the lift.
func (k *Model) reach(lift *Lift) (pin float64, err error) {
	if err := k.fits(lift); err != nil {
		return 0, err
	}
	if lift.Datum == LoadHeight && k.attachment.Kind != BarePin && !lift.Load.Above.Known() {
		var c units.FieldErrors
		c.Add("lift.load.above", nil, "must be given where the height is that of the load's center of gravity")
		return 0, c.Err()
	}
	return k.pinHeight(lift)
}

// loadCaseOn returns a lift that has been checked, on ground whose influence
// is known.
func (k *Model) loadCaseOn(lift *Lift, in stability.Influence) loadCase {
	q := loadCase{k: k, lift: lift, in: in}
	q.prepare()
	return q
}

// prepare fills in what follows from the model and a lift that has been checked.
func (q *loadCase) prepare() {
	k, lift := q.k, q.lift
	q.factor, q.notes = lift.factor(), k.notes
	front, rear, refused := lift.Tires.Factor(lift.Speed)
	if refused {
		q.notes |= NoteAllowanceRefused
	}
	for _, t := range []struct {
		limit  *tireLimit
		factor float64
		out    *tireCapacity
	}{{&k.frontTire, front, &q.front}, {&k.rearTire, rear, &q.rear}} {
		var notes Notes
		t.out.load, t.out.status, notes = t.limit.capacity(lift.Speed, lift.Tires.Kind, t.factor)
		q.notes |= notes
	}
	if k.attachment.Kind != BarePin && lift.Kind != BreakOut && lift.Load.Center.Unknown() {
		q.notes |= NoteCenterAssumed
	}
	missing := q.rowsLack()
	q.notes |= missing
	q.rows = missing == 0
	if lift.Basis.Kind == BasisUnknown {
		q.notes |= NoteBasisUnknown
	}
	if lift.Basis.Kind == BasisTippingFraction {
		q.notes |= NoteBorrowedBasis
	}
}

// withheld returns the limit that keeps a usable load from being stated: that of
// a tire below its lowest pressure, or of unknown pressure, of which only an upper
// bound is known.
func (k *Model) withheld() LimitKind {
	switch {
	case k.frontTire.most:
		return LimitFrontTire
	case k.rearTire.most:
		return LimitRearTire
	}
	return NoLimit
}

// fits reports what the setup lacks for a lift.
func (k *Model) fits(l *Lift) error {
	var c units.FieldErrors
	if !k.hasLoader {
		c.Add("loader", nil, "must be given in the setup for a lift")
	}
	if !k.hasAttach {
		c.Add("attachment", nil, "must be given in the setup for a lift; kind barePin if the load hangs on the pin")
	}
	if c.Len() > 0 {
		return c.Err()
	}
	kind := k.attachment.Kind
	switch {
	case l.Kind == BreakOut && kind != Bucket:
		c.Add("lift.kind", l.Kind, "must not be breakOut: the attachment is no bucket")
	case l.Datum == TineHeight && kind != Forks:
		c.Add("lift.datum", l.Datum, "must not be tine: the attachment has no tines")
	case l.Datum == EdgeHeight && kind != Bucket:
		c.Add("lift.datum", l.Datum, "must not be edge: the attachment has no edge")
	}
	if kind == BarePin && given(l.Load.Above) {
		c.Add("lift.load.above", valid.ShowInput(l.Load.Above), "must be left out: a load on a bare pin acts at the pin")
	}
	if kind == Forks && l.Load.Center.Value() < 0 {
		c.Add("lift.load.center", valid.Show(l.Load.Center.Value()), "must be positive, or left out for the attachment's load center")
	}
	return c.Err()
}

// What a lift says that the loader does not reach.
const (
	edgeReach = "must reach the ground: the edge is then at a pin height of {height}, and the loader's are {low} to {high}"
	reachOver = "must be between {low} and {high} over {datum}: the reach of the loader"
)

// pinHeights are the parameters of edgeReach, heights those of reachOver.
func pinHeights(pin, low, high float64) []units.Param {
	return []units.Param{meters("height", pin, units.Nearest), meters("low", low, units.Up), meters("high", high, units.Down)}
}

func heights(low, high float64, over Datum) []units.Param {
	return []units.Param{meters("low", low, units.Up), meters("high", high, units.Down), datumParam(over)}
}

// datumParam is what a height is the height of.
func datumParam(d Datum) units.Param {
	m := catalog.ChoiceOf("ballast.datum", d.String())
	return units.Word("datum", m.Code, m.Title)
}

// meters is a height in a message.
func meters(name string, v float64, r units.Rounding) units.Param {
	return units.Parameter(name, fmt.Sprintf("%.4g m", v), units.Length(v), r)
}

// pinHeight returns the height of the pin in a lift.
func (k *Model) pinHeight(l *Lift) (float64, error) {
	h := float64(l.Height)
	t := &k.attachment
	path := "lift.height"
	switch {
	case l.Kind == BreakOut:
		h, path = -float64(t.Edge.Above.Value()), "lift.kind"
	case l.Datum == TineHeight:
		h -= float64(t.Tine.Value())
	case l.Datum == EdgeHeight:
		h -= float64(t.Edge.Above.Value())
	case l.Datum == LoadHeight:
		h -= t.rise(&l.Load)
	}
	p := k.loader
	if !(h >= p.low-reachSlack && h <= p.high+reachSlack) {
		low, high := p.low-h, p.high-h
		var c units.FieldErrors
		if l.Kind == BreakOut {
			c.Add(path, l.Kind, edgeReach, pinHeights(h, p.low, p.high)...)
		} else {
			c.Add(path, valid.Show(l.Height), reachOver, heights(float64(l.Height)+low, float64(l.Height)+high, l.Datum)...)
		}
		return 0, c.Err()
	}
	return min(p.high, max(p.low, h)), nil
}

// rowsLack returns what the wheel rows need and nobody has given. On level
// ground at a steady speed they need no height.
func (q *loadCase) rowsLack() Notes {
	k := q.k
	if !q.lift.level() {
		return q.slopeLacks()
	}
	if k.machine.FrontTrack.Value() == 0 && (k.machine.Undercarriage == stability.Rigid || k.axle.y != 0) {
		return NoteFrontTrackUnknown
	}
	return 0
}

// slopeLacks returns what a slope answer needs and nobody has given.
func (q *loadCase) slopeLacks() Notes {
	missing := q.k.slopeNotes
	if q.k.attachment.Kind != BarePin && q.lift.Kind != BreakOut && !q.lift.Load.Above.Known() {
		missing |= NoteLoadHeightUnknown
	}
	return missing
}

// pose returns the machine and the load with the arm at angle a.
func (q *loadCase) pose(a float64) pose {
	k := q.k
	x, z := k.loader.pin(a)
	ahead, above := k.attachment.loadOffset(q.lift)
	return pose{
		fixed: k.fixed,
		arms:  k.loader.armAt(a).plus(k.attachmentAt(a)),
		load:  place{x + ahead, float64(q.lift.Load.Sideways.Value()), z + above},
	}
}

// mass returns the mass without load.
func (q *loadCase) mass(p *pose) float64 { return p.fixed.m + p.arms.m + q.k.axle.m }

// stations returns the angles of a way that ends at top where a wheel row can
// be at its worst, the end last: the low end, and where the row's gradient lies
// along the arm. Along the arc every moving part adds m (cx cos a + cz sin a) r,
// so the row turns at a = atan2(cz, cx) and half a turn from it. A lift that is
// no way has its end only.
func (q *loadCase) stations(top float64) []float64 { return q.stationsIn(nil, top) }

// stationsIn appends the stations to a list.
func (q *loadCase) stationsIn(out []float64, top float64) []float64 {
	if !q.lift.Kind.way() {
		return append(out, top)
	}
	low := q.k.loader.angle(q.k.loader.low)
	out = append(out, low)
	for r := range stability.Row(stability.NumRows) {
		c := q.in.Body(r)
		// Where x does not move the row, this is the arm upright, or no number:
		// both are outside the arc.
		a := math.Atan(c.Z / c.X)
		if !(a > low && a < top) {
			continue
		}
		seen := false
		for _, e := range out {
			seen = seen || math.Abs(e-a) < 1e-12
		}
		if !seen {
			out = append(out, a)
		}
	}
	return append(out, top)
}

// wheelRows are the wheel rows of a pose as masses, without factor.
type wheelRows struct {
	fixed, arms, axle [stability.NumRows]float64 // by where they come from
	empty             [stability.NumRows]float64 // all of it, without load
	load              [stability.NumRows]float64 // per kilogram of load
}

func (q *loadCase) wheelRows(p *pose) (r wheelRows) {
	r.ofFixed(q, &p.fixed)
	r.ofAxle(q)
	r.ofArms(q, &p.arms)
	r.ofLoad(q, &p.load)
	r.sum()
	return r
}

// ofFixed fills in what comes from the body without what moves.
func (r *wheelRows) ofFixed(q *loadCase, fixed *sums) {
	constant := q.in.Constant()
	for i := range r.fixed {
		r.fixed[i] = (float64(constant[i]) + rowOf(q.in.Body(stability.Row(i)), fixed)) / q.k.g
	}
}

// ofAxle fills in what comes from what pivots with the front axle.
func (r *wheelRows) ofAxle(q *loadCase) {
	for i := range r.axle {
		r.axle[i] = 0
		if q.k.axle.m != 0 {
			r.axle[i] = rowOf(q.in.Axle(stability.Row(i)), &q.k.axle) / q.k.g
		}
	}
}

// ofArms fills in what comes from arms and attachment.
func (r *wheelRows) ofArms(q *loadCase, arms *sums) {
	for i := range r.arms {
		r.arms[i] = rowOf(q.in.Body(stability.Row(i)), arms) / q.k.g
	}
}

// ofLoad fills in what a kilogram of load adds.
func (r *wheelRows) ofLoad(q *loadCase, load *place) {
	at := stability.Point{X: units.Length(load.x), Y: units.Length(load.y), Z: units.Length(load.z)}
	for i := range r.load {
		r.load[i] = float64(q.in.Body(stability.Row(i)).At(at)) / q.k.g
	}
}

// sum fills in all of it without load.
func (r *wheelRows) sum() {
	for i := range r.empty {
		r.empty[i] = r.fixed[i] + r.axle[i] + r.arms[i]
	}
}

// liftRows returns the wheel rows whose fall to zero is a rear wheel lifting.
// The first two say when both wheels of a side have lifted; on a rigid machine
// the rear one of the two may go first.
func (k *Model) liftRows() []stability.Row {
	if k.machine.Undercarriage == stability.Rigid {
		return rearWheelRows[:]
	}
	return rearWheelRows[:2]
}

var rearWheelRows = [...]stability.Row{stability.RowLiftLeft, stability.RowLiftRight, stability.RowRearLeft, stability.RowRearRight}

// tipping returns the load at which the rear axle's load is zero and the one at
// which the first rear wheel lifts, without factor and basis; +Inf where no
// load does that.
func (q *loadCase) tipping(r *wheelRows) (axle, wheel float64) {
	bare := func(row stability.Row) float64 {
		if r.load[row] < 0 {
			return r.empty[row] / -r.load[row]
		}
		return math.Inf(1)
	}
	wheel = math.Inf(1)
	for _, row := range q.k.liftRows() {
		wheel = min(wheel, bare(row))
	}
	return bare(stability.RowRearAxle), wheel
}

// wheels appends the conditions that rest on the wheel loads of one pose, and
// that pieces of ballast change: ratings of axles, tires and wheels, and
// tipping. None where something is not known that they need.
func (q *loadCase) wheels(out []condition, r *wheelRows) []condition {
	if !q.rows {
		return out
	}
	return q.balance(q.ratings(out, r), r)
}

// balance appends the conditions that keep wheels on the ground, by the safety
// basis.
func (q *loadCase) balance(out []condition, r *wheelRows) []condition {
	const front, rear = stability.RowFrontAxle, stability.RowRearAxle
	f := float64(q.lift.Basis.Fraction)
	switch q.lift.Basis.Kind {
	case BasisRearShare:
		// N_r >= f (N_f + N_r), both sides linear in the load.
		e, c := r.empty[front]+r.empty[rear], r.load[front]+r.load[rear]
		keeps := func(limit LimitKind, row stability.Row, f float64) {
			out = append(out, condition{a0: f * e, a1: float64(f*c) - r.load[row], b0: r.empty[row], limit: limit})
		}
		keeps(LimitTipping, rear, f)
		for _, row := range q.k.liftRows() {
			keeps(LimitRearWheel, row, f/2)
		}
	case BasisTippingFraction:
		part := func(limit LimitKind, row stability.Row) {
			if r.load[row] < 0 {
				out = append(out, condition{a1: -r.load[row], b0: f * r.empty[row], limit: limit})
			} else {
				out = append(out, r.held(limit, row, 1))
			}
		}
		part(LimitTipping, rear)
		for _, row := range q.k.liftRows() {
			part(LimitRearWheel, row)
		}
	case BasisNoWheelUnloaded:
		out = q.heldUnderFactor(out, r, LimitTipping, rear)
		for _, row := range q.k.liftRows() {
			out = q.heldUnderFactor(out, r, LimitRearWheel, row)
		}
	}
	out = q.heldUnderFactor(out, r, LimitFrontWheel, stability.RowFrontLeft)
	out = q.heldUnderFactor(out, r, LimitFrontWheel, stability.RowFrontRight)
	// A factor on what is in front would hold the front down.
	return append(out, r.held(LimitRearward, front, 1))
}

// held returns the condition that a wheel row stays positive with the factor
// on load, attachment and arms.
func (r *wheelRows) held(limit LimitKind, row stability.Row, factor float64) condition {
	return positive(limit, factor*r.load[row], r.fixed[row], r.axle[row], factor*r.arms[row])
}

// heldUnderFactor appends that condition without and with the dynamic factor,
// because either can be the worse one.
func (q *loadCase) heldUnderFactor(out []condition, r *wheelRows, limit LimitKind, row stability.Row) []condition {
	out = append(out, r.held(limit, row, 1))
	if q.factor != 1 {
		out = append(out, r.held(limit, row, q.factor))
	}
	return out
}

// ratings appends the conditions of axle, tire and wheel ratings and of the
// steered axle: static, without factor.
func (q *loadCase) ratings(out []condition, r *wheelRows) []condition {
	k := q.k
	m := &k.machine
	const front, rear = stability.RowFrontAxle, stability.RowRearAxle
	out = atMost(out, LimitFrontAxle, r.empty[front], r.load[front], float64(m.Front.Rating.Value()))
	out = atMost(out, LimitRearAxle, r.empty[rear], r.load[rear], float64(m.Rear.Rating.Value()))
	place := func(row stability.Row, tire, rim LimitKind, axle *Axle, t *tireCapacity) {
		switch t.status {
		case stability.NotChecked:
		case stability.Exceeded:
			// No load is rated at this speed.
			out = append(out, condition{a0: math.Inf(1), limit: tire})
		default:
			out = append(out, condition{a0: r.empty[row], a1: r.load[row], b0: t.load, limit: tire, bound: t.status == stability.AtMost})
		}
		out = atMost(out, rim, r.empty[row], r.load[row], float64(axle.WheelRating.Value()))
	}
	if m.Front.Single {
		place(front, LimitFrontTire, LimitFrontRim, &m.Front, &q.front)
	} else {
		place(stability.RowFrontLeft, LimitFrontTire, LimitFrontRim, &m.Front, &q.front)
		place(stability.RowFrontRight, LimitFrontTire, LimitFrontRim, &m.Front, &q.front)
	}
	place(stability.RowRearLeft, LimitRearTire, LimitRearRim, &m.Rear, &q.rear)
	place(stability.RowRearRight, LimitRearTire, LimitRearRim, &m.Rear, &q.rear)
	share := float64(m.Steered.Share)
	switch m.Steered.Base {
	case SteeredOfUnladen:
		out = append(out, atLeast(LimitSteered, r.empty[front], r.load[front], share*k.unladen, 0))
	case SteeredOfLaden:
		out = append(out, atLeast(LimitSteered, r.empty[front], r.load[front], share*(r.empty[front]+r.empty[rear]), share*(r.load[front]+r.load[rear])))
	}
	return out
}

// masses appends the conditions on gross masses and on the hitch: total is
// the mass without load, and of the load the part mass counts.
func (k *Model) masses(out []condition, total, mass float64) []condition {
	m := &k.machine
	out = atMost(out, LimitGross, total, mass, float64(m.GrossRating.Value()))
	out = atMost(out, LimitROPS, total, mass, float64(m.ROPSRating.Value()))
	return k.hitch(out)
}

// manualBallast appends the conditions of the ballast that the loader's manual
// demands, which no load changes.
func (k *Model) manualBallast(out []condition) []condition {
	switch k.manual.Kind {
	case ManualBallastNone:
		return append(out, impossible(LimitManualBallast))
	case ManualBallastDemanded:
		for _, d := range [...]struct{ need, have float64 }{
			{float64(k.manual.Hitch), k.onHitch}, {float64(k.manual.RearWheels), k.onRearWheels},
		} {
			if d.need > 0 {
				out = append(out, atLeast(LimitManualBallast, d.have, 0, d.need, 0))
			}
		}
	}
	return out
}

func (k *Model) hitch(out []condition) []condition {
	if !k.hitchAny {
		out = append(out, impossible(LimitHitch))
	}
	return atMost(out, LimitHitch, k.hitchLoad, 0, float64(k.machine.Hitch.Rating.Value()))
}

// loader appends the conditions of attachment and coupler, which depend
// neither on where the arm is nor on the pieces.
func (q *loadCase) loader(out []condition) ([]condition, Notes) {
	t := &q.k.attachment
	var notes Notes
	out = atMost(out, LimitCoupler, float64(t.Mass.Value()), 1, q.k.coupler)
	if q.lift.Kind == BreakOut {
		out = atMost(out, LimitBreakOut, 0, q.k.g, q.k.breakOut)
		return append(out, impossible(LimitAttachment)), 0
	}
	out = append(out, impossible(LimitBreakOut))
	ratio := 1.0
	if t.Kind == Forks {
		ratio = max(1, t.center(&q.lift.Load)/float64(t.LoadCenter.Value()))
	}
	if ratio > 1 && t.Rating.Value() > 0 {
		notes |= NoteReachRatio
	}
	if t.Kind == BarePin {
		return append(out, impossible(LimitAttachment)), notes
	}
	return atMost(out, LimitAttachment, 0, ratio, float64(t.Rating.Value())), notes
}
