package ballast

import (
	"context"
	"fmt"
	"math"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/internal/words"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Travel is a way with a load over the roughest obstacle that is known of: how the load is
// carried, how fast the machine goes, and what it passes over with both axles.
type Travel struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Lift is how the load is carried: the kinds hold and carryLow, on level ground
	// and without braking. Its Speed is left out, or that of the travel.
	Lift Lift `json:"lift"`
	// Obstacle is what a tape says of the roughest place, 1 to 100 cm high or deep.
	// Random ground is no obstacle of a travel: nobody measures it with a tape.
	Obstacle stability.Obstacle `json:"obstacle"`
	// Speed is how fast the machine goes, 1 to 54 km/h. Every speed up to it is asked
	// for, and looked at in steps of 0.25 km/h, the last of them at or just above it.
	Speed units.Speed `json:"speed"`
	// Drive is what the wheels do; "held", the rear wheels holding the speed, is the
	// usual drive of a tractor. The zero value rolls freely.
	Drive stability.Drive `json:"drive,omitempty"`
	// Deceleration is what the brakes are asked for, above 0 and up to 20 m/s2; only
	// with a drive that brakes.
	Deceleration units.Acceleration `json:"deceleration,omitempty"`
	// Slope is how steep the ground is across the way where one wheel passes, 0 to 30
	// degrees; zero is level.
	Slope units.Slope `json:"slope,omitempty" zero:"value"`
	// Friction is the coefficient between wheels and ground, 0.05 to 5; zero is 0.8.
	Friction units.Fraction `json:"friction,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (t Travel) Validate() error {
	var c units.FieldErrors
	l := t.Lift
	if l.Speed == 0 {
		l.Speed = t.Speed
	}
	if l.Speed != t.Speed {
		c.Add("lift.speed", valid.Show(l.Speed), "must be left out, or the speed of the travel")
	}
	c.Join("lift", l.Validate())
	if l.Kind != Hold && l.Kind != CarryLow {
		c.Add("lift.kind", l.Kind, "must be hold or carryLow for a travel")
	}
	const level = "must be left out: the ground before the obstacle is level"
	if l.Slope != 0 {
		c.Add("lift.slope", valid.Show(l.Slope), level)
	}
	if l.Heading != 0 {
		c.Add("lift.heading", valid.Show(l.Heading), level)
	}
	if l.Braking != 0 {
		c.Add("lift.braking", valid.Show(l.Braking), "must be left out: the drive of the travel says how it brakes")
	}
	c.Join("obstacle", t.Obstacle.Validate())
	if t.Obstacle.Kind == stability.ObstacleRandom {
		c.Add("obstacle.kind", t.Obstacle.Kind, "must not be random: give the roughest place as a tape measures it")
	}
	if !(t.Speed >= firstSpeed && t.Speed <= 15) {
		c.Add("speed", valid.Show(t.Speed), "must be between {low} and {high}", valid.Low(firstSpeed), valid.High[units.Speed](15))
	}
	if _, err := t.Drive.MarshalText(); err != nil {
		c.Add("drive", int(t.Drive), "must be one of coasting, held, brakeRear, brakeAll")
	}
	if t.Drive == stability.BrakeRear || t.Drive == stability.BrakeAll {
		if !(t.Deceleration > 0 && t.Deceleration <= 20) {
			c.Add("deceleration", valid.Show(t.Deceleration), "must be above 0 and at most {most} for a drive that brakes", valid.Most[units.Acceleration](20))
		}
	} else if t.Deceleration != 0 {
		c.Add("deceleration", valid.Show(t.Deceleration), "must be left out for a drive that does not brake")
	}
	valid.Within(&c, "slope", t.Slope, 0, (30 * units.Degree).Slope())
	valid.ZeroOr(&c, "friction", t.Friction, 0.05, 5)
	return c.Err()
}

// TravelLimit is what the load of a travel comes from. In JSON: "lift", "statics",
// "passage" or "roll".
type TravelLimit uint8

// What the load of a travel comes from.
const (
	// TravelByLift is the answer of the lift by itself, with its dynamic factor.
	TravelByLift TravelLimit = iota
	// TravelByStatics is tipping at a standstill on the obstacle.
	TravelByStatics
	// TravelByPassage is a rear axle that leaves the ground as both axles pass.
	TravelByPassage
	// TravelByRoll is one wheel that passes.
	TravelByRoll
)

var travelLimitNames = []string{"lift", "statics", "passage", "roll"}

// TravelUse is the answer to "how much may be carried over this".
type TravelUse struct {
	// CapacityRange is the load: the least of the lift's own answer and of what is
	// found over the obstacle. Governing is [NoLimit] where the obstacle's load
	// is less than the lift's.
	CapacityRange
	// Over is the obstacle, and Speed the greatest speed, that the answer is about.
	Over stability.Obstacle `json:"over"`
	// Speed is that of the travel; see Over.
	Speed units.Speed `json:"speed"`
	// Governs says which answer the low end of IfRated comes from.
	Governs TravelLimit `json:"governs"`
	// Obstacle is the lesser of Statics and Passage. Low is the load up to which no
	// lift-off was found for anything that is open, High the load beyond which a wheel
	// lifts whatever is open. A Low of zero is no load figure: a wheel may lift
	// without any load.
	Obstacle units.Range[units.Mass] `json:"obstacle"`
	// Statics is the load at which the rear axle carries nothing at a standstill with
	// the wheels where the obstacle pitches the machine most.
	Statics units.Range[units.Mass] `json:"statics"`
	// Passage is the load up to which the rear tires stay on the ground as both axles
	// pass, and as the wheels of either side alone pass, at every speed that was
	// looked at; of a machine without a pivoting front axle nothing is known of
	// one side. It is sought no further than the lift's own answer goes; its High is
	// then [MaxLoad].
	Passage units.Range[units.Mass] `json:"passage"`
	// Found says what the machine in the middle of all ranges did with the next larger
	// load, and At at which speed; NotChecked if no load of the search lifted it,
	// or it could not be followed.
	Found stability.PassageStatus `json:"found"`
	// At is the speed of Found.
	At units.Speed `json:"at"`
	// OneWheel says that the wheels of one side passed there.
	OneWheel bool `json:"oneWheel,omitempty"`
	// Lifts says that a wheel of that machine leaves the ground without any load: go
	// slower, or around.
	Lifts bool `json:"lifts"`
	// Usable is the answer of the lift by itself. It stays what it is: a stated
	// obstacle lowers a load below it and never raises one above it.
	Usable Usable `json:"usable"`
	// Assumed are the ranges of practice that the motion rests on.
	Assumed []Assumption `json:"assumed,omitempty"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes,omitempty"`
	// Cautions are what a user of the answer must be shown.
	Cautions Cautions `json:"cautions"`
}

