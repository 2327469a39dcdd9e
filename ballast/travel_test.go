package ballast_test

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"math"
	"math/rand/v2"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

var openTravels = flag.Int("travels", 40, "how many nested pairs and machines TestTravelInclusion tries")

// inShort returns a quarter of a number of tries in a short run, such as that of the race
// detector.
func inShort(n int) int {
	if testing.Short() {
		return n / 4
	}
	return n
}

// rolling is the orchard tractor with all that a motion asks of it.
func rolling() ballast.Setup {
	s := orchard()
	s.Machine.Motion = ballast.Motion{
		PitchInertia: units.Is[units.Inertia](700), RollInertia: units.Is[units.Inertia](250),
		FrontStiffness: units.Is[units.Stiffness](300e3), RearStiffness: units.Is[units.Stiffness](400e3), Damping: units.Is[units.Fraction](0.08),
	}
	return s
}

// overDrain is the way over the drain in the yard, at walking pace with the arms low.
func overDrain() ballast.Travel {
	l := binLift(0.3)
	l.Speed = 0
	return ballast.Travel{Name: "drain", Lift: l, Speed: 4 * units.KilometerPerHour, Drive: stability.DriveHeld,
		Obstacle: stability.Obstacle{Kind: stability.ObstacleRut, Height: 0.1, Length: 0.3}}
}

// randomTravel varies machine and way. Most machines are rigid, of which one wheel is
// not followed, because that takes ten times as long.
func randomTravel(r *rand.Rand, rolls bool) (ballast.Setup, ballast.Travel) {
	vary := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	s := rolling()
	m := &s.Machine
	s.Pieces = s.Pieces[:r.IntN(3)]
	m.Undercarriage = stability.Rigid
	if rolls {
		m.Undercarriage = stability.PivotingFront
	}
	m.CG.X, m.CG.Z = units.Is(units.Length(vary(0.6, 0.95))), units.Is(units.Length(vary(0.5, 0.8)))
	m.Motion.PitchInertia = units.Is(units.Inertia(vary(500, 1000)))
	m.Motion.RearStiffness = units.Is(units.Stiffness(vary(250e3, 600e3)))
	m.Motion.FrontStiffness = units.Is(units.Stiffness(vary(150e3, 500e3)))
	m.Motion.Damping = units.Is(units.Fraction(vary(0.04, 0.15)))
	t := overDrain()
	t.Lift.Height = units.Length(vary(0.2, 1.6))
	t.Obstacle = []stability.Obstacle{
		{Kind: stability.ObstacleRut, Height: 0.1, Length: units.Length(vary(0.2, 0.5))},
		{Kind: stability.ObstacleHump, Height: units.Length(vary(0.02, 0.05)), Length: 0.4},
		{Kind: stability.ObstacleDrop, Height: units.Length(vary(0.03, 0.1))},
		{Kind: stability.ObstacleBox, Height: units.Length(vary(0.02, 0.06)), Length: 0.3},
	}[r.IntN(4)]
	t.Speed = units.Speed(vary(0.6, 1.6))
	return s, t
}

