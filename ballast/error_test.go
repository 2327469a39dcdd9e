package ballast_test

import (
	"errors"
	"math"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// The kind of undercarriage has no default.
func TestUndercarriageAsked(t *testing.T) {
	s := orchard()
	s.Machine.Undercarriage = 0
	var f *units.FieldError
	if err := s.Validate(); !errors.As(err, &f) || f.Path != "machine.undercarriage" || f.Value != "" {
		t.Errorf("%v", err)
	}
}

// Each bad field of a setup is named by its JSON path.
func TestSetupErrors(t *testing.T) {
	for path, spoil := range map[string]func(*ballast.Setup){
		"machine.wheelbase":                func(s *ballast.Setup) { s.Machine.Wheelbase = units.Is[units.Length](72) },
		"machine.mass":                     func(s *ballast.Setup) { s.Machine.Mass = units.Is(units.Mass(math.NaN())) },
		"machine.massIncludes":             func(s *ballast.Setup) { s.Machine.MassIncludes = 0 },
		"machine.loaderIncluded":           func(s *ballast.Setup) { s.Machine.LoaderIncluded = 0 },
		"machine.operator":                 func(s *ballast.Setup) { s.Machine.Operator = 77 },
		"machine.cg.x":                     func(s *ballast.Setup) { s.Machine.CG.X = units.Is[units.Length](2) },
		"machine.undercarriage":            func(s *ballast.Setup) { s.Machine.Undercarriage = stability.Articulated },
		"machine.seat.x":                   func(s *ballast.Setup) { s.Machine.Seat.X = units.Input[units.Length]{} },
		"machine.fuel.state":               func(s *ballast.Setup) { s.Machine.Fuel.State = 0 },
		"machine.fuel.capacity":            func(s *ballast.Setup) { s.Machine.Fuel.Capacity = units.Input[units.Volume]{} },
		"machine.front.tire.loadIndex":     func(s *ballast.Setup) { s.Machine.Front.Tire.LoadIndex = 19 },
		"machine.front.tire.speedSymbol":   func(s *ballast.Setup) { s.Machine.Front.Tire.SpeedSymbol = liquid.SpeedUnknown },
		"machine.front.tire.table[1].load": func(s *ballast.Setup) { s.Machine.Front.Tire.Table[1].Load = 10 },
		"machine.rear.tiresPerSide":        func(s *ballast.Setup) { s.Machine.Rear.TiresPerSide = -1 },
		"machine.hitch.x":                  func(s *ballast.Setup) { s.Machine.Hitch.X = units.Input[units.Length]{} },
		"machine.steered.base":             func(s *ballast.Setup) { s.Machine.Steered.Base = 0 },
		"machine.axleMass":                 func(s *ballast.Setup) { s.Machine.AxleMass = units.Is[units.Mass](1400) },
		"loader.pivot.y":                   func(s *ballast.Setup) { s.Loader.Pivot.Y = units.Is[units.Length](0.1) },
		"loader.lowestPin":                 func(s *ballast.Setup) { s.Loader.Arm = units.Is[units.Length](0.5) },
		"loader.highestPin":                func(s *ballast.Setup) { s.Loader.HighestPin = units.Is[units.Length](0.1) },
		"loader.armMass": func(s *ballast.Setup) {
			s.Loader.ArmMass, s.Loader.ArmCG = units.Input[units.Mass]{}, units.Input[units.Length]{}
		},
		"loader.frameMass": func(s *ballast.Setup) {
			s.Loader.FrameMass, s.Loader.FrameCG = units.Input[units.Mass]{}, ballast.Position{}
		},
		"loader.selfLeveling":       func(s *ballast.Setup) { s.Loader.SelfLeveling = units.Is[units.Fraction](1.1) },
		"loader.rated[1].pinHeight": func(s *ballast.Setup) { s.Loader.Rated[1].PinHeight = 0.2 },
		"loader.rated[2].ahead":     func(s *ballast.Setup) { s.Loader.Rated[2].Ahead = 0 },
		"loader.rated[0].aheadMass": func(s *ballast.Setup) { s.Loader.Rated[0].AheadMass = 2000 },
		"loader.rated":              func(s *ballast.Setup) { s.Loader.Cylinders = &ballast.Cylinders{} },
		"loader.cylinders.bore": func(s *ballast.Setup) {
			s.Loader.Cylinders = &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](1), Above: units.Is[units.Length](1)}}
		},
		"attachment.face":    func(s *ballast.Setup) { s.Attachment.Face = units.Input[units.Length]{} },
		"attachment.kind":    func(s *ballast.Setup) { s.Attachment.Kind = ballast.BarePin },
		"attachment.tine":    func(s *ballast.Setup) { s.Attachment.Kind = ballast.Bucket },
		"pieces[0].rollRise": func(s *ballast.Setup) { s.Pieces[0].RollRise = units.Input[units.Length]{} },
		"pieces[1].state":    func(s *ballast.Setup) { s.Pieces[1].State = ballast.HitchUnknown },
		"pieces[1].cg.x":     func(s *ballast.Setup) { s.Pieces[1].CG.X = units.Is[units.Length](1) },
		"pieces[2].cg":       func(s *ballast.Setup) { s.Pieces[2].CG.Z = units.Is[units.Length](1) },
		"pieces[2].state":    func(s *ballast.Setup) { s.Pieces[2].State = ballast.Raised },
		"pieces[4].carried":  func(s *ballast.Setup) { s.Pieces[4].Carried = 0 },
		"pieces[5].mass":     func(s *ballast.Setup) { s.Pieces[5].Mass = units.Is(units.Mass(math.Inf(1))) },
		"gravity":            func(s *ballast.Setup) { s.Gravity = -9.8 },
		"loader":             func(s *ballast.Setup) { s.Loader = nil },
	} {
		s := orchard()
		spoil(&s)
		_, err := s.Compile()
		fieldtest.Names(t, path, err, path)
	}
	// All at once.
	s := orchard()
	s.Machine.Wheelbase, s.Loader.Arm, s.Attachment.Mass, s.Pieces[1].Mass = units.Is[units.Length](-2.1), units.Is[units.Length](-1), units.Is[units.Mass](-1), units.Is[units.Mass](-1)
	_, err := s.Compile()
	for _, path := range []string{"machine.wheelbase", "loader.arm", "attachment.mass", "pieces[1].mass"} {
		fieldtest.Names(t, "all at once", err, path)
	}
	s = orchard()
	s.Pieces = make([]ballast.Piece, ballast.Fixed.Pieces+1)
	_, err = s.Compile()
	fieldtest.Names(t, "too many", err, "pieces")
}

