package weigh_test

import (
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/steelyard/ballast"
	"example.com/steelyard/ballast/weigh"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/liquid"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// testdata/weigh_reconcile.json: SciPy's least_squares on the raw moments.
func reconcileAgainstReference(t *testing.T) {
	var rows []struct {
		Wheelbase, LoadX           [2]float64
		Mass, MassSD, X, XSD, Load []float64
		Front, Rear                []float64
		On                         [][]bool
		SD, LoadSD, Chi2           float64
		Fitted, FittedSD           []float64
	}
	readWeigh(t, "weigh_reconcile.json", &rows)
	names := []string{"a", "b", "c", "d"}
	for _, w := range rows {
		r := weigh.Reconciliation{Scale: weigh.Scale{SD: units.Mass(w.SD)}, LoadSD: units.Mass(w.LoadSD)}
		r.Sheet.Wheelbase = weigh.Measured[units.Length]{units.Length(w.Wheelbase[0]), units.Length(w.Wheelbase[1])}
		r.Sheet.LoadX = weigh.Measured[units.Length]{units.Length(w.LoadX[0]), units.Length(w.LoadX[1])}
		k := len(w.Mass)
		for i := range w.Mass {
			r.Sheet.Parts = append(r.Sheet.Parts, weigh.SpecPart{Name: names[i],
				Mass: weigh.Measured[units.Mass]{units.Mass(w.Mass[i]), units.Mass(w.MassSD[i])},
				X:    weigh.Measured[units.Length]{units.Length(w.X[i]), units.Length(w.XSD[i])}})
		}
		for i := range w.Front {
			x := weigh.SpecReading{Load: units.Mass(w.Load[i]), Front: units.Mass(w.Front[i]), Rear: units.Mass(w.Rear[i])}
			for j := range k {
				if !w.On[i][j] {
					x.Without = append(x.Without, names[j])
				}
			}
			r.Readings = append(r.Readings, x)
		}
		got, err := r.Solve()
		if err != nil {
			t.Fatal(err)
		}
		// The engine's own minimum is good to some 1e-6 of a standard
		// deviation; its errors come from a numerical Jacobian.
		check := func(what string, value, sd float64, i int) {
			weighNear(t, what, value, w.Fitted[i], 1e-4*w.FittedSD[i])
			weighNear(t, what+" error", sd, w.FittedSD[i], 1e-3*w.FittedSD[i])
		}
		check("wheelbase", float64(got.Places[0].Fitted.Value), float64(got.Places[0].Fitted.SD), 0)
		for j := range k {
			check("mass", float64(got.Masses[j].Fitted.Value), float64(got.Masses[j].Fitted.SD), 1+j)
			check("place", float64(got.Places[1+j].Fitted.Value), float64(got.Places[1+j].Fitted.SD), 1+k+j)
		}
		check("load", float64(got.Places[1+k].Fitted.Value), float64(got.Places[1+k].Fitted.SD), 1+2*k)
		if !got.Agrees {
			t.Errorf("sheet and readings made to agree do not: %v", got.Suspects())
		}
	}
}

// orchard is an invented machine of the co-operative: its papers.
func orchardSheet() weigh.SpecSheet {
	m := func(v, sd float64) weigh.Measured[units.Mass] {
		return weigh.Measured[units.Mass]{units.Mass(v), units.Mass(sd)}
	}
	x := func(v, sd float64) weigh.Measured[units.Length] {
		return weigh.Measured[units.Length]{units.Length(v), units.Length(sd)}
	}
	return weigh.SpecSheet{
		Wheelbase: x(2.1, 0.005), LoadX: x(3.85, 0.01),
		Parts: []weigh.SpecPart{
			{"machine", m(2600, 40), x(0.9, 0.03)},
			{"forks", m(180, 5), x(3.2, 0.02)},
			{"box", m(300, 10), x(-1.2, 0.02)},
		},
	}
}

// readingsOf returns exact readings of a sheet in a few states.
func readingsOf(s weigh.SpecSheet) []weigh.SpecReading {
	states := []weigh.SpecReading{{}, {Without: []string{"box"}}, {Without: []string{"forks", "box"}}, {Load: 150}, {Load: 300}, {Load: 450}}
	for i := range states {
		r := &states[i]
		mass, moment := float64(r.Load), float64(r.Load)*float64(s.LoadX.Value)
		for _, p := range s.Parts {
			if !slices.Contains(r.Without, p.Name) {
				mass += float64(p.Mass.Value)
				moment += float64(p.Mass.Value) * float64(p.X.Value)
			}
		}
		r.Front = units.Mass(moment / float64(s.Wheelbase.Value))
		r.Rear = units.Mass(mass) - r.Front
	}
	return states
}

// One number of the papers is wrong: it is found, or it is among those that
// cannot be told from it, and its own correction is right to a few standard
// errors of a 5 kg scale.
func TestReconcileFindsTheWrongNumber(t *testing.T) {
	for _, c := range []struct {
		path   string
		wrong  func(*weigh.SpecSheet)
		by     float64 // truth less paper
		tol    float64
		unique bool
	}{
		{"parts[0].mass", func(s *weigh.SpecSheet) { s.Parts[0].Mass.Value -= 300 }, 300, 30, true},
		{"parts[0].x", func(s *weigh.SpecSheet) { s.Parts[0].X.Value -= 0.2 }, 0.2, 0.02, true},
		{"parts[1].mass", func(s *weigh.SpecSheet) { s.Parts[1].Mass.Value -= 60 }, 60, 12, true},
		{"parts[2].mass", func(s *weigh.SpecSheet) { s.Parts[2].Mass.Value += 90 }, -90, 12, true},
		{"parts[2].x", func(s *weigh.SpecSheet) { s.Parts[2].X.Value += 0.3 }, -0.3, 0.06, true},
		{"loadX", func(s *weigh.SpecSheet) { s.LoadX.Value -= 0.15 }, 0.15, 0.04, true},
	} {
		truth := orchardSheet()
		r := weigh.Reconciliation{Sheet: orchardSheet(), Scale: weigh.Scale{SD: 5}, LoadSD: 2, Readings: readingsOf(truth)}
		c.wrong(&r.Sheet)
		got, err := r.Solve()
		if err != nil {
			t.Fatal(err)
		}
		s := got.Suspects()
		if got.Agrees || !got.Explained || len(s) == 0 || s[0] != c.path || c.unique && len(s) > 1 {
			t.Errorf("%s: agrees %v, explained %v, suspects %v", c.path, got.Agrees, got.Explained, s)
		}
		for _, a := range got.Masses {
			if a.Path == c.path {
				weighNear(t, c.path, float64(a.Alone), c.by, c.tol)
			}
		}
		for _, a := range got.Places {
			if a.Path == c.path {
				weighNear(t, c.path, float64(a.Alone), c.by, c.tol)
			}
		}
	}
	// Readings that match the papers leave them alone.
	r := weigh.Reconciliation{Sheet: orchardSheet(), Scale: weigh.Scale{SD: 5}, LoadSD: 2, Readings: readingsOf(orchardSheet())}
	got, err := r.Solve()
	if err != nil || !got.Agrees || len(got.Suspects()) > 0 {
		t.Errorf("clean: %v %v %v", got.Agrees, got.Suspects(), err)
	}
	for _, a := range got.Masses {
		weighNear(t, a.Path, float64(a.Fitted.Value), float64(a.Stated.Value), 1e-6)
	}
}

// 2000 seeded sheets whose errors are as stated: the intervals hold the truth
// at their rate (standard error 0.5 %), and hardly any sheet is accused.
func TestReconcileCoverage(t *testing.T) {
	rng := newWeighRand(6)
	var n, held, accused int
	for range 2000 {
		truth := orchardSheet()
		paper := orchardSheet()
		for j := range truth.Parts {
			paper.Parts[j].Mass.Value += paper.Parts[j].Mass.SD * units.Mass(rng.NormFloat64())
			paper.Parts[j].X.Value += paper.Parts[j].X.SD * units.Length(rng.NormFloat64())
		}
		paper.Wheelbase.Value += paper.Wheelbase.SD * units.Length(rng.NormFloat64())
		paper.LoadX.Value += paper.LoadX.SD * units.Length(rng.NormFloat64())
		readings := readingsOf(truth)
		for i := range readings {
			readings[i].Front += units.Mass(5 * rng.NormFloat64())
			readings[i].Rear += units.Mass(5 * rng.NormFloat64())
		}
		got, err := weigh.Reconciliation{Sheet: paper, Scale: weigh.Scale{SD: 5}, LoadSD: 0.01, Readings: readings}.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if !got.Agrees {
			accused++
		}
		for j, a := range got.Masses {
			n++
			if a.Fitted.Interval.Contains(truth.Parts[j].Mass.Value) {
				held++
			}
		}
		for j := range truth.Parts {
			n++
			if got.Places[1+j].Fitted.Interval.Contains(truth.Parts[j].X.Value) {
				held++
			}
		}
	}
	cover := float64(held) / float64(n)
	t.Logf("covered %.2f %%; %d of 2000 good sheets accused", 100*cover, accused)
	if cover < 0.94 || cover > 0.96 {
		t.Errorf("coverage %v, want 0.95", cover)
	}
	if accused > 20 {
		t.Errorf("%d of 2000 good sheets accused, want at most 1 %%", accused)
	}
}

// Check K1 of the reference values (testdata/checks.csv): level tipping load
// of the machine of row L-150 by where 300 kg of ballast sits, to 0.1 kg. One
// session without ballast predicts all of them.
func transferK1(t *testing.T) {
	s, rear, tip := l150(t)
	s.Wheelbase.SD, s.Ahead.SD, s.Scale.SD, s.LoadSD = 1e-4, 1e-4, 0.1, 0.1
	p, err := withLoads(s, rear, 0, 150, 300, 450, 0).Predict()
	if err != nil || p.Refusals != 0 {
		t.Fatal(p.Refusals, p.Findings, err)
	}
	weighNear(t, "none", float64(p.TippingLoad), tip, 0.1)
	from := orchardSheet()
	from.Parts = from.Parts[:1]
	for _, c := range []struct {
		name string
		x    units.Length
		want float64
	}{{"rear tires", 0, 2142.86}, {"box", -1.2, 2348.57}, {"front tires", 2.1, 1782.86}} {
		to := from
		to.Parts = append(slices.Clone(from.Parts), weigh.SpecPart{c.name, weigh.Measured[units.Mass]{300, 3}, weigh.Measured[units.Length]{c.x, 0.01}})
		change, err := weigh.ChangeBetween(from, to)
		if err != nil {
			t.Fatal(err)
		}
		got, err := p.Transfer(change)
		if err != nil {
			t.Fatal(err)
		}
		weighNear(t, c.name, float64(got.TippingLoad), c.want, 0.1)
		if !got.Notes.Has(weigh.NoteTransferred) || len(got.Cautions.Lines()) == 0 {
			t.Errorf("%s: notes %v, cautions %v", c.name, got.Notes, got.Cautions)
		}
		back, err := weigh.ChangeBetween(to, from)
		if err != nil || math.Abs(float64(back.Rear+change.Rear)) > 1e-9 {
			t.Errorf("%s: back and forth %v %v", c.name, change, back)
		}
	}
}

// 10 000 seeded sessions: the transferred interval holds the truth at its
// rate when the change's own error is as stated.
func TestTransferCoverage(t *testing.T) {
	rng := newWeighRand(7)
	var stated, held int
	for range 10000 {
		s, truth := simulatedSession(rng)
		p, err := s.Predict()
		if err != nil {
			t.Fatal(err)
		}
		c := weigh.Change{Rear: units.Mass(400 + 15*rng.NormFloat64()), RearSD: 15, Ahead: units.Length(-0.2 + 0.01*rng.NormFloat64()), AheadSD: 0.01}
		got, err := p.Transfer(c)
		if err != nil {
			t.Fatal(err)
		}
		if got.Refusals != 0 {
			continue
		}
		stated++
		if got.Interval.Contains(units.Mass((truth.rear + 400) * truth.wheelbase / (truth.ahead - 0.2))) {
			held++
		}
	}
	cover := float64(held) / float64(stated)
	t.Logf("covered %.2f %% of %d", 100*cover, stated)
	if cover < 0.93 || cover > 0.97 {
		t.Errorf("coverage %v", cover)
	}
}

func TestTransferRefuses(t *testing.T) {
	s, rear, _ := l150(t)
	p, err := withLoads(s, rear, 0, 150, 300).Predict()
	if err != nil {
		t.Fatal(err)
	}
	got, err := p.Transfer(weigh.Change{})
	if err != nil || got.Refusals == 0 || got.TippingLoad != 0 {
		t.Errorf("a refused session transfers: %+v, %v", got, err)
	}
	if p, err = withLoads(s, rear, 0, 150, 300, 450, 0).Predict(); err != nil {
		t.Fatal(err)
	}
	for _, c := range []weigh.Change{
		{Rear: 100}, {Ahead: 0.1}, {Rear: -2000, RearSD: 1}, {Ahead: -1.8, AheadSD: 0.01},
		{Rear: units.Mass(math.NaN()), RearSD: 1}, {RearSD: units.Mass(math.Inf(1))},
	} {
		if _, err := p.Transfer(c); !errors.Is(err, units.ErrInvalid) {
			t.Errorf("%+v: %v", c, err)
		}
	}
	if _, err := (weigh.Prediction{}).Transfer(weigh.Change{}); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("an empty prediction: %v", err)
	}
	if got, err := p.Transfer(weigh.Change{Rear: 10, RearSD: 2000}); err != nil || got.Refusals&weigh.RefusedWide == 0 || got.TippingLoad != 0 {
		t.Errorf("an unknown change: %+v %v", got, err)
	}
}

