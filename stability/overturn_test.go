package stability_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// This file holds what comes after the first limit to a machine made of mass
// points, moved by rotation matrices and by nothing of the package: its poses
// by their constraints, its energies by the heights of the points, its motions
// by the energy and by sums over the points.

// matrix is a rotation.
type matrix [3]vec

func (a matrix) of(p vec) (o vec) {
	for i := range o {
		o[i] = a[i][0]*p[0] + a[i][1]*p[1] + a[i][2]*p[2]
	}
	return o
}

func (a matrix) then(b matrix) (o matrix) {
	for i := range o {
		for j := range o {
			o[i][j] = b[i][0]*a[0][j] + b[i][1]*a[1][j] + b[i][2]*a[2][j]
		}
	}
	return o
}

// turned returns the rotation by an angle about a line's direction: I + sin K
// + (1 - cos) K K with the matrix K of the cross product.
func turned(line vec, by float64) matrix {
	n := math.Sqrt(line[0]*line[0] + line[1]*line[1] + line[2]*line[2])
	x, y, z := line[0]/n, line[1]/n, line[2]/n
	s, c := math.Sin(by), 1-math.Cos(by)
	return matrix{
		{1 - c*(y*y+z*z), -s*z + c*x*y, s*y + c*x*z},
		{s*z + c*x*y, 1 - c*(x*x+z*z), -s*x + c*y*z},
		{-s*y + c*x*z, s*x + c*y*z, 1 - c*(x*x+y*y)},
	}
}

// dot is a mass point.
type dot struct {
	mass float64
	at   vec
}

// heap is a machine of mass points that tips to its right.
type heap struct {
	l, t, tf, pinX, p, stop float64
	kind                    stability.UndercarriageKind
	body, axle              []dot
}

// drawHeap returns a machine of points, as heap and as vehicle.
func drawHeap(r *rand.Rand, kind stability.UndercarriageKind) (heap, stability.Vehicle) {
	in := func(lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }
	h := heap{kind: kind, l: in(1.6, 3), t: in(1, 2), tf: in(0.8, 2), p: in(0.1, 0.8), stop: in(3, 18) * math.Pi / 180}
	h.pinX = h.l
	if kind == stability.Articulated {
		h.pinX = h.l * in(0.2, 0.6)
	}
	for range 6 {
		h.body = append(h.body, dot{in(100, 900), vec{h.l * in(-0.2, 1), h.t * in(-0.5, 0.55), in(0.2, 1.8)}})
	}
	for range 4 {
		h.axle = append(h.axle, dot{in(20, 120), vec{h.l * in(0.8, 1.1), h.tf * in(-0.5, 0.5), in(0.1, 0.7)}})
	}
	return h, h.vehicle(false)
}

func (h heap) vehicle(mirrored bool) stability.Vehicle {
	together := func(dots []dot) stability.Body {
		var parts []stability.Part
		for _, d := range dots {
			if mirrored {
				d.at[1] = -d.at[1]
			}
			parts = append(parts, stability.Part{Mass: units.Mass(d.mass), CG: stability.Point{units.Length(d.at[0]), units.Length(d.at[1]), units.Length(d.at[2])}})
		}
		b, err := stability.Assemble(parts...)
		if err != nil {
			panic(err)
		}
		return b
	}
	u := stability.Undercarriage{
		Kind: h.kind, Wheelbase: units.Length(h.l), RearTrack: units.Length(h.t), FrontTrack: units.Length(h.tf), PinHeight: units.Length(h.p),
		Straight: true, StopAngle: units.Angle(h.stop), Axle: together(h.axle).Part(),
	}
	if h.kind == stability.Articulated {
		u.JointX = units.Length(h.pinX)
	}
	return stability.Vehicle{Body: together(h.body), Undercarriage: u}
}

// rear is the rear contact that it tips over.
func (h heap) rear() vec { return vec{0, -h.t / 2, 0} }

func (h heap) pinned() bool {
	return h.kind == stability.PivotingFront || h.kind == stability.Articulated
}

