package ballast

import (
	"errors"

	"example.com/steelyard/internal/choice"
	"example.com/steelyard/units"
)

// Notes says how an answer was reached: a set of bits, empty when nothing was
// assumed. [Notes.Err] is the strict mode. In JSON: one string of names
// joined by commas, each that of the constant without its prefix, such as
// "duals"; but "cgHeightUnknown" is [NoteCGHeightUnknown]. The sentences are
// [Notes.Lines].
type Notes uint64

// The notes of this package.
const (
	// NoteLiftNotScaled says that a hitch lift rating was left as it stands
	// at its rated distance although the implement is nearer.
	NoteLiftNotScaled Notes = 1 << iota
	// NoteInterpolated says that a value was interpolated between two rows of
	// a table.
	NoteInterpolated
	// NoteLowestPressure says that the load is below the first row of the
	// table, whose pressure was kept.
	NoteLowestPressure
	// NoteSpeedNotStated says that a table does not state the speed for which
	// it holds.
	NoteSpeedNotStated
	// NoteBasisUnknown says: no safety basis was chosen; the tipping load shown
	// is the bare one.
	NoteBasisUnknown
	// NoteBorrowedBasis says: the fraction of the tipping load is borrowed from
	// earth-moving loaders (ISO 14397-1).
	NoteBorrowedBasis
	// NoteDefaultFactor says: the dynamic factor is DefaultFactor.
	NoteDefaultFactor
	// NoteCGHeightUnknown says: the machine's CG height is not known; slope and
	// braking answers are not checked.
	NoteCGHeightUnknown
	// NoteAxlePinHeightUnknown says: the height of the front axle's pin is not known.
	NoteAxlePinHeightUnknown
	// NoteFrontTrackUnknown says: the front track is not known.
	NoteFrontTrackUnknown
	// NoteAxleUnknown says: mass or CG height of the front axle are not known.
	NoteAxleUnknown
	// NoteRadiusUnknown says: a static loaded radius is not known, and with it the
	// height of liquid or weights on the wheels.
	NoteRadiusUnknown
	// NotePieceHeightUnknown says: the height of a piece is not known.
	NotePieceHeightUnknown
	// NoteLoadHeightUnknown says: the height of the load's CG above tines or edge
	// is not known.
	NoteLoadHeightUnknown
	// NoteStateHeightUnknown says: the height of seat, tank, loader frame or
	// attachment CG is not known.
	NoteStateHeightUnknown
	// NoteLiftUnknown says: nothing says what the loader lifts.
	NoteLiftUnknown
	// NoteOutsideRated says: the height is outside the rated points.
	NoteOutsideRated
	// NoteArmMassUnknown says: the mass of the loader's arms is not known, or is
	// counted with the machine and not moved.
	NoteArmMassUnknown
	// NoteAllowanceRefused says: a tire allowance was asked for and one of its
	// conditions is not confirmed.
	NoteAllowanceRefused
	// NoteAllowanceUsed says: a tire allowance is part of the answer.
	NoteAllowanceUsed
	// NoteOverSpeed says: the speed is beyond the tire's speed symbol, or no
	// symbol says whether it is.
	NoteOverSpeed
	// NotePressureUnknown says: a load-pressure table is given and the pressure is
	// not.
	NotePressureUnknown
	// NoteHitchResting says: a piece on the hitch rests or floats and does not
	// count in full.
	NoteHitchResting
	// NoteReachRatio says that a rating, of the hitch or of an attachment, was
	// reduced in proportion to the distance, because its load is farther out than
	// the rating holds for.
	NoteReachRatio
	// NotePath says: each limit is the least over several heights.
	NotePath
	// NoteDuals says: the rating of dual tires is 0.88 of each (memory).
	NoteDuals
	// NoteFill says that the mass of a liquid is that of a fill, with the
	// notes and the band that package liquid gives it.
	NoteFill
	// NoteBelowLowestPressure says that a tire's pressure is below the first
	// row of its maker's table, where the maker gives no load.
	NoteBelowLowestPressure
	// NoteSpeedUnknown says that a tire has a speed symbol and that the speed
	// is not given.
	NoteSpeedUnknown
	// NoteHitchTwice says that two pieces hang on the rear hitch at once: a box
	// with its filling, or one that is listed twice.
	NoteHitchTwice
	// NoteLiquidTwice says that liquid in the tires of one axle is listed more
	// than once.
	NoteLiquidTwice
	// NoteCenterAssumed says that the load's distance ahead is not given, and
	// that it was taken to be the attachment's own load center.
	NoteCenterAssumed
	// NoteOneHeight says that the answer holds at one height only.
	NoteOneHeight
	// NoteNoseUphill says that the machine was taken to point straight uphill.
	NoteNoseUphill
	// NoteHeightZero says that the height is zero.
	NoteHeightZero
	// NoteNothingMounted says that a distance is given and no mass to go with
	// it.
	NoteNothingMounted
	// NoteFrictionUnknown says that the friction of the lift cylinders is not known
	// and nothing was taken off for it.
	NoteFrictionUnknown
	// NoteFollowed says that a passage over an obstacle was followed at single loads
	// and speeds, of one machine.
	NoteFollowed
	// NoteStalls says that at some speed the machine stalls before it is over the
	// obstacle.
	NoteStalls
	// NoteNotFollowed says that the passage was not followed: too much is open.
	NoteNotFollowed
	// NoteRollNotFollowed says that the passage of one wheel was not followed,
	// because the front axle does not swing on a pin.
	NoteRollNotFollowed
	// NoteTiresAssumed says that stiffness or damping of the tires or an inertia
	// is not given.
	NoteTiresAssumed
	// NoteUnheld says that a piece is not held against its axle and the other
	// pieces.
	NoteUnheld

	noteEnd
)

