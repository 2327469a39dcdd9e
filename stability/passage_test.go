package stability_test

import (
	"bufio"
	"encoding/json"
	"flag"
	"math"
	"os"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// motionRow is a row of testdata/motion.jsonl.
type motionRow struct {
	ID      string
	Inputs  map[string]any
	Results map[string]any
}

func (r *motionRow) in(name string) float64  { x, _ := r.Inputs[name].(float64); return x }
func (r *motionRow) out(name string) float64 { x, _ := r.Results[name].(float64); return x }

func motionRows(t testing.TB, kind byte) (out []motionRow) {
	t.Helper()
	f, err := os.Open("../testdata/motion.jsonl")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	s := bufio.NewScanner(f)
	s.Buffer(nil, 1<<20)
	for s.Scan() {
		var r motionRow
		if err := json.Unmarshal(s.Bytes(), &r); err != nil {
			t.Fatal(err)
		}
		if r.ID[0] == kind {
			out = append(out, r)
		}
	}
	if err := s.Err(); err != nil {
		t.Fatal(err)
	}
	return out
}

// passage is the passage of a row.
func (r *motionRow) passage() stability.Passage {
	l := func(name string) units.Length { return units.Length(r.in(name)) }
	kinds := map[string]stability.ObstacleKind{"box": stability.ObstacleBox, "rut": stability.ObstacleRut, "up": stability.ObstacleStepUp,
		"drop": stability.ObstacleDrop, "hump": stability.ObstacleHump, "flat": stability.ObstacleLevel}
	kind := kinds[r.Inputs["kind"].(string)]
	o := stability.Obstacle{Kind: kind, Height: l("h"), Length: l("w")}
	switch kind {
	case stability.ObstacleLevel:
		o.Height, o.Length = 0, 0
	case stability.ObstacleStepUp, stability.ObstacleDrop:
		o.Length = 0
	}
	mb := r.in("mb")
	return stability.Passage{
		Machine:   stability.Body{Mass: units.Mass(mb), CG: stability.Point{X: l("xb"), Z: l("zb")}, Inertia: stability.Inertia{YY: units.Inertia(r.in("Ib"))}},
		Load:      stability.Part{Mass: units.Mass(r.in("ml")), CG: stability.Point{X: l("xl"), Z: l("zl")}, Inertia: stability.Inertia{YY: units.Inertia(r.in("Il"))}},
		Wheelbase: l("L"),
		Rear:      stability.Tires{Radius: l("rr"), Stiffness: units.Is(units.Stiffness(r.in("kr")))},
		Front:     stability.Tires{Radius: l("rf"), Stiffness: units.Is(units.Stiffness(r.in("kf")))},
		Damping:   units.Is(units.Fraction(r.in("cr") / r.in("kr") / 2 * math.Sqrt((r.in("kr")+r.in("kf"))/mb))),
		Obstacle:  o, Drive: stability.Drive(r.in("mode")), Response: units.Duration(r.in("tau")),
		Deceleration: units.Acceleration(r.in("acc")), Friction: units.Fraction(r.in("mu")), Gravity: units.Acceleration(r.in("g")),
	}
}

// ends is the time at which the stored passages of a row end: after as many
// seconds, added to the way at the stated speed.
func (r *motionRow) ends(after float64) float64 {
	w := r.in("w")
	switch r.Inputs["kind"] {
	case "up", "drop", "flat":
		w = 0
	}
	return after + (r.in("x0")+w+r.in("rr")+0.2)/r.in("v")
}

// Twelve passages: least rear load within 0.2 % of that at rest and gaps within
// 1.5 mm of the stored figures of SciPy and of the rigid-body engine, and of the
// model that made them.
func passages(t *testing.T) {
	for _, r := range motionRows(t, 'P') {
		m, err := r.passage().Compile()
		if err != nil {
			t.Fatal(err)
		}
		c, err := m.At(units.Speed(r.in("v")))
		if err != nil {
			t.Fatal(err)
		}
		rest := r.out("nr_static_n")
		if math.Abs(float64(c.RearAtRest)-rest) > 0.05 {
			t.Errorf("%s: %v at rest, want %v", r.ID, c.RearAtRest, rest)
		}
		for _, by := range []struct{ load, gap, over, pitch string }{
			{"min_fr_n", "max_gap_m", "over", "max_pitch_rad"},
			{"ode_min_fr", "ode_gap", "ode_over", "ode_pitch"}, {"scipy_min_fr", "scipy_gap", "scipy_over", "scipy_pitch"},
		} {
			d := (float64(c.RearLoad.Low) - r.out(by.load)) / rest
			validation.Off(t, 100*d, "% of the load at rest")
			if math.Abs(d) > 0.002 {
				t.Errorf("%s: least load %v, %s %v: %.4f of the load at rest", r.ID, c.RearLoad.Low, by.load, r.out(by.load), d)
			}
			if d := float64(c.Gap.High) - r.out(by.gap); math.Abs(d) > 0.0015 {
				t.Errorf("%s: gap %v, %s %v", r.ID, c.Gap.High, by.gap, r.out(by.gap))
			}
			if d := float64(c.Pitch.High) - r.out(by.pitch); math.Abs(d) > 0.0008 {
				t.Errorf("%s: pitch %v, %s %v", r.ID, c.Pitch.High, by.pitch, r.out(by.pitch))
			}
			if over := c.Status == stability.PassageOver; over != (r.out(by.over) == 1) {
				t.Errorf("%s: %v, %s %v", r.ID, c.Status, by.over, r.out(by.over))
			}
		}
		if lifts := r.out("min_fr_n") == 0; c.Status == stability.PassageWithin == lifts {
			t.Errorf("%s: %v, %v N", r.ID, c.Status, r.out("min_fr_n"))
		}
	}
}

// Twenty machines that stand in no other file, in another formulation: see
// internal/crosscheck/scipy/passage.py. The tolerances are those of the stored
// passages; a gap beyond 10 cm within 2 %.
func otherFormulation(t *testing.T) {
	var doc struct{ Cases []map[string]any }
	readJSON(t, "passage_scipy.json", &doc)
	seen := map[stability.PassageStatus]int{}
	for i, c := range doc.Cases {
		r := motionRow{Inputs: c, Results: c}
		r.Inputs["g"] = 9.80665
		r.Inputs["mode"] = float64(map[any]stability.Drive{"coasting": stability.Coasting, "held": stability.DriveHeld, "brakeRear": stability.BrakeRear}[c["drive"]])
		r.Inputs["kind"] = map[any]string{"box": "box", "rut": "rut", "stepUp": "up", "drop": "drop", "hump": "hump", "level": "flat"}[c["kind"]]
		m, err := r.passage().Compile()
		if err != nil {
			t.Fatal(i, err)
		}
		got := m.Until(r.ends(1.5), units.Speed(r.in("v")))
		rest := r.out("rear_rest")
		over, _ := c["over"].(bool)
		d := (float64(got.RearLoad.Low) - r.out("least")) / rest
		validation.Off(t, 100*d, "% of the load at rest")
		gap := r.out("gap")
		if math.Abs(d) > 0.002 || math.Abs(float64(got.Gap.High)-gap) > max(0.0015, 0.02*gap) ||
			math.Abs(float64(got.Pitch.High)-r.out("pitch")) > max(0.001, 0.02*r.out("pitch")) || (got.Status == stability.PassageOver) != over {
			t.Errorf("case %d, %v %v: least %v of %v, gap %v, pitch %v, %v; SciPy %v, %v, %v, %v",
				i, c["kind"], c["drive"], got.RearLoad.Low, rest, got.Gap.High, got.Pitch.High, got.Status, r.out("least"), gap, r.out("pitch"), over)
		}
		// SciPy's times are known to its steps of at most 4 ms.
		if d := float64(got.Airborne.High) - r.out("air"); math.Abs(d) > 0.01 || got.Airborne.Low != got.Airborne.High {
			t.Errorf("case %d: %v off the ground, SciPy %v", i, got.Airborne, r.out("air"))
		}
		seen[got.Status]++
	}
	if len(doc.Cases) < 12 || seen[stability.PassageOver] < 2 || seen[stability.PassageLifts] < 4 {
		t.Errorf("%d machines: %v", len(doc.Cases), seen)
	}
}

// Whether a machine goes over at 120 pairs of machine and speed, as the model and
// the engine had it. The stored passages end at a fixed time, two of them while
// the rear is high in the air; the library follows those until they are over.
func goesOver(t *testing.T) {
	later := 0
	for _, r := range motionRows(t, 'O') {
		m, err := r.passage().Compile()
		if err != nil {
			t.Fatal(err)
		}
		v := units.Speed(r.in("v"))
		want := r.out("over") == 1
		if want != (r.out("ode_over") == 1) {
			t.Fatal(r.ID)
		}
		if c := m.Until(r.in("tend"), v); (c.Status == stability.PassageOver) != want || math.Abs(float64(c.Balance)+0.1-r.in("qover")) > 1e-8 {
			t.Errorf("%s %s at %v: %v, stored %v", r.ID, r.Inputs["kind"], v, c.Status, want)
		}
		if math.Abs(r.ends(1.5)-r.in("tend")) > 1e-6 {
			t.Errorf("%s: the stored passage ends at %v, not at %v", r.ID, r.in("tend"), r.ends(1.5))
		}
		c, err := m.At(v)
		if err != nil {
			t.Fatal(err)
		}
		switch over := c.Status == stability.PassageOver; {
		case over && !want:
			later++
		case over != want:
			t.Errorf("%s %s at %v: %v, stored %v", r.ID, r.Inputs["kind"], v, c.Status, want)
		}
	}
	if later < 1 || later > 2 {
		t.Errorf("%d machines go over after the stored passage ends", later)
	}
}

// Speeds at which a wheel starts to lift or the machine to go over, within 1 % of
// the stored ones: one percent below it does not happen yet, one above it does.
func thresholds(t *testing.T) {
	for _, r := range motionRows(t, 'S') {
		m, err := r.passage().Compile()
		if err != nil {
			t.Fatal(err)
		}
		s := map[any]stability.PassageStatus{"lift": stability.PassageLifts, "over": stability.PassageOver}[r.Inputs["what"]]
		happens := func(v float64) bool {
			c, err := m.At(units.Speed(v))
			if err != nil || c.Status == stability.PassageNotChecked {
				t.Fatal(c.Status, err)
			}
			return c.Status >= s
		}
		v := r.out("v_ms")
		low, high := 0.99*v, 1.01*v
		if happens(low) || !happens(high) {
			t.Errorf("%s: %v over %v at %v: %v below and %v above", r.ID, r.Inputs["what"], r.Inputs["kind"], v, happens(low), happens(high))
			continue
		}
		for high-low > 1e-6*v {
			if mid := (low + high) / 2; happens(mid) {
				high = mid
			} else {
				low = mid
			}
		}
		validation.Relative(t, high, v)
	}
}

var envelopes = flag.Bool("envelopes", false, "search every stored envelope of a passage, not only its two ends")

// The greatest share of the tipping load below which no speed goes over, on the
// grid of 0.02 of the stored search: within one step. Its passages ended earlier
// than the library's; that they lasted 0.75 s after the way was found by
// comparing, and the library's own are allowed to go over with less.
func envelope(t *testing.T) {
	kinds := map[string]stability.ObstacleKind{"box": stability.ObstacleBox, "rut": stability.ObstacleRut,
		"drop": stability.ObstacleDrop, "hump": stability.ObstacleHump}
	lower := 0
	rows := motionRows(t, 'E')
	for _, r := range rows {
		at := func(share float64) *stability.PassageModel {
			p := tableMachine(t, r.Inputs["machine"].(string), r.Inputs["height"].(string), share)
			p.Obstacle = stability.Obstacle{Kind: kinds[r.Inputs["obstacle"].(string)], Height: units.Length(r.in("h")), Length: units.Length(r.in("w"))}
			m, err := p.Compile()
			if err != nil {
				t.Fatal(err)
			}
			return m
		}
		over := func(share float64) bool {
			m := at(share)
			p := m.Passage()
			way := float64(p.Wheelbase+p.Front.Radius+0.8+p.Obstacle.Length+p.Rear.Radius) + 0.2
			for v := 1.0; v <= r.in("v_max_kmh")+1e-9; v += 0.5 {
				if m.Until(0.75+way/v*3.6, units.Speed(v/3.6)).Status == stability.PassageOver {
					return true
				}
			}
			return false
		}
		want := r.out("share_below_which_none_goes_over")
		if *envelopes {
			got := 1.0
			for s := 0.10; s < 0.95; s += 0.02 {
				if over(s) {
					got = s - 0.02
					break
				}
			}
			if math.Abs(got-want) > 0.0201 {
				t.Errorf("%v: %v, want %v", r.Inputs, got, want)
			}
			l, err := at(0.5).LoadLimit(t.Context(), units.Speed(r.in("v_max_kmh")/3.6), stability.PassageOver)
			if err != nil {
				t.Fatal(err)
			}
			if share := float64(l.Load / at(0.5).TippingLoad()); share > got+0.0201 && l.Found {
				t.Errorf("%v: the library has %v, more than %v", r.Inputs, share, got)
			} else if share < got-0.0201 {
				lower++
				t.Logf("%v: the library has %.2f, the earlier end %.2f", r.Inputs, share, got)
			}
			continue
		}
		if testing.Short() {
			continue
		}
		if want-0.02 >= 0.1 && over(min(want-0.02, 0.94)) || want+0.04 < 0.95 && !over(want+0.02) && !over(want+0.04) {
			t.Errorf("%v: not %v", r.Inputs, want)
		}
	}
	if len(rows) != 64 || lower > 15 {
		t.Errorf("%d rows, %d lower", len(rows), lower)
	}
}

// Braking on all wheels by a step: the deceleration at which the rear lifts, as a
// share of the static g (L - x)/z, within the first second. Without damping the
// two modes beat, and lift it later at less.
func brakeStep(t *testing.T) {
	for _, r := range motionRows(t, 'C') {
		if r.ID != "C4" {
			continue
		}
		for _, name := range []string{"compact", "utility"} {
			for i, d := range r.Inputs["damping"].([]any) {
				p := tableMachine(t, name, "level", 0.5)
				p.Damping, p.Drive, p.Friction = units.Is(units.Fraction(d.(float64))), stability.BrakeAll, 5
				mass := float64(p.Machine.Mass + p.Load.Mass)
				x := float64(p.Machine.Mass)*float64(p.Machine.CG.X) + float64(p.Load.Mass)*float64(p.Load.CG.X)
				z := float64(p.Machine.Mass)*float64(p.Machine.CG.Z) + float64(p.Load.Mass)*float64(p.Load.CG.Z)
				static := 9.81 * (float64(p.Wheelbase)*mass - x) / z
				low, high := 0.3, 1.0
				for high-low > 1e-5 {
					mid := (low + high) / 2
					p.Deceleration = units.Acceleration(mid * static)
					m, err := p.Compile()
					if err != nil {
						t.Fatal(err)
					}
					if m.Until(1, 6).RearLoad.Low == 0 {
						high = mid
					} else {
						low = mid
					}
				}
				want := r.Results[name].([]any)[i].(float64)
				validation.Off(t, high-want, "of the static deceleration")
				if math.Abs(high-want) > 1.5e-4 {
					t.Errorf("%s damped %v: %v, want %v", name, d, high, want)
				}
			}
		}
	}
}

// Without damping and drive the energy stays what it was: 1e-3 J in 5e4.
func TestPassageEnergy(t *testing.T) {
	p := tableMachine(t, "utility", "level", 0.5)
	p.Damping, p.Drive = units.Is[units.Fraction](0), stability.Coasting
	for _, o := range []stability.Obstacle{
		{Kind: stability.ObstacleBox, Height: 0.1, Length: 0.4}, {Kind: stability.ObstacleRut, Height: 0.1, Length: 0.6},
		{Kind: stability.ObstacleDrop, Height: 0.1}, {Kind: stability.ObstacleHump, Height: 0.1, Length: 0.6},
	} {
		p.Obstacle = o
		m, err := p.Compile()
		if err != nil {
			t.Fatal(err)
		}
		change, start := m.Energy(2, 1e-12)
		t.Logf("%v: %.2g J of %.0f", o.Kind, change, start)
		if change > 1e-3 || start < 3e4 {
			t.Errorf("%v: changes by %v J of %v", o.Kind, change, start)
		}
	}
}
