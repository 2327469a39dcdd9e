package liquid

import (
	"math"
	"testing"
)

// Notes, cautions and traits have a name and a sentence each.
func TestTexts(t *testing.T) {
	if noteEnd != 1<<len(noteText) || cautionEnd != 1<<len(cautionText) {
		t.Error("a text is missing")
	}
	if got := len((noteEnd - 1).Lines()); got != len(noteText) {
		t.Errorf("%d notes print", got)
	}
	if got := len((cautionEnd - 1).Lines()); got != len(cautionText) {
		t.Errorf("%d cautions print", got)
	}
	if Notes(math.MaxUint32).String() == "" || Cautions(0).String() != "" {
		t.Error("odd sets")
	}
}
