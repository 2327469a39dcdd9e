package standards_test

import (
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// tractionRatios is checks.csv TR_hard, TR_firm and TR_tilled: ASABE D497
// section 3 and Brixius 1987 (bias), Zoz and Grisso 2003 (radial). The
// constants of the rows are from memory, their outputs computed; the
// tolerance is the rows' 1e-4.
func tractionRatios(t *testing.T) {
	for _, id := range []string{"TR_hard", "TR_firm", "TR_tilled"} {
		in, want := validation.Published(t, "checks.csv", id)
		for _, kind := range []liquid.Construction{liquid.Bias, liquid.Radial} {
			row := want[kind.String()].(map[string]any)
			got, err := standards.TractionAt(validation.Number(t, in, "Bn"), units.Fraction(validation.Number(t, in, "slip")), kind)
			if err != nil {
				t.Fatal(err)
			}
			near(t, id+" gross", float64(got.Gross), validation.Number(t, row, "GTR"), 1e-4)
			near(t, id+" resistance", float64(got.Resistance), validation.Number(t, row, "MRR"), 1e-4)
			near(t, id+" net", float64(got.Net), validation.Number(t, row, "NTR"), 1e-4)
			near(t, id+" efficiency", float64(got.Efficiency), validation.Number(t, row, "TE"), 1e-4)
			if !got.Notes.Has(standards.NoteMemory) {
				t.Errorf("%s: notes %v", id, got.Notes)
			}
		}
	}
}

// soilMobility is checks.csv TR_tab: the formula against the table of D497
// (memory), at W/(b d) = 30 kPa, delta/h = 0.2 and b/d = 1/6.
func soilMobility(t *testing.T) {
	in, want := validation.Published(t, "checks.csv", "TR_tab")
	formula, table := validation.Numbers(t, want, "Bn_formula"), validation.Numbers(t, want, "Bn_table")
	for i, ci := range validation.Numbers(t, in, "CI_kPa") {
		tr := standards.Traction{ConeIndex: units.Pressure(ci) * units.Kilopascal, Load: 30e3 * 1.5 * 0.25, Width: 0.25, Diameter: 1.5, Deflection: 0.2}
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
		tr := standards.Traction{
			ConeIndex: units.Pressure(u(300e3, 2000e3)), Load: units.Force(u(2e3, 30e3)), Width: units.Length(u(0.2, 0.6)),
			Diameter: units.Length(u(0.8, 1.8)), Deflection: units.Fraction(u(0.1, 0.3)), Construction: liquid.Bias + liquid.Construction(r.IntN(2)),
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
		tr := standards.Traction{
			ConeIndex: units.Pressure(u(60e3, 2000e3)), Load: units.Force(math.Exp(u(math.Log(100), math.Log(30e3)))), Width: units.Length(u(0.2, 0.6)),
			Diameter: units.Length(u(0.8, 1.8)), Deflection: units.Fraction(u(0.1, 0.3)), Construction: liquid.Bias + liquid.Construction(r.IntN(2)),
		}
		if i%10 == 0 { // hardly pressed on rock
			tr.ConeIndex, tr.Load, tr.Width = 9e6, 101, 0.6
		}
		b, d, w := float64(tr.Width), float64(tr.Diameter), float64(tr.Load)
		bn := float64(tr.ConeIndex) * b * d / w * (1 + 5*float64(tr.Deflection)) / (1 + 3*b/d)
		k, base, rolling := 7.5, 0.04, 1.0
		if tr.Construction == liquid.Radial {
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
	tr := standards.Traction{ConeIndex: 1e6, Load: 20e3, Width: 0.4, Diameter: 1.5, Deflection: 0.2}
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
	wheel := func(shape, deflection, kPa float64) standards.Traction {
		b := shape * d
		return standards.Traction{ConeIndex: 1e6, Load: units.Force(kPa * 1000 * b * d), Width: units.Length(b), Diameter: d, Deflection: units.Fraction(deflection)}
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
		if got.Notes.Has(standards.NoteOutsideRange) != c.outside || !got.Notes.Has(standards.NoteMemory) {
			t.Errorf("%+v: notes %v", c, got.Notes)
		}
	}
	tr := wheel(0.3, 0.2, 30)
	for slip, ok := range map[units.Fraction]bool{0: true, 1: true, 1.01: false, -0.01: false} {
		if _, err := tr.At(slip); ok != (err == nil) {
			t.Errorf("slip %v: %v", float64(slip), err)
		}
		if _, err := standards.TractionAt(50, slip, liquid.Bias); ok != (err == nil) {
			t.Errorf("slip %v: %v", float64(slip), err)
		}
	}
	for mobility, ok := range map[float64]bool{0.01: true, 0.0099: false, 0: false, -1: false, 1e4: true, 1.01e4: false} {
		_, err := standards.TractionAt(mobility, 0.1, liquid.Bias)
		if ok != (err == nil) {
			t.Errorf("mobility %v: %v", mobility, err)
		}
		if !ok {
			fieldtest.Names(t, "mobility", err, "mobility")
		}
	}
	_, err := standards.TractionAt(50, 0.1, liquid.BiasBelted+1)
	fieldtest.Names(t, "construction", err, "construction")
}

// TestTractionMonotone: firmer soil and a radial tire pull more; the net
// ratio is what is left of the gross.
func TestTractionMonotone(t *testing.T) {
	for bn := 5.0; bn < 200; bn *= 1.3 {
		for s := 0.02; s <= 0.3; s += 0.02 {
			a, err := standards.TractionAt(bn, units.Fraction(s), liquid.Bias)
			if err != nil {
				t.Fatal(err)
			}
			b, err := standards.TractionAt(bn*1.3, units.Fraction(s), liquid.Bias)
			if err != nil {
				t.Fatal(err)
			}
			c, err := standards.TractionAt(bn, units.Fraction(s), liquid.Radial)
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
