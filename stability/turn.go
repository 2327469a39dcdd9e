package stability

import (
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// AccelerationLimit is how hard a machine may accelerate in one direction
// before it loses a wheel or slides.
type AccelerationLimit struct {
	// Kind is what happens at the limit.
	Kind LimitKind `json:"kind"`
	// Status says whether the limit can occur.
	Status Status `json:"status"`
	// Acceleration is the limit's size, 0 or more. It means something only
	// with the statuses Within and Binds.
	Acceleration units.Acceleration `json:"acceleration"`
}

// TurnSide is the limits of a turn to one side.
type TurnSide struct {
	// Parallel is the tipping limit with the acceleration parallel to the
	// ground, as where the machine keeps to a plane slope.
	Parallel AccelerationLimit `json:"parallel"`
	// Horizontal is the tipping limit with the acceleration horizontal, as
	// where it keeps its height. On level ground the two are one.
	Horizontal AccelerationLimit `json:"horizontal"`
	// Slides is where the whole machine slides, the acceleration parallel to
	// the ground; not checked without a friction coefficient.
	Slides AccelerationLimit `json:"slides"`
	// ParallelSpeed, HorizontalSpeed and SlideSpeed are the speeds at those
	// limits on the radius of the turn: sqrt(a R).
	ParallelSpeed   units.Speed `json:"parallelSpeed"`
	HorizontalSpeed units.Speed `json:"horizontalSpeed"`
	SlideSpeed      units.Speed `json:"slideSpeed"`
	// Speed is the least of the three that can occur, and zero if the machine
	// is tipped before it moves.
	Speed units.Speed `json:"speed"`
	// First is what happens at Speed.
	First AccelerationLimit `json:"first"`
}

// Turn is the limits of a steady turn.
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
// 100 km, in a situation; the radius is that of the path of the center of
// gravity. The acceleration acts along the rear axle; that toward the circle's
// center has a part along the machine too, which is left out. On tight circles
// the limit is therefore too high: in a trial of odd machines by up to 45 % at a
// radius of 3 m and 17 % at 10 m, most with a rigid front axle. No note says so,
// nor that a radius is less than the machine can turn on.
//
// On level ground a/g is the tangent of the tipping slope across; the
// "stability factor" T/2z is right for rigid machines only. Jerks of the
// steering are not covered. An articulated machine is bent as far as the circle
// asks, whatever JointAngle says; a radius that asks for more than the joint's
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
				e.Add("radius", radius, "must be larger: the joint bends no further")
				return Turn{}, e.Err()
			}
			v := m.v
			v.Undercarriage.bend(bend)
			var err error
			if bent, err = v.Compile(); err != nil {
				return Turn{}, err
			}
		}
		*side = bent.turnSide(&c, sign, radius)
	}
	t.Notes &^= NoteBendUnknown | NoteBendAssumed
	return t, nil
}

// turnSide returns the limits of a turn to the left, sign 1, or right, -1.
func (m *Model) turnSide(c *Case, sign float64, radius units.Length) (o TurnSide) {
	r := m.resp
	if !c.plain {
		r = m.respond(c)
	}
	rows := m.v.Undercarriage.Kind.edges()
	down := weightAt(m.g, float64(c.s.Slope), c.sin, c.cos)
	level := vec{0, -down[2], down[1]}.unit()
	o.Parallel = m.accelerate(&r, c, vec{0, sign}, rows)
	o.Horizontal = m.accelerate(&r, c, level.times(sign), rows)
	o.Slides = m.slideOff(c, vec{0, sign})
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
	return o
}

// accelerate returns how large an acceleration along the unit vector d, along
// the machine or at right angles to that, may become until the first of some
// rows, given by bits, is lost.
func (m *Model) accelerate(r *response, c *Case, d vec, rows uint) AccelerationLimit {
	unit := m.whole.linear(d.times(-1))
	here := m.whole.linear(c.w)
	if c.s.Drawbar.Pull != 0 {
		for i, v := range c.s.Drawbar.wrench() {
			here[i] += v
		}
	}
	g := growing{start: r.all(&here), rise: r.all(&unit), most: 1e3}
	if surface := m.whole.pitch - m.whole.roll; surface != 0 {
		// The yaw of free surfaces goes with Gx Gy / -Gz. Times -Gz a row is a
		// square in the acceleration.
		w := c.w
		for i := range g.start {
			a, b, yaw := g.start[i], g.rise[i], float64(r[i][5]*surface)
			g.start[i] = a + float64(yaw*w[0]*w[1])/-w[2]
			g.rise[i] = b + (float64(a*d[2])-float64(yaw*(float64(w[0]*d[1])+float64(w[1]*d[0]))))/-w[2]
			g.bend[i] = b * d[2] / -w[2]
		}
	}
	kind, status, a := g.firstLost(m.v.Undercarriage.Kind, c.s.split(), rows)
	return AccelerationLimit{Kind: kind, Status: status, Acceleration: units.Acceleration(a)}
}

// growing is the rows of a response as something grows from zero: start + rise
// x + bend x^2.
type growing struct {
	start, rise, bend [numResponses]float64
	most              float64 // beyond what anybody asks for
}

func (g *growing) at(i int, x float64) float64 {
	return g.start[i] + float64(x*(g.rise[i]+float64(g.bend[i]*x)))
}

// end returns where a row reaches zero.
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

// firstLost returns the first of some limits, given by bits, that is reached.
func (g *growing) firstLost(k UndercarriageKind, by split, limits uint) (kind LimitKind, status Status, x float64) {
	var ends [NumEdges]Limit
	for i := range ends {
		ends[i] = Limit{Kind: LimitKind(i), Status: CannotOccur}
		if limits>>i&1 != 0 {
			ends[i].Grade, ends[i].Status = g.end(k.row(LimitKind(i)))
		}
	}
	zones, n := k.zones(by)
	if limits == k.edges() {
		correct(zones[:n], &ends, &course{row: g.at, end: g.end, most: g.most})
	}
	first := rank(ends[:])
	if first.Status == Binds {
		first.Status = Within
	}
	return first.Kind, first.Status, first.Grade
}

// slideOff returns how large an acceleration along the unit vector d in the
// ground may become until the whole machine slides: the force along the
// ground is the friction of all the weight.
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

// leastRoot returns the least x >= 0 at which a x^2 + b x + c, negative while
// all is well, becomes zero.
func leastRoot(a, b, c float64) (float64, Status) {
	if !(c < 0) {
		return 0, Exceeded
	}
	if d := b*b - 4*a*c; d >= 0 {
		// One root has the sign of -c/a; the form is free of cancellation.
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
