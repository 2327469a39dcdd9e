package ballast

import (
	"math"
	"math/bits"

	"example.com/steelyard/internal/integer"
	"example.com/steelyard/units"
)

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

// nearestWork bounds the work of breaking ties among the nearest choices.
const nearestWork = 20_000_000

// nearest returns the choice that meets the needs of strict and whose largest
// shortfall among the needs of soft is least. With every set, all shortfalls
// that ballast can change count. Otherwise conditions that no piece improves do
// not count, but the choice does not make them worse, and ties are broken by
// the goal, within a work limit. The result is nil if the needs of strict cannot
// be met or the work ran out.
func (p *planner) nearest(strict, soft uint32, every bool) (*Selection, error) {
	n := len(p.cols)
	// With every set, all combinations count. Otherwise a combination in which
	// a need of soft is blocked counts only if that need is blocked in all.
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

// softened returns the program in which the needs of soft may be missed. A last
// variable counts by how many steps of shortStep. With every set, that holds for
// conditions that no piece improves as well; otherwise no piece may make those
// worse.
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
