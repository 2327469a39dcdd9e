package weigh

import (
	"math"
	"slices"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Record is everything that was read at one machine with its loader: by tape, on
// scales, from a pressure gauge, and from its papers. Readings may come in any
// number and order. [Record.Fit] makes one estimate of the machine from all of
// them; what nobody read has a range of practice.
//
// The frame is that of [ballast.Setup]: x forward from the rear contact line, z up
// from level ground. The machine is weighed as it stands, with its loader; what
// hangs on the pivot pin is the attachment.
//
// Ranges of practice are those of Practice, but for the lift cylinders, which differ so
// much from one loader to the next that they have none there. Common practice, no source,
// each as a value and one standard deviation, in shares of the usual arm, which is the
// wheelbase times the middle of Practice.Arm: the lower pin is 5 % ahead of the arms' pivot
// and 17 % below it, the upper pin 40 % along the line to the pivot pin and 5 % below it, all
// give or take 4 %. The bore is 52 mm for a machine of two tonnes, growing with the cube root
// of the mass, give or take 15 %; the relief pressure is 17 MPa, give or take 10 %. A tenth of
// the friction does not grow with pressure, give or take 1.8 % of the relief pressure, and
// while sinking friction is that of raising, give or take 25 %. Where cylinders were not
// taped and no pressure was read these decide the lift, which is then known to no better
// than all of itself: [DoubtPriors] and [DoubtWide] say so.
type Record struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Mass is about what the machine weighs with loader and attachment, 50 kg to
	// 100 t, by its papers or by its like. It may be left out where both axles were
	// weighed.
	Mass units.Mass `json:"mass,omitempty"`
	// Undercarriage is the kind of undercarriage. Only the slope limit needs it, and
	// that is answered for stability.PivotingFront alone.
	Undercarriage stability.UndercarriageKind `json:"undercarriage,omitempty"`
	// Attachment says what hangs on the pivot pin. There is no default.
	Attachment ballast.AttachmentKind `json:"attachment,omitempty"`
	// SelfLeveling is how far the carrier keeps its attitude while the arms turn, as
	// in [ballast.Loader]; left out, it is not known.
	SelfLeveling units.Input[units.Fraction] `json:"selfLeveling,omitzero" zero:"value"`
	// Cylinders is the number of lift cylinders, 1 to 4. Pressures and the lift need
	// it; zero is not known.
	Cylinders int `json:"cylinders,omitempty"`
	// Liquid is the mass of all liquid in the rear tires, up to 10 t. The slope limit
	// alone needs it; left out, the tires are dry.
	Liquid Measured[units.Mass] `json:"liquid,omitzero"`

	// Scale is the scale; needed with Weights. A gain that is left out is good to
	// 0.75 %, common practice without a source.
	Scale Scale `json:"scale,omitzero"`
	// Gauge is the pressure gauge; needed with Pressures.
	Gauge Gauge `json:"gauge,omitzero"`
	// LevelSD is the standard deviation of an angle read from a level on the
	// frame, 1e-5 rad to 2 degrees; zero is 0.2 degrees.
	LevelSD units.Angle `json:"levelSD,omitempty" zero:"value"`
	// PinSD is the standard uncertainty of the height of the pivot pin in each weighing, 0.01
	// mm to 0.2 m; zero is 5 mm, common practice without a source. Where the arms point
	// down, raising them moves forward what hangs on them.
	PinSD units.Length `json:"pinSD,omitempty" zero:"value"`
	// Yard is how far the yard rises towards the nose where the machine stood, by a
	// level on its ground; within 5 degrees, its SD 1e-5 rad to 1 degree. Left out, it is 0 with an
	// SD of 0.5 degrees, common practice without a source. A mistake in it is not part
	// of external reliability: turn the machine round and weigh again to be sure.
	Yard Measured[units.Angle] `json:"yard,omitzero"`
	// Squat is how far the nose sinks by the give of the tires from the empty
	// machine to its tipping load; within 3 degrees, its SD 1e-5 rad to 1 degree.
	// Left out, it is 0.4 degrees with an SD of 0.25, common practice without a
	// source.
	Squat Measured[units.Angle] `json:"squat,omitzero"`

	// Tape holds what was taped, at most MaxReadings; the wheelbase must be there.
	// What is taped twice stands twice: nothing else finds a mistake of the tape.
	Tape []Taped `json:"tape"`
	// Loads are the test loads, at most 20.
	Loads []TestLoad `json:"loads,omitempty"`
	// Pieces are the pieces of ballast that were on while weighing and may be
	// taken off, at most 10.
	Pieces []LoosePiece `json:"pieces,omitempty"`
	// Weights are the readings of the scale, at most MaxReadings.
	Weights []AxleReading `json:"weights,omitempty"`
	// Pressures are the readings of the gauge, at most MaxReadings.
	Pressures []PressureReading `json:"pressures,omitempty"`
	// Figures are those of the machine's papers, at most 20.
	Figures []Figure `json:"figures,omitempty"`

	// Practice replaces ranges of [ballast.UsualPractice]. The standard deviation of
	// what nobody read is a fifth of the width of its range.
	Practice ballast.Practice `json:"practice,omitzero"`
	// Confidence is the probability of the intervals, 0.5 to 0.999; zero means
	// DefaultConfidence.
	Confidence float64 `json:"confidence,omitempty"`
}

