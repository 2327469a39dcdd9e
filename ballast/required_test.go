package ballast_test

import (
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// What a missing rating would have to be is enough, in every state, and no more
// than enough.
func TestRequiredRatings(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 8))
	enough, short := 0, 0
	for i := range 400 {
		s, l := openCase(r)
		if hasFill(&s) || len(s.Loader.Rated) == 0 && s.Loader.Cylinders == nil {
			continue
		}
		loader, attachment := *s.Loader, *s.Attachment
		s.Loader, s.Attachment = &loader, &attachment
		m := &s.Machine
		ratings := map[ballast.LimitKind]*units.Input[units.Mass]{
			ballast.LimitFrontAxle: &m.Front.Rating, ballast.LimitFrontRim: &m.Front.WheelRating, ballast.LimitRearAxle: &m.Rear.Rating, ballast.LimitRearRim: &m.Rear.WheelRating,
			ballast.LimitGross: &m.GrossRating, ballast.LimitROPS: &m.ROPSRating, ballast.LimitCoupler: &loader.CouplerRating,
		}
		for _, f := range openFields(r, s, r.IntN(4), 0.05) {
			s = f.wide(s)
		}
		loader, attachment = *s.Loader, *s.Attachment
		s.Loader, s.Attachment = &loader, &attachment
		for _, in := range ratings {
			*in = units.Input[units.Mass]{}
		}
		load := units.Mass(50 + 300*r.Float64())
		was, err := s.Check(l, load)
		if err != nil {
			continue
		}
		for k, in := range ratings {
			required := was.Limit(k).Required
			if required < 1 {
				continue
			}
			fits := func(share float64) bool {
				*in = units.Is(required * units.Mass(share))
				is, err := s.Check(l, load)
				*in = units.Input[units.Mass]{}
				if err != nil {
					t.Fatal(err)
				}
				ok := is.Limit(k).Verdict == ballast.NoLimitExceeded
				for _, again := range is.Usable.Rechecks {
					ok = ok && !(again.Exceeded | again.Open).Has(ballast.LimitSet(1)<<(k-1))
				}
				return ok
			}
			if !fits(1 + 1e-9) {
				t.Errorf("case %d, %v: %v is not enough for %v", i, k, required, load)
			}
			enough++
			if fits(0.99) {
				t.Errorf("case %d, %v: 1 %% less than %v is enough for %v", i, k, required, load)
			}
			short++
		}
	}
	t.Logf("%d ratings", enough)
	if enough < 500 || short != enough {
		t.Error("too few")
	}
}

// A transport has a positive verdict only with every rating given or declared
// absent, and a rating that is missing is no kind of yes.
func TestTransportVerdict(t *testing.T) {
	rated := func(kg units.Mass) units.Input[units.Mass] { return units.Is(kg) }
	tire := ballast.TireRating{LoadIndex: 130, SpeedSymbol: liquid.SpeedA8}
	tr := ballast.Transport{FrontLoad: rated(900), RearLoad: rated(1300), Wheelbase: units.Is[units.Length](2), Speed: 8, GrossRating: rated(4000),
		Hitch: ballast.Hitch{X: units.Is[units.Length](-0.6), Rating: rated(1200)}, Behind: mounted(300, 0.5),
		Front: ballast.Axle{Rating: rated(1500), WheelRating: rated(900), Tire: tire}, Rear: ballast.Axle{Rating: rated(2600), WheelRating: units.None[units.Mass](), Tire: tire}}
	for _, c := range []struct {
		name   string
		change func(*ballast.Transport)
		want   ballast.Verdict
	}{
		{"all is given", func(*ballast.Transport) {}, ballast.NoLimitExceeded},
		{"an axle rating is missing", func(t *ballast.Transport) { t.Front.Rating = units.Input[units.Mass]{} }, ballast.NeedsRatings},
		{"the hitch has none that is known", func(t *ballast.Transport) { t.Hitch.Rating = units.Input[units.Mass]{} }, ballast.NeedsRatings},
		{"and nothing hangs on it", func(t *ballast.Transport) {
			t.Hitch.Rating, t.Behind = units.Input[units.Mass]{}, ballast.Mounted{}
		}, ballast.NoLimitExceeded},
		{"the speed is not known", func(t *ballast.Transport) { t.Speed = 0 }, ballast.CannotSay},
		{"too heavy", func(t *ballast.Transport) { t.GrossRating = rated(2400) }, ballast.ExceedsLimit},
		{"too heavy, and a rating is missing", func(t *ballast.Transport) {
			t.GrossRating, t.Front.Rating = rated(2400), units.Input[units.Mass]{}
		}, ballast.ExceedsLimit},
	} {
		one := tr
		c.change(&one)
		got, err := one.Check()
		if err != nil || got.Verdict != c.want {
			t.Errorf("%s: %v, %v", c.name, got.Verdict, err)
		}
	}
}

