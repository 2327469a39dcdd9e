package stability_test

import (
	"context"
	"encoding/json"
	"errors"
	"math"
	"math/rand/v2"
	"reflect"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// loosePassage is a random passage of which stiffness, damping and inertia may be
// ranges or left out.
func loosePassage(r *rand.Rand) stability.Passage {
	in := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	l := units.Length(in(1.5, 2.4))
	p := stability.Passage{
		Machine:   stability.Body{Mass: units.Mass(in(900, 4000)), CG: stability.Point{X: l * units.Length(in(0.35, 0.5)), Z: units.Length(in(0.6, 1))}},
		Load:      stability.Part{CG: stability.Point{X: l + units.Length(in(0.9, 1.6)), Z: units.Length(in(0.4, 1.6))}},
		Wheelbase: l, Rear: stability.Tires{Radius: units.Length(in(0.45, 0.75))}, Front: stability.Tires{Radius: units.Length(in(0.3, 0.5))},
	}
	p.Load.Mass = p.Machine.Mass * units.Mass((p.Wheelbase-p.Machine.CG.X)/(p.Load.CG.X-p.Wheelbase)) * units.Mass(in(0.1, 0.9))
	switch r.IntN(6) {
	case 0:
		p.Obstacle = stability.Obstacle{Kind: stability.ObstacleBox, Height: units.Length(in(0.01, 0.15)), Length: units.Length(in(0.1, 0.6))}
	case 1:
		p.Obstacle = stability.Obstacle{Kind: stability.ObstacleRut, Height: units.Length(in(0.01, 0.15)), Length: units.Length(in(0.2, 0.8))}
	case 2:
		p.Obstacle = stability.Obstacle{Kind: stability.ObstacleHump, Height: units.Length(in(0.01, 0.1)), Length: units.Length(in(0.4, 1))}
	case 3:
		p.Obstacle = stability.Obstacle{Kind: stability.ObstacleDrop, Height: units.Length(in(0.01, 0.15))}
	case 4:
		p.Obstacle = stability.Obstacle{Kind: stability.ObstacleStepUp, Height: units.Length(in(0.01, 0.12))}
	default:
		p.Obstacle = stability.Obstacle{Kind: stability.ObstacleHalfSine, Height: units.Length(in(0.005, 0.05)), Length: units.Length(in(0.4, 1.5))}
	}
	p.Drive = stability.Drive(r.IntN(2))
	return p
}

// single puts values for what a passage leaves open.
func single(r *rand.Rand, p stability.Passage) stability.Passage {
	in := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	share := float64(p.Machine.CG.X / p.Wheelbase)
	k := func(mass float64) units.Input[units.Stiffness] {
		return units.Is(units.Stiffness(mass * math.Pow(2*math.Pi*in(2.5, 3.5), 2)))
	}
	p.Rear.Stiffness, p.Front.Stiffness = k(float64(p.Machine.Mass)*(1-share)), k(float64(p.Machine.Mass)*share)
	p.Damping = units.Is(units.Fraction(in(0.03, 0.2)))
	b := stability.EstimatePitchInertia(p.Machine.Mass, p.Wheelbase)
	p.PitchInertia = units.Is(b.Low + (b.High-b.Low)*units.Inertia(r.Float64()))
	return p
}

// Equal questions have equal answers, alone and in a scan, on every run, and every
// figure is a number with its ends in order. A passage without ranges has one
// machine, so its ends are equal.
func TestPassageRepeats(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 1))
	seen := map[stability.PassageStatus]int{}
	for range 30 {
		loose := loosePassage(r)
		one := single(r, loose)
		for i, p := range []stability.Passage{loose, one} {
			m, err := p.Compile()
			if err != nil {
				t.Fatalf("%+v: %v", p, err)
			}
			again, err := p.Compile()
			if err != nil {
				t.Fatal(err)
			}
			points := make([]stability.PassagePoint, 3)
			if err := again.Scan(context.Background(), points, 0.5, 2.5); err != nil {
				t.Fatal(err)
			}
			for _, q := range points {
				c, err := m.At(q.Speed)
				if err != nil || c != q.Crossing {
					t.Fatalf("%+v alone, %+v in a scan; %v", c, q.Crossing, err)
				}
				seen[c.Status]++
				for _, e := range [][2]float64{
					{float64(c.RearLoad.Low), float64(c.RearLoad.High)}, {float64(c.Gap.Low), float64(c.Gap.High)},
					{float64(c.Airborne.Low), float64(c.Airborne.High)}, {float64(c.Pitch.Low), float64(c.Pitch.High)},
				} {
					if !(e[0] <= e[1]) || math.IsInf(e[1]-e[0], 0) || i == 1 && e[0] != e[1] {
						t.Fatalf("%+v: %+v", p, c)
					}
				}
				if c.RearLoad.High > c.RearAtRest*1.0001 || c.RearLoad.Low < 0 || c.Airborne.Low < 0 {
					t.Errorf("%+v", c)
				}
				if lifts := c.RearLoad.Low == 0; c.Status == stability.PassageWithin && (lifts || c.Airborne.High > 0) {
					t.Errorf("within, and %+v", c)
				}
				if !c.Cautions.Has(stability.PassageCautions) || c.Notes.Has(stability.NotePracticeRange) == false {
					t.Errorf("%v, %v", c.Cautions, c.Notes)
				}
			}
		}
	}
	if seen[stability.PassageWithin] == 0 || seen[stability.PassageLifts] == 0 || seen[stability.PassageOver] == 0 {
		t.Errorf("%v", seen)
	}
	t.Log(seen)
}

