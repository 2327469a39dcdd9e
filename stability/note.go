package stability

import (
	"errors"
	"example.com/steelyard/internal/choice"
)

// Notes is a set of notes on how an answer was reached: what it assumes and what
// it leaves out. The zero value is none. In JSON it is one string of names joined
// by commas, such as "rigidTires". Each name is that of the constant without its
// prefix. [Notes.Lines] returns the sentences.
type Notes uint32

// The notes.
const (
	// NoteFirmGround: the ground is flat and firm, and the contacts do not sink.
	NoteFirmGround Notes = 1 << iota
	// NoteQuasiStatic: the forces balance, and the machine brings in no motion.
	NoteQuasiStatic
	// NoteRigidTires: the tires do not deflect.
	NoteRigidTires
	// NoteFrontRollsFree: the front wheels roll freely.
	NoteFrontRollsFree
	// NoteLiftingWheelFree: the lifting wheel carries no longitudinal force.
	NoteLiftingWheelFree
	// NoteEqualRearSplit: both rear wheels take the same longitudinal force; if
	// one wheel takes it alone, the limit may be lower.
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
	// NoteAxleMassless: the mass of the pivoting axle was not given; all mass
	// counted with the body, and the true limit may be lower.
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
	// given; from exact balance the machine would not move.
	NoteStartStated
	// NotePointMass: no inertia was given for the body; it counts as a point mass,
	// which moves faster than the real body.
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
	// NoteRegulationOnly: the figure is what a regulation calculates, and not a
	// description of what an overturn does.
	NoteRegulationOnly
	// NoteWiderThanTires: the roll-over frame or the hood is wider than the outside
	// of the tires, and the regulation's calculation does not hold.
	NoteWiderThanTires
	// NoteHoodFirst: the hood touches the ground before the frame has pressed into
	// it, and the regulation's calculation does not hold.
	NoteHoodFirst
	// NoteOutsideFormula: with these inputs a formula of the regulation has no
	// value.
	NoteOutsideFormula
	// NoteLoadRigid: the load is rigid on the machine, the wheels do not spin, the
	// frame does not bend, and nothing of the load touches the ground.
	NoteLoadRigid
	// NoteEdgesHold: edges do not crumble, and the tires touch them at one point.
	NoteEdgesHold
	// NotePracticeRange: a tire stiffness, a damping, an inertia or a friction was
	// not given; a range or a value of common practice stands for it.
	NotePracticeRange
	// NoteSpeedHeld: the machine holds its speed and its line, and wheels of one side
	// follow the obstacle as a rigid circle would.
	NoteSpeedHeld
	numNotes = iota
)

var noteText = []choice.Remark{
	{Name: "firmGround", Sentence: "The ground is taken as flat and firm; the contacts do not sink."},
	{Name: "quasiStatic", Sentence: "Only the balance of forces counts: speed and jolts are left out."},
	{Name: "rigidTires", Sentence: "The tires are taken as rigid; on real tires, which deflect, the machine tips earlier."},
	{Name: "frontRollsFree", Sentence: "The front wheels roll freely; braking them lowers the limit with the nose downhill."},
	{Name: "liftingWheelFree", Sentence: "The lifting wheel carries no longitudinal force."},
	{Name: "equalRearSplit", Sentence: "Both rear wheels take the same longitudinal force; if one wheel takes it alone, the limit may be lower."},
	{Name: "pinFree", Sentence: "The axle rolls freely on its pin up to its stop."},
	{Name: "stopUnknown", Sentence: "The stop angle is not known: nothing past the first loss of a wheel was checked."},
	{Name: "equalTires", Sentence: "The four tires are taken as equally stiff."},
	{Name: "surfaceFirstOrder", Sentence: "Free liquid surfaces count to first order of the slope."},
	{Name: "axleMassless", Sentence: "The mass of the pivoting axle is not known: all mass counted with the body. The true limit may be lower: give the axle's mass and place."},
	{Name: "frictionUnknown", Sentence: "The friction is not known: sliding was not checked."},
	{Name: "parallelAcceleration", Sentence: "The acceleration of the turn is taken as parallel to the ground."},
	{Name: "horizontalAcceleration", Sentence: "The acceleration of the turn is taken as horizontal."},
	{Name: "startStated", Sentence: "The motion begins with the stated offset and speed; from exact balance the machine would not move."},
	{Name: "pointMass", Sentence: "The body counted as a point mass: the real body moves more slowly."},
	{Name: "axleBlocked", Sentence: "The driven wheels stand still and the chassis turns about their axle."},
	{Name: "noLossAtStop", Sentence: "The stop is taken to absorb no energy."},
	{Name: "pinHeightUnknown", Sentence: "The height of the pin is not known: the pin counted as on the ground. The true limit may be lower: measure the pin's height."},
	{Name: "bendUnknown", Sentence: "The bend of the joint is not known: the bend with the least limit counts."},
	{Name: "bendAssumed", Sentence: "The largest bend of the joint is not known: 45 degrees counted. Give the bend that the joint's stops allow."},
	{Name: "regulationOnly", Sentence: "This is what a regulation calculates; it does not describe a real overturn."},
	{Name: "widerThanTires", Sentence: "The frame or the hood is wider than the outside of the tires: the regulation's calculation does not hold."},
	{Name: "hoodFirst", Sentence: "The hood touches the ground before the frame has pressed into it: the regulation's calculation does not hold."},
	{Name: "outsideFormula", Sentence: "With these inputs a formula of the regulation has no value."},
	{Name: "loadRigid", Sentence: "The load is taken as rigid on the machine; spinning wheels, a bending frame and a load that touches the ground are left out."},
	{Name: "edgesHold", Sentence: "Edges are taken as firm, and a tire touches the ground at one point."},
	{Name: "practiceRange", Sentence: "A tire stiffness, a damping, an inertia or a friction was not given: a range or a value of common practice stands for it."},
	{Name: "speedHeld", Sentence: "The machine is taken to hold its speed and its line."},
}

