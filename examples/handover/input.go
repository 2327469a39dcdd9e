package main

import (
	"example.com/steelyard/ballast"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Input is what the sheet is made of: the tractor as it is handed over, the
// two attachments to compare, the load, and the yard.
type Input struct {
	// Version is the version of the file format, 1.
	Version int `json:"version"`
	// Title is the heading of the sheet.
	Title string `json:"title"`
	// Setup is the machine with its loader, its forks and its ballast.
	Setup ballast.Setup `json:"setup"`
	// Bucket is the attachment that the forks are compared with; nil is none.
	Bucket *ballast.Attachment `json:"bucket,omitempty"`
	// Load is what the machine is to lift on the forks, with its mass.
	Load ballast.Load `json:"load"`
	// Deck is the height of the trailer's deck over the ground.
	Deck units.Length `json:"deck"`
	// Slope is the steepest ground of the yard; zero means not known, and then
	// it is not held against the limits.
	Slope units.Slope `json:"slope"`
	// Friction is the coefficient of friction between tires and ground.
	Friction units.Fraction `json:"friction,omitempty"`
	// SlopeMargin is taken off every slope limit for whoever drives.
	SlopeMargin units.Slope `json:"slopeMargin,omitempty"`
	// SlopeManual is the steepest ground that the operator's manual allows; zero
	// where it gives none.
	SlopeManual units.Slope `json:"slopeManual,omitempty"`
	// Practice holds ranges for what the setup leaves out, in place of the usual
	// ones.
	Practice *ballast.Practice `json:"practice,omitempty"`
	// TravelPin is the height of the attachment pin while traveling.
	TravelPin units.Length `json:"travelPin"`
	// Speed is the travel speed with a load.
	Speed units.Speed `json:"speed"`
	// Obstacle is the roughest place of the yard that the machine passes over with
	// both axles, as a tape measures it; nil is not given.
	Obstacle *stability.Obstacle `json:"obstacle,omitempty"`
	// ObstacleSpeed is how fast it passes over it; given with Obstacle.
	ObstacleSpeed units.Speed `json:"obstacleSpeed,omitempty"`
	// Basis is the safety basis against tipping.
	Basis ballast.Basis `json:"basis"`
	// Factor is the dynamic factor; zero is the library's default.
	Factor float64 `json:"factor,omitempty"`
}

// Validate reports every field that the sheet cannot do without, by its path.
func (in *Input) Validate() error {
	var e units.FieldErrors
	if in.Version != 1 {
		e.Add("version", in.Version, "must be 1")
	}
	e.Join("setup", in.Setup.Validate())
	if in.Setup.Loader == nil {
		e.Add("setup.loader", nil, "must be given")
	}
	if a := in.Setup.Attachment; a == nil || a.Kind != ballast.Forks {
		e.Add("setup.attachment.kind", nil, "must be forks")
	}
	if b := in.Bucket; b != nil {
		e.Join("bucket", b.Validate())
		if b.Kind != ballast.Bucket {
			e.Add("bucket.kind", b.Kind, "must be bucket")
		}
	}
	e.Join("load", in.Load.Validate())
	if in.Load.Mass == 0 {
		e.Add("load.mass", nil, "must be given")
	}
	positive(&e, "deck", in.Deck, 3)
	positive(&e, "travelPin", in.TravelPin, 3)
	positive(&e, "speed", in.Speed, 12)
	if !(in.Slope >= 0 && in.Slope <= units.Grade(1)) {
		e.Add("slope", in.Slope, "must be from 0 to 45 deg")
	}
	if !(in.Friction >= 0 && in.Friction <= 2) {
		e.Add("friction", in.Friction, "must be from 0 to 2; 0 means not known")
	}
	for _, x := range []struct {
		path string
		is   units.Slope
	}{{"slopeMargin", in.SlopeMargin}, {"slopeManual", in.SlopeManual}} {
		if !(x.is >= 0 && x.is <= units.Grade(1)) {
			e.Add(x.path, x.is, "must be from 0 to 45 deg")
		}
	}
	if o := in.Obstacle; o != nil {
		e.Join("obstacle", o.Validate())
		positive(&e, "obstacleSpeed", in.ObstacleSpeed, 12)
	} else if in.ObstacleSpeed != 0 {
		e.Add("obstacle", nil, "must be given with obstacleSpeed")
	}
	if in.Practice != nil {
		e.Join("practice", in.Practice.Validate())
	}
	in.reach(&e)
	e.Join("basis", in.Basis.Validate())
	if in.Factor != 0 && !(in.Factor >= 1 && in.Factor <= 5) {
		e.Add("factor", in.Factor, "must be from 1 to 5, or left out for the library's default")
	}
	return e.Err()
}

// practice returns the ranges of what the setup leaves out.
func (in *Input) practice() ballast.Practice {
	if in.Practice == nil {
		return ballast.Practice{}
	}
	return *in.Practice
}

// reach reports heights that the loader cannot come to.
func (in *Input) reach(e *units.FieldErrors) {
	l, a, b := in.Setup.Loader, in.Setup.Attachment, in.Bucket
	if l == nil || !(middle(l.LowestPin) > 0 && middle(l.LowestPin) < middle(l.HighestPin)) {
		return // said already
	}
	within := func(path, of string, q, low, high units.Length) {
		if q > 0 && q <= 3 && !(q >= low && q <= high) {
			e.Add(path, units.Format(units.Display{}, q), "must be from "+units.Format(units.Display{Rounding: units.Up}, low)+" to "+
				units.Format(units.Display{Rounding: units.Down}, high)+", where the loader takes "+of)
		}
	}
	within("travelPin", "the attachment pin", in.TravelPin, middle(l.LowestPin), middle(l.HighestPin))
	if a != nil && a.Kind == ballast.Forks {
		within("deck", "the top of the tines", in.Deck, middle(l.LowestPin)+middle(a.Tine), middle(l.HighestPin)+middle(a.Tine))
	}
	if b != nil && b.Kind == ballast.Bucket {
		within("deck", "the edge of the bucket", in.Deck, middle(l.LowestPin)+middle(b.Edge.Above), middle(l.HighestPin)+middle(b.Edge.Above))
	}
}

func positive[Q units.Quantity](e *units.FieldErrors, path string, q, most Q) {
	if !(q > 0 && q <= most) {
		e.Add(path, q, "must be more than 0 and at most "+units.Format(units.Display{}, most))
	}
}

// lifts returns the cases of the sheet on level ground, for an attachment.
func (in *Input) lifts(a *ballast.Attachment) []ballast.Lift {
	l := in.Setup.Loader
	datum := ballast.TineHeight
	load := in.Load
	if a.Kind == ballast.Bucket {
		datum = ballast.EdgeHeight
		load = ballast.Load{}
	}
	cases := []ballast.Lift{
		{Name: "just off the ground", Kind: ballast.Hold, Datum: ballast.PinHeight, Height: middle(l.LowestPin)},
		{Name: "off the trailer deck and down", Kind: ballast.TakeOffDeck, Datum: datum, Height: in.Deck},
		{Name: "from the ground to full height", Kind: ballast.StackHigh, Datum: ballast.PinHeight, Height: middle(l.HighestPin)},
	}
	for i := range cases {
		cases[i].Load = load
		cases[i].Basis = in.Basis
		cases[i].Factor = in.Factor
		cases[i].Speed = in.Speed
	}
	return cases
}
