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

// annex builds a transport from a row in the letters of ISO 4254-10, Annex B
// (TF, TR, IF, IR) or those of operator's manuals (T_V, T_H, G_V, G_H).
func annex(t *testing.T, in map[string]any) ballast.Transport {
	t.Helper()
	get := func(keys ...string) float64 {
		for _, k := range keys {
			if v, ok := in[k].(float64); ok {
				return v
			}
		}
		return 0
	}
	return ballast.Transport{
		FrontLoad: units.Mass(get("TF_kg", "T_V")), RearLoad: units.Mass(get("TR_kg", "T_H")),
		Wheelbase: units.Length(get("b_m", "b")), Hitch: ballast.Hitch{X: units.Is(-units.Length(get("c_m", "c")))},
		Ahead:  ballast.Mounted{Mass: units.Mass(get("IF_kg", "G_V", "G_V_used")), Distance: units.Length(get("a_m", "a"))},
		Behind: ballast.Mounted{Mass: units.Mass(get("IR_kg", "G_H")), Distance: units.Length(get("d_m", "d"))},
	}
}

// frontBallast checks the form of ISO 4254-10 Annex B (checks.csv AB1)
// and the common method of implement operator's manuals (S12, N-front2). The
// tolerance of 0.01 kg is that of the rows.
func frontBallast(t *testing.T) {
	for _, c := range []struct{ file, id, minimum string }{
		{"checks.csv", "AB1", "IFmin_kg"},
		{"checks.csv", "S12", "G_Vmin_kg"},
		{"stability_cases.csv", "N-front2", "G_Vmin_kg"},
	} {
		in, want := publishedRow(t, c.file, c.id)
		tr := annex(t, in)
		got, err := tr.FrontBallast()
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.id+" minimum", float64(got.Mass), number(t, want, c.minimum), 0.01)
		if got.Need != ballast.NeedSome || got.Base != ballast.SteeredOfUnladen || got.Share != 0.2 {
			t.Errorf("%s: %v ballast, %v of %v", c.id, got.Need, got.Share, got.Base)
		}
		// Closure: with the minimum put on, the share is the rule's.
		s, err := got.Loads.SteeredShare(ballast.SteeredOfUnladen)
		if err != nil {
			t.Fatal(err)
		}
		near(t, c.id+" share", float64(s), 0.2, 1e-12)
		if !got.Cautions.Has(ballast.CautionManual | ballast.CautionEmptyAgain) {
			t.Errorf("%s: cautions %v", c.id, got.Cautions)
		}
	}
	in, want := publishedRow(t, "checks.csv", "AB1")
	got, err := annex(t, in).FrontBallast()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "AB1 front after", float64(got.Loads.Front), number(t, want, "front_after_kg"), 0.01)
}

// rearBallast checks S14 of checks.csv and N-rear1 of stability_cases.csv,
// where the formula's answer is negative: none is needed, and the figure is
// what the axle has to spare.
func rearBallast(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "S14")
	got, err := annex(t, in).RearBallast()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "S14 minimum", float64(got.Mass), number(t, want, "G_Hmin_kg"), 0.01)
	near(t, "S14 rear axle", float64(got.Loads.Rear), number(t, want, "T_H_kg"), 0.01)
	if got.Need != ballast.NeedSome || got.Share != units.Fraction(number(t, in, "x")) {
		t.Errorf("S14: %+v", got)
	}

	in, want = publishedRow(t, "stability_cases.csv", "N-rear1")
	tr := annex(t, in)
	got, err = tr.RearBallast()
	if err != nil {
		t.Fatal(err)
	}
	if got.Need != ballast.NeedNone || got.Mass != 0 || !(got.Spare > 0) {
		t.Errorf("N-rear1: a negative minimum means that none is needed: %+v", got)
	}
	// The row gives the negative mass; the axle's surplus is that mass times
	// the lever (b + c + d)/b.
	lever := float64(tr.Wheelbase+tr.Behind.Distance-tr.Hitch.X.Value()) / float64(tr.Wheelbase)
	near(t, "N-rear1", -float64(got.Spare)/lever, number(t, want, "G_Hmin_kg"), 0.01)
}

