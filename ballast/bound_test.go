package ballast_test

import (
	"errors"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// bound is a setup whose loader has these rated points, and nothing else that
// limits a load of some hundred kilograms.
func bound(rated ...ballast.RatedPoint) ballast.Setup {
	s := bareOrchard()
	s.Gravity = 0 // loads are rated under standard gravity
	s.Machine.Front, s.Machine.Rear = ballast.Axle{Radius: units.Is[units.Length](0.34)}, ballast.Axle{Radius: units.Is[units.Length](0.58)}
	s.Machine.Hitch.Rating = units.Input[units.Mass]{}
	s.Pieces = []ballast.Piece{{Kind: ballast.HitchBox, Mass: units.Is[units.Mass](900), CG: ballast.Position{X: units.Is[units.Length](-1.15), Z: units.Is[units.Length](0.6)}, State: ballast.Raised}}
	l := *s.Loader
	l.Rated, l.Cylinders, l.SelfLeveling = rated, nil, units.Is[units.Fraction](1)
	s.Loader = &l
	return s
}

// At a pressure below the first row of the maker's table, and without a
// pressure, the tire's limit is known as an upper bound only. Whatever the
// pressure, less of it never allows more, no load is stated as usable below the
// table, a load beyond the bound is exceeded, and the speed of the symbol and
// the load index count as before.
func TestPressureBelowTable(t *testing.T) {
	kPa := units.GaugeKilopascal
	rng := rand.New(rand.NewPCG(13, 1))
	seen := map[ballast.Status]int{}
	for range 500 {
		s, l := randomCase(rng)
		if l.Speed == 0 {
			l.Speed = 1
		}
		first := units.GaugePressure(100+rng.Float64()*100) * kPa
		table := []ballast.PressureLoad{{first, units.Mass(300 + 900*rng.Float64())}, {first + 60*kPa, 1300}, {first + 120*kPa, 1600}}
		for _, axle := range []*ballast.Axle{&s.Machine.Front, &s.Machine.Rear} {
			kind := ballast.LimitFrontTire
			if axle == &s.Machine.Rear {
				kind = ballast.LimitRearTire
			}
			axle.Tire = ballast.TireRating{Table: table, Pressure: units.Is(first)}
			if rng.IntN(2) == 0 {
				axle.Tire.LoadIndex, axle.Tire.SpeedSymbol = liquid.LoadIndex(90+rng.IntN(40)), liquid.SpeedA8
			}
			at := use(t, s, l)
			axle.Tire.Pressure = units.Is(first - 0.1*kPa)
			below := use(t, s, l)
			was, is := at.Limit(kind), below.Limit(kind)
			seen[is.Status]++
			switch {
			case was.Status == stability.ExceededWhenEmpty:
				if is.Status != was.Status || below.Mass != 0 {
					t.Errorf("%v: %+v, was %+v", kind, is, was)
				}
			case was.Status == stability.CannotOccur:
				if is.Status != stability.NotChecked {
					t.Errorf("%v: %+v, was %+v", kind, is, was)
				}
			case is.Status != stability.AtMost || is.Mass != was.Mass:
				t.Errorf("%v: %+v, was %+v", kind, is, was)
			}
			if below.Status == stability.Binds || below.Status == stability.AtMost || below.Mass != 0 {
				t.Errorf("%v: a usable load of %v kg, %v", kind, float64(below.Mass), below.Status)
			}
			if !below.Notes.Has(ballast.NoteBelowLowestPressure) || is.Status != stability.ExceededWhenEmpty && !below.Cautions.Has(ballast.CautionUnchecked) {
				t.Errorf("%v: notes %v, cautions %v", kind, below.Notes, below.Cautions)
			}
			if is.Status == stability.AtMost {
				if c := check(t, s, l, is.Mass*0.99); c.OK() {
					t.Errorf("%v: %v kg of at most %v kg are %v", kind, float64(c.Mass), float64(is.Mass), c.Status)
				}
				if c := check(t, s, l, is.Mass+1); c.Limit(kind).Status != stability.Exceeded || c.OK() {
					t.Errorf("%v: %+v", kind, c.Limit(kind))
				}
			}
			if axle.Tire.LoadIndex != 0 {
				fast := l
				fast.Speed = 41 * units.KilometerPerHour // A8 is 40 km/h (ISO 4223-1)
				if u := use(t, s, fast); u.Limit(kind).Status != stability.ExceededWhenEmpty {
					t.Errorf("%v at 41 km/h: %+v", kind, u.Limit(kind))
				}
			}
			axle.Tire = ballast.TireRating{}
		}
	}
	if seen[stability.AtMost] < 250 {
		t.Errorf("statuses %v", seen)
	}
}

// A plan is not made for tires below their lowest pressure.
func TestPlanBelowPressure(t *testing.T) {
	s := orchard()
	s.Machine.Front.Tire.Pressure = units.Is(119 * units.GaugeKilopascal) // the table begins at 120
	lift := binLift(0.8)
	for _, need := range []ballast.Need{{Kind: ballast.NeedLift, Lift: &lift}, {Kind: ballast.NeedMass, Mass: units.Range[units.Mass]{Low: 1}}} {
		p, err := ballast.Plan(t.Context(), s, ballast.Needs{List: []ballast.Need{need}}, ballast.Stock{})
		if err != nil || p.Status != ballast.PlanConflict || p.Conflict[0].Limit != ballast.LimitFrontTire {
			t.Errorf("%v: %v, %+v, %v", need.Kind, p.Status, p.Conflict, err)
		}
	}
}

// A way that leaves the rated heights is held to the points that it passes: the
// limit is theirs, as an upper bound. One rated point counts at its own height
// like two equal ones.
func TestRatedHeightsLeft(t *testing.T) {
	points := []ballast.RatedPoint{{PinHeight: 1, AtPin: 700}, {PinHeight: 2.6, AtPin: 600}}
	at := func(s ballast.Setup, kind ballast.LiftKind, pin units.Length) ballast.Limit {
		l := binLift(pin)
		l.Kind, l.Datum, l.Factor = kind, ballast.PinHeight, 1
		u := use(t, s, l)
		if got := u.Limit(ballast.LimitHydraulic); got.Status == stability.AtMost || got.Status == stability.NotChecked {
			if !u.Notes.Has(ballast.NoteOutsideRated) || !u.Cautions.Has(ballast.CautionUnchecked) {
				t.Errorf("%v at %v: notes %v, cautions %v", kind, pin, u.Notes, u.Cautions)
			}
			return got
		}
		return u.Limit(ballast.LimitHydraulic)
	}
	// A parallel carrier: what the loader lifts at the pin less the forks of
	// 105 kg. Between the points 1/F is linear.
	s := bound(points...)
	half := 2/(1.0/700+1.0/600) - 105
	for _, c := range []struct {
		kind   ballast.LiftKind
		pin    units.Length
		status ballast.Status
		mass   float64
	}{
		{ballast.Hold, 1, stability.Within, 595}, {ballast.Hold, 1.8, stability.Within, half}, {ballast.Hold, 2.6, stability.Within, 495},
		{ballast.Hold, 0.99, stability.NotChecked, 0}, {ballast.Hold, 2.61, stability.NotChecked, 0},
		{ballast.StackHigh, 0.99, stability.NotChecked, 0}, {ballast.StackHigh, 1, stability.AtMost, 595},
		{ballast.StackHigh, 1.8, stability.AtMost, half}, {ballast.StackHigh, 2.65, stability.AtMost, 495},
	} {
		got := at(s, c.kind, c.pin)
		if got.Status == stability.Binds {
			got.Status = stability.Within
		}
		if got.Status != c.status || math.Abs(float64(got.Mass)-c.mass) > 1e-6 {
			t.Errorf("%v at %v: %+v, want %v, %v kg", c.kind, c.pin, got, c.status, c.mass)
		}
	}
	one, two := bound(ballast.RatedPoint{PinHeight: 2.6, AtPin: 600}), bound(ballast.RatedPoint{PinHeight: 2.2, AtPin: 600}, ballast.RatedPoint{PinHeight: 2.6, AtPin: 600})
	if a, b := at(one, ballast.Hold, 2.6), at(two, ballast.Hold, 2.6); a != b || a.Mass == 0 {
		t.Errorf("one point: %+v, two equal ones %+v", a, b)
	}
	if got := at(one, ballast.Hold, 2.59); got.Status != stability.NotChecked {
		t.Errorf("beside one point: %+v", got)
	}
	if got := at(one, ballast.StackHigh, 2.65); got.Status != stability.AtMost || math.Abs(float64(got.Mass)-495) > 1e-9 {
		t.Errorf("past one point: %+v", got)
	}
	// What is known decides a check and a plan, and permits nothing.
	l := binLift(2.65)
	l.Kind, l.Datum, l.Factor, l.Load.Mass = ballast.StackHigh, ballast.PinHeight, 1, 500
	over := check(t, s, l, 500)
	if over.Status != stability.Exceeded || over.MostUsed.Kind != ballast.LimitHydraulic {
		t.Errorf("500 kg past points that lift 495: %v by %v", over.Status, over.MostUsed)
	}
	p, err := ballast.Plan(t.Context(), s, ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedLift, Lift: &l}}}, ballast.Stock{})
	if err != nil || p.Status != ballast.PlanConflict {
		t.Errorf("plan: %v, %v", p.Status, err)
	}
}

