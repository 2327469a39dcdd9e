package units

import (
	"math"
	"strconv"
	"strings"
)

// A System is a choice of units for people to read. In JSON: "metric",
// "usCustomary" or "imperial".
type System uint8

// The systems. Metric is the zero value.
const (
	// Metric writes mm and m, kg, L, kN, kPa, degC, km/h, kW.
	Metric System = iota
	// USCustomary writes in and ft, lb, US gal, lbf, psi, degF, mph,
	// mechanical hp.
	USCustomary
	// Imperial differs from USCustomary in the gallon and in temperatures, which
	// British and Irish readers now read in degC (common practice, no source).
	Imperial
)

var systemNames = [...]string{Metric: "metric", USCustomary: "usCustomary", Imperial: "imperial"}

// String returns "metric", "usCustomary" or "imperial".
func (s System) String() string { return enumString(systemNames[:], int(s)) }

// MarshalText returns what String returns. It fails for a system that does
// not exist.
func (s System) MarshalText() ([]byte, error) { return enumText(systemNames[:], int(s)) }

// UnmarshalText reads what String returns. On error s is unchanged.
func (s *System) UnmarshalText(text []byte) error {
	i, err := enumIndex(systemNames[:], text)
	if err == nil {
		*s = System(i)
	}
	return err
}

// A Rounding is the direction in which [Format] rounds. In JSON: "nearest",
// "down" or "up".
type Rounding uint8

// The directions. Nearest is the zero value.
const (
	// Nearest rounds to the nearest number, and a half away from zero.
	Nearest Rounding = iota
	// Down rounds to the lesser number. It is for what a machine can do.
	Down
	// Up rounds to the greater number. It is for what is required.
	Up
)

var roundingNames = [...]string{Nearest: "nearest", Down: "down", Up: "up"}

// String returns "nearest", "down" or "up".
func (r Rounding) String() string { return enumString(roundingNames[:], int(r)) }

// MarshalText returns what String returns. It fails for a direction that does
// not exist.
func (r Rounding) MarshalText() ([]byte, error) { return enumText(roundingNames[:], int(r)) }

// UnmarshalText reads what String returns. On error r is unchanged.
func (r *Rounding) UnmarshalText(text []byte) error {
	i, err := enumIndex(roundingNames[:], text)
	if err == nil {
		*r = Rounding(i)
	}
	return err
}

// oneOf is the message that names the choices.
const oneOf = "must be one of {choices}"

// enumString returns the name of value i of a closed choice.
func enumString(names []string, i int) string {
	if i < len(names) {
		return names[i]
	}
	return "undefined " + strconv.Itoa(i)
}

// enumText returns the same as enumString, and an error for a value without a name.
func enumText(names []string, i int) ([]byte, error) {
	if i < len(names) {
		return []byte(names[i]), nil
	}
	return nil, NewFieldError("", i, oneOf, orParam("choices", names))
}

// enumIndex returns the index of the name that the text is.
func enumIndex(names []string, text []byte) (int, error) {
	for i, n := range names {
		if n == string(text) {
			return i, nil
		}
	}
	return 0, NewFieldError("", shown(string(text)), oneOf, orParam("choices", names))
}

// A Precision is the number of digits that [Format] writes. The zero value is
// customary: at least three significant digits and every digit before the point
// ("1783 kg", "82.7 in"), and tenths for a temperature. In JSON it is "customary",
// or a count such as "3 digits" or "1 decimals".
type Precision int8

// Significant returns the precision of n significant digits. An n below 1 counts as
// 1, and one above 12 as 12.
func Significant(n int) Precision { return Precision(max(1, min(n, maxDigits))) }

// Decimals returns the precision of n digits behind the point. An n below 0 counts as
// 0, and one above 12 as 12.
func Decimals(n int) Precision { return Precision(-1 - max(0, min(n, maxDigits))) }

// String returns "customary", or a count such as "3 digits" or "1 decimals".
func (p Precision) String() string {
	switch {
	case p == 0:
		return "customary"
	case p > 0:
		return strconv.Itoa(int(p)) + " digits"
	}
	return strconv.Itoa(-1-int(p)) + " decimals"
}

// MarshalText returns what String returns.
func (p Precision) MarshalText() ([]byte, error) { return []byte(p.String()), nil }

