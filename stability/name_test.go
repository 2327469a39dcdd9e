package stability

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// Every note, row, input, limit, status and kind has its name.
func TestNames(t *testing.T) {
	if len(noteText) != numNotes {
		t.Error("a note without a name and a sentence")
	}
	if len(rowNames) != NumRows || len(inputNames) != NumInputs {
		t.Error("a row or input without a name")
	}
	for k := LimitKind(0); k <= NoLimit; k++ {
		b, err := k.MarshalText()
		var back LimitKind
		if err != nil || back.UnmarshalText(b) != nil || back != k || fmt.Sprint(k) != string(b) {
			t.Errorf("%v: %s, %v", k, b, err)
		}
	}
	for k := NotChecked; k <= CannotOccur; k++ {
		b, err := k.MarshalText()
		var back Status
		if err != nil || back.UnmarshalText(b) != nil || back != k {
			t.Errorf("%v: %s, %v", k, b, err)
		}
	}
	var k UndercarriageKind
	if err := k.UnmarshalText([]byte("hovercraft")); err == nil || !strings.Contains(err.Error(), "pivotingFront") {
		t.Error(err)
	}
	if _, err := LimitKind(200).MarshalText(); err == nil {
		t.Error("an unnamed kind was written")
	}
	if err := (NoteRigidTires | NotePinFree).Err(NotePinFree); !errors.Is(err, ErrNote) || (NoteRigidTires).Err(NotePinFree) != nil {
		t.Error(err)
	}
	if got := SlopeCautions.Lines(); len(got) != 4 {
		t.Error(got)
	}
}