// A part that moved counts by how far, one that came or went by its lever; the
// rear axle's change and its error are those of the moments written out, each
// error by itself.
func TestChangeErrors(t *testing.T) {
	rng := newWeighRand(41)
	for range 50 {
		x := func(low, high float64) weigh.Measured[units.Length] {
			return weigh.Measured[units.Length]{units.Length(between(rng, low, high)), units.Length(between(rng, 0.004, 0.03))}
		}
		m := func(low, high float64) weigh.Measured[units.Mass] {
			return weigh.Measured[units.Mass]{units.Mass(between(rng, low, high)), units.Mass(between(rng, 3, 30))}
		}
		box, moved := weigh.SpecPart{"box", m(200, 500), x(-1.5, -0.9)}, x(-1, 0.5)
		gone, come := weigh.SpecPart{"brine", m(200, 400), x(-0.2, 0.1)}, weigh.SpecPart{"nose", m(50, 200), x(2.6, 3.2)}
		stays := weigh.SpecPart{"machine", m(2000, 3000), x(0.7, 1)}
		renamed := weigh.SpecPart{"forks", m(100, 200), x(2.9, 3.3)}
		from := weigh.SpecSheet{Wheelbase: x(1.9, 2.5), LoadX: x(3, 4), Parts: []weigh.SpecPart{gone, stays, box, renamed}}
		to := weigh.SpecSheet{Wheelbase: from.Wheelbase, LoadX: x(3, 4), Parts: []weigh.SpecPart{{"tines", renamed.Mass, renamed.X}, come, {"box", box.Mass, moved}, stays}}
		got, err := weigh.ChangeBetween(from, to)
		if err != nil {
			t.Fatal(err)
		}
		l := complex(float64(from.Wheelbase.Value), 0)
		in := []float64{float64(gone.Mass.Value), float64(gone.X.Value), float64(come.Mass.Value), float64(come.X.Value), float64(box.Mass.Value), float64(moved.Value)}
		sd := []float64{float64(gone.Mass.SD), float64(gone.X.SD), float64(come.Mass.SD), float64(come.X.SD), float64(box.Mass.SD), float64(moved.SD)}
		rear := func(p []complex128) complex128 {
			return p[2]*(l-p[3])/l - p[0]*(l-p[1])/l - p[4]*(p[5]-complex(float64(box.X.Value), 0))/l
		}
		exact := make([]complex128, len(in))
		for i, v := range in {
			exact[i] = complex(v, 0)
		}
		weighNear(t, "rear", float64(got.Rear), real(rear(exact)), 1e-9)
		weighNear(t, "rear's error", float64(got.RearSD), spread(in, sd, rear), 1e-9)
		weighNear(t, "ahead", float64(got.Ahead), float64(to.LoadX.Value-from.LoadX.Value), 1e-12)
		if got.AheadSD != to.LoadX.SD {
			t.Errorf("ahead's error %v, want %v", got.AheadSD, to.LoadX.SD)
		}
	}
	// Two like parts against one: one of them went, the other cancels.
	weight := func(name string, at units.Length) weigh.SpecPart {
		return weigh.SpecPart{name, weigh.Measured[units.Mass]{40, 1}, weigh.Measured[units.Length]{at, 0.01}}
	}
	sheet := func(parts ...weigh.SpecPart) weigh.SpecSheet {
		return weigh.SpecSheet{Wheelbase: weigh.Measured[units.Length]{2, 0.01}, Parts: append([]weigh.SpecPart{{"machine", weigh.Measured[units.Mass]{2000, 20}, weigh.Measured[units.Length]{0.8, 0.02}}}, parts...)}
	}
	for _, c := range []struct {
		from, to weigh.SpecSheet
		want     units.Mass // 40 kg by the lever (2 - x)/2
	}{
		{sheet(weight("a", 2.5), weight("b", 2.5)), sheet(weight("a", 2.5)), 10},
		{sheet(weight("a", 2.5)), sheet(weight("b", 2.5), weight("a", 2.5)), -10},
		{sheet(weight("a", 2.5), weight("b", 2.5)), sheet(weight("c", 2.5)), 10},
		{sheet(weight("a", 2.5)), sheet(weight("b", 2.5), weight("c", 2.5)), -10},
		{sheet(weight("a", 2.5)), sheet(weight("a", 3)), -10},
		{sheet(weight("a", 2.5), weight("b", 3)), sheet(weight("b", 2.5)), 20},
	} {
		got, err := weigh.ChangeBetween(c.from, c.to)
		if err != nil {
			t.Fatal(err)
		}
		weighNear(t, "rear", float64(got.Rear), float64(c.want), 1e-9)
	}
	base, other := sheet(), sheet()
	other.Wheelbase.Value = 2.1
	_, err := weigh.ChangeBetween(base, other)
	fieldtest.Names(t, "another machine", err, "to.wheelbase.value")
	other = sheet()
	other.LoadX = weigh.Measured[units.Length]{3, 0.01}
	_, err = weigh.ChangeBetween(base, other)
	fieldtest.Names(t, "a load in one sheet only", err, "to.loadX")
	_, err = weigh.ChangeBetween(other, base)
	fieldtest.Names(t, "a load in one sheet only", err, "to.loadX")
}