// corner is the front contact on the right.
func (h heap) corner() vec {
	if h.kind == stability.Tricycle {
		return vec{h.l, 0, 0}
	}
	return vec{h.l, -h.tf / 2, 0}
}

// line is what it tips about while its pin is free.
func (h heap) line() vec {
	if h.pinned() {
		return vec{h.l, h.t / 2, h.p}
	}
	return h.corner().minus(h.rear())
}

// all returns the points that turn about that line, and the others.
func (h heap) all() (turn, rest []dot) {
	if h.pinned() {
		return h.body, h.axle
	}
	return append(append([]dot(nil), h.body...), h.axle...), nil
}

// about returns points turned about a line through the rear contact.
func (h heap) about(dots []dot, line vec, by float64) []dot {
	m := turned(line, by)
	out := make([]dot, len(dots))
	for i, d := range dots {
		out[i] = dot{d.mass, m.of(d.at.minus(h.rear())).plus(h.rear())}
	}
	return out
}

// potential is the energy of points in a field of force per mass.
func potential(field vec, sets ...[]dot) (e float64) {
	for _, dots := range sets {
		for _, d := range dots {
			e -= d.mass * (field[0]*d.at[0] + field[1]*d.at[1] + field[2]*d.at[2])
		}
	}
	return e
}

// highest returns the greatest value of f and its place: a scan, then thirds.
func highest(f func(float64) float64, lo, hi float64) (best, at float64) {
	const n = 40
	best, at = math.Inf(-1), lo
	for i := range n + 1 {
		x := lo + (hi-lo)*float64(i)/n
		if y := f(x); y > best {
			best, at = y, x
		}
	}
	a, b := max(lo, at-(hi-lo)/n), min(hi, at+(hi-lo)/n)
	for range 40 {
		x, y := a+(b-a)/3, b-(b-a)/3
		if f(x) < f(y) {
			a = x
		} else {
			b = y
		}
	}
	if y := f(a); y > best {
		best, at = y, a
	}
	return best, at
}

// atStop is a pose with the body rolled against its axle.
type atStop struct {
	body, axle      []dot
	lifted, contact vec // the left rear contact and the right front one
}

// rolled finds the pose by its constraints: the right rear contact stays, the
// middle of the front stays on the ground and on its track, and body and axle
// share pitch and yaw.
func (h heap) rolled(roll float64) atStop {
	pin, front := vec{h.pinX, 0, h.p}, vec{h.l, 0, 0}
	axle := func(pitch, yaw float64) matrix {
		return turned(vec{0, 1}, pitch).then(turned(vec{0, 0, 1}, yaw))
	}
	body := func(pitch, yaw float64) matrix { return turned(vec{1}, roll).then(axle(pitch, yaw)) }
	pinAt := func(pitch, yaw float64) vec { return body(pitch, yaw).of(pin.minus(h.rear())).plus(h.rear()) }
	middle := func(pitch, yaw float64) vec {
		return axle(pitch, yaw).of(front.minus(pin)).plus(pinAt(pitch, yaw))
	}
	var pitch, yaw float64
	for range 5 {
		const d = 1e-6
		now := middle(pitch, yaw)
		p, y := middle(pitch+d, yaw).minus(now), middle(pitch, yaw+d).minus(now)
		det := (p[1]*y[2] - p[2]*y[1]) / d
		pitch, yaw = pitch-(now[1]*y[2]-now[2]*y[1])/det, yaw-(p[1]*now[2]-p[2]*now[1])/det
	}
	at := pinAt(pitch, yaw)
	place := func(p vec) vec { return body(pitch, yaw).of(p.minus(pin)).plus(at) }
	with := func(p vec) vec { return axle(pitch, yaw).of(p.minus(pin)).plus(at) }
	o := atStop{lifted: place(vec{0, h.t / 2}), contact: with(h.corner())}
	for _, d := range h.body {
		o.body = append(o.body, dot{d.mass, place(d.at)})
	}
	for _, d := range h.axle {
		o.axle = append(o.axle, dot{d.mass, with(d.at)})
	}
	return o
}

