package ballast_test

import (
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

func near(t *testing.T, what string, got, want, tol float64) {
	t.Helper()
	validation.Relative(t, got, want)
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: got %.10g, want %.10g within %g", what, got, want, tol)
	}
}

// How a test reads a row of a shared table of reference values.
var (
	publishedRow = validation.Published
	number       = validation.Number
	numbers      = validation.Numbers
)

// road returns a transport of single values.
func road(front, rear units.Mass, base, hitch units.Length) ballast.Transport {
	return ballast.Transport{FrontLoad: units.Is(front), RearLoad: units.Is(rear), Wheelbase: units.Is(base), Hitch: ballast.Hitch{X: units.Is(-hitch)}}
}

func mounted(mass units.Mass, distance units.Length) ballast.Mounted {
	return ballast.Mounted{Mass: units.Is(mass), Distance: units.Is(distance)}
}

func randomTransport(r *rand.Rand) ballast.Transport {
	u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	tr := road(units.Mass(u(300, 3000)), units.Mass(u(500, 5000)), units.Length(u(1.5, 3)), units.Length(u(0.5, 1.3)))
	tr.Ahead = mounted(units.Mass(u(0, 1500)), units.Length(u(0.3, 2)))
	tr.Behind = mounted(units.Mass(u(0, 3000)), units.Length(u(0.2, 2.5)))
	if base := ballast.SteeredBase(r.IntN(3)); base != ballast.SteeredUnknown {
		tr.Steered = ballast.SteeredRule{Base: base, Share: units.Fraction(u(0.1, 0.4))}
	}
	return tr
}

// check answers a transport, or ends the test.
func checkRoad(t *testing.T, tr ballast.Transport) ballast.TransportAnswer {
	t.Helper()
	got, err := tr.Check()
	if err != nil {
		t.Fatal(err)
	}
	return got
}

// The axle loads are those of ISO 4254-10, Annex B, and the steered axle is held to
// its share of the mass that the rule names.
func TestTransportOfStandard(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	held := map[ballast.Verdict]int{}
	for range 2000 {
		tr := randomTransport(r)
		got := checkRoad(t, tr)
		want, err := standards.MountedImplements{FrontLoad: tr.FrontLoad.Value(), RearLoad: tr.RearLoad.Value(), Wheelbase: tr.Wheelbase.Value(), Hitch: -tr.Hitch.X.Value(),
			Ahead: standards.Implement{Mass: tr.Ahead.Mass.Value(), Distance: tr.Ahead.Distance.Value()}, Behind: standards.Implement{Mass: tr.Behind.Mass.Value(), Distance: tr.Behind.Distance.Value()}}.Loads()
		if err != nil {
			t.Fatal(err)
		}
		total := float64(want.Total())
		for what, v := range map[string][2]float64{
			"front, low": {float64(got.Axles.Front.Low), float64(want.Front)}, "front, high": {float64(got.Axles.Front.High), float64(want.Front)},
			"rear, low": {float64(got.Axles.Rear.Low), float64(want.Rear)}, "rear, high": {float64(got.Axles.Rear.High), float64(want.Rear)},
			"total": {float64(got.Axles.Total.High), total},
		} {
			near(t, what, v[0], v[1], 1e-9*total)
		}
		least, share := 0.0, want.FrontOfUnladen()
		switch tr.Steered.Base {
		case ballast.SteeredOfUnladen:
			least = float64(tr.Steered.Share) * float64(want.Unladen)
		case ballast.SteeredOfLaden:
			least, share = float64(tr.Steered.Share)*total, want.FrontOfLaden()
		default:
			share = 1
		}
		steered := got.Of(ballast.LimitSteered)
		near(t, "least steered load", float64(steered.Allowed.Low), least, 1e-9*total)
		verdict := ballast.NoLimitExceeded
		if share < tr.Steered.Share {
			verdict = ballast.ExceedsLimit
		}
		if steered.Verdict != verdict {
			t.Errorf("a share of %v under a rule of %v: %v", share, tr.Steered, steered.Verdict)
		}
		held[steered.Verdict]++
	}
	if held[ballast.NoLimitExceeded] < 200 || held[ballast.ExceedsLimit] < 200 {
		t.Errorf("the machines are one-sided: %v", held)
	}
}