// A change may bring the load up to 5 cm to the front axle, and leaves load on
// the rear axle.
func TestChangeRanges(t *testing.T) {
	good := weigh.Change{Rear: 100, RearSD: 1, Ahead: 0.1, AheadSD: 0.01}
	fieldtest.Ends(t, "rear", good, func(c *weigh.Change, v float64) { c.Rear = units.Mass(v) }, -100e3, 100e3)
	fieldtest.Ends(t, "ahead", good, func(c *weigh.Change, v float64) { c.Ahead = units.Length(v) }, -10, 10)
	// Without a change, its error may be anything from nothing.
	fieldtest.Ends(t, "rearSD", weigh.Change{}, func(c *weigh.Change, v float64) { c.RearSD = units.Mass(v) }, 0, 20e3)
	fieldtest.Ends(t, "aheadSD", weigh.Change{}, func(c *weigh.Change, v float64) { c.AheadSD = units.Length(v) }, 0, 2)
	fieldtest.Names(t, "no error", weigh.Change{Rear: 1}.Validate(), "rearSD")
	fieldtest.Names(t, "no error", weigh.Change{Ahead: 1}.Validate(), "aheadSD")
	fieldtest.Ends(t, "place", weigh.SpecTolerance{0.03, 0.02}, func(c *weigh.SpecTolerance, v float64) { c.Place = units.Length(v) }, 1e-4, 0.5)
	fieldtest.Ends(t, "mass", weigh.SpecTolerance{0.03, 0.02}, func(c *weigh.SpecTolerance, v float64) { c.Mass = units.Fraction(v) }, 1e-4, 0.2)
	s, rear, _ := l150(t)
	p, err := withLoads(s, rear, 0, 150, 300, 450, 0).Predict()
	if err != nil {
		t.Fatal(err)
	}
	for left, ok := range map[units.Length]bool{0.0505: true, 0.0495: false} {
		_, err := p.Transfer(weigh.Change{Ahead: left - p.Ahead.Value, AheadSD: 1e-4})
		if ok && err != nil {
			t.Errorf("%v ahead: %v", left, err)
		} else if !ok {
			fieldtest.Names(t, "at the axle", err, "ahead")
		}
	}
	for left, ok := range map[units.Mass]bool{1: true, -1: false} {
		_, err := p.Transfer(weigh.Change{Rear: left - p.RearEmpty.Value, RearSD: 1e-4})
		if ok && err != nil {
			t.Errorf("%v on the rear axle: %v", left, err)
		} else if !ok {
			fieldtest.Names(t, "nothing on the rear axle", err, "rear")
		}
	}
}