// Line is what may be said of a load over the obstacle, as a message for readers that names the
// obstacle and the greatest speed: "rut 100 mm by 300 mm, at up to 5.0 km/h: no lift-off found up to
// 574 kg". The load is the low end of IfRated, rounded down to whole kilograms. It is no
// permission to drive over anything.
func (u *TravelUse) Line() units.Message {
	size := func(name string, l units.Length) units.Param {
		d := units.Display{Precision: units.Decimals(0)}
		return units.Parameter(name, units.Format(d, l), l, units.Nearest)
	}
	o := u.Over
	code := "stability.obstacleKind." + o.Kind.String()
	name, ok := words.Text(words.English, code)
	if !ok {
		name = o.Kind.String()
	}
	kind := units.Word("obstacle", code, name)
	var place units.Message
	switch {
	case o.Height == 0:
		place = units.NewMessage("{obstacle}", kind)
	case o.Length == 0:
		place = units.NewMessage("{obstacle} {height}", kind, size("height", o.Height))
	default:
		place = units.NewMessage("{obstacle} {height} by {length}", kind, size("height", o.Height), size("length", o.Length))
	}
	speed := units.Parameter("speed", units.Format(units.Display{Precision: units.Decimals(1)}, u.Speed), u.Speed, units.Down)
	return units.NewMessage("{place}, at up to {speed}: {line}", units.Saying("place", place), speed, units.Saying("line", u.LoadLine()))
}

