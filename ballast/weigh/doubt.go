package weigh

import "example.com/steelyard/internal/choice"

// Doubts says why an answer is not to be relied on. It is a set of bits, empty if
// nothing is known against the answer, and only then may a program show it as a
// good one. In JSON it is one string of names joined by commas: "priorsDecide",
// "tooWide", "unchecked", "inconsistent", "notConverged". [Doubts.Lines] returns
// the sentences.
type Doubts uint8

// The doubts about an answer.
const (
	// DoubtPriors says that ranges of practice decide the answer more than the
	// readings do.
	DoubtPriors Doubts = 1 << iota
	// DoubtWide says that the half width of the interval is more than a fifth of the
	// answer.
	DoubtWide
	// DoubtUnchecked says that a mistake in one reading may move the answer by more
	// than a fifth and nothing would notice.
	DoubtUnchecked
	// DoubtInconsistent says that the readings contradict each other, also without
	// the two worst. No answer is stated.
	DoubtInconsistent
	// DoubtNotConverged says that no machine was found that fits the readings. No
	// answer is stated.
	DoubtNotConverged

	doubtEnd
)

var doubtText = []choice.Remark{
	{Name: "priorsDecide", Sentence: "This figure rests on what is usual of such machines more than on readings of this one."},
	{Name: "tooWide", Sentence: "This figure is too uncertain to use: half of its interval is more than a fifth of it."},
	{Name: "unchecked", Sentence: "A mistake in one reading could move this figure by more than a fifth, and no other reading would show it: read that one again."},
	{Name: "inconsistent", Sentence: "The readings contradict each other, so no figure is stated: take the suspected ones again."},
	{Name: "notConverged", Sentence: "No machine fits these readings, so no figure is stated: look for a mistake in what was written down."},
}

// withheld are the doubts for which no answer is stated.
const withheld = DoubtInconsistent | DoubtNotConverged