// Limits of a record besides MaxReadings.
const (
	maxTestLoads = 20
	maxPieces    = 10
	maxFigures   = 20
	maxRaised    = 20 // different angles of a raised axle
)

// Gauge is a pressure gauge at the loader's test port.
type Gauge struct {
	// SD is the standard deviation of a repeated reading, 1 kPa to 5 MPa.
	SD units.GaugePressure `json:"sd"`
	// GainSD is the standard uncertainty of the gauge's gain, as a share of the
	// reading, common to all readings, up to 0.1; zero is 0.01, common practice
	// without a source.
	GainSD units.Fraction `json:"gainSD,omitempty" zero:"value"`
}

// Validate reports every bad field by its path, or nil.
func (g Gauge) Validate() error {
	var c units.FieldErrors
	valid.Given(&c, "sd", g.SD, 1e3, 5e6, "must be given; it is the standard deviation of a repeated reading, such as 150 kPa gauge")
	valid.ZeroOr(&c, "gainSD", g.GainSD, 1e-6, 0.1)
	return c.Err()
}

// TapedLength says which length was taped. In JSON: "wheelbase", "pivotX",
// "pivotZ", "arm", "rearRadius", "frontRadius", "rearTrack", "axlePinHeight",
// "attachmentAhead", "attachmentAbove", "cylinderAhead", "cylinderAbove",
// "rodAlong", "rodAbove", "bore", "loadAhead", "reach" or "cylinderLength";
// "unknown" or left out is not given.
type TapedLength uint8

// What is taped.
const (
	// TapedUnknown means not given, which is an error.
	TapedUnknown TapedLength = iota
	// TapedWheelbase is the distance from the rear to the front contact line.
	TapedWheelbase
	// TapedPivotX is how far the arms' pivot is ahead of the rear contact line.
	TapedPivotX
	// TapedPivotZ is the height of the arms' pivot over level ground.
	TapedPivotZ
	// TapedArm is the distance from the arms' pivot to the attachment's pivot pin.
	TapedArm
	// TapedRearRadius is the height of the rear axle.
	TapedRearRadius
	// TapedFrontRadius is the height of the front axle's wheel centers.
	TapedFrontRadius
	// TapedRearTrack is the distance between the centers of the rear tires.
	TapedRearTrack
	// TapedAxlePin is the height of the pin on which the front axle swings.
	TapedAxlePin
	// TapedAttachmentAhead is how far the attachment's center of gravity is ahead of
	// the pivot pin.
	TapedAttachmentAhead
	// TapedAttachmentAbove is how far it is above the pivot pin.
	TapedAttachmentAbove
	// TapedCylinderAhead is how far the lower pin of a lift cylinder is ahead of the
	// arms' pivot; negative behind it.
	TapedCylinderAhead
	// TapedCylinderAbove is how far that pin is above the pivot; negative below it.
	TapedCylinderAbove
	// TapedRodAlong is how far the upper pin of a lift cylinder is from the arms'
	// pivot, along a string from there to the attachment's pivot pin.
	TapedRodAlong
	// TapedRodAbove is how far that pin is above the string; negative below it.
	TapedRodAbove
	// TapedBore is the inner diameter of a lift cylinder: its outside less the
	// walls, or from its papers.
	TapedBore
	// TapedLoadAhead is how far the center of a test load is ahead of the pivot
	// pin.
	TapedLoadAhead
	// TapedReach is how far the center of a test load is ahead of the front contact
	// line, with the pin at a height.
	TapedReach
	// TapedCylinderLength is the distance between the pins of a lift cylinder, with
	// the pin at a height.
	TapedCylinderLength

	tapedEnd
)