// The load of a sheet sits at the load's own center, at that of the forks
// where it has none, and at the face of anything else.
func TestSheetLoadPlace(t *testing.T) {
	tol := weigh.SpecTolerance{Mass: 0.02, Place: 0.02}
	for _, c := range []struct {
		kind   ballast.AttachmentKind
		center units.Length
		want   float64 // beyond the face
	}{{ballast.Forks, 0, 0.6}, {ballast.Forks, 0.4, 0.4}, {ballast.Bucket, 0, 0}, {ballast.Bucket, 0.3, 0.3}} {
		s := orchardSetup()
		if c.kind == ballast.Bucket {
			s.Attachment = &ballast.Attachment{Kind: ballast.Bucket, Mass: units.Is[units.Mass](180), CG: ballast.Offset{Ahead: units.Is[units.Length](0.2)}, Face: units.Is[units.Length](0.15), Edge: ballast.Offset{Ahead: units.Is[units.Length](0.8), Above: units.Is[units.Length](-0.15)}}
		}
		var load ballast.Load
		if c.center != 0 {
			load.Center = units.Is(c.center)
		}
		got, err := weigh.SpecSheetOf(s, 0.2, load, tol)
		if err != nil {
			t.Fatal(err)
		}
		pin := 1.3 + math.Sqrt(2.2*2.2-(0.2-1.5)*(0.2-1.5))
		weighNear(t, c.kind.String(), float64(got.LoadX.Value), pin+0.15+c.want, 1e-9)
		for _, p := range got.Parts {
			weighNear(t, p.Name, float64(p.Mass.SD), 0.02*math.Abs(float64(p.Mass.Value)), 1e-12)
			if p.X.SD != 0.02 {
				t.Errorf("%s: place known to %v", p.Name, p.X.SD)
			}
		}
	}
}

// orchardSetup is an invented machine with loader and forks.
func orchardSetup() ballast.Setup {
	return ballast.Setup{
		Machine: ballast.Machine{
			Mass: units.Is[units.Mass](2600), MassIncludes: ballast.MassOperating, LoaderIncluded: ballast.WithoutLoader,
			CG: ballast.Position{X: units.Is[units.Length](0.9), Z: units.Is[units.Length](0.78)}, Undercarriage: stability.PivotingFront, Wheelbase: units.Is[units.Length](2.1), RearTrack: units.Is[units.Length](1.4), FrontTrack: units.Is[units.Length](1.35),
			AxlePinHeight: units.Is[units.Length](0.48), AxleMass: units.Is[units.Mass](250), AxleHeight: units.Is[units.Length](0.4), Operator: ballast.HeavyOperator, Seat: ballast.Position{X: units.Is[units.Length](0.3), Z: units.Is[units.Length](1.2)},
			Fuel: ballast.Fuel{State: ballast.FuelHalf, Capacity: units.Is(60 * units.Liter), CG: ballast.Position{X: units.Is[units.Length](1.1), Z: units.Is[units.Length](0.8)}},
			Rear: ballast.Axle{Radius: units.Is[units.Length](0.6)}, Front: ballast.Axle{Radius: units.Is[units.Length](0.4)}, Hitch: ballast.Hitch{X: units.Is[units.Length](-0.6)},
		},
		Loader: &ballast.Loader{
			Pivot: ballast.Position{X: units.Is[units.Length](1.3), Z: units.Is[units.Length](1.5)}, Arm: units.Is[units.Length](2.2), LowestPin: units.Is[units.Length](0.2), HighestPin: units.Is[units.Length](3.2),
			FrameMass: units.Is[units.Mass](150), FrameCG: ballast.Position{X: units.Is[units.Length](1.3), Z: units.Is[units.Length](1)}, ArmMass: units.Is[units.Mass](220), ArmCG: units.Is[units.Length](1.1),
		},
		Attachment: &ballast.Attachment{Kind: ballast.Forks, Mass: units.Is[units.Mass](180), CG: ballast.Offset{Ahead: units.Is[units.Length](0.2), Above: units.Is[units.Length](-0.1)}, Face: units.Is[units.Length](0.15), LoadCenter: units.Is[units.Length](0.6), Tine: units.Is[units.Length](-0.1)},
		Pieces: []ballast.Piece{
			{Name: "brine", Kind: ballast.RearLiquid, Mass: units.Is[units.Mass](320), Depth: units.Is[units.Length](0.12), RollRise: units.Is[units.Length](0.01)},
			{Name: "box", Kind: ballast.HitchBox, Mass: units.Is[units.Mass](400), CG: ballast.Position{X: units.Is[units.Length](-1.2), Z: units.Is[units.Length](0.6)}, State: ballast.Raised},
			{Name: "nose weights", Kind: ballast.ChassisPiece, Mass: units.Is[units.Mass](100), CG: ballast.Position{X: units.Is[units.Length](2.6), Z: units.Is[units.Length](0.6)}},
		},
	}
}

