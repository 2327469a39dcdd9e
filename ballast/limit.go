package ballast

import (
	"example.com/steelyard/internal/choice"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Status is [stability.Status]: not checked, within, binds, exceeded,
// exceeded already when empty, cannot occur. Its values and their JSON names
// stand there.
type Status = stability.Status

// LimitKind names one limit of a load. In JSON: "none", "hydraulic",
// "breakOut", "tipping", "rearWheel", "frontWheel", "rearward", "steered",
// "frontAxle", "frontTire", "frontRim", "rearAxle", "rearTire", "rearRim",
// "gross", "rops", "coupler", "attachment", "hitch" or
// "manualBallast".
type LimitKind uint8

// The limits of a load, in the order in which answers list them.
const (
	// NoLimit is no limit.
	NoLimit LimitKind = iota
	// LimitHydraulic is what the loader's hydraulics lift. No dynamic factor
	// multiplies it: a load that is too heavy stays down.
	LimitHydraulic
	// LimitBreakOut is the rated break-out force, in a break-out only.
	LimitBreakOut
	// LimitTipping is the rear axle lifting (on a free pin the machine then
	// falls to a side as well), by the chosen safety basis.
	LimitTipping
	// LimitRearWheel is one rear wheel lifting before the axle does, by the
	// chosen safety basis: a load off center or a slope across. With both
	// rear wheels loaded alike it equals LimitTipping.
	LimitRearWheel
	// LimitFrontWheel is one front wheel lifting, the axle falling onto its
	// stop, under the dynamic factor.
	LimitFrontWheel
	// LimitRearward is the front axle lifting, with a slope or with ballast
	// at the rear and no load in front.
	LimitRearward
	// LimitSteered is the least load of the steered axle by the chosen rule.
	LimitSteered
	// LimitFrontAxle is the permissible front axle load.
	LimitFrontAxle
	// LimitFrontTire is what the front tires may carry, the heavier side.
	LimitFrontTire
	// LimitFrontRim is what the front wheels (rim and disc) may carry.
	LimitFrontRim
	// LimitRearAxle is the permissible rear axle load.
	LimitRearAxle
	// LimitRearTire is what the rear tires may carry, the heavier side.
	LimitRearTire
	// LimitRearRim is what the rear wheels (rim and disc) may carry.
	LimitRearRim
	// LimitGross is the permissible gross mass.
	LimitGross
	// LimitROPS is the mass that the roll-over protection is certified for.
	LimitROPS
	// LimitCoupler is what the loader's coupler may carry, attachment
	// included.
	LimitCoupler
	// LimitAttachment is what the attachment itself may carry at this load
	// center.
	LimitAttachment
	// LimitHitch is what the rear hitch may lift; it does not depend on the
	// load in front.
	LimitHitch
	// LimitManualBallast is the ballast that the loader's manual demands:
	// without it nothing is lifted, whatever the other limits say.
	LimitManualBallast
)

// NumLimits is how many limits there are.
const NumLimits = int(LimitManualBallast)

var limitNames = []string{"none", "hydraulic", "breakOut", "tipping", "rearWheel", "frontWheel", "rearward", "steered",
	"frontAxle", "frontTire", "frontRim", "rearAxle", "rearTire", "rearRim", "gross", "rops", "coupler", "attachment", "hitch", "manualBallast"}

var limitTitles = []string{"no limit", "hydraulic lift", "break-out force", "tipping forward", "one rear wheel lifts",
	"one front wheel lifts", "tipping rearward", "steered axle load", "front axle rating", "front tire rating",
	"front wheel rating", "rear axle rating", "rear tire rating", "rear wheel rating", "gross mass",
	"mass certified for the roll-over structure", "coupler rating", "attachment rating", "hitch lift rating",
	"ballast that the loader's manual demands"}

// Title returns the limit's name for a reader, such as "front axle rating".
func (k LimitKind) Title() string { return choice.Name("LimitKind", limitTitles, k) }

// OfLift reports whether the limit is of what the loader can lift: its
// hydraulics and its break-out force. All others are of what the machine may
// carry.
func (k LimitKind) OfLift() bool { return k == LimitHydraulic || k == LimitBreakOut }

// Limit is one limit of a load case.
type Limit struct {
	// Kind is the limit's name.
	Kind LimitKind `json:"kind"`
	// Status is Within or Binds (the least of those checked) where Mass
	// limits the load; AtMost where Mass is an upper bound of the limit, which
	// may be lower; ExceededWhenEmpty where it is broken without any load;
	// CannotOccur where no load reaches it; NotChecked where something is
	// unknown.
	Status Status `json:"status"`
	// Mass is the greatest load that the limit allows; meaningful only where
	// Status is Within, Binds or AtMost, and zero otherwise. Round it down.
	Mass units.Mass `json:"mass"`
}

// Capacity is the greatest load that a group of limits allows.
type Capacity struct {
	// Mass is the least of the limits checked, or zero where
	// a limit is exceeded when empty or where no load is stated: no safety
	// basis was chosen, a height that the slope or the braking of the case
	// needs is unknown, or what a tire carries is known as an upper bound only
	// because its pressure is not known or too low. Round it down.
	Mass units.Mass `json:"mass"`
	// Governing is the limit that Mass comes from, or for want of which no
	// load is stated: LimitTipping or a tire's; NoLimit where nothing limits
	// the load.
	Governing LimitKind `json:"governing"`
	// Status is Binds where Mass is an answer; AtMost where Mass is an upper
	// bound, because no more is known of the limit that it comes from; ExceededWhenEmpty where nothing may be lifted; NotChecked
	// where no load is stated or no limit is known.
	Status Status `json:"status"`
}

// Use is the answer to "how much may be lifted here".
type Use struct {
	// Capacity is the usable load: the least of what the loader can lift and of
	// what the machine may carry.
	Capacity
	// Lift is what the loader can lift, by the limits of which
	// [LimitKind.OfLift] is true. It says nothing of what is safe.
	Lift Capacity `json:"lift"`
	// Carry is what the machine may carry, by all other limits. It says nothing
	// of whether the loader lifts it.
	Carry Capacity `json:"carry"`
	// Limits holds every limit; Limits[k-1] is that of kind k.
	Limits [NumLimits]Limit `json:"limits"`
	// Tipping is the bare tipping load: the load at which the rear axle's
	// load is zero, without factor and basis. It is not a load to lift, and
	// nobody finds it by trying. Zero if the load cannot tip the machine or
	// the answer needs what is unknown; Limits says which.
	Tipping units.Mass `json:"tipping"`
	// WheelLift is the bare load at which the first rear wheel lifts.
	WheelLift units.Mass `json:"wheelLift"`
	// Factor is the dynamic factor that was used.
	Factor float64 `json:"factor"`
	// Rechecks holds the same limits without the load: with the attachment
	// empty at this height, empty and lowered, and with the loader off.
	Rechecks [NumRechecks]Recheck `json:"rechecks"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes,omitempty"`
	// FillNotes are the notes of the fills among the pieces, all together.
	FillNotes liquid.Notes `json:"fillNotes,omitempty"`
	// Cautions are what a user of the answer must be shown.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// Limit returns the limit of a kind; the zero limit for NoLimit and for a
// value outside the list.
func (u *Use) Limit(k LimitKind) Limit {
	if k == NoLimit || int(k) > NumLimits {
		return Limit{}
	}
	return u.Limits[k-1]
}

// NumRechecks is how many states every case is checked again in.
const NumRechecks = 3

// Recheck is every limit in a state without the load. A limit is Within,
// Binds (used to the last 1e-9), Exceeded, CannotOccur, AtMost or NotChecked.
type Recheck struct {
	// State is the state: StateEmpty at the height of the case, StateLowered or
	// StateLoaderOff with the ballast on.
	State State `json:"kind"`
	// Status is the worst of Limits: Exceeded if any is, AtMost if one is known
	// as an upper bound only, NotChecked if none is checked, and else that of
	// Governing.
	Status Status `json:"status"`
	// Governing is the limit used most.
	Governing LimitKind `json:"governing"`
	// Limits holds every limit; Limits[k-1] is that of kind k.
	Limits [NumLimits]Share `json:"limits"`
}

// Share is how much of one limit is used.
type Share struct {
	// Kind is the limit's name.
	Kind LimitKind `json:"kind"`
	// Status is Within, Binds, Exceeded, ExceededWhenEmpty, CannotOccur,
	// AtMost or NotChecked. AtMost: the limit is known as an upper bound only,
	// the load is no more than that, Used is at least and Left at most what it
	// says.
	Status Status `json:"status"`
	// Used is the demand over what is allowed: 0.8 is 80 % used, more than 1
	// is exceeded. For a limit on a load that must not fall too low (tipping,
	// lifting wheels, the steered axle) it is the overturning part over the
	// holding part, 1 at the limit as well. Where Status is CannotOccur it is
	// what the machine uses without the load, which the load only relieves.
	// Zero where Status is NotChecked.
	Used units.Fraction `json:"used"`
	// Left is how much more load the limit allows, negative if it is
	// exceeded; zero where more load does not use it up.
	Left units.Mass `json:"left"`
}

// Check is the answer to "may this load be lifted here".
type Check struct {
	// Mass is the load asked about.
	Mass units.Mass `json:"mass"`
	// Lift is the same of the limits of what the loader can lift, and Carry of
	// those of what the machine may carry.
	Lift Status `json:"lift"`
	// Carry is the status of what the machine may carry; see Lift.
	Carry Status `json:"carry"`
	// Status is Within or Binds if every checked limit holds and Use states a
	// load; Exceeded or ExceededWhenEmpty if a limit is broken; NotChecked if
	// none is broken and Use states no load. A limit known as an upper bound
	// only counts where the load is more than that.
	Status Status `json:"status"`
	// MostUsed is the limit of which the largest part is used, counting what
	// the machine uses without load; the zero Share if none is checked.
	MostUsed Share `json:"mostUsed"`
	// Nearest is the limit with the least load left until it is reached,
	// negative if it is exceeded: another one than MostUsed where that grows
	// slowly with the load. It is the zero Share where Status is
	// ExceededWhenEmpty or NotChecked: nothing is left to rely on.
	Nearest Share `json:"nearest"`
	// Limits holds every limit; Limits[k-1] is that of kind k.
	Limits [NumLimits]Share `json:"limits"`
	// Axles is what the wheels carry with the load, without factor.
	Axles WheelLoads `json:"axles"`
	// Notes says how the answer was reached.
	Notes Notes `json:"notes,omitempty"`
	// Cautions are what a user of the answer must be shown.
	Cautions Cautions `json:"cautions"`
	// Library is the version of the library that made the answer; see [units.Version].
	Library string `json:"library"`
}

// OK reports whether the load may be lifted as far as the limits checked say.
func (c *Check) OK() bool { return c.Status == stability.Within || c.Status == stability.Binds }

// Limit returns the share of a limit; the zero share for NoLimit and for a
// value outside the list.
func (c *Check) Limit(k LimitKind) Share {
	if k == NoLimit || int(k) > NumLimits {
		return Share{}
	}
	return c.Limits[k-1]
}

// WheelLoads is what axles and wheels carry, told as the masses that scales
// would show: the normal force over gravity. A negative load means that the
// machine is past tipping.
type WheelLoads struct {
	// Total is the mass of everything.
	Total units.Mass `json:"total"`
	// Front is the load of the front axle.
	Front units.Mass `json:"front"`
	// Rear is the load of the rear axle.
	Rear units.Mass `json:"rear"`
	// FrontLeft is the load of that wheel.
	FrontLeft units.Mass `json:"frontLeft"`
	// FrontRight is the load of that wheel.
	FrontRight units.Mass `json:"frontRight"`
	// RearLeft is the load of that wheel.
	RearLeft units.Mass `json:"rearLeft"`
	// RearRight is the load of that wheel.
	RearRight units.Mass `json:"rearRight"`
}

// RearShare returns the rear axle's share of what the wheels carry; zero for
// a machine without mass.
func (a WheelLoads) RearShare() units.Fraction {
	if sum := float64(a.Front) + float64(a.Rear); sum > 0 {
		return units.Fraction(float64(a.Rear) / sum)
	}
	return 0
}

// FrontShare returns the front axle's share of what the wheels carry; zero
// for a machine without mass.
func (a WheelLoads) FrontShare() units.Fraction {
	if sum := float64(a.Front) + float64(a.Rear); sum > 0 {
		return units.Fraction(float64(a.Front) / sum)
	}
	return 0
}
