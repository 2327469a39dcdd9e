package ballast

import (
	"encoding/csv"
	"errors"
	"example.com/steelyard/internal/fieldtest"
	"fmt"
	"math"
	"math/bits"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

// tractionRatios is checks.csv TR_hard, TR_firm and TR_tilled: ASABE D497
// section 3 and Brixius 1987 (bias), Zoz and Grisso 2003 (radial). The
// constants of the rows are from memory, their outputs computed; the
// tolerance is the rows' 1e-4.
func tractionRatios(t *testing.T) {
	for _, id := range []string{"TR_hard", "TR_firm", "TR_tilled"} {
		in, want := publishedRow(t, "checks.csv", id)
		for _, kind := range []Construction{BiasPly, RadialPly} {
			row := want[kind.String()].(map[string]any)
			got, err := TractionAt(number(t, in, "Bn"), units.Fraction(number(t, in, "slip")), kind)
			if err != nil {
				t.Fatal(err)
			}
			near(t, id+" gross", float64(got.Gross), number(t, row, "GTR"), 1e-4)
			near(t, id+" resistance", float64(got.Resistance), number(t, row, "MRR"), 1e-4)
			near(t, id+" net", float64(got.Net), number(t, row, "NTR"), 1e-4)
			near(t, id+" efficiency", float64(got.Efficiency), number(t, row, "TE"), 1e-4)
			if !got.Notes.Has(NoteMemory) {
				t.Errorf("%s: notes %v", id, got.Notes)
			}
		}
	}
}

// soilMobility is checks.csv TR_tab: the formula against the table of D497
// (memory), at W/(b d) = 30 kPa, delta/h = 0.2 and b/d = 1/6.
func soilMobility(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "TR_tab")
	formula, table := numbers(t, want, "Bn_formula"), numbers(t, want, "Bn_table")
	for i, ci := range numbers(t, in, "CI_kPa") {
		tr := Traction{ConeIndex: units.Pressure(ci) * units.Kilopascal, Load: 30e3 * 1.5 * 0.25, Width: 0.25, Diameter: 1.5, Deflection: 0.2}
		got, err := tr.Mobility()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "mobility", got, formula[i], 0.05)
		near(t, "mobility of the table", got, table[i], 2)
	}
}

// TestSlipFor: the slip found gives the pull asked for, it is on the rising
// branch, and one newton more than the greatest pull is refused.
func TestSlipFor(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 1))
	found := 0
	for range 500 {
		u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		tr := Traction{
			ConeIndex: units.Pressure(u(300e3, 2000e3)), Load: units.Force(u(2e3, 30e3)), Width: units.Length(u(0.2, 0.6)),
			Diameter: units.Length(u(0.8, 1.8)), Deflection: units.Fraction(u(0.1, 0.3)), Construction: Construction(r.IntN(2)),
		}
		pull := units.Force(u(0, 0.8) * float64(tr.Load))
		got, err := tr.SlipFor(pull)
		if err != nil {
			// Then no slip gives it.
			for s := 0.0; s <= 1; s += 1.0 / 64 {
				at, err := tr.At(units.Fraction(s))
				if err != nil {
					t.Fatal(err)
				}
				if at.Pull > pull {
					t.Fatalf("%+v pulls %v at a slip of %v, but %v was refused", tr, at.Pull, s, pull)
				}
			}
			continue
		}
		found++
		near(t, "pull", float64(got.Pull), float64(pull), 1e-8*float64(tr.Load))
		if got.Slip > 1e-3 {
			less, err := tr.At(got.Slip * 0.99)
			if err != nil {
				t.Fatal(err)
			}
			if !(less.Pull < got.Pull) {
				t.Errorf("%+v: a slip of %v is not on the rising branch", tr, got.Slip)
			}
		}
	}
	if found < 100 {
		t.Errorf("only %d of 500 pulls were possible", found)
	}
}

