package ballast

import (
	"errors"
	"fmt"
	"math/bits"
	"strings"
)

// Notes says how an answer was reached: a set of bits, empty when nothing was
// assumed. [Notes.Err] is the strict mode.
type Notes uint64

// The notes of this package.
const (
	// NoteLiftNotScaled says that a hitch lift rating was left as it stands
	// at its rated distance although the implement is nearer.
	NoteLiftNotScaled Notes = 1 << iota
	// NoteLiftReduced says that a hitch lift rating was reduced in proportion
	// to the distance, because the implement is farther out than rated.
	NoteLiftReduced
	// NoteMemory says that a constant was written from memory of its source.
	NoteMemory
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
	// NoteInterpolated says that a value was interpolated between two rows of
	// a table.
	NoteInterpolated
	// NoteLowestPressure says that the load is below the first row of the
	// table, whose pressure was kept.
	NoteLowestPressure
	// NoteSpeedNotStated says that a table does not state the speed for which
	// it holds.
	NoteSpeedNotStated
	// NoteLoadSDAssumed says that nobody stated how well the test loads are
	// known, and that they were taken to be as uncertain as one reading of
	// the scale.
	NoteLoadSDAssumed
	// NoteTransferred says that the answer was carried by geometry from the
	// setup that was weighed to another one that was not.
	NoteTransferred

	noteEnd
)

var noteText = [...]struct{ name, sentence string }{
	{"lift not scaled", "The hitch lift rating holds at its rated distance behind the lower hitch points; it was not raised for an implement that is nearer."},
	{"lift reduced", "The implement is farther out than the hitch lift rating's distance; the rating was reduced in proportion to the distance, the cautious bound."},
	{"memory", "A constant was written from memory of its source and has not been looked up."},
	{"sources disagree", "Published figures differ; the band takes in all of them."},
	{"one source", "The figure of practice has one source only."},
	{"power estimated", "The power at the power take-off was taken as 95 % of the net engine power."},
	{"outside range", "An input lies outside the range for which the formula was fitted."},
	{"interpolated", "The value was interpolated between two rows of the table."},
	{"lowest pressure", "The load is below the first row of the table; its lowest pressure was kept."},
	{"speed not stated", "The table does not state the speed for which it holds; make sure that it covers the speed driven."},
	{"load spread assumed", "Nobody stated how well the test loads are known; they were taken to be as uncertain as one reading of the scale."},
	{"transferred", "The answer was carried by geometry from the setup that was weighed to one that was not."},
}

// Has reports whether all notes of mask are set.
func (n Notes) Has(mask Notes) bool { return n&mask == mask }

// String returns the names of the notes, joined by commas.
func (n Notes) String() string { return strings.Join(n.texts(false), ", ") }

// Lines returns one sentence for each note, in a fixed order.
func (n Notes) Lines() []string { return n.texts(true) }

func (n Notes) texts(sentences bool) []string {
	return bitTexts(uint64(n), len(noteText), func(i int) string {
		if sentences {
			return noteText[i].sentence
		}
		return noteText[i].name
	})
}

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

// Cautions is a set of warnings that belong to an answer: a program that
// shows the answer shows them with it.
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
	// CautionDrawbarOnly says that a pull belongs on the drawbar, low: hitched
	// higher it can turn the machine over backward.
	CautionDrawbarOnly
	// CautionROPS says that a roll-over protective structure protects only
	// up to the mass it is certified for, with the belt on.
	CautionROPS
	// CautionNoTippingTest says that nobody is to find the tipping load by
	// tipping.
	CautionNoTippingTest
	// CautionJustOffGround says how a load is held while a scale is read.
	CautionJustOffGround
	// CautionLift says who may raise an axle and how.
	CautionLift

	cautionEnd
)

var cautionText = [...]struct{ name, sentence string }{
	{"manual", "The operator's manual of the machine and of the implement, and local rules, come first."},
	{"level ground", "This holds on firm, level ground; slopes and soft ground leave less."},
	{"standstill", "This holds at a standstill or a crawl; speed, bumps and braking leave less."},
	{"empty again", "Ballast that is right under this load may be wrong without it: check again with the load off."},
	{"road rules", "Road law has limits of its own for axle loads, the steered axle, width, overhang and lighting."},
	{"tire maker", "The inflation pressure and the load that a tire may carry are those of its maker for the speed and work at hand."},
	{"pressure", "A tire under pressure stores enough energy to kill: inflate with a clip-on chuck, from beside the tread, never above the maker's limit."},
	{"raised only", "An implement counts as ballast only while it is raised and carried in full."},
	{"drawbar only", "Pull from the drawbar only, at the height its maker allows: hitched higher, a pull can turn the machine over backward in about a second."},
	{"rops", "A roll-over protective structure protects up to the mass it is certified for, and only with the seat belt on."},
	{"no tipping test", "Never raise the rear wheels to find out where they lift: the figure is computed from small loads so that nobody has to."},
	{"just off ground", "Take each reading with the load just clear of the ground, nobody near it, ballast on, and the belt fastened; set it down before anyone approaches."},
	{"axle lift", "An axle is raised only by trained people, with a hoist and supports made for the load, the other wheels chocked, and nobody under or beside the machine."},
}

// Has reports whether all cautions of mask are set.
func (c Cautions) Has(mask Cautions) bool { return c&mask == mask }

// String returns the names of the cautions, joined by commas.
func (c Cautions) String() string { return strings.Join(c.texts(false), ", ") }

// Lines returns one sentence for each caution, in a fixed order.
func (c Cautions) Lines() []string { return c.texts(true) }

func (c Cautions) texts(sentences bool) []string {
	return bitTexts(uint64(c), len(cautionText), func(i int) string {
		if sentences {
			return cautionText[i].sentence
		}
		return cautionText[i].name
	})
}

// MarshalText returns the names, joined by commas, as String does.
func (c Cautions) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// bitTexts collects the text of each set bit below n, lowest first.
func bitTexts(v uint64, n int, text func(int) string) []string {
	var out []string
	for v != 0 {
		i := bits.TrailingZeros64(v)
		v &^= 1 << i
		if i < n {
			out = append(out, text(i))
		}
	}
	return out
}
