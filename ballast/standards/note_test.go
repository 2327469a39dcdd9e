package standards

import (
	"math/bits"
	"testing"
)

// TestTextForEachBit wants a name and a sentence for every note and caution.
func TestTextForEachBit(t *testing.T) {
	if got, want := len(noteText), bits.TrailingZeros32(uint32(noteEnd)); got != want {
		t.Errorf("%d notes have a text, %d are declared", got, want)
	}
	if got, want := len(cautionText), bits.TrailingZeros32(uint32(cautionEnd)); got != want {
		t.Errorf("%d cautions have a text, %d are declared", got, want)
	}
	if NoteMemory.Err(NoteOneSource) != nil || NoteMemory.Err(NoteMemory) == nil {
		t.Error("Notes.Err must report the notes in its mask and no others")
	}
	all := noteEnd - 1
	if got := len(all.Lines()); got != len(noteText) {
		t.Errorf("%d lines for %d notes", got, len(noteText))
	}
}
