package weigh_test

import (
	"context"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// workshop is every kind of reading, with both axles raised by turns.
var workshop = plan{weights: true, loads: true, level: true, raised: true, rear20: true, pressures: true, onePressure: true, relief: true}

// What the estimate's formulas say of a machine is what its masses say when they are
// turned point by point, its tires when they settle, and its cylinders when they
// work against the rise of every mass. The rub of pins is left out, as in the formulas. The tires
// settle a little more as the arms move without load, which the formulas leave out:
// with them the readings agree to two thousandths of the machine's mass.
func TestWeightsOfRotatedMachines(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 9))
	var e weigh.Estimator
	for range 200 {
		m := newMachine(r, 1, 1)
		m.rub = 0
		m.held = [2]hold{hold(r.IntN(2)), hold(r.IntN(2))}
		loose := m.squat
		for _, squat := range []float64{0, loose} {
			m.squat = squat
			rec := m.reads(nil, workshop)
			got := e.Modelled(&rec, m.unknowns(&rec))
			for k, read := range e.Read() {
				tol := 1e-6 * (1 + math.Abs(read))
				if squat > 0 {
					tol = math.Max(tol, 2e-3*m.nominal)
				}
				if !(math.Abs(got[k]-read) <= tol) {
					t.Errorf("reading %d: %v, want %v within %v", k, got[k], read, tol)
				}
			}
		}
		if t.Failed() {
			t.Fatalf("%+v", m)
		}
	}
}

// The rest of what may be read: reach and cylinder length at a height, the machine
// turned round, a piece of ballast on and off, a load in another one's place, and
// figures of papers, which speak of a loader without attachment.
func TestOtherReadingsOfRotatedMachines(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 10))
	var e weigh.Estimator
	for range 100 {
		m := newMachine(r, 1, 1)
		m.rub, m.squat, m.gain, m.gauge = 0, 0, 0, 0
		m.told, m.held[0] = false, hold(r.IntN(2))
		rec := m.reads(nil, plan{weights: true, loads: true})
		at := m.unknowns(&rec)
		ahead := float64(rec.Tape[len(rec.Tape)-2].Value)
		a := m.angle(m.high)
		px := m.pivotX + m.arm*math.Cos(a)
		rod := func(c, s float64) (x, z float64) { return m.rodX*c - m.rodZ*s, m.rodX*s + m.rodZ*c }
		x, z := rod(math.Cos(a), math.Sin(a))
		rec.Tape = append(rec.Tape,
			weigh.Taped{Length: weigh.TapedReach, Load: "small", Pin: units.Length(m.high), Value: units.Length(px + ahead - m.base), SD: 0.01},
			weigh.Taped{Length: weigh.TapedCylinderLength, Pin: units.Length(m.high), Value: units.Length(math.Hypot(x-m.cylX, z-m.cylZ)), SD: 0.01})
		// A third load in the place of the first, and a box behind, which is the last
		// of the unknowns.
		rec.Loads = append(rec.Loads, weigh.TestLoad{Name: "like", Like: "small", Mass: weigh.Measured[units.Mass]{Value: 50, SD: 1}, Above: 0.2})
		rec.Pieces = []weigh.LoosePiece{{Name: "box", Mass: weigh.Measured[units.Mass]{Value: 200, SD: 1}, X: weigh.Measured[units.Length]{Value: -0.9, SD: 0.01}, Z: 0.6}}
		at = append(at[:len(at)-len(m.optional(&rec))], 50, 0.1, 200, -0.9)
		box := point{200, -0.9, 0.6}
		add := func(w weigh.AxleReading, yard float64, loads []point, more ...point) {
			front, rear := m.stands(append(m.points(float64(w.Pin), loads), more...), yard, 0, false, m.held[0])
			w.Front, w.Rear = units.Mass(front), units.Mass(rear)
			rec.Weights = append(rec.Weights, w)
		}
		rec.Weights = nil
		pin := units.Length(m.low)
		add(weigh.AxleReading{Pin: pin}, m.yard, nil, box)
		add(weigh.AxleReading{Pin: pin, Turned: true, Without: []string{"box"}}, -m.yard, nil)
		small := point{float64(rec.Loads[0].Mass.Value), ahead, 0.2}
		add(weigh.AxleReading{Pin: pin, Loads: []string{"small", "like"}}, m.yard, []point{small, {50, ahead, 0.2}}, box)
		bare := m
		bare.hung = 0
		rec.Figures = []weigh.Figure{
			{Kind: weigh.FigureMachineMass, Mass: units.Mass(m.body)}, {Kind: weigh.FigureArmMass, Mass: units.Mass(m.arms)},
			{Kind: weigh.FigureAttachmentMass, Mass: units.Mass(m.hung)}, {Kind: weigh.FigureRelief, Pressure: units.GaugePressure(m.relief * 1e6)},
			{Kind: weigh.FigureLift, Pin: units.Length(m.high), Ahead: 0.5, Mass: units.Mass(bare.lifts(m.high, 0.5, -1))},
		}
		if err := rec.Validate(); err != nil {
			t.Fatal(err)
		}
		got := e.Modelled(&rec, append(at, m.optional(&rec)...))
		for k, read := range e.Read() {
			if !(math.Abs(got[k]-read) <= 1e-5*(1+math.Abs(read))) {
				t.Errorf("reading %d: %v, want %v", k, got[k], read)
			}
		}
		if t.Failed() {
			t.FailNow()
		}
	}
}

