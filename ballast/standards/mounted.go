package standards

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Least shares of the axles. A share says nothing without its base.
const (
	// SteeredShare is the least load of the front axle as a share of the UNLADEN
	// mass of the tractor, 20 % (ISO 4254-10, Annex B form).
	SteeredShare units.Fraction = 0.20
	// RearShare is the least load of the rear axle as a share of the UNLADEN mass of
	// the tractor with a front implement, 45 % (the same form).
	RearShare units.Fraction = 0.45
	// LoaderRearShare is the least load of the rear axle as a share of the TOTAL mass
	// with a loaded front loader, 20 % (the common method of front-loader operator's
	// manuals).
	LoaderRearShare units.Fraction = 0.20
)

// Implement is an implement or a ballast weight that is carried in full at one end of
// the tractor. One that rests on the ground or floats counts for nothing, or for the
// part that is carried.
type Implement struct {
	// Mass is the mass that is carried, 0 to 100 t; zero means that nothing is there.
	Mass units.Mass `json:"mass,omitempty"`
	// Distance is 1 mm to 10 m and must be given with Mass. In front it is the
	// distance from the front axle forward to the center of gravity of what is
	// carried ("a" in ISO 4254-10, Annex B). Behind it is the distance from the lower
	// hitch points back to the center of gravity ("d").
	Distance units.Length `json:"distance,omitempty"`
}

func (m *Implement) validate(c *units.FieldErrors, path string, need bool) {
	valid.Within(c, path+".mass", m.Mass, 0, valid.MaxMass)
	if need || m.Mass != 0 {
		valid.Given(c, path+".distance", m.Distance, 0.001, 10, "must be given; it is where the center of gravity is, and 1 mm if it is on the spot")
	} else {
		valid.ZeroOr(c, path+".distance", m.Distance, 0.001, 10)
	}
}

// weighed records what is wrong with two axle loads and a wheelbase.
func weighed(c *units.FieldErrors, front, rear units.Mass, wheelbase units.Length) {
	valid.Given(c, "frontLoad", front, valid.MinMass, valid.MaxMass, "must be given; it is the front axle load on a scale")
	valid.Given(c, "rearLoad", rear, valid.MinMass, valid.MaxMass, "must be given; it is the rear axle load on a scale")
	valid.Given(c, "wheelbase", wheelbase, valid.MinWheelbase, valid.MaxWheelbase, "must be given; it is the distance from the rear to the front axle")
}