// A lower rated point gives no more lift at any height, at any distance ahead
// up to the rated one.
func TestRatedPointsMonotone(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 2))
	for i := range 400 {
		var points []ballast.RatedPoint
		ahead := i%2 == 0
		z := units.Length(0.2)
		for range 2 + r.IntN(4) {
			p := ballast.RatedPoint{PinHeight: z, AtPin: units.Mass(300 + 1500*r.Float64())}
			if ahead {
				p.Ahead = 0.8
				p.AheadMass = p.AtPin * units.Mass(0.4+0.6*r.Float64())
			}
			points = append(points, p)
			z += units.Length(0.1 + 0.4*r.Float64())
		}
		s := bound(points...)
		s.Loader.SelfLeveling = units.Is(units.Fraction(r.Float64()))
		lower := append([]ballast.RatedPoint(nil), points...)
		p := &lower[r.IntN(len(lower))]
		switch {
		case ahead && i%4 == 0:
			p.AheadMass *= units.Mass(r.Float64())
			p.AheadMass = max(p.AheadMass, 1)
		case ahead:
			p.AtPin = p.AheadMass + (p.AtPin-p.AheadMass)*units.Mass(r.Float64())
		default:
			p.AtPin *= units.Mass(0.2 + 0.8*r.Float64())
		}
		low := s
		l := *s.Loader
		low.Loader = &l
		l.Rated = lower
		for range 20 {
			h := points[0].PinHeight + units.Length(r.Float64())*(points[len(points)-1].PinHeight-points[0].PinHeight)
			e := units.Length(0.8 * r.Float64())
			a, err1 := s.Loader.At(h)
			b, err2 := l.At(h)
			if err := errors.Join(err1, err2); err != nil {
				t.Fatal(err)
			}
			if was, is := a.LiftAhead(e), b.LiftAhead(e); is > was*(1+1e-12) {
				t.Fatalf("%v m ahead at %v: %v, was %v with %+v before %+v", float64(e), h, is, was, points, lower)
			}
		}
	}
}

