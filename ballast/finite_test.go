package ballast_test

import (
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
)

// No method that takes a number and returns no error answers with a NaN or an
// infinity, whatever the number.
func TestAnswersAreFinite(t *testing.T) {
	_, c := compiled(t, orchard(), binLift(1.9))
	pose, err := orchard().Loader.At(1)
	if err != nil {
		t.Fatal(err)
	}
	called := fieldtest.Finite(t, c, pose, ballast.Pose{}, ballast.Allowance{}, ballast.Allowance{Kind: 1})
	for _, name := range []string{"Check", "WheelLoads", "LiftAhead", "Factor"} {
		if called[name] == 0 {
			t.Errorf("%s was not called", name)
		}
	}
}
