package main

import (
	"bytes"
	"context"
	_ "embed"
	"encoding/csv"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"example.com/steelyard/ballast/reliability"
	"example.com/steelyard/examples/internal/atomicfile"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/visible"
)

// The built-in specifications: bins off a trailer, and a season on the sloping yard.
var (
	//go:embed chance.json
	chanceDemo []byte
	//go:embed chance-season.json
	chanceSeason []byte
)

// chanceCommand answers a specification of package reliability: the chance that each limit
// is broken, given what varies.
func chanceCommand(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	flags := flag.NewFlagSet("sweep chance", flag.ContinueOnError)
	spec := flags.String("spec", "", "the specification `file`; none is the built-in one")
	season := flags.Bool("season", false, "take the built-in season on the sloping yard instead")
	out := flags.String("out", "", "the `folder` for chances.csv, indices.csv and chance.json; none is nowhere")
	calls := flags.Int("calls", 0, "replaces the number of evaluations that each chance may take")
	show := flags.Bool("show", false, "print the specification instead of answering it")
	if err := cli.Parse(flags, args, stderr); err != nil {
		return err
	}
	data, name := chanceDemo, "the built-in specification"
	switch {
	case flags.NArg() > 0:
		return cli.Usagef("chance: %q: is no flag", flags.Arg(0))
	case *spec != "" && *season:
		return cli.Usagef("chance: -season: must be left out when -spec is given")
	case *calls != 0 && (*calls < 1000 || *calls > 1e9):
		return cli.Usagef("chance: -calls %d: must be from 1000 to 1000000000", *calls)
	case *season:
		data = chanceSeason
	case *spec != "":
		var err error
		if data, err = cli.ReadFile(*spec, maxDesignBytes); err != nil {
			return err
		}
		name = *spec
	}
	if *show {
		_, err := stdout.Write(data)
		return err
	}
	s, err := reliability.DecodeSpecification(bytes.NewReader(data))
	if err != nil {
		return cli.Usagef("%s: %w", name, err)
	}
	if *calls != 0 {
		s.Budget.Calls = *calls
	}
	report, err := s.Answer(ctx)
	if err != nil {
		return cli.Usagef("%s: %w", name, err)
	}
	if err := ctx.Err(); err != nil {
		return err
	}
	if *out != "" {
		if err := keepReport(*out, report); err != nil {
			return err
		}
	}
	return writeReport(stdout, report)
}

// keepReport writes a report to a folder.
func keepReport(dir string, r reliability.Report) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	text, err := json.MarshalIndent(r, "", "  ")
	if err != nil {
		return err
	}
	for _, f := range []struct {
		name string
		data []byte
	}{{"chances.csv", table(chanceRows(r))}, {"indices.csv", table(indexRows(r))}, {"chance.json", append(text, '\n')}} {
		if err := atomicfile.Write(filepath.Join(dir, f.name), f.data); err != nil {
			return outOfSpace(err, dir)
		}
	}
	return nil
}

func table(rows [][]string) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	_ = w.WriteAll(rows) // a buffer takes everything
	return b.Bytes()
}

// chanceRows has one row for each limit, and two where something is not known: at the best
// of it and at the worst.
func chanceRows(r reliability.Report) [][]string {
	rows := [][]string{{"limit", "at", "probability", "interval_low", "interval_high", "method", "evaluations", "first_order", "distance", "deciding_input", "deciding_share", "notes"}}
	row := func(limit, at string, c reliability.Chance) []string {
		distance, deciding, share := "", "", ""
		if i, v := c.Deciding(); i >= 0 {
			distance, deciding, share = digits(c.Points[0].Distance), visible.Cell(r.Inputs[i]), digits(float64(v))
		}
		return []string{limit, at, digits(float64(c.Probability)), digits(float64(c.Interval.Low)), digits(float64(c.Interval.High)), c.Method.String(),
			strconv.Itoa(c.Calls), digits(float64(c.FirstOrder)), distance, deciding, share, c.Notes.String()}
	}
	for _, o := range r.Limits {
		if o.Best == nil {
			rows = append(rows, row(o.Limit, "all", o.Worst))
			continue
		}
		rows = append(rows, row(o.Limit, "best", *o.Best), row(o.Limit, "worst", o.Worst))
	}
	return rows
}

func indexRows(r reliability.Report) [][]string {
	rows := [][]string{{"limit", "input", "first", "first_low", "first_high", "total", "total_low", "total_high"}}
	for _, o := range r.Limits {
		for _, x := range o.Indices {
			rows = append(rows, []string{o.Limit, visible.Cell(x.Variable), digits(x.First), digits(float64(x.FirstInterval.Low)), digits(float64(x.FirstInterval.High)),
				digits(x.Total), digits(float64(x.TotalInterval.Low)), digits(float64(x.TotalInterval.High))})
		}
	}
	return rows
}

// digits writes a number with as many digits as processors agree on.
func digits(v float64) string { return strconv.FormatFloat(v, 'g', 5, 64) }

// writeReport writes a report for a reader.
func writeReport(w io.Writer, r reliability.Report) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n", visible.Text(r.Title))
	for _, o := range r.Limits {
		fmt.Fprintf(&b, "\n%s\n", o.Limit)
		if o.Best != nil {
			fmt.Fprintf(&b, "  broken with a chance between %s and %s, as what is not known turns out\n", percent(float64(o.Low)), percent(float64(o.High)))
		} else {
			fmt.Fprintf(&b, "  broken with a chance of %s\n", percent(float64(o.High)))
		}
		fmt.Fprintf(&b, "  95 %% interval %s to %s, by %s, %s evaluations\n", percent(float64(o.Interval.Low)), percent(float64(o.Interval.High)), o.Worst.Method, thousands(int64(evaluations(o))))
		if o.Deciding != "" {
			fmt.Fprintf(&b, "  to first order %s; %s decides, with %.0f %% of the direction\n", percent(float64(o.Worst.FirstOrder)), o.Deciding, 100*float64(o.Share))
		}
		for _, x := range o.Indices {
			fmt.Fprintf(&b, "  first-order index %s, total %s: %s\n", index(x.First), index(x.Total), x.Variable)
		}
		notes := o.Worst.Notes
		if o.Best != nil {
			notes |= o.Best.Notes
		}
		for _, line := range notes.Lines() {
			fmt.Fprintf(&b, "  %s\n", line)
		}
	}
	b.WriteString("\nA chance is for engineers and replaces no limit. It rests on the tails of distributions\nthat nobody has seen. The operator's manual and local rules come first.\n")
	_, err := io.WriteString(w, b.String())
	return err
}

func evaluations(o reliability.Outcome) int {
	if o.Best == nil {
		return o.Worst.Calls
	}
	return o.Worst.Calls + o.Best.Calls
}

// percent writes a chance with three digits.
func percent(p float64) string { return strconv.FormatFloat(100*p, 'g', 3, 64) + " %" }
