package stability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The worst limit is the least over all headings: those of a compass of half
// degrees, the least of them closed in on, and those next to straight up and
// down, where one rear wheel alone may come to hold.
func TestWorstBySearch(t *testing.T) {
	left := 0
	beside := map[bool]int{} // by the side: next to straight down
	kept := map[stability.LimitKind]int{}
	for _, kind := range kinds {
		r := rand.New(rand.NewPCG(uint64(kind), 71))
		var machines []stability.Vehicle
		for range 12 {
			machines = append(machines, full(r, kind), odd(r, kind))
		}
		if kind == stability.PivotingFront || kind == stability.Articulated {
			// Rare ones whose worst heading is next to straight down, where a
			// lesser turn of the nose lets the other rear wheel hold.
			for range 1200 {
				v := odd(r, kind)
				if off := float64(compile(t, v).WorstTip().Heading) - math.Pi; off != 0 && math.Abs(off) < 1e-6 {
					machines = append(machines, v)
					beside[off > 0]++
				}
			}
		}
		for n, v := range machines {
			m := compile(t, v)
			at := func(h float64) float64 {
				tip, err := m.Tip(units.Angle(h))
				if err != nil {
					t.Fatal(err)
				}
				switch {
				case tip.First.Status == stability.Exceeded:
					return 0
				case reached(tip.First):
					return tip.First.Grade
				}
				return math.Inf(1)
			}
			const steps = 720
			const step = 2 * math.Pi / steps
			worst := m.WorstTip()
			if at(0) == 0 {
				if worst.First.Status != stability.Exceeded || worst.First.Grade != 0 {
					t.Fatalf("%v %d: %v, over on the level", kind, n, worst.First)
				}
				continue
			}
			low, place := math.Inf(1), 0.0
			for i := range steps {
				if g := at(float64(i) * step); g < low {
					low, place = g, float64(i)*step
				}
			}
			best, _ := highest(func(h float64) float64 { return -at(h) }, place-step, place+step)
			low = min(low, -best)
			for _, h := range []float64{1e-9, -1e-9, math.Pi - 1e-9, math.Pi + 1e-9} {
				low = min(low, at(h))
			}
			if g := worst.First.Grade; !reached(worst.First) || math.Abs(g-low) > 1e-8*low {
				t.Errorf("%v %d: worst %v, by search %v near %v\n%+v", kind, n, worst.First, low, place, v)
			}
			h := worst.Heading
			if !(h >= 0 && h < 2*math.Pi) || math.Abs(at(float64(h))-worst.First.Grade) > 1e-6*low {
				t.Errorf("%v %d: worst %v at %v, where it is %v", kind, n, worst.First, h, at(float64(h)))
			}
			if h > math.Pi {
				left++
			}
			kept[worst.First.Kind]++
		}
	}
	if left < 20 || len(kept) < 6 || beside[false]+beside[true] < 3 {
		t.Errorf("%d to the left, %v, next to straight down %v", left, kept, beside)
	}
}

// With the middle of the machine in its middle plane the two worst headings
// are mirror images, and the one with downhill on the right is told.
func TestWorstOfMirrorImages(t *testing.T) {
	r := rand.New(rand.NewPCG(73, 73))
	for range 30 {
		v := draw(r, kinds[r.IntN(len(kinds))])
		v.Body.CG.Y = 0
		v.Body.PitchRise = units.Length(0.05 * float64(r.IntN(2)))
		if w := compile(t, v).WorstTip(); w.Heading > math.Pi || w.First.Kind == stability.TipsLeft {
			t.Errorf("%v at %v\n%+v", w.First, w.Heading, v)
		}
	}
}

// Over on level ground already, a machine is answered as with its nose
// straight uphill.
func TestWorstOfATippedMachine(t *testing.T) {
	for _, kind := range kinds {
		r := rand.New(rand.NewPCG(uint64(kind), 79))
		v := full(r, kind)
		v.Body.CG.Y = 4
		m := compile(t, v)
		up, err := m.Tip(0)
		if err != nil {
			t.Fatal(err)
		}
		if w := m.WorstTip(); w != up || w.First.Status != stability.Exceeded {
			t.Errorf("%v: %+v, nose uphill %+v", kind, w, up)
		}
	}
}

// Lying flat on the ground a machine tips nowhere.
func TestFlatMachine(t *testing.T) {
	v := loaderTractor(0)
	v.Body.CG.Z = 1e-9
	v.Undercarriage.PinHeight = 0
	m := compile(t, v)
	none := stability.Limit{Kind: stability.NoLimit, Status: stability.CannotOccur}
	if w := m.WorstTip(); w.First != none {
		t.Errorf("worst %v", w.First)
	}
	for _, h := range []float64{0, 60, 90, 200} {
		tip, err := m.Tip(angle(h))
		if err != nil || tip.First != none {
			t.Errorf("heading %v: %v, %v", h, tip.First, err)
		}
		for k, l := range tip.Limits {
			if l != (stability.Limit{Kind: stability.LimitKind(k), Status: stability.CannotOccur}) {
				t.Errorf("heading %v: %v", h, l)
			}
		}
		if tip, err = m.TipHolding(angle(h), 0.4); err != nil || tip.First != none {
			t.Errorf("heading %v, holding: %v, %v", h, tip.First, err)
		}
	}
	points := make([]stability.PolarPoint, 8)
	m.Polar(points)
	for _, p := range points {
		if p.First != none {
			t.Errorf("polar %+v", p)
		}
	}
	s := m.Sensitivity()
	if s.Limit != none || s.PerUnit != [stability.NumInputs]float64{} {
		t.Errorf("sensitivity %+v", s)
	}
	b, err := m.Band(stability.Tolerances{CG: stability.Point{X: 0.01}}, 100, 1)
	if up := units.Slope(math.Pi / 2); err != nil || b.Limit != none || b.Range.Low != up || b.Range.High != up || b.Interval.Low != up {
		t.Errorf("band %+v, %v", b, err)
	}
}

// Of any edge, with as much yaw of liquid as may be, the worst heading is the
// one that a finer search finds.
func TestWorstOfEdges(t *testing.T) {
	r := rand.New(rand.NewPCG(89, 89))
	both := 0
	for range 400 {
		in := func() float64 { return 2*r.Float64() - 1 }
		e := stability.Edge{A: 0.1 + r.Float64(), S: in(), C: in(), Q: in()}
		at := func(h float64) float64 {
			sin, cos := math.Sincos(h)
			if g, s := e.Grade(sin, cos); s == stability.Within {
				return g
			}
			return math.Inf(1)
		}
		const steps = 500
		const step = 2 * math.Pi / steps
		low, place := math.Inf(1), 0.0
		for i := range steps {
			if g := at(float64(i) * step); g < low {
				low, place = g, float64(i)*step
			}
		}
		best, _ := highest(func(h float64) float64 { return -at(h) }, place-step, place+step)
		low = min(low, -best)
		g, sin, cos, s := e.Worst()
		if s != stability.Within || g > low*(1+1e-8) || math.Abs(math.Hypot(sin, cos)-1) > 1e-12 {
			t.Errorf("%+v: worst %v at %v, %v, by search %v at %v", e, g, sin, cos, low, place)
		}
		if g != at(math.Atan2(sin, cos)) && !alike(g, at(math.Atan2(sin, cos))) {
			t.Errorf("%+v: worst %v, where it is %v", e, g, at(math.Atan2(sin, cos)))
		}
		if straight := e.A / math.Hypot(e.S, e.C); g < straight*0.999 {
			both++
		}
	}
	if both < 50 {
		t.Errorf("only %d edges are worse by the yaw", both)
	}
}
