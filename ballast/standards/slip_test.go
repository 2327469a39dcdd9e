package standards_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// slipFromTurns is checks.csv SL1 (ASAE S296).
func slipFromTurns(t *testing.T) {
	in, want := validation.Published(t, "checks.csv", "SL1")
	percent := validation.Numbers(t, want, "slip_pct")
	for i, n0 := range validation.Numbers(t, in, "n_unloaded") {
		got, err := standards.SlipFromTurns(validation.Number(t, in, "n_loaded"), n0)
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
		_, err := standards.SlipFromTurns(c.pulling, c.free)
		fieldtest.Names(t, fmt.Sprint(c.pulling, " and ", c.free, " turns"), err, c.path)
	}
	if _, err := standards.SlipFromTurns(10, 1.01e6); err == nil || !strings.Contains(err.Error(), "at most 1e6") {
		t.Errorf("too many free turns: %v", err)
	}
	if got, err := standards.SlipFromTurns(1e6, 1e6); err != nil || got != 0 {
		t.Errorf("a million turns: %v, %v", got, err)
	}
}

// TestBestSlip holds the bands against axle_split.csv.
func TestBestSlip(t *testing.T) {
	surfaces := map[string]standards.TractionSurface{
		"concrete": standards.Concrete, "firm untilled soil": standards.FirmSoil, "tilled soil (sand slightly more)": standards.TilledSoil, "soil in general": standards.AnySoil,
	}
	all := map[standards.TractionSurface]*figures{}
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
		surface, from, to := standards.SlipRow(n)
		if surface != s {
			t.Errorf("row %d is for %v, want %v", n, surface, s)
		}
		near(t, "table low", from/100, low, 1e-12)
		near(t, "table high", to/100, high, 1e-12)
		n++
	}
	if n != standards.NumSlips {
		t.Errorf("%d published figures, %d in the table", n, standards.NumSlips)
	}
	for s, f := range all {
		got, err := standards.BestSlip(s)
		if err != nil {
			t.Fatal(err)
		}
		f.hold(t, s.String(), got)
	}
	got, err := standards.BestSlip(standards.AnySoil)
	if err != nil {
		t.Fatal(err)
	}
	if n := len(all[standards.AnySoil].sources); n != 4 {
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
		_, err := standards.ShareBand{Band: units.Range[units.Fraction]{High: high}}.SlipLoss(0.5)
		if ok != (err == nil) {
			t.Errorf("a band up to %v: %v", float64(high), err)
		}
	}
}