// axleLoads checks AB3, S12 and N-front2, and the misprint of S16.
func axleLoads(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "AB3")
	got, err := annex(t, in).Loads()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "AB3 front", float64(got.Front), number(t, want, "front_kg"), 0.01)
	near(t, "AB3 rear", float64(got.Rear), number(t, want, "rear_kg"), 0.01)
	near(t, "AB3 total", float64(got.Total()), number(t, want, "total_kg"), 0.01)

	in, want = publishedRow(t, "stability_cases.csv", "N-front2")
	if got, err = annex(t, in).Loads(); err != nil {
		t.Fatal(err)
	}
	near(t, "N-front2 front", float64(got.Front), number(t, want, "T_Vact_kg"), 0.01)
	near(t, "N-front2 rear", float64(got.Rear), number(t, want, "T_Hact_kg"), 0.01)
	near(t, "N-front2 total", float64(got.Total()), number(t, want, "G_total_kg"), 0.01)
	s, err := got.SteeredShare(ballast.SteeredOfUnladen)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "N-front2 share", float64(s), number(t, want, "front_share_of_TL"), 5e-5)

	in, want = publishedRow(t, "checks.csv", "S12")
	tr := annex(t, in)
	tr.Ahead.Mass = units.Mass(number(t, want, "G_Vmin_kg"))
	if got, err = tr.Loads(); err != nil {
		t.Fatal(err)
	}
	near(t, "S12 front", float64(got.Front), number(t, want, "T_Vact_kg"), 0.01)
	near(t, "S12 rear", float64(got.Rear), number(t, want, "T_Hact_kg"), 0.01)
	near(t, "S12 total", float64(got.Total()), number(t, want, "G_act_kg"), 0.01)

	_, trap := publishedRow(t, "checks.csv", "S16")
	near(t, "S16 right", float64(got.Front), number(t, trap, "right_T_Vact_kg"), 0.01)
	// The misprinted sign, evaluated here, gives the row's wrong figure.
	a, b, cd := 1.2, 2.4, 1.7
	near(t, "S16 wrong", (55*(a+b)-1900*b-1500*cd)/b, number(t, trap, "wrong_T_Vact_kg"), 0.01)
}

// TestShareBases holds the three 20 % rules apart on one machine.
func TestShareBases(t *testing.T) {
	l := ballast.AxleLoads{Front: 1000, Rear: 4000, Unladen: 4000}
	unladen, err := l.SteeredShare(ballast.SteeredOfUnladen)
	if err != nil {
		t.Fatal(err)
	}
	laden, err := l.SteeredShare(ballast.SteeredOfLaden)
	if err != nil {
		t.Fatal(err)
	}
	rear, err := l.RearShareOfTotal()
	if err != nil {
		t.Fatal(err)
	}
	if unladen != 0.25 || laden != 0.2 || rear != 0.8 {
		t.Errorf("shares %v %v %v", unladen, laden, rear)
	}
	if _, err := l.SteeredShare(ballast.SteeredUnknown); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("a share without a base: %v", err)
	}
	for _, of := range []units.Mass{0, -1, units.Mass(math.Inf(1)), units.Mass(math.NaN())} {
		_, err := ballast.AxleLoads{Front: 1000, Rear: 1000, Unladen: of}.SteeredShare(ballast.SteeredOfUnladen)
		fieldtest.Names(t, fmt.Sprint("a share of ", of), err, "loads")
	}
	for _, part := range []units.Mass{units.Mass(math.Inf(1)), units.Mass(math.NaN())} {
		_, err := ballast.AxleLoads{Front: part, Unladen: 1000}.SteeredShare(ballast.SteeredOfUnladen)
		fieldtest.Names(t, fmt.Sprint("a share of ", part), err, "loads")
	}
	if _, err := (ballast.AxleLoads{}).SteeredShare(ballast.SteeredOfLaden); err == nil {
		t.Error("a share of nothing must be an error")
	}
}

