package strictjson

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"strconv"
	"strings"
)

// Encode writes a value with two spaces of indentation and a newline at the end,
// and nothing if it cannot be encoded.
func Encode(w io.Writer, v any) error {
	var e Encoder
	b, err := e.Append(nil, v)
	if err != nil {
		return err
	}
	_, err = w.Write(Indent(b))
	return err
}

// Indent returns JSON text with two spaces of indentation and a newline at the end.
func Indent(text []byte) []byte {
	var b bytes.Buffer
	b.Grow(2*len(text) + 1)
	if json.Indent(&b, text, "", "  ") != nil {
		return append(text, '\n')
	}
	b.WriteByte('\n')
	return b.Bytes()
}

// An Encoder writes values as encoding/json does, without escapes of HTML.
type Encoder struct {
	// Entered are texts by path that are written in the place of the library's own where
	// they say the same, to the bit.
	Entered map[string]string
	// Number is called with the number in SI of every quantity, as it is written, and its
	// unit; nil is nothing.
	Number func(path, number, unit string)

	path []step
	err  error
}

// Append appends the JSON text of v to b.
func (e *Encoder) Append(b []byte, v any) ([]byte, error) {
	e.err, e.path = nil, e.path[:0]
	b = e.value(b, reflect.ValueOf(v))
	if e.err != nil {
		return nil, fmt.Errorf("encoding the document: %w", e.err)
	}
	return b, nil
}

func (e *Encoder) value(b []byte, v reflect.Value) []byte {
	if !v.IsValid() {
		return append(b, "null"...)
	}
	f := formOf(v.Type())
	switch f.shape {
	case shapePointer:
		if v.IsNil() {
			return append(b, "null"...)
		}
		return e.value(b, v.Elem())
	case shapeText:
		return e.text(b, v, f)
	case shapeInput:
		return e.input(b, v)
	case shapeStruct:
		return e.object(b, v, f)
	case shapeSlice:
		if v.IsNil() {
			return append(b, "null"...)
		}
		b = append(b, '[')
		e.path = append(e.path, step{})
		for i := range v.Len() {
			if i > 0 {
				b = append(b, ',')
			}
			e.path[len(e.path)-1].index = i
			b = e.value(b, v.Index(i))
		}
		e.path = e.path[:len(e.path)-1]
		return append(b, ']')
	case shapePlain:
		switch v.Kind() {
		case reflect.String:
			return AppendString(b, v.String())
		case reflect.Bool:
			return strconv.AppendBool(b, v.Bool())
		case reflect.Int, reflect.Int64, reflect.Int32, reflect.Int16, reflect.Int8:
			return strconv.AppendInt(b, v.Int(), 10)
		case reflect.Uint8, reflect.Uint16, reflect.Uint32, reflect.Uint64, reflect.Uint:
			return strconv.AppendUint(b, v.Uint(), 10)
		}
	}
	text, err := json.Marshal(v.Interface())
	e.fail(err)
	return append(b, text...)
}

// fail keeps the first error.
func (e *Encoder) fail(err error) {
	if err != nil && e.err == nil {
		e.err = err
		if at := pathOf(e.path); at != "" {
			e.err = fmt.Errorf("%s: %w", at, err)
		}
	}
}

func (e *Encoder) object(b []byte, v reflect.Value, f *form) []byte {
	b = append(b, '{')
	e.path = append(e.path, step{index: -1})
	first := true
	for i := range f.fields {
		d := &f.fields[i]
		x := v.Field(d.index)
		if d.omits(x) {
			continue
		}
		if !first {
			b = append(b, ',')
		}
		first = false
		b = append(AppendString(b, d.name), ':')
		e.path[len(e.path)-1].key = d.name
		b = e.value(b, x)
	}
	e.path = e.path[:len(e.path)-1]
	return append(b, '}')
}

// omits reports whether a field is left out, as encoding/json does.
func (f *field) omits(v reflect.Value) bool {
	if f.omitsEmpty {
		switch f.kind {
		case reflect.Slice, reflect.Map, reflect.String, reflect.Array:
			if v.Len() == 0 {
				return true
			}
		case reflect.Struct:
		default:
			if v.IsZero() {
				return true
			}
		}
	}
	if !f.omitsZero {
		return false
	}
	if f.isZero {
		if z, ok := v.Interface().(interface{ IsZero() bool }); ok {
			return z.IsZero()
		}
	}
	return v.IsZero()
}

// text writes a value that has a text form.
func (e *Encoder) text(b []byte, v reflect.Value, f *form) []byte {
	own, err := appendText(nil, v.Interface())
	if err != nil {
		e.fail(err)
		return b
	}
	if f.quantity {
		e.number(own, "")
	}
	if text, ok := e.entered(""); ok {
		again := reflect.New(v.Type())
		if again.Interface().(encoding.TextUnmarshaler).UnmarshalText([]byte(text)) == nil {
			if same, err := appendText(nil, again.Elem().Interface()); err == nil && string(same) == string(own) {
				return AppendString(b, text)
			}
		}
	}
	return AppendString(b, string(own))
}