// LoadLine is [TravelUse.Line] without obstacle and speed, for a place that names both.
func (u *TravelUse) LoadLine() units.Message {
	load := func(m units.Mass) units.Param {
		m = units.Mass(math.Floor(float64(m)))
		return units.Parameter("load", units.Format(units.Display{Precision: units.Decimals(0)}, m), m, units.Down)
	}
	switch {
	case u.Obstacle.Low >= 1 && u.IfRated.Low < 1:
		return units.NewMessage("none: the lift by itself states no load")
	case u.Obstacle.Low >= 1:
		return units.NewMessage("no lift-off found up to {load}", load(u.IfRated.Low))
	case u.Obstacle.High < 1 || u.Lifts && u.Obstacle.Low == u.Obstacle.High:
		return units.NewMessage("none: a wheel lifts without load; go slower or around")
	}
	return units.NewMessage("cannot say: a wheel may lift without load; go slower or around, or find out what is open")
}

// TravelJudgment is the answer to "may this load be carried over this".
type TravelJudgment struct {
	// Judgment is that of the lift by itself, but for Verdict, Carry and Usable.Mass.
	Judgment
	// Obstacle is the verdict of what is found over the obstacle alone.
	Obstacle Verdict `json:"obstacle"`
	// Travel is what may be carried.
	Travel TravelUse `json:"travel"`
}

// Travel returns what may be carried over an obstacle, for every machine of the envelope.
//
// The least of three counts: the answer of the lift by itself, with its dynamic factor;
// statics on the obstacle; and the passage, as package stability follows it, up to the load
// at which the rear tires first leave the ground at some speed. Where they do without any
// load there is no load figure.
//
// Statics are bounds as those of every other answer. The passage is that of one machine,
// the one in the middle of all that is open, followed at speeds 0.25 km/h apart and loads 2 % of
// the tipping load apart (of one wheel 0.5 km/h and 6 %), the first lift-off found to 1/4096 of it; the ends are that
// share plus and minus what the machines that are open may differ by, times the ends of
// the tipping load. Those differences are measured over random machines, and no proof:
// see the notes. A context that is done ends the work with an error that wraps
// its cause; a nil context never ends.
func (e *Envelope) Travel(ctx context.Context, t Travel) (TravelUse, error) {
	j, err := e.CheckTravel(ctx, t, 0)
	return j.Travel, err
}

// CheckTravel says whether a load, 0 to 100 t, may be carried over an obstacle; see
// [Envelope.Travel].
func (e *Envelope) CheckTravel(ctx context.Context, t Travel, load units.Mass) (TravelJudgment, error) {
	if ctx == nil {
		ctx = context.Background()
	}
	var out TravelJudgment
	var c units.FieldErrors
	if c.Join("travel", t.Validate()); c.Len() > 0 {
		return out, c.Err()
	}
	t.Lift.Speed = t.Speed
	j, err := e.Check(t.Lift, load)
	if err != nil {
		c.JoinCall(err, "", map[string]string{"lift": "travel.lift"})
		return out, c.Err()
	}
	out.Judgment = j
	u := &out.Travel
	u.Over, u.Speed = t.Obstacle, t.Speed
	u.Usable = j.Usable
	u.CapacityRange, u.Notes, u.Cautions = j.Usable.CapacityRange, j.Usable.Notes, j.Usable.Cautions
	u.Notes |= NoteFollowed
	u.Cautions |= CautionHiddenGround | CautionNotPermission
	u.Cautions &^= CautionStandstill
	if err := e.obstacle(ctx, &t, u); err != nil {
		return TravelJudgment{}, err
	}
	if u.Obstacle.Low < u.IfRated.Low {
		u.Governing = NoLimit
	} else {
		u.Governs = TravelByLift
	}
	for _, r := range []*units.Range[units.Mass]{&u.Mass, &u.IfRated} {
		r.Low, r.High = min(r.Low, u.Obstacle.Low), min(r.High, u.Obstacle.High)
	}
	out.Obstacle = over(u.Obstacle, load)
	out.Carry = j.Carry.worse(out.Obstacle)
	out.Verdict = j.Verdict.worse(out.Obstacle)
	return out, nil
}

