// Package fieldtest helps the tests of every package to check the fields of its inputs
// against their documentation.
package fieldtest

import (
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"strings"
	"testing"

	"example.com/steelyard/internal/walk"
	"example.com/steelyard/units"
)

var updateRanges = flag.Bool("update-ranges", false, "write testdata/ranges.txt anew")

// An Input is a struct that reports its bad fields.
type Input interface{ Validate() error }

// Ranges compares the range of every number of every input, as its error states it, with a
// file. A range that moves is a change that callers notice; compare its line with the
// field's documentation.
func Ranges(t *testing.T, name string, inputs ...Input) {
	t.Helper()
	var lines []string
	for _, v := range inputs {
		full := reflect.New(reflect.TypeOf(v)).Elem()
		full.Set(reflect.ValueOf(v))
		fillIn(full, 0)
		validate := func() map[string]bool {
			out := map[string]bool{}
			collect(full.Interface().(Input).Validate(), out)
			return out
		}
		before := validate()
		for e := range before { // ranges without zero
			if strings.Contains(e, " be between ") {
				lines = append(lines, fmt.Sprintf("%T %s", v, e))
			}
		}
		eachNumber(full, func(f reflect.Value, set func(float64)) {
			had := reflect.New(f.Type()).Elem()
			had.Set(f)
			for _, x := range []float64{1e308, -1e308} {
				set(x)
				for e := range validate() {
					if !before[e] && strings.Contains(e, " be between ") {
						lines = append(lines, fmt.Sprintf("%T %s", v, e))
					}
				}
			}
			f.Set(had)
		})
	}
	slices.Sort(lines)
	got := strings.Join(slices.Compact(lines), "\n") + "\n"
	if *updateRanges {
		if err := os.WriteFile(name, []byte(got), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	documented, checked := strings.Split(string(want), "\n"), strings.Split(got, "\n")
	for _, l := range documented {
		if !slices.Contains(checked, l) {
			t.Errorf("a range of %s that is not checked: %s", name, l)
		}
	}
	for _, l := range checked {
		if !slices.Contains(documented, l) {
			t.Errorf("a range that %s has not: %s", name, l)
		}
	}
}

// Names fails unless an error names a field at a path.
func Names(t *testing.T, what string, err error, path string) {
	t.Helper()
	if !errors.Is(err, units.ErrInvalid) {
		t.Errorf("%s: %v is not an input error", what, err)
		return
	}
	if !Named(err, path) {
		t.Errorf("%s: %s is not named:\n%v", what, path, err)
	}
}

// Named reports whether an error names a field at a path.
func Named(err error, path string) bool {
	if err == nil {
		return false
	}
	for _, line := range strings.Split(err.Error(), "\n") {
		if strings.HasPrefix(line, path+":") {
			return true
		}
	}
	return false
}

// Ends checks one field against its documented range: the ends are accepted, and a value one
// percent beyond is refused by its path.
func Ends[T any](t *testing.T, path string, good T, set func(*T, float64), low, high float64) {
	t.Helper()
	validate := func(v float64) error {
		x := good
		set(&x, v)
		return any(x).(interface{ Validate() error }).Validate()
	}
	for _, v := range []float64{low, high} {
		if err := validate(v); err != nil {
			t.Errorf("%T: %s = %v is refused: %v", good, path, v, err)
		}
	}
	for _, v := range []float64{low - 0.01*math.Abs(low), high + 0.01*math.Abs(high)} {
		if v != low && v != high {
			Names(t, fmt.Sprintf("%T: %s = %v", good, path, v), validate(v), path)
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
	if in, ok := walk.InputOf(v); ok {
		f(v, in.Set)
		return
	}
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

// NotFinite reports the path of a number in a result that is not NotFinite.
func NotFinite(v reflect.Value, path string) string {
	switch v.Kind() {
	case reflect.Float64:
		if f := v.Float(); math.IsNaN(f) || math.IsInf(f, 0) {
			return path
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if p := NotFinite(v.Field(i), path+"."+v.Type().Field(i).Name); p != "" {
				return p
			}
		}
	case reflect.Array, reflect.Slice:
		for i := range v.Len() {
			if p := NotFinite(v.Index(i), fmt.Sprintf("%s[%d]", path, i)); p != "" {
				return p
			}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return NotFinite(v.Elem(), path)
		}
	}
	return ""
}

// Finite calls every method of the values that takes one number and returns no error, with
// numbers of all kinds. It fails if an answer holds a NaN or an infinity. It returns the
// number of calls of each method.
func Finite(t *testing.T, values ...any) map[string]int {
	t.Helper()
	called := map[string]int{}
	for _, of := range values {
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
					if NotFinite(out, name) != "" {
						t.Errorf("%T.%s(%v) = %v", of, name, x, out)
					}
				}
			}
		}
	}
	return called
}
