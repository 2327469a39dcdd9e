package stability

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Vehicle is a body on an undercarriage.
type Vehicle struct {
	// Body is all that rolls with the chassis: tractor, loader, load, rear
	// wheels. It does not contain the undercarriage's Axle.
	Body Body `json:"body"`
	// Undercarriage is what it stands on.
	Undercarriage Undercarriage `json:"undercarriage"`
	// Gravity is 0.1 to 100 m/s2; zero means units.StandardGravity.
	Gravity units.Acceleration `json:"gravity,omitempty"`
}

// Validate reports every field of the vehicle that is out of range, by its
// JSON name. A center of gravity outside the wheels is not an error: such a
// machine is already tipped, and the limits say so.
func (v Vehicle) Validate() error {
	var e units.FieldErrors
	e.Join("body", v.Body.Validate())
	if v.Body.CG.Z <= 0 {
		e.Add("body.cg.z", v.Body.CG.Z, "must be above the ground")
	}
	e.Join("undercarriage", v.Undercarriage.Validate())
	valid.Gravity(&e, "gravity", v.Gravity)
	return e.Err()
}

// A Model is a vehicle prepared for questions. It is immutable, and safe for
// many goroutines. Make one with [Vehicle.Compile].
type Model struct {
	v     Vehicle
	g     float64
	whole totals
	resp  response
	edges edges
	rays  rays
	alone float64 // the least grade at which a zone may lose a wheel
	notes Notes
	// Of an articulated machine whose bend is not known, it at every bend, and
	// the bend with the least limit and that limit. Its own fields are those of
	// no bend.
	bends     []Model
	worstBend units.Angle
	worst     Tip
}

// Compile checks the vehicle and prepares it. Bad input is an error that
// names every bad field.
func (v Vehicle) Compile() (*Model, error) {
	m := new(Model)
	if err := m.compile(&v); err != nil {
		return nil, err
	}
	return m, nil
}

func (m *Model) compile(v *Vehicle) error {
	if err := v.Validate(); err != nil {
		return err
	}
	r, err := v.Undercarriage.response(split{})
	if err != nil {
		return err
	}
	m.v, m.g, m.resp = *v, gravity(v.Gravity), r
	m.whole = v.totals()
	m.edges = m.whole.edges(&r)
	m.rays = m.edges.rays(v.Undercarriage.Kind, split{})
	m.alone = m.rays.leastAlone()
	m.notes = v.notes()
	if v.Undercarriage.bendUnknown() {
		return m.compileBends()
	}
	return nil
}

func (v *Vehicle) notes() Notes {
	n := NoteFirmGround | NoteQuasiStatic
	u := &v.Undercarriage
	if u.RearTireStiffness == 0 {
		n |= NoteRigidTires
	}
	if u.pinned() {
		n |= NotePinFree | NoteLiftingWheelFree | NoteFrontRollsFree | NoteEqualRearSplit
		if u.StopAngle == 0 {
			n |= NoteStopUnknown
		}
		if u.PinHeight == 0 {
			n |= NotePinHeightUnknown
		}
		if u.Axle.Mass == 0 {
			n |= NoteAxleMassless
		}
	}
	if u.Kind == Rigid {
		n |= NoteEqualTires
	}
	if v.Body.PitchRise != 0 || v.Body.RollRise != 0 || u.Axle.PitchRise != 0 || u.Axle.RollRise != 0 {
		n |= NoteSurfaceFirstOrder
	}
	return n
}

// Vehicle returns what the model was compiled from.
func (m *Model) Vehicle() Vehicle { return m.v }

// Notes returns what every answer of the model assumes.
func (m *Model) Notes() Notes { return m.notes }

// totals are the sums over all masses that outside loads are made of.
type totals struct {
	m, x, y, z    float64 // mass, mass times coordinate
	pitch, roll   float64 // mass times free-surface rise
	joint         bool    // a part rolls about its own axis
	am, ay, az    float64 // of what pivots: mass, mass times coordinate,
	aroll, height float64 // mass times roll rise, height of the roll axis
}

