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

// plain reports whether an input is a single value, or nobody gave it.
func plain[Q units.Quantity](in *units.Input[Q]) bool { return in.Known() || in.Unknown() }

// A look is a walk over every input of a setup.
type look struct {
	errs *units.FieldErrors
	// Where the walk is: the last steps into the setup.
	steps [6]step
	depth int
	// settle puts a value in the place of every range, its middle.
	settle bool
	// only is the one path whose range is settled; every one if it is empty.
	only string
	// visit is called with the path of every range.
	visit func(path string)
	// open accepts ranges; without it each input is a single value or unknown.
	open bool
}

// step is one step into a setup: a field, or an entry of a list.
type step struct {
	name  string
	index int // -1 for a field
}

func (v *look) enter(name string, index int) {
	v.steps[v.depth] = step{name, index}
	v.depth++
}

func (v *look) leave() { v.depth-- }

// see looks at one input. Absent is accepted of a rating only.
func see[Q units.Quantity](v *look, path string, in *units.Input[Q], rating bool) {
	switch {
	case in.Known() || in.Unknown():
	case in.Absent():
		if !rating {
			v.add(path, valid.ShowInput(*in), "must not be none: this is no rating")
		}
	case v.visit != nil:
		v.visit(v.at(path))
	case v.settle:
		if v.only != "" && v.only != v.at(path) {
			return
		}
		r, _ := in.Range()
		*in = units.Is(r.Low + (r.High-r.Low)/2)
	case !v.open:
		v.add(path, valid.ShowInput(*in), "must be a single value here")
	}
}

func (v *look) add(path, value, want string) { v.errs.Add(v.at(path), value, want) }

// at returns the whole path of an input.
func (v *look) at(path string) string {
	for i := v.depth - 1; i >= 0; i-- {
		name := v.steps[i].name
		if n := v.steps[i].index; n >= 0 {
			name = units.Index(name, n)
		}
		path = units.JoinPath(name, path)
	}
	return path
}

// looked is what has inputs.
type looked interface{ look(v *look) }

// singles returns an error for each input that is a range, and for each that is
// declared absent and no rating: a compiled model counts with single values.
func singles(of looked) error {
	var c units.FieldErrors
	of.look(&look{errs: &c})
	return c.Err()
}

// singles is the same, of a setup.
func (s *Setup) singles() error {
	var c units.FieldErrors
	v := look{errs: &c}
	s.look(&v)
	return c.Err()
}

// singles is the same, of a load.
func (l *Load) singles() error {
	if plain(&l.Center) && plain(&l.Above) && plain(&l.Sideways) {
		return nil
	}
	return l.open(false)
}

// open reports every bad input of a load, of which ranges are accepted if they may
// be. It looks at a copy, so that the lift stays where it is.
func (l Load) open(ranges bool) error {
	var c units.FieldErrors
	v := look{errs: &c, open: ranges}
	l.look(&v)
	return c.Err()
}

func (s *Setup) look(v *look) {
	v.enter("machine", -1)
	s.Machine.look(v)
	v.leave()
	if s.Loader != nil {
		v.enter("loader", -1)
		s.Loader.look(v)
		v.leave()
	}
	if s.Attachment != nil {
		v.enter("attachment", -1)
		s.Attachment.look(v)
		v.leave()
	}
	for i := range s.Pieces {
		v.enter("pieces", i)
		s.Pieces[i].look(v)
		v.leave()
	}
}

func (p *Position) look(v *look) {
	see(v, "x", &p.X, false)
	see(v, "y", &p.Y, false)
	see(v, "z", &p.Z, false)
}

func (o *Offset) look(v *look) {
	see(v, "ahead", &o.Ahead, false)
	see(v, "above", &o.Above, false)
}

func (m *Machine) look(v *look) {
	see(v, "mass", &m.Mass, false)
	v.enter("cg", -1)
	m.CG.look(v)
	v.leave()
	see(v, "frontLoad", &m.FrontLoad, false)
	see(v, "rearLoad", &m.RearLoad, false)
	see(v, "wheelbase", &m.Wheelbase, false)
	see(v, "rearTrack", &m.RearTrack, false)
	see(v, "frontTrack", &m.FrontTrack, false)
	see(v, "axlePinHeight", &m.AxlePinHeight, false)
	see(v, "stopAngle", &m.StopAngle, false)
	see(v, "axleMass", &m.AxleMass, false)
	see(v, "axleHeight", &m.AxleHeight, false)
	v.enter("front", -1)
	m.Front.look(v)
	v.leave()
	v.enter("rear", -1)
	m.Rear.look(v)
	v.leave()
	v.enter("seat", -1)
	m.Seat.look(v)
	v.leave()
	see(v, "fuel.capacity", &m.Fuel.Capacity, false)
	v.enter("fuel.cg", -1)
	m.Fuel.CG.look(v)
	v.leave()
	v.enter("hitch", -1)
	m.Hitch.look(v)
	v.leave()
	see(v, "grossRating", &m.GrossRating, true)
	see(v, "ropsRating", &m.ROPSRating, true)
}