func randomTransport(r *rand.Rand) ballast.Transport {
	u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	return ballast.Transport{
		FrontLoad: units.Mass(u(300, 3000)), RearLoad: units.Mass(u(500, 5000)),
		Wheelbase: units.Length(u(1.5, 3)), Hitch: ballast.Hitch{X: units.Is(-units.Length(u(0.5, 1.3)))},
		Ahead:   ballast.Mounted{Mass: units.Mass(u(0, 1500)), Distance: units.Length(u(0.3, 2))},
		Behind:  ballast.Mounted{Mass: units.Mass(u(0, 3000)), Distance: units.Length(u(0.2, 2.5))},
		Steered: ballast.SteeredRule{Base: ballast.SteeredBase(r.IntN(3))},
	}
}

// TestTransportProperties: the axles carry all there is, moments about any
// line close, the minimum put on makes the rule hold exactly and a kilogram
// less breaks it, and scaling all masses scales all answers.
func TestTransportProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	some, none := 0, 0
	for range 2000 {
		tr := randomTransport(r)
		if tr.Steered.Base != ballast.SteeredUnknown {
			tr.Steered.Share = units.Fraction(0.1 + 0.3*r.Float64())
		}
		l, err := tr.Loads()
		if err != nil {
			t.Fatal(err)
		}
		total := float64(tr.FrontLoad + tr.RearLoad + tr.Ahead.Mass + tr.Behind.Mass)
		near(t, "sum", float64(l.Total()), total, 1e-9*total)
		// Moments about a line 3 m behind the rear axle.
		const o = 3
		b := float64(tr.Wheelbase)
		have := o*float64(l.Rear) + (o+b)*float64(l.Front)
		want := o*float64(tr.RearLoad) + (o+b)*float64(tr.FrontLoad) +
			(o+b+float64(tr.Ahead.Distance))*float64(tr.Ahead.Mass) +
			(o+float64(tr.Hitch.X.Value())-float64(tr.Behind.Distance))*float64(tr.Behind.Mass)
		near(t, "moment", have, want, 1e-9*want)

		front, err := tr.FrontBallast()
		if err != nil {
			t.Fatal(err)
		}
		s, err := front.Loads.SteeredShare(front.Base)
		if err != nil {
			t.Fatal(err)
		}
		if front.Need == ballast.NeedSome {
			some++
			near(t, "front share", float64(s), float64(front.Share), 1e-10)
			less := tr
			less.Ahead.Mass = front.Mass * 0.99
			l, _ := less.Loads()
			if s, _ := l.SteeredShare(front.Base); !(s < front.Share) {
				t.Errorf("1 %% less front ballast still keeps %v of %v", s, front.Base)
			}
		} else {
			none++
			if !(s >= front.Share-1e-12) || front.Mass != 0 {
				t.Errorf("none needed, but the share is %v", s)
			}
		}
		rear, err := tr.RearBallast()
		if err != nil {
			t.Fatal(err)
		}
		if share := float64(rear.Loads.Rear / rear.Loads.Unladen); rear.Need == ballast.NeedSome {
			near(t, "rear share", share, 0.45, 1e-10)
		} else if share < 0.45-1e-12 {
			t.Errorf("no rear ballast needed at a share of %v", share)
		}

		twice := tr
		twice.FrontLoad *= 2
		twice.RearLoad *= 2
		twice.Ahead.Mass *= 2
		twice.Behind.Mass *= 2
		again, err := twice.FrontBallast()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "twice the masses", float64(again.Mass), 2*float64(front.Mass), 1e-9*total)

		// A heavier implement behind never lessens the front ballast.
		heavier := tr
		heavier.Behind.Mass += 100
		more, err := heavier.FrontBallast()
		if err != nil {
			t.Fatal(err)
		}
		if more.Mass < front.Mass-1e-9 {
			t.Errorf("100 kg more behind lessens the front ballast from %v to %v", front.Mass, more.Mass)
		}
	}
	if some < 200 || none < 200 {
		t.Errorf("the machines are one-sided: %d need ballast, %d do not", some, none)
	}
}

