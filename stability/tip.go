package stability

import (
	"math"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// LimitKind names how a machine loses its footing. In JSON: "rearEdge",
// "frontEdge", "frontLeftWheel", "frontRightWheel", "rearLeftWheel",
// "rearRightWheel", "tipsRight", "tipsLeft", "onStopRight", "onStopLeft",
// "slidesRear", "slidesFront", "slidesAll" or "noLimit".
type LimitKind uint8

// The kinds of limit. The first [NumEdges] are in the order of the rows that are
// zero at the limit.
const (
	// RearEdge: the front axle unloads; the machine goes over backward.
	RearEdge LimitKind = iota
	// FrontEdge: the rear axle unloads; the machine goes over its nose, and on a
	// free pin it falls to one side as well.
	FrontEdge
	// FrontLeftWheel: the front left wheel unloads, and a pivoting axle falls
	// onto its stop under a body that still stands.
	FrontLeftWheel
	// FrontRightWheel: the same on the right.
	FrontRightWheel
	// RearLeftWheel: the rear left wheel of a rigid machine or of a pivoting
	// rear axle unloads. Elsewhere TipsRight says when that wheel lifts.
	RearLeftWheel
	// RearRightWheel: the same on the right.
	RearRightWheel
	// TipsRight: the body tips to its right, with the pin free. On a rigid
	// machine both left wheels have lifted.
	TipsRight
	// TipsLeft: the body tips to its left.
	TipsLeft
	// OnStopRight: the body, at rest on its stop, goes over to its right. The
	// machine has lost a wheel before, so do not work up to this limit.
	OnStopRight
	// OnStopLeft: the same to the left.
	OnStopLeft
	// SlidesRear: the rear axle slides.
	SlidesRear
	// SlidesFront: the front axle slides.
	SlidesFront
	// SlidesAll: the whole machine slides.
	SlidesAll
	// NoLimit: none of the limits that were checked can occur.
	NoLimit
	// NumEdges is the number of kinds from RearEdge to TipsLeft.
	NumEdges = NumRows
)

var limitNames = []string{
	"rearEdge", "frontEdge", "frontLeftWheel", "frontRightWheel", "rearLeftWheel", "rearRightWheel",
	"tipsRight", "tipsLeft", "onStopRight", "onStopLeft", "slidesRear", "slidesFront", "slidesAll", "noLimit",
}

// Limit is one limit of the slope of the ground.
type Limit struct {
	// Kind is what happens at the limit.
	Kind LimitKind `json:"kind"`
	// Status says whether the limit can occur and comes first. If it is
	// Exceeded, the machine has tipped on level ground already.
	Status Status `json:"status"`
	// Grade is the tangent of the limiting slope, 0 or more. It means
	// something only with the statuses Within and Binds.
	Grade float64 `json:"grade"`
}

// Slope returns the limiting slope as an angle.
func (l Limit) Slope() units.Slope { return units.Grade(l.Grade) }

// reached reports whether the limit can be reached at all.
func (l Limit) reached() bool { return l.Status == Within || l.Status == Binds }

// edges returns the edges that the kind has, by bits.
func (k UndercarriageKind) edges() uint {
	const ends, fronts, rears, sides = 0b11, 0b11 << 2, 0b11 << 4, 0b11 << 6
	switch k {
	case Rigid:
		return ends | fronts | rears | sides
	case Tricycle:
		return ends | sides
	case PivotingRear:
		return ends | rears | sides
	case PivotingFront, Articulated:
		return ends | fronts | sides
	}
	return 0
}

// grade returns the tangent of the least slope at which the edge is reached in
// the heading with the given sine and cosine, and whether it can be reached.
func (e *edge) grade(sin, cos float64) (float64, Status) {
	if !(e.a > 0) {
		return 0, Exceeded
	}
	b := float64(e.s*sin) + float64(e.c*cos)
	if q := e.q * sin * cos; q != 0 {
		// t is the least positive root of a - b t - q t^2 = 0.
		d := b*b + 4*e.a*q
		if d >= 0 {
			if den := b + math.Sqrt(d); den > tiny*e.a {
				return 2 * e.a / den, Within
			}
		}
	}
	if !(b > tiny*e.a) {
		return 0, CannotOccur
	}
	return e.a / b, Within
}

// tiny is the least denominator, as a share of the numerator. A limit within a
// millionth of a degree of the vertical counts as one that cannot occur.
const tiny = 1e-8

// worst returns the least grade of the edge over all headings, and the
// heading's sine and cosine.
func (e *edge) worst() (t, sin, cos float64, s Status) {
	if !(e.a > 0) {
		return t, sin, 1, Exceeded
	}
	r := math.Hypot(e.s, e.c)
	if !(r > tiny*e.a) {
		return t, sin, cos, CannotOccur
	}
	sin, cos = e.s/r, e.c/r
	t, s = e.grade(sin, cos)
	if e.q == 0 {
		return t, sin, cos, s
	}
	if _, si, co, ok := e.nearest(); ok {
		if one, st := e.grade(si, co); st == Within && one <= t {
			return one, si, co, st
		}
		return t, sin, cos, s // but for rounding the same
	}
	// With the yaw of free surfaces there may be several local minima: try
	// headings all round the compass, then refine the worst.
	look := func(h float64) float64 {
		si, co := math.Sincos(h)
		one, st := e.grade(si, co)
		if st != Within {
			return math.Inf(1)
		}
		if one < t {
			t, sin, cos = one, si, co
		}
		return one
	}
	const step = 2 * math.Pi / 48
	for h := 0.0; h < 2*math.Pi; h += step {
		look(h)
	}
	h := math.Atan2(sin, cos)
	numeric.Minimum(look, h-step, h+step, 1e-9)
	return t, sin, cos, s
}

// Tip holds every tipping limit of a machine in one heading.
type Tip struct {
	// Limits are the limits by their kind, RearEdge to TipsLeft. Those past the
	// first hold for the shares asked for. A limit that would come before the
	// first with the shares asked for is moved to the first.
	Limits [NumEdges]Limit `json:"limits"`
	// First is the limit that comes first: the first loss of any wheel.
	First Limit `json:"first"`
	// Heading is the heading for which the limits hold.
	Heading units.Angle `json:"heading"`
	// Notes are what the limits assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside the limits.
	Cautions Cautions `json:"cautions"`
}

// rank sets the status of the first of the limits to Binds and returns it.
func rank(limits []Limit) Limit {
	first := -1
	for i := range limits {
		l := &limits[i]
		switch {
		case l.Status == Exceeded:
			if first < 0 || limits[first].Status != Exceeded {
				first = i
			}
		case l.Status == Within:
			if first < 0 || limits[first].Status == Within && l.Grade < limits[first].Grade*(1-1e-12) {
				first = i
			}
		}
	}
	if first < 0 {
		return Limit{Kind: NoLimit, Status: CannotOccur}
	}
	if limits[first].Status == Within {
		limits[first].Status = Binds
	}
	return limits[first]
}

// Tip returns how steep the ground may be in a heading before each edge is
// reached, with the machine at rest or at a steady speed. The first is the limit
// to show for that heading; for a machine that may turn, show that of
// [Model.WorstTip]. Both rear wheels take the same longitudinal force, as through
// an open differential, as long as both can: see [Model.Loads]. If one of them
// takes it alone, use [Model.Limits] with a RearBias, which may give less. For an
// articulated machine whose bend is not known, the limits are those of the bend
// with the least first limit, here and in every other answer about limits.
//
// With the pin free the body tips about the line from the downhill rear
// contact to the pin. With d = T/2 + y,
//
//	tan b = (d L - x T/2) / (sin h (L z - p x) - cos h (z T/2 - p d) - (mf/mb)(zf - p)(T/2) cos h)
//
// where L is the wheelbase, T the rear track, p the pin height, (x, y, z) the
// body's center of gravity, mb its mass, mf and zf the axle's mass and the
// height of its center of gravity, h the heading. The rear edge is reached at
// tan b = x/(z cos h) and the front edge at tan b = (L - x)/(-z cos h), where
// (x, z) is the whole machine's center of gravity. Both follow from the balance
// of forces and moments; see [Influence]. Held by TestLimitsByFreeBodies.
func (m *Model) Tip(heading units.Angle) (Tip, error) {
	var e units.FieldErrors
	valid.Heading(&e, "heading", heading)
	if err := e.Err(); err != nil {
		return Tip{}, err
	}
	sin, cos := headingSincos(heading)
	if m.bends != nil {
		return leastOver(m, func(b *Model) (Tip, float64) {
			t := b.tip(&b.atRest, heading, sin, cos)
			return t, t.First.size()
		}), nil
	}
	return m.tip(&m.atRest, heading, sin, cos), nil
}

func (m *Model) tip(r *atRest, heading units.Angle, sin, cos float64) (t Tip) {
	t.First = m.limits(&t.Limits, r, sin, cos)
	t.Heading, t.Notes, t.Cautions = heading, m.notes, SlopeCautions
	return t
}

// limits fills in every tipping limit in a heading and returns the first.
func (m *Model) limits(l *[NumEdges]Limit, r *atRest, sin, cos float64) Limit {
	*l = r.rays.blank
	kind, most := r.rays.all(l, sin, cos)
	first := m.earliest(r, kind, most, sin, cos)
	settle(l[:], first)
	return first
}

// first returns the limit that comes first in a heading.
func (m *Model) first(r *atRest, sin, cos float64) Limit {
	kind, most := r.rays.asked(sin, cos)
	return m.earliest(r, kind, most, sin, cos)
}

// earliest returns the limit that comes first in a heading. The kind and its
// cotangent are those of the first limit while the wheels share as asked.
func (m *Model) earliest(r *atRest, kind LimitKind, most, sin, cos float64) Limit {
	o := &r.rays
	if o.tipped {
		for i := range o.blank {
			if o.blank[i].Status == Exceeded {
				return o.blank[i]
			}
		}
	}
	if o.zones > 0 {
		if from, ok := o.zoned(kind, most, sin, cos); ok {
			return r.foot.seek(m.slopes(&r.edges, sin, cos), from)
		}
	}
	if kind == NoLimit {
		return Limit{Kind: NoLimit, Status: CannotOccur}
	}
	return Limit{Kind: kind, Status: Binds, Grade: 1 / most}
}

// slopes returns the course of a machine at rest on ever steeper ground.
func (m *Model) slopes(e *edges, sin, cos float64) *course {
	return &course{
		load: func(t float64) [7]float64 {
			scale := m.g / math.Hypot(1, t)
			return m.whole.wrench([3]float64{-float64(scale * t * cos), -float64(scale * t * sin), -scale})
		},
		end:   func(row int) (float64, Status) { return e[row].grade(sin, cos) },
		scale: 1, most: 1e4,
	}
}

// asked returns the limit that comes first while the wheels share as asked, and
// its cotangent.
func (o *rays) asked(sin, cos float64) (LimitKind, float64) {
	first, most := NoLimit, tiny
	for i := range o.list[:o.n] {
		r := &o.list[i]
		if u := r.cotangent(sin, cos); u > most*(1+1e-12) {
			first, most = r.kind, u
		}
	}
	return first, most
}

// all does the same as asked and also fills in every limit, which a polar curve
// does not need.
func (o *rays) all(l *[NumEdges]Limit, sin, cos float64) (LimitKind, float64) {
	first, most := NoLimit, tiny
	for i := range o.list[:o.n] {
		r := &o.list[i]
		u := r.cotangent(sin, cos)
		if !(u > tiny) {
			continue
		}
		l[r.kind].Status, l[r.kind].Grade = Within, 1/u
		if u > most*(1+1e-12) {
			first, most = r.kind, u
		}
	}
	return first, most
}

// zoned reports whether shares other than those asked for may move the first
// limit in a heading, and the least grade from which they may. The kind and its
// cotangent are those of the first limit with the shares asked for. If one axle
// takes all of the longitudinal force, a load lies between its value with the
// share asked for and its value with none.
func (o *rays) zoned(kind LimitKind, most, sin, cos float64) (from float64, ok bool) {
	begin := 0.0
	for i := range o.zone[:o.zones] {
		z := &o.zone[i]
		start := z.start.cotangent(sin, cos)
		if !(start > most) {
			continue
		}
		begin = max(begin, start)
		ok = ok || z.open || kind != NoLimit && o.shared>>kind&1 != 0
		for j := range z.corners[:z.n] {
			ok = ok || z.corners[j].cotangent(sin, cos) > most
		}
	}
	return 1 / begin, ok
}

// TipHolding returns the same as [Model.Tip] while the front wheels take a share
// of the force that holds the machine on the slope, as with brakes on the front
// axle or an engaged driven front axle. This lowers the limit with the nose
// downhill and raises it with the nose uphill.
func (m *Model) TipHolding(heading units.Angle, front units.Fraction) (Tip, error) {
	s := Situation{Heading: heading, FrontShare: front}
	if err := s.Validate(); err != nil {
		return Tip{}, err
	}
	if m.bends != nil {
		return leastOver(m, func(b *Model) (Tip, float64) {
			t, _ := b.TipHolding(heading, front) // its input is checked
			return t, t.First.size()
		}), nil
	}
	var r atRest
	var err error
	if r.foot, err = m.v.Undercarriage.footing(s.split()); err != nil {
		return Tip{}, err
	}
	r.edges = m.whole.edges(&r.foot.rows)
	r.rays = r.edges.rays(&r.foot)
	sin, cos := headingSincos(heading)
	t := m.tip(&r, heading, sin, cos)
	if front > 0 {
		t.Notes &^= NoteFrontRollsFree
	}
	return t, nil
}

// WorstTip returns the limit to show: the least tipping limit over all headings,
// with its heading in Heading. In the worst heading the nose points slightly
// downhill and not exactly across the slope. A machine that is symmetric about
// its middle plane has two worst headings, which are mirror images; the one with
// downhill on the right is returned. For a machine that has tipped on level
// ground, or that never tips, Heading is 0.
func (m *Model) WorstTip() Tip {
	if m.g == 0 {
		return Tip{}
	}
	if m.bends != nil {
		return m.worst
	}
	worst, best, sin, cos := m.edges.worst(m.v.Undercarriage.Kind)
	if best > 0 {
		_, moved := m.rays.zoned(worst, 1/best, sin, cos)
		if moved || m.alone < best*(1-1e-12) {
			sin, cos = m.search(sin, cos)
		}
	}
	h := math.Atan2(sin, cos)
	if h < 0 {
		h += 2 * math.Pi
	}
	return m.tip(&m.atRest, units.Angle(h), sin, cos)
}

// worst returns the first limit over all headings while the wheels share as
// asked, its grade (0 if it is exceeded), and the sine and cosine of the heading.
func (e *edges) worst(kind UndercarriageKind) (worst LimitKind, best, sin, cos float64) {
	worst, best = NoLimit, math.Inf(1)
	checked := kind.edges()
	// An edge whose bound is above a grade at which another is reached is not looked
	// at more closely.
	enough := math.Inf(1)
	for i := range LimitKind(NumEdges) {
		if checked>>i&1 == 0 {
			continue
		}
		at := &e[kind.row(i)]
		if !(at.a > 0) {
			return i, 0, 0, 1
		}
		enough = min(enough, at.atMost())
	}
	for i := range LimitKind(NumEdges) {
		if checked>>i&1 == 0 {
			continue
		}
		at := &e[kind.row(i)]
		if at.atLeast() > enough*(1+1e-9) {
			continue
		}
		t, si, co, s := at.worst()
		if s == Within && (t < best*(1-1e-12) || t <= best*(1+1e-12) && si > sin) {
			worst, best, sin, cos = i, t, si, co
		}
	}
	return worst, best, sin, cos
}

// search returns the sine and cosine of the heading with the least limit. It
// tries headings all round the compass and then refines the least twice. It
// begins with a heading where the limit may be low.
func (m *Model) search(sin, cos float64) (float64, float64) {
	best := math.Inf(1)
	at := math.Atan2(sin, cos)
	look := func(h float64) float64 {
		si, co := headingSincos(units.Angle(h))
		one := m.first(&m.atRest, si, co)
		if one.Status == CannotOccur {
			return math.Inf(1)
		}
		if one.Grade < best*(1-1e-12) || one.Grade <= best*(1+1e-12) && si > sin {
			best, at, sin, cos = one.Grade, h, si, co
		}
		return one.Grade
	}
	look(at)
	const step = 2 * math.Pi / 360
	for i := range 360 {
		h := float64(i) * step
		si, co := headingSincos(units.Angle(h))
		if m.rays.bound(si, co) <= best*(1+1e-12) {
			look(h)
		}
	}
	for range 2 {
		if !math.IsInf(best, 1) {
			numeric.Minimum(look, at-step, at+step, 1e-10)
		}
	}
	return sin, cos
}

// bound returns a lower bound of the first limit's grade in a heading over all
// shares, if one axle takes all of the longitudinal force.
func (o *rays) bound(sin, cos float64) float64 {
	_, most := o.asked(sin, cos)
	for i := range o.zone[:o.zones] {
		z := &o.zone[i]
		for j := range z.corners[:z.n] {
			most = max(most, z.corners[j].cotangent(sin, cos))
		}
	}
	return 1 / most
}

// PolarPoint is one heading of a polar curve.
type PolarPoint struct {
	// Heading runs from 0 in equal steps round the compass.
	Heading units.Angle `json:"heading"`
	// First is the limit that comes first there.
	First Limit `json:"first"`
}

// Polar fills points with the first tipping limit at as many headings, in equal
// steps that start with the nose uphill and turn toward downhill on the right. It
// allocates nothing, unless a bend is not known. The points carry no cautions:
// show those of [Model.Tip] with them.
func (m *Model) Polar(points []PolarPoint) {
	step := 2 * math.Pi / float64(len(points))
	sinStep, cosStep := math.Sincos(step)
	var sin, cos float64
	for p := range points {
		h := units.Angle(float64(p) * step)
		if p%polarRun == 0 {
			sin, cos = headingSincos(h)
		} else {
			sin, cos = float64(sin*cosStep)+float64(cos*sinStep), float64(cos*cosStep)-float64(sin*sinStep)
		}
		points[p] = PolarPoint{Heading: h, First: m.first(&m.atRest, sin, cos)}
		if m.bends != nil {
			points[p].First = leastOver(m, func(b *Model) (Limit, float64) {
				l := b.first(&b.atRest, sin, cos)
				return l, l.size()
			})
		}
	}
}

// polarRun is the number of headings for which a polar curve rotates one sine and
// cosine before it computes them anew. It is a divisor of 90, so that the curve
// of 360 headings has the four main ones exactly.
const polarRun = 30
