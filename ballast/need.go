package ballast

import (
	"example.com/steelyard/internal/valid"
	"math"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Needs is what a plan must achieve.
type Needs struct {
	// Goal is what the plan makes least. The zero value is the added mass.
	Goal Goal `json:"goal,omitempty"`
	// List holds the needs, all of which must be met, 1 to 12.
	List []Need `json:"list"`
	// Work is how much work the plan may do, in millions of elementary steps,
	// 1 to 100 000; zero means 600, which takes no more than about two seconds
	// on one core. Few plans need a hundredth of it. Steps are counted and not
	// timed, so that equal inputs give equal answers. Where they run out the answer says so; see Proof.
	Work int `json:"work,omitempty"`
}

// Goal is what a plan makes least. In JSON: "mass", "cost" or "both".
type Goal uint8

// Goals of a plan.
const (
	// LeastMass adds the least mass, and among equals costs least.
	LeastMass Goal = iota
	// LeastCost costs least, and among equals adds the least mass.
	LeastCost
	// LeastBoth is the frontier: every plan for which no other has no more
	// mass and no more cost. The plan proposed is that of least mass.
	LeastBoth
)

var goalNames = []string{"mass", "cost", "both"}

// Need is one thing that the ballasted machine must do or be.
type Need struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Kind is what is needed. There is no default.
	Kind NeedKind `json:"kind,omitempty"`
	// Hitch says whether a piece on the hitch that the plan chooses hangs
	// raised or rests on the ground while the need is to be met; it counts
	// only while it is raised. There is no default where the stock has an
	// item for the hitch: it must be Raised or Resting.
	Hitch HitchState `json:"hitch,omitempty"`

	// Lift is, for NeedLift, the load case, with the mass of its load and a
	// safety basis.
	Lift *Lift `json:"lift,omitempty"`

	// Travel is, for NeedTravel, the way over an obstacle, with the mass of the load of
	// its lift and a safety basis.
	Travel *Travel `json:"travel,omitempty"`

	// State is, for all other kinds, which states of the loader the need
	// holds for. The zero value is all.
	State NeedState `json:"state,omitempty"`
	// Base is, for NeedSteeredShare, what the share is a share of. There is
	// no default: 20 % without its base says nothing.
	Base SteeredBase `json:"base,omitempty"`
	// Share is the range of the front axle's share: at least Low of Base for
	// NeedSteeredShare, 0.01 to 0.9; between Low and High of what the wheels
	// carry for NeedAxleSplit, Low 0 to 1 and High 0.01 to 1.
	Share units.Range[units.Fraction] `json:"share,omitzero"`
	// Mass is, for NeedMass, the range of the mass of the machine with its
	// ballast, 1 kg to 100 t; zero at an end is open.
	Mass units.Range[units.Mass] `json:"mass,omitzero"`
}

// NeedKind says what is needed. Whatever it is, the ratings of axles, wheels,
// tires and hitch and the permissible masses are kept with it in every state
// that it is checked in. In JSON: "lift", "steeredShare", "axleSplit",
// "mass" or "travel"; "unknown" or left out is not given.
type NeedKind uint8

// What a plan may be asked for.
const (
	// NeedUnknown means not given, which is an error.
	NeedUnknown NeedKind = iota
	// NeedLift lifts a load in a load case: every limit that can be checked
	// holds with the load, with the attachment empty at the same height,
	// empty and lowered, and with the loader off, all on the ground and in
	// the motion of the case.
	NeedLift
	// NeedSteeredShare keeps a share on the steered front axle, on level
	// ground.
	NeedSteeredShare
	// NeedAxleSplit keeps the front axle's share between two bounds, on level
	// ground.
	NeedAxleSplit
	// NeedMass keeps the mass between two bounds: a mass per power for the
	// drawbar, or less than the permissible gross mass.
	NeedMass
	// NeedTravel carries a load over an obstacle: all that NeedLift asks for the lift
	// of the travel, and no lift-off found over the obstacle. That is no linear condition,
	// so a plan for it is checked and never proven least.
	NeedTravel
)

var needNames = []string{"unknown", "lift", "steeredShare", "axleSplit", "mass", "travel"}

// NeedState says for which states of the loader a need holds. In JSON:
// "every", "loaderOn" or "loaderOff".
type NeedState uint8

// States of the loader.
const (
	// EveryState is with the loader on, its arms down and the attachment
	// empty, and with the loader off as well. Where the loader cannot be taken
	// off because its mass is not known, the answer says so in its notes.
	EveryState NeedState = iota
	// LoaderOn is with the arms down and the attachment empty only.
	LoaderOn
	// LoaderOff is without the loader only.
	LoaderOff
)

var needStateNames = []string{"every", "loaderOn", "loaderOff"}

// Validate reports every bad field by its path, or nil. Whether the setup can
// answer the needs shows when they are planned.
func (n Needs) Validate() error {
	var c units.FieldErrors
	if !choice.Known(goalNames, n.Goal) {
		c.Add("goal", n.Goal, choice.OneOf, choice.Of[Goal](goalNames))
	}
	count(&c, "work", n.Work, 0, maxPlanWork)
	if len(n.List) < 1 || len(n.List) > maxNeeds {
		c.Add("list", len(n.List), "must have 1 to 12 entries")
		return c.Err()
	}
	for i := range n.List {
		valid.JoinAt(&c, "list", i, n.List[i].Validate())
	}
	return c.Err()
}

