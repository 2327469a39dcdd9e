package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// AccelerationLimit is the acceleration in one direction at which a machine
// loses a wheel or slides.
type AccelerationLimit struct {
	// Kind is what happens at the limit.
	Kind LimitKind `json:"kind"`
	// Status says whether the limit can occur.
	Status Status `json:"status"`
	// Acceleration is the limit's size, 0 or more. It means something only
	// with the statuses Within and Binds.
	Acceleration units.Acceleration `json:"acceleration"`
}

// TurnSide holds the limits of a turn to one side.
type TurnSide struct {
	// Parallel is the tipping limit with the acceleration parallel to the ground,
	// as when the machine stays on a plane slope.
	Parallel AccelerationLimit `json:"parallel"`
	// Horizontal is the tipping limit with the acceleration horizontal, as when
	// the machine keeps its height. On level ground it equals Parallel.
	Horizontal AccelerationLimit `json:"horizontal"`
	// Slides is the limit at which the whole machine slides, with the acceleration
	// parallel to the ground. It is not checked without a friction coefficient.
	Slides AccelerationLimit `json:"slides"`
	// ParallelSpeed, HorizontalSpeed and SlideSpeed are the speeds at those
	// limits on the radius of the turn: sqrt(a R).
	ParallelSpeed   units.Speed `json:"parallelSpeed"`
	HorizontalSpeed units.Speed `json:"horizontalSpeed"`
	SlideSpeed      units.Speed `json:"slideSpeed"`
	// Speed is the least of the three speeds that can occur. It is zero if the
	// machine has tipped before it moves.
	Speed units.Speed `json:"speed"`
	// First is the limit that is reached at Speed.
	First AccelerationLimit `json:"first"`
}

// Turn holds the limits of a steady turn.
type Turn struct {
	// Left is a turn with its center on the machine's left.
	Left TurnSide `json:"left"`
	// Right is a turn with its center on the right.
	Right TurnSide `json:"right"`
	// Notes are what the limits assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside the limits.
	Cautions Cautions `json:"cautions"`
}

// Turn returns how fast the machine may go on a circle of a radius, 0.1 m to
// 100 km, in a situation. The radius is that of the path of the center of
// gravity. It is an error if it is not larger than the center of gravity's
// distance from the rear axle. Whether the machine can steer so far is not
// checked, and its steered wheels keep the contacts of straight travel.
//
// The circle's center lies on the line of the rear axle, whose wheels do not slip
// sideways. The acceleration of a mass ahead of that line therefore has a part
// toward the rear, which lowers the limit on tight circles. Body and axle are
// each accelerated at their own centers of gravity, and their products of inertia
// count if they are given.
//
// On wide circles on level ground a/g is the tangent of the tipping slope across.
// The "stability factor" T/2z is right for rigid machines only. Sudden steering
// is not covered. An articulated machine is bent as far as the circle requires,
// whatever JointAngle says; a radius that requires more than the joint's
// MaxJointAngle, or 60 degrees, is an error.
func (m *Model) Turn(s Situation, radius units.Length) (Turn, error) {
	var e units.FieldErrors
	e.Join("situation", s.Validate())
	valid.Within(&e, "radius", radius, 0.1, 1e5)
	if err := e.Err(); err != nil {
		return Turn{}, err
	}
	t := Turn{Notes: m.notes | NoteParallelAcceleration | NoteHorizontalAcceleration, Cautions: SlopeCautions}
	if s.Friction == 0 {
		t.Notes |= NoteFrictionUnknown
	}
	c := s.compile(m.g)
	for i, side := range []*TurnSide{&t.Left, &t.Right} {
		sign := float64(1 - 2*i)
		bent := m
		if m.v.Undercarriage.Kind == Articulated {
			bend, ok := m.bendFor(radius, sign)
			if !ok {
				e.Add("radius", radius, "must be larger: the joint cannot bend so far")
				return Turn{}, e.Err()
			}
			v := m.v
			v.Undercarriage.bend(bend)
			var err error
			if bent, err = v.Compile(); err != nil {
				return Turn{}, err
			}
		}
		var ok bool
		if *side, ok = bent.turnSide(&c, sign, radius); !ok {
			e.Add("radius", radius, "must be larger than the center of gravity's distance from the rear axle")
			return Turn{}, e.Err()
		}
	}
	t.Notes &^= NoteBendUnknown | NoteBendAssumed
	return t, nil
}