// The greatest pull is the greatest of the published equations over all slips,
// found here by halving: a millionth less is possible and a millionth more is
// not. It may lie at a slip of 1, or be nothing at all.
func TestGreatestPull(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 2))
	for i := range 300 {
		u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		tr := Traction{
			ConeIndex: units.Pressure(u(60e3, 2000e3)), Load: units.Force(math.Exp(u(math.Log(100), math.Log(30e3)))), Width: units.Length(u(0.2, 0.6)),
			Diameter: units.Length(u(0.8, 1.8)), Deflection: units.Fraction(u(0.1, 0.3)), Construction: Construction(r.IntN(2)),
		}
		if i%10 == 0 { // hardly pressed on rock
			tr.ConeIndex, tr.Load, tr.Width = 9e6, 101, 0.6
		}
		b, d, w := float64(tr.Width), float64(tr.Diameter), float64(tr.Load)
		bn := float64(tr.ConeIndex) * b * d / w * (1 + 5*float64(tr.Deflection)) / (1 + 3*b/d)
		k, base, rolling := 7.5, 0.04, 1.0
		if tr.Construction == RadialPly {
			k, base, rolling = 9.5, 0.0325, 0.9
		}
		pull := func(s float64) float64 {
			gross := 0.88*(1-math.Exp(-0.1*bn))*(1-math.Exp(-k*s)) + base
			return w * (gross - rolling/bn - base - 0.5*s/math.Sqrt(bn))
		}
		low, high := 0.0, 1.0
		for range 200 {
			a, b := low+(high-low)/3, high-(high-low)/3
			if pull(a) < pull(b) {
				low = a
			} else {
				high = b
			}
		}
		most := pull((low + high) / 2)
		if most <= 0 {
			_, err := tr.SlipFor(1)
			fieldtest.Names(t, "a wheel that has to be pushed", err, "pull")
			if err == nil || !strings.Contains(err.Error(), "must be at most 0 N") {
				t.Errorf("a wheel that has to be pushed: %v", err)
			}
			continue
		}
		got, err := tr.SlipFor(units.Force(most * (1 - 1e-6)))
		if err != nil {
			t.Fatalf("%+v: %v", tr, err)
		}
		near(t, "pull", pull(float64(got.Slip)), most*(1-1e-6), 1e-9*w)
		near(t, "mobility", got.Mobility, bn, 1e-9*bn)
		if got.Slip < 0 || got.Slip > 1 {
			t.Errorf("slip %v", got.Slip)
		}
		_, err = tr.SlipFor(units.Force(most * (1 + 1e-6)))
		fieldtest.Names(t, "more than the most", err, "pull")
	}
	tr := Traction{ConeIndex: 1e6, Load: 20e3, Width: 0.4, Diameter: 1.5, Deflection: 0.2}
	for _, pull := range []units.Force{-1, 501e3} {
		if _, err := tr.SlipFor(pull); err == nil || !strings.Contains(err.Error(), "must be between 0 N and 500000 N") {
			t.Errorf("a pull of %v: %v", pull, err)
		}
	}
	if got, err := tr.SlipFor(0); err != nil || got.Pull > 1e-3 && got.Slip > 0 {
		t.Errorf("no pull: %+v, %v", got, err)
	}
}

// The note of a wheel outside the range of the fit comes with the first value
// beyond b/d 0.1 to 0.7, delta/h 0.1 to 0.3, W/(b d) 15 to 55 kPa or a slip of
// 0.3 (memory, as At says).
func TestTractionRangeOfFit(t *testing.T) {
	const d = 1.5
	wheel := func(shape, deflection, kPa float64) Traction {
		b := shape * d
		return Traction{ConeIndex: 1e6, Load: units.Force(kPa * 1000 * b * d), Width: units.Length(b), Diameter: d, Deflection: units.Fraction(deflection)}
	}
	for _, c := range []struct {
		shape, deflection, kPa, slip float64
		outside                      bool
	}{
		{0.3, 0.2, 30, 0.1, false},
		{0.101, 0.2, 30, 0.1, false}, {0.099, 0.2, 30, 0.1, true}, {0.699, 0.2, 30, 0.1, false}, {0.701, 0.2, 30, 0.1, true},
		{0.3, 0.101, 30, 0.1, false}, {0.3, 0.099, 30, 0.1, true}, {0.3, 0.299, 30, 0.1, false}, {0.3, 0.301, 30, 0.1, true},
		{0.3, 0.2, 15.1, 0.1, false}, {0.3, 0.2, 14.9, 0.1, true}, {0.3, 0.2, 54.9, 0.1, false}, {0.3, 0.2, 55.1, 0.1, true},
		{0.3, 0.2, 30, 0.299, false}, {0.3, 0.2, 30, 0.301, true},
	} {
		got, err := wheel(c.shape, c.deflection, c.kPa).At(units.Fraction(c.slip))
		if err != nil {
			t.Fatal(err)
		}
		if got.Notes.Has(NoteOutsideRange) != c.outside || !got.Notes.Has(NoteMemory) {
			t.Errorf("%+v: notes %v", c, got.Notes)
		}
	}
	tr := wheel(0.3, 0.2, 30)
	for slip, ok := range map[units.Fraction]bool{0: true, 1: true, 1.01: false, -0.01: false} {
		if _, err := tr.At(slip); ok != (err == nil) {
			t.Errorf("slip %v: %v", float64(slip), err)
		}
		if _, err := TractionAt(50, slip, BiasPly); ok != (err == nil) {
			t.Errorf("slip %v: %v", float64(slip), err)
		}
	}
	for mobility, ok := range map[float64]bool{0.01: true, 0.0099: false, 0: false, -1: false, 1e4: true, 1.01e4: false} {
		_, err := TractionAt(mobility, 0.1, BiasPly)
		if ok != (err == nil) {
			t.Errorf("mobility %v: %v", mobility, err)
		}
		if !ok {
			fieldtest.Names(t, "mobility", err, "mobility")
		}
	}
	_, err := TractionAt(50, 0.1, RadialPly+1)
	fieldtest.Names(t, "construction", err, "construction")
}

