package stability_test

import (
	"context"
	"math"
	"slices"
	"testing"

	"example.com/steelyard/internal/validation"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// rollPassage is the roll passage of a row: downhill is on the left.
func (r *motionRow) rollPassage() stability.RollPassage {
	l := func(name string) units.Length { return units.Length(r.in(name)) }
	kind := []stability.ObstacleKind{stability.ObstacleHalfSine, stability.ObstacleBox, stability.ObstacleRut}[int(r.in("kind"))]
	in := func(name string) units.Inertia { return units.Inertia(r.in(name)) }
	wheels := []stability.PassageWheels{stability.PassRearLeft, stability.PassRearRight, stability.PassLeft, stability.PassRight}[int(r.in("wheel"))]
	kr, kf, m := 2*r.in("kr"), 2*r.in("kf"), r.in("m")
	return stability.RollPassage{
		Vehicle: stability.Vehicle{
			Body: stability.Body{Mass: units.Mass(m), CG: stability.Point{X: l("x"), Y: l("y"), Z: l("z")}, Inertia: stability.Inertia{XX: in("Ix"), YY: in("Iy"), ZZ: in("Iz")}},
			Undercarriage: stability.Undercarriage{
				Kind: stability.PivotingFront, Wheelbase: l("L"), RearTrack: l("T"), FrontTrack: l("Tf"),
				PinHeight: l("p"), StopAngle: units.Angle(r.in("stop")),
			},
			Gravity: units.Acceleration(r.in("g")),
		},
		Rear:     stability.Tires{Radius: l("Rw"), Stiffness: units.Is(units.Stiffness(kr))},
		Front:    stability.Tires{Radius: l("Rw"), Stiffness: units.Is(units.Stiffness(kf))},
		Damping:  units.Is(units.Fraction(r.in("cr") / r.in("kr") / 2 * math.Sqrt((kr+kf)/m))),
		Obstacle: stability.Obstacle{Kind: kind, Height: l("h"), Length: l("w")},
		Wheels:   wheels, Differential: stability.DifferentialLocked, Slope: units.Angle(r.in("beta")).Slope(), Heading: 270 * units.Degree,
	}
}

// The greatest roll of eleven machines over an obstacle on one side, within 1.5 % of
// the stored figures; the loads at rest within 0.2 N; whether a rear wheel lifts is the
// same. The wheels resist yaw there, as with a locked differential.
func rollPassages(t *testing.T) {
	rows := motionRows(t, 'R')
	for _, r := range rows {
		m, err := r.rollPassage().Compile()
		if err != nil {
			t.Fatal(err)
		}
		v, want := units.Speed(r.in("v")), r.out("max_roll")
		c := m.Until(r.in("tend"), v)
		validation.Relative(t, float64(c.Roll.High), want)
		if d := float64(c.Roll.High)/want - 1; math.Abs(d) > 0.015 {
			t.Errorf("%s: rolls %v, want %v", r.ID, c.Roll.High, want)
		}
		if d := float64(c.RearAtRest.Low) - r.out("n_right"); math.Abs(d) > 0.2 {
			t.Errorf("%s: %v at rest, want %v", r.ID, c.RearAtRest, r.out("n_right"))
		}
		if lifts := r.out("min_right") == 0; (c.Status == stability.PassageLifts) != lifts || (c.Status == stability.PassageOver) != (r.out("over") == 1) {
			t.Errorf("%s: %v, %v N", r.ID, c.Status, r.out("min_right"))
		}
	}
	if len(rows) != 11 {
		t.Error(len(rows), "rows")
	}
}

// Forty machines that stand in no other file, by a rigid-body engine in another
// formulation (internal/crosscheck/ode/roll.c): the axle is a body of its own on a
// hinge, whose stop is a constraint. Which machines lift a rear wheel and which go over,
// with and without a stop, is the same. Of the first 24 the least load is within 1 % of the
// machine's weight and the roll within 2 % or 1 mrad, on the stop within 3 %. The others
// are on slopes close to their balance, where neighboring motions part: only what happens
// is compared.
func rollByEngine(t *testing.T) {
	var doc struct{ Cases []map[string]any }
	readJSON(t, "roll_ode.json", &doc)
	seen := map[string]int{}
	for i, c := range doc.Cases {
		r := motionRow{Inputs: c}
		l := func(name string) units.Length { return units.Length(r.in(name)) }
		in := func(name string) units.Inertia { return units.Inertia(r.in(name)) }
		wheels := []stability.PassageWheels{stability.PassRearRight, stability.PassRearLeft, stability.PassRight, stability.PassLeft}[int(r.in("left"))+2*int(r.in("front"))]
		m := rollModel(t, stability.RollPassage{
			Vehicle: stability.Vehicle{
				Body:          stability.Body{Mass: units.Mass(r.in("m")), CG: stability.Point{X: l("x"), Z: l("z")}, Inertia: stability.Inertia{XX: in("Ix"), YY: in("Iy"), ZZ: in("Iz")}},
				Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: l("L"), RearTrack: l("T"), FrontTrack: l("Tf"), PinHeight: l("p"), StopAngle: units.Angle(r.in("stop"))},
			},
			Rear: stability.Tires{Radius: l("rr"), Stiffness: units.Is(units.Stiffness(2 * r.in("kr")))}, Front: stability.Tires{Radius: l("rf"), Stiffness: units.Is(units.Stiffness(r.in("kf")))},
			Damping:  units.Is(units.Fraction(r.in("zeta"))),
			Obstacle: stability.Obstacle{Kind: []stability.ObstacleKind{1: stability.ObstacleBox, 2: stability.ObstacleRut}[int(r.in("kind"))], Height: l("h"), Length: l("w")},
			Wheels:   wheels, Differential: []stability.Differential{stability.DifferentialLocked, stability.DifferentialOpen}[int(r.in("open"))],
			Slope: units.Angle(r.in("beta")).Slope(), Heading: 90 * units.Degree, Friction: 5,
		})
		got := m.Until(r.in("tend"), units.Speed(r.in("v")))
		over, met := c["over"].(bool), c["met"].(bool)
		if got.RearAtRest.High == 0 {
			seen["do not stand"]++ // the engine's machine stood on its stop before it set out
			continue
		}
		if (got.Status == stability.PassageOver) != over || !over && (got.RearLoad.Low == 0) != (r.in("least") == 0) || got.MeetsStop != met {
			t.Errorf("case %d: %v, least load %v, stop %v; the engine %v, %v N, %v", i, got.Status, got.RearLoad.Low, got.MeetsStop, over, r.in("least"), met)
		}
		if over {
			seen["over"]++
			if r.in("stop") > 0 {
				seen["over with a stop"]++
			}
			continue
		}
		d := float64(got.Roll.High) - r.in("roll")
		most := max(0.001, 0.02*r.in("roll"))
		if met {
			seen["stop"]++
			most = 0.03 * r.in("roll")
		}
		if i >= 24 {
			continue // on slopes close to their balance neighboring motions part
		}
		validation.Off(t, 180/math.Pi*d, "degree of roll")
		if math.Abs(d) > most || math.Abs(float64(got.RearLoad.Low)-r.in("least")) > 0.01*kgf*r.in("m") {
			t.Errorf("case %d: rolls %v, least load %v; the engine %v, %v", i, got.Roll.High, got.RearLoad.Low, r.in("roll"), r.in("least"))
		}
	}
	if len(doc.Cases) < 24 || seen["over"] < 4 || seen["over with a stop"] < 1 || seen["stop"] < 4 || seen["do not stand"] > 1 {
		t.Error(len(doc.Cases), seen)
	}
}

