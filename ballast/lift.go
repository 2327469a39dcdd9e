package ballast

import (
	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Lift is one load case: where the load is held, on what ground, how fast,
// and by which safety basis. Kinds answer different questions: breaking out
// of the ground, holding at one height, going all the way up, taking off a
// deck and carrying low have different answers.
type Lift struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Kind is the kind of case; the zero value holds the load at Height.
	Kind LiftKind `json:"kind,omitempty"`
	// Height is the height over level ground of what Datum names, -1 to 10 m
	// and within the reach of the loader. A break-out has none: the edge is
	// on the ground.
	Height units.Length `json:"height,omitempty" zero:"value"`
	// Datum says what Height is the height of. There is no default: rated
	// heights are pin heights, a trailer deck is a tine height.
	Datum Datum `json:"datum,omitempty"`
	// Load says where the load sits. Its mass is what Setup.Check asks about;
	// Setup.UsableLoad finds the mass.
	Load Load `json:"load,omitzero"`
	// Slope is the inclination of the ground, 0 to 45 degrees.
	Slope units.Slope `json:"slope,omitempty" zero:"value"`
	// Heading is where the nose points, and zero has a note: 0 straight uphill, 90 degrees across
	// with downhill on the right, 180 straight downhill; within a turn either
	// way.
	Heading units.Angle `json:"heading,omitempty" zero:"value"`
	// Braking is the deceleration while driving forward, 0 to 10 m/s2, with
	// the rear wheels braked.
	Braking units.Acceleration `json:"braking,omitempty" zero:"value"`
	// Speed is the travel speed, up to 108 km/h; CarryLow needs it. Zero is
	// not given, and then no tire allowance that depends on it is granted.
	Speed units.Speed `json:"speed,omitempty"`
	// Factor is the dynamic factor on load, attachment and arms where wheels
	// may lift: machine and arms move. The lift of the loader takes none, for
	// the relief valve limits it; static ratings take none; and it is not
	// stacked on a safety basis that is a share or a fraction. Zero is
	// DefaultFactor; 1 is quasi-static; up to 5.
	Factor float64 `json:"factor,omitempty"`
	// Basis is the safety basis against tipping. Without one the tipping
	// limits are not checked, and no usable load is stated.
	Basis Basis `json:"basis,omitzero"`
	// Tires asks for a tire service and confirms its conditions.
	Tires Allowance `json:"tires,omitzero"`
}

// DefaultFactor is the dynamic factor where none is given: 1.65, the factor
// 1 + a/g = 1.636 of the peak of 6.24 m/s2 measured on a front loader
// (AgriEngineering 2025, 7(9), 276) rounded up. It is not shown to cover any
// particular obstacle; [Setup.Travel] asks about one.
const DefaultFactor = 1.65

// DynamicFactor returns the dynamic factor of a measured peak acceleration of
// the load: 1 + a/g, with g 0.1 to 100 m/s2, or zero for
// [units.StandardGravity]. The peak is 0 to 40 m/s2 and counts upward.
func DynamicFactor(peak, g units.Acceleration) (float64, error) {
	var c units.FieldErrors
	valid.Within(&c, "peak", peak, 0, 40)
	valid.Gravity(&c, "gravity", g)
	if err := c.Err(); err != nil {
		return 0, err
	}
	if g == 0 {
		g = units.StandardGravity
	}
	return 1 + float64(peak/g), nil
}

// LiftKind says what is done with the load. In JSON: "hold", "breakOut",
// "carryLow", "stackHigh" or "takeOffDeck".
type LiftKind uint8

// Kinds of cases.
const (
	// Hold holds the load at one height.
	Hold LiftKind = iota
	// BreakOut breaks out of the ground with the bucket's edge: the load is a
	// force at the edge, told as the mass that weighs as much.
	BreakOut
	// CarryLow travels with the load at one height; Speed must be given.
	CarryLow
	// StackHigh lifts the load from the lowest position to Height; each limit
	// is the least over the way, which passes the arm's greatest reach.
	StackHigh
	// TakeOffDeck takes the load off a deck at Height and lowers it; each
	// limit is the least over the way, the hydraulic one that at the deck.
	TakeOffDeck
)

