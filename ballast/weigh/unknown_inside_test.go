package weigh

import (
	"math"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// What is known of every unknown before anything is read, value and standard deviation, of a
// machine of 2600 kg by its papers with forks and a wheelbase of 2 m. The numbers are worked out
// by hand from common practice without a source: the ranges of ballast.UsualPractice, each 2.3
// standard deviations either way, and what is usual of instruments and hydraulics.
func TestPriors(t *testing.T) {
	const degree = math.Pi / 180
	r := Record{
		Mass: 2600, Attachment: ballast.Forks, Undercarriage: stability.PivotingFront, Cylinders: 2,
		Liquid: Measured[units.Mass]{Value: 300, SD: 20}, Scale: Scale{SD: 3, ZeroSD: 2}, Gauge: Gauge{SD: 150000},
		Tape:  []Taped{{Length: TapedWheelbase, Value: 2, SD: 0.005}},
		Loads: []TestLoad{{Name: "bin", Mass: Measured[units.Mass]{Value: 400, SD: 1}}, {Name: "vague", Mass: Measured[units.Mass]{Value: 100, SD: 30}}},
		Pieces: []LoosePiece{{Name: "box", Mass: Measured[units.Mass]{Value: 300, SD: 1}, X: Measured[units.Length]{Value: -0.9, SD: 0.01}},
			{Name: "heap", Mass: Measured[units.Mass]{Value: 50, SD: 20}, X: Measured[units.Length]{Value: -1, SD: 0.2}}},
		Weights: []AxleReading{
			{Pin: 0.4, Loads: []string{"bin"}, Front: 1500, RearLeft: 700, RearRight: 800},
			{Pin: 0.4, Loads: []string{"bin"}, Front: 1400, Rear: 1600, Raised: units.Angle(10 * degree), Held: HeldByBrakes},
		},
	}
	if err := r.Validate(); err != nil {
		t.Fatal(err)
	}
	var e estimator
	e.prepare(&r)
	arm := 2 * 1.125
	body := 2600 * (1 - 0.11 - 0.085)
	friction := 1.12 * 0.13 / 4.6 // of all friction, the middle of which is 0.075 of the pressure
	by := friction / math.Hypot(0.9*0.075, 6*0.1*0.075)
	want := map[int][2]float64{
		unBody: {body, 0.22 * body}, unBodyX: {0.43, 0.28 / 4.6}, unBodyZ: {0.38, 0.20 / 4.6},
		unAxle: {0.11, 0.12 / 4.6}, unAxleZ: {1, 0.3 / 4.6}, unLiquid: {300, 20}, unLiquidDeep: {0.12, 0.05},
		unArms: {286, math.Hypot(2600*0.14/4.6, 0.22*286)}, unArmsAt: {0.525, 0.3 / 4.6}, unHung: {221, math.Hypot(2600*0.13/4.6, 0.22*221)},
		unHungX: {0.325, 0.55 / 4.6}, unHungZ: {0.15, 0.9 / 4.6}, unBase: {2, 0.4}, unPivotX: {1.1, 0.8 / 4.6}, unPivotZ: {1.5, 0.6 / 4.6},
		unArm: {arm, 0.9 / 4.6}, unRearRadius: {0.66, 0.36 / 4.6}, unFrontRadius: {0.43, 0.34 / 4.6}, unTrack: {1.5, 1 / 4.6}, unAxlePin: {0.5, 0.36 / 4.6},
		unCylX: {0.05 * arm, 0.04 * arm}, unCylZ: {-0.17 * arm, 0.04 * arm}, unRodX: {0.40 * arm, 0.04 * arm}, unRodZ: {-0.05 * arm, 0.04 * arm},
		unBore: {math.Log(0.052 * math.Cbrt(1.3)), 0.15}, unRelief: {math.Log(17), 0.10},
		unDrag: {0.9 * 0.075, by * 0.9 * 0.075}, unStick: {0.1 * 0.075 * 17, by * 6 * 0.1 * 0.075 * 17}, unLower: {1, 0.25}, unLevel: {0.5, 0.29},
		unArmsUp: {0.05, 1.06 * 0.22 / 4.6}, unGain: {0, 0.0075}, unZero: {0, 2}, unGauge: {0, 0.01}, unYard: {0, 0.5 * degree}, unSquat: {0.4 * degree, 0.25 * degree},
		// Loads and pieces are read like anything else: before that they are half of what their
		// label says off, or ten times the error that is stated of it.
		unFixed: {400, 200}, unFixed + 1: {0.6, 0.4}, unFixed + 2: {100, 300}, unFixed + 3: {0.6, 0.4},
		unFixed + 4: {300, 150}, unFixed + 5: {-0.9, 0.5}, unFixed + 6: {50, 200}, unFixed + 7: {-1, 2},
		unFixed + 8: {10 * degree, 0.2},
	}
	// Behind them what only some records need: how the machine was held, where its center is
	// sideways and how the yard slopes across, and the pins of weighings that carry a load.
	want[unFixed+9], want[unFixed+10], want[unFixed+11] = [2]float64{0, 0.4 * 0.5 * degree}, [2]float64{0, 0.01 * 2}, [2]float64{0, 0.5 * degree}
	want[unFixed+12], want[unFixed+13] = [2]float64{0, 0.005}, [2]float64{0, 0.005}
	if e.n != len(want) {
		t.Errorf("%d unknowns, want %d", e.n, len(want))
	}
	used := map[int]bool{}
	same := func(i int, w [2]float64) bool {
		return math.Abs(e.mean[i]-w[0]) <= 1e-9*(1+math.Abs(w[0])) && math.Abs(e.dev[i]-w[1]) <= 1e-9*(1+w[1])
	}
	for i, w := range want {
		// The order of the last five is of no account.
		if i < unFixed+9 && !same(i, w) {
			t.Errorf("unknown %d: %v +- %v, want %v +- %v", i, e.mean[i], e.dev[i], w[0], w[1])
		}
		if i >= unFixed+9 {
			found := false
			for j := unFixed + 9; j < e.n && !found; j++ {
				if !used[j] && same(j, w) {
					used[j], found = true, true
				}
			}
			if !found {
				t.Errorf("no unknown %v +- %v", w[0], w[1])
			}
		}
	}

	// What is stated of instruments, yard and squat counts in the place of what is usual, as
	// does a self-leveling that is known to lie in a range, evenly.
	r.Scale.GainSD, r.Gauge.GainSD, r.PinSD = 0.002, 0.003, 0.011
	r.Yard = Measured[units.Angle]{Value: 0.01, SD: 0.002}
	r.Squat = Measured[units.Angle]{Value: 0.02, SD: 0.001}
	r.SelfLeveling = units.Between[units.Fraction](0.2, 0.8)
	r.Attachment = ballast.BarePin
	e.prepare(&r)
	body = 2600 * (1 - 0.11)
	for i, w := range map[int][2]float64{
		unBody: {body, 0.22 * body}, unGain: {0, 0.002}, unGauge: {0, 0.003}, unYard: {0.01, 0.002}, unSquat: {0.02, 0.001}, unLevel: {0.5, 0.6 / (2 * math.Sqrt(3))},
	} {
		if !same(i, w) {
			t.Errorf("stated, unknown %d: %v +- %v, want %v +- %v", i, e.mean[i], e.dev[i], w[0], w[1])
		}
	}
	stated := 0
	for j := unFixed + 9; j < e.n; j++ {
		if same(j, [2]float64{0, 0.011}) || same(j, [2]float64{0, 0.4 * math.Hypot(0.01, 0.002)}) {
			stated++
		}
	}
	if stated != 3 {
		t.Errorf("%d of the pins and of how it was held follow what was stated, want 3", stated)
	}
}

// The machine's mass is that of the first readings of both axles, empty, if there are any and they
// are no more than twice and no less than half of what the papers say; a reading that is missing
// leaves it to the papers.
func TestMassBeforeReadings(t *testing.T) {
	of := func(papers units.Mass, w ...AxleReading) (float64, float64) {
		r := Record{Mass: papers, Attachment: ballast.Forks, Undercarriage: stability.PivotingFront, Scale: Scale{SD: 3}, Tape: []Taped{{Length: TapedWheelbase, Value: 2, SD: 0.005}}, Weights: w,
			Loads: []TestLoad{{Name: "bin", Mass: Measured[units.Mass]{Value: 400, SD: 1}}}}
		var e estimator
		e.prepare(&r)
		return e.total()
	}
	for _, c := range []struct {
		papers  units.Mass
		weights []AxleReading
		mass    float64
		spread  float64
	}{
		{2600, nil, 2600, 0.22},
		{2600, []AxleReading{{Pin: 0.4, Front: 1000, Rear: 1500}}, 2500, 0},
		{2600, []AxleReading{{Pin: 0.4, Front: 1000, RearLeft: 700, RearRight: 750}}, 2450, 0},
		{2600, []AxleReading{{Pin: 0.4, Front: 1000}}, 2600, 0.22},
		{2600, []AxleReading{{Pin: 0.4, Rear: 1500}}, 2600, 0.22},
		{2600, []AxleReading{{Pin: 0.4, Front: 1000}, {Pin: 0.4, Rear: 1400}, {Pin: 0.4, Front: 1100, Rear: 1500}}, 2400, 0},
		{2600, []AxleReading{{Pin: 0.4, Front: 1000, Rear: 1500, Loads: []string{"bin"}}}, 2600, 0.22},
		{2600, []AxleReading{{Pin: 0.4, Front: 2200, Rear: 3100}}, 2600, 0.22}, // pounds
		{2600, []AxleReading{{Pin: 0.4, Front: 2200, Rear: 3000}}, 5200, 0},
		{0, []AxleReading{{Pin: 0.4, Front: 1000, Rear: 1500}}, 2500, 0},
	} {
		if mass, spread := of(c.papers, c.weights...); math.Abs(mass-c.mass) > 1e-9 || spread != c.spread {
			t.Errorf("papers %v, readings %+v: %v, spread %v, want %v, %v", c.papers, c.weights, mass, spread, c.mass, c.spread)
		}
	}
}

// What moves from one axle to the other as the pin is one standard deviation higher than it was
// taped: the masses on the arms times how far they come forward, over the wheelbase. How far that is
// comes from the circle that the pin goes on, by a small step.
func TestShiftsOfThePin(t *testing.T) {
	for _, c := range []struct {
		kind  ballast.AttachmentKind
		mass  units.Mass
		pinSD units.Length
		taped bool
	}{{ballast.Forks, 2600, 0, true}, {ballast.BarePin, 2600, 0.011, true}, {ballast.Forks, 0, 0.02, false}} {
		for _, pin := range []units.Length{0.3, 0.9, 1.4, 2.2} {
			r := Record{
				Mass: c.mass, Attachment: c.kind, Undercarriage: stability.PivotingFront, Scale: Scale{SD: 3}, PinSD: c.pinSD,
				Tape:    []Taped{{Length: TapedWheelbase, Value: 2, SD: 0.005}},
				Loads:   []TestLoad{{Name: "bin", Mass: Measured[units.Mass]{Value: 400, SD: 1}}},
				Weights: []AxleReading{{Pin: 0.4, Front: 1000, Rear: 1500}, {Pin: pin, Front: 1500, Loads: []string{"bin"}}},
			}
			pivot, arm := 2*0.75, 2*1.125
			if c.taped {
				pivot, arm = 1.4, 2.1
				r.Tape = append(r.Tape, Taped{Length: TapedPivotZ, Value: 1.4, SD: 0.005}, Taped{Length: TapedArm, Value: 2.1, SD: 0.005})
			}
			mass := float64(c.mass)
			if mass == 0 {
				mass = 2500
			}
			moved := mass*0.11*0.525 + 400
			if c.kind == ballast.Forks {
				moved += mass * 0.085
			}
			sd := float64(c.pinSD)
			if sd == 0 {
				sd = 0.005
			}
			x := func(h float64) float64 { return math.Sqrt(arm*arm - (pivot-h)*(pivot-h)) }
			const step = 1e-5
			want := moved * math.Abs(x(float64(pin)+step)-x(float64(pin)-step)) / (2 * step) * sd / 2
			var e estimator
			e.prepare(&r)
			if got := e.shifts(&r.Weights[1]); math.Abs(got-want) > 1e-6*(1+want) {
				t.Errorf("%+v, pin %v: %v kg, want %v kg", c, pin, got, want)
			}
		}
	}
}

// Each reading is a row with its place in the record, its value and its error: that of a pressure
// while the arms stand still takes in all friction, which works either way, evenly.
func TestRowsOfReadings(t *testing.T) {
	const degree = math.Pi / 180
	r := lifted()
	r.Gauge = Gauge{SD: 150000}
	r.Loads = []TestLoad{{Name: "bin", Mass: Measured[units.Mass]{Value: 400, SD: 1}}}
	r.Weights = append(r.Weights, AxleReading{Pin: 0.4, Front: 1100, Rear: 1560, Raised: units.Angle(10 * degree)}, AxleReading{Pin: 0.4, Front: 1000, RearLeft: 800, RearRight: 820})
	r.Pressures = []PressureReading{{Motion: Raising, Pin: 0.5, Pressure: 9e6}, {Motion: Still, Pin: 0.5, Pressure: 8e6}}
	r.Figures = []Figure{{Kind: FigureRelief, Pressure: 16e6}, {Kind: FigureArmMass, Mass: 300, SD: 0.05}}
	if err := r.Validate(); err != nil {
		t.Fatal(err)
	}
	var e estimator
	e.prepare(&r)
	type read struct{ value, sd float64 }
	still := math.Hypot(0.15, 0.075*(0.9*8+0.1*17)/math.Sqrt(3))
	want := map[string]read{
		"tape[0].value": {2.05, 0.005}, "tape[1].value": {1.05, 0.005}, "tape[2].value": {1.55, 0.005}, "tape[3].value": {2.2, 0.005},
		"loads[0].mass.value": {400, 1}, "weights[1].raised": {10 * degree, 0.2 * degree},
		"pressures[0].pressure": {9, 0.15}, "pressures[1].pressure": {8, still},
		"figures[0].pressure": {16, 1.6}, "figures[1].mass": {300, 15},
		"weights[0].front": {1120, 0}, "weights[0].rear": {1542, 0}, "weights[1].front": {1100, 0}, "weights[1].rear": {1560, 0},
		"weights[2].front": {1000, 0}, "weights[2].rearLeft": {800, 0}, "weights[2].rearRight": {820, 0},
	}
	if len(e.rows) != len(want) {
		t.Errorf("%d rows, want %d", len(e.rows), len(want))
	}
	for k := range e.rows {
		w, ok := want[e.path(k)]
		if !ok {
			t.Errorf("no reading is at %q", e.path(k))
			continue
		}
		delete(want, e.path(k))
		if w.sd == 0 { // of a scale: that of a reading and of its division, and what the pin's height moves
			if sd := e.rows[k].sd; !(sd >= math.Hypot(3, 2/math.Sqrt(12))*(1-1e-12) && sd < 8) {
				t.Errorf("%s: an error of %v kg", e.path(k), sd)
			}
			w.sd = e.rows[k].sd
		}
		if got := e.rows[k]; math.Abs(got.value-w.value) > 1e-12*w.value || math.Abs(got.sd-w.sd) > 1e-12*w.sd {
			t.Errorf("%s: %v +- %v, want %v +- %v", e.path(k), got.value, got.sd, w.value, w.sd)
		}
	}
}