func mustTravel(t *testing.T, s ballast.Setup, way ballast.Travel) ballast.TravelUse {
	t.Helper()
	u, err := s.Travel(t.Context(), way)
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// Where everything is known, the load is that of package stability's own search over the
// parts that the layout lists, in its steps of 2 % of the tipping load: two routes to one
// machine, of which the second sums points and knows nothing of spans.
func TestTravelAgainstPassage(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 1))
	seen := 0
	for i := range inShort(12) {
		s, way := randomTravel(r, false)
		way.Lift.Basis = ballast.Basis{Kind: ballast.BasisTippingFraction, Fraction: 0.9}
		s.Machine.Front, s.Machine.Rear = ballast.Axle{Radius: s.Machine.Front.Radius}, ballast.Axle{Radius: s.Machine.Rear.Radius}
		s.Machine.GrossRating, s.Machine.ROPSRating = units.Input[units.Mass]{}, units.Input[units.Mass]{}
		s.Loader.Rated, s.Loader.CouplerRating, s.Attachment.Rating = nil, units.Input[units.Mass]{}, units.Input[units.Mass]{}
		u := mustTravel(t, s, way)
		pin := way.Lift.Height - s.Attachment.Tine.Value()
		layout, err := s.Layout(pin, way.Lift.Load)
		if err != nil {
			t.Fatal(err)
		}
		// The machine is the part that operator, fuel and pieces are listed with, as points.
		var list []stability.Part
		for _, p := range layout.Parts {
			p.CG.Z += p.PitchRise // liquid turns with the wheel and counts at the axle
			list = append(list, p)
		}
		body, err := stability.Assemble(list...)
		if err != nil {
			t.Fatal(err)
		}
		m := &s.Machine
		own := stability.Part{Mass: m.Mass.Value(), CG: m.CG.Point()}
		seat := stability.Part{Mass: 98, CG: m.Seat.Point()}
		fuel := stability.Part{Mass: -units.Mass(0.84 * 20), CG: m.Fuel.CG.Point()} // half of 40 L is out
		for _, p := range layout.Parts {
			if p.Name == "machine" {
				list = slices.DeleteFunc(list, func(q stability.Part) bool { return q.Name == "machine" })
			}
		}
		inertia := float64(m.Motion.PitchInertia.Value())
		for _, p := range append(list, own, seat, fuel) {
			dx, dz := float64(p.CG.X-body.CG.X), float64(p.CG.Z-body.CG.Z)
			inertia += float64(p.Mass) * (dx*dx + dz*dz)
		}
		body.Inertia = stability.Inertia{}
		p := stability.Passage{Machine: body, PitchInertia: units.Is(units.Inertia(inertia)), Load: stability.Part{CG: layout.Load},
			Wheelbase: m.Wheelbase.Value(), Rear: stability.Tires{Radius: m.Rear.Radius.Value(), Stiffness: m.Motion.RearStiffness},
			Front: stability.Tires{Radius: m.Front.Radius.Value(), Stiffness: m.Motion.FrontStiffness}, Damping: m.Motion.Damping,
			Obstacle: way.Obstacle, Drive: way.Drive, Gravity: s.Gravity}
		k, err := p.Compile()
		if err != nil {
			t.Fatal(err)
		}
		want := steps(t, p, k.TippingLoad(), way.Speed)
		got, step := float64(u.Passage.Low), 0.02*float64(k.TippingLoad())
		switch {
		case u.Found == stability.PassageNotChecked:
			continue // nothing was found as far as the lift's own answer goes
		case want.Load == 0 && got > 5*step, want.Load > 0 && (got < float64(want.Load)-1 || got > float64(want.Load)+step+1):
			t.Errorf("case %d: %v kg, in steps of %v kg %v (%v at %v, %v)", i, got, step, float64(want.Load), u.Found, u.At, want.Speed)
		default:
			seen++
		}
	}
	if seen < inShort(4) {
		t.Errorf("%d cases compared", seen)
	}
}

// steps returns the load below which no step of 2 % of the tipping load, from a tenth on,
// lifts the rear at a speed of the steps of 0.25 km/h up to a limit, and the speed at which
// the next does.
func steps(t *testing.T, p stability.Passage, tipping units.Mass, limit units.Speed) (out stability.LoadLimit) {
	t.Helper()
	for i := 5; i <= 49; i++ {
		p.Load.Mass = units.Mass(i) / 50 * tipping
		k, err := p.Compile()
		if err != nil {
			t.Fatal(err)
		}
		for v := 1 * units.KilometerPerHour; ; v += 0.25 * units.KilometerPerHour {
			c, err := k.At(v)
			if err != nil {
				t.Fatal(err)
			}
			if c.Status >= stability.PassageLifts || c.Status == stability.PassageNotChecked {
				out.Found, out.Speed = true, v
				return out
			}
			if v >= limit*(1-1e-9) {
				break
			}
		}
		out.Load = p.Load.Mass
	}
	return out
}

