package stability

import (
	"math"
	"math/rand/v2"
	"slices"

	"example.com/steelyard/units"
)

// Input names a measured input that a limit depends on. In JSON: "cgX",
// "cgY", "cgZ", "bodyMass", "axleMass", "wheelbase", "rearTrack",
// "frontTrack" or "pinHeight".
type Input uint8

// The inputs of [Model.Sensitivity] and [Tolerances].
const (
	// InputCGX is the body's center of gravity along x, positive forward.
	InputCGX Input = iota
	// InputCGY is the body's center of gravity along y, positive to the left.
	InputCGY
	// InputCGZ is the height of the body's center of gravity.
	InputCGZ
	// InputBodyMass is the body's mass.
	InputBodyMass
	// InputAxleMass is the pivoting axle's mass.
	InputAxleMass
	// InputWheelbase is the wheelbase; the axle moves with it.
	InputWheelbase
	// InputRearTrack is the rear track.
	InputRearTrack
	// InputFrontTrack is the front track.
	InputFrontTrack
	// InputPinHeight is the height of the pin.
	InputPinHeight
	// NumInputs is the number of inputs.
	NumInputs = iota
)

var inputNames = []string{"cgX", "cgY", "cgZ", "bodyMass", "axleMass", "wheelbase", "rearTrack", "frontTrack", "pinHeight"}

// add changes the input in a vehicle.
func (i Input) add(v *Vehicle, by float64) {
	u := &v.Undercarriage
	switch i {
	case InputCGX:
		v.Body.CG.X += units.Length(by)
	case InputCGY:
		v.Body.CG.Y += units.Length(by)
	case InputCGZ:
		v.Body.CG.Z += units.Length(by)
	case InputBodyMass:
		v.Body.Mass += units.Mass(by)
	case InputAxleMass:
		u.Axle.Mass += units.Mass(by)
	case InputWheelbase:
		u.Wheelbase += units.Length(by)
		if u.Kind == PivotingFront {
			u.Axle.CG.X += units.Length(by)
		}
	case InputRearTrack:
		u.RearTrack += units.Length(by)
	case InputFrontTrack:
		u.FrontTrack += units.Length(by)
	case InputPinHeight:
		u.PinHeight += units.Length(by)
	}
}

// Sensitivity is how much the worst tipping limit moves with each input.
type Sensitivity struct {
	// Limit is the worst limit itself.
	Limit Limit `json:"limit"`
	// PerUnit is the change of its slope, in radians per meter or per kilogram,
	// by Input. It is 0 for an input that has no effect or that the kind does not
	// have.
	PerUnit [NumInputs]float64 `json:"perUnit"`
}

// Sensitivity returns how much the worst tipping limit moves with each input,
// by central differences. If no limit can be reached, all are 0 and the limit's
// status says why. Neither it nor [Model.Band] carries cautions: show those of
// [Model.WorstTip] with them.
func (m *Model) Sensitivity() Sensitivity {
	o := Sensitivity{Limit: m.WorstTip().First}
	if !o.Limit.reached() {
		return o
	}
	for i := range Input(NumInputs) {
		if i == InputAxleMass && m.v.Undercarriage.Axle.Mass == 0 {
			continue // the place of the axle is not known
		}
		h := 1e-5
		if i == InputBodyMass || i == InputAxleMass {
			h *= m.whole.m
		}
		more, less := m.v, m.v
		i.add(&more, h)
		i.add(&less, -h)
		o.PerUnit[i] = (worstSlope(&more, m) - worstSlope(&less, m)) / (2 * h)
	}
	return o
}

// worstSlope returns the slope of the worst limit of a vehicle. It is 0 if the
// vehicle has tipped or cannot be compiled, and the vertical if no limit can
// occur. If the bend is not known, the bend with the least limit of like is
// taken, to either side.
func worstSlope(v *Vehicle, like *Model) float64 {
	if like.bends != nil {
		one, least := *v, math.Inf(1)
		for _, bend := range []units.Angle{like.worstBend, -like.worstBend} {
			one.Undercarriage.bend(bend)
			least = min(least, worstSlope(&one, &like.bends[0]))
		}
		return least
	}
	o := Model{v: *v, g: like.g, notes: like.notes}
	if o.prepare() != nil {
		return 0 // on error the slope is 0, which reads as tipped
	}
	l := o.WorstTip().First
	switch {
	case l.reached():
		return math.Atan(l.Grade)
	case l.Status == Exceeded:
		return 0
	}
	return math.Pi / 2
}

