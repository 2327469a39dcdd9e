package ballast

import (
	"math"
	"reflect"
	"testing"

	"example.com/steelyard/units"
)

// endless finds a number in an answer that is not finite.
func endless(v reflect.Value) bool {
	switch v.Kind() {
	case reflect.Float64:
		return math.IsNaN(v.Float()) || math.IsInf(v.Float(), 0)
	case reflect.Struct:
		for i := range v.NumField() {
			if endless(v.Field(i)) {
				return true
			}
		}
	case reflect.Array, reflect.Slice:
		for i := range v.Len() {
			if endless(v.Index(i)) {
				return true
			}
		}
	}
	return false
}

// No method that takes a number and returns no error answers with a NaN or an
// infinity, whatever the number.
func TestAnswersAreFinite(t *testing.T) {
	s, rear, _ := l150(t)
	line, err := withLoads(s, rear, 0, 150, 300, 450, 0).Predict()
	if err != nil {
		t.Fatal(err)
	}
	_, c := compiled(t, orchard(), binLift(1.9))
	pose, err := orchard().Loader.At(1)
	if err != nil {
		t.Fatal(err)
	}
	called := map[string]int{}
	for _, of := range []any{line, TippingPrediction{}, c, pose, Pose{}, Allowance{}, Allowance{Kind: 1}} {
		v := reflect.ValueOf(of)
		for i := range v.NumMethod() {
			m, name := v.Method(i), v.Type().Method(i).Name
			takes := m.Type()
			if takes.NumIn() != 1 || takes.In(0).Kind() != reflect.Float64 || takes.Out(takes.NumOut()-1) == reflect.TypeFor[error]() {
				continue
			}
			for _, x := range []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e308, -1e308, 1e200, 5e-324, -1, 0} {
				in := reflect.New(takes.In(0)).Elem()
				in.SetFloat(x)
				called[name]++
				for _, out := range m.Call([]reflect.Value{in}) {
					if endless(out) {
						t.Errorf("%T.%s(%v) = %v", of, name, x, out)
					}
				}
			}
		}
	}
	for _, name := range []string{"RearAt", "Check", "WheelLoads", "LiftAhead", "Factor"} {
		if called[name] == 0 {
			t.Errorf("%s was not called", name)
		}
	}
	if e := line.RearAt(maxMass * 1.01); e != (Estimate[units.Mass]{}) {
		t.Errorf("more than any machine carries: %+v", e)
	}
	if e := line.RearAt(maxMass); e.SD == 0 {
		t.Errorf("the most: %+v", e)
	}
}
