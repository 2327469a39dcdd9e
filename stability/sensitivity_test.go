package stability_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// moved returns a vehicle with each input more by some amount. The axle of a
// pivoting front stays under its pin.
func moved(v stability.Vehicle, by [stability.NumInputs]float64) stability.Vehicle {
	u := &v.Undercarriage
	v.Body.CG.X += units.Length(by[stability.InputCGX])
	v.Body.CG.Y += units.Length(by[stability.InputCGY])
	v.Body.CG.Z += units.Length(by[stability.InputCGZ])
	v.Body.Mass += units.Mass(by[stability.InputBodyMass])
	u.Axle.Mass += units.Mass(by[stability.InputAxleMass])
	u.Wheelbase += units.Length(by[stability.InputWheelbase])
	if u.Kind == stability.PivotingFront {
		u.Axle.CG.X += units.Length(by[stability.InputWheelbase])
	}
	u.RearTrack += units.Length(by[stability.InputRearTrack])
	u.FrontTrack += units.Length(by[stability.InputFrontTrack])
	u.PinHeight += units.Length(by[stability.InputPinHeight])
	return v
}

// worstAngle returns the slope of the worst limit of a vehicle.
func worstAngle(t *testing.T, v stability.Vehicle) float64 {
	t.Helper()
	l := compile(t, v).WorstTip().First
	switch {
	case reached(l):
		return math.Atan(l.Grade)
	case l.Status == stability.Exceeded:
		return 0
	}
	return math.Pi / 2
}

// What the worst limit moves by with each input is the difference between
// vehicles that differ by a little of it, here by four of them, the error of
// which goes with the fourth power of the step.
func TestSensitivityByDifferences(t *testing.T) {
	effect := map[stability.Input]int{}
	eachFull(t, 12, func(t *testing.T, r *rand.Rand, v stability.Vehicle) {
		v.Body.PitchRise, v.Body.RollRise = 0, 0
		v.Undercarriage.Axle.PitchRise, v.Undercarriage.Axle.RollRise = 0, 0
		s := compile(t, v).Sensitivity()
		if !reached(s.Limit) {
			return
		}
		if !alike(math.Atan(s.Limit.Grade), worstAngle(t, v)) {
			t.Errorf("%v", s.Limit)
		}
		for i := range stability.Input(stability.NumInputs) {
			h := 2e-4
			if i == stability.InputBodyMass || i == stability.InputAxleMass {
				h = 0.3
			}
			at := func(f float64) float64 {
				var by [stability.NumInputs]float64
				by[i] = f * h
				return worstAngle(t, moved(v, by))
			}
			want := (8*(at(1)-at(-1)) - (at(2) - at(-2))) / (12 * h)
			if math.Abs(s.PerUnit[i]-want) > 2e-7/(h*5e3)+1e-6*math.Abs(want) {
				t.Errorf("%v: %v, by differences %v\n%+v", i, s.PerUnit[i], want, v)
			}
			if math.Abs(want) > 1e-7 {
				effect[i]++
			}
		}
	})
	for i := range stability.Input(stability.NumInputs) {
		if effect[i] < 4 {
			t.Errorf("inputs with an effect: %v", effect)
			break
		}
	}
}

// An input at the end of its range has its effect as elsewhere; the mass of an
// axle without any, whose place is not known, has none.
func TestSensitivityAtAnEnd(t *testing.T) {
	v := loaderTractor(600)
	v.Undercarriage.PinHeight = 0
	up := v
	up.Undercarriage.PinHeight = 1e-5
	s := compile(t, v).Sensitivity()
	near(t, "pin", s.PerUnit[stability.InputPinHeight], (worstAngle(t, up)-worstAngle(t, v))/1e-5, 1e-5)
	if s.PerUnit[stability.InputPinHeight] < 1e-3 || s.PerUnit[stability.InputAxleMass] != 0 {
		t.Errorf("on the ground, axle without mass: %v", s.PerUnit)
	}
	v.Undercarriage.Axle = stability.Part{Mass: 1e-4, CG: stability.Point{X: 2.1, Z: 0.5}} // a small part of all
	more := v
	more.Undercarriage.Axle.Mass += 1
	s = compile(t, v).Sensitivity()
	near(t, "axle", s.PerUnit[stability.InputAxleMass], worstAngle(t, more)-worstAngle(t, v), 1e-8)
	if math.Abs(s.PerUnit[stability.InputAxleMass]) < 1e-6 {
		t.Errorf("a light axle: %v", s.PerUnit)
	}
	// Over already, no input is said to move the limit.
	v.Body.CG.Y = 3
	if s = compile(t, v).Sensitivity(); s.Limit.Status != stability.Exceeded || s.PerUnit != [stability.NumInputs]float64{} {
		t.Errorf("over already: %+v", s)
	}
}