func (v *Vehicle) totals() (t totals) {
	t.add(v.Body.Part())
	a := v.Undercarriage.Axle
	if a.Mass == 0 {
		return t
	}
	u := &v.Undercarriage
	if u.bent() {
		j := float64(u.JointX)
		sin, cos := math.Sincos(float64(u.JointAngle))
		x, y := float64(a.CG.X)-j, float64(a.CG.Y)
		a.CG.X = units.Length(j + float64(x*cos) - float64(y*sin))
		a.CG.Y = units.Length(float64(x*sin) + float64(y*cos))
	}
	t.add(a)
	if u.pinned() {
		m := float64(a.Mass)
		t.joint = true
		t.height = float64(u.PinHeight)
		t.am, t.ay, t.az, t.aroll = m, m*float64(a.CG.Y), m*float64(a.CG.Z), m*float64(a.RollRise)
	}
	return t
}

func (t *totals) add(p Part) {
	m := float64(p.Mass)
	t.m += m
	t.x += float64(m * float64(p.CG.X))
	t.y += float64(m * float64(p.CG.Y))
	t.z += float64(m * float64(p.CG.Z))
	t.pitch += float64(m * float64(p.PitchRise))
	t.roll += float64(m * float64(p.RollRise))
}

// wrench returns the outside load of all masses under a specific weight.
func (t *totals) wrench(w [3]float64) [7]float64 {
	o := t.linear(w)
	o[5] += float64((t.pitch - t.roll) * surfaceYaw(w))
	return o
}

// linear is wrench without the yaw of free surfaces, the one part that is not
// linear in the specific weight.
func (t *totals) linear(w [3]float64) [7]float64 {
	x, y, z := w[0], w[1], w[2]
	o := [7]float64{
		t.m * x, t.m * y, t.m * z,
		float64(t.y*z) - float64((t.z+t.roll)*y),
		float64((t.z+t.pitch)*x) - float64(t.x*z),
		float64(t.x*y) - float64(t.y*x),
	}
	if t.joint {
		o[6] = float64(t.ay*z) - float64((t.az+t.aroll-t.height*t.am)*y)
	}
	return o
}

// An edge is a row at rest as a function of the slope, b, and the heading, h:
// row / (g cos b) = a - tan b (s sin h + c cos h) - q tan^2 b sin h cos h.
type edge struct{ a, s, c, q float64 }

// edges are the rows of a response at rest.
type edges [numResponses]edge

func (t *totals) edges(r *response) (e edges) {
	for i := range e {
		e[i] = t.edge(&r[i])
	}
	return e
}

// row returns the place of the row whose zero is a limit: that of the load, or,
// for a wheel of a pivoting axle, of its load without a longitudinal force.
func (k UndercarriageKind) row(i LimitKind) int {
	switch {
	case (k == PivotingFront || k == Articulated) && (i == FrontLeftWheel || i == FrontRightWheel):
		return rowPivotLeft + int(i-FrontLeftWheel)
	case k == PivotingRear && (i == RearLeftWheel || i == RearRightWheel):
		return rowPivotLeft + int(i-RearLeftWheel)
	}
	return int(i)
}

// A zone is the slopes on which a wheel of the body's own axle still stands
// but would carry too little for the share of the longitudinal force that was
// asked of it. The wheels of that axle then share by their loads (see
// [Model.Loads]), and the loads of the pivoting axle's wheels follow. With s0
// the share asked for, the share is s = lift/(axle - (load - lift)/s0) and a
// pivoting wheel's load alone + (pivot - alone) s/s0; that is zero where alone
// (s0 axle - load) + pivot lift is.
type zone struct {
	load, lift, axle int       // rows of the body's own axle and its wheel
	asked            float64   // the share asked for
	alone            int       // row of the left pivoting wheel without that share
	kind             LimitKind // of the left pivoting wheel; that of the right one is next
}

// zones returns the zones on either side, if the kind has them: only where the
// body's own wheels take a part of the longitudinal force.
func (k UndercarriageKind) zones(s split) (z [2]zone, n int) {
	force, bias, front := 1-s.front, s.rearBias, false
	switch k {
	case PivotingFront, Articulated:
	case PivotingRear:
		force, bias, front = s.front, s.frontBias, true
	default:
		return z, 0
	}
	if !(force > 0) {
		return z, 0
	}
	for side, sign := range [2]float64{1, -1} {
		z[side] = zone{
			load: int(RowRearLeft) + side, lift: int(RowLiftLeft) + side, axle: int(RowRearAxle),
			asked: (1 + sign*bias) / 2, alone: rowAlone + 2*side, kind: FrontLeftWheel,
		}
		if front {
			z[side].kind, z[side].load, z[side].axle = RearLeftWheel, int(RowFrontLeft)+side, int(RowFrontAxle)
		}
	}
	return z, 2
}

