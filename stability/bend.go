package stability

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/units"
)

// maxBend is the largest bend of a joint when none is given (common practice,
// no source). bendSteps is the number of bends that are prepared to either side;
// the least is then sought between the neighbors of the least of them.
const (
	maxBend   = 45 * units.Degree
	bendSteps = 24
)

// bendUnknown reports whether the bend of an articulated machine's joint is not
// given.
func (u *Undercarriage) bendUnknown() bool {
	return u.Kind == Articulated && u.JointAngle == 0 && !u.Straight
}

// bend sets the joint's angle.
func (u *Undercarriage) bend(angle units.Angle) {
	u.JointAngle, u.Straight = angle, angle == 0
}

// compileBends prepares the machine at each of the bends.
func (m *Model) compileBends() error {
	most := m.v.Undercarriage.MaxJointAngle
	m.notes |= NoteBendUnknown
	if most == 0 {
		most = maxBend
		m.notes |= NoteBendAssumed
	}
	m.bends = make([]Model, 2*bendSteps+1)
	least := math.Inf(1)
	take := func(b *Model) bool {
		tip := b.WorstTip()
		less := tip.First.size() < least || b == &m.bends[0]
		if less {
			m.worst, least, m.worstBend = tip, tip.First.size(), b.v.Undercarriage.JointAngle
		}
		return less
	}
	for i := range m.bends {
		v := m.v
		v.Undercarriage.bend(most * units.Angle(float64(i-bendSteps)/bendSteps))
		b := &m.bends[i]
		if err := b.compile(&v); err != nil {
			return err
		}
		b.notes |= m.notes
		if _, bound, _, _ := b.edges.worst(Articulated); i == 0 || min(bound, b.alone) <= least {
			take(b)
		}
	}
	// Find the least over the bends in that heading, then the least over the
	// headings at that bend, by turns.
	for range 4 {
		sin, cos := headingSincos(m.worst.Heading)
		at := leastOver(m, func(b *Model) (units.Angle, float64) {
			return b.v.Undercarriage.JointAngle, b.first(&b.atRest, sin, cos).size()
		})
		b, ok := m.bentBy(at)
		if !ok || !take(&b) {
			break
		}
	}
	return nil
}

// bentBy returns the machine with its joint bent, and false if the machine
// cannot stand with that bend.
func (m *Model) bentBy(angle units.Angle) (Model, bool) {
	b := Model{v: m.v, g: m.g, notes: m.notes}
	b.v.Undercarriage.bend(angle)
	err := b.prepare()
	return b, err == nil
}

// size orders limits: a limit that is exceeded comes first, and one that cannot
// occur comes last.
func size(s Status, value float64) float64 {
	switch s {
	case Exceeded:
		return exceeded
	case Within, Binds:
		return value
	}
	return math.Inf(1)
}

// exceeded is the size of an exceeded limit.
const exceeded = -1

func (l Limit) size() float64 { return size(l.Status, l.Grade) }

// leastOver returns the answer of the bend at which it is least. It takes the
// prepared bends, and seeks between the neighbors of every bend whose answer is
// less than theirs.
func leastOver[T any](m *Model, answer func(*Model) (T, float64)) T {
	var sizes [2*bendSteps + 1]float64
	var best T
	least := math.Inf(1)
	for i := range m.bends {
		one, size := answer(&m.bends[i])
		sizes[i] = size
		if i == 0 || size < least {
			best, least = one, size
		}
	}
	if least == exceeded || math.IsInf(least, 1) {
		return best
	}
	for i, size := range sizes {
		left, right := max(0, i-1), min(len(sizes)-1, i+1)
		if size > sizes[left] || size > sizes[right] {
			continue
		}
		bend := func(i int) float64 { return float64(m.bends[i].v.Undercarriage.JointAngle) }
		numeric.Minimum(func(at float64) float64 {
			b, ok := m.bentBy(units.Angle(at))
			if !ok {
				return math.Inf(1)
			}
			one, size := answer(&b)
			if size < least {
				best, least = one, size
			}
			return size
		}, bend(left), bend(right), 1e-11)
	}
	return best
}

// leastLoad returns the least of all rows.
func (m *Model) leastLoad(l *Loads) float64 {
	least := math.Inf(1)
	for _, load := range l.Rows {
		least = min(least, float64(load))
	}
	return least
}

// bendFor returns the bend of the joint when the machine's center of gravity
// moves on a circle of a radius, to the left or to the right, and false if the
// joint cannot bend so far. The circle's center lies on the lines of both axles,
// (L - j + j cos p)/sin p to the side of the rear axle's middle, where j is the
// joint's distance ahead of the rear axle, L the wheelbase and p the bend.
func (m *Model) bendFor(radius units.Length, sign float64) (units.Angle, bool) {
	u := &m.v.Undercarriage
	most := u.MaxJointAngle
	if most == 0 {
		most = 60 * units.Degree
	}
	j, l := float64(u.JointX), float64(u.Wheelbase)
	at := func(bend float64) float64 {
		v := m.v
		v.Undercarriage.bend(units.Angle(sign * bend))
		body, axle := v.totals()
		t := body.with(&axle)
		sin, cos := math.Sincos(bend)
		return math.Hypot(t.x/t.m, (l-j+float64(j*cos))/sin-float64(sign*t.y/t.m)) - float64(radius)
	}
	if !(at(float64(most)) <= 0) {
		return 0, false
	}
	bend, err := numeric.Root(at, 1e-9, float64(most), 1e-13)
	return units.Angle(sign * bend), err == nil
}