// Validate reports every bad field by its path, or nil.
func (n Need) Validate() error {
	var c units.FieldErrors
	choice.Given(&c, "kind", n.Kind, needNames)
	if n.Hitch != HitchUnknown && n.Hitch != Raised && n.Hitch != Resting {
		c.Add("hitch", n.Hitch, "must be raised or resting")
	}
	if n.Kind == NeedLift {
		if n.Lift == nil {
			c.Add("lift", nil, "must be given: the load case")
		} else {
			c.Join("lift", n.Lift.Validate())
			if n.Lift.Basis.Kind == BasisUnknown {
				c.Add("lift.basis", nil, "must be given: how far from tipping the machine is kept")
			}
			if n.Lift.Load.Mass == 0 && n.Lift.Load.Density == 0 {
				c.Add("lift.load.mass", nil, "must be given: the load to be lifted")
			}
		}
	} else if n.Lift != nil {
		c.Add("lift", nil, "must be left out: the need is not a lift")
	}
	if n.Kind == NeedTravel {
		if n.Travel == nil {
			c.Add("travel", nil, "must be given: the way over the obstacle")
		} else {
			c.Join("travel", n.Travel.Validate())
			if n.Travel.Lift.Basis.Kind == BasisUnknown {
				c.Add("travel.lift.basis", nil, "must be given: how far from tipping the machine is kept")
			}
			if n.Travel.Lift.Load.Mass == 0 && n.Travel.Lift.Load.Density == 0 {
				c.Add("travel.lift.load.mass", nil, "must be given: the load to be lifted")
			}
		}
	} else if n.Travel != nil {
		c.Add("travel", nil, "must be left out: the need is not a travel")
	}
	if !choice.Known(needStateNames, n.State) {
		c.Add("state", n.State, choice.OneOf, choice.Of[NeedState](needStateNames))
	} else if (n.Kind == NeedLift || n.Kind == NeedTravel) && n.State != EveryState {
		c.Add("state", n.State, "must be left out: a lift is checked in every state")
	}
	if n.Kind == NeedSteeredShare {
		choice.Given(&c, "base", n.Base, steeredBaseNames)
		valid.Given(&c, "share.low", n.Share.Low, 0.01, 0.9, "must be given, such as 0.2")
		if n.Share.High != 0 {
			c.Add("share.high", valid.Show(n.Share.High), "must be left out: only a minimum applies")
		}
	} else if n.Base != SteeredUnknown {
		c.Add("base", n.Base, "must be left out: the need is not a share of the steered axle")
	}
	if n.Kind == NeedAxleSplit {
		valid.Within(&c, "share.low", n.Share.Low, 0, 1)
		valid.Given(&c, "share.high", n.Share.High, 0.01, 1, "must be given: the largest share of the front axle")
		if n.Share.Low > n.Share.High {
			c.Add("share.low", valid.Show(n.Share.Low), "must not be more than share.high")
		}
	} else if n.Kind != NeedSteeredShare && n.Share != (units.Range[units.Fraction]{}) {
		c.Add("share", nil, "must be left out: the need is not a share")
	}
	if n.Kind == NeedMass {
		valid.ZeroOr(&c, "mass.low", n.Mass.Low, 1, maxMass)
		valid.ZeroOr(&c, "mass.high", n.Mass.High, 1, maxMass)
		if n.Mass.Low == 0 && n.Mass.High == 0 {
			c.Add("mass", nil, "must be given: low, high or both")
		}
		if n.Mass.High != 0 && n.Mass.Low > n.Mass.High {
			c.Add("mass.low", valid.Show(n.Mass.Low), "must not be more than mass.high")
		}
	} else if n.Mass != (units.Range[units.Mass]{}) {
		c.Add("mass", nil, "must be left out: the need is not a mass")
	}
	return c.Err()
}

// load returns the mass to be lifted.
func (n *Need) load(k *Model) units.Mass { return n.Lift.Load.MassOn(k.attachment) }

// A demand is what a need asks of the ballast, linear in its masses: value >=
// 0. It is told in kilograms of wheel load or of mass.
type demand struct {
	limit LimitKind
	state State
	value float64
}

// A compiled need can be put to many models of the same machine, because the
// influence rows do not depend on the pieces.
type compiledNeed struct {
	need  *Need
	load  float64
	share float64 // of a travel: the load is no more than this share of the tipping load, if not zero
	in    stability.Influence
	level stability.Influence
	list  []condition // room for those of one state
}

