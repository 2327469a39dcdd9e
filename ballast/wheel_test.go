package ballast_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// Whatever the undercarriage, at the greatest load each rear wheel keeps what
// the safety basis promises of it, by the wheel loads that stand beside the
// answer.
func TestEachRearWheelKeepsItsLoad(t *testing.T) {
	r := rand.New(rand.NewPCG(31, 7))
	binds := map[stability.UndercarriageKind]int{}
	for i := range 3000 {
		s, l := randomCase(r)
		l.Slope, l.Heading, l.Braking, l.Kind = 0, 0, 0, ballast.Hold
		l.Load.Sideways = units.Is(units.Length(-0.6 + 1.2*r.Float64()))
		s.Machine.Front, s.Machine.GrossRating, s.Machine.ROPSRating = ballast.Axle{Radius: s.Machine.Front.Radius}, units.Input[units.Mass]{}, units.Input[units.Mass]{}
		s.Attachment.Rating, s.Loader.CouplerRating = units.Input[units.Mass]{}, units.Input[units.Mass]{}
		k, err := s.Compile()
		if err != nil {
			t.Fatal(err)
		}
		c, err := k.Case(l)
		if err != nil {
			continue // out of reach
		}
		u := c.Use()
		if u.Status != stability.Binds {
			continue
		}
		if u.Limit(ballast.LimitRearWheel).Status == stability.Binds {
			binds[s.Machine.Undercarriage]++
		}
		at, least := u.Mass, 0.0
		f := float64(l.Basis.Fraction)
		switch l.Basis.Kind {
		case ballast.BasisRearShare:
			w := c.WheelLoads(at)
			least = f / 2 * float64(w.Front+w.Rear)
		case ballast.BasisTippingFraction:
			at /= units.Mass(f)
		}
		w := c.WheelLoads(at)
		if low := float64(min(w.RearLeft, w.RearRight)); !(low >= least-1e-6) {
			t.Fatalf("case %d, %v, %v: rear wheels carry %v and %v under %v, each must keep %.1f kg", i, s.Machine.Undercarriage, l.Basis.Kind, w.RearLeft, w.RearRight, at, least)
		}
	}
	if binds[stability.Rigid] < 20 || binds[stability.PivotingFront] < 20 || binds[stability.Tricycle] < 20 {
		t.Errorf("a rear wheel governs in %v: the test proves little", binds)
	}
}

// The one front wheel of a tricycle machine, and its tire, carry the whole
// front load; two wheels close together are a pair that shares it.
func TestTricycleFrontWheel(t *testing.T) {
	s := orchard()
	m := &s.Machine
	m.Undercarriage, m.Steered = stability.Tricycle, ballast.SteeredRule{}
	m.Front = ballast.Axle{Rating: units.Is[units.Mass](5000), WheelRating: units.Is[units.Mass](800), Tire: ballast.TireRating{LoadIndex: 100, SpeedSymbol: liquid.SpeedA8}} // 800 kg, ISO 4223-1
	l := binLift(0.8)
	for n, factor := range []float64{1, 1, 2 * 0.88, 3 * 0.82} { // ETRTO rule; memory
		m.Front.TiresPerSide = n
		_, c := compiled(t, s, l)
		got := c.Check(200)
		front := float64(got.Axles.Front)
		if want := front / (800 * factor); math.Abs(float64(got.Limit(ballast.LimitFrontTire).Used)-want) > 1e-12 {
			t.Errorf("%d tires: %v of the tire is used, want %v", n, got.Limit(ballast.LimitFrontTire).Used, want)
		}
		if want := front / 800; math.Abs(float64(got.Limit(ballast.LimitFrontRim).Used)-want) > 1e-12 {
			t.Errorf("%d tires: %v of the wheel is used, want %v", n, got.Limit(ballast.LimitFrontRim).Used, want)
		}
		answer, err := s.Transport(5)
		if err != nil {
			t.Fatal(err)
		}
		if got := answer.Of(ballast.LimitFrontTire).Allowed.Low; math.Abs(float64(got)-800*factor) > 1e-9 {
			t.Errorf("%d tires: %v allowed on the road, want %v", n, got, 800*factor)
		}
		if got := answer.Of(ballast.LimitFrontRim).Allowed.Low; got != 800 {
			t.Errorf("%v allowed on one wheel of 800 kg", got)
		}
	}
	in := ballast.RequiredPressure{AxleLoad: 700, Axle: ballast.Axle{Single: true, Tire: ballast.TireRating{Table: []ballast.PressureLoad{{1e5, 600}, {2e5, 800}}}}}
	if got, err := in.Solve(); err != nil || got.TireLoad != 700 || got.Pressure != 1.5e5 {
		t.Errorf("%+v, %v", got, err)
	}
	in.AxleLoad = 801
	if _, err := in.Solve(); err == nil {
		t.Error("a single wheel carries more than its table says")
	}
	m.Undercarriage, m.Front.Single, m.Rear.Single = stability.Rigid, true, true
	fieldtest.Names(t, "single", m.Validate(), "front.single")
	fieldtest.Names(t, "single", m.Validate(), "rear.single")
}

