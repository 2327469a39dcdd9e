package paper

import (
	"bytes"
	"flag"
	"fmt"
	"io"
	"slices"
	"strings"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/visible"
)

// A Program is what the programs with sheets have in common: flags, a file, one write at the end.
type Program struct {
	Name string
	// Output is what is written, as in "cannot write the sheet".
	Output string
	// File and Form are the help of the flags -file and -form, Forms what -form may be.
	File, Form string
	Forms      []string
	// Priced programs have a flag for the currency.
	Priced bool
	// Demo stands in where no file is named, with DemoPapers.
	Demo       []byte
	DemoPapers func() (*Papers, error)
}

// maxFile is the largest input file, in bytes.
const maxFile = 1 << 20

// Run reads flags and file and writes what write has made of them, once all of it is made.
func (p *Program) Run(args []string, stdout, stderr io.Writer, write func(w *bytes.Buffer, o *Options) error) error {
	var o Options
	f := flag.NewFlagSet(p.Name, flag.ContinueOnError)
	f.StringVar(&o.File, "file", "", p.File)
	f.StringVar(&o.Form, "form", "text", p.Form)
	if p.Priced {
		f.StringVar(&o.Currency, "currency", "", "the `name` of the currency that stands behind amounts")
	}
	o.define(f)
	if err := cli.Parse(f, args, stderr); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	if n := len(p.Forms) - 1; !slices.Contains(p.Forms, o.Form) {
		return cli.Usagef("-form %s: must be %s or %s", o.Form, strings.Join(p.Forms[:n], ", "), p.Forms[n])
	}
	o.Currency = visible.Text(o.Currency)
	papers := p.DemoPapers
	o.Data = p.Demo
	if o.File != "" {
		var err error
		if o.Data, err = cli.ReadFile(o.File, maxFile); err != nil {
			return err
		}
		papers = nil
	}
	if err := o.finish(papers); err != nil {
		return err
	}
	var out bytes.Buffer
	if err := write(&out, &o); err != nil {
		return err
	}
	if _, err := stdout.Write(out.Bytes()); err != nil {
		return fmt.Errorf("cannot write %s: %w", p.Output, cli.Plain(err))
	}
	return nil
}

// Sheet writes a sheet as text, or as a page where the form is one.
func (o *Options) Sheet(w io.Writer, s *Sheet) error {
	text := s.Text
	if o.Form == "page" || o.Form == "card" {
		text = func() string { return s.Page(o.Words.Language, o.Size, o.Papers) }
	}
	_, err := io.WriteString(w, text())
	return err
}
