package weigh_test

import (
	"testing"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// No method that takes a number and returns no error answers with a NaN or an
// infinity, whatever the number.
func TestAnswersAreFinite(t *testing.T) {
	s, rear, _ := l150(t)
	line, err := withLoads(s, rear, 0, 150, 300, 450, 0).Predict()
	if err != nil {
		t.Fatal(err)
	}
	if called := fieldtest.Finite(t, line, weigh.Prediction{}); called["RearAt"] == 0 {
		t.Error("RearAt was not called")
	}
	if e := line.RearAt(valid.MaxMass * 1.01); e != (weigh.Estimate[units.Mass]{}) {
		t.Errorf("more than any machine carries: %+v", e)
	}
	if e := line.RearAt(valid.MaxMass); e.SD == 0 {
		t.Errorf("the most: %+v", e)
	}
}
