package standards

import (
	"errors"
	"fmt"

	"example.com/steelyard/internal/choice"
)

// Notes says how an answer was reached: a set of bits, empty when nothing was
// assumed. [Notes.Err] is the strict mode. In JSON: one string of names
// joined by commas, each that of the constant without its prefix, such as
// "memory". The sentences are [Notes.Lines].
type Notes uint32

// The notes of this package.
const (
	// NoteMemory says that a constant was written from memory of its source.
	NoteMemory Notes = 1 << iota
	// NoteSourcesDisagree says that the band is as wide as it is because
	// published figures differ.
	NoteSourcesDisagree
	// NoteOneSource says that a figure of practice has one source only.
	NoteOneSource
	// NotePowerEstimated says that the power at the power take-off was taken
	// as 95 % of the net engine power.
	NotePowerEstimated
	// NoteOutsideRange says that an input lies outside the range for which
	// the formula was fitted.
	NoteOutsideRange

	noteEnd
)

var noteText = []choice.Remark{
	{Name: "memory", Sentence: "A constant was written from memory of its source and has not been looked up."},
	{Name: "sourcesDisagree", Sentence: "Published figures differ; the band takes in all of them."},
	{Name: "oneSource", Sentence: "The figure of practice has one source only."},
	{Name: "powerEstimated", Sentence: "The power at the power take-off was taken as 95 % of the net engine power."},
	{Name: "outsideRange", Sentence: "An input lies outside the range for which the formula was fitted."},
}

// Has reports whether all notes of mask are set.
func (n Notes) Has(mask Notes) bool { return n&mask == mask }

// String returns the names of the notes, joined by commas.
func (n Notes) String() string { return choice.Names(noteText, n) }

// Lines returns one sentence for each note, in a fixed order.
func (n Notes) Lines() []string { return choice.Sentences(noteText, n) }

// ErrNote is the sentinel that the error of [Notes.Err] wraps.
var ErrNote = errors.New("answer leans on an assumption")

// Err returns an error that names the notes of n that are in mask, or nil if
// there are none: the strict mode for callers who accept no such assumption.
func (n Notes) Err(mask Notes) error {
	if n&mask == 0 {
		return nil
	}
	return fmt.Errorf("%w: %v", ErrNote, n&mask)
}

// MarshalText returns the names, joined by commas, as String does.
func (n Notes) MarshalText() ([]byte, error) { return []byte(n.String()), nil }

// UnmarshalText reads names joined by commas.
func (n *Notes) UnmarshalText(text []byte) error { return choice.Parse(noteText, text, n) }

// Cautions is a set of warnings that belong to an answer: a program that
// shows the answer shows them with it. In JSON: one string of names joined by
// commas, each that of the constant without its prefix, such as "manual"; but
// "rops" is [CautionROPS]. The sentences are [Cautions.Lines].
type Cautions uint32

// The cautions of this package.
const (
	// CautionManual puts the operator's manual and local rules first.
	CautionManual Cautions = 1 << iota
	// CautionLevelGround says that the answer holds on firm, level ground.
	CautionLevelGround
	// CautionRoadRules says that road law has limits of its own.
	CautionRoadRules
	// CautionDrawbarOnly says that a pull belongs on the drawbar, low: hitched
	// higher it can turn the machine over backward.
	CautionDrawbarOnly
	// CautionROPS says that a roll-over protective structure protects only
	// up to the mass it is certified for, with the belt on.
	CautionROPS

	cautionEnd
)

var cautionText = []choice.Remark{
	{Name: "manual", Sentence: choice.ManualFirst},
	{Name: "levelGround", Sentence: choice.LevelGround},
	{Name: "roadRules", Sentence: choice.RoadRules},
	{Name: "drawbarOnly", Sentence: "Pull from the drawbar only, at the height its maker allows: hitched higher, a pull can turn the machine over backward in about a second."},
	{Name: "rops", Sentence: choice.ROPS},
}

// Has reports whether all cautions of mask are set.
func (c Cautions) Has(mask Cautions) bool { return c&mask == mask }

// String returns the names of the cautions, joined by commas.
func (c Cautions) String() string { return choice.Names(cautionText, c) }

// Lines returns one sentence for each caution, in a fixed order.
func (c Cautions) Lines() []string { return choice.Sentences(cautionText, c) }

// MarshalText returns the names, joined by commas, as String does.
func (c Cautions) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// UnmarshalText reads names joined by commas.
func (c *Cautions) UnmarshalText(text []byte) error { return choice.Parse(cautionText, text, c) }
