package ballast_test

import (
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/internal/fieldtest"
	"example.com/steelyard/internal/walk"
	"example.com/steelyard/stability"
	"example.com/steelyard/units"
)

// inputs calls f with every input in v, which can be set, and its path.
func inputs(v reflect.Value, path string, f func(path string, v reflect.Value, in walk.Input)) {
	if in, ok := walk.InputOf(v); ok {
		f(path, v, in)
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			inputs(v.Elem(), path, f)
		}
	case reflect.Slice:
		for i := range v.Len() {
			inputs(v.Index(i), units.Index(path, i), f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ","); name != "" && name != "-" {
				inputs(v.Field(i), units.JoinPath(path, name), f)
			}
		}
	}
}

// A range is refused by its path wherever an answer counts with single values,
// and so is what is declared absent and no rating. The range is about the value
// that was there.
func TestSingleValues(t *testing.T) {
	asked := map[string]func(s ballast.Setup, l ballast.Lift) error{
		"setup": func(s ballast.Setup, l ballast.Lift) error {
			_, err := pointUse(s, l)
			return err
		},
		"layout": func(s ballast.Setup, l ballast.Lift) error {
			_, err := s.Layout(1, l.Load)
			return err
		},
		"loader": func(s ballast.Setup, _ ballast.Lift) error { _, err := s.Loader.At(1); return err },
		"tire": func(s ballast.Setup, _ ballast.Lift) error {
			_, err := s.Machine.Front.Tire.PressureFor(500)
			return err
		},
		"inflation": func(s ballast.Setup, _ ballast.Lift) error {
			_, err := ballast.RequiredPressure{AxleLoad: 900, Axle: s.Machine.Front}.Solve()
			return err
		},
		"hitch": func(s ballast.Setup, _ ballast.Lift) error {
			_, _, err := s.Machine.Hitch.LiftAt(0.5)
			return err
		},
		"plan": func(s ballast.Setup, l ballast.Lift) error {
			stock := ballast.Stock{Items: []ballast.Item{{Piece: ballast.Piece{Kind: ballast.RearWheelWeight, Mass: s.Pieces[2].Mass}, Count: 1}}, Options: []ballast.Option{{Pieces: []ballast.Piece{s.Pieces[3]}}}}
			s.Pieces = nil
			_, err := ballast.Plan(t.Context(), s, ballast.Needs{List: []ballast.Need{{Kind: ballast.NeedLift, Hitch: ballast.Raised, Lift: &l}}}, stock)
			return err
		},
	}
	paths := map[string]func(path string) string{
		"setup": func(p string) string { return strings.Replace(p, "load.", "lift.load.", 1) },
		"layout": func(p string) string {
			return p
		},
		"transport": func(string) string { return "" },
		"own": func(p string) string {
			own, ok := strings.CutPrefix(p, "machine.")
			if !ok {
				return ""
			}
			return own
		},
		"loader": func(p string) string {
			own, ok := strings.CutPrefix(p, "loader.")
			if !ok {
				return ""
			}
			return own
		},
		"tire":      func(p string) string { return map[string]string{"machine.front.tire.pressure": "pressure"}[p] },
		"inflation": func(p string) string { return strings.Replace(cut(p, "machine.front."), "front.", "axle.", 1) },
		"hitch":     func(p string) string { return map[string]string{"machine.hitch.rating": "rating"}[p] },
		"plan": func(p string) string {
			if rest, ok := strings.CutPrefix(p, "pieces[3]."); ok {
				return "stock.options[0].pieces[0]." + rest
			}
			switch {
			case p == "pieces[2].mass":
				return "stock.items[0].piece.mass"
			case strings.HasPrefix(p, "pieces"), strings.HasPrefix(p, "load."):
				return ""
			}
			return "setup." + p
		},
	}
	build := func(kind int) (ballast.Setup, ballast.Lift) {
		s, l := orchard(), binLift(1)
		if kind == 1 {
			s.Loader.Rated = nil
			s.Loader.Cylinders = &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is[units.Length](0.06), Above: units.Is[units.Length](-0.375)}, RodRadius: units.Is[units.Length](0.95), RodAngle: units.Is(2 * units.Degree), Bore: units.Is[units.Length](0.055), Count: 2, Pressure: units.Is[units.GaugePressure](16e6)}
			s.Attachment = &ballast.Attachment{Kind: ballast.Bucket, Mass: units.Is[units.Mass](140), CG: ballast.Offset{Ahead: units.Is[units.Length](0.3), Above: units.Is[units.Length](0.1)}, Face: units.Is[units.Length](0.45), Edge: ballast.Offset{Ahead: units.Is[units.Length](0.8), Above: units.Is[units.Length](-0.15)}, Volume: units.Is[units.Volume](0.3)}
			l.Datum = ballast.EdgeHeight
			s.Machine.FrontLoad, s.Machine.RearLoad = units.Is[units.Mass](650), units.Is[units.Mass](850)
			s.Machine.Mass, s.Machine.CG.X = units.Input[units.Mass]{}, units.Input[units.Length]{}
		}
		return s, l
	}
	tried := map[string]int{}
	for kind := range 2 {
		s, l := build(kind)
		both := struct {
			ballast.Setup
			Load *ballast.Load `json:"load"`
		}{s, &l.Load}
		each := func(f func(path string, v reflect.Value, in walk.Input)) {
			inputs(reflect.ValueOf(&both.Setup).Elem(), "", f)
			inputs(reflect.ValueOf(both.Load), "load", f)
		}
		each(func(path string, v reflect.Value, in walk.Input) {
			if !in.Known {
				return
			}
			had := reflect.New(v.Type()).Elem()
			had.Set(v)
			for _, what := range []string{"range", "none"} {
				if what == "range" {
					in.SetRange(in.Value-1e-4*math.Abs(in.Value), in.Value+1e-4*math.Abs(in.Value))
				} else {
					v.Set(reflect.ValueOf(absent(v.Interface())))
				}
				for name, ask := range asked {
					at := paths[name](path)
					if at == "" || what == "none" && rating(path) && name != "hitch" {
						continue
					}
					if name == "plan" && what == "range" && strings.HasPrefix(at, "setup.") && !strings.Contains(at, "cylinders.base") && !strings.Contains(at, "cylinders.rod") {
						continue // a plan takes what the setup leaves open, but for where cylinders are
					}
					l.Load = *both.Load
					err := ask(both.Setup, l)
					if !fieldtest.Named(err, at) {
						t.Errorf("%s, %s %s: %s is not named: %v", name, path, what, at, err)
					}
					if what == "range" && (err == nil || !strings.Contains(err.Error(), "must be a single value here")) {
						t.Errorf("%s, %s %s: %v", name, path, what, err)
					}
					tried[name]++
				}
				if err := both.Validate(); what == "range" && err != nil {
					t.Errorf("%s as a range is no valid input: %v", path, err)
				}
			}
			v.Set(had)
		})
	}
	for name := range asked {
		if tried[name] == 0 {
			t.Errorf("%s was not tried", name)
		}
	}
	t.Log(tried)
}

