package ballast

import (
	"math"

	"example.com/steelyard/internal/numeric"
)

// pathSteps is how many steps of a way the least lift is sought between.
const pathSteps = 32

// hydraulicWay appends the conditions of the lift up to the angle top: where a
// load is stacked, also at the low end of the way, at every rated point on it,
// and where the lift is least between steps.
func (q *loadCase) hydraulicWay(out []condition, top float64) ([]condition, Notes) {
	var notes Notes
	at := func(a float64) {
		f, n := q.hydraulic(a)
		notes |= n
		out = append(out, f)
	}
	at(top)
	low := q.k.loader.angle(q.k.loader.low)
	step := (top - low) / pathSteps
	if q.lift.Kind != StackHigh || !(step > 0) {
		return out, notes
	}
	at(low)
	for _, r := range q.k.loader.rated {
		if r.angle > low && r.angle < top {
			at(r.angle)
		}
	}
	allows := func(a float64) float64 {
		f, _ := q.hydraulic(a)
		return f.allows()
	}
	before, here := math.Inf(1), allows(low)
	for i := range pathSteps + 1 {
		a, after := low+step*float64(i), math.Inf(1)
		if i < pathSteps {
			after = allows(a + step)
		}
		if here <= before && here <= after && !math.IsInf(here, 1) {
			at(numeric.Minimum(allows, max(low, a-step), min(top, a+step), step*1e-6))
		}
		before, here = here, after
	}
	return out, notes
}

// hydraulic returns the condition of the lift with the arm at angle a; where
// something is not known that it needs, notes say what. Moving the arm by
// a small angle raises a load e ahead and h above the pin by (r cos a +
// (1 - s) e) and moves it forward by (-r sin a - (1 - s) h), s being the
// share of self-leveling; the work against its weight is the moment that
// the cylinders must hold. No dynamic factor multiplies it: the relief valve
// limits the force, and a load that is too heavy stays down.
func (q *loadCase) hydraulic(a float64) (condition, Notes) {
	k := q.k
	p := k.loader
	_, z := p.pin(a)
	moment, lever, ok := p.capacity(a, z)
	switch {
	case ok:
	case len(p.rated) > 0:
		return unknown(LimitHydraulic), NoteOutsideRated
	default:
		return unknown(LimitHydraulic), NoteLiftUnknown
	}
	if lacks := q.hydraulicLacks(lever); lacks != 0 {
		return unknown(LimitHydraulic), lacks
	}
	s := q.lift.situation()
	sinB, cosB := p.trig.sincos(float64(s.Slope))
	gx := -k.g*sinB*math.Cos(float64(s.Heading)) - float64(s.Acceleration)
	gz := -k.g * cosB
	sin, cos := p.trig.sincos(a)
	work := func(r, ahead, above float64) float64 {
		return -(float64(gx*(float64(-r*sin)-float64(lever*above))) + float64(gz*(float64(r*cos)+float64(lever*ahead))))
	}
	t := &k.attachment
	own := float64(p.armMass*work(p.armCG, 0, 0)) + float64(float64(t.Mass.Value())*work(p.r, float64(t.CG.Ahead.Value()), float64(t.CG.Above.Value())))
	ahead, above := t.loadOffset(q.lift)
	if !p.cyl {
		// Behind the pin a rating is that at the pin.
		ahead = max(0, ahead)
	}
	return condition{a0: own, a1: work(p.r, ahead, above), b0: moment, limit: LimitHydraulic}, 0
}

// hydraulicLacks returns what is not known and the balance of the lift needs.
// On a slope and under braking a height counts as far as the carrier turns with
// the arm.
func (q *loadCase) hydraulicLacks(lever float64) (n Notes) {
	k := q.k
	if k.loader.cyl && k.loader.armMass == 0 {
		n |= NoteArmMassUnknown
	}
	if q.lift.level() || k.attachment.Kind == BarePin || !(lever > 0) {
		return n
	}
	if q.lift.Kind != BreakOut && !q.lift.Load.Above.Known() {
		n |= NoteLoadHeightUnknown
	}
	if k.attachment.Mass.Value() != 0 && !k.attachment.CG.Above.Known() {
		n |= NoteStateHeightUnknown
	}
	return n
}
