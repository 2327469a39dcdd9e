// Command handover prints the sheet that a dealer hands over with a loader
// tractor: how its tires are filled, what its axles carry, what it may lift
// with and without ballast, and on how steep a slope it stays upright.
//
//	go -C examples run ./handover
//	go -C examples run ./handover -units usCustomary -file mine.json
//	go -C examples run ./handover -form page >sheet.html
//
// With -C the program runs in the folder examples, so a relative -file is looked
// for there.
package main

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"io"
	"os"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/units"
)

func main() {
	os.Exit(cli.Main("handover", os.Stderr, func(context.Context) error {
		return run(os.Args[1:], os.Stdout, os.Stderr)
	}))
}

// maxFile is the largest input file, in bytes.
const maxFile = 1 << 20

var forms = map[string]func(io.Writer, *Sheet, units.Display) error{
	"text": writeText,
	"page": writePage,
	"json": writeJSON,
}

func run(args []string, stdout, stderr io.Writer) error {
	f := flag.NewFlagSet("handover", flag.ContinueOnError)
	file := f.String("file", "", "the setup as a JSON `file`; - is the standard input; without it the co-operative's invented tractor")
	form := f.String("form", "text", "what to write: text, page (one HTML file that prints) or json")
	var display units.Display
	f.TextVar(&display.System, "units", units.Metric, "metric, usCustomary or imperial")
	if err := cli.Parse(f, args, stderr); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	write, ok := forms[*form]
	if !ok {
		return cli.Usagef("-form %s: must be text, page or json", *form)
	}
	data := demo.Handover
	if *file != "" {
		var err error
		if data, err = cli.ReadFile(*file, maxFile); err != nil {
			return err
		}
	}
	in, err := decode(data)
	if err != nil {
		return cli.Usage(err)
	}
	sheet, err := makeSheet(in)
	if err != nil {
		return cli.Usage(err)
	}
	// Make the whole sheet before anything is written.
	var out bytes.Buffer
	if err := write(&out, sheet, display); err != nil {
		return err
	}
	if _, err := stdout.Write(out.Bytes()); err != nil {
		return fmt.Errorf("cannot write the sheet: %w", cli.Plain(err))
	}
	return nil
}

// decode reads an input file strictly. It replaces hidden characters in every text,
// so that each form of the sheet may print it.
func decode(data []byte) (*Input, error) {
	var in Input
	if err := ballast.DecodeInto(bytes.NewReader(data), &in); err != nil {
		return nil, err
	}
	visible.Strings(&in)
	return &in, nil
}