// over returns the verdict of a range of loads on a load. Where a wheel may lift without
// load no load is allowed, not even none.
func over(r units.Range[units.Mass], load units.Mass) Verdict {
	switch {
	case load > r.High || r.High == 0:
		return ExceedsLimit
	case load <= r.Low && r.Low > 0:
		return NoLimitExceeded
	}
	return CannotSay
}

// nothingKnown is the range of a load of which nothing can be said.
var nothingKnown = units.Range[units.Mass]{High: MaxLoad}

// obstacle finds the load over the obstacle.
func (e *Envelope) obstacle(ctx context.Context, t *Travel, u *TravelUse) error {
	v, err := e.spread(&t.Lift)
	if err != nil {
		return err
	}
	u.Statics, u.Passage, u.Obstacle = nothingKnown, nothingKnown, nothingKnown
	tipping, err := v.bare()
	if err != nil {
		return err
	}
	m, ok, err := v.movers(u)
	m.tipping = tipping
	if err != nil {
		return err
	}
	if ok {
		if u.Statics, err = e.onObstacle(t, &m); err != nil {
			return err
		}
		slack := m.slack()
		most := 1.0
		if tipping.Low > 0 {
			most = float64(u.Usable.IfRated.High/tipping.Low) + slack
		}
		r, err := m.lift(ctx, t, most)
		if err != nil {
			return fmt.Errorf("travel: %w", err)
		}
		if !m.rolls {
			u.Notes |= NoteRollNotFollowed
		}
		if r.stalls {
			u.Notes |= NoteStalls
		}
		u.Found, u.At, u.Lifts, u.OneWheel = r.status, r.speed, r.share == 0, r.roll
		u.Passage = r.ends(slack, tipping)
	} else {
		u.Notes |= NoteNotFollowed
	}
	if len(u.Assumed) > 0 {
		u.Notes |= NoteTiresAssumed
	}
	u.Governs = TravelByStatics
	if u.Passage.Low < u.Statics.Low {
		u.Governs = TravelByPassage
		if u.OneWheel {
			u.Governs = TravelByRoll
		}
	}
	u.Obstacle = units.Range[units.Mass]{Low: min(u.Statics.Low, u.Passage.Low), High: min(u.Statics.High, u.Passage.High)}
	return nil
}

// ends returns the ends of the load that is just short of a lift-off.
func (r *liftOff) ends(slack float64, tipping units.Range[units.Mass]) units.Range[units.Mass] {
	out := units.Range[units.Mass]{
		Low:  units.Mass(max(0, min(1, r.share-slack)) * float64(tipping.Low)),
		High: units.Mass(min(1, r.share+slack) * float64(tipping.High)),
	}
	if r.beyond {
		out.High = MaxLoad
	}
	return out
}

// bare returns the load at which the rear axle carries nothing.
func (v *spread) bare() (units.Range[units.Mass], error) {
	var one [1]tally
	if err := v.solve(one[:], 0); err != nil {
		return nothingKnown, err
	}
	switch r := one[0].limitRange(bareAxle); r.Status {
	case stability.Within, stability.AtMost:
		return r.Mass, nil
	case stability.ExceededWhenEmpty:
		return units.Range[units.Mass]{}, nil
	case stability.CannotOccur:
		return units.Range[units.Mass]{Low: MaxLoad, High: MaxLoad}, nil
	}
	return nothingKnown, nil
}

