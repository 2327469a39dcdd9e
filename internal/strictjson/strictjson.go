// Package strictjson reads JSON into Go values and reports all errors at once, each by
// its path in JSON names. It is stricter than encoding/json: unknown and repeated keys,
// null, wrong types, trailing data, lone surrogates and text that is not UTF-8 are
// errors.
//
// If a field may be left out (its tag has omitempty or omitzero), its zero value means
// "not given". A zero that is written would therefore be read as "not given". It is an
// error, unless the field's tag says zero:"value".
package strictjson

import (
	"bytes"
	"encoding"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"strconv"
	"strings"
	"unicode/utf8"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// Limits are the greatest sizes of a text that is read.
type Limits struct {
	Size  int // in bytes
	Depth int // of nested objects and lists
	List  int // entries of a list
}

// Decode reads one JSON value and nothing after it into v, a pointer that is
// not nil, and validates it if v has a method Validate() error. On error v
// holds what could be read. A field that could not be read is not reported
// again as missing, and an error of Validate quotes what was written.
func Decode(data []byte, v any, limits Limits) error {
	d := decoder{limits: limits, written: map[string]string{}, bad: map[string]bool{}}
	target := reflect.ValueOf(v)
	switch {
	case target.Kind() != reflect.Pointer || target.IsNil():
		return errors.New("the value to decode into must be a pointer that is not nil")
	case len(data) > limits.Size:
		d.Add("", nil, "document: must be at most {bytes} bytes", valid.Text("bytes", limits.Size))
		return d.Err()
	case !utf8.Valid(data):
		d.Add("", nil, "document: must be UTF-8")
		return d.Err()
	}
	if at, ok := loneSurrogate(data); ok {
		d.Add("", nil, "document: must have no lone surrogate, but has {surrogate} at byte {byte}", valid.Text("surrogate", string(data[at:at+6])), valid.Text("byte", at))
		return d.Err()
	}
	d.json = json.NewDecoder(bytes.NewReader(data))
	d.json.UseNumber()
	d.value("", target.Elem(), 0)
	if !d.stopped {
		if t, err := d.json.Token(); err != io.EOF {
			if err != nil {
				d.syntax("", err)
			} else {
				d.Add("", clip(fmt.Sprint(t)), "document: must end after its first value")
			}
		}
	}
	if own, ok := v.(interface{ Validate() error }); ok && !d.stopped {
		d.validation(own.Validate())
	}
	return d.Err()
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
		if text, ok := d.written[e.Path]; ok {
			e.Value = text
		}
		d.Join("", &e)
	}
}

// parent returns the path of the value that holds a field or an entry.
func parent(path string) string { return path[:max(0, strings.LastIndexAny(path, ".["))] }

// loneSurrogate returns the place of an escape such as \ud800 that is not half of a
// pair. For such an escape encoding/json would read another character.
func loneSurrogate(data []byte) (int, bool) {
	half := func(i int) int64 {
		if i+6 > len(data) || data[i] != '\\' || data[i+1] != 'u' {
			return 0
		}
		n, err := strconv.ParseInt(string(data[i+2:i+6]), 16, 32)
		if err != nil || n < 0xd800 || n > 0xdfff {
			return 0
		}
		return n
	}
	for i := 0; i < len(data); i++ {
		if data[i] != '\\' {
			continue
		}
		switch high := half(i); {
		case high == 0:
			i++ // skip the escaped character
		case high >= 0xdc00 || half(i+6) < 0xdc00:
			return i, true
		default:
			i += 11
		}
	}
	return 0, false
}

// decoder reads JSON tokens into a value and collects errors by path.
type decoder struct {
	units.FieldErrors
	limits  Limits
	written map[string]string // texts and numbers as they are written, by path
	bad     map[string]bool   // paths of what could not be read
	json    *json.Decoder
	stopped bool // the text is not JSON from here on
}

// syntax records that the text is not JSON; nothing after it can be read.
func (d *decoder) syntax(path string, err error) {
	d.stopped = true
	var bad *json.SyntaxError
	switch {
	case errors.As(err, &bad):
		d.Add(path, nil, "must be JSON: {fault} at byte {byte}", valid.Text("fault", bad.Error()), valid.Text("byte", bad.Offset))
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		d.Add(path, nil, "must be JSON: the text ends too soon")
	default:
		d.Add(path, nil, "must be JSON: {fault}", valid.Text("fault", err.Error()))
	}
}

// token returns the next token, or false if the text is not JSON.
func (d *decoder) token(path string) (json.Token, bool) {
	if d.stopped {
		return nil, false
	}
	t, err := d.json.Token()
	if err != nil {
		d.syntax(path, err)
		return nil, false
	}
	return t, true
}

var textType = reflect.TypeFor[encoding.TextUnmarshaler]()

// input is a units.Input of any quantity.
type input interface {
	json.Unmarshaler
	Unknown() bool
	Absent() bool
}

