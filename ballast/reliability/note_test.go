package reliability

import (
	"testing"

	"example.com/steelyard/internal/fieldtest"
)

// TestTextForEachBit wants a name and a sentence for every note.
func TestTextForEachBit(t *testing.T) {
	fieldtest.Remarks(t, noteText, noteEnd)
	if NoteStopped.Err(NoteNotSeen) != nil || NoteStopped.Err(NoteStopped) == nil {
		t.Error("Notes.Err must report the notes in its mask and no others")
	}
}
