package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"reflect"
	"strconv"
	"strings"
)

// resolve walks from a struct along a path of JSON names and indices, such
// as "setup.pieces[2].mass", and returns the field there, which can be set.
// It costs a few microseconds and is done once; setting the field costs a
// few nanoseconds and is done for every variant.
func resolve(root reflect.Value, path string) (reflect.Value, error) {
	v, rest, walked := root, path, ""
	for rest != "" {
		for v.Kind() == reflect.Pointer {
			if v.IsNil() {
				return v, fmt.Errorf("%s is not in the base document; put it there first", walked)
			}
			v = v.Elem()
		}
		if rest[0] == '[' {
			end := strings.IndexByte(rest, ']')
			if end < 0 {
				return v, fmt.Errorf("a bracket is not closed")
			}
			i, err := strconv.Atoi(rest[1:end])
			if err != nil {
				return v, fmt.Errorf("%q is not an index", rest[1:end])
			}
			if v.Kind() != reflect.Slice && v.Kind() != reflect.Array {
				return v, fmt.Errorf("%s is not a list", walked)
			}
			if i < 0 || i >= v.Len() {
				return v, fmt.Errorf("%s has %d elements in the base document, counted from 0", walked, v.Len())
			}
			v, walked, rest = v.Index(i), walked+rest[:end+1], rest[end+1:]
			continue
		}
		rest = strings.TrimPrefix(rest, ".")
		name := rest
		if end := strings.IndexAny(rest, ".["); end >= 0 {
			name = rest[:end]
		}
		rest = rest[len(name):]
		if v.Kind() != reflect.Struct || leaf(v.Type()) {
			return v, fmt.Errorf("%s has no fields", walked)
		}
		f, ok := fieldByName(v, name)
		if !ok {
			where := walked
			if where == "" {
				where = "the document"
			}
			return v, fmt.Errorf("%s has no field %q, it has %s", where, name, strings.Join(fieldNames(v.Type()), ", "))
		}
		v = f
		if walked != "" {
			walked += "."
		}
		walked += name
	}
	if path == "" {
		return v, fmt.Errorf("must name a field, such as setup.machine.wheelbase")
	}
	return v, nil
}

// leaf reports whether a type writes itself in JSON, so that its fields are
// its own affair.
func leaf(t reflect.Type) bool {
	return reflect.PointerTo(t).Implements(reflect.TypeFor[json.Unmarshaler]())
}

// numberOf returns the type of the number that a field is set by: the quantity
// of an input, and otherwise the field's own type.
func numberOf(v reflect.Value) reflect.Type {
	if v.Kind() == reflect.Struct && v.MethodByName("Known").IsValid() {
		if value := v.MethodByName("Value"); value.IsValid() {
			return value.Type().Out(0)
		}
	}
	return v.Type()
}

// fieldByName returns the field with a JSON name, embedded structs included.
func fieldByName(v reflect.Value, name string) (reflect.Value, bool) {
	for i := range v.NumField() {
		f := v.Type().Field(i)
		tag, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		if f.Anonymous && tag == "" && f.Type.Kind() == reflect.Struct {
			if found, ok := fieldByName(v.Field(i), name); ok {
				return found, true
			}
			continue
		}
		if f.IsExported() && tag != "-" && (tag == name || tag == "" && f.Name == name) {
			return v.Field(i), true
		}
	}
	return v, false
}

// fieldNames lists the JSON names of a struct's fields in their order.
func fieldNames(t reflect.Type) []string {
	var names []string
	for i := range t.NumField() {
		f := t.Field(i)
		tag, _, _ := strings.Cut(f.Tag.Get("json"), ",")
		switch {
		case f.Anonymous && tag == "" && f.Type.Kind() == reflect.Struct:
			names = append(names, fieldNames(f.Type)...)
		case !f.IsExported() || tag == "-":
		case tag == "":
			names = append(names, f.Name)
		default:
			names = append(names, tag)
		}
	}
	return names
}

// parseValue reads a JSON value as a type, strictly.
func parseValue(t reflect.Type, raw json.RawMessage) (reflect.Value, error) {
	v := reflect.New(t)
	if string(bytes.TrimSpace(raw)) == "null" && t.Kind() != reflect.Pointer {
		return v.Elem(), fmt.Errorf("must be a value")
	}
	d := json.NewDecoder(bytes.NewReader(raw))
	d.DisallowUnknownFields()
	if err := d.Decode(v.Interface()); err != nil {
		return v.Elem(), fmt.Errorf("%s", strings.TrimPrefix(err.Error(), "json: "))
	}
	if _, err := d.Token(); err != io.EOF {
		return v.Elem(), fmt.Errorf("something follows the value")
	}
	return v.Elem(), nil
}
