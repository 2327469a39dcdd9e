package ballast

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Practice holds what is usual of quantities that nobody has given: the range
// that stands in for a field that was left out. An answer names every one that it
// rests on. A range is wide enough for the trade and no more than that: measure
// where an answer is too wide, and give ranges of your own where you know your
// machines better. A range whose ends are both zero is the usual one.
//
// All ranges of [UsualPractice] are common practice, no source.
type Practice struct {
	// CGHeight is the height of the machine's center of gravity over level
	// ground, as a share of the wheelbase.
	CGHeight units.Range[units.Fraction] `json:"cgHeight,omitzero"`
	// AxlePinHeight is that of the front axle's pin, as a share of the wheelbase.
	AxlePinHeight units.Range[units.Fraction] `json:"axlePinHeight,omitzero"`
	// AxleMass is the mass of the front axle with its wheels, as a share of the
	// machine's mass.
	AxleMass units.Range[units.Fraction] `json:"axleMass,omitzero"`
	// AxleHeight is the height of the front axle's center of gravity, as a share
	// of the front tires' static loaded radius.
	AxleHeight units.Range[units.Fraction] `json:"axleHeight,omitzero"`
	// FrontTrack is the front track as a share of the rear track.
	FrontTrack units.Range[units.Fraction] `json:"frontTrack,omitzero"`
	// FrontRadius and RearRadius are the static loaded radii, as shares of the
	// wheelbase.
	FrontRadius units.Range[units.Fraction] `json:"frontRadius,omitzero"`
	// RearRadius is that of the rear tires; see FrontRadius.
	RearRadius units.Range[units.Fraction] `json:"rearRadius,omitzero"`
	// SeatHeight is the height of the seated operator's center of gravity, as a
	// share of the wheelbase.
	SeatHeight units.Range[units.Fraction] `json:"seatHeight,omitzero"`
	// FuelHeight is the height of the tank's middle, as a share of the wheelbase.
	FuelHeight units.Range[units.Fraction] `json:"fuelHeight,omitzero"`
	// FrameHeight is the height of the loader frame's center of gravity, as a
	// share of the height of the arm's pivot.
	FrameHeight units.Range[units.Fraction] `json:"frameHeight,omitzero"`
	// FrameMass is the mass of the loader's frame, as a share of the machine's.
	FrameMass units.Range[units.Fraction] `json:"frameMass,omitzero"`
	// ArmMass is the mass of the loader's arms and carrier, as a share of the
	// machine's mass.
	ArmMass units.Range[units.Fraction] `json:"armMass,omitzero"`
	// ArmCG is the distance of their center of gravity from the pivot, as a share
	// of the arm.
	ArmCG units.Range[units.Fraction] `json:"armCG,omitzero"`
	// AttachmentAbove is the height of the attachment's center of gravity over
	// the attachment pin.
	AttachmentAbove units.Range[units.Length] `json:"attachmentAbove,omitzero"`
	// LoadAbove is the height of the load's center of gravity over the tines or
	// the bucket's edge.
	LoadAbove units.Range[units.Length] `json:"loadAbove,omitzero"`
	// PieceHeight is the height of a piece on the chassis or the hitch, over
	// level ground.
	PieceHeight units.Range[units.Length] `json:"pieceHeight,omitzero"`
}

// UsualPractice returns the ranges that are used where a caller gives none.
// Shares of mass and of the wheelbase are those of tractors with a front loader
// from 15 to 150 kW (common practice, no source).
func UsualPractice() Practice {
	share := func(low, high units.Fraction) units.Range[units.Fraction] {
		return units.Range[units.Fraction]{Low: low, High: high}
	}
	length := func(low, high units.Length) units.Range[units.Length] {
		return units.Range[units.Length]{Low: low, High: high}
	}
	return Practice{
		CGHeight:        share(0.28, 0.48),
		AxlePinHeight:   share(0.16, 0.34),
		AxleMass:        share(0.05, 0.17),
		AxleHeight:      share(0.85, 1.15),
		FrontTrack:      share(0.80, 1.15),
		FrontRadius:     share(0.13, 0.30),
		RearRadius:      share(0.24, 0.42),
		SeatHeight:      share(0.40, 0.80),
		FuelHeight:      share(0.20, 0.70),
		FrameHeight:     share(0.35, 1.00),
		FrameMass:       share(0.02, 0.12),
		ArmMass:         share(0.04, 0.18),
		ArmCG:           share(0.375, 0.675),
		AttachmentAbove: length(-0.3, 0.6),
		LoadAbove:       length(0, 1.2),
		PieceHeight:     length(0.2, 1.2),
	}
}