// rating reports whether a path is that of a rating, which may be declared absent.
func rating(path string) bool {
	last := strings.ToLower(path[strings.LastIndex(path, ".")+1:])
	return strings.HasSuffix(last, "rating") || last == "breakout"
}

// cut returns what stands behind a prefix but for its last name, or "".
func cut(path, prefix string) string {
	rest, ok := strings.CutPrefix(path, prefix)
	if !ok {
		return ""
	}
	return "front." + rest
}

func absent(in any) any {
	switch in.(type) {
	case units.Input[units.Length]:
		return units.None[units.Length]()
	case units.Input[units.Mass]:
		return units.None[units.Mass]()
	case units.Input[units.Volume]:
		return units.None[units.Volume]()
	case units.Input[units.Angle]:
		return units.None[units.Angle]()
	case units.Input[units.Force]:
		return units.None[units.Force]()
	case units.Input[units.Fraction]:
		return units.None[units.Fraction]()
	case units.Input[units.GaugePressure]:
		return units.None[units.GaugePressure]()
	}
	panic(fmt.Sprintf("%T", in))
}

// A document holds ranges and "none", and their errors have paths.
func TestInputDocuments(t *testing.T) {
	text := func(replace ...string) string {
		return strings.NewReplacer(replace...).Replace(`{"version": 1, "setup": {
			"machine": {"mass": "1500 kg", "massIncludes": "fueled", "loaderIncluded": "without", "cg": {"x": "0.76 m", "z": "0.66 m"},
				"undercarriage": "pivotingFront", "wheelbase": "1.75 m", "rearTrack": "1.2 m", "operator": "asStated", "fuel": {"state": "asStated"}}}}`)
	}
	d, err := ballast.Decode(strings.NewReader(text(`"0.66 m"`, `{"low": "0.6 m", "high": "0.7 m"}`, `"operator"`, `"ropsRating": "none", "operator"`)))
	if err != nil {
		t.Fatal(err)
	}
	if m := d.Setup.Machine; m.CG.Z != units.Between[units.Length](0.6, 0.7) || m.ROPSRating != units.None[units.Mass]() || !m.GrossRating.Unknown() {
		t.Errorf("%v, %v, %v", m.CG.Z, m.ROPSRating, m.GrossRating)
	}
	var b strings.Builder
	if err := d.Encode(&b); err != nil {
		t.Fatal(err)
	}
	if again, err := ballast.Decode(strings.NewReader(b.String())); err != nil || !reflect.DeepEqual(again, d) {
		t.Errorf("%v, written\n%s", err, b.String())
	}
	_, err = d.Setup.Compile()
	for _, want := range []string{"machine.cg.z: 0.6 m to 0.7 m: must be a single value here"} {
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%v, want %s", err, want)
		}
	}
	for _, c := range []struct{ was, is, want string }{
		{`"0.66 m"`, `{"low": "0.01 m", "high": "0.8 m"}`, "setup.machine.cg.z.low: 0.01 m: must be left out or be between 0.1 m and 10 m"},
		{`"0.66 m"`, `{"low": "0.8 m", "high": "0.6 m"}`, "setup.machine.cg.z.high: 0.6 m: must be no less than low, 0.8 m"},
		{`"0.66 m"`, `{"low": "0.8 m", "most": "1 m"}`, "setup.machine.cg.z.most: unknown field"},
		{`"0.66 m"`, `{"low": "0.8 m", "low": "0.8 m", "high": "1 m"}`, "setup.machine.cg.z.low: duplicate key"},
		{`"0.66 m"`, `{"low": "0.8 kg", "high": "1 m"}`, "setup.machine.cg.z.low: "},
		{`"0.66 m"`, `"-1 m"`, "setup.machine.cg.z: -1 m: must be left out or be between"},
		{`"1500 kg"`, `{"low": "1 kg", "high": "2 t"}`, "setup.machine.mass.low: 1 kg: must be between 50 kg and 100000 kg"},
		{`"1500 kg"`, `"none"`, "setup.machine.mass: none: must be given"},
		{`"1500 kg"`, `"0 kg"`, "setup.machine.mass: 0 kg: must be between 50 kg and 100000 kg"},
		{`"1500 kg"`, `null`, "setup.machine.mass: null: must be a value, or left out"},
	} {
		if _, err := ballast.Decode(strings.NewReader(text(c.was, c.is))); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", c.is, err, c.want)
		}
	}
}