// A stated obstacle lowers the load of the lift and never raises it, the lift's own answer
// stays, and a wheel that lifts without load leaves no figure.
func TestTravelNeverRaises(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 2))
	lowered, lifts := 0, 0
	for i := range inShort(40) {
		s, way := randomTravel(r, i%10 == 0)
		u := mustTravel(t, s, way)
		lift := way.Lift
		lift.Speed = way.Speed
		want, err := s.UsableLoad(lift)
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(u.Usable, want) {
			t.Errorf("case %d: the lift's own answer changed", i)
		}
		if u.IfRated.Low > want.IfRated.Low || u.IfRated.High > want.IfRated.High || u.Mass.Low > want.Mass.Low || u.Mass.Low > u.Obstacle.Low {
			t.Errorf("case %d: %+v, the lift %+v", i, u.CapacityRange, want.CapacityRange)
		}
		if u.IfRated.Low < want.IfRated.Low {
			lowered++
		}
		if !u.Cautions.Has(ballast.CautionHiddenGround|ballast.CautionNotPermission|ballast.CautionManual) || !u.Notes.Has(ballast.NoteFollowed) {
			t.Errorf("case %d: %v, %v", i, u.Cautions, u.Notes)
		}
		if u.Lifts {
			lifts++
			j, err := s.CheckTravel(t.Context(), way, 0)
			if err != nil {
				t.Fatal(err)
			}
			if u.Obstacle.Low != 0 || j.Verdict != ballast.ExceedsLimit && j.Verdict != ballast.CannotSay || strings.Contains(u.LoadLine().Text, "up to") {
				t.Errorf("case %d: %v, %v: %s", i, u.Obstacle, j.Verdict, u.LoadLine().Text)
			}
		}
	}
	if lowered < 5 || lifts < 3 {
		t.Errorf("%d lowered, %d lift without load", lowered, lifts)
	}
}

// inside reports by how much the ends of a are outside those of b.
func outside(a, b units.Range[units.Mass]) float64 {
	return float64(max(b.Low-a.Low, a.High-b.High))
}

// An envelope of which less is known has an answer that holds that of one of which more is
// known, and the answers of the machines inside it. The ends of the passage rest on slopes that are
// measured, so that a few of a hundred may fall outside, and by little.
// TestTravelSpeeds: whoever may go faster is never allowed more, because a travel asks for
// every speed up to its own.
func TestTravelSpeeds(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 7))
	for i := range inShort(40) {
		s, way := randomTravel(r, false)
		way.Lift.Kind, way.Lift.Height = ballast.Hold, units.Length(0.8+0.6*r.Float64())
		way.Lift.Basis = ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}
		way.Obstacle = stability.Obstacle{Kind: stability.ObstacleRut, Height: units.Length(0.02 + 0.05*r.Float64()), Length: units.Length(0.2 + 0.5*r.Float64())}
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			t.Fatal(err)
		}
		before := ballast.MaxLoad
		for _, kmh := range []float64{2.6, 2.8, 3, 3.3, 3.5} {
			way.Speed = units.Speed(kmh) * units.KilometerPerHour
			use, err := e.Travel(context.Background(), way)
			if err != nil {
				t.Fatal(err)
			}
			low := use.Obstacle.Low
			if low > before*(1+1e-9) {
				t.Errorf("travel %d: up to %v km/h %v, more than %v at a lower speed", i, kmh, low, before)
			}
			before = low
		}
	}
}

