package liquid

import (
	"encoding/csv"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// rows reads a file of testdata with a header line.
func rows(t testing.TB, name string) []map[string]string {
	t.Helper()
	f, err := os.Open("../testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range all[1:] {
		m := map[string]string{}
		for i, h := range all[0] {
			m[h] = r[i]
		}
		out = append(out, m)
	}
	return out
}

// With the valve at 12 o'clock about 75 %, at 4 o'clock about 40 %: common
// practice, no source; the band is that of the derived fractions over the
// sizes.
func TestFillAtValve(t *testing.T) {
	n := 0
	for _, r := range rows(t, "tire_dimensions.csv") {
		if !strings.Contains(r["type"], "drive") {
			continue
		}
		n++
		tire, err := ParseTire(r["size"])
		if err != nil {
			t.Error(err)
			continue
		}
		for _, c := range []struct{ clock, lo, hi float64 }{{12, 0.70, 0.82}, {4, 0.34, 0.44}, {8, 0.34, 0.44}} {
			got, err := Fill{Tire: tire, Fluid: Fluid{Kind: Water}, Level: ValveAt(c.clock)}.Solve()
			if err != nil || !(float64(got.Fraction) >= c.lo && float64(got.Fraction) <= c.hi) {
				t.Errorf("%s, valve at %v: %.3f, %v; want %v to %v", r["size"], c.clock, got.Fraction, err, c.lo, c.hi)
			}
		}
	}
	if n < 70 {
		t.Errorf("only %d drive sizes", n)
	}
}

// A numeric, a metric and a flotation size against the rows of the table of
// dimensions: the numeric rows are from memory, the metric ones follow the
// designation rule, and the flotation ones the designation.
func tireDimensions(t *testing.T) {
	for _, r := range rows(t, "tire_dimensions.csv") {
		tire, err := ParseTire(r["size"])
		if err != nil {
			t.Error(err)
			continue
		}
		check := func(name, want string, d Dimension) {
			t.Helper()
			var mm float64
			for _, c := range want {
				mm = mm*10 + float64(c-'0')
			}
			// the file is rounded to the millimeter; half a millimeter on
			// the diameter of sizes computed with the exact rim
			validation.Off(t, float64(d.Value/units.Millimeter)-mm, "mm")
			if diff := float64(d.Value/units.Millimeter) - mm; !(diff > -0.51 && diff < 0.51) {
				t.Errorf("%s: %s %.1f mm, want %s", r["size"], name, float64(d.Value/units.Millimeter), want)
			}
		}
		check("section width", r["section_width_mm"], tire.SectionWidth)
		check("overall diameter", r["overall_diameter_mm"], tire.OverallDiameter)
		check("rim diameter", r["nominal_rim_diameter_mm"], tire.RimDiameter)
	}
}

func parse(t testing.TB, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// What was found stays as it was found, and its origin with it.
func TestResolveTwice(t *testing.T) {
	for _, s := range []string{"14.9-24 R-1", "7.50-16 F-2", "VF 380/85R34", "31x15.50-15", "19.5L-24 R-4", "13.0-22", "12.5/80-18"} {
		a, err := ParseTire(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range dimensionFields {
			if d := f.at(&a); d.Origin == NotGiven || d.Value < 0 || d.Spread < 0 {
				t.Errorf("%s: %s is %+v", s, f.name, *d)
			}
		}
		b, err := a.Resolve()
		if err != nil || b != a {
			t.Errorf("%s: resolved twice %+v, %v", s, b, err)
		}
	}
}

// Deeper treads leave less room: rice and cane, deep, regular, industrial,
// shallow (common practice, no source for the order of the last two).
func TestTreads(t *testing.T) {
	last := units.Volume(0)
	for _, code := range []string{"R-2", "R-1W", "R-1", "R-4", "R-3"} {
		tire, err := ParseTire("16.9-28 " + code)
		if err != nil {
			t.Fatal(err)
		}
		c, err := tire.Compile()
		if err != nil || c.FullVolume() <= last {
			t.Errorf("%s: %v after %v, %v", code, c.FullVolume(), last, err)
		}
		last = c.FullVolume()
	}
}