// The sheet of a setup, summed by the lever rule, gives the axle loads that
// the compiled setup gives by its influence rows.
func TestSpecSheetOfSetup(t *testing.T) {
	tol := weigh.SpecTolerance{Mass: 0.02, Place: 0.02}
	for _, in := range []ballast.LoaderIncluded{ballast.WithoutLoader, ballast.WithLoader} {
		s := orchardSetup()
		s.Machine.LoaderIncluded = in
		want, err := s.WheelLoads()
		if err != nil {
			t.Fatal(err)
		}
		sheet, err := weigh.SpecSheetOf(s, s.Loader.LowestPin.Value(), ballast.Load{}, tol)
		if err != nil {
			t.Fatal(err)
		}
		var mass, moment float64
		for _, p := range sheet.Parts {
			mass += float64(p.Mass.Value)
			moment += float64(p.Mass.Value) * float64(p.X.Value)
		}
		front := moment / float64(sheet.Wheelbase.Value)
		weighNear(t, in.String()+" front", front, float64(want.Front), 1e-9*mass)
		weighNear(t, in.String()+" rear", mass-front, float64(want.Rear), 1e-9*mass)
	}
	// Raising the arms to the horizontal moves arms and attachment forward
	// whether or not the machine's mass includes them.
	for _, in := range []ballast.LoaderIncluded{ballast.WithoutLoader, ballast.WithLoader} {
		s := orchardSetup()
		s.Machine.LoaderIncluded = in
		down, err := weigh.SpecSheetOf(s, 0.2, ballast.Load{}, tol)
		if err != nil {
			t.Fatal(err)
		}
		level, err := weigh.SpecSheetOf(s, s.Loader.Pivot.Z.Value(), ballast.Load{}, tol)
		if err != nil {
			t.Fatal(err)
		}
		c, err := weigh.ChangeBetween(down, level)
		if err != nil {
			t.Fatal(err)
		}
		x := func(h float64) float64 { return math.Sqrt(2.2*2.2 - (h-1.5)*(h-1.5)) }
		weighNear(t, "reach", float64(c.Ahead), 2.2-x(0.2), 1e-9)
		weighNear(t, "rear", float64(c.Rear), -(220.0*1.1/2.2+180)*(2.2-x(0.2))/2.1, 1e-9)
	}
	// One session with the machine as it stands predicts it with other ballast,
	// other forks and the arms up: what the compiled setup says of itself.
	from := orchardSetup()
	to := orchardSetup()
	to.Pieces = to.Pieces[:1]
	to.Pieces[0].Mass = units.Is[units.Mass](180)
	to.Attachment.Mass, to.Attachment.Face = units.Is[units.Mass](240), units.Is[units.Length](0.25)
	lift := func(h units.Length) ballast.Lift {
		return ballast.Lift{Height: h, Datum: ballast.PinHeight, Load: ballast.Load{Above: units.Is[units.Length](0.5)}, Basis: ballast.Basis{Kind: ballast.BasisTippingFraction, Fraction: 0.5}}
	}
	before, err := from.UsableLoad(lift(0.3))
	if err != nil {
		t.Fatal(err)
	}
	after, err := to.UsableLoad(lift(1.5))
	if err != nil {
		t.Fatal(err)
	}
	a, err := weigh.SpecSheetOf(from, 0.3, ballast.Load{}, tol)
	if err != nil {
		t.Fatal(err)
	}
	b, err := weigh.SpecSheetOf(to, 1.5, ballast.Load{}, tol)
	if err != nil {
		t.Fatal(err)
	}
	change, err := weigh.ChangeBetween(a, b)
	if err != nil {
		t.Fatal(err)
	}
	ahead := float64(a.LoadX.Value - a.Wheelbase.Value)
	s := weigh.Session{Wheelbase: weigh.Measured[units.Length]{2.1, 1e-4}, Ahead: weigh.Measured[units.Length]{units.Length(ahead), 1e-4}, Scale: weigh.Scale{SD: 0.1}, LoadSD: 0.1}
	p, err := withLoads(s, float64(before.Tipping.Low)*ahead/2.1, 0, 150, 300, 450, 0).Predict()
	if err != nil || p.Refusals != 0 {
		t.Fatal(p.Refusals, err)
	}
	weighNear(t, "weighed", float64(p.TippingLoad), float64(before.Tipping.Low), 1e-6)
	moved, err := p.Transfer(change)
	if err != nil {
		t.Fatal(err)
	}
	weighNear(t, "transferred", float64(moved.TippingLoad), float64(after.Tipping.Low), 1e-6)
	if _, err := weigh.SpecSheetOf(orchardSetup(), 9, ballast.Load{}, tol); !errors.Is(err, units.ErrInvalid) {
		t.Errorf("a pin out of reach: %v", err)
	}
	bare := orchardSetup()
	bare.Loader, bare.Attachment = nil, nil
	if sheet, err := weigh.SpecSheetOf(bare, 0, ballast.Load{}, tol); err != nil || sheet.LoadX.Value != 0 {
		t.Errorf("without loader: %+v, %v", sheet, err)
	}
	fill := orchardSetup()
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	fill.Pieces[0] = ballast.Piece{Name: "water", Kind: ballast.RearLiquid, Fill: &liquid.Fill{Tire: tire, Fluid: liquid.Fluid{Kind: liquid.Water}, Level: liquid.ValveAt(12)}}
	if sheet, err := weigh.SpecSheetOf(fill, 0.2, ballast.Load{}, tol); err != nil || len(sheet.Parts) != 7 {
		t.Errorf("with a fill: %d parts, %v", len(sheet.Parts), err)
	}
}

// A scale that reads 2 % too much on everything, or 20 kg: papers and readings
// disagree unless the scale's own uncertainty says so, and then the papers stand.
func TestReconcileScale(t *testing.T) {
	for _, c := range []struct {
		name string
		read func(units.Mass) units.Mass
		know func(*weigh.Scale)
	}{
		{"gain", func(m units.Mass) units.Mass { return m * 1.02 }, func(s *weigh.Scale) { s.GainSD = 0.02 }},
		{"zero", func(m units.Mass) units.Mass { return m + 20 }, func(s *weigh.Scale) { s.ZeroSD = 20 }},
	} {
		r := weigh.Reconciliation{Sheet: orchardSheet(), Scale: weigh.Scale{SD: 2}, LoadSD: 0.5, Readings: readingsOf(orchardSheet())}
		for j := range r.Sheet.Parts {
			r.Sheet.Parts[j].Mass.SD, r.Sheet.Parts[j].X.SD = 3, 0.005
		}
		for i := range r.Readings {
			r.Readings[i].Front, r.Readings[i].Rear = c.read(r.Readings[i].Front), c.read(r.Readings[i].Rear)
		}
		if got, err := r.Solve(); err != nil || got.Agrees {
			t.Errorf("%s: a scale that is off agrees with exact papers: %v", c.name, err)
		}
		c.know(&r.Scale)
		got, err := r.Solve()
		if err != nil || !got.Agrees {
			t.Errorf("%s: %v %v", c.name, got.Suspects(), err)
		}
		weighNear(t, c.name, float64(got.Masses[0].Fitted.Value), 2600, 3)
	}
}

// papers is a reconciliation by another route.
type papers struct {
	fitted
	readings    int       // numbers that scales showed
	pull, alone []float64 // of wheelbase, masses, places and, if there is one, the load's place
	path        []string
}

