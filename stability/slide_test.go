package stability

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/units"
)

// The whole machine slides where the force along the ground is the friction of
// all its weight: braking with all wheels, and turning.
func TestWholeMachineSlides(t *testing.T) {
	r := rand.New(rand.NewPCG(83, 83))
	m := compile(t, loaderTractor(300))
	seen := map[Status]int{}
	for range 200 {
		s := Situation{
			Slope: units.Slope(0.6 * r.Float64()), Heading: units.Angle(6.28 * r.Float64()),
			Acceleration: units.Acceleration(r.Float64() - 0.5), LateralAcceleration: units.Acceleration(r.Float64() - 0.5),
			Friction: units.Fraction(0.2 + 0.7*r.Float64()), Held: HeldAll,
		}
		check := func(name string, l AccelerationLimit, at func(a float64) vec) {
			t.Helper()
			spare := func(a float64) float64 {
				w := at(a)
				return float64(s.Friction)*-w[2] - math.Hypot(w[0], w[1])
			}
			seen[l.Status]++
			a := float64(l.Acceleration)
			switch {
			case l.Kind != SlidesAll:
				t.Errorf("%s: %v", name, l)
			case l.Status == Exceeded:
				if spare(0) > 0 || a != 0 {
					t.Errorf("%s: %v, %v to spare", name, l, spare(0))
				}
			case l.Status != Within || math.Abs(spare(a)) > 1e-10 || spare(0) <= 0 || spare(a*0.9) <= 0:
				t.Errorf("%s: %v, %v to spare there and %v at rest", name, l, spare(a), spare(0))
			}
		}
		b, err := m.Braking(s)
		if err != nil {
			t.Fatal(err)
		}
		check("braking", b.Slides, func(a float64) vec {
			return forcesAt(float64(s.Slope), float64(s.Heading), -a, float64(s.LateralAcceleration))
		})
		const radius = 7.0
		turn, err := m.Turn(s, radius)
		if err != nil {
			t.Fatal(err)
		}
		for sign, side := range map[float64]TurnSide{1: turn.Left, -1: turn.Right} {
			check("turning", side.Slides, func(a float64) vec {
				// The center of the circle lies on the line of the rear axle.
				back := m.whole.x / m.whole.m / radius
				return forcesAt(float64(s.Slope), float64(s.Heading), float64(s.Acceleration)-back*a, float64(s.LateralAcceleration)+sign*math.Sqrt(1-back*back)*a)
			})
			// The speeds, v^2 = a R, and the least of them.
			least := AccelerationLimit{Kind: SlidesAll, Status: CannotOccur}
			var speed float64
			for _, c := range []struct {
				l AccelerationLimit
				v units.Speed
			}{{side.Parallel, side.ParallelSpeed}, {side.Horizontal, side.HorizontalSpeed}, {side.Slides, side.SlideSpeed}} {
				want := 0.0
				if c.l.Status == Within {
					want = math.Sqrt(float64(c.l.Acceleration) * radius)
				}
				if !alike(float64(c.v), want) {
					t.Errorf("%v for %v", c.v, c.l)
				}
				if least.Status != Exceeded && (c.l.Status == Exceeded || c.l.Status == Within && (least.Status != Within || want < speed)) {
					least, speed = c.l, want
				}
			}
			if side.First != least || !alike(float64(side.Speed), speed) {
				t.Errorf("first %v at %v, want %v at %v", side.First, side.Speed, least, speed)
			}
		}
	}
	if seen[Exceeded] < 20 || seen[Within] < 200 {
		t.Errorf("seen %v", seen)
	}
}

// An axle without load on level ground has slid already, and with it a machine
// that all wheels hold; over already, a machine does not slide first.
func TestSlidesOfATippedMachine(t *testing.T) {
	for x, axle := range map[units.Length]int{-0.1: slideFront, 2.2: slideRear} {
		v := loaderTractor(0)
		v.Body.CG.X = x
		m := compile(t, v)
		for _, held := range []Held{HeldRear, HeldAll} {
			l, err := m.Limits(Situation{Heading: angle(30), Friction: 0.5, Held: held})
			if err != nil {
				t.Fatal(err)
			}
			if l.Slide[axle].Status != Exceeded || (l.Slide[slideAll].Status == Exceeded) != (held == HeldAll) || l.FirstSlide.Status != Exceeded {
				t.Errorf("x %v, held %v: %v", x, held, l.Slide)
			}
			if l.First != l.FirstTip || l.First.Status != Exceeded || l.Cautions.Has(CautionSlidesFirst) {
				t.Errorf("x %v, held %v: first %v, %v", x, held, l.First, l.Cautions)
			}
		}
	}
	// Both axles on the ground, and over sideways.
	v := loaderTractor(0)
	v.Body.CG.Y = 2
	l, err := compile(t, v).Limits(Situation{Heading: angle(90), Friction: 0.5})
	if err != nil || !l.FirstSlide.reached() || l.First != l.FirstTip || l.First.Status != Exceeded || l.Cautions.Has(CautionSlidesFirst) {
		t.Errorf("over sideways: %v, first %v, %v, %v", l.FirstSlide, l.First, l.Cautions, err)
	}
}

// The least root from zero on, of squares with known roots, such as
// (x - 3)(x + 2), and of straight lines.
func TestLeastRoot(t *testing.T) {
	for _, c := range []struct {
		a, b, c, want float64
		status        Status
	}{
		{1, -1, -6, 3, Within},
		{1, 1, -6, 2, Within},
		{-1, 8, -15, 3, Within},
		{-1, -8, -15, 0, CannotOccur},
		{0, 1, -4, 4, Within},
		{0, -1, -4, 0, CannotOccur},
		{1e-18, 1, -4, 4, Within},
		{-1, 1, -4, 0, CannotOccur},
		{1, 3, 2, 0, Exceeded},
		{1, -3, 0, 0, Exceeded},
	} {
		x, s := leastRoot(c.a, c.b, c.c)
		if s != c.status || math.Abs(x-c.want) > 1e-12 {
			t.Errorf("%v x^2 + %v x + %v: %v, %v, want %v, %v", c.a, c.b, c.c, x, s, c.want, c.status)
		}
	}
}
