package ballast_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// exception is a field, or a change of it, that may make an answer more
// permissive although nothing beside the answer says so.
type exception struct {
	path   string // as the walk has it
	reason string
}

// exceptions counts how often each was needed: one that never was is none.
type exceptions struct {
	list []exception
	used map[string]int
}

func (e *exceptions) covers(path string) bool {
	for _, x := range e.list {
		if x.path == path {
			if e.used == nil {
				e.used = map[string]int{}
			}
			e.used[path]++
			return true
		}
	}
	return false
}

func (e *exceptions) unused(t *testing.T) {
	t.Helper()
	for _, x := range e.list {
		if e.used[x.path] == 0 {
			t.Errorf("%s (%s) is no exception: no case needs it", x.path, x.reason)
		}
	}
}

// open reports whether a status says that a limit is not, or not wholly, known.
func open(s ballast.Status) bool { return s == stability.NotChecked || s == stability.AtMost }

// allowance is how much a limit of a load allows; the more, the more
// permissive.
func allowance(l ballast.Limit) float64 {
	switch l.Status {
	case stability.ExceededWhenEmpty:
		return -1
	case stability.CannotOccur:
		return math.Inf(1)
	}
	return float64(l.Mass)
}

// looser says where an answer permits more than another, or "".
func looser(was, is *ballast.Use, of func(ballast.LimitKind) bool) string {
	for i, a := range was.Limits {
		b := is.Limits[i]
		if !of(a.Kind) || open(b.Status) && b.Status != a.Status {
			continue
		}
		if x, y := allowance(a), allowance(b); !open(a.Status) && y > x*(1+1e-9)+1e-6 {
			return fmt.Sprintf("%v allows %.3f kg (%v), was %.3f kg (%v)", a.Kind, y, b.Status, x, a.Status)
		}
	}
	for n := range was.Rechecks {
		for i, a := range was.Rechecks[n].Limits {
			b := is.Rechecks[n].Limits[i]
			if of(a.Kind) && a.Status == stability.Exceeded && b.Status != a.Status && !open(b.Status) {
				return fmt.Sprintf("%v, %v: %v, was %v", was.Rechecks[n].State, a.Kind, b.Status, a.Status)
			}
		}
	}
	return ""
}

func all(ballast.LimitKind) bool { return true }

// newlyOpen reports whether a limit that was checked is not any more, or not
// wholly: the answer then says so itself.
func newlyOpen(was, is *ballast.Use) bool {
	for i, a := range was.Limits {
		if b := is.Limits[i].Status; open(b) && !open(a.Status) {
			return true
		}
	}
	return false
}