// eachHeap calls f with machines of points that tip to the right, and whether
// the vehicle is their mirror image.
func eachHeap(t *testing.T, seed uint64, n int, f func(t *testing.T, r *rand.Rand, h heap, v stability.Vehicle, left bool)) {
	t.Helper()
	for _, k := range []stability.UndercarriageKind{stability.PivotingFront, stability.Rigid, stability.Articulated, stability.Tricycle} {
		t.Run(k.String(), func(t *testing.T) {
			r := rand.New(rand.NewPCG(uint64(k), seed))
			for i := range n {
				h, v := drawHeap(r, k)
				left := i%2 == 1
				if left {
					v = h.vehicle(true)
				}
				f(t, r, h, v, left)
				if t.Failed() {
					return
				}
			}
		})
	}
}

// headed returns a heading with downhill on the right, 0 to 180 degrees, and
// the same for the vehicle.
func headed(r *rand.Rand, left bool) (heap, vehicle units.Angle) {
	h := units.Angle(0.05 + 3.04*r.Float64())
	if r.IntN(6) == 0 {
		h = units.Angle(0.3 * r.Float64()) // all but straight up
	}
	if left {
		return h, -h
	}
	return h, h
}

// lever is the moment that holds points up, from going over to the right of a
// line from a place.
func lever(from, line, field vec, sets ...[]dot) (m float64) {
	for _, dots := range sets {
		for _, d := range dots {
			r := d.at.minus(from)
			f := field.times(d.mass)
			m -= line[0]*(r[1]*f[2]-r[2]*f[1]) + line[1]*(r[2]*f[0]-r[0]*f[2]) + line[2]*(r[0]*f[1]-r[1]*f[0])
		}
	}
	return m
}