// TestTractionMonotone: firmer soil and a radial tire pull more; the net
// ratio is what is left of the gross.
func TestTractionMonotone(t *testing.T) {
	for bn := 5.0; bn < 200; bn *= 1.3 {
		for s := 0.02; s <= 0.3; s += 0.02 {
			a, err := TractionAt(bn, units.Fraction(s), BiasPly)
			if err != nil {
				t.Fatal(err)
			}
			b, err := TractionAt(bn*1.3, units.Fraction(s), BiasPly)
			if err != nil {
				t.Fatal(err)
			}
			c, err := TractionAt(bn, units.Fraction(s), RadialPly)
			if err != nil {
				t.Fatal(err)
			}
			if !(b.Net > a.Net) || !(c.Net > a.Net) {
				t.Errorf("B_n %v, slip %v: net %v, firmer %v, radial %v", bn, s, a.Net, b.Net, c.Net)
			}
			near(t, "net", float64(a.Net), float64(a.Gross-a.Resistance), 1e-15)
		}
	}
}

// slipFromTurns is checks.csv SL1 (ASAE S296).
func slipFromTurns(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "SL1")
	percent := numbers(t, want, "slip_pct")
	for i, n0 := range numbers(t, in, "n_unloaded") {
		got, err := SlipFromTurns(number(t, in, "n_loaded"), n0)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "SL1", float64(got/units.Percent), percent[i], 1e-9)
	}
	for _, c := range []struct {
		pulling, free float64
		path          string
	}{
		{9, 10, "free"}, {0, 0, "pulling"}, {-1, -2, "pulling"}, {1.01e6, 10, "pulling"}, {math.NaN(), 10, "pulling"},
		{10, 0, "free"}, {10, -1, "free"}, {10, 1.01e6, "free"}, {10, math.NaN(), "free"},
	} {
		_, err := SlipFromTurns(c.pulling, c.free)
		fieldtest.Names(t, fmt.Sprint(c.pulling, " and ", c.free, " turns"), err, c.path)
	}
	if _, err := SlipFromTurns(10, 1.01e6); err == nil || !strings.Contains(err.Error(), "at most 1e6") {
		t.Errorf("too many free turns: %v", err)
	}
	if got, err := SlipFromTurns(1e6, 1e6); err != nil || got != 0 {
		t.Errorf("a million turns: %v, %v", got, err)
	}
}

// massPerPowerUnit is checks.csv WP1: lb/hp in kg/kW.
func massPerPowerUnit(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "WP1")
	metric := numbers(t, want, "kg_per_kW")
	for i, lb := range numbers(t, in, "lb_per_hp") {
		got := units.MassPerPower(lb) * units.PoundPerMechanicalHorsepower / units.KilogramPerKilowatt
		near(t, "WP1", float64(got), metric[i], 0.01)
	}
}

// bandRow is a row of axle_split.csv.
type bandRow struct{ quantity, tractor, condition, front, rear, low, high, source string }