// A lift by the papers narrows the lift, and a machine known by papers alone has an
// answer that practice decides.
func TestLiftByPapers(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 3))
	for range 10 {
		m := newMachine(r, 1, 1)
		rec := m.reads(r, plan{weights: true})
		q := m.asks()[2].q
		bare := m
		bare.hung = 0
		with := rec
		with.Figures = []weigh.Figure{{Kind: weigh.FigureLift, Pin: units.Length(m.high), Mass: units.Mass(bare.lifts(m.high, 0, -1)), SD: 0.05}}
		var half [2]float64
		for i, x := range []weigh.Record{rec, with} {
			got, err := x.Fit(context.Background())
			if err != nil {
				t.Fatal(err)
			}
			if got.Doubts != 0 {
				continue
			}
			a, err := got.Ask(q)
			if err != nil {
				t.Fatal(err)
			}
			half[i] = float64(a.HalfWidth)
		}
		if half[0] > 0 && half[1] > 0 && !(half[1] < 0.75*half[0]) {
			t.Errorf("half width %.3f without papers, %.3f with", half[0], half[1])
		}
	}
}

// Every answer at the true numbers of a machine is what trying says of it: loads
// until the rear axle carries nothing, loads until the pressure is that of the relief
// valve, headings one after the other. With tires that give, the answers leave out
// how the empty machine settles when its arms are raised.
func TestAnswersAgainstTrying(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 1))
	var e weigh.Estimator
	for range 100 {
		m := newMachine(r, 1, 1)
		m.rub = 0
		rec := m.reads(nil, workshop)
		for _, squat := range []float64{0, m.squat} {
			m.squat = squat
			for _, a := range m.asks() {
				got, err := e.AskAt(&rec, m.unknowns(&rec), a.q)
				if err != nil {
					t.Fatal(err)
				}
				tol := 1e-5
				if squat > 0 && a.q.Kind != weigh.AskSlopeLimit {
					tol = 5e-3
				}
				if !(math.Abs(got/a.true-1) <= tol) {
					t.Errorf("%s: %v, want %v", a.name, got, a.true)
				}
			}
		}
	}
}

