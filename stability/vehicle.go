package stability

import (
	"math"

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
	validateGravity(&e, v.Gravity)
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
	sides sides
	notes Notes
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
	r, err := v.Undercarriage.response(0, 0)
	if err != nil {
		return err
	}
	m.v, m.g, m.resp = *v, gravity(v.Gravity), r
	m.whole = v.totals()
	m.edges = m.whole.edges(&r)
	m.sides = m.edges.sides(v.Undercarriage.Kind)
	m.notes = v.notes()
	return nil
}

func (v *Vehicle) notes() Notes {
	n := NoteFirmGround | NoteQuasiStatic
	u := &v.Undercarriage
	if u.RearTireStiffness == 0 {
		n |= NoteRigidTires
	}
	if u.pinned() {
		n |= NotePinFree | NoteLiftingWheelFree | NoteFrontRollsFree
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
type edges [NumRows + 2]edge

func (t *totals) edges(r *response) (e edges) {
	for i := range e {
		e[i] = t.edge(&r[i])
	}
	return e
}

// alone returns the edge of one rear wheel holding alone that belongs to a
// limit, if it has one where downhill is on the right, or on the left. The
// uphill front wheel's load depends on how the rear wheels share the
// longitudinal force, which nobody knows near the limit: equally, or all on
// the downhill wheel. The lesser slope counts.
func (k UndercarriageKind) alone(i LimitKind, left bool) (int, bool) {
	if k != PivotingFront && k != Articulated {
		return 0, false
	}
	switch {
	case i == FrontLeftWheel && !left:
		return rowFrontLeftAlone, true
	case i == FrontRightWheel && left:
		return rowFrontRightAlone, true
	}
	return 0, false
}

// A ray is an edge over its own a: 1/tan b = s sin h + c cos h, or with q the
// larger root u of u^2 - (s sin h + c cos h) u - q sin h cos h = 0. The first
// of several limits is then the largest u, found without a division.
type ray struct {
	s, c, q float64
	kind    LimitKind
	one     bool // of one rear wheel alone: not straight up or down the slope
}

// sides are the rays that count with downhill on the right and on the left.
type sides struct {
	rays   [2][NumEdges + 1]ray
	n      [2]int
	blank  [NumEdges]Limit // Exceeded where level ground is too much already, else CannotOccur
	tipped bool
}

func (e *edges) sides(kind UndercarriageKind) (o sides) {
	checked := kind.edges()
	for i := range LimitKind(NumEdges) {
		o.blank[i] = Limit{Kind: i, Status: CannotOccur}
		if checked>>i&1 == 0 {
			continue
		}
		if !(e[i].a > 0) {
			o.blank[i].Status, o.tipped = Exceeded, true
			continue
		}
		for side := range o.rays {
			o.add(side, &e[i], i, false)
			if a, ok := kind.alone(i, side == 1); ok && e[a].a > 0 {
				o.add(side, &e[a], i, true)
			}
		}
	}
	return o
}

func (o *sides) add(side int, e *edge, kind LimitKind, one bool) {
	o.rays[side][o.n[side]] = ray{s: e.s / e.a, c: e.c / e.a, q: e.q / e.a, kind: kind, one: one}
	o.n[side]++
}

// of returns the rays that count in a heading.
func (o *sides) of(sin float64) []ray {
	if sin < 0 {
		return o.rays[1][:o.n[1]]
	}
	return o.rays[0][:o.n[0]]
}

// cotangent returns 1 over the tangent of the least slope at which the edge
// is reached; what is not above tiny cannot be reached.
func (r *ray) cotangent(sin, cos float64) float64 {
	if r.one && sin == 0 {
		return 0
	}
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
	validateGravity(&e, g)
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
// The rear wheels share the longitudinal force equally, or by the situation's
// RearBias. Only where that would give a wheel about to lift a load of the
// wrong sign do they share by their loads, or, once it has lifted, does the
// other one take all of it. The front wheels' loads then follow that share,
// while the limit of the axle's own event in [Model.Tip] keeps to the equal
// one.
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
	r, err := m.v.Undercarriage.response(float64(c.s.FrontShare), float64(c.s.RearBias))
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
			e := &m.edges[i]
			f[i] = c.scale * (e.a - float64(e.s*c.across) - float64(e.c*c.along) - float64(e.q*c.both))
		}
	} else {
		w := m.outside(c)
		f = r.loads(&w)
	}
	if (f[RowRearLeft] < 0) != (f[RowLiftLeft] < 0) || (f[RowRearRight] < 0) != (f[RowLiftRight] < 0) {
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

// share solves the loads again with another share of the rear wheels.
func (m *Model) share(f *[NumRows]float64, c *Case) {
	bias, ok := m.shift(f, float64(c.s.RearBias))
	if !ok {
		return
	}
	o, err := m.v.Undercarriage.response(float64(c.s.FrontShare), bias)
	if err != nil {
		return
	}
	left, right := f[RowLiftLeft], f[RowLiftRight]
	w := m.outside(c)
	*f = o.loads(&w)
	f[RowLiftLeft], f[RowLiftRight] = left, right
}

// shift returns another bias of the rear wheels' longitudinal force where the
// one asked for gives a wheel near lifting a load of the wrong sign: a wheel
// that the lift row leaves on the ground pushes in proportion to its load, and
// one that has lifted not at all.
func (m *Model) shift(f *[NumRows]float64, bias float64) (float64, bool) {
	if k := m.v.Undercarriage.Kind; k == Rigid || k == PivotingRear {
		return 0, false
	}
	axle := f[RowRearAxle]
	// one looks at the wheel that has the share (1 + bias)/2.
	one := func(load, lift, bias float64) (float64, bool) {
		switch {
		case load < 0 && lift >= 0 && axle > 0:
			per := (load - lift) * 2 / (1 + bias)
			return 2*lift/(axle-per) - 1, true
		case load >= 0 && lift < 0:
			return -1, true
		}
		return 0, false
	}
	if b, ok := one(f[RowRearLeft], f[RowLiftLeft], bias); ok {
		return b, true
	}
	b, ok := one(f[RowRearRight], f[RowLiftRight], -bias)
	return -b, ok
}