// reconcileReference fits papers and readings by leastSquares on the lever
// rule, and sets the prior of one number after the other aside.
func reconcileReference(t *testing.T, r weigh.Reconciliation) papers {
	t.Helper()
	type quantity struct{ mean, sd float64 }
	length := func(m weigh.Measured[units.Length]) quantity { return quantity{float64(m.Value), float64(m.SD)} }
	prior := []quantity{length(r.Sheet.Wheelbase)}
	out := papers{path: []string{"wheelbase"}}
	for i, p := range r.Sheet.Parts {
		prior = append(prior, quantity{float64(p.Mass.Value), float64(p.Mass.SD)}, length(p.X))
		out.path = append(out.path, fmt.Sprintf("parts[%d].mass", i), fmt.Sprintf("parts[%d].x", i))
	}
	numbers := len(prior)
	if r.Sheet.LoadX.Value != 0 {
		out.path = append(out.path, "loadX")
		numbers++
	}
	reach := len(prior)
	prior = append(prior, length(r.Sheet.LoadX))
	if r.Sheet.LoadX.Value == 0 {
		prior[reach].sd = 1e-9
	}
	reading := math.Sqrt(float64(r.Scale.SD*r.Scale.SD) + float64(r.Scale.Division*r.Scale.Division)/12)
	loadSD := float64(r.LoadSD)
	if loadSD == 0 {
		loadSD = reading
	}
	zero, gain := len(prior), len(prior)+1
	prior = append(prior, quantity{0, max(1e-9, float64(r.Scale.ZeroSD))}, quantity{0, max(1e-9, float64(r.Scale.GainSD))})
	for range r.Readings {
		prior = append(prior, quantity{0, loadSD}) // the error of this reading's load
	}
	start := make([]float64, len(prior))
	for i, q := range prior {
		start[i] = q.mean
	}
	out.fitted = leastSquares(t, start, func(p []complex128) (y []complex128, sd []float64) {
		for i, x := range r.Readings {
			var mass, moment complex128
			for j, part := range r.Sheet.Parts {
				if !slices.Contains(x.Without, part.Name) {
					mass, moment = mass+p[1+2*j], moment+p[1+2*j]*p[2+2*j]
				}
			}
			if x.Load > 0 {
				m := complex(float64(x.Load), 0) + p[gain+1+i]
				mass, moment = mass+m, moment+m*p[reach]
			}
			front := moment / p[0]
			for _, c := range []struct {
				read units.Mass
				on   complex128
			}{{x.Front, front}, {x.Rear, mass - front}} {
				if c.read > 0 {
					y, sd = append(y, complex(float64(c.read), 0)-(1+p[gain])*c.on-p[zero]), append(sd, reading)
				}
			}
		}
		out.readings = len(y)
		for i, q := range prior {
			y, sd = append(y, complex(q.mean, 0)-p[i]), append(sd, q.sd)
		}
		return y, sd
	})
	f := out.fitted
	for i := range numbers {
		if f.cov[i][i] > (1-1e-6)*prior[i].sd*prior[i].sd {
			out.pull, out.alone = append(out.pull, 0), append(out.alone, 0)
			continue // the readings say nothing about it
		}
		row := out.readings + i
		without := func(v []float64) []float64 { return slices.Delete(slices.Clone(v), row, row+1) }
		jac, y, sd := slices.Delete(slices.Clone(f.jac), row, row+1), without(f.y), without(f.sd)
		d, _ := linearFit(t, jac, y, sd)
		left := 0.0
		for k := range y {
			v := y[k]
			for j := range d {
				v -= jac[k][j] * d[j]
			}
			left += v * v / sd[k] / sd[k]
		}
		alone := f.p[i] + d[i] - prior[i].mean
		out.alone = append(out.alone, alone)
		out.pull = append(out.pull, math.Copysign(math.Sqrt(max(0, f.chi2-left)), alone))
	}
	return out
}

func (p papers) most() float64 {
	most := 0.0
	for _, v := range p.pull {
		most = max(most, math.Abs(v))
	}
	return most
}

// chance is the probability of a sum of squares at least as great, on so many
// readings.
func chance(chi2 float64, readings int) float64 {
	return distuv.ChiSquared{K: float64(readings)}.Survival(chi2)
}

func (p papers) agrees() bool { return chance(p.chi2, p.readings) >= 5e-4 && p.most() <= 3.5 }

func (p papers) explained() bool {
	return !p.agrees() && chance(p.chi2-p.most()*p.most(), p.readings-1) > 1e-3
}

// suspects are the paths of what may be wrong, the one that explains most
// first.
func (p papers) suspects() []string {
	var at []int
	for i, v := range p.pull {
		if p.explained() && v*v >= p.most()*p.most()-4 {
			at = append(at, i)
		}
	}
	slices.SortFunc(at, func(a, b int) int {
		if math.Abs(p.pull[a]) > math.Abs(p.pull[b]) {
			return -1
		}
		return 1
	})
	var out []string
	for _, i := range at {
		out = append(out, p.path[i])
	}
	return out
}

// sameSuspects holds suspects to those of the reference; those that cannot be
// told apart may stand in either order.
func (p papers) sameSuspects(t *testing.T, what string, got []string) {
	t.Helper()
	last := math.Inf(1)
	for _, path := range got {
		z := math.Abs(p.pull[slices.Index(p.path, path)])
		if z > last+1e-4 {
			t.Errorf("%s: %s explains more than the suspect before it", what, path)
		}
		last = z
	}
	want := p.suspects()
	slices.Sort(want)
	got = slices.Clone(got)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("%s: suspects %v, want %v", what, got, want)
	}
}

// randomPapers is a sheet of four parts with readings that are true of it, of
// either axle or both, with loads and parts off.
func randomPapers(rng *rand.Rand, n int) weigh.Reconciliation {
	length := func(low, high float64) weigh.Measured[units.Length] {
		return weigh.Measured[units.Length]{units.Length(between(rng, low, high)), units.Length(between(rng, 0.004, 0.03))}
	}
	mass := func(low, high float64) weigh.Measured[units.Mass] {
		return weigh.Measured[units.Mass]{units.Mass(between(rng, low, high)), units.Mass(between(rng, 3, 30))}
	}
	r := weigh.Reconciliation{LoadSD: units.Mass(3 * rng.IntN(2))}
	r.Sheet = weigh.SpecSheet{Wheelbase: length(1.8, 2.6), LoadX: length(3, 4.5), Parts: []weigh.SpecPart{
		{"machine", mass(2000, 3500), length(0.7, 1.1)}, {"forks", mass(120, 260), length(2.9, 3.4)},
		{"box", mass(200, 500), length(-1.5, -0.9)}, {"nose", mass(80, 200), length(2.8, 3.1)},
	}}
	r.Scale, _, r.Confidence = randomScale(rng)
	for i := range n {
		var x weigh.SpecReading
		for _, p := range r.Sheet.Parts[1:] {
			if rng.IntN(3) == 0 {
				x.Without = append(x.Without, p.Name)
			}
		}
		if i == 0 || rng.IntN(2) == 0 {
			x.Load = units.Mass(between(rng, 100, 500))
		}
		m, moment := float64(x.Load), float64(x.Load)*float64(r.Sheet.LoadX.Value)
		for _, p := range r.Sheet.Parts {
			if !slices.Contains(x.Without, p.Name) {
				m, moment = m+float64(p.Mass.Value), moment+float64(p.Mass.Value)*float64(p.X.Value)
			}
		}
		front := moment / float64(r.Sheet.Wheelbase.Value)
		k := rng.IntN(3)
		if k != 0 {
			x.Front = units.Mass(front)
		}
		if k != 1 {
			x.Rear = units.Mass(m - front)
		}
		r.Readings = append(r.Readings, x)
	}
	return r
}

