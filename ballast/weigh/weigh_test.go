package weigh_test

import (
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/cmplx"
	"math/rand/v2"
	"os"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// weighCase returns inputs and expected values of one row of
// testdata/stability_cases.csv.
func weighCase(t *testing.T, id string) (in, want map[string]any) {
	t.Helper()
	f, err := os.Open("../../testdata/stability_cases.csv")
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
	raw, err := os.ReadFile("../../testdata/" + name)
	if err == nil {
		err = json.Unmarshal(raw, v)
	}
	if err != nil {
		t.Fatal(err)
	}
}

// liftOf returns a lift whose readings are as good as exact, so that the
// fitted height is that of the formula.
func liftOf(l, rr, rf, front, rear float64, lifts ...weigh.LiftReading) weigh.AxleLift {
	return weigh.AxleLift{
		Level: weigh.LevelWeighing{
			Wheelbase: weigh.Measured[units.Length]{units.Length(l), 1e-6}, Front: units.Mass(front), Rear: units.Mass(rear), Scale: weigh.Scale{SD: 0.01},
		},
		RearRadius:  weigh.Measured[units.Length]{units.Length(rr), 1e-6},
		FrontRadius: weigh.Measured[units.Length]{units.Length(rf), 1e-6},
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
			r := weigh.LiftReading{Angle: units.Angle(deg) * units.Degree, Front: units.Mass(lifted)}
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
		got := weigh.LiftSensitivity(units.Length(in["wheelbase_m"].(float64)), units.Mass(in["mass_kg"].(float64)),
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
		a := weigh.AxleLift{
			Level: weigh.LevelWeighing{Wheelbase: weigh.Measured[units.Length]{units.Length(r.Wheelbase[0]), units.Length(r.Wheelbase[1])},
				Front: units.Mass(r.Front), Rear: units.Mass(r.Rear), Scale: weigh.Scale{SD: units.Mass(r.SD)}},
			RearRadius:  weigh.Measured[units.Length]{units.Length(r.RearRadius[0]), units.Length(r.RearRadius[1])},
			FrontRadius: weigh.Measured[units.Length]{units.Length(r.FrontRadius[0]), units.Length(r.FrontRadius[1])},
			AngleSD:     units.Angle(r.AngleSD),
		}
		b := liftOf(r.Wheelbase[0], r.RearRadius[0], r.FrontRadius[0], r.TrueMass*r.TrueX/r.Wheelbase[0], r.TrueMass*(1-r.TrueX/r.Wheelbase[0]))
		for j := range r.Angle {
			a.Lifts = append(a.Lifts, weigh.LiftReading{Angle: units.Angle(r.Angle[j]), Front: units.Mass(r.Lifted[j])})
			b.Lifts = append(b.Lifts, weigh.LiftReading{Angle: units.Angle(r.Angle[j]), Front: units.Mass(r.Exact[j])})
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
	w := weigh.LevelWeighing{
		Wheelbase: weigh.Measured[units.Length]{2.4, 0.005},
		FrontLeft: 600, FrontRight: 600, RearLeft: 1000, RearRight: 800, RearTrack: 1.5, FrontTrack: 1.3, Scale: weigh.Scale{SD: 5},
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
	a := weigh.LevelWeighing{Wheelbase: w.Wheelbase, Front: 1200, Rear: 1800, Scale: w.Scale}
	if got, err := a.Solve(); err != nil || got.YKnown || got.Y.Value != 0 {
		t.Errorf("axles: %+v, %v", got, err)
	}
	if len(got.Cautions.Lines()) == 0 {
		t.Error("no cautions")
	}
	var e *units.FieldError
	if _, err := (weigh.LevelWeighing{}).Solve(); !errors.As(err, &e) || !errors.Is(err, units.ErrInvalid) {
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
			y, _, _ := weigh.LiftModel(p, math.Tan(deg*math.Pi/180+0.002*rng.NormFloat64()))
			a.Lifts = append(a.Lifts, weigh.LiftReading{Angle: units.Angle(deg) * units.Degree, Front: units.Mass(y + s*rng.NormFloat64())})
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
		y, _, _ := weigh.LiftModel(p, math.Tan(deg*math.Pi/180))
		for _, low := range []bool{false, true} {
			base.Lifts = append(base.Lifts, weigh.LiftReading{Angle: units.Angle(deg) * units.Degree, Front: units.Mass(y), Lowering: low})
		}
	}
	change := func(f func([]weigh.LiftReading)) weigh.AxleLift {
		a := base
		a.Lifts = slices.Clone(base.Lifts)
		f(a.Lifts)
		return a
	}
	for _, c := range []struct {
		name  string
		a     weigh.AxleLift
		cause weigh.Cause
		row   int
	}{
		{"clean", base, weigh.CauseUnknown, -1},
		{"outlier", change(func(l []weigh.LiftReading) { l[3].Front += 40 }), weigh.CauseOutlier, 3},
		{"hysteresis", change(func(l []weigh.LiftReading) {
			for i := range l {
				if l[i].Lowering {
					l[i].Front -= 12
				}
			}
		}), weigh.CauseHysteresis, -1},
	} {
		got, err := c.a.Solve()
		if err != nil {
			t.Fatal(c.name, err)
		}
		if c.cause == weigh.CauseUnknown {
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
		y, _, _ := weigh.LiftModel(p, math.Tan(deg*math.Pi/180))
		lag := 10 * math.Copysign(1, deg)
		both.Lifts = append(both.Lifts,
			weigh.LiftReading{Angle: units.Angle(deg) * units.Degree, Front: units.Mass(y + lag)},
			weigh.LiftReading{Angle: units.Angle(deg) * units.Degree, Rear: units.Mass(3000 - y + lag), Lowering: true})
	}
	if got, err := both.Solve(); err != nil || len(got.Findings) == 0 || got.Findings[0].Cause != weigh.CauseHysteresis {
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
	a := liftOf(2.4, 0.75, 0.5, 1200, 1800, weigh.LiftReading{Angle: 10 * units.Degree}, weigh.LiftReading{Angle: -10 * units.Degree})
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

// randomLevel is a level weighing by axles, or by the wheels of either.
func randomLevel(rng *rand.Rand, wheelsFront, wheelsRear bool) (w weigh.LevelWeighing, reading, level float64) {
	m := func(low, high float64) units.Mass { return units.Mass(between(rng, low, high)) }
	w.Wheelbase = weigh.Measured[units.Length]{units.Length(between(rng, 1.6, 2.8)), units.Length(between(rng, 0.003, 0.02))}
	w.Scale, reading, level = randomScale(rng)
	w.Confidence = level
	if wheelsFront {
		w.FrontLeft, w.FrontRight, w.FrontTrack = m(200, 700), m(200, 700), units.Length(between(rng, 1, 1.8))
	} else {
		w.Front = m(400, 1400)
	}
	if wheelsRear {
		w.RearLeft, w.RearRight, w.RearTrack = m(400, 1100), m(400, 1100), units.Length(between(rng, 1, 1.8))
	} else {
		w.Rear = m(900, 2200)
	}
	return w, reading, level
}

// Values are the balance of moments written out. Errors are what each scale's
// own error, the zero and the gain that all scales share, and the tape do to
// them, one at a time.
func TestLevelErrors(t *testing.T) {
	rng := newWeighRand(11)
	for i := range 200 {
		w, reading, level := randomLevel(rng, i&1 != 0, i&2 != 0)
		in := []float64{float64(w.Wheelbase.Value), 0, 0, float64(w.Front), float64(w.FrontLeft), float64(w.FrontRight), float64(w.Rear), float64(w.RearLeft), float64(w.RearRight)}
		sd := []float64{float64(w.Wheelbase.SD), float64(w.Scale.ZeroSD), float64(w.Scale.GainSD), 0, 0, 0, 0, 0, 0}
		for j := 3; j < len(in); j++ {
			if in[j] > 0 {
				sd[j] = reading
			}
		}
		answer := func(p []complex128) (mass, x, y complex128) {
			for j := 3; j < len(p); j++ {
				if in[j] > 0 {
					p[j] = p[j]*(1+p[2]) + p[1]
				}
			}
			front := p[3] + p[4] + p[5]
			mass = front + p[6] + p[7] + p[8]
			side := (p[7]-p[8])*complex(float64(w.RearTrack)/2, 0) + (p[4]-p[5])*complex(float64(w.FrontTrack)/2, 0)
			return mass, front * p[0] / mass, side / mass
		}
		got, err := w.Solve()
		if err != nil {
			t.Fatal(err)
		}
		exact := make([]complex128, len(in))
		for j, v := range in {
			exact[j] = complex(v, 0)
		}
		mass, x, y := answer(exact)
		wantEstimate(t, "mass", got.Mass, real(mass),
			spread(in, sd, func(p []complex128) complex128 { m, _, _ := answer(p); return m }), level)
		wantEstimate(t, "x", got.X, real(x),
			spread(in, sd, func(p []complex128) complex128 { _, x, _ := answer(p); return x }), level)
		if got.YKnown != (w.RearLeft > 0) {
			t.Fatalf("y known: %v for %+v", got.YKnown, w)
		}
		if got.YKnown {
			wantEstimate(t, "y", got.Y, real(y),
				spread(in, sd, func(p []complex128) complex128 { _, _, y := answer(p); return y }), level)
		}
	}
}

func TestLevelWeighingRanges(t *testing.T) {
	axles := weigh.LevelWeighing{Wheelbase: weigh.Measured[units.Length]{2, 0.01}, Front: 900, Rear: 1100, Scale: weigh.Scale{SD: 2}}
	fieldtest.Ends(t, "wheelbase.value", axles, func(w *weigh.LevelWeighing, v float64) { w.Wheelbase.Value = units.Length(v) }, 0.5, 10)
	fieldtest.Ends(t, "front", axles, func(w *weigh.LevelWeighing, v float64) { w.Front = units.Mass(v) }, 1, 100e3)
	fieldtest.Ends(t, "rear", axles, func(w *weigh.LevelWeighing, v float64) { w.Rear = units.Mass(v) }, 1, 100e3)
	wheels := weigh.LevelWeighing{Wheelbase: axles.Wheelbase, Scale: axles.Scale, FrontLeft: 400, FrontRight: 500, FrontTrack: 1.4, RearLeft: 600, RearRight: 500, RearTrack: 1.5}
	fieldtest.Ends(t, "frontLeft", wheels, func(w *weigh.LevelWeighing, v float64) { w.FrontLeft = units.Mass(v) }, 1, 100e3)
	fieldtest.Ends(t, "frontRight", wheels, func(w *weigh.LevelWeighing, v float64) { w.FrontRight = units.Mass(v) }, 1, 100e3)
	fieldtest.Ends(t, "rearLeft", wheels, func(w *weigh.LevelWeighing, v float64) { w.RearLeft = units.Mass(v) }, 1, 100e3)
	fieldtest.Ends(t, "rearRight", wheels, func(w *weigh.LevelWeighing, v float64) { w.RearRight = units.Mass(v) }, 1, 100e3)
	fieldtest.Ends(t, "frontTrack", wheels, func(w *weigh.LevelWeighing, v float64) { w.FrontTrack = units.Length(v) }, 0.2, 6)
	fieldtest.Ends(t, "rearTrack", wheels, func(w *weigh.LevelWeighing, v float64) { w.RearTrack = units.Length(v) }, 0.2, 6)
	// One wheel of two, wheels beside their axle, an axle not read at all.
	for path, spoil := range map[string]func(*weigh.LevelWeighing){
		"frontLeft":  func(w *weigh.LevelWeighing) { w.FrontLeft = 0 },
		"frontRight": func(w *weigh.LevelWeighing) { w.FrontRight = 0 },
		"rearLeft":   func(w *weigh.LevelWeighing) { w.RearLeft = 0 },
		"rearRight":  func(w *weigh.LevelWeighing) { w.RearRight = 0 },
		"front":      func(w *weigh.LevelWeighing) { w.Front = 900 },
		"rear":       func(w *weigh.LevelWeighing) { w.RearLeft, w.RearRight, w.RearTrack = 0, 0, 0 },
		"rearTrack":  func(w *weigh.LevelWeighing) { w.RearTrack = 0 },
	} {
		w := wheels
		spoil(&w)
		fieldtest.Names(t, path, w.Validate(), path)
	}
}

// lifted returns the load that scales under the front axle read when the
// machine is pitched: its points are rotated about the rear axle, and moments
// are taken about it, the ground pushing straight up under each axle.
func lifted[F float64 | complex128](front, rear, height, base, rearRadius, frontRadius, sin, cos F) F {
	x := base * front / (front + rear)
	at := func(x, z F) F { return x*cos - (z-rearRadius)*sin }
	return (front + rear) * at(x, height) / at(base, frontRadius)
}

// liftReference fits an axle lift by leastSquares on [lifted].
func liftReference(t *testing.T, a weigh.AxleLift, reading float64) fitted {
	t.Helper()
	l := a.Level
	front, rear := float64(l.Front+l.FrontLeft+l.FrontRight), float64(l.Rear+l.RearLeft+l.RearRight)
	wheels := func(left units.Mass) float64 {
		if left > 0 {
			return math.Sqrt2 * reading
		}
		return reading
	}
	prior := []struct {
		at       int
		mean, sd float64
	}{{0, front, wheels(l.FrontLeft)}, {1, rear, wheels(l.RearLeft)}, {3, float64(l.Wheelbase.Value), float64(l.Wheelbase.SD)},
		{4, float64(a.RearRadius.Value), float64(a.RearRadius.SD)}, {5, float64(a.FrontRadius.Value), float64(a.FrontRadius.SD)}}
	start := []float64{front, rear, 0.7, float64(l.Wheelbase.Value), float64(a.RearRadius.Value), float64(a.FrontRadius.Value)}
	return leastSquares(t, start, func(p []complex128) (y []complex128, sd []float64) {
		for _, r := range a.Lifts {
			model := func(angle complex128) complex128 {
				f := lifted(p[0], p[1], p[2], p[3], p[4], p[5], cmplx.Sin(angle), cmplx.Cos(angle))
				if r.Rear > 0 {
					return p[0] + p[1] - f
				}
				return f
			}
			angle := float64(r.Angle)
			y = append(y, complex(float64(r.Front+r.Rear), 0)-model(complex(angle, 0)))
			// By a central difference: p may carry a complex step already.
			slope := real(model(complex(angle+1e-5, 0))-model(complex(angle-1e-5, 0))) / 2e-5
			sd = append(sd, math.Hypot(reading, slope*float64(a.AngleSD)))
		}
		for _, q := range prior {
			y, sd = append(y, complex(q.mean, 0)-p[q.at]), append(sd, q.sd)
		}
		return y, sd
	})
}

// liftFindings is what the doc comment of Solve says about odd readings, with
// the numbers of the reference.
func liftFindings(t *testing.T, a weigh.AxleLift, f fitted) []weigh.Finding {
	t.Helper()
	n := len(a.Lifts)
	outlier, stuck := weigh.Finding{Row: -1}, weigh.Finding{Row: -1}
	up := 0
	for i, r := range a.Lifts {
		v, sd := f.more(t, func(row int) float64 {
			if row == i {
				return 1
			}
			return 0
		})
		if z := math.Abs(v / sd); z > 4 && z > outlier.Sigmas {
			outlier = weigh.Finding{Cause: weigh.CauseOutlier, Row: i, Off: units.Mass(v), Sigmas: z}
		}
		if !r.Lowering {
			up++
		}
	}
	if up > 0 && up < n {
		// What sticks holds back the load that passes to the axle that is low.
		v, sd := f.more(t, func(row int) float64 {
			if row >= n || !a.Lifts[row].Lowering {
				return 0
			}
			if front, noseUp := a.Lifts[row].Rear == 0, a.Lifts[row].Angle > 0; front == noseUp {
				return 1
			}
			return -1
		})
		if z := math.Abs(v / sd); z > 3.5 {
			stuck = weigh.Finding{Cause: weigh.CauseHysteresis, Row: -1, Off: units.Mass(v), Sigmas: z}
		}
	}
	switch {
	case stuck.Sigmas > outlier.Sigmas:
		return []weigh.Finding{stuck}
	case outlier.Sigmas > 0:
		return []weigh.Finding{outlier}
	case distuv.ChiSquared{K: float64(n - 1)}.Survival(f.chi2) < 5e-4:
		return []weigh.Finding{{Cause: weigh.CauseScatter, Row: -1}}
	}
	return nil
}

func wantFindings(t *testing.T, what string, got, want []weigh.Finding) {
	t.Helper()
	if len(got) != len(want) {
		t.Errorf("%s: findings %v, want %v", what, got, want)
		return
	}
	for i, g := range got {
		w := want[i]
		if g.Cause != w.Cause || g.Row != w.Row || !(math.Abs(float64(g.Off-w.Off)) <= 1e-5*math.Abs(float64(w.Off))) || !(math.Abs(g.Sigmas-w.Sigmas) <= 1e-5*w.Sigmas) {
			t.Errorf("%s: finding %+v, want %+v", what, g, w)
		}
	}
}

// randomLift is an axle lift with all its errors and up to ten readings, all
// of them true of a machine.
func randomLift(rng *rand.Rand, n int) (a weigh.AxleLift, reading, level float64) {
	a.Level, reading, level = randomLevel(rng, rng.IntN(2) == 0, rng.IntN(2) == 0)
	l := a.Level
	tape := func(low, high float64) weigh.Measured[units.Length] {
		return weigh.Measured[units.Length]{units.Length(between(rng, low, high)), units.Length(between(rng, 0.002, 0.01))}
	}
	a.RearRadius, a.FrontRadius = tape(0.6, 0.9), tape(0.3, 0.55)
	a.AngleSD = units.Angle(between(rng, 0.001, 0.003))
	a.LiquidMass, a.LiquidDepth = units.Mass(between(rng, 100, 400)), units.Length(between(rng, 0.05, 0.3))
	h := between(rng, 0.5, 1.2)
	front, rear := float64(l.Front+l.FrontLeft+l.FrontRight), float64(l.Rear+l.RearLeft+l.RearRight)
	for range n {
		deg := between(rng, 5, 25) * float64(1-2*rng.IntN(2))
		sin, cos := math.Sincos(deg * math.Pi / 180)
		f := lifted(front, rear, h, float64(l.Wheelbase.Value), float64(a.RearRadius.Value), float64(a.FrontRadius.Value), sin, cos)
		r := weigh.LiftReading{Angle: units.Angle(deg) * units.Degree, Front: units.Mass(f), Lowering: rng.IntN(3) == 0}
		if rng.IntN(2) == 0 {
			r.Front, r.Rear = 0, units.Mass(front+rear-f)
		}
		a.Lifts = append(a.Lifts, r)
	}
	return a, reading, level
}

// disturb adds to what a lift read.
func disturb(r *weigh.LiftReading, by float64) {
	if r.Rear > 0 {
		r.Rear += units.Mass(by)
	} else {
		r.Front += units.Mass(by)
	}
}

// Random lifts with noise, with a wrong row, and with a lag of the lowered
// readings: height, error, residuals and findings are those of the reference.
func TestAxleLiftAgainstFreeBody(t *testing.T) {
	rng := newWeighRand(12)
	seen := map[weigh.Cause]int{}
	for i := range 150 {
		// Of two readings neither is more wrong than the other.
		n := []int{1, 3, 4, 5, 6, 7, 8, 9, 10}[i%9]
		a, reading, level := randomLift(rng, n)
		noise := []float64{1, 1, 3}[rng.IntN(3)]
		lag := []float64{0, 4 * reading, -4 * reading}[rng.IntN(3)]
		for j := range a.Lifts {
			r := &a.Lifts[j]
			disturb(r, noise*reading*rng.NormFloat64())
			if r.Lowering && (r.Rear == 0) == (r.Angle > 0) {
				disturb(r, lag)
			} else if r.Lowering {
				disturb(r, -lag)
			}
		}
		if i%3 == 0 {
			disturb(&a.Lifts[rng.IntN(n)], 12*reading*float64(1-2*rng.IntN(2)))
		}
		got, err := a.Solve()
		if err != nil {
			t.Fatal(err)
		}
		f := liftReference(t, a, reading)
		sd := math.Sqrt(f.cov[2][2])
		wantEstimate(t, "height in pitch", got.Pitch, f.p[2], sd, level)
		mass := float64(a.Level.Front + a.Level.FrontLeft + a.Level.FrontRight + a.Level.Rear + a.Level.RearLeft + a.Level.RearRight)
		wantEstimate(t, "height in roll", got.Roll, f.p[2]-float64(a.LiquidMass)*float64(a.LiquidDepth)/mass, sd, level)
		for j, r := range got.Residuals {
			weighNear(t, "residual", float64(r), f.y[j], 1e-6)
		}
		if n > 1 { // one lift leaves nothing to compare
			want := liftFindings(t, a, f)
			wantFindings(t, fmt.Sprintf("lift %d", i), got.Findings, want)
			for _, w := range want {
				seen[w.Cause]++
			}
		} else if len(got.Findings) > 0 {
			t.Errorf("one lift: %v", got.Findings)
		}
	}
	if seen[weigh.CauseOutlier] < 20 || seen[weigh.CauseHysteresis] < 5 || seen[weigh.CauseScatter] < 2 {
		t.Errorf("seen %v: the test proves little", seen)
	}
}

// Each alarm of an axle lift goes off where its documentation says: a row
// beyond four standard deviations, directions that differ by more than 3.5, a
// sum of squares beyond chance in 1 of 2000.
func TestAxleLiftAlarms(t *testing.T) {
	rng := newWeighRand(13)
	for _, sign := range []float64{1, -1} {
		for trial := range 3 {
			a, reading, _ := randomLift(rng, 8)
			for i := range a.Lifts {
				a.Lifts[i].Lowering = i < 3
			}
			with := func(size float64, by func(i int) float64) weigh.AxleLift {
				b := a
				b.Lifts = slices.Clone(a.Lifts)
				for i := range b.Lifts {
					disturb(&b.Lifts[i], size*by(i))
				}
				return b
			}
			for _, c := range []struct {
				cause weigh.Cause
				limit float64
				by    func(i int) float64
				level func(weigh.AxleLift, fitted) float64
			}{
				{weigh.CauseOutlier, 4, func(i int) float64 {
					if i == trial {
						return sign
					}
					return 0
				}, func(_ weigh.AxleLift, f fitted) float64 {
					v, sd := f.more(t, func(row int) float64 {
						if row == trial {
							return 1
						}
						return 0
					})
					return math.Abs(v / sd)
				}},
				{weigh.CauseHysteresis, 3.5, func(i int) float64 {
					switch {
					case i >= 3:
						return 0
					case (a.Lifts[i].Rear == 0) == (a.Lifts[i].Angle > 0):
						return sign
					}
					return -sign
				}, func(a weigh.AxleLift, f fitted) float64 {
					v, sd := f.more(t, func(row int) float64 {
						switch {
						case row >= 3:
							return 0
						case (a.Lifts[row].Rear == 0) == (a.Lifts[row].Angle > 0):
							return 1
						}
						return -1
					})
					return math.Abs(v / sd)
				}},
				// 26.018 is the point of chi-square on 7 degrees of freedom that
				// chance exceeds once in 2000 (tables of chi-square; memory).
				{weigh.CauseScatter, math.Sqrt(26.018), func(i int) float64 { return []float64{1, -1, 1, -1, -1, 1, 1, -1}[i] * (1 + float64(i)/9) }, func(_ weigh.AxleLift, f fitted) float64 {
					return math.Sqrt(f.chi2)
				}},
			} {
				// All three grow with what disturbs, in proportion or nearly so.
				size := reading
				for range 6 {
					b := with(size, c.by)
					size *= c.limit / c.level(b, liftReference(t, b, reading))
				}
				for _, k := range []float64{0.9995, 1.0005} {
					got, err := with(size*k, c.by).Solve()
					if err != nil {
						t.Fatal(err)
					}
					hit := len(got.Findings) == 1 && got.Findings[0].Cause == c.cause
					if k < 1 && len(got.Findings) > 0 || k > 1 && !hit {
						t.Errorf("%v at %v of its threshold: %v", c.cause, k, got.Findings)
					}
				}
			}
		}
	}
}

// Both directions are needed for a difference between them, and one reading
// of either is enough.
func TestAxleLiftDirections(t *testing.T) {
	rng := newWeighRand(14)
	a, reading, _ := randomLift(rng, 6)
	for i := range a.Lifts {
		a.Lifts[i].Lowering = true
		if r := &a.Lifts[i]; (r.Rear == 0) == (r.Angle > 0) {
			disturb(r, 15*reading)
		} else {
			disturb(r, -15*reading)
		}
	}
	for up := range 7 {
		b := a
		b.Lifts = slices.Clone(a.Lifts)
		for i := range b.Lifts {
			b.Lifts[i].Lowering = i >= up
		}
		got, err := b.Solve()
		if err != nil {
			t.Fatal(err)
		}
		wantFindings(t, fmt.Sprint(up, " raised"), got.Findings, liftFindings(t, b, liftReference(t, b, reading)))
	}
	for _, lowered := range []int{1, 5} {
		b, reading, _ := randomLift(newWeighRand(15), 6)
		for i := range b.Lifts {
			if b.Lifts[i].Lowering = i < lowered; i < lowered {
				if r := &b.Lifts[i]; (r.Rear == 0) == (r.Angle > 0) {
					disturb(r, 12*reading)
				} else {
					disturb(r, -12*reading)
				}
			}
		}
		got, err := b.Solve()
		if err != nil {
			t.Fatal(err)
		}
		wantFindings(t, fmt.Sprint(lowered, " lowered"), got.Findings, liftFindings(t, b, liftReference(t, b, reading)))
		if len(got.Findings) == 0 {
			t.Errorf("%d lowered readings lag and nobody says so", lowered)
		}
	}
}

func TestAxleLiftRanges(t *testing.T) {
	good := liftOf(2.4, 0.75, 0.5, 1200, 1800, weigh.LiftReading{Angle: 10 * units.Degree, Front: 1146}, weigh.LiftReading{Angle: -10 * units.Degree, Rear: 1750})
	good.Level.Scale.SD, good.AngleSD = 5, 0.001
	set := func(f func(*weigh.AxleLift, float64)) func(*weigh.AxleLift, float64) {
		return func(a *weigh.AxleLift, v float64) {
			a.Lifts = slices.Clone(good.Lifts)
			f(a, v)
		}
	}
	fieldtest.Ends(t, "rearRadius.value", good, set(func(a *weigh.AxleLift, v float64) { a.RearRadius.Value = units.Length(v) }), 0.1, 1.5)
	fieldtest.Ends(t, "frontRadius.value", good, set(func(a *weigh.AxleLift, v float64) { a.FrontRadius.Value = units.Length(v) }), 0.1, 1.5)
	fieldtest.Ends(t, "angleSD", good, set(func(a *weigh.AxleLift, v float64) { a.AngleSD = units.Angle(v) }), 1e-5, float64(2*units.Degree))
	fieldtest.Ends(t, "lifts[0].angle", good, set(func(a *weigh.AxleLift, v float64) { a.Lifts[0].Angle = units.Angle(v) * units.Degree }), 1, 40)
	fieldtest.Ends(t, "lifts[1].angle", good, set(func(a *weigh.AxleLift, v float64) { a.Lifts[1].Angle = units.Angle(v) * units.Degree }), -40, -1)
	// No reading of an axle exceeds the machine.
	fieldtest.Ends(t, "lifts[0].front", good, set(func(a *weigh.AxleLift, v float64) { a.Lifts[0].Front = units.Mass(v) }), 1, 3000)
	fieldtest.Ends(t, "lifts[1].rear", good, set(func(a *weigh.AxleLift, v float64) { a.Lifts[1].Rear = units.Mass(v) }), 1, 3000)
	fieldtest.Ends(t, "liquidMass", good, set(func(a *weigh.AxleLift, v float64) { a.LiquidMass = units.Mass(v) }), 0, 3000)
	fieldtest.Ends(t, "liquidDepth", good, set(func(a *weigh.AxleLift, v float64) { a.LiquidDepth = units.Length(v) }), 0, 1.5)
	for path, spoil := range map[string]func(*weigh.AxleLift){
		"lifts[0].front": func(a *weigh.AxleLift) { a.Lifts[0].Front = 0 },
		"lifts[0].rear":  func(a *weigh.AxleLift) { a.Lifts[0].Rear = 1700 },
		"lifts[0].angle": func(a *weigh.AxleLift) { a.Lifts[0].Angle = units.Angle(math.NaN()) },
		"lifts":          func(a *weigh.AxleLift) { a.Lifts = nil },
		"liquidMass":     func(a *weigh.AxleLift) { a.LiquidMass = -1 },
	} {
		a := good
		a.Lifts = slices.Clone(good.Lifts)
		spoil(&a)
		fieldtest.Names(t, path, a.Validate(), path)
	}
	many := good
	for len(many.Lifts) < weigh.MaxLifts {
		many.Lifts = append(many.Lifts, good.Lifts[0])
	}
	if err := many.Validate(); err != nil {
		t.Errorf("%d lifts: %v", len(many.Lifts), err)
	}
	// One too many is an error of the list, and those beyond are not looked at.
	many.Lifts = append(many.Lifts, weigh.LiftReading{})
	many.Lifts[weigh.MaxLifts-1] = weigh.LiftReading{Angle: 1}
	err := many.Validate()
	fieldtest.Names(t, "one lift too many", err, "lifts")
	fieldtest.Names(t, "the last lift", err, "lifts[99].angle")
	if strings.Contains(err.Error(), "lifts[100]") {
		t.Errorf("a lift beyond the limit is looked at: %v", err)
	}
	// A height beyond all machines, -5 m to 20 m, says that signs are wrong.
	for h, ok := range map[float64]bool{-5.05: false, -4.95: true, 19.9: true, 20.1: false} {
		sin, cos := math.Sincos(float64(2 * units.Degree))
		a := liftOf(2.4, 0.75, 0.5, 1200, 1800, weigh.LiftReading{Angle: 2 * units.Degree, Front: units.Mass(lifted(1200, 1800, h, 2.4, 0.75, 0.5, sin, cos))})
		got, err := a.Solve()
		if ok && err == nil {
			weighNear(t, "height", float64(got.Pitch.Value), h, 1e-6)
		} else if ok {
			t.Errorf("height %v: %v", h, err)
		} else {
			fieldtest.Names(t, fmt.Sprint("height ", h), err, "lifts")
		}
	}
}

// What is said to be needed of scale, inclinometer and angles lies within
// what an AxleLift takes, and is found up to the ends of it.
func TestAxleLiftNeedsRange(t *testing.T) {
	plan := liftOf(2.4, 0.75, 0.5, 1200, 1800, weigh.LiftReading{Angle: 8 * units.Degree}, weigh.LiftReading{Angle: -12 * units.Degree})
	plan.Level.Scale.SD, plan.AngleSD = 10, 0.001
	expect := func(a weigh.AxleLift) units.Length {
		t.Helper()
		sd, err := a.Expect(0.9)
		if err != nil {
			t.Fatal(err)
		}
		return sd
	}
	stretched := func(k float64) weigh.AxleLift {
		a := plan
		a.Lifts = slices.Clone(plan.Lifts)
		for i := range a.Lifts {
			a.Lifts[i].Angle = units.Angle(math.Atan(k * math.Tan(float64(a.Lifts[i].Angle))))
		}
		return a
	}
	needs := func(a weigh.AxleLift, wanted units.Length) weigh.LiftNeeds {
		t.Helper()
		got, err := a.Needs(0.9, wanted)
		if err != nil {
			t.Fatal(err)
		}
		return got
	}
	for _, sd := range []units.Mass{0.0101, 3, 499} {
		a := plan
		a.AngleSD, a.Level.Scale.SD = 1e-5, sd
		want := expect(a)
		a.Level.Scale.SD = 20
		a.Level.Scale.Division = 8
		weighNear(t, "scale", float64(needs(a, want).ScaleSD), float64(sd), 1e-3*float64(sd))
	}
	for _, sd := range []units.Angle{1.01e-5, 0.001, 1.99 * units.Degree} {
		a := plan
		a.Level.Scale.SD, a.AngleSD = 0.01, sd
		want := expect(a)
		a.AngleSD = 0.0015
		weighNear(t, "inclinometer", float64(needs(a, want).AngleSD), float64(sd), 1e-3*float64(sd))
	}
	// The steepest of the angles, -12 degrees, may go to 40.
	most := math.Tan(40*math.Pi/180) / math.Tan(12*math.Pi/180)
	for _, k := range []float64{1.01, 2, 0.99 * most} {
		weighNear(t, "stretch", needs(plan, expect(stretched(k))).Stretch, k, 1e-3*k)
	}
	if got := needs(plan, expect(stretched(0.99*most))*0.97); got.Stretch != 0 {
		t.Errorf("a stretch of %v where 40 degrees are not enough", got.Stretch)
	}
	if got := needs(plan, expect(plan)*1.001); got.Stretch != 1 {
		t.Errorf("a stretch of %v for a plan that is good enough", got.Stretch)
	}
	if got := needs(plan, 9.9); got.ScaleSD != 500 || got.AngleSD != 2*units.Degree {
		t.Errorf("for next to nothing: %+v", got)
	}
	steep := stretched(math.Tan(39*math.Pi/180) / math.Tan(12*math.Pi/180))
	weighNear(t, "stretch of 39 degrees", needs(steep, expect(stretched(1.02*math.Tan(39*math.Pi/180)/math.Tan(12*math.Pi/180)))).Stretch, 1.02, 1e-3)
	steep = stretched(most)
	steep.Lifts[1].Angle = -40 * units.Degree
	if got := needs(steep, expect(steep)*0.999); got.Stretch != 0 {
		t.Errorf("a stretch of %v beyond 40 degrees", got.Stretch)
	}
	for _, wanted := range []units.Length{0, -0.01, 10, 10.1, units.Length(math.NaN())} {
		_, err := plan.Needs(0.9, wanted)
		fieldtest.Names(t, fmt.Sprint("wanted ", float64(wanted)), err, "wanted")
	}
}

// newWeighRand returns the seeded generator of a simulation.
func newWeighRand(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 20260101)) }

// Without level readings the other fields of an axle lift are held to what a
// machine may weigh, and not to a mass of zero.
func TestLiftWithoutLevel(t *testing.T) {
	a := weigh.AxleLift{LiquidMass: 200, Lifts: []weigh.LiftReading{{Angle: 10 * units.Degree, Rear: 1000}}}
	err := a.Validate()
	if err == nil || strings.Contains(err.Error(), "lifts[0].rear") || strings.Contains(err.Error(), "liquidMass") || !strings.Contains(err.Error(), "level.") {
		t.Errorf("%v", err)
	}
	a.Lifts[0].Rear = 0.5
	if err := a.Validate(); err == nil || !strings.Contains(err.Error(), "lifts[0].rear: 0.5 kg: must be between 1 kg and 100000 kg") {
		t.Errorf("%v", err)
	}
}
