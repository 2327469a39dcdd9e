package ballast

import (
	"context"
	"slices"

	"example.com/steelyard/internal/integer"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Fixed are numbers of the package that its tests go up to.
var Fixed = struct {
	Pieces, DocumentSize, Items, Options, Steps, Needs, PlanWork int
	Mass                                                         units.Mass
	ShortStep                                                    float64
	HitchRating                                                  units.Length
}{maxPieces, maxDocumentSize, maxItems, maxOptions, maxSteps, maxNeeds, maxPlanWork, maxMass, shortStep, hitchRatingDistance}

// Conditions is how many conditions the case holds a load to.
func (c *Case) Conditions() int { return len(c.list) }

// WithFrameAndArms is the machine and its lowered loader as one body.
func (s Setup) WithFrameAndArms() stability.Body {
	low := (*Loader)(s.Loader).compile()
	m, l := &s.Machine, s.Loader
	whole := massAt(float64(m.Mass.Value()), float64(m.CG.X.Value()), float64(m.CG.Y.Value()), float64(m.CG.Z.Value()))
	whole = whole.plus(massAt(float64(l.FrameMass.Value()), float64(l.FrameCG.X.Value()), float64(l.FrameCG.Y.Value()), float64(l.FrameCG.Z.Value())))
	whole = whole.plus(low.armAt(low.angle(low.low)))
	return whole.body()
}

// LoadAt returns the load at a pressure, and whether it is an upper bound only.
func (r *TireRating) LoadAt(p units.GaugePressure) (load units.Mass, most bool) { return r.loadAt(p) }

// Demands calls f with every condition of a need on a model.
func (n *Need) Demands(k *Model, f func(LimitKind, State, float64)) error {
	c, err := n.compile(k, "")
	if err != nil {
		return err
	}
	for _, d := range c.demands(k, nil) {
		f(d.limit, d.state, d.value)
	}
	return nil
}

// Apply returns a setup with the option.
func (o *Option) Apply(s Setup) Setup { return o.apply(s) }

// A Column is one integer unknown of a plan.
type Column struct {
	Item, Step          int
	Fill                bool
	Upper               int64
	One                 Piece
	Grams, Cents, Units int64
}

// Columns returns the unknowns of the stock, and the groups of those that
// exclude each other.
func (s *Stock) Columns() (cols []Column, groups [][]int, notes Notes, err error) {
	list, groups, notes, err := s.columns()
	for _, c := range list {
		cols = append(cols, Column{c.item, c.step, c.fill, c.upper, c.one, c.grams, c.cents, c.units})
	}
	return cols, groups, notes, err
}

// A PlanRun is a plan whose rows are laid and whose search has not begun.
type PlanRun struct {
	Left   *int64 // work
	Search func() (Proposal, error)
	// Meets returns the needs that a choice meets by the rows of a combination.
	Meets func(combination int, x []int64, needs int) uint32
	// Rows are those of the first combination, as they were and in exact
	// integers.
	Rows []struct {
		Base float64
		Coef []float64
		Row  *integer.Row
	}
}

// NewPlanRun lays the rows of a plan.
func NewPlanRun(ctx context.Context, s Setup, n *Needs, st *Stock) (*PlanRun, error) {
	p := &planner{setup: s, needs: n, stock: st, planWork: newPlanWork(ctx, n)}
	if err := p.prepare(); err != nil {
		return nil, err
	}
	r := &PlanRun{Left: &p.left, Search: p.plan}
	r.Meets = func(combination int, x []int64, needs int) uint32 { return p.progs[combination].meets(x, needs) }
	rows := p.progs[0].rows
	r.Rows = slices.Grow(r.Rows, len(rows))[:len(rows)]
	for i := range rows {
		r.Rows[i].Base, r.Rows[i].Coef, r.Rows[i].Row = rows[i].base, rows[i].coef, &rows[i].row
	}
	return r, nil
}

// Ends returns what every limit allows without the figures of a compiled case.
func (e *Envelope) Ends(lift Lift) (out [NumLimits]LimitRange, err error) {
	v, err := e.spread(&lift)
	if err != nil {
		return out, err
	}
	var t [1]tally
	err = v.solve(t[:], 0)
	for i := range out {
		out[i] = t[0].limitRange(LimitKind(i + 1))
	}
	return out, err
}

// Holds reports whether every quantity that o knows lies within what e knows of
// it; a rating that e does not know is open.
func (e *Envelope) Holds(o *Envelope) bool {
	inside := func(a, b span) bool { return a.lo >= b.lo && a.hi <= b.hi }
	for i, b := range e.in {
		rating := input(i) == inBreakOut || input(i) == inCoupler || input(i) == inAttachRating || input(i) >= inHitchRating || input(i) == inPush || input(i) == inFriction
		if !inside(o.in[i], b) && !(rating && b == span{}) {
			return false
		}
	}
	for i := range e.pieces {
		if !inside(o.pieces[i].z, e.pieces[i].z) {
			return false
		}
	}
	return true
}

// FieldKeys returns the entry of fieldSpecs that each path has.
func FieldKeys() map[string]string {
	out := map[string]string{}
	for _, n := range fieldTree().All() {
		out[n.Path] = n.Owner + "." + n.Key
		if n.Owner == "Tire" && len(n.Key) > 6 && n.Key[len(n.Key)-6:] == ".moved" {
			out[n.Path] = "Dimension.moved"
		}
	}
	return out
}

// HasColumnForm reports whether a field has a form in columns.
func HasColumnForm(path string) bool {
	f := plainOf(path)
	return f != nil && f.path != "lifts.height"
}
