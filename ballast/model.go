package ballast

import (
	"math"

	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Model is a setup compiled: checked, its parts summed, its loader's curves
// laid. It is immutable and safe for many goroutines.
type Model struct {
	machine    Machine
	attachment Attachment
	hasLoader  bool
	hasAttach  bool
	loader     *loaderModel
	breakOut   float64 // N, 0 not rated
	coupler    float64 // kg, 0 not rated

	g     float64
	under stability.Undercarriage // without axle mass; complete for level ground

	fixed    sums  // of the body, with what the loader bolts on, arms not
	off      sums  // of the body without loader
	axle     sums  // of what pivots with the front axle
	offOK    bool  // off is known
	offLacks Notes // what is not known of it and a slope needs
	moving   sums  // correction for arms counted in the machine's mass at the lowest pin

	unladen   float64 // kg, machine without pieces, loader, attachment
	hitchLoad float64 // kg, as it counts against the hitch rating
	hitchAny  bool

	frontTire, rearTire tireLimit

	notes      Notes // of every answer
	fillNotes  liquid.Notes
	slopeNotes Notes // what a slope answer lacks
}

// sums is what a linear row needs of a set of parts.
type sums struct{ m, x, y, z, pitch, roll float64 }

func (s *sums) add(m, x, y, z float64) {
	s.m += m
	s.x += float64(m * x)
	s.y += float64(m * y)
	s.z += float64(m * z)
}

func (s sums) plus(t sums) sums {
	return sums{s.m + t.m, s.x + t.x, s.y + t.y, s.z + t.z, s.pitch + t.pitch, s.roll + t.roll}
}

// times returns the sums of k times the mass.
func (s sums) times(k float64) sums {
	return sums{k * s.m, k * s.x, k * s.y, k * s.z, k * s.pitch, k * s.roll}
}

// Compile checks the setup and sums it up; it keeps nothing of the setup that
// the caller could change. Bad input is an error that names every bad field.
func (s Setup) Compile() (*Model, error) { return s.compile(nil) }

// compile takes fills from those that are known, and adds to them.
func (s Setup) compile(known fills) (*Model, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	m := &s.Machine
	k := &Model{machine: s.Machine, g: float64(s.Gravity)}
	if k.g == 0 {
		k.g = float64(units.StandardGravity)
	}
	k.machine.Front = m.front()
	k.machine.Front.Tire.Table, k.machine.Rear.Tire.Table = nil, nil
	k.frontTire, k.rearTire = compileTire(&m.Front), compileTire(&m.Rear)
	base := float64(m.Wheelbase)

	// The machine itself, in the state asked for.
	mass := float64(m.mass())
	var body sums
	body.add(mass, float64(m.cgX()), float64(m.CG.Y), float64(m.CG.Z))
	if m.CG.Z == 0 {
		k.slopeNotes |= NoteCGHeightUnknown
	}
	if d := float64(m.operatorChange()); d != 0 {
		body.add(d, float64(m.Seat.X), float64(m.Seat.Y), float64(m.Seat.Z))
		if m.Seat.Z == 0 {
			k.slopeNotes |= NoteStateHeightUnknown
		}
	}
	if d := float64(m.Fuel.change(m.MassIncludes)); d != 0 {
		body.add(d, float64(m.Fuel.CG.X), float64(m.Fuel.CG.Y), float64(m.Fuel.CG.Z))
		if m.Fuel.CG.Z == 0 {
			k.slopeNotes |= NoteStateHeightUnknown
		}
	}

	// The front axle does not roll with the body.
	k.under = stability.Undercarriage{
		Kind: m.Undercarriage, Wheelbase: m.Wheelbase, RearTrack: m.RearTrack,
		FrontTrack: m.FrontTrack, PinHeight: m.AxlePinHeight, StopAngle: m.StopAngle,
		RearAxleHeight: m.Rear.Radius,
	}
	if m.FrontTrack == 0 {
		// On level ground a pivoting axle loads both wheels alike whatever
		// its track; where the track matters the answer is not checked.
		k.under.FrontTrack = m.RearTrack
		if m.Undercarriage != stability.Tricycle {
			k.slopeNotes |= NoteFrontTrackUnknown
		}
	}
	if m.Undercarriage == stability.PivotingFront {
		if m.AxlePinHeight == 0 {
			k.slopeNotes |= NoteAxlePinHeightUnknown
		}
		if m.AxleMass == 0 || m.AxleHeight == 0 {
			k.slopeNotes |= NoteAxleUnknown
		}
		own := float64(m.AxleMass)
		body.add(-own, base, 0, float64(m.AxleHeight))
		k.axle.add(own, base, 0, float64(m.AxleHeight))
	}
	bare := body

	// The loader.
	if l := s.Loader; l != nil {
		k.hasLoader = true
		k.loader = l.compile()
		k.breakOut, k.coupler = float64(l.BreakOut), float64(l.CouplerRating)
		var frame, arm sums
		frame.add(float64(l.FrameMass), float64(l.FrameCG.X), float64(l.FrameCG.Y), float64(l.FrameCG.Z))
		arm = k.loader.armAt(k.loader.angle(k.loader.low))
		if m.LoaderIncluded == WithLoader {
			k.offOK = l.FrameMass != 0 && l.ArmMass != 0
			if l.FrameCG.Z == 0 {
				k.offLacks |= NoteStateHeightUnknown
			}
			k.moving = arm.times(-1)
			bare = bare.plus(frame.plus(arm).times(-1))
			if l.ArmMass == 0 {
				k.notes |= NoteArmMassUnknown
				k.slopeNotes |= NoteArmMassUnknown
			}
		} else {
			k.offOK = true
			body = body.plus(frame)
			if l.FrameCG.Z == 0 {
				k.slopeNotes |= NoteStateHeightUnknown
			}
		}
	} else {
		k.offOK = true
	}
	if a := s.Attachment; a != nil {
		k.hasAttach = true
		k.attachment = *a
		if a.Kind != BarePin && a.CG.Above == 0 {
			k.slopeNotes |= NoteStateHeightUnknown
		}
	}
	k.fixed, k.off = body, bare
	k.unladen = bare.m + k.axle.m

	// The pieces.
	k.notes |= s.together()
	for i, p := range s.Pieces {
		if p.Fill != nil {
			solved, notes, err := known.solve(p)
			if err != nil {
				var c checker
				c.Join(units.Index("pieces", i), err)
				return nil, c.Err()
			}
			k.fillNotes |= notes
			p = solved
			k.notes |= NoteFill
		}
		k.addPiece(&p)
	}
	if !(k.fixed.m > 0 && k.off.m > 0) {
		var c checker
		c.Add("machine.mass", nil, "must be more than what is taken off it: axle, fuel, operator, loader")
		return nil, c.Err()
	}
	return k, nil
}

func (k *Model) addPiece(p *Piece) {
	m := &k.machine
	mass := float64(p.counted())
	if p.Kind.OnHitch() {
		k.hitchAny = k.hitchAny || mass > 0
		if p.State != Raised {
			k.notes |= NoteHitchResting
		}
		ratio := max(1, float64(m.Hitch.X-p.CG.X)/float64(HitchRatingDistance))
		if ratio > 1 && m.Hitch.Rating != 0 {
			k.notes |= NoteReachRatio
		}
		k.hitchLoad += float64(mass * ratio)
	}
	var one sums
	switch {
	case p.Kind.OnRearWheels():
		if m.Rear.Radius == 0 {
			k.slopeNotes |= NoteRadiusUnknown
		}
		one.add(mass, 0, float64(p.CG.Y), float64(m.Rear.Radius)-float64(p.Depth))
	case p.Kind.OnFrontWheels():
		if m.Front.Radius == 0 {
			k.slopeNotes |= NoteRadiusUnknown
		}
		one.add(mass, float64(m.Wheelbase), float64(p.CG.Y), float64(m.Front.Radius)-float64(p.Depth))
	default:
		if p.CG.Z == 0 {
			k.slopeNotes |= NotePieceHeightUnknown
		}
		one.add(mass, float64(p.CG.X), float64(p.CG.Y), float64(p.CG.Z))
	}
	one.pitch = mass * float64(p.Depth)
	one.roll = mass * float64(p.RollRise)
	if p.Kind.OnFrontWheels() && m.Undercarriage == stability.PivotingFront {
		k.axle = k.axle.plus(one)
		return
	}
	k.fixed = k.fixed.plus(one)
	k.off = k.off.plus(one)
}

// armAt returns the arms with the arm at angle a.
func (k *loaderModel) armAt(a float64) (s sums) {
	sin, cos := math.Sincos(a)
	s.add(k.armMass, k.px+float64(k.armCG*cos), 0, k.pz+float64(k.armCG*sin))
	return s
}

// Mass returns the mass of the setup without load: machine, ballast that the
// machine carries, loader and attachment.
func (k *Model) Mass() units.Mass {
	m := k.fixed.m + k.axle.m + float64(k.attachment.Mass)
	if k.hasLoader {
		m += k.loader.armMass + k.moving.m
	}
	return units.Mass(m)
}

// Unladen returns the mass of the machine without ballast, loader and
// attachment, in its state of operator and fuel; with the loader where its
// mass cannot be taken off because it is not known.
func (k *Model) Unladen() units.Mass { return units.Mass(k.unladen) }

// WheelLoads returns what axles and wheels carry on level ground with the
// attachment empty and the arms down. They come without cautions: see the
// package documentation.
func (s Setup) WheelLoads() (WheelLoads, error) {
	k, err := s.Compile()
	if err != nil {
		return WheelLoads{}, err
	}
	return k.WheelLoads()
}

// WheelLoads returns what axles and wheels carry on level ground with the
// attachment empty and the arms down. They come without cautions: see the
// package documentation.
func (k *Model) WheelLoads() (WheelLoads, error) {
	in, err := k.under.Influence(stability.Situation{}, units.Acceleration(k.g))
	if err != nil {
		return WheelLoads{}, err
	}
	body := k.fixed
	if k.hasLoader {
		a := k.loader.angle(k.loader.low)
		body = body.plus(k.moving).plus(k.loader.armAt(a)).plus(k.attachmentAt(a))
	}
	r := rows(&in, &body, &k.axle)
	return k.loads(&r, body.m+k.axle.m), nil
}

// LoaderOff returns what axles and wheels carry on level ground with the
// ballast on and the loader off; an error where the loader's mass is part of
// the machine's and not known.
func (k *Model) LoaderOff() (WheelLoads, error) {
	if !k.offOK {
		return WheelLoads{}, &units.FieldError{Path: "loader.frameMass", Want: "must be given with armMass to take the loader off"}
	}
	in, err := k.under.Influence(stability.Situation{}, units.Acceleration(k.g))
	if err != nil {
		return WheelLoads{}, err
	}
	r := rows(&in, &k.off, &k.axle)
	return k.loads(&r, k.off.m+k.axle.m), nil
}

// attachmentAt returns the attachment with the arm at angle a.
func (k *Model) attachmentAt(a float64) (s sums) {
	x, z := k.loader.pin(a)
	t := &k.attachment
	s.add(float64(t.Mass), x+float64(t.CG.Ahead), 0, z+float64(t.CG.Above))
	return s
}

// rows returns the influence rows of a body and an axle, in newtons.
func rows(in *stability.Influence, body, axle *sums) (r [stability.NumRows]float64) {
	constant := in.Constant()
	for i := range r {
		row := stability.Row(i)
		r[i] = float64(constant[i]) + rowOf(in.Body(row), body)
		if axle.m != 0 {
			r[i] += rowOf(in.Axle(row), axle)
		}
	}
	return r
}

func rowOf(c *stability.Coefficient, s *sums) float64 {
	return float64(float64(c.PerMass)*s.m) + float64(c.X*s.x) + float64(c.Y*s.y) + float64(c.Z*s.z) +
		float64(c.PitchRise*s.pitch) + float64(c.RollRise*s.roll)
}

func (k *Model) loads(r *[stability.NumRows]float64, total float64) WheelLoads {
	scale := func(row stability.Row) units.Mass { return units.Mass(r[row] / k.g) }
	return WheelLoads{
		Total: units.Mass(total),
		Front: scale(stability.RowFrontAxle), Rear: scale(stability.RowRearAxle),
		FrontLeft: scale(stability.RowFrontLeft), FrontRight: scale(stability.RowFrontRight),
		RearLeft: scale(stability.RowRearLeft), RearRight: scale(stability.RowRearRight),
	}
}