// The pose at the stop, and when the machine goes over from there.
func TestStopByPoints(t *testing.T) {
	seen := map[stability.Status]int{}
	static := map[string]int{}
	eachHeap(t, 51, 100, func(t *testing.T, r *rand.Rand, h heap, v stability.Vehicle, left bool) {
		heading, own := headed(r, left)
		if r.IntN(5) == 0 {
			// Over already, or so wide that it rests on its stop on any slope.
			by := h.t * (0.8*r.Float64() - 0.6)
			for i := range h.body {
				h.body[i].at[1] += by
			}
			v = h.vehicle(left)
		}
		m := compile(t, v)
		s, err := m.OnStop(own)
		if err != nil {
			t.Fatal(err)
		}
		tip, err := m.Tip(own)
		if err != nil {
			t.Fatal(err)
		}
		kind, over := stability.OnStopRight, tip.Limits[stability.TipsRight]
		if left {
			kind, over = stability.OnStopLeft, tip.Limits[stability.TipsLeft]
		}
		if s.Limit.Kind != kind || s.Static.Kind != kind {
			t.Fatalf("%v and %v, want %v", s.Limit, s.Static, kind)
		}
		// grade is a limit as a number, to be compared.
		grade := func(l stability.Limit) float64 {
			switch {
			case l.Status == stability.Exceeded:
				return 0
			case reached(l):
				return l.Grade
			}
			return math.Inf(1)
		}
		if !h.pinned() {
			if s.Limit != s.Static || !alike(grade(s.Limit), grade(over)) || s.CG != v.Body.CG || s.WheelLift != 0 {
				t.Fatalf("without a pin: %+v, tips %v", s, over)
			}
			return
		}
		seen[s.Limit.Status]++
		at := h.rolled(h.stop)
		line := at.contact.minus(h.rear())
		holds := func(grade float64) float64 {
			return lever(h.rear(), line, forcesAt(math.Atan(grade), float64(heading), 0, 0), at.body, at.axle) / (kgf * h.l * float64(v.Body.Mass))
		}
		switch s.Limit.Status {
		case stability.Exceeded:
			if holds(0) > 0 || s.Limit.Grade != 0 {
				t.Errorf("%v, but held by %v", s.Limit, holds(0))
			}
		case stability.Within:
			if x := holds(s.Limit.Grade); math.Abs(x) > 1e-10 || holds(s.Limit.Grade*0.5) <= 0 || holds(0) <= 0 {
				t.Errorf("%v, held by %v there and %v on level ground", s.Limit, x, holds(0))
			}
		case stability.CannotOccur:
			if holds(0) <= 0 || holds(500) <= 0 || s.Limit.Grade != 0 {
				t.Errorf("%v, but held by %v", s.Limit, holds(500))
			}
		default:
			t.Errorf("%v", s.Limit)
		}
		want := max(grade(s.Limit), grade(over))
		if got := grade(s.Static); !alike(got, want) || s.Static.Status == stability.Binds {
			t.Errorf("static %v, on its stop %v, free %v", s.Static, s.Limit, over)
		}
		switch {
		case math.IsInf(want, 1) && reached(s.Limit):
			static["free, never"]++
		case grade(s.Limit) < want*(1-1e-9):
			static["free"]++
		case grade(over) < want*(1-1e-9):
			static["stop"]++
		}
		var cg vec
		for _, d := range at.body {
			cg = cg.plus(d.at.times(d.mass / float64(v.Body.Mass)))
		}
		if left {
			cg[1] = -cg[1]
		}
		for i, x := range []units.Length{s.CG.X, s.CG.Y, s.CG.Z} {
			if math.Abs(float64(x)-cg[i]) > 1e-9 {
				t.Errorf("center of gravity %v, points %v", s.CG, cg)
			}
		}
		if math.Abs(float64(s.WheelLift)-at.lifted[2]) > 1e-9 {
			t.Errorf("wheel lift %v, points %v", s.WheelLift, at.lifted[2])
		}
		// Liquid raises the center of gravity for the limit and not for the
		// place that is told.
		wet := v
		wet.Body.RollRise, wet.Undercarriage.Axle.RollRise = 0.05, 0.03
		high := v
		high.Body.CG.Z += 0.05
		high.Undercarriage.Axle.CG.Z += 0.03
		a, _ := compile(t, wet).OnStop(own)
		b, _ := compile(t, high).OnStop(own)
		if !sameLimit(a.Limit, b.Limit) || !alike(float64(a.CG.Z), float64(s.CG.Z)) || !alike(float64(a.CG.Y), float64(s.CG.Y)) {
			t.Errorf("wet %+v, higher %+v", a, b)
		}
	})
	if seen[stability.Exceeded] < 5 || seen[stability.Within] < 50 || static["free"] < 3 || static["stop"] < 20 || static["free, never"] < 2 {
		t.Errorf("seen %v, static by %v", seen, static)
	}
}

