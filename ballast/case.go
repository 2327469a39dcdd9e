package ballast

import (
	"fmt"
	"math"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Case is a load case compiled on a model: every limit as a linear condition
// on the load. It is immutable, safe for many goroutines, and its methods
// allocate nothing.
type Case struct {
	model *Model
	use   Use
	forms []form
	mass  [NumLimits]float64 // the load each limit allows; +Inf if none
	empty [NumLimits]float64 // how much of each limit is used without load

	// What Check needs, and nothing else.
	shares [NumLimits]Share
	active []active
	lines  []line

	fixed, load [stability.NumRows]float64 // wheel rows as masses: kg, and kg per kg of load
	total       float64                    // kg without load
	place       Place
	force       bool  // the load is a force, in a break-out
	lacks       Notes // what is not known and a vehicle on a slope needs
	atEnd       state
	at          place
}

// Place is where everything is in a load case.
type Place struct {
	// Arm is the arm's angle, positive up.
	Arm units.Angle `json:"arm"`
	// Pin is the attachment pin.
	Pin stability.Point `json:"pin"`
	// Load is the load's center of gravity; in a break-out the bucket's edge.
	Load stability.Point `json:"load"`
}

// form is one linear condition on the load m: a0 + a1 m <= b0 + b1 m. The
// part of a limit that is used is the left side over the right one.
type form struct {
	a0, a1, b0, b1 float64
	kind           LimitKind
}

// allows returns the greatest load that keeps the condition, +Inf if there is
// none. It is negative if the condition is broken without load.
func (f *form) allows() float64 {
	if f.a1 > f.b1 {
		return (f.b0 - f.a0) / (f.a1 - f.b1)
	}
	return math.Inf(1)
}

// maxUsed stands for "nothing holds at all" in a share used.
const maxUsed = 1e6

func (f *form) used(m float64) float64 {
	a, b := f.a0+float64(f.a1*m), f.b0+float64(f.b1*m)
	switch {
	case b > 0:
		return min(maxUsed, max(0, a/b))
	case a > b:
		return maxUsed
	case a == b:
		return 1
	}
	return 0
}

// Relative tolerance within which a limit binds.
const bindTolerance = 1e-9

// state is what a set of forms is built from: the machine without load in one
// position.
type state struct {
	fixed sums // body without what moves
	arms  sums // arms and attachment, which take the dynamic factor
}

// builder collects the forms of a case.
type builder struct {
	k       *Model
	lift    *Lift
	in      stability.Influence
	factor  float64
	rowsOK  bool // the rows rest on nothing unknown
	pieces  bool // every condition that pieces can change, and no other
	forms   []form
	known   [NumLimits]bool // the limit is checked
	unknown uint32          // bits 1<<kind: not checked whatever else is known
	notes   Notes
	// The wheel rows of the last station as masses, without factor.
	fixed, load [stability.NumRows]float64
	tipping     float64
	wheelLift   float64
}

// Case compiles a load case. A case that the setup cannot answer, such as a
// height out of the arm's reach, is an error that names the field of the
// lift, or of the setup, that is missing.
func (k *Model) Case(lift Lift) (*Case, error) {
	b := builder{forms: make([]form, 0, 32)}
	top, err := b.build(k, &lift)
	if err != nil {
		return nil, err
	}
	p := k.loadAt(&lift, top)
	c := &Case{model: k, forms: b.forms, fixed: b.fixed, load: b.load,
		force: lift.Kind == BreakOut, atEnd: k.stateAt(top), at: p, lacks: b.slopeLacks()}
	c.total = c.atEnd.mass() + k.axle.m
	x, z := k.loader.pin(top)
	c.place = Place{Arm: units.Angle(top), Pin: stability.Point{X: units.Length(x), Z: units.Length(z)},
		Load: stability.Point{X: units.Length(p.x), Y: units.Length(p.y), Z: units.Length(p.z)}}
	c.summarize(&b)
	c.recheck(&b)
	c.prepare()
	return c, nil
}

// UsableLoad returns the greatest load of a case, the limit it comes from and
// the status, as figures without a Case: what [Case.UsableLoad] returns after
// [Model.Case], bit for bit, in less than half the time and without the rest
// of the answer. It is for sweeps in which every variant is another case.
// They carry no notes and no cautions: show those of [Setup.UsableLoad] or
// [Case.Use] with them.
func (k *Model) UsableLoad(lift Lift) (units.Mass, LimitKind, Status, error) {
	var store [64]form
	b := builder{forms: store[:0]}
	if _, err := b.build(k, &lift); err != nil {
		return 0, NoLimit, stability.NotChecked, err
	}
	var limits [NumLimits]Limit
	var mass, empty [NumLimits]float64
	load, governing, status := b.verdict(&limits, &mass, &empty)
	return load, governing, status, nil
}

// build collects the conditions of a case and returns the arm's angle at its
// height.
func (b *builder) build(k *Model, lift *Lift) (top float64, err error) {
	if err := lift.Validate(); err != nil {
		return 0, err
	}
	if err := k.fits(lift); err != nil {
		return 0, err
	}
	pin, err := k.pinHeight(lift)
	if err != nil {
		return 0, err
	}
	if b.in, err = k.under.Influence(lift.situation(), units.Acceleration(k.g)); err != nil {
		return 0, err
	}
	b.k, b.lift, b.factor, b.notes = k, lift, lift.factor(), k.notes
	b.rowsOK = b.rowsKnown()
	top = k.loader.angle(pin)
	b.way(top)
	return top, nil
}

// way collects the conditions at every station of the way to the angle top;
// the case's own height last.
func (b *builder) way(top float64) {
	k, lift := b.k, b.lift
	b.tipping, b.wheelLift = math.Inf(1), math.Inf(1)
	if lift.Kind == StackHigh || lift.Kind == TakeOffDeck {
		b.notes |= NotePath
		low := k.loader.angle(k.loader.low)
		for _, a := range b.stations(low, top) {
			b.rowForms(k.stateAt(a), k.loadAt(lift, a))
		}
		if lift.Kind == StackHigh {
			for i := range pathSteps {
				b.hydraulic(low + (top-low)*float64(i)/pathSteps)
			}
			for _, a := range k.loader.ratedAt {
				if a > low && a < top {
					b.hydraulic(a)
				}
			}
		}
	}
	s := k.stateAt(top)
	b.rowForms(s, k.loadAt(lift, top))
	b.hydraulic(top)
	mass := 1.0
	if lift.Kind == BreakOut {
		mass = 0 // a force is no mass
	}
	b.massForms(s.mass()+k.axle.m, mass)
	b.loaderForms()
}

// lowered collects the conditions with the arms down.
func (b *builder) lowered() {
	k := b.k
	a := k.loader.angle(k.loader.low)
	s := k.stateAt(a)
	b.rowForms(s, k.loadAt(b.lift, a))
	b.hydraulic(a)
	b.massForms(s.mass()+k.axle.m, 0)
	b.loaderForms()
}

// loaderOff collects the conditions with the loader off.
func (b *builder) loaderOff() {
	k := b.k
	b.rowsOK = b.rowsOK && k.offOK
	b.rowForms(state{fixed: k.off}, place{})
	if k.offOK {
		b.massForms(k.off.m+k.axle.m, 0)
	} else {
		b.hitch()
	}
	for _, kind := range [...]LimitKind{LimitHydraulic, LimitBreakOut, LimitCoupler, LimitAttachment} {
		b.cannot(kind)
	}
}

// pathSteps is how many steps the hydraulic limit of a way is checked at,
// beside the rated points on it.
const pathSteps = 32

// fits reports what the setup lacks for a lift.
func (k *Model) fits(l *Lift) error {
	var c checker
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
		c.Add("kind", l.Kind, "must not be breakOut: the attachment is no bucket")
	case l.Datum == TineHeight && kind != Forks:
		c.Add("datum", l.Datum, "must not be tine: the attachment has no tines")
	case l.Datum == EdgeHeight && kind != Bucket:
		c.Add("datum", l.Datum, "must not be edge: the attachment has no edge")
	case l.Datum == LoadHeight && kind != BarePin && l.Load.Above == 0:
		c.Add("load.above", nil, "must be given where the height is that of the load's center of gravity")
	}
	if kind == BarePin && l.Load.Above != 0 {
		c.Add("load.above", show(l.Load.Above), "must be left out: a load on a bare pin acts at the pin")
	}
	if kind == Forks && l.Load.Center < 0 {
		c.Add("load.center", show(l.Load.Center), "must be positive, or left out for the attachment's load center")
	}
	return c.Err()
}

