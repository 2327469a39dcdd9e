package ballast_test

import (
	"encoding/csv"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/units"
)

// lc1 is the loader of check LC1 of checks.csv: a weightless arm whose pivot
// is put 3 m up so that every angle of the checks keeps the pin above the
// ground.
func lc1(t *testing.T) (ballast.Loader, map[string]any, map[string]any) {
	t.Helper()
	in, want := publishedRow(t, "checks.csv", "LC1")
	base := numbers(t, in, "cyl_base_m")
	return ballast.Loader{
		Pivot: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](3)}, Arm: units.Is(units.Length(number(t, in, "pin_radius_m"))),
		LowestPin: units.Is[units.Length](0.9), HighestPin: units.Is[units.Length](5.2),
		Cylinders: &ballast.Cylinders{
			Base:      ballast.Offset{Ahead: units.Is(units.Length(base[0])), Above: units.Is(units.Length(base[1]))},
			RodRadius: units.Is(units.Length(number(t, in, "rod_radius_m"))),
			RodAngle:  units.Is(units.Angle(number(t, in, "rod_angle_offset_deg")) * units.Degree),
			Bore:      units.Is(units.Length(number(t, in, "bore_m"))), Count: int(number(t, in, "cylinders")),
			Pressure: units.Is(units.GaugePressure(number(t, in, "pressure_Pa"))),
		},
	}, in, want
}

func at(t *testing.T, l ballast.Loader, deg float64) ballast.Pose {
	t.Helper()
	h := float64(l.Pivot.Z.Value()) + float64(l.Arm.Value())*math.Sin(deg*math.Pi/180)
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
		l.ArmMass = units.Is(units.Mass(number(t, in, "arm_mass_kg")))
		l.ArmCG = units.Is(units.Length(number(t, in, "arm_cg_radius_m")))
		near(t, id, float64(at(t, l, number(t, in, "arm_deg")).Lift), number(t, want, "F_pin_N"), 0.5)
	}
	in, want = publishedRow(t, "checks.csv", "LC4")
	k := ballast.Cylinders{Bore: units.Is(units.Length(number(t, in, "bore_mm")) * units.Millimeter), Count: int(number(t, in, "cylinders")),
		Pressure: units.Is(units.GaugePressure(number(t, in, "pressure_MPa")) * units.GaugeMegapascal)}
	near(t, "LC4", float64(k.Push()), number(t, want, "N"), 0.1)

	in, want = publishedRow(t, "checks.csv", "LC8")
	usual := l
	c := *l.Cylinders
	c.RodAngle = units.Is(units.Angle(number(t, in, "rod_angle_offset_deg")) * units.Degree)
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
	pose := ballast.Pose{Lift: units.Force(number(t, in, "F_pin_N")), Reach: units.Length(number(t, in, "pin_reach_m"))}
	near(t, "LC2", float64(pose.LiftAhead(units.Length(number(t, in, "ahead_m")))), number(t, want, "F_N"), 0.01)
	// LC3: an ideal parallel carrier.
	in, want = publishedRow(t, "checks.csv", "LC3")
	parallel := l
	parallel.SelfLeveling = units.Is[units.Fraction](1)
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
		near(t, "height", float64(p.Pin.Z-l.Pivot.Z.Value()), v[1], 1e-4)
		near(t, "reach", float64(p.Pin.X-l.Pivot.X.Value()), v[2], 1e-4)
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
	l.Rated = []ballast.RatedPoint{
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

// Every pose of random loaders by free body: the pin on its circle, the
// cylinders' force along the line from base to rod pin, moments about the
// pivot by cross product. A locked carrier counts the whole distance ahead, an
// ideal one none of it.
func TestLoaderFreeBody(t *testing.T) {
	r := rand.New(rand.NewPCG(61, 62))
	vary := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	found, refused := 0, 0
	for range 2000 {
		l := ballast.Loader{
			Pivot: ballast.Position{X: units.Is(units.Length(vary(-1, 1.5))), Z: units.Is(units.Length(vary(3, 4)))}, Arm: units.Is(units.Length(vary(1.5, 3))),
			ArmMass: units.Is(units.Mass(vary(50, 400))), ArmCG: units.Is(units.Length(vary(0.5, 1.5))), SelfLeveling: units.Is(units.Fraction(vary(0, 1))),
			Cylinders: &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is(units.Length(vary(-0.3, 0.5))), Above: units.Is(units.Length(vary(-0.9, -0.2)))},
				RodRadius: units.Is(units.Length(vary(0.6, 1.2))), RodAngle: units.Is(units.Angle(vary(-0.3, 0.3))),
				Bore: units.Is(units.Length(vary(0.05, 0.1))), Count: 1 + r.IntN(4), Pressure: units.Is(units.GaugePressure(vary(1e7, 2e7)))},
		}
		angle := vary(-0.9, 0.9)
		pin := l.Pivot.Z.Value() + units.Length(float64(l.Arm.Value())*math.Sin(angle))
		l.LowestPin, l.HighestPin = units.Is(pin-0.01), units.Is(pin+0.02)
		switch r.IntN(4) {
		case 0:
			l.SelfLeveling = units.Is[units.Fraction](1)
		case 1:
			l.SelfLeveling = units.Input[units.Fraction]{}
		}
		c := l.Cylinders
		rod := angle + float64(c.RodAngle.Value())
		rx, rz := float64(c.RodRadius.Value())*math.Cos(rod), float64(c.RodRadius.Value())*math.Sin(rod)
		ux, uz := rx-float64(c.Base.Ahead.Value()), rz-float64(c.Base.Above.Value())
		length := math.Hypot(ux, uz)
		lever := (rx*uz - rz*ux) / length
		p, err := l.At(pin)
		if err != nil {
			if fieldtest.Names(t, "no upward moment", err, "cylinders"); lever > 0.05 {
				t.Fatalf("%+v: lever %g, and %v", l, lever, err)
			}
			refused++
			continue
		}
		if lever < -0.05 {
			t.Fatalf("%+v: lever %g is accepted", l, lever)
		}
		found++
		x := float64(l.Arm.Value()) * math.Cos(angle)
		push := float64(c.Count) * float64(c.Pressure.Value()) * math.Pi * float64(c.Bore.Value()) * float64(c.Bore.Value()) / 4
		lift := (push*lever - float64(l.ArmMass.Value())*9.80665*float64(l.ArmCG.Value())*math.Cos(angle)) / x
		near(t, "angle", float64(p.Angle), angle, 1e-9)
		near(t, "pin x", float64(p.Pin.X), float64(l.Pivot.X.Value())+x, 1e-9)
		near(t, "pin z", float64(p.Pin.Z), float64(pin), 1e-9)
		near(t, "length", float64(p.CylinderLength), length, 1e-9)
		near(t, "lever", float64(p.MomentArm), lever, 1e-9)
		near(t, "lift", float64(p.Lift), lift, 1e-8*push)
		// The load z ahead of the pin has the moment of (x + (1 - s) z) times
		// its weight.
		z := vary(0.1, 1)
		near(t, "ahead", float64(p.LiftAhead(units.Length(z))), lift*x/(x+(1-float64(l.SelfLeveling.Value()))*z), 1e-8*push)
		near(t, "behind", float64(p.LiftAhead(units.Length(-z))), lift, 1e-8*push)
	}
	if found < 1000 || refused < 20 {
		t.Errorf("only %d loaders, %d refused", found, refused)
	}
}