// A pressure that was raised for a service must not count twice: the factor
// multiplies what the table says of the pressure before. Hand calculation.
func TestServiceFromTable(t *testing.T) {
	kpa := func(p float64) units.GaugePressure { return units.GaugePressure(p) * units.GaugeKilopascal }
	s := orchard()
	s.Machine.Front.Rating, s.Machine.Front.WheelRating = units.Input[units.Mass]{}, units.Input[units.Mass]{}
	l := binLift(0.8)
	for _, c := range []struct {
		name     string
		service  ballast.TireService
		index    liquid.LoadIndex
		pressure float64
		want     float64 // kg, one front tire
		notes    ballast.Notes
	}{
		{"basic", ballast.BasicService, 0, 240, 750, 0},
		{"loader, 80 kPa more than 160", ballast.LoaderService, 0, 240, 1.4 * 600, ballast.NoteAllowanceUsed},
		{"loader, 80 kPa more than 200", ballast.LoaderService, 0, 280, 1.4 * 675, ballast.NoteAllowanceUsed},
		{"loader, the table ends above 80 kPa less", ballast.LoaderService, 0, 230, 731.25, ballast.NoteAllowanceRefused},
		{"loader, index below the table", ballast.LoaderService, 84, 240, 1.4 * 500, ballast.NoteAllowanceUsed}, // 84: 500 kg, ISO 4223-1
		{"loader, index between", ballast.LoaderService, 92, 240, 1.4 * 600, ballast.NoteAllowanceUsed},         // 92: 630 kg
		{"haulage, a fifth more than 200", ballast.HaulageService, 100, 240, 1.2 * 675, ballast.NoteAllowanceUsed},
		{"haulage, the table ends above", ballast.HaulageService, 100, 190, 656.25, ballast.NoteAllowanceRefused | ballast.NoteAllowanceUsed}, // used behind
	} {
		tire := ballast.TireRating{LoadIndex: c.index, Table: []ballast.PressureLoad{{kpa(160), 600}, {kpa(240), 750}, {kpa(320), 800}}, Pressure: known(kpa(c.pressure))}
		if c.index != 0 {
			tire.SpeedSymbol = liquid.SpeedA8
		}
		s.Machine.Front.Tire = tire
		s.Machine.Rear.Tire = ballast.TireRating{LoadIndex: 150, SpeedSymbol: liquid.SpeedA8}
		l.Speed = 2
		l.Tires = ballast.Allowance{Kind: c.service, PressureRaised: true, ShortCycles: true, LowTorque: true}
		_, use := compiled(t, s, l)
		got := use.Check(100)
		w := max(got.Axles.FrontLeft, got.Axles.FrontRight)
		if is := float64(w) / float64(got.Limit(ballast.LimitFrontTire).Used); math.Abs(is-c.want) > 1e-6 {
			t.Errorf("%s: a front tire is allowed %v kg, want %v", c.name, is, c.want)
		}
		if n := got.Notes & (ballast.NoteAllowanceUsed | ballast.NoteAllowanceRefused); n != c.notes {
			t.Errorf("%s: notes %v, want %v", c.name, n, c.notes)
		}
	}
}