// A machine that may be broken by its own ballast has no positive verdict of any
// load, not of none either.
func TestNoLoadAtAll(t *testing.T) {
	s := orchard()
	s.Machine.GrossRating = units.Is[units.Mass](2700)
	l := binLift(1)
	k, err := s.Compile()
	if err != nil {
		t.Fatal(err)
	}
	mass := k.Mass()
	for _, c := range []struct {
		rating units.Input[units.Mass]
		want   ballast.Verdict
	}{{units.Is(mass - 10), ballast.ExceedsLimit}, {units.Between(mass-10, mass+10), ballast.CannotSay}, {units.Is(mass + 10), ballast.NoLimitExceeded}} {
		s.Machine.GrossRating = c.rating
		j, err := s.Check(l, 0)
		if err != nil || j.Limit(ballast.LimitGross).Verdict != c.want || j.Verdict != c.want {
			t.Errorf("gross rating %v, %v on the machine: %v, %v", c.rating, mass, j.Verdict, err)
		}
	}
	l.Basis = ballast.Basis{}
	if j, err := s.Check(l, 0); err != nil || j.Verdict != ballast.CannotSay {
		t.Errorf("without a basis: %v, %v", j.Verdict, err)
	}
}

// What an outside review found: a sideways range in a slope limit, a pin that
// practice puts lower than was taken, an arm that cannot reach, an envelope that
// nothing made, a lift outside the rated heights that nothing said.
func TestReviewed(t *testing.T) {
	s := orchard()
	l := binLift(1)
	slope := func(side units.Input[units.Length]) units.Range[units.Slope] {
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			t.Fatal(err)
		}
		l := l
		l.Load.Sideways = side
		got, err := e.SlopeLimit(t.Context(), l, 300, ballast.Ground{})
		if err != nil {
			t.Fatal(err)
		}
		return got.Tip
	}
	wide, a, b := slope(units.Between[units.Length](0, 0.5)), slope(units.Is[units.Length](0)), slope(units.Is[units.Length](0.5))
	if low := min(a.Low, b.Low); wide.Low > low+1e-9 || wide.High < max(a.Low, b.Low)-1e-9 {
		t.Errorf("sideways open: %v, at its ends %v and %v", wide, a, b)
	}
	open := s
	loader := *s.Loader
	loader.LowestPin = units.Input[units.Length]{}
	open.Loader = &loader
	if e, err := open.Envelope(ballast.Practice{LowestPin: units.Range[units.Length]{Low: 0.02, High: 0.06}}); err != nil || e.Assumed()[0].Length.Low != 0.02 {
		t.Errorf("a lowest pin by practice: %+v, %v", e.Assumed(), err)
	}
	far := loader
	far.Arm, far.LowestPin, far.Pivot.Z = units.Input[units.Length]{}, s.Loader.LowestPin, units.Is[units.Length](5)
	open.Loader = &far
	if _, err := open.Envelope(ballast.Practice{}); err == nil {
		t.Error("an arm that cannot reach is no error")
	}
	var none ballast.Envelope
	if _, err := none.Check(l, 100); err == nil {
		t.Error("an envelope that nothing made answers")
	}
	if _, err := none.WheelLoads(ballast.StateLowered); err == nil {
		t.Error("an envelope that nothing made has wheel loads")
	}
	rated := loader
	rated.LowestPin, rated.Rated = s.Loader.LowestPin, []ballast.RatedPoint{{PinHeight: 0.2, AtPin: 400}}
	open.Loader = &rated
	l.Height, l.Datum = 2.6, ballast.PinHeight
	if j, err := open.Check(l, 30); err != nil || j.Usable.Notes&ballast.NoteOutsideRated == 0 {
		t.Errorf("outside the rated heights: notes %v, %v", j.Usable.Notes, err)
	}
}

