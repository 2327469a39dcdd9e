// Package validation checks that the differences from outside sources that the tests
// measure agree with the table in README.md.
//
// Each package of the library has one TestValidation, whose subtests are
// named after their sources:
//
//	go test -run Validation ./...
//
// The first column of the table under the heading "How far to trust it" is that name, and
// the last one is the greatest difference that the subtest measured.
package validation

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"testing"
)

// Heading is the heading of the table in README.md.
const Heading = "## How far to trust it"

// Least is the difference below which only "below" is stated, in the unit of
// the row: the last bits differ between processors.
const Least = 1e-6

type worst struct {
	off  float64
	unit string
}

var seen struct {
	sync.Mutex
	by map[string]worst
}

// Relative notes the difference of a result from its published value in percent of that
// value. It does nothing if the value is zero or NaN, or outside TestValidation.
func Relative(t testing.TB, got, want float64) {
	if d := math.Abs(got-want) / math.Abs(want); want != 0 && !math.IsNaN(d) && !math.IsInf(d, 0) {
		note(t, 100*d, "%", false)
	}
}

// Off notes a difference in a given unit, which is then the unit of the whole subtest.
func Off(t testing.TB, d float64, unit string) { note(t, math.Abs(d), unit, true) }

func note(t testing.TB, d float64, unit string, rules bool) {
	seen.Lock()
	defer seen.Unlock()
	if seen.by == nil {
		seen.by = map[string]worst{}
	}
	w, ok := seen.by[t.Name()]
	switch {
	case !ok || rules && w.unit != unit:
		seen.by[t.Name()] = worst{d, unit}
	case w.unit == unit && d > w.off:
		seen.by[t.Name()] = worst{d, unit}
	}
}

// Run runs a test as the subtest of a source, and compares the greatest difference that it
// noted with the table. A test that notes no difference compares exactly.
func Run(t *testing.T, source string, f func(*testing.T)) {
	t.Run(source, func(t *testing.T) {
		f(t)
		if t.Failed() || t.Skipped() {
			return
		}
		seen.Lock()
		w, noted := seen.by[t.Name()]
		seen.Unlock()
		text := "exact"
		if noted {
			text = w.String()
		}
		t.Logf("greatest difference: %s", text)
		rows, err := Rows()
		if err != nil {
			t.Fatal(err)
		}
		for _, r := range rows {
			if r[0] != source {
				continue
			}
			if cell := r[len(r)-1]; !agrees(cell, w, noted) {
				t.Errorf("README.md says %q of %s; the test saw %s", cell, source, text)
			}
			return
		}
		t.Errorf("README.md has no row for %q; the last column would be: %s", source, text)
	})
}

// String rounds up to two digits.
func (w worst) String() string {
	sep := " "
	if w.off < Least {
		return fmt.Sprintf("below 0.000001%s%s", sep, w.unit)
	}
	step := math.Pow(10, math.Floor(math.Log10(w.off))-1)
	up := math.Ceil(w.off/step*(1-1e-9)) * step
	return strconv.FormatFloat(up, 'f', max(0, 1-int(math.Floor(math.Log10(w.off)))), 64) + sep + w.unit
}

// agrees reports whether a cell of the table states the difference, rounded up by about a
// tenth.
func agrees(cell string, w worst, noted bool) bool {
	if !noted || w.off < Least {
		return cell == "exact" && !noted || noted && cell == w.String()
	}
	number, unit, _ := strings.Cut(cell, " ")
	stated, err := strconv.ParseFloat(number, 64)
	return err == nil && unit == w.unit && stated >= w.off*(1-1e-6) && stated <= 1.15*w.off
}

// Rows returns the cells of the table's rows, without its head.
func Rows() ([][]string, error) {
	for _, up := range []string{".", "..", "../..", "../../.."} {
		b, err := os.ReadFile(filepath.Join(up, "README.md"))
		if err != nil {
			continue
		}
		_, section, ok := strings.Cut(string(b), Heading+"\n")
		if !ok {
			continue
		}
		section, _, _ = strings.Cut(section, "\n## ")
		var rows [][]string
		for _, line := range strings.Split(section, "\n") {
			if !strings.HasPrefix(line, "|") || strings.HasPrefix(line, "|-") || strings.HasPrefix(line, "| -") {
				continue
			}
			cells := strings.Split(strings.Trim(line, "|"), "|")
			for i := range cells {
				cells[i] = strings.TrimSpace(cells[i])
			}
			rows = append(rows, cells)
		}
		if len(rows) < 2 {
			return nil, fmt.Errorf("README.md: no table under %q", Heading)
		}
		return rows[1:], nil
	}
	return nil, fmt.Errorf("README.md with a heading %q is in no folder above", Heading)
}
