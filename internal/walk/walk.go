// Package walk changes plain inputs one field at a time, so that tests can ask
// what an answer does when a field is left out or made worse.
package walk

import (
	"encoding"
	"reflect"
	"strconv"
	"strings"
)

// A Field is one field of a value, by its path in JSON names, with the numbers
// of list entries left open: "pieces[].mass".
type Field struct {
	Path string
	// Zero says that zero is a value of the field, as its tag has it.
	Zero  bool
	steps []int // through struct fields and list entries
}

// Fields lists the fields of v that are not zero: those with a value of their
// own, and the structs, lists and pointers that may be left out whole. List
// entries and the coordinates of points count as fields of their own.
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

// Scaled returns a copy of v in which the field, a number, is k times what it
// was; ok is false if it is no number.
func Scaled[T any](v T, f Field, k float64) (out T, ok bool) {
	c := clone(reflect.ValueOf(v))
	x := at(c, f.steps)
	if in, ok := InputOf(x); ok && in.Known {
		in.Set(k * in.Value)
	} else if x.Kind() == reflect.Float64 {
		x.SetFloat(k * x.Float())
	} else {
		return v, false
	}
	return c.Interface().(T), true
}

// Widened returns a copy of v in which the field, an input whose value is known,
// is a range from low to high times its value; ok is false if it is none.
func Widened[T any](v T, f Field, low, high float64) (out T, ok bool) {
	c := clone(reflect.ValueOf(v))
	in, ok := InputOf(at(c, f.steps))
	if !ok || !in.Known {
		return v, false
	}
	a, b := low*in.Value, high*in.Value
	in.SetRange(min(a, b), max(a, b))
	return c.Interface().(T), true
}

// Value returns the number in the field of v, as a text that a failing test can
// show.
func Value(v any, f Field) string {
	x := at(clone(reflect.ValueOf(v)), f.steps)
	if in, ok := InputOf(x); ok {
		return strconv.FormatFloat(in.Value, 'g', 6, 64)
	}
	if x.Kind() == reflect.Float64 {
		return strconv.FormatFloat(x.Float(), 'g', 6, 64)
	}
	return x.String()
}

// at follows steps into a value that can be set.
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

// clone returns a deep copy of a value, which can be set.
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

// Set returns a copy of v in which the field, a number, is x; ok is false if it is no number.
func Set[T any](v T, f Field, x float64) (out T, ok bool) {
	c := clone(reflect.ValueOf(v))
	at := at(c, f.steps)
	if in, ok := InputOf(at); ok {
		in.Set(x)
		return c.Interface().(T), true
	}
	switch at.Kind() {
	case reflect.Float64:
		at.SetFloat(x)
	case reflect.Int, reflect.Int64:
		at.SetInt(int64(x))
	case reflect.Uint8, reflect.Uint16, reflect.Uint64:
		at.SetUint(uint64(x))
	default:
		return v, false
	}
	return c.Interface().(T), true
}

// None returns a copy of v in which the field, an input, is declared absent; ok is false if it
// is no input.
func None[T any](v T, f Field) (out T, ok bool) {
	c := clone(reflect.ValueOf(v))
	in, ok := at(c, f.steps).Addr().Interface().(interface{ UnmarshalJSON([]byte) error })
	if !ok || in.UnmarshalJSON([]byte(`"none"`)) != nil {
		return v, false
	}
	return c.Interface().(T), true
}