// A record without errors that is stated as exact gives back the tipping load and
// the axle loads, whatever practice says of such machines.
func TestRecordWithoutErrors(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 2))
	for range 50 {
		m := newMachine(r, 1, 1)
		m.rub, m.gain, m.gauge, m.yard, m.squat = 0, 0, 0, 0, 0
		rec := m.reads(nil, workshop)
		exactly(&rec)
		got, err := rec.Fit(context.Background())
		if err != nil || got.Doubts != 0 {
			t.Fatal(err, got.Doubts, got.Suspects)
		}
		for _, a := range m.asks() {
			ans, err := got.Ask(a.q)
			if err != nil {
				t.Fatal(err)
			}
			tol := 1e-3
			switch a.q.Kind {
			case weigh.AskLift, weigh.AskHold, weigh.AskSink:
				tol = 0.01
			case weigh.AskSlopeLimit: // nothing reads the mass of the axle and the liquid's place
				continue
			}
			if v := float64(ans.Mass.Value); !(math.Abs(v/a.true-1) <= tol) {
				t.Errorf("%s: %v, want %v", a.name, v, a.true)
			}
		}
	}
}

// exactly states every reading as good to a hair, and the yard and the tires as
// known.
func exactly(rec *weigh.Record) {
	for i := range rec.Tape {
		rec.Tape[i].SD = 1e-5
	}
	for i := range rec.Loads {
		rec.Loads[i].Mass.SD = 0.001
	}
	rec.Scale = weigh.Scale{SD: 0.01, GainSD: 1e-6}
	rec.Gauge = weigh.Gauge{SD: 1e3, GainSD: 1e-6}
	rec.LevelSD = 1e-5
	rec.Yard.SD, rec.Squat.SD, rec.PinSD = 1e-5, 1e-5, 1e-5
}

// The slope limit is what package stability finds for the same machine over all
// headings, where that tips over the line to the pin first.
func TestSlopeLimitAgainstStability(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 2))
	var e weigh.Estimator
	compared := 0
	for range 60 {
		m := newMachine(r, 1, 1)
		m.liquid = 0
		rec := m.reads(nil, plan{weights: true})
		got, err := e.AskAt(&rec, m.unknowns(&rec), weigh.Question{Kind: weigh.AskSlopeLimit, Pin: units.Length(m.low)})
		if err != nil {
			t.Fatal(err)
		}
		var all []stability.Part
		for _, p := range m.points(m.low, nil) {
			all = append(all, stability.Part{Mass: units.Mass(p.m), CG: stability.Point{X: units.Length(p.x), Z: units.Length(p.z)}})
		}
		// The body is all but the axle.
		var w, x, z float64
		for _, p := range all {
			w, x, z = w+float64(p.Mass), x+float64(p.Mass)*float64(p.CG.X), z+float64(p.Mass)*float64(p.CG.Z)
		}
		w, x, z = w-m.axle, x-m.axle*m.base, z-m.axle*m.axleZ
		model, err := stability.Vehicle{
			Body: stability.Body{Mass: units.Mass(w), CG: stability.Point{X: units.Length(x / w), Z: units.Length(z / w)}},
			Undercarriage: stability.Undercarriage{
				Kind: stability.PivotingFront, Wheelbase: units.Length(m.base), RearTrack: units.Length(m.track), FrontTrack: units.Length(3),
				PinHeight: units.Length(m.pin), Axle: stability.Part{Mass: units.Mass(m.axle), CG: stability.Point{X: units.Length(m.base), Z: units.Length(m.axleZ)}},
			},
		}.Compile()
		if err != nil {
			t.Fatal(err)
		}
		tip := model.WorstTip().First
		if tip.Kind != stability.TipsLeft && tip.Kind != stability.TipsRight {
			continue
		}
		compared++
		if want := float64(tip.Slope()); math.Abs(got-want) > 1e-5 {
			t.Errorf("%v degrees, want %v", got*180/math.Pi, want*180/math.Pi)
		}
	}
	if compared < 30 {
		t.Errorf("only %d machines compared", compared)
	}
}