// rise returns how far the load's center of gravity is above the pin.
func (k *Model) rise(l *Load) float64 {
	switch k.attachment.Kind {
	case Forks:
		return float64(k.attachment.Tine + l.Above)
	case Bucket:
		return float64(k.attachment.Edge.Above + l.Above)
	}
	return 0
}

// pinHeight returns the height of the pin in a lift.
func (k *Model) pinHeight(l *Lift) (float64, error) {
	h := float64(l.Height)
	t := &k.attachment
	path := "height"
	switch {
	case l.Kind == BreakOut:
		h, path = -float64(t.Edge.Above), "kind"
	case l.Datum == TineHeight:
		h -= float64(t.Tine)
	case l.Datum == EdgeHeight:
		h -= float64(t.Edge.Above)
	case l.Datum == LoadHeight:
		h -= k.rise(&l.Load)
	}
	p := k.loader
	if !(h >= p.low-reachSlack && h <= p.high+reachSlack) {
		low, high := p.low-h, p.high-h
		var c checker
		if path == "kind" {
			c.Add(path, l.Kind, fmt.Sprintf("must reach the ground: the edge is then at a pin height of %.3g m, and the loader's are %.3g to %.3g m", h, p.low, p.high))
		} else {
			c.Add(path, show(l.Height), fmt.Sprintf("must be between %.4g and %.4g m over the %s: the reach of the loader", float64(l.Height)+low, float64(l.Height)+high, l.Datum))
		}
		return 0, c.Err()
	}
	return min(p.high, max(p.low, h)), nil
}

