package ballast

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// spread is a lift put to an envelope.
type spread struct {
	e           *Envelope
	q           loadCase
	front, rear span // what the tires of one wheel place may carry
	pin         span // height of the pin
	top, low    arc  // angles of the arm there, and with the pin at its lowest
	st          sumState
	center      span // of the load, from where the attachment says
	ahead       span // the load from the pin
	side, above span
	ratio       span // of an attachment's rating, which a load farther out reduces
	rows        bool // wheel loads can be bounded
	axlesOnly   bool // the loads of axles can be, and not those of single wheels
	assumed     bool // the height of the load is that of practice
	coarse      bool // questions try the middle of each quantity only
}

// noEnvelope is the error of an envelope that nothing made. It is made when it is asked for: its
// code stands in the catalog of words, which a program that meets no error need not read.
func noEnvelope() error {
	return units.NewFieldError("envelope", nil, "must be made by Setup.Envelope")
}

// noLoad is the rating of a tire that is rated for no load at the speed asked.
var noLoad = just(-1e9)

// spread checks a lift and lays out what it leaves open.
func (e *Envelope) spread(lift *Lift) (v spread, err error) {
	if e.k == nil {
		return v, noEnvelope()
	}
	v.e = e
	if err := lift.opened(); err != nil {
		return v, err
	}
	if err := e.k.fits(lift); err != nil {
		return v, err
	}
	v.q = e.k.loadCaseOn(lift, stability.Influence{})
	v.tires(lift)
	v.place(lift)
	if err := v.reach(lift); err != nil {
		return v, err
	}
	v.bound()
	return v, nil
}

// bound says of which loads a bound is known. Wheel loads of a rigid machine are not
// linear in its tracks. On level ground its axle loads do not depend on them.
func (v *spread) bound() {
	v.rows = v.e.bounded()
	v.axlesOnly = !v.rows && v.q.lift.level()
}

// bounded reports whether wheel loads can be bounded: those of a rigid machine
// are not linear in its tracks.
func (e *Envelope) bounded() bool {
	in := &e.in
	return e.k.machine.Undercarriage != stability.Rigid || in[inFrontTrack].fixed() && in[inRearTrack].fixed() && in[inWheelbase].fixed()
}

// opened reports every bad field of a lift whose load may be open.
func (l *Lift) opened() error {
	if err := l.Validate(); err != nil {
		var c units.FieldErrors
		c.Join("lift", err)
		return c.Err()
	}
	if l.Load.singles() == nil {
		return nil
	}
	err := l.Load.open(true)
	if err == nil {
		return nil
	}
	var c units.FieldErrors
	c.Join("lift.load", err)
	return c.Err()
}

// tires finds what the tires may carry.
func (v *spread) tires(lift *Lift) {
	front, rear, _ := lift.Tires.Factor(lift.Speed)
	mostFront, mostRear := front, rear
	if lift.Speed == 0 { // it may turn out to be one for which the service is granted
		mostFront, mostRear, _ = lift.Tires.Factor(walkingSpeed)
	}
	at := func(limits *[2]tireLimit, factor, most float64) span {
		var out, best [2]tireCapacity
		for i := range limits {
			var notes Notes
			out[i].load, out[i].status, notes = limits[i].capacity(lift.Speed, lift.Tires.Kind, factor)
			best[i].load, _, _ = limits[i].capacity(lift.Speed, lift.Tires.Kind, most)
			v.q.notes |= notes
		}
		s := tireSpan(&out[0], &out[1], most)
		if s == (span{}) || s == noLoad {
			return s
		}
		s.hi = max(s.hi, best[0].load, best[1].load)
		if lift.Speed == 0 && limits[0].speed > 0 {
			s.lo = noLoad.lo // it may turn out to be beyond the speed of the symbol
		}
		return s
	}
	v.front, v.rear = at(&v.e.tires[0], front, mostFront), at(&v.e.tires[1], rear, mostRear)
}

// walkingSpeed is a speed for which every tire service is granted.
const walkingSpeed = 1 * units.KilometerPerHour

