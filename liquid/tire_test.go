package liquid_test

import (
	"encoding/csv"
	"maps"
	"math"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// dimensions are the dimensions of a tire by their names in JSON, those of its
// outline first.
var dimensions = [...]struct {
	name string
	at   func(*liquid.Tire) *liquid.Dimension
}{
	{"sectionWidth", func(t *liquid.Tire) *liquid.Dimension { return &t.SectionWidth }},
	{"overallDiameter", func(t *liquid.Tire) *liquid.Dimension { return &t.OverallDiameter }},
	{"rimDiameter", func(t *liquid.Tire) *liquid.Dimension { return &t.RimDiameter }},
	{"rimWidth", func(t *liquid.Tire) *liquid.Dimension { return &t.RimWidth }},
	{"lugDepth", func(t *liquid.Tire) *liquid.Dimension { return &t.LugDepth }},
	{"undertread", func(t *liquid.Tire) *liquid.Dimension { return &t.Undertread }},
	{"sidewall", func(t *liquid.Tire) *liquid.Dimension { return &t.Sidewall }},
	{"wellDepth", func(t *liquid.Tire) *liquid.Dimension { return &t.WellDepth }},
	{"wellWidth", func(t *liquid.Tire) *liquid.Dimension { return &t.WellWidth }},
	{"valveRadius", func(t *liquid.Tire) *liquid.Dimension { return &t.ValveRadius }},
}

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
		tire, err := liquid.ParseTire(r["size"])
		if err != nil {
			t.Error(err)
			continue
		}
		for _, c := range []struct{ clock, lo, hi float64 }{{12, 0.70, 0.82}, {4, 0.34, 0.44}, {8, 0.34, 0.44}} {
			got, err := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(c.clock)}.Solve()
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
		tire, err := liquid.ParseTire(r["size"])
		if err != nil {
			t.Error(err)
			continue
		}
		check := func(name, want string, d liquid.Dimension) {
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

// Sizes on half-inch and low-section rims against a table that is from memory,
// each row within about 2 %: a sanity band. The rim, from memory as well, is in
// the stated band. The answer names the family.
func moreDimensions(t *testing.T) {
	families := map[liquid.Family]int{}
	for _, r := range rows(t, "tire_more.csv") {
		tire := mustTire(t, r["designation"])
		for _, c := range []struct {
			name, want string
			got        liquid.Dimension
		}{{"section width", r["section_width"], tire.SectionWidth}, {"overall diameter", r["overall_diameter"], tire.OverallDiameter}} {
			want := parse(t, c.want) / 1000
			got := float64(c.got.Value)
			validation.Relative(t, got, want)
			if math.Abs(got/want-1) > 0.02 {
				t.Errorf("%s: %s %.1f mm, want %s within 2 %%", r["designation"], c.name, 1000*got, c.want)
			}
		}
		rim := parse(t, r["rim_width_in"]) * 0.0254
		if d := tire.RimWidth; math.Abs(float64(d.Value)-rim) > float64(d.Spread)+1e-12 {
			t.Errorf("%s: rim %.4f +- %.4f m, want %.4f", r["designation"], d.Value, d.Spread, rim)
		}
		got, err := liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}.Solve()
		if err != nil {
			t.Fatal(err)
		}
		families[got.Family]++
	}
	want := map[liquid.Family]int{liquid.FamilyTaperedIndustrial: 4, liquid.FamilyFlotation: 1, liquid.FamilyAspect: 2, liquid.FamilyLowIndustrial: 2, liquid.FamilyLowImplement: 6}
	if !maps.Equal(families, want) {
		t.Errorf("families %v, want %v", families, want)
	}
}

// Each family by a size of it.
func TestFamily(t *testing.T) {
	for size, want := range map[string]string{
		"14.9-24": "standardSection", "12.4-22": "standardSection", "7.50-16": "steering", "7.5-16": "steering", "28L-26": "lowSectionDrive", "17.5L-24": "lowSectionIndustrial", "21L-28": "lowSectionIndustrial",
		"9.5L-15": "lowSectionImplement", "21.5L-16.1": "lowSectionImplement", "12-16.5": "taperedRimIndustrial", "8.00-16.5": "taperedRimIndustrial", "15-22.5": "taperedRimIndustrial", "11R22.5": "taperedRimRoad", "12.5/80-18": "aspectMarked",
		"320/85R24": "metric", "600/50-22.5": "metric", "300-15": "metric", "31x15.50-15": "flotation", "33x15.50-16.5": "flotation", "66x43.00-25": "wideFlotation",
		"20.5-25": "wideBaseEarthmover", "33.25-35": "wideBaseEarthmover", "18.00-25": "steering", "15.5-38": "standardSection", "4.80/4.00-8": "lowSectionSmall", "5.00-8": "steering", "8.15-15": "lowSectionSmall", "8.25-15": "steering", "7.60-15": "lowSectionSmall",
	} {
		d, err := liquid.ParseDesignation(size)
		if err != nil || d.Family().String() != want {
			t.Errorf("%s is %v, %v, want %s", size, d.Family(), err, want)
		}
	}
	if f := (liquid.Designation{}).Family(); f != liquid.FamilyUnknown {
		t.Errorf("without a designation %v", f)
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
	for _, s := range []string{"14.9-24 R-1", "7.50-16 F-2", "VF 380/85R34", "31x15.50-15", "19.5L-24 R-4", "12.4-22", "12.5/80-18"} {
		a, err := liquid.ParseTire(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range dimensions {
			if d := f.at(&a); d.Origin == liquid.OriginUnknown || d.Value < 0 || d.Spread < 0 {
				t.Errorf("%s: %s is %+v", s, f.name, *d)
			}
		}
		b, err := a.Resolve()
		if err != nil || !reflect.DeepEqual(b, a) {
			t.Errorf("%s: resolved twice %+v, %v", s, b, err)
		}
	}
}

// What leaves no cavity is refused, from the bounds on that the errors name:
// here in a tire of 0.3 m section height on a rim of 0.3 m.
func TestFits(t *testing.T) {
	good := liquid.Tire{SectionWidth: liquid.Measure(0.3, 0), OverallDiameter: liquid.Measure(0.9, 0), RimDiameter: liquid.Measure(0.3, 0), RimWidth: liquid.Measure(0.2, 0), LugDepth: liquid.Measure(0.01, 0),
		Undertread: liquid.Measure(0.02, 0), Sidewall: liquid.Measure(0.01, 0), WellDepth: liquid.Measure(0.02, 0), WellWidth: liquid.Measure(0.1, 0), ValveRadius: liquid.Measure(0.15, 0)}
	if _, err := good.Compile(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path          string
		inside, bound float64 // refused beyond it, away from inside
		set           func(*liquid.Tire, units.Length)
	}{
		{"overallDiameter.value", 0.4, 0.36, func(r *liquid.Tire, v units.Length) {
			// too thin for any rubber, which has its own bound
			r.OverallDiameter.Value, r.LugDepth.Value, r.Undertread.Value = v, 0, 0
		}},
		{"lugDepth.value", 0.1, 0.115, func(r *liquid.Tire, v units.Length) { r.LugDepth.Value = v }},
		{"lugDepth.value", 0.02, 0.035, func(r *liquid.Tire, v units.Length) { r.LugDepth.Value, r.Undertread.Value = 0.1, v }},
		{"rimWidth.value", 0.2, 0.3, func(r *liquid.Tire, v units.Length) { r.RimWidth.Value = v }},
		{"sidewall.value", 0.01, 0.05, func(r *liquid.Tire, v units.Length) { r.Sidewall.Value = v }},
		{"wellWidth.value", 0.1, 0.2, func(r *liquid.Tire, v units.Length) { r.WellWidth.Value = v }},
		{"wellDepth.value", 0.01, 0.09, func(r *liquid.Tire, v units.Length) { r.WellDepth.Value = v }},
		{"valveRadius.value", 0.15, 0.2, func(r *liquid.Tire, v units.Length) { r.ValveRadius.Value = v }},
		{"valveRadius.value", 0.15, 0.1, func(r *liquid.Tire, v units.Length) { r.ValveRadius.Value = v }},
		{"deflection", 0.05, 0.12, func(r *liquid.Tire, v units.Length) { r.Deflection = v }},
	} {
		at := func(share float64) error {
			r := good
			c.set(&r, units.Length(c.inside+share*(c.bound-c.inside)))
			_, err := r.Compile()
			return err
		}
		if err := at(0.999); slices.Contains(paths(err), c.path) {
			t.Errorf("%s: %v within %v", c.path, err, c.bound)
		}
		if err := at(1.001); !slices.Contains(paths(err), c.path) {
			t.Errorf("%s: %v beyond %v", c.path, err, c.bound)
		}
	}
	for _, o := range []liquid.Origin{liquid.Corrected + 1, 99} {
		r := good
		r.RimWidth.Origin = o
		if err := r.Validate(); !slices.Contains(paths(err), "rimWidth.origin") {
			t.Errorf("origin %d: %v", o, err)
		}
	}
	for _, d := range []liquid.Dimension{{Value: 0.2}, {Spread: 0.01}} {
		r := good
		r.RimWidth = d
		if err := r.Validate(); !slices.Contains(paths(err), "rimWidth.origin") {
			t.Errorf("%+v: %v", d, err)
		}
	}
}

// The section of a tire and of both ends of its bands (hand calculation), and
// what is kept where they are too wide for any tire.
func TestProfile(t *testing.T) {
	tire := liquid.Tire{SectionWidth: liquid.Measure(0.4, 0.02), OverallDiameter: liquid.Measure(1.2, 0.04), RimDiameter: liquid.Measure(0.6, 0.01), RimWidth: liquid.Measure(0.3, 0.012), LugDepth: liquid.Measure(0.03, 0.006),
		Undertread: liquid.Measure(0.02, 0.003), Sidewall: liquid.Measure(0.012, 0.002), WellDepth: liquid.Measure(0.03, 0.007), WellWidth: liquid.Measure(0.15, 0.011), ValveRadius: liquid.Measure(0.29, 0.01)}
	wide, square := tire, tire
	square.Crown = 4
	wide.OverallDiameter.Spread, wide.LugDepth.Spread, wide.Undertread.Spread, wide.Sidewall.Spread = 0.7, 0.05, 0.04, 0.1
	wide.WellDepth.Spread, wide.WellWidth.Spread, wide.RimWidth.Spread, wide.SectionWidth.Spread = 0.4, 0.5, 0.2, 0.01
	for _, c := range []struct {
		what string
		t    liquid.Tire
		side float64
		want liquid.Section
	}{
		{"as it is", tire, 0, liquid.Section{RW: 0.27, RB: 0.3, RM: 0.45, RC: 0.55, WW: 0.15, WB: 0.276, W: 0.376, N: 2.5}},
		{"square", square, 1, liquid.Section{RW: 0.258, RB: 0.295, RM: 0.4575, RC: 0.579, WW: 0.161, WB: 0.292, W: 0.4, N: 4}},
		{"large", tire, 1, liquid.Section{RW: 0.258, RB: 0.295, RM: 0.4575, RC: 0.579, WW: 0.161, WB: 0.292, W: 0.4, N: 3}},
		{"small", tire, -1, liquid.Section{RW: 0.282, RB: 0.305, RM: 0.4425, RC: 0.521, WW: 0.139, WB: 0.26, W: 0.352, N: 2}},
		// no lugs, undertread or sidewalls; the well ends at 0.3 of the rim
		// radius, and rim and well are as wide as the section
		{"too large", wide, 1, liquid.Section{RW: 0.0885, RB: 0.295, RM: 0.6225, RC: 0.95, WW: 0.41, WB: 0.41, W: 0.41, N: 3}},
	} {
		got := liquid.SectionOf(c.t, c.side)
		for i, v := range [][2]float64{{got.RW, c.want.RW}, {got.RB, c.want.RB}, {got.RM, c.want.RM}, {got.RC, c.want.RC}, {got.WW, c.want.WW}, {got.WB, c.want.WB}, {got.W, c.want.W}, {got.N, c.want.N}} {
			if math.Abs(v[0]-v[1]) > 1e-12 {
				t.Errorf("%s: %+v, want %+v (number %d)", c.what, got, c.want, i)
			}
		}
	}
	// Too small: 20 mm over the rim, of which the crown has 10.4, and no well.
	got := liquid.SectionOf(wide, -1)
	for i, v := range [][2]float64{{got.RW, 0.305}, {got.RB, 0.305}, {got.RM, 0.315}, {got.RC, 0.3154}} {
		if math.Abs(v[0]-v[1]) > 1e-12 {
			t.Errorf("too small: %+v (number %d)", got, i)
		}
	}
}

// Deeper treads leave less room: rice and cane, deep, regular, industrial,
// shallow (common practice, no source for the order of the last two).
func TestTreads(t *testing.T) {
	last := units.Volume(0)
	for _, code := range []string{"R-2", "R-1W", "R-1", "R-4", "R-3"} {
		tire, err := liquid.ParseTire("16.9-28 " + code)
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

// Outlines of wide-base earthmover sizes, of small low sections and of forklift sizes (all
// from memory of tables, rounded, in mm) lie in the stated bands.
func TestRememberedOutlines(t *testing.T) {
	for size, want := range map[string][2]float64{
		"17.5-25": {1350, 445}, "20.5-25": {1493, 521}, "23.5-25": {1617, 597}, "26.5-25": {1750, 673}, "29.5-25": {1874, 749}, "33.25-29": {2090, 845}, "33.25-35": {2243, 845}, "37.25-35": {2377, 946},
		"4.80/4.00-8": {422, 120}, "4.10/3.50-4": {272, 104}, "4.10/3.50-6": {318, 104}, "5.30/4.50-6": {370, 135}, "5.70-8": {462, 145}, "6.90-9": {540, 175}, "4.80-12": {531, 120}, "8.15-15": {700, 214}, "7.60-15": {744, 193}, "6.70-15": {711, 170},
		"5.00-8": {470, 137}, "6.00-9": {540, 160}, "250-15": {735, 250}, "300-15": {840, 300}, "8-14.5 MH": {704, 206},
	} {
		tire := mustTire(t, size)
		for i, d := range []liquid.Dimension{tire.OverallDiameter, tire.SectionWidth} {
			if off := math.Abs(float64(d.Value)*1000 - want[i]); off > 1000*float64(d.Spread) {
				t.Errorf("%s: %.0f +- %.0f mm, want %v", size, d.Value*1000, d.Spread*1000, want[i])
			}
		}
	}
}

// Tread depths of new tires that are known by their designations alone (all from memory and
// common practice, in mm) lie in the stated bands.
func TestRememberedTreads(t *testing.T) {
	for size, want := range map[string]float64{
		"P205/75R15": 8, "205/75R15 97S": 8, "ST205/75R15": 7.5, "LT235/75R15": 11, "195R14C": 9.5, "235/75R17.5": 13, "315/80R22.5": 15, "385/65R22.5": 15, "400/60-15.5": 13, "400/60-15.5 IMP": 13, "500/50-17": 16, "600/50-22.5": 18,
		"10.0/75-15.3 IMP": 10, "11.5/80-15.3": 11, "650/65R25": 30, "AT25x8-12": 16, "335/80R20": 21, "405/70R20 MPT": 21, "280/70R16": 30, "320/85R24": 32, "300-15": 18, "20.5-25 L-3": 28, "20.5-25 L-5": 70, "4.80-8": 6, "12.5-20": 20, "280/80-18": 17, "440/80-28": 25, "18.00-25": 30,
	} {
		d := mustTire(t, size).LugDepth
		if off := math.Abs(float64(d.Value)*1000 - want); off > 1000*float64(d.Spread) {
			t.Errorf("%s: tread %.1f +- %.1f mm, want %v", size, d.Value*1000, d.Spread*1000, want)
		}
	}
}

// A size beyond the range of the package is refused by its designation, with the range.
func TestSizeBeyond(t *testing.T) {
	_, err := liquid.ParseTire("27.00R49")
	list := units.Fields(err)
	if len(list) != 1 || list[0].Path != "designation" || !strings.Contains(err.Error(), "overallDiameter lies between 0.2 m and 2.6 m; by the rule of its family it is 2.683 m") {
		t.Error(err)
	}
}

// Sizes that are remembered, by hand, without a document, against the band of their rule: the
// overall diameter in inches and, where it is remembered, the section width. A band that holds
// two memories of a size is honest.
func TestRememberedInTheBand(t *testing.T) {
	for _, c := range []struct {
		size            string
		diameter, width float64
	}{
		{"7.5L-15", 29.4, 8.2}, {"7.60L-15", 29.4, 7.6}, {"6.70L-15", 27.7, 0}, {"8.5L-14", 27.7, 0}, {"9.5L-15", 28.8, 9.5}, {"9.5L-15", 30.5, 9.5}, {"9.5L-14", 29.4, 9.5}, {"11L-15", 31.5, 11}, {"11L-15", 30.6, 11}, {"11L-16", 32.5, 11}, {"11L-16", 32.8, 11}, {"12.5L-15", 32.4, 12.5}, {"12.5L-16", 33.9, 12.5},
		{"18.00R33", 73.5, 0}, {"18.00R33", 73.9, 0}, {"18.00-25", 65, 0}, {"18.00-25", 63.5, 0}, {"16.00-25", 58.7, 0}, {"24.00R35", 85.6, 0}, {"4.00-6", 13.2, 0}, {"3.50-6", 12.4, 0}, {"4.00-8", 16.3, 0}, {"5.00-8", 18.5, 0}, {"23.1-18", 55.5, 23.1}, {"16.5/85-24", 52.4, 16.5},
	} {
		tire := mustTire(t, c.size)
		for name, d := range map[string]struct {
			want float64
			got  liquid.Dimension
		}{"diameter": {c.diameter, tire.OverallDiameter}, "section": {c.width, tire.SectionWidth}} {
			if off := math.Abs(d.want*0.0254 - float64(d.got.Value)); d.want > 0 && off > float64(d.got.Spread) {
				t.Errorf("%s: %s %.1f +- %.1f in, remembered %.1f", c.size, name, d.got.Value/0.0254, d.got.Spread/0.0254, d.want)
			}
		}
	}
	// Neither the width nor the rim of implement sizes jumps: a size that is wider on the same
	// rim, or has the next rim, is higher by no more than twice what it gained.
	at := func(size string) float64 { return float64(mustTire(t, size).OverallDiameter.Value) / 0.0254 }
	if step := at("11L-16") - at("11L-15"); math.Abs(step-1) > 0.03 {
		t.Errorf("11L-16 is %.2f in higher than 11L-15", step)
	}
	if a, b := at("7.60-15"), at("7.60L-15"); math.Abs(a-b) > 0.5 {
		t.Errorf("7.60-15 is %.1f in and 7.60L-15 %.1f", a, b)
	}
}

// What was measured outranks the rule of a family, but not what a size states or a table has.
func TestMeasuredOutranksTheRule(t *testing.T) {
	for size, ok := range map[string]bool{"7.5L-15": true, "11L-15": true, "9.00-24": true, "14.9-24": false, "320/85R24": false, "31x15.50-15": false} {
		d, err := liquid.ParseDesignation(size)
		if err != nil {
			t.Fatal(err)
		}
		od := mustTire(t, size).OverallDiameter.Value
		for _, by := range []units.Length{0.82, 1.18} {
			if size == "31x15.50-15" && by < 1 {
				continue
			}
			_, err := liquid.Tire{Designation: d, OverallDiameter: liquid.Measure(by*od, 0.005)}.Resolve()
			if (err == nil) != ok {
				t.Errorf("%s measured %v of its diameter: %v", size, by, err)
			}
		}
		if _, err := (liquid.Tire{Designation: d, OverallDiameter: liquid.Measure(1.4*od, 0.005)}).Resolve(); err == nil {
			t.Errorf("%s of 1.4 times its diameter is taken", size)
		}
	}
	d, err := liquid.ParseDesignation("7.5L-15")
	if err != nil {
		t.Fatal(err)
	}
	tire, err := liquid.Tire{Designation: d, OverallDiameter: liquid.Measure(29.4*units.Inch, 0.005), Unloaded: true}.Resolve()
	if err != nil {
		t.Fatal(err)
	}
	got, err := tire.Calibrate(liquid.Reading{Level: liquid.ValveAt(12), Volume: units.Between[units.Volume](0.0355, 0.0365)})
	if err != nil || len(got.Findings) > 0 {
		t.Error(got.Findings, err)
	}
}

// Two names of one tire hold each other's outlines and treads in their bands: the metric names
// of multi-purpose and industrial sizes (common practice, no source).
func TestTwoNames(t *testing.T) {
	for _, c := range [][2]string{{"12.5-20", "335/80-20"}, {"12.5R18", "335/80R18"}, {"14.5R20", "365/80R20"}, {"10.5-18", "275/80-18"}, {"10.5/80-18", "280/80-18"}, {"16.0/70-20", "405/70-20"}, {"18.4R42", "480/80R42"}, {"16.9R28", "420/85R28"}, {"11.5/80-15.3", "300/80-15.3"}} {
		a, b := mustTire(t, c[0]), mustTire(t, c[1])
		for name, d := range map[string][2]liquid.Dimension{"diameter": {a.OverallDiameter, b.OverallDiameter}, "width": {a.SectionWidth, b.SectionWidth}, "tread": {a.LugDepth, b.LugDepth}} {
			if off := math.Abs(float64(d[0].Value - d[1].Value)); off > float64(d[0].Spread+d[1].Spread) {
				t.Errorf("%s and %s: %s %v and %v", c[0], c[1], name, d[0], d[1])
			}
		}
	}
}