// walkedCase is a random setup and lift, with more of what a user may give than
// randomCase has.
func walkedCase(r *rand.Rand) (ballast.Setup, ballast.Lift) {
	s, l := randomCase(r)
	vary := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	loader, attachment := *s.Loader, *s.Attachment
	s.Loader, s.Attachment = &loader, &attachment
	if len(loader.Rated) > 0 && r.IntN(3) == 0 {
		loader.Rated = []ballast.RatedPoint{{PinHeight: units.Length(vary(0.5, 1)), AtPin: 1100}, {PinHeight: units.Length(vary(1.5, 2.6)), AtPin: 800}}
	}
	if r.IntN(4) == 0 {
		s.Machine.LoaderIncluded = ballast.WithLoader
		s.Machine.Mass = units.Is(s.Machine.Mass.Value() + 300)
	}
	if r.IntN(4) == 0 {
		s.Machine.FrontLoad = units.Is(units.Mass(vary(0.36, 0.5)) * s.Machine.Mass.Value())
		s.Machine.RearLoad = units.Is(s.Machine.Mass.Value() - s.Machine.FrontLoad.Value())
		s.Machine.Mass, s.Machine.CG.X = units.Input[units.Mass]{}, units.Input[units.Length]{}
	}
	if r.IntN(4) == 0 {
		attachment = ballast.Attachment{Kind: ballast.Bucket, Mass: units.Is[units.Mass](140), CG: ballast.Offset{Ahead: units.Is[units.Length](0.3), Above: units.Is[units.Length](0.1)}, Face: units.Is[units.Length](0.45), Edge: ballast.Offset{Ahead: units.Is[units.Length](0.8), Above: units.Is[units.Length](-0.15)}, Volume: units.Is[units.Volume](0.3), Rating: units.Is[units.Mass](800)}
		l.Datum, l.Load.Center = ballast.EdgeHeight, units.Is[units.Length](0.05)
	}
	for _, a := range []*ballast.Axle{&s.Machine.Front, &s.Machine.Rear} {
		a.TiresPerSide = 1 + r.IntN(2)
		if r.IntN(2) == 0 {
			a.Tire.Table = []ballast.PressureLoad{{120 * units.GaugeKilopascal, units.Mass(vary(300, 700))}, {240 * units.GaugeKilopascal, 1100}}
			a.Tire.Pressure = units.Is(units.GaugePressure(vary(120, 250)) * units.GaugeKilopascal)
		}
	}
	if r.IntN(20) == 0 {
		of := func(v float64) liquid.Dimension {
			return liquid.Dimension{Value: units.Length(v), Spread: units.Length(0.01 * v), Origin: liquid.Measured}
		}
		fill := liquid.Fill{Fluid: liquid.Brine(liquid.CalciumChloride, units.MassFraction(vary(0.1, 0.28))), Level: liquid.ValveAt(vary(3, 12)), Temperature: units.Celsius(vary(-5, 30)),
			Tire: liquid.Tire{SectionWidth: of(0.38), OverallDiameter: of(1.26), RimDiameter: of(0.61), RimWidth: of(0.33), LugDepth: of(0.032), Undertread: of(0.018),
				Sidewall: of(0.012), WellDepth: of(0.04), WellWidth: of(0.15), ValveRadius: of(0.3), Crown: 2.3, Deflection: 0.05}}
		var keep []ballast.Piece
		for _, p := range s.Pieces {
			if p.Kind != ballast.RearLiquid {
				keep = append(keep, p)
			}
		}
		s.Pieces = append(keep, ballast.Piece{Kind: ballast.RearLiquid, Fill: &fill, Tires: 2 * s.Machine.Rear.TiresPerSide})
	}
	if r.IntN(5) == 0 {
		loader.ManualBallast = ballast.ManualBallast{Kind: ballast.ManualBallastDemanded, Hitch: units.Mass(vary(100, 400)), RearWheels: units.Mass(vary(0, 1)) * 200}
		if loader.ManualBallast.RearWheels < 1 {
			loader.ManualBallast.RearWheels = 0
		}
	}
	l.Speed = units.Speed(vary(0.5, 14))
	if r.IntN(4) == 0 {
		l.Tires = ballast.Allowance{Kind: ballast.LoaderService, PressureRaised: true, ShortCycles: true, LowTorque: true}
	}
	return s, l
}

// Leaving out any one field of a setup or of a lift never makes the answer more
// permissive, unless a limit says that it is not checked, or not wholly, or a
// note or a caution is new beside the answer.
func TestLeftOutNeverPermits(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 8))
	allowed := exceptions{list: []exception{
		{"gravity", "zero is the standard gravity, by which scales and ratings are read"},
		{"pieces", "a piece that is not listed is not there, which makes it another machine"},
		{"pieces[].cg", "a piece on wheels has a sideways position only, where zero is the middle"},
		{"machine.cg", "with the axle loads given it has a sideways position, where zero is the middle"},
	}}
	fields := 0
	for i := range 500 {
		s, l := walkedCase(r)
		was := use(t, s, l)
		check := func(path string, s ballast.Setup, l ballast.Lift) {
			fields++
			is, err := pointUse(s, l)
			if err != nil || newlyOpen(&was, &is) || is.Notes&^was.Notes != 0 || is.FillNotes&^was.FillNotes != 0 || is.Cautions&^was.Cautions != 0 {
				return
			}
			why := looser(&was, &is, all)
			if why == "" && is.Status == stability.Binds && was.Status != stability.NotChecked && is.Mass > was.Mass*(1+1e-9) {
				why = fmt.Sprintf("usable load %v kg, was %v kg", float64(is.Mass), float64(was.Mass))
			}
			if why == "" && float64(is.Tipping) > float64(was.Tipping)*(1+1e-9) && was.Tipping > 0 {
				why = fmt.Sprintf("tipping load %v kg, was %v kg", float64(is.Tipping), float64(was.Tipping))
			}
			if why != "" && !allowed.covers(path) {
				t.Errorf("case %d, without %s: %s", i, path, why)
			}
		}
		for _, f := range walk.Fields(s) {
			if !f.Zero {
				check(f.Path, walk.Without(s, f), l)
			}
		}
		for _, f := range walk.Fields(l) {
			// Zero is a heading and a height, and has a note.
			if !f.Zero || f.Path == "heading" || f.Path == "height" {
				check("lift."+f.Path, s, walk.Without(l, f))
			}
		}
	}
	t.Logf("%d fields left out", fields)
	allowed.unused(t)
}

// A worsening is a change of one field that mechanics calls worse for some
// limits.
type worsening struct {
	path   string
	k      float64 // what the field is multiplied by
	limits []ballast.LimitKind
	unless func(s *ballast.Setup, l *ballast.Lift) bool // where mechanics does not say so
}