// place finds where the load may be, and the pin.
func (v *spread) place(lift *Lift) {
	e := v.e
	in := &e.in
	kind := e.k.attachment.Kind
	center := endsOf(lift.Load.Center)
	v.ratio = just(1)
	beyond := lift.Load.Center.Unknown() && kind != BarePin && lift.Kind != BreakOut
	if beyond {
		center = span{float64(e.practice.LoadBeyond.Low), float64(e.practice.LoadBeyond.High)}
	}
	if kind == Forks {
		rated := in[inLoadCenter]
		if beyond {
			center = rated.plus(center)
		}
		v.ratio = center.over(rated)
		v.ratio = span{max(1, v.ratio.lo), max(1, v.ratio.hi)}
		if beyond && rated.fixed() && center.fixed() {
			v.ratio = just(1) // to the last bit
		}
	}
	v.center = center
	rise := endsOf(lift.Load.Above)
	if kind != BarePin && lift.Kind != BreakOut && lift.Load.Above.Unknown() {
		rise = span{float64(e.practice.LoadAbove.Low), float64(e.practice.LoadAbove.High)}
		v.assumed = true
	}
	switch {
	case lift.Kind == BreakOut:
		v.ahead, v.above = in[inEdgeAhead], in[inEdgeAbove]
	case kind == Forks:
		v.ahead, v.above = in[inFace].plus(center), in[inTine].plus(rise)
	case kind == Bucket:
		v.ahead, v.above = in[inFace].plus(center), in[inEdgeAbove].plus(rise)
	default:
		v.ahead = in[inFace].plus(center)
	}
	v.side = endsOf(lift.Load.Sideways)
	v.pin = just(float64(lift.Height))
	switch {
	case lift.Kind == BreakOut:
		v.pin = in[inEdgeAbove].times(-1)
	case lift.Datum == TineHeight:
		v.pin = v.pin.minus(in[inTine])
	case lift.Datum == EdgeHeight:
		v.pin = v.pin.minus(in[inEdgeAbove])
	case lift.Datum == LoadHeight:
		v.pin = v.pin.minus(v.above)
	}
}

// reach holds the pin against what the arm reaches, and lays the way: a height
// that no machine of the envelope reaches is an error.
func (v *spread) reach(lift *Lift) error {
	e := v.e
	low, high := e.in[inLowestPin], e.in[inHighestPin]
	if v.pin.hi < low.lo-reachSlack || v.pin.lo > high.hi+reachSlack {
		var c units.FieldErrors
		if lift.Kind == BreakOut {
			c.Add("lift.kind", lift.Kind, edgeReach, pinHeights(v.pin.lo, low.lo, high.hi)...)
		} else {
			c.Add("lift.height", valid.Show(lift.Height), reachOver, heights(float64(lift.Height)+low.lo-v.pin.hi, float64(lift.Height)+high.hi-v.pin.lo, lift.Datum)...)
		}
		return c.Err()
	}
	v.pin = span{min(max(v.pin.lo, low.lo), high.hi), max(min(v.pin.hi, high.hi), low.lo)}
	v.derive()
	return nil
}

// derive finds the angles of the arm.
func (v *spread) derive() {
	if !v.e.hasLoader {
		return
	}
	v.top, v.low = v.e.angle(v.pin), v.e.angle(v.e.in[inLowestPin])
	v.st = v.state(StateEmpty)
	if v.q.lift.Kind.way() {
		v.st.way = true
		v.st.outer, v.st.inner = arcOf(span{v.low.lo, v.top.hi}), arcOf(span{v.low.hi, v.top.lo})
	}
}

// tireSpan returns what the tires of a wheel place may carry at either end, with
// the factor of a service that is confirmed.
func tireSpan(a, b *tireCapacity, factor float64) span {
	switch {
	case a.status == stability.NotChecked || b.status == stability.NotChecked:
		return span{}
	case a.status == stability.Exceeded || b.status == stability.Exceeded:
		return noLoad
	}
	s := ordered(a.load, b.load)
	if a.status == stability.AtMost || b.status == stability.AtMost {
		// Where the pressure is not known, the service may still allow more.
		s = span{0, s.hi * factor}
	}
	return s
}