func appendText(b []byte, v any) ([]byte, error) {
	switch w := v.(type) {
	case encoding.TextAppender:
		return w.AppendText(b)
	case encoding.TextMarshaler:
		return w.MarshalText()
	}
	return nil, fmt.Errorf("%T has no text", v)
}

// input writes an input.
func (e *Encoder) input(b []byte, v reflect.Value) []byte {
	own, err := v.Interface().(json.Marshaler).MarshalJSON()
	if err != nil {
		e.fail(err)
		return b
	}
	same := func(text []byte) bool {
		again := reflect.New(v.Type()).Interface().(input)
		if again.UnmarshalJSON(text) != nil {
			return false
		}
		is, err := again.MarshalJSON()
		return err == nil && string(is) == string(own)
	}
	switch {
	case string(own) == `"none"` || string(own) == "null":
	case own[0] == '"':
		e.number(own[1:len(own)-1], "")
		if text, ok := e.entered(""); ok {
			if q := quoted(text); same(q) {
				return append(b, q...)
			}
		}
	default:
		var ends struct{ Low, High string }
		if err := json.Unmarshal(own, &ends); err != nil {
			e.fail(err)
			return b
		}
		e.number([]byte(ends.Low), "low")
		e.number([]byte(ends.High), "high")
		if text, ok := e.entered("low"); ok && same(rangeOf(text, ends.High)) {
			ends.Low = text
		}
		if text, ok := e.entered("high"); ok && same(rangeOf(ends.Low, text)) {
			ends.High = text
		}
		return append(b, rangeOf(ends.Low, ends.High)...)
	}
	return append(b, own...)
}

func rangeOf(low, high string) []byte {
	b := AppendString([]byte(`{"low":`), low)
	return append(AppendString(append(b, `,"high":`...), high), '}')
}

// entered returns the text that was entered at the end of the path, or at a field of the
// value there.
func (e *Encoder) entered(field string) (string, bool) {
	if len(e.Entered) == 0 {
		return "", false
	}
	at := pathOf(e.path)
	if field != "" {
		at += "." + field
	}
	text, ok := e.Entered[at]
	return text, ok
}

// number hands on the number of a quantity.
func (e *Encoder) number(text []byte, field string) {
	if e.Number == nil {
		return
	}
	at := pathOf(e.path)
	if field != "" {
		at += "." + field
	}
	number, unit, _ := strings.Cut(string(text), " ")
	if n, err := strconv.ParseFloat(number, 64); err == nil {
		e.Number(at, string(AppendNumber(nil, n)), unit)
	}
}

// quoted returns a text as a JSON string.
func quoted(s string) []byte { return AppendString(make([]byte, 0, len(s)+2), s) }

// AppendString appends a string as JSON, with the escapes of RFC 8785: the quotation mark,
// the backslash and the control characters, and no others. Bytes that are no UTF-8 become
// the replacement character.
func AppendString(b []byte, s string) []byte {
	b = append(b, '"')
	s = strings.ToValidUTF8(s, "\ufffd")
	from := 0
	for i := range len(s) {
		c := s[i]
		if c >= 0x20 && c != '"' && c != '\\' {
			continue
		}
		b = append(b, s[from:i]...)
		from = i + 1
		switch c {
		case '"', '\\':
			b = append(b, '\\', c)
		case '\b':
			b = append(b, '\\', 'b')
		case '\t':
			b = append(b, '\\', 't')
		case '\n':
			b = append(b, '\\', 'n')
		case '\f':
			b = append(b, '\\', 'f')
		case '\r':
			b = append(b, '\\', 'r')
		default:
			b = fmt.Appendf(b, `\u%04x`, c)
		}
	}
	return append(append(b, s[from:]...), '"')
}

// AppendNumber appends a finite number as ECMAScript writes it and RFC 8785 asks: the
// fewest digits that are read back as the same number, without an exponent from 1e-6 up to
// 1e21. Minus zero is 0.
func AppendNumber(b []byte, v float64) []byte {
	if v == 0 {
		return append(b, '0')
	}
	if a := math.Abs(v); a >= 1e-6 && a < 1e21 {
		return strconv.AppendFloat(b, v, 'f', -1, 64)
	}
	from := len(b)
	b = strconv.AppendFloat(b, v, 'e', -1, 64)
	// Two digits of an exponent may begin with a zero: 1e-07.
	if n := len(b); n-from >= 4 && b[n-4] == 'e' && b[n-2] == '0' {
		b[n-2] = b[n-1]
		b = b[:n-1]
	}
	return b
}
