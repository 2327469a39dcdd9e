package liquid_test

import (
	"context"
	"errors"
	"math"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// FuzzCavity asks a compiled tire for everything at any height, volume, mass
// and tilt: no panic, no NaN from a number, volumes between nothing and the
// whole, and there and back.
func FuzzCavity(f *testing.F) {
	f.Add("14.9-24 R-1", 0.0, 0.2, 0.1, 200.0, 1200.0)
	f.Add("31x15.50-15", 0.04, -0.1, -0.9, 1e308, 0.0)
	f.Add("380/85R34", 0.1, math.Inf(1), 0.0, -1.0, math.NaN())
	f.Fuzz(func(t *testing.T, name string, flat, z, tilt, mass, density float64) {
		tire, err := liquid.ParseTire(name)
		if err != nil {
			return
		}
		tire.Deflection = units.Length(flat)
		c, err := tire.Compile()
		if err != nil {
			if c != nil || !errors.Is(err, units.ErrInvalid) {
				t.Fatal(c, err)
			}
			return
		}
		full := c.FullVolume()
		inside := func(what string, v units.Volume) {
			if !(v >= 0 && v <= full*(1+1e-9)) {
				t.Fatalf("%s: %v of %v", what, v, full)
			}
		}
		h := units.Length(z)
		if z == z {
			inside("volume", c.Volume(h))
			s := c.FreeSurface(h)
			if d := c.CentroidDepth(h); !(math.Abs(float64(d)) <= float64(c.CrownRadius())) || !(s.Area >= 0 && s.Pitch >= 0 && s.Roll >= 0) {
				t.Fatalf("at %v: depth %v, surface %+v", z, d, s)
			}
			if w := c.Width(h); !(w >= 0 && w < 2) {
				t.Fatalf("width %v", w)
			}
		}
		if l := c.LevelForMass(units.Mass(mass), units.Density(density)); mass == mass && density > 0 && !(l >= -c.Bottom() && l <= c.CrownRadius()) {
			t.Fatalf("level %v for %v kg", l, mass)
		}
		a, err := c.TiltedAt(h, units.Angle(tilt))
		if err != nil {
			if !errors.Is(err, units.ErrInvalid) {
				t.Fatal(err)
			}
			return
		}
		inside("tilted volume", a.Volume)
		b, err := c.TiltedFor(a.Volume, units.Angle(tilt))
		if err != nil || math.Abs(float64(b.Volume-a.Volume)) > 1e-6*float64(full) {
			t.Fatalf("tilted %v: %+v, there and back %+v, %v", tilt, a, b, err)
		}
		rows, err := liquid.Table(context.Background(), []liquid.Tire{tire}, []liquid.Fluid{liquid.Brine(liquid.CalciumChloride, 0.2)}, 280, liquid.HeightAt(h), liquid.FractionOf(0.5))
		if err != nil {
			if !errors.Is(err, units.ErrInvalid) {
				t.Fatal(err)
			}
			return
		}
		inside("table", rows[0].Filled[0].Volume)
	})
}