// way reports whether the load is moved over a way whose every place counts.
func (k LiftKind) way() bool { return k == StackHigh || k == TakeOffDeck }

var liftKindNames = []string{"hold", "breakOut", "carryLow", "stackHigh", "takeOffDeck"}

// Datum says what a height is the height of. In JSON: "pin", "tine", "edge"
// or "load"; "unknown" or left out is not given.
type Datum uint8

// What a height is the height of, over level ground.
const (
	// DatumUnknown means not given, which is an error.
	DatumUnknown Datum = iota
	// PinHeight is the loader's attachment pin; rated heights are pin
	// heights.
	PinHeight
	// TineHeight is the top of the tines; a trailer deck is a tine height.
	TineHeight
	// EdgeHeight is the bucket's cutting edge with the floor level.
	EdgeHeight
	// LoadHeight is the load's center of gravity.
	LoadHeight
)

var datumNames = []string{"unknown", "pin", "tine", "edge", "load"}

// Basis is a safety basis against tipping: how far from tipping the machine
// is kept.
type Basis struct {
	// Kind is the kind of basis. The zero value is "not chosen": the tipping
	// limits then are not checked.
	Kind BasisKind `json:"kind,omitempty"`
	// Fraction is the share or the fraction that Kind speaks of, such as 0.2
	// or 0.5; BasisNoWheelUnloaded takes none.
	Fraction units.Fraction `json:"fraction,omitempty"`
}

// Title returns the name of a limit under this basis for a reader, such as "rear
// axle keeps 20 %": the tipping limits are named by what is held.
func (b Basis) Title(k LimitKind) string { return b.Name(k).Text }

// Name is the title as a message, for readers in other languages.
func (b Basis) Name(k LimitKind) units.Message {
	share := func(f units.Fraction) units.Param {
		text := units.Format(units.Display{Precision: units.Decimals(0)}, f)
		return units.Parameter("share", text, f, units.Nearest)
	}
	switch {
	case k == LimitTipping && b.Kind == BasisRearShare:
		return units.NewMessage("rear axle keeps {share}", share(b.Fraction))
	case k == LimitRearWheel && b.Kind == BasisRearShare:
		return units.NewMessage("a rear wheel keeps {share}", share(b.Fraction/2))
	case k == LimitTipping && b.Kind == BasisTippingFraction:
		return units.NewMessage("{share} of the tipping load", share(b.Fraction))
	case k == LimitRearWheel && b.Kind == BasisTippingFraction:
		return units.NewMessage("{share} of the load that lifts a rear wheel", share(b.Fraction))
	case k == LimitTipping && b.Kind == BasisNoWheelUnloaded:
		return units.NewMessage("rear axle lifts under the factor")
	case k == LimitRearWheel && b.Kind == BasisNoWheelUnloaded:
		return units.NewMessage("a rear wheel lifts under the factor")
	}
	return units.Message{Code: "ballast.limit." + k.String(), Text: k.Title()}
}

// BasisKind is a kind of safety basis. In JSON: "rearShare",
// "tippingFraction" or "noWheelUnloaded"; "unknown" or left out is the zero
// value.
type BasisKind uint8

// Kinds of safety basis.
const (
	// BasisUnknown leaves the tipping limits unchecked.
	BasisUnknown BasisKind = iota
	// BasisRearShare keeps at least Fraction of the TOTAL mass, load included,
	// on the rear axle, 0.05 to 0.5, and half of it on each rear wheel. On a
	// slope and under braking it is a share of what all wheels carry. It takes
	// no dynamic factor.
	BasisRearShare
	// BasisTippingFraction allows Fraction of the tipping load on the ground of
	// the case, and of the load that lifts one rear wheel, 0.1 to 0.9. It is
	// borrowed from earth-moving loaders (ISO 14397-1), and answers say so. It
	// takes no dynamic factor.
	BasisTippingFraction
	// BasisNoWheelUnloaded keeps every wheel on the ground with the dynamic factor
	// on load, attachment and arms; the factor must be more than 1.
	BasisNoWheelUnloaded
)