// The limit of a way is the least over its whole length: no place of it, held
// by itself, allows less.
func TestWayOfCylinders(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 3))
	inside := 0
	for i := range inShort(250) {
		s, l := randomCase(r)
		lo := *s.Loader
		lo.Rated = nil
		lo.Cylinders = &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](0.06), Above: units.Is[units.Length](-0.375)}, RodRadius: units.Is(units.Length(0.4 + 0.6*r.Float64())), RodAngle: units.Is(units.Angle(-0.5 + r.Float64())), Bore: units.Is[units.Length](0.055), Count: 2, Pressure: units.Is[units.GaugePressure](17e6)}
		s.Loader = &lo
		l.Kind, l.Datum = ballast.StackHigh, ballast.PinHeight
		l.Height = lo.LowestPin.Value() + (lo.HighestPin.Value()-lo.LowestPin.Value())*units.Length(0.5+0.5*r.Float64())
		k, err := s.Compile()
		if errors.Is(err, units.ErrInvalid) {
			continue // the cylinders do not push the arm up all the way
		}
		if err != nil {
			t.Fatal(err)
		}
		hydraulic := func(kind ballast.LiftKind, h units.Length) ballast.Limit {
			l := l
			l.Kind, l.Height = kind, h
			c, err := k.Case(l)
			if err != nil {
				t.Fatal(err)
			}
			u := c.Use()
			return u.Limit(ballast.LimitHydraulic)
		}
		way := hydraulic(ballast.StackHigh, l.Height)
		least, where := math.Inf(1), units.Length(0)
		const steps = 300
		for j := range steps + 1 {
			h := min(l.Height, lo.LowestPin.Value()+(l.Height-lo.LowestPin.Value())*units.Length(j)/steps)
			at := hydraulic(ballast.Hold, h)
			if at.Status == stability.ExceededWhenEmpty {
				least, where = 0, h
				break
			}
			if m := float64(at.Mass); m < least {
				least, where = m, h
			}
		}
		if where > lo.LowestPin.Value() && where < l.Height && least > 0 {
			inside++
		}
		if float64(way.Mass) > least*(1+1e-9) || float64(way.Mass) < least*(1-1e-4) {
			t.Errorf("setup %d: the way allows %v kg, at %v %v kg", i, float64(way.Mass), where, least)
		}
	}
	if inside < inShort(5) {
		t.Errorf("only %d ways have their least lift inside", inside)
	}
}