// TestTransportCheck goes through every limit: each can be exceeded, none is
// checked without its rating.
func TestTransportCheck(t *testing.T) {
	tr := ballast.Transport{
		FrontLoad: 1000, RearLoad: 1600, Wheelbase: 2.1, Hitch: ballast.Hitch{X: units.Is[units.Length](-0.8)},
		Behind: ballast.Mounted{Mass: 500, Distance: 0.7},
	}
	got, err := tr.Check()
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range got.Limits {
		if want := c.Kind == ballast.LimitRearward || c.Kind == ballast.LimitTipping; (c.Status == stability.NotChecked) == want {
			t.Errorf("%v without any rating: %v", c.Kind, c.Status)
		}
	}
	if got.Unchecked != len(got.Limits)-2 || got.Status != stability.Within {
		t.Errorf("%d unchecked, %v", got.Unchecked, got.Status)
	}

	// Front 1000 - 500 x 1.5/2.1 = 642.86 kg, rear 2457.14 kg, by hand.
	near(t, "front", float64(got.Loads.Front), 642.857, 1e-3)
	near(t, "rear", float64(got.Loads.Rear), 2457.143, 1e-3)
	tr.Steered = ballast.SteeredRule{Base: ballast.SteeredOfLaden, Share: 0.25}                                                                 // 775 of 3100 kg
	tr.Front = ballast.Axle{Rating: units.Is[units.Mass](600), WheelRating: units.Is[units.Mass](310), Tire: ballast.TireRating{LoadIndex: 60}} // 2 x 250 kg
	tr.Rear = ballast.Axle{Rating: units.Is[units.Mass](2450), WheelRating: units.Is[units.Mass](1200)}                                         // wheels 2400 kg
	tr.Rear.Tire = ballast.TireRating{LoadIndex: 110, SpeedSymbol: liquid.SpeedA8}                                                              // 2 x 1060 kg
	tr.Front.Tire.SpeedSymbol = liquid.SpeedA8                                                                                                  // 40 km/h
	tr.GrossRating, tr.Hitch.Rating, tr.Speed = 3000, units.Is[units.Mass](400), 25*units.KilometerPerHour
	if got, err = tr.Check(); err != nil {
		t.Fatal(err)
	}
	allowed := map[ballast.LimitKind]float64{
		ballast.LimitSteered: 775, ballast.LimitFrontAxle: 600, ballast.LimitRearAxle: 2450, ballast.LimitFrontRim: 620, ballast.LimitRearRim: 2400,
		ballast.LimitFrontTire: 500, ballast.LimitRearTire: 2120, ballast.LimitGross: 3000,
		ballast.LimitHitch: 400 * 0.61 / 0.7,
	}
	for _, c := range got.Limits {
		want := stability.Exceeded
		if c.Kind == ballast.LimitRearward || c.Kind == ballast.LimitTipping {
			want = stability.Within
		} else {
			near(t, c.Kind.String(), float64(c.Allowed), allowed[c.Kind], 1e-9*allowed[c.Kind])
		}
		if c.Status != want {
			t.Errorf("%v: %v, want %v", c.Kind, c.Status, want)
		}
	}
	if got.Status != stability.Exceeded || got.Unchecked != 0 || got.Notes != ballast.NoteReachRatio {
		t.Errorf("%v, %d unchecked, notes %v", got.Status, got.Unchecked, got.Notes)
	}
	// At 50 km/h a tire of symbol A8 is not rated. At a speed that nobody gave
	// its load index is an upper bound: more exceeds it, less is not checked.
	for _, c := range []struct {
		kmh   units.Speed
		index liquid.LoadIndex
		want  ballast.Status
		note  ballast.Notes
	}{{0, tr.Front.Tire.LoadIndex, stability.Exceeded, ballast.NoteSpeedUnknown}, {0, 170, stability.AtMost, ballast.NoteSpeedUnknown}, {50, 170, stability.Exceeded, ballast.NoteOverSpeed}} {
		tr.Speed, tr.Front.Tire.LoadIndex = c.kmh*units.KilometerPerHour, c.index
		if got, err = tr.Check(); err != nil {
			t.Fatal(err)
		}
		if s := got.Of(ballast.LimitFrontTire).Status; s != c.want || got.Notes&(ballast.NoteOverSpeed|ballast.NoteSpeedUnknown) != c.note {
			t.Errorf("at %v m/s the tires are %v, notes %v", float64(tr.Speed), s, got.Notes)
		}
		if (c.want == stability.AtMost) != (got.Unchecked > 0) {
			t.Errorf("%v: %d unchecked", c.want, got.Unchecked)
		}
	}
	// A heavy implement lifts the front axle.
	tr.Behind.Mass = 2500
	if got, err = tr.Check(); err != nil {
		t.Fatal(err)
	}
	if s := got.Of(ballast.LimitRearward).Status; s != stability.Exceeded {
		t.Errorf("front axle load %v: %v", got.Loads.Front, s)
	}
}