// The energies that overturn a machine are the heights that its points climb.
func TestEnergyByPoints(t *testing.T) {
	peaks := map[stability.Stage]int{}
	eachHeap(t, 53, 30, func(t *testing.T, r *rand.Rand, h heap, v stability.Vehicle, left bool) {
		heading, own := headed(r, left)
		slope := 0.25 * r.Float64()
		for i := range h.body {
			h.body[i].at[1] += 0.1 * h.t // away from the side that it tips to
		}
		v = h.vehicle(left)
		if r.IntN(8) == 0 {
			h.stop = 0
			v.Undercarriage.StopAngle = 0
		}
		m := compile(t, v)
		s := stability.Situation{Slope: units.Slope(slope), Heading: own}
		e, err := m.EnergyToOverturn(s)
		if err != nil {
			t.Fatal(err)
		}
		rows := freely(v, s).rows()
		lost := false
		for _, k := range []stability.Row{stability.RowFrontAxle, stability.RowRearAxle, stability.RowLiftLeft, stability.RowLiftRight} {
			lost = lost || rows[k] <= 0
		}
		if lost != (e.Status == stability.Exceeded) || lost && (e.Barrier != 0 || e.NoStop != 0 || e.NoPin != 0 || e.Fall != 0 || e.WheelDrop != 0 || e.Bump != 0 || e.Peak != stability.NoStage) {
			t.Fatalf("%+v with %v", e, rows)
		}
		if lost {
			return
		}
		field := forcesAt(slope, float64(heading), 0, 0)
		turn, rest := h.all()
		start := potential(field, turn, rest)
		over := func(line vec, dots []dot, at float64) func(float64) float64 {
			return func(q float64) float64 { return potential(field, h.about(dots, line, q)) + at }
		}
		free, balance := highest(over(h.line(), turn, potential(field, rest)), 0, math.Pi)
		everything := append(append([]dot(nil), h.body...), h.axle...)
		rigid, _ := highest(over(h.corner().minus(h.rear()), everything, 0), 0, math.Pi)
		same := func(name string, got units.Energy, want float64) {
			t.Helper()
			if math.Abs(float64(got)-want) > 1e-7*math.Abs(want)+1e-6 {
				t.Errorf("%s: %v, points %v", name, got, want)
			}
		}
		same("no stop", e.NoStop, free-start)
		same("no pin", e.NoPin, rigid-start)
		want, peak := free-start, stability.StopStage
		if h.pinned() {
			by := func(angle float64) (energy float64, peak stability.Stage) {
				pin, _ := highest(func(roll float64) float64 {
					at := h.rolled(roll)
					return potential(field, at.body, at.axle)
				}, 0, angle)
				at := h.rolled(angle)
				stop, _ := highest(over(at.contact.minus(h.rear()), append(at.body, at.axle...), 0), 0, math.Pi)
				if stop > pin*(1+1e-12)+1e-7 {
					return stop - start, stability.StopStage
				}
				return pin - start, stability.PinStage
			}
			peak = stability.PinStage
			if h.stop > 0 {
				// Or body and axle turn as one.
				if want, peak = by(h.stop); rigid-start < want {
					want, peak = rigid-start, stability.StopStage
				}
			} else {
				// The stop that holds least: next to none, the largest, and
				// what lies between; or none, and the highest point of the
				// free path, its front wheels rolling.
				want = min(want, rigid-start)
				top, at := highest(func(roll float64) float64 {
					p := h.rolled(roll)
					return potential(field, p.body, p.axle)
				}, 0, math.Pi/4)
				if at < math.Pi/4-1e-3 {
					want = min(want, top-start)
				}
				for i := range 60 {
					if one, _ := by(float64(i+1) / 60 * math.Pi / 4); one < want {
						want = one
					}
				}
				if e.Peak == stability.PinStage || rigid-start <= want {
					peak = e.Peak
				} else {
					peak = stability.StopStage
				}
			}
		}
		if h.pinned() && h.stop == 0 {
			if got := float64(e.Barrier); got > want*(1+1e-9) || got < want*(1-1e-3) {
				t.Errorf("barrier without a known stop: %v, points %v", got, want)
			}
		} else {
			same("barrier", e.Barrier, want)
		}
		if e.Peak != peak {
			t.Errorf("peak in %v, points %v", e.Peak, peak)
		}
		peaks[e.Peak]++
		weight := float64(v.Body.Mass+v.Undercarriage.Axle.Mass) * kgf
		down := rows[stability.RowRearRight]
		if left {
			down = rows[stability.RowRearLeft]
		}
		if !alike(float64(e.Fall), float64(e.Barrier)/weight) || down > 0 && !alike(float64(e.WheelDrop), float64(e.Barrier)/down) {
			t.Errorf("fall %v, drop %v of %v", e.Fall, e.WheelDrop, e.Barrier)
		}
		if bump := turned(h.line(), balance).of(vec{0, h.t})[2]; math.Abs(float64(e.Bump)-bump) > 1e-6 {
			t.Errorf("bump %v, points %v", e.Bump, bump)
		}
	})
	if peaks[stability.PinStage] < 2 || peaks[stability.StopStage] < 20 {
		t.Errorf("peaks %v", peaks)
	}
}