// A wider range holds the answer of a narrower one where its machines are among
// those of the wider: widened to nothing less than what was there.
func TestPassageCornersWiden(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 2))
	for range 25 {
		p := single(r, loosePassage(r))
		narrow, err := p.Compile()
		if err != nil {
			t.Fatal(err)
		}
		was, err := narrow.At(1.5)
		if err != nil {
			t.Fatal(err)
		}
		p.Damping = units.Between(p.Damping.Value(), 1.5*p.Damping.Value())
		p.Rear.Stiffness = units.Between(p.Rear.Stiffness.Value(), 1.2*p.Rear.Stiffness.Value())
		wide, err := p.Compile()
		if err != nil {
			t.Fatal(err)
		}
		is, err := wide.At(1.5)
		if err != nil {
			t.Fatal(err)
		}
		// The corner with the low ends is not the same machine in damping, which
		// refers to the stiffness, but every corner with the low damping counts.
		if is.Pitch.High < was.Pitch.Low || is.RearLoad.Low > is.RearLoad.High {
			t.Errorf("%+v, wider %+v", was, is)
		}
		if is.Status == stability.PassageWithin && was.Status == stability.PassageOver {
			t.Errorf("%v, wider %v", was.Status, is.Status)
		}
	}
}

// A machine that is moved as a whole in size behaves alike: lengths by s, speeds by
// the root of s, stiffness by s^2, masses by s^3.
func TestPassageSimilarity(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 3))
	for range 25 {
		p := single(r, loosePassage(r))
		p.Drive = stability.Coasting
		p.Obstacle.Height = min(p.Obstacle.Height, 0.06)
		const s = 1.1
		q := p
		for _, l := range []*units.Length{&q.Machine.CG.X, &q.Machine.CG.Z, &q.Load.CG.X, &q.Load.CG.Z, &q.Wheelbase, &q.Rear.Radius, &q.Front.Radius, &q.Obstacle.Height, &q.Obstacle.Length} {
			*l *= s
		}
		q.Machine.Mass *= s * s * s
		q.Load.Mass *= s * s * s
		q.PitchInertia = units.Is(q.PitchInertia.Value() * s * s * s * s * s)
		q.Rear.Stiffness = units.Is(q.Rear.Stiffness.Value() * s * s)
		q.Front.Stiffness = units.Is(q.Front.Stiffness.Value() * s * s)
		a, err := p.Compile()
		if err != nil {
			t.Fatal(err)
		}
		b, err := q.Compile()
		if err != nil {
			t.Fatal(err)
		}
		v := units.Speed(0.8 + r.Float64())
		one, err := a.At(v)
		if err != nil {
			t.Fatal(err)
		}
		two, err := b.At(v * units.Speed(math.Sqrt(s)))
		if err != nil {
			t.Fatal(err)
		}
		if one.Status == stability.PassageWithin && (two.Status != one.Status || math.Abs(float64(two.RearLoad.Low/one.RearLoad.Low)/(s*s*s)-1) > 0.02) {
			t.Errorf("%+v\n%+v: %v, %v", p.Obstacle, v, one, two)
		}
	}
}

