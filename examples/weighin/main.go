// Command weighin reads a file of readings that were taken at a loader tractor with a tape, on
// scales, from a pressure gauge and from its papers. It prints at which load the rear wheels
// would lift, low and with the arms level, what the loader lifts, holds and sinks under over
// the height, how certain that is, which reading cannot be right, and what to read next.
// Nobody tips the machine.
//
//	go -C examples run ./weighin
//	go -C examples run ./weighin -picture curve.svg -units usCustomary
//	go -C examples run ./weighin -guide mine.csv
//	go -C examples run ./weighin -file mine.csv -low "0.4 m" -high "3.1 m" -ahead "0.7 m"
//
// With -guide the program asks for one reading after the other, each with what to heed, and
// writes each into the file as it comes. Once both axles were weighed it says after each
// reading how well the tipping load is known, and which readings are worth taking next. A
// session that was ended goes on with the same file.
//
// With -C the program runs in the folder examples, and a relative -file is looked for there.
// The file is CSV with a line of column names: kind, what, value, sd, pin, load, front, rear
// and raised. Each row has a kind:
//
//	machine   mass, attachment (barePin, forks or bucket), undercarriage, cylinders, selfLeveling, liquid or level
//	scale     reading, zero or gain with their sd; division or capacity with their value
//	gauge     reading or gain with their sd
//	yard      slope, or squat of the tires up to tipping, with value and sd
//	tape      a length with value and sd, such as wheelbase; loadAhead and reach name a load
//	load      a test load by its name, with value and sd; a load in another one's place names that one under load
//	weigh     front and rear with the pin at a height, loads joined by +, the angle of a raised axle; turned, brakes
//	          or chocks, joined by +; rear wheels one by one as left + right, such as "590 kg + 612 kg"
//	pressure  raising, sinking, still or atStop
//	papers    machineMass, armMass, attachmentMass, relief or lift, with an sd in percent
//
// Every quantity has its unit, such as "146 kg", "322 lb" or "18.3 MPa gauge".
package main

import (
	"bytes"
	"context"
	_ "embed"
	"errors"
	"flag"
	"fmt"
	"io"
	"os"

	"example.com/steelyard/examples/internal/atomicfile"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/units"
)

// demoReadings are invented readings of the growers' co-operative: a loader tractor with bin
// forks, weighed empty and with one and two bins of apples just clear of the ground, and gauged
// by a workshop.
//
//go:embed demo.csv
var demoReadings []byte

// maxFile is the largest input file, in bytes.
const maxFile = 1 << 20

func main() {
	os.Exit(cli.Main("weighin", os.Stderr, func(context.Context) error {
		return run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)
	}))
}

// input holds the values of the flags.
type input struct {
	file, picture    string
	guide            string
	display          units.Display
	low, high, ahead units.Length
	boxX             units.Length
	box              units.Mass
	wanted           units.Fraction
	workshop         bool
}

func parseFlags(args []string, stderr io.Writer) (in input, err error) {
	f := flag.NewFlagSet("weighin", flag.ContinueOnError)
	f.StringVar(&in.file, "file", "", "the readings as a CSV `file`; - is the standard input; without it an invented demo")
	f.StringVar(&in.guide, "guide", "", "ask for one reading after the other, and write them into this CSV `file`")
	f.StringVar(&in.picture, "picture", "", "write a picture of the loads over the height to this SVG `file`")
	f.TextVar(&in.display.System, "units", units.Metric, "metric, usCustomary or imperial")
	f.TextVar(&in.low, "low", units.Length(0.4), "height of the pivot pin with the arms low")
	f.TextVar(&in.high, "high", units.Length(3.1), "height of the pivot pin with the arms up")
	f.TextVar(&in.ahead, "ahead", units.Length(0.7), "how far the center of the load asked about is ahead of the pivot pin")
	f.TextVar(&in.box, "box", units.Mass(0), "mass of a box that would be hung behind")
	f.TextVar(&in.boxX, "box-x", units.Length(-0.9), "how far ahead of the rear axle that box is; negative behind it")
	f.TextVar(&in.wanted, "wanted", units.Fraction(0.03), "half of the interval that is narrow enough, as a share of the answer")
	f.BoolVar(&in.workshop, "workshop", false, "propose also what only trained people in a workshop may do")
	if err := cli.Parse(f, args, stderr); err != nil {
		return in, err
	}
	if f.NArg() > 0 {
		return in, cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	if !(in.low > 0 && in.high >= in.low+0.1 && in.high <= 10) {
		return in, cli.Usagef("-high: must be above -low, and both between 0 m and 10 m")
	}
	if in.guide != "" && in.file != "" {
		return in, cli.Usagef("-guide: must be left out with -file, or the other way round")
	}
	return in, nil
}

// flags are the flags that questions come from, by the paths of the library.
var flags = map[string]string{"pin": "-low and -high", "ahead": "-ahead", "added[0].mass": "-box", "added[0].x": "-box-x", "wanted": "-wanted"}

// ofFlags returns an error of a question with the flag in place of the path.
func ofFlags(err error) error {
	var out []error
	for _, f := range units.Fields(err) {
		told := *f
		if name := flags[f.Path]; name != "" {
			told.Path = name
		}
		out = append(out, &told)
	}
	if len(out) == 0 {
		return err
	}
	return errors.Join(out...)
}

func run(args []string, stdin io.Reader, stdout, stderr io.Writer) error {
	in, err := parseFlags(args, stderr)
	if err != nil {
		return err
	}
	name, data := "demo.csv", demoReadings
	switch {
	case in.guide != "":
		name = in.guide
		if data, err = guide(&in, stdin, stdout); err != nil {
			return err
		}
		in.file = in.guide
	case in.file != "":
		name = in.file
		if data, err = cli.ReadFile(in.file, maxFile); err != nil {
			return err
		}
	}
	rec, err := readCSV(data)
	if err != nil {
		return cli.Usage(prefixed(name, err))
	}
	machine, err := rec.Fit(context.Background())
	if err != nil {
		return cli.Usage(prefixed(name, rec.inFile(err)))
	}
	curve, err := sweep(machine, &in)
	if err != nil {
		return cli.Usage(ofFlags(err))
	}
	var out bytes.Buffer
	if err := writePage(&out, &in, rec, machine, curve); err != nil {
		return cli.Usage(ofFlags(err))
	}
	if in.picture != "" {
		if err := atomicfile.Write(in.picture, []byte(picture(&in, rec, machine, curve))); err != nil {
			return fmt.Errorf("cannot write the picture: %w", cli.Plain(err))
		}
	}
	if _, err := stdout.Write(out.Bytes()); err != nil {
		return fmt.Errorf("cannot write the page: %w", cli.Plain(err))
	}
	return nil
}
