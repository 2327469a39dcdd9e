package stability

import (
	"math"

	"example.com/steelyard/units"
)

// WorstBend is the bend with the least limit where the joint's is not known.
func (m *Model) WorstBend() units.Angle { return m.worstBend }

// TipAbout returns the grade at which a row is lost in a heading while the rear
// wheels share with a bias.
func (v *Vehicle) TipAbout(r Row, bias float64, heading units.Angle) (grade float64, s Status) {
	foot, err := v.Undercarriage.footing(split{rearBias: bias})
	if err != nil {
		return 0, NotChecked
	}
	own, pivot := v.totals()
	w := own.with(&pivot)
	e := w.edge(&foot.rows[r])
	return e.grade(headingSincos(heading))
}

// Unforced returns the loads of the wheels of a pivoting axle without forces of
// their own, and all loads while the left or the right wheel of the axle that
// pushes has none.
func (m *Model) Unforced(s Situation, front, bias float64) (own [2]float64, alone [2][numAlone]float64) {
	c := s.compile(m.g)
	w := m.outside(&c)
	f, err := m.v.Undercarriage.footing(split{front, bias})
	if err != nil {
		panic(err)
	}
	rows := f.rows.all(&w)
	copy(own[:], rows[rowPivotLeft:])
	for side := range alone {
		copy(alone[side][:], rows[rowAlone+numAlone*side:])
	}
	return own, alone
}

// Taken returns the couple of the wheels' shares in a situation, and whether
// they share otherwise than it asks.
func (m *Model) Taken(s Situation) (couple float64, otherwise bool) {
	c := s.compile(m.g)
	var apart footing
	f := m.under(&c, &apart)
	w := m.outside(&c)
	_, by := f.stand(&w)
	return by.couple, by.bias != f.asked
}

// Loses reports whether a wheel is lost under an acceleration: of braking, or
// round a center to the left with sign 1 and to the right with -1.
func (m *Model) Loses(s Situation, sign, radius, a float64) bool {
	p := straight(vec{-1})
	if sign != 0 {
		p, _ = m.toward(sign, radius, vec{0, 0, -1})
	}
	c := s.compile(m.g)
	w, unit := m.whole.linear(c.w), m.inertia(p)
	w = grown(&w, &unit, a)
	d := p.whole.times(a)
	w[5] += (m.whole.pitch - m.whole.roll) * surfaceYaw([3]float64{c.w[0] - d[0], c.w[1] - d[1], c.w[2] - d[2]})
	rows, _ := m.foot.stand(&w)
	_, yes := m.foot.kind.lost(&rows)
	return yes
}

// Swing follows a fall of unit inertia from a turn and a rate to the turn end.
func Swing(strength, past, turn, rate, end float64) (t, v float64, over bool) {
	return swing{strength: strength, past: past}.run(1, turn, rate, end)
}

// FallAngle is how far a point turns about an axis until it is on the ground.
func FallAngle(arm, axis [3]float64) float64 { return fallAngle(arm, axis) }

// An Edge is an edge of a machine at rest that a test writes down itself.
type Edge struct{ A, S, C, Q float64 }

// Grade returns the grade at which the edge is lost in a heading.
func (e *Edge) Grade(sin, cos float64) (float64, Status) {
	return (&edge{e.A, e.S, e.C, e.Q}).grade(sin, cos)
}

// Worst returns the least grade of all headings, and its heading.
func (e *Edge) Worst() (grade, sin, cos float64, s Status) {
	return (&edge{e.A, e.S, e.C, e.Q}).worst()
}

// Until returns what happens up to a time, without a look at whether the rear
// tires are in the air then.
func (m *PassageModel) Until(end float64, v units.Speed) Crossing {
	c := *m
	c.until = end
	return c.with(float64(m.p.Load.Mass), float64(v))
}

// HeldAtCG is the drive that the closed forms assume.
const HeldAtCG = heldAtCG

// HeldAt returns what happens at a speed that a force at the center of gravity
// holds, as the closed forms assume.
func (m *PassageModel) HeldAt(v units.Speed) Crossing {
	c := *m
	c.p.Drive = heldAtCG
	return c.with(float64(m.p.Load.Mass), float64(v))
}

// LoadOverCrest returns the rear load when the center of the front wheel stands
// over the crest of the obstacle.
func (m *PassageModel) LoadOverCrest(v float64) float64 {
	var g motion
	m.set(&g, &m.variants[0], float64(m.p.Load.Mass), v)
	crest := (m.terrain.from + m.terrain.to) / 2
	g.least, g.most = 1e-6, 0.01
	for {
		g.step(1)
		p := &g.plane
		sin, cos := math.Sincos(g.after[2])
		x, _, _, _ := p.wheel(1, &g.after, sin, cos)
		if x < crest {
			continue
		}
		low, high := 0.0, 1.0
		var s state
		for range 40 {
			mid := (low + high) / 2
			g.at(mid, &s)
			sin, cos = math.Sincos(s[2])
			if x, _, _, _ = p.wheel(1, &s, sin, cos); x < crest {
				low = mid
			} else {
				high = mid
			}
		}
		p.contact(0, &s, sin, cos)
		return p.force[0]
	}
}

// Energy returns the greatest change of the energy of an undamped passage that
// coasts, and the energy at the start, both in J. Tolerance is that of a step.
func (m *PassageModel) Energy(v, tolerance float64) (change, start float64) {
	var g motion
	m.set(&g, &m.variants[0], float64(m.p.Load.Mass), v)
	g.least, g.most = 1e-9, 0.002
	for i := range 3 {
		g.absolute[i], g.absolute[i+3] = tolerance, 10*tolerance
	}
	energy := func(s *state) float64 {
		p := &g.plane
		sin, cos := math.Sincos(s[2])
		e := p.mass*(p.g*s[1]+(s[3]*s[3]+s[4]*s[4])/2) + p.inertia*s[5]*s[5]/2
		for i := range 2 {
			p.contact(i, s, sin, cos)
			if d := p.axle[i].radius - p.touch[i].distance; d > 0 {
				e += p.axle[i].k * d * d / 2
			}
		}
		return e
	}
	start = energy(&g.after)
	var t float64
	for t < m.way/v+1 && g.after[2] < 1 && g.after[3] > 0 {
		t += g.step(1)
		change = max(change, math.Abs(energy(&g.after)-start))
	}
	return change, start
}

// Passage returns what the model was compiled from.
func (m *PassageModel) Passage() Passage { return m.p }

// SpreadAt returns the variance of the rear load while the rear tires are on the
// middle of random ground, at a speed that a force at the center of gravity holds.
func (m *PassageModel) SpreadAt(v float64) float64 {
	var g motion
	m.set(&g, &m.variants[0], float64(m.p.Load.Mass), v)
	g.plane.drive = heldAtCG
	var sum, squares, time float64
	for {
		h := g.step(1)
		p := &g.plane
		rear := g.after[0] + p.axle[0].x
		if rear > p.to-3 {
			return squares/time - square(sum/time)
		}
		if rear < p.from+8 {
			continue
		}
		sin, cos := math.Sincos(g.after[2])
		p.contact(0, &g.after, sin, cos)
		f := p.force[0] - p.axle[0].static
		sum, squares, time = sum+h*f, squares+h*f*f, time+h
	}
}

// Until is At with an end of the passage at a time. Pulls lets a front tire on the
// stop pull as well as press.
func (m *RollPassageModel) Until(end float64, v units.Speed, pulls bool) RollCrossing {
	n := *m
	n.until, n.pulls = end, pulls
	return n.with(float64(m.p.Load.Mass), float64(v))
}
