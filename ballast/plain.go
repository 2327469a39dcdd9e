package ballast

import (
	"math"
	"reflect"
	"strings"

	"example.com/steelyard/units"
)

// plainField is a field of which most numbers change nothing but sums and
// products: between two ends, which follow from other fields of its part of the
// document, every number is valid, no rule between fields answers otherwise, and
// no note comes or goes. An evaluator validates nothing then, and a block takes the
// field as a column.
type plainField struct {
	path  string // without the indices
	moves touched
	// between returns the ends, both excluded, of a valid setup and lift; no number
	// lies between NaNs.
	between func(s *Setup, p *Piece, l *Lift) (low, high float64)
}

// none are ends that no number lies between.
func none() (low, high float64) { return math.NaN(), math.NaN() }

// fixedEnds are ends that depend on nothing.
func fixedEnds[Q units.Quantity](low, high Q) func(*Setup, *Piece, *Lift) (float64, float64) {
	return func(*Setup, *Piece, *Lift) (float64, float64) { return float64(low), float64(high) }
}

// endsWhere are ends that hold where ok does.
func endsWhere(ok bool, low, high float64) (float64, float64) {
	if !ok {
		return none()
	}
	return low, high
}

const (
	minMassKg   = float64(minMass)
	maxMassKg   = float64(maxMass)
	maxRatingKg = float64(maxRating)
	maxLengthM  = float64(maxLength)
	maxHeightM  = float64(maxHeight)
	maxSidewayM = float64(maxSideway)
)

// alone reports whether no two boxes hang on the hitch, which must be at one place.
func alone(s *Setup) bool {
	boxes := 0
	for i := range s.Pieces {
		if s.Pieces[i].Kind == HitchBox {
			boxes++
		}
	}
	return boxes < 2
}

// plainFields lists them. An end depends only on what its own part of the document
// says, because what is set there later is validated together with it.
var plainFields = []plainField{
	{"setup.machine.mass", touchedMachine | touchedSums, func(s *Setup, _ *Piece, _ *Lift) (float64, float64) {
		m := &s.Machine
		return endsWhere(m.FrontLoad.Unknown() && m.RearLoad.Unknown(), max(50, 2*float64(m.AxleMass.Value())), maxMassKg)
	}},
	{"setup.machine.cg.x", touchedMachine | touchedSums, func(s *Setup, _ *Piece, _ *Lift) (float64, float64) {
		m := &s.Machine
		return endsWhere(m.FrontLoad.Unknown() && m.RearLoad.Unknown(), 0, float64(m.Wheelbase.Value()))
	}},
	{"setup.machine.cg.y", touchedMachine | touchedSums, fixedEnds(-maxSideway, maxSideway)},
	{"setup.machine.cg.z", touchedMachine | touchedSums, fixedEnds(0.1, maxHeight)},
	{"setup.machine.operator", touchedMachine | touchedSums, func(s *Setup, _ *Piece, _ *Lift) (float64, float64) {
		return endsWhere(!s.Machine.Seat.X.Unknown(), -0.5, math.Inf(1))
	}},
	{"setup.machine.front.rating", touchedMachine, fixedEnds(minMass, maxRating)},
	{"setup.machine.rear.rating", touchedMachine, fixedEnds(minMass, maxRating)},
	{"setup.machine.front.wheelRating", touchedMachine, fixedEnds(minMass, maxRating)},
	{"setup.machine.rear.wheelRating", touchedMachine, fixedEnds(minMass, maxRating)},
	{"setup.machine.grossRating", touchedMachine, fixedEnds(minMass, maxRating)},
	{"setup.machine.ropsRating", touchedMachine, fixedEnds(minMass, maxRating)},
	{"setup.machine.hitch.rating", touchedMachine | touchedSums, fixedEnds(minMass, maxRating)},
	{"setup.loader.frameMass", touchedLoader | touchedSums, fixedEnds(minMass, maxMass)},
	{"setup.loader.frameCG.x", touchedLoader | touchedSums, fixedEnds(-maxLength, maxLength)},
	{"setup.loader.frameCG.y", touchedLoader | touchedSums, fixedEnds(-maxSideway, maxSideway)},
	{"setup.loader.frameCG.z", touchedLoader | touchedSums, fixedEnds(0, maxHeight)},
	{"setup.loader.armMass", touchedLoader | touchedSums, fixedEnds(minMass, maxMass)},
	{"setup.loader.armCG", touchedLoader | touchedSums, func(s *Setup, _ *Piece, _ *Lift) (float64, float64) {
		return 0.01, min(maxLengthM, 1.5*float64(s.Loader.Arm.Value()))
	}},
	{"setup.loader.cylinders.bore", touchedLoader, fixedEnds[units.Length](0.01, 0.5)},
	{"setup.loader.cylinders.pressure", touchedLoader, fixedEnds(units.GaugeBar, 1000*units.GaugeBar)},
	{"setup.loader.cylinders.friction", touchedLoader, fixedEnds[units.Fraction](0, maxFriction)},
	{"setup.loader.breakOut", touchedLoader | touchedSums, fixedEnds[units.Force](10, 1e7)},
	{"setup.loader.couplerRating", touchedLoader | touchedSums, fixedEnds(minMass, maxRating)},
	{"setup.attachment.mass", touchedAttachment, fixedEnds(minMass, maxMass)},
	{"setup.attachment.cg.ahead", touchedAttachment, fixedEnds[units.Length](-2, 10)},
	{"setup.attachment.cg.above", touchedAttachment, fixedEnds[units.Length](-3, 5)},
	{"setup.attachment.face", touchedAttachment, fixedEnds[units.Length](-1, 3)},
	{"setup.attachment.loadCenter", touchedAttachment, fixedEnds[units.Length](0.05, 3)},
	{"setup.attachment.rating", touchedAttachment, fixedEnds(minMass, maxRating)},
	{"setup.pieces.mass", touchedSums, func(_ *Setup, p *Piece, _ *Lift) (float64, float64) {
		return endsWhere(p.Fill == nil, 1e-3, maxMassKg)
	}},
	{"setup.pieces.cg.x", touchedSums, func(s *Setup, p *Piece, _ *Lift) (float64, float64) {
		switch {
		case p.Kind.OnHitch():
			return endsWhere(alone(s), -maxLengthM, -0.01)
		case p.Kind == ChassisPiece:
			return -maxLengthM, maxLengthM
		}
		return none()
	}},
	{"setup.pieces.cg.y", touchedSums, func(s *Setup, p *Piece, _ *Lift) (float64, float64) {
		return endsWhere(!p.Kind.OnHitch() || alone(s), -maxSidewayM, maxSidewayM)
	}},
	{"setup.pieces.cg.z", touchedSums, func(s *Setup, p *Piece, _ *Lift) (float64, float64) {
		return endsWhere(p.Kind.OnHitch() && alone(s) || p.Kind == ChassisPiece, 0, maxHeightM)
	}},
	{"setup.pieces.depth", touchedSums, func(_ *Setup, p *Piece, _ *Lift) (float64, float64) {
		return endsWhere(p.Fill == nil && p.Kind.Liquid(), 0, float64(maxRadius))
	}},
	{"setup.pieces.rollRise", touchedSums, func(_ *Setup, p *Piece, _ *Lift) (float64, float64) {
		return endsWhere(p.Fill == nil && p.Kind.Liquid(), 0, float64(maxRadius))
	}},
	{"lifts.height", 0, func(_ *Setup, _ *Piece, l *Lift) (float64, float64) {
		return endsWhere(l.Kind != BreakOut, -1, maxHeightM)
	}},
	{"lifts.load.mass", 0, func(_ *Setup, _ *Piece, l *Lift) (float64, float64) {
		return endsWhere(l.Load.Density == 0, 1e-3, maxMassKg)
	}},
	{"lifts.load.center", 0, fixedEnds[units.Length](-1, 5)},
	{"lifts.load.above", 0, fixedEnds[units.Length](-2, 5)},
	{"lifts.load.sideways", 0, fixedEnds(-maxSideway, maxSideway)},
}