// Random papers, right and wrong: every fitted number, pull, correction and
// verdict is that of the reference.
func TestReconcileAgainstLevers(t *testing.T) {
	rng := newWeighRand(31)
	var agree, explained, not int
	for i := range 60 {
		r := randomPapers(rng, 4+rng.IntN(5))
		if i%2 == 0 {
			r.Confidence = 0
		}
		if i%5 == 0 {
			r.Scale.ZeroSD, r.Scale.GainSD = 0, 0
		}
		noise := func(sd float64) float64 { return sd * rng.NormFloat64() }
		for j := range r.Sheet.Parts {
			p := &r.Sheet.Parts[j]
			p.Mass.Value += units.Mass(noise(float64(p.Mass.SD)))
			p.X.Value += units.Length(noise(float64(p.X.SD)))
		}
		for j := range r.Readings {
			x := &r.Readings[j]
			if x.Front > 0 {
				x.Front += units.Mass(noise(5))
			}
			if x.Rear > 0 {
				x.Rear += units.Mass(noise(5))
			}
		}
		switch i % 6 {
		case 1:
			r.Sheet.Parts[rng.IntN(4)].Mass.Value += 60
		case 2:
			r.Sheet.Parts[rng.IntN(4)].X.Value -= 0.1
		case 3:
			x := &r.Readings[rng.IntN(4)]
			x.Front, x.Rear = x.Front+min(x.Front, 60), x.Rear+min(x.Rear, 60)
		case 4:
			r.Sheet.LoadX.Value += 0.15
		}
		got, err := r.Solve()
		if err != nil {
			t.Fatal(err)
		}
		want := reconcileReference(t, r)
		level := r.Confidence
		if level == 0 {
			level = 0.95
		}
		places, masses := got.Places, got.Masses
		hold := func(i int, path, name, wantName string, pull, alone float64) {
			t.Helper()
			if path != want.path[i] || name != wantName {
				t.Fatalf("%s of %q, want %s of %q", path, name, want.path[i], wantName)
			}
			weighNear(t, path+" pull", pull, want.pull[i], 1e-5*(1+math.Abs(want.pull[i])))
			weighNear(t, path+" alone", alone, want.alone[i], 1e-5*(math.Abs(want.alone[i])+math.Sqrt(want.cov[i][i])))
		}
		place := func(i int, name string, stated, sheet weigh.Measured[units.Length]) {
			t.Helper()
			a := places[0]
			places = places[1:]
			hold(i, a.Path, a.Name, name, a.Pull, float64(a.Alone))
			wantEstimate(t, a.Path, a.Fitted, want.p[i], math.Sqrt(want.cov[i][i]), level)
			if a.Stated != stated || sheet.Value != a.Fitted.Value || sheet.SD != a.Fitted.SD {
				t.Errorf("%s: %+v of %+v, in the sheet %+v", a.Path, a, stated, sheet)
			}
		}
		place(0, "", r.Sheet.Wheelbase, got.Sheet.Wheelbase)
		for j, p := range r.Sheet.Parts {
			a := masses[j]
			hold(1+2*j, a.Path, a.Name, p.Name, a.Pull, float64(a.Alone))
			wantEstimate(t, a.Path, a.Fitted, want.p[1+2*j], math.Sqrt(want.cov[1+2*j][1+2*j]), level)
			if s := got.Sheet.Parts[j]; a.Stated != p.Mass || s.Name != p.Name || s.Mass.Value != a.Fitted.Value || s.Mass.SD != a.Fitted.SD {
				t.Errorf("%s: %+v, in the sheet %+v", a.Path, a, s)
			}
			place(2+2*j, p.Name, p.X, got.Sheet.Parts[j].X)
		}
		place(9, "", r.Sheet.LoadX, got.Sheet.LoadX)
		if got.Agrees != want.agrees() || got.Explained != want.explained() {
			t.Errorf("papers %d: agrees %v, explained %v, want %v, %v", i, got.Agrees, got.Explained, want.agrees(), want.explained())
		}
		want.sameSuspects(t, fmt.Sprint("papers ", i), got.Suspects())
		switch {
		case want.agrees():
			agree++
		case want.explained():
			explained++
		default:
			not++
		}
	}
	if agree < 10 || explained < 5 || not < 3 {
		t.Errorf("%d agree, %d are explained, %d are not: the test proves little", agree, explained, not)
	}
}

// Each verdict falls where its documentation says: a sum of squares beyond 1
// in 2000, a pull beyond 3.5, an explanation down to 1 in 1000, suspects to
// within 4 of the best.
func TestReconcileThresholds(t *testing.T) {
	apart := 0
	for trial := range 1 {
		truth := randomPapers(newWeighRand(uint64(32+trial)), 4)
		truth.Readings = append(truth.Readings, truth.Readings...)
		// wrong disturbs one number of the papers, and the readings such that
		// the errors of two readings of one state cancel.
		wrong := func(number int, by, noise float64) weigh.Reconciliation {
			r := truth
			r.Sheet.Parts, r.Readings = slices.Clone(truth.Sheet.Parts), slices.Clone(truth.Readings)
			if p := &r.Sheet.Parts[number%4]; number < 4 {
				p.X.Value += units.Length(by)
			} else {
				p.Mass.Value += units.Mass(1000 * by)
			}
			for j := range r.Readings {
				x, e := &r.Readings[j], units.Mass(noise)
				if j >= 4 {
					e = -e
				}
				if x.Front > 0 {
					x.Front += e
				}
				if x.Rear > 0 {
					x.Rear -= e
				}
			}
			return r
		}
		// at finds the size at which a measure passes a limit.
		at := func(limit float64, by func(size float64) weigh.Reconciliation, measure func(papers) float64, top float64) float64 {
			low := 0.0
			for range 16 {
				if mid := (low + top) / 2; measure(reconcileReference(t, by(mid))) < limit {
					low = mid
				} else {
					top = mid
				}
			}
			return low
		}
		solve := func(r weigh.Reconciliation) weigh.Reconciled {
			t.Helper()
			got, err := r.Solve()
			if err != nil {
				t.Fatal(err)
			}
			return got
		}
		const below, beyond = 0.9995, 1.0005
		pull := at(3.5, func(x float64) weigh.Reconciliation { return wrong(0, x, 0) }, papers.most, 0.5)
		if p := reconcileReference(t, wrong(0, pull, 0)); chance(p.chi2, p.readings) < 1e-3 {
			t.Fatal("the sum of squares speaks before the pull")
		}
		for k, agrees := range map[float64]bool{below: true, beyond: false} {
			if got := solve(wrong(0, pull*k, 0)); got.Agrees != agrees || got.Explained == agrees || (len(got.Suspects()) == 0) != agrees {
				t.Errorf("%v of a pull of 3.5: %v %v %v", k, got.Agrees, got.Explained, got.Suspects())
			}
		}
		omnibus := at(-5e-4, func(noise float64) weigh.Reconciliation { return wrong(0, 0, noise) }, func(p papers) float64 { return -chance(p.chi2, p.readings) }, 60)
		for k, agrees := range map[float64]bool{below: true, beyond: false} {
			if got := solve(wrong(0, 0, omnibus*k)); got.Agrees != agrees || got.Explained {
				t.Errorf("%v of a chance of 1 in 2000: %v %v", k, got.Agrees, got.Explained)
			}
		}
		// With a number wrong for certain, more and more spread of the readings
		// leaves no explanation in it.
		big := 1.5 * pull
		plausible := at(-1e-3, func(noise float64) weigh.Reconciliation { return wrong(0, big, noise) }, func(p papers) float64 {
			return -chance(p.chi2-p.most()*p.most(), p.readings-1)
		}, 60)
		for k, explained := range map[float64]bool{below: true, beyond: false} {
			if got := solve(wrong(0, big, plausible*k)); got.Agrees || got.Explained != explained || (len(got.Suspects()) > 0) != explained {
				t.Errorf("%v of a chance of 1 in 1000: %v %v %v", k, got.Agrees, got.Explained, got.Suspects())
			}
		}
		// Another number is a suspect too as long as it explains all but 4.
		for _, number := range []int{3, 5} {
			by := func(x float64) weigh.Reconciliation { return wrong(number, x, 0) }
			first := at(4, by, func(p papers) float64 {
				second := 0.0
				for _, v := range p.pull {
					if z := v * v; z < p.most()*p.most()-1e-3 {
						second = max(second, z)
					}
				}
				return p.most()*p.most() - second
			}, 0.5)
			near, far := reconcileReference(t, by(first*below)), reconcileReference(t, by(first*beyond))
			if len(near.suspects()) != len(far.suspects()) {
				apart++
			}
			near.sameSuspects(t, "near", solve(by(first*below)).Suspects())
			far.sameSuspects(t, "far", solve(by(first*beyond)).Suspects())
		}
	}
	if apart == 0 {
		t.Error("no suspect lies at the threshold: the test proves little")
	}
}