// What tires that give do is found from energy alone, without a balance of moments: the
// machine stands on a spring under each wheel center, which moves straight up and down, and
// settles where its weight and its springs hold the least energy. What the springs then
// carry is what the formulas say of the same tilt, and the load that empties the rear
// spring is the tipping load.
func TestFreeBodies(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 11))
	var e weigh.Estimator
	for range 40 {
		m := newMachine(r, 1, 1)
		m.squat, m.gain = 0, 0
		front := 400e3 * m.nominal / 2000 // N/m
		rear := front * (1 + r.Float64())
		load := 0.25 * m.tips(m.low, 0.7, 0)
		settle := func(ps []point) (down, tilt float64) {
			energy := func(down, tilt float64) float64 {
				s, c := math.Sincos(-tilt)
				var u float64
				for _, p := range ps {
					z := p.z - m.rearRadius
					u += p.m * gravity * (m.rearRadius - down + p.x*s + z*c)
				}
				hub := m.rearRadius - down + m.base*s + (m.frontRadius-m.rearRadius)*c
				a, b := down, m.frontRadius-hub
				return u + rear*a*a/2 + front*b*b/2
			}
			// Newton's steps with differences of the energy.
			const d = 1e-5
			for range 30 {
				at := func(i, j float64) float64 { return energy(down+i*d, tilt+j*d) }
				gx, gy := (at(1, 0)-at(-1, 0))/(2*d), (at(0, 1)-at(0, -1))/(2*d)
				const h = 100 // a wider difference for the curvature
				xx := (at(h, 0) - 2*at(0, 0) + at(-h, 0)) / (h * h * d * d)
				yy := (at(0, h) - 2*at(0, 0) + at(0, -h)) / (h * h * d * d)
				xy := (at(h, h) - at(h, -h) - at(-h, h) + at(-h, -h)) / (4 * h * h * d * d)
				det := xx*yy - xy*xy
				down, tilt = down-(yy*gx-xy*gy)/det, tilt-(xx*gy-xy*gx)/det
			}
			return down, tilt
		}
		rearLoad := func(ps []point) float64 {
			down, _ := settle(ps)
			return rear * down / gravity
		}
		at := func(kg float64) []point { return m.points(m.low, []point{{kg, 0.7, 0}}) }
		// The load at which the rear spring carries nothing.
		tips := bisect(0, 1.2*m.tips(m.low, 0.7, 0), func(kg float64) bool { return rearLoad(at(kg)) > 0 })
		_, tilt := settle(at(tips))
		rec := m.reads(nil, plan{weights: true})
		u := m.unknowns(&rec)
		const squat = 35
		q := weigh.Question{Kind: weigh.AskTippingLoad, Pin: units.Length(m.low), Ahead: 0.7}
		u[squat] = tilt
		got, err := e.AskAt(&rec, u, q)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got/tips-1) > 1e-4 {
			t.Errorf("tips at %v kg, by energy %v with the nose down by %.2f degrees", got, tips, tilt*180/math.Pi)
		}
		// A light load: the tilt is stated as the share that the formula takes.
		_, tilt = settle(at(load))
		q.Kind, q.Load = weigh.AskRearLoad, units.Mass(load)
		u[squat] = 0
		flat, err := e.AskAt(&rec, u, q)
		if err != nil {
			t.Fatal(err)
		}
		empty := q
		empty.Load = 0
		none, err := e.AskAt(&rec, u, empty)
		if err != nil {
			t.Fatal(err)
		}
		u[squat] = tilt / (1 - flat/none)
		if got, err = e.AskAt(&rec, u, q); err != nil {
			t.Fatal(err)
		}
		if want := rearLoad(at(load)); math.Abs(got-want) > 1e-4*m.nominal {
			t.Errorf("the rear axle carries %v kg, by energy %v, flat %v", got, want, flat)
		}
	}
}

