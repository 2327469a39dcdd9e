// Command handover prints the sheet that a dealer hands over with a loader tractor: whether a load
// may be lifted, job by job, what it is limited by, what to heed, and how steep the ground may be.
// It also prints a card for the machine, with the loads of each job, once everything that limits
// them is known.
//
//	go -C examples run ./handover
//	go -C examples run ./handover -form page -paper letter -units usCustomary >sheet.html
//	go -C examples run ./handover -form card -file internal/demo/rated.json
//
// With -C the program runs in the folder examples, so a relative -file is looked
// for there.
package main

import (
	"bytes"
	"context"
	"io"
	"os"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/examples/internal/visible"
)

func main() {
	os.Exit(cli.Main("handover", os.Stderr, func(context.Context) error {
		return run(os.Args[1:], os.Stdout, os.Stderr)
	}))
}

// forms are what can be written.
var forms = []string{"text", "page", "card", "cardtext", "json"}

func run(args []string, stdout, stderr io.Writer) error {
	p := paper.Program{
		Name: "handover", Output: "the sheet", Forms: forms, Demo: demo.Handover, DemoPapers: demo.Papers,
		File: "the setup as a JSON `file`; - is the standard input; without it the co-operative's invented tractor",
		Form: "what to write: text, page (one HTML file that prints), card (a page for the machine), cardtext or json",
	}
	return p.Run(args, stdout, stderr, func(w *bytes.Buffer, o *paper.Options) error {
		in, err := decode(o.Data)
		if err != nil {
			return cli.Usage(err)
		}
		sheet, err := makeSheet(in)
		if err != nil {
			return cli.Usage(err)
		}
		return render(w, sheet, o)
	})
}

// render writes a sheet in the form that was asked for.
func render(w io.Writer, s *Sheet, o *paper.Options) error {
	p := &speaker{o.Words, s, o.Papers}
	say := p.sheet
	switch o.Form {
	case "json":
		return writeJSON(w, s)
	case "card", "cardtext":
		say = p.cardSheet
	}
	sheet, err := say()
	if err != nil {
		return err
	}
	return o.Sheet(w, sheet)
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