// UnmarshalText reads what String returns. On error p is unchanged.
func (p *Precision) UnmarshalText(text []byte) error {
	s := string(text)
	number, what, _ := strings.Cut(s, " ")
	n, err := strconv.Atoi(number)
	switch {
	case s == "customary":
		*p = 0
	case err == nil && what == "digits" && 1 <= n && n <= maxDigits:
		*p = Significant(n)
	case err == nil && what == "decimals" && 0 <= n && n <= maxDigits:
		*p = Decimals(n)
	default:
		return NewFieldError("", shown(s), `must be "customary", or a count of at most 12, such as "3 digits" or "1 decimals"`)
	}
	return nil
}

// maxDigits is the number of digits that are trusted. A number is first rounded to
// the nearest number with so many significant digits, so that the last bits of a
// conversion do not change the result: 24 in, held as 0.6095999999999999 m, is 24 in
// when rounded down.
const maxDigits = 12

// A Display says how quantities are written for people. The zero value writes metric
// units, rounded to the nearest number with the customary digits. It is a plain value:
// copy it and change a field, as in
//
//	capacity := d
//	capacity.Rounding = units.Down
type Display struct {
	// System chooses the units.
	System System `json:"system"`
	// Precision chooses the digits.
	Precision Precision `json:"precision"`
	// Rounding is the direction: Down for capacities, Up for requirements.
	Rounding Rounding `json:"rounding"`
	// FeetInches writes lengths from one foot up as feet and inches, as in "5 ft 3 in",
	// in the systems that have them. Precision then applies to the inches.
	FeetInches bool `json:"feetInches,omitempty"`
	// Grade writes slopes in percent grade instead of degrees.
	Grade bool `json:"grade,omitempty"`
	// Comma writes a decimal comma, as in "1,5 m". [Parse] with the same display reads it;
	// the parser of a quantity and documents have a decimal point.
	Comma bool `json:"comma,omitempty"`
	// Signs writes the signs of print in place of the parsers' spellings: "21 °C", "8°",
	// "kg/m³". It is for people too.
	Signs bool `json:"signs,omitempty"`
}

// Format returns q in the unit that the trade uses for quantities of its kind and size
// in d.System. The parser of the kind reads the result back, to the digits written. A
// quantity that is not finite is written as NaN, +Inf or -Inf, which the parser
// refuses.
func Format[Q Quantity](d Display, q Q) string {
	var buf [48]byte
	return string(AppendFormat(buf[:0], d, q))
}

// AppendFormat appends what [Format] returns to b.
func AppendFormat[Q Quantity](b []byte, d Display, q Q) []byte {
	if d.Comma || d.Signs {
		plain := d
		plain.Comma, plain.Signs = false, false
		return d.appendPrinted(b, Format(plain, q))
	}
	k, v := kindOf[Q](), float64(q)
	u := d.choose(k, v)
	if d.FeetInches && k == &kinds[lengthKind] && d.System != Metric && math.Abs(v) >= float64(Foot)*(1-1e-12) && !math.IsInf(v/float64(Inch), 0) {
		return d.appendFeetInches(b, v)
	}
	return u.appendSymbol(d.appendNumber(b, u, v))
}

// appendPrinted appends a formatted quantity with the decimal comma and the signs of d.
func (d Display) appendPrinted(b []byte, text string) []byte {
	number, unit, spaced := strings.Cut(text, " ")
	if d.Comma {
		text = strings.ReplaceAll(text, ".", ",")
		number = strings.ReplaceAll(number, ".", ",")
	}
	if !d.Signs || !spaced {
		return append(b, text...)
	}
	switch unit {
	case "deg":
		return append(append(b, number...), "\u00b0"...)
	case "degC", "degF":
		return append(append(b, number...), "\u00a0\u00b0"+unit[3:]...)
	}
	return append(b, printed.Replace(text)...)
}

// printed gives exponents their signs.
var printed = strings.NewReplacer("m2", "m\u00b2", "m3", "m\u00b3", "m4", "m\u2074", "ft2", "ft\u00b2", "in2", "in\u00b2", "in4", "in\u2074", "s2", "s\u00b2")

// DisplayUnit returns the unit in which [Format] writes a quantity of about the size of
// q. It is for the head of a column of numbers from [Unit.Number].
func DisplayUnit[Q Quantity](d Display, q Q) Unit[Q] {
	return Unit[Q]{d.choose(kindOf[Q](), float64(q))}
}

// A choice names the unit for quantities of a kind from a size up, in SI
// units. Lists end with size zero.
type choice struct {
	from   float64
	symbol string
}