// onObstacle returns the load at which the rear axle carries nothing with the machine at a
// standstill on the obstacle: as on a slope, nose downhill, of which the wheels stand as
// much lower in front as the obstacle allows. A rut takes a wheel in no deeper than
// its circle goes between the edges. The low end has the tires give way, the high end has
// rigid ones.
func (e *Envelope) onObstacle(t *Travel, m *movers) (units.Range[units.Mass], error) {
	o := &t.Obstacle
	if o.Kind == stability.ObstacleLevel {
		return units.Range[units.Mass]{Low: MaxLoad, High: MaxLoad}, nil
	}
	base := span{math.Exp(m.of[travelBase].lo), math.Exp(m.of[travelBase].hi)}
	depth := span{float64(o.Height), float64(o.Height)}
	if o.Kind == stability.ObstacleRut {
		r := m.of[travelFrontRadius].by(base)
		soft := m.g / math.Exp(m.of[travelFront].lo) // by how much the tire is larger without load
		depth.lo = min(depth.lo, sink(r.hi+soft, float64(o.Length)))
		depth.hi = min(depth.hi, sink(r.lo, float64(o.Length)))
	}
	one := func(rise, base float64) (units.Range[units.Mass], error) {
		l := t.Lift
		l.Slope = units.Grade(min(0.99, rise/base))
		l.Heading = units.Turn / 2
		v, err := e.spread(&l)
		if err != nil {
			return nothingKnown, err
		}
		return v.bare()
	}
	best, err := one(depth.lo, base.hi)
	if err != nil {
		return nothingKnown, err
	}
	// As the rear axle loses the rest of its load, the rear tires rise by what that load
	// pressed them in, and the front tires go down by it. A load that tips the machine
	// anyhow bounds that rest, and a smaller rest bounds the load higher.
	give := m.g/math.Exp(m.of[travelRear].lo) + m.ratio*m.g/math.Exp(m.of[travelFront].lo)
	worst, rest := units.Range[units.Mass]{}, 1.0
	for range 4 {
		if worst, err = one(depth.hi+rest*give, base.lo); err != nil {
			return nothingKnown, err
		}
		rest = max(0, 1-float64(worst.Low/m.tipping.High))
	}
	return units.Range[units.Mass]{Low: worst.Low, High: best.High}, nil
}

// sink is how far a wheel goes down between two edges.
func sink(radius, length float64) float64 {
	if half := length / 2; half < radius {
		return radius - math.Sqrt(radius*radius-half*half)
	}
	return math.Inf(1)
}

