package units_test

import (
	"encoding"
	"fmt"
	"slices"
	"testing"

	"example.com/steelyard/units"
)

// A subject is one quantity type, with its methods over plain numbers, so
// that a test can walk all types.
type subject struct {
	typ       string // as its table has it
	example   string // that its parser accepts
	units     []spelled
	parse     func(string) (float64, error)
	unmarshal func(string, float64) (float64, error) // into a variable that holds the number
	marshal   func(float64) ([]byte, error)
	append    func([]byte, float64) ([]byte, error)
	text      func(float64) string // String
	value     func(float64) any
	format    func(units.Display, float64) string // Format
}

// spelled is one unit of a subject.
type spelled struct {
	symbol, code string
	names        []string
	of           func(float64) float64
}

func of[Q units.Quantity, P interface {
	*Q
	encoding.TextUnmarshaler
}](parse func(string) (Q, error)) subject {
	typ, example := units.KindOf[Q]()
	var list []spelled
	for _, u := range units.Units[Q]() {
		list = append(list, spelled{u.Symbol(), u.Code(), units.NamesOf(u), func(n float64) float64 { return float64(u.Of(n)) }})
	}
	return subject{
		typ: typ, example: example, units: list,
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
		format: func(d units.Display, v float64) string { return units.Format(d, Q(v)) },
	}
}

// subjects are all quantity types, in the order of the table of kinds.
var subjects = [...]subject{
	of(units.ParseLength), of(units.ParseArea), of(units.ParseVolume), of(units.ParseSecondMomentOfArea),
	of(units.ParseMass), of(units.ParseInertia), of(units.ParseDensity), of(units.ParseForce), of(units.ParseMoment),
	of(units.ParseStiffness), of(units.ParsePressure), of(units.ParseGaugePressure), of(units.ParseAbsolutePressure),
	of(units.ParseAngle), of(units.ParseSlope), of(units.ParseTemperature), of(units.ParseTemperatureDifference),
	of(units.ParseDuration), of(units.ParseSpeed), of(units.ParseAcceleration), of(units.ParsePower), of(units.ParseEnergy),
	of(units.ParseMassPerPower), of(units.ParseFraction), of(units.ParseMassFraction), of(units.ParseMassPerWater),
	of(units.ParseMassPerSolution),
}

// subjectOf returns the place of a type among the subjects.
func subjectOf(t testing.TB, typ string) int {
	t.Helper()
	i := slices.IndexFunc(subjects[:], func(s subject) bool { return s.typ == typ })
	if i < 0 {
		t.Fatalf("no type %s", typ)
	}
	return i
}
