package stability

import (
	"context"
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Tires are both tires of an axle.
type Tires struct {
	// Radius is the loaded radius on level ground under the load that the axle
	// bears, 0.1 to 1.5 m.
	Radius units.Length `json:"radius"`
	// Stiffness is that of the axle, both tires together, 20 kN/m to 20 MN/m. Left
	// out, it is such that the axle of the machine without its load would bounce
	// at 2 to 4 Hz (common practice, no source).
	Stiffness units.Input[units.Stiffness] `json:"stiffness,omitzero"`
}

// Passage is a machine that passes straight over an obstacle: what the machine
// is, what it carries and how it drives.
type Passage struct {
	// Machine is everything but the load: tractor, axles, loader, attachment,
	// ballast.
	Machine Body `json:"machine"`
	// PitchInertia is the machine's pitch inertia about its center of gravity,
	// 1 to 1e7 kg m2. Left out, it is that of the parts (Machine.Inertia.YY) or, if
	// that is zero, the band of [EstimatePitchInertia].
	PitchInertia units.Input[units.Inertia] `json:"pitchInertia,omitzero"`
	// Load is the load, rigid on the machine, ahead of the front axle. Its mass may
	// be zero.
	Load Part `json:"load,omitzero"`
	// Wheelbase is the distance between the axles, 0.5 to 10 m.
	Wheelbase units.Length `json:"wheelbase"`
	// Rear is the rear axle's tires.
	Rear Tires `json:"rear"`
	// Front is the front axle's tires.
	Front Tires `json:"front"`
	// Damping is the damping ratio of the machine's bounce without its load, 0 to
	// 1: on each axle c = 2 D k sqrt(m/(kr + kf)), with m the machine's mass. Left
	// out, it is 0.03 to 0.2 (common practice, no source).
	Damping units.Input[units.Fraction] `json:"damping,omitzero"`
	// Obstacle is what it passes over with both axles. It begins 0.8 m ahead of
	// where the front tires start.
	Obstacle Obstacle `json:"obstacle"`
	// Drive is what the wheels do.
	Drive Drive `json:"drive,omitempty"`
	// Response is the time in which the drive takes up a difference of speed,
	// 0.005 to 10 s; zero means 0.03 s. Only DriveHeld uses it.
	Response units.Duration `json:"response,omitempty"`
	// Deceleration is what the brakes are asked for, above 0 and up to 20 m/s2. It
	// must be given for the braking drives, and only for them.
	Deceleration units.Acceleration `json:"deceleration,omitempty"`
	// Friction is the coefficient between wheels and ground, 0.05 to 5; zero means
	// 0.8.
	Friction units.Fraction `json:"friction,omitempty"`
	// Gravity is 0.1 to 100 m/s2; zero means units.StandardGravity.
	Gravity units.Acceleration `json:"gravity,omitempty"`
}

// Ranges of practice and what stands for what is left out.
const (
	lowBounce, highBounce   = 2.0, 4.0 // Hz
	lowDamping, highDamping = units.Fraction(0.03), units.Fraction(0.2)
	usualResponse           = 0.03 // s
	usualFriction           = 0.8
	runUp                   = 0.8   // m
	pastBalance             = 0.1   // rad
	brakeRelease            = 0.005 // s, in which brakes let go before standstill
)

// EstimatePitchInertia returns a band for the pitch inertia of a machine about
// its center of gravity, where only dimensions are known: 0.7 to 1.4 times
// m (0.4 L)^2, with L the wheelbase (common practice, no source).
func EstimatePitchInertia(mass units.Mass, wheelbase units.Length) units.Range[units.Inertia] {
	return inertiaBand(mass.Inertia(0.4 * wheelbase))
}

// EstimateRollInertia returns a band for the roll inertia of a machine about its
// center of gravity: 0.7 to 1.4 times m (0.34 T)^2, with T the rear track (common
// practice, no source).
func EstimateRollInertia(mass units.Mass, track units.Length) units.Range[units.Inertia] {
	return inertiaBand(mass.Inertia(0.34 * track))
}

func inertiaBand(i units.Inertia) units.Range[units.Inertia] {
	return units.Range[units.Inertia]{Low: 0.7 * i, High: 1.4 * i}
}

// Validate reports every field of the passage that is out of range, by its JSON
// name.
func (p Passage) Validate() error {
	var e units.FieldErrors
	e.Join("machine", p.Machine.Validate())
	valid.Optional(&e, "pitchInertia", p.PitchInertia, 1, 1e7)
	e.Join("load", p.Load.Validate())
	valid.Within(&e, "wheelbase", p.Wheelbase, valid.MinWheelbase, valid.MaxWheelbase)
	p.Rear.validate(&e, "rear")
	p.Front.validate(&e, "front")
	valid.Optional(&e, "damping", p.Damping, 0, 1)
	notAbsent(&e, "pitchInertia", p.PitchInertia.Absent())
	notAbsent(&e, "damping", p.Damping.Absent())
	e.Join("obstacle", p.Obstacle.Validate())
	if int(p.Drive) >= len(driveNames) {
		e.Add("drive", int(p.Drive), "must be one of coasting, held, brakeRear, brakeAll")
	}
	valid.ZeroOr(&e, "response", p.Response, 0.005, 10)
	if braking := p.Drive == BrakeRear || p.Drive == BrakeAll; braking {
		if !(p.Deceleration > 0 && p.Deceleration <= 20) {
			e.Add("deceleration", p.Deceleration, "must be above 0 and at most {most} for a drive that brakes", valid.Most[units.Acceleration](20))
		}
	} else if p.Deceleration != 0 {
		e.Add("deceleration", p.Deceleration, "must be left out for a drive that does not brake")
	}
	valid.ZeroOr(&e, "friction", p.Friction, 0.05, 5)
	valid.Gravity(&e, "gravity", p.Gravity)
	if e.Len() == 0 {
		p.validatePlaces(&e)
	}
	return e.Err()
}

func (t *Tires) validate(e *units.FieldErrors, path string) {
	valid.Within(e, path+".radius", t.Radius, valid.MinRadius, valid.MaxRadius)
	valid.Optional(e, path+".stiffness", t.Stiffness, 2e4, 2e7)
	notAbsent(e, path+".stiffness", t.Stiffness.Absent())
}

// notAbsent records an error where a quantity that every machine has is declared
// absent.
func notAbsent(e *units.FieldErrors, path string, absent bool) {
	if absent {
		e.Add(path, "none", "must be a value, a range, or left out")
	}
}

// validatePlaces holds the centers of gravity against the axles.
func (p *Passage) validatePlaces(e *units.FieldErrors) {
	if cg := p.Machine.CG; !(cg.X > 0 && cg.X < p.Wheelbase) {
		e.Add("machine.cg.x", cg.X, "must lie between the axles, above 0 and below {high}", valid.High(p.Wheelbase))
	}
	if !(p.Machine.CG.Z > 0) {
		e.Add("machine.cg.z", p.Machine.CG.Z, "must be above the ground")
	}
	if p.Load.Mass == 0 {
		return
	}
	if !(p.Load.CG.X > p.Wheelbase) {
		e.Add("load.cg.x", p.Load.CG.X, "must lie ahead of the front axle, beyond {low}", valid.Low(p.Wheelbase))
	}
	if !(p.Load.CG.Z > 0) {
		e.Add("load.cg.z", p.Load.CG.Z, "must be above the ground")
	}
}

// A PassageModel is a passage prepared for fast answers. It is immutable and safe
// for many goroutines. Make one with [Passage.Compile].
type PassageModel struct {
	p        Passage
	g        float64
	tipping  float64 // kg, on level ground
	variants [17]variant
	n        int
	terrain  terrain
	notes    Notes
	way      float64 // where the rear tires are over the obstacle
	until    float64 // where a test ends the passage, else 0
}

// variant is one machine that fits what is known.
type variant struct {
	k       [2]float64
	c       [2]float64
	inertia float64
}

// Compile checks the passage and prepares it. Where stiffness, damping or inertia
// are a range, answers are those of the machines at every corner of the ranges
// and of the one in the middle.
func (p Passage) Compile() (*PassageModel, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	m := &PassageModel{p: p, g: gravity(p.Gravity), notes: NoteFirmGround | NoteLoadRigid | NoteEdgesHold}
	if m.p.Friction == 0 {
		m.p.Friction = usualFriction
		m.notes |= NotePracticeRange
	}
	if m.p.Response == 0 {
		m.p.Response = usualResponse
	}
	m.tipping = float64(p.Machine.Mass) * float64((p.Wheelbase-p.Machine.CG.X)/(p.Load.CG.X-p.Wheelbase))
	if !(p.Load.CG.X > p.Wheelbase) {
		m.tipping = 0
	}
	m.n = spread(&m.variants, p.pitchInertia(&m.notes), p.Damping, [2]*Tires{&p.Rear, &p.Front}, p.Machine.Mass, float64(p.Machine.CG.X/p.Wheelbase), &m.notes)
	o := &p.Obstacle
	start := float64(p.Wheelbase+p.Front.Radius) + runUp
	m.terrain = terrain{kind: o.Kind, from: start, to: start + float64(o.Length), height: float64(o.Height)}
	m.way = m.terrain.to + float64(p.Rear.Radius) + 0.2
	m.terrain.prepare(o)
	return m, nil
}

// spread lists the machines that fit what is known, and returns how many they are.
// Share is that of the front axle in the mass.
func spread(to *[17]variant, inertia units.Range[units.Inertia], ratio units.Input[units.Fraction], tires [2]*Tires, mass units.Mass, share float64, notes *Notes) (n int) {
	ends := func(low, high float64) [3]float64 { return [3]float64{low, high, (low + high) / 2} }
	damping, known := ratio.Range()
	if !known {
		damping = units.Range[units.Fraction]{Low: lowDamping, High: highDamping}
		*notes |= NotePracticeRange
	}
	var stiffness [2][3]float64
	for i, t := range tires {
		r, known := t.Stiffness.Range()
		if !known {
			on := float64(mass) * []float64{1 - share, share}[i]
			at := func(f float64) units.Stiffness { return units.Stiffness(on * square(2*math.Pi*f)) }
			r = units.Range[units.Stiffness]{Low: at(lowBounce), High: at(highBounce)}
			*notes |= NotePracticeRange
		}
		stiffness[i] = ends(float64(r.Low), float64(r.High))
	}
	d := ends(float64(damping.Low), float64(damping.High))
	in := ends(float64(inertia.Low), float64(inertia.High))
	add := func(r, f, c, i int) {
		v := variant{k: [2]float64{stiffness[0][r], stiffness[1][f]}, inertia: in[i]}
		relax := 2 * d[c] * math.Sqrt(float64(mass)/(v.k[0]+v.k[1]))
		v.c = [2]float64{relax * v.k[0], relax * v.k[1]}
		for _, o := range to[:n] {
			if o == v {
				return
			}
		}
		to[n] = v
		n++
	}
	for i := range 16 {
		add(i&1, i>>1&1, i>>2&1, i>>3&1)
	}
	add(2, 2, 2, 2)
	return n
}

func (p *Passage) pitchInertia(notes *Notes) units.Range[units.Inertia] {
	if r, known := p.PitchInertia.Range(); known {
		return r
	}
	if i := p.Machine.Inertia.YY; i > 0 {
		return units.Range[units.Inertia]{Low: i, High: i}
	}
	*notes |= NotePracticeRange
	return EstimatePitchInertia(p.Machine.Mass, p.Wheelbase)
}

// TippingLoad returns the load at the place of the passage's load at which the
// rear axle carries nothing at rest on level ground; zero if no load is placed.
func (m *PassageModel) TippingLoad() units.Mass { return units.Mass(m.tipping) }

// set prepares the motion of one machine that fits, with a load, at a speed.
func (m *PassageModel) set(g *motion, v *variant, load, speed float64) (balance float64) {
	p := &m.p
	mb, ml := float64(p.Machine.Mass), load
	a, b := p.Machine.CG, p.Load.CG
	mass := mb + ml
	x := (mb*float64(a.X) + ml*float64(b.X)) / mass
	z := (mb*float64(a.Z) + ml*float64(b.Z)) / mass
	own := 0.0
	if p.Load.Mass > 0 {
		own = float64(p.Load.Inertia.YY) * ml / float64(p.Load.Mass)
	}
	between := square(float64(a.X-b.X)) + square(float64(a.Z-b.Z))
	base := float64(p.Wheelbase)
	front := mass * m.g * x / base
	static := [2]float64{mass*m.g - front, front}
	g.plane = planar{
		terrain: m.terrain, mass: mass, inertia: v.inertia + own + mb*ml/mass*between, g: m.g,
		speed: speed, tau: float64(p.Response), mu: float64(p.Friction), braking: float64(p.Deceleration), drive: p.Drive, ahead: float64(a.X) - x, above: float64(a.Z) - z,
	}
	for i, r := range []float64{float64(p.Rear.Radius), float64(p.Front.Radius)} {
		g.plane.axle[i] = axle{x: base*float64(i) - x, z: r - z, radius: r + static[i]/v.k[i], k: v.k[i], c: v.c[i], static: static[i]}
	}
	g.least, g.most = 1e-4, 0.015
	g.absolute = state{3e-8, 3e-8, 3e-8, 3e-7, 3e-7, 3e-7}
	g.start(&state{x, z, 0, speed}, 6, 1e-3)
	return math.Atan2(base-x, z)
}

// PassageStatus says what a machine does on its way over an obstacle. In JSON:
// "notChecked", "within", "stalls", "lifts" or "goesOver".
type PassageStatus uint8

// What a machine does, from what is not known to the worst.
const (
	// PassageNotChecked: the motion could not be followed to its end. It never
	// means that nothing happens.
	PassageNotChecked PassageStatus = iota
	// PassageWithin: the rear tires stay on the ground.
	PassageWithin
	// PassageStalls: the machine comes to a stand or rolls back before the rear
	// tires are over the obstacle.
	PassageStalls
	// PassageLifts: the rear tires leave the ground. In the air there are no
	// rear brakes and nothing holds the machine against rolling; there is no load
	// figure for this: go slower, or around.
	PassageLifts
	// PassageOver: the machine pitches past its balance over the front axle and
	// goes on.
	PassageOver
)

var passageStatusNames = []string{"notChecked", "within", "stalls", "lifts", "goesOver"}

// worse returns the status to tell of two machines that fit: going over counts
// most, then what could not be followed.
func (s PassageStatus) worse(t PassageStatus) PassageStatus {
	switch {
	case s == PassageOver || t == PassageOver:
		return PassageOver
	case s == PassageNotChecked || t == PassageNotChecked:
		return PassageNotChecked
	}
	return max(s, t)
}

// Crossing is a passage at one speed. Each range is from the least to the
// greatest of the machines that fit what is known; it is no proof for machines
// between those that were followed.
type Crossing struct {
	// Status is the worst of the machines. PassageWithin also where brakes stop the machine
	// before it reaches the obstacle.
	Status PassageStatus `json:"status"`
	// RearLoad is the least load on the rear axle during the passage.
	RearLoad units.Range[units.Force] `json:"rearLoad"`
	// RearAtRest is the load on the rear axle at rest.
	RearAtRest units.Force `json:"rearAtRest"`
	// Airborne is the longest time that the rear tires are off the ground in one
	// go.
	Airborne units.Range[units.Duration] `json:"airborne"`
	// Gap is the greatest distance between the rear tires and the ground. It is
	// negative if they stay pressed in, by so much at least.
	Gap units.Range[units.Length] `json:"gap"`
	// Pitch is the greatest pitch of the machine, nose down positive, against level
	// ground. It is not followed far past Balance.
	Pitch units.Range[units.Angle] `json:"pitch"`
	// Balance is atan(d/z), with d the distance of the center of gravity behind the front
	// contact and z its height: the pitch at which it stands over a contact that turns with
	// the machine, as of a locked wheel. A contact that stays under the wheel's center lets
	// it pitch further. A machine counts as gone over if it is 0.1 rad past Balance and goes
	// on.
	Balance units.Angle `json:"balance"`
	// Notes are what the figures assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside the figures.
	Cautions Cautions `json:"cautions"`
}

// PassageCautions are the cautions that every answer of a passage carries.
const PassageCautions = CautionManual | CautionNoTippingTest | CautionRaisedLoad | CautionHiddenGround | CautionNotPermission

// At returns what happens at a speed, 0.05 to 15 m/s, with the passage's own
// load. It allocates nothing.
func (m *PassageModel) At(speed units.Speed) (Crossing, error) {
	if err := checkSpeed("speed", speed); err != nil {
		return Crossing{}, err
	}
	return m.with(float64(m.p.Load.Mass), float64(speed)), nil
}

func checkSpeed(path string, v units.Speed) error {
	if v >= 0.05 && v <= 15 {
		return nil
	}
	var e units.FieldErrors
	valid.Within(&e, path, v, 0.05, 15)
	return e.Err()
}

// with returns what happens with a load at a speed.
func (m *PassageModel) with(load, speed float64) (c Crossing) {
	var g motion
	c.Notes, c.Cautions = m.notes, PassageCautions
	for i := range m.variants[:m.n] {
		c.Balance = units.Angle(m.set(&g, &m.variants[i], load, speed))
		c.RearAtRest = units.Force(g.plane.axle[0].static)
		f := m.follow(&g, float64(c.Balance)+pastBalance)
		one := units.Range[units.Force]{Low: units.Force(f.load), High: units.Force(f.load)}
		air, gap, pitch := units.Duration(f.air), units.Length(f.gap), units.Angle(f.pitch)
		if i == 0 {
			c.Status, c.RearLoad = f.status, one
			c.Airborne = units.Range[units.Duration]{Low: air, High: air}
			c.Gap = units.Range[units.Length]{Low: gap, High: gap}
			c.Pitch = units.Range[units.Angle]{Low: pitch, High: pitch}
			continue
		}
		c.Status = c.Status.worse(f.status)
		widen(&c.RearLoad, one.Low)
		widen(&c.Airborne, air)
		widen(&c.Gap, gap)
		widen(&c.Pitch, pitch)
	}
	return c
}

func widen[Q units.Quantity](r *units.Range[Q], v Q) { r.Low, r.High = min(r.Low, v), max(r.High, v) }

// followed is what one machine did.
type followed struct {
	status                PassageStatus
	load, air, gap, pitch float64
	time                  float64
}

// mostSteps bounds the work of one passage.
const mostSteps = 200000

// follow follows a motion until 1.5 s after the rear tires would be over the
// obstacle at the stated speed, and on until they stand on the ground; with
// brakes, until the machine has stood for a second. It ends when the machine goes
// over.
func (m *PassageModel) follow(g *motion, over float64) (f followed) {
	p := &g.plane
	w := watch{over: over}
	w.see(g, &g.after, 0)
	end := m.way/p.speed + 1.5
	braked := p.drive == BrakeRear || p.drive == BrakeAll
	if braked {
		end = p.speed/p.braking + m.way/p.speed + 20
	}
	latest := 2*end + 5
	if m.until > 0 {
		end, latest = m.until, m.until
	}
	var t, stands float64
	for g.steps < mostSteps {
		t += g.step(latest)
		w.steps(g, t)
		if w.gone {
			return w.end(PassageOver, t)
		}
		over := g.after[0]+p.axle[0].x >= m.way
		if w.inAir && t < latest {
			stands = t
			continue
		}
		switch rolls := g.after[3] > 0.05; {
		case braked && t >= latest:
			return w.end(PassageNotChecked, t)
		case braked && rolls:
			stands = t
		case braked && t-stands > 1:
			return w.end(PassageWithin, t)
		case t > end && over:
			return w.end(PassageWithin, t)
		case t > end && !(p.drive == Coasting && rolls) || t >= latest:
			return w.end(PassageStalls, t)
		}
	}
	return w.end(PassageNotChecked, t)
}

// watch keeps the extremes of a motion.
type watch struct {
	over      float64
	load, gap float64
	pitch     float64
	last      [3]float64 // load at the last three looks
	looks     int
	inAir     bool
	left      float64 // when the rear tires left the ground
	air       float64 // longest time in the air
	gone      bool
}

// see looks at a state at a time.
func (w *watch) see(g *motion, s *state, t float64) {
	p := &g.plane
	sin, cos := math.Sincos(s[2])
	p.contact(0, s, sin, cos)
	f, gap := p.force[0], p.touch[0].distance-p.axle[0].radius
	if w.looks == 0 {
		w.load, w.gap, w.pitch = f, gap, s[2]
	}
	w.load, w.gap, w.pitch = min(w.load, f), max(w.gap, gap), max(w.pitch, s[2])
	w.last = [3]float64{w.last[1], w.last[2], f}
	if w.looks >= 2 && w.last[1] < w.last[0] && w.last[1] < w.last[2] && w.last[1] > 0 {
		// The least load lies on the parabola through three looks at equal times, to
		// within what steps of different length leave.
		a, b := (w.last[0]+w.last[2])/2-w.last[1], (w.last[2]-w.last[0])/2
		if a > 0 {
			w.load = min(w.load, max(0, w.last[1]-b*b/(4*a)))
		}
	}
	w.looks++
	if f == 0 && !w.inAir {
		w.inAir, w.left = true, t
	}
	if w.inAir {
		w.air = max(w.air, t-w.left)
		w.inAir = f == 0
	}
}

// steps looks at the last step, in quarters.
func (w *watch) steps(g *motion, t float64) {
	var s state
	for i := 1; i <= 4 && !w.gone; i++ {
		share := float64(i) / 4
		g.at(share, &s)
		if s[2] > w.over && s[5] > 0 {
			w.gone = true
			share = w.pass(g, share-0.25, share)
			g.at(share, &s)
		}
		w.see(g, &s, t-(1-share)*g.h)
	}
}

// pass returns the share of the last step at which the pitch passes the one that
// counts as over, between two shares.
func (w *watch) pass(g *motion, low, high float64) float64 {
	var s state
	for range 30 {
		mid := (low + high) / 2
		if g.at(mid, &s); s[2] > w.over {
			high = mid
		} else {
			low = mid
		}
	}
	return high
}

func (w *watch) end(s PassageStatus, t float64) followed {
	if w.load == 0 && s != PassageOver && s != PassageNotChecked {
		s = PassageLifts
	}
	return followed{status: s, load: w.load, air: w.air, gap: w.gap, pitch: w.pitch, time: t}
}

// PassagePoint is one speed of a scan.
type PassagePoint struct {
	// Speed is the speed.
	Speed units.Speed `json:"speed"`
	// Crossing is what happens at it.
	Crossing Crossing `json:"crossing"`
}

// Scan fills points with what happens at as many speeds in equal steps from low
// to high, 0.05 to 15 m/s. The speeds at which a machine goes over are islands
// and not one interval, so a scan is the way to find them; what lies between two
// points is not followed. It allocates nothing. Once the context is done, the points that
// were reached hold their answers and the others only zeros, with an error that wraps
// ctx.Err(). A nil context never ends.
func (m *PassageModel) Scan(ctx context.Context, points []PassagePoint, low, high units.Speed) error {
	if err := checkScan(low, high); err != nil {
		return err
	}
	clear(points)
	for i := range points {
		if err := valid.Ended(ctx, "stability: scan"); err != nil {
			return err
		}
		v := scanned(low, high, i, len(points))
		points[i] = PassagePoint{v, m.with(float64(m.p.Load.Mass), float64(v))}
	}
	return nil
}

func checkScan(low, high units.Speed) error {
	var e units.FieldErrors
	valid.Within(&e, "low", low, 0.05, 15)
	valid.Within(&e, "high", high, low, 15)
	return e.Err()
}

// scanned is the speed of one of n points in equal steps.
func scanned(low, high units.Speed, i, n int) units.Speed {
	if n < 2 {
		return low
	}
	return low + (high-low)*units.Speed(i)/units.Speed(n-1)
}

// Islands returns the ranges of scanned speeds at which the status is as bad as
// asked for, or worse: each from the first to the last point of the scan in a
// row. What could not be followed counts as worse than any.
func Islands(points []PassagePoint, s PassageStatus) []units.Range[units.Speed] {
	var out []units.Range[units.Speed]
	open := false
	for _, p := range points {
		bad := p.Crossing.Status >= s || p.Crossing.Status == PassageNotChecked
		switch {
		case bad && open:
			out[len(out)-1].High = p.Speed
		case bad:
			out = append(out, units.Range[units.Speed]{Low: p.Speed, High: p.Speed})
		}
		open = bad
	}
	return out
}

// LoadLimit is the load below which nothing as bad as a status was found at any
// speed up to a limit.
type LoadLimit struct {
	// Load is the greatest load of the search below which, in steps of 2 % of the
	// tipping load, nothing was found. It is zero if something was found at the
	// least load, 10 % of the tipping load.
	Load units.Mass `json:"load"`
	// Factor is the tipping load over Load; zero if Load is zero.
	Factor units.Fraction `json:"factor"`
	// Found says whether something was found at all. If not, Load is the tipping
	// load and Factor is 1: no load that can stand was found to do it.
	Found bool `json:"found"`
	// Speed is the speed at which it was found first, with the next larger load.
	Speed units.Speed `json:"speed"`
	// Notes are what the figures assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside them.
	Cautions Cautions `json:"cautions"`
}

// LoadLimit returns the load below which no speed up to a limit, 1 km/h to
// 54 km/h, is found to be as bad as a status, PassageLifts or PassageOver. Loads
// are tried from 10 to 98 % of the tipping load in steps of 2 %, speeds from
// 1 km/h on in steps of 0.5 km/h; what could not be followed counts as found. A
// stated obstacle may lower a load that other
// rules allow, and never raises it. It is an error if the passage has no load
// placed ahead of the front axle.
func (m *PassageModel) LoadLimit(ctx context.Context, limit units.Speed, s PassageStatus) (LoadLimit, error) {
	return searchLoad(ctx, limit, s, m.tipping, m.p.Load.CG.X, m.notes, func(load, speed float64) PassageStatus {
		return m.with(load, speed).Status
	})
}

// searchLoad tries loads and speeds until one is as bad as a status.
func searchLoad(ctx context.Context, limit units.Speed, s PassageStatus, tipping float64, place units.Length, notes Notes, at func(load, speed float64) PassageStatus) (LoadLimit, error) {
	const stride = 0.5 / 3.6
	if ctx == nil {
		ctx = context.Background()
	}
	var e units.FieldErrors
	if !(limit >= 1*units.KilometerPerHour && limit <= 54*units.KilometerPerHour) {
		e.Add("limit", valid.Show(limit), "must be between {low} and {high}", valid.Low(1*units.KilometerPerHour), valid.High(54*units.KilometerPerHour))
	}
	if s != PassageLifts && s != PassageOver {
		e.Add("status", s.String(), "must be lifts or goesOver")
	}
	if tipping == 0 {
		e.Add("load.cg.x", valid.Show(place), "must be given, ahead of the front axle")
	}
	if err := e.Err(); err != nil {
		return LoadLimit{}, err
	}
	o := LoadLimit{Notes: notes, Cautions: PassageCautions}
	for i := 5; i <= 49; i++ {
		share := float64(i) / 50
		for v := 1 / 3.6; v <= float64(limit)*(1+1e-9); v += stride {
			if err := ctx.Err(); err != nil {
				return LoadLimit{}, err
			}
			if got := at(share*tipping, v); got >= s || got == PassageNotChecked {
				o.Found, o.Speed = true, units.Speed(v)
				return o, nil
			}
		}
		o.Load, o.Factor = units.Mass(share*tipping), units.Fraction(1/share)
	}
	o.Load, o.Factor = units.Mass(tipping), 1
	return o, nil
}