// corners goes through the corners of wheelbase, tracks and pin height.
type corners struct {
	ends      [4]span // of wheelbase, rear track, front track, pin height
	mask      int
	under     stability.Undercarriage
	situation stability.Situation
	g         units.Acceleration
	number    int   // 0 or 1, by the end of the wheelbase
	err       error // what ended it before the last corner
}

func (v *spread) corners() corners {
	e := v.e
	level := v.q.lift.level()
	front := !level || e.k.machine.Undercarriage == stability.Rigid
	for i := range e.pieces {
		front = front || e.pieces[i].onFront && e.pieces[i].y != span{}
	}
	if v.axlesOnly {
		front = false
	}
	c := corners{under: e.k.under, situation: v.q.lift.situation(), g: units.Acceleration(v.q.k.g)}
	c.ends = [4]span{e.in[inWheelbase], e.in[inRearTrack], e.in[inFrontTrack], e.in[inAxlePin]}
	if !front {
		c.ends[2].hi = c.ends[2].lo
	}
	if v.axlesOnly {
		c.ends[1].hi = c.ends[1].lo
	}
	if level {
		c.ends[3].hi = c.ends[3].lo
	}
	return c
}

// next lays the influence at the next corner; it returns false behind the last one
// and on an error, which is in c.err.
func (c *corners) next(in *stability.Influence) bool {
	var at [4]float64
next:
	for ; c.mask < 1<<len(c.ends); c.mask++ {
		for i, s := range c.ends {
			at[i] = s.lo
			if c.mask>>i&1 == 1 {
				if s.fixed() {
					continue next
				}
				at[i] = s.hi
			}
		}
		c.under.Wheelbase, c.under.RearTrack = units.Length(at[0]), units.Length(at[1])
		c.under.FrontTrack, c.under.PinHeight = units.Length(at[2]), units.Length(at[3])
		*in, c.err = c.under.Influence(c.situation, c.g)
		c.number = c.mask & 1
		c.mask++
		return c.err == nil
	}
	return false
}

// machines lists what is on the machine at either end of the wheelbase, by the
// number of a corner.
func (e *Envelope) machines() (t [2]terms) {
	base := e.in[inWheelbase]
	e.machine(&t[0], base.lo)
	if !base.fixed() {
		e.machine(&t[1], base.hi)
	}
	return t
}

// loadWeight is what a kilogram of the load adds to a form.
func (v *spread) loadWeight(f *form, st *sumState) span {
	in, c := &v.e.in, &f.body
	g := just(c.one).plus(in[inPivotX].plus(v.ahead).times(c.x)).plus(v.side.times(c.y)).plus(in[inPivotZ].plus(v.above).times(c.z))
	return g.plus(in[inArm].by(st.cosines(c.x, c.z))).times(f.load)
}

// A tally gathers what the conditions of each limit allow.
type tally struct {
	list     [maxConditions]allowed // by condition, over the corners so far
	of       [maxConditions]LimitKind
	n        int
	low      [numTallied]float64
	high     [numTallied]float64
	checked  [numTallied]bool
	missing  [NumLimits]bool
	required [NumLimits]float64 // of a missing rating, for the load asked about
}

// count counts condition i, at the first corner or at another one.
func (t *tally) count(i int, limit LimitKind, a allowed, first bool) {
	if first {
		t.list[i], t.of[i] = a, limit
		return
	}
	t.list[i].low = min(t.list[i].low, a.low)
	t.list[i].high = max(t.list[i].high, a.high)
}

// close adds the conditions counted to their limits.
func (t *tally) close() {
	for i := range t.n {
		if t.of[i] != NoLimit {
			t.limit(t.of[i], t.list[i])
		}
	}
}

