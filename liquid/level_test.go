package liquid_test

import (
	"math"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// There and back: the mass of a fill to the valve at a clock position stands at
// that position again, and so does the head that a gauge reads with the valve at
// the bottom. The bands hold the level.
func TestLevelByScaleAndGauge(t *testing.T) {
	for _, size := range []string{"14.9-24", "10-16.5", "480/70R34"} {
		tire := unloaded(t, size)
		brine := liquid.Brine(liquid.CalciumChloride, 0.25)
		for _, clock := range []float64{6.5, 7, 8, 9, 10.25, 11, 11.9} {
			filled, err := liquid.Fill{Tire: tire, Fluid: brine, Level: liquid.ValveAt(clock)}.Solve()
			if err != nil || math.Abs(filled.Clock-clock) > 1e-9 {
				t.Errorf("%s, valve at %v: %v, %v", size, clock, filled.Clock, err)
			}
			scale, err := liquid.Fill{Tire: tire, Fluid: brine, Level: liquid.MassOf(filled.Mass)}.Solve()
			if err != nil || math.Abs(scale.Clock-clock) > 1e-6 || !scale.LevelBand.Contains(filled.Level) {
				t.Errorf("%s, %v kg: %v o'clock in %v, %v; want %v", size, filled.Mass, scale.Clock, scale.LevelBand, err, clock)
			}
			// Two gauge readings with the valve at 6 o'clock, with the liquid above
			// it and without: the head of the liquid.
			air := liquid.Inflation{Fill: liquid.Fill{Tire: tire, Fluid: brine, Level: liquid.ValveAt(clock)}, Pressure: 1e5, Valve: liquid.ValveAt(6)}
			inflated, err := air.Solve()
			if err != nil {
				t.Fatal(err)
			}
			head := units.Pressure(inflated.Reading-air.Pressure).Head(filled.Density, units.StandardGravity)
			gauge, err := liquid.Fill{Tire: tire, Fluid: brine, Level: liquid.HeadAt(head, 6)}.Solve()
			if err != nil || math.Abs(float64(gauge.Level-filled.Level)) > 1e-9 || math.Abs(gauge.Clock-clock) > 1e-6 {
				t.Errorf("%s, head of %v: %v, %v; want %v", size, head, gauge.Level, err, filled.Level)
			}
			// by hand: the valve at the bottom, the head over it
			if want := -tire.ValveRadius.Value + head; math.Abs(float64(gauge.Level-want)) > 1e-12 {
				t.Errorf("%s: level %v, want %v", size, gauge.Level, want)
			}
			if spread := tire.ValveRadius.Spread; math.Abs(float64(gauge.LevelBand.High-gauge.LevelBand.Low-2*spread)) > 1e-9 {
				t.Errorf("%s: level in %v, want twice %v", size, gauge.LevelBand, spread)
			}
		}
		full, err := liquid.Fill{Tire: tire, Fluid: brine, Level: liquid.FractionOf(1)}.Solve()
		if err != nil || full.Clock != 0 {
			t.Errorf("a full tire stands at %v o'clock, %v", full.Clock, err)
		}
		over, err := liquid.Fill{Tire: tire, Fluid: brine, Level: liquid.HeadAt(2, 6)}.Solve()
		if err != nil || !over.Notes.Has(liquid.NoteLevelClamped) || over.Volume != over.FullVolume {
			t.Errorf("a head of 2 m: %+v, %v", over, err)
		}
	}
	for path, l := range map[string]liquid.Level{
		"head": liquid.HeadAt(-0.1, 6), "clock": liquid.HeadAt(0.1, 0), "volume": {Kind: liquid.LevelHead, Head: 0.1, Clock: 6, Volume: 1},
	} {
		wantPath(t, l.Validate(), path)
	}
}

// The band of a level by mass: at each end stands the level of the mass in the
// largest and the smallest tire, found by bisection of what these hold.
func TestLevelBand(t *testing.T) {
	tire := unloaded(t, "14.9-24")
	f, err := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.VolumeOf(0.15)}.Solve()
	if err != nil {
		t.Fatal(err)
	}
	for side, got := range map[float64]units.Length{1: f.LevelBand.Low, -1: f.LevelBand.High} {
		c := liquid.SectionOf(tire, side).Cavity(0)
		if v := c.VolumeDirect(got); math.Abs(float64(v)-0.15) > 1e-6 {
			t.Errorf("side %v: %v holds %v", side, got, v)
		}
	}
}
