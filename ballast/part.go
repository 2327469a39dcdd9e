package ballast

import (
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// sums is what a linear row needs of a set of parts: the mass, the mass times
// each coordinate, and the mass times the rise of a free surface.
type sums struct{ m, x, y, z, pitch, roll float64 }

// massAt returns the sums of a mass at a place.
func massAt(m, x, y, z float64) sums {
	return sums{m: m, x: float64(m * x), y: float64(m * y), z: float64(m * z)}
}

// massAtPoint returns the sums of a mass at a point.
func massAtPoint(m units.Mass, p stability.Point) sums {
	return massAt(float64(m), float64(p.X), float64(p.Y), float64(p.Z))
}

func (s sums) plus(t sums) sums {
	return sums{s.m + t.m, s.x + t.x, s.y + t.y, s.z + t.z, s.pitch + t.pitch, s.roll + t.roll}
}

// add is plus in place.
func (s *sums) add(t *sums) {
	s.m += t.m
	s.x += t.x
	s.y += t.y
	s.z += t.z
	s.pitch += t.pitch
	s.roll += t.roll
}

// times returns the sums of k times the mass.
func (s sums) times(k float64) sums {
	return sums{k * s.m, k * s.x, k * s.y, k * s.z, k * s.pitch, k * s.roll}
}

// part is one thing that a setup puts on the machine, or takes off it where its
// mass is negative. Arms and attachment, which move, are not among the parts.
type part struct {
	sums
	owner   partOwner
	kind    PieceKind // of a piece
	piece   int       // the index of a piece
	ahead   float64   // where a piece sits, from the rear contact line
	with    bool      // it counts with the loader on
	without bool      // it counts with the loader off
	axle    bool      // it does not roll with the body
	lacks   Notes     // what is not known of its height, which a slope needs
}

// partOwner says what of a setup a part belongs to.
type partOwner uint8

const (
	ofMachine partOwner = iota
	ofLoader
	ofPiece
)

// fillSet is what the fills of a setup say together.
type fillSet struct {
	any   bool
	notes liquid.Notes
}

// parts lists what sits where in a valid setup: the machine in its state, what
// the loader bolts on, and the pieces. Compiling sums the list, and a spec
// sheet prints it. Fills are taken from those that are known. The list is laid in
// room, if that is large enough; its first parts are kept, so many, where only pieces
// differ from what is in room.
func (s *Setup) parts(loader *loaderModel, known fills, room []part, kept int) (list []part, filled fillSet, err error) {
	list = room[:kept]
	if kept == 0 {
		list = s.partsWithoutPieces(loader, room)
	}
	var solved Piece
	for i := range s.Pieces {
		p := &s.Pieces[i]
		if p.Fill != nil {
			var notes liquid.Notes
			if solved, notes, err = known.solve(*p); err != nil {
				var c units.FieldErrors
				c.Join(units.Index("pieces", i), err)
				return nil, filled, c.Err()
			}
			p = &solved
			filled.any = true
			filled.notes |= notes
		}
		one := s.Machine.part(p)
		one.piece = i
		list = append(list, one)
	}
	return list, filled, nil
}

// partsWithoutPieces lists the parts that are no pieces.
func (s *Setup) partsWithoutPieces(loader *loaderModel, room []part) (list []part) {
	m := &s.Machine
	if list = room[:0]; cap(room) < 8+len(s.Pieces) {
		list = make([]part, 0, 8+len(s.Pieces))
	}
	unless := func(known bool, lacks Notes) Notes {
		if known {
			return 0
		}
		return lacks
	}
	add := func(x sums, lacks Notes) {
		list = append(list, part{sums: x, with: true, without: true, lacks: lacks})
	}
	add(massAt(float64(m.mass()), float64(m.cgX()), float64(m.CG.Y.Value()), float64(m.CG.Z.Value())), unless(m.CG.Z.Value() != 0, NoteCGHeightUnknown))
	if d := m.operatorChange(); d != 0 {
		add(massAtPoint(d, m.Seat.Point()), unless(m.Seat.Z.Value() != 0, NoteStateHeightUnknown))
	}
	if d := m.Fuel.change(m.MassIncludes); d != 0 {
		add(massAtPoint(d, m.Fuel.CG.Point()), unless(m.Fuel.CG.Z.Value() != 0, NoteStateHeightUnknown))
	}
	if m.Undercarriage == stability.PivotingFront {
		// The front axle does not roll with the body.
		own := massAt(float64(m.AxleMass.Value()), float64(m.Wheelbase.Value()), 0, float64(m.AxleHeight.Value()))
		add(own.times(-1), unless(m.AxlePinHeight.Value() != 0, NoteAxlePinHeightUnknown))
		list = append(list, part{sums: own, axle: true, lacks: unless(m.AxleMass.Value() != 0 && m.AxleHeight.Value() != 0, NoteAxleUnknown)})
	}
	if l := s.Loader; l != nil {
		frame := massAtPoint(l.FrameMass.Value(), l.FrameCG.Point())
		lacks := unless(l.FrameCG.Z.Value() != 0, NoteStateHeightUnknown)
		if m.LoaderIncluded == WithLoader {
			// The machine's figures have the frame in them, and the arms down.
			arm := loader.armAt(loader.angle(loader.low)).times(-1)
			list = append(list,
				part{sums: arm, with: true, without: true, lacks: unless(l.ArmMass.Value() != 0, NoteArmMassUnknown)},
				part{sums: frame.times(-1), owner: ofLoader, without: true, lacks: lacks})
		} else {
			list = append(list, part{sums: frame, owner: ofLoader, with: true, lacks: lacks})
		}
	}
	return list
}

// part returns where a piece sits and what of its mass counts. Liquid and
// weights on wheels sit on the axle; liquid lies below it and counts higher in
// pitch and roll by its free surface.
func (m *Machine) part(p *Piece) part {
	mass := float64(p.counted())
	out := part{owner: ofPiece, kind: p.Kind, with: true, without: true}
	onWheels := func(x float64, radius units.Length) {
		out.ahead = x
		out.sums = massAt(mass, x, float64(p.CG.Y.Value()), float64(radius)-float64(p.Depth.Value()))
		if radius == 0 {
			out.lacks = NoteRadiusUnknown
		}
	}
	switch {
	case p.Kind.OnRearWheels():
		onWheels(0, m.Rear.Radius.Value())
	case p.Kind.OnFrontWheels():
		onWheels(float64(m.Wheelbase.Value()), m.Front.Radius.Value())
		if m.Undercarriage == stability.PivotingFront {
			out.with, out.without, out.axle = false, false, true
		}
	default:
		out.ahead = float64(p.CG.X.Value())
		out.sums = massAt(mass, float64(p.CG.X.Value()), float64(p.CG.Y.Value()), float64(p.CG.Z.Value()))
		if p.CG.Z.Value() == 0 {
			out.lacks = NotePieceHeightUnknown
		}
	}
	out.pitch = mass * float64(p.Depth.Value())
	out.roll = mass * float64(p.RollRise.Value())
	return out
}

// add puts a part on the model.
func (k *Model) add(p *part) {
	if p.axle {
		k.axle.add(&p.sums)
	}
	if p.with {
		k.fixed.add(&p.sums)
	}
	if p.without {
		k.off.add(&p.sums)
	}
	if p.with || p.axle {
		k.slopeNotes |= p.lacks
	} else {
		k.offLacks |= p.lacks
	}
	if p.owner != ofPiece && (p.without || p.axle) {
		k.unladen += p.m
	}
	switch {
	case p.kind.OnHitch():
		k.onHitch += p.m
	case p.kind.OnRearWheels():
		k.onRearWheels += p.m
	}
}

// addPiece puts a piece on the model: a part of it and, on the hitch, a load of
// the hitch.
func (k *Model) addPiece(p *Piece) {
	one := k.machine.part(p)
	k.add(&one)
	k.hang(p)
}

// hang counts a piece on the hitch against the hitch's rating.
func (k *Model) hang(p *Piece) {
	if !p.Kind.OnHitch() {
		return
	}
	mass := float64(p.counted())
	k.hitchAny = k.hitchAny || mass > 0
	if p.State != Raised {
		k.notes |= NoteHitchResting
	}
	ratio := hitchRatio(float64(k.machine.Hitch.X.Value() - p.CG.X.Value()))
	if ratio > 1 && k.machine.Hitch.Rating.Value() != 0 {
		k.notes |= NoteReachRatio
	}
	k.hitchLoad += float64(mass * ratio)
}

// armAt returns the arms with the arm at angle a.
func (k *loaderModel) armAt(a float64) sums {
	sin, cos := k.trig.sincos(a)
	return massAt(k.armMass, k.px+float64(k.armCG*cos), 0, k.pz+float64(k.armCG*sin))
}

// attachmentAt returns the attachment with the arm at angle a.
func (k *Model) attachmentAt(a float64) sums {
	x, z := k.loader.pin(a)
	t := &k.attachment
	return massAt(float64(t.Mass.Value()), x+float64(t.CG.Ahead.Value()), 0, z+float64(t.CG.Above.Value()))
}