// No heading between those that a slope limit looks at slides at less than the low
// end that it tells.
func TestSlidesBetweenHeadings(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 10))
	closest := units.Slope(1)
	for range 40 {
		s, l := randomCase(r)
		l.Slope, l.Heading, l.Braking = 0, 0, 0
		e, err := s.Envelope(ballast.Practice{})
		if err != nil {
			t.Fatal(err)
		}
		got, err := e.SlopeLimit(t.Context(), l, 200, ballast.Ground{Friction: units.Range[units.Fraction]{Low: 0.6, High: 0.6}})
		if err != nil {
			t.Fatal(err)
		}
		k, err := s.Compile()
		if err != nil {
			t.Fatal(err)
		}
		c, err := k.Case(l)
		if err != nil {
			t.Fatal(err)
		}
		v, err := c.Vehicle(200)
		if err != nil {
			continue
		}
		m, err := v.Compile()
		if err != nil {
			t.Fatal(err)
		}
		for h := range 720 {
			limits, err := m.Limits(stability.Situation{Heading: units.Angle(h) * units.Turn / 720, Friction: 0.6})
			if err != nil {
				t.Fatal(err)
			}
			if first := limits.FirstSlide; first.Status == stability.Binds || first.Status == stability.Within {
				if first.Slope() < got.Slide.Low {
					t.Errorf("slides at %v, told %v at least", first.Slope(), got.Slide.Low)
				}
				closest = min(closest, first.Slope()-got.Slide.Low)
			}
		}
	}
	if closest > (0.19995 * units.Degree).Slope() {
		t.Errorf("no heading between comes nearer than %v: with nothing taken off this test would see nothing", closest)
	}
}

// The lift of a loader with known cylinders lies, at every height, between the ends
// that its rating at one height gives.
func TestOutsideRatedHeights(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 11))
	asked, outside := 0, 0
	for range 400 {
		s, l := randomCase(r)
		if s.Loader.Cylinders == nil {
			continue
		}
		loader := *s.Loader
		loader.SelfLeveling = units.Is[units.Fraction](1)
		s.Loader = &loader
		l.Kind, l.Slope, l.Braking, l.Datum = ballast.Hold, 0, 0, ballast.PinHeight
		rated := 0.3 + 2.2*units.Length(r.Float64())
		at, err := loader.At(rated)
		if err != nil || at.Lift <= 0 {
			continue
		}
		one := s
		plate := loader
		plate.Cylinders, plate.Rated = nil, []ballast.RatedPoint{{PinHeight: rated, AtPin: units.Mass(float64(at.Lift) / float64(units.StandardGravity))}}
		one.Loader = &plate
		for range 5 {
			l.Height = 0.3 + 2.2*units.Length(r.Float64())
			truth, err := pointUse(s, l)
			if err != nil || truth.Limit(ballast.LimitHydraulic).Status == stability.ExceededWhenEmpty {
				continue
			}
			u, err := one.UsableLoad(l)
			if err != nil {
				t.Fatal(err)
			}
			asked++
			is, told := truth.Limit(ballast.LimitHydraulic).Mass, u.Limit(ballast.LimitHydraulic)
			if is < told.Mass.Low-1e-6 || is > told.Mass.High+1e-6 {
				t.Errorf("rated at %v, asked at %v: %v, told %v", rated, l.Height, is, told.Mass)
			}
			if told.Mass.Low < told.Mass.High {
				outside++
			}
		}
	}
	if asked < 200 || outside < 150 {
		t.Errorf("%d asked, %d outside", asked, outside)
	}
}
