package weigh

import (
	"context"
	"math"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/derive"
	"example.com/steelyard/internal/fit"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// estimator holds a record while it is fitted, with the memory for it.
type estimator struct {
	r        *Record
	n        int // unknowns
	practice ballast.Practice
	rows     []row
	raised   []units.Angle // different angles of a raised axle
	tries    int           // how many mistakes were tried to explain the readings
	trying   int           // while one is tried: its steps so far, from 1
	mean     []float64     // of each prior
	dev      []float64     // its standard deviation
	p        fit.Problem
	m        model
	ctx      context.Context // no fit is begun once it is done
	ended    error           // after that
}

// model is the machine at one set of unknowns, as a calculation with derivatives.
// All of it rests on three balances, those of moments about the rear contact line,
// of vertical forces, and of moments about the arms' pivot.
type model struct {
	derive.Record
	r       *Record
	loads   int // the first unknown of the test loads
	pieces  int
	raised  int
	held    [2]derive.Value // by how much more than usual the slope counts by what keeps the machine from rolling, on all wheels and raised; 0 where every pose says it
	side    derive.Value    // how far the center of the machine is left of the middle plane; 0 where no wheel was read by itself
	cross   derive.Value    // how far the yard rises to the left
	pins    []derive.Value  // how much higher the pin was in each weighing than stated; 0 where that is no unknown
	common  int             // how much of the calculation all rows share
	body    derive.Value
	bodyX   derive.Value
	bodyZ   derive.Value
	axle    derive.Value
	axleZ   derive.Value
	arms    derive.Value
	armsAt  derive.Value // from the pivot, meters
	armsUp  derive.Value // above the line from pivot to pin
	hung    derive.Value
	area    derive.Value // of all cylinders, square meters
	relief  derive.Value // MPa
	hasHung bool
}

// reset begins the calculation at the unknowns, with what all rows share.
func (m *model) reset(at []float64) {
	m.Reset(at)
	base := derive.Value(unBase)
	m.body = unBody
	m.bodyX = m.Mul(unBodyX, base)
	m.bodyZ = m.Mul(unBodyZ, base)
	m.axle = m.Mul(m.body, unAxle)
	m.axleZ = m.Mul(unAxleZ, unFrontRadius)
	m.arms = unArms
	m.armsAt = m.Mul(unArmsAt, unArm)
	m.armsUp = m.Mul(unArmsUp, unArm)
	m.hasHung = m.r.Attachment != ballast.BarePin
	if m.hasHung {
		m.hung = unHung
	} else {
		m.hung = m.Constant(0)
	}
	m.area = m.Scale(m.Exp(m.Scale(unBore, 2)), float64(m.r.Cylinders)*math.Pi/4)
	m.relief = m.Exp(unRelief)
	m.common = m.Len()
}

// arm returns the sine and cosine of the arm's angle with the pin at a height.
func (m *model) arm(pin float64) (sin, cos derive.Value) { return m.turned(m.Shift(unPivotZ, -pin)) }

// turned returns the same with the pin so far below the pivot.
func (m *model) turned(below derive.Value) (sin, cos derive.Value) {
	sin = m.Div(m.Scale(below, -1), unArm)
	return sin, m.Sqrt(m.Shift(m.Scale(m.Mul(sin, sin), -1), 1))
}

// sums are the mass of something and its moments: mass times place ahead of the
// rear contact line, and mass times height.
type sums struct{ w, x, z derive.Value }

func (m *model) plus(s sums, mass, x, z derive.Value) sums {
	return sums{m.Add(s.w, mass), m.Add(s.x, m.Mul(mass, x)), m.Add(s.z, m.Mul(mass, z))}
}

func (m *model) both(a, b sums) sums { return sums{m.Add(a.w, b.w), m.Add(a.x, b.x), m.Add(a.z, b.z)} }

func (m *model) nothing() sums {
	zero := m.Constant(0)
	return sums{zero, zero, zero}
}

// empty returns the sums of the machine without load, with the arm at an angle and
// some pieces off.
func (m *model) empty(pin float64, sin, cos derive.Value, without []string) sums {
	s := sums{m.body, m.Mul(m.body, m.bodyX), m.Mul(m.body, m.bodyZ)}
	s = m.plus(s, m.arms, m.Add(unPivotX, m.armsAhead(sin, cos)), m.Add(unPivotZ, m.Add(m.Mul(m.armsAt, sin), m.Mul(m.armsUp, cos))))
	if m.hasHung {
		s = m.plus(s, m.hung, m.Add(m.pinX(cos), unHungX), m.Shift(unHungZ, pin))
	}
	for i := range m.r.Pieces {
		p := &m.r.Pieces[i]
		if !slices.Contains(without, p.Name) {
			k := derive.Value(m.pieces + 2*i)
			s = m.plus(s, k, k+1, m.Constant(float64(p.Z)))
		}
	}
	return s
}

// armsAhead returns how far the center of the arms is ahead of their pivot.
func (m *model) armsAhead(sin, cos derive.Value) derive.Value {
	return m.Sub(m.Mul(m.armsAt, cos), m.Mul(m.armsUp, sin))
}

// pinX returns how far the pivot pin is ahead of the rear contact line.
func (m *model) pinX(cos derive.Value) derive.Value {
	return m.Add(unPivotX, m.Mul(unArm, cos))
}

// lifted returns the sums of the named test loads.
func (m *model) lifted(pin float64, cos derive.Value, names []string) sums {
	s := m.nothing()
	for _, n := range names {
		i := m.r.load(n)
		s = m.plus(s, derive.Value(m.loads+2*i), m.Add(m.pinX(cos), m.ahead(n)), m.Constant(pin+float64(m.r.Loads[i].Above)))
	}
	return s
}

// ahead returns how far a test load is ahead of the pivot pin.
func (m *model) ahead(name string) derive.Value { return derive.Value(m.loads + 2*m.r.place(name) + 1) }

// used returns which part of its tipping load the machine carries: the moment of
// the load about the front contact line, over that of the machine.
func (m *model) used(empty, load sums) derive.Value {
	over := m.Sub(load.x, m.Mul(load.w, unBase))
	return m.Div(over, m.Sub(m.Mul(empty.w, unBase), empty.x))
}

// A stand is how the machine stands while it is weighed.
type stand struct {
	pitch derive.Value // nose up, against the same frame on all its wheels
	yard  derive.Value // how far the ground rises towards the nose; 0 is level
	held  float64      // how high what keeps it from rolling acts, over the standing wheel's radius
	off   derive.Value // the error of that share, times the sine of the slope; 0 is none
	tail  bool         // the rear axle is the raised one
}

// carries returns the load of an axle, square to the ground.
//
// Each axle stands on its tires straight under its wheel centers, whether an axle is
// raised or the tires give: the machine turns about its wheel centers and not about the
// ground. With the nose up by t against the ground, a mass m at (x, z) of the frame is
//
//	X = x cos t - (z - rr) sin t
//	Z = Z0 + x sin t + (z - rr) cos t
//
// ahead of the rear wheel centers and over the ground, and the front wheel centers are
// Xf = L cos t - (rf - rr) sin t ahead of them. Z0 is the height of the rear wheel centers:
// rr, or where the rear axle is raised rf - L sin t - (rf - rr) cos t. On ground that rises
// towards the nose by a, the weight pulls backward, and something holds the machine at the
// height y: brakes at the ground, chocks before free wheels at their centers, because they
// turn. Moments about the point at that height under the rear wheel centers give
//
//	F Xf = sum of m (X cos a - (Z - y) sin a)
//
// Where nobody says what holds it, y sin a is its usual value and an unknown, which is
// small: the product of two unknowns would not be linear in either.
//
// Held by TestFreeBodies and TestWeightsOfRotatedMachines.
func (m *model) carries(s sums, on stand, rear bool) derive.Value {
	sin, cos := m.Sin(on.pitch), m.Cos(on.pitch)
	over := m.Sub(s.z, m.Mul(s.w, unRearRadius))
	moment := m.Sub(m.Mul(s.x, cos), m.Mul(over, sin))
	reach := m.Sub(m.Mul(unBase, cos), m.Mul(m.Sub(unFrontRadius, unRearRadius), sin))
	weight := s.w
	if on.yard != 0 {
		high, radius := derive.Value(unRearRadius), derive.Value(unRearRadius)
		if on.tail {
			radius = unFrontRadius
			high = m.Sub(radius, m.Add(m.Mul(unBase, sin), m.Mul(m.Sub(unFrontRadius, unRearRadius), cos)))
		}
		if on.held != 0 {
			high = m.Sub(high, m.Scale(radius, on.held))
		}
		up := m.Add(m.Mul(s.w, high), m.Add(m.Mul(s.x, sin), m.Mul(over, cos)))
		slope := m.Cos(on.yard)
		moment = m.Sub(m.Mul(moment, slope), m.Mul(up, m.Sin(on.yard)))
		if on.off != 0 {
			moment = m.Add(moment, m.Mul(m.Mul(s.w, radius), on.off))
		}
		weight = m.Mul(weight, slope)
	}
	front := m.Div(moment, reach)
	if rear {
		return m.Sub(weight, front)
	}
	return front
}

// raisedBit returns 1 for a reading with an axle raised.
func raisedBit(w *AxleReading) int {
	if w.Raised != 0 {
		return 1
	}
	return 0
}

// weight returns what the scale reads under an axle or a wheel in a pose: (1 + gain)
// times the load, plus the zero.
func (m *model) weight(w *AxleReading, higher derive.Value, raised int, kind rowKind) derive.Value {
	below := m.Shift(unPivotZ, -float64(w.Pin))
	if higher != 0 {
		below = m.Sub(below, higher)
	}
	sin, cos := m.turned(below)
	empty := m.empty(float64(w.Pin), sin, cos, w.Without)
	on := stand{yard: unYard, pitch: m.Constant(0), tail: w.Raised < 0}
	if w.Turned {
		on.yard = m.Scale(on.yard, -1)
	}
	switch w.Held {
	case HeldUnknown:
		on.held, on.off = usualHeld, m.held[raisedBit(w)]
		if w.Turned {
			on.off = m.Scale(on.off, -1)
		}
	case HeldByChocks:
		on.held = 1
	}
	all := empty
	if len(w.Loads) > 0 {
		load := m.lifted(float64(w.Pin), cos, w.Loads)
		on.pitch = m.sunk(empty, load)
		all = m.both(empty, load)
	}
	if w.Raised != 0 {
		on.pitch = m.Add(on.pitch, derive.Value(m.raised+raised))
	}
	f := m.carries(all, on, kind != rowFront)
	if kind == rowRearLeft || kind == rowRearRight {
		f = m.wheel(all, f, kind == rowRearLeft, w.Turned)
	}
	return m.Add(m.Mul(f, m.Shift(unGain, 1)), unZero)
}

// sunk returns how far the tires let the nose rise under a load: below zero, it sinks.
func (m *model) sunk(empty, load sums) derive.Value {
	return m.Scale(m.Mul(unSquat, m.used(empty, load)), -1)
}

// wheel returns the load of one rear wheel, of which both carry rear. The front axle swings
// on its pin at the height p and takes no moment, so that the body, all but the axle, leans
// on the rear wheels alone. On ground that rises to the left by c, moments of its masses m
// at (x, y, z) about the line on the ground in the middle of those wheels give
//
//	(left - right) T/2 = sum of m (y cos c - (z - p x/L) sin c)
//
// where the front wheels' side force of the sum of m (x/L) sin c acts at the pin. Arms,
// attachment and loads are taken to sit in the middle. Held by TestWheelsByPinReactions.
func (m *model) wheel(s sums, rear derive.Value, left, turned bool) derive.Value {
	cross := m.cross
	if turned {
		cross = m.Scale(cross, -1)
	}
	x, z := m.Sub(s.x, m.Mul(m.axle, unBase)), m.Sub(s.z, m.Mul(m.axle, m.axleZ))
	over := m.Sub(z, m.Div(m.Mul(x, unAxlePin), unBase))
	off := m.Div(m.Sub(m.Mul(m.Mul(m.body, m.side), m.Cos(cross)), m.Mul(over, m.Sin(cross))), unTrack)
	if !left {
		off = m.Scale(off, -1)
	}
	return m.Add(m.Scale(rear, 0.5), off)
}

// rod returns where the upper pin of the cylinder is from the arms' pivot.
func (m *model) rod(sin, cos derive.Value) (x, z derive.Value) {
	x = m.Sub(m.Mul(unRodX, cos), m.Mul(unRodZ, sin))
	return x, m.Add(m.Mul(unRodX, sin), m.Mul(unRodZ, cos))
}

// length returns the distance between the pins of the cylinder.
func (m *model) length(x, z derive.Value) derive.Value {
	dx, dz := m.Sub(x, unCylX), m.Sub(z, unCylZ)
	return m.Sqrt(m.Add(m.Mul(dx, dx), m.Mul(dz, dz)))
}

// lever returns the lever of the cylinder about the arms' pivot, positive up: the
// cross product of the two pins over their distance.
func (m *model) lever(sin, cos derive.Value) derive.Value {
	x, z := m.rod(sin, cos)
	return m.Div(m.Sub(m.Mul(z, unCylX), m.Mul(x, unCylZ)), m.length(x, z))
}

// arc returns how far a mass that is a distance ahead of the pivot pin rises for a
// small turn of the arm: r cos a + (1 - s) e, s being the self-leveling.
func (m *model) arc(cos, ahead derive.Value) derive.Value {
	return m.Add(m.Mul(unArm, cos), m.Mul(m.Shift(m.Scale(unLevel, -1), 1), ahead))
}

// own returns the moment of arms and attachment about the pivot, in kilogram
// meters, by virtual work.
func (m *model) own(sin, cos derive.Value) derive.Value {
	s := m.Mul(m.arms, m.armsAhead(sin, cos))
	if m.hasHung {
		s = m.Add(s, m.Mul(m.hung, m.arc(cos, unHungX)))
	}
	return s
}

// perMegapascal is a megapascal on a square meter as a mass that weighs as much.
const perMegapascal = 1e6 / float64(units.StandardGravity)

// gauged returns what the gauge reads. With the moment M about the pivot, the area
// A and the lever q, friction that takes the share k of the pressure and the
// pressure p0 besides gives
//
//	raising: p = (M/(A q) + p0)/(1 - k)
//	sinking: p = (M/(A q) - p0)/(1 + k a)
//
// where a, near one, says that friction is not the same both ways; and at rest it may
// be anything between, with M/(A q) in the middle. Held by
// TestWeightsOfRotatedMachines.
func (m *model) gauged(g *PressureReading) derive.Value {
	p := m.relief
	if g.Motion != AtStop {
		sin, cos := m.arm(float64(g.Pin))
		moment := m.own(sin, cos)
		for _, n := range g.Loads {
			k := derive.Value(m.loads + 2*m.r.load(n))
			moment = m.Add(moment, m.Mul(k, m.arc(cos, m.ahead(n))))
		}
		p = m.Div(m.Scale(moment, 1/perMegapascal), m.Mul(m.area, m.lever(sin, cos)))
		switch g.Motion {
		case Raising:
			p = m.Div(m.Add(p, unStick), m.Shift(m.Scale(unDrag, -1), 1))
		case Sinking:
			p = m.Div(m.Sub(p, unStick), m.Shift(m.Mul(unDrag, unLower), 1))
		}
	}
	return m.Mul(p, m.Shift(unGauge, 1))
}

// lifts returns the load that the relief pressure balances with friction against
// it (sign -1), without friction (0) or with friction for it (+1): what the arms
// raise, what they would hold by the oil alone, and what they sink under.
func (m *model) lifts(pin float64, ahead derive.Value, sign float64, bare bool) derive.Value {
	sin, cos := m.arm(pin)
	drag := derive.Value(unDrag)
	if sign > 0 {
		drag = m.Mul(drag, unLower)
	}
	p := m.Add(m.relief, m.Scale(m.Add(m.Mul(m.relief, drag), unStick), sign))
	moment := m.Scale(m.Mul(m.Mul(p, m.area), m.lever(sin, cos)), perMegapascal)
	own := m.Mul(m.arms, m.armsAhead(sin, cos))
	if !bare {
		own = m.own(sin, cos)
	}
	return m.Div(m.Sub(moment, own), m.arc(cos, ahead))
}

// taped returns a length.
func (m *model) taped(t *Taped) derive.Value {
	if k := directly[t.Length]; k != 0 {
		return derive.Value(k)
	}
	switch t.Length {
	case TapedBore:
		return m.Exp(unBore)
	case TapedLoadAhead:
		return m.ahead(t.Load)
	}
	sin, cos := m.arm(float64(t.Pin))
	if t.Length == TapedCylinderLength {
		return m.length(m.rod(sin, cos))
	}
	return m.Sub(m.Add(m.pinX(cos), m.ahead(t.Load)), unBase)
}

// figure returns a figure of the papers.
func (m *model) figure(f *Figure) derive.Value {
	switch f.Kind {
	case FigureMachineMass:
		return m.body
	case FigureArmMass:
		return m.arms
	case FigureAttachmentMass:
		return m.hung
	case FigureRelief:
		return m.relief
	}
	return m.lifts(float64(f.Pin), m.Constant(float64(f.Ahead)), -1, true)
}

// modelled returns what a reading would be.
func (e *estimator) modelled(w *row) derive.Value {
	m := &e.m
	switch w.kind {
	case rowTape:
		return m.taped(&e.r.Tape[w.i])
	case rowLoad:
		return derive.Value(e.unLoad(w.i))
	case rowPiece:
		return derive.Value(e.unPiece(w.i))
	case rowPieceX:
		return derive.Value(e.unPiece(w.i) + 1)
	case rowRaised:
		return derive.Value(e.unRaised(w.i))
	case rowPressure:
		return m.gauged(&e.r.Pressures[w.i])
	case rowFigure:
		return m.figure(&e.r.Figures[w.i])
	}
	a := &e.r.Weights[w.i]
	return m.weight(a, m.pins[w.i], slices.Index(e.raised, a.Raised), w.kind)
}

// Linearize adds all readings to the fit. A reading that was dropped keeps its place
// and its derivatives, with an error so great that it counts for nothing.
func (e *estimator) Linearize(at []float64, p *fit.Problem) bool {
	if e.trying > 0 && !e.promising(p) {
		return false
	}
	e.m.reset(at)
	for k := range e.rows {
		w := &e.rows[k]
		y := e.modelled(w)
		v := e.m.At(y)
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return false
		}
		sd := w.sd
		if w.dropped {
			sd *= aside
		}
		e.m.Gradient(y, p.Row(w.value-v, sd))
		e.m.Cut(e.m.common)
	}
	return true
}

// aside is the factor on the error of a reading that was dropped.
const aside = 1e4

// prepare makes the estimator ready for a record, which must be valid.
func (e *estimator) prepare(r *Record) {
	e.r, e.practice = r, r.filled()
	e.list()
	e.count()
	e.m.r, e.m.loads, e.m.pieces, e.m.raised = r, e.unLoad(0), e.unPiece(0), e.unRaised(0)
	e.know()
}

// tolerance ends the steps of a fit when no function of the unknowns changes by
// more, in standard errors.
const tolerance = 3e-3

// fit estimates the unknowns. It reports false where the readings contradict each
// other so grossly that there is no estimate.
func (e *estimator) fit() bool {
	if e.ended == nil {
		e.ended = valid.Ended(e.ctx, "weigh: fit")
	}
	return e.ended == nil && e.p.FitWithin(e, tolerance) && e.p.Converged()
}
