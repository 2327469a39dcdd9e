package weigh

import (
	"testing"

	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/units"
)

// Every caution and doubt has a name and a sentence, and every cause its texts.
func TestTexts(t *testing.T) {
	fieldtest.Remarks(t, cautionText, cautionEnd)
	fieldtest.Remarks(t, doubtText, doubtEnd)
	if len(causeNames) != int(causeEnd) || len(tapedNames) != int(tapedEnd) {
		t.Errorf("%d names for %d causes, %d for %d lengths", len(causeNames), causeEnd, len(tapedNames), tapedEnd)
	}
	for k := range causeEnd {
		if text := units.English().Text("weigh.cause." + causeNames[k]); text != k.Title() {
			t.Errorf("cause %d: %q in the catalog, %q", k, text, k.Title())
		}
		if k.Title() == "" || k > 0 && k.Title() == CauseUnknown.Title() {
			t.Errorf("cause %d has no text", k)
		}
	}
	for k := TapedWheelbase; k < tapedEnd; k++ {
		if tapedRange[k][0] >= tapedRange[k][1] {
			t.Errorf("%v has no range", k)
		}
	}
	if causeEnd.Title() != CauseUnknown.Title() {
		t.Error("a cause outside the list has a text of its own")
	}
}