func TestTravelInclusion(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 3))
	pairs, machines, beyond := 0, 0, 0
	worst := 0.0
	count := func(a, b ballast.TravelUse) {
		over := max(outside(a.IfRated, b.IfRated), outside(a.Statics, b.Statics))
		if over > 1e-6*(1+float64(b.Usable.Tipping.High)) {
			beyond++
			worst = max(worst, over/float64(b.Usable.Tipping.High))
		}
	}
	motion := []string{"machine.motion.pitchInertia", "machine.motion.rollInertia", "machine.motion.frontStiffness", "machine.motion.rearStiffness", "machine.motion.damping", "machine.cg.z"}
	n := inShort(*openTravels)
	for i := range n {
		s, way := randomTravel(r, i%20 == 0)
		fields := openFields(r, s, 1+r.IntN(5), 0.1)
		for _, f := range walk.Fields(s) {
			if slices.Contains(motion, f.Path) && r.IntN(2) == 0 {
				fields = append(fields, opened{f, 1 - 0.2*r.Float64(), 1 + 0.2*r.Float64()})
			}
		}
		narrow, wide, one := s, s, s
		for _, o := range fields {
			narrow = o.wide(narrow)
			wide = opened{o.field, o.low - 0.1*r.Float64(), o.high + 0.1*r.Float64()}.wide(wide)
			one = o.at(one, r.Float64())
		}
		for _, f := range walk.Fields(s) {
			if slices.Contains(motion, f.Path) && r.IntN(6) == 0 {
				wide = walk.Without(wide, f)
			}
		}
		a, err := narrow.Travel(t.Context(), way)
		if err != nil {
			continue
		}
		b, err := wide.Travel(t.Context(), way)
		if err != nil {
			continue
		}
		if e, err := narrow.Envelope(ballast.Practice{}); err == nil {
			if f, err := wide.Envelope(ballast.Practice{}); err == nil && f.Holds(e) {
				pairs++
				count(a, b)
			}
		}
		if c, err := one.Travel(t.Context(), way); err == nil {
			machines++
			count(c, a)
		}
	}
	t.Logf("%d pairs, %d machines, %d outside, by at most %.3f of the tipping load", pairs, machines, beyond, worst)
	if pairs < n/3 || machines < n/2 || beyond > (pairs+machines)/20 {
		t.Errorf("%d pairs, %d machines, %d outside, by at most %.3f of the tipping load", pairs, machines, beyond, worst)
	}
}

// Whatever a plan proposes for a travel, the travel's own check says the same.
func TestPlanTravel(t *testing.T) {
	r := rand.New(rand.NewPCG(20, 4))
	seen := map[ballast.PlanStatus]int{}
	later := 0
	for i := range inShort(14) {
		s, way := randomTravel(r, i%7 == 0)
		s.Pieces = nil
		way.Lift.Load.Mass = units.Mass(100 + 350*r.Float64())
		way.Lift.Factor = 1.2
		needs := ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedTravel, Hitch: ballast.Raised, Travel: &way}}}
		stock := shed()
		p, err := ballast.Plan(t.Context(), s, needs, stock)
		if err != nil {
			t.Fatal(err)
		}
		seen[p.Status]++
		if p.Status == ballast.PlanUndecided && (p.Nearest == nil || p.Nearest.Answers[0].Met || p.Nearest.Answers[0].Travel == nil) {
			t.Errorf("case %d: undecided, and nothing says why", i)
		}
		if p.Status != ballast.PlanOptimal && p.Status != ballast.PlanFeasible {
			continue
		}
		if p.Status == ballast.PlanFeasible {
			later++
		}
		j, err := p.Best.Setup(s, stock).CheckTravel(t.Context(), way, way.Lift.Load.Mass)
		if err != nil {
			t.Fatal(err)
		}
		if j.Verdict != ballast.NoLimitExceeded && j.Verdict != ballast.NeedsRatings || p.Best.Answers[0].Verdict != j.Verdict || p.Best.Answers[0].Travel == nil {
			t.Errorf("case %d: %v, the plan says %v: %+v", i, j.Verdict, p.Best.Answers[0].Verdict, j.Travel.Obstacle)
		}
		if !p.Cautions.Has(ballast.CautionHiddenGround) {
			t.Errorf("case %d: cautions %v", i, p.Cautions)
		}
	}
	t.Logf("%v, %d after a refusal", seen, later)
	if seen[ballast.PlanOptimal]+seen[ballast.PlanFeasible] == 0 {
		t.Errorf("nothing was planned: %v", seen)
	}
}

// What a motion leaves open is asked for, and the tires come in one question.
func TestTravelQuestions(t *testing.T) {
	s := rolling()
	s.Machine.Undercarriage = stability.Rigid
	s.Machine.Motion = ballast.Motion{Damping: s.Machine.Motion.Damping}
	e, err := s.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	list, err := e.TravelQuestions(t.Context(), overDrain(), 300)
	if err != nil {
		t.Fatal(err)
	}
	var tires, inertia bool
	for _, q := range list {
		tires = tires || slices.Contains(q.Paths, "machine.motion.rearStiffness") && slices.Contains(q.Paths, "machine.motion.frontStiffness") && q.Code != "" && q.Narrows > 0.1
		inertia = inertia || slices.Contains(q.Paths, "machine.motion.pitchInertia")
		if slices.Contains(q.Paths, "machine.motion.damping") {
			t.Errorf("what is known is asked for: %+v", q)
		}
	}
	if !tires || !inertia {
		t.Errorf("%+v", list)
	}
}

