package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Vehicle is a body on an undercarriage.
type Vehicle struct {
	// Body is everything that rolls with the chassis: tractor, loader, load and
	// rear wheels. It does not contain the undercarriage's Axle.
	Body Body `json:"body"`
	// Undercarriage is what the body stands on.
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

// A Model is a vehicle prepared for fast answers. It is immutable and safe for
// many goroutines. Make one with [Vehicle.Compile].
type Model struct {
	v     Vehicle
	g     float64
	whole totals // of body and axle
	body  totals
	axle  totals
	atRest
	alone float64 // the least grade at which other shares may lose a wheel
	notes Notes
	// These are set for an articulated machine whose bend is not known: the machine
	// at every bend, the bend with the least limit, and that limit. The other
	// fields are those of the machine without a bend.
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
	m.v, m.g, m.notes = *v, gravity(v.Gravity), v.notes()
	if err := m.prepare(); err != nil {
		return err
	}
	if v.Undercarriage.bendUnknown() {
		return m.compileBends()
	}
	return nil
}

// prepare computes what follows from the vehicle.
func (m *Model) prepare() (err error) {
	if m.foot, err = m.v.Undercarriage.footing(split{}); err != nil {
		return err
	}
	m.weigh()
	return nil
}

// weigh computes what follows from the masses.
func (m *Model) weigh() {
	m.body, m.axle = m.v.totals()
	m.whole = m.body.with(&m.axle)
	m.edges = m.whole.edges(&m.foot.rows)
	m.rays = m.edges.rays(&m.foot)
	m.alone = m.edges.leastAlone(&m.foot)
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

// Notes returns the assumptions of every answer of the model.
func (m *Model) Notes() Notes { return m.notes }

// totals are the sums over all masses from which outside loads are computed.
type totals struct {
	m, x, y, z    float64 // mass, mass times coordinate
	pitch, roll   float64 // mass times free-surface rise
	joint         bool    // a part rolls about its own axis
	am, ay, az    float64 // of what pivots: mass, mass times coordinate,
	aroll, height float64 // mass times roll rise, height of the roll axis
}

// totals returns the sums over the body and over the axle.
func (v *Vehicle) totals() (body, axle totals) {
	body.add(v.Body.Part())
	a := v.Undercarriage.Axle
	if a.Mass == 0 {
		return body, axle
	}
	u := &v.Undercarriage
	if u.bent() {
		j := float64(u.JointX)
		sin, cos := math.Sincos(float64(u.JointAngle))
		x, y := float64(a.CG.X)-j, float64(a.CG.Y)
		a.CG.X = units.Length(j + float64(x*cos) - float64(y*sin))
		a.CG.Y = units.Length(float64(x*sin) + float64(y*cos))
	}
	axle.add(a)
	if u.pinned() {
		m := float64(a.Mass)
		axle.joint = true
		axle.height = float64(u.PinHeight)
		axle.am, axle.ay, axle.az, axle.aroll = m, m*float64(a.CG.Y), m*float64(a.CG.Z), m*float64(a.RollRise)
	}
	return body, axle
}

// with returns the sums over a body and what pivots under it.
func (t totals) with(axle *totals) totals {
	t.m, t.x, t.y, t.z = t.m+axle.m, t.x+axle.x, t.y+axle.y, t.z+axle.z
	t.pitch, t.roll = t.pitch+axle.pitch, t.roll+axle.roll
	t.joint, t.am, t.ay, t.az, t.aroll, t.height = axle.joint, axle.am, axle.ay, axle.az, axle.aroll, axle.height
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

// A ray is an edge over its own a: 1/tan b = s sin h + c cos h, or with q the
// larger root u of u^2 - (s sin h + c cos h) u - q sin h cos h = 0. The first
// of several limits is then the largest u, found without a division.
type ray struct {
	s, c, q float64
	kind    LimitKind
}

// atRest is a machine at rest on a footing: its rows as functions of slope and
// heading, and the limits among them.
type atRest struct {
	foot  footing
	edges edges
	rays  rays
}

// rays are the edges that count, as rays, and the zones before them in which
// wheels may share otherwise than asked.
type rays struct {
	list   [NumEdges]ray
	n      int
	zone   [4]zone
	zones  int
	shared uint            // the limits, by bits, that depend on the share asked for
	blank  [NumEdges]Limit // Exceeded if the limit is past on level ground, else CannotOccur
	tipped bool
}

// A zone is the range of slopes on which a wheel would carry nothing with the
// share asked for, so that its axle's wheels share by their loads.
type zone struct {
	start   ray
	corners [4]ray // of the rows that depend on the share, with no force on the wheel
	n       int
	open    bool // the other axle shares as well, and nothing bounds the loads
}

func (e *edge) ray(kind LimitKind) ray {
	return ray{s: e.s / e.a, c: e.c / e.a, q: e.q / e.a, kind: kind}
}

func (e *edges) rays(f *footing) (o rays) {
	checked := f.kind.edges()
	for i := range LimitKind(NumEdges) {
		o.blank[i] = Limit{Kind: i, Status: CannotOccur}
		if checked>>i&1 == 0 {
			continue
		}
		if at := &e[f.kind.row(i)]; at.a > 0 {
			o.list[o.n] = at.ray(i)
			o.n++
		} else {
			o.blank[i].Status, o.tipped = Exceeded, true
		}
	}
	if !f.kind.pinned() || o.tipped {
		return o
	}
	pusher, one := f.pusher()
	for axle := range 2 {
		if !(f.lever[axle] > 0) {
			continue
		}
		for side := range 2 {
			// On level ground there is no longitudinal force, so the wheel carries its
			// load without a share, which is above zero.
			z := &o.zone[o.zones]
			z.start, z.open = e[wheelRow+2*axle+side].ray(NoLimit), !one
			o.zones++
			if one {
				for _, row := range f.shared(pusher, side) {
					z.corners[z.n] = e[row].ray(NoLimit)
					z.n++
				}
			}
		}
	}
	for i := range LimitKind(NumEdges) {
		if f.shares(i) {
			o.shared |= 1 << i
		}
	}
	return o
}

// shared returns the rows that depend on the shares of the one axle that takes
// the longitudinal force, with no force on its wheel on one side.
func (f *footing) shared(pusher, side int) []int {
	at := rowAlone + numAlone*side
	other := at + wheelRow + 2*(1-pusher)
	if f.bent {
		return []int{other, other + 1, at + int(RowFrontAxle), at + int(RowRearAxle)}
	}
	return []int{other, other + 1}
}

// shares reports whether a limit depends on how the wheels share. If one axle
// takes all of the longitudinal force, these are the limits of the other axle's
// wheels and, on a bent machine, those of the axles.
func (f *footing) shares(k LimitKind) bool {
	pusher, one := f.pusher()
	switch {
	case !one:
		return true
	case k <= FrontEdge:
		return f.bent
	case k >= TipsRight:
		return pusher != f.kind.own()
	}
	return pusher == f.kind.own()
}

// leastAlone returns the least grade, over all headings, at which a limit is
// reached while a wheel has no share. No limit is reached below both this grade
// and that with the share asked for.
func (e *edges) leastAlone(f *footing) float64 {
	least := math.Inf(1)
	pusher, one := f.pusher()
	if !one || !f.kind.pinned() {
		return least
	}
	for side := range 2 {
		for _, row := range f.shared(pusher, side) {
			if !(e[row].a > 0) {
				return 0
			}
			least = min(least, e[row].atMost())
		}
	}
	for side := range 2 {
		for _, row := range f.shared(pusher, side) {
			if e[row].atLeast() >= least {
				continue
			}
			if t, _, _, s := e[row].worst(); s == Within {
				least = min(least, t)
			}
		}
	}
	return least
}

// cotangent returns 1 over the tangent of the least slope at which the edge is
// reached. The edge cannot be reached if the result is not above tiny.
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

// Loads holds the load of the ground on every wheel. A negative load means that
// the machine has lost that wheel: the balance would need the ground to pull.
type Loads struct {
	// Rows are the loads by Row.
	Rows [NumRows]units.Force `json:"rows"`
	// Status is Within if no wheel is lost, else Exceeded.
	Status Status `json:"status"`
}

// Of returns one row. It panics if the row has no name.
func (l *Loads) Of(r Row) units.Force { return l.Rows[r] }

// A Case is a situation prepared for many vehicles by [Situation.Compile]. It
// is immutable; the zero Case answers nothing.
type Case struct {
	s        Situation
	sin, cos float64 // of the heading
	g        float64
	w        [3]float64
	still    bool // only weight acts
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
// The wheels of an axle share its longitudinal force equally or, at the rear, by
// the situation's RearBias. If a wheel would lose its load that way but would keep
// it without a longitudinal force, the wheels of its axle share in proportion to
// their loads, as they do when friction holds both. If a wheel would lose its load
// even without a longitudinal force, it has lifted and has no force. The rule
// holds for both axles at once, and the limits of [Model.Tip] follow it too. Past
// the first limit the sharing may change once more, and the loads may be Within
// again; the limit is what counts. A rigid machine's wheels share as asked.
//
// For an articulated machine whose bend is not known, the loads are those of the
// bend whose least row, including the lift rows, is least.
func (m *Model) Loads(s Situation) (Loads, error) {
	if err := s.Validate(); err != nil {
		return Loads{}, err
	}
	c := s.compile(m.g)
	return m.LoadsIn(&c), nil
}

// LoadsIn returns the same as [Model.Loads] for a prepared situation. The loads
// are zero if the situation has another gravity than the vehicle. It allocates
// nothing, unless a bend is not known.
func (m *Model) LoadsIn(c *Case) (l Loads) {
	if !m.fits(c) {
		return l
	}
	if m.bends != nil {
		return leastOver(m, func(b *Model) (Loads, float64) {
			l := b.LoadsIn(c)
			return l, b.leastLoad(&l)
		})
	}
	if c.plain {
		m.fill(&l, &m.foot, c)
	} else {
		m.fillApart(&l, c)
	}
	return l
}

// fillApart does the same as fill under shares other than the compiled ones. It
// is a separate function because room for a footing costs as much as the loads
// themselves.
func (m *Model) fillApart(l *Loads, c *Case) {
	var apart footing
	m.fill(l, m.under(c, &apart), c)
}

// fits reports whether vehicle and case were both compiled under the same
// gravity.
func (m *Model) fits(c *Case) bool { return m.g > 0 && m.g == c.g }

// under returns the footing under the situation's shares. If it is not the
// model's own footing, it is stored in other.
func (m *Model) under(c *Case, other *footing) *footing {
	if c.plain {
		return &m.foot
	}
	f, err := m.v.Undercarriage.footing(c.s.split())
	if err != nil {
		return &m.foot
	}
	*other = f
	return other
}

// outside returns the outside load on the machine in a situation.
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

func (m *Model) fill(l *Loads, f *footing, c *Case) {
	var w [7]float64
	var rows [NumRows]float64
	quick := c.still && c.plain
	if quick {
		for i := range rows {
			rows[i] = c.load(&m.edges[i])
		}
	} else {
		w = m.outside(c)
		rows = f.rows.loads(&w)
	}
	stands := true
	for _, load := range rows {
		stands = stands && load >= 0
	}
	if f.kind.pinned() && f.lever[1-f.kind.own()] > 0 {
		// A pivoting axle's wheel may carry load only because it has a longitudinal
		// force.
		for i := rowPivotLeft; i <= rowPivotRight; i++ {
			if quick {
				stands = stands && c.load(&m.edges[i]) >= 0
			} else {
				stands = stands && dot7(&f.rows[i], &w) >= 0
			}
		}
	}
	l.Status = Within
	if !stands {
		if f.kind != Rigid {
			if quick {
				w = m.outside(c)
			}
			rows, _ = f.stand(&w)
		}
		if _, lost := f.kind.lost(&rows); lost {
			l.Status = Exceeded
		}
	}
	for i := range rows {
		l.Rows[i] = units.Force(rows[i])
	}
}

// load returns the load of a row at rest.
func (c *Case) load(e *edge) float64 {
	return c.scale * (e.a - float64(e.s*c.across) - float64(e.c*c.along) - float64(e.q*c.both))
}
