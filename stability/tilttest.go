package stability

import (
	"math"

	"example.com/steelyard/units"
)

// LeastTilt is the tilt of the body that a narrow-track tractor must reach in the
// tilt test before it balances: Regulation (EU) No 1322/2014, Annex IX, 3.1.3.
const LeastTilt = 38 * units.Degree

// TiltTest is the calculated outcome of a lateral stability test in which the
// side of a tractor is lifted until it balances on the wheels of one side.
type TiltTest struct {
	// Tilt is the angle between the body's vertical and the vertical at the
	// balance, with the body turned as the regulation turns it: by the swing of
	// the axle, about the tipping line from the rear contact to the pin.
	Tilt units.Angle `json:"tilt"`
	// Slope is the slope along the contour on which the tractor would balance so.
	Slope units.Slope `json:"slope"`
	// Status is Within if Tilt is at least LeastTilt, Exceeded if it is less, and
	// NotChecked if the formulas have no value.
	Status Status `json:"status"`
	// PinTilt is the tilt with the body turned about the axle's own pin, as it
	// really turns. It is some tenths of a degree more than Tilt, because about the
	// pin the body turns by more than the axle's swing before the stop is met. It is
	// zero if no such pose exists.
	PinTilt units.Angle `json:"pinTilt"`
	// PinSlope is the slope that goes with PinTilt, as Model.OnStop has it: some
	// tenths of a degree less than Slope.
	PinSlope units.Slope `json:"pinSlope"`
	// Tips is the slope along the contour on which the tractor starts to tip: the
	// first loss of a rear wheel, with the axle free on its pin. It is the figure
	// for a slope; the test's tilt is much larger and is no slope to drive on.
	Tips units.Slope `json:"tips"`
	// Notes are what the figures assume.
	Notes Notes `json:"notes"`
	// Cautions belong beside the figures.
	Cautions Cautions `json:"cautions"`
}

// TiltTest returns the tilt at which the tractor balances on the wheels of one
// side, its axle at the stop, on rigid tires without liquid and with both tracks
// equal. It is a calculation beside the test of Regulation (EU) No 1322/2014,
// Annex IX, 3.1.3, which only a test station carries out; it replaces no test.
func (n NarrowTractor) TiltTest() (TiltTest, error) {
	if err := n.Validate(); err != nil {
		return TiltTest{}, err
	}
	o := TiltTest{Notes: NoteRegulationOnly | NoteRigidTires, Cautions: SlopeCautions | CautionNotALimit | CautionNotSurvivable}
	_, slope := newAnnex(&n).balance()
	if math.IsNaN(slope) {
		o.Notes |= NoteOutsideFormula
		return o, nil
	}
	line := vec{float64(n.CGToRear + n.CGToFront), float64(n.Track) / 2, float64(n.PinHeight)}.unit()
	o.Slope = units.Slope(slope)
	o.Tilt = tilt(vec{0, 0, 1}.turn(line, float64(n.StopAngle)), slope)
	o.Status = Exceeded
	if o.Tilt >= LeastTilt {
		o.Status = Within
	}
	m, err := n.vehicle().Compile()
	if err != nil {
		return TiltTest{}, err
	}
	tip, err := m.Tip(90 * units.Degree)
	if err != nil {
		return TiltTest{}, err
	}
	if l := tip.Limits[TipsRight]; l.reached() {
		o.Tips = units.Grade(l.Grade)
	}
	if s := m.onStop(1, 0); s.Limit.Status == Within {
		f, _ := m.frame(false)
		o.PinSlope = units.Grade(s.Limit.Grade)
		o.PinTilt = tilt(f.stance(float64(n.StopAngle)).rotation.of(vec{0, 0, 1}), float64(o.PinSlope))
	}
	return o, nil
}

// tilt returns the angle between a direction, in the axes of a machine that
// stands across a slope with downhill on the right, and the vertical.
func tilt(up vec, slope float64) units.Angle {
	sin, cos := math.Sincos(slope)
	return units.Angle(math.Acos(min(1, up.dot(vec{0, sin, cos}))))
}

// vehicle returns the tractor with all of its mass on the body, as the
// regulation counts it.
func (n *NarrowTractor) vehicle() Vehicle {
	return Vehicle{
		Body: Body{Mass: n.Mass, CG: Point{X: n.CGToRear, Z: n.CGHeight}, Inertia: Inertia{XX: n.RollInertia}},
		Undercarriage: Undercarriage{
			Kind: PivotingFront, Wheelbase: n.CGToRear + n.CGToFront, RearTrack: n.Track, FrontTrack: n.Track,
			PinHeight: n.PinHeight, StopAngle: n.StopAngle,
		},
	}
}