// Each bad field of a travel is named by its path.
func TestTravelInvalid(t *testing.T) {
	for path, change := range map[string]func(*ballast.Travel){
		"travel.lift.slope":       func(w *ballast.Travel) { w.Lift.Slope = 0.1 },
		"travel.lift.heading":     func(w *ballast.Travel) { w.Lift.Heading = 1 },
		"travel.lift.braking":     func(w *ballast.Travel) { w.Lift.Braking = 1 },
		"travel.lift.kind":        func(w *ballast.Travel) { w.Lift.Kind = ballast.StackHigh },
		"travel.lift.speed":       func(w *ballast.Travel) { w.Lift.Speed = 5 },
		"travel.lift.height":      func(w *ballast.Travel) { w.Lift.Height = 9 },
		"travel.obstacle.kind":    func(w *ballast.Travel) { w.Obstacle.Kind = stability.ObstacleUnknown },
		"travel.obstacle.height":  func(w *ballast.Travel) { w.Obstacle.Height = 3 },
		"travel.speed":            func(w *ballast.Travel) { w.Speed = 0.1 },
		"travel.slope":            func(w *ballast.Travel) { w.Slope = 1 },
		"travel.friction":         func(w *ballast.Travel) { w.Friction = 9 },
		"travel.drive":            func(w *ballast.Travel) { w.Drive = 9 },
		"travel.deceleration":     func(w *ballast.Travel) { w.Deceleration = 2 },
		"travel.obstacle.length":  func(w *ballast.Travel) { w.Obstacle.Length = 0 },
		"travel.lift.load.center": func(w *ballast.Travel) { w.Lift.Load.Center = units.Is[units.Length](9) },
	} {
		w := overDrain()
		change(&w)
		if _, err := rolling().Travel(t.Context(), w); !errors.Is(err, units.ErrInvalid) || !fieldtest.Named(err, path) {
			t.Errorf("%s: %v", path, err)
		}
	}
	random := overDrain()
	random.Obstacle = stability.Obstacle{Kind: stability.ObstacleRandom, Class: stability.GroundE, Length: 20}
	if _, err := rolling().Travel(t.Context(), random); !fieldtest.Named(err, "travel.obstacle.kind") {
		t.Error(err)
	}
	for path, m := range map[string]ballast.Motion{
		"machine.motion.damping":          {Damping: units.Is[units.Fraction](0)},
		"machine.motion.rearStiffness":    {RearStiffness: units.None[units.Stiffness]()},
		"machine.motion.frontStiffness":   {FrontStiffness: units.Is[units.Stiffness](1)},
		"machine.motion.pitchInertia.low": {PitchInertia: units.Between[units.Inertia](0, 5)},
		"machine.motion.rollInertia":      {RollInertia: units.Is[units.Inertia](1e9)},
	} {
		s := orchard()
		s.Machine.Motion = m
		if err := s.Validate(); !fieldtest.Named(err, path) {
			t.Errorf("%s: %v", path, err)
		}
	}
	var none ballast.Envelope
	if _, err := none.Travel(t.Context(), overDrain()); !errors.Is(err, units.ErrInvalid) {
		t.Error(err)
	}
}

