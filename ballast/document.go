package ballast

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

	"example.com/steelyard/units"
)

// DocumentVersion is the version of the JSON document that this package
// writes, and the only one it reads.
const DocumentVersion = 1

// Limits of a document that [Decode] reads.
const (
	// MaxDocumentSize is the greatest size of a document in bytes.
	MaxDocumentSize = 1 << 20
	// MaxDocumentDepth is how deep objects and lists may nest.
	MaxDocumentDepth = 32
	// MaxDocumentList is how many entries a list may have.
	MaxDocumentList = 10000
)

// Document is a setup with its questions, as it is stored and sent: one JSON
// object with the integer "version" at its top.
//
// The schema is that of the Go types: an object for each struct, its keys the
// JSON names of the fields in their own documentation. A quantity is a string
// with its unit, such as "24 in" or "1.5 m", and a fraction is one too,
// without unit or in percent: "0.2" or "20 %"; a choice is a string such as
// "forks". A field that is left out is zero, and what zero means is said at
// each field. There is no null. [Document.Encode] writes SI units with the
// shortest digits that are read back bit for bit.
//
// [Decode] is strict. Plain [json.Unmarshal] into a Document works and is
// lax: it takes unknown and repeated keys and null, and stops at the first
// error without its path.
type Document struct {
	// Version is DocumentVersion.
	Version int `json:"version"`
	// Setup is the machine with loader, attachment and ballast.
	Setup Setup `json:"setup"`
	// Lifts are load cases to ask about, at most 1000.
	Lifts []Lift `json:"lifts,omitempty"`
	// Needs is what a plan must meet; nil is no plan. See the function Plan.
	Needs *Needs `json:"needs,omitempty"`
	// Stock is what a plan may choose from; it must be given with Needs.
	Stock *Stock `json:"stock,omitempty"`
	// Transport is a road or field transport to check; nil is none.
	Transport *Transport `json:"transport,omitempty"`
	// Weighing is a session of scale readings; nil is none. See
	// WeighSession.Predict.
	Weighing *WeighSession `json:"weighing,omitempty"`
}

// Validate reports every bad field by its path, or nil.
func (d Document) Validate() error {
	var c checker
	if d.Version != DocumentVersion {
		c.Add("version", d.Version, "must be 1")
	}
	c.Join("setup", d.Setup.Validate())
	if len(d.Lifts) > 1000 {
		c.Add("lifts", len(d.Lifts), "must have at most 1000 entries")
	} else {
		for i, l := range d.Lifts {
			c.Join(units.Index("lifts", i), l.Validate())
		}
	}
	if d.Needs != nil {
		c.Join("needs", d.Needs.Validate())
	}
	if d.Stock != nil {
		c.Join("stock", d.Stock.Validate())
	}
	switch {
	case d.Needs != nil && d.Stock == nil:
		c.Add("stock", nil, "must be given with needs; empty if there is nothing to choose from")
	case d.Needs == nil && d.Stock != nil:
		c.Add("needs", nil, "must be given with stock")
	}
	if d.Transport != nil {
		c.Join("transport", d.Transport.Validate())
	}
	if d.Weighing != nil {
		c.Join("weighing", d.Weighing.Validate())
	}
	return c.Err()
}

// Decode reads one document and nothing after it, and validates it. Unknown
// and repeated keys, wrong types, null, bad text and trailing data are errors
// by their JSON path, all of them at once up to [units.MaxFieldErrors]; only
// where the text is no JSON does it stop at the first, which then names the
// place. A document too large, too deep or not in UTF-8 is an error.
func Decode(r io.Reader) (Document, error) {
	var d Document
	if err := DecodeInto(r, &d); err != nil {
		return Document{}, err
	}
	if err := d.Validate(); err != nil {
		return Document{}, err
	}
	return d, nil
}

// DecodeInto reads one JSON value and nothing after it into v, which must be
// a pointer to a struct, as strictly as [Decode] does: for files of a caller's
// own that hold this package's types. It does not validate, and on error v
// holds what could be read.
func DecodeInto(r io.Reader, v any) error {
	data, err := io.ReadAll(io.LimitReader(r, MaxDocumentSize+1))
	if err != nil {
		return fmt.Errorf("reading the document: %w", err)
	}
	return decodeStrict(data, v)
}