// movers returns the machines that are open as they move; false where one of them cannot
// be followed: its load would not be ahead of the front axle, or its center of
// gravity not between the axles.
func (v *spread) movers(u *TravelUse) (m movers, ok bool, err error) {
	e := v.e
	st := v.state(StateEmpty)
	var loads WheelLoadRanges
	if err := v.axles(&loads, st, 0); err != nil {
		return m, false, err
	}
	in := &e.in
	base := in[inWheelbase]
	mass := e.mass(&st)
	x := v.centroid(&st, coef{x: 1})
	z := v.centroid(&st, coef{z: 1, pitch: 1})
	loadX := in[inPivotX].plus(in[inArm].by(st.outer.cosines(1, 0))).plus(v.ahead)
	loadZ := v.pin.plus(v.above)
	m.g, m.mass = e.k.g, (mass.lo+mass.hi)/2
	if !(x.lo > 0 && x.hi < base.lo && z.lo > 0 && loadX.lo > base.hi && loadZ.lo > 0) || !(loads.Front.Low > 0 && loads.Rear.Low > 0) {
		return m, false, nil
	}
	m.ratio = float64(loads.Rear.High / loads.Front.Low)
	log := func(s span) span { return span{math.Log(s.lo), math.Log(s.hi)} }
	of := &m.of
	of[travelBase] = log(base)
	of[travelX], of[travelZ] = x.over(base), z.over(base)
	of[travelLoadX], of[travelLoadZ] = loadX.over(base), loadZ.over(base)
	of[travelRearRadius], of[travelFrontRadius] = in[inRearRadius].over(base), in[inFrontRadius].over(base)
	own := &e.motion
	assume := func(path string, a Assumption) {
		a.Path = path
		u.Assumed = append(u.Assumed, a)
	}
	stiffness := func(path string, given units.Input[units.Stiffness], load units.Range[units.Mass]) span {
		if stated(given) {
			return log(endsOf(given).over(span{float64(load.Low), float64(load.High)}))
		}
		assume(path, Assumption{Length: e.practice.TireSag})
		g := float64(units.StandardGravity)
		return log(span{g / float64(e.practice.TireSag.High), g / float64(e.practice.TireSag.Low)})
	}
	of[travelRear] = stiffness("machine.motion.rearStiffness", own.RearStiffness, loads.Rear)
	of[travelFront] = stiffness("machine.motion.frontStiffness", own.FrontStiffness, loads.Front)
	damping := endsOf(own.Damping)
	if !stated(own.Damping) {
		damping = span{float64(e.practice.TireDamping.Low), float64(e.practice.TireDamping.High)}
		assume("machine.motion.damping", Assumption{Share: e.practice.TireDamping})
	}
	of[travelDamping] = log(damping)
	m.rolls = e.k.machine.Undercarriage == stability.PivotingFront
	if m.rolls {
		roll := endsOf(own.RollInertia)
		track := in[inRearTrack]
		if !stated(own.RollInertia) {
			r := span{float64(e.practice.RollRadius.Low), float64(e.practice.RollRadius.High)}.by(track)
			roll = e.bareMass().by(r.by(r))
			assume("machine.motion.rollInertia", Assumption{Share: e.practice.RollRadius})
		}
		of[travelRoll] = log(roll.over(mass.by(track.by(track))))
		of[travelRearTrack], of[travelFrontTrack], of[travelPin] = track.over(base), in[inFrontTrack].over(base), in[inAxlePin].over(base)
		of[travelAxle], of[travelAxleHeight] = in[inAxleMass].over(mass), in[inAxleHeight].over(base)
		of[travelSide] = v.side.over(base)
		of[travelStop] = e.stop
	}
	inertia := endsOf(own.PitchInertia)
	if !stated(own.PitchInertia) {
		r := span{float64(e.practice.PitchRadius.Low), float64(e.practice.PitchRadius.High)}.by(base)
		inertia = e.bareMass().by(r.by(r))
		assume("machine.motion.pitchInertia", Assumption{Share: e.practice.PitchRadius})
	}
	inertia = inertia.plus(v.apart(&st, x, z))
	inertia.lo = max(inertia.lo, 0.01*mass.lo*base.lo*base.lo)
	inertia.hi = max(inertia.lo, inertia.hi)
	of[travelInertia] = log(inertia.over(mass.by(base.by(base))))
	return m, true, nil
}

// bareMass is the mass that the machine's inertia is that of.
func (e *Envelope) bareMass() span {
	if e.byLoads {
		return e.in[inFrontLoad].plus(e.in[inRearLoad])
	}
	return e.in[inMass]
}