// Ranges that the documentation states, at both ends, and what is needed for
// which answer.
func TestTransportRanges(t *testing.T) {
	tr := ballast.Transport{FrontLoad: 1000, RearLoad: 1600, Wheelbase: 2.1, Hitch: ballast.Hitch{X: units.Is[units.Length](-0.8)}, Ahead: ballast.Mounted{300, 1}, Behind: ballast.Mounted{500, 0.7}}
	fieldtest.Ends(t, "ahead.distance", tr, func(t *ballast.Transport, v float64) { t.Ahead.Distance = units.Length(v) }, 0.001, 10)
	fieldtest.Ends(t, "behind.distance", tr, func(t *ballast.Transport, v float64) { t.Behind.Distance = units.Length(v) }, 0.001, 10)
	w := ballast.Counterweight{FrontLoad: 1500, RearLoad: 1600, Wheelbase: 2.1, Payload: 600, Ahead: 1.5, Behind: 1}
	fieldtest.Ends(t, "ahead", w, func(w *ballast.Counterweight, v float64) { w.Ahead = units.Length(v) }, 0.001, 20)
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
	// Ballast ahead needs no hitch while nothing hangs behind, and the reverse.
	bare := ballast.Transport{FrontLoad: 400, RearLoad: 1600, Wheelbase: 2, Ahead: ballast.Mounted{Distance: 1}}
	got, err := bare.FrontBallast()
	// The front axle has just its fifth, and nothing to spare.
	if err != nil || got.Need != ballast.NeedNone || got.Spare != 0 {
		t.Errorf("nothing behind: %+v, %v", got, err)
	}
	_, err = bare.RearBallast()
	fieldtest.Names(t, "no place behind", err, "behind.distance")
	fieldtest.Names(t, "no hitch", err, "hitch.x")
	bare = ballast.Transport{FrontLoad: 1600, RearLoad: 800, Wheelbase: 2, Hitch: ballast.Hitch{X: units.Is[units.Length](-0.6)}, Behind: ballast.Mounted{Distance: 0.4}}
	// 45 % of 2400 kg less 800 kg, by the lever (2 + 1)/2: 186.67 kg.
	if got, err = bare.RearBallast(); err != nil {
		t.Fatal(err)
	}
	near(t, "nothing ahead", float64(got.Mass), 280/1.5, 1e-9)
	_, err = bare.FrontBallast()
	fieldtest.Names(t, "no place ahead", err, "ahead.distance")
	bare.Behind = ballast.Mounted{Mass: 300}
	bare.Ahead.Distance = 1
	_, err = bare.FrontBallast()
	fieldtest.Names(t, "an implement nowhere", err, "behind.distance")
	bare.Ahead.Mass, bare.Ahead.Distance = 300, 0
	_, err = bare.RearBallast()
	fieldtest.Names(t, "a weight nowhere", err, "ahead.distance")
	// What is not a choice says which are.
	if _, err := (ballast.AxleLoads{1, 2, 3}).SteeredShare(ballast.SteeredUnknown); err == nil || !strings.Contains(err.Error(), "must be one of "+ballast.SteeredOfUnladen.String()+", "+ballast.SteeredOfLaden.String()) {
		t.Errorf("no base: %v", err)
	}
}

