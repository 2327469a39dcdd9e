package stability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// center returns the body's mass at its center of gravity, raised by what its
// liquid counts for in roll.
func center(v stability.Vehicle) dot {
	b := v.Body
	return dot{float64(b.Mass), vec{float64(b.CG.X), float64(b.CG.Y), float64(b.CG.Z + b.RollRise)}}
}

// sunk returns how the body turns about its pin, rolling first, until its rear
// wheels have risen by left and right.
func sunk(v stability.Vehicle, left, right float64) func(vec) vec {
	u := v.Undercarriage
	pin := vec{float64(u.Wheelbase), 0, float64(u.PinHeight)}
	place := func(roll, pitch float64) func(vec) vec {
		m := turned(vec{1}, roll).then(turned(vec{0, 1}, pitch))
		return func(p vec) vec { return m.of(p.minus(pin)).plus(pin) }
	}
	half := float64(u.RearTrack) / 2
	var roll, pitch float64
	for range 8 {
		off := func(roll, pitch float64) (l, r float64) {
			at := place(roll, pitch)
			return at(vec{0, half})[2] - left, at(vec{0, -half})[2] - right
		}
		const d = 1e-6
		l, r := off(roll, pitch)
		lr, rr := off(roll+d, pitch)
		lp, rp := off(roll, pitch+d)
		a, b, c, e := (lr-l)/d, (lp-l)/d, (rr-r)/d, (rp-r)/d
		det := a*e - b*c
		roll, pitch = roll-(l*e-r*b)/det, pitch-(a*r-c*l)/det
	}
	return place(roll, pitch)
}

// On tires that give, the body goes over where nothing holds it about the line
// from the sunk contact to the pin. What the axle's mass and the liquid in yaw
// do is as on rigid tires, by the free bodies.
func TestTiresByPoints(t *testing.T) {
	seen := map[stability.Status]int{}
	first := map[stability.Status]int{}
	r := rand.New(rand.NewPCG(61, 61))
	for n := range 160 {
		v := full(r, stability.PivotingFront)
		u := &v.Undercarriage
		u.RearTireStiffness = units.Stiffness(1e5 * math.Pow(20, r.Float64()))
		if n%8 == 0 {
			u.RearTireStiffness = units.Stiffness(1e4 * (1 + r.Float64())) // all but flat
		}
		heading, own, right := angle(180*r.Float64()), units.Angle(0), v
		own = heading
		if n%2 == 1 {
			own, right = -heading, mirror(v)
		}
		m := compile(t, v)
		soft, err := m.TipOnTires(own)
		if err != nil {
			t.Fatal(err)
		}
		tip, _ := m.Tip(own)
		kind := stability.TipsRight
		if n%2 == 1 {
			kind = stability.TipsLeft
		}
		rigid := tip.Limits[kind]
		if soft.Limit.Kind != kind || soft.FirstOrder.Kind != kind || soft.Notes.Has(stability.NoteRigidTires) {
			t.Fatalf("%+v", soft)
		}
		if !reached(rigid) {
			if soft.Limit.Status != rigid.Status || soft.FirstOrder.Status != rigid.Status {
				t.Fatalf("%+v, rigid %v", soft, rigid)
			}
			continue
		}
		seen[soft.Limit.Status]++
		first[soft.FirstOrder.Status]++
		l, half, k := float64(u.Wheelbase), float64(u.RearTrack)/2, float64(u.RearTireStiffness)
		pin, contact := vec{l, 0, float64(u.PinHeight)}, vec{0, -half}
		at := func(grade float64) (free freeBody) {
			free = freely(right, stability.Situation{Heading: heading, Slope: units.Grade(grade)})
			return free
		}
		level := at(0).row(stability.RowRearAxle)
		held := func(grade float64) (float64, float64) {
			free := at(grade)
			load := free.row(stability.RowRearAxle)
			place := sunk(right, level/2/k, level/2/k-load/k)
			c := place(contact)
			c[2] = 0
			body := center(right)
			moved := dot{body.mass, place(body.at)}
			rest := free.row(stability.RowLiftLeft)*2*half*l - lever(contact, pin.minus(contact), free.w, []dot{body})
			return (lever(c, pin.minus(c), free.w, []dot{moved}) + rest) / (body.mass * kgf * l), load
		}
		switch soft.Limit.Status {
		case stability.Exceeded:
			// A tire that would sink by the track has no such pose.
			if x, _ := held(0); x > 0 && level/k < 1.8*half {
				t.Errorf("%d: exceeded, but held by %v", n, x)
			}
			if soft.Roll != 0 {
				t.Errorf("%d: rolled by %v", n, soft.Roll)
			}
		case stability.Within:
			g := soft.Limit.Grade
			x, load := held(g)
			if math.Abs(x) > 1e-9 {
				t.Errorf("%d: %v, held by %v there", n, soft.Limit, x)
			}
			for _, f := range []float64{0, 0.3, 0.6, 0.9} {
				if x, _ := held(f * g); x <= 0 {
					t.Errorf("%d: %v, but %v at %v of it", n, soft.Limit, x, f)
				}
			}
			if roll := math.Atan(load / k / (2 * half)); math.Abs(float64(soft.Roll)-roll) > 1e-9 {
				t.Errorf("%d: rolled by %v, want %v", n, soft.Roll, roll)
			}
		default:
			// As long as the rear axle carries load.
			for _, f := range []float64{0, 0.5, 1, 1.2} {
				if x, load := held(f * rigid.Grade); soft.Limit.Status != stability.NotChecked || load > 0 && x <= 0 {
					t.Errorf("%d: %v, held by %v at %v of the rigid %v", n, soft.Limit, x, f, rigid)
				}
			}
		}
		// tan b = tan b1 - N/(k T), with N at that slope.
		sag := func(grade float64) float64 { return at(grade).row(stability.RowRearAxle) / (k * 2 * half) }
		switch f := soft.FirstOrder; f.Status {
		case stability.Within:
			if want := rigid.Grade - sag(f.Grade); math.Abs(f.Grade-want) > 1e-10 {
				t.Errorf("%d: first order %v, want %v", n, f, want)
			}
		case stability.Exceeded:
			if rigid.Grade > 2*sag(0) {
				t.Errorf("%d: first order %v, rigid %v, sag %v", n, f, rigid, sag(0))
			}
		default:
			if f.Status != stability.NotChecked || at(rigid.Grade).row(stability.RowRearAxle) > 0 {
				t.Errorf("%d: first order %v", n, f)
			}
		}
	}
	if seen[stability.Within] < 60 || seen[stability.Exceeded] < 3 || first[stability.Within] < 60 || first[stability.Exceeded] < 3 {
		t.Errorf("seen %v, first order %v", seen, first)
	}
}