// Encode writes the document with two spaces of indentation and a newline at
// the end. A version of zero is written as [DocumentVersion]. A document that
// is not valid is an error, and nothing is written.
func (d Document) Encode(w io.Writer) error {
	if d.Version == 0 {
		d.Version = DocumentVersion
	}
	if err := d.Validate(); err != nil {
		return err
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(d); err != nil {
		return fmt.Errorf("encoding the document: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// decodeStrict fills v, a pointer, from one JSON value.
func decodeStrict(data []byte, v any) error {
	d := decoder{}
	switch {
	case len(data) > MaxDocumentSize:
		d.Add("", nil, fmt.Sprintf("document: must be at most %d bytes", MaxDocumentSize))
		return d.Err()
	case !utf8.Valid(data):
		d.Add("", nil, "document: must be UTF-8")
		return d.Err()
	}
	d.json = json.NewDecoder(bytes.NewReader(data))
	d.json.UseNumber()
	d.value("", reflect.ValueOf(v).Elem(), 0)
	if !d.stopped {
		if t, err := d.json.Token(); err != io.EOF {
			if err != nil {
				d.syntax("", err)
			} else {
				d.Add("", clip(fmt.Sprint(t)), "document: must end after its first value")
			}
		}
	}
	return d.Err()
}

// decoder reads JSON tokens into a value and collects what is wrong by path.
type decoder struct {
	units.FieldErrors
	json    *json.Decoder
	stopped bool // the text is no JSON from here on
}

// syntax records that the text is no JSON; nothing after it can be read.
func (d *decoder) syntax(path string, err error) {
	d.stopped = true
	var bad *json.SyntaxError
	switch {
	case errors.As(err, &bad):
		d.Add(path, nil, fmt.Sprintf("must be JSON: %s at byte %d", bad.Error(), bad.Offset))
	case errors.Is(err, io.EOF), errors.Is(err, io.ErrUnexpectedEOF):
		d.Add(path, nil, "must be JSON: the text ends too soon")
	default:
		d.Add(path, nil, "must be JSON: "+err.Error())
	}
}

// token returns the next token, or false where the text is no JSON.
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

// value reads one value into v.
func (d *decoder) value(path string, v reflect.Value, depth int) {
	t, ok := d.token(path)
	if !ok {
		return
	}
	d.fill(path, t, v, depth)
}

func (d *decoder) fill(path string, t json.Token, v reflect.Value, depth int) {
	if depth > MaxDocumentDepth {
		d.Add(path, nil, fmt.Sprintf("must nest at most %d deep", MaxDocumentDepth))
		d.stopped = true
		return
	}
	if t == nil {
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
	switch v.Kind() {
	case reflect.Struct:
		if t != json.Delim('{') {
			d.wrong(path, t, "must be an object", depth)
			return
		}
		d.object(path, v, depth)
	case reflect.Slice:
		if t != json.Delim('[') {
			d.wrong(path, t, "must be a list", depth)
			return
		}
		d.list(path, v, depth)
	case reflect.String:
		if s, ok := t.(string); ok {
			v.SetString(s)
			return
		}
		d.wrong(path, t, "must be a string", depth)
	case reflect.Bool:
		if b, ok := t.(bool); ok {
			v.SetBool(b)
			return
		}
		d.wrong(path, t, "must be true or false", depth)
	case reflect.Int, reflect.Int64, reflect.Int32, reflect.Int16, reflect.Int8:
		if n, ok := t.(json.Number); ok {
			if i, err := strconv.ParseInt(n.String(), 10, v.Type().Bits()); err == nil {
				v.SetInt(i)
				return
			}
		}
		d.wrong(path, t, "must be a whole number", depth)
	case reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uint:
		if n, ok := t.(json.Number); ok {
			if i, err := strconv.ParseUint(n.String(), 10, v.Type().Bits()); err == nil {
				v.SetUint(i)
				return
			}
		}
		d.wrong(path, t, "must be a whole number of at least 0", depth)
	case reflect.Float64:
		if n, ok := t.(json.Number); ok {
			if f, err := strconv.ParseFloat(n.String(), 64); err == nil && !math.IsInf(f, 0) {
				v.SetFloat(f)
				return
			}
		}
		d.wrong(path, t, "must be a number", depth)
	default:
		d.wrong(path, t, "must be left out", depth)
	}
}

// text reads a string into a value that has a text form.
func (d *decoder) text(path string, t json.Token, v reflect.Value, depth int) {
	s, ok := t.(string)
	if !ok {
		want := "must be a string"
		if v.Kind() == reflect.Float64 {
			want = `must be a string with its unit, such as "` + exampleOf(v) + `"`
		}
		d.wrong(path, t, want, depth)
		return
	}
	err := v.Addr().Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(s))
	if err == nil {
		return
	}
	v.SetZero()
	var one *units.FieldError
	if errors.As(err, &one) {
		d.Join(path, err)
		return
	}
	d.Add(path, strconv.Quote(clip(s)), err.Error())
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
func (d *decoder) wrong(path string, t json.Token, want string, depth int) {
	value := any(nil)
	switch x := t.(type) {
	case json.Delim:
		d.skip(path, t, depth)
	case string:
		value = strconv.Quote(clip(x))
	default:
		value = clip(fmt.Sprint(x))
	}
	d.Add(path, value, want)
}

// skip passes over the rest of a value whose first token was read.
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
			if open++; open+depth > MaxDocumentDepth {
				d.Add(path, nil, fmt.Sprintf("must nest at most %d deep", MaxDocumentDepth))
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
		if i >= MaxDocumentList {
			d.Add(path, nil, fmt.Sprintf("must have at most %d entries", MaxDocumentList))
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
			d.Add(path, nil, "must be JSON: a key is no string")
			return
		}
		at := units.JoinPath(path, clip(key))
		field := fieldOf(v, key)
		if seen[key] || !field.IsValid() {
			want := "must stand once only"
			if !seen[key] {
				want = "must be left out: no such field"
				if s := nearest(v.Type(), key); s != "" {
					want += "; is " + s + " meant?"
				}
			}
			seen[key] = true
			if t, ok := d.token(at); ok {
				d.skip(at, t, depth)
				d.Add(at, nil, want)
			}
			continue
		}
		seen[key] = true
		d.value(at, field, depth+1)
	}
	d.token(path) // the closing brace
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

func fieldOf(v reflect.Value, key string) reflect.Value {
	t := v.Type()
	for i := range t.NumField() {
		if f := t.Field(i); jsonName(f) == key && key != "" {
			return v.Field(i)
		}
	}
	return reflect.Value{}
}

// nearest returns the field that a key differs from by case only, or by a
// prefix of one of the two.
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

// clip keeps what an error quotes from the input short.
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