// Kinds whose motion is not modeled, and machines too short for their width to
// follow the body to its stop, are not checked.
func TestStopNotChecked(t *testing.T) {
	bent := loaderTractor(300)
	bent.Undercarriage.Kind, bent.Undercarriage.JointX, bent.Undercarriage.JointAngle = stability.Articulated, 1, 0.2
	behind := loaderTractor(0)
	behind.Undercarriage.Kind = stability.PivotingRear
	for _, v := range []stability.Vehicle{bent, behind} {
		v.Undercarriage.StopAngle, v.Undercarriage.RearTireStiffness = 0.2, 3e5
		m := compile(t, v)
		stop, err := m.OnStop(1.5)
		if err != nil || stop.Limit != (stability.Limit{Kind: stability.OnStopRight}) || stop.Static != stop.Limit || stop.CG != (stability.Point{}) {
			t.Errorf("stop: %+v, %v", stop, err)
		}
		e, err := m.EnergyToOverturn(stability.Situation{Heading: 1.5})
		if err != nil || e.Status != stability.NotChecked || e.Barrier != 0 {
			t.Errorf("energy: %+v, %v", e, err)
		}
		r, err := m.Rollover(stability.Rolling{Heading: 1.5, Rate: 1})
		if err != nil || r.Status != stability.NotChecked || r.Arrest != stability.NotChecked || r.DeadArrest != stability.NotChecked || r.Stage != stability.NoStage {
			t.Errorf("rollover: %+v, %v", r, err)
		}
		soft, err := m.TipOnTires(1.5)
		if err != nil || soft.Limit != (stability.Limit{Kind: stability.TipsRight}) || soft.FirstOrder != soft.Limit || !soft.Notes.Has(stability.NoteRigidTires) {
			t.Errorf("tires: %+v, %v", soft, err)
		}
	}
	// The front wheels follow while p T sin(stop) is no more than L^2: the
	// distance from the rear contact to the middle of the front, the body
	// rolled, is then at least T/2.
	short := stability.Vehicle{Body: stability.Body{Mass: 500, CG: stability.Point{X: 0.3, Z: 0.5}}, Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 0.6, RearTrack: 1.2, FrontTrack: 0.8, PinHeight: 0.5}}
	last := math.Asin(0.6 * 0.6 / (0.5 * 1.2))
	for by, want := range map[float64]bool{0.99: true, 1.01: false} {
		v := short
		v.Undercarriage.StopAngle = units.Angle(last * by)
		m := compile(t, v)
		stop, err := m.OnStop(1.5)
		if err != nil || (stop.Limit.Status != stability.NotChecked) != want {
			t.Errorf("stop at %v of what can be followed: %+v, %v", by, stop, err)
		}
		e, err := m.EnergyToOverturn(stability.Situation{Heading: 1.5})
		if err != nil || !want && e.Barrier != e.NoStop || math.IsNaN(float64(e.Barrier)) {
			t.Errorf("energy at %v: %+v, %v", by, e, err)
		}
	}
}