// MountedImplements is a tractor with an implement or a weight at one end or at both, as it
// stands on level ground: the arrangement of ISO 4254-10, Annex B.
//
// The axle loads are those of the tractor without the two things: T_F and T_R of the
// standard, whose sum is the unladen mass T_E. They include ballast that was on the
// tractor when it was weighed, such as liquid in the tires. Ratings of axles, tires
// and hitch are not checked here: use ballast.Transport.
type MountedImplements struct {
	// FrontLoad is what a scale under the front axle reads (T_F), 1 kg to 100 t.
	FrontLoad units.Mass `json:"frontLoad"`
	// RearLoad is what a scale under the rear axle reads (T_R), 1 kg to 100 t.
	RearLoad units.Mass `json:"rearLoad"`
	// Wheelbase is the distance between the axles (b), 0.5 m to 10 m.
	Wheelbase units.Length `json:"wheelbase"`
	// Hitch is the distance from the rear axle back to the lower hitch points (c),
	// 1 cm to 5 m. It must be given if anything is carried behind.
	Hitch units.Length `json:"hitch,omitempty"`
	// Ahead is what the front carries.
	Ahead Implement `json:"ahead,omitzero"`
	// Behind is what the rear hitch carries, raised.
	Behind Implement `json:"behind,omitzero"`
	// Share is the least load of the front axle as a share of the unladen mass, 0.05 to
	// 0.9; zero means [SteeredShare].
	Share units.Fraction `json:"share,omitempty"`
	// OfLaden says that Share is a share of the mass with everything that is carried,
	// as some rules of the road have it.
	OfLaden bool `json:"ofLaden,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (t MountedImplements) Validate() error { return t.validate(false, false) }

func (t *MountedImplements) validate(needAhead, needBehind bool) error {
	var c units.FieldErrors
	weighed(&c, t.FrontLoad, t.RearLoad, t.Wheelbase)
	t.Ahead.validate(&c, "ahead", needAhead)
	t.Behind.validate(&c, "behind", needBehind)
	if needBehind || t.Behind.Mass != 0 {
		valid.Given(&c, "hitch", t.Hitch, 0.01, 5, "must be given; it is the distance from the rear axle back to the lower hitch points")
	} else {
		valid.ZeroOr(&c, "hitch", t.Hitch, 0.01, 5)
	}
	valid.ZeroOr(&c, "share", t.Share, 0.05, 0.9)
	return c.Err()
}

// AxleLoads is what the axles of a level, standing tractor carry, as scales would
// read it.
type AxleLoads struct {
	// Front is the front axle load. A negative one means that the front axle has
	// lifted: the tractor does not stand like this, and the figure is what the axle
	// lacks.
	Front units.Mass `json:"front"`
	// Rear is the rear axle load; negative as for Front.
	Rear units.Mass `json:"rear"`
	// Unladen is the mass of the tractor without what is mounted on it.
	Unladen units.Mass `json:"unladen"`
}

// Total returns the laden mass: Front + Rear.
func (l AxleLoads) Total() units.Mass { return l.Front + l.Rear }

// FrontOfUnladen returns the front axle load as a share of the unladen mass; 0 if
// there is no such mass. [SteeredShare] is a share of this kind.
func (l AxleLoads) FrontOfUnladen() units.Fraction { return share(l.Front, l.Unladen) }

// FrontOfLaden returns the front axle load as a share of the laden mass; 0 if there is
// no such mass.
func (l AxleLoads) FrontOfLaden() units.Fraction { return share(l.Front, l.Total()) }

// RearOfLaden returns the rear axle load as a share of the laden mass; 0 if there is no
// such mass. [LoaderRearShare] is a share of this kind.
func (l AxleLoads) RearOfLaden() units.Fraction { return share(l.Rear, l.Total()) }

func share(part, of units.Mass) units.Fraction {
	if s := float64(part) / float64(of); of > 0 && s-s == 0 {
		return units.Fraction(s)
	}
	return 0
}

// with returns the loads with a mass put on that far ahead of the rear axle.
func (l AxleLoads) with(m units.Mass, x, wheelbase units.Length) AxleLoads {
	front := units.Mass(float64(m) * float64(x) / float64(wheelbase))
	l.Front, l.Rear = l.Front+front, l.Rear+(m-front)
	return l
}

// Loads returns the axle loads with what is mounted. Held by TestValidation.
//
//	front = [I_F (a + b) + T_F b - I_R (c + d)] / b
//	rear  = [T_R b + I_R (b + c + d) - I_F a] / b
//
// I_F and I_R are the masses ahead and behind, a and d their distances, b is the
// wheelbase and c the distance from the rear axle to the lower hitch points (ISO
// 4254-10, Annex B form; a moment balance). A manual with "- T_F b" in the first line
// has a misprint.
func (t MountedImplements) Loads() (AxleLoads, error) {
	if err := t.Validate(); err != nil {
		return AxleLoads{}, err
	}
	return t.loads(t.Ahead.Mass, t.Behind.Mass), nil
}

func (t *MountedImplements) loads(ahead, behind units.Mass) AxleLoads {
	l := AxleLoads{Front: t.FrontLoad, Rear: t.RearLoad, Unladen: t.FrontLoad + t.RearLoad}
	l = l.with(ahead, t.Wheelbase+t.Ahead.Distance, t.Wheelbase)
	return l.with(behind, -t.overhang(), t.Wheelbase)
}

// overhang returns c + d, from the rear axle to what hangs behind.
func (t *MountedImplements) overhang() units.Length { return t.Hitch + t.Behind.Distance }

// MinimumBallast is the least mass that must be carried at one end.
type MinimumBallast struct {
	// Mass is the least mass, 0 if none is needed: a negative result of the formula
	// is not a mass. Round it up when shown.
	Mass units.Mass `json:"mass"`
	// Spare is what the axle carries beyond the rule without any ballast at that end;
	// 0 if some is needed.
	Spare units.Mass `json:"spare"`
	// Share is the share of the rule, such as 0.2.
	Share units.Fraction `json:"share"`
	// OfLaden says that Share is a share of the laden mass, and not of the unladen one.
	OfLaden bool `json:"ofLaden"`
	// Loads are the axle loads with Mass put on and nothing else at that end.
	Loads AxleLoads `json:"loads"`
	// Cautions belong to the answer.
	Cautions Cautions `json:"cautions"`
}

const mountedCautions = CautionManual | CautionLevelGround | CautionStandstill | CautionEmptyAgain

// rounding is a mass in kilograms below which nothing is lacking: what the arithmetic
// leaves differs between processors.
const rounding = 1e-9

// minimum returns the mass that mends a lack, at a gain per kilogram that is positive
// for every valid input.
func minimum(lack, gain float64) MinimumBallast {
	if lack <= rounding {
		return MinimumBallast{Spare: units.Mass(max(0, -lack)), Cautions: mountedCautions}
	}
	return MinimumBallast{Mass: units.Mass(lack / gain), Cautions: mountedCautions | CautionRaisedOnly}
}

// FrontBallast returns the least mass at Ahead.Distance with which the front axle keeps
// its share with the implement behind raised. For a share s of the unladen mass T_E
// (ISO 4254-10, Annex B form)
//
//	I_F = [I_R (c + d) - T_F b + s T_E b] / (a + b)
//
// and for a share of the laden mass, which grows with the ballast itself,
//
//	I_F = [I_R (c + d) - T_F b + s (T_E + I_R) b] / (a + b - s b).
//
// Ahead.Mass is left out: the answer is the whole mass at that place. Held by
// TestValidation.
func (t MountedImplements) FrontBallast() (MinimumBallast, error) {
	if err := t.validate(true, t.Behind.Mass != 0); err != nil {
		return MinimumBallast{}, err
	}
	if t.Share == 0 {
		t.Share = SteeredShare
	}
	bare := t.loads(0, t.Behind.Mass)
	a, b, s := float64(t.Ahead.Distance), float64(t.Wheelbase), float64(t.Share)
	// By how much the front axle falls short, and what a kilogram ahead mends.
	lack, gain := s*float64(bare.Unladen)-float64(bare.Front), (a+b)/b
	if t.OfLaden {
		lack, gain = s*float64(bare.Total())-float64(bare.Front), (a+b)/b-s
	}
	out := minimum(lack, gain)
	out.Cautions |= CautionRoadRules
	out.Share, out.OfLaden = t.Share, t.OfLaden
	out.Loads = t.loads(out.Mass, t.Behind.Mass)
	return out, nil
}

// RearBallast returns the least mass at Behind.Distance with which the rear axle keeps
// [RearShare] of the unladen mass with the front implement raised:
//
//	I_R = [I_F a - T_R b + 0.45 T_E b] / (b + c + d)
//
// (ISO 4254-10, Annex B form). Behind.Mass is left out: the answer is the whole mass at
// that place. It is not the rule for front loaders: see [Counterweight]. Held by
// TestValidation.
func (t MountedImplements) RearBallast() (MinimumBallast, error) {
	if err := t.validate(t.Ahead.Mass != 0, true); err != nil {
		return MinimumBallast{}, err
	}
	bare := t.loads(t.Ahead.Mass, 0)
	out := minimum(float64(RearShare)*float64(bare.Unladen)-float64(bare.Rear), float64((t.Wheelbase+t.overhang())/t.Wheelbase))
	out.Cautions |= CautionRoadRules
	out.Share = RearShare
	out.Loads = t.loads(t.Ahead.Mass, out.Mass)
	return out, nil
}

// Counterweight is a tractor with a loaded front loader and a weight on the rear hitch,
// by the common method of front-loader operator's manuals: the share is of the TOTAL
// mass, unlike that of [MountedImplements]. It knows nothing of the loader's lift and of ratings:
// use ballast.Setup.UsableLoad for those.
type Counterweight struct {
	// FrontLoad is the front axle load with the loader on and nothing in it (G1),
	// 1 kg to 100 t.
	FrontLoad units.Mass `json:"frontLoad"`
	// RearLoad is the rear axle load in that state (G), 1 kg to 100 t.
	RearLoad units.Mass `json:"rearLoad"`
	// Wheelbase is the distance between the axles (l2), 0.5 m to 10 m.
	Wheelbase units.Length `json:"wheelbase"`
	// Payload is the load lifted (N), up to 100 t.
	Payload units.Mass `json:"payload"`
	// Ahead is the distance from the front axle forward to the load's center (b) where
	// the arm reaches farthest, 1 mm to 20 m. It must be given with a payload.
	Ahead units.Length `json:"ahead"`
	// Behind is the distance from the rear axle back to the weight's center (l1), 1 mm
	// to 10 m. It must be given.
	Behind units.Length `json:"behind"`
	// Share is the least rear axle load as a share of the total mass, 0.05 to 0.9; zero
	// means [LoaderRearShare].
	Share units.Fraction `json:"share,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (w Counterweight) Validate() error {
	var c units.FieldErrors
	weighed(&c, w.FrontLoad, w.RearLoad, w.Wheelbase)
	valid.Within(&c, "payload", w.Payload, 0, valid.MaxMass)
	if w.Payload != 0 {
		valid.Given(&c, "ahead", w.Ahead, 0.001, 20, "must be given; it is the distance of the load's center ahead of the front axle")
	} else {
		valid.ZeroOr(&c, "ahead", w.Ahead, 0.001, 20)
	}
	valid.Given(&c, "behind", w.Behind, 0.001, 10, "must be given; it is the distance of the weight's center behind the rear axle")
	valid.ZeroOr(&c, "share", w.Share, 0.05, 0.9)
	return c.Err()
}