// place is where one kilogram of load is.
type place struct{ x, y, z float64 }

func (k *Model) loadAt(l *Lift, a float64) place {
	x, z := k.loader.pin(a)
	ahead, above := k.loadOffset(l)
	return place{x + ahead, float64(l.Load.Sideways), z + above}
}

// loadOffset returns where the load is relative to the pin.
func (k *Model) loadOffset(l *Lift) (ahead, above float64) {
	t := &k.attachment
	if l.Kind == BreakOut {
		return float64(t.Edge.Ahead), float64(t.Edge.Above)
	}
	ahead = float64(t.Face) + k.center(&l.Load)
	return ahead, k.rise(&l.Load)
}

// center returns how far the load's center of gravity is from the face.
func (k *Model) center(l *Load) float64 {
	if k.attachment.Kind == Forks && l.Center == 0 {
		return float64(k.attachment.LoadCenter)
	}
	return float64(l.Center)
}

// stateAt returns the machine with the arm at angle a.
func (k *Model) stateAt(a float64) state {
	return state{fixed: k.fixed.plus(k.moving), arms: k.loader.armAt(a).plus(k.attachmentAt(a))}
}

func (s state) mass() float64 { return s.fixed.m + s.arms.m }

// rowsKnown reports whether everything is known that the wheel rows need, and
// notes what is not. Level ground at a steady speed needs no height.
func (b *builder) rowsKnown() bool {
	k, l := b.k, b.lift
	if l.level() {
		if k.machine.FrontTrack == 0 && (k.machine.Undercarriage == stability.Rigid || k.axle.y != 0) {
			b.notes |= NoteFrontTrackUnknown
			return false
		}
		return true
	}
	missing := b.slopeLacks()
	b.notes |= missing
	return missing == 0
}

// slopeLacks returns what is not known and a slope answer needs.
func (b *builder) slopeLacks() Notes {
	missing := b.k.slopeNotes
	if b.k.attachment.Kind != BarePin && b.lift.Kind != BreakOut && b.lift.Load.Above == 0 {
		missing |= NoteLoadHeightUnknown
	}
	return missing
}

