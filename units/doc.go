// Package units answers how much a quantity is in the user's unit.
//
// A quantity is a defined float64 type that counts SI units, and a unit is a
// constant of that type, as with [time.Duration]:
//
//	height := 36 * units.Inch             // a Length
//	inches := float64(height / units.Inch) // a plain number again
//	mass := units.Mass(n) * units.Pound   // n of a float64 variable
//
// Constants carry the exact factors of NIST SP 811 (2008), Appendix B; the
// file UNITS.md lists every unit with its factor, its source and its
// spellings. What multiplies into another quantity is a method:
// [Density.Mass], [Mass.Weight], [Force.Moment]. A mass is not a force, a
// gauge pressure not an absolute one, a temperature not a difference, and a
// mass per volume of water not one per volume of solution: they are types
// that do not mix. Between concentrations only a density converts, so that
// stands in package liquid.
//
// # Promises
//
//   - What is written by String, MarshalText or JSON is read back bit for bit.
//   - A parser reads n of a unit as n times the unit's constant, and nothing
//     else: ParseLength("24 in") == 24*Inch.
//   - Nothing ambiguous is read, nothing that is not finite is read or
//     marshaled, and an error says what would be accepted. A value is
//     unchanged when reading into it fails.
//   - Reading allocates nothing when it succeeds.
//   - There is no package state to change.
//
// # What the parsers read
//
// One grammar serves every kind:
//
//   - A sign (+, - or the minus sign U+2212), a number, any spaces, and a unit:
//     "24 in", "24in", "-5 degC". Spaces around it all do no harm. Besides the
//     plain space, the no-break ones (U+00A0, U+202F) and the thin one (U+2009)
//     count.
//   - The decimal point is a point, always, so that "7.000 kg" is seven
//     kilograms: three decimals are what instruments, spreadsheets and this
//     package itself write ("1.234 kg"), and refusing them would break what was
//     written before. Where a point separates thousands it has to be taken out
//     first. A decimal comma is refused with a hint.
//   - Digits may be grouped by threes: by spaces ("12 500 kg"), or by commas
//     where no reader could take one for a decimal comma, which is where a
//     decimal point or another comma follows: "1,234.5 lb" and "1,234,567 lb"
//     are read, "1,234 lb" is refused.
//   - Powers of ten ("1e3 mm"), and fractions of the tape measure with a
//     denominator of 2, 4, 8, 16, 32 or 64 ("3/4 in", "23 1/2 in").
//   - Compounds: "5 ft 3 in", 5'3", "5 lb 3 oz", "1 h 30 min",
//     "12° 30′". Each part but the last is whole, each smaller than one of the
//     unit before it; a sign counts for all of them. "5 ft 3 in" is 63 in.
//   - A unit must be there, except for a [Fraction], and its case counts.
//     Raised digits, "^", "·" and British endings are read as well: "m³", "N·m",
//     "litre".
//   - A [Slope] is "12 deg", "21 %" (a grade) or "1:5" (rise to run, no steeper
//     than 1:1). A [Temperature] is "-5 degC", "23 degF" or "268.15 K".
//   - Refused with the exact variants: ton, gal, qt, pt, fl oz and hp; pounds
//     and kilograms for a force; psi, bar and Pa where gauge or absolute
//     matters; % for a mass fraction; mass per volume that does not say of what.
//
// Errors are [*FieldError] values, with what would be accepted as Want, and
// wrap [ErrInvalid].
//
// # Writing
//
// The default form, that of %v, String and MarshalText, is the SI unit behind
// the fewest digits that read back. The verbs %e %f %g %E %F %G take flags,
// width and precision as for a float64, and the unit follows: %.2f of a
// length prints "0.61 m". %q quotes, and %#v prints Go syntax. To print a
// number in another unit, divide: fmt.Printf("%.1f in", float64(l/units.Inch)).
//
// For people there is [Format] with a [Display]: the trade's unit in a
// [System] of units, rounded to significant digits or decimals, down for a
// capacity and up for a requirement.
//
// Each type implements [encoding.TextMarshaler] and
// [encoding.TextUnmarshaler], so JSON holds it as a string with its unit
// ("24 in"), and [flag.TextVar] makes it a flag.
//
// # What is not known
//
// An [Input] is what somebody knows of a quantity: a value ([Is]), a range
// ([Between]), that there is none ([None]), or nothing, its zero value.
//
// # Limits of the compiler
//
// To Go, a Length times a Length is a Length, and Mass(f) of a Force compiles.
// The module's own source is held against both by a test; in your code write
// float64(a / b) for a ratio, and use the methods for the rest.
package units