// turnSide returns the limits of a turn to the left (sign 1) or right (sign -1),
// and false if the circle's center cannot lie on the rear axle's line.
func (m *Model) turnSide(c *Case, sign float64, radius units.Length) (o TurnSide, ok bool) {
	var apart footing
	f := m.under(c, &apart)
	parallel, ok := m.toward(sign, float64(radius), vec{0, 0, -1})
	if !ok {
		return o, false
	}
	level, _ := m.toward(sign, float64(radius), weightAt(m.g, float64(c.s.Slope), c.sin, c.cos))
	o.Parallel = m.accelerate(f, c, parallel)
	o.Horizontal = m.accelerate(f, c, level)
	o.Slides = m.slideOff(c, parallel.whole)
	o.First = o.Slides
	o.First.Status = CannotOccur
	for _, l := range []struct {
		limit *AccelerationLimit
		speed *units.Speed
	}{{&o.Parallel, &o.ParallelSpeed}, {&o.Horizontal, &o.HorizontalSpeed}, {&o.Slides, &o.SlideSpeed}} {
		if l.limit.Status == Within {
			*l.speed = l.limit.Acceleration.CircularSpeed(radius)
		}
		switch {
		case o.First.Status == Exceeded:
		case l.limit.Status == Exceeded,
			l.limit.Status == Within && (o.First.Status != Within || l.limit.Acceleration < o.First.Acceleration):
			o.First, o.Speed = *l.limit, *l.speed
		}
	}
	return o, true
}

// A push holds the accelerations of a machine per unit acceleration of its center
// of gravity: those of its body, its axle and the whole, and the square of its
// rate of turn.
type push struct {
	body, axle, whole vec
	turn              float64
}

// straight returns a push that is the same for all parts.
func straight(d vec) push { return push{body: d, axle: d, whole: d} }

// toward returns the push of a steady turn about a center on the rear axle's
// line, to the left for the sign 1. The radius is that of the center of gravity.
// The acceleration is at right angles to the specific weight down. It returns
// false if the circle's center cannot lie on that line.
func (m *Model) toward(sign, radius float64, down vec) (p push, ok bool) {
	w := &m.whole
	x, y := w.x/w.m, w.y/w.m
	beside := radius*radius - x*x
	if !(beside > 0) {
		return p, false
	}
	center := y + sign*math.Sqrt(beside)
	at := func(x, y float64) vec {
		d := vec{-x, center - y}
		d[2] = -(d[0]*down[0] + d[1]*down[1]) / down[2]
		return d
	}
	p.whole = at(x, y)
	size := math.Sqrt(p.whole.dot(p.whole))
	p.whole = p.whole.times(1 / size)
	b := &m.v.Body.CG
	p.body = at(float64(b.X), float64(b.Y)).times(1 / size)
	if m.axle.m > 0 {
		p.axle = at(m.axle.x/m.axle.m, m.axle.y/m.axle.m).times(1 / size)
	}
	p.turn = 1 / size
	return p, true
}

// inertia returns the outside load that a push of unit size puts on the machine.
// In a turn the products of inertia add a moment: the rate's square times
// (Iyz, -Ixz, 0).
func (m *Model) inertia(p push) [7]float64 {
	w := m.body.linear(p.body.times(-1))
	a := m.axle.linear(p.axle.times(-1))
	for i := range w {
		w[i] += a[i]
	}
	if p.turn != 0 {
		roll, pitch := float64(m.v.Body.Inertia.YZ), -float64(m.v.Body.Inertia.XZ)
		if u := &m.v.Undercarriage; u.Axle.Mass > 0 {
			in := &u.Axle.Inertia
			sin, cos := math.Sincos(float64(u.JointAngle))
			if !u.bent() {
				sin, cos = 0, 1
			}
			yz := float64(in.XZ)*sin + float64(in.YZ)*cos
			roll += yz
			pitch -= float64(in.XZ)*cos - float64(in.YZ)*sin
			if u.pinned() {
				w[6] += p.turn * yz
			}
		}
		w[3] += p.turn * roll
		w[4] += p.turn * pitch
	}
	return w
}

