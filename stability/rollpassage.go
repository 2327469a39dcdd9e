package stability

import (
	"context"
	"math"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// PassageWheels says which wheels pass the obstacle of a [RollPassage]. In JSON:
// "eitherSide", "left", "right", "rearLeft" or "rearRight".
type PassageWheels uint8

// The wheels that pass.
const (
	// PassEitherSide is the zero value: the front and the rear wheel of the left
	// side, and in another passage those of the right; the worse of both counts.
	PassEitherSide PassageWheels = iota
	// PassLeft is the front and the rear wheel of the left side.
	PassLeft
	// PassRight is the front and the rear wheel of the right side.
	PassRight
	// PassRearLeft is the left rear wheel alone, as where the front track is
	// narrower.
	PassRearLeft
	// PassRearRight is the right rear wheel alone.
	PassRearRight
)

var passageWheelsNames = []string{"eitherSide", "left", "right", "rearLeft", "rearRight"}

// Differential says whether the rear wheels turn as one. In JSON: "unknown", "open" or
// "locked".
type Differential uint8

// The differential of the rear axle.
const (
	// DifferentialUnknown is the zero value: a passage with an open one and one with a
	// locked one are followed, and the worse of both counts.
	DifferentialUnknown Differential = iota
	// DifferentialOpen lets one rear wheel run ahead of the other.
	DifferentialOpen
	// DifferentialLocked: the rear wheels turn as one, the front wheels are driven with
	// them, and so they resist yaw.
	DifferentialLocked
)

var differentialNames = []string{"unknown", "open", "locked"}

// RollPassage is a machine with a pivoting front axle that passes over an obstacle
// with the wheels of one side, on a slope or on level ground, at a steady speed.
// It is the companion of [Passage], in which both sides pass at once.
type RollPassage struct {
	// Vehicle is everything but the load. Its undercarriage must be PivotingFront,
	// and its RearTireStiffness must be left out: Rear has it. A stop angle of zero
	// is not known, and then no stop holds the body.
	Vehicle Vehicle `json:"vehicle"`
	// RollInertia is the body's roll inertia about its center of gravity, without
	// load and axle, 1 to 1e7 kg m2. Left out, it is that of the parts
	// (Vehicle.Body.Inertia.XX) or, if that is zero, the band of
	// [EstimateRollInertia].
	RollInertia units.Input[units.Inertia] `json:"rollInertia,omitzero"`
	// Load is the load, rigid on the machine. Its mass may be zero.
	Load Part `json:"load,omitzero"`
	// Rear is the rear axle's tires.
	Rear Tires `json:"rear"`
	// Front is the front axle's tires.
	Front Tires `json:"front"`
	// Damping is the damping ratio of the machine's bounce without its load, as in
	// [Passage].
	Damping units.Input[units.Fraction] `json:"damping,omitzero"`
	// Obstacle is what the wheels pass. It begins 0.8 m ahead of where the front
	// tires start.
	Obstacle Obstacle `json:"obstacle"`
	// Wheels are those that pass.
	Wheels PassageWheels `json:"wheels,omitempty"`
	// Differential is that of the rear axle.
	Differential Differential `json:"differential,omitempty"`
	// Slope is the inclination of the ground, 0 to 45 degrees.
	Slope units.Slope `json:"slope,omitempty"`
	// Heading is where the nose points, as in [Situation].
	Heading units.Angle `json:"heading,omitempty"`
	// Friction is the coefficient between wheels and ground, 0.05 to 5; zero means
	// 0.8.
	Friction units.Fraction `json:"friction,omitempty"`
}

// Validate reports every field of the passage that is out of range, by its JSON
// name.
func (p RollPassage) Validate() error {
	var e units.FieldErrors
	e.Join("vehicle", p.Vehicle.Validate())
	u := &p.Vehicle.Undercarriage
	if u.Kind != PivotingFront && choice.Known(undercarriageNames, u.Kind) && u.Kind != UndercarriageUnknown {
		e.Add("vehicle.undercarriage.kind", u.Kind.String(), "must be pivotingFront for a roll passage")
	}
	if u.RearTireStiffness != 0 {
		e.Add("vehicle.undercarriage.rearTireStiffness", u.RearTireStiffness, "must be left out; rear.stiffness has it, for both tires")
	}
	valid.Optional(&e, "rollInertia", p.RollInertia, 1, 1e7)
	e.Join("load", p.Load.Validate())
	p.Rear.validate(&e, "rear")
	p.Front.validate(&e, "front")
	valid.Optional(&e, "damping", p.Damping, 0, 1)
	notAbsent(&e, "rollInertia", p.RollInertia.Absent())
	notAbsent(&e, "damping", p.Damping.Absent())
	e.Join("obstacle", p.Obstacle.Validate())
	if !choice.Known(passageWheelsNames, p.Wheels) {
		e.Add("wheels", int(p.Wheels), choice.OneOf, choice.Of[PassageWheels](passageWheelsNames))
	}
	if !choice.Known(differentialNames, p.Differential) {
		e.Add("differential", int(p.Differential), choice.OneOf, choice.Of[Differential](differentialNames))
	}
	valid.Within(&e, "slope", p.Slope, 0, (45 * units.Degree).Slope())
	valid.Heading(&e, "heading", p.Heading)
	valid.ZeroOr(&e, "friction", p.Friction, 0.05, 5)
	if e.Len() == 0 {
		if p.Load.Mass > 0 && !(p.Load.CG.Z > 0) {
			e.Add("load.cg.z", p.Load.CG.Z, "must be above the ground")
		}
		if x := p.Vehicle.Body.CG.X; !(x > 0 && x < u.Wheelbase) {
			e.Add("vehicle.body.cg.x", x, "must lie between the axles, above 0 and below {high}", valid.High(u.Wheelbase))
		}
	}
	return e.Err()
}

// A RollPassageModel is a roll passage prepared for fast answers. It is immutable
// and safe for many goroutines. Make one with [RollPassage.Compile].
type RollPassageModel struct {
	p        RollPassage
	g        float64
	weight   vec
	tipping  float64
	variants [17]variant
	n        int
	terrain  terrain
	notes    Notes
	way      float64
	until    float64 // where a test ends the passage, else 0
}

// Compile checks the passage and prepares it. Where stiffness, damping or roll
// inertia are a range, answers are those of the machines at every corner of the
// ranges and of the one in the middle.
func (p RollPassage) Compile() (*RollPassageModel, error) {
	if err := p.Validate(); err != nil {
		return nil, err
	}
	m := &RollPassageModel{p: p, g: gravity(p.Vehicle.Gravity), notes: NoteFirmGround | NoteLoadRigid | NoteEdgesHold | NoteSpeedHeld}
	m.notes |= p.Vehicle.notes() & (NotePinHeightUnknown | NoteAxleMassless | NoteStopUnknown | NoteSurfaceFirstOrder)
	if m.p.Friction == 0 {
		m.p.Friction = usualFriction
		m.notes |= NotePracticeRange
	}
	b, u := &p.Vehicle.Body, &p.Vehicle.Undercarriage
	mass := b.Mass + u.Axle.Mass
	share := (float64(b.Mass)*float64(b.CG.X/u.Wheelbase) + float64(u.Axle.Mass)) / float64(mass)
	if p.Load.CG.X > u.Wheelbase {
		m.tipping = float64(b.Mass) * float64((u.Wheelbase-b.CG.X)/(p.Load.CG.X-u.Wheelbase))
	}
	inertia, known := p.RollInertia.Range()
	if !known {
		if i := b.Inertia.XX; i > 0 {
			inertia = units.Range[units.Inertia]{Low: i, High: i}
		} else {
			inertia = EstimateRollInertia(b.Mass, u.RearTrack)
			m.notes |= NotePracticeRange
		}
	}
	m.n = spread(&m.variants, inertia, p.Damping, [2]*Tires{&p.Rear, &p.Front}, mass, share, &m.notes)
	sin, cos := headingSincos(p.Heading)
	m.weight = weightAt(m.g, float64(p.Slope.Angle()), sin, cos)
	o := &p.Obstacle
	start := float64(u.Wheelbase+p.Front.Radius) + runUp
	m.terrain = terrain{kind: o.Kind, from: start, to: start + float64(o.Length), height: float64(o.Height)}
	m.way = m.terrain.to + float64(p.Rear.Radius) + 0.2
	m.terrain.prepare(o)
	return m, nil
}

// TippingLoad returns the load at the place of the passage's load at which the
// rear axle carries nothing at rest on level ground; zero if no load is placed
// ahead of the front axle.
func (m *RollPassageModel) TippingLoad() units.Mass { return units.Mass(m.tipping) }

// set prepares the motion of one machine that fits, with a load, at a speed. It
// returns false if the machine does not stand at rest.
func (m *RollPassageModel) set(g *motion, v *variant, load, speed float64, right, open bool) bool {
	p := &m.p
	u, b, l := &p.Vehicle.Undercarriage, &p.Vehicle.Body, &p.Load
	g.inSpace = true
	s := &g.space
	*s = spatial{
		terrain: m.terrain, weight: m.weight, speed: speed, wheelbase: float64(u.Wheelbase), open: open,
		half:   [2]float64{float64(u.RearTrack) / 2, float64(u.FrontTrack) / 2},
		radius: [2]float64{float64(p.Rear.Radius), float64(p.Front.Radius)},
		k:      [2]float64{v.k[0] / 2, v.k[1]}, c: [2]float64{v.c[0] / 2, v.c[1]},
		stop: math.Inf(1),
	}
	s.point = [3]vec{{0, s.half[0]}, {0, -s.half[0]}, {s.wheelbase, 0, float64(u.PinHeight)}}
	parts := [3]struct {
		mass float64
		cg   vec
		own  tensor
	}{
		{float64(b.Mass), b.CG.vec().plus(vec{0, 0, float64(b.RollRise)}), b.Inertia.tensor(false)},
		{load, l.CG.vec().plus(vec{0, 0, float64(l.RollRise)}), tensor{}},
		{float64(u.Axle.Mass), s.point[2], Inertia{YY: u.Axle.Inertia.YY, ZZ: u.Axle.Inertia.ZZ}.tensor(false)},
	}
	if l.Mass > 0 {
		parts[1].own = l.Inertia.tensor(false)
		for i := range parts[1].own {
			parts[1].own[i] = parts[1].own[i].times(load / float64(l.Mass))
		}
	}
	own := &parts[0].own
	if own[1][1] == 0 {
		own[1][1] = float64(b.Mass) * square(0.4*float64(u.Wheelbase))
	}
	if own[2][2] == 0 {
		own[2][2] = own[1][1]
	}
	own[0][0] = v.inertia
	for _, q := range parts {
		s.mass += q.mass
		s.cg = s.cg.plus(q.cg.times(q.mass))
	}
	s.cg = s.cg.times(1 / s.mass)
	for _, q := range parts {
		d := q.cg.minus(s.cg)
		for i := range 3 {
			for j := range 3 {
				s.tensor[i][j] += q.own[i][j] - q.mass*d[i]*d[j]
			}
			s.tensor[i][i] += q.mass * d.dot(d)
		}
	}
	s.inverse = s.tensor.inverse()
	for i := range s.point {
		s.arm[i] = s.point[i].minus(s.cg)
	}
	front := s.mass * m.g * s.cg[0] / s.wheelbase
	s.static = [2]float64{(s.mass*m.g - front) / 2, front}
	if a := float64(u.StopAngle); a > 0 {
		s.stop = a
	}
	if m.terrain.kind != ObstacleLevel {
		side := 0
		if right {
			side = 1
		}
		s.passes[side] = true
		s.passes[2+side] = p.Wheels == PassEitherSide || p.Wheels == PassLeft || p.Wheels == PassRight
	}
	g.least, g.most = 1e-4, 0.015
	for i := range numSpatial {
		g.absolute[i] = 3e-6
		if i >= rateX {
			g.absolute[i] = 3e-5
		}
	}
	var at state
	if !s.rest(&at) {
		return false
	}
	g.start(&at, numSpatial, 1e-3)
	return s.force[0] > 0 && s.force[1] > 0
}

// inverse returns the inverse of a symmetric tensor.
func (t tensor) inverse() (o tensor) {
	a, b, c := t[1].cross(t[2]), t[2].cross(t[0]), t[0].cross(t[1])
	d := t[0].dot(a)
	return tensor{a.times(1 / d), b.times(1 / d), c.times(1 / d)}
}

// rest changes the places of a state until all forces balance with every wheel on
// the plane, by Newton's method.
func (p *spatial) rest(s *state) bool {
	passes := p.passes
	p.passes = [4]bool{}
	defer func() { p.passes = passes }()
	const n = 6
	var now, moved state
	for range 40 {
		p.rate(s, &now)
		var worst float64
		for i := range n {
			worst = max(worst, math.Abs(now[rateX+i]))
		}
		if worst < 1e-9 {
			return true
		}
		var a [n][n + 1]float64
		for j := range n {
			const d = 1e-7
			at := *s
			at[atX+j] += d
			p.rate(&at, &moved)
			for i := range n {
				a[i][j] = (moved[rateX+i] - now[rateX+i]) / d
			}
		}
		for i := range n {
			a[i][n] = -now[rateX+i]
		}
		if !eliminate(&a) {
			return false
		}
		size := 0.0
		for i := range n {
			size = max(size, math.Abs(a[i][n]))
		}
		step := min(1, 0.1/max(size, 1e-300))
		for i := range n {
			s[atX+i] += step * a[i][n]
		}
		if !(size < 1e3) {
			return false
		}
	}
	return false
}

// eliminate solves six equations; the last column becomes the solution.
func eliminate(a *[6][7]float64) bool {
	for c := range 6 {
		best := c
		for i := c + 1; i < 6; i++ {
			if math.Abs(a[i][c]) > math.Abs(a[best][c]) {
				best = i
			}
		}
		a[c], a[best] = a[best], a[c]
		if !(math.Abs(a[c][c]) > 1e-12) {
			return false
		}
		for i := range 6 {
			if i == c {
				continue
			}
			f := a[i][c] / a[c][c]
			for j := c; j < 7; j++ {
				a[i][j] -= f * a[c][j]
			}
		}
	}
	for i := range 6 {
		a[i][6] /= a[i][i]
	}
	return true
}

// RollCrossing is a roll passage at one speed. Each range is from the least to the
// greatest of the machines that fit what is known; it is no proof for machines
// between those that were followed.
type RollCrossing struct {
	// Status is the worst of the machines. PassageLifts: a rear wheel leaves the
	// ground, also where the stop then catches the body and holds it. PassageOver: the
	// body rolls past its balance and on, pitches over its nose, which Roll does not show,
	// or does not stand at rest.
	// PassageNotChecked also where the wheels slide at rest.
	Status PassageStatus `json:"status"`
	// RearLoad is the least load on either rear wheel during the passage.
	RearLoad units.Range[units.Force] `json:"rearLoad"`
	// RearAtRest is the load on the less loaded rear wheel at rest.
	RearAtRest units.Range[units.Force] `json:"rearAtRest"`
	// Airborne is the longest time that one rear wheel is off the ground in one go.
	Airborne units.Range[units.Duration] `json:"airborne"`
	// Gap is the greatest distance between a rear tire and the ground. It is negative
	// if both stay pressed in, by so much at least.
	Gap units.Range[units.Length] `json:"gap"`
	// Roll is the greatest roll of the body against the ground, to either side. It
	// is not followed far past Balance.
	Roll units.Range[units.Angle] `json:"roll"`
	// Balance is the lean against the horizon at which the body would balance over
	// the line from a rear contact to the pin, the side with the lesser angle.
	Balance units.Angle `json:"balance"`
	// MeetsStop says whether the body rolled as far as the axle's stop.
	MeetsStop bool `json:"meetsStop"`
	// Notes are what the figures assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside the figures.
	Cautions Cautions `json:"cautions"`
}

// At returns what happens at a speed, 0.05 to 15 m/s, with the passage's own load.
// It allocates nothing.
func (m *RollPassageModel) At(speed units.Speed) (RollCrossing, error) {
	if err := checkSpeed("speed", speed); err != nil {
		return RollCrossing{}, err
	}
	return m.with(float64(m.p.Load.Mass), float64(speed)), nil
}

// with returns what happens with a load at a speed.
func (m *RollPassageModel) with(load, speed float64) (c RollCrossing) {
	var g motion
	c.Notes, c.Cautions = m.notes, PassageCautions
	first := true
	for way := range 4 {
		right, open := way&1 == 1, way < 2
		if d := m.p.Differential; d == DifferentialOpen && !open || d == DifferentialLocked && open {
			continue
		}
		if w := m.p.Wheels; w != PassEitherSide && right != (w == PassRight || w == PassRearRight) {
			continue
		}
		for i := range m.variants[:m.n] {
			f := m.one(&g, &m.variants[i], load, speed, right, open)
			rest, air, gap, roll := units.Force(f.rest), units.Duration(f.air), units.Length(f.gap), units.Angle(f.roll)
			if first {
				first = false
				c.Status = f.status
				c.RearLoad = single(units.Force(f.load))
				c.RearAtRest, c.Airborne, c.Gap, c.Roll = single(rest), single(air), single(gap), single(roll)
				c.Balance = units.Angle(f.balance)
			}
			c.Status = c.Status.worse(f.status)
			widen(&c.RearLoad, units.Force(f.load))
			widen(&c.RearAtRest, rest)
			widen(&c.Airborne, air)
			widen(&c.Gap, gap)
			widen(&c.Roll, roll)
			c.MeetsStop = c.MeetsStop || f.meets
			if f.slides {
				c.Cautions |= CautionSlidesFirst
			}
		}
	}
	return c
}

func single[Q units.Quantity](v Q) units.Range[Q] { return units.Range[Q]{Low: v, High: v} }

// rolled is what one machine did.
type rolled struct {
	status                     PassageStatus
	load, rest, air, gap, roll float64
	balance                    float64
	meets, slides              bool
}

// one follows one machine over the obstacle with the wheels of one side.
func (m *RollPassageModel) one(g *motion, v *variant, load, speed float64, right, open bool) (f rolled) {
	stands := m.set(g, v, load, speed, right, open)
	s := &g.space
	f.balance = s.freeBalance()
	if math.Hypot(s.weight[0], s.weight[1]) > float64(m.p.Friction)*-s.weight[2] {
		f.status, f.slides = PassageNotChecked, true
		return f
	}
	if !stands {
		f.status = PassageOver
		return f
	}
	f.rest = min(s.force[0], s.force[1])
	w := rollWatch{rolled: f, load: f.rest, gap: math.Inf(-1)}
	w.over = math.Atan((math.Abs(s.cg[1])+max(s.half[0], s.half[1]))/s.cg[2]) + pastBalance
	w.nose = math.Atan2(s.wheelbase-s.cg[0], s.cg[2]) + pastBalance
	end := m.way/speed + 1.5
	latest := 2*end + 5
	if m.until > 0 {
		end, latest = m.until, m.until
	}
	var t float64
	for g.steps < mostSteps {
		t += g.step(latest)
		w.steps(g, t)
		if w.gone {
			return w.end(PassageOver)
		}
		if t >= end && !w.inAir[0] && !w.inAir[1] {
			return w.end(PassageWithin)
		}
		if t >= latest {
			break
		}
	}
	if w.rests {
		return w.end(PassageLifts) // caught by the stop, and held there
	}
	return w.end(PassageNotChecked)
}

// stillOnStop is the rate of roll below which a body that the stop holds has come to rest
// on it, in rad/s.
const stillOnStop = 0.02

// freeBalance returns the lean at which the body balances over the line from a
// rear contact to the pin.
func (p *spatial) freeBalance() float64 {
	d := p.half[0] - math.Abs(p.cg[1])
	return math.Atan2(d*p.wheelbase-p.half[0]*p.cg[0], p.wheelbase*p.cg[2]-p.point[2][2]*p.cg[0])
}

// rollWatch keeps the extremes of a motion in space.
type rollWatch struct {
	rolled
	load, gap  float64
	over, nose float64
	inAir      [2]bool
	left       [2]float64
	gone       bool
	rests      bool // on the stop
}

// steps looks at the last step, in quarters.
func (w *rollWatch) steps(g *motion, t float64) {
	var s, unused state
	p := &g.space
	for i := 1; i <= 4 && !w.gone; i++ {
		share := float64(i) / 4
		g.at(share, &s)
		now := t - (1-share)*g.h
		p.rate(&s, &unused)
		for j := range 2 {
			f := p.force[j]
			w.load, w.gap = min(w.load, f), max(w.gap, p.gap[j])
			if f == 0 && !w.inAir[j] {
				w.inAir[j], w.left[j] = true, now
			}
			if w.inAir[j] {
				w.air = max(w.air, now-w.left[j])
				w.inAir[j] = f == 0
			}
		}
		w.roll = max(w.roll, math.Abs(s[atRoll]))
		w.meets = w.meets || p.held != 0
		w.rests = p.held != 0 && math.Abs(s[spinX]) < stillOnStop
		up := -p.axes[2].dot(p.weight)
		lean, turn := math.Atan2(-p.axes[1].dot(p.weight), up), s[spinX]
		nose := math.Atan2(p.axes[0].dot(p.weight), up)
		w.gone = math.Abs(lean) > w.over && lean*turn > 0 || nose > w.nose && s[spinY] > 0
	}
}

func (w *rollWatch) end(s PassageStatus) rolled {
	o := w.rolled
	o.load, o.gap, o.status = w.load, w.gap, s
	if s == PassageWithin && w.load == 0 {
		o.status = PassageLifts
	}
	return o
}

// RollPoint is one speed of a scan of a roll passage.
type RollPoint struct {
	// Speed is the speed.
	Speed units.Speed `json:"speed"`
	// Crossing is what happens at it.
	Crossing RollCrossing `json:"crossing"`
}

// Scan fills points with what happens at as many speeds in equal steps from low
// to high, 0.05 to 15 m/s, as [PassageModel.Scan] does. It allocates nothing.
func (m *RollPassageModel) Scan(ctx context.Context, points []RollPoint, low, high units.Speed) error {
	if err := checkScan(low, high); err != nil {
		return err
	}
	clear(points)
	for i := range points {
		if err := valid.Ended(ctx, "stability: scan"); err != nil {
			return err
		}
		v := scanned(low, high, i, len(points))
		points[i] = RollPoint{v, m.with(float64(m.p.Load.Mass), float64(v))}
	}
	return nil
}

// LoadLimit returns the load below which no speed up to a limit is found to be as
// bad as a status, as [PassageModel.LoadLimit] does: the loads and speeds that are
// tried, and the errors, are the same.
func (m *RollPassageModel) LoadLimit(ctx context.Context, limit units.Speed, s PassageStatus) (LoadLimit, error) {
	return searchLoad(ctx, limit, s, m.tipping, m.p.Load.CG.X, m.notes, func(load, speed float64) PassageStatus {
		return m.with(load, speed).Status
	})
}
