// Command sweep evaluates many variants of a machine and shows which inputs its answers
// depend on.
//
//	sweep                               prints only the summary of the built-in design
//	sweep -design d.json -out rows      rows as chunks of CSV in a folder
//	sweep merge -out rows.csv rows      the chunks as one file
//	sweep summary rows                  the summary of what is in the folder
//	sweep demo                          prints the built-in design
//	sweep outputs                       lists the outputs that a design may name
//	sweep chance                        the chance that each limit is broken, given what varies
//
// A design has a base document as package ballast reads it; factors, each with its JSON
// path in the document and a list, range or distribution; outputs; and a plan. The plan is
// a grid, a Latin hypercube, random draws, or the blocks of rows that Sobol indices need.
// The same design gives the same bytes on any number of workers. A run that was stopped or
// killed continues when it is started again. With -shard 3/16 it evaluates the third of
// sixteen parts, on this machine or another. If two processes would write the same rows of
// one folder, the second is refused, and its error names the first.
//
// In CSV a text that a spreadsheet could take for a formula, because it begins with =, +, -,
// @, a tab or a line break, has a ' before it. So has a text that begins with '. A number
// has none. Parquet holds every text without change.
//
// A design is a JSON object:
//
//	version   1
//	base      a document, or baseFile with the name of one beside the design
//	plan      kind (grid, latin-hypercube, random, saltelli), samples, seed
//	factors   a list; each with path (or paths, all set alike), name, and one of
//	          range       low, high; and steps in a grid
//	          list        values; and weights, labels, and ordered if the values
//	                      have an order that numbers do not say
//	          normal      mean, sd; and low, high, where it is cut off
//	          triangular  low, mode, high
//	          lognormal   median, sigma of the logarithm; and low, high
//	outputs   names as sweep outputs lists them; of the first lift, or of
//	          another as in lifts[1].usable
//
// Columns are named by factor or output and unit, in letters, digits and underscores, such
// as limits_hydraulic_kg. What each is, with the design's seed and the notes that belong to
// the answers, stands in about.json in the folder, in a file beside merged CSV, and in
// Parquet's metadata. Slopes and angles stand in the unit in which the design gives them.
//
// A saltelli plan has samples x (factors + 2) rows. If the library refuses a variant, the last columns give a code of what it would have
// accepted, the path of the field, and the number and its unit that it refused. A limit that was not checked or cannot occur is an empty cell.
//
// The command chance answers a specification of package reliability in ballast, which says
// what varies, what nobody knows and which limits are asked about; -show prints the built-in
// one. It writes chances.csv (each limit by itself: probability, interval, method, number of
// evaluations, first order, the deciding input, notes), indices.csv (Sobol indices) and
// chance.json to a folder.
//
// The folder read has programs in Python and R that read the rows. The folder cluster has scripts for a Slurm job array and a Kubernetes indexed job.
//
// Exit codes: 0 done, 1 something failed, 2 wrong flags or input, 130 stopped
// by Ctrl-C, 143 by SIGTERM.
package main

import (
	"context"
	_ "embed"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"runtime"
	"strconv"
	"sync/atomic"

	"example.com/steelyard/examples/internal/cli"
)

//go:embed demo.json
var demo []byte

func main() {
	os.Exit(cli.Main("sweep", os.Stderr, func(ctx context.Context) error {
		return sweep(ctx, os.Args[1:], os.Stdout, os.Stderr)
	}))
}

func sweep(ctx context.Context, args []string, stdout io.Writer, stderr io.Writer) error {
	if len(args) > 0 {
		switch args[0] {
		case "merge":
			return mergeCommand(ctx, args[1:], stderr)
		case "summary":
			return summaryCommand(ctx, args[1:], stdout, stderr)
		case "chance":
			return chanceCommand(ctx, args[1:], stdout, stderr)
		case "demo":
			if len(args) > 1 {
				return cli.Usagef("demo: takes no arguments")
			}
			_, err := stdout.Write(demo)
			return err
		case "outputs":
			if len(args) > 1 {
				return cli.Usagef("outputs: takes no arguments")
			}
			for _, m := range measures {
				if _, err := fmt.Fprintln(stdout, column{name: m.name, unit: m.unit}.title()); err != nil {
					return err
				}
			}
			return nil
		}
	}
	return runCommand(ctx, args, stdout, stderr)
}

