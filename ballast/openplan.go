package ballast

import (
	"cmp"
	"context"
	"math"
	"slices"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// planState is the machine as a plan sees it: one machine, or every machine that a
// setup leaves open. Of the latter each demand is that of the worst of them, which
// is linear in the masses of the pieces as well, because what is open of the
// machine and what the pieces add are summed apart.
type planState interface {
	model() *Model
	compileNeed(n *Need, path string) (compiledNeed, error)
	demands(n *compiledNeed, out []demand) []demand
	withPiece(p *Piece) planState
}

func (k *Model) model() *Model { return k }

func (k *Model) compileNeed(n *Need, path string) (compiledNeed, error) { return n.compile(k, path) }

func (k *Model) demands(n *compiledNeed, out []demand) []demand { return n.demands(k, out) }

func (k *Model) withPiece(p *Piece) planState {
	more := *k
	more.addPiece(p)
	return &more
}

func (e *Envelope) model() *Model { return e.k }

func (e *Envelope) withPiece(p *Piece) planState { return e.with(p) }

// opens reports whether a need depends on what the setup or its lift leaves open: the
// needs are then held by every machine of an envelope. Otherwise the answers of both are
// the same.
func (p *planner) opens() bool {
	e, err := p.setup.envelope(&p.practice, p.known)
	if err != nil || p.setup.complete() != nil {
		return true
	}
	for i := range p.needs.List {
		n := &p.needs.List[i]
		v := e.atRest()
		if n.Kind == NeedLift && n.Lift != nil {
			if v, err = e.spread(n.Lift); err != nil {
				return true
			}
		}
		if !v.settled() {
			return true
		}
	}
	return false
}

// atRest lays out a need that is no lift: level ground, no load, and no faster than the
// tires are rated for.
func (e *Envelope) atRest() spread {
	lift := &Lift{Speed: walkingSpeed}
	v := spread{e: e, rows: true}
	v.q = e.k.loadCaseOn(lift, stability.Influence{})
	v.tires(lift)
	if e.hasLoader {
		v.pin = e.in[inLowestPin]
	}
	v.derive()
	return v
}

// compile compiles a setup for the plan.
func (p *planner) compile(s *Setup) (planState, error) {
	var st planState
	var err error
	if p.open {
		st, err = s.envelope(&p.practice, p.known)
	} else {
		st, err = s.compile(p.known)
	}
	if err != nil {
		var c units.FieldErrors
		c.Join("setup", err)
		return nil, c.Err()
	}
	return st, nil
}

// compileNeed prepares the need that stands at a path, and reports what the setup
// cannot answer of it.
func (e *Envelope) compileNeed(n *Need, path string) (compiledNeed, error) {
	c := compiledNeed{need: n}
	var errs units.FieldErrors
	if !e.bounded() {
		errs.Add(path, nil, "cannot be checked: wheelbase and tracks of a rigid machine must be single values")
		return c, errs.Err()
	}
	if n.Kind != NeedLift {
		return c, nil
	}
	if _, err := e.spread(n.Lift); err != nil {
		errs.JoinCall(err, "setup", map[string]string{"lift": path + ".lift"})
		return c, errs.Err()
	}
	if n.Lift.Basis.Kind == BasisUnknown {
		errs.Add(path+".lift.basis", nil, "must be given for a plan")
	}
	c.load = float64(n.load(e.k))
	if !(c.load > 0 && c.load <= float64(maxMass)) {
		errs.Add(path+".lift.load.mass", nil, "must be positive, or a density with a volume of its own or of the attachment")
	}
	return c, errs.Err()
}

// demands appends what the need asks of the worst machine of the envelope; see
// compiledNeed.demands.
func (e *Envelope) demands(n *compiledNeed, out []demand) []demand {
	v := e.atRest()
	if n.need.Kind == NeedLift {
		var err error
		if v, err = e.spread(n.need.Lift); err != nil {
			return out // compileNeed has refused it
		}
	}
	for _, s := range n.states(e) {
		out = v.demands(n, s, out)
	}
	return out
}

// states lists the states that a need is checked in.
func (n *compiledNeed) states(e *Envelope) []State {
	switch {
	case n.need.Kind == NeedLift:
		return []State{StateLoad, StateEmpty, StateLowered, StateLoaderOff}
	case n.need.State == LoaderOff || !e.hasLoader:
		return []State{StateLoaderOff}
	case n.need.State == LoaderOn:
		return []State{StateLowered}
	}
	return []State{StateLowered, StateLoaderOff}
}

// demands appends the demands of one state.
func (v *spread) demands(n *compiledNeed, s State, out []demand) []demand {
	e := v.e
	add := func(limit LimitKind, value float64) { out = append(out, demand{limit, s, value}) }
	st := v.state(s)
	m := 0.0
	if s == StateLoad {
		m = n.load
	}
	machine := e.machines()
	var loader terms
	e.loader(&loader, &st)
	corners := v.corners()
	var list forms
	var in stability.Influence
	for corners.next(&in) {
		if n.need.Kind == NeedLift {
			list.at(v, &in)
		} else {
			list.need(v, n.need, &in)
		}
		for k := range list.list[:list.n] {
			f := &list.list[k]
			if f.missing || f.limit > LimitManualBallast {
				continue
			}
			a := machine[corners.number].over(f).plus(e.sum(f, &loader, &st).minus(f.rating))
			if m != 0 {
				a = a.plus(v.loadWeight(f, &st).times(m))
			}
			value := -a.hi
			if f.rating == noLoad {
				value = math.Inf(-1)
			}
			add(f.limit, value)
		}
		if n.share > 0 && s == StateLoad {
			rear := rowWeights(&in, v.q.k.g)[stability.RowRearAxle]
			f := form{weights: rear.times(-n.share), limit: LimitTipping, moving: 1, load: 1 / n.share}
			a := machine[corners.number].over(&f).plus(e.sum(&f, &loader, &st)).plus(v.loadWeight(&f, &st).times(m))
			add(f.limit, -a.hi)
		}
	}
	if corners.err != nil {
		add(NoLimit, math.Inf(-1)) // what cannot be asked is not met
	}
	end := st
	if s == StateLoad {
		end = v.state(StateEmpty)
	}
	total := e.mass(&end).plus(just(m * v.q.loadMass()))
	for _, r := range [...]struct {
		limit LimitKind
		of    input
	}{{LimitGross, inGross}, {LimitROPS, inROPS}} {
		if e.in[r.of] != (span{}) {
			add(r.limit, e.in[r.of].lo-total.hi)
		}
	}
	if load, _ := e.hitchLoad(); e.in[inHitchRating] != (span{}) {
		add(LimitHitch, e.in[inHitchRating].lo-load.hi)
	}
	if manual := &e.k.manual; manual.Kind == ManualBallastDemanded && n.need.Kind == NeedLift && s != StateLoaderOff {
		hitch, wheels := e.behind()
		if manual.Hitch > 0 {
			add(LimitManualBallast, hitch.lo-float64(manual.Hitch))
		}
		if manual.RearWheels > 0 {
			add(LimitManualBallast, wheels.lo-float64(manual.RearWheels))
		}
	}
	if need := n.need; need.Kind == NeedMass {
		if need.Mass.Low != 0 {
			add(NoLimit, total.lo-float64(need.Mass.Low))
		}
		if need.Mass.High != 0 {
			add(NoLimit, float64(need.Mass.High)-total.hi)
		}
	}
	return out
}

// need lays the ratings and the forms of a need that is no lift.
func (l *forms) need(v *spread, n *Need, in *stability.Influence) {
	const front, rear = stability.RowFrontAxle, stability.RowRearAxle
	l.n = 0
	rows := rowWeights(in, v.q.k.g)
	l.ratings(v, &rows)
	all := rows[front].plus(1, rows[rear])
	low, high := float64(n.Share.Low), float64(n.Share.High)
	switch {
	case n.Kind == NeedSteeredShare && n.Base == SteeredOfUnladen:
		l.add(form{weights: rows[front].times(-1), moving: 1, unladen: low})
	case n.Kind == NeedSteeredShare:
		l.add(form{weights: all.times(low).plus(-1, rows[front]), moving: 1})
	case n.Kind == NeedAxleSplit:
		l.add(form{weights: all.times(low).plus(-1, rows[front]), moving: 1})
		l.add(form{weights: rows[front].plus(-high, all), moving: 1})
	}
}

// openBlocked sets apart what no piece can change of need i: the loader's own
// limits.
func (p *planner) openBlocked(q *program, e *Envelope, i int) error {
	cn := &q.needs[i]
	j, err := e.Check(*cn.need.Lift, units.Mass(cn.load))
	if err != nil {
		return err // compileNeed has asked this before
	}
	for _, kind := range loaderLimits {
		if l := j.Limit(kind); l.Verdict == ExceedsLimit || l.Verdict == CannotSay {
			q.blocked = append(q.blocked, planRow{need: i, limit: kind, base: min(float64(l.Left.Low), -1e-9)})
		}
	}
	return nil
}

// openAnswer has the envelope answer one need, of which the demands have been
// asked; j is what it says of a lift.
func (p *planner) openAnswer(n *compiledNeed, e *Envelope, j *Judgment, a NeedAnswer, least float64) (NeedAnswer, error) {
	if !a.Met && !math.IsInf(least, -1) {
		a.Short = units.Mass(max(0, -least))
	}
	if n.need.Kind != NeedLift {
		w, err := e.WheelLoads(n.states(e)[0])
		a.Axles = w.middle()
		return a, err
	}
	p.out.Notes |= j.Usable.Notes
	p.out.Cautions |= j.Usable.Cautions
	a.Usable, a.Axles = j.Usable.IfRated.Low, j.Axles.middle()
	a.Lift, a.Carry = j.Usable.Lift.capacity(), j.Usable.Carry.capacity()
	missed := !a.Met
	a.Met = a.Met && (j.Verdict == NoLimitExceeded || j.Verdict == NeedsRatings)
	if !missed {
		a.Limit, a.State = j.Usable.Governing, StateLoad
	}
	for _, r := range j.Usable.Rechecks {
		if r.Exceeded|r.Open != 0 {
			a.Met = false
		}
	}
	return a, nil
}

// capacity returns the low end of a range, provided that missing ratings suffice.
func (c *CapacityRange) capacity() Capacity {
	out := Capacity{Mass: c.IfRated.Low, Governing: c.Governing, Status: stability.Binds}
	if c.Governing == NoLimit {
		return Capacity{Status: stability.NotChecked}
	}
	if c.IfRated.High == 0 {
		out.Status = stability.ExceededWhenEmpty
	}
	return out
}

// middle returns the middle of what the wheels may carry.
func (w *WheelLoadRanges) middle() WheelLoads {
	mid := func(r units.Range[units.Mass]) units.Mass { return r.Low + (r.High-r.Low)/2 }
	return WheelLoads{Total: mid(w.Total), Front: mid(w.Front), Rear: mid(w.Rear),
		FrontLeft: mid(w.FrontLeft), FrontRight: mid(w.FrontRight), RearLeft: mid(w.RearLeft), RearRight: mid(w.RearRight)}
}

// savings plans again with each quantity that is open in the middle of its range,
// and says what that would save.
func (p *planner) savings(ctx context.Context, out *Proposal) error {
	if p.probe || out.Status != PlanOptimal || out.Goal != LeastMass {
		return nil
	}
	full, _ := p.setup.supplied(&p.practice)
	var paths openPaths
	full.look(&look{errs: &units.FieldErrors{}, visit: paths.add})
	for _, path := range paths {
		one, _ := p.setup.supplied(&p.practice)
		one = one.copied()
		one.look(&look{errs: &units.FieldErrors{}, settle: true, only: path})
		q := planner{setup: one, needs: p.needs, stock: p.stock, practice: p.practice, planWork: newPlanWork(ctx, p.needs), open: true, probe: true}
		if err := q.prepare(); err != nil {
			return err
		}
		less, err := q.plan()
		if err != nil {
			return err
		}
		if saves := out.Best.Mass - less.Best.Mass; less.Status == PlanOptimal && saves > 1e-3 {
			out.Savings = append(out.Savings, Saving{Path: path, Mass: saves})
		}
	}
	slices.SortStableFunc(out.Savings, func(a, b Saving) int { return cmp.Compare(b.Mass, a.Mass) })
	return nil
}

// openPaths are the paths of the ranges of a setup.
type openPaths []string

func (l *openPaths) add(path string) { *l = append(*l, path) }