// An axle that carries just nothing has not lifted, and a share that is just met is
// met.
func TestTransportEdges(t *testing.T) {
	// 500 kg 2 m behind the rear axle of a machine of wheelbase 2 m lift just
	// 500 kg off its front axle; half a kilogram more lifts it.
	tr := road(500, 2000, 2, 1)
	for mass, want := range map[units.Mass]ballast.Verdict{499.5: ballast.NoLimitExceeded, 500: ballast.NoLimitExceeded, 500.5: ballast.ExceedsLimit} {
		tr.Behind = mounted(mass, 1)
		got := checkRoad(t, tr)
		c := got.Of(ballast.LimitRearward)
		if c.Verdict != want || c.Allowed.High != 0 {
			t.Errorf("%v behind: %+v", mass, c)
		}
		near(t, "front", float64(c.Have.Low), float64(500-mass), 1e-9)
	}
	tr = road(2000, 500, 2, 1)
	for mass, want := range map[units.Mass]ballast.Verdict{499.5: ballast.NoLimitExceeded, 500: ballast.NoLimitExceeded, 500.5: ballast.ExceedsLimit} {
		tr.Ahead = mounted(mass, 2)
		got := checkRoad(t, tr)
		if c := got.Of(ballast.LimitTipping); c.Verdict != want || c.Allowed.High != 0 {
			t.Errorf("%v ahead: %+v", mass, c)
		}
	}
	// The share of the unladen mass: 25 % of 2500 kg; the front axle has 625 kg.
	tr = road(625, 1875, 2, 1)
	tr.Steered = ballast.SteeredRule{Base: ballast.SteeredOfUnladen, Share: 0.25}
	if got := checkRoad(t, tr); got.Of(ballast.LimitSteered).Verdict != ballast.NoLimitExceeded || got.Of(ballast.LimitSteered).Allowed.Low != 625 {
		t.Errorf("%+v", got.Of(ballast.LimitSteered))
	}
}

