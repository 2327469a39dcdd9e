package ballast

import (
	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Attachment is what hangs on the loader's attachment pin. All its positions
// are relative to the pin, with tines or bucket floor level. "Must be given" in the
// comments below is said of a compiled [Model]: see [Machine].
type Attachment struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Kind is what it is. There is no default. With BarePin all else but Name
	// is left out.
	Kind AttachmentKind `json:"kind,omitempty"`
	// Mass is the attachment's own mass, 1 kg to 100 t. It is a part like any
	// other: it stands on the tipping side of every balance and is never
	// subtracted from the answer.
	Mass units.Input[units.Mass] `json:"mass,omitzero"`
	// CG is the center of gravity of Mass. CG.Ahead, -2 to 10 m, must be
	// given; CG.Above, -3 to 5 m, matters on slopes only.
	CG Offset `json:"cg,omitzero"`
	// Face is, for forks, how far the vertical face of the tines is ahead of
	// the pin, -1 to 3 m; for a bucket, how far the center of its load is, -1
	// to 5 m. There is no default: to take 0 would permit some 8 % too much.
	Face units.Input[units.Length] `json:"face,omitzero"`
	// LoadCenter is, for forks, the distance from the face of the tines to
	// the center of gravity of the load that Rating is for, 0.05 to 3 m. A
	// bucket has none.
	LoadCenter units.Input[units.Length] `json:"loadCenter,omitzero"`
	// Tine is, for forks, how far the top of the tines is above the pin,
	// within 3 m; negative below it, as usual. There is no default: give 0 m
	// where they are level.
	Tine units.Input[units.Length] `json:"tine,omitzero"`
	// Edge is, for a bucket, the cutting edge with the floor level:
	// Edge.Ahead 0.05 to 5 m, Edge.Above within 3 m either way, and neither
	// has a default.
	Edge Offset `json:"edge,omitzero"`
	// Volume is the heaped volume of a bucket, 1 L to 20 m3.
	Volume units.Input[units.Volume] `json:"volume,omitzero"`
	// Rating is what the attachment itself may carry at LoadCenter, 1 kg to
	// 200 t; left out, it is not checked. Farther out it is less: rating x
	// LoadCenter / center (29 CFR 1910.178 Appendix A); nearer it is no more.
	Rating units.Input[units.Mass] `json:"rating,omitzero"`
}

// AttachmentKind says what an attachment is. In JSON: "barePin", "forks" or
// "bucket"; "unknown" or left out is not given.
type AttachmentKind uint8

// What hangs on the attachment pin.
const (
	// AttachmentUnknown means not given, which is an error.
	AttachmentUnknown AttachmentKind = iota
	// BarePin is no attachment: the load hangs from the pin itself.
	BarePin
	// Forks are two tines with a vertical face.
	Forks
	// Bucket is a bucket.
	Bucket
)

var attachmentKindNames = []string{"unknown", "barePin", "forks", "bucket"}

// Validate reports every bad field by its path, or nil.
func (a Attachment) Validate() error { return a.validate() }

// validate is Validate without a copy of the value.
func (a *Attachment) validate() error {
	var c units.FieldErrors
	choice.Given(&c, "kind", a.Kind, attachmentKindNames)
	if a.Kind == BarePin {
		if b := (Attachment{Name: a.Name, Kind: a.Kind}); *a != b {
			c.Add("kind", a.Kind, "must be forks or bucket when anything else is given")
		}
		return c.Err()
	}
	valid.Required(&c, "mass", a.Mass, minMass, maxMass, "must be given")
	valid.Required(&c, "cg.ahead", a.CG.Ahead, -2, 10, "must be given: center of gravity ahead of the pin")
	valid.Optional(&c, "cg.above", a.CG.Above, -3, 5)
	valid.Optional(&c, "rating", a.Rating, minMass, maxRating)
	valid.Optional(&c, "volume", a.Volume, units.Liter, 20*units.CubicMeter)
	switch a.Kind {
	case Forks:
		valid.Required(&c, "face", a.Face, -1, 3, "must be given: vertical face of the tines ahead of the pin")
		valid.Required(&c, "loadCenter", a.LoadCenter, 0.05, 3, "must be given: face of the tines to the load's center")
		valid.Required(&c, "tine", a.Tine, -3, 3, "must be given: top of the tines above the pin, negative below it")
		if a.Edge != (Offset{}) {
			c.Add("edge", nil, "must be left out: forks have no edge")
		}
	case Bucket:
		valid.Required(&c, "face", a.Face, -1, 5, "must be given: center of the bucket's load ahead of the pin")
		if stated(a.LoadCenter) {
			c.Add("loadCenter", valid.ShowInput(a.LoadCenter), "must be left out: face says where a bucket's load is")
		}
		if stated(a.Tine) {
			c.Add("tine", valid.ShowInput(a.Tine), "must be left out: a bucket has no tines")
		}
		valid.Required(&c, "edge.ahead", a.Edge.Ahead, 0.05, 5, "must be given: cutting edge ahead of the pin")
		valid.Required(&c, "edge.above", a.Edge.Above, -3, 3, "must be given: cutting edge above the pin, negative below it")
	}
	return c.Err()
}

// center returns how far the load's center of gravity is from the face.
func (a *Attachment) center(l *Load) float64 {
	if a.Kind == Forks && !l.Center.Known() {
		return float64(a.LoadCenter.Value())
	}
	return float64(l.Center.Value())
}

// rise returns how far the load's center of gravity is above the pin.
func (a *Attachment) rise(l *Load) float64 {
	switch a.Kind {
	case Forks:
		return float64(a.Tine.Value() + l.Above.Value())
	case Bucket:
		return float64(a.Edge.Above.Value() + l.Above.Value())
	}
	return 0
}

// loadOffset returns where the load is relative to the pin; in a break-out,
// where the bucket's edge is.
func (a *Attachment) loadOffset(l *Lift) (ahead, above float64) {
	if l.Kind == BreakOut {
		return float64(a.Edge.Ahead.Value()), float64(a.Edge.Above.Value())
	}
	return float64(a.Face.Value()) + a.center(&l.Load), a.rise(&l.Load)
}