// Whether the limit used most is also the one with the least load left, each
// is told with its own figures.
func TestMostUsedAndNearest(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 4))
	differ := 0
	for range 1000 {
		s, l := randomCase(r)
		c := check(t, s, l, units.Mass(600*r.Float64()))
		if c.MostUsed != c.Limit(c.MostUsed.Kind) || c.Nearest != c.Limit(c.Nearest.Kind) {
			t.Fatalf("%+v, %+v", c.MostUsed, c.Nearest)
		}
		for _, e := range c.Limits {
			if e.Status == stability.NotChecked {
				continue
			}
			if e.Used > c.MostUsed.Used {
				t.Errorf("%v is used more than %v", e, c.MostUsed)
			}
			open := e.Status == stability.Within || e.Status == stability.Binds || e.Status == stability.Exceeded || e.Status == stability.AtMost
			if c.Nearest.Kind != ballast.NoLimit && open && e.Left < c.Nearest.Left {
				t.Errorf("%v is nearer than %v", e, c.Nearest)
			}
		}
		u := use(t, s, l)
		switch c.Status {
		case stability.Within, stability.Binds:
			near(t, "left", float64(c.Nearest.Left), float64(u.Mass-c.Mass), 1e-9)
			if c.Nearest.Kind != c.MostUsed.Kind {
				differ++
			}
		case stability.ExceededWhenEmpty, stability.NotChecked:
			if c.Nearest != (ballast.Share{}) {
				t.Errorf("%v: nearest %+v", c.Status, c.Nearest)
			}
		}
	}
	if differ < 50 {
		t.Errorf("only %d answers tell two limits", differ)
	}
}

