package ballast_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// What a layout lists adds up to the machine that a case puts on its wheels,
// mass and place, with the load where the layout says.
func TestLayout(t *testing.T) {
	r := rand.New(rand.NewPCG(14, 3))
	seen := 0
	for range 400 {
		s, l := randomCase(r)
		l.Kind, l.Datum = ballast.Hold, ballast.PinHeight
		l.Load.Mass, l.Load.Above = 300, units.Is[units.Length](0.4)
		if s.Attachment.Kind == ballast.BarePin {
			l.Load.Above = units.Input[units.Length]{}
		}
		l.Height = s.Loader.LowestPin.Value() + units.Length(r.Float64())*(s.Loader.HighestPin.Value()-s.Loader.LowestPin.Value())
		k, err := s.Compile()
		if err != nil {
			t.Fatal(err)
		}
		c, err := k.Case(l)
		if err != nil {
			continue
		}
		v, err := c.Vehicle(300)
		if err != nil {
			continue // heights are missing
		}
		got, err := s.Layout(l.Height, l.Load)
		if err != nil {
			t.Fatal(err)
		}
		seen++
		parts := append(slices.Clone(got.Parts), stability.Part{Mass: 300, CG: got.Load})
		want := []stability.Part{v.Body.Part(), v.Undercarriage.Axle}
		sum := func(parts []stability.Part) (o [6]float64) {
			for _, p := range parts {
				m := float64(p.Mass)
				for i, x := range [6]float64{1, float64(p.CG.X), float64(p.CG.Y), float64(p.CG.Z), float64(p.PitchRise), float64(p.RollRise)} {
					o[i] += m * x
				}
			}
			return o
		}
		a, b := sum(parts), sum(want)
		for i := range a {
			if math.Abs(a[i]-b[i]) > 1e-9*b[0] {
				t.Fatalf("sum %d: %v, the case has %v\n%+v\n%+v", i, a[i], b[i], got, s)
			}
		}
	}
	if seen < 100 {
		t.Errorf("%d cases only", seen)
	}
	if _, err := orchard().Layout(9, ballast.Load{}); err == nil || !fieldtest.Named(err, "pinHeight") {
		t.Errorf("a pin higher than it goes: %v", err)
	}
	bare := orchard()
	bare.Loader, bare.Attachment = nil, nil
	if _, err := bare.Layout(1, ballast.Load{}); !fieldtest.Named(err, "pinHeight") {
		t.Errorf("a pin height without a loader: %v", err)
	}
	if got, err := bare.Layout(0, ballast.Load{}); err != nil || got.Load != (stability.Point{}) {
		t.Errorf("without a loader: %+v, %v", got.Load, err)
	}
	// A load on the bare pin hangs at the pin; elsewhere a height that is left
	// out is not known.
	s := orchard()
	if got, err := s.Layout(1, ballast.Load{}); err != nil || got.Load.Z != 0 {
		t.Errorf("a load without a height: %+v, %v", got.Load, err)
	}
	s.Attachment = &ballast.Attachment{Kind: ballast.BarePin}
	if got, err := s.Layout(1, ballast.Load{}); err != nil || math.Abs(float64(got.Load.Z-1)) > 1e-9 {
		t.Errorf("a load on the bare pin: %+v, %v", got.Load, err)
	}
}