// The wheel in a rut or on a bump stands at its height, the others stay, and
// the body goes over where nothing holds it about the line from the rear
// contact, where that is now, to the pin, where that is now.
func TestUnevenByPoints(t *testing.T) {
	r := rand.New(rand.NewPCG(67, 67))
	seen := map[stability.Status]int{}
	for n := range 200 {
		v := full(r, stability.PivotingFront)
		u := &v.Undercarriage
		u.StopAngle = angle(2 + 10*r.Float64())
		if n%5 == 0 {
			u.StopAngle = 0
		}
		rut := stability.Rut{Wheel: stability.WheelInRut(n % 4), Height: units.Length(0.5*r.Float64() - 0.25)}
		heading := angle(360 * r.Float64())
		o, err := compile(t, v).OnUneven(heading, rut)
		if err != nil {
			t.Fatal(err)
		}
		h, l, half := float64(rut.Height), float64(u.Wheelbase), float64(u.RearTrack)/2
		pin := vec{l, 0, float64(u.PinHeight)}
		contacts := map[bool]vec{false: {0, -half}, true: {0, half}} // by left
		// zero finds the turn nearest to none at which f is zero.
		zero := func(f func(float64) float64) float64 {
			a, b := -0.9, 0.9
			if f(a) > f(b) {
				a, b = b, a
			}
			for range 60 {
				if mid := (a + b) / 2; f(mid) < 0 {
					a = mid
				} else {
					b = mid
				}
			}
			return (a + b) / 2
		}
		var place func(vec) vec
		var want stability.Uneven
		var against float64
		switch rut.Wheel {
		case stability.RutRearLeft, stability.RutRearRight:
			lifted, stand := contacts[rut.Wheel == stability.RutRearLeft], contacts[rut.Wheel != stability.RutRearLeft]
			at := func(by float64) func(vec) vec {
				m := turned(pin.minus(stand), by)
				return func(p vec) vec { return m.of(p.minus(stand)).plus(stand) }
			}
			by := zero(func(by float64) float64 { return at(by)(lifted)[2] - h })
			place = at(by)
			m := turned(pin.minus(stand), by)
			against = math.Atan2(m[2][1], m[2][2])
			want.BodyRoll = units.Angle(math.Asin((place(contacts[true])[2] - place(contacts[false])[2]) / (2 * half)))
		default:
			by := zero(func(by float64) float64 { return turned(vec{0, -1}, by).of(vec{l})[2] - h/2 })
			place = turned(vec{0, -1}, by).of
			want.BodyPitch = units.Angle(by)
			against = math.Asin(h / float64(u.FrontTrack))
			if rut.Wheel == stability.RutFrontRight {
				against = -against
			}
			want.AxleRoll = units.Angle(against)
		}
		want.Status = stability.Within
		if u.StopAngle > 0 && math.Abs(against) > float64(u.StopAngle) {
			want.Status = stability.Exceeded
		}
		seen[o.Status]++
		// A hundredth to either side of the stop.
		for by, status := range map[float64]stability.Status{0.99: stability.Exceeded, 1.01: stability.Within} {
			w := v
			w.Undercarriage.StopAngle = units.Angle(math.Abs(against) * by)
			if got, err := compile(t, w).OnUneven(heading, rut); err != nil || got.Status != status {
				t.Errorf("%d: %v with a stop at %v of the roll, %v", n, got.Status, by, err)
			}
		}
		body := center(v)
		cg := place(vec{float64(v.Body.CG.X), float64(v.Body.CG.Y), float64(v.Body.CG.Z)})
		for name, c := range map[string][2]float64{
			"body roll": {float64(o.BodyRoll), float64(want.BodyRoll)}, "body pitch": {float64(o.BodyPitch), float64(want.BodyPitch)},
			"axle roll": {float64(o.AxleRoll), float64(want.AxleRoll)},
			"x":         {float64(o.CG.X), cg[0]}, "y": {float64(o.CG.Y), cg[1]}, "z": {float64(o.CG.Z), cg[2]},
		} {
			if math.Abs(c[0]-c[1]) > 1e-9 {
				t.Errorf("%d: %s %v, want %v\n%+v", n, name, c[0], c[1], rut)
			}
		}
		if o.Status != want.Status {
			t.Errorf("%d: %v, want %v: %v of %v\n%+v", n, o.Status, want.Status, against, u.StopAngle, rut)
		}
		for left, limit := range map[bool]stability.Limit{false: o.TipsRight, true: o.TipsLeft} {
			row, kind, sign := stability.RowLiftLeft, stability.TipsRight, 1.0
			if left {
				row, kind, sign = stability.RowLiftRight, stability.TipsLeft, -1
			}
			held := func(grade float64) float64 {
				free := freely(v, stability.Situation{Heading: heading, Slope: units.Grade(grade)})
				c, p := place(contacts[left]), place(pin)
				rest := free.row(row)*2*half*l - sign*lever(contacts[left], pin.minus(contacts[left]), free.w, []dot{body})
				x := sign*lever(c, p.minus(c), free.w, []dot{{body.mass, place(body.at)}}) + rest
				return x * math.Hypot(1, grade) / (body.mass * kgf * l)
			}
			if limit.Kind != kind {
				t.Errorf("%d: %v", n, limit)
			}
			switch limit.Status {
			case stability.Within:
				if g := limit.Grade; math.Abs(held(g)) > 1e-9*(1+g) || held(g/2) <= 0 || held(g*0.95) <= 0 {
					// Where liquid in yaw would save it, the limit without counts.
					if g < 3 {
						t.Errorf("%d: %v, held by %v there\n%+v", n, limit, held(g), rut)
					}
				}
			case stability.Exceeded:
				if held(0) > 1e-9 || limit.Grade != 0 {
					t.Errorf("%d: %v, held by %v on the level\n%+v", n, limit, held(0), rut)
				}
			case stability.CannotOccur:
				for _, g := range []float64{0, 0.5, 1, 3} {
					if held(g) <= 0 {
						t.Errorf("%d: %v, but %v at %v\n%+v", n, limit, held(g), g, rut)
					}
				}
			default:
				t.Errorf("%d: %v", n, limit)
			}
		}
	}
	if seen[stability.Within] < 50 || seen[stability.Exceeded] < 10 {
		t.Errorf("seen %v", seen)
	}
}

