package ballast

import (
	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// stated reports whether an input is a value or a range.
func stated[Q units.Quantity](in units.Input[Q]) bool {
	_, ok := in.Range()
	return ok
}

// given reports whether an input is a range, or a value other than zero.
func given[Q units.Quantity](in units.Input[Q]) bool { return stated(in) && in != units.Is[Q](0) }

// given reports whether any coordinate is.
func (p *Position) given() bool { return given(p.X) || given(p.Y) || given(p.Z) }

// unlessZero returns the input of a number whose zero stands for unknown.
func unlessZero[Q units.Quantity](v Q) units.Input[Q] {
	if v == 0 {
		return units.Input[Q]{}
	}
	return units.Is(v)
}

// What follows refuses inputs of which no single value is known, but for those
// that are unknown: answers do not count with ranges yet, nor with what is
// declared absent.

// singles returns an error for each input that is a range or declared absent.
func (s *Setup) singles() error {
	var c units.FieldErrors
	c.Join("machine", s.Machine.singles())
	if s.Loader != nil {
		c.Join("loader", s.Loader.singles())
	}
	if s.Attachment != nil {
		c.Join("attachment", s.Attachment.singles())
	}
	for i := range s.Pieces {
		valid.JoinAt(&c, "pieces", i, s.Pieces[i].singles())
	}
	return c.Err()
}

func single[Q units.Quantity](c *units.FieldErrors, path string, in units.Input[Q]) {
	if !in.Known() && !in.Unknown() {
		c.Add(path, valid.ShowInput(in), "must be a single value here")
	}
}

func (p *Position) singles() error {
	var c units.FieldErrors
	single(&c, "x", p.X)
	single(&c, "y", p.Y)
	single(&c, "z", p.Z)
	return c.Err()
}

func (o *Offset) singles() error {
	var c units.FieldErrors
	single(&c, "ahead", o.Ahead)
	single(&c, "above", o.Above)
	return c.Err()
}

func (m *Machine) singles() error {
	var c units.FieldErrors
	single(&c, "mass", m.Mass)
	c.Join("cg", m.CG.singles())
	single(&c, "frontLoad", m.FrontLoad)
	single(&c, "rearLoad", m.RearLoad)
	single(&c, "wheelbase", m.Wheelbase)
	single(&c, "rearTrack", m.RearTrack)
	single(&c, "frontTrack", m.FrontTrack)
	single(&c, "axlePinHeight", m.AxlePinHeight)
	single(&c, "stopAngle", m.StopAngle)
	single(&c, "axleMass", m.AxleMass)
	single(&c, "axleHeight", m.AxleHeight)
	c.Join("front", m.Front.singles())
	c.Join("rear", m.Rear.singles())
	c.Join("seat", m.Seat.singles())
	single(&c, "fuel.capacity", m.Fuel.Capacity)
	c.Join("fuel.cg", m.Fuel.CG.singles())
	c.Join("hitch", m.Hitch.singles())
	single(&c, "grossRating", m.GrossRating)
	single(&c, "ropsRating", m.ROPSRating)
	return c.Err()
}

func (a *Axle) singles() error {
	var c units.FieldErrors
	single(&c, "rating", a.Rating)
	single(&c, "wheelRating", a.WheelRating)
	c.Join("tire", a.Tire.singles())
	single(&c, "radius", a.Radius)
	return c.Err()
}

func (r *TireRating) singles() error {
	var c units.FieldErrors
	single(&c, "pressure", r.Pressure)
	return c.Err()
}

func (h *Hitch) singles() error {
	var c units.FieldErrors
	single(&c, "x", h.X)
	single(&c, "rating", h.Rating)
	return c.Err()
}

func (l *Loader) singles() error {
	var c units.FieldErrors
	c.Join("pivot", l.Pivot.singles())
	single(&c, "arm", l.Arm)
	single(&c, "lowestPin", l.LowestPin)
	single(&c, "highestPin", l.HighestPin)
	single(&c, "frameMass", l.FrameMass)
	c.Join("frameCG", l.FrameCG.singles())
	single(&c, "armMass", l.ArmMass)
	single(&c, "armCG", l.ArmCG)
	single(&c, "selfLeveling", l.SelfLeveling)
	if k := l.Cylinders; k != nil {
		c.Join("cylinders.base", k.Base.singles())
		single(&c, "cylinders.rodRadius", k.RodRadius)
		single(&c, "cylinders.rodAngle", k.RodAngle)
		single(&c, "cylinders.bore", k.Bore)
		single(&c, "cylinders.pressure", k.Pressure)
	}
	single(&c, "breakOut", l.BreakOut)
	single(&c, "couplerRating", l.CouplerRating)
	return c.Err()
}

func (a *Attachment) singles() error {
	var c units.FieldErrors
	single(&c, "mass", a.Mass)
	c.Join("cg", a.CG.singles())
	single(&c, "face", a.Face)
	single(&c, "loadCenter", a.LoadCenter)
	single(&c, "tine", a.Tine)
	c.Join("edge", a.Edge.singles())
	single(&c, "volume", a.Volume)
	single(&c, "rating", a.Rating)
	return c.Err()
}

func (p *Piece) singles() error {
	var c units.FieldErrors
	single(&c, "mass", p.Mass)
	c.Join("cg", p.CG.singles())
	single(&c, "depth", p.Depth)
	single(&c, "rollRise", p.RollRise)
	return c.Err()
}

func (l *Load) singles() error {
	var c units.FieldErrors
	single(&c, "center", l.Center)
	single(&c, "above", l.Above)
	single(&c, "sideways", l.Sideways)
	return c.Err()
}

func (s *Stock) singles() error {
	var c units.FieldErrors
	for i := range s.Items {
		c.Join(units.Index("items", i)+".piece", s.Items[i].Piece.singles())
	}
	for i := range s.Options {
		for j := range s.Options[i].Pieces {
			c.Join(units.JoinPath(units.Index("options", i), pieceAt(j)), s.Options[i].Pieces[j].singles())
		}
	}
	return c.Err()
}

func (t *Transport) singles() error {
	var c units.FieldErrors
	c.Join("hitch", t.Hitch.singles())
	c.Join("front", t.Front.singles())
	c.Join("rear", t.Rear.singles())
	return c.Err()
}
