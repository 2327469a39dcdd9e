package strictjson

import (
	"encoding"
	"encoding/json"
	"reflect"
	"strings"
	"sync"
)

var (
	textType   = reflect.TypeFor[encoding.TextUnmarshaler]()
	writesText = reflect.TypeFor[encoding.TextMarshaler]()
	writesJSON = reflect.TypeFor[json.Marshaler]()
	zeroType   = reflect.TypeFor[interface{ IsZero() bool }]()
)

// input is a units.Input of any quantity.
type input interface {
	json.Marshaler
	json.Unmarshaler
	Unknown() bool
	Absent() bool
}

var inputType = reflect.TypeFor[input]()

// A shape is how values of a type are read and written.
type shape uint8

const (
	shapePlain shape = iota // a number, a string or a truth
	shapeText
	shapeInput
	shapeStruct
	shapeSlice
	shapePointer
	shapeOther // written by encoding/json, and not read
)

// A form is what is known of a type.
type form struct {
	shape    shape
	quantity bool // a text that begins with a number
	fields   []field
	byName   map[string]int
}

// A field is one field of a struct.
type field struct {
	name       string
	index      int
	kind       reflect.Kind
	omitsEmpty bool
	omitsZero  bool
	isZero     bool // it has a method IsZero
	checked    bool // a zero that is written is an error
}

var forms sync.Map // of *form by reflect.Type

// formOf returns what is known of a type.
func formOf(t reflect.Type) *form {
	if f, ok := forms.Load(t); ok {
		return f.(*form)
	}
	f := &form{}
	switch p := reflect.PointerTo(t); {
	case t.Kind() == reflect.Pointer:
		f.shape = shapePointer
	case p.Implements(textType) && t.Implements(writesText):
		f.shape, f.quantity = shapeText, t.Kind() == reflect.Float64
	case p.Implements(inputType):
		f.shape, f.quantity = shapeInput, true
	case t.Implements(writesJSON) || p.Implements(textType):
		f.shape = shapeOther
	case t.Kind() == reflect.Struct:
		f.shape = shapeStruct
	case t.Kind() == reflect.Slice:
		f.shape = shapeSlice
	case t.Kind() == reflect.Interface || t.Kind() == reflect.Map || t.Kind() == reflect.Array:
		f.shape = shapeOther
	}
	if f.shape == shapeStruct {
		f.byName = map[string]int{}
		for i := range t.NumField() {
			s := t.Field(i)
			name := jsonName(s)
			if name == "" {
				continue
			}
			omits := omits(s.Tag)
			number := s.Type
			for number.Kind() == reflect.Pointer {
				number = number.Elem()
			}
			_, options, _ := strings.Cut(s.Tag.Get("json"), ",")
			f.byName[name] = len(f.fields)
			f.fields = append(f.fields, field{
				name: name, index: i, kind: s.Type.Kind(),
				omitsEmpty: strings.Contains(options, "omitempty"), omitsZero: strings.Contains(options, "omitzero"), isZero: s.Type.Implements(zeroType),
				checked: isNumber(number) && omits && s.Tag.Get("zero") != "value",
			})
		}
	}
	forms.Store(t, f)
	return f
}

// isNumber reports whether a type is a number, which may have a text form with a unit. A
// choice, whose text is a name, is not a number.
func isNumber(t reflect.Type) bool {
	switch t.Kind() {
	case reflect.Float64, reflect.Int, reflect.Int64, reflect.Int32, reflect.Int16, reflect.Int8:
		return true
	case reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uint:
		return !reflect.PointerTo(t).Implements(textType)
	}
	return false
}

// omits reports whether a field is left out of the written text if its value is zero.
func omits(tag reflect.StructTag) bool {
	_, options, _ := strings.Cut(tag.Get("json"), ",")
	return strings.Contains(options, "omitempty") || strings.Contains(options, "omitzero")
}

// jsonName returns the key of a struct field, or "" if it has none.
func jsonName(f reflect.StructField) string {
	if !f.IsExported() {
		return ""
	}
	name, _, _ := strings.Cut(f.Tag.Get("json"), ",")
	switch name {
	case "-":
		return ""
	case "":
		return f.Name
	}
	return name
}

// nearest returns the field whose name differs from a key only in case, or is a prefix
// of the key or has it as a prefix.
func (f *form) nearest(key string) string {
	low := strings.ToLower(key)
	for i := range f.fields {
		name := f.fields[i].name
		n := strings.ToLower(name)
		if n == low || len(low) > 2 && (strings.HasPrefix(n, low) || strings.HasPrefix(low, n)) {
			return name
		}
	}
	return ""
}