// orchardRoll is an invented narrow orchard tractor with a picking bin, one side over
// a root on a side slope.
func orchardRoll() stability.RollPassage {
	return stability.RollPassage{
		Vehicle: stability.Vehicle{
			Body: stability.Body{Mass: 2100, CG: stability.Point{X: 0.85, Z: 0.72}, Inertia: stability.Inertia{XX: 260, YY: 1300, ZZ: 1250}},
			Undercarriage: stability.Undercarriage{
				Kind: stability.PivotingFront, Wheelbase: 1.95, RearTrack: 1.05, FrontTrack: 1.0, PinHeight: 0.42, StopAngle: 10 * units.Degree,
				Axle: stability.Part{Mass: 260, CG: stability.Point{X: 1.95, Z: 0.38}},
			},
		},
		Load: stability.Part{Mass: 300, CG: stability.Point{X: 3.0, Z: 0.8}, Inertia: stability.Inertia{XX: 30, YY: 30, ZZ: 30}},
		Rear: stability.Tires{Radius: 0.52, Stiffness: units.Is[units.Stiffness](6e5)}, Front: stability.Tires{Radius: 0.38, Stiffness: units.Is[units.Stiffness](5e5)},
		Damping:  units.Is[units.Fraction](0.1),
		Obstacle: stability.Obstacle{Kind: stability.ObstacleBox, Height: 0.08, Length: 0.3},
		Slope:    units.Slope(0.1), Heading: 90 * units.Degree,
	}
}