func bandRows(t *testing.T) []bandRow {
	t.Helper()
	f, err := os.Open("../testdata/axle_split.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []bandRow
	for _, r := range rows[1:] {
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

func (f *figures) hold(t *testing.T, what string, got ShareBand) {
	t.Helper()
	near(t, what+" low", float64(got.Band.Low), f.low, 1e-12)
	near(t, what+" high", float64(got.Band.High), f.high, 1e-12)
	near(t, what+" agreed from", float64(got.Agreed.Low), f.from, 1e-12)
	near(t, what+" agreed to", float64(got.Agreed.High), f.to, 1e-12)
	var notes Notes
	if f.different {
		notes |= NoteSourcesDisagree
	}
	if len(f.sources) == 1 {
		notes |= NoteOneSource
	}
	if strings.Contains(strings.Join(f.sources, " "), "PM 2089B") {
		notes |= NoteMemory
	}
	if got.Notes != notes || len(got.Sources.Lines()) != len(f.sources) {
		t.Errorf("%s: notes %v, want %v; sources %q for %q", what, got.Notes, notes, got.Sources.Lines(), f.sources)
	}
}

// staticSplits returns the static splits of axle_split.csv: those of all
// tractors by Iowa after each kind's figure by Wisconsin, as the table of the
// package has them.
func staticSplits(t *testing.T) []bandRow {
	t.Helper()
	var out []bandRow
	for _, row := range bandRows(t) {
		if row.quantity == "static_split" {
			out = append(out, row)
		}
	}
	rank := func(r bandRow) int {
		kind := slices.Index([]string{"2WD", "FWA/MFWD", "4WD articulated", "skid steer"}, r.tractor)
		how := max(0, slices.Index([]string{"general", "trailed", "semi-mounted", "mounted"}, strings.TrimPrefix(r.condition, "fully ")))
		return 10*kind + how
	}
	slices.SortStableFunc(out, func(a, b bandRow) int { return rank(a) - rank(b) })
	if len(out) != len(splits) {
		t.Fatalf("%d splits, %d in the table", len(out), len(splits))
	}
	return out
}

// frontShareForDrawbarWork holds the bands against every static split of
// axle_split.csv: each figure lies in its band, and each end of a band is a
// published figure. Front and rear of a row are 100 % (SP1).
func frontShareForDrawbarWork(t *testing.T) {
	tractors := map[string]TractorKind{"2WD": RearDrive, "FWA/MFWD": FrontAssist, "4WD articulated": ArticulatedDrive, "skid steer": SkidSteer}
	implements := map[string][]ImplementKind{
		"trailed": {Trailed}, "semi-mounted": {SemiMounted}, "mounted": {FullyMounted}, "fully mounted": {FullyMounted},
		"general": {Trailed, SemiMounted, FullyMounted},
	}
	type key struct {
		k TractorKind
		i ImplementKind
	}
	all := map[key]*figures{}
	for n, row := range staticSplits(t) {
		fl, fh := percentRange(t, row.front)
		rl, rh := percentRange(t, row.rear)
		near(t, "SP1 sum", fl+rh, 1, 1e-12)
		near(t, "SP1 sum", fh+rl, 1, 1e-12)
		for _, i := range implements[row.condition] {
			k := key{tractors[row.tractor], i}
			if all[k] == nil {
				all[k] = new(figures)
			}
			all[k].add(fl, fh, row.source)
		}
		// Each published figure stands in the table as its source has it.
		s := splits[n]
		if s.kind != tractors[row.tractor] || (s.implement == ImplementUnknown) != (row.condition == "general") {
			t.Errorf("row %d is for %v %v, want %s %s", n, s.kind, s.implement, row.tractor, row.condition)
		}
		near(t, "table low", s.row.low/100, fl, 1e-12)
		near(t, "table high", s.row.high/100, fh, 1e-12)
	}
	for k := RearDrive; k <= SkidSteer; k++ {
		any, err := FrontShareForDrawbarWork(k, ImplementUnknown)
		if err != nil {
			t.Fatal(err)
		}
		for i := Trailed; i <= FullyMounted; i++ {
			got, err := FrontShareForDrawbarWork(k, i)
			if err != nil {
				t.Fatal(err)
			}
			all[key{k, i}].hold(t, k.String()+" "+i.String(), got)
			if !any.Band.Contains(got.Band.Low) || !any.Band.Contains(got.Band.High) {
				t.Errorf("%v: the band of all implements leaves out %v", k, i)
			}
		}
	}
	if _, err := FrontShareForDrawbarWork(RearDrive, FullyMounted+1); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("an implement outside the list: %v", err)
	}
	if _, err := FrontShareForDrawbarWork(TractorUnknown, Trailed); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("unknown tractor: %v", err)
	}
}

// massPerPowerForDrawbarWork holds the figures against axle_split.csv,
// whose speeds are those of the source (memory).
func massPerPowerForDrawbarWork(t *testing.T) {
	const mph = units.MilePerHour
	speeds := map[string]units.Speed{"<": 4 * mph, "5": 5 * mph, ">": 6 * mph}
	checked := 0
	for _, row := range bandRows(t) {
		if row.quantity != "mass_per_power" {
			continue
		}
		want, err := strconv.ParseFloat(row.low, 64)
		if err != nil {
			t.Fatal(err)
		}
		kinds := []TractorKind{RearDrive, FrontAssist}
		if row.tractor == "4WD articulated" {
			kinds = []TractorKind{ArticulatedDrive}
		}
		for _, k := range kinds {
			got, err := MassPerPowerForDrawbarWork(k, speeds[row.condition[:1]])
			if err != nil {
				t.Fatal(err)
			}
			near(t, row.condition, float64(got.Band.Low/units.PoundPerMechanicalHorsepower), want, 1e-9)
			near(t, row.condition, float64(got.Band.High/units.PoundPerMechanicalHorsepower), want, 1e-9)
			checked++
		}
	}
	if checked != 9 {
		t.Errorf("%d figures checked, want 9", checked)
	}
	// Between the figures the band takes in both; never more mass for more speed.
	last := units.MassPerPower(math.Inf(1))
	for v := 0.5; v < 15; v += 0.25 {
		b, err := MassPerPowerForDrawbarWork(FrontAssist, units.Speed(v)*mph)
		if err != nil {
			t.Fatal(err)
		}
		if b.Band.High > last || b.Band.Low > b.Band.High {
			t.Errorf("%v mile/h: %v after %v", v, b.Band, last)
		}
		last = b.Band.High
	}
	b, err := MassPerPowerForDrawbarWork(FrontAssist, 4.75*mph)
	if err != nil {
		t.Fatal(err)
	}
	m, err := b.Mass(100 * units.MechanicalHorsepower)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "100 hp low", float64(m.Low/units.Pound), 11500, 1e-6)
	near(t, "100 hp high", float64(m.High/units.Pound), 13000, 1e-6)
	// Where the figures change: 4.5, 5 and 5.5 mile/h.
	for v, want := range map[units.Speed][2]float64{
		4.49: {130, 130}, 4.51: {115, 130}, 4.99: {115, 130}, 5: {115, 115}, 5.01: {100, 115}, 5.49: {100, 115}, 5.51: {100, 100},
	} {
		b, err := MassPerPowerForDrawbarWork(RearDrive, v*mph)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "low", float64(b.Band.Low/units.PoundPerMechanicalHorsepower), want[0], 1e-9)
		near(t, "high", float64(b.Band.High/units.PoundPerMechanicalHorsepower), want[1], 1e-9)
	}
	for v, ok := range map[units.Speed]bool{0.1: true, 0.099: false, 25 * units.KilometerPerHour: true, 25.2 * units.KilometerPerHour: false} {
		if _, err := MassPerPowerForDrawbarWork(RearDrive, v); ok != (err == nil) {
			t.Errorf("%v: %v", v, err)
		}
	}
	_, err = MassPerPowerForDrawbarWork(SkidSteer, 2)
	fieldtest.Names(t, "a skid steer loader", err, "tractor")
	if err == nil || !strings.Contains(err.Error(), "must be one of rearDrive, frontAssist, articulated") {
		t.Errorf("a skid steer loader: %v", err)
	}
	// Power is 0 to 1 MW, a band's ends 0 to 1 kg/W and in order.
	for _, c := range []struct {
		low, high units.MassPerPower
		power     units.Power
		path      string
	}{
		{0, 1, 0, ""}, {1, 1, 1e6, ""}, {0, 1.01, 1, "band.high"}, {1.01, 1.02, 1, "band.low"}, {0.5, 0.4, 1, "band.high"},
		{-0.1, 1, 1, "band.low"}, {0, 1, -1, "ptoPower"}, {0, 1, 1.01e6, "ptoPower"},
	} {
		m, err := MassPerPowerBand{Band: units.Range[units.MassPerPower]{Low: c.low, High: c.high}}.Mass(c.power)
		if c.path != "" {
			fieldtest.Names(t, fmt.Sprintf("%+v", c), err, c.path)
		} else if err != nil || float64(m.High) != float64(c.high)*float64(c.power) {
			t.Errorf("%+v: %v, %v", c, m, err)
		}
	}
}

