package ballast_test

import (
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// Every path of every error is one of the JSON form of what was given,
// whichever method was asked: of a document and of a plan it begins with setup,
// needs, stock and so on; of a setup's methods with lift for the lift, and
// otherwise it is the setup's.
func TestErrorPaths(t *testing.T) {
	r := rand.New(rand.NewPCG(13, 6))
	tire, err := liquid.ParseTire("14.9-24")
	if err != nil {
		t.Fatal(err)
	}
	fresh := func() ballast.Document {
		fill := liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.CalciumChloride, 0.25), Level: liquid.ValveAt(12)}
		empty := fill
		empty.Level = liquid.Level{}
		s, l := randomCase(r)
		l.Load.Mass = 300
		front, rear := *s.Loader, s.Attachment
		attachment := *rear
		s.Loader, s.Attachment = &front, &attachment
		s.Loader.Rated = append([]ballast.RatedPoint(nil), s.Loader.Rated...)
		s.Machine.Front.Tire.Table = append([]ballast.PressureLoad(nil), s.Machine.Front.Tire.Table...)
		need := l
		d := ballast.Document{Version: ballast.DocumentVersion, Setup: s, Lifts: []ballast.Lift{l},
			Needs:     &ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedLift, Lift: &need, Hitch: ballast.Raised}, {Kind: ballast.NeedMass, Mass: units.Range[units.Mass]{Low: 100}, Hitch: ballast.Raised}}},
			Stock:     &ballast.Stock{Items: []ballast.Item{{Piece: ballast.Piece{Kind: ballast.FrontLiquid, Fill: &empty}, Steps: []ballast.Step{{Level: liquid.ValveAt(12)}}}, {Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: units.Is[units.Mass](20)}, Count: 3}}, Options: []ballast.Option{{RearTrack: 1.4}}},
			Transport: &ballast.Transport{FrontLoad: units.Is[units.Mass](900), RearLoad: units.Is[units.Mass](1100), Wheelbase: units.Is[units.Length](2), Hitch: ballast.Hitch{X: units.Is[units.Length](-0.6)}, Behind: mounted(100, 0.7)}}
		if r.IntN(3) == 0 {
			d.Setup.Pieces = append(d.Setup.Pieces, ballast.Piece{Kind: ballast.RearLiquid, Fill: &fill, Tires: 2})
		}
		return d
	}
	seen := map[string]bool{}
	hold := func(what string, err error, of func(path string) bool) {
		if err != nil && len(units.Fields(err)) == 0 {
			t.Errorf("%s: %v: no field", what, err)
		}
		for _, f := range units.Fields(err) {
			seen[f.Path] = true
			if !of(f.Path) {
				t.Errorf("%s: %v: no path of the JSON form", what, f)
			}
		}
	}
	document := func(path string) bool { return fieldtest.Resolves(reflect.TypeFor[ballast.Document](), path) }
	setup := func(path string) bool {
		if rest, ok := strings.CutPrefix(path, "lift"); ok {
			return fieldtest.Resolves(reflect.TypeFor[ballast.Lift](), strings.TrimPrefix(rest, "."))
		}
		return path == "load" || fieldtest.Resolves(reflect.TypeFor[ballast.Setup](), path)
	}
	for i := range 1500 {
		d := fresh()
		switch i % 5 {
		case 0:
			fieldtest.Spoil(r, reflect.ValueOf(&d).Elem())
		case 1:
			fieldtest.Spoil(r, reflect.ValueOf(&d.Setup).Elem())
		case 2:
			fieldtest.Spoil(r, reflect.ValueOf(&d.Lifts).Elem())
		case 3:
			fieldtest.Spoil(r, reflect.ValueOf(d.Needs).Elem())
		case 4:
			fieldtest.Spoil(r, reflect.ValueOf(d.Stock).Elem())
		}
		hold("document", d.Validate(), document)
		_, err := pointUse(d.Setup, d.Lifts[0])
		hold("usable load", err, setup)
		_, err = d.Setup.Check(d.Lifts[0], -1)
		hold("check", err, setup)
		if i%5 > 2 {
			_, err = d.Plan(t.Context())
			hold("plan", err, document)
		}
		if t.Failed() {
			return
		}
	}
	if len(seen) < 200 {
		t.Errorf("only %d paths seen", len(seen))
	}
}
