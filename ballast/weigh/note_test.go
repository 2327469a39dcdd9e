package weigh

import (
	"testing"

	"example.com/steelyard/internal/fieldtest"
)

// TestTextForEachBit wants a name and a sentence for every note and caution.
func TestTextForEachBit(t *testing.T) {
	fieldtest.Remarks(t, noteText, noteEnd)
	fieldtest.Remarks(t, cautionText, cautionEnd)
	fieldtest.Remarks(t, doubtText, doubtEnd)
	if NoteTransferred.Err(NoteScaleTrusted) != nil || NoteTransferred.Err(NoteTransferred) == nil {
		t.Error("Notes.Err must report the notes in its mask and no others")
	}
}

// Every refusal and every cause has its texts.
func TestWeighTexts(t *testing.T) {
	if len(refusalText) != 14 || refusalEnd != 1<<14 {
		t.Errorf("%d texts for refusals up to %d", len(refusalText), refusalEnd)
	}
	if len(causeNames) != int(causeEnd) {
		t.Errorf("%d names for %d causes", len(causeNames), causeEnd)
	}
	for k := range causeEnd {
		if causeText[k] == "" || causeNames[k] == "" {
			t.Errorf("cause %d has no text", k)
		}
		b, err := k.MarshalText()
		var back Cause
		if err != nil || back.UnmarshalText(b) != nil || back != k {
			t.Errorf("cause %d: %q does not read back", k, b)
		}
	}
}