// What lies in front of the front axle loads the front and lifts the rear; what
// is added to the load's moment asks more of the hydraulics.
var (
	forward  = []ballast.LimitKind{ballast.LimitHydraulic, ballast.LimitTipping, ballast.LimitRearWheel, ballast.LimitFrontAxle, ballast.LimitFrontTire, ballast.LimitFrontRim}
	carried  = append([]ballast.LimitKind{ballast.LimitGross, ballast.LimitROPS, ballast.LimitCoupler}, forward...)
	noseUp   = func(_ *ballast.Setup, l *ballast.Lift) bool { return l.Slope > 0 && math.Cos(float64(l.Heading)) > 0 }
	inclined = func(_ *ballast.Setup, l *ballast.Lift) bool { return l.Slope != 0 || l.Braking != 0 }
)

var worsenings = []worsening{
	{"lift.load.center", 1.3, forward, nil},
	{"attachment.mass", 1.5, carried, nil},
	{"attachment.face", 1.3, forward, nil},
	{"attachment.cg.ahead", 1.5, forward, nil},
	{"attachment.rating", 0.8, []ballast.LimitKind{ballast.LimitAttachment}, nil},
	{"attachment.loadCenter", 0.8, []ballast.LimitKind{ballast.LimitAttachment}, func(_ *ballast.Setup, l *ballast.Lift) bool { return l.Load.Center.Value() == 0 }},
	{"loader.cylinders.pressure", 0.8, []ballast.LimitKind{ballast.LimitHydraulic}, nil},
	{"loader.cylinders.bore", 0.8, []ballast.LimitKind{ballast.LimitHydraulic}, nil},
	{"loader.rated[].aheadMass", 0.8, []ballast.LimitKind{ballast.LimitHydraulic}, nil},
	{"loader.rated[].atPin", 0.96, []ballast.LimitKind{ballast.LimitHydraulic}, func(s *ballast.Setup, l *ballast.Lift) bool {
		// Beyond the distance for which the points are rated a lower lift at
		// the pin, with the same lift ahead, says that the carrier levels more;
		// on a slope a height adds to that distance.
		if len(s.Loader.Rated) == 0 {
			return true
		}
		p := s.Loader.Rated[0]
		return p.Ahead != 0 && s.Attachment.Face.Value()+max(l.Load.Center.Value(), s.Attachment.LoadCenter.Value()) > p.Ahead || p.Ahead != 0 && inclined(s, l)
	}},
	{"loader.couplerRating", 0.8, []ballast.LimitKind{ballast.LimitCoupler}, nil},
	{"loader.selfLeveling", 0.8, []ballast.LimitKind{ballast.LimitHydraulic}, func(s *ballast.Setup, l *ballast.Lift) bool {
		// Rated points that say how the lift falls ahead of the pin say it all;
		// on a slope the carrier's turning also moves the load along the slope.
		return len(s.Loader.Rated) > 0 && s.Loader.Rated[0].Ahead != 0 || inclined(s, l)
	}},
	{"machine.wheelbase", 0.95, []ballast.LimitKind{ballast.LimitTipping, ballast.LimitFrontAxle, ballast.LimitFrontTire, ballast.LimitFrontRim}, func(s *ballast.Setup, l *ballast.Lift) bool {
		// With the axle loads given the center of gravity moves along. Uphill a
		// shorter wheelbase carries more on the rear. Across a slope the front
		// wheels of a rigid machine also share the roll.
		return s.Machine.FrontLoad.Value() != 0 || inclined(s, l)
	}},
	{"machine.front.rating", 0.8, []ballast.LimitKind{ballast.LimitFrontAxle}, nil},
	{"machine.front.wheelRating", 0.8, []ballast.LimitKind{ballast.LimitFrontRim}, nil},
	{"machine.front.tire.pressure", 0.8, []ballast.LimitKind{ballast.LimitFrontTire}, nil},
	{"machine.front.tire.table[].load", 0.9, []ballast.LimitKind{ballast.LimitFrontTire}, nil},
	{"machine.rear.rating", 0.8, []ballast.LimitKind{ballast.LimitRearAxle}, nil},
	{"machine.rear.wheelRating", 0.8, []ballast.LimitKind{ballast.LimitRearRim}, nil},
	{"machine.rear.tire.pressure", 0.8, []ballast.LimitKind{ballast.LimitRearTire}, nil},
	{"machine.rear.tire.table[].load", 0.9, []ballast.LimitKind{ballast.LimitRearTire}, nil},
	{"machine.grossRating", 0.8, []ballast.LimitKind{ballast.LimitGross}, nil},
	{"machine.ropsRating", 0.8, []ballast.LimitKind{ballast.LimitROPS}, nil},
	{"machine.hitch.rating", 0.8, []ballast.LimitKind{ballast.LimitHitch}, nil},
	{"machine.steered.share", 1.3, []ballast.LimitKind{ballast.LimitSteered}, nil},
	{"machine.rearTrack", 0.9, []ballast.LimitKind{ballast.LimitRearWheel}, func(s *ballast.Setup, _ *ballast.Lift) bool {
		// On a rigid machine the roll is shared by the tracks: a narrower rear
		// one leaves more of it to the front wheels.
		return s.Machine.Undercarriage == stability.Rigid
	}},
	{"lift.braking", 1.5, []ballast.LimitKind{ballast.LimitTipping, ballast.LimitFrontAxle, ballast.LimitFrontRim}, nil},
	{"lift.speed", 4, []ballast.LimitKind{ballast.LimitFrontTire, ballast.LimitRearTire}, nil},
	{"lift.factor", 1.3, []ballast.LimitKind{ballast.LimitTipping, ballast.LimitRearWheel, ballast.LimitFrontWheel}, nil},
	{"lift.slope", 1.3, []ballast.LimitKind{ballast.LimitTipping}, noseUp},
}

