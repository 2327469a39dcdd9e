package ballast_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/ballast"
	"example.com/steelyard/units"
)

// Every bound that a form shows is taken when it is typed in as it is shown: in metric, US and
// imperial units, with a decimal comma and the signs of print, with few digits. Each is put
// into a document in the place of what stands there, and Decode has nothing against it but
// what relates it to other fields.
func TestShownBoundsDecode(t *testing.T) {
	if testing.Short() {
		t.Skip("many documents")
	}
	displays := []units.Display{
		{}, {Comma: true, Signs: true}, {System: units.USCustomary, Comma: true}, {System: units.Imperial, FeetInches: true, Precision: units.Decimals(1)}, {Grade: true, Precision: units.Significant(2)},
	}
	typed, displayed := 0, map[string]bool{}
	for n, d := range wholeDocuments() {
		text, err := json.Marshal(d)
		if err != nil {
			t.Fatal(err)
		}
		var tree any
		if err := json.Unmarshal(text, &tree); err != nil {
			t.Fatal(err)
		}
		at := func(path, text string, put func(any)) []*units.FieldError {
			put(text)
			b, err := json.Marshal(tree)
			if err != nil {
				t.Fatal(err)
			}
			_, err = ballast.Decode(strings.NewReader(string(b)))
			return slices.DeleteFunc(units.Fields(err), func(f *units.FieldError) bool { return f.Path != path })
		}
		eachText(tree, "", func(path, was string, put func(any)) {
			f, ok := ballast.FieldAt(path)
			if !ok || f.Quantity == "" || n > 5 && displayed[f.Path] {
				return
			}
			displayed[f.Path] = true
			m, ok := f.Range()
			if !ok {
				t.Fatal(path)
			}
			for i, p := range m.Params {
				if i == 0 && f.Bounds[0].Above {
					continue // "more than"
				}
				// What the exact end is refused for is a relation to another field.
				v := []float64{f.Bounds[0].Low, f.Bounds[0].High}[i]
				exact := at(path, siText(f.Quantity, v), put)
				for _, display := range displays {
					shown := (units.Catalog{Texts: map[string]string{"x": "{" + p.Name + "}"}, Display: display}).Text("x", p)
					text, err := f.PointText(display, shown)
					if err != nil {
						t.Errorf("%s: %q is shown and not read: %v", path, shown, err)
						continue
					}
					typed++
					for _, e := range at(path, text, put) {
						if !slices.ContainsFunc(exact, func(x *units.FieldError) bool { return x.Code == e.Code && x.Code != "want.notZeroLeaveFieldOut" }) {
							t.Errorf("%s: %q is shown and refused: %v", path, shown, e)
						}
					}
				}
			}
			put(was)
		})
	}
	t.Logf("%d bounds of %d fields were typed", typed, len(displayed))
	if typed < 4000 {
		t.Errorf("only %d bounds were typed", typed)
	}
}

// eachText calls f for every string of a JSON tree, with its path and a way to change it.
func eachText(v any, path string, f func(path, was string, put func(any))) {
	switch x := v.(type) {
	case map[string]any:
		for k, e := range x {
			if s, ok := e.(string); ok {
				f(units.JoinPath(path, k), s, func(v any) { x[k] = v })
			} else {
				eachText(e, units.JoinPath(path, k), f)
			}
		}
	case []any:
		for i, e := range x {
			eachText(e, units.Index(path, i), f)
		}
	}
}

// siText writes a quantity of a name in SI with all digits.
func siText(name string, v float64) string {
	return map[string]func(float64) string{
		"length": si[units.Length], "mass": si[units.Mass], "volume": si[units.Volume], "density": si[units.Density], "force": si[units.Force],
		"gaugePressure": si[units.GaugePressure], "angle": si[units.Angle], "slope": si[units.Slope], "temperature": si[units.Temperature],
		"speed": si[units.Speed], "acceleration": si[units.Acceleration], "fraction": si[units.Fraction], "massFraction": si[units.MassFraction],
		"inertia": si[units.Inertia], "stiffness": si[units.Stiffness], "duration": si[units.Duration], "power": si[units.Power],
	}[name](v)
}

func si[Q interface {
	units.Quantity
	String() string
}](v float64) string {
	return Q(v).String()
}
