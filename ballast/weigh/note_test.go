package weigh

import (
	"testing"

	"example.com/steelyard/internal/fieldtest"
)

// TestTextForEachBit wants a name and a sentence for every note and caution.
func TestTextForEachBit(t *testing.T) {
	fieldtest.Remarks(t, noteText, noteEnd)
	fieldtest.Remarks(t, cautionText, cautionEnd)
	if NoteTransferred.Err(NoteScaleTrusted) != nil || NoteTransferred.Err(NoteTransferred) == nil {
		t.Error("Notes.Err must report the notes in its mask and no others")
	}
}
