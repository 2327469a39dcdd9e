package ballast

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"math/bits"
	"slices"

	"example.com/steelyard/internal/integer"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Proposal is the answer of [Plan].
type Proposal struct {
	// Status says what was found, and what of it is proven.
	Status PlanStatus `json:"status"`
	// Goal is what was made least.
	Goal Goal `json:"goal"`
	// Best is the plan, where Status is PlanOptimal or PlanFeasible.
	Best Selection `json:"best"`
	// Frontier is, for the goal LeastBoth, every plan that no other beats in
	// mass and in cost at once, from the lightest to the cheapest; at most
	// MaxFrontier. Where there are more, the cheapest are left out and
	// FrontierCut is set.
	Frontier []Selection `json:"frontier,omitempty"`
	// FrontierCut says that the frontier goes on, or that the work ran out
	// before its end was found.
	FrontierCut bool `json:"frontierCut,omitempty"`
	// Conflict is, where Status is PlanConflict, the smallest set of needs
	// that no plan meets together; see the function Plan.
	Conflict []Miss `json:"conflict,omitempty"`
	// Nearest is, where Status is PlanConflict, the plan whose largest
	// shortfall over all needs is least, and of those as little by the goal
	// as a bounded search finds. A limit that nothing in the stock improves
	// is left out of that, but not made worse. It does NOT meet the needs;
	// its answers say which.
	Nearest *Selection `json:"nearest,omitempty"`
	// Proof is how far the answer is proven, and with what effort.
	Proof Proof `json:"proof"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes,omitempty"`
	// Cautions are what a user of the answer must be shown.
	Cautions Cautions `json:"cautions"`
}

// MaxFrontier is how many plans a frontier lists at most.
const MaxFrontier = 50

// PlanStatus says what a plan found. In JSON: "undecided", "optimal",
// "feasible" or "conflict".
type PlanStatus uint8

// Outcomes of a plan.
const (
	// PlanUndecided means that the work ran out before anything was found, or
	// that the model refused what was found: nothing is proposed.
	PlanUndecided PlanStatus = iota
	// PlanOptimal means that Best meets every need and is proven least.
	PlanOptimal
	// PlanFeasible means that Best meets every need, but the work ran out
	// before it was proven least, or before the frontier was; Proof.Bound says
	// how much less might do.
	PlanFeasible
	// PlanConflict means that it is proven that no choice from the stock
	// meets every need.
	PlanConflict
)

var planStatusNames = []string{"undecided", "optimal", "feasible", "conflict"}

// Selection is one choice from the stock, checked by the model.
type Selection struct {
	// Choices are the items taken, in the order of the stock.
	Choices []Choice `json:"choices,omitempty"`
	// Options are the indexes of the options taken.
	Options []int `json:"options,omitempty"`
	// Mass is the mass added, options included.
	Mass units.Mass `json:"mass"`
	// Cents is what it costs.
	Cents int64 `json:"cents"`
	// Answers holds, for each need, what the model says with the selection
	// on.
	Answers []NeedAnswer `json:"answers,omitempty"`
}

// Choice is what is taken of one item.
type Choice struct {
	// Item is the index of the item in the stock.
	Item int `json:"item"`
	// Name is the item's name.
	Name string `json:"name,omitempty"`
	// Count is how many pieces are taken; pairs for wheel weights.
	Count int64 `json:"count"`
	// Step is the index of the step taken, -1 for an item without steps.
	Step int `json:"step"`
	// Piece is all of it together as a piece of a setup: its mass includes a
	// filling. On the hitch its state is raised.
	Piece Piece `json:"piece"`
	// Cents is what it costs.
	Cents int64 `json:"cents"`
}

// Pieces returns the selection as pieces of a setup, those on the hitch
// raised. The pieces and changes that its options bring stand in the stock.
func (s *Selection) Pieces() []Piece {
	var out []Piece
	for _, c := range s.Choices {
		out = append(out, c.Piece)
	}
	return out
}

// Setup returns the machine with the selection on: setup and stock must be
// those that were planned.
func (s *Selection) Setup(setup Setup, stock Stock) Setup {
	for _, o := range s.Options {
		if o >= 0 && o < len(stock.Options) {
			setup = stock.Options[o].apply(setup)
		}
	}
	setup.Pieces = append(setup.Pieces[:len(setup.Pieces):len(setup.Pieces)], s.Pieces()...)
	return setup
}

