package stability

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/units"
)

// maxBend is how far a joint bends where nobody says it: common practice, no
// source. bendSteps is how many bends are looked at to either side; between
// those beside the least ones the least is sought.
const (
	maxBend   = 45 * units.Degree
	bendSteps = 24
)

// bendUnknown reports whether nobody said how far an articulated machine's
// joint is bent.
func (u *Undercarriage) bendUnknown() bool {
	return u.Kind == Articulated && u.JointAngle == 0 && !u.Straight
}

// bend sets the joint's angle.
func (u *Undercarriage) bend(angle units.Angle) {
	u.JointAngle, u.Straight = angle, angle == 0
}

// compileBends prepares the machine at every bend that is looked at.
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
	// The least over the bends in that heading, and over the headings at that
	// bend, in turns.
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

// bentBy returns the machine with its joint bent, and false if it cannot stand
// so.
func (m *Model) bentBy(angle units.Angle) (Model, bool) {
	b := Model{v: m.v, g: m.g, notes: m.notes}
	b.v.Undercarriage.bend(angle)
	err := b.prepare()
	return b, err == nil
}

// size orders limits: one that is exceeded comes before all others, one that
// cannot occur after them.
func size(s Status, value float64) float64 {
	switch s {
	case Exceeded:
		return exceeded
	case Within, Binds:
		return value
	}
	return math.Inf(1)
}

// exceeded is the size of a limit that is.
const exceeded = -1

func (l Limit) size() float64 { return size(l.Status, l.Grade) }

// leastOver returns the answer of the bend in which what is asked is least: of
// those prepared, and of those between the neighbors of every one that has less
// than they.
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

// bendFor returns how far the joint bends where the machine's center of gravity
// goes round a circle of a radius, to the left or to the right, and false
// where it bends no further. The circle's center lies on the lines of both
// axles: with j the joint's distance ahead of the rear axle, L the wheelbase
// and p the bend, (L - j + j cos p)/sin p to the side of the rear axle's
// middle.
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
