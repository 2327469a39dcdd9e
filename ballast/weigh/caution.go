package weigh

import "example.com/steelyard/internal/choice"

// Cautions is a set of warnings that belong to an answer: a program that shows the
// answer shows them with it. In JSON it is one string of names joined by commas,
// such as "manual". Each name is that of the constant without its prefix, except
// that [CautionLift] is "axleLift". [Cautions.Lines] returns the sentences.
type Cautions uint16

// The cautions of this package.
const (
	// CautionManual puts the operator's manual and local rules first.
	CautionManual Cautions = 1 << iota
	// CautionLevelGround says that the answer holds on firm, level ground.
	CautionLevelGround
	// CautionStandstill says that the answer leaves out speed, bumps and
	// braking.
	CautionStandstill
	// CautionNoTippingTest says that nobody may look for the tipping load by
	// tipping the machine.
	CautionNoTippingTest
	// CautionJustOffGround says how to hold a load while the scale is read.
	CautionJustOffGround
	// CautionLift says who may raise an axle and how.
	CautionLift
	// CautionBeyondShare says that a load of the session exceeds the stated share
	// of the lower bound.
	CautionBeyondShare
	// CautionPressure says who may read a pressure and how.
	CautionPressure
	// CautionNoCapacity says that a figure is no capacity.
	CautionNoCapacity

	cautionEnd
)

var cautionText = []choice.Remark{
	{Name: "manual", Sentence: choice.ManualFirst},
	{Name: "levelGround", Sentence: choice.LevelGround},
	{Name: "standstill", Sentence: choice.Standstill},
	{Name: "noTippingTest", Sentence: choice.NeverRaise},
	{Name: "justOffGround", Sentence: "Take each reading with the load just clear of the ground, nobody near it and the seat belt fastened; set it down before anyone approaches."},
	{Name: "axleLift", Sentence: "Only trained people may raise an axle, in a workshop: with a hoist or ramp made for it and no other loader and no forklift, the pivoting front axle wedged, the other wheels chocked, the arms down and empty, and nobody aboard, under or beside. An angle of 20 degrees on a short tractor is more than half a meter."},
	{Name: "beyondShare", Sentence: "A load of this session is more than the stated share of the lower bound: set it down, and do not lift such a load again."},
	{Name: "pressure", Sentence: "Only trained people may read a pressure: fit the gauge with the arms on the ground, the engine off and the pressure and any accumulator released; gauge and hose must be rated above the circuit's maximum; read from the seat, for seconds only; never feel for leaks, and never change a relief setting."},
	{Name: "noCapacity", Sentence: "This is a figure for finding faults and no capacity: nothing is put on raised arms that the loader could not lift there."},
}

// weighCautions go with every answer from scales.
const weighCautions = CautionManual | CautionLevelGround | CautionStandstill