var tapedNames = []string{
	"unknown", "wheelbase", "pivotX", "pivotZ", "arm", "rearRadius", "frontRadius", "rearTrack", "axlePinHeight",
	"attachmentAhead", "attachmentAbove", "cylinderAhead", "cylinderAbove", "rodAlong", "rodAbove", "bore",
	"loadAhead", "reach", "cylinderLength",
}

// tapedRange holds what a taped length may be.
var tapedRange = [tapedEnd][2]units.Length{
	TapedWheelbase: {valid.MinWheelbase, valid.MaxWheelbase}, TapedPivotX: {-5, 10}, TapedPivotZ: {0.2, 5}, TapedArm: {0.3, 10},
	TapedRearRadius: {valid.MinRadius, valid.MaxRadius}, TapedFrontRadius: {valid.MinRadius, valid.MaxRadius},
	TapedRearTrack: {valid.MinTrack, valid.MaxTrack}, TapedAxlePin: {0.05, 3},
	TapedAttachmentAhead: {-2, 5}, TapedAttachmentAbove: {-3, 3}, TapedCylinderAhead: {-5, 5}, TapedCylinderAbove: {-5, 5},
	TapedRodAlong: {0.05, 10}, TapedRodAbove: {-5, 5}, TapedBore: {0.01, 0.5},
	TapedLoadAhead: {-2, 5}, TapedReach: {-2, 10}, TapedCylinderLength: {0.1, 10},
}

