package stability

import (
	"errors"
	"example.com/steelyard/internal/choice"
)

// Notes is a set of notes on how an answer was reached: what it assumes and
// what it left out. The zero value is none. In JSON: one string of names
// joined by commas, each that of the constant without its prefix, such as
// "rigidTires". The sentences are [Notes.Lines].
type Notes uint32

// The notes.
const (
	// NoteFirmGround: flat, firm ground; contacts do not sink.
	NoteFirmGround Notes = 1 << iota
	// NoteQuasiStatic: balance of forces, no motion carried in.
	NoteQuasiStatic
	// NoteRigidTires: the tires do not give.
	NoteRigidTires
	// NoteFrontRollsFree: the front wheels roll freely.
	NoteFrontRollsFree
	// NoteLiftingWheelFree: the lifting wheel carries no longitudinal force.
	NoteLiftingWheelFree
	// NoteEqualRearSplit: both rear wheels take the same longitudinal force; where
	// one holds alone the limit may be lower.
	NoteEqualRearSplit
	// NotePinFree: the axle rolls freely on its pin, up to its stop.
	NotePinFree
	// NoteStopUnknown: the stop angle is not known; nothing past the first loss of
	// a wheel was checked.
	NoteStopUnknown
	// NoteEqualTires: a rigid machine's four tires are equally stiff.
	NoteEqualTires
	// NoteSurfaceFirstOrder: free surfaces count to first order of the slope.
	NoteSurfaceFirstOrder
	// NoteAxleMassless: the pivoting axle was given no mass; all mass counted with
	// the body, and the true limit may be lower.
	NoteAxleMassless
	// NoteFrictionUnknown: no friction coefficient was given; sliding was not
	// checked.
	NoteFrictionUnknown
	// NoteParallelAcceleration: the acceleration of the turn is parallel to the
	// ground.
	NoteParallelAcceleration
	// NoteHorizontalAcceleration: the acceleration of the turn is horizontal.
	NoteHorizontalAcceleration
	// NoteStartStated: the motion begins from the offset and speed that were
	// given; from exact balance it would take forever.
	NoteStartStated
	// NotePointMass: no inertia was given for the body; it counts as a point mass
	// and moves faster than the real one.
	NotePointMass
	// NoteAxleBlocked: the driven wheels stand still and the chassis turns about
	// their axle.
	NoteAxleBlocked
	// NoteNoLossAtStop: the stop takes no energy out of the motion.
	NoteNoLossAtStop
	// NotePinHeightUnknown: the pin's height was not given; the pin counted as
	// on the ground, and the true limit may be lower.
	NotePinHeightUnknown
	// NoteBendUnknown: the bend of an articulated machine's joint was not given;
	// the bend with the least limit counts.
	NoteBendUnknown
	// NoteBendAssumed: how far the joint can bend was not given; 45 degrees
	// counted, by common practice.
	NoteBendAssumed
	numNotes = iota
)

var noteText = []choice.Remark{
	{Name: "firmGround", Sentence: "Flat, firm ground; the contacts do not sink."},
	{Name: "quasiStatic", Sentence: "Balance of forces only: no speed or jolt carried in."},
	{Name: "rigidTires", Sentence: "Tires taken as rigid; real tires give and tip earlier."},
	{Name: "frontRollsFree", Sentence: "The front wheels roll freely; braking them lowers the limit nose down."},
	{Name: "liftingWheelFree", Sentence: "The lifting wheel carries no longitudinal force."},
	{Name: "equalRearSplit", Sentence: "Both rear wheels hold alike; where one holds alone the limit may be lower."},
	{Name: "pinFree", Sentence: "The axle rolls freely on its pin up to its stop."},
	{Name: "stopUnknown", Sentence: "Stop angle not known: nothing past the first loss of a wheel was checked."},
	{Name: "equalTires", Sentence: "The four tires are equally stiff."},
	{Name: "surfaceFirstOrder", Sentence: "Free liquid surfaces counted to first order of the slope."},
	{Name: "axleMassless", Sentence: "Mass of the pivoting axle not known: all mass counted with the body. The true limit may be lower: give the axle's mass and place."},
	{Name: "frictionUnknown", Sentence: "Friction not known: sliding was not checked."},
	{Name: "parallelAcceleration", Sentence: "The acceleration of the turn is taken parallel to the ground."},
	{Name: "horizontalAcceleration", Sentence: "The acceleration of the turn is taken horizontal."},
	{Name: "startStated", Sentence: "The motion begins with the offset and speed stated; from exact balance it would take for ever."},
	{Name: "pointMass", Sentence: "The body counted as a point mass: the real one moves slower."},
	{Name: "axleBlocked", Sentence: "The driven wheels stand still and the chassis turns about their axle."},
	{Name: "noLossAtStop", Sentence: "The stop is taken to absorb nothing."},
	{Name: "pinHeightUnknown", Sentence: "Height of the pin not known: it counted as on the ground. The true limit may be lower: measure the pin's height."},
	{Name: "bendUnknown", Sentence: "Bend of the joint not known: the bend with the least limit counts."},
	{Name: "bendAssumed", Sentence: "Largest bend of the joint not known: 45 degrees counted. Give what the joint's stops allow."},
}

// ErrNote is the sentinel that [Notes.Err] wraps.
var ErrNote = errors.New("answer leans on an assumption")

// Cautions is a set of cautions that belong beside an answer when it is
// shown. The zero value is none. In JSON: one string of names joined by
// commas, each that of the constant without its prefix, such as "manual". The
// sentences are [Cautions.Lines].
type Cautions uint32

// The cautions.
const (
	// CautionManual: the operator's manual, local rules and licensed practice
	// come before this answer.
	CautionManual Cautions = 1 << iota
	// CautionNoTippingTest: the answer is not to be tried out.
	CautionNoTippingTest
	// CautionRoughGround: bumps, ruts, soft edges and speed use up the margin.
	CautionRoughGround
	// CautionRaisedLoad: a raised or swinging load moves the limit.
	CautionRaisedLoad
	// CautionSlidesFirst: the machine slides before it tips.
	CautionSlidesFirst
	// CautionNotALimit: the machine has lost a wheel long before; this is no limit to
	// work to.
	CautionNotALimit
	// CautionWearBelt: roll-over protection protects only who is belted in it.
	CautionWearBelt
)

var cautionText = []choice.Remark{
	{Name: "manual", Sentence: choice.ManualFirst},
	{Name: "noTippingTest", Sentence: choice.NoTippingTest},
	{Name: "roughGround", Sentence: "For firm, even ground at rest or steady speed; bumps, ruts, soft edges and speed use up the margin."},
	{Name: "raisedLoad", Sentence: "Carry loads low and still; a raised or swinging load moves the limit."},
	{Name: "slidesFirst", Sentence: "On this ground the machine slides before it tips."},
	{Name: "notALimit", Sentence: "The machine has lost a wheel before this; it is no limit to work to."},
	{Name: "wearBelt", Sentence: "A roll-over frame protects only an operator who wears the belt."},
}

// SlopeCautions are the cautions that every slope limit carries.
const SlopeCautions = CautionManual | CautionNoTippingTest | CautionRoughGround | CautionRaisedLoad