// A course is the rows of a machine as something grows from zero: the tangent
// of the slope, an acceleration, a pull.
type course struct {
	row  func(i int, x float64) float64         // what the row is, in any scale
	end  func(i int) (x float64, status Status) // where it reaches zero
	most float64                                // beyond what anybody asks for
}

// first returns the least x within the zone, from where it begins to where the
// wheel lifts, at which the load of a pivoting wheel, 0 the left and 1 the
// right one, ends.
func (z *zone) first(wheel int, c *course, from, to float64) (float64, bool) {
	left := func(x float64) float64 {
		return c.row(z.alone+wheel, x)*(z.asked*c.row(z.axle, x)-c.row(z.load, x)) + c.row(rowPivotLeft+wheel, x)*c.row(z.lift, x)
	}
	if left(from) <= 0 {
		return from, true
	}
	return turns(left, from, to)
}

// turns returns where f, positive at from, turns negative up to to, looked for
// in steps that double.
func turns(f func(float64) float64, from, to float64) (float64, bool) {
	low := from
	for part := 1.0 / (1 << 16); part <= 1; part *= 2 {
		high := from + part*(to-from)
		if f(high) <= 0 {
			at, err := numeric.Root(f, low, high, 1e-13)
			return at, err == nil
		}
		low = high
	}
	return 0, false
}

// correct sets the limits of pivoting wheels that are lost within a zone before
// every other limit, or that would be the first without it. Of two zones the
// one that begins first counts.
func correct(zones []zone, l *[NumEdges]Limit, c *course) {
	was := *l
	first := rank(was[:])
	var z *zone
	var from, to float64
	for i := range zones {
		begin, s := c.end(zones[i].load)
		lift := &l[zones[i].lift]
		if s == CannotOccur || lift.Status == Exceeded || lift.Status == Within && lift.Grade <= begin || z != nil && from <= begin {
			continue // it lifts before its zone begins
		}
		z, from, to = &zones[i], begin, c.most
		if lift.Status == Within {
			to = lift.Grade
		}
	}
	if z == nil || from >= to {
		return
	}
	// A machine that stands in a zone may come out of it.
	out := math.Inf(1)
	if from == 0 && c.row(z.load, 0) < 0 {
		if x, ok := turns(func(x float64) float64 { return -c.row(z.load, x) }, from, to); ok {
			out = x
		}
	}
	for wheel := range 2 {
		one := &l[z.kind+LimitKind(wheel)]
		if from > 0 && one.Status == Exceeded || one.Status == Within && one.Grade <= from {
			continue // lost before
		}
		now := Limit{Kind: one.Kind, Status: CannotOccur}
		if x, ok := z.first(wheel, c, from, min(to, out)); ok {
			now.Grade, now.Status = x, Within
			if x == 0 {
				now.Status = Exceeded
			}
		} else if out < to {
			if one.Status != CannotOccur {
				now.Grade, now.Status = max(one.Grade, out), Within
			}
		} else if x, s := c.end(z.alone + wheel); s == Within && l[z.lift].Status == Within {
			now.Grade, now.Status = max(x, to), Within
		}
		if first.Kind == z.kind || first.Kind == z.kind+1 || now.Status == Exceeded || now.Status == Within && !(now.Grade >= first.Grade && first.Status != CannotOccur) {
			*one = now
		}
	}
}

// A ray is an edge over its own a: 1/tan b = s sin h + c cos h, or with q the
// larger root u of u^2 - (s sin h + c cos h) u - q sin h cos h = 0. The first
// of several limits is then the largest u, found without a division.
type ray struct {
	s, c, q float64
	kind    LimitKind
}

// rays are the edges that count, as rays, and the zones beside them.
type rays struct {
	list   [NumEdges]ray
	n      int
	zone   [2]zone
	starts [2]ray    // where the zones begin
	alone  [2][2]ray // of the pivoting wheels, the body's own one without a share
	zones  int
	edges  edges
	blank  [NumEdges]Limit // Exceeded where level ground is too much already, else CannotOccur
	tipped bool
}