// Each bad field of a case is named by its JSON path, and so is what the
// setup lacks for it.
func TestLiftErrors(t *testing.T) {
	for path, spoil := range map[string]func(*ballast.Setup, *ballast.Lift){
		"lift.datum":         func(_ *ballast.Setup, l *ballast.Lift) { l.Datum = ballast.DatumUnknown },
		"lift.height":        func(_ *ballast.Setup, l *ballast.Lift) { l.Height = 3 },
		"lift.load.sideways": func(_ *ballast.Setup, l *ballast.Lift) { l.Load.Sideways = units.Is[units.Length](9) },
		"lift.load.density":  func(_ *ballast.Setup, l *ballast.Lift) { l.Load.Volume = 1 },
		"lift.load.mass":     func(_ *ballast.Setup, l *ballast.Lift) { l.Load.Density = 1600 },
		"lift.load.above": func(_ *ballast.Setup, l *ballast.Lift) {
			l.Datum, l.Load.Above = ballast.LoadHeight, units.Input[units.Length]{}
		},
		"lift.load.center":    func(_ *ballast.Setup, l *ballast.Lift) { l.Load.Center = units.Is[units.Length](-0.1) },
		"lift.slope":          func(_ *ballast.Setup, l *ballast.Lift) { l.Slope = -0.1 },
		"lift.heading":        func(_ *ballast.Setup, l *ballast.Lift) { l.Heading = units.Angle(math.Inf(1)) },
		"lift.factor":         func(_ *ballast.Setup, l *ballast.Lift) { l.Factor = 0.9 },
		"lift.basis.fraction": func(_ *ballast.Setup, l *ballast.Lift) { l.Basis.Fraction = 0 },
		"lift.basis.kind":     func(_ *ballast.Setup, l *ballast.Lift) { l.Basis.Kind = 0 },
		"lift.kind":           func(_ *ballast.Setup, l *ballast.Lift) { l.Kind, l.Height, l.Datum = ballast.BreakOut, 0, 0 },
		"lift.speed":          func(_ *ballast.Setup, l *ballast.Lift) { l.Kind, l.Speed = ballast.CarryLow, 0 },
		"lift.tires.kind":     func(_ *ballast.Setup, l *ballast.Lift) { l.Tires.Kind = 9 },
		"loader":              func(s *ballast.Setup, _ *ballast.Lift) { s.Loader, s.Attachment = nil, nil },
		"attachment":          func(s *ballast.Setup, _ *ballast.Lift) { s.Attachment = nil },
	} {
		s, l := orchard(), binLift(1)
		spoil(&s, &l)
		_, err := pointUse(s, l)
		fieldtest.Names(t, path, err, path)
	}
	l := binLift(1)
	l.Factor, l.Basis = 1, ballast.Basis{Kind: ballast.BasisNoWheelUnloaded}
	_, err := pointUse(orchard(), l)
	fieldtest.Names(t, "no margin", err, "lift.factor")
	_, err = orchard().Check(binLift(1), units.Mass(math.NaN()))
	fieldtest.Names(t, "no load", err, "load")
	for _, d := range []struct {
		kind  ballast.AttachmentKind
		datum ballast.Datum
	}{{ballast.Bucket, ballast.TineHeight}, {ballast.Forks, ballast.EdgeHeight}, {ballast.BarePin, ballast.TineHeight}} {
		s, l := orchard(), binLift(1)
		switch d.kind {
		case ballast.Bucket:
			s.Attachment = &ballast.Attachment{Kind: ballast.Bucket, Mass: units.Is[units.Mass](140), CG: ballast.Offset{Ahead: units.Is[units.Length](0.3), Above: units.Is[units.Length](0.1)}, Face: units.Is[units.Length](0.45), Edge: ballast.Offset{Ahead: units.Is[units.Length](0.8), Above: units.Is[units.Length](-0.15)}}
		case ballast.BarePin:
			s.Attachment = &ballast.Attachment{Kind: ballast.BarePin}
			l.Load.Above = units.Input[units.Length]{}
		}
		l.Datum = d.datum
		_, err := pointUse(s, l)
		fieldtest.Names(t, d.kind.String(), err, "lift.datum")
	}
}

// A limit that improves with load and is broken without it is broken at any
// load: the machine passes there. What is used stays that of the empty state.
func TestBrokenWhenEmpty(t *testing.T) {
	s, l := orchard(), binLift(1)
	s.Machine.Rear.Rating = units.Is[units.Mass](1600)
	empty, full := check(t, s, l, 0), check(t, s, l, 400)
	e, f := empty.Limit(ballast.LimitRearAxle), full.Limit(ballast.LimitRearAxle)
	if !(full.Axles.Rear < 1600 && empty.Axles.Rear > 1600) {
		t.Fatalf("rear axle %v empty, %v loaded", empty.Axles.Rear, full.Axles.Rear)
	}
	if e.Status != stability.ExceededWhenEmpty || f.Status != stability.ExceededWhenEmpty || e.Used <= 1 || f.Used != e.Used || full.OK() {
		t.Errorf("empty %+v, loaded %+v, %v", e, f, full.Status)
	}
}
