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
	// CGX is how far the machine's center of gravity is ahead of the rear contact
	// line, as a share of the wheelbase: what weighing both axles tells far better.
	CGX units.Range[units.Fraction] `json:"cgX,omitzero"`
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
	// ArmCGAbove is how far that center of gravity is above the straight line from the
	// pivot to the attachment pin, as a share of the arm; negative below it. Package
	// weigh alone asks for it: the loader of a setup has its arms on that line.
	ArmCGAbove units.Range[units.Fraction] `json:"armCGAbove,omitzero"`
	// RearTrack is the rear track as a share of the wheelbase.
	RearTrack units.Range[units.Fraction] `json:"rearTrack,omitzero"`
	// SeatX and FuelX are how far the operator and the tank are ahead of the rear
	// contact line, as shares of the wheelbase.
	SeatX units.Range[units.Fraction] `json:"seatX,omitzero"`
	// FuelX is that of the tank; see SeatX.
	FuelX units.Range[units.Fraction] `json:"fuelX,omitzero"`
	// PivotX and PivotZ are where the arm's pivot is, as shares of the wheelbase.
	PivotX units.Range[units.Fraction] `json:"pivotX,omitzero"`
	// PivotZ is the height of the pivot; see PivotX.
	PivotZ units.Range[units.Fraction] `json:"pivotZ,omitzero"`
	// Arm is the distance from the pivot to the attachment pin, as a share of the
	// wheelbase.
	Arm units.Range[units.Fraction] `json:"arm,omitzero"`
	// HighestPin is the height of the attachment pin with the arms up, as a share
	// of the wheelbase.
	HighestPin units.Range[units.Fraction] `json:"highestPin,omitzero"`
	// FrameX is how far the loader's frame is ahead of the rear contact line, as a
	// share of the wheelbase.
	FrameX units.Range[units.Fraction] `json:"frameX,omitzero"`
	// Friction is the part of the lift cylinders' force that seals and pins take
	// while the arms rise. Of a loader that is known by its rated points it says how
	// far raised arms still stand under a load that they do not lift. Package
	// weigh takes a tenth of it, with a wide error, as not growing with the force.
	Friction units.Range[units.Fraction] `json:"friction,omitzero"`
	// AttachmentMass is the mass of forks or bucket, as a share of the machine's.
	AttachmentMass units.Range[units.Fraction] `json:"attachmentMass,omitzero"`
	// LowestPin is the height of the attachment pin with the arms down.
	LowestPin units.Range[units.Length] `json:"lowestPin,omitzero"`
	// AttachmentAhead is how far the attachment's center of gravity is ahead of the
	// attachment pin.
	AttachmentAhead units.Range[units.Length] `json:"attachmentAhead,omitzero"`
	// ForkFace is how far the face of the tines is ahead of the attachment pin,
	// BucketFace how far the middle of a bucket's load is.
	ForkFace units.Range[units.Length] `json:"forkFace,omitzero"`
	// BucketFace is that of a bucket; see ForkFace.
	BucketFace units.Range[units.Length] `json:"bucketFace,omitzero"`
	// LoadCenter is how far the rated center of a load is ahead of the tines' face.
	LoadCenter units.Range[units.Length] `json:"loadCenter,omitzero"`
	// Tine is how far the top of the tines is above the attachment pin.
	Tine units.Range[units.Length] `json:"tine,omitzero"`
	// EdgeAhead and EdgeAbove are where a bucket's cutting edge is from the
	// attachment pin.
	EdgeAhead units.Range[units.Length] `json:"edgeAhead,omitzero"`
	// EdgeAbove is how far the edge is above the pin; see EdgeAhead.
	EdgeAbove units.Range[units.Length] `json:"edgeAbove,omitzero"`
	// AttachmentAbove is the height of the attachment's center of gravity over
	// the attachment pin.
	AttachmentAbove units.Range[units.Length] `json:"attachmentAbove,omitzero"`
	// LoadAbove is the height of the load's center of gravity over the tines or
	// the bucket's edge.
	LoadAbove units.Range[units.Length] `json:"loadAbove,omitzero"`
	// LoadBeyond is how far a load's center of gravity is beyond the attachment's own load
	// center, or beyond the middle of a bucket's load.
	LoadBeyond units.Range[units.Length] `json:"loadBeyond,omitzero"`
	// PieceHeight is the height of a piece on the chassis or the hitch, over
	// level ground.
	PieceHeight units.Range[units.Length] `json:"pieceHeight,omitzero"`
	// PitchRadius is the machine's radius of gyration in pitch, as a share of the
	// wheelbase: the inertia is the mass times its square.
	PitchRadius units.Range[units.Fraction] `json:"pitchRadius,omitzero"`
	// RollRadius is that in roll, as a share of the rear track.
	RollRadius units.Range[units.Fraction] `json:"rollRadius,omitzero"`
	// TireSag is how far the tires of an axle are pressed in by the machine with
	// its attachment and without load. It stands for their stiffness: 62 mm bounce
	// at 2 Hz, 16 mm at 4 Hz.
	TireSag units.Range[units.Length] `json:"tireSag,omitzero"`
	// TireDamping is the damping ratio of the machine's bounce on its tires.
	TireDamping units.Range[units.Fraction] `json:"tireDamping,omitzero"`
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
		CGX:             share(0.29, 0.57),
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
		ArmCGAbove:      share(-0.06, 0.16),
		RearTrack:       share(0.50, 1.00),
		SeatX:           share(-0.05, 0.30),
		FuelX:           share(0.05, 0.85),
		PivotX:          share(0.35, 0.75),
		PivotZ:          share(0.60, 0.90),
		Arm:             share(0.90, 1.35),
		HighestPin:      share(1.20, 1.65),
		FrameX:          share(0.30, 0.90),
		Friction:        share(0.01, 0.14),
		AttachmentMass:  share(0.02, 0.15),
		LowestPin:       length(0.05, 0.35),
		AttachmentAhead: length(0.05, 0.60),
		ForkFace:        length(0.02, 0.35),
		BucketFace:      length(0.25, 0.75),
		LoadCenter:      length(0.40, 0.60),
		Tine:            length(-0.30, 0.05),
		EdgeAhead:       length(0.45, 1.20),
		EdgeAbove:       length(-0.40, 0.05),
		AttachmentAbove: length(-0.3, 0.6),
		LoadAbove:       length(0, 1.2),
		LoadBeyond:      length(0, 0.3),
		PieceHeight:     length(0.2, 1.2),
		PitchRadius:     share(0.33, 0.48),
		RollRadius:      share(0.28, 0.41),
		TireSag:         length(0.015, 0.063),
		TireDamping:     share(0.03, 0.20),
	}
}