// ErrNote is the sentinel that [Notes.Err] wraps.
var ErrNote = errors.New("answer rests on an assumption")

// Cautions is a set of cautions to show with an answer. The zero value is none.
// In JSON it is one string of names joined by commas, such as "manual". Each name
// is that of the constant without its prefix. [Cautions.Lines] returns the
// sentences.
type Cautions uint32

// The cautions.
const (
	// CautionManual: the operator's manual, local rules and licensed practice
	// come before this answer.
	CautionManual Cautions = 1 << iota
	// CautionNoTippingTest: nobody may try the answer out on a machine.
	CautionNoTippingTest
	// CautionRoughGround: bumps, ruts, soft edges and speed use up the margin.
	CautionRoughGround
	// CautionRaisedLoad: a raised or swinging load moves the limit.
	CautionRaisedLoad
	// CautionSlidesFirst: the machine slides before it tips.
	CautionSlidesFirst
	// CautionNotALimit: the machine has lost a wheel long before; do not work up
	// to this figure.
	CautionNotALimit
	// CautionWearBelt: roll-over protection protects only an operator who wears
	// the belt.
	CautionWearBelt
	// CautionNotSurvivable: nothing in the figure says that anybody survives an
	// overturn.
	CautionNotSurvivable
	// CautionHiddenGround: hidden holes, soft ground and braking in a turn are not
	// covered.
	CautionHiddenGround
	// CautionNotPermission: the figure is no permission to drive over anything.
	CautionNotPermission
)

var cautionText = []choice.Remark{
	{Name: "manual", Sentence: choice.ManualFirst},
	{Name: "noTippingTest", Sentence: choice.NoTippingTest},
	{Name: "roughGround", Sentence: "The figure holds for firm, even ground, at rest or at steady speed; bumps, ruts, soft edges and speed use up the margin."},
	{Name: "raisedLoad", Sentence: "Carry loads low and still; a raised or swinging load moves the limit."},
	{Name: "slidesFirst", Sentence: "On this ground the machine slides before it tips."},
	{Name: "notALimit", Sentence: "The machine has lost a wheel before this; do not work up to this figure."},
	{Name: "wearBelt", Sentence: "A roll-over frame protects only an operator who wears the belt."},
	{Name: "notSurvivable", Sentence: "An overturn kills; this figure does not say that anybody survives one."},
	{Name: "hiddenGround", Sentence: "Hidden holes, soft ground and braking in a turn are not covered."},
	{Name: "notPermission", Sentence: "The figure is no permission to drive over anything: go around, or slowly and with the load low."},
}

// SlopeCautions are the cautions that every slope limit carries.
const SlopeCautions = CautionManual | CautionNoTippingTest | CautionRoughGround | CautionRaisedLoad