// compile prepares the need that stands at a path on a model, and reports what
// it or the setup lacks to answer it.
func (n *Need) compile(k *Model, path string) (compiledNeed, error) {
	c := compiledNeed{need: n}
	var e units.FieldErrors
	var err error
	if c.level, err = k.under.Influence(stability.Situation{}, units.Acceleration(k.g)); err != nil {
		return c, err
	}
	if unknown := (k.frontTire.notes | k.rearTire.notes) & (NoteBelowLowestPressure | NotePressureUnknown); unknown != 0 {
		e.Add(path, nil, "cannot be checked: {notes}", notesParam(unknown))
		return c, e.Err()
	}
	if n.Kind != NeedLift {
		if n.State == LoaderOff && !k.offOK {
			e.Add(path+".state", n.State, "must be left out: to take the loader off, loader.frameMass and armMass must be given")
		}
		return c, e.Err()
	}
	use, err := k.Case(*n.Lift)
	if err != nil {
		e.JoinCall(err, "setup", map[string]string{"lift": path + ".lift"})
		return c, e.Err()
	}
	if u := use.Use(); u.Status == stability.NotChecked {
		e.Add(path+".lift", nil, "cannot be checked: {notes}", notesParam(u.Notes))
		return c, e.Err()
	}
	c.load = float64(n.load(k))
	if !(c.load > 0 && c.load <= float64(maxMass)) {
		e.Add(path+".lift.load.mass", valid.Show(n.load(k)), "must be positive, or a density with a volume of its own or of the attachment")
		return c, e.Err()
	}
	c.in, err = k.under.Influence(n.Lift.situation(), units.Acceleration(k.g))
	return c, err
}

// demands appends what the need asks of the wheel loads and masses of a model.
// Their number and order depend on the machine only, and each is an affine
// function of the pieces' masses, so that differences between models are the
// coefficients of linear rows. What the pieces cannot change (the loader's own
// limits) is not among them.
func (n *compiledNeed) demands(k *Model, out []demand) []demand {
	if n.need.Kind != NeedLift {
		return n.static(k, out)
	}
	l := n.need.Lift
	pin, err := k.pinHeight(l)
	if err != nil {
		return out // compile has refused it
	}
	q := k.loadCaseOn(l, n.in)
	top := k.loader.angle(pin)
	list := n.list[:0]
	for _, a := range q.stations(top) {
		p := q.pose(a)
		r := q.wheelRows(&p)
		list = q.wheels(list, &r)
	}
	end := q.pose(top)
	if n.share > 0 {
		r := q.wheelRows(&end)
		list = append(list, condition{a1: -r.load[stability.RowRearAxle], b0: n.share * r.empty[stability.RowRearAxle], limit: LimitTipping})
	}
	list = k.manualBallast(k.masses(list, q.mass(&end), q.loadMass()))
	out = demanded(out, list, n.load, StateLoad)
	out = demanded(out, list, 0, StateEmpty)
	list = q.lowered(list[:0])
	out = demanded(out, list, 0, StateLowered)
	if k.offOK {
		list = q.loaderOff(list[:0])
		out = demanded(out, list, 0, StateLoaderOff)
	}
	n.list = list
	return out
}

// demanded appends conditions as demands, for one load.
func demanded(out []demand, list []condition, load float64, st State) []demand {
	for i := range list {
		f := &list[i]
		if math.IsInf(f.b0, 1) {
			continue // of a limit that cannot be reached
		}
		out = append(out, demand{f.limit, st, f.b0 + f.b1*load - (f.a0 + f.a1*load)})
	}
	return out
}

// static appends the demands of a need that is no lift, with the ratings
// of the machine in the same states.
func (n *compiledNeed) static(k *Model, out []demand) []demand {
	if n.need.State != LoaderOff {
		body := k.fixed
		st := StateLoaderOff
		if k.hasLoader {
			a := k.loader.angle(k.loader.low)
			body = body.plus(k.loader.armAt(a)).plus(k.attachmentAt(a))
			st = StateLowered
		}
		out = n.staticState(k, &body, st, out)
	}
	if n.need.State == LoaderOff || n.need.State == EveryState && k.hasLoader && k.offOK {
		out = n.staticState(k, &k.off, StateLoaderOff, out)
	}
	return out
}

func (n *compiledNeed) staticState(k *Model, body *sums, st State, out []demand) []demand {
	q := k.loadCaseOn(&Lift{}, n.level)
	r := q.wheelRows(&pose{fixed: *body})
	row := &r.empty
	total := body.m + k.axle.m
	n.list = k.masses(q.ratings(n.list[:0], &r), total, 0)
	out = demanded(out, n.list, 0, st)
	front := row[stability.RowFrontAxle]
	both := front + row[stability.RowRearAxle]
	add := func(v float64) { out = append(out, demand{NoLimit, st, v}) }
	switch need := n.need; need.Kind {
	case NeedSteeredShare:
		base := both
		if need.Base == SteeredOfUnladen {
			base = k.unladen
		}
		add(front - float64(need.Share.Low)*base)
	case NeedAxleSplit:
		add(front - float64(need.Share.Low)*both)
		add(float64(need.Share.High)*both - front)
	case NeedMass:
		if need.Mass.Low != 0 {
			add(total - float64(need.Mass.Low))
		}
		if need.Mass.High != 0 {
			add(float64(need.Mass.High) - total)
		}
	}
	return out
}