func rollModel(t testing.TB, p stability.RollPassage) *stability.RollPassageModel {
	t.Helper()
	m, err := p.Compile()
	if err != nil {
		t.Fatal(err)
	}
	return m
}

// As the speed goes to zero, a rear wheel stands on the obstacle. The body then rolls
// about the line of the other contact and the pin, and the weight's moment about it,
// W (z - p x/L) sin(roll), stands on the difference of the rear loads times half the
// track, with the squat of the tires: (Nl - Nr)/k. Axle and load count with the body.
func TestRollCrawl(t *testing.T) {
	p := orchardRoll()
	p.Slope, p.Wheels, p.Differential = 0, stability.PassRearLeft, stability.DifferentialOpen
	p.Damping = units.Is[units.Fraction](0.5)
	for _, h := range []units.Length{0.03, 0.06, 0.1} {
		p.Obstacle = stability.Obstacle{Kind: stability.ObstacleBox, Height: h, Length: 1.2}
		c, err := rollModel(t, p).At(0.05)
		if err != nil {
			t.Fatal(err)
		}
		u := &p.Vehicle.Undercarriage
		mb, ml, ma := float64(p.Vehicle.Body.Mass), float64(p.Load.Mass), float64(u.Axle.Mass)
		l, pin, track, k := float64(u.Wheelbase), float64(u.PinHeight), float64(u.RearTrack), 3e5
		x := (mb*0.85 + ml*3 + ma*l) / (mb + ml + ma)
		z := (mb*0.72 + ml*0.8 + ma*pin) / (mb + ml + ma)
		w := (mb + ml + ma) * kgf
		rear := w * (1 - x/l)
		roll := 0.0
		for range 100 {
			difference := 2 * w * (z - pin*x/l) * math.Sin(roll) / track
			roll = math.Asin((float64(h) + difference/k) / track)
		}
		least := rear/2 - w*(z-pin*x/l)*math.Sin(roll)/track
		if d := float64(c.RearLoad.Low)/least - 1; math.Abs(d) > 0.01 || math.Abs(float64(c.Roll.High)/roll-1) > 0.01 || c.Status != stability.PassageWithin {
			t.Errorf("%v: least load %v, want %v; roll %v, want %v; %v", h, c.RearLoad.Low, least, c.Roll.High, roll, c.Status)
		}
	}
}

