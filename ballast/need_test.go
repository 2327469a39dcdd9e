package ballast

import (
	"math"
	"strings"
	"testing"

	"example.com/steelyard/units"
)

// paths returns the paths of an error's fields in its order.
func paths(err error) string {
	var out []string
	if err != nil {
		for _, line := range strings.Split(err.Error(), "\n") {
			path, _, _ := strings.Cut(line, ": ")
			out = append(out, path)
		}
	}
	return strings.Join(out, " ")
}

// Every field that a need checks: what is accepted, and of what is refused
// the path.
func TestNeedFields(t *testing.T) {
	type share = units.Range[units.Fraction]
	type mass = units.Range[units.Mass]
	lift := func(change func(*Need)) Need {
		n := liftNeed(1, 300)
		change(&n)
		return n
	}
	steered := func(low, high units.Fraction) Need {
		return Need{Kind: NeedSteeredShare, Base: SteeredOfLaden, Share: share{Low: low, High: high}}
	}
	split := func(low, high units.Fraction) Need {
		return Need{Kind: NeedAxleSplit, Share: share{Low: low, High: high}}
	}
	masses := func(low, high units.Mass) Need { return Need{Kind: NeedMass, Mass: mass{Low: low, High: high}} }
	for _, c := range []struct {
		n    Need
		want string
	}{
		{Need{}, "kind"},
		{Need{Kind: 9}, "kind"},
		{lift(func(*Need) {}), ""},
		{lift(func(n *Need) { n.Hitch = HitchUnknown }), ""},
		{lift(func(n *Need) { n.Hitch = Resting }), ""},
		{lift(func(n *Need) { n.Hitch = Floating }), "hitch"},
		{lift(func(n *Need) { n.Lift = nil }), "lift"},
		{lift(func(n *Need) { n.Lift.Basis = Basis{} }), "lift.basis"},
		{lift(func(n *Need) { n.Lift.Load.Mass = 0 }), "lift.load.mass"},
		{lift(func(n *Need) { n.Lift.Load.Mass, n.Lift.Load.Density = 0, 1000 }), ""},
		{lift(func(n *Need) { n.Lift.Height = -2 }), "lift.height"},
		{lift(func(n *Need) { n.State = LoaderOn }), "state"},
		{lift(func(n *Need) { n.State = 9 }), "state"},
		{lift(func(n *Need) { n.Base = SteeredOfLaden }), "base"},
		{lift(func(n *Need) { n.Share.Low = 0.2 }), "share"},
		{lift(func(n *Need) { n.Share.High = 0.2 }), "share"},
		{lift(func(n *Need) { n.Mass.Low = 2000 }), "mass"},
		{lift(func(n *Need) { n.Mass.High = 2000 }), "mass"},
		{steered(0.2, 0), ""},
		{steered(0.01, 0), ""},
		{steered(0.9, 0), ""},
		{steered(0.0099, 0), "share.low"},
		{steered(0.909, 0), "share.low"},
		{steered(0, 0), "share.low"},
		{steered(0.2, 0.5), "share.high"},
		{Need{Kind: NeedSteeredShare, Share: share{Low: 0.2}}, "base"},
		{Need{Kind: NeedSteeredShare, Base: SteeredOfLaden, Share: share{Low: 0.2}, Mass: mass{Low: 2000}}, "mass"},
		{Need{Kind: NeedSteeredShare, Base: SteeredOfLaden, Share: share{Low: 0.2}, State: LoaderOff}, ""},
		{split(0, 0.01), ""},
		{split(0, 1), ""},
		{split(0.4, 0.4), ""},
		{split(0.41, 0.4), "share.low"},
		{split(0.2, 0), "share.high share.low"},
		{split(0, 0.0099), "share.high"},
		{split(0, 1.01), "share.high"},
		{split(-0.01, 0.5), "share.low"},
		{split(1, 1), ""},
		{split(1.01, 1.01), "share.low share.high"},
		{Need{Kind: NeedAxleSplit, Share: share{High: 0.5}, Base: SteeredOfLaden}, "base"},
		{Need{Kind: NeedAxleSplit, Share: share{High: 0.5}, Lift: liftNeed(1, 300).Lift}, "lift"},
		{Need{Kind: NeedAxleSplit, Share: share{High: 0.5}, Mass: mass{High: 2000}}, "mass"},
		{masses(0, 0), "mass"},
		{masses(1, 0), ""},
		{masses(0, 1), ""},
		{masses(1e5, 1e5), ""},
		{masses(2000, 2000), ""},
		{masses(0.99, 0), "mass.low"},
		{masses(0, 0.99), "mass.high"},
		{masses(1.01e5, 0), "mass.low"},
		{masses(0, 1.01e5), "mass.high"},
		{masses(2001, 2000), "mass.low"},
		{Need{Kind: NeedMass, Mass: mass{Low: 2000}, Share: share{Low: 0.2}}, "share"},
	} {
		if err := c.n.Validate(); paths(err) != c.want {
			t.Errorf("%+v\n%v\nwant %s", c.n, err, c.want)
		}
	}
	needs := func(n int) Needs { return Needs{List: repeat(n, masses(2000, 0))} }
	for n, want := range map[int]string{0: "list", 1: "", 12: "", 13: "list"} {
		if err := needs(n).Validate(); paths(err) != want {
			t.Errorf("%d needs: %v", n, err)
		}
	}
	goal := needs(2)
	goal.Goal, goal.List[1].Mass.Low = 3, 0
	if err := goal.Validate(); paths(err) != "goal list[1].mass" {
		t.Errorf("%v", err)
	}
}

