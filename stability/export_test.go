package stability

import "example.com/steelyard/units"

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
