// Command passages shows engineers what obstacles do to a narrow orchard tractor with
// stacked picking bins: pitch and axle loads over the way of one passage, a map of speed against
// height of the obstacle, a passage with one side, and two calculations of Regulation
// (EU) No 1322/2014, Annex IX, for such tractors. The tractor is invented. It is no sheet
// for the person who drives.
//
//	go -C examples run ./passages
//	go -C examples run ./passages -picture passages.svg
package main

import (
	"context"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"example.com/steelyard/examples/internal/atomicfile"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

func main() {
	os.Exit(cli.Main("passages", os.Stderr, func(context.Context) error {
		return run(os.Args[1:], os.Stdout, os.Stderr)
	}))
}

// tractor is the cooperative's narrow orchard tractor with loader and pallet forks, with
// the wheels' and axle's mass with the body, and without its load.
var tractor = stability.Body{
	Mass: 2050, CG: stability.Point{X: 0.98, Z: 0.72}, Inertia: stability.Inertia{XX: 280, YY: 1350, ZZ: 1300},
}

// bin is two stacked picking bins with apples on the forks, as they come off a trailer.
var bin = stability.Part{Mass: 900, CG: stability.Point{X: 3.10, Z: 1.40}, Inertia: stability.Inertia{XX: 120, YY: 120, ZZ: 130}}

var (
	rear  = stability.Tires{Radius: 0.53, Stiffness: units.Is[units.Stiffness](620e3)}
	front = stability.Tires{Radius: 0.37, Stiffness: units.Is[units.Stiffness](520e3)}
)

const (
	wheelbase = units.Length(1.95)
	track     = units.Length(1.06)
	pinHeight = units.Length(0.41)
	stopAngle = 10 * units.Degree
	damping   = units.Fraction(0.08)
	drain     = units.Length(0.60) // length of the drain across the yard
	depth     = units.Length(0.10)
	hump      = units.Length(0.05)
	shown     = 4 * units.KilometerPerHour
	mapLow    = 1 * units.KilometerPerHour
	mapHigh   = 16 * units.KilometerPerHour
	speeds    = 31
	heights   = 12
)

func passage(o stability.Obstacle) (*stability.PassageModel, error) {
	return stability.Passage{
		Machine: tractor, Load: bin, Wheelbase: wheelbase, Rear: rear, Front: front,
		Damping: units.Is(damping), Obstacle: o, Drive: stability.DriveHeld, Friction: 0.8,
	}.Compile()
}

func rollPassage(o stability.Obstacle, slope units.Slope) (*stability.RollPassageModel, error) {
	return stability.RollPassage{
		Vehicle: stability.Vehicle{Body: tractor, Undercarriage: stability.Undercarriage{
			Kind: stability.PivotingFront, Wheelbase: wheelbase, RearTrack: track, FrontTrack: track, PinHeight: pinHeight, StopAngle: stopAngle,
		}},
		Load: bin, Rear: rear, Front: front, Damping: units.Is(damping), Obstacle: o,
		Slope: slope, Heading: 90 * units.Degree, Friction: 0.8,
	}.Compile()
}

// narrow is the same tractor without loader, as the regulation wants it.
var narrow = stability.NarrowTractor{
	CGHeight: 0.68, CGToRear: 0.86, CGToFront: 1.09, RearTire: 1.06, FrontTire: 0.74,
	FrameHeight: 2.05, FrameBehind: 0.10, FrameWidth: 0.90, HoodHeight: 1.32, HoodWidth: 0.60, HoodAhead: 1.55,
	PinHeight: 0.41, Track: 1.06, TireWidth: 0.32, StopAngle: stopAngle, Mass: 1980, RollInertia: 240,
}

func run(args []string, out, messages io.Writer) error {
	flags := flag.NewFlagSet("passages", flag.ContinueOnError)
	flags.SetOutput(messages)
	picture := flags.String("picture", "", "file to which the pictures are written as SVG")
	if err := flags.Parse(args); err != nil {
		return cli.Usage(err)
	}
	if flags.NArg() > 0 {
		return cli.Usagef("unexpected argument %q", flags.Arg(0))
	}
	rut := stability.Obstacle{Kind: stability.ObstacleRut, Height: depth, Length: drain}
	var b strings.Builder
	fmt.Fprintf(&b, "For engineers. A narrow orchard tractor with two stacked picking bins of %.0f kg, raised as they come off a trailer; invented.\n", float64(bin.Mass))
	m, err := passage(stability.Obstacle{Kind: stability.ObstacleHump, Height: hump, Length: drain})
	if err != nil {
		return err
	}
	c, err := m.At(shown)
	if err != nil {
		return err
	}
	fmt.Fprintf(&b, "\nBoth wheels over a root %.0f cm high and %.0f cm long, %.0f km/h; tipping load %.0f kg\n", 100*float64(hump), 100*float64(drain), float64(shown/units.KilometerPerHour), float64(m.TippingLoad()))
	fmt.Fprintf(&b, "  %v; least load on the rear axle %.1f kN, at rest %.1f kN; off the ground for %.2f s\n", c.Status, float64(c.RearLoad.Low)/1e3, float64(c.RearAtRest)/1e3, float64(c.Airborne.High))
	fmt.Fprintf(&b, "  greatest pitch %.1f degrees, balance at %.1f degrees\n", float64(c.Pitch.High/units.Degree), float64(c.Balance/units.Degree))
	cautions := c.Cautions

	fmt.Fprintf(&b, "\nOne side through a drain %.0f cm deep and %.0f cm long, the worse side, at %.0f km/h\n", 100*float64(depth), 100*float64(drain), float64(shown/units.KilometerPerHour))
	for _, degrees := range []float64{0, 2, 4} {
		m, err := rollPassage(rut, (units.Angle(degrees) * units.Degree).Slope())
		if err != nil {
			return err
		}
		c, err := m.At(shown)
		if err != nil {
			return err
		}
		met := "stays off the stop"
		if c.MeetsStop {
			met = "meets the axle's stop"
		}
		fmt.Fprintf(&b, "  slope %2.0f degrees: %v; greatest roll %.1f degrees, balance of the free pin %.1f degrees, %s\n", degrees, c.Status, float64(c.Roll.High/units.Degree), float64(c.Balance/units.Degree), met)
		cautions |= c.Cautions
	}

	rolling, err := narrow.Continuous()
	if err != nil {
		return err
	}
	tilt, err := narrow.TiltTest()
	if err != nil {
		return err
	}
	fmt.Fprintf(&b, "\nThe tractor without its loader, by Regulation (EU) No 1322/2014, Annex IX, calculated\n")
	fmt.Fprintf(&b, "  rolling on after a sideways overturn: %v, about the line %v\n", rolling.Verdict, rolling.Line)
	fmt.Fprintf(&b, "  tilt at balance on the wheels of one side: %.2f degrees, at least %.0f are asked for\n", float64(tilt.Tilt/units.Degree), float64(stability.LeastTilt/units.Degree))
	fmt.Fprintf(&b, "  slope of that balance, turned about the tipping line as the regulation does: %.2f degrees\n", float64(tilt.Slope.Angle()/units.Degree))
	fmt.Fprintf(&b, "  the same, turned about the axle's pin as an axle turns: %.2f degrees, %.2f less\n", float64(tilt.PinSlope.Angle()/units.Degree), float64((tilt.Slope.Angle()-tilt.PinSlope.Angle())/units.Degree))
	fmt.Fprintf(&b, "  slope on which the first wheel lifts: %.2f degrees\n\n", float64(tilt.Tips.Angle()/units.Degree))
	cautions |= rolling.Cautions | tilt.Cautions
	for _, line := range cautions.Lines() {
		fmt.Fprintln(&b, "-", line)
	}
	for _, line := range (c.Notes | rolling.Notes | tilt.Notes).Lines() {
		fmt.Fprintln(&b, "*", line)
	}
	if _, err := io.WriteString(out, b.String()); err != nil {
		return err
	}
	if *picture == "" {
		return nil
	}
	drawn, err := pictures(m)
	if err != nil {
		return err
	}
	return atomicfile.Write(*picture, []byte(drawn))
}