func TestReconcileRanges(t *testing.T) {
	good := weigh.Reconciliation{Sheet: orchardSheet(), Scale: weigh.Scale{SD: 5}, Readings: readingsOf(orchardSheet())}
	set := func(f func(*weigh.Reconciliation, float64)) func(*weigh.Reconciliation, float64) {
		return func(r *weigh.Reconciliation, v float64) {
			r.Sheet.Parts, r.Readings = slices.Clone(good.Sheet.Parts), slices.Clone(good.Readings)
			f(r, v)
		}
	}
	fieldtest.Ends(t, "sheet.wheelbase.value", good, set(func(r *weigh.Reconciliation, v float64) { r.Sheet.Wheelbase.Value = units.Length(v) }), 0.5, 10)
	fieldtest.Ends(t, "sheet.loadX.value", good, set(func(r *weigh.Reconciliation, v float64) { r.Sheet.LoadX.Value = units.Length(v) }), 0.1, 20)
	fieldtest.Ends(t, "sheet.parts[1].mass.value", good, set(func(r *weigh.Reconciliation, v float64) { r.Sheet.Parts[1].Mass.Value = units.Mass(v) }), 0.001, 100e3)
	fieldtest.Ends(t, "sheet.parts[1].x.value", good, set(func(r *weigh.Reconciliation, v float64) { r.Sheet.Parts[1].X.Value = units.Length(v) }), -20, 20)
	fieldtest.Ends(t, "loadSD", good, set(func(r *weigh.Reconciliation, v float64) { r.LoadSD = units.Mass(v) }), 1e-3, 500)
	fieldtest.Ends(t, "readings[3].load", good, set(func(r *weigh.Reconciliation, v float64) { r.Readings[3].Load = units.Mass(v) }), 1, 100e3)
	fieldtest.Ends(t, "readings[3].front", good, set(func(r *weigh.Reconciliation, v float64) { r.Readings[3].Front = units.Mass(v) }), 1, 100e3)
	fieldtest.Ends(t, "readings[3].rear", good, set(func(r *weigh.Reconciliation, v float64) { r.Readings[3].Rear = units.Mass(v) }), 1, 100e3)
	for path, spoil := range map[string]func(*weigh.Reconciliation){
		"sheet.parts":            func(r *weigh.Reconciliation) { r.Sheet.Parts = nil },
		"sheet.parts[1].name":    func(r *weigh.Reconciliation) { r.Sheet.Parts[1].Name = "machine" },
		"sheet.parts[0].name":    func(r *weigh.Reconciliation) { r.Sheet.Parts[0].Name = "" },
		"sheet.loadX":            func(r *weigh.Reconciliation) { r.Sheet.LoadX = weigh.Measured[units.Length]{} },
		"readings":               func(r *weigh.Reconciliation) { r.Readings = nil },
		"readings[2].rear":       func(r *weigh.Reconciliation) { r.Readings[2].Front, r.Readings[2].Rear = 0, 0 },
		"readings[1].without[0]": func(r *weigh.Reconciliation) { r.Readings[1].Without = []string{"plow"} },
		"readings[2].without":    func(r *weigh.Reconciliation) { r.Readings[2].Without = []string{"forks", "box", "machine"} },
	} {
		r := good
		r.Sheet.Parts, r.Readings = slices.Clone(good.Sheet.Parts), slices.Clone(good.Readings)
		spoil(&r)
		fieldtest.Names(t, path, r.Validate(), path)
	}
	// One axle is enough, no load needs no place of it, nothing off is nothing.
	bare := good
	bare.Sheet.LoadX = weigh.Measured[units.Length]{}
	bare.Readings = []weigh.SpecReading{{Front: 1000}, {Rear: 1500}}
	if got, err := bare.Solve(); err != nil || len(got.Places) != 4 || got.Sheet.LoadX.Value != 0 {
		t.Errorf("one axle: %+v, %v", got, err)
	}
	bare.Sheet.Parts = bare.Sheet.Parts[:1]
	if err := bare.Validate(); err != nil {
		t.Errorf("a single part, nothing off: %v", err)
	}
	bare.Readings = []weigh.SpecReading{{Front: 1000, Without: []string{"machine"}}}
	fieldtest.Names(t, "the only part off", bare.Validate(), "readings[0].without")
	bare.Sheet.Parts, bare.Readings = nil, []weigh.SpecReading{{Front: 1000}}
	if err := bare.Validate(); err == nil || strings.Contains(err.Error(), "without") {
		t.Errorf("no part, none off: %v", err)
	}
	many := func(parts, readings, without int) weigh.Reconciliation {
		r := good
		r.Sheet.Parts, r.Readings = nil, nil
		for i := range parts {
			r.Sheet.Parts = append(r.Sheet.Parts, weigh.SpecPart{fmt.Sprint("part ", i), weigh.Measured[units.Mass]{20, 1}, weigh.Measured[units.Length]{1, 0.01}})
		}
		for range readings {
			r.Readings = append(r.Readings, weigh.SpecReading{Rear: 1000})
		}
		for i := range without {
			r.Readings[0].Without = append(r.Readings[0].Without, fmt.Sprint("part ", i%2))
		}
		return r
	}
	for _, c := range []struct {
		parts, readings, without int
		path, text               string
	}{
		{120, 50, 0, "", ""}, {121, 1, 0, "sheet.parts", "1 to 120"}, {5, 51, 0, "readings", "1 to 50"},
		{120, 1, 119, "", ""}, {120, 1, 120, "readings[0].without", "leave a part"}, {120, 1, 121, "readings[0].without", "at most once"},
	} {
		err := many(c.parts, c.readings, c.without).Validate()
		if c.path == "" && err != nil {
			t.Errorf("%+v: %v", c, err)
		} else if c.path != "" {
			fieldtest.Names(t, fmt.Sprintf("%+v", c), err, c.path)
			if err == nil || !strings.Contains(err.Error(), c.text) {
				t.Errorf("%+v: %v", c, err)
			}
		}
	}
	// A part of a gram with next to no weight on the scales, or a wheelbase
	// beyond all measure: no fit, and no panic.
	mad := good
	mad.Sheet.Wheelbase = weigh.Measured[units.Length]{0.5, 2}
	mad.Readings = []weigh.SpecReading{{Front: 100e3}, {Front: 1, Rear: 100e3}}
	_, err := mad.Solve()
	fieldtest.Names(t, "readings of another machine", err, "readings")
}