// Validate reports every range whose ends are not numbers, not positive where a
// quantity must be, or reversed.
func (p Practice) Validate() error {
	var c units.FieldErrors
	for _, r := range []struct {
		path string
		is   units.Range[units.Fraction]
		most units.Fraction
	}{
		{"cgHeight", p.CGHeight, 2}, {"axlePinHeight", p.AxlePinHeight, 2}, {"axleMass", p.AxleMass, 0.5},
		{"axleHeight", p.AxleHeight, 2}, {"frontTrack", p.FrontTrack, 3}, {"frontRadius", p.FrontRadius, 1},
		{"rearRadius", p.RearRadius, 1}, {"seatHeight", p.SeatHeight, 2}, {"fuelHeight", p.FuelHeight, 2},
		{"frameHeight", p.FrameHeight, 2}, {"frameMass", p.FrameMass, 0.5}, {"armMass", p.ArmMass, 0.5}, {"armCG", p.ArmCG, 1.5},
	} {
		if r.is != (units.Range[units.Fraction]{}) {
			inOrder(&c, r.path, r.is, 0.001, r.most)
		}
	}
	for _, r := range []struct {
		path      string
		is        units.Range[units.Length]
		low, high units.Length
	}{
		{"attachmentAbove", p.AttachmentAbove, -3, 5}, {"loadAbove", p.LoadAbove, -2, 5}, {"pieceHeight", p.PieceHeight, 0, maxHeight},
	} {
		if r.is != (units.Range[units.Length]{}) {
			inOrder(&c, r.path, r.is, r.low, r.high)
		}
	}
	return c.Err()
}

// filled returns the practice with every range that is not given as usual.
func (p Practice) filled() Practice {
	u := UsualPractice()
	for _, r := range []struct{ is, usual *units.Range[units.Fraction] }{
		{&p.CGHeight, &u.CGHeight}, {&p.AxlePinHeight, &u.AxlePinHeight}, {&p.AxleMass, &u.AxleMass}, {&p.AxleHeight, &u.AxleHeight},
		{&p.FrontTrack, &u.FrontTrack}, {&p.FrontRadius, &u.FrontRadius}, {&p.RearRadius, &u.RearRadius}, {&p.SeatHeight, &u.SeatHeight},
		{&p.FuelHeight, &u.FuelHeight}, {&p.FrameHeight, &u.FrameHeight}, {&p.FrameMass, &u.FrameMass}, {&p.ArmMass, &u.ArmMass}, {&p.ArmCG, &u.ArmCG},
	} {
		if *r.is == (units.Range[units.Fraction]{}) {
			*r.is = *r.usual
		}
	}
	for _, r := range []struct{ is, usual *units.Range[units.Length] }{
		{&p.AttachmentAbove, &u.AttachmentAbove}, {&p.LoadAbove, &u.LoadAbove}, {&p.PieceHeight, &u.PieceHeight},
	} {
		if *r.is == (units.Range[units.Length]{}) {
			*r.is = *r.usual
		}
	}
	return p
}

// inOrder records an error unless both ends of a range lie in order between low
// and high.
func inOrder[Q units.Quantity](c *units.FieldErrors, path string, r units.Range[Q], low, high Q) {
	valid.Within(c, path+".low", r.Low, low, high)
	valid.Within(c, path+".high", r.High, low, high)
	if r.High < r.Low {
		c.Add(path+".high", valid.Show(r.High), "must be no less than low")
	}
}
