package stability_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The whole machine slides where the force along the ground is the friction of
// all its weight: braking with all wheels, and turning.
func TestWholeMachineSlides(t *testing.T) {
	r := rand.New(rand.NewPCG(83, 83))
	v := loaderTractor(300)
	m := compile(t, v)
	whole, err := stability.Assemble(v.Body.Part(), v.Undercarriage.Axle)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[stability.Status]int{}
	for range 200 {
		s := stability.Situation{
			Slope: units.Slope(0.6 * r.Float64()), Heading: units.Angle(6.28 * r.Float64()),
			Acceleration: units.Acceleration(r.Float64() - 0.5), LateralAcceleration: units.Acceleration(r.Float64() - 0.5),
			Friction: units.Fraction(0.2 + 0.7*r.Float64()), Held: stability.HeldAll,
		}
		check := func(name string, l stability.AccelerationLimit, at func(a float64) vec) {
			t.Helper()
			spare := func(a float64) float64 {
				w := at(a)
				return float64(s.Friction)*-w[2] - math.Hypot(w[0], w[1])
			}
			seen[l.Status]++
			a := float64(l.Acceleration)
			switch {
			case l.Kind != stability.SlidesAll:
				t.Errorf("%s: %v", name, l)
			case l.Status == stability.Exceeded:
				if spare(0) > 0 || a != 0 {
					t.Errorf("%s: %v, %v to spare", name, l, spare(0))
				}
			case l.Status != stability.Within || math.Abs(spare(a)) > 1e-10 || spare(0) <= 0 || spare(a*0.9) <= 0:
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
		for sign, side := range map[float64]stability.TurnSide{1: turn.Left, -1: turn.Right} {
			check("turning", side.Slides, func(a float64) vec {
				// The center of the circle lies on the line of the rear axle.
				back := float64(whole.CG.X) / radius
				return forcesAt(float64(s.Slope), float64(s.Heading), float64(s.Acceleration)-back*a, float64(s.LateralAcceleration)+sign*math.Sqrt(1-back*back)*a)
			})
			// The speeds, v^2 = a R, and the least of them.
			least := stability.AccelerationLimit{Kind: stability.SlidesAll, Status: stability.CannotOccur}
			var speed float64
			for _, c := range []struct {
				l stability.AccelerationLimit
				v units.Speed
			}{{side.Parallel, side.ParallelSpeed}, {side.Horizontal, side.HorizontalSpeed}, {side.Slides, side.SlideSpeed}} {
				want := 0.0
				if c.l.Status == stability.Within {
					want = math.Sqrt(float64(c.l.Acceleration) * radius)
				}
				if !alike(float64(c.v), want) {
					t.Errorf("%v for %v", c.v, c.l)
				}
				if least.Status != stability.Exceeded && (c.l.Status == stability.Exceeded || c.l.Status == stability.Within && (least.Status != stability.Within || want < speed)) {
					least, speed = c.l, want
				}
			}
			if side.First != least || !alike(float64(side.Speed), speed) {
				t.Errorf("first %v at %v, want %v at %v", side.First, side.Speed, least, speed)
			}
		}
	}
	if seen[stability.Exceeded] < 20 || seen[stability.Within] < 200 {
		t.Errorf("seen %v", seen)
	}
}

// slideOf returns the limit of one kind of sliding.
func slideOf(l stability.Limits, k stability.LimitKind) stability.Limit {
	return l.Slide[slices.IndexFunc(l.Slide[:], func(l stability.Limit) bool { return l.Kind == k })]
}

// An axle without load on level ground has slid already, and with it a machine
// that all wheels hold; over already, a machine does not slide first.
func TestSlidesOfATippedMachine(t *testing.T) {
	for x, axle := range map[units.Length]stability.LimitKind{-0.1: stability.SlidesFront, 2.2: stability.SlidesRear} {
		v := loaderTractor(0)
		v.Body.CG.X = x
		m := compile(t, v)
		for _, held := range []stability.Held{stability.HeldRear, stability.HeldAll} {
			l, err := m.Limits(stability.Situation{Heading: angle(30), Friction: 0.5, Held: held})
			if err != nil {
				t.Fatal(err)
			}
			if slideOf(l, axle).Status != stability.Exceeded || (slideOf(l, stability.SlidesAll).Status == stability.Exceeded) != (held == stability.HeldAll) || l.FirstSlide.Status != stability.Exceeded {
				t.Errorf("x %v, held %v: %v", x, held, l.Slide)
			}
			if l.First != l.FirstTip || l.First.Status != stability.Exceeded || l.Cautions.Has(stability.CautionSlidesFirst) {
				t.Errorf("x %v, held %v: first %v, %v", x, held, l.First, l.Cautions)
			}
		}
	}
	// Both axles on the ground, and over sideways.
	v := loaderTractor(0)
	v.Body.CG.Y = 2
	l, err := compile(t, v).Limits(stability.Situation{Heading: angle(90), Friction: 0.5})
	if err != nil || !reached(l.FirstSlide) || l.First != l.FirstTip || l.First.Status != stability.Exceeded || l.Cautions.Has(stability.CautionSlidesFirst) {
		t.Errorf("over sideways: %v, first %v, %v, %v", l.FirstSlide, l.First, l.Cautions, err)
	}
}
