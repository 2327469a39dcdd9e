package ballast

import (
	"example.com/steelyard/internal/valid"
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
	list  []condition
	stand standing

	// What Check needs, and nothing else.
	shares [NumLimits]Share
	active []active
	lines  []line
	ratios []condition

	rows  wheelRows // on a way, at its end
	total float64   // kg without load
	place Place
	force bool  // the load is a force, in a break-out
	lacks Notes // what is not known and a vehicle on a slope needs
	end   pose
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

// maxConditions is room for the conditions of one pose.
const maxConditions = 48

// loaded returns the strictest conditions with the load, on a way over its
// whole length, and what the answer rests on. The bare tipping loads are the
// least over the way, +Inf where no load tips the machine.
func (q *loadCase) loaded(list []condition, top float64) (out []condition, axle, wheel float64, notes Notes) {
	var room [maxConditions]condition
	var angles [maxStations]float64
	axle, wheel = math.Inf(1), math.Inf(1)
	for _, a := range q.stationsIn(angles[:0], top) {
		p := q.pose(a)
		r := q.wheelRows(&p)
		list = strictest(list, q.wheels(room[:0], &r))
		n, m := q.tipping(&r)
		axle, wheel = min(axle, n), min(wheel, m)
	}
	end := q.pose(top)
	rest, notes := q.apartFromWheels(room[:0], top, q.mass(&end))
	return strictest(list, rest), axle, wheel, notes
}

// apartFromWheels appends the conditions with the load that do not rest on the
// wheel loads; mass is that of the machine without load.
func (q *loadCase) apartFromWheels(out []condition, top, mass float64) ([]condition, Notes) {
	out, notes := q.hydraulicWay(out, top)
	out, reduced := q.loader(out)
	out = q.k.manualBallast(q.k.masses(out, mass, q.loadMass()))
	if q.k.absent != 0 {
		for k := LimitKind(1); int(k) <= NumLimits; k++ {
			if q.k.absent.Has(setOf(k)) {
				out = append(out, impossible(k))
			}
		}
	}
	return out, notes | reduced
}

// loadMass is how much of the load is mass: none in a break-out, where it is a
// force.
func (q *loadCase) loadMass() float64 {
	if q.lift.Kind == BreakOut {
		return 0
	}
	return 1
}

// lowered appends the conditions with the arms down.
func (q *loadCase) lowered(out []condition) []condition {
	a := q.k.loader.angle(q.k.loader.low)
	p := q.pose(a)
	r := q.wheelRows(&p)
	return q.k.manualBallast(q.k.masses(q.wheels(out, &r), q.mass(&p), 0))
}

// loaderOff appends the conditions with the loader off; without its mass only
// that of the hitch, and on a slope without its height no wheel's.
func (q *loadCase) loaderOff(out []condition) []condition {
	k := q.k
	if !k.offOK {
		return k.hitch(out)
	}
	if q.offLacks() == 0 {
		r := q.wheelRows(&pose{fixed: k.off})
		out = q.wheels(out, &r)
	}
	return k.masses(out, k.off.m+k.axle.m, 0)
}

// offLacks returns what is not known and the wheel rows need with the loader
// off.
func (q *loadCase) offLacks() Notes {
	if q.lift.level() {
		return 0
	}
	return q.k.offLacks
}

// Case compiles a load case. A case that the setup cannot answer, such as a
// height out of the arm's reach, is an error that names the field of the
// lift, or of the setup, that is missing.
func (k *Model) Case(lift Lift) (*Case, error) {
	q, top, err := k.loadCase(&lift)
	if err != nil {
		return nil, err
	}
	c := &Case{list: make([]condition, 0, 32), lines: make([]line, 0, 32), active: make([]active, 0, NumLimits)}
	c.compile(&q, top)
	return c, nil
}

// compile answers a lift in the place of another case, whose room it takes.
func (c *Case) compile(q *loadCase, top float64) {
	k := q.k
	list, axle, wheel, notes := q.loaded(c.list[:0], top)
	q.notes |= notes
	*c = Case{model: k, list: list, lines: c.lines, active: c.active, ratios: c.ratios,
		force: q.lift.Kind == BreakOut, lacks: q.slopeLacks(), end: q.pose(top)}
	c.rows, c.total = q.wheelRows(&c.end), q.mass(&c.end)
	x, z := k.loader.pin(top)
	c.place = Place{Arm: units.Angle(top), Pin: stability.Point{X: units.Length(x), Z: units.Length(z)},
		Load: stability.Point{X: units.Length(c.end.load.x), Y: units.Length(c.end.load.y), Z: units.Length(c.end.load.z)}}
	c.stand = stand(list)
	u := &c.use
	u.Factor, u.Limits = q.factor, c.stand.limits()
	withheld := k.withheld()
	u.Capacity = ofAll.capacity(&u.Limits, withheld)
	u.Lift = ofLift.capacity(&u.Limits, withheld)
	u.Carry = ofCarry.capacity(&u.Limits, withheld)
	if q.rows {
		u.Tipping, u.WheelLift = bareLoad(axle), bareLoad(wheel)
	}
	c.recheck(q)
	c.remark(q)
	c.prepare()
}

// bareLoad returns a bare tipping load as a mass, zero where there is none.
func bareLoad(m float64) units.Mass {
	if m > 0 && !math.IsInf(m, 1) {
		return units.Mass(m)
	}
	return 0
}

// UsableLoad returns the greatest load of a case, the limit it comes from and
// the status, as figures without a Case: what [Case.UsableLoad] returns after
// [Model.Case], bit for bit, in less than half the time and without the rest
// of the answer. It is for sweeps in which every variant is another case.
// They carry no notes and no cautions: show those of [Case.Use] with them.
func (k *Model) UsableLoad(lift Lift) (units.Mass, LimitKind, Status, error) {
	q, top, err := k.loadCase(&lift)
	if err != nil {
		return 0, NoLimit, stability.NotChecked, err
	}
	var room [maxConditions]condition
	var angles [maxStations]float64
	var s standing
	w := poses{angles: q.stationsIn(angles[:0], top)}
	w.stand(&s, &q, top, room[:0])
	u := s.most(k.withheld())
	return u.Mass, u.Governing, u.Status, nil
}

// recheck fills in the same limits without load.
func (c *Case) recheck(q *loadCase) {
	var room [2 * maxConditions]condition
	c.use.Rechecks[StateEmpty-1] = c.stand.recheck(StateEmpty)

	// With the arms down nothing is lifted.
	low, _ := q.loader(append(q.lowered(room[:0]), impossible(LimitHydraulic)))
	s := stand(low)
	c.use.Rechecks[StateLowered-1] = s.recheck(StateLowered)

	off := q.loaderOff(room[:0])
	for _, limit := range loaderLimits {
		off = append(off, impossible(limit))
	}
	off = append(off, impossible(LimitManualBallast))
	s = stand(off)
	c.use.Rechecks[StateLoaderOff-1] = s.recheck(StateLoaderOff)
}

// loaderLimits are the limits of the loader itself, which no ballast changes.
var loaderLimits = [...]LimitKind{LimitHydraulic, LimitBreakOut, LimitCoupler, LimitAttachment}

// remark sets the notes and cautions of the answer.
func (c *Case) remark(q *loadCase) {
	u := &c.use
	u.FillNotes = q.k.fillNotes
	u.Notes, u.Cautions = q.remarks()
	for _, l := range u.Limits {
		if l.Status == stability.NotChecked || l.Status == stability.AtMost {
			u.Cautions |= CautionUnchecked
		}
	}
	for _, r := range u.Rechecks {
		if r.Status == stability.Exceeded {
			u.Cautions |= CautionBallast
		}
	}
}

// remarks returns the notes and cautions of an answer that do not depend on it.
func (q *loadCase) remarks() (Notes, Cautions) {
	notes := q.notes
	if q.lift.Factor == 0 {
		notes |= NoteDefaultFactor
	}
	switch {
	case q.lift.Kind.way():
		notes |= NotePath
	case q.lift.Kind == Hold:
		notes |= NoteOneHeight
	}
	if q.lift.Slope > 0 && q.lift.Heading == 0 {
		notes |= NoteNoseUphill
	}
	if q.lift.Kind != BreakOut && q.lift.Height == 0 {
		notes |= NoteHeightZero
	}
	if !q.k.offOK {
		notes |= NoteArmMassUnknown
	}
	notes |= q.offLacks()
	cautions := CautionManual | CautionNoTippingTest | CautionROPS | CautionCarryLow | CautionWithoutBallast
	if q.lift.Slope == 0 {
		cautions |= CautionLevelGround
	} else {
		cautions |= CautionSlope | CautionStatedSlope
	}
	if q.lift.Braking == 0 {
		cautions |= CautionStandstill
	} else {
		cautions |= CautionStatedBraking
	}
	if q.k.hitchAny {
		cautions |= CautionRaisedOnly
	}
	if notes.Has(NoteArmMassUnknown) {
		cautions |= CautionUnchecked // where the arms are, if not in the lift
	}
	return notes, cautions
}

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
	return c.rows.wheelLoads(load, c.total, c.force)
}