// NeedAnswer is what the model says about one need with a selection on.
type NeedAnswer struct {
	// Met reports whether the need is met in every state that it is checked
	// in.
	Met bool `json:"met"`
	// Short is by how much the worst condition fails, as a mass on a wheel,
	// an axle or the machine; zero if the need is met, or fails by a limit of
	// the loader only, or by one that no mass mends, such as tires too slow
	// for the speed.
	Short units.Mass `json:"short,omitempty"`
	// Limit is the limit of that condition, or of the tightest one if the need
	// is met: for a lift the limit that governs with the load on, otherwise
	// the one with the least mass to spare; NoLimit for the need's own bound.
	Limit LimitKind `json:"limit,omitempty"`
	// State is the state of that condition.
	State PlanState `json:"state"`
	// Usable is, for a lift, the greatest load of the case.
	Usable units.Mass `json:"usable,omitempty"`
	// Axles is what the wheels carry: with the load for a lift, otherwise with
	// the arms down or without loader.
	Axles WheelLoads `json:"axles"`
}

// Miss is one need of a conflict.
type Miss struct {
	// Need is the index of the need.
	Need int `json:"need"`
	// Short is by how much it is missed at best while all other needs of the
	// conflict are met, as a mass on a wheel, an axle or the machine.
	Short units.Mass `json:"short,omitempty"`
	// Limit is the limit that is missed; NoLimit for the need's own bound.
	Limit LimitKind `json:"limit,omitempty"`
	// State is the state in which it is missed.
	State PlanState `json:"state"`
	// Usable is, for a lift, the greatest load of the case at that best.
	Usable units.Mass `json:"usable,omitempty"`
	// Hopeless says that no ballast whatever helps, because the limit is one
	// of the loader, the attachment or the speed.
	Hopeless bool `json:"hopeless,omitempty"`
	// Unstocked says that nothing in the stock, with any options, improves one
	// of the limits that are missed; ballast that the stock does not hold may.
	Unstocked bool `json:"unstocked,omitempty"`
}

// Proof is how far an answer is proven.
type Proof struct {
	// Proven reports whether the status is proven: that the plan is least, or
	// that the needs conflict.
	Proven bool `json:"proven"`
	// SmallestConflict reports whether the conflict is proven to be smallest.
	SmallestConflict bool `json:"smallestConflict,omitempty"`
	// Bound is what no plan can do with less of: grams for the goals mass and
	// both, cents for the goal cost.
	Bound int64 `json:"bound"`
	// Programs is how many integer programs were solved.
	Programs int `json:"programs"`
	// Nodes is how many nodes they took together.
	Nodes int `json:"nodes"`
	// Work is how much work was done, in millions of steps, rounded up. It may
	// exceed Needs.Work by the step at which that ran out.
	Work int `json:"work"`
	// Exhausted says that the work ran out, or the part of it that one step of
	// the search may take: what is not proven might be with more of it, the
	// nearest plan and the shortfalls of a conflict may be missing or not the
	// least, and a frontier may go on.
	Exhausted bool `json:"exhausted,omitempty"`
}

// Plan chooses from the stock what makes the setup meet every need with the
// least added mass, the least cost, or both in turn. The pieces of the setup
// stay on.
//
// The choice is exact: masses are counted in whole grams, cost in whole cents,
// and the answer is proven least by an exact integer program. Ties are broken
// always in the same way: mass, then cost (or the other way round), then the
// fewest pieces, then the combination of options that comes first (none, the
// first, the second, both, the third, ...), then as
// many as possible of the first item, and so on. Each need becomes linear rows: wheel
// loads and masses at rest are linear in the masses that the machine carries.
// The rows are rounded against the plan, so that nothing is called feasible
// that is not, but for a ten-billionth of the machine's mass. Every plan
// returned has been checked again by the model that answers [Setup.Check]:
// with the load, with the attachment empty, empty and lowered, and with the
// loader off.
//
// When no choice meets the needs, the answer names the smallest set of needs
// that conflict, by how much each is missed at best, and the nearest plan.
// Bad input, or a setup that lacks what a need asks for, is an error that
// names the field: its path begins with setup, needs or stock.
//
// The work is bounded by Needs.Work. Once the context is done, which is asked
// every few milliseconds, the answer is an error that wraps ctx.Err(), and
// nothing is proposed. A nil context never ends.
func Plan(ctx context.Context, setup Setup, needs Needs, stock Stock) (Proposal, error) {
	var c checker
	c.Join("setup", setup.Validate())
	c.Join("needs", needs.Validate())
	c.Join("stock", stock.Validate())
	if err := c.Err(); err != nil {
		return Proposal{}, err
	}
	p := planner{setup: setup, needs: &needs, stock: &stock, planWork: newPlanWork(ctx, &needs)}
	if err := p.prepare(); err != nil {
		return Proposal{}, err
	}
	return p.plan()
}

