package ballast

import (
	"encoding"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"

	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// resolves reports whether a path names a field, an entry or the whole of a
// type as JSON has it. What has a text form has no fields there.
func resolves(typ reflect.Type, path string) bool {
	for typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	switch {
	case path == "":
		return true
	case reflect.PointerTo(typ).Implements(reflect.TypeFor[encoding.TextUnmarshaler]()):
		return false
	case path[0] == '[':
		end := strings.IndexByte(path, ']')
		return end > 1 && typ.Kind() == reflect.Slice && resolves(typ.Elem(), strings.TrimPrefix(path[end+1:], "."))
	case typ.Kind() != reflect.Struct:
		return false
	}
	end := strings.IndexAny(path+".", ".[")
	for i := range typ.NumField() {
		if name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ","); name == path[:end] {
			return resolves(typ.Field(i).Type, strings.TrimPrefix(path[end:], "."))
		}
	}
	return false
}

// spoil sets some leaves of a value to what no field accepts.
func spoil(r *rand.Rand, v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			spoil(r, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			spoil(r, v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				spoil(r, v.Field(i))
			}
		}
	default:
		if r.IntN(12) != 0 {
			return
		}
		switch v.Kind() {
		case reflect.Float64:
			v.SetFloat([]float64{math.NaN(), math.Inf(-1), -1, 0, 1e9, 1e-9, 0.3, 99}[r.IntN(8)])
		case reflect.Int, reflect.Int64:
			v.SetInt([]int64{-1, 0, 1, 7, 1 << 40}[r.IntN(5)])
		case reflect.Uint8, reflect.Uint16:
			v.SetUint([]uint64{0, 1, 2, 5, 99, 200}[r.IntN(6)])
		}
	}
}

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
	fresh := func() Document {
		fill := liquid.Fill{Tire: tire, Fluid: liquid.Brine(liquid.CalciumChloride, 0.25), Level: liquid.ValveAt(12)}
		empty := fill
		empty.Level = liquid.Level{}
		s, l := randomCase(r)
		l.Load.Mass = 300
		front, rear := *s.Loader, s.Attachment
		attachment := *rear
		s.Loader, s.Attachment = &front, &attachment
		s.Loader.Rated = append([]RatedPoint(nil), s.Loader.Rated...)
		s.Machine.Front.Tire.Table = append([]PressureLoad(nil), s.Machine.Front.Tire.Table...)
		need := l
		d := Document{Version: DocumentVersion, Setup: s, Lifts: []Lift{l},
			Needs:     &Needs{List: []Need{{Kind: NeedLift, Lift: &need, Hitch: Raised}, {Kind: NeedMass, Mass: units.Range[units.Mass]{Low: 100}, Hitch: Raised}}},
			Stock:     &Stock{Items: []Item{{Piece: Piece{Kind: FrontLiquid, Fill: &empty}, Steps: []Step{{Level: liquid.ValveAt(12)}}}, {Piece: Piece{Kind: RearWheelWeight, Mass: 20}, Count: 3}}, Options: []Option{{RearTrack: 1.4}}},
			Transport: &Transport{FrontLoad: 900, RearLoad: 1100, Wheelbase: 2, Hitch: Hitch{X: -0.6}, Behind: Mounted{Mass: 100, Distance: 0.7}}}
		if r.IntN(3) == 0 {
			d.Setup.Pieces = append(d.Setup.Pieces, Piece{Kind: RearLiquid, Fill: &fill, Tires: 2})
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
	document := func(path string) bool { return resolves(reflect.TypeFor[Document](), path) }
	setup := func(path string) bool {
		if rest, ok := strings.CutPrefix(path, "lift"); ok {
			return resolves(reflect.TypeFor[Lift](), strings.TrimPrefix(rest, "."))
		}
		return path == "load" || resolves(reflect.TypeFor[Setup](), path)
	}
	for i := range 1500 {
		d := fresh()
		switch i % 5 {
		case 0:
			spoil(r, reflect.ValueOf(&d).Elem())
		case 1:
			spoil(r, reflect.ValueOf(&d.Setup).Elem())
		case 2:
			spoil(r, reflect.ValueOf(&d.Lifts).Elem())
		case 3:
			spoil(r, reflect.ValueOf(d.Needs).Elem())
		case 4:
			spoil(r, reflect.ValueOf(d.Stock).Elem())
		}
		hold("document", d.Validate(), document)
		_, err := d.Setup.UsableLoad(d.Lifts[0])
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