// Taped is one reading of the tape.
type Taped struct {
	// Length says which length it is. There is no default.
	Length TapedLength `json:"length"`
	// Value is what the tape read.
	Value units.Length `json:"value" zero:"value"`
	// SD is its standard uncertainty, 0.01 mm to 0.5 m; it must be given.
	SD units.Length `json:"sd"`
	// Load is the name of the test load of loadAhead and reach.
	Load string `json:"load,omitempty"`
	// Pin is the height of the pivot pin while reach or cylinderLength was taped,
	// 0.01 to 10 m.
	Pin units.Length `json:"pin,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (t Taped) Validate() error {
	var c units.FieldErrors
	choice.Given(&c, "length", t.Length, tapedNames)
	if t.Length > 0 && t.Length < tapedEnd {
		r := tapedRange[t.Length]
		valid.Within(&c, "value", t.Value, r[0], r[1])
	}
	valid.Given(&c, "sd", t.SD, 1e-5, 0.5, "must be given; it is the standard uncertainty of the tape, such as 5 mm")
	ofLoad := t.Length == TapedLoadAhead || t.Length == TapedReach
	if ofLoad != (t.Load != "") {
		c.Add("load", t.Load, "must name a test load for loadAhead and reach, and be left out for the rest")
	}
	if t.Length == TapedReach || t.Length == TapedCylinderLength {
		valid.Within(&c, "pin", t.Pin, 0.01, 10)
	} else if t.Pin != 0 {
		c.Add("pin", valid.Show(t.Pin), "must be left out but for reach and cylinderLength")
	}
	return c.Err()
}

// TestLoad is something of known mass that was lifted.
type TestLoad struct {
	// Name is what readings call it; unique in the record.
	Name string `json:"name"`
	// Mass is its mass by label or by scale, 1 kg to 20 t; the SD is 1 g to 5 t.
	Mass Measured[units.Mass] `json:"mass"`
	// Like is the name of a load further up in the list in whose place it sits, with
	// the error of that tape; left out, it has a place of its own.
	Like string `json:"like,omitempty"`
	// Above is the height of its center over the pivot pin, within 3 m. It counts
	// little.
	Above units.Length `json:"above,omitempty" zero:"value"`
}

// Validate reports every bad field by its path, or nil.
func (l TestLoad) Validate() error {
	var c units.FieldErrors
	validName(&c, l.Name)
	valid.Within(&c, "mass.value", l.Mass.Value, valid.MinMass, 20000)
	valid.Given(&c, "mass.sd", l.Mass.SD, 1e-3, 5000, "must be given; it is the standard uncertainty of the load, such as 1 kg")
	valid.Within(&c, "above", l.Above, -3, 3)
	return c.Err()
}

// LoosePiece is a piece of ballast that can be taken off.
type LoosePiece struct {
	// Name is what readings and questions call it; unique in the record.
	Name string `json:"name"`
	// Mass is its mass, 1 kg to 20 t; the SD is 1 g to 5 t.
	Mass Measured[units.Mass] `json:"mass"`
	// X is where its center is, within 20 m; behind the rear contact line it is
	// negative. The SD is 1e-6 to 2 m.
	X Measured[units.Length] `json:"x"`
	// Z is the height of its center over level ground, 0 to 5 m. It counts little
	// but for the slope limit.
	Z units.Length `json:"z,omitempty" zero:"value"`
}

// Validate reports every bad field by its path, or nil.
func (p LoosePiece) Validate() error {
	var c units.FieldErrors
	validName(&c, p.Name)
	valid.Within(&c, "mass.value", p.Mass.Value, valid.MinMass, 20000)
	valid.Given(&c, "mass.sd", p.Mass.SD, 1e-3, 5000, "must be given; it is the standard uncertainty of the mass")
	valid.Within(&c, "x.value", p.X.Value, -valid.MaxLength, valid.MaxLength)
	valid.Given(&c, "x.sd", p.X.SD, 1e-6, 2, "must be given; it is the standard uncertainty of the place")
	valid.Within(&c, "z", p.Z, 0, 5)
	return c.Err()
}

func validName(c *units.FieldErrors, name string) {
	if name == "" || len(name) > 100 {
		c.Add("name", nil, "must be given, with at most 100 bytes")
	}
}

// AxleReading is what the scale showed under one axle or both, one after the
// other, in one pose of the machine.
type AxleReading struct {
	// Pin is the height of the pivot pin over the ground, 0.01 to 10 m.
	Pin units.Length `json:"pin"`
	// Loads names the test loads on the attachment; none is the empty attachment.
	Loads []string `json:"loads,omitempty"`
	// Without names the pieces that were off; all others were on.
	Without []string `json:"without,omitempty"`
	// Front is the reading under the front axle, 1 kg to 100 t; zero is not read. At
	// least one axle must be read.
	Front units.Mass `json:"front,omitempty"`
	// Rear is the reading under the rear axle, in the same range; zero is not read.
	Rear units.Mass `json:"rear,omitempty"`
	// RearLeft and RearRight are the readings under each rear wheel, in the same range,
	// in place of Rear and on all wheels. They tell how far off its middle plane the
	// machine's center of gravity is; no reading says so of arms and loads, which are
	// taken to be in the middle.
	RearLeft units.Mass `json:"rearLeft,omitempty"`
	// RearRight is that of the right rear wheel; see RearLeft.
	RearRight units.Mass `json:"rearRight,omitempty"`
	// Held says what kept the machine from rolling. Left out, it may be either, which
	// makes the answers a little wider.
	Held Held `json:"held,omitempty"`
	// Raised is how far the machine was pitched by raising one axle, against the
	// same frame on all its wheels: positive nose up, 1 to 40 degrees either way.
	// Zero is on all its wheels. Readings with the same angle share its error.
	Raised units.Angle `json:"raised,omitempty" zero:"value"`
	// Turned says that the machine stood the other way round in the same yard.
	Turned bool `json:"turned,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (a AxleReading) Validate() error {
	var c units.FieldErrors
	valid.Within(&c, "pin", a.Pin, 0.01, 10)
	valid.ZeroOr(&c, "front", a.Front, valid.MinMass, valid.MaxMass)
	valid.ZeroOr(&c, "rear", a.Rear, valid.MinMass, valid.MaxMass)
	valid.ZeroOr(&c, "rearLeft", a.RearLeft, valid.MinMass, valid.MaxMass)
	valid.ZeroOr(&c, "rearRight", a.RearRight, valid.MinMass, valid.MaxMass)
	if (a.RearLeft == 0) != (a.RearRight == 0) {
		c.Add("rearRight", nil, "must be given with rearLeft")
	}
	if a.RearLeft != 0 && (a.Rear != 0 || a.Raised != 0) {
		c.Add("rearLeft", valid.Show(a.RearLeft), "must be left out where rear or raised is given")
	}
	if a.Front == 0 && a.Rear == 0 && a.RearLeft == 0 {
		c.Add("front", nil, "must be given, or rear, or rearLeft and rearRight")
	}
	if !choice.Known(heldNames, a.Held) {
		c.Add("held", a.Held, choice.OneOf, choice.Of[Held](heldNames))
	}
	if t := math.Abs(float64(a.Raised)); t != 0 && !(t >= float64(units.Degree) && t <= 40*float64(units.Degree)) {
		c.Add("raised", valid.Show(a.Raised), "must be left out or be between {low} and {high}, positive nose up or negative nose down", valid.Low(units.Degree), valid.High(40*units.Degree))
	}
	if len(a.Loads) > maxTestLoads {
		c.Add("loads", len(a.Loads), tooMany, valid.Text("entries", maxTestLoads))
	}
	if len(a.Without) > maxPieces {
		c.Add("without", len(a.Without), tooMany, valid.Text("entries", maxPieces))
	}
	return c.Err()
}

