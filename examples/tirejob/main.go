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
	"fmt"
	"io"
	"os"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/demo"
	"example.com/steelyard/examples/internal/paper"
)

// demoJobs is an invented list of the growers' co-operative.
//
//go:embed demo.csv
var demoJobs []byte

func main() {
	os.Exit(cli.Main("tirejob", os.Stderr, func(context.Context) error {
		return run(os.Args[1:], os.Stdout, os.Stderr)
	}))
}

func run(args []string, stdout, stderr io.Writer) error {
	p := paper.Program{
		Name: "tirejob", Output: "the jobs", Forms: []string{"text", "page", "csv"}, Priced: true, Demo: demoJobs, DemoPapers: demo.Papers,
		File: "the jobs as a CSV `file`; - is the standard input; without it an invented demo",
		Form: "what to write: text, page (one HTML file that prints, a page for each job) or csv",
	}
	var list []job
	err := p.Run(args, stdout, stderr, func(w *bytes.Buffer, o *paper.Options) (err error) {
		if list, err = readJobs(o.Data); err != nil {
			name := o.File
			if name == "" {
				name = "demo.csv"
			}
			return cli.Usage(fmt.Errorf("%s: %w", name, err))
		}
		say := &speaker{o.Words, o.Papers, list, o.Currency}
		if o.Form == "csv" {
			return say.table(w)
		}
		return o.Sheet(w, say.sheet())
	})
	if err != nil {
		return err
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