// A known zero is a value where the field's range holds it: it answers as what
// is next to it does.
func TestKnownZero(t *testing.T) {
	for name, set := range map[string]func(s *ballast.Setup, l *ballast.Lift, x units.Length){
		"pivot":       func(s *ballast.Setup, _ *ballast.Lift, x units.Length) { s.Loader.Pivot.X = units.Is(x) },
		"seat":        func(s *ballast.Setup, _ *ballast.Lift, x units.Length) { s.Machine.Seat.X = units.Is(x) },
		"tank":        func(s *ballast.Setup, _ *ballast.Lift, x units.Length) { s.Machine.Fuel.CG.X = units.Is(x) },
		"frame":       func(s *ballast.Setup, _ *ballast.Lift, x units.Length) { s.Loader.FrameCG.X = units.Is(x) },
		"guard":       func(s *ballast.Setup, _ *ballast.Lift, x units.Length) { s.Pieces[5].CG.X = units.Is(x) },
		"face":        func(s *ballast.Setup, _ *ballast.Lift, x units.Length) { s.Attachment.Face = units.Is(x) },
		"tine":        func(s *ballast.Setup, _ *ballast.Lift, x units.Length) { s.Attachment.Tine = units.Is(x) },
		"ahead":       func(s *ballast.Setup, _ *ballast.Lift, x units.Length) { s.Attachment.CG.Ahead = units.Is(x) },
		"above":       func(s *ballast.Setup, _ *ballast.Lift, x units.Length) { s.Attachment.CG.Above = units.Is(x) },
		"load center": func(_ *ballast.Setup, l *ballast.Lift, x units.Length) { l.Load.Center = units.Is(x) },
		"load above":  func(_ *ballast.Setup, l *ballast.Lift, x units.Length) { l.Load.Above = units.Is(x) },
		"sideways":    func(_ *ballast.Setup, l *ballast.Lift, x units.Length) { l.Load.Sideways = units.Is(x) },
		"leveling": func(s *ballast.Setup, _ *ballast.Lift, x units.Length) {
			s.Loader.SelfLeveling = units.Is(units.Fraction(x))
		},
		"base": func(s *ballast.Setup, _ *ballast.Lift, x units.Length) {
			s.Loader.Rated = nil
			s.Loader.Cylinders = &ballast.Cylinders{Base: ballast.Offset{Ahead: units.Is(x), Above: units.Is[units.Length](-0.375)}, RodRadius: units.Is[units.Length](0.95), RodAngle: units.Is(units.Angle(x)), Bore: units.Is[units.Length](0.055), Count: 2, Pressure: units.Is[units.GaugePressure](16e6)}
		},
	} {
		var uses [2]ballast.Use
		for i, x := range []units.Length{0, 1e-9} {
			s, l := orchard(), binLift(1)
			l.Slope = 0.05
			set(&s, &l, x)
			uses[i] = use(t, s, l)
		}
		a, b := uses[0], uses[1]
		if a.Notes != b.Notes || a.Status != b.Status || math.Abs(float64(a.Mass-b.Mass)) > 1e-3 {
			t.Errorf("%s of zero: %v kg, %v, %v, next to it %v kg, %v, %v", name, float64(a.Mass), a.Status, a.Notes, float64(b.Mass), b.Status, b.Notes)
		}
		for i, x := range a.Limits {
			if y := b.Limits[i]; x.Status != y.Status || x.Status == stability.Within && math.Abs(float64(x.Mass-y.Mass)) > 1e-3 {
				t.Errorf("%s of zero: %v %v kg, %v, next to it %v kg, %v", name, x.Kind, float64(x.Mass), x.Status, float64(y.Mass), y.Status)
			}
		}
	}
}