// accelerate returns how large an acceleration may become until the first limit
// is reached.
func (m *Model) accelerate(f *footing, c *Case, p push) AccelerationLimit {
	unit := m.inertia(p)
	here := m.whole.linear(c.w)
	if c.s.Drawbar.Pull != 0 {
		for i, v := range c.s.Drawbar.wrench() {
			here[i] += v
		}
	}
	g := growing{start: f.rows.all(&here), rise: f.rows.all(&unit)}
	surface, w, d := m.whole.pitch-m.whole.roll, c.w, p.whole
	if surface != 0 {
		// The yaw of free surfaces is proportional to Gx Gy / -Gz. A row times -Gz
		// is therefore quadratic in the acceleration.
		for i := range g.start {
			a, b, yaw := g.start[i], g.rise[i], float64(f.rows[i][5]*surface)
			g.start[i] = a + float64(yaw*w[0]*w[1])/-w[2]
			g.rise[i] = b + (float64(a*d[2])-float64(yaw*(float64(w[0]*d[1])+float64(w[1]*d[0]))))/-w[2]
			g.bend[i] = (float64(b*d[2]) + float64(yaw*d[0]*d[1])) / -w[2]
		}
	}
	way := course{
		load: func(a float64) [7]float64 {
			o := grown(&here, &unit, a)
			o[5] += surface * surfaceYaw([3]float64{w[0] - a*d[0], w[1] - a*d[1], w[2] - a*d[2]})
			return o
		},
		end:   g.end,
		scale: m.g, most: 1e3,
	}
	first := f.within(&way)
	return AccelerationLimit{Kind: first.Kind, Status: first.Status, Acceleration: units.Acceleration(first.Grade)}
}

// growing holds the rows of a response as functions of a quantity x that grows
// from zero: start + rise x + bend x^2.
type growing struct{ start, rise, bend [numResponses]float64 }

// end returns the x at which a row reaches zero.
func (g *growing) end(i int) (float64, Status) {
	switch {
	case !(g.start[i] > 0):
		return 0, Exceeded
	case g.bend[i] != 0:
		return leastRoot(-g.bend[i], -g.rise[i], -g.start[i])
	case g.rise[i] < -1e-12*g.start[i]:
		if x := -g.start[i] / g.rise[i]; x <= 1e12 {
			return x, Within
		}
	}
	return 0, CannotOccur
}

// slideOff returns the acceleration along d, a unit vector in the ground plane,
// at which the whole machine slides: the force along the ground then equals the
// friction of the whole weight.
func (m *Model) slideOff(c *Case, d vec) AccelerationLimit {
	mu := float64(c.s.Friction)
	l := AccelerationLimit{Kind: SlidesAll}
	if mu == 0 || c.s.Drawbar.Pull != 0 {
		return l
	}
	w := vec(c.w)
	p := vec{w[0], w[1]}
	// |p - a d| = mu n
	a, s := leastRoot(1, -2*p.dot(d), p.dot(p)-float64(mu*w[2])*float64(mu*w[2]))
	l.Acceleration, l.Status = units.Acceleration(a), s
	return l
}

// leastRoot returns the least x >= 0 at which a x^2 + b x + c becomes zero. The
// expression is negative before the limit.
func leastRoot(a, b, c float64) (float64, Status) {
	if !(c < 0) {
		return 0, Exceeded
	}
	if d := b*b - 4*a*c; d >= 0 {
		// One root has the sign of -c/a. This form avoids cancellation.
		q := -(b + math.Copysign(math.Sqrt(d), b)) / 2
		best := math.Inf(1)
		if x := c / q; x >= 0 {
			best = x
		}
		if a != 0 {
			if x := q / a; x >= 0 && x < best {
				best = x
			}
		}
		if best < 1e12 {
			return best, Within
		}
	}
	return 0, CannotOccur
}
