package strictjson

import (
	"bytes"
	"encoding/json"
	"errors"
	"strconv"
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"example.com/steelyard/internal/valid"
	"example.com/steelyard/units"
)

// A Kind is what a JSON value is.
type Kind uint8

// The kinds of JSON values.
const (
	Null Kind = iota
	Bool
	Number
	String
	List
	Object
)

// A Value is one JSON value as it is written: a number is its literal, and the members of
// an object are in their order, repeated keys among them.
type Value struct {
	// Key is the key of a member of an object.
	Key string
	// Text is a string, the literal of a number, or "true" or "false".
	Text string
	// Items are the entries of a list or the members of an object.
	Items []Value
	// Kind is what the value is.
	Kind Kind
}

// Member returns the first member of an object with a key, or nil.
func (v *Value) Member(key string) *Value {
	if v.Kind != Object {
		return nil
	}
	for i := range v.Items {
		if v.Items[i].Key == key {
			return &v.Items[i]
		}
	}
	return nil
}

// Limits are the greatest sizes of a text that is read.
type Limits struct {
	Size  int // in bytes
	Depth int // of nested objects and lists
	List  int // entries of a list
	// Values is how many values a text may have, so that a short text takes no great
	// memory; 200 000 if it is zero.
	Values int
}

// maxValues is how many values a text may have where its limits do not say.
const maxValues = 200_000

// Parse reads one JSON value and nothing after it. It stops at the first fault, which the
// error names by its path: text that is no JSON, too large, too deep, not in UTF-8, or with
// a lone surrogate. A byte order mark before the text is passed over, as RFC 8259 allows.
func Parse(data []byte, limits Limits) (Value, error) {
	var e units.FieldErrors
	switch {
	case len(data) > limits.Size:
		e.Add("", nil, "document: must be at most {bytes} bytes", valid.Text("bytes", limits.Size))
		return Value{}, e.Err()
	case !utf8.Valid(data):
		e.Add("", nil, "document: must be UTF-8")
		return Value{}, e.Err()
	}
	skipped := 0
	if bytes.HasPrefix(data, []byte("\ufeff")) {
		skipped, data = 3, data[3:]
	}
	if at, ok := loneSurrogate(data); ok {
		e.Add("", nil, "document: must have no lone surrogate, but has {surrogate} at byte {byte}", valid.Text("surrogate", string(data[at:at+6])), valid.Text("byte", at+skipped))
		return Value{}, e.Err()
	}
	if limits.Values == 0 {
		limits.Values = maxValues
	}
	p := parser{text: string(data), limits: limits}
	var v Value
	p.space()
	if !p.value(&v, 0) {
		path := pathOf(p.fault)
		switch {
		case p.tooDeep:
			e.Add(path, nil, "must nest at most {depth} deep", valid.Text("depth", limits.Depth))
		case p.tooMany:
			e.Add("", nil, "document: must hold at most {values} values", valid.Text("values", limits.Values))
		default:
			e.Join("", syntaxError(path, data, skipped))
		}
		return Value{}, e.Err()
	}
	if p.space(); p.at < len(p.text) {
		e.Add("", strconv.Quote(clip(p.text[p.at:])), "document: must end after its first value")
		return Value{}, e.Err()
	}
	return v, nil
}

// syntaxError says where the text stops being JSON. Skipped is how many bytes stood before
// the text.
func syntaxError(path string, data []byte, skipped int) error {
	var bad *json.SyntaxError
	var none json.RawMessage
	if err := json.Unmarshal(data, &none); !errors.As(err, &bad) || bad.Offset < 1 || bad.Offset > int64(len(data)) || strings.Contains(bad.Error(), "unexpected") {
		return units.NewFieldError(path, nil, "must be JSON: the text ends too soon")
	}
	at := int(bad.Offset) - 1
	for at > 0 && !utf8.RuneStart(data[at]) {
		at--
	}
	r, _ := utf8.DecodeRune(data[at:])
	return units.NewFieldError(path, nil, "must be JSON: {character} does not belong at byte {byte}", valid.Text("character", strconv.QuoteRune(r)), valid.Text("byte", int(bad.Offset)+skipped))
}

// A step is one part of a path: a key, or an index where the key is empty.
type step struct {
	key   string
	index int
}

// pathOf returns the path of steps.
func pathOf(steps []step) string {
	var b strings.Builder
	for _, s := range steps {
		switch {
		case s.index >= 0:
			b.WriteByte('[')
			b.WriteString(strconv.Itoa(s.index))
			b.WriteByte(']')
		case s.key != "":
			if b.Len() > 0 {
				b.WriteByte('.')
			}
			b.WriteString(clip(s.key))
		}
	}
	return b.String()
}

// A parser reads JSON text.
type parser struct {
	text    string
	at      int
	limits  Limits
	values  int
	stack   []Value // of the lists and objects that are open
	path    []step
	fault   []step // the path where reading stopped
	tooDeep bool
	tooMany bool
}

func (p *parser) space() {
	for p.at < len(p.text) {
		switch p.text[p.at] {
		case ' ', '\t', '\n', '\r':
			p.at++
		default:
			return
		}
	}
}

// fail marks where reading stopped.
func (p *parser) fail() bool {
	if p.fault == nil {
		p.fault = append([]step{}, p.path...)
	}
	return false
}

