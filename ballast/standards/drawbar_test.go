package standards_test

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// massPerPowerUnit is checks.csv WP1: lb/hp in kg/kW.
func massPerPowerUnit(t *testing.T) {
	in, want := validation.Published(t, "checks.csv", "WP1")
	metric := validation.Numbers(t, want, "kg_per_kW")
	for i, lb := range validation.Numbers(t, in, "lb_per_hp") {
		got := units.MassPerPower(lb) * units.PoundPerMechanicalHorsepower / units.KilogramPerKilowatt
		near(t, "WP1", float64(got), metric[i], 0.01)
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
	if len(out) != standards.NumSplits {
		t.Fatalf("%d splits, %d in the table", len(out), standards.NumSplits)
	}
	return out
}

// frontShareForDrawbarWork holds the bands against every static split of
// axle_split.csv: each figure lies in its band, and each end of a band is a
// published figure. Front and rear of a row are 100 % (SP1).
func frontShareForDrawbarWork(t *testing.T) {
	tractors := map[string]standards.TractorKind{"2WD": standards.RearDrive, "FWA/MFWD": standards.FrontAssist, "4WD articulated": standards.ArticulatedDrive, "skid steer": standards.SkidSteer}
	implements := map[string][]standards.ImplementKind{
		"trailed": {standards.Trailed}, "semi-mounted": {standards.SemiMounted}, "mounted": {standards.FullyMounted}, "fully mounted": {standards.FullyMounted},
		"general": {standards.Trailed, standards.SemiMounted, standards.FullyMounted},
	}
	type key struct {
		k standards.TractorKind
		i standards.ImplementKind
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
		kind, implement, low, high := standards.SplitRow(n)
		if kind != tractors[row.tractor] || (implement == standards.ImplementUnknown) != (row.condition == "general") {
			t.Errorf("row %d is for %v %v, want %s %s", n, kind, implement, row.tractor, row.condition)
		}
		near(t, "table low", low/100, fl, 1e-12)
		near(t, "table high", high/100, fh, 1e-12)
	}
	for k := standards.RearDrive; k <= standards.SkidSteer; k++ {
		any, err := standards.FrontShareForDrawbarWork(k, standards.ImplementUnknown)
		if err != nil {
			t.Fatal(err)
		}
		for i := standards.Trailed; i <= standards.FullyMounted; i++ {
			got, err := standards.FrontShareForDrawbarWork(k, i)
			if err != nil {
				t.Fatal(err)
			}
			all[key{k, i}].hold(t, k.String()+" "+i.String(), got)
			if !any.Band.Contains(got.Band.Low) || !any.Band.Contains(got.Band.High) {
				t.Errorf("%v: the band of all implements leaves out %v", k, i)
			}
		}
	}
	if _, err := standards.FrontShareForDrawbarWork(standards.RearDrive, standards.FullyMounted+1); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("an implement outside the list: %v", err)
	}
	if _, err := standards.FrontShareForDrawbarWork(standards.TractorUnknown, standards.Trailed); !errors.Is(err, units.ErrInvalid) {
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
		kinds := []standards.TractorKind{standards.RearDrive, standards.FrontAssist}
		if row.tractor == "4WD articulated" {
			kinds = []standards.TractorKind{standards.ArticulatedDrive}
		}
		for _, k := range kinds {
			got, err := standards.MassPerPowerForDrawbarWork(k, speeds[row.condition[:1]])
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
		b, err := standards.MassPerPowerForDrawbarWork(standards.FrontAssist, units.Speed(v)*mph)
		if err != nil {
			t.Fatal(err)
		}
		if b.Band.High > last || b.Band.Low > b.Band.High {
			t.Errorf("%v mile/h: %v after %v", v, b.Band, last)
		}
		last = b.Band.High
	}
	b, err := standards.MassPerPowerForDrawbarWork(standards.FrontAssist, 4.75*mph)
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
		b, err := standards.MassPerPowerForDrawbarWork(standards.RearDrive, v*mph)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "low", float64(b.Band.Low/units.PoundPerMechanicalHorsepower), want[0], 1e-9)
		near(t, "high", float64(b.Band.High/units.PoundPerMechanicalHorsepower), want[1], 1e-9)
	}
	for v, ok := range map[units.Speed]bool{0.1: true, 0.099: false, 25 * units.KilometerPerHour: true, 25.2 * units.KilometerPerHour: false} {
		if _, err := standards.MassPerPowerForDrawbarWork(standards.RearDrive, v); ok != (err == nil) {
			t.Errorf("%v: %v", v, err)
		}
	}
	_, err = standards.MassPerPowerForDrawbarWork(standards.SkidSteer, 2)
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
		m, err := standards.MassPerPowerBand{Band: units.Range[units.MassPerPower]{Low: c.low, High: c.high}}.Mass(c.power)
		if c.path != "" {
			fieldtest.Names(t, fmt.Sprintf("%+v", c), err, c.path)
		} else if err != nil || float64(m.High) != float64(c.high)*float64(c.power) {
			t.Errorf("%+v: %v, %v", c, m, err)
		}
	}
}