func (e *edge) ray(kind LimitKind) ray {
	return ray{s: e.s / e.a, c: e.c / e.a, q: e.q / e.a, kind: kind}
}

func (e *edges) rays(kind UndercarriageKind, by split) (o rays) {
	checked := kind.edges()
	o.edges = *e
	for i := range LimitKind(NumEdges) {
		o.blank[i] = Limit{Kind: i, Status: CannotOccur}
		if checked>>i&1 == 0 {
			continue
		}
		if at := &e[kind.row(i)]; at.a > 0 {
			o.list[o.n] = at.ray(i)
			o.n++
		} else {
			o.blank[i].Status, o.tipped = Exceeded, true
		}
	}
	zones, n := kind.zones(by)
	for _, z := range zones[:n] {
		if e[z.load].a > 0 && e[z.lift].a > 0 && e[z.axle].a > 0 {
			o.zone[o.zones], o.starts[o.zones] = z, e[z.load].ray(NoLimit)
			for wheel := range 2 {
				o.alone[o.zones][wheel] = e[z.alone+wheel].ray(z.kind + LimitKind(wheel))
			}
			o.zones++
		}
	}
	return o
}

// leastAlone returns the least grade, over all headings, at which a pivoting wheel is
// lost while a wheel of the body's own axle has no share; no zone loses one at
// less than that and than with the share asked for.
func (o *rays) leastAlone() float64 {
	least := math.Inf(1)
	for i := range o.zone[:o.zones] {
		for wheel := range 2 {
			switch t, _, _, s := o.edges[o.zone[i].alone+wheel].worst(); s {
			case Exceeded:
				return 0
			case Within:
				least = min(least, t)
			}
		}
	}
	return least
}

// cotangent returns 1 over the tangent of the least slope at which the edge
// is reached; what is not above tiny cannot be reached.
func (r *ray) cotangent(sin, cos float64) float64 {
	u := float64(r.s*sin) + float64(r.c*cos)
	if r.q != 0 {
		if d := u*u + 4*r.q*sin*cos; d >= 0 {
			if v := (u + math.Sqrt(d)) / 2; v > tiny {
				return v
			}
		}
	}
	return u
}

func (t *totals) edge(k *[7]float64) (e edge) {
	e.a = -float64(k[2]*t.m) - float64(k[3]*t.y) + float64(k[4]*t.x)
	e.s = float64(k[1]*t.m) - float64(k[3]*(t.z+t.roll)) + float64(k[5]*t.x)
	e.c = float64(k[0]*t.m) + float64(k[4]*(t.z+t.pitch)) - float64(k[5]*t.y)
	e.q = -float64(k[5] * (t.pitch - t.roll))
	if t.joint {
		e.a -= float64(k[6] * t.ay)
		e.s -= float64(k[6] * (t.az + t.aroll - t.height*t.am))
	}
	return e
}

// Loads is the load of the ground on every wheel. A negative load cannot be:
// it says that the balance needs the ground to pull, so that the machine has
// lost that wheel.
type Loads struct {
	// Rows are the loads by Row.
	Rows [NumRows]units.Force `json:"rows"`
	// Status is Within if no wheel is lost, else Exceeded.
	Status Status `json:"status"`
}

// Of returns one row. A row of no name panics.
func (l *Loads) Of(r Row) units.Force { return l.Rows[r] }

// A Case is a situation prepared for many vehicles by [Situation.Compile]. It
// is immutable; the zero Case answers nothing.
type Case struct {
	s        Situation
	sin, cos float64 // of the heading
	g        float64
	w        [3]float64
	still    bool // nothing but weight acts
	plain    bool // the compiled response holds
	// At rest: g cos b, tan b sin h, tan b cos h and their product.
	scale, across, along, both float64
}

// Compile checks the situation and prepares it under gravity g, 0.1 to
// 100 m/s2, 0 for [units.StandardGravity].
func (s Situation) Compile(g units.Acceleration) (Case, error) {
	var e units.FieldErrors
	e.Join("", s.Validate())
	valid.Gravity(&e, "gravity", g)
	if err := e.Err(); err != nil {
		return Case{}, err
	}
	return s.compile(gravity(g)), nil
}

