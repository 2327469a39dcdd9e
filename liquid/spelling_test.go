package liquid_test

import (
	"encoding/csv"
	"errors"
	"fmt"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// spellings reads a table of testdata: what people write, as collected by hand
// (common practice, no source), and what it means by the marks of ISO 4223-1,
// ISO 4251 and the Tire and Rim Association (memory).
func spellings(t testing.TB, name string) [][]string {
	t.Helper()
	f, err := os.Open("testdata/" + name)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return all[1:]
}

// told is a designation in words, from its fields alone.
func told(d liquid.Designation) string {
	inches := func(v uint16, decimals uint8) string {
		return strconv.FormatFloat(float64(v)/100, 'f', int(decimals), 64)
	}
	var w strings.Builder
	switch d.System {
	case liquid.Metric:
		fmt.Fprintf(&w, "metric %d mm", d.Width)
	case liquid.Flotation:
		fmt.Fprintf(&w, "flotation %s by %s in", inches(d.Overall, d.OverallDecimals), inches(d.Width, d.Decimals))
	default:
		fmt.Fprintf(&w, "numeric %s in", inches(d.Width, d.Decimals))
	}
	if d.Low {
		w.WriteString(" L")
	}
	if d.ExtraLow {
		w.WriteString(" LL")
	}
	if d.Aspect != 0 {
		fmt.Fprintf(&w, ", aspect %d", d.Aspect)
	}
	fmt.Fprintf(&w, ", %v, rim %s", d.Construction, strconv.FormatFloat(float64(d.Rim)/10, 'f', -1, 64))
	if d.Flexion != liquid.FlexionStandard {
		fmt.Fprintf(&w, ", %v", d.Flexion)
	}
	if d.CyclicField {
		w.WriteString(", CFO")
	}
	if d.Service[0] != (liquid.Service{}) {
		fmt.Fprintf(&w, ", service %v", d.Service[0])
	}
	if d.Service[1] != (liquid.Service{}) {
		fmt.Fprintf(&w, " and %v", d.Service[1])
	}
	if d.PlyRating != 0 {
		fmt.Fprintf(&w, ", ply rating %d", d.PlyRating)
	}
	if d.Tread != liquid.TreadUnknown {
		fmt.Fprintf(&w, ", tread %v", d.Tread)
	}
	if d.Type != liquid.TypeUnknown {
		fmt.Fprintf(&w, ", type %v", d.Type)
	}
	return w.String()
}

// Every spelling is read as what stands beside it and written in the standard
// form, which reads back as the same.
func TestSpellings(t *testing.T) {
	table := spellings(t, "spellings.csv")
	if len(table) < 150 {
		t.Errorf("only %d spellings", len(table))
	}
	for _, r := range table {
		d, err := liquid.ParseDesignation(r[0])
		if err != nil {
			t.Errorf("%q: %v", r[0], err)
			continue
		}
		if d.String() != r[1] || told(d) != r[2] {
			t.Errorf("%q: %s, %s; want %s, %s", r[0], d, told(d), r[1], r[2])
		}
		if back, err := liquid.ParseDesignation(d.String()); err != nil || back != d {
			t.Errorf("%q: %s read back as %v, %v", r[0], d, back, err)
		}
		// Capitals, small letters and spaces at the ends say nothing.
		for _, s := range []string{strings.ToLower(r[0]), strings.ToUpper(r[0]), " " + r[0] + "\t"} {
			if same, err := liquid.ParseDesignation(s); err != nil || same != d {
				t.Errorf("%q: %v, %v; want %v", s, same, err, d)
			}
		}
	}
}

// What can mean two things, or nothing, is refused with what would be accepted.
func TestSpellingsRefused(t *testing.T) {
	for _, r := range spellings(t, "refused_spellings.csv") {
		d, err := liquid.ParseDesignation(r[0])
		var f *units.FieldError
		if !errors.As(err, &f) || f.Path != r[1] || !strings.Contains(f.Want, r[2]) {
			t.Errorf("%q: %v, %v; want an error of %s that says %q", r[0], d, err, r[1], r[2])
		}
	}
}

// What a refusal proposes is accepted where it is a whole size.
func TestProposedSpellings(t *testing.T) {
	for _, s := range []string{"14.9-24", "14.9R24", "320/85-24", "320/85R24", "480/70R34", "750/65-16", "7.50-16", "31x15.50-15", "12.4x28", "16.9/14-28", "14.9-24 6PR"} {
		if _, err := liquid.ParseDesignation(s); err != nil {
			t.Error(err)
		}
	}
	asked := 0
	for _, r := range spellings(t, "refused_spellings.csv") {
		_, err := liquid.ParseDesignation(r[0])
		for _, f := range units.Fields(err) {
			for _, p := range f.Params {
				if p.Name != "sizes" && p.Name != "metric" && !(p.Name == "inches" && strings.Contains(f.Want, "spare wheel")) {
					continue
				}
				for s := range strings.SplitSeq(p.Text, ", ") {
					asked++
					if _, err := liquid.ParseDesignation(s); err != nil {
						t.Errorf("%q is asked to be %q: %v", r[0], s, err)
					}
				}
			}
		}
	}
	if asked < 50 {
		t.Errorf("only %d sizes proposed", asked)
	}
}

// One slip of the pen in a size that is made gives another size that is made, or asks: a
// digit left out never gives a tire whose outline is nobody's. The bound is wide: the section
// height is from 0.2 to 1.3 of the width.
func TestSlips(t *testing.T) {
	asked, read := 0, 0
	for _, r := range spellings(t, "spellings.csv") {
		d, err := liquid.ParseDesignation(r[1])
		if err != nil {
			t.Fatal(err)
		}
		size := d.Size()
		for i := range size {
			for _, slip := range []string{size[:i] + size[i+1:], size[:i] + size[i:i+1] + size[i:], size[:i] + "0" + size[i:]} {
				tire, err := liquid.ParseTire(slip)
				if err != nil {
					asked++
					continue
				}
				read++
				back, err := liquid.ParseDesignation(tire.Designation.String())
				if err != nil || back != tire.Designation {
					t.Errorf("%q: %v read back as %v, %v", slip, tire.Designation, back, err)
				}
				height := float64(tire.OverallDiameter.Value-tire.RimDiameter.Value) / 2
				if share := height / float64(tire.SectionWidth.Value); !(share > 0.18 && share < 1.35) {
					t.Errorf("%q is read as %v, %v of its width high", slip, tire.Designation, share)
				}
			}
		}
	}
	t.Logf("%d slips ask, %d are read as another size or the same", asked, read)
	if asked < 2*read {
		t.Errorf("%d slips ask, %d are read", asked, read)
	}
}