// Plan answers the document's needs from its stock; see the function [Plan]. A
// document without needs is an error.
func (d Document) Plan(ctx context.Context) (Proposal, error) {
	if d.Needs == nil {
		return Proposal{}, &units.FieldError{Path: "needs", Want: "must be given for a plan"}
	}
	if d.Stock == nil {
		return Proposal{}, &units.FieldError{Path: "stock", Want: "must be given for a plan; empty if there is nothing to choose from"}
	}
	return Plan(ctx, d.Setup, *d.Needs, *d.Stock)
}

type planner struct {
	planWork
	setup  Setup
	needs  *Needs
	stock  *Stock
	cols   []column
	groups [][]int
	fixed  []integer.Row // mounts and fillings
	progs  []program     // one for each combination of options
	unlaid bool          // combinations are left out for want of work
	known  fills
	out    Proposal
}

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
	state PlanState
	base  float64
	coef  []float64
	row   integer.Row
	least float64 // of base + coef x over the stock
}

func (p *planner) prepare() error {
	var c checker
	var notes Notes
	var err error
	if p.cols, p.groups, notes, err = p.stock.columns(); err != nil {
		c.Join("stock", err)
		return c.Err()
	}
	p.spend(p.stock.filled() * cavityWork)
	p.out.Notes |= notes
	p.out.Goal = p.needs.Goal
	p.clashes(&c)
	if n := len(p.setup.Pieces) + len(p.stock.Items) + 10*len(p.stock.Options); n > MaxPieces {
		c.Add("setup.pieces", len(p.setup.Pieces), fmt.Sprintf("must leave room for the stock: at most %d pieces", MaxPieces-(n-len(p.setup.Pieces))))
	}
	if err := c.Err(); err != nil {
		return err
	}
	p.mounts()
	// A quarter of the work is kept for the search.
	p.known = fills{}
	p.keep = p.total / 4
	for mask := range 1 << len(p.stock.Options) {
		if p.free() <= 0 {
			p.unlaid, p.out.Proof.Exhausted = true, true
			break
		}
		if err := p.combine(mask); err != nil {
			return err
		}
	}
	p.keep = 0
	return nil
}

// clashes reports items of the stock that the setup leaves no place for.
func (p *planner) clashes(c *checker) {
	var hitch, rear, front bool
	for _, q := range p.setup.Pieces {
		hitch = hitch || q.Kind.OnHitch() && q.State != Resting
		rear = rear || q.Kind == RearLiquid
		front = front || q.Kind == FrontLiquid
	}
	any := false
	for i := range p.stock.Items {
		piece := &p.stock.Items[i].Piece
		k := piece.Kind
		any = any || k.OnHitch()
		switch {
		case hitch && k.OnHitch():
			c.Add("stock."+units.Index("items", i)+".piece.kind", k, "must not be on the hitch: the setup has a piece there")
		case rear && k == RearLiquid, front && k == FrontLiquid:
			c.Add("stock."+units.Index("items", i)+".piece.kind", k, "must not be liquid for these tires: the setup has some in them")
		}
	}
	if c.Len() == 0 {
		p.checkLiquids(c)
	}
	for i := range p.needs.List {
		if n := &p.needs.List[i]; any && n.Hitch == HitchUnknown {
			c.Add("needs."+units.Index("list", i)+".hitch", nil, "must be raised or resting: the stock has an item for the hitch")
		}
	}
}

