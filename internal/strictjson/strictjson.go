// Package strictjson reads JSON into Go values and reports all errors at once, each by
// its path in JSON names. It is stricter than encoding/json: unknown and repeated keys,
// null, wrong types, trailing data, lone surrogates and text that is not UTF-8 are
// errors.
//
// If a field may be left out (its tag has omitempty or omitzero), its zero value means
// "not given". A zero that is written would therefore be read as "not given". It is an
// error, unless the field's tag says zero:"value".
//
// It also writes values: with the texts in which quantities were entered, and in the
// canonical form of RFC 8785.
package strictjson

import (
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"reflect"
	"strconv"
	"strings"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// An Old is a name of a former version that stands in the place of its new one.
type Old struct {
	New     string // the present name; "" where there is none any more
	Version int    // the version that changed it
}

// Options say how a value is read.
type Options struct {
	Limits Limits
	// Type is a struct type that has a scope of its own wherever it stands, and Open opens
	// it: before the JSON value, which it may change, is read into the struct at target.
	Type reflect.Type
	Open func(text *Value, target any) Scope
}

// A Scope is how one value and all in it are read. Paths begin at the value.
type Scope struct {
	// Names returns what took the place of an old key or of an old text of a
	// choice: by the path of the object or of the choice with list entries left open, as in
	// "pieces[].kind", and the old name; nil is none.
	Names func(path, old string) (Old, bool)
	// Entered is called with every text that is not as this package writes its value; nil
	// is nothing.
	Entered func(path, text string)
	// Close is called once the value has been read and returns what is wrong with it; nil
	// is nothing.
	Close func() error
}

// Decode reads one JSON value and nothing after it into v, a pointer that is
// not nil, and validates it if v has a method Validate() error. On error v
// holds what could be read. A field that could not be read is not reported
// again as missing, and an error of Validate quotes what was written.
func Decode(data []byte, v any, limits Limits) error {
	if target := reflect.ValueOf(v); target.Kind() != reflect.Pointer || target.IsNil() {
		return errors.New("the value to decode into must be a pointer that is not nil")
	}
	text, err := Parse(data, limits)
	if err != nil {
		return err
	}
	return Fill(&text, v, Options{Limits: limits})
}

// Fill reads a JSON value into v as [Decode] does.
func Fill(text *Value, v any, o Options) error {
	target := reflect.ValueOf(v)
	if target.Kind() != reflect.Pointer || target.IsNil() {
		return errors.New("the value to decode into must be a pointer that is not nil")
	}
	d := decoder{Options: o, root: text}
	d.value(text, target.Elem())
	if own, ok := v.(interface{ Validate() error }); ok {
		d.validation(own.Validate())
	}
	return d.Err()
}

// A decoder reads JSON values into Go values and collects errors by path.
type decoder struct {
	units.FieldErrors
	Options
	Scope
	root *Value
	path []step
	base int             // how many steps lead to the value of the scope
	bad  map[string]bool // paths of what could not be read
}

// validation adds the errors of a validation, except those that were already reported.
func (d *decoder) validation(err error) {
next:
	for _, f := range units.Fields(err) {
		for path := f.Path; path != ""; path = parent(path) {
			if d.bad[path] {
				continue next
			}
		}
		e := *f
		if text, ok := d.written(e.Path); ok {
			e.Value = text
		}
		d.Join("", &e)
	}
}

// parent returns the path of the value that holds a field or an entry.
func parent(path string) string { return path[:max(0, strings.LastIndexAny(path, ".["))] }

// At returns the value at a path, or nil.
func (v *Value) At(path string) *Value {
	for path != "" {
		if path[0] == '[' {
			end := strings.IndexByte(path, ']')
			if end < 0 {
				return nil
			}
			i, err := strconv.Atoi(path[1:end])
			if err != nil || v.Kind != List || i < 0 || i >= len(v.Items) {
				return nil
			}
			v, path = &v.Items[i], path[end+1:]
			continue
		}
		path = strings.TrimPrefix(path, ".")
		end := strings.IndexAny(path, ".[")
		if end < 0 {
			end = len(path)
		}
		if v = v.Member(path[:end]); v == nil {
			return nil
		}
		path = path[end:]
	}
	return v
}

// written returns the text or the number that is written at a path.
func (d *decoder) written(path string) (string, bool) {
	if v := d.root.At(path); v != nil && (v.Kind == String || v.Kind == Number) {
		return clip(v.Text), true
	}
	return "", false
}

// here returns the path of the value that is read.
func (d *decoder) here() string { return pathOf(d.path) }

// fault records an error at the value that is read, which could not be read.
func (d *decoder) fault(value any, want string, params ...units.Param) {
	at := d.here()
	d.mark(at)
	d.Add(at, value, want, params...)
}

func (d *decoder) mark(path string) {
	if d.bad == nil {
		d.bad = map[string]bool{}
	}
	d.bad[path] = true
}

// value reads one value into v.
func (d *decoder) value(t *Value, v reflect.Value) {
	if t.Kind == Null {
		d.fault("null", "must be a value, or left out")
		return
	}
	f := formOf(v.Type())
	switch f.shape {
	case shapePointer:
		p := reflect.New(v.Type().Elem())
		d.value(t, p.Elem())
		v.Set(p)
	case shapeText:
		d.text(t, v, f)
	case shapeInput:
		d.input(t, v)
	case shapeStruct:
		if t.Kind != Object {
			d.wrong(t, "must be an object")
			return
		}
		if v.Type() == d.Type {
			d.scoped(t, v, f)
			return
		}
		d.object(t, v, f)
	case shapeSlice:
		if t.Kind != List {
			d.wrong(t, "must be a list")
			return
		}
		d.list(t, v)
	case shapePlain:
		d.plain(t, v)
	default:
		d.wrong(t, "must be left out")
	}
}

// scoped reads an object that has a scope of its own.
func (d *decoder) scoped(t *Value, v reflect.Value, f *form) {
	outer, base := d.Scope, d.base
	d.Scope, d.base = d.Open(t, v.Addr().Interface()), len(d.path)
	d.object(t, v, f)
	if d.Close != nil {
		d.Join(d.here(), d.Close())
	}
	d.Scope, d.base = outer, base
}

// plain reads a number, a string or a truth.
func (d *decoder) plain(t *Value, v reflect.Value) {
	switch v.Kind() {
	case reflect.String:
		if t.Kind == String {
			v.SetString(t.Text)
			return
		}
		d.wrong(t, "must be a string")
	case reflect.Bool:
		if t.Kind == Bool {
			v.SetBool(t.Text == "true")
			return
		}
		d.wrong(t, "must be true or false")
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Int16, reflect.Int8:
		if t.Kind == Number {
			if i, err := strconv.ParseInt(t.Text, 10, v.Type().Bits()); err == nil {
				v.SetInt(i)
				return
			}
		}
		d.wrong(t, "must be a whole number")
	case reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uint:
		if t.Kind == Number {
			if i, err := strconv.ParseUint(t.Text, 10, v.Type().Bits()); err == nil {
				v.SetUint(i)
				return
			}
		}
		d.wrong(t, "must be a whole number of at least 0")
	case reflect.Float64:
		if t.Kind == Number {
			if f, err := strconv.ParseFloat(t.Text, 64); err == nil && !math.IsInf(f, 0) {
				v.SetFloat(f)
				return
			}
		}
		d.wrong(t, "must be a number")
	default:
		d.wrong(t, "must be left out")
	}
}

// text reads a string into a value that has a text form.
func (d *decoder) text(t *Value, v reflect.Value, f *form) {
	if t.Kind != String {
		if f.quantity {
			d.wrong(t, `must be a string with its unit, such as "{example}"`, valid.Text("example", exampleOf(v)))
		} else {
			d.wrong(t, "must be a string")
		}
		return
	}
	p := v.Addr().Interface()
	err := p.(encoding.TextUnmarshaler).UnmarshalText([]byte(t.Text))
	if err == nil {
		d.keep(t, p)
		return
	}
	v.SetZero()
	at := d.here()
	d.mark(at)
	switch old, ok := d.old(t.Text); {
	case ok:
		d.renamed(at, t.Text, old)
	case errors.Is(err, units.ErrInvalid):
		d.JoinText(at, err)
	default:
		d.Add(at, strconv.Quote(clip(t.Text)), err.Error())
	}
}

// keep hands on a text that is not as its value is written.
func (d *decoder) keep(t *Value, v any) {
	if d.Entered == nil {
		return
	}
	var buf [64]byte
	var as []byte
	var err error
	switch w := v.(type) {
	case encoding.TextAppender:
		as, err = w.AppendText(buf[:0])
	case encoding.TextMarshaler:
		as, err = w.MarshalText()
	default:
		return
	}
	if err == nil && string(as) != t.Text {
		d.Entered(pathOf(d.path[d.base:]), t.Text)
	}
}

// old returns the present name of an old one at the value that is read.
func (d *decoder) old(name string) (Old, bool) {
	if d.Names == nil {
		return Old{}, false
	}
	var b strings.Builder
	for _, s := range d.path[d.base:] {
		switch {
		case s.index >= 0:
			b.WriteString("[]")
		case s.key != "":
			if b.Len() > 0 {
				b.WriteByte('.')
			}
			b.WriteString(s.key)
		}
	}
	return d.Names(b.String(), name)
}

// renamed records an old name at a path.
func (d *decoder) renamed(path string, value any, old Old) {
	if old.New == "" {
		d.Add(path, value, "must be left out since version {version}", valid.Text("version", old.Version))
		return
	}
	d.Add(path, value, "is written {new} since version {version}", valid.Text("new", old.New), valid.Text("version", old.Version))
}

// input reads a string or the object of a range into an input.
func (d *decoder) input(t *Value, v reflect.Value) {
	in := v.Addr().Interface().(input)
	switch t.Kind {
	case String:
		if err := in.UnmarshalJSON(quoted(t.Text)); err != nil {
			at := d.here()
			d.mark(at)
			d.JoinText(at, err)
		} else if d.Entered != nil && !in.Absent() && fmt.Sprint(in) != t.Text {
			d.Entered(pathOf(d.path[d.base:]), t.Text)
		}
		return
	case Object:
	default:
		bad := units.Fields(in.UnmarshalJSON([]byte("[]")))[0]
		one := *bad
		one.Value = ""
		if value := passed(t); value != nil {
			one.Value = fmt.Sprint(value)
		}
		at := d.here()
		d.mark(at)
		d.Join(at, &one)
		return
	}
	before, at := d.Len(), d.here()
	ends := reflect.New(v.MethodByName("Range").Type().Out(0)).Elem()
	d.object(t, ends, formOf(ends.Type()))
	for _, name := range []string{"low", "high"} {
		if end := at + "." + name; t.Member(name) == nil {
			d.Add(end, nil, "must be given")
		}
	}
	if d.Len() != before {
		d.mark(at)
		return
	}
	text, err := json.Marshal(ends.Interface())
	if err == nil {
		err = in.UnmarshalJSON(text)
	}
	for _, f := range units.Fields(err) {
		d.mark(at)
		e := *f
		if end := t.Member(e.Path); end != nil && (end.Kind == String || end.Kind == Number) {
			e.Value = clip(end.Text)
		}
		d.Join(at, &e)
	}
}

// exampleOf returns the text form of one unit of a quantity.
func exampleOf(v reflect.Value) string {
	one := reflect.New(v.Type()).Elem()
	one.SetFloat(1)
	if m, ok := one.Interface().(encoding.TextMarshaler); ok {
		if b, err := m.MarshalText(); err == nil {
			return string(b)
		}
	}
	return "1 m"
}

// wrong records a value of the wrong type.
func (d *decoder) wrong(t *Value, want string, params ...units.Param) {
	d.fault(passed(t), want, params...)
}

// passed returns what an error shows of a value.
func passed(t *Value) any {
	switch t.Kind {
	case String:
		return strconv.Quote(clip(t.Text))
	case Number, Bool:
		return clip(t.Text)
	}
	return nil
}

func (d *decoder) list(t *Value, v reflect.Value) {
	n := len(t.Items)
	if n > d.Limits.List {
		d.Add(d.here(), nil, "must have at most {entries} entries", valid.Text("entries", d.Limits.List))
		n = d.Limits.List
	}
	v.Set(reflect.MakeSlice(v.Type(), n, n))
	d.path = append(d.path, step{})
	for i := range n {
		d.path[len(d.path)-1].index = i
		d.value(&t.Items[i], v.Index(i))
	}
	d.path = d.path[:len(d.path)-1]
}

func (d *decoder) object(t *Value, v reflect.Value, f *form) {
	seen := make([]bool, len(f.fields))
	var others map[string]bool
	d.path = append(d.path, step{index: -1})
	here := len(d.path) - 1
	for i := range t.Items {
		e := &t.Items[i]
		d.path[here].key = e.Key
		n, known := f.byName[e.Key]
		switch {
		case known && seen[n], others[e.Key]:
			d.Add(d.here(), nil, "duplicate key")
			continue
		case !known:
			if others == nil {
				others = map[string]bool{}
			}
			others[e.Key] = true
			d.unknown(f, e.Key)
			continue
		}
		seen[n] = true
		to := v.Field(f.fields[n].index)
		d.value(e, to)
		if f.fields[n].checked {
			d.zero(e, to)
		}
	}
	d.path = d.path[:here]
}

// unknown records a key that no field has.
func (d *decoder) unknown(f *form, key string) {
	at := d.here()
	d.path[len(d.path)-1].key = ""
	old, ok := d.old(key)
	d.path[len(d.path)-1].key = key
	if ok {
		d.renamed(at, nil, old)
		return
	}
	if near := f.nearest(key); near != "" {
		d.Add(at, nil, "unknown field; did you mean {near}?", valid.Text("near", near))
		return
	}
	d.Add(at, nil, "unknown field", valid.Text("near", ""))
}

// zero refuses a zero that would be read as not given.
func (d *decoder) zero(t *Value, f reflect.Value) {
	for f.Kind() == reflect.Pointer {
		if f.IsNil() {
			return
		}
		f = f.Elem()
	}
	if !f.IsZero() && !(f.Kind() == reflect.Float64 && f.Float() == 0) {
		return
	}
	if at := d.here(); !d.bad[at] {
		d.fault(clip(t.Text), "must not be zero; leave the field out if the value is not given")
	}
}