func (s *Situation) compile(g float64) (c Case) {
	c.s, c.g = *s, g
	c.w = s.specificWeight(g)
	c.sin, c.cos = headingSincos(s.Heading)
	c.still = s.Acceleration == 0 && s.LateralAcceleration == 0 && s.Drawbar.Pull == 0
	c.plain = s.FrontShare == 0 && s.RearBias == 0
	tan := math.Tan(float64(s.Slope))
	c.scale = g * math.Cos(float64(s.Slope))
	c.across, c.along = tan*c.sin, tan*c.cos
	c.both = c.across * c.along
	return c
}

// Loads returns the load on every wheel in a situation. The forces and
// moments balance exactly. The situation's gravity is the vehicle's.
//
// The wheels of an axle share its longitudinal force equally, or, at the rear,
// by the situation's RearBias. Only where that would give a wheel about to lift
// a load of the wrong sign do they share by their loads, or, once it has
// lifted, does the other one take all of it. The limits of [Model.Tip] go by
// the same rule. It is kept at one axle after the other and not at both at
// once: with a pivoting rear axle or a bent joint, and where both axles hold or
// RearBias is not zero, the row of a wheel may be below zero while
// [RowLiftLeft], [RowLiftRight] and the Status say that it stands. Read the
// rows, not the Status alone. Of an articulated machine whose bend is not
// known, the loads are those of the bend in which a wheel or axle carries
// least.
func (m *Model) Loads(s Situation) (Loads, error) {
	if err := s.Validate(); err != nil {
		return Loads{}, err
	}
	c := s.compile(m.g)
	return m.LoadsIn(&c), nil
}

// LoadsIn is [Model.Loads] for a prepared situation, zero under another
// gravity than the vehicle's. It allocates nothing.
func (m *Model) LoadsIn(c *Case) Loads {
	if !m.fits(c) {
		return Loads{}
	}
	if m.bends != nil {
		return leastOver(m.bends, func(b *Model) (Loads, float64) {
			l := b.LoadsIn(c)
			return l, b.leastLoad(&l)
		})
	}
	r := &m.resp
	if !c.plain {
		other := m.respond(c)
		r = &other
	}
	return m.loads(r, c)
}

// fits reports whether vehicle and case were compiled, and under the same
// gravity.
func (m *Model) fits(c *Case) bool { return m.g > 0 && m.g == c.g }

// respond returns the response under the situation's shares.
func (m *Model) respond(c *Case) response {
	r, err := m.v.Undercarriage.response(c.s.split())
	if err != nil {
		return m.resp
	}
	return r
}

func (m *Model) loads(r *response, c *Case) (l Loads) {
	m.fill(&l, r, c)
	return l
}

// outside returns what acts on the machine in a situation.
func (m *Model) outside(c *Case) [7]float64 {
	w := m.whole.wrench(c.w)
	if c.s.Drawbar.Pull != 0 {
		d := c.s.Drawbar.wrench()
		for i := range w {
			w[i] += d[i]
		}
	}
	return w
}

func (m *Model) fill(l *Loads, r *response, c *Case) {
	var f [NumRows]float64
	if c.still && c.plain {
		for i := range f {
			f[i] = c.load(&m.edges[i])
		}
	} else {
		w := m.outside(c)
		f = r.loads(&w)
	}
	own, pivot := m.v.Undercarriage.Kind.axles()
	apart := differ(f[own], f[RowLiftLeft]) || differ(f[own+1], f[RowLiftRight])
	if !apart && m.v.Undercarriage.pivotPushes(float64(c.s.FrontShare)) {
		left, right := m.pivots(r, c)
		apart = differ(f[pivot], left) || differ(f[pivot+1], right)
	}
	if apart {
		m.share(&f, c)
	}
	lost := uint(0)
	for i := range f {
		l.Rows[i] = units.Force(f[i])
		if f[i] < 0 {
			lost |= 1 << i
		}
	}
	l.Status = Within
	if lost&m.v.Undercarriage.Kind.edges() != 0 {
		l.Status = Exceeded
	}
}

// load returns the load of a row at rest.
func (c *Case) load(e *edge) float64 {
	return c.scale * (e.a - float64(e.s*c.across) - float64(e.c*c.along) - float64(e.q*c.both))
}

