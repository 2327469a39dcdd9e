package fieldtest

import (
	"encoding"
	"math"
	"math/rand/v2"
	"reflect"
	"strings"

	"example.com/steelyard/internal/walk"
)

// Resolves reports whether a path names a field, an entry or the whole of a type in its JSON
// form. A type with a text form has no fields there.
func Resolves(typ reflect.Type, path string) bool {
	for typ.Kind() == reflect.Pointer {
		typ = typ.Elem()
	}
	switch {
	case path == "":
		return true
	case reflect.PointerTo(typ).Implements(reflect.TypeFor[encoding.TextUnmarshaler]()):
		return false
	case walk.IsInput(typ):
		return path == "low" || path == "high"
	case path[0] == '[':
		end := strings.IndexByte(path, ']')
		return end > 1 && typ.Kind() == reflect.Slice && Resolves(typ.Elem(), strings.TrimPrefix(path[end+1:], "."))
	case typ.Kind() != reflect.Struct:
		return false
	}
	end := strings.IndexAny(path+".", ".[")
	for i := range typ.NumField() {
		if name, _, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ","); name == path[:end] {
			return Resolves(typ.Field(i).Type, strings.TrimPrefix(path[end:], "."))
		}
	}
	return false
}

// Spoil sets some leaves of a value to values that no field accepts.
func Spoil(r *rand.Rand, v reflect.Value) {
	if in, ok := walk.InputOf(v); ok {
		if r.IntN(12) == 0 {
			spoilInput(r, v, in)
		}
		return
	}
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			Spoil(r, v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			Spoil(r, v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if v.Type().Field(i).IsExported() {
				Spoil(r, v.Field(i))
			}
		}
	default:
		if r.IntN(12) != 0 {
			return
		}
		switch v.Kind() {
		case reflect.Float64:
			v.SetFloat(spoiled(r))
		case reflect.Int, reflect.Int64:
			v.SetInt([]int64{-1, 0, 1, 7, 1 << 40}[r.IntN(5)])
		case reflect.Uint8, reflect.Uint16:
			v.SetUint([]uint64{0, 1, 2, 5, 99, 200}[r.IntN(6)])
		}
	}
}

// spoiled is a number that few fields accept.
func spoiled(r *rand.Rand) float64 {
	return []float64{math.NaN(), math.Inf(-1), -1, 0, 1e9, 1e-9, 0.3, 99}[r.IntN(8)]
}

// spoilInput makes an input unknown, a value or a range that few fields accept.
func spoilInput(r *rand.Rand, v reflect.Value, in walk.Input) {
	switch r.IntN(6) {
	case 0:
		v.SetZero()
	case 1:
		in.SetRange(spoiled(r), spoiled(r))
	default:
		in.Set(spoiled(r))
	}
}