// limit adds one condition of a limit.
func (t *tally) limit(kind LimitKind, a allowed) {
	k := kind - 1
	if !t.checked[k] {
		t.low[k], t.high[k] = math.Inf(1), math.Inf(1)
	}
	t.checked[k] = true
	t.low[k] = min(t.low[k], a.low)
	t.high[k] = min(t.high[k], a.high)
}

// lacks says that a limit's rating is missing, which would have to be required.
func (t *tally) lacks(kind LimitKind, required float64) {
	t.missing[kind-1] = true
	t.required[kind-1] = max(t.required[kind-1], required)
}

// state returns the state of the machine of which s speaks.
func (v *spread) state(s State) sumState {
	switch s {
	case StateEmpty:
		return sumState{outer: v.top, low: v.low}
	case StateLowered:
		return sumState{outer: v.low, low: v.low}
	case StateLoaderOff:
		return sumState{off: true, low: v.low}
	}
	return v.st
}

// maxOpen is room for the open terms of a state of most setups.
const maxOpen = 16

// solve fills in what every limit says of the first n states, StateLoad first; m
// is a load for which missing ratings are turned round.
func (v *spread) solve(t []tally, m float64) error {
	w := tare{machine: v.e.machines()}
	for s := range t {
		w.states[s] = v.state(State(s))
		v.e.loader(&w.loader[s], &w.states[s])
	}
	if v.rows || v.axlesOnly {
		if err := v.wheels(t, &w, m); err != nil {
			return err
		}
	}
	v.unbounded(t)
	for s := range t {
		carried := 0.0
		if State(s) == StateLoad {
			carried = 1
		}
		v.masses(&t[s], v.e.massOf(&w, s), carried*v.q.loadMass(), m)
		if State(s) != StateLoaderOff {
			v.loader(&t[s], carried, m)
			v.manualBallast(&t[s])
		}
	}
	v.hydraulic(&t[0], m)
	return nil
}

// wheelLimits are the limits that rest on wheel loads.
const wheelLimits LimitSet = 1<<(LimitTipping-1) | 1<<(LimitRearWheel-1) | 1<<(LimitFrontWheel-1) | 1<<(LimitRearward-1) | 1<<(LimitSteered-1) |
	1<<(LimitFrontAxle-1) | 1<<(LimitFrontTire-1) | 1<<(LimitFrontRim-1) | 1<<(LimitRearAxle-1) | 1<<(LimitRearTire-1) | 1<<(LimitRearRim-1)

// ofAxles are those of them that rest on the loads of whole axles.
const ofAxles LimitSet = 1<<(LimitTipping-1) | 1<<(LimitRearward-1) | 1<<(LimitSteered-1) | 1<<(LimitFrontAxle-1) | 1<<(LimitRearAxle-1)

// answers reports whether the loads that a limit rests on can be bounded.
func (v *spread) answers(k LimitKind) bool {
	return v.rows || v.axlesOnly && (k == bareAxle || k <= LimitManualBallast && ofAxles.Has(setOf(k)))
}

// unbounded says which ratings are missing where the loads that they are for cannot be
// bounded, and nothing can be said of what they would have to be.
func (v *spread) unbounded(t []tally) {
	in := &v.e.in
	for _, r := range [...]struct {
		limit LimitKind
		is    span
	}{
		{LimitFrontAxle, in[inFrontRating]}, {LimitFrontRim, in[inFrontRim]}, {LimitFrontTire, v.front},
		{LimitRearAxle, in[inRearRating]}, {LimitRearRim, in[inRearRim]}, {LimitRearTire, v.rear},
	} {
		if !v.answers(r.limit) && r.is == (span{}) && !v.e.absent.Has(setOf(r.limit)) {
			for s := range t {
				t[s].lacks(r.limit, 0)
			}
		}
	}
}

// tare is what is on the machine without the load, in some states.
type tare struct {
	machine [2]terms // in every state, at either end of the wheelbase
	loader  [NumRechecks + 1]terms
	states  [NumRechecks + 1]sumState
}

// formSums is a form without its rating, over the machine and over the loader in each
// state, and what a kilogram of the load adds.
type formSums struct {
	laid          bool
	machine, load span
	loader        [NumRechecks + 1]span
}

