// Package walk changes plain inputs one field at a time, so that tests can check how
// an answer changes when a field is left out or made worse.
package walk

import (
	"encoding"
	"reflect"
	"strconv"
	"strings"
)

// A Field is one field of a value, by its path in JSON names without the numbers of
// list entries: "pieces[].mass".
type Field struct {
	Path string
	// Zero says that zero is a value of the field, by its tag.
	Zero  bool
	steps []int // through struct fields and list entries
}

// Fields lists the fields of v that are not zero: those that hold a value, and the
// structs, lists and pointers that may be left out as a whole. List entries and the
// coordinates of points count as separate fields.
func Fields(v any) []Field {
	var out []Field
	collect(reflect.ValueOf(v), Field{}, &out)
	return out
}

var textType = reflect.TypeFor[encoding.TextUnmarshaler]()

func collect(v reflect.Value, f Field, out *[]Field) {
	if v.Kind() == reflect.Pointer {
		if v.IsNil() {
			return
		}
		collect(v.Elem(), f, out)
		return
	}
	switch {
	case v.Kind() == reflect.Slice:
		for i := range v.Len() {
			e := f
			e.Path += "[]"
			e.steps = append(append([]int(nil), f.steps...), i)
			collect(v.Index(i), e, out)
		}
	case v.Kind() == reflect.Struct && !reflect.PointerTo(v.Type()).Implements(textType):
		for i := range v.NumField() {
			field := v.Type().Field(i)
			name, _, _ := strings.Cut(field.Tag.Get("json"), ",")
			if !field.IsExported() || name == "-" || name == "" || v.Field(i).IsZero() {
				continue
			}
			e := Field{Path: strings.TrimPrefix(f.Path+"."+name, "."), Zero: field.Tag.Get("zero") == "value"}
			e.steps = append(append([]int(nil), f.steps...), i)
			*out = append(*out, e)
			collect(v.Field(i), e, out)
		}
	}
}

// Without returns a copy of v in which the field is zero.
func Without[T any](v T, f Field) T {
	out := clone(reflect.ValueOf(v))
	at(out, f.steps).SetZero()
	return out.Interface().(T)
}

// Scaled returns a copy of v in which the field is multiplied by k; ok is false if the
// field is not a number.
func Scaled[T any](v T, f Field, k float64) (out T, ok bool) {
	c := clone(reflect.ValueOf(v))
	switch x := at(c, f.steps); x.Kind() {
	case reflect.Float64:
		x.SetFloat(k * x.Float())
	default:
		return v, false
	}
	return c.Interface().(T), true
}

// Value returns the number in the field of v as a text for a failing test.
func Value(v any, f Field) string {
	x := at(clone(reflect.ValueOf(v)), f.steps)
	if x.Kind() == reflect.Float64 {
		return strconv.FormatFloat(x.Float(), 'g', 6, 64)
	}
	return x.String()
}

// at follows steps into a settable value.
func at(v reflect.Value, steps []int) reflect.Value {
	for _, i := range steps {
		for v.Kind() == reflect.Pointer {
			v = v.Elem()
		}
		if v.Kind() == reflect.Slice {
			v = v.Index(i)
		} else {
			v = v.Field(i)
		}
	}
	return v
}

// clone returns a settable deep copy of a value.
func clone(v reflect.Value) reflect.Value {
	out := reflect.New(v.Type()).Elem()
	out.Set(v)
	deepen(out)
	return out
}

func deepen(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() && v.CanSet() {
			v.Set(pointerTo(v.Elem()))
			deepen(v.Elem())
		}
	case reflect.Slice:
		if !v.IsNil() && v.CanSet() {
			s := reflect.MakeSlice(v.Type(), v.Len(), v.Len())
			reflect.Copy(s, v)
			v.Set(s)
			for i := range s.Len() {
				deepen(s.Index(i))
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			deepen(v.Field(i))
		}
	}
}

func pointerTo(v reflect.Value) reflect.Value {
	p := reflect.New(v.Type())
	p.Elem().Set(v)
	return p
}
