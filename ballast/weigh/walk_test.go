package weigh_test

import (
	"math/rand/v2"
	"testing"

	"example.com/steelyard/internal/walk"
)

// Leaving out any one field of a weighing session never raises the lower bound
// of the tipping load that it predicts, nor takes a refusal away, without a new
// note.
func TestWeighingLeftOutNeverPermits(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 11))
	for i := range 500 {
		s, _ := simulated(r)
		s.Scale.ZeroSD, s.Scale.GainSD, s.Scale.Division, s.Scale.Capacity = max(s.Scale.ZeroSD, 1), max(s.Scale.GainSD, 0.002), max(s.Scale.Division, 1), 20000
		if s.LoadSD == 0 {
			s.LoadSD = 2
		}
		was, err := s.Predict()
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range walk.Fields(s) {
			if f.Path == "readings" || f.Path == "readings[].load" {
				continue // the empty reading, and fewer readings, are sessions of their own
			}
			is, err := walk.Without(s, f).Predict()
			if err != nil || is.Notes&^was.Notes != 0 {
				continue
			}
			if is.Interval.Low > was.Interval.Low*(1+1e-9) {
				t.Errorf("session %d, without %s: at least %v kg, was %v, refusals %v and %v", i, f.Path, float64(is.Interval.Low), float64(was.Interval.Low), is.Refusals, was.Refusals)
			}
		}
	}
}
