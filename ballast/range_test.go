package ballast

import (
	"flag"
	"fmt"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.com/steelyard/units"
)

var updateRanges = flag.Bool("update-ranges", false, "write testdata/ranges.txt anew")

// TestRanges holds the range of every number of every input, as its error
// states it, to testdata/ranges.txt: a range that moves is a change that
// callers notice, and its line is to be read against the field's
// documentation.
func TestRanges(t *testing.T) {
	var lines []string
	for _, v := range []interface{ Validate() error }{
		Attachment{},
		Axle{},
		AxleLift{},
		Basis{},
		Braking{},
		Change{},
		Counterweight{},
		Cylinders{},
		Document{},
		Fuel{},
		Inflation{},
		Item{},
		LevelWeighing{},
		Lift{},
		Load{},
		Loader{},
		Machine{},
		MassRange{},
		Need{},
		Needs{},
		Option{},
		Piece{},
		Pull{},
		ROPSTest{},
		Reconciliation{},
		Scale{},
		Setup{},
		SpecSheet{},
		SpecTolerance{},
		SteeredRule{},
		Stock{},
		TireRating{},
		Traction{},
		Transport{},
		WeighSession{},
	} {
		full := reflect.New(reflect.TypeOf(v)).Elem()
		fillIn(full, 0)
		validate := func() map[string]bool {
			out := map[string]bool{}
			collect(full.Interface().(interface{ Validate() error }).Validate(), out)
			return out
		}
		before := validate()
		eachNumber(full, func(f reflect.Value, set func(float64)) {
			for _, x := range []float64{1e308, -1e308} {
				set(x)
				for e := range validate() {
					if !before[e] && strings.Contains(e, " between ") {
						lines = append(lines, fmt.Sprintf("%T %s", v, e))
					}
				}
			}
			set(0)
		})
	}
	slices.Sort(lines)
	got := strings.Join(slices.Compact(lines), "\n") + "\n"
	const name = "testdata/ranges.txt"
	if *updateRanges {
		if err := os.WriteFile(name, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if d := cmp.Diff(strings.Split(string(want), "\n"), strings.Split(got, "\n")); d != "" {
		t.Errorf("ranges (-documented +checked):\n%s", d)
	}
}

// The ends of a range are inside it.
func TestWithin(t *testing.T) {
	for v, ok := range map[units.Length]bool{1: true, 2: true, 0.99: false, 2.01: false, 0: false, -1: false} {
		var c checker
		within(&c, "x", v, 1, 2)
		if (c.Len() == 0) != ok {
			t.Errorf("%v within 1 to 2: %v", float64(v), c.Err())
		}
		var z checker
		zeroOr(&z, "x", v, 1, 2)
		if (z.Len() == 0) != (ok || v == 0) {
			t.Errorf("%v zero or within 1 to 2: %v", float64(v), z.Err())
		}
	}
}

// collect notes each field error as its path and what would be accepted.
func collect(err error, out map[string]bool) {
	if f, ok := err.(*units.FieldError); ok {
		out[f.Path+": "+f.Want] = true
	} else if m, ok := err.(interface{ Unwrap() []error }); ok {
		for _, e := range m.Unwrap() {
			collect(e, out)
		}
	}
}

// fillIn gives every pointer a target and every list one element.
func fillIn(v reflect.Value, depth int) {
	if depth > 6 {
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		v.Set(reflect.New(v.Type().Elem()))
		fillIn(v.Elem(), depth+1)
	case reflect.Slice:
		v.Set(reflect.MakeSlice(v.Type(), 1, 1))
		fillIn(v.Index(0), depth+1)
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				fillIn(v.Field(i), depth+1)
			}
		}
	}
}

// eachNumber calls f with every number in a value and a way to set it.
func eachNumber(v reflect.Value, f func(reflect.Value, func(float64))) {
	switch v.Kind() {
	case reflect.Float64:
		f(v, v.SetFloat)
	case reflect.Int:
		f(v, func(x float64) { v.SetInt(int64(max(-1e9, min(1e9, x)))) })
	case reflect.Pointer:
		eachNumber(v.Elem(), f)
	case reflect.Slice:
		for i := range v.Len() {
			eachNumber(v.Index(i), f)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				eachNumber(v.Field(i), f)
			}
		}
	}
}