// What is left out and would make an answer more cautious is told beside it.
func TestLeftOut(t *testing.T) {
	s := orchard()
	s.Machine.LoaderIncluded = ballast.WithLoader
	s.Loader.ArmMass, s.Loader.ArmCG = units.Input[units.Mass]{}, units.Input[units.Length]{}
	if u := use(t, s, binLift(1.5)); !u.Notes.Has(ballast.NoteArmMassUnknown) || !u.Cautions.Has(ballast.CautionUnchecked) {
		t.Errorf("arm mass: notes %v, cautions %v", u.Notes, u.Cautions)
	}
	// On a slope a locked carrier turns the attachment's height into a lever.
	s = orchard()
	s.Loader.SelfLeveling = units.Input[units.Fraction]{}
	for i := range s.Loader.Rated {
		s.Loader.Rated[i].Ahead, s.Loader.Rated[i].AheadMass = 0, 0
	}
	l := binLift(1.5)
	l.Slope = (8 * units.Degree).Slope()
	if u := use(t, s, l); u.Limit(ballast.LimitHydraulic).Status == stability.NotChecked {
		t.Errorf("%v", u.Notes)
	}
	s.Attachment.CG.Above = units.Input[units.Length]{}
	for _, leveling := range []units.Fraction{0, 1} {
		s.Loader.SelfLeveling = units.Is(leveling)
		u := use(t, s, l)
		if got := u.Limit(ballast.LimitHydraulic).Status; (got == stability.NotChecked) != (leveling == 0) {
			t.Errorf("attachment's height left out, self-leveling %v: %v, notes %v", leveling, got, u.Notes)
		}
	}
	// Without a speed a tire's rating holds up to its symbol's speed only.
	s, l = orchard(), binLift(1.5)
	for _, c := range []struct {
		kmh  units.Speed
		want ballast.Status
	}{{39, stability.Within}, {0, stability.AtMost}, {41, stability.ExceededWhenEmpty}} {
		l.Speed = c.kmh * units.KilometerPerHour
		u := use(t, s, l)
		if got := u.Limit(ballast.LimitFrontTire).Status; got != c.want || u.Notes.Has(ballast.NoteSpeedUnknown) != (c.kmh == 0) {
			t.Errorf("%v km/h: %v, notes %v", float64(c.kmh), got, u.Notes)
		}
	}
}

// A load behind the pin is rated as one at the pin, whatever the carrier.
func TestRatedBehindThePin(t *testing.T) {
	s := bound(ballast.RatedPoint{PinHeight: 0.5, AtPin: 900}, ballast.RatedPoint{PinHeight: 2.5, AtPin: 700})
	s.Loader.SelfLeveling = units.Input[units.Fraction]{}
	s.Attachment = &ballast.Attachment{Kind: ballast.Bucket, Mass: units.Is[units.Mass](100), CG: ballast.Offset{Ahead: units.Is[units.Length](0.001)}, Face: units.Is[units.Length](0.1), Edge: ballast.Offset{Ahead: units.Is[units.Length](0.8), Above: units.Is[units.Length](-0.15)}}
	l := binLift(2.5)
	l.Datum, l.Factor, l.Load.Above = ballast.PinHeight, 1, units.Input[units.Length]{}
	at := func(center units.Length) float64 {
		l.Load.Center = units.Is(center)
		u := use(t, s, l)
		return float64(u.Limit(ballast.LimitHydraulic).Mass)
	}
	x := math.Sqrt(1.75*1.75 - 1.2*1.2) // pin ahead of the pivot, from the arm and the heights
	own := 100 * (x + 0.001) / x
	near(t, "at the pin", at(-0.1), 700-own, 1e-9)
	near(t, "behind the pin", at(-0.5), 700-own, 1e-9)
	near(t, "ahead of the pin", at(0.3), (700-own)*x/(x+0.4), 1e-9)
}

// In a state without load a tire below its lowest pressure is no "within".
func TestRecheckBound(t *testing.T) {
	s := orchard()
	s.Machine.Rear.Tire = ballast.TireRating{Table: []ballast.PressureLoad{{120e3, 1100}, {240e3, 1500}}, Pressure: units.Is[units.GaugePressure](110e3)}
	u := use(t, s, binLift(1))
	for _, r := range u.Rechecks {
		if r.Status != stability.AtMost && r.Status != stability.Exceeded {
			t.Errorf("%v: %v by %v", r.State, r.Status, r.Governing)
		}
	}
}
