package units

import (
	"bytes"
	"encoding"
	"encoding/json"
	"fmt"
)

// An Input is what somebody knows of a quantity: its value, a range that it
// lies in, that there is none of it, or nothing. The zero value is unknown.
// Inputs are made by [Is], [Between] and [None], and are equal where they say
// the same.
//
// In JSON a value is a string with its unit, "0.74 m", a range an object,
// {"low": "0.7 m", "high": "0.8 m"}, and what is declared absent is "none". An
// unknown input is left out by the tag omitzero, and null without it.
type Input[Q Quantity] struct {
	low, high Q
	state     inputState
}

// inputState says what low and high of an input are.
type inputState uint8

const (
	inputUnknown inputState = iota
	inputValue              // low and high are the value
	inputRange              // they are the ends
	inputNone               // they are zero
)

// Is returns the input whose value is known, zero included.
func Is[Q Quantity](v Q) Input[Q] { return Input[Q]{low: v, high: v, state: inputValue} }

// Between returns the input that lies between two values, both of which are
// possible. Between(v, v) is Is(v). Ends that are reversed or no numbers are
// found where the input is validated.
func Between[Q Quantity](low, high Q) Input[Q] {
	if low == high {
		return Is(low)
	}
	return Input[Q]{low: low, high: high, state: inputRange}
}

// None returns the input that is declared absent: there is no such thing, such
// as the rating of a coupler that the loader does not have.
func None[Q Quantity]() Input[Q] { return Input[Q]{state: inputNone} }

// Value returns the value where a single one is known. It is zero for a range,
// for what is unknown and for what is absent: see Known.
func (i Input[Q]) Value() Q {
	if i.state == inputValue {
		return i.low
	}
	return 0
}

// Known reports whether a single value is known.
func (i Input[Q]) Known() bool { return i.state == inputValue }

// Range returns the ends of the range; both are the value where one is known.
// It reports false for what is unknown or absent.
func (i Input[Q]) Range() (Range[Q], bool) {
	return Range[Q]{Low: i.low, High: i.high}, i.state == inputValue || i.state == inputRange
}

// Unknown reports whether nothing is known.
func (i Input[Q]) Unknown() bool { return i.state == inputUnknown }

// Absent reports whether there is none of it.
func (i Input[Q]) Absent() bool { return i.state == inputNone }

// IsZero reports whether nothing is known, so that the JSON tag omitzero leaves
// the input out. An input whose value is zero is written.
func (i Input[Q]) IsZero() bool { return i.state == inputUnknown }

// String returns the value as the quantity writes it, "0.7 m to 0.8 m" for a
// range, "none", or "unknown".
func (i Input[Q]) String() string {
	switch i.state {
	case inputValue:
		return fmt.Sprint(i.low)
	case inputRange:
		return fmt.Sprint(i.low) + " to " + fmt.Sprint(i.high)
	case inputNone:
		return "none"
	}
	return "unknown"
}

// MarshalJSON returns the JSON form. It fails for ends that are reversed or not
// finite.
func (i Input[Q]) MarshalJSON() ([]byte, error) {
	switch i.state {
	case inputValue:
		b, err := any(i.low).(encoding.TextAppender).AppendText([]byte{'"'})
		if err != nil {
			return nil, err
		}
		return append(b, '"'), nil
	case inputRange:
		if err := ordered(i.low, i.high); err != nil {
			return nil, err
		}
		return json.Marshal(Range[Q]{Low: i.low, High: i.high})
	case inputNone:
		return []byte(`"none"`), nil
	}
	return []byte("null"), nil
}

// UnmarshalJSON reads the JSON form; null leaves i as it is. The error is a
// [*FieldError] whose path is "low" or "high" where an end of a range is bad.
// On error i is unchanged.
func (i *Input[Q]) UnmarshalJSON(data []byte) error {
	data = bytes.TrimSpace(data)
	if string(data) == "null" {
		return nil
	}
	if len(data) > 0 && data[0] == '{' {
		return i.unmarshalRange(data)
	}
	text, ok := plainString(data)
	if !ok && json.Unmarshal(data, &text) != nil {
		return NewFieldError("", string(data), inputForms, inputExample[Q]())
	}
	if text == "none" {
		*i = None[Q]()
		return nil
	}
	var v Q
	if err := any(&v).(encoding.TextUnmarshaler).UnmarshalText([]byte(text)); err != nil {
		return err
	}
	*i = Is(v)
	return nil
}

// plainString returns the text of a JSON string of printing ASCII characters without
// escapes.
func plainString(data []byte) (string, bool) {
	if len(data) < 2 || data[0] != '"' || data[len(data)-1] != '"' {
		return "", false
	}
	text := data[1 : len(data)-1]
	for _, c := range text {
		if c < 0x20 || c >= 0x7f || c == '"' || c == '\\' {
			return "", false
		}
	}
	return string(text), true
}

func (i *Input[Q]) unmarshalRange(data []byte) error {
	var text struct {
		Low  *string `json:"low"`
		High *string `json:"high"`
	}
	d := json.NewDecoder(bytes.NewReader(data))
	d.DisallowUnknownFields()
	if err := d.Decode(&text); err != nil {
		return NewFieldError("", nil, inputForms, inputExample[Q]())
	}
	var ends [2]Q
	var e FieldErrors
	for n, s := range []*string{text.Low, text.High} {
		path := [2]string{"low", "high"}[n]
		if s == nil {
			e.Add(path, nil, "must be given")
			continue
		}
		e.Join(path, any(&ends[n]).(encoding.TextUnmarshaler).UnmarshalText([]byte(*s)))
	}
	if e.Len() == 0 {
		e.Join("", ordered(ends[0], ends[1]))
	}
	if err := e.Err(); err != nil {
		return err
	}
	*i = Between(ends[0], ends[1])
	return nil
}

// ordered returns an error unless low is no more than high; a NaN fails.
func ordered[Q Quantity](low, high Q) error {
	if low <= high {
		return nil
	}
	return NewFieldError("high", fmt.Sprint(high), "must be no less than low, {least}", Parameter("least", fmt.Sprint(low), low, Up))
}

// inputForms says what an input is in JSON.
const inputForms = `must be a string with its unit, such as "{example}", an object with low and high, or "none"`

func inputExample[Q Quantity]() Param { return Param{Name: "example", Text: fmt.Sprint(Q(1))} }
