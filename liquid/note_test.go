package liquid

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/steelyard/units"
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

// The figure of the caution's sentence is that of the constant, in every language.
func TestOverfillSentence(t *testing.T) {
	figure := fmt.Sprintf("%.0f %%", 100*OverfillFraction)
	r := CautionOverfill.Remarks()
	if len(r) != 1 || !strings.Contains(r[0].Text, "More than "+figure) {
		t.Errorf("%v, want %s", r, figure)
	}
	for _, c := range []units.Catalog{units.English(), units.German()} {
		if text := c.Texts["liquid.caution.overfill"]; !strings.Contains(text, figure) {
			t.Errorf("%q, want %s", text, figure)
		}
	}
}