// plainOf returns the plain field of a path; nil if it is not plain.
func plainOf(path string) *plainField {
	var name strings.Builder
	for rest := path; rest != ""; {
		before, after, ok := strings.Cut(rest, "[")
		name.WriteString(before)
		if !ok {
			break
		}
		_, rest, _ = strings.Cut(after, "]")
	}
	for i := range plainFields {
		if plainFields[i].path == name.String() {
			return &plainFields[i]
		}
	}
	return nil
}

// free says of the fields that are bound between what numbers they are plain, where a
// part that they belong to was touched. Where the setup is not valid, none is.
func (e *Evaluator) free(was bool, pieces bool) {
	all := e.whole != was
	for i := range e.bound {
		b := &e.bound[i]
		if b.plain == nil || b.lift >= 0 || !all && b.touched&e.touched == 0 && !(pieces && b.piece >= 0) {
			continue
		}
		if !e.whole {
			b.low, b.high = none()
			continue
		}
		var p *Piece
		if b.piece >= 0 {
			p = &e.setup.Pieces[b.piece]
		}
		b.low, b.high = b.plain.between(&e.setup, p, nil)
	}
}

// freeLift is free for the fields of a lift.
func (e *Evaluator) freeLift(l *lifted) {
	for i := range e.bound {
		b := &e.bound[i]
		if b.plain == nil || b.lift < 0 || &e.lifts[b.lift] != l {
			continue
		}
		if b.low, b.high = none(); l.valid {
			b.low, b.high = b.plain.between(&e.setup, nil, &l.lift)
		}
	}
}

// plainValues reports whether every value that a field may be set to is as good as any
// other, where it is set to one of a list.
func plainValues(values []reflect.Value) bool {
	for _, v := range values {
		if o, ok := v.Interface().(Operator); !ok || o == OperatorUnknown || o > HeavyOperator {
			return false
		}
	}
	return true
}