// The motion past the limit by the energy of the points: how fast they turn
// where, and how long they take, which is the integral of dq over the rate.
func TestRolloverByPoints(t *testing.T) {
	seen := map[string]int{}
	eachHeap(t, 57, 50, func(t *testing.T, r *rand.Rand, h heap, v stability.Vehicle, left bool) {
		heading, own := headed(r, left)
		slope := 0.5 * r.Float64()
		if r.IntN(5) == 0 {
			h.stop = 0
			v.Undercarriage.StopAngle = 0
		}
		in := stability.Rolling{Slope: units.Slope(slope), Heading: own, Offset: units.Angle(0.1 * r.Float64()), Rate: 0.2 + 3*r.Float64()}
		top := vec{0.4, -0.6, 2.2 + 0.3*r.Float64()} // of the roll-over frame
		if r.IntN(4) == 0 {
			top = vec{0.4, -1.5, 0.7} // of something that stands out low
		}
		known := r.IntN(4) > 0
		if known {
			in.Contact = stability.Point{units.Length(top[0]), units.Length(top[1]), units.Length(top[2])}
			if left {
				in.Contact.Y = -in.Contact.Y
			}
		}
		o, err := compile(t, v).Rollover(in)
		if err != nil {
			t.Fatal(err)
		}
		field := forcesAt(slope, float64(heading), 0, 0)
		inertia := func(dots []dot, line vec) (sum float64) {
			for _, d := range dots {
				c := line.cross(d.at.minus(h.rear()))
				sum += d.mass * c.dot(c) / line.dot(line)
			}
			return sum
		}
		// fall follows points about a line from a turn and a rate to another
		// turn: the rate there, the time, and whether they get there.
		fall := func(dots []dot, line vec, from, rate, to float64) (float64, float64, bool) {
			inert := inertia(dots, line)
			start := potential(field, h.about(dots, line, from))
			square := func(q float64) float64 {
				return rate*rate + 2*(start-potential(field, h.about(dots, line, q)))/inert
			}
			const n = 800
			var time float64
			for i := range n + 1 {
				q := from + (to-from)*float64(i)/n
				v := square(q)
				if v <= 0 {
					return 0, 0, false
				}
				weight := 2.0 + 2*float64(i%2) // Simpson's rule
				if i == 0 || i == n {
					weight = 1
				}
				time += weight / math.Sqrt(v) * (to - from) / n / 3
			}
			return math.Sqrt(square(to)), time, true
		}
		// ground returns the turn at which the top comes down.
		ground := func(at, line vec) float64 {
			if !known {
				return math.Inf(1)
			}
			z := func(q float64) float64 { return turned(line, q).of(at.minus(h.rear()))[2] }
			for q := 0.0; q < math.Pi; q += 0.02 {
				if z(q) > 0 && z(q+0.02) <= 0 {
					lo, hi := q, q+0.02
					for range 50 {
						if mid := (lo + hi) / 2; z(mid) > 0 {
							lo = mid
						} else {
							hi = mid
						}
					}
					return lo
				}
			}
			return math.Inf(1)
		}
		same := func(name string, got, want float64) {
			t.Helper()
			if math.Abs(got-want) > 2e-6*(math.Abs(want)+0.1) {
				t.Errorf("%s: %v, points %v\n%+v\n%+v", name, got, want, o, in)
			}
		}
		turn, rest := h.all()
		line := h.line()
		stop := math.Inf(1)
		if h.pinned() && h.stop > 0 {
			lo, hi := 0.0, 1.5
			for range 60 {
				m := turned(line, (lo+hi)/2)
				if math.Atan2(m[2][1], m[2][2]) < h.stop {
					lo = (lo + hi) / 2
				} else {
					hi = (lo + hi) / 2
				}
			}
			stop = lo
		}
		stage := stability.StopStage
		want := stability.Rollover{Arrest: stability.CannotOccur, DeadArrest: stability.CannotOccur}
		if h.pinned() {
			stage = stability.PinStage
			if h.stop == 0 {
				want.Arrest, want.DeadArrest = stability.NotChecked, stability.NotChecked
			}
		}
		finish := func(name string) {
			t.Helper()
			seen[name]++
			if o.Status != want.Status || o.Stage != stage || o.Arrest != want.Arrest || o.DeadArrest != want.DeadArrest {
				t.Errorf("%s: %+v, want %+v in %v", name, o, want, stage)
			}
			same("stop time", float64(o.StopTime), float64(want.StopTime))
			same("stop rate", o.StopRate, want.StopRate)
			same("stop energy", float64(o.StopEnergy), float64(want.StopEnergy))
			same("needed", float64(o.NeededEnergy), float64(want.NeededEnergy))
			same("ground time", float64(o.GroundTime), float64(want.GroundTime))
			same("ground rate", o.GroundRate, want.GroundRate)
		}
		first := ground(top, line)
		end := min(stop, first, math.Pi/2)
		from := min(float64(in.Offset), stop)
		rate, time, over := fall(turn, line, from, in.Rate, end)
		if end <= from {
			rate, time, over = in.Rate, 0, true
		}
		if !over {
			want.Status = stability.Within
			finish("falls back")
			return
		}
		if end < stop {
			want.Status = stability.Exceeded
			if first <= end {
				want.GroundTime, want.GroundRate = units.Duration(time), rate
			}
			finish("over at once")
			return
		}
		stage = stability.StopStage
		want.StopTime, want.StopRate = units.Duration(time), rate
		energy := inertia(turn, line) * rate * rate / 2
		want.StopEnergy = units.Energy(energy)
		next := h.corner().minus(h.rear())
		rolled := h.about(turn, line, end)
		both := append(append([]dot(nil), rolled...), rest...)
		peak, _ := highest(func(q float64) float64 { return potential(field, h.about(both, next, q)) }, 0, math.Pi)
		need := peak - potential(field, both)
		if lever(h.rear(), next, field, both) <= 0 {
			need = 0 // it does not rest there
		}
		want.NeededEnergy = units.Energy(need)
		arrest := func(e float64) stability.Status {
			if e < need {
				return stability.Within
			}
			return stability.Exceeded
		}
		// The body's angular momentum about the new line, shared by all.
		spin := line.times(rate / line.norm())
		var momentum float64
		for _, d := range rolled {
			a := d.at.minus(h.rear())
			momentum += d.mass * next.dot(a.cross(spin.cross(a))) / next.norm()
		}
		second := inertia(both, next)
		want.Arrest, want.DeadArrest = arrest(energy), arrest(momentum*momentum/second/2)
		if want.Arrest == stability.Within {
			want.Status = stability.Within
			finish("held")
			return
		}
		want.Status = stability.Exceeded
		if down := ground(turned(line, end).of(top.minus(h.rear())).plus(h.rear()), next); !math.IsInf(down, 1) {
			rate, more, over := fall(both, next, 0, math.Sqrt(2*energy/second), down)
			if !over {
				t.Fatalf("it does not come down: %+v", o)
			}
			want.GroundTime, want.GroundRate = units.Duration(time+more), rate
		}
		name := "over the stop"
		if want.DeadArrest == stability.Within {
			name = "over the stop unless dead"
		}
		finish(name)
	})
	for _, name := range []string{"falls back", "over at once", "held", "over the stop", "over the stop unless dead"} {
		if seen[name] < 3 {
			t.Errorf("seen %v", seen)
			break
		}
	}
}

