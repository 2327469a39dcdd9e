package stability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/internal/numeric"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The worst heading is that of the polar curve: in no heading of it is the limit
// less, and the least of the curve, refined, is no more than 1e-8 above it. Liquid
// with a free surface up to a hundred times as wide as that of full rear tires turns
// the edges into hyperbolas.
func TestWorstTipOverHeadings(t *testing.T) {
	n := 1500
	if testing.Short() {
		n = 150
	}
	r := rand.New(rand.NewPCG(72, 1))
	kinds := []stability.UndercarriageKind{stability.PivotingFront, stability.Rigid, stability.Tricycle, stability.PivotingRear}
	var m stability.Model
	reached := 0
	for i := range n {
		v := full(r, kinds[i%len(kinds)])
		wide := math.Pow(10, 3*r.Float64()-3)
		v.Body.PitchRise, v.Body.RollRise = units.Length(wide*r.Float64()), units.Length(wide*r.Float64())
		if i%5 == 0 {
			v.Body.CG.Y = 0 // a mirror image of itself
		}
		if v.Validate() != nil {
			continue
		}
		anew, err := v.Compile()
		if err != nil {
			continue
		}
		if err := m.Recompile(v); err != nil {
			t.Fatal(err)
		}
		w := anew.WorstTip()
		if got := m.WorstTip(); got != w {
			t.Fatalf("%d: recompiled %+v, want %+v", i, got, w)
		}
		look := func(h float64) float64 {
			l, err := anew.Tip(units.Angle(math.Remainder(h, 2*math.Pi)))
			if err != nil {
				t.Fatal(err)
			}
			switch l.First.Status {
			case stability.CannotOccur:
				return math.Inf(1)
			case stability.Exceeded:
				return 0
			}
			return l.First.Grade
		}
		least, at := math.Inf(1), 0.0
		for k := range 720 {
			h := float64(k) * math.Pi / 360
			if g := look(h); g < least {
				least, at = g, h
			}
		}
		if w.First.Status == stability.CannotOccur {
			if !math.IsInf(least, 1) && least < 1e7 {
				t.Errorf("%d: a limit of %v, and the worst heading has none", i, least)
			}
			continue
		}
		if w.First.Status == stability.Exceeded {
			continue
		}
		reached++
		if !math.IsInf(least, 1) {
			least = min(least, look(numeric.Minimum(look, at-0.01, at+0.01, 1e-9)))
		}
		if g := w.First.Grade; !(g <= least*(1+1e-12)) || !(least <= g*(1+1e-8)) {
			t.Errorf("%d, %v: worst %v at %v, and the curve has %v at %v", i, v.Undercarriage.Kind, g, w.Heading, least, at)
		}
		if g := look(float64(w.Heading)); math.Abs(g/w.First.Grade-1) > 1e-9 {
			t.Errorf("%d: %v in the worst heading, want %v", i, g, w.First.Grade)
		}
	}
	if reached < n/2 {
		t.Errorf("only %d of %d machines tip", reached, n)
	}
}
