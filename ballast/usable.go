package ballast

import (
	"math"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// MaxLoad is the greatest load that an answer speaks of, 100 t. As the high end
// of a range it says that no upper bound is known.
const MaxLoad = maxMass

// Verdict says whether a load may be lifted, as far as is known. In JSON:
// "cannotSay", "noLimitExceeded", "needsRatings" or "exceedsLimit".
type Verdict uint8

// Verdicts. [NoLimitExceeded] alone is a kind of yes.
const (
	// CannotSay: it depends on what is not known; measurements would decide it.
	// It is the zero value.
	CannotSay Verdict = iota
	// NoLimitExceeded: no limit was found exceeded, whatever the inputs leave
	// open, and no rating is missing.
	NoLimitExceeded
	// NeedsRatings: not yet. No limit that is known is exceeded, and ratings are
	// missing; the answer says what they would have to be at least. It is no
	// kind of yes.
	NeedsRatings
	// ExceedsLimit: a limit is exceeded, whatever the inputs leave open.
	ExceedsLimit
)

var verdictNames = []string{"cannotSay", "noLimitExceeded", "needsRatings", "exceedsLimit"}

var verdictTitles = []string{"cannot say yet", "no limit found exceeded", "not yet: plates are missing", "exceeds a limit"}

// Title returns the verdict for a reader, such as "no limit found exceeded".
func (v Verdict) Title() string { return choice.Name("Verdict", verdictTitles, v) }

// OK reports whether the verdict is [NoLimitExceeded].
func (v Verdict) OK() bool { return v == NoLimitExceeded }

// worse returns the verdict of two questions together.
func (v Verdict) worse(w Verdict) Verdict {
	for _, k := range [...]Verdict{ExceedsLimit, CannotSay, NeedsRatings} {
		if v == k || w == k {
			return k
		}
	}
	return NoLimitExceeded
}

// LimitSet is a set of limits. Its Lines say where the rating of each is found.
// In JSON: the names of its limits, joined by commas: "hydraulic", "breakOut",
// "tipping", "rearWheel", "frontWheel", "rearward", "steered", "frontAxle",
// "frontTire", "frontRim", "rearAxle", "rearTire", "rearRim", "gross", "rops",
// "coupler", "attachment", "hitch" and "manualBallast".
type LimitSet uint32

func setOf(k LimitKind) LimitSet { return 1 << (k - 1) }

// plateText says where the rating of each limit is found.
var plateText = []choice.Remark{
	{Name: "hydraulic", Sentence: "What the loader lifts at the pin that carries the attachment, at one height or more, stands on the loader's data sheet."},
	{Name: "breakOut", Sentence: "The break-out force at the bucket's edge stands on the loader's data sheet."},
	{Name: "tipping", Sentence: "The share that the rear axle keeps is chosen by whoever answers for the machine; the loader's manual may give one."},
	{Name: "rearWheel", Sentence: "The share that a rear wheel keeps is half of that of the axle."},
	{Name: "frontWheel", Sentence: "No rating belongs to a front wheel that lifts."},
	{Name: "rearward", Sentence: "No rating belongs to the front axle that lifts."},
	{Name: "steered", Sentence: "The least share of the steered axle is a rule of the road or of the machine's manual."},
	{Name: "frontAxle", Sentence: "The permissible front axle load stands on the machine's plate or in its manual."},
	{Name: "frontTire", Sentence: "Load index and speed symbol stand on the sidewall of the front tire; its maker's table gives the load at each pressure."},
	{Name: "frontRim", Sentence: "The permissible load of the front wheel is stamped into the disc or stands in the manual."},
	{Name: "rearAxle", Sentence: "The permissible rear axle load stands on the machine's plate or in its manual."},
	{Name: "rearTire", Sentence: "Load index and speed symbol stand on the sidewall of the rear tire; its maker's table gives the load at each pressure."},
	{Name: "rearRim", Sentence: "The permissible load of the rear wheel is stamped into the disc or stands in the manual."},
	{Name: "gross", Sentence: "The permissible mass stands on the machine's plate or in its papers."},
	{Name: "rops", Sentence: "The mass for which the roll-over protective structure is certified stands on the structure's plate."},
	{Name: "coupler", Sentence: "What the loader's coupler may carry stands on its plate or in the loader's manual."},
	{Name: "attachment", Sentence: "What the forks or the bucket may carry at which load center stands on their plate."},
	{Name: "hitch", Sentence: "The lift rating of the rear hitch, 610 mm behind its points, stands in the machine's manual."},
	{Name: "manualBallast", Sentence: "Whether ballast must sit behind, and how much, stands in the loader's manual."},
}

// LimitRange is one limit of a load case as far as it is known.
type LimitRange struct {
	// Kind is the limit's name.
	Kind LimitKind `json:"kind"`
	// Status is Within, or Binds for the limit that the low end of the answer
	// comes from; AtMost where Mass.Low is zero because the limit may be lower
	// than any load; ExceededWhenEmpty where it is broken without load,
	// whatever is open; CannotOccur where no load reaches it, whatever is open;
	// NotChecked where its rating is missing or something else is not known.
	Status Status `json:"status"`
	// Mass is the load that the limit allows: no more than Low exceeds it for
	// nothing that is open, and more than High exceeds it for everything.
	// Meaningful only where Status is Within, Binds or AtMost. Round Low down.
	Mass units.Range[units.Mass] `json:"mass"`
}

// CapacityRange is the load that a group of limits allows as far as they are
// known.
type CapacityRange struct {
	// Mass is the load: no more than Low exceeds no limit, whatever the inputs
	// leave open; more than High exceeds one, whatever they are; between them,
	// measurements would decide it. Low is zero while a rating is missing.
	// Round Low down.
	Mass units.Range[units.Mass] `json:"mass"`
	// IfRated is the same provided that every rating that is missing turns out
	// to be great enough. It is no permission.
	IfRated units.Range[units.Mass] `json:"ifRated"`
	// Governing is the limit that the low end of IfRated comes from; NoLimit
	// where nothing limits the load.
	Governing LimitKind `json:"governing"`
	// Missing are the limits whose ratings nobody gave.
	Missing LimitSet `json:"missing"`
}

// Usable is the answer to "how much may be lifted here" as far as the setup
// says.
type Usable struct {
	// CapacityRange is the usable load: the lesser of Lift and Carry.
	CapacityRange
	// Lift is what the loader can lift. It says nothing of what is safe.
	Lift CapacityRange `json:"lift"`
	// Carry is what the machine may carry. It says nothing of whether the loader
	// lifts it.
	Carry CapacityRange `json:"carry"`
	// Limits holds every limit; Limits[k-1] is that of kind k.
	Limits [NumLimits]LimitRange `json:"limits"`
	// Tipping is the bare tipping load at the height of the case: the load at
	// which the rear axle's load is zero, without factor and basis. With the
	// arms level it is less than low or high. It is not a load to lift, and
	// nobody finds it by trying. Both ends are zero if no load tips the machine
	// or nothing can be said.
	Tipping units.Range[units.Mass] `json:"tipping"`
	// WheelLift is the bare load at which the first rear wheel lifts; see
	// Tipping.
	WheelLift units.Range[units.Mass] `json:"wheelLift"`
	// Holds is the load under which raised arms begin to sink at the height of the
	// case, at relief pressure: friction of seals and pins lets them stand still
	// under somewhat more than they lift. It helps to find a fault and is no
	// capacity: nothing is put on raised arms that the loader does not lift there.
	// Both ends are zero of a break-out, and where nothing says what the loader
	// lifts.
	Holds units.Range[units.Mass] `json:"holds"`
	// Rechecks holds verdicts without the load: with the attachment empty at
	// this height, empty and lowered, and with the loader off.
	Rechecks [NumRechecks]StateVerdict `json:"rechecks"`
	// Factor is the dynamic factor that was used.
	Factor float64 `json:"factor"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes,omitempty"`
	// FillNotes are the notes of the fills among the pieces, all together.
	FillNotes liquid.Notes `json:"fillNotes,omitempty"`
	// Cautions are what a user of the answer must be shown.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// StateVerdict is the verdict on a state without the load.
type StateVerdict struct {
	// State is the state.
	State State `json:"state"`
	// Verdict is the verdict on all limits that are known in that state.
	Verdict Verdict `json:"verdict"`
	// Exceeded are the limits that are exceeded whatever is open, and Open those
	// that may be.
	Exceeded LimitSet `json:"exceeded"`
	// Open are the limits that may be exceeded; see Exceeded.
	Open LimitSet `json:"open"`
}

// Limit returns the limit of a kind; the zero value for NoLimit and for a value
// outside the list.
func (u *Usable) Limit(k LimitKind) LimitRange {
	if k == NoLimit || int(k) > NumLimits {
		return LimitRange{}
	}
	return u.Limits[k-1]
}

// LimitVerdict is what one limit says of a load.
type LimitVerdict struct {
	// Kind is the limit's name.
	Kind LimitKind `json:"kind"`
	// Verdict is the verdict on this limit alone; NoLimitExceeded for one that
	// the load does not reach.
	Verdict Verdict `json:"verdict"`
	// Left is how much more load the limit allows; Low is negative if it may be
	// exceeded, High if it is. Zero where the rating is missing and where more
	// load does not use the limit up.
	Left units.Range[units.Mass] `json:"left"`
	// Required is, where the rating is missing, the least that it would have to
	// be for this load, and without it at the same height, lowered and with the
	// loader off: of an axle, of one wheel, of one tire, of the whole
	// machine, of what the loader lifts at the pin. Round it up. Zero where the rating is
	// missing and nothing can be said of it, as of the wheels of a rigid machine whose
	// tracks are not known.
	Required units.Mass `json:"required,omitempty"`
}

// Judgment is the answer to "may this load be lifted here" as far as the setup
// says.
type Judgment struct {
	// Mass is the load asked about.
	Mass units.Mass `json:"mass"`
	// Verdict is the answer to both questions together.
	Verdict Verdict `json:"verdict"`
	// Lift says whether the loader can lift it, Carry whether the machine may
	// carry it.
	Lift Verdict `json:"lift"`
	// Carry is the second question; see Lift.
	Carry Verdict `json:"carry"`
	// Limits holds every limit; Limits[k-1] is that of kind k.
	Limits [NumLimits]LimitVerdict `json:"limits"`
	// Axles is what the wheels carry with the load, without factor; on a way, at
	// its end.
	Axles WheelLoadRanges `json:"axles"`
	// Usable is what may be lifted.
	Usable Usable `json:"usable"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// Limit returns what a limit says; the zero value for NoLimit and for a value
// outside the list.
func (j *Judgment) Limit(k LimitKind) LimitVerdict {
	if k == NoLimit || int(k) > NumLimits {
		return LimitVerdict{}
	}
	return j.Limits[k-1]
}

// WheelLoadRanges is what axles and wheels carry as far as is known; see
// [WheelLoads]. The wheels of a rigid machine whose tracks are not known are zero: nothing
// can be said of them. So are its axles on a slope and under braking.
type WheelLoadRanges struct {
	// Total is the mass of everything.
	Total units.Range[units.Mass] `json:"total"`
	// Front is the load of the front axle.
	Front units.Range[units.Mass] `json:"front"`
	// Rear is the load of the rear axle.
	Rear units.Range[units.Mass] `json:"rear"`
	// FrontLeft is the load of that wheel.
	FrontLeft units.Range[units.Mass] `json:"frontLeft"`
	// FrontRight is the load of that wheel.
	FrontRight units.Range[units.Mass] `json:"frontRight"`
	// RearLeft is the load of that wheel.
	RearLeft units.Range[units.Mass] `json:"rearLeft"`
	// RearRight is the load of that wheel.
	RearRight units.Range[units.Mass] `json:"rearRight"`
}

// limitRange returns what a tally says of a limit.
func (t *tally) limitRange(k LimitKind) (out LimitRange) {
	i := k - 1
	out.Kind = k
	low, high := t.low[i], t.high[i]
	switch {
	case !t.checked[i] || int(i) < NumLimits && t.missing[i]:
	case high < 0:
		out.Status = stability.ExceededWhenEmpty
	case math.IsInf(low, 1):
		out.Status = stability.CannotOccur
	default:
		out.Status = stability.Within
		if low < 0 {
			out.Status = stability.AtMost
		}
		out.Mass.Low = units.Mass(min(float64(MaxLoad), max(0, low)))
		out.Mass.High = units.Mass(min(float64(MaxLoad), max(0, high)))
	}
	return out
}

// capacity returns what the limits of a question allow.
func (v *spread) capacity(u *Usable, q question, missing LimitSet) CapacityRange {
	out := CapacityRange{IfRated: units.Range[units.Mass]{Low: MaxLoad, High: MaxLoad}}
	broken := false // by a limit that is exceeded without load
	low := func(m units.Mass, k LimitKind, exceeded bool) {
		if m < out.IfRated.Low || out.Governing == NoLimit || exceeded && !broken {
			out.IfRated.Low, out.Governing = m, k
		}
		broken = broken || exceeded
	}
	for i := range u.Limits {
		l := &u.Limits[i]
		if !q.asks(l.Kind) {
			continue
		}
		switch l.Status {
		case stability.ExceededWhenEmpty:
			low(0, l.Kind, true)
			out.IfRated.High = 0
		case stability.Within, stability.AtMost:
			low(l.Mass.Low, l.Kind, false)
			out.IfRated.High = min(out.IfRated.High, l.Mass.High)
		case stability.NotChecked:
			if missing.Has(setOf(l.Kind)) {
				out.Missing |= setOf(l.Kind)
			} else if l.Kind == LimitTipping || !v.answers(l.Kind) && wheelLimits.Has(setOf(l.Kind)) && l.Kind != LimitSteered {
				low(0, l.Kind, false) // no basis was chosen, or nothing can be said
			}
		}
	}
	out.Mass = out.IfRated
	if out.Missing != 0 {
		out.Mass.Low = 0
	}
	return out
}

// usable makes the answer of the tallies of all states.
func (v *spread) usable(all *[NumRechecks + 1]tally) (u Usable, err error) {
	t := &all[0]
	var missing LimitSet
	for i := range u.Limits {
		u.Limits[i] = t.limitRange(LimitKind(i + 1))
		if t.missing[i] {
			missing |= setOf(LimitKind(i + 1))
		}
	}
	u.Holds = v.holds()
	u.Tipping, u.WheelLift = t.limitRange(bareAxle).Mass, t.limitRange(bareWheel).Mass
	if err := v.exact(&u); err != nil {
		return u, err
	}
	u.CapacityRange = v.capacity(&u, ofAll, missing)
	u.Lift = v.capacity(&u, ofLift, missing)
	u.Carry = v.capacity(&u, ofCarry, missing)
	if g := u.Governing; g != NoLimit && u.Limits[g-1].Status == stability.Within {
		u.Limits[g-1].Status = stability.Binds
	}
	for i := range u.Rechecks {
		r := &u.Rechecks[i]
		r.State = State(i + 1)
		r.judge(&all[i+1], v.rows)
	}
	v.remark(&u)
	return u, nil
}

// judge fills in the verdict on a state; rows says whether wheel loads can be
// bounded.
func (r *StateVerdict) judge(t *tally, rows bool) {
	r.Verdict = NoLimitExceeded
	if !rows {
		r.Verdict = CannotSay
	}
	for i := range t.checked {
		k := LimitKind(i + 1)
		switch {
		case i >= NumLimits:
		case t.missing[i]:
			r.Verdict = r.Verdict.worse(NeedsRatings)
		case !t.checked[i]:
		case t.high[i] < 0:
			r.Exceeded |= setOf(k)
			r.Verdict = ExceedsLimit
		case t.low[i] < 0:
			r.Open |= setOf(k)
			r.Verdict = r.Verdict.worse(CannotSay)
		}
	}
}

// settled reports whether nothing that a lift asks for is open, so that a compiled case
// says the same.
func (e *Envelope) settled(l *Lift) bool {
	if e.ranged || e.filled {
		return false
	}
	for i := range e.assumed {
		if a := &e.assumed[i]; !a.holdsOnly && (!a.heightOnly || !l.level()) {
			return false
		}
	}
	return true
}

// settled is the same of a lift that has been laid out: neither where its load is, nor what
// the tires carry, nor the lift outside the rated heights is open.
func (v *spread) settled() bool {
	l := v.q.lift
	if v.e.hasLoader && (l.Kind == BreakOut || l.Datum != DatumUnknown) {
		v.drifts()
	}
	open := func(tire span) bool { return tire != noLoad && !tire.fixed() }
	return v.e.settled(l) && v.pointLoad() && v.q.notes&NoteOutsideRated == 0 && !open(v.front) && !open(v.rear)
}

// pointLoad reports whether the place of the load is known.
func (v *spread) pointLoad() bool {
	l := v.q.lift
	return l.Load.singles() == nil && v.center.fixed() && !(v.assumed && (!l.level() || l.Datum == LoadHeight))
}

// exact puts the figures of a compiled case in the place of ranges, to the last
// bit, where nothing of the lift is open.
func (v *spread) exact(u *Usable) error {
	e := v.e
	if !e.settled(v.q.lift) || !v.pointLoad() {
		return nil
	}
	c, err := e.k.Case(*v.q.lift)
	if err != nil {
		return err
	}
	for i := range u.Limits {
		l := &c.use.Limits[i]
		if (l.Status == stability.Within || l.Status == stability.Binds) && u.Limits[i].Status == stability.Within {
			m := min(l.Mass, MaxLoad)
			u.Limits[i].Mass = units.Range[units.Mass]{Low: m, High: m}
		}
	}
	bare := func(of *units.Range[units.Mass], m units.Mass) {
		if *of != (units.Range[units.Mass]{}) && m > 0 {
			m = min(m, MaxLoad)
			*of = units.Range[units.Mass]{Low: m, High: m}
		}
	}
	bare(&u.Tipping, c.use.Tipping)
	bare(&u.WheelLift, c.use.WheelLift)
	return nil
}

// remark sets the notes and cautions of the answer.
func (v *spread) remark(u *Usable) {
	u.Library, u.Factor, u.FillNotes = units.Version, v.q.factor, v.q.k.fillNotes
	u.Notes, u.Cautions = v.q.remarks()
	for i := range u.Limits {
		if s := u.Limits[i].Status; s == stability.NotChecked || s == stability.AtMost {
			u.Cautions |= CautionUnchecked
		}
	}
	for i := range u.Rechecks {
		if u.Rechecks[i].Exceeded|u.Rechecks[i].Open != 0 {
			u.Cautions |= CautionBallast
		}
	}
}

// UsableLoad returns what may be lifted in a load case, for every machine of the
// envelope. A case that the setup cannot answer is an error that names the field.
func (e *Envelope) UsableLoad(lift Lift) (Usable, error) {
	v, err := e.spread(&lift)
	if err != nil {
		return Usable{}, err
	}
	var t [NumRechecks + 1]tally
	if err := v.solve(t[:], 0); err != nil {
		return Usable{}, err
	}
	return v.usable(&t)
}

// Check says whether a load, 0 to 100 t, may be lifted in a load case, and what
// every missing rating would have to be for it.
func (e *Envelope) Check(lift Lift, load units.Mass) (Judgment, error) {
	var c units.FieldErrors
	valid.Within(&c, "load", load, 0, maxMass)
	if err := c.Err(); err != nil {
		return Judgment{}, err
	}
	v, err := e.spread(&lift)
	if err != nil {
		return Judgment{}, err
	}
	var t [NumRechecks + 1]tally
	if err := v.solve(t[:], float64(load)); err != nil {
		return Judgment{}, err
	}
	u, err := v.usable(&t)
	if err != nil {
		return Judgment{}, err
	}
	out := Judgment{Library: units.Version, Mass: load, Usable: u, Lift: NoLimitExceeded, Carry: NoLimitExceeded}
	for i := range out.Limits {
		l, r := &out.Limits[i], &u.Limits[i]
		l.Kind = r.Kind
		l.Verdict = r.verdict(load)
		switch r.Status {
		case stability.Within, stability.Binds, stability.AtMost:
			l.Left = units.Range[units.Mass]{Low: r.Mass.Low - load, High: r.Mass.High - load}
		case stability.NotChecked:
			if t[0].missing[i] {
				required := 0.0
				for s := range t {
					required = max(required, t[s].required[i])
				}
				l.Verdict, l.Required = NeedsRatings, units.Mass(v.perPlate(r.Kind, required))
			} else if r.Kind != LimitTipping && (v.answers(r.Kind) || r.Kind == LimitSteered) {
				continue // it follows from what tipping lacks, or is a rule that was not chosen
			}
		}
		if l.Kind.OfLift() {
			out.Lift = out.Lift.worse(l.Verdict)
		} else {
			out.Carry = out.Carry.worse(l.Verdict)
		}
	}
	out.Verdict = out.Lift.worse(out.Carry)
	return out, v.axles(&out.Axles, v.state(StateEmpty), float64(load))
}

// verdict returns the verdict of one limit on a load.
func (l *LimitRange) verdict(m units.Mass) Verdict {
	switch l.Status {
	case stability.ExceededWhenEmpty:
		return ExceedsLimit
	case stability.CannotOccur:
		return NoLimitExceeded
	case stability.NotChecked:
		return CannotSay
	case stability.AtMost:
		if m > l.Mass.High {
			return ExceedsLimit
		}
		return CannotSay
	}
	switch {
	case m > l.Mass.High:
		return ExceedsLimit
	case m <= l.Mass.Low:
		return NoLimitExceeded
	}
	return CannotSay
}

// perPlate turns what a limit would have to allow into what its plate would have
// to say: a tire's is that of one tire.
func (v *spread) perPlate(k LimitKind, required float64) float64 {
	m := &v.q.k.machine
	switch k {
	case LimitFrontTire:
		required /= dualFactor(m.Front.TiresPerSide)
	case LimitRearTire:
		required /= dualFactor(m.Rear.TiresPerSide)
	}
	return max(0, required)
}

// WheelLoads returns what axles and wheels carry on level ground without load, for
// every machine of the envelope: StateLowered is with the arms down and the
// attachment empty, StateLoaderOff with the loader off; another state is an error.
// They come without cautions: see the package documentation.
func (e *Envelope) WheelLoads(s State) (out WheelLoadRanges, err error) {
	if e.k == nil {
		return out, noEnvelope()
	}
	if s != StateLowered && s != StateLoaderOff {
		return out, units.NewFieldError("state", s.String(), "must be lowered or loaderOff")
	}
	v := spread{e: e}
	v.q.k, v.q.lift = e.k, &Lift{}
	v.derive()
	v.bound()
	return out, v.axles(&out, v.state(s), 0)
}

// axles fills in what the wheels carry in a state with a load.
func (v *spread) axles(out *WheelLoadRanges, st sumState, m float64) error {
	e := v.e
	total := e.mass(&st)
	if v.q.lift.Kind != BreakOut {
		total = total.plus(just(m))
	}
	out.Total = massRange(total)
	if !v.rows && !v.axlesOnly {
		return nil
	}
	var rows [stability.NumRows]span
	machine := e.machines()
	var loader terms
	e.loader(&loader, &st)
	first := true
	corners := v.corners()
	var in stability.Influence
	for corners.next(&in) {
		for r := range rows {
			f := form{weights: weights{coefOf(in.Body(stability.Row(r)), e.k.g), coefOf(in.Axle(stability.Row(r)), e.k.g)}, moving: 1, load: 1}
			s := machine[corners.number].over(&f).plus(e.sum(&f, &loader, &st))
			if m != 0 {
				s = s.plus(v.loadWeight(&f, &st).times(m))
			}
			if !first {
				s = s.join(rows[r])
			}
			rows[r] = s
		}
		first = false
	}
	out.Front, out.Rear = massRange(rows[stability.RowFrontAxle]), massRange(rows[stability.RowRearAxle])
	if !v.rows {
		return corners.err
	}
	out.FrontLeft, out.FrontRight = massRange(rows[stability.RowFrontLeft]), massRange(rows[stability.RowFrontRight])
	out.RearLeft, out.RearRight = massRange(rows[stability.RowRearLeft]), massRange(rows[stability.RowRearRight])
	return corners.err
}

func massRange(s span) units.Range[units.Mass] {
	return units.Range[units.Mass]{Low: units.Mass(s.lo), High: units.Mass(s.hi)}
}

// UsableLoad returns what may be lifted in a load case, whatever the setup leaves
// open: see [Envelope.UsableLoad]. What nobody gave is as in [UsualPractice].
func (s Setup) UsableLoad(lift Lift) (Usable, error) {
	e, err := s.Envelope(Practice{})
	if err != nil {
		return Usable{}, err
	}
	return e.UsableLoad(lift)
}

// Check says whether a load may be lifted in a load case, whatever the setup
// leaves open: see [Envelope.Check]. What nobody gave is as in [UsualPractice].
// [Load.MassOn] gives the mass that a lift's load names itself.
func (s Setup) Check(lift Lift, load units.Mass) (Judgment, error) {
	e, err := s.Envelope(Practice{})
	if err != nil {
		return Judgment{}, err
	}
	return e.Check(lift, load)
}
