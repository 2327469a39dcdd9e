package ballast

import (
	"fmt"
	"math"
	"slices"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Shares of the rules for mounted implements and loaders. A share says
// nothing without its base.
const (
	// SteeredShare is the least load of the front axle as a share of the
	// UNLADEN mass of the tractor, 20 % (ISO 4254-10, Annex B form).
	SteeredShare units.Fraction = 0.20
	// RearShare is the least load of the rear axle as a share of the UNLADEN
	// mass of the tractor with a front implement, 45 % (the same form).
	RearShare units.Fraction = 0.45
	// LoaderRearShare is the least load of the rear axle as a share of the
	// TOTAL mass with a loaded front loader, 20 % (the common method of
	// front-loader operator's manuals).
	LoaderRearShare units.Fraction = 0.20
)

// Mounted is an implement or a ballast weight carried in full at one end of
// the tractor. One that rests on the ground or floats counts for nothing, or
// for the part carried.
type Mounted struct {
	// Mass is the mass carried, up to 100 t; zero means nothing is there.
	Mass units.Mass `json:"mass,omitempty" zero:"value"`
	// Distance is 1 mm to 10 m. In front it runs from the front axle ahead to
	// the center of gravity of what is carried ("a" in ISO 4254-10, Annex B).
	// Behind it runs from the lower hitch points back to the center of
	// gravity ("d"). It must be given where Mass is.
	Distance units.Length `json:"distance,omitempty"`
}

// Transport is a tractor with mounted implements or weights at either end,
// standing level, as it goes on the road. Zero means "not given" for every
// field: what an answer needs is then an error that names the field, and a
// limit whose rating is missing is [stability.NotChecked].
//
// The axle loads are those of the tractor without the two things mounted:
// T_F and T_R of ISO 4254-10, Annex B, whose sum is the unladen mass T_E.
// Ballast that is part of the weighed tractor, such as liquid in the tires,
// is part of them.
type Transport struct {
	// FrontLoad is what a scale under the front axle reads (T_F), 1 kg to 100 t.
	FrontLoad units.Mass `json:"frontLoad"`
	// RearLoad is what a scale under the rear axle reads (T_R), 1 kg to 100 t.
	RearLoad units.Mass `json:"rearLoad"`
	// Wheelbase is the distance between the axles (b), 0.5 m to 10 m.
	Wheelbase units.Length `json:"wheelbase"`
	// Hitch is the rear hitch. Its X is negative, behind the rear axle, -5 to
	// -0.01 m: -X is the distance c of the standard. It is needed for
	// anything behind.
	Hitch Hitch `json:"hitch,omitzero"`
	// Ahead is what the front carries.
	Ahead Mounted `json:"ahead,omitzero"`
	// Behind is what the rear hitch carries, raised.
	Behind Mounted `json:"behind,omitzero"`

	// Steered is the least load of the steered front axle. If its base is not
	// chosen, the minimum ballast follows the form of ISO 4254-10, Annex B
	// (the constant SteeredShare of the unladen mass), and the answer says
	// so.
	Steered SteeredRule `json:"steered,omitzero"`
	// Front is the front axle's ratings.
	Front Axle `json:"front,omitzero"`
	// Rear is the rear axle's ratings.
	Rear Axle `json:"rear,omitzero"`
	// GrossRating is the permissible total mass, 1 kg to 200 t; zero means
	// not checked.
	GrossRating units.Mass `json:"grossRating,omitempty"`
	// Speed is the road speed, up to 80 km/h; zero means unknown, and what a
	// tire with a speed symbol carries is then an upper bound.
	Speed units.Speed `json:"speed,omitempty"`
}

// Transport returns the road transport of this machine as it was weighed,
// with nothing mounted yet: its axle loads, wheelbase, hitch and ratings. The
// machine needs FrontLoad and RearLoad, or Mass and CG.X.
func (m Machine) Transport() (Transport, error) {
	if err := m.Validate(); err != nil {
		return Transport{}, err
	}
	if err := singles(&m); err != nil {
		return Transport{}, err
	}
	mass, x := m.mass(), m.cgX()
	front := units.Mass(float64(mass) * float64(x) / float64(m.Wheelbase.Value()))
	return Transport{
		FrontLoad: front, RearLoad: mass - front,
		Wheelbase: m.Wheelbase.Value(), Hitch: m.Hitch,
		Steered: m.Steered, Front: m.front(), Rear: m.Rear, GrossRating: m.GrossRating.Value(),
	}, nil
}

// Validate reports every bad field by its path, or nil.
func (t Transport) Validate() error { return t.validate(false, false) }

func (t *Transport) validate(needAhead, needBehind bool) error {
	var c units.FieldErrors
	valid.Given(&c, "frontLoad", t.FrontLoad, minMass, maxMass, "must be given: the front axle on a scale")
	valid.Given(&c, "rearLoad", t.RearLoad, minMass, maxMass, "must be given: the rear axle on a scale")
	valid.Given(&c, "wheelbase", t.Wheelbase, minBase, maxBase, "must be given: rear to front axle")
	valid.Optional(&c, "hitch.x", t.Hitch.X, -5, -0.01)
	valid.Optional(&c, "hitch.rating", t.Hitch.Rating, minMass, maxRating)
	t.Ahead.validate(&c, "ahead", needAhead)
	t.Behind.validate(&c, "behind", needBehind)
	if t.Hitch.X.Unknown() && (needBehind || t.Behind.Mass != 0) {
		c.Add("hitch.x", nil, "must be given: lower hitch points, negative behind the rear axle")
	}
	c.Join("steered", t.Steered.Validate())
	c.Join("front", t.Front.Validate())
	c.Join("rear", t.Rear.Validate())
	valid.ZeroOr(&c, "grossRating", t.GrossRating, minMass, maxRating)
	valid.ZeroOr(&c, "speed", t.Speed, 0.01, 80*units.KilometerPerHour)
	return c.Err()
}

// check validates a transport that is counted with.
func (t *Transport) check(needAhead, needBehind bool) error {
	if err := t.validate(needAhead, needBehind); err != nil {
		return err
	}
	return singles(t)
}

func (m *Mounted) validate(c *units.FieldErrors, path string, need bool) {
	valid.Within(c, path+".mass", m.Mass, 0, maxMass)
	if need || m.Mass != 0 {
		valid.Given(c, path+".distance", m.Distance, 0.001, 10, "must be given: where the center of gravity is; for one on the spot give 1 mm")
	} else {
		valid.ZeroOr(c, path+".distance", m.Distance, 0.001, 10)
	}
}

// AxleLoads is what the axles of a level, standing machine carry, as scales
// would read it.
type AxleLoads struct {
	// Front is the front axle load. A negative one means that the front axle
	// has lifted: the machine does not stand like this, and the figure is
	// what the axle lacks.
	Front units.Mass `json:"front"`
	// Rear is the rear axle load; negative as for Front.
	Rear units.Mass `json:"rear"`
	// Unladen is the mass of the machine without what is mounted on it.
	Unladen units.Mass `json:"unladen"`
}

// Total returns the laden mass: Front + Rear.
func (l AxleLoads) Total() units.Mass { return l.Front + l.Rear }

// SteeredShare returns the front axle load as a share of the named base.
// There is no share without a base: [SteeredUnknown] is an error.
func (l AxleLoads) SteeredShare(base SteeredBase) (units.Fraction, error) {
	of := l.Unladen
	switch base {
	case SteeredOfUnladen:
	case SteeredOfLaden:
		of = l.Total()
	default:
		return 0, &units.FieldError{Path: "base", Value: base.String(), Want: choice.Want(steeredBaseNames[1:])}
	}
	return share(l.Front, of)
}

func finite(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// RearShareOfTotal returns the rear axle load as a share of the TOTAL mass:
// the figure that [LoaderRearShare] is held against. It is another rule than
// that of the steered axle.
func (l AxleLoads) RearShareOfTotal() (units.Fraction, error) { return share(l.Rear, l.Total()) }

func share(part, of units.Mass) (units.Fraction, error) {
	if !(of > 0) || !finite(float64(of)) || !finite(float64(part)/float64(of)) {
		return 0, &units.FieldError{Path: "loads", Value: fmt.Sprintf("%s of %s", valid.Show(part), valid.Show(of)), Want: "must have a positive, finite base"}
	}
	return units.Fraction(float64(part) / float64(of)), nil
}

// Loads returns the actual axle loads with what is mounted. Held by
// TestValidation.
//
//	front = [I_F (a + b) + T_F b - I_R (c + d)] / b
//	rear  = [T_R b + I_R (b + c + d) - I_F a] / b
//
// with I_F and I_R the masses ahead and behind, a and d their distances, b
// the wheelbase and c the distance from the rear axle to the lower hitch
// points (ISO 4254-10, Annex B form; a moment balance). A manual with
// "- T_F b" in the first line has a misprint.
func (t Transport) Loads() (AxleLoads, error) {
	if err := t.check(false, false); err != nil {
		return AxleLoads{}, err
	}
	return t.loads(t.Ahead.Mass, t.Behind.Mass), nil
}

func (t *Transport) loads(ahead, behind units.Mass) AxleLoads {
	l := AxleLoads{Front: t.FrontLoad, Rear: t.RearLoad, Unladen: t.FrontLoad + t.RearLoad}
	l = l.with(ahead, t.Wheelbase+t.Ahead.Distance, t.Wheelbase)
	return l.with(behind, -units.Length(t.overhang()), t.Wheelbase)
}

// with returns the loads with a mass put on that far ahead of the rear axle: the
// one lever of axle loads without a machine.
func (l AxleLoads) with(m units.Mass, x, wheelbase units.Length) AxleLoads {
	front := units.Mass(float64(m) * float64(x) / float64(wheelbase))
	l.Front, l.Rear = l.Front+front, l.Rear+(m-front)
	return l
}

// overhang returns c + d, from the rear axle to what hangs behind.
func (t *Transport) overhang() float64 { return float64(t.Behind.Distance - t.Hitch.X.Value()) }

// BallastNeed says whether ballast is needed. In JSON: "unknown", "none" or
// "some".
type BallastNeed uint8

// Whether ballast is needed.
const (
	// BallastNeedUnknown is the zero value: nothing was computed.
	BallastNeedUnknown BallastNeed = iota
	// NeedNone means that the rule holds without ballast at that end.
	NeedNone
	// NeedSome means that at least the mass of the answer is needed.
	NeedSome
)

var ballastNeedNames = []string{"unknown", "none", "some"}

// MinimumBallast is the least mass that must be carried at one end.
type MinimumBallast struct {
	// Need says whether any is needed: the formula's negative answer is
	// NeedNone, not a mass.
	Need BallastNeed `json:"need"`
	// Mass is the least mass, 0 if none is needed. Round it up when shown.
	Mass units.Mass `json:"mass"`
	// Spare is what the axle carries beyond the rule without any ballast at
	// that end; 0 if some is needed.
	Spare units.Mass `json:"spare"`
	// Share is the share of the rule, such as 0.2.
	Share units.Fraction `json:"share"`
	// Base is what Share is a share of.
	Base SteeredBase `json:"base"`
	// Loads are the axle loads with Mass put on and nothing else at that end.
	Loads AxleLoads `json:"loads"`
	// Notes say how the answer was reached.
	Notes Notes `json:"notes,omitempty"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
}

const mountedCautions = CautionManual | CautionLevelGround | CautionStandstill | CautionEmptyAgain | CautionRoadRules

// FrontBallast returns the least mass at Ahead.Distance with which the front
// axle keeps its share with the implement behind raised. For the share s of
// the unladen mass T_E (ISO 4254-10, Annex B form)
//
//	I_F = [I_R (c + d) - T_F b + s T_E b] / (a + b)
//
// and for the share of the laden mass, which grows with the ballast itself,
//
//	I_F = [I_R (c + d) - T_F b + s (T_E + I_R) b] / (a + b - s b).
//
// Ahead.Mass is left out: the answer is the whole mass at that place. Held by
// TestValidation.
func (t Transport) FrontBallast() (MinimumBallast, error) {
	if err := t.check(true, t.Behind.Mass != 0); err != nil {
		return MinimumBallast{}, err
	}
	rule, notes := t.Steered, Notes(0)
	if rule.Base == SteeredUnknown {
		rule, notes = SteeredRule{Base: SteeredOfUnladen, Share: SteeredShare}, NoteRuleAssumed
	}
	bare := t.loads(0, t.Behind.Mass)
	a, b, s := float64(t.Ahead.Distance), float64(t.Wheelbase), float64(rule.Share)
	// By how much the front axle falls short, and what a kilogram ahead mends.
	lack, gain := s*float64(bare.Unladen)-float64(bare.Front), (a+b)/b
	if rule.Base == SteeredOfLaden {
		lack, gain = s*float64(bare.Total())-float64(bare.Front), (a+b)/b-s
	}
	out := minimum(lack, gain)
	out.Share, out.Base, out.Notes = rule.Share, rule.Base, notes
	out.Loads = t.loads(out.Mass, t.Behind.Mass)
	return out, nil
}

// RearBallast returns the least mass at Behind.Distance with which the rear
// axle keeps [RearShare] of the unladen mass with the front implement raised:
//
//	I_R = [I_F a - T_R b + 0.45 T_E b] / (b + c + d)
//
// (ISO 4254-10, Annex B form). Held by TestValidation. Behind.Mass is left out: the answer is the
// whole mass at that place. It is not the rule for front loaders: see
// [Counterweight].
func (t Transport) RearBallast() (MinimumBallast, error) {
	if err := t.check(t.Ahead.Mass != 0, true); err != nil {
		return MinimumBallast{}, err
	}
	bare := t.loads(t.Ahead.Mass, 0)
	b := float64(t.Wheelbase)
	out := minimum(float64(RearShare)*float64(bare.Unladen)-float64(bare.Rear), (b+t.overhang())/b)
	out.Share, out.Base = RearShare, SteeredOfUnladen
	out.Loads = t.loads(t.Ahead.Mass, out.Mass)
	return out, nil
}

// rounding is a mass in kilograms below which nothing is lacking: what the
// arithmetic leaves differs between processors.
const rounding = 1e-9

// minimum returns the mass that mends a lack, at a gain per kilogram that is
// positive for every valid input.
func minimum(lack, gain float64) MinimumBallast {
	if lack <= rounding {
		return MinimumBallast{Need: NeedNone, Spare: units.Mass(max(0, -lack)), Cautions: mountedCautions}
	}
	return MinimumBallast{Need: NeedSome, Mass: units.Mass(lack / gain), Cautions: mountedCautions | CautionRaisedOnly}
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
	// Status says how it stands; NotChecked if its rating was not given,
	// CannotOccur if it is declared absent, AtMost
	// if Allowed is an upper bound of what is allowed and Have is no more.
	Status stability.Status `json:"status"`
	// Have is the mass there is: an axle's load, the total, or what hangs on
	// the hitch.
	Have units.Mass `json:"have"`
	// Allowed is the most, or for the lifts and the steered share the least,
	// that Have may be; 0 if not checked, and for tires that are not rated at
	// this speed. An upper bound where Status is AtMost.
	Allowed units.Mass `json:"allowed"`
}

// TransportAnswer says what the axles carry and how every limit stands.
type TransportAnswer struct {
	// Loads are the axle loads with what is mounted.
	Loads AxleLoads `json:"loads"`
	// Limits has one entry for each limit: rearward (the front axle leaving the
	// ground), tipping (the rear axle), steered, and what front and rear axle,
	// wheels, tires, the machine and the hitch may carry. See [TransportAnswer.Of].
	Limits [len(transportLimits)]TransportCheck `json:"limits"`
	// Status is Exceeded if any limit is; NotChecked if none is and what a tire
	// carries is known as an upper bound only, because its pressure is not
	// known or below its maker's table; and else Within. Other limits that
	// were not checked are not in it: see Unchecked.
	Status stability.Status `json:"status"`
	// Verdict is [NoLimitExceeded] only where every rating that matters is given
	// or declared absent and no limit is exceeded; the rule of the steered axle is
	// chosen and no rating.
	Verdict Verdict `json:"verdict"`
	// Unchecked is how many limits were not checked, or are known as an upper
	// bound only that is not reached.
	Unchecked int `json:"unchecked"`
	// Notes say how the answer was reached.
	Notes Notes `json:"notes"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
}

// verdict returns the verdict of one limit; of the hitch it matters whether anything
// hangs behind.
func (c *TransportCheck) verdict(behind bool) Verdict {
	switch c.Status {
	case stability.Exceeded:
		return ExceedsLimit
	case stability.AtMost:
		return CannotSay
	case stability.NotChecked:
		if c.Kind != LimitSteered && (c.Kind != LimitHitch || behind) {
			return NeedsRatings
		}
	}
	return NoLimitExceeded
}

// Of returns the limit of a kind; of one that no transport has, the zero value.
func (a *TransportAnswer) Of(k LimitKind) TransportCheck {
	for _, c := range a.Limits {
		if c.Kind == k {
			return c
		}
	}
	return TransportCheck{}
}

// set puts a limit in its place.
func (a *TransportAnswer) set(c TransportCheck) {
	a.Limits[slices.Index(transportLimits[:], c.Kind)] = c
}

// Check holds the axle loads of this transport against every limit whose
// rating is given. The steered share is checked only if Steered names its
// base.
func (t Transport) Check() (TransportAnswer, error) {
	if err := t.check(false, false); err != nil {
		return TransportAnswer{}, err
	}
	out := TransportAnswer{Loads: t.loads(t.Ahead.Mass, t.Behind.Mass), Cautions: mountedCautions | CautionTireMaker}
	l := out.Loads
	least := func(k LimitKind, have, allowed units.Mass) {
		out.set(TransportCheck{Kind: k, Status: compare(allowed, have), Have: have, Allowed: allowed})
	}
	most := func(k LimitKind, have, allowed units.Mass, absent bool) {
		c := TransportCheck{Kind: k, Have: have}
		switch {
		case allowed > 0:
			c.Status, c.Allowed = compare(have, allowed), allowed
		case absent:
			c.Status = stability.CannotOccur
		}
		out.set(c)
	}
	least(LimitRearward, l.Front, 0)
	least(LimitTipping, l.Rear, 0)
	out.set(TransportCheck{Kind: LimitSteered, Have: l.Front})
	switch t.Steered.Base {
	case SteeredOfUnladen:
		least(LimitSteered, l.Front, units.Mass(float64(t.Steered.Share)*float64(l.Unladen)))
	case SteeredOfLaden:
		least(LimitSteered, l.Front, units.Mass(float64(t.Steered.Share)*float64(l.Total())))
	}
	most(LimitFrontAxle, l.Front, t.Front.Rating.Value(), t.Front.Rating.Absent())
	most(LimitRearAxle, l.Rear, t.Rear.Rating.Value(), t.Rear.Rating.Absent())
	most(LimitFrontRim, l.Front, units.Mass(t.Front.places())*t.Front.WheelRating.Value(), t.Front.WheelRating.Absent())
	most(LimitRearRim, l.Rear, units.Mass(t.Rear.places())*t.Rear.WheelRating.Value(), t.Rear.WheelRating.Absent())
	out.tires(LimitFrontTire, l.Front, &t.Front, t.Speed)
	out.tires(LimitRearTire, l.Rear, &t.Rear, t.Speed)
	most(LimitGross, l.Total(), t.GrossRating, false)
	allowed := units.Mass(0)
	if t.Hitch.Rating.Value() > 0 {
		var n Notes
		if allowed, n = t.Hitch.liftAt(t.Behind.Distance); t.Behind.Mass > 0 {
			out.Notes |= n
		}
	}
	most(LimitHitch, t.Behind.Mass, allowed, t.Hitch.Rating.Absent())
	for _, m := range []Mounted{t.Ahead, t.Behind} {
		if m.Distance != 0 && m.Mass == 0 {
			out.Notes |= NoteNothingMounted
		}
	}
	out.Status = stability.Within
	if out.Notes&(NoteBelowLowestPressure|NotePressureUnknown) != 0 {
		out.Status = stability.NotChecked
	}
	out.Verdict = NoLimitExceeded
	for _, c := range out.Limits {
		out.Verdict = out.Verdict.worse(c.verdict(t.Behind.Mass > 0))
	}
	for _, c := range out.Limits {
		switch c.Status {
		case stability.NotChecked, stability.AtMost:
			out.Unchecked++
		case stability.Exceeded:
			out.Status = stability.Exceeded
		}
	}
	return out, nil
}

// compare says how a mass stands to the most it may be. One that meets it
// within 1e-9, relative or in kilograms, is within.
func compare(have, most units.Mass) stability.Status {
	if float64(have-most) > 1e-9*max(1, math.Abs(float64(most))) {
		return stability.Exceeded
	}
	return stability.Within
}

// tires holds an axle load against what its tires may carry at the speed. A
// load index says nothing where the speed is not known, and a speed beyond
// the symbol is not rated at all.
func (out *TransportAnswer) tires(kind LimitKind, have units.Mass, a *Axle, speed units.Speed) {
	t := compileTire(a)
	load, status, notes := t.capacity(speed, BasicService, 1)
	out.Notes |= notes
	c := TransportCheck{Kind: kind, Have: have, Status: status}
	if load > 0 {
		c.Allowed = units.Mass(a.places() * load)
		if s := compare(have, c.Allowed); status == stability.Within || s == stability.Exceeded {
			c.Status = s
		}
	}
	out.set(c)
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
	m, n := h.liftAt(distance)
	return m, n, nil
}

func (h *Hitch) liftAt(distance units.Length) (units.Mass, Notes) {
	switch {
	case distance < hitchRatingDistance:
		return h.Rating.Value(), NoteLiftNotScaled
	case distance > hitchRatingDistance:
		return units.Mass(float64(h.Rating.Value()) * float64(hitchRatingDistance) / float64(distance)), NoteReachRatio
	}
	return h.Rating.Value(), 0
}

// Counterweight is a tractor with a loaded front loader that wants a weight
// on the rear hitch. It is the common method of front-loader operator's
// manuals: the share is of the TOTAL mass, unlike that of [Transport].
type Counterweight struct {
	// FrontLoad is the front axle load with the loader on and nothing in it
	// (G1), 1 kg to 100 t.
	FrontLoad units.Mass `json:"frontLoad"`
	// RearLoad is the rear axle load in that state (G), 1 kg to 100 t.
	RearLoad units.Mass `json:"rearLoad"`
	// Wheelbase is the distance between the axles (l2), 0.5 m to 10 m.
	Wheelbase units.Length `json:"wheelbase"`
	// Payload is the load lifted (N), up to 100 t.
	Payload units.Mass `json:"payload"`
	// Ahead is how far the load's center is ahead of the front axle (b) where
	// the arm reaches farthest, 1 mm to 20 m. It must be given with a
	// payload.
	Ahead units.Length `json:"ahead"`
	// Behind is how far the weight's center is behind the rear axle (l1),
	// 1 mm to 10 m. It must be given.
	Behind units.Length `json:"behind"`
	// Share is the least rear axle load as a share of the total mass, 0.05 to
	// 0.9; zero means LoaderRearShare.
	Share units.Fraction `json:"share,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (w Counterweight) Validate() error {
	var c units.FieldErrors
	valid.Given(&c, "frontLoad", w.FrontLoad, minMass, maxMass, "must be given: the front axle on a scale")
	valid.Given(&c, "rearLoad", w.RearLoad, minMass, maxMass, "must be given: the rear axle on a scale")
	valid.Given(&c, "wheelbase", w.Wheelbase, minBase, maxBase, "must be given: rear to front axle")
	valid.Within(&c, "payload", w.Payload, 0, maxMass)
	if w.Payload != 0 {
		valid.Given(&c, "ahead", w.Ahead, 0.001, maxLength, "must be given: the load's center ahead of the front axle")
	} else {
		valid.ZeroOr(&c, "ahead", w.Ahead, 0.001, maxLength)
	}
	valid.Given(&c, "behind", w.Behind, 0.001, 10, "must be given: the weight's center behind the rear axle")
	valid.ZeroOr(&c, "share", w.Share, 0.05, 0.9)
	return c.Err()
}

// CounterweightAnswer is the least weight behind a loaded front loader.
type CounterweightAnswer struct {
	// Need says whether any is needed.
	Need BallastNeed `json:"need"`
	// Mass is the least weight, 0 if none is needed. Round it up when shown.
	Mass units.Mass `json:"mass"`
	// RearShare is the rear axle's share of the total mass with Mass put on.
	RearShare units.Fraction `json:"rearShare"`
	// Loads are the axle loads with Mass put on. Unladen is the tractor with
	// its empty loader.
	Loads AxleLoads `json:"loads"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
}

// Minimum returns the least weight with which the rear axle keeps its share s
// of the total mass, loaded:
//
//	M = [s (G + G1 + N) - G + N b/l2] / [(l1 + l2)/l2 - s].
//
// Held by TestValidation. Check the machine again without the payload, where the
// weight loads the rear axle and unloads the front.
func (w Counterweight) Minimum() (CounterweightAnswer, error) {
	if err := w.Validate(); err != nil {
		return CounterweightAnswer{}, err
	}
	s := float64(w.Share)
	if s == 0 {
		s = float64(LoaderRearShare)
	}
	bare := AxleLoads{Front: w.FrontLoad, Rear: w.RearLoad, Unladen: w.FrontLoad + w.RearLoad}
	bare = bare.with(w.Payload, w.Wheelbase+w.Ahead, w.Wheelbase)
	// By how much the rear axle falls short, and what a kilogram behind mends.
	lack := s*float64(bare.Total()) - float64(bare.Rear)
	gain := float64(w.Behind+w.Wheelbase)/float64(w.Wheelbase) - s
	out := CounterweightAnswer{Need: NeedNone, Cautions: CautionManual | CautionLevelGround | CautionStandstill | CautionEmptyAgain}
	if m := lack / gain; m > rounding {
		out.Need, out.Mass = NeedSome, units.Mass(m)
		out.Cautions |= CautionRaisedOnly
	}
	out.Loads = bare.with(out.Mass, -w.Behind, w.Wheelbase)
	out.RearShare = units.Fraction(float64(out.Loads.Rear) / float64(out.Loads.Total()))
	return out, nil
}