// checkLiquids holds the liquids of the stock against the axles: the pieces of
// each option, and each item on the machine as it is and with each option.
func (p *planner) checkLiquids(c *checker) {
	for k := range p.stock.Options {
		o := &p.stock.Options[k]
		own := Setup{Machine: o.apply(p.setup).Machine, Pieces: o.Pieces}
		own.checkPieces(c, func(i int) string { return p.pieceAt([]int{k}, len(p.setup.Pieces)+i) })
	}
	for i := range p.stock.Items {
		piece := p.stock.Items[i].Piece
		for k := -1; k < len(p.stock.Options) && piece.Kind.Liquid() && c.Len() == 0; k++ {
			full, options := p.setup, []int(nil)
			if k >= 0 {
				full, options = p.stock.Options[k].apply(p.setup), []int{k}
				if piece.Fill != nil {
					piece.Tires = piece.filledTires()
				}
			}
			last := len(full.Pieces)
			full.Pieces = append(full.Pieces[:last:last], piece)
			full.checkPieces(c, func(j int) string {
				if j == last {
					return "stock." + units.Index("items", i) + ".piece"
				}
				return p.pieceAt(options, j)
			})
		}
	}
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
				var c checker
				c.Join("stock."+units.Index("options", i)+".pieces", err)
				return c.Err()
			}
			q.grams += grams(piece.Mass)
		}
	}
	var c checker
	if q.setup.checkPieces(&c, func(i int) string { return p.pieceAt(q.options, i) }); c.Len() > 0 {
		return c.Err()
	}
	before := len(p.known)
	k, err := q.setup.compile(p.known)
	p.spend(answerWork + cavityWork*(len(p.known)-before))
	if err != nil {
		var c checker
		c.Join("setup", err)
		return c.Err()
	}
	for i := range p.needs.List {
		if err := p.err(); err != nil {
			return err
		}
		need := &p.needs.List[i]
		cn, err := need.compile(k, "needs."+units.Index("list", i))
		if err != nil {
			return err
		}
		q.needs = append(q.needs, cn)
		if err := p.rowsOf(&q, k, i); err != nil {
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
func (p *planner) rowsOf(q *program, k *Model, i int) error {
	cn := &q.needs[i]
	base := cn.demands(k, nil)
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
		one.Mass = units.Mass(float64(one.Mass) * float64(col.upper))
		if one.Kind.OnHitch() && cn.need.Hitch == Resting {
			continue
		}
		kk := *k
		kk.addPiece(&one)
		if !level && kk.slopeNotes != 0 {
			return &units.FieldError{Path: "stock." + units.Index("items", col.item),
				Want: "cannot be counted on a slope: " + kk.slopeNotes.String()}
		}
		with = cn.demands(&kk, with[:0])
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
				q.blocked = append(q.blocked, planRow{need: i, limit: kind, state: StateEmpty + PlanState(again.Kind), base: -1e-9})
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

// A found is the best choice over the combinations of options.
type found struct {
	prog   *program
	x      []int64
	first  int64 // objectives, options included
	second int64
	count  int64
	proven bool
	bound  int64
	open   bool // the search ended without an answer for some combination
}

// best solves the program of every combination for the goal with at most
// limit of the second objective.
func (p *planner) best(mask uint32, goal Goal, limit int64) (found, error) {
	costs := p.objectives(goal)
	out := found{proven: !p.unlaid, bound: math.MaxInt64, open: p.unlaid}
	if p.unlaid {
		out.bound = 0
	}
	for i := range p.progs {
		q := &p.progs[i]
		if q.blockedFor(mask) {
			continue
		}
		first, second := goal.order(q.grams, q.cents)
		pr := p.problem(q, mask)
		pr.Costs = costs
		if limit < math.MaxInt64 {
			if limit < second {
				continue
			}
			pr.Rows = append(pr.Rows, atMostRow(costs[1], limit-second))
		}
		if out.prog != nil {
			if out.first < first {
				continue
			}
			pr.Rows = append(pr.Rows, atMostRow(costs[0], out.first-first))
		}
		r, err := p.solve(&pr, math.MaxInt64, false)
		if err != nil {
			return out, err
		}
		if r.Status != integer.Optimal && r.Status != integer.Infeasible {
			out.proven = false
			out.bound = min(out.bound, r.Bound+first)
			out.open = out.open || r.X == nil
		}
		if r.X == nil {
			continue
		}
		f := found{prog: q, x: r.X, first: r.Values[0] + first, second: r.Values[1] + second, count: r.Values[2]}
		if out.prog == nil || f.less(&out) {
			f.proven, f.bound, f.open = out.proven, out.bound, out.open
			out = f
		}
	}
	if out.prog != nil {
		out.bound = min(out.bound, out.first)
	}
	return out, nil
}

func (f *found) less(g *found) bool {
	return cmp.Or(cmp.Compare(f.first, g.first), cmp.Compare(f.second, g.second), cmp.Compare(f.count, g.count)) < 0
}

func atMostRow(coef []int64, most int64) integer.Row {
	r := integer.Row{Coef: make([]int64, len(coef)), Bound: -most}
	for j, a := range coef {
		r.Coef[j] = -a
	}
	return r
}

func (p *planner) plan() (Proposal, error) {
	if err := p.search(); err != nil {
		return Proposal{}, err
	}
	p.out.Proof.Work = p.done()
	return p.out, nil
}

func (p *planner) search() error {
	all := uint32(1)<<len(p.needs.List) - 1
	goal := p.needs.Goal
	f, sel, err := p.verified(all, goal, math.MaxInt64)
	if err != nil {
		return err
	}
	o := &p.out
	p.caution(sel)
	switch {
	case sel == nil && f.open:
		o.Status = PlanUndecided
		return nil
	case sel == nil:
		return p.conflict(all)
	}
	o.Best = *sel
	o.Proof.Proven, o.Proof.Bound = f.proven, f.bound
	o.Status = PlanFeasible
	if f.proven {
		o.Status = PlanOptimal
	}
	if goal == LeastBoth {
		return p.frontier(all, f, sel)
	}
	return nil
}

// frontier walks from the lightest plan to the cheapest: each next plan is the
// lightest of those that cost less than the one before.
func (p *planner) frontier(all uint32, f found, sel *Selection) error {
	for {
		p.out.Frontier = append(p.out.Frontier, *sel)
		if f.second <= 0 {
			return nil
		}
		if len(p.out.Frontier) == MaxFrontier {
			p.out.FrontierCut = true
			return nil
		}
		var err error
		if f, sel, err = p.verified(all, LeastMass, f.second-1); err != nil {
			return err
		}
		if sel == nil {
			p.out.FrontierCut = f.open
			return nil
		}
		if !f.proven {
			p.out.Proof.Proven = false
			p.out.Status = PlanFeasible
		}
	}
}

// verified finds the best choice and has the model check it: there is a
// selection if and only if there is a choice. Where the model
// refuses it, which the tolerances should never let happen, the rows of the
// needs that failed are tightened and the search is repeated.
func (p *planner) verified(mask uint32, goal Goal, limit int64) (found, *Selection, error) {
	for range 4 {
		f, err := p.best(mask, goal, limit)
		if err != nil || f.prog == nil {
			return f, nil, err
		}
		sel, err := p.check(f.prog, f.x)
		if err != nil {
			return f, nil, err
		}
		failed := uint32(0)
		for i, a := range sel.Answers {
			if !a.Met && mask&(1<<i) != 0 {
				failed |= 1 << i
			}
		}
		if failed == 0 {
			return f, sel, nil
		}
		for i := range f.prog.rows {
			if r := &f.prog.rows[i]; failed&(1<<r.need) != 0 {
				r.row.Bound += 1 << 24
			}
		}
	}
	return found{open: true}, nil, nil
}

// selection returns what x takes.
func (p *planner) selection(q *program, x []int64) *Selection {
	s := &Selection{Options: q.options, Cents: q.cents}
	for _, o := range q.options {
		for _, piece := range p.stock.Options[o].Pieces {
			if piece, _, err := p.known.solve(piece); err == nil {
				s.Mass += piece.Mass
			}
		}
	}
	for j, v := range x {
		if v == 0 {
			continue
		}
		c := &p.cols[j]
		mass := units.Mass(float64(c.one.Mass) * float64(v))
		s.Mass += mass
		s.Cents += c.cents * v
		if c.fill {
			last := &s.Choices[len(s.Choices)-1]
			last.Piece.Mass += mass
			last.Cents += c.cents * v
			continue
		}
		piece := c.one
		piece.Mass = mass
		s.Choices = append(s.Choices, Choice{Item: c.item, Name: p.stock.Items[c.item].Name, Count: v, Step: c.step, Piece: piece, Cents: c.cents * v})
	}
	return s
}

// check has the model answer every need with x on.
func (p *planner) check(q *program, x []int64) (*Selection, error) {
	s := p.selection(q, x)
	var models [2]*Model
	for i := range q.needs {
		n := &q.needs[i]
		rest := 0
		if n.need.Hitch == Resting {
			rest = 1
		}
		if models[rest] == nil {
			full := q.setup
			full.Pieces = append(full.Pieces[:len(full.Pieces):len(full.Pieces)], s.Pieces()...)
			for k := len(q.setup.Pieces); k < len(full.Pieces); k++ {
				if e := &full.Pieces[k]; rest == 1 && e.Kind.OnHitch() {
					e.State = Resting
				}
			}
			k, err := full.compile(p.known)
			if err != nil {
				var c checker
				c.Join("setup", err)
				return nil, c.Err()
			}
			models[rest] = k
			p.out.Notes |= k.notes & (NoteHitchTwice | NoteLiquidTwice)
		}
		p.spend(answerWork)
		a, err := p.answer(n, models[rest])
		if err != nil {
			return nil, err
		}
		s.Answers = append(s.Answers, a)
	}
	return s, nil
}

// answer has the model answer one need.
func (p *planner) answer(n *compiledNeed, k *Model) (a NeedAnswer, err error) {
	least := math.Inf(1)
	for _, c := range n.demands(k, nil) {
		if c.value < least {
			least = c.value
			a.Limit, a.State = c.limit, c.state
		}
	}
	a.Met = least >= -1e-9*float64(k.Mass())
	if n.need.Kind != NeedLift {
		if n.need.State == LoaderOff || !k.hasLoader {
			a.Axles, err = k.LoaderOff()
		} else {
			a.Axles, err = k.WheelLoads()
		}
		if !a.Met {
			a.Short = units.Mass(-least)
		}
		return a, err
	}
	c, err := k.Case(*n.need.Lift)
	if err != nil {
		var e checker
		e.Join("needs", err)
		return a, e.Err()
	}
	u, check := c.Use(), c.Check(units.Mass(n.load))
	p.out.Notes |= u.Notes
	p.out.Cautions |= u.Cautions
	a.Usable, a.Axles = u.Mass, check.Axles
	// The model has the last word; it knows the loader's own limits as well.
	missed := !a.Met
	a.Met = check.OK()
	if !missed {
		a.Limit, a.State = check.MostUsed.Kind, StateLoad
	}
	for _, r := range u.Rechecks {
		if r.Status == stability.Exceeded && a.Met {
			a.Met = false
			if !missed {
				a.Limit, a.State = r.Governing, StateEmpty+PlanState(r.Kind)
			}
		}
	}
	if !a.Met && !math.IsInf(least, -1) {
		a.Short = units.Mass(max(0, -least))
	}
	return a, nil
}

// caution sets the warnings that belong to the answer.
func (p *planner) caution(s *Selection) {
	c := &p.out.Cautions
	*c |= CautionManual | CautionLevelGround | CautionStandstill | CautionEmptyAgain | CautionROPS | CautionNoTippingTest
	for i := range p.needs.List {
		if n := &p.needs.List[i]; n.Kind == NeedLift && !n.Lift.level() {
			*c |= CautionSlope
		}
	}
	m := &p.setup.Machine
	tire := func(a *Axle) bool { return a.Tire.LoadIndex != 0 || len(a.Tire.Table) > 0 }
	if m.Front.Rating == 0 || m.Rear.Rating == 0 || m.GrossRating == 0 || m.ROPSRating == 0 || !tire(&m.Front) || !tire(&m.Rear) {
		*c |= CautionUnchecked
	}
	if s == nil {
		return
	}
	for _, e := range s.Choices {
		if e.Piece.Kind.OnHitch() {
			*c |= CautionRaisedOnly
			if m.Hitch.Rating == 0 {
				*c |= CautionUnchecked
			}
		}
		if e.Piece.Kind.Liquid() {
			*c |= CautionTireMaker | CautionPressure
		}
	}
}

// conflict finds the smallest set of needs that no choice meets together, by
// how much each is missed, and the nearest plan. A subset of what any known
// choice meets needs no search.
func (p *planner) conflict(all uint32) error {
	o := &p.out
	o.Status = PlanConflict
	o.Proof.Proven = true
	smallest, err := p.smallestConflict(all)
	if err != nil {
		return err
	}
	p.keep = p.left / 2 // for the nearest plan
	for i := range p.needs.List {
		if smallest&(1<<i) == 0 {
			continue
		}
		m, err := p.miss(i, smallest)
		if err != nil {
			return err
		}
		o.Conflict = append(o.Conflict, m)
	}
	p.keep = 0
	sel, err := p.nearest(0, all, false)
	if err != nil {
		return err
	}
	o.Nearest = sel
	p.caution(sel)
	return nil
}

// smallestConflict returns the smallest set of needs that conflict, the first
// of several, and sets whether it is proven smallest. It leaves half of the
// work for what comes later.
func (p *planner) smallestConflict(all uint32) (uint32, error) {
	p.keep = p.left / 2
	defer func() { p.keep = 0 }()
	n := len(p.needs.List)
	var met []uint32 // sets known to be feasible
	decided := true
	conflicts := func(mask uint32) (bool, error) {
		p.spend(len(met))
		for _, m := range met {
			if mask&^m == 0 {
				return false, nil
			}
		}
		proven := true
		for i := range p.progs {
			q := &p.progs[i]
			if q.blockedFor(mask) {
				continue
			}
			pr := p.problem(q, mask)
			r, err := p.solve(&pr, math.MaxInt64, true)
			if err != nil {
				return false, err
			}
			if r.X != nil {
				p.spend(len(q.rows) * len(r.X))
				met = append(met, q.meets(r.X, n))
				return false, nil
			}
			proven = proven && r.Status == integer.Infeasible
		}
		decided = decided && proven
		return proven, nil
	}
	for size := 1; size < n; size++ {
		for mask := uint32(1); mask < all; mask++ {
			if bits.OnesCount32(mask) != size {
				continue
			}
			bad, err := conflicts(mask)
			switch {
			case err != nil:
				return 0, err
			case bad:
				p.out.Proof.SmallestConflict = decided
				return mask, nil
			case p.free() <= 0:
				p.out.Proof.Exhausted = true
				return all, nil
			}
		}
	}
	p.out.Proof.SmallestConflict = decided
	return all, nil
}

// miss says how need i of a conflict is missed.
func (p *planner) miss(i int, conflict uint32) (Miss, error) {
	m := Miss{Need: i}
	if hopeless := p.hopeless(i); hopeless != nil {
		m.Hopeless, m.Limit, m.State = true, hopeless.limit, hopeless.state
		m.Short = units.Mass(max(0, -hopeless.base))
		if m.Short <= 1e-9 {
			m.Short = 0
		}
		return m, nil
	}
	m.Unstocked = true
	for k := range p.progs {
		m.Unstocked = m.Unstocked && p.progs[k].blockedFor(1<<i)
	}
	sel, err := p.nearest(conflict&^(1<<i), 1<<i, true)
	if sel != nil {
		a := sel.Answers[i]
		m.Short, m.Limit, m.State, m.Usable = a.Short, a.Limit, a.State, a.Usable
	}
	return m, err
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

// hopeless returns the worst condition of a need that no ballast moves and
// that fails with every combination of options, or nil.
func (p *planner) hopeless(need int) *planRow {
	var out *planRow
	for i := range p.progs {
		q := &p.progs[i]
		here := (*planRow)(nil)
		for k := range q.blocked {
			if r := &q.blocked[k]; r.need == need && r.coef == nil && (here == nil || r.base < here.base) {
				here = r
			}
		}
		if here == nil {
			return nil
		}
		if out == nil {
			out = here // options move no limit of this kind
		}
	}
	return out
}

// shortStep is the unit in which shortfalls are counted, in kilograms.
const shortStep = 0.1

// blockedTolerance is what a unit of an item may take off a condition by
// rounding alone, in kilograms; a gram a millimeter from an axle does more.
const blockedTolerance = 1e-9

// nearestWork bounds the search for the least by the goal among the nearest.
const nearestWork = 20_000_000

// nearest returns the choice that meets the needs of strict and misses those
// of soft by the least, the largest of their shortfalls counting. With every
// all shortfalls that ballast moves count. Without it conditions that no piece
// improves are left out, but not made worse, and the choice is, of those with
// the least shortfall, as little by the goal as a bounded search finds. It is
// nil if the needs of strict cannot be met or the work limit struck.
func (p *planner) nearest(strict, soft uint32, every bool) (*Selection, error) {
	n := len(p.cols)
	// Combinations in which a need of soft is blocked count, unless with
	// every, only if it is in all of them.
	avoid := strict
	for i := range p.progs {
		if !every && !p.progs[i].blockedFor(strict|soft) {
			avoid = strict | soft
		}
	}
	var progs []*program
	for i := range p.progs {
		if q := &p.progs[i]; !q.blockedFor(avoid) {
			progs = append(progs, q)
		}
	}
	var best found
	for _, q := range progs {
		if p.free() <= 0 {
			p.out.Proof.Exhausted = true
			break
		}
		pr := p.softened(q, strict, soft, every)
		pr.Costs = [][]int64{make([]int64, n+1)}
		pr.Costs[0][n] = 1
		if best.prog != nil {
			if best.first == 0 {
				break
			}
			pr.Upper[n] = min(pr.Upper[n], best.first-1)
		}
		r, err := p.solve(&pr, math.MaxInt64, false)
		if err != nil {
			return nil, err
		}
		if r.X != nil {
			best = found{prog: q, x: r.X[:n], first: r.X[n]}
		}
	}
	if best.prog == nil {
		return nil, nil
	}
	if !every {
		var least found
		for _, q := range progs {
			if p.free() <= 0 {
				p.out.Proof.Exhausted = true
				break
			}
			pr := p.softened(q, strict, soft, every)
			pr.Upper[n] = min(pr.Upper[n], best.first)
			for _, c := range p.objectives(p.needs.Goal) {
				pr.Costs = append(pr.Costs, append(c, 0))
			}
			r, err := p.solve(&pr, nearestWork, false)
			if err != nil {
				return nil, err
			}
			if r.X == nil {
				continue
			}
			first, second := p.needs.Goal.order(q.grams, q.cents)
			if f := (found{prog: q, x: r.X[:n], first: r.Values[0] + first, second: r.Values[1] + second, count: r.Values[2]}); least.prog == nil || f.less(&least) {
				least = f
			}
		}
		if least.prog != nil {
			best = least
		}
	}
	return p.check(best.prog, best.x)
}

// softened returns the program in which the needs of soft may be missed by
// what a last variable counts in steps of shortStep: by conditions that no
// piece improves too with every; otherwise no piece may make those worse.
func (p *planner) softened(q *program, strict, soft uint32, every bool) integer.Problem {
	n := len(p.cols)
	pr := integer.Problem{Groups: p.groups, Upper: make([]int64, n+1)}
	worst := 0.0
	for j := range p.cols {
		pr.Upper[j] = p.cols[j].upper
	}
	for i := range q.rows {
		// A row is missed by no more than with every piece that hurts it on.
		if r := &q.rows[i]; soft&(1<<r.need) != 0 {
			worst = max(worst, -r.least)
		}
	}
	for i := range q.blocked {
		r := &q.blocked[i]
		if soft&(1<<r.need) == 0 {
			continue
		}
		if every {
			worst = max(worst, -r.least)
			continue
		}
		for j, a := range r.coef {
			if a < -blockedTolerance {
				pr.Upper[j] = 0
			}
		}
	}
	most := int64(min(math.Ceil(worst/shortStep)+1, 1e7))
	pr.Upper[n] = most
	widen := func(r integer.Row) integer.Row {
		return integer.Row{Coef: append(r.Coef[:n:n], 0), Bound: r.Bound}
	}
	for _, r := range p.fixed {
		pr.Rows = append(pr.Rows, widen(r))
	}
	for i := range q.rows {
		r := &q.rows[i]
		switch {
		case soft&(1<<r.need) != 0:
			pr.Rows = append(pr.Rows, r.soften(p.cols, most))
		case strict&(1<<r.need) != 0:
			pr.Rows = append(pr.Rows, widen(r.row))
		}
	}
	for i := range q.blocked {
		if r := &q.blocked[i]; every && soft&(1<<r.need) != 0 && r.coef != nil {
			pr.Rows = append(pr.Rows, r.soften(p.cols, most))
		}
	}
	return pr
}

// soften returns the row with a shortfall of steps allowed, rescaled so that
// it stays within the range of exact integers.
func (r *planRow) soften(cols []column, most int64) integer.Row {
	n := len(cols)
	size := math.Abs(r.base) + float64(most)*shortStep
	for j, a := range r.coef {
		size += math.Abs(a) * float64(cols[j].upper)
	}
	_, e := math.Frexp(size)
	scale := math.Ldexp(1, 50-e)
	out := integer.Row{Coef: make([]int64, n+1), Bound: int64(math.Ceil(-r.base * scale))}
	for j, a := range r.coef {
		out.Coef[j] = int64(math.Floor(a * scale))
	}
	out.Coef[n] = int64(math.Floor(shortStep * scale))
	return out
}