// wheels adds the forms of the wheel loads in some states.
func (v *spread) wheels(t []tally, w *tare, m float64) error {
	e := v.e
	tiny := 1e-9 * e.massOf(w, 0).hi
	first := true
	var list forms
	corners := v.corners()
	var in stability.Influence
	for corners.next(&in) {
		list.at(v, &in)
		var shared [numShared]formSums
		for k := range list.list[:list.n] {
			f := &list.list[k]
			if !v.answers(f.limit) {
				for s := range t {
					t[s].of[k] = NoLimit
				}
				continue
			}
			if f.missing && e.absent.Has(setOf(f.limit)) {
				f.missing, f.rating = false, just(math.Inf(1))
			}
			var own formSums
			of := &own
			if f.shares > 0 {
				of = &shared[f.shares-1]
			}
			if !of.laid {
				of.laid = true
				of.machine, of.load = w.machine[corners.number].over(f), v.loadWeight(f, &w.states[StateLoad])
				for s := range t {
					of.loader[s] = e.sum(f, &w.loader[s], &w.states[s])
				}
			}
			for s := range t {
				a := of.machine.plus(of.loader[s].minus(f.rating))
				var c span
				if State(s) == StateLoad {
					c = of.load
				}
				if f.missing {
					t[s].of[k] = NoLimit
					t[s].lacks(f.limit, a.hi+max(0, c.hi*m))
					continue
				}
				t[s].count(k, f.limit, roots(a, c, tiny), first)
			}
		}
		first = false
	}
	for s := range t {
		t[s].n = list.n
		t[s].close()
	}
	return corners.err
}

// mass returns the mass of everything in a state, without the load.
func (e *Envelope) mass(st *sumState) span {
	var w tare
	e.machine(&w.machine[0], e.in[inWheelbase].lo)
	w.states[0] = *st
	e.loader(&w.loader[0], st)
	return e.massOf(&w, 0)
}

// massOf returns the mass of everything in one state of several.
func (e *Envelope) massOf(w *tare, s int) span {
	f := form{weights: everything, moving: 1, load: 1}
	return w.machine[0].over(&f).plus(e.sum(&f, &w.loader[s], &w.states[s]))
}

// masses adds the limits of gross masses and of the hitch; of the load the part
// carried counts.
func (v *spread) masses(t *tally, total span, carried, m float64) {
	e := v.e
	v.rated(t, LimitGross, total, just(carried), e.in[inGross], m)
	v.rated(t, LimitROPS, total, just(carried), e.in[inROPS], m)
	v.hitch(t)
}

// rated adds the condition that a + c m is at most a rating.
func (v *spread) rated(t *tally, kind LimitKind, a, c, rating span, m float64) {
	switch {
	case rating != (span{}):
		t.limit(kind, roots(a.minus(rating), c, 1e-9*max(1, math.Abs(rating.hi))))
	case v.e.absent.Has(setOf(kind)):
		t.limit(kind, unlimited)
	default:
		t.lacks(kind, a.hi+max(0, c.hi*m))
	}
}

// manualBallast adds what the loader's manual demands behind.
func (v *spread) manualBallast(t *tally) {
	e := v.e
	manual := &e.k.manual
	switch manual.Kind {
	case ManualBallastUnknown:
		t.lacks(LimitManualBallast, 0)
		return
	case ManualBallastNone:
		t.limit(LimitManualBallast, unlimited)
		return
	}
	hitch, wheels := e.behind()
	for _, d := range [...]struct {
		need units.Mass
		have span
	}{{manual.Hitch, hitch}, {manual.RearWheels, wheels}} {
		if d.need > 0 {
			t.limit(LimitManualBallast, roots(just(float64(d.need)).minus(d.have), span{}, 1e-9*float64(d.need)))
		}
	}
}

