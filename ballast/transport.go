package ballast

import (
	"slices"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Mounted is an implement or a ballast weight carried in full at one end of
// the tractor. One that rests on the ground or floats counts for nothing, or
// for the part carried.
type Mounted struct {
	// Mass is the mass carried, up to 100 t; left out or zero, nothing is there.
	Mass units.Input[units.Mass] `json:"mass,omitzero" zero:"value"`
	// Distance is 1 mm to 10 m. In front it runs from the front axle ahead to
	// the center of gravity of what is carried ("a" in ISO 4254-10, Annex B).
	// Behind it runs from the lower hitch points back to the center of
	// gravity ("d"). It must be given where Mass is.
	Distance units.Input[units.Length] `json:"distance,omitzero"`
}

// Transport is a tractor with mounted implements or weights at either end,
// standing level, as it goes on the road: what a scale and a tape say of it is
// enough. [Setup.Transport] answers for a whole setup. Each quantity is a value or
// a range; what an answer needs and nobody gave is an error that names the field,
// and a rating that nobody gave is one that the answer asks for.
//
// The axle loads are those of the tractor without the two things mounted:
// T_F and T_R of ISO 4254-10, Annex B, whose sum is the unladen mass T_E.
// Ballast that is part of the weighed tractor, such as liquid in the tires,
// is part of them. The least ballast by the formulas of that standard is in
// package standards.
type Transport struct {
	// FrontLoad is what a scale under the front axle reads (T_F), 1 kg to 100 t.
	FrontLoad units.Input[units.Mass] `json:"frontLoad"`
	// RearLoad is what a scale under the rear axle reads (T_R), 1 kg to 100 t.
	RearLoad units.Input[units.Mass] `json:"rearLoad"`
	// Wheelbase is the distance between the axles (b), 0.5 m to 10 m.
	Wheelbase units.Input[units.Length] `json:"wheelbase"`
	// Hitch is the rear hitch. Its X is negative, behind the rear axle, -5 to
	// -0.01 m: -X is the distance c of the standard. It is needed for
	// anything behind.
	Hitch Hitch `json:"hitch,omitzero"`
	// Ahead is what the front carries.
	Ahead Mounted `json:"ahead,omitzero"`
	// Behind is what the rear hitch carries, raised.
	Behind Mounted `json:"behind,omitzero"`

	// Steered is the least load of the steered front axle; without one it is not
	// checked.
	Steered SteeredRule `json:"steered,omitzero"`
	// Front is the front axle's ratings.
	Front Axle `json:"front,omitzero"`
	// Rear is the rear axle's ratings.
	Rear Axle `json:"rear,omitzero"`
	// GrossRating is the permissible total mass, 1 kg to 200 t.
	GrossRating units.Input[units.Mass] `json:"grossRating,omitzero"`
	// Speed is the road speed, up to 80 km/h; zero means unknown, and what a
	// tire with a speed symbol carries is then an upper bound.
	Speed units.Speed `json:"speed,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (t Transport) Validate() error {
	var c units.FieldErrors
	valid.Required(&c, "frontLoad", t.FrontLoad, minMass, maxMass, "must be given: the front axle on a scale")
	valid.Required(&c, "rearLoad", t.RearLoad, minMass, maxMass, "must be given: the rear axle on a scale")
	valid.Required(&c, "wheelbase", t.Wheelbase, minBase, maxBase, "must be given: rear to front axle")
	valid.Optional(&c, "hitch.x", t.Hitch.X, -5, -0.01)
	valid.Optional(&c, "hitch.rating", t.Hitch.Rating, minMass, maxRating)
	t.Ahead.validate(&c, "ahead")
	t.Behind.validate(&c, "behind")
	if t.Hitch.X.Unknown() && given(t.Behind.Mass) {
		c.Add("hitch.x", nil, "must be given: lower hitch points, negative behind the rear axle")
	}
	c.Join("steered", t.Steered.Validate())
	c.Join("front", t.Front.Validate())
	c.Join("rear", t.Rear.Validate())
	valid.Optional(&c, "grossRating", t.GrossRating, minMass, maxRating)
	roadSpeed(&c, t.Speed)
	v := look{errs: &c, open: true}
	t.look(&v)
	return c.Err()
}

// roadSpeed reports a road speed outside its range.
func roadSpeed(c *units.FieldErrors, speed units.Speed) {
	valid.ZeroOr(c, "speed", speed, 0.01, 80*units.KilometerPerHour)
}

func (m *Mounted) validate(c *units.FieldErrors, path string) {
	if given(m.Mass) {
		valid.Required(c, path+".mass", m.Mass, 0, maxMass, "")
		valid.Required(c, path+".distance", m.Distance, 0.001, 10, "must be given: where the center of gravity is; for one on the spot give 1 mm")
	} else {
		valid.Optional(c, path+".distance", m.Distance, 0.001, 10)
	}
}

// setup returns the transport as a setup. On level ground, with everything in the
// middle plane, neither tracks nor heights matter.
func (t *Transport) setup() Setup {
	s := Setup{Machine: Machine{
		FrontLoad: t.FrontLoad, RearLoad: t.RearLoad, Wheelbase: t.Wheelbase,
		MassIncludes: MassOperating, LoaderIncluded: WithoutLoader, Operator: OperatorAsStated, Fuel: Fuel{State: FuelAsStated},
		Undercarriage: stability.PivotingFront, Hitch: t.Hitch, Steered: t.Steered, Front: t.Front, Rear: t.Rear, GrossRating: t.GrossRating,
	}}
	if given(t.Ahead.Mass) {
		s.Pieces = append(s.Pieces, Piece{Kind: ChassisPiece, Mass: t.Ahead.Mass, CG: Position{X: sum(t.Wheelbase, t.Ahead.Distance, 1)}})
	}
	if given(t.Behind.Mass) {
		s.Pieces = append(s.Pieces, Piece{Kind: HitchImplement, State: Raised, Mass: t.Behind.Mass, CG: Position{X: sum(t.Hitch.X, t.Behind.Distance, -1)}})
	}
	return s
}

// sum returns the input a + sign b.
func sum(a, b units.Input[units.Length], sign float64) units.Input[units.Length] {
	s := endsOf(a).plus(endsOf(b).times(sign))
	return units.Between(units.Length(s.lo), units.Length(s.hi))
}

// Check holds the axle loads of this transport against every limit.
func (t Transport) Check() (TransportAnswer, error) {
	if err := t.Validate(); err != nil {
		return TransportAnswer{}, err
	}
	out, err := t.setup().Transport(t.Speed)
	if err != nil {
		return TransportAnswer{}, err
	}
	for _, m := range []Mounted{t.Ahead, t.Behind} {
		if stated(m.Distance) && !given(m.Mass) {
			out.Notes |= NoteNothingMounted
		}
	}
	return out, nil
}

// transportLimits are the limits of a transport, in the order in which answers
// list them: each axle leaving the ground, the share of the steered axle, and
// what axles, wheels, tires, machine and hitch may carry.
var transportLimits = [...]LimitKind{
	LimitRearward, LimitTipping, LimitSteered, LimitFrontAxle, LimitRearAxle,
	LimitFrontRim, LimitRearRim, LimitFrontTire, LimitRearTire, LimitGross, LimitHitch,
}

// TransportCheck is one limit held against what is there.
type TransportCheck struct {
	// Kind names the limit.
	Kind LimitKind `json:"kind"`
	// Verdict is the verdict on this limit alone; NoLimitExceeded for a rule that was
	// not chosen, a rating that is declared absent, and a hitch that carries nothing.
	Verdict Verdict `json:"verdict"`
	// Have is the mass there is: of an axle, of the more loaded wheel for what wheels
	// and tires carry, the total, or what hangs on the hitch as its rating counts it.
	Have units.Range[units.Mass] `json:"have"`
	// Allowed is the most, or for the lifts and the steered axle the least, that Have
	// may be. Zero if there is no such figure, and for tires that are not rated at
	// this speed; of a tire whose pressure or speed is not known Low is zero.
	Allowed units.Range[units.Mass] `json:"allowed"`
	// Required is, where the rating is missing, the least that it would have to be:
	// of an axle, of one wheel, of one tire, of the whole machine. Round it up. Zero
	// where nothing can be said of it: see [LimitVerdict].
	Required units.Mass `json:"required,omitempty"`
}

// TransportAnswer says what the axles carry on the road and how every limit stands,
// as far as is known.
type TransportAnswer struct {
	// Axles is what axles and wheels carry, as scales would read it. A negative load
	// means that the axle has lifted.
	Axles WheelLoadRanges `json:"axles"`
	// Limits has one entry for each limit: rearward (the front axle leaving the
	// ground), tipping (the rear axle), steered, and what front and rear axle,
	// wheels, tires, the machine and the hitch may carry. See [TransportAnswer.Of].
	Limits [len(transportLimits)]TransportCheck `json:"limits"`
	// Verdict is the verdict on all of them together.
	Verdict Verdict `json:"verdict"`
	// Missing are the limits whose ratings nobody gave.
	Missing LimitSet `json:"missing"`
	// Notes say how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// Of returns the limit of a kind; of one that no transport has, the zero value.
func (a *TransportAnswer) Of(k LimitKind) TransportCheck {
	if i := slices.Index(transportLimits[:], k); i >= 0 {
		return a.Limits[i]
	}
	return TransportCheck{}
}

// Transport holds the axle loads of a setup on the road against every limit: on
// level ground, without load, with the loader's arms down and the attachment empty
// if there is a loader. The speed is up to 80 km/h; zero means unknown. It is one
// state of the balance behind [Envelope.Check]: no dynamic factor, no safety basis.
func (e *Envelope) Transport(speed units.Speed) (TransportAnswer, error) {
	if e.k == nil {
		return TransportAnswer{}, noEnvelope()
	}
	var c units.FieldErrors
	if roadSpeed(&c, speed); c.Len() > 0 {
		return TransportAnswer{}, c.Err()
	}
	lift := Lift{Speed: speed}
	v := spread{e: e}
	v.q = e.k.loadCaseOn(&lift, stability.Influence{})
	v.bound()
	v.q.notes = e.k.notes
	v.tires(&lift)
	v.derive()
	state := StateLowered
	if !e.hasLoader {
		state = StateLoaderOff
	}
	st := v.state(state)
	var t [1]tally
	if v.rows || v.axlesOnly {
		w := tare{machine: e.machines(), states: [NumRechecks + 1]sumState{st}}
		e.loader(&w.loader[0], &st)
		if err := v.wheels(t[:], &w, 0); err != nil {
			return TransportAnswer{}, err
		}
	}
	v.unbounded(t[:])
	v.masses(&t[0], e.mass(&st), 0, 0)
	out := TransportAnswer{Library: units.Version, Notes: v.q.notes, Verdict: NoLimitExceeded,
		Cautions: CautionManual | CautionLevelGround | CautionStandstill | CautionEmptyAgain | CautionRoadRules | CautionTireMaker}
	if err := v.axles(&out.Axles, st, 0); err != nil {
		return TransportAnswer{}, err
	}
	if e.k.hitchAny {
		out.Cautions |= CautionRaisedOnly
	}
	for i, k := range transportLimits {
		l := v.transport(&t[0], &st, k, &out.Axles)
		if t[0].missing[k-1] {
			out.Missing |= setOf(k)
			out.Cautions |= CautionUnchecked
		}
		out.Limits[i] = l
		out.Verdict = out.Verdict.worse(l.Verdict)
	}
	return out, nil
}

// transport returns one limit of a transport.
func (v *spread) transport(t *tally, st *sumState, k LimitKind, axles *WheelLoadRanges) TransportCheck {
	e := v.e
	in, m := &e.in, &e.k.machine
	out := TransportCheck{Kind: k, Verdict: NoLimitExceeded}
	allowed := func(have units.Range[units.Mass], rating span) {
		out.Have, out.Allowed = have, massRange(span{max(0, rating.lo), max(0, rating.hi)})
	}
	worst := func(axle, left, right units.Range[units.Mass], single bool) units.Range[units.Mass] {
		if single {
			return axle
		}
		return units.Range[units.Mass]{Low: max(left.Low, right.Low), High: max(left.High, right.High)}
	}
	front := worst(axles.Front, axles.FrontLeft, axles.FrontRight, m.Front.Single)
	rear := worst(axles.Rear, axles.RearLeft, axles.RearRight, false)
	of := k // of what the tally knows the limit by
	switch k {
	case LimitRearward:
		allowed(axles.Front, span{})
	case LimitTipping:
		allowed(axles.Rear, span{})
		of = bareAxle
	case LimitSteered:
		allowed(axles.Front, v.steered(st, axles))
		if m.Steered.Base == SteeredUnknown {
			return out
		}
	case LimitFrontAxle:
		allowed(axles.Front, in[inFrontRating])
	case LimitRearAxle:
		allowed(axles.Rear, in[inRearRating])
	case LimitFrontRim:
		allowed(front, in[inFrontRim])
	case LimitRearRim:
		allowed(rear, in[inRearRim])
	case LimitFrontTire:
		allowed(front, v.front)
	case LimitRearTire:
		allowed(rear, v.rear)
	case LimitGross:
		allowed(axles.Total, in[inGross])
	case LimitHitch:
		load, _ := e.hitchLoad()
		allowed(massRange(load), in[inHitchRating])
	}
	i := of - 1
	switch {
	case k != LimitTipping && t.missing[i]:
		out.Verdict, out.Required = NeedsRatings, units.Mass(v.perPlate(k, t.required[i]))
	case !t.checked[i]:
		out.Verdict = CannotSay
	case t.high[i] < 0:
		out.Verdict = ExceedsLimit
	case t.low[i] < 0:
		out.Verdict = CannotSay
	}
	return out
}

// steered returns the least load of the steered axle by its rule.
func (v *spread) steered(st *sumState, axles *WheelLoadRanges) span {
	rule := &v.e.k.machine.Steered
	switch rule.Base {
	case SteeredOfLaden:
		return span{float64(axles.Total.Low), float64(axles.Total.High)}.times(float64(rule.Share))
	case SteeredOfUnladen:
		var machine, loader terms
		v.e.machine(&machine, v.e.in[inWheelbase].lo)
		v.e.loader(&loader, st)
		f := form{unladen: 1}
		return machine.over(&f).plus(v.e.sum(&f, &loader, st)).times(float64(rule.Share))
	}
	return span{}
}

// Transport says what the axles carry on the road and how every limit stands: see
// [Envelope.Transport]. What nobody gave is as in [UsualPractice].
func (s Setup) Transport(speed units.Speed) (TransportAnswer, error) {
	e, err := s.Envelope(Practice{})
	if err != nil {
		return TransportAnswer{}, err
	}
	return e.Transport(speed)
}

// LiftAt returns what the hitch may lift with the center of gravity at a
// distance behind the lower hitch points, 0 to 10 m. The rating R holds at
// e = 610 mm behind them (ISO 789-2:2018). Nearer than that it stays
// R: the hydraulics, the links and the pins were not tested with more.
// Farther out it is R e/d, the bound for a lift whose links turn about the
// hitch points themselves; the true figure of any linkage is no less. Notes
// say which of the two it was. A hitch without a rating is an error.
func (h Hitch) LiftAt(distance units.Length) (units.Mass, Notes, error) {
	var c units.FieldErrors
	valid.Required(&c, "rating", h.Rating, minMass, maxRating, "must be given: lift 610 mm behind the lower hitch points")
	valid.Within(&c, "distance", distance, 0, 10)
	see(&look{errs: &c}, "rating", &h.Rating, false)
	if err := c.Err(); err != nil {
		return 0, 0, err
	}
	ratio := hitchRatio(float64(distance))
	switch {
	case distance < hitchRatingDistance:
		return h.Rating.Value(), NoteLiftNotScaled, nil
	case ratio > 1:
		return units.Mass(float64(h.Rating.Value()) / ratio), NoteReachRatio, nil
	}
	return h.Rating.Value(), 0, nil
}

// hitchRatio returns by how much a mass counts more against the rating of a hitch at
// a distance behind its points than where the rating holds.
func hitchRatio(distance float64) float64 {
	return max(1, distance/float64(hitchRatingDistance))
}
