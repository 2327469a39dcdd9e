package standards_test

import (
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/validation"
)

// bandRow is a row of axle_split.csv.
type bandRow struct{ quantity, tractor, condition, front, rear, low, high, source string }

func bandRows(t *testing.T) []bandRow {
	t.Helper()
	var out []bandRow
	for _, r := range validation.Table(t, "axle_split.csv")[1:] {
		out = append(out, bandRow{r[0], r[1], r[2], r[3], r[4], r[5], r[6], r[8]})
	}
	return out
}

func percentRange(t *testing.T, s string) (low, high float64) {
	t.Helper()
	a, b, two := strings.Cut(s, "-")
	if !two {
		b = a
	}
	low, err := strconv.ParseFloat(a, 64)
	if err != nil {
		t.Fatal(err)
	}
	if high, err = strconv.ParseFloat(b, 64); err != nil {
		t.Fatal(err)
	}
	return low / 100, high / 100
}

// figures puts published figures together: their envelope, what is in all of
// them, and their sources.
type figures struct {
	low, high, from, to float64
	different           bool
	sources             []string
}

func (f *figures) add(low, high float64, source string) {
	if len(f.sources) == 0 {
		*f = figures{low, high, low, high, false, nil}
	}
	f.different = f.different || low != f.low || high != f.high
	f.low, f.high, f.from, f.to = min(f.low, low), max(f.high, high), max(f.from, low), min(f.to, high)
	if !slices.Contains(f.sources, source) {
		f.sources = append(f.sources, source)
	}
}

func (f *figures) hold(t *testing.T, what string, got standards.ShareBand) {
	t.Helper()
	near(t, what+" low", float64(got.Band.Low), f.low, 1e-12)
	near(t, what+" high", float64(got.Band.High), f.high, 1e-12)
	near(t, what+" agreed from", float64(got.Agreed.Low), f.from, 1e-12)
	near(t, what+" agreed to", float64(got.Agreed.High), f.to, 1e-12)
	var notes standards.Notes
	if f.different {
		notes |= standards.NoteSourcesDisagree
	}
	if len(f.sources) == 1 {
		notes |= standards.NoteOneSource
	}
	if strings.Contains(strings.Join(f.sources, " "), "PM 2089B") {
		notes |= standards.NoteMemory
	}
	if got.Notes != notes || len(got.Sources.Lines()) != len(f.sources) {
		t.Errorf("%s: notes %v, want %v; sources %q for %q", what, got.Notes, notes, got.Sources.Lines(), f.sources)
	}
}
