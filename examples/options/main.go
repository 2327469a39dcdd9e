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

func main() {
	os.Exit(cli.Main("options", os.Stderr, func(ctx context.Context) error {
		return run(ctx, os.Args[1:], os.Stdout, os.Stderr)
	}))
}

func run(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	p := paper.Program{
		Name: "options", Output: "the options", Forms: []string{"text", "page", "json"}, Priced: true, Demo: demoOptions, DemoPapers: demo.Papers,
		File: "machine and options as a JSON `file`; - is the standard input; without it an invented demo",
		Form: "what to write: text, page (one HTML file that prints) or json",
	}
	return p.Run(args, stdout, stderr, func(w *bytes.Buffer, o *paper.Options) error {
		in, err := decode(o.Data)
		if err != nil {
			return cli.Usage(err)
		}
		answer, err := compare(ctx, in)
		if err != nil {
			return cli.Usage(err)
		}
		if o.Form == "json" {
			e := json.NewEncoder(w)
			e.SetIndent("", "  ")
			return e.Encode(answer)
		}
		sheet, err := (&speaker{o.Words, o.Papers, answer, o.Currency}).sheet()
		if err != nil {
			return err
		}
		return o.Sheet(w, sheet)
	})
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
