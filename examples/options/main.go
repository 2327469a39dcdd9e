// Command options sets ballast options for one machine side by side: what each lets it carry on three
// jobs and what limits it, what the axles carry with and without the loader, and the price. It says
// what another attachment costs in load, why the loader lifts less than its data sheet says, and what
// loads weigh.
//
//	go -C examples run ./options
//	go -C examples run ./options -file mine.json -form page -currency EUR >options.html
//
// The file is JSON: a setup with the options, which are lists of pieces with a price each, or a stock
// from which options are planned for needs. With -C the program runs in the folder examples, so a
// relative -file is looked for there.
package main

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/examples/internal/visible"
)

// demoOptions is what the co-operative's workshop offers for its invented tractor.
//
//go:embed demo.json
var demoOptions []byte

// maxFile is the largest input file, in bytes.
const maxFile = 1 << 20

func main() {
	os.Exit(cli.Main("options", os.Stderr, func(ctx context.Context) error {
		return run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	}))
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	f := flag.NewFlagSet("options", flag.ContinueOnError)
	file := f.String("file", "", "machine and options as a JSON `file`; - is the standard input; without it an invented demo")
	form := f.String("form", "text", "what to write: text, page (one HTML file that prints) or json")
	currency := f.String("currency", "", "the `name` of the currency that stands behind amounts")
	var o paper.Options
	o.Define(f)
	if err := cli.Parse(f, args, stderr); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	data, papers := demoOptions, demo.Papers
	if *file != "" {
		var err error
		if data, err = cli.ReadFile(*file, maxFile); err != nil {
			return err
		}
		papers = nil
	}
	if err := o.Finish(papers); err != nil {
		return err
	}
	in, err := decode(data)
	if err != nil {
		return cli.Usage(err)
	}
	answer, err := compare(ctx, in)
	if err != nil {
		return cli.Usage(err)
	}
	p := &speaker{o.Words, o.Papers, answer, visible.Text(*currency)}
	var out bytes.Buffer
	switch *form {
	case "text", "page":
		sheet, err := p.sheet()
		if err != nil {
			return err
		}
		if *form == "text" {
			out.WriteString(sheet.Text())
		} else {
			out.WriteString(sheet.Page(p.Language, o.Size, o.Papers))
		}
	case "json":
		e := json.NewEncoder(&out)
		e.SetIndent("", "  ")
		if err := e.Encode(answer); err != nil {
			return err
		}
	default:
		return cli.Usagef("-form %s: must be text, page or json", *form)
	}
	if _, err := stdout.Write(out.Bytes()); err != nil {
		return fmt.Errorf("cannot write the options: %w", cli.Plain(err))
	}
	return nil
}

// decode reads an input file strictly and replaces hidden characters in every text.
func decode(data []byte) (*Input, error) {
	var in Input
	if err := ballast.DecodeInto(bytes.NewReader(data), &in); err != nil {
		return nil, err
	}
	visible.Strings(&in)
	return &in, nil
}
