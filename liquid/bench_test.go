package liquid_test

import (
	"context"
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

// One whole answer of a tire, which no table pays for.
func BenchmarkSolve(b *testing.B) {
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	for b.Loop() {
		r, err := liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.CalciumChloride, 0.25), Level: liquid.ValveAt(12), Temperature: 280}.Solve()
		if err != nil {
			b.Fatal(err)
		}
		sink += float64(r.Mass)
	}
}

// A list of 10 000 tires of the sizes of the reference, with three fluids to
// four positions of the valve: as a dealer has them, of equal sizes, and all of
// them different, as if measured.
func BenchmarkTable(b *testing.B) {
	sizes := rows(b, "tire_dimensions.csv")
	for _, measured := range []bool{false, true} {
		name := "equal"
		if measured {
			name = "different"
		}
		b.Run(name, func(b *testing.B) {
			tires := make([]liquid.Tire, 10000)
			for i := range tires {
				t, err := liquid.ParseTire(sizes[i%len(sizes)]["size"])
				if err != nil {
					b.Fatal(err)
				}
				if measured {
					t.OverallDiameter = liquid.Measure(t.OverallDiameter.Value*units.Length(1+1e-6*float64(i)), 0.005)
				}
				tires[i] = t
			}
			fluids := []liquid.Fluid{{Kind: liquid.Water}, liquid.Brine(liquid.CalciumChloride, 0.25), liquid.Brine(liquid.EthyleneGlycol, 0.4)}
			b.ReportAllocs()
			for b.Loop() {
				got, err := liquid.Table(context.Background(), tires, fluids, 280, liquid.ValveAt(12), liquid.ValveAt(10), liquid.ValveAt(8), liquid.ValveAt(4))
				if err != nil {
					b.Fatal(err)
				}
				sink += float64(got[0].Filled[0].Mass)
			}
		})
	}
}