func (a *Axle) look(v *look) {
	see(v, "rating", &a.Rating, true)
	see(v, "wheelRating", &a.WheelRating, true)
	v.enter("tire", -1)
	a.Tire.look(v)
	v.leave()
	see(v, "radius", &a.Radius, false)
}

func (r *TireRating) look(v *look) {
	see(v, "pressure", &r.Pressure, false)
}

func (h *Hitch) look(v *look) {
	see(v, "x", &h.X, false)
	see(v, "rating", &h.Rating, true)
}

func (l *Loader) look(v *look) {
	v.enter("pivot", -1)
	l.Pivot.look(v)
	v.leave()
	see(v, "arm", &l.Arm, false)
	see(v, "lowestPin", &l.LowestPin, false)
	see(v, "highestPin", &l.HighestPin, false)
	see(v, "frameMass", &l.FrameMass, false)
	v.enter("frameCG", -1)
	l.FrameCG.look(v)
	v.leave()
	see(v, "armMass", &l.ArmMass, false)
	see(v, "armCG", &l.ArmCG, false)
	see(v, "selfLeveling", &l.SelfLeveling, false)
	if k := l.Cylinders; k != nil {
		v.enter("cylinders", -1)
		k.look(v)
		v.leave()
	}
	see(v, "breakOut", &l.BreakOut, true)
	see(v, "couplerRating", &l.CouplerRating, true)
}

func (k *Cylinders) look(v *look) {
	v.enter("base", -1)
	k.Base.look(v)
	v.leave()
	see(v, "rodRadius", &k.RodRadius, false)
	see(v, "rodAngle", &k.RodAngle, false)
	see(v, "bore", &k.Bore, false)
	see(v, "pressure", &k.Pressure, false)
	see(v, "friction", &k.Friction, false)
}

func (a *Attachment) look(v *look) {
	see(v, "mass", &a.Mass, false)
	v.enter("cg", -1)
	a.CG.look(v)
	v.leave()
	see(v, "face", &a.Face, false)
	see(v, "loadCenter", &a.LoadCenter, false)
	see(v, "tine", &a.Tine, false)
	v.enter("edge", -1)
	a.Edge.look(v)
	v.leave()
	see(v, "volume", &a.Volume, false)
	see(v, "rating", &a.Rating, true)
}

func (p *Piece) look(v *look) {
	see(v, "mass", &p.Mass, false)
	v.enter("cg", -1)
	p.CG.look(v)
	v.leave()
	see(v, "depth", &p.Depth, false)
	see(v, "rollRise", &p.RollRise, false)
}

func (l *Load) look(v *look) {
	see(v, "center", &l.Center, false)
	see(v, "above", &l.Above, false)
	see(v, "sideways", &l.Sideways, false)
}

func (s *Stock) look(v *look) {
	for i := range s.Items {
		v.enter("items", i)
		v.enter("piece", -1)
		s.Items[i].Piece.look(v)
		v.leave()
		v.leave()
	}
	for i := range s.Options {
		v.enter("options", i)
		for j := range s.Options[i].Pieces {
			v.enter("pieces", j)
			s.Options[i].Pieces[j].look(v)
			v.leave()
		}
		v.leave()
	}
}

func (t *Transport) look(v *look) {
	see(v, "frontLoad", &t.FrontLoad, false)
	see(v, "rearLoad", &t.RearLoad, false)
	see(v, "wheelbase", &t.Wheelbase, false)
	see(v, "grossRating", &t.GrossRating, true)
	v.enter("ahead", -1)
	t.Ahead.look(v)
	v.leave()
	v.enter("behind", -1)
	t.Behind.look(v)
	v.leave()
	v.enter("hitch", -1)
	t.Hitch.look(v)
	v.leave()
	v.enter("front", -1)
	t.Front.look(v)
	v.leave()
	v.enter("rear", -1)
	t.Rear.look(v)
	v.leave()
}

func (m *Mounted) look(v *look) {
	see(v, "mass", &m.Mass, false)
	see(v, "distance", &m.Distance, false)
}
