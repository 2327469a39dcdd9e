package stability

import (
	"errors"
	"fmt"
)

// Notes is a set of notes on how an answer was reached: what it assumes and
// what it left out. The zero value is none.
type Notes uint32

// The notes.
const (
	// FirmGround: flat, firm ground; contacts do not sink.
	FirmGround Notes = 1 << iota
	// QuasiStatic: balance of forces, no motion carried in.
	QuasiStatic
	// RigidTires: the tires do not give.
	RigidTires
	// FrontRollsFree: the front wheels roll freely.
	FrontRollsFree
	// LiftingWheelFree: the lifting wheel carries no longitudinal force.
	LiftingWheelFree
	// EqualRearSplit: both rear wheels take the same longitudinal force.
	EqualRearSplit
	// PinFree: the axle rolls freely on its pin, up to its stop.
	PinFree
	// StopUnknown: the stop angle is not known; nothing past the first loss of
	// a wheel was checked.
	StopUnknown
	// EqualTires: a rigid machine's four tires are equally stiff.
	EqualTires
	// SurfaceFirstOrder: free surfaces count to first order of the slope.
	SurfaceFirstOrder
	// AxleMassless: the pivoting axle was given no mass.
	AxleMassless
	// FrictionUnknown: no friction coefficient was given; sliding was not
	// checked.
	FrictionUnknown
	// ParallelAcceleration: the acceleration of the turn is parallel to the
	// ground.
	ParallelAcceleration
	// HorizontalAcceleration: the acceleration of the turn is horizontal.
	HorizontalAcceleration
	// StartStated: the motion begins from the offset and speed that were
	// given; from exact balance it would take for ever.
	StartStated
	// PointMass: no inertia was given for the body; it counts as a point mass
	// and moves faster than the real one.
	PointMass
	// AxleBlocked: the driven wheels stand still and the chassis turns about
	// their axle.
	AxleBlocked
	// NoLossAtStop: the stop takes no energy out of the motion.
	NoLossAtStop
	numNotes = iota
)

var noteNames = []string{
	"firmGround", "quasiStatic", "rigidTires", "frontRollsFree", "liftingWheelFree", "equalRearSplit",
	"pinFree", "stopUnknown", "equalTires", "surfaceFirstOrder", "axleMassless", "frictionUnknown",
	"parallelAcceleration", "horizontalAcceleration", "startStated", "pointMass", "axleBlocked", "noLossAtStop",
}

var noteLines = []string{
	"flat, firm ground; the contacts do not sink",
	"balance of forces only: no speed or jolt carried in",
	"tires taken as rigid; real tires give and tip earlier",
	"the front wheels roll freely; braking them lowers the limit nose down",
	"the lifting wheel carries no longitudinal force",
	"both rear wheels take the same longitudinal force",
	"the axle rolls freely on its pin up to its stop",
	"stop angle not known: nothing past the first loss of a wheel was checked",
	"the four tires are equally stiff",
	"free liquid surfaces counted to first order of the slope",
	"the pivoting axle counted without mass",
	"friction not known: sliding was not checked",
	"the acceleration of the turn is taken parallel to the ground",
	"the acceleration of the turn is taken horizontal",
	"the motion begins with the offset and speed stated; from exact balance it would take for ever",
	"the body counted as a point mass: the real one moves slower",
	"the driven wheels stand still and the chassis turns about their axle",
	"the stop is taken to absorb nothing",
}

// String returns the names of the notes, joined by commas.
func (n Notes) String() string { return bitNames(noteNames, uint32(n)) }

// Text returns a sentence for each note, in a fixed order.
func (n Notes) Text() []string { return bitLines(noteLines, uint32(n)) }

// ErrNote is the sentinel that [Notes.Err] wraps.
var ErrNote = errors.New("stability: the answer rests on what was refused")

// Err is the strict mode: it returns an error wrapping [ErrNote] if any note
// of mask is set, else nil.
func (n Notes) Err(mask Notes) error {
	if n &= mask; n != 0 {
		return fmt.Errorf("%w: %s", ErrNote, n)
	}
	return nil
}

// MarshalText returns the names of the notes, joined by commas.
func (n Notes) MarshalText() ([]byte, error) { return []byte(n.String()), nil }

// Cautions is a set of cautions that belong beside an answer when it is
// shown. The zero value is none.
type Cautions uint32

// The cautions.
const (
	// ManualFirst: the operator's manual, local rules and licensed practice
	// come before this answer.
	ManualFirst Cautions = 1 << iota
	// NoTippingTest: the answer is not to be tried out.
	NoTippingTest
	// RoughGround: bumps, ruts, soft edges and speed use up the margin.
	RoughGround
	// RaisedLoad: a raised or swinging load moves the limit.
	RaisedLoad
	// SlidesFirst: the machine slides before it tips.
	SlidesFirst
	// NotALimit: the machine has lost a wheel long before; this is no limit to
	// work to.
	NotALimit
	// WearBelt: roll-over protection protects only who is belted in it.
	WearBelt
)

var cautionNames = []string{"manualFirst", "noTippingTest", "roughGround", "raisedLoad", "slidesFirst", "notALimit", "wearBelt"}

var cautionLines = []string{
	"The operator's manual, local rules and licensed practice come before this figure.",
	"Calculated, not tried out: never approach a tipping limit to check it.",
	"For firm, even ground at rest or steady speed; bumps, ruts, soft edges and speed use up the margin.",
	"Carry loads low and still; a raised or swinging load moves the limit.",
	"On this ground the machine slides before it tips.",
	"The machine has lost a wheel before this; it is no limit to work to.",
	"A roll-over frame protects only an operator who wears the belt.",
}

// SlopeCautions are the cautions that every slope limit carries.
const SlopeCautions = ManualFirst | NoTippingTest | RoughGround | RaisedLoad

// String returns the names of the cautions, joined by commas.
func (c Cautions) String() string { return bitNames(cautionNames, uint32(c)) }

// Lines returns a sentence for each caution, in a fixed order.
func (c Cautions) Lines() []string { return bitLines(cautionLines, uint32(c)) }

// MarshalText returns the names of the cautions, joined by commas.
func (c Cautions) MarshalText() ([]byte, error) { return []byte(c.String()), nil }
