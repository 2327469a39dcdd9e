package ballast

import (
	"math/bits"
	"testing"
)

// TestTextForEachBit wants a name and a sentence for every note and caution.
func TestTextForEachBit(t *testing.T) {
	if got, want := len(noteText), bits.TrailingZeros64(uint64(noteEnd)); got != want {
		t.Errorf("%d notes have a text, %d are declared", got, want)
	}
	if got, want := len(cautionText), bits.TrailingZeros64(uint64(cautionEnd)); got != want {
		t.Errorf("%d cautions have a text, %d are declared", got, want)
	}
	if NoteDuals.Err(NoteInterpolated) != nil || NoteDuals.Err(NoteDuals) == nil {
		t.Error("Notes.Err must report the notes in its mask and no others")
	}
	all := noteEnd - 1
	if got := len(all.Lines()); got != len(noteText) {
		t.Errorf("%d lines for %d notes", got, len(noteText))
	}
}