// centroid returns where the center of gravity of all that is on the machine is along an
// axis, without load: the places about which the moments of the lightest and of the heaviest side
// vanish, which are the ends of what is possible.
func (v *spread) centroid(st *sumState, along coef) span {
	e := v.e
	machines := e.machines()
	n := 2
	if e.in[inWheelbase].fixed() {
		n = 1
	}
	var loader terms
	e.loader(&loader, st)
	at := func(c float64) span {
		w := along
		w.one = -c
		f := form{weights: weights{w, w}, moving: 1, load: 1}
		var out span
		for i := range n {
			s := machines[i].over(&f).plus(e.sum(&f, &loader, st))
			if i > 0 {
				s = s.join(out)
			}
			out = s
		}
		return out
	}
	solve := func(pick func(span) float64) float64 {
		low, high := -20.0, 20.0
		for range 60 {
			mid := (low + high) / 2
			if pick(at(mid)) > 0 {
				low = mid
			} else {
				high = mid
			}
		}
		return (low + high) / 2
	}
	return span{solve(func(s span) float64 { return s.lo }), solve(func(s span) float64 { return s.hi })}
}

// apart returns what all parts besides the machine's own inertia add to the pitch inertia
// about the common center of gravity: each mass times the square of its distance. Parts
// are taken as points.
func (v *spread) apart(st *sumState, x, z span) span {
	e := v.e
	in := &e.in
	square := func(s span) span {
		out := ordered(s.lo*s.lo, s.hi*s.hi)
		if s.lo < 0 && s.hi > 0 {
			out.lo = 0
		}
		return out
	}
	of := func(mass, px, pz span) span {
		return mass.by(square(px.minus(x)).plus(square(pz.minus(z))))
	}
	base := in[inWheelbase]
	cg := in[inCGX]
	if e.byLoads {
		cg = in[inFrontLoad].over(e.bareMass()).by(base)
		cg = span{max(0, cg.lo), min(base.hi, cg.hi)}
	}
	sum := of(e.bareMass(), cg, in[inCGZ])
	if e.operator != 0 {
		sum = sum.plus(of(just(float64(e.operator)), in[inSeatX], in[inSeatZ]))
	}
	if e.fuel != (span{}) {
		sum = sum.plus(of(e.fuel, in[inFuelX], in[inFuelZ]))
	}
	for i := range e.pieces {
		p := &e.pieces[i]
		px, pz := p.x, p.z
		if p.wheel {
			px, pz = span{}, in[p.radius]
			if p.onFront {
				px = base
			}
		}
		sum = sum.plus(of(p.mass, px, pz))
	}
	if !e.hasLoader {
		return sum
	}
	arm := func(a *arc) (px, pz span) {
		return in[inPivotX].plus(in[inArmCG].by(a.cosines(1, 0))), in[inPivotZ].plus(in[inArmCG].by(a.cosines(0, 1)))
	}
	ax, az := arm(&st.outer)
	sum = sum.plus(of(in[inArmMass], ax, az))
	if e.loads {
		ax, az = arm(&st.low)
		sum = sum.minus(of(in[inArmMass], ax, az)) // it is in the machine's own
	} else {
		sum = sum.plus(of(in[inFrameMass], in[inFrameX], in[inFrameZ]))
	}
	pin := in[inPivotX].plus(in[inArm].by(st.outer.cosines(1, 0)))
	return sum.plus(of(in[inAttachMass], pin.plus(in[inAttachAhead]), v.pin.plus(in[inAttachAbove])))
}

// Travel returns what may be carried over an obstacle, whatever the setup leaves open: see
// [Envelope.Travel]. What nobody gave is as in [UsualPractice].
func (s Setup) Travel(ctx context.Context, t Travel) (TravelUse, error) {
	e, err := s.Envelope(Practice{})
	if err != nil {
		return TravelUse{}, err
	}
	return e.Travel(ctx, t)
}

// CheckTravel says whether a load may be carried over an obstacle, whatever the setup
// leaves open: see [Envelope.CheckTravel].
func (s Setup) CheckTravel(ctx context.Context, t Travel, load units.Mass) (TravelJudgment, error) {
	e, err := s.Envelope(Practice{})
	if err != nil {
		return TravelJudgment{}, err
	}
	return e.CheckTravel(ctx, t, load)
}