// A point 45 degrees from the vertical comes down after a quarter turn less or
// more that much; one that begins below the ground, only after half a turn,
// where no machine is followed to.
func TestFallAngle(t *testing.T) {
	x := vec{1}
	for _, c := range []struct {
		arm  vec
		want float64
	}{
		{vec{3, 0, 1}, 90}, {vec{3, 1, 1}, 135}, {vec{3, -1, 1}, 45},
		{vec{3, 1, 0.01}, 180 - math.Atan(0.01)*180/math.Pi}, {vec{3, -1, 0.01}, math.Atan(0.01) * 180 / math.Pi},
		{vec{3, 1, -0.01}, math.Inf(1)}, {vec{3, -1, -0.01}, math.Inf(1)},
	} {
		if got := stability.FallAngle(c.arm, x) * 180 / math.Pi; !alike(got, c.want) {
			t.Errorf("%v: %v degrees, want %v", c.arm, got, c.want)
		}
	}
}

// On a line all but upright no turn rolls the body as far as its stop, and
// without a place that meets the ground no time of that is told.
func TestStopNeverMet(t *testing.T) {
	v := stability.Vehicle{
		Body:          stability.Body{Mass: 1000, CG: stability.Point{X: 0.1, Z: 0.4}},
		Undercarriage: stability.Undercarriage{Kind: stability.PivotingFront, Wheelbase: 0.5, RearTrack: 0.2, FrontTrack: 0.3, PinHeight: 5, StopAngle: angle(45)},
	}
	o, err := compile(t, v).Rollover(stability.Rolling{Slope: slope(60), Heading: angle(90), Rate: 10})
	if err != nil || o.Stage != stability.PinStage || o.Arrest != stability.CannotOccur || o.StopTime != 0 || o.GroundTime != 0 || o.GroundRate != 0 {
		t.Errorf("%+v, %v", o, err)
	}
}