// What was read back is what was written, and what is wrong is named by its path.
func TestPassageFields(t *testing.T) {
	good := tableMachine(t, "compact", "carry", 0.5)
	good.Obstacle = stability.Obstacle{Kind: stability.ObstacleRut, Height: 0.1, Length: 0.5}
	b, err := json.Marshal(good)
	if err != nil {
		t.Fatal(err)
	}
	var back stability.Passage
	if err := json.Unmarshal(b, &back); err != nil || !reflect.DeepEqual(back, good) {
		t.Errorf("%s: %+v, %v", b, back, err)
	}
	for path, set := range map[string]func(*stability.Passage){
		"obstacle.kind":       func(p *stability.Passage) { p.Obstacle.Kind = 0 },
		"obstacle.height":     func(p *stability.Passage) { p.Obstacle.Height = 0 },
		"obstacle.length":     func(p *stability.Passage) { p.Obstacle.Length = units.Length(math.NaN()) },
		"obstacle.class":      func(p *stability.Passage) { p.Obstacle.Class = stability.GroundC },
		"machine.mass":        func(p *stability.Passage) { p.Machine.Mass = 0 },
		"machine.cg.x":        func(p *stability.Passage) { p.Machine.CG.X = 3 },
		"machine.cg.z":        func(p *stability.Passage) { p.Machine.CG.Z = 0 },
		"load.cg.x":           func(p *stability.Passage) { p.Load.CG.X = 1 },
		"load.cg.z":           func(p *stability.Passage) { p.Load.CG.Z = -1 },
		"wheelbase":           func(p *stability.Passage) { p.Wheelbase = 72 },
		"rear.radius":         func(p *stability.Passage) { p.Rear.Radius = 0 },
		"front.stiffness":     func(p *stability.Passage) { p.Front.Stiffness = units.None[units.Stiffness]() },
		"rear.stiffness.high": func(p *stability.Passage) { p.Rear.Stiffness = units.Between[units.Stiffness](3e5, 2e5) },
		"damping":             func(p *stability.Passage) { p.Damping = units.Is[units.Fraction](1.1) },
		"pitchInertia":        func(p *stability.Passage) { p.PitchInertia = units.None[units.Inertia]() },
		"drive":               func(p *stability.Passage) { p.Drive = 9 },
		"response":            func(p *stability.Passage) { p.Response = 11 },
		"deceleration":        func(p *stability.Passage) { p.Drive = stability.BrakeAll },
		"friction":            func(p *stability.Passage) { p.Friction = 6 },
		"gravity":             func(p *stability.Passage) { p.Gravity = -1 },
	} {
		p := good
		set(&p)
		if got := fieldPaths(p.Validate()); len(got) != 1 || got[0] != path {
			t.Errorf("%s: %v", path, p.Validate())
		}
		if m, err := p.Compile(); err == nil || m != nil {
			t.Errorf("%s compiles", path)
		}
	}
	m, err := good.Compile()
	if err != nil {
		t.Fatal(err)
	}
	for _, v := range []units.Speed{0, 0.04, 16, units.Speed(math.NaN()), units.Speed(math.Inf(1))} {
		if _, err := m.At(v); err == nil {
			t.Errorf("%v passes", v)
		}
	}
	if err := m.Scan(context.Background(), nil, 2, 1); err == nil {
		t.Error("a scan backward passes")
	}
	if _, err := m.RearOnHalfSine(1); err == nil {
		t.Error("a rut passes as a half sine")
	}
	if _, err := m.LoadLimit(t.Context(), 0.1, stability.PassageOver); err == nil {
		t.Error("a limit below 1 km/h passes")
	}
	if _, err := m.LoadLimit(t.Context(), 2, stability.PassageWithin); err == nil {
		t.Error("a search for nothing passes")
	}
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := m.LoadLimit(ctx, 2, stability.PassageOver); !errors.Is(err, context.Canceled) {
		t.Errorf("canceled: %v", err)
	}
}

// A lift comes with no more load than going over does, and a higher limit of speed
// never allows more.
func TestLoadLimitOrder(t *testing.T) {
	p := tableMachine(t, "compact", "level", 0.5)
	p.Obstacle = stability.Obstacle{Kind: stability.ObstacleRut, Height: 0.1, Length: 0.5}
	m, err := p.Compile()
	if err != nil {
		t.Fatal(err)
	}
	var last stability.LoadLimit
	for i, v := range []units.Speed{2 * units.KilometerPerHour, 5 * units.KilometerPerHour, 9 * units.KilometerPerHour} {
		over, err := m.LoadLimit(t.Context(), v, stability.PassageOver)
		if err != nil {
			t.Fatal(err)
		}
		lifts, err := m.LoadLimit(t.Context(), v, stability.PassageLifts)
		if err != nil {
			t.Fatal(err)
		}
		if lifts.Load > over.Load || i > 0 && over.Load > last.Load {
			t.Errorf("up to %v: lifts %+v, over %+v, slower %+v", v, lifts, over, last)
		}
		if over.Load > 0 && math.Abs(float64(over.Factor)*float64(over.Load)/float64(m.TippingLoad())-1) > 1e-12 {
			t.Errorf("%+v", over)
		}
		last = over
	}
}