// A table without a pressure or below its lowest says no more than an upper
// bound, and a note says why; one row says what it says.
func TestTableWithoutPressure(t *testing.T) {
	s := orchard()
	l := binLift(0.8)
	l.Speed = 2
	for _, c := range []struct {
		name   string
		tire   ballast.TireRating
		want   units.Mass // per tire, 0 unknown
		status ballast.Status
		note   ballast.Notes
	}{
		{"no pressure", ballast.TireRating{Table: []ballast.PressureLoad{{1e5, 600}, {2e5, 900}}}, 900, stability.AtMost, ballast.NotePressureUnknown},
		{"no pressure beside an index", ballast.TireRating{LoadIndex: 100, SpeedSymbol: liquid.SpeedA8, Table: []ballast.PressureLoad{{1e5, 600}}}, 600, stability.AtMost, ballast.NotePressureUnknown},
		{"too low a pressure", ballast.TireRating{Table: []ballast.PressureLoad{{1e5, 600}, {2e5, 900}}, Pressure: units.Is[units.GaugePressure](0.99e5)}, 600, stability.AtMost, ballast.NoteBelowLowestPressure},
		{"too low a pressure beside a small index", ballast.TireRating{LoadIndex: 85, SpeedSymbol: liquid.SpeedA8, Table: []ballast.PressureLoad{{1e5, 600}, {2e5, 900}}, Pressure: units.Is[units.GaugePressure](0.99e5)}, 515, stability.AtMost, ballast.NoteBelowLowestPressure},
		{"one row", ballast.TireRating{Table: []ballast.PressureLoad{{1e5, 600}}, Pressure: units.Is[units.GaugePressure](1.1e5)}, 600, stability.Within, 0},
		{"no table", ballast.TireRating{LoadIndex: 100, SpeedSymbol: liquid.SpeedA8}, 800, stability.Within, 0},
		{"nothing", ballast.TireRating{}, 0, stability.NotChecked, 0},
	} {
		s.Machine.Front.Tire, s.Machine.Rear.Tire = c.tire, ballast.TireRating{}
		_, x := compiled(t, s, l)
		got := x.Check(10)
		limit := got.Limit(ballast.LimitFrontTire)
		if limit.Status != c.status || got.Notes&(ballast.NotePressureUnknown|ballast.NoteBelowLowestPressure) != c.note {
			t.Errorf("%s: %v, notes %v", c.name, limit.Status, got.Notes)
		}
		if got.OK() == (c.status == stability.AtMost) || x.Use().Status == stability.NotChecked != (c.status == stability.AtMost) {
			t.Errorf("%s: %v", c.name, got.Status)
		}
		if c.want != 0 {
			if is := float64(max(got.Axles.FrontLeft, got.Axles.FrontRight)) / float64(limit.Used); math.Abs(is-float64(c.want)) > 1e-6 {
				t.Errorf("%s: %v kg, want %v", c.name, is, c.want)
			}
		}
	}
}

// On the way up a rated point where the loader lifts least is not passed over:
// no place on the way, looked at by itself, lifts less than the way.
func TestWayThroughRatedPoints(t *testing.T) {
	r := rand.New(rand.NewPCG(8, 15))
	for i := range 200 {
		s := bareOrchard()
		l := *s.Loader
		s.Loader = &l
		l.Rated, l.SelfLeveling = nil, units.Is(units.Fraction(r.Float64()))
		z := units.Length(0.2)
		for range 5 {
			l.Rated = append(l.Rated, ballast.RatedPoint{PinHeight: z, AtPin: units.Mass(700 + 1600*r.Float64())})
			z += units.Length(0.1 + 0.5*r.Float64())
		}
		l.LowestPin, l.HighestPin = units.Is(l.Rated[0].PinHeight), units.Is(l.Rated[4].PinHeight)
		k, err := s.Compile()
		if err != nil {
			t.Fatal(err)
		}
		c := binLift(0)
		c.Datum, c.Factor, c.Speed, c.Load.Center = ballast.PinHeight, 1, 0, units.Is[units.Length](0.6)
		hydraulic := func(kind ballast.LiftKind, h units.Length) float64 {
			c.Kind, c.Height = kind, h
			x, err := k.Case(c)
			if err != nil {
				t.Fatal(err)
			}
			u := x.Use()
			return float64(u.Limit(ballast.LimitHydraulic).Mass)
		}
		way := hydraulic(ballast.StackHigh, l.HighestPin.Value())
		if way <= 0 {
			t.Fatalf("setup %d: the way is not checked", i)
		}
		for _, p := range l.Rated {
			if at := hydraulic(ballast.Hold, p.PinHeight); at < way*(1-1e-9) {
				t.Fatalf("setup %d: %v kg at %v, %v kg on the way", i, at, p.PinHeight, way)
			}
		}
		for h := l.LowestPin.Value() + 0.03; h < l.HighestPin.Value(); h += 0.01 {
			if at := hydraulic(ballast.Hold, h); at < way*(1-1e-9) {
				t.Errorf("setup %d: %v kg at %v, %v kg on the way", i, at, h, way)
			}
		}
	}
}