// shares and lengths list the ranges by their kind, with what an end may be.
func (p *Practice) shares() []usualShare {
	return []usualShare{
		{"cgX", &p.CGX, 0.01, 0.99}, {"cgHeight", &p.CGHeight, 0.001, 2}, {"axlePinHeight", &p.AxlePinHeight, 0.001, 2}, {"axleMass", &p.AxleMass, 0.001, 0.5},
		{"axleHeight", &p.AxleHeight, 0.001, 2}, {"frontTrack", &p.FrontTrack, 0.001, 3}, {"frontRadius", &p.FrontRadius, 0.001, 1},
		{"rearRadius", &p.RearRadius, 0.001, 1}, {"seatHeight", &p.SeatHeight, 0.001, 2}, {"fuelHeight", &p.FuelHeight, 0.001, 2},
		{"frameHeight", &p.FrameHeight, 0.001, 2}, {"frameMass", &p.FrameMass, 0.001, 0.5}, {"armMass", &p.ArmMass, 0.001, 0.5},
		{"armCG", &p.ArmCG, 0.001, 1.5}, {"armCGAbove", &p.ArmCGAbove, -0.5, 0.5}, {"rearTrack", &p.RearTrack, 0.1, 2}, {"seatX", &p.SeatX, -1, 2}, {"fuelX", &p.FuelX, -1, 2},
		{"pivotX", &p.PivotX, -1, 2}, {"pivotZ", &p.PivotZ, 0.1, 2}, {"arm", &p.Arm, 0.1, 4}, {"highestPin", &p.HighestPin, 0.1, 4},
		{"frameX", &p.FrameX, -1, 2}, {"attachmentMass", &p.AttachmentMass, 0.001, 0.5},
		{"friction", &p.Friction, 0, maxFriction}, {"pitchRadius", &p.PitchRadius, 0.05, 2}, {"rollRadius", &p.RollRadius, 0.05, 2},
		{"tireDamping", &p.TireDamping, minDamping, maxDamping},
	}
}

type usualShare struct {
	path      string
	is        *units.Range[units.Fraction]
	low, high units.Fraction
}

func (p *Practice) lengths() []usualLength {
	return []usualLength{
		{"lowestPin", &p.LowestPin, 0.01, maxHeight}, {"attachmentAhead", &p.AttachmentAhead, -2, 10}, {"forkFace", &p.ForkFace, -1, 3},
		{"bucketFace", &p.BucketFace, -1, 5}, {"loadCenter", &p.LoadCenter, 0.05, 3}, {"tine", &p.Tine, -3, 3},
		{"edgeAhead", &p.EdgeAhead, 0.05, 5}, {"edgeAbove", &p.EdgeAbove, -3, 3},
		{"attachmentAbove", &p.AttachmentAbove, -3, 5}, {"loadAbove", &p.LoadAbove, -2, 5}, {"loadBeyond", &p.LoadBeyond, -1, 5},
		{"pieceHeight", &p.PieceHeight, 0, maxHeight}, {"tireSag", &p.TireSag, 0.002, 0.5},
	}
}

type usualLength struct {
	path      string
	is        *units.Range[units.Length]
	low, high units.Length
}

// Validate reports every range whose ends are not numbers, not plausible, or
// reversed.
func (p Practice) Validate() error {
	var c units.FieldErrors
	for _, r := range p.shares() {
		if *r.is != (units.Range[units.Fraction]{}) {
			inOrder(&c, r.path, *r.is, r.low, r.high)
		}
	}
	for _, r := range p.lengths() {
		if *r.is != (units.Range[units.Length]{}) {
			inOrder(&c, r.path, *r.is, r.low, r.high)
		}
	}
	return c.Err()
}

// Filled returns the practice with the range of [UsualPractice] where none is
// given.
func (p Practice) Filled() Practice {
	if p == (Practice{}) {
		return UsualPractice()
	}
	return p.fill()
}

// fill puts the usual range where none is given.
func (p Practice) fill() Practice {
	u := UsualPractice()
	shares, lengths := p.shares(), p.lengths()
	for i, usual := range u.shares() {
		if is := shares[i].is; *is == (units.Range[units.Fraction]{}) {
			*is = *usual.is
		}
	}
	for i, usual := range u.lengths() {
		if is := lengths[i].is; *is == (units.Range[units.Length]{}) {
			*is = *usual.is
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