// Islands are the runs of points that are bad enough.
func TestIslands(t *testing.T) {
	at := func(v float64, s stability.PassageStatus) stability.PassagePoint {
		return stability.PassagePoint{Speed: units.Speed(v), Crossing: stability.Crossing{Status: s}}
	}
	got := stability.Islands([]stability.PassagePoint{
		at(1, stability.PassageOver), at(2, stability.PassageWithin), at(3, stability.PassageOver), at(4, stability.PassageOver),
		at(5, stability.PassageLifts), at(6, stability.PassageNotChecked),
	}, stability.PassageOver)
	want := []units.Range[units.Speed]{{Low: 1, High: 1}, {Low: 3, High: 4}, {Low: 6, High: 6}}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%v, want %v", got, want)
	}
}

// What is compiled allocates nothing.
func TestPassageAllocates(t *testing.T) {
	p := tableMachine(t, "compact", "carry", 0.5)
	p.Obstacle = stability.Obstacle{Kind: stability.ObstacleBox, Height: 0.05, Length: 0.3}
	m, err := p.Compile()
	if err != nil {
		t.Fatal(err)
	}
	points := make([]stability.PassagePoint, 3)
	if n := testing.AllocsPerRun(5, func() {
		if _, err := m.At(1.5); err != nil {
			t.Fatal(err)
		}
		if err := m.Scan(context.Background(), points, 1, 2); err != nil {
			t.Fatal(err)
		}
		m.StoppedDead()
	}); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// Passages with figures from anywhere neither panic nor hang, and give numbers.
func FuzzPassage(f *testing.F) {
	f.Add(1500.0, 0.8, 0.7, 300.0, 2.6, 1.0, 2.0, 0.6, 0.4, 3e5, 0.1, uint8(2), 0.1, 0.3, uint8(1), 1.5)
	f.Add(900.0, 0.1, 2.0, 0.0, 0.0, 0.0, 0.5, 0.1, 1.5, 2e4, 0.0, uint8(5), 1.0, 2.0, uint8(0), 0.05)
	f.Fuzz(func(t *testing.T, mb, x, z, ml, xl, zl, l, rr, rf, k, d float64, kind uint8, h, w float64, drive uint8, v float64) {
		p := stability.Passage{
			Machine: stability.Body{Mass: units.Mass(mb), CG: stability.Point{X: units.Length(x), Z: units.Length(z)}},
			Load:    stability.Part{Mass: units.Mass(ml), CG: stability.Point{X: units.Length(xl), Z: units.Length(zl)}}, Wheelbase: units.Length(l),
			Rear:  stability.Tires{Radius: units.Length(rr), Stiffness: units.Is(units.Stiffness(k))},
			Front: stability.Tires{Radius: units.Length(rf), Stiffness: units.Is(units.Stiffness(k))}, Damping: units.Is(units.Fraction(d)),
			PitchInertia: units.Is[units.Inertia](1000),
			Obstacle:     stability.Obstacle{Kind: stability.ObstacleKind(kind % 10), Height: units.Length(h), Length: units.Length(w)}, Drive: stability.Drive(drive % 5),
		}
		if p.Drive >= stability.BrakeRear {
			p.Deceleration = 3
		}
		m, err := p.Compile()
		if err != nil {
			return
		}
		c, err := m.At(units.Speed(v))
		if err != nil {
			return
		}
		for _, x := range []float64{float64(c.RearLoad.Low), float64(c.Gap.High), float64(c.Airborne.High), float64(c.Pitch.High), float64(c.Balance), float64(m.StoppedDead().High)} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%+v: %+v", p, c)
			}
		}
	})
}

func BenchmarkPassage(b *testing.B) {
	p := tableMachine(b, "compact", "carry", 0.5)
	p.Obstacle = stability.Obstacle{Kind: stability.ObstacleBox, Height: 0.05, Length: 0.3}
	m, err := p.Compile()
	if err != nil {
		b.Fatal(err)
	}
	b.Run("one", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := m.At(1.5); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("scan of 40", func(b *testing.B) {
		b.ReportAllocs()
		points := make([]stability.PassagePoint, 40)
		for b.Loop() {
			if err := m.Scan(context.Background(), points, 0.3, 5); err != nil {
				b.Fatal(err)
			}
		}
	})
	b.Run("crawl", func(b *testing.B) {
		b.ReportAllocs()
		for b.Loop() {
			if _, err := m.Crawl(0.05, 0); err != nil {
				b.Fatal(err)
			}
		}
	})
}
