// Command sweep evaluates many variants of a machine and tells which inputs
// its answers follow.
//
//	sweep                               the built-in design, its summary only
//	sweep -design d.json -out rows      rows as chunks of CSV in a folder
//	sweep merge -out rows.csv rows      the chunks as one file
//	sweep summary rows                  the summary of what is in the folder
//	sweep demo                          prints the built-in design
//	sweep outputs                       lists the outputs that a design may name
//
// A design names a base document as package ballast reads it, factors by
// their JSON path in it with a list, range or distribution each, outputs, and
// a plan: a grid, a Latin hypercube, random draws, or the blocks of rows that
// Sobol indices need. The same design gives the same bytes on any number of
// workers. A run that was stopped or killed goes on where it was when it is
// started again; -shard 3/16 does the third of sixteen parts, on this
// machine or another. Of two processes that would write the same rows of one
// folder the second is refused, and told who the first is.
//
// In CSV a text that a spreadsheet could take for a formula, because it begins
// with =, +, -, @, a tab or a line break, has a ' before it, and so has one
// that begins with '. A number has none. Parquet holds every text as it is.
//
// A design is a JSON object:
//
//	version   1
//	base      a document, or baseFile with the name of one beside the design
//	plan      kind (grid, latin-hypercube, random, saltelli), samples, seed
//	factors   a list; each with path (or paths, all set alike), name, and one of
//	          range       low, high; and steps in a grid
//	          list        values; and weights, labels
//	          normal      mean, sd; and low, high, where it is cut off
//	          triangular  low, mode, high
//	          lognormal   median, sigma of the logarithm; and low, high
//	outputs   names as sweep outputs lists them; of the first lift, or of
//	          another as in lifts[1].usable
//
// A saltelli plan has samples x (factors + 2) rows. A variant that the library
// refuses has its reason in the last column; a limit that was not checked or
// cannot occur is an empty cell.
//
// Folder cluster has scripts for a Slurm job array and a Kubernetes indexed
// job.
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
				if _, err := fmt.Fprintln(stdout, column{name: m.name, unit: m.unit}.header()); err != nil {
					return err
				}
			}
			return nil
		}
	}
	return runCommand(ctx, args, stdout, stderr)
}

func runCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	flags := flag.NewFlagSet("sweep", flag.ContinueOnError)
	designFlag := flags.String("design", "", "the design `file`; none is the built-in one")
	out := flags.String("out", "", "the `folder` for the rows; - is the standard output, none is nowhere")
	formatFlag := flags.String("format", "csv", "how rows are written: csv or parquet")
	digits := flags.Int("digits", 7, "significant digits of a number in CSV, 1 to 17")
	workers := flags.Int("workers", runtime.GOMAXPROCS(0), "how many rows are evaluated at a time")
	shardFlag := flags.String("shard", "1/1", "which part to do, as `k/n`, the k-th of n")
	samples := flags.Int64("samples", 0, "replaces the number of samples of the design's plan")
	seed := flags.String("seed", "", "replaces the seed of the design's plan")
	summary := flags.Bool("summary", true, "print the summary")
	flags.Usage = func() {
		fmt.Fprint(stderr, `usage: sweep [flags]
       sweep merge -out FILE FOLDER...
       sweep summary FOLDER...
       sweep demo
       sweep outputs

`)
		flags.PrintDefaults()
	}
	if err := cli.Parse(flags, args, stderr); err != nil {
		return err
	}
	var s shard
	switch n, err := fmt.Sscanf(*shardFlag+"\n", "%d/%d\n", &s.k, &s.n); {
	case flags.NArg() > 0:
		return cli.Usagef("%q: is no flag and no command", flags.Arg(0))
	case !format(*formatFlag).valid():
		return cli.Usagef("-format %s: must be csv or parquet", *formatFlag)
	case *digits < 1 || *digits > 17:
		return cli.Usagef("-digits %d: must be from 1 to 17", *digits)
	case *workers < 1 || *workers > 4096:
		return cli.Usagef("-workers %d: must be from 1 to 4096", *workers)
	case err != nil || n != 2 || s.k < 1 || s.k > s.n || s.n > 9999:
		return cli.Usagef("-shard %s: must be k/n with k from 1 to n and n up to 9999, such as 3/16", *shardFlag)
	case *samples < 0:
		return cli.Usagef("-samples %d: must be positive", *samples)
	case *out == "-" && format(*formatFlag) == formatParquet:
		return cli.Usagef("-format parquet: needs a folder; merge makes one file of it")
	}
	over := overrides{samples: *samples}
	if *seed != "" {
		n, err := strconv.ParseUint(*seed, 10, 64)
		if err != nil {
			return cli.Usagef("-seed %s: must be a whole number from 0 to %d", *seed, uint64(1<<64-1))
		}
		over.seed = &n
	}
	data, name, dir := demo, "the built-in design", ""
	if *designFlag != "" {
		var err error
		if data, err = cli.ReadFile(*designFlag, maxDesignBytes); err != nil {
			return err
		}
		name, dir = *designFlag, filepath.Dir(*designFlag)
	}
	d, err := loadDesign(data, dir, over)
	if err != nil {
		return cli.Usagef("%s: %w", name, err)
	}
	j := d.job()
	if _, err := j.worker(); err != nil {
		return cli.Usagef("%s: %w", name, err)
	}

	if *out == "" || *out == "-" {
		var rows io.Writer
		report := stdout
		if *out == "-" {
			rows, report = stdout, stderr
		}
		first, end := s.span(j.chunks())
		chunks := make([]int, 0, end-first)
		for c := first; c < end; c++ {
			chunks = append(chunks, c)
		}
		var done atomic.Int64
		stop := progress(stderr, j, chunks, &done)
		sum, err := stream(ctx, j, chunks, *workers, format(*formatFlag), *digits, rows, *summary, &done)
		stop()
		if err != nil || !*summary {
			return err
		}
		return sum.writeSummary(report, d.cautions())
	}

	st, err := openStore(*out, d, j, s, format(*formatFlag), *digits, stderr)
	if err != nil {
		return err
	}
	missing := st.missing(j.chunks())
	var done atomic.Int64
	stop := progress(stderr, j, missing, &done)
	err = keep(ctx, j, st, *workers, &done)
	stop()
	if cerr := st.close(); err == nil {
		err = cerr
	}
	if err != nil {
		if ctx.Err() != nil {
			first, end := s.span(j.chunks())
			return fmt.Errorf("%w: %d of %d chunks are finished in %s; the same command goes on from there", err, len(st.manifest.Chunks), end-first, *out)
		}
		return err
	}
	if s.n > 1 {
		fmt.Fprintf(stderr, "sweep: shard %s is finished in %s\n", s, *out)
		return nil
	}
	if !*summary {
		return nil
	}
	return summarize(ctx, []string{*out}, *workers, stdout)
}

// progress shows how far a run is if stderr is a terminal.
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