// A distance without a mass has a note, at either end; a mass has none.
func TestNothingMounted(t *testing.T) {
	for _, c := range []struct {
		ahead, behind ballast.Mounted
		want          bool
	}{
		{ballast.Mounted{}, ballast.Mounted{}, false}, {ballast.Mounted{300, 1}, ballast.Mounted{500, 0.7}, false},
		{ballast.Mounted{0, 1}, ballast.Mounted{500, 0.7}, true}, {ballast.Mounted{300, 1}, ballast.Mounted{0, 0.7}, true},
	} {
		got, err := ballast.Transport{FrontLoad: 1000, RearLoad: 1600, Wheelbase: 2.1, Hitch: ballast.Hitch{X: units.Is[units.Length](-0.8)}, Ahead: c.ahead, Behind: c.behind}.Check()
		if err != nil || got.Notes.Has(ballast.NoteNothingMounted) != c.want {
			t.Errorf("%+v ahead, %+v behind: %v, %v", c.ahead, c.behind, got.Notes, err)
		}
	}
}

// TestTransportOfMachine builds the transport from a machine record.
func TestTransportOfMachine(t *testing.T) {
	m := ballast.Machine{
		FrontLoad: units.Is[units.Mass](1000), RearLoad: units.Is[units.Mass](1600), MassIncludes: ballast.MassFueled, LoaderIncluded: ballast.WithoutLoader,
		Undercarriage: stability.PivotingFront, Wheelbase: units.Is[units.Length](2.1), RearTrack: units.Is[units.Length](1.4), Operator: ballast.OperatorAsStated, Fuel: ballast.Fuel{State: ballast.FuelAsStated},
		Hitch: ballast.Hitch{X: units.Is[units.Length](-0.8), Rating: units.Is[units.Mass](1200)},
	}
	tr, err := m.Transport()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "front", float64(tr.FrontLoad), 1000, 1e-9)
	near(t, "rear", float64(tr.RearLoad), 1600, 1e-9)
	if tr.Hitch != m.Hitch || tr.Wheelbase != 2.1 {
		t.Errorf("%+v", tr)
	}
	if _, err := (ballast.Machine{}).Transport(); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("an empty machine: %v", err)
	}
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
	if _, _, err := (ballast.Hitch{}).LiftAt(0.61); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("no rating: %v", err)
	}
}

// counterweight is checks.csv S15, and the closure of its formula over
// random tractors: the share is of the TOTAL mass.
func counterweight(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "S15")
	w := ballast.Counterweight{
		RearLoad: units.Mass(number(t, in, "G")), FrontLoad: units.Mass(number(t, in, "G1")),
		Payload: units.Mass(number(t, in, "N")), Ahead: units.Length(number(t, in, "b")),
		Behind: units.Length(number(t, in, "l1")), Wheelbase: units.Length(number(t, in, "l2")),
	}
	got, err := w.Minimum()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "S15 weight", float64(got.Mass), number(t, want, "M_kg"), 0.01)
	near(t, "S15 rear axle", float64(got.Loads.Rear), number(t, want, "rear_kg"), 0.01)

	r := rand.New(rand.NewPCG(6, 2))
	for range 1000 {
		u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		w := ballast.Counterweight{
			FrontLoad: units.Mass(u(400, 3000)), RearLoad: units.Mass(u(400, 4000)), Wheelbase: units.Length(u(1.4, 3)),
			Payload: units.Mass(u(0, 2000)), Ahead: units.Length(u(0.3, 2.5)), Behind: units.Length(u(0.3, 2)),
			Share: units.Fraction(u(0.1, 0.4)),
		}
		got, err := w.Minimum()
		if err != nil {
			t.Fatal(err)
		}
		rear, err := got.Loads.RearShareOfTotal()
		if err != nil {
			t.Fatal(err)
		}
		near(t, "share", float64(rear), float64(got.RearShare), 1e-12)
		if got.Need == ballast.NeedSome {
			near(t, "share of total", float64(rear), float64(w.Share), 1e-10)
		} else if rear < w.Share-1e-12 || got.Mass != 0 {
			t.Errorf("no weight needed at a share of %v under %v", rear, w.Share)
		}
		total := float64(w.FrontLoad + w.RearLoad + w.Payload + got.Mass)
		near(t, "sum", float64(got.Loads.Total()), total, 1e-9*total)
		// Moments about the front axle.
		l2 := float64(w.Wheelbase)
		near(t, "moment", float64(got.Loads.Rear)*l2,
			float64(w.RearLoad)*l2+float64(got.Mass)*(l2+float64(w.Behind))-float64(w.Payload)*float64(w.Ahead), 1e-6)
	}
}