// Solve returns the least weight with which the rear axle keeps its share s of the
// total mass, loaded:
//
//	M = [s (G + G1 + N) - G + N b/l2] / [(l1 + l2)/l2 - s].
//
// Unladen in the answer is the tractor with its empty loader. Check the tractor again
// without the payload, when the weight loads the rear axle and relieves the front one.
// Held by TestValidation.
func (w Counterweight) Solve() (MinimumBallast, error) {
	if err := w.Validate(); err != nil {
		return MinimumBallast{}, err
	}
	if w.Share == 0 {
		w.Share = LoaderRearShare
	}
	s := float64(w.Share)
	bare := AxleLoads{Front: w.FrontLoad, Rear: w.RearLoad, Unladen: w.FrontLoad + w.RearLoad}
	bare = bare.with(w.Payload, w.Wheelbase+w.Ahead, w.Wheelbase)
	// By how much the rear axle falls short, and what a kilogram behind mends.
	lack := s*float64(bare.Total()) - float64(bare.Rear)
	gain := float64(w.Behind+w.Wheelbase)/float64(w.Wheelbase) - s
	out := minimum(lack, gain)
	out.Share, out.OfLaden = w.Share, true
	out.Loads = bare.with(out.Mass, -w.Behind, w.Wheelbase)
	return out, nil
}