// behind returns what the hitch carries and what is in and on the rear wheels.
func (e *Envelope) behind() (hitch, wheels span) {
	for i := range e.pieces {
		switch p := &e.pieces[i]; {
		case p.kind.OnHitch():
			hitch = hitch.plus(p.mass)
		case p.kind.OnRearWheels():
			wheels = wheels.plus(p.mass)
		}
	}
	return hitch, wheels
}

// hitchLoad returns the load of the hitch as its rating counts it.
func (e *Envelope) hitchLoad() (load span, any bool) {
	for i := range e.pieces {
		p := &e.pieces[i]
		if !p.kind.OnHitch() || p.mass.hi == 0 {
			continue
		}
		any = true
		d := e.in[inHitchX].minus(p.x)
		load = load.plus(p.mass.by(span{hitchRatio(d.lo), hitchRatio(d.hi)}))
	}
	return load, any
}

// hitch adds the limit of the rear hitch.
func (v *spread) hitch(t *tally) {
	e := v.e
	load, any := e.hitchLoad()
	if !any {
		t.limit(LimitHitch, unlimited)
		return
	}
	v.rated(t, LimitHitch, load, span{}, e.in[inHitchRating], 0)
}

// loader adds the limits of attachment, coupler and break-out force; of the load
// the part carried counts.
func (v *spread) loader(t *tally, carried, m float64) {
	e := v.e
	kind := e.k.attachment.Kind
	v.rated(t, LimitCoupler, e.in[inAttachMass], just(carried), e.in[inCoupler], m)
	if v.q.lift.Kind == BreakOut {
		v.rated(t, LimitBreakOut, span{}, just(v.q.k.g*carried), e.in[inBreakOut], m)
		t.limit(LimitAttachment, unlimited)
		return
	}
	t.limit(LimitBreakOut, unlimited)
	if kind == BarePin {
		t.limit(LimitAttachment, unlimited)
		return
	}
	v.rated(t, LimitAttachment, span{}, v.ratio.times(carried), e.in[inAttachRating], m)
}

// ratedDrift is by how much, at most, the lift of a loader changes outside its
// rated heights: by the factor e^d either way at d meters from the nearest of
// them. Over 8000 random loaders of usual shape the steepest change was that of
// e^(0.84 d); the library's own calculation, no source.
const ratedDrift = 1.0

// inverseAt returns one over the rated lift at the pin and its growth per meter
// ahead of it, over pin heights.
func (e *Envelope) inverseAt(z span) (inverse, slope span) {
	rated := e.k.loader.rated
	first := true
	at := func(i int, t, grow float64) {
		if e.flatLift {
			grow = 1
		}
		pick := func(of func(*ratedLift) float64) span {
			v := of(&rated[i])
			if t != 0 {
				v = float64((1-t)*v) + float64(t*of(&rated[i+1]))
			}
			return span{v / grow, v * grow}
		}
		a := pick(func(r *ratedLift) float64 { return r.inverse })
		b := pick(func(r *ratedLift) float64 { return r.slope })
		if first {
			inverse, slope, first = a, b, false
		} else {
			inverse, slope = inverse.join(a), slope.join(b)
		}
	}
	last := len(rated) - 1
	place := func(h float64) {
		switch {
		case h < rated[0].height:
			at(0, 0, math.Exp(ratedDrift*(rated[0].height-h)))
		case h > rated[last].height:
			at(last, 0, math.Exp(ratedDrift*(h-rated[last].height)))
		default:
			for i := range rated {
				if math.Abs(h-rated[i].height) <= reachSlack {
					at(i, 0, 1)
					return
				}
				if i < last && h > rated[i].height && h < rated[i+1].height {
					at(i, (h-rated[i].height)/(rated[i+1].height-rated[i].height), 1)
					return
				}
			}
		}
	}
	place(z.lo)
	if z.hi != z.lo {
		place(z.hi)
		for _, r := range rated {
			if r.height > z.lo && r.height < z.hi {
				place(r.height)
			}
		}
	}
	return inverse, slope
}