// TestBestSlip holds the bands against axle_split.csv.
func TestBestSlip(t *testing.T) {
	surfaces := map[string]Surface{
		"concrete": Concrete, "firm untilled soil": FirmSoil, "tilled soil (sand slightly more)": TilledSoil, "soil in general": AnySoil,
	}
	all := map[Surface]*figures{}
	n := 0
	for _, row := range bandRows(t) {
		if row.quantity != "slip_opt" {
			continue
		}
		s, ok := surfaces[row.condition]
		if !ok {
			t.Fatalf("no surface for %q", row.condition)
		}
		low, _ := percentRange(t, row.low)
		high, _ := percentRange(t, row.high)
		if all[s] == nil {
			all[s] = new(figures)
		}
		all[s].add(low, high, row.source)
		// Each published figure stands in the table as its source has it.
		if slips[n].surface != s {
			t.Errorf("row %d is for %v, want %v", n, slips[n].surface, s)
		}
		near(t, "table low", slips[n].row.low/100, low, 1e-12)
		near(t, "table high", slips[n].row.high/100, high, 1e-12)
		n++
	}
	if n != len(slips) {
		t.Errorf("%d published figures, %d in the table", n, len(slips))
	}
	for s, f := range all {
		got, err := BestSlip(s)
		if err != nil {
			t.Fatal(err)
		}
		f.hold(t, s.String(), got)
	}
	got, err := BestSlip(AnySoil)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(all[AnySoil].sources); n != 4 {
		t.Errorf("%d sources for soil in general", n)
	}
	loss, err := got.SlipLoss(0.26)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "loss", float64(loss), 0.06, 1e-12)
	// Slip and band are shares, 0 to 1; no slip beyond the band, no loss.
	for slip, ok := range map[units.Fraction]bool{0: true, 0.19: true, 1: true, 1.01: false, -0.01: false} {
		if loss, err := got.SlipLoss(slip); ok != (err == nil) {
			t.Errorf("slip %v: %v", float64(slip), err)
		} else if ok {
			near(t, "loss", float64(loss), max(0, float64(slip)-0.2), 1e-12)
		}
	}
	for high, ok := range map[units.Fraction]bool{0: true, 1: true, 1.01: false, -0.01: false} {
		_, err := ShareBand{Band: units.Range[units.Fraction]{High: high}}.SlipLoss(0.5)
		if ok != (err == nil) {
			t.Errorf("a band up to %v: %v", float64(high), err)
		}
	}
	if n := bits.TrailingZeros8(uint8(sourceEnd)); len(sourceText) != n {
		t.Errorf("%d sources have a text, %d are declared", len(sourceText), n)
	}
}

