package ballast

import (
	"cmp"
	"context"
	"math"

	"example.com/steelyard/internal/integer"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Plan chooses from the stock what makes the setup meet every need with the
// least added mass, the least cost, or both in turn. The pieces of the setup
// stay on.
//
// The choice is exact: masses are counted in whole grams, cost in whole cents,
// and the answer is proven least by an exact integer program. Ties are broken
// always in the same way: mass, then cost (or the other way round), then the
// fewest pieces, then the combination of options that comes first (none, the
// first, the second, both, the third, ...), then as many as possible of the
// first item, and so on. Each need becomes linear rows: wheel loads and masses
// at rest are linear in the masses that the machine carries. The rows are
// rounded against the plan, so that nothing is called feasible that is not, but
// for a ten-billionth of the machine's mass. Every plan
// returned has been checked again by what answers [Setup.Check]: with the load, with
// the attachment empty, empty and lowered, and with the loader off. A need for a lift is
// met only if the verdict is NoLimitExceeded, or NeedsRatings; the answer names the
// ratings that are missing.
//
// When no choice meets the needs, the answer names the smallest set of needs
// that conflict, by how much each is missed at best, and the nearest plan.
// A setup may leave something open: what nobody gave is as in [UsualPractice], or
// in the practice of a document. The needs are then held by every machine that it
// leaves open, and Savings says what knowing more would save.
//
// Bad input, or a setup that lacks what a need asks for, is an error that
// names the field: its path begins with setup, needs or stock.
//
// The work is bounded by Needs.Work. Once the context is done, which is asked
// every few milliseconds, the answer is an error that wraps ctx.Err(). With it comes the
// plan, where one was found that meets every need before the rest was done: more of the
// frontier, or what knowing more would save. A nil context never ends.
func Plan(ctx context.Context, setup Setup, needs Needs, stock Stock) (Proposal, error) {
	return plan(ctx, setup, needs, stock, UsualPractice())
}

func plan(ctx context.Context, setup Setup, needs Needs, stock Stock, practice Practice) (Proposal, error) {
	var c units.FieldErrors
	c.Join("setup", setup.Validate())
	c.Join("needs", needs.Validate())
	c.Join("stock", stock.Validate())
	if c.Len() == 0 {
		c.Join("stock", singles(&stock))
	}
	if err := c.Err(); err != nil {
		return Proposal{}, err
	}
	p := planner{setup: setup, needs: &needs, stock: &stock, practice: practice, planWork: newPlanWork(ctx, &needs)}
	if travels := needs.travels(); travels != nil {
		return p.planTravels(travels)
	}
	p.open = p.opens()
	if err := p.prepare(); err != nil {
		return Proposal{}, err
	}
	out, err := p.plan()
	if err == nil && p.open {
		err = p.savings(ctx, &out)
	}
	return out, err
}

// Plan answers the document's needs from its stock; see the function [Plan]. A
// document without needs is an error.
func (d Document) Plan(ctx context.Context) (Proposal, error) {
	if d.Needs == nil {
		return Proposal{}, units.NewFieldError("needs", nil, "must be given for a plan")
	}
	if d.Stock == nil {
		return Proposal{}, units.NewFieldError("stock", nil, "must be given for a plan; empty if there is nothing to choose from")
	}
	var p Practice
	if d.Practice != nil {
		p = *d.Practice
	}
	if err := p.Validate(); err != nil {
		var c units.FieldErrors
		c.Join("practice", err)
		return Proposal{}, c.Err()
	}
	return plan(ctx, d.Setup, *d.Needs, *d.Stock, p.Filled())
}

type planner struct {
	planWork
	setup    Setup
	needs    *Needs
	stock    *Stock
	cols     []column
	groups   [][]int
	fixed    []integer.Row // mounts and fillings
	progs    []program     // one for each combination of options
	unlaid   bool          // combinations are left out for want of work
	known    fills
	out      Proposal
	practice Practice
	open     bool       // the setup leaves something open that a need asks for
	travels  []*Travel  // by need; nil of one that is none
	shares   []float64  // of the tipping load that the load of a travel may be; zero is not asked
	refused  *Selection // what a travel refused
	retry    bool       // a travel refused what was found, and its share is less
	probe    bool       // the plan is one of those that find what knowing more would save
}

func (p *planner) prepare() error {
	var c units.FieldErrors
	var notes Notes
	var err error
	if p.cols, p.groups, notes, err = p.stock.columns(); err != nil {
		c.Join("stock", err)
		return c.Err()
	}
	p.spend(p.stock.filled() * cavityWork)
	p.out.Notes |= notes
	p.out.Library, p.out.Goal = units.Version, p.needs.Goal
	p.clashes(&c)
	if n := len(p.setup.Pieces) + len(p.stock.Items) + 10*len(p.stock.Options); n > maxPieces {
		c.Add("setup.pieces", len(p.setup.Pieces), "must leave room for the stock: at most {pieces} pieces", valid.Text("pieces", maxPieces-(n-len(p.setup.Pieces))))
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
func (p *planner) clashes(c *units.FieldErrors) {
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
func (p *planner) checkLiquids(c *units.FieldErrors) {
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

func (p *planner) plan() (Proposal, error) {
	if err := p.search(); err != nil {
		if p.err() == nil || p.out.Status != PlanOptimal && p.out.Status != PlanFeasible {
			return Proposal{}, err
		}
		p.out.FrontierCut = p.out.Goal == LeastBoth
		p.out.Proof.Work = p.done()
		return p.out, err
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
		if len(p.out.Frontier) == maxFrontier {
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
		if p.retry {
			p.refused = sel
			break // another share of the tipping load is tried
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
				s.Mass += piece.Mass.Value()
			}
		}
	}
	for j, v := range x {
		if v == 0 {
			continue
		}
		c := &p.cols[j]
		mass := units.Mass(float64(c.one.Mass.Value()) * float64(v))
		s.Mass += mass
		s.Cents += c.cents * v
		if c.fill {
			last := &s.Choices[len(s.Choices)-1]
			last.Piece.Mass = units.Is(last.Piece.Mass.Value() + mass)
			last.Cents += c.cents * v
			continue
		}
		piece := c.one
		piece.Mass = units.Is(mass)
		s.Choices = append(s.Choices, Choice{Item: c.item, Name: p.stock.Items[c.item].Name, Count: v, Step: c.step, Piece: piece, Cents: c.cents * v})
	}
	return s
}

// check has the model answer every need with x on.
func (p *planner) check(q *program, x []int64) (*Selection, error) {
	s := p.selection(q, x)
	var models [2]planState
	var envelopes [2]*Envelope
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
			k, err := p.compile(&full)
			if err != nil {
				return nil, err
			}
			models[rest] = k
			if e, ok := k.(*Envelope); ok {
				envelopes[rest] = e
			} else if envelopes[rest], err = full.envelope(&p.practice, p.known); err != nil {
				return nil, err
			}
			p.out.Notes |= k.model().notes & (NoteHitchTwice | NoteLiquidTwice)
		}
		p.spend(answerWork)
		var j *Judgment
		if n.need.Kind == NeedLift {
			one, err := envelopes[rest].Check(*n.need.Lift, units.Mass(n.load))
			if err != nil {
				var errs units.FieldErrors
				errs.Join("needs", err)
				return nil, errs.Err()
			}
			j = &one
		}
		a, err := p.answer(n, models[rest], j)
		if err != nil {
			return nil, err
		}
		if j != nil {
			a.judge(j)
			if err := p.judgeTravel(i, n, envelopes[rest], &a); err != nil {
				return nil, err
			}
		}
		s.Answers = append(s.Answers, a)
	}
	return s, nil
}

// judge sets the verdict of a lift, which has the last word: what [Envelope.Check] does
// not allow is not met.
func (a *NeedAnswer) judge(j *Judgment) {
	a.Verdict, a.Missing = j.Verdict, j.Usable.Missing
	if a.Verdict == ExceedsLimit || a.Verdict == CannotSay {
		a.Met = false
	}
}

// answer has the model answer one need.
func (p *planner) answer(n *compiledNeed, st planState, j *Judgment) (a NeedAnswer, err error) {
	least := math.Inf(1)
	for _, c := range st.demands(n, nil) {
		if c.value < least {
			least = c.value
			a.Limit, a.State = c.limit, c.state
		}
	}
	a.Met = least >= -1e-9*float64(st.model().Mass())
	if e, ok := st.(*Envelope); ok {
		return p.openAnswer(n, e, j, a, least)
	}
	k := st.model()
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
		var e units.FieldErrors
		e.Join("needs", err)
		return a, e.Err()
	}
	u, check := c.Use(), c.Check(units.Mass(n.load))
	p.out.Notes |= u.Notes
	p.out.Cautions |= u.Cautions
	a.Usable, a.Axles = u.Mass, check.Axles
	a.Lift, a.Carry = u.Lift, u.Carry
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
				a.Limit, a.State = r.Governing, r.State
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
	if m.Front.Rating.Value() == 0 || m.Rear.Rating.Value() == 0 || m.GrossRating.Value() == 0 || m.ROPSRating.Value() == 0 || !tire(&m.Front) || !tire(&m.Rear) {
		*c |= CautionUnchecked
	}
	if s == nil {
		return
	}
	for _, e := range s.Choices {
		if e.Piece.Kind.OnHitch() {
			*c |= CautionRaisedOnly
			if m.Hitch.Rating.Value() == 0 {
				*c |= CautionUnchecked
			}
		}
		if e.Piece.Kind.Liquid() {
			*c |= CautionTireMaker | CautionPressure
		}
	}
}
