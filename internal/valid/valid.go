// Package valid holds fields against their ranges in one way for every package
// of this module, and the ranges of quantities that several packages take.
package valid

import (
	"fmt"

	"example.com/steelyard/units"
)

// Ranges of quantities that several packages take. They catch a wrong unit, not
// a wrong machine.
const (
	MinGravity units.Acceleration = 0.1
	MaxGravity units.Acceleration = 100

	MinWheelbase units.Length = 0.5
	MaxWheelbase units.Length = 10

	MinTrack units.Length = 0.2
	MaxTrack units.Length = 6

	MinMass units.Mass = 1
	MaxMass units.Mass = 100000

	MinRadius units.Length = 0.1
	MaxRadius units.Length = 1.5

	MaxLength  units.Length = 20
	MaxSideway units.Length = 2
)

// Within records an error unless low <= v <= high. A NaN fails.
func Within[Q units.Quantity](e *units.FieldErrors, path string, v, low, high Q) {
	if v >= low && v <= high {
		return // apart from the error, so that it is inlined
	}
	outside(e, path, v, low, high)
}

//go:noinline
func outside[Q units.Quantity](e *units.FieldErrors, path string, v, low, high Q) {
	e.Add(path, Show(v), "must be between {low} and {high}", Low(low), High(high))
}

// Low and High are the ends of a range in a message, and rounded inward where a display
// has other units.
func Low[Q units.Quantity](v Q) units.Param { return units.Parameter("low", Show(v), v, units.Up) }

// High is the high end; see Low.
func High[Q units.Quantity](v Q) units.Param { return units.Parameter("high", Show(v), v, units.Down) }

// Most is a greatest value in a message.
func Most[Q units.Quantity](v Q) units.Param { return units.Parameter("most", Show(v), v, units.Down) }

// Least is a least value in a message.
func Least[Q units.Quantity](v Q) units.Param { return units.Parameter("least", Show(v), v, units.Up) }

// Value is a value in a message.
func Value[Q units.Quantity](name string, v Q) units.Param {
	return units.Parameter(name, Show(v), v, units.Nearest)
}

// Text is a text in a message.
func Text(name string, v any) units.Param { return units.Param{Name: name, Text: fmt.Sprint(v)} }

// ZeroOr records an error unless v is zero, which says "not given", or lies
// between low and high.
func ZeroOr[Q units.Quantity](e *units.FieldErrors, path string, v, low, high Q) {
	if v == 0 || v >= low && v <= high {
		return
	}
	notZeroOr(e, path, v, low, high)
}

//go:noinline
func notZeroOr[Q units.Quantity](e *units.FieldErrors, path string, v, low, high Q) {
	e.Add(path, Show(v), "must be left out or be between {low} and {high}", Low(low), High(high))
}

// Given records an error if v is zero, which says "not given", and otherwise
// if it is outside the range. Hint says what to do.
func Given[Q units.Quantity](e *units.FieldErrors, path string, v, low, high Q, hint string) {
	if v != 0 && v >= low && v <= high {
		return
	}
	notGiven(e, path, v, low, high, hint)
}

//go:noinline
func notGiven[Q units.Quantity](e *units.FieldErrors, path string, v, low, high Q, hint string) {
	if v == 0 {
		e.Add(path, nil, hint)
		return
	}
	outside(e, path, v, low, high)
}

// Optional records an error unless an input is unknown, declared absent, or a
// value or a range that lies between low and high.
func Optional[Q units.Quantity](e *units.FieldErrors, path string, in units.Input[Q], low, high Q) {
	if v := in.Value(); in.Unknown() || in.Known() && v >= low && v <= high {
		return
	}
	optional(e, path, in, low, high)
}

//go:noinline
func optional[Q units.Quantity](e *units.FieldErrors, path string, in units.Input[Q], low, high Q) {
	input(e, path, in, low, high, "must be left out or be between {low} and {high}")
}

// Required records an error unless an input is a value or a range that lies
// between low and high. Hint says what to do where nothing is given.
func Required[Q units.Quantity](e *units.FieldErrors, path string, in units.Input[Q], low, high Q, hint string) {
	if v := in.Value(); in.Known() && v >= low && v <= high {
		return
	}
	required(e, path, in, low, high, hint)
}

//go:noinline
func required[Q units.Quantity](e *units.FieldErrors, path string, in units.Input[Q], low, high Q, hint string) {
	switch {
	case in.Unknown():
		e.Add(path, nil, hint)
	case in.Absent():
		e.Add(path, "none", hint)
	default:
		input(e, path, in, low, high, "must be between {low} and {high}")
	}
}

// input holds the ends of an input against a range, and against each other: a
// NaN and reversed ends fail.
func input[Q units.Quantity](e *units.FieldErrors, path string, in units.Input[Q], low, high Q, want string) {
	r, ok := in.Range()
	if !ok || low <= r.Low && r.Low <= r.High && r.High <= high {
		return
	}
	end := func(path string, v Q) {
		if !(v >= low && v <= high) {
			e.Add(path, Show(v), want, Low(low), High(high))
		}
	}
	if in.Known() {
		end(path, r.Low)
		return
	}
	before := e.Len()
	end(units.JoinPath(path, "low"), r.Low)
	end(units.JoinPath(path, "high"), r.High)
	if e.Len() == before && !(r.Low <= r.High) {
		e.Add(units.JoinPath(path, "high"), Show(r.High), "must be no less than low, {least}", Least(r.Low))
	}
}

// Gravity holds an acceleration of free fall, zero being the standard one,
// against its range.
//
// It is not inlined: where it is, its caller's list of errors moves to the heap.
//
//go:noinline
func Gravity(e *units.FieldErrors, path string, g units.Acceleration) {
	ZeroOr(e, path, g, MinGravity, MaxGravity)
}

// Heading holds where the nose points against its range, a turn either way.
func Heading(e *units.FieldErrors, path string, h units.Angle) {
	Within(e, path, h, -units.Turn, units.Turn)
}

// Show prints a quantity for an error message, in the unit that people use.
func Show[Q units.Quantity](v Q) string {
	in := func(one float64, unit string) string { return fmt.Sprintf("%.6g %s", float64(v)/one, unit) }
	switch any(v).(type) {
	case units.Angle, units.Slope:
		return in(float64(units.Degree), "degrees")
	case units.Temperature:
		return fmt.Sprintf("%.4g degC", float64(v)-273.15)
	case units.Speed:
		return in(float64(units.KilometerPerHour), "km/h")
	case units.Pressure:
		return in(float64(units.Kilopascal), "kPa")
	case units.GaugePressure:
		return in(float64(units.GaugeKilopascal), "kPa gauge")
	}
	if s, ok := any(v).(fmt.Stringer); ok {
		return s.String()
	}
	return fmt.Sprintf("%g", float64(v))
}

// ShowInput prints an input for an error message.
func ShowInput[Q units.Quantity](in units.Input[Q]) string {
	r, ok := in.Range()
	switch {
	case !ok:
		return in.String()
	case in.Known():
		return Show(r.Low)
	}
	return Show(r.Low) + " to " + Show(r.High)
}

// JoinAt records the errors of an entry of a list, if there are any; its path is
// made only then.
func JoinAt(e *units.FieldErrors, list string, i int, err error) {
	if err != nil {
		e.Join(units.Index(list, i), err)
	}
}