// customary holds the choices by kind and system (common practice, no source).
var customary = [len(kinds)][3][]choice{
	lengthKind:                lists([]choice{{10, "m"}, {0, "mm"}}, []choice{{20 * float64(Foot), "ft"}, {0, "in"}}),
	areaKind:                  lists([]choice{{0.1, "m2"}, {0, "cm2"}}, []choice{{float64(SquareFoot), "ft2"}, {0, "in2"}}),
	volumeKind:                {{{0, "L"}}, {{0, "US gal"}}, {{0, "imp gal"}}},
	secondMomentOfAreaKind:    lists([]choice{{0, "m4"}}, []choice{{0, "in4"}}),
	massKind:                  lists([]choice{{0, "kg"}}, []choice{{0, "lb"}}),
	inertiaKind:               lists([]choice{{0, "kg m2"}}, []choice{{0, "lb ft2"}}),
	densityKind:               {{{0, "kg/L"}}, {{0, "lb/US gal"}}, {{0, "lb/imp gal"}}},
	forceKind:                 lists([]choice{{1e3, "kN"}, {0, "N"}}, []choice{{0, "lbf"}}),
	momentKind:                lists([]choice{{1e4, "kN m"}, {0, "N m"}}, []choice{{0, "lbf ft"}}),
	stiffnessKind:             lists([]choice{{0, "kN/m"}}, []choice{{0, "lbf/in"}}),
	pressureKind:              lists([]choice{{1e7, "MPa"}, {0, "kPa"}}, []choice{{0, "psi"}}),
	gaugePressureKind:         lists([]choice{{1e7, "MPa gauge"}, {0, "kPa gauge"}}, []choice{{0, "psi gauge"}}),
	absolutePressureKind:      lists([]choice{{0, "kPa absolute"}}, []choice{{0, "psi absolute"}}),
	angleKind:                 lists([]choice{{0, "deg"}}, []choice{{0, "deg"}}),
	slopeKind:                 lists([]choice{{0, "deg"}}, []choice{{0, "deg"}}),
	temperatureKind:           {{{0, "degC"}}, {{0, "degF"}}, {{0, "degC"}}},
	temperatureDifferenceKind: {{{0, "K"}}, {{0, "degF"}}, {{0, "K"}}},
	durationKind:              lists([]choice{{0, "s"}}, []choice{{0, "s"}}),
	speedKind:                 lists([]choice{{0, "km/h"}}, []choice{{0, "mph"}}),
	accelerationKind:          lists([]choice{{0, "m/s2"}}, []choice{{0, "ft/s2"}}),
	powerKind:                 lists([]choice{{0, "kW"}}, []choice{{0, "mechanical hp"}}),
	energyKind:                lists([]choice{{1e3, "kJ"}, {0, "J"}}, []choice{{0, "ft lbf"}}),
	massPerPowerKind:          lists([]choice{{0, "kg/kW"}}, []choice{{0, "lb/mechanical hp"}}),
	fractionKind:              lists([]choice{{0, "%"}}, []choice{{0, "%"}}),
	massFractionKind:          lists([]choice{{0, "% by mass"}}, []choice{{0, "% by mass"}}),
	massPerWaterKind:          {{{0, "kg/L of water"}}, {{0, "lb/US gal of water"}}, {{0, "lb/imp gal of water"}}},
	massPerSolutionKind:       {{{0, "kg/L of solution"}}, {{0, "lb/US gal of solution"}}, {{0, "lb/imp gal of solution"}}},
}

// lists returns the choices of a kind for which USCustomary and Imperial are the same.
func lists(metric, other []choice) [3][]choice { return [3][]choice{metric, other, other} }

// choose returns the unit for the quantity v of the kind.
func (d Display) choose(k *kind, v float64) *unit {
	if d.Grade && k == &kinds[slopeKind] {
		return k.find("%")
	}
	system := d.System
	if system > Imperial {
		system = Metric
	}
	i := 0
	for k != &kinds[i] {
		i++
	}
	list := customary[i][system]
	for len(list) > 1 && !(math.Abs(v) >= list[0].from) { // a NaN takes the last
		list = list[1:]
	}
	return k.find(list[0].symbol)
}