// What a setup lacks for a need is named with the need.
func TestNeedOfSetup(t *testing.T) {
	bare := bareOrchard
	unknown := func() Setup { // arms weighed with the machine
		s := bare()
		l := *s.Loader
		l.FrameMass, l.FrameCG.X = 0, 0
		l.FrameCG.Y, l.FrameCG.Z = 0, 0
		s.Loader, s.Machine.LoaderIncluded = &l, WithLoader
		return s
	}
	off := Need{Kind: NeedMass, State: LoaderOff, Mass: units.Range[units.Mass]{Low: 1000}}
	on, every := off, off
	on.State, every.State = LoaderOn, EveryState
	by := func(d units.Density, v units.Volume) Need {
		n := liftNeed(1, 0)
		n.Lift.Load.Density, n.Lift.Load.Volume = d, v
		return n
	}
	for _, c := range []struct {
		name  string
		setup func() Setup
		need  Need
		want  string
	}{
		{"loader off", bare, off, ""},
		{"loader on, unknown arms", unknown, on, ""},
		{"every state, unknown arms", unknown, every, ""},
		{"loader off, unknown arms", unknown, off, "needs.list[1].state"},
		{"load by density", bare, by(1000, 0.3), ""},
		{"density without volume", bare, by(1000, 0), "needs.list[1].lift.load.mass"},
		{"100 t of load", bare, by(5000, 20), ""},
		{"101 t of load", bare, by(5050, 20), "needs.list[1].lift.load.mass"},
		{"out of reach", bare, liftNeed(2.9, 300), "needs.list[1].lift.height"},
	} {
		_, err := Plan(t.Context(), c.setup(), Needs{List: []Need{every, c.need}}, Stock{})
		if paths(err) != c.want {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
	// An answer that cannot take the loader off says so.
	p := planned(t, unknown(), Needs{List: []Need{every}}, Stock{})
	if p.Status != PlanOptimal || !p.Notes.Has(NoteArmMassUnknown) || !p.Cautions.Has(CautionUnchecked) || p.Best.Answers[0].State == StateLoaderOff {
		t.Errorf("%v, %v, %v, %+v", p.Status, p.Notes, p.Cautions, p.Best.Answers[0])
	}
	if p = planned(t, bare(), Needs{List: []Need{every}}, Stock{}); p.Notes.Has(NoteArmMassUnknown) {
		t.Errorf("%v", p.Notes)
	}
	// A machine without loader is in one state, that without loader.
	none := bare()
	none.Loader, none.Attachment = nil, nil
	p = planned(t, none, Needs{List: []Need{on, every, off}}, Stock{})
	w, err := none.WheelLoads()
	if err != nil {
		t.Fatal(err)
	}
	for i, a := range p.Best.Answers {
		if !a.Met || a.State != StateLoaderOff || math.Abs(float64(a.Axles.Front-w.Front)) > 1e-9 || math.Abs(float64(a.Axles.Total-w.Total)) > 1e-9 {
			t.Errorf("need %d: %+v", i, a)
		}
	}
}
