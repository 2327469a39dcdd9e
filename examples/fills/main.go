// Command fills lists what goes into each of many tires, for each of several fluids and
// positions of the valve, as CSV for a spreadsheet.
//
//	go -C examples run ./fills
//	go -C examples run ./fills -file tires.csv -fluid water -fluid "calciumChloride 25 % by mass" -valve 12,8
//	go -C examples run ./fills -units usCustomary > fills.csv
//
// The file is CSV with a line of column names, separated by commas or by semicolons. Column tire
// holds a designation in any usual spelling. Columns valve and volume may hold one fill that was
// measured, by a meter or by a row of the tire maker's table: a clock position, or full, and a
// volume with its unit, such as 12 and 198 L; the tire is then corrected to it. The unit may
// stand in the name of the column instead, such as volume (L); a gallon without a country is
// that of -units. Rows of one size that have the same word in column group are several fills of
// one tire, such as the rows of its maker's table: they are held against each other, and each row
// is answered by the tire that is corrected to all of them. All other columns are kept and stand
// at the end of each line; a cell that a spreadsheet would take for a formula gets an apostrophe.
// A column whose name only begins with valve, volume, level, mass or a unit is an error.
//
// A tire that cannot be read, or a row with more cells than columns, has its own line with what
// would be accepted in column problem. A measured fill that contradicts the tire stands in
// column findings, and the band then holds what the fill says within the outer shape of the
// tire. In both cases the whole table is written and the program ends with exit code 1; where
// the file or a flag is wrong, with 2 and no table.
//
// Tires are taken as lifted on stands while they are filled; how a wheel stood while its fill
// was measured is not known, and the band reaches up for it. Units stand in the names of the
// columns. Findings, cautions, which belong to every figure, and notes are written out in each
// line, the most pressing first; the cautions stand on the standard error stream as well.
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
	"strconv"
	"strings"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// demoTires is an invented list of the growers' co-operative.
//
//go:embed demo.csv
var demoTires []byte

// maxFile is the largest input file, in bytes.
const maxFile = 4 << 20

func main() {
	os.Exit(cli.Main("fills", os.Stderr, func(context.Context) error {
		return run(os.Args[1:], os.Stdout, os.Stderr)
	}))
}

// input holds the values of the flags.
type input struct {
	file        string
	fluids      []liquid.Fluid
	levels      []liquid.Level
	clocks      []string
	temperature units.Temperature
	system      units.System
}

func parseFlags(args []string, stderr io.Writer) (in input, err error) {
	f := flag.NewFlagSet("fills", flag.ContinueOnError)
	f.StringVar(&in.file, "file", "", "the tires as a CSV `file`; - is the standard input; without it an invented demo")
	f.Func("fluid", "a `fluid`: its kind, and of a solution its strength, such as \"calciumChloride 25 % by mass\"; may be given several times; water if left out", func(s string) error {
		fluid, err := parseFluid(s)
		in.fluids = append(in.fluids, fluid)
		return err
	})
	f.Func("valve", "clock `positions` of the valve, separated by commas; 12,4 if left out", func(s string) error {
		return in.valves(s)
	})
	f.TextVar(&in.temperature, "temperature", units.Celsius(20), "temperature of the fluid")
	f.TextVar(&in.system, "units", units.Metric, "metric, usCustomary or imperial")
	if err := cli.Parse(f, args, stderr); err != nil {
		return in, err
	}
	if f.NArg() > 0 {
		return in, cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	if len(in.fluids) == 0 {
		in.fluids = []liquid.Fluid{{Kind: liquid.Water}}
	}
	if len(in.levels) == 0 {
		return in, in.valves("12,4")
	}
	return in, nil
}

// parseFluid reads a kind and, of a solution, its strength.
func parseFluid(s string) (f liquid.Fluid, err error) {
	kind, strength, _ := strings.Cut(strings.TrimSpace(s), " ")
	if err := f.Kind.UnmarshalText([]byte(kind)); err != nil {
		return f, err
	}
	if strength != "" {
		if err := f.Strength.UnmarshalText([]byte(strings.TrimSpace(strength))); err != nil {
			return f, err
		}
	}
	if f.Kind == liquid.Polyurethane {
		return f, fmt.Errorf("%s: must be a liquid; polyurethane fills the whole tire at any position of the valve", kind)
	}
	return f, f.Validate()
}

func (in *input) valves(s string) error {
	for _, text := range strings.Split(s, ",") {
		text = strings.TrimSpace(text)
		clock, err := strconv.ParseFloat(text, 64)
		if err != nil || liquid.ValveAt(clock).Validate() != nil {
			return fmt.Errorf("%.20q: must be a clock position above 0 and at most 12, which is the top", text)
		}
		in.levels, in.clocks = append(in.levels, liquid.ValveAt(clock)), append(in.clocks, text)
	}
	return nil
}

func run(args []string, stdout, stderr io.Writer) error {
	in, err := parseFlags(args, stderr)
	if err != nil {
		return err
	}
	name, data := "demo.csv", demoTires
	if in.file != "" {
		name = in.file
		if data, err = cli.ReadFile(in.file, maxFile); err != nil {
			return err
		}
	}
	file, err := readTires(data, in.system)
	if err != nil {
		return cli.Usage(fmt.Errorf("%s: %w", name, err))
	}
	var tires []liquid.Tire
	for _, l := range file.lines {
		if l.problem == nil {
			tires = append(tires, l.tire)
		}
	}
	rows, err := liquid.Table(context.Background(), tires, in.fluids, in.temperature, in.levels...)
	if err != nil {
		return cli.Usage(err)
	}
	var out bytes.Buffer
	told, err := writeTable(&out, &in, file, rows)
	if err != nil {
		return err
	}
	if _, err := stdout.Write(out.Bytes()); err != nil {
		return fmt.Errorf("cannot write the table: %w", cli.Plain(err))
	}
	for _, r := range told.cautions.Remarks() {
		fmt.Fprintln(stderr, "-", r.Text)
	}
	if len(file.extra) > 0 {
		fmt.Fprintf(stderr, "These columns stand at the end as they are, a cell like a formula with an apostrophe before it: %q. Those that are read are %s.\n", file.extra, columns)
	}
	var failed []string
	if told.unread > 0 {
		failed = append(failed, fmt.Sprintf("%d of %d tires have no fill; column problem says why", told.unread, len(file.lines)))
	}
	if told.disputed > 0 {
		failed = append(failed, fmt.Sprintf("%d of %d tires have a measured fill that contradicts them; column findings says what is wrong", told.disputed, len(file.lines)))
	}
	if len(failed) > 0 {
		return errors.New(strings.Join(failed, "; "))
	}
	return nil
}