// stations returns the angles between low and top at which a wheel row can
// be at its worst: the low end, and where the row's gradient lies along the
// arm. Along the arc every moving part adds m (cx cos a + cz sin a) r, so the
// row turns at a = atan2(cz, cx) and half a turn from it.
func (b *builder) stations(low, top float64) []float64 {
	out := []float64{low}
	for r := range stability.Row(stability.NumRows) {
		c := b.in.Body(r)
		// Upright, or nowhere, for a row that x does not move: out of reach.
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
	return out
}

// put adds a condition unless one of its kind is at least as strict for every
// load, and drops those that it makes idle.
func (b *builder) put(kind LimitKind, a0, a1, b0, b1 float64) {
	b.known[kind-1] = true
	f := form{a0, a1, b0, b1, kind}
	if b.pieces {
		b.forms = append(b.forms, f)
		return
	}
	for i := len(b.forms) - 1; i >= 0; i-- {
		e := &b.forms[i]
		if e.kind != kind {
			continue
		}
		if e.a0 >= f.a0 && e.a1 >= f.a1 && e.b0 <= f.b0 && e.b1 <= f.b1 {
			return
		}
		if e.a0 <= f.a0 && e.a1 <= f.a1 && e.b0 >= f.b0 && e.b1 >= f.b1 {
			b.forms = append(b.forms[:i], b.forms[i+1:]...)
		}
	}
	b.forms = append(b.forms, f)
}

// cannot says that a limit is checked and cannot be reached.
func (b *builder) cannot(kind LimitKind) { b.known[kind-1] = true }

// atMost adds the condition that e + c m is at most a rating; a rating of
// zero is unknown and leaves the limit unchecked.
func (b *builder) atMost(kind LimitKind, e, c, rating float64) {
	if rating > 0 {
		b.put(kind, e, c, rating, 0)
	}
}

// holds adds the condition that a row stays positive, its parts given: what
// holds it down stands on the right, what lifts it on the left.
func (b *builder) holds(kind LimitKind, c float64, parts ...float64) {
	var up, down float64
	for _, p := range parts {
		if p < 0 {
			up -= p
		} else {
			down += p
		}
	}
	if c < 0 {
		b.put(kind, up, -c, down, 0)
	} else {
		b.put(kind, up, 0, down, c)
	}
}

// rowForms adds the conditions that rest on wheel loads, for one position.
func (b *builder) rowForms(s state, p place) {
	k, in := b.k, &b.in
	var fixed, arms, axle, load [stability.NumRows]float64
	at := stability.Point{X: units.Length(p.x), Y: units.Length(p.y), Z: units.Length(p.z)}
	constant := in.Constant()
	for i := range fixed {
		row := stability.Row(i)
		fixed[i] = (float64(constant[i]) + rowOf(in.Body(row), &s.fixed)) / k.g
		arms[i] = rowOf(in.Body(row), &s.arms) / k.g
		if k.axle.m != 0 {
			axle[i] = rowOf(in.Axle(row), &k.axle) / k.g
		}
		load[i] = float64(in.Body(row).At(at)) / k.g
		b.fixed[i] = fixed[i] + axle[i] + arms[i]
		b.load[i] = load[i]
	}
	if !b.rowsOK {
		return
	}
	b.ratingForms(&b.fixed, &load)

	// Tipping: the bare loads first.
	const rear, left, right = stability.RowRearAxle, stability.RowLiftLeft, stability.RowLiftRight
	bare := func(row stability.Row) float64 {
		if load[row] < 0 {
			return b.fixed[row] / -load[row]
		}
		return math.Inf(1)
	}
	wheels := []stability.Row{left, right, stability.RowRearLeft, stability.RowRearRight}[:2]
	if k.machine.Undercarriage == stability.Rigid {
		// Lift rows say when both wheels of a side have lifted; the rear one
		// of the two may go first.
		wheels = wheels[:4]
	}
	b.tipping = min(b.tipping, bare(rear))
	for _, row := range wheels {
		b.wheelLift = min(b.wheelLift, bare(row))
	}

	// The dynamic factor may act or not: the worse of the two counts.
	held := func(kind LimitKind, row stability.Row) {
		b.holds(kind, load[row], fixed[row], axle[row], arms[row])
		if b.factor != 1 {
			b.holds(kind, b.factor*load[row], fixed[row], axle[row], b.factor*arms[row])
		}
	}
	fraction := func(kind LimitKind, row stability.Row, f float64) {
		if e := b.fixed[row]; load[row] < 0 {
			b.put(kind, 0, -load[row], f*e, 0)
		} else {
			b.holds(kind, load[row], fixed[row], axle[row], arms[row])
		}
	}
	f := float64(b.lift.Basis.Fraction)
	switch b.lift.Basis.Kind {
	case BasisRearShare:
		const front = stability.RowFrontAxle
		// N_r >= f (N_f + N_r), both sides linear in the load.
		e := b.fixed[front] + b.fixed[rear]
		c := load[front] + load[rear]
		b.put(LimitTipping, f*e, f*c-load[rear], b.fixed[rear], 0)
		for _, row := range wheels {
			b.put(LimitRearWheel, f/2*e, f/2*c-load[row], b.fixed[row], 0)
		}
	case BasisTippingFraction:
		b.notes |= NoteBorrowedBasis
		fraction(LimitTipping, rear, f)
		for _, row := range wheels {
			fraction(LimitRearWheel, row, f)
		}
	case BasisNoWheelUnloaded:
		held(LimitTipping, rear)
		for _, row := range wheels {
			held(LimitRearWheel, row)
		}
	default:
		b.notes |= NoteBasisNotChosen
	}
	held(LimitFrontWheel, stability.RowFrontLeft)
	held(LimitFrontWheel, stability.RowFrontRight)
	// A factor on what is in front would hold the front down.
	b.holds(LimitRearward, load[stability.RowFrontAxle], fixed[stability.RowFrontAxle], axle[stability.RowFrontAxle], arms[stability.RowFrontAxle])
}

// ratingForms adds the conditions of axle, tire and wheel ratings and of the
// steered axle: static, without factor. The rows are masses.
func (b *builder) ratingForms(e, c *[stability.NumRows]float64) {
	k := b.k
	m := &k.machine
	const front, rear = stability.RowFrontAxle, stability.RowRearAxle
	b.atMost(LimitFrontAxle, e[front], c[front], float64(m.Front.Rating))
	b.atMost(LimitRearAxle, e[rear], c[rear], float64(m.Rear.Rating))
	frontService, rearService, refused := b.lift.Tires.Factor(b.lift.Speed)
	if refused {
		b.notes |= NoteAllowanceRefused
	}
	places := func(tire, rim LimitKind, axle *Axle, t *tireLimit, service float64, rows ...stability.Row) {
		b.notes |= t.notes
		if b.lift.Tires.Kind == HaulageService && service > 1 && !t.haul {
			b.notes |= NoteAllowanceRefused
			service = 1
		}
		rating := t.side
		if t.side > 0 && service > 1 {
			switch before := t.before[b.lift.Tires.Kind]; {
			case before == 0:
				b.notes |= NoteAllowanceRefused
			case before*service > rating:
				b.notes |= NoteAllowanceUsed
				rating = before * service
			}
		}
		for _, row := range rows {
			if rating > 0 && t.speed > 0 && float64(b.lift.Speed) > t.speed {
				// No load is rated at this speed.
				b.notes |= NoteOverSpeed
				b.put(tire, math.Inf(1), 0, 0, 0)
			} else {
				b.atMost(tire, e[row], c[row], rating)
			}
			b.atMost(rim, e[row], c[row], float64(axle.WheelRating))
		}
	}
	if m.Front.Single {
		places(LimitFrontTire, LimitFrontRim, &m.Front, &k.frontTire, frontService, front)
	} else {
		places(LimitFrontTire, LimitFrontRim, &m.Front, &k.frontTire, frontService, stability.RowFrontLeft, stability.RowFrontRight)
	}
	places(LimitRearTire, LimitRearRim, &m.Rear, &k.rearTire, rearService, stability.RowRearLeft, stability.RowRearRight)
	share := float64(m.Steered.Share)
	switch m.Steered.Base {
	case SteeredOfUnladen:
		b.least(LimitSteered, share*k.unladen, 0, e[front], c[front])
	case SteeredOfLaden:
		b.least(LimitSteered, share*(e[front]+e[rear]), share*(c[front]+c[rear]), e[front], c[front])
	}
}

// least adds the condition that need + n m is at most have + h m.
func (b *builder) least(kind LimitKind, need, n, have, h float64) {
	if h < 0 {
		n, h = n-h, 0
	}
	b.put(kind, need, n, have, h)
}

// massForms adds the conditions on gross masses and on the hitch: total is
// the mass without load, and of the load the part mass counts.
func (b *builder) massForms(total, mass float64) {
	m := &b.k.machine
	b.atMost(LimitGross, total, mass, float64(m.GrossRating))
	b.atMost(LimitROPS, total, mass, float64(m.ROPSRating))
	b.hitch()
}

// loaderForms adds the conditions of attachment and coupler, which depend
// neither on where the arm is nor on the pieces.
func (b *builder) loaderForms() {
	if b.pieces {
		return
	}
	k := b.k
	t := &k.attachment
	b.atMost(LimitCoupler, float64(t.Mass), 1, k.coupler)
	if b.lift.Kind == BreakOut {
		b.atMost(LimitBreakOut, 0, k.g, k.breakOut)
		b.cannot(LimitAttachment)
		return
	}
	b.cannot(LimitBreakOut)
	ratio := 1.0
	if t.Kind == Forks {
		ratio = max(1, k.center(&b.lift.Load)/float64(t.LoadCenter))
	}
	if ratio > 1 && t.Rating > 0 {
		b.notes |= NoteReachRatio
	}
	if t.Kind == BarePin {
		b.cannot(LimitAttachment)
	} else {
		b.atMost(LimitAttachment, 0, ratio, float64(t.Rating))
	}
}

func (b *builder) hitch() {
	k := b.k
	if !k.hitchAny {
		b.cannot(LimitHitch)
	}
	b.atMost(LimitHitch, k.hitchLoad, 0, float64(k.machine.Hitch.Rating))
}

// hydraulic adds the condition of the lift at one position. Moving the arm
// by a small angle raises a load e ahead and h above the pin by (r cos a +
// (1 - s) e) and moves it forward by (-r sin a - (1 - s) h), s being the
// share of self-levelling; the work against its weight is the moment that
// the cylinders must hold.
func (b *builder) hydraulic(a float64) {
	if b.pieces {
		return
	}
	k := b.k
	p := k.loader
	_, z := p.pin(a)
	moment, lever, ok := p.capacity(a, z)
	switch {
	case !ok && p.rated:
		b.notes |= NoteOutsideRated
		b.missing(LimitHydraulic)
		return
	case !ok:
		b.notes |= NoteLiftUnknown
		return
	case p.cyl && p.armMass == 0:
		b.notes |= NoteArmMassUnknown
		return
	}
	if !b.lift.level() && k.attachment.Kind != BarePin && b.lift.Kind != BreakOut && b.lift.Load.Above == 0 && lever > 0 {
		b.notes |= NoteLoadHeightUnknown
		b.missing(LimitHydraulic)
		return
	}
	s := b.lift.situation()
	sinB, cosB := math.Sincos(float64(s.Slope))
	gx := -k.g*sinB*math.Cos(float64(s.Heading)) - float64(s.Acceleration)
	gz := -k.g * cosB
	sin, cos := math.Sincos(a)
	work := func(r, ahead, above float64) float64 {
		return -(gx*(-r*sin-lever*above) + gz*(r*cos+lever*ahead))
	}
	t := &k.attachment
	own := p.armMass*work(p.armCG, 0, 0) + float64(t.Mass)*work(p.r, float64(t.CG.Ahead), float64(t.CG.Above))
	ahead, above := k.loadOffset(b.lift)
	one := work(p.r, ahead, above)
	b.put(LimitHydraulic, b.factor*own, b.factor*one, moment, 0)
}

// missing marks a limit as not checked whatever other positions say.
func (b *builder) missing(kind LimitKind) { b.unknown |= 1 << kind }

// verdict fills in every limit, the load it allows and how much of it is used
// without load, and returns the usable load, the limit it comes from and the
// status.
func (b *builder) verdict(limits *[NumLimits]Limit, mass, empty *[NumLimits]float64) (units.Mass, LimitKind, Status) {
	for i := range mass {
		mass[i] = math.Inf(1)
	}
	for i := range b.forms {
		f := &b.forms[i]
		n := f.kind - 1
		mass[n] = min(mass[n], f.allows())
		empty[n] = max(empty[n], f.used(0))
	}
	least, governing, broken := math.Inf(1), NoLimit, NoLimit
	for i := range limits {
		l := &limits[i]
		l.Kind = LimitKind(i + 1)
		switch {
		case !b.checked(l.Kind):
			l.Status = stability.NotChecked
		case empty[i] > 1+bindTolerance || mass[i] < 0:
			l.Status = stability.ExceededWhenEmpty
			if broken == NoLimit {
				broken = l.Kind
			}
		case math.IsInf(mass[i], 1):
			l.Status = stability.CannotOccur
		default:
			l.Status = stability.Within
			l.Mass = units.Mass(mass[i])
			if mass[i] < least {
				least, governing = mass[i], l.Kind
			}
		}
	}
	for i := range limits {
		if l := &limits[i]; l.Status == stability.Within && float64(l.Mass) <= least*(1+bindTolerance) {
			l.Status = stability.Binds
		}
	}
	switch {
	case broken != NoLimit:
		return 0, broken, stability.ExceededWhenEmpty
	case limits[LimitTipping-1].Status == stability.NotChecked: // and with it LimitRearWheel
		return 0, LimitTipping, stability.NotChecked
	case governing == NoLimit:
		return 0, NoLimit, stability.NotChecked
	}
	return units.Mass(least), governing, stability.Binds
}

// summarize fills in the answer for the greatest load.
func (c *Case) summarize(b *builder) {
	u := &c.use
	u.Factor = b.factor
	u.Notes = b.notes
	if b.lift.Factor == 0 {
		u.Notes |= NoteDefaultFactor
	}
	u.Mass, u.Governing, u.Status = b.verdict(&u.Limits, &c.mass, &c.empty)
	if b.rowsOK {
		if b.tipping > 0 && !math.IsInf(b.tipping, 1) {
			u.Tipping = units.Mass(b.tipping)
		}
		if b.wheelLift > 0 && !math.IsInf(b.wheelLift, 1) {
			u.WheelLift = units.Mass(b.wheelLift)
		}
	}
	u.Cautions = CautionManual | CautionNoTippingTest | CautionROPS | CautionCarryLow | CautionWithoutBallast
	if b.lift.Slope == 0 {
		u.Cautions |= CautionLevelGround
	} else {
		u.Cautions |= CautionSlope | CautionStatedSlope
	}
	if b.lift.Braking == 0 {
		u.Cautions |= CautionStandstill
	} else {
		u.Cautions |= CautionStatedBraking
	}
	if b.k.hitchAny {
		u.Cautions |= CautionRaisedOnly
	}
	for _, l := range u.Limits {
		if l.Status == stability.NotChecked {
			u.Cautions |= CautionUnchecked
		}
	}
}

// recheck fills in the same limits without load.
func (c *Case) recheck(b *builder) {
	k := b.k
	for i := range c.use.Rechecks {
		r := &c.use.Rechecks[i]
		r.Kind = RecheckKind(i)
		switch r.Kind {
		case RecheckEmpty:
			c.share(r, b)
		case RecheckLowered:
			e := b.again()
			e.lowered()
			c.share(r, &e)
		case RecheckLoaderOff:
			e := b.again()
			e.loaderOff()
			if !k.offOK {
				c.use.Notes |= NoteArmMassUnknown
			}
			c.share(r, &e)
		}
		if r.Status == stability.Exceeded {
			c.use.Cautions |= CautionBallast
		}
	}
}

// again returns a builder for the same case in another state.
func (b *builder) again() builder {
	return builder{k: b.k, lift: b.lift, in: b.in, factor: b.factor, rowsOK: b.rowsOK, forms: make([]form, 0, 32)}
}

// share fills in how much of each limit is used without load.
func (c *Case) share(r *Recheck, b *builder) {
	var used [NumLimits]float64
	for i := range b.forms {
		f := &b.forms[i]
		used[f.kind-1] = max(used[f.kind-1], f.used(0))
	}
	worst := math.Inf(-1)
	for i := range r.Limits {
		l := &r.Limits[i]
		l.Kind = LimitKind(i + 1)
		if !b.checked(l.Kind) {
			continue
		}
		l.Used = units.Fraction(used[i])
		switch {
		case used[i] > 1+bindTolerance:
			l.Status = stability.Exceeded
		case used[i] >= 1-bindTolerance:
			l.Status = stability.Binds
		case used[i] == 0:
			l.Status = stability.CannotOccur
		default:
			l.Status = stability.Within
		}
		if used[i] > worst {
			worst, r.Governing, r.Status = used[i], l.Kind, l.Status
		}
	}
}

// checked reports whether a limit is checked.
func (b *builder) checked(k LimitKind) bool { return b.known[k-1] && b.unknown&(1<<k) == 0 }

// Use returns the greatest load of the case and every limit.
func (c *Case) Use() Use { return c.use }

// UsableLoad returns the greatest load of the case, the limit it comes from
// and the status: the first figures of [Case.Use], whose notes and cautions
// are to be shown with them.
func (c *Case) UsableLoad() (units.Mass, LimitKind, Status) {
	return c.use.Mass, c.use.Governing, c.use.Status
}

// Place returns where arm, pin and load are; on a way, at its end.
func (c *Case) Place() Place { return c.place }

// WheelLoads returns what axles and wheels carry with a load, without factor;
// on a way, at its end. They are those of the case's ground and braking. In a
// break-out the load is a force and Total leaves it out. They come without
// cautions: show those of [Case.Use]. All are zero for a load that is not from
// 0 to 100 t.
func (c *Case) WheelLoads(load units.Mass) WheelLoads {
	if !(load >= 0 && load <= maxMass) {
		return WheelLoads{}
	}
	m := float64(load)
	row := func(r stability.Row) units.Mass { return units.Mass(c.fixed[r] + float64(c.load[r]*m)) }
	total := c.total
	if !c.force {
		total += m
	}
	return WheelLoads{
		Total: units.Mass(total),
		Front: row(stability.RowFrontAxle), Rear: row(stability.RowRearAxle),
		FrontLeft: row(stability.RowFrontLeft), FrontRight: row(stability.RowFrontRight),
		RearLeft: row(stability.RowRearLeft), RearRight: row(stability.RowRearRight),
	}
}

// Check says whether a load may be lifted, how much of every limit it uses
// and what is left. The load is 0 to 100 t; a load outside that, or one that
// is not a number, has the status Exceeded and nothing else.
func (c *Case) Check(load units.Mass) (out Check) {
	m := float64(load)
	out.Notes, out.Cautions = c.use.Notes, c.use.Cautions
	if !(m >= 0 && m <= float64(maxMass)) {
		out.Status = stability.Exceeded
		return out
	}
	out.Mass = load
	out.Limits = c.shares
	worst, governing := math.Inf(-1), NoLimit
	least := math.Inf(1)
	for i := range c.active {
		a := &c.active[i]
		used := a.floor
		for j := range a.lines {
			f := &a.lines[j]
			if v := f.at + float64(f.slope*m); v > used {
				used = v
			}
		}
		for j := range a.ratios {
			if v := a.ratios[j].used(m); v > used {
				used = v
			}
		}
		if used > maxUsed {
			used = maxUsed
		}
		l := &out.Limits[a.kind-1]
		l.Used = units.Fraction(used)
		if used > worst {
			worst, governing = used, a.kind
		}
		if a.fixed {
			continue
		}
		left := a.mass - m
		l.Left = units.Mass(left)
		least = min(least, left)
		switch {
		case left > a.slack:
			l.Status = stability.Within
		case left < -a.slack:
			l.Status = stability.Exceeded
		default:
			l.Status = stability.Binds
		}
	}
	out.Axles = c.WheelLoads(load)
	out.Governing = governing
	var s Status
	if governing != NoLimit {
		s = out.Limits[governing-1].Status
	}
	switch {
	case c.use.Status == stability.ExceededWhenEmpty:
		out.Status, out.Governing = stability.ExceededWhenEmpty, c.use.Governing
	case s == stability.Exceeded:
		out.Status = stability.Exceeded
	case c.use.Status == stability.NotChecked:
		out.Status, out.Governing = stability.NotChecked, c.use.Governing
	case s == stability.Binds:
		out.Status = stability.Binds
	default:
		out.Status, out.Left = stability.Within, units.Mass(least)
	}
	return out
}

// active is one limit that a load moves, prepared for [Case.Check].
type active struct {
	kind  LimitKind
	fixed bool    // the status does not depend on the load
	mass  float64 // the load it allows
	slack float64 // within which it binds
	floor float64 // used at least: 0, or what is used when empty if that is broken
	// What is used, straight lines over the load and the rest.
	lines  []line
	ratios []form
}

// addLine adds a line to those from first on unless one of them is above it
// for every load, and drops those that are below it.
func (c *Case) addLine(first int, l line) {
	for i := len(c.lines) - 1; i >= first; i-- {
		switch e := c.lines[i]; {
		case e.at >= l.at && e.slope >= l.slope:
			return
		case e.at <= l.at && e.slope <= l.slope:
			c.lines = append(c.lines[:i], c.lines[i+1:]...)
		}
	}
	c.lines = append(c.lines, l)
}

// line is what is used where the right side does not depend on the load.
type line struct{ at, slope float64 }

// prepare sorts the conditions by limit and divides by what does not depend
// on the load.
func (c *Case) prepare() {
	c.lines = make([]line, 0, len(c.forms))
	c.active = make([]active, 0, NumLimits)
	for i := range c.use.Limits {
		l := &c.use.Limits[i]
		c.shares[i] = Share{Kind: l.Kind, Status: l.Status}
		if l.Status == stability.NotChecked {
			continue
		}
		a := active{kind: l.Kind, mass: c.mass[i], slack: bindTolerance * c.mass[i]}
		a.fixed = l.Status == stability.ExceededWhenEmpty || l.Status == stability.CannotOccur
		if l.Status == stability.ExceededWhenEmpty {
			a.floor = c.empty[i]
		}
		first := len(c.lines)
		idle := true
		for _, f := range c.forms {
			if f.kind != l.Kind {
				continue
			}
			if f.a0 != 0 || f.a1 != 0 || f.b0 <= 0 {
				idle = false
			}
			if f.b1 == 0 && f.b0 > 0 {
				c.addLine(first, line{f.a0 / f.b0, f.a1 / f.b0})
			} else {
				a.ratios = append(a.ratios, f)
			}
		}
		a.lines = c.lines[first:len(c.lines):len(c.lines)]
		if !idle {
			c.active = append(c.active, a)
		}
	}
}

// Vehicle returns the machine of the case with a load, as package stability
// takes it; on a way, at its end. It is an error where a height is not known
// that a slope answer needs, and in a break-out, where the load is no mass.
func (c *Case) Vehicle(load units.Mass) (stability.Vehicle, error) {
	var e checker
	if c.force {
		e.Add("kind", BreakOut, "must be another: the load of a break-out is no mass")
	}
	for _, line := range c.lacks.Lines() {
		e.Add("", nil, line)
	}
	within(&e, "load.mass", load, 0, maxMass)
	if err := e.Err(); err != nil {
		return stability.Vehicle{}, err
	}
	k := c.model
	body := c.atEnd.fixed.plus(c.atEnd.arms)
	body.add(float64(load), c.at.x, c.at.y, c.at.z)
	u := k.under
	if a := k.axle; a.m > 0 {
		u.Axle = a.body().Part()
	}
	v := stability.Vehicle{Body: body.body(), Undercarriage: u, Gravity: units.Acceleration(k.g)}
	return v, v.Validate()
}

func (s *sums) body() stability.Body {
	n := func(v float64) units.Length { return units.Length(v / s.m) }
	return stability.Body{Mass: units.Mass(s.m), CG: stability.Point{X: n(s.x), Y: n(s.y), Z: n(s.z)},
		PitchRise: max(0, n(s.pitch)), RollRise: max(0, n(s.roll))}
}

// UsableLoad returns the greatest load of a case and every limit: the whole
// [Use], as [Case.Use] does for a compiled one. [Case.UsableLoad] and
// [Model.UsableLoad] return its first figures only.
func (s Setup) UsableLoad(lift Lift) (Use, error) {
	k, err := s.Compile()
	if err != nil {
		return Use{}, err
	}
	c, err := k.Case(lift)
	if err != nil {
		return Use{}, err
	}
	return c.Use(), nil
}

// UsableBand returns the least and the greatest usable load that the bands of
// the liquid fills allow, all fills low or all high; without fills both are
// the usable load. No status and no caution is returned: ask
// [Setup.UsableLoad] first; where that states no load, both ends are zero.
func (s Setup) UsableBand(lift Lift) (units.Range[units.Mass], error) {
	u, err := s.UsableLoad(lift)
	if err != nil {
		return units.Range[units.Mass]{}, err
	}
	band := units.Range[units.Mass]{Low: u.Mass, High: u.Mass}
	for _, high := range []bool{false, true} {
		n := s
		n.Pieces = append([]Piece(nil), s.Pieces...)
		for i := range n.Pieces {
			p := &n.Pieces[i]
			if p.Fill == nil {
				continue
			}
			f, err := p.Fill.Solve()
			if err != nil {
				return units.Range[units.Mass]{}, err
			}
			if f.Mass = f.MassBand.Low; high {
				f.Mass = f.MassBand.High
			}
			*p = p.filled(f)
		}
		u, err := n.UsableLoad(lift)
		if err != nil {
			return units.Range[units.Mass]{}, err
		}
		band.Low, band.High = min(band.Low, u.Mass), max(band.High, u.Mass)
	}
	return band, nil
}

// Check says whether a load may be lifted in a case, how much of every limit
// it uses and what is left. [Load.MassOn] gives the mass that a lift's load
// names itself. A load outside 0 to 100 t, or one that is not a number, is an
// error; [Case.Check], which returns none, says Exceeded.
func (s Setup) Check(lift Lift, load units.Mass) (Check, error) {
	k, err := s.Compile()
	if err != nil {
		return Check{}, err
	}
	c, err := k.Case(lift)
	if err != nil {
		return Check{}, err
	}
	if !(load >= 0 && load <= maxMass) {
		return Check{}, &units.FieldError{Path: "load.mass", Value: show(load), Want: "must be between 0 and " + show(maxMass)}
	}
	return c.Check(load), nil
}