// leverage returns the lever of the cylinders over angles of the arm. It rises to
// the lesser of the two pin circles' radii, where the cylinder stands square on
// that radius, and falls again.
func (k *loaderModel) leverage(a span) span {
	lo, _ := k.cylinder(a.lo)
	if a.fixed() {
		return just(lo)
	}
	hi, _ := k.cylinder(a.hi)
	out := span{min(lo, hi), max(lo, hi)}
	least, most := min(k.b, k.c), max(k.b, k.c)
	if top := math.Acos(least/most) - k.rodAngle + k.baseAngle; top > a.lo && top < a.hi {
		out.hi = least
	}
	return out
}

// strength is how much of what the cylinders push with at relief pressure, or of
// what the loader is rated to lift, counts.
type strength struct {
	push  span // of the cylinders' force
	rated span // of a rated moment, the arms' own weight in it
}

// lifting is what counts while the arms rise: a rating is what was lifted.
func (e *Envelope) lifting() strength {
	return strength{push: just(1).minus(e.in[inFriction]), rated: just(1)}
}

// sinking is what counts where the arms begin to sink, as friction then works the
// other way.
func (e *Envelope) sinking() strength {
	f := e.in[inFriction]
	return strength{push: just(1).plus(f), rated: span{(1 + f.lo) / (1 - f.lo), (1 + f.hi) / (1 - f.hi)}}
}

// moments returns the moment about the arm's pivot that the lift must hold with
// the arm at these angles, less what it can hold, and what a kilogram of the load
// adds to it.
func (v *spread) moments(a *arc, by *strength) (own, load span) {
	e, k := v.e, v.e.k.loader
	in := &e.in
	s := v.q.lift.situation()
	sinB, cosB := math.Sincos(float64(s.Slope))
	gx := -e.k.g*sinB*math.Cos(float64(s.Heading)) - float64(s.Acceleration)
	gz := -e.k.g * cosB
	turn := a.cosines(-gz, gx)
	armTurn, ahead := turn, v.ahead
	lever := just(1).minus(in[inSelfLeveling])
	var holds span
	if k.cyl {
		holds = in[inPush].by(by.push).by(k.leverage(a.span))
	} else {
		z := in[inPivotZ].plus(in[inArm].by(a.cosines(0, 1)))
		inverse, slope := e.inverseAt(z)
		x := in[inArm].by(a.cosines(1, 0))
		if k.hasReach {
			lever = x.by(slope).over(inverse)
			lever = span{max(0, lever.lo), max(0, lever.hi)}
		}
		holds = x.over(inverse).by(by.rated)
		// The rating has the arms' own weight taken off, on level ground.
		off := func(share float64) span { return a.cosines(-gz-share*float64(units.StandardGravity), gx) }
		if armTurn = off(by.rated.lo); !by.rated.fixed() {
			armTurn = armTurn.join(off(by.rated.hi))
		}
		ahead = span{max(0, ahead.lo), max(0, ahead.hi)}
	}
	at := func(ahead, above span) span {
		return in[inArm].by(turn).plus(lever.by(above.times(gx).plus(ahead.times(-gz))))
	}
	own = in[inArmMass].by(in[inArmCG]).by(armTurn).plus(in[inAttachMass].by(at(in[inAttachAhead], in[inAttachAbove])))
	return own.minus(holds), at(ahead, v.above)
}

// angleGrid is the width of the steps in which an arc is walked whose ends are
// not known.
const angleGrid = 1.0 / 32

// hydraulic adds what the loader lifts: see loadCase.hydraulicWay.
func (v *spread) hydraulic(t *tally, m float64) {
	e, k := v.e, v.e.k.loader
	top := &v.top
	v.drifts()
	if !k.cyl && len(k.rated) == 0 {
		t.lacks(LimitHydraulic, v.liftAtPin(top, m))
		return
	}
	lifting := e.lifting()
	at := func(a *arc) allowed { return v.lifted(a, &lifting) }
	over := func(s span) allowed {
		a := arcOf(s)
		return at(&a)
	}
	out := at(top)
	low := &v.low
	if v.q.lift.Kind == StackHigh {
		add := func(a allowed) { out.low, out.high = min(out.low, a.low), min(out.high, a.high) }
		if low.fixed() && top.fixed() && e.in[inPivotZ].fixed() && e.in[inArm].fixed() {
			v.walk(low.lo, top.lo, func(a float64) allowed { return over(just(a)) }, add)
		} else {
			for i := math.Floor(low.lo / angleGrid); i*angleGrid < top.hi; i++ {
				a := span{max(low.lo, i*angleGrid), min(top.hi, (i+1)*angleGrid)}
				out.low = min(out.low, over(a).low)
				if g := i * angleGrid; g >= low.hi && g <= top.lo {
					out.high = min(out.high, over(just(g)).high)
				}
			}
		}
	}
	t.limit(LimitHydraulic, out)
}