// wheelLoads returns the wheel loads with a load; total is the mass without it.
func (r *wheelRows) wheelLoads(load units.Mass, total float64, force bool) WheelLoads {
	if !(load >= 0 && load <= maxMass) {
		return WheelLoads{}
	}
	m := float64(load)
	row := func(i stability.Row) units.Mass { return units.Mass(r.empty[i] + float64(r.load[i]*m)) }
	if !force {
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
	out.Library, out.Notes, out.Cautions = units.Version, c.use.Notes, c.use.Cautions
	if !(m >= 0 && m <= float64(maxMass)) {
		out.Status = stability.Exceeded
		return out
	}
	out.Mass = load
	out.Limits = c.shares
	worst, least := math.Inf(-1), math.Inf(1)
	most, nearest := NoLimit, NoLimit
	var exceeded, binds [2]bool // of lift, of carry
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
			worst, most = used, a.kind
		}
		if a.fixed {
			continue
		}
		left := a.mass - m
		l.Left = units.Mass(left)
		if left < least {
			least, nearest = left, a.kind
		}
		switch {
		case left < -a.slack:
			l.Status = stability.Exceeded
			exceeded[a.question] = true
		case a.bound:
			l.Status = stability.AtMost
		case left > a.slack:
			l.Status = stability.Within
		default:
			l.Status = stability.Binds
			binds[a.question] = true
		}
	}
	out.Axles = c.WheelLoads(load)
	if most != NoLimit {
		out.MostUsed = out.Limits[most-1]
	}
	out.Lift = c.use.Lift.with(exceeded[0], binds[0])
	out.Carry = c.use.Carry.with(exceeded[1], binds[1])
	out.Status = c.use.Capacity.with(exceeded[0] || exceeded[1], binds[0] || binds[1])
	if out.Status == stability.ExceededWhenEmpty || out.Status == stability.NotChecked {
		return out
	}
	if nearest != NoLimit {
		out.Nearest = out.Limits[nearest-1]
	}
	return out
}

