package standards_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/steelyard/ballast/standards"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/validation"
	"example.com/steelyard/units"
)

// How a test reads a row of a shared table of reference values.
var (
	publishedRow = validation.Published
	number       = validation.Number
)

// annex builds a transport from a row in the letters of ISO 4254-10, Annex B
// (TF, TR, IF, IR) or those of operator's manuals (T_V, T_H, G_V, G_H).
func annex(t *testing.T, in map[string]any) standards.MountedImplements {
	t.Helper()
	get := func(keys ...string) float64 {
		for _, k := range keys {
			if v, ok := in[k].(float64); ok {
				return v
			}
		}
		return 0
	}
	return standards.MountedImplements{
		FrontLoad: units.Mass(get("TF_kg", "T_V")), RearLoad: units.Mass(get("TR_kg", "T_H")),
		Wheelbase: units.Length(get("b_m", "b")), Hitch: units.Length(get("c_m", "c")),
		Ahead:  standards.Implement{Mass: units.Mass(get("IF_kg", "G_V", "G_V_used")), Distance: units.Length(get("a_m", "a"))},
		Behind: standards.Implement{Mass: units.Mass(get("IR_kg", "G_H")), Distance: units.Length(get("d_m", "d"))},
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
		if got.Mass <= 0 || got.OfLaden || got.Share != 0.2 {
			t.Errorf("%s: %+v", c.id, got)
		}
		// Closure: with the minimum put on, the share is the rule's.
		s := got.Loads.FrontOfUnladen()
		near(t, c.id+" share", float64(s), 0.2, 1e-12)
		if !got.Cautions.Has(standards.CautionManual | standards.CautionEmptyAgain) {
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
	if got.Mass <= 0 || got.Share != units.Fraction(number(t, in, "x")) {
		t.Errorf("S14: %+v", got)
	}

	in, want = publishedRow(t, "stability_cases.csv", "N-rear1")
	tr := annex(t, in)
	got, err = tr.RearBallast()
	if err != nil {
		t.Fatal(err)
	}
	if got.Mass != 0 || !(got.Spare > 0) {
		t.Errorf("N-rear1: a negative minimum means that none is needed: %+v", got)
	}
	// The row gives the negative mass; the axle's surplus is that mass times
	// the lever (b + c + d)/b.
	lever := float64(tr.Wheelbase+tr.Behind.Distance+tr.Hitch) / float64(tr.Wheelbase)
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
	s := got.FrontOfUnladen()
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
	l := standards.AxleLoads{Front: 1000, Rear: 4000, Unladen: 4000}
	if a, b, c := l.FrontOfUnladen(), l.FrontOfLaden(), l.RearOfLaden(); a != 0.25 || b != 0.2 || c != 0.8 {
		t.Errorf("shares %v %v %v", a, b, c)
	}
	inf, nan := units.Mass(math.Inf(1)), units.Mass(math.NaN())
	for _, l := range []standards.AxleLoads{{}, {Front: 1000, Rear: -1000, Unladen: -1}, {Front: inf, Unladen: 1000}, {Front: nan, Unladen: nan}, {Front: 500, Rear: 800, Unladen: 5e-324}} {
		if s := l.FrontOfUnladen(); s != 0 {
			t.Errorf("%+v: a share of %v", l, s)
		}
	}
}

func randomMounted(r *rand.Rand) standards.MountedImplements {
	u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
	return standards.MountedImplements{
		FrontLoad: units.Mass(u(300, 3000)), RearLoad: units.Mass(u(500, 5000)),
		Wheelbase: units.Length(u(1.5, 3)), Hitch: units.Length(u(0.5, 1.3)),
		Ahead:   standards.Implement{Mass: units.Mass(u(0, 1500)), Distance: units.Length(u(0.3, 2))},
		Behind:  standards.Implement{Mass: units.Mass(u(0, 3000)), Distance: units.Length(u(0.2, 2.5))},
		OfLaden: r.IntN(2) == 0,
	}
}

// TestMountedProperties: the axles carry all there is, moments about any
// line close, the minimum put on makes the rule hold exactly and a kilogram
// less breaks it, and scaling all masses scales all answers.
func TestMountedProperties(t *testing.T) {
	r := rand.New(rand.NewPCG(6, 1))
	some, none := 0, 0
	for range 2000 {
		tr := randomMounted(r)
		if r.IntN(3) > 0 {
			tr.Share = units.Fraction(0.1 + 0.3*r.Float64())
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
			(o-float64(tr.Hitch)-float64(tr.Behind.Distance))*float64(tr.Behind.Mass)
		near(t, "moment", have, want, 1e-9*want)

		front, err := tr.FrontBallast()
		if err != nil {
			t.Fatal(err)
		}
		of := standards.AxleLoads.FrontOfUnladen
		if tr.OfLaden {
			of = standards.AxleLoads.FrontOfLaden
		}
		s := of(front.Loads)
		if front.Mass > 0 {
			some++
			near(t, "front share", float64(s), float64(front.Share), 1e-10)
			less := tr
			less.Ahead.Mass = front.Mass * 0.99
			l, _ := less.Loads()
			if s := of(l); !(s < front.Share) {
				t.Errorf("1 %% less front ballast still keeps %v", s)
			}
		} else {
			none++
			if !(s >= front.Share-1e-12) {
				t.Errorf("none needed, but the share is %v", s)
			}
		}
		rear, err := tr.RearBallast()
		if err != nil {
			t.Fatal(err)
		}
		if share := float64(rear.Loads.Rear / rear.Loads.Unladen); rear.Mass > 0 {
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

		// A heavier implement behind never lessens the front standards.
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

// counterweight is checks.csv S15, and the closure of its formula over
// random tractors: the share is of the TOTAL mass.
func counterweight(t *testing.T) {
	in, want := publishedRow(t, "checks.csv", "S15")
	w := standards.Counterweight{
		RearLoad: units.Mass(number(t, in, "G")), FrontLoad: units.Mass(number(t, in, "G1")),
		Payload: units.Mass(number(t, in, "N")), Ahead: units.Length(number(t, in, "b")),
		Behind: units.Length(number(t, in, "l1")), Wheelbase: units.Length(number(t, in, "l2")),
	}
	got, err := w.Solve()
	if err != nil {
		t.Fatal(err)
	}
	near(t, "S15 weight", float64(got.Mass), number(t, want, "M_kg"), 0.01)
	near(t, "S15 rear axle", float64(got.Loads.Rear), number(t, want, "rear_kg"), 0.01)

	r := rand.New(rand.NewPCG(6, 2))
	for range 1000 {
		u := func(low, high float64) float64 { return low + (high-low)*r.Float64() }
		w := standards.Counterweight{
			FrontLoad: units.Mass(u(400, 3000)), RearLoad: units.Mass(u(400, 4000)), Wheelbase: units.Length(u(1.4, 3)),
			Payload: units.Mass(u(0, 2000)), Ahead: units.Length(u(0.3, 2.5)), Behind: units.Length(u(0.3, 2)),
			Share: units.Fraction(u(0.1, 0.4)),
		}
		got, err := w.Solve()
		if err != nil {
			t.Fatal(err)
		}
		rear := got.Loads.RearOfLaden()
		if got.Mass > 0 {
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

// Ranges that the documentation states, at both ends, and what is needed for
// which answer.
func TestMountedRanges(t *testing.T) {
	tr := standards.MountedImplements{FrontLoad: 1000, RearLoad: 1600, Wheelbase: 2.1, Hitch: 0.8, Ahead: standards.Implement{300, 1}, Behind: standards.Implement{500, 0.7}}
	fieldtest.Ends(t, "ahead.distance", tr, func(t *standards.MountedImplements, v float64) { t.Ahead.Distance = units.Length(v) }, 0.001, 10)
	fieldtest.Ends(t, "behind.distance", tr, func(t *standards.MountedImplements, v float64) { t.Behind.Distance = units.Length(v) }, 0.001, 10)
	fieldtest.Ends(t, "hitch", tr, func(t *standards.MountedImplements, v float64) { t.Hitch = units.Length(v) }, 0.01, 5)
	w := standards.Counterweight{FrontLoad: 1500, RearLoad: 1600, Wheelbase: 2.1, Payload: 600, Ahead: 1.5, Behind: 1}
	fieldtest.Ends(t, "ahead", w, func(w *standards.Counterweight, v float64) { w.Ahead = units.Length(v) }, 0.001, 20)
	// Ballast ahead needs no hitch while nothing hangs behind, and the reverse.
	bare := standards.MountedImplements{FrontLoad: 400, RearLoad: 1600, Wheelbase: 2, Ahead: standards.Implement{Distance: 1}}
	got, err := bare.FrontBallast()
	// The front axle has just its fifth, and nothing to spare.
	if err != nil || got.Mass != 0 || got.Spare != 0 {
		t.Errorf("nothing behind: %+v, %v", got, err)
	}
	_, err = bare.RearBallast()
	fieldtest.Names(t, "no place behind", err, "behind.distance")
	fieldtest.Names(t, "no hitch", err, "hitch")
	bare = standards.MountedImplements{FrontLoad: 1600, RearLoad: 800, Wheelbase: 2, Hitch: 0.6, Behind: standards.Implement{Distance: 0.4}}
	// 45 % of 2400 kg less 800 kg, by the lever (2 + 1)/2: 186.67 kg.
	if got, err = bare.RearBallast(); err != nil {
		t.Fatal(err)
	}
	near(t, "nothing ahead", float64(got.Mass), 280/1.5, 1e-9)
	_, err = bare.FrontBallast()
	fieldtest.Names(t, "no place ahead", err, "ahead.distance")
	bare.Behind = standards.Implement{Mass: 300}
	bare.Ahead.Distance = 1
	_, err = bare.FrontBallast()
	fieldtest.Names(t, "an implement nowhere", err, "behind.distance")
	bare.Ahead.Mass, bare.Ahead.Distance = 300, 0
	_, err = bare.RearBallast()
	fieldtest.Names(t, "a weight nowhere", err, "ahead.distance")
	bad := standards.MountedImplements{FrontLoad: units.Mass(math.NaN()), Wheelbase: 72, Ahead: standards.Implement{Mass: 100},
		Behind: standards.Implement{Mass: -1, Distance: units.Length(math.Inf(1))}, Share: 2}
	for _, path := range []string{"frontLoad", "rearLoad", "wheelbase", "ahead.distance", "behind.mass", "behind.distance", "hitch", "share"} {
		fieldtest.Names(t, fmt.Sprintf("a bad %s", path), bad.Validate(), path)
	}
	// The unladen mass under a counterweight is tractor and empty loader.
	if is, err := w.Solve(); err != nil || is.Loads.Unladen != 2600+500 {
		t.Errorf("%+v, %v", is.Loads, err)
	}
}

// FuzzMounted throws any numbers at mounted implements and the counterweight: an
// error, or finite answers whose loads add up.
func FuzzMounted(f *testing.F) {
	f.Add(2000.0, 3000.0, 2.5, 0.9, 0.0, 1.4, 2200.0, 0.6, true, 0.2)
	f.Add(math.NaN(), math.Inf(1), 1e308, -1e308, 5e-324, 0.0, math.Copysign(0, -1), -1.0, false, 1e308)
	f.Fuzz(func(t *testing.T, front, rear, base, hitch, ahead, a, behind, d float64, laden bool, share float64) {
		tr := standards.MountedImplements{units.Mass(front), units.Mass(rear), units.Length(base), units.Length(hitch),
			standards.Implement{units.Mass(ahead), units.Length(a)}, standards.Implement{units.Mass(behind), units.Length(d)}, units.Fraction(share), laden}
		if got, err := tr.Loads(); err == nil {
			finiteAnswer(t, tr, float64(got.Front), float64(got.Rear), float64(got.FrontOfUnladen()), float64(got.FrontOfLaden()), float64(got.RearOfLaden()))
			near(t, "sum", float64(got.Total()), front+rear+ahead+behind, 1e-6)
		}
		w := standards.Counterweight{units.Mass(front), units.Mass(rear), units.Length(base), units.Mass(ahead), units.Length(a), units.Length(d), units.Fraction(share)}
		for _, solve := range []func() (standards.MinimumBallast, error){tr.FrontBallast, tr.RearBallast, w.Solve} {
			if got, err := solve(); err == nil {
				finiteAnswer(t, tr, float64(got.Mass), float64(got.Spare), float64(got.Loads.Front), float64(got.Loads.Rear))
				if got.Mass < 0 || got.Spare < 0 || got.Mass > 0 && got.Spare > 0 {
					t.Errorf("%+v: %+v", tr, got)
				}
			}
		}
	})
}
