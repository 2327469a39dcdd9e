package stability

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/units"
)

// Limits holds every limit of one machine in one situation.
type Limits struct {
	// Loads are the wheel loads.
	Loads Loads `json:"loads"`
	// Tip holds every tipping limit in the heading, by kind from RearEdge to
	// TipsLeft, at constant drawbar pull and acceleration.
	Tip [NumEdges]Limit `json:"tip"`
	// Slide holds the limits at which the rear axle, the front axle and the
	// whole machine slide. They are not checked without a friction coefficient,
	// in motion, or on a bent articulated machine.
	Slide [numSlides]Limit `json:"slide"`
	// FirstTip is the tipping limit that comes first.
	FirstTip Limit `json:"firstTip"`
	// FirstSlide is the slide limit that comes first.
	FirstSlide Limit `json:"firstSlide"`
	// First is whichever of FirstTip and FirstSlide comes first.
	First Limit `json:"first"`
	// Notes are what the limits assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside the limits.
	Cautions Cautions `json:"cautions"`
}

// Limits returns every limit in a situation: see [Model.LimitsIn].
func (m *Model) Limits(s Situation) (Limits, error) {
	if err := s.Validate(); err != nil {
		return Limits{}, err
	}
	c := s.compile(m.g)
	return m.LimitsIn(&c), nil
}

// LimitsIn returns every limit in a prepared situation, as loads and tangents of
// slopes. It allocates nothing, unless a bend is not known. If the case has
// another gravity than the vehicle, or if the case or the model is the zero
// value, every limit is [NotChecked] and every load is zero.
//
// With all wheels held, the machine slides on a side slope at tan b = mu. With
// only the rear wheels held, it slides straight up or down the slope at
// tan b = mu (L - x)/(L -+ mu z). The friction of each axle's load limits its
// lateral and longitudinal forces together.
func (m *Model) LimitsIn(c *Case) (l Limits) {
	if !m.fits(c) {
		return l
	}
	if m.bends != nil {
		l = leastOver(m, func(b *Model) (Limits, float64) {
			l := b.LimitsIn(c)
			return l, l.FirstTip.size()
		})
		l.Loads = m.LoadsIn(c)
		for i := range l.Slide {
			l.Slide[i] = Limit{Kind: l.Slide[i].Kind} // sliding is not checked on a bent machine
		}
		l.First, l.FirstSlide = l.FirstTip, Limit{Kind: SlidesAll}
		l.Cautions &^= CautionSlidesFirst
		return l
	}
	if c.plain && c.still {
		m.fill(&l.Loads, &m.foot, c)
		l.FirstTip = m.limits(&l.Tip, &m.atRest, c.sin, c.cos)
	} else {
		m.limitsApart(&l, c)
	}
	m.slides(&l.Slide, c)
	l.Notes, l.Cautions = m.notes, SlopeCautions
	if c.s.FrontShare > 0 {
		l.Notes &^= NoteFrontRollsFree
	}
	if c.s.RearBias != 0 {
		l.Notes &^= NoteEqualRearSplit
	}
	l.First = l.FirstTip
	if l.Slide[slideAll].Status == NotChecked {
		l.FirstSlide = Limit{Kind: SlidesAll}
		if c.s.Friction == 0 {
			l.Notes |= NoteFrictionUnknown
		}
		return l
	}
	l.FirstSlide = rank(l.Slide[:])
	if l.FirstSlide.reached() && l.First.Status != Exceeded &&
		(!l.First.reached() || l.FirstSlide.Grade < l.First.Grade) {
		l.First = l.FirstSlide
		l.Cautions |= CautionSlidesFirst
	}
	return l
}

// limitsApart fills in the loads and tipping limits of a situation for which the
// compiled rays do not hold.
func (m *Model) limitsApart(l *Limits, c *Case) {
	r := &m.atRest
	if !c.plain {
		var apart atRest
		apart.foot = *m.under(c, &apart.foot)
		apart.edges = m.whole.edges(&apart.foot.rows)
		apart.rays = apart.edges.rays(&apart.foot)
		r = &apart
	}
	m.fill(&l.Loads, &r.foot, c)
	if c.still {
		l.FirstTip = m.limits(&l.Tip, r, c.sin, c.cos)
		return
	}
	at := c.s
	course := course{
		load: func(grade float64) [7]float64 {
			at.Slope = units.Grade(grade)
			now := at.compile(m.g)
			return m.outside(&now)
		},
		end:   func(i int) (float64, Status) { return m.moving(&r.edges[i], &r.foot.rows[i], c) },
		scale: 1, most: 1e4,
	}
	l.FirstTip = r.foot.limits(&l.Tip, &course)
}

// moving returns the tangent of the slope at which an edge is reached while
// the machine's acceleration and the drawbar's pull stay what they are:
// p cos b - q sin b + r = 0, plus what the yaw of free surfaces adds.
func (m *Model) moving(e *edge, k *[7]float64, c *Case) (float64, Status) {
	p, q := e.a*m.g, (float64(e.s*c.sin)+float64(e.c*c.cos))*m.g
	a := [3]float64{-float64(c.s.Acceleration), -float64(c.s.LateralAcceleration), 0}
	w := m.whole.linear(a)
	d := c.s.Drawbar.wrench()
	var r float64
	for i := range w {
		r += float64(k[i] * (w[i] + d[i]))
	}
	if yaw := k[5] * (m.whole.pitch - m.whole.roll); yaw != 0 {
		// The yaw of free surfaces is not linear, so the least slope is searched
		// for. If the yaw would prevent the limit at every slope, the limit
		// without it is returned, as for a machine at rest.
		at := c.s
		row := func(b float64) float64 {
			at.Slope = units.Slope(b)
			return p*math.Cos(b) - float64(q*math.Sin(b)) + r + float64(yaw*surfaceYaw(at.specificWeight(m.g)))
		}
		if !(row(0) > 0) {
			return 0, Exceeded
		}
		const steps = 60
		from := 0.0
		for i := 1; i <= steps; i++ {
			to := (math.Pi/2 - tiny) * float64(i) / steps
			if row(to) <= 0 {
				if b, err := numeric.Root(row, from, to, 1e-13); err == nil {
					return math.Tan(b), Within
				}
			}
			from = to
		}
	}
	if !(p+r > 0) {
		return 0, Exceeded
	}
	if n := math.Hypot(p, q); n > r {
		if b := math.Acos(-r/n) - math.Atan2(q, p); b < math.Pi/2-tiny && b >= 0 {
			return math.Tan(b), Within
		}
	}
	return 0, CannotOccur
}