// Each limit can be exceeded, and none is checked without its rating.
func TestTransportCheck(t *testing.T) {
	tr := road(1000, 1600, 2.1, 0.8)
	tr.Behind = mounted(500, 0.7)
	got := checkRoad(t, tr)
	for _, c := range got.Limits {
		want := ballast.NeedsRatings
		if c.Kind == ballast.LimitRearward || c.Kind == ballast.LimitTipping || c.Kind == ballast.LimitSteered {
			want = ballast.NoLimitExceeded
		}
		if c.Verdict != want || got.Missing.Has(1<<(c.Kind-1)) != (want == ballast.NeedsRatings) {
			t.Errorf("%v without any rating: %v", c.Kind, c.Verdict)
		}
	}
	if got.Verdict != ballast.NeedsRatings || !got.Cautions.Has(ballast.CautionUnchecked|ballast.CautionRaisedOnly) {
		t.Errorf("%v, %v", got.Verdict, got.Cautions)
	}
	// Front 1000 - 500 x 1.5/2.1 = 642.86 kg, rear 2457.14 kg, by hand.
	near(t, "front", float64(got.Axles.Front.Low), 642.857, 1e-3)
	near(t, "rear", float64(got.Axles.Rear.High), 2457.143, 1e-3)
	required := map[ballast.LimitKind]float64{
		ballast.LimitFrontAxle: 642.857, ballast.LimitRearAxle: 2457.143, ballast.LimitFrontRim: 321.429, ballast.LimitRearRim: 1228.571,
		ballast.LimitFrontTire: 321.429, ballast.LimitRearTire: 1228.571, ballast.LimitGross: 3100, ballast.LimitHitch: 500 * 0.7 / 0.61,
	}
	for k, want := range required {
		near(t, "required of "+k.String(), float64(got.Of(k).Required), want, 1e-3)
	}
	tr.Steered = ballast.SteeredRule{Base: ballast.SteeredOfLaden, Share: 0.25}                                                                 // 775 of 3100 kg
	tr.Front = ballast.Axle{Rating: units.Is[units.Mass](600), WheelRating: units.Is[units.Mass](310), Tire: ballast.TireRating{LoadIndex: 60}} // 250 kg
	tr.Rear = ballast.Axle{Rating: units.Is[units.Mass](2450), WheelRating: units.Is[units.Mass](1200)}
	tr.Rear.Tire = ballast.TireRating{LoadIndex: 110, SpeedSymbol: liquid.SpeedA8} // 1060 kg
	tr.Front.Tire.SpeedSymbol = liquid.SpeedA8                                     // 40 km/h
	tr.GrossRating, tr.Hitch.Rating, tr.Speed = units.Is[units.Mass](3000), units.Is[units.Mass](400), 25*units.KilometerPerHour
	got = checkRoad(t, tr)
	allowed := map[ballast.LimitKind]float64{
		ballast.LimitSteered: 775, ballast.LimitFrontAxle: 600, ballast.LimitRearAxle: 2450, ballast.LimitFrontRim: 310, ballast.LimitRearRim: 1200,
		ballast.LimitFrontTire: 250, ballast.LimitRearTire: 1060, ballast.LimitGross: 3000, ballast.LimitHitch: 400,
	}
	for _, c := range got.Limits {
		want := ballast.ExceedsLimit
		if c.Kind == ballast.LimitRearward || c.Kind == ballast.LimitTipping {
			want = ballast.NoLimitExceeded
		} else {
			near(t, c.Kind.String(), float64(c.Allowed.Low), allowed[c.Kind], 1e-9*allowed[c.Kind])
		}
		if c.Verdict != want {
			t.Errorf("%v: %v, want %v", c.Kind, c.Verdict, want)
		}
	}
	near(t, "on the hitch", float64(got.Of(ballast.LimitHitch).Have.Low), 500*0.7/0.61, 1e-9)
	if got.Verdict != ballast.ExceedsLimit || got.Missing != 0 || got.Notes != ballast.NoteReachRatio {
		t.Errorf("%v, %v missing, notes %v", got.Verdict, got.Missing, got.Notes)
	}
	// At 50 km/h a tire of symbol A8 is not rated. At a speed that nobody gave
	// its load index is an upper bound: more exceeds it, less is open.
	for _, c := range []struct {
		kmh   units.Speed
		index liquid.LoadIndex
		want  ballast.Verdict
		note  ballast.Notes
	}{{0, tr.Front.Tire.LoadIndex, ballast.ExceedsLimit, ballast.NoteSpeedUnknown}, {0, 170, ballast.CannotSay, ballast.NoteSpeedUnknown}, {50, 170, ballast.ExceedsLimit, ballast.NoteOverSpeed}} {
		tr.Speed, tr.Front.Tire.LoadIndex = c.kmh*units.KilometerPerHour, c.index
		got := checkRoad(t, tr)
		if s := got.Of(ballast.LimitFrontTire).Verdict; s != c.want || got.Notes&(ballast.NoteOverSpeed|ballast.NoteSpeedUnknown) != c.note {
			t.Errorf("at %v m/s the tires are %v, notes %v", float64(tr.Speed), s, got.Notes)
		}
	}
}

