package stability_test

import (
	"math"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// closedPassage is the machine of the C rows with a half-sine bump.
func (r *motionRow) closedPassage() stability.Passage {
	q := motionRow{Inputs: map[string]any{}}
	for k, v := range r.Inputs {
		q.Inputs[k] = v
	}
	q.Inputs["kind"], q.Inputs["mode"], q.Inputs["mu"], q.Inputs["tau"] = "flat", 0.0, 0.8, 0.03
	p := q.passage()
	p.Obstacle = stability.Obstacle{Kind: stability.ObstacleHalfSine, Height: units.Length(r.in("h")), Length: units.Length(r.in("w"))}
	p.Damping = units.Is[units.Fraction](0)
	return p
}

// The closed forms of a half-sine bump, with one axle (inertia m a b, so that the
// axles do not know of each other) and with two modes, to the digits printed;
// and the followed motion to 1e-4 of the static load.
func closedBumps(t *testing.T) {
	n := 0
	for _, r := range motionRows(t, 'C') {
		if r.ID != "C1" && r.ID != "C2" {
			continue
		}
		n++
		p := r.closedPassage()
		m, err := p.Compile()
		if err != nil {
			t.Fatal(err)
		}
		v := units.Speed(r.in("v"))
		got, err := m.RearOnHalfSine(v)
		if err != nil {
			t.Fatal(err)
		}
		want := r.out("closed_n")
		validation.Relative(t, float64(got.Low), want)
		if math.Abs(float64(got.Low)-want) > 1e-5 || got.Low != got.High {
			t.Errorf("%s at %v m/s: closed %.6f, want %.6f", r.ID, float64(v), float64(got.Low), want)
		}
		c := m.HeldAt(v)
		if d := (float64(c.RearLoad.Low) - r.out("min_fr_n")) / float64(c.RearAtRest); math.Abs(d) > 1e-4 {
			t.Errorf("%s at %v m/s: followed %.4f, want %.4f, off by %.2g of the load at rest", r.ID, float64(v), float64(c.RearLoad.Low), r.out("min_fr_n"), d)
		}
		if r.ID == "C1" {
			// One axle alone, by the response spectrum.
			mass := float64(p.Machine.Mass) * (1 - float64(p.Machine.CG.X/p.Wheelbase))
			ratio := math.Pi * float64(v) / r.in("w") / math.Sqrt(r.in("kr")/mass)
			b, err := stability.Rebound(units.Fraction(ratio))
			if err != nil {
				t.Fatal(err)
			}
			if n := mass*9.81 - r.in("kr")*r.in("h")*float64(b); math.Abs(n-want) > 1e-5 {
				t.Errorf("%s at %v m/s: by the spectrum %.6f, want %.6f", r.ID, float64(v), n, want)
			}
		}
	}
	if n != 10 {
		t.Errorf("%d rows", n)
	}
}

// Figures computed for this by hand from the response spectrum: at r = 1/3 nothing remains after the bump
// and the extension on it is 0.50 h; the greatest is 1.716 h at r = 0.732.
func TestRebound(t *testing.T) {
	if b, err := stability.Rebound(units.Fraction(1.0 / 3)); err != nil || math.Abs(float64(b)-0.50) > 0.005 {
		t.Errorf("%v, %v", b, err)
	}
	var best, at float64
	for r := 0.3; r < 3; r += 0.001 {
		b, err := stability.Rebound(units.Fraction(r))
		if err != nil {
			t.Fatal(err)
		}
		if float64(b) > best {
			best, at = float64(b), r
		}
	}
	if math.Abs(best-1.716) > 5e-4 || math.Abs(at-0.732) > 1.5e-3 {
		t.Errorf("worst %v at %v", best, at)
	}
	if d := best - float64(stability.WorstRebound); d > 1e-4 || d < -1e-4 {
		t.Errorf("WorstRebound is off by %v", d)
	}
	for _, bad := range []float64{0, -1, 0.009, 101, math.NaN()} {
		if _, err := stability.Rebound(units.Fraction(bad)); err == nil {
			t.Errorf("%v passes", bad)
		}
	}
}

// tableMachine is a machine of the M rows with a share of its tipping load.
func tableMachine(t testing.TB, name, height string, share float64) stability.Passage {
	t.Helper()
	for _, r := range motionRows(t, 'M') {
		if r.Inputs["machine"] != name || r.Inputs["height"] != height {
			continue
		}
		q := motionRow{Inputs: r.Results}
		q.Inputs["kind"], q.Inputs["g"], q.Inputs["mu"], q.Inputs["tau"] = "flat", 9.81, 0.8, 0.03
		p := q.passage()
		load := units.Mass(share * r.out("tip"))
		p.Load.Inertia.YY *= units.Inertia(load / p.Load.Mass)
		p.Load.Mass = load
		p.Drive = stability.DriveHeld
		return p
	}
	t.Fatal(name)
	return stability.Passage{}
}

// The closed lower bound of the speed that goes over a curb, printed with two
// decimals in km/h. The motion followed against a wall stays above it.
func stoppedDead(t *testing.T) {
	for _, r := range motionRows(t, 'C') {
		if r.ID != "C5" {
			continue
		}
		for _, name := range []string{"compact", "utility"} {
			shares := r.Inputs[name].([]any)
			for i, share := range shares {
				p := tableMachine(t, name, "level", share.(float64))
				m, err := p.Compile()
				if err != nil {
					t.Fatal(err)
				}
				got := float64(m.StoppedDead().Low) * 3.6
				want := r.Results["bound_"+name].([]any)[i].(float64)
				validation.Off(t, got-want, "km/h")
				if math.Abs(got-want) > 0.00501 {
					t.Errorf("%s %v: %v, want %v km/h", name, share, got, want)
				}
			}
		}
	}
}

// The stated forms, written once more from the sketch: angular momentum m v z
// about the contact, and the rise of the center of gravity to above it.
func TestStoppedDead(t *testing.T) {
	p := tableMachine(t, "utility", "level", 0.6)
	m, err := p.Compile()
	if err != nil {
		t.Fatal(err)
	}
	v := float64(m.StoppedDead().Low)
	mb, ml := float64(p.Machine.Mass), float64(p.Load.Mass)
	d := (mb*float64(p.Wheelbase-p.Machine.CG.X) + ml*float64(p.Wheelbase-p.Load.CG.X)) / (mb + ml)
	z := (mb*float64(p.Machine.CG.Z) + ml*float64(p.Load.CG.Z)) / (mb + ml)
	about := func(m, i, x, z float64) float64 { return i + m*(x*x+z*z) }
	inertia := about(mb, float64(p.Machine.Inertia.YY), float64(p.Wheelbase-p.Machine.CG.X), float64(p.Machine.CG.Z)) +
		about(ml, float64(p.Load.Inertia.YY), float64(p.Wheelbase-p.Load.CG.X), float64(p.Load.CG.Z))
	spin := (mb + ml) * v * z / inertia
	if kinetic, climb := inertia*spin*spin/2, (mb+ml)*9.81*(math.Hypot(d, z)-z); math.Abs(kinetic/climb-1) > 1e-9 {
		t.Errorf("kinetic %v, climb %v", kinetic, climb)
	}
	// Followed against a wall the machine needs more than the bound, and less than
	// one and a half times as much.
	p.Drive, p.Obstacle = stability.Coasting, stability.Obstacle{Kind: stability.ObstacleStepUp, Height: 1}
	if m, err = p.Compile(); err != nil {
		t.Fatal(err)
	}
	for f, over := range map[float64]bool{1: false, 1.5: true} {
		c, err := m.At(units.Speed(f * v))
		if err != nil || (c.Status == stability.PassageOver) != over {
			t.Errorf("against a wall at %v of the bound: %v, %v", f, c.Status, err)
		}
	}
	p.Load.Mass = 1.01 * m.TippingLoad()
	if m, err = p.Compile(); err != nil || m.StoppedDead().High != 0 {
		t.Errorf("beyond the tipping load: %v, %v", m.StoppedDead(), err)
	}
}

// The stored speeds at which a wall turns a machine over are 2 to 7 % above those of the
// library, which follows a machine with its rear in the air until it is over or back on
// the ground. Cut off 0.7 s after the wall, the same motion is not over yet; 1.5 percent
// below the stored speed it goes over all the same, so the lower speeds are right.
func TestWallFollowed(t *testing.T) {
	seen := 0
	for _, r := range motionRows(t, 'C') {
		if r.ID != "C5" {
			continue
		}
		for _, name := range []string{"compact", "utility"} {
			for i, share := range r.Inputs[name].([]any) {
				p := tableMachine(t, name, "level", share.(float64))
				p.Drive, p.Obstacle = stability.Coasting, stability.Obstacle{Kind: stability.ObstacleStepUp, Height: 1}
				m, err := p.Compile()
				if err != nil {
					t.Fatal(err)
				}
				v := 0.985 * r.Results["model_"+name].([]any)[i].(float64) / 3.6
				c, err := m.At(units.Speed(v))
				if err != nil || c.Status != stability.PassageOver || c.Pitch.High < c.Balance+0.1 {
					t.Errorf("%s %v: %v, pitch %v of %v, %v", name, share, c.Status, c.Pitch.High, c.Balance, err)
				}
				if cut := m.Until(0.8/v+0.7, units.Speed(v)); cut.Status == stability.PassageOver {
					t.Errorf("%s %v: over within 0.7 s", name, share)
				}
				seen++
			}
		}
	}
	if seen != 6 {
		t.Error(seen)
	}
}

// v to 0: the load with the front wheels on the crest, statics with the tires'
// squat, and what the followed motion has at 0.02 m/s.
func crawl(t *testing.T) {
	for _, r := range motionRows(t, 'C') {
		if r.ID != "C7" {
			continue
		}
		p := tableMachine(t, "utility", "level", 0.6)
		p.Damping = units.Is[units.Fraction](0.3)
		p.Obstacle = stability.Obstacle{Kind: stability.ObstacleHump, Height: 0.05, Length: 1.2}
		p.Response, p.Friction = 0.01, 2
		m, err := p.Compile()
		if err != nil {
			t.Fatal(err)
		}
		flat, err := m.Crawl(0, 0)
		if err != nil {
			t.Fatal(err)
		}
		if want := r.out("flat"); math.Abs(float64(flat.Low)-want) > 0.051 {
			t.Errorf("flat %v, want %v", flat, want)
		}
		n, err := m.Crawl(0.05, 0)
		if err != nil {
			t.Fatal(err)
		}
		want := r.Results["static"].([]any)[3].(float64)
		validation.Relative(t, float64(n.Low), want)
		if math.Abs(float64(n.Low)-want) > 0.15 {
			t.Errorf("on the crest %v, want %v", n, want)
		}
		for i, v := range r.Inputs["v"].([]any) {
			got := m.LoadOverCrest(v.(float64))
			want := r.Results["model"].([]any)[i].(float64)
			if math.Abs(got-want) > 1 { // of 6727 N; the stored model and this one step differently at this pace
				t.Errorf("at %v m/s: %v, want %v", v, got, want)
			}
		}
	}
}

// The same balance from the sketch: the moments about the front contact vanish.
func TestCrawl(t *testing.T) {
	p := tableMachine(t, "compact", "carry", 0.4)
	m, err := p.Compile()
	if err != nil {
		t.Fatal(err)
	}
	zero, err := m.Crawl(0, 0)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range [][2]float64{{0.1, 0}, {0, 0.1}, {-0.2, 0}, {0, -0.2}, {0.3, 0.3}} {
		n, err := m.Crawl(units.Length(c[0]), units.Length(c[1]))
		if err != nil {
			t.Fatal(err)
		}
		// Front up or rear down loads the rear axle.
		if up := c[0] - c[1]; up > 0 && !(n.Low > zero.Low) || up < 0 && !(n.Low < zero.Low) || up == 0 && math.Abs(float64(n.Low-zero.Low)) > 1e-6 {
			t.Errorf("%v: %v, level %v", c, n, zero)
		}
	}
	for _, bad := range []float64{1.1, -1.1, math.NaN()} {
		if _, err := m.Crawl(units.Length(bad), 0); err == nil {
			t.Errorf("%v passes", bad)
		}
	}
}

// On random ground the spread of the followed rear load is that of the spectrum,
// over many grounds; and a class rougher is twice as much.
func TestRandomGround(t *testing.T) {
	p := tableMachine(t, "utility", "carry", 0.4)
	p.Obstacle = stability.Obstacle{Kind: stability.ObstacleRandom, Length: 120, Class: stability.GroundA}
	var sum, want float64
	const grounds = 12
	for seed := range uint64(grounds) {
		p.Obstacle.Seed = seed
		m, err := p.Compile()
		if err != nil {
			t.Fatal(err)
		}
		s, err := m.RearOnRandomGround(3)
		if err != nil {
			t.Fatal(err)
		}
		want = float64(s.Low)
		sum += m.SpreadAt(3)
	}
	got := math.Sqrt(sum / grounds)
	t.Logf("followed %.1f N, by the spectrum %.1f N", got, want)
	if math.Abs(got/want-1) > 0.06 {
		t.Errorf("followed %v, by the spectrum %v", got, want)
	}
	p.Obstacle.Class = stability.GroundB
	m, err := p.Compile()
	if err != nil {
		t.Fatal(err)
	}
	if s, err := m.RearOnRandomGround(3); err != nil || math.Abs(float64(s.Low)/want/2-1) > 1e-9 {
		t.Errorf("class B %v, class A %v; %v", s, want, err)
	}
	a, err := m.At(3)
	if err != nil {
		t.Fatal(err)
	}
	p.Obstacle.Seed++
	if m, err = p.Compile(); err != nil {
		t.Fatal(err)
	}
	if b, err := m.At(3); err != nil || a == b {
		t.Errorf("another seed: %+v, %v", b, err)
	}
}
