package main

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
)

// writeSummary writes the distribution of each output and the factors on which it depends.
func (s *stats) writeSummary(w io.Writer, cautions []string) error {
	var b strings.Builder
	fmt.Fprintf(&b, "%s rows", thousands(s.rows))
	if s.refused > 0 {
		fmt.Fprintf(&b, ", %s of them refused by the library:", thousands(s.refused))
	}
	b.WriteByte('\n')
	for _, r := range s.reasons {
		fmt.Fprintf(&b, "  %s\n", r)
	}
	if s.refused > int64(len(s.reasons)) {
		b.WriteString("  ...\n")
	}
	n := len(s.sample) / max(1, len(s.job.columns))
	k := len(s.job.factors)
	width := len("factor")
	for _, f := range s.job.factors {
		width = max(width, len(f.name))
	}
	x := make([][]float64, k)
	for f := range x {
		x[f] = s.sampled(f)
	}
	for i, out := range s.job.outputs {
		o := &s.outputs[i]
		fmt.Fprintf(&b, "\n%s\n", column{name: out.name, unit: out.unit}.title())
		if missing := s.rows - int64(o.n); missing > 0 {
			fmt.Fprintf(&b, "  empty in %s rows: not checked, cannot occur, or refused\n", thousands(missing))
		}
		if o.n == 0 {
			continue
		}
		if out.text != nil {
			for c, count := range o.counts {
				if count > 0 {
					fmt.Fprintf(&b, "  %5.1f %%  %s\n", 100*float64(count)/o.n, out.text[c])
				}
			}
			continue
		}
		y := s.sampled(k + i)
		q := quantiles(y, 0.05, 0.5, 0.95)
		fmt.Fprintf(&b, "  mean %s, standard deviation %s\n", short(o.mean), short(math.Sqrt(o.variance())))
		fmt.Fprintf(&b, "  least %s, 5 %% %s, median %s, 95 %% %s, greatest %s\n", short(o.min), short(q[0]), short(q[1]), short(q[2]), short(o.max))
		first, total := o.sobol()
		fmt.Fprintf(&b, "  %-*s  rank correlation", width, "factor")
		if first != nil {
			b.WriteString("  first-order index  total index")
		}
		b.WriteByte('\n')
		for f := range s.job.factors {
			rank := nan
			if !s.job.factors[f].unordered {
				rank = rankCorrelation(x[f], y)
			}
			fmt.Fprintf(&b, "  %-*s  %16s", width, s.job.factors[f].name, index(rank))
			if first != nil {
				fmt.Fprintf(&b, "  %17s  %11s", first[f], total[f])
			}
			b.WriteByte('\n')
		}
	}
	fmt.Fprintf(&b, "\nPercentiles and Spearman's rank correlations are of %s rows. ", thousands(int64(n)))
	if s.job.plan.kind == planSaltelli {
		b.WriteString("Sobol indices come\nwith their standard error, first order by Saltelli et al. 2010, total by Jansen 1999. ")
	}
	b.WriteString("A factor's\nvalues on a list count in the order of the list; without an order they have no rank.\n")
	if len(cautions) > 0 {
		b.WriteString("\nNone of this is a load to lift by. For whoever uses the answers:\n")
	}
	for _, line := range cautions {
		fmt.Fprintf(&b, "- %s\n", line)
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// short writes a number with four significant digits.
func short(v float64) string { return strconv.FormatFloat(v, 'g', 4, 64) }

// index writes an index between -1 and 1 with two digits.
func index(v float64) string {
	if math.IsNaN(v) {
		return "-"
	}
	s := strconv.FormatFloat(v, 'f', 2, 64)
	if s == "-0.00" {
		return "0.00"
	}
	return s
}

func (e estimate) String() string {
	if math.IsNaN(e.se) {
		return index(e.value)
	}
	return fmt.Sprintf("%s +-%s", index(e.value), index(e.se))
}