// The answer of a transport of which less is known holds that of one of which more
// is known, and its verdict is never better.
func TestTransportInclusion(t *testing.T) {
	r := rand.New(rand.NewPCG(15, 41))
	around := func(in *units.Input[units.Mass]) {
		v := in.Value()
		*in = units.Between(v*units.Mass(1-0.1*r.Float64()), v*units.Mass(1+0.1*r.Float64()))
	}
	taped := func(in *units.Input[units.Length]) {
		v := in.Value()
		*in = units.Between(v-units.Length(0.03*r.Float64()), v+units.Length(0.03*r.Float64()))
	}
	yes, open := 0, 0
	for i := range 2000 {
		tr := randomTransport(r)
		tr.Front = ballast.Axle{Rating: units.Is(units.Mass(1000 + 4000*r.Float64())), WheelRating: units.None[units.Mass](), Tire: ballast.TireRating{LoadIndex: 140, SpeedSymbol: liquid.SpeedA8}}
		tr.Rear = tr.Front
		tr.GrossRating, tr.Hitch.Rating, tr.Speed = units.Is(units.Mass(5000+5000*r.Float64())), units.Is(units.Mass(1000+4000*r.Float64())), 5
		was := checkRoad(t, tr)
		wide := tr
		for _, in := range []*units.Input[units.Mass]{&wide.FrontLoad, &wide.RearLoad, &wide.Ahead.Mass, &wide.Behind.Mass, &wide.GrossRating, &wide.Hitch.Rating, &wide.Front.Rating} {
			if r.IntN(3) == 0 {
				around(in)
			}
		}
		for _, in := range []*units.Input[units.Length]{&wide.Wheelbase, &wide.Hitch.X, &wide.Ahead.Distance, &wide.Behind.Distance} {
			if r.IntN(3) == 0 {
				taped(in)
			}
		}
		is := checkRoad(t, wide)
		for what, v := range map[string][2]units.Range[units.Mass]{"front": {was.Axles.Front, is.Axles.Front}, "rear": {was.Axles.Rear, is.Axles.Rear}, "total": {was.Axles.Total, is.Axles.Total}} {
			if v[1].Low > v[0].Low+1e-6 || v[1].High < v[0].High-1e-6 {
				t.Errorf("transport %d, %s: %v outside %v", i, what, v[0], v[1])
			}
		}
		for k, c := range was.Limits {
			o := is.Limits[k]
			if o.Verdict.OK() && !c.Verdict.OK() || o.Verdict == ballast.ExceedsLimit && c.Verdict != ballast.ExceedsLimit {
				t.Errorf("transport %d, %v: %v of a wider one, was %v", i, c.Kind, o.Verdict, c.Verdict)
			}
			if o.Verdict == ballast.CannotSay {
				open++
			}
		}
		if was.Verdict.OK() {
			yes++
		}
	}
	if yes < 100 || open < 100 {
		t.Errorf("%d transports without a limit exceeded, %d limits open", yes, open)
	}
}

// A transport of a setup has its pieces, its arms down and no load: what
// Envelope.WheelLoads says.
func TestTransportOfSetup(t *testing.T) {
	s := orchard()
	e, err := s.Envelope(ballast.Practice{})
	if err != nil {
		t.Fatal(err)
	}
	got, err := e.Transport(5)
	if err != nil {
		t.Fatal(err)
	}
	want, err := e.WheelLoads(ballast.StateLowered)
	if err != nil || got.Axles != want {
		t.Errorf("%+v, want %+v, %v", got.Axles, want, err)
	}
	for k, of := range map[ballast.LimitKind][2]units.Range[units.Mass]{ballast.LimitRearRim: {want.RearLeft, want.RearRight}, ballast.LimitRearTire: {want.RearLeft, want.RearRight}} {
		if have := got.Of(k).Have; have.High != max(of[0].High, of[1].High) || have.Low != max(of[0].Low, of[1].Low) || of[0] == of[1] {
			t.Errorf("%v: %v of %v", k, have, of)
		}
	}
	steered := got.Of(ballast.LimitSteered)
	m, err := s.Compile()
	if err != nil {
		t.Fatal(err)
	}
	c, err := m.Case(ballast.Lift{Height: 0.18, Datum: ballast.PinHeight, Factor: 1})
	if err != nil {
		t.Fatal(err)
	}
	use := c.Use()
	lowered := use.Rechecks[ballast.StateLowered-1]
	if lowered.Limits[ballast.LimitSteered-1].Status == stability.Exceeded != (steered.Verdict == ballast.ExceedsLimit) {
		t.Errorf("steered: %+v", steered)
	}
	if again, err := s.Transport(5); err != nil || again != got {
		t.Errorf("%+v, %v", again, err)
	}
	if _, err := e.Transport(100); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("100 m/s: %v", err)
	}
	var none ballast.Envelope
	if _, err := none.Transport(5); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("an envelope that nothing made: %v", err)
	}
	if _, err := (ballast.Setup{}).Transport(5); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("an empty setup: %v", err)
	}
}