// Single rear wheels carry what two free bodies say that are joined by a pin: the body on
// the rear wheels, and the front axle, which takes no moment about the pin. Six equations
// of forces and moments are solved for the wheels' loads and the forces of the pin.
func TestWheelsByPinReactions(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 12))
	var e weigh.Estimator
	for range 60 {
		m := newMachine(r, 1, 1)
		m.squat, m.gain, m.yard = 0, 0, 0
		side, cross := 0.03*(2*r.Float64()-1), 0.01*(2*r.Float64()-1)
		rec := m.reads(nil, plan{weights: true})
		ps := m.points(m.low, nil)
		// On ground that rises to the left by the angle c, gravity pulls down by cos c and to
		// the right by sin c, per kilogram. The axle with its mass hangs on the front.
		gy, gz := -math.Sin(cross), -math.Cos(cross)
		ps = append(ps, point{-m.axle, m.base, m.axleZ}) // the body is all but the axle
		var w, wx, wz float64
		for _, p := range ps {
			w, wx, wz = w+p.m, wx+p.m*p.x, wz+p.m*p.z
		}
		wy := m.body * side
		// Pin: pushes the body by py, pz at (base, 0, pin). Yaw of the body about the rear
		// center: base py + gy wx = 0. Pitch: base pz + gz wx = 0.
		py, pz := -gy*wx/m.base, -gz*wx/m.base
		// Roll of the body about the ground line: left and right wheel, its weight, the pin.
		// Moment about x of a force (fy, fz) at (y, z) is y fz - z fy.
		both := -gz*w - pz
		diff := -(gz*wy - gy*wz - m.pin*py) * 2 / m.track
		left, right := (both+diff)/2, (both-diff)/2
		// The axle is in balance by its own wheels.
		front := pz - gz*m.axle
		rec.Weights = []weigh.AxleReading{{Pin: units.Length(m.low), Held: weigh.HeldByBrakes, Front: units.Mass(front), RearLeft: units.Mass(left), RearRight: units.Mass(right)}}
		if err := rec.Validate(); err != nil {
			t.Fatal(err)
		}
		u := m.unknowns(&rec)
		u = append(u[:len(u)-len(m.optional(&rec))], side, cross)
		got := e.Modelled(&rec, u)
		for k, read := range e.Read() {
			if math.Abs(got[k]-read) > 1e-4*(1+math.Abs(read)) {
				t.Errorf("reading %d: %v, want %v", k, got[k], read)
			}
		}
	}
}

// Rear wheels that are read one by one, the machine turned round between, tell how far its
// center of gravity is off the middle plane, and the slope limit is less for it.
func TestPlaceSideways(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 13))
	in, of := 0, 0
	for range 60 {
		m := newMachine(r, 1, 1)
		rec := m.reads(r, plan{weights: true, raised: true})
		side, cross := 0.01*m.base*r.NormFloat64(), 0.5*math.Pi/180*r.NormFloat64()
		var e weigh.Estimator
		rec.Weights = rec.Weights[:1]
		for _, turned := range []bool{false, true} {
			w := rec.Weights[0]
			w.Turned, w.Rear, w.RearLeft, w.RearRight = turned, 0, 1, 1
			x := rec
			x.Weights = []weigh.AxleReading{w}
			u := m.unknowns(&x)
			if u = u[:len(u)-len(m.optional(&x))]; w.Held == weigh.HeldUnknown {
				u = append(u, 0)
			}
			got := e.Modelled(&x, append(u, side, cross))
			n := len(x.Tape) + len(x.Loads)
			show := func(v float64) units.Mass { return units.Mass(math.Round(v + 2*r.NormFloat64())) }
			w.Front, w.RearLeft, w.RearRight = show(got[n]), show(got[n+1]), show(got[n+2])
			rec.Weights = append(rec.Weights, w)
		}
		rec.Weights = rec.Weights[1:]
		got, err := rec.Fit(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		if got.Doubts != 0 {
			continue
		}
		q := weigh.Question{Kind: weigh.AskCGY, Pin: units.Length(m.low)}
		a, err := got.Ask(q)
		if err != nil {
			t.Fatal(err)
		}
		of++
		want := side * m.body / (m.body + m.arms + m.hung)
		if float64(a.Length.Interval.Low) <= want && want <= float64(a.Length.Interval.High) {
			in++
		}
		if a.Length.SD > 0.004 {
			t.Errorf("known within %v", a.Length.SD)
		}
	}
	if of < 50 || in < of*85/100 {
		t.Errorf("covered in %d of %d", in, of)
	}
}
