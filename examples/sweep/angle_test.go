package main

import (
	"bytes"
	"context"
	"math"
	"strings"
	"sync/atomic"
	"testing"
)

// Slopes and headings come out in the unit in which the design gives them, and go into the
// library in radians.
func TestAngleUnits(t *testing.T) {
	from, to := bytes.Index(demo, []byte(`"outputs": [`)), bytes.Index(demo, []byte(`"base"`))
	for _, c := range []struct {
		low, high, base string
		heads           string
		slope           func(rad float64) float64
	}{
		{"5 %", "20 %", "", "slope_percent,slope_percent_2,slope_heading_deg", func(v float64) float64 { return 100 * math.Tan(v) }},
		{"1:20", "1:5", "", "slope_percent,slope_percent_2,slope_heading_deg", func(v float64) float64 { return 100 * math.Tan(v) }},
		{"3 deg", "11 deg", `"heading": "90 deg", `, "slope_deg,slope_deg_2,slope_heading_deg", func(v float64) float64 { return v * 180 / math.Pi }},
		{"0.05 rad", "0.2 rad", "", "slope_rad,slope_rad_2,slope_heading_rad", func(v float64) float64 { return v }},
	} {
		text := string(demo[:from]) + `"outputs": ["slope", "slope.heading"], ` + string(demo[to:])
		text = strings.Replace(text, `"factors": [`, `"factors": [{"name": "slope", "path": "lifts[0].slope", "range": {"low": "`+c.low+`", "high": "`+c.high+`"}},`, 1)
		text = strings.Replace(text, `"height": "1.1 m",`, `"height": "1.1 m", `+c.base, 1)
		d, err := loadDesign([]byte(text), "", overrides{samples: 4})
		if err != nil {
			t.Fatal(err)
		}
		j := d.job()
		n := len(j.columns)
		if got := strings.Join([]string{j.columns[0].header(), j.columns[n-2].header(), j.columns[n-1].header()}, ","); got != c.heads {
			t.Errorf("%s: columns %s, want %s", c.low, got, c.heads)
		}
		w, err := j.worker()
		if err != nil {
			t.Fatal(err)
		}
		var done atomic.Int64
		if err := w.run(context.Background(), 0, &done, func(row int64, cells []float64, refused error) error {
			if refused != nil {
				t.Fatal(refused)
			}
			x := make([]float64, len(j.factors))
			w.sampler.row(row, j.factors, x)
			if want := c.slope(x[0]); cells[0] != want && math.Abs(cells[0]-want) > 1e-12*want {
				t.Errorf("%s: %v, want %v", c.low, cells[0], want)
			}
			e := w.eval.(*variant).evaluator
			if lift := e.Lift(0); float64(lift.Slope) != x[0] {
				t.Errorf("%s: the library has %v, want %v", c.low, lift.Slope, x[0])
			}
			tip, err := e.WorstTip(0, e.LoadMass(0))
			if err != nil {
				t.Fatal(err)
			}
			if want := c.slope(float64(tip.First.Slope())); math.Abs(cells[n-2]-want) > 1e-12*want {
				t.Errorf("%s: the slope to tip at is %v, want %v", c.low, cells[n-2], want)
			}
			return nil
		}); err != nil {
			t.Fatal(err)
		}
	}
}

// Only a factor whose values have an order has a rank.
func TestOrderedFactors(t *testing.T) {
	for spec, unordered := range map[string]bool{
		`"path": "setup.machine.operator", "list": ["none", "light", "heavy"]`:                            true,
		`"path": "setup.machine.operator", "list": ["none", "light", "heavy"], "ordered": true`:           false,
		`"path": "setup.machine.operator", "list": ["none", "light", "heavy"], "labels": ["a", "b", "c"]`: true,
		`"path": "setup.machine.wheelbase", "list": ["1.9 m", "2 m"]`:                                     false,
		`"path": "setup.machine.wheelbase", "list": ["1.9 m", "2 m"], "labels": ["short", "long"]`:        false,
		`"path": "setup.machine.wheelbase", "list": ["2 m", "1.9 m"], "labels": ["long", "short"]`:        true,
		`"path": "setup.machine.wheelbase", "range": {"low": "1.9 m", "high": "2 m"}`:                     false,
	} {
		design := changed(t, `{"name": "box", "path": "setup.pieces[0].mass", "range": {"low": "200 kg", "high": "700 kg"}}`, "{"+spec+"}")
		// Nothing is set twice.
		d := mustLoad(t, bytes.Replace(design, []byte(`,
    {"name": "operator", "path": "setup.machine.operator", "list": ["none", "light", "heavy"], "ordered": true}`), nil, 1))
		if got := d.factors[0].unordered; got != unordered {
			t.Errorf("%s: unordered is %v", spec, got)
		}
	}
}
