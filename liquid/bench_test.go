package liquid_test

import (
	"math"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

func benchCavity(b *testing.B) (*liquid.Cavity, []units.Length, []units.Volume) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		b.Fatal(err)
	}
	c, err := tire.Compile()
	if err != nil {
		b.Fatal(err)
	}
	z := make([]units.Length, 1024)
	v := make([]units.Volume, 1024)
	for i := range z {
		z[i] = c.CrownRadius() * units.Length(math.Sin(float64(i)*0.7))
		v[i] = c.Volume(z[i])
	}
	b.ReportAllocs()
	return c, z, v
}

var sink float64

// Partial volume from the compiled form: the bar is 100 ns, no allocations.
func BenchmarkVolume(b *testing.B) {
	c, z, _ := benchCavity(b)
	i := 0
	for b.Loop() {
		sink += float64(c.Volume(z[i&1023]))
		i++
	}
}

// The same without compiling: the bar is 10 us.
func BenchmarkVolumeDirect(b *testing.B) {
	c, z, _ := benchCavity(b)
	i := 0
	for b.Loop() {
		sink += float64(c.VolumeDirect(z[i&1023]))
		i++
	}
}

// Level for a mass, compiled: the bar is 1 us, no allocations.
func BenchmarkLevelForMass(b *testing.B) {
	c, _, v := benchCavity(b)
	i := 0
	for b.Loop() {
		sink += float64(c.LevelForMass(units.Mass(1200*float64(v[i&1023])), 1200))
		i++
	}
}

// Compile a tire: the bar is 2 ms.
func BenchmarkCompile(b *testing.B) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		c, err := tire.Compile()
		if err != nil {
			b.Fatal(err)
		}
		sink += float64(c.FullVolume())
	}
}

// A whole answer on a compiled cavity.
func BenchmarkFill(b *testing.B) {
	c, z, _ := benchCavity(b)
	f := liquid.Brine(liquid.CalciumChloride, 0.25)
	i := 0
	for b.Loop() {
		r, err := c.Fill(f, liquid.HeightAt(z[i&1023]), 280)
		if err != nil {
			b.Fatal(err)
		}
		sink += float64(r.Mass)
		i++
	}
}

// A tilted wheel.
func BenchmarkTiltedAt(b *testing.B) {
	c, z, _ := benchCavity(b)
	i := 0
	for b.Loop() {
		r, err := c.TiltedAt(z[i&1023], 0.2)
		if err != nil {
			b.Fatal(err)
		}
		sink += float64(r.Volume)
		i++
	}
}
