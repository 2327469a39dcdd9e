// Command tirejob prints the job sheet of filling tires with liquid, or of taking it out again: what
// goes into each tire, how heavy it is, when it freezes, how it is mixed, what it costs, the
// pressure, the steps with their cautions, and a label for the wheel.
//
//	go -C examples run ./tirejob
//	go -C examples run ./tirejob -file jobs.csv -form page -currency EUR >jobs.html
//	go -C examples run ./tirejob -form csv -units usCustomary >jobs.csv
//
// The file is CSV with a line of column names, separated by commas or by semicolons. Column tire
// holds a designation in any usual spelling, fluid its kind and, of a solution, its strength, such
// as calciumChloride 25 % by mass. All others may be left out: machine and wheel name the place,
// count says how many tires are filled alike (1 if left out), action is fill or remove, purity is
// that of the product as it is sold, valve the clock position to which is filled (12 if left out),
// volume a measured volume in place of it, coldest the temperature at which it must not freeze, and
// for which the strength is chosen if none stands in fluid, pressure that of the tire's maker, and
// price an amount per kg or lb of the product or per L or US gal of the fluid. A tire that cannot
// be worked out has its own line with what would be accepted.
package main

import (
	"bytes"
	"context"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/examples/internal/visible"
)

// demoJobs is an invented list of the growers' co-operative.
//
//go:embed demo.csv
var demoJobs []byte

// maxFile is the largest input file, in bytes.
const maxFile = 1 << 20

func main() {
	os.Exit(cli.Main("tirejob", os.Stderr, func(context.Context) error {
		return run(os.Args[1:], os.Stdout, os.Stderr)
	}))
}

func run(args []string, stdout, stderr io.Writer) error {
	f := flag.NewFlagSet("tirejob", flag.ContinueOnError)
	file := f.String("file", "", "the jobs as a CSV `file`; - is the standard input; without it an invented demo")
	form := f.String("form", "text", "what to write: text, page (one HTML file that prints, a page for each job) or csv")
	currency := f.String("currency", "", "the `name` of the currency that stands behind amounts")
	var o paper.Options
	o.Define(f)
	if err := cli.Parse(f, args, stderr); err != nil {
		return err
	}
	if f.NArg() > 0 {
		return cli.Usagef("%s: the program takes only flags, no arguments (-h lists them)", f.Arg(0))
	}
	name, data, papers := "demo.csv", demoJobs, demo.Papers
	if *file != "" {
		var err error
		name, papers = *file, nil
		if data, err = cli.ReadFile(*file, maxFile); err != nil {
			return err
		}
	}
	if err := o.Finish(papers); err != nil {
		return err
	}
	list, err := readJobs(data)
	if err != nil {
		return cli.Usage(fmt.Errorf("%s: %w", name, err))
	}
	p := &speaker{o.Words, o.Papers, list, visible.Text(*currency)}
	var out bytes.Buffer
	switch *form {
	case "text":
		out.WriteString(p.sheet().Text())
	case "page":
		out.WriteString(p.sheet().Page(p.Language, o.Size, o.Papers))
	case "csv":
		if err := p.table(&out); err != nil {
			return err
		}
	default:
		return cli.Usagef("-form %s: must be text, page or csv", *form)
	}
	if _, err := stdout.Write(out.Bytes()); err != nil {
		return fmt.Errorf("cannot write the jobs: %w", cli.Plain(err))
	}
	unread := 0
	for _, j := range list {
		if j.problem != nil {
			unread++
		}
	}
	if unread > 0 {
		fmt.Fprintf(stderr, "%d of %d jobs are not worked out; each says why.\n", unread, len(list))
	}
	return nil
}