// options are the options of a run on the command line.
type options struct {
	design, out     string
	format          format
	digits, workers int
	shard           shard
	over            overrides
	summary         bool
}

func parseOptions(args []string, stderr io.Writer) (o options, err error) {
	flags := flag.NewFlagSet("sweep", flag.ContinueOnError)
	flags.StringVar(&o.design, "design", "", "the design `file`; none is the built-in one")
	flags.StringVar(&o.out, "out", "", "the `folder` for the rows; - is the standard output, none is nowhere")
	flags.StringVar((*string)(&o.format), "format", "csv", "how rows are written: csv or parquet")
	flags.IntVar(&o.digits, "digits", 7, "significant digits of a number in CSV, 1 to 17")
	flags.IntVar(&o.workers, "workers", runtime.GOMAXPROCS(0), "how many rows are evaluated at a time")
	shardFlag := flags.String("shard", "1/1", "which part to do, as `k/n`, the k-th of n")
	flags.Int64Var(&o.over.samples, "samples", 0, "replaces the number of samples of the design's plan")
	seed := flags.String("seed", "", "replaces the seed of the design's plan")
	flags.BoolVar(&o.summary, "summary", true, "print the summary")
	flags.Usage = func() {
		fmt.Fprint(stderr, `usage: sweep [flags]
       sweep merge -out FILE FOLDER...
       sweep summary FOLDER...
       sweep demo
       sweep outputs
       sweep chance [flags]

`)
		flags.PrintDefaults()
	}
	if err := cli.Parse(flags, args, stderr); err != nil {
		return o, err
	}
	switch n, err := fmt.Sscanf(*shardFlag+"\n", "%d/%d\n", &o.shard.k, &o.shard.n); {
	case flags.NArg() > 0:
		return o, cli.Usagef("%q: is neither a flag nor a command", flags.Arg(0))
	case !o.format.valid():
		return o, cli.Usagef("-format %s: must be csv or parquet", o.format)
	case o.digits < 1 || o.digits > 17:
		return o, cli.Usagef("-digits %d: must be from 1 to 17", o.digits)
	case o.workers < 1 || o.workers > 4096:
		return o, cli.Usagef("-workers %d: must be from 1 to 4096", o.workers)
	case err != nil || n != 2 || o.shard.k < 1 || o.shard.k > o.shard.n || o.shard.n > 9999:
		return o, cli.Usagef("-shard %s: must be k/n with k from 1 to n and n up to 9999, such as 3/16", *shardFlag)
	case o.over.samples < 0:
		return o, cli.Usagef("-samples %d: must be positive", o.over.samples)
	case o.out == "-" && o.format == formatParquet:
		return o, cli.Usagef("-format parquet: needs a folder; merge makes one file of it")
	}
	if *seed != "" {
		n, err := strconv.ParseUint(*seed, 10, 64)
		if err != nil {
			return o, cli.Usagef("-seed %s: must be a whole number from 0 to %d", *seed, uint64(1<<64-1))
		}
		o.over.seed = &n
	}
	return o, nil
}

// load returns the design of a run.
func (o *options) load() (*design, error) {
	data, name, dir := demo, "the built-in design", ""
	if o.design != "" {
		var err error
		if data, err = cli.ReadFile(o.design, maxDesignBytes); err != nil {
			return nil, err
		}
		name, dir = o.design, filepath.Dir(o.design)
	}
	d, err := loadDesign(data, dir, o.over)
	if err != nil {
		return nil, cli.Usagef("%s: %w", name, err)
	}
	if _, err := d.job().worker(); err != nil {
		return nil, cli.Usagef("%s: %w", name, err)
	}
	return d, nil
}

func runCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	o, err := parseOptions(args, stderr)
	if err != nil {
		return err
	}
	d, err := o.load()
	if err != nil {
		return err
	}
	if o.out == "" || o.out == "-" {
		return o.stream(ctx, d, stdout, stderr)
	}
	return o.keep(ctx, d, stdout, stderr)
}

// stream writes the rows of a run to the standard output, or nowhere.
func (o *options) stream(ctx context.Context, d *design, stdout, stderr io.Writer) error {
	j := d.job()
	var rows io.Writer
	report := stdout
	if o.out == "-" {
		rows, report = stdout, stderr
	}
	first, end := o.shard.span(j.chunks())
	chunks := make([]int, 0, end-first)
	for c := first; c < end; c++ {
		chunks = append(chunks, c)
	}
	var done atomic.Int64
	stop := progress(stderr, j, chunks, &done)
	sum, err := stream(ctx, j, chunks, o.workers, o.format, o.digits, rows, o.summary, &done)
	stop()
	if err != nil || !o.summary {
		return err
	}
	return sum.writeSummary(report, d.cautions())
}

// keep writes the rows of a run to a folder, and continues an earlier run that was
// stopped.
func (o *options) keep(ctx context.Context, d *design, stdout, stderr io.Writer) error {
	j := d.job()
	st, err := openStore(o.out, d, j, o.shard, o.format, o.digits, stderr)
	if err != nil {
		return err
	}
	missing := st.missing(j.chunks())
	var done atomic.Int64
	stop := progress(stderr, j, missing, &done)
	err = keep(ctx, j, st, o.workers, &done)
	stop()
	if cerr := st.close(); err == nil {
		err = cerr
	}
	if err != nil {
		if ctx.Err() != nil {
			first, end := o.shard.span(j.chunks())
			return fmt.Errorf("%w: %d of %d chunks are finished in %s; the same command continues from there", err, len(st.manifest.Chunks), end-first, o.out)
		}
		return err
	}
	if o.shard.n > 1 {
		fmt.Fprintf(stderr, "sweep: shard %s is finished in %s\n", o.shard, o.out)
		return nil
	}
	if !o.summary {
		return nil
	}
	return summarize(ctx, []string{o.out}, o.workers, stdout)
}

// progress shows the progress of a run if stderr is a terminal.
func progress(stderr io.Writer, j *job, chunks []int, done *atomic.Int64) (stop func()) {
	file, ok := stderr.(*os.File)
	if !ok || !cli.IsTerminal(file) {
		return func() {}
	}
	var rows int64
	for _, c := range chunks {
		first, end := j.rows(c)
		rows += end - first
	}
	return showProgress(file, rows, done)
}

func mergeCommand(ctx context.Context, args []string, stderr io.Writer) error {
	flags := flag.NewFlagSet("sweep merge", flag.ContinueOnError)
	out := flags.String("out", "", "the `file` to write")
	if err := cli.Parse(flags, args, stderr); err != nil {
		return err
	}
	if *out == "" {
		return cli.Usagef("merge: -out must name the file to write")
	}
	r, err := openResults(flags.Args())
	if err != nil {
		return err
	}
	return r.merge(ctx, *out)
}

func summaryCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	flags := flag.NewFlagSet("sweep summary", flag.ContinueOnError)
	workers := flags.Int("workers", runtime.GOMAXPROCS(0), "how many chunks are read at a time")
	if err := cli.Parse(flags, args, stderr); err != nil {
		return err
	}
	return summarize(ctx, flags.Args(), *workers, stdout)
}

func summarize(ctx context.Context, dirs []string, workers int, w io.Writer) error {
	r, err := openResults(dirs)
	if err != nil {
		return err
	}
	s, err := r.stats(ctx, workers)
	if err != nil {
		return err
	}
	return s.writeSummary(w, r.design.cautions())
}