// With the rod's pin on the base's pin the cylinders have no lever, and cannot
// be told to have one.
func TestNoCylinderLength(t *testing.T) {
	l := ballast.Loader{Pivot: ballast.Position{X: units.Is[units.Length](1), Z: units.Is[units.Length](1.5)}, Arm: units.Is[units.Length](2), LowestPin: units.Is[units.Length](1.5), HighestPin: units.Is[units.Length](1.6),
		Cylinders: &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](0.3), Above: units.Is[units.Length](-0.4)}, RodRadius: units.Is[units.Length](0.5), RodAngle: units.Is(units.Angle(math.Atan2(-0.4, 0.3))), Bore: units.Is[units.Length](0.06), Count: 2, Pressure: units.Is[units.GaugePressure](2e7)}}
	fieldtest.Names(t, "no length", l.Validate(), "cylinders")
	l.LowestPin = units.Is[units.Length](1.55)
	if err := l.Validate(); err != nil {
		t.Errorf("a little higher: %v", err)
	}
}

// Without rated distances the carrier decides how much one counts; without
// cylinders and without a rated point the lift is not known, and with one it is
// known at its height. What the loader is rated for has the arms taken off
// already. Heights end at the lowest and the highest pin.
func TestLoaderAt(t *testing.T) {
	l := ballast.Loader{Pivot: ballast.Position{X: units.Is[units.Length](0.5), Z: units.Is[units.Length](1.5)}, Arm: units.Is[units.Length](2), LowestPin: units.Is[units.Length](0.3), HighestPin: units.Is[units.Length](2.9), ArmMass: units.Is[units.Mass](200), ArmCG: units.Is[units.Length](1.2), SelfLeveling: units.Is[units.Fraction](0.4)}
	for _, rated := range [][]ballast.RatedPoint{nil, {{PinHeight: 1.5, AtPin: 1000}}} {
		l.Rated = rated
		p, err := l.At(1.6)
		if err != nil || p.Lift != 0 || p.Reach != 0 || p.CylinderLength != 0 || p.MomentArm != 0 {
			t.Errorf("%d rated points: %+v, %v", len(rated), p, err)
		}
	}
	l.Rated = []ballast.RatedPoint{{PinHeight: 0.5, AtPin: 1200}, {PinHeight: 2.5, AtPin: 1000}}
	for _, h := range []units.Length{0.5, 2.5} {
		p, err := l.At(h)
		if err != nil {
			t.Fatal(err)
		}
		x := math.Sqrt(4 - 1) // 1 m above or below the pivot
		near(t, "pin", float64(p.Pin.X), 0.5+x, 1e-12)
		want := 1200 * 9.80665
		if h > 1.5 {
			want = 1000 * 9.80665
		}
		near(t, "lift", float64(p.Lift), want, 1e-9)
		near(t, "reach", float64(p.Reach), x/0.6, 1e-9)
	}
	for _, h := range []units.Length{0.499, 2.501, 0.3, 2.9} {
		if p, err := l.At(h); err != nil || p.Lift != 0 {
			t.Errorf("outside the rated heights, at %v m: %+v, %v", float64(h), p, err)
		}
	}
	for _, h := range []units.Length{0.299, 2.901, -1, units.Length(math.NaN())} {
		if _, err := l.At(h); !errors.Is(err, units.ErrInvalid) {
			t.Errorf("out of reach, at %v m: %v", float64(h), err)
		}
	}
}