// Held says what kept a machine from rolling while it was weighed. On a yard that slopes it
// shifts load between the axles: brakes hold at the ground, chocks before free wheels at
// the height of their centers. In JSON: "byBrakes" or "byChocks"; "unknown" or left out is
// not known.
type Held uint8

// What keeps a machine from rolling.
const (
	// HeldUnknown means not known.
	HeldUnknown Held = iota
	// HeldByBrakes is by the brakes of wheels that stand on the ground, or by the gears.
	HeldByBrakes
	// HeldByChocks is by chocks before the wheels that stand, those of the rear axle where
	// none is raised, with the brakes off.
	HeldByChocks
)

var heldNames = []string{"unknown", "byBrakes", "byChocks"}

// Motion says what the arms did while the gauge was read. In JSON: "raising",
// "sinking", "still" or "atStop"; "unknown" or left out is not given.
type Motion uint8

// What the arms do.
const (
	// MotionUnknown means not given, which is an error.
	MotionUnknown Motion = iota
	// Raising is steady and slow.
	Raising
	// Sinking is steady and slow, by the load's weight alone.
	Sinking
	// Still is at rest with the valve closed: friction may act either way, so that
	// the reading says less.
	Still
	// AtStop is against the end of the cylinders' stroke: the gauge reads the relief
	// pressure.
	AtStop
)

var motionNames = []string{"unknown", "raising", "sinking", "still", "atStop"}

