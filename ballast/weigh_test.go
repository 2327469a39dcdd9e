package ballast

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// weighCase returns inputs and expected values of one row of
// testdata/stability_cases.csv.
func weighCase(t *testing.T, id string) (in, want map[string]any) {
	t.Helper()
	f, err := os.Open("../testdata/stability_cases.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for _, r := range rows {
		if r[0] != id {
			continue
		}
		if json.Unmarshal([]byte(r[2]), &in) != nil || json.Unmarshal([]byte(r[3]), &want) != nil {
			t.Fatalf("row %s: bad JSON", id)
		}
		return in, want
	}
	t.Fatalf("no row %s", id)
	return nil, nil
}

func weighNear(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	validation.Relative(t, got, want)
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s = %.9g, want %.9g within %.3g", what, got, want, tol)
	}
}

func readWeigh(t *testing.T, name string, v any) {
	t.Helper()
	raw, err := os.ReadFile("../testdata/" + name)
	if err == nil {
		err = json.Unmarshal(raw, v)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// liftOf returns a lift whose readings are as good as exact, so that the
// fitted height is that of the formula.
func liftOf(l, rr, rf, front, rear float64, lifts ...LiftReading) AxleLift {
	return AxleLift{
		Level: LevelWeighing{
			Wheelbase: Measured[units.Length]{units.Length(l), 1e-6}, Front: units.Mass(front), Rear: units.Mass(rear), Scale: Scale{SD: 0.01},
		},
		RearRadius:  Measured[units.Length]{units.Length(rr), 1e-6},
		FrontRadius: Measured[units.Length]{units.Length(rf), 1e-6},
		AngleSD:     1e-5, Lifts: lifts,
	}
}

// Rows M-70-10 and M-50-10 of testdata/stability_cases.csv: a machine rotated
// point by point. Its loads have three decimals: half of the last one moves
// the height by L dW/(W tan t) = 2e-6 m.
func axleLiftReference(t *testing.T) {
	for _, id := range []string{"M-70-10", "M-50-10"} {
		in, want := weighCase(t, id)
		n := func(m map[string]any, k string) float64 { return m[k].(float64) }
		mass, deg := n(in, "mass_kg"), n(in, "pitch_deg")
		front, lifted := n(want, "front_load_level_kg"), n(want, "front_load_lifted_kg")
		for _, byRear := range []bool{false, true} {
			r := LiftReading{Angle: units.Angle(deg) * units.Degree, Front: units.Mass(lifted)}
			if byRear {
				r.Front, r.Rear = 0, units.Mass(mass-lifted)
			}
			got, err := liftOf(n(in, "wheelbase_m"), n(in, "r_rear_m"), n(in, "r_front_m"), front, mass-front, r).Solve()
			if err != nil {
				t.Fatal(err)
			}
			weighNear(t, id+" height", float64(got.Pitch.Value), n(want, "h_exact_m"), 2.5e-6)
			weighNear(t, id+" x", float64(got.Level.X.Value), n(in, "cg_x_m"), 1e-9)
		}
	}
	in, want := weighCase(t, "M-err")
	deg, dh := in["pitch_deg"].([]any), want["dh_mm"].([]any)
	for i := range deg {
		got := LiftSensitivity(units.Length(in["wheelbase_m"].(float64)), units.Mass(in["mass_kg"].(float64)),
			units.Angle(deg[i].(float64))*units.Degree, units.Mass(in["delta_kg"].(float64)))
		weighNear(t, "dh", 1e3*float64(got), dh[i].(float64), 0.01)
	}
}

// testdata/weigh_lift.json: SciPy's least_squares on the equations of the
// rotated machine, both directions and several angles, with noise.
func axleLiftAgainstReference(t *testing.T) {
	var rows []struct {
		Wheelbase, RearRadius, FrontRadius    [2]float64
		SD, AngleSD, Front, Rear, Height      float64
		HeightSD, TrueHeight, TrueMass, TrueX float64
		Angle, Lifted, Exact                  []float64
	}
	readWeigh(t, "weigh_lift.json", &rows)
	for i, r := range rows {
		a := AxleLift{
			Level: LevelWeighing{Wheelbase: Measured[units.Length]{units.Length(r.Wheelbase[0]), units.Length(r.Wheelbase[1])},
				Front: units.Mass(r.Front), Rear: units.Mass(r.Rear), Scale: Scale{SD: units.Mass(r.SD)}},
			RearRadius:  Measured[units.Length]{units.Length(r.RearRadius[0]), units.Length(r.RearRadius[1])},
			FrontRadius: Measured[units.Length]{units.Length(r.FrontRadius[0]), units.Length(r.FrontRadius[1])},
			AngleSD:     units.Angle(r.AngleSD),
		}
		b := liftOf(r.Wheelbase[0], r.RearRadius[0], r.FrontRadius[0], r.TrueMass*r.TrueX/r.Wheelbase[0], r.TrueMass*(1-r.TrueX/r.Wheelbase[0]))
		for j := range r.Angle {
			a.Lifts = append(a.Lifts, LiftReading{Angle: units.Angle(r.Angle[j]), Front: units.Mass(r.Lifted[j])})
			b.Lifts = append(b.Lifts, LiftReading{Angle: units.Angle(r.Angle[j]), Front: units.Mass(r.Exact[j])})
		}
		got, err := a.Solve()
		if err != nil {
			t.Fatal(err)
		}
		// The engine stops within about 1e-7 of its own minimum.
		weighNear(t, "height", float64(got.Pitch.Value), r.Height, 2e-6)
		weighNear(t, "standard error", float64(got.Pitch.SD), r.HeightSD, 1e-3*r.HeightSD)
		exact, err := b.Solve()
		if err != nil {
			t.Fatal(err)
		}
		weighNear(t, "height without noise", float64(exact.Pitch.Value), r.TrueHeight, 1e-8)
		if len(exact.Findings) > 0 {
			t.Errorf("row %d: findings on exact data: %v", i, exact.Findings)
		}
		want, err := a.Expect(got.Pitch.Value)
		if err != nil {
			t.Fatal(err)
		}
		weighNear(t, "expected error", float64(want), float64(got.Pitch.SD), 0.05*float64(got.Pitch.SD))
	}
}

// The balance of moments is the source: pads that carry F and R in the ratio
// of the distances, and a mass m at y that shifts m y/T from wheel to wheel.
func TestLevelWeighing(t *testing.T) {
	w := LevelWeighing{
		Wheelbase: Measured[units.Length]{2.4, 0.005},
		FrontLeft: 600, FrontRight: 600, RearLeft: 1000, RearRight: 800, RearTrack: 1.5, FrontTrack: 1.3, Scale: Scale{SD: 5},
	}
	got, err := w.Solve()
	if err != nil {
		t.Fatal(err)
	}
	weighNear(t, "mass", float64(got.Mass.Value), 3000, 1e-9)
	weighNear(t, "x", float64(got.X.Value), 0.96, 1e-12)
	weighNear(t, "y", float64(got.Y.Value), 0.05, 1e-12)
	// Mirror: left for right changes the sign of y and nothing else.
	m := w
	m.RearLeft, m.RearRight, m.FrontLeft, m.FrontRight = w.RearRight, w.RearLeft, w.FrontRight, w.FrontLeft
	mirror, err := m.Solve()
	if err != nil || mirror.Y.Value != -got.Y.Value || mirror.X != got.X {
		t.Errorf("mirror: %+v, %v", mirror, err)
	}
	// Axle readings leave y unknown.
	a := LevelWeighing{Wheelbase: w.Wheelbase, Front: 1200, Rear: 1800, Scale: w.Scale}
	if got, err := a.Solve(); err != nil || got.YKnown || got.Y.Value != 0 {
		t.Errorf("axles: %+v, %v", got, err)
	}
	if len(got.Cautions.Lines()) == 0 {
		t.Error("no cautions")
	}
	var e *units.FieldError
	if _, err := (LevelWeighing{}).Solve(); !errors.As(err, &e) || !errors.Is(err, units.ErrInvalid) {
		t.Errorf("empty: %v", err)
	}
}

// Standard errors by simulation: 4000 seeded weighings of one machine; the
// spread of the answers must be the stated one within the 5 % that so many
// can tell (standard error of a standard deviation 1.1 %).
func TestLevelErrorsBySimulation(t *testing.T) {
	rng := newWeighRand(5)
	const n = 4000
	var xs, hs []float64
	var sx, sh float64
	for range n {
		l, rr, rf := 2.4, 0.75, 0.5
		s := 4.0
		a := liftOf(l+rng.NormFloat64()*0.005, rr+rng.NormFloat64()*0.004, rf+rng.NormFloat64()*0.004, 1200+s*rng.NormFloat64(), 1800+s*rng.NormFloat64())
		a.Level.Wheelbase.SD, a.RearRadius.SD, a.FrontRadius.SD = 0.005, 0.004, 0.004
		a.Level.Scale.SD, a.AngleSD = units.Mass(s), 0.002
		for _, deg := range []float64{-15, 10, 20} {
			p := []float64{1200, 1800, 0.9, l, rr, rf}
			y, _, _ := liftModel(p, math.Tan(deg*math.Pi/180+0.002*rng.NormFloat64()))
			a.Lifts = append(a.Lifts, LiftReading{Angle: units.Angle(deg) * units.Degree, Front: units.Mass(y + s*rng.NormFloat64())})
		}
		got, err := a.Solve()
		if err != nil {
			t.Fatal(err)
		}
		xs, hs = append(xs, float64(got.Level.X.Value)-0.96), append(hs, float64(got.Pitch.Value)-0.9)
		sx, sh = float64(got.Level.X.SD), float64(got.Pitch.SD)
	}
	rms := func(v []float64) float64 {
		var s float64
		for _, x := range v {
			s += x * x
		}
		return math.Sqrt(s / float64(len(v)))
	}
	weighNear(t, "spread of x", rms(xs), sx, 0.05*sx)
	weighNear(t, "spread of h", rms(hs), sh, 0.05*sh)
}

func TestAxleLiftFindings(t *testing.T) {
	base := liftOf(2.4, 0.75, 0.5, 1200, 1800)
	base.Level.Scale.SD, base.AngleSD = 3, 0.0005
	p := []float64{1200, 1800, 0.9, 2.4, 0.75, 0.5}
	for _, deg := range []float64{8, 12, 16, 20} {
		y, _, _ := liftModel(p, math.Tan(deg*math.Pi/180))
		for _, low := range []bool{false, true} {
			base.Lifts = append(base.Lifts, LiftReading{Angle: units.Angle(deg) * units.Degree, Front: units.Mass(y), Lowering: low})
		}
	}
	change := func(f func([]LiftReading)) AxleLift {
		a := base
		a.Lifts = slices.Clone(base.Lifts)
		f(a.Lifts)
		return a
	}
	for _, c := range []struct {
		name  string
		a     AxleLift
		cause Cause
		row   int
	}{
		{"clean", base, CauseUnknown, -1},
		{"outlier", change(func(l []LiftReading) { l[3].Front += 40 }), CauseOutlier, 3},
		{"hysteresis", change(func(l []LiftReading) {
			for i := range l {
				if l[i].Lowering {
					l[i].Front -= 12
				}
			}
		}), CauseHysteresis, -1},
	} {
		got, err := c.a.Solve()
		if err != nil {
			t.Fatal(c.name, err)
		}
		if c.cause == CauseUnknown {
			if len(got.Findings) > 0 {
				t.Errorf("%s: %v", c.name, got.Findings)
			}
			continue
		}
		if len(got.Findings) == 0 || got.Findings[0].Cause != c.cause || got.Findings[0].Row != c.row {
			t.Errorf("%s: %v", c.name, got.Findings)
		}
	}
	// What sticks holds back the transfer of load, whichever axle is lifted
	// and whichever is read.
	both := base
	both.Lifts = nil
	for _, deg := range []float64{-16, -10, 10, 16} {
		y, _, _ := liftModel(p, math.Tan(deg*math.Pi/180))
		lag := 10 * math.Copysign(1, deg)
		both.Lifts = append(both.Lifts,
			LiftReading{Angle: units.Angle(deg) * units.Degree, Front: units.Mass(y + lag)},
			LiftReading{Angle: units.Angle(deg) * units.Degree, Rear: units.Mass(3000 - y + lag), Lowering: true})
	}
	if got, err := both.Solve(); err != nil || len(got.Findings) == 0 || got.Findings[0].Cause != CauseHysteresis {
		t.Errorf("hysteresis in both directions: %v, %v", got.Findings, err)
	}
	// Liquid: 300 kg whose centroid is 0.2 m below the axle takes 20 mm off
	// the height that counts in roll: m d/M.
	wet := base
	wet.LiquidMass, wet.LiquidDepth = 300, 0.2
	got, err := wet.Solve()
	if err != nil {
		t.Fatal(err)
	}
	weighNear(t, "roll height", float64(got.Pitch.Value-got.Roll.Value), 0.02, 1e-12)
}

// What is said to be needed is enough, and a little more of it is not.
func TestAxleLiftNeeds(t *testing.T) {
	a := liftOf(2.4, 0.75, 0.5, 1200, 1800, LiftReading{Angle: 10 * units.Degree}, LiftReading{Angle: -10 * units.Degree})
	a.Level.Wheelbase.SD, a.RearRadius.SD, a.FrontRadius.SD, a.Level.Scale.SD, a.AngleSD = 0.003, 0.002, 0.002, 10, 0.001
	now, err := a.Expect(0.9)
	if err != nil {
		t.Fatal(err)
	}
	need, err := a.Needs(0.9, now/2)
	if err != nil {
		t.Fatal(err)
	}
	if !(need.ScaleSD > 0 && need.ScaleSD < 10) || !(need.Stretch > 1) {
		t.Fatalf("needs %+v for half of %v", need, now)
	}
	a.Level.Scale.SD = need.ScaleSD
	if got, _ := a.Expect(0.9); !(got <= now/2) || !(got > 0.999*now/2) {
		t.Errorf("with that scale %v, want %v", got, now/2)
	}
	a.Level.Scale.SD = 10
	for i := range a.Lifts {
		a.Lifts[i].Angle = units.Angle(math.Atan(need.Stretch * a.Lifts[i].Angle.Tan()))
	}
	if got, _ := a.Expect(0.9); !(got <= now/2*1.0001) || !(got > 0.99*now/2) {
		t.Errorf("with those angles %v, want %v", got, now/2)
	}
	if need, err := a.Needs(0.9, 1e-6); err != nil || need.ScaleSD != 0 || need.Stretch != 0 {
		t.Errorf("the impossible: %+v, %v", need, err)
	}
}

// newWeighRand returns the seeded generator of a simulation.
func newWeighRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 20260101)) }
