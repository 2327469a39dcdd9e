package ballast

import (
	"fmt"
	"math"
	"slices"

	"example.com/steelyard/internal/integer"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A program is the integer program of one combination of options.
type program struct {
	options []int
	grams   int64
	cents   int64
	setup   Setup
	needs   []compiledNeed
	rows    []planRow
	blocked []planRow // conditions that fail and that no piece betters
}

// planRow is one condition of one need: base + coef x >= 0, in kilograms.
type planRow struct {
	need  int
	limit LimitKind
	state State
	base  float64
	coef  []float64
	row   integer.Row
	least float64 // of base + coef x over the stock
}

// pieceAt is the path of the input that piece i of a combination comes from.
func (p *planner) pieceAt(options []int, i int) string {
	if i < len(p.setup.Pieces) {
		return "setup." + pieceAt(i)
	}
	i -= len(p.setup.Pieces)
	for _, o := range options {
		n := len(p.stock.Options[o].Pieces)
		if i < n {
			return "stock." + units.Index("options", o) + "." + pieceAt(i)
		}
		i -= n
	}
	return "stock"
}

// mounts lays the rows of mounts, and of boxes that must be there to be
// filled.
func (p *planner) mounts() {
	n := len(p.cols)
	for i := range p.stock.Mounts {
		m := &p.stock.Mounts[i]
		slots, mass := integer.Row{Coef: make([]int64, n), Bound: -int64(m.Slots)}, integer.Row{Coef: make([]int64, n), Bound: -grams(m.Limit)}
		for j := range p.cols {
			c := &p.cols[j]
			if it := &p.stock.Items[c.item]; it.Mount == m.Name {
				if !c.fill {
					slots.Coef[j] = -int64(max(1, it.Slots))
				}
				mass.Coef[j] = -c.grams
			}
		}
		if m.Slots > 0 {
			p.fixed = append(p.fixed, slots)
		}
		if m.Limit > 0 {
			p.fixed = append(p.fixed, mass)
		}
	}
	for j := range p.cols {
		if c := &p.cols[j]; c.fill {
			r := integer.Row{Coef: make([]int64, n)}
			r.Coef[j-1], r.Coef[j] = c.upper, -1
			p.fixed = append(p.fixed, r)
		}
	}
}

// combine compiles the program of a combination of options, unless it
// excludes itself.
func (p *planner) combine(mask int) error {
	q := program{setup: p.setup}
	for i := range p.stock.Options {
		if mask&(1<<i) == 0 {
			continue
		}
		o := &p.stock.Options[i]
		for _, k := range q.options {
			if o.excludes(&p.stock.Options[k]) {
				return nil
			}
		}
		q.options = append(q.options, i)
		q.setup = o.apply(q.setup)
		q.cents += o.Cents
		for _, piece := range o.Pieces {
			piece, _, err := p.known.solve(piece)
			if err != nil {
				var c units.FieldErrors
				c.Join("stock."+units.Index("options", i)+".pieces", err)
				return c.Err()
			}
			q.grams += grams(piece.Mass.Value())
		}
	}
	var c units.FieldErrors
	if q.setup.checkPieces(&c, func(i int) string { return p.pieceAt(q.options, i) }); c.Len() > 0 {
		return c.Err()
	}
	before := len(p.known)
	st, err := p.compile(&q.setup)
	p.spend(answerWork + cavityWork*(len(p.known)-before))
	if err != nil {
		return err
	}
	k := st.model()
	for i := range p.needs.List {
		if err := p.err(); err != nil {
			return err
		}
		need := &p.needs.List[i]
		path := "needs." + units.Index("list", i)
		if p.travels != nil && p.travels[i] != nil {
			path += ".travel"
		}
		cn, err := st.compileNeed(need, path)
		if err != nil {
			return err
		}
		if p.shares != nil {
			cn.share = p.shares[i]
		}
		q.needs = append(q.needs, cn)
		if err := p.rowsOf(&q, st, i); err != nil {
			return err
		}
	}
	if !k.offOK {
		p.out.Notes |= NoteArmMassUnknown
		p.out.Cautions |= CautionUnchecked
	}
	p.spend(q.reduce(p.cols, p.groups))
	p.progs = append(p.progs, q)
	return nil
}

// rowsOf lays the rows of need i: the differences that the pieces make.
func (p *planner) rowsOf(q *program, st planState, i int) error {
	cn := &q.needs[i]
	k := st.model()
	base := st.demands(cn, nil)
	rows := make([]planRow, len(base))
	flat := make([]float64, len(base)*len(p.cols))
	for r, c := range base {
		rows[r] = planRow{need: i, limit: c.limit, state: c.state, base: c.value, coef: flat[r*len(p.cols) : (r+1)*len(p.cols)]}
	}
	p.spend(answerWork + demandWork*len(base)*len(p.cols))
	level := cn.need.Kind != NeedLift || cn.need.Lift.level()
	var with []demand
	for j := range p.cols {
		col := &p.cols[j]
		one := col.one
		one.Mass = units.Is(units.Mass(float64(one.Mass.Value()) * float64(col.upper)))
		if one.Kind.OnHitch() && cn.need.Hitch == Resting {
			continue
		}
		more := st.withPiece(&one)
		if lacks := more.model().slopeNotes; !p.open && !level && lacks != 0 {
			return units.NewFieldError("stock."+units.Index("items", col.item), nil, "cannot be counted on a slope: {notes}", notesParam(lacks))
		}
		with = more.demands(cn, with[:0])
		for r := range rows {
			rows[r].coef[j] = (with[r].value - base[r].value) / float64(col.upper)
		}
	}
	for _, r := range rows {
		r.base += conditionTolerance * float64(k.Mass())
		q.rows = append(q.rows, r)
	}
	// What no piece can change: the loader's own limits, from the model.
	if cn.need.Kind != NeedLift {
		return nil
	}
	if e, ok := st.(*Envelope); ok {
		return p.openBlocked(q, e, i)
	}
	c, err := k.Case(*cn.need.Lift)
	if err != nil {
		return err // compile has asked this before
	}
	check, use := c.Check(units.Mass(cn.load)), c.Use()
	for _, kind := range loaderLimits {
		if l := check.Limit(kind); l.Status == stability.Exceeded || l.Status == stability.ExceededWhenEmpty {
			q.blocked = append(q.blocked, planRow{need: i, limit: kind, base: min(float64(l.Left), -1e-9)})
		}
		for _, again := range use.Rechecks {
			if l := again.Limits[kind-1]; l.Status == stability.Exceeded {
				q.blocked = append(q.blocked, planRow{need: i, limit: kind, state: again.State, base: -1e-9})
			}
		}
	}
	return nil
}

// conditionTolerance is what a condition may miss, per kilogram of the
// machine: far below the 1e-9 within which the model calls a limit binding,
// and above the rounding of the rows.
const conditionTolerance = 2e-11

// reduce drops the rows that nothing in the stock can break, sets apart those
// that nothing can change, and rounds the rest to integers against the plan:
// coefficients down, bounds up. It returns the work done.
func (q *program) reduce(cols []column, groups [][]int) (work int) {
	inGroup := make([]bool, len(cols))
	for _, g := range groups {
		for _, j := range g {
			inGroup[j] = true
		}
	}
	var keep []planRow
	work = 4 * len(q.rows) * len(cols)
	for _, r := range q.rows {
		if math.IsInf(r.base, -1) {
			r.base, r.coef = -1e-9, nil
			q.blocked = append(q.blocked, r)
			continue
		}
		least, size := r.base, math.Abs(r.base)
		for j, a := range r.coef {
			v := a * float64(cols[j].upper)
			size += math.Abs(v)
			if !inGroup[j] {
				least += min(0, v)
			}
		}
		for _, g := range groups {
			lo := 0.0
			for _, j := range g {
				lo = min(lo, r.coef[j])
			}
			least += lo
		}
		if least >= 0 {
			continue
		}
		r.least = least
		if r.base < 0 && !slices.ContainsFunc(r.coef, func(a float64) bool { return a > 0 }) {
			q.blocked = append(q.blocked, r)
			continue
		}
		_, e := math.Frexp(size)
		scale := math.Ldexp(1, 50-e)
		r.row = integer.Row{Coef: make([]int64, len(cols)), Bound: int64(math.Ceil(-r.base * scale))}
		for j, a := range r.coef {
			r.row.Coef[j] = int64(math.Floor(a * scale))
		}
		keep = append(keep, r)
	}
	// A row that another is at least as strict as in every term is idle.
	idle := make([]bool, len(keep))
	for i := range keep {
		for k := range keep {
			work++
			if i != k && !idle[i] && !idle[k] && keep[i].need == keep[k].need {
				stricter, terms := keep[i].stricter(&keep[k])
				idle[k] = stricter
				work += terms
			}
		}
	}
	q.rows = q.rows[:0]
	for i, r := range keep {
		if !idle[i] {
			q.rows = append(q.rows, r)
		}
	}
	return work
}

// stricter reports whether r holds only where o does, and how many terms it
// has compared.
func (r *planRow) stricter(o *planRow) (bool, int) {
	if r.base > o.base {
		return false, 0
	}
	for j, a := range r.coef {
		if a > o.coef[j] {
			return false, j
		}
	}
	return true, len(r.coef)
}

// problem returns the integer program for a set of needs.
func (p *planner) problem(q *program, mask uint32) integer.Problem {
	pr := integer.Problem{Upper: make([]int64, len(p.cols)), Groups: p.groups}
	for j := range p.cols {
		pr.Upper[j] = p.cols[j].upper
	}
	pr.Rows = append(pr.Rows, p.fixed...)
	for i := range q.rows {
		if mask&(1<<q.rows[i].need) != 0 {
			pr.Rows = append(pr.Rows, q.rows[i].row)
		}
	}
	return pr
}

// objectives returns the two objectives of a goal, and the number of pieces.
func (p *planner) objectives(goal Goal) [][]int64 {
	out := [][]int64{make([]int64, len(p.cols)), make([]int64, len(p.cols)), make([]int64, len(p.cols))}
	for j := range p.cols {
		c := &p.cols[j]
		out[0][j], out[1][j] = goal.order(c.grams, c.cents)
		out[2][j] = c.units
	}
	return out
}

// order returns mass and cost in the order of their weight.
func (g Goal) order(grams, cents int64) (first, second int64) {
	if g == LeastCost {
		return cents, grams
	}
	return grams, cents
}

// solve solves a program with at most so much work.
func (p *planner) solve(pr *integer.Problem, work int64, any bool) (integer.Result, error) {
	p.spend(2 * len(pr.Rows) * len(pr.Upper)) // to lay and to check it
	most := min(work, p.free())
	if most <= 0 {
		p.out.Proof.Exhausted = true
		return integer.Result{}, p.err()
	}
	r, err := integer.Solve(pr, integer.Options{Work: most, Any: any, Stop: p.ctx.Err})
	if err != nil {
		return r, fmt.Errorf("ballast: plan: %w", err)
	}
	p.left -= r.Work
	p.out.Proof.Exhausted = p.out.Proof.Exhausted || most < work && r.Work > most
	p.out.Proof.Programs++
	p.out.Proof.Nodes += r.Nodes
	return r, nil
}

// blockedFor reports whether a need of the mask fails whatever the pieces.
func (q *program) blockedFor(mask uint32) bool {
	return q.beyondBallast(mask) || q.beyondStock(mask)
}

// beyondBallast reports whether a need of the mask fails by a limit that no
// ballast moves.
func (q *program) beyondBallast(mask uint32) bool {
	for i := range q.blocked {
		if r := &q.blocked[i]; r.coef == nil && mask&(1<<r.need) != 0 {
			return true
		}
	}
	return false
}

// beyondStock reports whether a need of the mask fails by a limit that ballast
// moves, but no piece of the stock to the better.
func (q *program) beyondStock(mask uint32) bool {
	for i := range q.blocked {
		if r := &q.blocked[i]; r.coef != nil && mask&(1<<r.need) != 0 {
			return true
		}
	}
	return false
}

func atMostRow(coef []int64, most int64) integer.Row {
	r := integer.Row{Coef: make([]int64, len(coef)), Bound: -most}
	for j, a := range coef {
		r.Coef[j] = -a
	}
	return r
}

// meets returns the needs whose rows x satisfies.
func (q *program) meets(x []int64, n int) uint32 {
	mask := uint32(1)<<n - 1
	for i := range q.blocked {
		mask &^= 1 << q.blocked[i].need
	}
	for i := range q.rows {
		r := &q.rows[i]
		var s int64
		for j, v := range x {
			s += r.row.Coef[j] * v
		}
		if s < r.row.Bound {
			mask &^= 1 << r.need
		}
	}
	return mask
}
