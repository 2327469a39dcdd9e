package ballast

import (
	"example.com/steelyard/internal/choice"
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// Piece is one piece of ballast, or anything else that was added to the bare
// machine: liquid in a pair of tires, wheel weights, front weights, a box or
// an implement on the hitch, a cab.
type Piece struct {
	// Name is free text for the reader.
	Name string `json:"name,omitempty"`
	// Kind says where the piece is and how it counts. There is no default.
	Kind PieceKind `json:"kind,omitempty"`
	// Mass is the mass of the whole piece, both wheels of a pair together,
	// 1 g to 100 t. Zero is an error: a sweep over masses begins without the
	// piece instead.
	Mass units.Input[units.Mass] `json:"mass,omitzero"`
	// Fill is, for liquid, the fill of one tire, in place of Mass, Depth and
	// RollRise. Compiling its tire costs more than fifty times as much as
	// compiling the rest of a setup: where one fill serves many setups, use
	// LiquidPiece.
	Fill *liquid.Fill `json:"fill,omitempty"`
	// Tires is how many tires are filled like Fill, 1 to 6 and no more than
	// the axle has. Zero means both of an axle with two tires; of any other
	// axle it is an error.
	Tires int `json:"tires,omitempty"`
	// CG is the center of gravity of a piece on the chassis or the hitch. A
	// piece on wheels has none: it sits on the axle. On the hitch x is -20 to
	// -0.01 m, on the chassis within 20 m; y is within 2 m, z 0 to
	// 10 m. z matters on slopes only, and zero is unknown.
	CG Position `json:"cg,omitzero"`
	// Depth is, for liquid, how far its centroid is below the axle, 0 to
	// 1.5 m: zero for tires filled to the brim.
	Depth units.Input[units.Length] `json:"depth,omitzero" zero:"value"`
	// RollRise is, for liquid, how much higher it counts in roll because its
	// surface is free, 0 to 1.5 m; it must be given with Depth.
	RollRise units.Input[units.Length] `json:"rollRise,omitzero" zero:"value"`
	// State is, on the hitch, whether the piece is raised. There is no
	// default: an implement counts only while it is raised.
	State HitchState `json:"state,omitempty"`
	// Carried is, for a floating piece, the share of its mass that the hitch
	// carries, 0.01 to 1.
	Carried units.Fraction `json:"carried,omitempty"`
	// Unheld says that the piece is not held against its axle and the other pieces, as
	// those of documents of version 1 were not: whether the tire of its fill can stand as
	// high as the axle, whether the axle has so many tires, whether another piece is at its
	// place. It counts as it is given, and the answer has a note. The step from version 1
	// sets it where a piece would be refused.
	Unheld bool `json:"unheld,omitempty"`
}

// PieceKind says where a piece is and how it counts. In JSON: "rearLiquid",
// "frontLiquid", "rearWheelWeight", "frontWheelWeight", "chassis", "hitchBox"
// or "hitchImplement"; "unknown" or left out is not given.
type PieceKind uint8

// Places of a piece.
const (
	// PieceUnknown means not given, which is an error.
	PieceUnknown PieceKind = iota
	// RearLiquid is liquid in the rear tires: in pitch it counts at axle
	// height however low it lies, in roll at its own height.
	RearLiquid
	// FrontLiquid is liquid in the front tires; with a pivoting front axle it
	// does not roll with the body.
	FrontLiquid
	// RearWheelWeight is iron on the rear wheels.
	RearWheelWeight
	// FrontWheelWeight is iron on the front wheels.
	FrontWheelWeight
	// ChassisPiece is anything fixed to the chassis at CG: front weights on
	// their rack, a cab.
	ChassisPiece
	// HitchBox is a ballast box on the rear hitch at CG.
	HitchBox
	// HitchImplement is an implement on the rear hitch at CG.
	HitchImplement
)

var pieceKindNames = []string{"unknown", "rearLiquid", "frontLiquid", "rearWheelWeight", "frontWheelWeight", "chassis", "hitchBox", "hitchImplement"}

// Liquid reports whether the piece is liquid in tires.
func (k PieceKind) Liquid() bool { return k == RearLiquid || k == FrontLiquid }

// OnHitch reports whether the piece hangs on the rear hitch.
func (k PieceKind) OnHitch() bool { return k == HitchBox || k == HitchImplement }

// OnFrontWheels reports whether the piece belongs to the front axle and not
// to the body.
func (k PieceKind) OnFrontWheels() bool { return k == FrontLiquid || k == FrontWheelWeight }

// OnRearWheels reports whether the piece sits on the rear wheels.
func (k PieceKind) OnRearWheels() bool { return k == RearLiquid || k == RearWheelWeight }

// HitchState says how a piece on the hitch is held. In JSON: "raised",
// "resting" or "floating"; "unknown" or left out is not given.
type HitchState uint8

// How a piece on the hitch is held.
const (
	// HitchUnknown means not given, which is an error on the hitch.
	HitchUnknown HitchState = iota
	// Raised hangs on the hitch with its whole mass.
	Raised
	// Resting stands on the ground and counts for nothing.
	Resting
	// Floating rests partly: the share Carried counts.
	Floating
)

var hitchStateNames = []string{"unknown", "raised", "resting", "floating"}

// Validate reports every bad field by its path, or nil.
func (p Piece) Validate() error { return p.validate() }

// validate is Validate without a copy of the value.
func (p *Piece) validate() error { return p.check(nil) }

// check is validate with a filler that may know the tire of the fill; nil knows none.
func (p *Piece) check(k *liquid.Filler) error {
	var c units.FieldErrors
	choice.Given(&c, "kind", p.Kind, pieceKindNames)
	if p.Fill != nil {
		p.validateFill(&c, k)
	} else {
		valid.Required(&c, "mass", p.Mass, 1e-3, maxMass, "must be given")
		if p.Tires != 0 {
			c.Add("tires", p.Tires, "must be left out without fill")
		}
	}
	positionRange(&c, "cg", &p.CG, maxLength)
	valid.Optional(&c, "depth", p.Depth, 0, maxRadius)
	valid.Optional(&c, "rollRise", p.RollRise, 0, maxRadius)
	switch {
	case p.Kind.Liquid():
		if given(p.Depth) && !given(p.RollRise) {
			c.Add("rollRise", nil, "must be given with depth: liquid below the brim has a free surface")
		}
		if !given(p.Depth) && given(p.RollRise) {
			c.Add("depth", nil, "must be given with rollRise: liquid to the brim has neither")
		}
	case p.Kind != PieceUnknown:
		if given(p.Depth) {
			c.Add("depth", valid.ShowInput(p.Depth), "must be left out: the piece is not liquid")
		}
		if given(p.RollRise) {
			c.Add("rollRise", valid.ShowInput(p.RollRise), "must be left out: the piece is not liquid")
		}
	}
	if p.Kind.OnFrontWheels() || p.Kind.OnRearWheels() {
		if given(p.CG.X) || given(p.CG.Z) {
			c.Add("cg", nil, "must have no x and no z: the piece sits on its axle")
		}
	}
	switch {
	case p.Kind.OnHitch():
		valid.Required(&c, "cg.x", p.CG.X, -maxLength, -0.01, "must be given: negative, behind the rear axle")
		choice.Given(&c, "state", p.State, hitchStateNames)
	case p.Kind == ChassisPiece:
		if p.CG.X.Unknown() {
			c.Add("cg.x", nil, "must be given; for a piece over the rear axle give 0 m")
		}
		fallthrough
	default:
		if p.State != HitchUnknown {
			c.Add("state", p.State, "must be left out: the piece is not on the hitch")
		}
	}
	switch {
	case p.State == Floating:
		valid.Given(&c, "carried", p.Carried, 0.01, 1, "must be given for a floating piece; one that carries nothing is resting")
	case p.Carried != 0:
		c.Add("carried", valid.Show(p.Carried), "must be left out unless the state is floating")
	}
	return c.Err()
}

func (p *Piece) validateFill(c *units.FieldErrors, k *liquid.Filler) {
	if !p.Kind.Liquid() {
		c.Add("fill", nil, "must be left out: the piece is not liquid")
		return
	}
	if k != nil {
		c.Join("fill", k.Validate(*p.Fill))
	} else {
		c.Join("fill", p.Fill.Validate())
	}
	if stated(p.Mass) || given(p.Depth) || given(p.RollRise) {
		c.Add("fill", nil, "must stand alone, without mass, depth and rollRise")
	}
	if p.Tires < 0 || p.Tires > 6 {
		c.Add("tires", p.Tires, "must be 1 to 6, or left out for a pair")
	}
}

// LiquidPiece returns the piece that a number of tires filled alike make; kind
// is [RearLiquid] or [FrontLiquid]. Nothing is checked before the piece is.
func LiquidPiece(kind PieceKind, tires int, f liquid.Filled) Piece {
	return Piece{Kind: kind, Mass: units.Is(units.Mass(float64(tires) * float64(f.Mass))), Depth: units.Is(max(0, f.PitchRise)), RollRise: units.Is(f.RollRise)}
}

// Solve returns the piece with its fill worked out: Mass, Depth and RollRise
// in place of Fill. A piece without a fill is returned as it is.
func (p Piece) Solve() (Piece, error) {
	if err := p.Validate(); err != nil {
		return Piece{}, err
	}
	solved, _, err := fills(nil).solve(p)
	return solved, err
}

// fills remembers fills that have been worked out; nil remembers nothing.
type fills map[*liquid.Fill]liquid.Filled

// solve returns a valid piece with its fill worked out, and the fill's notes.
func (known fills) solve(p Piece) (Piece, liquid.Notes, error) {
	if p.Fill == nil {
		return p, 0, nil
	}
	f, ok := known[p.Fill]
	if !ok {
		var err error
		if f, err = p.Fill.Solve(); err != nil {
			var c units.FieldErrors
			c.Join("fill", err)
			return Piece{}, 0, c.Err()
		}
		if known != nil {
			known[p.Fill] = f
		}
	}
	return p.filled(f), f.Notes, nil
}

// filledTires returns how many tires a fill fills.
func (p *Piece) filledTires() int {
	if p.Tires == 0 {
		return 2
	}
	return p.Tires
}

// filled returns the piece with what one of its tires holds.
func (p *Piece) filled(f liquid.Filled) Piece {
	out := LiquidPiece(p.Kind, p.filledTires(), f)
	out.Name = p.Name
	out.CG.Y = p.CG.Y
	return out
}

// countedShare returns the share of the mass that the machine carries.
func (p *Piece) countedShare() float64 {
	switch p.State {
	case Resting:
		return 0
	case Floating:
		return float64(p.Carried)
	}
	return 1
}

// counted returns the part of the mass that the machine carries.
func (p *Piece) counted() units.Mass {
	switch p.State {
	case Resting:
		return 0
	case Floating:
		return units.Mass(float64(p.Mass.Value()) * float64(p.Carried))
	}
	return p.Mass.Value()
}