// TestPull is checks.csv WT1, a moment balance; then closure over random
// pulls, and the lift-off pull put on lifts the axle exactly.
func TestPull(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "WT1")
	p := Pull{
		FrontLoad: 2000, RearLoad: 3000, Wheelbase: units.Length(number(t, in, "L_m")),
		Height: units.Length(number(t, in, "h_m")),
	}
	rest, err := p.Solve()
	if err != nil {
		t.Fatal(err)
	}
	p.Force = units.Force(number(t, in, "P_kN")) * units.Kilonewton
	got, err := p.Solve()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "WT1 rear", float64((got.Rear-rest.Rear)/units.Kilonewton), number(t, want, "rear_add_kN"), 1e-9)
	near(t, "WT1 front", float64((got.Front-rest.Front)/units.Kilonewton), number(t, want, "front_add_kN"), 1e-9)

	// Standing, the axles press with their weight.
	near(t, "standing front", float64(rest.Front), 2000*9.80665, 1e-9)
	near(t, "standing rear", float64(rest.Rear), 3000*9.80665, 1e-9)
	// A heavy drawbar lifts the front without a pull: 2000 kg against 60 kN
	// behind the axle by a third of the wheelbase and more.
	heavy := p
	heavy.Force, heavy.Down, heavy.Behind = 0, 60e3, p.Wheelbase/2
	if got, err := heavy.Solve(); err != nil || got.Lift != 0 || !got.FrontLifts {
		t.Errorf("a drawbar that lifts the front: %+v, %v", got, err)
	}
	heavy.Down = 100
	fieldtest.Ends(t, "behind", heavy, func(p *Pull, v float64) { p.Behind = units.Length(v) }, 0.001, 5)

	r := rand.New(rand.NewPCG(8, 1))
	for range 1000 {
		u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		p := Pull{
			FrontLoad: units.Mass(u(300, 4000)), RearLoad: units.Mass(u(300, 6000)), Wheelbase: units.Length(u(1.4, 3)),
			Force: units.Force(u(0, 50e3)), Height: units.Length(u(0.3, 1)), Down: units.Force(u(-5e3, 5e3)), Behind: units.Length(u(0.3, 1.5)),
			Gravity: units.Acceleration(u(9.7, 9.9)),
		}
		got, err := p.Solve()
		if err != nil {
			t.Fatal(err)
		}
		sum := float64((p.FrontLoad + p.RearLoad).Weight(p.Gravity) + p.Down)
		near(t, "sum", float64(got.Front+got.Rear), sum, 1e-9*sum)
		// Moments about the rear contact line, all of them at once.
		near(t, "moment", float64(got.Front.Moment(p.Wheelbase)+p.Force.Moment(p.Height)+p.Down.Moment(p.Behind)),
			float64(p.FrontLoad.Weight(p.Gravity).Moment(p.Wheelbase)), 1e-6)
		if got.Lift > 0 && got.Lift < 1e6 {
			p.Force = got.Lift
			at, err := p.Solve()
			if err != nil {
				t.Fatal(err)
			}
			near(t, "at lift-off", float64(at.Front), 0, 1e-6)
		}
		if got.FrontLifts != !(got.Front > 0) {
			t.Errorf("%+v", got)
		}
	}
}

