package ballast

import (
	"encoding/csv"
	"errors"
	"math"
	"math/bits"
	"math/rand/v2"
	"os"
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
	if _, err := SlipFromTurns(9, 10); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("more free turns than pulling: %v", err)
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
	low, high := map[key]float64{}, map[key]float64{}
	for _, row := range bandRows(t) {
		if row.quantity != "static_split" {
			continue
		}
		fl, fh := percentRange(t, row.front)
		rl, rh := percentRange(t, row.rear)
		near(t, "SP1 sum", fl+rh, 1, 1e-12)
		near(t, "SP1 sum", fh+rl, 1, 1e-12)
		for _, i := range implements[row.condition] {
			k := key{tractors[row.tractor], i}
			if _, ok := low[k]; !ok {
				low[k], high[k] = fl, fh
			}
			low[k], high[k] = min(low[k], fl), max(high[k], fh)
		}
	}
	for k := RearDrive; k <= SkidSteer; k++ {
		all, err := FrontShareForDrawbarWork(k, ImplementUnknown)
		if err != nil {
			t.Fatal(err)
		}
		for i := Trailed; i <= FullyMounted; i++ {
			got, err := FrontShareForDrawbarWork(k, i)
			if err != nil {
				t.Fatal(err)
			}
			near(t, k.String()+" "+i.String()+" low", float64(got.Band.Low), low[key{k, i}], 1e-12)
			near(t, k.String()+" "+i.String()+" high", float64(got.Band.High), high[key{k, i}], 1e-12)
			if !all.Band.Contains(got.Band.Low) || !all.Band.Contains(got.Band.High) {
				t.Errorf("%v: the band of all implements leaves out %v", k, i)
			}
			if disagree := got.Band.Low != got.Band.High; disagree != got.Notes.Has(NoteSourcesDisagree) {
				t.Errorf("%v %v: band %v, notes %v", k, i, got.Band, got.Notes)
			}
			if len(got.Sources.Lines()) == 0 {
				t.Errorf("%v %v names no source", k, i)
			}
		}
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
	if _, err := MassPerPowerForDrawbarWork(SkidSteer, 2); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("a skid steer loader: %v", err)
	}
}

// TestBestSlip holds the bands against axle_split.csv.
func TestBestSlip(t *testing.T) {
	surfaces := map[string]Surface{
		"concrete": Concrete, "firm untilled soil": FirmSoil, "tilled soil (sand slightly more)": TilledSoil, "soil in general": AnySoil,
	}
	counted := map[Surface]int{}
	for _, row := range bandRows(t) {
		if row.quantity != "slip_opt" {
			continue
		}
		s, ok := surfaces[row.condition]
		if !ok {
			t.Fatalf("no surface for %q", row.condition)
		}
		counted[s]++
		got, err := BestSlip(s)
		if err != nil {
			t.Fatal(err)
		}
		for _, text := range []string{row.low, row.high} {
			v, _ := percentRange(t, text)
			if !got.Band.Contains(units.Fraction(v)) {
				t.Errorf("%v: %v %% of %s is outside %v", s, text, row.source, got.Band)
			}
		}
	}
	got, err := BestSlip(AnySoil)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "low", float64(got.Band.Low), 0.05, 1e-12)
	near(t, "high", float64(got.Band.High), 0.20, 1e-12)
	near(t, "agreed low", float64(got.Agreed.Low), 0.10, 1e-12)
	near(t, "agreed high", float64(got.Agreed.High), 0.15, 1e-12)
	if n := len(got.Sources.Lines()); n != 4 || counted[AnySoil] != 4 || !got.Notes.Has(NoteSourcesDisagree) {
		t.Errorf("%d sources, %d rows, notes %v", n, counted[AnySoil], got.Notes)
	}
	loss, err := got.SlipLoss(0.26)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "loss", float64(loss), 0.06, 1e-12)
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
