package ballast_test

import (
	"math"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
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
	lift := func(change func(*ballast.Need)) ballast.Need {
		n := liftNeed(1, 300)
		change(&n)
		return n
	}
	steered := func(low, high units.Fraction) ballast.Need {
		return ballast.Need{Kind: ballast.NeedSteeredShare, Base: ballast.SteeredOfLaden, Share: share{Low: low, High: high}}
	}
	split := func(low, high units.Fraction) ballast.Need {
		return ballast.Need{Kind: ballast.NeedAxleSplit, Share: share{Low: low, High: high}}
	}
	masses := func(low, high units.Mass) ballast.Need {
		return ballast.Need{Kind: ballast.NeedMass, Mass: mass{Low: low, High: high}}
	}
	for _, c := range []struct {
		n    ballast.Need
		want string
	}{
		{ballast.Need{}, "kind"},
		{ballast.Need{Kind: 9}, "kind"},
		{lift(func(*ballast.Need) {}), ""},
		{lift(func(n *ballast.Need) { n.Hitch = ballast.HitchUnknown }), ""},
		{lift(func(n *ballast.Need) { n.Hitch = ballast.Resting }), ""},
		{lift(func(n *ballast.Need) { n.Hitch = ballast.Floating }), "hitch"},
		{lift(func(n *ballast.Need) { n.Lift = nil }), "lift"},
		{lift(func(n *ballast.Need) { n.Lift.Basis = ballast.Basis{} }), "lift.basis"},
		{lift(func(n *ballast.Need) { n.Lift.Load.Mass = 0 }), "lift.load.mass"},
		{lift(func(n *ballast.Need) { n.Lift.Load.Mass, n.Lift.Load.Density = 0, 1000 }), ""},
		{lift(func(n *ballast.Need) { n.Lift.Height = -2 }), "lift.height"},
		{lift(func(n *ballast.Need) { n.State = ballast.LoaderOn }), "state"},
		{lift(func(n *ballast.Need) { n.State = 9 }), "state"},
		{lift(func(n *ballast.Need) { n.Base = ballast.SteeredOfLaden }), "base"},
		{lift(func(n *ballast.Need) { n.Share.Low = 0.2 }), "share"},
		{lift(func(n *ballast.Need) { n.Share.High = 0.2 }), "share"},
		{lift(func(n *ballast.Need) { n.Mass.Low = 2000 }), "mass"},
		{lift(func(n *ballast.Need) { n.Mass.High = 2000 }), "mass"},
		{steered(0.2, 0), ""},
		{steered(0.01, 0), ""},
		{steered(0.9, 0), ""},
		{steered(0.0099, 0), "share.low"},
		{steered(0.909, 0), "share.low"},
		{steered(0, 0), "share.low"},
		{steered(0.2, 0.5), "share.high"},
		{ballast.Need{Kind: ballast.NeedSteeredShare, Share: share{Low: 0.2}}, "base"},
		{ballast.Need{Kind: ballast.NeedSteeredShare, Base: ballast.SteeredOfLaden, Share: share{Low: 0.2}, Mass: mass{Low: 2000}}, "mass"},
		{ballast.Need{Kind: ballast.NeedSteeredShare, Base: ballast.SteeredOfLaden, Share: share{Low: 0.2}, State: ballast.LoaderOff}, ""},
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
		{ballast.Need{Kind: ballast.NeedAxleSplit, Share: share{High: 0.5}, Base: ballast.SteeredOfLaden}, "base"},
		{ballast.Need{Kind: ballast.NeedAxleSplit, Share: share{High: 0.5}, Lift: liftNeed(1, 300).Lift}, "lift"},
		{ballast.Need{Kind: ballast.NeedAxleSplit, Share: share{High: 0.5}, Mass: mass{High: 2000}}, "mass"},
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
		{ballast.Need{Kind: ballast.NeedMass, Mass: mass{Low: 2000}, Share: share{Low: 0.2}}, "share"},
	} {
		if err := c.n.Validate(); paths(err) != c.want {
			t.Errorf("%+v\n%v\nwant %s", c.n, err, c.want)
		}
	}
	needs := func(n int) ballast.Needs { return ballast.Needs{List: repeat(n, masses(2000, 0))} }
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
	unknown := func() ballast.Setup { // arms weighed with the machine
		s := bare()
		l := *s.Loader
		l.FrameMass, l.FrameCG.X = units.Input[units.Mass]{}, units.Input[units.Length]{}
		l.FrameCG.Y, l.FrameCG.Z = units.Input[units.Length]{}, units.Input[units.Length]{}
		s.Loader, s.Machine.LoaderIncluded = &l, ballast.WithLoader
		return s
	}
	off := ballast.Need{Kind: ballast.NeedMass, State: ballast.LoaderOff, Mass: units.Range[units.Mass]{Low: 1000}}
	on, every := off, off
	on.State, every.State = ballast.LoaderOn, ballast.EveryState
	by := func(d units.Density, v units.Volume) ballast.Need {
		n := liftNeed(1, 0)
		n.Lift.Load.Density, n.Lift.Load.Volume = d, v
		return n
	}
	for _, c := range []struct {
		name  string
		setup func() ballast.Setup
		need  ballast.Need
		want  string
	}{
		{"loader off", bare, off, ""},
		{"loader on, unknown arms", unknown, on, ""},
		{"every state, unknown arms", unknown, every, ""},
		{"loader off, unknown arms", unknown, off, ""},
		{"load by density", bare, by(1000, 0.3), ""},
		{"density without volume", bare, by(1000, 0), "needs.list[1].lift.load.mass"},
		{"100 t of load", bare, by(5000, 20), ""},
		{"101 t of load", bare, by(5050, 20), "needs.list[1].lift.load.mass"},
		{"out of reach", bare, liftNeed(2.9, 300), "needs.list[1].lift.height"},
	} {
		_, err := ballast.Plan(t.Context(), c.setup(), ballast.Needs{List: []ballast.Need{every, c.need}}, ballast.Stock{})
		if paths(err) != c.want {
			t.Errorf("%s: %v, want %s", c.name, err, c.want)
		}
	}
	// Arms of unknown mass are those of practice: the loader comes off with the most of it.
	p := planned(t, unknown(), ballast.Needs{List: []ballast.Need{every}}, ballast.Stock{})
	if p.Status != ballast.PlanOptimal || p.Best.Answers[0].State != ballast.StateLoaderOff {
		t.Errorf("%v, %+v", p.Status, p.Best)
	}
	// A machine without loader is in one state, that without loader.
	none := bare()
	none.Loader, none.Attachment = nil, nil
	p = planned(t, none, ballast.Needs{List: []ballast.Need{on, every, off}}, ballast.Stock{})
	w, err := none.WheelLoads()
	if err != nil {
		t.Fatal(err)
	}
	for i, a := range p.Best.Answers {
		if !a.Met || a.State != ballast.StateLoaderOff || math.Abs(float64(a.Axles.Front-w.Front)) > 1e-9 || math.Abs(float64(a.Axles.Total-w.Total)) > 1e-9 {
			t.Errorf("need %d: %+v", i, a)
		}
	}
}
