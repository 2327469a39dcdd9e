package ballast

import (
	"math"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Plausible hard ranges. They catch a wrong unit, not a wrong machine.
const (
	maxLength  units.Length = valid.MaxLength
	maxHeight  units.Length = 10
	minMass    units.Mass   = valid.MinMass
	maxMass    units.Mass   = valid.MaxMass
	maxRating  units.Mass   = 200000
	minTrack   units.Length = valid.MinTrack
	maxTrack   units.Length = valid.MaxTrack
	minBase    units.Length = valid.MinWheelbase
	maxBase    units.Length = valid.MaxWheelbase
	maxRadius  units.Length = valid.MaxRadius
	minRadius  units.Length = valid.MinRadius
	maxSideway units.Length = valid.MaxSideway
)

// Machine is the bare tractor: what its data sheet, a scale and a tape say
// about it. The frame is the module's: x forward from the rear contact line,
// y left, z up from level ground.
//
// A field that is left out is not known. The answers of a [Setup] then take the range
// of [Practice] for it, if there is one. A compiled [Model] counts with single values:
// what a level answer needs is an error that names the field, and what only a slope
// answer needs leaves that answer [stability.NotChecked], with a note that says what to
// measure. "Must be given" in the comments below is said of a model. Sideways positions
// (cg.y, seat.y, fuel.cg.y) that are left out are in the middle of the machine. Heights
// of zero (cg.z, seat.z, fuel.cg.z) are not known.
type Machine struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`

	// Mass is the mass of the machine in the state that MassIncludes and
	// LoaderIncluded name, 50 kg to 100 t. With FrontLoad and RearLoad given
	// it may be left out; it then is their sum.
	Mass units.Input[units.Mass] `json:"mass,omitzero"`
	// MassIncludes says what Mass includes. There is no default.
	MassIncludes MassIncludes `json:"massIncludes,omitempty"`
	// LoaderIncluded says whether Mass, CG and the axle loads are those of
	// the machine with its loader on, arms at the loader's lowest pin height
	// and no attachment. There is no default.
	LoaderIncluded LoaderIncluded `json:"loaderIncluded,omitempty"`
	// CG is the center of gravity of Mass. CG.X is given here, or follows
	// from FrontLoad and RearLoad; exactly one of the two. CG.X lies between
	// the contact lines. CG.Y is the sideways offset, within 2 m. CG.Z is the
	// height over level ground, 0.1 to 10 m; no brochure prints it, and only slope
	// answers need it.
	CG Position `json:"cg,omitzero"`
	// FrontLoad and RearLoad are what scales under the front and the rear
	// axle read on level ground, for the state of Mass: x = L F/(F + R). Both
	// 1 kg to 100 t.
	FrontLoad units.Input[units.Mass] `json:"frontLoad,omitzero"`
	// RearLoad is the reading under the rear axle; see FrontLoad.
	RearLoad units.Input[units.Mass] `json:"rearLoad,omitzero"`

	// Undercarriage is the kind of undercarriage: stability.PivotingFront,
	// stability.Rigid or stability.Tricycle; the other kinds are an error.
	// There is no default: look whether the front axle swings on a pin.
	Undercarriage stability.UndercarriageKind `json:"undercarriage,omitempty"`
	// Wheelbase is the distance from the rear to the front contact line, 0.5
	// to 10 m.
	Wheelbase units.Input[units.Length] `json:"wheelbase,omitzero"`
	// RearTrack is the distance between the centers of the rear tires, 0.2 to
	// 6 m.
	RearTrack units.Input[units.Length] `json:"rearTrack,omitzero"`
	// FrontTrack is the distance between the centers of the front tires, 0.2
	// to 6 m. Level answers need it on a rigid machine only: without it no
	// limit of its wheels is checked, and WheelLoads take the rear track.
	FrontTrack units.Input[units.Length] `json:"frontTrack,omitzero"`
	// AxlePinHeight is the height of the front axle's pin over level ground,
	// 0.05 to 3 m: measure it with a tape at the front of the axle support. It is
	// not the loader's attachment pin, which the datum PinHeight and
	// RatedPoint.PinHeight speak of. Level answers do not need it.
	AxlePinHeight units.Input[units.Length] `json:"axlePinHeight,omitzero"`
	// StopAngle is how far the front axle swings from level to its stop, 0.5
	// to 45 degrees; left out, it is unknown. No limit of this package rests on
	// it.
	StopAngle units.Input[units.Angle] `json:"stopAngle,omitzero"`
	// AxleMass is the mass of the steered front axle with its wheels, part of
	// Mass, 1 kg to 100 t and at most half of it: what hangs on the pin and
	// does not roll with the body. Level answers do not need it.
	AxleMass units.Input[units.Mass] `json:"axleMass,omitzero"`
	// AxleHeight is the height of the front axle's own center of gravity,
	// about the static loaded radius of the front tires, 0.1 to 1.5 m.
	AxleHeight units.Input[units.Length] `json:"axleHeight,omitzero"`

	// Front is the front axle's wheels, tires and ratings.
	Front Axle `json:"front,omitzero"`
	// Rear is the rear axle's wheels, tires and ratings.
	Rear Axle `json:"rear,omitzero"`

	// Operator says who sits on the machine. There is no default.
	Operator Operator `json:"operator,omitempty"`
	// Seat is the center of gravity of the seated operator, needed when an
	// operator is added to Mass or taken off it: x, within 20 m, y
	// within 2 m, z 0 to 10 m. Common practice, no source: about 0.15 m above
	// the seat cushion and 0.1 m ahead of the backrest.
	Seat Position `json:"seat,omitzero"`
	// Fuel is the tank and what is in it.
	Fuel Fuel `json:"fuel,omitzero"`

	// Hitch is the rear three-point hitch.
	Hitch Hitch `json:"hitch,omitzero"`

	// GrossRating is the permissible mass of machine, ballast, attachment and
	// load together, 1 kg to 200 t; left out, it is not checked.
	GrossRating units.Input[units.Mass] `json:"grossRating,omitzero"`
	// ROPSRating is the greatest mass for which the roll-over protective
	// structure is certified, 1 kg to 200 t; left out, it is not checked. It is
	// compared with machine, ballast, attachment and load together, the
	// cautious reading.
	ROPSRating units.Input[units.Mass] `json:"ropsRating,omitzero"`
	// Steered is the least load that the steered front axle must keep.
	Steered SteeredRule `json:"steered,omitzero"`

	// Motion is what a [Travel] over an obstacle needs of the machine besides.
	Motion Motion `json:"motion,omitzero"`
}

// MassIncludes says what the specification mass of a machine includes besides
// the dry machine with its standard tires and all liquids except fuel. In
// JSON: "dry", "fueled" or "operating"; "unknown" or left out is not given.
type MassIncludes uint8

// What a specification mass includes.
const (
	// MassIncludesUnknown means not given, which is an error.
	MassIncludesUnknown MassIncludes = iota
	// MassDry includes neither fuel nor operator.
	MassDry
	// MassFueled includes a full tank and no operator.
	MassFueled
	// MassOperating includes a full tank and an operator of 75 kg, as the
	// operating mass of earth-moving machinery does (ISO 6016; memory).
	MassOperating
)

var massIncludesNames = []string{"unknown", "dry", "fueled", "operating"}

// LoaderIncluded says whether a specification mass includes the loader. In
// JSON: "without" or "with"; "unknown" or left out is not given.
type LoaderIncluded uint8

// Whether the loader is part of the specification mass.
const (
	// LoaderIncludedUnknown means not given, which is an error.
	LoaderIncludedUnknown LoaderIncluded = iota
	// WithoutLoader is the mass of the machine without its loader.
	WithoutLoader
	// WithLoader is the mass of the machine with its loader on, the arms at
	// the lowest pin height and no attachment.
	WithLoader
)

var loaderIncludedNames = []string{"unknown", "without", "with"}

// Operator says who sits on the machine. In JSON: "asStated", "none", "light"
// or "heavy"; "unknown" or left out is not given.
type Operator uint8

// Who sits on the machine.
const (
	// OperatorUnknown means not given, which is an error.
	OperatorUnknown Operator = iota
	// OperatorAsStated leaves the specification mass as it is.
	OperatorAsStated
	// NoOperator is an empty seat.
	NoOperator
	// LightOperator is a person of 55 kg, the light test person of ISO 7096
	// (memory).
	LightOperator
	// HeavyOperator is a person of 98 kg, the heavy test person of ISO 7096
	// (memory).
	HeavyOperator
)

var operatorNames = []string{"unknown", "asStated", "none", "light", "heavy"}

// Mass returns the operator's mass; 0 for an empty seat and for
// [OperatorAsStated].
func (k Operator) Mass() units.Mass {
	switch k {
	case LightOperator:
		return 55
	case HeavyOperator:
		return 98
	}
	return 0
}

// operatingOperator is the operator of MassOperating.
const operatingOperator units.Mass = 75

// dieselDensity is the density of diesel fuel in a tank, 835 kg/m3, the
// middle of the 820 to 845 kg/m3 that EN 590 allows at 15 C (memory).
const dieselDensity units.Density = 835

// Fuel is a tank and what is in it.
type Fuel struct {
	// State says how full the tank is. There is no default.
	State FuelState `json:"state,omitempty"`
	// Capacity is the volume of the tank, 1 L to 5 m3, needed unless State is
	// FuelAsStated.
	Capacity units.Input[units.Volume] `json:"capacity,omitzero"`
	// CG is the middle of the tank: x, within 20 m, y within 2 m, z
	// 0 to 10 m. It is needed where State adds fuel to the mass or takes it
	// off.
	CG Position `json:"cg,omitzero"`
}

// FuelState says how full the tank is. In JSON: "asStated", "empty", "half"
// or "full"; "unknown" or left out is not given.
type FuelState uint8

// How full the tank is.
const (
	// FuelUnknown means not given, which is an error.
	FuelUnknown FuelState = iota
	// FuelAsStated leaves the specification mass as it is.
	FuelAsStated
	// FuelEmpty is a tank run dry.
	FuelEmpty
	// FuelHalf is a tank half full.
	FuelHalf
	// FuelFull is a full tank.
	FuelFull
)

var fuelStateNames = []string{"unknown", "asStated", "empty", "half", "full"}

func (k FuelState) share() float64 {
	switch k {
	case FuelHalf:
		return 0.5
	case FuelFull:
		return 1
	}
	return 0
}

// Axle is one axle with its wheels: the ratings that its load is held
// against. A rating that is left out is not given, and its limit is not checked.
type Axle struct {
	// Rating is the permissible axle load, by the maker or by law whichever
	// is less, as a scale under both wheels reads it, 1 kg to 200 t.
	Rating units.Input[units.Mass] `json:"rating,omitzero"`
	// WheelRating is the permissible load of one wheel (rim and disc), 1 kg
	// to 200 t.
	WheelRating units.Input[units.Mass] `json:"wheelRating,omitzero"`
	// Tire is the rating of one tire.
	Tire TireRating `json:"tire,omitzero"`
	// TiresPerSide is 1 to 3: 2 for duals, 3 for triples; 0 means 1. Each of
	// a pair counts with 0.88 of what Tire says of one alone, each of three
	// with 0.82 (ETRTO rule; memory), by load index and by table alike.
	TiresPerSide int `json:"tiresPerSide,omitempty"`
	// Single says that the axle has one wheel place, in the middle, whose
	// tires carry its whole load: the front of a tricycle machine, which is
	// taken so whether or not it is said here. Two wheels close together are a
	// place with 2 as TiresPerSide.
	Single bool `json:"single,omitempty"`
	// Radius is the static loaded radius: the height of the axle over level
	// ground, 0.1 to 1.5 m. Level answers do not need it.
	Radius units.Input[units.Length] `json:"radius,omitzero"`
}

// Hitch is the rear three-point hitch.
type Hitch struct {
	// X is where the lower hitch points are; negative, behind the rear
	// contact line, -5 to -0.01 m.
	X units.Input[units.Length] `json:"x,omitzero"`
	// Rating is the lift rating at 610 mm behind the lower hitch
	// points (ISO 789-2:2018), 1 kg to 200 t; left out, it is not checked. A load
	// nearer than that is allowed no more, one farther out is allowed less in
	// proportion.
	Rating units.Input[units.Mass] `json:"rating,omitzero"`
}

// hitchRatingDistance is how far behind the lower hitch points a hitch lift
// rating holds: 610 mm (ISO 789-2:2018).
const hitchRatingDistance units.Length = 0.610

// SteeredRule is the least load that the steered front axle must keep so that
// the machine can be steered.
type SteeredRule struct {
	// Base says what Share is a share of; zero means the rule was not chosen
	// and the limit is not checked. "20 %" without its base says nothing.
	Base SteeredBase `json:"base,omitempty"`
	// Share is the least share, such as 0.2; 0.01 to 0.9.
	Share units.Fraction `json:"share,omitempty"`
}

// SteeredBase says what a steered-axle share is a share of. In JSON:
// "unladen" or "laden"; "unknown" or left out is the zero value.
type SteeredBase uint8

// What the steered axle's load is a share of.
const (
	// SteeredUnknown leaves the steered axle unchecked.
	SteeredUnknown SteeredBase = iota
	// SteeredOfUnladen is the mass of the machine without ballast, loader,
	// attachment and load (ISO 4254-10 Annex B form).
	SteeredOfUnladen
	// SteeredOfLaden is all that the wheels carry.
	SteeredOfLaden
)

var steeredBaseNames = []string{"unknown", "unladen", "laden"}

// Validate reports every bad field by its path, or nil.
func (m Machine) Validate() error { return m.validate() }

// validate is Validate without a copy of the value.
func (m *Machine) validate() error { return m.check(touchedAll) }

// check is validate for a machine that was valid before these parts of it were
// touched.
func (m *Machine) check(t touched) error {
	var c units.FieldErrors
	positionRange(&c, "cg", &m.CG, maxLength)
	loads := !m.FrontLoad.Unknown() || !m.RearLoad.Unknown()
	switch {
	case loads && given(m.CG.X):
		c.Add("cg.x", valid.ShowInput(m.CG.X), "must be left out when frontLoad and rearLoad are given")
	case !loads && m.CG.X.Unknown():
		c.Add("cg.x", nil, "must be given, or frontLoad and rearLoad from scales")
	}
	if loads {
		valid.Required(&c, "frontLoad", m.FrontLoad, minMass, maxMass, "must be given with rearLoad")
		valid.Required(&c, "rearLoad", m.RearLoad, minMass, maxMass, "must be given with frontLoad")
		if sum := m.FrontLoad.Value() + m.RearLoad.Value(); m.Mass.Known() && m.FrontLoad.Known() && m.RearLoad.Known() && !(math.Abs(float64(m.Mass.Value()-sum)) <= 0.01*float64(sum)) {
			c.Add("mass", valid.Show(m.Mass.Value()), "must be left out or agree with frontLoad + rearLoad within 1 %")
		}
	} else {
		valid.Required(&c, "mass", m.Mass, 50, maxMass, "must be given, with what it includes")
		if m.CG.X.Known() && m.Wheelbase.Value() > 0 && !(m.CG.X.Value() > 0 && m.CG.X.Value() < m.Wheelbase.Value()) {
			c.Add("cg.x", valid.Show(m.CG.X.Value()), "must lie between the rear and the front contact line")
		}
	}
	choice.Given(&c, "massIncludes", m.MassIncludes, massIncludesNames)
	choice.Given(&c, "loaderIncluded", m.LoaderIncluded, loaderIncludedNames)
	switch m.Undercarriage {
	case stability.PivotingFront, stability.Rigid, stability.Tricycle:
	case stability.UndercarriageUnknown:
		c.Add("undercarriage", nil, "must be given: pivotingFront where the front axle swings on a pin, rigid or tricycle")
	default:
		c.Add("undercarriage", m.Undercarriage, "must be pivotingFront, rigid or tricycle")
	}
	valid.Required(&c, "wheelbase", m.Wheelbase, minBase, maxBase, "must be given: rear to front contact line")
	valid.Required(&c, "rearTrack", m.RearTrack, minTrack, maxTrack, "must be given: between the centers of the rear tires")
	valid.Optional(&c, "frontTrack", m.FrontTrack, minTrack, maxTrack)
	if given(m.CG.Z) { // a zero that is written is a height that is not known
		valid.Optional(&c, "cg.z", m.CG.Z, 0.1, maxHeight)
	}
	valid.Optional(&c, "axlePinHeight", m.AxlePinHeight, 0.05, 3)
	valid.Optional(&c, "stopAngle", m.StopAngle, 0.5*units.Degree, 45*units.Degree)
	valid.Optional(&c, "axleMass", m.AxleMass, minMass, maxMass)
	if mass := m.mass(); m.AxleMass.Value() > 0 && mass > 0 && !(m.AxleMass.Value() <= mass/2) {
		c.Add("axleMass", valid.Show(m.AxleMass.Value()), "must be at most half of mass")
	}
	valid.Optional(&c, "axleHeight", m.AxleHeight, minRadius, maxRadius)
	if t&touchedAxles != 0 {
		c.Join("front", m.Front.validate())
		c.Join("rear", m.Rear.validate())
	}
	if m.Front.Single && m.Undercarriage != stability.Tricycle {
		c.Add("front.single", true, "must be left out: the machine is no tricycle")
	}
	if m.Rear.Single {
		c.Add("rear.single", true, "must be left out")
	}
	choice.Given(&c, "operator", m.Operator, operatorNames)
	positionRange(&c, "seat", &m.Seat, maxLength)
	if m.operatorChange() != 0 {
		if m.Seat.X.Unknown() {
			c.Add("seat.x", nil, "must be given where an operator is added or taken off; for a seat over the rear axle give 0 m")
		}
	}
	c.Join("fuel", m.Fuel.validate(m.MassIncludes))
	valid.Optional(&c, "hitch.x", m.Hitch.X, -5, -0.01)
	valid.Optional(&c, "hitch.rating", m.Hitch.Rating, minMass, maxRating)
	if given(m.Hitch.Rating) && m.Hitch.X.Unknown() {
		c.Add("hitch.x", nil, "must be given with hitch.rating: lower hitch points, negative behind the rear axle")
	}
	valid.Optional(&c, "grossRating", m.GrossRating, minMass, maxRating)
	valid.Optional(&c, "ropsRating", m.ROPSRating, minMass, maxRating)
	c.Join("steered", m.Steered.validate())
	c.Join("motion", m.Motion.Validate())
	return c.Err()
}

// front returns the front axle, of which a tricycle machine has one wheel
// place.
func (m *Machine) front() Axle {
	a := m.Front
	a.Single = m.Undercarriage == stability.Tricycle
	return a
}

// places returns how many wheel places share the axle's load.
func (a *Axle) places() float64 {
	if a.Single {
		return 1
	}
	return 2
}

// Validate reports every bad field by its path, or nil.
func (a Axle) Validate() error { return a.validate() }

// validate is Validate without a copy of the value.
func (a *Axle) validate() error {
	var c units.FieldErrors
	valid.Optional(&c, "rating", a.Rating, minMass, maxRating)
	valid.Optional(&c, "wheelRating", a.WheelRating, minMass, maxRating)
	c.Join("tire", a.Tire.validate())
	if a.TiresPerSide < 0 || a.TiresPerSide > 3 {
		c.Add("tiresPerSide", a.TiresPerSide, "must be 1, 2 or 3, or left out for 1")
	}
	valid.Optional(&c, "radius", a.Radius, minRadius, maxRadius)
	return c.Err()
}

// Validate reports every bad field by its path, or nil.
func (r SteeredRule) Validate() error { return r.validate() }

// validate is Validate without a copy of the value.
func (r *SteeredRule) validate() error {
	var c units.FieldErrors
	if !choice.Known(steeredBaseNames, r.Base) {
		c.Add("base", r.Base, choice.OneOf, choice.Of[SteeredBase](steeredBaseNames))
	}
	if r.Base == SteeredUnknown {
		if r.Share != 0 {
			c.Add("base", nil, "must be given with share: unladen or laden")
		}
		return c.Err()
	}
	valid.Given(&c, "share", r.Share, 0.01, 0.9, "must be given with base, such as 0.2")
	return c.Err()
}

// Validate reports every bad field by its path, or nil. What the fields must
// be depends also on what the machine's mass includes: see [Machine].
func (f Fuel) Validate() error { return f.validate(MassIncludesUnknown) }

func (f *Fuel) validate(in MassIncludes) error {
	var c units.FieldErrors
	choice.Given(&c, "state", f.State, fuelStateNames)
	valid.Optional(&c, "capacity", f.Capacity, units.Liter, 5*units.CubicMeter)
	positionRange(&c, "cg", &f.CG, maxLength)
	if f.State > FuelAsStated {
		if f.Capacity.Unknown() {
			c.Add("capacity", nil, "must be given with this state")
		}
		if f.CG.X.Unknown() && f.change(in) != 0 {
			c.Add("cg.x", nil, "must be given where fuel is added or taken off; for a tank over the rear axle give 0 m")
		}
	}
	return c.Err()
}

// change returns how much fuel is added to the specification mass.
func (f Fuel) change(in MassIncludes) units.Mass {
	return units.Mass(f.added(in) * float64(dieselDensity.Mass(f.Capacity.Value())))
}

// added returns the share of a full tank that is added to the specification mass.
func (f *Fuel) added(in MassIncludes) float64 {
	if f.State <= FuelAsStated {
		return 0
	}
	share := f.State.share()
	if in == MassFueled || in == MassOperating {
		share--
	}
	return share
}

// counts reports whether any fuel is added or taken off.
func (f *Fuel) counts(in MassIncludes) bool { return f.added(in) != 0 }

// operatorChange returns how much operator is added to the specification mass.
func (m *Machine) operatorChange() units.Mass {
	if m.Operator <= OperatorAsStated {
		return 0
	}
	d := m.Operator.Mass()
	if m.MassIncludes == MassOperating {
		d -= operatingOperator
	}
	return d
}

// mass returns the specification mass.
func (m *Machine) mass() units.Mass {
	if m.FrontLoad.Value() != 0 || m.RearLoad.Value() != 0 {
		return m.FrontLoad.Value() + m.RearLoad.Value()
	}
	return m.Mass.Value()
}

// cgX returns where the center of gravity of the specification mass is.
func (m *Machine) cgX() units.Length {
	if m.FrontLoad.Value() != 0 || m.RearLoad.Value() != 0 {
		share := float64(m.FrontLoad.Value()) / float64(m.FrontLoad.Value()+m.RearLoad.Value())
		return units.Length(float64(m.Wheelbase.Value()) * share)
	}
	return m.CG.X.Value()
}

// positionRange records an error for each coordinate that is not a number or
// farther than r from the origin.
func positionRange(c *units.FieldErrors, path string, p *Position, r units.Length) {
	if within(p.X, -r, r) && within(p.Y, -maxSideway, maxSideway) && within(p.Z, 0, maxHeight) {
		return
	}
	var e units.FieldErrors
	valid.Optional(&e, "x", p.X, -r, r)
	valid.Optional(&e, "y", p.Y, -maxSideway, maxSideway)
	valid.Optional(&e, "z", p.Z, 0, maxHeight)
	c.Join(path, e.Err())
}

// within reports whether an input is unknown, or a value or a range between low and
// high.
func within(in units.Input[units.Length], low, high units.Length) bool {
	r, ok := in.Range()
	return !ok || low <= r.Low && r.Low <= r.High && r.High <= high
}
