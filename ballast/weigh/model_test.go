package weigh_test

import (
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
			got, err := x.Fit()
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
		got, err := rec.Fit()
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
