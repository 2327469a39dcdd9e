package units

import (
	"errors"
	"fmt"
	"strings"

	"example.com/steelyard/internal/words"
)

// ErrInvalid is the sentinel that every [FieldError] wraps: errors.Is(err,
// units.ErrInvalid) tells bad input from any other failure.
var ErrInvalid = errors.New("invalid input")

// MaxFieldErrors is the number of field errors that a [FieldErrors] keeps; further
// errors are only counted.
const MaxFieldErrors = 100

// FieldError says which field of an input is bad, what its value was, and what would
// be accepted.
type FieldError struct {
	// Path is the field by its JSON names, such as "pieces[2].mass".
	Path string
	// Value is the bad value as text; it is empty if there was none.
	Value string
	// Want is what would be accepted, such as "must be positive".
	Want string
	// Code is the stable code of Want, by which a [Catalog] has it in other languages; ""
	// for a text that is not the library's.
	Code string
	// Params are the values in Want, such as the ends of a range.
	Params []Param
	// Part is, of a text with parts such as a tire designation, the part that is bad; Want
	// begins with it.
	Part string
}

// NewFieldError returns the error of a bad field. The names of the parameters stand in
// braces in want. The value is printed with %v; a nil value prints as nothing.
func NewFieldError(path string, value any, want string, params ...Param) *FieldError {
	v := ""
	if value != nil {
		v = fmt.Sprint(value)
	}
	return &FieldError{Path: path, Value: v, Code: words.Code(want), Params: params,
		Want: filled(want, params, func(p Param) string { return p.Text })}
}

// Message returns what would be accepted as a message.
func (e *FieldError) Message() Message {
	return Message{Code: e.Code, Params: e.Params, Text: e.Want}
}

// At returns the error at another path.
func (e *FieldError) At(path string) *FieldError {
	out := *e
	out.Path = path
	return &out
}

// Error returns "path: value: want".
func (e *FieldError) Error() string {
	switch {
	case e.Path == "" && e.Value == "":
		return e.Want
	case e.Path == "":
		return e.Value + ": " + e.Want
	case e.Value == "":
		return e.Path + ": " + e.Want
	}
	return e.Path + ": " + e.Value + ": " + e.Want
}

// Unwrap returns [ErrInvalid].
func (e *FieldError) Unwrap() error { return ErrInvalid }

// FieldErrors collects the field errors of one input. The zero value is ready to use.
// It is for code that validates; callers get the error that [FieldErrors.Err]
// returns.
type FieldErrors struct {
	list    []error
	dropped int
}

// Add records that the value at path is bad and what would be accepted: see
// [NewFieldError].
func (e *FieldErrors) Add(path string, value any, want string, params ...Param) {
	if len(e.list) >= MaxFieldErrors {
		e.dropped++
		return
	}
	e.list = append(e.list, NewFieldError(path, value, want, params...))
}

// Join adds the field errors of the part of the input at path. An error that is not a
// field error is kept as a field error with its text as Want.
func (e *FieldErrors) Join(path string, err error) {
	switch x := err.(type) {
	case nil:
	case *joined:
		for _, one := range x.list {
			e.Join(path, one)
		}
		e.dropped += x.dropped
	case *FieldError:
		if len(e.list) >= MaxFieldErrors {
			e.dropped++
			return
		}
		e.list = append(e.list, x.At(JoinPath(path, x.Path)))
	default:
		e.Add(path, nil, err.Error())
	}
}

// JoinCall adds the field errors of a method call. An error whose path begins with the
// name of a parameter is put at the path that parameters gives for that name. All other
// errors belong to the receiver and are put at the path receiver.
func (e *FieldErrors) JoinCall(err error, receiver string, parameters map[string]string) {
	switch x := err.(type) {
	case *joined:
		for _, one := range x.list {
			e.JoinCall(one, receiver, parameters)
		}
		e.dropped += x.dropped
	case *FieldError:
		end := strings.IndexAny(x.Path+".", ".[")
		if at, ok := parameters[x.Path[:end]]; ok {
			e.Join(at, x.At(strings.TrimPrefix(x.Path[end:], ".")))
			return
		}
		e.Join(receiver, x)
	default:
		e.Join(receiver, err)
	}
}

// JoinText adds the field errors of the part at path that is one text in JSON, such as
// a tire designation. The paths within the part are not JSON fields, so they are
// written before the text that says what would be accepted.
func (e *FieldErrors) JoinText(path string, err error) {
	switch x := err.(type) {
	case *joined:
		for _, one := range x.list {
			e.JoinText(path, one)
		}
		e.dropped += x.dropped
	case *FieldError:
		one := x.At("")
		if one.Part = x.Path; one.Part != "" {
			one.Want = one.Part + " " + one.Want
		}
		e.Join(path, one)
	default:
		e.Join(path, err)
	}
}

// Len returns how many errors were added.
func (e *FieldErrors) Len() int { return len(e.list) + e.dropped }

// Err returns all added errors as one error, or nil if there are none. The error's
// Unwrap() []error yields each [FieldError] in the order in which it was added.
func (e *FieldErrors) Err() error {
	if len(e.list) == 0 {
		return nil
	}
	return &joined{list: e.list, dropped: e.dropped}
}

// Fields returns the field errors that an error holds, in their order. It leaves out
// errors that were only counted and errors that are not field errors.
func Fields(err error) []*FieldError {
	var several interface{ Unwrap() []error }
	var one *FieldError
	switch {
	case errors.As(err, &several):
		var out []*FieldError
		for _, e := range several.Unwrap() {
			out = append(out, Fields(e)...)
		}
		return out
	case errors.As(err, &one):
		return []*FieldError{one}
	}
	return nil
}

// JoinPath returns the path of a field within a part: JoinPath("loader",
// "arm") is "loader.arm", and an index needs no dot.
func JoinPath(part, field string) string {
	switch {
	case part == "":
		return field
	case field == "" || field[0] == '[':
		return part + field
	}
	return part + "." + field
}

// Index returns the path of element i of a list: Index("pieces", 2) is
// "pieces[2]".
func Index(list string, i int) string { return fmt.Sprintf("%s[%d]", list, i) }

type joined struct {
	list    []error
	dropped int
}

func (e *joined) Error() string {
	var b strings.Builder
	for i, err := range e.list {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(err.Error())
	}
	if e.dropped > 0 {
		fmt.Fprintf(&b, "\nand %d more", e.dropped)
	}
	return b.String()
}

func (e *joined) Unwrap() []error { return e.list }