// PressureReading is what a gauge at the loader's test port showed.
type PressureReading struct {
	// Motion says what the arms did. There is no default.
	Motion Motion `json:"motion"`
	// Pressure is the reading, 10 kPa to 100 MPa.
	Pressure units.GaugePressure `json:"pressure"`
	// Pin is the height of the pivot pin, 0.01 to 10 m; left out at the stop.
	Pin units.Length `json:"pin,omitempty"`
	// Loads names the test loads on the attachment.
	Loads []string `json:"loads,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (p PressureReading) Validate() error {
	var c units.FieldErrors
	choice.Given(&c, "motion", p.Motion, motionNames)
	valid.Within(&c, "pressure", p.Pressure, 1e4, 1e8)
	switch {
	case p.Motion != AtStop:
		valid.Within(&c, "pin", p.Pin, 0.01, 10)
	case p.Pin != 0 || len(p.Loads) > 0:
		c.Add("pin", valid.Show(p.Pin), "must be left out at the stop, and so must loads")
	}
	if len(p.Loads) > maxTestLoads {
		c.Add("loads", len(p.Loads), tooMany, valid.Text("entries", maxTestLoads))
	}
	return c.Err()
}

// FigureKind says what a figure of the papers is. In JSON: "machineMass",
// "armMass", "attachmentMass", "relief" or "lift"; "unknown" or left out is not
// given.
type FigureKind uint8

// Figures of papers.
const (
	// FigureUnknown means not given, which is an error.
	FigureUnknown FigureKind = iota
	// FigureMachineMass is the mass of the machine without the loader's arms and
	// without attachment, fueled and manned as it was weighed.
	FigureMachineMass
	// FigureArmMass is the mass of the loader's arms and carrier.
	FigureArmMass
	// FigureAttachmentMass is the mass of the attachment.
	FigureAttachmentMass
	// FigureRelief is the relief pressure of the loader's circuit.
	FigureRelief
	// FigureLift is what the loader lifts at a height of the pivot pin, without
	// attachment, at the pin or ahead of it.
	FigureLift
)

var figureNames = []string{"unknown", "machineMass", "armMass", "attachmentMass", "relief", "lift"}

// Figure is one figure of the machine's papers. It is a weak reading: it speaks of
// a machine like this one, in a state that may be another.
type Figure struct {
	// Kind says what it is. There is no default.
	Kind FigureKind `json:"kind"`
	// Mass is the figure, 1 kg to 100 t; left out for a pressure.
	Mass units.Mass `json:"mass,omitempty"`
	// Pressure is the figure, 0.1 to 100 MPa; left out for a mass.
	Pressure units.GaugePressure `json:"pressure,omitempty"`
	// Pin is the height of the pivot pin for which a lift holds, 0.01 to 10 m.
	Pin units.Length `json:"pin,omitempty"`
	// Ahead is how far ahead of the pivot pin a lift holds, up to 5 m.
	Ahead units.Length `json:"ahead,omitempty" zero:"value"`
	// SD is its standard uncertainty as a share of it, 0.001 to 0.5; zero is 0.1,
	// common practice without a source.
	SD units.Fraction `json:"sd,omitempty" zero:"value"`
}

// Validate reports every bad field by its path, or nil.
func (f Figure) Validate() error {
	var c units.FieldErrors
	choice.Given(&c, "kind", f.Kind, figureNames)
	if f.Kind == FigureRelief {
		valid.Within(&c, "pressure", f.Pressure, units.GaugeBar, 1000*units.GaugeBar)
		if f.Mass != 0 {
			c.Add("mass", valid.Show(f.Mass), "must be left out for a pressure")
		}
	} else {
		valid.Within(&c, "mass", f.Mass, valid.MinMass, valid.MaxMass)
		if f.Pressure != 0 {
			c.Add("pressure", valid.Show(f.Pressure), "must be left out for a mass")
		}
	}
	if f.Kind == FigureLift {
		valid.Within(&c, "pin", f.Pin, 0.01, 10)
	} else if f.Pin != 0 || f.Ahead != 0 {
		c.Add("pin", valid.Show(f.Pin), "must be left out but for a lift, and so must ahead")
	}
	valid.Within(&c, "ahead", f.Ahead, 0, 5)
	valid.ZeroOr(&c, "sd", f.SD, 1e-3, 0.5)
	return c.Err()
}

// Validate reports every bad field by its path, or nil.
func (r Record) Validate() error {
	var c units.FieldErrors
	valid.ZeroOr(&c, "mass", r.Mass, 50, valid.MaxMass)
	if !choice.Known(attachments, r.Attachment) || r.Attachment == ballast.AttachmentUnknown {
		c.Add("attachment", r.Attachment, choice.OneOf, choice.Of[ballast.AttachmentKind](attachments))
	}
	if r.Undercarriage > stability.Tricycle {
		c.Add("undercarriage", r.Undercarriage, "must be left out or be an undercarriage")
	}
	valid.Optional(&c, "selfLeveling", r.SelfLeveling, 0, 1)
	if r.SelfLeveling.Absent() {
		c.Add("selfLeveling", valid.ShowInput(r.SelfLeveling), "must not be none: this is no rating")
	}
	if r.Cylinders < 0 || r.Cylinders > 4 {
		c.Add("cylinders", r.Cylinders, "must be the number of lift cylinders, 1 to 4, or be left out")
	}
	if r.Liquid != (Measured[units.Mass]{}) {
		valid.Within(&c, "liquid.value", r.Liquid.Value, 0, 10000)
		valid.Given(&c, "liquid.sd", r.Liquid.SD, 1e-3, 2000, "must be given; it is the standard uncertainty of the liquid's mass")
	}
	if len(r.Weights) > 0 || r.Scale != (Scale{}) {
		c.Join("scale", r.Scale.Validate())
	}
	if len(r.Pressures) > 0 || r.Gauge != (Gauge{}) {
		c.Join("gauge", r.Gauge.Validate())
	}
	valid.ZeroOr(&c, "levelSD", r.LevelSD, 1e-5, 2*units.Degree)
	valid.ZeroOr(&c, "pinSD", r.PinSD, 1e-5, 0.2)
	angle := func(path string, m Measured[units.Angle], most units.Angle) {
		if m != (Measured[units.Angle]{}) {
			valid.Within(&c, path+".value", m.Value, -most, most)
			valid.Given(&c, path+".sd", m.SD, 1e-5, units.Degree, "must be given; it is the standard uncertainty of the angle")
		}
	}
	angle("yard", r.Yard, 5*units.Degree)
	angle("squat", r.Squat, 3*units.Degree)
	r.validateLists(&c)
	c.Join("practice", r.Practice.Validate())
	checkConfidence(&c, "confidence", r.Confidence)
	if c.Len() == 0 {
		r.validateNames(&c)
	}
	r.validateStart(&c)
	return c.Err()
}

// tooMany is what a list that is too long must be.
const tooMany = "must have at most {entries} entries"

// attachments lists the names of the kinds that a record accepts.
var attachments = []string{"unknown", "barePin", "forks", "bucket"}

// entries records the errors of each entry of a list, and one for a list that is
// too long.
func entries[T interface{ Validate() error }](c *units.FieldErrors, path string, list []T, most int) {
	if len(list) > most {
		c.Add(path, len(list), tooMany, valid.Text("entries", most))
		return
	}
	for i, e := range list {
		valid.JoinAt(c, path, i, e.Validate())
	}
}

func (r *Record) validateLists(c *units.FieldErrors) {
	entries(c, "tape", r.Tape, MaxReadings)
	entries(c, "loads", r.Loads, maxTestLoads)
	entries(c, "pieces", r.Pieces, maxPieces)
	entries(c, "weights", r.Weights, MaxReadings)
	entries(c, "pressures", r.Pressures, MaxReadings)
	entries(c, "figures", r.Figures, maxFigures)
}

// load returns the place of a test load in the list, or -1.
func (r *Record) load(name string) int {
	return slices.IndexFunc(r.Loads, func(l TestLoad) bool { return l.Name == name })
}

// place returns which load's place a test load has: its own, or that of the one it is
// like.
func (r *Record) place(name string) int {
	i := r.load(name)
	if l := r.Loads[i].Like; l != "" {
		return r.load(l)
	}
	return i
}

func (r *Record) piece(name string) int {
	return slices.IndexFunc(r.Pieces, func(p LoosePiece) bool { return p.Name == name })
}

// validateNames reports names that are there twice or belong to nothing.
func (r *Record) validateNames(c *units.FieldErrors) {
	for i, l := range r.Loads {
		if r.load(l.Name) != i {
			c.Add(units.Index("loads", i)+".name", l.Name, "must be unique")
		}
		if j := r.load(l.Like); l.Like != "" && (j < 0 || j >= i || r.Loads[j].Like != "") {
			c.Add(units.Index("loads", i)+".like", l.Like, "must be the name of a load further up that has a place of its own")
		}
	}
	for i, p := range r.Pieces {
		if r.piece(p.Name) != i {
			c.Add(units.Index("pieces", i)+".name", p.Name, "must be unique")
		}
	}
	for i, t := range r.Tape {
		if t.Load != "" && r.load(t.Load) < 0 {
			c.Add(units.Index("tape", i)+".load", t.Load, "must be the name of one of {list}", valid.Text("list", "loads"))
		}
	}
	listed := func(path string, names []string, has func(string) int, of string) {
		for j, n := range names {
			if has(n) < 0 || slices.Index(names, n) != j {
				c.Add(units.Index(path, j), n, "must be the name of one of {list}, and appear only once", valid.Text("list", of))
			}
		}
	}
	var raised []units.Angle
	for i, w := range r.Weights {
		p := units.Index("weights", i)
		for _, x := range []struct {
			path string
			is   units.Mass
		}{{".front", w.Front}, {".rear", w.Rear}, {".rearLeft", w.RearLeft}, {".rearRight", w.RearRight}} {
			if most := r.Scale.Capacity; most != 0 && !(x.is < most) {
				c.Add(p+x.path, valid.Show(x.is), "must be below the capacity of the scale, {most}", valid.Most(most))
			}
		}
		listed(p+".loads", w.Loads, r.load, "loads")
		listed(p+".without", w.Without, r.piece, "pieces")
		if w.Raised != 0 && !slices.Contains(raised, w.Raised) {
			if raised = append(raised, w.Raised); len(raised) == maxRaised+1 {
				c.Add(p+".raised", valid.Show(w.Raised), "must be one of at most 20 different angles")
			}
		}
	}
	for i, p := range r.Pressures {
		listed(units.Index("pressures", i)+".loads", p.Loads, r.load, "loads")
	}
}

// validateStart reports what is missing to begin with.
func (r *Record) validateStart(c *units.FieldErrors) {
	if r.wheelbase() == 0 {
		c.Add("tape", nil, "must hold the wheelbase")
	}
	if r.Mass == 0 && r.weighed() == 0 {
		c.Add("mass", nil, "must be given, unless both axles were weighed empty on all wheels")
	}
	if r.Cylinders == 0 {
		if len(r.Pressures) > 0 {
			c.Add("cylinders", nil, "must be given with pressures")
		}
		for _, f := range r.Figures {
			if f.Kind == FigureLift {
				c.Add("cylinders", nil, "must be given with the lift of the papers")
				break
			}
		}
	}
}

// wheelbase returns the first wheelbase by tape; zero if there is none.
func (r *Record) wheelbase() float64 {
	for _, t := range r.Tape {
		if t.Length == TapedWheelbase {
			return float64(t.Value)
		}
	}
	return 0
}

// weighed returns the mass of the machine by the first readings of both axles
// without load; zero if they are not there.
func (r *Record) weighed() float64 {
	var front, rear float64
	for _, w := range r.Weights {
		if w.Raised == 0 && len(w.Loads) == 0 && len(w.Without) == 0 {
			if front == 0 {
				front = float64(w.Front)
			}
			if rear == 0 {
				rear = float64(w.Rear + w.RearLeft + w.RearRight)
			}
		}
	}
	if front == 0 || rear == 0 {
		return 0
	}
	return front + rear
}

// clone returns a copy that shares no list with the record.
func (r Record) clone() Record {
	r.Tape, r.Loads, r.Pieces = slices.Clone(r.Tape), slices.Clone(r.Loads), slices.Clone(r.Pieces)
	r.Weights, r.Pressures, r.Figures = slices.Clone(r.Weights), slices.Clone(r.Pressures), slices.Clone(r.Figures)
	for i := range r.Weights {
		w := &r.Weights[i]
		w.Loads, w.Without = slices.Clone(w.Loads), slices.Clone(w.Without)
	}
	for i := range r.Pressures {
		r.Pressures[i].Loads = slices.Clone(r.Pressures[i].Loads)
	}
	return r
}
