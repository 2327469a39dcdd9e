// Command weighin reads scale readings under a loader tractor with a few light loads. It
// prints on one page at which load the rear wheels would lift, how certain that is, and what to
// weigh next. Nobody tips the machine.
//
//	go -C examples run ./weighin
//	go -C examples run ./weighin -picture line.svg
//	go -C examples run ./weighin -file mine.csv -wheelbase "2.1 m" -wheelbase-sd "5 mm" \
//		-ahead "1.75 m" -ahead-sd "10 mm" -scale-sd "5 kg"
//
// With -C the program runs in the folder examples, and a relative -file is
// looked for there. The file is CSV with a line of column names: load and
// rear, and front if the front axle was read too. Every cell is a mass with
// its unit, such as "146 kg" or "322 lb"; a load of "0 kg" is the empty
// attachment. Rows are in the order of reading.
package main

import (
	"bytes"
	"context"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"
	"strings"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/examples/internal/atomicfile"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/units"
)

// demoReadings are invented readings of the growers' co-operative: forks just off the ground,
// empty, then with one to four bins of apples, then empty again.
//
//go:embed demo.csv
var demoReadings []byte

// maxFile is the largest input file, in bytes.
const maxFile = 1 << 20

func main() {
	os.Exit(cli.Main("weighin", os.Stderr, func(context.Context) error {
		return run(os.Args[1:], os.Stdout, os.Stderr)
	}))
}

// input holds the values of the flags.
type input struct {
	file, picture string
	session       weigh.Session
	display       units.Display
}

func parseFlags(args []string, stderr io.Writer) (in input, err error) {
	f := flag.NewFlagSet("weighin", flag.ContinueOnError)
	s := &in.session
	f.StringVar(&in.file, "file", "", "the readings as a CSV `file`; - is the standard input; without it an invented demo")
	f.StringVar(&in.picture, "picture", "", "write a picture of the line to this SVG `file`")
	f.TextVar(&in.display.System, "units", units.Metric, "metric, usCustomary or imperial")
	f.TextVar(&s.Wheelbase.Value, "wheelbase", units.Length(0), "wheelbase by tape, such as \"2.1 m\"")
	f.TextVar(&s.Wheelbase.SD, "wheelbase-sd", units.Length(0), "uncertainty of the wheelbase: one standard deviation, such as \"5 mm\"")
	f.TextVar(&s.Ahead.Value, "ahead", units.Length(0), "the load's center ahead of the front axle by tape, load just off the ground")
	f.TextVar(&s.Ahead.SD, "ahead-sd", units.Length(0), "uncertainty of -ahead: one standard deviation")
	f.TextVar(&s.Scale.SD, "scale-sd", units.Mass(0), "standard deviation of a repeated reading")
	f.TextVar(&s.Scale.Division, "scale-division", units.Mass(0), "the step of the scale's display")
	f.TextVar(&s.Scale.ZeroSD, "scale-zero-sd", units.Mass(0), "uncertainty of the scale's zero: one standard deviation")
	f.TextVar(&s.Scale.GainSD, "scale-gain-sd", units.Fraction(0), "uncertainty of the scale's gain: one standard deviation, as a share of the reading")
	f.TextVar(&s.Scale.Capacity, "scale-capacity", units.Mass(0), "the greatest mass that the scale shows")
	f.TextVar(&s.LoadSD, "load-sd", units.Mass(0), "uncertainty of each load: one standard deviation; if left out, that of one reading")
	f.TextVar(&s.LargestLoad, "largest-load", units.Mass(0), "the greatest load that the loader and its manual allow")
	f.TextVar(&s.Share, "share", units.Fraction(0), "the greatest load as a share of the lower bound; if left out, 0.3")
	f.Float64Var(&s.Confidence, "confidence", 0, "probability of the interval; if left out, 0.95")
	if err := cli.Parse(f, args, stderr); err != nil {
		return in, err
	}
	if f.NArg() > 0 {
		return in, cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	set := map[string]bool{}
	f.Visit(func(f *flag.Flag) { set[f.Name] = true })
	demo := []struct{ name, value string }{
		{"wheelbase", "2.05 m"}, {"wheelbase-sd", "5 mm"}, {"ahead", "1.62 m"}, {"ahead-sd", "10 mm"}, {"scale-sd", "3 kg"},
	}
	var missing []string
	for _, d := range demo {
		switch {
		case set[d.name]:
		case in.file != "":
			missing = append(missing, "-"+d.name)
		default:
			if err := f.Set(d.name, d.value); err != nil {
				return in, err
			}
		}
	}
	if in.file == "" && !set["load-sd"] {
		s.LoadSD = 1
	}
	if in.file == "" && !set["scale-division"] {
		s.Scale.Division = 2
	}
	if len(missing) > 0 {
		return in, cli.Usagef("%s must be given with -file, because the tape and the scale belong to the readings", strings.Join(missing, ", "))
	}
	return in, nil
}

func run(args []string, stdout, stderr io.Writer) error {
	in, err := parseFlags(args, stderr)
	if err != nil {
		return err
	}
	name, data := "demo.csv", demoReadings
	if in.file != "" {
		name = in.file
		if data, err = cli.ReadFile(in.file, maxFile); err != nil {
			return err
		}
	}
	lines, err := readCSV(data, &in.session)
	if err != nil {
		return cli.Usage(prefixed(name, err))
	}
	p, err := in.session.Predict()
	if err != nil {
		return cli.Usage(prefixed(name, inFile(err, lines)))
	}
	var out bytes.Buffer
	writePage(&out, &in, &p, lines)
	if in.picture != "" {
		if err := atomicfile.Write(in.picture, []byte(picture(&in, &p))); err != nil {
			return fmt.Errorf("cannot write the picture: %w", cli.Plain(err))
		}
	}
	if _, err := stdout.Write(out.Bytes()); err != nil {
		return fmt.Errorf("cannot write the page: %w", cli.Plain(err))
	}
	return nil
}