// A distance without a mass has a note, at either end; a mass has none.
func TestNothingMounted(t *testing.T) {
	place := ballast.Mounted{Distance: units.Is[units.Length](1)}
	for _, c := range []struct {
		ahead, behind ballast.Mounted
		want          bool
	}{
		{ballast.Mounted{}, ballast.Mounted{}, false}, {mounted(300, 1), mounted(500, 0.7), false},
		{mounted(0, 1), mounted(500, 0.7), true}, {mounted(300, 1), place, true},
	} {
		tr := road(1000, 1600, 2.1, 0.8)
		tr.Ahead, tr.Behind = c.ahead, c.behind
		if got := checkRoad(t, tr); got.Notes.Has(ballast.NoteNothingMounted) != c.want {
			t.Errorf("%+v ahead, %+v behind: %v", c.ahead, c.behind, got.Notes)
		}
	}
}

// Ranges that the documentation states, at both ends.
func TestTransportRanges(t *testing.T) {
	tr := road(1000, 1600, 2.1, 0.8)
	tr.Ahead, tr.Behind = mounted(300, 1), mounted(500, 0.7)
	fieldtest.Ends(t, "ahead.distance", tr, func(t *ballast.Transport, v float64) { t.Ahead.Distance = units.Is(units.Length(v)) }, 0.001, 10)
	fieldtest.Ends(t, "behind.distance", tr, func(t *ballast.Transport, v float64) { t.Behind.Distance = units.Is(units.Length(v)) }, 0.001, 10)
	for rating, ok := range map[units.Mass]bool{1: true, 0.99: false, 200e3: true, 202e3: false} {
		if _, _, err := (ballast.Hitch{Rating: units.Is(rating)}).LiftAt(0.5); ok != (err == nil) {
			t.Errorf("a hitch rated %v: %v", rating, err)
		}
	}
	for d, ok := range map[units.Length]bool{0: true, 10: true, 10.1: false, -0.01: false} {
		if _, _, err := (ballast.Hitch{Rating: units.Is[units.Mass](1000)}).LiftAt(d); ok != (err == nil) {
			t.Errorf("%v behind: %v", d, err)
		}
	}
	bare := road(1600, 800, 2, 0.6)
	bare.Behind = ballast.Mounted{Mass: units.Is[units.Mass](300)}
	_, err := bare.Check()
	fieldtest.Names(t, "an implement nowhere", err, "behind.distance")
	bare.Behind, bare.Hitch.X = mounted(300, 1), units.Input[units.Length]{}
	_, err = bare.Check()
	fieldtest.Names(t, "no hitch", err, "hitch.x")
	bare = road(1600, 800, 2, 0.6)
	bare.FrontLoad = units.None[units.Mass]()
	_, err = bare.Check()
	fieldtest.Names(t, "an axle load that is none", err, "frontLoad")
}

// TestHitchLift: 610 mm behind the hitch points is the reference of ISO 789-2
// (checks.csv HI3); nearer the rating is not scaled up.
func TestHitchLift(t *testing.T) {
	_, want := publishedRow(t, "checks.csv", "HI3")
	near(t, "HI3", float64(ballast.Fixed.HitchRating)*1000, number(t, want, "mm_behind_lower_hitch_points"), 1e-9)
	h := ballast.Hitch{X: units.Is[units.Length](-0.8), Rating: units.Is[units.Mass](1000)}
	for _, c := range []struct {
		at   units.Length
		want float64
		note ballast.Notes
	}{
		{0, 1000, ballast.NoteLiftNotScaled}, {0.3, 1000, ballast.NoteLiftNotScaled}, {0.61, 1000, 0}, {1.22, 500, ballast.NoteReachRatio},
	} {
		got, notes, err := h.LiftAt(c.at)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "lift", float64(got), c.want, 1e-9)
		if notes != c.note {
			t.Errorf("at %v: notes %v, want %v", float64(c.at), notes, c.note)
		}
	}
	// Close beyond 610 mm the rating falls already: 1000 kg by 610/620.
	m, _, err := h.LiftAt(0.62)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "lift at 620 mm", float64(m), 1000*610.0/620, 1e-9)
	if _, _, err := (ballast.Hitch{}).LiftAt(0.61); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("no rating: %v", err)
	}
}