// At rest on a side slope with tires as stiff as they may be and an open differential,
// the less loaded rear wheel carries what the statics of the same machine say.
func TestRollAtRest(t *testing.T) {
	for _, grade := range []units.Slope{0, 0.05, 0.1, 0.15} {
		p := orchardRoll()
		p.Slope, p.Load, p.Differential = grade, stability.Part{}, stability.DifferentialOpen
		p.Rear.Stiffness, p.Front.Stiffness = units.Is[units.Stiffness](2e7), units.Is[units.Stiffness](2e7)
		c, err := rollModel(t, p).At(1)
		if err != nil {
			t.Fatal(err)
		}
		loads, err := compile(t, p.Vehicle).Loads(stability.Situation{Slope: grade, Heading: 90 * units.Degree})
		if err != nil {
			t.Fatal(err)
		}
		if d := float64(c.RearAtRest.Low-loads.Of(stability.RowRearLeft)) / float64(loads.Of(stability.RowRearAxle)); math.Abs(d) > 2e-3 {
			t.Errorf("%v: %v at rest, statics %v", grade, c.RearAtRest.Low, loads.Of(stability.RowRearLeft))
		}
	}
}

// The mirror image of a passage is the same, either side is the worse of both, equal
// passages give equal answers, and none allocates.
func TestRollProperties(t *testing.T) {
	p := orchardRoll()
	for _, o := range []stability.Obstacle{
		{Kind: stability.ObstacleBox, Height: 0.1, Length: 0.4}, {Kind: stability.ObstacleRut, Height: 0.15, Length: 0.6}, {Kind: stability.ObstacleStepUp, Height: 0.05},
		{Kind: stability.ObstacleDrop, Height: 0.08}, {Kind: stability.ObstacleHump, Height: 0.1, Length: 0.8}, {Kind: stability.ObstacleHalfSine, Height: 0.05, Length: 1},
		{Kind: stability.ObstacleLevel}, {Kind: stability.ObstacleRandom, Class: stability.GroundE, Length: 10},
	} {
		p.Obstacle = o
		at := func(w stability.PassageWheels, heading units.Angle) stability.RollCrossing {
			p.Wheels, p.Heading = w, heading
			c, err := rollModel(t, p).At(1.2)
			if err != nil {
				t.Fatal(err)
			}
			return c
		}
		left, right := at(stability.PassLeft, 90*units.Degree), at(stability.PassRight, 90*units.Degree)
		image := at(stability.PassRight, -90*units.Degree)
		if left.Status != image.Status || math.Abs(float64(left.Roll.High-image.Roll.High)) > 1e-4 || math.Abs(float64(left.RearLoad.Low-image.RearLoad.Low)) > 5 {
			t.Errorf("%v: %+v, its mirror image %+v", o.Kind, left, image)
		}
		either := at(stability.PassEitherSide, 90*units.Degree)
		if either.Status != max(left.Status, right.Status) || either.RearLoad.Low != min(left.RearLoad.Low, right.RearLoad.Low) || either.Roll.High != max(left.Roll.High, right.Roll.High) {
			t.Errorf("%v: left %+v, right %+v, either %+v", o.Kind, left, right, either)
		}
		if again := at(stability.PassEitherSide, 90*units.Degree); again != either {
			t.Errorf("%v: %+v and %+v", o.Kind, either, again)
		}
	}
	m := rollModel(t, orchardRoll())
	points := make([]stability.RollPoint, 3)
	if n := testing.AllocsPerRun(3, func() { _, _ = m.At(1.2); _ = m.Scan(context.Background(), points, 0.5, 2) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

// A passage with something left out contains the one with a value inside, and says that
// ranges of practice stand for it. A machine that cannot stand goes over; one that
// slides is not checked.
func TestRollUnknown(t *testing.T) {
	p := orchardRoll()
	known, err := rollModel(t, p).At(1)
	if err != nil {
		t.Fatal(err)
	}
	if known.Notes&stability.NotePracticeRange == 0 {
		t.Error("the friction is one of practice")
	}
	p.Damping = units.Between[units.Fraction](0.05, 0.1)
	p.RollInertia = units.Between[units.Inertia](200, 260)
	wide, err := rollModel(t, p).At(1)
	if err != nil {
		t.Fatal(err)
	}
	if wide.RearLoad.Low > known.RearLoad.Low || wide.Roll.High < known.Roll.High || wide.Status < known.Status {
		t.Errorf("%+v, known %+v", wide, known)
	}
	p.Slope = 0.6
	if c, _ := rollModel(t, p).At(1); c.Status != stability.PassageOver {
		t.Errorf("on a slope past its limit: %v", c.Status)
	}
	p.Friction = 0.3
	if c, _ := rollModel(t, p).At(1); c.Status != stability.PassageNotChecked || c.Cautions&stability.CautionSlidesFirst == 0 {
		t.Errorf("on a slope that it slides on: %v", c.Status)
	}
	l, err := rollModel(t, orchardRoll()).LoadLimit(t.Context(), 2*units.KilometerPerHour, stability.PassageOver)
	if err != nil || l.Load < 0 || l.Cautions&stability.CautionNotPermission == 0 {
		t.Error(l, err)
	}
	for path, change := range map[string]func(*stability.RollPassage){
		"vehicle.undercarriage.kind":              func(p *stability.RollPassage) { p.Vehicle.Undercarriage.Kind = stability.Rigid },
		"vehicle.undercarriage.rearTireStiffness": func(p *stability.RollPassage) { p.Vehicle.Undercarriage.RearTireStiffness = 3e5 },
		"vehicle.body.cg.x":                       func(p *stability.RollPassage) { p.Vehicle.Body.CG.X = 3 },
		"load.cg.z":                               func(p *stability.RollPassage) { p.Load.CG.Z = 0 },
		"rollInertia":                             func(p *stability.RollPassage) { p.RollInertia = units.None[units.Inertia]() },
		"rear.radius":                             func(p *stability.RollPassage) { p.Rear.Radius = 0 },
		"slope":                                   func(p *stability.RollPassage) { p.Slope = 2 },
		"wheels":                                  func(p *stability.RollPassage) { p.Wheels = 9 },
		"obstacle.kind":                           func(p *stability.RollPassage) { p.Obstacle = stability.Obstacle{} },
	} {
		p := orchardRoll()
		change(&p)
		if err := p.Validate(); !slices.Contains(fieldPaths(err), path) {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// No passage panics, hangs or has a NaN.
func FuzzRollPassage(f *testing.F) {
	f.Add(0.1, 0.3, 0.1, 90.0, 260.0, 300.0, 0.8, 1.0, uint8(2), uint8(0))
	f.Add(0.2, 0.8, 0.9, 20.0, 1.0, 3000.0, 3.0, 5.0, uint8(3), uint8(3))
	f.Fuzz(func(t *testing.T, height, length, slope, heading, inertia, load, z, v float64, kind, wheels uint8) {
		p := orchardRoll()
		p.Obstacle = stability.Obstacle{Kind: stability.ObstacleKind(kind), Height: units.Length(height), Length: units.Length(length)}
		p.Slope, p.Heading = units.Slope(slope), units.Angle(heading)*units.Degree
		p.RollInertia = units.Is(units.Inertia(inertia))
		p.Load.Mass, p.Vehicle.Body.CG.Z = units.Mass(load), units.Length(z)
		p.Wheels = stability.PassageWheels(wheels)
		m, err := p.Compile()
		if err != nil {
			return
		}
		c, err := m.At(units.Speed(v))
		if err != nil {
			return
		}
		for _, x := range []float64{float64(c.RearLoad.Low), float64(c.RearLoad.High), float64(c.RearAtRest.Low), float64(c.Gap.High), float64(c.Roll.High), float64(c.Balance), float64(c.Airborne.High)} {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%+v", c)
			}
		}
	})
}

var sinkRoll stability.RollCrossing

func BenchmarkRollPassage(b *testing.B) {
	for _, r := range motionRows(b, 'R') {
		m, err := r.rollPassage().Compile()
		if err != nil {
			b.Fatal(err)
		}
		b.Run(r.ID, func(b *testing.B) {
			for b.Loop() {
				sinkRoll, _ = m.At(units.Speed(r.in("v")))
			}
		})
	}
}