var noteText = []choice.Remark{
	{Name: "liftNotScaled", Sentence: "The hitch lift rating holds at its rated distance behind the lower hitch points; it was not raised for an implement that is nearer."},
	{Name: "interpolated", Sentence: "The value was interpolated between two rows of the table."},
	{Name: "lowestPressure", Sentence: "The load is below the first row of the table; its lowest pressure was kept."},
	{Name: "speedNotStated", Sentence: "The table does not state the speed for which it holds; make sure that it covers the speed driven."},
	{Name: "basisUnknown", Sentence: "No safety basis against tipping was chosen: the tipping load shown is the bare one, and not a load to lift."},
	{Name: "borrowedBasis", Sentence: "The fraction of the tipping load is borrowed from earth-moving loaders (ISO 14397-1); no standard gives it for a tractor."},
	{Name: "defaultFactor", Sentence: "The dynamic factor is the default, 1.65; it is not shown to cover any particular obstacle."},
	{Name: "cgHeightUnknown", Sentence: "The height of the machine's center of gravity is not known: weigh one axle level and with the other lifted."},
	{Name: "axlePinHeightUnknown", Sentence: "The height of the front axle's pin is not known: measure it with a tape from level ground to the middle of the pin."},
	{Name: "frontTrackUnknown", Sentence: "The front track is not known: measure it with a tape between the middles of the front tires."},
	{Name: "axleUnknown", Sentence: "Mass or height of the front axle are not known: about a tenth of the machine, at the height of its hubs, is usual (common practice, no source); weigh or look it up."},
	{Name: "radiusUnknown", Sentence: "A static loaded radius is not known: measure with a tape from level ground to the middle of the hub."},
	{Name: "pieceHeightUnknown", Sentence: "The height of a piece of ballast is not known: measure with a tape from level ground to its middle."},
	{Name: "loadHeightUnknown", Sentence: "The height of the load above the tines or the edge is not known: measure to its middle."},
	{Name: "stateHeightUnknown", Sentence: "The height of the operator's seat, the tank, the loader's frame or the attachment is not known: measure with a tape."},
	{Name: "liftUnknown", Sentence: "Nothing says what the loader lifts: give its cylinders or two or more rated points."},
	{Name: "outsideRated", Sentence: "The height is outside the rated points: a compiled model does not check the lift there, and the answer of a setup widens it, the more the farther it is from them."},
	{Name: "armMassUnknown", Sentence: "The mass of the loader's arms is not known apart from the machine: they are not moved with height."},
	{Name: "allowanceRefused", Sentence: "A tire allowance was asked for and is not granted: one of its conditions is not confirmed."},
	{Name: "allowanceUsed", Sentence: "A tire allowance of ISO 7867-2 is part of the answer; it holds under its conditions only."},
	{Name: "overSpeed", Sentence: "The speed is beyond what the tire's rating is for."},
	{Name: "pressureUnknown", Sentence: "A tire's pressure is not known: read it with a gauge in the cold tire. Until then its load is known as an upper bound only."},
	{Name: "hitchResting", Sentence: "A piece on the hitch rests on the ground or floats and does not count in full."},
	{Name: "reachRatio", Sentence: "A rating is reduced in proportion to the distance, the cautious bound, because the load is farther out than it holds for."},
	{Name: "path", Sentence: "Each limit is the least over the whole way of the load."},
	{Name: "duals", Sentence: "Dual tires are rated at 0.88 of each tire alone (from memory of a rule); ask the tire maker."},
	{Name: "fill", Sentence: "The mass of the liquid is that of a fill worked out from the tire's dimensions; it has a band, and notes of its own."},
	{Name: "belowLowestPressure", Sentence: "A tire's pressure is below the lowest of its maker's table: inflate it first. The maker gives no load there; the figure shown is an upper bound."},
	{Name: "speedUnknown", Sentence: "The travel speed is not given: a tire's rating holds up to the speed of its symbol only, and the figure shown is an upper bound."},
	{Name: "hitchTwice", Sentence: "Two pieces hang on one three-point hitch: make sure that both are there at the same time, and that each is listed at its own place."},
	{Name: "liquidTwice", Sentence: "Liquid in the tires of one axle is listed more than once: make sure that it is not the same liquid twice."},
	{Name: "centerAssumed", Sentence: "How far out the load's center lies is not given: a compiled model takes the attachment's own load center, and the answer of a setup takes the range of practice beyond it. Less is allowed of a load farther out."},
	{Name: "oneHeight", Sentence: "The answer holds at this height only; on the way there less may be allowed."},
	{Name: "noseUphill", Sentence: "The nose points straight uphill; with another heading less may be allowed."},
	{Name: "heightZero", Sentence: "The height is zero: what it is the height of stands on the ground."},
	{Name: "nothingMounted", Sentence: "A distance is given and no mass: nothing was taken to be carried there."},
	{Name: "frictionUnknown", Sentence: "The friction of the lift cylinders' seals and pins is not known and was not taken off: 6 to 12 % less is usual (common practice, no source)."},
	{Name: "followed", Sentence: "The passage was followed at speeds 0.25 km/h apart, those of one wheel 0.5 km/h, and at single loads, with the middle of all that is open; what lies between them is estimated from many machines and not proven."},
	{Name: "stalls", Sentence: "At some speed the machine stalls before its rear wheels are over the obstacle; what it does beyond was not followed."},
	{Name: "notFollowed", Sentence: "The passage was not followed: too much is not known of where the load and the center of gravity are."},
	{Name: "rollNotFollowed", Sentence: "The passage of one wheel was not followed: that is done for a front axle that swings on a pin only. Nothing is said of it."},
	{Name: "tiresAssumed", Sentence: "Stiffness or damping of the tires or the inertia of the machine is not known: ranges of common practice stand for it, without source."},
	{Name: "unheld", Sentence: "A piece of ballast was not held against its axle and the other pieces: look whether the filled tire is the one on the axle, and how many are filled."},
}

