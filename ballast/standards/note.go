package standards

import (
	"errors"

	"example.com/steelyard/internal/choice"
)

// Notes says how an answer was reached. It is a set of bits, empty when nothing was
// assumed. [Notes.Err] is the strict mode. In JSON it is one string of names joined
// by commas, such as "memory". Each name is that of the constant without its prefix.
// [Notes.Lines] returns the sentences.
type Notes uint32

// The notes of this package.
const (
	// NoteMemory says that a constant was written from memory of its source.
	NoteMemory Notes = 1 << iota
	// NoteSourcesDisagree says that published figures differ and that the band
	// includes all of them.
	NoteSourcesDisagree
	// NoteOneSource says that a figure of practice has one source only.
	NoteOneSource
	// NotePowerEstimated says that the power at the power take-off was taken
	// as 95 % of the net engine power.
	NotePowerEstimated
	// NoteOutsideRange says that an input lies outside the range for which
	// the formula was fitted.
	NoteOutsideRange
	// NoteSecondaryText says that a rule was read in a secondary text and not in
	// the law itself.
	NoteSecondaryText
	// NotePracticeOnly says that a rule is common practice without a source.
	NotePracticeOnly

	noteEnd
)

var noteText = []choice.Remark{
	{Name: "memory", Sentence: "A constant was written from memory of its source and has not been looked up."},
	{Name: "sourcesDisagree", Sentence: "Published figures differ; the band includes all of them."},
	{Name: "oneSource", Sentence: "The figure of practice has one source only."},
	{Name: "powerEstimated", Sentence: "The power at the power take-off was taken as 95 % of the net engine power."},
	{Name: "outsideRange", Sentence: "An input lies outside the range for which the formula was fitted."},
	{Name: "secondaryText", Sentence: "The rule was read in a secondary text and not in the law itself."},
	{Name: "practiceOnly", Sentence: "The rule is common practice; no source is known."},
}

// ErrNote is the sentinel that the error of [Notes.Err] wraps.
var ErrNote = errors.New("answer rests on an assumption")

// Cautions is a set of warnings that belong to an answer: a program that shows the
// answer shows them with it. In JSON it is one string of names joined by commas, such
// as "manual". Each name is that of the constant without its prefix, except that
// [CautionROPS] is "rops". [Cautions.Lines] returns the sentences.
type Cautions uint32

// The cautions of this package.
const (
	// CautionManual puts the operator's manual and local rules first.
	CautionManual Cautions = 1 << iota
	// CautionLevelGround says that the answer holds on firm, level ground.
	CautionLevelGround
	// CautionRoadRules says that road law has limits of its own.
	CautionRoadRules
	// CautionDrawbarOnly says that a pull belongs on the low drawbar: hitched higher,
	// it can turn the machine over backward.
	CautionDrawbarOnly
	// CautionROPS says that a roll-over protective structure protects only
	// up to the mass it is certified for, with the belt on.
	CautionROPS
	// CautionStandstill says that the answer leaves out speed, bumps and braking.
	CautionStandstill
	// CautionEmptyAgain says that ballast for one load is checked again without it.
	CautionEmptyAgain
	// CautionRaisedOnly says that an implement counts as ballast only while it is
	// raised.
	CautionRaisedOnly
	// CautionNotApproval says that a comparison with a rule approves nothing.
	CautionNotApproval

	cautionEnd
)

var cautionText = []choice.Remark{
	{Name: "manual", Sentence: choice.ManualFirst},
	{Name: "levelGround", Sentence: choice.LevelGround},
	{Name: "roadRules", Sentence: choice.RoadRules},
	{Name: "drawbarOnly", Sentence: "Pull from the drawbar only, at the height that its maker allows: hitched higher, a pull can turn the machine over backward in about a second."},
	{Name: "rops", Sentence: choice.ROPS},
	{Name: "standstill", Sentence: choice.Standstill},
	{Name: "emptyAgain", Sentence: choice.EmptyAgain},
	{Name: "raisedOnly", Sentence: choice.RaisedOnly},
	{Name: "notApproval", Sentence: "This is a comparison of figures and no approval; who may approve, and by which measurement, the law says."},
}