// with returns the status of a load under limits of this capacity, of which one
// may be exceeded or bind.
func (c *Capacity) with(exceeded, binds bool) Status {
	switch {
	case c.Status == stability.ExceededWhenEmpty:
		return c.Status
	case exceeded:
		return stability.Exceeded
	case c.Status == stability.NotChecked:
		return c.Status
	case binds:
		return stability.Binds
	}
	return stability.Within
}

// active is one limit that a load moves, prepared for [Case.Check].
type active struct {
	kind LimitKind
	// question is 0 for a limit of the lift, 1 for one of what may be carried.
	question uint8
	fixed    bool    // the status does not depend on the load
	bound    bool    // an upper bound only
	mass     float64 // the load it allows
	slack    float64 // within which it binds
	floor    float64 // used at least: 0, or what is used when empty if that is broken
	// What is used, straight lines over the load and the rest.
	lines  []line
	ratios []condition
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
	c.lines, c.active, c.ratios = c.lines[:0], c.active[:0], c.ratios[:0]
	for i := range c.use.Limits {
		l := &c.use.Limits[i]
		c.shares[i] = Share{Kind: l.Kind, Status: l.Status}
		if l.Status == stability.NotChecked {
			continue
		}
		a := active{kind: l.Kind, mass: c.stand.allows[i], slack: bindTolerance * c.stand.allows[i]}
		if !l.Kind.OfLift() {
			a.question = 1
		}
		a.fixed = l.Status == stability.ExceededWhenEmpty || l.Status == stability.CannotOccur
		a.bound = l.Status == stability.AtMost
		if l.Status == stability.ExceededWhenEmpty {
			a.floor = c.stand.empty[i]
		}
		first, ratio := len(c.lines), len(c.ratios)
		idle := true
		for _, f := range c.list {
			if f.limit != l.Kind {
				continue
			}
			if f.a0 != 0 || f.a1 != 0 || f.b0 <= 0 {
				idle = false
			}
			if f.b1 == 0 && f.b0 > 0 {
				c.addLine(first, line{f.a0 / f.b0, f.a1 / f.b0})
			} else {
				c.ratios = append(c.ratios, f)
			}
		}
		a.lines = c.lines[first:len(c.lines):len(c.lines)]
		a.ratios = c.ratios[ratio:len(c.ratios):len(c.ratios)]
		if !idle {
			c.active = append(c.active, a)
		}
	}
}

// Vehicle returns the machine of the case with a load, as package stability
// takes it; on a way, at its end. It is an error where a height is not known
// that a slope answer needs, and in a break-out, where the load is no mass.
func (c *Case) Vehicle(load units.Mass) (stability.Vehicle, error) {
	v, err := c.model.vehicle(&c.end, load, c.force, c.lacks)
	if err != nil {
		return stability.Vehicle{}, err
	}
	return v, v.Validate()
}

// vehicle returns the machine at a pose with a load, which is not validated.
func (k *Model) vehicle(end *pose, load units.Mass, force bool, lacks Notes) (stability.Vehicle, error) {
	var e units.FieldErrors
	if force {
		e.Add("lift.kind", BreakOut, "must be another: the load of a break-out is no mass")
	}
	if lacks != 0 {
		for _, line := range lacks.Lines() {
			e.Add("", nil, line)
		}
	}
	valid.Within(&e, "load", load, 0, maxMass)
	if err := e.Err(); err != nil {
		return stability.Vehicle{}, err
	}
	body := end.fixed.plus(end.arms)
	body = body.plus(massAt(float64(load), end.load.x, end.load.y, end.load.z))
	u := k.under
	if a := k.axle; a.m > 0 {
		u.Axle = a.body().Part()
	}
	return stability.Vehicle{Body: body.body(), Undercarriage: u, Gravity: units.Acceleration(k.g)}, nil
}

func (s *sums) body() stability.Body {
	n := func(v float64) units.Length { return units.Length(v / s.m) }
	return stability.Body{Mass: units.Mass(s.m), CG: stability.Point{X: n(s.x), Y: n(s.y), Z: n(s.z)},
		PitchRise: max(0, n(s.pitch)), RollRise: max(0, n(s.roll))}
}