// differ reports whether one of two loads is lost and the other not.
func differ(load, lift float64) bool { return (load < 0) != (lift < 0) }

// pivots returns the loads of the pivoting axle's wheels, each without a
// longitudinal force.
func (m *Model) pivots(r *response, c *Case) (left, right float64) {
	if c.still && c.plain && r == &m.resp {
		return c.load(&m.edges[rowPivotLeft]), c.load(&m.edges[rowPivotRight])
	}
	w := m.outside(c)
	return dot7(&r[rowPivotLeft], &w), dot7(&r[rowPivotRight], &w)
}

// axles returns the rows of the left wheels of the body's own axle and of the
// other one, which pivots if one does.
func (k UndercarriageKind) axles() (own, pivot Row) {
	if k == PivotingRear {
		return RowFrontLeft, RowRearLeft
	}
	return RowRearLeft, RowFrontLeft
}

// share solves the loads again with other shares, which it returns: first of
// the body's own axle, then of the pivoting one. The loads under shares between
// those asked for and none on a wheel lie between the loads of the two.
func (m *Model) share(f *[NumRows]float64, c *Case) split {
	u := &m.v.Undercarriage
	by := c.s.split()
	if u.Kind == Rigid {
		return by
	}
	own, pivot := u.Kind.axles()
	ownBias, pivotBias := &by.rearBias, &by.frontBias
	if own == RowFrontLeft {
		ownBias, pivotBias = pivotBias, ownBias
	}
	w := m.outside(c)
	loads := func() [NumRows]float64 {
		r, err := u.response(by)
		if err != nil {
			return *f
		}
		return r.loads(&w)
	}
	left, right := f[RowLiftLeft], f[RowLiftRight]
	asked := [2]float64{*ownBias, *pivotBias}
	part, free := shift(wheels{f[own], f[own+1], left, right, f[axleOf(own)]}, asked[0])
	if part > 0 {
		*ownBias = free
		*f = blend(f, loads(), part)
	}
	if u.pivotPushes(by.front) {
		// The loads with no force on the left or the right pivoting wheel.
		var alone [2][NumRows]float64
		for i, bias := range [2]float64{-1, 1} {
			*pivotBias, *ownBias = bias, asked[0]
			alone[i] = loads()
			if part > 0 {
				*ownBias = free
				alone[i] = blend(&alone[i], loads(), part)
			}
		}
		*pivotBias = asked[1]
		p, freed := shift(wheels{f[pivot], f[pivot+1], alone[0][pivot], alone[1][pivot+1], f[axleOf(pivot)]}, asked[1])
		if p > 0 {
			*f = blend(f, alone[max(0, int(freed))], p)
			*pivotBias += (freed - asked[1]) * p
		}
	}
	*ownBias = asked[0]
	if part > 0 {
		*ownBias += (free - asked[0]) * part
	}
	f[RowLiftLeft], f[RowLiftRight] = left, right
	return by
}

// axleOf returns the row of the axle of a left wheel.
func axleOf(wheel Row) Row { return RowFrontAxle + (wheel-RowFrontLeft)/2 }

// blend returns the loads a part of the way from some to others.
func blend(from *[NumRows]float64, to [NumRows]float64, part float64) [NumRows]float64 {
	for i := range to {
		to[i] = from[i] + part*(to[i]-from[i])
	}
	return to
}

// wheels are the loads of an axle's wheels with the shares asked for, what each
// carries with no force of its own, and the load of both.
type wheels struct{ left, right, liftLeft, liftRight, axle float64 }

// shift returns how much of its share a wheel near lifting gives up, where the
// share asked for, by bias, gives it a load of the wrong sign, and the bias
// with nothing left to it: a wheel that still stands without a force pushes in
// proportion to its load, and one that has lifted not at all.
func shift(w wheels, bias float64) (part, free float64) {
	one := func(load, lift, share float64) float64 {
		switch {
		case load < 0 && lift >= 0 && w.axle > 0:
			return (share*w.axle - load) / (share*w.axle - load + lift)
		case load >= 0 && lift < 0:
			return 1
		}
		return 0
	}
	left, right := one(w.left, w.liftLeft, (1+bias)/2), one(w.right, w.liftRight, (1-bias)/2)
	if left > right {
		return left, -1
	}
	return right, 1
}
