package ballast

import (
	"math"

	"example.com/steelyard/units"
)

// What a plan for a travel costs and how often it is tried.
const (
	// travelWork is what it costs to follow a travel once, in multiplications.
	travelWork = 20_000_000
	// travelRounds is how many shares of the tipping load are tried.
	travelRounds = 6
)

// travels lists the travels among the needs; nil if there is none.
func (n *Needs) travels() []*Travel {
	var out []*Travel
	for i := range n.List {
		if n.List[i].Kind == NeedTravel {
			if out == nil {
				out = make([]*Travel, len(n.List))
			}
			out[i] = n.List[i].Travel
		}
	}
	return out
}

// planTravels plans needs of which some are travels. What moves is no linear condition on
// the pieces. So each travel is planned as its lift, and asked of what is found; where it
// refuses that, its load is kept below a share of the tipping load, which is linear, and
// the plan is made again. The first plan leaves that out, so that its bound and its
// conflict hold for the travel as well; a later one is checked and not proven least.
func (p *planner) planTravels(travels []*Travel) (Proposal, error) {
	needs := *p.needs
	needs.List = append([]Need(nil), needs.List...)
	for i, t := range travels {
		if t == nil {
			continue
		}
		lift := t.Lift
		lift.Speed = t.Speed
		n := &needs.List[i]
		n.Kind, n.Lift, n.Travel = NeedLift, &lift, nil
	}
	shares := make([]float64, len(travels))
	var out Proposal
	var refused *Selection
	for round := range travelRounds {
		q := planner{setup: p.setup, needs: &needs, stock: p.stock, practice: p.practice, planWork: p.planWork, travels: travels, shares: shares}
		q.open = q.opens()
		if err := q.prepare(); err != nil {
			return Proposal{}, err
		}
		is, err := q.plan()
		if err != nil {
			return Proposal{}, err
		}
		is.Cautions |= CautionHiddenGround | CautionNotPermission
		is.Notes |= NoteFollowed
		if round == 0 {
			out = is
		}
		switch is.Status {
		case PlanOptimal, PlanFeasible:
			if round > 0 {
				is.Status = PlanFeasible
				is.Proof.Proven, is.Proof.Bound = false, out.Proof.Bound
			}
			return is, nil
		case PlanConflict:
			if round == 0 {
				return is, nil
			}
		}
		bound := out.Proof.Bound
		if !q.retry || is.Status == PlanConflict {
			return Proposal{Status: PlanUndecided, Goal: is.Goal, Nearest: refused, Proof: Proof{Bound: bound, Work: is.Proof.Work}, Notes: is.Notes, Cautions: is.Cautions}, nil
		}
		p.planWork, refused = q.planWork, q.refused
	}
	out.Status, out.Best, out.Proof.Proven, out.Nearest = PlanUndecided, Selection{}, false, refused
	return out, nil
}

// judgeTravel has a travel the last word on need i, and lowers its share of the tipping
// load where it refuses what was found.
func (p *planner) judgeTravel(i int, n *compiledNeed, e *Envelope, a *NeedAnswer) error {
	if p.travels == nil || p.travels[i] == nil {
		return nil
	}
	p.spend(travelWork)
	j, err := e.CheckTravel(p.ctx, *p.travels[i], units.Mass(n.load))
	if err != nil {
		var errs units.FieldErrors
		if p.ctx.Err() != nil {
			return err
		}
		errs.Join("needs."+units.Index("list", i), err)
		return errs.Err()
	}
	a.Travel, a.Verdict = &j.Travel, j.Verdict
	a.Usable = min(a.Usable, j.Travel.IfRated.Low)
	if j.Verdict == NoLimitExceeded || j.Verdict == NeedsRatings {
		return nil
	}
	met := a.Met
	a.Met = false
	if !met {
		return nil // the plan is refused anyhow
	}
	tipping := float64(j.Travel.Usable.Tipping.Low)
	share := 0.8
	if tipping > 0 {
		share = n.load / tipping * 0.9
		if low := float64(j.Travel.Obstacle.Low) / tipping; low > 0 {
			share = min(share, low*0.99)
		}
	}
	if p.shares[i] > 0 {
		share = min(share, p.shares[i]*0.9)
	}
	if share > 0.01 && !math.IsNaN(share) {
		p.shares[i], p.retry = share, true
	}
	return nil
}
