package ballast

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// spread is a lift put to an envelope.
type spread struct {
	e           *Envelope
	q           loadCase
	front, rear span // what the tires of one wheel place may carry
	pin         span // height of the pin
	st          sumState
	ahead       span // the load from the pin
	side, above span
	ratio       span // of an attachment's rating, which a load farther out reduces
	rows        bool // wheel loads can be bounded
	assumed     []Assumption
}

// noLoad is the rating of a tire that is rated for no load at the speed asked.
var noLoad = just(-1e9)

// spread checks a lift and lays out what it leaves open.
func (e *Envelope) spread(lift *Lift) (v spread, err error) {
	v.e = e
	if v.q, _, err = e.low.loadCase(lift); err != nil {
		return v, err
	}
	other := v.q
	if e.high != e.low {
		if other, _, err = e.high.loadCase(lift); err != nil {
			return v, err
		}
	}
	front, rear, _ := lift.Tires.Factor(lift.Speed)
	v.front, v.rear = tireSpan(&v.q.front, &other.front, front), tireSpan(&v.q.rear, &other.rear, rear)
	in := &e.in
	kind := e.low.attachment.Kind
	center := just(float64(lift.Load.Center.Value()))
	v.ratio = just(1)
	if kind == Forks {
		if lift.Load.Center.Value() == 0 {
			center = in[inLoadCenter]
		} else {
			v.ratio = center.over(in[inLoadCenter])
			v.ratio = span{max(1, v.ratio.lo), max(1, v.ratio.hi)}
		}
	}
	rise := just(float64(lift.Load.Above.Value()))
	if kind != BarePin && lift.Kind != BreakOut && lift.Load.Above.Value() == 0 {
		rise = span{float64(e.practice.LoadAbove.Low), float64(e.practice.LoadAbove.High)}
		if !lift.level() {
			v.assumed = append(v.assumed, Assumption{Path: "lift.load.above", Length: e.practice.LoadAbove})
		}
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
	v.side = just(float64(lift.Load.Sideways.Value()))
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
	low, high := in[inLowestPin], in[inHighestPin]
	v.pin = span{min(max(v.pin.lo, low.lo), high.hi), max(min(v.pin.hi, high.hi), low.lo)}
	v.st = sumState{outer: e.angle(v.pin)}
	if lift.Kind.way() {
		bottom := e.angle(low)
		v.st = sumState{way: true, outer: span{bottom.lo, v.st.outer.hi}, inner: span{bottom.hi, v.st.outer.lo}}
	}
	v.rows = e.low.machine.Undercarriage != stability.Rigid || in[inFrontTrack].fixed() && in[inRearTrack].fixed() && in[inWheelbase].fixed()
	return v, nil
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
	s := span{min(a.load, b.load), max(a.load, b.load)}
	if a.status == stability.AtMost || b.status == stability.AtMost {
		// Where the pressure is not known, the service may still allow more.
		s = span{0, s.hi * factor}
	}
	return s
}

// ends returns the ends of what is known of an input, or one of them where the
// answer does not depend on it.
func (e *Envelope) ends(i input, matters bool) []float64 {
	if s := &e.in[i]; !matters || s.fixed() {
		return []float64{s.lo}
	}
	return []float64{e.in[i].lo, e.in[i].hi}
}

// corners calls do at every corner of wheelbase, tracks and pin height.
func (v *spread) corners(do func(base float64, in *stability.Influence)) error {
	e := v.e
	level := v.q.lift.level()
	front := !level || e.low.machine.Undercarriage == stability.Rigid
	for i := range e.pieces {
		front = front || e.pieces[i].onFront && e.pieces[i].y != span{}
	}
	u := e.low.under
	situation := v.q.lift.situation()
	for _, base := range e.ends(inWheelbase, true) {
		for _, rear := range e.ends(inRearTrack, true) {
			for _, track := range e.ends(inFrontTrack, front) {
				for _, pin := range e.ends(inAxlePin, !level) {
					u.Wheelbase, u.RearTrack = units.Length(base), units.Length(rear)
					u.FrontTrack, u.PinHeight = units.Length(track), units.Length(pin)
					in, err := u.Influence(situation, units.Acceleration(v.q.k.g))
					if err != nil {
						return err
					}
					do(base, &in)
				}
			}
		}
	}
	return nil
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
	first    bool // the first corner is being counted
	low      [numTallied]float64
	high     [numTallied]float64
	checked  [numTallied]bool
	missing  [NumLimits]bool
	required [NumLimits]float64 // of a missing rating, for the load asked about
}

// count counts condition i.
func (t *tally) count(i int, limit LimitKind, a allowed) {
	if t.first {
		t.list[i], t.of[i] = a, limit
		return
	}
	t.list[i].low = min(t.list[i].low, a.low)
	t.list[i].high = max(t.list[i].high, a.high)
}

// close adds the conditions counted to their limits.
func (t *tally) close() {
	for i := range t.n {
		t.limit(t.of[i], t.list[i])
	}
	t.n = 0
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

// rated adds the condition that a + c m is at most a rating.
func (t *tally) rated(kind LimitKind, a, c, rating span, m float64) {
	if rating == (span{}) {
		t.lacks(kind, a.hi+c.hi*m)
		return
	}
	t.limit(kind, roots(a.minus(rating), c, 1e-9*max(1, math.Abs(rating.hi))))
}

// wheels adds the forms of the wheel loads in a state; the load counts with the
// factor carried.
func (v *spread) wheels(t *tally, st *sumState, carried, m float64) error {
	if !v.rows {
		return nil
	}
	tiny := 1e-9 * v.e.mass(st).hi
	t.first = true
	err := v.corners(func(base float64, in *stability.Influence) {
		n := 0
		v.cornerForms(in, func(f *form) {
			a := v.e.sum(f, st, base)
			var c span
			if carried != 0 {
				c = v.loadWeight(f, st)
			}
			if f.missing {
				t.lacks(f.limit, a.hi+c.hi*m)
				return
			}
			t.count(n, f.limit, roots(a, c, tiny))
			n++
		})
		t.n, t.first = n, false
	})
	t.close()
	return err
}

// mass returns the mass of everything in a state, without the load.
func (e *Envelope) mass(st *sumState) span {
	return e.sum(&form{weights: everything, moving: 1, load: 1}, st, e.in[inWheelbase].lo)
}

// masses adds the limits of gross masses and of the hitch; of the load the part
// carried counts.
func (v *spread) masses(t *tally, st *sumState, carried, m float64) {
	e := v.e
	total := e.mass(st)
	t.rated(LimitGross, total, just(carried), e.in[inGross], m)
	t.rated(LimitROPS, total, just(carried), e.in[inROPS], m)
	v.hitch(t)
}

// manualBallast adds what the loader's manual demands behind.
func (v *spread) manualBallast(t *tally) {
	e := v.e
	manual := &e.low.manual
	none := allowed{math.Inf(1), math.Inf(1)}
	switch manual.Kind {
	case ManualBallastUnknown:
		t.lacks(LimitManualBallast, 0)
		return
	case ManualBallastNone:
		t.limit(LimitManualBallast, none)
		return
	}
	var hitch, wheels span
	for i := range e.pieces {
		switch p := &e.pieces[i]; {
		case p.kind.OnHitch():
			hitch = hitch.plus(p.mass)
		case p.kind.OnRearWheels():
			wheels = wheels.plus(p.mass)
		}
	}
	for _, d := range [...]struct {
		need units.Mass
		have span
	}{{manual.Hitch, hitch}, {manual.RearWheels, wheels}} {
		if d.need > 0 {
			t.limit(LimitManualBallast, roots(just(float64(d.need)).minus(d.have), span{}, 1e-9*float64(d.need)))
		}
	}
}

// hitch adds the limit of the rear hitch.
func (v *spread) hitch(t *tally) {
	e := v.e
	var load span
	any := false
	for i := range e.pieces {
		p := &e.pieces[i]
		if !p.kind.OnHitch() || p.mass.hi == 0 {
			continue
		}
		any = true
		ratio := e.in[inHitchX].minus(p.x).times(1 / float64(hitchRatingDistance))
		load = load.plus(p.mass.by(span{max(1, ratio.lo), max(1, ratio.hi)}))
	}
	if !any {
		t.limit(LimitHitch, allowed{math.Inf(1), math.Inf(1)})
		return
	}
	t.rated(LimitHitch, load, span{}, e.in[inHitchRating], 0)
}

// loader adds the limits of attachment, coupler and break-out force; of the load
// the part carried counts.
func (v *spread) loader(t *tally, carried, m float64) {
	e := v.e
	kind := e.low.attachment.Kind
	none := allowed{math.Inf(1), math.Inf(1)}
	t.rated(LimitCoupler, e.in[inAttachMass], just(carried), e.in[inCoupler], m)
	if v.q.lift.Kind == BreakOut {
		t.rated(LimitBreakOut, span{}, just(v.q.k.g*carried), e.in[inBreakOut], m)
		t.limit(LimitAttachment, none)
		return
	}
	t.limit(LimitBreakOut, none)
	if kind == BarePin {
		t.limit(LimitAttachment, none)
		return
	}
	t.rated(LimitAttachment, span{}, v.ratio.times(carried), e.in[inAttachRating], m)
}

// ratedDrift is by how much, at most, the lift of a loader changes outside its
// rated heights: by the factor e^(0.3 d) either way at d meters from the nearest
// of them. Over 3000 random arms of usual shape the lift 0.45 m away was 0.87 to
// 1.13 of that at the rated height, and 0.46 to 2.2 from full height to the
// ground; the library's own calculation, no source.
const ratedDrift = 0.3

// inverseAt returns one over the rated lift at the pin and its growth per meter
// ahead of it, over pin heights.
func (e *Envelope) inverseAt(z span) (inverse, slope span) {
	rated, other := e.low.loader.rated, e.high.loader.rated
	first := true
	at := func(i int, t, grow float64) {
		pick := func(low, high func(*ratedLift) float64) span {
			var s span
			for n, r := range [][]ratedLift{rated, other} {
				v := low(&r[i])
				if t != 0 {
					v = float64((1-t)*v) + float64(t*high(&r[i+1]))
				}
				if n == 0 {
					s = just(v)
				} else {
					s = s.join(just(v))
				}
			}
			return span{s.lo / grow, s.hi * grow}
		}
		a := pick(func(r *ratedLift) float64 { return r.inverse }, func(r *ratedLift) float64 { return r.inverse })
		b := pick(func(r *ratedLift) float64 { return r.slope }, func(r *ratedLift) float64 { return r.slope })
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

// moments returns the moment about the arm's pivot that the lift must hold with
// the arm at these angles, less what it can hold, and what a kilogram of the load
// adds to it.
func (v *spread) moments(a span) (own, load span) {
	e, k := v.e, v.e.low.loader
	in := &e.in
	s := v.q.lift.situation()
	sinB, cosB := math.Sincos(float64(s.Slope))
	gx := -e.low.g*sinB*math.Cos(float64(s.Heading)) - float64(s.Acceleration)
	gz := -e.low.g * cosB
	turn := cosines(-gz, gx, a)
	armTurn, ahead := turn, v.ahead
	lever := just(1).minus(in[inSelfLeveling])
	var holds span
	if k.cyl {
		holds = in[inPush].by(k.leverage(a))
	} else {
		z := in[inPivotZ].plus(in[inArm].by(cosines(0, 1, a)))
		inverse, slope := e.inverseAt(z)
		x := in[inArm].by(cosines(1, 0, a))
		if k.hasReach {
			lever = x.by(slope).over(inverse)
			lever = span{max(0, lever.lo), max(0, lever.hi)}
		}
		holds = x.over(inverse)
		// The rating has the arms' own weight taken off, on level ground.
		armTurn = cosines(-gz-float64(units.StandardGravity), gx, a)
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
	e, k := v.e, v.e.low.loader
	top := e.angle(v.pin)
	if !k.cyl && len(k.rated) == 0 {
		t.lacks(LimitHydraulic, v.liftAtPin(top, m))
		return
	}
	at := func(a span) allowed {
		own, load := v.moments(a)
		return roots(own, load, 1e-9*math.Abs(own.lo))
	}
	out := at(top)
	low := e.angle(e.in[inLowestPin])
	if v.q.lift.Kind == StackHigh {
		add := func(a allowed) { out.low, out.high = min(out.low, a.low), min(out.high, a.high) }
		if low.fixed() && top.fixed() && e.in[inPivotZ].fixed() && e.in[inArm].fixed() {
			v.walk(low.lo, top.lo, func(a float64) allowed { return at(just(a)) }, add)
		} else {
			for i := math.Floor(low.lo / angleGrid); i*angleGrid < top.hi; i++ {
				a := span{max(low.lo, i*angleGrid), min(top.hi, (i+1)*angleGrid)}
				out.low = min(out.low, at(a).low)
				if g := i * angleGrid; g >= low.hi && g <= top.lo {
					out.high = min(out.high, at(just(g)).high)
				}
			}
		}
	}
	t.limit(LimitHydraulic, out)
}

// walk adds what is allowed along a way from low to top: at its ends, at rated
// points, and where either end of the answer is least between steps.
func (v *spread) walk(low, top float64, at func(float64) allowed, add func(allowed)) {
	step := (top - low) / pathSteps
	if !(step > 0) {
		return
	}
	for _, r := range v.e.low.loader.rated {
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
	if !v.e.pointed() {
		refine(func(a allowed) float64 { return a.high })
	}
}

// pointed reports whether every quantity of the lift is known.
func (e *Envelope) pointed() bool {
	for _, i := range [...]input{inArmMass, inArmCG, inAttachMass, inAttachAhead, inPush, inFace, inLoadCenter} {
		if !e.in[i].fixed() {
			return false
		}
	}
	return e.low == e.high
}

// liftAtPin returns what the loader would have to lift at the pin, without
// attachment, to lift a load with the arm at these angles.
func (v *spread) liftAtPin(a span, m float64) float64 {
	in := &v.e.in
	lever := just(1).minus(in[inSelfLeveling])
	x := in[inArm].by(cosines(1, 0, a))
	one := func(ahead span) float64 {
		return 1 + max(0, lever.by(ahead).over(span{max(1e-3, x.lo), max(1e-3, x.hi)}).hi)
	}
	return in[inAttachMass].hi*one(in[inAttachAhead]) + m*one(v.ahead)
}
