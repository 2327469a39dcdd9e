package standards

import (
	"math/bits"
	"testing"

	"example.com/steelyard/internal/fieldtest"
)

// TestTextForEachBit wants a name and a sentence for every note, caution
// and source.
func TestTextForEachBit(t *testing.T) {
	fieldtest.Remarks(t, noteText, noteEnd)
	fieldtest.Remarks(t, cautionText, cautionEnd)
	if n := bits.TrailingZeros8(uint8(sourceEnd)); len(sourceText) != n {
		t.Errorf("%d sources have a text, %d are declared", len(sourceText), n)
	}
	if NoteMemory.Err(NoteOneSource) != nil || NoteMemory.Err(NoteMemory) == nil {
		t.Error("Notes.Err must report the notes in its mask and no others")
	}
}
