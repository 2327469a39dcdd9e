package ballast

import (
	"encoding/csv"
	"math"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// lc1 is the loader of check LC1 of checks.csv: a weightless arm whose pivot
// is put 3 m up so that every angle of the checks keeps the pin above the
// ground.
func lc1(t *testing.T) (Loader, map[string]any, map[string]any) {
	t.Helper()
	in, want := publishedRow(t, "checks.csv", "LC1")
	base := numbers(t, in, "cyl_base_m")
	return Loader{
		Pivot: stability.Point{X: 1, Z: 3}, Arm: units.Length(number(t, in, "pin_radius_m")),
		LowestPin: 0.9, HighestPin: 5.2,
		Cylinders: &Cylinders{
			Base:      Offset{units.Length(base[0]), units.Length(base[1])},
			RodRadius: units.Length(number(t, in, "rod_radius_m")),
			RodAngle:  units.Angle(number(t, in, "rod_angle_offset_deg")) * units.Degree,
			Bore:      units.Length(number(t, in, "bore_m")), Count: int(number(t, in, "cylinders")),
			Pressure: units.GaugePressure(number(t, in, "pressure_Pa")),
		},
	}, in, want
}

func at(t *testing.T, l Loader, deg float64) Pose {
	t.Helper()
	h := float64(l.Pivot.Z) + float64(l.Arm)*math.Sin(deg*math.Pi/180)
	p, err := l.At(units.Length(h))
	if err != nil {
		t.Fatalf("%v degrees: %v", deg, err)
	}
	return p
}

// Checks LC1, LC_-40, LC_+20, LC2 to LC4, LC8, LW_-40 and LW_+0 of
// checks.csv: derived there, verified by virtual work; tolerances are theirs.
func loaderChecks(t *testing.T) {
	l, in, want := lc1(t)
	p := at(t, l, number(t, in, "arm_deg"))
	near(t, "LC1 cylinder length", float64(p.CylinderLength), number(t, want, "cyl_len_m"), 1e-4)
	near(t, "LC1 moment arm", float64(p.MomentArm), number(t, want, "moment_arm_m"), 1e-5)
	near(t, "LC1 cylinder force", float64(l.Cylinders.Push()), number(t, want, "F_cyl_N"), 0.1)
	near(t, "LC1 lift", float64(p.Lift), number(t, want, "F_pin_N"), 0.5)
	for _, id := range []string{"LC_-40", "LC_+20"} {
		in, want := publishedRow(t, "checks.csv", id)
		p := at(t, l, number(t, in, "arm_deg"))
		near(t, id+" moment arm", float64(p.MomentArm), number(t, want, "moment_arm_m"), 1e-5)
		near(t, id+" lift", float64(p.Lift), number(t, want, "F_pin_N"), 0.5)
	}
	for _, id := range []string{"LW_-40", "LW_+0"} {
		in, want := publishedRow(t, "checks.csv", id)
		l := l
		l.ArmMass = units.Mass(number(t, in, "arm_mass_kg"))
		l.ArmCG = units.Length(number(t, in, "arm_cg_radius_m"))
		near(t, id, float64(at(t, l, number(t, in, "arm_deg")).Lift), number(t, want, "F_pin_N"), 0.5)
	}
	in, want = publishedRow(t, "checks.csv", "LC4")
	k := Cylinders{Bore: units.Length(number(t, in, "bore_mm")) * units.Millimeter, Count: int(number(t, in, "cylinders")),
		Pressure: units.GaugePressure(number(t, in, "pressure_MPa")) * units.GaugeMegapascal}
	near(t, "LC4", float64(k.Push()), number(t, want, "N"), 0.1)

	in, want = publishedRow(t, "checks.csv", "LC8")
	usual := l
	c := *l.Cylinders
	c.RodAngle = units.Angle(number(t, in, "rod_angle_offset_deg")) * units.Degree
	usual.Cylinders = &c
	forces := numbers(t, want, "F_pin_N")
	last := math.Inf(1)
	for i, deg := range numbers(t, in, "arm_deg") {
		f := float64(at(t, usual, deg).Lift)
		near(t, "LC8", f, forces[i], 0.5)
		// Common practice, no source: the usual loader lifts most from the
		// ground and least at full height.
		if f >= last {
			t.Errorf("LC8: lift at %v degrees is %v, no less than below", deg, f)
		}
		last = f
	}

	// LC2: a locked carrier, 20 kN at the pin 2 m ahead of the pivot.
	in, want = publishedRow(t, "checks.csv", "LC2")
	pose := Pose{Lift: units.Force(number(t, in, "F_pin_N")), Reach: units.Length(number(t, in, "pin_reach_m"))}
	near(t, "LC2", float64(pose.LiftAhead(units.Length(number(t, in, "ahead_m")))), number(t, want, "F_N"), 0.01)
	// LC3: an ideal parallel carrier.
	in, want = publishedRow(t, "checks.csv", "LC3")
	parallel := l
	parallel.SelfLeveling = 1
	p = at(t, parallel, 10)
	p.Lift = units.Force(number(t, in, "F_pin_N"))
	for i, e := range numbers(t, in, "ahead_m") {
		near(t, "LC3", float64(p.LiftAhead(units.Length(e))), numbers(t, want, "F_N")[i], 0)
	}
}

// loader_curve.csv was derived from the geometry and checked there by virtual
// work (the change of cylinder length over the change of angle), which this
// test does again on our cylinder lengths.
func loaderCurve(t *testing.T) {
	f, err := os.Open("../testdata/loader_curve.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	table, err := csv.NewReader(f).ReadAll()
	if err != nil || len(table) < 18 {
		t.Fatalf("%d rows, %v", len(table), err)
	}
	l, _, _ := lc1(t)
	for _, row := range table[1:] {
		v := make([]float64, len(row))
		for i, s := range row {
			if v[i], err = strconv.ParseFloat(strings.TrimSpace(s), 64); err != nil {
				t.Fatal(err)
			}
		}
		p := at(t, l, v[0])
		near(t, "height", float64(p.Pin.Z-l.Pivot.Z), v[1], 1e-4)
		near(t, "reach", float64(p.Pin.X-l.Pivot.X), v[2], 1e-4)
		near(t, "length", float64(p.CylinderLength), v[3], 1e-4)
		near(t, "moment arm", float64(p.MomentArm), v[4], 1e-4)
		near(t, "lift at pin", float64(p.Lift), v[5], 0.5)
		near(t, "lift 610 mm ahead", float64(p.LiftAhead(0.610)), v[6], 0.5)
		const d = 1e-3 // degrees
		work := (float64(at(t, l, v[0]+d).CylinderLength) - float64(at(t, l, v[0]-d).CylinderLength)) / (2 * d * math.Pi / 180)
		near(t, "virtual work", float64(p.MomentArm), work, 1e-6)
	}
}

// Rated points of a loader are met at their own heights, shape-preserving
// between: never above the greater or below the smaller neighbor.
func TestRatedPoints(t *testing.T) {
	l, _, _ := lc1(t)
	l.Cylinders = nil
	l.Rated = []RatedPoint{
		{PinHeight: 1, AtPin: 1500, Ahead: 0.5, AheadMass: 1200},
		{PinHeight: 2.5, AtPin: 1300, Ahead: 0.5, AheadMass: 1000},
		{PinHeight: 4.5, AtPin: 900, Ahead: 0.5, AheadMass: 640},
	}
	for _, r := range l.Rated {
		p, err := l.At(r.PinHeight)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "at pin", float64(p.Lift), float64(r.AtPin)*9.80665, 1e-9)
		// F(z) = Fp X/(X + z) with X = e Fq/(Fp - Fq) gives Fq at z = e.
		near(t, "ahead", float64(p.LiftAhead(r.Ahead)), float64(r.AheadMass)*9.80665, 1e-9)
	}
	last := math.Inf(1)
	for h := 1.0; h <= 4.5; h += 0.05 {
		p, err := l.At(units.Length(h))
		if err != nil {
			t.Fatal(err)
		}
		f := float64(p.Lift)
		if f > last+1e-9 || f > 1500*9.80665+1e-9 || f < 900*9.80665-1e-9 {
			t.Errorf("lift at %v m is %v N: not between its neighbors", h, f)
		}
		last = f
	}
	for _, h := range []units.Length{0.95, 4.6} {
		if p, err := l.At(h); err != nil || p.Lift != 0 {
			t.Errorf("outside the rated heights: %v N, %v; want no lift", p.Lift, err)
		}
	}
}