// The work ends when the context does.
func TestTravelContext(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	if _, err := rolling().Travel(ctx, overDrain()); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// A document holds travels, motions and needs for a travel, and gives them back.
func TestTravelDocument(t *testing.T) {
	s := rolling()
	s.Machine.Motion.RearStiffness = units.Between[units.Stiffness](3e5, 4e5)
	way := overDrain()
	way.Slope = 0.1
	d := ballast.Document{Version: ballast.DocumentVersion, Setup: s, Travels: []ballast.Travel{way},
		Needs: &ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedTravel, Hitch: ballast.Raised, Travel: &way}}}, Stock: &ballast.Stock{}}
	var b bytes.Buffer
	if err := d.Encode(&b); err != nil {
		t.Fatal(err)
	}
	got, err := ballast.Decode(&b)
	if err != nil || !reflect.DeepEqual(got, d) {
		t.Errorf("%v\n%+v\n%+v", err, got, d)
	}
	for text, path := range map[string]string{
		`{"version":1,"setup":{},"travels":[{"speed":"0 km/h"}]}`:                          "travels[0].speed",
		`{"version":1,"setup":{},"travels":[{"obstacle":{"kind":"hole"}}]}`:                "travels[0].obstacle.kind",
		`{"version":1,"setup":{"machine":{"motion":{"damping":"2"}}}}`:                     "setup.machine.motion.damping",
		`{"version":1,"setup":{},"needs":{"list":[{"kind":"travel"}]},"stock":{}}`:         "needs.list[0].travel",
		`{"version":1,"setup":{},"travels":[{"obstacle":{"kind":"rut","heigth":"1 cm"}}]}`: "travels[0].obstacle.heigth",
	} {
		if _, err := ballast.Decode(strings.NewReader(text)); !fieldtest.Named(err, path) {
			t.Errorf("%s: %v", path, err)
		}
	}
}

// Whatever the numbers are, a travel is an answer without NaN, or an invalid input.
func FuzzTravel(f *testing.F) {
	f.Add(uint64(1), 0.1)
	f.Add(uint64(2), 0.5)
	f.Fuzz(func(t *testing.T, seed uint64, chance float64) {
		r := rand.New(rand.NewPCG(seed, 20))
		s, way := randomTravel(r, seed%8 == 0)
		chance = math.Abs(math.Mod(chance, 0.3))
		corrupt(r, reflect.ValueOf(&s).Elem(), chance/4)
		corrupt(r, reflect.ValueOf(&way).Elem(), chance)
		way.Speed = min(way.Speed, 2)
		j, err := s.CheckTravel(t.Context(), way, 200)
		if err != nil {
			if !errors.Is(err, units.ErrInvalid) {
				t.Fatal(err)
			}
			return
		}
		allFinite(t, "travel", j)
		if _, err := json.Marshal(j); err != nil {
			t.Fatal(err)
		}
	})
}

// A travel of a machine whose front axle is rigid follows both axles only; of a pivoting
// axle each side is followed as well.
func BenchmarkTravel(b *testing.B) {
	for name, kind := range map[string]stability.UndercarriageKind{"bothAxles": stability.Rigid, "oneWheelToo": stability.PivotingFront} {
		s := rolling()
		s.Machine.Undercarriage = kind
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			b.Fatal(err)
		}
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if _, err := e.Travel(b.Context(), overDrain()); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// The line of a travel names the obstacle and the greatest speed, in the reader's language and
// units, and the load rounded down.
func TestTravelLine(t *testing.T) {
	use := ballast.TravelUse{Over: stability.Obstacle{Kind: stability.ObstacleRut, Height: 0.1, Length: 0.3}, Speed: 5 * units.KilometerPerHour, Obstacle: units.Range[units.Mass]{Low: 574.9, High: 700}}
	use.IfRated = use.Obstacle
	if got, want := use.Line().Text, "rut 100 mm by 300 mm, at up to 5.0 km/h: no lift-off found up to 574 kg"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	us := units.German()
	us.Display.System = units.USCustomary
	if got, want := us.Message(use.Line()), "Rinne 3,94 in mal 11,8 in, bis 3,10 mph: bis 1265 lb kein Abheben gefunden"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	use.Over, use.Obstacle = stability.Obstacle{Kind: stability.ObstacleDrop, Height: 0.2}, units.Range[units.Mass]{}
	if got, want := use.Line().Text, "drop 200 mm, at up to 5.0 km/h: none: a wheel lifts without load; go slower or around"; got != want {
		t.Errorf("%q, want %q", got, want)
	}
	use.Over = stability.Obstacle{Kind: stability.ObstacleLevel}
	if got := use.Line().Text; !strings.HasPrefix(got, "level ground, at up to 5.0 km/h: ") {
		t.Errorf("%q", got)
	}
}
