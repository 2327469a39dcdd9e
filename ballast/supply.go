package ballast

import (
	"slices"

	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Assumption is a quantity that nobody gave, and the range of practice that
// stands in for it.
type Assumption struct {
	// Path is the field that was left out.
	Path string `json:"path"`
	// Practice is the field of Practice that the range comes from, such as "cgHeight"; ""
	// where the range is all that there can be, as for self-leveling.
	Practice string `json:"practice,omitempty"`
	// Length is the range of a length, Mass that of a mass, and Share that of a
	// share; the other ones are left out.
	Length units.Range[units.Length] `json:"length,omitzero"`
	// Mass is the range of a mass.
	Mass units.Range[units.Mass] `json:"mass,omitzero"`
	// Share is the range of a share.
	Share units.Range[units.Fraction] `json:"share,omitzero"`

	heightOnly bool // it matters on slopes only
	holdsOnly  bool // it matters for what raised arms hold only
}

// A supply puts ranges of practice in the place of what nobody gave.
type supply struct {
	base    span // the wheelbase
	machine span // the machine's mass
	assumed []Assumption
}

// endsOf returns the ends of an input; both zero where nothing is known.
func endsOf[Q units.Quantity](in units.Input[Q]) span {
	r, _ := in.Range()
	return span{float64(r.Low), float64(r.High)}
}

// open reports whether nobody gave an input. Of a height zero is none.
func open[Q units.Quantity](in *units.Input[Q]) bool { return in.Unknown() }

func unknownHeight(in *units.Input[units.Length]) bool { return !in.Absent() && !given(*in) }

// plausible returns the range that a length supplied for a path must lie in, so
// that a wheelbase that is wrong is told once.
func plausible(path string) (low, high float64) {
	switch path {
	case "machine.front.radius", "machine.rear.radius", "machine.axleHeight":
		return float64(minRadius), float64(maxRadius)
	case "machine.rearTrack", "machine.frontTrack":
		return float64(minTrack), float64(maxTrack)
	case "machine.axlePinHeight":
		return 0.05, 3
	case "machine.cg.z":
		return 0.1, float64(maxHeight)
	case "loader.pivot.z":
		return 0.2, float64(maxHeight)
	case "loader.lowestPin":
		return 0.01, float64(maxHeight)
	case "loader.highestPin":
		return 0.1, float64(maxHeight)
	case "loader.arm":
		return 0.3, float64(maxLength)
	case "loader.armCG":
		return 0.01, float64(maxLength)
	case "machine.seat.z", "machine.fuel.cg.z", "loader.frameCG.z":
		return 0.01, float64(maxHeight)
	}
	return -float64(maxLength), float64(maxLength)
}

// clamp returns v within a range, its low end for what is no number.
func clamp(v, low, high float64) float64 {
	if !(v > low) {
		return low
	}
	return min(v, high)
}

func (s *supply) length(path string, in *units.Input[units.Length], low, high float64) {
	least, most := plausible(path)
	low, high = clamp(low, least, most), clamp(high, least, most)
	*in = units.Between(units.Length(low), units.Length(high))
	s.assumed = append(s.assumed, Assumption{Path: path, Practice: practiceOf(path), Length: units.Range[units.Length]{Low: units.Length(low), High: units.Length(high)}})
}

// share supplies a length as a share of another one, which is not negative.
func (s *supply) share(path string, in *units.Input[units.Length], r units.Range[units.Fraction], of span) {
	ends := span{float64(r.Low), float64(r.High)}.by(of)
	s.length(path, in, ends.lo, ends.hi)
}

// flat says that what was supplied last matters on slopes only.
func (s *supply) flat() { s.assumed[len(s.assumed)-1].heightOnly = true }

// as supplies a length by itself.
func (s *supply) as(path string, in *units.Input[units.Length], r units.Range[units.Length]) {
	s.length(path, in, float64(r.Low), float64(r.High))
}

// mass supplies a mass as a share of the machine's.
func (s *supply) mass(path string, in *units.Input[units.Mass], r units.Range[units.Fraction]) {
	low := units.Mass(clamp(float64(r.Low)*s.machine.lo, float64(minMass), float64(maxMass)))
	high := units.Mass(clamp(float64(r.High)*s.machine.hi, float64(minMass), float64(maxMass)))
	*in = units.Between(low, high)
	s.assumed = append(s.assumed, Assumption{Path: path, Practice: practiceOf(path), Mass: units.Range[units.Mass]{Low: low, High: high}})
}

// supplied returns the setup with a range of practice for all that an answer
// needs and nobody gave, and lists it. What is a rating, a choice, or the very
// identity of the machine (its mass and its wheelbase) stays as it is. The setup
// need not be valid.
func (s Setup) supplied(p *Practice) (Setup, []Assumption) {
	m := &s.Machine
	w := supply{base: endsOf(m.Wheelbase), machine: endsOf(m.Mass), assumed: make([]Assumption, 0, 16)}
	if !m.FrontLoad.Unknown() || !m.RearLoad.Unknown() {
		w.machine = endsOf(m.FrontLoad).plus(endsOf(m.RearLoad))
	}
	w.machineOf(m, p)
	s = s.copied()
	if s.Loader != nil {
		w.loaderOf(s.Loader, m, p)
	}
	if s.Attachment != nil {
		w.attachmentOf(s.Attachment, p)
	}
	for i := range s.Pieces {
		if c := &s.Pieces[i]; !c.Kind.OnRearWheels() && !c.Kind.OnFrontWheels() && unknownHeight(&c.CG.Z) {
			w.as(pieceAt(i)+".cg.z", &c.CG.Z, p.PieceHeight)
			w.flat()
		}
	}
	return s, w.assumed
}

func (w *supply) machineOf(m *Machine, p *Practice) {
	if open(&m.CG.X) && m.FrontLoad.Unknown() && m.RearLoad.Unknown() {
		w.share("machine.cg.x", &m.CG.X, p.CGX, w.base)
	}
	if unknownHeight(&m.CG.Z) {
		w.share("machine.cg.z", &m.CG.Z, p.CGHeight, w.base)
		w.flat()
	}
	if open(&m.RearTrack) {
		w.share("machine.rearTrack", &m.RearTrack, p.RearTrack, w.base)
	}
	if open(&m.FrontTrack) && m.Undercarriage != stability.Tricycle {
		w.share("machine.frontTrack", &m.FrontTrack, p.FrontTrack, endsOf(m.RearTrack))
	}
	if open(&m.Front.Radius) {
		w.share("machine.front.radius", &m.Front.Radius, p.FrontRadius, w.base)
		w.flat()
	}
	if open(&m.Rear.Radius) {
		w.share("machine.rear.radius", &m.Rear.Radius, p.RearRadius, w.base)
		w.flat()
	}
	if m.Undercarriage == stability.PivotingFront {
		if open(&m.AxlePinHeight) {
			w.share("machine.axlePinHeight", &m.AxlePinHeight, p.AxlePinHeight, w.base)
			w.flat()
		}
		if open(&m.AxleMass) {
			w.mass("machine.axleMass", &m.AxleMass, p.AxleMass)
			w.flat()
		}
		if open(&m.AxleHeight) {
			w.share("machine.axleHeight", &m.AxleHeight, p.AxleHeight, endsOf(m.Front.Radius))
			w.flat()
		}
	}
	if m.operatorChange() != 0 {
		if open(&m.Seat.X) {
			w.share("machine.seat.x", &m.Seat.X, p.SeatX, w.base)
		}
		if unknownHeight(&m.Seat.Z) {
			w.share("machine.seat.z", &m.Seat.Z, p.SeatHeight, w.base)
			w.flat()
		}
	}
	if m.Fuel.counts(m.MassIncludes) {
		if open(&m.Fuel.CG.X) {
			w.share("machine.fuel.cg.x", &m.Fuel.CG.X, p.FuelX, w.base)
		}
		if unknownHeight(&m.Fuel.CG.Z) {
			w.share("machine.fuel.cg.z", &m.Fuel.CG.Z, p.FuelHeight, w.base)
			w.flat()
		}
	}
}

func (w *supply) loaderOf(l *Loader, m *Machine, p *Practice) {
	if open(&l.Pivot.X) {
		w.share("loader.pivot.x", &l.Pivot.X, p.PivotX, w.base)
	}
	if open(&l.Pivot.Z) {
		w.share("loader.pivot.z", &l.Pivot.Z, p.PivotZ, w.base)
	}
	if open(&l.Arm) {
		w.share("loader.arm", &l.Arm, p.Arm, w.base)
	}
	if open(&l.LowestPin) {
		w.as("loader.lowestPin", &l.LowestPin, p.LowestPin)
	}
	if open(&l.HighestPin) {
		w.share("loader.highestPin", &l.HighestPin, p.HighestPin, w.base)
	}
	if open(&l.SelfLeveling) && (len(l.Rated) == 0 || l.Rated[0].Ahead == 0) {
		// Rated points ahead of the pin say it all.
		l.SelfLeveling = units.Between[units.Fraction](0, 1)
		w.assumed = append(w.assumed, Assumption{Path: "loader.selfLeveling", Share: units.Range[units.Fraction]{High: 1}})
	}
	if c := l.Cylinders; c != nil && open(&c.Friction) {
		own := *c
		own.Friction = units.Between(p.Friction.Low, p.Friction.High)
		l.Cylinders = &own
		w.assumed = append(w.assumed, Assumption{Path: "loader.cylinders.friction", Practice: "friction", Share: p.Friction})
	}
	if l.Cylinders == nil && len(l.Rated) > 0 {
		w.assumed = append(w.assumed, Assumption{Path: "loader.cylinders.friction", Practice: "friction", Share: p.Friction, holdsOnly: true})
	}
	if open(&l.FrameMass) {
		w.mass("loader.frameMass", &l.FrameMass, p.FrameMass)
	}
	if open(&l.FrameCG.X) {
		w.share("loader.frameCG.x", &l.FrameCG.X, p.FrameX, w.base)
	}
	if unknownHeight(&l.FrameCG.Z) {
		w.share("loader.frameCG.z", &l.FrameCG.Z, p.FrameHeight, endsOf(l.Pivot.Z))
		w.flat()
	}
	if open(&l.ArmMass) {
		w.mass("loader.armMass", &l.ArmMass, p.ArmMass)
	}
	if open(&l.ArmCG) {
		w.share("loader.armCG", &l.ArmCG, p.ArmCG, endsOf(l.Arm))
	}
}

func (w *supply) attachmentOf(a *Attachment, p *Practice) {
	if a.Kind != Forks && a.Kind != Bucket {
		return
	}
	if open(&a.Mass) {
		w.mass("attachment.mass", &a.Mass, p.AttachmentMass)
	}
	if open(&a.CG.Ahead) {
		w.as("attachment.cg.ahead", &a.CG.Ahead, p.AttachmentAhead)
	}
	if open(&a.CG.Above) {
		w.as("attachment.cg.above", &a.CG.Above, p.AttachmentAbove)
		w.flat()
	}
	if a.Kind == Bucket {
		if open(&a.Face) {
			w.as("attachment.face", &a.Face, p.BucketFace)
			w.assumed[len(w.assumed)-1].Practice = "bucketFace"
		}
		if open(&a.Edge.Ahead) {
			w.as("attachment.edge.ahead", &a.Edge.Ahead, p.EdgeAhead)
		}
		if open(&a.Edge.Above) {
			w.as("attachment.edge.above", &a.Edge.Above, p.EdgeAbove)
		}
		return
	}
	if open(&a.Face) {
		w.as("attachment.face", &a.Face, p.ForkFace)
	}
	if open(&a.LoadCenter) {
		w.as("attachment.loadCenter", &a.LoadCenter, p.LoadCenter)
	}
	if open(&a.Tine) {
		w.as("attachment.tine", &a.Tine, p.Tine)
	}
}

// settle puts the middle of every range in its place.
func (s *Setup) settle() {
	v := look{errs: &units.FieldErrors{}, settle: true}
	s.look(&v)
}

// copied returns a setup that shares no input with this one.
func (s Setup) copied() Setup {
	if s.Loader != nil {
		l := *s.Loader
		if l.Cylinders != nil {
			c := *l.Cylinders
			l.Cylinders = &c
		}
		s.Loader = &l
	}
	if s.Attachment != nil {
		a := *s.Attachment
		s.Attachment = &a
	}
	s.Pieces = slices.Clone(s.Pieces)
	return s
}