// TestTransportErrors wants all bad fields at once, by path.
func TestTransportErrors(t *testing.T) {
	bad := ballast.Transport{
		FrontLoad: units.Is(units.Mass(math.NaN())), Wheelbase: units.Is[units.Length](72), Ahead: ballast.Mounted{Mass: units.Is[units.Mass](100)},
		Behind: mounted(-1, units.Length(math.Inf(1))), Front: ballast.Axle{Rating: units.Is[units.Mass](-5)},
		Steered: ballast.SteeredRule{Share: 0.2},
	}
	err := bad.Validate()
	if !errors.Is(err, units.ErrInvalid) {
		t.Fatal(err)
	}
	for _, path := range []string{"frontLoad", "rearLoad", "wheelbase", "ahead.distance", "behind.mass", "behind.distance", "hitch.x", "front.rating", "steered.base"} {
		if !strings.Contains(err.Error(), path+": ") {
			t.Errorf("the error does not name %s:\n%v", path, err)
		}
	}
	for name, err := range map[string]error{
		"inflation": ballast.RequiredPressure{}.Validate(), "transport": ballast.Transport{}.Validate(),
	} {
		if !errors.Is(err, units.ErrInvalid) {
			t.Errorf("an empty %s: %v", name, err)
		}
	}
}

// roundTrip writes an input as JSON and wants it back bit for bit.
func roundTrip[T any](t *testing.T, in T) {
	t.Helper()
	b, err := json.Marshal(in)
	if err != nil {
		t.Fatal(err)
	}
	var out T
	if err := json.Unmarshal(b, &out); err != nil {
		t.Fatalf("%s: %v", b, err)
	}
	if diff := cmp.Diff(in, out, exact); diff != "" {
		t.Errorf("%s reads back otherwise (-wrote +read):\n%s", b, diff)
	}
}

// TestTransportJSON wants every input of transport and inflation to survive
// JSON, and every answer to have one.
func TestTransportJSON(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 3))
	for range 50 {
		tr := randomTransport(r)
		tr.Front = ballast.Axle{Rating: units.Is[units.Mass](1200), TiresPerSide: 1, Tire: ballast.TireRating{LoadIndex: 110, SpeedSymbol: liquid.SpeedA8}}
		roundTrip(t, tr)
		roundTrip(t, ballast.RequiredPressure{AxleLoad: tr.RearLoad.Value(), Axle: ballast.Axle{Tire: ballast.TireRating{Table: demoTable()}}})
		answer, err := tr.Check()
		if err != nil {
			t.Fatal(err)
		}
		if _, err := json.Marshal(answer); err != nil {
			t.Error(err)
		}
	}
}

// finiteAnswer fails on a number in an answer that is none.
func finiteAnswer(t *testing.T, in any, values ...float64) {
	t.Helper()
	for i, v := range values {
		if !finite(v) {
			t.Errorf("%+v: value %d of the answer is %v", in, i, v)
		}
	}
}

// FuzzTransport throws any numbers at the transport: an
// error, or finite answers whose loads add up.
func FuzzTransport(f *testing.F) {
	f.Add(2000.0, 3000.0, 2.5, -0.9, 0.0, 1.4, 2200.0, 0.6, uint8(1), 0.2, 1000.0, 8.0)
	f.Add(math.NaN(), math.Inf(1), 1e308, -1e308, 5e-324, 0.0, math.Copysign(0, -1), -1.0, uint8(9), 1e308, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, front, rear, base, hitch, ahead, a, behind, d float64, rule uint8, share, rating, speed float64) {
		tr := ballast.Transport{
			FrontLoad: units.Is(units.Mass(front)), RearLoad: units.Is(units.Mass(rear)), Wheelbase: units.Is(units.Length(base)),
			Hitch: ballast.Hitch{X: units.Is(units.Length(hitch)), Rating: units.Is(units.Mass(rating))},
			Ahead: mounted(units.Mass(ahead), units.Length(a)), Behind: mounted(units.Mass(behind), units.Length(d)),
			Steered: ballast.SteeredRule{Base: ballast.SteeredBase(rule), Share: units.Fraction(share)}, Speed: units.Speed(speed),
			Rear: ballast.Axle{Tire: ballast.TireRating{LoadIndex: 100, SpeedSymbol: liquid.SpeedA8}},
		}
		if got, err := tr.Check(); err == nil {
			for _, c := range got.Limits {
				finiteAnswer(t, tr, float64(c.Have.Low), float64(c.Have.High), float64(c.Allowed.Low), float64(c.Allowed.High), float64(c.Required))
			}
			near(t, "sum", float64(got.Axles.Front.Low+got.Axles.Rear.Low), front+rear+ahead+behind, 1e-5)
		}
		if m, _, err := tr.Hitch.LiftAt(units.Length(d)); err == nil {
			finiteAnswer(t, tr, float64(m))
			if m > tr.Hitch.Rating.Value() {
				t.Errorf("lift %v above the rating %v", m, tr.Hitch.Rating.Value())
			}
		}
	})
}