// appendNumber appends the number of units that make v, with the digits of d.
func (d Display) appendNumber(b []byte, u *unit, v float64) []byte {
	n := u.count(v)
	if math.IsNaN(n) || math.IsInf(n, 0) {
		return strconv.AppendFloat(b, n, 'f', -1, 64)
	}
	p := d.Precision
	if u.form == celsius || u.form == fahrenheit {
		if p == 0 {
			p = Decimals(1)
		}
		// The offset leaves fewer trusted digits near zero.
		if math.Abs(n) < 1e5 {
			n = math.Round(n*1e10) / 1e10
		}
	}
	r := roundDecimal(n, p, d.Rounding)
	return r.append(b)
}

// appendFeetInches appends the length v as feet and inches.
func (d Display) appendFeetInches(b []byte, v float64) []byte {
	n := v / float64(Inch)
	p := d.Precision
	if p == 0 {
		p = Decimals(0)
	}
	r := roundDecimal(n, p, d.Rounding)
	r = r.pad(min(r.exp, 0))
	foot := uint64(12)
	for e := r.exp; e < 0; e++ {
		foot *= 10
	}
	feet := decimal{neg: r.neg, digits: r.digits / foot}
	if feet.digits >= 1e12 { // more than the parser takes for a whole number
		return append(r.append(b), " in"...)
	}
	inches := decimal{digits: r.digits % foot, exp: r.exp}
	b = append(feet.append(b), " ft "...)
	return append(inches.append(b), " in"...)
}

// A decimal is digits times ten to the exp.
type decimal struct {
	neg    bool
	digits uint64
	exp    int
}

// roundDecimal rounds the finite number n.
func roundDecimal(n float64, p Precision, dir Rounding) decimal {
	// Read the trusted digits of "-d.ddddddddddde-xx" as an integer.
	var buf [32]byte
	s := strconv.AppendFloat(buf[:0], math.Abs(n), 'e', maxDigits-1, 64)
	r := decimal{neg: math.Signbit(n)}
	i := 0
	for ; s[i] != 'e'; i++ {
		if s[i] != '.' {
			r.digits = r.digits*10 + uint64(s[i]-'0')
		}
	}
	e, _ := strconv.Atoi(string(s[i+1:]))
	r.exp = e - (maxDigits - 1)
	if r.digits == 0 {
		r = decimal{exp: 0}
		if p < 0 {
			r.exp = int(p) + 1
		}
		return r
	}
	last := int(p) + 1 // the exponent of the last digit to be written
	switch {
	case p == 0:
		last = min(0, e-2)
	case p > 0:
		last = e - int(p) + 1
	}
	if r.exp >= last {
		return r.pad(last)
	}
	unit := uint64(1)
	for ; r.exp < last && unit < 1e15; r.exp++ {
		unit *= 10
	}
	r.exp = last
	rest := r.digits % unit
	r.digits /= unit
	up := false
	switch dir {
	case Down:
		up = r.neg && rest > 0
	case Up:
		up = !r.neg && rest > 0
	default:
		up = rest >= unit-rest
	}
	if up {
		r.digits++
		// 9.996 to three digits is 10.0, not 10.00.
		full := uint64(10) // what one more digit than before begins with
		for range e - last {
			full *= 10
		}
		if p >= 0 && r.digits == full {
			r.digits /= 10
			r.exp++
		}
	}
	if r.digits == 0 {
		r.neg = false
	}
	return r
}

// pad appends zeros to r down to the exponent last, as far as there is room.
func (r decimal) pad(last int) decimal {
	for r.exp > last && r.digits < 1e17 {
		r.digits *= 10
		r.exp--
	}
	return r
}

// append appends r, in plain notation unless that would be mostly zeros.
func (r decimal) append(b []byte) []byte {
	if r.neg {
		b = append(b, '-')
	}
	if r.exp > maxDigits || r.exp < -2*maxDigits {
		b = strconv.AppendUint(b, r.digits, 10)
		b = append(b, 'e')
		return strconv.AppendInt(b, int64(r.exp), 10)
	}
	if r.exp >= 0 {
		b = strconv.AppendUint(b, r.digits, 10)
		for i := 0; i < r.exp; i++ {
			b = append(b, '0')
		}
		return b
	}
	var buf [24]byte
	s := strconv.AppendUint(buf[:0], r.digits, 10)
	point := len(s) + r.exp
	if point <= 0 {
		b = append(b, '0', '.')
		for ; point < 0; point++ {
			b = append(b, '0')
		}
		return append(b, s...)
	}
	b = append(b, s[:point]...)
	b = append(b, '.')
	return append(b, s[point:]...)
}