// FuzzDrawbar throws any numbers at drawbar work: an error, or finite answers.
func FuzzDrawbar(f *testing.F) {
	f.Add(2000.0, 3000.0, 2.5, 20e3, 0.5, 0.0, 0.6, 900e3, 0.2, 0.1, uint8(1))
	f.Add(math.NaN(), math.Inf(-1), 1e308, 1e-308, 0.0, math.Copysign(0, -1), -1.0, 1e308, 1e308, math.NaN(), uint8(200))
	f.Fuzz(func(t *testing.T, front, rear, base, force, height, down, behind, ci, delta, slip float64, kind uint8) {
		p := Pull{units.Mass(front), units.Mass(rear), units.Length(base), units.Force(force), units.Length(height), units.Force(down), units.Length(behind), 0}
		if got, err := p.Solve(); err == nil {
			finiteAnswer(t, p, float64(got.Front), float64(got.Rear), float64(got.Transfer), float64(got.Lift))
		}
		tr := Traction{units.Pressure(ci), units.Force(force), units.Length(height), units.Length(base), units.Fraction(delta), Construction(kind)}
		for _, solve := range []func() (TractionAnswer, error){
			func() (TractionAnswer, error) { return tr.At(units.Fraction(slip)) },
			func() (TractionAnswer, error) { return tr.SlipFor(units.Force(down)) },
			func() (TractionAnswer, error) { return TractionAt(base, units.Fraction(slip), Construction(kind)) },
		} {
			if got, err := solve(); err == nil {
				finiteAnswer(t, tr, got.Mobility, float64(got.Slip), float64(got.Gross), float64(got.Resistance), float64(got.Net), float64(got.Efficiency), float64(got.Pull))
			}
		}
		if got, err := SlipFromTurns(front, rear); err == nil && !(got >= 0 && got < 1) {
			t.Errorf("slip %v from %v and %v turns", got, front, rear)
		}
		if b, err := MassPerPowerForDrawbarWork(TractorKind(kind), units.Speed(base)); err == nil {
			if m, err := b.Mass(units.Power(ci)); err == nil {
				finiteAnswer(t, b, float64(m.Low), float64(m.High))
			}
		}
		if b, err := BestSlip(Surface(kind)); err == nil {
			if l, err := b.SlipLoss(units.Fraction(slip)); err == nil {
				finiteAnswer(t, b, float64(l))
			}
		}
	})
}