// Tolerances say how far each input may be off, either way. The zero value takes
// all inputs as exact.
type Tolerances struct {
	// CG is how far the body's center of gravity may be off in each axis.
	CG Point `json:"cg"`
	// BodyMass is how far the body's mass may be off.
	BodyMass units.Mass `json:"bodyMass,omitempty"`
	// AxleMass is how far the axle's mass may be off.
	AxleMass units.Mass `json:"axleMass,omitempty"`
	// Wheelbase is how far the wheelbase may be off.
	Wheelbase units.Length `json:"wheelbase,omitempty"`
	// RearTrack is how far the rear track may be off.
	RearTrack units.Length `json:"rearTrack,omitempty"`
	// FrontTrack is how far the front track may be off.
	FrontTrack units.Length `json:"frontTrack,omitempty"`
	// PinHeight is how far the pin's height may be off.
	PinHeight units.Length `json:"pinHeight,omitempty"`
}

func (t *Tolerances) by(i Input) float64 {
	return [NumInputs]float64{
		float64(t.CG.X), float64(t.CG.Y), float64(t.CG.Z), float64(t.BodyMass), float64(t.AxleMass),
		float64(t.Wheelbase), float64(t.RearTrack), float64(t.FrontTrack), float64(t.PinHeight),
	}[i]
}

var tolerancePaths = [NumInputs]string{"cg.x", "cg.y", "cg.z", "bodyMass", "axleMass", "wheelbase", "rearTrack", "frontTrack", "pinHeight"}

// slack returns how far an input may be off.
func (v *Vehicle) slack(i Input) float64 {
	u := &v.Undercarriage
	switch i {
	case InputCGX, InputCGY, InputCGZ:
		return float64(u.Wheelbase)
	case InputBodyMass:
		return float64(v.Body.Mass) / 2
	case InputAxleMass:
		return float64(u.Axle.Mass) / 2
	case InputWheelbase:
		return float64(u.Wheelbase) / 2
	case InputRearTrack:
		return float64(u.RearTrack) / 2
	case InputFrontTrack:
		return float64(u.FrontTrack) / 2
	}
	return float64(u.PinHeight)
}

// TipBand is the worst tipping limit under uncertain inputs.
type TipBand struct {
	// Limit is the limit with the inputs as given.
	Limit Limit `json:"limit"`
	// Range is the envelope over the inputs as given, every combination of inputs
	// that are off by their full tolerance, and all draws. The draws count because
	// the best limit may lie between. A slope of 0 means tipped on level ground.
	Range units.Range[units.Slope] `json:"range"`
	// Interval holds 95 % of the random draws.
	Interval units.Interval[units.Slope] `json:"interval"`
}

// Band returns the spread of the worst tipping limit under uncertain inputs. The
// interval comes from 100 to 1000000 random draws, each input uniform within its
// tolerance and independent of the others; equal seeds give equal bands. A
// tolerance is from 0 to half of its input, except that of a center of gravity,
// which is at most the wheelbase, and that of the pin's height, which is at most
// the height.
func (m *Model) Band(t Tolerances, draws int, seed uint64) (TipBand, error) {
	var e units.FieldErrors
	for i := range Input(NumInputs) {
		by := t.by(i)
		if !between(by, 0, m.v.slack(i)) {
			e.Add(tolerancePaths[i], by, "must be from 0 to half of the input; for a center of gravity at most the wheelbase, for the pin's height at most the height")
		}
	}
	if draws < 100 || draws > 1e6 {
		e.Add("draws", draws, "must be from 100 to 1000000")
	}
	if err := e.Err(); err != nil {
		return TipBand{}, err
	}
	o := TipBand{Limit: m.WorstTip().First}
	// Every corner is tried, because each edge is nearly monotone in each input.
	var used []Input
	for i := range Input(NumInputs) {
		if t.by(i) != 0 {
			used = append(used, i)
		}
	}
	nominal := units.Slope(worstSlope(&m.v, m))
	o.Range = units.Range[units.Slope]{Low: nominal, High: nominal}
	for corner := range 1 << len(used) {
		v := m.v
		for n, i := range used {
			by := t.by(i)
			if corner>>n&1 != 0 {
				by = -by
			}
			i.add(&v, by)
		}
		s := units.Slope(worstSlope(&v, m))
		o.Range.Low, o.Range.High = min(o.Range.Low, s), max(o.Range.High, s)
	}
	rng := rand.New(rand.NewPCG(seed, 0))
	slopes := make([]float64, draws)
	for d := range slopes {
		v := m.v
		for _, i := range used {
			i.add(&v, t.by(i)*(2*rng.Float64()-1))
		}
		slopes[d] = worstSlope(&v, m)
	}
	slices.Sort(slopes)
	o.Range.Low = min(o.Range.Low, units.Slope(slopes[0]))
	o.Range.High = max(o.Range.High, units.Slope(slopes[draws-1]))
	// This is the smallest interval of whole draws that holds the central 95 %.
	cut := draws / 40
	o.Interval = units.Interval[units.Slope]{
		Low: units.Slope(slopes[cut]), High: units.Slope(slopes[draws-1-cut]), Level: 0.95,
	}
	return o, nil
}