// Making a physical input worse never makes an answer more permissive in the
// limits that mechanics says it bears on, and never in the usable load where it
// bears on nothing else.
func TestWorseNeverPermits(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 9))
	tried := map[string]int{}
	for i := range 600 {
		s, l := walkedCase(r)
		was := use(t, s, l)
		for _, w := range worsenings {
			if w.unless != nil && w.unless(&s, &l) {
				continue
			}
			of := func(kind ballast.LimitKind) bool {
				for _, k := range w.limits {
					if k == kind {
						return true
					}
				}
				return false
			}
			check := func(s ballast.Setup, l ballast.Lift) {
				is, err := pointUse(s, l)
				if err != nil {
					return
				}
				tried[w.path]++
				if why := looser(&was, &is, of); why != "" {
					t.Errorf("case %d, %s times %g: %s", i, w.path, w.k, why)
				}
			}
			for _, f := range walk.Fields(s) {
				if f.Path == w.path {
					if worse, ok := walk.Scaled(s, f, w.k); ok {
						check(worse, l)
					}
				}
			}
			for _, f := range walk.Fields(l) {
				if "lift."+f.Path == w.path {
					if worse, ok := walk.Scaled(l, f, w.k); ok {
						check(s, worse)
					}
				}
			}
		}
		if t.Failed() && i > 60 {
			break
		}
	}
	for _, w := range worsenings {
		if tried[w.path] < 20 {
			t.Errorf("%s was made worse %d times only", w.path, tried[w.path])
		}
	}
}

// Leaving out any one field of a transport never makes a limit positive. A rule of
// the steered axle is chosen; without one there is no such limit.
func TestTransportLeftOutNeverPermits(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 10))
	allowed := exceptions{list: []exception{
		{"behind", "what is not listed is not there"},
		{"ahead", "what is not listed is not there"},
		{"steered", "it is a rule that is chosen"},
	}}
	vary := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	for i := range 500 {
		_, axles := walkedCase(r)
		s, _ := walkedCase(r)
		tr := road(units.Mass(vary(500, 1500)), units.Mass(vary(600, 2200)), units.Length(vary(1.6, 2.4)), 0.6)
		tr.Hitch.Rating, tr.Behind, tr.Ahead = units.Is(units.Mass(vary(400, 1500))), mounted(units.Mass(vary(100, 1200)), units.Length(vary(0.4, 1.4))), mounted(units.Mass(vary(0, 400)), 0.6)
		tr.Steered = ballast.SteeredRule{ballast.SteeredOfUnladen + ballast.SteeredBase(r.IntN(2)), units.Fraction(vary(0.1, 0.3))}
		tr.Front, tr.Rear, tr.GrossRating, tr.Speed = s.Machine.Front, s.Machine.Rear, units.Is(units.Mass(vary(2000, 4500))), axles.Speed
		was, err := tr.Check()
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range walk.Fields(tr) {
			if f.Zero {
				continue
			}
			is, err := walk.Without(tr, f).Check()
			if err != nil || allowed.covers(f.Path) {
				continue
			}
			if is.Verdict.OK() && !was.Verdict.OK() {
				t.Errorf("transport %d, without %s: %v, was %v", i, f.Path, is.Verdict, was.Verdict)
			}
			for k, a := range was.Limits {
				if a.Have.High <= 0 {
					continue // the axle has lifted: its tires carry nothing
				}
				if b := is.Limits[k]; b.Verdict.OK() && !a.Verdict.OK() {
					t.Errorf("transport %d, without %s: %v is %v, was %v", i, f.Path, a.Kind, b.Verdict, a.Verdict)
				}
			}
		}
	}
	allowed.unused(t)
}