// On tires that give, nothing is said of a slope beyond that on which the rear
// axle has lost its load, and a machine that has tipped on the level has tipped.
func TestTipOnTiresStopsAtTheFrontEdge(t *testing.T) {
	r := rand.New(rand.NewPCG(17, 5))
	seen := map[stability.Status]int{}
	check := func(v stability.Vehicle, heading units.Angle) {
		m := compile(t, v)
		soft, err := m.TipOnTires(heading)
		if err != nil {
			t.Fatal(err)
		}
		tip, err := m.Tip(heading)
		if err != nil {
			t.Fatal(err)
		}
		edge := tip.Limits[stability.FrontEdge]
		for _, l := range []stability.Limit{soft.Limit, soft.FirstOrder} {
			seen[l.Status]++
			switch {
			case tip.First.Status == stability.Exceeded && l.Status != stability.Exceeded:
				t.Errorf("%v, on tires %v\n%+v", tip.First, l, v)
			case l.Status == stability.Within && reached(edge) && !(l.Grade < edge.Grade):
				t.Errorf("the rear axle is unloaded at %v, on tires %v\n%+v", edge, l, v)
			}
		}
	}
	check(stability.Vehicle{
		Body: stability.Body{Mass: 4658.26, CG: stability.Point{X: 0.892787, Y: -0.070303, Z: 1.259825}},
		Undercarriage: stability.Undercarriage{
			Kind: stability.PivotingFront, Wheelbase: 1.23338, RearTrack: 1.00637, FrontTrack: 0.86699, PinHeight: 1.03723, RearTireStiffness: 3e5,
			Axle: stability.Part{Mass: 759.61, CG: stability.Point{X: 1.311903, Y: 0.013434, Z: 0.424496}},
		},
	}, 3.459995)
	for range 2000 {
		v := odd(r, stability.PivotingFront)
		v.Undercarriage.RearTireStiffness = units.Stiffness(1e5 + 4e5*r.Float64())
		check(v, units.Angle(6.28*r.Float64()))
	}
	if seen[stability.Within] < 500 || seen[stability.NotChecked] < 20 || seen[stability.Exceeded] < 20 {
		t.Errorf("seen %v", seen)
	}
}
