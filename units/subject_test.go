package units

import (
	"encoding"
	"fmt"
)

// A subject is one quantity type, with its methods over plain numbers, so
// that a test can walk all types.
type subject struct {
	kind      *kind
	parse     func(string) (float64, error)
	unmarshal func(string, float64) (float64, error) // into a variable that holds the number
	marshal   func(float64) ([]byte, error)
	append    func([]byte, float64) ([]byte, error)
	text      func(float64) string // String
	value     func(float64) any
	format    func(Display, float64) string // Format
}

func of[Q Quantity, P interface {
	*Q
	encoding.TextUnmarshaler
}](parse func(string) (Q, error)) subject {
	return subject{
		kind:  kindOf[Q](),
		parse: func(s string) (float64, error) { q, err := parse(s); return float64(q), err },
		unmarshal: func(s string, was float64) (float64, error) {
			q := Q(was)
			err := P(&q).UnmarshalText([]byte(s))
			return float64(q), err
		},
		marshal: func(v float64) ([]byte, error) { return any(Q(v)).(encoding.TextMarshaler).MarshalText() },
		append: func(b []byte, v float64) ([]byte, error) {
			return any(Q(v)).(encoding.TextAppender).AppendText(b)
		},
		text:   func(v float64) string { return any(Q(v)).(fmt.Stringer).String() },
		value:  func(v float64) any { return Q(v) },
		format: func(d Display, v float64) string { return Format(d, Q(v)) },
	}
}

// subjects are all quantity types, in the order of the table of kinds.
var subjects = [...]subject{
	of(ParseLength), of(ParseArea), of(ParseVolume), of(ParseSecondMomentOfArea),
	of(ParseMass), of(ParseInertia), of(ParseDensity), of(ParseForce), of(ParseMoment),
	of(ParseStiffness), of(ParsePressure), of(ParseGaugePressure), of(ParseAbsolutePressure),
	of(ParseAngle), of(ParseSlope), of(ParseTemperature), of(ParseTemperatureDifference),
	of(ParseDuration), of(ParseSpeed), of(ParseAcceleration), of(ParsePower), of(ParseEnergy),
	of(ParseMassPerPower), of(ParseFraction), of(ParseMassFraction), of(ParseMassPerWater),
	of(ParseMassPerSolution),
}
