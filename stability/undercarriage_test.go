package stability_test

import (
	"errors"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// An undercarriage whose kind is not given is refused: none is the least stable
// of all machines.
func TestUndercarriageUnknown(t *testing.T) {
	u := stability.Undercarriage{Wheelbase: 2.2, RearTrack: 1.6, FrontTrack: 1.6, PinHeight: 0.5}
	var f *units.FieldError
	if err := u.Validate(); !errors.As(err, &f) || f.Path != "kind" {
		t.Errorf("%v", err)
	}
	u.Kind = stability.PivotingFront
	if err := u.Validate(); err != nil {
		t.Error(err)
	}
}