// value reads the value at the present byte into v, and the space behind it.
func (p *parser) value(v *Value, depth int) bool {
	if depth > p.limits.Depth {
		p.tooDeep = true
		return p.fail()
	}
	if p.values++; p.values > p.limits.Values {
		p.tooMany = true
		return p.fail()
	}
	if p.at >= len(p.text) {
		return p.fail()
	}
	ok := true
	switch c := p.text[p.at]; {
	case c == '{':
		v.Kind = Object
		ok = p.items(v, '}', depth)
	case c == '[':
		v.Kind = List
		ok = p.items(v, ']', depth)
	case c == '"':
		v.Kind = String
		v.Text, ok = p.string()
	case c == '-' || '0' <= c && c <= '9':
		v.Kind = Number
		v.Text, ok = p.number()
	case strings.HasPrefix(p.text[p.at:], "true"):
		v.Kind, v.Text = Bool, "true"
		p.at += 4
	case strings.HasPrefix(p.text[p.at:], "false"):
		v.Kind, v.Text = Bool, "false"
		p.at += 5
	case strings.HasPrefix(p.text[p.at:], "null"):
		v.Kind = Null
		p.at += 4
	default:
		ok = false
	}
	if !ok {
		return p.fail()
	}
	p.space()
	return true
}

// items reads the entries of a list or the members of an object.
func (p *parser) items(v *Value, end byte, depth int) bool {
	p.at++
	base := len(p.stack)
	p.path = append(p.path, step{index: -1})
	here := len(p.path) - 1
	for p.space(); ; {
		if p.at >= len(p.text) {
			p.path[here] = step{index: -1}
			return p.fail()
		}
		if p.text[p.at] == end && len(p.stack) == base {
			break
		}
		var e Value
		if end == '}' {
			p.path[here] = step{index: -1}
			var ok bool
			if p.text[p.at] != '"' {
				return p.fail()
			}
			if e.Key, ok = p.string(); !ok {
				return p.fail()
			}
			p.path[here] = step{key: e.Key, index: -1}
			if p.space(); p.at >= len(p.text) || p.text[p.at] != ':' {
				return p.fail()
			}
			p.at++
			p.space()
		} else {
			p.path[here] = step{index: len(p.stack) - base}
		}
		if !p.value(&e, depth+1) {
			return false
		}
		p.stack = append(p.stack, e)
		if p.at < len(p.text) && p.text[p.at] == ',' {
			p.at++
			p.space()
			if p.at < len(p.text) && p.text[p.at] == end {
				p.path[here] = step{index: -1}
				return p.fail()
			}
			continue
		}
		if p.at < len(p.text) && p.text[p.at] == end {
			break
		}
		p.path[here] = step{index: -1}
		return p.fail()
	}
	p.at++
	if n := len(p.stack) - base; n > 0 {
		v.Items = make([]Value, n)
		copy(v.Items, p.stack[base:])
		clear(p.stack[base:])
		p.stack = p.stack[:base]
	}
	p.path = p.path[:here]
	return true
}

// string reads the string whose quote is the present byte.
func (p *parser) string() (string, bool) {
	p.at++
	from := p.at
	for p.at < len(p.text) {
		switch c := p.text[p.at]; {
		case c == '"':
			s := p.text[from:p.at]
			p.at++
			return s, true
		case c == '\\':
			return p.escaped(from)
		case c < 0x20:
			return "", false
		}
		p.at++
	}
	return "", false
}

// escaped reads the rest of a string that has escapes.
func (p *parser) escaped(from int) (string, bool) {
	b := []byte(p.text[from:p.at])
	for p.at < len(p.text) {
		c := p.text[p.at]
		switch {
		case c == '"':
			p.at++
			return string(b), true
		case c < 0x20:
			return "", false
		case c != '\\':
			b = append(b, c)
			p.at++
			continue
		}
		if p.at+1 >= len(p.text) {
			p.at = len(p.text)
			return "", false
		}
		c = p.text[p.at+1]
		p.at += 2
		switch c {
		case '"', '\\', '/':
			b = append(b, c)
		case 'b':
			b = append(b, '\b')
		case 'f':
			b = append(b, '\f')
		case 'n':
			b = append(b, '\n')
		case 'r':
			b = append(b, '\r')
		case 't':
			b = append(b, '\t')
		case 'u':
			r, ok := p.hex()
			if !ok {
				return "", false
			}
			if utf16.IsSurrogate(r) { // its other half follows: see loneSurrogate
				p.at += 2
				low, ok := p.hex()
				if !ok {
					return "", false
				}
				r = utf16.DecodeRune(r, low)
			}
			b = utf8.AppendRune(b, r)
		default:
			return "", false
		}
	}
	return "", false
}

// hex reads four hexadecimal digits.
func (p *parser) hex() (rune, bool) {
	if p.at+4 > len(p.text) {
		return 0, false
	}
	n, err := strconv.ParseUint(p.text[p.at:p.at+4], 16, 32)
	if err != nil {
		return 0, false
	}
	p.at += 4
	return rune(n), true
}

// number reads the literal of a number.
func (p *parser) number() (string, bool) {
	from := p.at
	digits := func() bool {
		n := p.at
		for p.at < len(p.text) && '0' <= p.text[p.at] && p.text[p.at] <= '9' {
			p.at++
		}
		return p.at > n
	}
	if p.text[p.at] == '-' {
		p.at++
	}
	if p.at < len(p.text) && p.text[p.at] == '0' {
		p.at++
	} else if !digits() {
		return "", false
	}
	if p.at < len(p.text) && p.text[p.at] == '.' {
		p.at++
		if !digits() {
			return "", false
		}
	}
	if p.at < len(p.text) && p.text[p.at]|0x20 == 'e' {
		p.at++
		if p.at < len(p.text) && (p.text[p.at] == '+' || p.text[p.at] == '-') {
			p.at++
		}
		if !digits() {
			return "", false
		}
	}
	return p.text[from:p.at], true
}

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