// notesParam is the sentences of notes in a message.
func notesParam(n Notes) units.Param {
	var list []units.Message
	for _, r := range n.Remarks() {
		list = append(list, units.Message{Code: r.Code, Text: r.Text})
	}
	return units.Saying("notes", list...)
}

// ErrNote is the sentinel that the error of [Notes.Err] wraps.
var ErrNote = errors.New("answer rests on an assumption")

// Cautions is a set of warnings that belong to an answer: a program that
// shows the answer shows them with it. In JSON: one string of names joined by
// commas, each that of the constant without its prefix, such as "manual"; but
// "rops" is [CautionROPS]. The sentences are
// [Cautions.Lines].
type Cautions uint64

// The cautions of this package.
const (
	// CautionManual puts the operator's manual and local rules first.
	CautionManual Cautions = 1 << iota
	// CautionLevelGround says that the answer holds on firm, level ground.
	CautionLevelGround
	// CautionStandstill says that the answer leaves out speed, bumps and
	// braking.
	CautionStandstill
	// CautionEmptyAgain says that ballast put on for one load is checked
	// again without it.
	CautionEmptyAgain
	// CautionRoadRules says that road law has limits of its own.
	CautionRoadRules
	// CautionTireMaker defers to the tire maker for pressure and load.
	CautionTireMaker
	// CautionPressure warns of the energy in a tire under pressure.
	CautionPressure
	// CautionRaisedOnly says that an implement counts as ballast only while
	// it is raised.
	CautionRaisedOnly
	// CautionROPS says that a roll-over protective structure protects only
	// up to the mass it is certified for, with the belt on.
	CautionROPS
	// CautionNoTippingTest says that nobody is to find the tipping load by
	// tipping.
	CautionNoTippingTest
	// CautionSlope says that a slope limit is the first loss of a wheel, not a
	// slope to drive on.
	CautionSlope
	// CautionUnchecked says that a limit was not checked.
	CautionUnchecked
	// CautionBallast says that the ballast breaks a limit with the attachment
	// empty, lowered, or with the loader off.
	CautionBallast
	// CautionCarryLow says how to travel with a load.
	CautionCarryLow
	// CautionWithoutBallast says that a loader that demands ballast is not to
	// be used without it.
	CautionWithoutBallast
	// CautionStatedSlope takes the place of CautionLevelGround on a slope:
	// the answer holds on even ground of that slope and heading.
	CautionStatedSlope
	// CautionStatedBraking takes the place of CautionStandstill under
	// braking: the answer holds for that braking on ground without bumps.
	CautionStatedBraking
	// CautionHiddenGround says what an answer over a stated obstacle does not
	// cover.
	CautionHiddenGround
	// CautionNotPermission says that such an answer is no permission.
	CautionNotPermission

	cautionEnd
)

