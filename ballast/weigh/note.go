package weigh

import (
	"errors"

	"example.com/steelyard/internal/choice"
)

// Notes says how an answer was reached: a set of bits, empty when nothing was
// assumed. [Notes.Err] is the strict mode. In JSON: one string of names joined
// by commas: "loadSpreadAssumed", "scaleTrusted", "transferred". The sentences
// are [Notes.Lines].
type Notes uint8

// The notes of this package.
const (
	// NoteLoadSDAssumed says that nobody stated how well the test loads are
	// known, and that they were taken to be as uncertain as one reading of
	// the scale.
	NoteLoadSDAssumed Notes = 1 << iota
	// NoteScaleTrusted says that the scale's zero, gain or division is not
	// given, and that it was taken to add no error.
	NoteScaleTrusted
	// NoteTransferred says that the answer was carried by geometry from the
	// setup that was weighed to one that was not.
	NoteTransferred

	noteEnd
)

var noteText = []choice.Remark{
	{Name: "loadSpreadAssumed", Sentence: "Nobody stated how well the test loads are known; they were taken to be as uncertain as one reading of the scale."},
	{Name: "scaleTrusted", Sentence: "The scale's zero, gain or division is not given and was taken to add no error: a scale that in truth reads 3 % high then gives a tipping load 3 % too high."},
	{Name: "transferred", Sentence: "The answer was carried by geometry from the setup that was weighed to one that was not."},
}

// ErrNote is the sentinel that the error of [Notes.Err] wraps.
var ErrNote = errors.New("answer leans on an assumption")

// Cautions is a set of warnings that belong to an answer: a program that shows
// the answer shows them with it. In JSON: one string of names joined by commas,
// each that of the constant without its prefix, such as "manual"; but "axleLift"
// is [CautionLift]. The sentences are [Cautions.Lines].
type Cautions uint8

// The cautions of this package.
const (
	// CautionManual puts the operator's manual and local rules first.
	CautionManual Cautions = 1 << iota
	// CautionLevelGround says that the answer holds on firm, level ground.
	CautionLevelGround
	// CautionStandstill says that the answer leaves out speed, bumps and
	// braking.
	CautionStandstill
	// CautionNoTippingTest says that nobody is to find the tipping load by
	// tipping.
	CautionNoTippingTest
	// CautionJustOffGround says how a load is held while a scale is read.
	CautionJustOffGround
	// CautionLift says who may raise an axle and how.
	CautionLift
	// CautionBeyondShare says that a weighing session went beyond its share
	// of the lower bound.
	CautionBeyondShare

	cautionEnd
)

var cautionText = []choice.Remark{
	{Name: "manual", Sentence: choice.ManualFirst},
	{Name: "levelGround", Sentence: choice.LevelGround},
	{Name: "standstill", Sentence: choice.Standstill},
	{Name: "noTippingTest", Sentence: choice.NeverRaise},
	{Name: "justOffGround", Sentence: "Take each reading with the load just clear of the ground, nobody near it and the seat belt fastened; set it down before anyone approaches."},
	{Name: "axleLift", Sentence: "An axle is raised only by trained people, with a hoist and supports made for the load, the other wheels chocked, and nobody under or beside the machine."},
	{Name: "beyondShare", Sentence: "A load of this session is more than the stated share of the lower bound: set it down, and do not go on with loads like that."},
}

// weighCautions go with every answer from scales.
const weighCautions = CautionManual | CautionLevelGround | CautionStandstill