// TestTransportErrors wants all bad fields at once, by path.
func TestTransportErrors(t *testing.T) {
	bad := ballast.Transport{
		FrontLoad: units.Mass(math.NaN()), Wheelbase: 72, Ahead: ballast.Mounted{Mass: 100},
		Behind: ballast.Mounted{Mass: -1, Distance: units.Length(math.Inf(1))}, Front: ballast.Axle{Rating: units.Is[units.Mass](-5)},
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
		"counterweight": ballast.Counterweight{}.Validate(), "inflation": ballast.Inflation{}.Validate(), "transport": ballast.Transport{}.Validate(),
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
		roundTrip(t, ballast.Counterweight{FrontLoad: tr.FrontLoad, RearLoad: tr.RearLoad, Wheelbase: tr.Wheelbase, Behind: 1})
		roundTrip(t, ballast.Inflation{AxleLoad: tr.RearLoad, Axle: ballast.Axle{Tire: ballast.TireRating{Table: demoTable()}}})
		if tr.Steered.Base != ballast.SteeredUnknown {
			tr.Steered.Share = 0.2
		}
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

// FuzzTransport throws any numbers at the transport and the counterweight: an
// error, or finite answers whose loads add up.
func FuzzTransport(f *testing.F) {
	f.Add(2000.0, 3000.0, 2.5, -0.9, 0.0, 1.4, 2200.0, 0.6, uint8(1), 0.2, 1000.0, 8.0)
	f.Add(math.NaN(), math.Inf(1), 1e308, -1e308, 5e-324, 0.0, math.Copysign(0, -1), -1.0, uint8(9), 1e308, 0.0, 0.0)
	f.Fuzz(func(t *testing.T, front, rear, base, hitch, ahead, a, behind, d float64, rule uint8, share, rating, speed float64) {
		tr := ballast.Transport{
			FrontLoad: units.Mass(front), RearLoad: units.Mass(rear), Wheelbase: units.Length(base),
			Hitch: ballast.Hitch{X: units.Is(units.Length(hitch)), Rating: units.Is(units.Mass(rating))},
			Ahead: ballast.Mounted{units.Mass(ahead), units.Length(a)}, Behind: ballast.Mounted{units.Mass(behind), units.Length(d)},
			Steered: ballast.SteeredRule{Base: ballast.SteeredBase(rule), Share: units.Fraction(share)}, Speed: units.Speed(speed),
			Rear: ballast.Axle{Tire: ballast.TireRating{LoadIndex: 100, SpeedSymbol: liquid.SpeedA8}},
		}
		if got, err := tr.Check(); err == nil {
			for _, c := range got.Limits {
				finiteAnswer(t, tr, float64(c.Have), float64(c.Allowed))
			}
			near(t, "sum", float64(got.Loads.Total()), front+rear+ahead+behind, 1e-6)
		}
		for _, solve := range []func() (ballast.MinimumBallast, error){tr.FrontBallast, tr.RearBallast} {
			if got, err := solve(); err == nil {
				finiteAnswer(t, tr, float64(got.Mass), float64(got.Spare), float64(got.Loads.Front), float64(got.Loads.Rear))
				if got.Mass < 0 || got.Spare < 0 || got.Need == ballast.BallastNeedUnknown {
					t.Errorf("%+v: %+v", tr, got)
				}
			}
		}
		if m, _, err := tr.Hitch.LiftAt(units.Length(d)); err == nil {
			finiteAnswer(t, tr, float64(m))
			if m > tr.Hitch.Rating.Value() {
				t.Errorf("lift %v above the rating %v", m, tr.Hitch.Rating.Value())
			}
		}
		w := ballast.Counterweight{units.Mass(front), units.Mass(rear), units.Length(base), units.Mass(ahead), units.Length(a), units.Length(d), units.Fraction(share)}
		if got, err := w.Minimum(); err == nil {
			finiteAnswer(t, w, float64(got.Mass), float64(got.RearShare), float64(got.Loads.Front), float64(got.Loads.Rear))
		}
	})
}

// A base so small that the share is beyond every number is no base.
func TestShareOfNothing(t *testing.T) {
	for _, l := range []ballast.AxleLoads{{Front: 500, Rear: 800, Unladen: 5e-324}, {Front: 500, Rear: 800}, {Front: units.Mass(math.NaN()), Unladen: 1}} {
		if s, err := l.SteeredShare(ballast.SteeredOfUnladen); err == nil {
			t.Errorf("%+v: %v", l, s)
		}
	}
}

// Each rating of an axle is a limit of its own: leaving one out never makes a
// limit that another one breaks "within".
func TestTransportLimitsStandAlone(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 5))
	kPa := units.GaugeKilopascal
	vary := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	hidden := 0
	for range 2000 {
		tr := ballast.Transport{FrontLoad: units.Mass(vary(500, 1500)), RearLoad: units.Mass(vary(600, 2000)), Wheelbase: 2.1, Hitch: ballast.Hitch{X: units.Is[units.Length](-0.6), Rating: units.Is(units.Mass(vary(500, 1500)))},
			Behind: ballast.Mounted{Mass: units.Mass(vary(100, 900)), Distance: 0.8}, Speed: 7, GrossRating: units.Mass(vary(2000, 4000)),
			Steered: ballast.SteeredRule{Base: ballast.SteeredOfUnladen, Share: 0.2}}
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
			"speed":                    func(t *ballast.Transport) { t.Speed = 0 }, "grossRating": func(t *ballast.Transport) { t.GrossRating = 0 }, "steered": func(t *ballast.Transport) { t.Steered = ballast.SteeredRule{} },
		} {
			less := tr
			left(&less)
			got, err := less.Check()
			if err != nil {
				t.Fatal(err)
			}
			if strings.Contains(name, "pressure") && got.Status == stability.Within {
				t.Fatalf("without %s: %v", name, got.Status)
			}
			for i, was := range full.Limits {
				is := got.Limits[i]
				if was.Status == stability.Exceeded && is.Status == stability.Within {
					t.Fatalf("without %s: %v is %v, was %v", name, was.Kind, is, was)
				}
				if was.Status == stability.Exceeded && is.Status != stability.Exceeded {
					hidden++
					if got.Unchecked <= full.Unchecked {
						t.Fatalf("without %s: %d unchecked", name, got.Unchecked)
					}
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
// answer, better than it was, and never leaves it within without a word.
func TestTransportTiresWalk(t *testing.T) {
	r := rand.New(rand.NewPCG(91, 4))
	check := func(tr ballast.Transport) (ballast.TransportCheck, ballast.TransportAnswer) {
		t.Helper()
		a, err := tr.Check()
		if err != nil {
			t.Fatal(err)
		}
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
		seen[fmt.Sprint(what, was.Status)]++
		worse := func(change string, now ballast.TransportCheck, a ballast.TransportAnswer, note ballast.Notes) {
			t.Helper()
			if now.Status == stability.Within || a.Notes&note == 0 || a.Unchecked == 0 && now.Status != stability.Exceeded {
				t.Errorf("transport %d, %s, %s: %+v of %+v, %v", i, what, change, now, was, a.Notes)
			}
		}
		n := tr
		n.Speed = 0
		now, a := check(n)
		if f.LoadIndex != 0 {
			worse("speed left out", now, a, ballast.NoteSpeedUnknown)
		}
		if was.Status == stability.Exceeded && now.Status != stability.Exceeded && whole.Notes&ballast.NoteOverSpeed == 0 {
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
				if now.Status != stability.Exceeded {
					t.Errorf("transport %d, %s: %+v beyond the speed of its symbol", i, change, now)
				}
				continue
			}
			worse(change, now, a, ballast.NotePressureUnknown|ballast.NoteBelowLowestPressure)
			if a.Status == stability.Within {
				t.Errorf("transport %d, %s: the answer is within", i, change)
			}
			if p != 0 && was.Status == stability.Exceeded && now.Status != stability.Exceeded {
				t.Errorf("transport %d, %s: %+v of %+v", i, change, now, was)
			}
		}
	}
	for _, k := range []string{"indexwithin", "indexexceeded", "tablewithin", "tableexceeded", "indextablewithin", "indextableexceeded"} {
		if seen[k] < 50 {
			t.Errorf("%s: %d", k, seen[k])
		}
	}
}
