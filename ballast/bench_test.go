package ballast_test

import (
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

func BenchmarkCompile(b *testing.B) {
	s := orchard()
	b.ReportAllocs()
	for b.Loop() {
		if _, err := s.Compile(); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkCase(b *testing.B) {
	k, err := orchard().Compile()
	if err != nil {
		b.Fatal(err)
	}
	for _, e := range []struct {
		name string
		kind ballast.LiftKind
	}{{"hold", ballast.Hold}, {"stackHigh", ballast.StackHigh}} {
		l := binLift(1.2)
		l.Kind = e.kind
		b.Run(e.name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := k.Case(l); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(e.name+"/usableLoad", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, _, _, err := k.UsableLoad(l); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkCheck is the bar of one evaluation: all limits of one load on a
// compiled case, and the wheel loads.
func BenchmarkCheck(b *testing.B) {
	k, err := orchard().Compile()
	if err != nil {
		b.Fatal(err)
	}
	for _, e := range []struct {
		name  string
		slope units.Slope
	}{{"level", 0}, {"slope", 0.1}} {
		l := binLift(1.2)
		l.Slope = e.slope
		l.Heading = 1
		c, err := k.Case(l)
		if err != nil {
			b.Fatal(err)
		}
		b.Run(e.name, func(b *testing.B) {
			b.ReportAllocs()
			m := units.Mass(300)
			for b.Loop() {
				r := c.Check(m)
				m += r.Nearest.Left * 1e-9
			}
		})
		b.Logf("%d conditions", c.Conditions())
	}
}

// Zero allocations on the fast path.
func TestCheckAllocatesNothing(t *testing.T) {
	k, err := orchard().Compile()
	if err != nil {
		t.Fatal(err)
	}
	c, err := k.Case(binLift(1.2))
	if err != nil {
		t.Fatal(err)
	}
	var sum units.Mass
	for name, f := range map[string]func(){
		"Check":      func() { r := c.Check(300); sum += r.Nearest.Left },
		"WheelLoads": func() { sum += c.WheelLoads(300).Front },
		"Use":        func() { u := c.Use(); sum += u.Mass },
		"UsableLoad": func() { m, _, _ := c.UsableLoad(); sum += m },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s allocates %v times", name, n)
		}
	}
}

// BenchmarkOpen compiles and answers a setup of which six quantities are not
// known, beside the same setup with all of them, by its compiled case.
func BenchmarkOpen(b *testing.B) {
	known := orchard()
	open := known
	open.Machine.CG.Z, open.Machine.AxlePinHeight, open.Machine.AxleMass, open.Machine.AxleHeight = units.Input[units.Length]{}, units.Input[units.Length]{}, units.Input[units.Mass]{}, units.Input[units.Length]{}
	open.Machine.FrontTrack, open.Machine.Front.Radius = units.Input[units.Length]{}, units.Input[units.Length]{}
	for _, e := range []struct {
		name  string
		slope units.Slope
		kind  ballast.LiftKind
	}{{"level", 0, ballast.Hold}, {"slope", 0.1, ballast.Hold}, {"stackHigh", 0, ballast.StackHigh}} {
		l := binLift(1.2)
		l.Slope, l.Kind = e.slope, e.kind
		b.Run(e.name+"/points", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				k, err := known.Compile()
				if err != nil {
					b.Fatal(err)
				}
				if _, err := k.Case(l); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(e.name+"/open", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				k, err := open.Envelope(ballast.Practice{})
				if err != nil {
					b.Fatal(err)
				}
				if _, err := k.UsableLoad(l); err != nil {
					b.Fatal(err)
				}
			}
		})
		one, err := known.Compile()
		if err != nil {
			b.Fatal(err)
		}
		b.Run(e.name+"/points again", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := one.Case(l); err != nil {
					b.Fatal(err)
				}
			}
		})
		k, err := open.Envelope(ballast.Practice{})
		if err != nil {
			b.Fatal(err)
		}
		b.Run(e.name+"/open again", func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := k.UsableLoad(l); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
