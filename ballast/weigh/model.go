package weigh

import (
	"math"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/derive"
	"example.com/steelyard/internal/fit"
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
	mean     []float64     // of each prior
	dev      []float64     // its standard deviation
	p        fit.Problem
	m        model
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
	common  int // how much of the calculation all rows share
	body    derive.Value
	bodyX   derive.Value
	bodyZ   derive.Value
	axle    derive.Value
	axleZ   derive.Value
	arms    derive.Value
	armsAt  derive.Value // from the pivot, meters
	hung    derive.Value
	area    derive.Value // of all cylinders, square meters
	relief  derive.Value // MPa
	hasHung bool
}

// reset begins the calculation at the unknowns, with what all rows share.
func (m *model) reset(at []float64) {
	m.Reset(at)
	base := derive.Value(unBase)
	m.body = m.Exp(unBody)
	m.bodyX = m.Mul(unBodyX, base)
	m.bodyZ = m.Mul(unBodyZ, base)
	m.axle = m.Mul(m.body, unAxle)
	m.axleZ = m.Mul(unAxleZ, unFrontRadius)
	m.arms = m.Exp(unArms)
	m.armsAt = m.Mul(unArmsAt, unArm)
	m.hasHung = m.r.Attachment != ballast.BarePin
	if m.hasHung {
		m.hung = m.Exp(unHung)
	} else {
		m.hung = m.Constant(0)
	}
	m.area = m.Scale(m.Exp(m.Scale(unBore, 2)), float64(m.r.Cylinders)*math.Pi/4)
	m.relief = m.Exp(unRelief)
	m.common = m.Len()
}

// arm returns the sine and cosine of the arm's angle with the pin at a height.
func (m *model) arm(pin float64) (sin, cos derive.Value) {
	sin = m.Div(m.Scale(m.Shift(unPivotZ, -pin), -1), unArm)
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
	s = m.plus(s, m.arms, m.Add(unPivotX, m.Mul(m.armsAt, cos)), m.Add(unPivotZ, m.Mul(m.armsAt, sin)))
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

// front returns the load of the front axle. On all its wheels, with the nose
// pitched up by t, moments about the rear contact line give
//
//	F L = sum of m (x cos t - z sin t)
//
// and with an axle raised, where each contact is straight below its axle,
//
//	F (L cos t - (rf - rr) sin t) = sum of m (x cos t - (z - rr) sin t)
//
// Held by TestWeightsOfRotatedMachines.
func (m *model) front(s sums, pitch derive.Value, raised bool) derive.Value {
	sin, cos := m.Sin(pitch), m.Cos(pitch)
	if !raised {
		return m.Div(m.Sub(m.Mul(s.x, cos), m.Mul(s.z, sin)), unBase)
	}
	over := m.Sub(m.Mul(s.x, cos), m.Mul(m.Sub(s.z, m.Mul(s.w, unRearRadius)), sin))
	return m.Div(over, m.Sub(m.Mul(unBase, cos), m.Mul(m.Sub(unFrontRadius, unRearRadius), sin)))
}

// carries returns the load of an axle. On all its wheels the scale reads what stands
// square on the ground, with an axle raised what stands upright.
func (m *model) carries(s sums, pitch derive.Value, raised, rear bool) derive.Value {
	f := m.front(s, pitch, raised)
	switch {
	case !rear:
		return f
	case raised:
		return m.Sub(s.w, f)
	}
	return m.Sub(m.Mul(s.w, m.Cos(pitch)), f)
}

// weight returns what the scale reads under an axle in a pose: (1 + gain) times the
// load, plus the zero.
func (m *model) weight(w *AxleReading, raised int, rear bool) derive.Value {
	sin, cos := m.arm(float64(w.Pin))
	empty := m.empty(float64(w.Pin), sin, cos, w.Without)
	pitch := derive.Value(unYard)
	if w.Turned {
		pitch = m.Scale(pitch, -1)
	}
	all := empty
	if len(w.Loads) > 0 {
		load := m.lifted(float64(w.Pin), cos, w.Loads)
		pitch = m.Sub(pitch, m.Mul(unSquat, m.used(empty, load)))
		all = m.both(empty, load)
	}
	if w.Raised != 0 {
		pitch = m.Add(pitch, derive.Value(m.raised+raised))
	}
	f := m.carries(all, pitch, w.Raised != 0, rear)
	return m.Add(m.Mul(f, m.Shift(unGain, 1)), unZero)
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
func (m *model) own(cos derive.Value) derive.Value {
	s := m.Mul(m.arms, m.Mul(m.armsAt, cos))
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
		moment := m.own(cos)
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
	own := m.Mul(m.arms, m.Mul(m.armsAt, cos))
	if !bare {
		own = m.own(cos)
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
	return m.weight(a, slices.Index(e.raised, a.Raised), w.kind == rowRear)
}

// Linearize adds all readings to the fit. A reading that was dropped keeps its place
// and its derivatives, with an error so great that it counts for nothing.
func (e *estimator) Linearize(at []float64, p *fit.Problem) bool {
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
	e.n = e.unRaised(len(e.raised))
	e.m.r, e.m.loads, e.m.pieces, e.m.raised = r, e.unLoad(0), e.unPiece(0), e.unRaised(0)
	e.know()
}

// tolerance ends the steps of a fit when no function of the unknowns changes by
// more, in standard errors.
const tolerance = 3e-3

// fit estimates the unknowns. It reports false where the readings contradict each
// other so grossly that there is no estimate.
func (e *estimator) fit() bool { return e.p.FitWithin(e, tolerance) && e.p.Converged() }