var cautionText = []choice.Remark{
	{Name: "manual", Sentence: choice.ManualFirst},
	{Name: "levelGround", Sentence: choice.LevelGround},
	{Name: "standstill", Sentence: choice.Standstill},
	{Name: "emptyAgain", Sentence: choice.EmptyAgain},
	{Name: "roadRules", Sentence: choice.RoadRules},
	{Name: "tireMaker", Sentence: "The inflation pressure and the load that a tire may carry are those of its maker for the speed and work at hand."},
	{Name: "pressure", Sentence: "A tire under pressure stores enough energy to kill: inflate with a clip-on chuck, from beside the tread, never above the maker's limit."},
	{Name: "raisedOnly", Sentence: choice.RaisedOnly},
	{Name: "rops", Sentence: choice.ROPS},
	{Name: "noTippingTest", Sentence: choice.NeverRaise},
	{Name: "slope", Sentence: "A slope limit is where the first wheel comes off the ground, not a slope to drive on."},
	{Name: "unchecked", Sentence: "At least one limit was not checked because a rating or a dimension is not known; it may be the one that matters."},
	{Name: "ballast", Sentence: "Without the load a limit is broken: this ballast is not for use with the attachment empty or the loader off."},
	{Name: "carryLow", Sentence: "Travel with the load as low as the ground allows, slowly, and brake softly; nobody stands near a raised load."},
	{Name: "withoutBallast", Sentence: "Where the loader's manual demands ballast, the loader is not used without it, whatever this figure says."},
	{Name: "statedSlope", Sentence: "This holds on firm, even ground of the stated slope, seen from the stated heading; a steeper slope, ruts, a turn and soft ground leave less."},
	{Name: "statedBraking", Sentence: "This holds for the stated braking on ground without bumps; harder braking and bumps leave less."},
	{Name: "hiddenGround", Sentence: "Hidden holes, soft ground and braking in a turn are not covered."},
	{Name: "notPermission", Sentence: "The figure is no permission to drive over anything: go around, or slowly and with the load low."},
}