// Each rating of an axle is a limit of its own: leaving one out never makes a
// limit that another one breaks "within".
func TestTransportLimitsStandAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 5))
	kPa := units.GaugeKilopascal
	vary := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	hidden := 0
	for range 2000 {
		tr := road(units.Mass(vary(500, 1500)), units.Mass(vary(600, 2000)), 2.1, 0.6)
		tr.Hitch.Rating, tr.Behind, tr.Speed = units.Is(units.Mass(vary(500, 1500))), mounted(units.Mass(vary(100, 900)), 0.8), 7
		tr.GrossRating, tr.Steered = units.Is(units.Mass(vary(2000, 4000))), ballast.SteeredRule{Base: ballast.SteeredOfUnladen, Share: 0.2}
		for _, a := range []*ballast.Axle{&tr.Front, &tr.Rear} {
			*a = ballast.Axle{Rating: units.Is(units.Mass(vary(600, 2800))), WheelRating: units.Is(units.Mass(vary(300, 1400))), Tire: ballast.TireRating{
				LoadIndex: liquid.LoadIndex(vary(90, 130)), SpeedSymbol: liquid.SpeedA8, Table: []ballast.PressureLoad{{120 * kPa, units.Mass(vary(300, 700))}, {200 * kPa, 1400}}, Pressure: units.Is(units.GaugePressure(vary(121, 220)) * kPa)}}
		}
		full, err := tr.Check()
		if err != nil {
			t.Fatal(err)
		}
		for name, left := range map[string]func(*ballast.Transport){
			"front.rating": func(t *ballast.Transport) { t.Front.Rating = units.Input[units.Mass]{} }, "front.wheelRating": func(t *ballast.Transport) { t.Front.WheelRating = units.Input[units.Mass]{} },
			"rear.rating": func(t *ballast.Transport) { t.Rear.Rating = units.Input[units.Mass]{} }, "rear.wheelRating": func(t *ballast.Transport) { t.Rear.WheelRating = units.Input[units.Mass]{} },
			"front.tire": func(t *ballast.Transport) { t.Front.Tire = ballast.TireRating{} }, "rear.tire.pressure": func(t *ballast.Transport) { t.Rear.Tire.Pressure = units.Input[units.GaugePressure]{} },
			"rear.tire.pressure below": func(t *ballast.Transport) { t.Rear.Tire.Pressure = units.Is(119 * kPa) },
			"speed":                    func(t *ballast.Transport) { t.Speed = 0 }, "grossRating": func(t *ballast.Transport) { t.GrossRating = units.Input[units.Mass]{} }, "steered": func(t *ballast.Transport) { t.Steered = ballast.SteeredRule{} },
		} {
			less := tr
			left(&less)
			got, err := less.Check()
			if err != nil {
				t.Fatal(err)
			}
			if strings.Contains(name, "pressure") && got.Verdict.OK() {
				t.Fatalf("without %s: %v", name, got.Verdict)
			}
			for i, was := range full.Limits {
				is := got.Limits[i]
				// A rule of the steered axle that was not chosen is no limit.
				if was.Verdict == ballast.ExceedsLimit && is.Verdict.OK() && was.Kind != ballast.LimitSteered {
					t.Fatalf("without %s: %v is %v, was %v", name, was.Kind, is, was)
				}
				if was.Verdict == ballast.ExceedsLimit && is.Verdict != ballast.ExceedsLimit {
					hidden++
				}
			}
		}
	}
	if hidden < 1000 {
		t.Errorf("%d limits left out were exceeded", hidden)
	}
}

