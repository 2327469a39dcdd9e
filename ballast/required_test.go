package ballast_test

import (
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// What a missing rating would have to be is enough, in every state, and no more
// than enough.
func TestRequiredRatings(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 8))
	enough, short := 0, 0
	for i := range 400 {
		s, l := openCase(r)
		if hasFill(&s) || len(s.Loader.Rated) == 0 && s.Loader.Cylinders == nil {
			continue
		}
		loader, attachment := *s.Loader, *s.Attachment
		s.Loader, s.Attachment = &loader, &attachment
		m := &s.Machine
		ratings := map[ballast.LimitKind]*units.Input[units.Mass]{
			ballast.LimitFrontAxle: &m.Front.Rating, ballast.LimitFrontRim: &m.Front.WheelRating, ballast.LimitRearAxle: &m.Rear.Rating, ballast.LimitRearRim: &m.Rear.WheelRating,
			ballast.LimitGross: &m.GrossRating, ballast.LimitROPS: &m.ROPSRating, ballast.LimitCoupler: &loader.CouplerRating,
		}
		for _, f := range openFields(r, s, r.IntN(4), 0.05) {
			s = f.wide(s)
		}
		loader, attachment = *s.Loader, *s.Attachment
		s.Loader, s.Attachment = &loader, &attachment
		for _, in := range ratings {
			*in = units.Input[units.Mass]{}
		}
		load := units.Mass(50 + 300*r.Float64())
		was, err := s.Check(l, load)
		if err != nil {
			continue
		}
		for k, in := range ratings {
			required := was.Limit(k).Required
			if required < 1 {
				continue
			}
			fits := func(share float64) bool {
				*in = units.Is(required * units.Mass(share))
				is, err := s.Check(l, load)
				*in = units.Input[units.Mass]{}
				if err != nil {
					t.Fatal(err)
				}
				ok := is.Limit(k).Verdict == ballast.NoLimitExceeded
				for _, again := range is.Usable.Rechecks {
					ok = ok && !(again.Exceeded | again.Open).Has(ballast.LimitSet(1)<<(k-1))
				}
				return ok
			}
			if !fits(1 + 1e-9) {
				t.Errorf("case %d, %v: %v is not enough for %v", i, k, required, load)
			}
			enough++
			if fits(0.99) {
				t.Errorf("case %d, %v: 1 %% less than %v is enough for %v", i, k, required, load)
			}
			short++
		}
	}
	t.Logf("%d ratings", enough)
	if enough < 500 || short != enough {
		t.Error("too few")
	}
}
