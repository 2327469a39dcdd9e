package ballast

import (
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
	// 50. Where there are more, the cheapest are left out and
	// FrontierCut is set.
	Frontier []Selection `json:"frontier,omitempty"`
	// FrontierCut says that the frontier goes on, or that the work ran out
	// before its end was found.
	FrontierCut bool `json:"frontierCut,omitempty"`
	// Conflict is, where Status is PlanConflict, the smallest set of needs
	// that no plan meets together; see the function Plan.
	Conflict []Miss `json:"conflict,omitempty"`
	// Nearest is, where Status is PlanConflict, the plan whose largest
	// shortfall over all needs is least. Ties are broken by the goal, within
	// a work limit. A limit that nothing in the stock improves does not count
	// among the shortfalls, but the plan does not make it worse. The plan does
	// NOT meet the needs; its answers say which. Where Status is PlanUndecided
	// because a travel refused every plan that was tried, it is the last of them.
	Nearest *Selection `json:"nearest,omitempty"`
	// Savings are, where the setup leaves something open and Status is
	// PlanOptimal, what knowing one quantity more would save if it turned out to
	// be in the middle of its range: the most first.
	Savings []Saving `json:"savings,omitempty"`
	// Proof is how far the answer is proven, and with what effort.
	Proof Proof `json:"proof"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes,omitempty"`
	// Cautions are what a user of the answer must be shown.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// Saving is what knowing one quantity would save.
type Saving struct {
	// Path is the field of the setup that would have to be known.
	Path string `json:"path"`
	// Mass is how much less the plan would add.
	Mass units.Mass `json:"mass"`
}

// maxFrontier is how many plans a frontier lists at most.
const maxFrontier = 50

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
	// in, by every limit whose rating is known.
	Met bool `json:"met"`
	// Verdict is, for a lift, that of [Envelope.Check] with the selection on. While it is
	// NeedsRatings the need is met provided that the ratings in Missing suffice, and that
	// is no permission; for other needs it is not asked.
	Verdict Verdict `json:"verdict,omitempty"`
	// Missing are, for a lift, the limits whose ratings nobody gave.
	Missing LimitSet `json:"missing,omitempty"`
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
	State State `json:"state"`
	// Usable is, for a lift, the greatest load of the case: the lesser of what
	// Lift and Carry allow.
	Usable units.Mass `json:"usable,omitempty"`
	// Travel is, for a travel, what may be carried over the obstacle.
	Travel *TravelUse `json:"travel,omitempty"`
	// Lift is, for a lift, what the loader can lift.
	Lift Capacity `json:"lift,omitzero"`
	// Carry is, for a lift, what the machine may carry.
	Carry Capacity `json:"carry,omitzero"`
	// Axles is what the wheels carry: with the load for a lift, otherwise with
	// the arms down or without loader. Of a setup that leaves something open it is
	// the middle of what they may carry.
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
	State State `json:"state"`
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