var basisKindNames = []string{"unknown", "rearShare", "tippingFraction", "noWheelUnloaded"}

// Validate reports every bad field by its path, or nil.
func (b Basis) Validate() error { return b.validate() }

// validate is Validate without a copy of the value.
func (b *Basis) validate() error {
	var c units.FieldErrors
	switch b.Kind {
	case BasisUnknown:
		if b.Fraction != 0 {
			c.Add("kind", nil, choice.OneOf, choice.Of[BasisKind](basisKindNames[1:]))
		}
	case BasisRearShare:
		valid.Given(&c, "fraction", b.Fraction, 0.05, 0.5, "must be given, such as 0.2")
	case BasisTippingFraction:
		valid.Given(&c, "fraction", b.Fraction, 0.1, 0.9, "must be given, such as 0.5")
	case BasisNoWheelUnloaded:
		if b.Fraction != 0 {
			c.Add("fraction", valid.Show(b.Fraction), "must be left out: the dynamic factor is the margin")
		}
	default:
		c.Add("kind", b.Kind, choice.OneOf, choice.Of[BasisKind](basisKindNames))
	}
	return c.Err()
}

// Validate reports every bad field by its path, or nil. What the case needs
// of the setup, such as a height in reach of the arm, shows when it is put to
// a [Model].
func (l Lift) Validate() error { return l.validate() }

// validate is Validate without a copy of the value.
func (l *Lift) validate() error {
	var c units.FieldErrors
	if !choice.Known(liftKindNames, l.Kind) {
		c.Add("kind", l.Kind, choice.OneOf, choice.Of[LiftKind](liftKindNames))
	}
	if l.Kind == BreakOut {
		if l.Height != 0 || l.Datum != DatumUnknown {
			c.Add("height", valid.Show(l.Height), "must be left out: a break-out has the edge on the ground")
		}
	} else {
		choice.Given(&c, "datum", l.Datum, datumNames)
		valid.Within(&c, "height", l.Height, -1, maxHeight)
	}
	c.Join("load", l.Load.validate())
	valid.Within(&c, "slope", l.Slope, 0, (45 * units.Degree).Slope())
	valid.Within(&c, "heading", l.Heading, -units.Turn, units.Turn)
	valid.Within(&c, "braking", l.Braking, 0, 10)
	valid.Within(&c, "speed", l.Speed, 0, 30)
	if l.Kind == CarryLow && l.Speed == 0 {
		c.Add("speed", nil, "must be given for a case that travels")
	}
	if l.Factor != 0 && !(l.Factor >= 1 && l.Factor <= 5) {
		c.Add("factor", l.Factor, "must be left out for 1.65 or be between 1 and 5")
	}
	c.Join("basis", l.Basis.validate())
	if l.Basis.Kind == BasisNoWheelUnloaded && l.Factor == 1 {
		c.Add("factor", l.Factor, "must be more than 1: with this basis the factor is the margin")
	}
	if !choice.Known(tireServiceNames, l.Tires.Kind) {
		c.Add("tires.kind", l.Tires.Kind, choice.OneOf, choice.Of[TireService](tireServiceNames))
	}
	return c.Err()
}

// factor returns the dynamic factor of the case.
func (l *Lift) factor() float64 {
	if l.Factor == 0 {
		return DefaultFactor
	}
	return l.Factor
}

// situation returns where the machine stands and how it moves. The rear
// wheels hold it on the slope and brake it; the front wheels roll freely.
func (l *Lift) situation() stability.Situation {
	return stability.Situation{Slope: l.Slope, Heading: l.Heading, Acceleration: -l.Braking}
}

// level reports whether the case is on level ground at rest or at a steady
// speed.
func (l *Lift) level() bool { return l.Slope == 0 && l.Braking == 0 }
