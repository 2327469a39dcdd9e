package ballast

import (
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

	unladen   float64 // kg, machine without pieces, loader, attachment
	hitchLoad float64 // kg, as it counts against the hitch rating
	hitchAny  bool

	absent       LimitSet // whose ratings are declared absent
	manual       ManualBallast
	onHitch      float64 // kg that the hitch carries
	onRearWheels float64 // kg in and on the rear wheels

	frontTire, rearTire tireLimit

	notes      Notes // of every answer
	fillNotes  liquid.Notes
	slopeNotes Notes // what a slope answer lacks
}

// Compile checks the setup and sums it up; it keeps nothing of the setup that
// the caller could change. Bad input is an error that names every bad field.
func (s Setup) Compile() (*Model, error) { return s.compile(nil) }

// compile takes fills from those that are known, and adds to them.
func (s Setup) compile(known fills) (*Model, error) {
	if err := s.complete(); err != nil {
		return nil, err
	}
	if err := s.singles(); err != nil {
		return nil, err
	}
	return s.model(known)
}

// model sums up a setup that is complete.
func (s *Setup) model(known fills) (*Model, error) {
	k := new(Model)
	if _, err := s.modelInto(k, known, nil, touchedAll); err != nil {
		return nil, err
	}
	return k, nil
}

// touched says which parts of a setup have changed since a model was made of it.
type touched uint8

const (
	touchedMachine touched = 1 << iota // any part of it
	touchedAxles                       // its axles with their tires
	touchedLoader
	touchedAttachment
	touchedSums // anything of which the sums are, or what is noted of it

	touchedAll = ^touched(0)
)

// modelInto sums up a setup that is complete in the place of its model as it was
// before these parts were touched, and returns the room of the parts.
func (s *Setup) modelInto(k *Model, known fills, room []part, t touched) ([]part, error) {
	if t&touchedMachine != 0 {
		s.Machine.modelInto(k, t)
	}
	if s.Loader != nil && t&touchedLoader != 0 {
		if k.loader == nil {
			k.loader = new(loaderModel)
		}
		s.Loader.compileInto(k.loader)
	}
	if s.Attachment != nil && t&touchedAttachment != 0 {
		k.attachment = *s.Attachment
	}
	if t&touchedSums == 0 {
		return room, nil
	}
	m := &s.Machine
	k.absent = s.absent()
	if k.g = float64(s.Gravity); k.g == 0 {
		k.g = float64(units.StandardGravity)
	}
	k.fixed, k.off, k.axle = sums{}, sums{}, sums{}
	k.offLacks, k.unladen, k.hitchLoad, k.hitchAny = 0, 0, 0, false
	k.onHitch, k.onRearWheels = 0, 0
	k.notes, k.slopeNotes = 0, 0
	if m.FrontTrack.Value() == 0 && m.Undercarriage != stability.Tricycle {
		k.slopeNotes |= NoteFrontTrackUnknown
	}
	k.offOK = true
	k.hasLoader = s.Loader != nil
	if l := s.Loader; l != nil {
		k.breakOut, k.coupler, k.manual = float64(l.BreakOut.Value()), float64(l.CouplerRating.Value()), l.ManualBallast
		if c := l.Cylinders; c != nil && c.Friction.Unknown() {
			k.notes |= NoteFrictionUnknown
		}
		if m.LoaderIncluded == WithLoader {
			k.offOK = l.FrameMass.Value() != 0 && l.ArmMass.Value() != 0
			if l.ArmMass.Value() == 0 {
				k.notes |= NoteArmMassUnknown
			}
		}
	}
	k.hasAttach = s.Attachment != nil
	if a := s.Attachment; a != nil {
		if a.Kind != BarePin && !a.CG.Above.Known() {
			k.slopeNotes |= NoteStateHeightUnknown
		}
	}
	kept := 0
	if t == touchedSums {
		kept = len(room) - len(s.Pieces)
	}
	list, filled, err := s.parts(k.loader, known, room, kept)
	if err != nil {
		return room, err
	}
	for i := range list {
		k.add(&list[i])
	}
	for i := range s.Pieces {
		k.hang(&s.Pieces[i])
	}
	if filled.any {
		k.notes |= NoteFill
	}
	k.fillNotes = filled.notes
	k.notes |= s.together()
	if !(k.fixed.m > 0 && k.off.m > 0) {
		var c units.FieldErrors
		c.Add("machine.mass", nil, "must be more than what is taken off it: axle, fuel, operator, loader")
		return list, c.Err()
	}
	return list, nil
}

// modelInto puts what follows from the machine alone into a model.
func (m *Machine) modelInto(k *Model, t touched) {
	k.machine = *m
	k.machine.Front.Single = m.Undercarriage == stability.Tricycle
	k.machine.Front.Tire.Table, k.machine.Rear.Tire.Table = nil, nil
	if t&touchedAxles != 0 {
		k.frontTire, k.rearTire = compileTire(&m.Front), compileTire(&m.Rear)
	}
	k.under = stability.Undercarriage{
		Kind: m.Undercarriage, Wheelbase: m.Wheelbase.Value(), RearTrack: m.RearTrack.Value(),
		FrontTrack: m.FrontTrack.Value(), PinHeight: m.AxlePinHeight.Value(), StopAngle: m.StopAngle.Value(),
		RearAxleHeight: m.Rear.Radius.Value(),
	}
	if m.FrontTrack.Value() == 0 {
		// On level ground a pivoting axle loads both wheels alike whatever
		// its track; where the track matters the answer is not checked.
		k.under.FrontTrack = m.RearTrack.Value()
	}
}

// Mass returns the mass of the setup without load: machine, ballast that the
// machine carries, loader and attachment.
func (k *Model) Mass() units.Mass {
	m := k.fixed.m + k.axle.m + float64(k.attachment.Mass.Value())
	if k.hasLoader {
		m += k.loader.armMass
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
		body = body.plus(k.loader.armAt(a)).plus(k.attachmentAt(a))
	}
	r := rows(&in, &body, &k.axle)
	return k.loads(&r, body.m+k.axle.m), nil
}

// LoaderOff returns what axles and wheels carry on level ground with the
// ballast on and the loader off; an error where the loader's mass is part of
// the machine's and not known.
func (k *Model) LoaderOff() (WheelLoads, error) {
	if !k.offOK {
		return WheelLoads{}, units.NewFieldError("loader.frameMass", nil, "must be given with armMass to take the loader off")
	}
	in, err := k.under.Influence(stability.Situation{}, units.Acceleration(k.g))
	if err != nil {
		return WheelLoads{}, err
	}
	r := rows(&in, &k.off, &k.axle)
	return k.loads(&r, k.off.m+k.axle.m), nil
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
