package units

// A kind holds the text rules of one quantity type: its units, their spellings, and
// the spellings that are refused, with the reasons. All kinds are constant data.
type kind struct {
	// typ is the name of the quantity type, and noun is its name in an error, such as
	// "a length".
	typ, noun string
	// example is a text that the parser accepts.
	example string
	// units lists the units; the first is the SI unit of the default form.
	units []unit
	// bare says that a number without a unit is accepted.
	bare bool
	// ratio says that "rise:run" is accepted.
	ratio bool
	// refused lists spellings that mean several units or another kind.
	refused []refusal
}

// A refusal explains why spellings that are in use are refused.
type refusal struct {
	names []string
	why   string
}

// A unit is one unit of a kind.
type unit struct {
	// symbol is the spelling that is written, and the first one read.
	symbol string
	// factor is the number of SI units in one of this unit.
	factor float64
	// names are the other spellings that are read.
	names []string
	// constant is the exported constant of the unit, or the function for an
	// affine or nonlinear one.
	constant string
	// exact is the definition of factor as an expression of decimal numbers.
	exact string
	// code is the common code of UN/CEFACT Recommendation 20, from memory.
	code string
	// form says how a number of this unit becomes a quantity.
	form form
	// chain is the number of the smallest unit of a compound ("ft", "in") in one of
	// this unit. It is zero if the unit is not used in compounds.
	chain int
}

// A form is the rule by which a number becomes a quantity.
type form uint8

const (
	linear     form = iota // n times the factor
	celsius                // n degrees Celsius
	fahrenheit             // n degrees Fahrenheit
	percent                // a grade of n percent
)

// value returns the quantity of n units.
func (u *unit) value(n float64) float64 {
	switch u.form {
	case celsius:
		return float64(Celsius(n))
	case fahrenheit:
		return float64(Fahrenheit(n))
	case percent:
		return float64(Grade(n / 100))
	}
	return n * u.factor
}

// count returns the number of units that make the quantity v.
func (u *unit) count(v float64) float64 {
	switch u.form {
	case celsius:
		return Temperature(v).Celsius()
	case fahrenheit:
		return Temperature(v).Fahrenheit()
	case percent:
		return 100 * Slope(v).Grade()
	}
	return v / u.factor
}

// find returns the unit spelled exactly name, or nil.
func (k *kind) find(name string) *unit {
	for i := range k.units {
		if k.units[i].symbol == name {
			return &k.units[i]
		}
	}
	for i := range k.units {
		for _, n := range k.units[i].names {
			if n == name {
				return &k.units[i]
			}
		}
	}
	return nil
}

// lookup returns the unit spelled name, or nil. It ignores differences of typography:
// raised digits, carets, multiplication dots, hyphens, kinds of spaces and British
// endings.
func (k *kind) lookup(name string) *unit {
	if u := k.find(name); u != nil {
		return u
	}
	var buf [48]byte
	n, ok := plainName(&buf, name)
	if !ok {
		return nil
	}
	return k.find(string(buf[:n]))
}

// plainName writes name to buf in the spelling of the tables and returns its
// length, or false if it cannot be the name of a unit.
func plainName(buf *[48]byte, name string) (int, bool) {
	n := 0
	for _, r := range name {
		if n >= len(buf)-4 {
			return 0, false
		}
		c := byte(0)
		switch r {
		case '²':
			c = '2'
		case '³':
			c = '3'
		case '⁴':
			c = '4'
		case '^':
			continue
		case ' ', '\u00a0', '\u202f', '\u2009', '·', '⋅', '*', '-':
			if n > 0 && buf[n-1] == ' ' {
				continue
			}
			c = ' '
		case '′', '’':
			c = '\''
		case '″', '”':
			c = '"'
		case '°', 'º':
			n += copy(buf[n:], "°")
			continue
		default:
			if r >= 0x80 || r < ' ' {
				return 0, false
			}
			c = byte(r)
		}
		buf[n] = c
		n++
		// British endings: metre, litre.
		if n >= 4 && buf[n-1] == 'e' && buf[n-2] == 'r' && buf[n-3] == 't' &&
			(buf[n-4] == 'e' || buf[n-4] == 'i') {
			buf[n-2], buf[n-1] = 'e', 'r'
		}
	}
	return n, true
}