// Whatever the tires and the speed, leaving out the speed or the pressure, or
// letting air out below the first row, never makes a tire's limit, or the
// answer, better than it was, and never leaves it positive without a word.
func TestTransportTiresWalk(t *testing.T) {
	r := rand.New(rand.NewPCG(91, 4))
	check := func(tr ballast.Transport) (ballast.TransportCheck, ballast.TransportAnswer) {
		t.Helper()
		a := checkRoad(t, tr)
		return a.Of(ballast.LimitFrontTire), a
	}
	seen := map[string]int{}
	for i := range 3000 {
		tr := randomTransport(r)
		tr.Steered = ballast.SteeredRule{}
		tr.Front, tr.Rear = ballast.Axle{TiresPerSide: r.IntN(4)}, ballast.Axle{}
		f := &tr.Front.Tire
		what := ""
		if r.IntN(2) == 0 {
			f.LoadIndex = liquid.LoadIndex(70 + r.IntN(90))
			f.SpeedSymbol = []liquid.SpeedSymbol{liquid.SpeedA6, liquid.SpeedA8, liquid.SpeedB}[r.IntN(3)]
			what = "index"
		}
		if what == "" || r.IntN(2) == 0 {
			low := units.Mass(200 + 2000*r.Float64())
			f.Table = []ballast.PressureLoad{{120 * units.GaugeKilopascal, low}, {240 * units.GaugeKilopascal, low * 1.5}}
			f.Pressure = units.Is(units.GaugePressure(120+150*r.Float64()) * units.GaugeKilopascal)
			what += "table"
		}
		tr.Speed = units.Speed(1 + 21*r.Float64())
		was, whole := check(tr)
		if was.Have.High <= 0 {
			continue // the axle has lifted: its tires carry nothing
		}
		seen[fmt.Sprint(what, was.Verdict)]++
		worse := func(change string, now ballast.TransportCheck, a ballast.TransportAnswer, note ballast.Notes) {
			t.Helper()
			if now.Verdict.OK() || a.Notes&note == 0 {
				t.Errorf("transport %d, %s, %s: %+v of %+v, %v", i, what, change, now, was, a.Notes)
			}
		}
		n := tr
		n.Speed = 0
		now, a := check(n)
		if f.LoadIndex != 0 {
			worse("speed left out", now, a, ballast.NoteSpeedUnknown)
		}
		if was.Verdict == ballast.ExceedsLimit && now.Verdict != ballast.ExceedsLimit && whole.Notes&ballast.NoteOverSpeed == 0 {
			t.Errorf("transport %d: speed left out: %+v of %+v", i, now, was)
		}
		if len(f.Table) == 0 {
			continue
		}
		for change, p := range map[string]units.GaugePressure{"pressure left out": 0, "air let out": 110 * units.GaugeKilopascal} {
			n := tr
			n.Front.Tire.Pressure = known(p)
			now, a := check(n)
			if whole.Notes&ballast.NoteOverSpeed != 0 {
				if now.Verdict != ballast.ExceedsLimit {
					t.Errorf("transport %d, %s: %+v beyond the speed of its symbol", i, change, now)
				}
				continue
			}
			worse(change, now, a, ballast.NotePressureUnknown|ballast.NoteBelowLowestPressure)
			if a.Verdict.OK() {
				t.Errorf("transport %d, %s: the answer is positive", i, change)
			}
			if p != 0 && was.Verdict == ballast.ExceedsLimit && now.Verdict != ballast.ExceedsLimit {
				t.Errorf("transport %d, %s: %+v of %+v", i, change, now, was)
			}
		}
	}
	for _, k := range []string{"indexnoLimitExceeded", "indexexceedsLimit", "tablenoLimitExceeded", "tableexceedsLimit", "indextablenoLimitExceeded", "indextableexceedsLimit"} {
		if seen[k] < 50 {
			t.Errorf("%s: %d", k, seen[k])
		}
	}
}