// The envelope of a band holds the vehicle with every input off to either
// side, and its interval all but the outer fortieth of the draws on each side.
func TestBandByVehicles(t *testing.T) {
	for _, kind := range kinds {
		r := rand.New(rand.NewPCG(uint64(kind), 97))
		for n := range 3 {
			v := full(r, kind)
			v.Body.PitchRise, v.Undercarriage.Axle.PitchRise = v.Body.RollRise, v.Undercarriage.Axle.RollRise
			in := func(most float64) float64 { return most * r.Float64() }
			by := [stability.NumInputs]float64{in(0.05), in(0.03), in(0.05), in(100), in(60), in(0.03), in(0.03), in(0.03), in(0.05)}
			for i := range by {
				if r.IntN(3) == 0 && n > 0 {
					by[i] = 0
				}
			}
			tol := stability.Tolerances{
				CG:       stability.Point{X: units.Length(by[0]), Y: units.Length(by[1]), Z: units.Length(by[2])},
				BodyMass: units.Mass(by[3]), AxleMass: units.Mass(by[4]), Wheelbase: units.Length(by[5]),
				RearTrack: units.Length(by[6]), FrontTrack: units.Length(by[7]), PinHeight: units.Length(by[8]),
			}
			m := compile(t, v)
			const draws, seed = 160, 5
			b, err := m.Band(tol, draws, seed)
			if err != nil {
				t.Fatal(err)
			}
			if b.Limit != m.WorstTip().First || b.Interval.Level != 0.95 {
				t.Errorf("%v: %v at %v", kind, b.Limit, b.Interval.Level)
			}
			low, high := worstAngle(t, v), worstAngle(t, v)
			for corner := range 1 << stability.NumInputs {
				off := by
				for i := range off {
					if corner>>i&1 != 0 {
						off[i] = -off[i]
					}
				}
				a := worstAngle(t, moved(v, off))
				low, high = min(low, a), max(high, a)
			}
			// Equal seeds give equal draws: one for each input in doubt, in
			// their order, uniform from -1 to 1 of its tolerance.
			rng := rand.New(rand.NewPCG(seed, 0))
			var all []float64
			for range draws {
				var off [stability.NumInputs]float64
				for i := range off {
					if by[i] != 0 {
						off[i] = by[i] * (2*rng.Float64() - 1)
					}
				}
				all = append(all, worstAngle(t, moved(v, off)))
			}
			slices.Sort(all)
			low, high = min(low, all[0]), max(high, all[draws-1])
			if !alike(float64(b.Range.Low), low) || !alike(float64(b.Range.High), high) {
				t.Errorf("%v: %v, corners and draws from %v to %v", kind, b.Range, low, high)
			}
			// 160/40 = 4 draws out on each side: 152 of 160 are 95 %.
			if !alike(float64(b.Interval.Low), all[4]) || !alike(float64(b.Interval.High), all[155]) {
				t.Errorf("%v: %v, draws from %v to %v", kind, b.Interval, all[4], all[155])
			}
		}
	}
}

// The middle of the machine in its middle plane is the best that there is.
func TestBandAroundTheBest(t *testing.T) {
	m := compile(t, loaderTractor(600))
	b, err := m.Band(stability.Tolerances{CG: stability.Point{Y: 0.05}}, 100, 1)
	if err != nil || !alike(float64(b.Range.High), float64(b.Limit.Slope())) || b.Interval.High >= b.Range.High || b.Range.Low >= b.Interval.Low {
		t.Errorf("%+v, %v", b, err)
	}
}

// So uncertain that some draws are over already: the band begins at the level.
func TestBandOfATippedMachine(t *testing.T) {
	v := loaderTractor(0)
	v.Body.CG.Y = 0.4
	b, err := compile(t, v).Band(stability.Tolerances{CG: stability.Point{Y: 1}}, 200, 1)
	if err != nil || b.Range.Low != 0 || b.Interval.Low != 0 || b.Interval.High <= 0 || b.Range.High < b.Interval.High {
		t.Errorf("%+v, %v", b, err)
	}
}