// lifted returns the load that the lift holds with the arm at these angles.
func (v *spread) lifted(a *arc, by *strength) allowed {
	own, load := v.moments(a, by)
	return roots(own, load, 1e-9*math.Abs(own.lo))
}

// holds returns the load under which raised arms begin to sink at the height of
// the lift; zero where nothing says what the loader lifts, and of a break-out.
func (v *spread) holds() units.Range[units.Mass] {
	k := v.e.k.loader
	if v.q.lift.Kind == BreakOut || !k.cyl && len(k.rated) == 0 {
		return units.Range[units.Mass]{}
	}
	sinking := v.e.sinking()
	a := v.lifted(&v.top, &sinking)
	within := func(m float64) units.Mass { return units.Mass(min(float64(MaxLoad), max(0, m))) }
	return units.Range[units.Mass]{Low: within(a.low), High: within(a.high)}
}

// drifts notes that the lift is asked outside the rated heights.
func (v *spread) drifts() {
	k := v.e.k.loader
	if k.cyl || len(k.rated) == 0 {
		return
	}
	low := v.pin.lo
	if v.q.lift.Kind == StackHigh {
		low = v.e.in[inLowestPin].lo
	}
	if low < k.rated[0].height-reachSlack || v.pin.hi > k.rated[len(k.rated)-1].height+reachSlack {
		v.q.notes |= NoteOutsideRated
	}
}

// walk adds what is allowed along a way from low to top: at its ends, at rated
// points, and where either end of the answer is least between steps.
func (v *spread) walk(low, top float64, at func(float64) allowed, add func(allowed)) {
	step := (top - low) / pathSteps
	if !(step > 0) {
		return
	}
	for _, r := range v.e.k.loader.rated {
		if r.angle > low && r.angle < top {
			add(at(r.angle))
		}
	}
	var steps [pathSteps + 1]allowed
	for i := range steps {
		steps[i] = at(low + step*float64(i))
		add(steps[i])
	}
	refine := func(get func(allowed) float64) {
		for i := range steps {
			here := get(steps[i])
			if math.IsInf(here, 1) || i > 0 && get(steps[i-1]) < here || i < pathSteps && get(steps[i+1]) < here {
				continue
			}
			a := low + step*float64(i)
			add(at(numeric.Minimum(func(a float64) float64 { return get(at(a)) }, max(low, a-step), min(top, a+step), step*1e-6)))
		}
	}
	refine(func(a allowed) float64 { return a.low })
	for i := range steps {
		if steps[i].low != steps[i].high {
			refine(func(a allowed) float64 { return a.high })
			return
		}
	}
}

// liftAtPin returns what the loader would have to lift at the pin on level ground,
// without attachment, to lift a load with the arm at these angles.
func (v *spread) liftAtPin(a *arc, m float64) float64 {
	in := &v.e.in
	lever := just(1).minus(in[inSelfLeveling])
	x := in[inArm].by(a.cosines(1, 0))
	one := func(ahead span) float64 {
		return 1 + max(0, lever.by(ahead).over(span{max(1e-3, x.lo), max(1e-3, x.hi)}).hi)
	}
	// Ratings are read under standard gravity.
	return (in[inAttachMass].hi*one(in[inAttachAhead]) + m*one(v.ahead)) * v.q.k.g / float64(units.StandardGravity)
}