// value reads one value into v.
func (d *decoder) value(path string, v reflect.Value, depth int) {
	t, ok := d.token(path)
	if !ok {
		return
	}
	d.fill(path, t, v, depth)
}

func (d *decoder) fill(path string, t json.Token, v reflect.Value, depth int) {
	if depth > d.limits.Depth {
		d.Add(path, nil, "must nest at most {depth} deep", valid.Text("depth", d.limits.Depth))
		d.stopped = true
		return
	}
	switch t.(type) {
	case string, json.Number:
		d.written[path] = clip(fmt.Sprint(t))
	}
	if t == nil {
		d.bad[path] = true
		d.Add(path, "null", "must be a value, or left out")
		return
	}
	if v.Kind() == reflect.Pointer {
		p := reflect.New(v.Type().Elem())
		d.fill(path, t, p.Elem(), depth)
		v.Set(p)
		return
	}
	if reflect.PointerTo(v.Type()).Implements(textType) {
		d.text(path, t, v, depth)
		return
	}
	if in, ok := v.Addr().Interface().(input); ok {
		d.input(path, t, v, in, depth)
		return
	}
	switch v.Kind() {
	case reflect.Struct:
		if t != json.Delim('{') {
			d.wrong(path, t, depth, "must be an object")
			return
		}
		d.object(path, v, depth)
	case reflect.Slice:
		if t != json.Delim('[') {
			d.wrong(path, t, depth, "must be a list")
			return
		}
		d.list(path, v, depth)
	case reflect.String:
		if s, ok := t.(string); ok {
			v.SetString(s)
			return
		}
		d.wrong(path, t, depth, "must be a string")
	case reflect.Bool:
		if b, ok := t.(bool); ok {
			v.SetBool(b)
			return
		}
		d.wrong(path, t, depth, "must be true or false")
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Int16, reflect.Int8:
		if n, ok := t.(json.Number); ok {
			if i, err := strconv.ParseInt(n.String(), 10, v.Type().Bits()); err == nil {
				v.SetInt(i)
				return
			}
		}
		d.wrong(path, t, depth, "must be a whole number")
	case reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uint:
		if n, ok := t.(json.Number); ok {
			if i, err := strconv.ParseUint(n.String(), 10, v.Type().Bits()); err == nil {
				v.SetUint(i)
				return
			}
		}
		d.wrong(path, t, depth, "must be a whole number of at least 0")
	case reflect.Float64:
		if n, ok := t.(json.Number); ok {
			if f, err := strconv.ParseFloat(n.String(), 64); err == nil && !math.IsInf(f, 0) {
				v.SetFloat(f)
				return
			}
		}
		d.wrong(path, t, depth, "must be a number")
	default:
		d.wrong(path, t, depth, "must be left out")
	}
}

// text reads a string into a value that has a text form.
func (d *decoder) text(path string, t json.Token, v reflect.Value, depth int) {
	s, ok := t.(string)
	if !ok {
		if v.Kind() == reflect.Float64 {
			d.wrong(path, t, depth, `must be a string with its unit, such as "{example}"`, valid.Text("example", exampleOf(v)))
		} else {
			d.wrong(path, t, depth, "must be a string")
		}
		return
	}
	err := v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(s))
	if err == nil {
		return
	}
	v.SetZero()
	d.bad[path] = true
	if errors.Is(err, units.ErrInvalid) {
		d.JoinText(path, err)
		return
	}
	d.Add(path, strconv.Quote(clip(s)), err.Error())
}

