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

func main() {
	os.Exit(cli.Main("handover", os.Stderr, func(context.Context) error {
		return run(os.Args[1:], os.Stdout, os.Stderr)
	}))
}

// maxFile is the largest input file, in bytes.
const maxFile = 1 << 20

func run(args []string, stdout, stderr io.Writer) error {
	f := flag.NewFlagSet("handover", flag.ContinueOnError)
	file := f.String("file", "", "the setup as a JSON `file`; - is the standard input; without it the co-operative's invented tractor")
	form := f.String("form", "text", "what to write: text, page (one HTML file that prints), card (a page for the machine), cardtext or json")
	var o paper.Options
	o.Define(f)
	if err := cli.Parse(f, args, stderr); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	data, papers := demo.Handover, demo.Papers
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
	sheet, err := makeSheet(in)
	if err != nil {
		return cli.Usage(err)
	}
	// Make the whole sheet before anything is written.
	var out bytes.Buffer
	if err := render(&out, *form, sheet, &o); err != nil {
		return err
	}
	if _, err := stdout.Write(out.Bytes()); err != nil {
		return fmt.Errorf("cannot write the sheet: %w", cli.Plain(err))
	}
	return nil
}

// forms are what can be written.
var forms = []string{"text", "page", "card", "cardtext", "json"}

// render writes a sheet in a form.
func render(w io.Writer, form string, s *Sheet, o *paper.Options) error {
	p := &speaker{o.Words, s, o.Papers}
	var sheet *paper.Sheet
	var err error
	switch form {
	case "json":
		return writeJSON(w, s)
	case "text", "page":
		sheet, err = p.sheet()
	case "card", "cardtext":
		sheet, err = p.cardSheet()
	default:
		return cli.Usagef("-form %s: must be text, page, card, cardtext or json", form)
	}
	if err != nil {
		return err
	}
	if form == "text" || form == "cardtext" {
		_, err = io.WriteString(w, sheet.Text())
		return err
	}
	_, err = io.WriteString(w, sheet.Page(o.Words.Language, o.Size, o.Papers))
	return err
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
