package standards

import (
	"fmt"
	"math"
	"math/bits"
	"strings"
	"testing"

	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// slipFromTurns is checks.csv SL1 (ASAE S296).
func slipFromTurns(t *testing.T) {
	in, want := validation.Published(t, "checks.csv", "SL1")
	percent := validation.Numbers(t, want, "slip_pct")
	for i, n0 := range validation.Numbers(t, in, "n_unloaded") {
		got, err := SlipFromTurns(validation.Number(t, in, "n_loaded"), n0)
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
