package stability

import (
	"math"

	"example.com/steelyard/internal/numeric"
)

// Held says which wheels hold, brake or drive the machine along the slope. The
// other wheels roll freely and hold it only sideways. In JSON: "rear", "front" or
// "all".
type Held uint8

// Which wheels hold the machine.
const (
	// HeldRear: the rear wheels, as the brakes of most tractors do. It is the
	// zero value.
	HeldRear Held = iota
	// HeldFront: the front wheels.
	HeldFront
	// HeldAll: all wheels, as with an engaged driven front axle; the axles share
	// the force as the ground allows.
	HeldAll
)

var heldNames = []string{"rear", "front", "all"}

// The places in the array of slide limits.
const (
	slideRear = iota
	slideFront
	slideAll
	numSlides
)

// grip holds the loads of the axles and the forces that they need at rest in one
// heading, divided by g cos b. With t the tangent of the slope, the loads are
// front.a - t front.b and rear.a - t rear.b, and the forces are t times those
// along and across.
type grip struct {
	frontA, frontB, rearA, rearB float64
	along                        float64 // of the whole machine
	frontSide, rearSide          float64
}

func (m *Model) grip(sin, cos float64) grip {
	f, r := &m.edges[RearEdge], &m.edges[FrontEdge]
	w := &m.whole
	// These are moments about the vertical through the rear axle's middle, with
	// equal longitudinal forces on the rear wheels.
	side := (float64(w.x*sin) - float64(w.y*cos)) / float64(m.v.Undercarriage.Wheelbase)
	return grip{
		frontA: f.a, frontB: float64(f.s*sin) + float64(f.c*cos),
		rearA: r.a, rearB: float64(r.s*sin) + float64(r.c*cos),
		along:     w.m * math.Abs(cos),
		frontSide: math.Abs(side),
		rearSide:  math.Abs(float64(w.m*sin) - side),
	}
}

// slides fills in the slopes at which the axles, and the whole machine, slide.
func (m *Model) slides(l *[numSlides]Limit, c *Case) {
	l[slideRear].Kind, l[slideFront].Kind, l[slideAll].Kind = SlidesRear, SlidesFront, SlidesAll
	mu := float64(c.s.Friction)
	if mu == 0 || !c.still || m.v.Undercarriage.bent() {
		return
	}
	g := m.grip(c.sin, c.cos)
	rear, front := g.rearSide, g.frontSide
	switch c.s.Held {
	case HeldRear:
		rear = math.Sqrt(rear*rear + g.along*g.along)
	case HeldFront:
		front = math.Sqrt(front*front + g.along*g.along)
	}
	// t need = mu (a - t b)
	solve := func(l *Limit, need, a, b float64) {
		if !(a > 0) {
			l.Status = Exceeded
			return
		}
		if !(need > tiny*a) {
			l.Status = CannotOccur // the axle may lift, but it does not slide
			return
		}
		if d := need + float64(mu*b); d > tiny*a {
			l.Grade, l.Status = mu*a/d, Within
			return
		}
		l.Status = CannotOccur
	}
	solve(&l[slideRear], rear, g.rearA, g.rearB)
	solve(&l[slideFront], front, g.frontA, g.frontB)
	if c.s.Held == HeldAll {
		m.slideAll(l, &g, mu)
	} else {
		// The whole machine slides at the tangent mu, whichever wheels hold it,
		// unless an axle slides before.
		l[slideAll].Status, l[slideAll].Grade = Within, mu
	}
}

// slideAll finds the slope at which the axles together can no longer hold the
// machine. There the friction that the axles have left beside their lateral
// forces adds up to the longitudinal force.
func (m *Model) slideAll(l *[numSlides]Limit, g *grip, mu float64) {
	left := func(t, a, b, side float64) float64 {
		n, s := mu*(a-float64(t*b)), t*side
		return math.Sqrt(max(0, (n-s)*(n+s)))
	}
	spare := func(t float64) float64 {
		return left(t, g.rearA, g.rearB, g.rearSide) + left(t, g.frontA, g.frontB, g.frontSide) - t*g.along
	}
	end := mu
	for _, one := range [...]Limit{l[slideRear], l[slideFront]} {
		if one.Status == Exceeded {
			l[slideAll].Status = Exceeded
			return
		}
		if one.Status == Within && one.Grade < end {
			end = one.Grade
		}
	}
	if spare(end) < 0 {
		if t, err := numeric.Root(spare, 0, end, 1e-12); err == nil {
			end = t
		}
	}
	l[slideAll].Grade, l[slideAll].Status = end, Within
}
