package weigh_test

import (
	"math"
	"math/rand/v2"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// A trueMachine is an invented machine whose every number is known. What it would
// read is found another way than the estimate finds it: its masses are points that
// are turned one by one, its tires are springs that are let settle, its cylinders
// work against the rise of every mass, and the pins of its cylinders rub.
type trueMachine struct {
	nominal                                float64 // what its papers say it weighs
	body, axle, arms, hung, liquid         float64
	bodyX, bodyZ, axleZ, liquidDeep        float64
	armsAt, armsUp, hungX, hungZ           float64
	base, pivotX, pivotZ, arm              float64
	rearRadius, frontRadius, track, pin    float64
	cylX, cylZ, rodX, rodZ, bore, relief   float64 // relief in MPa
	drag, stick, rub, lower, leveling      float64 // rub: the radius at which pins rub, times friction
	gain, gauge, yard, squat, frontShare   float64
	held                                   [2]hold // on all wheels, and with an axle raised
	told                                   bool    // whether the record says what holds it
	low, high                              float64 // heights of the pivot pin
	referenceFront, referenceRear, toFront float64 // of the empty machine, arms low, and the rise of the front at tipping
}

// point is a mass in the machine's own frame.
type point struct{ m, x, z float64 }

const gravity = 9.80665

// hold is what keeps the machine from rolling.
type hold int

const (
	brakes hold = iota
	chocks
	otherBrakes // of the axle that is raised, or of the front axle
)

// newMachine draws a machine from the ranges of practice, and the scale, the gauge
// and the yard where it is read, each spread as many times as wide.
func newMachine(r *rand.Rand, wide, around float64) trueMachine {
	n := func(mean, sd float64) float64 { return mean + wide*sd*r.NormFloat64() }
	for {
		var t trueMachine
		t.nominal = 900 * math.Exp(1.6*r.Float64())
		t.base = 1.9 * math.Cbrt(t.nominal/2000) * math.Exp(0.06*r.NormFloat64())
		p := ballast.UsualPractice()
		share := func(g units.Range[units.Fraction]) float64 {
			return n(float64(g.Low+g.High)/2, float64(g.High-g.Low)/5)
		}
		length := func(g units.Range[units.Length]) float64 {
			return n(float64(g.Low+g.High)/2, float64(g.High-g.Low)/5)
		}
		all := t.nominal * math.Exp(n(0, 0.22))
		t.arms, t.hung = all*share(p.ArmMass), all*share(p.AttachmentMass)
		t.body = all - t.arms - t.hung
		t.bodyX, t.bodyZ = t.base*share(p.CGX), t.base*share(p.CGHeight)
		t.axle = t.body * share(p.AxleMass)
		t.frontRadius, t.rearRadius = t.base*share(p.FrontRadius), t.base*share(p.RearRadius)
		t.axleZ = t.frontRadius * share(p.AxleHeight)
		t.track, t.pin = t.base*share(p.RearTrack), t.base*share(p.AxlePinHeight)
		if r.IntN(2) == 0 {
			t.liquid = 0.12 * t.nominal
		}
		t.liquidDeep = n(0.12, 0.05)
		t.pivotX, t.pivotZ, t.arm = t.base*share(p.PivotX), t.base*share(p.PivotZ), t.base*share(p.Arm)
		t.armsAt, t.armsUp = t.arm*share(p.ArmCG), t.arm*share(p.ArmCGAbove)
		t.hungX, t.hungZ = length(p.AttachmentAhead), length(p.AttachmentAbove)
		mid := t.base * float64(p.Arm.Low+p.Arm.High) / 2
		t.cylX, t.cylZ = n(0.05*mid, 0.04*mid), n(-0.17*mid, 0.04*mid)
		t.rodX, t.rodZ = n(0.40*mid, 0.04*mid), n(-0.05*mid, 0.04*mid)
		t.bore = 0.052 * math.Cbrt(t.nominal/2000) * math.Exp(n(0, 0.15))
		t.relief = 17 * math.Exp(n(0, 0.10))
		// Of the friction at 17 MPa four fifths grow with pressure.
		friction := float64(p.Friction.Low+p.Friction.High) / 2
		spread := float64(p.Friction.High-p.Friction.Low) / 5
		t.drag, t.stick = n(0.8*friction, 0.943*spread), n(0.2*friction*17, 0.333*spread*17)
		t.rub, t.lower = 0.001+0.001*r.Float64(), 0.8+0.4*r.Float64()
		t.leveling = float64(r.IntN(2))
		t.gain, t.gauge = around*0.0075*r.NormFloat64(), around*0.01*r.NormFloat64()
		t.yard = around * 0.5 * r.NormFloat64() * math.Pi / 180
		t.squat = math.Max(0, n(0.4, 0.25)) * math.Pi / 180
		t.frontShare = 0.2 + 0.6*r.Float64()
		if t.told = r.IntN(2) == 0; t.told {
			t.held = [2]hold{hold(r.IntN(2)), hold(r.IntN(2))}
		} else {
			t.held = [2]hold{hold(r.IntN(3)), hold(r.IntN(3))}
		}
		t.low, t.high = 0.35, t.pivotZ+0.7*t.arm
		if t.settle() {
			return t
		}
	}
}

// settle finds the reference of the tires, and reports whether this can be a
// machine: its loader works, and it stands on both axles.
func (t *trueMachine) settle() bool {
	if !(t.axle > 0 && t.arms > 0.01*t.nominal && t.hung > 0.005*t.nominal && t.body > 0.4*t.nominal && t.rearRadius > 0.12 && t.frontRadius > 0.12 && t.pin > 0.05 && t.drag > -0.02 && t.track > 0.2 && t.liquidDeep > 0 && t.bore > 0.01) {
		return false
	}
	if t.pivotZ-t.low > 0.9*t.arm || t.pivotX+t.arm*0.4 < t.base*0.8 {
		return false
	}
	for _, h := range []float64{t.low, (t.low + t.high) / 2, t.high} {
		if t.lever(t.angle(h)) < 0.03*t.arm {
			return false
		}
		if t.lifts(h, 0.7, -1) < 0.03*t.nominal {
			return false
		}
	}
	t.referenceFront, t.referenceRear = t.stands(t.points(t.low, nil), 0, 0, false, brakes)
	if t.referenceRear < 0.2*t.nominal || t.referenceFront < 0.1*t.nominal {
		return false
	}
	if t.pivotX+t.arm*math.Cos(t.angle(t.low))+0.5 < t.base+0.2 {
		return false
	}
	// The rise of the front load up to tipping, without squat.
	x := t.pivotX + t.arm*math.Cos(t.angle(t.low)) + 0.7
	t.toFront = t.referenceRear * t.base / (x - t.base) * x / t.base
	return true
}

func (t *trueMachine) angle(pin float64) float64 { return math.Asin((pin - t.pivotZ) / t.arm) }

// points returns all masses with the pin at a height.
func (t *trueMachine) points(pin float64, loads []point) []point {
	a := t.angle(pin)
	px := t.pivotX + t.arm*math.Cos(a)
	p := []point{
		{t.body, t.bodyX, t.bodyZ},
		{t.arms, t.pivotX + t.armsAt*math.Cos(a) - t.armsUp*math.Sin(a), t.pivotZ + t.armsAt*math.Sin(a) + t.armsUp*math.Cos(a)},
		{t.hung, px + t.hungX, pin + t.hungZ},
	}
	for _, l := range loads {
		p = append(p, point{l.m, px + l.x, pin + l.z})
	}
	return p
}

// stands returns the axle loads of the machine on ground that rises towards the nose, with
// the nose raised against the ground, square to the ground; tail says that the rear axle
// is the raised one. Everything stands in a frame
// in which gravity is vertical: each wheel carries square to the ground through its center,
// what holds the machine pulls along the ground, and three equations hold it in balance.
func (t *trueMachine) stands(ps []point, yard, pitch float64, tail bool, by hold) (front, rear float64) {
	type vec struct{ x, z float64 }
	along, up := vec{math.Cos(yard), math.Sin(yard)}, vec{-math.Sin(yard), math.Cos(yard)}
	s, c := math.Sincos(yard + pitch)
	place := func(x, z float64) vec {
		z -= t.rearRadius
		return vec{up.x*t.rearRadius + x*c - z*s, up.z*t.rearRadius + x*s + z*c}
	}
	under := func(v vec, down float64) vec { return vec{v.x - down*up.x, v.z - down*up.z} }
	rearHub, frontHub := place(0, t.rearRadius), place(t.base, t.frontRadius)
	at := under(rearHub, t.rearRadius)
	switch {
	case by == brakes && tail, by == otherBrakes && !tail:
		at = under(frontHub, t.frontRadius)
	case by == chocks && !tail:
		at = rearHub
	case by == chocks:
		at = frontHub
	}
	var weight, moment float64 // moments about the origin, forward and up positive
	for _, p := range ps {
		v := place(p.x, p.z)
		weight += p.m
		moment -= v.x * p.m
	}
	turn := func(at, dir vec) float64 { return at.x*dir.z - at.z*dir.x }
	// Columns: front, rear, along the ground.
	m := [3][4]float64{
		{up.x, up.x, along.x, 0},
		{up.z, up.z, along.z, weight},
		{turn(frontHub, up), turn(rearHub, up), turn(at, along), -moment},
	}
	got := solve3(m)
	return got[0], got[1]
}

// solve3 solves three linear equations by Cramer's rule.
func solve3(m [3][4]float64) (out [3]float64) {
	det := func(a, b, c int) float64 {
		return m[0][a]*(m[1][b]*m[2][c]-m[1][c]*m[2][b]) - m[0][b]*(m[1][a]*m[2][c]-m[1][c]*m[2][a]) + m[0][c]*(m[1][a]*m[2][b]-m[1][b]*m[2][a])
	}
	d := det(0, 1, 2)
	return [3]float64{det(3, 1, 2) / d, det(0, 3, 2) / d, det(0, 1, 3) / d}
}

// says returns what the record states of what holds the machine.
func (t *trueMachine) says(raised int) weigh.Held {
	if !t.told {
		return weigh.HeldUnknown
	}
	return []weigh.Held{weigh.HeldByBrakes, weigh.HeldByChocks}[t.held[raised]]
}

// pitched lets the tires settle and returns the axle loads.
func (t *trueMachine) pitched(ps []point, yard float64) (front, rear float64) {
	var pitch float64
	for range 30 {
		front, rear = t.stands(ps, yard, pitch, false, t.held[0])
		sink := t.frontShare*(front-t.referenceFront)/t.toFront + (1-t.frontShare)*(t.referenceRear-rear)/t.referenceRear
		pitch = -t.squat * math.Min(sink, 1.5) // of a load far beyond tipping
	}
	return front, rear
}

// lever returns the change of the cylinder's length with the arm's angle.
func (t *trueMachine) lever(a float64) float64 {
	length := func(a float64) float64 {
		x, z := t.rodX*math.Cos(a)-t.rodZ*math.Sin(a), t.rodX*math.Sin(a)+t.rodZ*math.Cos(a)
		return math.Hypot(x-t.cylX, z-t.cylZ)
	}
	const d = 1e-5
	return (length(a+d) - length(a-d)) / (2 * d)
}

// work returns how much energy the arm needs per angle against the weight of arms,
// attachment and loads; what hangs on the carrier turns with the arm as far as the
// carrier is not leveled.
func (t *trueMachine) work(pin float64, loads []point) float64 {
	a := t.angle(pin)
	energy := func(d float64) float64 {
		e := t.arms * (t.armsAt*math.Sin(a+d) + t.armsUp*math.Cos(a+d))
		turn := (1 - t.leveling) * d
		for _, p := range append([]point{{t.hung, t.hungX, t.hungZ}}, loads...) {
			e += p.m * (t.arm*math.Sin(a+d) + p.x*math.Sin(turn) + p.z*math.Cos(turn))
		}
		return e * gravity
	}
	const d = 1e-5
	return (energy(d) - energy(-d)) / (2 * d)
}

func (t *trueMachine) area() float64 { return 2 * math.Pi / 4 * t.bore * t.bore }

// pressure returns that in the cylinders in MPa, raising or sinking.
func (t *trueMachine) pressure(pin float64, loads []point, raising bool) float64 {
	m, q := t.work(pin, loads)/1e6, t.lever(t.angle(pin))
	if raising {
		return (m/(t.area()*(q-t.rub)) + t.stick) / (1 - t.drag)
	}
	return (m/(t.area()*(q+t.rub)) - t.stick) / (1 + t.lower*t.drag)
}

// lifts returns the load that just rises (-1), that the oil balances (0), or that
// just sinks (+1) at relief pressure, found by trying.
func (t *trueMachine) lifts(pin, ahead float64, sign int) float64 {
	return bisect(-5*t.nominal, 50*t.nominal, func(m float64) bool {
		l := []point{{m, ahead, 0}}
		switch sign {
		case -1:
			return t.pressure(pin, l, true) < t.relief
		case 0:
			return t.work(pin, l)/1e6/(t.area()*t.lever(t.angle(pin))) < t.relief
		}
		return t.pressure(pin, l, false) < t.relief
	})
}

// bisect returns where a condition that holds at low ends.
func bisect(low, high float64, holds func(float64) bool) float64 {
	for range 60 {
		if mid := (low + high) / 2; holds(mid) {
			low = mid
		} else {
			high = mid
		}
	}
	return low
}

// tips returns the load at which the rear axle carries nothing.
func (t *trueMachine) tips(pin, ahead, above float64) float64 {
	return bisect(0, 20*t.nominal, func(m float64) bool {
		_, rear := t.pitched(t.points(pin, []point{{m, ahead, above}}), 0)
		return rear > 0
	})
}

// slope returns the least slope over all headings on which the empty machine tips
// over the line from a rear wheel to its front pin; see physics of a pivoting front
// axle, one heading after the other.
func (t *trueMachine) slope(pin float64) float64 {
	var w, mx, mz float64
	for _, p := range t.points(pin, nil) {
		w, mx, mz = w+p.m, mx+p.m*p.x, mz+p.m*p.z
	}
	mz -= t.liquid * t.liquidDeep
	m := w - t.axle
	x, h := (mx-t.axle*t.base)/m, (mz-t.axle*t.axleZ)/m
	best, half := math.Inf(1), t.track/2
	for th := 0.0; th < 180; th += 0.02 {
		s, c := math.Sincos(th * math.Pi / 180)
		d := s*(t.base*h-t.pin*x) - c*(half*h-t.pin*half) - t.axle/m*(t.axleZ-t.pin)*half*c
		if d > 0 {
			best = math.Min(best, math.Atan((half*t.base-half*x)/d))
		}
	}
	return best
}

// plan says which readings are taken.
type plan struct {
	weights, loads, level, raised, rear20, pressures, onePressure, relief, tape2, weigh2 bool
}

// everything is what a workshop would read, with every tape and every weighing on all wheels
// taken twice.
var everything = plan{weights: true, loads: true, raised: true, pressures: true, relief: true, tape2: true, weigh2: true}

// A reader takes readings of a machine, with errors; without a source of random
// numbers they have none.
type reader struct {
	t     *trueMachine
	r     *rand.Rand
	rec   weigh.Record
	twice bool // tapes everything twice
	loads map[string]point
}

// n returns an error with a standard deviation.
func (d *reader) n(sd float64) float64 {
	if d.r == nil {
		return 0
	}
	return sd * d.r.NormFloat64()
}

func (d *reader) tape(l weigh.TapedLength, v, sd float64) {
	times := 1
	if d.twice {
		times = 2
	}
	for range times {
		d.rec.Tape = append(d.rec.Tape, weigh.Taped{Length: l, Value: units.Length(v + d.n(sd)), SD: units.Length(sd)})
	}
}

// lengths tapes the machine.
func (d *reader) lengths() {
	t := d.t
	d.tape(weigh.TapedWheelbase, t.base, 0.005)
	d.tape(weigh.TapedPivotX, t.pivotX, 0.005)
	d.tape(weigh.TapedPivotZ, t.pivotZ, 0.005)
	d.tape(weigh.TapedArm, t.arm, 0.005)
	d.tape(weigh.TapedRearRadius, t.rearRadius, 0.005)
	d.tape(weigh.TapedFrontRadius, t.frontRadius, 0.005)
	d.tape(weigh.TapedRearTrack, t.track, 0.005)
	d.tape(weigh.TapedAxlePin, t.pin, 0.01)
	d.tape(weigh.TapedAttachmentAhead, t.hungX, 0.03)
	d.tape(weigh.TapedAttachmentAbove, t.hungZ, 0.05)
	d.tape(weigh.TapedCylinderAhead, t.cylX, 0.005)
	d.tape(weigh.TapedCylinderAbove, t.cylZ, 0.005)
	d.tape(weigh.TapedRodAlong, t.rodX, 0.005)
	d.tape(weigh.TapedRodAbove, t.rodZ, 0.005)
	d.tape(weigh.TapedBore, t.bore, 0.04*t.bore)
}

// lift brings two loads of a share of the tipping load.
func (d *reader) lift() {
	most := d.t.tips(d.t.low, 0.7, 0)
	for i, share := range []float64{0.15, 0.28} {
		name := []string{"small", "large"}[i]
		m, at := share*most, 0.5
		if d.r != nil {
			at = d.r.Float64()
		}
		l := point{m, 0.6 + 0.2*at, 0.2}
		sd := math.Max(1, 0.004*m)
		d.rec.Loads = append(d.rec.Loads, weigh.TestLoad{Name: name, Mass: weigh.Measured[units.Mass]{Value: units.Mass(m + d.n(sd)), SD: units.Mass(sd)}, Above: 0.2})
		d.rec.Tape = append(d.rec.Tape, weigh.Taped{Length: weigh.TapedLoadAhead, Load: name, Value: units.Length(l.x + d.n(0.01)), SD: 0.01})
		d.loads[name] = l
	}
}

func (d *reader) pile(names []string) (ls []point) {
	for _, n := range names {
		ls = append(ls, d.loads[n])
	}
	return ls
}

// weigh puts both axles on the scale; the pin is not quite where the tape says.
func (d *reader) weigh(pin, pitch float64, names ...string) {
	t := d.t
	ps := t.points(pin+d.n(0.005), d.pile(names))
	w := weigh.AxleReading{Pin: units.Length(pin), Loads: names}
	front, rear := t.pitched(ps, t.yard)
	w.Held = t.says(0)
	if pitch != 0 {
		front, rear = t.stands(ps, t.yard, pitch, pitch < 0, t.held[1])
		w.Held = t.says(1)
		w.Raised = units.Angle(pitch + d.n(0.2*math.Pi/180))
	}
	show := func(v float64) units.Mass {
		if d.r == nil {
			return units.Mass(v * (1 + t.gain))
		}
		return units.Mass(math.Round((v*(1+t.gain)+d.n(2))/2) * 2)
	}
	w.Front, w.Rear = show(front), show(rear)
	d.rec.Weights = append(d.rec.Weights, w)
}

// gauge reads a pressure in MPa.
func (d *reader) gauge(v float64) units.GaugePressure {
	return units.GaugePressure((v*(1+d.t.gauge) + d.n(0.1)) * 1e6)
}

func (d *reader) press(pin float64, m weigh.Motion, names ...string) {
	v := d.t.pressure(pin+d.n(0.005), d.pile(names), m == weigh.Raising)
	if v < 0.4 { // the arms do not sink by themselves
		return
	}
	d.rec.Pressures = append(d.rec.Pressures, weigh.PressureReading{Pin: units.Length(pin), Motion: m, Pressure: d.gauge(v), Loads: names})
}

// reads returns the record of a machine by a plan.
func (t *trueMachine) reads(r *rand.Rand, p plan) weigh.Record {
	d := reader{t: t, r: r, twice: p.tape2, loads: map[string]point{}, rec: weigh.Record{
		Mass: units.Mass(t.nominal), Attachment: ballast.Forks, Undercarriage: stability.PivotingFront, Cylinders: 2,
		SelfLeveling: units.Is(units.Fraction(t.leveling)), LevelSD: 0.2 * units.Degree,
		Scale: weigh.Scale{SD: 2, Division: 2}, Gauge: weigh.Gauge{SD: 100e3},
	}}
	// A level on the frame tells how the yard slopes, to a quarter of a degree.
	d.rec.Yard = weigh.Measured[units.Angle]{Value: units.Angle(t.yard + d.n(0.25*math.Pi/180)), SD: 0.25 * units.Degree}
	if t.liquid > 0 {
		d.rec.Liquid = weigh.Measured[units.Mass]{Value: units.Mass(t.liquid * (1 + d.n(0.03))), SD: units.Mass(0.03 * t.liquid)}
	}
	d.lengths()
	if p.loads || p.level || p.pressures || p.onePressure {
		d.lift()
	}
	if p.weights {
		d.weigh(t.low, 0)
	}
	if p.loads {
		d.weigh(t.low, 0, "small")
		d.weigh(t.low, 0, "large")
	}
	if p.level {
		d.weigh(t.pivotZ, 0, "small")
		d.weigh(t.pivotZ, 0, "large")
	}
	if p.raised {
		d.weigh(t.low, 10*math.Pi/180)
	}
	if p.rear20 {
		d.weigh(t.low, 20*math.Pi/180)
	}
	if p.weigh2 {
		d.weigh(t.low, 0)
		d.weigh(t.low, 0, "small")
		d.weigh(t.low, 0, "large")
	}
	if p.pressures {
		d.press(t.pivotZ, weigh.Raising)
		for _, h := range []float64{t.low + 0.1, t.pivotZ, t.high} {
			d.press(h, weigh.Raising, "large")
			d.press(h, weigh.Sinking, "large")
		}
	}
	if p.onePressure {
		d.press(t.high, weigh.Raising, "large")
	}
	if p.relief {
		d.rec.Pressures = append(d.rec.Pressures, weigh.PressureReading{Motion: weigh.AtStop, Pressure: d.gauge(t.relief)})
	}
	return d.rec
}

// unknowns are the machine's true numbers in the order of the estimate's unknowns,
// for a record without errors.
func (t *trueMachine) unknowns(rec *weigh.Record) []float64 {
	at := []float64{
		t.body, t.bodyX / t.base, t.bodyZ / t.base, t.axle / t.body, t.axleZ / t.frontRadius, t.liquid, t.liquidDeep,
		t.arms, t.armsAt / t.arm, t.hung, t.hungX, t.hungZ, t.base, t.pivotX, t.pivotZ, t.arm,
		t.rearRadius, t.frontRadius, t.track, t.pin, t.cylX, t.cylZ, t.rodX, t.rodZ, math.Log(t.bore), math.Log(t.relief),
		t.drag, t.stick, t.lower, t.leveling, t.armsUp / t.arm, t.gain, 0, t.gauge, t.yard, t.squat,
	}
	for i, l := range rec.Loads {
		at = append(at, float64(l.Mass.Value), float64(rec.Tape[len(rec.Tape)-len(rec.Loads)+i].Value))
	}
	var seen []units.Angle
	for _, w := range rec.Weights {
		if w.Raised != 0 && !slices.Contains(seen, w.Raised) {
			seen = append(seen, w.Raised)
			at = append(at, float64(w.Raised))
		}
	}
	return append(at, t.optional(rec)...)
}

// optional are the last unknowns, which only some records need: what holds the machine,
// where the record does not say it, and how much higher the pin was than stated.
func (t *trueMachine) optional(rec *weigh.Record) (at []float64) {
	var asked [2]bool
	for _, w := range rec.Weights {
		i := 0
		if w.Raised != 0 {
			i = 1
		}
		if w.Held == weigh.HeldUnknown && !asked[i] {
			asked[i] = true
			at = append(at, (map[hold]float64{chocks: 1}[t.held[i]]-0.5)*math.Sin(t.yard))
		}
		if len(w.Loads) > 0 {
			at = append(at, 0)
		}
	}
	return at
}
