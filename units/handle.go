package units

import (
	"strings"
)

// A Unit is one unit of a quantity, for programs that let the user choose
// units or exchange data by common codes. The zero value is the SI unit.
// If the unit is known when the program is written, its constant is simpler: 24 * Inch,
// float64(q / Inch).
type Unit[Q Quantity] struct {
	u *unit
}

// Units returns every unit of the quantity that the parser reads, the SI unit
// first.
func Units[Q Quantity]() []Unit[Q] {
	k := kindOf[Q]()
	list := make([]Unit[Q], len(k.units))
	for i := range k.units {
		list[i].u = &k.units[i]
	}
	return list
}

// UnitNamed returns the unit that the parser reads as name, such as "in" or
// "inches". The error is a [*FieldError] like that of the parser.
func UnitNamed[Q Quantity](name string) (Unit[Q], error) {
	k := kindOf[Q]()
	if len(name) <= maxText {
		if u := k.lookup(name); u != nil {
			return Unit[Q]{u}, nil
		}
		name = strings.Clone(name)
		want, params := k.unknown(name)
		return Unit[Q]{}, NewFieldError("", shown(name), want, params...)
	}
	return Unit[Q]{}, NewFieldError("", shown(strings.Clone(name)), "must be the name of a unit; this text is too long")
}

// UnitByCode returns the unit of the quantity with a common code of UN/CEFACT
// Recommendation 20, such as KGM, LBR or GLL. Codes do not distinguish gauge from
// absolute pressure, or a temperature from a difference; the type that is asked for
// does. The codes are from memory of the Recommendation.
func UnitByCode[Q Quantity](code string) (Unit[Q], error) {
	k := kindOf[Q]()
	var known []string
	for i := range k.units {
		switch c := k.units[i].code; {
		case c == "":
		case c == code:
			return Unit[Q]{&k.units[i]}, nil
		default:
			known = append(known, c)
		}
	}
	want := "must be left out: no unit of {quantity} has a common code"
	if len(known) > 0 {
		want = "must be the common code of a unit of {quantity}: {codes}"
	}
	return Unit[Q]{}, NewFieldError("", shown(strings.Clone(code)), want, k.named(), Param{Name: "codes", Text: strings.Join(known, ", ")})
}

func (u Unit[Q]) unit() *unit {
	if u.u == nil {
		return &kindOf[Q]().units[0]
	}
	return u.u
}

// Symbol returns the unit as it is written behind a number, such as "kg". It is empty
// for a share without a unit.
func (u Unit[Q]) Symbol() string { return u.unit().symbol }

// Code returns the unit's common code of UN/CEFACT Recommendation 20, or ""
// if none is known here.
func (u Unit[Q]) Code() string { return u.unit().code }

// Of returns the quantity of n units; for an affine unit it is the temperature of n
// degrees.
func (u Unit[Q]) Of(n float64) Q { return Q(u.unit().value(n)) }

// Count returns the number of units that make q. It divides, so that
// float64(24*Inch/Inch) is 24.
func (u Unit[Q]) Count(q Q) float64 { return u.unit().count(float64(q)) }

// Format returns q in the unit, rounded as d says; d.System is ignored.
func (u Unit[Q]) Format(d Display, q Q) string {
	k := u.unit()
	return string(k.appendSymbol(d.appendNumber(nil, k, float64(q))))
}

// Number returns the same as u.Format without the unit, for a column whose head shows
// the symbol.
func (u Unit[Q]) Number(d Display, q Q) string {
	return string(d.appendNumber(nil, u.unit(), float64(q)))
}

// appendSymbol appends the unit behind a number.
func (u *unit) appendSymbol(b []byte) []byte {
	if u.symbol == "" {
		return b
	}
	return append(append(b, ' '), u.symbol...)
}
