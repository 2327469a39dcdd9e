package reliability

import (
	"errors"

	"example.com/steelyard/internal/choice"
)

// Notes says what an answer is not. It is a set of bits, empty when nothing is to be
// said. [Notes.Err] is the strict mode. In JSON it is one string of names joined by
// commas, such as "firstOrderDiffers". Each name is that of the constant without its
// prefix. [Notes.Lines] returns the sentences.
type Notes uint32

// The notes of this package.
const (
	// NoteFirstOrderDiffers says that the chance to first order is less than 0.85 times or
	// more than 1/0.85 times the one that was found. A difference of a fifth is then noted
	// although the latter is some 5 % uncertain.
	NoteFirstOrderDiffers Notes = 1 << iota
	// NoteNoDesignPoint says that no design point was found.
	NoteNoDesignPoint
	// NoteNotSeen says that no draw broke the limit: only the high end of the interval
	// says something.
	NoteNotSeen
	// NoteBudgetSpent says that the error is greater than was asked for.
	NoteBudgetSpent
	// NoteStopped says that the context ended the work.
	NoteStopped
	// NoteNotLinear says that the spread by linear propagation is more than 10 % off
	// that of a sample, or the mean by more than a tenth of the spread.
	NoteNotLinear
	// NoteInsideRange says that a margin was at its least or its greatest between the ends
	// of a range: the chance rests on a grid of values that misses the very worst.
	NoteInsideRange
	// NoteGridOnly says that there are ranges, and that the margins were looked at in a grid
	// of their values: a dip that lies between them may be missed. A range that stands in
	// the setup of a [Lifting] is answered by bounds instead, which miss nothing.
	NoteGridOnly

	noteEnd
)

var noteText = []choice.Remark{
	{Name: "firstOrderDiffers", Sentence: "The chance to first order differs from the sampled one by 15 % or more; trust the sampled one."},
	{Name: "noDesignPoint", Sentence: "No design point was found, so that nothing says which input decides."},
	{Name: "notSeen", Sentence: "No draw broke the limit; only the high end of the interval says something."},
	{Name: "budgetSpent", Sentence: "The calls were used up before the relative error that was asked for was reached."},
	{Name: "stopped", Sentence: "The work was stopped before its end; the answer rests on what was done until then."},
	{Name: "notLinear", Sentence: "Linear propagation does not hold here; trust the sampled mean and spread."},
	{Name: "insideRange", Sentence: "What decides lies between the ends of a range; the chance at the worst of it may be somewhat greater than what was found."},
	{Name: "gridOnly", Sentence: "The worst and the best of a range were looked for on a grid of its values; a narrow dip between them may be missed."},
}

// ErrNote is the sentinel that the error of [Notes.Err] wraps.
var ErrNote = errors.New("answer rests on an assumption")