// input reads a string or the object of a range into an input.
func (d *decoder) input(path string, t json.Token, v reflect.Value, in input, depth int) {
	s, ok := t.(string)
	if ok {
		text, err := json.Marshal(s)
		if err == nil {
			err = in.UnmarshalJSON(text)
		}
		if err != nil {
			d.bad[path] = true
			d.JoinText(path, err)
		}
		return
	}
	if t != json.Delim('{') {
		bad := units.Fields(in.UnmarshalJSON([]byte("[]")))[0]
		one := *bad
		one.Value = ""
		if value := d.passed(path, t, depth); value != nil {
			one.Value = fmt.Sprint(value)
		}
		d.Join(path, &one)
		return
	}
	before := d.Len()
	ends := reflect.New(v.MethodByName("Range").Type().Out(0)).Elem()
	d.object(path, ends, depth)
	for _, name := range []string{"low", "high"} {
		at := units.JoinPath(path, name)
		if _, ok := d.written[at]; !ok && !d.bad[at] && !d.stopped {
			d.Add(at, nil, "must be given")
		}
	}
	if d.stopped || d.Len() != before {
		d.bad[path] = true
		return
	}
	text, err := json.Marshal(ends.Interface())
	if err == nil {
		err = in.UnmarshalJSON(text)
	}
	for _, f := range units.Fields(err) {
		d.bad[path] = true
		e := *f
		if text, ok := d.written[units.JoinPath(path, e.Path)]; ok {
			e.Value = text
		}
		d.Join(path, &e)
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

// wrong records a value of the wrong type and skips the rest of it.
func (d *decoder) wrong(path string, t json.Token, depth int, want string, params ...units.Param) {
	d.Add(path, d.passed(path, t, depth), want, params...)
}

// passed skips the rest of a value of the wrong type and returns what an error shows of
// it.
func (d *decoder) passed(path string, t json.Token, depth int) (value any) {
	switch x := t.(type) {
	case json.Delim:
		d.skip(path, t, depth)
	case string:
		value = strconv.Quote(clip(x))
	default:
		value = clip(fmt.Sprint(x))
	}
	d.bad[path] = true
	return value
}

// skip reads past the rest of a value whose first token was read.
func (d *decoder) skip(path string, t json.Token, depth int) {
	if t != json.Delim('{') && t != json.Delim('[') {
		return
	}
	for open := 1; open > 0; {
		t, ok := d.token(path)
		if !ok {
			return
		}
		switch t {
		case json.Delim('{'), json.Delim('['):
			if open++; open+depth > d.limits.Depth {
				d.Add(path, nil, "must nest at most {depth} deep", valid.Text("depth", d.limits.Depth))
				d.stopped = true
				return
			}
		case json.Delim('}'), json.Delim(']'):
			open--
		}
	}
}

func (d *decoder) list(path string, v reflect.Value, depth int) {
	for i := 0; d.json.More() && !d.stopped; i++ {
		if i >= d.limits.List {
			d.Add(path, nil, "must have at most {entries} entries", valid.Text("entries", d.limits.List))
			d.skip(path, json.Delim('['), depth)
			return
		}
		e := reflect.New(v.Type().Elem()).Elem()
		d.value(units.Index(path, i), e, depth+1)
		v.Set(reflect.Append(v, e))
	}
	d.token(path) // the closing bracket
}

func (d *decoder) object(path string, v reflect.Value, depth int) {
	seen := map[string]bool{}
	for d.json.More() && !d.stopped {
		t, ok := d.token(path)
		if !ok {
			return
		}
		key, ok := t.(string)
		if !ok {
			d.stopped = true
			d.Add(path, nil, "must be JSON: a key is not a string")
			return
		}
		at := units.JoinPath(path, clip(key))
		field, tag := fieldOf(v, key)
		if seen[key] || !field.IsValid() {
			want, near := "duplicate key", ""
			if !seen[key] {
				want = "unknown field"
				if near = nearest(v.Type(), key); near != "" {
					want = "unknown field; did you mean {near}?"
				}
			}
			seen[key] = true
			if t, ok := d.token(at); ok {
				d.skip(at, t, depth)
				d.Add(at, nil, want, valid.Text("near", near))
			}
			continue
		}
		seen[key] = true
		if t, ok := d.token(at); ok {
			d.fill(at, t, field, depth+1)
			d.zero(at, field, tag)
		}
	}
	d.token(path) // the closing brace
}

// zero refuses a zero that would be read as not given.
func (d *decoder) zero(path string, f reflect.Value, tag reflect.StructTag) {
	for f.Kind() == reflect.Pointer {
		if f.IsNil() {
			return
		}
		f = f.Elem()
	}
	if !number(f.Type()) || !f.IsZero() || d.bad[path] {
		return
	}
	if omits(tag) && tag.Get("zero") != "value" {
		d.bad[path] = true
		d.Add(path, d.written[path], "must not be zero; leave the field out if the value is not given")
	}
}

// number reports whether a type is a number, which may have a text form with a unit. A
// choice, whose text is a name, is not a number.
func number(t reflect.Type) bool {
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

// fieldOf returns the field of a struct with the given key, and its tag. It returns the
// zero Value if there is none.
func fieldOf(v reflect.Value, key string) (reflect.Value, reflect.StructTag) {
	t := v.Type()
	for i := range t.NumField() {
		if f := t.Field(i); jsonName(f) == key && key != "" {
			return v.Field(i), f.Tag
		}
	}
	return reflect.Value{}, ""
}

// nearest returns the field whose name differs from a key only in case, or is a prefix
// of the key or has it as a prefix.
func nearest(t reflect.Type, key string) string {
	low := strings.ToLower(key)
	for i := range t.NumField() {
		name := jsonName(t.Field(i))
		n := strings.ToLower(name)
		if n != "" && (n == low || len(low) > 2 && (strings.HasPrefix(n, low) || strings.HasPrefix(low, n))) {
			return name
		}
	}
	return ""
}

// clip shortens the text that an error quotes from the input.
func clip(s string) string {
	const most = 60
	if len(s) <= most {
		return s
	}
	n := most
	for n > 0 && !utf8.RuneStart(s[n]) {
		n--
	}
	return s[:n] + "..."
}

// Encode writes a value with two spaces of indentation and a newline at the end,
// and nothing if it cannot be encoded.
func Encode(w io.Writer, v any) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		return fmt.Errorf("encoding the document: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}
